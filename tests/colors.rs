//! The colors of charts: each stands out from its ground, and the four from each other, for readers who see all
//! colors and for those who lack the red or the green cones.
//!
//! Contrast is that of WCAG 2.1, 1.4.11: 3 or more for what is drawn. Sight without one kind of cones is simulated by
//! the matrices of Machado, Oliveira and Fernandes (2009) at full severity, from memory; two colors are as far apart
//! as their places in OKLab (Ottosson 2020), in which 0.02 is just seen. Start reading at [`the_colors_of_charts`].
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

type Triple = [f64; 3];

const ALL_CONES: [Triple; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
const NO_RED_CONES: [Triple; 3] = [
    [0.152_286, 1.052_583, -0.204_868],
    [0.114_503, 0.786_281, 0.099_216],
    [-0.003_882, -0.048_116, 1.051_998],
];
const NO_GREEN_CONES: [Triple; 3] = [
    [0.367_322, 0.860_646, -0.227_968],
    [0.280_085, 0.672_501, 0.047_413],
    [-0.011_820, 0.042_940, 0.968_881],
];
const SIGHTS: [[Triple; 3]; 3] = [ALL_CONES, NO_RED_CONES, NO_GREEN_CONES];

fn times(matrix: &[Triple; 3], [x, y, z]: Triple) -> Triple {
    matrix.map(|[a, b, c]| a * x + b * y + c * z)
}

/// Red, green and blue as amounts of light, from `#rrggbb`.
fn light(hex: &str) -> Triple {
    [1, 3, 5].map(|at| {
        let part = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
        match part <= 0.040_45 {
            true => part / 12.92,
            false => ((part + 0.055) / 1.055).powf(2.4),
        }
    })
}

fn contrast(one: &str, other: &str) -> f64 {
    let luminance = |hex| {
        let [red, green, blue] = light(hex);
        0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05
    };
    let (one, other) = (luminance(one), luminance(other));
    one.max(other) / one.min(other)
}

/// The place of a color in OKLab.
fn place(light: Triple) -> Triple {
    let cones = times(
        &[
            [0.412_221_470_8, 0.536_332_536_3, 0.051_445_992_9],
            [0.211_903_498_2, 0.680_699_545_1, 0.107_396_956_6],
            [0.088_302_461_9, 0.281_718_837_6, 0.629_978_700_5],
        ],
        light,
    );
    times(
        &[
            [0.210_454_255_3, 0.793_617_785_0, -0.004_072_046_8],
            [1.977_998_495_1, -2.428_592_205_0, 0.450_593_709_9],
            [0.025_904_037_1, 0.782_771_766_2, -0.808_675_766_0],
        ],
        cones.map(f64::cbrt),
    )
}

/// How far two colors are apart to one sort of eyes.
fn apart(one: &str, other: &str, sight: &[Triple; 3]) -> f64 {
    let seen = |hex| place(times(sight, light(hex)).map(|part| part.clamp(0.0, 1.0)));
    let (one, other) = (seen(one), seen(other));
    (0..3).map(|at| (one[at] - other[at]).powi(2)).sum::<f64>().sqrt()
}

/// What stands behind each `start` in a text, up to six digits of a color.
fn after<'a>(text: &'a str, start: &str) -> Vec<&'a str> {
    let found = text.match_indices(start).map(|(at, _)| &text[at + start.len()..]);
    found.map(|rest| &rest[..7]).collect()
}

fn check(name: &str, colors: &[&str], grounds: &[&str], far: f64) {
    assert_eq!(colors.len(), 4, "{name}");
    for color in colors {
        for ground in grounds {
            let found = contrast(color, ground);
            assert!(found >= 3.0, "{name}: {color} on {ground}: {found:.2}");
        }
    }
    for (at, one) in colors.iter().enumerate() {
        for other in &colors[at + 1..] {
            for (sight, matrix) in SIGHTS.iter().enumerate() {
                let found = apart(one, other, matrix);
                assert!(found >= far, "{name}: {one} and {other}, sight {sight}: {found:.3}");
            }
        }
    }
}

#[test]
fn the_colors_of_charts() {
    let style = include_str!("../src/report/handout/style.css");
    let of_pages: Vec<Vec<&str>> = (1..=4).map(|at| after(style, &format!("--chart-{at}: "))).collect();
    let grounds = after(style, "--paper: ");
    assert_eq!(grounds.len(), 3, "light, dark and printed");
    for (at, ground) in grounds.iter().enumerate() {
        let colors: Vec<&str> = of_pages.iter().map(|color| color[at]).collect();
        check(&format!("page {at}"), &colors, &[ground], 0.13);
    }
    let drawing = include_str!("../src/report/chart/svg.rs");
    let alone: Vec<&str> = (1..=4)
        .flat_map(|at| after(drawing, &format!("var(--chart-{at}, ")))
        .collect();
    check("drawing alone", &alone, &["#ffffff", "#000000"], 0.11);
}

/// Black on white is 21; to eyes without green cones the pair of red #b00000 and green #606000 falls together, worked
/// out apart in Python: 0.2052 and 0.0164.
#[test]
fn the_measures_are_those_of_their_sources() {
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    let of = |sight| apart("#b00000", "#606000", sight);
    assert!((of(&ALL_CONES) - 0.2052).abs() < 5e-5, "{}", of(&ALL_CONES));
    assert!((of(&NO_GREEN_CONES) - 0.0164).abs() < 5e-5, "{}", of(&NO_GREEN_CONES));
}
