//! The grammar of one entry: the only file that names `pest`.
//!
//! Texts become tokens by `grammar/worksheet.pest`, or the place where that fails and what
//! could have stood there. Start reading at [`tokens`].

use crate::text::Span;

pub(super) use generated::Rule;

mod generated {
    //! What the grammar file generates.
    #![allow(missing_docs)]

    #[derive(pest_derive::Parser)]
    #[grammar = "../grammar/worksheet.pest"]
    pub(in crate::syntax) struct Worksheet;
}

/// A token of the grammar, with the tokens inside it.
pub(super) type Token<'a> = pest::iterators::Pair<'a, Rule>;

/// Tokens in a row.
pub(super) type Tokens<'a> = pest::iterators::Pairs<'a, Rule>;

/// Where and why the grammar could not go on.
pub(super) struct Failure {
    /// The byte of the text where it stopped.
    pub(super) at: usize,
    /// What could have stood there; empty where the nesting was too deep.
    pub(super) expected: Vec<Rule>,
}

/// The innermost tokens of `rule` in their order; `None` where it doesn't fit the text.
pub(super) fn leaves(rule: Rule, text: &str) -> Option<Vec<(Rule, Span)>> {
    let all = tokens(rule, text).ok()?.flatten();
    let innermost = all.filter(|token| token.clone().into_inner().next().is_none());
    let placed = innermost.map(|token| {
        let span = token.as_span();
        (token.as_rule(), Span::new(span.start(), span.end()))
    });
    Some(placed.collect())
}

/// The tokens inside `rule`, which must fit the whole of `text`.
pub(super) fn tokens(rule: Rule, text: &str) -> Result<Tokens<'_>, Failure> {
    use pest::Parser as _;
    use pest::error::{ErrorVariant, InputLocation};

    match generated::Worksheet::parse(rule, text) {
        Ok(mut whole) => Ok(whole.next().map(Token::into_inner).unwrap_or(whole)),
        Err(error) => Err(Failure {
            at: match error.location {
                InputLocation::Pos(at) | InputLocation::Span((at, _)) => at,
            },
            expected: match error.variant {
                ErrorVariant::ParsingError { positives, .. } => positives,
                ErrorVariant::CustomError { .. } => Vec::new(),
            },
        }),
    }
}
