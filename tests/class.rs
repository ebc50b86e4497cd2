//! A class of 24 made-up pupils, marked as a teacher would mark by hand.
//!
//! What each answer comes to was worked out on paper; its mark stands beside it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// 41.8 − 17.2 − 1.8 is 22.8 lb; over 1.6 lb/h that is 14.25 h; 42 % of 26.2 lb is 11.004 lb.
const LESSON: &str = "\
# Three sums
measured gross_1 = 41.8 lb from \"scale, hose on\"
quoted tare_1 = 17.2 lb from \"stamp\"
measured hose_1 = 1.8 lb from \"scale\"
worked key_1 [lb] = gross_1 - tare_1 - hose_1
assumed net_1 \"How much propane is in it?\" [lb] = ? from \"your work\"
expect net_1 close to key_1 within 0.05 lb nearly 0.5 lb else \"keep the tenths\" else \"steel and hose weigh too\"
  slip gross_1 - tare_1 \"the hose is still in it\"
  slip gross_1 - hose_1 \"the steel is still in it\"
## A time
quoted rate_2 = 1.6 lb/h from \"weighed run\"
assumed lasts_2 \"How long does that last?\" [h] = ? from \"your work\"
expect lasts_2 close to net_1 / rate_2 within 0.1 h nearly 1 h else \"to a tenth of an hour\" else \"pounds over pounds an hour\"
  slip net_1 * rate_2 / (1 lb2/h2) \"turned around\"
## A limit
quoted water_3 = 26.2 lb from \"stamp, WC\"
assumed most_3 \"How much may be in it?\" [lb] = ? from \"your work\"
expect limit: most_3 close to water_3 * 42 % within 1 % nearly 5 % else \"one digit more\" else \"a share of the water's weight\"
  slip water_3 * 80 % \"80 % is of the volume\"
";

/// A pupil, three answers, and the mark of each: `r`ight, `c`lose, `w`rong, `b`lank, `n`ot readable.
const PUPILS: &[(&str, [&str; 3], &str)] = &[
    ("Ada", ["22.8 lb", "14.25 h", "11.004 lb"], "rrr"),
    ("Bea", ["22.80 lb", "14.3 h", "11 lb"], "rrr"),
    ("Cal", ["10.34 kg", "855 min", "4.99 kg"], "rrr"),
    ("Dov", ["22 lb 13 oz", "14 h 15 min", "11.0 lb"], "rrr"),
    // rounded too far
    ("Edo", ["23 lb", "14 h", "10.6 lb"], "ccc"),
    // 24.6 over 1.6 is 15.375: judged by the pupil's own net weight
    ("Fay", ["24.6 lb", "15.4 h", "20.96 lb"], "wrw"),
    ("Gil", ["24.60 lb", "14.25 h", "21 lb"], "www"),
    ("Hana", ["40 lb", "25 h", "80 %"], "wrn"),
    ("Ike", ["", "14.25 h", ""], "brb"),
    ("Jo", ["", "", ""], "bbb"),
    // no unit, another unit
    ("Kit", ["22.8", "14.25", "11.004"], "nnn"),
    ("Lea", ["22.8 h", "14.25 lb", "$11"], "nnn"),
    // mistyped
    ("Max", ["22,8 lb", "14.25h", "11..0 lb"], "nrn"),
    ("Nia", ["28.2 lb", "14.52 h", "110 lb"], "www"),
    // the second follows from the first
    ("Oz", ["-22.8 lb", "-14.25 h", "-11 lb"], "wrw"),
    // sums in place of numbers: with givens, with brackets, with a step of one's own
    (
        "Pia",
        ["gross_1 - tare_1 - hose_1", "net_1 / rate_2", "42 % * water_3"],
        "rrr",
    ),
    (
        "Quy",
        ["(41.8 - 17.2 - 1.8) * 1 lb", "22.8 lb / (1.6 lb/h)", "0.42 * 26.2 lb"],
        "rrr",
    ),
    ("Rex", ["own_step - hose_1", "14.25 h", "11 lb"], "rrr"),
    // what nobody should try: the lesson's own working, another given, a deleted check, a loose one
    ("Sam", ["key_1", "14.25 h", "11 lb"], "nrr"),
    ("Tia", ["24.6 lb", "15.4 h", "11 lb"], "wrr"),
    ("Uma", ["30 lb", "20 h", "5 lb"], "www"),
    ("Vic", ["25 lb", "15.6 h", "12 lb"], "wrw"),
    // 22.8 × 1.6 is 36.48
    ("Wyn", ["22.8 lb", "36.48 h", "11 lb ± 0.5 lb"], "rwr"),
    ("Zoe", ["about 23 lb", "fourteen", "11,004 lb"], "nnn"),
];

fn paper(answers: &[&str; 3]) -> String {
    let mut text = LESSON.to_owned();
    for (name, answer) in ["net_1", "lasts_2", "most_3"].iter().zip(answers) {
        let at = text.find(&format!("assumed {name} ")).unwrap();
        let blank = at + text[at..].find("= ?").unwrap();
        let filled = if answer.is_empty() {
            "= ?".to_owned()
        } else {
            format!("= {answer}")
        };
        text.replace_range(blank..blank + 3, &filled);
    }
    text
}

fn changed(name: &str, text: &str) -> String {
    match name {
        "Rex" => text.replace("assumed net_1", "worked own_step = gross_1 - tare_1\nworked net_1"),
        "Sam" => text.replace("assumed net_1", "worked net_1"),
        "Tia" => text.replace("gross_1 = 41.8 lb", "gross_1 = 43.6 lb"),
        "Uma" => text
            .lines()
            .filter(|line| !line.contains("expect") && !line.contains("slip"))
            .map(|line| format!("{line}\n"))
            .collect(),
        "Vic" => text.replace("within 0.05 lb nearly 0.5 lb", "within 50 lb nearly 60 lb"),
        "Cal" => text.replace('\n', "\r\n"),
        _ => text.to_owned(),
    }
}

fn class() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("sums.tare"), LESSON).unwrap();
    fs::create_dir(folder.path().join("class")).unwrap();
    for (name, answers, _) in PUPILS {
        let text = changed(name, &paper(answers));
        fs::write(folder.path().join(format!("class/{name}.tare")), text).unwrap();
    }
    folder
}

fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let ran = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (ran.status.code().unwrap(), text(ran.stdout), text(ran.stderr))
}

fn machine(folder: &Path) -> Value {
    let (_, told, _) = run(folder, &["mark", "sums.tare", "class", "--format", "json"]);
    serde_json::from_str(&told).unwrap()
}

fn answer<'a>(told: &'a Value, name: &str, place: usize) -> &'a Value {
    let pupils = told["pupils"].as_array().unwrap();
    &pupils.iter().find(|pupil| pupil["name"] == name).unwrap()["answers"][place]
}

#[test]
fn each_cell_is_marked_as_by_hand() {
    let told = machine(class().path());
    assert_eq!(told["pupils"].as_array().unwrap().len(), 24);
    for (name, answers, marks) in PUPILS {
        for (place, mark) in marks.chars().enumerate() {
            let wanted = match mark {
                'r' => "right",
                'c' => "close",
                'w' => "wrong",
                'b' => "blank",
                _ => "not readable",
            };
            let found = answer(&told, name, place);
            assert_eq!(found["mark"], wanted, "{name}: {} {found}", answers[place]);
        }
    }
}

#[test]
fn hints_fit_what_was_typed() {
    let told = machine(class().path());
    for (name, place, said) in [
        ("Edo", 0, "keep the tenths"),
        ("Edo", 2, "one digit more"),
        ("Fay", 0, "the hose is still in it"),
        ("Hana", 0, "the steel is still in it"),
        ("Fay", 2, "80 % is of the volume"),
        ("Gil", 2, "80 % is of the volume"),
        ("Nia", 0, "steel and hose weigh too"),
        ("Kit", 0, "write `22.8 lb`"),
        ("Sam", 0, "`key_1` leads to the answer of an exercise, and isn't told"),
        ("Vic", 0, "the hose is still in it"),
    ] {
        assert_eq!(answer(&told, name, place)["said"], said, "{name}");
    }
    assert_eq!(answer(&told, "Ada", 0)["said"], Value::Null);
}

#[test]
fn what_was_changed_is_said() {
    let told = machine(class().path());
    let changed = |name: &str| {
        let pupils = told["pupils"].as_array().unwrap();
        let pupil = pupils.iter().find(|pupil| pupil["name"] == name).unwrap();
        serde_json::from_value::<Vec<String>>(pupil["changed"].clone()).unwrap()
    };
    assert_eq!(changed("Tia"), ["`gross_1` is `43.6 lb` in place of `41.8 lb`"]);
    assert_eq!(
        changed("Uma"),
        [
            "the check `net_1 close to …` is gone",
            "the check `lasts_2 close to …` is gone",
            "the check `limit: most_3 close to …` is gone"
        ]
    );
    assert_eq!(changed("Vic"), ["the check `net_1 close to …` was changed"]);
    for name in ["Ada", "Cal", "Rex", "Sam", "Jo"] {
        assert_eq!(changed(name), Vec::<String>::new(), "{name}");
    }
}

/// A lesson that was changed once its papers were out: what all of them have otherwise is told once.
#[test]
fn what_all_have_otherwise_is_told_once() {
    let folder = class();
    let lesson = LESSON.replace("gross_1 = 41.8 lb", "gross_1 = 41.9 lb");
    assert_ne!(lesson, LESSON);
    fs::write(folder.path().join("sums.tare"), lesson).unwrap();
    let (_, told, _) = run(folder.path(), &["mark", "sums.tare", "class", "all"]);
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let many = told.matches("`gross_1` is `41.8 lb` in place of `41.9 lb`").count();
    // all of the 24 but one, who has another weight there
    assert_eq!(many, 23, "{told}");
    fs::remove_file(folder.path().join("class/Tia.tare")).unwrap();
    let (_, told, _) = run(folder.path(), &["mark", "sums.tare", "class", "all"]);
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let wanted = "everybody: `gross_1` is `41.8 lb` in place of `41.9 lb`; the lesson may have been changed since";
    assert!(told.contains(wanted), "{told}");
    assert_eq!(told.matches("in place of `41.9 lb`").count(), 1, "{told}");
}

/// By hand: the hose is in it twice, once more rounded to 25 lb (with another given it is no slip); the
/// marks of each column counted.
#[test]
fn the_class_has_its_line() {
    let told = machine(class().path());
    for (place, column) in [0, 1, 2].into_iter().enumerate() {
        let count = |mark| {
            PUPILS
                .iter()
                .filter(|(_, _, marks)| marks.as_bytes()[column] == mark)
                .count()
        };
        let exercise = &told["exercises"][place];
        let found = ["right", "close", "wrong", "blank", "not readable"].map(|mark| exercise[mark].as_u64().unwrap());
        let wanted = [b'r', b'c', b'w', b'b', b'n'].map(|mark| count(mark) as u64);
        assert_eq!(found, wanted, "{column}");
    }
    let commonest = |place: usize| &told["exercises"][place]["commonest"];
    assert_eq!(commonest(0)["slip"], "the hose is still in it");
    assert_eq!(commonest(0)["count"], 3);
    assert_eq!(commonest(2)["slip"], "80 % is of the volume");
    assert_eq!(commonest(2)["count"], 2);
}

#[test]
fn the_table_is_told_in_every_form() {
    let folder = class();
    let (code, screen, _) = run(folder.path(), &["mark", "sums.tare", "class"]);
    assert_eq!(code, 0);
    assert!(screen.lines().count() <= 24, "{screen}");
    assert!(screen.starts_with("24 pupils: "), "{screen}");
    let (_, all, _) = run(folder.path(), &["mark", "sums.tare", "class", "all"]);
    for (name, _, _) in PUPILS {
        assert!(
            all.lines().any(|line| line.trim_start().starts_with(name)),
            "{name}: {all}"
        );
    }
    let (_, rows, _) = run(folder.path(), &["mark", "sums.tare", "class", "--format", "csv"]);
    assert_eq!(rows.lines().count(), 25);
    assert!(
        rows.contains("Ada,3,3,right,22.8 lb,right,14.25 h,right,11.004 lb,"),
        "{rows}"
    );
    let (_, page, _) = run(folder.path(), &["mark", "sums.tare", "class", "--format", "html"]);
    assert!(page.contains("The mark of each pupil in each exercise"));
}

#[test]
fn a_pupil_has_a_note() {
    let folder = class();
    let note = |pupil: &str, format: &str| {
        run(
            folder.path(),
            &["mark", "sums.tare", "class", "--pupil", pupil, "--format", format],
        )
    };
    let (_, told, _) = note("Fay", "markdown");
    assert!(
        told.starts_with("# Fay: 1 of 3 right") && told.contains("The hose is still in it."),
        "{told}"
    );
    assert!(!told.contains("22.8") && !told.contains("Ada"), "{told}");
    let (_, all, _) = note("each", "markdown");
    assert_eq!(all.matches("\n# ").count() + 1, 24, "{all}");
    assert!(all.contains(&told), "{all}");
    let (_, page, _) = note("each", "html");
    assert_eq!(page.matches("break-before: page").count(), 23);
    let (_, rows, _) = note("each", "csv");
    assert_eq!(rows.lines().count(), 1 + 24 * 3, "{rows}");
    let (code, _, told) = note("Fey", "text");
    assert!(code == 2 && told.contains("`Fay`"), "{told}");
}

#[test]
fn pupils_are_called_like_their_folders_or_files() {
    let folder = tempfile::tempdir().unwrap();
    let at = |path: &str| folder.path().join(path);
    fs::write(at("sums.tare"), LESSON).unwrap();
    for (path, answer) in [
        ("class/Ana/sums.tare", "22.8 lb"),
        ("class/Ben/mine.tare", "24.6 lb"),
        ("class/Cy-sums.tare", "22.8 lb"),
        ("class/sums_Di.tare", ""),
        ("class/two/a.tare", ""),
        ("class/two/b.tare", ""),
        ("class/.hidden/sums.tare", ""),
        ("class/Fe/notes.txt", ""),
    ] {
        fs::create_dir_all(at(path).parent().unwrap()).unwrap();
        fs::write(at(path), paper(&[answer, "", ""])).unwrap();
    }
    fs::write(at("class/Gus.tare"), [0xFF, 0xFE, 0x00]).unwrap();
    fs::write(at("class/Hal.tare"), "# Something else\nassumed air = 24 °F\n").unwrap();
    let told = machine(folder.path());
    let names: Vec<&str> = told["pupils"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pupil| pupil["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["Ana", "Ben", "Cy", "Di", "Gus", "Hal", "two"]);
    assert_eq!(answer(&told, "Ben", 0)["mark"], "wrong");
    assert_eq!(answer(&told, "Gus", 0)["mark"], "not readable");
    assert_eq!(answer(&told, "Hal", 0)["mark"], "blank");
    let (code, _, told) = run(folder.path(), &["mark", "sums.tare", "nowhere"]);
    assert!(code == 2 && told.contains("nowhere"), "{told}");
    fs::create_dir(at("empty")).unwrap();
    let (code, _, told) = run(folder.path(), &["mark", "sums.tare", "empty"]);
    assert!(code == 2 && told.contains("no worksheet"), "{told}");
    let (code, _, told) = run(folder.path(), &["mark", "class/Hal.tare", "class"]);
    assert!(code == 2 && told.contains("no exercises"), "{told}");
}

/// What pupils write, and what they are told to type; each of those is taken.
const WRITTEN: &[(&str, &str, &str)] = &[
    ("[lb]", "12 1/4 lb", "12.25 lb"),
    ("[lb]", "3 1/3 lb", "(3 + 1/3) * 1 lb"),
    ("[lb]", "about 11 lb", "11 lb"),
    ("[lb]", "~11 lb", "11 lb"),
    ("[lb]", "ca. 11 lb", "11 lb"),
    ("[lb]", "11 lb.", "11 lb"),
    ("[lb]", "= 11 lb", "11 lb"),
    ("[lb/h]", "1.8 lb per h", "1.8 lb/h"),
    ("[lb/h]", "1.8 lbs per hour", "1.8 lb/h"),
    ("[$/kWh]", "$2.03 per kWh", "$2.03/kWh"),
    ("[C°]", "15.6 deg C", "15.6 C°"),
    ("[°F]", "15.6 degrees F", "15.6 °F"),
    ("[$/lb]", "78 ¢/lb", "$0.78/lb"),
    ("[h]", "2 1/2 hours", "2.5 h"),
    ("[each]", "two", "2 each"),
    ("[lb]", "three lb", "3 lb"),
    ("[lb]", "12 lbs", "lb"),
    ("[$/each]", "$19.50 each", "$19.50/each"),
    ("[$/each]", "$19.50 apiece", "$19.50/each"),
    ("", "$19.50 per cylinder", "$19.50/each"),
    ("", "$19.50 a bottle", "$19.50/each"),
    ("", "15 lb each", "15 lb/each"),
    ("[h]", "6 hours", "h"),
    ("[h]", "6 hr", "h"),
];

#[test]
fn what_pupils_write_is_answered_with_what_to_type() {
    let problems = |unit: &str, value: &str| {
        let text = format!("assumed x \"a = b\" {unit} = {value} from \"your work\"\n");
        let options = tarebook::report::compose::Options::default();
        tarebook::session::Session::of_text("x.tare", text, &[], options).problems()
    };
    for (unit, written, meant) in WRITTEN {
        let found = problems(unit, written);
        assert_eq!(found.len(), 1, "{written}: {found:#?}");
        let help = found[0].help.as_deref().unwrap_or("");
        assert!(help.starts_with(&format!("write `{meant}`")), "{written}: {help}");
        if meant.contains(|c: char| c.is_ascii_digit()) {
            assert!(problems(unit, meant).is_empty(), "{meant}");
        }
    }
    // what isn't clear isn't guessed
    for unclear in ["12 apples", "about", "1/0 lb per", "12 1/0 lb"] {
        assert!(!problems("[lb]", unclear).is_empty(), "{unclear}");
    }
}

#[test]
fn a_formula_behind_assumed_is_one_problem() {
    let text = "measured a = 3 lb\nmeasured b = 2 lb\nassumed x [lb] = (a - b) * a / b from \"your work\"\n";
    let options = tarebook::report::compose::Options::default();
    let found = tarebook::session::Session::of_text("x.tare", text.to_owned(), &[], options).problems();
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].help.as_deref().unwrap().contains("`worked`"));
    // what else is wrong in its line is told too
    let text = text.replace("(a - b)", "(a - bb)");
    let found = tarebook::session::Session::of_text("x.tare", text, &[], options).problems();
    let codes: Vec<&str> = found.iter().map(|problem| problem.code.as_str()).collect();
    assert_eq!(codes, ["not-constant", "unknown-name"]);
}

/// By hand: 41.8 − 17.2 − 1.8 is 22.8 lb, and with Ana's 38.4 lb it is 19.4 lb.
#[test]
fn a_pupil_is_marked_by_the_case_of_that_name() {
    let folder = tempfile::tempdir().unwrap();
    let ana = "case ana_lee \"Ana Lee\"\n  gross_1 = 38.4 lb\ncase bea \"Bea\"\n  net_1 = 1 lb\n";
    fs::write(folder.path().join("sums.tare"), format!("{LESSON}{ana}")).unwrap();
    fs::create_dir(folder.path().join("class")).unwrap();
    for (name, net) in [("Ana Lee", "19.4 lb"), ("Bea", "22.8 lb"), ("Cal", "19.4 lb")] {
        let text = paper(&[net, "", ""]) + ana;
        fs::write(folder.path().join(format!("class/{name}.tare")), text).unwrap();
    }
    let told = machine(folder.path());
    // a case that fills in a blank counts for nothing
    for (name, mark, case) in [
        ("Ana Lee", "right", Value::from("ana_lee")),
        ("Bea", "right", Value::Null),
        ("Cal", "wrong", Value::Null),
    ] {
        assert_eq!(answer(&told, name, 0)["mark"], mark, "{name}");
        let pupils = told["pupils"].as_array().unwrap();
        let pupil = pupils.iter().find(|pupil| pupil["name"] == name).unwrap();
        assert_eq!(pupil["case"], case, "{name}");
    }
    let (_, shown, _) = run(folder.path(), &["mark", "sums.tare", "class"]);
    assert!(
        shown.contains("Marked by the case that is called so: Ana Lee."),
        "{shown}"
    );
    let (_, note, _) = run(folder.path(), &["mark", "sums.tare", "class", "--pupil", "Ana Lee"]);
    assert!(note.contains("Marked by the numbers of the case ana_lee"), "{note}");
    // and so the pupil checks
    let file = "class/Ana Lee.tare";
    let (_, told, _) = run(folder.path(), &["check", file, "--case", "ana_lee"]);
    assert!(told.contains("holds           net_1"), "{told}");
    let (_, told, _) = run(folder.path(), &["check", file]);
    assert!(told.contains("does not hold   net_1"), "{told}");
    assert_eq!(run(folder.path(), &["check", file, "--case", "anna_lee"]).0, 2);
}

#[test]
fn a_question_without_a_check_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let more = "assumed left_4 \"How much is left?\" [lb] = ? from \"your work\"\n";
    fs::write(folder.path().join("sums.tare"), format!("{LESSON}{more}")).unwrap();
    fs::create_dir(folder.path().join("class")).unwrap();
    fs::write(folder.path().join("class/Ada.tare"), paper(&["22.8 lb", "", ""])).unwrap();
    let told = machine(folder.path());
    assert!(
        told["lesson"][0].as_str().unwrap().contains("`left_4` is not checked"),
        "{told}"
    );
    assert_eq!(told["exercises"].as_array().unwrap().len(), 3);
}
