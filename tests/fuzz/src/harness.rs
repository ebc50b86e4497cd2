//! What is done with an input, and what must hold whatever it is.
//!
//! The fuzzer and `tests/corpus.rs` both run these: the one looks for new
//! inputs, the other replays those that were found. A target panics where
//! something is wrong and says nothing else. Start reading at [`TARGETS`].

use std::fs;
use std::sync::OnceLock;

use serde_json::{Value, json};
use tarebook::number::Number;
use tarebook::problem::Code;
use tarebook::report::compose::{self, Options};
use tarebook::report::drawing::draw;
use tarebook::report::handout::{self, Form};
use tarebook::report::model::Report;
use tarebook::report::study::{Format, Written};
use tarebook::report::style::Style;
use tarebook::report::visible::is_hidden;
use tarebook::report::{csv, json as machine, whole};
use tarebook::session::Session;
use tarebook::session::completion::{Typing, Vocabulary, offers, open_signature, word_start};
use tarebook::session::doubt::DoubtAsked;
use tarebook::session::vary::{AimAsked, SweepAsked};
use tarebook::sheet::names::CellId;
use tarebook::sheet::{Reading, Sheet};
use tarebook::shell::editor::server::Server;
use tarebook::syntax::tidy::tidy;
use tarebook::syntax::tree::Node;
use tarebook::syntax::{parse, parse_typed};
use tarebook::text::Span;
use tarebook::trade::registry::functions;
use tarebook::unit::Kind;
use tarebook::unit::symbol::symbols;

#[path = "files.rs"]
mod files;

/// What is done with an input.
pub(crate) type Target = fn(&[u8]);

/// Every target by name.
pub(crate) const TARGETS: [(&str, Target); 12] = [
    ("parse", parses),
    ("check", checks),
    ("run", runs),
    ("edit", edits),
    ("session", acts),
    ("csv", reads_csv),
    ("editor", serves),
    ("add", files::adds),
    ("columns", files::reads_otherwise),
    ("use", files::rests),
    ("mark", files::marks),
    ("page", files::shows),
];

/// The words of the language as the fuzzer's dictionary takes them, one a line.
pub(crate) fn words() -> String {
    let verbs = tarebook::session::verbs::VERBS.iter().map(|verb| verb.name.to_owned());
    let opening = tarebook::syntax::openings().map(|word| format!("{word} "));
    let inner = tarebook::syntax::inner_words().map(|word| format!(" {word} "));
    let units = symbols().map(|symbol| symbol.shown().to_owned());
    let calls = functions().map(|function| format!("{}(", function.name));
    let parameters =
        functions().flat_map(|function| function.parameters.iter().map(|known| format!("{}: ", known.name)));
    let signs = [
        "csv(\"t.csv\", skip_unread: true)",
        "columns: \"a [lb] = \"",
        "dates: \"month/day/year\"",
        "every: 5 min",
        "use \"a.tare\" as a",
        "\n===",
        " = ?",
        "±",
        "×",
        "\\u{",
        "h:min",
        " k=2",
        " sd",
        "2026-01-11 21:40",
        "--",
        "\n  | ",
        "[lb]",
        "W/(m2·C°)",
        "$",
        "\u{202e}",
        "\u{9b}",
    ];
    let mut all: Vec<String> = verbs
        .chain(opening)
        .chain(inner)
        .chain(units)
        .chain(calls)
        .chain(parameters)
        .collect();
    all.extend(signs.map(str::to_owned));
    all.sort();
    all.dedup();
    let quoted = |word: &String| word.bytes().map(|byte| format!("\\x{byte:02x}")).collect::<String>();
    all.iter().map(|word| format!("\"{}\"\n", quoted(word))).collect()
}

fn text_of(data: &[u8]) -> String {
    String::from_utf8_lossy(data).into_owned()
}

// ---- reading ----

/// Every item is what it is alone, all of them together the text, and tidying is done once.
fn parses(data: &[u8]) {
    let text = text_of(data);
    let sheet = parse(text.clone());
    let uses = sheet.items.iter().any(|item| matches!(item.node, Node::Use(_)));
    let mut at = 0;
    for (index, item) in sheet.items.iter().enumerate() {
        assert_eq!(item.start, at, "item {index}");
        at += item.len;
        let own = sheet.text_of(index);
        // a mark of the byte order is one at the start of a text alone, and a name of another
        // worksheet is known where that is used
        if (index == 0 || !own.starts_with('\u{feff}')) && !uses {
            let mut alone = parse(own.to_owned()).items;
            alone.iter_mut().for_each(|alone| alone.start = item.start);
            let problems = alone.iter_mut().flat_map(|alone| &mut alone.problems);
            problems.for_each(|problem| problem.move_by(index as i64));
            assert_eq!(format!("{:?}", [item]), format!("{alone:?}"));
        }
        for problem in &item.problems {
            let whole = Span::new(0, own.len());
            let spans = problem.labels.iter().map(|label| label.place.span);
            let spans = spans.chain(problem.mends.iter().map(|mend| mend.place.span));
            for span in spans.chain([problem.place.span]) {
                assert!(
                    span.start <= span.end && span.end <= whole.end,
                    "{problem:?} in {own:?}"
                );
                assert!(own.is_char_boundary(span.start as usize) && own.is_char_boundary(span.end as usize));
            }
        }
    }
    assert_eq!(at as usize, text.len());
    let tidied = tidy(&text);
    assert_eq!(tidy(&tidied), tidied, "tidied twice");
    for line in text.lines().take(8) {
        let _ = parse_typed(line);
    }
}

// ---- checking and showing ----

/// Nothing that a terminal would act on.
fn harmless(text: &str) {
    let acting = text.chars().find(|c| *c != '\n' && is_hidden(*c));
    assert_eq!(acting, None, "in {text:?}");
}

/// A worksheet is loaded, and all that is said of it is harmless.
fn checks(data: &[u8]) {
    let session = Session::of_text("sheet.tare", text_of(data), &[], Options::default());
    for problem in session.problems() {
        harmless(&draw(&problem, Style::default()));
    }
    written(&session.report());
}

fn written(report: &Report) {
    harmless(&whole::text(report, Style::default()));
    let page = whole::markdown(report);
    assert!(!page.contains('\u{1b}'));
    let mut bytes = Vec::new();
    csv::write(report, &mut bytes).unwrap();
    machine::write(report, &mut bytes).unwrap();
}

/// The values, with what each study and each page says of them.
fn runs(data: &[u8]) {
    let mut session = Session::of_text("sheet.tare", text_of(data), &[], Options::default());
    told_of(&mut session);
    let names: Vec<String> = session
        .sheet()
        .cases()
        .iter()
        .take(2)
        .map(|case| case.name.clone())
        .collect();
    for name in names {
        let _ = session.set_case(&name);
        told_of(&mut session);
    }
}

fn told_of(session: &mut Session) {
    written(&session.report());
    for (form, _) in Form::ALL {
        let page = handout::write(&session.handout(form));
        assert!(!page.contains("<script"), "{page}");
    }
    let names = session.sheet().names();
    let cells = (0..session.sheet().cell_count() as u32).map(CellId);
    let named: Vec<String> = cells
        .filter_map(|cell| names.name_of(cell).map(str::to_owned))
        .take(4)
        .collect();
    for name in named {
        if let Ok(found) = session.why(&name, Some(3)) {
            said(&found);
        }
        let asked = DoubtAsked {
            name,
            draws: Some(100),
            seed: Some(1),
        };
        if let Ok(found) = session.doubt(&asked, &briefly) {
            said(&found);
        }
    }
    said(&session.compare());
    said(&session.audit(&briefly));
}

/// A watch that ends long work.
fn briefly(done: usize, _: usize) -> bool {
    done < 500
}

fn said(found: &dyn Written) {
    for (word, format) in Format::WORDS {
        let mut bytes = Vec::new();
        found.write(format, Style::default(), &mut bytes).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        if word == "text" {
            harmless(&text);
        }
    }
}

// ---- editing ----

/// Edits as they come out of the input: where, how much, and what is put there.
fn edits(data: &[u8]) {
    let text = text_of(data);
    let mut parts = text.split("\n===");
    let mut sheet = Sheet::load(parts.next().unwrap_or("").to_owned(), None);
    for edit in parts.take(8) {
        let (span, with) = edit_of(sheet.text(), edit);
        sheet.replace(span, with);
        let fresh = Sheet::load(sheet.text().to_owned(), None);
        assert_eq!(told(&sheet), told(&fresh), "after {edit:?} in\n{}", sheet.text());
        let (tree, wanted) = (&sheet.tree().items, &fresh.tree().items);
        assert_eq!(
            format!("{tree:?}"),
            format!("{wanted:?}"),
            "after {edit:?} in\n{}",
            sheet.text()
        );
    }
}

/// Two letters say where and how long; the rest is put there.
fn edit_of<'a>(text: &str, edit: &'a str) -> (Span, &'a str) {
    let mut letters = edit.chars();
    let mut number = || letters.next().map_or(0, |letter| letter as usize);
    let (at, length) = (number(), number());
    let starts: Vec<usize> = [0]
        .into_iter()
        .chain(text.match_indices('\n').map(|(at, _)| at + 1))
        .collect();
    let line = starts[at % starts.len()];
    let end = text[line..].find('\n').map_or(text.len(), |end| line + end);
    let with = letters.as_str();
    match length % 4 {
        // the line
        0 => (Span::new(line, end), with),
        // before the line
        1 => (Span::at(line), with),
        // behind its `=`
        2 => {
            let value = text[line..end].find('=').map_or(end, |at| line + at + 1);
            (Span::new(value, end), with)
        }
        // anything
        _ => {
            let (from, to) = (boundary(text, at * 7), boundary(text, at * 7 + length / 4));
            (Span::new(from, to.max(from)), with)
        }
    }
}

fn boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Everything that a sheet says.
fn told(sheet: &Sheet) -> String {
    let mut told = String::new();
    let cells: Vec<CellId> = (0..sheet.cell_count() as u32).map(CellId).collect();
    let appraisal = sheet.appraise(cells.iter().copied());
    for cell in cells {
        let name = sheet.name_of(cell).unwrap_or("expect");
        let reading = read(sheet, cell);
        told.push_str(&format!(
            "{name} {:?} {reading} {:?} {:?} {:?}\n",
            sheet.status(cell),
            sheet.shape(cell),
            sheet.waits_on(cell),
            appraisal.doubts.get(&cell),
        ));
    }
    for problem in sheet.problems() {
        told.push_str(&format!("{problem:?}\n"));
    }
    told.push_str(&format!("{:?}", appraisal.cautions));
    told
}

/// The value of a cell; a text goes by its letters, whose number depends on what was read before.
fn read(sheet: &Sheet, cell: CellId) -> String {
    let text = sheet.shape(cell).is_some_and(|shape| shape.kind == Kind::Text);
    let letters = |number: Number| sheet.texts().text(number).to_owned();
    match sheet.reading(cell) {
        // a table is read as its first column, whose kind isn't told here
        Reading::Column(cells) if sheet.tables().iter().any(|table| table.cell == Some(cell)) => {
            format!("{} rows", cells.len())
        }
        Reading::Number(number) if text => letters(number),
        Reading::Column(cells) if text => {
            format!("{:?}", cells.iter().map(|cell| cell.map(letters)).collect::<Vec<_>>())
        }
        other => format!("{other:?}"),
    }
}

// ---- a session ----

/// Lines typed at a worksheet; undone, the worksheet is as it was.
fn acts(data: &[u8]) {
    let text = text_of(data);
    let mut parts = text.split("\n===");
    let text = parts.next().unwrap_or("");
    let mut session = Session::of_text("sheet.tare", text.to_owned(), &[], Options::default());
    for line in parts.take(12) {
        act(&mut session, line.trim_start_matches('\n'));
        let typed = line.lines().next().unwrap_or("");
        let known = Vocabulary::of(session.sheet());
        let start = word_start(typed);
        let _ = offers(&known, Typing::Line, &typed[..start], &typed[start..]);
        let _ = open_signature(&known, typed);
    }
    let fresh = Sheet::load(session.sheet().text().to_owned(), session.sheet().folder().cloned());
    let _ = session.drop_trials(None);
    let _ = session.set_case("base");
    assert_eq!(told(session.sheet()), told(&fresh), "{}", fresh.text());
    let steps = std::iter::from_fn(|| session.undo().ok()).count();
    assert_eq!(session.sheet().text(), text, "undone");
    for _ in 0..steps {
        session.redo().unwrap();
    }
    assert_eq!(session.sheet().text(), fresh.text(), "done again");
}

fn act(session: &mut Session, line: &str) {
    let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
    let words: Vec<&str> = rest.split_whitespace().collect();
    let outcome = match (word, words.as_slice()) {
        ("undo", _) => session.undo(),
        ("redo", _) => session.redo(),
        ("case", [name]) => session.set_case(name),
        ("keep", ["as", "case", ..]) => {
            session.keep_as_case(rest.split_once("case").map_or("", |(_, name)| name).trim())
        }
        ("keep", ["plot"]) => session.keep_plot(),
        ("keep", _) => session.keep(),
        ("drop", _) => session.drop_trials(words.first().copied()),
        ("add", _) => session.add(rest),
        ("remove", [_, "of", ..]) => session.remove_row(rest),
        ("remove", [name]) => session.remove(name),
        ("rename", [old, new]) => session.rename(old, new),
        ("edit", [name, ..]) => session.enter_over(name, rest.split_once(' ').map_or("", |(_, line)| line)),
        ("why" | "doubt" | "sweep" | "aim" | "plot" | "compare" | "audit", _) => return studied(session, word, rest),
        _ if Session::is_trial(line) => session.try_value(line),
        _ if tarebook::syntax::openings().any(|opening| opening == word) => session.enter(line),
        _ => match session.evaluate(line) {
            Ok(_) => return,
            Err(refusal) => Err(refusal),
        },
    };
    let problems = match outcome {
        Ok(outcome) => outcome.problems,
        Err(refusal) => refusal.problems,
    };
    for problem in problems {
        harmless(&draw(&problem, Style::default()));
    }
}

fn studied(session: &mut Session, word: &str, rest: &str) {
    match word {
        "why" => session.why(rest, None).iter().for_each(|found| said(found)),
        "doubt" => {
            let mut asked = DoubtAsked::typed(rest).unwrap_or_default();
            asked.draws = asked.draws.map(|draws| draws.min(300));
            session.doubt(&asked, &briefly).iter().for_each(|found| said(found));
        }
        "sweep" => {
            let found = SweepAsked::typed(rest).and_then(|asked| session.sweep(&asked, &briefly));
            found.iter().for_each(|found| said(found));
        }
        "aim" => {
            let found = AimAsked::typed(rest).and_then(|asked| session.aim(&asked));
            found.iter().for_each(|found| said(found));
        }
        "plot" => {
            if let Ok(chart) = session.plot(&format!("plot {rest}")) {
                harmless(&tarebook::report::chart::terminal::write(&chart, Style::default()));
            }
        }
        "compare" => said(&session.compare()),
        _ => said(&session.audit(&briefly)),
    }
}

// ---- tables from files ----

/// The input as the file that a worksheet reads, whole and with unread rows left out.
fn reads_csv(data: &[u8]) {
    for options in ["", "skip_unread: true"] {
        let problems = reads_as(data, options);
        assert!(
            problems
                .iter()
                .all(|code| *code != Code::Unreadable && *code != Code::ArgumentName),
            "{problems:?}"
        );
    }
}

/// The same with what stands behind the path; the problems that it has.
fn reads_as(data: &[u8], options: &str) -> Vec<Code> {
    static FOLDER: OnceLock<tempfile::TempDir> = OnceLock::new();
    let folder = FOLDER.get_or_init(|| tempfile::tempdir().unwrap());
    fs::write(folder.path().join("t.csv"), data).unwrap();
    let comma = if options.is_empty() { "" } else { ", " };
    let text = format!(
        "table t = csv(\"t.csv\"{comma}{options})\nworked a = t.a\nworked sum_b = sum(t.b)\nworked n = count(t.a where t.b > 2 lb)\n"
    );
    let sheet = Sheet::load(text, Some(folder.path().to_owned()));
    let problems = sheet.problems();
    written(&compose::report(&sheet, Options::default()));
    for table in sheet.tables() {
        let lengths: Vec<usize> = table
            .columns
            .iter()
            .map(|slot| sheet.column_cells(*slot).len())
            .collect();
        assert!(lengths.windows(2).all(|pair| pair[0] == pair[1]), "{lengths:?}");
    }
    problems.iter().map(|problem| problem.code).collect()
}

// ---- the editor's server ----

const ADDRESS: &str = "file:///nowhere/sheet.tare";

/// A document opened, changed and asked about; each request has one reply, and what is
/// held after the changes is what opening it afresh would hold.
fn serves(data: &[u8]) {
    let text = text_of(data);
    let mut parts = text.split("\n===");
    let document = parts.next().unwrap_or("");
    let mut server = Server::default();
    ask(
        &mut server,
        "initialize",
        json!({ "processId": null, "rootUri": null, "capabilities": {}, "initializationOptions": { "values": true } }),
    );
    tell(&mut server, "initialized", json!({}));
    open(&mut server, document);
    for (count, part) in parts.take(12).enumerate() {
        if part.starts_with('{') {
            // whatever it is: no answer may be missing to what has an id
            let _ = server.hear(part);
            let _ = server.settle();
            continue;
        }
        message(&mut server, part, count);
    }
    if server.end().is_some() || server.is_shut_down() {
        return;
    }
    let _ = server.settle();
    ask(&mut server, "shutdown", Value::Null);
}

fn open(server: &mut Server, text: &str) {
    let document = json!({ "uri": ADDRESS, "languageId": "tarebook", "version": 1, "text": text });
    tell(server, "textDocument/didOpen", json!({ "textDocument": document }));
    let _ = server.settle();
}

/// Letters for the kind of message, line and column, for the second place, then a text.
fn message(server: &mut Server, part: &str, count: usize) {
    let mut letters = part.chars();
    let mut number = || letters.next().map_or(0, |letter| letter as u32);
    let (kind, line, column, down, right) = (number(), number() % 64, number() % 128, number() % 8, number() % 64);
    let text = letters.as_str();
    let place = json!({ "line": line, "character": column });
    let range = json!({ "start": place, "end": { "line": line + down, "character": if down == 0 { column + right } else { right } } });
    let document = json!({ "uri": ADDRESS });
    let at = json!({ "textDocument": document, "position": place });
    let whole = json!({ "textDocument": document, "range": range, "context": { "diagnostics": [] }, "options": { "tabSize": 2, "insertSpaces": true } });
    match kind % 16 {
        0..=3 => {
            let change = json!({ "range": range, "text": text });
            tell(
                server,
                "textDocument/didChange",
                json!({ "textDocument": { "uri": ADDRESS, "version": count + 2 }, "contentChanges": [change] }),
            );
            let _ = server.settle();
        }
        4 => ask(server, "textDocument/hover", at),
        5 => ask(server, "textDocument/completion", at),
        6 => ask(server, "textDocument/signatureHelp", at),
        7 => ask(server, "textDocument/definition", at),
        8 => {
            let mut asked = at;
            asked["context"] = json!({ "includeDeclaration": true });
            ask(server, "textDocument/references", asked);
        }
        9 => ask(server, "textDocument/documentHighlight", at),
        10 => {
            ask(server, "textDocument/prepareRename", at.clone());
            let mut asked = at;
            asked["newName"] = json!(text);
            ask(server, "textDocument/rename", asked);
        }
        11 => ask(server, "textDocument/documentSymbol", whole),
        12 => ask(server, "textDocument/foldingRange", whole),
        13 => ask(server, "textDocument/formatting", whole),
        14 => ask(server, "textDocument/codeAction", whole),
        _ => ask(server, "textDocument/inlayHint", whole),
    }
}

fn ask(server: &mut Server, method: &str, params: Value) {
    let asked = json!({ "jsonrpc": "2.0", "id": 1, "method": method, "params": params });
    let replies = server.hear(&asked.to_string());
    let own = replies.iter().filter(|reply| reply["id"] == 1).count();
    assert_eq!(own, 1, "{method}: {replies:?}");
}

fn tell(server: &mut Server, method: &str, params: Value) {
    let told = json!({ "jsonrpc": "2.0", "method": method, "params": params });
    let replies = server.hear(&told.to_string());
    assert!(
        replies.iter().all(|reply| reply.get("error").is_none()),
        "{method}: {replies:?}"
    );
}
