//! Functions of the trade, as their declarations tell them.
//!
//! Lists by chapter, by word and by units, and the whole page of one function.
//! Start reading at [`function_page`].

use crate::text::nearest;
use crate::trade::caution::CLOSING;
use crate::trade::registry::{by_chapter, by_hourly, by_units, function, functions, search};
use crate::trade::rivals::beside;
use crate::trade::{
    Caution, Chapter, ColumnDeclared, Function, Parameter, ParameterKind, ResultKind, Shape, Source, Standing,
    UsualRange,
};
use crate::unit::{Unit, conversion};

use super::super::digits::with_unit;
use super::super::layout::Layout;
use super::super::style::Style;
use super::super::visible::{sentence, visible};
use super::synonyms::meant;

/// Every function, chapter by chapter, one line each.
pub fn functions_page(style: Style) -> String {
    let mut page = Layout::new(style);
    for chapter in Chapter::ALL {
        page.heading(chapter.title());
        page.list(&rows(by_chapter(chapter)));
    }
    page.gap();
    page.faint("`functions WORD` finds those that speak of a word, `functions UNIT UNIT` those that lead from one unit to another, `functions NAME` tells all about one.");
    page.into_text()
}

/// The page of the function of that name, or the functions whose declaration speaks of the word.
///
/// # Errors
/// One line that says that there are none, with the nearest name.
pub fn functions_matching(word: &str, style: Style) -> Result<String, String> {
    if let Some(function) = function(word.trim()) {
        return Ok(function_page(function, style));
    }
    let named: Vec<_> = meant(word).iter().filter_map(|name| function(name)).collect();
    let speak = if named.is_empty() {
        "speak of"
    } else {
        "have to do with"
    };
    let found = match word.trim() {
        "" => Vec::new(),
        _ if !named.is_empty() => named,
        word => search(word),
    };
    let word = visible(word.trim()).into_owned();
    if found.is_empty() {
        let near = nearest(&word, functions().map(|function| function.name));
        return Err(match near {
            Some(near) => format!("no function speaks of `{word}`; the nearest is `{near}`"),
            None => format!("no function speaks of `{word}`; `functions` alone lists them all"),
        });
    }
    let mut page = Layout::new(style);
    page.heading(&format!("Functions that {speak} {word}"));
    page.list(&rows(found));
    Ok(page.into_text())
}

/// The functions that take one kind of quantity and give another.
pub fn functions_between(from: Unit, to: Unit, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&format!("From {} to {}", spelled(from), spelled(to)));
    let found = by_units(from, to);
    let hourly = by_hourly(from, to);
    if found.is_empty() && hourly.is_empty() {
        page.prose(&format!(
            "No function takes {} and gives {}.",
            from.measures(),
            to.measures()
        ));
    }
    page.list(&rows(found));
    if !hourly.is_empty() {
        page.heading(&format!("From {} an hour to {}", spelled(from), spelled(to)));
        page.list(&rows(hourly));
    }
    if from != to && conversion(from, to).is_some() {
        page.gap();
        page.prose(&format!(
            "The two measure the same: `[{to}]` after a name, or after an expression in the session, shows it so."
        ));
    }
    page.into_text()
}

fn spelled(unit: Unit) -> String {
    match unit == Unit::ONE {
        true => unit.measures(),
        false => unit.to_string(),
    }
}

fn rows(functions: impl IntoIterator<Item = &'static Function>) -> Vec<(String, String)> {
    let functions = functions.into_iter();
    functions
        .map(|function| (function.name.to_owned(), function.summary.to_owned()))
        .collect()
}

/// All that a function's declaration tells, and the rules beside it that disagree.
pub fn function_page(function: &Function, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&signature(function));
    page.prose(&sentence(function.summary));
    parameters(&mut page, function);
    page.heading("Gives");
    page.prose(&sentence(&given(function)));
    columns(&mut page, function);
    rule(&mut page, function);
    sources(&mut page, function);
    rivals(&mut page, function);
    cautions(&mut page, function);
    examples(&mut page, function);
    page.into_text()
}

/// The call as it is typed: `fill_limit(water_capacity [lb], filling_density [%] = 42 %) [lb]`.
pub fn signature(function: &Function) -> String {
    let parameters: Vec<String> = function.parameters.iter().map(signature_part).collect();
    let result = match function.result {
        ResultKind::Quantity("")
        | ResultKind::Text
        | ResultKind::Moment
        | ResultKind::Clock
        | ResultKind::Time
        | ResultKind::Along
        | ResultKind::Table(_)
        | ResultKind::Special => String::new(),
        ResultKind::Quantity(unit) => format!(" [{unit}]"),
        ResultKind::Level => " [dB]".to_owned(),
        ResultKind::LikeFirst | ResultKind::SecondOverFirst | ResultKind::LikeSecond => String::new(),
    };
    format!("{}({}){result}", function.name, parameters.join(", "))
}

fn in_table(column: ColumnDeclared) -> String {
    match column.unit {
        "" => column.name.to_owned(),
        unit => format!("{} [{unit}]", column.name),
    }
}

/// A parameter as it stands in the signature: `filling_density [%] = 42 %`.
pub fn signature_part(parameter: &Parameter) -> String {
    let more = if parameter.shape == Shape::Several { "…" } else { "" };
    let default = parameter
        .default
        .map_or(String::new(), |default| format!(" = {default}"));
    format!("{}{more}{}{default}", parameter.name, boxed(parameter.kind))
}

fn boxed(kind: ParameterKind) -> String {
    match kind {
        ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit) if !unit.is_empty() => format!(" [{unit}]"),
        ParameterKind::Level => " [dB]".to_owned(),
        _ => String::new(),
    }
}

/// The columns of the table that a function gives.
fn columns(page: &mut Layout, function: &Function) {
    if let ResultKind::Table(columns) = function.result {
        let rows = columns
            .iter()
            .map(|column| (in_table(*column), sentence(column.meaning)));
        page.list(&rows.collect::<Vec<_>>());
    }
}

fn parameters(page: &mut Layout, function: &Function) {
    if function.parameters.is_empty() {
        return;
    }
    page.heading("Takes");
    let rows = function.parameters.iter().map(|parameter| {
        let name = format!("{}{}", parameter.name, boxed(parameter.kind));
        (name, sentence(&told(parameter)))
    });
    page.list(&rows.collect::<Vec<_>>());
}

/// What a parameter is where nothing is said: a value, or that of another parameter.
fn by_itself(default: &str) -> String {
    let is_name = default.starts_with(|first: char| first.is_ascii_lowercase()) && default.parse::<bool>().is_err();
    if is_name {
        format!("as `{default}` where nothing is said")
    } else {
        format!("{default} where nothing is said")
    }
}

/// What a parameter means, takes, is by itself, and usually is.
fn told(parameter: &Parameter) -> String {
    let pieces = [
        Some(parameter.meaning.to_owned()),
        kind_words(parameter.kind),
        shape_words(parameter.shape).filter(|_| !parameter.meaning.contains("column")),
        parameter.default.map(by_itself),
        parameter.usual.as_ref().map(|usual| usually(usual, parameter.kind)),
    ];
    let pieces: Vec<String> = pieces.into_iter().flatten().collect();
    pieces.join("; ")
}

fn kind_words(kind: ParameterKind) -> Option<String> {
    match kind {
        ParameterKind::Word(words) => Some(format!("one of {}", in_quotes(words))),
        ParameterKind::NumberOrWord(words) => Some(format!("a number, or one of {}", in_quotes(words))),
        ParameterKind::Truth => Some("true or false".to_owned()),
        ParameterKind::Times => Some("clock times, moments or durations".to_owned()),
        ParameterKind::Moment => Some("a date".to_owned()),
        ParameterKind::Clock => Some("a clock time".to_owned()),
        ParameterKind::Time => Some("a clock time, a counted time or a moment".to_owned()),
        ParameterKind::Schedule(_) => Some("one value, `steps(…)` or `ramps(…)`".to_owned()),
        ParameterKind::Table("") => None,
        ParameterKind::Table(of) => Some(format!("a table that `{of}` made, by its name")),
        ParameterKind::Names => Some("texts".to_owned()),
        ParameterKind::AnyQuantity => Some("in any unit".to_owned()),
        ParameterKind::LikeFirst => Some("of the kind of the first".to_owned()),
        ParameterKind::Quantity("") => Some("a plain number".to_owned()),
        ParameterKind::Quantity(_) | ParameterKind::Level | ParameterKind::Anything => None,
    }
}

fn in_quotes(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    quoted.join(", ")
}

fn shape_words(shape: Shape) -> Option<String> {
    match shape {
        Shape::Single => None,
        Shape::Column => Some("a whole column".to_owned()),
        Shape::Several => Some("a column, or several values".to_owned()),
    }
}

fn usually(usual: &UsualRange, kind: ParameterKind) -> String {
    let unit = match kind {
        ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit) => unit,
        ParameterKind::Level => "dB",
        _ => "",
    };
    let range = with_unit(&format!("{} to {}", usual.low, usual.high), unit);
    match usual.source.standing {
        Standing::CommonPractice => format!("usually {range}"),
        _ => format!("usually {range} ({})", cited(&usual.source)),
    }
}

fn cited(source: &Source) -> String {
    format!("{}; {}", source.title, source.standing.word())
}

fn given(function: &Function) -> String {
    match function.result {
        ResultKind::Quantity("") => "a plain number".to_owned(),
        ResultKind::Quantity(unit) => match Unit::parse(unit) {
            Ok(parsed) if !parsed.measures().starts_with('`') => format!("{}, in {unit}", parsed.measures()),
            _ => format!("a quantity in {unit}"),
        },
        ResultKind::Text => "a text".to_owned(),
        ResultKind::Moment => "a date".to_owned(),
        ResultKind::Clock => "a clock time".to_owned(),
        ResultKind::Time => "a counted time, or a moment where it comes after one".to_owned(),
        ResultKind::Along => "a time of the kind of the first column, or hours".to_owned(),
        ResultKind::Table(_) => "a table".to_owned(),
        ResultKind::Level => "a sound level, in dB".to_owned(),
        ResultKind::LikeFirst => "in the unit of the first value".to_owned(),
        ResultKind::SecondOverFirst => "in the unit of the second column over that of the first".to_owned(),
        ResultKind::LikeSecond => "in the unit of the second column".to_owned(),
        ResultKind::Special => "in the unit that follows from the first value".to_owned(),
    }
}

fn rule(page: &mut Layout, function: &Function) {
    page.heading("Rule");
    page.prose(function.formula);
    if let Some(error) = function.rule_error {
        page.care(&format!("The rule itself may be off by {error}, besides its inputs."));
    }
    if !function.range.is_empty() {
        page.prose(&sentence(&format!("covers: {}", function.range)));
    }
    if !function.notes.is_empty() {
        page.prose(function.notes);
    }
}

fn sources(page: &mut Layout, function: &Function) {
    if function.sources.is_empty() {
        return;
    }
    page.heading("Source, and its standing");
    for source in function.sources {
        page.prose(&cited(source));
    }
}

fn rivals(page: &mut Layout, function: &Function) {
    for (others, difference) in beside(function.name) {
        page.heading("Beside it, and not the same");
        page.prose(difference);
        let rows = others.iter().map(|other| {
            let cited: Vec<String> = other.sources.iter().map(cited).collect();
            (
                other.name.to_owned(),
                format!("{} ({})", other.summary, cited.join("; ")),
            )
        });
        page.list(&rows.collect::<Vec<_>>());
    }
}

fn cautions(page: &mut Layout, function: &Function) {
    if function.cautions.is_empty() {
        return;
    }
    page.heading("Cautions");
    for caution in function.cautions {
        told_caution(page, caution);
    }
    page.prose(CLOSING);
}

fn told_caution(page: &mut Layout, caution: &Caution) {
    page.care(caution.code);
    page.prose(&sentence(caution.text));
    page.faint(&cited(&caution.source));
}

/// A caution by its code: what it says, its source, and the functions that always carry it.
pub fn caution_page(caution: &'static Caution, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading("A caution of reports");
    told_caution(&mut page, caution);
    page.prose(CLOSING);
    let carries = |function: &&'static Function| function.cautions.iter().any(|known| known.code == caution.code);
    let found: Vec<&'static Function> = functions().filter(carries).collect();
    if !found.is_empty() {
        page.heading("Functions that always carry it");
        page.list(&rows(found));
    }
    page.into_text()
}

fn examples(page: &mut Layout, function: &Function) {
    if function.examples.is_empty() {
        return;
    }
    page.heading("Examples");
    page.sample(function.example_table);
    for example in function.examples {
        page.sample(&format!("{}\n  {}", example.call, example.result));
    }
}
