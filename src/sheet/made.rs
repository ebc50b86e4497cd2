//! Tables that functions make, each worked out once for one set of arguments.
//!
//! A table of the worksheet and whoever asks for one thing of it with the same
//! arguments share the work. What is kept goes along with a run; the oldest goes
//! first. Start reading at [`MadeTables::get`].

use std::collections::VecDeque;
use std::sync::Arc;

use crate::number::{Checked, Real};
use crate::trade::registry::function;
use crate::trade::{Argument, Arguments, Body, Complaint, Function, Made, Make, Schedule, ScheduleForm};

use super::scalar::{CallArgument, Scalar};

/// How many tables are kept.
const KEPT: usize = 64;
/// How many cells they may have in all.
const KEPT_CELLS: usize = 1_000_000;

/// The tables made so far, in one number kind.
#[derive(Clone, Debug)]
pub struct MadeTables<R> {
    kept: VecDeque<Kept<R>>,
    cells: usize,
    worked: usize,
    went_on: bool,
}

/// A table, and what it was made of.
type Kept<R> = (Arc<Asked<R>>, Arc<Made<R>>);

/// What a table was made of.
#[derive(Clone, PartialEq, Debug)]
struct Asked<R> {
    function: &'static str,
    arguments: Vec<Given<R>>,
}

/// An argument, kept.
#[derive(Clone, PartialEq, Debug)]
enum Given<R> {
    Number(R),
    Text(String),
    Column(Vec<Option<R>>),
    Schedule(ScheduleForm, Vec<Option<R>>, Vec<Option<R>>),
}

impl<R: Real> Given<R> {
    /// As tables are made of it, whatever kind it is of.
    fn new<N: Scalar<Tabled = R>>(argument: &CallArgument<'_, N>) -> Checked<Given<R>> {
        let tabled = |cells: &[Option<N>]| -> Checked<Vec<Option<R>>> {
            let cells = cells.iter().map(|cell| cell.as_ref().map(Scalar::tabled).transpose());
            cells.collect()
        };
        Ok(match argument {
            CallArgument::Number(number) => Given::Number(number.tabled()?),
            CallArgument::Text(text) => Given::Text((*text).to_owned()),
            CallArgument::Column(cells) => Given::Column(tabled(cells)?),
            CallArgument::Schedule(schedule) => {
                Given::Schedule(schedule.form, tabled(schedule.hours)?, tabled(schedule.values)?)
            }
        })
    }

    fn argument(&self) -> Argument<'_, R> {
        match self {
            Given::Number(number) => Argument::Number(*number),
            Given::Text(text) => Argument::Text(text),
            Given::Column(cells) => Argument::Column(cells),
            Given::Schedule(form, hours, values) => Argument::Schedule(Schedule {
                form: *form,
                hours,
                values,
            }),
        }
    }
}

impl<R> Default for MadeTables<R> {
    fn default() -> MadeTables<R> {
        MadeTables {
            kept: VecDeque::new(),
            cells: 0,
            worked: 0,
            went_on: false,
        }
    }
}

impl<R: Real> MadeTables<R> {
    /// The table that `function` makes, or that the function it asks makes, of these arguments.
    ///
    /// # Errors
    /// What the function has against its arguments.
    pub fn get<N: Scalar<Tabled = R>>(
        &mut self,
        function: &'static Function,
        arguments: &[CallArgument<'_, N>],
    ) -> Result<Arc<Made<R>>, Complaint> {
        let Some((name, make)) = maker::<N>(function) else {
            return Err(Complaint::outside(0, "this function gives no table"));
        };
        let asked = Asked {
            function: name,
            arguments: arguments.iter().map(Given::new).collect::<Checked<_>>()?,
        };
        if let Some((_, made)) = self.kept.iter().rev().find(|(known, _)| **known == asked) {
            self.went_on |= made.goes_on.is_some();
            return Ok(Arc::clone(made));
        }
        let values: Vec<Argument<'_, R>> = asked.arguments.iter().map(Given::argument).collect();
        self.worked += 1;
        let made = Arc::new(make(&Arguments {
            values: &values,
            expanded: &[],
        })?);
        self.went_on |= made.goes_on.is_some();
        self.keep(asked, &made);
        Ok(made)
    }

    fn keep(&mut self, asked: Asked<R>, made: &Arc<Made<R>>) {
        self.cells += cells_of(made);
        self.kept.push_back((Arc::new(asked), Arc::clone(made)));
        while self.kept.len() > KEPT || self.cells > KEPT_CELLS {
            let Some((_, oldest)) = self.kept.pop_front() else {
                return;
            };
            self.cells -= cells_of(&oldest);
        }
    }

    /// Whether one of those given since that was last forgotten goes on beyond its last row.
    pub(crate) fn went_on(&self) -> bool {
        self.went_on
    }

    /// Forgets whether any goes on.
    pub fn begin(&mut self) {
        self.went_on = false;
    }

    /// How many tables were worked out.
    pub fn worked(&self) -> usize {
        self.worked
    }
}

fn cells_of<R>(made: &Made<R>) -> usize {
    made.columns.iter().map(Vec::len).sum()
}

/// The function that makes the table, and how.
fn maker<N: Scalar>(asked: &'static Function) -> Option<(&'static str, Make<N::Tabled>)> {
    let table = match asked.body {
        Body::OfTable(of) => function(of.table)?,
        _ => asked,
    };
    match table.body {
        Body::Table { exact, drawn, .. } => Some((table.name, N::maker(exact, drawn))),
        _ => None,
    }
}
