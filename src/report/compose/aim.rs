//! From an aim to what a reader gets: the solutions, refined and checked, and what is told of them.
//!
//! Start reading at [`aim`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::study::aim::{self as study, Aim as Sought, Aimed};
use crate::study::root::Found;
use crate::study::vary::{Varied, number_of};
use crate::trade::Source;

use super::super::aim::{Aim, Finding};
use super::super::place;
use super::super::sweep::trouble;
use super::vary::{REFINED_DIGITS, SAME, kind_of, name_of, refined, shown_input, shown_number, step_at, told, unit_of};
use super::{Options, scalar};

/// Where the ends of an interval come from.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Interval {
    /// Somebody gave them.
    Given,
    /// They are usual for a parameter of a function: function, parameter, source.
    Usual(&'static str, &'static str, Source),
    /// They were moved away from the value in hand until something was found.
    Widened,
}

/// The values of an input that give an answer a wanted value.
pub(crate) fn aim(sheet: &Sheet, sought: Sought, interval: Interval, options: Options) -> Aim {
    let mut varied = Varied::new(sheet, sought.input);
    let aimed = study::aim(&mut varied, sought);
    let told = Teller {
        sought,
        interval,
        options,
        span: sought.high.to_f64() - sought.low.to_f64(),
        input: name_of(sheet, sought.input),
        answer: name_of(sheet, sought.answer),
    };
    told.aim(sheet, &mut varied, &aimed)
}

struct Teller {
    sought: Sought,
    interval: Interval,
    options: Options,
    span: f64,
    input: String,
    answer: String,
}

impl Teller {
    fn aim(&self, sheet: &Sheet, varied: &mut Varied, aimed: &Aimed) -> Aim {
        let sought = self.sought;
        let (input_kind, answer_kind) = (kind_of(sheet, sought.input), kind_of(sheet, sought.answer));
        let mut cautions = Vec::new();
        let solutions = self.solutions(varied, aimed);
        let nearest = aimed.nearest.and_then(|place| refined(place, self.span));
        let end = |value: Number, what: &'static str, near: &'static str| match nearest {
            Some(nearest) if nearest.agrees_with(value) => (value, near),
            _ => (value, what),
        };
        let mut wanted = vec![end(sought.low, "low end", "low end, nearest")];
        wanted.extend(solutions.iter().map(|value| (*value, "solution")));
        let inside = |value: &Number| !value.agrees_with(sought.low) && !value.agrees_with(sought.high);
        wanted.extend(nearest.filter(inside).map(|value| (value, "nearest")));
        wanted.push(end(sought.high, "high end", "high end, nearest"));
        let finding = match solutions.len() {
            _ if aimed.flat => Finding::Flat,
            0 if aimed.proved => Finding::None,
            0 => Finding::Unfound,
            1 => Finding::One,
            _ => Finding::Several,
        };
        let places = self.places(varied, &wanted, &mut cautions);
        let whole = self.whole(sheet, varied, &solutions, &mut cautions);
        Aim {
            answer: self.answer.clone(),
            target: scalar(sheet, sought.target, answer_kind),
            input: self.input.clone(),
            unit: unit_of(sheet, sought.input),
            low: scalar(sheet, sought.low, input_kind),
            high: scalar(sheet, sought.high, input_kind),
            finding,
            told: self.told(sheet, aimed, &solutions, &places),
            solutions: solutions
                .iter()
                .map(|value| scalar(sheet, *value, input_kind))
                .collect(),
            remarks: whole.into_iter().chain(self.remarks(sheet, aimed)).collect(),
            places,
            cautions,
        }
    }

    /// Every solution, of a stretch both ends, each with as few digits as still lie inside.
    fn solutions(&self, varied: &mut Varied, aimed: &Aimed) -> Vec<Number> {
        let mut solves = |value: Number| {
            let found = number_of(varied.at(value), self.sought.answer);
            found.is_some_and(|found| found.agrees_with(self.sought.target))
        };
        let mut one = |place: f64, is_end: bool| {
            let (short, long) = (refined(place, self.span)?, Number::from_f64(place).ok()?);
            let near = |value: &Number| {
                is_end
                    && value
                        .sub(long)
                        .is_ok_and(|gap| gap.abs().to_f64() <= SAME * place.abs())
            };
            let shorter = (2..=15).map(|digits| long.round_significant(digits)).filter(near);
            let solving = shorter.into_iter().find(|value| solves(*value));
            // what is next to nothing of a wide interval needn't be nothing
            let lost = short.is_zero() && !solves(short);
            let kept = if lost {
                long.round_significant(REFINED_DIGITS)
            } else {
                short
            };
            Some(solving.unwrap_or(kept))
        };
        let places = aimed.found.iter().flat_map(|found| match found {
            Found::Zero(place) => vec![one(*place, false)],
            Found::Stretch(from, to) => vec![one(*from, true), one(*to, true)],
            Found::Step(..) => Vec::new(),
        });
        places.flatten().collect()
    }

    fn places(&self, varied: &mut Varied, wanted: &[(Number, &str)], cautions: &mut Vec<String>) -> Vec<[String; 3]> {
        let rows = wanted.iter().map(|(value, what)| {
            let sheet = varied.at(*value);
            let answer = told(sheet, &[self.sought.answer], self.options, cautions);
            let input = shown_input(sheet, self.sought.input, *value, self.options);
            let (answer, _) = answer.into_iter().next().unwrap_or_default();
            [input, answer.value, (*what).to_owned()]
        });
        rows.collect()
    }

    /// Of an input that is counted, what the whole numbers beside the solution give.
    fn whole(
        &self,
        sheet: &Sheet,
        varied: &mut Varied,
        solutions: &[Number],
        cautions: &mut Vec<String>,
    ) -> Option<String> {
        let [only] = solutions else { return None };
        let below = only.floor();
        let counted = unit_of(sheet, self.sought.input).is_some_and(|unit| unit == "each");
        if !counted || below == *only {
            return None;
        }
        let beside = [(below, ""), (below.add(Number::ONE).ok()?, "")];
        let rows = self.places(varied, &beside, cautions);
        let told = rows.iter().map(|[input, answer, _]| format!("{input} gives {answer}"));
        Some(format!(
            "{} is counted: {}. Take the one on the safe side.",
            self.input,
            told.collect::<Vec<_>>().join(", ")
        ))
    }

    fn shown_answer(&self, sheet: &Sheet, value: Number) -> String {
        shown_number(sheet, self.sought.answer, value, self.options)
    }

    fn shown_input(&self, sheet: &Sheet, value: Number) -> String {
        shown_input(sheet, self.sought.input, value, self.options)
    }

    fn told(&self, sheet: &Sheet, aimed: &Aimed, solutions: &[Number], places: &[[String; 3]]) -> String {
        let (input, answer) = (&self.input, &self.answer);
        let target = self.shown_answer(sheet, self.sought.target);
        let (low, high) = (
            self.shown_input(sheet, self.sought.low),
            self.shown_input(sheet, self.sought.high),
        );
        if aimed.flat {
            let value = places.iter().map(|row| &row[1]).find(|value| *value != "problem");
            let value = value.map_or("", String::as_str);
            return match aimed.same {
                true => format!("{answer} is {value} whatever {input} is between {low} and {high}."),
                false => format!(
                    "{answer} is {value} at all of {} places of {input} between {low} and {high}.",
                    aimed.places
                ),
            };
        }
        let stretch = aimed.found.iter().any(|found| matches!(found, Found::Stretch(..)));
        match solutions {
            [] if aimed.proved => format!("No value of {input} between {low} and {high} gives {answer} = {target}."),
            [] if aimed.without == aimed.places => format!(
                "{answer} has no value at any of {} places of {input} between {low} and {high}.",
                aimed.places
            ),
            [] => format!(
                "{answer} = {target}: none found at {} places of {input} between {low} and {high}.",
                aimed.places
            ),
            [one] => format!("{answer} = {target} at {input} = {}.", self.shown_input(sheet, *one)),
            [from, to] if stretch => format!(
                "{answer} = {target} all the way from {input} = {} to {}.",
                self.shown_input(sheet, *from),
                self.shown_input(sheet, *to)
            ),
            several => {
                let values: Vec<String> = several.iter().map(|value| self.shown_input(sheet, *value)).collect();
                format!(
                    "{answer} = {target} at several values of {input}: {}.",
                    values.join(", ")
                )
            }
        }
    }

    fn remarks(&self, sheet: &Sheet, aimed: &Aimed) -> Vec<String> {
        let mut remarks: Vec<String> = aimed.found.iter().filter_map(|found| self.step(sheet, found)).collect();
        if aimed.found.iter().any(|found| matches!(found, Found::Stretch(..))) && aimed.found.len() > 1 {
            remarks.push("Of a stretch, where it stays at the target, both ends are told.".to_owned());
        }
        if let Some(problem) = &aimed.problem {
            let line = place::machine(problem, sheet.tree(), sheet.line(problem.place.item)).line;
            let place = format!(
                "It has no value at {} of {} places looked at",
                aimed.without, aimed.places
            );
            remarks.push(trouble(&place, line, &problem.message));
        }
        remarks.extend(self.where_from());
        remarks
    }

    /// Where the interval comes from, where nobody gave it.
    fn where_from(&self) -> Option<String> {
        match self.interval {
            Interval::Given => None,
            Interval::Usual(function, parameter, source) => {
                let (title, standing) = (source.title, source.standing.word());
                Some(format!(
                    "The interval is the usual range of `{parameter}` in {function} ({title}; {standing}); `between` asks for another."
                ))
            }
            Interval::Widened => Some(format!(
                "The interval was widened from the value of {} in hand; `between` asks for another.",
                self.input
            )),
        }
    }

    /// `It steps over 3 each at 5 °F, from 2 each to 4 each.`
    fn step(&self, sheet: &Sheet, found: &Found) -> Option<String> {
        let Found::Step(place, below, above) = found else {
            return None;
        };
        let place = step_at(*place, self.span)?;
        let place = self.shown_input(sheet, place);
        let target = self.shown_answer(sheet, self.sought.target);
        let side = |distance: f64| {
            let value = self.sought.target.add(Number::from_f64(distance).ok()?).ok()?;
            Some(self.shown_answer(sheet, value))
        };
        let told = match (side(*below), side(*above)) {
            (Some(below), Some(above)) => format!(", from {below} just below to {above} just above"),
            _ => String::new(),
        };
        Some(format!(
            "A step, not a solution: it passes {target} at {place} without taking it{told}."
        ))
    }
}
