//! Tables that functions make, each worked out once for one set of arguments.
//!
//! A table of the worksheet and whoever asks for one thing of it with the same
//! arguments share the work. What is kept goes along with a run; the oldest goes
//! first. Start reading at [`MadeTables::get`].

use std::collections::VecDeque;
use std::sync::Arc;

use crate::number::Number;
use crate::trade::registry::function;
use crate::trade::{Argument, Arguments, Body, Complaint, Function, Made, Schedule, ScheduleForm};

use super::scalar::{CallArgument, Scalar};

/// How many tables are kept.
const KEPT: usize = 64;
/// How many cells they may have in all.
const KEPT_CELLS: usize = 1_000_000;

/// The tables made so far.
#[derive(Clone, Debug, Default)]
pub struct MadeTables {
    kept: VecDeque<(Arc<Asked>, Arc<Made>)>,
    cells: usize,
    worked: usize,
    went_on: bool,
}

/// What a table was made of.
#[derive(Clone, PartialEq, Debug)]
struct Asked {
    function: &'static str,
    arguments: Vec<Given>,
}

/// An argument, kept.
#[derive(Clone, PartialEq, Debug)]
enum Given {
    Number(Number),
    Text(String),
    Column(Vec<Option<Number>>),
    Schedule(ScheduleForm, Vec<Option<Number>>, Vec<Option<Number>>),
}

impl Given {
    /// As plain numbers, whatever kind they are of.
    fn new<N: Scalar>(argument: &CallArgument<'_, N>) -> Given {
        let plain = |cells: &[Option<N>]| cells.iter().map(|cell| cell.as_ref().map(Scalar::plain)).collect();
        match argument {
            CallArgument::Number(number) => Given::Number(number.plain()),
            CallArgument::Text(text) => Given::Text((*text).to_owned()),
            CallArgument::Column(cells) => Given::Column(plain(cells)),
            CallArgument::Schedule(schedule) => {
                Given::Schedule(schedule.form, plain(schedule.hours), plain(schedule.values))
            }
        }
    }

    fn argument(&self) -> Argument<'_, Number> {
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

impl MadeTables {
    /// The table that `function` makes, or that the function it asks makes, of these arguments.
    ///
    /// # Errors
    /// What the function has against its arguments.
    pub fn get<N: Scalar>(
        &mut self,
        function: &'static Function,
        arguments: &[CallArgument<'_, N>],
    ) -> Result<Arc<Made>, Complaint> {
        let Some((name, make)) = maker(function) else {
            return Err(Complaint::outside(0, "this function gives no table"));
        };
        let asked = Asked {
            function: name,
            arguments: arguments.iter().map(Given::new).collect(),
        };
        if let Some((_, made)) = self.kept.iter().find(|(known, _)| **known == asked) {
            self.went_on |= made.goes_on.is_some();
            return Ok(Arc::clone(made));
        }
        let values: Vec<Argument<'_, Number>> = asked.arguments.iter().map(Given::argument).collect();
        self.worked += 1;
        let made = Arc::new(make(&Arguments {
            values: &values,
            expanded: &[],
        })?);
        self.went_on |= made.goes_on.is_some();
        self.keep(asked, &made);
        Ok(made)
    }

    fn keep(&mut self, asked: Asked, made: &Arc<Made>) {
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

fn cells_of(made: &Made) -> usize {
    made.columns.iter().map(Vec::len).sum()
}

type Make = fn(&Arguments<'_, Number>) -> Result<Made, Complaint>;

/// The function that makes the table, and how.
fn maker(asked: &'static Function) -> Option<(&'static str, Make)> {
    let table = match asked.body {
        Body::OfTable(of) => function(of.table)?,
        _ => asked,
    };
    match table.body {
        Body::Table { make, .. } => Some((table.name, make)),
        _ => None,
    }
}
