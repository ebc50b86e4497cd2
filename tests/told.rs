//! What a reader is told beside the values: what a failing check compares, what of what is
//! waited on has a problem, the ± of tables, rows left out, edges, times below zero.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::report::compose::Options;
use tarebook::report::handout;
use tarebook::report::handout::Form;
use tarebook::report::model::{Check, Report};
use tarebook::report::style::Style;
use tarebook::report::whole;
use tarebook::session::Session;
use tarebook::sheet::Sheet;
use tarebook::study::Unwatched;
use tarebook::text::Span;

fn session(text: &str) -> Session {
    Session::of_text("told.tare", text.to_owned(), &[], Options::default())
}

fn report(text: &str) -> Report {
    session(text).report()
}

fn on_a_terminal(text: &str) -> String {
    let style = Style {
        width: 80,
        ..Style::default()
    };
    whole::text(&report(text), style)
}

fn checks(text: &str) -> Vec<Check> {
    report(text).checks
}

// ---- checks ----

/// The values worked by hand; 20 lb is 20 × 0.45359237 kg.
#[test]
fn a_failing_check_tells_what_it_compares() {
    let given = "measured gross = 40.1 lb\nmeasured tare = 16.9 lb\nassumed net = 22 lb\nassumed mass [kg] = 10 kg\n\
        assumed word = \"a\"\n\
        assumed part = 59.6 % ± 5 % sd\nworked most_of = part + 20 %\nworked nearly = part + 40 %\nanswer hours [h:min] = (gross - tare) / 8 lb/h\n\
        table log\n  | gross [lb] |\n  | 51.9 |\n  | 43.7 |\n";
    for (condition, expected) in [
        ("net >= 25 lb", Some("as it stands, net is 22 lb")),
        ("25 lb <= net", Some("as it stands, net is 22 lb")),
        ("tare >= net", Some("as it stands, tare is 16.9 lb and net is 22 lb")),
        ("30 lb <= net <= 50 lb", Some("as it stands, net is 22 lb")),
        (
            "mass >= 50 lb",
            Some("as it stands, mass is 10 kg and 50 lb is 22.68 kg"),
        ),
        (
            "net >= mass * 5",
            Some("as it stands, net is 22 lb, mass * 5 is 50 kg = 110.2 lb and mass is 10 kg"),
        ),
        ("hours >= 4 h", Some("as it stands, hours is 2 h 54 min")),
        ("word = \"b\"", Some("as it stands, word is \"a\"")),
        (
            "abs(gross - tare - net) <= 0.05 lb",
            Some("as it stands, abs(gross - tare - net) is 1.2 lb, gross is 40.1 lb, tare is 16.9 lb and net is 22 lb"),
        ),
        (
            "abs(tare - net) <= 1 lb",
            Some("as it stands, tare and net are 5.1 lb apart, tare is 16.9 lb and net is 22 lb"),
        ),
        // by how much it misses isn't told where that would give a value away
        (
            "abs(sum(log.gross) - 90 lb) <= 1 lb",
            Some("as it stands, abs(sum(log.gross) - 90 lb) is 5.6 lb"),
        ),
        (
            "log.gross >= 45 lb",
            Some("as it stands, log.gross is 43.7 lb in row 2"),
        ),
        (
            "min(log.gross) >= 45 lb",
            Some("as it stands, min(log.gross) is 43.7 lb"),
        ),
        (
            "net >= 25 lb and tare >= 10 lb",
            Some("as it stands, net is 22 lb and tare is 16.9 lb"),
        ),
        ("not net < 25 lb", Some("as it stands, net is 22 lb")),
        // alike at the digits usually shown
        ("tare = 16.90001 lb", Some("as it stands, tare is 16.9 lb")),
        (
            "gross - tare >= 23.20001 lb",
            Some("as it stands, gross - tare is 23.2 lb, gross is 40.1 lb and tare is 16.9 lb"),
        ),
        (
            "net * 1.000001 <= net",
            Some("as it stands, net * 1.000001 is 22.00002 lb and net is 22 lb"),
        ),
        // no more digits than are sure, unless that hides the difference
        ("most_of >= 100 %", Some("as it stands, most_of is 80 %")),
        ("nearly >= 100 %", Some("as it stands, nearly is 99.6 %")),
        // nothing is added to what is plain, nor to what holds
        ("1 lb > 2 lb", None),
        ("net <= 25 lb", None),
    ] {
        let found = checks(&format!("{given}expect {condition}\n"));
        assert_eq!(found[0].compared.as_deref(), expected, "{condition}");
    }
}

/// The lines of a list of checks: those that hold stay as short as they are.
#[test]
fn a_failing_check_says_its_line() {
    let text = "assumed net = 22 lb\nexpect net <= 25 lb\nexpect net >= 25 lb else \"too little\"\n";
    let shown = on_a_terminal(text);
    let expected = "Checks\n  holds           net <= 25 lb\n  does not hold   net >= 25 lb (line 3)\n                  \
        Too little.\n                  As it stands, net is 22 lb.\n";
    assert!(shown.contains(expected), "{shown}");
    let page = whole::markdown(&report(text));
    let expected = "- `net <= 25 lb` holds\n- `net >= 25 lb` (line 3) **does not hold**: Too little. As it stands, net is 22 \
        lb.\n";
    assert!(page.contains(expected), "{page}");
}

/// A long column isn't copied for it: then the names alone are told.
#[test]
fn a_check_over_a_long_table_tells_what_it_can() {
    let rows = "  | 1 |\n".repeat(30_000);
    let text = format!("table log\n  | x |\n{rows}assumed most = 3\nexpect sum(log.x) < most\n");
    assert_eq!(checks(&text)[0].compared.as_deref(), Some("as it stands, most is 3"));
}

// ---- what is waited on ----

#[test]
fn what_is_waited_on_is_blank_or_has_a_problem() {
    let text = "measured bad = 1 lb / 0\nmeasured open [lb] = ?\nworked one = bad * 2\nworked two = open * 2\n\
        worked three = bad + open\nworked four = one + two\nworked other = 2 / 0\nworked five = bad * other\n\
        expect one > 1 lb\nexpect two > 1 lb\nexpect open > 1 lb\nexpect three > 1 lb\n";
    let found = report(text);
    let shown = |name: &str| {
        let entry = found.entries.iter().find(|entry| entry.name == name).unwrap();
        entry.shown.display()
    };
    assert_eq!(shown("one"), "waits for bad (line 1), which has a problem");
    assert_eq!(shown("two"), "waits for open (line 2)");
    assert_eq!(
        shown("three"),
        "waits for open (line 2); for bad (line 1), which has a problem"
    );
    assert_eq!(shown("four"), "waits for one (line 3), two (line 4)");
    assert_eq!(
        shown("five"),
        "waits for bad (line 1), other (line 7), which have problems"
    );
    let told: Vec<&str> = found
        .checks
        .iter()
        .map(|check| check.message.as_deref().unwrap())
        .collect();
    assert_eq!(
        told,
        [
            "waits for one (line 3)",
            "waits for two (line 4)",
            "waits for open (line 2), to be filled in",
            "waits for three (line 5)"
        ]
    );
    assert!(on_a_terminal(text).contains("undecided       open > 1 lb (line 11)"));
}

// ---- the ± of tables ----

const LOG: &str = "\
table log
  | time  | gross [lb ± 0.05] | other [lb]  | all [lb]    | load [W]    | share [%] |
  | 18:00 | 51.9              | 1.2 ± 0.05  | 1.5 ± 0.02  | 540         | 85 % ± 2 % |
  | 19:00 | 49.2 ± 0.1        | 13          | 10 ± 0.02   | 560         | 9 %       |
  | 20:00 |                   | 1 ± 1 oz sd | 2.5 ± 0.02  | 540 W ± 2 % | 10 % ± 1.5 % |
  | 21:00 | 43.7 ± 0.05       | 1 ± 0.1 k=2 | 3 ± 0.02 lb | 550         |           |
answer first_one = first(log.gross)
";

#[test]
fn the_tolerances_of_a_table_are_shown() {
    insta::assert_snapshot!("told_table_at_80", on_a_terminal(LOG));
    let page = whole::markdown(&report(LOG));
    assert!(
        page.contains("| time | gross `[lb ± 0.05]` | other `[lb]` | all `[lb ± 0.02]` |"),
        "{page}"
    );
    assert!(page.contains("| 19:00 | 49.2 ± 0.1 | 13 | 10 | 560 | 9 |"), "{page}");
    let widest = on_a_terminal(LOG).lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(80));
}

/// The values end in one column, whatever stands behind them.
#[test]
fn values_with_and_without_tolerance_are_aligned() {
    let text = "table log\n  | x [lb] |\n  | 1.25 ± 0.05 |\n  | 10.00 |\n  | 3.50 ± 0.1 k=2 |\n";
    let shown = on_a_terminal(text);
    let ends: Vec<usize> = ["1.25", "10.00", "3.50"]
        .iter()
        .map(|value| {
            let line = shown.lines().find(|line| line.contains(value)).unwrap();
            line.find(value).unwrap() + value.len()
        })
        .collect();
    assert!(ends.iter().all(|end| *end == ends[0]), "{shown}");
}

#[test]
fn a_derivation_and_a_page_show_them_too() {
    let mut session = session(LOG);
    let found = session.why("first_one", None).unwrap();
    let column = found.steps.iter().find(|step| step.name == "log.gross").unwrap();
    assert_eq!(
        column.shown,
        ["51.9 lb, 49.2 lb ± 0.1 lb, missing, 43.7 lb, the others ± 0.05 lb"]
    );
    let page = handout::write(&session.handout(Form::Full));
    assert!(page.contains("[lb ± 0.05]") && page.contains("49.2 ± 0.1"));
}

/// Standard uncertainties of plain limits: a/√3 (JCGM 100:2008, 4.3.7); 1 oz is 1/16 lb.
#[test]
fn machines_have_the_standard_uncertainty_of_each_cell() {
    let mut written = Vec::new();
    tarebook::report::json::write(&report(LOG), &mut written).unwrap();
    let found: serde_json::Value = serde_json::from_slice(&written).unwrap();
    let columns = found["tables"][0]["columns"].as_array().unwrap();
    let expected = [
        vec![],
        vec![
            Some(0.05 / 3_f64.sqrt()),
            Some(0.1 / 3_f64.sqrt()),
            None,
            Some(0.05 / 3_f64.sqrt()),
        ],
        vec![Some(0.05 / 3_f64.sqrt()), None, Some(0.0625), Some(0.05)],
        vec![Some(0.02 / 3_f64.sqrt()); 4],
        vec![None, None, Some(10.8 / 3_f64.sqrt()), None],
        vec![Some(2.0 / 3_f64.sqrt()), None, Some(1.5 / 3_f64.sqrt()), None],
    ];
    assert_eq!(columns.len(), expected.len());
    for (column, expected) in columns.iter().zip(expected) {
        assert!(column.get("tolerance").is_none());
        let found = column["uncertainty"]
            .as_array()
            .map_or(&[][..], |cells| cells.as_slice());
        assert_eq!(found.len(), expected.len(), "{column}");
        for (cell, wanted) in found.iter().zip(expected) {
            let cell: Option<f64> = cell.as_str().map(|text| text.parse().unwrap());
            let off = cell.unwrap_or(0.0) - wanted.unwrap_or(0.0);
            assert!(cell.is_some() == wanted.is_some() && off.abs() < 1e-12, "{column}");
        }
    }
}

// ---- cautions ----

/// The cautions of that code, each with the entries it names.
fn cautioned(text: &str, code: &str) -> Vec<(String, String)> {
    let found = report(text);
    assert_eq!(found.problem_count(), 0, "{:?}", found.problems);
    let some = found.cautions.into_iter().filter(|caution| caution.code == code);
    some.map(|caution| (caution.names.join(" "), caution.text)).collect()
}

#[test]
fn a_fit_says_which_rows_it_leaves_out() {
    let log = "table log\n  | time | gross [lb] | other [lb] |\n  | 18:00 | 51.9 | 1 |\n  | 19:00 | | 2 |\n  \
        | 20:00 | 46.4 | |\n  | 21:00 | 43.7 | 4 |\n";
    let text = format!("{log}worked rate = burn_rate(log.time, log.gross)\n");
    let expected = "`burn_rate` leaves out 1 of the 4 rows that it is given, for want of a cell: row 2.";
    assert_eq!(
        cautioned(&text, "missing-cells"),
        [("rate".to_owned(), expected.to_owned())]
    );
    let text = format!(
        "{log}worked tilt = slope(log.gross, log.other)\nworked read = interpolate(log.other, log.gross, 3 lb)\n"
    );
    let found = cautioned(&text, "missing-cells");
    assert!(
        found.iter().any(|(names, text)| names == "tilt"
            && text.ends_with("2 of the 4 rows that it is given, for want of a cell: rows 2, 3.")),
        "{found:?}"
    );
    assert!(
        found
            .iter()
            .any(|(names, text)| names == "read" && text.starts_with("`interpolate` leaves out 2 of")),
        "{found:?}"
    );
    let text = format!("{log}worked rate = slope(log.time, log.gross where log.gross > 0 lb)\n");
    assert!(report(&text).problem_count() > 0, "columns of two lengths");
    let whole = "table log\n  | x | y |\n  | 1 | 1 |\n  | 2 | 3 |\nworked tilt = slope(log.x, log.y)\n";
    assert_eq!(cautioned(whole, "missing-cells"), []);
}

/// Where texts tell that the rows belong together nothing is cautioned, and where none do it is.
#[test]
fn tables_side_by_side_are_cautioned_where_nothing_tells() {
    let tables = "table stock\n  | shell | gross [lb] |\n  | red | 38 |\n  | blue | 31 |\n\
        table same\n  | id | more [lb] |\n  | red | 2 |\n  | blue | 3 |\n\
        table bare\n  | off [lb] |\n  | 1 |\n  | 2 |\n";
    let check = |lines: &str, wanted: &[(&str, &str)]| {
        let found = cautioned(&format!("{tables}{lines}\n"), "two-tables");
        let wanted: Vec<(String, String)> = wanted
            .iter()
            .map(|(names, tables)| {
                let told = format!(
                    "The rows of {tables} are paired by their order, and nothing in them tells whether they belong together."
                );
                ((*names).to_owned(), told)
            })
            .collect();
        assert_eq!(found, wanted, "{lines}");
    };
    check("worked a = stock.gross + same.more", &[]);
    check("worked a = stock.gross + bare.off", &[("a", "`stock` and `bare`")]);
    check(
        "worked a = stock.gross + same.more - bare.off",
        &[("a", "`stock` and `bare`")],
    );
    check(
        "worked a = sum(bare.off where stock.shell = \"red\")",
        &[("a", "`bare` and `stock`")],
    );
    check(
        "worked a = stock.gross * 2\nworked b = a + same.more\nworked c = b * 2",
        &[],
    );
    check(
        "worked a = bare.off * 2\nworked b = a + stock.gross\nworked c = b * 2",
        &[("b", "`bare` and `stock`")],
    );
    check(
        "expect stock.gross > bare.off",
        &[("the check in line 13", "`stock` and `bare`")],
    );
    check(
        "rule both(x, y) = x + y\nworked a = both(stock.gross, bare.off)",
        &[("a", "`stock` and `bare`")],
    );
    // the same words, but not the same rows of them
    let filtered = "(stock.gross where stock.gross > 32 lb) + (same.more where same.more > 2 lb)";
    check(&format!("worked a = {filtered}"), &[("a", "`stock` and `same`")]);
    check("worked a = sum(stock.gross) + sum(bare.off)", &[]);
    check(
        "table plan = swap_plan(stock.gross / 1 lb * 1 h, bare.off / 1 h, same.more)",
        &[("plan", "`stock` and `bare`")],
    );
}

/// An edit that makes a column go by other rows is seen by what uses it.
#[test]
fn an_edit_can_bring_two_tables_together() {
    let text = "table a\n  | id | x |\n  | p | 1 |\n  | q | 2 |\ntable b\n  | id | x |\n  | q | 1 |\n  | p | 2 |\n\
        worked one = a.x * 2\nworked two = one + a.x\n";
    let mut sheet = Sheet::load(text.to_owned(), None);
    assert!(sheet.problems().is_empty());
    let at = text.find("a.x * 2").unwrap();
    sheet.replace(Span::new(at, at + 1), "b");
    let codes: Vec<&str> = sheet.problems().iter().map(|problem| problem.code.word()).collect();
    assert_eq!(codes, ["rows-differ"]);
    sheet.replace(Span::new(at, at + 1), "a");
    assert!(sheet.problems().is_empty());
}

const CHART: &str = "table chart\n  | air [°F] | hours [h] |\n  | 0 | 2 |\n  | 10 | 3 |\n  | 20 | 5 |\n  | 30 | 7 |\n";

#[test]
fn the_edge_of_a_table_is_told() {
    for (air, expected) in [
        // at an end, and with part of the ± beyond it
        ("30 °F ± 3 °F", Some("lies outside its column")),
        ("0 °F ± 1 °F", Some("lies outside its column")),
        ("29 °F ± 3 °F", Some("lies outside its column")),
        ("2 °F ± 2 F° sd", Some("lies outside its column")),
        // at a row where the line bends, and at one where it doesn't
        ("10 °F ± 3 °F", Some("reads right at a row where the line bends")),
        ("20 °F ± 3 °F", None),
        // the limits touch the end
        ("27 °F ± 3 °F", None),
        ("15 °F ± 3 °F", None),
        ("30 °F", None),
    ] {
        let text = format!("{CHART}assumed air = {air}\nanswer lasts = interpolate(chart.air, chart.hours, air)\n");
        let found = cautioned(&text, "one-sided");
        assert_eq!(found.len(), usize::from(expected.is_some()), "{air}: {found:?}");
        assert!(
            expected.is_none_or(|part| found[0].1.contains(part)),
            "{air}: {found:?}"
        );
    }
}

#[test]
fn the_edge_of_a_function_is_told() {
    for (air, expected) in [
        ("70 °F ± 5 °F", true),
        ("66 °F ± 5 °F", true),
        ("40 °F ± 5 °F", false),
        ("70 °F", false),
    ] {
        let text = format!("assumed air = {air}\nanswer draw = hundred_pound_capacity(50 lb, air)\n");
        let found = cautioned(&text, "one-sided");
        assert_eq!(found.len(), usize::from(expected), "{air}: {found:?}");
        assert!(
            !expected
                || found[0]
                    .1
                    .contains("`air` lies where `hundred_pound_capacity` has no value"),
            "{found:?}"
        );
    }
}

#[test]
fn the_ends_of_a_line_are_told() {
    let log = "table log\n  | hours [h] | gross [lb] |\n  | 0 | 51.9 |\n  | 1 | 49.2 |\n  | 2 | 46.6 |\n";
    for (at, expected) in [
        ("2 h ± 0.5 h", true),
        ("1 h ± 0.5 h", false),
        ("3 h", true),
        ("2 h", false),
    ] {
        let text = format!("{log}assumed at = {at}\nanswer there = fitted_at(log.hours, log.gross, at)\n");
        assert_eq!(cautioned(&text, "beyond-readings").len(), usize::from(expected), "{at}");
    }
}

/// 20 lb less 24 lb at 2 lb/h is −2 h.
#[test]
fn a_time_to_run_below_zero_is_told() {
    let given = "measured fuel = 20 lb\nassumed held = 24 lb\nassumed rate = 2 lb/h\nassumed night = 3 h\n";
    let told = |formula: &str, name: &str| {
        let found = cautioned(&format!("{given}{formula}"), "below-zero");
        assert_eq!(found.len(), usize::from(!name.is_empty()), "{formula}: {found:?}");
        assert!(name.is_empty() || found[0].0 == name, "{formula}: {found:?}");
        found.first().map(|(_, text)| text.clone()).unwrap_or_default()
    };
    let text = told("answer lasts [h:min] = (fuel - held) / rate\n", "lasts");
    assert!(
        text.starts_with("It comes out below zero: more is taken off than there is,"),
        "{text}"
    );
    told(
        "worked lasts = (fuel - held) / rate\nanswer both = min(lasts, night)\n",
        "lasts",
    );
    told("answer both = min((fuel - held) / rate, night)\n", "both");
    told(
        "rule time_of(a [lb], b [lb/h]) [h] = a / b\nanswer lasts = time_of(fuel - held, rate)\n",
        "lasts",
    );
    told(
        "answer lasts = if night > 2 h then (fuel - held) / rate else 1 h\n",
        "lasts",
    );
    // a difference of two times may be below zero, and so may what is no time
    told("answer spare = 1 h - night\n", "");
    told(
        "rule left(a [h], b [h]) [h] = a - b\nanswer spare = left(1 h, night)\n",
        "",
    );
    told("answer left = fuel - held\n", "");
    told("answer lasts = fuel / rate\n", "");
    told("answer cooler = (20 °F - 30 °F) / 2\n", "");
    let rows = "table log\n  | x [lb] |\n  | 3 |\n  | -1 |\nworked lasts = log.x / (2 lb/h)\n";
    let found = cautioned(rows, "below-zero");
    assert!(
        found[0].1.starts_with("It comes out below zero, first in row 2:"),
        "{found:?}"
    );
}

/// Cases and audits name the caution too.
#[test]
fn a_time_below_zero_is_told_by_studies() {
    let text = "measured fuel = 20 lb\nassumed held = 4 lb\nanswer lasts [h] = (fuel - held) / 2 lb/h\ncase empty\n  held = 24 lb\n";
    let found = session(text).compare();
    let scene = found
        .cases
        .iter()
        .find(|scene| scene.name.as_deref() == Some("empty"))
        .unwrap();
    assert!(
        scene.cautions.iter().any(|(code, _)| code == "below-zero"),
        "{:?}",
        scene.cautions
    );
    let text = text.replace("4 lb", "24 lb");
    let found = session(&text).audit(&Unwatched);
    let lasts = found
        .lines
        .iter()
        .find(|line| line.name.as_deref() == Some("lasts"))
        .unwrap();
    assert!(
        lasts.remarks.iter().any(|remark| remark.code == "below-zero"),
        "{:?}",
        lasts.remarks
    );
}

// ---- runtimes by weight ----

fn is_by_weight(report: &Report) -> bool {
    report.cautions.iter().any(|caution| caution.code == "by-weight")
}

/// Weight over rate tells when a cylinder is empty, through rules and other times too;
/// liquids that a set takes from a tank don't cool like a cylinder.
#[test]
fn a_runtime_by_weight_is_cautioned_unless_something_is_drawn_down() {
    let given = "measured net = 15 lb\nmeasured rate = 1.2 lb/h\nmeasured tank = 4 gal\nmeasured burn = 0.3 gal/h\n\
        rule lasts(fuel [lb], burnt [lb/h]) [h] = fuel / burnt\n";
    for (answer, told) in [
        ("answer a [h] = net / rate", true),
        ("answer a [h] = lasts(net, rate) - 1 h", true),
        ("worked alone [h] = net / rate\nanswer a [h] = alone * 2", true),
        ("answer a [h:min] = if net > 2 lb then net / rate else 0 h", true),
        ("worked alone [h] = net / rate\nanswer a [lb] = net * 2", false),
        ("answer a [h] = tank / burn", false),
        ("answer a [lb] = net - rate * 2 h", false),
        (
            "answer a [h] = net / rate\n\
             answer b = draw_down_time(net, 12 in, 17.6 lb, 20 °F, rate, 7 W/(m2·C°), 5 psig)",
            false,
        ),
    ] {
        let found = report(&format!("{given}{answer}\n"));
        assert!(found.problems.is_empty(), "{answer}: {:?}", found.problems);
        assert_eq!(is_by_weight(&found), told, "{answer}");
    }
}

/// The caution goes and comes with what is typed.
#[test]
fn a_formula_typed_anew_changes_the_caution() {
    let mut session =
        session("measured net = 15 lb\nmeasured rate = 1.2 lb/h\nassumed span = 6 h\nanswer a [h] = net / rate\n");
    assert!(is_by_weight(&session.report()));
    session.enter("answer a [h] = span * 2").unwrap();
    assert!(!is_by_weight(&session.report()));
    session.enter("answer a [h] = 2 * net / rate").unwrap();
    assert!(is_by_weight(&session.report()));
}

// ---- where a caution comes from ----

/// A check has no name: it stands by its line, and only where no entry has the same caution.
#[test]
fn cautions_of_checks_tell_their_line() {
    let given = "measured net = 15 lb\nmeasured rate = 3 lb/h\n";
    let call = "draw_down_time(net, 12 in, 17.6 lb, -20 °F, rate, 7 W/(m2·C°), 5 psig)";
    let names = |text: &str| {
        let found = report(text).cautions;
        found
            .into_iter()
            .find(|caution| caution.code == "stalls-first")
            .unwrap()
            .names
    };
    assert_eq!(
        names(&format!("{given}expect {call} > 1 min\n")),
        ["the check in line 3"]
    );
    assert_eq!(
        names(&format!("{given}answer a = {call}\nexpect {call} > 1 min\n")),
        ["a"]
    );
}
