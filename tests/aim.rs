//! The value of an input that gives an answer a wanted value: lines, parabolas,
//! stairs, poles and touches worked out by hand, and what can't be aimed at.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::path::Path;

use tarebook::number::Number;
use tarebook::report::aim::{Aim, Finding};
use tarebook::report::compose::Options;
use tarebook::report::model::{Scalar, Value};
use tarebook::report::study::Found;
use tarebook::report::style::Style;
use tarebook::session::Session;
use tarebook::session::vary::AimAsked;

const SHAPES: &str = "\
# Shapes
assumed x = 3
assumed still = 1
assumed outside = 50 °F
assumed start = 17:00
assumed noise = 60 dB
assumed what = \"propane\"
measured empty [lb] = ?
table log
  | used [lb] |
  | 3         |
answer line = 2 * x + 1
answer parabola = (x - 2)^2
answer lifted = (x - 2.2)^2 + 5
answer dip = (x - 2.003)^2
answer flat = still + 6
answer stairs = round_up(x, 1)
answer pole = 1 / (x - 5)
answer steep = (x - 1.01) / abs(x - 1.01)^(2/3)
answer late = start + 90 min
answer louder = noise + 3 dB
answer waits = empty * 2
answer named = if x < 3 then \"few\" else \"many\"
answer vapor [psig] = propane_pressure(outside)
answer hours = allowed_exposure(noise, \"OSHA\")
answer cubic = (x - 2.003)^2 * (x - 5)
answer far = (x - 1000000.4)^2
answer uneven = (x - 1.003)^2 * (x - 4.003)^2 * 6^x
";

fn shapes() -> Session {
    Session::of_text("shapes.tare", SHAPES.to_owned(), &[], Options::default())
}

fn storm() -> Session {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/winter-outage.tare");
    Session::open(&path, Options::default()).ok().unwrap()
}

fn asked(line: &str) -> AimAsked {
    AimAsked::typed(line).ok().unwrap()
}

fn text(scalar: &Scalar) -> String {
    match scalar {
        Scalar::Text(text) => text.clone(),
        Scalar::Truth(truth) => truth.to_string(),
        Scalar::Within(extent) => extent.told.clone(),
    }
}

fn check(line: &str, finding: Finding, solutions: &[&str]) -> Found<Aim> {
    let found = shapes()
        .aim(&asked(line))
        .unwrap_or_else(|refusal| panic!("{line}: {refusal:?}"));
    let told: Vec<String> = found.solutions.iter().map(text).collect();
    assert_eq!(
        (found.finding, told),
        (finding, solutions.iter().map(|one| (*one).to_owned()).collect()),
        "{line}"
    );
    found
}

// ---- written forms ----

const MARGIN: &str = "margin = 100 % varying air between -20 °F and 60 °F";

#[test]
fn the_storm_at_two_widths() {
    let found = storm().aim(&asked(MARGIN)).unwrap();
    for width in [80, 60] {
        let written = found.text(Style {
            width,
            ..Style::default()
        });
        let widest = written.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width, "{widest} columns\n{written}");
        insta::assert_snapshot!(format!("aim_storm_at_{width}"), written);
    }
}

#[test]
fn the_storm_for_others() {
    let found = storm().aim(&asked(MARGIN)).unwrap();
    insta::assert_snapshot!("aim_storm_markdown", found.markdown());
    let mut written = Vec::new();
    found.json(&mut written).unwrap();
    insta::assert_snapshot!("aim_storm_json", String::from_utf8(written).unwrap());
    let mut rows = Vec::new();
    found.csv(&mut rows).unwrap();
    insta::assert_snapshot!("aim_storm_csv", String::from_utf8(rows).unwrap());
}

#[test]
fn what_is_no_plain_solution_is_told() {
    let mut told = String::new();
    for line in [
        "parabola = 4 varying x between -1.3 and 7.1",
        "parabola = -1 varying x between -1.3 and 7.1",
        "stairs = 3 varying x between -1.3 and 7.1",
        "stairs = 2.5 varying x between -1.3 and 7.1",
        "pole = 0 varying x between -1.3 and 7.2",
        "pole = 3 varying x between -1.3 and 7.1",
        "flat = 7 varying x between 0 and 1",
        "waits = 3 lb varying x between 0 and 1",
        "vapor = 92 psig varying outside",
    ] {
        let found = shapes().aim(&asked(line)).unwrap();
        let style = Style {
            colour: false,
            width: 80,
            ..Style::default()
        };
        told.push_str(&format!("> aim {line}\n{}\n", found.text(style)));
    }
    insta::assert_snapshot!("aim_shapes", told);
}

// ---- findings ----

/// By hand.
#[test]
fn solutions_by_hand() {
    use Finding::{Flat, None, One, Several};
    check("line = 4 varying x between -1.3 and 7.1", One, &["1.5"]);
    check("line = 4 varying x between 7.1 and -1.3", One, &["1.5"]);
    check("line = 15.2 varying x between -1.3 and 7.1", One, &["7.1"]);
    check("line = 100 varying x between -1.3 and 7.1", None, &[]);
    check("parabola = 4 varying x between -1.3 and 7.1", Several, &["0", "4"]);
    check("parabola = 4 varying x between -1 and 7", Several, &["0", "4"]);
    check("parabola = 2 varying x between 2 and 7", One, &["3.41421356237"]);
    check("flat = 7 varying x between 0 and 1", Flat, &[]);
    check("flat = 8 varying x between 0 and 1", Flat, &[]);
    check("pole = 3 varying x between -1.3 and 7.1", One, &["5.33333333333"]);
    check("steep = 0 varying x between 0 and 7", One, &["1.01"]);
    check(
        "late = 20:00 (+0 d) varying start between 17:00 and 22:00",
        One,
        &["18:30:00"],
    );
    check("louder = 66 dB varying noise between 50 dB and 70 dB", One, &["63"]);
    check("waits = 3 lb varying empty between 0 lb and 40 oz", One, &["1.5"]);
}

/// A parabola touches its lowest value without crossing it, at a place of the grid or between two.
#[test]
fn a_touch_is_one_solution() {
    check("parabola = 0 varying x between -1.3 and 7.1", Finding::One, &["2"]);
    check("parabola = 0 varying x between 0 and 4", Finding::One, &["2"]);
    check("lifted = 5 varying x between -1.3 and 7.1", Finding::One, &["2.2"]);
    check("dip = 0 varying x between -1.3 and 7.1", Finding::One, &["2.003"]);
    // however much steeper one is than the other
    check(
        "uneven = 0 varying x between -1.3 and 5",
        Finding::Several,
        &["1.003", "4.003"],
    );
    // beside a crossing at 5
    check(
        "cubic = 0 varying x between -1.3 and 7.1",
        Finding::Several,
        &["2.003", "5"],
    );
}

/// Two crossings within one cell of the grid: (x − 2.003)² = 1e−6 at 2.002 and 2.004.
#[test]
fn two_solutions_between_two_places() {
    check(
        "dip = 0.000001 varying x between -1.3 and 7.1",
        Finding::Several,
        &["2.002", "2.004"],
    );
    check(
        "far = 0.0001 varying x between 1000000 and 1000001",
        Finding::Several,
        &["1000000.39", "1000000.41"],
    );
}

#[test]
fn a_step_is_no_solution() {
    let found = check("stairs = 2.5 varying x between -1.3 and 7.1", Finding::None, &[]);
    assert!(found.remarks[0].contains("passes 2.5 at 2"), "{:?}", found.remarks);
    let found = check("pole = 0 varying x between -1.3 and 7.2", Finding::None, &[]);
    assert!(
        found.remarks[0].contains("A step, not a solution"),
        "{:?}",
        found.remarks
    );
    let found = check(
        "stairs = 3 varying x between -1.3 and 7.1",
        Finding::Several,
        &["2.00000000001", "3"],
    );
    assert!(
        found.told.contains("all the way from x = 2.00000 to 3"),
        "{}",
        found.told
    );
}

#[test]
fn the_nearest_is_told_where_there_is_none() {
    let found = check("lifted = 4 varying x between -1.3 and 7.1", Finding::None, &[]);
    let places: Vec<&str> = found.places.iter().map(|row| row[2].as_str()).collect();
    assert_eq!(places, ["low end", "nearest", "high end"]);
    assert_eq!((found.places[1][0].as_str(), found.places[1][1].as_str()), ("2.2", "5"));
    let found = check("line = 100 varying x between -1.3 and 7.1", Finding::None, &[]);
    assert_eq!(found.places.last().unwrap()[2], "high end, nearest");
    let found = check("line = -100 varying x between -1.3 and 7.1", Finding::None, &[]);
    assert_eq!(found.places[0][2], "low end, nearest");
}

/// 92 psig at 60 °F (common practice; from memory), to 1 °F as printed tables differ.
#[test]
fn without_between_the_usual_range_of_the_function_serves() {
    let found = shapes().aim(&asked("vapor = 92 psig varying outside")).unwrap();
    assert_eq!(found.finding, Finding::One);
    let solution: f64 = text(&found.solutions[0]).parse().unwrap();
    assert!((solution - 60.0).abs() <= 1.0, "{solution}");
    assert!(found.remarks[0].contains("usual range"), "{:?}", found.remarks);
    let usual = tarebook::trade::registry::function("propane_pressure")
        .unwrap()
        .parameters[0];
    let usual = usual.usual.unwrap();
    assert_eq!(
        (text(&found.low), text(&found.high)),
        (usual.low.to_string(), usual.high.to_string())
    );
}

/// 95 dB for 4 h: 29 CFR 1910.95, table G-16.
#[test]
fn a_level_has_its_usual_range_too() {
    let found = check("hours = 4 h varying noise", Finding::One, &["95"]);
    assert!(found.remarks[0].contains("usual range"), "{:?}", found.remarks);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 24, failure_persistence: None, ..Default::default() })]

    /// What `show` gives at a value, `aim` brings back to that value.
    #[test]
    fn aim_turns_show_around(
        (input, answer, unit, low, high) in proptest::sample::select(vec![
            ("air", "margin", "°F", -20.0, 60.0), ("swap_at", "runtime", "lb", 1.0, 12.0),
            ("price", "cost", "$/gal", 1.0, 8.0), ("film", "continuous", "W/(m2·C°)", 3.0, 12.0),
        ]),
        part in 0.02f64..0.98,
    ) {
        let wanted = ((low + (high - low) * part) * 1000.0f64).round() / 1000.0;
        let mut tried = storm();
        tried.try_value(&format!("{input} = {wanted} {unit}")).ok().unwrap();
        let report = tried.report();
        let entry = report.answers().find(|entry| entry.name == answer).unwrap();
        let Value::One(value) = &entry.value else { panic!("{answer} has no value at {wanted}") };
        let given = format!("{answer} = {} {}", text(value), entry.unit.as_deref().unwrap());
        let given = given.replace(" $/h", " USD/h");
        let line = format!("{given} varying {input} between {low} {unit} and {high} {unit}");
        let mut session = storm();
        let before = serde_json::to_string(&session.report()).unwrap();
        let found = session.aim(&asked(&line)).unwrap_or_else(|refusal| panic!("{line}: {refusal:?}"));
        assert_eq!(serde_json::to_string(&session.report()).unwrap(), before, "the sheet is left as it was");
        assert_eq!(found.finding, Finding::One, "{line}");
        let solution: f64 = text(&found.solutions[0]).parse().unwrap();
        assert!((solution - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{line}: {solution}");
    }
}

#[test]
fn what_was_on_trial_comes_back() {
    let mut session = shapes();
    session.try_value("x = 8 ± 1").unwrap();
    let before = serde_json::to_string(&session.report()).unwrap();
    session.aim(&asked("line = 4 varying x between 0 and 9")).unwrap();
    assert_eq!(serde_json::to_string(&session.report()).unwrap(), before);
}

// ---- places that even ones miss ----

const HIDDEN: &str = "\
# Hidden
assumed rate = 1.5 lb/h
assumed x = 0.5
assumed air = 40 °F
assumed drift = -2
answer thrice = 3 * drift
answer runtime = 12.2 lb / rate
answer window = if abs(x - 0.1234) < 0.001 then 10 else x
answer level = if abs(x - 0.1234) < 0.001 then 10 else 3
answer ledge = if x < 0.3 then x - 0.3 else (if x < 0.303 then 0 else x - 0.303)
answer tooth = (7 * x - round_down(7 * x, 1)) * 2
answer cut = if x < 0.30001 then 100 * x - 20 else 1.2
answer notch = x + (if x < 0.5 then 0 else 0.000001)
answer colder = air - 70 F°
answer blind = if propane_pressure(20 °F + x * 1 F°) < 9 psig then 11 else 3
answer unseen = sqrt(x - 0.7) + 1
";

#[track_caller]
fn check_hidden(line: &str, finding: Finding, solutions: &[&str]) -> Found<Aim> {
    let mut session = Session::of_text("hidden.tare", HIDDEN.to_owned(), &[], Options::default());
    let found = session.aim(&asked(line)).ok().unwrap();
    let values: Vec<String> = found.solutions.iter().map(text).collect();
    let short =
        |value: &String| Number::parse(value).map_or(value.clone(), |value| value.round_significant(6).to_plain());
    let values: Vec<String> = values.iter().map(short).collect();
    assert_eq!(
        (found.finding, values),
        (finding, solutions.iter().map(|text| (*text).to_owned()).collect()),
        "{line}"
    );
    found
}

/// 12.2 lb ÷ 9 h = 1.355… lb/h.
#[test]
fn the_way_to_a_place_without_a_value_is_halved() {
    for ends in [
        "0 lb/h and 1000 lb/h",
        "0.01 lb/h and 1000000 lb/h",
        "-1000000 lb/h and 1000000 lb/h",
        "0 lb/h and 1e28 lb/h",
    ] {
        check_hidden(
            &format!("runtime = 9 h varying rate between {ends}"),
            Finding::One,
            &["1.35556"],
        );
    }
}

#[test]
fn a_narrow_window_is_found_by_what_the_answer_can_be() {
    check_hidden(
        "window = 10 varying x between 0 and 1",
        Finding::Several,
        &["0.1224", "0.1244"],
    );
    check_hidden(
        "level = 10 varying x between 0 and 1",
        Finding::Several,
        &["0.1224", "0.1244"],
    );
}

/// The even place 0.3 is where it begins, and it is shorter than the way to the next.
#[test]
fn a_stretch_may_reach_to_one_side_of_a_place() {
    check_hidden(
        "ledge = 0 varying x between 0 and 1",
        Finding::Several,
        &["0.3", "0.303"],
    );
}

/// 100 x − 20 is 9.5 at 0.295, and 10.001 just below the step at 0.30001.
#[test]
fn the_way_to_a_step_is_halved() {
    check_hidden(
        "cut = 10.0005 varying x between 0.2 and 0.4",
        Finding::One,
        &["0.300005"],
    );
    check_hidden("tooth = 1.9999 varying x between 0 and 0.2", Finding::One, &["0.14285"]);
}

/// A step of 1e-6 in a line that rises by 5e-3 from place to place: nearer than a
/// thousandth of the way between them, and a step all the same.
#[test]
fn a_small_step_is_no_crossing() {
    let found = check_hidden("notch = 0.5000005 varying x between 0 and 1", Finding::None, &[]);
    assert!(
        found.remarks[0].starts_with("A step, not a solution"),
        "{:?}",
        found.remarks
    );
    check_hidden("notch = 0.49999 varying x between 0 and 1", Finding::One, &["0.49999"]);
}

#[test]
fn none_is_said_only_where_that_is_certain() {
    let found = check_hidden("window = 11 varying x between 0 and 1", Finding::None, &[]);
    assert_eq!(found.told, "No value of x between 0 and 1 gives window = 11.");
    check_hidden(
        "runtime = -9 h varying rate between 0 lb/h and 10 lb/h",
        Finding::None,
        &[],
    );
    let found = check_hidden("unseen = 0.5 varying x between 0 and 1", Finding::Unfound, &[]);
    assert!(found.told.starts_with("unseen = 0.5: none found at "), "{}", found.told);
    assert!(found.told.ends_with(" places of x between 0 and 1."), "{}", found.told);
    check_hidden("level = 11 varying x between 0 and 1", Finding::None, &[]);
    let found = check_hidden("blind = 11 varying x between 0 and 1", Finding::Flat, &[]);
    assert!(found.told.starts_with("blind is 3 at all of "), "{}", found.told);
    assert!(found.told.ends_with(" places of x between 0 and 1."), "{}", found.told);
    let found = check_hidden("runtime = 9 h varying x between 0 and 1", Finding::Flat, &[]);
    assert_eq!(found.told, "runtime is 8.133 h whatever x is between 0 and 1.");
}

#[test]
fn without_a_usual_range_it_widens_from_the_value_in_hand() {
    let found = check_hidden("runtime = 9 h varying rate", Finding::One, &["1.35556"]);
    assert_eq!(
        (text(&found.low), text(&found.high)),
        ("0.75".to_owned(), "3".to_owned())
    );
    assert!(
        found.remarks[0].contains("widened from the value of rate in hand"),
        "{:?}",
        found.remarks
    );
    let found = check_hidden("runtime = 900 h varying rate", Finding::One, &["0.0135556"]);
    assert_eq!(text(&found.low), "0.0015");
    check_hidden("colder = 100 °F varying air", Finding::One, &["170"]);
    let found = check_hidden("thrice = -9 varying drift", Finding::One, &["-3"]);
    assert_eq!(
        (text(&found.low), text(&found.high)),
        ("-4".to_owned(), "-1".to_owned())
    );
    let found = check_hidden("runtime = -9 h varying rate", Finding::None, &[]);
    assert_eq!(text(&found.high), "15000");
}

// ---- refusals ----

fn check_refused(line: &str, message: &str, help: &str) {
    let mut session = shapes();
    let refusal = match AimAsked::typed(line) {
        Ok(asked) => session.aim(&asked).expect_err(line),
        Err(refusal) => refusal,
    };
    let problem = &refusal.problems[0];
    assert!(problem.message.contains(message), "{line}: {}", problem.message);
    let found = problem.help.as_deref().unwrap_or("");
    assert!(found.contains(help) && !found.is_empty(), "{line}: {found}");
}

#[test]
fn what_can_t_be_aimed_at_is_said() {
    check_refused("", "needs `varying`", "aim ANSWER = VALUE");
    check_refused("line = 4", "needs `varying`", "aim ANSWER = VALUE");
    check_refused("line 4 varying x", "what it should be", "aim ANSWER = VALUE");
    check_refused("line = 4 varying x between 1", "needs `and`", "aim ANSWER = VALUE");
    check_refused("line = 4 varying x and 1", "needs `between`", "aim ANSWER = VALUE");
    check_refused(
        "line = 4 varying x varying x",
        "`varying` stands twice",
        "aim ANSWER = VALUE",
    );
    check_refused("lin = 4 varying x", "nothing here is named `lin`", "write `line`");
    check_refused(
        "zzzz = 4 varying x",
        "nothing here is named `zzzz`",
        "the answers are line, parabola",
    );
    check_refused("x = 4 varying still", "`x` is an input", "`x = …`");
    check_refused("log = 4 varying x", "`log` is a table", "name an answer");
    check_refused("named = 4 varying x", "`named` is a text", "sweep");
    check_refused("line = 4 lb varying x", "a plain number", "");
    check_refused("vapor = 4 varying outside", "", "4 psig");
    check_refused("line = still varying x", "`still` is a name", "write its value");
    check_refused(
        "line = 4 varying line between 0 and 1",
        "`line` can't be varied to give itself",
        "vary something that it rests on",
    );
    check_refused(
        "line = 4 varying y between 0 and 1",
        "nothing here is named `y`",
        "begins with `measured`",
    );
    check_refused(
        "line = 4 varying what between 0 and 1",
        "`what` is a text",
        "`what = …`",
    );
    check_refused(
        "waits = 4 lb varying empty",
        "nobody says between which values `empty`",
        "`between A and B`",
    );
    check_refused(
        "line = 4 varying x between 1 and 1",
        "both ends",
        "two different values",
    );
    check_refused("vapor = 4 psig varying outside between 1 lb and 2 lb", "a weight", "");
}

/// By hand: 3 weighings of 0.75 lb come to 2.25 lb, 4 to 3 lb; 2.5 lb lies between.
#[test]
fn what_is_counted_is_told_in_whole_numbers() {
    let worksheet = "assumed cylinders = 2 each\nassumed one = 0.75 lb\nanswer all [lb] = cylinders * one / 1 each\n";
    let mut session = Session::of_text("counted.tare", worksheet.to_owned(), &[], Options::default());
    let mut between = |target: &str| {
        let found = session.aim(&asked(&format!(
            "all = {target} lb varying cylinders between 1 each and 9 each"
        )));
        found.unwrap().remarks.concat()
    };
    let told = between("2.5");
    assert!(
        told.starts_with(
            "cylinders is counted: 3 each gives 2.25 lb, 4 each gives 3 lb. Take the one on the safe side."
        ),
        "{told}"
    );
    assert!(!between("3").contains("is counted"));
}
