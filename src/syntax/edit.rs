//! Edits of the text: a span replaced, with only the item touched parsed again.
