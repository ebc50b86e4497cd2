//! Every problem as a user sees it: one snapshot a code, worksheets and what is
//! said of them together. A code that nothing can raise fails the test.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;

use tarebook::problem::explanations::explanation;
use tarebook::problem::{Code, Problem};
use tarebook::report::Style;
use tarebook::report::drawing::draw;
use tarebook::report::place::drawn;
use tarebook::sheet::Sheet;
use tarebook::syntax::Worksheet;
use tarebook::text::position;

/// Worksheets that raise a code, beside the one of its explanation.
const MORE: &[(Code, &[&str])] = &[
    (
        Code::Unreadable,
        &[
            "worked a = 1 lb +\n",
            "worked a = == 2\n",
            "measured a 3 lb\n",
            "worked a =\n",
        ],
    ),
    (Code::UnknownOpening, &["mesured a = 3 lb\n", "gross 3 lb\n"]),
    (
        Code::OpenParenthesis,
        &[
            "worked a = sum(1 lb,\n  2 lb\n\nworked b = 2\n",
            "worked a [lb = 2 lb\n",
        ],
    ),
    (Code::OpenText, &["worked a = \"kitchen\n"]),
    (Code::NumberFormat, &["worked a = 3,000\n", "worked a = .5 lb\n"]),
    (Code::NumberSize, &["worked a = 1e40\n"]),
    (
        Code::UnknownUnit,
        &[
            "worked a = 3 pounds\n",
            "worked a [lbz] = 3 lb\n",
            "worked a = 2 rate\n",
        ],
    ),
    (Code::UnitFormat, &["worked a = 60 BTU/h/ft2\n"]),
    (
        Code::TwoReadings,
        &[
            "worked a = 12 ft^2\n",
            "worked a = 1/2 h\n",
            "worked rate = 1 lb/h\nworked a = 20 lb/rate\n",
        ],
    ),
    (
        Code::ToleranceFormat,
        &[
            "measured a = 40 ± 5 %\n",
            "measured a = 2 ± 4 % lb\n",
            "measured a = 2 lb ± -1 lb\n",
        ],
    ),
    (
        Code::TolerancePlace,
        &[
            "worked a = 2 lb ± 1 lb\n",
            "measured a = (2 lb ± 1 lb) * 2\n",
            "measured a = \"x\" ± 1\n",
        ],
    ),
    (Code::CompoundFormat, &["worked a = 2 h 4 lb\n"]),
    (Code::TimeFormat, &["worked a = 24:00\n", "worked a = 2026-02-30\n"]),
    (
        Code::ReservedWord,
        &["worked if = 1\n", "case base\n  a = 1 lb\nmeasured a = 2 lb\n"],
    ),
    (Code::RaggedRow, &["table t\n  | a | b |\n  | 1 | 2 | 3 |\n"]),
    (
        Code::UnreadableCell,
        &[
            "table t\n  | a [lb] |\n  | about 3 |\n",
            "table t\n  | a [lb] |\n  | 3 h |\n",
        ],
    ),
    (
        Code::RepeatedName,
        &[
            "worked a = 1\ntable a\n  | x |\n  | 1 |\n",
            "rule sum(x) = x\n",
            "measured a = 1\ncase c\n  a = 1\n  a = 2\n",
        ],
    ),
    (
        Code::UnknownName,
        &[
            "worked fuel = 20 lb\nworked a = feul + 1 lb\n",
            "rule r(x) = x + y\n",
            "worked a = no_table.column\n",
            "measured air = 3 °F\ncase c\n  ari = 2 °F\n",
        ],
    ),
    (
        Code::UnknownColumn,
        &[
            "table t\n  | gross [lb] |\n  | 1 |\nworked a = t.grosz\n",
            "worked a = 1\nworked b = a.x\n",
        ],
    ),
    (
        Code::UnknownFunction,
        &[
            "worked a = net_content(3 lb, 2 lb)\n",
            "worked a = 1\nworked b = a(2)\n",
        ],
    ),
    (
        Code::Loop,
        &["worked a = b\nworked b = c\nworked c = a\n", "worked a = a + 1\n"],
    ),
    (
        Code::NotConstant,
        &[
            "worked gross = 3 lb\nmeasured a = gross\n",
            "assumed a = sqrt(4)\n",
            "table t\n  | x |\n  | 1 |\nassumed a = t.x\n",
        ],
    ),
    (
        Code::CaseTarget,
        &[
            "worked a = 1 lb\ncase c\n  a = 2 lb\n",
            "measured a = 1 lb\ncase c\n  a = ?\n",
        ],
    ),
    (
        Code::UnitClash,
        &[
            "worked gross = 20 lb\nworked time = 2 h\nworked a = gross + time\n",
            "worked a = if true then 1 lb else 1 h\n",
            "worked a = 1 lb < 1 h\n",
            "worked a = net_contents(20 lb, 2 h)\n",
            "worked a [lb] = 3 h\n",
            "measured a = 3 lb ± 1 h\n",
            "measured a = 1 lb\ncase c\n  a = 2 h\n",
            "rule r(x [lb]) = x\nworked a = r(2 h)\n",
            "rule r(x, y) = x + y\nworked a = r(2 h, 1 lb)\n",
            "worked a = min(1 lb, 2 h)\n",
            "worked a = exp(1 lb)\n",
            "worked a = absolute(5 lb)\n",
        ],
    ),
    (
        Code::KindClash,
        &[
            "worked a = \"x\" + 1\n",
            "worked a = if 1 lb then 2 else 3\n",
            "worked a = true < false\n",
            "worked a = 2 * 21:40\n",
            "expect 3 lb\n",
            "table t\n  | x |\n  | 1 |\nworked a = t\n",
            "rule r(x) = x\nworked a = r\n",
            "worked a = 21:40 + 3 lb\n",
            "worked a = -\"x\"\n",
            "worked a = sum(\"x\", \"y\")\n",
        ],
    ),
    (
        Code::BareNumber,
        &[
            "worked a = 1 lb + 2\n",
            "worked a = heat_input(3)\n",
            "worked a [lb] = 3\n",
            "worked b = 2\nworked a = 1 lb + b\n",
            "measured a = 3 lb ± 1\n",
        ],
    ),
    (
        Code::PointArithmetic,
        &[
            "worked a = 10 °F + 5 °F\n",
            "worked a = 2 * 10 °F\n",
            "worked a = 5 F° - 10 °F\n",
            "worked a [K] = 10 °F\n",
            "worked a [psi] = 10 psig\n",
            "worked a = propane_boiling(10 psi)\n",
            "worked a = sum(1 °F, 2 °F)\n",
            "worked a = 21:40 + 22:00\n",
            "worked a = -(5 °F)\n",
            "worked a [°F] = 60 °F - 20 °F\n",
        ],
    ),
    (
        Code::LevelArithmetic,
        &[
            "worked a = 60 dB + 60 dB\n",
            "worked l = 60 dB\nworked a = 2 * l\n",
            "worked a = mean(60 dB, 70 dB)\n",
            "worked a [W] = 60 dB\n",
        ],
    ),
    (
        Code::PowerFactor,
        &["worked a = 1 W + 1 VA\n", "worked a [W] = 100 VA\n"],
    ),
    (Code::CurrencyClash, &["worked a = $1 + €1\n"]),
    (
        Code::PowerUnit,
        &[
            "worked a = (2 ft)^0.5\n",
            "worked x = 2\nworked a = (2 ft)^x\n",
            "worked a = 2^(3 lb)\n",
            "worked a = sqrt(2 lb)\n",
        ],
    ),
    (
        Code::PercentOfPoint,
        &["measured a = 10 °F ± 2 %\n", "measured a = 74 dB ± 2 %\n"],
    ),
    (
        Code::ColumnOrValue,
        &[
            "worked a = count(5 lb)\n",
            "worked a = 5 lb where true\n",
            "plot a over a\nworked a = 1\n",
        ],
    ),
    (
        Code::ColumnLength,
        &["table t\n  | a |\n  | 1 |\n  | 2 |\ntable u\n  | a |\n  | 1 |\nworked x = t.a + u.a\n"],
    ),
    (
        Code::ArgumentCount,
        &[
            "worked a = voltage_drop(12 A)\n",
            "worked a = sqrt(1, 2)\n",
            "rule r(x) = x\nworked a = r()\nworked b = r(1, 2)\n",
        ],
    ),
    (
        Code::ArgumentName,
        &[
            "worked a = heat_input(rat: 3 lb/h)\n",
            "worked a = net_contents(3 lb, gross: 2 lb)\n",
            "rule r(x) = x\nworked a = r(y: 1)\n",
        ],
    ),
    (
        Code::ArgumentWord,
        &[
            "worked a = heat_per_pound(\"propene\")\n",
            "worked a = heat_per_pound(3)\n",
        ],
    ),
    (
        Code::RuleLoop,
        &["rule a(x) = b(x)\nrule b(x) = a(x)\n", "rule a(x) = a(x)\n"],
    ),
    (
        Code::DivisionByZero,
        &[
            "worked none = 0 h\nworked a = 3 lb / none\n",
            "table t\n  | a | b |\n  | 1 | 2 |\n  | 1 | 0 |\nworked x = t.a / t.b\n",
        ],
    ),
    (Code::TooLarge, &["worked a = 7e28 * 10\n", "worked a = exp(100)\n"]),
    (
        Code::TooSmall,
        &["worked a = 1e-20 * 1e-20\n", "worked a = exp(-100)\n"],
    ),
    (Code::NegativeRoot, &["worked a = sqrt(-4)\n", "worked a = (-4)^0.5\n"]),
    (Code::LogarithmDomain, &["worked a = ln(0)\n"]),
    (
        Code::OutsideRange,
        &[
            "worked a = propane_pressure(400 °F)\n",
            "worked a = net_contents(10 lb, 17 lb)\n",
        ],
    ),
    (
        Code::Overheats,
        &["worked a = equilibrium_temperature(0 lb/h, 8 lb, 12 in, 121 °F, 7 W/(m2·C°))\n"],
    ),
    (
        Code::EmptyColumn,
        &["table t\n  | a [lb] |\n  | 1 |\nworked x = mean(t.a where t.a > 2 lb)\n"],
    ),
    (
        Code::TimeOrder,
        &[
            "worked a = 21:40 - 22:10\n",
            "table t\n  | time |\n  | 22:10 |\n  | 21:40 |\n",
            "worked dead = 22:00 + 8 h\nworked night = 22:00 <= clock(dead) < 06:00\n",
            "measured begins = 22:00\nmeasured ends = 06:00\nworked night = begins <= 23:00 < ends\n",
            "table air\n  | time | air [°F] |\n  | 20:00 | 31 |\n  | 05:00 | 18 |\ntable draw\n  | time | rate [lb/h] |\n  | 21:00 | 1.4 |\n\
             table night = draw_down(18.5 lb, 12 in, steel: 17.6 lb, air: ramps(air.time, air.air), \
             rate: steps(draw.time, draw.rate), film: 10 W/(m2·C°), least_pressure: 5 psig)\n",
        ],
    ),
    (
        Code::WhichDay,
        &[
            "table t\n  | time | w [W] |\n  | 22:00 | 500 |\n  | 06:00 | 900 |\nworked x = sum(t.w where t.time < 07:00)\n",
            "table t\n  | time | w [W] |\n  | 22:00 | 500 |\n  | 06:00 | 900 |\nworked x = fitted_at(t.time, t.w, 03:00)\n",
            "table t\n  | day | time | w [W] |\n  | 2026-01-10 | 22:00 | 500 |\n  | 2026-01-11 | 06:00 | 900 |\nworked x = last(t.time) - 22:00\n",
            "measured on = 20:00\nmeasured off = 21:00\nworked gap = (on + 5 h) - (off + 3 h)\n",
            "measured on = 2026-01-11 20:00\nexpect on <= 22:00\n",
            "rule late(x) = x >= 06:00\nmeasured on = 20:00\nworked x = late(on + 5 h)\n",
            "worked x = mean(22:00, 02:00)\n",
            "assumed wake = 06:00 (+1 d)\ncase late\n  wake = 07:00\n",
        ],
    ),
    (
        Code::NoSuchText,
        &[
            "table t\n  | leg | w [W] |\n  | A | 500 |\n  | B | 900 |\nassumed which = \"C\"\nworked x = sum(t.w where t.leg = which)\n",
            "worked x = weekday(2026-01-11) = \"sun\"\n",
        ],
    ),
    (
        Code::LineEnd,
        &[
            "# Ridge\u{2028}measured gross = 37 lb\n",
            "measured gross = 37 lb\u{85}expect gross > 99 lb\r\n",
        ],
    ),
    (Code::NameIsUnit, &["measured lb = 3 lb\n"]),
    (Code::NameIsFunction, &["measured sum = 3 lb\n"]),
];

/// Codes that need something beside the worksheet: a file's name and what is in it, then the worksheet.
/// A code, the files it takes, and the worksheet.
type WithFiles = (Code, &'static [(&'static str, &'static [u8])], &'static str);

const WITH_FILES: &[WithFiles] = &[
    (
        Code::UseLoop,
        &[
            ("run.tare", b"use \"prices.tare\" as store\nworked rate = 2 lb/h\n"),
            ("prices.tare", b"use \"run.tare\" as run\n"),
        ],
        "use \"run.tare\" as run7\nworked daily = run7.rate * 24 h\n",
    ),
    (
        Code::UsedFile,
        &[("run.tare", b"worked rate = 2 lb/h\nworked cost = rate * 1 ft + 1 h\n")],
        "use \"run.tare\" as run7\nworked daily = run7.rate * 24 h\nworked spent = run7.cost * 2\n",
    ),
    (
        Code::FileMissing,
        &[],
        "use \"run.tare\" as run7\nworked daily = run7.rate * 24 h\n",
    ),
    (Code::FileMissing, &[], "table log = csv(\"run.csv\")\n"),
    (
        Code::FileMissing,
        &[("data/run.csv", b"a\n1\n")],
        "table log = csv(\"data\")\n",
    ),
    (Code::FileOutside, &[], "table log = csv(\"../run.csv\")\n"),
    (
        Code::FileMalformed,
        &[("run.csv", b"a,b\n1,2\n3\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::FileMalformed,
        &[("run.csv", b"")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::FileMalformed,
        &[("run.csv", b"time;gross [lb]\n06:00;51,9\n08:00;49,1\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::FileMalformed,
        &[("run.csv", b"time\tgross [lb]\n06:00\t51.9\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::FileMalformed,
        &[("run.csv", b"time,gross [lb]\n06:00,51,9\n08:00,1,250\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::UnreadableCell,
        &[("run.csv", b"time,gross [lb]\n06:00,\"51,9\"\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::NotUtf8,
        &[("run.csv", b"a\n\xff\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::ColumnLeftOut,
        &[("run.csv", b"\"on the hook\",b\n1,2\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::FileMalformed,
        &[("run.csv", b"gross,note\n50,\"steady\n49,n2\n48,\"load on\"\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::FileMalformed,
        &[("run.csv", b"gross,note\n50,n1\n49,\"steady\n48,n3\n")],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::FileMalformed,
        &[("run.csv", "gross,note\u{2028}50,n1\n".as_bytes())],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::QuotedLines,
        &[(
            "run.csv",
            b"gross,note\n50,\"steady\nall night\"\n49,\"two\n\"\n48,\"a \"\"gust\"\"\" \n",
        )],
        "table log = csv(\"run.csv\")\n",
    ),
    (
        Code::RowsLeftOut,
        &[("run.csv", b"a [lb]\n1\nabout 2\n3\n")],
        "table log = csv(\"run.csv\", skip_unread: true)\n",
    ),
    (
        Code::UnreadableCell,
        &[("run.csv", b"a [lb]\n1\nabout 2\n")],
        "table log = csv(\"run.csv\")\n",
    ),
];

/// Raised where more is known than the sheet: while saving, and in the session. What sheer
/// size or time raises is in `hostile.rs`.
const ELSEWHERE: &[Code] = &[
    Code::ChangedOnDisk,
    Code::Exercise,
    Code::LookAlike,
    Code::MixedScripts,
    Code::NameIsVerb,
    Code::OutOfTime,
    Code::Renamed,
    Code::TableSize,
    Code::TurnedWriting,
];

fn shown(problem: &Problem, worksheet: &Worksheet) -> String {
    let style = Style {
        colour: false,
        width: 100,
        ..Style::default()
    };
    let line_of = |item: u32| {
        let start = worksheet.items[item as usize].start as usize;
        position(&worksheet.text, start).line
    };
    draw(&drawn(problem, worksheet, "house.tare", line_of), style)
}

/// The worksheet and its problems, as one text; empty where the code isn't raised.
fn drawn_with(code: Code, text: &str, folder: Option<&Path>) -> String {
    let sheet = Sheet::load(text.to_owned(), folder.map(Path::to_path_buf));
    let problems = sheet.problems();
    assert!(
        problems.iter().any(|problem| problem.code == code),
        "{code} is not raised by\n{text}\nbut {problems:?}"
    );
    let short = if text.len() > 1000 {
        "(a very long line)\n"
    } else {
        text
    };
    let problems: String = problems
        .iter()
        .map(|problem| shown(problem, sheet.tree()).trim_end().to_owned() + "\n")
        .collect();
    let problems = if text.len() > 1000 { cut(&problems) } else { problems };
    format!("{short}\n{problems}")
}

fn cut(text: &str) -> String {
    let lines = text
        .lines()
        .map(|line| line.chars().take(110).collect::<String>() + "\n");
    lines.collect()
}

fn sources(code: Code) -> Vec<String> {
    let explained = explanation(code)
        .map(|explanation| explanation.wrong.as_str())
        .filter(|wrong| !wrong.is_empty());
    let more = MORE
        .iter()
        .filter(|(known, _)| *known == code)
        .flat_map(|(_, texts)| texts.iter().copied());
    let mut texts: Vec<String> = explained.into_iter().chain(more).map(str::to_owned).collect();
    if code == Code::TooLong {
        texts.push(format!("worked a = 1{}\n", " + 1".repeat(20_000)));
    }
    texts
}

fn with_file((code, files, text): &(Code, &[(&str, &[u8])], &str)) -> String {
    let folder = tempfile::tempdir().unwrap();
    let mut told = String::new();
    for (name, bytes) in *files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
        told.push_str(&format!("{name}: {:?}\n", String::from_utf8_lossy(bytes)));
    }
    told + &drawn_with(*code, text, Some(folder.path()))
}

#[test]
fn every_code_as_it_is_shown() {
    let mut silent = Vec::new();
    let raised_here = Code::ALL.iter().filter(|code| !ELSEWHERE.contains(code));
    for code in raised_here {
        let mut parts: Vec<String> = sources(*code)
            .iter()
            .map(|text| drawn_with(*code, text, None))
            .collect();
        parts.extend(WITH_FILES.iter().filter(|(known, ..)| known == code).map(with_file));
        if !parts.is_empty() {
            insta::assert_snapshot!(code.word(), parts.join("\n────────\n\n"));
        } else if *code != Code::FileTooLong {
            silent.push(code.word());
        }
    }
    assert!(silent.is_empty(), "nothing raises {silent:?}");
}

#[test]
fn a_file_beyond_the_limit_is_not_read() {
    let folder = tempfile::tempdir().unwrap();
    let file = fs::File::create(folder.path().join("run.csv")).unwrap();
    file.set_len(101 << 20).unwrap();
    let shown = drawn_with(Code::FileTooLong, "table log = csv(\"run.csv\")\n", Some(folder.path()));
    insta::assert_snapshot!("file-too-long", shown);
}

#[cfg(unix)]
#[test]
fn a_link_does_not_lead_out_of_the_folder() {
    let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    fs::write(other.path().join("run.csv"), "a\n1\n").unwrap();
    std::os::unix::fs::symlink(other.path().join("run.csv"), folder.path().join("run.csv")).unwrap();
    std::os::unix::fs::symlink(other.path(), folder.path().join("below")).unwrap();
    for path in ["run.csv", "below/run.csv"] {
        let sheet = Sheet::load(
            format!("table log = csv(\"{path}\")\n"),
            Some(folder.path().to_path_buf()),
        );
        let codes: Vec<Code> = sheet.problems().iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [Code::FileOutside], "{path}");
    }
    // a link inside the folder is fine
    fs::write(folder.path().join("real.csv"), "a\n1\n").unwrap();
    std::os::unix::fs::symlink(folder.path().join("real.csv"), folder.path().join("near.csv")).unwrap();
    let sheet = Sheet::load(
        "table log = csv(\"near.csv\")\n".to_owned(),
        Some(folder.path().to_path_buf()),
    );
    assert!(sheet.problems().is_empty());
}

#[test]
fn messages_keep_their_manner() {
    for code in Code::ALL {
        for text in sources(*code) {
            for problem in Sheet::load(text.clone(), None).problems() {
                let all = [Some(&problem.message), problem.help.as_ref(), Some(&problem.label)];
                for message in all.into_iter().flatten().filter(|message| !message.is_empty()) {
                    let first = message.chars().next().unwrap();
                    assert!(!first.is_uppercase() && !message.ends_with('.'), "{message}\n{text}");
                    assert!(!message.contains('\n') && message.len() < 400, "{message}\n{text}");
                }
            }
        }
    }
}

/// Slips as people type them: a worksheet, the piece that is wrong, and what stands in its place
/// when what the help shows is taken at its word.
const SLIPS: &[(&str, &str, &str)] = &[
    ("assumed x = 3,3 lb\n", "3,3", "3.3"),
    ("assumed x [h] = 6:00\n", "6:00", "6 h"),
    ("assumed x = 1.8 lb / h\n", "lb / h", "lb/h"),
    ("assumed x = 2 cylinders\n", "2 cylinders", "2 each"),
    ("assumed x = 78 cents/lb\n", "78 cents/lb", "$0.78/lb"),
    ("assumed x [h] = 13.5/1.5\n", "13.5/1.5", "(13.5/1.5) * 1 h"),
    ("assumed x = $.78/lb\n", "$.78/lb", "$0.78/lb"),
    ("assumed x = $2.50 ± 10c\n", "10c", "$0.10"),
    ("assumed x = 7 W/m2K\n", "W/m2K", "W/(m2·K)"),
    ("assumed x = 24 $/cylinder\n", "24 $/cylinder", "$24/each"),
    ("assumed x = 21 548 BTU\n", "21 548", "21_548"),
    ("assumed x = 8,5 %\n", "8,5", "8.5"),
    (
        "measured x = 3 lb note \"n\" from \"s\"\n",
        "note \"n\" from \"s\"",
        "from \"s\" note \"n\"",
    ),
    ("table t\n  | a [lb] |\n  | 3,3 lb |\n", "3,3 lb", "3.3 lb"),
    ("table t\n  | a [lb] |\n  | 3,3 |\n", "3,3", "3.3"),
    ("table t\n  | a [h] |\n  | 6:00 |\n", "6:00", "6 h"),
    ("table t\n  | a [lb/h] |\n  | 1.8 lb / h |\n", "1.8 lb / h", "1.8 lb/h"),
    (
        "table t\n  | a [$/lb] |\n  | 78 cents/lb |\n",
        "78 cents/lb",
        "$0.78/lb",
    ),
    ("table t\n  | a [$/lb] |\n  | $.78/lb |\n", "$.78/lb", "$0.78/lb"),
    ("table t\n  | a [$/lb] |\n  | .78 |\n", ".78", "0.78"),
    ("table t\n  | a [BTU] |\n  | 21 548 BTU |\n", "21 548 BTU", "21548 BTU"),
    ("table t\n  | a [BTU] |\n  | 21,548 |\n", "21,548", "21548"),
    ("table t\n  | a [%] |\n  | 8,5 % |\n", "8,5 %", "8.5 %"),
];

#[test]
fn what_is_shown_for_a_slip_works_when_taken_at_its_word() {
    for (text, wrong, meant) in SLIPS {
        let problems = Sheet::load((*text).to_owned(), None).problems();
        let help = problems.first().and_then(|problem| problem.help.clone());
        let help = help.unwrap_or_else(|| panic!("no help for {text}"));
        let first = help.find(&format!("`{meant}`"));
        assert!(first.is_some(), "{text}: {help}");
        let mended = text.replacen(wrong, meant, 1);
        let left: Vec<Code> = Sheet::load(mended.clone(), None)
            .problems()
            .iter()
            .map(|p| p.code)
            .collect();
        assert_eq!(left, [], "{mended}");
    }
}

/// A number without its unit, what is said where the unit is missed, and the unit it gives.
const UNITLESS: &[(&str, &str, &str)] = &[
    (
        "answer a = load + 100 W\n",
        "give `load` (line 1) a unit there, such as `W`",
        "W",
    ),
    (
        "expect load < 1500 W\n",
        "give `load` (line 1) a unit there, such as `W`",
        "W",
    ),
    (
        "answer a [W] = load\n",
        "give `load` (line 1) a unit there, such as `W`",
        "W",
    ),
    (
        "answer a [lb/h] = load\n",
        "give `load` (line 1) a unit there, such as `lb/h`",
        "lb/h",
    ),
    (
        "answer a = heat_input(load)\n",
        "give `load` (line 1) a unit there, such as `lb/h`",
        "lb/h",
    ),
    (
        "rule r(x [lb]) [lb] = x\nanswer a = r(load)\n",
        "give `load` (line 1) a unit there, such as `lb`",
        "lb",
    ),
    (
        "assumed hours = 2 h\nanswer a [kWh] = load * hours\n",
        "`load` (line 1) is a plain number: if it is a power, give it a unit there, such as `W`",
        "W",
    ),
    (
        "answer a [h] = 20 lb / load\n",
        "`load` (line 1) is a plain number: if it is a weight flow, give it a unit there, such as `lb/h`",
        "lb/h",
    ),
];

#[test]
fn where_a_unit_is_missed_the_entry_without_it_is_named() {
    for (used, wanted, unit) in UNITLESS {
        let problems = Sheet::load(format!("measured load = 12\n{used}"), None).problems();
        let helps: Vec<&str> = problems.iter().filter_map(|problem| problem.help.as_deref()).collect();
        assert_eq!(helps, [*wanted], "{used}");
        let mended = Sheet::load(format!("measured load = 12 {unit}\n{used}"), None);
        assert!(mended.problems().is_empty(), "{used}: {:?}", mended.problems());
    }
    // A count among the factors is left alone.
    let counted = "measured n = 3\nanswer a [kWh] = n * 2 ft\n";
    let problems = Sheet::load(counted.to_owned(), None).problems();
    let helps: Vec<_> = problems.iter().filter_map(|problem| problem.help.clone()).collect();
    assert!(helps.iter().all(|help| !help.contains("plain number")), "{helps:?}");
}

/// Of what a letter may mean that is advised which the entry asks for; where it asks for another thing, that.
#[test]
fn a_unit_that_isnt_one_is_mended_to_what_the_entry_asks_for() {
    let asks = |unit: &str| format!("write {unit}, as this entry asks for");
    for (line, wanted) in [
        ("assumed burned [lb] = 3.3 F", asks("a weight in `lb`")),
        ("assumed burned [lb] = 3.3 C ± 0.1 C", asks("a weight in `lb`")),
        ("assumed paid [$] = 3 F", asks("money in `$`")),
        ("assumed made [kW] = 3 hours", asks("a power in `kW`")),
        ("assumed fall [F°] = 3 F", asks("`F°`")),
        ("assumed air [°F] = 3 F", asks("`°F`")),
        (
            "assumed air = 3 F",
            "write `°F` for a temperature, or `F°` for a difference of two".to_owned(),
        ),
        (
            "assumed rate [lb/h] = 3 pounds/h",
            "write `lb`, if that is meant".to_owned(),
        ),
        (
            "worked burned [lb] = 3 lb/h * 2 hours",
            "write `h`, if that is meant".to_owned(),
        ),
    ] {
        let problems = Sheet::load(format!("{line}\n"), None).problems();
        assert_eq!(problems[0].help.as_deref(), Some(wanted.as_str()), "{line}");
    }
}

/// `+-` before a number is no sum: it would take off what was meant as a ±.
#[test]
fn plus_and_dash_are_no_tolerance() {
    for (text, dash) in [
        ("37.2 lb +- 0.05 lb", "-"),
        ("37.2 lb+−0.05 lb", "−"),
        ("$3 +-$0.1", "-"),
    ] {
        let sheet = Sheet::load(format!("measured gross = {text}\n"), None);
        let problem = sheet.problems().into_iter().next().unwrap_or_else(|| panic!("{text}"));
        assert_eq!(problem.code, Code::ToleranceFormat, "{text}");
        let mend = problem.mends.first().unwrap();
        assert_eq!(mend.text, "±", "{text}");
        assert_eq!(mend.place.span.of(sheet.text()), format!("+{dash}"), "{text}");
    }
    for text in ["a + -3 lb", "a+-b", "a - -b", "a +/- 3 lb"] {
        let given = format!("measured a = 3 lb\nmeasured b = 2 lb\nworked c = {text}\n");
        let problems = Sheet::load(given, None).problems();
        assert!(
            problems.iter().all(|problem| problem.code != Code::ToleranceFormat),
            "{text}"
        );
    }
}
