//! Reference pages: that each exists, keeps to its width, and what users see.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use proptest::prelude::{prop_assert, proptest};
use tarebook::problem::Code;
use tarebook::report::Style;
use tarebook::report::language::TERMS;
use tarebook::report::pages::{
    VerbHelp, function_page, functions_between, functions_matching, functions_page, help_overview, help_page,
    units_page,
};
use tarebook::report::style::Letters;
use tarebook::report::visible::columns;
use tarebook::sheet::Sheet;
use tarebook::trade::registry::{function, functions};
use tarebook::trade::rivals::RIVALS;
use tarebook::unit::Unit;
use tarebook::unit::symbol::symbols;

const NARROW: Style = Style {
    colour: false,
    width: 60,
    letters: Letters::Drawn,
};
const WIDE: Style = Style {
    colour: false,
    width: 100,
    letters: Letters::Drawn,
};

const VERBS: &[VerbHelp] = &[
    VerbHelp {
        name: "show",
        usage: "show FILE [--case C] [--set NAME=VALUE]...",
        summary: "prints the worksheet with its results",
        detail: "Answers come first, then the checks, then the sections.\n\n    tarebook show ridge.tare --case deep_cold",
    },
    VerbHelp {
        name: "plot",
        usage: "plot COLUMN over COLUMN [\"TITLE\"]",
        summary: "draws one column over another",
        detail: "",
    },
];

fn unit(text: &str) -> Unit {
    Unit::parse(text).expect("a unit")
}

fn help(word: &str) -> Result<String, String> {
    help_page(word, VERBS, NARROW)
}

/// Every line that is no sample keeps to the width.
fn check_width(page: &str, style: Style, what: &str) {
    for line in page.lines() {
        let sample = line.starts_with("    ");
        assert!(sample || columns(line) <= style.width, "{what}: `{line}` is too wide");
        assert!(!line.ends_with(' '), "{what}: `{line}` ends with a space");
    }
    assert!(!page.contains("\n\n\n"), "{what} has two empty lines together");
    assert!(page.ends_with('\n') && !page.ends_with("\n\n"), "{what} ends badly");
}

#[test]
fn every_page_keeps_to_its_width() {
    for style in [NARROW, WIDE] {
        for function in functions() {
            check_width(&function_page(function, style), style, function.name);
        }
        for symbol in symbols() {
            let page = units_page(Some(symbol.shown()), style).unwrap();
            check_width(&page, style, symbol.shown());
        }
        for code in Code::ALL {
            check_width(&help_page(code.word(), VERBS, style).unwrap(), style, code.word());
        }
        check_width(&functions_page(style), style, "functions");
        check_width(&units_page(None, style).unwrap(), style, "units");
        check_width(&help_overview(VERBS, style), style, "help");
    }
}

#[test]
fn every_word_has_its_page() {
    for word in TERMS.iter().flat_map(|term| &term.words) {
        assert!(help(word).is_ok(), "no help for {word}");
    }
    for verb in VERBS {
        assert!(help(verb.name).unwrap().contains(verb.usage), "{}", verb.name);
    }
    for function in functions() {
        let page = help(function.name).unwrap();
        let signature = format!("{}(", function.name);
        assert!(page.contains(&signature), "{}", function.name);
    }
}

/// What stands behind a printed `k=2`: JCGM 100, 6.2 and G.6.4 (published).
#[test]
fn the_uncertainty_of_a_result_is_told() {
    for word in ["k", "k=2", "K=2", "df", "coverage", "95.45"] {
        let page = help(word).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
        for told in [
            "expanded uncertainty",
            "19 times in 20",
            "about 95 %",
            "95.45 %",
            "larger where there are few",
        ] {
            assert!(page.contains(told), "{word}: {told}");
        }
    }
    assert!(help("±").unwrap().contains("19 times in 20"));
}

#[test]
fn words_lead_to_one_term_each() {
    let mut words: Vec<&str> = TERMS.iter().flat_map(|term| term.words.iter().copied()).collect();
    let count = words.len();
    words.sort_unstable();
    words.dedup();
    assert_eq!(words.len(), count, "a word leads to two terms");
}

#[test]
fn examples_of_the_language_run() {
    for term in TERMS.iter() {
        let sheet = Sheet::load(term.example.to_owned(), None);
        let problems: Vec<String> = sheet.problems().iter().map(|problem| problem.message.clone()).collect();
        assert_eq!(problems, [""; 0], "{}", term.words[0]);
    }
}

#[test]
fn every_caution_has_a_page() {
    for caution in tarebook::trade::caution::CAUTIONS {
        let page = help_page(caution.code, &[], NARROW).unwrap();
        let told: String = page.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(caution.code) && told.contains("Local code"), "{page}");
    }
}

/// What stands in parentheses behind a value is found as it is read there.
#[test]
fn every_mark_has_a_page() {
    for word in ["could be", "bends", "by draws", "uneven"] {
        let page = help(word).unwrap();
        assert!(
            page.contains("parentheses behind a value") && page.contains(&format!("`{word}")),
            "{word}: {page}"
        );
    }
    // so is the caution of weighings that is called like one of them
    assert!(help("bends").unwrap().contains("doesn't fall along a straight line"));
}

#[test]
fn rivals_are_functions() {
    for rivals in &RIVALS {
        for name in rivals.functions {
            assert!(function(name).is_some(), "{name} is no function");
        }
    }
}

/// What an unknown word is told.
fn check_unknown(word: &str, said: &str) {
    assert_eq!(help(word), Err(said.to_owned()), "{word}");
}

#[test]
fn unknown_words_get_the_nearest() {
    check_unknown("mesured", "nothing is known of `mesured`; the nearest is `measured`");
    check_unknown(
        "unit-clsh",
        "nothing is known of `unit-clsh`; the nearest is `unit-clash`",
    );
    check_unknown("burnrate", "nothing is known of `burnrate`; the nearest is `burn_rate`");
    check_unknown(
        "zzzzzz",
        "nothing is known of `zzzzzz`; `help` alone lists what there is",
    );
    check_unknown(
        "\u{1b}[31m",
        "nothing is known of `␛[31m`; `help` alone lists what there is",
    );
    assert_eq!(
        units_page(Some("pounds-force"), NARROW),
        Err("there is no unit `pounds-force`; `units` alone lists them all".to_owned())
    );
    assert_eq!(
        functions_matching("icing_margn", NARROW),
        Err("no function speaks of `icing_margn`; the nearest is `icing_margin`".to_owned())
    );
}

#[test]
fn capitals_and_parentheses_are_forgiven() {
    assert_eq!(help("Measured"), help("measured"));
    assert_eq!(help("net_contents()"), help("net_contents"));
    assert_eq!(help(" "), Ok(help_overview(VERBS, NARROW)));
}

#[test]
fn page_of_a_function_with_a_rule_of_thumb() {
    insta::assert_snapshot!(function_page(function("vaporization_capacity").unwrap(), NARROW));
}

#[test]
fn page_of_a_function_with_words() {
    insta::assert_snapshot!(function_page(function("heat_input").unwrap(), NARROW));
}

#[test]
fn page_of_a_function_of_columns() {
    insta::assert_snapshot!(function_page(function("burn_rate").unwrap(), WIDE));
}

#[test]
fn functions_by_chapter() {
    insta::assert_snapshot!(functions_page(NARROW));
}

#[test]
fn functions_by_word_and_by_units() {
    let word = functions_matching("icing", NARROW).unwrap();
    let units = functions_between(unit("lb/h"), unit("BTU/h"), NARROW);
    let same = functions_between(unit("lb"), unit("kg"), NARROW);
    let none = functions_between(unit("dB"), unit("$"), NARROW);
    insta::assert_snapshot!([word, units, same, none].join("--------\n"));
}

#[test]
fn units_by_what_they_measure() {
    insta::assert_snapshot!(units_page(None, NARROW).unwrap());
}

#[test]
fn pages_of_units() {
    let pages =
        ["lb", "°F", "psi", "pressure", "$", "BTU/h", "EUR"].map(|word| units_page(Some(word), NARROW).unwrap());
    insta::assert_snapshot!(pages.join("--------\n"));
}

#[test]
fn help_for_words_of_every_sort() {
    let words = ["±", "plot", "unit-clash", "min", "case", "show", "frost"];
    insta::assert_snapshot!(words.map(|word| help(word).unwrap()).join("--------\n"));
}

#[test]
fn help_alone() {
    insta::assert_snapshot!(help_overview(VERBS, NARROW));
}

proptest! {
    #[test]
    fn any_word_gets_a_page_or_one_line(word in "\\PC{0,20}|[a-z_/·$±\\x00-\\x1f]{0,12}") {
        match help(&word) {
            Ok(page) => check_width(&page, NARROW, &word),
            Err(line) => prop_assert!(!line.contains('\n')),
        }
    }
}

#[test]
fn a_function_asked_for_by_name_shows_its_page() {
    let style = Style {
        colour: false,
        width: 60,
        ..Style::default()
    };
    let page = tarebook::report::pages::functions_matching("icing_margin", style).unwrap();
    assert!(page.contains("icing_margin(supply [BTU/h], demand [BTU/h])"), "{page}");
    assert!(page.contains("Rule"), "{page}");
}

#[test]
fn common_words_lead_to_what_has_a_page() {
    let verbs = tarebook::session::verbs::every_help();
    for synonym in tarebook::report::pages::SYNONYMS.iter() {
        for target in &synonym.targets {
            let page = help_page(target, &verbs, NARROW);
            assert!(page.is_ok(), "{target}: {page:?}");
        }
        for word in &synonym.words {
            let page = help_page(word, &verbs, NARROW).unwrap();
            check_width(&page, NARROW, word);
            let first = synonym.targets.first().unwrap();
            assert!(page.contains(first) || page.starts_with(word), "{word}: {page}");
        }
    }
    let check = |word: &str, wanted: &[&str]| {
        let page = help_page(word, &verbs, NARROW).unwrap();
        for one in wanted {
            assert!(page.contains(one), "{word} doesn't lead to {one}: {page}");
        }
        assert!(!page.contains("psi"), "{word}: {page}");
    };
    check("sure", &["doubt", "±"]);
    check("how  long", &["draw_down_time", "burn_rate"]);
    check("runtime", &["usable_contents"]);
    check("refill", &["fill_limit"]);
    check("cost", &["money"]);
    check("noise", &["sound_sum"]);
    check("cord", &["voltage_drop"]);
    check("start", &["starting_peak"]);
    check("hint", &["expect"]);
    check("exercise", &["a value not yet known"]);
    check("else", &["if condition then"]);
    check("coverage", &["how often"]);
    check("95", &["how often"]);
    let noise = functions_matching("noise", NARROW).unwrap();
    assert!(!noise.contains("service_date") && noise.contains("sound_at"), "{noise}");
    assert!(functions_matching("runtime", NARROW).unwrap().contains("burn_rate"));
    assert!(units_page(Some("sure"), NARROW).is_err());
    assert!(units_page(Some("pascal"), NARROW).unwrap().contains("Pa"));
}
