//! From what an audit found to what a reader gets: values, moves and remarks in words.
//!
//! Start reading at [`audit`]; `remark_text` words each finding.

use crate::number::Number;
use crate::sheet::appraisal::Appraisal;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::Watch;
use crate::study::audit::{
    self as study, Audited, Claim, Deciding, Finding, How, Idle, Move, NO_LOAD, Proportion, Reach, Subject, Weight,
    deciding, is_guess, is_sourced, kind_of, only_row_out, place_of, source_of,
};
use crate::study::vary::usual_range;
use crate::syntax::tree::{EntryKind, Node};
use crate::text::{in_one_line, listed};
use crate::unit::{Kind, Unit};

use super::super::audit::{Audit, Group, Line, Remark};
use super::super::digits::{Form, Quantity, calculated, compound, round_to};
use super::super::sweep::Named;
use super::super::visible::{closed, sentence};
use super::column::{self, Column};
use super::slips::{self, place};
use super::{Options, check, one_entry, unit_text, waiting};

/// The worksheet as it stands, line by line.
pub(crate) fn audit(sheet: &Sheet, watch: &dyn Watch, options: Options) -> Audit {
    let found = study::audit(sheet, watch);
    let words = Words {
        sheet,
        options,
        found: &found,
        names: found.answers.iter().map(|answer| name_of(sheet, *answer)).collect(),
    };
    let mut lines: Vec<Line> = found.lines.iter().map(|line| words.line(line)).collect();
    said_once(&mut lines);
    Audit {
        answers: words.names.clone(),
        lines,
        left_out: words.left_out(),
        deciding: deciding(&found).iter().map(|one| words.deciding(one)).collect(),
        cautions: words.cautions(),
    }
}

/// A remark that several lines have alike is told at the first, with the other lines.
fn said_once(lines: &mut [Line]) {
    for place in 0..lines.len() {
        let (before, after) = lines.split_at_mut(place + 1);
        let Some(first) = before.last_mut() else { return };
        for remark in first.remarks.iter_mut().filter(|remark| remark.short.is_some()) {
            let mut others = Vec::new();
            for line in after.iter_mut() {
                let number = line.line;
                let alike = line.remarks.iter_mut().filter(|other| other.text == remark.text);
                for other in alike.filter(|other| other.short.is_some()) {
                    other.short = None;
                    others.push(number);
                }
            }
            others.sort_unstable();
            others.dedup();
            if let (Some(short), false) = (&mut remark.short, others.is_empty()) {
                let others: Vec<String> = others.iter().map(u32::to_string).collect();
                let word = if others.len() == 1 { "line" } else { "lines" };
                *short = format!("{short} So too {word} {}.", listed(&others));
            }
        }
    }
}

fn name_of(sheet: &Sheet, cell: CellId) -> String {
    sheet.name_of(cell).unwrap_or("").to_owned()
}

struct Words<'a> {
    sheet: &'a Sheet,
    options: Options,
    found: &'a Audited,
    names: Vec<String>,
}

impl Words<'_> {
    fn appraisal(&self) -> &Appraisal {
        &self.found.appraisal
    }

    fn line(&self, line: &study::Line) -> Line {
        let parts = line.moves.iter().map(|moved| moved.as_ref()?.relative);
        let swing = self.names.iter().zip(parts);
        Line {
            name: self.name(line.subject),
            line: self.number(line.subject),
            file: self
                .sheet
                .file_of(self.item(line.subject))
                .map(|file| file.name.clone()),
            kind: self.kind(line.subject).to_owned(),
            sourced: is_sourced(self.sheet, line.subject),
            swing: Named(
                swing
                    .map(|(name, part)| (name.clone(), part.map(Number::to_plain)))
                    .collect(),
            ),
            remarks: line.findings.iter().map(|finding| self.remark(line, finding)).collect(),
            group: group(line.weight),
            told: self.told(line.subject),
            known: self.known(line.subject),
            moves: line.reach.as_ref().and_then(|reach| self.moves(line, reach)),
        }
    }

    // ---- what a line is ----

    fn item(&self, subject: Subject) -> u32 {
        place_of(self.sheet, subject).0
    }

    fn number(&self, subject: Subject) -> u32 {
        self.sheet.line(self.item(subject))
    }

    fn node(&self, subject: Subject) -> Option<&Node> {
        self.sheet.tree().node(self.item(subject))
    }

    fn name(&self, subject: Subject) -> Option<String> {
        if let Subject::Column(_, slot) = subject
            && let Some(Node::Table(table)) = self.node(subject)
        {
            let column = self.sheet.table_column(slot)?;
            let name = format!("{}.{}", table.name.text, column.name);
            return Some(match only_row_out(self.sheet, slot) {
                Some(row) => format!("{name} of {}", self.sheet.row_key(CellPlace { slot, row })),
                None => name,
            });
        }
        let name = match self.node(subject)? {
            Node::Entry(entry) => &entry.name,
            Node::Table(table) => &table.name,
            Node::Rule(rule) => &rule.name,
            Node::Case(case) => &case.name,
            _ => return None,
        };
        Some(name.text.to_string())
    }

    fn kind(&self, subject: Subject) -> &'static str {
        match self.node(subject) {
            Some(Node::Entry(entry)) => entry.kind.word(),
            Some(Node::Expect(_)) => "expect",
            Some(Node::Table(_)) => "table",
            Some(Node::Rule(_)) => "rule",
            Some(Node::Case(_)) => "case",
            Some(Node::Plot(_)) => "plot",
            _ => "line",
        }
    }

    /// The line as a reader is reminded of it.
    fn told(&self, subject: Subject) -> String {
        let name = self.name(subject).unwrap_or_default();
        match (subject, self.node(subject)) {
            (Subject::Cell(cell), Some(Node::Entry(_))) => {
                let entry = one_entry(self.sheet, cell, self.options, self.appraisal(), None);
                match entry {
                    Some(entry) if self.sheet.status(cell) == Status::Known => {
                        format!("{name} = {}", entry.shown.in_full())
                    }
                    Some(entry) => format!("{name}: {}", entry.shown.display()),
                    None => name,
                }
            }
            (Subject::Cell(cell), _) => match check(self.sheet, cell, self.appraisal()) {
                Some(check) => format!("expect {}", check.text),
                None => name,
            },
            (Subject::Column(_, slot), _) => {
                let kind = kind_of(self.sheet, subject).unwrap_or(Kind::Text);
                let cells = self.sheet.column_cells(slot);
                format!(
                    "{name} = {}",
                    column::in_one_line(self.sheet, Column::exact(cells, kind), self.options).value
                )
            }
            (Subject::Item(_), None | Some(Node::Broken | Node::Blank)) => {
                in_one_line(self.sheet.tree().text_of(self.item(subject) as usize))
            }
            (Subject::Item(_), _) => format!("{} {name}", self.kind(subject)),
        }
    }

    /// `quoted, from "collar stamp"`
    fn known(&self, subject: Subject) -> Option<String> {
        let written = match (subject, self.node(subject)?) {
            (Subject::Cell(cell), Node::Entry(entry)) => {
                let on_trial = self.sheet.trials().any(|trial| trial == cell);
                match self.sheet.held(cell) {
                    Some(_) if on_trial => "on trial".to_owned(),
                    Some(_) => format!("{}, held by the case", entry.kind.word()),
                    None if entry.kind.is_input() => entry.kind.word().to_owned(),
                    None => return None,
                }
            }
            (Subject::Column(..), _) => "table".to_owned(),
            _ => return None,
        };
        Some(match source_of(self.sheet, subject) {
            Some(source) if is_sourced(self.sheet, subject) => format!("{written}, from \"{source}\""),
            _ => written,
        })
    }

    // ---- moves ----

    fn moves(&self, line: &study::Line, reach: &Reach) -> Option<String> {
        let rows = match line.subject {
            Subject::Column(..) => "all rows together, ",
            _ => "",
        };
        let how = match (reach.how, line.subject, reach.by) {
            (How::Tolerance, Subject::Column(..), Some(by)) => format!("± {}", self.step(line.subject, by)),
            (How::Tolerance, ..) => "over its ±".to_owned(),
            (How::TenPercent, ..) => "± 10 %".to_owned(),
            (How::Degrees, ..) => "± 9 F°".to_owned(),
            (How::AbsolutePressure, ..) => "± 10 % of the absolute pressure".to_owned(),
            (How::Hour, ..) => "± 1 h".to_owned(),
            (How::Decibels, ..) => "± 3 dB".to_owned(),
        };
        let mut told: Vec<(String, Vec<&str>)> = Vec::new();
        for ((moved, answer), name) in line.moves.iter().zip(&self.found.answers).zip(&self.names) {
            let Some(shown) = moved.as_ref().and_then(|moved| self.moved(*answer, moved)) else {
                continue;
            };
            match told.iter_mut().find(|(known, _)| *known == shown) {
                Some((_, names)) => names.push(name),
                None => told.push((shown, vec![name])),
            }
        }
        let each: Vec<String> = told
            .iter()
            .map(|(shown, names)| format!("{} by {shown}", listed(names)))
            .collect();
        (!each.is_empty()).then(|| format!("{rows}{how} moves {}", each.join(", ")))
    }

    /// How far an answer moves; `None` where it doesn't.
    fn moved(&self, answer: CellId, moved: &Move) -> Option<String> {
        if moved.change.is_zero() {
            return None;
        }
        let subject = Subject::Cell(answer);
        let unit = kind_of(self.sheet, subject);
        if matches!(unit, Some(Kind::Quantity(unit)) if unit.to_string() == "%") {
            // the change itself: a part of a share would be read as one
            return Some(format!("{} points", moved.change.round_significant(2).to_plain()));
        }
        Some(match moved.relative {
            Some(part) => per_cent(part),
            None => self.step(subject, moved.change),
        })
    }

    /// A difference of values of a line, with its unit.
    fn step(&self, subject: Subject, by: Number) -> String {
        let unit = match kind_of(self.sheet, subject) {
            Some(Kind::Quantity(unit)) => unit.interval().to_string(),
            Some(Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment) => {
                return time_step(by);
            }
            Some(kind) => unit_text(kind),
            None => String::new(),
        };
        let quantity = Quantity::exact(by, &unit, Form::Plain);
        calculated(&quantity, 2).value
    }

    // ---- remarks ----

    fn remark(&self, line: &study::Line, finding: &Finding) -> Remark {
        let text = self.remark_text(line, finding);
        let mended = finding.mended().map(|mended| slips::mended(self.sheet, mended));
        let text = match &mended {
            Some(mended) => format!("{text} {mended}"),
            None => text,
        };
        let is_slip = finding.weight() == Weight::Slip;
        Remark {
            code: finding.code().to_owned(),
            short: match finding {
                Finding::Caution(caution) => caution.weighs.then(|| first_sentence(&text)),
                _ => Some(text.clone()),
            },
            slip: is_slip.then(|| mended.unwrap_or_default()),
            text,
        }
    }

    fn remark_text(&self, line: &study::Line, finding: &Finding) -> String {
        match finding {
            Finding::Problem(problem) => format!("{}: {}", problem.code, sentence(&problem.message)),
            Finding::Waits => self.waits(line.subject),
            Finding::Blank => "Left open, so what rests on it has no value.".to_owned(),
            Finding::Fails | Finding::Untold | Finding::Close | Finding::ByDraws => self.check(line.subject, finding),
            Finding::MixedHeat { .. }
            | Finding::TwoHeats { .. }
            | Finding::NoLoadShare(_)
            | Finding::Proportion(..)
            | Finding::NoDrawDown
            | Finding::TakenAsFull(_) => self.of_fuel(finding),
            Finding::Slip(suspicion) => slips::told(self.sheet, &suspicion.slip),
            Finding::NoSource => "Nothing says where it comes from.".to_owned(),
            Finding::NoTolerance => "No ± says how far it may be off.".to_owned(),
            Finding::ClaimsExact(Claim::Zero) => {
                "A ± of zero claims that it is exact, so it was moved as if it had none: \
                                                  say how far it may be off."
                    .to_owned()
            }
            Finding::ClaimsExact(Claim::Tiny) => "Its ± is under 0.1 % of it, which few instruments reach: say which \
                                                  one does, or how far it may be off."
                .to_owned(),
            Finding::Idle(Idle::SameSides) => {
                "Its sides are the same, so it comes out the same whatever the values are.".to_owned()
            }
            Finding::Idle(Idle::Constants) => {
                "It names nothing of the worksheet, so it comes out the same whatever the values are.".to_owned()
            }
            Finding::ToleranceLost(lost) => {
                format!("The ± of {} takes no account of it.", self.listed(lost))
            }
            Finding::Unusual(unusual) => self.unusual(unusual),
            Finding::OneInstrument { instrument, others } => self.one_instrument(instrument, others),
            Finding::Bare(numbers) => {
                format!("In the formula, with no name and no source: {}.", numbers.join(", "))
            }
            Finding::Unused(_) => "Nothing uses it.".to_owned(),
            Finding::OneEnd { up, problem } => format!(
                "At the {} end there is a problem, so the other end counts: {}",
                if *up { "upper" } else { "lower" },
                sentence(&problem.message)
            ),
            Finding::NoEnd(problem) => {
                format!("At both ends there is a problem: {}", sentence(&problem.message))
            }
            Finding::ZeroValue => {
                "It is 0 without a ±, and 10 % of that moves nothing: say with ± how far it may be off.".to_owned()
            }
            Finding::ZeroAnswer => "It is 0, so its moves are told in its unit and not as a part of it.".to_owned(),
            Finding::NoTrueZero => "It stands on a scale without a true zero, so its moves are told in its unit and \
                                    not as a part of it."
                .to_owned(),
            Finding::NoNumber => "It is no single number, so it is left out of the moves.".to_owned(),
            Finding::RuleOfThumb(rules) => self.rules(rules),
            Finding::Caution(caution) => sentence(&caution.text),
            Finding::NotTried => "Not tried: the audit was stopped before it.".to_owned(),
        }
    }

    /// What there is to say about fuel.
    fn of_fuel(&self, finding: &Finding) -> String {
        match finding {
            Finding::MixedHeat { fuel, basis, other } => format!(
                "The {basis} heat of {fuel} is taken here, the other one in {}: 8 % apart for propane.",
                place(self.sheet, *other)
            ),
            Finding::TwoHeats { fuel, by_pound, other } => {
                let (here, there) = if *by_pound {
                    ("pound", "gallon")
                } else {
                    ("gallon", "pound")
                };
                format!(
                    "The heat of {fuel} is counted by the {here} here, and by the {there} in {}: the published \
                     values of the two don't agree at any density, for propane by 0.4 to 1.1 %.",
                    place(self.sheet, *other)
                )
            }
            Finding::NoLoadShare(function) => format!(
                "{function} gets a no-load share of 0: the fuel follows the load in plain proportion. {ENGINE_TURNS}"
            ),
            Finding::Proportion(proportion, mended) => {
                let taken = mended.as_ref().map(|(rated, _)| {
                    format!(
                        " {:.0} % at a rated load of {rated:.0} W is taken for what follows.",
                        100.0 * NO_LOAD
                    )
                });
                self.proportion(proportion) + &taken.unwrap_or_default()
            }
            Finding::NoDrawDown => {
                "A runtime by weight, with no draw_down_time of the same cylinder beside it: in the \
                                    cold a cylinder may lose its pressure long before it is empty."
                    .to_owned()
            }
            Finding::TakenAsFull(_) => {
                "The cylinder is taken to be as full as its name says. Exchange cylinders are sold with \
                                     less, 15 lb in a 20-lb cylinder being common: weigh it, or read the net weight on \
                                     the sleeve."
                    .to_owned()
            }
            _ => String::new(),
        }
    }

    fn listed(&self, cells: &[CellId]) -> String {
        listed(
            &cells
                .iter()
                .map(|cell| name_of(self.sheet, *cell))
                .collect::<Vec<String>>(),
        )
    }

    fn one_instrument(&self, instrument: &str, others: &[CellId]) -> String {
        const NAMED: usize = 3;
        let mut named: Vec<String> = others.iter().take(NAMED).map(|cell| place(self.sheet, *cell)).collect();
        if others.len() > NAMED {
            named.push(format!("{} more", others.len() - NAMED));
        }
        format!(
            "Read off “{instrument}”, as {}, and each ± counts as independent of the others. What is off by one amount in all of them drops out of a difference, and adds up in a sum.",
            listed(&named)
        )
    }

    fn proportion(&self, proportion: &Proportion) -> String {
        let or_number = |cell: &Option<CellId>| match cell {
            Some(cell) => place(self.sheet, *cell),
            None => "a bare number".to_owned(),
        };
        let what = match proportion {
            Proportion::Loads(over, under) => format!(
                "Fuel follows the load in plain proportion here, {} over {}.",
                or_number(over),
                or_number(under)
            ),
            Proportion::ShareOf(rate, share) => format!(
                "The fuel of {} follows the load in plain proportion here, by {}.",
                place(self.sheet, *rate),
                place(self.sheet, *share)
            ),
            Proportion::Share(rate, share) => format!(
                "{} counts by {} of itself here: fuel in plain proportion, if that is a share of the load; if it is a \
                 share of the time, give it a name that says so.",
                place(self.sheet, *rate),
                share.round_significant(3).to_plain()
            ),
            Proportion::ByTrial(load) => format!(
                "With {} at a hundredth, next to nothing is burnt here: fuel in plain proportion with the load.",
                place(self.sheet, *load)
            ),
            Proportion::Efficiency(efficiency) => format!(
                "One efficiency for all loads, {}, is fuel in plain proportion with the load; it is true only at the load it was found at.",
                or_number(efficiency)
            ),
        };
        format!("{what} {ENGINE_TURNS}")
    }

    fn waits(&self, subject: Subject) -> String {
        let waits = match subject {
            Subject::Cell(cell) => waiting(self.sheet, cell).value,
            _ => String::new(),
        };
        format!("{} It is left out of the moves.", sentence(&waits))
    }

    fn check(&self, subject: Subject, finding: &Finding) -> String {
        let Subject::Cell(cell) = subject else {
            return String::new();
        };
        let Some(check) = check(self.sheet, cell, self.appraisal()) else {
            return String::new();
        };
        let verdict = sentence(check.verdict());
        match finding {
            Finding::Fails | Finding::Untold => match &check.message {
                Some(message) => format!("{verdict} {}", sentence(message)),
                None => verdict,
            },
            // a remark on how often it holds has the verdict in it
            _ => match check.remark.as_deref().map(sentence) {
                Some(remark) if remark.starts_with(verdict.trim_end_matches('.')) => remark,
                Some(remark) => format!("{verdict} {remark}"),
                None => verdict,
            },
        }
    }

    fn unusual(&self, unusual: &study::Unusual) -> String {
        let what = match &unusual.literal {
            Some(written) => format!("{written} is"),
            None => "It is".to_owned(),
        };
        let Some(usual) = &unusual.parameter.usual else {
            return closed(&what);
        };
        format!(
            "{what} outside {}, what is usual for {} of {} ({}, {}).",
            range(unusual),
            unusual.parameter.name,
            unusual.function,
            usual.source.title,
            usual.source.standing.word()
        )
    }

    fn rules(&self, rules: &[&'static crate::trade::Function]) -> String {
        let each = rules.iter().map(|rule| {
            let error = rule.rule_error.unwrap_or("an unknown amount");
            format!("{}, which may be off by {error}", rule.name)
        });
        let each: Vec<String> = each.collect();
        format!(
            "It rests on a rule of thumb: {}. No ± from the values covers that.",
            each.join("; ")
        )
    }

    // ---- below the lines ----

    fn left_out(&self) -> Vec<String> {
        let mut told = Vec::new();
        let with = |wanted: fn(&Finding) -> bool| {
            let lines = self
                .found
                .lines
                .iter()
                .filter(move |line| line.findings.iter().any(wanted));
            lines
                .filter_map(|line| self.name(line.subject))
                .collect::<Vec<String>>()
        };
        let mut say = |names: Vec<String>, one, several| told.extend(said_of(&names, one, several));
        let waits = with(|finding| matches!(finding, Finding::Waits));
        say(
            waits,
            "has no value, so nothing could be said about what moves it.",
            "have no value, so nothing could be said about what moves them.",
        );
        let other = with(|finding| matches!(finding, Finding::NoNumber));
        say(other, "is no single number.", "are no single numbers.");
        say(
            self.unmoved(),
            "is a text or true or false, and can't be moved; try it as a case or a trial.",
            "are texts or true or false, and can't be moved; try them as cases or trials.",
        );
        let hidden = self.found.lines.iter().filter(|line| line.hidden);
        let mut hidden: Vec<Subject> = hidden.map(|line| line.subject).collect();
        hidden.sort_by_key(|subject| place_of(self.sheet, *subject));
        say(
            hidden.into_iter().map(|subject| self.decider(subject)).collect(),
            "has numbers in its formula that reach an answer; they were not moved, and don't count in what decides.",
            "have numbers in their formulas that reach an answer; they were not moved, and don't count in what decides.",
        );
        let untried: Vec<String> = self.found.untried.iter().filter_map(|one| self.name(*one)).collect();
        say(
            untried,
            "was not tried: the audit was stopped before it.",
            "were not tried: the audit was stopped before them.",
        );
        let unseen = self.found.unseen.iter().map(|cell| place(self.sheet, *cell));
        say(
            unseen.collect(),
            "could be held against nothing: only its source tells whether it is right.",
            "could be held against nothing: only their sources tell whether they are right.",
        );
        told
    }

    /// Inputs that can't be moved at all, though something may hang on them.
    fn unmoved(&self) -> Vec<String> {
        let cells = self.found.lines.iter().filter(|line| {
            let known =
                matches!(line.subject, Subject::Cell(cell) if matches!(self.sheet.reading(cell), Reading::Number(_)));
            let unused = line
                .findings
                .iter()
                .any(|finding| matches!(finding, Finding::Unused(_)));
            let input = matches!(self.node(line.subject), Some(Node::Entry(entry)) if entry.kind.is_input());
            known && input && !unused && matches!(kind_of(self.sheet, line.subject), Some(Kind::Text | Kind::Truth))
        });
        let mut cells: Vec<Subject> = cells.map(|line| line.subject).collect();
        cells.sort_by_key(|subject| place_of(self.sheet, *subject));
        cells.into_iter().filter_map(|subject| self.name(subject)).collect()
    }

    /// Which lines decide some answers, and what is shaky among them.
    fn deciding(&self, one: &Deciding) -> String {
        let names: Vec<&str> = one
            .answers
            .iter()
            .filter_map(|place| self.names.get(*place).map(String::as_str))
            .collect();
        let answers = listed(&names);
        let lines: Vec<&study::Line> = one
            .lines
            .iter()
            .filter_map(|place| self.found.lines.get(*place))
            .collect();
        let told: Vec<String> = lines.iter().map(|line| self.decider(line.subject)).collect();
        let Some((first, others)) = told.split_first() else {
            return match self.rests_on_readings(one) {
                true => format!(
                    "Nothing that can be moved moves {answers}: readings of a column move together here, and how far each of them may be off stands in the ± alone."
                ),
                false => format!("Nothing that can be moved moves {answers}."),
            };
        };
        let shown = |share: f64| format!("{:.0} %", (share * 100.0).floor());
        let (least_share, most_share) = one.share;
        let share = shown(least_share);
        let least = if share == shown(most_share) { "" } else { "at least " };
        let head = match (others, least_share > 0.5) {
            ([], _) => format!("{first} decides {answers}: it makes up {least}{share} of all moves (as squares)."),
            (_, true) => format!(
                "{} decide {answers}: together they make up {least}{share} of all moves (as squares).",
                listed(&told)
            ),
            (_, false) => format!(
                "{} come first for {answers}, but make up {least}{share} of all moves (as squares): no few lines decide it.",
                listed(&told)
            ),
        };
        format!("{head} {}", self.shaky(&lines))
    }

    /// Whether any of the answers rests on the column of a written table.
    fn rests_on_readings(&self, one: &Deciding) -> bool {
        let answers = one.answers.iter().filter_map(|place| self.found.answers.get(*place));
        let mut needed = answers.flat_map(|answer| self.sheet.needed_by(*answer));
        needed.any(|cell| {
            let tables = self.sheet.tables_of(cell).into_iter();
            let mut tables = tables.filter_map(|table| self.sheet.tables().get(table as usize));
            tables.any(|table| table.cell.is_none())
        })
    }

    /// `exchange_net (line 14)`
    fn decider(&self, subject: Subject) -> String {
        let name = self.name(subject).unwrap_or_default();
        format!("{name} ({})", self.sheet.standing_at(self.item(subject)))
    }

    /// Which of the lines are guesses, and which have no source.
    fn shaky(&self, lines: &[&study::Line]) -> String {
        let guess = |subject: Subject| matches!(subject, Subject::Cell(cell) if is_guess(self.sheet, cell));
        let named = |wanted: &dyn Fn(Subject) -> bool| {
            let lines = lines.iter().map(|line| line.subject).filter(|subject| wanted(*subject));
            lines.filter_map(|subject| self.name(subject)).collect::<Vec<String>>()
        };
        let guesses = named(&guess);
        let bare = named(&|subject| !guess(subject) && !is_sourced(self.sheet, subject));
        let told: Vec<String> = said_of(&guesses, "is a guess", "are guesses")
            .into_iter()
            .chain(said_of(&bare, "has no source", "have no source"))
            .collect();
        let quoted = named(&|subject| self.kind(subject) == EntryKind::Quoted.word());
        match (told.as_slice(), lines) {
            ([], [_]) if !quoted.is_empty() => "It is quoted: it is as good as its source.".to_owned(),
            ([], [_]) => "It is not marked as a guess.".to_owned(),
            ([], _) if !quoted.is_empty() => {
                let is = if quoted.len() == 1 { "is" } else { "are" };
                format!(
                    "None of them is marked as a guess; {} {is} quoted, as good as the source.",
                    listed(&quoted)
                )
            }
            ([], _) => "None of them is marked as a guess.".to_owned(),
            (_, [_]) if guesses.is_empty() => "It has no source.".to_owned(),
            (_, [_]) => "It is a guess.".to_owned(),
            _ => format!("Of these {}.", told.join(", and ")),
        }
    }

    /// Cautions, each with its lines.
    fn cautions(&self) -> Vec<(String, Vec<u32>)> {
        let mut told: Vec<(String, Vec<u32>)> = Vec::new();
        for line in &self.found.lines {
            for finding in &line.findings {
                let Finding::Caution(caution) = finding else { continue };
                let number = self.number(line.subject);
                match told.iter_mut().find(|(code, _)| code == caution.code) {
                    Some((_, lines)) => lines.push(number),
                    None => told.push((caution.code.to_owned(), vec![number])),
                }
            }
        }
        let place = |code: &str| {
            crate::trade::caution::CAUTIONS
                .iter()
                .position(|known| known.code == code)
        };
        told.sort_by_key(|(code, _)| place(code));
        for (_, lines) in &mut told {
            lines.sort_unstable();
            lines.dedup();
        }
        told
    }
}

/// Why fuel doesn't go in proportion.
const ENGINE_TURNS: &str = "But with no load at all an engine burns 30 to 60 % of what it burns at rated load (published for small sets), so less load saves less than it seems: see rescale_rate.";

fn group(weight: Weight) -> Group {
    match weight {
        Weight::Slip => Group::Slip,
        Weight::Wrong => Group::Wrong,
        Weight::Unsound => Group::Unsound,
        Weight::Guess => Group::Guess,
        Weight::Value => Group::Value,
        Weight::Remark => Group::Remark,
    }
}

/// Two significant digits of a part, in per cent.
fn per_cent(part: Number) -> String {
    let hundredth = Number::from_integer(100);
    let Ok(share) = part.mul(hundredth) else {
        return "more than can be counted".to_owned();
    };
    let least = Number::from_parts(1, 2).unwrap_or(Number::ONE);
    match share.compare(least).is_lt() {
        true => "under 0.01 %".to_owned(),
        false => format!("{} %", share.round_significant(2).to_plain()),
    }
}

/// Seconds as days where they are many, else in hours and minutes.
fn time_step(seconds: Number) -> String {
    let over = |by: i64| seconds.div(Number::from_integer(by)).unwrap_or(seconds);
    let (days, minutes) = (over(86_400), round_to(over(60), 0));
    if days.compare(Number::from_integer(2)).is_ge() {
        return format!("{} d", days.round_significant(3).to_plain());
    }
    match minutes.is_zero() {
        true => "under a minute".to_owned(),
        false => compound(minutes),
    }
}

/// A text up to its first full stop.
fn first_sentence(text: &str) -> String {
    match text.find(". ") {
        Some(end) => text.get(..=end).unwrap_or(text).to_owned(),
        None => text.to_owned(),
    }
}

/// What is said of one or of several.
fn said_of(names: &[String], one: &str, several: &str) -> Option<String> {
    match names {
        [] => None,
        [name] => Some(format!("{name} {one}")),
        names => Some(format!("{} {several}", listed(names))),
    }
}

/// `10 to 60 lb`: the usual range in the parameter's own unit.
fn range(unusual: &study::Unusual) -> String {
    use crate::trade::ParameterKind;
    let unit = match unusual.parameter.kind {
        ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit) => unit,
        ParameterKind::Level => "dB",
        _ => "",
    };
    let kind = match unit {
        "dB" => Kind::Level,
        "" => Kind::Quantity(Unit::ONE),
        unit => Kind::Quantity(Unit::parse(unit).unwrap_or(Unit::ONE)),
    };
    match usual_range(unusual.parameter, kind) {
        Some((low, high)) => format!("{} to {} {unit}", low.to_plain(), high.to_plain())
            .trim_end()
            .to_owned(),
        None => "the range".to_owned(),
    }
}
