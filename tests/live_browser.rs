//! The live page in a real browser: `.ci/run` installs Chromium and node's packages and runs this.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "`--nocapture` shows how fast the page was")]

use std::path::PathBuf;
use std::process::Command;

fn driven(script: &str) {
    let home = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let run = Command::new("node")
        .arg(home.join("tests/live").join(script))
        .args([env!("CARGO_BIN_EXE_slatwright").into(), home.join("jobs")])
        .output()
        .expect("node starts: `npm install` in tests/pages first");
    let said = String::from_utf8_lossy(&run.stdout).into_owned() + &String::from_utf8_lossy(&run.stderr);
    print!("{said}");
    assert!(run.status.success(), "{said}");
}

#[test]
#[ignore = "needs Chromium, node and npm packages: .ci/run installs them and runs this"]
fn from_nothing_to_a_frozen_quote_and_printed_sheets() {
    driven("walk.mjs");
}

#[test]
#[ignore = "needs Chromium, node and npm packages: .ci/run installs them and runs this"]
fn a_door_is_drawn_as_it_is_changed_and_has_its_price() {
    driven("door.mjs");
}

#[test]
#[ignore = "needs Chromium, node and npm packages: .ci/run installs them and runs this"]
fn boards_are_judged_at_the_yard() {
    driven("yard.mjs");
}

#[test]
#[ignore = "needs Chromium, node and npm packages: .ci/run installs them and runs this"]
fn a_device_of_the_network_is_let_in() {
    driven("network.mjs");
}

#[test]
#[ignore = "needs Chromium, node and npm packages: .ci/run installs them and runs this"]
fn a_board_is_counted_at_the_saw() {
    driven("saw.mjs");
}
