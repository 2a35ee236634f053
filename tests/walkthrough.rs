//! The README's first cabinet and every walk of `examples/`, run as written.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![cfg(unix)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Printed between two blocks, so that each output can be told from the next.
const BETWEEN: &str = "-- next block --";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A shell block and the lines that are shown below it.
struct Block {
    commands: String,
    shown: Vec<String>,
}

/// The blocks of a page in order. `...` stands for lines left out.
fn blocks(page: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    for rest in page.split("```sh\n").skip(1) {
        let (commands, after) = rest.split_once("```").unwrap();
        let shown = after.trim_start().strip_prefix("```out\n").and_then(|rest| rest.split_once("```"));
        let shown = shown.map_or("", |(lines, _)| lines).lines().filter(|line| *line != "...");
        blocks.push(Block { commands: commands.to_owned(), shown: shown.map(str::to_owned).collect() });
    }
    blocks
}

/// Copies a folder with all that is in it.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, target).unwrap();
        }
    }
}

/// A page followed to its end in one shell, the program on its path, in a copy of the project's jobs and walks. Each
/// block must print what stands below it, line by line in that order.
struct Followed {
    home: tempfile::TempDir,
    said: Vec<String>,
    lines_compared: usize,
}

impl Followed {
    fn read(&self, file: &str) -> String {
        fs::read_to_string(self.path(file)).unwrap()
    }

    fn path(&self, file: &str) -> PathBuf {
        self.home.path().join(file)
    }
}

fn follow(page: &str) -> Followed {
    let home = tempfile::tempdir().unwrap();
    for folder in ["jobs", "examples"] {
        copy(&root().join(folder), &home.path().join(folder));
    }
    follow_in(page, home, None)
}

/// The same in `home`, or in the project's own folder.
fn follow_in(page: &str, home: tempfile::TempDir, instead: Option<&Path>) -> Followed {
    let blocks = blocks(&fs::read_to_string(root().join(page)).unwrap());
    assert!(!blocks.is_empty(), "{page} has commands");
    let script: Vec<&str> = blocks.iter().map(|block| block.commands.as_str()).collect();
    let script = script.join(&format!("echo '{BETWEEN}'\n"));
    let binary = Path::new(env!("CARGO_BIN_EXE_slatwright")).parent().unwrap();
    let path = format!("{}:{}", binary.display(), std::env::var("PATH").unwrap_or_default());
    let mut shell = Command::new("sh");
    shell.args(["-e", "-c", &script]).current_dir(instead.unwrap_or(home.path())).env("PATH", &path);
    let output = shell.output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{page}\n{said}\n{}", String::from_utf8_lossy(&output.stderr));
    let said: Vec<String> = said.split(&format!("{BETWEEN}\n")).map(str::to_owned).collect();
    let mut lines_compared = 0;
    for (block, said) in blocks.iter().zip(&said) {
        let mut lines = said.lines();
        for line in &block.shown {
            assert!(lines.any(|known| known == line), "{page} shows\n{line}\nwhere the commands print\n{said}");
            lines_compared += 1;
        }
    }
    Followed { home, said, lines_compared }
}

#[test]
fn the_first_cabinet_is_built_as_written() {
    let followed = follow("README.md");
    assert!(followed.lines_compared > 15);
    assert!(followed.path("first/out/job.html").exists());
    let picture = fs::read_to_string(root().join("examples/door.svg")).unwrap();
    assert_eq!(followed.read("first/out/templates/door-01.svg"), picture, "the picture is the program's own");
}

/// Every walk has its test below.
#[test]
fn every_walk_is_run() {
    let examples = fs::read_dir(root().join("examples")).unwrap().map(|entry| entry.unwrap().path());
    let with_commands = examples.filter(|path| path.is_dir()).filter(|folder| {
        let page = fs::read_to_string(folder.join("README.md")).expect("each folder has its page");
        !blocks(&page).is_empty()
    });
    let found: BTreeSet<String> =
        with_commands.map(|folder| folder.file_name().unwrap().to_string_lossy().into_owned()).collect();
    let run = ["boards", "cases", "from_code", "quote_to_money", "roll_up", "two_jobs", "yard_and_saw"];
    assert_eq!(found, BTreeSet::from(run.map(str::to_owned)));
}

#[test]
fn boards_as_they_are() {
    let followed = follow("examples/boards/README.md");
    assert!(followed.lines_compared > 30);
}

#[test]
fn the_cases_cost_what_is_shown() {
    let followed = follow("examples/cases/README.md");
    assert!(followed.lines_compared > 10);
    assert!(followed.path("walk/out/pages/panels.html").exists());
}

#[test]
fn a_roll_up_on_its_own_track() {
    let followed = follow("examples/roll_up/README.md");
    assert!(followed.lines_compared > 10);
}

#[test]
fn from_the_yard_to_the_saw() {
    let followed = follow("examples/yard_and_saw/README.md");
    let order = "plan, yard, pile, plan for what was bought, a count in lines, saw, second cut, rack, history";
    assert_eq!(followed.said.len(), 9, "{order}");
    assert!(followed.path("walk/harbour_boards.csv.bak").exists());
}

/// Run where the project lies: cargo builds the examples there, and they write nothing.
#[test]
fn from_code() {
    let followed = follow_in("examples/from_code/README.md", tempfile::tempdir().unwrap(), Some(root()));
    assert!(followed.lines_compared > 5);
}

#[test]
fn from_the_quote_to_what_was_earned() {
    let followed = follow("examples/quote_to_money/README.md");
    assert!(followed.lines_compared > 20);
}

/// The split adds up to the bill of the trip, and nobody loses by going together.
#[test]
fn two_jobs_on_one_rack() {
    let followed = follow("examples/two_jobs/README.md");
    let cents = |text: &str| (text.parse::<f64>().unwrap() * 100.0).round() as i64;
    let sum = |file: &str, column: &str| -> i64 {
        let text = followed.read(file);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        reader.deserialize::<BTreeMap<String, String>>().map(|row| cents(&row.unwrap()[column])).sum()
    };
    assert_eq!(sum("walk/both/jobs.csv", "together"), sum("walk/both/costs.csv", "cost"));
    assert!(sum("walk/both/jobs.csv", "saved") >= 0);
}
