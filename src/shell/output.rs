//! What is printed: results to standard output, problems to standard error.
//!
//! Writers of our own, so that a closed pipe comes back as an error instead
//! of a panic. Width and colour are found out once. Start reading at [`Output`].

use std::io::{self, BufWriter, IsTerminal, Stderr, StdoutLock, Write};

use crate::report::drawing::{DrawnProblem, draw};
use crate::report::style::{Letters, Style, Tone};
use crate::report::visible::{closed, sentence, visible, wrapped};
use crate::session::Refusal;

use super::pager;

/// Standard output and standard error, with how each is written to.
pub struct Output {
    results: BufWriter<StdoutLock<'static>>,
    problems: Stderr,
    style: Style,
    problem_style: Style,
    parted: bool,
}

impl Output {
    /// The process's own.
    pub fn standard() -> Output {
        let width = width();
        let style = |terminal: bool| Style {
            colour: terminal && colour_wanted(),
            width: if terminal { width } else { 80 },
            letters: if terminal { letters() } else { Letters::Drawn },
        };
        Output {
            results: BufWriter::new(io::stdout().lock()),
            problems: io::stderr(),
            style: style(io::stdout().is_terminal()),
            problem_style: style(io::stderr().is_terminal()),
            // On a terminal problems stand below results.
            parted: io::stderr().is_terminal() && io::stdout().is_terminal(),
        }
    }

    /// How results are written.
    pub fn style(&self) -> Style {
        self.style
    }

    /// Draws with these letters, where some are asked for.
    pub(crate) fn draw_with(&mut self, letters: Option<Letters>) {
        self.style.letters = letters.unwrap_or(self.style.letters);
    }

    /// Where results go.
    pub fn results(&mut self) -> &mut impl Write {
        &mut self.results
    }

    /// Prints a result.
    ///
    /// # Errors
    /// Those of standard output.
    pub fn print(&mut self, text: &str) -> io::Result<()> {
        self.results.write_all(text.as_bytes())
    }

    /// Prints a result that may be long: at a terminal through a pager.
    ///
    /// # Errors
    /// Those of standard output.
    pub(super) fn page(&mut self, text: &str) -> io::Result<()> {
        self.results.flush()?;
        if pager::shown(text) { Ok(()) } else { self.print(text) }
    }

    /// Sends on what was printed.
    ///
    /// # Errors
    /// Those of standard output.
    pub fn flush(&mut self) -> io::Result<()> {
        self.results.flush()
    }

    /// Draws problems, an empty line between them.
    ///
    /// # Errors
    /// Those of standard output; what standard error refuses is lost.
    pub fn draw(&mut self, problems: &[DrawnProblem]) -> io::Result<()> {
        self.results.flush()?;
        self.draw_unflushed(problems);
        Ok(())
    }

    /// Draws problems where results can't be written any more.
    pub(crate) fn draw_unflushed(&mut self, problems: &[DrawnProblem]) {
        for problem in problems {
            let gap = if self.parted { "\n" } else { "" };
            let drawing = draw(problem, self.problem_style);
            let _ = write!(self.problems, "{gap}{drawing}");
            self.parted = true;
        }
    }

    /// Draws why something was refused.
    ///
    /// # Errors
    /// Those of standard output.
    pub(crate) fn refuse(&mut self, refusal: &Refusal) -> io::Result<()> {
        self.draw(&refusal.problems)
    }

    /// Says what is wrong with how the program was called, and what to try.
    ///
    /// # Errors
    /// Those of standard output.
    pub fn complain(&mut self, message: &str, help: Option<&str>) -> io::Result<()> {
        let refusal = Refusal::new(message);
        let refusal = match help {
            Some(help) => refusal.help(help),
            None => refusal,
        };
        self.refuse(&refusal)
    }
}

/// Whether somebody asked for no colour, or the terminal has none.
fn colour_wanted() -> bool {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let plain = std::env::var_os("TERM").is_some_and(|terminal| terminal == "dumb");
    !refused && !plain
}

/// Plain where the terminal's language names a set of letters that has no dots and blocks.
fn letters() -> Letters {
    let set = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
    let language = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(set);
    let unicode = language.is_none_or(|language| {
        let language = language.to_lowercase();
        language.contains("utf-8") || language.contains("utf8")
    });
    if unicode { Letters::Drawn } else { Letters::Plain }
}

/// The columns of the terminal.
fn width() -> usize {
    let asked = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    let found = || terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    asked.filter(|columns| *columns > 0).or_else(found).unwrap_or(80)
}

/// A line of speech: a whole sentence, broken to the width.
pub(super) fn spoken(text: &str, tone: Option<Tone>, style: Style) -> String {
    let mut lines = String::new();
    for line in wrapped(&sentence_of(text), style.columns()) {
        match tone {
            Some(tone) => lines.push_str(&style.paint(tone, &line)),
            None => lines.push_str(&line),
        }
        lines.push('\n');
    }
    lines
}

/// A sentence, unless it opens with a name in backticks or a number, which stay as they are.
fn sentence_of(text: &str) -> String {
    match text.starts_with('`') {
        true => closed(&visible(text)),
        false => sentence(&visible(text)),
    }
}
