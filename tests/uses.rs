//! Worksheets that rest on others: one source for all, files that aren't as they should be,
//! and how a session goes through them.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use tarebook::problem::Severity;
use tarebook::report::compose::Options;
use tarebook::session::{Outcome, Refusal, Session};
use tarebook::sheet::appraisal::Doubt;
use tarebook::sheet::{Reading, Sheet};

const REGISTER: &str = "\
assumed scale_off [lb] = 0 lb ± 0.1 lb from \"checked against a weight\"
table shells from \"the collars\"
| id | tare [lb ± 0.1] |
| red | 17.2 |
| blue | 16.9 |
quoted price [$/gal] = $3.40/gal ± $0.10/gal from \"the yard\"
expect price < $4/gal else \"too dear\"
";

fn put(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        put(folder.path(), name, text);
    }
    folder
}

fn load(folder: &Path, text: &str) -> Sheet {
    Sheet::load(text.to_owned(), Some(folder.to_owned()))
}

/// The value of an entry and its standard uncertainty.
fn value(sheet: &Sheet, name: &str) -> (f64, f64) {
    let cell = sheet.cell(name).unwrap();
    let Reading::Number(number) = sheet.reading(cell) else {
        panic!("`{name}` has no value: {:?}", sheet.problems());
    };
    match sheet.appraise([cell]).doubts.get(&cell) {
        Some(Doubt::One(doubt)) => (number.to_f64(), doubt.standard),
        _ => (number.to_f64(), 0.0),
    }
}

/// What is a problem, in words.
fn problems(sheet: &Sheet) -> Vec<String> {
    let weighs = sheet
        .problems()
        .into_iter()
        .filter(|one| one.severity == Severity::Problem);
    weighs
        .map(|problem| format!("{}: {}", problem.code, problem.message))
        .collect()
}

// ---- one source for all ----

/// Two worksheets that rest on one register, and a difference of theirs; beside it one
/// worksheet with all their lines.
#[test]
fn a_difference_is_as_sure_as_in_one_worksheet() {
    let run = |name: &str, gross: &str, shell: &str| {
        format!(
            "use \"cylinders.tare\" as yard\n\
             measured gross_{name} = {gross} lb ± 0.05 lb\n\
             worked net_{name} [lb] = (gross_{name} - yard.shells.tare of \"{shell}\" - yard.scale_off) * (1 + yard.price / ($40/gal))\n"
        )
    };
    let (first, second) = (run("a", "37.1", "red"), run("b", "29.3", "blue"));
    let last = "answer apart [lb] = NET_a - NET_b + YARD.scale_off / 3\n";
    let used = last
        .replace("NET_a", "one.net_a")
        .replace("NET_b", "two.net_b")
        .replace("YARD", "yard");
    let lines =
        format!("use \"first.tare\" as one\nuse \"second.tare\" as two\nuse \"cylinders.tare\" as yard\n{used}");
    let folder = folder(&[
        ("cylinders.tare", REGISTER),
        ("first.tare", &first),
        ("second.tare", &second),
    ]);
    let through = load(folder.path(), &lines);
    let inner = |text: &str| text.lines().skip(1).collect::<Vec<_>>().join("\n").replace("yard.", "");
    let together = last.replace("NET_", "net_").replace("YARD.", "");
    let whole = load(
        folder.path(),
        &format!("{REGISTER}{}\n{}\n{together}", inner(&first), inner(&second)),
    );
    assert_eq!(problems(&through), Vec::<String>::new());
    let (found, wanted) = (value(&through, "apart"), value(&whole, "apart"));
    assert!(wanted.1 > 0.0);
    assert!(
        (found.0 - wanted.0).abs() <= 1e-12 * wanted.0.abs(),
        "{found:?} {wanted:?}"
    );
    assert!((found.1 - wanted.1).abs() <= 1e-12 * wanted.1, "{found:?} {wanted:?}");
}

#[test]
#[cfg(unix)]
fn a_file_is_one_whatever_its_names() {
    let folder = folder(&[
        ("cylinders.tare", REGISTER),
        ("below/run.tare", "use \"yard.tare\" as y\nworked twice = y.price * 2\n"),
    ]);
    std::os::unix::fs::symlink(folder.path().join("cylinders.tare"), folder.path().join("same.tare")).unwrap();
    // the link leads out of the folder of `run.tare`
    std::os::unix::fs::symlink(
        folder.path().join("cylinders.tare"),
        folder.path().join("below/yard.tare"),
    )
    .unwrap();
    let lines = "use \"cylinders.tare\" as yard\nuse \"same.tare\" as same\nuse \"below/../cylinders.tare\" as up\n\
                 use \"./cylinders.tare\" as here\nanswer apart [$/gal] = yard.price - same.price + (here.price - yard.price)\n\
                 use \"below/run.tare\" as run\n";
    let sheet = load(folder.path(), lines);
    assert_eq!(value(&sheet, "apart"), (0.0, 0.0));
    let told = problems(&sheet);
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told[0].contains("goes up a folder"), "{told:?}");
    assert!(
        told[1].contains("`below/run.tare`, which this rests on: `yard.tare` lies outside"),
        "{told:?}"
    );
    assert_eq!(sheet.used_files().len(), 2);
}

// ---- files that aren't as they should be ----

#[test]
fn files_that_cannot_be_read_are_one_problem_each() {
    let folder = folder(&[("cylinders.tare", REGISTER), ("sub/x.tare", "worked y = 1 lb\n")]);
    fs::write(folder.path().join("bytes.tare"), [0x77, 0xff, 0xfe]).unwrap();
    let long = fs::File::create(folder.path().join("long.tare")).unwrap();
    long.set_len(33 * 1024 * 1024).unwrap();
    let name = folder.path().file_name().unwrap().to_string_lossy().into_owned();
    for (path, told) in [
        ("nothing.tare", "can't be read"),
        ("Cylinders.tare", "can't be read"),
        ("sub", "is no file"),
        ("", "is no file"),
        ("bytes.tare", "isn't UTF-8"),
        ("long.tare", "longer than the 32 MiB"),
        ("sub/../cylinders.tare", "goes up a folder"),
        (&format!("../{name}/cylinders.tare"), "goes up a folder"),
        ("/dev/zero", "outside the worksheet's folder"),
    ] {
        let sheet = load(
            folder.path(),
            &format!("use \"{path}\" as yard\nworked a = yard.price * 2\nworked b = 1 lb\n"),
        );
        let found = problems(&sheet);
        assert_eq!(found.len(), 1, "{path}: {found:?}");
        assert!(found[0].contains(told), "{path}: {found:?}");
        assert_eq!(value(&sheet, "b").0, 1.0);
        assert_eq!(sheet.waits_on(sheet.cell("a").unwrap())[0].0, "yard");
    }
}

/// What a used worksheet rests on is not reached through it, and the problem says what to write.
#[test]
fn names_of_a_third_worksheet_dont_come_along() {
    let folder = folder(&[
        ("a.tare", "worked x = 3 lb\n"),
        ("b.tare", "use \"a.tare\" as a\nworked y = a.x\n"),
    ]);
    let sheet = load(folder.path(), "use \"b.tare\" as b\nanswer z = b.a.x\n");
    let problem = &sheet.problems()[0];
    assert!(
        problem.message.contains("`a` is a worksheet that `b.tare` rests on"),
        "{problem:?}"
    );
    assert!(
        problem.help.as_ref().unwrap().contains("use \"a.tare\" as a"),
        "{problem:?}"
    );
    let sheet = load(
        folder.path(),
        "use \"b.tare\" as b\nuse \"a.tare\" as a\nanswer z = a.x + b.y\n",
    );
    assert_eq!(value(&sheet, "z").0, 6.0);
}

#[test]
fn too_many_and_too_deep() {
    let chain = |count: usize, ends: &str| {
        let folder = folder(&[]);
        for at in 0..count {
            let text = format!("use \"f{}.tare\" as next\nworked x = next.x\n", at + 1);
            put(folder.path(), &format!("f{at}.tare"), &text);
        }
        put(folder.path(), &format!("f{count}.tare"), ends);
        let sheet = load(folder.path(), "use \"f0.tare\" as first\nanswer x = first.x\n");
        (value_or_none(&sheet, "x"), problems(&sheet))
    };
    let (found, told) = chain(1_000, "worked x = 1 lb\n");
    assert_eq!((found, told), (Some(1.0), Vec::new()));
    let (found, told) = chain(2_500, "worked x = 1 lb\n");
    assert_eq!(found, None);
    assert!(told[0].contains("rests on 2000 others at most"), "{told:?}");
    let (found, told) = chain(500, "use \"f0.tare\" as back\nworked x = back.x\n");
    assert_eq!(found, None);
    assert!(
        told[0].contains("these worksheets rest on each other: `f0.tare` → … → `f500.tare` → `f0.tare`"),
        "{told:?}"
    );
}

fn value_or_none(sheet: &Sheet, name: &str) -> Option<f64> {
    match sheet.reading(sheet.cell(name)?) {
        Reading::Number(number) => Some(number.to_f64()),
        _ => None,
    }
}

/// So many worksheets that use one register, and one that uses them all.
fn many(count: usize) -> (tempfile::TempDir, String) {
    let mut register = String::from("assumed scale_off [lb] = 0 lb ± 0.1 lb\ntable shells\n| id | tare [lb ± 0.1] |\n");
    for row in 0..2_000 {
        writeln!(register, "| s{row} | {} |", 16.0 + f64::from(row) / 1000.0).unwrap();
    }
    let folder = folder(&[("cylinders.tare", &register)]);
    let mut lines = String::new();
    for at in 0..count {
        let run = format!(
            "use \"cylinders.tare\" as yard\nmeasured gross = {}.5 lb ± 0.05 lb\nworked net [lb] = gross - yard.shells.tare of \"s{at}\" - yard.scale_off\n",
            30 + at % 9
        );
        put(folder.path(), &format!("run{at}.tare"), &run);
        writeln!(lines, "use \"run{at}.tare\" as r{at}\nworked n{at} = r{at}.net").unwrap();
    }
    (folder, lines)
}

/// The register is read once: the time grows with the number of worksheets alone.
#[test]
fn a_thousand_worksheets_that_use_one_register() {
    let timed = |count: usize| {
        let (folder, lines) = many(count);
        let best = (0..3).map(|_| {
            let begun = Instant::now();
            let sheet = load(folder.path(), &lines);
            let took = begun.elapsed();
            assert_eq!(problems(&sheet), Vec::<String>::new());
            assert_eq!(sheet.used_files().len(), count + 1);
            took
        });
        best.min().unwrap()
    };
    let (few, all) = (timed(250), timed(1_000));
    assert!(all < few * 8, "250 worksheets took {few:?}, 1000 took {all:?}");
    assert!(all < Duration::from_secs(20), "{all:?}");
}

// ---- a session ----

const TONIGHT: &str = "\
use \"cylinders.tare\" as yard
use \"run.tare\" as run7
measured gross [lb] = 37.1 lb ± 0.05 lb
worked net [lb] = gross - yard.shells.tare of \"red\" - yard.scale_off
answer cost [$] = net / (4.2 lb/gal) * yard.price
answer lasts [h] = net / run7.rate_there
case dear
  yard.price = $5/gal
";

const RUN: &str = "\
use \"cylinders.tare\" as y
measured burned = 9.4 lb ± 0.1 lb
worked rate_there [lb/h] = burned / 4 h
worked value_there [$] = burned / (4.2 lb/gal) * y.price
";

fn session() -> (tempfile::TempDir, Session) {
    let folder = folder(&[
        ("cylinders.tare", REGISTER),
        ("run.tare", RUN),
        ("tonight.tare", TONIGHT),
    ]);
    let session = Session::open(&folder.path().join("tonight.tare"), Options::default()).unwrap();
    (folder, session)
}

fn told(outcome: Result<Outcome, Refusal>) -> String {
    match outcome {
        Ok(outcome) => outcome.told.join("\n"),
        Err(refusal) => {
            let words = refusal
                .problems
                .iter()
                .map(|one| format!("{} | {}", one.message, one.help.clone().unwrap_or_default()));
            words.collect::<Vec<_>>().join("\n")
        }
    }
}

#[test]
fn an_input_of_the_other_is_tried_kept_in_a_case_and_never_written() {
    let (folder, mut session) = session();
    let before = fs::read_to_string(folder.path().join("cylinders.tare")).unwrap();
    assert_eq!(
        told(session.try_value("yard.price = $4.10/gal")),
        "Trying `yard.price = $4.10/gal`, exactly; before: $3.40/gal ± $0.10/gal"
    );
    let value_there = session.sheet().cell("run7.value_there").unwrap();
    let Reading::Number(number) = session.sheet().reading(value_there) else {
        panic!()
    };
    assert!((number.to_f64() - 9.4 / 4.2 * 4.1).abs() < 1e-9);
    let kept = told(session.keep());
    assert!(
        kept.contains("`yard.price` stands in `cylinders.tare`, which is never written from here"),
        "{kept}"
    );
    assert!(kept.contains("keep as case"), "{kept}");
    told(session.keep_as_case("tuesday \"the truck\""));
    assert!(
        session
            .sheet()
            .text()
            .contains("case tuesday \"the truck\"\n  yard.price = $4.10/gal\n"),
        "{}",
        session.sheet().text()
    );
    told(session.set_case("dear"));
    assert_eq!(value(session.sheet(), "yard.price").0, 5.0);
    // the other's check fails in this case
    let failing: Vec<String> = session.report().checks.iter().map(|check| check.placed()).collect();
    assert_eq!(failing, ["price < $4/gal (line 7 of cylinders.tare)"]);
    for refused in [
        told(
            session
                .try_value("yard.shells.tare of \"red\" = 17 lb")
                .and_then(|_| session.set_case("base"))
                .and_then(|_| session.keep()),
        ),
        told(session.rename("yard.price", "dearness")),
        told(session.remove("yard.price")),
    ] {
        assert!(
            refused.contains("stands in `cylinders.tare`, which is never written from here"),
            "{refused}"
        );
    }
    assert_eq!(
        fs::read_to_string(folder.path().join("cylinders.tare")).unwrap(),
        before
    );
}

#[test]
fn a_change_on_disk_is_taken_up_and_a_file_that_goes_is_told() {
    let (folder, mut session) = session();
    session.try_value("yard.scale_off = 0.2 lb").unwrap();
    put(
        folder.path(),
        "cylinders.tare",
        &REGISTER.replace("$3.40/gal ±", "$13.60/gal ±"),
    );
    let noticed = session.notice_files().unwrap();
    assert_eq!(noticed.told, ["`cylinders.tare` was changed on disk and is read again"]);
    assert!((value(session.sheet(), "cost").0 - 19.7 / 4.2 * 13.6).abs() < 1e-9);
    fs::remove_file(folder.path().join("cylinders.tare")).unwrap();
    session.notice_files().unwrap();
    let found = problems(session.sheet());
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(
        found[0].starts_with("file-missing: `cylinders.tare` can't be read"),
        "{found:?}"
    );
    assert!(
        found[1].starts_with("file-missing: `run.tare`, which this rests on: `cylinders.tare`"),
        "{found:?}"
    );
    put(folder.path(), "cylinders.tare", REGISTER);
    session.reload().unwrap();
    assert_eq!(problems(session.sheet()), Vec::<String>::new());
    assert!((value(session.sheet(), "lasts").0 - 19.9 / 2.35).abs() < 1e-9);
}

/// An edit in the worksheet leaves what the others give as it was.
#[test]
fn an_edit_gives_what_a_fresh_load_gives() {
    let (folder, session) = session();
    let mut sheet = session.sheet().clone();
    let edits = [
        ("gross [lb] = 37.1", "gross [lb] = 36.1"),
        (
            "use \"run.tare\" as run7\n",
            "-- a remark\nuse \"run.tare\" as run7\n\n",
        ),
        ("as yard", "as court"),
        ("yard", "court"),
        ("as court", "as yard"),
        ("court", "yard"),
        ("use \"run.tare\" as run7\n", ""),
        ("answer cost", "use \"run.tare\" as run7\nanswer cost"),
    ];
    for (old, new) in edits {
        let at = sheet.text().find(old).unwrap();
        let all = if old == "yard" || old == "court" {
            sheet.text().replace(old, new)
        } else {
            sheet.text().replacen(old, new, 1)
        };
        let span = tarebook::text::Span::new(0, sheet.text().len());
        if all.matches(new).count() == 1 || old.len() > 8 {
            sheet.replace(tarebook::text::Span::new(at, at + old.len()), new);
        } else {
            sheet.replace(span, &all);
        }
        let fresh = load(folder.path(), sheet.text());
        assert_eq!(problems(&sheet), problems(&fresh), "{old} {new}");
        for name in ["cost", "lasts", "net"] {
            assert_eq!(
                value_or_none(&sheet, name),
                value_or_none(&fresh, name),
                "{old} {new} {name}"
            );
        }
    }
}

// ---- studies ----

/// What a price of another worksheet does to an answer is shared out, though each side is mixed of
/// the texts of several files.
#[test]
fn a_difference_goes_through_to_the_other_file() {
    let (one, session) = session();
    let other = folder(&[
        ("cylinders.tare", &REGISTER.replace("$3.40/gal ±", "$4.10/gal ±")),
        ("run.tare", RUN),
        ("tonight.tare", &TONIGHT.replace("37.1 lb", "35.1 lb")),
    ]);
    let theirs = Session::open(&other.path().join("tonight.tare"), Options::default()).unwrap();
    let found = tarebook::report::compose::diff::diff(
        session.sheet(),
        (theirs.sheet(), "theirs"),
        Options::default(),
        &|_: usize, _: usize| true,
    );
    let told = format!("{found:?}");
    assert!(told.contains("line 6 of cylinders.tare"), "{told}");
    for name in ["yard.price", "gross"] {
        assert!(told.contains(name), "{told}");
    }
    assert!(!told.contains('ǀ') && !told.contains("can't be shared out"), "{told}");
    drop(one);
}
