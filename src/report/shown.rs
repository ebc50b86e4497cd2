//! A value as readers see it: its digits, its ±, its rows, or what it waits for.
//!
//! How many digits it has is settled in [`super::digits`]. Start reading at [`Shown`].

use serde::{Serialize, Serializer};

/// A value as readers see it; the digits are settled.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Shown {
    /// The value with its unit, `8.6 h`.
    pub value: String,
    /// What follows `±`, `0.3 h k=2`.
    pub uncertainty: Option<String>,
    /// What draws say beside that, where a straight line can't tell: `could be 3 or 4 each`.
    pub mark: Option<String>,
    /// The power of ten of the last digit shown, where it is a number.
    pub place: Option<i32>,
    /// The cells, where it is a column; the value then says what there is in one line.
    pub rows: Option<Box<Rows>>,
}

/// A column as readers see it, cell by cell.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Rows {
    /// What tells them apart, where a table does.
    pub names: Option<RowNames>,
    /// The cells, each in its form and with its uncertainty; `None` where missing.
    pub cells: Vec<Option<Shown>>,
}

/// What tells the rows of a column apart.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize)]
pub struct RowNames {
    /// The column of a table that does, `cyl.id`.
    pub column: String,
    /// Its cells, one for each row.
    pub names: Vec<String>,
}

/// A column of so many cells without names is told in one line.
pub(crate) const IN_ONE_LINE: usize = 4;

impl Rows {
    /// A row as it is told: `8.6 h ± 0.3 h k=2`, or that it is missing.
    pub fn told(&self, row: usize) -> String {
        let cell = self.cells.get(row).and_then(Option::as_ref);
        cell.map_or_else(|| "missing".to_owned(), Shown::in_full)
    }

    /// What a row goes by; empty where nothing tells.
    pub fn name(&self, row: usize) -> &str {
        let names = self.names.as_ref().and_then(|names| names.names.get(row));
        names.map_or("", String::as_str)
    }

    /// What a row is called behind the name of its column: `25 %`, `row 3`.
    pub(crate) fn row_word(&self, row: usize) -> String {
        match self.name(row) {
            "" => format!("row {}", row + 1),
            name => name.to_owned(),
        }
    }

    /// All of them one behind another, parted by this.
    fn joined(&self, by: &str) -> String {
        let told: Vec<String> = (0..self.cells.len()).map(|row| self.told(row)).collect();
        told.join(by)
    }
}

impl Shown {
    /// A text that has no uncertainty.
    pub fn text(value: impl Into<String>) -> Shown {
        Shown {
            value: value.into(),
            ..Shown::default()
        }
    }

    /// Both in one line, as they can be typed: `8.6 h ± 0.3 h k=2`. A short column has
    /// its cells in it, a longer one says how many there are.
    pub fn display(&self) -> String {
        match (&self.rows, &self.uncertainty) {
            (Some(rows), _) if (1..=IN_ONE_LINE).contains(&rows.cells.len()) => rows.joined(", "),
            (_, Some(uncertainty)) => format!("{} ± {uncertainty}", self.value),
            _ => self.value.clone(),
        }
    }

    /// The same with what draws say, `3 each (could be 3 or 4 each)`, or with every cell of
    /// a column.
    pub fn in_full(&self) -> String {
        match (&self.rows, &self.mark) {
            (Some(rows), _) if !rows.cells.is_empty() => rows.joined("; "),
            (_, Some(mark)) => format!("{} ({mark})", self.display()),
            (_, None) => self.display(),
        }
    }

    /// The same in few letters, to stand beside another: the unit once, and a factor only where
    /// the other's is another: `1.88 ± 0.05 lb/kWh`.
    pub(crate) fn compact(&self, beside: &Shown) -> String {
        let Some(uncertainty) = self.uncertainty.as_ref().filter(|_| self.rows.is_none()) else {
            return self.display();
        };
        let parted = |told: &str| match told.split_once(" k=") {
            Some((size, factor)) => (size.to_owned(), format!(" k={factor}")),
            None => (told.to_owned(), String::new()),
        };
        let (size, factor) = parted(uncertainty);
        let same = beside
            .uncertainty
            .as_ref()
            .is_some_and(|other| parted(other).1 == factor);
        let factor = if same { "" } else { &factor };
        let unit = self.value.split_once(' ').map(|(_, unit)| format!(" {unit}"));
        let number = unit
            .filter(|unit| size.split_once(' ').is_some_and(|(_, own)| unit.trim_start() == own))
            .and_then(|unit| self.value.strip_suffix(&unit));
        format!("{} ± {size}{factor}", number.unwrap_or(&self.value))
    }

    /// The rows of a column that takes a line each: one that is long or has names.
    pub fn listed(&self) -> Option<&Rows> {
        let rows = self.rows.as_deref()?;
        (rows.cells.len() > IN_ONE_LINE || rows.names.is_some() && !rows.cells.is_empty()).then_some(rows)
    }
}

/// A column is a list, with nothing for a missing cell.
impl Serialize for Shown {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match &self.rows {
            Some(rows) => serializer.collect_seq(&rows.cells),
            None => serializer.serialize_str(&self.in_full()),
        }
    }
}

/// Something that has no value yet, and where it stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Awaited {
    /// The entry waited on, or the reading to come, in words.
    pub name: String,
    /// Where it stands, as people are told: `line 5`.
    pub place: String,
    /// How it stands.
    pub standing: Standing,
}

impl Awaited {
    /// With where it stands: `gross (line 9)`; readings to come stand nowhere yet.
    pub(crate) fn told(&self) -> String {
        match self.place.is_empty() {
            true => self.name.clone(),
            false => format!("{} ({})", self.name, self.place),
        }
    }
}

/// How something without a value stands.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Standing {
    /// It waits on something else.
    Waits,
    /// It is left blank, to be filled in.
    Blank,
    /// It has a problem.
    Problem,
}

impl Serialize for Awaited {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.name)
    }
}
