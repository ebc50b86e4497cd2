//! What every study can be written as.
//!
//! A study's model is written for a terminal, for a code host, as rows for a
//! spreadsheet, and, serialized, for machines. Shells need to know no more.
//! Start reading at [`Study`].

use std::io::{self, Write};

use serde::Serialize;

use super::aim::{self, Aim};
use super::audit::{self, Audit};
use super::compare::{self, Compare};
use super::diff::{self, Diff};
use super::doubt::{self, Doubt};
use super::style::Style;
use super::sweep::{self, Sweep};
use super::why::{self, Why};

/// What a study found, in all its written forms; serialized, it is the machine format.
pub trait Study: Serialize {
    /// For a terminal.
    fn text(&self, style: Style) -> String;
    /// For a code host or a notebook.
    fn markdown(&self) -> String;
    /// As comma-separated rows.
    ///
    /// # Errors
    /// Those of the output.
    fn csv(&self, output: &mut impl Write) -> io::Result<()>;
}

macro_rules! studies {
    ($($model:ident in $module:ident),*) => {
        $(impl Study for $model {
            fn text(&self, style: Style) -> String {
                $module::write(self, style)
            }
            fn markdown(&self) -> String {
                $module::write_markdown(self)
            }
            fn csv(&self, output: &mut impl Write) -> io::Result<()> {
                $module::write_csv(self, output)
            }
        })*
    };
}

studies!(
    Why in why,
    Doubt in doubt,
    Audit in audit,
    Compare in compare,
    Sweep in sweep,
    Aim in aim,
    Diff in diff
);
