//! Units: all of them by what they measure, and one with what it converts to.
//!
//! Start reading at [`units_page`].

use crate::number::Number;
use crate::unit::symbol::{self, Symbol, symbols};
use crate::unit::{Unit, conversion};

use super::super::digits::with_unit;
use super::super::layout::Layout;
use super::super::style::Style;
use super::super::visible::visible;

/// The digits a conversion is shown to.
const DIGITS: u32 = 8;

const HOW_THEY_STAND: &str = "A unit stands right after a number or inside brackets. Units are made with at most one `/`, products with `·` or `*`, powers as a digit: `BTU/(h·ft2·F°)`. n µ m c k M G may stand before g, m, s, L, Pa, J, W, Wh, V, A, VA, ohm and Hz. The plain keyboard types degF, degC, Fdeg, Cdeg.";

/// All units by what they measure, or those that a word names or describes.
///
/// # Errors
/// One line that says that there is none, with the nearest.
pub fn units_page(word: Option<&str>, style: Style) -> Result<String, String> {
    let Some(word) = word.map(str::trim).filter(|word| !word.is_empty()) else {
        return Ok(all(style));
    };
    if let Some(symbol) = symbol::symbol(word) {
        return Ok(one(symbol, style));
    }
    if let Ok(unit) = Unit::parse(word) {
        return Ok(compound(unit, style));
    }
    let found = described(word);
    match found.as_slice() {
        [] => Err(unknown(word)),
        [symbol] => Ok(one(symbol, style)),
        _ => Ok(several(word, &found, style)),
    }
}

fn unknown(word: &str) -> String {
    let word = visible(word);
    match symbol::nearest(&word) {
        Some(near) => format!("there is no unit `{word}`; the nearest is `{near}`"),
        None => format!("there is no unit `{word}`; `units` alone lists them all"),
    }
}

/// The units that a word describes: those that say it as a whole word, else those that have a
/// word which begins so, else, for a longer word, those that have it anywhere: `pascal` is in
/// "kilopascal", and `sure` is not asked for by "pressure".
fn described(word: &str) -> Vec<&'static Symbol> {
    let word = word.to_lowercase();
    let tests: [&dyn Fn(&str) -> bool; 3] = [
        &|said| words_of(said).any(|one| one == word) || word.contains(' ') && said.contains(&word),
        &|said| words_of(said).any(|one| one.starts_with(&word)),
        &|said| word.chars().count() > 4 && said.contains(&word),
    ];
    let found = tests.iter().map(|test| {
        let says = |symbol: &&Symbol| {
            let mut said = [symbol.words(), symbol.measures()].into_iter();
            said.any(|said| test(&said.to_lowercase()))
        };
        symbols().filter(says).collect::<Vec<_>>()
    });
    found.into_iter().find(|found| !found.is_empty()).unwrap_or_default()
}

fn words_of(said: &str) -> impl Iterator<Item = &str> {
    said.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
}

fn all(style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading("Units, by what they measure");
    let mut rows: Vec<(String, String)> = Vec::new();
    for symbol in symbols().filter(|symbol| !symbol.is_currency()) {
        match rows.iter_mut().find(|(measures, _)| measures == symbol.measures()) {
            Some((_, shown)) => shown.push_str(&format!(" {}", symbol.shown())),
            None => rows.push((symbol.measures().to_owned(), symbol.shown().to_owned())),
        }
    }
    let currencies = symbols().filter(|symbol| symbol.is_currency()).count();
    let money = format!("$ € £ and the codes of ISO 4217, {currencies} in all");
    rows.push(("money".to_owned(), money));
    page.list(&rows);
    page.gap();
    page.prose(HOW_THEY_STAND);
    page.faint("`units WORD` tells about one: `units psig`, `units pressure`.");
    page.into_text()
}

fn several(word: &str, found: &[&Symbol], style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&format!("Units that have to do with {}", visible(word)));
    let rows = found.iter().map(|symbol| {
        let said = format!("{}: {}", symbol.words(), symbol.measures());
        (symbol.shown().to_owned(), said)
    });
    page.list(&rows.collect::<Vec<_>>());
    page.into_text()
}

fn one(symbol: &Symbol, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&format!(
        "{}: {}, {}",
        symbol.shown(),
        symbol.words(),
        symbol.measures()
    ));
    let also: Vec<&str> = symbol.spellings().filter(|s| *s != symbol.shown()).collect();
    if !also.is_empty() {
        page.prose(&format!("Also spelled {}.", also.join(", ")));
    }
    if symbol.takes_prefixes() {
        page.prose("n µ m c k M G may stand before it.");
    }
    if let Ok(unit) = Unit::parse(symbol.shown()) {
        about_points(&mut page, unit);
        equals(&mut page, unit);
    }
    page.into_text()
}

fn compound(unit: Unit, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&format!("{unit}: {}", unit.measures()));
    page.prose("A unit made of others; it converts to every other that measures the same.");
    equals(&mut page, unit);
    page.into_text()
}

fn about_points(page: &mut Layout, unit: Unit) {
    if unit.is_point() {
        let interval = unit.interval();
        page.prose(&format!(
            "A point on a scale. The difference of two is in {interval}; two points can't be added, and a point can't be multiplied. `mean(a, b)` is the middle, `absolute(x)` the distance from absolute zero."
        ));
    } else if let Some(scale) = unit.on_scale() {
        page.prose(&format!(
            "A difference, or counted from nothing; a point on the scale is {scale}."
        ));
    }
}

/// How much one of it is in the other listed units it meets.
fn equals(page: &mut Layout, unit: Unit) {
    let mut lines = Vec::new();
    for symbol in symbols().filter(|symbol| !symbol.is_currency()) {
        let other = Unit::parse(symbol.shown()).ok().filter(|other| *other != unit);
        lines.extend(other.and_then(|other| equality(unit, other)));
    }
    if !lines.is_empty() {
        page.heading("The same in other units");
        page.sample(&lines.join("\n"));
    }
}

/// `1 lb = 16 oz`; turned round, `1 h = 60 min`, where only that is exact.
fn equality(unit: Unit, other: Unit) -> Option<String> {
    let forward = counted(unit, other)?;
    if forward.exact {
        return Some(forward.text);
    }
    let backward = counted(other, unit).filter(|backward| backward.exact);
    Some(backward.unwrap_or(forward).text)
}

struct Counted {
    text: String,
    exact: bool,
}

/// One of a unit, or the zero of a scale, in another.
fn counted(unit: Unit, other: Unit) -> Option<Counted> {
    let conversion = conversion(unit, other)?;
    let start = if unit.is_point() { Number::ZERO } else { Number::ONE };
    let value = conversion.apply(start).ok()?;
    let rounded = value.round_significant(DIGITS);
    let exact = rounded == value;
    let one = with_unit(&start.to_plain(), &unit.to_string());
    let other = with_unit(&rounded.to_plain(), &other.to_string());
    let sign = if exact { "=" } else { "≈" };
    Some(Counted {
        text: format!("{one} {sign} {other}"),
        exact,
    })
}
