//! Handouts: how long they take, and how large they come out.

use tarebook::report::compose::Options;
use tarebook::report::handout::{self, Form};
use tarebook::report::style::Style;
use tarebook::report::whole;
use tarebook::session::Session;

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::household;

const BUILT_IN: &str = include_str!("../../../notebooks/winter-outage.tare");
const BUILT_IN_FILES: &[(&str, &str)] = &[(
    "winter-outage.csv",
    include_str!("../../../notebooks/winter-outage.csv"),
)];

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (lines, repeats) = match extent {
        Extent::Full => (2_000, 21),
        Extent::Glance => (200, 1),
    };
    let options = Options::default();
    let mut session = Session::of_text("winter-outage.tare", BUILT_IN.to_owned(), BUILT_IN_FILES, options);
    let text = Measure {
        what: "its report as text",
        time: median(repeats, || whole::text(&session.report(), Style::default())),
    };
    for (what, form) in [("full", Form::Full), ("blank", Form::Pupil)] {
        let time = median(repeats, || handout::write(&session.handout(form)));
        bounds.hold_to(&format!("the built-in worksheet, {what}"), time, text, 4.0);
        let size = handout::write(&session.handout(form)).len();
        bounds.hold("  its size", size as f64 / 1e3, "kB", 200.0);
    }
    let mut session = Session::of_text("household.tare", household(lines), &[], options);
    let text = Measure {
        time: median(repeats.min(5), || whole::text(&session.report(), Style::default())),
        ..text
    };
    let time = median(repeats.min(5), || handout::write(&session.handout(Form::Pupil)));
    bounds.hold_to("a household's 2 000 lines, blank", time, text, 4.0);
    let size = handout::write(&session.handout(Form::Pupil)).len();
    bounds.tell("  its size", size as f64 / 1e3, "kB");
}
