//! Completions and manual pages: every verb, option and known value is in them, and
//! the shells and formatters at hand can read them.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use tarebook::problem::Code;
use tarebook::session::starters::STARTERS;
use tarebook::session::verbs::VERBS;
use tarebook::trade::caution::CAUTIONS;

const SHELLS: [&str; 5] = ["bash", "elvish", "fish", "powershell", "zsh"];

fn ran(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .output()
        .unwrap()
}

fn told(arguments: &[&str]) -> String {
    let output = ran(arguments);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}");
    assert!(output.stderr.is_empty());
    String::from_utf8(output.stdout).unwrap()
}

/// The options that a usage line names: `--case`, `-o`.
fn options(usage: &str) -> Vec<&str> {
    let words = usage.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-'));
    words.filter(|word| word.starts_with('-') && word.len() > 1).collect()
}

/// A step of the recipe for verbs that was forgotten shows here.
#[test]
fn a_verb_is_told_typed_and_run_in_tests() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let talks = fs::read_dir(top.join("tests/session")).unwrap();
    let talks: String = talks
        .map(|talk| fs::read_to_string(talk.unwrap().path()).unwrap())
        .collect();
    let commands: String = [
        "class",
        "command_line",
        "handout",
        "setup",
        "editor",
        "starters",
        "returning",
        "page",
    ]
    .map(|name| fs::read_to_string(top.join(format!("tests/{name}.rs"))).unwrap())
    .concat();
    for verb in VERBS.iter() {
        assert!(
            !verb.summary.is_empty() && !verb.detail.is_empty(),
            "{} is not told",
            verb.name
        );
        let in_talks = talks.lines().filter_map(|line| line.strip_prefix('»')).any(|line| {
            let typed = line.split_once("> ").map_or(line, |(_, typed)| typed);
            typed.split_whitespace().next() == Some(verb.name)
        });
        assert!(
            verb.typed.is_none() || in_talks,
            "no talk in tests/session types {}",
            verb.name
        );
        let run = commands.contains(&format!("\"{}\"", verb.name));
        assert!(verb.command.is_none() || run, "no test runs `tarebook {}`", verb.name);
    }
}

#[test]
fn completions_know_verbs_options_and_values() {
    for shell in SHELLS {
        let script = told(&["completions", shell]);
        for verb in VERBS.iter().filter_map(|verb| Some((verb.name, verb.command?))) {
            assert!(script.contains(verb.0), "{shell}: {}", verb.0);
            for option in options(verb.1) {
                let bare = option.trim_start_matches('-');
                assert!(script.contains(bare), "{shell}: {} {option}", verb.0);
            }
        }
    }
    // In these, the values of a bare argument are completed as well.
    for shell in ["bash", "fish", "zsh"] {
        let script = told(&["completions", shell]);
        let starters = STARTERS.iter().map(|starter| starter.name);
        let codes = Code::ALL.iter().map(|code| code.word());
        let cautions = CAUTIONS.iter().map(|caution| caution.code);
        for word in starters.chain(codes).chain(cautions) {
            assert!(script.contains(word), "{shell}: {word}");
        }
        assert!(script.contains("markdown"), "{shell}");
    }
}

/// What a bash that has the script offers for the words typed so far.
fn offered(script: &Path, words: &[&str]) -> Option<String> {
    let typed: Vec<String> = words.iter().map(|word| format!("'{word}'")).collect();
    let asked = format!(
        "source '{}'; COMP_WORDS=({}); COMP_CWORD={}; _tarebook tarebook '{}' '{}'; echo ${{COMPREPLY[*]}}",
        script.display(),
        typed.join(" "),
        words.len() - 1,
        words[words.len() - 1],
        words[words.len() - 2],
    );
    let output = Command::new("bash").args(["--norc", "-c", &asked]).output().ok()?;
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8(output.stdout).unwrap().trim().to_owned())
}

#[test]
fn bash_completes_with_the_script() {
    let folder = tempfile::tempdir().unwrap();
    let script = folder.path().join("tarebook.bash");
    fs::write(&script, told(&["completions", "bash"])).unwrap();
    for (words, wanted) in [
        (&["tarebook", "sh"][..], "show"),
        (&["tarebook", "new", "weigh"], "weighed-run"),
        (&["tarebook", "help", "unit-c"], "unit-clash"),
        (&["tarebook", "help", "carbon-"], "carbon-monoxide"),
        (&["tarebook", "functions", "net_"], "net_contents"),
        (&["tarebook", "show", "--format", "mark"], "markdown"),
        (&["tarebook", "sweep", "--val"], "--values"),
        (&["tarebook", "completions", ""], "bash elvish fish powershell zsh"),
        // nothing, so that bash offers files
        (&["tarebook", "show", ""], ""),
        (&["tarebook", "diff", "one.tare", ""], ""),
        (&["tarebook", "tidy", "-"], "-h --check --help"),
    ] {
        // Where there is no bash, there is nothing to ask.
        if let Some(found) = offered(&script, words) {
            assert_eq!(found, wanted, "{words:?}");
        }
    }
}

#[test]
fn other_shells_can_read_their_scripts() {
    let folder = tempfile::tempdir().unwrap();
    for shell in ["fish", "zsh"] {
        let script = folder.path().join(shell);
        fs::write(&script, told(&["completions", shell])).unwrap();
        // Where the shell isn't installed, there is nothing to ask.
        if let Ok(output) = Command::new(shell).arg("-n").arg(&script).output() {
            assert!(
                output.status.success(),
                "{shell}: {}",
                String::from_utf8_lossy(&output.stderr)
            );
        }
    }
    let asked = format!(
        "source '{}'; complete -C'tarebook new weigh'; complete -C'tarebook help unit-c'",
        folder.path().join("fish").display()
    );
    if let Ok(output) = Command::new("fish").args(["--no-config", "-c", &asked]).output() {
        assert_eq!(String::from_utf8_lossy(&output.stdout), "weighed-run\nunit-clash\n");
    }
}

#[test]
fn a_page_says_how_its_verb_is_typed() {
    let folder = tempfile::tempdir().unwrap();
    told(&["manual", folder.path().to_str().unwrap()]);
    let page = fs::read_to_string(folder.path().join("tarebook-sweep.1")).unwrap();
    let usage = "tarebook sweep FILE INPUT [all] --from A --to B (--step S | --values N)";
    let synopsis = page.split(".SH SYNOPSIS\n").nth(1).unwrap().replace("\\-", "-");
    assert!(synopsis.starts_with(usage), "{synopsis}");
    assert_eq!(page.replace("\\-", "-").matches(usage).count(), 1);
    let program = fs::read_to_string(folder.path().join("tarebook.1")).unwrap();
    for says in ["ends with 0", "Carbon monoxide", "licensed person"] {
        assert!(program.contains(says), "{says}");
    }
    // Where there is a `man`, it finds nothing to complain of.
    if let Ok(output) = Command::new("man")
        .args(["--warnings", "-E", "UTF-8", "-l"])
        .arg(folder.path().join("tarebook.1"))
        .output()
    {
        assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    }
}

#[test]
fn every_verb_has_its_page() {
    let folder = tempfile::tempdir().unwrap();
    let pages = folder.path().join("share/man1");
    let said = told(&["manual", pages.to_str().unwrap()]);
    let verbs: Vec<_> = VERBS
        .iter()
        .filter_map(|verb| Some((verb.name, verb.command?, verb.summary)))
        .collect();
    assert!(
        said.starts_with(&format!("Wrote {} pages to ", verbs.len() + 1)),
        "{said}"
    );
    assert_eq!(fs::read_dir(&pages).unwrap().count(), verbs.len() + 1);
    let program = fs::read_to_string(pages.join("tarebook.1")).unwrap();
    for (name, usage, summary) in verbs {
        assert!(program.contains(&format!("tarebook\\-{name}(1)")), "{name}");
        let page = fs::read_to_string(pages.join(format!("tarebook-{name}.1"))).unwrap();
        assert!(page.contains(".SH NAME") && page.contains(".SH OPTIONS"), "{name}");
        let plain = page.replace("\\-", "-").replace("\\*(Aq", "'");
        assert!(plain.contains(summary), "{name}");
        for option in options(usage) {
            let described = plain.split(".SH OPTIONS").nth(1).unwrap();
            let at = described
                .find(&format!("\\fB{option}\\fR"))
                .unwrap_or_else(|| panic!("{name}: no {option}"));
            let said = described[at..].lines().nth(1).unwrap_or("");
            assert!(
                said.len() > 10 && !said.starts_with('.'),
                "{name}: nothing is said of {option}"
            );
        }
    }
}

#[test]
fn what_cannot_be_written_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let taken = folder.path().join("taken");
    fs::write(&taken, "here already").unwrap();
    let output = ran(&["manual", taken.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("The manual can't be written to"), "{said}");
    assert_eq!(fs::read_to_string(&taken).unwrap(), "here already");

    let output = ran(&["completions", "basch"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("`SHELL` can't be `basch`") && said.contains("bash, elvish"),
        "{said}"
    );
}
