//! What a unit measures.
//!
//! Everything here answers a question about one unit; what follows from
//! it is the checker's business. Start reading at [`Unit::dimension`].

use super::fraction::Fraction;
use super::parse::as_interval;
use super::symbol::{self, Point};
use super::{Dimension, Term, Unit};

impl Unit {
    /// What it measures.
    pub fn dimension(self) -> Dimension {
        dimension_of(self.terms())
    }

    /// Whether it is a point on a scale: °F, °C, psig or kPag alone.
    pub fn is_point(self) -> bool {
        self.point().is_some()
    }

    /// The unit of the difference of two points (°F → F°); others are unchanged.
    pub fn interval(self) -> Unit {
        let point = self.point();
        point.map_or(self, |point| alone(point.interval))
    }

    /// The absolute unit a point is counted in: K for °F and °C, psi for psig, kPa for kPag.
    pub fn absolute(self) -> Option<Unit> {
        self.point().map(|point| alone(point.absolute))
    }

    /// The point on a scale that has this interval: F° → °F, C° → °C, psi → psig,
    /// kPa → kPag.
    pub fn on_scale(self) -> Option<Unit> {
        let number = self.only()?;
        let mut all = symbol::numbered();
        let of = |(_, known): &(u16, &symbol::Symbol)| known.point.is_some_and(|point| point.interval == number);
        all.find(of).map(|(point, _)| alone(point))
    }

    /// Whether it measures nothing: a plain number, %, each, or a ratio such as h/d.
    pub fn is_dimensionless(self) -> bool {
        self.dimension().is_none()
    }

    /// Whether it has money in it.
    pub fn is_money(self) -> bool {
        self.dimension().has_money()
    }

    /// Whether it is an amount of one currency, and nothing else.
    pub fn is_money_alone(self) -> bool {
        let known = self.only().and_then(symbol::by_number);
        known.is_some_and(symbol::Symbol::is_currency)
    }

    /// What it measures, in plain words for a message: "a weight", "a volume
    /// flow", "money per energy"; the unit itself where there is no word for it.
    pub fn measures(self) -> String {
        if self == Unit::ONE {
            return "a plain number".to_owned();
        }
        self.known_word()
            .or_else(|| self.word_per_word())
            .unwrap_or_else(|| format!("`{self}`"))
    }

    fn known_word(self) -> Option<String> {
        if let Some(known) = self.only().and_then(symbol::by_number) {
            return Some(known.measures().to_owned());
        }
        let dimension = self.dimension();
        let same = |(unit, _): &&(&str, &str)| Unit::parse(unit).is_ok_and(|unit| unit.dimension() == dimension);
        let found = WORDS.iter().find(same).map(|(_, word)| *word);
        if found.is_none() && self.is_energy_by_volume() {
            return None;
        }
        found.or_else(|| single_word(dimension)).map(str::to_owned)
    }

    /// Energy per volume has the dimension of a pressure, and nobody means one by it.
    fn is_energy_by_volume(self) -> bool {
        let measured = |wanted: &str| {
            self.terms()
                .filter_map(|term| symbol::by_number(term.symbol))
                .any(|known| known.measures() == wanted)
        };
        measured("an energy") && measured("a volume")
    }

    /// "money per energy".
    fn word_per_word(self) -> Option<String> {
        let above = Unit::of_terms(self.terms().filter(|term| term.is_above()))?;
        let below = self.terms().filter(|term| !term.is_above());
        let below = Unit::of_terms(below.map(Term::turned))?;
        if below == Unit::ONE {
            return None;
        }
        let below = bare(below.known_word()?);
        if above == Unit::ONE {
            return Some(format!("a number per {below}"));
        }
        Some(format!("{} per {below}", bare(above.known_word()?)))
    }

    pub(super) fn point(self) -> Option<Point> {
        symbol::by_number(self.only()?)?.point
    }

    /// The terms, a point as its interval.
    pub(super) fn interval_terms(self) -> Vec<Term> {
        let terms = self.terms();
        terms
            .map(|term| Term::new(as_interval(term.symbol), term.power))
            .collect()
    }
}

/// Words for what only compounds measure.
const WORDS: &[(&str, &str)] = &[
    ("each", "a plain number"),
    ("ft2", "an area"),
    ("ft3", "a volume"),
    ("lb/h", "a weight flow"),
    ("ft3/h", "a volume flow"),
    ("lb/gal", "a density"),
    ("ft/s", "a speed"),
    ("W/VA", "a power factor"),
];

fn single_word(dimension: Dimension) -> Option<&'static str> {
    let mut symbols = symbol::symbols();
    let same = symbols.find(|symbol| symbol.dimension == dimension && symbol.point.is_none());
    same.map(symbol::Symbol::measures)
}

/// Without its article.
fn bare(word: String) -> String {
    let bare = word.strip_prefix("a ").or_else(|| word.strip_prefix("an "));
    bare.map(str::to_owned).unwrap_or(word)
}

fn alone(symbol: u16) -> Unit {
    Unit::ONE.with(Term::new(symbol, 1)).unwrap_or(Unit::ONE)
}

pub(super) fn dimension_of(terms: impl IntoIterator<Item = Term>) -> Dimension {
    terms.into_iter().fold(Dimension::NONE, |dimension, term| {
        let power = i16::try_from(term.power).unwrap_or(0);
        term.known()
            .map_or(dimension, |known| dimension.times(known.dimension, power))
    })
}

/// The size in base units; equal symbols cancel before anything is multiplied.
/// `None` where it is too large or small to be told.
pub(super) fn size_of(terms: impl IntoIterator<Item = Term>) -> Option<Fraction> {
    let mut net: Vec<Term> = Vec::new();
    for term in terms {
        match net.iter_mut().find(|known| known.symbol == term.symbol) {
            Some(known) => known.power += term.power,
            None => net.push(term),
        }
    }
    let mut factors = Vec::new();
    for term in net {
        let size = term.known().map_or(Fraction::ONE, |known| known.size);
        let size = if term.is_above() { size } else { size.inverted() };
        let times = term.power.unsigned_abs().min(MOST_POWERS);
        factors.extend((0..times).map(|_| size));
    }
    Fraction::product(factors)
}

/// Two units of eight terms each raise no symbol further.
const MOST_POWERS: u32 = 31 * 16;
