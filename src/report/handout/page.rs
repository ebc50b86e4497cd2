//! The page itself: what stands where, as HTML that is well-formed XML too.
//!
//! Text from the worksheet is escaped by the markup macro, and what would act in
//! place of being shown is made visible in the finished page, so that nothing gets
//! past. The page loads nothing and runs nothing. What the page to fill in leaves to
//! the reader stands in the key, which is a page of its own. Start reading at [`body`].

use maud::{Markup, PreEscaped, html};

use super::super::chart::svg;
use super::super::document::frame::{harmless, together, whole};
use super::super::model::{Check, Entry, EntryKind, LOCAL_CODE, Part, Section};
use super::super::visible::sentence;
use super::math::Math;
use super::mathml::equation;
use super::pieces::{called, coded, empty_chart, held, is_short, room, rows, unit_of, value_markup, writing_lines};
use super::typeset::{rule as set_rule, set};
use super::{Derivation, Form, Handout, Left, MADE, More, Rule, Solution, Whose};

/// What stands on a page to read, to fill in, or with what that leaves out.
pub(super) fn body(handout: &Handout) -> Markup {
    let page = Page { handout };
    match handout.form {
        Form::Key => page.key(),
        _ => page.body(),
    }
}

/// The whole page around its body.
pub(super) fn around(handout: &Handout, body: &Markup) -> String {
    let title = Page { handout }.title_of_tab();
    harmless(&whole(&html! { (PreEscaped(MADE)) }, &title, body))
}

/// A page of this worksheet.
#[derive(Clone, Copy)]
pub(super) struct Page<'a> {
    pub(super) handout: &'a Handout,
}

impl<'a> Page<'a> {
    /// Whether it is the page to fill in.
    pub(super) fn is_to_fill(self) -> bool {
        self.handout.form == Form::Pupil
    }

    /// Whether it is a pupil's paper, or the key to one.
    fn is_of_a_lesson(self) -> bool {
        self.handout.has_exercises && matches!(self.handout.form, Form::Pupil | Form::Key)
    }

    /// Whether cautions, rules and sources stand there.
    pub(super) fn is_full(self) -> bool {
        self.handout.form == Form::Full
    }

    /// Whether every worked value is left to the reader, since there are no exercises.
    fn leaves_all(self) -> bool {
        self.is_to_fill() && !self.handout.has_exercises
    }

    /// Whether something that may be left to the reader stands here.
    fn tells(self, left: Left) -> bool {
        !self.is_to_fill() || left == Left::Told
    }

    /// Whether a part stands here at all.
    fn is_there(self, part: &Part) -> bool {
        !self.is_to_fill() || self.handout.more(part).is_none_or(|more| more.left != Left::Out)
    }

    fn more(self, place: usize) -> Option<(&'a Entry, &'a More)> {
        let entry = self.handout.report.entries.get(place)?;
        Some((entry, self.handout.entries.get(place)?))
    }

    pub(super) fn title(self) -> &'a str {
        self.handout.report.title.as_deref().unwrap_or("Worksheet")
    }

    fn title_of_tab(self) -> Markup {
        html! {
            @if let Form::Key = self.handout.form { "Key: " }
            (self.title())
            @if self.is_to_fill() { ", to fill in" }
        }
    }

    fn body(self) -> Markup {
        html! {
            (self.header())
            @if self.is_to_fill() {
                p class="whose" { "Name " span class="blank" {} " Date " span class="blank date" {} }
                main id="main" { (self.dangers_in_short()) (self.sections()) }
            } @else {
                (self.contents())
                main id="main" {
                    (self.in_short())
                    (self.sections())
                    (self.budgets())
                    (self.cases())
                    (self.uncovered())
                    (self.problems())
                    (self.sources())
                }
            }
            (self.footer())
        }
    }

    pub(super) fn footer(self) -> Markup {
        html! { footer { p { "Made with Tarebook from " code { (self.handout.name) } ". " (LOCAL_CODE) } } }
    }

    // ---- top ----

    fn header(self) -> Markup {
        html! {
            header {
                h1 { (self.title()) }
                (self.in_hand())
                @for prose in self.handout.report.opening() { p { (coded(prose)) } }
                @if let Some(line) = self.handout.report.problem_line().filter(|_| !self.is_to_fill()) {
                    p class="wrong" { a href="#problems" { (line) } }
                }
            }
        }
    }

    /// The case and the trials, which everything below is worked out for.
    pub(super) fn in_hand(self) -> Markup {
        let report = &self.handout.report;
        html! {
            @if report.case.is_some() || !self.handout.trials.is_empty() {
                div class="hand" {
                    @if let Some(case) = report.case.as_ref().filter(|_| self.is_of_a_lesson()) {
                        p { "For " b { (case.title.as_ref().unwrap_or(&case.name)) } }
                    } @else if let Some(case) = &report.case {
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
                                    @if !self.is_to_fill() || !tried.worked { ", in place of " (tried.record) }
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
                            li { a href={ "#" (id("section", *number)) } { (section.title) } }
                        }
                        @if self.shows_budgets() { li { a href="#how-sure" { "How sure" } } }
                        @if self.shows_cases() { li { a href="#cases" { "Cases side by side" } } }
                        li { a href="#uncovered" { "What the numbers do not cover" } }
                        @if !self.handout.sources.list().is_empty() { li { a href="#sources" { "Sources" } } }
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
                (self.checks())
                (self.dangers())
            }
        }
    }

    /// Whether there is something to say in short; a page of exercises alone has nothing.
    fn has_short(self) -> bool {
        let report = &self.handout.report;
        let mut checks = 0..report.checks.len();
        let told = checks.is_empty() || checks.any(|number| !self.is_asking(number));
        told || !report.cautions.is_empty() || report.answers().next().is_some()
    }

    /// Whether a check judges an exercise.
    fn is_asking(self, number: usize) -> bool {
        self.asked_by(number).is_some()
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
        // the key has what was left to the reader
        let is_open = |place| self.more(place).is_some_and(|(_, more)| more.left == Left::Open);
        let here = |place: usize| self.is_full() || is_open(place);
        let answers: Vec<(usize, &Entry)> = answers.filter(|(place, _)| here(*place)).collect();
        html! {
            @if answers.is_empty() {
                // what has checks alone, such as an exercise, is not there for answers
                @if report.checks.is_empty() {
                    p { "This worksheet names no answers." }
                }
            } @else {
                table class="answers" id=(id) {
                    caption class="unseen" { "Answers" }
                    thead class="unseen" { tr { th scope="col" { "Answer" } th scope="col" { "Value" } } }
                    tbody {
                        @for (place, answer) in answers {
                            tr {
                                th scope="row" {
                                    a href={ "#" (self::id("entry", place)) } { (called(answer)) }
                                    @if answer.label.is_some() { " " code { (answer.name) } }
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
        match self.handout.entries.get(place) {
            Some(more) if more.whose == Whose::ToFill || !self.tells(more.left) => room(unit_of(entry)),
            _ => value_markup(entry),
        }
    }

    /// The checks that don't hold or may not, and how many others do.
    fn checks(self) -> Markup {
        let checks = self.handout.report.checks.iter().enumerate();
        let (asking, checks): (Vec<_>, Vec<_>) =
            checks.partition(|(number, check)| check.holds.is_none() && self.is_asking(*number));
        let is_safe = |check: &Check| check.holds == Some(true) && !check.either_way;
        let (safe, told): (Vec<_>, Vec<_>) = checks.into_iter().partition(|(_, check)| is_safe(check));
        html! {
            @if !told.is_empty() {
                table class={ "checks " (together(told.len())) } id="short-checks" {
                    caption { "Checks that fail, or could go either way" }
                    thead class="unseen" { tr { th scope="col" { "What is expected" } th scope="col" { "Does it hold?" } } }
                    tbody {
                        @for (number, check) in &told {
                            tr {
                                th scope="row" {
                                    a href={ "#" (id("check", *number)) } { code { (check.text) } }
                                    @for told in check.message.iter().chain(&check.remark) {
                                        span class="small" { (coded(&sentence(told))) }
                                    }
                                }
                                td { (verdict(check)) }
                            }
                        }
                    }
                }
            }
            @match (safe.len(), told.is_empty()) {
                (0, _) => {},
                (1, true) => p class="good" { "The check holds." },
                (count, true) => p class="good" { "All " (count) " checks hold." },
                (1, false) => p { "One other check holds." },
                (count, false) => p { (count) " other checks hold." },
            }
            @match asking.len() {
                0 => {},
                1 => p class="open" { "One check waits for what is to be filled in." },
                count => p class="open" { (count) " checks wait for what is to be filled in." },
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
            section id=(id("section", number)) {
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
        for part in parts.iter().filter(|part| self.is_there(part)) {
            match runs.last_mut() {
                Some(run) if self.is_given(part) && run.iter().all(|one| self.is_given(one)) => run.push(part),
                _ => runs.push(vec![part]),
            }
        }
        runs
    }

    pub(super) fn is_given(self, part: &Part) -> bool {
        let given = |more: &More| more.whose != Whose::Worked && !(self.is_to_fill() && more.solution.is_some());
        self.handout.more(part).is_some_and(given)
    }

    pub(super) fn run(self, run: &[&Part], title: &str) -> Markup {
        match run {
            [first, ..] if self.is_given(first) => self.inputs(run, title),
            [Part::Prose(prose)] => html! { p { (coded(prose)) } },
            [Part::Entry(place)] => self.worked(*place),
            [Part::Table(place)] => self.table(*place),
            [Part::Check(number)] => self.check(*number),
            [Part::Chart(place)] => self.chart(*place),
            [Part::Rule(rule)] => html! {
                p class="rule" { "Rule of this worksheet: " code { (rule.trim_start_matches("rule ")) } }
            },
            [Part::RestsOn(told)] => html! { p class="rule" { "Rests on " (told) "." } },
            _ => html! {},
        }
    }

    /// A question with room to work it out.
    fn question(self, place: usize, entry: &Entry) -> Markup {
        html! {
            div class="question" id=(id("entry", place)) {
                p class="about" { b { (asked(entry)) } }
                (writing_lines(&entry.name, unit_of(entry)))
            }
        }
    }

    /// The answer to an exercise.
    pub(super) fn exercise(self, place: usize) -> Markup {
        let Some((entry, more)) = self.more(place) else {
            return html! {};
        };
        html! {
            div class="work" id=(id("entry", place)) {
                p class="about" { b { (asked(entry)) } }
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
                    Some(Solution::Unchecked) => p class="open" { "Not checked: no check asks for it." },
                    _ => p class="open" { "No answer can be told from its checks; work it out yourself." },
                }
                @for number in 0..self.handout.checks.len() {
                    @if self.asked_by(number) == Some(entry.name.as_str()) { (self.check_in_key(number)) }
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
            @for (place, _) in &places {
                @if let Some(more) = self.handout.entries.get(*place) { (self.cautions_beside(&more.cautions)) }
            }
        }
    }

    fn input(self, place: usize, entry: &Entry) -> Markup {
        let raised = self.more(place).map_or(&[][..], |(_, more)| more.cautioned.as_slice());
        html! {
            tr id=(id("entry", place)) {
                th scope="row" {
                    @if let Some(label) = &entry.label { (label) " " }
                    code { (entry.name) }
                    (self.letters(raised))
                }
                td class="value" { (self.value_of(place, entry)) }
                td {
                    @if self.is_to_fill() {
                        @for told in entry.source.iter().chain(&entry.note) { span class="small" { (told) } }
                    } @else {
                        span class="known" {
                            (entry.kind.word())
                            @if let Some(holder) = entry.held_by { ", " (held(holder.word())) }
                        }
                        @if let Some(source) = &entry.source { " " (source) }
                        @if let Some(note) = &entry.note { span class="small" { (note) } }
                    }
                }
            }
        }
    }

    fn worked(self, place: usize) -> Markup {
        let Some((entry, more)) = self.more(place) else {
            return html! {};
        };
        if self.is_to_fill() && more.solution.is_some() {
            return self.question(place, entry);
        }
        html! {
            div class="work" id=(id("entry", place)) {
                (self.about(entry, more))
                @match &more.derivation {
                    Some(derivation) => (self.derivation(entry, more, derivation)),
                    None => div { (self.value_of(place, entry)) },
                }
                @if !self.is_to_fill() {
                    @if let Some(source) = &entry.source { p class="notes" { "From " (source) } }
                }
                @if let Some(note) = &entry.note { p class="notes" { (note) } }
                (self.cautions_beside(&more.cautions))
            }
        }
    }

    /// Whether a line stands above the formula of an entry.
    fn has_about(self, entry: &Entry, more: &More) -> bool {
        let is_answer = entry.kind == EntryKind::Answer && !self.is_to_fill();
        entry.label.is_some() || is_answer || more.derivation.is_none()
    }

    /// What an entry that stands worked out is called, where its formula doesn't say it all.
    fn about(self, entry: &Entry, more: &More) -> Markup {
        let rests = entry.how_known();
        let is_answer = entry.kind == EntryKind::Answer && !self.is_to_fill();
        html! {
            @if self.has_about(entry, more) {
                p class="about" {
                    @if entry.label.is_some() || more.derivation.is_none() { b { (called(entry)) } " " }
                    @if is_answer {
                        span class="known" { "answer" @if !rests.is_empty() { "; rests on " (rests) } }
                    }
                    (self.letters(&more.cautioned))
                }
            }
        }
    }

    fn derivation(self, entry: &Entry, more: &More, derivation: &Derivation) -> Markup {
        let tells = self.tells(more.left);
        let mut lines = vec![&derivation.formula];
        if tells {
            lines.extend(&derivation.values);
            lines.extend(&derivation.result);
        }
        let known = derivation.result.is_some();
        html! {
            div class="formula" {
                (equation(&entry.name, &lines))
                @if !self.has_about(entry, more) { (self.letters(&more.cautioned)) }
            }
            @if tells && !known { p class="open" { (sentence(&entry.shown.display())) } }
            @if !tells { (writing_lines(&entry.name, unit_of(entry))) }
            (self.under(derivation, more.left))
        }
    }

    /// Conversions and rules below a formula; a rule where it is met first.
    fn under(self, derivation: &Derivation, left: Left) -> Markup {
        let first = |rule: &&Rule| rule.is_first && (self.is_full() || self.leaves_all());
        html! {
            @if self.tells(left) && !derivation.conversions.is_empty() {
                p class="notes" { "With " (set(&derivation.conversions.join(", "))) "." }
            }
            @for rule in derivation.rules.iter().filter(first) { (self.rule(rule, left)) }
        }
    }

    fn rule(self, rule: &Rule, left: Left) -> Markup {
        let values = rule
            .with_values
            .as_ref()
            .filter(|_| self.tells(left) && is_short(&rule.formula));
        html! {
            p class="notes" {
                @if rule.name.is_empty() { "By this worksheet's own rule " } @else { "By " code { (rule.name) } ": " }
                (set_rule(&rule.formula))
                @if let Some(values) = values { " = " (set_rule(values)) }
                (self.cite(rule.sources.iter().map(|source| source.title)))
            }
        }
    }

    /// A check where it stands; on a page to fill in to be ticked, and where it judges an exercise not at all.
    fn check(self, number: usize) -> Markup {
        let check = self.handout.report.checks.get(number);
        let open = |check: &Check| {
            self.is_to_fill() && (self.is_asking(number) || check.holds.is_none() && !self.leaves_all())
        };
        let Some(check) = check.filter(|check| !open(check)) else {
            return html! {};
        };
        html! {
            p class="check" id=(id("check", number)) {
                code { (check.text) } " "
                @if self.leaves_all() {
                    span class="choice" { "☐ holds" } " " span class="choice" { "☐ does not hold" }
                } @else { (verdict(check)) }
            }
        }
    }

    /// A check with what it says to who got it wrong.
    pub(super) fn check_in_key(self, number: usize) -> Markup {
        let Some(check) = self.handout.report.checks.get(number) else {
            return html! {};
        };
        let more = self.handout.checks.get(number);
        let hint = more.and_then(|more| more.hint.as_ref());
        let near = more.and_then(|more| more.near.as_ref());
        let unsaid = |told: &&String| check.holds.is_none() || Some(*told) != hint;
        html! {
            div class="check" id=(id("check", number)) {
                p {
                    @match near {
                        Some(near) => { (set(&sentence(near))) @if check.holds != Some(true) { " It " (verdict(check)) "." } },
                        None => { code { (check.text) } " " (verdict(check)) },
                    }
                }
                @for told in check.message.iter().filter(unsaid).chain(&check.remark) {
                    p class="notes" { (coded(&sentence(told))) }
                }
                @if let Some(hint) = hint {
                    p class="notes" { b { "Hint, where it does not hold: " } (coded(&sentence(hint))) }
                }
                @for (place, (answer, said)) in more.into_iter().flat_map(|more| &more.slips).enumerate() {
                    span class="notes" { @if place > 0 { " " } @else { "Usual slips. " }  b { (answer) } ": " (coded(&sentence(said))) }
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
        let hidden = !self.tells(more.left);
        html! {
            div class="work" id=(id("table", place)) {
                p class="about" {
                    b { (table.label.as_deref().unwrap_or(&table.name)) }
                    @if table.label.is_some() { " " code { (table.name) } }
                    @if let Some(source) = &table.source { " " span class="known" { (source) } }
                    (self.letters(&more.cautioned))
                }
                @if let Some(derivation) = more.derivation.as_ref().filter(|_| !self.is_to_fill() || self.leaves_all()) {
                    @let values = derivation.values.iter().filter(|_| !hidden);
                    @let lines: Vec<&Math> = std::iter::once(&derivation.formula).chain(values).collect();
                    div class="formula" { (equation(&table.name, &lines)) }
                    (self.under(derivation, more.left))
                }
                @match &table.standing {
                    Some(standing) if !hidden => p class="open" { (sentence(standing)) },
                    _ => (rows(table, hidden)),
                }
                (self.cautions_beside(&more.cautions))
            }
        }
    }

    // ---- charts ----

    pub(super) fn chart(self, place: usize) -> Markup {
        let Some(chart) = self.handout.report.charts.get(place) else {
            return html! {};
        };
        let whose = self.handout.charts.get(place).copied().unwrap_or(Whose::Worked);
        let id = id("chart", place);
        html! {
            figure id=(id) {
                @if whose == Whose::Worked && self.is_to_fill() {
                    (empty_chart(chart))
                } @else {
                    div class="drawn" { (PreEscaped(svg::write(chart, &format!("{id}-drawn")))) }
                    figcaption { (chart.told) }
                }
            }
        }
    }
}

/// An id of the page, from 1.
pub(super) fn id(what: &str, number: usize) -> String {
    format!("{what}-{}", number + 1)
}

pub(super) fn verdict(check: &Check) -> Markup {
    let tone = match check.holds {
        Some(true) => "good",
        Some(false) => "bad",
        None => "open",
    };
    html! { span class=(tone) { (check.verdict()) } }
}

/// The question of an exercise: its label, else what stands behind `from` or `note`.
fn asked(entry: &Entry) -> String {
    let source = entry
        .source
        .as_deref()
        .and_then(|source| source.split_once(": "))
        .map(|(_, asked)| asked);
    let asked = entry.label.as_deref().or(source).or(entry.note.as_deref());
    match asked {
        Some(asked) if asked.ends_with('?') => {
            sentence(asked.trim_end_matches('?')).trim_end_matches('.').to_owned() + "?"
        }
        Some(asked) => sentence(asked),
        None => format!("What is {}?", entry.name.replace('_', " ")),
    }
}
