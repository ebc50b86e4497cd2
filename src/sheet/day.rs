//! Clock times and their days: which times stand in order, and what to write where they don't.
//!
//! A clock time that is added to, and a column of clock times, is counted from there on and
//! knows how many midnights have passed. Times of one beginning stand in order, and so does
//! the beginning itself; whatever else meets a counted time is asked for its day. A clock
//! column whose days stand beside it has a day in each row, which is lost where a row stands
//! alone. Start reading at [`Checker::in_order`].

use crate::calendar::{self, DAY};
use crate::problem::{Code, Problem};
use crate::syntax::tree::{ExpressionNode, Node as TreeNode, Value};
use crate::text::{Span, in_one_line};
use crate::trade::{Body, Built, Function};
use crate::unit::{Beginning, Kind};

use super::checker::{Checker, describe};
use super::names::{CellId, ColumnId, Named};
use super::typed::{Node, Typed};
use super::wall_range::same;

/// What two times meet for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Meeting {
    Comparison,
    Difference,
    /// The branches of `if`, the arguments of `min`, a value on trial.
    Together,
    /// A place in a column.
    Place,
}

/// What is to be written, and the piece that it replaces.
type Meant = (String, Option<(Span, String)>);

impl Checker<'_> {
    /// The kind in which two times stand in order; `None` where one is asked for its day.
    pub(super) fn in_order(&self, left: &Typed, right: &Typed) -> Option<Kind> {
        if self.stands_in(right, left.kind) {
            return Some(left.kind);
        }
        self.stands_in(left, right.kind).then_some(right.kind)
    }

    /// Whether a time can be counted as that kind.
    pub(super) fn stands_in(&self, time: &Typed, kind: Kind) -> bool {
        match (time.kind, kind) {
            (found, wanted) if found == wanted => true,
            (Kind::Counted(Beginning::Written), Kind::Counted(_)) => true,
            (Kind::TimeOfDay, Kind::Counted(beginning)) => self.known_beginning(time) == Some(beginning),
            _ => false,
        }
    }

    /// What a clock time is where something was counted from it.
    fn known_beginning(&self, time: &Typed) -> Option<Beginning> {
        match &time.node {
            _ if time.column => None,
            Node::Constant(seconds) => u32::try_from(seconds.to_integer()?).ok().map(Beginning::Clock),
            Node::Cell(cell) => Some(Beginning::Entry(self.root(*cell).0)),
            Node::Let(_, body) => self.known_beginning(body),
            _ => {
                let recent = self.unnamed.len().saturating_sub(RECENT_UNNAMED);
                let mut known = self.unnamed.iter().enumerate().skip(recent);
                let (place, _) = known.find(|(_, known)| same(known, time))?;
                u32::try_from(place).ok().map(Beginning::Here)
            }
        }
    }

    fn beginning_of(&mut self, time: &Typed) -> Beginning {
        self.known_beginning(time).unwrap_or_else(|| {
            self.unnamed.push(time.clone());
            Beginning::Here(u32::try_from(self.unnamed.len() - 1).unwrap_or(u32::MAX))
        })
    }

    /// The entry that an entry is another name for.
    fn root(&self, cell: CellId) -> CellId {
        let mut root = cell;
        for _ in 0..LONGEST_ALIAS {
            match self.other_name(root) {
                Some(next) => root = next,
                None => break,
            }
        }
        root
    }

    fn other_name(&self, cell: CellId) -> Option<CellId> {
        let item = self.known.names.cell_items.get(cell.0 as usize)?;
        let TreeNode::Entry(entry) = self.known.sheet.node(*item)? else {
            return None;
        };
        match &entry.value {
            Some(Value::Given {
                expression,
                tolerance: None,
            }) => match &expression.node {
                ExpressionNode::Name(name) => match self.known.names.get(name) {
                    Some(Named::Cell(next)) => Some(next),
                    _ => None,
                },
                _ => None,
            },
            _ => None,
        }
    }

    /// The kind of what is counted on from a time, by a step.
    pub(super) fn counted_on(&mut self, time: &Typed, step: Option<&Typed>) -> Option<Kind> {
        if time.kind != Kind::TimeOfDay {
            return Some(time.kind);
        }
        if time.column {
            return self.dayless(time);
        }
        let written = step.is_some_and(|step| is_written_with_day(time, step));
        Some(Kind::Counted(match written {
            true => Beginning::Written,
            false => self.beginning_of(time),
        }))
    }

    // ---- what has lost its day ----

    /// The problem of a clock column, each row of which has a day of its own.
    pub(super) fn dayless<T>(&mut self, column: &Typed) -> Option<T> {
        let message = "each of these clock times has a day of its own, which is lost here".to_owned();
        let meant = match &column.node {
            Node::Column(id) => self.with_day(*id),
            _ => None,
        };
        let help = match &meant {
            Some(meant) => format!("give each its day: `{meant}`"),
            None => "join each with its date, by `at(day, clock)`".to_owned(),
        };
        let mend = meant.map(|meant| (column.span, meant));
        self.mendable(Code::WhichDay, message, column.span, Some(help), mend)
    }

    /// `at(log.day, log.time)` for a column whose day stands beside it.
    fn with_day(&self, id: ColumnId) -> Option<String> {
        if !self.frames.is_empty() {
            return None;
        }
        let (table, place) = self.place_of(id)?;
        let shape = self.known.tables.get(table)?;
        let (clock, ..) = shape.columns.get(place)?;
        let (day, table) = (shape.day_beside(clock)?, self.table_name(table)?);
        Some(format!("at({table}.{day}, {table}.{clock})"))
    }

    /// The table of a column, and its place there.
    fn place_of(&self, id: ColumnId) -> Option<(usize, usize)> {
        let mut tables = self.known.tables.iter().enumerate();
        tables.find_map(|(index, table)| {
            // the columns of a table are numbered in a row
            let is_there = table.columns.first()?.1.0 <= id.0 && id.0 <= table.columns.last()?.1.0;
            let place = is_there.then(|| table.columns.iter().position(|(_, known, _)| *known == id))??;
            Some((index, place))
        })
    }

    fn table_name(&self, table: usize) -> Option<&str> {
        let item = self.known.names.table_items.get(table)?;
        match self.known.sheet.node(*item)? {
            TreeNode::Table(table) => Some(&table.name.text),
            _ => None,
        }
    }

    pub(super) fn column_name(&self, id: ColumnId) -> Option<String> {
        let (table, place) = self.place_of(id)?;
        let (name, ..) = self.known.tables.get(table)?.columns.get(place)?;
        Some(format!("{}.{name}", self.table_name(table)?))
    }

    fn entry_name(&self, cell: u32) -> Option<&str> {
        let item = self.known.names.cell_items.get(cell as usize)?;
        match self.known.sheet.node(*item)? {
            TreeNode::Entry(entry) => Some(&entry.name.text),
            _ => None,
        }
    }

    /// Whether a row of a clock column may stand alone: where its day was given up by
    /// `clock(…)`, or it has none.
    pub(super) fn alone(&mut self, column: &Typed) -> Option<()> {
        if column.kind != Kind::TimeOfDay || !column.column || is_on_the_wall(column) {
            return Some(());
        }
        if matches!(column.node, Node::Column(_)) {
            return self.dayless(column);
        }
        let message = "each of these clock times has a day of its own, which is lost here".to_owned();
        let written = self.as_written(column);
        let help = written.map(|written| format!("take `clock({written})` for the hour on the wall"));
        self.problem(Code::WhichDay, message, column.span, help)
    }

    // ---- which day ----

    /// The problem of two times that don't stand in order.
    pub(super) fn which_day(&self, left: &Typed, right: &Typed, place: Span, meeting: Meeting) -> Problem {
        if left.kind == Kind::Moment || right.kind == Kind::Moment {
            return self.moment_clash(left, right, place, meeting);
        }
        let both = matches!((left.kind, right.kind), (Kind::Counted(_), Kind::Counted(_)));
        let message = match both {
            true => "these times are counted from two beginnings; how do their days lie to each other?",
            false => "the clock time has no day, and the other is counted; which day does it belong to?",
        };
        let problem = self.two_sided(Code::WhichDay, message.to_owned(), place, &[left, right]);
        match self.day_help(left, right, meeting) {
            Some((help, Some((span, meant)))) if self.frames.is_empty() => problem.help(help).mend(span, meant),
            Some((help, _)) => problem.help(help),
            None => problem,
        }
    }

    /// A moment beside a time without a date.
    fn moment_clash(&self, left: &Typed, right: &Typed, place: Span, meeting: Meeting) -> Problem {
        let message = format!(
            "a time with a date and one without don't go together: {} and {}",
            describe(left.kind),
            describe(right.kind)
        );
        let problem = self.two_sided(Code::WhichDay, message, place, &[left, right]);
        let (moment, other) = if left.kind == Kind::Moment {
            (left, right)
        } else {
            (right, left)
        };
        let by_hours = meeting == Meeting::Comparison && other.kind == Kind::TimeOfDay;
        match (by_hours, self.on_the_wall(moment), self.with_a_date(other)) {
            (true, Some(wall), _) => problem
                .help(format!("compare the hours on the wall: `{wall}`"))
                .mend(moment.span, wall),
            (_, _, Some(dated)) => problem
                .help(format!("give it its date, such as `{dated}`"))
                .mend(other.span, dated),
            _ => problem,
        }
    }

    /// What would tell the day, and the piece that it replaces.
    fn day_help(&self, left: &Typed, right: &Typed, meeting: Meeting) -> Option<Meant> {
        if !self.frames.is_empty() {
            return self.help_in_rule(left, right);
        }
        // nothing is called in an input
        if self.constant_only {
            return written_out(right, meeting)
                .or_else(|| written_out(left, meeting))
                .map(in_full);
        }
        let by_rows = self.in_where || !self.is_check && (left.column || right.column);
        if meeting == Meeting::Comparison && by_rows {
            return self.by_the_wall(left, right);
        }
        // row by row each comes after its own
        if meeting == Meeting::Difference && left.column && right.column {
            return self.after_itself(left, right, meeting);
        }
        self.first_after(right, left, meeting)
            .or_else(|| self.first_after(left, right, meeting))
            .or_else(|| {
                let written = written_out(right, meeting).or_else(|| written_out(left, meeting));
                written.map(in_full)
            })
            .or_else(|| self.after_itself(left, right, meeting))
            .or_else(|| self.by_the_wall(left, right))
    }

    /// `next_time(06:00, after: start)` for one time beside another that is counted.
    fn first_after(&self, asked: &Typed, other: &Typed, meeting: Meeting) -> Option<Meant> {
        let after = self.beginning_text(other)?;
        let meant = format!("next_time({}, after: {after})", self.on_the_wall(asked)?);
        let day = written_out(asked, meeting).map_or(String::new(), |(help, _)| format!(", or {help}"));
        Some((format!("write `{meant}`{day}"), Some((asked.span, meant))))
    }

    /// The one as the first after the other, where nothing else has a name.
    fn after_itself(&self, left: &Typed, right: &Typed, meeting: Meeting) -> Option<Meant> {
        let (asked, other) = match meeting {
            Meeting::Place => (right, left),
            _ => (left, right),
        };
        let after = self
            .as_written(other)
            .filter(|_| other.kind != Kind::TimeOfDay || !other.column)?;
        let after = match meeting {
            Meeting::Place => format!("first({after})"),
            _ => after,
        };
        let meant = format!("next_time({}, after: {after})", self.on_the_wall(asked)?);
        Some((format!("write `{meant}`"), Some((asked.span, meant))))
    }

    /// Both as the hour on the wall.
    fn by_the_wall(&self, left: &Typed, right: &Typed) -> Option<Meant> {
        let counted: Vec<&Typed> = [left, right]
            .into_iter()
            .filter(|side| side.kind != Kind::TimeOfDay)
            .collect();
        let walls: Vec<String> = counted.iter().filter_map(|side| self.on_the_wall(side)).collect();
        let help = match walls.as_slice() {
            [one] => format!("write `{one}` for the hour on the wall"),
            [one, other] => format!("write `{one}` and `{other}` for the hours on the wall"),
            _ => return None,
        };
        let mend = match counted.as_slice() {
            [one] => Some((one.span, walls.into_iter().next()?)),
            _ => None,
        };
        Some((help, mend))
    }

    /// Inside a rule nothing can be named but what was handed to it.
    fn help_in_rule(&self, left: &Typed, right: &Typed) -> Option<Meant> {
        let call = self.frames.first()?.call;
        let handed = [left, right]
            .into_iter()
            .find(|side| matches!(side.kind, Kind::Counted(_)) && side.span != call)?;
        let written = one_line(handed.span.of(self.text))?;
        Some((
            format!("hand the rule `clock({written})`, if it means the hour on the wall"),
            None,
        ))
    }

    /// A clock time from the text: `06:00`, `clock(dead)`.
    fn on_the_wall(&self, time: &Typed) -> Option<String> {
        match (&time.node, time.kind) {
            (Node::Constant(seconds), Kind::Counted(_) | Kind::Moment) => Some(calendar::clock(seconds.to_integer()?)),
            (_, Kind::TimeOfDay) => self.as_written(time),
            _ => Some(format!("clock({})", self.as_written(time)?)),
        }
    }

    /// A time with a date for an example: `2026-01-11 21:40`, `at(2026-01-11, stop)`.
    pub(super) fn with_a_date(&self, time: &Typed) -> Option<String> {
        match &time.node {
            Node::Constant(seconds) => Some(format!("2026-01-11 {}", calendar::clock(seconds.to_integer()?))),
            _ => Some(format!("at(2026-01-11, {})", self.as_written(time)?)),
        }
    }

    /// What was written, where it can be written again on one line.
    pub(super) fn as_written(&self, value: &Typed) -> Option<String> {
        let written = self.frames.is_empty().then(|| self.written(value.span))?;
        one_line(written)
    }

    /// What a counted time was counted from, as it can be named in a formula.
    fn beginning_text(&self, time: &Typed) -> Option<String> {
        let Kind::Counted(beginning) = time.kind else {
            return None;
        };
        match beginning {
            Beginning::Clock(seconds) => Some(calendar::clock(i64::from(seconds))),
            Beginning::Column(id) => Some(format!("first({})", self.column_name(ColumnId(id))?)),
            Beginning::Entry(cell) => {
                let shape = self.known.shapes.get(cell as usize).copied().flatten()?;
                let is_clock = shape.kind == Kind::TimeOfDay && !shape.column;
                self.entry_name(cell).filter(|_| is_clock).map(str::to_owned)
            }
            Beginning::Written | Beginning::Here(_) => None,
        }
    }

    /// What a side of a meeting is, a counted time with its beginning.
    pub(super) fn described(&self, kind: Kind) -> String {
        let Kind::Counted(beginning) = kind else {
            return describe(kind);
        };
        let from = match beginning {
            Beginning::Written => return "written with its day".to_owned(),
            Beginning::Here(_) => None,
            Beginning::Clock(seconds) => Some(format!("`{}`", calendar::clock(i64::from(seconds)))),
            Beginning::Column(id) => self.column_name(ColumnId(id)).map(|name| format!("`{name}`")),
            Beginning::Entry(cell) => {
                let item = self.known.names.cell_items.get(cell as usize).copied().unwrap_or(0);
                let name = self.entry_name(cell);
                name.map(|name| format!("`{name}` ({})", self.standing_at(item)))
            }
        };
        from.map_or_else(|| describe(kind), |from| format!("counted from {from}"))
    }

    // ---- values held over an entry ----

    /// A time as the kind of an entry that it is put in place of.
    pub(super) fn time_for(&mut self, value: Typed, wanted: Kind) -> Option<Typed> {
        // both counted from a clock time that is written with them
        let own = matches!(value.kind, Kind::Counted(Beginning::Clock(_)));
        if self.stands_in(&value, wanted) || own && matches!(wanted, Kind::Counted(Beginning::Clock(_))) {
            return Some(value.with_kind(wanted));
        }
        let message = format!(
            "the entry is {}, and this is {}",
            describe(wanted),
            describe(value.kind)
        );
        let meant = match (wanted, &value.node) {
            (Kind::TimeOfDay, _) => self.on_the_wall(&value),
            (Kind::Counted(_), Node::Constant(seconds)) => {
                let clock = seconds.to_integer().map(|at| at.rem_euclid(DAY));
                clock.map(|clock| calendar::counted(clock + DAY))
            }
            (Kind::Counted(_), _) => {
                let entry = Typed {
                    kind: wanted,
                    ..value.clone()
                };
                self.first_after(&value, &entry, Meeting::Together)
                    .and_then(|(_, mend)| Some(mend?.1))
            }
            (Kind::Moment, _) => self.with_a_date(&value),
            _ => None,
        };
        let help = meant.as_ref().map(|meant| match wanted {
            Kind::TimeOfDay => format!("write `{meant}` for the hour on the wall"),
            _ => format!("say its day, such as `{meant}`"),
        });
        let mend = meant.map(|meant| (value.span, meant));
        self.mendable(Code::WhichDay, message, value.span, help, mend)
    }

    // ---- several ----

    /// Times that are taken together, as one kind.
    pub(super) fn times_together(
        &mut self,
        function: &'static Function,
        values: Vec<Typed>,
        span: Span,
    ) -> Option<Vec<Typed>> {
        let firm = |value: &&Typed| matches!(value.kind, Kind::Counted(beginning) if beginning != Beginning::Written);
        let counted = |value: &&Typed| matches!(value.kind, Kind::Counted(_));
        let first = values.iter().find(firm).or_else(|| values.iter().find(counted));
        let first = first.or(values.first())?.clone();
        if let Some(other) = values.iter().find(|value| !self.stands_in(value, first.kind)) {
            let problem = match other.kind.is_time() {
                true => self.which_day(&first, other, other.span, Meeting::Together),
                false => {
                    let what = format!("the arguments of `{}` don't go together", function.name);
                    self.clash(&first, other, other.span, &what)
                }
            };
            return self.reported(problem);
        }
        if first.kind == Kind::TimeOfDay && matches!(function.body, Body::Built(Built::Mean)) {
            return self.no_mean(&values, span);
        }
        Some(values.into_iter().map(|value| value.with_kind(first.kind)).collect())
    }

    /// The mean of 22:00 and 02:00 is midnight or noon.
    fn no_mean<T>(&mut self, values: &[Typed], span: Span) -> Option<T> {
        let message = "the mean of clock times hangs on the day of each".to_owned();
        let mut last: Option<String> = None;
        let texts = values.iter().map(|value| {
            let written = self.as_written(value).filter(|_| !value.column)?;
            let placed = match &last {
                Some(before) => format!("next_time({written}, after: {before})"),
                None => written,
            };
            last = Some(placed.clone());
            Some(placed)
        });
        let texts: Option<Vec<String>> = texts.collect();
        let texts = texts.filter(|_| values.len() > 1);
        let meant = texts.map(|texts| format!("mean({})", texts.join(", ")));
        let help = match &meant {
            Some(meant) => format!("write `{meant}`, if each comes after the one before"),
            None => "take the mean of the times with their days".to_owned(),
        };
        let mend = meant.map(|meant| (span, meant));
        self.mendable(Code::WhichDay, message, span, Some(help), mend)
    }
}

/// So many clock times without a name are told again.
const RECENT_UNNAMED: usize = 16;

/// So many names may stand for one entry in a row.
const LONGEST_ALIAS: usize = 64;

/// A clock time and a whole number of days, both written out: `06:00 + 1 d`.
fn is_written_with_day(time: &Typed, step: &Typed) -> bool {
    let (Node::Constant(_), Node::Constant(seconds)) = (&time.node, &step.node) else {
        return false;
    };
    seconds.to_integer().is_some_and(|seconds| seconds % DAY == 0)
}

/// `06:00 (+1 d)` for a clock time that is typed; a place in a column is behind its beginning.
fn written_out(time: &Typed, meeting: Meeting) -> Option<Meant> {
    let (Node::Constant(seconds), Kind::TimeOfDay) = (&time.node, time.kind) else {
        return None;
    };
    let clock = seconds.to_integer()?;
    let (first, meant) = (calendar::counted(clock), calendar::counted(clock + DAY));
    let days = match meeting {
        Meeting::Place => format!("such as `{meant}`"),
        _ => format!("`{first}` or `{meant}`"),
    };
    Some((format!("its day, {days}"), Some((time.span, meant))))
}

fn in_full((help, mend): Meant) -> Meant {
    (format!("write {help}"), mend)
}

/// Whether it is `clock(…)`, perhaps with rows left out.
fn is_on_the_wall(column: &Typed) -> bool {
    match &column.node {
        Node::Call(function, _) => matches!(function.body, Body::Built(Built::Clock)),
        Node::Where(parts) => is_on_the_wall(&parts.0),
        _ => false,
    }
}

/// A piece of a formula that is short enough to be written again.
fn one_line(written: &str) -> Option<String> {
    let line = in_one_line(written);
    let line = without_parentheses(&line).to_owned();
    let is_short = line.chars().count() <= 60 && !line.contains("--");
    is_short.then_some(line)
}

/// A piece without the parentheses around the whole of it.
fn without_parentheses(written: &str) -> &str {
    let Some(inner) = written.strip_prefix('(').and_then(|rest| rest.strip_suffix(')')) else {
        return written;
    };
    let mut open = 0i32;
    for c in inner.chars() {
        open += i32::from(c == '(') - i32::from(c == ')');
        if open < 0 {
            return written;
        }
    }
    inner
}
