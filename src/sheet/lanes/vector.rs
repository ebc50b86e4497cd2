//! One cell over a whole block of draws: each step once, on a lane of numbers.
//!
//! A [`Tape`] is a cell's steps with their operands found: lanes that change
//! from draw to draw, and numbers that don't. It checks only what the plain run
//! would refuse; which draws are refused, and why, is left to that run.
//! Start reading at [`Tape::of`] and [`Tape::run`].

use std::collections::BTreeMap;

use crate::number::Trouble;
use crate::syntax::tree::ComparisonOperator;
use crate::trade::{Argument, Arguments, Body, Built, Complaint};
use crate::unit::Conversion;

use super::super::Sheet;
use super::super::binary::{Known, LARGEST};
use super::super::program::{CellCode, Operand, Operation, REGISTERS, Step};
use super::super::scalar::{CallPlace, Scalar, holds};
use super::super::values::Values;

/// How many draws a block holds.
pub const WIDTH: usize = 256;

/// The numbers of one slot, draw by draw.
pub(crate) type Lane = [f64; WIDTH];

/// An operand: a lane, or a number that is the same in every draw.
#[derive(Clone, Copy, Debug)]
enum In {
    Lane(u32),
    Same(f64),
}

/// A step on lanes.
#[derive(Clone, Debug)]
struct Move {
    what: What,
    to: u32,
    a: In,
    b: In,
}

/// What a step does.
#[derive(Clone, Debug)]
enum What {
    Copy,
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
    Least,
    Greatest,
    Negate,
    Not,
    /// times, plus, over
    Convert(f64, f64, f64),
    Compare(ComparisonOperator),
    /// go on at this step
    Jump(usize),
    /// go on there where a is so
    JumpWhen(bool, usize),
    TimeSince,
    Map(Built),
    Call(Box<Rule>),
}

/// A trade function of single values.
#[derive(Clone, Debug)]
struct Rule {
    drawn: fn(&Arguments<'_, f64>) -> Result<f64, Complaint>,
    site: u32,
    arguments: Vec<Given>,
}

#[derive(Clone, Debug)]
enum Given {
    Number(In),
    Text(String),
}

/// Where the operands of a cell's steps are.
pub struct Place<'a> {
    /// The lane of each slot that changes.
    pub lane_of: &'a BTreeMap<u32, usize>,
    /// The record's values.
    pub base: &'a Values<f64>,
    /// The number of the first lane that serves as a register.
    pub lanes: usize,
}

/// The steps of a cell over a block.
#[derive(Clone, Debug)]
pub struct Tape {
    moves: Vec<Move>,
    registers: usize,
}

/// How a tape ended.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ran {
    /// Every draw has a value.
    Sound,
    /// Some draws would be refused; the others have their values.
    Doubtful,
    /// The draws part at a condition.
    Parted,
}

/// Draws by their number in the block.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Marks([u64; WIDTH / 64]);

impl Marks {
    /// Marks a draw.
    pub fn mark(&mut self, draw: usize) {
        if let Some(word) = self.0.get_mut(draw / 64) {
            *word |= 1 << (draw % 64);
        }
    }

    /// Whether a draw is marked.
    pub fn has(&self, draw: usize) -> bool {
        self.0.get(draw / 64).is_some_and(|word| word & (1 << (draw % 64)) != 0)
    }

    /// Whether any is.
    pub fn any(&self) -> bool {
        self.0.iter().any(|word| *word != 0)
    }

    /// Those that either marks.
    pub fn join(&mut self, other: &Marks) {
        for (word, more) in self.0.iter_mut().zip(other.0) {
            *word |= more;
        }
    }
}

impl Tape {
    /// The steps of a cell, if they are all of single values.
    pub fn of(sheet: &Sheet, code: CellCode, place: &Place<'_>) -> Option<Tape> {
        let steps = sheet.program.steps.get(code.start as usize..code.end as usize)?;
        let mut making = Making {
            sheet,
            place,
            start: code.start,
            registers: BTreeMap::new(),
        };
        let moves = steps
            .iter()
            .map(|step| making.step(step))
            .collect::<Option<Vec<Move>>>()?;
        Some(Tape {
            moves,
            registers: making.registers.len(),
        })
    }

    /// How many lanes it takes as registers.
    pub(crate) fn registers(&self) -> usize {
        self.registers
    }

    /// Runs the steps over the lanes. `doubtful` marks the draws that the plain run has to look at.
    pub fn run(&self, lanes: &mut Lanes, known: &Known, doubtful: &mut Marks) -> Ran {
        let mut at = 0;
        while let Some(step) = self.moves.get(at) {
            at = match step.what {
                What::Jump(to) => to,
                What::JumpWhen(when, to) => match uniform(read(&lanes.all, step.a)) {
                    Some(is) if is == when => to,
                    Some(_) => at + 1,
                    None => return Ran::Parted,
                },
                _ => {
                    if !step.take(&lanes.all, known, &mut lanes.spare) {
                        mark(&lanes.spare, doubtful);
                    }
                    lanes.put_spare(step.to);
                    at + 1
                }
            };
        }
        if doubtful.any() { Ran::Doubtful } else { Ran::Sound }
    }
}

/// The lanes of a plan, and one to work out the next in.
pub struct Lanes {
    /// The lanes that cells have, then those that serve as registers.
    pub all: Vec<Box<Lane>>,
    spare: Box<Lane>,
}

impl Lanes {
    /// So many, of nothing yet.
    pub fn new(count: usize) -> Lanes {
        Lanes {
            all: vec![Box::new([0.0; WIDTH]); count],
            spare: Box::new([0.0; WIDTH]),
        }
    }

    /// Puts the spare lane in place of another, which is the spare one from now on.
    fn put_spare(&mut self, to: u32) {
        if let Some(place) = self.all.get_mut(to as usize) {
            std::mem::swap(place, &mut self.spare);
        }
    }
}

/// Steps being put on a tape.
struct Making<'a> {
    sheet: &'a Sheet,
    place: &'a Place<'a>,
    start: u32,
    registers: BTreeMap<u32, u32>,
}

impl Making<'_> {
    fn step(&mut self, step: &Step) -> Option<Move> {
        let program = &self.sheet.program;
        let what = match step.operation {
            Operation::Copy => What::Copy,
            Operation::Add => What::Add,
            Operation::Subtract => What::Subtract,
            Operation::Multiply => What::Multiply,
            Operation::Divide => What::Divide,
            Operation::Power => What::Power,
            Operation::Least => What::Least,
            Operation::Greatest => What::Greatest,
            Operation::Negate => What::Negate,
            Operation::Not => What::Not,
            Operation::SubtractTime => What::TimeSince,
            Operation::Compare(operator) => What::Compare(operator),
            Operation::Convert => convert(program.conversions.get(step.b as usize)?),
            Operation::Jump => What::Jump(self.target(step.a)?),
            Operation::JumpIf => What::JumpWhen(true, self.target(step.b)?),
            Operation::JumpUnless => What::JumpWhen(false, self.target(step.b)?),
            Operation::Call => return self.call(step),
            _ => return None,
        };
        let jumps = matches!(what, What::Jump(_));
        let two = !matches!(
            what,
            What::Copy | What::Negate | What::Not | What::Convert(..) | What::Jump(_) | What::JumpWhen(..)
        );
        let a = if jumps { In::Same(0.0) } else { self.read(step.a)? };
        let b = if two { self.read(step.b)? } else { In::Same(0.0) };
        let writes = !matches!(what, What::Jump(_) | What::JumpWhen(..));
        let to = if writes { self.write(step.to)? } else { 0 };
        Some(Move { what, to, a, b })
    }

    fn target(&self, step: u32) -> Option<usize> {
        usize::try_from(step.checked_sub(self.start)?).ok()
    }

    fn read(&mut self, slot: u32) -> Option<In> {
        if slot < REGISTERS {
            return self.write(slot).map(In::Lane);
        }
        if let Some(lane) = self.place.lane_of.get(&slot) {
            return u32::try_from(*lane).ok().map(In::Lane);
        }
        let known = self.place.base.get(slot).ok().filter(|value| !value.is_nan());
        known.map(|value| In::Same(*value))
    }

    fn write(&mut self, slot: u32) -> Option<u32> {
        if slot >= REGISTERS {
            return u32::try_from(*self.place.lane_of.get(&slot)?).ok();
        }
        let next = u32::try_from(self.place.lanes + self.registers.len()).ok()?;
        Some(*self.registers.entry(slot).or_insert(next))
    }

    fn call(&mut self, step: &Step) -> Option<Move> {
        let site = self.sheet.program.calls.get(step.a as usize)?;
        let mut arguments = Vec::with_capacity(site.arguments.len());
        for operand in &site.arguments {
            arguments.push(match operand {
                Operand::Slot(slot) => Given::Number(self.read(*slot)?),
                Operand::Text(slot) => match self.read(*slot)? {
                    In::Same(text) => Given::Text(self.sheet.texts.text(text.plain()).to_owned()),
                    In::Lane(_) => return None,
                },
                Operand::Column(_) | Operand::Schedule(..) => return None,
            });
        }
        let to = self.write(step.to)?;
        let (a, b) = (In::Same(0.0), In::Same(0.0));
        match (site.function.body, arguments.as_slice()) {
            (Body::Rule { drawn, .. }, _) => {
                let what = What::Call(Box::new(Rule {
                    drawn,
                    site: step.a,
                    arguments,
                }));
                Some(Move { what, to, a, b })
            }
            (Body::Built(built), [Given::Number(a)]) if maps(built) => {
                let (what, a) = (What::Map(built), *a);
                Some(Move { what, to, a, b })
            }
            _ => None,
        }
    }
}

fn convert(conversion: &Conversion) -> What {
    let ratio = conversion.ratio;
    What::Convert(
        ratio.numerator.to_f64(),
        conversion.offset.to_f64(),
        ratio.denominator.to_f64(),
    )
}

/// Whether a general function takes a number to a number.
fn maps(built: Built) -> bool {
    matches!(
        built,
        Built::Abs
            | Built::SquareRoot
            | Built::Exponential
            | Built::NaturalLogarithm
            | Built::DecimalLogarithm
            | Built::Absolute
    )
}

impl Move {
    /// Works the step out into `out`; whether every draw has a number that can be held.
    fn take(&self, lanes: &[Box<Lane>], known: &Known, out: &mut Lane) -> bool {
        match &self.what {
            What::Copy => self.kept(lanes, out, |a, _| a),
            What::Negate => self.kept(lanes, out, |a, _| -a),
            What::Not => self.kept(lanes, out, |a, _| truth(a == 0.0)),
            What::Convert(times, plus, over) => {
                let (times, plus, over) = (*times, *plus, *over);
                self.one(lanes, out, |a| (a * times + plus) / over)
            }
            What::Add => self.two(lanes, out, |a, b| a + b),
            What::Subtract => self.two(lanes, out, |a, b| a - b),
            What::Multiply => self.two(lanes, out, |a, b| a * b),
            What::Divide => self.two(lanes, out, |a, b| a / b),
            What::Least => self.kept(lanes, out, |a, b| if b < a { b } else { a }),
            What::Greatest => self.kept(lanes, out, |a, b| if b > a { b } else { a }),
            What::Power => self.two(lanes, out, |a, b| a.power(&b).unwrap_or(f64::NAN)),
            What::TimeSince => self.two(lanes, out, |a, b| if a >= b { a - b } else { f64::NAN }),
            What::Compare(operator) => {
                let operator = *operator;
                self.kept(lanes, out, |a, b| truth(holds(operator, a.compare(&b))))
            }
            What::Map(built) => self.one(lanes, out, |a| mapped(*built, a).unwrap_or(f64::NAN)),
            What::Call(rule) => rule.run(lanes, known, out),
            What::Jump(_) | What::JumpWhen(..) => true,
        }
    }

    #[inline(always)]
    fn one(&self, lanes: &[Box<Lane>], out: &mut Lane, f: impl Fn(f64) -> f64) -> bool {
        match read(lanes, self.a) {
            Seen::Lane(a) => over(out, a, a, |a, _| f(a)),
            Seen::Same(a) => same(out, f(a)),
        }
    }

    /// A step that can't leave what can be held.
    #[inline(always)]
    fn kept(&self, lanes: &[Box<Lane>], out: &mut Lane, f: impl Fn(f64, f64) -> f64) -> bool {
        match (read(lanes, self.a), read(lanes, self.b)) {
            (Seen::Lane(a), Seen::Lane(b)) => unchecked(out, a, b, f),
            (Seen::Lane(a), Seen::Same(b)) => unchecked(out, a, a, |a, _| f(a, b)),
            (Seen::Same(a), Seen::Lane(b)) => unchecked(out, b, b, |b, _| f(a, b)),
            (Seen::Same(a), Seen::Same(b)) => out.fill(f(a, b)),
        }
        true
    }

    #[inline(always)]
    fn two(&self, lanes: &[Box<Lane>], out: &mut Lane, f: impl Fn(f64, f64) -> f64) -> bool {
        match (read(lanes, self.a), read(lanes, self.b)) {
            (Seen::Lane(a), Seen::Lane(b)) => over(out, a, b, f),
            (Seen::Lane(a), Seen::Same(b)) => over(out, a, a, |a, _| f(a, b)),
            (Seen::Same(a), Seen::Lane(b)) => over(out, b, b, |b, _| f(a, b)),
            (Seen::Same(a), Seen::Same(b)) => same(out, f(a, b)),
        }
    }
}

/// Works a lane out of two; whether all of it can be held.
#[inline(always)]
fn over(out: &mut Lane, a: &Lane, b: &Lane, f: impl Fn(f64, f64) -> f64) -> bool {
    let mut unheld = 0;
    for ((out, a), b) in out.iter_mut().zip(a).zip(b) {
        *out = f(*a, *b);
        unheld |= u64::from(!can_be_held(*out));
    }
    unheld == 0
}

#[inline(always)]
fn unchecked(out: &mut Lane, a: &Lane, b: &Lane, f: impl Fn(f64, f64) -> f64) {
    for ((out, a), b) in out.iter_mut().zip(a).zip(b) {
        *out = f(*a, *b);
    }
}

fn same(out: &mut Lane, value: f64) -> bool {
    out.fill(value);
    can_be_held(value)
}

/// Whether exact decimals could hold it.
#[inline(always)]
pub(crate) fn can_be_held(value: f64) -> bool {
    value.abs() <= LARGEST
}

fn mapped(built: Built, a: f64) -> Result<f64, Trouble> {
    match built {
        Built::Abs => Ok(a.abs()),
        Built::SquareRoot => a.square_root(),
        Built::Exponential => a.exponential(),
        Built::NaturalLogarithm => a.natural_logarithm(),
        Built::DecimalLogarithm => a.decimal_logarithm(),
        _ => Ok(a),
    }
}

impl Rule {
    fn run(&self, lanes: &[Box<Lane>], known: &Known, out: &mut Lane) -> bool {
        let expanded = known
            .expanded
            .get(&CallPlace::single(self.site))
            .map_or(&[][..], |expanded| expanded);
        let mut values: Vec<Argument<'_, f64>> = Vec::with_capacity(self.arguments.len());
        let mut held = true;
        for (draw, out) in out.iter_mut().enumerate() {
            values.clear();
            values.extend(self.arguments.iter().map(|given| match given {
                Given::Text(text) => Argument::Text(text),
                Given::Number(In::Same(value)) => Argument::Number(*value),
                Given::Number(In::Lane(lane)) => {
                    let lane = lanes.get(*lane as usize);
                    Argument::Number(lane.and_then(|lane| lane.get(draw)).copied().unwrap_or(f64::NAN))
                }
            }));
            let values = &values;
            *out = (self.drawn)(&Arguments { values, expanded }).unwrap_or(f64::NAN);
            held &= can_be_held(*out);
        }
        held
    }
}

/// An operand as it is read.
enum Seen<'a> {
    Lane(&'a Lane),
    Same(f64),
}

#[inline(always)]
fn read(lanes: &[Box<Lane>], operand: In) -> Seen<'_> {
    match operand {
        In::Same(value) => Seen::Same(value),
        In::Lane(lane) => lanes
            .get(lane as usize)
            .map_or(Seen::Same(f64::NAN), |lane| Seen::Lane(lane)),
    }
}

/// Whether a condition is true in every draw, or false in every one.
fn uniform(condition: Seen<'_>) -> Option<bool> {
    match condition {
        Seen::Same(value) => Some(value != 0.0),
        Seen::Lane(lane) => {
            let held = lane.iter().filter(|value| **value != 0.0).count();
            match held {
                0 => Some(false),
                WIDTH => Some(true),
                _ => None,
            }
        }
    }
}

/// Marks what is no number that can be held.
#[cold]
fn mark(lane: &Lane, doubtful: &mut Marks) {
    let draws = lane.iter().enumerate();
    draws
        .filter(|(_, value)| !can_be_held(**value))
        .for_each(|(draw, _)| doubtful.mark(draw));
}

fn truth(holds: bool) -> f64 {
    if holds { 1.0 } else { 0.0 }
}
