//! The value of an input that gives an answer a wanted value.
//!
//! The interval is cut into cells; where the answer lies on both sides of the
//! target, the place is refined to 12 digits. An answer may also touch the
//! target between two places, step over it, or stay at it. Cells beside a place without a
//! value and beside a step are halved; where nothing is found, those are cut further in which
//! the answer can be the target, which may prove that there is none. Start reading at [`aim`].

use std::collections::VecDeque;

use crate::number::Number;
use crate::problem::{Code, Place, Problem, Severity};
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::over::Over;
use crate::sheet::range::Range;
use crate::syntax::tree::ComparisonOperator;
use crate::text::Span;

use super::root::{Found, Point, crossings, nearest};
use super::vary::{Input, Varied, distance, number_of};

/// The cells of the interval.
const CELLS: usize = 200;
/// Places nearer than this part of the interval are one.
const SAME: f64 = 1e-7;

/// An answer touches the target where it comes this near, as a part of how far it is from it elsewhere.
const TOUCHED: f64 = 1e-12;

/// How often the way to a place without a value, or to a step, is halved.
const HALVINGS: usize = 100;
/// So many ways are halved.
const MOST_HALVED: usize = 8;
/// A change this many times those beside it may be a step.
const JUMP: f64 = 3.0;
/// So many intervals are asked what the answer can be there.
const MOST_ASKED: usize = 400;
/// Where nothing is known of so many from the start, nothing will be.
const MOST_UNKNOWN: usize = 8;

/// What an aim came to.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Aimed {
    /// Solutions, stretches and steps, in rising order.
    pub found: Vec<Found>,
    /// Whether the answer is the same wherever it was looked at.
    pub flat: bool,
    /// Whether what it can be all over the interval is that alone.
    pub same: bool,
    /// Whether the target isn't among what it can be all over the interval.
    pub proved: bool,
    /// Where it comes nearest, where it neither takes the target nor steps over it.
    pub nearest: Option<f64>,
    /// At how many of the places looked at it has no value.
    pub without: usize,
    /// How many places were looked at.
    pub places: usize,
    /// What is wrong at the first of them.
    pub problem: Option<Problem>,
}

/// What is aimed at: an answer, its wanted value, and the input that is varied between two ends.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Aim {
    /// The answer.
    pub answer: CellId,
    /// What it should be, in its own unit.
    pub target: Number,
    /// The input.
    pub input: Input,
    /// Its low end.
    pub low: Number,
    /// Its high end.
    pub high: Number,
}

/// Looks for the values of the input being varied that give the answer its wanted value.
pub(crate) fn aim(varied: &mut Varied, aim: Aim) -> Aimed {
    let mut looking = Looking {
        varied,
        aim,
        points: Vec::new(),
        first: None,
        swing: 0.0,
        aimed: Aimed {
            flat: true,
            ..Aimed::default()
        },
    };
    looking.evenly();
    if !looking.is_flat() {
        looking.beside_problems();
        looking.beside_steps();
        looking.find();
    }
    if looking.aimed.found.iter().all(|found| matches!(found, Found::Step(..))) {
        looking.towards_zero();
        looking.where_it_can_be();
        looking.beside_problems();
        if !looking.is_flat() {
            looking.find();
        }
    }
    looking.aimed.flat = looking.is_flat() && (looking.aimed.same || !looking.aimed.proved);
    looking.aimed.places = looking.points.len();
    looking.aimed
}

struct Looking<'a> {
    varied: &'a mut Varied,
    aim: Aim,
    /// Every place looked at, in rising order, and how far the answer is from the target there.
    points: Vec<Point>,
    /// The answer where it was first seen.
    first: Option<Number>,
    /// How far it is from the target at most, at even places.
    swing: f64,
    aimed: Aimed,
}

impl Looking<'_> {
    /// How far the answer is from the target at a place.
    fn look(&mut self, place: f64) -> Option<f64> {
        let answer = number_of(self.varied.near(place)?, self.aim.answer)?;
        self.aimed.flat &= self.first.get_or_insert(answer).agrees_with(answer);
        distance(answer, self.aim.target)
    }

    /// Looks at a place and keeps what was seen there.
    fn add(&mut self, place: f64) -> Option<f64> {
        let seen = self.look(place);
        if seen.is_none() {
            self.aimed.without += 1;
            let problem = || problem_of(self.varied.sheet(), self.aim.answer);
            self.aimed.problem = self.aimed.problem.take().or_else(problem);
        }
        self.points.push((place, seen));
        seen
    }

    fn sort(&mut self) {
        self.points.sort_by(|one, other| one.0.total_cmp(&other.0));
        self.points.dedup_by(|next, one| next.0 == one.0);
    }

    fn ends(&self) -> (f64, f64) {
        (self.aim.low.to_f64(), self.aim.high.to_f64())
    }

    fn evenly(&mut self) {
        let (low, high) = self.ends();
        for cell in 0..=CELLS {
            self.add(match cell {
                CELLS => high,
                _ => low + (high - low) * (cell as f64 / CELLS as f64),
            });
        }
        let known = self.points.iter().filter_map(|(_, value)| *value);
        self.swing = known.fold(0.0, |most: f64, value| most.max(value.abs()));
    }

    /// Places by powers of ten nearer to zero than the first even one.
    fn towards_zero(&mut self) {
        let (low, high) = self.ends();
        for end in [low, high] {
            let places = (3..=28).map(|power| end / libm::exp10(f64::from(power)));
            for place in places.filter(|place| low < *place && *place < high) {
                self.add(place);
            }
        }
        self.sort();
    }

    /// Whether the answer was the same at every place, of two at least.
    fn is_flat(&self) -> bool {
        let known = self.points.iter().filter(|(_, value)| value.is_some());
        self.aimed.flat && known.count() > 1
    }

    /// Halves the way from a place with a value to the next one without.
    fn beside_problems(&mut self) {
        let pairs = self.points.windows(2).filter_map(|pair| match pair {
            [(inside, Some(_)), (outside, None)] | [(outside, None), (inside, Some(_))] => Some((*inside, *outside)),
            _ => None,
        });
        for (inside, outside) in pairs.take(MOST_HALVED).collect::<Vec<_>>() {
            let (mut inside, mut outside) = (inside, outside);
            for _ in 0..HALVINGS {
                let middle = inside + (outside - inside) / 2.0;
                if (middle - inside).abs() <= TOUCHED * inside.abs() {
                    break;
                }
                match self.add(middle) {
                    Some(_) => inside = middle,
                    None => outside = middle,
                }
            }
        }
        self.sort();
    }

    /// Halves the way to a step, from both sides.
    fn beside_steps(&mut self) {
        let known: Vec<(f64, f64)> = self
            .points
            .iter()
            .filter_map(|(at, value)| Some((*at, (*value)?)))
            .collect();
        let change = |place: usize| match (known.get(place), known.get(place + 1)) {
            (Some(one), Some(next)) => (next.1 - one.1).abs(),
            _ => 0.0,
        };
        let beside = |place: usize| change(place + 1).max(place.checked_sub(1).map_or(0.0, change));
        let mut jumps: Vec<usize> = (0..known.len().saturating_sub(1))
            .filter(|place| change(*place) > JUMP * beside(*place))
            .collect();
        jumps.sort_by(|one, other| change(*other).total_cmp(&change(*one)));
        for place in jumps.into_iter().take(MOST_HALVED) {
            if let (Some(low), Some(high)) = (known.get(place), known.get(place + 1)) {
                self.halve(*low, *high);
            }
        }
        self.sort();
    }

    /// Halves the side with the larger change, as long as most of it is there.
    fn halve(&mut self, mut low: (f64, f64), mut high: (f64, f64)) {
        let least = (high.1 - low.1).abs() / 2.0;
        for _ in 0..HALVINGS {
            let middle = low.0 + (high.0 - low.0) / 2.0;
            if (middle - low.0).abs() <= TOUCHED * middle.abs() {
                return;
            }
            let Some(seen) = self.add(middle) else { return };
            match (seen - low.1).abs() > (high.1 - seen).abs() {
                true => high = (middle, seen),
                false => low = (middle, seen),
            }
            if (high.1 - low.1).abs() < least {
                return;
            }
        }
    }

    /// Cuts the interval where the answer can be the target, and looks there. Where it can't
    /// be anywhere, that is proved.
    fn where_it_can_be(&mut self) {
        // of a cell nothing is known between the places looked at
        let Some(input) = self.aim.input.entry() else { return };
        let places = {
            let mut cutting = Cutting::new(&self.aim, self.varied.sheet().over(input, self.aim.answer));
            self.aimed.proved = cutting.cut();
            self.aimed.same = cutting.same;
            cutting.places
        };
        for place in places {
            self.add(place);
        }
        self.sort();
    }

    /// Crossings, touches and steps among the places looked at.
    fn find(&mut self) {
        let points = std::mem::take(&mut self.points);
        let touched = TOUCHED * self.swing;
        let mut look = |place: f64| self.look(place);
        let mut found = crossings(&points, &mut look);
        let dips: Vec<(f64, f64)> = nearest(&points, &mut look);
        let dips: Vec<(f64, f64)> = dips.into_iter().map(|dip| shortest(dip, &mut look)).collect();
        for (place, value) in &dips {
            let value = if value.abs() <= touched { 0.0 } else { *value };
            let touched = touching(&points, (*place, value), &mut look);
            let new = touched
                .into_iter()
                .filter(|one| !found.iter().any(|known| takes_in(known, place_of(one))));
            found.extend(new.collect::<Vec<_>>());
        }
        found.sort_by(|one, other| place_of(one).total_cmp(&place_of(other)));
        let (low, high) = self.ends();
        found.dedup_by(|next, one| (place_of(next) - place_of(one)).abs() <= SAME * (high - low).abs());
        if found.is_empty() {
            self.aimed.nearest = dips.first().map(|(place, _)| *place);
        }
        self.aimed.found = found;
        self.points = points;
    }
}

/// The interval being cut into those in which the answer can be the target.
struct Cutting<'a> {
    over: Over<'a>,
    target: Range,
    open: VecDeque<(Number, Number)>,
    /// An interval narrower than this lies between two places looked at before.
    narrow: f64,
    /// Where to look.
    places: Vec<f64>,
    /// Whether the answer is the same all over.
    same: bool,
}

impl<'a> Cutting<'a> {
    fn new(aim: &Aim, over: Over<'a>) -> Cutting<'a> {
        Cutting {
            over,
            target: Range::exactly(aim.target),
            open: VecDeque::from([(aim.low, aim.high)]),
            narrow: (aim.high.to_f64() - aim.low.to_f64()) / CELLS as f64,
            places: Vec::new(),
            same: false,
        }
    }

    /// Cuts as long as that tells anything; whether nothing is left in which it can be the target.
    fn cut(&mut self) -> bool {
        let (mut unknown, mut proved) = (0, true);
        for asked in 0..MOST_ASKED {
            let Some((low, high)) = self.open.pop_front() else {
                return proved;
            };
            let range = self.over.range(low, high);
            unknown += usize::from(range.is_any());
            self.same |= asked == 0 && range.only().is_some();
            if asked + 1 == unknown && unknown >= MOST_UNKNOWN {
                return false;
            }
            if range.compared(ComparisonOperator::Equal, self.target) == Some(false) {
                continue;
            }
            match range.only() {
                Some(_) => {
                    self.places.extend([low.to_f64(), high.to_f64()]);
                    proved = false;
                }
                None => self.halve(low, high),
            }
        }
        false
    }

    /// Cuts an interval in two. One that is nothing at 12 digits is looked at, and that is all.
    fn halve(&mut self, low: Number, high: Number) {
        let middle = low.add(high).and_then(|sum| sum.div(Number::from_integer(2)));
        let middle = middle.unwrap_or(low);
        let (from, to) = (low.to_f64(), high.to_f64());
        if to - from <= self.narrow {
            self.places.push(middle.to_f64());
        }
        if to - from > TOUCHED * (from.abs() + to.abs()) {
            self.open.extend([(low, middle), (middle, high)]);
        }
    }
}

/// Where something is found, by its lower end.
pub(crate) fn place_of(found: &Found) -> f64 {
    match found {
        Found::Zero(place) | Found::Stretch(place, _) | Found::Step(place, ..) => *place,
    }
}

fn takes_in(found: &Found, place: f64) -> bool {
    matches!(found, Found::Stretch(from, to) if (*from..=*to).contains(&place))
}

/// A dip at the shortest decimal near it that lies at least as low: a dip is flat, so that
/// its place is known to fewer digits than a crossing's.
fn shortest(dip: (f64, f64), look: &mut impl FnMut(f64) -> Option<f64>) -> (f64, f64) {
    let Ok(place) = Number::from_f64(dip.0) else {
        return dip;
    };
    let shorter = (2..12).map(|digits| place.round_significant(digits).to_f64());
    let mut lower = shorter.filter_map(|place| Some((place, look(place)?)));
    let low = lower.find(|(_, value)| value.abs() <= dip.1.abs() && value * dip.1 >= 0.0);
    low.unwrap_or(dip)
}

/// A dip that reaches the target: a touch, or two crossings beside it.
fn touching(points: &[Point], dip: (f64, f64), look: &mut impl FnMut(f64) -> Option<f64>) -> Vec<Found> {
    if dip.1 == 0.0 {
        return vec![Found::Zero(dip.0)];
    }
    let before = points.iter().rev().find(|(place, _)| *place < dip.0);
    let after = points.iter().find(|(place, _)| *place > dip.0);
    let sides = [before, Some(&(dip.0, Some(dip.1))), after];
    let around: Vec<Point> = sides.into_iter().flatten().copied().collect();
    crossings(&around, look)
}

/// What keeps an answer from having a value: the first problem among what it needs, or the
/// limit that leaves no more than a range of it.
pub(crate) fn problem_of(sheet: &Sheet, answer: CellId) -> Option<Problem> {
    let items: Vec<u32> = sheet
        .needed_by(answer)
        .into_iter()
        .map(|cell| sheet.item_of(cell))
        .collect();
    let weighs = |problem: &Problem| problem.severity == Severity::Problem && items.contains(&problem.place.item);
    let found = sheet.problems().into_iter().find(weighs);
    found.or_else(|| past_limit(sheet, answer))
}

fn past_limit(sheet: &Sheet, answer: CellId) -> Option<Problem> {
    sheet.limited(answer)?;
    let item = sheet.item_of(*sheet.limits_met(&[answer]).first()?);
    let whole = Span::new(0, sheet.tree().text_of(item as usize).trim_end().len());
    let message = "a draw-down had not ended at its `limit`, so that no more than a range is known";
    Some(Problem::new(Code::OutsideRange, message, Place::new(item, whole)))
}
