//! Killed at any moment by a signal that nothing can catch: what `add` writes, and what a page
//! saves and was answered. `tests/journal.rs` does the same to the interactive session.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    missing_docs
)]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Mutex;
use std::thread;
use std::time::{Duration, Instant};

use tarebook::report::compose::Options;
use tarebook::session::Session;

/// So many rounds, or `TAREBOOK_THOROUGH` more of them.
fn rounds(few: usize, many: usize) -> usize {
    if std::env::var_os("TAREBOOK_THOROUGH").is_some() {
        many
    } else {
        few
    }
}

/// Numbers that are the same in every run.
struct Random(u64);

impl Random {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % bound.max(1)
    }
}

fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
    command.current_dir(folder).env("XDG_STATE_HOME", folder.join("state"));
    command.stdin(Stdio::null()).stderr(Stdio::null());
    command
}

/// Long enough that writing it takes a while.
fn ballast() -> String {
    format!("-- {}\n", "ballast ".repeat(1000)).repeat(60)
}

const FILE: &str = "time,gross [lb ± 0.05],hose\n";

/// A minute later each, and a pound less.
fn reading(number: usize) -> [String; 3] {
    let time = format!("{:02}:{:02}", number / 60, number % 60);
    [time, format!("{}", 900 - number), "on".to_owned()]
}

/// The rows of a file that were added, each whole.
fn whole_rows(text: &str, before: &str) -> usize {
    let rows = text
        .strip_prefix(before)
        .unwrap_or_else(|| panic!("a mixture: {}", text.len()));
    for (number, row) in rows.lines().enumerate() {
        assert_eq!(row, reading(number + 1).join(","));
    }
    assert!(rows.is_empty() || rows.ends_with('\n'));
    rows.lines().count()
}

#[test]
fn add_leaves_the_old_file_or_the_new_one() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("run.csv");
    // what stands in a note is as long as a file of many readings
    let before = format!("{FILE}\"00:00\",\"901\",\"{}\"\n", "x".repeat(400_000));
    fs::write(&file, &before).unwrap();
    fs::write(folder.path().join("run.tare"), "table run = csv(\"run.csv\")\n").unwrap();
    let start = |row: usize| {
        let mut command = program(folder.path());
        command.args(["add", "run.tare", "run"]).args(reading(row));
        command.stdout(Stdio::null()).spawn().unwrap()
    };
    let began = Instant::now();
    assert!(start(1).wait().unwrap().success());
    let mut after = began.elapsed();
    let mut random = Random(23);
    let (mut killed, mut rows) = (0, 1);
    for _ in 0..rounds(40, 400) {
        let mut child = start(rows + 1);
        thread::sleep(after * u32::try_from(80 + random.below(40)).unwrap() / 100);
        let _ = child.kill();
        let is_killed = !child.wait().unwrap().success();
        killed += usize::from(is_killed);
        // around the moment of saving, on a busy machine as well
        after = if is_killed { after * 11 / 10 } else { after * 8 / 10 };
        let now = whole_rows(&fs::read_to_string(&file).unwrap(), &before);
        assert!(now == rows || now == rows + 1, "{now} rows after {rows}");
        rows = now;
    }
    println!("{killed} killed, {} rows written", rows - 1);
    assert!(killed > 0 && rows > 1);
    // what broke off is no hindrance, and doesn't stay for long
    let parts = || {
        let files = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path());
        files
            .filter(|path| path.extension().is_some_and(|ending| ending == "part"))
            .collect::<Vec<_>>()
    };
    let hour = std::time::SystemTime::now() - Duration::from_secs(3600);
    for part in parts() {
        fs::File::options()
            .write(true)
            .open(part)
            .unwrap()
            .set_modified(hour)
            .unwrap();
    }
    assert!(start(rows + 1).wait().unwrap().success());
    assert!(parts().is_empty(), "{:?}", parts());
}

/// A page that is open, and where it answers.
fn page(folder: &Path) -> (Child, String) {
    let mut command = program(folder);
    let mut child = command
        .args(["page", "night.tare"])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    let address = lines.find_map(|line| Some(line.split_once("http://")?.1.trim().to_owned()));
    thread::spawn(move || lines.for_each(drop));
    (child, address.unwrap())
}

/// A line sent to a page; whether it was answered.
fn sent(address: &str, line: &str) -> bool {
    let (host, path) = address.split_once('/').unwrap();
    let Ok(mut stream) = TcpStream::connect(host) else {
        return false;
    };
    let length = line.len();
    let request = format!(
        "POST /{path}line HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{line}"
    );
    let mut reply = String::new();
    stream.write_all(request.as_bytes()).is_ok()
        && stream.read_to_string(&mut reply).is_ok()
        && reply.starts_with("HTTP/1.1 200 ")
        && reply.trim_end().ends_with(['0', '}'])
}

#[test]
fn a_page_leaves_the_old_file_or_the_new_one_and_loses_nothing() {
    let sheet = |weight: usize| {
        format!(
            "measured gross = {weight} lb\n{}answer half [lb] = gross / 2\n",
            ballast()
        )
    };
    let mut random = Random(29);
    for round in 0..rounds(8, 200) {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("night.tare");
        fs::write(&file, sheet(0)).unwrap();
        let (mut child, address) = page(folder.path());
        // the last weight that was answered: put in, saved
        let answered = Mutex::new((0, 0));
        thread::scope(|scope| {
            scope.spawn(|| {
                for weight in 1..1000 {
                    if !sent(&address, &format!("measured gross = {weight} lb")) {
                        return;
                    }
                    answered.lock().unwrap().0 = weight;
                    if weight % 3 == 0 {
                        if !sent(&address, "save") {
                            return;
                        }
                        answered.lock().unwrap().1 = weight;
                    }
                }
            });
            let began = Instant::now();
            while answered.lock().unwrap().1 == 0 && began.elapsed() < Duration::from_secs(60) {
                thread::sleep(Duration::from_millis(5));
            }
            thread::sleep(Duration::from_millis(random.below(900)));
            child.kill().unwrap();
            child.wait().unwrap();
        });
        let (put_in, saved) = *answered.lock().unwrap();
        let text = fs::read_to_string(&file).unwrap();
        let weight: usize = text.split(' ').nth(3).and_then(|word| word.parse().ok()).unwrap();
        assert_eq!(text, sheet(weight), "round {round}: a mixture");
        assert!(
            weight == saved || weight > saved && weight <= put_in,
            "round {round}: {weight}, saved {saved}"
        );
        assert!(weight > 0, "round {round}: nothing was saved");
        let mut session = Session::open(&file, Options::default()).ok().unwrap();
        let state = folder.path().join("state/tarebook");
        if let Some(left) = session.look_for_unsaved(Some(&state)).left.pop() {
            assert!(session.take_up(left).is_ok());
        }
        let held: usize = session.sheet().text().split(' ').nth(3).unwrap().parse().unwrap();
        assert!(
            held == put_in || held == put_in + 1,
            "round {round}: {held} of {put_in}"
        );
    }
}
