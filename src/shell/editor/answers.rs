//! What is asked about one document, answered from its session.
//!
//! Each function takes what the protocol gives and gives what it wants back.
//! Start reading at [`hover`].

use std::collections::HashMap;

use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CompletionItem, CompletionItemKind, CompletionList,
    CompletionTextEdit, DocumentHighlight, DocumentHighlightKind, DocumentSymbol, Documentation, FoldingRange,
    FoldingRangeKind, Hover, HoverContents, InlayHint, InlayHintLabel, Location, MarkupContent, MarkupKind,
    ParameterInformation, ParameterLabel, Position, PrepareRenameResponse, Range, SignatureHelp, SignatureInformation,
    SymbolKind, TextEdit, Uri, WorkspaceEdit,
};

use crate::report::visible::visible;
use crate::session::Refusal;
use crate::session::completion::{Offer, Sort, Typing, Vocabulary, offers, open_signature, word_start};
use crate::session::outline::{Piece, PieceSort};
use crate::session::pointing::Mark;
use crate::syntax::tidy::tidy;
use crate::text::Span;

use super::addresses::address_of;
use super::diagnostics::{of_problem, span_of};
use super::document::Document;

/// What there is to know about what stands at a place.
pub(super) fn hover(document: &mut Document, place: Position) -> Option<Hover> {
    let mark = document.session.pointed(document.offset(place))?;
    let text = document.session.about(&mark.target)?;
    Some(Hover {
        contents: HoverContents::Markup(markdown(text)),
        range: Some(document.range(mark.span)),
    })
}

fn markdown(value: String) -> MarkupContent {
    MarkupContent {
        kind: MarkupKind::Markdown,
        value,
    }
}

// ---- completion ----

/// The words that may stand at a place.
pub(super) fn completion(document: &Document, place: Position) -> CompletionList {
    let at = document.offset(place);
    let before = document.before(at);
    let (head, word) = before.split_at_checked(word_start(before)).unwrap_or((before, ""));
    let known = Vocabulary::of(document.session.sheet());
    let range = document.range(Span::new(at - word.len(), at));
    let found = offers(&known, Typing::Worksheet, head, word);
    let items = found.into_iter().map(|offer| completion_item(offer, range));
    CompletionList {
        // Currencies are offered from the second letter on.
        is_incomplete: word.chars().count() < 2,
        items: items.collect(),
    }
}

fn completion_item(offer: Offer, range: Range) -> CompletionItem {
    let kind = match offer.sort {
        Sort::Verb | Sort::Word => CompletionItemKind::KEYWORD,
        Sort::Entry | Sort::Case => CompletionItemKind::VARIABLE,
        Sort::Table | Sort::Section => CompletionItemKind::STRUCT,
        Sort::Column => CompletionItemKind::FIELD,
        Sort::Rule | Sort::Function => CompletionItemKind::FUNCTION,
        Sort::Parameter => CompletionItemKind::PROPERTY,
        Sort::Unit => CompletionItemKind::UNIT,
        Sort::Choice => CompletionItemKind::ENUM_MEMBER,
    };
    CompletionItem {
        sort_text: Some(format!("{}{}", offer.rank, offer.shown)),
        filter_text: Some(offer.shown.clone()),
        label: offer.shown,
        kind: Some(kind),
        // What is shown here knows no Markdown.
        detail: Some(offer.detail.replace('`', "")).filter(|detail| !detail.is_empty()),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit::new(range, offer.put))),
        ..CompletionItem::default()
    }
}

/// The call that is open at a place.
pub(super) fn signature_help(document: &Document, place: Position) -> Option<SignatureHelp> {
    let known = Vocabulary::of(document.session.sheet());
    let open = open_signature(&known, document.before(document.offset(place)))?;
    let parameters = open.parameters.into_iter().zip(open.meanings);
    let parameters = parameters.map(|(place, meaning)| ParameterInformation {
        label: match document.client.marks_by_place {
            true => ParameterLabel::LabelOffsets([place.start, place.end].map(|at| units_before(&open.head, at))),
            false => ParameterLabel::Simple(place.of(&open.head).to_owned()),
        },
        documentation: Some(meaning)
            .filter(|meaning| !meaning.is_empty())
            .map(Documentation::String),
    });
    let parameters = parameters.collect();
    let active = open.active.and_then(|active| u32::try_from(active).ok());
    Some(SignatureHelp {
        signatures: vec![SignatureInformation {
            label: open.head,
            documentation: Some(Documentation::String(open.summary)),
            parameters: Some(parameters),
            active_parameter: active,
        }],
        active_signature: Some(0),
        active_parameter: active,
    })
}

/// Parts of a head count in units of UTF-16, however columns are counted.
fn units_before(head: &str, at: u32) -> u32 {
    let before = head.get(..at as usize).unwrap_or(head);
    u32::try_from(before.encode_utf16().count()).unwrap_or(u32::MAX)
}

// ---- names ----

/// Where what stands at a place is defined.
pub(super) fn definition(document: &Document, address: &Uri, place: Position) -> Vec<Location> {
    let Some(mark) = document.session.pointed(document.offset(place)) else {
        return Vec::new();
    };
    if let Some((path, text, span)) = document.session.defined_beyond(&mark.target) {
        let place = address_of(&path).map(|address| Location::new(address, document.range_in(text, span)));
        return place.into_iter().collect();
    }
    let spans = document.session.definitions(&mark.target).into_iter();
    spans
        .map(|span| Location::new(address.clone(), document.range(span)))
        .collect()
}

/// Everywhere that what stands at a place is used, with its definition where that is asked for.
pub(super) fn references(document: &Document, address: &Uri, place: Position, defined: bool) -> Vec<Location> {
    let marks = marked(document, place).into_iter();
    marks
        .filter(|(_, defines)| defined || !defines)
        .map(|(range, _)| Location::new(address.clone(), range))
        .collect()
}

/// The same, for the document at hand alone.
pub(super) fn highlights(document: &Document, place: Position) -> Vec<DocumentHighlight> {
    let marks = marked(document, place).into_iter();
    marks
        .map(|(range, defines)| DocumentHighlight {
            range,
            kind: Some(match defines {
                true => DocumentHighlightKind::WRITE,
                false => DocumentHighlightKind::READ,
            }),
        })
        .collect()
}

fn marked(document: &Document, place: Position) -> Vec<(Range, bool)> {
    let Some(mark) = document.session.pointed(document.offset(place)) else {
        return Vec::new();
    };
    let marks = document.session.marks(&mark.target).into_iter();
    marks.map(|mark| (document.range(mark.span), mark.defines)).collect()
}

/// The name at a place, if it can be renamed.
///
/// # Errors
/// Why it can't.
pub(super) fn prepare_rename(document: &Document, place: Position) -> Result<PrepareRenameResponse, Refusal> {
    let mark = renamed(document, place)?;
    document.session.can_be_renamed(&mark.target)?;
    Ok(PrepareRenameResponse::Range(document.range(mark.span)))
}

/// The edits that rename what stands at a place.
///
/// # Errors
/// Why it can't be renamed so.
pub(super) fn rename(document: &Document, address: &Uri, place: Position, new: &str) -> Result<WorkspaceEdit, Refusal> {
    let mark = renamed(document, place)?;
    let places = document.session.rename_places(&mark, new)?.into_iter();
    let edits = places.map(|span| TextEdit::new(document.range(span), new.to_owned()));
    Ok(workspace_edit(address, edits.collect()))
}

fn renamed(document: &Document, place: Position) -> Result<Mark, Refusal> {
    let found = document.session.pointed(document.offset(place));
    found.ok_or_else(|| Refusal::new("no name of this worksheet stands here"))
}

#[allow(clippy::mutable_key_type)] // what an address caches doesn't change how it compares
fn workspace_edit(address: &Uri, edits: Vec<TextEdit>) -> WorkspaceEdit {
    WorkspaceEdit {
        changes: Some(HashMap::from([(address.clone(), edits)])),
        ..WorkspaceEdit::default()
    }
}

// ---- the document as a whole ----

/// Its sections with what stands in them.
pub(super) fn symbols(document: &Document) -> Vec<DocumentSymbol> {
    let pieces = document.session.outline();
    pieces.into_iter().map(|piece| symbol(document, piece)).collect()
}

fn symbol(document: &Document, piece: Piece) -> DocumentSymbol {
    let kind = match piece.sort {
        PieceSort::Section => SymbolKind::NAMESPACE,
        PieceSort::Input => SymbolKind::CONSTANT,
        PieceSort::Worked => SymbolKind::VARIABLE,
        PieceSort::Answer => SymbolKind::EVENT,
        PieceSort::Table => SymbolKind::STRUCT,
        PieceSort::Column => SymbolKind::FIELD,
        PieceSort::Rule => SymbolKind::FUNCTION,
        PieceSort::Case => SymbolKind::CLASS,
    };
    let inner: Vec<DocumentSymbol> = piece.inner.into_iter().map(|piece| symbol(document, piece)).collect();
    // An empty name is refused by some editors.
    let name = if piece.name.is_empty() {
        "…".to_owned()
    } else {
        piece.name
    };
    #[allow(deprecated)] // the field has to be there
    DocumentSymbol {
        name,
        detail: Some(piece.detail).filter(|detail| !detail.is_empty()),
        kind,
        tags: None,
        deprecated: None,
        range: document.range(piece.span),
        selection_range: document.range(piece.own),
        children: Some(inner).filter(|inner| !inner.is_empty()),
    }
}

/// What can be folded away.
pub(super) fn folds(document: &Document) -> Vec<FoldingRange> {
    let text = document.text();
    let folds = document.session.folds().into_iter();
    folds
        .map(|span| {
            let range = document.range(span);
            let is_prose = matches!(span.of(text).chars().next(), Some('>' | '-'));
            FoldingRange {
                start_line: range.start.line,
                end_line: range.end.line,
                kind: is_prose.then_some(FoldingRangeKind::Comment),
                ..FoldingRange::default()
            }
        })
        .collect()
}

/// The edits that give it canonical spacing.
pub(super) fn formatting(document: &Document) -> Vec<TextEdit> {
    document.edits_to(&tidy(document.text()))
}

/// The values of the entries that end inside a range.
pub(super) fn values(document: &Document, range: Range) -> Vec<InlayHint> {
    let values = document.session.values_in(document.span(range)).into_iter();
    values
        .map(|(at, told)| InlayHint {
            position: document.position(at),
            label: InlayHintLabel::String(visible(&told).into_owned()),
            kind: None,
            text_edits: None,
            tooltip: None,
            padding_left: Some(true),
            padding_right: None,
            data: None,
        })
        .collect()
}

/// What mends the problems that a range touches, where one replacement does.
pub(super) fn mends(document: &Document, address: &Uri, range: Range) -> Vec<CodeActionOrCommand> {
    let asked = document.span(range);
    let problems = document.session.found().into_iter();
    let touched = problems.filter(|problem| {
        let span = span_of(document, problem.place);
        span.start <= asked.end && asked.start <= span.end
    });
    let mut actions = Vec::new();
    for problem in touched {
        let diagnostic = of_problem(document, address, &problem);
        for mend in &problem.mends {
            let edit = TextEdit::new(document.range(span_in(document, mend.place)), mend.text.clone());
            actions.push(CodeActionOrCommand::CodeAction(CodeAction {
                title: title(&mend.text),
                kind: Some(CodeActionKind::QUICKFIX),
                diagnostics: Some(vec![diagnostic.clone()]),
                edit: Some(workspace_edit(address, vec![edit])),
                is_preferred: Some(problem.mends.len() == 1),
                ..CodeAction::default()
            }));
        }
    }
    actions
}

fn title(text: &str) -> String {
    match text.trim() {
        "" => "Take it out".to_owned(),
        text => format!("Write `{}`", visible(text)),
    }
}

fn span_in(document: &Document, place: crate::problem::Place) -> Span {
    place.span.shifted(document.session.sheet().tree().start_of(place.item))
}
