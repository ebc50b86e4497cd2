//! The same question gives the same answer, whichever way it is asked.
//!
//! A draw over blocks and the same values typed into the record; a value held by a
//! trial, by a case, by `--set`, and written into the text; one thread and two; one
//! format and another. Worksheets are put together from the examples of every
//! function, with each number made an input. Nothing here knows a result beforehand:
//! values from outside stand in the other files.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use proptest::{collection, prop_assert};
use serde_json::Value;
use tarebook::number::Number;
use tarebook::sheet::lanes::Lanes;
use tarebook::sheet::names::{CellId, Named};
use tarebook::sheet::order::each_part;
use tarebook::sheet::source::SourceOf;
use tarebook::sheet::{Held, HeldValue, Holder, Reading, Sheet};
use tarebook::syntax::parse_typed;
use tarebook::syntax::tree::{ExpressionNode, Typed, Value as Written};
use tarebook::trade::Function;
use tarebook::trade::registry::functions;
use tarebook::unit::Kind;

// ---- every draw against the record ----

/// A small generator, so that the deviates are none of the program's own.
struct Deviates(u64);

impl Deviates {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 / (1u64 << 53) as f64 - 0.5) * 3.0
    }
}

const DRAWS: usize = 6;

/// Runs a few draws and types each of them into the record.
fn same_as_typed(name: &str, sheet: &mut Sheet) -> usize {
    let numeric = |sheet: &Sheet, cell: &CellId| {
        matches!(sheet.reading(*cell), Reading::Number(_))
            && sheet
                .shape(*cell)
                .is_some_and(|shape| !shape.column && !matches!(shape.kind, Kind::Text))
    };
    let cells: Vec<CellId> = (0..u32::try_from(sheet.cell_count()).unwrap()).map(CellId).collect();
    // these go by the tolerances, which a value typed in doesn't have
    let by_tolerances = ["normalized_error(", "at_least(", "at_most("];
    let weighs = |sheet: &Sheet, cell: &CellId| {
        let mut needed = sheet.needed_by(*cell).into_iter();
        needed.any(|cell| {
            let text = sheet.tree().text_of(sheet.item_of(cell) as usize);
            by_tolerances.iter().any(|call| text.contains(call))
        })
    };
    let asked = cells
        .into_iter()
        .filter(|cell| numeric(sheet, cell) && !weighs(sheet, cell));
    let asked: Vec<CellId> = asked.collect();
    let (typed, found) = {
        let plan = sheet.lanes(&asked);
        let mut random = Deviates(11);
        let mut parts = Vec::new();
        let mut typed: Vec<(CellId, f64, Vec<f64>)> = Vec::new();
        for source in plan.sources() {
            let held = match source.of {
                SourceOf::Cell(cell) => Some(CellId(cell)),
                _ => None,
            };
            let deviates: Vec<f64> = (0..DRAWS)
                .map(|_| if held.is_some() { random.next() } else { 0.0 })
                .collect();
            if let Some(cell) = held {
                typed.push((cell, source.standard, deviates.clone()));
            }
            parts.push(vec![deviates; source.width()]);
        }
        (typed, run(&plan, &parts, asked.len()))
    };
    let nominal: Vec<f64> = typed.iter().map(|(cell, ..)| number(sheet, *cell).unwrap()).collect();
    let mut compared = 0;
    for draw in 0..DRAWS {
        for ((cell, standard, deviates), nominal) in typed.iter().zip(&nominal) {
            hold(sheet, *cell, nominal + standard * deviates[draw]);
        }
        for (place, cell) in asked.iter().enumerate() {
            let lanes = found[place][draw];
            let record = number(sheet, *cell);
            compared += 1;
            match (lanes, record) {
                (None, None) => {}
                // what a limit has cut short is no number in a draw; the record may know enough of it
                (None, Some(_)) if !sheet.limits_met(&[*cell]).is_empty() => {}
                (Some(lanes), Some(record)) => {
                    let within = 1e-9 * record.abs().max(1e-6);
                    assert!(
                        (lanes - record).abs() <= within,
                        "{name} draw {draw}: {:?} is {lanes} over lanes and {record} in the record",
                        sheet.name_of(*cell)
                    );
                }
                other => panic!("{name} draw {draw}: {:?} {other:?}", sheet.name_of(*cell)),
            }
        }
    }
    compared
}

fn run(plan: &Lanes<'_>, deviates: &[Vec<Vec<f64>>], asked: usize) -> Vec<Vec<Option<f64>>> {
    let mut worker = plan.worker();
    let mut found = vec![Vec::new(); asked];
    for draw in 0..DRAWS {
        worker.run(deviates, draw, 1);
        for (place, found) in found.iter_mut().enumerate() {
            let (lane, failed) = worker.found(place);
            found.push((!failed.has(0)).then_some(lane[0]));
        }
    }
    found
}

fn number(sheet: &Sheet, cell: CellId) -> Option<f64> {
    match sheet.reading(cell) {
        Reading::Number(number) => Some(number.to_f64()),
        _ => None,
    }
}

fn hold(sheet: &mut Sheet, cell: CellId, value: f64) {
    let held = Held {
        value: HeldValue::Number(Number::from_f64(value).unwrap()),
        tolerance: None,
        by: Holder::Trial,
        written: String::new(),
        source: None,
        note: None,
    };
    sheet.hold(cell, held);
}

#[test]
fn every_draw_of_the_notebooks_is_the_record_with_its_values_typed_in() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let mut compared = 0;
    for file in fs::read_dir(&folder).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_some_and(|extension| extension == "tare") {
            let text = fs::read_to_string(&path).unwrap();
            let mut sheet = Sheet::load(text, Some(folder.clone()));
            compared += same_as_typed(&path.display().to_string(), &mut sheet);
        }
    }
    assert!(compared > 1_500, "{compared}");
}

/// Columns, conditions, filters, reductions, tables that functions make, and problems that
/// only some draws meet.
#[test]
fn every_draw_of_a_worksheet_with_everything_is_the_record() {
    let text = "
assumed a = 3 lb ± 1 lb
assumed b = 2 lb/h ± 0.9 lb/h
assumed air = 30 °F ± 20 °F
assumed limit = 5 ± 3
assumed start = 21:00 ± 30 min
table loads
| watts [W] | on | hours [h] |
| 500 | true | 1 |
| 300 | false | 2 |
|  | true | 3 |
| 900 | true | 5 |
worked t = a / b
worked root = sqrt(a / 1 lb - 2.5)
worked broken = 1 / (if a > 3 lb then 1 else 0)
worked unbroken = if a > 3 lb then 1 / (if a > 3 lb then 1 else 0) else 7
worked cold = if air < 32 °F then \"cold\" else \"mild\"
worked said = if cold = \"cold\" then 1 else 2
worked scaled = loads.watts * (a / 1 lb)
worked many = sum(scaled where loads.watts > 200 W * (a / 1 lb))
worked few = count(scaled where scaled > 1000 W)
worked most = max(scaled)
worked total = last(running_total(scaled))
worked nearest = round(limit, 0.5)
worked power = limit ^ 2 + limit ^ (1/2)
worked least = min(a, 3 lb)
worked end = start + t
worked density = propane_density(air)
worked kelvin = absolute(air)
worked between = interpolate(loads.hours, loads.hours, 2 h + t / 10)
worked pressure = propane_pressure(air)
table run = draw_down(contents: 10 lb, diameter: 12.2 in, steel: 17 lb, air: air, rate: b, film: 8 W/(m2·C°), least_pressure: 5 psig)
worked stalls = draw_down_time(run)
worked coldest = min(run.temperature)
worked why = if draw_down_end(run) = \"empty\" then 1 else 0
worked plan = fuel_needed(loads.hours, if loads.on then 700 W else 200 W, 1 kW, b, 30 %)
rule twice(x [lb]) [lb] = if x > 3 lb then 2 * x else x + 3 lb
worked ruled = twice(a)
expect t <= 2 h
";
    let mut sheet = Sheet::load(text.to_owned(), None);
    let named = |name: &str| matches!(sheet.names().get(name), Some(Named::Cell(_)));
    assert!(named("coldest") && named("ruled"));
    let problems: Vec<String> = sheet.problems().iter().map(|problem| problem.message.clone()).collect();
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert!(same_as_typed("everything", &mut sheet) > 120);
}

// ---- worksheets with every function ----

/// An example of a function, with its quantities as inputs of their own.
struct Asked {
    function: &'static Function,
    /// The inputs, as `assumed NAME = VALUE`, still without tolerance; the value's size behind.
    inputs: Vec<(String, String, String)>,
    /// The call over their names.
    call: String,
}

/// Every example of the registry, each with as many of its quantities made inputs as the
/// function lets: some ask for a number written there.
fn examples() -> Vec<Asked> {
    let mut asked = Vec::new();
    for function in functions() {
        for (place, example) in function.examples.iter().enumerate() {
            asked.push(taken_apart(function, place, example.call));
        }
    }
    asked
}

fn taken_apart(function: &'static Function, place: usize, call: &str) -> Asked {
    let Ok(Typed::Expression { expression, .. }) = parse_typed(call) else {
        panic!("{call}");
    };
    let mut quantities = Vec::new();
    each_part(&expression, &mut |part| {
        if let ExpressionNode::Quantity { .. } = part.node {
            quantities.push(part.span);
        }
    });
    let mut asked = Asked {
        function,
        inputs: Vec::new(),
        call: call.to_owned(),
    };
    for span in quantities.into_iter().rev() {
        let name = format!("{}_{place}_{}", function.name, asked.inputs.len());
        let mut call = asked.call.clone();
        call.replace_range(span.start as usize..span.end as usize, &name);
        let value = span.of(&asked.call).to_owned();
        let unit = value.split_once(' ').map_or("", |(_, unit)| unit).to_owned();
        let mut inputs = asked.inputs.clone();
        inputs.push((name, value, unit));
        let trial = Asked { function, inputs, call };
        if !Sheet::load(text_of(&trial, &[]), None).has_problems() {
            asked = trial;
        }
    }
    asked
}

/// The worksheet of one example; its inputs with these tolerances, in thousandths of
/// their unit for temperatures and levels, of their value for others.
fn text_of(asked: &Asked, thousandths: &[u32]) -> String {
    let mut text = asked.function.example_table.to_owned();
    text.push('\n');
    for (place, (name, value, unit)) in asked.inputs.iter().enumerate() {
        let thousandths = thousandths.get(place).copied().unwrap_or(0);
        let size = f64::from(thousandths) / 1000.0;
        let tolerance = match unit.as_str() {
            _ if thousandths == 0 => String::new(),
            "°F" | "°C" => format!(" ± {} {}", size * 20.0, unit.replace('°', "") + "°"),
            "dB" => format!(" ± {} dB", size * 10.0),
            "psig" => format!(" ± {} psi", size * 10.0),
            _ => format!(" ± {} %", size * 100.0),
        };
        let _ = writeln!(text, "assumed {name} = {value}{tolerance}");
    }
    let _ = writeln!(text, "answer asked = {}", asked.call);
    text
}

/// The same seed each time; with `PROPTEST_CASES` set, `cases` of every 256.
fn runner(cases: u32) -> TestRunner {
    let usual = Config::default();
    let config = Config {
        cases: cases * usual.cases / 256,
        failure_persistence: None,
        ..usual
    };
    TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha))
}

#[test]
fn a_draw_of_every_function_is_the_record() {
    let examples = examples();
    let uncertain = examples.iter().filter(|asked| !asked.inputs.is_empty());
    let reached: BTreeSet<&str> = uncertain.map(|asked| asked.function.name).collect();
    assert!(reached.len() > 45, "{}", reached.len());
    let strategy = collection::vec(1u32..200, 8);
    let compared = Cell::new(0);
    let result = runner(6).run(&strategy, |thousandths| {
        for asked in &examples {
            let text = text_of(asked, &thousandths);
            let mut sheet = Sheet::load(text.clone(), None);
            prop_assert!(!sheet.has_problems(), "{:?} in\n{text}", sheet.problems());
            compared.set(compared.get() + same_as_typed(asked.function.name, &mut sheet));
        }
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
    assert!(compared.get() > 10_000, "{}", compared.get());
}

// ---- a value held, tried and written ----

/// A folder of its own with the notebooks in it.
fn notebooks() -> (tempfile::TempDir, Vec<PathBuf>) {
    // an unoptimized build under load is slower than the time that a run usually has
    tarebook::time_limit::allow(std::time::Duration::from_secs(300));
    let folder = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let mut worksheets = Vec::new();
    for file in fs::read_dir(from).unwrap() {
        let path = file.unwrap().path();
        if path.is_file() {
            let to = folder.path().join(path.file_name().unwrap());
            fs::copy(&path, &to).unwrap();
            if to.extension().is_some_and(|extension| extension == "tare") {
                worksheets.push(to);
            }
        }
    }
    worksheets.sort();
    (folder, worksheets)
}

/// What the program says, on so many threads.
fn said(folder: &Path, threads: &str, arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder)
        .env("RAYON_NUM_THREADS", threads)
        .output()
        .unwrap();
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(
        !told.is_empty(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    told
}

/// Values, units, doubts and checks of a report in JSON, without who holds what and
/// where it is written.
fn figures_of(report: &str) -> BTreeMap<String, String> {
    let report: Value = serde_json::from_str(report).unwrap();
    let list = |name: &str| report[name].as_array().unwrap().clone();
    let mut figures = BTreeMap::new();
    for entry in list("entries") {
        let told = ["type", "value", "unit", "uncertainty", "waits_on"].map(|key| entry[key].to_string());
        figures.insert(entry["name"].to_string(), told.join(" "));
    }
    for (place, check) in list("checks").iter().enumerate() {
        figures.insert(
            format!("check {place}"),
            format!("{} {}", check["text"], check["holds"]),
        );
    }
    figures
}

/// The plain inputs of a worksheet: the name, its stretch of the text from the value to
/// the end of its tolerance, and that value a little larger.
fn moved_inputs(sheet: &Sheet) -> Vec<(String, std::ops::Range<usize>, String)> {
    let mut moved = Vec::new();
    for cell in (0..u32::try_from(sheet.cell_count()).unwrap()).map(CellId) {
        let Some(entry) = sheet.entry(cell).filter(|entry| entry.kind.is_input()) else {
            continue;
        };
        let Some(Written::Given { expression, tolerance }) = &entry.value else {
            continue;
        };
        if let ExpressionNode::Quantity { value, unit, .. } = &expression.node
            && !value.is_zero()
        {
            let start = sheet.tree().items[sheet.item_of(cell) as usize].start as usize;
            let end = tolerance
                .as_ref()
                .map_or(expression.span, |tolerance| tolerance.span)
                .end as usize;
            let larger = format!("{:.4} {unit}", value.to_f64() * 1.01);
            let from = start + expression.span.start as usize;
            moved.push((entry.name.text.to_string(), from..start + end, larger));
        }
    }
    moved
}

#[test]
fn a_value_set_tried_in_a_case_or_written_gives_the_same() {
    let (folder, worksheets) = notebooks();
    let mut compared = 0;
    for path in &worksheets {
        let name = path.file_name().unwrap().to_str().unwrap();
        let text = fs::read_to_string(path).unwrap();
        let sheet = Sheet::load(text.clone(), Some(folder.path().to_owned()));
        let inputs = moved_inputs(&sheet);
        for (input, place, value) in inputs.iter().step_by(inputs.len() / 2 + 1) {
            let set = said(
                folder.path(),
                "1",
                &["show", name, "--set", &format!("{input}={value}"), "--format", "json"],
            );
            let mut edited = text.clone();
            edited.replace_range(place.clone(), value);
            fs::write(folder.path().join("edited.tare"), &edited).unwrap();
            let written = said(folder.path(), "2", &["show", "edited.tare", "--format", "json"]);
            let cased = format!("{text}\ncase otherwise\n  {input} = {value}\n");
            fs::write(folder.path().join("cased.tare"), cased).unwrap();
            let case = said(
                folder.path(),
                "1",
                &["show", "cased.tare", "--case", "otherwise", "--format", "json"],
            );
            let plain = said(folder.path(), "1", &["show", name, "--format", "json"]);
            assert_eq!(figures_of(&set), figures_of(&written), "{name} {input} = {value}");
            assert_eq!(figures_of(&set), figures_of(&case), "{name} {input} = {value}");
            assert_ne!(figures_of(&set), figures_of(&plain), "{name} {input} = {value}");
            // the session's own way to the same text
            let mut stepped = Sheet::load(text.clone(), Some(folder.path().to_owned()));
            stepped.replace(tarebook::text::Span::new(place.start, place.end), value);
            let fresh = Sheet::load(edited, Some(folder.path().to_owned()));
            let readings = |sheet: &Sheet| -> Vec<String> {
                let cells = (0..u32::try_from(sheet.cell_count()).unwrap()).map(CellId);
                cells.map(|cell| format!("{:?}", sheet.reading(cell))).collect()
            };
            assert_eq!(readings(&stepped), readings(&fresh), "{name} {input} = {value}");
            compared += 1;
        }
    }
    assert!(compared > 15, "{compared}");
}

// ---- threads and formats ----

const FORMATS: [&str; 4] = ["text", "markdown", "json", "csv"];

#[test]
fn threads_change_no_letter_of_any_report() {
    let (folder, _) = notebooks();
    let questions: [&[&str]; 5] = [
        &[
            "doubt",
            "winter-outage.tare",
            "runtime",
            "--draws",
            "3000",
            "--seed",
            "5",
        ],
        &["doubt", "cold-night.tare", "forty", "--draws", "1500"],
        &["audit", "claim.tare"],
        &["diff", "claim.tare", "claim-corrected.tare"],
        &[
            "sweep",
            "weighed-run.tare",
            "to_load",
            "--from",
            "200 W",
            "--to",
            "2 kW",
            "--values",
            "900",
        ],
    ];
    for question in questions {
        for format in FORMATS {
            let asked = [question, &["--format", format]].concat();
            let one = said(folder.path(), "1", &asked);
            assert_eq!(one, said(folder.path(), "2", &asked), "{asked:?}");
            assert_eq!(one, said(folder.path(), "5", &asked), "{asked:?}");
        }
    }
}

#[test]
fn formats_tell_the_same_figures() {
    let (folder, worksheets) = notebooks();
    for path in &worksheets {
        let name = path.file_name().unwrap().to_str().unwrap();
        let [_, markdown, json, csv] =
            FORMATS.map(|format| said(folder.path(), "1", &["show", name, "--format", format]));
        // a first screen has room for what comes first
        let text = said(folder.path(), "1", &["show", name, "all"]);
        let report: Value = serde_json::from_str(&json).unwrap();
        let mut rows = csv::Reader::from_reader(csv.as_bytes());
        let heads = rows.headers().unwrap().clone();
        let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
        let entries = report["entries"].as_array().unwrap();
        assert_eq!(rows.len(), entries.len(), "{name}");
        for (entry, row) in entries.iter().zip(&rows) {
            for (head, field) in heads.iter().zip(row) {
                // a text that a spreadsheet would run is quoted there
                let field = field.strip_prefix('\'').unwrap_or(field);
                // what was in hand stands around the entries, and behind each row
                let held = ["title", "file", "case", "trials"].contains(&head);
                let head = if head == "standard_uncertainty" {
                    "uncertainty"
                } else {
                    head
                };
                match if held { &report[head] } else { &entry[head] } {
                    Value::String(told) => assert_eq!(told, field, "{name} {head}"),
                    Value::Null => assert_eq!(field, "", "{name} {head}"),
                    _ => {}
                }
            }
            // what draws say of a value stands beside it, where there is room
            let display = entry["display"].as_str().unwrap_or("");
            let display = display.split_once(" (").map_or(display, |(value, _)| value);
            let squeezed = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
            if entry["kind"] == "answer" {
                // a first screen says once what to fill in
                let short = if display.starts_with("waits for") {
                    "waits"
                } else {
                    display
                };
                assert!(
                    squeezed(&text).contains(&squeezed(short)),
                    "{name}: {display} in the text"
                );
                assert!(
                    squeezed(&markdown.replace('\\', "")).contains(&squeezed(display)),
                    "{name}: {display} in Markdown"
                );
            }
        }
    }
}
