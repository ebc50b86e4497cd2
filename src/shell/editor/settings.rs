//! What an editor can set: which case is worked out, and whether values are shown.
//!
//! `{ "tarebook": { "case": "deep_cold", "values": true } }`, or the same without
//! the outer name. Start reading at [`Settings::take`].

use serde_json::Value;

/// What is set.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Settings {
    /// The case that is worked out where a worksheet has it; none is the base.
    pub(super) case: Option<String>,
    /// Whether values are shown at the ends of lines.
    pub(super) values: bool,
}

impl Settings {
    /// Takes over what is said; what isn't said stays.
    pub(super) fn take(&mut self, said: &Value) {
        let said = said.get("tarebook").unwrap_or(said);
        match said.get("case") {
            Some(Value::String(case)) if !case.is_empty() && case != "base" => self.case = Some(case.clone()),
            Some(_) => self.case = None,
            None => {}
        }
        if let Some(Value::Bool(values)) = said.get("values") {
            self.values = *values;
        }
    }
}
