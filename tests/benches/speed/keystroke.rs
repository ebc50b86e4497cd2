//! From a key pressed in an editor to its marks, in a worksheet of 2 000 lines.

use std::time::Duration;

use serde_json::{Value, json};
use tarebook::shell::editor::server::Server;

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::{Chain, Digits};

const ADDRESS: &str = "untitled:chain.tare";
/// How many times reading the whole worksheet a key may take.
const BOUND: f64 = 4.0;

/// An editor with the worksheet open.
struct Typing {
    server: Server,
    /// The line of the input that the answers hang on, and where its number ends.
    line: usize,
    column: usize,
    lines: usize,
}

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (entries, repeats) = match extent {
        Extent::Full => (2_000, 101),
        Extent::Glance => (300, 3),
    };
    let text = Chain::new(Digits::Short, entries).text();
    let reading = Measure::reading(&text, repeats);
    let mut typing = Typing::open(text);
    let (line, column) = (typing.line, typing.column);
    let digit = typing.in_turn(repeats, [line, column, line, column], "5");
    bounds.hold_to(
        "a digit typed into an input, ten entries changed",
        digit,
        reading,
        BOUND,
    );
    let broken = typing.in_turn(repeats, [line, column, line, column], "(");
    bounds.hold_to("a parenthesis typed there, and taken away", broken, reading, BOUND);
    let last = typing.lines;
    let opened = typing.in_turn(repeats, [last, 0, last, 0], "\n");
    bounds.hold_to("a line put in at the end, and taken away", opened, reading, BOUND);
    let entry = typing.in_turn(repeats, [last, 0, last, 0], "measured one_more = 3 lb\n");
    bounds.hold_to("an entry put in at the end, and taken away", entry, reading, BOUND);
    let first = typing.in_turn(repeats, [0, 0, 0, 0], "measured one_more = 3 lb\n");
    bounds.hold_to(
        "an entry put in before all others, and taken away",
        first,
        reading,
        BOUND,
    );
    let name = typing.in_turn(repeats, [line, 8, line, 8], "x");
    bounds.hold_to("a name changed that ten entries use", name, reading, BOUND);
    let completed = median(repeats, || typing.ask("textDocument/completion", line, column));
    bounds.hold_to("a completion asked for", completed, reading, BOUND);
    let hovered = median(repeats, || typing.ask("textDocument/hover", line, 9));
    bounds.hold_to("a name pointed at", hovered, reading, BOUND);
}

impl Typing {
    fn open(text: String) -> Typing {
        let line = text.lines().position(|line| line.starts_with("assumed edge")).unwrap();
        let column = text.lines().nth(line).unwrap().find(" lb").unwrap();
        let mut typing = Typing {
            server: Server::default(),
            line,
            column,
            lines: text.lines().count(),
        };
        typing.hear(&json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": { "capabilities": {} } }));
        let document = json!({ "uri": ADDRESS, "languageId": "tarebook", "version": 1, "text": text });
        typing.hear(
            &json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": { "textDocument": document } }),
        );
        assert_eq!(typing.server.settle().len(), 1);
        typing
    }

    fn hear(&mut self, message: &Value) -> Vec<Value> {
        self.server.hear(&message.to_string())
    }

    /// The median time of a piece put in and of the same taken away again.
    fn in_turn(&mut self, repeats: usize, [line, start, last, end]: [usize; 4], with: &str) -> Duration {
        let behind = match with.ends_with('\n') {
            true => (line + 1, 0),
            false => (line, start + with.len()),
        };
        let mut stands = false;
        let time = median(repeats, || {
            stands = !stands;
            match stands {
                true => self.range(line, start, last, end, with),
                false => self.range(line, start, behind.0, behind.1, ""),
            }
        });
        if stands {
            self.range(line, start, behind.0, behind.1, "");
        }
        time
    }

    /// A stretch replaced, and the marks that follow.
    fn range(&mut self, line: usize, start: usize, last: usize, end: usize, with: &str) -> Vec<Value> {
        let range = json!({
            "start": { "line": line, "character": start },
            "end": { "line": last, "character": end },
        });
        let params = json!({
            "textDocument": { "uri": ADDRESS, "version": 2 },
            "contentChanges": [{ "range": range, "text": with }],
        });
        let said = self.hear(&json!({ "jsonrpc": "2.0", "method": "textDocument/didChange", "params": params }));
        assert!(said.is_empty());
        let told = self.server.settle();
        assert_eq!(told.len(), 1);
        told
    }

    fn ask(&mut self, method: &str, line: usize, column: usize) -> Vec<Value> {
        let params = json!({
            "textDocument": { "uri": ADDRESS },
            "position": { "line": line, "character": column },
        });
        let said = self.hear(&json!({ "jsonrpc": "2.0", "id": 2, "method": method, "params": params }));
        assert!(said.iter().all(|reply| reply.get("error").is_none()));
        said
    }
}
