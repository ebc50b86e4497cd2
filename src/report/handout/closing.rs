//! What closes a page: cases side by side, what the numbers don't cover, sources, the key.
//!
//! Start reading at [`Page::key`].

use maud::{Markup, PreEscaped, html};

use super::super::chart::svg;
use super::super::compare::{Answer, Scene};
use super::super::model::{Part, Problem, Section, verdict};
use super::super::visible::{closed, sentence};
use super::page::{Area, Page};
use super::pieces::{cells, coded, in_two, room, spaced};
use super::{Place, Whose};

impl Page<'_> {
    // ---- how sure ----

    pub(super) fn shows_budgets(self) -> bool {
        self.tells() && !self.handout.budgets.is_empty()
    }

    /// For each answer what makes it uncertain; nothing while it is left to the reader.
    pub(super) fn budgets(self) -> Markup {
        if !self.shows_budgets() {
            return html! {};
        }
        let id = if self.part == Area::Key {
            "key-how-sure"
        } else {
            "how-sure"
        };
        html! {
            section id=(id) {
                @if self.part == Area::Key { h3 { "How sure" } } @else { h2 { "How sure" } }
                p {
                    "The share of each value in the variance of an answer, after JCGM 100: the longest bar is what to \
                     weigh or measure better. What has no ± has no bar, though it may be a guess."
                }
                @for (place, doubt) in self.handout.budgets.iter().enumerate() {
                    @if let Some(chart) = &doubt.chart {
                        figure {
                            p { (doubt.shown) }
                            div class="drawn" {
                                (PreEscaped(svg::write_named(chart, &format!("{id}-{place}-drawn"))))
                            }
                            figcaption {
                                (chart.told) " " (doubt.combined)
                                @if !doubt.exact.is_empty() { " Taken as exact: " (doubt.exact.join(", ")) "." }
                            }
                        }
                    }
                }
            }
        }
    }

    // ---- cases ----

    pub(super) fn shows_cases(self) -> bool {
        self.handout.cases.as_ref().is_some_and(|cases| cases.cases.len() > 1)
    }

    pub(super) fn cases(self) -> Markup {
        let Some(cases) = self.handout.cases.as_ref().filter(|_| self.shows_cases()) else {
            return html! {};
        };
        let id = if self.part == Area::Key { "key-cases" } else { "cases" };
        let base = cases.cases.first();
        let answers = base.map_or(&[][..], |base| base.answers.as_slice());
        let in_hand = self.handout.report.case.as_ref().map(|case| case.name.as_str());
        html! {
            section id=(id) {
                @if self.part == Area::Key { h3 { "Cases side by side" } } @else { h2 { "Cases side by side" } }
                @if !self.handout.trials.is_empty() { p { "The values on trial stand in every one of them." } }
                @if !answers.is_empty() {
                    div class="scroll" tabindex="0" role="region" aria-label="Answers in each case" {
                        table class="cases" {
                            caption class="unseen" { "Answers in each case" }
                            thead {
                                tr {
                                    th scope="col" { "Answer" }
                                    @for scene in &cases.cases {
                                        th scope="col" {
                                            code { (scene.name.as_deref().unwrap_or("base")) }
                                            @if scene.name.as_deref() == in_hand { span class="small" { "in hand" } }
                                        }
                                    }
                                }
                            }
                            tbody {
                                @for (place, answer) in answers.iter().enumerate() {
                                    tr {
                                        th scope="row" { (answer.label.as_deref().unwrap_or(&answer.name)) }
                                        @for scene in &cases.cases {
                                            td { @if let Some(answer) = scene.answers.get(place) { (self.case_value(answer)) } }
                                        }
                                    }
                                }
                                @if self.tells() { (holding(&cases.cases)) }
                            }
                        }
                    }
                }
                dl {
                    @for scene in cases.cases.iter().filter(|scene| scene.name.is_some()) { (self.scene(scene)) }
                }
            }
        }
    }

    fn case_value(self, answer: &Answer) -> Markup {
        if !self.tells() {
            return room(None);
        }
        html! {
            @match answer.shown.listed() {
                Some(rows) => (cells(&answer.name, rows)),
                None => (answer.shown.value),
            }
            @if let Some(uncertainty) = &answer.shown.uncertainty { span class="small" { "± " (in_two(uncertainty).0) } }
            @if !answer.as_in_base && !answer.short.is_empty() { span class="small" { (answer.short.join(", ")) } }
        }
    }

    fn scene(self, scene: &Scene) -> Markup {
        html! {
            dt { code { (scene.name.as_deref().unwrap_or("base")) } @if let Some(title) = &scene.title { " " (title) } }
            dd {
                ul {
                    @for replaced in &scene.replaced {
                        li {
                            @if replaced.set_aside {
                                code { (replaced.name) } " is on trial: the " (replaced.value) " of this case is set aside"
                            } @else {
                                code { (replaced.name) } " = " (replaced.value) " in place of " (replaced.base)
                            }
                            @if let Some(source) = &replaced.source { ", " (source) (self.cite([source.as_str()])) }
                        }
                    }
                    @if scene.replaced.is_empty() { li { "It replaces nothing." } }
                    @if self.tells() {
                        @for flip in &scene.flips {
                            li {
                                code { (flip.text) } " now " b { (verdict(flip.now)) }
                                @if let Some(message) = &flip.message { ": " (coded(&sentence(message))) }
                            }
                        }
                        @for problem in &scene.problems { li class="bad" { (coded(&problem_told(problem))) } }
                        @for (code, told) in &scene.cautions {
                            li { b { "Caution, " (spaced(code)) ". " } (coded(&sentence(told))) }
                        }
                    }
                }
            }
        }
    }

    // ---- what closes the page ----

    pub(super) fn uncovered(self) -> Markup {
        let cautions = self.handout.cautions.iter().enumerate();
        let cautions = cautions.filter(|(_, more)| more.place == Place::Uncovered);
        html! {
            section id="uncovered" {
                h2 { "What the numbers do not cover" }
                p {
                    "Behind a value that was measured, quoted or assumed, ± says how far it may be off. Behind a worked \
                     one it is the expanded uncertainty: with k = 2 the true value lies within about 19 times in 20. \
                     It covers what may be off in the inputs, and nothing else. Values are shown rounded; the \
                     worksheet goes on with all their digits."
                }
                @for (number, _) in cautions { (self.caution_text(number)) }
                ul {
                    @for told in &self.handout.uncovered {
                        li {
                            @if !told.of.is_empty() { code { (told.of) } ": " }
                            (coded(&told.told)) (self.cite(told.sources.iter().map(|source| source.title)))
                        }
                    }
                }
            }
        }
    }

    pub(super) fn problems(self) -> Markup {
        let problems = &self.handout.report.problems;
        html! {
            @if !problems.is_empty() {
                section id="problems" {
                    h2 { "Problems" }
                    @if self.tells() {
                        ul { @for problem in problems { li { (coded(&problem_told(problem))) } } }
                    } @else {
                        p { a href="#key-problems" { "They are told with the answer key." } }
                    }
                }
            }
        }
    }

    pub(super) fn sources(self) -> Markup {
        let sources = self.handout.sources.list();
        html! {
            @if !sources.is_empty() {
                section id="sources" {
                    h2 { "Sources" }
                    ol {
                        @for (number, source) in sources.iter().enumerate() {
                            li id=(self.id("source", number)) {
                                (source.title) " " span class="known" { (source.standings.join(", ")) }
                            }
                        }
                    }
                }
            }
        }
    }

    /// The numbers of these sources, each leading there.
    pub(super) fn cite<'a>(self, titles: impl IntoIterator<Item = &'a str>) -> Markup {
        let numbers: Vec<usize> = titles
            .into_iter()
            .filter_map(|title| self.handout.sources.number(title))
            .collect();
        html! {
            @if !numbers.is_empty() {
                " " span class="cite" {
                    "["
                    @for (index, number) in numbers.iter().enumerate() {
                        @if index > 0 { ", " }
                        a href={ "#source-" (number) } aria-label={ "source " (number) } { (number) }
                    }
                    "]"
                }
            }
        }
    }

    // ---- the key ----

    pub(super) fn key(self) -> Markup {
        if !self.is_blank() {
            return html! {};
        }
        let key = Page {
            handout: self.handout.key.as_deref().unwrap_or(self.handout),
            part: Area::Key,
        };
        let report = &self.handout.report;
        html! {
            section id="key" class="key" {
                h2 { "Answer key" }
                p class="small" {
                    "These answers follow from the lines of the worksheet. Where a line is wrong, so are its answer and its check."
                }
                (key.answers("key-answers"))
                @for section in &key.handout.report.sections { (key.key_section(section)) }
                (key.budgets())
                (key.cases())
                @if !report.problems.is_empty() {
                    section id="key-problems" {
                        h3 { "Problems" }
                        ul { @for problem in &report.problems { li { (coded(&problem_told(problem))) } } }
                    }
                }
            }
        }
    }

    /// What a section left to the reader, and its checks with their hints.
    fn key_section(self, section: &Section) -> Markup {
        let parts: Vec<&Part> = section.parts.iter().filter(|part| self.is_left(part)).collect();
        html! {
            @if !parts.is_empty() {
                section {
                    @if !section.title.is_empty() { h3 { (section.title) } }
                    @for part in parts { (self.run(&[part], "")) }
                }
            }
        }
    }

    /// Whether it was left to the reader.
    fn is_left(self, part: &Part) -> bool {
        match part {
            Part::Entry(place) => !self.is_given(part) || self.is_exercise(*place),
            Part::Table(place) => self.handout.report.tables.get(*place).is_some_and(|table| table.made),
            Part::Chart(place) => self.handout.charts.get(*place) == Some(&Whose::Worked),
            // one that asks for a blank stands beside its answer
            Part::Check(number) => self.asked_by(*number).is_none(),
            Part::Prose(_) | Part::Rule(_) => false,
        }
    }
}

fn holding(scenes: &[Scene]) -> Markup {
    html! {
        @if scenes.iter().all(|scene| !scene.checks.is_empty()) {
            tr {
                th scope="row" { "checks that hold" }
                @for scene in scenes {
                    @let holding = scene.checks.iter().filter(|check| check.holds == Some(true)).count();
                    td { (holding) " of " (scene.checks.len()) }
                }
            }
        }
    }
}

fn problem_told(problem: &Problem) -> String {
    let file = problem.file.as_ref().map_or(String::new(), |file| format!("{file}, "));
    let help = problem
        .help
        .as_ref()
        .map_or(String::new(), |help| format!(" Try: {}", closed(help)));
    format!("{file}line {}: {}{help}", problem.line, sentence(&problem.message))
}
