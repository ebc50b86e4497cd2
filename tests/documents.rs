//! Every example in the language reference, the README and the guide runs: those marked `tare`
//! compute without a problem, those marked `tare-problem CODE` have that problem; `console`
//! prints and `session` says exactly what is shown.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::cell::RefCell;
use std::collections::VecDeque;
use std::fs;
use std::io::{self, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::rc::Rc;
use std::sync::Mutex;

use tarebook::problem::Severity;
use tarebook::report::Style;
use tarebook::report::compose::Options;
use tarebook::session::Session;
use tarebook::sheet::Sheet;
use tarebook::shell::conversation::{Conversation, Lines, Reply};
use tarebook::syntax::tidy::tidy;

struct Fence {
    line: usize,
    tag: String,
    text: String,
}

fn fences(document: &str) -> Vec<Fence> {
    let mut fences = Vec::new();
    let mut open: Option<Fence> = None;
    for (number, line) in document.lines().enumerate() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(tag)) => {
                open = Some(Fence {
                    line: number + 1,
                    tag: tag.to_owned(),
                    text: String::new(),
                })
            }
            (Some(_), Some(_)) => fences.extend(open.take()),
            (Some(fence), None) => {
                fence.text.push_str(line);
                fence.text.push('\n');
            }
            (None, None) => {}
        }
    }
    fences
}

/// What is wrong with an example; `None` if it does what its tag says.
fn fault(fence: &Fence) -> Option<String> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/documents");
    let sheet = Sheet::load(fence.text.clone(), Some(folder));
    let problems = sheet.problems();
    let found: Vec<&str> = problems
        .iter()
        .filter(|p| p.severity == Severity::Problem)
        .map(|p| p.code.word())
        .collect();
    let told: Vec<&String> = problems.iter().map(|problem| &problem.message).collect();
    let fine = match fence.tag.strip_prefix("tare-problem ") {
        None => found.is_empty(),
        Some(code) => found.contains(&code.trim()),
    };
    let report = || {
        format!(
            "line {} ({}): {found:?} {told:?}\n{}",
            fence.line, fence.tag, fence.text
        )
    };
    (!fine).then(report)
}

/// Every worksheet shown in a document does what its tag says.
fn check(document: &str, least: usize) {
    let shown = fences(document)
        .into_iter()
        .filter(|fence| fence.tag.starts_with("tare"));
    let shown: Vec<Fence> = shown.collect();
    assert!(shown.len() >= least, "the document has lost its examples");
    let faults: Vec<String> = shown.iter().filter_map(fault).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn examples_of_the_reference_run() {
    check(include_str!("../grammar/reference.md"), 20);
}

#[test]
fn examples_of_the_readme_run() {
    let readme = include_str!("../README.md");
    check(readme, 1);
    for fence in fences(readme).iter().filter(|fence| fence.tag == "tare") {
        assert_eq!(tidy(&fence.text), fence.text, "line {} is not tidy", fence.line);
    }
}

// ---------------------------------------------------------------- places that the developers' guide names

/// Every file of the project below a folder, by its path from the top.
fn files_below(folder: &Path, top: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.strip_prefix(top).unwrap().to_string_lossy().into_owned();
        if path.is_dir() && !matches!(&*name, "target" | ".git" | "tests/fuzz/target") {
            found.push(format!("{name}/"));
            files_below(&path, top, found);
        } else {
            found.push(name);
        }
    }
}

/// Whether a piece of code in prose is a path of the project's own.
fn is_path(word: &str) -> bool {
    let plain = word
        .chars()
        .all(|c| c.is_ascii_lowercase() || "_-./0123456789".contains(c));
    let known = [".rs", ".md", ".txt", ".pest", ".css", ".csv", "/"];
    plain && !word.contains("target/") && known.iter().any(|ending| word.ends_with(ending)) && !word.starts_with('.')
}

/// Whether it is the name of something in the code, such as `DEFINITIONS` or `Session::act`.
fn is_item(word: &str) -> bool {
    word.chars().all(|c| c.is_ascii_alphanumeric() || "_:".contains(c))
        && word.contains(|c: char| c.is_ascii_uppercase())
}

#[test]
fn what_the_developers_guide_names_is_there() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    files_below(top, top, &mut files);
    let sources = files
        .iter()
        .filter(|file| file.ends_with(".rs") || file.ends_with(".toml"));
    let code: String = sources
        .map(|file| fs::read_to_string(top.join(file)).unwrap())
        .collect();
    let guide = include_str!("../DEVELOPERS.md");
    let words: Vec<&str> = guide.split('`').skip(1).step_by(2).collect();
    let is_there = |word: &str| {
        files
            .iter()
            .any(|file| file == word || file.ends_with(&format!("/{word}")))
    };
    let lost = words.iter().filter(|word| {
        let item = word.rsplit("::").next().unwrap_or(word);
        is_path(word) && !is_there(word) || is_item(word) && !code.contains(item)
    });
    let lost: Vec<&&str> = lost.collect();
    assert!(words.iter().filter(|word| is_path(word)).count() > 60);
    assert!(lost.is_empty(), "{lost:?}");
}

// ---------------------------------------------------------------- commands of the README

/// The documents whose commands and sessions are run, each from a fresh copy.
const DOCUMENTS: [(&str, &str); 2] = [
    ("README.md", include_str!("../README.md")),
    ("notebooks/guide.md", include_str!("../notebooks/guide.md")),
];

/// A folder with what a fresh copy has, and the worksheet that the README shows.
fn workshop() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let shipped = Path::new(env!("CARGO_MANIFEST_DIR"));
    for shelf in ["notebooks", "notebooks/lessons"] {
        std::fs::create_dir(folder.path().join(shelf)).unwrap();
        for file in std::fs::read_dir(shipped.join(shelf)).unwrap() {
            let file = file.unwrap();
            if file.file_type().unwrap().is_file() {
                std::fs::copy(file.path(), folder.path().join(shelf).join(file.file_name())).unwrap();
            }
        }
    }
    let shown = fences(DOCUMENTS[0].1).into_iter().find(|fence| fence.tag == "tare");
    std::fs::write(folder.path().join("ridge.tare"), shown.unwrap().text).unwrap();
    folder
}

/// What a line behind `$` prints: a `cp`, or `tarebook` with its words.
fn printed(command: &str, folder: &Path) -> String {
    let words: Vec<&str> = command.split_whitespace().collect();
    if let ["cp", from, to] = words[..] {
        let to = folder.join(to);
        let to = if to.is_dir() {
            to.join(Path::new(from).file_name().unwrap())
        } else {
            to
        };
        std::fs::copy(folder.join(from), to).unwrap();
        return String::new();
    }
    assert_eq!(words[0], "tarebook", "{command}");
    let run = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(&words[1..])
        .current_dir(folder)
        .env_remove("COLUMNS")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert!(
        run.status.success(),
        "{command}: {}",
        String::from_utf8_lossy(&run.stderr)
    );
    String::from_utf8(run.stdout).unwrap()
}

/// Whether the documents are to show what is said now: `WRITE_CONVERSATIONS=1 cargo test --test documents`.
fn writes() -> bool {
    std::env::var_os("WRITE_CONVERSATIONS").is_some()
}

static WRITING: Mutex<()> = Mutex::new(());

/// Puts what is said now in the place of what a document shows, where that is asked for.
fn write_anew(document: &str, told: &[(String, String)]) {
    if !writes() {
        return;
    }
    let _alone = WRITING.lock().unwrap();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(document);
    let text = fs::read_to_string(&path).unwrap();
    let text = told.iter().fold(text, |text, (shown, real)| text.replace(shown, real));
    fs::write(&path, text).unwrap();
}

#[test]
fn commands_print_what_is_shown() {
    DOCUMENTS.iter().for_each(|(name, text)| check_commands(name, text));
}

fn check_commands(document: &str, text: &str) {
    let folder = workshop();
    let mut count = 0;
    let mut told = Vec::new();
    for fence in fences(text).iter().filter(|fence| fence.tag == "console") {
        let commands = fence.text.lines().filter_map(|line| line.strip_prefix("$ "));
        let real: String = commands
            .map(|command| format!("$ {command}\n{}", printed(command, folder.path())))
            .collect();
        let same = real == fence.text || writes();
        assert!(same, "{document}, line {}: really\n{real}", fence.line);
        told.push((
            format!("```console\n{}```", fence.text),
            format!("```console\n{real}```"),
        ));
        count += 1;
    }
    write_anew(document, &told);
    assert!(count >= 2, "{document} has lost its commands");
}

// ---------------------------------------------------------------- the session of the README

/// What a session says, with what was typed between it, as a terminal shows it.
#[derive(Clone, Default)]
struct Screen(Rc<RefCell<String>>);

impl Write for Screen {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().push_str(std::str::from_utf8(bytes).unwrap());
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Types the lines of one example after another, and cuts the screen between them.
struct Typist {
    lines: VecDeque<(usize, String)>,
    example: Option<usize>,
    screen: Screen,
}

const CUT: char = '\u{1E}';

impl Lines for Typist {
    fn read(&mut self, prompt: &str, _: &str, _: &mut Session) -> io::Result<Reply> {
        let mut screen = self.screen.0.borrow_mut();
        let Some((example, line)) = self.lines.pop_front() else {
            screen.push(CUT);
            return Ok(Reply::End);
        };
        if self.example.replace(example) != Some(example) {
            screen.push(CUT);
        }
        screen.push_str(&format!("{prompt}{line}\n"));
        Ok(Reply::Line(line))
    }

    fn is_terminal(&self) -> bool {
        true
    }
}

/// What is typed in a line that begins with a prompt: `> fuel`, `1 trial> drop`.
fn typed(line: &str) -> Option<&str> {
    let (prompt, typed) = line.split_once("> ")?;
    let is_prompt = !prompt.starts_with(' ') && prompt.chars().all(|c| c.is_alphanumeric() || " _,".contains(c));
    is_prompt.then_some(typed)
}

#[test]
fn sessions_say_what_is_shown() {
    DOCUMENTS.iter().for_each(|(name, text)| check_session(name, text));
}

fn check_session(document: &str, text: &str) {
    let examples: Vec<Fence> = fences(text)
        .into_iter()
        .filter(|fence| fence.tag == "session")
        .collect();
    assert!(examples.len() >= 3, "{document} has lost its session");
    let lines = examples.iter().enumerate().flat_map(|(index, example)| {
        let typed = example.text.lines().filter_map(typed);
        typed.map(move |line| (index, line.to_owned()))
    });
    let screen = Screen::default();
    let mut typist = Typist {
        lines: lines.collect(),
        example: None,
        screen: screen.clone(),
    };
    let text = include_str!("../notebooks/winter-outage.tare").to_owned();
    let files = &[("winter-outage.csv", include_str!("../notebooks/winter-outage.csv"))];
    let session = Session::of_text("winter-outage.tare", text, files, Options::default());
    let style = Style {
        colour: false,
        width: 80,
        ..Style::default()
    };
    Conversation::new(session, &mut typist, &mut screen.clone(), style)
        .run()
        .unwrap();
    let shown = screen.0.borrow().clone();
    if writes() {
        let pairs = examples.iter().zip(shown.split(CUT).skip(1));
        let told = pairs.map(|(example, real)| {
            (
                format!("```session\n{}```", example.text),
                format!("```session\n{real}```"),
            )
        });
        write_anew(document, &told.collect::<Vec<_>>());
        return;
    }
    for (example, real) in examples.iter().zip(shown.split(CUT).skip(1)) {
        assert!(
            real == example.text,
            "{document}, line {}: really\n{real}",
            example.line
        );
    }
}
