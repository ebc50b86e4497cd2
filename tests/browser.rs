//! Handouts in a browser, where one is found: nothing is loaded or complained of, a
//! telephone needs no sideways scrolling, charts have a size and words, and pages print.
//!
//! The browser is the one that `TAREBOOK_BROWSER` names, or the first of the usual names on
//! the path; without one the test says so. It is spoken to over two named pipes.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stderr,
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

/// The pages that are looked at: file, and from how many printed pages to how many.
fn written(folder: &Path) -> Vec<(PathBuf, usize, usize)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let sheets = [
        ("lessons/1-weighing-and-tare", Form::Full, 2, 4),
        ("lessons/1-weighing-and-tare", Form::Blank, 4, 7),
        ("lessons/8-auditing-a-claim", Form::Blank, 4, 7),
        ("winter-outage", Form::Full, 10, 18),
        ("winter-outage", Form::Blank, 16, 28),
        ("three-day-stock", Form::Full, 10, 24),
    ];
    let pages = sheets.iter().enumerate().map(|(number, (name, form, least, most))| {
        let mut session = Session::open(&root.join(format!("{name}.tare")), Options::default()).unwrap();
        let file = folder.join(format!("page-{number}.html"));
        fs::write(&file, handout::write(&session.handout(*form))).unwrap();
        (file, *least, *most)
    });
    pages.collect()
}

const CHARTS: &str = "[...document.querySelectorAll('figure svg')].every(chart => {\
    const size = chart.getBoundingClientRect();\
    return size.width > 100 && size.height > 40 && chart.querySelector('title').textContent.length > 0 \
        && chart.querySelector('desc').textContent.length > 10; })";
const FITS: &str = "document.documentElement.scrollWidth <= document.documentElement.clientWidth";
const LOADED: &str = "performance.getEntriesByType('resource').length";
/// Formulas that the browser lays out: a fraction is higher than a line.
const FRACTIONS: &str =
    "[...document.querySelectorAll('mfrac')].every(part => part.getBoundingClientRect().height > 24)";

#[test]
fn handouts_stand_in_a_browser() {
    let Some(program) = found() else {
        eprintln!(
            "No browser is found on the path, so handouts were not looked at in one; TAREBOOK_BROWSER names one."
        );
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let mut browser = Browser::open(&program, folder.path());
    for (file, least, most) in written(folder.path()) {
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
        }
        for (paper, width, height) in [("Letter", 8.5, 11.0), ("A4", 8.27, 11.69)] {
            let pages = browser.pages(width, height);
            assert!((least..=most).contains(&pages), "{name}: {pages} pages on {paper}");
        }
    }
}
