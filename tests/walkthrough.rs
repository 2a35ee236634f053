//! The walk through in the README, run as written.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::Path;
use std::process::Command;

const HEADING: &str = "## At the yard and at the saw";

/// The shell blocks under the heading, in order.
fn blocks() -> Vec<String> {
    let readme = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    let section = readme.split(HEADING).nth(1).expect("the section is there");
    let section = section.split("\n## ").next().unwrap();
    section.split("```sh\n").skip(1).map(|rest| rest.split("```").next().unwrap().to_owned()).collect()
}

#[test]
#[cfg(unix)]
fn the_walk_through_runs_as_written() {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir(home.path().join("jobs")).unwrap();
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs")).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, home.path().join("jobs").join(path.file_name().unwrap())).unwrap();
    }
    let binary = Path::new(env!("CARGO_BIN_EXE_slatwright")).parent().unwrap();
    let path = format!("{}:{}", binary.display(), std::env::var("PATH").unwrap_or_default());
    let mut said = Vec::new();
    for block in blocks() {
        let mut shell = Command::new("sh");
        let output = shell.args(["-e", "-c", &block]).current_dir(home.path()).env("PATH", &path).output().unwrap();
        let error = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{block}\n{error}");
        said.push(String::from_utf8(output.stdout).unwrap());
    }
    let has = |block: usize, words: &str| assert!(said[block].contains(words), "{words}:\n{}", said[block]);
    assert_eq!(said.len(), 7, "plan, yard, saw, second cut, rack, history, two jobs");
    has(0, "Written to out");
    has(1, ": in hand, price");
    has(1, "Short: ");
    has(2, "Not enough");
    has(2, "written to again");
    has(3, "Enough");
    has(4, "Nothing is written yet");
    has(4, "Written to mine/harbour_boards.csv");
    has(5, "harbour archive");
    has(6, "annex,boards,");
    assert!(home.path().join("mine/harbour_boards.csv.bak").exists());

    // The split adds up to the bill of the trip.
    let cents = |text: &str| (text.parse::<f64>().unwrap() * 100.0).round() as i64;
    let sum = |file: &str, column: &str| -> i64 {
        let mut reader = csv::Reader::from_path(home.path().join(file)).unwrap();
        let rows = reader.deserialize::<std::collections::BTreeMap<String, String>>();
        rows.map(|row| cents(&row.unwrap()[column])).sum()
    };
    assert_eq!(sum("both/jobs.csv", "together"), sum("both/costs.csv", "cost"));
    assert!(sum("both/jobs.csv", "saved") >= 0);
}
