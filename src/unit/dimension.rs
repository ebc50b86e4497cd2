//! What a unit measures: exponents over base quantities, money by currency.
//!
//! Sound level and apparent power (what VA has and W has not) are bases of
//! their own, so that they meet nothing else; every currency is one too.
//! Start reading at [`Dimension`].

/// Weight, length, time, temperature, current, sound level, apparentness.
pub(super) const BASES: usize = 7;

/// Exponents of the base quantities; two units convert only if these agree.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Dimension {
    base: [i16; BASES],
    money: [Money; 8],
}

/// A currency (by its symbol) and its power; no power, no money.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
struct Money {
    currency: u16,
    power: i16,
}

impl Dimension {
    /// Of a plain number.
    pub const NONE: Dimension = Dimension {
        base: [0; BASES],
        money: [Money { currency: 0, power: 0 }; 8],
    };

    pub(super) fn of_bases(base: [i16; BASES]) -> Dimension {
        Dimension {
            base,
            ..Dimension::NONE
        }
    }

    pub(super) fn of_currency(currency: u16) -> Dimension {
        let mut dimension = Dimension::NONE;
        dimension.add_money(currency, 1);
        dimension
    }

    /// Whether it is that of a plain number.
    pub fn is_none(self) -> bool {
        self == Dimension::NONE
    }

    /// Whether money is part of it.
    pub(crate) fn has_money(self) -> bool {
        self.money.iter().any(|money| money.power != 0)
    }

    /// The same, leaving money out.
    pub(crate) fn without_money(self) -> Dimension {
        Dimension::of_bases(self.base)
    }

    /// The same, with apparent power taken for power.
    pub(crate) fn without_apparent(mut self) -> Dimension {
        if let Some(apparent) = self.base.last_mut() {
            *apparent = 0;
        }
        self
    }

    /// The power of apparentness: 1 for VA, −1 for W/VA.
    pub fn apparent(self) -> i16 {
        self.base.last().copied().unwrap_or(0)
    }

    /// This times `other` to a power.
    pub(super) fn times(mut self, other: Dimension, power: i16) -> Dimension {
        for (mine, theirs) in self.base.iter_mut().zip(other.base) {
            *mine = mine.saturating_add(theirs.saturating_mul(power));
        }
        for money in other.money.iter().filter(|money| money.power != 0) {
            self.add_money(money.currency, money.power.saturating_mul(power));
        }
        self
    }

    fn add_money(&mut self, currency: u16, power: i16) {
        let slot = match self.money.iter_mut().find(|m| m.currency == currency) {
            Some(slot) => Some(slot),
            None => self.money.iter_mut().find(|m| m.power == 0),
        };
        let Some(slot) = slot else { return };
        let power = slot.power.saturating_add(power);
        let currency = if power == 0 { 0 } else { currency };
        *slot = Money { currency, power };
        self.money.sort_unstable_by(|a, b| b.cmp(a));
    }

    /// The smallest whole `i` above zero and `j` for which `self × i` is
    /// `other × j`: 3 and 1 for a length and a volume, 1 and −1 for Hz and s.
    pub(super) fn parallel(self, other: Dimension) -> Option<(i16, i16)> {
        if self == other {
            return (!self.is_none()).then_some((1, 1));
        }
        let pairs = || self.base.into_iter().zip(other.base);
        let (mine, theirs) = pairs().find(|(a, b)| *a != 0 || *b != 0)?;
        if mine == 0 || theirs == 0 || self.has_money() || other.has_money() {
            return None;
        }
        let shared = common(mine.unsigned_abs(), theirs.unsigned_abs());
        let shared = i16::try_from(shared).ok()?;
        let (times, other_times) = ((theirs / shared).abs(), mine / shared * theirs.signum());
        pairs()
            .all(|(a, b)| a * times == b * other_times)
            .then_some((times, other_times))
    }
}

fn common(a: u16, b: u16) -> u16 {
    if b == 0 { a } else { common(b, a % b) }
}
