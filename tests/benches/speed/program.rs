//! The program from start to finish, as a person pays for it, beside others in the same run.
//!
//! Python stands for a language that anybody might write such a sheet in; where there is none,
//! what is held against it is told alone.

use std::fmt::Write as _;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::{Chain, Digits, household};

const NOTEBOOK: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/winter-outage.tare");
const RUNTIME: &str = "measured gross = 37.4 lb ± 0.1 lb
quoted tare = 17.6 lb ± 0.2 lb
assumed rate = 1.5 lb/h ± 0.1 lb/h
answer runtime [h] = (gross - tare) / rate
";
const DRAWN: &str = "
import random, statistics
def uniform(middle, half): return middle + half * (2 * random.random() - 1)
drawn = sorted((uniform(37.4, 0.1) - uniform(17.6, 0.2)) / uniform(1.5, 0.1) for _ in range(DRAWS))
print(statistics.fmean(drawn), statistics.pstdev(drawn), drawn[len(drawn) // 40], drawn[-len(drawn) // 40])
";

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (repeats, lines, few, draws) = match extent {
        Extent::Full => (21, 100_000, 2_000, 1_000_000),
        Extent::Glance => (1, 500, 60, 1_000),
    };
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    let own = |arguments: &[&str]| done(tarebook(folder.path()).args(arguments));
    let python = |text: &str| {
        write("peer.py", text);
        done(Command::new("python3").arg(folder.path().join("peer.py")));
    };
    let is_there = Command::new("python3").arg("--version").output().is_ok();
    let peer = |what: &'static str, text: &str, repeats: usize| {
        is_there.then(|| Measure {
            what,
            time: median(repeats, || python(text)),
        })
    };

    let empty = Measure {
        what: "a program that does nothing",
        time: median(repeats, || done(&mut Command::new("true"))),
    };
    bounds.hold_to("`--version`", median(repeats, || own(&["--version"])), empty, 4.0);
    let start = peer("Python with decimals, that does nothing", "import decimal", repeats);
    held(
        bounds,
        "`show` of the built-in worksheet",
        median(repeats, || own(&["show", NOTEBOOK])),
        start,
        1.0,
    );

    let chain = Chain::new(Digits::Short, lines);
    write("chain.tare", &chain.text());
    let check = median(repeats.min(5), || own(&["check", "chain.tare"]));
    let decimals = peer(
        "Python's decimals, line for line, without units",
        &as_python(&chain),
        repeats.min(3),
    );
    held(
        bounds,
        &format!("`check` of a chain of {lines} lines"),
        check,
        decimals,
        1.0,
    );
    bounds.tell("  a line", check.as_secs_f64() * 1e6 / lines as f64, "µs");

    write("runtime.tare", RUNTIME);
    let drawn = draws.to_string();
    let doubt = median(repeats.min(5), || {
        own(&["doubt", "runtime.tare", "runtime", "--draws", &drawn])
    });
    let by_hand = peer(
        "Python's, draw by draw",
        &DRAWN.replace("DRAWS", &drawn),
        repeats.min(3),
    );
    held(bounds, &format!("`doubt` with {draws} draws"), doubt, by_hand, 0.5);

    write("household.tare", &household(few));
    let check = Measure {
        what: "`check` of it",
        time: median(repeats, || own(&["check", "household.tare"])),
    };
    bounds.tell(
        &format!("`check` of a household of {few} lines"),
        check.time.as_secs_f64() * 1e3,
        "ms",
    );
    let typed = |edits: usize| median(repeats.min(5), || session(folder.path(), edits));
    let edit = typed(100).saturating_sub(typed(0)) / 100;
    bounds.hold_to("  an entry edited in a session, answered", edit, check, 1.0);
    let (mut child, address) = page(folder.path());
    let mut weight = 0;
    let key = median(repeats, || {
        weight += 1;
        sent(&address, &format!("gross_0 = {}.5 lb", 40 + weight % 9));
    });
    let _ = child.kill();
    let _ = child.wait();
    bounds.hold_to("  a value typed on its page, answered", key, check, 2.0);
}

fn held(bounds: &mut Bounds, what: &str, time: Duration, peer: Option<Measure>, bound: f64) {
    match peer {
        Some(peer) => bounds.hold_to(what, time, peer, bound),
        None => bounds.tell(what, time.as_secs_f64() * 1e3, "ms"),
    }
}

fn tarebook(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
    command.current_dir(folder).env("XDG_STATE_HOME", folder.join("state"));
    command
}

fn done(command: &mut Command) {
    let status = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    assert!(status.unwrap().code().is_some_and(|code| code < 2 || code == 3));
}

/// The same inputs and formulas as assignments.
fn as_python(chain: &Chain) -> String {
    let mut text = String::from("from decimal import Decimal, getcontext\ngetcontext().prec = 28\n");
    for line in chain.text().lines().filter(|line| !line.contains('#')) {
        let (_, line) = line.split_once(' ').unwrap();
        let (name, formula) = line.split_once(" = ").unwrap();
        let number = formula.split(' ').next().unwrap();
        let is_input = name.starts_with('i') || name == "edge";
        let formula = match is_input {
            true => format!("Decimal('{number}')"),
            false => formula.replace("0.999 ", "Decimal('0.999') "),
        };
        let _ = writeln!(text, "{name} = {formula}");
    }
    text
}

/// A session from start to finish in which a reading is edited so many times.
fn session(folder: &Path, edits: usize) {
    let mut command = tarebook(folder);
    command
        .args(["open", "household.tare"])
        .stdin(Stdio::piped())
        .stdout(Stdio::null());
    let mut child = command.spawn().unwrap();
    let mut input = child.stdin.take().unwrap();
    for edit in 0..edits {
        writeln!(input, "measured gross_0 = {}.5 lb ± 0.05 lb", 40 + edit % 9).unwrap();
    }
    // left as it was, so that no journal stays
    let _ = writeln!(input, "{}quit", "undo\n".repeat(edits));
    drop(input);
    assert!(child.wait().unwrap().success());
}

fn page(folder: &Path) -> (Child, String) {
    let mut command = tarebook(folder);
    command
        .args(["page", "household.tare"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut addresses = lines.filter_map(|line| Some(line.ok()?.split_once("http://")?.1.trim().to_owned()));
    let address = addresses.next().unwrap();
    (child, address)
}

/// A line sent to a page, until all of its answer is there.
fn sent(address: &str, line: &str) {
    let (host, path) = address.split_once('/').unwrap();
    let mut stream = TcpStream::connect(host).unwrap();
    let length = line.len();
    write!(
        stream,
        "POST /{path}line HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{line}"
    )
    .unwrap();
    let mut reply = Vec::new();
    stream.read_to_end(&mut reply).unwrap();
    assert!(reply.starts_with(b"HTTP/1.1 200 "));
}
