//! The answers over the values of one input: rows that equal a trial's, limits
//! found between the rows, every written form, and what can't be asked.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::path::Path;

use tarebook::report::compose::Options;
use tarebook::report::model::{Scalar, Value};
use tarebook::report::study::Found;
use tarebook::report::style::Style;
use tarebook::report::sweep::Sweep;
use tarebook::session::Session;
use tarebook::session::vary::SweepAsked;
use tarebook::study::Unwatched;

const SHAPES: &str = "\
# Shapes
assumed x = 3
assumed still = 1
assumed air = 50 °F
assumed start = 17:00
assumed day = 2026-01-11 12:00
assumed noise = 60 dB
assumed spell = 1 h
assumed gauge = 5 psig
assumed what = \"propane\"
assumed on = true
measured empty [lb] = ?
table log
  | used [lb] |
  | 3         |
rule twice(n) = n * 2
answer line = 2 * x + 1
answer parabola = (x - 2)^2
answer flat = still + 6
answer stairs = round_up(x, 1)
answer pole = 1 / (x - 5)
answer late = start + 90 min
answer after = day + 2 h
answer louder = noise + 3 dB
answer pressure [psi] = gauge - 0 psig
answer waits = empty * 2
answer hot = air > 32 °F
answer long [h:min] = spell * 1.5
expect line <= 10
expect parabola >= 4 else \"too low\"
expect stairs < 3.5
expect 20 °F <= air and not (air >= 70 °F)
expect late <= 21:00 (+0 d)
expect what = \"propane\"
expect parabola <> 1
";

fn shapes() -> Session {
    Session::of_text("shapes.tare", SHAPES.to_owned(), &[], Options::default())
}

fn storm() -> Session {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/winter-outage.tare");
    Session::open(&path, Options::default()).ok().unwrap()
}

fn asked(line: &str) -> SweepAsked {
    SweepAsked::typed(line).ok().unwrap()
}

fn swept(line: &str) -> Found<Sweep> {
    shapes()
        .sweep(&asked(line), &Unwatched)
        .unwrap_or_else(|refusal| panic!("{line}: {refusal:?}"))
}

fn text(scalar: &Scalar) -> String {
    match scalar {
        Scalar::Text(text) => text.clone(),
        Scalar::Truth(truth) => truth.to_string(),
        Scalar::Within(extent) => extent.told.clone(),
    }
}

fn values(found: &Sweep) -> Vec<String> {
    found.rows.iter().map(|row| text(&row.value)).collect()
}

// ---- written forms ----

const COLD: &str = "air from -20 °F to 60 °F step 10 °F";

#[test]
fn the_storm_at_two_widths() {
    let found = storm().sweep(&asked(COLD), &Unwatched).unwrap();
    for width in [80, 60] {
        let style = Style {
            width,
            ..Style::default()
        };
        let written = found.text(style);
        let widest = written.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width, "{widest} columns\n{written}");
        insta::assert_snapshot!(format!("sweep_storm_at_{width}"), written);
    }
}

#[test]
fn the_storm_for_others() {
    let found = storm().sweep(&asked(COLD), &Unwatched).unwrap();
    insta::assert_snapshot!("sweep_storm_markdown", found.markdown());
    let found = storm()
        .sweep(&asked("air from -20 °F to 60 °F values 3"), &Unwatched)
        .unwrap();
    let mut written = Vec::new();
    found.json(&mut written).unwrap();
    insta::assert_snapshot!("sweep_storm_json", String::from_utf8(written).unwrap());
    let mut rows = Vec::new();
    found.csv(&mut rows).unwrap();
    insta::assert_snapshot!("sweep_storm_csv", String::from_utf8(rows).unwrap());
}

#[test]
fn a_pole_a_step_and_a_case_with_a_trial() {
    let text = format!("{SHAPES}case other \"Another\"\n  still = 2\n");
    let mut session = Session::of_text("shapes.tare", text, &[], Options::default());
    session.set_case("other").unwrap();
    session.try_value("noise = 40 dB").unwrap();
    let found = session.sweep(&asked("x from -1 to 7 step 1"), &Unwatched).unwrap();
    let style = Style {
        colour: false,
        width: 80,
        ..Style::default()
    };
    insta::assert_snapshot!("sweep_shapes", found.text(style));
}

// ---- rows ----

/// By hand.
#[test]
fn both_ends_are_rows_and_a_step_that_does_not_fit_ends_inside() {
    let check = |line: &str, expected: &[&str]| assert_eq!(values(&swept(line)), expected, "{line}");
    check("x from 1 to 2 step 0.25", &["1", "1.25", "1.5", "1.75", "2"]);
    check("x from 1 to 2 step 0.3", &["1", "1.3", "1.6", "1.9"]);
    check("x from 2 to 1 step -0.5", &["2", "1.5", "1"]);
    check("x from 1 to 2 step 3", &["1"]);
    check("x from 0 to 1 values 5", &["0", "0.25", "0.5", "0.75", "1"]);
    check("x from 1 to 0 values 2", &["1", "0"]);
    check("air from 10 °F to 20 °F step 5 °F", &["10", "15", "20"]);
    check("air from 10 °F to 28 °F step 5 C°", &["10", "19", "28"]);
    check("air from 0 °C to 10 °C step 5 °C", &["32", "41", "50"]);
    check("gauge from 0 psig to 10 psig step 5 psi", &["0", "5", "10"]);
    check("gauge from 0 psig to 10 psig step 5 psig", &["0", "5", "10"]);
    check("spell from 30 min to 3 h step 1 h 15 min", &["0.5", "1.75", "3"]);
    check("empty from 1 lb to 18 oz step 1 oz", &["1", "1.0625", "1.125"]);
    check("noise from 50 dB to 60 dB step 5 dB", &["50", "55", "60"]);
    check(
        "start from 21:00 to 22:00 step 30 min",
        &["21:00:00", "21:30:00", "22:00:00"],
    );
    check(
        "day from 2026-01-11 to 2026-01-13 step 1 d",
        &["2026-01-11T00:00:00", "2026-01-12T00:00:00", "2026-01-13T00:00:00"],
    );
}

#[test]
fn a_third_of_a_foot_comes_out_even() {
    let text = "assumed run = 1 ft\nanswer twice = run * 2\n".to_owned();
    let mut session = Session::of_text("run.tare", text, &[], Options::default());
    let found = session
        .sweep(&asked("run from 1 ft to 2 ft step 1 in"), &Unwatched)
        .unwrap();
    assert_eq!((found.rows.len(), text_of_last(&found)), (13, "2".to_owned()));
}

fn text_of_last(found: &Sweep) -> String {
    text(&found.rows.last().unwrap().value)
}

#[test]
fn ten_thousand_points_and_no_more() {
    // a debug build on a busy machine takes longer than a run usually may
    tarebook::time_limit::allow(std::time::Duration::from_secs(600));
    let found = swept("x from 0 to 9999 step 1");
    assert_eq!(found.rows.len(), 10_000);
    let style = Style {
        colour: false,
        width: 80,
        ..Style::default()
    };
    let written = found.text(style);
    assert!(written.lines().count() < 280, "{}", written.lines().count());
    assert!(
        written.contains("of 10000 rows; the formats json and csv have all."),
        "{written}"
    );
}

/// Where an answer has a problem the row says so, and the rest stands.
#[test]
fn a_problem_stays_in_its_row() {
    let found = swept("x from 4 to 6 step 1");
    let pole: Vec<&Value> = found
        .rows
        .iter()
        .map(|row| &row.answers.0.iter().find(|(name, _)| name == "pole").unwrap().1)
        .collect();
    let one = |text: &str| Value::One(Scalar::Text(text.to_owned()));
    assert_eq!(pole, [&one("-1"), &Value::Nothing, &one("1")]);
    assert!(found.rows[1].shown.contains(&"problem".to_owned()));
    assert!(found.rows[1].shown.contains(&"11".to_owned()));
    assert_eq!(found.troubles.len(), 1);
    assert!(
        found.troubles[0].starts_with("At 5, line 21: "),
        "{}",
        found.troubles[0]
    );
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 24, failure_persistence: None, ..Default::default() })]

    /// A row is what `show --set` shows: the same digits for readers, the same value for machines.
    #[test]
    fn a_row_equals_a_trial(
        (input, unit, low, high) in proptest::sample::select(vec![
            ("air", "°F", -20, 60), ("swap_at", "lb", 1, 12), ("rated", "W", 1500, 2500), ("no_load_share", "%", 20, 60),
        ]),
        points in 2i64..5, digits in 2u32..8, case in proptest::sample::select(vec!["base", "deep_cold", "alone"]),
    ) {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/winter-outage.tare");
        let open = || {
            let mut session = Session::open(&path, Options { digits }).ok().unwrap();
            session.set_case(case).ok().unwrap();
            session
        };
        let line = format!("{input} from {low} {unit} to {high} {unit} values {points}");
        let mut session = open();
        let before = serde_json::to_string(&session.report()).unwrap();
        let found = session.sweep(&asked(&line), &Unwatched).unwrap();
        assert_eq!(serde_json::to_string(&session.report()).unwrap(), before, "the sheet is left as it was");
        for row in &found.rows {
            let mut tried = open();
            tried.try_value(&format!("{input} = {} {unit}", text(&row.value))).ok().unwrap();
            let report = tried.report();
            for ((answer, shown), (name, value)) in report.answers().zip(&row.shown).zip(&row.answers.0) {
                assert_eq!((&answer.name, &answer.value), (name, value), "{line}");
                match &answer.value {
                    Value::Nothing => assert_eq!(shown, "problem"),
                    _ => assert_eq!(&answer.shown.value, shown, "{line}, {name}"),
                }
            }
        }
    }
}

#[test]
fn what_was_on_trial_comes_back() {
    let mut session = shapes();
    session.try_value("x = 8 ± 1").unwrap();
    let before = serde_json::to_string(&session.report()).unwrap();
    session.sweep(&asked("x from 1 to 2 values 3"), &Unwatched).unwrap();
    assert_eq!(serde_json::to_string(&session.report()).unwrap(), before);
    assert!(session.undo().is_ok() && session.undo().is_err(), "a sweep is no step");
}

// ---- limits ----

fn check_limits(line: &str, expected: &[(&str, &str)]) {
    let found = swept(line);
    let told: Vec<(String, String)> = found
        .crossings
        .iter()
        .map(|one| (one.text.clone(), text(&one.value)))
        .collect();
    let expected: Vec<(String, String)> = expected
        .iter()
        .map(|(one, two)| ((*one).into(), (*two).into()))
        .collect();
    assert_eq!(told, expected, "{line}");
}

/// By hand: 2x + 1 = 10 at 4.5; (x − 2)² = 4 at 0 and 4; a number rounded up leaves 3 at 3.
#[test]
fn limits_are_found_between_the_rows() {
    let shapes = [
        ("line <= 10", "4.5"),
        ("parabola >= 4", "0"),
        ("parabola >= 4", "4"),
        ("stairs < 3.5", "3"),
    ];
    check_limits("x from -1.1 to 7.3 values 2", &shapes);
    check_limits("x from -1 to 7 step 1", &shapes);
    check_limits("x from 7 to -1 step -1", &shapes);
    let both = "20 °F <= air and not (air >= 70 °F)";
    check_limits("air from -3 °F to 101 °F step 7 °F", &[(both, "20"), (both, "70")]);
    check_limits(
        "start from 17:00 to 22:00 step 45 min",
        &[("late <= 21:00 (+0 d)", "19:30:00")],
    );
    check_limits("still from 1 to 5 step 1", &[]);
    check_limits("x from 5 to 7 step 1", &[]);
}

#[test]
fn a_limit_says_on_which_side_it_holds() {
    let found = swept("x from -1 to 7 step 1");
    let sides: Vec<_> = found
        .crossings
        .iter()
        .map(|one| (one.line, one.holds, one.step))
        .collect();
    let (yes, no) = (Some(true), Some(false));
    let expected = [
        (29, (yes, no), false),
        (30, (yes, no), false),
        (30, (no, yes), false),
        (31, (yes, no), true),
    ];
    assert_eq!(sides, expected);
}

// ---- refusals ----

fn check_refused(line: &str, message: &str, help: &str) {
    let mut session = shapes();
    let refusal = match SweepAsked::typed(line) {
        Ok(asked) => session.sweep(&asked, &Unwatched).expect_err(line),
        Err(refusal) => refusal,
    };
    let problem = &refusal.problems[0];
    assert!(problem.message.contains(message), "{line}: {}", problem.message);
    let found = problem.help.as_deref().unwrap_or("");
    assert!(found.contains(help) && !found.is_empty(), "{line}: {found}");
}

#[test]
fn what_can_t_be_swept_is_said() {
    check_refused("", "`sweep` needs `from`", "sweep INPUT from A to B");
    check_refused("x", "`sweep` needs `from`", "sweep INPUT from A to B");
    check_refused("x from 1", "`sweep` needs `to`", "sweep INPUT from A to B");
    check_refused("from 1 to 2 step 1", "needs INPUT", "sweep INPUT from A to B");
    check_refused("x from 1 to 2", "a step, or a number of values", "values N");
    check_refused("x from 1 to 2 from 3 step 1", "`from` stands twice", "sweep INPUT");
    check_refused("x from 1 to 2 step 1 values 3", "can't both", "leave one of them out");
    check_refused(
        "y from 1 to 2 step 1",
        "nothing here is named `y`",
        "a line that begins with `measured`",
    );
    check_refused(
        "stil from 1 to 2 step 1",
        "nothing here is named `stil`",
        "write `still`",
    );
    check_refused("log from 1 to 2 step 1", "`log` is a table", "begins with `measured`");
    check_refused(
        "twice from 1 to 2 step 1",
        "`twice` is a rule",
        "begins with `measured`",
    );
    check_refused("what from 1 to 2 step 1", "`what` is a text", "`what = …`");
    check_refused("on from 1 to 2 step 1", "`on` is true or false", "`on = …`");
    check_refused("x from 2 to 2.0 step 1", "nothing to vary", "two different values");
    check_refused("x from 1 to 2 step 0", "would never end", "isn't 0");
    check_refused("x from 1 to 2 step -1", "leads away", "turn the sign");
    check_refused("x from 2 to 1 step 1", "leads away", "swap the two ends");
    check_refused("x from 0 to 10000 step 1", "more than 10000 values", "a larger step");
    check_refused("x from 0 to 1 values 10001", "from 2 to 10000", "values 9");
    check_refused("x from 0 to 1 values 1", "from 2 to 10000", "values 9");
    check_refused("x from 0 to 1 values many", "this is `many`", "values 9");
    check_refused("air from 1 lb to 2 °F step 1 °F", "a weight", "give it in `°F`");
    check_refused("start from 1 lb to 18:00 step 1 h", "a weight", "such as `17:30`");
    check_refused("day from 1 lb to 18:00 step 1 h", "a weight", "a date");
    check_refused("air from 1 to 2 °F step 1 °F", "", "write `1 °F`");
    check_refused("air from 1 °F to 2 °F step 1", "has no unit", "step 1 F°");
    check_refused("air from 1 °F to 2 °F step 1 lb", "no step", "give it in `F°`");
    check_refused("x from 1 to 2 step 1 lb", "no step", "a plain number");
    check_refused("noise from 1 dB to 2 dB step 1 lb", "no step", "in `dB`");
    check_refused("start from 17:00 to 18:00 step 1 lb", "no step", "step 30 min");
    check_refused("start from 17:00 to 18:00 step 5", "has no unit", "step 5 min");
    check_refused(
        "start from 22:00 to 02:00 step 1 h",
        "a midnight is passed",
        "from `00:00` to `02:00`",
    );
    check_refused(
        "start from 22:00 to 02:00 values 5",
        "a midnight is passed",
        "from `00:00` to `02:00`",
    );
    check_refused(
        "start from 22:00 (+0 d) to 23:00 step 1 h",
        "is a clock time",
        "`22:00`",
    );
    check_refused("x from still to 2 step 1", "`still` is a name", "write its value");
    check_refused("x from 1 ± 0.1 to 2 step 1", "no exact value", "leave out");
    let mut session = Session::of_text("bare.tare", "assumed a = 3\n".to_owned(), &[], Options::default());
    let refusal = session.sweep(&asked("a from 1 to 2 step 1"), &Unwatched).unwrap_err();
    assert_eq!(refusal.problems[0].message, "there are no answers to look at");
}

// ---- very many values ----

const DENSE: &str = "
assumed x = 5 lb ± 0.2 lb
assumed price = $3.89/gal
table t
| w [lb] |
| 1 |
| 2 |
worked left = x - 1 lb
worked some = sum(t.w where t.w < x)
answer ratio = x / left
answer root = sqrt(left / 1 lb)
answer word = if x > 5 lb then \"much\" else \"little\"
answer enough = ratio < 2
answer still = price * 2
answer total = some + x
expect ratio <= 1.25 else \"too little left\"
expect root < 2.5
expect word = \"much\"
";

/// Row by row the same as a sweep of few values, which is exact; where there is no value the
/// same problems are told; and limits are found as finely.
#[test]
fn a_dense_sweep_is_the_exact_one() {
    let open = || Session::of_text("dense.tare", DENSE.to_owned(), &[], Options::default());
    let dense = open()
        .sweep(&asked("x from 0 lb to 10 lb values 2001"), &Unwatched)
        .unwrap();
    assert_eq!(dense.rows.len(), 2001);
    for part in 0..40 {
        let from = f64::from(part) * 0.25;
        let line = format!("x from {from} lb to {} lb values 51", from + 0.25);
        let exact = open().sweep(&asked(&line), &Unwatched).unwrap();
        for (place, row) in exact.rows.iter().enumerate() {
            let other = &dense.rows[part as usize * 50 + place];
            assert_eq!(text(&row.value), text(&other.value));
            for ((name, one), (_, two)) in row.answers.0.iter().zip(&other.answers.0) {
                match (one, two) {
                    (Value::One(Scalar::Text(one)), Value::One(Scalar::Text(two))) if one != two => {
                        let (one, two): (f64, f64) = (one.parse().unwrap(), two.parse().unwrap());
                        assert!(
                            (one - two).abs() <= 1e-13 * one.abs(),
                            "{line}, {name}: {one} and {two}"
                        );
                    }
                    _ => assert_eq!(one, two, "{line}, {name}"),
                }
            }
        }
    }
    let few = open()
        .sweep(&asked("x from 0 lb to 10 lb values 101"), &Unwatched)
        .unwrap();
    assert_eq!(
        dense.troubles,
        few.troubles
            .iter()
            .map(|told| told.replace("0.9 lb", "0.995 lb"))
            .collect::<Vec<_>>()
    );
    let places = |found: &Sweep| -> Vec<(u32, String)> {
        let crossings = found.crossings.iter();
        crossings
            .map(|crossing| (crossing.line, crossing.shown.clone()))
            .collect()
    };
    assert_eq!(places(&dense), places(&few));
    assert!(!dense.crossings.is_empty());
    assert_eq!(dense.charts.len(), few.charts.len());
}

/// Whole steps of 0.1 lb, over which a number that is rounded up goes by thirds and quarters.
/// Source: whole-number arithmetic here, apart from the program.
#[test]
fn a_dense_sweep_rounds_as_the_record_does() {
    let text = "
assumed x = 1 lb
answer cylinders = round_up(x / 0.3 lb, 1)
answer stepped [lb] = round_up(x * 3, 0.4 lb)
answer due = services_due(x * 10 h/lb, 0.3 h, 0 h)
answer pole [each/lb] = 1 / (x * 3 - 0.95 lb)
";
    check_dense_steps(text, &[]);
    // beside a jump at every value
    let held = "assumed part = 1.15\nanswer held = round(part * 100 + 0 * x / 1 lb, 10)\n";
    check_dense_steps(&format!("{text}{held}"), &[(4, 120.0)]);
}

fn check_dense_steps(text: &str, still: &[(usize, f64)]) {
    let mut session = Session::of_text("steps.tare", text.to_owned(), &[], Options::default());
    let found = session
        .sweep(&asked("x from 0 lb to 60 lb step 0.1 lb"), &Unwatched)
        .unwrap();
    assert_eq!(found.rows.len(), 601);
    for (tenths, row) in (0u32..).zip(&found.rows) {
        let number = |place: usize| match &row.answers.0[place].1 {
            Value::One(Scalar::Text(value)) => value.parse::<f64>().unwrap(),
            other => panic!("{other:?}"),
        };
        let tenth = f64::from(tenths);
        let pole = 20.0 / (6.0 * tenth - 19.0);
        let wanted = [
            (0, f64::from(tenths.div_ceil(3))),
            (1, f64::from((3 * tenths).div_ceil(4)) * 0.4),
            (2, f64::from(10 * tenths / 3)),
            (3, pole),
        ];
        for (place, wanted) in wanted.into_iter().chain(still.iter().copied()) {
            let near = (number(place) - wanted).abs() <= 1e-12 * wanted.abs();
            assert!(
                near,
                "x {tenths} tenths, answer {place}: {} not {wanted}",
                number(place)
            );
        }
    }
}

/// An expectation that stays as it is while one of its sides is at its limit, over 14 < x ≤ 15.
#[test]
fn a_stretch_ends_where_it_ends_however_many_values() {
    let text = "assumed x = 10 lb\nanswer up = round_up(x, 1 lb)\nexpect not (up < 15 lb and x > 32 lb)\n";
    for points in [51, 101, 130, 400, 401, 2000, 3001] {
        let mut session = Session::of_text("up.tare", text.to_owned(), &[], Options::default());
        let line = format!("x from 0 lb to 50 lb values {points}");
        let found = session.sweep(&asked(&line), &Unwatched).unwrap();
        let places: Vec<f64> = found.crossings.iter().map(|one| one.place.to_f64()).collect();
        let near = [14.0, 15.0, 32.0].iter().all(|end| {
            let least = places
                .iter()
                .map(|place| (place - end).abs())
                .fold(f64::INFINITY, f64::min);
            least < 1e-9
        });
        assert!(near && places.len() == 3, "{points} points: {places:?}");
    }
}

/// The tolerance of a product changes with what is varied, and so does what it agrees with.
/// Source: |f − z|/U with U = 2/√3·√(a_f² + a_z²) of limits a_f, a_z, and no more than they are
/// together; ± 0.05 of f, ± 0.2 lb of z.
#[test]
fn a_dense_sweep_knows_the_tolerances_at_each_value() {
    let text = "
assumed f = 10 lb
assumed y = 1 ± 0.05
assumed z = 12 lb ± 0.2 lb
answer apart = normalized_error(f * y, z)
";
    let mut session = Session::of_text("apart.tare", text.to_owned(), &[], Options::default());
    let found = session
        .sweep(&asked("f from 1 lb to 50 lb step 0.1 lb"), &Unwatched)
        .unwrap();
    assert_eq!(found.rows.len(), 491);
    for (place, row) in (10u32..).zip(&found.rows) {
        let f = f64::from(place) / 10.0;
        let most = 0.05 * f + 0.2;
        let wanted = (f - 12.0).abs() / (2.0 / 3f64.sqrt() * (0.05 * f).hypot(0.2)).min(most);
        let Value::One(Scalar::Text(value)) = &row.answers.0[0].1 else {
            panic!("{row:?}")
        };
        let value: f64 = value.parse().unwrap();
        assert!(
            (value - wanted).abs() <= 1e-9 * wanted.max(1e-3),
            "{f}: {value}, not {wanted}"
        );
    }
}

#[test]
fn a_sweep_can_be_stopped() {
    let mut session = shapes();
    let found = session.sweep(&asked("x from 1 to 2 values 101"), &|done: usize, _: usize| done < 30);
    let found = found.unwrap();
    assert_eq!(found.rows.len(), 30);
    let told = found.text(Style::default());
    assert!(told.contains("Stopped after 30 of 101 values"), "{told}");
}

const TWO_WAYS: &str = "\
# Two ways
assumed load = 1 kW ± 100 W
quoted left = 18 lb ± 0.4 lb
assumed air = 30 °F
worked rate [lb/h] = 0.5 lb/h + load * 0.9 lb/(kW·h)
answer runtime \"on one cylinder\" [h:min] = left / rate * (1 - (30 °F - air) / (100 F°))
answer weight = left
";

fn two_ways() -> Session {
    Session::of_text("two-ways.tare", TWO_WAYS.to_owned(), &[], Options::default())
}

fn swept_by_two(line: &str) -> Found<tarebook::report::sweep_by_two::SweepByTwo> {
    let asked = asked(line);
    let found = two_ways().sweep_by_two(&asked, asked.by.as_ref().unwrap(), &Unwatched);
    found.unwrap_or_else(|refusal| panic!("{line}: {refusal:?}"))
}

#[test]
fn over_two_inputs_each_answer_is_a_table_of_two_ways() {
    let found = swept_by_two("load from 500 W to 2 kW step 500 W by air from 0 °F to 40 °F step 20 °F");
    assert_eq!(found.study.rows.len(), 12);
    for width in [60, 80] {
        let text = found.text(Style {
            width,
            ..Style::default()
        });
        assert!(text.lines().all(|line| line.chars().count() <= width), "{text}");
        insta::assert_snapshot!(format!("sweep_by_two_at_{width}"), text);
    }
    insta::assert_snapshot!("sweep_by_two_markdown", found.markdown());
    let mut rows = Vec::new();
    found.csv(&mut rows).unwrap();
    insta::assert_snapshot!("sweep_by_two_csv", String::from_utf8(rows).unwrap());
}

/// Each pair is what two trials give, with the ± that the rest leaves.
#[test]
fn a_pair_equals_two_trials() {
    let found = swept_by_two("load from 500 W to 1500 W values 2 by air from 10 °F to 20 °F values 2");
    let pair = &found.study.rows[2];
    let mut session = two_ways();
    session.try_value("load = 1500 W").unwrap();
    session.try_value("air = 10 °F").unwrap();
    let report = session.report();
    let entry = report.entries.iter().find(|entry| entry.name == "runtime").unwrap();
    assert_eq!(pair.answers.0[0].1, entry.value);
    let tarebook::report::model::Uncertainty::One(doubt) = &entry.uncertainty else {
        panic!("no ±");
    };
    assert_eq!(pair.uncertainty.0[0].1.as_ref(), Some(doubt));
}

/// What is worked out is replaced as a trial does.
#[test]
fn what_is_worked_out_can_be_swept() {
    let found = two_ways().sweep(&asked("rate from 1 lb/h to 2 lb/h values 3"), &Unwatched);
    let rows: Vec<String> = found
        .ok()
        .unwrap()
        .study
        .rows
        .iter()
        .map(|row| row.shown[0].clone())
        .collect();
    assert_eq!(rows, ["18 h 0 min", "12 h 0 min", "9 h 0 min"]);
}

#[test]
fn what_can_t_be_swept_by_two_is_said() {
    let refused = |line: &str| {
        let asked = match SweepAsked::typed(line) {
            Ok(asked) => asked,
            Err(refusal) => return refusal.problems[0].message.clone(),
        };
        let found = two_ways().sweep_by_two(&asked, asked.by.as_ref().unwrap(), &Unwatched);
        found.expect_err(line).problems[0].message.clone()
    };
    let wide = "load from 1 W to 1 kW step 1 W by air from 0 °F to 40 °F step 20 °F";
    assert!(refused(wide).contains("3000 pairs"), "{}", refused(wide));
    assert!(refused("load from 1 W to 2 W step 1 W by load from 1 W to 2 W step 1 W").contains("by itself"));
    assert!(refused("load from 1 W to 2 W step 1 W by-from 2 °F").contains("needs `by`"));
    assert!(refused("load from 1 W to 2 W step 1 W by nothing from 1 W to 2 W step 1 W").contains("nothing"));
    assert!(refused("load from 1 W to 2 W step 1 W by air from 1 °F to 2 °F").contains("needs a step"));
}
