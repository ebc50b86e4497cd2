//! Plain mutation: every input's unit swapped for a neighbor's, every constant multiplied by
//! each ratio that a slip of units is out by, in the sound worksheet and in the notebooks. The
//! table says how many of them an audit names, as a slip, a problem or a check that holds no
//! longer; most of the others no eye could see, such as a load that is a fifth more.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    missing_docs
)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rayon::prelude::*;
use tarebook::sheet::Sheet;
use tarebook::study::audit::{Subject, likely_slips};

/// The ratios, each with its inverse; 0.4536 is that of the first.
const RATIOS: [f64; 10] = [
    2.2046,
    1.8,
    3.785,
    1.2,
    3.412,
    1.34,
    std::f64::consts::SQRT_2,
    1.732_05,
    0.8,
    24.0,
];

/// Units that are taken for each other.
const NEIGHBORS: [(&str, &str); 24] = [
    ("lb/h", "kg/h"),
    ("lb/gal", "lb/L"),
    ("$/gal", "$/L"),
    ("BTU/lb", "BTU/kg"),
    ("MJ/kg", "MJ/lb"),
    ("BTU/gal", "BTU/L"),
    ("kWh/kg", "kWh/lb"),
    ("kg/L", "lb/gal"),
    ("lb/kWh", "kg/kWh"),
    ("lb", "kg"),
    ("kg", "lb"),
    ("min", "h"),
    ("h", "min"),
    ("h/d", "min/d"),
    ("°F", "°C"),
    ("°C", "°F"),
    ("W", "kW"),
    ("kW", "W"),
    ("BTU/h", "W"),
    ("in", "cm"),
    ("ft", "m"),
    ("gal", "L"),
    ("mph", "km/h"),
    ("psig", "kPa"),
];

/// What an audit of a text says, line by line.
fn said(folder: &Path, text: &str) -> BTreeSet<String> {
    let sheet = sheet(folder, text);
    let told = likely_slips(&sheet).into_iter().map(|(subject, finding)| {
        let place = match subject {
            Subject::Cell(cell) => sheet.line(sheet.item_of(cell)),
            Subject::Column(table, _) => sheet.line(sheet.tables()[table as usize].item),
            Subject::Item(item) => sheet.line(item),
        };
        format!("{place} {}", finding.code())
    });
    told.collect()
}

fn sheet(folder: &Path, text: &str) -> Sheet {
    Sheet::load(text.to_owned(), Some(folder.to_owned()))
}

/// A mutated text, by what was done to it.
struct Mutant {
    line: usize,
    how: String,
    text: String,
}

/// Every number of entries and checks with where it stands: not inside quotes, units or names,
/// no part of a time or date, no tolerance.
fn constants(line: &str) -> Vec<(usize, usize)> {
    let words = ["measured", "quoted", "assumed", "worked", "answer", "expect"];
    let start = line.find('=').map_or(line.len(), |place| place + 1);
    let start = if line.starts_with("expect") { 6 } else { start };
    if !words.iter().any(|word| line.starts_with(word)) {
        return Vec::new();
    }
    let letters: Vec<(usize, char)> = line.char_indices().filter(|(place, _)| *place >= start).collect();
    let (mut found, mut quoted, mut at) = (Vec::new(), false, 0);
    while let Some((place, letter)) = letters.get(at).copied() {
        quoted ^= letter == '"';
        let before = at.checked_sub(1).map_or(' ', |before| letters[before].1);
        let mut end = at;
        while letters
            .get(end)
            .is_some_and(|(_, letter)| letter.is_ascii_digit() || *letter == '.')
        {
            end += 1;
        }
        let after = letters.get(end).map_or(' ', |(_, letter)| *letter);
        let part =
            before.is_alphanumeric() || "_:-.^±".contains(before) || ":-_".contains(after) || after.is_alphabetic();
        let tolerance = line[..place].trim_end().ends_with('±');
        if end > at && !quoted && !part && !tolerance {
            let last = letters.get(end).map_or(line.len(), |(place, _)| *place);
            found.push((place, last));
        }
        at = end.max(at + 1);
    }
    found
}

/// Every input, and every column of a written table, in a neighbor's unit.
fn units(line: &str) -> Vec<(String, String)> {
    let input = ["measured", "quoted", "assumed"]
        .iter()
        .any(|word| line.starts_with(word));
    let heading = line.trim_start().starts_with('|');
    let mut found = Vec::new();
    for (unit, neighbor) in NEIGHBORS {
        let (own, other) = match heading {
            true => (format!("[{unit}]"), format!("[{neighbor}]")),
            false => (format!(" {unit} "), format!(" {neighbor} ")),
        };
        let value = line.split(" from ").next().unwrap_or(line);
        if !(heading || input) || !format!("{value} ").contains(&own) {
            continue;
        }
        let mutated = format!("{line} ").replacen(&own, &other, 1);
        found.push((format!("{unit} as {neighbor}"), mutated.trim_end().to_owned()));
        break;
    }
    found
}

/// Whether a constant is multiplied by every ratio, or by one of them in turn.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Times {
    Every,
    InTurn,
}

fn mutants(text: &str, times: Times) -> Vec<Mutant> {
    let lines: Vec<&str> = text.lines().collect();
    let put = |line: usize, mutated: &str| {
        let mut lines = lines.clone();
        lines[line] = mutated;
        lines.join("\n") + "\n"
    };
    let (mut found, mut turn) = (Vec::new(), 0);
    for (line, own) in lines.iter().enumerate() {
        for (_, mutated) in units(own) {
            found.push(Mutant {
                line,
                how: "unit".to_owned(),
                text: put(line, &mutated),
            });
        }
        for (start, end) in constants(own) {
            let value: f64 = own[start..end].parse().unwrap();
            turn += 1;
            for (place, ratio) in RATIOS.into_iter().enumerate() {
                for (side, factor) in [ratio, 1.0 / ratio].into_iter().enumerate() {
                    if times == Times::InTurn && turn % (2 * RATIOS.len()) != 2 * place + side {
                        continue;
                    }
                    let mutated = format!("{}{:.6}{}", &own[..start], value * factor, &own[end..]);
                    found.push(Mutant {
                        line,
                        how: format!("{ratio:.3}"),
                        text: put(line, &mutated),
                    });
                }
            }
        }
    }
    found
}

/// How many mutants of a worksheet are named, by what was done.
fn caught(folder: &Path, text: &str, times: Times) -> BTreeMap<String, (usize, usize)> {
    let before = said(folder, text);
    let each: Vec<(Mutant, bool)> = mutants(text, times)
        .into_par_iter()
        .map(|mutant| {
            let seen = said(folder, &mutant.text).difference(&before).count() > 0;
            (mutant, seen)
        })
        .collect();
    let mut counts: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for (mutant, seen) in &each {
        let count = counts.entry(mutant.how.clone()).or_default();
        count.0 += usize::from(*seen);
        count.1 += 1;
        if std::env::var_os("TELL_MUTANTS").is_some() && !seen {
            let line = mutant.text.lines().nth(mutant.line).unwrap();
            println!("{}: {line}", mutant.how);
        }
    }
    counts
}

/// A table with a row a worksheet and a column a mutation: named, of so many. Every constant of
/// the sound worksheet is multiplied by every ratio; those of the notebooks by one in turn.
#[test]
fn so_many_mutants_are_named() {
    tarebook::time_limit::allow(std::time::Duration::from_secs(3000));
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (notebooks, data) = (root.join("notebooks"), root.join("tests/data"));
    let names = std::fs::read_dir(&notebooks).unwrap();
    let mut names: Vec<String> = names
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    // the claims have slips of their own
    names.retain(|name| name.ends_with(".tare") && !name.contains("claim"));
    names.sort();
    let mut hows: Vec<String> = RATIOS.iter().map(|ratio| format!("{ratio:.3}")).collect();
    hows.insert(0, "unit".to_owned());
    let mut told = format!(
        "{:<22}{}\n",
        "",
        hows.iter().map(|how| format!("{how:>9}")).collect::<String>()
    );
    let notebooks = names.into_iter().map(|name| (name, &notebooks, Times::InTurn));
    for (name, folder, times) in [("audit_sound.tare".to_owned(), &data, Times::Every)]
        .into_iter()
        .chain(notebooks)
    {
        let text = std::fs::read_to_string(folder.join(&name)).unwrap();
        let counts = caught(folder, &text, times);
        let cell = |how: &String| {
            let count = counts.get(how);
            let told = count.map_or("-".to_owned(), |(seen, all)| format!("{seen}/{all}"));
            format!("{told:>9}")
        };
        told += &format!("{name:<22}{}\n", hows.iter().map(cell).collect::<String>());
    }
    insta::assert_snapshot!("mutants_named", told);
}
