//! The highlighting rules in `grammar/`: made from the lists that the program reads
//! by, so that they can't say anything else. With `INSTA_UPDATE=always` the file is
//! written anew. Also what `grammar/editors.md` promises.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use tarebook::syntax::{inner_words, openings};
use tarebook::trade::registry::functions;
use tarebook::unit::Unit;
use tarebook::unit::symbol::symbols;

const FILE: &str = "grammar/tarebook.tmLanguage.json";
/// A name, and what may not stand on either side of a word.
const NAME: &str = r"[\p{L}_][\p{L}\p{M}\p{Nd}_]*";
const NO_LETTER_BEFORE: &str = r"(?<![\p{L}\p{M}\p{Nd}_])";
const NO_LETTER_BEHIND: &str = r"(?![\p{L}\p{M}\p{Nd}_])";

/// The words as alternatives, longer ones first, so that none hides another.
fn alternatives<'a>(words: impl Iterator<Item = &'a str>) -> String {
    let mut words: Vec<&str> = words.collect();
    words.sort_by_key(|word| (std::cmp::Reverse(word.len()), *word));
    words.dedup();
    let escaped: Vec<String> = words.iter().map(|word| escaped(word)).collect();
    escaped.join("|")
}

fn escaped(word: &str) -> String {
    let special = |c: char| r"\^$.|?*+()[]{}/".contains(c);
    word.chars()
        .flat_map(|c| special(c).then_some('\\').into_iter().chain([c]))
        .collect()
}

fn word(words: &str) -> String {
    format!("{NO_LETTER_BEFORE}({words}){NO_LETTER_BEHIND}")
}

fn rule(name: &str, pattern: &str) -> Value {
    json!({ "name": format!("{name}.tarebook"), "match": pattern })
}

fn include(names: &[&str]) -> Value {
    let names = names.iter().map(|name| json!({ "include": format!("#{name}") }));
    Value::Array(names.collect())
}

/// A unit as the list spells it: symbols with powers, joined by strokes and dots.
fn unit() -> String {
    let plain: Vec<&str> = symbols().flat_map(|symbol| symbol.spellings()).collect();
    let takers = symbols().filter(|symbol| symbol.takes_prefixes());
    let takers = alternatives(takers.flat_map(|symbol| symbol.spellings()));
    let one = format!("(?:{}|[nµμmckMG](?:{takers}))[2-9]?", alternatives(plain.into_iter()));
    format!(r"{one}(?:[\/·](?:{one}|\({one}(?:[·*\/]{one})*\)))*(?![\p{{L}}\p{{M}}\p{{Nd}}_°])")
}

fn text(open: &str, close: &str) -> Value {
    json!({
        "name": "string.quoted.double.tarebook",
        "begin": open,
        "end": format!("{close}|$"),
        "patterns": [rule("constant.character.escape", r#"\\(?:["\\n]|u\{[0-9A-Fa-f]+\})"#)],
    })
}

/// The whole set of rules.
fn rules() -> Value {
    let named = openings().filter(|word| !matches!(*word, "expect" | "plot"));
    let truths = ["true", "false"];
    let inner = inner_words().filter(|word| !truths.contains(word));
    let number = r"\d+(?:_\d+)*(?:\.\d+(?:_\d+)*)?(?:[eE][+-]?\d+)?";
    json!({
        "name": "Tarebook",
        "scopeName": "source.tarebook",
        "fileTypes": ["tare"],
        "patterns": include(&["heading", "prose", "remark", "opening", "bar", "expression"]),
        "repository": {
            "heading": {
                "match": r"^\x{FEFF}?\s*(#{1,3})(.*)$",
                "name": "markup.heading.tarebook",
                "captures": { "1": { "name": "punctuation.definition.heading.tarebook" } },
            },
            "prose": rule("markup.quote", r"^\x{FEFF}?\s*>.*$"),
            "remark": rule("comment.line.double-dash", r"(?:^|(?<=\s))--(?=\s|$).*$"),
            "opening": { "patterns": [
                {
                    "match": format!(r"^\x{{FEFF}}?\s*({}){NO_LETTER_BEHIND}\s*({NAME})?", alternatives(named)),
                    "captures": {
                        "1": { "name": "keyword.control.tarebook" },
                        "2": { "name": "entity.name.type.tarebook" },
                    },
                },
                {
                    "match": format!(r"^\x{{FEFF}}?\s*({}){NO_LETTER_BEHIND}", alternatives(openings())),
                    "captures": { "1": { "name": "keyword.control.tarebook" } },
                },
            ] },
            "bar": rule("punctuation.separator.table", r"\|"),
            "expression": { "patterns": include(&[
                "remark", "text", "brackets", "time", "quantity", "tolerance", "word", "call", "label", "operator",
                "name",
            ]) },
            "text": { "patterns": [text("\"", "\""), text("[“”„]", "[“”\"]")] },
            "brackets": {
                "begin": r"\[",
                "end": r"\]|$",
                "beginCaptures": { "0": { "name": "punctuation.section.brackets.begin.tarebook" } },
                "endCaptures": { "0": { "name": "punctuation.section.brackets.end.tarebook" } },
                "patterns": [
                    rule("keyword.other.unit", r"h:min"),
                    { "include": "#quantity" },
                    { "include": "#tolerance" },
                    rule("keyword.other.unit", &unit()),
                    { "include": "#operator" },
                ],
            },
            "time": rule(
                "constant.other.date",
                r"\b\d{4}-\d{2}-\d{2}(?:[Tt ]\d{1,2}:\d{2}(?::\d{2})?)?\b|\b\d{1,2}:\d{2}(?::\d{2})?\b",
            ),
            "quantity": { "patterns": [
                {
                    "match": format!(r"{NO_LETTER_BEFORE}({number})(?:[ \t\x{{A0}}\x{{202F}}]*({}))?", unit()),
                    "captures": {
                        "1": { "name": "constant.numeric.tarebook" },
                        "2": { "name": "keyword.other.unit.tarebook" },
                    },
                },
                {
                    "match": format!(r"([$€£])[ \t]*({number})(?:\/({}))?", unit()),
                    "captures": {
                        "1": { "name": "keyword.other.unit.tarebook" },
                        "2": { "name": "constant.numeric.tarebook" },
                        "3": { "name": "keyword.other.unit.tarebook" },
                    },
                },
                rule("keyword.other.unit", r"[$€£]"),
                rule("constant.language.blank", r"\?"),
            ] },
            "tolerance": { "patterns": [
                rule("keyword.operator.tolerance", r"±|\+\/-"),
                rule("keyword.other.tolerance", &format!("{}|{NO_LETTER_BEFORE}(k|df)(?=\\s*=)", word("sd"))),
            ] },
            "word": { "patterns": [
                rule("constant.language.truth", &word(&alternatives(truths.into_iter()))),
                rule("keyword.operator.word", &word(&alternatives(inner))),
            ] },
            "call": { "patterns": [
                rule(
                    "support.function",
                    &format!(r"{}(?=\s*\()", word(&alternatives(functions().map(|function| function.name)))),
                ),
                rule("entity.name.function", &format!(r"{NO_LETTER_BEFORE}{NAME}(?=\s*\()")),
            ] },
            "label": rule("variable.parameter", &format!(r"{NO_LETTER_BEFORE}{NAME}(?=\s*:)")),
            "operator": rule("keyword.operator", r"<=|>=|<>|[=<>≤≥≠+*\/^×·÷−–-]"),
            "name": rule("variable.other", &format!(r"{NO_LETTER_BEFORE}{NAME}(?:\.{NAME})?")),
        },
    })
}

#[test]
fn the_rules_are_those_of_the_lists() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(FILE);
    let wanted = format!("{}\n", serde_json::to_string_pretty(&rules()).unwrap());
    if std::env::var_os("INSTA_UPDATE").is_some_and(|value| value == "always") {
        fs::write(&path, &wanted).unwrap();
    }
    let there = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        there == wanted,
        "{FILE} says something else than the lists of the program; \
         `INSTA_UPDATE=always cargo test --test highlighting` writes it anew"
    );
}

/// The letters that the rules take for prefixes are those that the program takes.
#[test]
fn prefixes_are_those_that_are_read() {
    let taken = |prefix: &str, symbol: &str| Unit::parse(&format!("{prefix}{symbol}")).is_ok();
    for symbol in symbols().filter(|symbol| symbol.takes_prefixes()) {
        for prefix in ["n", "µ", "μ", "m", "c", "k", "M", "G"] {
            assert!(taken(prefix, symbol.shown()), "{prefix}{}", symbol.shown());
        }
    }
    assert!(!taken("T", "W") && !taken("k", "lb"));
}

#[test]
fn every_include_is_there() {
    fn look(value: &Value, repository: &Value) {
        match value {
            Value::Object(fields) => {
                if let Some(name) = fields.get("include") {
                    let name = name.as_str().unwrap().strip_prefix('#').unwrap();
                    assert!(repository.get(name).is_some(), "{name}");
                }
                fields.values().for_each(|inner| look(inner, repository));
            }
            Value::Array(values) => values.iter().for_each(|inner| look(inner, repository)),
            _ => {}
        }
    }
    let rules = rules();
    look(&rules, &rules["repository"]);
}

#[test]
fn the_page_for_editors_names_what_there_is() {
    let page = include_str!("../grammar/editors.md");
    for piece in [
        "tarebook serve",
        "tarebook.tmLanguage.json",
        "\"case\"",
        "\"values\"",
        "*.tare",
    ] {
        assert!(page.contains(piece), "{piece}");
    }
    // Samples of settings in JSON can be read as such.
    let mut samples = 0;
    for sample in page.split("```json\n").skip(1) {
        let sample = sample.split("```").next().unwrap();
        serde_json::from_str::<Value>(sample).unwrap_or_else(|trouble| panic!("{trouble}:\n{sample}"));
        samples += 1;
    }
    assert!(samples >= 2);
}
