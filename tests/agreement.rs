//! How sure results are together: averages, bounds, how likely a check holds.
//!
//! Expected values are worked out apart, in numpy and scipy.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod weighed;

use tarebook::problem::Severity;
use tarebook::sheet::{Reading, Sheet};
use tarebook::study::Unwatched;
use tarebook::study::draws::{Asked, draw};
use tarebook::trade::agreement::disagree;

use weighed::{doubt, load, value};

fn problems(sheet: &Sheet) -> Vec<String> {
    let problems = sheet.problems();
    let wrong = problems.iter().filter(|problem| problem.severity == Severity::Problem);
    wrong.map(|problem| problem.message.clone()).collect()
}

fn codes(sheet: &Sheet, name: &str) -> Vec<&'static str> {
    let found = sheet.appraise([sheet.cell(name).unwrap()]).cautions;
    found.iter().map(|found| found.caution.code).collect()
}

fn near(found: f64, expected: f64, relative: f64, what: &str) {
    let gap = (found - expected).abs();
    assert!(
        gap <= relative * expected.abs(),
        "{what}: {expected} expected, found {found}"
    );
}

fn refused(text: &str, expected: &str) {
    let found = problems(&Sheet::load(text.to_owned(), None));
    assert!(found.iter().any(|message| message.contains(expected)), "{found:?}");
}

// ---- averages ----

const RUNS: &str = "table runs\n  | rate [lb/h ± 0.05] |\n  | 2.20 |\n  | 2.50 |\n  | 1.90 |\nworked rate = average(runs.rate)\nworked plain = mean(runs.rate)\n";

/// s/√3 = 0.173205 with 2 degrees of freedom; declared alone it would be 0.05/3.
#[test]
fn runs_that_disagree_are_no_surer_than_they_spread() {
    let sheet = load(RUNS);
    near(value(&sheet, "rate"), 2.2, 1e-12, "average");
    near(doubt(&sheet, "rate").standard, 0.173_205_080_756_888, 1e-9, "u");
    near(doubt(&sheet, "rate").degrees_of_freedom, 2.0, 1e-9, "degrees");
    near(doubt(&sheet, "plain").standard, 0.05 / 3.0, 1e-9, "mean");
    assert_eq!(codes(&sheet, "rate"), ["runs-disagree"]);
    let cell = sheet.cell("rate").unwrap();
    let figures = draw(&sheet, cell, Asked { count: 40_000, seed: 3 }, &Unwatched)
        .figures
        .unwrap();
    // Student's t with 2 degrees of freedom, 97.5 %: 4.302653
    near((figures.high - figures.low) / 2.0, 4.302_653 * 0.173_205, 0.05, "drawn");
}

#[test]
fn what_results_share_is_no_spread() {
    let sheet = load(
        "measured scale = 1 ± 0.02 sd\nmeasured a = 2.20 lb/h ± 0.05 lb/h sd\nmeasured b = 2.21 lb/h ± 0.05 lb/h sd\nmeasured c = 2.19 lb/h ± 0.05 lb/h sd\n\
worked all = average(a * scale, b * scale, c * scale)\nworked two = average(a, b)\n",
    );
    let (own, shared) = (0.05 / 3f64.sqrt(), 2.2 * 0.02);
    near(doubt(&sheet, "all").standard, own.hypot(shared), 1e-9, "all");
    assert!(doubt(&sheet, "all").degrees_of_freedom.is_infinite());
    assert!(codes(&sheet, "all").is_empty());
    assert_eq!(codes(&sheet, "two"), ["two-runs"]);
    refused(
        "worked x = average(3 lb)\n",
        "takes two results or more, and there are 1",
    );
    refused(
        "table t\n  | time |\n  | 18:00 |\n  | 19:00 |\nworked x = average(t.time)\n",
        "average",
    );
}

/// Welch's F, scipy.
#[test]
fn welch_is_worked_out_right() {
    let found = disagree(&[(2.20, 0.0004, 3.0), (2.31, 0.0009, 4.0), (2.05, 0.000_625, 2.0)]).unwrap();
    near(found, 0.002_708_901_806_010, 1e-6, "chance");
    // what one degree of freedom tells counts for nothing
    assert!(disagree(&[(2.2, 0.0004, 1.0), (2.5, 0.0004, 3.0)]).is_none());
}

#[test]
fn spreads_and_places_of_columns() {
    let sheet = load(
        "table t\n  | x [lb] |\n  | 51.2 |\n  | 44.1 |\n  | 47.8 |\nworked s = deviation(t.x)\nworked m = median(t.x)\nworked p = percentile(t.x, 90 %)\n\
worked four = median(1 lb, 4 lb, 2 lb, 3 lb)\nworked none = deviation(2 lb, 2 lb)\n",
    );
    near(value(&sheet, "s"), 3.551_056_180_912_94, 1e-12, "deviation");
    near(value(&sheet, "m"), 47.8, 1e-12, "median");
    near(value(&sheet, "p"), 50.52, 1e-12, "percentile");
    near(value(&sheet, "four"), 2.5, 1e-12, "median of four");
    assert_eq!(value(&sheet, "none"), 0.0);
    let t = "table t\n  | x [lb] |\n  | 51.2 |\n";
    refused(&format!("{t}worked s = deviation(t.x)\n"), "takes two values or more");
    refused(
        &format!("{t}worked s = percentile(t.x, 101 %)\n"),
        "`share` is from 0 to 100 %",
    );
    refused(&format!("{t}worked s = percentile(t.x, 3 lb)\n"), "takes a percentage");
}

// ---- bounds ----

/// scipy: 8 − 1.644854·0.5; a straight line known to 35 % by Fieller's roots, t = 1.644854.
#[test]
fn a_bound_is_one_sided() {
    let sheet = load(
        "measured left = 8.0 h ± 0.5 h sd\nmeasured limits = 8.0 h ± 0.5 h\nworked least = at_least(left, 95 %)\nworked most = at_most(left, 95 %)\nworked inside = at_least(limits, 99 %)\n\
worked exact = at_least(3 lb, 95 %)\nworked start = 18:00 + left\nanswer dark = at_least(start, 95 %)\n",
    );
    near(value(&sheet, "least"), 7.177_573_186_524_26, 1e-9, "at least");
    near(value(&sheet, "most"), 8.822_426_813_475_74, 1e-9, "at most");
    near(value(&sheet, "inside"), 7.5, 1e-12, "limits");
    near(value(&sheet, "exact"), 3.0, 1e-12, "exact");
    near(value(&sheet, "dark"), 3_600.0 * 25.177_573_186_524, 1e-9, "a time");
    assert_eq!(doubt(&sheet, "least").standard, 0.0);
    assert!(codes(&sheet, "dark").is_empty(), "{:?}", codes(&sheet, "dark"));
    let shown = tarebook::report::compose::entry(&sheet, sheet.cell("least").unwrap(), Default::default()).unwrap();
    assert_eq!((shown.shown.display(), shown.shown.mark), ("7.178 h".to_owned(), None));
    let line = |tolerance: f64| {
        format!(
            "table run\n  | hours [h] | gross [lb ± {tolerance} sd] |\n  | 0 | 36.4 |\n  | 1 | 35.2 |\n  | 2 | 34.0 |\n\
worked empty = reaches(run.hours, run.gross, 17 lb)\nworked least = at_least(empty, 95 %)\n"
        )
    };
    near(
        value(&load(&line(0.4)), "least"),
        11.920_873_708_110_342,
        1e-6,
        "Fieller",
    );
    refused(
        &line(1.2).replace("at_least(empty, 95 %)", "at_most(empty, 95 %)"),
        "there is no upper limit to this",
    );
    refused(
        "worked x = at_least(3 lb, 40 %)\n",
        "`sure` is from 50 % to less than 100 %",
    );
    refused("worked x = at_least(\"a\", 95 %)\n", "can't be taken of a text");
    refused(
        "table t\n  | x [lb] |\n  | 1 |\nworked x = average(t.x, t.x)\n",
        "takes one column, or single values",
    );
}

/// By hand: 1.644854 standard uncertainties below each, of ± 0.4 lb sd, of ± 0.1 lb sd, and
/// of what both rows share; |a − b|/U by row, U = 2·√(0.1² + 0.2²) and 2·√(0.3² + 0.4²).
#[test]
fn a_bound_goes_row_by_row() {
    let sheet = load(
        "quoted tare = 17 lb ± 0.3 lb sd\ntable t\n  | a [lb] | b [lb] |\n  | 30 ± 0.1 sd | 30.4 ± 0.2 sd |\n  | 25 ± 0.3 sd | 26 ± 0.4 sd |\n  |  | 1 |\n\
worked t.least = at_least(t.a, 95 %)\nworked t.most = at_most(t.a - tare, 95 %)\nworked t.apart = normalized_error(t.a, t.b)\n\
worked heavy = at_least(t.a where t.a < 28 lb, 95 %)\nexpect t.least >= 24 lb\n",
    );
    let rows = |name: &str| match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Column(rows) => rows.iter().map(|row| row.map(|row| row.to_f64())).collect::<Vec<_>>(),
        other => panic!("{other:?}"),
    };
    let check = |name: &str, expected: &[Option<f64>]| {
        let found = rows(name);
        assert_eq!(found.len(), expected.len(), "{name}");
        for (found, expected) in found.iter().zip(expected) {
            match (found, expected) {
                (Some(found), Some(expected)) => near(*found, *expected, 1e-6, name),
                _ => assert_eq!(found, expected, "{name}"),
            }
        }
    };
    check("t.least", &[Some(29.835_514_6), Some(24.506_543_8), None]);
    check(
        "t.most",
        &[
            Some(13.0 + 1.644_854 * 0.316_228),
            Some(8.0 + 1.644_854 * 0.424_264),
            None,
        ],
    );
    check("t.apart", &[Some(0.4 / 0.447_214), Some(1.0), None]);
    check("heavy", &[Some(24.506_543_8)]);
    // a later row has its own, and so has each place of a grid
    let sheet = load(
        "quoted left = 3 lb ± 0.3 lb sd\nassumed times = 1\nworked least = at_least(left * times, 95 %)\ntable tried = grid(least, times: often.by)\n\
table often\n  | by |\n  | 1 |\n  | 2 |\nworked second = tried.least of row 2\n",
    );
    near(value(&sheet, "least"), 3.0 - 1.644_853_6 * 0.3, 1e-6, "outside");
    near(
        value(&sheet, "second"),
        2.0 * (3.0 - 1.644_853_6 * 0.3),
        1e-6,
        "in the grid",
    );
}

// ---- how likely a check holds ----

/// scipy: Φ(0.15/0.5) = 0.617911; by 2000 draws, good to 1 in 100.
#[test]
fn a_check_says_how_likely_it_holds() {
    let sheet =
        load("measured left = 8.0 h ± 0.5 h sd\nexpect left >= 7.85 h\nexpect left >= 8.15 h\nexpect left >= 5 h\n");
    let told: Vec<String> = tarebook::report::compose::report(&sheet, Default::default())
        .checks
        .iter()
        .map(|check| check.remark.clone().unwrap_or_default())
        .collect();
    let about = |count: u32| {
        [count - 1, count, count + 1].map(|count| format!("it could go either way: it holds in about {count} of 100"))
    };
    assert!(
        about(62).contains(&told[0]) && about(38).contains(&told[1]) && told[2].is_empty(),
        "{told:?}"
    );
}
