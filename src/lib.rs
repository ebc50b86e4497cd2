//! Tarebook: a worksheet notebook for running a household on a portable
//! generator fed from propane cylinders.
//!
//! The way through is one direction: text → [`syntax`] tree → checked
//! [`sheet`] → program → state → [`report`]. [`session`] is the one object a
//! shell holds. Start reading at [`session::Session`], or follow a worksheet
//! from [`syntax::parse()`] on.

// the parser is made for programs without `std` too
extern crate alloc;

pub mod calendar;
pub mod number;
pub mod problem;
pub mod report;
pub mod session;
pub mod sheet;
pub mod shell;
pub mod study;
pub mod syntax;
pub mod text;
pub mod time_limit;
pub mod trade;
pub mod unit;
