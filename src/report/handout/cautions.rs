//! The cautions of a page: what may kill in full at the top, others beside what raises them.
//!
//! Start reading at [`Page::dangers`].

use maud::{Markup, html};

use super::super::model::{CARBON_MONOXIDE, CARBON_MONOXIDE_BRIEF, LOCAL_CODE, Weight};
use super::super::visible::sentence;
use super::Place;
use super::page::{Page, id};
use super::pieces::{coded, spaced};

impl Page<'_> {
    /// What may kill, each in full.
    pub(super) fn dangers(self) -> Markup {
        let report = &self.handout.report;
        let cautions = report.cautions.iter().zip(&self.handout.cautions).enumerate();
        let on_top = cautions.filter(|(_, (_, more))| more.place == Place::Top);
        let on_top: Vec<usize> = on_top.map(|(number, _)| number).collect();
        let monoxide = report.cautions.iter().any(|caution| caution.code == "carbon-monoxide");
        html! {
            @if !report.cautions.is_empty() {
                div class="caution first" role="note" aria-label="Dangers" {
                    @if !monoxide { p { (CARBON_MONOXIDE) } }
                    @for number in on_top { (self.caution_text(number)) }
                    p { b { (LOCAL_CODE) } }
                }
            }
        }
    }

    /// On a card, which has no room for problems: the first of them, and what speaks against readings.
    pub(super) fn wrong_first(self) -> Markup {
        let report = &self.handout.report;
        html! {
            @if let Some(problem) = report.first_problem() { p class="check bad" { (coded(&sentence(problem))) } }
            @for line in report.against_readings() { p class="check bad" { (coded(line)) } }
        }
    }

    /// The same in half a line each.
    pub(super) fn dangers_in_short(self) -> Markup {
        let dangers = self
            .handout
            .report
            .cautions
            .iter()
            .filter(|caution| caution.weight == Weight::Danger);
        let mut told: Vec<&str> = dangers.map(|caution| caution.brief).collect();
        told.dedup();
        html! {
            @if !self.handout.report.cautions.is_empty() {
                p class="caution" role="note" aria-label="Dangers" {
                    @if !told.contains(&CARBON_MONOXIDE_BRIEF) { (CARBON_MONOXIDE_BRIEF) " " }
                    (told.join(" "))
                }
            }
        }
    }

    pub(super) fn caution_text(self, number: usize) -> Markup {
        let caution = self.handout.report.cautions.get(number);
        let Some((caution, more)) = caution.zip(self.handout.cautions.get(number)) else {
            return html! {};
        };
        let letter = self.letter(number);
        html! {
            p id=(id("caution", number)) {
                @if let Some(letter) = &letter { span class="letter" { (letter) } " " }
                b { (spaced(&caution.code)) ". " }
                @if letter.is_some() && !caution.names.is_empty() { span class="known" { "On " (caution.names.join(", ")) ". " } }
                (coded(&sentence(&caution.text))) (self.cite([more.source.as_str()]))
            }
        }
    }

    /// The letter of a note that stands with what the numbers don't cover: a to z, then aa.
    pub(super) fn letter(self, number: usize) -> Option<String> {
        let noted = |more: &super::CautionMore| more.place == Place::Uncovered;
        let cautions = self.handout.cautions.get(..=number)?;
        noted(cautions.last()?).then(|| {
            let place = cautions.iter().filter(|more| noted(more)).count().saturating_sub(1);
            let letter = char::from(b'a' + u8::try_from(place % 26).unwrap_or(0));
            letter.to_string().repeat(place / 26 + 1)
        })
    }

    /// The cautions that an entry or a table raises, in full.
    pub(super) fn cautions_beside(self, said: &[usize]) -> Markup {
        html! {
            @if !said.is_empty() && self.is_full() {
                div class="caution" role="note" aria-label="Caution" {
                    @for number in said { (self.caution_text(*number)) }
                }
            }
        }
    }

    /// The letters of the notes that an entry or a table raises.
    pub(super) fn letters(self, raised: &[usize]) -> Markup {
        let letters = raised
            .iter()
            .filter_map(|number| Some((*number, self.letter(*number)?)));
        html! {
            @if self.is_full() {
                @for (number, letter) in letters {
                    " " a class="letter" href={ "#" (id("caution", number)) } aria-label={ "note " (letter) } { (letter) }
                }
            }
        }
    }
}
