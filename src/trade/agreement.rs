//! How sure results are together: what they are at least, and whether repeated ones agree.
//!
//! These are told uncertainties by whoever works them out, or are worked out with the
//! lines through readings, as a line with one unknown. Start reading at [`FUNCTIONS`].

use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use crate::number::Real;

use super::declare::{PLAIN, binary, computed, example, published, remembered, rule, shown};
use super::{
    Arguments, Body, Chapter, Complaint, Fact, Fit, Function, Outcome, Parameter, ParameterKind, Reason, ResultKind,
    Shape, Source, Told,
};

/// How often chance alone parts results with these values, variances and degrees of freedom
/// as far as they are parted: B. L. Welch's F. `None` for fewer than two that have any.
pub fn disagree(results: &[(f64, f64, f64)]) -> Option<f64> {
    let told: Vec<&(f64, f64, f64)> = results.iter().filter(|one| one.1 > 0.0 && one.2 >= 2.0).collect();
    let count = told.len() as f64;
    if count < 2.0 {
        return None;
    }
    let all: f64 = told.iter().map(|one| 1.0 / one.1).sum();
    let mean = told.iter().map(|one| one.0 / one.1).sum::<f64>() / all;
    let apart = told.iter().map(|one| (one.0 - mean).powi(2) / one.1).sum::<f64>() / (count - 1.0);
    let unsure: f64 = told.iter().map(|one| (1.0 - 1.0 / (one.1 * all)).powi(2) / one.2).sum();
    let found = apart / (1.0 + 2.0 * (count - 2.0) / (count * count - 1.0) * unsure);
    // with more degrees of freedom it is the same to all digits
    let freedom = ((count * count - 1.0) / (3.0 * unsure)).min(1e6);
    FisherSnedecor::new(count - 1.0, freedom)
        .ok()
        .map(|spread| spread.sf(found))
}

/// How far two values differ, against what their difference may be out.
fn normalized_error<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let gap = a.number(0)?.minus(a.number(1)?)?.to_binary().abs();
    if a.expanded.is_empty() {
        return Err(needs_tolerances(
            "normalized_error is judged by the tolerances of both values",
        ));
    }
    let doubt = a.expanded(0);
    if doubt <= 0.0 {
        return Err(Complaint::outside(
            0,
            "no tolerance is left to judge the difference by: neither value has one that the other doesn't share",
        )
        .help("compare values that were found apart, and give `a` or `b` a tolerance, such as ± 0.2 lb"));
    }
    binary(gap / doubt)
}

fn needs_tolerances(message: &str) -> Complaint {
    Complaint::whole(Reason::NeedsTolerances(message.to_owned()))
}

fn at_least<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    bound(a, 0, "there is no lower limit to this")
}

fn at_most<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    bound(a, 1, "there is no upper limit to this")
}

/// One of the one-sided bounds that it is told.
fn bound<R: Real>(a: &Arguments<'_, R>, side: usize, untold: &str) -> Outcome<R> {
    let sure = a.number(1)?.to_binary();
    if !(50.0..100.0).contains(&sure) {
        let message = format!("`sure` is from 50 % to less than 100 %, and is {} %", shown(sure));
        return Err(Complaint::outside(1, message).help("write `95 %`, for one that fails once in twenty times"));
    }
    if a.expanded.is_empty() {
        return Err(needs_tolerances("a bound rests on the tolerances of its value"));
    }
    let bound = a.expanded(side);
    if bound.is_nan() {
        return Err(Complaint::outside(
            0,
            "only draws tell how sure this is, so it has no bound on a straight line",
        )
        .help("`doubt` draws it"));
    }
    if bound.is_infinite() {
        return Err(Complaint::outside(0, untold).help("weigh over a longer time, or more often"));
    }
    binary(bound)
}

const SURE: Parameter = Parameter::quantity("sure", "%", "how often it is to hold").usually(80.0, 99.0);
const VALUE: Parameter = Parameter::new(
    "value",
    ParameterKind::Anything,
    Shape::Single,
    "the value, with its tolerance",
);

const BOUND_SOURCES: [Source; 1] = [published(
    "JCGM 100, G.3: Student's t for the degrees of freedom, one-sided; E. C. Fieller (1954) for `reaches` where its rate is known worse than to 30 %",
)];

/// The function of a one-sided bound.
const fn bound_function(name: &'static str, summary: &'static str) -> Function {
    Function {
        name,
        chapter: Chapter::General,
        summary,
        parameters: &[VALUE, SURE],
        result: ResultKind::LikeFirst,
        sources: &BOUND_SOURCES,
        range: "a value, or each row of a column; from 50 % to less than 100 %",
        notes: "A bound is exact: it has no ± of its own. Of a value from a table that a function made only draws tell.",
        example_table: "measured left = 8.0 h ± 0.5 h sd\n",
        jumps: true,
        told: Told::Bounds,
        ..PLAIN
    }
}

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 4] = [
    Function {
        name: "normalized_error",
        once: "agreement",
        tells: &[Fact::SmallWhereAlike],
        chapter: Chapter::Burn,
        summary: "difference of two values over its expanded uncertainty: up to 1 they agree",
        parameters: &[
            Parameter::new(
                "a",
                ParameterKind::AnyQuantity,
                Shape::Single,
                "the one value, with its tolerance",
            ),
            Parameter::new(
                "b",
                ParameterKind::LikeFirst,
                Shape::Single,
                "the other value, with its tolerance",
            ),
        ],
        result: ResultKind::Quantity(""),
        formula: "|a − b|/U, U the expanded uncertainty of a − b",
        sources: &[
            remembered("ISO 13528"),
            published("JCGM 100: Student's k for the degrees of freedom of a − b; what both share cancels"),
        ],
        range: "at least one of the two has a tolerance that the other doesn't share",
        notes: "U counts what the two rest on in common only as far as it moves their difference.",
        examples: &[example("normalized_error(first, second)", "0.7071")],
        example_table: "measured first = 3.0 lb ± 0.1 lb k=2\nmeasured second = 3.1 lb ± 0.1 lb k=2\n",
        body: rule!(normalized_error),
        told: Told::OfDifference,
        ..PLAIN
    },
    Function {
        name: "average",
        chapter: Chapter::Burn,
        summary: "mean of results that should agree, by how far they spread",
        parameters: &[Parameter::new(
            "results",
            ParameterKind::LikeFirst,
            Shape::Several,
            "a column of results, or several of one kind",
        )],
        result: ResultKind::LikeFirst,
        formula: "Σx/N, with u² = what they share + the larger of what each has by itself and s²/N",
        sources: &[
            published("JCGM 100, 4.2: s/√N, Student's t with N − 1 degrees of freedom"),
            published("B. L. Welch, Biometrika 38 (1951) 330: whether the runs agree"),
            computed("what several of them share is no spread"),
        ],
        range: "two results or more",
        notes: "`mean` takes its values for what they are said to be; `average` asks them. Results that are known better than they agree raise `runs-disagree`, and two alone `two-runs`.",
        examples: &[example("average(first, second, third)", "2.2 lb/h")],
        example_table: "measured first = 2.2 lb/h ± 0.1 lb/h\nmeasured second = 2.3 lb/h ± 0.1 lb/h\nmeasured third = 2.1 lb/h ± 0.1 lb/h\n",
        body: Body::Fit(Fit::Average),
        ..PLAIN
    },
    Function {
        formula: "value − t·u",
        examples: &[example("at_least(left, 95 %)", "7.178 h")],
        body: rule!(at_least),
        tells: &[Fact::LowerBound],
        ..bound_function("at_least", "what a value is at least, as often as is wanted")
    },
    Function {
        formula: "value + t·u",
        examples: &[example("at_most(left, 95 %)", "8.822 h")],
        body: rule!(at_most),
        tells: &[Fact::UpperBound],
        ..bound_function("at_most", "what a value is at most, as often as is wanted")
    },
];
