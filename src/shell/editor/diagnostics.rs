//! Problems, remarks and unmet expectations as an editor marks them.
//!
//! Start reading at [`diagnostics`].

use lsp_types::{Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Range, Uri};

use crate::problem::{Place, Problem, Severity};
use crate::report::model::Check;
use crate::report::visible::{closed, sentence, visible};
use crate::text::Span;

use super::document::Document;

/// The code of a check that doesn't hold or can't be told.
const EXPECT: &str = "expect";

/// All that is to be marked, in the order of the text.
pub(super) fn diagnostics(document: &Document, address: &Uri) -> Vec<Diagnostic> {
    let problems = document.session.found();
    let mut found: Vec<Diagnostic> = problems
        .iter()
        .map(|problem| of_problem(document, address, problem))
        .collect();
    let unmet = document.session.unmet();
    found.extend(unmet.iter().map(|(check, span)| of_check(document, check, *span)));
    found.sort_by_key(|one| (one.range.start.line, one.range.start.character));
    found
}

/// One problem as it is marked.
pub(super) fn of_problem(document: &Document, address: &Uri, problem: &Problem) -> Diagnostic {
    let severity = match problem.severity {
        Severity::Problem => DiagnosticSeverity::ERROR,
        Severity::Lint => DiagnosticSeverity::WARNING,
    };
    let related = problem.labels.iter().map(|label| DiagnosticRelatedInformation {
        location: Location::new(address.clone(), range_of(document, label.place)),
        message: visible(&label.text).into_owned(),
    });
    let related: Vec<DiagnosticRelatedInformation> = related.collect();
    diagnostic(
        range_of(document, problem.place),
        severity,
        problem.code.word(),
        told(problem),
        related,
    )
}

/// The message in whole sentences, with what would mend it.
fn told(problem: &Problem) -> String {
    let message = visible(&problem.message);
    let mut text = match &problem.file {
        Some(place) => {
            let (file, column) = (visible(&place.file), visible(&place.column));
            closed(&format!("{file}, row {}, column {column}: {message}", place.row))
        }
        None => sentence(&message),
    };
    if let Some(help) = &problem.help {
        text.push_str(&format!("\nTry: {}", closed(&visible(help))));
    }
    text
}

fn of_check(document: &Document, check: &Check, span: Span) -> Diagnostic {
    let severity = match check.holds {
        Some(false) => DiagnosticSeverity::WARNING,
        _ => DiagnosticSeverity::INFORMATION,
    };
    let case = document.session.sheet().case();
    let case = case.map(|case| format!(" in the case `{}`", visible(&case.name)));
    let mut text = format!(
        "`{}` {}{}",
        visible(&check.text),
        check.verdict(),
        case.unwrap_or_default()
    );
    if let Some(message) = &check.message {
        text.push_str(&format!(": {}", visible(message)));
    }
    let mut text = closed(&text);
    if let Some(remark) = &check.remark {
        text.push_str(&format!(" {}", sentence(&visible(remark))));
    }
    diagnostic(document.range(span), severity, EXPECT, text, Vec::new())
}

fn diagnostic(
    range: Range,
    severity: DiagnosticSeverity,
    code: &str,
    message: String,
    related: Vec<DiagnosticRelatedInformation>,
) -> Diagnostic {
    Diagnostic {
        range,
        severity: Some(severity),
        code: Some(NumberOrString::String(code.to_owned())),
        source: Some("tarebook".to_owned()),
        message,
        related_information: Some(related).filter(|related| !related.is_empty()),
        ..Diagnostic::default()
    }
}

/// The bytes of a place, at least one letter where there is one.
pub(super) fn span_of(document: &Document, place: Place) -> Span {
    let tree = document.session.sheet().tree();
    let span = place.span.shifted(tree.start_of(place.item));
    if !span.is_empty() {
        return span;
    }
    let next = tree
        .text
        .get(span.start as usize..)
        .and_then(|rest| rest.chars().next());
    let width = next.filter(|c| !matches!(c, '\n' | '\r')).map_or(0, char::len_utf8);
    Span::new(span.start as usize, span.start as usize + width)
}

fn range_of(document: &Document, place: Place) -> Range {
    document.range(span_of(document, place))
}
