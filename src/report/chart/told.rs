//! What a chart shows, in words: for those who hear it, and where it can't be drawn.
//!
//! From where to where it goes, between what it lies, and where it meets its
//! limits. Start reading at [`Teller::lines`].

use crate::number::Number;

use super::axis::Range;
use super::{Bound, Course, Line, Measure, Trace, one_way};

/// So many meetings with one limit are told.
const MOST_MEETINGS: usize = 3;
/// How the sentence on a fitted line begins, which is the last but for upright limits.
pub(super) const FITTED: &str = "The fitted line goes";
/// The digits to which a place between two points is told.
const BETWEEN_DIGITS: i32 = 3;

/// What stands along the axes.
pub(super) struct Teller<'a> {
    pub(super) across: &'a Measure,
    pub(super) up: &'a Measure,
}

/// A point that has both values.
type Place = (Number, Number);

impl Teller<'_> {
    /// What lines show, and how they lie to the limits.
    pub(super) fn lines(&self, lines: &[Line], bounds: &[Bound]) -> String {
        let mut told = Vec::new();
        let several = lines.iter().filter(|line| line.trace != Trace::Fitted).count() > 1;
        for line in lines {
            let named = if several { &line.label } else { &self.up.name };
            let places: Vec<Place> = line
                .samples
                .iter()
                .filter_map(|sample| Some((sample.across?, sample.up?)))
                .collect();
            if line.trace == Trace::Fitted {
                told.extend(self.fitted(&places));
                continue;
            }
            told.extend(self.course(named, &places));
            told.extend(missing(line.samples.len() - places.len()));
            let level = bounds.iter().filter(|bound| bound.course == Course::Level);
            told.extend(level.filter_map(|bound| self.meetings(named, line, &places, bound)));
        }
        let upright = bounds.iter().filter(|bound| bound.course == Course::Upright);
        told.extend(upright.map(|bound| self.upright(bound)));
        told.join(" ")
    }

    /// `The fitted line goes from 33.9 lb at 17:30 to 28.8 lb at 21:30.`
    fn fitted(&self, places: &[Place]) -> Option<String> {
        let at = |place: &Place| format!("{} at {}", self.up.shown(place.1), self.along(place.0));
        Some(format!(
            "{FITTED} from {} to {}.",
            at(places.first()?),
            at(places.last()?)
        ))
    }

    /// `gross over time, 6 points: from 51.9 lb at 17:30 to 44.1 lb at 21:30.`
    fn course(&self, named: &str, places: &[Place]) -> Option<String> {
        let (first, last) = (places.first()?, places.last()?);
        let at = |place: &Place| format!("{} at {}", self.up.shown(place.1), self.along(place.0));
        if places.len() == 1 {
            return Some(format!("{named} is {}.", at(first)));
        }
        let range = Range::of(places.iter().map(|place| place.1))?;
        let count = places.len();
        let over = &self.across.name;
        if range.low == range.high {
            let (from, to) = (self.along(first.0), self.along(last.0));
            let value = self.up.shown(range.low);
            return Some(format!(
                "{named} over {over}, {count} points: {value} all the way from {from} to {to}."
            ));
        }
        let mut told = format!(
            "{named} over {over}, {count} points: from {} to {}",
            at(first),
            at(last)
        );
        let ends = [first.1, last.1];
        let beyond: Vec<String> = [(range.low, "least"), (range.high, "greatest")]
            .iter()
            .filter(|(value, _)| !ends.contains(value))
            .filter_map(|(value, word)| Some(format!("{word} {}", at(places.iter().find(|place| place.1 == *value)?))))
            .collect();
        if !beyond.is_empty() {
            told.push_str(&format!("; {}", beyond.join(", ")));
        }
        told.push('.');
        Some(told)
    }

    /// `pressure meets the least pressure, 5 psig, at about 23.3 h.`
    fn meetings(&self, named: &str, line: &Line, places: &[Place], bound: &Bound) -> Option<String> {
        let text = &bound.text;
        let met = meetings(line, bound.value);
        let side = |sign: bool| places.iter().all(|place| place.1.compare(bound.value).is_gt() == sign);
        if met.is_empty() {
            places.first()?;
            return match (side(true), side(false)) {
                (true, _) => Some(format!("{named} stays above {text}.")),
                (_, true) => Some(format!("{named} stays below {text}.")),
                _ => Some(format!("{named} lies on both sides of {text}.")),
            };
        }
        let shown: Vec<String> = met.iter().take(MOST_MEETINGS).map(|place| self.along(*place)).collect();
        let more = if met.len() > MOST_MEETINGS {
            " and further on"
        } else {
            ""
        };
        Some(format!("{named} meets {text} at about {}{more}.", shown.join(", ")))
    }

    fn upright(&self, bound: &Bound) -> String {
        format!("{} at {}.", bound.text, self.along(bound.value))
    }

    fn along(&self, value: Number) -> String {
        self.across.shown(value)
    }
}

fn missing(rows: usize) -> Option<String> {
    match rows {
        0 => None,
        1 => Some("1 row has no value.".to_owned()),
        many => Some(format!("{many} rows have no value.")),
    }
}

/// Where a line that is joined passes or touches a value.
fn meetings(line: &Line, level: Number) -> Vec<Number> {
    let mut found: Vec<Number> = Vec::new();
    if !one_way(&line.samples) {
        return found;
    }
    for pair in line.samples.windows(2) {
        let [one, other] = pair else { continue };
        let (Some(from), Some(low), Some(to), Some(high)) = (one.across, one.up, other.across, other.up) else {
            continue;
        };
        let (below, above) = (low.to_f64() - level.to_f64(), high.to_f64() - level.to_f64());
        let place = if below == 0.0 {
            Some(from)
        } else if above == 0.0 {
            Some(to)
        } else if (below < 0.0) != (above < 0.0) {
            between(from, to, below / (below - above))
        } else {
            None
        };
        found.extend(place.filter(|place| found.last() != Some(place)));
    }
    found
}

/// A place between two, to the digits that a reading off a chart has.
fn between(from: Number, to: Number, part: f64) -> Option<Number> {
    let range = Range { low: from, high: to };
    let place = range.value(part)?;
    let span = to.sub(from).ok()?.abs();
    let digits = place.magnitude() - span.magnitude() + BETWEEN_DIGITS;
    let digits = u32::try_from(digits).unwrap_or(0).clamp(1, 15);
    Some(place.round_significant(digits))
}

/// What bars show: the greatest, the least, how many.
pub(super) fn bars(measure: &Measure, labels: &[String], values: &[Option<Number>]) -> String {
    let told: Vec<String> = labels
        .iter()
        .zip(values)
        .map(|(label, value)| match value {
            Some(value) => format!("{label} {}", measure.shown(*value)),
            None => format!("{label} without a value"),
        })
        .collect();
    format!("{}: {}.", measure.name, told.join(", "))
}

/// What shaded cells show: how many, the least and the greatest.
pub(super) fn cells((across, up, value): (&Measure, &Measure, &Measure), found: &[super::Triple]) -> String {
    let known: Vec<(Number, Number, Number)> = found
        .iter()
        .filter_map(|(x, y, value)| Some((*x, *y, (*value)?)))
        .collect();
    let least = known.iter().min_by(|one, other| one.2.compare(other.2));
    let greatest = known.iter().max_by(|one, other| one.2.compare(other.2));
    let at = |cell: Option<&(Number, Number, Number)>| {
        cell.map_or(String::new(), |(x, y, shown)| {
            format!(
                "{} at {} {} and {} {}",
                value.shown(*shown),
                across.name,
                across.shown(*x),
                up.name,
                up.shown(*y)
            )
        })
    };
    format!(
        "{} over {} and {}, {} cells: from {} to {}.",
        value.name,
        across.name,
        up.name,
        found.len(),
        at(least),
        at(greatest)
    )
}

/// What a histogram shows: its ends, where most lie, and the markers.
pub(super) fn histogram(across: &Measure, bins: &[(Number, Number, u64)], markers: &[Bound]) -> String {
    let total: u64 = bins.iter().map(|(_, _, many)| *many).fold(0, u64::saturating_add);
    let range = Range::of(bins.iter().flat_map(|(from, to, _)| [*from, *to]));
    let (Some(range), Some(most)) = (range, bins.iter().max_by_key(|(_, _, many)| *many)) else {
        return String::new();
    };
    let shown = |value: Number| across.shown(value);
    let mut told = format!(
        "{total} draws of {} from {} to {}; the highest column is from {} to {}.",
        across.name,
        shown(range.low),
        shown(range.high),
        shown(most.0),
        shown(most.1)
    );
    for marker in markers {
        told.push_str(&format!(" {} at {}.", marker.text, shown(marker.value)));
    }
    told
}
