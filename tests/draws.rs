//! Draws of uncertain inputs, against values worked out elsewhere.
//!
//! tests/data/monte_carlo.csv has moments and quantiles by quadrature, from
//! another program; regression.csv straight lines by exact rational arithmetic.
//! That each draw is what the record gives stands in consistency.rs.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use statrs::distribution::{ContinuousCDF, StudentsT};
use tarebook::sheet::Sheet;
use tarebook::study::draws::{Asked, Draws, Figures, draw};
use tarebook::study::{Unwatched, Watch};

const QUADRATURE: &str = include_str!("data/monte_carlo.csv");
const LINES: &str = include_str!("data/regression.csv");

fn load(text: &str) -> Sheet {
    let sheet = Sheet::load(text.to_owned(), None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems());
    sheet
}

fn drawn(sheet: &Sheet, name: &str, count: usize, seed: u64) -> Draws {
    draw(sheet, sheet.cell(name).unwrap(), Asked { count, seed }, &Unwatched)
}

fn figures(text: &str, name: &str, count: usize) -> Figures {
    let draws = drawn(&load(text), name, count, 7);
    assert!(!draws.withheld(), "{draws:?}");
    draws.figures.unwrap()
}

fn near(what: &str, found: f64, wanted: f64, within: f64) {
    assert!(
        (found - wanted).abs() <= within,
        "{what}: {found}, not {wanted} ± {within}"
    );
}

/// Source: numpy and scipy, as the README beside the file says; four standard errors of
/// as many draws as are made here.
#[test]
fn moments_and_quantiles_by_quadrature() {
    let mut reader = csv::Reader::from_reader(QUADRATURE.as_bytes());
    let headings = reader.headers().unwrap().clone();
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let text = |heading: &str| row[headings.iter().position(|name| name == heading).unwrap()].to_owned();
        let number = |heading: &str| text(heading).parse::<f64>().unwrap();
        let lists = ["names", "distributions", "param1", "param2"].map(text);
        let [names, kinds, first, second] = lists.each_ref().map(|list| list.split(';').collect::<Vec<_>>());
        let mut worksheet = String::new();
        for (place, name) in names.iter().enumerate() {
            let (a, b) = (first[place], second[place]);
            worksheet.push_str(&match kinds[place] {
                "normal" => format!("assumed {name} = {a} ± {b} sd\n"),
                "uniform" => {
                    let (low, high): (f64, f64) = (a.parse().unwrap(), b.parse().unwrap());
                    format!(
                        "assumed {name} = {:.6} ± {:.6}\n",
                        (low + high) / 2.0,
                        (high - low) / 2.0
                    )
                }
                other => panic!("{other}"),
            });
        }
        worksheet.push_str(&format!("answer y = {}\n", text("expression")));
        let count = 400_000;
        let found = figures(&worksheet, "y", count);
        let within = |of: &str| 4.0 * number(of) * (number("samples") / count as f64).sqrt();
        near("mean", found.mean, number("mean_exact"), within("se_mean"));
        near("sd", found.sd, number("sd_exact"), within("se_sd"));
        near("2.5 %", found.low, number("p2.5_exact"), within("se_p2.5"));
        near("97.5 %", found.high, number("p97.5_exact"), within("se_p97.5"));
        rows += 1;
    }
    assert_eq!(rows, 2);
}

/// Source: the rectangular distribution itself: sd a/√3, 95 % within 0.95 a.
#[test]
fn limits_are_drawn_evenly() {
    let found = figures("assumed x = 10 lb ± 2 lb\nanswer y = x", "y", 200_000);
    near("mean", found.mean, 10.0, 0.011);
    near("sd", found.sd, 2.0 / 3f64.sqrt(), 0.005);
    near("2.5 %", found.low, 10.0 - 1.9, 0.01);
    near("97.5 %", found.high, 10.0 + 1.9, 0.01);
}

/// Source: Student's t by the `statrs` package (JCGM 101:2008, 6.4.9).
#[test]
fn degrees_of_freedom_are_drawn_as_students_t() {
    for freedom in [3.0, 18.0] {
        let text = format!("assumed x = 10 lb ± 2 lb sd df={freedom}\nanswer y = x");
        let found = figures(&text, "y", 200_000);
        let reach = 2.0 * StudentsT::new(0.0, 1.0, freedom).unwrap().inverse_cdf(0.975);
        near("2.5 %", found.low, 10.0 - reach, 0.02 * reach);
        near("97.5 %", found.high, 10.0 + reach, 0.02 * reach);
    }
}

/// Source: the certified standard errors and Student's t: a slope is spread like t with n − 2.
#[test]
fn a_line_is_drawn_with_its_scatter() {
    let mut reader = csv::Reader::from_reader(LINES.as_bytes());
    let headings = reader.headers().unwrap().clone();
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let text = |heading: &str| row[headings.iter().position(|name| name == heading).unwrap()].to_owned();
        if text("kind") != "OLS" {
            continue;
        }
        let number = |heading: &str| text(heading).parse::<f64>().unwrap();
        let (x, y) = (text("x"), text("y"));
        let cells: Vec<String> = x
            .split(';')
            .zip(y.split(';'))
            .map(|(x, y)| format!("| {x} | {y} |"))
            .collect();
        let worksheet = format!(
            "table log\n| x | y |\n{}\nanswer tilt = slope(log.x, log.y)\nanswer there = fitted_at(log.x, log.y, {})\nanswer next = next_reading(log.x, log.y, {})",
            cells.join("\n"),
            text("x0"),
            text("x0"),
        );
        let sheet = load(&worksheet);
        let found = |name: &str| drawn(&sheet, name, 200_000, 3).figures.unwrap();
        let reach = StudentsT::new(0.0, 1.0, number("n") - 2.0).unwrap().inverse_cdf(0.975);
        let tilt = found("tilt");
        near(
            "slope, low",
            tilt.low,
            number("slope") - reach * number("se_slope"),
            0.03 * reach * number("se_slope"),
        );
        near(
            "slope, high",
            tilt.high,
            number("slope") + reach * number("se_slope"),
            0.03 * reach * number("se_slope"),
        );
        for (name, low, high) in [("there", "mean_lo95", "mean_hi95"), ("next", "pred_lo95", "pred_hi95")] {
            let figures = found(name);
            let within = 0.03 * (number(high) - number(low)) / 2.0;
            near(low, figures.low, number(low), within);
            near(high, figures.high, number(high), within);
        }
        rows += 1;
    }
    assert!(rows >= 3, "{rows}");
}

const WEIGHED: &str = "
quoted hose = 1.2 lb ± 0.1 lb
table log
| hours [h] | gross [lb ± 0.3] |
| 0 | 37.1 |
| 1 | 35.8 |
| 2 | 34.5 |
| 3 | 33.2 |
worked net = log.gross - hose
worked rate = -slope(log.hours, net)
answer rate_here = rate
answer used = first(log.gross) - last(log.gross)
answer left = last(net)
";

/// Source: worked by hand. On a perfect line the instrument stands for the scatter, once:
/// u = (0.3/√3)/√Sxx with Sxx = 5; the hose is on every reading and moves no slope. A
/// difference of two readings has √2·0.3/√3, and one reading less the hose √(0.3² + 0.1²)/√3.
#[test]
fn the_errors_of_readings_come_in_once() {
    let sheet = load(WEIGHED);
    let sd = |name: &str| drawn(&sheet, name, 200_000, 5).figures.unwrap().sd;
    let reading = 0.3 / 3f64.sqrt();
    // t with 2 degrees of freedom has no standard deviation: its quartiles tell
    let rate = drawn(&sheet, "rate_here", 200_000, 5).figures.unwrap();
    let reach = StudentsT::new(0.0, 1.0, 2.0).unwrap().inverse_cdf(0.975) * reading / 5f64.sqrt();
    near("rate", rate.high - rate.low, 2.0 * reach, 0.05 * reach);
    near("used", sd("used"), 2f64.sqrt() * reading, 0.01 * reading);
    near("left", sd("left"), ((0.09 + 0.01) / 3f64).sqrt(), 0.01 * reading);
}

#[test]
fn what_cancels_stays_cancelled() {
    let found = figures("assumed x = 7.3 lb ± 0.4 lb\nanswer y = x - x + 2 lb", "y", 5_000);
    assert_eq!((found.mean, found.sd, found.low, found.high), (2.0, 0.0, 2.0, 2.0));
}

/// Source: worked by hand. x is above its middle in half of the draws: the mean of what is
/// above is half the half-width.
#[test]
fn draws_that_part_at_a_condition() {
    let text = "assumed x = 0 lb ± 2 lb\nanswer y = if x > 0 lb then x else 0 lb\nanswer z = max(x, 0 lb)";
    let (y, z) = (figures(text, "y", 100_000), figures(text, "z", 100_000));
    near("mean", y.mean, 0.5, 0.012);
    assert_eq!(y, z, "two ways to say one thing");
}

#[test]
fn an_input_has_its_own_draws() {
    let one = "assumed x = 5 lb ± 1 lb\nassumed r = 2 lb/h ± 10 %\nanswer y = x / r\n";
    let more =
        format!("assumed other = 3 lb ± 1 lb\n{one}answer with = y + other / r\ncase big\n  other = 9 lb ± 2 lb\n");
    let alone = drawn(&load(one), "y", 3_000, 9);
    let mut sheet = load(&more);
    assert_eq!(alone, drawn(&sheet, "y", 3_000, 9), "an input added");
    sheet.set_case(Some("big")).unwrap();
    assert_eq!(alone, drawn(&sheet, "y", 3_000, 9), "in a case");
    assert_ne!(alone, drawn(&sheet, "y", 3_000, 10), "another seed");
    let seeds = [1, 2, 3].map(|seed| drawn(&sheet, "with", 3_000, seed).figures.unwrap().mean);
    assert!(seeds[0] != seeds[1] && seeds[1] != seeds[2]);
}

#[test]
fn threads_change_nothing() {
    let sheet = load(WEIGHED);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| drawn(&sheet, "left", 10_500, 4))
    };
    assert_eq!(on(1), on(2));
    assert_eq!(on(1), on(3));
}

#[test]
fn draws_that_meet_a_problem_are_left_out_and_counted() {
    // a fifth of the draws are below zero
    let sheet = load("assumed x = 3 ± 5\nanswer y = sqrt(x)\nanswer z = if x < 0 then 1 else sqrt(x)");
    let draws = drawn(&sheet, "y", 20_000, 1);
    near(
        "left out",
        draws.left_out as f64,
        4_000.0,
        4.0 * (20_000.0 * 0.16f64).sqrt(),
    );
    assert!(draws.withheld());
    let met = draws.met.unwrap();
    let problem = sheet.problem_of(met.cell, &met.failure);
    assert!(
        problem.message.starts_with("a negative number has no such root"),
        "{}",
        problem.message
    );
    let fine = drawn(&sheet, "z", 20_000, 1);
    assert_eq!(
        (fine.left_out, fine.withheld()),
        (0, false),
        "no draw takes the root of what is below zero"
    );
}

/// With a hundredth of a degree of freedom half of the draws are beyond any number.
#[test]
fn draws_beyond_what_can_be_held_are_left_out() {
    let sheet = load(
        "assumed z = 1 ± 1 sd df=0.01\nanswer same = z\nanswer most = max(z, 3)\ntable t\n| w [lb ± 1 sd df=0.01] |\n| 3 |\n\nanswer column = max(t.w)",
    );
    for name in ["same", "most", "column"] {
        let draws = drawn(&sheet, name, 2_000, 1);
        assert!(draws.withheld() && draws.left_out > 500, "{name}: {draws:?}");
    }
    let draws = drawn(&sheet, "same", 2_000, 1);
    let met = draws.met.unwrap();
    let problem = sheet.problem_of(met.cell, &met.failure);
    assert_eq!(sheet.line(problem.place.item), 1);
    assert!(problem.message.contains("too large"), "{}", problem.message);
}

/// Source: worked by hand. 1/x over 1 ± 0.9: the straight line can't follow.
#[test]
fn a_worksheet_that_bends() {
    let curved = drawn(&load("assumed x = 1 ± 0.9\nanswer y = 1 / x"), "y", 10_000, 1);
    assert!(curved.curved(), "{curved:?}");
    let figures = curved.figures.unwrap();
    near("2.5 %", figures.low, 1.0 / (1.9 - 0.025 * 1.8), 0.01);
    near("97.5 %", figures.high, 1.0 / (0.1 + 0.025 * 1.8), 0.35);
    let straight = drawn(&load("assumed x = 1 ± 0.9\nanswer y = 3 * x + 2"), "y", 10_000, 1);
    assert!(!straight.curved(), "{straight:?}");
}

#[test]
fn draws_can_be_stopped() {
    struct After(usize);
    impl Watch for After {
        fn goes_on(&self, done: usize, of: usize) -> bool {
            assert!(done <= of);
            done < self.0
        }
    }
    let sheet = load("assumed x = 5 lb ± 1 lb\nanswer y = x * 2");
    let cell = sheet.cell("y").unwrap();
    let asked = Asked {
        count: 1_000_000,
        seed: 1,
    };
    let draws = draw(&sheet, cell, asked, &After(5_000));
    assert!((5_000..50_000).contains(&draws.count), "{}", draws.count);
    near("mean", draws.figures.unwrap().mean, 10.0, 0.1);
}
