//! The report: digits as shown, one invented outage in every format, drawings.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::number::Number;
use tarebook::problem::{self, Code, Place};
use tarebook::report::change::{self, Change, Changes, Flip, Manner, Stand};
use tarebook::report::chart::{Chart, Line, Measure, Sample};
use tarebook::report::digits::{self, Expanded, Form, Quantity};
use tarebook::report::document::markdown::escaped;
use tarebook::report::drawing::{DrawnCell, DrawnLabel, DrawnProblem, draw};
use tarebook::report::model::{
    Basis, Case, Caution, Check, Column, Drawings, Entry, EntryKind, Holder, Part, Problem, Report, Scalar, Section,
    Severity, Table, Uncertainty, Value, ValueType,
};
use tarebook::report::shown::{Awaited, Shown, Standing};
use tarebook::report::style::Style;
use tarebook::report::{csv, json, moment, place, whole};
use tarebook::syntax::{Item, Node, Worksheet};
use tarebook::text::Span;

// ---- digits -------------------------------------------------------------

fn number(text: &str) -> Number {
    match text.strip_prefix('-') {
        Some(amount) => Number::parse(amount).unwrap().neg(),
        None => Number::parse(text).unwrap(),
    }
}

/// `half width` may be followed by the factor and the degrees of freedom.
fn expanded(text: &str) -> Option<Expanded> {
    let mut words = text.split_whitespace().map(number);
    let half_width = words.next()?;
    Some(Expanded {
        half_width,
        factor: words.next().unwrap_or(Number::from_integer(2)),
        degrees_of_freedom: words.next(),
    })
}

fn check_shown(form: Form, value: &str, unit: &str, width: &str, digits: u32, expected: &str) {
    let quantity = Quantity {
        value: number(value),
        unit,
        form,
        expanded: expanded(width),
    };
    let shown = digits::calculated(&quantity, digits).display();
    assert_eq!(shown, expected, "{form:?} {value} {unit} ± {width} to {digits}");
}

#[test]
fn four_significant_digits_half_away_from_zero() {
    // "calculated ones to 4 significant digits by default, rounded half away from zero"
    for (value, unit, expected) in [
        ("1.23456", "lb/h", "1.235 lb/h"),
        ("0.123456", "lb/h", "0.1235 lb/h"),
        ("2.00025", "lb", "2.000 lb"),
        ("2.0005", "lb", "2.001 lb"),
        ("-2.0005", "lb", "-2.001 lb"),
        ("9.99996", "lb", "10.00 lb"),
        ("0.0999996", "lb", "0.1000 lb"),
        ("66798.8", "BTU/h", "66800 BTU/h"),
        ("123456.7", "BTU/h", "123500 BTU/h"),
        ("27.3", "lb", "27.3 lb"),
        ("0.3", "lb", "0.3 lb"),
        ("1.25", "", "1.25"),
        ("85", "%", "85 %"),
        ("0.000123456", "lb", "0.0001235 lb"),
        ("0.0000115", "each/C°", "1.15e-5 each/C°"),
        ("0.00001", "", "1e-5"),
    ] {
        check_shown(Form::Plain, value, unit, "", 4, expected);
    }
    check_shown(Form::Plain, "1.23456", "lb", "", 2, "1.2 lb");
    check_shown(Form::Plain, "1.23456", "lb", "", 6, "1.23456 lb");
    check_shown(Form::Plain, "1.23456", "lb", "", 8, "1.23456 lb");
    check_shown(Form::Plain, "0.99999", "lb", "", 1, "1 lb");
}

#[test]
fn whole_numbers_stay_whole() {
    // "counts and whole numbers whole"
    for (form, value, unit, expected) in [
        (Form::Plain, "12345", "W", "12345 W"),
        (Form::Plain, "60000", "BTU/h", "60000 BTU/h"),
        (Form::Plain, "0", "lb", "0 lb"),
        (Form::Plain, "-7", "F°", "-7 F°"),
        (Form::Plain, "12345678901234567890", "", "12345678901234567890"),
        (Form::Plain, "100000000000000000000", "", "1e20"),
        (Form::Count, "3", "each", "3 each"),
        (Form::Count, "2.9999999999999999999999", "each", "3 each"),
        (Form::Count, "2.5", "each", "2.5 each"),
        (Form::Plain, "123456789012345.6", "W", "1.235e14 W"),
    ] {
        check_shown(form, value, unit, "", 4, expected);
    }
}

#[test]
fn money_has_cents_and_money_per_unit_three_digits() {
    // "money totals to 2 decimals, money per unit to at least 3 digits"
    for (form, value, unit, digits, expected) in [
        (Form::Money, "12.3456", "$", 4, "$12.35"),
        (Form::Money, "12", "$", 4, "$12.00"),
        (Form::Money, "-3", "$", 4, "-$3.00"),
        (Form::Money, "12345.678", "EUR", 4, "12345.68 EUR"),
        (Form::Money, "0", "€", 4, "€0.00"),
        (Form::Money, "0.00432", "$", 4, "$0.00432"),
        (Form::MoneyPerUnit, "0.92345", "$/h", 4, "$0.9235/h"),
        (Form::MoneyPerUnit, "0.92345", "$/h", 2, "$0.923/h"),
        (Form::MoneyPerUnit, "3.9", "$/gal", 4, "$3.90/gal"),
        (Form::MoneyPerUnit, "3", "$/gal", 4, "$3.00/gal"),
        (Form::MoneyPerUnit, "0.1", "£/kWh", 4, "£0.100/kWh"),
        (Form::MoneyPerUnit, "3.89", "USD/gal", 4, "3.89 USD/gal"),
    ] {
        check_shown(form, value, unit, "", digits, expected);
    }
}

#[test]
fn never_more_digits_than_the_uncertainty_supports() {
    // "never more digits than the uncertainty supports"; two digits of the
    // uncertainty where it begins with 1 or 2, else one (JCGM 100:2008, 7.2.6
    // allows at most two)
    for (form, value, unit, width, expected) in [
        (Form::Plain, "8.61234", "h", "0.31234", "8.6 h ± 0.3 h k=2"),
        (Form::Plain, "8.61234", "h", "0.12345", "8.61 h ± 0.12 h k=2"),
        (Form::Plain, "8.61234", "h", "0.0961", "8.61 h ± 0.10 h k=2"),
        (Form::Plain, "12345", "W", "212", "12350 W ± 210 W k=2"),
        (Form::Plain, "12345", "W", "3456", "12000 W ± 3000 W k=2"),
        (Form::Plain, "3", "h", "0.12", "3.00 h ± 0.12 h k=2"),
        (
            Form::Plain,
            "0.9",
            "lb/h",
            "0.31 3.3124 3",
            "0.9 lb/h ± 0.3 lb/h k=3.31 df=3",
        ),
        (
            Form::Plain,
            "0.9",
            "lb/h",
            "0.25 2.101 18.7",
            "0.90 lb/h ± 0.25 lb/h k=2.1 df=18",
        ),
        (Form::Plain, "24", "°F", "4", "24 °F ± 4 °F k=2"),
        (Form::Plain, "0.04", "h", "0.3", "0.0 h ± 0.3 h k=2"),
        (Form::Plain, "-0.04", "h", "0.3", "0.0 h ± 0.3 h k=2"),
        (Form::Plain, "4", "lb", "300", "0 lb ± 300 lb k=2"),
        (Form::Plain, "70", "lb", "300", "100 lb ± 300 lb k=2"),
        (Form::Plain, "-70", "lb", "300", "-100 lb ± 300 lb k=2"),
        // an uncertainty finer than the digits asked for never shows as nothing
        (Form::Plain, "66798.8", "BTU/h", "3.1", "66800 BTU/h ± 10 BTU/h k=2"),
        (Form::Plain, "1.23456", "lb", "0.00004", "1.235 lb ± 0.001 lb k=2"),
        (Form::Plain, "8.6", "h", "0", "8.6 h"),
        (
            Form::Plain,
            "123456789012345.6",
            "W",
            "2e12",
            "1.235e14 W ± 2.0e12 W k=2",
        ),
        (Form::Money, "8.4321", "$", "0.31", "$8.40 ± $0.30 k=2"),
        (Form::Money, "123.4", "$", "21", "$123 ± $21 k=2"),
        (Form::Money, "8.4321", "$", "0.0012", "$8.43 ± $0.01 k=2"),
        (Form::MoneyPerUnit, "0.92345", "$/h", "0.031", "$0.92/h ± $0.03/h k=2"),
    ] {
        check_shown(form, value, unit, width, 4, expected);
    }
}

#[test]
fn hours_and_minutes() {
    // "`[h:min]` shows a time as hours and minutes"; `8 h 36 min ± 18 min k=2`
    for (value, width, expected) in [
        ("8.6", "", "8 h 36 min"),
        ("8.6", "0.3", "8 h 36 min ± 18 min k=2"),
        ("8.6", "2.1", "8 h 40 min ± 2 h 10 min k=2"),
        ("8.6", "1.6", "8 h 40 min ± 1 h 40 min k=2"),
        ("121.17", "28.4", "121 h ± 28 h k=2"),
        ("8.6", "9.95", "8 h 40 min ± 10 h 0 min k=2"),
        ("8.6", "0.001", "8 h 36 min ± 1 min k=2"),
        ("0.4", "", "24 min"),
        ("8", "", "8 h 0 min"),
        ("7.9999", "", "8 h 0 min"),
        ("-8.6", "", "-8 h 36 min"),
        ("0", "", "0 h 0 min"),
        ("0.005", "", "0.3 min"),
    ] {
        check_shown(Form::HoursAndMinutes, value, "h", width, 4, expected);
    }
}

#[test]
fn inputs_are_shown_as_written() {
    // "inputs as written"
    for (text, expected) in [
        ("24.6 lb ± 0.2 lb", "24.6 lb ± 0.2 lb"),
        ("37.40 lb +/- 2 %", "37.40 lb ± 2 %"),
        ("2 h  40 min", "2 h 40 min"),
        ("(1 + 2) *\n      3.1 lb ± 0.1 lb", "(1 + 2) * 3.1 lb ± 0.1 lb"),
        ("\"two  spaces +/- -- x\"", "\"two  spaces +/- -- x\""),
        ("(2 lb -- the hose\n + 1 lb)", "(2 lb + 1 lb)"),
        ("$3.89/gal", "$3.89/gal"),
        ("37.4±0.2 lb sd df=18", "37.4 ± 0.2 lb sd df=18"),
        ("1_250 W", "1_250 W"),
        ("?", "?"),
        ("", ""),
        ("\"open", "\"open"),
    ] {
        assert_eq!(digits::as_written(text).display(), expected, "{text}");
    }
}

#[test]
fn times_and_moments() {
    // "times `21:40`, moments `2026-01-11 21:40`"; machine formats carry all digits
    let day = number("86400");
    let time = |text: &str, width: &str| {
        let expanded = expanded(width);
        moment::shown_time(number(text), expanded.as_ref()).unwrap().display()
    };
    assert_eq!(time("78000", ""), "21:40");
    assert_eq!(time("78030", ""), "21:40:30");
    assert_eq!(time("78030.4", ""), "21:41");
    assert_eq!(time("78030", "1080"), "21:41 ± 18 min k=2");
    // 1700 min, 28 h 20 min; from two days up in days
    assert_eq!(time("78030", "102000"), "21:41 ± 28 h k=2");
    assert_eq!(time("78030", "7800"), "21:41 ± 2 h 10 min k=2");
    assert_eq!(time("78030", "432000"), "21:41 ± 5 d k=2");
    assert_eq!(time("78030", "30"), "21:40:30 ± 30 s k=2");
    assert_eq!(time("109000", ""), "06:16:40 (+1 d)");
    assert_eq!(time("-60", ""), "23:59 (-1 d)");
    assert_eq!(moment::machine_time(number("78000")).unwrap(), "21:40:00");
    assert_eq!(moment::machine_time(number("78000.25")).unwrap(), "21:40:00.25");
    // 2026-01-11 is 20464 days after 1970-01-01 (`date -d 2026-01-11 +%s` in UTC / 86400)
    let seconds = number("20464").mul(day).unwrap().add(number("78000")).unwrap();
    assert_eq!(
        moment::shown_moment(seconds, None).unwrap().display(),
        "2026-01-11 21:40"
    );
    assert_eq!(moment::machine_moment(seconds).unwrap(), "2026-01-11T21:40:00");
    assert_eq!(moment::machine_moment(number("7.9e28")), None);
}

// ---- one invented outage in every format --------------------------------

fn entry(kind: EntryKind, name: &str, line: u32, value: &str, unit: &str, shown: &str) -> Entry {
    let (shown_value, uncertainty) = match shown.split_once(" ± ") {
        Some((value, uncertainty)) => (value, Some(uncertainty.to_owned())),
        None => (shown, None),
    };
    Entry {
        name: name.to_owned(),
        label: None,
        kind,
        line,
        section: None,
        held_by: None,
        value_type: ValueType::Number,
        value: Value::One(Scalar::Text(value.to_owned())),
        unit: Some(unit.to_owned()).filter(|unit| !unit.is_empty()),
        uncertainty: Uncertainty::Nothing,
        drawn: Drawings::Nothing,
        shown: Shown {
            value: shown_value.to_owned(),
            uncertainty,
            mark: None,
            place: None,
            rows: None,
        },
        rows: None,
        source: None,
        note: None,
        waits_on: Vec::new(),
        in_table: None,
        formula: None,
        basis: Basis::default(),
        rule_errors: Vec::new(),
    }
}

fn some(text: &str) -> Option<String> {
    Some(text.to_owned())
}

fn inputs() -> Vec<Entry> {
    use EntryKind::{Assumed, Measured, Quoted, Worked};
    let cylinder = |entry: Entry, source: &str| Entry {
        section: some("Cylinder"),
        source: some(source).filter(|source| !source.is_empty()),
        ..entry
    };
    let tare = entry(Quoted, "tare", 5, "24.6", "lb", "24.6 lb ± 0.2 lb");
    let gross = entry(Measured, "gross", 6, "51.9", "lb", "51.9 lb ± 0.05 lb");
    let fuel = entry(Worked, "fuel", 8, "27.3", "lb", "27.3 lb ± 0.2 lb k=2");
    let air = entry(Assumed, "air", 14, "-5", "°F", "-5 °F ± 4 °F");
    let again = entry(Measured, "gross_after", 9, "", "lb", "not yet known");
    vec![
        cylinder(
            Entry {
                uncertainty: Uncertainty::One("0.1154700538379252".to_owned()),
                ..tare
            },
            "collar stamp, TW",
        ),
        cylinder(
            Entry {
                note: some("dial at eye height"),
                ..gross
            },
            "hanging scale, hose off",
        ),
        cylinder(
            Entry {
                formula: some("net_contents(gross, tare)"),
                ..fuel
            },
            "",
        ),
        cylinder(
            Entry {
                value: Value::Nothing,
                ..again
            },
            "",
        ),
        Entry {
            section: some("Burn"),
            held_by: Some(Holder::Case),
            source: some("=HYPERLINK(\"forecast\")"),
            ..air
        },
    ]
}

fn answers() -> Vec<Entry> {
    use EntryKind::Answer;
    let answer = |entry: Entry, label: &str, formula: &str| Entry {
        section: some("Answers"),
        label: some(label),
        formula: some(formula),
        basis: Basis {
            measured: 2,
            quoted: 1,
            assumed: 1,
            tables: 0,
        },
        ..entry
    };
    let runtime = entry(Answer, "runtime", 18, "8.6041", "h", "8 h 36 min ± 18 min k=2");
    let margin = entry(Answer, "margin", 20, "38.25", "%", "38 % ± 12 % k=2");
    let after = entry(Answer, "burned", 22, "", "lb", "waits for gross_after (line 9)");
    vec![
        answer(runtime, "by weight", "(fuel - swap_at) / rate"),
        Entry {
            rule_errors: vec!["the rule itself may be off by 2".to_owned()],
            ..answer(margin, "icing margin", "icing_margin(supply, demand)")
        },
        Entry {
            value: Value::Nothing,
            waits_on: vec![Awaited {
                name: "gross_after".to_owned(),
                place: "line 9".to_owned(),
                standing: Standing::Blank,
            }],
            ..answer(after, "burned overnight", "gross - gross_after")
        },
    ]
}

fn readings() -> Table {
    let texts = ["21:40", "22:40", "23:40", "00:40"];
    let machine = ["21:40:00", "22:40:00", "23:40:00", "00:40:00"];
    let weights = ["51.9", "51.0", "", "49.2"];
    let machine_weights = ["51.9", "51", "", "49.2"];
    let cells = |values: &[&str]| values.iter().map(|text| text.to_string()).collect();
    let scalar = |text: &&str| some(text).filter(|text| !text.is_empty()).map(Scalar::Text);
    Table {
        name: "log".to_owned(),
        label: some("The first night"),
        line: 10,
        source: some("our own run, 11 January"),
        two_ways: None,
        formula: None,
        made: false,
        standing: None,
        columns: vec![
            Column {
                name: "time".to_owned(),
                value_type: ValueType::Time,
                unit: None,
                values: machine.iter().map(scalar).collect(),
                uncertainty: None,
                shown: cells(&texts),
                tolerance: None,
                coverage: None,
            },
            Column {
                name: "gross".to_owned(),
                value_type: ValueType::Number,
                unit: some("lb"),
                values: machine_weights.iter().map(scalar).collect(),
                uncertainty: Some(weights.iter().map(|_| some("0.02886751345948129")).collect()),
                shown: cells(&weights),
                tolerance: some("0.05"),
                coverage: None,
            },
        ],
    }
}

fn checks() -> Vec<Check> {
    let check = |line, text: &str, holds, message: Option<&str>, remark: Option<&str>| Check {
        line,
        name: None,
        close: false,
        marks: false,
        file: None,
        text: text.to_owned(),
        holds,
        message: message.map(str::to_owned),
        compared: (holds == Some(false)).then(|| "as it stands, margin is 84 %".to_owned()),
        either_way: remark.is_some(),
        waits: false,
        in_hundred: None,
        remark: remark.map(str::to_owned),
    };
    vec![
        check(
            7,
            "fuel <= fill_limit(water_capacity)",
            Some(true),
            None,
            Some("the limit lies within the expanded uncertainty"),
        ),
        check(
            21,
            "margin >= 100 %",
            Some(false),
            Some("in calm air the rule may be off by two: share the draw, or run less"),
            None,
        ),
        check(
            23,
            "burned < 20 lb",
            None,
            Some("`burned` waits for `gross_after` (line 9)"),
            None,
        ),
    ]
}

fn weight() -> Chart {
    let number = |text: &str| Number::parse(text).ok();
    let sample = |(across, up): (&str, &str)| Sample {
        across: number(across),
        up: number(up),
        half_width: None,
    };
    let line = Line {
        label: "gross".to_owned(),
        samples: [("0", "51.9"), ("1", "50.1"), ("2", "48.4")].map(sample).to_vec(),
        trace: tarebook::report::chart::Trace::Values,
    };
    let measures = (&Measure::plain("hours", "h"), &Measure::plain("gross", "lb"));
    Chart::of_lines("Weight | through the run", measures, &[line], &[])
}

fn outage() -> Report {
    let caution = Caution {
        file: None,
        code: "calm-air".to_owned(),
        weight: tarebook::report::model::Weight::Plan,
        brief: "in still air expect a third to a half of it",
        answers: Vec::new(),
        accuses: false,
        text: "the rule assumes wind of about 10 mph; in still air expect a third to a half".to_owned(),
        source: "computed".to_owned(),
        names: vec!["margin".to_owned()],
    };
    let problem = Problem {
        code: "unit-clash".to_owned(),
        severity: Severity::Problem,
        message: "`rate` and `price` can't be added".to_owned(),
        file: None,
        line: 24,
        column: 21,
        help: some("multiply them"),
    };
    let section = |level, title: &str, parts| Section {
        level,
        title: title.to_owned(),
        parts,
    };
    let prose = "Two nights on the small set. The furnace fan and the well pump are what matter.";
    Report {
        file: "run.tare".to_owned(),
        title: some("Ridge house, January ice storm"),
        case: Some(Case {
            name: "deep_cold".to_owned(),
            title: some("Night at −5 °F"),
        }),
        trials: Vec::new(),
        entries: inputs().into_iter().chain(answers()).collect(),
        tables: vec![readings()],
        checks: checks(),
        cautions: vec![caution],
        problems: vec![problem],
        open: Vec::new(),
        left_out: 0,
        charts: vec![weight()],
        sections: vec![
            section(1, "Ridge house, January ice storm", vec![Part::Prose(prose.to_owned())]),
            section(
                2,
                "Cylinder",
                vec![
                    Part::Entry(0),
                    Part::Entry(1),
                    Part::Entry(2),
                    Part::Check(0),
                    Part::Entry(3),
                ],
            ),
            section(2, "Burn", vec![Part::Table(0), Part::Chart(0), Part::Entry(4)]),
            section(
                2,
                "Answers",
                vec![
                    Part::Entry(5),
                    Part::Entry(6),
                    Part::Check(1),
                    Part::Entry(7),
                    Part::Check(2),
                ],
            ),
        ],
    }
}

fn written(write: impl Fn(&mut Vec<u8>) -> std::io::Result<()>) -> String {
    let mut bytes = Vec::new();
    write(&mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

fn plain(width: usize) -> Style {
    Style {
        width,
        ..Style::default()
    }
}

#[test]
fn terminal_at_80_columns() {
    insta::assert_snapshot!(whole::text(&outage(), plain(80)));
}

#[test]
fn terminal_at_60_columns() {
    insta::assert_snapshot!(whole::text(&outage(), plain(60)));
}

#[test]
fn terminal_section_with_its_answers() {
    let report = outage();
    insta::assert_snapshot!(whole::section(&report, &report.sections[3], plain(80)));
}

#[test]
fn no_line_is_wider_than_the_terminal() {
    for width in [40, 48, 60, 72, 80, 100, 120] {
        let text = whole::text(&outage(), plain(width));
        for line in text.lines() {
            assert!(line.chars().count() <= width, "{width}: {line}");
        }
    }
}

#[test]
fn colour_only_wraps_the_text() {
    let coloured = whole::text(
        &outage(),
        Style {
            colour: true,
            width: 80,
            ..Style::default()
        },
    );
    assert!(coloured.contains("\u{1b}[1m"));
    let mut bare = String::new();
    let mut rest = coloured.as_str();
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        bare.push_str(before);
        rest = after.split_once('m').unwrap().1;
    }
    bare.push_str(rest);
    let trimmed = |text: &str| text.lines().map(|line| line.trim_end().to_owned()).collect::<Vec<_>>();
    assert_eq!(trimmed(&bare), trimmed(&whole::text(&outage(), plain(80))));
}

#[test]
fn markdown_page() {
    insta::assert_snapshot!(whole::markdown(&outage()));
}

#[test]
fn markdown_signs_are_no_markup() {
    assert_eq!(escaped("~~18 lb~~ *now* `x` a_b"), r"\~\~18 lb\~\~ \*now\* \`x\` a\_b");
    assert_eq!(
        escaped("# [a](b) | $5 ! {c} <b> @me"),
        r"\# \[a\](b) \| \$5 \! \{c\} &lt;b&gt; &#64;me"
    );
}

#[test]
fn json_object() {
    insta::assert_snapshot!(written(|output| json::write(&outage(), output)));
}

#[test]
fn csv_rows() {
    insta::assert_snapshot!(written(|output| csv::write(&outage(), output)));
}

#[test]
fn json_keys_stand_in_the_order_of_the_schema() {
    // the machine format's own list, schema 2
    let keys = [
        (
            "",
            "schema title file case trials entries tables checks cautions problems",
        ),
        (
            "entries",
            "name label kind line section held_by type value unit uncertainty drawn display \
            rows from note waits_on",
        ),
        ("tables", "name label line from columns"),
        ("columns", "name type unit values uncertainty"),
        ("checks", "line text holds message either_way"),
        ("cautions", "code weight text source names"),
        ("problems", "code severity message file line column help"),
    ];
    let text = written(|output| json::write(&outage(), output));
    for (list, expected) in keys {
        let found = keys_of_first_object(&text, list);
        let expected: Vec<&str> = expected.split_whitespace().collect();
        assert_eq!(found, expected, "{list}");
    }
}

/// The keys of the first object in the list of that name, by their indent.
fn keys_of_first_object(text: &str, list: &str) -> Vec<String> {
    let opening = format!("\"{list}\": [");
    let lines = text
        .lines()
        .skip_while(|line| !list.is_empty() && !line.ends_with(&opening));
    let mut lines = lines.skip(usize::from(!list.is_empty()));
    let first = lines.next().unwrap();
    let indent = first.len() - first.trim_start().len();
    let inside = lines.take_while(|line| line.len() - line.trim_start().len() > indent);
    let own = inside.filter(|line| line.len() - line.trim_start().len() == indent + 2);
    let keys = own.filter_map(|line| line.trim().strip_prefix('"')?.split_once("\": "));
    keys.map(|(key, _)| key.to_owned()).collect()
}

#[test]
fn an_array_holds_one_object_a_file() {
    let text = written(|output| json::write_all(&[outage(), Report::default()], output));
    assert!(text.starts_with("[\n  {\n    \"schema\": 2,"));
    assert_eq!(text.matches("\"schema\": 2").count(), 2);
}

#[test]
fn worksheet_text_can_do_no_harm() {
    let mut report = outage();
    report.title = some("\u{1b}[2J# gone\u{202e}");
    report.entries[1].source = some("<b>\n|[x](y) $a$ @somebody `code`\u{9b}");
    let terminal = whole::text(&report, plain(80));
    assert!(!terminal.contains(['\u{1b}', '\u{202e}', '\u{9b}']));
    assert!(terminal.contains("␛[2J# gone\\u{202e}"));
    let markdown = whole::markdown(&report);
    assert!(markdown.contains("# ␛\\[2J\\# gone\\\\u\\{202e\\}"), "{markdown}");
    assert!(
        markdown.contains("&lt;b&gt; \\|\\[x\\](y) \\$a\\$ &#64;somebody \\`code\\`"),
        "{markdown}"
    );
    let rows = written(|output| csv::write(&report, output));
    assert!(rows.contains("\"'=HYPERLINK(\"\"forecast\"\")\""), "{rows}");
    assert!(rows.contains(",-5,°F,,'-5 °F ± 4 °F,"), "{rows}");
}

#[test]
fn an_empty_report_writes_in_every_format() {
    let report = Report::default();
    assert_eq!(whole::text(&report, plain(80)), "");
    assert_eq!(whole::markdown(&report), "# Worksheet\n");
    assert!(written(|output| json::write(&report, output)).contains("\"title\": null"));
    assert_eq!(written(|output| csv::write(&report, output)).lines().count(), 1);
}

#[test]
fn a_long_table_shows_its_first_rows_and_their_number() {
    let mut report = outage();
    for column in &mut report.tables[0].columns {
        column.shown = (0..312).map(|row| row.to_string()).collect();
    }
    let text = whole::text(&report, plain(80));
    assert!(text.contains("… the first 24 of 312 rows"), "{text}");
    assert_eq!(whole::markdown(&report).matches("\n| 311 | 311 |").count(), 1);
}

#[test]
fn carbon_monoxide_is_spoken_of_once() {
    let mut report = outage();
    let closing = "Carbon monoxide kills";
    assert_eq!(whole::text(&report, plain(120)).matches(closing).count(), 1);
    report.cautions[0].code = "carbon-monoxide".to_owned();
    assert_eq!(whole::text(&report, plain(120)).matches(closing).count(), 0);
    let decide = "Local code and a licensed person decide";
    assert_eq!(whole::text(&report, plain(120)).matches(decide).count(), 1);
}

// ---- problems drawn -------------------------------------------------------

fn clash() -> DrawnProblem {
    let text = "answer   cost [$/h] = rate + price";
    DrawnProblem {
        file: "ridge.tare".to_owned(),
        code: "unit-clash".to_owned(),
        severity: Severity::Problem,
        message: "`rate` and `price` can't be added".to_owned(),
        line: 29,
        column: 28,
        text: text.to_owned(),
        mark: text.find('+').unwrap()..text.find('+').unwrap() + 1,
        label: String::new(),
        labels: vec![label(29, text, "rate", "`rate` is in lb/h")],
        help: some("divide by a density to get from weight to volume, then multiply by the price"),
        cell: None,
    }
}

fn label(line: u32, text: &str, piece: &str, says: &str) -> DrawnLabel {
    let start = text.find(piece).unwrap();
    DrawnLabel {
        line,
        text: text.to_owned(),
        mark: start..start + piece.len(),
        label: says.to_owned(),
    }
}

fn price(problem: &mut DrawnProblem) {
    let line = "assumed  price       = $3.89/gal             from \"supplier's board\"";
    let text = problem.text.clone();
    problem.labels.push(label(29, &text, "price", "`price` is in $/gal"));
    problem
        .labels
        .push(label(16, line, "$3.89/gal", "here it gets its unit"));
}

#[test]
fn a_clash_with_the_lines_that_matter() {
    let mut problem = clash();
    price(&mut problem);
    insta::assert_snapshot!(draw(&problem, plain(80)));
}

#[test]
fn a_lint_at_one_piece() {
    let text = "quoted   gal = 24.6 lb ± 0.2 lb";
    let problem = DrawnProblem {
        code: "name-is-unit".to_owned(),
        severity: Severity::Lint,
        message: "`gal` is also a unit".to_owned(),
        text: text.to_owned(),
        mark: 9..12,
        label: "this name".to_owned(),
        labels: Vec::new(),
        help: None,
        ..clash()
    };
    insta::assert_snapshot!(draw(&problem, plain(80)));
}

#[test]
fn a_long_line_is_cut_around_its_piece() {
    let text = format!(
        "worked  total = {} + gras + {}",
        "fuel + ".repeat(20),
        "rate + ".repeat(20)
    );
    let start = text.find("gras").unwrap();
    let problem = DrawnProblem {
        code: "unknown-name".to_owned(),
        message: "there is no entry `gras`".to_owned(),
        mark: start..start + 4,
        label: "no entry has this name; the nearest one that the worksheet knows is `gross`".to_owned(),
        labels: Vec::new(),
        help: some("write `gross`"),
        text,
        ..clash()
    };
    insta::assert_snapshot!(draw(&problem, plain(60)));
}

#[test]
fn wide_letters_tabs_and_control_characters() {
    let text = "worked\t水 = \u{1b}[31m重さ + e\u{301}tage";
    let start = text.find("重さ").unwrap();
    let mut problem = DrawnProblem {
        code: "unknown-name".to_owned(),
        message: "there is no entry `重さ`".to_owned(),
        mark: start..start + "重さ".len(),
        label: "unknown".to_owned(),
        text: text.to_owned(),
        labels: vec![label(29, text, "e\u{301}tage", "known")],
        help: None,
        ..clash()
    };
    problem.cell = Some(DrawnCell {
        file: "run\u{7}.csv".to_owned(),
        row: 5,
        column: "gross".to_owned(),
    });
    insta::assert_snapshot!(draw(&problem, plain(80)));
}

#[test]
fn any_mark_on_any_line_is_drawn() {
    let lines = [
        "",
        "a",
        "水水水",
        "\t\t",
        "e\u{301}\u{301}",
        &"x y ".repeat(300),
        "\u{202e}\0",
    ];
    for text in lines {
        for start in 0..=text.len().min(40) + 1 {
            for length in [0, 1, 3, 2000] {
                let problem = DrawnProblem {
                    text: text.to_owned(),
                    mark: start..start + length,
                    labels: Vec::new(),
                    ..clash()
                };
                let drawing = draw(&problem, plain(44));
                assert!(drawing.contains("unit-clash"));
                assert!(!drawing.contains(['\u{202e}', '\0', '\t']));
            }
        }
    }
}

#[test]
fn a_place_in_the_tree_becomes_a_line() {
    let first = "\u{feff}quoted tare = 24.6 lb\r\n";
    let second = "answer x = (tare +\r\n   é * gras)\r\n";
    let item = |start: usize, text: &str| Item {
        start: start as u32,
        len: text.len() as u32,
        node: Node::Broken,
        problems: Vec::new(),
    };
    let worksheet = Worksheet {
        text: format!("{first}{second}"),
        items: vec![item(0, first), item(first.len(), second)],
        ..Worksheet::default()
    };
    let place = |item: u32, text: &str, piece: &str| {
        let start = text.find(piece).unwrap();
        Place::new(item, Span::new(start, start + piece.len()))
    };
    let problem = problem::Problem::new(Code::UnknownName, "no `gras`", place(1, second, "gras"))
        .also(place(0, first, "tare"), "a name there is");
    let drawn = place::drawn(&problem, &worksheet, "ridge.tare", |item| item + 1);
    assert_eq!((drawn.line, drawn.column), (3, 8));
    assert_eq!(&drawn.text[drawn.mark.clone()], "gras");
    assert_eq!(drawn.text, "   é * gras)");
    let label = &drawn.labels[0];
    assert_eq!((label.line, &label.text[label.mark.clone()]), (1, "tare"));
    assert_eq!(label.text, "quoted tare = 24.6 lb");
    let machine = place::machine(&problem, &worksheet, 2);
    assert_eq!((machine.line, machine.column, machine.file), (3, 8, None));
    let beyond = problem::Problem::new(Code::Loop, "gone", Place::new(9, Span::new(7_000, 8_000)));
    assert!(
        draw(
            &place::drawn(&beyond, &worksheet, "ridge.tare", |item| item + 1),
            plain(80)
        )
        .contains("loop")
    );
}

// ---- what a trial changed -------------------------------------------------

fn check_difference(before: &str, now: &str, unit: &str, form: Form, manner: Manner, expected: &str) {
    let stand = |text: &str| {
        let quantity = Quantity {
            value: number(text),
            unit,
            form,
            expanded: None,
        };
        Stand {
            value: quantity.value,
            place: digits::calculated(&quantity, 4).place,
        }
    };
    let found = change::gap(stand(before), stand(now), unit, form, manner);
    assert_eq!(
        found.map(|gap| gap.words()).unwrap_or_default(),
        expected,
        "{before} → {now} {unit}"
    );
}

#[test]
fn differences_in_words() {
    use Manner::{Amount, Level, Money, Time};
    check_difference("8.6", "5.1", "h", Form::Plain, Time, "shorter by 3.5 h (-41 %)");
    check_difference(
        "8.6",
        "5.1",
        "h",
        Form::HoursAndMinutes,
        Time,
        "shorter by 3 h 30 min (-41 %)",
    );
    check_difference(
        "0.5",
        "1.25",
        "$/h",
        Form::MoneyPerUnit,
        Money,
        "up by $0.75/h (+150 %)",
    );
    check_difference("12.5", "11.25", "$", Form::Money, Money, "down by $1.25 (-10 %)");
    // As on paper: what is shown is subtracted, so the two values and the difference agree.
    check_difference(
        "20.0004",
        "10.00049",
        "lb",
        Form::Plain,
        Amount,
        "down by 10.00 lb (-50 %)",
    );
    check_difference(
        "1.5061",
        "2.4964",
        "h",
        Form::HoursAndMinutes,
        Time,
        "longer by 1 h 0 min (+66 %)",
    );
    check_difference("20", "24", "lb", Form::Plain, Amount, "up by 4 lb (+20 %)");
    // a share of next to nothing tells nothing
    check_difference("0.0001", "2", "h", Form::Plain, Time, "longer by 2 h");
    check_difference("20", "-5", "F°", Form::Plain, Level, "lower by 25 F°");
    // a share has the sign of the difference, whatever that of what was
    check_difference("-4", "-2", "lb", Form::Plain, Amount, "up by 2 lb (+50 %)");
    check_difference("-4", "-6", "lb", Form::Plain, Amount, "down by 2 lb (-50 %)");
    check_difference("-4", "2", "h", Form::Plain, Time, "longer by 6 h (+150 %)");
    check_difference("138", "38", "%", Form::Plain, Level, "lower by 100 percentage points");
    check_difference("0", "4", "lb", Form::Plain, Amount, "up by 4 lb");
    check_difference("20", "20", "lb", Form::Plain, Amount, "");
    check_difference("1.2340001", "1.2340002", "lb", Form::Plain, Amount, "");
}

fn changes() -> Changes {
    let shown = |text: &str| digits::as_written(text);
    let change = |name: &str, before: &str, now: &str, difference: &str| Change {
        name: name.to_owned(),
        before: shown(before),
        now: shown(now),
        difference: some(difference).filter(|text| !text.is_empty()),
        short: None,
    };
    Changes {
        answers: vec![
            change(
                "runtime",
                "8.6 h ± 0.3 h k=2",
                "5.1 h ± 0.2 h k=2",
                "shorter by 3.5 h (-41 %)",
            ),
            change("margin", "138 %", "38 %", "lower by 100 percentage points"),
            change("burned", "9.2 lb", "waits for gross (line 9)", ""),
        ],
        checks: vec![Flip {
            close: false,
            place: "line 21".to_owned(),
            text: "margin >= 100 %".to_owned(),
            before: Some(true),
            now: Some(false),
            message: some("in calm air the rule may be off by two: share the draw, or run less"),
            compared: some("as it stands, margin is 84 %"),
        }],
    }
}

/// What waits for much is broken between words, at any width.
#[test]
fn changes_keep_to_the_width() {
    let mut changes = changes();
    let names: Vec<String> = (1..9).map(|line| format!("a_long_name_{line} (line {line})")).collect();
    changes.answers[2].before = Shown::text(format!("waits for {}", names.join(", ")));
    changes.answers[2].now = Shown::text("12 lb");
    for width in [20, 40, 80, 120] {
        let text = change::write(&changes, plain(width));
        let most = plain(width).columns();
        assert!(
            text.lines().all(|line| line.chars().count() <= most),
            "{width}:\n{text}"
        );
        assert!(
            names.iter().all(|name| text.contains(name.split(' ').next().unwrap())),
            "{text}"
        );
    }
}

/// Columns that have no room beside each other go below, each under its whole name.
#[test]
fn names_of_columns_are_not_broken() {
    let heads = [
        "shell",
        "size [in]",
        "visual",
        "requalified",
        "water_capacity [lb]",
        "tare_weight [lb]",
        "bought_from",
    ];
    let row = "| red | 12 | fine | 2026-05-01 | 47.6 | 17.9 | the hardware store in the valley |\n";
    let text = format!("table shells\n  | {} |\n  {row}", heads.join(" | "));
    let sheet = tarebook::sheet::Sheet::load(text, None);
    let report = tarebook::report::compose::report(&sheet, tarebook::report::compose::Options::default());
    for width in [20, 40, 80, 120] {
        let text = whole::text(&report, plain(width));
        let most = plain(width).columns();
        assert!(
            text.lines().all(|line| line.chars().count() <= most),
            "{width}:\n{text}"
        );
        for head in heads {
            assert!(
                text.contains(head.split(' ').next().unwrap()),
                "{head} at {width}:\n{text}"
            );
        }
    }
}

#[test]
fn changes_side_by_side() {
    insta::assert_snapshot!(change::write(&changes(), plain(100)));
}

#[test]
fn changes_at_60_columns() {
    insta::assert_snapshot!(change::write(&changes(), plain(60)));
}

#[test]
fn nothing_changed() {
    assert_eq!(change::write(&Changes::default(), plain(80)), "  No answer changes.\n");
}

// ---- whatever the numbers ---------------------------------------------------

/// A shown number as it would be typed, without its unit.
fn typed_back(shown: &str) -> Number {
    number(shown.split_whitespace().next().unwrap())
}

proptest::proptest! {
    #[test]
    fn a_shown_number_types_back_within_half_a_step(
        figures in -9_999_999_999i64..9_999_999_999,
        power in -18i32..18,
        width in 0u32..999_999,
        width_power in -18i32..18,
        digits in 0u32..30,
    ) {
        let scaled = |figures: u64, power: i32| number(&format!("{figures}e{power}"));
        let value = scaled(figures.unsigned_abs(), power);
        let value = if figures < 0 { value.neg() } else { value };
        let half_width = scaled(u64::from(width), width_power);
        let expanded = Expanded { half_width, factor: Number::from_integer(2), degrees_of_freedom: None };
        let quantity = Quantity { value, unit: "lb", form: Form::Plain, expanded: Some(expanded) };
        let shown = digits::calculated(&quantity, digits);
        let typed = typed_back(&shown.value);
        let step = number(&format!("1e{}", shown.place.unwrap()));
        let gap = typed.sub(value).unwrap().abs();
        let twice = gap.mul(Number::from_integer(2)).unwrap_or(Number::ZERO);
        proptest::prop_assert!(twice <= step, "{value} shows as {}", shown.display());
        if let Some(text) = &shown.uncertainty {
            proptest::prop_assert!(!typed_back(text).is_zero(), "{}", shown.display());
        }
    }

    #[test]
    fn any_text_is_shown_without_control_characters(text in "\\PC*|.*", width in 0usize..200) {
        let mut report = outage();
        report.title = some(&text);
        report.entries[0].source = some(&text);
        report.entries[5].label = some(&text);
        report.tables[0].columns[1].shown[0] = text.clone();
        let page = whole::text(&report, plain(width));
        let hidden = |c: char| c != '\n' && tarebook::report::visible::is_hidden(c);
        proptest::prop_assert!(!page.contains(hidden));
        let _ = (whole::markdown(&report), digits::as_written(&text).display());
    }
}

/// What moves too little to show it isn't told as a change; how sure it was stands beside what was.
#[test]
fn what_doesnt_show_is_named_once() {
    let shown = |value: &str, uncertainty: &str| Shown {
        uncertainty: Some(uncertainty.to_owned()),
        ..Shown::text(value)
    };
    let change = |name: &str, before: Shown, now: Shown, short: Option<&str>| Change {
        name: name.to_owned(),
        before,
        now,
        difference: short.map(|short| format!("higher by {short}, in many more words than fit")),
        short: short.map(str::to_owned),
    };
    let rate = shown("1.89 lb/h", "0.08 lb/h k=2");
    let answers = vec![
        change(
            "rate",
            rate.clone(),
            shown("1.85 lb/h", "0.07 lb/h k=2"),
            Some("-0.04 lb/h"),
        ),
        change(
            "share",
            shown("8.41 %", "0.21 % k=2"),
            shown("8.4 %", "0.3 % k=2.4 df=5"),
            Some("+0.4 points"),
        ),
        change("hose", rate.clone(), rate.clone(), None),
        change("cost", shown("$3.90", "$0.20 k=2"), shown("$3.90", "$0.20 k=2"), None),
    ];
    let changes = Changes {
        answers,
        checks: Vec::new(),
    };
    assert_eq!(
        change::write(&changes, plain(78)),
        "  rate    1.89 ± 0.08 lb/h   → 1.85 lb/h ± 0.07 lb/h k=2   -0.04 lb/h\n\
        \x20 share   8.41 ± 0.21 % k=2  → 8.4 % ± 0.3 % k=2.4 df=5    +0.4 points\n\
        \x20 hose, cost move by less than is shown.\n"
    );
}
