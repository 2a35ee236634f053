//! The printed sheets in a real browser: `.ci/run` installs Chromium and the markup checker and runs this.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::{Path, PathBuf};
use std::process::Command;

use assert_cmd::Command as Slatwright;

fn home() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn planned(job: &str, into: &Path) {
    let output = Slatwright::cargo_bin("slatwright")
        .unwrap()
        .current_dir(home())
        .args(["plan", job, "--out", into.to_str().unwrap()])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
#[ignore = "needs Chromium, node and two npm packages: .ci/run installs them and runs this"]
fn every_page_opens_prints_and_validates_in_a_real_browser() {
    let out = tempfile::tempdir().unwrap();
    // How many pages of letter or A4 paper each may take, its tags not counted.
    let jobs = [("jobs/harbour_archive.toml", 22), ("jobs/small_press.toml", 11), ("tests/pages/odd/job.toml", 16)];
    let folders: Vec<PathBuf> =
        jobs.iter().enumerate().map(|(at, (_, most))| out.path().join(format!("most-{most}-{at}"))).collect();
    for ((job, _), folder) in jobs.iter().zip(&folders) {
        planned(job, folder);
    }
    let check = Command::new("node").arg("check.mjs").args(&folders).current_dir(home().join("tests/pages")).output();
    let check = check.expect("node starts: `npm install` in tests/pages first");
    let said = String::from_utf8_lossy(&check.stdout).into_owned() + &String::from_utf8_lossy(&check.stderr);
    assert!(check.status.success(), "{said}");
}
