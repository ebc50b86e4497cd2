//! An audit: a worksheet line by line, worst first, and what is told of it.
//!
//! For readers the lines stand in groups, each with what it moves and what there is to ask, and below them
//! what decides each answer. Start reading at [`Audit`].

use serde::Serialize;

use super::document::{Block, Document, Sentence, Term};
use super::in_hand::InHand;
use super::model::{CARBON_MONOXIDE, LOCAL_CODE, told_place};
use super::study::{Records, Study};
use super::style::Tone;
use super::sweep::Named;

/// A worksheet line by line, worst first.
#[derive(Clone, PartialEq, Debug, Default, Serialize)]
pub struct Audit {
    /// The answers that are single numbers.
    pub answers: Vec<String>,
    /// The lines, worst first.
    pub lines: Vec<Line>,
    /// What was left out of the moves, in sentences.
    #[serde(skip)]
    pub left_out: Vec<String>,
    /// What decides each answer, in sentences.
    #[serde(skip)]
    pub deciding: Vec<String>,
    /// Cautions, each with the lines it belongs to.
    #[serde(skip)]
    pub cautions: Vec<(String, Vec<u32>)>,
}

/// One line of an audit.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Line {
    /// Its name; `TABLE.COLUMN` for a column, none for an expectation.
    pub name: Option<String>,
    /// Its line, from 1.
    pub line: u32,
    /// The file that it stands in, where it is one that the worksheet rests on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// The word that opens it.
    pub kind: String,
    /// Whether it says where its value comes from.
    pub sourced: bool,
    /// How far each answer moves, as a part of it; `None` where that can't be told.
    pub swing: Named<Option<String>>,
    /// What there is to ask.
    pub remarks: Vec<Remark>,
    /// Under which heading it stands.
    #[serde(skip)]
    pub group: Group,
    /// `exchange_net = 20 lb`, or the condition.
    #[serde(skip)]
    pub told: String,
    /// How it is known, with its source.
    #[serde(skip)]
    pub known: Option<String>,
    /// How far it was moved and what that moved, in words.
    #[serde(skip)]
    pub moves: Option<String>,
}

/// Something to ask about a line.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Remark {
    /// The code word.
    pub code: String,
    /// What there is to say.
    pub text: String,
    /// What a reader is told of it at its line; none of a caution that only goes along.
    #[serde(skip)]
    pub short: Option<String>,
    /// Of a slip, what mending it would do; empty where no answer moves.
    #[serde(skip)]
    pub slip: Option<String>,
}

/// Under which heading a line stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Group {
    /// What is most likely a slip.
    Slip,
    /// Problems, failing checks, mixed heat.
    Wrong,
    /// What the trade would not take so.
    Unsound,
    /// Guesses and values without a source that move an answer, and numbers inside formulas.
    Guess,
    /// Other values that move an answer.
    Value,
    /// The rest.
    #[default]
    Remark,
}

impl Group {
    const ALL: [Group; 6] = [
        Group::Slip,
        Group::Wrong,
        Group::Unsound,
        Group::Guess,
        Group::Value,
        Group::Remark,
    ];

    fn heading(self) -> &'static str {
        match self {
            Group::Slip => "Look here first: a slip, most likely",
            Group::Wrong => "Wrong, or undecided",
            Group::Unsound => "What the trade would question",
            Group::Guess => "Guesses, values without a source, and numbers inside formulas",
            Group::Value => "Other values that move an answer",
            Group::Remark => "Small remarks, and what moves no answer",
        }
    }
}

/// So many lines of a group stand on one screen.
const ON_SCREEN: usize = 6;
/// So many slips do, and with more than a few of them so many lines of what else is wrong.
const SLIPS_ON_SCREEN: usize = 8;
const A_FEW: usize = 3;
const BESIDE_SLIPS: usize = 2;
/// So much of what decides answers is told beside what is wrong.
const BESIDE_WRONG: usize = 2;

/// By which rule lines are put in order.
const ORDER: &str = "Worst first: likely slips by what mending each would do, what is wrong or undecided, then what the trade would question, \
then guesses and values without a source by how far they move an answer, and numbers inside formulas that one rests \
on, then the other values by the same, then small remarks.";

/// What a move is.
const MOVES: &str = "Each value was moved up and down, alone, over its own ± (the limits, or k=2), and where it has \
none by 10 %: temperatures by 9 F°, gauge pressures by 10 % of the absolute pressure, times by 1 h, levels by 3 dB. \
The larger of the two moves of an answer counts, as a part of the answer.";

const NOTHING: &str = "There is nothing to audit.";

impl Study for Audit {
    const NAME: &'static str = "Audit";

    fn document(&self, in_hand: &InHand) -> Document {
        let title = in_hand.title.as_deref().unwrap_or("The worksheet");
        let mut document = Document::titled(format!("Audit: {title}"));
        if self.lines.is_empty() {
            document.0.push(Block::Said(1, None, NOTHING.into()));
            return document;
        }
        self.tell_part(&mut document, "What decides", &self.deciding);
        for group in Group::ALL {
            let lines: Vec<&Line> = self.shown(group).collect();
            if !lines.is_empty() {
                document.heading(group.heading());
            }
            lines.into_iter().for_each(|line| line.tell(&mut document));
        }
        self.tell_part(&mut document, "Left out", &self.left_out);
        self.tell_part(&mut document, "Cautions", &self.cautions_told());
        document.heading("How it is done");
        document.note(Tone::Faint, ORDER);
        document.note(Tone::Faint, MOVES);
        document
    }

    /// What decides each answer, what is wrong or unsound, and how much else there is to ask.
    fn screen(&self, in_hand: &InHand) -> Document {
        if self.lines.is_empty() {
            return self.document(in_hand);
        }
        let title = in_hand.title.as_deref().unwrap_or("The worksheet");
        let mut document = Document::titled(format!("Audit: {title}"));
        document.gap();
        let count = |group| self.shown(group).count();
        let slips = count(Group::Slip);
        let deciding = match (slips, count(Group::Wrong)) {
            (0, 0) => self.deciding.len(),
            (0, _) => BESIDE_WRONG,
            _ => 0,
        };
        for told in self.deciding.iter().take(deciding) {
            document.item(1, None, Sentence::marked(told));
        }
        let many = slips > A_FEW;
        self.tell_group(&mut document, Group::Slip, SLIPS_ON_SCREEN);
        self.tell_group(&mut document, Group::Wrong, if many { BESIDE_SLIPS } else { ON_SCREEN });
        if !many {
            self.tell_group(&mut document, Group::Unsound, ON_SCREEN);
        }
        document.gap();
        let rest = [
            (
                if many { count(Group::Unsound) } else { 0 },
                "that the trade would question",
            ),
            (
                count(Group::Guess),
                "with a guess, without a source or with a number inside a formula",
            ),
            (count(Group::Value), "that move an answer"),
            (count(Group::Remark), "with small remarks"),
        ];
        let rest = rest.iter().filter(|(count, _)| *count > 0);
        let rest: Vec<String> = rest.map(|(count, what)| format!("{count} {what}")).collect();
        let lines = match rest.as_slice() {
            [] => String::new(),
            rest => format!("Other lines: {}. ", rest.join("; ")),
        };
        let cautions = match self.cautions.len() {
            0 => "",
            _ => " `show cautions` tells the cautions; local code and a licensed person decide.",
        };
        let told = format!("{lines}`audit all` goes line by line.{cautions}");
        document.tell(Tone::Faint, Sentence::marked(&told));
        document
    }

    /// One row a line, with a column for what it moves each answer by.
    fn rows(&self) -> Records {
        let mut headings: Vec<String> = ["line", "name", "kind", "sourced"].map(str::to_owned).to_vec();
        headings.extend(self.answers.iter().map(|answer| format!("swing {answer}")));
        headings.push("remarks".to_owned());
        Records {
            headings,
            rows: self.lines.iter().map(Line::row).collect(),
        }
    }
}

impl Audit {
    /// The lines of a group that a reader is shown: those that say more than a caution that
    /// only goes along.
    fn shown(&self, group: Group) -> impl Iterator<Item = &Line> {
        let lines = self.lines.iter().filter(move |line| line.group == group);
        lines.filter(|line| line.moves.is_some() || line.remarks.iter().any(|remark| remark.short.is_some()))
    }

    /// The first lines of a group, each in short, and how many more there are.
    fn tell_group(&self, document: &mut Document, group: Group, most: usize) {
        let lines: Vec<&Line> = self.shown(group).collect();
        if lines.is_empty() {
            return;
        }
        document.heading(group.heading());
        // one more takes no more room than to say that there is one
        let most = if lines.len() == most + 1 { lines.len() } else { most };
        document.terms(lines.iter().take(most).map(|line| line.in_short()).collect());
        if let more @ 1.. = lines.len().saturating_sub(most) {
            document.note(Tone::Faint, format!("and {more} more"));
        }
    }

    fn tell_part(&self, document: &mut Document, heading: &str, told: &[String]) {
        if !told.is_empty() {
            document.heading(heading);
        }
        let told = told.iter().map(|one| Block::Said(1, None, Sentence::marked(one)));
        document.0.extend(told);
    }

    fn cautions_told(&self) -> Vec<String> {
        if self.cautions.is_empty() {
            return Vec::new();
        }
        let each = self.cautions.iter().map(|(code, lines)| {
            let lines: Vec<String> = lines.iter().map(u32::to_string).collect();
            let word = if lines.len() == 1 { "line" } else { "lines" };
            format!("{code} ({word} {})", lines.join(", "))
        });
        let each: Vec<String> = each.collect();
        let mut told = vec![format!("{}. `show cautions` tells them in full.", each.join(", "))];
        told.push(LOCAL_CODE.to_owned());
        if !self.cautions.iter().any(|(code, _)| code == "carbon-monoxide") {
            told.push(CARBON_MONOXIDE.to_owned());
        }
        told
    }
}

impl Line {
    /// The line and the codes of what there is to ask; with slips theirs alone, and what mending does.
    fn in_short(&self) -> Term {
        let slips: Vec<&Remark> = self.remarks.iter().filter(|remark| remark.slip.is_some()).collect();
        let others = self.remarks.iter().filter(|remark| remark.short.is_some());
        let remarks = if slips.is_empty() { others.collect() } else { slips };
        let mut codes: Vec<&str> = remarks.iter().map(|remark| remark.code.as_str()).collect();
        codes.dedup();
        let mut mended = remarks.iter().filter_map(|remark| remark.slip.as_deref());
        let mended = mended.find(|mended| !mended.is_empty()).unwrap_or("");
        let told = Sentence::of_code(&self.told)
            .or_break()
            .plain(format!("· {}", codes.join(", ")));
        let mut said = vec![(None, told)];
        if !mended.is_empty() {
            said.push((None, mended.into()));
        }
        Term {
            name: format!("line {}", self.line).into(),
            said,
        }
    }

    fn tell(&self, document: &mut Document) {
        let place = told_place(self.line, self.file.as_deref());
        let head = Sentence::from(format!("{place}: ")).code(&self.told);
        document.item(1, Some(Tone::Strong), head);
        if let Some(known) = &self.known {
            document.item(2, Some(Tone::Faint), known);
        }
        if let Some(moves) = &self.moves {
            document.item(2, None, moves);
        }
        let tone = match self.group {
            Group::Slip | Group::Wrong => Some(Tone::Bad),
            Group::Unsound => Some(Tone::Care),
            _ => None,
        };
        for remark in &self.remarks {
            if let Some(short) = &remark.short {
                let told = Sentence::default().strong(&remark.code).plain(": ");
                document.item(2, tone, told.then(Sentence::marked(short)));
            }
        }
    }

    fn row(&self) -> Vec<String> {
        let told = self
            .remarks
            .iter()
            .map(|remark| format!("{}: {}", remark.code, remark.text));
        let told: Vec<String> = told.collect();
        let mut cells = vec![
            self.line.to_string(),
            self.name.clone().unwrap_or_default(),
            self.kind.clone(),
            self.sourced.to_string(),
        ];
        cells.extend(self.swing.0.iter().map(|(_, part)| part.clone().unwrap_or_default()));
        cells.push(told.join("; "));
        cells
    }
}
