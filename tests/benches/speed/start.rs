//! The program from start to finish, as a person runs it.

use std::process::{Command, Stdio};

use crate::Extent;
use crate::clock::{Bounds, median};

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let repeats = if extent == Extent::Full { 51 } else { 1 };
    let notebook = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/winter-outage.tare");
    if !std::path::Path::new(notebook).exists() {
        println!("  no notebook to show");
        return;
    }
    let show = median(repeats, || tarebook(&["show", notebook]));
    bounds.hold_millis("`tarebook show` of the built-in worksheet, start to finish", show, 10.0);
    let version = median(repeats, || tarebook(&["--version"]));
    bounds.hold_millis("`tarebook --version`, start to finish", version, 10.0);
}

fn tarebook(arguments: &[&str]) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
    let status = command
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    assert!(status.unwrap().code().is_some_and(|code| code < 2));
}
