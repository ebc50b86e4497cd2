//! Addresses of documents as editors write them.
//!
//! The protocol wants them escaped, and some editors leave brackets, spaces or
//! letters beyond ASCII as they are. Inside they are escaped; the editor gets back
//! what it gave. Start reading at [`Addresses::take`].

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use lsp_types::Uri;
use serde_json::Value;

/// The addresses that came unescaped, by what they are inside.
#[derive(Default)]
pub(super) struct Addresses {
    given: BTreeMap<String, String>,
}

impl Addresses {
    /// Escapes the address of the document that is spoken of, where that is needed.
    pub(super) fn take(&mut self, params: &mut Value) {
        let Some(Value::String(address)) = params.pointer_mut("/textDocument/uri") else {
            return;
        };
        if Uri::from_str(address).is_err() {
            let escaped = escaped(address);
            let given = std::mem::replace(address, escaped.clone());
            self.given.insert(escaped, given);
        }
    }

    /// Puts the addresses as the editor gave them into what is said.
    pub(super) fn give_back(&self, said: &mut Value) {
        if self.given.is_empty() {
            return;
        }
        match said {
            Value::String(text) => {
                if let Some(given) = self.given.get(text) {
                    text.clone_from(given);
                }
            }
            Value::Array(values) => values.iter_mut().for_each(|value| self.give_back(value)),
            Value::Object(fields) => {
                fields.values_mut().for_each(|value| self.give_back(value));
                for (escaped, given) in &self.given {
                    if let Some(value) = fields.remove(escaped) {
                        fields.insert(given.clone(), value);
                    }
                }
            }
            _ => {}
        }
    }
}

/// What may stand in an address as it is.
fn is_plain(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || b"-._~:/?#@!$&'()*+,;=".contains(&byte)
}

fn escaped(address: &str) -> String {
    let bytes = address.as_bytes();
    let mut text = String::with_capacity(bytes.len());
    for (at, byte) in bytes.iter().enumerate() {
        let hex = |place: usize| bytes.get(place).is_some_and(u8::is_ascii_hexdigit);
        let is_escape = *byte == b'%' && hex(at + 1) && hex(at + 2);
        match is_escape || is_plain(*byte) {
            true => text.push(char::from(*byte)),
            false => text.push_str(&format!("%{byte:02X}")),
        }
    }
    text
}

/// The path of a file's address.
pub(super) fn path_of(address: &str) -> Option<PathBuf> {
    let (scheme, rest) = address.split_once(':')?;
    if !scheme.eq_ignore_ascii_case("file") {
        return None;
    }
    // `file:///home/…`, `file://localhost/home/…` and `file:/home/…`
    let rest = match rest.strip_prefix("//") {
        Some(behind) => behind.get(behind.find('/')?..)?,
        None => rest,
    };
    let path = unescaped(rest)?;
    // `/c:/sheets/ridge.tare`
    let drive = path.as_bytes().get(2) == Some(&b':');
    Some(PathBuf::from(if drive { path.trim_start_matches('/') } else { &path }))
}

/// The address of a file.
pub(super) fn address_of(path: &Path) -> Option<Uri> {
    let path = std::path::absolute(path).ok()?;
    let path = path.to_str()?.replace('%', "%25").replace('\\', "/");
    let path = path.replace('#', "%23").replace('?', "%3F");
    Uri::from_str(&escaped(&format!("file:///{}", path.trim_start_matches('/')))).ok()
}

/// `%C2%B0` as `°`.
fn unescaped(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut letters = text.bytes();
    while let Some(byte) = letters.next() {
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let digit = |byte: u8| char::from(byte).to_digit(16);
        let (high, low) = (digit(letters.next()?)?, digit(letters.next()?)?);
        bytes.push(u8::try_from(high * 16 + low).ok()?);
    }
    String::from_utf8(bytes).ok()
}
