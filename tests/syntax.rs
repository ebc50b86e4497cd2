//! The syntax layer: what parses to what, which problem stands where, edits, tidying.
//!
//! Language tests are text files in `tests/syntax/`, the expectation beside the input.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;

use proptest::prelude::{ProptestConfig, Strategy, any, prop_oneof, proptest};
use tarebook::problem::{Problem, Severity};
use tarebook::sheet::Sheet;
use tarebook::syntax::cell::{Cell, read_cell};
use tarebook::syntax::tidy::tidy;
use tarebook::syntax::tree::{
    BinaryOperator, ColumnHeading, ComparisonOperator, Expression, ExpressionNode, Quoted, TableContent, Tolerance,
    ToleranceForm, ToleranceOf, Typed, UnaryOperator, UnitBox, Value,
};
use tarebook::syntax::{Node, Touched, Worksheet, parse, parse_typed};
use tarebook::text::Span;

// ---------------------------------------------------------------- a tree as text

fn value(v: &Option<Value>) -> String {
    match v {
        None => "none".to_owned(),
        Some(Value::Blank(_)) => "?".to_owned(),
        Some(Value::Given { expression, tolerance }) => match tolerance {
            None => expr(expression),
            Some(t) => format!("{} {}", expr(expression), tol(t)),
        },
    }
}

fn tol(t: &Tolerance) -> String {
    let of = match t.of {
        ToleranceOf::Unit(unit) => unit.to_string(),
        ToleranceOf::Percent => "percent".to_owned(),
    };
    let form = match t.form {
        ToleranceForm::Limits => String::new(),
        ToleranceForm::Standard => " sd".to_owned(),
        ToleranceForm::Expanded(k) => format!(" k={k}"),
    };
    let df = t.degrees_of_freedom.map_or(String::new(), |d| format!(" df={d}"));
    let amount = format!("{} {of}", t.amount);
    format!("(± {}{form}{df})", amount.trim_end())
}

fn expr(e: &Expression) -> String {
    match &e.node {
        ExpressionNode::Number(n) => n.to_string(),
        ExpressionNode::Quantity { value, unit, signed } => {
            let sign = if *signed { "signed " } else { "" };
            format!("[{sign}{value} {unit}]")
        }
        ExpressionNode::TimeOfDay(n) => format!("(time {n})"),
        ExpressionNode::CountedTime(n) => format!("(counted {n})"),
        ExpressionNode::Moment(n) => format!("(moment {n})"),
        ExpressionNode::RowNumber(n) => format!("row {n}"),
        ExpressionNode::Text(t) => format!("{t:?}"),
        ExpressionNode::Truth(t) => t.to_string(),
        ExpressionNode::Name(n) => n.to_string(),
        ExpressionNode::Column(pair) => format!("{}.{}", pair.0.text, pair.1.text),
        ExpressionNode::Unary(UnaryOperator::Negate, x) => format!("(- {})", expr(x)),
        ExpressionNode::Unary(UnaryOperator::Not, x) => format!("(not {})", expr(x)),
        ExpressionNode::Binary(operator, _, sides) => {
            let sign = match operator {
                BinaryOperator::Add => "+",
                BinaryOperator::Subtract => "-",
                BinaryOperator::Multiply => "*",
                BinaryOperator::Divide => "/",
                BinaryOperator::Power => "^",
                BinaryOperator::And => "and",
                BinaryOperator::Or => "or",
                BinaryOperator::Where => "where",
                BinaryOperator::Of => "of",
            };
            format!("({sign} {} {})", expr(&sides.0), expr(&sides.1))
        }
        ExpressionNode::Comparison(c) => {
            let mut said = format!("({}", expr(&c.first));
            for (operator, _, right) in &c.links {
                let sign = match operator {
                    ComparisonOperator::Less => "<",
                    ComparisonOperator::AtMost => "<=",
                    ComparisonOperator::Equal => "=",
                    ComparisonOperator::AtLeast => ">=",
                    ComparisonOperator::Greater => ">",
                    ComparisonOperator::Unequal => "<>",
                };
                write!(said, " {sign} {}", expr(right)).unwrap();
            }
            said + ")"
        }
        ExpressionNode::Call(c) => {
            let mut said = format!("({}!", c.name.text);
            for argument in &c.arguments {
                let label = argument
                    .label
                    .as_ref()
                    .map_or(String::new(), |l| format!("{}:", l.text));
                write!(said, " {label}{}", expr(&argument.value)).unwrap();
            }
            said + ")"
        }
        ExpressionNode::If(parts) => {
            format!("(if {} {} {})", expr(&parts.0), expr(&parts.1), expr(&parts.2))
        }
    }
}

fn quoted(word: &str, q: &Option<Quoted>) -> String {
    q.as_ref().map_or(String::new(), |q| format!(" {word}{:?}", q.text))
}

fn boxed(unit: &Option<UnitBox>) -> String {
    match unit {
        None => String::new(),
        Some(b) if b.clock => " [h:min]".to_owned(),
        Some(b) => format!(" [{}]", b.unit),
    }
}

fn heading(h: &ColumnHeading) -> String {
    let name = h.name.as_ref().map_or("-", |n| &n.text);
    let tolerance = h.tolerance.as_ref().map_or(String::new(), |t| format!(" {}", tol(t)));
    format!("{name}{}{tolerance}", boxed(&h.unit))
}

fn node(text: &str, node: &Node) -> String {
    match node {
        Node::Blank => "blank".to_owned(),
        Node::Remark => "remark".to_owned(),
        Node::Heading(h) => format!("heading {} {:?}", h.level, h.title.of(text)),
        Node::Prose(span) => format!("prose {:?}", span.of(text)),
        Node::Broken => "broken".to_owned(),
        Node::Entry(e) => format!(
            "{} {}{}{} = {}{}{}",
            e.kind.word(),
            e.name.text,
            quoted("", &e.label),
            boxed(&e.unit),
            value(&e.value),
            quoted("from ", &e.source),
            quoted("note ", &e.note)
        ),
        Node::Expect(e) => format!(
            "expect {}{}",
            e.condition.as_ref().map_or("none".to_owned(), expr),
            quoted("else ", &e.otherwise)
        ),
        Node::Rule(r) => {
            let mut said = format!("rule {}(", r.name.text);
            for p in &r.parameters {
                let default = p.default.as_ref().map_or(String::new(), |d| format!(" = {}", expr(d)));
                write!(said, "{}{}{default};", p.name.text, boxed(&p.unit)).unwrap();
            }
            let body = r.body.as_ref().map_or("none".to_owned(), expr);
            format!("{said}){} = {body}", boxed(&r.unit))
        }
        Node::Table(t) => {
            let content = match &t.content {
                None => "none".to_owned(),
                Some(TableContent::Csv { path, skip_unread, .. }) => {
                    format!("csv {:?} {skip_unread}", path.text)
                }
                Some(TableContent::Function(e)) => expr(e),
                Some(TableContent::Rows(rows)) => {
                    let headings: Vec<String> = rows.headings.iter().map(heading).collect();
                    let mut said = format!("| {} |", headings.join(" | "));
                    for row in &rows.rows {
                        let cells: Vec<&str> = row.cells.iter().map(|c| c.of(text)).collect();
                        write!(said, " / {}", cells.join(" | ")).unwrap();
                    }
                    said
                }
            };
            format!(
                "table {}{}{}{} = {content}",
                t.name.text,
                quoted("", &t.label),
                quoted("from ", &t.source),
                quoted("note ", &t.note)
            )
        }
        Node::Use(u) => format!("use {:?} as {}", u.path.text, u.name.text),
        Node::Case(c) => {
            let mut said = format!("case {}{}", c.name.text, quoted("", &c.title));
            for line in &c.lines {
                write!(
                    said,
                    "; {} = {}{}{}",
                    line.name.text,
                    value(&line.value),
                    quoted("from ", &line.source),
                    quoted("note ", &line.note)
                )
                .unwrap();
            }
            said
        }
        Node::Plot(p) => format!(
            "plot {} over {}{}",
            expr(&p.vertical),
            expr(&p.horizontal),
            quoted("", &p.title)
        ),
    }
}

/// `! code «marked» message : help`
fn problem(text: &str, p: &Problem) -> String {
    let help = p.help.as_ref().map_or(String::new(), |h| format!(" : {h}"));
    format!("! {} «{}» {}{help}", p.code, p.place.span.of(text), p.message)
}

fn dump(sheet: &Worksheet) -> String {
    let mut said = String::new();
    for (index, item) in sheet.items.iter().enumerate() {
        let text = sheet.text_of(index);
        writeln!(said, "{}", node(text, &item.node)).unwrap();
        for p in &item.problems {
            assert_eq!(p.place.item as usize, index);
            assert!(p.place.span.end as usize <= text.len(), "{p:?} outside {text:?}");
            writeln!(said, "{}", problem(text, p)).unwrap();
        }
    }
    said
}

// ---------------------------------------------------------------- language tests as text

/// One typed line, or one line of a worksheet: `input ⇒ expectation`.
fn typed(line: &str) -> String {
    match parse_typed(line) {
        Ok(Typed::Expression { expression, unit }) => {
            format!("{}{}", expr(&expression), boxed(&unit))
        }
        Ok(Typed::CellTrial { cell, value: v }) => format!("{} := {}", expr(&cell), value(&Some(v))),
        Ok(Typed::Trial { name, value: v }) => format!("{} := {}", name.text, value(&Some(v))),
        Err(problems) => {
            assert!(!problems.is_empty(), "no tree and no problem for {line:?}");
            let said: Vec<String> = problems.iter().map(|p| problem(line, p)).collect();
            said.join(" ")
        }
    }
}

fn one_line(line: &str) -> String {
    dump(&parse(line.to_owned())).trim_end().replace('\n', " ")
}

fn cell(line: &str) -> String {
    match read_cell(line) {
        Cell::Missing => "missing".to_owned(),
        Cell::Quantity { value, unit, tolerance } => {
            let unit = unit.map_or(String::new(), |u| format!(" {u}"));
            let tolerance = tolerance.as_ref().map_or(String::new(), |t| format!(" {}", tol(t)));
            format!("{value}{unit}{tolerance}")
        }
        Cell::Clock(time) if time.days.is_some() => format!("(counted {})", time.counted()),
        Cell::Clock(time) => format!("(time {})", time.counted()),
        Cell::Dated(dated) => format!("(moment {})", dated.moment()),
        Cell::Truth(t) => t.to_string(),
        Cell::Text(t) => format!("{t:?}"),
    }
}

/// Each line of a file is `input ⇒ expectation`; lines that begin with `##` are headings.
fn check_lines(file: &str, read: fn(&str) -> String) {
    let text = std::fs::read_to_string(file).unwrap();
    let mut wrong = String::new();
    for (number, line) in text.lines().enumerate() {
        if line.is_empty() || line.starts_with("##") {
            continue;
        }
        let (input, wanted) = line.split_once(" ⇒ ").unwrap_or((line, ""));
        let input = input.trim_end();
        let got = read(input);
        if got != wanted.trim() {
            writeln!(wrong, "{}: {input} ⇒ {got}\n   wanted {wanted}", number + 1).unwrap();
        }
    }
    assert!(wrong.is_empty(), "{file}:\n{wrong}");
}

/// Blocks of a file: a worksheet, a line `=>`, what it is, a line `----`.
fn check_blocks(file: &str) {
    let text = std::fs::read_to_string(file).unwrap();
    let mut wrong = String::new();
    for block in text.split("----\n") {
        let (input, wanted) = block.split_once("=>\n").expect(block);
        let got = dump(&parse(input.to_owned()));
        if got.trim() != wanted.trim() {
            writeln!(wrong, "{input}=>\n{got}wanted\n{wanted}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "{file}:\n{wrong}");
}

#[test]
fn expressions_read_as_written() {
    check_lines("tests/syntax/expressions.txt", typed);
}

#[test]
fn spellings_read_in_two_ways_are_problems() {
    check_lines("tests/syntax/problems.txt", typed);
}

#[test]
fn lines_read_as_written() {
    check_lines("tests/syntax/lines.txt", one_line);
}

#[test]
fn cells_read_as_written() {
    check_lines("tests/syntax/cells.txt", cell);
}

#[test]
fn blocks_read_as_written() {
    check_blocks("tests/syntax/blocks.txt");
}

// ---------------------------------------------------------------- tidying

#[test]
fn tidying_gives_canonical_spacing() {
    let text = std::fs::read_to_string("tests/syntax/tidy.txt").unwrap();
    for block in text.split("----\n") {
        let (input, wanted) = block.split_once("=>\n").expect(block);
        check_tidy(input, wanted);
    }
}

fn check_tidy(input: &str, wanted: &str) {
    let got = tidy(input);
    assert!(got == wanted, "got\n{got}\nwanted\n{wanted}");
    check_tidy_keeps_meaning(input);
}

fn check_tidy_keeps_meaning(input: &str) {
    let got = tidy(input);
    assert_eq!(tidy(&got), got, "tidying twice differs from tidying once");
    let (before, after) = (parse(input.to_owned()), parse(got.clone()));
    assert_eq!(meaning(&before), meaning(&after), "{input:?} became {got:?}");
}

/// Every node but empty lines, as text.
fn meaning(sheet: &Worksheet) -> Vec<String> {
    let items = sheet.items.iter().enumerate();
    let said = items.map(|(index, item)| node(sheet.text_of(index), &item.node));
    said.filter(|said| said != "blank").collect()
}

#[test]
fn tidying_keeps_line_ends() {
    check_tidy(
        "worked a=b \r\n\r\n# x \nworked c=( d\r\n +e)",
        "worked a = b\r\n\r\n# x\nworked c = (d\r\n + e)",
    );
    check_tidy("\u{FEFF}  worked a=b", "\u{FEFF}worked a = b");
}

// ---------------------------------------------------------------- any text at all

/// Pieces that worksheets are made of, and pieces that they are not.
fn scraps() -> impl Strategy<Value = String> {
    let known = [
        "measured",
        "worked ",
        "assumed x = ",
        "case c\n",
        "table t\n",
        "rule f(",
        "expect ",
        "plot ",
        "quoted ",
        "answer ",
        " ",
        "\n",
        "\r\n",
        "\n  ",
        "| a | b |\n",
        "|",
        "# h\n",
        "> p\n",
        "-- r\n",
        " -- ",
        "--",
        "-",
        "(",
        ")",
        "[",
        "]",
        "[lb]",
        "=",
        "<=",
        "+",
        "*",
        "/",
        "^",
        "±",
        "+/-",
        ",",
        ".",
        ":",
        "\"",
        "\"text\"",
        "\\",
        "“",
        "”",
        "12",
        "3,000",
        "0.5",
        "1e5",
        "lb",
        "°F",
        "%",
        "$",
        "lb/h",
        "h",
        " 40 min",
        "21:40",
        "2026-01-11",
        "x",
        "gross",
        "log.gross",
        "if ",
        " then ",
        " else ",
        "not ",
        " and ",
        " where ",
        "from ",
        "note ",
        "sd",
        "k=2",
        "df=3",
        "?",
        "\u{A0}",
        "\u{FEFF}",
        "\0",
        "مرحبا",
        "e\u{301}",
        "−",
        "×",
        "'",
        ";",
        "[h:min]",
        "x = 3 lb\n",
        "measured a = 3 lb ± 1 lb\n",
        "worked b = (a\n + a)\n",
        "\tx = 3\n",
        "csv(\"p\")",
    ];
    let piece = prop_oneof![
        8 => (0..known.len()).prop_map(move |at| known[at].to_owned()),
        1 => any::<char>().prop_map(String::from),
    ];
    proptest::collection::vec(piece, 0..24).prop_map(|pieces| pieces.concat())
}

fn check_tiles(sheet: &Worksheet) {
    let mut joined = String::new();
    for (index, item) in sheet.items.iter().enumerate() {
        assert_eq!(item.start as usize, joined.len());
        assert!(item.len > 0);
        joined.push_str(sheet.text_of(index));
        let broken = matches!(item.node, Node::Broken);
        assert!(
            !broken || !item.problems.is_empty(),
            "broken without a problem: {joined:?}"
        );
    }
    assert_eq!(joined, sheet.text);
    dump(sheet);
}

fn debug(sheet: &Worksheet) -> String {
    format!("{sheet:#?}")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn tiles_joined_are_the_text(text in scraps()) {
        check_tiles(&parse(text));
    }

    #[test]
    fn any_characters_give_tiles(text in any::<String>()) {
        check_tiles(&parse(text));
    }

    #[test]
    fn an_edited_tree_equals_a_fresh_one(
        text in scraps(),
        edits in proptest::collection::vec((any::<u16>(), 0u32..9, scraps()), 1..4),
    ) {
        let mut sheet = parse(text);
        for (start, len, with) in edits {
            let start = u32::from(start) % (sheet.text.len() as u32 + 1);
            let (with, _) = with.split_at(with.char_indices().nth(6).map_or(with.len(), |c| c.0));
            let before = sheet.clone();
            let change = sheet.replace(Span { start, end: start + len }, with);
            assert_eq!(debug(&sheet), debug(&parse(sheet.text.clone())));
            check_change(&before, &sheet, &change);
        }
    }

    #[test]
    fn tidying_keeps_the_meaning(text in scraps()) {
        check_tidy_keeps_meaning(&text);
    }

    #[test]
    fn typed_lines_and_cells_never_fail_silently(text in scraps()) {
        typed(&text);
        cell(&text);
    }
}

/// An edit says which items it touched; the others are as they were.
fn check_change(before: &Worksheet, after: &Worksheet, change: &tarebook::syntax::Change) {
    let (from, gone, come) = match change.touched {
        Touched::One(item) => (item, 1, 1),
        Touched::Some { from, gone, come } => (from, gone, come),
    };
    let texts = |sheet: &Worksheet| -> Vec<String> {
        let all = 0..sheet.items.len();
        all.map(|index| sheet.text_of(index).to_owned()).collect()
    };
    let (before, after) = (texts(before), texts(after));
    assert_eq!(before[..from], after[..from]);
    assert_eq!(before[from + gone..], after[from + come..]);
}

#[test]
fn an_edit_inside_one_item_touches_one() {
    let mut sheet = parse("measured a = 3 lb\nworked b = a\n".to_owned());
    let change = sheet.replace(Span::new(13, 14), "44");
    assert_eq!(change.removed, "3");
    assert_eq!(change.touched, Touched::One(0));
    assert_eq!(sheet.text, "measured a = 44 lb\nworked b = a\n");
    assert_eq!(sheet.items[1].start, 19);
    assert_eq!(
        sheet.replace(Span::at(sheet.text.len()), "worked c = b\n").touched,
        Touched::Some {
            from: 2,
            gone: 0,
            come: 1
        }
    );
    assert_eq!(sheet.text, "measured a = 44 lb\nworked b = a\nworked c = b\n");
    let change = sheet.replace(Span::at(19), "# here\n");
    assert_eq!(
        change.touched,
        Touched::Some {
            from: 1,
            gone: 0,
            come: 1
        }
    );
    assert!(change.silent);
    let change = sheet.replace(Span::new(0, 19), "");
    assert_eq!(
        change.touched,
        Touched::Some {
            from: 0,
            gone: 1,
            come: 0
        }
    );
    assert!(!change.silent);
    assert_eq!(sheet.text, "# here\nworked b = a\nworked c = b\n");
    assert_eq!(dump(&sheet), "heading 1 \"here\"\nworked b = a\nworked c = b\n");
}

// ---------------------------------------------------------------- hostile texts

fn check_hostile(text: String) {
    let sheet = parse(text.clone());
    check_tiles(&sheet);
    let problems: usize = sheet.items.iter().map(|item| item.problems.len()).sum();
    assert!(
        problems > 0,
        "no problem in {}",
        text.chars().take(60).collect::<String>()
    );
    let _ = parse_typed(&text);
    let _ = tidy(&text);
}

#[test]
fn hostile_texts_are_problems() {
    let many = |piece: &str, count: usize| piece.repeat(count);
    check_hostile(format!("worked a = {}", many("1", 5_000_000)));
    check_hostile(format!("worked a = {}", many("(", 5_000_000)));
    check_hostile(many("x", 5_000_000));
    check_hostile(many("\"", 1_000_001));
    check_hostile(format!("worked a = {}", many("\"x\" + (", 100_000)));
    check_hostile(format!("worked a = {}1{}", many("(", 10_000), many(")", 10_000)));
    check_hostile(format!("worked a = {}1{}", many("f(", 10_000), many(")", 10_000)));
    check_hostile(format!("worked a = {}1", many("- ", 10_000)));
    check_hostile(format!("worked a = {}1", many("-", 10_000)));
    check_hostile(format!("worked a = {}true", many("not ", 10_000)));
    check_hostile(format!("worked a = 1{}", many("^2", 10_000)));
    check_hostile(format!("worked a = 1{}", many("+1", 10_000)));
    check_hostile(format!("worked a = 1{}", many(" < 1", 10_000)));
    check_hostile(format!(
        "worked a = {}1{}",
        many("if b then ", 10_000),
        many(" else 1", 10_000)
    ));
    check_hostile(format!("worked a = {}1", many("if b then 1 else ", 10_000)));
    check_hostile(format!("worked a = {}1{}", many("(", 64), many("+1)", 1000)));
    check_hostile(format!("worked a {}", many("[", 10_000)));
    check_hostile(many("worked a = (\n", 50_000));
    check_hostile(format!("worked a = (\n{}", many("b +\n", 50_000)));
    check_hostile("worked a = \0".to_owned());
    check_hostile("\0\0".to_owned());
    check_hostile("assumed a = \"\\u{D800}\"".to_owned());
    check_hostile("\u{FEFF}\u{FEFF}worked a = 1".to_owned());
    check_hostile("worked \u{202E}a = 1".to_owned());
    check_hostile("worked a = 1\rworked b = 2".to_owned());
    check_hostile(many("| a ", 200_000));
    check_hostile(format!("table t\n| a |\n{}", many("| 1 | 2 |\n", 20_000)));
    check_hostile(format!("assumed a = 1 {}", many("lb/", 10_000)));
    check_hostile(format!("assumed a = {}", many("1 h ", 3_000)));
}

#[test]
fn odd_files_are_read() {
    let text = "\u{FEFF}measured a = 3 lb\r\n\r\nworked b = (a\r\n  + a)\n# end";
    let sheet = parse(text.to_owned());
    check_tiles(&sheet);
    let wanted = "measured a = [3 lb]\nblank\nworked b = (+ a a)\nheading 1 \"end\"\n";
    assert_eq!(dump(&sheet), wanted);
}

#[test]
fn the_deepest_nesting_is_read() {
    let deep = format!("worked a = {}1{}", "(".repeat(64), ")".repeat(64));
    assert_eq!(one_line(&deep), "worked a = 1");
    let long = format!("worked a = 1{}", " + 1".repeat(500));
    assert!(!one_line(&long).contains('!'));
}

// ---------------------------------------------------------------- the reference

/// Every block marked `tare` works out without a problem, but for want of a file; every
/// `tare-problem CODE` has that one, when it is read or when it is worked out.
#[test]
fn the_reference_is_right() {
    let text = std::fs::read_to_string("grammar/reference.md").unwrap();
    let mut checked = 0;
    for fence in text.split("\n```tare").skip(1) {
        let (mark, rest) = fence.split_once('\n').unwrap();
        let (source, _) = rest.split_once("```").unwrap();
        let wanted: Vec<&str> = mark.strip_prefix("-problem ").into_iter().collect();
        let sheet = parse(source.to_owned());
        let problems = sheet.items.iter().flat_map(|item| &item.problems);
        let mut codes: Vec<&str> = problems.map(|problem| problem.code.word()).collect();
        if codes.is_empty() {
            let problems = Sheet::load(source.to_owned(), None).problems();
            let weighs = problems.iter().filter(|problem| problem.severity == Severity::Problem);
            codes.extend(
                weighs
                    .map(|problem| problem.code.word())
                    .filter(|code| *code != "file-missing" || wanted.contains(code)),
            );
        }
        assert_eq!(codes, wanted, "{source}");
        check_tidy_keeps_meaning(source);
        checked += 1;
    }
    assert!(checked > 50);
}
