//! A browser that tests drive, over two named pipes.
//!
//! It is the one that `TAREBOOK_BROWSER` names, or the first of the usual names on the path. Without
//! one a test says in a line what was left out, and fails where `TAREBOOK_NEEDS_BROWSER` is set, as
//! `.ci/run` does.
#![allow(dead_code)]

use std::env;
use std::fs::File;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

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
pub(crate) fn program(left_out: &str) -> Option<PathBuf> {
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
pub(crate) struct Browser {
    child: Child,
    to: File,
    from: Receiver<Value>,
    page: String,
    sent: u64,
    events: Vec<Value>,
}

impl Browser {
    pub(crate) fn open(program: &Path, folder: &Path) -> Browser {
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

    pub(crate) fn ask(&mut self, method: &str, parameters: &Value) -> Value {
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
    pub(crate) fn visit(&mut self, file: &Path, width: u32) -> Vec<String> {
        self.go_to(&format!("file://{}", file.display()), width)
    }

    /// The same of an address.
    pub(crate) fn go_to(&mut self, address: &str, width: u32) -> Vec<String> {
        let size = json!({"width": width, "height": 844, "deviceScaleFactor": 1, "mobile": width < 600});
        self.ask("Emulation.setDeviceMetricsOverride", &size);
        self.events.clear();
        self.ask("Page.navigate", &json!({"url": address}));
        let is = |event: &Value, method: &str| event["method"] == json!(method);
        while !self.events.iter().any(|event| is(event, "Page.loadEventFired")) {
            let event = self.next();
            self.events.push(event);
        }
        self.told()
    }

    /// What it asked for and what was complained of since it was sent somewhere.
    pub(crate) fn told(&self) -> Vec<String> {
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

    pub(crate) fn work_out(&mut self, expression: &str) -> Value {
        let asked = json!({"expression": expression, "returnByValue": true});
        let result = self.ask("Runtime.evaluate", &asked);
        assert!(result.get("exceptionDetails").is_none(), "{expression}: {result}");
        result["result"]["value"].clone()
    }

    /// How many pages it prints on, in inches.
    pub(crate) fn pages(&mut self, width: f64, height: f64) -> usize {
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
