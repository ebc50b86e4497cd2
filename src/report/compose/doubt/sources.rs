//! The sources of an uncertainty: as machines read them, and as lines for a reader.
//!
//! Start reading at [`Teller::input`] and [`Teller::lines`].

use crate::number::Number;
use crate::sheet::Reading;
use crate::sheet::appraisal::ReadingsOf;
use crate::sheet::appraise::uncertainty_unit;
use crate::sheet::cell_of::CellPlace;
use crate::study::doubt::{Part, PartOf};
use crate::study::why::Thing;
use crate::syntax::tree::Node;
use crate::unit::{Kind, Unit};

use super::super::super::doubt::{Input, Line};
use super::super::{number_shown, one_entry, scalar, unit_text};
use super::{EXACT, Measure, SENSITIVITY_DIGITS, Teller, counted, decimal, significant, text};

impl Teller<'_> {
    pub(super) fn input(&self, part: &Part) -> Input {
        let who = self.who(&part.of);
        Input {
            name: who.name,
            value: who.value.map(|value| scalar(self.sheet, value, who.kind)),
            unit: text(who.unit),
            standard: part.standard.and_then(decimal),
            degrees_of_freedom: decimal(part.degrees_of_freedom),
            sensitivity: part.sensitivity.and_then(decimal),
            contribution: part.contribution.and_then(decimal),
            share: part.share.and_then(decimal),
        }
    }

    fn who(&self, of: &PartOf) -> Who {
        let nobody = Kind::Quantity(Unit::ONE);
        match of {
            PartOf::Entry(cell) => {
                let kind = self.sheet.shape(*cell).map_or(nobody, |shape| shape.kind);
                let appraisal = &self.budget.appraisal;
                let shown = one_entry(self.sheet, *cell, self.options, appraisal, None);
                Who {
                    name: self.thing(Thing::Entry(*cell)),
                    value: match self.sheet.reading(*cell) {
                        Reading::Number(number) => Some(number),
                        _ => None,
                    },
                    shown: shown.map(|entry| entry.shown.value),
                    kind,
                    unit: unit_text(kind),
                    clock: self.sheet.asks_for_clock(*cell),
                }
            }
            PartOf::Reading(slot, row) => {
                let column = self.sheet.table_column(*slot);
                let kind = column.map_or(nobody, |column| column.kind);
                let value = self.sheet.column_cells(*slot).get(*row as usize).copied().flatten();
                let shown = value.map(|value| number_shown(self.sheet, value, kind, false, None, EXACT).value);
                Who {
                    name: self.sheet.cell_name(CellPlace { slot: *slot, row: *row }),
                    value,
                    shown,
                    kind,
                    unit: unit_text(kind),
                    clock: false,
                }
            }
            PartOf::Scatter(of) => self.of_line("scatter about", of),
            PartOf::NextReading(of) => self.of_line("one more reading on", of),
        }
    }

    /// What belongs to a line as a whole.
    fn of_line(&self, what: &str, of: &ReadingsOf) -> Who {
        let nobody = Kind::Quantity(Unit::ONE);
        let (name, kind) = match of {
            ReadingsOf::Column(slot) => {
                let column = self.sheet.table_column(*slot);
                (Some(self.column(*slot)), column.map_or(nobody, |column| column.kind))
            }
            ReadingsOf::Entry(cell) => {
                let kind = self.sheet.shape(*cell).map_or(nobody, |shape| shape.kind);
                (Some(self.thing(Thing::Entry(*cell))), kind)
            }
            ReadingsOf::Unnamed => (None, nobody),
        };
        let name = name.map_or("a line".to_owned(), |name| format!("the line of {name}"));
        Who {
            name: format!("{what} {name}"),
            value: None,
            shown: None,
            kind,
            unit: unit_text(Kind::Quantity(uncertainty_unit(kind))),
            clock: false,
        }
    }

    pub(super) fn thing(&self, thing: Thing) -> String {
        match thing {
            Thing::Entry(cell) => self.sheet.name_of(cell).unwrap_or("").to_owned(),
            Thing::Column(_, slot) => self.column(slot),
            Thing::Table(_) => String::new(),
        }
    }

    /// `log.gross`
    fn column(&self, slot: u32) -> String {
        let mut tables = self.sheet.tables().iter();
        let table = tables.find(|table| table.columns.contains(&slot));
        let item = table.and_then(|table| self.sheet.tree().item(table.item));
        let table = match item.map(|item| &item.node) {
            Some(Node::Table(table)) => &*table.name.text,
            _ => "",
        };
        let column = self.sheet.table_column(slot).map_or("", |column| &column.name);
        format!("{table}.{column}")
    }

    pub(super) fn lines(&self) -> Vec<Line> {
        let mut groups: Vec<(Option<u32>, Vec<&Part>)> = Vec::new();
        for part in &self.budget.parts {
            let key = match &part.of {
                PartOf::Reading(slot, _) => Some(*slot),
                _ => None,
            };
            match groups.iter_mut().find(|(known, _)| key.is_some() && *known == key) {
                Some((_, parts)) => parts.push(part),
                None => groups.push((key, vec![part])),
            }
        }
        let mut lines: Vec<(f64, Line)> = groups
            .iter()
            .filter_map(|(_, parts)| match parts.as_slice() {
                [] => None,
                [part] => Some((part.contribution.unwrap_or(0.0), self.line(part))),
                [first, ..] => Some(self.line_together(first, parts)),
            })
            .collect();
        lines.sort_by(|one, other| other.0.total_cmp(&one.0));
        lines.into_iter().map(|(_, line)| line).collect()
    }

    fn line(&self, part: &Part) -> Line {
        let who = self.who(&part.of);
        let (own, answer) = (Measure::of(who.kind, who.clock), Measure::of(self.kind, self.clock));
        Line {
            name: who.name,
            value: who.shown.unwrap_or_default(),
            standard: part.standard.map_or(String::new(), |standard| own.spread(standard)),
            degrees_of_freedom: freedom(part.degrees_of_freedom),
            sensitivity: part
                .sensitivity
                .map_or(String::new(), |slope| answer.slope(slope, &own)),
            contribution: part.contribution.map_or(String::new(), |size| answer.spread(size)),
            share: part.share,
        }
    }

    /// Readings of one column, each of which errs on its own.
    fn line_together(&self, first: &Part, parts: &[&Part]) -> (f64, Line) {
        let squares: f64 = parts
            .iter()
            .filter_map(|part| part.contribution)
            .map(|size| size * size)
            .sum();
        let contribution = f64::sqrt(squares);
        let shares: Vec<f64> = parts.iter().filter_map(|part| part.share).collect();
        let told = first.contribution.is_some();
        let line = Line {
            name: match &first.of {
                PartOf::Reading(slot, _) => format!("{}, {}", self.column(*slot), counted(parts.len(), "reading")),
                other => self.who(other).name,
            },
            value: String::new(),
            standard: self.standards(first, parts),
            degrees_of_freedom: freedom(first.degrees_of_freedom),
            sensitivity: String::new(),
            contribution: match told {
                true => Measure::of(self.kind, self.clock).spread(contribution),
                false => String::new(),
            },
            share: (!shares.is_empty()).then(|| shares.iter().sum()),
        };
        (contribution, line)
    }

    /// `0.029 lb` of all, or the least and the greatest.
    fn standards(&self, first: &Part, parts: &[&Part]) -> String {
        let own = Measure::of(self.who(&first.of).kind, false);
        let standards = || parts.iter().filter_map(|part| part.standard);
        let least = standards().fold(f64::INFINITY, f64::min);
        let most = standards().fold(0.0, f64::max);
        match (own.spread(least), own.spread(most)) {
            _ if !least.is_finite() => String::new(),
            (least, most) if least == most => most,
            (least, most) => format!("{least} … {most}"),
        }
    }
}

/// A source with its value and how its spread is told.
struct Who {
    name: String,
    value: Option<Number>,
    shown: Option<String>,
    kind: Kind,
    unit: String,
    clock: bool,
}

pub(super) fn freedom(degrees: f64) -> String {
    match degrees.is_finite() {
        true => significant(degrees, SENSITIVITY_DIGITS),
        false => String::new(),
    }
}
