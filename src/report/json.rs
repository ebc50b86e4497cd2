//! The machine format: one JSON object, schema 2, stable across releases.
//!
//! The fields and their order are those of the report model; every number is
//! decimal text with all digits. Start reading at [`write()`].

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Serializer;
use serde_json::ser::{Formatter, PrettyFormatter};

use super::in_hand::InHand;
use super::model::Report;
use super::visible::is_hidden;

/// The number of the schema.
const SCHEMA: u32 = 2;

#[derive(Serialize)]
struct Document<'a, T> {
    schema: u32,
    #[serde(flatten)]
    report: &'a T,
}

#[derive(Serialize)]
struct Envelope<'a, T> {
    schema: u32,
    #[serde(flatten)]
    in_hand: &'a InHand,
    #[serde(flatten)]
    finding: &'a T,
}

/// Writes one report, or what a study found, as one object.
///
/// # Errors
/// Only those of the output.
pub fn write(report: &impl Serialize, output: &mut impl Write) -> io::Result<()> {
    put(&Document::of(report), output)?;
    output.write_all(b"\n")
}

/// Writes what a study found, below what it was worked out for.
///
/// # Errors
/// Only those of the output.
pub(super) fn write_study(in_hand: &InHand, finding: &impl Serialize, mut output: &mut dyn Write) -> io::Result<()> {
    let envelope = Envelope {
        schema: SCHEMA,
        in_hand,
        finding,
    };
    put(&envelope, &mut output)?;
    output.write_all(b"\n")
}

/// Writes several reports as an array, one object a file.
///
/// # Errors
/// Only those of the output.
pub fn write_all(reports: &[Report], output: &mut impl Write) -> io::Result<()> {
    let documents: Vec<Document<'_, Report>> = reports.iter().map(Document::of).collect();
    put(&documents, output)?;
    output.write_all(b"\n")
}

impl<T> Document<'_, T> {
    fn of(report: &T) -> Document<'_, T> {
        Document { schema: SCHEMA, report }
    }
}

fn put(value: &impl Serialize, output: &mut impl Write) -> io::Result<()> {
    let layout = Harmless(PrettyFormatter::new());
    value.serialize(&mut Serializer::with_formatter(output, layout))?;
    Ok(())
}

/// Spread over lines, with every character escaped on which a terminal would act; whoever
/// reads the text gets the character back.
struct Harmless<'a>(PrettyFormatter<'a>);

macro_rules! as_it_does {
    ($($method:ident($($argument:ident: $kind:ty),*);)*) => {
        $(fn $method<W: ?Sized + Write>(&mut self, writer: &mut W, $($argument: $kind),*) -> io::Result<()> {
            self.0.$method(writer, $($argument),*)
        })*
    };
}

impl Formatter for Harmless<'_> {
    as_it_does! {
        begin_array();
        end_array();
        begin_array_value(first: bool);
        end_array_value();
        begin_object();
        end_object();
        begin_object_key(first: bool);
        begin_object_value();
        end_object_value();
    }

    fn write_string_fragment<W: ?Sized + Write>(&mut self, writer: &mut W, fragment: &str) -> io::Result<()> {
        if !fragment.contains(is_hidden) {
            return writer.write_all(fragment.as_bytes());
        }
        let mut units = [0; 2];
        for c in fragment.chars() {
            match is_hidden(c) {
                true => {
                    for unit in c.encode_utf16(&mut units) {
                        write!(writer, "\\u{unit:04x}")?;
                    }
                }
                false => write!(writer, "{c}")?,
            }
        }
        Ok(())
    }
}
