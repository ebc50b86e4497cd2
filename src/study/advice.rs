//! What is said of an answer that can't be read: where it says what to write, that can be read as it
//! stands.
//!
//! Start reading at [`advice`].

use crate::problem::{Code, Mend, Problem};
use crate::sheet::names::CellId;
use crate::sheet::{HeldValue, Sheet};
use crate::syntax::parse;
use crate::syntax::tree::{Node, Value};
use crate::text::{Span, in_one_line};
use crate::unit::{Kind, Unit};

/// Copies in which answers are held, and let go of again.
pub(super) struct Scratch {
    /// The lesson, in which they are worked out.
    pub(super) sheet: Sheet,
    /// The key, in which they are judged by the true ones.
    pub(super) truth: Sheet,
}

/// An answer can be wrong in so many ways at once.
const MOST_MENDS: usize = 4;

/// What is said of an answer that can't be read, which stands in this line; the lesson has the entry.
pub(super) fn advice(scratch: &mut Scratch, cell: CellId, line: &str, problem: &Problem) -> String {
    let Some(help) = problem.help.clone().filter(|_| problem.code != Code::UnitClash) else {
        return match problem.code {
            Code::Unreadable => asked(&scratch.sheet, cell),
            _ => problem.message.clone(),
        };
    };
    match mended(scratch, cell, line, problem) {
        Ok((written, _)) => return format!("write `{written}`"),
        // it can be read in several ways, and says so
        Err(last) if last.mends.len() > 1 => return last.help.unwrap_or(last.message),
        Err(_) => {}
    }
    let shown = help.split('`').nth(1).unwrap_or_default();
    match read(scratch, cell, &format!("assumed found = {shown}")) {
        Ok(_) => help,
        Err(_) => asked(&scratch.sheet, cell),
    }
}

/// A number alone in the unit that the question has in brackets, as it is read; nothing where it is
/// a share that is as likely a plain number.
pub(super) fn in_its_unit(
    scratch: &mut Scratch,
    cell: CellId,
    line: &str,
    problem: &Problem,
) -> Option<(String, HeldValue)> {
    let first = problem.mends.first().filter(|_| problem.code == Code::BareNumber)?;
    let Span { start, end } = first.place.span;
    let written = line.get(start as usize..end as usize)?;
    let with_unit = problem.mends.len() == 1 || first.text.split(' ').next() == Some(written);
    let read = || Problem {
        mends: vec![first.clone()],
        ..problem.clone()
    };
    with_unit.then(|| mended(scratch, cell, line, &read()).ok()).flatten()
}

/// The answer as it is read once everything is mended that can be mended in one way alone.
///
/// # Errors
/// The problem that can't.
fn mended(
    scratch: &mut Scratch,
    cell: CellId,
    line: &str,
    problem: &Problem,
) -> Result<(String, HeldValue), Box<Problem>> {
    let (mut line, mut problem) = (line.to_owned(), Box::new(problem.clone()));
    for _ in 0..MOST_MENDS {
        let [mend] = problem.mends.as_slice() else { break };
        let Some(next) = with_mend(&line, mend) else { break };
        line = next;
        match read(scratch, cell, &line) {
            Ok(found) => return Ok(found),
            Err(Some(next)) => problem = next,
            Err(None) => break,
        }
    }
    Err(problem)
}

fn with_mend(line: &str, mend: &Mend) -> Option<String> {
    let Span { start, end } = mend.place.span;
    let (before, behind) = (line.get(..start as usize)?, line.get(end as usize..)?);
    Some(format!("{before}{}{behind}", mend.text))
}

/// The answer in a line, as it is written and what it comes to.
fn read(scratch: &mut Scratch, cell: CellId, line: &str) -> Result<(String, HeldValue), Option<Box<Problem>>> {
    let tree = parse(line.to_owned());
    let item = tree.items.first().ok_or(None)?;
    let text = tree.text_of(0);
    let Node::Entry(entry) = &item.node else {
        return Err(None);
    };
    let Some(Value::Given { expression, tolerance }) = &entry.value else {
        return Err(item.problems.first().cloned().map(Box::new));
    };
    let tolerance = tolerance.as_deref();
    let found = scratch.sheet.trial_value(cell, text, expression, tolerance.copied());
    let found = found.map_err(|problems| problems.into_iter().next().map(Box::new))?;
    Ok((in_one_line(expression.span_with(tolerance).of(text)), found.value))
}

/// What a question wants.
fn asked(sheet: &Sheet, cell: CellId) -> String {
    match sheet.shape(cell).map(|shape| shape.kind) {
        Some(Kind::Quantity(unit)) if unit != Unit::ONE => format!("write a number in `{unit}`, or leave `?`"),
        _ => "write a number, or leave `?`".to_owned(),
    }
}
