//! Plans of the stock and dates of upkeep against arithmetic done apart.
//!
//! Plans are compared with whole numbers: contents in hundredths of a pound,
//! times as fractions. Dates are counted on by a calendar of this file's own.
//! Everything runs through the language. Start reading at [`planned`].
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::number::Number;
use tarebook::problem::{Code, Severity};
use tarebook::report::moment::machine_moment;
use tarebook::sheet::{Reading, Sheet};

fn load(text: &str) -> Sheet {
    Sheet::load(text.to_owned(), None)
}

fn problems(sheet: &Sheet) -> Vec<(Code, String, String)> {
    let mut problems = sheet.problems();
    problems.retain(|problem| problem.severity == Severity::Problem);
    let place = |problem: &tarebook::problem::Problem| {
        let item = &sheet.tree().items[problem.place.item as usize];
        let (start, end) = (problem.place.span.start, problem.place.span.end);
        sheet.text()[(item.start + start) as usize..(item.start + end) as usize].to_owned()
    };
    problems
        .iter()
        .map(|problem| (problem.code, problem.message.clone(), place(problem)))
        .collect()
}

fn column(sheet: &Sheet, name: &str) -> Vec<Option<Number>> {
    match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Column(cells) => cells.to_vec(),
        other => panic!("{name}: {other:?} {:?}", problems(sheet)),
    }
}

fn one(sheet: &Sheet, name: &str) -> Number {
    match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Number(number) => number,
        other => panic!("{name}: {other:?} {:?}", problems(sheet)),
    }
}

// ---- swap_plan ----

/// A row of a plan: the cylinder, when it starts and ends as a fraction of tenths of an hour, and hundredths of a
/// pound left.
#[derive(PartialEq, Debug)]
struct Planned {
    cylinder: Option<i128>,
    times: Option<[(i128, i128); 2]>,
    left: i128,
}

/// When so many hundredths of a pound are drawn, in tenths of an hour, as a fraction; the latest such moment.
fn drawn_by(blocks: &[(i128, i128)], wanted: i128) -> (i128, i128) {
    let (mut before, mut now) = (0, 0);
    for (tenths, rate) in blocks {
        if before + tenths * rate > wanted {
            return (now * rate + wanted - before, *rate);
        }
        before += tenths * rate;
        now += tenths;
    }
    (now, 1)
}

/// The plan by what is drawn in all: each cylinder serves from one sum of contents to the next.
fn planned(blocks: &[(i128, i128)], usable: &[i128], reserve: i128) -> Vec<Planned> {
    let need: i128 = blocks.iter().map(|(tenths, rate)| tenths * rate).sum();
    let mut rows = Vec::new();
    let mut drawn = 0;
    let mut over = false;
    for (index, usable) in usable.iter().enumerate() {
        let cylinder = Some(index as i128 + 1);
        let gives = (usable - reserve).max(0);
        if over || gives == 0 {
            rows.push(Planned {
                cylinder,
                times: None,
                left: *usable,
            });
            continue;
        }
        let start = if drawn == 0 { (0, 1) } else { drawn_by(blocks, drawn) };
        over = drawn + gives >= need;
        let takes = gives.min(need - drawn);
        drawn += takes;
        let times = Some([start, drawn_by(blocks, drawn)]);
        rows.push(Planned {
            cylinder,
            times,
            left: usable - takes,
        });
    }
    if drawn < need {
        let all = blocks.iter().map(|(tenths, _)| tenths).sum();
        let times = Some([drawn_by(blocks, drawn), (all, 1)]);
        rows.push(Planned {
            cylinder: None,
            times,
            left: drawn - need,
        });
    }
    rows
}

fn decimal(value: i128, below: i64) -> String {
    let number = Number::from_integer(value as i64);
    number.div(Number::from_integer(below)).unwrap().to_plain()
}

fn worksheet(blocks: &[(i128, i128)], usable: &[i128], reserve: i128) -> String {
    let mut text = "table day\n  | hours [h] | rate [lb/h] |\n".to_owned();
    for (tenths, rate) in blocks {
        text.push_str(&format!("  | {} | {} |\n", decimal(*tenths, 10), decimal(*rate, 10)));
    }
    text.push_str("table stock\n  | usable [lb] |\n");
    for usable in usable {
        text.push_str(&format!("  | {} |\n", decimal(*usable, 100)));
    }
    text.push_str(&format!(
        "table plan = swap_plan(day.hours, day.rate, stock.usable, reserve: {} lb)\n",
        decimal(reserve, 100)
    ));
    for name in ["cylinder", "starts", "ends", "left"] {
        text.push_str(&format!("worked {name} = plan.{name}\n"));
    }
    text
}

fn check_plan(blocks: &[(i128, i128)], usable: &[i128], reserve: i128) {
    let text = worksheet(blocks, usable, reserve);
    let sheet = load(&text);
    let [cylinder, starts, ends, left] = ["cylinder", "starts", "ends", "left"].map(|name| column(&sheet, name));
    let expected = planned(blocks, usable, reserve);
    assert_eq!(cylinder.len(), expected.len(), "{text}{left:?}");
    for (row, expected) in expected.iter().enumerate() {
        let what = format!("{text}row {row}: {expected:?}");
        let number = cylinder[row].map(|number| number.to_f64() as i128);
        assert_eq!(number, expected.cylinder, "{what}");
        // contents are sums of decimals, and exact
        assert_eq!(left[row].unwrap().to_plain(), decimal(expected.left, 100), "{what}");
        for (found, index) in [(starts[row], 0), (ends[row], 1)] {
            let wanted = expected.times.map(|times| times[index]);
            assert_eq!(found.is_some(), wanted.is_some(), "{what}");
            if let (Some(found), Some((above, below))) = (found, wanted) {
                let wanted = Number::from_integer(above as i64)
                    .div(Number::from_integer(10 * below as i64))
                    .unwrap();
                assert!(found.agrees_with(wanted), "{what}: {}", found.to_plain());
            }
        }
    }
}

#[test]
fn a_cylinder_may_end_with_its_block() {
    // 2 h at 3 lb/h are 6 lb: the first cylinder ends with the first block
    check_plan(&[(20, 30), (10, 40)], &[600, 400], 0);
    // and the second with the schedule: nothing is short
    check_plan(&[(20, 30), (10, 40)], &[600, 400, 2000], 0);
    check_plan(&[(20, 30)], &[600], 0);
}

#[test]
fn a_block_may_draw_nothing() {
    check_plan(&[(20, 30), (50, 0), (10, 40)], &[700, 400], 0);
    // emptied just before a pause, it stays on until the next one is needed
    check_plan(&[(20, 30), (50, 0), (10, 40)], &[600, 400], 0);
    check_plan(&[(20, 30), (50, 0)], &[600, 400], 0);
    check_plan(&[(50, 0)], &[600], 0);
    check_plan(&[(0, 30), (20, 30)], &[600], 0);
}

#[test]
fn a_cylinder_at_its_reserve_is_never_drawn() {
    check_plan(&[(20, 30)], &[200, 800], 200);
    check_plan(&[(20, 30)], &[150, 800], 200);
    check_plan(&[(20, 30)], &[150, 0], 200);
    check_plan(&[(20, 30)], &[0], 0);
}

/// Short by nothing: thirds and sevenths of hours must not leave a crumb behind.
#[test]
fn plans_agree_with_whole_numbers() {
    let mut state: u64 = 20_260_111;
    let mut next = |below: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        i128::from((state >> 33) % below)
    };
    for round in 0..300 {
        let blocks: Vec<(i128, i128)> = (0..1 + next(5)).map(|_| (1 + next(120), next(60))).collect();
        let reserve = next(2) * next(300);
        let mut usable: Vec<i128> = (0..1 + next(5)).map(|_| next(3000)).collect();
        if round % 2 == 0 {
            // a last cylinder that comes out to the ounce
            let need: i128 = blocks.iter().map(|(tenths, rate)| tenths * rate).sum();
            let there: i128 = usable.iter().map(|usable| (usable - reserve).max(0)).sum();
            usable.push((need - there).max(0) + reserve);
        }
        check_plan(&blocks, &usable, reserve);
    }
}

/// What can't be planned, with code, place and words.
#[test]
fn a_plan_says_what_it_lacks() {
    let tables = "table day\n  | hours [h] | rate [lb/h] | gaps [h] | back [h] |\n  | 2 | 3 | 2 | 2 |\n  | 1 | 4 |  | -1 |\n\
                  table stock\n  | usable [lb] | low [lb] |\n  | 20 | 20 |\n  | 20 | -1 |\n  | 20 | 20 |\n";
    let cases = [
        (
            "day.hours, stock.usable / (1 h), stock.usable",
            Code::ColumnLength,
            "stock.usable / (1 h)",
            "`hours` has 2 rows and `rate` has 3",
        ),
        (
            "day.gaps, day.rate, stock.usable",
            Code::EmptyColumn,
            "day.gaps",
            "row 2 has no `hours`",
        ),
        (
            "day.back, day.rate, stock.usable",
            Code::OutsideRange,
            "day.back",
            "row 2",
        ),
        (
            "day.hours, day.rate, stock.low",
            Code::OutsideRange,
            "stock.low",
            "is -1 in row 2",
        ),
        (
            "day.hours where day.hours > 9 h, day.rate where day.hours > 9 h, stock.usable",
            Code::EmptyColumn,
            "day.hours where day.hours > 9 h",
            "no block",
        ),
        (
            "day.hours, day.rate, stock.usable, reserve: -1 lb",
            Code::OutsideRange,
            "-1 lb",
            "`reserve` can't be below zero",
        ),
    ];
    for case in cases {
        check_refused(case, |arguments| {
            format!("{tables}table plan = swap_plan({arguments})\n")
        });
    }
    // no cylinder at all is a plan: everything is short
    let sheet = load(&format!(
        "{tables}table plan = swap_plan(day.hours, day.rate, stock.usable where stock.usable > 99 lb)\nworked left = plan.left\nworked ends = plan.ends\n"
    ));
    assert_eq!(column(&sheet, "left")[0].unwrap().to_plain(), "-10");
    assert_eq!(column(&sheet, "ends")[0].unwrap().to_plain(), "3");
}

/// Three cylinders in a night of 25 °F at 18:00, 10 °F after twelve hours and 20 °F after a day, 2 mph of wind:
/// one after another, two at once, and by weight alone. Stalls by scipy's `solve_ivp` (order 8, rtol 1e-10) with propane
/// and air of CoolProp, each begun anew when it is put on and at each change of the draw; rows are cylinder, start, end, left.
type Row = (&'static str, f64, f64, f64);
const IN_THE_COLD: [(&str, &[Row]); 4] = [
    (
        "",
        &[
            ("red", 0.0, 3.15554, 11.05782),
            ("blue", 3.15554, 5.75153, 11.28883),
            ("green", 5.75153, 17.07176, 9.13854),
            ("", 17.07176, 24.0, -11.08518),
        ],
    ),
    (
        "joined: 2 each, ",
        &[
            ("red", 0.0, 23.0, 2.0),
            ("blue", 0.0, 21.75, 2.0),
            ("green", 21.75, 24.0, 16.4),
        ],
    ),
    (
        "joined: 3 each, ",
        &[
            ("red", 0.0, 24.0, 6.8),
            ("blue", 0.0, 24.0, 5.8),
            ("green", 0.0, 24.0, 7.8),
        ],
    ),
    (
        "air: none",
        &[
            ("red", 0.0, 7.272_73, 2.0),
            ("blue", 7.272_73, 22.375, 2.0),
            ("green", 22.375, 24.0, 16.4),
        ],
    ),
];

fn in_the_cold(arguments: &str) -> String {
    let cold = "air: ramps(air.time, air.air), diameter: 12 in, steel: stock.steel, least_pressure: 5 psig, wind: 2 mph, height: 14 in";
    let arguments = match arguments {
        "air: none" => String::new(),
        more => format!(", {more}{cold}"),
    };
    format!(
        "table blocks\n  | hours [h] | rate [lb/h] |\n  | 8 | 2.2 |\n  | 6 | 0 |\n  | 10 | 1.6 |\n\
         table stock\n  | cylinder | usable [lb] | steel [lb] |\n  | red | 18 | 17.5 |\n  | blue | 17 | 17.6 |\n  | green | 19 | 17.4 |\n\
         table air\n  | time [h] | air [°F] |\n  | 0 | 25 |\n  | 12 | 10 |\n  | 24 | 20 |\n\
         table plan = swap_plan(blocks.hours, blocks.rate, stock.usable, reserve: 2 lb, names: stock.cylinder{arguments})\n\
         worked starts = plan.starts\nworked ends = plan.ends\nworked left = plan.left\n\
         answer blue = plan.ends of \"blue\"\nanswer changes = 18:00 + plan.ends\n"
    )
}

#[test]
fn the_cold_brings_swaps_forward() {
    for (arguments, rows) in IN_THE_COLD {
        let sheet = load(&in_the_cold(arguments));
        for (name, of) in [
            ("starts", (|row| row.1) as fn(&Row) -> f64),
            ("ends", |row| row.2),
            ("left", |row| row.3),
        ] {
            let found: Vec<f64> = column(&sheet, name)
                .into_iter()
                .map(|cell| cell.unwrap().to_f64())
                .collect();
            let expected: Vec<f64> = rows.iter().map(of).collect();
            assert_eq!(found.len(), expected.len(), "{arguments}{name}: {found:?}");
            for (found, expected) in found.iter().zip(&expected) {
                assert!(
                    (found - expected).abs() < 0.003,
                    "{arguments}{name}: {found}, expected {expected}"
                );
            }
        }
        assert!((one(&sheet, "blue").to_f64() - rows[1].2).abs() < 0.003);
    }
}

/// What drawing down needs is asked for, and what can't be is refused.
#[test]
fn a_plan_in_the_cold_asks_for_what_it_needs() {
    let text = in_the_cold("");
    for (from, to, said) in [
        ("diameter: 12 in, ", "", "for that `diameter` is missing"),
        ("steel: stock.steel, ", "", "for that `steel` is missing"),
        ("least_pressure: 5 psig, ", "", "for that `least_pressure` is missing"),
        ("wind: 2 mph, ", "", "for that `wind` is missing"),
        (", height: 14 in", "", "for that `height` is missing"),
        (
            "wind: 2 mph",
            "wind: 2 mph, film: 9 W/(m2·C°)",
            "two ways to say one thing",
        ),
        ("diameter: 12 in", "diameter: 0 in", "`diameter` must be above zero"),
        (
            "diameter: 12 in",
            "joined: 1.5 each, diameter: 12 in",
            "1.5 is no number of cylinders",
        ),
        ("names: stock.cylinder", "names: stock.steel", "takes a text"),
        ("names: stock.cylinder", "names: air.time", "takes a text"),
        (
            "steel: stock.steel",
            "steel: stock.steel where stock.usable > 17 lb",
            "`usable` has 3 rows and `steel` has 2",
        ),
    ] {
        let changed = text.replace(from, to);
        assert_ne!(text, changed, "{from}");
        let found = problems(&load(&changed));
        assert!(
            found.iter().any(|(_, message, _)| message.contains(said)),
            "{said}: {found:?}"
        );
    }
}

// ---- fuel_needed ----

/// Σ hours × rated_rate × (s + (1 − s) × duty × load/rated), in whole numbers: tenths of an hour, hundredths of a
/// pound an hour, watts, per cent.
fn needed(rows: &[(i128, i128, i128)], rated: i128, rate: i128, share: i128) -> (i128, i128) {
    let sum: i128 = rows
        .iter()
        .map(|(tenths, load, duty)| tenths * (100 * share * rated + (100 - share) * duty * load))
        .sum();
    (sum * rate, 10 * 100 * 10_000 * rated)
}

fn check_needed(rows: &[(i128, i128, i128)], rated: i128, rate: i128, share: i128) {
    let mut text = "table day\n  | hours [h] | load [W] | duty [%] |\n".to_owned();
    for (tenths, load, duty) in rows {
        text.push_str(&format!("  | {} | {load} | {duty} |\n", decimal(*tenths, 10)));
    }
    let rate_written = decimal(rate, 100);
    text.push_str(&format!(
        "worked fuel = fuel_needed(day.hours, day.load, {rated} W, {rate_written} lb/h, {share} %, day.duty)\n\
         worked by_rows = sum(day.hours * rescale_rate({rate_written} lb/h, {rated} W, {rated} W, day.load * day.duty, {share} %))\n"
    ));
    let sheet = load(&text);
    let (above, below) = needed(rows, rated, rate, share);
    let expected = above as f64 / below as f64;
    for name in ["fuel", "by_rows"] {
        let found = one(&sheet, name).to_f64();
        assert!(
            (found - expected).abs() <= 1e-12 * expected.max(1.0),
            "{text}{name}: {found}, expected {expected}"
        );
    }
}

#[test]
fn fuel_is_the_sum_of_its_blocks() {
    // by hand: 8 h at 900 W and 4 h at 1800 W of 3600 W, 4.8 lb/h, 40 %: 8 × 4.8 × 0.55 + 4 × 4.8 × 0.7 = 34.56 lb
    check_needed(&[(80, 900, 100), (40, 1800, 100)], 3600, 480, 40);
    let (above, below) = needed(&[(80, 900, 100), (40, 1800, 100)], 3600, 480, 40);
    assert_eq!(above * 100, 3456 * below);
    // nothing on, and the engine idles; everything in proportion; a block of no length; all at rated load
    check_needed(&[(80, 0, 100)], 3600, 480, 40);
    check_needed(&[(80, 900, 0)], 3600, 480, 40);
    check_needed(&[(80, 900, 35), (5, 10, 100)], 3600, 480, 0);
    check_needed(&[(0, 900, 100), (30, 3600, 100)], 3600, 480, 100);
    check_needed(&[(30, 3600, 100)], 3600, 0, 40);
}

#[test]
fn fuel_says_what_it_lacks() {
    let tables = "table day\n  | hours [h] | load [W] | duty [%] | more [%] |\n  | 2 | 900 | 50 | 50 |\n  | 1 | 4000 |  | 101 |\n";
    let cases = [
        (
            "day.hours, day.load, 3600 W, 4.8 lb/h, 40 %",
            Code::OutsideRange,
            "day.load",
            "4000 W in row 2 is above `rated_load` of 3600 W",
        ),
        (
            "day.hours, day.load, 4 kW, 4.8 lb/h, 101 %",
            Code::OutsideRange,
            "101 %",
            "100 %",
        ),
        (
            "day.hours, day.load, 4 kW, 4.8 lb/h, 40 %, day.duty",
            Code::EmptyColumn,
            "day.duty",
            "row 2 has no `duty`",
        ),
        (
            "day.hours, day.load, 4 kW, 4.8 lb/h, 40 %, day.more",
            Code::OutsideRange,
            "day.more",
            "more in row 2",
        ),
        (
            "day.hours, day.load, 0 W, 4.8 lb/h, 40 %",
            Code::OutsideRange,
            "0 W",
            "above zero",
        ),
        (
            "day.hours where day.hours > 9 h, day.load where day.hours > 9 h, 4 kW, 4.8 lb/h, 40 %",
            Code::EmptyColumn,
            "day.hours where day.hours > 9 h",
            "no block",
        ),
        (
            "day.hours, day.load where day.hours > 9 h, 4 kW, 4.8 lb/h, 40 %",
            Code::ColumnLength,
            "day.load where day.hours > 9 h",
            "`hours` has 2 rows and `load` has 0",
        ),
    ];
    for case in cases {
        check_refused(case, |arguments| {
            format!("{tables}worked fuel = fuel_needed({arguments})\n")
        });
    }
}

/// One problem, with this code, at this place, in these words.
fn check_refused(case: (&str, Code, &str, &str), worksheet: impl Fn(&str) -> String) {
    let (arguments, code, place, words) = case;
    let found = problems(&load(&worksheet(arguments)));
    assert_eq!(found.len(), 1, "{arguments}: {found:?}");
    let (found, told, at) = (found[0].0, &found[0].1, found[0].2.as_str());
    assert_eq!((found, at), (code, place), "{arguments}: {told}");
    assert!(told.contains(words), "{told}");
}

// ---- dates ----

fn is_leap(year: i64) -> bool {
    (year % 4 == 0 && year % 100 != 0) || year % 400 == 0
}

fn length(year: i64, month: i64) -> i64 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// So many days on, counted month by month.
fn after(mut date: (i64, i64, i64), mut days: i64) -> String {
    while days > 0 {
        let left = length(date.0, date.1) - date.2;
        if days <= left {
            date.2 += days;
            days = 0;
        } else {
            days -= left + 1;
            date = if date.1 == 12 {
                (date.0 + 1, 1, 1)
            } else {
                (date.0, date.1 + 1, 1)
            };
        }
    }
    written(date)
}

fn written(date: (i64, i64, i64)) -> String {
    format!("{:04}-{:02}-{:02}", date.0, date.1, date.2)
}

fn date_of(call: &str) -> String {
    let sheet = load(&format!("worked due = {call}\n"));
    let shown = machine_moment(one(&sheet, "due")).unwrap();
    shown
        .strip_suffix("T00:00:00")
        .unwrap_or_else(|| panic!("{shown}"))
        .to_owned()
}

#[test]
fn a_service_falls_due_on_whole_days() {
    // hours since the service and hours a day in tenths, so that whole numbers tell the day
    for last in [
        (2026, 1, 10),
        (2027, 12, 31),
        (2028, 2, 28),
        (2028, 2, 29),
        (2099, 12, 30),
    ] {
        for (every, run, hours, since) in [
            (180, 20, 100, 0),
            (180, 1, 100, 0),
            (365, 0, 50, 499),
            (1, 240, 50, 0),
            (400, 1, 20, 1),
            (4_000, 1, 100, 2),
            (180, 20, 50, 500),
            (180, 20, 50, 700),
            (365, 7, 50, 13),
            (365, 240, 50, 260),
        ] {
            let by_hours = if run == 0 {
                every
            } else {
                ((hours * 10 - since).max(0) / run).min(every)
            };
            let call = format!(
                "service_date({}, every: {every} d, run: {} h/d, every_hours: {hours} h, since_last: {} h)",
                written(last),
                decimal(run as i128, 10),
                decimal(since as i128, 10)
            );
            assert_eq!(date_of(&call), after(last, by_hours), "{call}");
        }
    }
    // in other units: 8 h/wk are 8/7 h/d, and 48 h at that take 42 d
    assert_eq!(
        date_of("service_date(2026-01-10, every: 26 wk, run: 8 h/wk, every_hours: 50 h, since_last: 120 min)"),
        after((2026, 1, 10), 42)
    );
}

/// 49 CFR 180.209: 12 years from manufacture (published); then 12, 10 or 5 (the last two from memory).
#[test]
fn a_cylinder_is_examined_after_years() {
    for (made, last, method, due) in [
        ("2016-05-01", "", "external visual", "2028-05-01"),
        ("2016-05-01", "2028-04-30", "external visual", "2033-04-30"),
        ("2016-05-01", "2028-04-30", "proof pressure", "2038-04-30"),
        ("2016-05-01", "2028-04-30", "volumetric", "2040-04-30"),
        // the 29th of February, where the year that follows has one and where it has none
        ("2012-02-29", "", "volumetric", "2024-02-29"),
        ("2012-02-29", "2024-02-29", "external visual", "2029-02-28"),
        ("2088-02-29", "", "volumetric", "2100-02-28"),
        // the hour of the day is dropped
        ("2016-05-01 23:59", "2028-04-30 00:01", "proof pressure", "2038-04-30"),
        ("9987-12-31", "", "volumetric", "9999-12-31"),
        ("0001-01-01", "", "volumetric", "0013-01-01"),
    ] {
        let last = if last.is_empty() {
            String::new()
        } else {
            format!("last_test: {last}, ")
        };
        let call = format!("requalification_date(made: {made}, {last}method: \"{method}\")");
        assert_eq!(date_of(&call), due, "{call}");
    }
}

#[test]
fn dates_say_where_they_end() {
    let service = |rest: &str| format!("service_date(2026-01-10, {rest})");
    let cases = [
        (
            "requalification_date(9990-01-01, method: \"volumetric\")".to_owned(),
            Code::OutsideRange,
            "9990-01-01",
            "1 to 9999",
        ),
        (
            "requalification_date(2016-05-01, 2016-04-30, \"volumetric\")".to_owned(),
            Code::OutsideRange,
            "2016-04-30",
            "before the cylinder was made",
        ),
        (
            "requalification_date(2016-05-01, method: \"visual\")".to_owned(),
            Code::ArgumentWord,
            "\"visual\"",
            "`method` doesn't know",
        ),
        (
            service("180 d, 24.1 h/d, 50 h, 0 h"),
            Code::OutsideRange,
            "24.1 h/d",
            "above 24 h/d",
        ),
        (
            service("180 d, -1 h/d, 50 h, 0 h"),
            Code::OutsideRange,
            "-1 h/d",
            "below zero",
        ),
        (
            service("0 d, 1 h/d, 50 h, 0 h"),
            Code::OutsideRange,
            "0 d",
            "above zero",
        ),
        (
            service("180 d, 1 h/d, 0 h, 0 h"),
            Code::OutsideRange,
            "0 h",
            "above zero",
        ),
        (
            service("180 d, 1 h/d, 50 h, -1 h"),
            Code::OutsideRange,
            "-1 h",
            "below zero",
        ),
        (
            service("3_000_000 d, 0 h/d, 50 h, 0 h"),
            Code::OutsideRange,
            "3_000_000 d",
            "1 to 9999",
        ),
        (
            service("1e12 d, 0 h/d, 50 h, 0 h"),
            Code::OutsideRange,
            "1e12 d",
            "1 to 9999",
        ),
    ];
    for (call, code, place, words) in cases {
        let found = problems(&load(&format!("worked due = {call}\n")));
        assert_eq!(found.len(), 1, "{call}: {found:?}");
        assert_eq!((found[0].0, found[0].2.as_str()), (code, place), "{call}");
        assert!(found[0].1.contains(words), "{}", found[0].1);
    }
}
