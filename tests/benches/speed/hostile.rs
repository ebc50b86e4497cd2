//! Worksheets that are wrong, huge or odd: bad input may not be slow input.

use std::fmt::Write as _;

use jiff::civil::Time;
use rust_decimal::Decimal;
use tarebook::sheet::Sheet;
use tarebook::sheet::names::CellId;

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::{Chain, Digits, household};

/// How many times reading as much of a household a worksheet may take that is wrong or odd.
const LOAD: f64 = 4.0;

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let size = if extent == Extent::Full { 1 } else { 100 };
    let many = 100_000 / size;
    let measure = Measure::reading(&household(many), 5).times(1.0 / many as f64);
    let mut loads = |what: &str, count: usize, text: String| loads((bounds, measure), what, count, text);
    loads(
        "unknown names",
        many,
        lines(many, |line| format!("worked a{line} = nothing{line} + 1")),
    );
    loads(
        "unit clashes",
        many,
        lines(many, |line| format!("worked a{line} = 1 lb + {line} h")),
    );
    loads(
        "repeated names",
        many,
        lines(many, |line| format!("worked again = {line} lb")),
    );
    loads(
        "lines that open nothing",
        many,
        lines(many, |line| format!("mesured a{line} = 1 lb")),
    );
    loads(
        "unknown units",
        many,
        lines(many, |line| format!("assumed a{line} = 1 lbq{line}")),
    );
    loads(
        "unclosed parentheses",
        many,
        lines(many, |line| format!("worked a{line} = (1 lb + 2 lb\n")),
    );
    loads(
        "broken formulas",
        many,
        lines(many, |line| format!("worked a{line} = 1 lb + * 2 lb")),
    );
    loads(
        "divisions by zero",
        many,
        lines(many, |line| format!("worked a{line} = {line} / 0")),
    );
    loads(
        "unknown functions",
        many,
        lines(many, |line| format!("worked a{line} = burn_rat({line} lb)")),
    );
    loads("cells in a row that wait", many, waiting(many));
    let few = 10_000 / size;
    loads("case lines that name nothing", few, case_lines(few));
    loads(
        "unknown columns of a wide table",
        few,
        format!(
            "table t\n| {} |\n{}",
            (0..500)
                .map(|place| format!("c{place}"))
                .collect::<Vec<_>>()
                .join(" | "),
            lines(few, |line| format!("worked a{line} = sum(t.x{line})"))
        ),
    );
    loads("unknown names of 3000 letters", 300, long_names());
    loads(
        "unknown names in other letters",
        many,
        lines(many, |line| {
            format!("worked {} = {} + 1", greek(line), greek(line + many))
        }),
    );
    let ring = 10_000 / size;
    loads(
        "cells in a loop",
        ring,
        lines(ring, |line| format!("worked a{line} = a{} + 1", (line + 1) % ring)),
    );
    loads(
        "cells in loops of two",
        ring,
        lines(ring, |line| format!("worked a{line} = a{} + 1", line ^ 1)),
    );
    loads("entry of 64 KiB", 1, long_entry(0));
    loads("rules in rules", 60, rules());
    loads("calls of a rule of 200 operators", 1000 / size, rule_calls(1000 / size));
    loads(
        "cells over one cell",
        many,
        lines(many, |line| match line {
            0 => "assumed a0 = 1 lb".to_owned(),
            _ => format!("worked a{line} = a0 * {line}"),
        }),
    );
    running_totals(4_000 / size, bounds);
    running_totals(100_000 / size, bounds);
    appraise_all(2_000 / size, bounds);
    csv_table(1_000_000 / size, bounds);
}

fn lines(count: usize, line: impl Fn(usize) -> String) -> String {
    (0..count).fold(String::new(), |mut text, place| {
        let _ = writeln!(text, "{}", line(place));
        text
    })
}

/// A worksheet must load, and have its problems told, within a multiple of what reading as
/// many lines of a household takes, or a line for every 50 bytes.
fn loads((bounds, a_line): (&mut Bounds, Measure), what: &str, count: usize, text: String) {
    let repeats = if count < 20_000 { 5 } else { 3 };
    let mut found = 0;
    let time = median(repeats, || {
        let sheet = Sheet::load(text.clone(), None);
        found = sheet.problems().len();
        sheet
    });
    let lines = (text.len() as f64 / 50.0).max(count as f64).max(10_000.0);
    let what = format!("{count} {what} ({found} problems)");
    bounds.hold_to(&what, time, a_line.times(lines), LOAD);
}

fn waiting(count: usize) -> String {
    lines(count, |line| match line {
        0 => "worked a0 = nothing + 1".to_owned(),
        _ => format!("worked a{line} = a{} + 1", line - 1),
    })
}

/// A case of so many lines, none of which names an input.
fn case_lines(count: usize) -> String {
    let inputs = lines(count, |line| format!("assumed v{line} = {line}"));
    let replaced = lines(count, |line| format!("  w{line} = {line}"));
    format!("{inputs}case cold\n{replaced}")
}

/// Names of much the same letters, none of which is another.
fn long_names() -> String {
    let name = |seed: usize| -> String {
        (0..3000)
            .map(|place| char::from(b'a' + (place * (seed + 7) % 11 % 8) as u8))
            .collect()
    };
    lines(300, |line| {
        format!("worked {}{line} = {}q{line} + 1", name(line), name(line + 300))
    })
}

/// A name that differs from all others in its letters.
fn greek(mut number: usize) -> String {
    let mut name = String::from("ψ");
    for _ in 0..7 {
        name.extend(char::from_u32(0x3b1 + (number % 17) as u32));
        number /= 17;
    }
    name
}

fn long_entry(place: usize) -> String {
    let mut entry = format!("worked a{place} = sum(1");
    for term in 0..12_000 {
        let _ = write!(entry, ", {}", term % 97);
    }
    entry.push(')');
    entry
}

/// Rules that call each other twice: put in place, they would double with each.
fn rules() -> String {
    let mut text = String::from("rule r0(x) = x + 1\n");
    for rule in 1..60 {
        let _ = writeln!(text, "rule r{rule}(x) = r{}(x) + r{}(x + 1)", rule - 1, rule - 1);
    }
    text.push_str("worked a = r59(1)\n");
    text
}

fn rule_calls(count: usize) -> String {
    let terms: Vec<String> = (0..200).map(|term| format!("x * {term}")).collect();
    let mut text = format!("rule r(x) = {}\n", terms.join(" + "));
    text.push_str(&lines(count, |line| format!("worked a{line} = r({line})")));
    text
}

/// A table whose every reading has a tolerance of its own, totalled row by row.
///
/// Where that comes to more than some millions of sensitivities, readings are taken together.
fn running_totals(rows: usize, bounds: &mut Bounds) {
    let mut text = String::from("table log\n| gross [lb ± 0.05] | hours [h] | noise [dB ± 1] |\n");
    for row in 0..rows {
        let _ = writeln!(text, "| {}.{} | {row} | 60 |", 30 + row % 20, row % 10);
    }
    text.push_str("worked total = running_total(log.gross)\nworked all = sum(log.gross)\n");
    text.push_str("worked average = mean(log.gross)\nworked twice = running_total(total)\n");
    text.push_str("worked rate = slope(log.hours, log.gross)\nworked off = log.gross - mean(log.gross)\n");
    text.push_str("worked noise = sound_sum(log.noise)\n");
    let reading = Measure::reading(&text, 3);
    let sheet = Sheet::load(text, None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems().first());
    for name in ["total", "twice", "all", "average", "rate", "off", "noise"] {
        let cell = sheet.cell(name).unwrap();
        let time = median(3, || sheet.appraise([cell]));
        let what = format!("uncertainty of `{name}` over {rows} toleranced readings");
        bounds.hold_to(&what, time, reading, 6.0);
    }
}

fn appraise_all(entries: usize, bounds: &mut Bounds) {
    for (what, text, bound) in [
        ("of a household", household(entries), 4.0),
        ("of a chain", Chain::new(Digits::Short, entries).text(), 4.0),
        ("where each line adds one,", toleranced_chain(entries), 60.0),
    ] {
        let reading = Measure::reading(&text, 5);
        let sheet = Sheet::load(text, None);
        let cells = || (0..sheet.cell_count()).map(|cell| CellId(cell as u32));
        let time = median(5, || sheet.appraise(cells()));
        bounds.hold_to(
            &format!("all uncertainties {what} of {entries} lines"),
            time,
            reading,
            bound,
        );
    }
}

/// Every other entry is an input with a tolerance, added to the sum of all before.
fn toleranced_chain(entries: usize) -> String {
    let mut text = String::from("assumed x0 = 1 lb ± 0.1 lb\nworked s0 = x0\n");
    for place in 1..entries / 2 {
        let _ = writeln!(
            text,
            "assumed x{place} = 1 lb ± 0.1 lb\nworked s{place} = s{} + x{place}",
            place - 1
        );
    }
    text
}

/// A file just under the limit of 32 MB.
fn csv_table(rows: usize, bounds: &mut Bounds) {
    let folder = tempfile::tempdir().unwrap();
    let mut csv = String::from("time,gross [lb],fuel\n");
    for row in 0..rows {
        let _ = writeln!(
            csv,
            "{:02}:{:02},{}.{},{}",
            row / 60 % 24,
            row % 60,
            30 + row % 20,
            row % 10,
            row % 7
        );
    }
    std::fs::write(folder.path().join("run.csv"), &csv).unwrap();
    let text = "table log = csv(\"run.csv\")\nworked heavy = max(log.gross)\nworked net = log.gross - 10 lb\n";
    let mut found = 0;
    let time = median(1, || {
        let sheet = Sheet::load(text.to_owned(), Some(folder.path().to_owned()));
        found = sheet.problems().len();
        sheet
    });
    let library = Measure {
        what: "the library's records of texts, their times and decimals by libraries",
        time: median(1, || read_by_libraries(&csv)),
    };
    let what = format!("a csv file of {rows} rows, {} bytes ({found} problems)", csv.len());
    bounds.hold_to(&what, time, library, 5.0);
}

/// The cells of each row.
fn read_by_libraries(csv: &str) -> Vec<(Time, [Decimal; 2])> {
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let read = |row: csv::StringRecord| {
        let time = row[0].parse().unwrap();
        (time, [1, 2].map(|place| row[place].parse().unwrap()))
    };
    rows.records().map(|row| read(row.unwrap())).collect()
}
