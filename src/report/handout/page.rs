//! The page itself: what stands where, as HTML that is well-formed XML too.
//!
//! Text from the worksheet is escaped by the markup macro, and what would act in
//! place of being shown is made visible in the finished page, so that nothing gets
//! past. The page loads nothing and runs nothing. In the blank form what is worked
//! out stands in the key alone. Start reading at [`write()`].

use maud::{Markup, PreEscaped, html};

use super::super::chart::svg;
use super::super::document::frame::{harmless, together, whole};
use super::super::model::{CARBON_MONOXIDE, Caution, Check, Entry, EntryKind, LOCAL_CODE, Part, Section};
use super::super::visible::sentence;
use super::math::Math;
use super::mathml::equation;
use super::pieces::{
    called, coded, empty_chart, held, is_short, room, rows, spaced, unit_of, value_markup, writing_lines,
};
use super::{CautionMore, Derivation, Form, Handout, MADE, Place, Rule, Solution, Whose};

/// The whole page.
pub fn write(handout: &Handout) -> String {
    let page = Page {
        handout,
        part: Area::Front,
    };
    harmless(&whole(
        &html! { (PreEscaped(MADE)) },
        &page.title_of_tab(),
        &page.body(),
    ))
}

/// Which part of the page is written.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Area {
    /// What everybody reads.
    Front,
    /// The answers to a page with blanks.
    Key,
}

/// What is written, and where.
#[derive(Clone, Copy)]
pub(super) struct Page<'a> {
    pub(super) handout: &'a Handout,
    pub(super) part: Area,
}

impl<'a> Page<'a> {
    pub(super) fn is_blank(self) -> bool {
        self.handout.form == Form::Blank
    }

    /// Whether worked values stand here.
    pub(super) fn tells(self) -> bool {
        self.part == Area::Key || !self.is_blank()
    }

    /// An id that the key doesn't share with the page.
    pub(super) fn id(self, what: &str, number: usize) -> String {
        let key = if self.part == Area::Key { "key-" } else { "" };
        format!("{key}{what}-{}", number + 1)
    }

    fn title(&self) -> &str {
        self.handout.report.title.as_deref().unwrap_or("Worksheet")
    }

    fn title_of_tab(self) -> Markup {
        html! { (self.title()) @if self.is_blank() { ", to fill in" } }
    }

    fn body(self) -> Markup {
        html! {
            (self.header())
            (self.contents())
            main id="main" {
                (self.in_short())
                (self.sections())
                (self.budgets())
                (self.cases())
                (self.uncovered())
                (self.problems())
                (self.sources())
                (self.key())
            }
            footer {
                p { "Made with Tarebook from " code { (self.handout.name) } ". " (LOCAL_CODE) }
            }
        }
    }

    // ---- top ----

    fn header(self) -> Markup {
        html! {
            header {
                p class="kind" {
                    @if self.is_blank() { "Handout to fill in, " } @else { "Handout, " }
                    "from " code { (self.handout.name) }
                }
                h1 { (self.title()) }
                (self.in_hand())
                @for prose in self.handout.report.opening() { p { (coded(prose)) } }
                @if let Some(line) = self.handout.report.problem_line() {
                    p class="wrong" { a href="#problems" { (line) } }
                }
            }
        }
    }

    /// The case and the trials, which everything below is worked out for.
    fn in_hand(self) -> Markup {
        let report = &self.handout.report;
        html! {
            @if report.case.is_some() || !self.handout.trials.is_empty() {
                div class="hand" {
                    @if let Some(case) = &report.case {
                        p {
                            b { "Case " } code { (case.name) }
                            @if let Some(title) = &case.title { ": " (title) }
                            ". Everything here is worked out for it, not for the worksheet as it stands."
                        }
                    }
                    @if !self.handout.trials.is_empty() {
                        p { b { "On trial" } ", not part of the record:" }
                        ul {
                            @for tried in &self.handout.trials {
                                li {
                                    code { (tried.name) " = " (tried.value) }
                                    @if self.tells() || !tried.worked { ", in place of " (tried.record) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn contents(self) -> Markup {
        let report = &self.handout.report;
        let headed = report
            .sections
            .iter()
            .enumerate()
            .filter(|(_, section)| self.is_headed(section));
        let headed: Vec<(usize, &Section)> = headed.filter(|(_, section)| section.level < 3).collect();
        html! {
            @if headed.len() > 2 {
                nav aria-label="Contents" {
                    ol {
                        @if self.has_short() { li { a href="#short" { "In short" } } }
                        @for (number, section) in &headed {
                            li { a href={ "#" (self.id("section", *number)) } { (section.title) } }
                        }
                        @if self.shows_budgets() { li { a href="#how-sure" { "How sure" } } }
                        @if self.shows_cases() { li { a href="#cases" { "Cases side by side" } } }
                        li { a href="#uncovered" { "What the numbers do not cover" } }
                        @if !self.handout.sources.list().is_empty() { li { a href="#sources" { "Sources" } } }
                        @if self.is_blank() { li { a href="#key" { "Answer key" } } }
                    }
                }
            }
        }
    }

    fn in_short(self) -> Markup {
        if !self.has_short() {
            return html! {};
        }
        html! {
            section id="short" {
                h2 { "In short" }
                (self.answers("short-answers"))
                (self.checks("short-checks"))
                (self.cautions_on_top())
            }
        }
    }

    /// Whether there is something to say in short; a page of exercises alone has nothing.
    fn has_short(self) -> bool {
        let report = &self.handout.report;
        let told = report.checks.is_empty() || !self.checks_to_tick().is_empty();
        told || !report.cautions.is_empty() || report.answers().next().is_some()
    }

    /// The checks at the top: one that asks for a blank stands in the key of a page with blanks.
    fn checks_to_tick(self) -> Vec<(usize, &'a Check)> {
        let checks = self.handout.report.checks.iter().enumerate();
        checks.filter(|(number, _)| !self.is_kept_back(*number)).collect()
    }

    /// Whether a check waits for the key.
    fn is_kept_back(self, number: usize) -> bool {
        self.asked_by(number).is_some() && !self.tells()
    }

    /// The blank that a check asks for.
    pub(super) fn asked_by(self, number: usize) -> Option<&'a str> {
        self.handout.checks.get(number)?.asks.as_deref()
    }

    pub(super) fn answers(self, id: &str) -> Markup {
        let report = &self.handout.report;
        let answers = report
            .entries
            .iter()
            .enumerate()
            .filter(|(_, entry)| entry.kind == EntryKind::Answer);
        let answers: Vec<(usize, &Entry)> = answers.collect();
        html! {
            @if answers.is_empty() {
                // what has checks alone, such as an exercise, is not there for answers
                @if report.checks.is_empty() {
                    p { "This worksheet names no answers." }
                }
            } @else {
                table class="answers" id=(id) {
                    caption { "Answers" }
                    thead { tr { th scope="col" { "Answer" } th scope="col" { "Value" } } }
                    tbody {
                        @for (place, answer) in answers {
                            tr {
                                th scope="row" {
                                    a href={ "#" (self.id("entry", place)) } { (called(answer)) }
                                    @if answer.label.is_some() { " " code { (answer.name) } }
                                    @let rests = answer.how_known();
                                    @if !rests.is_empty() { span class="small" { "rests on " (rests) } }
                                }
                                td class="value" { (self.value_of(place, answer)) }
                            }
                        }
                    }
                }
            }
        }
    }

    /// A value where it may be told, else room to write.
    fn value_of(self, place: usize, entry: &Entry) -> Markup {
        let whose = self.handout.entries.get(place).map_or(Whose::Given, |more| more.whose);
        match whose {
            Whose::ToFill => room(unit_of(entry)),
            Whose::Worked if !self.tells() => room(unit_of(entry)),
            _ => value_markup(entry),
        }
    }

    fn checks(self, id: &str) -> Markup {
        let checks = self.checks_to_tick();
        html! {
            @if !checks.is_empty() {
                table class={ "checks " (together(checks.len())) } id=(id) {
                    caption { "Checks" }
                    thead { tr { th scope="col" { "What is expected" } th scope="col" { "Does it hold?" } } }
                    tbody {
                        @for (number, check) in checks {
                            tr id=(self.id("check", number)) {
                                th scope="row" {
                                    code { (check.text) }
                                    @if self.tells() {
                                        @for told in check.message.iter().chain(&check.remark) {
                                            span class="small" { (coded(&sentence(told))) }
                                        }
                                    }
                                }
                                td { (self.verdict(check)) }
                            }
                        }
                    }
                }
            }
        }
    }

    fn verdict(self, check: &Check) -> Markup {
        let tone = match check.holds {
            Some(true) => "good",
            Some(false) => "bad",
            None => "open",
        };
        match self.tells() {
            true => html! { span class=(tone) { (check.verdict()) } },
            false => html! { span class="choice" { "☐ holds" } " " span class="choice" { "☐ does not hold" } },
        }
    }

    // ---- cautions ----

    /// What nobody may miss, in full; and where the other cautions are.
    fn cautions_on_top(self) -> Markup {
        let report = &self.handout.report;
        let at = |wanted: Place| {
            let cautions = report.cautions.iter().zip(&self.handout.cautions).enumerate();
            cautions.filter(move |(_, (_, more))| more.place == wanted)
        };
        let mut named = Vec::new();
        for (number, (caution, _)) in at(Place::Beside) {
            if !named.iter().any(|(_, code)| *code == caution.code.as_str()) {
                named.push((number, caution.code.as_str()));
            }
        }
        let monoxide = report.cautions.iter().any(|caution| caution.code == "carbon-monoxide");
        html! {
            @if !report.cautions.is_empty() {
                div class="caution first" role="note" aria-label="Cautions" {
                    p class="head" { "Cautions" }
                    @if !monoxide { p { (CARBON_MONOXIDE) } }
                    @for (number, _) in at(Place::Top) { (self.caution_text(number)) }
                    p { b { (LOCAL_CODE) } }
                    @if !named.is_empty() {
                        p {
                            "In full where they matter: "
                            @for (index, (number, code)) in named.iter().enumerate() {
                                @if index > 0 { ", " }
                                a href={ "#" (self.front_caution(*number)) } { (code) }
                            }
                            "."
                        }
                    }
                }
            }
        }
    }

    /// Where a caution stands in the page, also seen from the key.
    fn front_caution(self, number: usize) -> String {
        Page {
            part: Area::Front,
            ..self
        }
        .id("caution", number)
    }

    pub(super) fn caution_text(self, number: usize) -> Markup {
        let caution = self.handout.report.cautions.get(number);
        let Some((caution, more)) = caution.zip(self.handout.cautions.get(number)) else {
            return html! {};
        };
        let said = if self.tells() { &caution.text } else { &more.general };
        html! {
            p id=(self.id("caution", number)) {
                b { (spaced(&caution.code)) ". " } (coded(&sentence(said))) (self.cite([more.source.as_str()]))
            }
        }
    }

    /// The cautions that an entry or a table raises: in full, or where they are.
    fn cautions_beside(self, said: &[usize], elsewhere: &[usize]) -> Markup {
        let code = |number: &usize| {
            self.handout
                .report
                .cautions
                .get(*number)
                .map_or("", |caution| &caution.code)
        };
        html! {
            @if !said.is_empty() {
                div class="caution" role="note" aria-label="Caution" {
                    @for number in said { (self.caution_text(*number)) }
                }
            }
            @if !elsewhere.is_empty() {
                p class="notes" {
                    (if elsewhere.len() == 1 { "See the caution " } else { "See the cautions " })
                    @for (index, number) in elsewhere.iter().enumerate() {
                        @if index > 0 { ", " }
                        a href={ "#" (self.front_caution(*number)) } { (code(number)) }
                    }
                    "."
                }
            }
        }
    }

    // ---- the worksheet from top to bottom ----

    /// Whether a section has a heading of its own and something below it.
    fn is_headed(self, section: &Section) -> bool {
        !section.title.is_empty() && !section.parts.is_empty()
    }

    fn sections(self) -> Markup {
        let mut level = 1;
        let mut written = Vec::new();
        for (number, section) in self.handout.report.sections.iter().enumerate() {
            if self.handout.report.below_opening(number, section).is_empty() {
                continue;
            }
            if self.is_headed(section) {
                level = section.level.clamp(2, level + 1);
            }
            written.push(self.section(number, section, level));
        }
        html! { @for section in written { (section) } }
    }

    fn section(self, number: usize, section: &Section, level: u8) -> Markup {
        let title = &section.title;
        html! {
            section id=(self.id("section", number)) {
                @if self.is_headed(section) {
                    @if level == 2 { h2 { (title) } } @else { h3 { (title) } }
                }
                @for run in self.runs(self.handout.report.below_opening(number, section)) { (self.run(&run, title)) }
            }
        }
    }

    /// Parts one by one, but inputs that follow each other together.
    fn runs(self, parts: &[Part]) -> Vec<Vec<&Part>> {
        let mut runs: Vec<Vec<&Part>> = Vec::new();
        for part in parts {
            match runs.last_mut() {
                Some(run) if self.is_given(part) && run.iter().all(|one| self.is_given(one)) => run.push(part),
                _ => runs.push(vec![part]),
            }
        }
        runs
    }

    pub(super) fn is_given(self, part: &Part) -> bool {
        match part {
            Part::Entry(place) => self
                .handout
                .entries
                .get(*place)
                .is_some_and(|more| more.whose != Whose::Worked),
            _ => false,
        }
    }

    pub(super) fn run(self, run: &[&Part], title: &str) -> Markup {
        match run {
            [Part::Entry(place)] if self.part == Area::Key && self.is_exercise(*place) => self.exercise(*place),
            [first, ..] if self.is_given(first) => self.inputs(run, title),
            [Part::Prose(prose)] => html! { p { (coded(prose)) } },
            [Part::Entry(place)] => self.worked(*place),
            [Part::Table(place)] => self.table(*place),
            [Part::Check(number)] => self.check(*number),
            [Part::Chart(place)] => self.chart(*place),
            [Part::Rule(rule)] => {
                html! { p class="rule" { "Rule of this worksheet: " code { (rule.trim_start_matches("rule ")) } } }
            }
            _ => html! {},
        }
    }

    /// Whether an entry is a blank that a check asks for.
    pub(super) fn is_exercise(self, place: usize) -> bool {
        let more = self.handout.entries.get(place);
        more.is_some_and(|more| more.solution.is_some())
    }

    /// The answer to an exercise.
    fn exercise(self, place: usize) -> Markup {
        let Some((entry, more)) = self
            .handout
            .report
            .entries
            .get(place)
            .zip(self.handout.entries.get(place))
        else {
            return html! {};
        };
        html! {
            div class="work" id=(self.id("entry", place)) {
                (about(entry, html! { "exercise" @if let Some(asked) = &entry.source { ", " (asked) } }))
                @match &more.solution {
                    Some(Solution::Worked { formula, values, result }) => {
                        div class="formula" {
                            @let lines: Vec<&Math> = std::iter::once(formula).chain(values).chain([result]).collect();
                            (equation(&entry.name, &lines))
                        }
                    }
                    Some(Solution::Counted { result, tried }) => {
                        div class="formula" { (equation(&entry.name, &[result])) }
                        p class="notes" { "Of the whole numbers up to " (tried) " it alone meets every check." }
                    }
                    _ => p class="open" { "No answer can be told from its checks; work it out yourself." },
                }
                @for number in 0..self.handout.checks.len() {
                    @if self.asked_by(number) == Some(entry.name.as_str()) { (self.check(number)) }
                }
            }
        }
    }

    fn inputs(self, run: &[&Part], title: &str) -> Markup {
        let places = run.iter().filter_map(|part| match part {
            Part::Entry(place) => Some((*place, self.handout.report.entries.get(*place)?)),
            _ => None,
        });
        let places: Vec<(usize, &Entry)> = places.collect();
        html! {
            table class={ "inputs " (if places.len() <= 4 { "together" } else { "long" }) } {
                caption class="unseen" { "Inputs" @if !title.is_empty() { ": " (title) } }
                thead class="unseen" {
                    tr { th scope="col" { "Input" } th scope="col" { "Value" } th scope="col" { "How it is known" } }
                }
                tbody { @for (place, entry) in &places { (self.input(*place, entry)) } }
            }
            @for (place, entry) in &places {
                @if let Some(more) = self.handout.entries.get(*place) {
                    @if !more.cautions.is_empty() || !more.cautioned.is_empty() {
                        p class="notes" { "On " code { (entry.name) } ":" }
                        (self.cautions_beside(&more.cautions, &more.cautioned))
                    }
                }
            }
        }
    }

    fn input(self, place: usize, entry: &Entry) -> Markup {
        html! {
            tr id=(self.id("entry", place)) {
                th scope="row" {
                    @if let Some(label) = &entry.label { (label) " " }
                    code { (entry.name) }
                }
                td class="value" { (self.value_of(place, entry)) }
                td {
                    span class="known" {
                        (entry.kind.word())
                        @if let Some(holder) = entry.held_by { ", " (held(holder.word())) }
                    }
                    @if let Some(source) = &entry.source { " " (source) (self.cite([source.as_str()])) }
                    @if let Some(note) = &entry.note { span class="small" { (note) } }
                }
            }
        }
    }

    fn worked(self, place: usize) -> Markup {
        let report = &self.handout.report;
        let Some((entry, more)) = report.entries.get(place).zip(self.handout.entries.get(place)) else {
            return html! {};
        };
        html! {
            div class="work" id=(self.id("entry", place)) {
                (about(entry, html! { (entry.kind.word()) }))
                @match &more.derivation {
                    Some(derivation) => (self.derivation(entry, derivation)),
                    None => div { (self.value_of(place, entry)) },
                }
                @if let Some(source) = &entry.source { p class="notes" { "From " (source) (self.cite([source.as_str()])) } }
                @if let Some(note) = &entry.note { p class="notes" { (note) } }
                @if self.part == Area::Front { (self.cautions_beside(&more.cautions, &more.cautioned)) }
                @else { (self.told_by_values(&more.cautions)) }
            }
        }
    }

    /// In the key: the cautions whose words follow from the values.
    fn told_by_values(self, said: &[usize]) -> Markup {
        let cautions = self.handout.report.cautions.iter().zip(&self.handout.cautions);
        let told = |(number, (caution, more)): (usize, (&Caution, &CautionMore))| {
            (said.contains(&number) && caution.text != more.general).then_some(number)
        };
        let said: Vec<usize> = cautions.enumerate().filter_map(told).collect();
        self.cautions_beside(&said, &[])
    }

    fn derivation(self, entry: &Entry, derivation: &Derivation) -> Markup {
        let mut lines = vec![&derivation.formula];
        if self.tells() {
            lines.extend(&derivation.values);
            lines.extend(&derivation.result);
        }
        let known = derivation.result.is_some();
        html! {
            div class="formula" { (equation(&entry.name, &lines)) }
            @if self.tells() && !known { p class="open" { (sentence(&entry.shown.display())) } }
            @if !self.tells() { (writing_lines(&entry.name, unit_of(entry))) }
            (self.under(derivation))
        }
    }

    /// Conversions and rules below a formula.
    fn under(self, derivation: &Derivation) -> Markup {
        html! {
            @if self.tells() && !derivation.conversions.is_empty() {
                p class="notes" { "With " (derivation.conversions.join(", ")) "." }
            }
            @for rule in &derivation.rules { (self.rule(rule)) }
        }
    }

    fn rule(self, rule: &Rule) -> Markup {
        html! {
            p class="notes" {
                @if rule.name.is_empty() { "By this worksheet's own rule " } @else { "By " code { (rule.name) } ": " }
                (rule.formula)
                @if let Some(values) = rule.with_values.as_ref().filter(|_| self.tells() && is_short(&rule.formula)) {
                    " = " (values)
                }
                (self.cite(rule.sources.iter().map(|source| source.title)))
            }
        }
    }

    fn check(self, number: usize) -> Markup {
        let check = self.handout.report.checks.get(number);
        let Some(check) = check.filter(|_| !self.is_kept_back(number)) else {
            return html! {};
        };
        if self.part == Area::Key {
            return self.check_in_key(number, check);
        }
        html! {
            p class="check" {
                "Check: " a href={ "#" (self.id("check", number)) } { code { (check.text) } } " "
                (self.verdict(check))
            }
        }
    }

    /// A check with what it says to who got it wrong.
    fn check_in_key(self, number: usize, check: &Check) -> Markup {
        let hint = self.handout.checks.get(number).and_then(|more| more.hint.as_ref());
        let unsaid = |told: &&String| check.holds.is_none() || Some(*told) != hint;
        html! {
            div class="check" id=(self.id("check", number)) {
                p { "Check: " code { (check.text) } " " (self.verdict(check)) }
                @for told in check.message.iter().filter(unsaid).chain(&check.remark) {
                    p class="notes" { (coded(&sentence(told))) }
                }
                @if let Some(hint) = hint {
                    p class="notes" { b { "Hint, where it does not hold: " } (coded(&sentence(hint))) }
                }
            }
        }
    }

    // ---- tables ----

    pub(super) fn table(self, place: usize) -> Markup {
        let report = &self.handout.report;
        let Some((table, more)) = report.tables.get(place).zip(self.handout.tables.get(place)) else {
            return html! {};
        };
        let hidden = table.made && !self.tells();
        html! {
            div class="work" id=(self.id("table", place)) {
                p class="about" {
                    b { (table.label.as_deref().unwrap_or(&table.name)) }
                    @if table.label.is_some() { " " code { (table.name) } }
                    span class="known" { "table" }
                    @if let Some(source) = &table.source { " " (source) (self.cite([source.as_str()])) }
                }
                @if let Some(derivation) = &more.derivation {
                    div class="formula" {
                        (equation(&table.name, &self.shown_lines(derivation)))
                    }
                    (self.under(derivation))
                }
                @match &table.standing {
                    Some(standing) => p class="open" { (sentence(standing)) },
                    None => (rows(table, hidden)),
                }
                @if self.part == Area::Front { (self.cautions_beside(&more.cautions, &more.cautioned)) }
                @else { (self.told_by_values(&more.cautions)) }
            }
        }
    }

    fn shown_lines(self, derivation: &Derivation) -> Vec<&Math> {
        let values = derivation.values.iter().filter(|_| self.tells());
        std::iter::once(&derivation.formula).chain(values).collect()
    }

    // ---- charts ----

    pub(super) fn chart(self, place: usize) -> Markup {
        let Some(chart) = self.handout.report.charts.get(place) else {
            return html! {};
        };
        let whose = self.handout.charts.get(place).copied().unwrap_or(Whose::Worked);
        let id = self.id("chart", place);
        html! {
            figure id=(id) {
                @if whose == Whose::Worked && !self.tells() {
                    (empty_chart(chart))
                } @else {
                    div class="drawn" { (PreEscaped(svg::write_named(chart, &format!("{id}-drawn")))) }
                    figcaption { (chart.told) }
                }
            }
        }
    }
}

/// The first line of an entry that stands worked out: what it is called, and how it is known.
fn about(entry: &Entry, known: Markup) -> Markup {
    html! {
        p class="about" {
            b { (called(entry)) }
            @if entry.label.is_some() { " " code { (entry.name) } }
            span class="known" { (known) }
        }
    }
}
