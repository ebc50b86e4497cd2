//! The program as a command: exit codes, standard input, formats, and what is
//! said where something is wrong.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};

const SOUND: &str = "# Ridge\nassumed air = 32 °F\nassumed rate = 1.3 lb/h\n\
    answer day [lb] = rate * 24 h\nexpect day <= 40 lb else \"too much\"\ncase cold \"Cold\"\n  air = -5 °F\n";
const BROKEN: &str = "# Ridge\nassumed rate = 1.3 lb/h\nanswer day = rate + 24 h\n";
const FAILING: &str = "# Ridge\nassumed rate = 1.3 lb/h\nexpect rate <= 1 lb/h else \"too much\"\n";
const WAITING: &str = "measured rate [lb/h] = ?\nexpect rate <= 1 lb/h\n";

/// What a run came to.
struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn run_in(folder: &Path, arguments: &[&str], input: &[u8]) -> Ran {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that refuses its arguments reads no input.
    let _ = child.stdin.take().unwrap().write_all(input);
    let output = child.wait_with_output().unwrap();
    Ran {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A folder with a worksheet of each sort.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let files = [
        ("sound.tare", SOUND),
        ("broken.tare", BROKEN),
        ("failing.tare", FAILING),
        ("waiting.tare", WAITING),
    ];
    for (name, text) in files {
        fs::write(folder.path().join(name), text).unwrap();
    }
    fs::write(folder.path().join("latin.tare"), b"# Ridge\nassumed air = 3 \xb0F\n").unwrap();
    folder
}

fn run(arguments: &[&str]) -> Ran {
    run_in(folder().path(), arguments, b"")
}

/// Runs the arguments and checks the code, and pieces of what is printed.
fn check(arguments: &[&str], code: i32, out: &str, err: &str) {
    let ran = run(arguments);
    assert_eq!(ran.code, code, "{arguments:?}\n{}\n{}", ran.out, ran.err);
    assert!(ran.out.contains(out), "{arguments:?} prints\n{}", ran.out);
    assert!(ran.err.contains(err), "{arguments:?} says\n{}", ran.err);
    assert!(!err.is_empty() || ran.err.is_empty(), "{arguments:?} says\n{}", ran.err);
}

#[test]
fn show_ends_with_the_code_of_the_worksheet() {
    check(&["show", "sound.tare"], 0, "31.2 lb", "");
    check(
        &["show", "broken.tare"],
        1,
        "has a problem",
        "broken.tare, line 3 · unit-clash",
    );
    check(&["show", "failing.tare"], 0, "does not hold", "");
    check(
        &["show", "missing.tare"],
        2,
        "",
        "`missing.tare` can't be read: no such file or directory",
    );
    check(
        &["show", "sonud.tare"],
        2,
        "",
        "Try: write `sound.tare`, if that is meant",
    );
    check(
        &["open", "quite-new.tare"],
        2,
        "",
        "Try: at a terminal `tarebook open` begins an empty worksheet under a new name",
    );
    check(
        &["open", "sonud.tare"],
        2,
        "",
        "Try: write `sound.tare`, if that is meant",
    );
    check(&["open", "nowhere/new.tare"], 2, "", "no such file or directory");
    check(&["show", "."], 2, "", "can't be read: is a directory");
    check(&["show", "latin.tare"], 2, "", "byte 24 (line 2) can't be read");
}

/// Where results can't be written, the other stream says so.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_the_output_is_told() {
    let folder = folder();
    for arguments in [
        &["show", "sound.tare"][..],
        &["check", "failing.tare"],
        &["doubt", "sound.tare", "day"],
        &["help"],
        &["open", "sound.tare"],
    ] {
        let ran = Command::new(env!("CARGO_BIN_EXE_tarebook"))
            .args(arguments)
            .current_dir(folder.path())
            .stdin(Stdio::null())
            .stdout(fs::OpenOptions::new().write(true).open("/dev/full").unwrap())
            .output()
            .unwrap();
        assert_eq!(ran.status.code(), Some(2), "{arguments:?}");
        let told = String::from_utf8(ran.stderr).unwrap();
        assert_eq!(
            told, "The output can't be written: no space left on device.\n",
            "{arguments:?}"
        );
    }
}

/// A limit on the size of files is an error of the file that gets too large.
#[cfg(target_os = "linux")]
#[test]
fn a_limit_on_the_size_of_files_is_no_end() {
    let folder = folder();
    let before = fs::read_to_string(folder.path().join("sound.tare")).unwrap();
    let typed = "ulimit -f 0; printf 'assumed spare = 2 lb\\nsave\\nspare * 2\\n' | \"$0\" open sound.tare";
    let ran = Command::new("sh")
        .args(["-c", typed, env!("CARGO_BIN_EXE_tarebook")])
        .current_dir(folder.path())
        .output()
        .unwrap();
    let told = String::from_utf8(ran.stdout).unwrap();
    assert!(
        told.contains("can't be written: file too large; nothing was saved"),
        "{told}"
    );
    assert!(told.contains("  4 lb\n"), "{told}");
    assert_eq!(ran.status.code(), Some(0));
    assert_eq!(fs::read_to_string(folder.path().join("sound.tare")).unwrap(), before);
}

#[test]
fn why_ends_with_the_code_of_the_worksheet() {
    check(&["why", "sound.tare", "day"], 0, "31.2 lb", "");
    check(
        &["why", "sound.tare", "day", "--depth", "0"],
        0,
        "a greater depth shows them",
        "",
    );
    check(&["why", "sound.tare", "day", "--format", "json"], 0, "\"steps\"", "");
    check(
        &["why", "sound.tare", "day", "--format", "csv"],
        0,
        "name,kind,formula",
        "",
    );
    check(&["why", "sound.tare", "day", "--format", "markdown"], 0, "## `day`", "");
    check(&["why", "sound.tare", "dya"], 2, "", "write `day`, if that is meant");
    check(&["why", "sound.tare"], 2, "", "`why` needs NAME");
    check(
        &["why", "sound.tare", "day", "--depth", "-1"],
        2,
        "",
        "a whole number from 0 to 1000",
    );
    check(&["why", "sound.tare", "day", "--case", "none"], 2, "", "none");
    check(&["why", "missing.tare", "day"], 2, "", "missing.tare");
}

#[test]
fn doubt_ends_with_the_code_of_the_worksheet() {
    let with = |more: &[&'static str]| [&["doubt", "sound.tare", "day"], more].concat();
    let sure = ["--set", "rate=1.3 lb/h ± 0.1 lb/h sd"];
    let more = |more: &[&'static str]| with(&[&sure, more].concat());
    check(&with(&[]), 0, "day = 31.2 lb, taken as exact", "");
    check(&more(&[]), 0, "day = 31 lb ± 5 lb k=2", "");
    check(
        &more(&["--case", "cold"]),
        0,
        "How sure is day\nCase cold: Cold\nOn trial: rate = 1.3 lb/h",
        "",
    );
    check(&more(&["--format", "json"]), 0, "\"sensitivity\": \"24\"", "");
    check(
        &more(&["--format", "csv"]),
        0,
        "input,rate,1.3,lb/h,0.1,,24,2.4,1,,,,",
        "",
    );
    check(
        &more(&["--format", "markdown"]),
        0,
        "| `rate` = 1.3 lb/h | 0.1 lb/h | 24 lb per lb/h | 2.4 lb | 100 % |",
        "",
    );
    check(&with(&["--draws", "0"]), 2, "", "`--draws` can't be `0`");
    check(
        &with(&["--draws", "-100"]),
        2,
        "",
        "a whole number from 100 to 10000000",
    );
    check(
        &with(&["--draws", "1000", "--seed", "-1"]),
        2,
        "",
        "`--seed` can't be `-1`",
    );
    check(&with(&["--draws"]), 2, "", "`--draws` needs a value behind it");
    check(&with(&["--seed", "7"]), 2, "", "none are asked for");
    check(&["doubt", "sound.tare", "dya"], 2, "", "write `day`, if that is meant");
    check(&["doubt", "sound.tare"], 2, "", "`doubt` needs NAME");
    check(&["doubt", "missing.tare", "day"], 2, "", "missing.tare");
    check(&["doubt", "broken.tare", "day"], 1, "day has a problem", "unit-clash");
    check(
        &["help", "doubt"],
        0,
        "tarebook doubt FILE NAME [all] [--draws N] [--seed S]",
        "",
    );
}

#[test]
fn compare_ends_with_the_code_of_the_base_and_every_case() {
    check(&["compare", "sound.tare"], 0, "cold   same", "");
    check(
        &["compare", "sound.tare", "all"],
        0,
        "air = -5 °F in place of 32 °F",
        "",
    );
    check(&["compare", "failing.tare"], 0, "There are no cases", "");
    check(
        &["compare", "broken.tare"],
        1,
        "has a problem",
        "broken.tare, line 3 · unit-clash",
    );
    check(&["compare", "sound.tare", "--set", "rate=2 lb/h"], 0, "48 lb", "");
    check(
        &["compare", "sound.tare", "--case", "cold"],
        0,
        "Case in hand: cold",
        "",
    );
    check(&["compare", "sound.tare", "--digits", "2"], 0, "31 lb", "");
    check(&["compare", "sound.tare", "--format", "json"], 0, "\"cases\"", "");
    check(
        &["compare", "sound.tare", "--format", "csv"],
        0,
        "case,kind,name,line",
        "",
    );
    check(
        &["compare", "sound.tare", "--format", "markdown"],
        0,
        "| `day` | 31.2 lb |",
        "",
    );
    check(&["compare", "sound.tare", "--set", "air=5 lb"], 2, "", "unit-clash");
    check(
        &["compare", "sound.tare", "--case", "cald"],
        2,
        "",
        "write `cold`, if that is meant",
    );
    check(
        &["compare", "sound.tare", "--depth", "2"],
        2,
        "",
        "There is no option `--depth` here",
    );
    check(&["compare", "sound.tare", "sound.tare"], 2, "", "one word too many");
    check(&["compare"], 2, "", "`compare` needs FILE");
    check(&["compare", "missing.tare"], 2, "", "missing.tare");
}

#[test]
fn audit_ends_with_the_code_of_the_worksheet() {
    check(&["audit", "sound.tare"], 0, "decides day", "");
    check(&["audit", "sound.tare", "all"], 0, "How it is done", "");
    check(&["audit", "sound.tare", "al"], 2, "", "`al` is one word too many");
    check(&["audit", "failing.tare"], 0, "check-fails", "");
    check(
        &["audit", "broken.tare"],
        1,
        "has-problem",
        "broken.tare, line 3 · unit-clash",
    );
    check(&["audit", "sound.tare", "--case", "cold"], 0, "Case cold", "");
    check(
        &["audit", "sound.tare", "--set", "rate=2 lb/h"],
        0,
        "On trial: rate = 2 lb/h",
        "",
    );
    check(&["audit", "sound.tare", "--format", "json"], 0, "\"swing\"", "");
    check(
        &["audit", "sound.tare", "--format", "csv"],
        0,
        "line,name,kind,sourced",
        "",
    );
    check(&["audit", "sound.tare", "--format", "markdown"], 0, "# Audit:", "");
    check(
        &["audit", "sound.tare", "--case", "cald"],
        2,
        "",
        "write `cold`, if that is meant",
    );
    check(&["audit", "sound.tare", "rate"], 2, "", "one word too many");
    check(&["audit"], 2, "", "`audit` needs FILE");
    check(&["audit", "missing.tare"], 2, "", "missing.tare");
    check(&["help", "no-source"], 0, "a remark of audits", "");
}

#[test]
fn leeway_ends_with_the_code_of_the_worksheet() {
    check(&["leeway", "sound.tare"], 0, "day <= 40 lb", "");
    check(
        &["leeway", "broken.tare"],
        1,
        "No check here sets a limit for one value",
        "broken.tare, line 3 · unit-clash",
    );
    check(&["leeway", "sound.tare", "--format", "json"], 0, "\"share\"", "");
    check(&["leeway", "sound.tare", "day"], 2, "", "one word too many");
}

/// A problem that comes up in a case alone counts, and is drawn.
#[test]
fn compare_draws_the_problems_of_every_case() {
    let folder = folder();
    let text = "assumed men = 2\nanswer load = 12 lb / men\ncase nobody\n  men = 0\n";
    fs::write(folder.path().join("men.tare"), text).unwrap();
    let ran = run_in(folder.path(), &["compare", "men.tare"], b"");
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(ran.err.contains("men.tare, line 2 · division-by-zero"), "{}", ran.err);
    assert!(ran.out.contains("has a problem"), "{}", ran.out);
}

#[test]
fn sweep_and_aim_end_with_the_code_of_the_worksheet() {
    let sweep = ["sweep", "sound.tare", "rate", "--from", "1 lb/h", "--to", "2 lb/h"];
    let aim = ["aim", "sound.tare", "day=36 lb", "--varying", "rate"];
    let with = |first: &[&'static str], more: &[&'static str]| [first, more].concat();
    check(
        &with(&sweep, &["--step", "0.5 lb/h"]),
        0,
        "rate = 1.66667 lb/h: day <= 40 lb (line 5)",
        "",
    );
    check(
        &with(&sweep, &["--values", "3", "--format", "json"]),
        0,
        "\"crossings\"",
        "",
    );
    check(
        &with(&sweep, &["--values", "3", "--format", "csv"]),
        0,
        "rate [lb/h],day [lb],title,file,case,trials\n1,24,Ridge,sound.tare,,\n1.5,36,",
        "",
    );
    check(
        &with(&sweep, &["--values", "3", "--format", "markdown"]),
        0,
        "| 1.5 lb/h | 36 lb |",
        "",
    );
    check(
        &with(&sweep, &["--values", "3", "--case", "cold", "--set", "air=-9 °F"]),
        0,
        "Case cold",
        "",
    );
    check(&sweep, 2, "", "`sweep` needs a step, or a number of values");
    check(&with(&sweep, &["--values", "many"]), 2, "", "from 2 to 10000");
    check(
        &with(&sweep, &["--step", "-1 lb/h"]),
        2,
        "",
        "leads away from the last value",
    );
    check(
        &[
            "sweep",
            "sound.tare",
            "air",
            "--from",
            "-20 °F",
            "--to",
            "-10 °F",
            "--values",
            "2",
        ],
        0,
        "No answer depends on air",
        "",
    );
    check(
        &["sweep", "sound.tare", "rate", "--from", "1 lb/h"],
        2,
        "",
        "`sweep` needs --to",
    );
    check(
        &[
            "sweep",
            "sound.tare",
            "rate",
            "--from",
            "1 lb",
            "--to",
            "2 lb/h",
            "--values",
            "2",
        ],
        2,
        "",
        "from 1 lb · unit-clash",
    );
    check(
        &[
            "sweep",
            "broken.tare",
            "rate",
            "--from",
            "1 lb/h",
            "--to",
            "2 lb/h",
            "--values",
            "2",
        ],
        1,
        "problem",
        "unit-clash",
    );
    check(
        &with(&aim, &["--between", "1 lb/h", "2 lb/h"]),
        0,
        "day = 36 lb at rate = 1.5 lb/h.",
        "",
    );
    check(
        &with(&aim, &["--between", "1 lb/h", "2 lb/h", "--format", "json"]),
        0,
        "\"finding\": \"one\"",
        "",
    );
    check(
        &with(&aim, &["--between", "1 lb/h", "2 lb/h", "--format", "csv"]),
        0,
        "day,36,rate,lb/h,1,2,one,1.5",
        "",
    );
    check(
        &with(&aim, &["--between", "1 lb/h", "2 lb/h", "--format", "markdown"]),
        0,
        "| 1.5 lb/h | 36 lb | solution |",
        "",
    );
    check(&aim, 0, "widened from the value of rate in hand", "");
    check(
        &with(&aim, &["--between", "1 lb/h"]),
        2,
        "",
        "`--between` takes two values",
    );
    check(&["aim", "sound.tare", "day=36 lb"], 2, "", "`aim` needs --varying");
    check(
        &["aim", "missing.tare", "day=36 lb", "--varying", "rate"],
        2,
        "",
        "missing.tare",
    );
}

#[test]
fn audit_against_another_takes_its_file_bare_or_as_an_option() {
    let told = "no answers in common";
    check(
        &["audit", "sound.tare", "against", "sound.tare"],
        0,
        "B would question nothing in A",
        "",
    );
    check(&["audit", "sound.tare", "against", "failing.tare"], 0, told, "");
    check(
        &["audit", "sound.tare", "--against", "failing.tare", "all"],
        0,
        told,
        "",
    );
    check(
        &["audit", "sound.tare", "against", "failing.tare", "--format", "json"],
        0,
        "\"only_b\"",
        "",
    );
    check(
        &["audit", "sound.tare", "against", "missing.tare"],
        2,
        "",
        "missing.tare",
    );
    check(&["audit", "sound.tare", "against"], 2, "", "against");
}

#[test]
fn diff_ends_with_0_with_the_problems_of_either_or_with_2() {
    check(&["diff", "sound.tare", "sound.tare"], 0, "They mean the same.", "");
    check(&["diff", "sound.tare", "failing.tare"], 0, "no answers in common", "");
    check(
        &["diff", "sound.tare", "failing.tare", "--format", "json"],
        0,
        "\"formulas\": [",
        "",
    );
    check(
        &["diff", "sound.tare", "failing.tare", "--format", "csv"],
        0,
        "what,name,of,unit,a,b,change",
        "",
    );
    check(
        &["diff", "sound.tare", "failing.tare", "--format", "markdown"],
        0,
        "## Formulas that differ",
        "",
    );
    check(
        &["diff", "sound.tare", "broken.tare"],
        1,
        "B: broken.tare",
        "broken.tare, line 3",
    );
    check(
        &["diff", "broken.tare", "sound.tare"],
        1,
        "A: broken.tare",
        "broken.tare, line 3",
    );
    check(&["diff", "sound.tare", "missing.tare"], 2, "", "missing.tare");
    check(&["diff", "latin.tare", "sound.tare"], 2, "", "isn't UTF-8");
    check(&["diff", "sound.tare"], 2, "", "`diff` needs FILE.");
    check(&["diff"], 2, "", "`diff` needs FILE.");
    check(&["diff", "-", "-"], 2, "", "Standard input can be read only once");
    check(
        &["diff", "sound.tare", "failing.tare", "--set", "rate=2 lb/h"],
        0,
        "On trial in both: rate = 2 lb/h",
        "",
    );
    check(
        &["diff", "sound.tare", "failing.tare", "--set", "air=2 °F"],
        2,
        "",
        "no `air` in failing.tare, and `--set` holds a value in both",
    );
    check(
        &["diff", "sound.tare", "failing.tare", "--set", "aer=2 °F"],
        2,
        "",
        "is named `aer`",
    );
    check(
        &["diff", "sound.tare", "failing.tare", "--set", "rate=2 h"],
        2,
        "",
        "unit-clash",
    );
    check(
        &["diff", "sound.tare", "failing.tare", "--case", "cold"],
        2,
        "",
        "no case `cold` in failing.tare",
    );
    check(
        &["diff", "failing.tare", "sound.tare", "--case", "cold"],
        2,
        "",
        "no case `cold` in failing.tare",
    );
    check(
        &["diff", "sound.tare", "sound.tare", "--case", "cald"],
        2,
        "",
        "write `cold`, if that is meant",
    );
    check(&["diff", "sound.tare", "failing.tare", "--case", "base"], 0, "rate", "");
    check(
        &["diff", "sound.tare", "sound.tare", "--case", "cold"],
        0,
        "Case cold, in both",
        "",
    );
}

#[test]
fn diff_reads_one_of_the_two_from_standard_input() {
    let folder = folder();
    let changed = SOUND.replace("1.3 lb/h", "1.4 lb/h");
    let ran = run_in(folder.path(), &["diff", "-", "sound.tare"], changed.as_bytes());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("A: standard input") && ran.out.contains("1.4 lb/h → 1.3 lb/h"),
        "{}",
        ran.out
    );
    let ran = run_in(folder.path(), &["diff", "sound.tare", "-"], changed.as_bytes());
    assert!(
        ran.out.contains("1.3 lb/h → 1.4 lb/h") && ran.out.contains("up by 2.4 lb"),
        "{}",
        ran.out
    );
}

#[test]
fn check_ends_with_the_heaviest_code() {
    check(
        &["check", "sound.tare"],
        0,
        "sound.tare: no problems, its one check holds",
        "",
    );
    check(&["check", "failing.tare"], 3, "does not hold", "");
    check(&["check", "waiting.tare"], 3, "undecided", "");
    check(&["check", "broken.tare"], 1, "1 problem", "unit-clash");
    check(&["check", "failing.tare", "sound.tare"], 3, "sound.tare", "");
    check(
        &["check", "failing.tare", "broken.tare", "sound.tare"],
        1,
        "sound.tare",
        "unit-clash",
    );
    check(
        &["check", "missing.tare", "broken.tare"],
        2,
        "broken.tare",
        "missing.tare",
    );
}

#[test]
fn lints_leave_the_code_at_zero() {
    let folder = folder();
    fs::write(folder.path().join("named.tare"), "assumed keep = 3 lb\n").unwrap();
    let ran = run_in(folder.path(), &["check", "named.tare"], b"");
    assert_eq!(ran.code, 0);
    assert!(
        ran.err.contains("named.tare, line 1 · name-is-verb · lint"),
        "{}",
        ran.err
    );
}

#[test]
fn a_case_and_trials_are_worked_out() {
    check(&["show", "sound.tare", "all", "--case", "cold"], 0, "-5 °F", "");
    check(&["show", "sound.tare", "all", "--case=base"], 0, "32 °F", "");
    check(&["show", "sound.tare", "--set", "rate=2 lb/h"], 0, "48 lb", "");
    check(
        &[
            "show",
            "sound.tare",
            "--case",
            "cold",
            "--set",
            "air=-9 °F",
            "--set",
            "rate = rate * 2",
        ],
        0,
        "On trial: air = ",
        "",
    );
    check(
        &["show", "sound.tare", "--case", "cald"],
        2,
        "",
        "Try: write `cold`, if that is meant",
    );
    check(
        &["show", "sound.tare", "--set", "ari=5 °F"],
        2,
        "",
        "Try: write `air`, if that is meant",
    );
    check(
        &["show", "sound.tare", "--set", "air=5 lb"],
        2,
        "",
        "--set \"air=5 lb\" · unit-clash",
    );
    check(
        &["show", "sound.tare", "--set", "air"],
        2,
        "",
        "`--set` takes NAME=VALUE",
    );
    check(
        &["show", "sound.tare", "--set", "-5"],
        2,
        "",
        "`--set` takes NAME=VALUE, and this is `-5`",
    );
}

#[test]
fn wrong_usage_says_what_to_try() {
    check(&["shwo"], 2, "", "Try: write `show`, if that is meant");
    check(&["sound.tare"], 2, "", "`tarebook open sound.tare` opens it");
    check(&["show"], 2, "", "`show` needs FILE");
    check(&["tidy", "a", "b"], 2, "", "`b` is one word too many");
    check(
        &["show", "sound.tare", "--formt", "json"],
        2,
        "",
        "write `--format`, if that is meant",
    );
    check(
        &["show", "sound.tare", "--format", "pdf"],
        2,
        "",
        "it takes one of: text, markdown, html, json, csv",
    );
    check(&["show", "sound.tare", "--format"], 2, "", "needs a value");
    check(
        &["show", "sound.tare", "--digits", "-3"],
        2,
        "",
        "it takes a whole number from 1 to 28",
    );
    check(&["show", "sound.tare", "--digits", "2"], 0, "31 lb", "");
    check(&["open", "-"], 2, "", "leaves no lines for the session");
    check(
        &["whence", "sound.tare", "day"],
        2,
        "",
        "`whence` is no verb of tarebook",
    );
    check(&["help", "nothing_such"], 2, "", "Nothing is known of `nothing_such`");
    check(&["functions", "lb", "nothing_such"], 2, "", "`nothing_such` is no unit");
}

#[test]
fn help_goes_to_standard_output() {
    check(&["--help"], 0, "opens a worksheet in the interactive session", "");
    check(&["show", "--help"], 0, "tarebook show FILE", "");
    check(&["help"], 0, "Verbs", "");
    check(&["help", "show"], 0, "--digits", "");
    check(&["help", "unit-clash"], 0, "Fixed", "");
    check(&["functions"], 0, "net_contents", "");
    check(&["functions", "BTU/h", "lb/h"], 0, "BTU/h", "");
    check(&["units", "weight"], 0, "pound", "");
    check(&["--version"], 0, env!("CARGO_PKG_VERSION"), "");
}

#[test]
fn standard_input_is_read() {
    let folder = folder();
    let ran = run_in(folder.path(), &["show", "-"], SOUND.as_bytes());
    assert_eq!((ran.code, ran.out.contains("31.2 lb")), (0, true), "{}", ran.out);
    let ran = run_in(folder.path(), &["check", "-", "sound.tare"], BROKEN.as_bytes());
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("standard input, line 3 · unit-clash"), "{}", ran.err);
    let ran = run_in(folder.path(), &["show", "-"], b"assumed air = 3 \xb0F\n");
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("`standard input` isn't UTF-8 text"), "{}", ran.err);
}

#[test]
fn formats_are_what_they_say() {
    let json: serde_json::Value = serde_json::from_str(&run(&["show", "sound.tare", "--format", "json"]).out).unwrap();
    assert_eq!(
        (&json["schema"], &json["entries"][2]["value"]),
        (&2.into(), &"31.2".into())
    );
    let ran = run(&["show", "broken.tare", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((ran.code, &json["problems"][0]["code"]), (1, &"unit-clash".into()));
    let json: serde_json::Value =
        serde_json::from_str(&run(&["check", "sound.tare", "failing.tare", "--format", "json"]).out).unwrap();
    assert_eq!(json[1]["checks"][0]["holds"], false);
    check(&["show", "sound.tare", "--format", "csv"], 0, "name,label,kind", "");
    check(&["show", "sound.tare", "--format", "markdown"], 0, "# Ridge", "");
}

/// Charts are drawn with dots, with `--plain` without.
#[test]
fn plain_letters_are_asked_for() {
    let dots = |text: &str| text.chars().any(|letter| ('\u{2800}'..='\u{28ff}').contains(&letter));
    let sweep = [
        "sweep",
        "sound.tare",
        "rate",
        "--from",
        "1 lb/h",
        "--to",
        "3 lb/h",
        "--values",
        "5",
        "--plot",
        "day",
    ];
    let drawn = run(&sweep);
    assert!(drawn.code == 0 && dots(&drawn.out), "{}", drawn.out);
    let plain = run(&[&sweep[..], &["--plain"]].concat());
    assert!(plain.code == 0 && !dots(&plain.out), "{}", plain.out);
    assert!(plain.out.contains("+--"), "{}", plain.out);
    let folder = folder();
    let ran = run_in(folder.path(), &["show", "-", "--plain"], PLOT.as_bytes());
    assert!(
        ran.code == 0 && ran.out.contains("  Weight\n") && !dots(&ran.out),
        "{}",
        ran.out
    );
    let typed = b"plot log.used over log.hours\nquit\n";
    let ran = run_in(folder.path(), &["open", "sound.tare", "--plain"], b"quit\n");
    assert_eq!(ran.code, 0, "{}", ran.err);
    fs::write(folder.path().join("plot.tare"), PLOT).unwrap();
    let ran = run_in(folder.path(), &["open", "plot.tare", "--plain"], typed);
    assert!(
        ran.out.contains("  log.used over log.hours\n") && !dots(&ran.out),
        "{}",
        ran.out
    );
    check(&["tidy", "sound.tare", "--plain"], 2, "", "--plain");
}

const PLOT: &str = "table log\n  | hours [h] | used [lb] |\n  | 1 | 2 |\n  | 2 | 3 |\n\
                    plot log.used over log.hours \"Weight\"\n";

#[test]
fn pipes_get_no_colour() {
    let ran = run(&["show", "broken.tare"]);
    assert!(!ran.out.contains('\u{1b}') && !ran.err.contains('\u{1b}'));
}

#[test]
fn the_built_in_worksheet_is_printed_into_a_pipe() {
    let folder = tempfile::tempdir().unwrap();
    let ran = run_in(folder.path(), &[], b"");
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("All 7 checks hold"));
    assert!(ran.out.lines().count() <= 24, "{}", ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
}

#[test]
fn a_closed_pipe_is_a_quiet_end() {
    let folder = folder();
    // More than a pipe holds, so that writing goes on after the reader has left.
    let many: String = (0..20_000)
        .map(|line| format!("assumed a{line} = {line} lb\n"))
        .collect();
    fs::write(folder.path().join("long.tare"), many).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(["show", "long.tare"])
        .current_dir(folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0u8; 10];
    let mut out = child.stdout.take().unwrap();
    out.read_exact(&mut first).unwrap();
    drop(out);
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
}

#[test]
fn a_session_can_be_piped() {
    let folder = folder();
    let talk = "rate * 2 h\nrate = 2 lb/h\nkeep\nsave\nquit\n";
    let ran = run_in(folder.path(), &["open", "sound.tare"], talk.as_bytes());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.contains("2.6 lb") && ran.out.contains("Saved sound.tare."),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("> "), "a pipe gets no prompt: {}", ran.out);
    let saved = fs::read_to_string(folder.path().join("sound.tare")).unwrap();
    assert!(
        saved.contains("-- assumed rate = 1.3 lb/h\nassumed rate = 2 lb/h\n"),
        "{saved}"
    );
}

#[test]
fn add_puts_a_row_into_the_file() {
    let folder = folder();
    let text = "table run\n  | time | gross [lb] |\n  | 09:04 | 35.4 |\n";
    fs::write(folder.path().join("run.tare"), text).unwrap();
    let ran = run_in(
        folder.path(),
        &["add", "run.tare", "time", "12:10", "gross", "28.7"],
        b"",
    );
    let wanted = "Row 2 of `run`: 12:10, 28.7 lb; 3 h 6 min after row 1.\n  \
a third reading tells whether they lie on a line\n";
    assert_eq!((ran.code, ran.out.as_str()), (0, wanted));
    let now = fs::read_to_string(folder.path().join("run.tare")).unwrap();
    assert_eq!(now, format!("{text}  | 12:10 | 28.7 |\n"));
    let ran = run_in(folder.path(), &["add", "run.tare", "gross", "3 W"], b"");
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
}

#[test]
fn tidy_writes_the_file_or_only_looks() {
    let folder = folder();
    let path = folder.path().join("untidy.tare");
    fs::write(&path, "assumed   rate=1.3 lb/h\n").unwrap();
    let ran = run_in(folder.path(), &["tidy", "untidy.tare", "--check"], b"");
    assert_eq!((ran.code, ran.out.as_str()), (1, "untidy.tare is not tidy.\n"));
    let ran = run_in(folder.path(), &["tidy", "-"], b"assumed   rate=1.3 lb/h\n");
    assert_eq!((ran.code, ran.out.as_str()), (0, "assumed rate = 1.3 lb/h\n"));
    let ran = run_in(folder.path(), &["tidy", "untidy.tare"], b"");
    assert_eq!((ran.code, ran.out.as_str()), (0, "Tidied untidy.tare.\n"));
    assert_eq!(fs::read_to_string(&path).unwrap(), "assumed rate = 1.3 lb/h\n");
    let ran = run_in(folder.path(), &["tidy", "untidy.tare", "--check"], b"");
    assert_eq!((ran.code, ran.out.as_str()), (0, ""));
}
