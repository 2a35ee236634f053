//! The README shows what the program prints today, and opens with the job.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use assert_cmd::Command;
use slatwright::report::cautions::{CAUTIONS, DEFERENCE};

fn readme() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap()
}

fn printed(command: &str) -> String {
    let output = Command::cargo_bin("slatwright")
        .unwrap()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(command.split(' '))
        .arg("jobs/harbour_archive.toml")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

/// The lines of blocks fenced as `text`.
fn shown(readme: &str) -> Vec<&str> {
    let mut inside = false;
    let mut lines = Vec::new();
    for line in readme.lines() {
        match (inside, line) {
            (false, "```text") => inside = true,
            (true, "```") => inside = false,
            (true, line) if !line.trim().is_empty() && line != "..." => lines.push(line),
            _ => {}
        }
    }
    lines
}

#[test]
fn every_line_shown_is_printed_by_a_command() {
    let outputs: Vec<String> = ["check --all", "buy", "buy --worth", "rip", "quote"].map(printed).to_vec();
    let lines: BTreeSet<&str> = outputs.iter().flat_map(|output| output.lines()).collect();
    let readme = readme();
    let shown = shown(&readme);
    assert!(shown.len() > 30, "the README shows output");
    let stale: Vec<_> = shown.iter().filter(|line| !lines.contains(**line)).collect();
    assert!(stale.is_empty(), "not printed any more:\n{stale:#?}");
}

#[test]
fn the_cautions_stand_in_the_readme() {
    let text = readme().split_whitespace().collect::<Vec<_>>().join(" ");
    for caution in CAUTIONS.iter().chain([&DEFERENCE]) {
        assert!(text.contains(caution), "{caution}");
    }
}

#[test]
fn the_first_paragraph_states_the_job_and_the_two_commands_follow() {
    let readme = readme();
    let mut paragraphs = readme.split("\n\n");
    assert_eq!(paragraphs.next(), Some("# slatwright"));
    let first = paragraphs.next().unwrap();
    for word in ["cabinetmaker", "tambour", "turns its corner", "stows", "quoting", "rip list", "hanging", "bound"] {
        assert!(first.contains(word), "{word}");
    }
    assert!(readme.contains("cargo run --release -- plan jobs/harbour_archive.toml --out out\ncargo test\n"));
}
