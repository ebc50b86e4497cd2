//! A doubt: the uncertainty budget of an answer, and what is told of it.
//!
//! A table with one line a source and a bar for its share; below it the combined
//! uncertainty, what is taken as exact, and what was drawn, with a histogram. Start
//! reading at [`Doubt`].

use serde::{Serialize, Serializer};

use super::chart::Chart;
use super::csv::scalar_text;
use super::document::{Block, Column, Document, Narrow, Sentence, Table, Term};
use super::in_hand::InHand;
use super::model::Scalar;
use super::study::{Records, Study};
use super::style::Tone;
use super::why::Value;

/// How sure an answer is, and what makes it unsure.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Doubt {
    /// The answer.
    pub answer: String,
    /// Its value, with all digits.
    pub value: Value,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// The combined standard uncertainty.
    pub standard: Value,
    /// The expanded uncertainty.
    pub expanded: Value,
    /// The factor between the two.
    pub k: Value,
    /// Effective degrees of freedom; nothing where they are infinite.
    pub degrees_of_freedom: Value,
    /// Whether the straight line's interval and the drawn one differ by more than a tenth.
    pub curved: bool,
    /// Every source of uncertainty, the greatest first.
    pub inputs: Vec<Input>,
    /// What was drawn.
    pub draws: Option<Drawn>,
    /// The answer's label.
    #[serde(skip)]
    pub label: Option<String>,
    /// The sources for a reader, readings of one column together.
    #[serde(skip)]
    pub lines: Vec<Line>,
    /// The first rows of a column, and how many there are.
    #[serde(
        rename = "row_draws",
        serialize_with = "row_draws",
        skip_serializing_if = "ColumnRows::without_draws"
    )]
    pub rows: Option<ColumnRows>,
    /// How the parts come together, in a sentence; empty where there are none.
    #[serde(skip)]
    pub combined: String,
    /// The answer as shown, or what is to be said in place of it.
    #[serde(skip)]
    pub shown: String,
    /// What has no tolerance and is taken as exact.
    pub exact: Vec<String>,
    /// By how much the rules that it rests on may themselves be out, besides these figures.
    pub rule_errors: Vec<String>,
    /// What a reader should know besides, in sentences.
    #[serde(skip)]
    pub remarks: Vec<String>,
    /// The shares of the greatest sources as bars, for a page; nothing where there are none.
    #[serde(skip)]
    pub chart: Option<Chart>,
}

/// One source of uncertainty.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Input {
    /// An entry, `table.column row 3`, or the scatter about a line.
    pub name: String,
    /// Its value, with all digits.
    pub value: Option<Scalar>,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// Its standard uncertainty in that unit.
    pub standard: Option<String>,
    /// Its degrees of freedom; nothing where they are infinite.
    pub degrees_of_freedom: Option<String>,
    /// How far the answer moves for one unit of it.
    pub sensitivity: Option<String>,
    /// What it puts into the combined standard uncertainty.
    pub contribution: Option<String>,
    /// Its share of the variance, from 0 to 1.
    pub share: Option<String>,
}

/// One source as a reader meets it; empty texts where there is nothing to say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Line {
    /// Who it is.
    pub name: String,
    /// Its value.
    pub value: String,
    /// Its standard uncertainty.
    pub standard: String,
    /// Its degrees of freedom.
    pub degrees_of_freedom: String,
    /// How far the answer moves for one unit of it.
    pub sensitivity: String,
    /// What it puts in.
    pub contribution: String,
    /// Its share of the variance, from 0 to 1.
    pub share: Option<f64>,
}

/// The first rows of a column.
#[derive(Clone, PartialEq, Debug)]
pub struct ColumnRows {
    /// Of each the value, its standard uncertainty, and its expanded one.
    pub first: Vec<[String; 3]>,
    /// How many there are.
    pub count: usize,
    /// What draws say of each, where they were asked for.
    pub drawn: Vec<Option<Drawn>>,
}

impl ColumnRows {
    fn without_draws(rows: &Option<ColumnRows>) -> bool {
        rows.as_ref().is_none_or(|rows| rows.drawn.is_empty())
    }
}

/// What draws say of each row.
fn row_draws<S: Serializer>(rows: &Option<ColumnRows>, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(rows.iter().flat_map(|rows| &rows.drawn))
}

/// What was drawn.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Drawn {
    /// How many draws.
    pub count: usize,
    /// How many met a problem and are left out.
    pub left_out: usize,
    /// The seed they began with, as text, for it may have 20 digits.
    pub seed: String,
    /// Their mean.
    pub mean: Option<Scalar>,
    /// Their standard deviation.
    pub sd: Option<String>,
    /// The low end of the interval that holds 95 % of them.
    pub low: Option<Scalar>,
    /// Its high end.
    pub high: Option<Scalar>,
    /// How many draws were asked for: more, where they were stopped.
    #[serde(skip)]
    pub asked: usize,
    /// A histogram of them.
    #[serde(skip)]
    pub chart: Option<Chart>,
    /// The problem for which the figures are withheld.
    #[serde(skip)]
    pub withheld: Option<String>,
    /// The figures as shown.
    #[serde(skip)]
    pub shown: DrawnShown,
}

/// Drawn figures for a reader.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct DrawnShown {
    /// The mean.
    pub mean: String,
    /// The standard deviation.
    pub sd: String,
    /// The ends of the 95 % interval.
    pub interval: (String, String),
    /// The interval of the straight line through the inputs.
    pub straight: Option<(String, String)>,
}

/// The most sources a reader gets.
const MOST_LINES: usize = 24;
/// The same on one screen.
const LINES_ON_SCREEN: usize = 7;

impl Study for Doubt {
    const NAME: &'static str = "Doubt";

    fn document(&self, _: &InHand) -> Document {
        let mut document = self.head();
        self.tell_budget(&mut document, MOST_LINES);
        self.tell_rows(&mut document);
        if !self.combined.is_empty() {
            document.say(&self.combined);
        }
        document.gap();
        if !self.exact.is_empty() {
            document.say(format!("Taken as exact: {}.", self.exact.join(", ")));
        }
        for remark in &self.remarks {
            document.say(Sentence::marked(remark));
        }
        if let Some(drawn) = &self.draws {
            self.tell_drawn(&mut document, drawn);
        }
        if let Some(legend) = self.legend() {
            document.gap();
            document.tell(Tone::Faint, legend);
        }
        document
    }

    /// The answer, what makes it unsure, and what bends it.
    fn screen(&self, _: &InHand) -> Document {
        let mut document = self.head();
        self.tell_budget(&mut document, LINES_ON_SCREEN);
        self.tell_rows(&mut document);
        if !self.exact.is_empty() {
            document.say(format!("Taken as exact: {}.", self.exact.join(", ")));
        }
        for remark in &self.remarks {
            document.say(Sentence::marked(remark));
        }
        if let Some(drawn) = &self.draws {
            document.gap();
            document.say(drawn.in_short());
            self.tell_bends(&mut document, drawn);
        }
        document.gap();
        let told = Sentence::from(match self.legend() {
            Some(_) => "u: standard uncertainty. c: how far the answer moves for one unit. ",
            None => "",
        });
        let told = told.typed(format!("doubt {} all", self.answer)).plain(" has the rest.");
        document.tell(Tone::Faint, told);
        document
    }

    /// The answer in one row, then a row for each source, for what is taken as exact, and for the draws.
    fn rows(&self) -> Records {
        let exact = self.exact.iter().map(|name| CsvRow::of("exact", name));
        let drawn = self.draws.iter().map(|drawn| drawn.row(self));
        let rows = std::iter::once(self.row())
            .chain(self.inputs.iter().map(Input::row))
            .chain(exact)
            .chain(drawn);
        Records::from_each(&rows.collect::<Vec<CsvRow>>())
    }
}

impl Doubt {
    fn head(&self) -> Document {
        let label = self.label.as_ref().map_or(String::new(), |label| format!(", {label}"));
        let title = Sentence::from("How sure is ").code(&self.answer).plain(label);
        let mut document = Document::titled(title);
        document.tell(Tone::Strong, &self.shown);
        document.gap();
        document
    }

    fn tell_budget(&self, document: &mut Document, most: usize) {
        let shown = self.lines.get(..most).unwrap_or(&self.lines);
        let cells = |cell: fn(&Line) -> String| shown.iter().map(cell);
        let columns = vec![
            Column::words("input", shown.iter().map(Line::named)),
            Column::numbers("u", cells(|line| line.standard.clone())),
            Column::numbers("df", cells(|line| line.degrees_of_freedom.clone())),
            Column::numbers("c", cells(|line| line.sensitivity.clone())),
            Column::numbers("|c|u", cells(|line| line.contribution.clone())),
            Column::numbers("share", cells(|line| share_text(line.share))),
        ];
        let shares: Vec<Option<f64>> = shown.iter().map(|line| line.share).collect();
        let bars = if shares.iter().any(Option::is_some) {
            shares
        } else {
            Vec::new()
        };
        let caption = format!("What makes {} unsure", self.answer);
        document.table(Table::of(caption, Narrow::Rows, columns).with_bars(bars));
        let rest = self.lines.get(most..).unwrap_or_default();
        if !rest.is_empty() {
            let share = match rest.iter().any(|line| line.share.is_some()) {
                true => format!(
                    ", together {}",
                    share_text(Some(rest.iter().filter_map(|line| line.share).sum()))
                ),
                false => String::new(),
            };
            let all = if most < MOST_LINES {
                "."
            } else {
                "; the formats json and csv have all."
            };
            document.note(Tone::Faint, format!("{} more{share}{all}", rest.len()));
        }
        document.gap();
    }

    fn tell_rows(&self, document: &mut Document) {
        let Some(rows) = &self.rows else { return };
        let shown = rows.first.len();
        let column = |place: usize| rows.first.iter().filter_map(move |row| row.get(place));
        let mut columns = vec![
            Column::numbers("row", (1..=shown).map(|row| row.to_string())),
            Column::numbers("value", column(0)),
            Column::numbers("u", column(1)),
            Column::numbers("U", column(2)),
        ];
        if let Some(first) = rows.drawn.iter().flatten().next() {
            let drawn = |one: fn(&DrawnShown) -> String| {
                let told = rows
                    .drawn
                    .iter()
                    .map(move |row| row.as_ref().map_or(String::new(), |row| one(&row.shown)));
                told.collect::<Vec<String>>()
            };
            columns.push(Column::numbers("drawn u", drawn(|shown| shown.sd.clone())));
            let ends = |shown: &DrawnShown| format!("{} to {}", shown.interval.0, shown.interval.1);
            columns.push(Column::numbers("95 % of draws", drawn(ends)));
            document.note(
                Tone::Faint,
                format!("{} draws, seed {}; each draw is of all rows.", first.count, first.seed),
            );
        }
        document.table(Table::of(
            format!("{} row by row", self.answer),
            Narrow::Columns,
            columns,
        ));
        if shown < rows.count {
            document.note(Tone::Faint, format!("The first {shown} of {} rows.", rows.count));
        }
        document.gap();
    }

    fn tell_drawn(&self, document: &mut Document, drawn: &Drawn) {
        document.heading(drawn.heading());
        let figures = drawn
            .figures()
            .into_iter()
            .map(|(name, figure)| Term::new(name, vec![(None, figure.into())]));
        document.terms(figures.collect());
        // what the ± holds and what the intervals hold, where both stand beside each other
        if drawn.withheld.is_none() && self.k != Value::Nothing {
            let held = match self.degrees_of_freedom {
                Value::Nothing if self.k != Value::One(Scalar::Text("2".to_owned())) => "all: it is the limits",
                Value::Nothing => "(k = 2) 95.45 % of a normal spread",
                _ => "(its k) 95.45 % by Student's t",
            };
            document.note(Tone::Faint, format!("These intervals hold 95 %, the ± above {held}."));
        }
        self.tell_bends(document, drawn);
        if let Some(chart) = &drawn.chart {
            document.gap();
            document.0.push(Block::Chart(chart.clone()));
        }
    }

    fn tell_bends(&self, document: &mut Document, drawn: &Drawn) {
        if let Some(problem) = drawn.withheld.as_ref().filter(|_| drawn.count > 0) {
            let told = format!("More than 1 draw in 1000 met a problem, so the drawn figures are withheld: {problem}");
            document.note(Tone::Bad, Sentence::marked(&told));
        } else if self.curved {
            document.note(Tone::Care, CURVED);
        }
    }

    /// What the letters over the columns mean, where they stand there.
    fn legend(&self) -> Option<String> {
        let told = self.lines.iter().any(|line| !line.sensitivity.is_empty());
        let in_points = |line: &Line| line.standard.contains(" point") || line.contribution.contains(" point");
        let points = match self.lines.iter().any(in_points) {
            true => " A point is a percentage point, as from 40 % to 41 %.",
            false => "",
        };
        let moves = match self.unit.as_deref() {
            Some("%") => "moves, in points,",
            _ => "moves",
        };
        told.then(|| {
            format!(
                "u: standard uncertainty of the input. c: how far {} {moves} for one unit of it. |c|u: what the two make \
             together. The squares of |c|u add up to the square of the combined u, and the share is of that sum.{points}",
                self.answer
            )
        })
    }

    fn row(&self) -> CsvRow {
        CsvRow {
            value: self.value.in_one_cell(),
            unit: self.unit.clone().unwrap_or_default(),
            standard: self.standard.in_one_cell(),
            degrees_of_freedom: self.degrees_of_freedom.in_one_cell(),
            k: self.k.in_one_cell(),
            expanded: self.expanded.in_one_cell(),
            ..CsvRow::of("answer", &self.answer)
        }
    }
}

const CURVED: &str =
    "The worksheet bends too much inside the tolerances for a straight line: go by the drawn interval.";

fn share_text(share: Option<f64>) -> String {
    match share {
        None => String::new(),
        Some(share) if share > 0.0 && share < 0.005 => "<1 %".to_owned(),
        Some(share) => format!("{:.0} %", share * 100.0),
    }
}

impl Line {
    /// `gross = 37.3 lb`
    fn named(&self) -> Sentence {
        // the scatter about a line, and a row of a column, are no names
        let name = match self.name.contains(' ') {
            true => Sentence::from(&self.name),
            false => Sentence::of_code(&self.name),
        };
        match self.value.as_str() {
            "" => name,
            value => name.or_break().plain(format!("= {value}")),
        }
    }
}

impl Input {
    fn row(&self) -> CsvRow {
        let own = |text: &Option<String>| text.clone().unwrap_or_default();
        CsvRow {
            value: self.value.as_ref().map_or(String::new(), scalar_text),
            unit: own(&self.unit),
            standard: own(&self.standard),
            degrees_of_freedom: own(&self.degrees_of_freedom),
            sensitivity: own(&self.sensitivity),
            contribution: own(&self.contribution),
            share: own(&self.share),
            ..CsvRow::of("input", &self.name)
        }
    }
}

impl Drawn {
    fn heading(&self) -> String {
        let left_out = match self.left_out {
            0 => String::new(),
            1 => "; 1 met a problem and is left out".to_owned(),
            many => format!("; {many} met a problem and are left out"),
        };
        let stopped = match self.count < self.asked {
            true => format!(", stopped before {}", self.asked),
            false => String::new(),
        };
        format!("By {} draws (seed {}){stopped}{left_out}", self.count, self.seed)
    }

    /// `By 10000 draws (seed 1): 95 % lie from 4 h 22 min to 5 h 0 min, the mean is 4 h 40 min.`
    fn in_short(&self) -> String {
        let DrawnShown { mean, interval, .. } = &self.shown;
        match self.withheld {
            Some(_) => format!("{}.", self.heading()),
            None => format!(
                "{}: 95 % lie from {} to {}, the mean is {mean}.",
                self.heading(),
                interval.0,
                interval.1
            ),
        }
    }

    /// The figures, each with what it is.
    fn figures(&self) -> Vec<(&'static str, String)> {
        if self.withheld.is_some() {
            return Vec::new();
        }
        let shown = &self.shown;
        let from_to = |(low, high): &(String, String)| format!("{low} to {high}");
        let straight = shown.straight.as_ref();
        let mut told = vec![
            ("mean", shown.mean.clone()),
            ("standard deviation", shown.sd.clone()),
            ("95 % of the draws", from_to(&shown.interval)),
        ];
        told.extend(straight.map(|ends| ("on the straight line", from_to(ends))));
        told
    }

    fn row(&self, doubt: &Doubt) -> CsvRow {
        let scalar = |scalar: &Option<Scalar>| scalar.as_ref().map_or(String::new(), scalar_text);
        CsvRow {
            value: scalar(&self.mean),
            unit: doubt.unit.clone().unwrap_or_default(),
            standard: self.sd.clone().unwrap_or_default(),
            low: scalar(&self.low),
            high: scalar(&self.high),
            ..CsvRow::of("draws", &doubt.answer)
        }
    }
}

/// A row for a spreadsheet; empty where there is nothing to say.
#[derive(Default, Serialize)]
struct CsvRow {
    part: &'static str,
    name: String,
    value: String,
    unit: String,
    standard: String,
    degrees_of_freedom: String,
    sensitivity: String,
    contribution: String,
    share: String,
    k: String,
    expanded: String,
    low: String,
    high: String,
}

impl CsvRow {
    fn of(part: &'static str, name: &str) -> CsvRow {
        CsvRow {
            part,
            name: name.to_owned(),
            ..CsvRow::default()
        }
    }
}
