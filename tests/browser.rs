//! Handouts in a browser, where one is found: nothing is loaded or complained of, a
//! telephone needs no sideways scrolling, charts have a size and words, pages print on as
//! many sheets as they should, and every card on one.
//!
//! The browser is in `driver`.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod driver;

use std::fs;
use std::path::{Path, PathBuf};

use driver::{Browser, program};
use serde_json::json;
use tarebook::report::compose::Options;
use tarebook::report::handout::{self, Form};
use tarebook::session::Session;
use tarebook::session::starters::STARTERS;

/// The pages that are looked at: file, form, and the most printed pages, which half as many never do for.
const LOOKED_AT: [(&str, Form, usize); 29] = [
    ("winter-outage", Form::Full, 8),
    ("winter-outage", Form::Pupil, 8),
    ("three-day-stock", Form::Full, 13),
    ("cold-night", Form::Full, 17),
    ("lessons/1-weighing-and-tare", Form::Full, 2),
    ("lessons/1-weighing-and-tare", Form::Pupil, 2),
    ("lessons/2-rate-and-runtime", Form::Pupil, 2),
    ("lessons/3-units-and-conversion", Form::Pupil, 2),
    ("lessons/4-heat-and-cost", Form::Pupil, 2),
    ("lessons/5-load-and-the-fuel-line", Form::Pupil, 2),
    ("lessons/6-cold-and-vapor", Form::Pupil, 2),
    ("lessons/7-how-sure", Form::Pupil, 2),
    ("lessons/8-auditing-a-claim", Form::Pupil, 2),
    ("lessons/9-a-run-of-your-own", Form::Pupil, 2),
    ("lessons/10-a-fuel-line-from-two-loads", Form::Pupil, 2),
    ("lessons/11-a-bill-and-a-meter", Form::Pupil, 2),
    ("lessons/12-an-advertisement", Form::Pupil, 2),
    ("lessons/1-weighing-and-tare", Form::Key, 1),
    ("lessons/2-rate-and-runtime", Form::Key, 1),
    ("lessons/3-units-and-conversion", Form::Key, 1),
    ("lessons/4-heat-and-cost", Form::Key, 1),
    ("lessons/5-load-and-the-fuel-line", Form::Key, 1),
    ("lessons/6-cold-and-vapor", Form::Key, 1),
    ("lessons/7-how-sure", Form::Key, 1),
    ("lessons/8-auditing-a-claim", Form::Key, 1),
    ("lessons/9-a-run-of-your-own", Form::Key, 1),
    ("lessons/10-a-fuel-line-from-two-loads", Form::Key, 1),
    ("lessons/11-a-bill-and-a-meter", Form::Key, 1),
    ("lessons/12-an-advertisement", Form::Key, 1),
];

fn notebooks() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")
}

fn written(folder: &Path, name: &str, form: Form) -> PathBuf {
    let path = notebooks().join(format!("{name}.tare"));
    let mut session = Session::open(&path, Options::default()).unwrap();
    let file = folder.join(format!("{}-{form:?}.html", name.replace('/', "-")));
    fs::write(&file, handout::write(&session.handout(form))).unwrap();
    file
}

const PAPERS: [(&str, f64, f64); 2] = [("Letter", 8.5, 11.0), ("A4", 8.27, 11.69)];
const CHARTS: &str = "[...document.querySelectorAll('figure svg')].every(chart => {\
    const size = chart.getBoundingClientRect();\
    return size.width > 100 && size.height > 40 && chart.querySelector('title').textContent.length > 0 \
        && chart.querySelector('desc').textContent.length > 10; })";
const FITS: &str = "document.documentElement.scrollWidth <= document.documentElement.clientWidth";
const LOADED: &str = "performance.getEntriesByType('resource').length";
/// On a telephone too an input's value and its ± stand in one line where they have room.
const UNITS: &str = "[...document.querySelectorAll('.inputs td.value')].every(cell => {\
    const [value, out] = [cell.querySelector('.whole'), cell.querySelector('.out')];\
    const [width, needed] = [cell.getBoundingClientRect().width, [value, out].map(part => part ? part.offsetWidth : 0)];\
    return !value || !out || needed[0] + needed[1] + 12 > width || value.offsetTop + 8 > out.offsetTop; })";
/// Formulas that the browser lays out: a fraction is higher than a line.
const FRACTIONS: &str =
    "[...document.querySelectorAll('mfrac')].every(part => part.getBoundingClientRect().height > 24)";

#[test]
fn handouts_stand_in_a_browser() {
    let Some(program) = program("how handouts look and print was not tested") else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let mut browser = Browser::open(&program, folder.path());
    for (name, form, most) in LOOKED_AT {
        let file = written(folder.path(), name, form);
        let name = file.display().to_string();
        for width in [360, 1000] {
            let told = browser.visit(&file, width);
            assert_eq!(told, [format!("asks for \"file://{name}\"")], "{name}");
            assert_eq!(browser.work_out(LOADED), json!(0), "{name}");
            assert_eq!(
                browser.work_out(FITS),
                json!(true),
                "{name}: it scrolls sideways at {width}"
            );
            assert_eq!(browser.work_out(CHARTS), json!(true), "{name}");
            assert_eq!(browser.work_out(FRACTIONS), json!(true), "{name}");
            assert_eq!(
                browser.work_out(UNITS),
                json!(true),
                "{name}: a unit below its value at {width}"
            );
        }
        for (paper, width, height) in PAPERS {
            let pages = browser.pages(width, height);
            assert!((most / 2..=most).contains(&pages), "{name}: {pages} pages on {paper}");
        }
    }
}

/// The card of every notebook, of every lesson and of the starters hangs on the set, as one page.
#[test]
fn every_card_is_one_page() {
    let Some(program) = program("that a card is one page was not tested") else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let mut browser = Browser::open(&program, folder.path());
    let mut cards = Vec::new();
    for place in [notebooks(), notebooks().join("lessons")] {
        let files = fs::read_dir(place).unwrap().map(|entry| entry.unwrap().path());
        for path in files.filter(|path| path.extension().is_some_and(|end| end == "tare")) {
            let mut session = Session::open(&path, Options::default()).unwrap();
            cards.push((path.display().to_string(), session.handout(Form::Card)));
        }
    }
    for starter in STARTERS {
        let mut session = Session::of_text(starter.name, starter.text.to_owned(), &[], Options::default());
        cards.push((starter.name.to_owned(), session.handout(Form::Card)));
    }
    // as full as a card can be: more answers, rows and checks than have room
    let mut session = Session::of_text("full.tare", crowded(), &[], Options::default());
    session.set_case("cold").unwrap();
    cards.push(("full.tare".to_owned(), session.handout(Form::Card)));
    assert!(cards.len() > 25);
    for (name, card) in cards {
        let file = folder.path().join("card.html");
        fs::write(&file, handout::write(&card)).unwrap();
        browser.visit(&file, 1000);
        for (paper, width, height) in PAPERS {
            assert_eq!(browser.pages(width, height), 1, "{name} on {paper}");
        }
    }
}

fn crowded() -> String {
    let long = "a long text that says at length what there is to be said of it and does not come to an end ".repeat(4);
    let mut text =
        format!("# A very long title, {long}\n> {long}\nmeasured start = 17:00\nassumed lasts = 3 h ± 0.2 h\n");
    text.push_str("table swaps \"Swaps\"\n  | cylinder | hours [h] |\n");
    for row in 0..30 {
        text.push_str(&format!("  | number {row} | {row}.5 |\n"));
    }
    text.push_str("answer at = start + swaps.hours\nanswer lengths [h:min] = swaps.hours * 1\n");
    for number in 0..30 {
        text.push_str(&format!(
            "answer clock_{number} \"{long}\" = start + {number} h\nanswer weight_{number} \"{long}\" [lb] = {number} lb\n\
             expect weight_{number} > 50 lb else \"{long}\"\n"
        ));
    }
    text.push_str("assumed gross = 31 lb ± 0.1 lb\nanswer net [lb] = net_contents(gross, 17 lb)\n");
    text.push_str(&format!("case cold \"{long}\"\n  lasts = 2 h\n"));
    text
}
