//! The walks through in the README, run as written.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::Path;
use std::process::Command;

const HEADING: &str = "## At the yard and at the saw";

/// The section under a heading.
fn section(heading: &str) -> String {
    let readme = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    let section = readme.split(heading).nth(1).expect("the section is there");
    section.split("\n## ").next().unwrap().to_owned()
}

/// The shell blocks under the heading, in order.
fn blocks() -> Vec<String> {
    let section = section(HEADING);
    section.split("```sh\n").skip(1).map(|rest| rest.split("```").next().unwrap().to_owned()).collect()
}

/// Runs a block as a shell does, the program on its path.
fn run(block: &str, home: &Path) -> String {
    let binary = Path::new(env!("CARGO_BIN_EXE_slatwright")).parent().unwrap();
    let path = format!("{}:{}", binary.display(), std::env::var("PATH").unwrap_or_default());
    let output = Command::new("sh").args(["-e", "-c", block]).current_dir(home).env("PATH", &path).output().unwrap();
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{block}\n{error}");
    String::from_utf8(output.stdout).unwrap()
}

/// Runs the blocks of a section one after the other in `home`; each says what stands below it, line by line in that
/// order. Returns how many lines were compared.
fn says_what_is_shown(heading: &str, home: &Path) -> usize {
    let section = section(heading);
    let mut shown = 0;
    for rest in section.split("```sh\n").skip(1) {
        let (block, rest) = rest.split_once("```").unwrap();
        let said = run(block, home);
        let mut lines = said.lines();
        let expected = rest.split_once("```out\n").and_then(|(_, rest)| rest.split_once("```"));
        for line in expected.map_or("", |(lines, _)| lines).lines().filter(|line| *line != "...") {
            assert!(lines.any(|known| known == line), "{line}\n{said}");
            shown += 1;
        }
    }
    shown
}

#[test]
#[cfg(unix)]
fn the_first_cabinet_is_built_as_written() {
    let home = tempfile::tempdir().unwrap();
    let shown = says_what_is_shown("## Your first cabinet", home.path());
    assert!(shown > 15, "{shown}");
    assert!(home.path().join("first/out/job.html").exists());
}

#[test]
#[cfg(unix)]
fn the_examples_on_boards_say_what_is_shown() {
    let home = tempfile::tempdir().unwrap();
    let shown = says_what_is_shown("## Boards as they are", home.path());
    assert!(shown > 5, "{shown}");
}

/// A scratch folder with the example jobs in it.
fn with_jobs() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir(home.path().join("jobs")).unwrap();
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs")).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, home.path().join("jobs").join(path.file_name().unwrap())).unwrap();
    }
    home
}

#[test]
#[cfg(unix)]
fn the_cases_cost_what_is_shown() {
    let home = with_jobs();
    let shown = says_what_is_shown("## The case around the door", home.path());
    assert!(shown > 10, "{shown}");
    assert!(home.path().join("out/pages/panels.html").exists());
}

#[test]
#[cfg(unix)]
fn the_walk_through_runs_as_written() {
    let home = with_jobs();
    let said: Vec<String> = blocks().iter().map(|block| run(block, home.path())).collect();
    let has = |block: usize, words: &str| assert!(said[block].contains(words), "{words}:\n{}", said[block]);
    let blocks =
        "plan, yard, pile, plan for what was bought, a count in lines, saw, second cut, rack, history, two jobs";
    assert_eq!(said.len(), 10, "{blocks}");
    has(0, "Written to out");
    has(1, ": in hand, price");
    has(1, "Short: ");
    has(2, "boards that lie there");
    has(2, "written to bought.csv");
    has(3, "paid for with USD");
    has(4, "Boards done: 3 of");
    has(5, "Not enough");
    has(5, "written to again");
    has(6, "Enough");
    has(7, "Nothing is written yet");
    has(7, "Written to mine/harbour_boards.csv");
    has(8, "harbour archive");
    has(9, "annex,boards,");
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
