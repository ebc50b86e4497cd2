//! Two worksheets by meaning: what counts as a difference, what is recognised under
//! another name, parts against an average over orders written by hand, every written
//! form, broken worksheets, and pairs at random.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;

use proptest::prelude::{Strategy, any};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use proptest::{collection, prop_assert, prop_assert_eq};

use tarebook::number::Number;
use tarebook::report::compose::Options;
use tarebook::report::diff::{Answer, Diff};
use tarebook::report::model::{Scalar, Value};
use tarebook::report::study::Found;
use tarebook::report::style::Style;
use tarebook::session::Session;
use tarebook::study::Unwatched;

fn session(text: &str) -> Session {
    Session::of_text("one.tare", text.to_owned(), &[], Options::default())
}

fn compared(a: &str, b: &str) -> Found<Diff> {
    let other = Session::of_text("other.tare", b.to_owned(), &[], Options::default());
    session(a).diff(&other, &Unwatched)
}

fn notebook(name: &str) -> Session {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks").join(name);
    Session::open(&path, Options::default()).ok().unwrap()
}

fn claims() -> Found<Diff> {
    notebook("claim.tare").diff(&notebook("claim-corrected.tare"), &Unwatched)
}

fn written(diff: &Found<Diff>, width: usize) -> String {
    let style = Style {
        width,
        ..Style::default()
    };
    diff.text(style)
}

fn json_of(diff: &Found<Diff>) -> String {
    let mut written = Vec::new();
    diff.json(&mut written).unwrap();
    String::from_utf8(written).unwrap()
}

fn csv_of(diff: &Found<Diff>) -> String {
    let mut written = Vec::new();
    diff.csv(&mut written).unwrap();
    String::from_utf8(written).unwrap()
}

fn answer<'a>(diff: &'a Found<Diff>, name: &str) -> &'a Answer {
    diff.answers.iter().find(|answer| answer.name == name).unwrap()
}

fn number(text: &str) -> Number {
    match text.strip_prefix('-') {
        Some(size) => Number::parse(size).unwrap().neg(),
        None => Number::parse(text).unwrap(),
    }
}

fn value(value: &Value) -> Option<Number> {
    match value {
        Value::One(Scalar::Text(text)) => Some(number(text)),
        _ => None,
    }
}

fn part(answer: &Answer, name: &str) -> f64 {
    let part = answer.shares.0.iter().find(|(share, _)| share == name);
    part.unwrap_or_else(|| panic!("{name} in {:?}", answer.shares))
        .1
        .parse()
        .unwrap()
}

fn notes(diff: &Found<Diff>) -> String {
    diff.notes.join("\n")
}

/// The names of what differs: inputs and tables, then formulas and rules.
fn names(diff: &Found<Diff>) -> (Vec<&str>, Vec<&str>) {
    (
        diff.inputs.iter().map(|apart| apart.name.as_str()).collect(),
        diff.formulas.iter().map(|apart| apart.name.as_str()).collect(),
    )
}

// ---- written forms ----

#[test]
fn the_claim_and_its_correction_in_every_form() {
    let found = claims();
    for width in [100, 80, 60] {
        let text = written(&found, width);
        let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width, "{widest} columns\n{text}");
        insta::assert_snapshot!(format!("diff_claim_at_{width}"), text);
    }
    insta::assert_snapshot!("diff_claim_markdown", found.markdown());
    insta::assert_snapshot!("diff_claim_json", json_of(&found));
    insta::assert_snapshot!("diff_claim_csv", csv_of(&found));
}

const EVENING: &str = "\
# Two nights
> A first look.

assumed rate    = 1.3 lb/h          from \"a neighbour\"
quoted  full    = 20 lb ± 0.2 lb    from \"stamp\"
assumed swap_at = 4 lb
assumed place   = \"shed\"
assumed spell   = 3 h
measured start  = 20:15
measured spare [lb] = ?
table log \"Weights\" from \"own run\"
  | time  | gross [lb] |
  | 21:40 | 51.9       |
  | 23:10 | 49.0       |
  | 02:00 | 44.1       |
rule half(x [lb]) [lb] = x / 2
answer runtime \"by weight\" [h:min] = (full - swap_at) / rate
answer kept = place
answer until = start + spell
answer used = first(log.gross) - last(log.gross)
answer halves = half(full)
answer weights = log.gross * 2
answer late = spell > 4 h
answer more = full + spare
expect runtime >= 10 h else \"short\"
expect used <= 8 lb
case cold
  rate = 2 lb/h
case idle
  spell = 1 h
";

const MORNING: &str = "\
# Two nights, again
> Another look.

rule half(y [lb]) [lb] = y/(2)   -- the same

quoted  full    = 9.07184740 kg ± 0.2 lb from \"shop\"
assumed rate    = 1.5 lb/h          from \"own run\"
assumed reserve = 4 lb
assumed place   = \"garage\"
measured spell  = 5 h
measured start  = 20:45
measured spare [lb] = ?
expect used <= 8 lb
expect runtime >= 12 h else \"short\"
table log \"Weights\" from \"own run\"
  | time  | gross [lb] |
  | 21:40 | 51.9       |
  | 23:10 | 48.0       |
  | 02:00 | 43.1       |
answer until = start + spell
answer runtime \"weighed\" [h:min] = ( (full - reserve)/rate )
answer kept = place
answer used = first(log.gross) - last(log.gross)
answer halves = half(full)
answer weights = log.gross * 2
answer late = spell > 4 h
answer more = full + spare
case cold
  rate = 2.5 lb/h
";

#[test]
fn answers_of_every_sort_in_every_form() {
    let found = compared(EVENING, MORNING);
    insta::assert_snapshot!("diff_nights", written(&found, 80));
    insta::assert_snapshot!("diff_nights_markdown", found.markdown());
    insta::assert_snapshot!("diff_nights_json", json_of(&found));
    insta::assert_snapshot!("diff_nights_csv", csv_of(&found));
}

#[test]
fn the_machine_format_has_its_fields_in_order() {
    let text = json_of(&compared(EVENING, MORNING));
    let object: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(object["schema"], 2);
    assert_eq!(object["title"], "Two nights");
    assert!(object["case"].is_null());
    assert_eq!(
        object["inputs"][0],
        serde_json::json!({"name": "rate", "a": "1.3 lb/h", "b": "1.5 lb/h"})
    );
    let runtime = &object["answers"][0];
    let keys: Vec<&String> = runtime.as_object().unwrap().keys().collect();
    for key in ["name", "unit", "a", "b", "shares", "rest"] {
        assert!(keys.iter().any(|known| *known == key), "{key}");
    }
    let at = |key: &str| text.find(&format!("\"{key}\"")).unwrap();
    assert!(at("inputs") < at("formulas") && at("formulas") < at("answers") && at("answers") < at("renamed"));
    assert_eq!(
        object["renamed"][0],
        serde_json::json!({"a": "swap_at", "b": "reserve"})
    );
}

// ---- what counts ----

/// By the meaning of each line: the two mean the same.
#[test]
fn what_does_not_count() {
    let check = |a: &str, b: &str| {
        let found = compared(a, b);
        assert!(
            found.is_same() && found.renamed.is_empty(),
            "{a}\n{b}\n{}",
            written(&found, 80)
        );
    };
    check("assumed a = 20 lb", "assumed  a=9.07184740 kg -- the same");
    check("assumed a = 20 lb ± 1 lb", "assumed a = 20 lb ± 5 %");
    check("assumed a = 20 lb ± 2 lb k=2", "assumed a = 20 lb ± 1 lb sd");
    check("assumed a = 32 °F ± 9 F°", "assumed a = 0 °C ± 5 C°");
    check("assumed a = 90 min", "assumed a = 1 h 30 min");
    check("assumed a = 2 * 3 lb", "assumed a = 6 lb");
    check(
        "assumed a = 1 lb\nassumed b = 2 lb\nanswer c = a + b * 2",
        "answer c = (a) + (b * 2)\nassumed b = 2 lb\n\n# Title\n> prose\nassumed a = 1 lb",
    );
    check(
        "assumed a = 1 lb\nanswer c \"x\" [lb] = a",
        "assumed a = 1 lb\nanswer c \"y\" [lb] = a",
    );
    check(
        "assumed a = 1 h\nanswer c [h:min] = a",
        "assumed a = 1 h\nanswer c [h] = a",
    );
    check(
        "rule f(x, y) = x - y\nanswer c = f(3, y: 2)",
        "rule f(p, q) = p - q\nanswer c = f(3, q: 2)",
    );
    check(
        "answer c = voltage_drop(12 A, awg: 12, one_way: 50 ft)",
        "answer c = voltage_drop(12 A, one_way: 50 ft, awg: 12)",
    );
    check(
        "table t\n  | a [lb] |\n  | 16 |",
        "table t\n  | a [lb] |\n  |---|\n  | 16.0 lb |",
    );
    check("table t\n  | a [lb] |\n  | 16 |", "table t\n  | a [oz] |\n  | 256 |");
    check(
        "table t\n  | a [lb ± 0.5] |\n  | 16 |",
        "table t\n  | a [oz ± 8] |\n  | 256 |",
    );
    check(
        "expect 1 < 2 else \"x\"\nexpect 2 < 3",
        "expect 2 < (3)\nexpect 1 < 2 else \"y\"",
    );
    check("assumed a = \"b\"", "assumed a = \"b\" from \"somewhere\"");
}

#[test]
fn what_counts_as_an_input_and_what_as_a_formula() {
    let check = |a: &str, b: &str, inputs: &[&str], formulas: &[&str]| {
        let found = compared(a, b);
        assert_eq!(names(&found), (inputs.to_vec(), formulas.to_vec()), "{a}\n{b}");
    };
    check("assumed a = 20 lb", "assumed a = 20.1 lb", &["a"], &[]);
    check("assumed a = 20 lb", "measured a = 20 lb", &["a"], &[]);
    check("assumed a = 20 lb", "assumed a = 20 lb ± 1 lb", &["a"], &[]);
    check("assumed a = 20 lb ± 1 lb", "assumed a = 20 lb ± 1 lb k=2", &["a"], &[]);
    check("assumed a = 20 lb", "assumed a = 20 h", &["a"], &[]);
    check("assumed a = \"b\"", "assumed a = \"c\"", &["a"], &[]);
    check("assumed a = true", "assumed a = false", &["a"], &[]);
    check("measured a [lb] = ?", "measured a = 3 lb", &["a"], &[]);
    check("assumed a = 1", "table a\n  | x |\n  | 1 |", &["a", "a"], &[]);
    check("assumed a = 1 lb", "assumed b = 2 lb", &["a", "b"], &[]);
    check("assumed a = 3", "worked a = 1 + 2", &[], &["a"]);
    check("worked a = 1 + 2", "worked a = 2 + 1", &[], &["a"]);
    check("worked a = 8 - (4 - 2)", "worked a = 8 - 4 - 2", &[], &["a"]);
    check("worked a [lb] = 1 lb", "worked a [kg] = 1 lb", &[], &["a"]);
    check("rule f(x) = x", "rule f(x) = x * 2", &[], &["f"]);
    check("rule f(x) = x", "rule f(x, y = 1) = x", &[], &["f"]);
    check(
        "table t\n  | a |\n  | 1 |\n  | 2 |",
        "table t\n  | a |\n  | 1 |\n  | 3 |",
        &["t.a"],
        &[],
    );
    check(
        "table t\n  | a |\n  | 1 |",
        "table t\n  | a | b |\n  | 1 | 2 |",
        &["t.b"],
        &[],
    );
    check(
        "table t\n  | a |\n  | 1 |",
        "table t\n  | a |\n  | 1 |\n  | 2 |",
        &["t"],
        &[],
    );
    check(
        "table t\n  | a [lb] |\n  | 1 |",
        "table t\n  | a [lb ± 0.1] |\n  | 1 |",
        &["t.a"],
        &[],
    );
}

/// A row put in between leaves those above and below as they are.
#[test]
fn rows_put_in_are_told_apart_from_their_neighbors() {
    let side = |rows: &str| format!("table t\n  | v [lb] |\n{rows}answer whole = sum(t.v)\n");
    let (few, many) = (
        side("  | 1 |\n  | 2 |\n  | 3 |\n"),
        side("  | 1 |\n  | 7 |\n  | 2 |\n  | 3 |\n"),
    );
    for (a, b) in [(&few, &many), (&many, &few)] {
        let text = written(&compared(a, b), 80);
        assert!(text.contains("1 row differs, from row 2 on"), "{text}");
    }
}

#[test]
fn checks_and_cases_are_told_in_notes() {
    let check = |a: &str, b: &str, expected: &str| {
        let found = compared(a, b);
        assert!(!found.is_same(), "{a}");
        assert!(notes(&found).contains(expected), "{expected}\n{}", notes(&found));
    };
    let with = |line: &str| format!("assumed a = 1 lb\nassumed b = 2 lb\n{line}\n");
    check(
        &with("expect a < 3 lb"),
        &with("expect a < 4 lb"),
        "in A: a < 3 lb; in B: a < 4 lb",
    );
    check(
        &with("expect a < 3 lb"),
        &with("expect b < 3 lb"),
        "only in A: a < 3 lb",
    );
    check(
        &with("expect a < 3 lb"),
        &with("expect a > 3 lb"),
        "only in B: a > 3 lb",
    );
    check(
        &with("case c\n  a = 1 oz"),
        &with("case c\n  a = 2 oz"),
        "Case c: a = 1 oz → 2 oz",
    );
    check(
        &with("case c\n  a = 1 oz"),
        &with("case c\n  b = 2 oz"),
        "a = 1 oz only in A; b = 2 oz only in B",
    );
    check(
        &with("case c\n  a = 1 oz"),
        &with("case d\n  a = 1 oz"),
        "Case c only in A",
    );
    let same = compared(&with("case c\n  a = 1 lb"), &with("case c \"title\"\n  a = 16 oz"));
    assert!(same.is_same(), "{}", notes(&same));
}

// ---- other names ----

#[test]
fn renamed_entries_are_recognised() {
    let check = |a: &str, b: &str, expected: &[(&str, &str)]| {
        let found = compared(a, b);
        let renamed: Vec<(&str, &str)> = found.renamed.iter().map(|one| (&*one.a, &*one.b)).collect();
        assert_eq!(renamed, expected, "{a}\n{b}\n{}", written(&found, 80));
    };
    check(
        "assumed a = 1 lb\nanswer c = a * 2",
        "assumed b = 16 oz\nanswer c = b * 2",
        &[("a", "b")],
    );
    check(
        "assumed a = 1 lb\nanswer c = a * 2",
        "measured b = 1 lb\nanswer c = b * 2",
        &[],
    );
    check(
        "assumed a = 1 lb\nanswer c = a * 2",
        "assumed b = 2 lb\nanswer c = b * 2",
        &[],
    );
    // a chain: each is recognised by the others
    check(
        "assumed a = 1 lb\nworked m = a + 3 lb\nanswer c = m * 2\n",
        "assumed p = 1 lb\nworked q = p + 3 lb\nanswer r = q * 2\n",
        &[("a", "p"), ("m", "q"), ("c", "r")],
    );
    // two of one value are told apart by where they stand
    check(
        "assumed a = 2\nassumed b = 2\nanswer c = a - b / 3",
        "assumed y = 2\nassumed x = 2\nanswer c = x - y / 3",
        &[("a", "x"), ("b", "y")],
    );
    // and where they can't be, neither is renamed
    check("assumed a = 2\nassumed b = 2", "assumed x = 2\nassumed y = 2", &[]);
    // used by the same, whose formula has changed
    check(
        "assumed a = 2\nanswer c = a + 1",
        "assumed x = 2\nanswer c = x + 2",
        &[("a", "x")],
    );
    check(
        "rule f(x) = x * 7\nanswer c = f(2)",
        "rule g(x) = x * 7\nanswer c = g(2)",
        &[("f", "g")],
    );
    check(
        "table t\n  | a |\n  | 1 |\nanswer c = sum(t.a)",
        "table u\n  | a |\n  | 1 |\nanswer c = sum(u.a)",
        &[("t", "u")],
    );
    check(
        "assumed a = 2\nexpect a < 3",
        "assumed b = 2\nexpect b < 3",
        &[("a", "b")],
    );
    // the name of one is another thing in the other
    check(
        "assumed a = 2\nanswer c = a + 1",
        "assumed b = 2\nanswer c = b + 1\ntable a\n  | x |\n  | 1 |",
        &[("a", "b")],
    );
}

/// What a renamed entry was called before may be the name of something else.
#[test]
fn a_name_that_was_given_away_is_no_obstacle() {
    let found = compared(
        "assumed full = 20 lb from \"stamp\"\nassumed rate = 2 lb/h\nworked used = full * 2\nanswer y [h] = used / rate",
        "assumed fuel = 20 lb from \"stamp\"\nassumed rate = 2 lb/h\ntable full\n  | spare [h] |\n  | 3 |\n\
         worked used = fuel * 2\nanswer y [h] = used / rate + sum(full.spare)",
    );
    let y = answer(&found, "y");
    assert_eq!((part(y, "y"), y.rest.as_deref()), (3.0, Some("0")), "{}", notes(&found));
}

#[test]
fn a_renamed_answer_is_still_compared() {
    let found = compared(
        "assumed a = 2\nassumed d = 5\nanswer hours = a * 3 + d",
        "assumed a = 4\nassumed d = 5\nanswer duration = a * 3 + d",
    );
    assert_eq!(found.renamed.len(), 1);
    let hours = answer(&found, "hours");
    assert_eq!(part(hours, "a"), 6.0);
    assert_eq!(hours.rest.as_deref(), Some("0"));
}

// ---- parts ----

/// The mean of what each change adds over all orders, by going through the orders.
fn over_all_orders(count: usize, value: impl Fn(&[bool]) -> f64) -> Vec<f64> {
    fn go(order: &mut Vec<usize>, at: usize, orders: &mut Vec<Vec<usize>>) {
        if at == order.len() {
            orders.push(order.clone());
            return;
        }
        for other in at..order.len() {
            order.swap(at, other);
            go(order, at + 1, orders);
            order.swap(at, other);
        }
    }
    let mut orders = Vec::new();
    go(&mut (0..count).collect(), 0, &mut orders);
    let mut parts = vec![0.0; count];
    for order in &orders {
        let mut made = vec![false; count];
        for change in order {
            let before = value(&made);
            made[*change] = true;
            parts[*change] += value(&made) - before;
        }
    }
    parts.iter().map(|part| part / orders.len() as f64).collect()
}

fn check_near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} for {expected}"
    );
}

/// By hand: a/b from 6/2 to 8/4. a first: 4 − 3 = 1, then b: 2 − 4 = −2; b first:
/// 1.5 − 3 = −1.5, then a: 2 − 1.5 = 0.5. Means 0.75 and −1.75, together −1.
#[test]
fn two_changes_by_hand() {
    let found = compared(
        "assumed a = 6\nassumed b = 2\nanswer c = a / b",
        "assumed a = 8\nassumed b = 4\nanswer c = a / b",
    );
    let found = answer(&found, "c");
    assert_eq!(found.difference.as_deref(), Some("-1"));
    let shares: Vec<(&str, &str)> = found.shares.0.iter().map(|(name, part)| (&**name, &**part)).collect();
    assert_eq!(shares, [("a", "0.75"), ("b", "-1.75")]);
    assert_eq!(found.rest.as_deref(), Some("0"));
    let told: Vec<&str> = found.parts.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(told, ["input b", "input a"], "the largest first");
}

/// Going through the six orders, with the arithmetic of the lines written again here.
#[test]
fn an_input_a_formula_and_a_column() {
    let a = "assumed x = 3\nworked w = x + 2\ntable t\n  | v |\n  | 4 |\n  | 6 |\nanswer y = w * sum(t.v)";
    let b =
        "assumed x = 5\nassumed k = 7\nworked w = x * k\ntable t\n  | v |\n  | 4 |\n  | 9 |\nanswer y = w * sum(t.v)";
    let found = compared(a, b);
    let found = answer(&found, "y");
    let expected = over_all_orders(3, |made| {
        let x = if made[0] { 5.0 } else { 3.0 };
        let w = if made[1] { x * 7.0 } else { x + 2.0 };
        w * if made[2] { 13.0 } else { 10.0 }
    });
    for (name, expected) in ["x", "w", "t.v"].into_iter().zip(expected) {
        check_near(part(found, name), expected);
    }
    assert_eq!(found.shares.0.len(), 3, "{:?}", found.shares);
}

/// The whole claim worked out again: five changes over 120 orders. Heat of propane
/// 21 548 BTU/lb gross and 19 920 net (property table of NFPA 58, published; only their
/// ratio counts); straight fuel line through the weighed run for the corrected rate.
#[test]
fn the_parts_of_the_claim_worked_out_again() {
    let hours = [14.0, 9.0, 9.0, 6.0, 24.0, 9.0];
    let claimed = [520.0, 62.0, 48.0, 120.0, 45.0, 400.0];
    let corrected = [520.0, 165.0, 128.0, 120.0, 45.0, 400.0];
    let load = |watts: [f64; 6]| {
        watts
            .iter()
            .zip(hours)
            .map(|(watts, hours)| watts * hours / 24.0)
            .sum::<f64>()
    };
    let (gross, net) = (21_548.0, 19_920.0);
    let runtime = |made: &[bool]| {
        let exchanged = if made[0] { 15.0 } else { 20.0 };
        let home = 38.1 - 17.5 - if made[1] { 2.1 } else { 0.0 };
        let heat = if made[2] { gross } else { net };
        let load = load(if made[3] { corrected } else { claimed });
        // BTU/h of a watt cancels between the efficiency and the rate
        let efficiency = 900.0 / ((36.4 - 30.8) / 4.0 * heat);
        let rate = match made[4] {
            false => load / efficiency / gross,
            true => {
                let back = 900.0 / efficiency / gross;
                back * (0.4 * 1800.0 + 0.6 * load) / (0.4 * 1800.0 + 0.6 * 900.0)
            }
        };
        (3.0 * exchanged + home) / rate
    };
    let found = claims();
    let found = answer(&found, "runtime");
    check_near(value(&found.a).unwrap().to_f64(), runtime(&[false; 5]));
    check_near(value(&found.b).unwrap().to_f64(), runtime(&[true; 5]));
    let expected = over_all_orders(5, runtime);
    let names = [
        "exchange_net",
        "home",
        "efficiency",
        "loads.running",
        "heat_needed, rate",
    ];
    for (name, expected) in names.into_iter().zip(expected) {
        check_near(part(found, name), expected);
    }
    for still in ["load", "most", "peak"] {
        assert_eq!(part(found, still), 0.0, "{still}");
    }
}

/// A sum: each of nine changes adds its own, in whatever order.
#[test]
fn beyond_eight_the_order_of_the_file_counts() {
    let text = |plus: i32| {
        let inputs: String = (0..9)
            .map(|one| format!("assumed x{one} = {}\n", one * one + plus * (one + 1)))
            .collect();
        let sum: Vec<String> = (0..9).map(|one| format!("x{one}")).collect();
        format!("{inputs}answer all = {}\nanswer few = x0 * x1\n", sum.join(" + "))
    };
    let found = compared(&text(0), &text(1));
    let all = answer(&found, "all");
    for one in 0..9 {
        assert_eq!(part(all, &format!("x{one}")), f64::from(one + 1));
    }
    assert!(
        notes(&found).contains("all depends on 9 differences. Beyond 8"),
        "{}",
        notes(&found)
    );
    // x0 from 0 to 1, x1 from 1 to 3: by hand 0.5 · (1 + 3) = 2 and 0.5 · (0 + 2) = 1
    let few = answer(&found, "few");
    assert_eq!((part(few, "x0"), part(few, "x1"), part(few, "x8")), (2.0, 1.0, 0.0));
}

/// A product of eight inputs that double: 255 shared evenly, where the order of the file would
/// give 1, 2, 4 …
#[test]
fn eight_are_still_made_in_all_orders() {
    let text = |value: u32| {
        let inputs: String = (0..8).map(|one| format!("assumed x{one} = {value}\n")).collect();
        let product: Vec<String> = (0..8).map(|one| format!("x{one}")).collect();
        format!("{inputs}answer all = {}\n", product.join(" * "))
    };
    let found = compared(&text(1), &text(2));
    for one in 0..8 {
        assert_eq!(part(answer(&found, "all"), &format!("x{one}")), 255.0 / 8.0);
    }
}

#[test]
fn a_value_of_another_kind_goes_with_what_uses_it() {
    let found = compared(
        "assumed rate = 2 lb/h\nassumed full = 20 lb\nanswer y [h] = full / rate",
        "assumed rate = 0.2 h/lb\nassumed full = 30 lb\nanswer y [h] = full * rate",
    );
    let y = answer(&found, "y");
    // by hand: full/rate from 20/2 to 30 · 0.2; the two forms and the weight
    let expected = over_all_orders(2, |made| {
        let full = if made[1] { 30.0 } else { 20.0 };
        if made[0] { full * 0.2 } else { full / 2.0 }
    });
    check_near(part(y, "rate, y"), expected[0]);
    check_near(part(y, "full"), expected[1]);
    // each of two answers rests on a part of what goes together: 20/2 and 3/2, 20 · 0.2 and 3 · 0.2
    let found = compared(
        "assumed rate = 2 lb/h\nanswer y [h] = 20 lb / rate\nanswer z [h] = 3 lb / rate",
        "assumed rate = 0.2 h/lb\nanswer y [h] = 20 lb * rate\nanswer z [h] = 3 lb * rate",
    );
    check_near(part(answer(&found, "y"), "rate, y, z"), 4.0 - 10.0);
    check_near(part(answer(&found, "z"), "rate, y, z"), 0.6 - 1.5);
}

#[test]
fn a_mixture_without_a_value_is_no_silent_zero() {
    // b = 1 with A's a = 1 divides by zero, the other way round nothing does
    let found = compared(
        "assumed a = 1\nassumed b = 3\nanswer y = 6 / (a - b)",
        "assumed a = 3\nassumed b = 1\nanswer y = 6 / (a - b)",
    );
    let y = answer(&found, "y");
    assert_eq!(y.difference.as_deref(), Some("6"));
    assert_eq!(y.rest.as_deref(), Some("6"), "a first meets 3 − 3");
    assert!(y.shares.0.is_empty());
    assert!(
        notes(&found).contains("What y differs by can't be shared out"),
        "{}",
        notes(&found)
    );
    assert!(notes(&found).contains("this divides 6 by zero"), "{}", notes(&found));
    let found = compared(
        "assumed b = 3\nassumed a = 1\nanswer y = 6 / (b - a)",
        "assumed b = 2\nassumed a = 3\nanswer y = 6 / (b - a)",
    );
    let y = answer(&found, "y");
    // b = 2 first: 6/1; then a = 3: 6/−1. The other way round meets 3 − 3.
    assert_eq!((part(y, "b"), part(y, "a")), (3.0, -12.0));
    assert!(notes(&found).contains("one after another"), "{}", notes(&found));
}

#[test]
fn a_draw_down_is_shared_out_and_can_be_stopped() {
    let text = |rate: &str, air: &str| {
        format!(
            "assumed rate = {rate}\nassumed air = {air}\nassumed out = 5 lb\n\
             table made = draw_down(20 lb, 12.2 in, 47.7 lb, air, rate, 14 W/(m2·C°), 10 psig, limit: 24 h)\n\
             answer lasts [h:min] = draw_down_time(made)\nanswer ends = draw_down_end(made)\nanswer other = out * 2\n"
        )
    };
    let (a, b) = (text("1.2 lb/h", "20 °F"), text("1.6 lb/h", "50 °F"));
    let found = compared(&a, &b);
    let lasts = answer(&found, "lasts");
    let sum: f64 = lasts
        .shares
        .0
        .iter()
        .map(|(_, part)| part.parse::<f64>().unwrap())
        .sum();
    let whole: f64 = lasts.difference.as_ref().unwrap().parse().unwrap();
    check_near(sum, whole);
    assert!(lasts.shares.0.iter().any(|(_, part)| part != "0"), "{:?}", lasts.shares);
    let heard = std::sync::Mutex::new(Vec::new());
    let other = Session::of_text("other.tare", b, &[], Options::default());
    let stopped = session(&a).diff(&other, &|done: usize, of: usize| {
        heard.lock().unwrap().push((done, of));
        done < 2
    });
    assert_eq!(heard.into_inner().unwrap(), [(0, 4), (1, 4), (2, 4)]);
    assert_eq!(names(&stopped).0, ["rate", "air"]);
    assert!(answer(&stopped, "lasts").shares.0.is_empty());
    assert!(notes(&stopped).contains("Stopped before"), "{}", notes(&stopped));
}

// ---- cases, trials, files ----

#[test]
fn cases_and_trials_count_as_values() {
    let a = "assumed rate = 1 lb/h\nassumed full = 20 lb\nworked left = full - 4 lb\nanswer y = left / rate\n\
        case cold\n  rate = 2 lb/h\n";
    let b = a.replace("rate = 1 lb/h", "rate = 1.5 lb/h").replace("4 lb", "5 lb");
    let (mut one, mut two) = (session(a), session(&b));
    one.set_case("cold").unwrap();
    two.set_case("cold").unwrap();
    let found = one.diff(&two, &Unwatched);
    assert_eq!(names(&found), (vec![], vec!["left"]), "the case holds the rate in both");
    assert_eq!(found.in_hand.case.as_deref(), Some("cold"));
    // a trial in A alone: by hand 10/1 against (20 − 5)/1.5 = 10
    let (mut one, two) = (session(a), session(&b));
    one.try_value("left = 12 lb").unwrap();
    one.try_value("rate = 3 lb/h").unwrap();
    let found = one.diff(&two, &Unwatched);
    let y = answer(&found, "y");
    let expected = over_all_orders(2, |made| {
        let left = if made[0] { 15.0 } else { 12.0 };
        left / if made[1] { 1.5 } else { 3.0 }
    });
    check_near(part(y, "left"), expected[0]);
    check_near(part(y, "rate"), expected[1]);
    assert!(
        written(&found, 80).contains("On trial in A: rate = 3 lb/h, left = 12 lb"),
        "{}",
        written(&found, 80)
    );
    // and in B alone
    let (mut one, mut two) = (session(a), session(&b));
    two.try_value("left = 6 lb").unwrap();
    let found = one.diff(&two, &Unwatched);
    check_near(
        part(answer(&found, "y"), "left") + part(answer(&found, "y"), "rate"),
        4.0 - 16.0,
    );
}

#[test]
fn tables_from_files_are_read_from_the_folder_of_each() {
    let folder = tempfile::tempdir().unwrap();
    let text = "table log = csv(\"run.csv\")\nanswer used = first(log.gross) - last(log.gross)\n";
    let sides = ["a", "b"].map(|side| {
        let path = folder.path().join(side);
        fs::create_dir(&path).unwrap();
        fs::write(path.join("run.tare"), text).unwrap();
        path
    });
    fs::write(
        sides[0].join("run.csv"),
        "gross [lb],at,who\n51.9,21:40,\"a|\"\"b\"\n44.1,02:10,\n",
    )
    .unwrap();
    fs::write(
        sides[1].join("run.csv"),
        "gross [lb],at,who\n51.9,21:40,\"a|\"\"b\"\n43.1,02:10,\n",
    )
    .unwrap();
    let open = |path: &Path| Session::open(&path.join("run.tare"), Options::default()).ok().unwrap();
    let found = open(&sides[0]).diff(&open(&sides[1]), &Unwatched);
    assert_eq!(names(&found).0, ["log.gross"]);
    assert_eq!(part(answer(&found, "used"), "log.gross"), 1.0);
    // files of one name are told with their folders
    assert!(found.in_hand.file.ends_with("a/run.tare") && found.other.file.ends_with("b/run.tare"));
}

#[test]
fn columns_of_every_sort_survive_mixing() {
    let table = |last: &str, extra: &str| {
        format!(
            "table t\n  | w [lb] | at | day | who | on | n |\n  | 5 | 21:40 | 2026-01-11 21:40 | a\\|\"b | true | 1.5 |\n\
             \x20 | -3.25 | 23:59:30 | 2026-01-12 | \"7\" | false | -2 |\n  | | 02:00 | | \\u | true | {last} |\n\
             assumed f = 2\nanswer y = f * (sum(t.w) / 1 lb + last(t.n) + count(t.w where t.who = \"7\")) \
             + (last(t.at) - first(t.at)) / 1 min + (last(t.day) - first(t.day)) / 1 min{extra}\n"
        )
    };
    let found = compared(&table("4", ""), &table("6", " + 1"));
    let y = answer(&found, "y");
    assert!(y.difference.is_some(), "{}", written(&found, 80));
    // by hand: last(t.n) from 4 to 6 times f = 2, and 1 more
    assert_eq!((part(y, "t.n"), part(y, "y")), (4.0, 1.0), "{}", notes(&found));
    assert_eq!(y.rest.as_deref(), Some("0"));
}

// ---- broken worksheets ----

#[test]
fn what_has_a_problem_is_left_out_and_said() {
    let found = compared(
        "assumed a = 1 lb\nassumed b = 2 h\nanswer bad = a + b\nanswer good = a * 2\nmeasured c [lb] = ?\n",
        "assumed a = 3 lb\nassumed b = 2 h\nanswer bad = a * b\nanswer good = a * 2\nthis is no line\n",
    );
    assert_eq!(part(answer(&found, "good"), "a"), 4.0);
    let bad = answer(&found, "bad");
    assert_eq!((bad.a.clone(), bad.rest.clone()), (Value::Nothing, None));
    assert!(bad.shares.0.is_empty());
    assert!(
        notes(&found).contains("left out: in A bad (line 3), c (line 5)"),
        "{}",
        notes(&found)
    );
    let found = compared("answer a = 1 +\nanswer b = 2", "answer a = 1 *\nanswer b = 3");
    assert_eq!(part(answer(&found, "b"), "b"), 1.0);
    let found = compared("answer a = b\nworked b = a", "answer a = b\nworked b = 2");
    assert_eq!(names(&found).1, ["b"]);
    compared("", "answer a = 1");
    compared("# only a title", "");
}

#[test]
fn the_same_worksheet_means_the_same() {
    for name in [
        "claim.tare",
        "winter-outage.tare",
        "what-will-start.tare",
        "which-fuel.tare",
        "how-loud.tare",
    ] {
        let found = notebook(name).diff(&notebook(name), &|_: usize, _: usize| panic!("nothing to mix"));
        assert!(
            found.is_same() && found.answers.iter().all(|answer| answer.same),
            "{name}"
        );
        assert!(written(&found, 80).contains("They mean the same."), "{name}");
    }
}

/// Every worksheet that ships, with one number changed in each input in turn left to the
/// mixture: a worksheet mixed with nothing is itself, so no part is lost.
#[test]
fn every_worksheet_that_ships_can_be_mixed() {
    for name in [
        "weighed-run.tare",
        "winter-outage.tare",
        "which-fuel.tare",
        "what-will-start.tare",
        "upkeep.tare",
    ] {
        let mut session = notebook(name);
        let text = session.sheet().text().to_owned();
        let changed: String = text
            .lines()
            .map(|line| match line.split_once("answer ") {
                Some(("", rest)) => format!("answer {}\n", rest.replacen("= ", "= 1 * ", 1)),
                _ => format!("{line}\n"),
            })
            .collect();
        let folder = tempfile::tempdir().unwrap();
        for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file() {
                fs::copy(&path, folder.path().join(path.file_name().unwrap())).unwrap();
            }
        }
        fs::write(folder.path().join(name), changed).unwrap();
        let other = Session::open(&folder.path().join(name), Options::default())
            .ok()
            .unwrap();
        let found = session.diff(&other, &Unwatched);
        assert!(
            !notes(&found).contains("can't be shared out"),
            "{name}\n{}",
            notes(&found)
        );
    }
}

/// Two thousand prices that all differ, and as many entries under other names.
#[test]
fn long_worksheets_take_no_ages() {
    let text = |name: &str, price: usize| {
        let lines = (0..2000).map(|one| {
            format!(
                "quoted p{one} = {}\nworked {name}{one} = p{one} * {}\n",
                one + price,
                one + 2
            )
        });
        format!(
            "{}answer first = {name}0 + {name}1\nanswer all = sum(t.a)\ntable t\n  | a |\n  | 1 |\n",
            lines.collect::<String>()
        )
    };
    let begun = std::time::Instant::now();
    let found = compared(&text("w", 1), &text("v", 2));
    assert_eq!((found.inputs.len(), found.renamed.len()), (2000, 2000));
    // by hand: w0 = 2 p0, w1 = 3 p1
    assert_eq!(
        (part(answer(&found, "first"), "p0"), part(answer(&found, "first"), "p1")),
        (2.0, 3.0)
    );
    assert!(begun.elapsed().as_secs() < 60, "{:?}", begun.elapsed());
    let sum: Vec<String> = (0..300).map(|one| format!("p{one}")).collect();
    let more = format!("answer much = {}\n", sum.join(" + "));
    let found = compared(&(text("w", 1) + &more), &(text("w", 2) + &more));
    assert_eq!(answer(&found, "much").rest.as_deref(), Some("300"));
    assert!(
        notes(&found).contains("much depends on 300 differences, too many to share out"),
        "{}",
        notes(&found)
    );
}

// ---- pairs at random ----

/// A worksheet of inputs and of formulas over what stands before them.
#[derive(Clone, Debug)]
struct Made {
    names: Vec<String>,
    inputs: Vec<i32>,
    formulas: Vec<(usize, char, usize)>,
}

const INPUTS: usize = 5;
const FORMULAS: usize = 5;

impl Made {
    fn lines(&self) -> Vec<String> {
        let inputs = self.inputs.iter().enumerate();
        let mut lines: Vec<String> = inputs
            .map(|(place, value)| format!("assumed {} = {value}", self.names[place]))
            .collect();
        for (place, (left, operator, right)) in self.formulas.iter().enumerate() {
            let place = INPUTS + place;
            let word = if place + 2 >= INPUTS + FORMULAS {
                "answer"
            } else {
                "worked"
            };
            let (left, right) = (&self.names[left % place], &self.names[right % place]);
            lines.push(format!("{word} {} = {left} {operator} {right}", self.names[place]));
        }
        lines
    }

    fn text(&self) -> String {
        self.lines().join("\n")
    }

    fn reordered(&self, seed: usize) -> String {
        let mut lines = self.lines();
        let count = lines.len();
        for place in 0..count {
            lines.swap(place, (seed / (place + 1)) % count);
        }
        lines.join("\n\n")
    }
}

fn operator() -> impl Strategy<Value = char> {
    proptest::sample::select(vec!['+', '-', '*', '/', '*', '+'])
}

fn made() -> impl Strategy<Value = Made> {
    let formula = (any::<usize>(), operator(), any::<usize>());
    (collection::vec(1i32..40, INPUTS), collection::vec(formula, FORMULAS)).prop_map(|(inputs, formulas)| Made {
        names: (0..INPUTS + FORMULAS).map(|place| format!("n{place}")).collect(),
        inputs,
        formulas,
    })
}

#[derive(Clone, Debug)]
enum Turn {
    Value(usize, i32),
    Formula(usize, usize, char, usize),
    Rename(usize),
}

fn turn() -> impl Strategy<Value = Turn> {
    proptest::prop_oneof![
        4 => (0..INPUTS, 1i32..40).prop_map(|(place, value)| Turn::Value(place, value)),
        3 => (0..FORMULAS, any::<usize>(), operator(), any::<usize>())
            .prop_map(|(place, left, operator, right)| Turn::Formula(place, left, operator, right)),
        1 => (0..INPUTS + FORMULAS).prop_map(Turn::Rename),
    ]
}

fn turned(made: &Made, turns: &[Turn]) -> Made {
    let mut other = made.clone();
    for turn in turns {
        match *turn {
            Turn::Value(place, value) => other.inputs[place] = value,
            Turn::Formula(place, left, operator, right) => other.formulas[place] = (left, operator, right),
            Turn::Rename(place) => other.names[place] = format!("m{place}"),
        }
    }
    other
}

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
fn parts_and_rest_make_up_the_difference_exactly() {
    let strategy = (made(), collection::vec(turn(), 0..10));
    let result = runner(120).run(&strategy, |(made, turns)| {
        let (a, b) = (made.text(), turned(&made, &turns).text());
        let (there, back) = (compared(&a, &b), compared(&b, &a));
        let renamed = |name: &str| {
            let found = there.renamed.iter().find(|renamed| renamed.a == name);
            found.map_or(name, |renamed| &renamed.b).to_owned()
        };
        for found in &there.answers {
            let (Some(one), Some(two)) = (value(&found.a), value(&found.b)) else {
                prop_assert!(found.rest.is_none());
                continue;
            };
            let whole = two.sub(one).unwrap();
            let mut sum = Number::ZERO;
            for (_, part) in &found.shares.0 {
                sum = sum.add(number(part)).unwrap();
            }
            let rest = number(found.rest.as_ref().unwrap());
            prop_assert_eq!(sum.add(rest).unwrap(), whole, "{}\n\n{}", a, b);
            let others = back.answers.iter().find(|other| other.name == renamed(&found.name));
            let Some(other) = others else {
                return Err(proptest::test_runner::TestCaseError::fail(format!(
                    "{} has gone\n{a}\n\n{b}",
                    found.name
                )));
            };
            prop_assert_eq!(value(&other.a), Some(two));
            let orders = |diff: &Found<Diff>, name: &str| {
                !notes(diff).contains(&format!("For {name} ")) && !notes(diff).contains("shared out")
            };
            if !orders(&there, &found.name) || !orders(&back, &other.name) {
                continue;
            }
            let scale = one.to_f64().abs().max(two.to_f64().abs()).max(1.0);
            prop_assert!(rest.to_f64().abs() <= 1e-15 * scale, "rest {:?}\n{}\n\n{}", rest, a, b);
            for (name, part) in found.shares.0.iter().filter(|(name, _)| !name.contains(',')) {
                let Some((_, counter)) = other.shares.0.iter().find(|(other, _)| *other == renamed(name)) else {
                    return Err(proptest::test_runner::TestCaseError::fail(format!(
                        "{name} has no counterpart\n{a}\n\n{b}"
                    )));
                };
                let (part, counter): (f64, f64) = (part.parse().unwrap(), counter.parse().unwrap());
                prop_assert!(
                    (part + counter).abs() <= 1e-9 * scale.max(part.abs()),
                    "{name}: {part}, {counter}\n{a}\n\n{b}"
                );
            }
        }
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

#[test]
fn a_worksheet_differs_neither_from_itself_nor_from_its_lines_in_another_order() {
    let result = runner(120).run(&(made(), any::<usize>()), |(made, seed)| {
        let text = made.text();
        let found = compared(&text, &text);
        prop_assert!(found.is_same() && found.renamed.is_empty() && found.answers.iter().all(|answer| answer.same));
        let other = made.reordered(seed);
        let found = compared(&text, &other);
        prop_assert!(found.is_same() && found.renamed.is_empty(), "{}\n\n{}", text, other);
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

/// Every entry renamed: all that has a place of its own is recognised, and nothing differs
/// but what can't be told apart.
#[test]
fn a_worksheet_under_other_names_has_no_wrong_pairs() {
    let result = runner(120).run(&made(), |made| {
        let other = turned(&made, &(0..INPUTS + FORMULAS).map(Turn::Rename).collect::<Vec<_>>());
        let found = compared(&made.text(), &other.text());
        for renamed in &found.renamed {
            let (one, two) = (renamed.a.replace('n', ""), renamed.b.replace('m', ""));
            prop_assert_eq!(one, two, "{}", made.text());
        }
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

/// Lines that may be wrong in every way, in two worksheets: nothing panics, what is told
/// can be written in every form, and no part is without a number.
#[test]
fn whatever_stands_in_the_two_something_is_said() {
    let leaf = proptest::sample::select(vec![
        "a", "b", "c", "t.x", "2 lb", "3", "(1 h)", "sum(t.x)", "f(a)", "\"x\"", "u.time",
    ]);
    let operator = proptest::sample::select(vec![" + ", " - ", " * ", " / ", " < ", " ± ", " where "]);
    let line = (
        0usize..14,
        leaf.clone(),
        operator,
        leaf,
        proptest::sample::select(vec!["a", "b", "c", "d", "t", "f"]),
    )
        .prop_map(|(sort, left, operator, right, name)| match sort {
            0 | 1 => format!("assumed {name} = {left}"),
            2 => format!("measured {name} [lb] = ?"),
            3 => format!("measured {name} = 4 lb ± 1 lb"),
            4..=6 => format!("worked {name} = {left}{operator}{right}"),
            7 | 8 => format!("answer {name} = {left}{operator}{right}"),
            9 => format!("rule {name}(a) = a{operator}{right}"),
            10 => format!("table {name}\n  | x [lb] | y |\n  | 1 | 21:40 |\n  | {left} | b |"),
            11 => format!("expect {left}{operator}{right} else \"no\""),
            12 => format!("case {name}\n  {name} = {left}\n  b = 7"),
            _ => {
                format!("table u = draw_down({left}, 12 in, 20 lb, 24 °F, {right}, 14 W/(m2·C°), 10 psig, limit: 1 h)")
            }
        });
    let lines = collection::vec(line, 0..12);
    let result = runner(200).run(&(lines.clone(), lines), |(one, other)| {
        let found = compared(&one.join("\n"), &other.join("\n"));
        let _ = (written(&found, 40), found.markdown(), csv_of(&found), json_of(&found));
        for answer in &found.answers {
            for (_, part) in &answer.shares.0 {
                number(part);
            }
        }
        let found = compared(&one.join("\n"), &one.join("\n"));
        prop_assert!(found.is_same(), "{}\n{}", one.join("\n"), written(&found, 80));
        Ok(())
    });
    result.unwrap_or_else(|trouble| panic!("{trouble}"));
}

/// 5 and 8 are shown whole, and so is their difference; halves of it are shown as halves.
#[test]
fn parts_of_whole_answers_keep_their_digits() {
    let found = compared(
        "assumed v = 2\nassumed w = 3\nanswer total = v + w",
        "assumed v = 3.5\nassumed w = 4.5\nanswer total = v + w",
    );
    let text = written(&found, 80);
    for told in ["up by 3", "+1.5   input v", "+1.5   input w"] {
        assert!(text.contains(told), "{told} in {text}");
    }
}

/// (96 − 44.8) h = 51.2 h whatever the ± and the form of either side: 120 lb / 1.25 lb/h = 96 h,
/// 56 lb / 1.25 lb/h = 44.8 h.
#[test]
fn a_difference_is_told_finer_than_the_tolerances() {
    let side = |net: &str, unit: &str| {
        format!(
            "measured net = {net} ± 5 lb\nassumed rate = 1.25 lb/h ± 0.1 lb/h\nanswer runtime [{unit}] = net / rate\n"
        )
    };
    let text = written(&compared(&side("120 lb", "h"), &side("56 lb", "h:min")), 80);
    for told in ["shorter by 51.2 h (-53 %)", "-51.2 h   input net"] {
        assert!(text.contains(told), "{told} in {text}");
    }
    let text = written(&compared(&side("120 lb", "h:min"), &side("56 lb", "h")), 80);
    assert!(text.contains("shorter by 51 h 12 min"), "{text}");
}

/// Parts of a difference stand to the place of the whole, and add up to it as shown: of
/// 100·2 − 90·1.9 = 29 the two inputs make 10·1.95 = 19.5 and 0.1·95 = 9.5.
#[test]
fn parts_add_up_as_shown() {
    let side = |hours: &str, rate: &str| {
        format!("measured hours = {hours} ± 20 h\nmeasured rate = {rate} ± 0.3 lb/h\nanswer fuel [lb] = hours * rate\n")
    };
    let text = written(&compared(&side("100 h", "2 lb/h"), &side("90 h", "1.9 lb/h")), 80);
    for told in ["down by 29.0 lb", "-19.5 lb   input hours", "-9.5 lb   input rate"] {
        assert!(text.contains(told), "{told} in {text}");
    }
}

/// The same value with another ± is told with both, and so is a check that is less firm for it:
/// 20 h against a limit of 18 h, ± 0.1 h or ± 3 h.
#[test]
fn another_tolerance_of_the_same_value_is_told() {
    let side = |by: &str| format!("measured fuel = 20 lb ± {by} lb\nanswer t [h] = fuel / (1 lb/h)\nexpect t > 18 h\n");
    let found = compared(&side("0.1"), &side("3"));
    let text = written(&found, 80);
    assert!(text.contains("the same except for its ±"), "{text}");
    assert!(!text.contains("The same in both"), "{text}");
    let told = notes(&found);
    assert!(told.contains("t is the same in both except for its ±: ± "), "{told}");
    assert!(
        told.contains("`t > 18 h` holds in both, but in A firmly, in B it could go either way."),
        "{told}"
    );
    assert!(!notes(&compared(&side("0.1"), &side("0.1"))).contains('±'));
}

/// What differs for nothing stands last, under a heading that says so; what only a check rests on
/// doesn't.
#[test]
fn what_no_answer_rests_on_is_told_last() {
    let text = "assumed fuel = 20 lb\nassumed spare = 3 lb\nassumed least = 4 h\nassumed rate = 2 lb/h\n\
        worked kept = spare / 2\nanswer lasts = fuel / rate\nexpect lasts >= least\n";
    let other = text
        .replace("3 lb", "5 lb")
        .replace("4 h", "5 h")
        .replace("20 lb", "15 lb");
    let other = other.replace("spare / 2", "spare / 3");
    let diff = compared(text, &other);
    let idle: Vec<&str> = diff
        .inputs
        .iter()
        .chain(&diff.formulas)
        .filter(|apart| apart.idle)
        .map(|apart| apart.name.as_str())
        .collect();
    assert_eq!(idle, ["spare", "kept"]);
    let told = written(&diff, 80);
    let (before, behind) = told
        .split_once("What differs, and no answer or check rests on it")
        .unwrap();
    assert!(
        before.contains("fuel") && before.contains("least") && !before.contains("spare"),
        "{told}"
    );
    assert!(behind.contains("spare / 2"), "{told}");
}
