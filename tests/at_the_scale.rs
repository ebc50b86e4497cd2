//! What somebody at the scale types wrongly, late or in part, and what is said on the spot: no swap
//! time from two cylinders, a hose that hung there after all, a reading of the evening before.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// A run of an evening at 1.3 lb/h, the hose of 1.1 lb on at half of its weighings.
const RUN: &str = "quoted tare = 17.9 lb ± 0.2 lb\ntable run\n  | time ± 2 min | gross [lb ± 0.1] | hose |\n  \
    | 18:05        | 37.3             | off  |\n  | 19:35        | 36.5             | on   |\n  \
    | 21:10        | 33.3             | off  |\n  | 22:40        | 32.5             | on   |\n";
const LATER: &str = "  | 0:15         | 30.4             | on   |\n  | 1:45         | 27.4             | off  |\n";
const ANSWERS: &str = "answer rate [lb/h] = burn_rate(run.time, run.gross, attached: run.hose = \"on\")\n\
    answer hose = attached_weight(run.time, run.gross, run.hose = \"on\")\n\
    answer swap = reaches(run.time, run.gross, tare + 7 lb, attached: run.hose = \"on\")\n";

struct Kitchen {
    folder: tempfile::TempDir,
}

impl Kitchen {
    fn with(worksheet: &str) -> Kitchen {
        let folder = tempfile::tempdir_in("/dev/shm").unwrap_or_else(|_| tempfile::tempdir().unwrap());
        fs::write(folder.path().join("r.tare"), worksheet).unwrap();
        Kitchen { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    /// What is printed, answers and refusals, in one line.
    fn types(&self, arguments: &[&str]) -> String {
        let done = Command::new(env!("CARGO_BIN_EXE_tarebook"))
            .args(arguments)
            .current_dir(self.folder.path())
            .env("XDG_STATE_HOME", self.folder.path())
            .env("COLUMNS", "80")
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let told = [done.stdout, done.stderr].concat();
        let told = String::from_utf8(told).unwrap();
        told.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn adds(&self, cells: &[&str]) -> String {
        self.types(&[&["add", "r.tare"], cells].concat())
    }

    /// Where one of these stands, which must be there.
    fn says(told: &str, wanted: &str) -> usize {
        told.find(wanted).unwrap_or_else(|| panic!("{wanted}\n{told}"))
    }
}

fn whole(rows: &str) -> String {
    format!("{RUN}{rows}{ANSWERS}")
}

/// A fresh cylinder of 38.2 lb behind one of 27.4, and of 39.0 lb behind one of 33.3.
#[test]
fn another_cylinder_gives_no_swap_time() {
    for (rows, reading, rise) in [
        (LATER, ["3:30", "38.2", "off"], "from 27.4 lb to 38.2 lb"),
        ("", ["0:15", "39.0", "off"], "from 32.5 lb to 39 lb"),
    ] {
        let kitchen = Kitchen::with(&whole(rows));
        let told = kitchen.adds(&reading);
        let rises = format!("the weight rises {rise}: a new cylinder?");
        Kitchen::says(&told, &format!("rate, hose and swap can't be told any more: {rises}"));
        Kitchen::says(&told, "begin a table of its own for it");
        Kitchen::says(&told, "misread?");
        let shown = kitchen.types(&["show", "r.tare"]);
        let first = Kitchen::says(&shown, &rises[1..]);
        assert!(first < Kitchen::says(&shown, "swap has a problem"), "{shown}");
        assert_eq!(
            shown.matches("r.tare, line").count(),
            1,
            "one cause, one problem: {shown}"
        );
        kitchen.types(&["handout", "r.tare", "--card", "-o", "c.html"]);
        let card = kitchen.read("c.html");
        assert!(Kitchen::says(&card, &rises[1..]) < Kitchen::says(&card, "has a problem"));
    }
}

/// A rise of less, such as of a hose that nobody noted, is remarked before everything else, also
/// on a screen that is full and on a card.
#[test]
fn what_speaks_against_readings_stands_first() {
    let mut full = whole(LATER).replace("30.4             | on", "34.4             | on");
    for number in 0..12 {
        full.push_str(&format!(
            "answer more_{number} = swap + {number} h\nexpect more_{number} < 12:00\n"
        ));
    }
    let kitchen = Kitchen::with(&full);
    let shown = kitchen.types(&["show", "r.tare"]);
    let remark = "The weighing at 00:15 (+1 d) is ";
    assert!(Kitchen::says(&shown, remark) < Kitchen::says(&shown, "rate"), "{shown}");
    assert!(!shown.contains("Notes: off-the-line"), "{shown}");
    kitchen.types(&["handout", "r.tare", "--card", "-o", "c.html"]);
    let card = kitchen.read("c.html");
    assert!(Kitchen::says(&card, remark) < Kitchen::says(&card, "id=\"clocks\""));
}

#[test]
fn a_reading_that_is_off_by_the_hose_is_asked_for_the_hose() {
    let kitchen = Kitchen::with(&whole(""));
    let told = kitchen.adds(&["0:15", "30.4", "off"]);
    let hose = Kitchen::says(&told, "as much as hangs there");
    let mended = Kitchen::says(&told, "hose on? `run.hose of 00:15 = \"on\"`, `keep`");
    assert!(hose < mended && mended < Kitchen::says(&told, "misread?"), "{told}");
    // what doesn't fit in a line is cut before its bracket
    Kitchen::says(&told, "k=4.53 df=2… 1.1 lb above the line");
    let kitchen = Kitchen::with(&whole(""));
    let told = kitchen.adds(&["0:15", "28.1", "off"]);
    Kitchen::says(&told, "misread?");
    assert!(!told.contains("hose on?"), "another amount: {told}");
}

#[test]
fn a_word_in_other_letters_is_that_word() {
    let kitchen = Kitchen::with(&whole(LATER));
    Kitchen::says(&kitchen.adds(&["3:30", "26.2", "On"]), "26.2 lb, on;");
    assert!(
        kitchen
            .read("r.tare")
            .contains("| 3:30         | 26.2             | on   |")
    );
    let empty = "table run\n  | time | gross [lb] | hose |\n";
    let kitchen = Kitchen::with(&format!("quoted tare = 17.9 lb\n{empty}{ANSWERS}"));
    Kitchen::says(&kitchen.adds(&["18:05", "37.3", "Off"]), "37.3 lb, off.");
}

#[test]
fn a_reading_entered_late_is_asked_for_its_day() {
    let kitchen = Kitchen::with(&whole(LATER));
    let before = kitchen.read("r.tare");
    let told = kitchen.adds(&["20:20", "34.4", "off"]);
    Kitchen::says(&told, "which day is it of?");
    Kitchen::says(&told, "`time 20:20 (+0 d)`, or `time 20:20 (+1 d)`");
    assert_eq!(kitchen.read("r.tare"), before);
    let told = kitchen.adds(&["20:20 (+0 d)", "34.4", "off"]);
    Kitchen::says(&told, "45 min after row 2, between the others.");
    Kitchen::says(&told, "on the line");
    let kitchen = Kitchen::with(&whole(LATER));
    Kitchen::says(
        &kitchen.adds(&["20:20 (+1 d)", "19.0", "off"]),
        "18 h 35 min after row 6.",
    );
    // one reading a day is no late one
    let daily =
        "table run\n  | time | gross [lb] |\n  | 18:00 | 90 |\n  | 18:10 (+1 d) | 80 |\n  | 18:05 (+2 d) | 70 |\n";
    let kitchen = Kitchen::with(daily);
    Kitchen::says(&kitchen.adds(&["18:20 (+3 d)", "60"]), "Row 4 of `run`");
}

#[test]
fn a_weight_without_its_hose_is_not_taken() {
    let kitchen = Kitchen::with(&whole(LATER));
    let before = kitchen.read("r.tare");
    let told = kitchen.adds(&["3:30", "26.2"]);
    Kitchen::says(
        &told,
        "`hose` is missing, and `run.hose = \"on\"` tells what hung there",
    );
    Kitchen::says(&told, "say `on` or `off` too");
    assert_eq!(kitchen.read("r.tare"), before);
    let kitchen = Kitchen::with(&whole(&format!("{LATER}  | 3:30 | 26.2 | |\n")));
    let shown = kitchen.types(&["show", "r.tare"]);
    assert!(Kitchen::says(&shown, "`hose` is missing in row 7") < Kitchen::says(&shown, "rate"));
    assert_eq!(shown.matches("r.tare, line").count(), 1, "{shown}");
}

#[test]
fn a_second_row_of_one_name_is_asked_for() {
    let stock = "table stock\n  | shell | net [lb] |\n  | red | 18 |\n  | blue | 12 |\n";
    let kitchen = Kitchen::with(stock);
    let told = kitchen.adds(&["stock", "Red", "19.2"]);
    Kitchen::says(&told, "`red` stands there already, in row 1");
    Kitchen::says(&told, "`stock.net of \"red\" = 19.2 lb` changes it");
    assert_eq!(kitchen.read("r.tare"), stock);
    Kitchen::says(&kitchen.adds(&["stock", "\"red\"", "19.2"]), "Row 3 of `stock`");
    Kitchen::says(&kitchen.adds(&["stock", "blue", "3"]), "Row 4 of `stock`");
    let twice = format!(
        "{stock}  | red | 19.2 |\ntable day\n  | hours [h] | rate [lb/h] |\n  | 24 | 1.3 |\n\
         table plan = swap_plan(day.hours, day.rate, stock.net, 2 lb, names: stock.shell)\nanswer rows = count(plan.cylinder)\n"
    );
    let told = Kitchen::with(&twice).types(&["show", "r.tare", "cautions"]);
    Kitchen::says(&told, "Rows 1 and 3 of these cylinders have one name");
}

#[test]
fn a_date_in_part_is_not_taken_for_a_text() {
    let shells = "table shells\n  | id | tare [lb] | made | method |\n";
    let kitchen = Kitchen::with(shells);
    for (typed, meant) in [
        ("2019-04", "2019-04-01"),
        ("04-19", "2019-04-01"),
        ("4/2019", "2019-04-01"),
        ("4/17/2019", "2019-04-17"),
        ("12/1/2026 18:00", "2026-12-01 18:00"),
    ] {
        let told = kitchen.adds(&["shells", "red", "17.9", typed, "none"]);
        Kitchen::says(&told, &format!("write `{meant}`"));
    }
    assert_eq!(kitchen.read("r.tare"), shells);
    Kitchen::says(&kitchen.adds(&["shells", "red", "17.9", "2019-04-01", "none"]), "Row 1");
    let kitchen = Kitchen::with("table log\n  | when | gross [lb] |\n");
    Kitchen::says(&kitchen.adds(&["12/1/2026 18:00", "33"]), "write `2026-12-01 18:00`");
}

#[test]
fn what_is_typed_otherwise_is_answered_with_what_to_type() {
    let kitchen = Kitchen::with(&whole(LATER));
    Kitchen::says(&kitchen.adds(&["gross", "37,3", "hose", "off"]), "write `37.3`");
    Kitchen::says(
        &kitchen.adds(&["2:45", "am", "27.2", "on"]),
        "Row 7 of `run`: 02:45, 27.2 lb, on",
    );
    for (line, wanted) in [
        ("quoted price [$/lb] = 93 c/lb", "write `$0.93/lb`"),
        ("worked late [h] = swap - 22:40", "`22:40 (+0 d)` or `22:40 (+1 d)`"),
        ("worked twice [lb] = gross * 2", "write `run.gross`"),
        (
            "worked on_hose = count(run.gross where run.hose = on)",
            "write `\"on\"`, if that text is meant",
        ),
    ] {
        let kitchen = Kitchen::with(&format!("{}{line}\n", whole(LATER)));
        Kitchen::says(&kitchen.types(&["check", "r.tare"]), wanted);
    }
}

#[test]
fn times_to_get_up_at_are_told_in_full() {
    let stock = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/three-day-stock.tare");
    let shown = Kitchen::with("").types(&["show", stock]);
    let times = &shown[Kitchen::says(&shown, "change_at")..Kitchen::says(&shown, "buy")];
    assert_eq!(times.matches(" d)").count(), 4, "{times}");
    assert!(!times.contains('…'), "{times}");
}
