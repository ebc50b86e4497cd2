//! The session as an editor of the whole text holds it.
//!
//! The text is typed elsewhere and comes in stretch by stretch; steps, undoing
//! and saving are that editor's own. Everything else is the session that the
//! other shells hold. Start reading at [`Session::of_typed`].

use std::path::Path;

use crate::problem::Problem;
use crate::report::compose::{self, Options};
use crate::report::model::Check;
use crate::sheet::Status;
use crate::sheet::names::CellId;
use crate::study::marks::Tables;
use crate::syntax::tree::Node;
use crate::text::Span;

use super::file::Source;
use super::{Session, lints};

impl Session {
    /// Holds the text that an editor has, of a file that may say something else by now.
    /// Tables are read from the file's folder.
    pub(crate) fn of_typed(path: &Path, text: String, options: Options) -> Session {
        Session::with(Source::typed(path, &text), text, &[], options)
    }

    /// Takes over what was typed in place of a stretch of the text. It is no step of the
    /// session; case and trials stay.
    pub fn type_over(&mut self, span: Span, with: &str) {
        self.sheet.replace(span, with);
    }

    /// Works out the case of that name, or the base where there is none.
    pub(crate) fn hold_case(&mut self, name: Option<&str>) {
        let held = self.sheet.case().map(|case| case.name.as_str());
        let known = |name: &&str| self.sheet.cases().iter().any(|case| case.name == *name);
        let wanted = name.filter(known);
        if held != wanted {
            let wanted = wanted.map(str::to_owned);
            // The name is known, and the base always is.
            let _ = self.sheet.set_case(wanted.as_deref());
        }
    }

    /// Reads the tables' files again.
    pub(crate) fn read_files_again(&mut self) {
        self.sheet.refresh();
    }

    /// Every problem and remark, in the order of the text.
    pub fn found(&self) -> Vec<Problem> {
        let mut problems = self.sheet.problems();
        problems.extend(lints::lints(&self.sheet));
        problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
        problems
    }

    /// The expectations that don't hold or can't be told, each with its place in the text.
    pub(crate) fn unmet(&self) -> Vec<(Check, Span)> {
        let tree = self.sheet.tree();
        let items = tree.items.iter().enumerate();
        let places = items.filter_map(|(index, item)| match &item.node {
            Node::Expect(_) => Some(written(tree.text_of(index)).shifted(item.start as usize)),
            _ => None,
        });
        let checks = compose::checks(&self.sheet, self.options).into_iter();
        checks
            .zip(places)
            .filter(|(check, _)| check.holds != Some(true))
            .collect()
    }

    /// The values that the text doesn't say, each with the place where its entry ends: of
    /// the entries that end inside a stretch of it and are calculated, or held by the case.
    /// What has a problem says so where the problem is.
    pub(crate) fn values_in(&self, span: Span) -> Vec<(usize, String)> {
        let ends = |cell: CellId| {
            self.end_of(cell)
                .filter(|end| (span.start as usize..=span.end as usize).contains(end))
                .map(|end| (end, cell))
        };
        let told = |cell: &CellId| self.is_silent_on(*cell) && !self.sheet.is_kept_back(*cell);
        let asked = self.sheet.own_cells().filter(told);
        let (places, cells): (Vec<usize>, Vec<CellId>) = asked.filter_map(ends).unzip();
        let shown = compose::shown_values(&self.sheet, &cells, Tables::Untold, self.options);
        let told = places.into_iter().zip(cells).zip(shown);
        told.filter_map(|((place, cell), shown)| match self.sheet.status(cell) {
            Status::Known => Some((place, format!("= {}", shown.in_full()))),
            Status::Waits => Some((place, shown.display())),
            Status::Blank | Status::Broken => None,
        })
        .collect()
    }

    /// Whether the text doesn't say what value an entry has.
    fn is_silent_on(&self, cell: CellId) -> bool {
        let entry = self.sheet.entry(cell);
        entry.is_some_and(|entry| !entry.kind.is_input() || self.sheet.held(cell).is_some())
    }

    /// Where the line of an entry ends.
    fn end_of(&self, cell: CellId) -> Option<usize> {
        let index = self.sheet.item_of(cell) as usize;
        let tree = self.sheet.tree();
        let start = tree.items.get(index)?.start as usize;
        Some(start + written(tree.text_of(index)).end as usize)
    }
}

/// The text of an item without a mark at its beginning and the line end that closes it.
fn written(text: &str) -> Span {
    let start = text.len() - text.trim_start_matches('\u{feff}').len();
    Span::new(start, text.trim_end().len().max(start))
}
