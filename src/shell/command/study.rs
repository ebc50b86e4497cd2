//! Studies on the command line: opened, with case and trials as asked, written as asked.
//!
//! Start reading at [`study`].

use std::io;
use std::path::Path;

use crate::report::compose::Options;
use crate::report::model::Severity;
use crate::report::study::{Format, Written};
use crate::session::asked::Asked;
use crate::session::studies::study_verb;
use crate::session::{Refusal, Session};

use super::super::arguments::On;
use super::super::output::Output;
use super::super::progress::Progress;
use super::super::{PROBLEMS, USAGE, WELL};
use super::{is_standard_input, opened, prepared, refused, standing, with_session, worse};

/// What a study finds on a worksheet, and the worksheet's problems; gives back the exit code.
///
/// # Errors
/// Those of the output.
pub(super) fn study(on: &On, name: &str, asked: &Asked, output: &mut Output) -> io::Result<u8> {
    let Some(known) = study_verb(name) else {
        return Ok(USAGE);
    };
    let watch = Progress::begin();
    with_session(&on.file, on.options, output, |mut session, output| {
        let prepared = prepared(&mut session, on.case.as_deref(), &on.set);
        match prepared.and_then(|()| (known.find)(&mut session, asked, &watch)) {
            Ok(found) => {
                write(&*found, asked.form(on.format), output)?;
                output.draw(&session.problems())?;
                output.draw(found.beyond())?;
                let whole = told_if_over(&session, output)?;
                let serious = found
                    .beyond()
                    .iter()
                    .any(|problem| problem.severity == Severity::Problem);
                Ok(worse(standing(&session), if serious { PROBLEMS } else { whole }))
            }
            Err(refusal) => refused(&refusal, output),
        }
    })
}

fn write(found: &dyn Written, format: Format, output: &mut Output) -> io::Result<()> {
    let style = output.style();
    if !matches!(format, Format::Text | Format::Screen) {
        return found.write(format, style, output.results());
    }
    let mut text = Vec::new();
    found.write(format, style, &mut text)?;
    output.page(&String::from_utf8_lossy(&text))
}

/// Tells that the time was up before all was done; gives back the exit code.
fn told_if_over(session: &Session, output: &mut Output) -> io::Result<u8> {
    let Some(refusal) = session.overran() else {
        return Ok(WELL);
    };
    output.refuse(&refusal)?;
    Ok(PROBLEMS)
}

/// Two worksheets by meaning.
///
/// # Errors
/// Those of the output.
pub(super) fn diff(on: &On, other: &Path, output: &mut Output) -> io::Result<u8> {
    let both = opened_both(&on.file, other, on.options).and_then(|(mut one, mut two)| {
        prepare_both(&mut one, &mut two, on.case.as_deref(), &on.set)?;
        Ok((one, two))
    });
    let (mut one, two) = match both {
        Ok(both) => both,
        Err(refusal) => return refused(&refusal, output),
    };
    let found = one.diff(&two, &Progress::begin());
    write(&found, on.format, output)?;
    output.draw(&one.problems())?;
    output.draw(&two.problems())?;
    let whole = told_if_over(&one, output)?;
    Ok(worse(whole, worse(standing(&one), standing(&two))))
}

fn opened_both(one: &Path, other: &Path, options: Options) -> Result<(Session, Session), Refusal> {
    if is_standard_input(one) && is_standard_input(other) {
        let refusal = Refusal::new("standard input can be read only once");
        return Err(refusal.help("name a file for one of the two"));
    }
    Ok((opened(one, options)?, opened(other, options)?))
}

/// Case and trials in both worksheets; what only one of them has is refused.
fn prepare_both(one: &mut Session, other: &mut Session, case: Option<&str>, set: &[String]) -> Result<(), Refusal> {
    if let Some(case) = case {
        let known = |session: &Session| case == "base" || session.sheet().names().case(case).is_some();
        match (known(one), known(other)) {
            (false, true) => one.put_in_case(case)?,
            (true, false) => other.put_in_case(case)?,
            _ => {}
        }
    }
    for text in set {
        let name = text.split('=').next().unwrap_or("").trim();
        let known = |session: &Session| session.sheet().names().get(name).is_some();
        let lacking = match (known(one), known(other)) {
            (false, true) => one.name(),
            (true, false) => other.name(),
            _ => continue,
        };
        let refusal = Refusal::new(format!(
            "there is no `{name}` in {lacking}, and `--set` holds a value in both"
        ));
        return Err(refusal.help("leave it out, or give both worksheets the same name for it"));
    }
    prepared(one, case, set)?;
    prepared(other, case, set)
}
