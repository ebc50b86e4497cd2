//! How far each check is from its limit: distances worked out by hand, and what has none.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use serde_json::{Value, json};
use tarebook::report::compose::Options;
use tarebook::report::study::Format;
use tarebook::report::style::Style;
use tarebook::session::Session;
use tarebook::session::asked::Asked;
use tarebook::session::studies::study_verb;
use tarebook::study::Unwatched;

const SHED: &str = "\
# Shed
assumed air = 40 °F
assumed noise = 61 dB
assumed late = 22:30
assumed reach = 7 ft
assumed spare = -3 lb
measured fuel = 30 lb ± 0.5 lb
assumed rate = 1.5 lb/h ± 0.1 lb/h
assumed empty [lb] = ?
table log
  | used [lb] |
  | 3         |
answer lasts [h:min] = fuel / rate
expect lasts >= 12 h
expect 10 h <= lasts < 21 h and fuel <= 33 lb
expect reach > 80 in
expect air >= 32 °F
expect noise <= 58 dB
expect late < 23:15
expect spare >= 0 lb
expect abs(lasts - 20 h) <= 1 h
expect rate = 1.5 lb/h
expect log.used <= 4 lb
expect empty <= 4 lb
expect air > 50 °F or noise < 70 dB
";

fn written(text: &str, format: Format) -> String {
    let mut session = Session::of_text("shed.tare", text.to_owned(), &[], Options::default());
    let verb = study_verb("leeway").unwrap();
    let found = (verb.find)(&mut session, &Asked::default(), &Unwatched).ok().unwrap();
    let mut bytes = Vec::new();
    found.write(format, Style::default(), &mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

/// By hand: 30 / 1.5 is 20 h, 8 h above 12 h; the least of 10 h, 1 h and 3 lb as parts of
/// 20 h (what `10 h <=` sets as its limit), 21 h and 33 lb is 1/21; 7 ft are 84 in, 4 in or
/// 1/3 ft above 80 in, of 20/3 ft a twentieth.
#[test]
fn distances_by_hand() {
    let read: Value = serde_json::from_str(&written(SHED, Format::Json)).unwrap();
    let told = read["checks"].as_array().unwrap().iter().map(|check| {
        let number = |key: &str| {
            check[key]
                .as_str()
                .map(|text| (text.parse::<f64>().unwrap() * 1e6).round() / 1e6)
        };
        json!([
            check["line"],
            number("gap"),
            check["unit"],
            number("share"),
            check["holds"]
        ])
    });
    let expected = json!([
        [18, -3.0, "dB", null, false],
        [20, -3.0, "lb", null, false],
        [15, 1.0, "h", 0.047619, true],
        [16, 0.333333, "ft", 0.05, true],
        [14, 8.0, "h", 0.666667, true],
        [17, 8.0, "F°", null, true],
        [19, 45.0, "min", null, true]
    ]);
    assert_eq!(Value::from_iter(told), expected);
    let without = json!([
        "abs(lasts - 20 h) <= 1 h",
        "rate = 1.5 lb/h",
        "log.used <= 4 lb",
        "empty <= 4 lb",
        "air > 50 °F or noise < 70 dB"
    ]);
    assert_eq!(read["without"], without);
}

#[test]
fn it_is_told_in_words() {
    insta::assert_snapshot!("leeway_text", written(SHED, Format::Text));
    let told = written("assumed a = 1\n", Format::Text);
    assert!(told.contains("No check here sets a limit for one value."), "{told}");
}
