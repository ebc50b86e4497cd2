//! Who may use whom, told by the `use` lines and paths of `src/`.
//!
//! shell → session → report → study → sheet → trade, syntax → unit → number,
//! problem, text, calendar. Never upward; trade and syntax don't know each other, and the
//! writers of a report see the report alone. Within a folder no module is used by what it
//! uses. An outside package that serves one purpose is named in one file.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// What each part may use besides itself.
const MAY_USE: &[(&str, &[&str])] = &[
    ("text", &[]),
    ("time_limit", &[]),
    ("calendar", &[]),
    ("number", &[]),
    ("problem", &["text"]),
    ("unit", &["number", "calendar", "text", "problem"]),
    ("syntax", &["unit", "number", "calendar", "problem", "text"]),
    (
        "trade",
        &["unit", "number", "calendar", "problem", "text", "time_limit"],
    ),
    (
        "sheet",
        &[
            "syntax",
            "trade",
            "unit",
            "number",
            "calendar",
            "problem",
            "text",
            "time_limit",
        ],
    ),
    (
        "study",
        &[
            "sheet",
            "syntax",
            "trade",
            "unit",
            "number",
            "calendar",
            "problem",
            "text",
            "time_limit",
        ],
    ),
    (
        "report",
        &[
            "study",
            "sheet",
            "syntax",
            "trade",
            "unit",
            "number",
            "calendar",
            "problem",
            "text",
            "time_limit",
        ],
    ),
    (
        "session",
        &[
            "report",
            "study",
            "sheet",
            "syntax",
            "trade",
            "unit",
            "number",
            "calendar",
            "problem",
            "text",
            "time_limit",
        ],
    ),
    (
        "shell",
        &[
            "session",
            "report",
            "study",
            "sheet",
            "syntax",
            "trade",
            "unit",
            "number",
            "calendar",
            "problem",
            "text",
            "time_limit",
        ],
    ),
];

/// Files of the report that look further to build it: the sheet, or what the
/// language knows. The others are writers.
const BUILDERS: &[&str] = &["report/compose", "report/place", "report/drawing", "report/pages"];

/// Packages that only these files, or files under these folders, may name.
const ONE_PLACE: &[(&str, &[&str])] = &[
    ("pest", &["syntax/grammar.rs"]),
    ("pest_derive", &["syntax/grammar.rs"]),
    ("rust_decimal", &["number.rs"]),
    ("rustyline", &["shell/interactive.rs"]),
    ("clap", &["shell/"]),
    ("clap_complete", &["shell/setup.rs"]),
    ("clap_mangen", &["shell/setup.rs"]),
    ("lsp_types", &["shell/editor.rs", "shell/editor/"]),
    ("tempfile", &["session.rs", "session/", "shell/"]),
    ("rand_pcg", &["study/streams.rs"]),
    ("rand_distr", &["study/streams.rs"]),
    ("rayon", &["study/draws.rs"]),
    ("ctrlc", &["shell/progress.rs"]),
    ("tiny_http", &["shell/page.rs", "shell/page/"]),
    ("getrandom", &["shell/page/"]),
    ("maud", &["report/handout/", "report/document/", "report/live"]),
    ("strsim", &["text.rs", "trade/registry.rs"]),
];

struct Source {
    /// Below `src/`, with strokes.
    path: String,
    text: String,
}

fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut open: Vec<PathBuf> = vec![root.clone()];
    let mut found = Vec::new();
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let below = path.strip_prefix(&root).unwrap();
                let parts: Vec<_> = below
                    .components()
                    .map(|part| part.as_os_str().to_string_lossy())
                    .collect();
                found.push(Source {
                    path: parts.join("/"),
                    text: fs::read_to_string(&path).unwrap(),
                });
            }
        }
    }
    found.sort_by(|one, other| one.path.cmp(&other.path));
    assert!(found.len() > 40);
    found
}

impl Source {
    /// The part it belongs to; `None` for `lib.rs` and `main.rs`.
    fn part(&self) -> Option<&str> {
        let first = self.path.split('/').next().unwrap().trim_end_matches(".rs");
        MAY_USE.iter().map(|(part, _)| *part).find(|part| *part == first)
    }

    /// Its code without remarks and texts, and without tests at its end.
    fn code(&self) -> String {
        let text = self.text.split("#[cfg(test)]").next().unwrap();
        let lines = text.lines().map(|line| line.split("//").next().unwrap());
        lines.map(|line| format!("{line}\n")).collect()
    }

    /// Every path of its `use` statements, the parts of braces one by one.
    fn uses(&self) -> BTreeSet<String> {
        let mut found = BTreeSet::new();
        for statement in uses(&self.code()) {
            expand("", &statement, &mut found);
        }
        found
    }

    /// Every path written: `crate::unit::Kind`, `std::fmt`.
    fn paths(&self) -> BTreeSet<String> {
        let code = self.code();
        let mut found = self.uses();
        let plain = code.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':'));
        found.extend(plain.filter(|word| word.contains("::")).map(str::to_owned));
        found
    }

    /// The parts of this program that it names.
    fn parts_named(&self) -> BTreeSet<String> {
        let own = self.part().unwrap_or("").to_owned();
        let paths = self.paths();
        let from_root = paths.iter().filter_map(|path| path.strip_prefix("crate::"));
        let named = from_root.map(|path| path.split("::").next().unwrap().to_owned());
        let mut named: BTreeSet<String> = named
            .filter(|part| MAY_USE.iter().any(|(known, _)| known == part))
            .collect();
        // `super::` from the first level is the root
        if !self.path.contains('/') {
            let above = paths.iter().filter_map(|path| path.strip_prefix("super::"));
            named.extend(above.map(|path| path.split("::").next().unwrap().to_owned()));
        }
        named.remove(&own);
        named
    }
}

/// The `use` statements, each as one line without `use` and `;`.
fn uses(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = code;
    while let Some(at) = rest.find("use ") {
        let begins = rest[..at].chars().next_back().is_none_or(char::is_whitespace);
        rest = &rest[at + 4..];
        if let (true, Some(end)) = (begins, rest.find(';')) {
            found.push(rest[..end].split_whitespace().collect::<Vec<_>>().join(" "));
        }
    }
    found
}

/// `a::{b, c::{d, e}}` as `a::b`, `a::c::d`, `a::c::e`.
fn expand(before: &str, tree: &str, found: &mut BTreeSet<String>) {
    let Some(open) = tree.find('{') else {
        let path = tree.split(" as ").next().unwrap().trim();
        found.insert(format!("{before}{path}"));
        return;
    };
    let before = format!("{before}{}", tree[..open].trim());
    let inside = tree[open + 1..].trim_end().trim_end_matches('}');
    let mut depth = 0;
    let mut start = 0;
    for (at, letter) in inside.char_indices().chain([(inside.len(), ',')]) {
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                let part = inside[start..at].trim();
                if !part.is_empty() {
                    let closed = if part.contains('{') && !part.ends_with('}') {
                        format!("{part}}}")
                    } else {
                        part.to_owned()
                    };
                    expand(&before, &closed, found);
                }
                start = at + 1;
            }
            _ => {}
        }
    }
}

fn check(rule: &str, breaches: Vec<String>) {
    assert!(breaches.is_empty(), "{rule}:\n{}", breaches.join("\n"));
}

#[test]
fn nothing_uses_what_is_above_it() {
    let mut breaches = Vec::new();
    for source in sources() {
        let Some(part) = source.part() else { continue };
        let allowed = MAY_USE.iter().find(|(known, _)| *known == part).unwrap().1;
        let named = source.parts_named();
        let above = named.iter().filter(|named| !allowed.contains(&named.as_str()));
        breaches.extend(above.map(|named| format!("{} uses {named}", source.path)));
    }
    check("a part uses only what is below it", breaches);
}

/// Modules by their paths, `["sheet", "made"]`, each with what it takes over by `use`, and with
/// every path that it writes.
type Modules = BTreeMap<Vec<String>, (BTreeSet<String>, BTreeSet<String>)>;

fn modules() -> Modules {
    let path = |source: &Source| {
        source
            .path
            .trim_end_matches(".rs")
            .split('/')
            .map(str::to_owned)
            .collect()
    };
    let all = sources()
        .into_iter()
        .map(|source| (path(&source), (source.uses(), source.paths())));
    let is_one = |path: &[String]| !matches!(path.last().unwrap().as_str(), "lib" | "main");
    all.filter(|(path, _): &(Vec<String>, _)| is_one(path)).collect()
}

/// Where a path leads that is written in a module: from the root of the program.
fn from_root(module: &[String], path: &str) -> Option<Vec<String>> {
    let mut parts = path.split("::").map(str::to_owned).peekable();
    let mut at = match parts.peek()?.as_str() {
        "crate" => Vec::new(),
        "self" | "super" => module.to_vec(),
        _ => return None,
    };
    while parts.next_if(|part| part == "super").is_some() {
        at.pop();
    }
    let _ = parts.next_if(|part| part == "crate" || part == "self");
    at.extend(parts.map(|part| part.split(" as ").next().unwrap().to_owned()));
    Some(at)
}

/// The module in which what a path leads to stands; what is handed on by `pub use` stands where
/// it comes from.
fn home(modules: &Modules, path: &[String]) -> Option<Vec<String>> {
    let length = (1..=path.len())
        .rev()
        .find(|length| modules.contains_key(&path[..*length]))?;
    let module = &path[..length];
    let Some(name) = path.get(length) else {
        return Some(module.to_vec());
    };
    let handed_on = modules[module].0.iter().find_map(|used| {
        let inner = used.contains("::") && used.split("::").last().unwrap() == name;
        let begins = used.split("::").next().unwrap().to_owned();
        let below = [module, &[begins]].concat();
        (inner && modules.contains_key(&below)).then(|| format!("self::{used}"))
    });
    match handed_on.and_then(|used| from_root(module, &used)) {
        Some(used) if used[..] != *path => home(modules, &used),
        _ => Some(module.to_vec()),
    }
}

/// Who uses whom among the modules of each folder; a module counts with the folder of its name.
fn uses_by_folder(modules: &Modules) -> BTreeMap<Vec<String>, BTreeMap<String, BTreeSet<String>>> {
    let mut found: BTreeMap<Vec<String>, BTreeMap<String, BTreeSet<String>>> = BTreeMap::new();
    for (module, (_, paths)) in modules {
        let rooted = paths.iter().filter_map(|path| from_root(module, path));
        for used in rooted.filter_map(|path| home(modules, &path)) {
            let shared = module.iter().zip(&used).take_while(|(one, other)| one == other).count();
            if let (Some(user), Some(used)) = (module.get(shared), used.get(shared)) {
                let folder = found.entry(module[..shared].to_vec()).or_default();
                folder.entry(user.clone()).or_default().insert(used.clone());
            }
        }
    }
    found
}

/// Whoever is used by a module, and by those it uses, and so on.
fn reached<'a>(uses: &'a BTreeMap<String, BTreeSet<String>>, from: &'a str) -> BTreeSet<&'a str> {
    let mut found = BTreeSet::new();
    let mut open = vec![from];
    while let Some(module) = open.pop() {
        let used = uses.get(module).into_iter().flatten().map(String::as_str);
        open.extend(used.filter(|used| found.insert(*used)));
    }
    found
}

/// Where two modules need each other, neither can be read alone. What both need goes into a
/// module of its own.
#[test]
fn no_module_is_used_by_what_it_uses() {
    let modules = modules();
    let mut breaches = Vec::new();
    for (folder, uses) in uses_by_folder(&modules) {
        let circles = uses
            .keys()
            .filter(|module| reached(&uses, module).contains(module.as_str()));
        let circles: Vec<&str> = circles.map(String::as_str).collect();
        if !circles.is_empty() {
            breaches.push(format!("src/{}: {}", folder.join("/"), circles.join(", ")));
        }
    }
    check("no circle among the modules of a folder", breaches);
}

#[test]
fn circles_are_found() {
    let source = |path: &str, text: &str| Source {
        path: path.to_owned(),
        text: text.to_owned(),
    };
    let path = |words: &str| words.split('/').map(str::to_owned).collect::<Vec<_>>();
    let texts = [
        ("a", "mod b; mod c; mod d; pub use c::deep::Thing;"),
        ("a/b", "use super::{Thing, d};"),
        ("a/c", "mod deep;"),
        ("a/c/deep", "pub struct Thing; fn f() { crate::a::b::g() }"),
        ("a/d", "// crate::a::b::g"),
    ];
    let of = |source: Source| (source.uses(), source.paths());
    let modules: Modules = texts
        .iter()
        .map(|(at, text)| (path(at), of(source(at, text))))
        .collect();
    let uses = uses_by_folder(&modules);
    let in_a = &uses[&path("a")];
    let expected = BTreeSet::from(["b", "c", "d"]);
    assert_eq!(reached(in_a, "b"), expected);
    assert_eq!(reached(in_a, "c"), expected);
    assert!(reached(in_a, "d").is_empty());
}

#[test]
fn writers_see_the_report_alone() {
    let writers = |source: &Source| {
        source.path.starts_with("report/") && !BUILDERS.iter().any(|builder| source.path.starts_with(builder))
    };
    let mut breaches = Vec::new();
    for source in sources().into_iter().filter(writers) {
        let named = source.parts_named();
        let beyond = named
            .iter()
            .filter(|named| !["number", "calendar", "text"].contains(&named.as_str()));
        breaches.extend(beyond.map(|named| format!("{} uses {named}", source.path)));
    }
    check("a writer sees the report, numbers and texts alone", breaches);
}

/// Whoever wants to see another case or another value takes a copy, so that nothing has to
/// be put back.
#[test]
fn studies_and_reports_leave_the_worksheet_as_it_is() {
    let looks_on = |source: &Source| matches!(source.part(), Some("study" | "report"));
    let mut breaches = Vec::new();
    for source in sources().into_iter().filter(looks_on) {
        let code = source.code().split_whitespace().collect::<Vec<_>>().join(" ");
        for (at, _) in code.match_indices("mut Sheet") {
            let before: String = code[..at].chars().rev().take_while(|c| *c != '(').collect();
            let before: String = before.chars().rev().collect();
            breaches.push(format!("{}: {before}mut Sheet", source.path));
        }
    }
    check("studies and reports take no worksheet to change", breaches);
}

#[test]
fn a_package_of_one_purpose_has_one_place() {
    let mut breaches = Vec::new();
    for source in sources() {
        let paths = source.paths();
        for (package, places) in ONE_PLACE {
            let named = paths.iter().any(|path| path.split("::").next() == Some(package));
            if named && !places.iter().any(|place| source.path.starts_with(place)) {
                breaches.push(format!("{} names {package}", source.path));
            }
        }
    }
    check("a package that serves one purpose is named in one place", breaches);
}

#[test]
fn imports_are_by_name() {
    let mut breaches = Vec::new();
    for source in sources() {
        let globs = source.paths().into_iter().filter(|path| path.ends_with("::*"));
        breaches.extend(globs.map(|path| format!("{} imports {path}", source.path)));
    }
    check("imports are by name", breaches);
}

#[test]
fn every_file_says_what_it_is_for() {
    let mut breaches = Vec::new();
    let longer = |source: &Source| source.text.lines().count() > 3;
    for source in sources().into_iter().filter(longer) {
        let header = source.text.lines().take_while(|line| line.starts_with("//!")).count();
        if !(1..=15).contains(&header) {
            breaches.push(format!("{} has a header of {header} lines", source.path));
        }
    }
    check("every file begins with what it is for", breaches);
}

#[test]
fn only_the_shell_prints() {
    let mut breaches = Vec::new();
    for source in sources().iter().filter(|source| source.part() != Some("shell")) {
        let code = source.code();
        for word in [
            "println!",
            "print!(",
            "eprint",
            "dbg!",
            "std::io::stdout",
            "std::io::stderr",
        ] {
            if code.contains(word) {
                breaches.push(format!("{} has {word}", source.path));
            }
        }
    }
    check("only the shell prints", breaches);
}

#[test]
fn no_file_is_a_drawer_for_odds_and_ends() {
    let drawers = ["utils", "util", "helpers", "common", "misc"];
    let named = |source: &Source| {
        drawers
            .iter()
            .any(|drawer| source.path.split(['/', '.']).any(|part| part == *drawer))
    };
    let breaches = sources().into_iter().filter(named).map(|source| source.path).collect();
    check("a file is named for what lives in it", breaches);
}
