//! The list of all functions, and finding one: by name, word, unit or chapter.
//!
//! Chapters list their functions as data; here they are one list, and a sorted
//! index for the checker, which asks by name. Start reading at [`function`].

use std::sync::OnceLock;

use crate::unit::{Unit, conversion, quotient};

use super::{
    Body, Built, Chapter, Fit, Function, ParameterKind, ResultKind, agreement, air, burn, cords, cylinder,
    cylinder_run, engine, film_seen, fuels, general, load, propane, sound, stock, swap_plan, upkeep, vaporizing, wall,
};

/// Every function, chapter by chapter.
pub fn functions() -> impl Iterator<Item = &'static Function> {
    Chapter::ALL.into_iter().flat_map(by_chapter)
}

/// The functions of a chapter, in the order of the reference.
pub fn by_chapter(chapter: Chapter) -> impl Iterator<Item = &'static Function> {
    all().filter(move |function| function.chapter == chapter)
}

/// Every function, file by file.
fn all() -> impl Iterator<Item = &'static Function> {
    let files: [&'static [Function]; 18] = [
        &cylinder::FUNCTIONS,
        &propane::FUNCTIONS,
        &fuels::FUNCTIONS,
        &burn::FUNCTIONS,
        &agreement::FUNCTIONS,
        &engine::FUNCTIONS,
        &stock::FUNCTIONS,
        &swap_plan::FUNCTIONS,
        &vaporizing::FUNCTIONS,
        &cylinder_run::FUNCTIONS,
        &air::FUNCTIONS,
        &wall::FUNCTIONS,
        &film_seen::FUNCTIONS,
        &load::FUNCTIONS,
        &upkeep::FUNCTIONS,
        &cords::FUNCTIONS,
        &sound::FUNCTIONS,
        &general::FUNCTIONS,
    ];
    files.into_iter().flatten()
}

/// The function of that name, or that was called so once.
pub fn function(name: &str) -> Option<&'static Function> {
    let index = index();
    let at = index.binary_search_by(|(known, _)| (*known).cmp(name)).ok()?;
    index.get(at).map(|(_, function)| *function)
}

/// The name of what the evaluator works itself.
pub fn name_of(built: Built) -> &'static str {
    named_by(|body| matches!(body, Body::Built(known) if *known == built))
}

/// The name of what is asked of a straight line.
pub(crate) fn name_of_fit(fit: Fit) -> &'static str {
    named_by(|body| matches!(body, Body::Fit(known) if *known == fit))
}

fn named_by(is_it: impl Fn(&Body) -> bool) -> &'static str {
    let found = all().find(|function| is_it(&function.body));
    found.map_or("", |function| function.name)
}

/// Every function by its name and by what it was called once, sorted.
fn index() -> &'static [(&'static str, &'static Function)] {
    static INDEX: OnceLock<Vec<(&'static str, &'static Function)>> = OnceLock::new();
    INDEX.get_or_init(|| {
        let once = all().filter(|function| !function.once.is_empty());
        let once = once.map(|function| (function.once, function));
        let mut sorted: Vec<_> = all().map(|function| (function.name, function)).chain(once).collect();
        sorted.sort_by_key(|(name, _)| *name);
        sorted
    })
}

/// The functions whose declaration has a word in it, those named so first. Of several
/// words those that are in most come first; small words such as `how` count for nothing.
pub fn search(words: &str) -> Vec<&'static Function> {
    let words = words.to_lowercase();
    let mut found: Vec<&'static Function> = functions().filter(|function| mentions(function, &words)).collect();
    found.sort_by_key(|function| !function.name.contains(&words));
    if found.is_empty() {
        return search_by_word(&words);
    }
    found
}

/// Each word for itself, and what else the trade calls it.
fn search_by_word(words: &str) -> Vec<&'static Function> {
    const SMALL: [&str; 31] = [
        "a", "an", "and", "are", "at", "can", "do", "does", "fast", "for", "from", "how", "i", "in", "is", "it", "its",
        "long", "many", "much", "my", "of", "on", "the", "to", "what", "when", "will", "with", "which", "why",
    ];
    let apart = words
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()));
    let telling: Vec<&str> = apart.filter(|word| !word.is_empty() && !SMALL.contains(word)).collect();
    let mut ranked: Vec<(usize, &'static Function)> = functions()
        .map(|function| (telling.iter().filter(|word| tells_of(function, word)).count(), function))
        .filter(|(count, _)| *count > 0)
        .collect();
    let best = ranked.iter().map(|(count, _)| *count).max().unwrap_or(0);
    ranked.retain(|(count, _)| *count == best);
    ranked.sort_by_key(|(_, function)| !telling.iter().any(|word| function.name.contains(word)));
    ranked.into_iter().map(|(_, function)| function).collect()
}

/// Whether a function mentions the word, or another for the same thing.
fn tells_of(function: &Function, word: &str) -> bool {
    const ALSO: [(&str, &str); 10] = [
        ("freeze", "frost"),
        ("freezes", "frost"),
        ("freezing", "frost"),
        ("frosting", "frost"),
        ("frosts", "frost"),
        ("starve", "stall"),
        ("starves", "stall"),
        ("draws", "draw"),
        ("lasts", "last"),
        ("noise", "sound"),
    ];
    let other = ALSO.iter().find(|(said, _)| *said == word).map(|(_, meant)| *meant);
    mentions(function, word) || other.is_some_and(|other| mentions(function, other))
}

fn mentions(function: &Function, word: &str) -> bool {
    let texts = [
        function.name,
        function.summary,
        function.formula,
        function.notes,
        function.range,
        function.chapter.title(),
    ];
    let sources = function.sources.iter().map(|source| source.title);
    let parameters = function.parameters.iter();
    let parameters = parameters.flat_map(|parameter| [parameter.name, parameter.meaning]);
    (texts.into_iter().chain(sources).chain(parameters)).any(|text| begins_a_word(&text.to_lowercase(), word))
}

/// Whether a word of the text begins so: `oil` is in "oil change", not in "boiling".
fn begins_a_word(text: &str, start: &str) -> bool {
    text.match_indices(start).any(|(place, _)| {
        let before = text.get(..place).and_then(|before| before.chars().next_back());
        !before.is_some_and(char::is_alphanumeric)
    })
}

/// The functions that take the one kind of quantity and give the other.
pub fn by_units(from: Unit, to: Unit) -> Vec<&'static Function> {
    functions()
        .filter(|function| takes(function, from) && gives(function, to))
        .collect()
}

/// The functions that take the one kind of quantity by the hour and give the other, and
/// that don't take it as it is: what turns pounds an hour into heat, for pounds.
pub fn by_hourly(from: Unit, to: Unit) -> Vec<&'static Function> {
    let hourly = Unit::parse("h").ok().and_then(|hour| quotient(from, hour));
    let Some(hourly) = hourly.map(|combined| combined.unit) else {
        return Vec::new();
    };
    let mut found = by_units(hourly, to);
    found.retain(|function| !takes(function, from));
    found
}

fn takes(function: &Function, unit: Unit) -> bool {
    function.parameters.iter().any(|parameter| match parameter.kind {
        ParameterKind::Quantity(declared) | ParameterKind::Schedule(declared) => meets(unit, declared),
        ParameterKind::Level => meets(unit, "dB"),
        ParameterKind::Times => meets(unit, "h"),
        _ => false,
    })
}

fn gives(function: &Function, unit: Unit) -> bool {
    match function.result {
        ResultKind::Quantity(declared) => meets(unit, declared),
        ResultKind::Level => meets(unit, "dB"),
        ResultKind::Table(columns) => columns.iter().any(|column| meets(unit, column.unit)),
        _ => false,
    }
}

fn meets(unit: Unit, declared: &str) -> bool {
    if declared.is_empty() {
        return unit == Unit::ONE;
    }
    match Unit::parse(declared) {
        Ok(declared) => conversion(unit, declared).is_some(),
        Err(_) => false,
    }
}

/// The names nearest to a mistyped one, the nearest first: at most three.
pub fn nearest(name: &str) -> Vec<&'static str> {
    let mut scored: Vec<(f64, &'static str)> = functions()
        .map(|function| (strsim::jaro_winkler(name, function.name), function.name))
        .filter(|(score, _)| *score >= 0.8)
        .collect();
    scored.sort_by(|left, right| right.0.total_cmp(&left.0));
    scored.into_iter().take(3).map(|(_, name)| name).collect()
}
