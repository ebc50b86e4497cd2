//! The ± of a table: once in a heading where a whole column has it, else in the cells.
//!
//! What was typed is shown, as it could be typed again. Start reading at [`of_column`].

use crate::number::Number;
use crate::sheet::column::TableColumn;
use crate::syntax::tree::{Tolerance, ToleranceForm, ToleranceOf};
use crate::unit::{Kind, Unit};

/// The tolerances of a column as texts behind `±`.
#[derive(Default)]
pub(super) struct Tolerances {
    /// What all readings have that say nothing else: of the heading, or the same in every cell.
    pub common: Option<String>,
    /// What a reading has of its own, row by row; empty where none has.
    pub own: Vec<Option<String>>,
}

/// Whether the unit of a column is said again behind its tolerance.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Spelled {
    /// `0.05`, below a heading that has the unit
    Briefly,
    /// `0.05 lb`
    InFull,
}

/// The tolerances of a column with these cells.
pub(super) fn of_column(column: &TableColumn, cells: &[Option<Number>], spelled: Spelled) -> Tolerances {
    let text = |tolerance: &Tolerance| told(tolerance, column.kind, spelled);
    let heading = column.tolerance.as_ref().map(text);
    let mut own: Vec<Option<String>> = vec![None; cells.len()];
    for (row, tolerance) in &column.own_tolerances {
        if let Some(place) = own.get_mut(*row as usize) {
            *place = Some(text(tolerance)).filter(|own| Some(own) != heading.as_ref());
        }
    }
    if heading.is_some() || own.iter().all(Option::is_none) {
        return Tolerances {
            common: heading,
            own: some(own),
        };
    }
    let mut filled = cells.iter().zip(&own).filter(|(cell, _)| cell.is_some());
    let first = filled.clone().next().and_then(|(_, own)| own.clone());
    match first.is_some() && filled.all(|(_, own)| *own == first) {
        true => Tolerances {
            common: first,
            own: Vec::new(),
        },
        false => Tolerances { common: None, own },
    }
}

/// None at all where no row has any.
fn some(own: Vec<Option<String>>) -> Vec<Option<String>> {
    match own.iter().any(Option::is_some) {
        true => own,
        false => Vec::new(),
    }
}

/// `0.05`, `0.05 kg`, `2 %`, `0.1 k=2 df=18`
fn told(tolerance: &Tolerance, kind: Kind, spelled: Spelled) -> String {
    let unit = match (kind, tolerance.of) {
        (_, ToleranceOf::Percent) => "%".to_owned(),
        (Kind::Quantity(of), ToleranceOf::Unit(given)) => said(given, of.interval(), spelled),
        (Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment, ToleranceOf::Unit(given)) => given.to_string(),
        (_, ToleranceOf::Unit(_)) if spelled == Spelled::InFull => "dB".to_owned(),
        (_, ToleranceOf::Unit(_)) => String::new(),
    };
    let form = match tolerance.form {
        ToleranceForm::Limits => String::new(),
        ToleranceForm::Standard => "sd".to_owned(),
        ToleranceForm::Expanded(k) => format!("k={}", k.to_plain()),
    };
    let freedom = tolerance.degrees_of_freedom;
    let freedom = freedom.map_or(String::new(), |freedom| format!("df={}", freedom.to_plain()));
    let pieces = [tolerance.amount.to_string(), unit, form, freedom];
    let pieces: Vec<&str> = pieces
        .iter()
        .map(String::as_str)
        .filter(|piece| !piece.is_empty())
        .collect();
    pieces.join(" ")
}

/// The unit of a tolerance, where it has to be said beside readings that differ in `of`.
fn said(given: Unit, of: Unit, spelled: Spelled) -> String {
    match (given == of || given == Unit::ONE, spelled) {
        (true, Spelled::Briefly) => String::new(),
        (true, Spelled::InFull) => of.to_string(),
        (false, _) => given.to_string(),
    }
}
