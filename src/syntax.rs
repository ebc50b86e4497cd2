//! From text to tree: the worksheet as its writer wrote it.
//!
//! [`parse()`] gives a tree *and* problems for any text. The text is kept whole:
//! items tile it byte for byte. Spans inside an item count from the item's start,
//! so that an edit elsewhere moves nothing. Start reading at [`tree::Worksheet`].

mod block;
pub mod cell;
mod check;
pub mod edit;
mod entry;
mod explain;
mod expression;
mod grammar;
mod head;
pub(crate) mod heading;
mod lines;
mod literal;
pub mod parse;
mod quantity;
mod reader;
mod spoken;
pub mod tidy;
pub mod tree;
pub(crate) mod used;
mod words;

pub use edit::{Change, Touched};
pub use literal::duration;
pub use literal::{ClockTime, DatedTime};
pub use parse::{LONGEST_TEXT, MOST_LINES, parse, parse_typed};
pub use spoken::number_word;
pub use tree::{Item, Node, Worksheet};
pub use words::cell_head;
pub use words::{inner_words, is_reserved, openings};
