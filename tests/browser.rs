//! Handouts in a browser, where one is found: nothing is loaded or complained of, a
//! telephone needs no sideways scrolling, charts have a size and words, pages print on as
//! many sheets as they should, and every card on one.
//!
//! The browser is the one that `TAREBOOK_BROWSER` names, or the first of the usual names on
//! the path. Without one the tests say in a line what was left out, and fail where
//! `TAREBOOK_NEEDS_BROWSER` is set, as `.ci/run` does. It is spoken to over two named pipes.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::env;
use std::fs::{self, File};
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};
use tarebook::report::compose::Options;
use tarebook::report::handout::{self, Form};
use tarebook::session::Session;
use tarebook::session::starters::STARTERS;

const NAMES: [&str; 5] = [
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
];
const PATIENCE: Duration = Duration::from_secs(60);

fn found() -> Option<PathBuf> {
    if let Some(named) = env::var_os("TAREBOOK_BROWSER").filter(|named| !named.is_empty()) {
        return Some(PathBuf::from(named));
    }
    let path = env::var_os("PATH")?;
    let folders: Vec<PathBuf> = env::split_paths(&path).collect();
    NAMES
        .iter()
        .flat_map(|name| folders.iter().map(move |folder| folder.join(name)))
        .find(|candidate| candidate.is_file())
}

/// The browser, or in its absence a line on what was left out, which no test run swallows.
fn program(left_out: &str) -> Option<PathBuf> {
    let found = found();
    if found.is_none() {
        let told = format!("no browser: {left_out}; install Chromium, or name a browser in TAREBOOK_BROWSER");
        assert!(env::var_os("TAREBOOK_NEEDS_BROWSER").is_none(), "{told}");
        // past what keeps the output of tests that pass to itself
        let mut out = std::io::stderr();
        out.write_all(format!("{told}\n").as_bytes()).unwrap();
    }
    found
}

/// A browser with one open page.
struct Browser {
    child: Child,
    to: File,
    from: Receiver<Value>,
    page: String,
    sent: u64,
    events: Vec<Value>,
}

impl Browser {
    fn open(program: &Path, folder: &Path) -> Browser {
        let (to, from) = (folder.join("to"), folder.join("from"));
        let made = Command::new("mkfifo").args([&to, &from]).status().unwrap();
        assert!(made.success());
        // descriptor 3 is read, descriptor 4 is written
        let child = Command::new("sh")
            .arg("-c")
            .arg(
                "to=$1; from=$2; folder=$3; exec \"$0\" --headless --no-sandbox --disable-gpu --no-first-run \
                  --disable-dev-shm-usage --user-data-dir=\"$folder\" --remote-debugging-pipe about:blank \
                  3<\"$to\" 4>\"$from\"",
            )
            .arg(program)
            .args([&to, &from, &folder.join("profile")])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let to = File::options().write(true).open(to).unwrap();
        let mut reader = BufReader::new(File::open(from).unwrap());
        let (sender, receiver) = channel();
        thread::spawn(move || {
            let mut message = Vec::new();
            while reader.read_until(0, &mut message).is_ok_and(|read| read > 0) {
                message.pop();
                let Ok(value) = serde_json::from_slice(&message) else {
                    break;
                };
                if sender.send(value).is_err() {
                    break;
                }
                message.clear();
            }
        });
        let mut browser = Browser {
            child,
            to,
            from: receiver,
            page: String::new(),
            sent: 0,
            events: Vec::new(),
        };
        let target = browser.ask("Target.createTarget", &json!({"url": "about:blank"}));
        let asked = json!({"targetId": target["targetId"], "flatten": true});
        let session = browser.ask("Target.attachToTarget", &asked);
        session["sessionId"].as_str().unwrap().clone_into(&mut browser.page);
        for domain in ["Page", "Network", "Runtime", "Log"] {
            browser.ask(&format!("{domain}.enable"), &json!({}));
        }
        browser
    }

    fn next(&self) -> Value {
        self.from.recv_timeout(PATIENCE).expect("the browser says nothing")
    }

    fn ask(&mut self, method: &str, parameters: &Value) -> Value {
        self.sent += 1;
        let mut message = json!({"id": self.sent, "method": method, "params": parameters});
        if !self.page.is_empty() {
            message["sessionId"] = json!(self.page);
        }
        self.to.write_all(format!("{message}\0").as_bytes()).unwrap();
        loop {
            let reply = self.next();
            if reply["id"] == json!(self.sent) {
                assert!(reply.get("error").is_none(), "{method}: {reply}");
                return reply["result"].clone();
            }
            self.events.push(reply);
        }
    }

    /// Opens a file at a width, and gives back what it asked for and what was complained of.
    fn visit(&mut self, file: &Path, width: u32) -> Vec<String> {
        let size = json!({"width": width, "height": 844, "deviceScaleFactor": 1, "mobile": width < 600});
        self.ask("Emulation.setDeviceMetricsOverride", &size);
        self.events.clear();
        self.ask("Page.navigate", &json!({"url": format!("file://{}", file.display())}));
        let is = |event: &Value, method: &str| event["method"] == json!(method);
        while !self.events.iter().any(|event| is(event, "Page.loadEventFired")) {
            let event = self.next();
            self.events.push(event);
        }
        let told = self.events.iter().filter_map(|event| {
            let method = event["method"].as_str()?;
            let about = &event["params"];
            match method {
                "Network.requestWillBeSent" => Some(format!("asks for {}", about["request"]["url"])),
                "Log.entryAdded" | "Runtime.exceptionThrown" | "Runtime.consoleAPICalled" => Some(about.to_string()),
                _ => None,
            }
        });
        told.collect()
    }

    fn work_out(&mut self, expression: &str) -> Value {
        let asked = json!({"expression": expression, "returnByValue": true});
        let result = self.ask("Runtime.evaluate", &asked);
        assert!(result.get("exceptionDetails").is_none(), "{expression}: {result}");
        result["result"]["value"].clone()
    }

    /// How many pages it prints on, in inches.
    fn pages(&mut self, width: f64, height: f64) -> usize {
        let paper =
            json!({"paperWidth": width, "paperHeight": height, "preferCSSPageSize": true, "printBackground": false});
        let printed = self.ask("Page.printToPDF", &paper);
        let bytes = from_base64(printed["data"].as_str().unwrap());
        assert!(bytes.starts_with(b"%PDF"));
        let text: String = bytes.iter().map(|byte| char::from(*byte)).collect();
        text.matches("/Type /Page").count() - text.matches("/Type /Pages").count()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn from_base64(text: &str) -> Vec<u8> {
    let value = |c: u8| match c {
        b'A'..=b'Z' => c - b'A',
        b'a'..=b'z' => c - b'a' + 26,
        b'0'..=b'9' => c - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let letters: Vec<u8> = text.bytes().filter(|c| *c != b'=').map(value).collect();
    let mut bytes = Vec::with_capacity(letters.len() * 3 / 4);
    for four in letters.chunks(4) {
        let whole = four.iter().fold(0_u32, |whole, six| whole << 6 | u32::from(*six)) << (6 * (4 - four.len()));
        bytes.extend(whole.to_be_bytes().iter().skip(1).take(four.len() - 1));
    }
    bytes
}

/// The pages that are looked at: file, form, and the most printed pages, which half as many never do for.
const LOOKED_AT: [(&str, Form, usize); 14] = [
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
    ("lessons/7-how-sure", Form::Pupil, 2),
    ("lessons/8-auditing-a-claim", Form::Pupil, 2),
    ("lessons/4-heat-and-cost", Form::Key, 1),
    ("lessons/8-auditing-a-claim", Form::Key, 1),
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
