//! What a message says, apart from what it is about: a request, a notification, or neither.
//!
//! Start reading at [`heard`].

use serde_json::{Value, json};

/// Something asked, which gets a reply.
pub(super) struct Request {
    /// What the reply goes by: a whole number of 32 bits, or a text.
    pub(super) id: Value,
    pub(super) method: String,
    pub(super) params: Value,
}

/// Something told, which gets none.
pub(super) struct Notification {
    pub(super) method: String,
    pub(super) params: Value,
}

/// What came.
pub(super) enum Message {
    Request(Request),
    Notification(Notification),
}

/// Why a request was refused, as the protocol numbers it.
#[derive(Clone, Copy)]
pub(super) enum ErrorCode {
    ParseError = -32700,
    InvalidRequest = -32600,
    MethodNotFound = -32601,
    InvalidParams = -32602,
    InternalError = -32603,
    ServerNotInitialized = -32002,
    RequestFailed = -32803,
}

/// A refusal with its reason.
pub(super) struct Refused {
    pub(super) code: ErrorCode,
    pub(super) message: String,
}

/// What a message is; else what the reply goes by, and why it is none.
pub(super) fn heard(mut value: Value) -> Result<Message, (Value, &'static str)> {
    let id = value.get("id").cloned();
    let params = value.get_mut("params").map(Value::take).unwrap_or_default();
    let is_id = |id: &Value| id.is_string() || id.as_i64().is_some_and(|id| i32::try_from(id).is_ok());
    match (value.get("method").and_then(Value::as_str), id) {
        (Some(method), Some(id)) if is_id(&id) => Ok(Message::Request(Request {
            id,
            method: method.to_owned(),
            params,
        })),
        // something is asked, and the reply has nothing to go by
        (Some(_), Some(id)) => Err((id, "the `id` is neither a whole number of 32 bits nor a text")),
        (Some(method), None) => Ok(Message::Notification(Notification {
            method: method.to_owned(),
            params,
        })),
        (None, id) => Err((id.unwrap_or_default(), "this is no request and no notification")),
    }
}

/// A reply: what was asked for, or why it can't be had.
pub(super) fn response(id: &Value, answer: Result<Value, Refused>) -> Value {
    match answer {
        Ok(result) => json!({ "jsonrpc": "2.0", "id": id, "result": result }),
        Err(refused) => error(id, refused.code, &refused.message),
    }
}

/// A reply that is none but a reason.
pub(super) fn error(id: &Value, code: ErrorCode, why: &str) -> Value {
    json!({ "jsonrpc": "2.0", "id": id, "error": { "code": code as i32, "message": why } })
}
