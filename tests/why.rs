//! The derivation of a value: from the answer down to the inputs, in every
//! written form, with conversions, rules of the trade, tables, cases and trials.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::report::compose::Options;
use tarebook::report::study::Found;
use tarebook::report::style::Style;
use tarebook::report::why::Why;
use tarebook::session::Session;

const NIGHT: &str = "\
# A night

measured gross    = 37.1 lb ± 0.05 lb from \"hanging scale\"
quoted   tare     = 17.9 lb           from \"collar stamp\"
assumed  hose     = 20 oz             from \"weighed once\"
measured load     = 600 W             from \"plug-in meter\"
assumed  air      = 24 °F             from \"forecast\"
assumed  fuel_is  = \"propane\"
worked   fuel [lb] = net_contents(gross, tare, attached: hose)

table run from \"our own run\"
  | time  | weight [lb] |
  | 17:00 | 33.9        |
  | 17:30 | 33.3        |
  | 18:00 | 32.6        |
  | 18:30 | 32.0        |
  | 19:00 | 31.4        |
  | 19:30 | 30.7        |

rule left(all [lb], back [lb] = 2 lb) [lb] = all - back

worked rate [lb/h]     = burn_rate(run.time, run.weight)
worked heat [BTU/h]    = rate * heat_per_pound(fuel_is)
worked share [%]       = load / heat
worked cold [°C]       = air
worked by_day [Wh]     = load * 30 min
answer runtime [min]   = left(fuel) / rate
table  night           = draw_down(fuel, 0.305 m, 18 lb, air, rate, 14 W/(m2·C°), 10 psig)
answer stalls          = draw_down_time(night)
answer cold_now        = if air < 32 °F then \"frost\" else \"none\"

case mild
  air = 50 °F
";

fn session() -> Session {
    let session = Session::of_text("night.tare", NIGHT.to_owned(), &[], Options::default());
    assert!(!session.sheet().has_problems(), "{:?}", session.sheet().problems());
    session
}

fn ask(name: &str, depth: Option<usize>) -> Found<Why> {
    session().why(name, depth).unwrap()
}

fn text(why: &Found<Why>, width: usize) -> String {
    why.text(Style {
        width,
        ..Style::default()
    })
}

#[test]
fn a_runtime_down_to_what_was_weighed() {
    insta::assert_snapshot!("why_runtime", text(&ask("runtime", None), 80));
}

#[test]
fn a_draw_down_with_its_rule() {
    insta::assert_snapshot!("why_stalls_at_60_columns", text(&ask("stalls", Some(2)), 60));
}

#[test]
fn the_same_for_a_code_host() {
    insta::assert_snapshot!("why_share_markdown", ask("share", None).markdown());
}

#[test]
fn the_same_for_machines() {
    let mut written = Vec::new();
    ask("rate", None).json(&mut written).unwrap();
    insta::assert_snapshot!("why_rate_json", String::from_utf8(written).unwrap());
    let mut rows = Vec::new();
    ask("share", None).csv(&mut rows).unwrap();
    insta::assert_snapshot!("why_share_csv", String::from_utf8(rows).unwrap());
}

fn check_conversions(name: &str, expected: &[&str]) {
    let found = ask(name, Some(0));
    assert_eq!(found.steps[0].conversions, expected, "{name}");
}

/// Ratios from NIST SP 811 (published).
#[test]
fn conversions_stand_where_they_happen() {
    check_conversions("fuel", &["1 lb = 16 oz"]);
    check_conversions("by_day", &["1 Wh = 60 W·min"]);
    check_conversions("share", &["1 W = 3.41214 BTU/h"]);
    check_conversions("cold", &["°C = (°F × 5 − 160) / 9"]);
    // hours in minutes are told to nobody
    check_conversions("runtime", &[]);
    check_conversions("night", &["0.305 m = 12.0079 in"]);
    check_conversions("stalls", &[]);
}

#[test]
fn a_rule_is_told_once_for_each_of_its_calls() {
    let sheet = "assumed one = 1 lb/h\nassumed two = 2 lb/h\n\
        answer heat = heat_input(one) + heat_input(two) + heat_input(one)\n";
    let mut session = Session::of_text("twice.tare", sheet.to_owned(), &[], Options::default());
    let told = text(&session.why("heat", None).unwrap(), 80);
    assert_eq!(told.matches("rule heat_input").count(), 2, "{told}");
    assert!(told.contains("= 1 lb/h ×") && told.contains("= 2 lb/h ×"), "{told}");
}

#[test]
fn each_thing_is_told_once_and_the_answer_first() {
    let found = ask("runtime", None);
    let names: Vec<&str> = found.steps.iter().map(|step| step.name.as_str()).collect();
    let expected = [
        "runtime",
        "fuel",
        "rate",
        "gross",
        "tare",
        "hose",
        "run.time",
        "run.weight",
    ];
    assert_eq!(names, expected);
    assert_eq!(found.steps[0].uses, ["fuel", "rate"]);
    assert!(!found.cut);
    let shallow = ask("runtime", Some(1));
    assert_eq!(shallow.steps.len(), 3);
    assert!(shallow.cut);
    assert_eq!(ask("runtime", Some(0)).steps.len(), 1);
}

#[test]
fn a_case_and_a_trial_are_told_in_place_of_the_line() {
    let mut session = session();
    session.set_case("mild").unwrap();
    let found = session.why("cold_now", None).unwrap();
    assert_eq!(found.in_hand.case.as_deref(), Some("mild"));
    let air = &found.steps[1];
    assert_eq!((air.held, air.shown[0].as_str()), (Some("held by the case"), "50 °F"));
    assert_eq!(
        found.steps[0].substituted.as_deref(),
        Some("if 50 °F < 32 °F then \"frost\" else \"none\"")
    );
    session.try_value("rate = 2 lb/h").unwrap();
    let found = session.why("runtime", None).unwrap();
    let rate = found.steps.iter().find(|step| step.name == "rate").unwrap();
    assert_eq!((rate.held, rate.formula.as_deref()), (Some("on trial"), None));
}

#[test]
fn what_can_t_be_asked_is_said() {
    let mut session = session();
    for (name, message, help) in [
        (
            "runtme",
            "nothing here is named `runtme`",
            "write `runtime`, if that is meant",
        ),
        (
            "run",
            "`run` is written down, not worked out",
            "an entry, or a table that a function makes",
        ),
        ("left", "`left` is written down, not worked out", "an entry"),
        (
            "zzzz",
            "nothing here is named `zzzz`",
            "the answers are runtime, stalls, cold_now",
        ),
    ] {
        let refusal = session.why(name, None).unwrap_err();
        assert_eq!(refusal.problems[0].message, message);
        let found = refusal.problems[0].help.as_deref().unwrap_or("");
        assert!(found.contains(help), "{name}: {found}");
    }
}

/// Problems stop nobody: what waits says what it waits on.
#[test]
fn a_broken_worksheet_still_tells_what_it_can() {
    let text = "measured a [lb] = ?\nworked b = a * 2\nworked c = b + nothing\nanswer d = b / 3\n";
    let mut session = Session::of_text("broken.tare", text.to_owned(), &[], Options::default());
    let found = session.why("d", None).unwrap();
    assert_eq!(found.steps[0].shown, ["waits for b (line 2)"]);
    assert_eq!(found.steps[2].shown, ["not yet known"]);
    let found = session.why("c", None).unwrap();
    assert_eq!(found.steps[0].shown, ["has a problem"]);
    assert_eq!(found.steps[0].formula.as_deref(), Some("b + nothing"));
}

/// Every field of the machine format, of a worksheet worked by hand: 37.1 lb less 17.9 lb
/// and 20 oz, which are 1.25 lb, is 17.95 lb; at 2.5 lb/h that lasts 7.18 h.
#[test]
fn each_field_for_machines() {
    let text = "# Small\nmeasured gross = 37.1 lb from \"scale\"\nquoted tare = 17.9 lb\nassumed hose = 20 oz\n\
        worked fuel [lb] = net_contents(gross, tare, attached: hose)\nanswer lasts [h] = fuel / 2.5 lb/h\n";
    let mut session = Session::of_text("small.tare", text.to_owned(), &[], Options::default());
    let mut written = Vec::new();
    session.why("lasts", None).unwrap().json(&mut written).unwrap();
    let found: serde_json::Value = serde_json::from_slice(&written).unwrap();
    assert_eq!(found["schema"], 2);
    assert_eq!(found["title"], "Small");
    assert_eq!(found["case"], serde_json::Value::Null);
    let steps = found["steps"].as_array().unwrap();
    let names: Vec<&str> = steps.iter().map(|step| step["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["lasts", "fuel", "gross", "tare", "hose"]);
    let lasts = serde_json::json!({
        "name": "lasts", "kind": "answer", "formula": "fuel / 2.5 lb/h", "substituted": "17.95 lb / 2.5 lb/h",
        "value": "7.18", "unit": "h", "uses": ["fuel"], "from": null, "line": 6, "conversions": [], "rules": []
    });
    assert_eq!(steps[0], lasts);
    let fuel = &steps[1];
    assert_eq!(fuel["value"], "17.95");
    assert_eq!(fuel["conversions"], serde_json::json!(["1 lb = 16 oz"]));
    assert_eq!(fuel["uses"], serde_json::json!(["gross", "tare", "hose"]));
    let rule = &fuel["rules"][0];
    assert_eq!(rule["name"], "net_contents");
    assert_eq!(rule["formula"], "gross − tare − attached");
    assert_eq!(rule["with_values"], "37.1 lb − 17.9 lb − 20 oz");
    assert!(rule["sources"][0]["title"].is_string() && rule["sources"][0]["standing"].is_string());
    assert_eq!(steps[2]["from"], "scale");
    assert_eq!(steps[2]["formula"], serde_json::Value::Null);
    let fields = [
        "name",
        "kind",
        "formula",
        "substituted",
        "value",
        "unit",
        "uses",
        "from",
        "line",
        "conversions",
        "rules",
    ];
    for step in steps {
        let found: Vec<&str> = step.as_object().unwrap().keys().map(String::as_str).collect();
        assert_eq!(found.len(), fields.len(), "{found:?}");
        assert!(fields.iter().all(|field| found.contains(field)), "{found:?}");
    }
}
