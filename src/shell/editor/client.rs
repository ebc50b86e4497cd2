//! What the editor can do, read from what it says of itself.
//!
//! Only what is asked here is looked at, so that nothing else that an editor says
//! can keep it from being served. Start reading at [`Client::of`].

use lsp_types::PositionEncodingKind;
use serde_json::{Value, json};

use super::places::Counting;

/// What the editor can do.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Client {
    /// How it counts columns.
    pub(super) counting: Counting,
    /// Whether it asks for values again when it is told to.
    pub(super) refreshes: bool,
    /// Whether it takes parts of a call's head by place rather than by their letters.
    pub(super) marks_by_place: bool,
    /// Whether it can be asked to tell of files that change on the disk.
    pub(super) watches: bool,
}

impl Client {
    /// Reads the parameters of `initialize`.
    pub(super) fn of(params: &Value) -> Client {
        let said = |path: &str| params.pointer(&format!("/capabilities/{path}"));
        let can = |path: &str| said(path).and_then(Value::as_bool).unwrap_or(false);
        let encodings = said("general/positionEncodings").and_then(Value::as_array);
        let encodings = encodings.into_iter().flatten().filter_map(Value::as_str);
        let encodings: Vec<PositionEncodingKind> = encodings.map(|kind| kind.to_owned().into()).collect();
        Client {
            counting: Counting::of(&encodings),
            refreshes: can("workspace/inlayHint/refreshSupport"),
            marks_by_place: can(
                "textDocument/signatureHelp/signatureInformation/parameterInformation/labelOffsetSupport",
            ),
            watches: can("workspace/didChangeWatchedFiles/dynamicRegistration"),
        }
    }
}

/// What asks an editor to tell of tables that change on the disk.
pub(super) fn watch_tables() -> Value {
    json!({ "registrations": [{
        "id": "tables",
        "method": "workspace/didChangeWatchedFiles",
        "registerOptions": { "watchers": [{ "globPattern": "**/*.csv" }, { "globPattern": "**/*.tare" }] },
    }] })
}
