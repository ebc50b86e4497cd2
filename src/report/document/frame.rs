//! The frame of a page: its head, its style, and what keeps text from acting.
//!
//! What stands inside is written by the page of a document and by the handout. Start reading
//! at [`framed`].

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::super::model::MADE_ROWS;
use super::super::visible::{is_hidden, visible_character};

const STYLE: &str = include_str!("../handout/style.css");

/// The page may load nothing and run nothing.
const NOTHING_ACTS: &str = "<meta charset=\"utf-8\"/>\n\
<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; \
base-uri 'none'; form-action 'none'\"/>\n";

/// What a page says before anything of the worksheet.
pub(in crate::report) const HEAD: &str = "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
<meta name=\"color-scheme\" content=\"light dark\"/>\n\
<meta name=\"referrer\" content=\"no-referrer\"/>\n";

/// A page in the look of the handout: its frame around a title and a body.
pub(super) fn framed(title: &str, body: &Markup) -> String {
    harmless(&whole(&html! {}, &html! { (title) }, body))
}

pub(in crate::report) fn whole(made: &Markup, title: &Markup, body: &Markup) -> String {
    let head = html! { (PreEscaped(NOTHING_ACTS)) (PreEscaped(HEAD)) (made) };
    document(&head, title, body)
}

/// A page in the same look whose head says by itself what may act.
pub(in crate::report) fn document(head: &Markup, title: &Markup, body: &Markup) -> String {
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                (head)
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                a class="skip" href="#main" { "Skip to the content" }
                (body)
            }
        }
    };
    document.into_string()
}

/// What would act in place of being shown is shown: line ends stay.
pub(in crate::report) fn harmless(document: &str) -> String {
    let mut shown = String::with_capacity(document.len() + 64);
    for c in document.chars() {
        match c {
            '\n' => shown.push('\n'),
            '\t' => shown.push(' '),
            '\u{fffe}' | '\u{ffff}' => shown.push('\u{fffd}'),
            c if is_hidden(c) => shown.push_str(&visible_character(c)),
            c => shown.push(c),
        }
    }
    shown
}

/// A table that stands on one page if it can.
pub(in crate::report) fn together(rows: usize) -> &'static str {
    if rows <= MADE_ROWS + 2 { "together" } else { "long" }
}
