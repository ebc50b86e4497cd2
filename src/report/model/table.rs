//! A table as plain data: its columns, and the rows of it that a reader gets.
//!
//! Start reading at [`Table`].

use serde::Serialize;

use super::{Scalar, ValueType};

/// How many rows of a table that a function made a reader gets.
pub(crate) const MADE_ROWS: usize = 16;

/// A table with its columns.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Table {
    /// Its name.
    pub name: String,
    /// The label in quotes.
    pub label: Option<String>,
    /// Its line, from 1.
    pub line: u32,
    /// What follows `from`.
    #[serde(rename = "from")]
    pub source: Option<String>,
    /// Its columns in order, all of one length.
    pub columns: Vec<Column>,
    /// What a reader sees in place of its columns, where it is a grid of two ways.
    #[serde(skip)]
    pub two_ways: Option<TwoWays>,
    /// The call that makes it, where a function does.
    #[serde(skip)]
    pub formula: Option<String>,
    /// Whether a function made it, so that its rows are a sample of something smooth.
    #[serde(skip)]
    pub made: bool,
    /// Why it has no rows, where that is so.
    #[serde(skip)]
    pub standing: Option<String>,
}

/// A grid of two ways as a reader sees it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TwoWays {
    /// What it holds.
    pub told: String,
    /// What is varied first, then a column for each value of the second.
    pub columns: Vec<Column>,
}

impl Table {
    /// The columns as a reader sees them.
    pub(crate) fn columns_shown(&self) -> &[Column] {
        self.two_ways
            .as_ref()
            .map_or(&self.columns, |two_ways| &two_ways.columns)
    }

    /// Every column, as it is and as a reader sees it.
    pub(crate) fn all_columns(&mut self) -> impl Iterator<Item = &mut Column> {
        let wide = self.two_ways.iter_mut().flat_map(|two_ways| &mut two_ways.columns);
        self.columns.iter_mut().chain(wide)
    }

    /// The rows for a reader, at most so many: the first of what was written down, of what
    /// was made those at round steps along its first column, or evenly spaced ones; always
    /// with the first and the last.
    pub(crate) fn rows_shown(&self, most: usize) -> Vec<usize> {
        let rows = self.rows();
        if rows <= most {
            return (0..rows).collect();
        }
        if !self.made {
            return (0..most).collect();
        }
        let last = rows - 1;
        let evenly = || {
            let step = last.div_ceil(most.saturating_sub(1).max(1));
            (0..last).step_by(step).chain([last]).collect()
        };
        self.at_round_steps(most).unwrap_or_else(evenly)
    }

    /// The rows at the least round step that leaves no more than so many, where the first column
    /// rises and has a row at nearly every step.
    fn at_round_steps(&self, most: usize) -> Option<Vec<usize>> {
        let column = self
            .columns_shown()
            .first()
            .filter(|column| column.value_type == ValueType::Number)?;
        let number = |cell: &Option<Scalar>| match cell {
            Some(Scalar::Text(text)) => text.parse::<f64>().ok(),
            _ => None,
        };
        let places: Vec<f64> = column.values.iter().map(number).collect::<Option<_>>()?;
        let (first, last) = (places.first()?, places.last()?);
        let rising = places.is_sorted();
        let least = (last - first) / most.saturating_sub(2).max(1) as f64;
        let step = round_steps(column.unit.as_deref(), least).find(|step| *step >= least)?;
        let off = |place: &f64| (place / step - (place / step).round()).abs();
        let mut shown: Vec<usize> = (0..)
            .zip(&places)
            .filter(|(_, place)| off(place) < 1e-6)
            .map(|(row, _)| row)
            .collect();
        let wanted = ((last - first) / step).floor();
        if !rising || (shown.len() as f64) < 0.8 * wanted {
            return None;
        }
        shown.extend([0, places.len() - 1]);
        shown.sort_unstable();
        shown.dedup();
        Some(shown)
    }

    /// Which rows those are, where not all of them: `15 of its 141 rows, evenly spaced`.
    pub(crate) fn rows_told(&self, shown: &[usize]) -> Option<String> {
        let (count, rows) = (shown.len(), self.rows());
        let which = match self.made {
            true if self.at_round_steps(MADE_ROWS).as_deref() == Some(shown) => {
                let column = self.columns_shown().first().map_or("", |column| column.name.as_str());
                format!("{count} of its {rows} rows, at round steps of {column}")
            }
            true => format!("{count} of its {rows} rows, evenly spaced"),
            false => format!("the first {count} of its {rows} rows"),
        };
        (count < rows).then_some(which)
    }

    /// The number of rows.
    pub fn rows(&self) -> usize {
        self.columns_shown().first().map_or(0, |column| column.shown.len())
    }
}

/// Round steps no less than about this, in rising order: 1, 2 and 5 and their tens, along hours
/// and minutes those of a clock too.
fn round_steps(unit: Option<&str>, least: f64) -> impl Iterator<Item = f64> {
    let clock: &[f64] = match unit {
        Some("h" | "[h]") => &[0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 24.0, 48.0],
        Some("min" | "s" | "[min]" | "[s]") => &[5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 180.0, 240.0, 360.0, 720.0],
        _ => &[],
    };
    let power = libm::pow(10.0, libm::log10(least.max(f64::MIN_POSITIVE)).floor());
    let tens = [1.0, 2.0, 5.0, 10.0].map(|digit| digit * power);
    let on_clock = clock.iter().copied().filter(move |step| *step >= least);
    let found: Vec<f64> = on_clock.take(1).chain(tens).collect();
    found.into_iter()
}

/// One column of a table.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Column {
    /// Its heading.
    pub name: String,
    /// What sort of values it holds.
    #[serde(rename = "type")]
    pub value_type: ValueType,
    /// The unit as shown.
    pub unit: Option<String>,
    /// The values with all digits; `None` is a missing cell.
    pub values: Vec<Option<Scalar>>,
    /// The standard uncertainty of each cell; `None` where the whole column is exact.
    pub uncertainty: Option<Vec<Option<String>>>,
    /// The cells as readers see them, without the unit; empty where missing. With the
    /// tolerance that a cell has of its own.
    #[serde(skip)]
    pub shown: Vec<String>,
    /// The ± that every cell has which says no other: `0.05`, `2 %`, `0.1 k=2`.
    #[serde(skip)]
    pub tolerance: Option<String>,
    /// The factor behind the ± of all cells: `k=2`.
    #[serde(skip)]
    pub coverage: Option<String>,
}

impl Column {
    /// What stands in brackets behind the name: `lb`, `lb ± 0.05`, `lb, k=2`.
    pub fn bracket(&self) -> Option<String> {
        match (&self.unit, &self.tolerance, &self.coverage) {
            (Some(unit), Some(tolerance), _) => Some(format!("{unit} ± {tolerance}")),
            (Some(unit), None, Some(coverage)) => Some(format!("{unit}, {coverage}")),
            (unit, _, coverage) => unit.clone().or_else(|| coverage.clone()),
        }
    }

    /// What stands behind the name, as it can be typed: `[lb ± 0.05]`, `± 3 min`.
    pub(crate) fn beside_name(&self) -> Option<String> {
        match (self.bracket(), &self.tolerance) {
            (Some(bracket), _) => Some(format!("[{bracket}]")),
            (None, tolerance) => tolerance.as_ref().map(|tolerance| format!("± {tolerance}")),
        }
    }

    /// A cell as readers see it, its value and what follows that: `49.2`, ` ± 0.1`.
    pub fn cell(&self, row: usize) -> (&str, &str) {
        let shown = self.shown.get(row).map_or("", String::as_str);
        let cut = match self.value_type {
            ValueType::Number | ValueType::Time | ValueType::Counted | ValueType::Moment => shown.find(" ± "),
            ValueType::Text | ValueType::Truth => None,
        };
        cut.and_then(|cut| shown.split_at_checked(cut)).unwrap_or((shown, ""))
    }
}
