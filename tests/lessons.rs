//! The lessons: tidy, without a problem or a remark, listed for the teacher; each
//! exercise can't be told while it is blank, holds with the right answer and with
//! the right answer as people round it, and doesn't hold with the usual slips, with
//! the sentence that helps.
//!
//! The answers were worked out by hand from the printed numbers, the arithmetic
//! beside each; where it says Python, by a Runge–Kutta of order 4 in steps of 20 s
//! over the balance of `draw_down` with the fits of tests/data/propane_correlations.csv
//! (within 0.2 s of the reference cases of tests/data/cylinder_cases.csv). This is the only place that
//! has them. Start reading at [`LESSONS`].
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use tarebook::report::compose::Options;
use tarebook::report::model::Check;
use tarebook::report::{Style, first_screen};
use tarebook::session::Session;
use tarebook::sheet::Reading;
use tarebook::syntax::tidy::tidy;

/// A blank, the right answer, the same as people may round or write it, and slips
/// with a piece of the sentence that helps.
struct Exercise {
    blank: &'static str,
    right: &'static str,
    also: &'static [&'static str],
    slips: &'static [(&'static str, &'static str)],
}

struct Lesson {
    file: &'static str,
    exercises: &'static [Exercise],
}

const LESSONS: &[Lesson] = &[
    Lesson {
        file: "1-weighing-and-tare.tare",
        exercises: &[
            Exercise {
                blank: "net_1",
                right: "12.3 lb", // 31.3 − 17.2 − 1.8
                also: &["12.30 lb", "12 lb 5 oz", "5.58 kg"],
                slips: &[
                    ("14.1 lb", "the hose is still in it"),          // the hose left on
                    ("29.5 lb", "the shell is still in it"),         // the tare forgotten
                    ("31.3 lb", "shell, hose and propane together"), // gross for net
                    ("15.9 lb", "the hose comes off"),               // the hose added
                    ("12 lb", "rounded too far"),
                ],
            },
            Exercise {
                blank: "most_2",
                right: "11.004 lb", // 0.42 × 26.2
                also: &["11 lb", "11.0 lb"],
                slips: &[
                    ("20.96 lb", "80 % would be of the volume"),
                    ("26.2 lb", "a share of the water's weight"),
                    ("10.9 lb", "to a tenth of a pound"), // 26 × 0.42
                    ("11.06 lb", "to a tenth of a pound"),
                ],
            },
            Exercise {
                blank: "burned_3",
                right: "3.3 lb", // 29.4 − 26.1
                also: &["3.30 lb"],
                slips: &[
                    ("1.5 lb", "makes no difference"),   // the hose taken off
                    ("-13.9 lb", "makes no difference"), // the tare taken off
                    ("3 lb", "keep the tenths"),
                ],
            },
        ],
    },
    Lesson {
        file: "2-rate-and-runtime.tare",
        exercises: &[
            Exercise {
                blank: "rate_1",
                right: "1.8 lb/h", // 4.5 lb over 2.5 h
                also: &["43.2 lb/d"],
                slips: &[
                    ("1.957 lb/h", "as a decimal"), // 4.5 over 2.3
                    ("4.5 lb/h", "as a decimal"),   // not divided
                    ("0.556 lb/h", "as a decimal"), // upside down
                    ("2 lb/h", "keep the tenths"),
                ],
            },
            Exercise {
                blank: "runs_2",
                right: "6 h", // 9 lb over 1.5 lb/h
                also: &["360 min"],
                slips: &[("9 h", "only what is burned"), ("3 h", "something other than 4.5 lb")],
            },
            Exercise {
                blank: "cylinders_3",
                right: "2 each", // 19.8 lb over 12.5 lb, 1.58, up
                also: &[],
                slips: &[
                    ("1 each", "not through the night"),
                    ("1.584 each", "round up"),
                    ("3 each", "one fewer would do"),
                ],
            },
        ],
    },
    Lesson {
        file: "3-units-and-conversion.tare",
        exercises: &[
            Exercise {
                blank: "mass_1",
                right: "6.804 kg", // 15 × 0.45359237
                also: &["6.8 kg", "6804 g"],
                slips: &[
                    ("33.07 kg", "the number gets smaller"),
                    ("7 kg", "close, but rounded too far"),
                    ("15 kg", "the number gets smaller"),
                ],
            },
            Exercise {
                blank: "fall_2",
                right: "15.56 C°", // 28 F° × 5/9
                also: &["15.6 C°", "28 F°"],
                slips: &[
                    ("-2.22 C°", "no 32 in it"), // 28 °F as a point
                    ("28 C°", "no 32 in it"),    // not converted
                    ("11.1 C°", "no 32 in it"),  // 20 F°: the sign of −4 lost
                    ("50.4 C°", "no 32 in it"),  // nine fifths
                    ("16 C°", "close, but rounded too far"),
                ],
            },
            Exercise {
                blank: "pound_3",
                right: "$0.778/lb", // 3.29 over 4.23
                also: &["$0.78/lb"],
                slips: &[
                    ("$13.92/lb", "cheaper than a gallon"),
                    ("$3.29/lb", "cheaper than a gallon"),
                    ("$0.8/lb", "close, but rounded too far"),
                ],
            },
            Exercise {
                blank: "used_4",
                right: "7.84 kWh/d", // 0.56 kW × 14 h/d
                also: &["7840 Wh/d"],
                slips: &[
                    ("13.44 kWh/d", "ten of the 24 hours"), // all day
                    ("0.04 kWh/d", "1000 W for an hour"),   // divided
                ],
            },
        ],
    },
    Lesson {
        file: "4-heat-and-cost.tare",
        exercises: &[
            Exercise {
                blank: "heat_1",
                right: "34476.8 BTU/h", // 1.6 × 21 548, NFPA 58 property table
                also: &["34500 BTU/h", "34_477 BTU/h"],
                slips: &[
                    ("31872 BTU/h", "gross, 21_548 BTU/lb, not net"), // 19 920
                    ("13467.5 BTU/h", "pounds an hour times"),        // divided
                    ("35000 BTU/h", "close, but rounded too far"),
                ],
            },
            Exercise {
                blank: "share_2",
                right: "8.51 %", // 860 × 3.41214 over 34 476.8
                also: &["8.5 %"],
                slips: &[
                    ("9.21 %", "is your heat gross"),       // over net heat
                    ("8.5", "a share has its `%`"),         // 850 %
                    ("2.49 %", "bring both to one unit"),   // watts over BTU/h
                    ("0.0851 %", "bring both to one unit"), // a share taken for per cent
                    ("9 %", "a tenth of a percent"),
                ],
            },
            Exercise {
                blank: "kwh_3",
                right: "$2.028/kWh", // 1.6 × 1.09 over 0.86
                also: &["$2.03/kWh"],
                slips: &[
                    ("$1.744/kWh", "not yet dollars a kilowatt-hour"),
                    ("$1.5/kWh", "how many of those"),
                    ("$2/kWh", "close, but rounded too far"),
                ],
            },
            Exercise {
                blank: "pound_4",
                right: "$1.597/lb", // 23.95 over 15
                also: &["$1.60/lb"],
                slips: &[("$1.1975/lb", "20 lb is the name of the shell")],
            },
        ],
    },
    Lesson {
        file: "5-load-and-the-fuel-line.tare",
        exercises: &[
            Exercise {
                blank: "idle_1",
                right: "0.9 lb/h", // 1.30 − 400 × 0.80/800
                also: &["0.90 lb/h"],
                slips: &[
                    ("0 lb/h", "even with nothing plugged in"),
                    ("1.3 lb/h", "neither run is at no load"),
                    ("1 lb/h", "keep the tenths"),
                ],
            },
            Exercise {
                blank: "at_600_2",
                right: "1.5 lb/h", // 0.9 + 600 × 0.001
                also: &["1.50 lb/h"],
                slips: &[
                    ("1.05 lb/h", "not in proportion"), // half of 2.10
                    ("1.95 lb/h", "not in proportion"), // half as much again as 1.30
                    ("0.6 lb/h", "begin with the idle burn"),
                    ("2 lb/h", "not in proportion"), // 1.95, rounded
                ],
            },
            Exercise {
                blank: "worst_3",
                right: "1520 W", // 780 + (1300 − 560)
                also: &["1.52 kW"],
                slips: &[
                    ("2080 W", "it doesn't come on top"), // 780 + 1300
                    ("2240 W", "only one motor starts"),  // all the starts
                    ("780 W", "the fan's start"),
                    ("1500 W", "the refrigerator's start"), // 780 + (900 − 180)
                ],
            },
            Exercise {
                blank: "mean_4",
                right: "434.2 W", // (7840 + 1620 + 960) Wh over 24 h
                also: &["434 W", "0.434 kW"],
                slips: &[("780 W", "only part of the day"), ("260 W", "add up watt-hours first")],
            },
        ],
    },
    Lesson {
        file: "6-cold-and-vapor.tare",
        exercises: &[
            Exercise {
                // 16.8 °F by WMO-No. 8 for 20 °F and 80 %; Python: the wall is at 10.5 °F after 0.5 h
                blank: "frosts_1",
                right: "0.5 h",
                also: &["30 min"],
                slips: &[
                    ("3.183 h", "Pressure has no say"), // starving taken for frost
                    ("1.5 h", "the first below"),       // below 0 °F
                    ("0 h", "frost is asked of the wall"),
                    ("0.01 h", "which row is the first"),
                ],
            },
            Exercise {
                blank: "starves_2",
                // Python: 3.1829 h; on the straight line between the rows of 6.17 and 3.11 psig 3.192 h
                right: "3.183 h",
                also: &["3 h 11 min", "3.1 h", "3.192 h", "3.2 h"],
                slips: &[
                    ("12.1 h", "not of the scale"), // by weight, 19.4 over 1.6
                    ("30 min", "not of the frost"), // frost taken for starving
                    ("2.5 h", "when is it down to"),
                    ("3 h", "between two rows"),
                ],
            },
            Exercise {
                blank: "left_3",
                right: "14.31 lb", // 19.4 − 1.6 × 3.1829
                also: &["14.3 lb"],
                slips: &[
                    ("0 lb", "it doesn't run empty"),
                    ("5.09 lb", "less what is drawn by your own time"),
                ],
            },
            Exercise {
                blank: "in_wind_4",
                right: "8.70 h", // Python: 8.7014 h at a film of 20
                also: &["8 h 42 min"],
                slips: &[
                    ("2 h", "moving air brings it heat"),
                    ("3.183 h", "not what the trial gives"),
                ],
            },
            Exercise {
                blank: "liquid_5",
                right: "27.5 °F", // half-way between 44.2 and 54.1, and between 23 and 32
                also: &["27 °F", "28 °F"],
                slips: &[("49 °F", "between which two rows"), ("23 °F", "between which two rows")],
            },
        ],
    },
    Lesson {
        file: "7-how-sure.tare",
        exercises: &[
            Exercise {
                blank: "one_1",
                right: "0.02887 lb", // 0.1 over √12, JCGM 100 F.2.2.1
                also: &["0.029 lb", "0.03 lb"],
                slips: &[
                    ("0.05 lb", "half a step is the limit"),
                    ("0.1 lb", "half a step"),
                    ("0.0577 lb", "over √3"),
                ],
            },
            Exercise {
                blank: "both_2",
                right: "0.0408 lb", // published_checks.csv: sqrt(2) × 0.1 lb over sqrt(12)
                also: &["0.041 lb", "0.04 lb"],
                slips: &[
                    ("0.0577 lb", "they don't add"),
                    ("0.029 lb", "square each"),
                    ("0.1 lb", "they don't add"),
                ],
            },
            Exercise {
                blank: "part_3",
                right: "1.36 %", // 0.0408 over 3.0
                also: &["1.4 %"],
                slips: &[
                    ("1.92 %", "of the difference"),
                    ("0.96 %", "over the difference"),
                    ("1.67 %", "over the difference"),
                ],
            },
            Exercise {
                blank: "run_4",
                right: "1 h 22 min", // 0.0408 lb over 2 % is 2.041 lb, over 1.5 lb/h 1.361 h
                also: &["1.36 h", "1 h 20 min"],
                slips: &[
                    ("1 h 55 min", "2 % of it"), // from 0.0577 lb
                    ("2 h 2 min", "how long"),   // 2.04, pounds for hours
                    ("58 min", "2 % of it"),     // from 0.0289 lb
                ],
            },
            Exercise {
                blank: "apart_5",
                right: "109.3 %", // 0.14 over √(0.0064 + 0.0100)
                also: &["109 %", "110 %"],
                slips: &[
                    ("78 %", "squares first"),
                    ("1.09 %", "squares first"),
                    ("-109 %", "squares first"),
                    ("109", "a share has its `%`"),
                ],
            },
        ],
    },
    Lesson {
        file: "8-auditing-a-claim.tare",
        exercises: &[
            Exercise {
                blank: "limit_1",
                right: "19.992 lb", // 0.42 × 47.6, 49 CFR 173.304a(d)(1)
                also: &["20 lb"],
                slips: &[("38.08 lb", "80 % is a share of the volume")],
            },
            Exercise {
                blank: "net_2",
                right: "15 lb", // 34.7 − 2.1 − 17.6
                also: &["15.0 lb"],
                slips: &[
                    ("17.1 lb", "something besides shell and propane"),
                    ("32.6 lb", "gross is not net"),
                ],
            },
            Exercise {
                blank: "rate_3",
                right: "1.25 lb/h", // 1.5 × 0.5 over 0.6
                also: &["30 lb/d"],
                slips: &[
                    ("0.75 lb/h", "half the load is not half the fuel"),
                    ("1.5 lb/h", "half the load"),
                ],
            },
            Exercise {
                blank: "hours_4",
                right: "12 h", // 15 over 1.25
                also: &["720 min"],
                slips: &[
                    ("22.8 h", "your own rate"),
                    ("20 h", "your own rate"),
                    ("13.68 h", "your own net weight"),
                ],
            },
            Exercise {
                blank: "held_5",
                right: "52.6 %", // 12 over 22.8
                also: &["53 %"],
                slips: &[
                    ("190 %", "over the hours claimed"),
                    ("47.4 %", "over the hours claimed"),
                ],
            },
        ],
    },
    Lesson {
        file: "9-a-run-of-your-own.tare",
        exercises: &[
            Exercise {
                blank: "lost_1",
                right: "3.9 oz", // 33.1 − 29.2
                also: &["3.90 oz"],
                slips: &[
                    ("2.3 oz", "the bottle hangs there both times"),
                    ("-3.9 oz", "it got lighter"),
                    ("4 oz", "keep the tenths"),
                ],
            },
            Exercise {
                blank: "rate_2",
                right: "5.2 oz/h", // over 0.75 h
                also: &["5.25 oz/h"],
                slips: &[
                    ("52 oz/h", "as a decimal"),
                    ("5 oz/h", "close"),
                    ("2.925 oz/h", "multiplied"), // 3.9 × 0.75
                ],
            },
            Exercise {
                blank: "lasts_3",
                right: "6.058 h", // (33.1 − 1.6) over 5.2
                also: &["6.1 h", "6 h 3 min"],
                slips: &[
                    ("6.37 h", "the bottle doesn't drip"),
                    ("5.62 h", "from the last reading on"),
                    ("6.2 h", "a tenth of an hour"),
                ],
            },
            Exercise {
                blank: "off_4",
                right: "0.2 oz", // two times half of 0.2 oz
                also: &["0.20 oz"],
                slips: &[("0.1 oz", "that is one reading"), ("0.4 oz", "half a step each")],
            },
            Exercise {
                blank: "share_5",
                right: "5.13 %", // 0.2 over 3.9
                also: &["5.1 %", "5 %"],
                slips: &[("0.0513 %", "what dripped"), ("5.13", "a share has its `%`")],
            },
        ],
    },
    Lesson {
        file: "10-a-fuel-line-from-two-loads.tare",
        exercises: &[
            Exercise {
                blank: "low_1",
                right: "1.2 lb/h", // (35.2 − 32.8) over 2
                also: &["1.20 lb/h"],
                slips: &[("2.4 lb/h", "both hours"), ("0.83 lb/h", "turned around")],
            },
            Exercise {
                blank: "high_2",
                right: "1.8 lb/h", // (32.8 − 28.3) over 2.5
                also: &["1.80 lb/h"],
                slips: &[("4.5 lb/h", "all of its hours"), ("2.25 lb/h", "went on for 2.5 h")],
            },
            Exercise {
                blank: "watt_3",
                right: "0.075 lb/h", // 0.6 over 8
                also: &["0.0750 lb/h"],
                slips: &[
                    ("0.6 lb/h", "800 W more"),
                    ("0.057 lb/h", "it is 800 W"),
                    ("0.08 lb/h", "three places"),
                ],
            },
            Exercise {
                blank: "idle_4",
                right: "1.0125 lb/h", // 1.2 − 2.5 × 0.075
                also: &["1.01 lb/h", "1 lb/h"],
                slips: &[("0 lb/h", "the engine turns"), ("1.2 lb/h", "that is at 250 W")],
            },
            Exercise {
                blank: "ours_5",
                right: "1.4625 lb/h", // 1.0125 + 6 × 0.075
                also: &["1.46 lb/h", "1.45 lb/h"],
                slips: &[
                    ("0.45 lb/h", "nothing plugged in"),
                    ("1.03 lb/h", "not in proportion"),
                    ("2.88 lb/h", "not in proportion"),
                ],
            },
        ],
    },
    Lesson {
        file: "11-a-bill-and-a-meter.tare",
        exercises: &[
            Exercise {
                blank: "used_1",
                right: "360 kWh", // 31 567 − 31 207
                also: &["360.0 kWh"],
                slips: &[
                    ("31567 kWh", "since the meter was new"),
                    ("-360 kWh", "the later reading less"),
                ],
            },
            Exercise {
                blank: "bill_2",
                right: "$72", // 360 × 0.16 + 14.40
                also: &["$72.00"],
                slips: &[("$57.60", "which comes each month"), ("$5184", "the charge comes once")],
            },
            Exercise {
                blank: "each_3",
                right: "$0.2/kWh", // 72 over 360
                also: &["$0.20/kWh"],
                slips: &[("$0.16/kWh", "without the charge"), ("$5/kWh", "your own bill")],
            },
            Exercise {
                blank: "mean_4",
                right: "500 W", // 360 000 Wh over 720 h
                also: &["0.5 kW"],
                slips: &[("12 kW", "that is a day's"), ("360 W", "the hours of the month")],
            },
            Exercise {
                blank: "set_5",
                right: "$2.2/kWh", // 2 × 1.10
                also: &["$2.20/kWh"],
                slips: &[("$1.10/kWh", "takes two"), ("$0.55/kWh", "by their price")],
            },
        ],
    },
    Lesson {
        file: "12-an-advertisement.tare",
        exercises: &[
            Exercise {
                blank: "load_1",
                right: "500 W", // a quarter of 2000
                also: &["0.5 kW"],
                slips: &[
                    ("2000 W", "that is the headline"),
                    ("50 W", "a share of the rated load"),
                ],
            },
            Exercise {
                blank: "energy_2",
                right: "7 kWh", // 0.5 × 14
                also: &["7000 Wh", "7.0 kWh"],
                slips: &[("28 kWh", "at full load"), ("7000 kWh", "those are watt-hours")],
            },
            Exercise {
                blank: "burn_3",
                right: "1.364 lb/h", // 15/14 over 0.55, times 0.70
                also: &["1.36 lb/h", "1.37 lb/h"],
                slips: &[("2.14 lb/h", "not twice the fuel"), ("1.07 lb/h", "at their load")],
            },
            Exercise {
                blank: "hours_4",
                right: "11 h", // 15 over 1.3636
                also: &["11.0 h", "10.9 h"],
                slips: &[("14.67 h", "the name of the shell"), ("7 h", "twice the fuel")],
            },
            Exercise {
                blank: "part_5",
                right: "78.6 %", // 11 over 14
                also: &["79 %", "78.57 %"],
                slips: &[("127 %", "turned around"), ("21.4 %", "those of the headline")],
            },
        ],
    },
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/lessons")
}

fn text(file: &str) -> String {
    fs::read_to_string(folder().join(file)).unwrap()
}

fn open(text: &str) -> Session {
    Session::of_text("a lesson", text.to_owned(), &[], Options::default())
}

/// The lesson with these blanks filled in.
fn filled(text: &str, answers: &[(&str, &str)]) -> String {
    let lines = text.lines().map(|line| {
        let name = line.split_whitespace().nth(1).unwrap_or("");
        match answers.iter().find(|(blank, _)| *blank == name) {
            Some((_, answer)) if line.contains("= ?") => line.replacen("= ?", &format!("= {answer}"), 1),
            _ => line.to_owned(),
        }
    });
    lines.map(|line| line + "\n").collect()
}

fn right(lesson: &Lesson) -> Vec<(&'static str, &'static str)> {
    lesson.exercises.iter().map(|one| (one.blank, one.right)).collect()
}

/// The right answers, but one.
fn with(lesson: &Lesson, blank: &'static str, answer: &'static str) -> Vec<(&'static str, &'static str)> {
    let mut answers = right(lesson);
    answers.retain(|(known, _)| *known != blank);
    answers.push((blank, answer));
    answers
}

/// The checks of the lesson with these answers, which must be without a problem.
fn marked(file: &str, answers: &[(&str, &str)]) -> Vec<Check> {
    let session = open(&filled(&text(file), answers));
    assert!(session.problems().is_empty(), "{file}: {:#?}", session.problems());
    let report = session.report();
    let screen = first_screen::write(&report, "", Style::default());
    assert!(screen.lines().count() <= 24, "{file}:\n{screen}");
    report.checks
}

/// Whether the condition names the blank.
fn is_about(check: &Check, blank: &str) -> bool {
    let mut words = check.text.split(|c: char| !(c.is_alphanumeric() || c == '_'));
    words.any(|word| word == blank)
}

fn all_hold(file: &str, answers: &[(&str, &str)], said: &str) {
    for check in marked(file, answers) {
        assert_eq!(
            check.holds,
            Some(true),
            "{file}, {said}: {} {:?}",
            check.text,
            check.message
        );
    }
}

#[test]
fn each_lesson_is_tidy_without_a_problem_or_a_remark_and_marked_here() {
    let mut found: Vec<String> = Vec::new();
    for entry in fs::read_dir(folder()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if name.ends_with(".tare") {
            let text = text(&name);
            assert_eq!(tidy(&text), text, "{name} is not tidy");
            let problems = open(&text).problems();
            assert!(problems.is_empty(), "{name}: {problems:#?}");
            found.push(name);
        }
    }
    found.sort_by_key(|name| name.split('-').next().and_then(|number| number.parse::<u32>().ok()));
    let marked: Vec<&str> = LESSONS.iter().map(|lesson| lesson.file).collect();
    assert_eq!(found, marked);
}

#[test]
fn the_teacher_has_a_list_of_them() {
    let page = text("README.md");
    for lesson in LESSONS {
        assert!(page.contains(&format!("[{0}]({0})", lesson.file)), "{}", lesson.file);
        let number = lesson.file.split('-').next().unwrap();
        assert!(
            text(lesson.file).starts_with(&format!("# {number}. ")),
            "{}",
            lesson.file
        );
    }
    for told in ["Carbon monoxide", "No gas flows", "outdoors", "licensed"] {
        assert!(page.contains(told), "{told}");
    }
}

#[test]
fn an_open_exercise_cant_be_told_and_has_a_source() {
    for lesson in LESSONS {
        let text = text(lesson.file);
        assert_eq!(text.matches("= ?").count(), lesson.exercises.len(), "{}", lesson.file);
        let checks = marked(lesson.file, &[]);
        for exercise in lesson.exercises {
            let about = checks.iter().filter(|check| is_about(check, exercise.blank));
            let told: Vec<_> = about.map(|check| check.holds).collect();
            assert!(
                !told.is_empty() && told.iter().all(Option::is_none),
                "{}: {}",
                lesson.file,
                exercise.blank
            );
        }
        let examples = checks.iter().filter(|check| check.holds.is_some());
        assert!(
            examples.clone().all(|check| check.holds == Some(true)),
            "{}",
            lesson.file
        );
    }
}

#[test]
fn right_answers_hold() {
    for lesson in LESSONS {
        all_hold(lesson.file, &right(lesson), "all right");
        for exercise in lesson.exercises {
            for also in exercise.also {
                all_hold(lesson.file, &with(lesson, exercise.blank, also), also);
            }
        }
    }
}

#[test]
fn one_answer_turns_its_own_check_alone() {
    for lesson in LESSONS {
        for exercise in lesson.exercises {
            for check in marked(lesson.file, &[(exercise.blank, exercise.right)]) {
                // one that judges by an earlier answer waits for it
                let told = is_about(&check, exercise.blank) && !check.waits;
                assert!(!told || check.holds == Some(true), "{}: {}", lesson.file, check.text);
            }
        }
    }
}

#[test]
fn usual_slips_dont_hold_and_are_helped() {
    for lesson in LESSONS {
        for exercise in lesson.exercises {
            assert!(!exercise.slips.is_empty(), "{}", exercise.blank);
            for (slip, helped) in exercise.slips {
                let checks = marked(lesson.file, &with(lesson, exercise.blank, slip));
                let failing: Vec<_> = checks.iter().filter(|check| check.holds != Some(true)).collect();
                assert!(
                    !failing.is_empty(),
                    "{}: {} = {slip} holds",
                    lesson.file,
                    exercise.blank
                );
                // what rests on it is judged by it, and may fail with it
                assert!(failing.iter().all(|check| check.holds == Some(false)));
                let own = failing.iter().filter(|check| is_about(check, exercise.blank));
                let said: Vec<_> = own.filter_map(|check| check.message.as_deref()).collect();
                assert!(
                    said.iter().any(|said| said.contains(helped)),
                    "{} = {slip}: {said:?}",
                    exercise.blank
                );
            }
        }
    }
}

/// No answer is written in the lesson that asks for it; those of one or two digits
/// may stand for something else there.
#[test]
fn no_lesson_prints_its_answers() {
    for lesson in LESSONS {
        let text = text(lesson.file);
        let words: Vec<&str> = text.split(|c: char| !(c.is_ascii_digit() || c == '.')).collect();
        for exercise in lesson.exercises {
            let number = exercise.right.split(' ').next().unwrap().trim_start_matches('$');
            let number = number.split('/').next().unwrap();
            let is_long = number.chars().filter(char::is_ascii_digit).count() >= 3;
            assert!(!is_long || !words.contains(&number), "{}: {number}", lesson.file);
        }
    }
}

#[test]
fn a_unit_that_cant_be_right_is_a_problem() {
    let session = open(&filled(&text("1-weighing-and-tare.tare"), &[("net_1", "12.3 h")]));
    assert_eq!(session.problems().len(), 1);
    let session = open(&filled(&text("1-weighing-and-tare.tare"), &[("net_1", "12.3")]));
    assert!(session.problems()[0].help.as_deref().unwrap().contains("`12.3 lb`"));
}

/// Lesson 8 draws the audited cylinder down: Python, 15 lb at 1.25 lb/h and 20 °F with a
/// film of 7 and the dry wall as a fin stall after 4.3670 h, where the weight alone says 12.
#[test]
fn the_audited_cylinder_stalls_long_before_its_hours_by_weight() {
    let lesson = &LESSONS[7];
    let session = open(&filled(&text(lesson.file), &right(lesson)));
    let sheet = session.sheet();
    let Reading::Number(stalls) = sheet.reading(sheet.cell("stalls").unwrap()) else {
        panic!("it has no value");
    };
    assert!((stalls.to_f64() - 4.3670).abs() < 0.003, "{stalls:?}");
}

/// 15 lb over a rate of 1.2 lb/h is 12.5 h, by hand; the one slip is told once.
#[test]
fn hours_are_judged_by_the_students_own_rate() {
    let lesson = &LESSONS[7];
    let mut answers = with(lesson, "rate_3", "1.2 lb/h");
    answers.retain(|(blank, _)| !matches!(*blank, "hours_4" | "held_5"));
    answers.extend([("hours_4", "12.5 h"), ("held_5", "54.8 %")]);
    let checks = marked(lesson.file, &answers);
    let failing: Vec<_> = checks.iter().filter(|check| check.holds == Some(false)).collect();
    assert_eq!(failing.len(), 1, "{failing:#?}");
    assert!(failing[0].message.as_deref().unwrap().contains("half the load"));
}

/// Exercises 1 to 3 of lesson 6 rest on the calm night, exercise 4 on the windy one.
#[test]
fn the_wind_of_the_trial_leaves_the_calm_night() {
    let lesson = &LESSONS[5];
    let answered = filled(&text(lesson.file), &right(lesson));
    let windy = answered.replace("film_4 = 10 W", "film_4 = 20 W");
    assert_ne!(answered, windy);
    let checks = open(&windy).report().checks;
    assert!(checks.iter().all(|check| check.holds == Some(true)), "{checks:#?}");
}

/// A formula in place of the number, as the teacher's page says.
#[test]
fn a_formula_may_stand_for_the_number() {
    let text = text("1-weighing-and-tare.tare");
    let lines = text.lines().map(|line| match line.starts_with("assumed  net_1") {
        true => "worked net_1 [lb] = gross_1 - tare_1 - hose_1\n".to_owned(),
        false => format!("{line}\n"),
    });
    let session = open(&lines.collect::<String>());
    let checks = session.report().checks;
    assert_eq!(checks.iter().filter(|check| check.holds == Some(true)).count(), 2);
}

#[test]
fn check_is_the_marking() {
    let place = tempfile::tempdir().unwrap();
    let lesson = &LESSONS[0];
    let code = |answers: &[(&str, &str)]| {
        fs::write(place.path().join(lesson.file), filled(&text(lesson.file), answers)).unwrap();
        let run = Command::new(env!("CARGO_BIN_EXE_tarebook"))
            .args(["check", lesson.file])
            .current_dir(place.path())
            .output()
            .unwrap();
        (run.status.code().unwrap(), String::from_utf8(run.stdout).unwrap())
    };
    let (blank, told) = code(&[]);
    assert_eq!(blank, 3);
    assert!(told.contains("undecided"), "{told}");
    let (slipped, told) = code(&with(lesson, "net_1", "14.1 lb"));
    assert_eq!(slipped, 3);
    assert!(
        told.contains("does not hold") && told.contains("3 of 4 checks hold"),
        "{told}"
    );
    let (done, told) = code(&right(lesson));
    assert_eq!(done, 0);
    assert!(told.contains("all 4 checks hold"), "{told}");
}
