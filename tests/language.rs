//! Worksheets as text, each with what it gives beside the line.
//!
//! A file in `tests/language/` holds blocks. `=== title` begins one, `@file NAME`
//! … `@end` puts a file beside it, `@case NAME` switches to a case for the
//! `@ ENTRY => …` lines after it. Everything else is the worksheet; what stands
//! after ` => ` on a line is expected of the item there and taken off before
//! loading. Several expectations are set apart by ` && `:
//! `3 lb/h` (12 digits), `~3.142 lb` (the digits given), `± 0.05` after it (one
//! standard uncertainty, the digits given; `± 0`: none), `df 18`, `"text"`,
//! `true`, `21:40:00`, `06:00:00 (+1 d)`, `2026-01-11T21:40:00`, `60 dB level`, `[1, -, 3] lb`,
//! `blank`, `waits`, `broken`, `waits on a, b`, `holds`, `fails`, `untold`, and `problem CODE` or
//! `lint CODE`, with `: words` that stand in its message, labels or help.
//! A problem that no line expects fails the test.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;

use tarebook::number::Number;
use tarebook::problem::{Code, Problem, Severity};
use tarebook::report::moment::{machine_counted, machine_moment, machine_time};
use tarebook::sheet::appraisal::Doubt;
use tarebook::sheet::names::CellId;
use tarebook::sheet::range::{End, Range};
use tarebook::sheet::source::Uncertainty;
use tarebook::sheet::{Reading, Sheet, Status};
use tarebook::text::position;
use tarebook::unit::Kind;

/// One worksheet of a file, with what is expected of it.
#[derive(Default)]
struct Block {
    title: String,
    text: String,
    expected: Vec<(u32, String)>,
    files: Vec<(String, String)>,
    in_case: Vec<(String, String, String)>,
}

fn blocks(text: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut case = String::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if let Some(title) = line.strip_prefix("=== ") {
            blocks.push(Block {
                title: title.to_owned(),
                ..Block::default()
            });
            continue;
        }
        let Some(block) = blocks.last_mut() else { continue };
        if let Some(name) = line.strip_prefix("@file ") {
            let rows: Vec<&str> = lines.by_ref().take_while(|line| *line != "@end").collect();
            block.files.push((name.to_owned(), rows.join("\n")));
        } else if let Some(name) = line.strip_prefix("@case ") {
            case = name.trim().to_owned();
        } else if let Some(rest) = line.strip_prefix("@ ") {
            let (name, expected) = rest.split_once("=>").unwrap();
            block
                .in_case
                .push((case.clone(), name.trim().to_owned(), expected.trim().to_owned()));
        } else {
            add_line(block, line);
        }
    }
    blocks
}

fn add_line(block: &mut Block, line: &str) {
    let number = block.text.matches('\n').count() as u32 + 1;
    let (line, expected) = match line.split_once(" => ") {
        Some((line, expected)) => (line.trim_end(), Some(expected)),
        None => (line, None),
    };
    for expected in expected.into_iter().flat_map(|all| all.split(" && ")) {
        block.expected.push((number, expected.trim().to_owned()));
    }
    block.text.push_str(line);
    block.text.push('\n');
}

/// What is wrong with a block, one line each.
fn complaints(block: &Block) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in &block.files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let mut sheet = Sheet::load(block.text.clone(), Some(folder.path().to_path_buf()));
    let mut wrong = check_problems(block, &sheet);
    wrong.extend(check_values(block, &sheet));
    for (case, name, expected) in &block.in_case {
        sheet.set_case(Some(case)).unwrap();
        let cell = sheet.cell(name).unwrap_or_else(|| panic!("no entry {name}"));
        wrong.extend(
            check_cell(&sheet, cell, expected)
                .err()
                .map(|found| format!("case {case}, {name}: expected {expected}, found {found}")),
        );
    }
    wrong
}

fn line_of(sheet: &Sheet, problem: &Problem) -> u32 {
    let item = &sheet.tree().items[problem.place.item as usize];
    position(sheet.text(), (item.start + problem.place.span.start) as usize).line
}

fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Problem => "problem",
        Severity::Lint => "lint",
    }
}

fn words_of(problem: &Problem) -> String {
    let mut words = problem.message.clone();
    for text in problem.labels.iter().map(|label| &label.text).chain(&problem.help) {
        words = format!("{words} | {text}");
    }
    if let Some(file) = &problem.file {
        words = format!("{words} | {} row {} column {}", file.file, file.row, file.column);
    }
    format!("{words} | {}", problem.label)
}

fn check_problems(block: &Block, sheet: &Sheet) -> Vec<String> {
    let mut open: Vec<(u32, &str)> = block
        .expected
        .iter()
        .filter(|(_, expected)| expected.starts_with("problem ") || expected.starts_with("lint "))
        .map(|(line, expected)| (*line, expected.as_str()))
        .collect();
    let mut wrong = Vec::new();
    for problem in sheet.problems() {
        let (line, words) = (line_of(sheet, &problem), words_of(&problem));
        let matches = |expected: &str| {
            let (head, part) = expected.split_once(": ").unwrap_or((expected, ""));
            head == format!("{} {}", severity_word(problem.severity), problem.code) && words.contains(part)
        };
        match open.iter().position(|(at, expected)| *at == line && matches(expected)) {
            Some(place) => drop(open.remove(place)),
            // short names are units more often than not
            None if matches!(problem.code, Code::NameIsUnit | Code::NameIsFunction) => {}
            None => wrong.push(format!(
                "line {line}: unexpected {} {}: {words}",
                severity_word(problem.severity),
                problem.code
            )),
        }
    }
    wrong.extend(
        open.iter()
            .map(|(line, expected)| format!("line {line}: no such {expected}")),
    );
    wrong
}

fn check_values(block: &Block, sheet: &Sheet) -> Vec<String> {
    let mut wrong = Vec::new();
    for cell in cells(sheet) {
        let (first, last) = lines_of(sheet, cell);
        let here = block
            .expected
            .iter()
            .filter(|(line, _)| (first..=last).contains(line))
            .map(|(_, expected)| expected.as_str());
        let here: Vec<&str> = here.collect();
        let values: Vec<&&str> = here
            .iter()
            .filter(|expected| !expected.starts_with("problem ") && !expected.starts_with("lint "))
            .collect();
        for expected in &values {
            if let Err(found) = check_cell(sheet, cell, expected) {
                wrong.push(format!("line {first}: expected {expected}, found {found}"));
            }
        }
        let broken = here.iter().any(|expected| expected.starts_with("problem "));
        if broken && values.is_empty() && sheet.status(cell) == Status::Known {
            wrong.push(format!("line {first}: has a problem and yet a value"));
        }
        if here.is_empty() && sheet.status(cell) == Status::Broken {
            wrong.push(format!("line {first}: broken without a problem"));
        }
    }
    wrong
}

fn cells(sheet: &Sheet) -> Vec<CellId> {
    sheet.own_cells().collect()
}

fn lines_of(sheet: &Sheet, cell: CellId) -> (u32, u32) {
    let item = sheet.item_of(cell);
    let first = sheet.line(item);
    let text = sheet.tree().text_of(item as usize);
    (first, first + text.trim_end_matches('\n').matches('\n').count() as u32)
}

/// `Err` with what was found instead.
fn check_cell(sheet: &Sheet, cell: CellId, expected: &str) -> Result<(), String> {
    let found = shown(sheet, cell);
    if let Some(names) = expected.strip_prefix("waits on ") {
        let waits: Vec<String> = sheet.waits_on(cell).into_iter().map(|(name, _)| name).collect();
        return if waits.join(", ") == names {
            Ok(())
        } else {
            Err(format!("{found} on {}", waits.join(", ")))
        };
    }
    if matches!(
        expected,
        "blank" | "waits" | "broken" | "holds" | "fails" | "untold" | "true" | "false"
    ) || expected.starts_with('"')
    {
        return if found == expected { Ok(()) } else { Err(found) };
    }
    let (value, doubt) = split_doubt(expected);
    if !value_agrees(&found, value) {
        return Err(found);
    }
    check_doubt(sheet, cell, doubt)
}

fn split_doubt(expected: &str) -> (&str, &str) {
    match expected.find(" ± ") {
        Some(at) => (expected[..at].trim(), expected[at + " ± ".len()..].trim()),
        None => (expected.trim(), ""),
    }
}

fn check_doubt(sheet: &Sheet, cell: CellId, expected: &str) -> Result<(), String> {
    if expected.is_empty() {
        return Ok(());
    }
    let appraisal = sheet.appraise([cell]);
    let found = match appraisal.doubts.get(&cell) {
        None => "0".to_owned(),
        Some(Doubt::One(doubt)) => doubt_text(doubt, expected),
        Some(Doubt::Rows(rows)) => {
            let rows: Vec<String> = rows.iter().map(|doubt| doubt_text(doubt, expected)).collect();
            format!("[{}]", rows.join(", "))
        }
    };
    if found == expected {
        Ok(())
    } else {
        Err(format!("± {found}"))
    }
}

/// To as many significant digits as the first number expected has.
fn doubt_text(doubt: &Uncertainty, expected: &str) -> String {
    let first = expected.trim_start_matches('[').split([' ', ',']).next().unwrap();
    let digits = significant(first);
    let standard = rounded(doubt.standard, digits);
    match expected.contains(" df ") {
        true => format!("{standard} df {}", rounded(doubt.degrees_of_freedom, 4)),
        false => standard,
    }
}

fn significant(text: &str) -> u32 {
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    digits.trim_start_matches('0').len().max(1) as u32
}

fn rounded(value: f64, digits: u32) -> String {
    match Number::from_f64(value) {
        Ok(number) if value.is_finite() => number.round_significant(digits).to_plain(),
        _ => "infinite".to_owned(),
    }
}

fn shown(sheet: &Sheet, cell: CellId) -> String {
    let check = sheet.entry(cell).is_none();
    let Some(shape) = sheet.shape(cell) else {
        return no_value(sheet.status(cell), check);
    };
    match sheet.reading(cell) {
        Reading::None(status) => no_value(status, check),
        _ if check => match sheet.holds(cell) {
            Some(true) => "holds".to_owned(),
            Some(false) => "fails".to_owned(),
            None => "untold".to_owned(),
        },
        Reading::Within(range) => format!("{}{}", open(sheet, range, shape.kind), suffix(shape.kind)),
        Reading::Number(number) => format!("{}{}", one(sheet, number, shape.kind), suffix(shape.kind)),
        Reading::Column(cells) => {
            let cells = cells
                .iter()
                .enumerate()
                .map(|(row, cell)| match (cell, cells.open(row)) {
                    (Some(number), _) => one(sheet, *number, shape.kind),
                    (None, Some(range)) => open(sheet, range, shape.kind),
                    (None, None) => "-".to_owned(),
                });
            let cells: Vec<String> = cells.collect();
            format!("[{}]{}", cells.join(", "), suffix(shape.kind))
        }
    }
}

/// `> 10`, `< 9`, `10 … 57`, `?`
fn open(sheet: &Sheet, range: Range, kind: Kind) -> String {
    let end = |end: Option<End>| end.filter(|_| kind != Kind::Text).map(|end| one(sheet, end.at, kind));
    match (end(range.low), end(range.high)) {
        (Some(low), Some(high)) => format!("{low} … {high}"),
        (Some(low), None) => format!("> {low}"),
        (None, Some(high)) => format!("< {high}"),
        (None, None) => "?".to_owned(),
    }
}

fn no_value(status: Status, check: bool) -> String {
    let word = match status {
        _ if check => "untold",
        Status::Blank => "blank",
        Status::Broken => "broken",
        Status::Waits => "waits",
        Status::Known => "known, and yet no value",
    };
    word.to_owned()
}

fn one(sheet: &Sheet, number: Number, kind: Kind) -> String {
    match kind {
        Kind::Text => format!("\"{}\"", sheet.texts().text(number)),
        Kind::Truth => (if number.is_zero() { "false" } else { "true" }).to_owned(),
        Kind::TimeOfDay => machine_time(number).unwrap(),
        Kind::Counted(_) => machine_counted(number).unwrap(),
        Kind::Moment => machine_moment(number).unwrap(),
        Kind::Quantity(_) | Kind::Level | Kind::Decibels => number.to_plain(),
    }
}

fn suffix(kind: Kind) -> String {
    match kind {
        Kind::Quantity(unit) if unit.to_string().is_empty() => String::new(),
        Kind::Quantity(unit) => format!(" {unit}"),
        Kind::Level => " dB level".to_owned(),
        Kind::Decibels => " dB literal".to_owned(),
        _ => String::new(),
    }
}

/// Word by word; a number after `~` to the digits given, others to twelve.
fn value_agrees(found: &str, expected: &str) -> bool {
    let words = |text: &str| -> Vec<String> { text.split(' ').map(str::to_owned).collect() };
    let (found, expected) = (words(found), words(expected));
    found.len() == expected.len()
        && found
            .iter()
            .zip(&expected)
            .all(|(found, expected)| word_agrees(found, expected))
}

fn word_agrees(found: &str, expected: &str) -> bool {
    let bare = |text: &str| text.trim_matches(['[', ']', ',']).to_owned();
    let (value, wanted) = (bare(found), bare(expected));
    let frame = |text: &str, inner: &str| text.replacen(inner, "", 1);
    if frame(found, &value) != frame(expected, &wanted) {
        return false;
    }
    if let Some(rough) = wanted.strip_prefix('~') {
        let decimals = rough.split_once('.').map_or(0, |(_, after)| after.len() as u32);
        return match (signed(&value), signed(rough)) {
            (Some(value), Some(rough)) => value.round_places(decimals) == rough,
            _ => false,
        };
    }
    match (signed(&value), signed(&wanted)) {
        (Some(value), Some(wanted)) => value.agrees_with(wanted),
        _ => value == wanted,
    }
}

fn signed(text: &str) -> Option<Number> {
    match text.strip_prefix('-') {
        Some(amount) => Number::parse(amount).ok().map(Number::neg),
        None => Number::parse(text).ok(),
    }
}

fn check(file: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/language").join(file);
    let text = fs::read_to_string(path).unwrap();
    let blocks = blocks(&text);
    assert!(!blocks.is_empty(), "{file} has no blocks");
    let mut report = String::new();
    for block in &blocks {
        for complaint in complaints(block) {
            report.push_str(&format!("{file}, {}: {complaint}\n", block.title));
        }
    }
    assert!(report.is_empty(), "\n{report}");
}

#[test]
fn units_of_results() {
    check("units.txt");
}

#[test]
fn literals_and_tolerances() {
    check("literals.txt");
}

#[test]
fn points_and_levels() {
    check("points.txt");
}

#[test]
fn expressions() {
    check("expressions.txt");
}

/// Ordinary evenings: logs, tariffs, swaps, starts before midnight, tables with dates. Right,
/// or refused with what to write; the figures were worked out apart, as each block says.
#[test]
fn ordinary_evenings() {
    check("evenings.txt");
}

#[test]
fn columns_and_tables() {
    check("columns.txt");
}

#[test]
fn answers_that_are_marked() {
    check("answers.txt");
}

#[test]
fn worked_columns() {
    check("worked_columns.txt");
}

#[test]
fn single_cells() {
    check("cells.txt");
}

#[test]
fn files() {
    check("files.txt");
}

#[test]
fn worksheets_that_rest_on_others() {
    check("uses.txt");
}

#[test]
fn rules_and_cases() {
    check("rules.txt");
}

#[test]
fn problems_and_waiting() {
    check("waiting.txt");
}

#[test]
fn tables_that_functions_make() {
    check("made.txt");
}

#[test]
fn whole_worksheets() {
    check("whole.txt");
}

/// The pieces of a help that can be written in place of what is marked.
fn alternatives(problem: &Problem) -> Vec<String> {
    let help = problem.help.clone().unwrap_or_default();
    help.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

/// What is wrong with what a problem says is to be written: each is put in place, and the
/// item must have one problem less, and none that is new.
fn untrue_help(text: &str, folder: &Path, problem: &Problem) -> Vec<String> {
    let load = |text: &str| Sheet::load(text.to_owned(), Some(folder.to_path_buf()));
    let here = |sheet: &Sheet| -> Vec<Code> {
        let problems = sheet.problems();
        let here = problems.iter().filter(|other| other.place.item == problem.place.item);
        here.map(|other| other.code).collect()
    };
    let sheet = load(text);
    let before = here(&sheet);
    let mut wrong = Vec::new();
    for mend in &problem.mends {
        let start = sheet.tree().items[mend.place.item as usize].start as usize;
        let place = mend.place.span.shifted(start);
        for written in alternatives(problem).into_iter().chain([mend.text.clone()]) {
            let mut mended = text.to_owned();
            mended.replace_range(place.start as usize..place.end as usize, &written);
            let after = here(&load(&mended));
            if after.len() >= before.len() || after.iter().any(|code| !before.contains(code)) {
                wrong.push(format!(
                    "{}: `{written}` brings {after:?} for {before:?}",
                    words_of(problem)
                ));
            }
        }
    }
    wrong
}

#[test]
fn what_is_said_to_be_written_works() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/language/evenings.txt");
    let mut wrong = Vec::new();
    let (mut tried, mut unmended) = (0, Vec::new());
    for block in blocks(&fs::read_to_string(path).unwrap()) {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in &block.files {
            fs::write(folder.path().join(name), text).unwrap();
        }
        let sheet = Sheet::load(block.text.clone(), Some(folder.path().to_path_buf()));
        for problem in sheet.problems() {
            if problem.severity == Severity::Lint {
                continue;
            }
            tried += problem.mends.len();
            let untold = ["the place, ", "`day` of `at`", "a counted time knows"];
            if problem.mends.is_empty() && !untold.iter().any(|begins| problem.message.starts_with(begins)) {
                unmended.push(format!("{}: {}", block.title, words_of(&problem)));
            }
            wrong.extend(untrue_help(&block.text, folder.path(), &problem));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(tried > 30, "{tried}");
    assert!(unmended.is_empty(), "\n{}", unmended.join("\n"));
}
