//! Studies: what a worksheet says beyond its values, one file a study.
//!
//! A study looks at the sheet and its tree and gives back what it found, with
//! cells and numbers; the report makes words and digits of it. Start reading at
//! [`why::why`]; what varies one input stands on [`vary::Varied`].

pub mod aim;
pub mod compare;
pub mod diff;
pub mod root;
pub mod sweep;
pub mod vary;
pub mod why;
