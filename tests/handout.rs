//! Handouts: well formed and whole, nothing of the worksheet gets past its text, what is
//! left to the reader stands in the key alone, and files are replaced only where nothing is lost.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use roxmltree::{Document, Node, ParsingOptions};
use tarebook::report::compose::Options;
use tarebook::report::handout::{self, Form, Handout, Left, Solution, Whose};
use tarebook::report::visible::is_hidden;
use tarebook::session::Session;
use tarebook::session::starters::STARTERS;

const RIDGE: &str = "\
# Ridge house, one cylinder
> Will it last the night?

## What is in it
measured gross   = 37.1 lb ± 0.05 lb   from \"hanging scale, hose off\"
quoted   tare    = 17.9 lb ± 0.2 lb    from \"collar stamp, TW\"
assumed  swap_at [lb] = ?              from \"where you swap\" note \"a third is usual\"
assumed  rate    = 20 oz/h ± 2 oz/h    from \"weighed last winter\"
assumed  paid    = $3.89/gal           from \"hanging scale, hose off\"
worked fuel \"net\" [lb] = net_contents(gross, tare)

table log \"Two readings\" from \"our run\"
  | time  | weight [lb] |
  | 17:00 | 37.1        |
  | 19:00 | 34.5        |
plot log.weight over log.time \"Weight\"

## The night
answer hours \"if all is burned\" [h:min] = fuel / rate
answer left [lb] = fuel - swap_at
answer mood = if hours > 12 h then \"calm\" else \"short\"
expect hours >= 18 h else \"not through the night\"
expect left > 0 lb

case small \"A small one\"
  gross = 25 lb ± 0.05 lb from \"hanging scale, the small one\"
";

fn opened(text: &str) -> Session {
    Session::of_text("ridge.tare", text.to_owned(), &[], Options::default())
}

fn page(text: &str, form: Form) -> String {
    handout::write(&opened(text).handout(form))
}

fn parsed(page: &str) -> Document<'_> {
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(page, options).unwrap_or_else(|trouble| panic!("{trouble}\n{page}"))
}

/// All text below a node, spaces evened out.
fn text_of(node: Node<'_, '_>) -> String {
    let texts: Vec<&str> = node
        .descendants()
        .filter(Node::is_text)
        .filter_map(|node| node.text())
        .collect();
    evened(&texts.join(" "))
}

/// Text as it is read: pieces of a number and its unit stand apart by one space.
fn evened(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn by_id<'a, 'b>(document: &'a Document<'b>, id: &str) -> Option<Node<'a, 'b>> {
    document.descendants().find(|node| node.attribute("id") == Some(id))
}

// ---- what every page keeps to ----

const ELEMENTS: &[&str] = &[
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "a",
    "header",
    "nav",
    "main",
    "section",
    "footer",
    "div",
    "p",
    "h1",
    "h2",
    "h3",
    "ul",
    "ol",
    "li",
    "dl",
    "dt",
    "dd",
    "b",
    "code",
    "span",
    "table",
    "caption",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "figure",
    "figcaption",
    "sup",
    "wbr",
    "svg",
    "desc",
    "text",
    "line",
    "path",
    "rect",
    "circle",
    "polygon",
    "g",
    "math",
    "mtable",
    "mtr",
    "mtd",
    "mrow",
    "mi",
    "mo",
    "mn",
    "mtext",
    "mfrac",
    "msup",
    "msqrt",
    "mspace",
];

/// Well formed, whole, and readable by ear.
fn check(name: &str, page: &str) {
    let document = parsed(page);
    let fail = |what: &str| panic!("{name}: {what}");
    let nodes: Vec<Node<'_, '_>> = document.descendants().filter(Node::is_element).collect();
    let mut ids = BTreeSet::new();
    for node in &nodes {
        let tag = node.tag_name().name();
        assert!(ELEMENTS.contains(&tag), "{name}: an element {tag}");
        if let Some(id) = node.attribute("id") {
            assert!(ids.insert(id), "{name}: two of {id}");
        }
        for attribute in node.attributes() {
            let value = attribute.value();
            let what = attribute.name();
            assert!(!what.starts_with("on") && what != "src", "{name}: {what}={value}");
            assert!(what != "href" || value.starts_with('#'), "{name}: {what}={value}");
            assert!(!value.contains("url("), "{name}: {what}={value}");
        }
    }
    let points = |node: &Node<'_, '_>, to: &str| node.attribute(to.split('=').next().unwrap()).map(str::to_owned);
    for node in &nodes {
        if let Some(target) = points(node, "href") {
            assert!(
                ids.contains(target.trim_start_matches('#')),
                "{name}: nothing at {target}"
            );
        }
        for label in node.attribute("aria-labelledby").unwrap_or("").split_whitespace() {
            assert!(ids.contains(label), "{name}: no label {label}");
        }
    }
    let of = |tag: &'static str| nodes.iter().filter(move |node| node.has_tag_name(tag));
    assert_eq!(of("html").next().and_then(|html| html.attribute("lang")), Some("en"));
    assert_eq!((of("h1").count(), of("main").count()), (1, 1), "{name}");
    assert!(!page.contains("http:") || !page.replace("http://www.w3.org/2000/svg", "").contains("http:"));
    if !page.contains("default-src 'none'; style-src 'unsafe-inline'") {
        fail("no policy");
    }
    let mut level = 1;
    for node in &nodes {
        let tag = node.tag_name().name();
        if let Some(next) = tag.strip_prefix('h').and_then(|level| level.parse::<u8>().ok()) {
            assert!(next <= level + 1, "{name}: {tag} below h{level}");
            level = next;
        }
    }
    for table in of("table") {
        assert!(
            table.children().any(|child| child.has_tag_name("caption")),
            "{name}: a table without a caption"
        );
        for head in table.descendants().filter(|node| node.has_tag_name("th")) {
            assert!(matches!(head.attribute("scope"), Some("col" | "row")), "{name}");
        }
    }
    for drawing in of("svg") {
        let said = |tag: &str| {
            drawing
                .children()
                .any(|child| child.has_tag_name(("http://www.w3.org/2000/svg", tag)))
        };
        assert!(said("title") && said("desc"), "{name}: a chart without words");
    }
    check_sources(name, &document);
}

/// Every source is cited, and every number has its source.
fn check_sources(name: &str, document: &Document<'_>) {
    let cited: BTreeSet<&str> = document
        .descendants()
        .filter(|node| node.attribute("class") == Some("cite"))
        .flat_map(|node| node.children().filter_map(|link| link.attribute("href")))
        .map(|href| href.trim_start_matches('#'))
        .collect();
    let sources: BTreeSet<&str> = document
        .descendants()
        .filter_map(|node| node.attribute("id"))
        .filter(|id| id.starts_with("source-"))
        .collect();
    assert_eq!(cited, sources, "{name}");
    let list = by_id(document, "sources");
    let items = list
        .into_iter()
        .flat_map(|list| list.descendants().filter(|node| node.has_tag_name("li")));
    let mut titles = BTreeSet::new();
    for item in items {
        let title = item.first_child().and_then(|text| text.text()).unwrap().to_owned();
        let standing = item.children().find(|child| child.has_tag_name("span"));
        assert!(
            !text_of(standing.unwrap()).is_empty(),
            "{name}: {title} has no standing"
        );
        assert!(titles.insert(title.clone()), "{name}: {title} stands twice");
    }
}

fn worksheets() -> Vec<(String, Session)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let folders = [root.clone(), root.join("lessons")];
    let files = folders
        .iter()
        .flat_map(|folder| fs::read_dir(folder).unwrap())
        .map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> = files
        .filter(|path| path.extension().is_some_and(|end| end == "tare"))
        .collect();
    files.sort();
    let notebooks = files.iter().map(|path| {
        let session = Session::open(path, Options::default()).unwrap();
        (path.file_name().unwrap().to_string_lossy().into_owned(), session)
    });
    let starters = STARTERS.iter().map(|starter| {
        let session = Session::of_text(starter.name, starter.text.to_owned(), &[], Options::default());
        (starter.name.to_owned(), session)
    });
    let all: Vec<(String, Session)> = notebooks.chain(starters).collect();
    assert!(all.len() > 20);
    all
}

#[test]
fn every_worksheet_that_ships_makes_a_sound_page() {
    for (name, mut session) in worksheets() {
        for (form, word) in Form::ALL {
            check(&format!("{name} {word}"), &handout::write(&session.handout(form)));
        }
    }
}

// ---- blanks ----

/// The values that are worked out, as they are shown; those that the worksheet itself writes are left out.
fn worked_values(page: &Handout, text: &str) -> Vec<String> {
    let entries = page.report.entries.iter().zip(&page.entries);
    let worked = entries.filter(|(_, more)| more.whose == Whose::Worked);
    let mut values: Vec<String> = worked.map(|(entry, _)| entry.shown.value.clone()).collect();
    let made = page.report.tables.iter().filter(|table| table.made);
    values.extend(
        made.flat_map(|table| &table.columns)
            .flat_map(|column| column.shown.clone()),
    );
    let scenes = page.cases.iter().flat_map(|cases| &cases.cases);
    values.extend(scenes.flat_map(|scene| scene.answers.iter().map(|answer| answer.shown.value.clone())));
    let read = page.report.tables.iter().filter(|table| !table.made);
    let given: Vec<&String> = read
        .flat_map(|table| &table.columns)
        .flat_map(|column| &column.shown)
        .collect();
    // `waits for …` says nothing, and short ones such as `2 each` stand in the text by chance
    let telling = |value: &String| {
        let digits = value.chars().filter(char::is_ascii_digit).count();
        digits >= 3 && !value.starts_with("waits") && !text.contains(value.as_str()) && !given.contains(&value)
    };
    values.retain(telling);
    values.sort();
    values.dedup();
    values
}

/// A page with all that a reader, a browser or a search could find in it, styles left out.
fn whole(page: &str) -> String {
    evened(page.split_once("</style>").map_or(page, |(_, body)| body))
}

/// Where there are no exercises, all that is worked out is left to the reader.
#[test]
fn what_is_left_to_the_reader_is_told_in_the_key_alone() {
    let mut seen = 0;
    for (name, mut session) in worksheets() {
        let page = session.handout(Form::Pupil);
        if page.has_exercises {
            continue;
        }
        let values = worked_values(&page, session.sheet().text());
        let front = whole(&handout::write(&page));
        let key = evened(&without_tags(&handout::write(&session.handout(Form::Key))));
        assert!(key.contains("Where a line is wrong, so are its answer"), "{name}");
        for value in &values {
            // bounded by what is no digit, so that 1.28 isn't found in 11.283
            assert!(
                !holds_value(&front, value),
                "{name}: {value} stands on the page to fill in"
            );
        }
        let answers = page
            .report
            .answers()
            // a column is told row by row
            .filter(|answer| values.contains(&answer.shown.value) && answer.shown.rows.is_none());
        for answer in answers {
            assert!(
                holds_value(&key, &answer.shown.value),
                "{name}: {} is missing in the key",
                answer.name
            );
        }
        seen += values.len();
    }
    assert!(seen > 400, "{seen}");
}

/// No answer of an exercise stands anywhere on the pupil's page: not in words, attributes, charts or
/// descriptions, and no check or hint that would tell it.
#[test]
fn the_pupils_page_tells_no_answer() {
    let mut looked = 0;
    for (name, mut session) in worksheets() {
        let page = session.handout(Form::Pupil);
        let text = session.sheet().text().to_owned();
        let front = whole(&handout::write(&page));
        assert!(!front.to_lowercase().contains("key"), "{name}");
        for (check, more) in page.report.checks.iter().zip(&page.checks) {
            if more.asks.is_none() {
                continue;
            }
            let escaped = check
                .text
                .replace('<', "&lt;")
                .replace('>', "&gt;")
                .replace('"', "&quot;");
            assert!(!front.contains(&escaped), "{name}: {}", check.text);
            if let Some(hint) = &more.hint {
                assert!(!front.contains(hint.get(1..30).unwrap_or(hint)), "{name}: {hint}");
            }
        }
        if !page.has_exercises {
            continue;
        }
        let key = session.handout(Form::Key);
        for (entry, more) in key.report.entries.iter().zip(&key.entries) {
            if more.solution.is_none() || more.left != Left::Open {
                continue;
            }
            let value = &entry.shown.value;
            let digits = value.chars().filter(char::is_ascii_digit).count();
            // what the lesson itself says, as a given of another exercise, is no telling
            if digits >= 2 && !text.contains(value.as_str()) {
                assert!(!holds_value(&front, value), "{name}: {} {value}", entry.name);
                looked += 1;
            }
        }
    }
    assert!(looked > 20, "{looked}");
}

#[test]
fn what_judges_an_exercise_is_not_on_the_pupils_page() {
    let text = "# Rate\n> How fast?\nmeasured a = 31.37 lb from \"at noon\"\nmeasured b = 17.09 lb from \"at four\"\n\
        worked half [lb] = (a - b) / 2\nworked right [lb/h] = (a - b) / (4 h)\nworked also [lb/h] = right * 1\n\
        assumed rate \"What does it burn in an hour?\" [lb/h] = ? from \"your work\"\n\
        expect abs(rate - also) <= 0.02 lb/h else \"divide by four\"\nanswer night [lb] = rate * 10 h\n";
    let front = whole(&page(text, Form::Pupil));
    for told in ["What does it burn in an hour?", "at four", "Name", "7.14"] {
        assert!(front.contains(told), "{told}: {front}");
    }
    for untold in ["3.57", "35.7", "right", "also", "divide by four", "4 h"] {
        assert!(!front.contains(untold), "{untold}: {front}");
    }
    let key = page(text, Form::Key);
    check("key", &key);
    let key = evened(&without_tags(&key));
    for told in ["3.57 lb/h", "35.7 lb", "Divide by four"] {
        assert!(key.contains(told), "{told}: {key}");
    }
}

/// An exercise, so that everything else stands worked out.
const EXERCISE: &str = "assumed asked \"How much?\" [lb] = ? from \"your work\"\n\
    expect asked close to a - b within 0.05 lb nearly 0.4 lb else \"close\" else \"look again\"\n";

/// The formula of `x` on the pupil's page of a lesson, line by line, and what stands below it.
fn by_hand(line: &str) -> String {
    let text = format!(
        "# Lesson\nquoted a = 31 lb\nquoted b = 17 lb\nquoted c = 2 lb/h\nquoted t = 20 °F\n\
         table runs\n  | load [W] | rate [lb/h] |\n  | 500 | 1.4 |\n  | 1500 | 2.6 |\n\
         worked x \"the example\" = {line}\n{EXERCISE}"
    );
    let mut session = opened(&text);
    assert!(session.problems().is_empty(), "{line}: {:#?}", session.problems());
    let written = handout::write(&session.handout(Form::Pupil));
    check(line, &written);
    told_of(&written, "x")
}

/// A worked example is told as a pupil does it: a rule that is plain arithmetic in the place of its
/// call, and what can only be looked up as a value.
#[test]
fn a_worked_example_is_done_by_hand() {
    for (line, told) in [
        // 31 − 17
        ("net_contents(a, b)", "x = a − b = 31 lb − 17 lb = 14 lb"),
        (
            "net_contents(tare: b, gross: a, attached: 2 lb)",
            "x = a − b − 2 lb = 31 lb − 17 lb − 2 lb = 12 lb",
        ),
        // 42 % of 31; common practice is to give the share
        ("fill_limit(a)", "x = a × 42 % = 31 lb × 42 % = 13.02 lb"),
        // 14 by 2
        ("net_contents(a, b) / c", "x = a − b c = 31 lb − 17 lb 2 lb/h = 7 h"),
        (
            "c * net_contents(a - 1 lb, b) / c",
            "x = c × ( a − 1 lb − b ) c = 2 lb/h × ( 31 lb − 1 lb − 17 lb ) 2 lb/h = 13 lb",
        ),
        // twice 21 548, of which NFPA 58 has the gross heat
        ("heat_input(c)", "= 2 lb/h × 21 548 BTU/lb = "),
        (
            "last(runs.rate) - first(runs.rate)",
            "x = last ( runs.rate ) − first ( runs.rate ) = 2.6 lb/h − 1.4 lb/h = 1.2 lb/h",
        ),
        ("2 * (runs.rate of row 2)", "= 2 × 2.6 lb/h = 5.2 lb/h"),
        (
            "min(frost_point(t, 80 %), 32 °F)",
            "x = min ( frost_point ( t , 80 % ) , 32 °F ) = min ( 1",
        ),
        ("sqrt(a / b)", "= 31 lb 17 lb = 1.35"),
    ] {
        let written = by_hand(line);
        assert!(written.contains(told), "{line}: no {told} in {written}");
        assert!(!written.contains("net_contents"), "{line}: {written}");
    }
    // what is looked up whole has its value alone
    for line in ["fitted_at(runs.load, runs.rate, 1000 W)", "frost_point(t, 80 %)"] {
        let written = by_hand(line);
        assert!(!written.contains(" = "), "{line}: {written}");
        assert!(written.contains("the example"), "{line}: {written}");
    }
    // to who reads it all it is told as it is written
    let full = evened(&without_tags(&page(RIDGE, Form::Full)));
    assert!(full.contains("net_contents"), "{full}");
}

/// The lessons show no pupil a function of the program, but those that everybody knows.
#[test]
fn a_pupil_sees_arithmetic() {
    let lessons = worksheets();
    let lessons = lessons
        .into_iter()
        .filter(|(name, _)| name.starts_with(|c: char| c.is_ascii_digit()));
    for (name, mut session) in lessons {
        let written = handout::write(&session.handout(Form::Pupil));
        let document = parsed(&written);
        let calls = document
            .descendants()
            .filter(|node| node.attribute("class") == Some("call"));
        for call in calls {
            let called = call.text().unwrap_or("");
            let known = ["min", "max", "first", "last", "heat_per_pound", "frost_point"];
            assert!(known.contains(&called), "{name}: {called}");
        }
    }
}

/// A mistake of the lesson's own is told to the teacher, and stands on no pupil's sheet.
#[test]
fn a_pupils_sheet_tells_no_problem_of_the_lesson() {
    let text = format!(
        "# Lesson\nquoted a = 31 lb\nquoted b = 17 lb\nworked fine [lb] = a + b\nworked odd \"odd one\" [lb] = a + 3 h\n\
         worked next \"one after\" [lb] = odd * 2\nworked last_one = = 3\nmeasured bare \"bare one\" = ?\n\
         table night = draw_down(odd, 12 in, b, t, 1 lb/h, film: 7 W/(m2·C°), least_pressure: 5 psig)\n\
         expect odd < 3 lb else \"never\"\n{EXERCISE}"
    );
    let front = page(&text, Form::Pupil);
    check("front", &front);
    let front = evened(&without_tags(&front));
    for told in [
        "problem",
        "wait",
        "aits",
        "odd one",
        "one after",
        "night",
        "never",
        "add",
    ] {
        assert!(!front.contains(told), "{told}: {front}");
    }
    assert!(front.contains("48 lb") && front.contains("How much?"), "{front}");
    let key = evened(&without_tags(&page(&text, Form::Key)));
    assert!(key.contains("problems") && key.contains("can't be added"), "{key}");
}

/// The key tells how near is near enough, as the check has it.
#[test]
fn the_key_tells_how_near_is_near_enough() {
    for (within, told) in [
        (
            "within 0.05 lb nearly 0.4 lb else \"close\"",
            "Right within 0.05 lb, close within 0.4 lb.",
        ),
        ("within 0.05 lb", "Right within 0.05 lb."),
        (
            "within 2 % nearly 10 % else \"close\"",
            "Right within 2 % of it, close within 10 % of it.",
        ),
    ] {
        let text = format!(
            "# Lesson\nquoted a = 31 lb\nassumed x [lb] = ? from \"your work\"\nexpect x close to a {within} else \"no\"\n"
        );
        let key = told_of(&page(&text, Form::Key), "x");
        assert!(key.contains(told), "{within}: {key}");
    }
    // a share is near in points
    let text =
        "# Lesson\nquoted a = 42 %\nassumed x [%] = ? from \"your work\"\nexpect x close to a within 1 % else \"no\"\n";
    let key = told_of(&page(text, Form::Key), "x");
    assert!(key.contains("Right within 1 %."), "{key}");
}

fn without_tags(text: &str) -> String {
    let mut shown = String::new();
    let mut inside = false;
    for c in text.split_once("</style>").map_or(text, |(_, body)| body).chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                shown.push(' ');
            }
            c if !inside => shown.push(c),
            _ => {}
        }
    }
    shown
}

fn holds_value(text: &str, value: &str) -> bool {
    let value = evened(&value.replace('-', "−"));
    // as it is read out: digits in one group, powers on the line, cents as far as they are known
    let told = |c: char| match c {
        '\u{202f}' => None,
        '²' => Some('2'),
        '³' => Some('3'),
        '-' => Some('−'),
        c => Some(c),
    };
    let text: String = text.chars().filter_map(told).collect();
    if let Some((money, unit)) = value
        .strip_prefix('$')
        .map(|money| money.split_at(money.find('/').unwrap_or(money.len())))
        && money.split_once('.').is_some_and(|(_, cents)| cents.len() == 1)
    {
        return text.contains(&format!("${money}0{unit}"));
    }
    // nor by a sign, so that 1.78 isn't found in −1.78
    let bounds = |c: Option<char>| c.is_none_or(|c| !c.is_ascii_digit() && !".−".contains(c));
    text.match_indices(&value)
        .any(|(at, _)| bounds(text[..at].chars().next_back()) && bounds(text[at + value.len()..].chars().next()))
}

#[test]
fn a_blank_page_has_room_to_write() {
    let page = page(RIDGE, Form::Pupil);
    let document = parsed(&page);
    let rooms = |id: &str| {
        let node = by_id(&document, id).unwrap();
        node.descendants()
            .filter(|node| node.attribute("class") == Some("room"))
            .count()
    };
    // the blank of the worksheet, the net weight, and each answer in its place
    assert_eq!((rooms("section-2"), rooms("section-3")), (2, 3));
    assert!(
        document
            .descendants()
            .any(|node| node.attribute("class") == Some("whose"))
    );
    let full = self::page(RIDGE, Form::Full);
    let document = parsed(&full);
    let swap = by_id(&document, "entry-3").unwrap();
    assert!(text_of(swap).contains("a third is usual"));
    assert!(swap.descendants().any(|node| node.attribute("class") == Some("room")));
}

// ---- what a reader sees ----

/// The page as an outline: an element a line, with its text.
fn outline(page: &str) -> String {
    let document = parsed(page);
    let body = document.descendants().find(|node| node.has_tag_name("body")).unwrap();
    let mut text = String::new();
    outline_of(body, 0, &mut text);
    text
}

fn outline_of(node: Node<'_, '_>, depth: usize, text: &mut String) {
    let whole = [
        "p",
        "th",
        "td",
        "li",
        "h1",
        "h2",
        "h3",
        "caption",
        "figcaption",
        "dt",
        "title",
        "desc",
        "mtr",
        "text",
    ];
    let tag = node.tag_name().name();
    let class = node
        .attribute("class")
        .map_or(String::new(), |class| format!(".{class}"));
    let id = node.attribute("id").map_or(String::new(), |id| format!("#{id}"));
    let label = node
        .attribute("aria-label")
        .map_or(String::new(), |label| format!(" ({label})"));
    text.push_str(&format!("{}{tag}{class}{id}{label}", "  ".repeat(depth)));
    if whole.contains(&tag) {
        text.push_str(&format!(": {}\n", text_of(node)));
        return;
    }
    text.push('\n');
    if tag == "svg" {
        return;
    }
    for child in node.children() {
        if child.is_element() {
            outline_of(child, depth + 1, text);
        } else if let Some(words) = child.text().map(evened).filter(|words| !words.is_empty()) {
            text.push_str(&format!("{}{words}\n", "  ".repeat(depth + 1)));
        }
    }
}

#[test]
fn a_small_handout() {
    insta::assert_snapshot!(outline(&page(RIDGE, Form::Full)));
}

#[test]
fn a_small_handout_to_fill_in() {
    insta::assert_snapshot!(outline(&page(RIDGE, Form::Pupil)));
}

/// A formula of one entry as MathML, without its frame.
fn formula(line: &str) -> String {
    let text = format!(
        "# F\nassumed a = 3 lb\nassumed b = 2 h\nassumed c = 4\nassumed t = -5 °F\nassumed far = 10 ft\n{line}\n"
    );
    let mut session = opened(&text);
    assert!(
        !session.sheet().has_problems(),
        "{line}: {:?}",
        session.sheet().problems()
    );
    let page = handout::write(&session.handout(Form::Full));
    let document = parsed(&page);
    let math = document.descendants().find(|node| node.has_tag_name("math")).unwrap();
    page[math.range()].to_owned()
}

fn check_formula(line: &str, pieces: &[&str]) {
    let written = formula(line);
    for piece in pieces {
        assert!(written.contains(piece), "{line}: no {piece} in\n{written}");
    }
}

#[test]
fn formulas_are_laid_out() {
    let name = |text: &str| format!("<mi class=\"name\">{text}</mi>");
    let (a, b, c) = (name("a"), name("b"), name("c"));
    check_formula(
        "worked x = (a - 1 lb) / b",
        &[
            &format!(
                "<mfrac><mrow><mrow>{a}<mo>−</mo><mrow><mn>1</mn><mtext class=\"unit\">\u{a0}lb</mtext></mrow></mrow></mrow><mrow>{b}</mrow></mfrac>"
            ),
            "<mn>3</mn><mtext class=\"unit\">\u{a0}lb</mtext>",
            "<mn>1</mn><mtext class=\"unit\">\u{a0}lb/h</mtext>",
        ],
    );
    check_formula(
        "worked x = a / b / c",
        &[&format!("<mrow><mrow>{b}<mo>×</mo>{c}</mrow></mrow></mfrac>")],
    );
    check_formula(
        "worked x = (c + 1)^2",
        &["<msup><mrow><mrow><mo fence=\"true\" stretchy=\"false\">("],
    );
    check_formula(
        "worked x = far^2",
        &["<mo fence=\"true\" stretchy=\"false\">(</mo><mrow><mn>10</mn><mtext class=\"unit\">\u{a0}ft</mtext></mrow>"],
    );
    check_formula(
        "worked x = c * (c + 1)",
        &[&format!(
            "{c}<mo>×</mo><mrow><mo fence=\"true\" stretchy=\"false\">(</mo>"
        )],
    );
    check_formula(
        "worked x = c - (c - 1)",
        &[&format!(
            "{c}<mo>−</mo><mrow><mo fence=\"true\" stretchy=\"false\">(</mo>"
        )],
    );
    check_formula("worked x = -c + 1", &["<mo>−</mo>"]);
    check_formula("worked x = sqrt(c / 2)", &["<msqrt><mfrac>"]);
    check_formula("worked x = abs(c - 9)", &[">|</mo>", "<mn>5</mn>"]);
    check_formula(
        "worked x = if c <= 4 then a else 2 * a",
        &["otherwise", "<mo>≤</mo>", "<mtable class=\"rows choice\""],
    );
    check_formula("worked x = c >= 2 and not (c = 3)", &["and", "not", "<mo>≥</mo>"]);
    check_formula(
        "worked x = frost_point(air: t, humidity: 80 %)",
        &[
            "air:\u{a0}",
            "<mi class=\"call\">frost_point</mi>",
            "<mn>−5</mn><mtext class=\"unit\">\u{a0}°F</mtext>",
        ],
    );
}

// ---- case and trials, problems, nothing at all ----

#[test]
fn the_page_names_the_case_and_the_trials() {
    let mut session = opened(RIDGE);
    session.set_case("small").unwrap();
    session.try_value("rate = 2 lb/h").unwrap();
    session.try_value("fuel = 5 lb").unwrap();
    for form in [Form::Full, Form::Pupil] {
        let page = handout::write(&session.handout(form));
        check("case and trials", &page);
        let document = parsed(&page);
        let hand = document
            .descendants()
            .find(|node| node.attribute("class") == Some("hand"))
            .unwrap();
        let told = text_of(hand);
        assert!(told.contains("Case small : A small one."), "{told}");
        assert!(told.contains("rate = 2 lb/h , in place of 20 oz/h ± 2 oz/h"), "{told}");
        // what is worked out without the trial is for the reader to find
        assert_eq!(
            told.contains("fuel = 5 lb , in place of 7.10 lb"),
            form == Form::Full,
            "{told}"
        );
    }
    let page = handout::write(&session.handout(Form::Full));
    assert!(without_tags(&page).contains("2 h 30 min"), "5 lb at 2 lb/h");
    let base = self::page(RIDGE, Form::Full);
    assert!(!base.contains("class=\"hand\""));
    assert!(session.trials().names().len() == 2, "the trials stay in hand");
}

#[test]
fn a_worksheet_with_problems_makes_a_page_that_says_so() {
    let text = "# Ridge\nassumed rate = 1.3 lb/h\nassumed none = 0 h\nanswer day = rate + 24 h\nanswer next = day * 2\n\
        answer gone = 5 lb / none\nworked odd = = 3\nexpect next > 2 lb\nanswer fine = rate * 2 h\nplot day over next\n";
    for form in [Form::Full, Form::Key] {
        let page = page(text, form);
        check("problems", &page);
        let document = parsed(&page);
        let told = text_of(document.root_element());
        assert!(told.contains("problems: what rests on them waits"), "{told}");
        assert!(told.contains("Waits for day"), "{told}");
        assert!(told.contains("can't be added"), "{told}");
        assert!(holds_value(&told, "2.6 lb"), "{told}");
    }
}

#[test]
fn a_worksheet_of_nothing_makes_a_page() {
    for text in [
        "",
        "\n\n",
        "> Only prose.\n",
        "### A third heading first\n> x\n# Title\n",
        "-- a remark\n",
    ] {
        for form in [Form::Full, Form::Pupil] {
            check(text, &page(text, form));
        }
    }
    assert!(page("", Form::Full).contains("This worksheet names no answers."));
}

#[test]
fn two_charts_that_are_the_same_have_names_of_their_own() {
    let plots = "plot log.weight over log.time \"Weight\"\n";
    check("twice", &page(&format!("{RIDGE}\n{plots}\n{plots}"), Form::Full));
}

// ---- hostile worksheets ----

#[test]
fn nothing_of_a_worksheet_gets_past_its_text() {
    let folder = tempfile::tempdir().unwrap();
    let evil = "</script></title></style><img src=x onerror=alert(1)>&lt;\u{202e}\u{1b}[31m\u{2028}]]>--><!--";
    let quoted = evil.replace('"', "\\\"");
    let text = format!(
        "# {evil}\n> {evil}\n## {evil}\nmeasured gross \"{quoted}\" = 3 lb from \"{quoted}\" note \"{quoted}\"\n\
         assumed word = \"{quoted}\"\nanswer both \"{quoted}\" = if word = \"{quoted}\" then \"{quoted}\" else \"b\"\n\
         table t \"{quoted}\" from \"{quoted}\"\n  | a | b [lb] |\n  | {evil} | 2 |\n  | y | 3 |\n\
         plot t.b over t.a \"{quoted}\"\nexpect gross > 5 lb else \"{quoted}\"\n\
         table c = csv(\"c.csv\") from \"{quoted}\"\nworked {evil} = 3\n\
         rule twice(x) = x * 2\nworked again = twice(2)\n\
         case other \"{quoted}\"\n  gross = 9 lb from \"{quoted}\" note \"{quoted}\"\n"
    );
    fs::write(folder.path().join("evil.tare"), &text).unwrap();
    fs::write(
        folder.path().join("c.csv"),
        format!("\"{evil}\",good\n\"{evil}\",\"{evil}\"\n"),
    )
    .unwrap();
    let mut session = Session::open(&folder.path().join("evil.tare"), Options::default()).unwrap();
    for case in ["base", "other"] {
        session.set_case(case).unwrap();
        for form in [Form::Full, Form::Pupil] {
            let page = handout::write(&session.handout(form));
            check("hostile", &page);
            assert!(!page.chars().any(|c| is_hidden(c) && c != '\n'));
            let told = text_of(parsed(&page).root_element());
            // 12 or more places show the text as text
            assert!(told.matches("<img src=x onerror=alert(1)>").count() > 12, "{told}");
            assert!(told.contains("\\u{202e}␛[31m"), "{told}");
        }
    }
}

// ---- files and shells ----

struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn run(folder: &Path, arguments: &[&str], input: &str) -> Ran {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let output = child.wait_with_output().unwrap();
    Ran {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("ridge.tare"), RIDGE).unwrap();
    fs::write(folder.path().join("other.tare"), RIDGE).unwrap();
    fs::write(folder.path().join("notes.html"), "<p>mine</p>").unwrap();
    folder
}

#[test]
fn the_command_writes_a_page() {
    let folder = folder();
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    let ran = run(folder.path(), &["handout", "ridge.tare", "-o", "out.html"], "");
    assert_eq!((ran.code, ran.out.as_str()), (0, "Wrote out.html.\n"), "{}", ran.err);
    check("out.html", &read("out.html"));
    // made again, in another form
    let ran = run(
        folder.path(),
        &["handout", "ridge.tare", "--key", "-o", "out.html", "--case", "small"],
        "",
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(read("out.html").contains("Answer key") && read("out.html").contains("A small one"));
    let ran = run(folder.path(), &["handout", "ridge.tare", "--set", "rate=2 lb/h"], "");
    assert_eq!(ran.code, 0);
    check("standard output", &ran.out);
    assert!(ran.out.contains("rate = 2 lb/h"));
    let ran = run(
        folder.path(),
        &["handout", "-", "-o", "-"],
        "# Ridge\nanswer day = 1 lb + 2 h\n",
    );
    assert_eq!(ran.code, 1);
    check("from standard input", &ran.out);
    assert!(ran.err.contains("unit-clash"), "{}", ran.err);
}

#[test]
fn nothing_but_a_handout_is_written_over() {
    let folder = folder();
    for (target, said) in [
        ("ridge.tare", "a worksheet's name"),
        ("new.TARE", "a worksheet's name"),
        ("other.tare", "a worksheet's name"),
        ("notes.html", "is there already and is no handout"),
        (".", "is there already and is no handout"),
        ("nowhere/out.html", "can't be written"),
    ] {
        let ran = run(folder.path(), &["handout", "ridge.tare", "-o", target], "");
        assert_eq!(ran.code, 2, "{target}: {}", ran.err);
        assert!(evened(&ran.err).contains(said), "{target}: {}", ran.err);
    }
    assert_eq!(fs::read_to_string(folder.path().join("ridge.tare")).unwrap(), RIDGE);
    assert_eq!(
        fs::read_to_string(folder.path().join("notes.html")).unwrap(),
        "<p>mine</p>"
    );
    assert!(!folder.path().join("new.TARE").exists());
}

#[test]
fn the_session_writes_a_page_of_what_is_in_hand() {
    let folder = folder();
    let lines =
        "case small\nrate = 2 lb/h\nhandout out.html\nhandout out-blank.html pupil\nhandout notes.html\nhandout\n";
    let ran = run(folder.path(), &["open", "ridge.tare"], lines);
    assert!(
        ran.out.contains("Wrote out.html") && ran.out.contains("Wrote out-blank.html"),
        "{}",
        ran.out
    );
    assert!(
        evened(&ran.out).contains("is there already and is no handout"),
        "{}",
        ran.out
    );
    for name in ["out.html", "out-blank.html"] {
        let page = fs::read_to_string(folder.path().join(name)).unwrap();
        check(name, &page);
        assert!(page.contains("A small one") && page.contains("rate = 2 lb/h"), "{name}");
    }
}

#[cfg(unix)]
#[test]
fn a_terminal_gets_no_page() {
    let folder = folder();
    let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
    command.args(["handout", "ridge.tare"]).current_dir(folder.path());
    let mut terminal = expectrl::Session::spawn(command).unwrap();
    terminal.set_expect_timeout(Some(std::time::Duration::from_secs(20)));
    let said = expectrl::Expect::expect(&mut terminal, "-o OUT.html").unwrap();
    assert!(!String::from_utf8_lossy(said.before()).contains("<html"));
}

/// A value in a formula loses the parentheses around it, and none of its unit's.
#[test]
fn a_unit_keeps_its_parenthesis() {
    let text = "assumed film = 7 W/(m2·C°) from \"calm air\"\nworked sum [W/(m2·C°)] = (film) + (2 W/(m2·C°))\n";
    let told = page(text, Form::Full);
    assert!(told.matches("W/(m²·C°").count() >= 4, "{told}");
    for after in told.split("W/(m²·C°").skip(1) {
        assert!(after.starts_with(')'), "{after}");
    }
}

/// No sign stands right behind another, whether it is written or comes with a value.
#[test]
fn two_signs_are_parted_by_parentheses() {
    let text = "assumed air = -4 °F\nworked fall [F°] = 24 °F - air\nworked twice [lb] = 2 * (-3 lb)\n";
    let told = outline(&page(text, Form::Full));
    for (kept, lost) in [("−(−4", "− −4"), ("×(−3", "×−3")] {
        let close: String = told.split_whitespace().collect();
        assert!(close.contains(kept), "{told}");
        assert!(
            !told.contains(lost) && !close.contains(&lost.replace(' ', "")),
            "{told}"
        );
    }
}

// ---- the key of exercises ----

/// A line of the key that belongs to a blank: what stands below its name.
fn told_of(written: &str, blank: &str) -> String {
    let document = parsed(written);
    let key = by_id(&document, "main").unwrap();
    let is_work = |node: &Node<'_, '_>| node.attribute("class") == Some("work");
    let named = |node: &Node<'_, '_>| {
        let mut names = node
            .descendants()
            .filter(|node| node.has_tag_name(("http://www.w3.org/1998/Math/MathML", "mi")) || node.has_tag_name("mi"));
        let about = node.descendants().find(|node| node.attribute("class") == Some("about"));
        names.next().and_then(|name| name.text()) == Some(blank)
            || about.is_some_and(|about| text_of(about).contains(blank))
    };
    let work = key.descendants().filter(is_work).find(named);
    text_of(work.unwrap_or_else(|| panic!("nothing on {blank}")))
}

/// What the key makes of `x`, which the check asks for.
fn answer_of(check: &str, unit: &str) -> String {
    let text = format!(
        "# Exercise\nquoted a = 31.3 lb\nquoted b = 17.2 lb\nquoted r = 1.5 lb/h ± 0.1 lb/h\nquoted p = 49 psig\n\
         assumed x [{unit}] = ? from \"your work\"\nexpect {check} else \"look again\"\n"
    );
    let mut session = opened(&text);
    assert!(session.problems().is_empty(), "{check}: {:#?}", session.problems());
    let written = handout::write(&session.handout(Form::Key));
    self::check(check, &written);
    // the blank is open again
    assert_eq!(session.report().checks[0].holds, None, "{check}");
    let front = handout::write(&session.handout(Form::Pupil));
    self::check(check, &front);
    assert!(!front.contains("look again"), "{check}");
    told_of(&written, "x")
}

/// The answers by hand from 31.3 and 17.2 lb, 1.5 lb/h and 49 psig; the boiling point lies
/// half-way between the printed rows of 44.2 psig at 23 °F and 54.1 psig at 32 °F.
#[test]
fn the_key_works_out_what_a_check_asks_for() {
    for (check, unit, answer) in [
        ("x = a - b", "lb", "14.1 lb"),
        ("a - b = x", "lb", "14.1 lb"),
        ("abs(x - (a - b)) <= 0.05 lb", "lb", "14.1 lb"),
        ("0.05 lb >= abs(a - x - b)", "lb", "14.1 lb"),
        ("abs(x + b - a) / a <= 2 %", "lb", "14.1 lb"),
        ("x > 0 lb and abs(x - a + b) < 0.05 lb", "lb", "14.1 lb"),
        ("abs(a - r * x - b) <= 0.1 lb", "h", "9.4 h"),
        ("abs(a / x - r) <= 0.1 lb/h", "h", "20.9 h"),
        ("abs(-x - b + a) <= 0.1 lb", "lb", "14.1 lb"),
        ("abs(x^2 - a * b) <= 0.1 lb2", "lb", "23.20 lb"),
        ("abs(x / a - 42 %) <= 0.2 %", "lb", "13.15 lb"),
        ("normalized_error(x, r) <= 1", "lb/h", "1.50 lb/h"),
        ("abs(propane_pressure(x) - p) <= 1 psi", "°F", "27.49 °F"),
        ("x * 12.5 lb >= a and (x - 1 each) * 12.5 lb < a", "each", "3 each"),
        ("x * 12.5 lb <= a - 20 lb", "each", "0 each"),
    ] {
        let told = answer_of(check, unit);
        let (told, hint) = told.split_once("Hint, where it does not hold: ").unwrap();
        assert!(holds_value(told, answer), "{check}: no {answer} in {told}");
        assert!(
            told.contains("holds") && hint == "Look again.",
            "{check}: {told} {hint}"
        );
    }
}

#[test]
fn the_key_says_what_it_cant_tell() {
    for check in [
        "x > a - b",
        "abs(x * x - a * b) <= 0.1 lb2",
        "x = a or x = b",
        "abs(x - a) > 1 lb",
        // turned round, it is not what another part of the check allows
        "x = a - b and x < 10 lb",
    ] {
        let told = answer_of(check, "lb");
        assert!(
            told.contains("No answer can be told from its checks"),
            "{check}: {told}"
        );
        assert!(told.contains("undecided"), "{check}: {told}");
    }
}

#[test]
fn one_answer_leads_to_the_next() {
    let text = "# Audit\nquoted gross = 34.7 lb\nquoted tare = 19.7 lb\nquoted rate = 1.25 lb/h\n\
        assumed hours [h] = ? from \"your work: hours\"\nassumed net [lb] = ? from \"your work: net\"\n\
        expect abs(hours * rate - net) <= 0.2 lb else \"by your own net\"\n\
        expect abs(gross - net - tare) <= 0.05 lb else \"gross is not net\"\nanswer days [d] = hours * 1\n";
    let written = page(text, Form::Key);
    check("audit", &written);
    // 15 lb over 1.25 lb/h are 12 h, half a day, which the key works out too
    assert!(holds_value(&told_of(&written, "hours"), "12 h"));
    assert!(holds_value(&told_of(&written, "net"), "15 lb"));
    assert!(holds_value(
        &text_of(by_id(&parsed(&written), "short-answers").unwrap()),
        "0.5 d"
    ));
    let front = whole(&page(text, Form::Pupil));
    assert!(!holds_value(&front, "12 h") && !front.contains("own net"), "{front}");
}

/// What an exercise has behind `from` is a task; what is to be measured or looked up is no exercise.
#[test]
fn an_exercise_is_no_source_and_a_reading_no_exercise() {
    let text = "# Two\nquoted a = 3 lb from \"label\"\nassumed x [lb] = ? from \"your work\"\n\
        measured y [lb] = ? from \"scale\"\nexpect x = a else \"no\"\nexpect y = a else \"weigh again\"\n";
    let full = page(text, Form::Full);
    check("two", &full);
    assert!(!full.contains("id=\"sources\"") && full.contains("label"), "{full}");
    let key = page(text, Form::Key);
    check("two", &key);
    let key = text_of(parsed(&key).root_element());
    assert!(key.contains("No") && !key.contains("Weigh again"), "{key}");
    let front = page(text, Form::Pupil);
    assert!(front.contains("What is x?") && !front.contains("What is y?"), "{front}");
}

#[test]
fn a_paper_says_for_whom_it_is() {
    let text = "# One\nquoted a = 3 lb from \"label\"\nassumed x [lb] = ? from \"your work\"\nexpect x close to a within 1 lb else \"no\"\n\
        case ana \"Ana Lee\"\n  a = 4 lb\ncase bo\n  a = 5 lb\n";
    for (case, form, whom) in [
        ("ana", Form::Pupil, "For Ana Lee"),
        ("ana", Form::Key, "For Ana Lee"),
        ("bo", Form::Pupil, "For bo"),
    ] {
        let mut session = opened(text);
        session.set_case(case).unwrap();
        let written = handout::write(&session.handout(form));
        check("one", &written);
        let told = text_of(parsed(&written).root_element());
        assert!(told.contains(whom) && !told.contains("worked out for it"), "{told}");
    }
}

/// A question that no check asks for has room on the paper, and the key says so.
#[test]
fn an_unchecked_question_has_room() {
    let text = "# Two\nquoted a = 3 lb from \"label\"\nassumed x \"How much?\" [lb] = ? from \"your work\"\n\
        assumed y \"How much is left?\" [lb] = ? from \"your work\"\nexpect x close to a within 1 lb else \"no\"\n";
    let front = page(text, Form::Pupil);
    check("two", &front);
    let questions = front.matches("class=\"question\"").count();
    assert!(questions == 2 && front.contains("How much is left?"), "{front}");
    let key = page(text, Form::Key);
    check("two", &key);
    assert!(told_of(&key, "How much is left?").contains("Not checked"), "{key}");
    assert!(told_of(&key, "How much?").contains("3 lb"), "{key}");
}

/// The numbers stand in the key where what is looked up has one, or the function's formula takes them:
/// by hand the line through (400, 1.3) and (1200, 2.1) has the means 800 and 1.7, and 0.001 for each.
#[test]
fn the_key_puts_numbers_in() {
    let rows = "table runs\n  | load [W] | rate [lb/h] |\n  | 400 | 1.30 |\n  | 1200 | 2.10 |\n";
    for (wanted, unit, numbers) in [
        (
            "a * heat_per_pound(\"propane\")",
            "BTU/h",
            "1.6 lb/h × 21\u{a0}548 BTU/lb",
        ),
        (
            "intercept(runs.load, runs.rate)",
            "lb/h",
            "1.700 lb/h − 0.001000 lb/Wh·800 W",
        ),
        (
            "fitted_at(runs.load, runs.rate, 600 W)",
            "lb/h",
            "0.900 lb/h + 0.001000 lb/Wh·600 W",
        ),
        ("shortest_weighing(a, 0.1 lb, 2 %)", "h", "÷ (1.6 lb/h × 2 %)"),
        ("runs.rate of row 2 - runs.rate of row 1", "lb/h", "2.1 lb/h − 1.3 lb/h"),
    ] {
        let text = format!(
            "# Look up\nquoted a = 1.6 lb/h\n{rows}assumed x [{unit}] = ? from \"your work\"\nexpect x close to {wanted} within 1 % else \"no\"\n"
        );
        let written = page(&text, Form::Key);
        check(wanted, &written);
        let told = told_of(&written, "x");
        assert!(
            evened(&told).contains(&evened(numbers)),
            "{wanted}: no {numbers} in {told}"
        );
    }
}

/// Every lesson's key has an answer to each of its exercises.
#[test]
fn the_lessons_are_answered() {
    let mut answered = 0;
    for (name, mut session) in worksheets()
        .into_iter()
        .filter(|(name, _)| name.starts_with(|c: char| c.is_ascii_digit()))
    {
        let key = session.handout(Form::Key);
        assert!(key.has_exercises, "{name}");
        let asked = key.checks.iter().filter(|check| check.asks.is_some());
        assert!(asked.clone().all(|check| check.near.is_some()), "{name}");
        for (entry, more) in key.report.entries.iter().zip(&key.entries) {
            let Some(solution) = &more.solution else { continue };
            assert!(*solution != Solution::Untold, "{name}: {}", entry.name);
            answered += 1;
        }
        assert!(
            key.report.checks.iter().all(|check| check.holds == Some(true)),
            "{name}"
        );
        assert!(handout::write(&session.handout(Form::Pupil)).len() < 200_000, "{name}");
    }
    assert_eq!(answered, 53);
}

/// On a card what fails is told as that, also where the check has no words of its own, and what
/// could go either way as that, also where it holds.
#[test]
fn a_card_says_how_each_check_stands() {
    let text = "measured a = 5 lb ± 1 lb from \"scale\"\nanswer b = a * 2\n\
                expect b >= 20 lb\nexpect b >= 9.5 lb else \"a second one\"\nexpect b >= 1 lb\n";
    let mut session = Session::of_text("card.tare", text.to_owned(), &[], Options::default());
    let page = handout::write(&session.handout(Form::Card));
    let page = parsed(&page);
    let told = |node: Node<'_, '_>| {
        let words: String = node
            .descendants()
            .filter_map(|part| part.text().filter(|_| part.is_text()))
            .collect();
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let checks = page
        .descendants()
        .filter(|node| node.attribute("class") == Some("check"));
    let checks: Vec<String> = checks.map(told).collect();
    assert_eq!(checks.len(), 2, "{checks:?}");
    assert!(
        checks[0].starts_with("does not hold") && checks[0].ends_with("b >= 20 lb"),
        "{checks:?}"
    );
    assert!(
        checks[1].starts_with("Could go either way") && checks[1].ends_with("b >= 9.5 lb"),
        "{checks:?}"
    );
}
