//! What closes a page: cases side by side, what the numbers don't cover, sources, the key.
//!
//! Start reading at [`Page::key`].

use maud::{Markup, PreEscaped, html};

use super::super::chart::{Chart, svg};
use super::super::compare::{Answer, Scene};
use super::super::doubt::Doubt;
use super::super::model::{Part, Problem, Section};
use super::super::visible::{closed, sentence};
use super::page::{Page, id};
use super::pieces::{cells, coded, in_two, spaced};
use super::typeset::set;
use super::{FOLLOWS, Left, Place, Whose};

/// So many cases or answers stand side by side on paper.
const CASE_COLUMNS: usize = 6;

impl Page<'_> {
    // ---- how sure ----

    pub(super) fn shows_budgets(self) -> bool {
        !self.handout.budgets.is_empty()
    }

    /// For each answer what makes it uncertain; answers with the same bars together.
    pub(super) fn budgets(self) -> Markup {
        if !self.shows_budgets() {
            return html! {};
        }
        let mut told: Vec<(&Chart, Vec<&Doubt>)> = Vec::new();
        for doubt in &self.handout.budgets {
            let Some(chart) = &doubt.chart else { continue };
            match told.iter_mut().find(|(known, _)| known.body == chart.body) {
                Some((_, doubts)) => doubts.push(doubt),
                None => told.push((chart, vec![doubt])),
            }
        }
        html! {
            section id="how-sure" {
                h2 { "How sure" }
                p {
                    "The share of each value in the variance of an answer, after JCGM 100: the longest bar is what to \
                     weigh or measure better. What has no ± has no bar, though it may be a guess."
                }
                div class="grid" {
                    @for (place, (chart, doubts)) in told.iter().enumerate() {
                        figure {
                            @for doubt in doubts { p { (set(&doubt.shown)) } }
                            @let names: Vec<&str> = doubts.iter().map(|doubt| doubt.label.as_deref().unwrap_or(&doubt.answer)).collect();
                            @let chart = Chart { title: names.join(" and "), ..(*chart).clone() };
                            div class="drawn" { (PreEscaped(svg::write(&chart, &id("how-sure", place)))) }
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
        html! {
            section id="cases" {
                h2 { "Cases side by side" }
                @if !self.handout.trials.is_empty() { p { "The values on trial stand in every one of them." } }
                (self.case_tables(&cases.cases))
                dl {
                    @for (number, scene) in cases.cases.iter().enumerate() {
                        @if scene.name.is_some() { (self.scene(scene, cases.cases.get(..number).unwrap_or(&[]))) }
                    }
                }
            }
        }
    }

    /// A row for each answer and a column for each case, or the other way round where there are
    /// more cases than answers; of many columns several tables.
    fn case_tables(self, scenes: &[Scene]) -> Markup {
        let answers = scenes.first().map_or(0, |base| base.answers.len());
        let turned = scenes.len() > answers.max(CASE_COLUMNS);
        let across = if turned { answers } else { scenes.len() };
        let parts = across.div_ceil(CASE_COLUMNS).max(1);
        let wide = across.div_ceil(parts);
        html! {
            @if answers > 0 {
                @for part in 0..parts {
                    @let columns = part * wide..across.min((part + 1) * wide);
                    div class="scroll" tabindex="0" role="region" aria-label="Answers in each case" {
                        table class="cases" {
                            caption class="unseen" { "Answers in each case" }
                            thead {
                                tr {
                                    th scope="col" { (if turned { "Case" } else { "Answer" }) }
                                    @for column in columns.clone() {
                                        th scope="col" {
                                            @if turned { (case_answer(scenes, column)) }
                                            @else if let Some(scene) = scenes.get(column) { (self.case_name(scene)) }
                                        }
                                    }
                                }
                            }
                            tbody {
                                @for row in 0..(if turned { scenes.len() } else { answers }) {
                                    tr {
                                        th scope="row" {
                                            @if !turned { (case_answer(scenes, row)) }
                                            @else if let Some(scene) = scenes.get(row) { (self.case_name(scene)) }
                                        }
                                        @for column in columns.clone() {
                                            @let (scene, answer) = if turned { (row, column) } else { (column, row) };
                                            @let answer = scenes.get(scene).and_then(|scene| scene.answers.get(answer));
                                            td { @if let Some(answer) = answer { (case_value(answer)) } }
                                        }
                                    }
                                }
                                @if !turned { (holding(scenes.get(columns).unwrap_or(&[]))) }
                            }
                        }
                    }
                }
            }
        }
    }

    fn case_name(self, scene: &Scene) -> Markup {
        let in_hand = self.handout.report.case.as_ref().map(|case| case.name.as_str());
        let name = scene.name.as_deref().unwrap_or("base");
        html! {
            @for (place, part) in name.split('_').enumerate() {
                @if place > 0 { "_" (PreEscaped("<wbr/>")) }
                (part)
            }
            @if scene.name.as_deref() == in_hand { span class="small" { "in hand" } }
        }
    }

    /// What a case replaces, and what comes of it that no case before it has said.
    fn scene(self, scene: &Scene, before: &[Scene]) -> Markup {
        let said = |message: &Option<String>| {
            let mut flips = before.iter().flat_map(|scene| &scene.flips);
            flips.any(|flip| flip.message == *message)
        };
        let known = |one: &(String, String)| {
            before
                .iter()
                .any(|scene| scene.cautions.iter().any(|other| other.0 == one.0))
        };
        let new = scene.cautions.iter().filter(|one| !known(one));
        let new: Vec<&(String, String)> = new.collect();
        html! {
            dt { code { (scene.name.as_deref().unwrap_or("base")) } @if let Some(title) = &scene.title { " " (title) } }
            dd {
                @for replaced in &scene.replaced {
                    @if replaced.set_aside {
                        code { (replaced.name) } " is on trial: the " (set(&replaced.value)) " of this case is set aside"
                    } @else {
                        code { (replaced.name) } " = " (set(&replaced.value)) " in place of " (set(&replaced.base))
                    }
                    @if let Some(source) = &replaced.source { ", " (source) }
                    ". "
                }
                @if scene.replaced.is_empty() { "It replaces nothing. " }
                @if !scene.flips.is_empty() || !scene.problems.is_empty() || !new.is_empty() {
                    ul {
                        @for flip in &scene.flips {
                            li {
                                code { (flip.text) } " now " b { (super::super::model::verdict(flip.now)) }
                                @if let Some(message) = flip.message.as_ref().filter(|_| !said(&flip.message)) {
                                    ": " (coded(&sentence(message)))
                                }
                            }
                        }
                        @for problem in &scene.problems { li class="bad" { (coded(&problem_told(problem))) } }
                        @for (code, told) in new { li { b { (spaced(code)) ". " } (coded(&sentence(told))) } }
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
                div class="fine" {
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
    }

    pub(super) fn problems(self) -> Markup {
        let problems = &self.handout.report.problems;
        html! {
            @if !problems.is_empty() {
                section id="problems" {
                    h2 { "Problems" }
                    ul { @for problem in problems { li { (coded(&problem_told(problem))) } } }
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
                            li id=(id("source", number)) {
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
            @if !numbers.is_empty() && self.is_full() {
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

    /// What the page to fill in leaves out, by itself.
    pub(super) fn key(self) -> Markup {
        let report = &self.handout.report;
        html! {
            header {
                p class="kind" { "Answer key" }
                h1 { (self.title()) }
                (self.in_hand())
                @if let Some(line) = report.problem_line() { p class="wrong" { a href="#problems" { (line) } } }
                p class="small" {
                    "These answers follow from the lines of the worksheet. Where a line is wrong, so are its answer and its check."
                    @if self.handout.goes_on { " " (FOLLOWS) }
                }
            }
            main id="main" class="key" {
                @if self.handout.entries.iter().any(|more| more.left == Left::Open) { (self.answers("short-answers")) }
                @for (number, section) in report.sections.iter().enumerate() { (self.key_section(number, section)) }
                (self.problems())
            }
            (self.footer())
        }
    }

    /// What a section left to the reader, and its checks with their hints.
    fn key_section(self, number: usize, section: &Section) -> Markup {
        let parts: Vec<&Part> = section.parts.iter().filter(|part| self.is_left(part)).collect();
        html! {
            @if !parts.is_empty() {
                section id=(id("section", number)) {
                    @if !section.title.is_empty() { h2 { (section.title) } }
                    @for part in parts {
                        @match part {
                            Part::Entry(place) if self.is_exercise(*place) => (self.exercise(*place)),
                            Part::Check(number) => (self.check_in_key(*number)),
                            part => (self.run(&[part], "")),
                        }
                    }
                }
            }
        }
    }

    /// Whether an entry is a blank that a check asks for.
    fn is_exercise(self, place: usize) -> bool {
        let more = self.handout.entries.get(place);
        more.is_some_and(|more| more.solution.is_some())
    }

    /// Whether it was left to the reader.
    fn is_left(self, part: &Part) -> bool {
        match part {
            // of exercises the answers are enough, and a check stands beside its answer
            _ if self.handout.has_exercises && !matches!(part, Part::Entry(_)) => false,
            Part::Entry(_) | Part::Table(_) => self.handout.more(part).is_some_and(|more| more.left == Left::Open),
            Part::Chart(place) => self.handout.charts.get(*place) == Some(&Whose::Worked),
            Part::Check(_) => true,
            Part::Prose(_) | Part::Rule(_) | Part::RestsOn(_) => false,
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

fn case_answer(scenes: &[Scene], place: usize) -> Markup {
    let answer = scenes.first().and_then(|base| base.answers.get(place));
    html! { @if let Some(answer) = answer { (answer.label.as_deref().unwrap_or(&answer.name)) } }
}

fn case_value(answer: &Answer) -> Markup {
    html! {
        @match answer.shown.listed() {
            Some(rows) => (cells(&answer.name, rows)),
            None => span class="whole" { (set(&answer.shown.value)) },
        }
        @if let Some(uncertainty) = &answer.shown.uncertainty { " " span class="out" { "± " (set(in_two(uncertainty).0)) } }
        @if let Some(mark) = &answer.shown.mark { span class="small" { (mark) } }
        @if !answer.as_in_base {
            @if let Some(share) = answer.short.last() { span class="small" { (set(share)) } }
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
