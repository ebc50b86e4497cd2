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

/// The rules as many editors share them, and those of two that read a format of their own.
const SHARED: &str = "grammar/tarebook.tmLanguage.json";
const VIM: &str = "grammar/tarebook.vim";
const KATE: &str = "grammar/tarebook.xml";
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

/// A date, or a clock time, which may say its half of the day and its day.
fn date() -> String {
    let clock = r"\d{1,2}:\d{2}(?::\d{2})?(?:[ \t]*[AaPp][Mm])?";
    let days = r"(?:[ \t]*\([ \t]*[+−–-][ \t]*\d+[ \t]*d[ \t]*\))?";
    format!(r"\b\d{{4}}-\d{{2}}-\d{{2}}(?:[Tt ]{clock})?\b|\b{clock}\b{days}")
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
                &date(),
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

/// A pattern in which only what has a backslash before it is a sign.
fn vim_any<'a>(words: impl Iterator<Item = &'a str>) -> String {
    let mut words: Vec<&str> = words.collect();
    words.sort_by_key(|word| (std::cmp::Reverse(word.len()), *word));
    words.dedup();
    let escaped: Vec<String> = words.iter().map(|word| word.replace('/', r"\/")).collect();
    format!(r"\%({}\)", escaped.join(r"\|"))
}

/// The same rules as a file of Vim's, which Neovim reads as well.
fn vim() -> String {
    let plain = vim_any(symbols().flat_map(|symbol| symbol.spellings()));
    let takers = symbols().filter(|symbol| symbol.takes_prefixes());
    let takers = vim_any(takers.flat_map(|symbol| symbol.spellings()));
    let one = format!(r"\%({plain}\|\[nµμmckMG]{takers}\)\[2-9]\?");
    let unit = format!(r"\V{one}\%(\[\/·]\%({one}\|({one}\%(\[·*\/]{one}\)\*)\)\)\*\%(\k\|°\)\@!");
    let opening = vim_any(openings());
    let words = vim_any(inner_words());
    let functions = vim_any(functions().map(|function| function.name));
    let number = r"\d\+\%(_\d\+\)*\%(\.\d\+\%(_\d\+\)*\)\?\%([eE][+-]\?\d\+\)\?";
    let lines = [
        "\" Rules for worksheets. `tests/highlighting.rs` makes them from the lists of the program.".to_owned(),
        "if exists('b:current_syntax')\n  finish\nendif".to_owned(),
        "syntax case match".to_owned(),
        r"syntax match tarebookOperator /<=\|>=\|<>\|[=<>≤≥≠+*^×·÷−–-]\|\//".to_owned(),
        format!(r"syntax match tarebookWord /\V\<{words}\>/"),
        format!(r"syntax match tarebookFunction /\V\<{functions}\>\ze\s\*(/"),
        format!(r"syntax match tarebookNumber /\<{number}/ nextgroup=tarebookUnit skipwhite"),
        format!(r"syntax match tarebookUnit /{unit}/ contained"),
        r"syntax match tarebookSign /[$€£]/ nextgroup=tarebookNumber skipwhite".to_owned(),
        r"syntax match tarebookDate /\<\d\{4}-\d\d-\d\d\%([Tt ]\d\{1,2}:\d\d\%(:\d\d\)\?\%(\s*[AaPp][Mm]\)\?\)\?\>/".to_owned(),
        r"syntax match tarebookDate /\<\d\{1,2}:\d\d\%(:\d\d\)\?\%(\s*[AaPp][Mm]\)\?\>\%(\s*(\s*[+-]\s*\d\+\s*d\s*)\)\?/".to_owned(),
        r"syntax match tarebookTolerance /±\|+\/-\|\<sd\>\|\<\%(k\|df\)\>\ze\s*=/".to_owned(),
        format!(r"syntax match tarebookBoxed /{unit}/ contained"),
        r"syntax match tarebookBoxed /h:min/ contained".to_owned(),
        "syntax region tarebookBrackets start=/\\[/ end=/\\]/ oneline \
         contains=tarebookBoxed,tarebookNumber,tarebookTolerance"
            .to_owned(),
        r#"syntax region tarebookText start=/"/ skip=/\\./ end=/"/ oneline"#.to_owned(),
        r#"syntax region tarebookText start=/[“”„]/ skip=/\\./ end=/[“”"]/ oneline"#.to_owned(),
        format!(r"syntax match tarebookOpening /\V\^\s\*{opening}\>/"),
        r"syntax match tarebookRemark /\%(^\|\s\)\@1<=--\%(\s\|$\)\@=.*$/".to_owned(),
        r"syntax match tarebookProse /^\s*>.*$/".to_owned(),
        r"syntax match tarebookHeading /^\s*#\{1,3}.*$/".to_owned(),
    ];
    let links = [
        ("Opening", "Keyword"),
        ("Word", "Keyword"),
        ("Function", "Function"),
        ("Number", "Number"),
        ("Date", "Number"),
        ("Unit", "Type"),
        ("Boxed", "Type"),
        ("Sign", "Type"),
        ("Tolerance", "Special"),
        ("Operator", "Operator"),
        ("Text", "String"),
        ("Remark", "Comment"),
        ("Prose", "SpecialComment"),
        ("Heading", "Title"),
    ];
    let links = links.map(|(own, shared)| format!("highlight default link tarebook{own} {shared}"));
    format!(
        "{}\n{}\nlet b:current_syntax = 'tarebook'\n",
        lines.join("\n"),
        links.join("\n")
    )
}

/// The same rules as a definition of the syntax library that Kate reads.
fn kate() -> String {
    let xml = |text: &str| {
        let text = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        text.replace('"', "&quot;")
    };
    let rule = |attribute: &str, pattern: &str, context: &str| {
        let pattern = xml(pattern);
        format!("        <RegExpr attribute=\"{attribute}\" context=\"{context}\" String=\"{pattern}\"/>\n")
    };
    let here = |attribute: &str, pattern: &str| rule(attribute, pattern, "#stay");
    let number = r"\d+(?:_\d+)*(?:\.\d+(?:_\d+)*)?(?:[eE][+-]?\d+)?";
    let at_start = |pattern: &str| format!(r"^\x{{FEFF}}?\s*{pattern}");
    let called = format!(
        r"{}(?=\s*\()",
        word(&alternatives(functions().map(|function| function.name)))
    );
    let tolerance = format!(r"±|\+/-|{}|{NO_LETTER_BEFORE}(?:k|df)(?=\s*=)", word("sd"));
    let quantity = rule("Number", &format!("{NO_LETTER_BEFORE}{number}"), "Unit") + &here("Unit", "[$€£]");
    let rules = [
        here("Heading", &at_start("#{1,3}.*$")),
        here("Prose", &at_start(">.*$")),
        here("Remark", r"(?:^|(?<=\s))--(?=\s|$).*$"),
        here(
            "Opening",
            &at_start(&format!("(?:{}){NO_LETTER_BEHIND}", alternatives(openings()))),
        ),
        here("Text", r#""(?:[^"\\]|\\.)*(?:"|$)|[“”„](?:[^“”"\\]|\\.)*(?:[“”"]|$)"#),
        rule("Operator", r"\[", "Brackets"),
        here("Number", &date()),
        quantity.clone(),
        here("Tolerance", &tolerance),
        here("Word", &word(&alternatives(inner_words()))),
        here("Function", &called),
        here("Operator", r"<=|>=|<>|[=<>≤≥≠+*/^×·÷−–-]"),
        here("Plain", NAME),
    ];
    let styles = [
        ("Plain", "dsNormal"),
        ("Heading", "dsRegionMarker"),
        ("Prose", "dsDocumentation"),
        ("Remark", "dsComment"),
        ("Opening", "dsKeyword"),
        ("Word", "dsKeyword"),
        ("Function", "dsFunction"),
        ("Text", "dsString"),
        ("Number", "dsDecVal"),
        ("Unit", "dsDataType"),
        ("Tolerance", "dsSpecialChar"),
        ("Operator", "dsOperator"),
    ];
    let styles = styles.map(|(own, shared)| format!("      <itemData name=\"{own}\" defStyleNum=\"{shared}\"/>\n"));
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE language>\n\
         <!-- Rules for worksheets. `tests/highlighting.rs` makes them from the lists of the program. -->\n\
         <language name=\"Tarebook\" section=\"Scientific\" extensions=\"*.tare\" version=\"1\" kateversion=\"5.0\">\n  \
         <highlighting>\n    <contexts>\n      \
         <context name=\"Line\" attribute=\"Plain\" lineEndContext=\"#stay\">\n{}      </context>\n      \
         <context name=\"Unit\" attribute=\"Plain\" lineEndContext=\"#pop\" fallthroughContext=\"#pop\">\n        \
         <DetectSpaces/>\n{}      </context>\n      \
         <context name=\"Brackets\" attribute=\"Plain\" lineEndContext=\"#pop\">\n{}{}{}{}      </context>\n    \
         </contexts>\n    <itemDatas>\n{}    </itemDatas>\n  </highlighting>\n  <general>\n    <comments>\n      \
         <comment name=\"singleLine\" start=\"--\"/>\n    </comments>\n  </general>\n</language>\n",
        rules.concat(),
        rule("Unit", &unit(), "#pop"),
        rule("Operator", r"\]", "#pop"),
        quantity,
        here("Tolerance", &tolerance),
        here("Unit", &format!("h:min|{}", unit())),
        styles.concat(),
    )
}

#[test]
fn the_rules_are_those_of_the_lists() {
    check_file(
        SHARED,
        &format!("{}\n", serde_json::to_string_pretty(&rules()).unwrap()),
    );
    check_file(VIM, &vim());
    check_file(KATE, &kate());
}

fn check_file(name: &str, wanted: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    if std::env::var_os("INSTA_UPDATE").is_some_and(|value| value == "always") {
        fs::write(&path, wanted).unwrap();
    }
    let there = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        there == wanted,
        "{name} says something else than the lists of the program; \
         `INSTA_UPDATE=always cargo test --test highlighting` writes it anew"
    );
}

/// What a piece of a line is, as Vim sees it; nothing where there is no Vim.
fn seen_by_vim(line: &str, piece: &str) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("sheet.tare");
    let told = folder.path().join("told");
    fs::write(&file, format!("{line}\n")).unwrap();
    let rules = Path::new(env!("CARGO_MANIFEST_DIR")).join(VIM);
    let column = line.find(piece).unwrap() + 1;
    let asked = format!(
        "call writefile([synIDattr(synID(1, {column}, 1), 'name')], '{}')",
        told.display()
    );
    let source = format!("source {}", rules.display());
    let commands = ["set encoding=utf-8", "syntax on", &source, &asked, "qall!"];
    let mut vim = std::process::Command::new("vim");
    vim.args(["-u", "NONE", "-i", "NONE", "-n", "-es", "--not-a-term"]);
    for command in commands {
        vim.args(["-c", command]);
    }
    vim.arg(&file).output().ok()?;
    let told = fs::read_to_string(&told).ok()?;
    Some(told.trim().trim_start_matches("tarebook").to_owned())
}

#[test]
fn vim_sees_what_is_meant() {
    let line = "quoted fuel [BTU/(h·ft2·F°)] = net_contents(24.6 lb, 20mL) ± 3 % from \"a lb\" -- 3 lb";
    for (piece, wanted) in [
        ("quoted", "Opening"),
        ("fuel", ""),
        ("BTU", "Boxed"),
        ("ft2", "Boxed"),
        ("net_c", "Function"),
        ("24.6", "Number"),
        ("lb,", "Unit"),
        ("mL", "Unit"),
        ("±", "Tolerance"),
        ("%", "Unit"),
        ("from", "Word"),
        ("a lb", "Text"),
        ("3 lb", "Remark"),
    ] {
        if let Some(seen) = seen_by_vim(line, piece) {
            assert_eq!(seen, wanted, "{piece}");
        }
    }
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
        "tarebook.vim",
        "tarebook.xml",
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
