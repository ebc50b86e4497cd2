//! Where something crosses zero: bracketed between points, then refined.
//!
//! What is looked at may have no value in places, may jump over zero without
//! taking it, may lie at zero along a stretch, or may only touch it. Each is
//! told apart. Refining takes whichever is nearer of a curve through the last
//! three points and the middle (Chandrupatla's rule), so that it never leaves
//! the bracket. Start reading at [`crossings`].

/// What was found at a place, or between two.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Found {
    /// It is zero here.
    Zero(f64),
    /// It is zero all the way from one place to the other.
    Stretch(f64, f64),
    /// It steps over zero here: what it is just below, and just above.
    Step(f64, f64, f64),
}

/// A place and what was found there; `None` where it has no value.
pub(crate) type Point = (f64, Option<f64>);

/// Refining ends where a bracket is this small a part of where it stands.
const FINE: f64 = 1e-14;
/// No more steps than this for one bracket.
const MOST_STEPS: usize = 90;
/// A gap this small a part of the first is none.
const CLOSED: f64 = 1e-8;

/// Every crossing of zero between points in rising order.
pub(crate) fn crossings(points: &[Point], look: &mut impl FnMut(f64) -> Option<f64>) -> Vec<Found> {
    let mut found = Vec::new();
    let mut index = 0;
    while let Some((_, value)) = points.get(index) {
        match value {
            Some(0.0) => {
                let run = points.iter().skip(index).take_while(|(_, value)| *value == Some(0.0));
                let last = index + run.count() - 1;
                found.extend(zeros(points, index, last, look));
                index = last + 1;
            }
            Some(_) => {
                found.extend(bracketed(points, index).map(|(low, high)| refined(low, high, look)));
                index += 1;
            }
            None => index += 1,
        }
    }
    found
}

/// The bracket that begins at a point, where the next lies on the other side of zero.
fn bracketed(points: &[Point], index: usize) -> Option<(Known, Known)> {
    let (low, high) = (known(points, index)?, known(points, index + 1)?);
    (low.1 * high.1 < 0.0).then_some((low, high))
}

type Known = (f64, f64);

fn known(points: &[Point], index: usize) -> Option<Known> {
    let (place, value) = points.get(index)?;
    Some((*place, (*value)?))
}

/// Points at zero from one to another: a stretch, or a single place.
fn zeros(points: &[Point], first: usize, last: usize, look: &mut impl FnMut(f64) -> Option<f64>) -> Option<Found> {
    let (from, _) = points.get(first)?;
    let (to, _) = points.get(last)?;
    let before = first.checked_sub(1).and_then(|before| points.get(before));
    let run = first < last;
    let low = before.map_or(*from, |(outside, _)| edge(*from, *outside, run, look));
    let high = points
        .get(last + 1)
        .map_or(*to, |(outside, _)| edge(*to, *outside, run, look));
    let wide = first < last || low < *from || high > *to;
    Some(if wide {
        Found::Stretch(low, high)
    } else {
        Found::Zero(*from)
    })
}

/// How far zero goes on from inside. A single place, that may be where a line crosses, is all
/// there is where a small part of the way isn't zero.
fn edge(inside: f64, outside: f64, run: bool, look: &mut impl FnMut(f64) -> Option<f64>) -> f64 {
    let near = [16.0, 1024.0].map(|part| inside + (outside - inside) / part);
    if !run && near.into_iter().all(|place| look(place) != Some(0.0)) {
        return inside;
    }
    let (mut inside, mut outside) = (inside, outside);
    for _ in 0..MOST_STEPS {
        let middle = inside + (outside - inside) / 2.0;
        if (outside - inside).abs() <= FINE * middle.abs() {
            break;
        }
        match look(middle) {
            Some(0.0) => inside = middle,
            _ => outside = middle,
        }
    }
    inside
}

/// A bracket made small, and what crosses zero in it.
fn refined(low: Known, high: Known, look: &mut impl FnMut(f64) -> Option<f64>) -> Found {
    let width = high.0 - low.0;
    let (mut a, mut b) = (high, low);
    let mut part = 0.5;
    for _ in 0..MOST_STEPS {
        let Some(next) = looked(a.0, b.0, part, look) else {
            break;
        };
        if next.1 == 0.0 {
            return Found::Zero(next.0);
        }
        let mut c = a;
        if (next.1 > 0.0) != (a.1 > 0.0) {
            (c, b) = (b, a);
        }
        a = next;
        let nearest = if a.1.abs() < b.1.abs() { a } else { b };
        let least = (FINE * nearest.0.abs()).max(1e-18 * width) / (b.0 - a.0).abs();
        if least > 0.5 {
            break;
        }
        part = next_part(a, b, c).clamp(least, 1.0 - least);
    }
    closed(low, high, (a, b), look)
}

/// The place that part of the way from `a` to `b`, or near it where it has no value there.
fn looked(a: f64, b: f64, part: f64, look: &mut impl FnMut(f64) -> Option<f64>) -> Option<Known> {
    [part, 0.375, 0.625].into_iter().find_map(|part| {
        let place = a + part * (b - a);
        look(place).map(|value| (place, value))
    })
}

/// Where a curve through three points is zero, where that can be trusted; else the middle.
fn next_part(a: Known, b: Known, c: Known) -> f64 {
    let along = (a.0 - b.0) / (c.0 - b.0);
    let up = (a.1 - b.1) / (c.1 - b.1);
    if up * up < along && (1.0 - up) * (1.0 - up) < 1.0 - along {
        let first = a.1 / (b.1 - a.1) * (c.1 / (b.1 - c.1));
        let second = (c.0 - a.0) / (b.0 - a.0) * (a.1 / (c.1 - a.1)) * (b.1 / (c.1 - b.1));
        let part = first + second;
        if part.is_finite() {
            return part;
        }
    }
    0.5
}

/// Tells a crossing from a step: across a step the gap stays however near one looks.
fn closed(low: Known, high: Known, ends: (Known, Known), look: &mut impl FnMut(f64) -> Option<f64>) -> Found {
    let (below, above) = match ends.0.0 < ends.1.0 {
        true => ends,
        false => (ends.1, ends.0),
    };
    let gap = (above.1 - below.1).abs();
    let nearest = if below.1.abs() <= above.1.abs() { below } else { above };
    if gap <= CLOSED * (high.1 - low.1).abs() {
        return Found::Zero(nearest.0);
    }
    let width = (above.0 - below.0).max(f64::MIN_POSITIVE) * 1000.0;
    let wider = (look((below.0 - width).max(low.0)), look((above.0 + width).min(high.0)));
    match wider {
        (Some(under), Some(over)) if gap < 0.5 * (over - under).abs() => Found::Zero(nearest.0),
        _ => Found::Step(below.0 + (above.0 - below.0) / 2.0, below.1, above.1),
    }
}

/// Where something comes nearest to zero between points without crossing it, looked
/// for around each place where it comes nearer than on both sides; the nearest first.
pub(crate) fn nearest(points: &[Point], look: &mut impl FnMut(f64) -> Option<f64>) -> Vec<(f64, f64)> {
    let mut found: Vec<Known> = Vec::new();
    let mut dips: Vec<(usize, Known)> = (0..points.len())
        .filter_map(|at| Some((at, known(points, at)?)))
        .collect();
    dips.retain(|(at, here)| is_dip(points, *at, here.1));
    dips.sort_by(|one, other| one.1.1.abs().total_cmp(&other.1.1.abs()));
    for (at, here) in dips.into_iter().take(MOST_DIPS) {
        let before = at
            .checked_sub(1)
            .and_then(|before| known(points, before))
            .unwrap_or(here);
        let after = known(points, at + 1).unwrap_or(here);
        found.push(deepest(before, here, after, look));
    }
    found.sort_by(|one, other| one.1.abs().total_cmp(&other.1.abs()));
    found
}

/// So many dips are looked into.
const MOST_DIPS: usize = 4;

/// Whether the neighbours lie on the same side and no nearer.
fn is_dip(points: &[Point], at: usize, here: f64) -> bool {
    let higher = |other: Option<Known>| other.is_none_or(|other| other.1 * here > 0.0 && other.1.abs() >= here.abs());
    let before = at.checked_sub(1).and_then(|before| known(points, before));
    here != 0.0 && higher(before) && higher(known(points, at + 1))
}

/// The least distance from zero between two places, by golden sections.
fn deepest(before: Known, here: Known, after: Known, look: &mut impl FnMut(f64) -> Option<f64>) -> Known {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let (mut low, mut high, mut best) = (before.0, after.0, here);
    for _ in 0..48 {
        if high - low <= 1e-9 * low.abs().max(high.abs()) {
            break;
        }
        let (left, right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        let (Some(at_left), Some(at_right)) = (look(left), look(right)) else {
            break;
        };
        for one in [(left, at_left), (right, at_right)] {
            if one.1.abs() < best.1.abs() || one.1 * here.1 <= 0.0 {
                best = one;
            }
        }
        if best.1 * here.1 <= 0.0 {
            break;
        }
        if at_left.abs() <= at_right.abs() {
            high = right;
        } else {
            low = left;
        }
    }
    best
}
