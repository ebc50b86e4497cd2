//! From columns of the sheet to charts: which numbers, how they count, what limits them.
//!
//! A column carries its expanded uncertainty. Its limits are what expectations
//! set it against, and for a table that a function makes what its declaration
//! names. Start reading at [`plot`].

use std::borrow::Cow;

use crate::number::Number;
use crate::sheet::appraisal::{Appraisal, Doubt};
use crate::sheet::names::{CellId, Named};
use crate::sheet::source::Uncertainty as Combined;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::bounds::{self, constant, in_kind};
use crate::study::straight::straight;
use crate::syntax::tree::{Call, Expression, ExpressionNode, Node, Plot, TableContent};
use crate::text::in_one_line;
use crate::trade::registry::function;
use crate::trade::{ColumnLimit, ResultKind};
use crate::unit::{Kind, Unit};

use super::super::chart::{Bound, Chart, Course, Line, Measure, Sample, Scale, Trace, Triple};
use super::{Options, expanded, number_shown, unit_text, waiting};

/// A column with all that a chart needs of it.
struct Side<'a> {
    name: String,
    kind: Kind,
    clock: bool,
    cells: Cow<'a, [Option<Number>]>,
    doubts: Vec<Option<Combined>>,
    /// How many rows are known only within a range, and have no point.
    open: usize,
}

/// The columns of a plot.
struct Sides<'a> {
    across: Side<'a>,
    up: Side<'a>,
    parted: Option<Side<'a>>,
}

/// More sets than these are told apart as shaded cells rather than as lines.
const MOST_SETS: usize = 4;

/// The chart of a plot line, which stands in that text, in the case in hand, with the trials.
pub(crate) fn plot(sheet: &Sheet, (text, plot): (&str, &Plot), appraisal: &Appraisal, options: Options) -> Chart {
    let written = |expression: &Expression| in_one_line(expression.span.of(text));
    let title = match &plot.title {
        Some(title) => title.text.to_string(),
        None => format!("{} over {}", written(&plot.vertical), written(&plot.horizontal)),
    };
    let side = |expression| side(sheet, text, expression, appraisal);
    let sides = || {
        Ok(Sides {
            across: side(&plot.horizontal)?,
            up: side(&plot.vertical)?,
            parted: plot.parted.as_ref().map(side).transpose()?,
        })
    };
    let sides: Result<Sides<'_>, String> = sides();
    match sides {
        Ok(sides) => {
            let open = sides.across.open.max(sides.up.open);
            without_open(drawn(sheet, &title, &sides, plot, options), open)
        }
        Err(standing) => Chart::nothing(&title, &standing),
    }
}

/// Says in the title and the words how many rows have no point, since a limit has cut them short.
fn without_open(chart: Chart, open: usize) -> Chart {
    let rows = match open {
        0 => return chart,
        1 => "1 row".to_owned(),
        many => format!("{many} rows"),
    };
    Chart {
        title: format!("{}, without {rows} past a limit", chart.title),
        told: format!(
            "{} Not drawn: {rows} of which a limit leaves no more than a range.",
            chart.told
        ),
        ..chart
    }
}

/// The cells whose uncertainty a plot shows.
pub(crate) fn cells_of(sheet: &Sheet, plot: &Plot) -> Vec<CellId> {
    plot.columns().filter_map(|side| sheet.names().entry_in(side)).collect()
}

fn drawn(sheet: &Sheet, title: &str, sides: &Sides<'_>, plot: &Plot, options: Options) -> Chart {
    let (across, up) = (&sides.across, &sides.up);
    for other in [across].into_iter().chain(&sides.parted) {
        if other.cells.len() != up.cells.len() {
            let counts = (up.cells.len(), other.cells.len());
            let standing = format!("{} has {} rows and {} has {}", up.name, counts.0, other.name, counts.1);
            return Chart::nothing(title, &standing);
        }
    }
    let mut up_measure = measure(&up.name, up.kind, up.clock);
    match (up.kind, across.kind) {
        (Kind::Text | Kind::Truth, _) => {
            let what = if up.kind == Kind::Text { "texts" } else { "truth values" };
            Chart::nothing(title, &format!("{} holds {what}, which have no height", up.name))
        }
        (_, kind @ (Kind::Text | Kind::Truth)) => {
            let labels: Vec<String> = across
                .cells
                .iter()
                .map(|cell| named(sheet, *cell, kind, options))
                .collect();
            Chart::bars(title, &up_measure, &labels, &up.cells)
        }
        _ => {
            let mut across_measure = measure(&across.name, across.kind, across.clock);
            let mut lines = match &sides.parted {
                Some(parted) => sets(sheet, sides, parted, options),
                None => vec![line(up.name.clone(), samples(across, up))],
            };
            if let Some(parted) = sides.parted.as_ref().filter(|_| lines.len() > MOST_SETS) {
                let parted_measure = measure(&parted.name, parted.kind, parted.clock);
                if let Some(cells) = triples(sides, parted) {
                    return Chart::cells(title, (&across_measure, &parted_measure, &up_measure), &cells);
                }
            }
            let columns = (&plot.horizontal, &plot.vertical);
            let fitted = straight(sheet, columns, (across.kind, up.kind), plot.from_zero);
            let from_zero = plot.from_zero || fitted.is_some_and(|fitted| fitted.about_zero);
            (across_measure.from_zero, up_measure.from_zero) = (from_zero, from_zero);
            if let (Some(fitted), [readings]) = (fitted, lines.as_mut_slice()) {
                readings.trace = Trace::Readings;
                let ends = fitted.ends.map(|(along, up)| Sample {
                    across: Some(along),
                    up: Some(up),
                    half_width: None,
                });
                lines.push(Line {
                    trace: Trace::Fitted,
                    ..line("fitted line".to_owned(), ends.to_vec())
                });
            }
            let limits = limits(sheet, &plot.vertical, up.kind, options);
            Chart::of_lines(title, (&across_measure, &up_measure), &lines, &limits)
        }
    }
}

fn line(label: String, samples: Vec<Sample>) -> Line {
    Line {
        label,
        samples,
        trace: Trace::Values,
    }
}

/// What a cell is called; nothing where it is missing.
fn named(sheet: &Sheet, cell: Option<Number>, kind: Kind, options: Options) -> String {
    cell.map_or(String::new(), |cell| {
        number_shown(sheet, cell, kind, false, None, options).value
    })
}

/// The rows parted by what a column says, in the order in which that is met.
fn sets(sheet: &Sheet, sides: &Sides<'_>, parted: &Side<'_>, options: Options) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let all = samples(&sides.across, &sides.up);
    for (sample, cell) in all.into_iter().zip(parted.cells.iter()) {
        let label = format!("{} {}", parted.name, named(sheet, *cell, parted.kind, options));
        match lines.iter_mut().find(|line| line.label == label) {
            Some(line) => line.samples.push(sample),
            None => lines.push(line(label, vec![sample])),
        }
    }
    lines
}

/// Both ways and what is found there, where each pair of two numbers comes once.
fn triples(sides: &Sides<'_>, parted: &Side<'_>) -> Option<Vec<Triple>> {
    if matches!(parted.kind, Kind::Text | Kind::Truth) {
        return None;
    }
    let rows = sides
        .across
        .cells
        .iter()
        .zip(parted.cells.iter())
        .zip(sides.up.cells.iter());
    let triples: Vec<Triple> = rows
        .filter_map(|((x, y), value)| Some(((*x)?, (*y)?, *value)))
        .collect();
    let twice = triples.iter().enumerate().any(|(place, one)| {
        let before = triples.get(..place).unwrap_or(&[]);
        before.iter().any(|other| other.0 == one.0 && other.1 == one.1)
    });
    (!twice).then_some(triples)
}

fn samples(across: &Side<'_>, up: &Side<'_>) -> Vec<Sample> {
    let rows = across.cells.iter().zip(up.cells.iter()).enumerate();
    let sample = |(row, (across, value)): (usize, (&Option<Number>, &Option<Number>))| Sample {
        across: *across,
        up: *value,
        half_width: half_width(up.doubts.get(row).copied().flatten()),
    };
    rows.map(sample).collect()
}

/// The half of the expanded uncertainty; `None` where it is exact.
pub(super) fn half_width(doubt: Option<Combined>) -> Option<Number> {
    expanded(doubt?).map(|expanded| expanded.half_width)
}

/// How the numbers of a kind are counted and called.
pub(super) fn measure(name: &str, kind: Kind, clock: bool) -> Measure {
    Measure {
        name: name.to_owned(),
        unit: unit_text(kind),
        scale: match kind {
            Kind::TimeOfDay | Kind::Counted(_) => Scale::TimeOfDay,
            Kind::Moment => Scale::Moment,
            _ if clock => Scale::HoursAndMinutes,
            _ => Scale::Plain,
        },
        from_zero: false,
    }
}

/// A column as it stands, or why there is none.
fn side<'a>(sheet: &'a Sheet, text: &str, expression: &Expression, appraisal: &Appraisal) -> Result<Side<'a>, String> {
    let written = || in_one_line(expression.span.of(text));
    let found = match (sheet.names().entry_in(expression), &expression.node) {
        (Some(cell), _) => entry_side(sheet, cell, &written(), appraisal)?,
        (None, ExpressionNode::Column(names)) => table_side(sheet, &names.0.text, &names.1.text)?,
        (None, ExpressionNode::Name(_)) => None,
        (None, _) => worked_side(sheet, text, expression)?,
    };
    found.ok_or_else(|| format!("{} is no column", written()))
}

/// What is worked out for the chart alone.
fn worked_side<'a>(sheet: &Sheet, text: &str, expression: &Expression) -> Result<Option<Side<'a>>, String> {
    let found = sheet.clone().evaluate(text, expression, None);
    let found = found.map_err(|problems| {
        let first = problems.into_iter().next();
        first.map_or_else(|| "it has a problem".to_owned(), |problem| problem.message)
    })?;
    let doubts = match &found.doubt {
        Some(Doubt::Rows(rows)) => rows.iter().copied().map(Some).collect(),
        _ => Vec::new(),
    };
    let Reading::Column(rows) = found.reading() else {
        return Ok(None);
    };
    let cells: &[Option<Number>] = &rows;
    Ok(Some(Side {
        name: in_one_line(expression.span.of(text)),
        kind: found.shape.kind,
        clock: false,
        cells: Cow::Owned(cells.to_vec()),
        doubts,
        open: rows.count_open(),
    }))
}

fn table_side<'a>(sheet: &'a Sheet, table: &str, name: &str) -> Result<Option<Side<'a>>, String> {
    let Some(Named::Table(place)) = sheet.names().get(table) else {
        return Ok(None);
    };
    let Some(held) = sheet.tables().get(place as usize) else {
        return Ok(None);
    };
    if let Some(cell) = held.cell {
        standing(sheet, cell, table)?;
    }
    let named = |slot: &&u32| sheet.table_column(**slot).is_some_and(|column| &*column.name == name);
    let side = held.columns.iter().find(named).and_then(|slot| {
        let column = sheet.table_column(*slot)?;
        let count = u32::try_from(column.cells.len()).unwrap_or(u32::MAX);
        let doubt = |row| sheet.weighed().source(*slot, column, row).map(|source| source.alone());
        let rows = sheet.column_rows(*slot);
        Some(Side {
            name: name.to_owned(),
            kind: column.kind,
            clock: false,
            cells: Cow::Borrowed(*rows),
            doubts: (0..count).map(doubt).collect(),
            open: rows.count_open(),
        })
    });
    Ok(side)
}

fn entry_side<'a>(
    sheet: &'a Sheet,
    cell: CellId,
    name: &str,
    appraisal: &Appraisal,
) -> Result<Option<Side<'a>>, String> {
    standing(sheet, cell, name)?;
    let (Some(shape), Reading::Column(rows)) = (sheet.shape(cell), sheet.reading(cell)) else {
        return Ok(None);
    };
    let doubts = match appraisal.doubts.get(&cell) {
        Some(Doubt::Rows(rows)) => rows.iter().copied().map(Some).collect(),
        _ => Vec::new(),
    };
    let clock = sheet.asks_for_clock(cell);
    Ok(Some(Side {
        name: name.to_owned(),
        kind: shape.kind,
        clock,
        cells: Cow::Borrowed(*rows),
        doubts,
        open: rows.count_open(),
    }))
}

/// Why a cell has no value.
fn standing(sheet: &Sheet, cell: CellId, name: &str) -> Result<(), String> {
    match sheet.status(cell) {
        Status::Known => Ok(()),
        Status::Blank => Err(format!("{name} is not yet known")),
        Status::Waits => Err(format!("{name} {}", waiting(sheet, cell).value)),
        Status::Broken => Err(format!("{name} has a problem")),
    }
}

// ---- limits ----

/// What a column is set against: by expectations, and by the function that made it.
fn limits(sheet: &Sheet, column: &Expression, kind: Kind, options: Options) -> Vec<Bound> {
    let mut found: Vec<Bound> = Vec::new();
    for bound in bounds::bounds(sheet, column) {
        let Some(value) = constant(sheet, bound.other, kind) else {
            continue;
        };
        let written = bound.other.span.of(bound.text);
        let text = limit_text(sheet, bound.other, written, (value, kind), options);
        found.push(level(value, format!("{text} (line {})", sheet.line(bound.item))));
    }
    let declared = declared_limit(sheet, column, kind, options);
    let is_new = |one: &Bound| found.iter().all(|known| known.value != one.value);
    let declared = declared.filter(is_new);
    found.extend(declared);
    found
}

pub(super) fn level(value: Number, text: String) -> Bound {
    Bound {
        course: Course::Level,
        value,
        text,
    }
}

/// `100 %`, `continuous = 1.38 lb/h`: what is written, with its value where that is a name.
pub(super) fn limit_text(
    sheet: &Sheet,
    other: &Expression,
    written: &str,
    (value, kind): (Number, Kind),
    options: Options,
) -> String {
    let written = in_one_line(written);
    match &other.node {
        ExpressionNode::Quantity { .. } | ExpressionNode::Number(_) => written,
        ExpressionNode::TimeOfDay(_) | ExpressionNode::CountedTime(_) | ExpressionNode::Moment(_) => written,
        ExpressionNode::Name(name) => {
            let clock = sheet.cell(name).is_some_and(|cell| sheet.asks_for_clock(cell));
            format!(
                "{written} = {}",
                number_shown(sheet, value, kind, clock, None, options).value
            )
        }
        _ => format!(
            "{written} = {}",
            number_shown(sheet, value, kind, false, None, options).value
        ),
    }
}

/// What the function that made a table declares to matter to its column.
fn declared_limit(sheet: &Sheet, column: &Expression, kind: Kind, options: Options) -> Option<Bound> {
    let ExpressionNode::Column(names) = &column.node else {
        return None;
    };
    let call = made_by(sheet, &names.0.text)?;
    let made = function(&call.name.text)?;
    let ResultKind::Table(columns) = made.result else {
        return None;
    };
    let declared = columns.iter().find(|column| *column.name == *names.1.text)?;
    let unit = Unit::parse(declared.unit).ok()?;
    let shown = |value: Number| number_shown(sheet, value, kind, false, None, options).value;
    match declared.limit? {
        ColumnLimit::Value(value, what) => {
            let value = in_kind(Kind::Quantity(unit), Number::from_integer(value), kind)?;
            Some(level(value, format!("{}, {what}", shown(value))))
        }
        ColumnLimit::Parameter(name) => {
            let value = constant(sheet, argument(call, made.parameters, name)?, kind)?;
            Some(level(value, format!("{name} = {}", shown(value))))
        }
    }
}

/// The call that makes a table.
fn made_by<'a>(sheet: &'a Sheet, table: &str) -> Option<&'a Call> {
    let Some(Named::Table(place)) = sheet.names().get(table) else {
        return None;
    };
    let item = sheet.tables().get(place as usize)?.item;
    match sheet.tree().node(item) {
        Some(Node::Table(table)) => match table.content.as_ref()? {
            TableContent::Function(expression) => match &expression.node {
                ExpressionNode::Call(call) => Some(call),
                _ => None,
            },
            _ => None,
        },
        _ => None,
    }
}

/// What is given for a parameter, by its label or its place.
fn argument<'a>(call: &'a Call, parameters: &[crate::trade::Parameter], name: &str) -> Option<&'a Expression> {
    let place = parameters.iter().position(|parameter| parameter.name == name)?;
    let labelled = call
        .arguments
        .iter()
        .find(|given| given.label.as_ref().is_some_and(|label| *label.text == *name));
    let placed = || call.arguments.get(place).filter(|given| given.label.is_none());
    labelled.or_else(placed).map(|given| &given.value)
}
