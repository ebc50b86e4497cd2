//! Checks that mark an answer: what they say of it, and that nothing ever tells what it should be.
//!
//! Verdicts are counted by hand. The secret values have digits that occur nowhere else, so that
//! they are found wherever they are told: in every verb and form, in the session, in the editor.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use tarebook::report::compose::Options;
use tarebook::report::live;
use tarebook::report::model::Check;
use tarebook::session::Session;

/// 41.77 − 17.2 − 1.84 is 22.73 lb, which is 10.31 kg; (61.9 − 38.2) × 5/9 is 13.1667 C°.
const LESSON: &str = "\
# A lesson of one's own
## Worked
measured shown = 30 lb ± 0.1 lb from \"scale\"
answer in_kg [kg] = shown
expect in_kg <= 20 kg
## Exercise 1
measured gross_1 = 41.77 lb ± 0.1 lb from \"scale\"
quoted tare_1 = 17.2 lb from \"stamp\"
worked steel_1 [lb] = tare_1 + 1.84 lb
worked key_1 [lb] = gross_1 - steel_1
assumed net_1 \"How much propane is in it?\" [lb] = ? from \"your work\"
expect fuel: net_1 close to key_1 within 0.05 lb nearly 0.5 lb else \"keep the tenths\" else \"steel and hose weigh too\"
  slip gross_1 - tare_1 \"the hose is still in it\"
  slip key_1 * 0.45359237 \"that is kilograms\"
## Exercise 2
quoted dusk_2 = 61.9 °F from \"thermometer\"
quoted dawn_2 = 38.2 °F from \"thermometer\"
assumed fall_2 \"How far did it fall, in C°?\" [C°] = ? from \"your work\"
expect fall_2 close to 13.1667 C° within 1 % nearly 5 % else \"rounded too far\" else \"subtract first\"
  slip 42.66 C° \"nine fifths, turned around\"
plot loads.watts over loads.hours
table loads
  | item | watts [W] | hours [h/d] |
  | fan  | 560       | 14          |
  | lamp | 60        | 5           |
case colder
  dawn_2 = 30.2 °F
";

/// What nothing may tell, as it would be written: the answers, the steps to them, the slips.
const SECRETS: &[&str] = &["22.7", "19.04", "13.1", "13.2", "10.31", "24.57", "42.6", "42.7"];

fn with(answers: &[(&str, &str)]) -> String {
    answers.iter().fold(LESSON.to_owned(), |text, (name, answer)| {
        let lines = text
            .lines()
            .map(|line| match line.contains(&format!("assumed {name} ")) {
                true => line.replace("= ?", &format!("= {answer}")),
                false => line.to_owned(),
            });
        lines.map(|line| line + "\n").collect()
    })
}

fn checks(answers: &[(&str, &str)]) -> Vec<Check> {
    let session = Session::of_text("lesson.tare", with(answers), &[], Options::default());
    assert!(session.problems().is_empty(), "{:#?}", session.problems());
    session.report().checks
}

fn check(name: &str, answer: &str, verdict: &str, said: Option<&str>) {
    let checks = checks(&[(name, answer)]);
    let found = checks.iter().find(|check| check.text.contains(name)).unwrap();
    assert_eq!(found.verdict(), verdict, "{name} = {answer}");
    assert_eq!(found.message.as_deref(), said, "{name} = {answer}");
    assert_eq!(
        (&found.compared, &found.remark, found.either_way),
        (&None, &None, false)
    );
}

#[test]
fn answers_are_right_nearly_right_slips_or_wrong() {
    for right in ["22.73 lb", "22.7 lb", "22 lb 12 oz", "10.31 kg", "22.78 lb", "22.68 lb"] {
        check("net_1", right, "holds", None);
    }
    for near in ["22.5 lb", "23 lb", "22.79 lb", "23.23 lb", "10.2 kg"] {
        check("net_1", near, "close", Some("keep the tenths"));
    }
    // 24.57, and as it is rounded
    for slip in ["24.57 lb", "24.6 lb", "25 lb"] {
        check("net_1", slip, "does not hold", Some("the hose is still in it"));
    }
    check("net_1", "10.31 lb", "does not hold", Some("that is kilograms"));
    check("net_1", "17 lb", "does not hold", Some("steel and hose weigh too"));
    check("net_1", "-22.73 lb", "does not hold", Some("steel and hose weigh too"));
    // 1 % of 13.1667 is 0.132, 5 % of it 0.658
    for right in ["13.2 C°", "13.04 C°", "23.7 F°"] {
        check("fall_2", right, "holds", None);
    }
    check("fall_2", "13 C°", "close", Some("rounded too far"));
    check("fall_2", "42.7 C°", "does not hold", Some("nine fifths, turned around"));
    check("fall_2", "9 C°", "does not hold", Some("subtract first"));
}

#[test]
fn a_share_counts_in_points() {
    let text = |answer: &str| {
        format!(
            "assumed part [%] = {answer}\nassumed half [%] = 8 %\n\
             expect part close to half within 0.2 % nearly 1 % else \"nearly\" else \"off\"\n"
        )
    };
    for (answer, verdict) in [
        ("8.2 %", "holds"),
        ("7.79 %", "close"),
        ("9 %", "close"),
        ("9.1 %", "does not hold"),
    ] {
        let session = Session::of_text("share.tare", text(answer), &[], Options::default());
        assert_eq!(session.report().checks[0].verdict(), verdict, "{answer}");
    }
}

#[test]
fn clock_times_and_temperatures_are_marked_in_their_own_distance() {
    let text = "assumed off = 21:43\nexpect off close to 21:40 within 5 min else \"early\"\n\
                assumed cold [°F] = -5 °F\nexpect cold close to -4 °F within 1 F° else \"warm\"\n\
                expect cold close to -2 °F within 1 C° else \"warm\"\n";
    let session = Session::of_text("times.tare", text.to_owned(), &[], Options::default());
    assert!(session.problems().is_empty(), "{:#?}", session.problems());
    let verdicts: Vec<&str> = session.report().checks.iter().map(Check::verdict).collect();
    assert_eq!(verdicts, ["holds", "holds", "does not hold"]);
}

fn run(folder: &Path, arguments: &[&str], typed: &str) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let _ = input.write_all(typed.as_bytes());
    drop(input);
    let ran = child.wait_with_output().unwrap();
    String::from_utf8_lossy(&ran.stdout).into_owned() + &String::from_utf8_lossy(&ran.stderr)
}

fn tells_nothing(told: &str, asked: &str) {
    for secret in SECRETS {
        let at = told.find(secret);
        let near = at.map(|at| told[..at].lines().last().unwrap_or("").to_owned() + &told[at..told.len().min(at + 60)]);
        assert_eq!(near, None, "{asked} tells {secret}:\n{told}");
    }
}

/// As a pupil has it before, with a wrong answer, and nearly right.
const STATES: &[&[(&str, &str)]] = &[
    &[],
    &[("net_1", "17 lb"), ("fall_2", "9 C°")],
    &[("net_1", "23 lb"), ("fall_2", "13 C°")],
];

#[test]
fn no_verb_tells_an_answer_in_any_form() {
    let folder = tempfile::tempdir().unwrap();
    for state in STATES {
        fs::write(folder.path().join("a.tare"), with(state)).unwrap();
        fs::write(folder.path().join("b.tare"), with(&[("net_1", "19 lb")])).unwrap();
        let studies: &[&[&str]] = &[
            &["show", "a.tare"],
            &["show", "a.tare", "all"],
            &["show", "a.tare", "checks"],
            &["show", "a.tare", "answers"],
            &["check", "a.tare"],
            &["why", "a.tare", "net_1"],
            &["why", "a.tare", "key_1"],
            &["why", "a.tare", "in_kg"],
            &["doubt", "a.tare"],
            &["doubt", "a.tare", "net_1"],
            &["doubt", "a.tare", "key_1"],
            &["compare", "a.tare"],
            &["compare", "a.tare", "all"],
            &["audit", "a.tare"],
            &["audit", "a.tare", "all"],
            &["leeway", "a.tare"],
            &[
                "sweep", "a.tare", "net_1", "--from", "16 lb", "--to", "25 lb", "--values", "19",
            ],
            &["sweep", "a.tare", "fall_2", "--from", "5 C°", "--to", "50 C°"],
            &["sweep", "a.tare", "gross_1", "--from", "40 lb", "--to", "43 lb"],
            &["sweep", "a.tare", "key_1", "--from", "1 lb", "--to", "2 lb"],
            &["aim", "a.tare", "key_1=5 lb", "--varying", "gross_1"],
            &["aim", "a.tare", "in_kg=12 kg", "--varying", "shown"],
            &["diff", "a.tare", "b.tare"],
            &["audit", "a.tare", "--against", "b.tare"],
        ];
        for asked in studies {
            for format in ["text", "markdown", "html", "json", "csv"] {
                let told = run(folder.path(), &[asked, &["--format", format][..]].concat(), "");
                tells_nothing(&told, &format!("{asked:?} --format {format}"));
            }
        }
        for asked in [
            &["handout", "a.tare"][..],
            &["handout", "a.tare", "--pupil"],
            &["handout", "a.tare", "--card"],
            &["handout", "a.tare", "--case", "colder"],
        ] {
            tells_nothing(&run(folder.path(), asked, ""), &format!("{asked:?}"));
        }
    }
}

#[test]
fn the_session_tells_no_answer() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "key_1\nsteel_1\nkey_1 + 1 lb\nkey_1 = 3 lb\nnet_1 = key_1\nwhy key_1\ndoubt key_1\nshow key_1\n\
        plot key_1 over gross_1\nshow all\nnet_1 = 16 lb\nnet_1 = 23 lb\nwhy fuel\nshow checks\nshow fuel\nuse colder\ncompare\nhelp key_1\n\
        sweep net_1 from 16 lb to 25 lb\nleeway\nundo\nanswer mine [lb] = key_1\nmine\nrename key_1 other_1\nquit\nn\n";
    for state in STATES {
        fs::write(folder.path().join("a.tare"), with(state)).unwrap();
        let told = run(folder.path(), &["open", "a.tare"], typed);
        // a line of one's own that takes the key is a line of the file, and no exercise any more
        let (told, _) = told.split_once("mine").unwrap_or((&told, ""));
        tells_nothing(told, "the session");
    }
}

#[test]
fn the_page_tells_no_answer() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a.tare");
    for state in STATES {
        fs::write(&file, with(state)).unwrap();
        let session = Session::open(&file, Options::default()).unwrap();
        let pieces = live::pieces(&session.live());
        tells_nothing(&pieces.answers, "the page's answers");
        tells_nothing(&pieces.worksheet, "the page's worksheet");
        assert!(pieces.worksheet.contains("data-name=\"net_1\""));
    }
}

#[test]
fn the_editor_tells_no_answer() {
    let folder = tempfile::tempdir().unwrap();
    for state in STATES {
        let text = with(state);
        let mut stream = String::new();
        let mut say = |message: serde_json::Value| {
            let body = message.to_string();
            write!(stream, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
        };
        let document = serde_json::json!({ "uri": "file:///a.tare" });
        say(serde_json::json!({ "jsonrpc": "2.0", "id": 0, "method": "initialize", "params": { "capabilities": {} } }));
        say(serde_json::json!({ "jsonrpc": "2.0", "method": "initialized", "params": {} }));
        say(
            serde_json::json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": { "textDocument": {
            "uri": "file:///a.tare", "languageId": "tarebook", "version": 1, "text": text } } }),
        );
        let mut id = 1;
        for (line, written) in text.lines().enumerate() {
            for character in (0..written.len()).step_by(3) {
                let place = serde_json::json!({ "line": line, "character": character });
                for method in ["textDocument/hover", "textDocument/completion"] {
                    let params = serde_json::json!({ "textDocument": document, "position": place });
                    say(serde_json::json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
                    id += 1;
                }
            }
        }
        let all = serde_json::json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } });
        for method in [
            "textDocument/documentSymbol",
            "textDocument/inlayHint",
            "textDocument/foldingRange",
        ] {
            let params = serde_json::json!({ "textDocument": document, "range": all });
            say(serde_json::json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
            id += 1;
        }
        say(serde_json::json!({ "jsonrpc": "2.0", "id": id, "method": "shutdown" }));
        say(serde_json::json!({ "jsonrpc": "2.0", "method": "exit" }));
        let told = run(folder.path(), &["serve"], &stream);
        assert!(told.len() > 10_000, "{}", told.len());
        tells_nothing(&told, "the editor");
    }
}

/// The key alone tells: 22.73 lb and 13.17 C°, each by its formula.
#[test]
fn the_key_tells_them() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.tare"), with(&[])).unwrap();
    let key = run(folder.path(), &["handout", "a.tare", "--key"], "");
    assert!(key.contains("22.73") && key.contains("13.17"), "{key}");
}
