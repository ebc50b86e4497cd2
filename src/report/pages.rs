//! Reference pages: what a verb, a problem, a function, a unit or a word of the
//! language is.
//!
//! Plain text to the width of the terminal, from the one place where each thing
//! is declared: verbs from the shell, functions and cautions from the trade,
//! units from their table. Nothing here knows a worksheet.
//! Start reading at [`help_page`].

use crate::problem::explanations::{Explanation, explanation};
use crate::problem::{Code, Severity};
use crate::text;
use crate::trade::caution::caution;
use crate::trade::registry;
use crate::unit::Unit;
use crate::unit::symbol;

use super::language::{TERMS, Term, term};
use super::layout::Layout;
use super::style::Style;
use super::visible::{columns, sentence, visible};

mod functions;
mod remarks;
mod synonyms;
mod units;

pub use functions::{
    caution_page, function_page, functions_between, functions_matching, functions_page, signature, signature_part,
};
pub use remarks::{REMARKS, RemarkHelp};
pub use synonyms::{SYNONYMS, Synonym};
pub use units::units_page;

/// What a verb's page tells; the shell lists its verbs so.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct VerbHelp {
    /// The word.
    pub name: &'static str,
    /// How it is typed.
    pub usage: &'static str,
    /// What it does, in one line.
    pub summary: &'static str,
    /// The whole story, in sentences; an empty line parts paragraphs, and what
    /// is set in by four spaces is a sample.
    pub detail: &'static str,
}

/// The verbs that are told on one screen, each in a line.
const FIRST: [&str; 13] = [
    "new", "open", "show", "why", "doubt", "sweep", "compare", "audit", "add", "edit", "keep", "undo", "handout",
];

/// The way into all pages, on one screen: the verbs that come first, the names of all others and
/// of the words of the language.
pub fn help_overview(verbs: &[VerbHelp], style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading("Verbs");
    let first = FIRST
        .iter()
        .filter_map(|name| verbs.iter().find(|verb| verb.name == *name));
    let rows: Vec<(String, String)> = first
        .map(|verb| row(verb.name, in_a_line(verb.summary, style)))
        .collect();
    page.list(&rows);
    let others = verbs.iter().map(|verb| verb.name).filter(|name| !FIRST.contains(name));
    page.prose(&format!("And: {}.", others.collect::<Vec<_>>().join(", ")));
    page.heading("Words of a worksheet");
    page.prose(&TERMS.iter().map(heads).collect::<Vec<_>>().join(", "));
    page.gap();
    page.faint(
        "`help WORD` explains one of them, a function, a unit or a code; `help all` lists them with what they are.",
    );
    page.into_text()
}

/// A summary that has room behind a name; else what stands before its first comma.
fn in_a_line(summary: &'static str, style: Style) -> &'static str {
    match columns(summary) + BEFORE_SUMMARY <= style.columns() {
        true => summary,
        false => summary.split([',', ';']).next().unwrap_or(summary),
    }
}

/// The columns of the margin and the names of verbs.
const BEFORE_SUMMARY: usize = 13;

/// Everything there is a page of, a line each.
fn help_list(verbs: &[VerbHelp], style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading("Verbs");
    let rows: Vec<(String, String)> = verbs.iter().map(verb_row).collect();
    page.list(&rows);
    page.heading("Words of a worksheet");
    let rows: Vec<(String, String)> = TERMS.iter().map(term_row).collect();
    page.list(&rows);
    page.heading("More");
    page.list(&[
        row(
            "help WORD",
            "a verb, a word above, a function, a unit, or the code of a problem, a caution or a remark of audits",
        ),
        row("functions", "what the trade calculates, by chapter"),
        row("units", "the units, by what they measure"),
    ]);
    page.into_text()
}

/// Everything there is about a word: a verb, a problem's code, a function, a
/// word of the language, a unit; or the functions that speak of it.
///
/// # Errors
/// One line that says that nothing is known, with the nearest words.
pub fn help_page(word: &str, verbs: &[VerbHelp], style: Style) -> Result<String, String> {
    let word = word.trim();
    match word {
        "" => return Ok(help_overview(verbs, style)),
        "all" => return Ok(help_list(verbs, style)),
        _ => {}
    }
    let mut pages = exact_pages(word, verbs, style);
    if pages.is_empty() {
        pages = exact_pages(&word.to_lowercase(), verbs, style);
    }
    // One or two letters stand in nearly everything: only what is nearly so called helps.
    let is_short = word.chars().count() < 3;
    if pages.is_empty() {
        pages.extend(meant_page(word, verbs, style));
    }
    if pages.is_empty() && !is_short {
        pages.extend(units_page(Some(word), style).ok());
        pages.extend(functions_matching(word, style).ok());
    }
    match pages.is_empty() {
        true => Err(unknown(word, verbs)),
        false => Ok(pages.join("\n")),
    }
}

/// What a common word may mean, a line each; `None` where it is none.
fn meant_page(word: &str, verbs: &[VerbHelp], style: Style) -> Option<String> {
    let targets = synonyms::meant(word).iter();
    let rows: Vec<(String, String)> = targets
        .filter_map(|target| Some(row(target, summary(target, verbs)?)))
        .collect();
    if rows.is_empty() {
        return None;
    }
    let mut page = Layout::new(style);
    page.heading(&format!("What has to do with {}", visible(word)));
    page.list(&rows);
    page.gap();
    page.faint("`help WORD` tells all about one of them.");
    Some(page.into_text())
}

/// What a verb, a word of the language, a function or a caution is, in one line; a problem's code
/// by the first sentence on it.
fn summary(word: &str, verbs: &[VerbHelp]) -> Option<&'static str> {
    let verb = verbs.iter().find(|verb| verb.name == word).map(|verb| verb.summary);
    let term = || term(word).map(|term| term.summary);
    let function = || registry::function(word).map(|function| function.summary);
    let code = || {
        let text = Code::named(word).and_then(explanation)?.text;
        text.split_inclusive(". ").next().map(str::trim)
    };
    verb.or_else(term).or_else(function).or_else(code)
}

fn exact_pages(word: &str, verbs: &[VerbHelp], style: Style) -> Vec<String> {
    let verb = verbs.iter().find(|verb| verb.name == word);
    let explained = Code::named(word).and_then(explanation);
    let function = registry::function(word.trim_end_matches("()"));
    let cautioned = caution(word);
    let remarked = remarks::remark_help(word);
    let is_unit = !word.is_empty() && Unit::parse(word).is_ok();
    let pages = [
        verb.map(|verb| verb_page(verb, style)),
        function.map(|function| function_page(function, style)),
        explained.map(|explained| problem_page(explained, style)),
        cautioned.map(|cautioned| caution_page(cautioned, style)),
        remarked.map(|remarked| remarks::remark_page(remarked, style)),
        // a word of another page comes behind what is called so itself
        term(word).map(|term| term_page(term, style)),
        is_unit.then(|| units_page(Some(word), style).ok()).flatten(),
    ];
    pages.into_iter().flatten().collect()
}

/// A verb: how it is typed, and all it does.
pub(crate) fn verb_page(verb: &VerbHelp, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(verb.usage);
    page.prose(&sentence(verb.summary));
    if !verb.detail.is_empty() {
        page.gap();
        page.prose(verb.detail);
    }
    page.into_text()
}

/// What there is to choose from, a word and what it is in each row, and how to go on.
pub(crate) fn choice_page(title: &str, choices: &[(&str, &str)], then: &str, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(title);
    let rows: Vec<(String, String)> = choices.iter().map(|(name, said)| row(name, said)).collect();
    page.list(&rows);
    page.gap();
    page.prose(then);
    page.into_text()
}

/// A problem's code: why it is one, what to do, and an example of both.
pub(crate) fn problem_page(explained: &Explanation, style: Style) -> String {
    let mut page = Layout::new(style);
    let kind = match explained.code.severity() {
        Severity::Problem => "a problem",
        Severity::Lint => "a remark; everything is worked out all the same",
    };
    page.heading(&format!("{}: {kind}", explained.code));
    page.prose(explained.text);
    if !explained.wrong.is_empty() {
        page.heading("Wrong");
        page.sample(&explained.wrong);
        page.heading("Fixed");
        page.sample(&explained.mended);
    }
    page.into_text()
}

/// A word of the language with an example.
pub(crate) fn term_page(term: &Term, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&format!("{}: {}", heads(term), term.summary));
    page.prose(term.text);
    if !term.example.is_empty() {
        page.heading("Example");
        page.sample(term.example);
    }
    page.into_text()
}

fn heads(term: &Term) -> &'static str {
    term.words.first().copied().unwrap_or("")
}

fn verb_row(verb: &VerbHelp) -> (String, String) {
    row(verb.name, verb.summary)
}

fn term_row(term: &Term) -> (String, String) {
    row(heads(term), term.summary)
}

fn row(name: &str, said: &str) -> (String, String) {
    (name.to_owned(), said.to_owned())
}

/// That nothing is known of a word, with what was probably meant.
fn unknown(word: &str, verbs: &[VerbHelp]) -> String {
    let said = format!("nothing is known of `{}`", visible(word));
    let near = near(word, verbs);
    match near.as_slice() {
        [] => format!("{said}; `help` alone lists what there is"),
        [one] => format!("{said}; the nearest is {one}"),
        _ => format!("{said}; the nearest are {}", near.join(" and ")),
    }
}

fn near(word: &str, verbs: &[VerbHelp]) -> Vec<String> {
    let verbs = verbs.iter().map(|verb| verb.name);
    let terms = TERMS.iter().flat_map(|term| term.words.iter().copied());
    let codes = Code::ALL.iter().map(|code| code.word());
    let remarks = REMARKS.iter().map(|remark| remark.code);
    let mut near: Vec<&str> = text::nearest(word, verbs.chain(terms)).into_iter().collect();
    near.extend(text::nearest(word, codes.chain(remarks)));
    near.extend(registry::nearest(word).first());
    near.extend(symbol::nearest(word));
    near.sort_unstable();
    near.dedup();
    near.into_iter().map(|word| format!("`{word}`")).collect()
}
