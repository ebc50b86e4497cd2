//! Charts: ticks and words by property and by hand, drawings as a reader gets them, in a
//! terminal and as SVG.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::path::Path;

use proptest::prelude::{Strategy, prop_assert};
use roxmltree::{Document, Node};
use tarebook::number::Number;
use tarebook::report::chart::axis::{Ends, Range, axis};
use tarebook::report::chart::{Body, Bound, Chart, Course, Line, Measure, Plane, Sample, Scale, Trace, svg, terminal};
use tarebook::report::compose::Options;
use tarebook::report::style::{Letters, Style};
use tarebook::report::visible::columns;
use tarebook::report::{Report, whole};
use tarebook::session::Session;
use tarebook::session::vary::SweepAsked;
use tarebook::study::Unwatched;

fn number(text: &str) -> Number {
    let found = Number::parse(text.trim_start_matches('-')).unwrap_or_else(|_| panic!("{text}"));
    if text.starts_with('-') { found.neg() } else { found }
}

/// `1 2; 3 ?; 5 6±1`: across and up, `?` for a missing cell.
fn line(label: &str, samples: &str) -> Line {
    let cell = |text: &str| (text != "?").then(|| number(text));
    let sample = |text: &str| {
        let (across, up) = text.trim().split_once(' ').unwrap();
        let (up, half_width) = up.split_once('±').unwrap_or((up, "?"));
        Sample {
            across: cell(across),
            up: cell(up),
            half_width: cell(half_width),
        }
    };
    Line {
        label: label.to_owned(),
        samples: samples.split(';').filter(|text| !text.is_empty()).map(sample).collect(),
        trace: Trace::Values,
    }
}

fn bound(course: Course, value: &str, text: &str) -> Bound {
    Bound {
        course,
        value: number(value),
        text: text.to_owned(),
    }
}

fn measure(name: &str, scale: Scale) -> Measure {
    Measure {
        name: name.to_owned(),
        unit: String::new(),
        scale,
        from_zero: false,
    }
}

fn of(samples: &str) -> Chart {
    let (across, up) = (Measure::plain("run", "h"), Measure::plain("gross", "lb"));
    Chart::of_lines("Weight", (&across, &up), &[line("gross", samples)], &[])
}

fn plane(chart: &Chart) -> &Plane {
    match &chart.body {
        Body::Plane(plane) => plane,
        other => panic!("{other:?}"),
    }
}

fn has_bands(chart: &Chart) -> bool {
    let mut points = plane(chart).series.iter().flat_map(|series| &series.points);
    points.any(|point| point.up.is_some() && point.band.is_some())
}

fn style(width: usize, letters: Letters) -> Style {
    Style {
        width,
        letters,
        ..Style::default()
    }
}

// ---- charts to look at ----

fn weights() -> Chart {
    let (across, up) = (measure("time", Scale::TimeOfDay), Measure::plain("gross", "lb"));
    let samples = "63000 34±0.6; 64800 33.2±0.6; 66600 32.5±0.6; 68400 ?; 70200 30.8±0.6; 72000 30.1±0.6; 73800 29±0.6";
    let limits = [bound(Course::Level, "31.5", "31.5 lb (line 7)")];
    Chart::of_lines(
        "Weight through the run",
        (&across, &up),
        &[line("gross", samples)],
        &limits,
    )
}

fn two_nights() -> Chart {
    let (across, up) = (Measure::plain("time", "h"), Measure::plain("pressure", "psig"));
    let curve = |start: f64, fall: f64| {
        let points = (0..=60).map(|step| {
            let hours = f64::from(step) * 0.25;
            format!("{hours} {:.3}", start * libm::exp(-hours / fall))
        });
        points.collect::<Vec<_>>().join(";")
    };
    let lines = [
        line("alone", &curve(50.0, 5.0)),
        line("on the manifold", &curve(55.0, 12.0)),
    ];
    let limits = [
        bound(Course::Level, "5", "least_pressure = 5 psig"),
        bound(Course::Upright, "11.5", "alone.pressure >= 5 psig (line 12)"),
        bound(Course::Level, "900", "far above"),
    ];
    Chart::of_lines("Two ways through the night", (&across, &up), &lines, &limits)
}

fn scattered() -> Chart {
    let (across, up) = (Measure::plain("load", "W"), Measure::plain("rate", "lb/h"));
    let samples = "600 1.3±0.1; 1200 1.9±0.15; 300 1.05±0.1; 900 1.6±0.1";
    Chart::of_lines("rates over load", (&across, &up), &[line("rate", samples)], &[])
}

fn shares() -> Chart {
    let labels = [
        "gross",
        "tare, stamped on the collar years ago",
        "no_load_share",
        "price",
    ]
    .map(str::to_owned);
    let values = [Some(number("12.4")), Some(number("61.5")), Some(number("-8.25")), None];
    Chart::bars("What it rests on", &Measure::plain("share", "%"), &labels, &values)
}

fn drawn_runtimes() -> Chart {
    let counts = [2, 9, 31, 88, 190, 260, 255, 120, 33, 10, 2];
    let hours = |tenths: i64| Number::from_parts(i128::from(tenths), 1).unwrap();
    let bins = counts.iter().zip(80i64..);
    let bins: Vec<(Number, Number, u64)> = bins
        .map(|(count, from)| (hours(from), hours(from + 1), *count))
        .collect();
    let markers = [
        (hours(82), "low".to_owned()),
        (hours(86), "mean".to_owned()),
        (hours(90), "high".to_owned()),
    ];
    Chart::histogram(
        "runtime, 1000 draws",
        &measure("runtime", Scale::HoursAndMinutes),
        &bins,
        &markers,
    )
}

fn nothing() -> Chart {
    of("1 ?; ? 2")
}

/// Readings with their line, from zero on both axes.
fn fuel_line() -> Chart {
    let (mut load, mut rate) = (Measure::plain("load", "W"), Measure::plain("rate", "lb/h"));
    (load.from_zero, rate.from_zero) = (true, true);
    let mut readings = line("rate", "500 1.4±0.1; 1000 2.1±0.1; 1500 2.6±0.1");
    readings.trace = Trace::Readings;
    let mut fitted = line("fitted line", "0 0.83; 1500 2.63");
    fitted.trace = Trace::Fitted;
    Chart::of_lines("Fuel over load", (&load, &rate), &[readings, fitted], &[])
}

/// A table of two ways, with a cell that has no value.
fn two_ways() -> Chart {
    let (load, air, time) = (
        Measure::plain("load", "W"),
        Measure::plain("wind", "mph"),
        Measure::plain("lasts", "h"),
    );
    let loads = ["300", "600", "900", "1200"];
    let rows = [
        ("0", ["9", "7", "5", "?"]),
        ("20", ["14", "11", "8", "6"]),
        ("40", ["22", "16", "12", "9"]),
    ];
    let cells = rows.iter().flat_map(|(air, lasts)| {
        let lasts = loads.iter().zip(lasts);
        lasts.map(move |(load, lasts)| (number(load), number(air), (*lasts != "?").then(|| number(lasts))))
    });
    Chart::cells("Until it stalls", (&load, &air, &time), &cells.collect::<Vec<_>>())
}

fn all() -> [(&'static str, Chart); 8] {
    [
        ("fuel_line", fuel_line()),
        ("two_ways", two_ways()),
        ("weights", weights()),
        ("two_nights", two_nights()),
        ("scattered", scattered()),
        ("shares", shares()),
        ("runtimes", drawn_runtimes()),
        ("nothing", nothing()),
    ]
}

#[test]
fn drawings_for_a_terminal() {
    for (name, chart) in all() {
        let mut drawn = String::new();
        for letters in [Letters::Drawn, Letters::Plain] {
            for width in [60, 80, 120] {
                let text = terminal::write(&chart, style(width, letters));
                drawn.push_str(&format!("---- {width} columns, {letters:?}\n{text}"));
            }
        }
        insta::assert_snapshot!(format!("terminal_{name}"), drawn);
    }
}

#[test]
fn drawings_as_svg() {
    for (name, chart) in all() {
        let drawn = svg::write(&chart, "drawn");
        check_svg(&drawn);
        assert_eq!(drawn, svg::write(&chart, "drawn"), "the same bytes every time");
        insta::assert_snapshot!(format!("svg_{name}"), drawn);
    }
}

#[test]
fn charts_in_words() {
    let told: Vec<String> = all()
        .iter()
        .map(|(name, chart)| format!("{name}: {}\n", chart.told))
        .collect();
    insta::assert_snapshot!("told", told.join("\n"));
}

// ---- what every drawing keeps to ----

/// Where a text of an SVG stands, by the widths that are counted on.
struct Stretch {
    left: f64,
    right: f64,
    base: f64,
    text: String,
}

fn stretch(node: &Node<'_, '_>) -> Stretch {
    let length = |name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
    let size = node.attribute("font-size").map_or(14.0, |size| size.parse().unwrap());
    let text = node.text().unwrap_or("").to_owned();
    let width = columns(&text) as f64 * size * 0.64;
    let left = match node.attribute("text-anchor") {
        Some("middle") => length("x") - width / 2.0,
        Some("end") => length("x") - width,
        _ => length("x"),
    };
    Stretch {
        left,
        right: left + width,
        base: length("y"),
        text,
    }
}

/// Well formed, described, without scripts or anything from elsewhere; texts inside the
/// drawing and clear of each other.
fn check_svg(drawn: &str) {
    let document = Document::parse(drawn).unwrap_or_else(|trouble| panic!("{trouble}\n{drawn}"));
    let root = document.root_element();
    assert_eq!((root.tag_name().name(), root.attribute("role")), ("svg", Some("img")));
    for id in root.attribute("aria-labelledby").unwrap().split(' ') {
        let named = root.children().find(|node| node.attribute("id") == Some(id)).expect(id);
        assert!(!named.text().unwrap_or("").is_empty() || named.tag_name().name() == "title");
    }
    let known = ["svg", "title", "desc", "text", "line", "path", "rect", "circle"];
    let elements = document.descendants().filter(Node::is_element);
    for element in elements {
        assert!(known.contains(&element.tag_name().name()), "{:?}", element.tag_name());
        let foreign = |name: &str| name.starts_with("on") || name.contains("href");
        assert!(
            !element.attributes().any(|attribute| foreign(attribute.name())),
            "{drawn}"
        );
    }
    for word in ["NaN", "inf", "-0\"", "url("] {
        assert!(!drawn.contains(word), "{word}\n{drawn}");
    }
    let bounds: Vec<f64> = root
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|length| length.parse().unwrap())
        .collect();
    let texts = document
        .descendants()
        .filter(|node| node.has_tag_name("text") || node.tag_name().name() == "text");
    let texts: Vec<Stretch> = texts.filter(Node::is_element).map(|node| stretch(&node)).collect();
    for (place, one) in texts.iter().enumerate() {
        let inside = one.left >= -1.0 && one.right <= bounds[2] + 1.0 && one.base > 0.0 && one.base < bounds[3];
        assert!(inside, "{} is outside\n{drawn}", one.text);
        for other in &texts[place + 1..] {
            let meets = one.left < other.right - 0.5 && other.left < one.right - 0.5;
            assert!(
                !meets || (one.base - other.base).abs() >= 11.0,
                "{} over {}\n{drawn}",
                one.text,
                other.text
            );
        }
    }
}

fn check_terminal(chart: &Chart) {
    for letters in [Letters::Drawn, Letters::Plain] {
        for width in [40, 47, 60, 80, 101, 120, 200] {
            let drawn = terminal::write(chart, style(width, letters));
            let widest = drawn.lines().map(columns).max().unwrap_or(0);
            assert!(widest <= width.min(120), "{widest} of {width} columns\n{drawn}");
            assert!(
                !drawn.chars().any(|letter| letter.is_control() && letter != '\n'),
                "{drawn:?}"
            );
        }
    }
}

fn check_drawn(chart: &Chart) {
    check_terminal(chart);
    check_svg(&svg::write(chart, "drawn"));
    assert!(!chart.told.is_empty());
}

#[test]
fn plain_letters_are_those_of_a_typewriter() {
    for (name, chart) in all() {
        let drawn = terminal::write(&chart, style(80, Letters::Plain));
        let foreign: Vec<char> = drawn
            .chars()
            .filter(|letter| !letter.is_ascii() && *letter != '±')
            .collect();
        assert!(foreign.is_empty(), "{name}: {foreign:?}");
    }
}

// ---- columns of every sort ----

#[test]
fn columns_of_every_sort_are_drawn() {
    let check = |samples: &str| check_drawn(&of(samples));
    check("");
    check("1 ?; 2 ?; ? 3");
    check("1 5");
    check("0 0");
    check("1 5; 1 5; 1 5");
    check("1 5; 2 5; 3 5");
    check("1 5; 2 ?; 3 7; ? 9; 5 8");
    check("-3 -5; -2 -7; -1 -6");
    check("1 1e-28; 2 2e-28");
    check("1 -7.9e28; 2 7.9e28");
    check("1 1e-28; 2 7.9e28");
    check("-7.9e28 1; 7.9e28 2");
    check("1 7.9e28; 2 7.9e28");
    check("1 1000000.0000001; 2 1000000.0000002");
    check("1 123456789012345678901234567; 2 123456789012345678901234568");
    check("3 5; 1 6; 2 4");
    check("3 5±0.5; 2 6±8; 1 4±0");
    let many: Vec<String> = (0..10_000).map(|step| format!("{step} {}", step * 37 % 101)).collect();
    check(&many.join(";"));
    assert!(svg::write(&of(&many.join(";")), "drawn").len() < 60_000);
}

#[test]
fn a_line_of_one_value_says_so() {
    let told = |samples: &str| of(samples).told;
    assert_eq!(
        told("1 5; 2 5; 3 5"),
        "gross over run, 3 points: 5 lb all the way from 1 h to 3 h."
    );
    assert_eq!(told("2 5"), "gross is 5 lb at 2 h.");
    assert_eq!(told("1 ?"), "Nothing can be drawn: there is no row with both values.");
}

/// A gap parts the line; what goes back and forth is points.
#[test]
fn gaps_stay_gaps_and_a_walk_back_is_no_line() {
    let gap = of("1 5; 2 ?; 3 6; 4 7");
    assert_eq!(plane(&gap).series[0].points[1].up, None);
    assert!(plane(&gap).series[0].joined);
    assert!(gap.told.ends_with("1 row has no value."), "{}", gap.told);
    let paths = |chart: &Chart| svg::write(chart, "drawn").matches("fill=\"none\"").count();
    assert_eq!(paths(&gap), 2);
    assert!(!plane(&of("3 5; 1 6; 2 4")).series[0].joined);
    assert!(plane(&of("3 5; 2 6; 1 4")).series[0].joined);
}

/// By hand: from 10 at 0 h to 0 at 5 h it is 5 at 2.5 h.
#[test]
fn where_a_line_meets_its_limit_is_told() {
    let (across, up) = (Measure::plain("run", "h"), Measure::plain("gross", "lb"));
    let told = |samples: &str, value: &str| {
        let limit = [bound(Course::Level, value, "the limit")];
        Chart::of_lines("", (&across, &up), &[line("gross", samples)], &limit).told
    };
    let ends = |text: String, end: &str| assert!(text.ends_with(end), "{text}");
    ends(told("0 10; 5 0", "5"), "gross meets the limit at about 2.5 h.");
    ends(told("0 10; 3 0", "5"), "gross meets the limit at about 1.5 h.");
    ends(
        told("0 10; 1 4; 2 8", "7"),
        "gross meets the limit at about 0.5 h, 1.75 h.",
    );
    ends(told("0 10; 5 0", "12"), "gross stays below the limit.");
    ends(told("0 10; 5 1", "0"), "gross stays above the limit.");
    ends(told("0 10; 1 ?; 2 0", "5"), "gross lies on both sides of the limit.");
    ends(told("0 10; 5 0; 3 10", "5"), "gross lies on both sides of the limit.");
    ends(told("0 10; 1 5; 2 0", "5"), "gross meets the limit at about 1 h.");
}

#[test]
fn a_limit_far_away_does_not_flatten_the_line() {
    let (across, up) = (Measure::plain("run", "h"), Measure::plain("gross", "lb"));
    let drawn = |value: &str| {
        let limit = [bound(Course::Level, value, "limit")];
        let chart = Chart::of_lines("", (&across, &up), &[line("gross", "0 10; 5 20")], &limit);
        plane(&chart).limits.len()
    };
    assert_eq!(
        [drawn("15"), drawn("30"), drawn("0"), drawn("31"), drawn("-1")],
        [1, 1, 1, 0, 0]
    );
}

// ---- ticks ----

/// By hand.
#[test]
fn ticks_stand_at_nice_values() {
    let check = |scale: Scale, low: &str, high: &str, expected: &[&str]| {
        let range = Range {
            low: number(low),
            high: number(high),
        };
        let (axis, _) = axis(&measure("x", scale), range, Ends::Kept, 6);
        let told: Vec<&str> = axis.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(told, expected, "{low} to {high}");
    };
    check(Scale::Plain, "0", "10", &["0", "2", "4", "6", "8", "10"]);
    check(
        Scale::Plain,
        "-0.3",
        "0.9",
        &["-0.2", "0.0", "0.2", "0.4", "0.6", "0.8"],
    );
    check(Scale::Plain, "28.9", "34", &["29", "30", "31", "32", "33", "34"]);
    check(Scale::Plain, "0", "7e15", &["0", "2e15", "4e15", "6e15"]);
    check(
        Scale::HoursAndMinutes,
        "0",
        "90",
        &["0:00", "0:15", "0:30", "0:45", "1:00", "1:15", "1:30"],
    );
    check(
        Scale::HoursAndMinutes,
        "-120",
        "2000",
        &["0:00", "6:00", "12:00", "18:00", "24:00", "30:00"],
    );
    check(
        Scale::TimeOfDay,
        "63000",
        "79000",
        &["18:00", "19:00", "20:00", "21:00"],
    );
    check(
        Scale::TimeOfDay,
        "82800",
        "93600",
        &[
            "23:00",
            "23:30",
            "00:00 (+1 d)",
            "00:30 (+1 d)",
            "01:00 (+1 d)",
            "01:30 (+1 d)",
            "02:00 (+1 d)",
        ],
    );
    // 2026-01-11 18:00 is 1768154400 (date -u)
    check(
        Scale::Moment,
        "1768154400",
        "1768176000",
        &["18:00", "19:00", "20:00", "21:00", "22:00", "23:00", "2026-01-12"],
    );
    check(
        Scale::Moment,
        "1768154400",
        "1768327200",
        &["2026-01-12", "01-12 12:00", "2026-01-13", "01-13 12:00"],
    );
    // two days apart, counted from 1970-01-01, of which 2026-01-13 is day 20466
    check(
        Scale::Moment,
        "1768154400",
        "1768954400",
        &["2026-01-13", "2026-01-15", "2026-01-17", "2026-01-19", "2026-01-21"],
    );
}

fn decimal() -> impl Strategy<Value = Number> {
    let parts = (-1_000_000i64..1_000_000, -20i32..16);
    parts.prop_map(|(digits, power)| number(&format!("{digits}e{power}")))
}

fn scale() -> impl Strategy<Value = Scale> {
    proptest::sample::select(vec![
        Scale::Plain,
        Scale::HoursAndMinutes,
        Scale::TimeOfDay,
        Scale::Moment,
    ])
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 512, failure_persistence: None, ..Default::default() })]

    /// Inside the axis, in rising order, few, told apart, and with a step of 1, 2 or 5.
    #[test]
    fn ticks_are_few_and_nice(one in decimal(), other in decimal(), scale in scale(), rounded in proptest::bool::ANY) {
        let range = Range::of([one, other]).unwrap();
        let ends = if rounded { Ends::Rounded } else { Ends::Kept };
        let (found, held) = axis(&measure("x", scale), range, ends, 6);
        prop_assert!(held.holds(one) && held.holds(other));
        prop_assert!((1..=10).contains(&found.ticks.len()), "{found:?}");
        for tick in &found.ticks {
            prop_assert!((0.0..=1.0).contains(&tick.at), "{found:?}");
        }
        for pair in found.ticks.windows(2) {
            prop_assert!(pair[0].at < pair[1].at, "{found:?}");
        }
        let texts: std::collections::BTreeSet<&str> = found.ticks.iter().map(|tick| tick.text.as_str()).collect();
        prop_assert!(texts.len() == found.ticks.len(), "{found:?}");
        if let (Scale::Plain, [first, second, third, ..]) = (scale, found.ticks.as_slice()) {
            let value = |text: &str| number(text);
            let step = value(&second.text).sub(value(&first.text)).unwrap();
            let again = value(&third.text).sub(value(&second.text)).unwrap();
            prop_assert!(step == again, "{found:?}");
            let digit = step.to_plain().trim_matches(['0', '.']).to_owned();
            prop_assert!(["1", "2", "5"].contains(&digit.as_str()), "{digit} of {found:?}");
        }
    }

    /// Whatever the columns hold, the drawing keeps to its bounds.
    #[test]
    fn any_columns_are_drawn_within_bounds(
        rows in proptest::collection::vec((proptest::option::weighted(0.9, decimal()), proptest::option::weighted(0.8, decimal()), proptest::option::of(0i64..1000)), 0..30),
        (across, up) in (scale(), scale()), level in decimal(), upright in decimal(),
    ) {
        let sample = |(across, up, out): (Option<Number>, Option<Number>, Option<i64>)| Sample {
            across,
            up,
            half_width: out.map(Number::from_integer),
        };
        let samples = Line { label: "some".to_owned(), samples: rows.into_iter().map(sample).collect(), trace: Trace::Values };
        let limits = [
            Bound { course: Course::Level, value: level, text: "a level limit of some length".to_owned() },
            Bound { course: Course::Upright, value: upright, text: "an upright limit of some length".to_owned() },
        ];
        let (across, up) = (measure("across", across), measure("up", up));
        check_drawn(&Chart::of_lines("Any", (&across, &up), &[samples], &limits));
    }
}

// ---- hostile texts ----

const HOSTILE: [&str; 5] = [
    "</text></svg><script>alert(1)</script>",
    "\u{1b}[31mred\u{7}\u{0}\u{9b}2J",
    "\u{202e}turned\u{200b} ]]> <!-- &amp; \" ' \u{fffe}",
    "a title so long that it goes on and on until there is no room left for it in any drawing at all, and then some",
    "家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家家",
];

#[test]
fn hostile_texts_stay_texts() {
    for text in HOSTILE {
        let (across, up) = (Measure::plain(text, text), Measure::plain(text, text));
        let limits = [bound(Course::Level, "3", text), bound(Course::Upright, "2", text)];
        let lines = [line(text, "1 2; 2 4; 3 1"), line(text, "1 3; 2 3; 3 2")];
        check_drawn(&Chart::of_lines(text, (&across, &up), &lines, &limits));
        let labels = [text.to_owned(), text.to_owned()];
        check_drawn(&Chart::bars(
            text,
            &up,
            &labels,
            &[Some(number("3")), Some(number("-4"))],
        ));
        let bins = [(number("0"), number("1"), 3), (number("1"), number("2"), 5)];
        check_drawn(&Chart::histogram(
            text,
            &across,
            &bins,
            &[(number("1"), text.to_owned())],
        ));
        check_drawn(&Chart::nothing(text, text));
        let drawn = svg::write(&Chart::nothing(text, text), "drawn");
        assert!(!drawn.contains("<script") && !drawn.contains('\u{1b}') && !drawn.contains('\u{202e}'));
    }
}

// ---- bars and columns ----

#[test]
fn bars_and_columns_of_every_sort() {
    let measure = Measure::plain("share", "%");
    let labels: Vec<String> = ["a", "b", "c"].map(str::to_owned).to_vec();
    let values = |texts: [&str; 3]| texts.map(|text| (text != "?").then(|| number(text)));
    check_drawn(&Chart::bars("None", &measure, &[], &[]));
    check_drawn(&Chart::bars("Missing", &measure, &labels, &values(["?", "?", "?"])));
    check_drawn(&Chart::bars("Nought", &measure, &labels, &values(["0", "0", "0"])));
    check_drawn(&Chart::bars(
        "Below",
        &measure,
        &labels,
        &values(["-1", "-7.9e28", "?"]),
    ));
    check_drawn(&Chart::bars(
        "Wide",
        &measure,
        &labels,
        &values(["7.9e28", "1e-28", "-7.9e28"]),
    ));
    let bin = |from: &str, to: &str, many: u64| (number(from), number(to), many);
    check_drawn(&Chart::histogram("Empty", &measure, &[], &[]));
    check_drawn(&Chart::histogram("Nought", &measure, &[bin("0", "1", 0)], &[]));
    check_drawn(&Chart::histogram("One", &measure, &[bin("0", "1", u64::MAX)], &[]));
    let many: Vec<(Number, Number, u64)> = (0..400)
        .map(|at: i64| {
            (
                Number::from_integer(at),
                Number::from_integer(at + 1),
                at.unsigned_abs() % 17,
            )
        })
        .collect();
    check_drawn(&Chart::histogram(
        "Many",
        &measure,
        &many,
        &[(number("500"), "outside".to_owned())],
    ));
}

// ---- charts of worksheets ----

fn session(text: &str) -> Session {
    Session::of_text("chart.tare", text.to_owned(), &[], Options::default())
}

fn shipped() -> Vec<(String, Report)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let mut found = Vec::new();
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_some_and(|extension| extension == "tare") {
            let session = Session::open(&path, Options::default()).ok().unwrap();
            found.push((
                path.file_stem().unwrap().to_string_lossy().into_owned(),
                session.report(),
            ));
        }
    }
    found.sort_by(|one, other| one.0.cmp(&other.0));
    found
}

#[test]
fn every_plot_of_the_notebooks_is_drawn() {
    let mut count = 0;
    for (name, report) in shipped() {
        for chart in &report.charts {
            assert!(matches!(chart.body, Body::Plane(_)), "{name}: {}", chart.told);
            check_drawn(chart);
            count += 1;
        }
    }
    assert!(count >= 9, "{count}");
}

const SHEET: &str = "\
# Run
quoted least = 5 psig
assumed air = 24 °F
table log
  | time  | gross [lb ± 0.3] | load [W] | what  | steady |
  | 17:30 | 33.9             | 900      | fan   | true   |
  | 18:30 | 32.6             | 400      | lamp  | true   |
  | 19:30 |                  | 600      | pump  | false  |
  | 20:30 | 30.1             | 700      | radio | true   |
measured zero = 0 lb ± 0.1 lb
worked net = log.gross - 17 lb + zero
worked single = 3 lb
worked odd = loads.a
worked late = log.gross * missing
expect log.gross >= 31 lb else \"low\"
expect net <= 20 lb and 1000 W > log.load
table loads
  | a [W] |
  | 1     |
table night = draw_down(20 lb, 12 in, 24 lb, air, 1.5 lb/h, film: 7 W/(m2·C°), least_pressure: least)
";

fn plotted(line: &str) -> Chart {
    session(SHEET)
        .plot(line)
        .unwrap_or_else(|refusal| panic!("{line}: {refusal:?}"))
}

#[test]
fn a_plot_line_becomes_a_chart_with_bands_and_limits() {
    let chart = plotted("plot log.gross over log.time \"Weight\"");
    assert_eq!(chart.title, "Weight");
    let drawn = plane(&chart);
    assert_eq!(
        (drawn.across.label.as_str(), drawn.up.label.as_str()),
        ("time", "gross [lb]")
    );
    assert_eq!(drawn.limits[0].text, "31 lb (line 15)");
    assert!(drawn.series[0].points[0].band.is_some() && drawn.series[0].points[2].up.is_none());
    let limits = |line: &str| {
        let chart = plotted(line);
        plane(&chart)
            .limits
            .iter()
            .map(|limit| limit.text.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(limits("plot log.load over log.time"), ["1000 W (line 16)"]);
    assert_eq!(limits("plot net over log.time"), ["20 lb (line 16)"]);
    assert_eq!(
        limits("plot night.pressure over night.time"),
        ["least_pressure = 5 psig"]
    );
    assert_eq!(limits("plot night.contents over night.time"), Vec::<String>::new());
    let told = plotted("plot night.temperature over night.time").told;
    assert!(
        told.ends_with("temperature stays below 120 °F, the most a cylinder may have."),
        "{told}"
    );
    let night = plotted("plot night.pressure over night.time");
    assert!(
        night.told.contains("pressure meets least_pressure = 5 psig at about"),
        "{}",
        night.told
    );
    assert!(has_bands(&plotted("plot net over log.time")));
    assert!(!has_bands(&plotted("plot log.load over log.time")));
}

#[test]
fn a_limit_is_that_of_its_own_column() {
    let text = "table log\n  | time [h] | left [lb] | kept [lb] |\n  | 0 | 9 | 2 |\n  | 4 | 5 | 2 |\n\
        table other\n  | left [lb] |\n  | 9 |\n  | 5 |\nexpect log.left >= 4 lb\n";
    let limits = |line: &str| plane(&session(text).plot(line).unwrap()).limits.len();
    assert_eq!(limits("plot log.left over log.time"), 1);
    assert_eq!(limits("plot log.kept over log.time"), 0);
    assert_eq!(limits("plot other.left over log.time"), 0);
}

/// The half width of a reading ± 0.3 lb, a rectangular distribution: twice its u of 0.3/√3 lb would be
/// 0.3464 lb (JCGM 100:2008, 4.3.7), and it is off by no more than its limits.
#[test]
fn a_band_is_the_expanded_uncertainty() {
    let chart = plotted("plot log.gross over log.time");
    let drawn = plane(&chart);
    let ticks = &drawn.up.ticks;
    let value = |tick: usize| ticks[tick].text.parse::<f64>().unwrap();
    let last = ticks.len() - 1;
    let span = (value(last) - value(0)) / (ticks[last].at - ticks[0].at);
    let (low, high) = drawn.series[0].points[0].band.unwrap();
    let half_width = (high - low) * span / 2.0;
    assert!((half_width - 0.3).abs() < 1e-5, "{half_width}");
}

#[test]
fn texts_along_make_bars() {
    let chart = plotted("plot log.load over log.what");
    let Body::Bars(bars) = &chart.body else {
        panic!("{chart:?}")
    };
    let told: Vec<(&str, &str)> = bars
        .iter()
        .map(|bar| (bar.label.as_str(), bar.shown.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ("fan", "900 W"),
            ("lamp", "400 W"),
            ("pump", "600 W"),
            ("radio", "700 W")
        ]
    );
    let gap = plotted("plot log.gross over log.what");
    assert!(gap.told.contains("pump without a value"), "{}", gap.told);
}

#[test]
fn what_can_t_be_drawn_is_said() {
    let nothing = |line: &str, reason: &str| {
        let chart = plotted(line);
        assert_eq!(chart.body, Body::Nothing(reason.to_owned()), "{line}");
        check_drawn(&chart);
    };
    nothing("plot loads.a over log.time", "a has 1 rows and time has 4");
    nothing("plot log.what over log.time", "what holds texts, which have no height");
    nothing(
        "plot log.steady over log.time",
        "steady holds truth values, which have no height",
    );
    let refused = |line: &str, message: &str, help: &str| {
        let refusal = session(SHEET).plot(line).expect_err(line);
        let problem = &refusal.problems[0];
        assert!(problem.message.contains(message), "{line}: {}", problem.message);
        assert!(
            problem.help.as_deref().unwrap_or("").contains(help),
            "{line}: {:?}",
            problem.help
        );
    };
    refused("plot", "", "");
    refused("plot log.gross", "expected an operator or `over`", "");
    refused("plot single over log.time", "a plot draws columns", "name a column");
    refused("plot log.weight over log.time", "no column `weight`", "");
    refused("plot nowhere over log.time", "nothing here is named `nowhere`", "");
    refused("plot late over log.time", "", "");
    refused(
        "plot log.gross over log.time \"a\"\nplot b over c",
        "more than one entry",
        "",
    );
    refused("plot log.gross * 2 + 1 h over log.time", "", "");
}

#[test]
fn a_plot_in_a_broken_worksheet_stands_with_its_reason() {
    let mut text = SHEET.to_owned();
    text.push_str("plot late over log.time \"Late\"\nplot odd over log.time\nplot nothing over log.time\n");
    let report = session(&text).report();
    let told: Vec<&str> = report.charts.iter().map(|chart| chart.told.as_str()).collect();
    let expected = [
        "Nothing can be drawn: late has a problem.",
        "Nothing can be drawn: odd has 1 rows and time has 4.",
        "Nothing can be drawn: nothing is no column.",
    ];
    assert_eq!(told, expected);
}

#[test]
fn a_chart_follows_the_case_and_the_trials() {
    let text = format!("{SHEET}case cold\n  air = -10 °F\nplot night.temperature over night.time\n");
    let mut session = session(&text);
    let told = |session: &Session| session.report().charts[0].told.clone();
    assert!(told(&session).contains("from 24"), "{}", told(&session));
    session.set_case("cold").unwrap();
    assert!(told(&session).contains("from -10"), "{}", told(&session));
    session.try_value("air = 5 °F").unwrap();
    assert!(told(&session).contains("from 5"), "{}", told(&session));
}

#[test]
fn a_page_tells_a_chart_in_words() {
    let text = format!("{SHEET}plot log.gross over log.time \"Weight *now*\"\n");
    let page = whole::markdown(&session(&text).report());
    let expected = "**Weight \\*now\\*.** gross over time, 3 points: from 33.9 lb at 17:30 to 30.1 lb at 20:30. \
                    1 row has no value. gross lies on both sides of 31 lb (line 15).";
    assert!(page.contains(expected), "{page}");
}

#[test]
fn keep_plot_adds_the_last_one_and_undo_takes_it_back() {
    let mut session = session(SHEET);
    let refusal = session.keep_plot().unwrap_err();
    assert!(refusal.problems[0].message.contains("no chart was drawn yet"));
    let plain = session.sheet().text().to_owned();
    session.plot("plot log.gross over log.time \"Weight\"").unwrap();
    assert!(session.plot("plot single over log.time").is_err());
    assert_eq!(session.sheet().text(), plain, "drawing changes nothing");
    assert!(session.undo().is_err(), "drawing is no step");
    session.keep_plot().unwrap();
    assert!(
        session
            .sheet()
            .text()
            .contains("\nplot log.gross over log.time \"Weight\"\n")
    );
    assert_eq!(session.report().charts.len(), 1);
    let again = session.keep_plot().unwrap();
    assert!(again.told[0].ends_with("already says so"), "{:?}", again.told);
    session.undo().unwrap();
    assert_eq!(session.sheet().text(), plain);
}

// ---- charts of sweeps ----

/// By hand: 2x + 1 = 10 at 4.5.
#[test]
fn a_sweep_marks_limits_and_where_they_are_met() {
    let text = "assumed x = 3 ± 0.2\nassumed other = 8\nanswer line = 2 * x + other - 7\nanswer still = other * 2\n\
                answer word = if x > 4 then \"a\" else \"b\"\nexpect line <= 10\nexpect still > 3\nexpect line < still\n";
    let mut session = session(text);
    let found = session
        .sweep(&SweepAsked::typed("x from 0 to 8 step 1").unwrap(), &Unwatched)
        .unwrap();
    assert_eq!(found.charts.len(), 1, "one for each number that moves");
    let drawn = plane(&found.charts[0]);
    let told: Vec<(Course, &str)> = drawn
        .limits
        .iter()
        .map(|limit| (limit.course, limit.text.as_str()))
        .collect();
    let expected = [
        (Course::Upright, "line <= 10 (line 6)"),
        (Course::Upright, "line < still (line 8)"),
        (Course::Level, "10 (line 6)"),
        (Course::Level, "still = 16 (line 8)"),
    ];
    assert_eq!(told, expected);
    assert!((drawn.limits[0].at - 4.5 / 8.0).abs() < 1e-12);
    check_drawn(&found.charts[0]);
}

// ---- lines, sets, two ways ----

const FUEL: &str = "# Fuel\ntable runs\n  | set | load [W] | rate [lb/h] |\n  | old | 500      | 1.4         |\n  \
    | old | 1500     | 2.6         |\n";

fn charts(more: &str) -> Vec<Chart> {
    let session = Session::of_text("fuel.tare", format!("{FUEL}{more}"), &[], Options::default());
    assert!(
        !session.sheet().has_problems(),
        "{more}: {:?}",
        session.sheet().problems()
    );
    session.report().charts
}

/// By hand: 1000 W more take 1.2 lb/h more, so the line begins at 0.8 lb/h.
#[test]
fn a_fitted_line_stands_with_its_readings() {
    let found = charts(
        "plot runs.rate over runs.load\nworked idle [lb/h] = intercept(runs.load, runs.rate)\n\
         expect fitted_at(runs.load, runs.rate, 600 W) > 1 lb/h\n",
    );
    let told = &found[0].told;
    assert!(
        told.ends_with("The fitted line goes from 0.8 lb/h at 0 W to 2.6 lb/h at 1500 W."),
        "{told}"
    );
    let plane = plane(&found[0]);
    let traces: Vec<Trace> = plane.series.iter().map(|series| series.trace).collect();
    assert_eq!(traces, [Trace::Readings, Trace::Fitted]);
    assert_eq!(
        (plane.across.ticks[0].text.as_str(), plane.up.ticks[0].text.as_str()),
        ("0", "0.0")
    );
    assert!(!plane.series[0].joined && plane.series[1].joined);
    // a check alone draws no line, since it may judge an exercise
    let found = charts("plot runs.rate over runs.load\nexpect intercept(runs.load, runs.rate) > 0.5 lb/h\n");
    assert!(!found[0].told.contains("fitted"), "{}", found[0].told);
    assert!(self::plane(&found[0]).across.ticks[0].text != "0");
}

#[test]
fn plots_take_what_is_worked_out_of_columns() {
    let found = charts("plot runs.load * 2 h over runs.rate * 1 h from zero\n");
    assert_eq!(found[0].title, "runs.load * 2 h over runs.rate * 1 h");
    assert!(
        found[0].told.contains("from 1000 Wh at 1.4 lb to 3000 Wh at 2.6 lb"),
        "{}",
        found[0].told
    );
    assert_eq!(plane(&found[0]).across.ticks[0].text, "0.0");
    let found = charts("assumed k [h] = ?\nplot runs.load * k over runs.rate \"Later\"\n");
    assert!(found[0].told.starts_with("Nothing can be drawn"), "{}", found[0].told);
}

#[test]
fn sets_are_parted() {
    let more = "  | new | 400      | 0.9         |\n  | new | 1600     | 2.1         |\nplot runs.rate over runs.load by runs.set\n";
    let found = charts(more);
    let labels: Vec<&str> = plane(&found[0])
        .series
        .iter()
        .map(|series| series.label.as_str())
        .collect();
    assert_eq!(labels, ["set old", "set new"]);
    let mut session = Session::of_text("fuel.tare", FUEL.to_owned(), &[], Options::default());
    assert!(
        session
            .plot("plot runs.rate over runs.load by runs.rate > 2 lb/h")
            .is_ok()
    );
    assert!(session.plot("plot runs.rate over runs.load by 3 lb").is_err());
}

#[test]
fn numbers_of_many_sets_are_shaded_cells() {
    let text = "# Grid\nassumed load = 600 W\nassumed air = 20 °F\nworked rest [W] = load - 300 W + (air - 20 °F) * 1 W/F°\n\
        table loads\n  | tried [W] |\n  | 300 |\n  | 600 |\n  | 900 |\n\
        table airs\n  | tried [°F] |\n  | 0 |\n  | 10 |\n  | 20 |\n  | 30 |\n  | 40 |\n  | 50 |\n\
        table found = grid(rest, load: loads.tried, air: airs.tried)\n\
        plot found.rest over found.load by found.air \"Rest\"\n";
    let session = Session::of_text("grid.tare", text.to_owned(), &[], Options::default());
    assert!(!session.sheet().has_problems(), "{:?}", session.sheet().problems());
    let report = session.report();
    let Body::Cells(cells) = &report.charts[0].body else {
        panic!("{:?}", report.charts[0])
    };
    assert_eq!((cells.across.1.len(), cells.up.1.len()), (3, 6));
    // 300 W at 0 °F: 300 − 300 − 20
    assert_eq!(cells.rows[0][0], (Some(0.0), "-20".to_owned()));
    assert_eq!(cells.rows[5][2].0, Some(1.0));
}
