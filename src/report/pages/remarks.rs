//! The remarks of audits, explained by their codes.
//!
//! They are read from `remarks.txt` beside this file. Start reading at [`REMARKS`].

use std::sync::LazyLock;

use crate::text::{Record, records};

use super::super::layout::Layout;
use super::super::style::Style;

/// A remark of audits: its code, what it says in one line, and the whole story.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct RemarkHelp {
    /// The code word.
    pub code: &'static str,
    /// What it says, in one line.
    pub summary: &'static str,
    /// Why it is asked, what may be meant, what to do.
    pub text: &'static str,
}

/// Every remark of audits, the heaviest first.
pub static REMARKS: LazyLock<Vec<RemarkHelp>> = LazyLock::new(|| {
    let remark = |record: Record| RemarkHelp {
        code: record.name,
        summary: record.summary(),
        text: record.detail(),
    };
    records(include_str!("remarks.txt")).map(remark).collect()
});

/// The remark of that code.
pub(super) fn remark_help(code: &str) -> Option<&'static RemarkHelp> {
    REMARKS.iter().find(|remark| remark.code == code)
}

/// A remark of audits: what it says, and the whole story.
pub(super) fn remark_page(remark: &RemarkHelp, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&format!("{}: a remark of audits", remark.code));
    page.prose(&super::sentence(remark.summary));
    page.gap();
    page.prose(remark.text);
    page.into_text()
}
