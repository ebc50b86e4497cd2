//! The machine format: one JSON object, schema 1, stable across releases.
//!
//! The fields and their order are those of the report model; every number is
//! decimal text with all digits. Start reading at [`write()`].

use std::io::{self, Write};

use serde::Serialize;

use super::model::Report;

/// The number of the schema.
const SCHEMA: u32 = 1;

#[derive(Serialize)]
struct Document<'a, T> {
    schema: u32,
    #[serde(flatten)]
    report: &'a T,
}

/// Writes one report, or what a study found, as one object.
///
/// # Errors
/// Only those of the output.
pub fn write(report: &impl Serialize, output: &mut impl Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *output, &Document::of(report))?;
    output.write_all(b"\n")
}

/// Writes several reports as an array, one object a file.
///
/// # Errors
/// Only those of the output.
pub fn write_all(reports: &[Report], output: &mut impl Write) -> io::Result<()> {
    let documents: Vec<Document<'_, Report>> = reports.iter().map(Document::of).collect();
    serde_json::to_writer_pretty(&mut *output, &documents)?;
    output.write_all(b"\n")
}

impl<T> Document<'_, T> {
    fn of(report: &T) -> Document<'_, T> {
        Document { schema: SCHEMA, report }
    }
}
