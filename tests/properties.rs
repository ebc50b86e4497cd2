//! Random worksheets: edits against fresh loads, trials and cases that leave no
//! trace, loads that repeat, and texts meant to break something.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use proptest::prelude::{Just, Strategy, any, prop_oneof};
use proptest::test_runner::{Config, TestRunner};
use proptest::{collection, prop_assert, prop_assert_eq, sample};

use tarebook::number::Number;
use tarebook::report::compose::{self, Options};
use tarebook::sheet::appraisal::Doubt;
use tarebook::sheet::names::CellId;
use tarebook::sheet::{Held, HeldValue, Holder, Reading, Sheet};
use tarebook::syntax::parse_typed;
use tarebook::syntax::tree::Typed;
use tarebook::text::Span;
use tarebook::unit::Kind;

/// Names of entries; expressions use any of them, defined earlier, later or not at all.
const NAMES: usize = 12;

/// Everything that a sheet says: values, standings, what waits on what, problems, doubts.
fn told(sheet: &Sheet) -> String {
    let mut told = String::new();
    let cells: Vec<CellId> = (0..sheet.cell_count() as u32).map(CellId).collect();
    let appraisal = sheet.appraise(cells.iter().copied());
    for cell in cells {
        let name = sheet.name_of(cell).unwrap_or("expect");
        told.push_str(&format!(
            "{name} {:?} {} {:?} {:?} {}\n",
            sheet.status(cell),
            reading(sheet, cell),
            sheet.shape(cell),
            sheet.waits_on(cell),
            doubt(appraisal.doubts.get(&cell)),
        ));
    }
    for problem in sheet.problems() {
        told.push_str(&format!(
            "{} {:?} {} {:?} {:?} {:?}\n",
            problem.code, problem.place, problem.message, problem.help, problem.label, problem.labels
        ));
    }
    told.push_str(&format!("{:?}", appraisal.cautions));
    told
}

/// A cell's value; a text as its letters, whose number is the pool's affair.
fn reading(sheet: &Sheet, cell: CellId) -> String {
    let is_text = sheet.shape(cell).is_some_and(|shape| shape.kind == Kind::Text);
    match sheet.reading(cell) {
        Reading::Number(number) if is_text => {
            format!("{:?}", sheet.texts().text(number))
        }
        Reading::Column(rows) if is_text => {
            let texts = rows.iter().map(|row| row.map(|number| sheet.texts().text(number)));
            format!("{:?}", texts.collect::<Vec<_>>())
        }
        reading => format!("{reading:?}"),
    }
}

fn doubt(doubt: Option<&Doubt>) -> String {
    match doubt {
        Some(Doubt::One(one)) => format!("{:.9e}", one.standard),
        Some(Doubt::Rows(rows)) => rows.iter().map(|row| format!("{:.9e} ", row.standard)).collect(),
        None => String::new(),
    }
}

// ---- random worksheets ----

fn leaf() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => (0..NAMES).prop_map(|name| format!("n{name}")),
        2 => (-9i32..30).prop_map(|value| format!("({value} lb)")),
        1 => (0i32..5).prop_map(|value| format!("{value}")),
        1 => Just("(2 h)".to_owned()),
        1 => Just("(8 oz)".to_owned()),
        1 => Just("t.a".to_owned()),
        1 => Just("t.b".to_owned()),
        1 => Just("sum(t.a)".to_owned()),
        1 => Just("last(made.contents)".to_owned()),
        1 => Just("made.contents".to_owned()),
        1 => Just("(draw_down_time(made) * (1 lb/h))".to_owned()),
        1 => Just("(if draw_down_end(made) = \"empty\" then (1 lb) else last(plan.left))".to_owned()),
    ]
}

fn expression() -> impl Strategy<Value = String> {
    leaf().prop_recursive(3, 12, 3, |inner| {
        let operators = sample::select(vec!["+", "-", "+", "*", "/"]);
        prop_oneof![
            4 => (inner.clone(), operators, inner.clone()).prop_map(|(a, operator, b)| format!("({a} {operator} {b})")),
            1 => (inner.clone(), inner.clone(), inner.clone(), inner.clone())
                .prop_map(|(a, b, c, d)| format!("(if {a} < {b} then {c} else {d})")),
            1 => (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("max({a}, {b})")),
            1 => inner.clone().prop_map(|a| format!("sum({a} where {a} > 2 lb)")),
            1 => inner.clone().prop_map(|a| format!("twice({a})")),
            1 => inner.prop_map(|a| format!("(-{a})")),
        ]
    })
}

fn line() -> impl Strategy<Value = String> {
    prop_oneof![
        5 => (0..NAMES, expression()).prop_map(|(name, value)| format!("worked n{name} = {value}")),
        4 => (0..NAMES, -5i32..40, 0i32..3).prop_map(|(name, value, tolerance)| match tolerance {
            0 => format!("measured n{name} = {value} lb"),
            _ => format!("measured n{name} = {value} lb ± 0.{tolerance} lb"),
        }),
        1 => (0..NAMES, expression()).prop_map(|(name, value)| format!("worked n{name} [oz] = {value}")),
        1 => (0..NAMES).prop_map(|name| format!("measured n{name} [lb] = ?")),
        1 => (expression(), expression()).prop_map(|(a, b)| format!("expect {a} <= {b} else \"no\"")),
        1 => Just("rule twice(x) = x + x".to_owned()),
        1 => (0i32..9, 0i32..9).prop_map(|(a, b)| format!("table t\n  | a [lb] | b [lb ± 0.1] |\n  | {a} | {b} |\n  | 3 | |")),
        1 => (expression(), 0i32..3).prop_map(|(contents, rate)| format!(
            "table made = draw_down({contents}, 12 in, 20 lb, 24 °F, {rate} lb/h, 14 W/(m2·C°), 10 psig, limit: 2 h)"
        )),
        1 => expression().prop_map(|usable| format!("table plan = swap_plan(made.time, made.rate, {usable} + made.contents)")),
        1 => (0..NAMES, 0i32..9).prop_map(|(name, value)| format!("case c{}\n  n{name} = {value} lb\n  n1 = 3 oz", name % 3)),
        1 => Just("-- a remark".to_owned()),
        1 => Just(String::new()),
    ]
}

fn worksheet() -> impl Strategy<Value = String> {
    (collection::vec(line(), 1..18), any::<bool>()).prop_map(|(lines, crlf)| {
        let end = if crlf { "\r\n" } else { "\n" };
        lines
            .iter()
            .map(|line| format!("{}{end}", line.replace('\n', end)))
            .collect()
    })
}

/// A change of the text: a line put in place of another, one more, one less, or a piece of text anywhere.
#[derive(Clone, Debug)]
enum Edit {
    Line(usize, String),
    Value(usize, String),
    Insert(usize, String),
    Remove(usize),
    Piece(usize, usize, String),
}

fn edit() -> impl Strategy<Value = Edit> {
    let place = any::<usize>();
    prop_oneof![
        3 => (place, line()).prop_map(|(at, line)| Edit::Line(at, line)),
        5 => (place, expression()).prop_map(|(at, value)| Edit::Value(at, value)),
        3 => (place, -5i32..40).prop_map(|(at, value)| Edit::Value(at, format!("{value} lb"))),
        1 => (place, line()).prop_map(|(at, line)| Edit::Insert(at, line)),
        1 => place.prop_map(Edit::Remove),
        1 => (place, 0usize..6, "[a-z0-9 =(\n]{0,4}").prop_map(|(at, length, text)| Edit::Piece(at, length, text)),
    ]
}

/// The span that an edit replaces, and with what.
fn placed(text: &str, edit: &Edit) -> (Span, String) {
    let mut starts = vec![0];
    starts.extend(text.match_indices('\n').map(|(at, _)| at + 1));
    let line = |number: usize| {
        let start = starts[number % starts.len()];
        let end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        (start, end)
    };
    let boundary = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    match edit {
        Edit::Line(number, new) => (Span::new(line(*number).0, line(*number).1), new.clone()),
        Edit::Value(number, new) => {
            let (start, end) = line(*number);
            let value = text[start..end].find(" = ").map_or(end, |at| start + at + 3);
            (Span::new(value, end), new.clone())
        }
        Edit::Insert(number, new) => (Span::at(line(*number).0), format!("{new}\n")),
        Edit::Remove(number) => {
            let (start, end) = line(*number);
            (Span::new(start, (end + 1).min(text.len())), String::new())
        }
        Edit::Piece(at, length, new) => {
            let start = boundary(at % (text.len() + 1));
            (Span::new(start, boundary(start + length)), new.clone())
        }
    }
}

/// The same seed each time, so that a failure stays to be looked at. With
/// `PROPTEST_CASES` set, `cases` of every 256.
fn runner(cases: u32) -> TestRunner {
    let seed = proptest::test_runner::TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha);
    let usual = Config::default();
    let config = Config {
        cases: cases * usual.cases / 256,
        failure_persistence: None,
        ..usual
    };
    TestRunner::new_with_rng(config, seed)
}

#[test]
fn an_edited_sheet_is_a_fresh_one() {
    let strategy = (worksheet(), collection::vec(edit(), 1..8));
    let result = runner(400).run(&strategy, |(text, edits)| {
        let mut sheet = Sheet::load(text, None);
        for edit in &edits {
            let (span, new) = placed(sheet.text(), edit);
            sheet.replace(span, &new);
            let fresh = Sheet::load(sheet.text().to_owned(), None);
            prop_assert_eq!(told(&sheet), told(&fresh), "after {:?} in\n{}", edit, sheet.text());
        }
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

/// What a sheet says, with the lines and items of everything that has a name.
fn placed_and_told(sheet: &Sheet) -> String {
    let cells: Vec<CellId> = (0..sheet.cell_count() as u32).map(CellId).collect();
    let lines: Vec<u32> = cells.iter().map(|cell| sheet.line(sheet.item_of(*cell))).collect();
    let tables: Vec<u32> = sheet.tables().iter().map(|table| sheet.line(table.item)).collect();
    let cases: Vec<u32> = sheet.cases().iter().map(|case| sheet.line(case.item)).collect();
    let mut named: Vec<_> = sheet
        .names()
        .all()
        .map(|(name, named)| (name, format!("{named:?}")))
        .collect();
    named.sort();
    let placed = cases.iter().zip(sheet.cases());
    let placed: Vec<bool> = placed
        .map(|(line, case)| sheet.names().case(&case.name).map(|item| sheet.line(item)) == Some(*line))
        .collect();
    format!("{lines:?} {tables:?} {cases:?} {placed:?} {named:?}\n{}", told(sheet))
}

/// The first line in which what two sheets say differs.
fn difference(one: &Sheet, other: &Sheet) -> Option<(String, String)> {
    let (one, other) = (placed_and_told(one), placed_and_told(other));
    let mut lines = one.lines().zip(other.lines());
    let differs = lines.find(|(one, other)| one != other);
    differs.map(|(one, other)| (one.to_owned(), other.to_owned()))
}

#[test]
fn remarks_and_prose_move_lines_and_nothing_else() {
    let mut texts: Vec<String> = Vec::new();
    for folder in ["notebooks", "notebooks/lessons"] {
        for file in std::fs::read_dir(folder).unwrap() {
            let path = file.unwrap().path();
            if path.extension().is_some_and(|extension| extension == "tare") {
                texts.push(std::fs::read_to_string(path).unwrap());
            }
        }
    }
    texts.push(
        "rule twice(x) = x + x\n\nmeasured a = 3 lb\nworked b = twice(a)\n\ncase far \"Far\"\n  a = 4 lb\n".to_owned(),
    );
    assert!(texts.len() > 15);
    let pieces = [
        "\n",
        "-- a remark\n",
        "> A word in between.\n",
        "## A part\n",
        "\n\n-- two\n",
    ];
    let strategy = (
        any::<usize>(),
        collection::vec((any::<usize>(), 0..pieces.len(), any::<bool>()), 1..6),
    );
    let result = runner(50).run(&strategy, |(text, edits)| {
        let mut sheet = Sheet::load(texts[text % texts.len()].clone(), Some("notebooks".into()));
        for (at, piece, keep) in edits {
            let starts: Vec<usize> = [0]
                .into_iter()
                .chain(sheet.text().match_indices('\n').map(|(at, _)| at + 1))
                .collect();
            let at = starts[at % starts.len()];
            let before = sheet.text().to_owned();
            sheet.replace(Span::at(at), pieces[piece]);
            let fresh = Sheet::load(sheet.text().to_owned(), Some("notebooks".into()));
            prop_assert_eq!(difference(&sheet, &fresh), None, "{:?} at {}", pieces[piece], at);
            if !keep {
                sheet.replace(Span::new(at, at + pieces[piece].len()), "");
                prop_assert_eq!(sheet.text(), &before);
                let fresh = Sheet::load(before, Some("notebooks".into()));
                prop_assert_eq!(difference(&sheet, &fresh), None);
            }
        }
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

#[test]
fn a_load_repeats() {
    let result = runner(200).run(&worksheet(), |text| {
        let (one, other) = (Sheet::load(text.clone(), None), Sheet::load(text, None));
        prop_assert_eq!(told(&one), told(&other));
        let shown = |sheet: &Sheet| format!("{:?}", compose::report(sheet, Options::default()));
        prop_assert_eq!(shown(&one), shown(&other));
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

fn trial(value: i64) -> Held {
    Held {
        value: HeldValue::Number(Number::from_integer(value)),
        tolerance: None,
        by: Holder::Trial,
        written: format!("{value}"),
        source: None,
        note: None,
    }
}

#[derive(Clone, Debug)]
enum Turn {
    Hold(usize, i64),
    Release(usize),
    Case(usize),
    Edit(Edit),
}

fn turn() -> impl Strategy<Value = Turn> {
    prop_oneof![
        4 => (any::<usize>(), -3i64..9).prop_map(|(cell, value)| Turn::Hold(cell, value)),
        2 => any::<usize>().prop_map(Turn::Release),
        3 => (0usize..4).prop_map(Turn::Case),
        2 => edit().prop_map(Turn::Edit),
    ]
}

fn take_turn(sheet: &mut Sheet, turn: &Turn) {
    let count = sheet.cell_count().max(1);
    let cell = |number: &usize| CellId((number % count) as u32);
    match turn {
        Turn::Hold(number, value) => {
            let cell = cell(number);
            let holds = sheet.shape(cell).is_some_and(|shape| !shape.column) && sheet.entry(cell).is_some();
            if holds {
                sheet.hold(cell, trial(*value));
            }
        }
        Turn::Release(number) => drop(sheet.release(cell(number))),
        Turn::Case(number) => drop(sheet.set_case(Some(["base", "c0", "c1", "c2"][*number]))),
        Turn::Edit(edit) => {
            let (span, new) = placed(sheet.text(), edit);
            sheet.replace(span, &new);
        }
    }
}

#[test]
fn trials_and_cases_leave_no_trace() {
    let strategy = (worksheet(), collection::vec(turn(), 1..12));
    let result = runner(400).run(&strategy, |(text, turns)| {
        let mut sheet = Sheet::load(text, None);
        for turn in &turns {
            take_turn(&mut sheet, turn);
        }
        // the case again over a fresh sheet, with the trials on top
        let mut fresh = Sheet::load(sheet.text().to_owned(), None);
        let case = sheet.case().map(|case| case.name.clone());
        fresh.set_case(case.as_deref()).unwrap();
        let trials: Vec<CellId> = sheet.trials().collect();
        for cell in &trials {
            fresh.hold(*cell, sheet.held(*cell).unwrap().clone());
        }
        prop_assert_eq!(told(&sheet), told(&fresh), "held, in\n{}", sheet.text());
        for cell in trials {
            sheet.release(cell);
        }
        sheet.set_case(None).unwrap();
        let record = Sheet::load(sheet.text().to_owned(), None);
        prop_assert_eq!(told(&sheet), told(&record), "let go, in\n{}", sheet.text());
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

#[test]
fn what_changed_is_said() {
    let strategy = (worksheet(), any::<usize>(), -3i64..9);
    let result = runner(200).run(&strategy, |(text, number, value)| {
        let mut sheet = Sheet::load(text, None);
        let cells: Vec<CellId> = (0..sheet.cell_count() as u32).map(CellId).collect();
        let of = |sheet: &Sheet| -> Vec<String> {
            cells
                .iter()
                .map(|cell| format!("{:?} {:?}", sheet.status(*cell), sheet.reading(*cell)))
                .collect()
        };
        let Some(cell) = cells.get(number % cells.len().max(1)).copied() else {
            return Ok(());
        };
        if sheet.shape(cell).is_none_or(|shape| shape.column) || sheet.entry(cell).is_none() {
            return Ok(());
        }
        let before = of(&sheet);
        let mut said = sheet.hold(cell, trial(value));
        let held = of(&sheet);
        said.sort();
        let differ = |one: &[String], other: &[String]| -> Vec<CellId> {
            cells
                .iter()
                .copied()
                .filter(|cell| one[cell.0 as usize] != other[cell.0 as usize])
                .collect()
        };
        prop_assert_eq!(said, differ(&before, &held));
        let mut said = sheet.release(cell);
        said.sort();
        prop_assert_eq!(said, differ(&held, &of(&sheet)));
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

/// Works out an expression beside a sheet, as the session does; `None` where it has a problem.
fn beside(sheet: &mut Sheet, text: &str) -> Option<(HeldValue, String)> {
    let Ok(Typed::Expression { expression, unit }) = parse_typed(text) else {
        return None;
    };
    let found = sheet.evaluate(text, &expression, unit.as_ref()).ok()?;
    Some((found.value, doubt(found.doubt.as_ref())))
}

#[test]
fn an_expression_typed_is_the_entry_and_leaves_no_trace() {
    let result = runner(300).run(&(worksheet(), expression()), |(text, other)| {
        let mut sheet = Sheet::load(format!("{text}worked extra = {other}\n"), None);
        let before = told(&sheet);
        let found = beside(&mut sheet, &other);
        prop_assert_eq!(told(&sheet), before, "beside {}", other);
        let cell = sheet.cell("extra").unwrap();
        let entry = match sheet.reading(cell) {
            Reading::Number(number) => Some(HeldValue::Number(number)),
            Reading::Column(cells) => Some(HeldValue::Column(cells.to_vec())),
            Reading::Within(_) | Reading::None(_) => None,
        };
        let known = doubt(sheet.appraise([cell]).doubts.get(&cell));
        prop_assert_eq!(found, entry.map(|value| (value, known)), "beside {}", other);
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

#[test]
fn tolerances_decide_beside_the_sheet_too() {
    for call in [
        "net_contents(gross, tare)",
        "normalized_error(gross, tare)",
        "2 * normalized_error(gross, tare) + 1",
    ] {
        // a shell lighter than its stamp by more than 3 %, within the tolerances
        let text = format!("measured gross = 16.4 lb ± 0.4 lb\nquoted tare = 17.1 lb ± 0.5 lb\nworked x = {call}\n");
        let mut sheet = Sheet::load(text, None);
        let Reading::Number(known) = sheet.reading(sheet.cell("x").unwrap()) else {
            panic!("{:?}", sheet.problems())
        };
        let found = beside(&mut sheet, call);
        assert_eq!(found.map(|found| found.0), Some(HeldValue::Number(known)), "{call}");
    }
}

/// Every calculated number can be typed back as an input and is the same to 12 digits.
#[test]
fn what_is_calculated_can_be_typed_back() {
    let result = runner(300).run(&worksheet(), |text| {
        let sheet = Sheet::load(text, None);
        for cell in (0..sheet.cell_count() as u32).map(CellId) {
            let (Reading::Number(number), Some(shape)) = (sheet.reading(cell), sheet.shape(cell)) else {
                continue;
            };
            let Kind::Quantity(unit) = shape.kind else { continue };
            let typed = Sheet::load(format!("assumed x = {} {unit}\n", number.to_plain()), None);
            prop_assert_eq!(typed.problems().len(), 0, "{} {}", number.to_plain(), unit);
            let back = typed.reading(typed.cell("x").unwrap());
            let same = matches!(back, Reading::Number(back) if back.agrees_with(number));
            prop_assert!(same, "{} {} became {:?}", number.to_plain(), unit, back);
        }
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

// ---- hostile texts ----

/// Loads, tells and edits without a panic.
fn survives(text: String) {
    let length = text.len();
    let mut sheet = Sheet::load(text, None);
    let _ = (sheet.problems(), compose::report(&sheet, Options::default()));
    sheet.replace(Span::at(length), "\nworked last = 1 lb\n");
    sheet.replace(Span::at(0), "worked first = 1 lb\n");
    assert!(sheet.cell("first").is_some());
}

#[test]
fn any_text_is_survived() {
    let words = sample::select(vec![
        "worked ",
        "measured ",
        "x",
        " = ",
        "±",
        "(",
        ")",
        "\"",
        "[lb]",
        "\n",
        "\r",
        "  ",
        "|",
        "table t\n",
        "case c\n",
        "rule r(",
        "expect ",
        "if ",
        "then ",
        "else ",
        "1",
        "2.5 lb",
        "°F",
        " where ",
        "t.a",
        ",",
        ":",
        "/",
        "^",
        "?",
        "--",
        "csv(",
        "sum(",
        "burn_rate(",
        "from ",
        "-",
        "×",
        "\u{202e}",
        "\0",
        "é",
    ]);
    let pieces = collection::vec(words, 0..60).prop_map(|words| words.concat());
    let result = runner(400).run(&pieces, |text| {
        survives(text);
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
    let anything = runner(200).run(&any::<String>(), |text| {
        survives(text);
        Ok(())
    });
    anything.unwrap_or_else(|trouble| panic!("{trouble}"));
}

#[test]
fn hostile_texts_are_survived() {
    let deep = "(".repeat(10_000);
    let closed = ")".repeat(10_000);
    survives(format!("worked x = {deep}1{closed}\nworked y = x\n"));
    survives(format!("worked x = {deep}\n"));
    survives(format!("worked x = {}1\n", "-".repeat(10_000)));
    survives(format!("worked x = {}1\n", "not ".repeat(10_000)));
    survives(format!("worked x = 1{}\n", " + 1".repeat(20_000)));
    survives(format!("worked x = 1{}\n", "^1".repeat(20_000)));
    survives(format!(
        "worked x = {}1{}\n",
        "if true then ".repeat(5_000),
        " else 2".repeat(5_000)
    ));
    survives(format!("worked x = {}1{}\n", "sum(".repeat(5_000), ")".repeat(5_000)));
    survives(format!("worked x = 1 lb note \"{}\"\n", "a".repeat(5_000_000)));
    survives(format!("> {}\n", "a".repeat(5_000_000)));
    survives("\0\0worked x = 1\0 lb\n\0".to_owned());
    survives("measured وزن = 40 lb\nworked משקל = وزن - 3 lb\u{202e}\n".to_owned());
    survives("worked a = 1\r\nworked b = a\nworked c = b\rworked d = c\r\n\n\r".to_owned());
    survives("\u{feff}worked a = 1".to_owned());
    survives(format!("table t\n  | {}\n", "a | ".repeat(20_000)));
    survives(format!("case c\n{}", "  x = 1\n".repeat(20_000)));
}

#[test]
fn a_long_chain_computes() {
    let mut text = String::from("worked n0 = 1 lb\n");
    for number in 1..20_000 {
        text.push_str(&format!("worked n{number} = n{} + 1 lb\n", number - 1));
    }
    let reversed: Vec<&str> = text.lines().rev().collect();
    for text in [text.clone(), reversed.join("\n")] {
        let sheet = Sheet::load(text, None);
        let last = sheet.cell("n19999").unwrap();
        assert_eq!(sheet.reading(last), Reading::Number(Number::from_integer(20_000)));
        assert!(sheet.problems().is_empty());
        sheet.appraise([last]);
    }
    let looped = text.replacen("n0 = 1 lb", "n0 = n19999", 1);
    let sheet = Sheet::load(looped, None);
    assert_eq!(sheet.problems().len(), 1);
}
