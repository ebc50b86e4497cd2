//! `sweep` and `aim`: what was asked read, what can't be varied refused.
//!
//! Both shells ask with the same words; constants are read as a trial reads
//! them. Start reading at [`Session::sweep`] and [`Session::aim`].

use crate::number::Number;
use crate::problem::Problem;
use crate::report::aim::{Aim, Finding};
use crate::report::compose::aim::{self, Interval};
use crate::report::compose::sweep_by_two::sweep_by_two;
use crate::report::compose::vary;
use crate::report::compose::{self, unit_text};
use crate::report::study::Found;
use crate::report::sweep::Sweep;
use crate::report::sweep_by_two::SweepByTwo;
use crate::sheet::HeldValue;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::each_part;
use crate::study::aim::Aim as Sought;
use crate::study::vary::{Input, fed, usual_range, widened};
use crate::study::{Timed, Watch};
use crate::syntax::parse_typed;
use crate::syntax::tree::{BinaryOperator, Expression, ExpressionNode, Typed, Value};
use crate::text::nearest;
use crate::unit::{Kind, Unit, conversion};

use super::asked::{Asked, StudyVerb, Word};
use super::{Refusal, Session};

mod steps;

use steps::{in_one_day, in_order, no_range, spread, stepped};

/// The most pairs of values of a sweep over two inputs.
const MOST_PAIRS: usize = 1_000;

/// The most values of a sweep.
const MOST_VALUES: i64 = 10_000;

/// A sweep as it was asked for: texts as typed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct SweepAsked {
    /// The input to vary.
    pub input: String,
    /// Its first value.
    pub from: String,
    /// Its last value.
    pub to: String,
    /// From one value to the next.
    pub step: Option<String>,
    /// How many values.
    pub values: Option<String>,
    /// The answer that alone is drawn.
    pub plot: Option<String>,
    /// A second input, across the table.
    pub by: Option<Box<SweepAsked>>,
}

/// An aim as it was asked for: texts as typed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct AimAsked {
    /// The answer and what it should be: `margin = 100 %`.
    pub wanted: String,
    /// The input to vary.
    pub varying: String,
    /// Between which values.
    pub between: Option<(String, String)>,
}

const SWEEP_USAGE: &str =
    "write `sweep INPUT from A to B step S`, or `values N` in place of the step; `by INPUT from …` adds a second input";
const AIM_USAGE: &str = "write `aim ANSWER = VALUE varying INPUT between A and B`";

/// `sweep`, as a verb.
pub(crate) const SWEEP: StudyVerb = StudyVerb {
    about: Some("INPUT"),
    words: &[
        Word::new("from", "A").needed(),
        Word::new("to", "B").needed(),
        Word::new("step", "S"),
        Word::new("values", "N"),
        Word::new("plot", "ANSWER"),
        Word::new("by", "INPUT"),
        Word::new("by-from", "A"),
        Word::new("by-to", "B"),
        Word::new("by-step", "S"),
        Word::new("by-values", "N"),
    ],
    draws: true,
    brief: true,
    ..StudyVerb::new("sweep", |session, asked, watch| {
        let asked = SweepAsked::of(asked)?;
        Ok(match &asked.by {
            Some(by) => Box::new(session.sweep_by_two(&asked, by, watch)?),
            None => Box::new(session.sweep(&asked, watch)?),
        })
    })
};

/// `aim`, as a verb.
pub(crate) const AIM: StudyVerb = StudyVerb {
    about: Some("ANSWER=VALUE"),
    words: &[
        Word::new("varying", "INPUT").needed(),
        Word::new("between", "A B").and("and"),
    ],
    ..StudyVerb::new("aim", |session, asked, _| {
        Ok(Box::new(session.aim(&AimAsked::of(asked))?))
    })
};

impl SweepAsked {
    /// Reads `air from -20 °F to 60 °F step 10 °F`.
    ///
    /// # Errors
    /// Something is missing, or stands twice.
    pub fn typed(line: &str) -> Result<SweepAsked, Refusal> {
        SweepAsked::of(&SWEEP.typed(line)?)
    }

    fn of(asked: &Asked) -> Result<SweepAsked, Refusal> {
        let along = |input: String, words: [&str; 4]| {
            let [from, to, step, values] = words.map(|word| asked.text(word));
            SweepAsked {
                input,
                from: from.unwrap_or_default(),
                to: to.unwrap_or_default(),
                step,
                values,
                by: None,
                plot: None,
            }
        };
        let across = ["by-from", "by-to", "by-step", "by-values"];
        let by = match asked.text("by") {
            Some(by) => Some(Box::new(along(by, across))),
            None => match across.iter().find(|word| asked.get(word).is_some()) {
                Some(word) => {
                    let refusal = Refusal::new(format!("`{word}` needs `by` with a second input"));
                    return Err(refusal.help("write `sweep INPUT from A to B step S by INPUT from A to B step S`"));
                }
                None => None,
            },
        };
        Ok(SweepAsked {
            by,
            plot: asked.text("plot"),
            ..along(asked.about.clone(), ["from", "to", "step", "values"])
        })
    }
}

impl AimAsked {
    /// Reads `margin = 100 % varying air between -20 °F and 60 °F`.
    ///
    /// # Errors
    /// Something is missing, or stands twice.
    pub fn typed(line: &str) -> Result<AimAsked, Refusal> {
        AIM.typed(line).map(|asked| AimAsked::of(&asked))
    }

    fn of(asked: &Asked) -> AimAsked {
        AimAsked {
            wanted: asked.about.clone(),
            varying: asked.text("varying").unwrap_or_default(),
            between: asked.text("between").zip(asked.text("and")),
        }
    }
}

impl Session {
    /// The answers over the values of one input, on the case and trials in hand. `watch` may
    /// end the work with what there is.
    ///
    /// # Errors
    /// The input can't be varied, or not so.
    pub fn sweep(&mut self, asked: &SweepAsked, watch: &dyn Watch) -> Result<Found<Sweep>, Refusal> {
        let (input, kind) = self.varied_input(&asked.input)?;
        if compose::answers(&self.sheet)
            .iter()
            .all(|answer| Some(*answer) == input.entry())
        {
            let refusal = Refusal::new("there are no answers to look at");
            return Err(refusal.help("make a line begin with `answer`"));
        }
        let values = self.swept_values(input, kind, asked)?;
        let what = format!("the sweep over `{}`", asked.input);
        let mut found = self.timed(&what, |session| {
            vary::sweep(&session.sheet, input, &values, &Timed::new(watch), session.options)
        });
        if let Some(plot) = &asked.plot {
            let drawn = found.answers.iter().filter(|answer| answer.chart.is_some());
            let drawn: Vec<&str> = drawn.map(|answer| answer.name.as_str()).collect();
            if !drawn.contains(&plot.as_str()) {
                let refusal = Refusal::new(format!("over `{}` there is no chart of `{plot}`", asked.input));
                return Err(match drawn.as_slice() {
                    [] => refusal,
                    drawn => refusal.help(format!("what it moves and can be drawn: {}", drawn.join(", "))),
                });
            }
            found.plotted = Some(plot.clone());
        }
        Ok(self.with_in_hand(found))
    }

    /// The answers at each pair of values of two inputs, on the case and trials in hand.
    ///
    /// # Errors
    /// An input can't be varied, or not so.
    pub fn sweep_by_two(
        &mut self,
        asked: &SweepAsked,
        by: &SweepAsked,
        watch: &dyn Watch,
    ) -> Result<Found<SweepByTwo>, Refusal> {
        let (input, kind) = self.varied_input(&asked.input)?;
        let (other, other_kind) = self.varied_input(&by.input)?;
        if input == other {
            let refusal = Refusal::new(format!("`{}` can't be varied by itself", asked.input));
            return Err(refusal.help("name another input behind `by`"));
        }
        let values = self.swept_values(input, kind, asked)?;
        let across = self.swept_values(other, other_kind, by)?;
        let pairs = values.len().saturating_mul(across.len());
        if pairs > MOST_PAIRS {
            let refusal = Refusal::new(format!(
                "these are {pairs} pairs of values, and {MOST_PAIRS} are the most"
            ));
            return Err(refusal.help("take longer steps, or fewer values"));
        }
        let what = format!("the sweep over `{}` by `{}`", asked.input, by.input);
        let found = self.timed(&what, |session| {
            let (down, across) = ((input, values.as_slice()), (other, across.as_slice()));
            sweep_by_two(&session.sheet, down, across, &Timed::new(watch), session.options)
        });
        Ok(self.with_in_hand(found))
    }

    /// The values that an input is to take.
    fn swept_values(&mut self, input: Input, kind: Kind, asked: &SweepAsked) -> Result<Vec<Number>, Refusal> {
        let from = self.constant(input, "from", &asked.from)?;
        let to = self.constant(input, "to", &asked.to)?;
        if from == to {
            let refusal = Refusal::new(format!(
                "from `{}` to `{}` there is nothing to vary",
                asked.from, asked.to
            ));
            return Err(refusal.help("give two different values"));
        }
        if !asked
            .step
            .as_ref()
            .is_some_and(|step| step.trim_start().starts_with(['-', '−']))
        {
            in_one_day(kind, (from, &asked.from), (to, &asked.to))?;
        }
        match (&asked.step, &asked.values) {
            (Some(step), None) => {
                let by = self.step(kind, step)?;
                stepped(from, to, by, step)
            }
            (None, Some(many)) => spread(from, to, many),
            (None, None) => Err(Refusal::new("`sweep` needs a step, or a number of values").help(SWEEP_USAGE)),
            (Some(_), Some(_)) => {
                let refusal = Refusal::new("a step and a number of values can't both be asked for");
                Err(refusal.help("leave one of them out"))
            }
        }
    }

    /// The values of an input that give an answer a wanted value, on the case and trials in hand.
    ///
    /// # Errors
    /// The answer can't be aimed at, the input can't be varied, or nobody says between what.
    pub fn aim(&mut self, asked: &AimAsked) -> Result<Found<Aim>, Refusal> {
        let Some((name, value)) = asked.wanted.split_once('=') else {
            return Err(Refusal::new("`aim` needs an answer and what it should be").help(AIM_USAGE));
        };
        let answer = self.aimed_answer(name.trim())?;
        let (input, kind) = self.varied_input(&asked.varying)?;
        if Some(answer) == input.entry() {
            let refusal = Refusal::new(format!("`{}` can't be varied to give itself", name.trim()));
            return Err(refusal.help("vary something that it rests on"));
        }
        let target = self.constant(answer.into(), name.trim(), value.trim())?;
        let sought = |(low, high): (Number, Number)| Sought {
            answer,
            target,
            input,
            low,
            high,
        };
        let (intervals, interval) = match &asked.between {
            Some((low, high)) => {
                let (one, other) = (
                    self.constant(input, "between", low)?,
                    self.constant(input, "and", high)?,
                );
                in_one_day(kind, (one, low), (other, high))?;
                (vec![in_order((one, other))?], Interval::Given)
            }
            None => self.interval(input, kind, answer)?,
        };
        let found = self.whole(&format!("`aim {}`", asked.wanted.trim()), |session| {
            let mut aims = intervals.iter().map(|ends| {
                let sheet = &session.sheet;
                aim::aim(sheet, sought(*ends), interval, session.options)
            });
            let mut last = None;
            while last
                .as_ref()
                .is_none_or(|aim: &Aim| aim.finding == Finding::Unfound || aim.finding == Finding::None)
            {
                match aims.next() {
                    Some(aim) => last = Some(aim),
                    None => break,
                }
            }
            last.ok_or_else(|| no_range(&asked.varying))
        })?;
        Ok(self.with_in_hand(found))
    }

    /// The interval that is usual for an input, or one after another about its value in hand.
    fn interval(&self, input: Input, kind: Kind, answer: CellId) -> Result<(Vec<(Number, Number)>, Interval), Refusal> {
        let usual = fed(&self.sheet, input, answer).and_then(|(function, parameter)| {
            let source = parameter.usual?.source;
            Some((
                usual_range(parameter, kind)?,
                Interval::Usual(function, parameter.name, source),
            ))
        });
        if let Some((ends, interval)) = usual {
            return Ok((vec![ends], interval));
        }
        let value = input
            .number(&self.sheet)
            .ok_or_else(|| no_range(&input.name(&self.sheet)))?;
        Ok((widened(&self.sheet, input, value), Interval::Widened))
    }

    /// What can be varied, with its kind: an input, what a trial replaces, a cell of a table.
    fn varied_input(&mut self, name: &str) -> Result<(Input, Kind), Refusal> {
        self.told(name)?;
        let typed = self.sheet.tree().read_typed(name);
        if let Ok(Typed::Expression { expression, unit: None }) = typed
            && matches!(expression.node, ExpressionNode::Binary(BinaryOperator::Of, ..))
        {
            let place = self.sheet.cell_called(name, &expression);
            let input = Input::Cell(place.map_err(|problems| self.refused(name, &problems))?);
            let kind = input.kind(&self.sheet).unwrap_or(Kind::Truth);
            return between_values(kind, name).map(|kind| (input, kind));
        }
        let names = self.sheet.names();
        let cell = match names.get(name) {
            Some(Named::Cell(cell)) => cell,
            Some(other) => {
                return Err(
                    no_entry(name, other).help("name a line that begins with `measured`, `quoted` or `assumed`")
                );
            }
            None => return Err(self.unknown_input(name)),
        };
        let kind = self.single_kind(cell, name)?;
        between_values(kind, name).map(|kind| (Input::Entry(cell), kind))
    }

    fn unknown_input(&self, name: &str) -> Refusal {
        let names = self.sheet.names();
        let refusal = Refusal::new(format!("nothing here is named `{name}`"));
        let inputs: Vec<&str> = names
            .all()
            .filter_map(|(name, named)| match named {
                Named::Cell(cell) if names.is_input(cell) => Some(name),
                _ => None,
            })
            .collect();
        match nearest(name, inputs.iter().copied()).or_else(|| names.nearest(name)) {
            None if inputs.is_empty() => refusal.help("this worksheet has no inputs"),
            None => refusal.help("name a line that begins with `measured`, `quoted` or `assumed`"),
            near => refusal.near(near),
        }
    }

    fn single_kind(&self, cell: CellId, name: &str) -> Result<Kind, Refusal> {
        match self.sheet.shape(cell) {
            Some(shape) if shape.column => Err(Refusal::new(format!(
                "`{name}` holds a column, and a single value is wanted here"
            ))),
            Some(shape) => Ok(shape.kind),
            None => Err(Refusal::new(format!("`{name}` has no kind yet")).help("mend its line first")),
        }
    }

    /// A worked-out entry that can be aimed at.
    fn aimed_answer(&self, name: &str) -> Result<CellId, Refusal> {
        self.told(name)?;
        let names = self.sheet.names();
        let cell = match names.get(name) {
            Some(Named::Cell(cell)) => cell,
            Some(other) => return Err(no_entry(name, other).help("name an answer, or another line that is worked out")),
            None => {
                let refusal = Refusal::new(format!("nothing here is named `{name}`"));
                let answers = self.answers();
                let near = nearest(name, answers.iter().copied()).or_else(|| names.nearest(name));
                return Err(match near {
                    None if answers.is_empty() => refusal.help("this worksheet has no answers"),
                    None => refusal.help(format!("the answers are {}", answers.join(", "))),
                    near => refusal.near(near),
                });
            }
        };
        if names.is_input(cell) {
            let refusal = Refusal::new(format!("`{name}` is an input, and an aim is at something worked out"));
            return Err(refusal.help(format!("`{name} = …` tries a value of it")));
        }
        match self.single_kind(cell, name)? {
            kind @ (Kind::Text | Kind::Truth) => {
                let what = if kind == Kind::Text { "a text" } else { "true or false" };
                let refusal = Refusal::new(format!("`{name}` is {what}, and only a number can be aimed at"));
                Err(refusal.help("aim at the number it is decided by, or use `sweep`"))
            }
            _ => Ok(cell),
        }
    }

    /// A constant in the unit of a cell, as a trial takes it; `word` says which.
    fn constant(&mut self, of: Input, word: &str, text: &str) -> Result<Number, Refusal> {
        let expression = self.constant_expression(word, text)?;
        let found = match of {
            Input::Entry(cell) => self.sheet.trial_value(cell, text, &expression, None),
            Input::Cell(place) => self.sheet.cell_value(place, text, &expression, None),
        };
        let found = found.map_err(|problems| self.refused_value(of, word, text, &problems))?;
        match found.value {
            HeldValue::Number(number) => Ok(number),
            HeldValue::Column(_) => Err(Refusal::new(format!(
                "`{text}` is a column, and a single value is wanted here"
            ))),
        }
    }

    fn constant_expression(&self, word: &str, text: &str) -> Result<Expression, Refusal> {
        let line = format!("x = {text}");
        let exact = matches!(
            parse_typed(&line),
            Ok(Typed::Trial {
                value: Value::Given { tolerance: None, .. },
                ..
            })
        );
        if let (false, Ok(Typed::Trial { .. })) = (exact, parse_typed(&line)) {
            let refusal = Refusal::new(format!("`{text}` is no exact value, and `{word}` takes one"));
            return Err(refusal.help("leave out what begins with `±`"));
        }
        let typed = self
            .sheet
            .tree()
            .read_typed(text)
            .map_err(|problems| self.refused_constant(word, text, &problems))?;
        let Typed::Expression { expression, unit: None } = typed else {
            return Err(
                Refusal::new(format!("`{text}` is no value that `{word}` takes")).help("write a value such as `5 °F`")
            );
        };
        let mut named = None;
        each_part(&expression, &mut |part| match &part.node {
            ExpressionNode::Name(name) => named = named.take().or(Some(name.to_string())),
            ExpressionNode::Column(names) => named = named.take().or(Some(names.0.text.to_string())),
            _ => {}
        });
        match named {
            Some(name) => {
                let refusal = Refusal::new(format!("`{word}` takes a constant, and `{name}` is a name"));
                Err(refusal.help("write its value"))
            }
            None => Ok(expression),
        }
    }

    /// A refusal of a value for a cell; where nothing better is known, its unit is asked for.
    fn refused_value(&self, of: Input, word: &str, text: &str, problems: &[Problem]) -> Refusal {
        let mut refusal = self.refused_constant(word, text, problems);
        let help = match of.kind(&self.sheet) {
            Some(Kind::Quantity(Unit::ONE)) => "give a plain number".to_owned(),
            Some(Kind::TimeOfDay) => "give a clock time, such as `17:30`".to_owned(),
            Some(Kind::Counted(_)) => "give a time with its day, such as `17:30 (+1 d)`".to_owned(),
            Some(Kind::Moment) => "give a date, such as `2026-01-11 17:30`".to_owned(),
            Some(kind) => format!("give it in `{}`, or a unit like it", unit_text(kind)),
            None => return refusal,
        };
        for problem in &mut refusal.problems {
            problem.help.get_or_insert_with(|| help.clone());
        }
        refusal
    }

    fn refused_constant(&self, word: &str, text: &str, problems: &[Problem]) -> Refusal {
        let mut refusal = self.refused(text, problems);
        for problem in &mut refusal.problems {
            problem.file = format!("{word} {text}");
        }
        refusal
    }

    /// A step as an interval in the unit in which the input is counted.
    fn step(&mut self, kind: Kind, text: &str) -> Result<Number, Refusal> {
        let expression = self.constant_expression("step", text)?;
        let found = self.sheet.evaluate(text, &expression, None);
        let found = found.map_err(|problems| self.refused_constant("step", text, &problems))?;
        let Some(number) = found.number() else {
            return Err(self.no_step(kind, text));
        };
        let decibel = Unit::parse("dB").ok();
        let from = match found.shape.kind {
            Kind::Quantity(unit) => Some(unit.interval()),
            Kind::Level | Kind::Decibels => decibel,
            _ => None,
        };
        let to = match kind {
            Kind::Quantity(unit) => Some(unit.interval()),
            Kind::Level | Kind::Decibels => decibel,
            Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => Unit::parse("s").ok(),
            Kind::Text | Kind::Truth => None,
        };
        let (from, to) = from.zip(to).ok_or_else(|| self.no_step(kind, text))?;
        if from == Unit::ONE && to != Unit::ONE {
            let unit = if matches!(kind, Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment) {
                "min".to_owned()
            } else {
                to.to_string()
            };
            return Err(
                Refusal::new(format!("the step `{text}` has no unit")).help(format!("write `step {text} {unit}`"))
            );
        }
        let way = conversion(from, to).ok_or_else(|| self.no_step(kind, text))?;
        way.apply(number)
            .map_err(|_| Refusal::new(format!("the step `{text}` is too large or too small to count with")))
    }

    fn no_step(&self, kind: Kind, text: &str) -> Refusal {
        let help = match kind {
            Kind::Quantity(unit) if unit.interval() == Unit::ONE => "give a plain number".to_owned(),
            Kind::Quantity(_) => format!("give it in `{}`, or a unit like it", step_unit(kind)),
            Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => {
                "give a length of time, such as `step 30 min`".to_owned()
            }
            _ => "give it in `dB`".to_owned(),
        };
        Refusal::new(format!("`{text}` is no step between two values of this input")).help(help)
    }
}

/// A kind with values between two.
///
/// # Errors
/// A text, or what is true or false.
fn between_values(kind: Kind, name: &str) -> Result<Kind, Refusal> {
    let what = match kind {
        Kind::Text => "a text",
        Kind::Truth => "true or false",
        _ => return Ok(kind),
    };
    let refusal = Refusal::new(format!(
        "`{name}` is {what}, and there is nothing between two values of it"
    ));
    Err(refusal.help(format!("try one value at a time: `{name} = …`")))
}

fn step_unit(kind: Kind) -> String {
    match kind {
        Kind::Quantity(unit) => unit.interval().to_string(),
        other => unit_text(other),
    }
}

/// A name that is no entry's.
pub(super) fn no_entry(name: &str, named: Named) -> Refusal {
    let what = if matches!(named, Named::Table(_)) {
        "table"
    } else {
        "rule"
    };
    Refusal::new(format!("`{name}` is a {what}, and a single value is wanted here"))
}
