//! The table of unit symbols: name, spellings, dimension, exact size.
//!
//! The rows stand in [`DEFINITIONS`]; prefixed ones are made from them, and the
//! currencies come from their own list. Sizes are exact, in kg, m, s, K, A and W:
//! NIST SP 811 (2008), appendix B. Whoever wants to list units starts at
//! [`symbols`]; whoever has a spelling starts at [`symbol`].

use std::collections::HashMap;
use std::sync::LazyLock;

use foldhash::fast::FixedState;

use crate::text;

use super::Dimension;
use super::currency::currencies;
use super::dimension::BASES;
use super::fraction::Fraction;

/// One symbol that a unit can be made of.
#[derive(Debug)]
pub struct Symbol {
    shown: String,
    spellings: Vec<String>,
    words: String,
    measures: &'static str,
    takes_prefixes: bool,
    listed: bool,
    pub(super) dimension: Dimension,
    pub(super) size: Fraction,
    pub(super) point: Option<Point>,
    pub(super) role: Role,
}

/// What a symbol does when units are combined.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Role {
    Plain,
    /// `%` and `each`: goes into the number beside any other.
    Count,
    /// `Wh` and its like, with the symbols of `W` and `h`.
    Joined {
        power: u16,
        hour: u16,
    },
    /// Gives no product its name: `W/J` isn't called Hz.
    Nameless,
}

/// A point on a scale, with the symbols of its interval and its absolute unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Point {
    /// Absolute zero lies this far below the zero of the scale.
    pub(super) zero: Fraction,
    pub(super) interval: u16,
    pub(super) absolute: u16,
}

impl Symbol {
    /// As it is shown.
    pub fn shown(&self) -> &str {
        &self.shown
    }

    /// Every spelling that is read, the shown one first.
    pub fn spellings(&self) -> impl Iterator<Item = &str> {
        self.spellings.iter().map(String::as_str)
    }

    /// What it is, in plain words: "pound".
    pub fn words(&self) -> &str {
        &self.words
    }

    /// What it measures: "a weight".
    pub fn measures(&self) -> &'static str {
        self.measures
    }

    /// Whether n µ m c k M G may stand before it.
    pub fn takes_prefixes(&self) -> bool {
        self.takes_prefixes
    }

    /// Whether it may name a product of others.
    pub(super) fn names_products(&self) -> bool {
        self.role != Role::Nameless && self.point.is_none() && !self.is_currency()
    }

    /// Whether it is listed in its own right, and not only as a prefixed one.
    pub(crate) fn is_listed(&self) -> bool {
        self.listed
    }

    /// Whether it is a currency.
    pub(crate) fn is_currency(&self) -> bool {
        self.dimension.has_money()
    }
}

/// What one row of the table measures.
struct Quantity {
    word: &'static str,
    base: [i16; BASES],
}

const fn quantity(word: &'static str, base: [i16; BASES]) -> Quantity {
    Quantity { word, base }
}

const WEIGHT: Quantity = quantity("a weight", [1, 0, 0, 0, 0, 0, 0]);
const LENGTH: Quantity = quantity("a length", [0, 1, 0, 0, 0, 0, 0]);
const VOLUME: Quantity = quantity("a volume", [0, 3, 0, 0, 0, 0, 0]);
const TIME: Quantity = quantity("a time", [0, 0, 1, 0, 0, 0, 0]);
const PRESSURE: Quantity = quantity("a pressure", [1, -1, -2, 0, 0, 0, 0]);
const GAUGE: Quantity = quantity("a gauge pressure", [1, -1, -2, 0, 0, 0, 0]);
const ENERGY: Quantity = quantity("an energy", [1, 2, -2, 0, 0, 0, 0]);
const POWER: Quantity = quantity("a power", [1, 2, -3, 0, 0, 0, 0]);
const APPARENT: Quantity = quantity("an apparent power", [1, 2, -3, 0, 0, 0, 1]);
const VOLTAGE: Quantity = quantity("a voltage", [1, 2, -3, 0, -1, 0, 1]);
const CURRENT: Quantity = quantity("a current", [0, 0, 0, 0, 1, 0, 0]);
const RESISTANCE: Quantity = quantity("a resistance", [1, 2, -3, 0, -2, 0, 1]);
const FREQUENCY: Quantity = quantity("a frequency", [0, 0, -1, 0, 0, 0, 0]);
const TEMPERATURE: Quantity = quantity("a temperature", [0, 0, 0, 1, 0, 0, 0]);
const DIFFERENCE: Quantity = quantity("a temperature difference", [0, 0, 0, 1, 0, 0, 0]);
const FLOW: Quantity = quantity("a volume flow", [0, 3, -1, 0, 0, 0, 0]);
const SPEED: Quantity = quantity("a speed", [0, 1, -1, 0, 0, 0, 0]);
const LEVEL: Quantity = quantity("a sound level", [0, 0, 0, 0, 0, 1, 0]);
const SHARE: Quantity = quantity("a share", [0; BASES]);
const NUMBER: Quantity = quantity("a number", [0; BASES]);

/// One row: what is shown, other spellings, plain words, what it measures, and
/// its size above and below the stroke.
struct Definition {
    shown: &'static str,
    also: &'static [&'static str],
    words: &'static str,
    quantity: Quantity,
    size: (u128, u128),
    prefixes: bool,
}

const fn row(
    shown: &'static str,
    also: &'static [&'static str],
    words: &'static str,
    quantity: Quantity,
    size: (u128, u128),
) -> Definition {
    Definition {
        shown,
        also,
        words,
        quantity,
        size,
        prefixes: false,
    }
}

/// A row that takes the SI prefixes.
const fn si(
    shown: &'static str,
    also: &'static [&'static str],
    words: &'static str,
    quantity: Quantity,
    size: (u128, u128),
) -> Definition {
    Definition {
        prefixes: true,
        ..row(shown, also, words, quantity, size)
    }
}

/// Of two that are equal in size the first gives its name to a product.
#[rustfmt::skip]
const DEFINITIONS: &[Definition] = &[
    row("lb", &[], "pound", WEIGHT, (45_359_237, 100_000_000)),
    row("oz", &[], "ounce", WEIGHT, (45_359_237, 1_600_000_000)),
    row("ton", &[], "short ton, 2000 lb", WEIGHT, (90_718_474, 100_000)),
    si("g", &[], "gram", WEIGHT, (1, 1000)),
    row("gal", &[], "US liquid gallon", VOLUME, (3_785_411_784, 1_000_000_000_000)),
    row("qt", &[], "US liquid quart", VOLUME, (946_352_946, 1_000_000_000_000)),
    si("L", &[], "litre", VOLUME, (1, 1000)),
    row("in", &[], "inch", LENGTH, (254, 10_000)),
    row("ft", &[], "foot", LENGTH, (3048, 10_000)),
    row("yd", &[], "yard", LENGTH, (9144, 10_000)),
    row("mi", &[], "mile", LENGTH, (1_609_344, 1000)),
    si("m", &[], "metre", LENGTH, (1, 1)),
    si("s", &[], "second", TIME, (1, 1)),
    row("min", &[], "minute", TIME, (60, 1)),
    row("h", &[], "hour", TIME, (3600, 1)),
    row("d", &[], "day", TIME, (86_400, 1)),
    row("wk", &[], "week", TIME, (604_800, 1)),
    row("psi", &[], "pound-force per square inch, absolute or a difference", PRESSURE, PSI),
    row("psig", &[], "pound-force per square inch on a gauge", GAUGE, PSI),
    si("Pa", &[], "pascal", PRESSURE, (1, 1)),
    row("kPag", &[], "kilopascal on a gauge", GAUGE, (1000, 1)),
    row("bar", &[], "bar", PRESSURE, (100_000, 1)),
    row("atm", &[], "standard atmosphere", PRESSURE, (101_325, 1)),
    row("inH2O", &[], "inch of water (conventional)", PRESSURE, (24_908_891, 100_000)),
    row("inHg", &[], "inch of mercury (conventional)", PRESSURE, (3_386_388_640_341, 1_000_000_000)),
    row("BTU", &["Btu"], "British thermal unit (International Table)", ENERGY, (105_505_585_262, 100_000_000)),
    row("kBTU", &["kBtu"], "thousand BTU", ENERGY, (105_505_585_262, 100_000)),
    row("MMBTU", &["MMBtu"], "million BTU", ENERGY, (105_505_585_262, 100)),
    row("therm", &[], "therm (US)", ENERGY, (105_480_400, 1)),
    si("J", &[], "joule", ENERGY, (1, 1)),
    si("Wh", &[], "watt-hour", ENERGY, (3600, 1)),
    si("W", &[], "watt", POWER, (1, 1)),
    row("hp", &[], "horsepower", POWER, (74_569_987_158_227_022, 100_000_000_000_000)),
    si("V", &[], "volt", VOLTAGE, (1, 1)),
    si("A", &[], "ampere", CURRENT, (1, 1)),
    si("VA", &[], "volt-ampere", APPARENT, (1, 1)),
    si("ohm", &["Ω", "\u{2126}"], "ohm", RESISTANCE, (1, 1)),
    si("Hz", &[], "hertz", FREQUENCY, (1, 1)),
    row("rpm", &[], "turn per minute", FREQUENCY, (1, 60)),
    row("°F", &["degF", "ºF", "\u{2109}"], "degree Fahrenheit on the scale", TEMPERATURE, (5, 9)),
    row("°C", &["degC", "ºC", "\u{2103}"], "degree Celsius on the scale", TEMPERATURE, (1, 1)),
    row("F°", &["Fdeg", "Fº"], "Fahrenheit degree, a difference", DIFFERENCE, (5, 9)),
    row("C°", &["Cdeg", "Cº"], "Celsius degree, a difference", DIFFERENCE, (1, 1)),
    row("K", &["\u{212A}"], "kelvin, a difference or absolute", DIFFERENCE, (1, 1)),
    row("cfm", &[], "cubic foot per minute", FLOW, (28_316_846_592, 60_000_000_000_000)),
    row("mph", &[], "mile per hour", SPEED, (1_609_344, 3_600_000)),
    row("dB", &[], "decibel", LEVEL, (1, 1)),
    row("%", &[], "percent", SHARE, (1, 100)),
    row("each", &[], "each, a count", NUMBER, (1, 1)),
];

/// 4.4482216152605 N on a square of 25.4 mm.
const PSI: (u128, u128) = (44_482_216_152_605, 6_451_600_000);

/// Shown, in words, and the size above and below the stroke.
const PREFIXES: &[(&str, &str, (u128, u128))] = &[
    ("n", "nano", (1, 1_000_000_000)),
    ("µ", "micro", (1, 1_000_000)),
    ("m", "milli", (1, 1000)),
    ("c", "centi", (1, 100)),
    ("k", "kilo", (1000, 1)),
    ("M", "mega", (1_000_000, 1)),
    ("G", "giga", (1_000_000_000, 1)),
];

/// The prefixed symbols that are listed in their own right.
const USUAL: &[&str] = &[
    "kg", "mm", "cm", "km", "mL", "kPa", "kJ", "MJ", "kWh", "MWh", "kW", "kVA", "mA", "mV",
];

/// Points on a scale: symbol, absolute zero below the scale's zero (in K or
/// Pa), interval, absolute unit. One standard atmosphere is 101.325 kPa.
const POINTS: &[(&str, (u128, u128), &str, &str)] = &[
    ("°F", (45_967, 180), "F°", "K"),
    ("°C", (27_315, 100), "C°", "K"),
    ("psig", (101_325, 1), "psi", "psi"),
    ("kPag", (101_325, 1), "kPa", "kPa"),
];

/// Currencies shown by a sign.
const SIGNS: &[(&str, &str)] = &[("USD", "$"), ("EUR", "€"), ("GBP", "£")];

/// Words people write for a symbol, to suggest it.
const WORDS: &[(&str, &str)] = &[
    ("lbs", "lb"),
    ("pound", "lb"),
    ("ounce", "oz"),
    ("tons", "ton"),
    ("gallon", "gal"),
    ("gals", "gal"),
    ("quart", "qt"),
    ("liter", "L"),
    ("litre", "L"),
    ("inch", "in"),
    ("inches", "in"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("sqft", "ft2"),
    ("cuft", "ft3"),
    ("yard", "yd"),
    ("mile", "mi"),
    ("meter", "m"),
    ("metre", "m"),
    ("sec", "s"),
    ("second", "s"),
    ("mins", "min"),
    ("minute", "min"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("day", "d"),
    ("week", "wk"),
    ("watt", "W"),
    ("amp", "A"),
    ("volt", "V"),
    ("percent", "%"),
    ("dollar", "$"),
    ("euro", "€"),
    ("f", "°F"),
    ("fahrenheit", "°F"),
    ("celsius", "°C"),
    ("c", "°C"),
    ("dba", "dB"),
    ("wc", "inH2O"),
    ("inwc", "inH2O"),
    ("ea", "each"),
    ("ft²", "ft2"),
    ("ft³", "ft3"),
];

/// The symbols by number (from 1), the number of each spelling, and the numbers
/// of those that may name a product, in order and by what they measure.
struct Table {
    symbols: Vec<Symbol>,
    spellings: HashMap<String, u16, FixedState>,
    naming: Vec<u16>,
    names: HashMap<(Dimension, Fraction), u16, FixedState>,
}

static TABLE: LazyLock<Table> = LazyLock::new(Table::build);

/// Every listed symbol, in the order of the table; currencies last.
pub fn symbols() -> impl Iterator<Item = &'static Symbol> {
    TABLE.symbols.iter().filter(|symbol| symbol.listed)
}

/// The symbol of that spelling.
pub fn symbol(spelling: &str) -> Option<&'static Symbol> {
    by_number(number(spelling)?)
}

/// The spelling that was probably meant.
pub fn nearest(spelling: &str) -> Option<&'static str> {
    by_word(spelling).or_else(|| {
        let shown = symbols().filter(|symbol| !symbol.is_currency());
        text::nearest(spelling, shown.map(Symbol::shown))
    })
}

pub(crate) fn by_word(spelling: &str) -> Option<&'static str> {
    let lower = spelling.to_lowercase();
    let singular = lower.strip_suffix('s').unwrap_or(&lower);
    let found = WORDS.iter().find(|(word, _)| *word == lower || *word == singular);
    found.map(|(_, symbol)| *symbol)
}

/// The number of a spelling.
pub(super) fn number(spelling: &str) -> Option<u16> {
    TABLE.number(spelling)
}

/// The symbol of a number; there is none for 0.
pub(super) fn by_number(number: u16) -> Option<&'static Symbol> {
    TABLE.symbols.get(usize::from(number).checked_sub(1)?)
}

/// The first symbol of that dimension and size that may name a product of others.
pub(super) fn naming_number(dimension: Dimension, size: Fraction) -> Option<u16> {
    TABLE.names.get(&(dimension, size)).copied()
}

/// Those that may name a product of others, with their numbers.
pub(super) fn naming() -> impl Iterator<Item = (u16, &'static Symbol)> {
    let numbers = TABLE.naming.iter();
    numbers.filter_map(|number| Some((*number, by_number(*number)?)))
}

/// Every symbol with its number.
pub(super) fn numbered() -> impl Iterator<Item = (u16, &'static Symbol)> {
    (1..).zip(&TABLE.symbols)
}

impl Table {
    fn build() -> Table {
        let plain = DEFINITIONS.iter().map(Symbol::defined);
        let prefixed = DEFINITIONS
            .iter()
            .filter(|definition| definition.prefixes)
            .flat_map(|base| PREFIXES.iter().map(|prefix| Symbol::prefixed(base, prefix)));
        let mut symbols: Vec<Symbol> = plain.chain(prefixed).collect();
        for (code, name) in currencies() {
            let number = u16::try_from(symbols.len() + 1).unwrap_or(0);
            symbols.push(Symbol::currency(code, name, number));
        }
        let mut table = Table {
            spellings: spellings(&symbols),
            symbols,
            naming: Vec::new(),
            names: HashMap::default(),
        };
        table.link_points();
        table.link_joined();
        let numbered = (1u16..).zip(&table.symbols);
        let naming = numbered.filter(|(_, symbol)| symbol.names_products());
        table.naming = naming.clone().map(|(number, _)| number).collect();
        for (number, symbol) in naming {
            table.names.entry((symbol.dimension, symbol.size)).or_insert(number);
        }
        table
    }

    fn number(&self, spelling: &str) -> Option<u16> {
        self.spellings.get(spelling).copied()
    }

    fn symbol_mut(&mut self, spelling: &str) -> Option<&mut Symbol> {
        let number = usize::from(self.number(spelling)?);
        self.symbols.get_mut(number.checked_sub(1)?)
    }

    fn link_points(&mut self) {
        for (shown, (above, below), interval, absolute) in POINTS {
            let numbers = self.number(interval).zip(self.number(absolute));
            let point = numbers.map(|(interval, absolute)| Point {
                zero: Fraction::new(*above, *below),
                interval,
                absolute,
            });
            if let Some(symbol) = self.symbol_mut(shown) {
                symbol.point = point;
            }
        }
    }

    fn link_joined(&mut self) {
        let Some(hour) = self.number("h") else { return };
        for prefix in PREFIXES.iter().map(|(shown, ..)| *shown).chain([""]) {
            let Some(power) = self.number(&format!("{prefix}W")) else {
                continue;
            };
            if let Some(symbol) = self.symbol_mut(&format!("{prefix}Wh")) {
                symbol.role = Role::Joined { power, hour };
            }
        }
    }
}

/// Every spelling with its symbol's number; the first of two stays.
fn spellings(symbols: &[Symbol]) -> HashMap<String, u16, FixedState> {
    let mut all = HashMap::default();
    for (number, symbol) in (1u16..).zip(symbols) {
        for spelling in &symbol.spellings {
            all.entry(spelling.clone()).or_insert(number);
        }
    }
    all
}

impl Symbol {
    fn defined(definition: &Definition) -> Symbol {
        let spellings = [definition.shown].into_iter().chain(definition.also.iter().copied());
        let (above, below) = definition.size;
        Symbol {
            shown: definition.shown.to_owned(),
            spellings: spellings.map(str::to_owned).collect(),
            words: definition.words.to_owned(),
            measures: definition.quantity.word,
            takes_prefixes: definition.prefixes,
            listed: true,
            dimension: Dimension::of_bases(definition.quantity.base),
            size: Fraction::new(above, below),
            point: None,
            role: match definition.shown {
                "%" | "each" => Role::Count,
                "Hz" | "rpm" => Role::Nameless,
                _ => Role::Plain,
            },
        }
    }

    fn prefixed(base: &Definition, prefix: &(&str, &str, (u128, u128))) -> Symbol {
        let (letter, word, (above, below)) = *prefix;
        let plain = Symbol::defined(base);
        let letters = if letter == "µ" { vec!["µ", "μ"] } else { vec![letter] };
        let spellings = letters
            .iter()
            .flat_map(|letter| plain.spellings.iter().map(move |s| format!("{letter}{s}")));
        let shown = format!("{letter}{}", base.shown);
        Symbol {
            spellings: spellings.collect(),
            words: format!("{word}{}", base.words),
            takes_prefixes: false,
            listed: USUAL.contains(&shown.as_str()),
            size: plain.size.times(Fraction::new(above, below)).unwrap_or(Fraction::ONE),
            shown,
            ..plain
        }
    }

    fn currency(code: &str, name: &str, number: u16) -> Symbol {
        let sign = SIGNS.iter().find(|(signed, _)| *signed == code);
        let shown = sign.map_or(code, |(_, sign)| *sign);
        let mut spellings = vec![shown.to_owned(), code.to_owned()];
        spellings.dedup();
        Symbol {
            shown: shown.to_owned(),
            spellings,
            words: name.to_owned(),
            measures: "money",
            takes_prefixes: false,
            listed: true,
            dimension: Dimension::of_currency(number),
            size: Fraction::ONE,
            point: None,
            role: Role::Plain,
        }
    }
}
