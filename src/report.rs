//! The report: built once, written many ways.
//!
//! [`model::Report`] is plain data in which numbers, units, digits and order
//! are settled; the writers only lay it out and see nothing else. How numbers
//! are shown is decided in [`digits`] and [`moment`], before anything is laid
//! out. Problems are drawn against the worksheet's text in [`drawing`]; what a
//! trial changed is told by [`change`]. Reference pages, which know no worksheet,
//! are in [`pages`]. Start reading at [`model::Report`].

pub(crate) mod against;
pub mod aim;
pub mod audit;
pub mod change;
pub mod chart;
pub mod compare;
pub mod compose;
pub mod csv;
pub mod diff;
pub mod digits;
pub mod document;
pub mod doubt;
pub mod drawing;
pub mod first_screen;
pub mod handout;
pub(crate) mod in_hand;
pub mod json;
pub mod language;
mod layout;
pub mod live;
pub mod model;
pub mod moment;
pub mod pages;
pub mod place;
mod rows;
pub mod shown;
pub mod study;
pub mod style;
pub mod sweep;
pub mod sweep_by_two;
pub mod visible;
pub mod whole;
pub mod why;

pub use model::Report;
pub use style::Style;
