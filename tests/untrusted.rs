//! Worksheets that strangers sent: what they may read, and what their texts may do.
//!
//! [`NASTY`] goes into every place where a text can stand, and every verb in every
//! format is run on that. What comes out must be harmless where it goes: a terminal,
//! a spreadsheet, a browser, a code host.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::ops::Range;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tarebook::problem::Code;
use tarebook::report::visible::is_hidden;
use tarebook::sheet::Sheet;

/// Texts that mean to be more than texts. Each holds a word of its own, `evil` and its place.
const NASTY: &[&str] = &[
    "\u{1b}[31;5mevil0",
    "evil1\u{1b}]0;gone\u{7}\u{1b}]52;c;ZXZpbA==\u{7}",
    "evil2\u{9b}2J\u{9d}0;x\u{9c}\u{90}q\u{9c}",
    "evil3\u{202e}txt.exe\u{2066}x\u{2069}\u{200f}\u{61c}",
    "evil4\u{8}\u{8}\u{8}\u{7f}\u{0}\u{c}",
    "evil5\r\nanswer forged = 1\u{2028}x\u{2029}\u{85}x",
    "=HYPERLINK(\"http://example.test/?\"&A1,\"evil6\")",
    "+evil7|'/C calc'!A0",
    "-2+3+cmd|' /C evil8'!A0",
    "@SUM(1+1)*evil9",
    "\t=1+1 evil10",
    "\r=1+1 evil11",
    "＝1+1 evil12",
    "</style><script>alert('evil13')</script>",
    "<img src=x onerror=\"alert('evil14')\">",
    "javascript:alert('evil15')",
    "[evil16](javascript:alert(1)) ![x](http://example.test/x.png) [r]: http://example.test",
    "` evil17 | `x` ``` | <b>",
    "\" onmouseover=\"alert('evil18')\" x=\"",
    "' onload='alert(\"evil19\")",
    "]]></mtext></math><svg onload=alert('evil20')><![CDATA[",
    "&lt;b&gt;evil21&#60;i&#62;&amp",
    "--><!-- evil22 --><?x?>",
    "http://example.test/\"><b>evil23</b>",
    "<https://example.test/evil24> <mailto:a@example.test>",
    "# evil25",
    "1. evil26",
    "> evil27",
    "| evil28 | --- |",
    "~~evil29~~ **b** __b__ *i* ${7*7} $x$ @everyone",
    "\u{feff}evil30\u{200b}\u{e0041}\u{fffe}",
    "{{ evil31 }} <%= 1 %> %s %n \\u{1b}[2J \\x1b[2J",
];

/// As a text stands in a worksheet: as it is, or with escapes where it must have them.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            '\r' | '\0' => write!(quoted, "\\u{{{:x}}}", u32::from(c)).unwrap(),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// The same with every control character escaped.
fn escaped(text: &str) -> String {
    let mut quoted = quoted(text);
    for c in text
        .chars()
        .filter(|c| is_hidden(*c) && !matches!(c, '\n' | '\r' | '\0'))
    {
        quoted = quoted.replace(c, &format!("\\u{{{:x}}}", u32::from(c)));
    }
    quoted
}

/// One line of it, as prose and headings take it.
fn in_line(text: &str) -> String {
    text.replace(['\n', '\r'], " ")
}

/// A worksheet with the texts in every place.
fn worksheet() -> String {
    worksheet_of(0..NASTY.len())
}

fn worksheet_of(places: Range<usize>) -> String {
    let mut text = format!("# {}\n", in_line(&NASTY[places.clone()].join(" ")));
    for place in places {
        let nasty = NASTY[place];
        let (raw, safe, line) = (quoted(nasty), escaped(nasty), in_line(nasty));
        writeln!(text, "## {line}\n> {line}\n-- {line}").unwrap();
        writeln!(
            text,
            "assumed a{place} {raw} = {place}.5 lb ± 0.1 lb from {safe} note {raw} -- {line}"
        )
        .unwrap();
        writeln!(text, "quoted u{place} {safe} = 2 h from {raw} note {safe}").unwrap();
        writeln!(text, "assumed t{place} = {safe} from {raw}").unwrap();
        writeln!(text, "worked same{place} = t{place}").unwrap();
        writeln!(text, "answer r{place} {raw} [lb/h] = a{place} / u{place} note {safe}").unwrap();
        writeln!(text, "answer is{place} = if t{place} = {raw} then {safe} else {raw}").unwrap();
        writeln!(text, "expect r{place} > 1000 lb/h else {raw}").unwrap();
        writeln!(text, "expect t{place} = {safe} else {safe}").unwrap();
        writeln!(
            text,
            "table c{place} {raw}\n  | name | w [lb] |\n  | {} | {place} |\n  | b | 2 |",
            cell(nasty)
        )
        .unwrap();
        writeln!(text, "plot c{place}.w over c{place}.name {safe}").unwrap();
        writeln!(
            text,
            "case k{place} {raw}\n  a{place} = 3 lb from {safe} note {raw}\n  t{place} = {raw}"
        )
        .unwrap();
        // broken in many ways: what is quoted in a problem is harmless too
        writeln!(
            text,
            "worked b{place} = 2 lbq{line}\nworked {line} = 2 lb\n{line} x = 3"
        )
        .unwrap();
        writeln!(
            text,
            "worked d{place} = fuel_heat({safe})\nworked e{place} = burn_rat({raw})\nworked f{place} = {raw}"
        )
        .unwrap();
        writeln!(
            text,
            "worked g{place} = c{place}.{line}\nexpect a{place} > {raw}\ntable h{place} = csv({raw})"
        )
        .unwrap();
        writeln!(
            text,
            "table j{place} = csv(\"log.csv\", columns: {raw}, dates: {raw}, every: {line})\nuse {raw} as {line}"
        )
        .unwrap();
        writeln!(text, "| {line} |\ntable i{place}\n  | {line} [{line}] |\n  | x |").unwrap();
    }
    text.push_str("table log = csv(\"log.csv\")\nworked all = sum(log.w)\nanswer first = max(log.w)\n");
    text
}

/// A cell between bars can't hold a bar.
fn cell(text: &str) -> String {
    in_line(text).replace('|', "/")
}

fn csv_file() -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["name", "w [lb]", NASTY[0], NASTY[13]]).unwrap();
    for (place, nasty) in NASTY.iter().enumerate() {
        writer
            .write_record([*nasty, &format!("-{place}"), nasty, nasty])
            .unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// A folder with the worksheet, whose own name is nasty too.
fn folder() -> (tempfile::TempDir, &'static str) {
    let folder = tempfile::tempdir().unwrap();
    let name = if cfg!(unix) {
        "\u{1b}[31m<b>|`x`\u{202e}.tare"
    } else {
        "x.tare"
    };
    fs::write(folder.path().join(name), worksheet()).unwrap();
    fs::write(folder.path().join("log.csv"), csv_file()).unwrap();
    (folder, name)
}

/// What a call printed on both streams.
struct Ran {
    out: String,
    err: String,
}

fn run(folder: &Path, arguments: &[&str], typed: &str) -> Ran {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder)
        .env("COLUMNS", "100")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let typed = typed.to_owned();
    let writing = std::thread::spawn(move || drop(input.write_all(typed.as_bytes())));
    let ended = child.wait_with_output().unwrap();
    writing.join().unwrap();
    assert!(
        ended.status.code().is_some_and(|code| code < 4),
        "{arguments:?}: {:?}",
        ended.status
    );
    Ran {
        out: String::from_utf8(ended.stdout).unwrap(),
        err: String::from_utf8(ended.stderr).unwrap(),
    }
}

/// No character on which a terminal acts.
fn check_terminal(what: &str, text: &str) {
    for line in text.split('\n') {
        if let Some(c) = line.chars().find(|c| is_hidden(*c)) {
            panic!("{what}: U+{:04X} in {line:?}", u32::from(c));
        }
    }
}

/// No cell that a spreadsheet program would run; numbers stay numbers.
fn check_csv(what: &str, text: &str) {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let mut cells = 0;
    for record in reader.records() {
        for cell in record.unwrap().iter() {
            cells += 1;
            let starts = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
            assert!(!starts || cell.parse::<f64>().is_ok(), "{what}: {cell:?}");
        }
    }
    assert!(cells > 10, "{what}");
}

/// The page is well-formed and holds nothing that acts: each element and attribute is one
/// of those that a page is made of, each link leads within the page or to a web address.
fn check_page(what: &str, page: &str) {
    let body = page.trim_start_matches("<!DOCTYPE html>");
    let document = roxmltree::Document::parse(body).unwrap_or_else(|trouble| panic!("{what}: {trouble}"));
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        let name = node.tag_name().name();
        assert!(
            ![
                "script",
                "img",
                "iframe",
                "object",
                "embed",
                "form",
                "link",
                "base",
                "animate",
                "set",
                "foreignObject",
                "image",
                "use"
            ]
            .contains(&name),
            "{what}: <{name}>"
        );
        for attribute in node.attributes() {
            let value = attribute.value();
            assert!(!attribute.name().starts_with("on"), "{what}: {attribute:?}");
            assert!(
                !matches!(attribute.name(), "src" | "action" | "formaction" | "srcdoc"),
                "{what}: {attribute:?}"
            );
            if attribute.name() == "href" {
                assert!(
                    ["#", "https://", "http://"]
                        .iter()
                        .any(|start| value.starts_with(start)),
                    "{what}: {value}"
                );
            }
            if attribute.name() == "style" {
                assert!(!value.contains("url(") && !value.contains("evil"), "{what}: {value}");
            }
        }
        if name == "style" {
            assert!(!node.text().unwrap_or("").contains("evil"), "{what}");
        }
    }
    check_terminal(what, page);
}

/// No markup but our own: outside of code nothing opens an element, a link or an address,
/// and the rows of a table have as many cells as its head.
fn check_markdown(what: &str, page: &str) {
    check_terminal(what, page);
    let mut bars = None;
    let mut fenced = false;
    for line in page.lines() {
        if line.starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if fenced {
            continue;
        }
        let plain = without_code(line);
        assert!(!plain.contains('<'), "{what}: {line}");
        assert!(!plain.contains("]("), "{what}: {line}");
        assert!(!plain.contains("!["), "{what}: {line}");
        let opens = plain.trim_start();
        assert!(
            !opens.starts_with("# evil") && !opens.starts_with("> > "),
            "{what}: {line}"
        );
        if !line.starts_with('|') {
            bars = None;
            continue;
        }
        let count = unescaped_bars(line);
        assert_eq!(*bars.get_or_insert(count), count, "{what}: {line}");
    }
}

/// A line without its code spans and without what is escaped.
fn without_code(line: &str) -> String {
    let letters: Vec<char> = line.chars().collect();
    let (mut plain, mut at) = (String::new(), 0);
    while at < letters.len() {
        match letters[at] {
            '\\' => at += 2,
            '`' => {
                let length = letters[at..].iter().take_while(|c| **c == '`').count();
                at = closing(&letters, at + length, length).unwrap_or(at + length);
            }
            c => {
                plain.push(c);
                at += 1;
            }
        }
    }
    plain
}

/// Behind the run of just so many backticks that closes a code span.
fn closing(letters: &[char], mut at: usize, length: usize) -> Option<usize> {
    while at < letters.len() {
        let run = letters[at..].iter().take_while(|c| **c == '`').count();
        if run == length {
            return Some(at + run);
        }
        at += run.max(1);
    }
    None
}

/// Bars that part cells: in a table a bar counts in code too, unless it is escaped.
fn unescaped_bars(line: &str) -> usize {
    let mut before = ' ';
    let mut count = 0;
    for c in line.chars() {
        if c == '|' && before != '\\' {
            count += 1;
        }
        before = if before == '\\' && c == '\\' { ' ' } else { c };
    }
    count
}

/// Each verb of the command line, with what it needs to have something to say.
const VERBS: &[&[&str]] = &[
    &["show", "FILE"],
    &["show", "FILE", "--case", "k13"],
    &["why", "FILE", "r16"],
    &["why", "FILE", "is13"],
    &["doubt", "FILE", "r14"],
    &["doubt", "FILE", "r6", "--draws", "200"],
    &["compare", "FILE", "--set", "a3=3 lb"],
    &["audit", "FILE"],
    &["sweep", "FILE", "a5", "--from", "1 lb", "--to", "3 lb", "--values", "3"],
    &[
        "aim",
        "FILE",
        "r2=1 lb/h",
        "--varying",
        "a2",
        "--between",
        "1 lb",
        "9 lb",
    ],
    &["diff", "FILE", "other.tare"],
];

#[test]
fn what_is_printed_is_harmless() {
    let (folder, name) = folder();
    fs::write(
        folder.path().join("other.tare"),
        worksheet().replace(".5 lb", ".6 lb").replace("evil", "Evil"),
    )
    .unwrap();
    for verb in VERBS {
        for format in ["text", "markdown", "json", "csv"] {
            let mut arguments: Vec<&str> = verb
                .iter()
                .map(|word| if *word == "FILE" { name } else { word })
                .collect();
            arguments.extend(["--format", format]);
            let what = format!("{} as {format}", verb.join(" "));
            let ran = run(folder.path(), &arguments, "");
            assert!(
                ran.out.contains("evil") || ran.out.len() > 40,
                "{what} says nothing: {}",
                ran.err
            );
            check_terminal(&what, &ran.out);
            check_terminal(&what, &ran.err);
            match format {
                "markdown" => check_markdown(&what, &ran.out),
                "csv" => check_csv(&what, &ran.out),
                "json" => drop(serde_json::from_str::<serde_json::Value>(&ran.out).unwrap()),
                _ => {}
            }
        }
    }
}

#[test]
fn what_else_is_printed_is_harmless() {
    let (folder, name) = folder();
    let calls: &[&[&str]] = &[
        &["check", name],
        &["check", name, "--format", "json"],
        &["check", name, "no\u{1b}[31mfile", "no\u{202e}folder/x"],
        &["show", name, "--case", "\u{1b}[31m"],
        &["show", name, "--set", "a1=\u{1b}]0;x\u{7}"],
        &["show", name, "--set", "\u{202e}=2"],
        &["why", name, "\u{9b}2J"],
        &["doubt", name, "\u{9b}2J", "--draws", "\u{1b}[2J"],
        &["new", "\u{1b}[31m"],
        &["new", "weighed-run", "\u{1b}[31mnew.tare"],
        &["tidy", "\u{1b}[31mnew.tare"],
        &["add", name, "c3", "\u{1b}[31m", "\u{202e}3 lb"],
        &["add", name, "\u{1b}[31m", "\u{9b}2J"],
        &["mark", name, "\u{1b}[31m"],
        &["page", "\u{1b}[31m"],
        &["help", "\u{1b}[31m"],
        &["units", "\u{1b}[31m"],
        &["functions", "\u{1b}[31m\u{202e}"],
        &["\u{1b}[31m"],
        &["show", "--\u{1b}[31m"],
    ];
    for arguments in calls {
        let ran = run(folder.path(), arguments, "");
        let what = format!("{arguments:?}");
        assert!(ran.out.len() + ran.err.len() > 10, "{what} says nothing");
        check_terminal(&what, &ran.out);
        check_terminal(&what, &ran.err);
    }
}

/// What comes from a worksheet that another rests on, and from what pupils wrote, under file
/// names that are no better.
#[test]
fn what_other_files_bring_is_harmless() {
    let (folder, name) = folder();
    let own = folder.path();
    let rests = format!(
        "use {} as own\nanswer x = own.r3\nanswer y = own.is14\nworked z = own.c6.w\n",
        quoted(name)
    );
    fs::write(own.join("rests.tare"), rests).unwrap();
    let exercise = |answer: &str| format!("worked key = 3 lb\nassumed net \"q\" [lb] = {answer}\n");
    let lesson = |answer: &str| exercise(answer) + "expect net close to key within 0.1 lb else \"no\"\n";
    fs::write(own.join("lesson.tare"), lesson("?")).unwrap();
    fs::create_dir(own.join("class")).unwrap();
    for (place, nasty) in NASTY.iter().enumerate() {
        let line = in_line(nasty);
        let paper = lesson(&line)
            + &format!(
                "{line}\nworked {line} = 2\nmeasured more = 1 lb from {}\n",
                quoted(nasty)
            );
        let pupil: String = line.replace(['/', '\0'], "").chars().take(60).collect();
        fs::write(own.join(format!("class/{place}{pupil}.tare")), paper).unwrap();
    }
    let calls: &[&[&str]] = &[
        &["show", "rests.tare"],
        &["why", "rests.tare", "y", "all"],
        &["audit", "rests.tare", "all"],
        &["diff", "rests.tare", name],
        &["mark", "lesson.tare", "class", "all"],
        &["mark", "lesson.tare", "class", "--pupil", "each"],
    ];
    for arguments in calls {
        for format in ["text", "markdown", "html", "json", "csv"] {
            let arguments = [*arguments, &["--format", format]].concat();
            let what = format!("{arguments:?}");
            let ran = run(own, &arguments, "");
            assert!(
                ran.out.contains("evil") || ran.out.len() > 40,
                "{what} says nothing: {}",
                ran.err
            );
            check_terminal(&what, &ran.err);
            match format {
                "markdown" => check_markdown(&what, &ran.out),
                "html" => check_page(&what, &ran.out),
                "csv" => check_csv(&what, &ran.out),
                _ => check_terminal(&what, &ran.out),
            }
        }
    }
}

#[test]
fn a_session_is_harmless() {
    let (folder, name) = folder();
    for first in (0..NASTY.len()).step_by(4) {
        let places = first..first + 4;
        fs::write(folder.path().join(name), worksheet_of(places.clone())).unwrap();
        let ran = run(folder.path(), &["open", name], &typed(places.clone()));
        for place in places {
            assert!(ran.out.contains(&format!("evil{place}")), "text {place} is left out");
        }
        check_terminal("session", &ran.out);
        check_terminal("session", &ran.err);
    }
}

/// Lines typed in a session that bring the texts up, and put them in.
fn typed(places: Range<usize>) -> String {
    let mut typed = String::from("check\nshow\nshow cautions\ncompare\ncase\ntrials\naudit\n");
    for place in places {
        let (raw, line) = (quoted(NASTY[place]), in_line(NASTY[place]));
        writeln!(
            typed,
            "r{place}\nt{place}\nwhy is{place}\nc{place}\nplot c{place}.w over c{place}.name {raw}"
        )
        .unwrap();
        writeln!(
            typed,
            "t{place} = {raw}\ntrials\nkeep\nundo\nundo\nredo\ncase k{place}\nshow {line}\n{line}"
        )
        .unwrap();
        writeln!(
            typed,
            "assumed new{place} {raw} = 3 lb from {raw}\nrename new{place} {line}\nremove new{place}"
        )
        .unwrap();
        writeln!(
            typed,
            "add c{place} name {raw}, w 4 lb\nadd c{place} {line}\nc{place}.w of {raw}\nremove c{place} of {raw}"
        )
        .unwrap();
        writeln!(typed, "edit a{place}\n\nkeep as case z{place} {raw}").unwrap();
        writeln!(typed, "save as no/{line}/x.tare\nhandout no/{line}.html").unwrap();
    }
    typed
}

#[test]
fn a_handout_is_harmless() {
    let (folder, name) = folder();
    for more in [
        &[][..],
        &["--pupil"],
        &["--key"],
        &["--card"],
        &["--case", "k13"],
        &["--set", "a2=\u{1b}9 lb"],
        &["--set", "t2=\"<b>\u{1b}\""],
    ] {
        let mut arguments = vec!["handout", name, "-o", "-"];
        arguments.extend(more);
        let ran = run(folder.path(), &arguments, "");
        let what = format!("{arguments:?}");
        check_terminal(&what, &ran.err);
        if ran.out.is_empty() {
            assert!(ran.err.len() > 10, "{what} says nothing");
            continue;
        }
        check_page(&what, &ran.out);
        for place in 0..NASTY.len() {
            assert!(
                ran.out.contains(&format!("evil{place}")),
                "{what} leaves out text {place}"
            );
        }
    }
}

/// The checks themselves find what they look for.
#[test]
fn what_acts_would_be_found() {
    let fails = |check: fn(&str, &str), text: &'static str| std::panic::catch_unwind(|| check("a", text)).is_err();
    for acting in ["a\u{1b}[31m", "a\u{9b}2J", "a\u{202e}b", "a\rb", "a\u{7f}", "a\tb"] {
        assert!(fails(check_terminal, acting), "{acting:?}");
    }
    let row = "1,2,3,4,5,6,7,8,9,10,11\n";
    for cell in ["=1+1", "\"-1+cmd\"", "@x", "+a", "\"\t=1\""] {
        let text: &'static str = Box::leak(format!("{row}{cell}\n").into_boxed_str());
        assert!(fails(check_csv, text), "{cell:?}");
    }
    assert!(!fails(check_csv, "1,2,3,4,5,6,7,8,9,10,11\n-5\n-0.5\n"));
    for page in [
        "<html><script>1</script></html>",
        "<html><a href=\"javascript:x\">x</a></html>",
        "<html><p onclick=\"x\">x</p></html>",
        "<html><p>x</html>",
    ] {
        assert!(fails(check_page, page), "{page}");
    }
    for page in [
        "a <b>",
        "[a](b)",
        "![a]",
        "| a | b |\n| --- | --- |\n| a | b | c |\n",
        "`` a ` `` <i>",
    ] {
        assert!(fails(check_markdown, page), "{page}");
    }
    assert!(!fails(
        check_markdown,
        "`<b> [a](b)` \\<b\n| a \\| | b |\n| --- | --- |\n"
    ));
}

// ---- what may be read ----

/// The code of the one problem that a table from this path has.
fn code_of(folder: &Path, path: &str) -> Option<Code> {
    let begun = Instant::now();
    let text = format!("table t = csv({})\n", quoted(path));
    let sheet = Sheet::load(text, Some(folder.to_owned()));
    assert!(
        begun.elapsed() < Duration::from_secs(5),
        "{path} took {:?}",
        begun.elapsed()
    );
    let problems = sheet.problems();
    assert!(problems.len() < 2, "{path}: {problems:?}");
    problems.first().map(|problem| problem.code)
}

#[test]
fn only_the_own_folder_is_read() {
    let outer = tempfile::tempdir().unwrap();
    let folder = outer.path().join("sheet");
    fs::create_dir_all(folder.join("below")).unwrap();
    for place in ["secret.csv", "sheet/own.csv", "sheet/below/own.csv"] {
        fs::write(outer.path().join(place), "a\n1\n").unwrap();
    }
    fs::create_dir(outer.path().join("sheet-beside")).unwrap();
    fs::write(outer.path().join("sheet-beside/secret.csv"), "a\n1\n").unwrap();
    let whole = outer.path().join("secret.csv").to_string_lossy().into_owned();
    let own = folder.join("own.csv").to_string_lossy().into_owned();
    let table: &[(&str, Option<Code>)] = &[
        ("own.csv", None),
        ("./own.csv", None),
        ("below/own.csv", None),
        ("below/./own.csv", None),
        ("../secret.csv", Some(Code::FileOutside)),
        ("below/../../secret.csv", Some(Code::FileOutside)),
        ("below/../own.csv", None),
        ("below/../below/./own.csv", None),
        ("nowhere/../own.csv", Some(Code::FileMissing)),
        ("./../secret.csv", Some(Code::FileOutside)),
        ("../sheet-beside/secret.csv", Some(Code::FileOutside)),
        (&whole, Some(Code::FileOutside)),
        (&own, Some(Code::FileOutside)),
        ("/dev/zero", Some(Code::FileOutside)),
        ("/dev/stdin", Some(Code::FileOutside)),
        ("/proc/self/environ", Some(Code::FileOutside)),
        ("//dev/zero", Some(Code::FileOutside)),
        ("", Some(Code::FileMissing)),
        (".", Some(Code::FileMissing)),
        ("below", Some(Code::FileMissing)),
        ("own.csv/", Some(Code::FileMissing)),
        ("own.csv\0.txt", Some(Code::FileMissing)),
        ("~/secret.csv", Some(Code::FileMissing)),
        ("$HOME/secret.csv", Some(Code::FileMissing)),
        ("file:///etc/passwd", Some(Code::FileMissing)),
        ("http://example.test/x.csv", Some(Code::FileMissing)),
        ("..\\secret.csv", Some(Code::FileMissing)),
        ("%2e%2e/secret.csv", Some(Code::FileMissing)),
        ("．．/secret.csv", Some(Code::FileMissing)),
    ];
    for (path, wanted) in table {
        assert_eq!(code_of(&folder, path), *wanted, "{path}");
    }
}

#[cfg(unix)]
#[test]
fn links_lead_no_further() {
    use std::os::unix::fs::symlink;
    let outer = tempfile::tempdir().unwrap();
    let folder = outer.path().join("sheet");
    fs::create_dir_all(folder.join("below")).unwrap();
    fs::create_dir(outer.path().join("secrets")).unwrap();
    fs::write(outer.path().join("secrets/secret.csv"), "a\n1\n").unwrap();
    fs::write(folder.join("own.csv"), "a\n1\n").unwrap();
    symlink("../secrets/secret.csv", folder.join("link.csv")).unwrap();
    symlink(outer.path().join("secrets"), folder.join("away")).unwrap();
    symlink("/", folder.join("root")).unwrap();
    symlink("/dev/zero", folder.join("zero.csv")).unwrap();
    symlink("/proc/self/environ", folder.join("environ.csv")).unwrap();
    symlink("own.csv", folder.join("inside.csv")).unwrap();
    symlink("../own.csv", folder.join("below/up.csv")).unwrap();
    symlink("loop.csv", folder.join("loop.csv")).unwrap();
    symlink("nothing.csv", folder.join("broken.csv")).unwrap();
    let table: &[(&str, Option<Code>)] = &[
        ("link.csv", Some(Code::FileOutside)),
        ("away/secret.csv", Some(Code::FileOutside)),
        ("root/etc/passwd", Some(Code::FileOutside)),
        ("zero.csv", Some(Code::FileOutside)),
        ("environ.csv", Some(Code::FileOutside)),
        ("inside.csv", None),
        ("below/up.csv", None),
        ("away/../own.csv", Some(Code::FileMissing)),
        ("away/../secrets/secret.csv", Some(Code::FileOutside)),
        ("loop.csv", Some(Code::FileMissing)),
        ("broken.csv", Some(Code::FileMissing)),
    ];
    for (path, wanted) in table {
        assert_eq!(code_of(&folder, path), *wanted, "{path}");
    }
}

/// A pipe that nobody writes into would be waited for without an end.
#[cfg(unix)]
#[test]
fn a_pipe_is_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let made = Command::new("mkfifo").arg(folder.path().join("pipe.csv")).status();
    if !made.is_ok_and(|status| status.success()) {
        panic!("`mkfifo` is needed for this test");
    }
    assert_eq!(code_of(folder.path(), "pipe.csv"), Some(Code::FileMissing));
    let listening = std::os::unix::net::UnixListener::bind(folder.path().join("socket.csv")).unwrap();
    assert_eq!(code_of(folder.path(), "socket.csv"), Some(Code::FileMissing));
    drop(listening);
}

/// Whatever a worksheet says, working it out leaves its folder as it was.
#[test]
fn nothing_is_written() {
    let (folder, name) = folder();
    let seen = || -> Vec<(String, Vec<u8>)> {
        let mut files: Vec<_> = fs::read_dir(folder.path())
            .unwrap()
            .map(|entry| entry.unwrap())
            .map(|entry| {
                (
                    entry.file_name().to_string_lossy().into_owned(),
                    fs::read(entry.path()).unwrap(),
                )
            })
            .collect();
        files.sort();
        files
    };
    let before = seen();
    for verb in VERBS.iter().filter(|verb| verb[0] != "diff") {
        let arguments: Vec<&str> = verb
            .iter()
            .map(|word| if *word == "FILE" { name } else { word })
            .collect();
        run(folder.path(), &arguments, "");
    }
    run(folder.path(), &["check", name], "");
    run(folder.path(), &["handout", name, "-o", "-"], "");
    run(folder.path(), &["open", name], "check\nshow\n");
    assert_eq!(seen(), before);
}
