//! What a declaration is written with: parameters, bounds, and shown numbers.
//!
//! A chapter lists its functions as data; these small pieces keep the lists
//! short. The checks on arguments live here too, so that every function words
//! "must be above zero" the same way. Start reading at [`PLAIN`].

use crate::number::{Number, Real};

use super::{
    Argument, Arguments, Body, Built, Chapter, ColumnDeclared, ColumnLimit, Complaint, Example, Function, Outcome,
    Parameter, ParameterKind, Reason, ResultKind, Shape, Source, Standing, Told, UsualRange,
};

/// What a declaration leaves unsaid: no notes, no cautions, no error of the rule.
pub(super) const PLAIN: Function = Function {
    name: "",
    once: "",
    chapter: Chapter::General,
    summary: "",
    parameters: &[],
    either: None,
    needs: None,
    result: ResultKind::Special,
    formula: "",
    sources: &[],
    range: "",
    rule_error: None,
    named: None,
    notes: "",
    cautions: &[],
    examples: &[],
    example_table: "",
    body: Body::Built(Built::Count),
    jumps: false,
    told: Told::OfEach,
    appraise: None,
    tells: &[],
};

/// A call, and what it gives.
pub(super) const fn example(call: &'static str, result: &'static str) -> Example {
    Example { call, result }
}

/// A rule body in both number kinds.
macro_rules! rule {
    ($body:ident) => {
        crate::trade::Body::Rule {
            exact: $body::<crate::number::Number>,
            drawn: $body::<f64>,
        }
    };
}
pub(super) use rule;

/// What portable sets, their cylinders and households usually are.
pub(super) const USUAL: Source = practice("what portable sets, cylinders and households usually are");

/// Arithmetic alone.
pub(super) const ARITHMETIC: Source = computed("arithmetic");

const fn source(title: &'static str, standing: Standing) -> Source {
    Source { title, standing }
}

/// A source that prints the rule.
pub(super) const fn published(title: &'static str) -> Source {
    source(title, Standing::Published)
}

/// A source that the rule was worked out from.
pub(super) const fn computed(title: &'static str) -> Source {
    source(title, Standing::Computed)
}

/// What the trade does.
pub(super) const fn practice(title: &'static str) -> Source {
    source(title, Standing::CommonPractice)
}

/// A source that was not at hand.
pub(super) const fn remembered(title: &'static str) -> Source {
    source(title, Standing::FromMemory)
}

impl Parameter {
    /// A parameter of any kind and shape.
    pub(super) const fn new(name: &'static str, kind: ParameterKind, shape: Shape, meaning: &'static str) -> Parameter {
        Parameter {
            name,
            once: "",
            kind,
            shape,
            default: None,
            meaning,
            usual: None,
            own_rows: false,
        }
    }

    /// One quantity in `unit`.
    pub(super) const fn quantity(name: &'static str, unit: &'static str, meaning: &'static str) -> Parameter {
        Parameter::new(name, ParameterKind::Quantity(unit), Shape::Single, meaning)
    }

    /// One word of a list.
    pub(super) const fn word(name: &'static str, words: &'static [&'static str], meaning: &'static str) -> Parameter {
        Parameter::new(name, ParameterKind::Word(words), Shape::Single, meaning)
    }

    /// A column as a whole.
    pub(super) const fn column(name: &'static str, kind: ParameterKind, meaning: &'static str) -> Parameter {
        Parameter::new(name, kind, Shape::Column, meaning)
    }

    /// With rows of its own, which don't belong to those of the columns beside it.
    pub(super) const fn with_own_rows(mut self) -> Parameter {
        self.own_rows = true;
        self
    }

    /// With the default as it would be typed.
    pub(super) const fn or(mut self, default: &'static str) -> Parameter {
        self.default = Some(default);
        self
    }

    /// With what it was called in an earlier release.
    pub(super) const fn once(mut self, name: &'static str) -> Parameter {
        self.once = name;
        self
    }

    /// With what it usually is.
    pub(super) const fn usually(mut self, low: f64, high: f64) -> Parameter {
        self.usual = Some(UsualRange {
            low,
            high,
            source: USUAL,
        });
        self
    }

    /// With what it usually is, as a source says.
    pub(super) const fn usually_by(mut self, low: f64, high: f64, source: Source) -> Parameter {
        self.usual = Some(UsualRange { low, high, source });
        self
    }
}

impl<R: Real> Arguments<'_, R> {
    /// The number at `index`, which must be above zero.
    pub(super) fn positive(&self, index: usize, name: &str) -> Outcome<R> {
        let value = self.number(index)?;
        if value > R::zero() {
            return Ok(value);
        }
        let got = shown(value.to_binary());
        Err(Complaint::outside(
            index,
            format!("`{name}` must be above zero, and is {got}"),
        ))
    }

    /// The number at `index`, which can't be below zero.
    pub(super) fn not_negative(&self, index: usize, name: &str) -> Outcome<R> {
        let value = self.number(index)?;
        if value >= R::zero() {
            return Ok(value);
        }
        let got = shown(value.to_binary());
        Err(Complaint::outside(
            index,
            format!("`{name}` can't be below zero, and is {got}"),
        ))
    }

    /// The percentage at `index`, from 0 to 100.
    pub(super) fn percentage(&self, index: usize, name: &str) -> Outcome<R> {
        let value = self.not_negative(index, name)?;
        if value <= whole(100) {
            return Ok(value);
        }
        let got = shown(value.to_binary());
        Err(Complaint::outside(
            index,
            format!("`{name}` can't be above 100 %, and is {got} %"),
        ))
    }

    /// The expanded uncertainty of the argument at `index`; zero where none is known.
    pub(super) fn expanded(&self, index: usize) -> f64 {
        self.expanded.get(index).copied().unwrap_or(0.0)
    }

    /// All numbers from `index` on: of columns, the filled cells.
    pub(super) fn all_from(&self, index: usize) -> Vec<R> {
        let mut found = Vec::new();
        for argument in self.values.iter().skip(index) {
            match argument {
                Argument::Number(value) => found.push(*value),
                Argument::Column(cells) => found.extend(cells.iter().flatten()),
                Argument::Text(_) | Argument::Schedule(_) => {}
            }
        }
        found
    }
}

impl ColumnDeclared {
    /// A column without a limit.
    pub(super) const fn new(name: &'static str, unit: &'static str, meaning: &'static str) -> ColumnDeclared {
        ColumnDeclared {
            name,
            unit,
            meaning,
            limit: None,
        }
    }

    /// The same with a limit.
    pub(super) const fn limited(self, limit: ColumnLimit) -> ColumnDeclared {
        ColumnDeclared {
            limit: Some(limit),
            ..self
        }
    }
}

impl Complaint {
    /// A word that isn't on the list, or a pair without a value.
    pub(super) fn word(argument: usize, message: impl Into<String>) -> Complaint {
        Complaint::of(argument, Reason::Word(message.into()))
    }

    /// A column with too few readings.
    pub(super) fn empty(argument: usize, message: impl Into<String>) -> Complaint {
        Complaint::of(argument, Reason::Empty(message.into()))
    }

    /// A word that isn't on the list, which is shown.
    pub(super) fn unlisted(argument: usize, name: &str, got: &str, words: &[&str]) -> Complaint {
        let list: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
        Complaint::word(argument, format!("`{name}` doesn't know \"{got}\""))
            .help(format!("write one of {}", list.join(", ")))
    }
}

/// A whole number.
pub(super) fn whole<R: Real>(value: i64) -> R {
    R::from_number(Number::from_integer(value))
}

/// A decimal as a quotient of whole numbers: `decimal(6287, 100)` is 62.87.
pub(super) fn decimal<R: Real>(numerator: i64, denominator: i64) -> Outcome<R> {
    Ok(whole::<R>(numerator).over(whole(denominator))?)
}

/// Back from binary numbers.
pub(super) fn binary<R: Real>(value: f64) -> Outcome<R> {
    Ok(R::from_binary(value)?)
}

/// A number of rows for a message.
pub(super) fn rows(count: usize) -> String {
    match count {
        1 => "1 row".to_owned(),
        _ => format!("{count} rows"),
    }
}

/// A number for a message: 4 significant digits, without trailing zeros.
pub(super) fn shown(value: f64) -> String {
    match Number::from_f64(value) {
        Ok(number) => number.round_significant(4).to_plain(),
        Err(_) => format!("{value:e}"),
    }
}
