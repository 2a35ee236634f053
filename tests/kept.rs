//! A plan kept in its folder is printed again as it is; a plan that was cut short says so wherever it is shown; a disk
//! that is full is an error.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const REAL: &str = "jobs/harbour_archive.toml";
const SMALL: &str = "jobs/small_press.toml";
/// So short that every packing is stopped at its first word.
const AT_ONCE: &str = "0.000000001";

fn slatwright(home: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_slatwright")).current_dir(home).args(arguments).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn done(home: &Path, arguments: &[&str]) -> Output {
    let output = slatwright(home, arguments);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", err(&output));
    output
}

/// A copy of the jobs, to be changed.
fn jobs() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir(home.path().join("jobs")).unwrap();
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs")).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, home.path().join("jobs").join(path.file_name().unwrap())).unwrap();
    }
    home
}

fn figure(folder: &Path, name: &str) -> String {
    let text = fs::read_to_string(folder.join("summary.csv")).unwrap();
    let row = text.lines().find(|line| line.starts_with(&format!("{name},"))).unwrap_or_else(|| panic!("{text}"));
    row.split(',').nth(1).unwrap().to_owned()
}

#[test]
fn a_kept_plan_is_printed_as_it_was_planned() {
    let home = jobs();
    done(home.path(), &["plan", SMALL, "--out", "out"]);
    for words in ["quote", "quote --client", "buy", "rip", "cloth"] {
        for more in [vec![], vec!["--csv"]] {
            let anew: Vec<&str> = words.split(' ').chain([SMALL]).chain(more).collect();
            let kept = [anew.clone(), vec!["--plan", "out"]].concat();
            let (anew, kept) = (done(home.path(), &anew), done(home.path(), &kept));
            assert_eq!(out(&anew), out(&kept), "{words}");
            assert_eq!(err(&kept), "", "{words}");
        }
    }
}

#[test]
fn a_kept_plan_of_other_files_is_refused_with_what_changed() {
    let home = jobs();
    done(home.path(), &["plan", SMALL, "--out", "out"]);
    let rack = home.path().join("jobs/small_boards.csv");
    fs::write(&rack, fs::read_to_string(&rack).unwrap() + "new,cherry,4/4,7,96,,9.85,bf\n").unwrap();
    for words in ["quote", "buy", "rip", "cloth"] {
        let output = slatwright(home.path(), &[words, SMALL, "--plan", "out"]);
        assert_eq!(output.status.code(), Some(2), "{words}");
        assert!(err(&output).contains("`small_boards.csv` changed since"), "{}", err(&output));
        assert!(!err(&output).contains("shop.toml") && out(&output).is_empty(), "{}", err(&output));
    }
    fs::create_dir(home.path().join("empty")).unwrap();
    for folder in ["empty", "nowhere"] {
        let output = slatwright(home.path(), &["rip", SMALL, "--plan", folder]);
        assert_eq!(output.status.code(), Some(2), "{folder}");
        assert!(err(&output).contains("does not hold a plan of a single job"), "{}", err(&output));
    }
}

#[test]
fn a_plan_cut_short_says_so_wherever_it_is_shown() {
    let home = jobs();
    let at = home.path();
    let said = "note: this plan was cut short, the packing was stopped early";
    let planned = done(at, &["plan", REAL, "--seconds", AT_ONCE, "--out", "short"]);
    let folder: PathBuf = at.join("short");
    assert_eq!(figure(&folder, "cut_short"), "yes");
    assert_eq!(err(&planned).lines().filter(|line| line.starts_with(said)).count(), 1, "{}", err(&planned));
    for command in ["quote", "buy", "rip", "cloth"] {
        for more in [vec![], vec!["--csv"]] {
            let now = [vec![command, REAL, "--seconds", AT_ONCE], more.clone()].concat();
            let kept = [vec![command, REAL, "--plan", "short"], more].concat();
            for arguments in [now, kept] {
                let output = done(at, &arguments);
                assert_eq!(err(&output).lines().count(), 1, "{arguments:?}: {}", err(&output));
                assert!(err(&output).starts_with(said), "{arguments:?}: {}", err(&output));
            }
        }
    }
    let compared = done(at, &["compare", REAL, "--seconds", AT_ONCE]);
    assert!(err(&compared).starts_with("note: cut short, the packing was stopped early: `as it stands`"));

    let banner = "this plan was cut short, the packing was stopped early";
    for entry in fs::read_dir(folder.join("pages")).unwrap() {
        let path = entry.unwrap().path();
        let client = path.file_stem().unwrap() == "quote-client";
        assert_eq!(fs::read_to_string(&path).unwrap().contains(banner), !client, "{}", path.display());
    }
    done(at, &["plan", SMALL, "--out", "whole"]);
    assert_eq!(figure(&at.join("whole"), "cut_short"), "no");
    assert!(!fs::read_to_string(at.join("whole/job.html")).unwrap().contains("cut short"));
}

/// Everything written there is refused: what a full disk does.
#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_is_an_error_and_a_closed_pipe_is_none() {
    let full = || fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    for arguments in [vec!["quote", SMALL, "--csv"], vec!["check", SMALL], vec!["--help"], vec!["completions", "bash"]]
    {
        let mut command = Command::new(env!("CARGO_BIN_EXE_slatwright"));
        let output = command.current_dir(here).args(&arguments).stdout(full()).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(err(&output).contains("cannot write to standard output"), "{arguments:?}: {}", err(&output));
    }
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let mut command = Command::new(env!("CARGO_BIN_EXE_slatwright"));
    let output = command.current_dir(here).args(["quote", SMALL, "--csv"]).stdout(writer).output().unwrap();
    assert_eq!((output.status.code(), err(&output)), (Some(0), String::new()));
}

#[test]
fn only_what_is_fetched_is_on_the_shopping_list() {
    let home = jobs();
    let list = out(&done(home.path(), &["buy", REAL]));
    assert!(list.contains("case sheet goods") && !list.contains("delivery"), "{list}");
    let table = out(&done(home.path(), &["buy", REAL, "--csv"]));
    let rows: Vec<csv::StringRecord> =
        csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap).collect();
    let cents: i64 = rows.iter().map(|row| row[7].replace('.', "").parse::<i64>().unwrap()).sum();
    let sum = slatwright::measure::Cents::new(cents).marked("USD");
    assert!(list.contains(&format!("Total to buy: USD {sum}")), "{list}");

    // Loose strips alone take no glue and no screws.
    let job = "name = \"edging\"\nunits = \"in\"\nshop = \"shop.toml\"\nboards = \"harbour_boards.csv\"\n[[strip]]\n\
               name = \"edging\"\nspecies = \"cherry\"\nlength = 31\nwidth = \"3/4\"\nthickness = \"3/8\"\nquantity = 4\n";
    fs::write(home.path().join("jobs/edging.toml"), job).unwrap();
    let list = out(&done(home.path(), &["buy", "jobs/edging.toml"]));
    assert!(!list.contains(": 0 "), "{list}");
    let table = out(&done(home.path(), &["buy", "jobs/edging.toml", "--csv"]));
    let rows = csv::Reader::from_reader(table.as_bytes()).into_records().map(Result::unwrap).collect::<Vec<_>>();
    assert!(rows.iter().all(|row| &row[4] != "0"), "{table}");
}
