//! The server: one message after another, heard and answered.
//!
//! A request always gets a reply, a broken one an error that says why. What was
//! typed is taken over at once; diagnostics wait for [`Server::settle`].
//! Start reading at [`Server::hear`].

use std::collections::BTreeMap;

use lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionParams, CodeActionProviderCapability, CompletionOptions,
    CompletionParams, DidChangeConfigurationParams, DidCloseTextDocumentParams, DidOpenTextDocumentParams,
    DocumentFormattingParams, DocumentHighlightParams, DocumentSymbolParams, FoldingRangeParams,
    FoldingRangeProviderCapability, GotoDefinitionParams, HoverParams, HoverProviderCapability, InitializeResult,
    InlayHintParams, OneOf, OptionalVersionedTextDocumentIdentifier, PublishDiagnosticsParams, ReferenceParams,
    RenameOptions, RenameParams, SaveOptions, ServerCapabilities, ServerInfo, SignatureHelpOptions,
    SignatureHelpParams, TextDocumentContentChangeEvent, TextDocumentPositionParams, TextDocumentSyncCapability,
    TextDocumentSyncKind, TextDocumentSyncOptions, TextDocumentSyncSaveOptions, Uri, WorkDoneProgressOptions,
};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::session::Refusal;

use super::addresses::Addresses;
use super::answers;
use super::client::{Client, watch_tables};
use super::diagnostics::diagnostics;
use super::document::Document;
use super::message::{ErrorCode, Message, Notification, Refused, Request, error, heard, response};
use super::settings::Settings;

/// How the conversation ended.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    /// `shutdown` came first.
    InOrder,
    /// It did not.
    Abrupt,
}

/// How far the conversation is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
enum Stage {
    /// `initialize` is still to come.
    #[default]
    Waiting,
    /// Everything may be asked.
    Open,
    /// `shutdown` came; only `exit` is left.
    ShutDown,
    /// `exit` came.
    Ended(End),
}

/// What an editor talks to.
#[derive(Default)]
pub struct Server {
    stage: Stage,
    client: Client,
    addresses: Addresses,
    settings: Settings,
    documents: BTreeMap<String, (Uri, Document)>,
    replies: Vec<Value>,
    asked: i32,
}

/// What was typed. Editors differ in whether they count it.
#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
struct Changes {
    text_document: OptionalVersionedTextDocumentIdentifier,
    content_changes: Vec<TextDocumentContentChangeEvent>,
}

/// What a request came to.
type Answer = Result<Value, Refused>;

/// The reply to something that is no message.
pub fn unreadable(why: &str) -> Value {
    error(&Value::Null, ErrorCode::ParseError, why)
}

fn refused(code: ErrorCode, message: impl Into<String>) -> Refused {
    Refused {
        code,
        message: message.into(),
    }
}

impl Server {
    /// Takes one message in; gives back what is to be said at once.
    pub fn hear(&mut self, body: &str) -> Vec<Value> {
        match serde_json::from_str::<Value>(body) {
            Err(_) => self.replies.push(unreadable("the message isn't JSON")),
            Ok(value) => self.take(value),
        }
        std::mem::take(&mut self.replies)
    }

    /// Diagnostics of the documents that have changed since they were told last; none once
    /// `shutdown` came.
    pub fn settle(&mut self) -> Vec<Value> {
        let mut told = Vec::new();
        if self.stage != Stage::Open {
            return told;
        }
        for (address, document) in self.documents.values_mut().filter(|(_, document)| document.stale) {
            document.stale = false;
            let params = PublishDiagnosticsParams {
                uri: address.clone(),
                diagnostics: diagnostics(document, address),
                version: document.version,
            };
            let mut said = to_tell("textDocument/publishDiagnostics", &params);
            self.addresses.give_back(&mut said);
            told.push(said);
        }
        told
    }

    /// How it ended, where it has.
    pub fn end(&self) -> Option<End> {
        match self.stage {
            Stage::Ended(end) => Some(end),
            _ => None,
        }
    }

    /// Whether `shutdown` came.
    pub fn is_shut_down(&self) -> bool {
        matches!(self.stage, Stage::ShutDown | Stage::Ended(End::InOrder))
    }

    fn take(&mut self, value: Value) {
        if value.get("method").is_none() && value.get("result").or(value.get("error")).is_some() {
            // The editor's reply to something asked of it.
            return;
        }
        match heard(value) {
            Ok(Message::Request(request)) => self.request(request),
            Ok(Message::Notification(notification)) => self.notification(notification),
            Err((id, why)) => self.replies.push(error(&id, ErrorCode::InvalidRequest, why)),
        }
    }

    fn say(&mut self, mut message: Value) {
        self.addresses.give_back(&mut message);
        self.replies.push(message);
    }

    /// Asks something of the editor.
    fn ask(&mut self, method: &str, params: Value) {
        self.asked += 1;
        let mut asked = json!({ "jsonrpc": "2.0", "id": self.asked, "method": method });
        if let Some(fields) = asked.as_object_mut().filter(|_| !params.is_null()) {
            fields.insert("params".to_owned(), params);
        }
        self.say(asked);
    }

    // ---- requests ----

    fn request(&mut self, request: Request) {
        let id = request.id.clone();
        let answer = match (self.stage, request.method.as_str()) {
            (Stage::Waiting, "initialize") => self.initialize(request.params),
            (Stage::Waiting, _) => Err(refused(ErrorCode::ServerNotInitialized, "`initialize` comes first")),
            (Stage::Open, "initialize") => Err(refused(ErrorCode::InvalidRequest, "`initialize` came already")),
            (Stage::Open, "shutdown") => {
                self.stage = Stage::ShutDown;
                Ok(Value::Null)
            }
            (Stage::Open, _) => self.answer(request),
            _ => Err(refused(ErrorCode::InvalidRequest, "`shutdown` came already")),
        };
        let reply = response(&id, answer);
        self.say(reply);
    }

    fn initialize(&mut self, params: Value) -> Answer {
        self.client = Client::of(&params);
        if let Some(options) = params.get("initializationOptions") {
            self.settings.take(options);
        }
        self.stage = Stage::Open;
        written(InitializeResult {
            capabilities: self.capabilities(),
            server_info: Some(ServerInfo {
                name: "tarebook".to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        })
    }

    fn capabilities(&self) -> ServerCapabilities {
        let letters = |letters: &[&str]| Some(letters.iter().map(|letter| (*letter).to_owned()).collect());
        ServerCapabilities {
            position_encoding: Some(self.client.counting.kind()),
            text_document_sync: Some(TextDocumentSyncCapability::Options(TextDocumentSyncOptions {
                open_close: Some(true),
                change: Some(TextDocumentSyncKind::INCREMENTAL),
                save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions::default())),
                ..TextDocumentSyncOptions::default()
            })),
            hover_provider: Some(HoverProviderCapability::Simple(true)),
            completion_provider: Some(CompletionOptions {
                trigger_characters: letters(&[".", "(", "[", ",", "\""]),
                ..CompletionOptions::default()
            }),
            signature_help_provider: Some(SignatureHelpOptions {
                trigger_characters: letters(&["(", ",", ":"]),
                retrigger_characters: letters(&[")"]),
                work_done_progress_options: WorkDoneProgressOptions::default(),
            }),
            definition_provider: Some(OneOf::Left(true)),
            references_provider: Some(OneOf::Left(true)),
            document_highlight_provider: Some(OneOf::Left(true)),
            document_symbol_provider: Some(OneOf::Left(true)),
            folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
            document_formatting_provider: Some(OneOf::Left(true)),
            rename_provider: Some(OneOf::Right(RenameOptions {
                prepare_provider: Some(true),
                work_done_progress_options: WorkDoneProgressOptions::default(),
            })),
            code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
                code_action_kinds: Some(vec![CodeActionKind::QUICKFIX]),
                ..CodeActionOptions::default()
            })),
            inlay_hint_provider: Some(OneOf::Left(true)),
            ..ServerCapabilities::default()
        }
    }

    fn answer(&mut self, request: Request) -> Answer {
        let mut params = request.params;
        self.addresses.take(&mut params);
        match request.method.as_str() {
            "textDocument/hover" => {
                let params: HoverParams = parsed(params)?;
                let (document, place) = self.at_mut(&params.text_document_position_params)?;
                written(answers::hover(document, place))
            }
            "textDocument/completion" => {
                let params: CompletionParams = parsed(params)?;
                let (_, document) = self.at(&params.text_document_position)?;
                written(answers::completion(document, params.text_document_position.position))
            }
            "textDocument/signatureHelp" => {
                let params: SignatureHelpParams = parsed(params)?;
                let asked = &params.text_document_position_params;
                let (_, document) = self.at(asked)?;
                written(answers::signature_help(document, asked.position))
            }
            "textDocument/definition" => {
                let params: GotoDefinitionParams = parsed(params)?;
                let asked = &params.text_document_position_params;
                let (address, document) = self.at(asked)?;
                written(answers::definition(document, address, asked.position))
            }
            "textDocument/references" => {
                let params: ReferenceParams = parsed(params)?;
                let asked = &params.text_document_position;
                let (address, document) = self.at(asked)?;
                let defined = params.context.include_declaration;
                written(answers::references(document, address, asked.position, defined))
            }
            "textDocument/documentHighlight" => {
                let params: DocumentHighlightParams = parsed(params)?;
                let asked = &params.text_document_position_params;
                let (_, document) = self.at(asked)?;
                written(answers::highlights(document, asked.position))
            }
            "textDocument/prepareRename" => {
                let asked: TextDocumentPositionParams = parsed(params)?;
                let (_, document) = self.at(&asked)?;
                written(answers::prepare_rename(document, asked.position).map_err(|refusal| failed(&refusal))?)
            }
            "textDocument/rename" => {
                let params: RenameParams = parsed(params)?;
                let asked = &params.text_document_position;
                let (address, document) = self.at(asked)?;
                let renamed = answers::rename(document, address, asked.position, &params.new_name);
                written(renamed.map_err(|refusal| failed(&refusal))?)
            }
            method => self.answer_whole(method, params),
        }
    }

    /// What is asked of a document as a whole, or of a range.
    fn answer_whole(&mut self, method: &str, params: Value) -> Answer {
        match method {
            "textDocument/documentSymbol" => {
                let params: DocumentSymbolParams = parsed(params)?;
                written(answers::symbols(self.document(&params.text_document.uri)?.1))
            }
            "textDocument/foldingRange" => {
                let params: FoldingRangeParams = parsed(params)?;
                written(answers::folds(self.document(&params.text_document.uri)?.1))
            }
            "textDocument/formatting" => {
                let params: DocumentFormattingParams = parsed(params)?;
                written(answers::formatting(self.document(&params.text_document.uri)?.1))
            }
            "textDocument/codeAction" => {
                let params: CodeActionParams = parsed(params)?;
                let (address, document) = self.document(&params.text_document.uri)?;
                written(answers::mends(document, address, params.range))
            }
            "textDocument/inlayHint" => {
                let params: InlayHintParams = parsed(params)?;
                let (_, document) = self.document(&params.text_document.uri)?;
                match self.settings.values {
                    true => written(answers::values(document, params.range)),
                    false => Ok(Value::Array(Vec::new())),
                }
            }
            method => {
                let message = format!("`{method}` can't be asked here");
                Err(refused(ErrorCode::MethodNotFound, message))
            }
        }
    }

    fn document(&self, address: &Uri) -> Result<(&Uri, &Document), Refused> {
        let found = self.documents.get(address.as_str());
        let found = found.map(|(address, document)| (address, document));
        found.ok_or_else(|| not_open(address))
    }

    fn at(&self, asked: &TextDocumentPositionParams) -> Result<(&Uri, &Document), Refused> {
        self.document(&asked.text_document.uri)
    }

    fn at_mut(&mut self, asked: &TextDocumentPositionParams) -> Result<(&mut Document, lsp_types::Position), Refused> {
        let address = &asked.text_document.uri;
        let found = self.documents.get_mut(address.as_str());
        let (_, document) = found.ok_or_else(|| not_open(address))?;
        Ok((document, asked.position))
    }

    // ---- notifications ----

    fn notification(&mut self, notification: Notification) {
        match (self.stage, notification.method.as_str()) {
            (stage, "exit") => {
                let in_order = stage == Stage::ShutDown;
                self.stage = Stage::Ended(if in_order { End::InOrder } else { End::Abrupt });
            }
            (Stage::Open, _) => {
                let method = notification.method.clone();
                if let Err(trouble) = self.told(notification) {
                    // A notification has no reply; the editor may log this.
                    let message = format!("{method}: {}", trouble.message);
                    let said = trouble_told(&message);
                    self.say(said);
                }
            }
            _ => {}
        }
    }

    fn told(&mut self, notification: Notification) -> Result<(), Refused> {
        let mut params = notification.params;
        self.addresses.take(&mut params);
        match notification.method.as_str() {
            "initialized" if self.client.watches => self.ask("client/registerCapability", watch_tables()),
            "textDocument/didOpen" => {
                let opened = parsed::<DidOpenTextDocumentParams>(params)?.text_document;
                let address = opened.uri.as_str().to_owned();
                let mut document = Document::open(&address, opened.text, Some(opened.version), &self.client);
                document.session.hold_case(self.settings.case.as_deref());
                self.documents.insert(address, (opened.uri, document));
            }
            "textDocument/didChange" => {
                let params: Changes = parsed(params)?;
                let address = params.text_document.uri;
                let found = self.documents.get_mut(address.as_str());
                let (_, document) = found.ok_or_else(|| not_open(&address))?;
                document.version = params.text_document.version;
                params.content_changes.iter().for_each(|change| document.change(change));
                document.session.hold_case(self.settings.case.as_deref());
            }
            "textDocument/didSave" | "workspace/didChangeWatchedFiles" => {
                // Tables in files may have been saved along with it.
                for (_, document) in self.documents.values_mut() {
                    document.session.read_files_again();
                    document.stale = true;
                }
            }
            "textDocument/didClose" => {
                let address = parsed::<DidCloseTextDocumentParams>(params)?.text_document.uri;
                if self.documents.remove(address.as_str()).is_some() {
                    let cleared = PublishDiagnosticsParams::new(address, Vec::new(), None);
                    self.say(to_tell("textDocument/publishDiagnostics", &cleared));
                }
            }
            "workspace/didChangeConfiguration" => {
                let params: DidChangeConfigurationParams = parsed(params)?;
                self.set(&params.settings);
            }
            _ => {}
        }
        Ok(())
    }

    fn set(&mut self, said: &Value) {
        let before = self.settings.clone();
        self.settings.take(said);
        if before == self.settings {
            return;
        }
        for (_, document) in self.documents.values_mut() {
            document.session.hold_case(self.settings.case.as_deref());
            document.stale |= before.case != self.settings.case;
        }
        if self.client.refreshes {
            self.ask("workspace/inlayHint/refresh", Value::Null);
        }
    }
}

fn parsed<P: DeserializeOwned>(params: Value) -> Result<P, Refused> {
    serde_json::from_value(params).map_err(|trouble| refused(ErrorCode::InvalidParams, trouble.to_string()))
}

fn written(answer: impl Serialize) -> Answer {
    serde_json::to_value(answer).map_err(|trouble| refused(ErrorCode::InternalError, trouble.to_string()))
}

fn not_open(address: &Uri) -> Refused {
    refused(ErrorCode::InvalidParams, format!("`{}` isn't open", address.as_str()))
}

fn to_tell(method: &str, params: &impl Serialize) -> Value {
    let params = serde_json::to_value(params).unwrap_or(Value::Null);
    json!({ "jsonrpc": "2.0", "method": method, "params": params })
}

/// Something to log: a warning.
fn trouble_told(message: &str) -> Value {
    to_tell("window/logMessage", &json!({ "type": 2, "message": message }))
}

/// A refusal of the session, in its words.
fn failed(refusal: &Refusal) -> Refused {
    let problems = refusal.problems.iter();
    let told: Vec<String> = problems
        .map(|problem| match &problem.help {
            Some(help) => format!("{}; {help}", problem.message),
            None => problem.message.clone(),
        })
        .collect();
    refused(ErrorCode::RequestFailed, told.join("; "))
}
