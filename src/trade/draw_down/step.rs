//! One step of two ordinary differential equations, and the path between its ends.
//!
//! The pair of order 5(4) by Dormand and Prince (J. Comput. Appl. Math. 6 (1980)
//! 19) with its continuous extension of order 4, as in Hairer, Nørsett and
//! Wanner, Solving Ordinary Differential Equations I, II.5. The path is a
//! quartic, so where it first reaches a level is found by its turning points:
//! no dip inside a step is missed. Short steps take a third of the work, by Simpson's
//! rule. Start reading at [`step`].

/// A temperature, and what has frozen on the wall.
pub(super) type State = [f64; 2];

/// What one step gives.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stepped {
    /// The state at the end.
    pub value: State,
    /// The slope at the end, with which the next step begins.
    pub slope: State,
    /// The estimated error of the state.
    pub error: State,
    /// The states between.
    pub paths: [Path; 2],
}

/// Values over a step, from 0 at its start to 1 at its end: a quartic, the constant first.
#[derive(Clone, Copy, Debug)]
pub(super) struct Path([f64; 5]);

/// A slope with its weight.
#[inline(always)]
fn weighed(weight: f64, [one, other]: State) -> Sum {
    Sum([weight * one, weight * other])
}

/// A sum of slopes, each with its weight.
#[derive(Clone, Copy)]
struct Sum(State);

impl Sum {
    #[inline(always)]
    fn and(self, weight: f64, [one, other]: State) -> Sum {
        let Sum([first, second]) = self;
        Sum([first + weight * one, second + weight * other])
    }
}

/// One step from `value`, whose slope `first` is known, over `length`; `slope` is
/// asked at a time since the start of the step and a state.
pub(super) fn step(slope: impl Fn(f64, State) -> State, value: State, first: State, length: f64) -> Stepped {
    let h = length;
    let after = |Sum(rise): Sum| [value[0] + h * rise[0], value[1] + h * rise[1]];
    let k1 = first;
    let k2 = slope(h / 5.0, after(weighed(1.0 / 5.0, k1)));
    let k3 = slope(0.3 * h, after(weighed(3.0 / 40.0, k1).and(9.0 / 40.0, k2)));
    let k4 = slope(
        0.8 * h,
        after(weighed(44.0 / 45.0, k1).and(-56.0 / 15.0, k2).and(32.0 / 9.0, k3)),
    );
    let fifth = weighed(19_372.0 / 6_561.0, k1)
        .and(-25_360.0 / 2_187.0, k2)
        .and(64_448.0 / 6_561.0, k3)
        .and(-212.0 / 729.0, k4);
    let k5 = slope(8.0 / 9.0 * h, after(fifth));
    let sixth = weighed(9_017.0 / 3_168.0, k1)
        .and(-355.0 / 33.0, k2)
        .and(46_732.0 / 5_247.0, k3)
        .and(49.0 / 176.0, k4)
        .and(-5_103.0 / 18_656.0, k5);
    let k6 = slope(h, after(sixth));
    let rise = weighed(35.0 / 384.0, k1)
        .and(500.0 / 1_113.0, k3)
        .and(125.0 / 192.0, k4)
        .and(-2_187.0 / 6_784.0, k5)
        .and(11.0 / 84.0, k6);
    let k7 = slope(h, after(rise));
    let error = weighed(71.0 / 57_600.0, k1)
        .and(-71.0 / 16_695.0, k3)
        .and(71.0 / 1_920.0, k4)
        .and(-17_253.0 / 339_200.0, k5)
        .and(22.0 / 525.0, k6)
        .and(-1.0 / 40.0, k7);
    let bend = weighed(-12_715_105_075.0 / 11_282_082_432.0, k1)
        .and(87_487_479_700.0 / 32_700_410_799.0, k3)
        .and(-10_690_763_975.0 / 1_880_347_072.0, k4)
        .and(701_980_252_875.0 / 199_316_789_632.0, k5)
        .and(-1_453_857_185.0 / 822_651_844.0, k6)
        .and(69_997_945.0 / 29_380_423.0, k7);
    let (value_after, Sum(rise), Sum(error), Sum(bend)) = (after(rise), rise, error, bend);
    Stepped {
        value: value_after,
        slope: k7,
        error: [(h * error[0]).abs(), (h * error[1]).abs()],
        paths: [
            Path::new(value[0], h * rise[0], (h * k1[0], h * k7[0]), h * bend[0]),
            Path::new(value[1], h * rise[1], (h * k1[1], h * k7[1]), h * bend[1]),
        ],
    }
}

/// The same over a `length` that is short beside what the slope follows, by Simpson's rule, with a
/// cubic between its ends; the error is estimated for the middle's slope alone. The slopes rise by
/// `bend`, as far as is known; that of the first value is `steeper` by so much where the value is
/// one higher: about right, it mends what the middle lacks.
pub(super) fn short_step(
    slope: impl Fn(f64, State) -> State,
    value: State,
    first: State,
    length: f64,
    (bend, steeper): (State, f64),
) -> Stepped {
    let h = length;
    let after = |Sum(rise): Sum| [value[0] + h * rise[0], value[1] + h * rise[1]];
    let k1 = first;
    let [middle, other] = slope(0.5 * h, after(weighed(0.5, k1).and(h / 8.0, bend)));
    let k3 = slope(h, after(weighed(1.0, [middle, other])));
    let bent = (k3[0] - k1[0]) / h - bend[0];
    let k2 = [middle + steeper * h * h / 8.0 * bent, other];
    let rise = weighed(1.0 / 6.0, k1).and(4.0 / 6.0, k2).and(1.0 / 6.0, k3);
    let error = weighed(1.0 / 6.0, k1).and(-2.0 / 6.0, k2).and(1.0 / 6.0, k3);
    let (value_after, Sum(rise), Sum(error)) = (after(rise), rise, error);
    Stepped {
        value: value_after,
        slope: k3,
        error: [(h * error[0]).abs(), (h * error[1]).abs()],
        paths: [
            Path::new(value[0], h * rise[0], (h * k1[0], h * k3[0]), 0.0),
            Path::new(value[1], h * rise[1], (h * k1[1], h * k3[1]), 0.0),
        ],
    }
}

impl Path {
    /// From the value, the rise, the slopes at both ends over a whole step, and what
    /// bends it between.
    fn new(value: f64, rise: f64, slopes: (f64, f64), bend: f64) -> Path {
        let left = slopes.0 - rise;
        let right = rise - slopes.1 - left;
        Path([value, rise + left, right + bend - left, -right - 2.0 * bend, bend])
    }

    /// The value at a place of the step.
    pub(super) fn at(&self, place: f64) -> f64 {
        self.0.iter().rev().fold(0.0, |sum, part| sum * place + part)
    }

    /// The same upside down.
    pub(crate) fn mirrored(&self) -> Path {
        Path(self.0.map(|part| -part))
    }

    /// The first place at which it has come down to a level, having begun above it.
    pub(crate) fn first_down_to(&self, level: f64) -> Option<f64> {
        if self.lowest_possible() > level {
            return None;
        }
        let mut from = 0.0;
        for to in self.turns().into_iter().chain([1.0]) {
            if self.at(to) <= level {
                return Some(crossing(|place| self.at(place) - level, from, to));
            }
            from = to;
        }
        None
    }

    /// A bound that no value of the step is below.
    fn lowest_possible(&self) -> f64 {
        let [value, parts @ ..] = self.0;
        value - parts.iter().map(|part| part.abs()).sum::<f64>()
    }

    /// Where it turns, in rising order: at most three places.
    fn turns(&self) -> Vec<f64> {
        let [_, b, c, d, e] = self.0;
        let slope = |place: f64| b + place * (2.0 * c + place * (3.0 * d + place * 4.0 * e));
        let mut found = Vec::new();
        let mut from = 0.0;
        for to in inside_roots(2.0 * c, 6.0 * d, 12.0 * e).chain([1.0]) {
            if (slope(from) > 0.0) != (slope(to) > 0.0) {
                found.push(crossing(slope, from, to));
            }
            from = to;
        }
        found
    }
}

/// The roots of a + b·x + c·x² between 0 and 1, in rising order.
fn inside_roots(a: f64, b: f64, c: f64) -> impl Iterator<Item = f64> {
    let root = f64::sqrt(b * b - 4.0 * a * c);
    let far = -0.5 * (b + root.copysign(b));
    let (one, other) = (far / c, a / far);
    [one.min(other), one.max(other)]
        .into_iter()
        .filter(|place| *place > 0.0 && *place < 1.0)
}

/// Where a function that changes its sign between two places does so, to the last digit.
pub(in crate::trade) fn crossing(of: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let rising = of(to) > 0.0;
    let (mut before, mut after) = (from, to);
    for _ in 0..64 {
        let middle = 0.5 * (before + after);
        if (of(middle) > 0.0) == rising {
            after = middle;
        } else {
            before = middle;
        }
    }
    after
}

/// Where a function that falls from above zero to below it does so, to within `near`: it is
/// asked at a place, starting from `guess` where its slope is about `slope`.
pub(in crate::trade) fn falls_to_zero(
    mut of: impl FnMut(f64) -> f64,
    (mut low, mut high): (f64, f64),
    (guess, mut slope): (f64, f64),
    near: f64,
) -> f64 {
    let mut at = guess;
    let mut value = of(at);
    for _ in 0..100 {
        if value > 0.0 {
            low = at;
        } else {
            high = at;
        }
        let secant = at - value / slope;
        let next = if secant >= low && secant <= high {
            secant
        } else {
            0.5 * (low + high)
        };
        let moved = next - at;
        if moved.abs() < near {
            return next;
        }
        let after = of(next);
        if after.is_nan() {
            return next;
        }
        slope = (after - value) / moved;
        (at, value) = (next, after);
    }
    at
}
