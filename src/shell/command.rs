//! What the command line does: one request, printed, with its exit code.
//!
//! Start reading at [`run`].

use std::borrow::Cow;
use std::io::{self, IsTerminal};
use std::path::Path;

use crate::report::compose::Options;
use crate::report::handout::Form;
use crate::report::model::{Report, Severity};
use crate::report::study::Format;
use crate::report::style::Style;
use crate::report::visible::visible;
use crate::report::{csv, first_screen, handout, json, pages, whole};
use crate::session::disk::{nearest_beside, plain, read_stream, read_text, write_new, write_whole};
use crate::session::starters::{self, HOUSEHOLD, Starter, starter};
use crate::session::verbs::{command_help, every_help};
use crate::session::{Refusal, Session};
use crate::sheet::Enclosed;
use crate::syntax::tidy::tidy;

use super::arguments::{HandoutAsked, Request};
use super::conversation::{self, Conversation};
use super::editor;
use super::interactive::{Terminal, state_folder};
use super::looking::{checks_text, functions, shown};
use super::output::{Output, spoken};
use super::page;
use super::setup;
use super::{EXPECTATION, PROBLEMS, USAGE, WELL};

mod study;

use study::{diff, study};

/// The worksheet that is built in, and the file it reads.
const BUILT_IN: &str = include_str!("../../notebooks/winter-outage.tare");
const BUILT_IN_FILES: Enclosed = &[("winter-outage.csv", include_str!("../../notebooks/winter-outage.csv"))];

/// Does what is asked; gives back the exit code.
///
/// # Errors
/// Those of standard output.
pub(crate) fn run(request: &Request, output: &mut Output) -> io::Result<u8> {
    match request {
        Request::BuiltIn => built_in(output),
        Request::Open(file) if is_standard_input(file) => {
            output.complain(
                "a worksheet from standard input leaves no lines for the session",
                Some("`tarebook show -` prints it"),
            )?;
            Ok(USAGE)
        }
        Request::Open(file) => open(file, output),
        Request::Page(asked) => match asked.file.as_deref() {
            Some(file) if is_standard_input(file) => {
                output.complain("a page follows a file, and this is standard input", None)?;
                Ok(USAGE)
            }
            Some(file) => with_session(file, Options::default(), output, |session, output| {
                page::serve(session, asked, output)
            }),
            None if asked.class => {
                let help = Some("`tarebook page FILE --class`");
                output.complain("a class works on a worksheet of its own, and none is named", help)?;
                Ok(USAGE)
            }
            None => page::serve(built_in_session(), asked, output),
        },
        Request::Show(on, section) => {
            with_session(&on.file, on.options, output, |mut session, output| {
                match prepared(&mut session, on.case.as_deref(), &on.set) {
                    Ok(()) => show(&mut session, section, on.format, output),
                    Err(refusal) => refused(&refusal, output),
                }
            })
        }
        Request::Study(on, name, asked) => study(on, name, asked, output),
        Request::Diff(on, other) => diff(on, other, output),
        Request::Handout(on, asked) => {
            with_session(&on.file, on.options, output, |mut session, output| {
                match prepared(&mut session, on.case.as_deref(), &on.set) {
                    Ok(()) => handed_out(&mut session, asked, output),
                    Err(refusal) => refused(&refusal, output),
                }
            })
        }
        Request::Check { files, case, format } => check(files, case.as_deref(), *format, output),
        Request::New { kind, file } => new(kind.as_deref(), file.as_deref(), output),
        Request::Tidy { file, check } => tidied(file, *check, output),
        Request::Add { file, words } if is_standard_input(file) => {
            let first = words.first().map_or("TABLE", String::as_str);
            let help = format!("name the worksheet's file: `tarebook add FILE {} …`", visible(first));
            output.complain("a row can't be written into standard input", Some(&help))?;
            Ok(USAGE)
        }
        Request::Add { file, words } => with_session(file, Options::default(), output, |mut session, output| {
            match session.add_at_once(words, state_folder().as_deref()) {
                Ok(outcome) => {
                    let told = conversation::brief(&outcome, output.style());
                    output.print(&told)?;
                    Ok(WELL)
                }
                Err(refusal) => refused(&refusal, output),
            }
        }),
        Request::Serve => editor::serve(output),
        Request::Completions(shell) => {
            setup::completions(shell, output.results())?;
            Ok(WELL)
        }
        Request::Manual(folder) => manual(folder, output),
        Request::Functions(words) => told_page(functions(words, output.style()), output),
        Request::Units(word) => told_page(pages::units_page(word.as_deref(), output.style()), output),
        Request::Help(word) => {
            let word = word.as_deref().unwrap_or("");
            let verbs = if word.is_empty() { command_help() } else { every_help() };
            told_page(pages::help_page(word, &verbs, output.style()), output)
        }
    }
}

fn refused(refusal: &Refusal, output: &mut Output) -> io::Result<u8> {
    output.refuse(refusal)?;
    Ok(USAGE)
}

// ---- opening ----

fn is_standard_input(file: &Path) -> bool {
    file.as_os_str() == "-"
}

fn opened(file: &Path, options: Options) -> Result<Session, Refusal> {
    if !is_standard_input(file) {
        return Session::open(file, options);
    }
    let text = read_standard_input()?;
    Ok(Session::of_text(STANDARD_INPUT, text, &[], options))
}

const STANDARD_INPUT: &str = "standard input";

fn read_standard_input() -> Result<String, Refusal> {
    read_stream(io::stdin().lock(), STANDARD_INPUT)
}

fn with_session(
    file: &Path,
    options: Options,
    output: &mut Output,
    act: impl FnOnce(Session, &mut Output) -> io::Result<u8>,
) -> io::Result<u8> {
    match opened(file, options) {
        Ok(session) => act(session, output),
        Err(refusal) => refused(&refusal, output),
    }
}

fn built_in_session() -> Session {
    Session::of_text(
        "the built-in worksheet",
        BUILT_IN.to_owned(),
        BUILT_IN_FILES,
        Options::default(),
    )
}

fn built_in(output: &mut Output) -> io::Result<u8> {
    let mut session = built_in_session();
    if io::stdin().is_terminal() && io::stdout().is_terminal() {
        return talk(session, output);
    }
    show(&mut session, "", Format::Text, output)
}

/// Opens a worksheet to talk about; one that is gone, where a journal of it was left; or, at a
/// terminal, an empty one under a name that is new.
fn open(file: &Path, output: &mut Output) -> io::Result<u8> {
    let refusal = match opened(file, Options::default()) {
        Ok(session) => return talk(session, output),
        Err(refusal) => refusal,
    };
    match Session::open_lost(file, state_folder().as_deref(), Options::default()) {
        Some(session) if io::stdin().is_terminal() && io::stdout().is_terminal() => {
            output.refuse(&refusal)?;
            talk(session, output)
        }
        Some(_) => {
            let help = "`open` at a terminal offers the work on it that was not saved";
            refused(&refusal.help(help), output)
        }
        None => begun(file, refusal, output),
    }
}

/// Begins an empty worksheet under a new name, once somebody is there to be told so.
fn begun(file: &Path, refusal: Refusal, output: &mut Output) -> io::Result<u8> {
    let Some(session) = Session::begin(file, Options::default()) else {
        return refused(&refusal, output);
    };
    let near = nearest_beside(file);
    if !(io::stdin().is_terminal() && io::stdout().is_terminal()) {
        let help = "at a terminal `tarebook open` begins an empty worksheet under a new name";
        return refused(
            &match near {
                Some(_) => refusal,
                None => refusal.help(help),
            },
            output,
        );
    }
    if let Some(near) = near {
        let near = visible(&near).into_owned();
        let told = format!("Did you mean `{near}`? Then `quit`, and `tarebook open {near}`");
        output.print(&spoken(&told, None, output.style()))?;
    }
    let told = format!(
        "`{}` is not there yet: here is an empty worksheet of that name; no file is written until `save`",
        visible(session.name())
    );
    output.print(&spoken(&told, None, output.style()))?;
    talk(session, output)
}

fn talk(session: Session, output: &mut Output) -> io::Result<u8> {
    let style = output.style();
    if io::stdin().is_terminal() && io::stdout().is_terminal() {
        let mut lines = Terminal::new(&session)?;
        let talk = Conversation::new(session, &mut lines, output.results(), style);
        talk.with_journal(state_folder()).run()?;
    } else {
        let mut lines = conversation::Piped::new(io::stdin().lock());
        let talk = Conversation::new(session, &mut lines, output.results(), style);
        talk.with_journal(state_folder()).run()?;
    }
    Ok(WELL)
}

// ---- show ----

fn prepared(session: &mut Session, case: Option<&str>, set: &[String]) -> Result<(), Refusal> {
    if let Some(case) = case {
        session.set_case(case)?;
    }
    for one in set {
        if !Session::is_trial(one) {
            let message = format!("`--set` takes NAME=VALUE, and this is `{one}`");
            return Err(Refusal::new(message).help("for example `--set \"air=-5 °F\"`"));
        }
        session.try_value(one).map_err(|refusal| of_option(refusal, one))?;
    }
    Ok(())
}

/// A refusal of a value that `--set` gave.
fn of_option(mut refusal: Refusal, one: &str) -> Refusal {
    for problem in &mut refusal.problems {
        problem.file = format!("--set \"{one}\"");
    }
    refusal
}

fn show(session: &mut Session, section: &str, format: Format, output: &mut Output) -> io::Result<u8> {
    let (report, problems) = match (format, section) {
        (Format::Text | Format::Screen, part) => session.reported_for(part),
        _ => session.reported(),
    };
    match format {
        Format::Text | Format::Screen => match shown(session, &report, section, output.style()) {
            Ok(text) if section.is_empty() => output.print(&text)?,
            Ok(text) => output.page(&text)?,
            Err(refusal) => return refused(&refusal, output),
        },
        _ if !section.is_empty() => {
            let refusal = Refusal::new(format!("`{section}` alone is for reading on a terminal"));
            return refused(&refusal.help("leave out `--format`, or the section"), output);
        }
        Format::Markdown => output.print(&whole::markdown(&report))?,
        Format::Html => {
            let made = session.handout(Form::Full);
            output.print(&handout::write(&made))?;
        }
        Format::Json => json::write(&report, output.results())?,
        Format::Csv => csv::write(&report, output.results())?,
    }
    output.draw(&problems)?;
    Ok(if has_problems(&report) { PROBLEMS } else { WELL })
}

fn has_problems(report: &Report) -> bool {
    report
        .problems
        .iter()
        .any(|problem| problem.severity == Severity::Problem)
}

/// The exit code that the worksheet itself asks for.
fn standing(session: &Session) -> u8 {
    match session.sheet().has_problems() {
        true => PROBLEMS,
        false => WELL,
    }
}

// ---- handout ----

fn handed_out(session: &mut Session, asked: &HandoutAsked, output: &mut Output) -> io::Result<u8> {
    match asked.file.as_deref().filter(|file| !is_standard_input(file)) {
        Some(file) => match session.write_handout(file, asked.form) {
            Ok(outcome) => output.print(&format!("{}.\n", outcome.told.join(". ")))?,
            Err(refusal) => return refused(&refusal, output),
        },
        None if asked.file.is_none() && io::stdout().is_terminal() => {
            let help = "`-o OUT.html` writes it into a file";
            output.complain("a handout is a page, and this is a terminal", Some(help))?;
            return Ok(USAGE);
        }
        None => {
            let made = session.handout(asked.form);
            if let Some(refusal) = session.overran() {
                return refused(&refusal, output);
            }
            output.print(&handout::write(&made))?;
        }
    }
    output.draw(&session.problems())?;
    Ok(standing(session))
}

// ---- check ----

fn check(files: &[std::path::PathBuf], case: Option<&str>, format: Format, output: &mut Output) -> io::Result<u8> {
    let mut reports = Vec::new();
    let mut worst = WELL;
    for (index, file) in files.iter().enumerate() {
        let opened = opened(file, Options::default()).and_then(|mut session| {
            prepared(&mut session, case, &[])?;
            Ok(session)
        });
        let session = match opened {
            Ok(session) => session,
            Err(refusal) => {
                worst = worse(worst, refused(&refusal, output)?);
                continue;
            }
        };
        // as data it is the whole report
        let (report, problems) = match format {
            Format::Json => session.reported(),
            _ => session.checked(),
        };
        worst = worse(worst, checked(&report));
        if format == Format::Text {
            let gap = if index > 0 { "\n" } else { "" };
            let text = checks_text(session.name(), &report, output.style());
            output.page(&format!("{gap}{text}"))?;
        }
        output.draw(&problems)?;
        reports.push(report);
    }
    if format == Format::Json {
        json::write_all(&reports, output.results())?;
    }
    Ok(worst)
}

/// The exit code of one worksheet.
fn checked(report: &Report) -> u8 {
    if has_problems(report) {
        return PROBLEMS;
    }
    match report.checks.iter().all(|check| check.holds == Some(true)) {
        true => WELL,
        false => EXPECTATION,
    }
}

/// The heavier of two codes: 2, then 1, then 3, then 0.
fn worse(one: u8, other: u8) -> u8 {
    let weight = |code: u8| {
        [WELL, EXPECTATION, PROBLEMS, USAGE]
            .iter()
            .position(|known| *known == code)
    };
    if weight(other) > weight(one) { other } else { one }
}

// ---- new ----

fn new(kind: Option<&str>, file: Option<&Path>, output: &mut Output) -> io::Result<u8> {
    let Some(kind) = kind else {
        return told_page(Ok(kinds(output.style())), output);
    };
    if kind == HOUSEHOLD.name {
        return household(file, output);
    }
    match (starter(kind), file) {
        (Err(refusal), _) => refused(&refusal, output),
        (Ok(starter), Some(file)) if !is_standard_input(file) => started(starter, file, output),
        (Ok(starter), _) => told_page(Ok(starter.text.to_owned()), output),
    }
}

fn kinds(style: Style) -> String {
    let kinds: Vec<(&str, &str)> = starters::kinds().collect();
    let then = "`tarebook new KIND FILE` writes one, `tarebook new KIND` prints it.";
    pages::choice_page("Starter worksheets", &kinds, then, style)
}

/// A folder of worksheets that rest on each other.
fn household(folder: Option<&Path>, output: &mut Output) -> io::Result<u8> {
    let Some(folder) = folder.filter(|folder| !is_standard_input(folder)) else {
        let refusal = Refusal::new("`household` is a set of worksheets and needs a folder");
        return refused(&refusal.help("write `tarebook new household FOLDER`"), output);
    };
    if let Err(refusal) = HOUSEHOLD.write(folder) {
        return refused(&refusal, output);
    }
    let names: Vec<&str> = HOUSEHOLD.files.iter().map(|(name, _)| *name).collect();
    let (first, others) = names
        .split_first()
        .map_or(("", String::new()), |(first, others)| (*first, others.join(", ")));
    let shown = folder.join(first).display().to_string();
    let shown = visible(&shown);
    output.print(&format!(
        "Wrote {shown}, which rests on {others} beside it.\nFill in the tables and each `?` there, in that order, then its own two tables: `tarebook open {shown}`.\n"
    ))?;
    Ok(WELL)
}

fn started(starter: &Starter, file: &Path, output: &mut Output) -> io::Result<u8> {
    match write_new(file, starter.text) {
        Ok(()) => {
            let shown = file.display().to_string();
            let shown = visible(&shown);
            let session = Session::of_text(&shown, starter.text.to_owned(), &[], Options::default());
            output.print(&format!(
                "Wrote {shown}.\n{}Do so in any editor, or in the session: `tarebook open {shown}`.\n",
                first_screen::to_fill(&session.report(), output.style()).unwrap_or_default()
            ))?;
            Ok(WELL)
        }
        Err(refusal) => refused(&refusal, output),
    }
}

// ---- tidy ----

fn tidied(file: &Path, check: bool, output: &mut Output) -> io::Result<u8> {
    let text = match is_standard_input(file) {
        true => read_standard_input(),
        false => read_text(file),
    };
    let text = match text {
        Ok(text) => text,
        Err(refusal) => return refused(&refusal, output),
    };
    let better = tidy(&text);
    let same = better == text;
    let shown = file.display().to_string();
    let shown = visible(&shown);
    if check {
        if !same {
            output.print(&format!("{shown} is not tidy.\n"))?;
        }
        return Ok(if same { WELL } else { PROBLEMS });
    }
    if is_standard_input(file) {
        output.print(&on_screen(&better))?;
        return Ok(WELL);
    }
    if same {
        output.print(&format!("{shown} is tidy already.\n"))?;
        return Ok(WELL);
    }
    match write_whole(file, &better, "tarebook tidy - < FILE > OTHER") {
        Ok(()) => {
            output.print(&format!("Tidied {shown}.\n"))?;
            Ok(WELL)
        }
        Err(refusal) => refused(&refusal, output),
    }
}

/// The text as it is, save on a terminal, where what would act is made visible.
fn on_screen(text: &str) -> Cow<'_, str> {
    match io::stdout().is_terminal() {
        true => text.split('\n').map(visible).collect::<Vec<_>>().join("\n").into(),
        false => text.into(),
    }
}

// ---- manual ----

fn manual(folder: &Path, output: &mut Output) -> io::Result<u8> {
    let shown = folder.display().to_string();
    let shown = visible(&shown);
    match setup::manual(folder) {
        Ok(pages) => {
            output.print(&format!("Wrote {pages} pages to {shown}.\n"))?;
            Ok(WELL)
        }
        Err(trouble) => {
            let message = format!("the manual can't be written to `{shown}`: {}", plain(&trouble));
            output.complain(&message, None)?;
            Ok(USAGE)
        }
    }
}

// ---- pages ----

fn told_page(page: Result<String, String>, output: &mut Output) -> io::Result<u8> {
    match page {
        Ok(text) => {
            output.page(&text)?;
            Ok(WELL)
        }
        Err(message) => {
            output.complain(&message, None)?;
            Ok(USAGE)
        }
    }
}
