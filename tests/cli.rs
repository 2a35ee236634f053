//! The command as a user meets it: exit statuses, what is printed where, what is written.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;

const REAL: &str = "jobs/harbour_archive.toml";
const SMALL: &str = "jobs/small_press.toml";

fn slatwright(arguments: &[&str]) -> std::process::Output {
    Command::cargo_bin("slatwright").unwrap().current_dir(env!("CARGO_MANIFEST_DIR")).args(arguments).output().unwrap()
}

fn out(output: &std::process::Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &std::process::Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn planned(job: &str) -> (tempfile::TempDir, PathBuf) {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("out");
    let output = slatwright(&["plan", job, "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    (home, folder)
}

fn rows(folder: &Path, name: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(folder.join(name)).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

/// Every file is there and begins with these columns, in this order.
#[test]
fn every_file_of_a_plan_is_there_with_its_columns() {
    let columns = [
        (
            "doors.csv",
            "door,cabinet,count,slats,slat_width,lead_width,slat_length,tongue,door_length,cloth_along_slat,cloth_along_travel",
        ),
        ("fit.csv", "door,check,item,needed,available,margin,unit,ok"),
        ("slats.csv", "part,species,length,width,thickness,needed,spares,total,doors"),
        ("boards.csv", "stock,species,thickness,width,length,source,boards,board_feet,price,per,cost"),
        (
            "rips.csv",
            "board,stock,order,blank,blank_length,milling,planed_thickness,leaves,part,rip_width,rips,pieces_per_rip,strips,strip_length",
        ),
        ("canvas.csv", "bolt,piece,door,x,y,along,across,turned"),
        ("cloth.csv", "bolt,width,used_length,bought_length,unit,price,cost"),
        ("buy.csv", "what,item,at_least_width,at_least_length,quantity,unit,price,cost"),
        ("costs.csv", "group,item,quantity,unit,unit_price,cost"),
        ("summary.csv", "figure,value,unit"),
    ];
    let (_home, folder) = planned(REAL);
    for (name, expected) in columns {
        let text = fs::read_to_string(folder.join(name)).unwrap();
        let header = text.lines().next().unwrap();
        assert!(header == expected || header.starts_with(&format!("{expected},")), "{name}: {header}");
        assert!(text.lines().count() > 1, "{name} has rows");
    }
}

#[test]
fn the_summary_has_every_figure_and_the_costs_sum_to_its_total() {
    let (_home, folder) = planned(REAL);
    let summary = rows(&folder, "summary.csv");
    let value = |figure: &str| {
        summary.iter().find(|row| row["figure"] == figure).unwrap_or_else(|| panic!("{figure} is there"))["value"]
            .clone()
    };
    for figure in ["board_feet", "cloth_length", "fabric_yards", "bought_yards", "strips_needed", "strips_surplus"] {
        assert!(value(figure).parse::<f64>().unwrap() >= 0.0, "{figure}");
    }
    let cents = |text: &str| (text.parse::<f64>().unwrap() * 100.0).round() as i64;
    let total: i64 = rows(&folder, "costs.csv").iter().map(|row| cents(&row["cost"])).sum();
    assert_eq!(total, cents(&value("total_cost")));
    assert!(cents(&value("board_cost_bound")) <= cents(&value("board_cost")));
    assert_eq!(value("optimal") == "yes", value("board_cost_bound") == value("board_cost"));
    assert_eq!(value("cut_short"), "no");
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let (_one, first) = planned(REAL);
    let (_two, second) = planned(REAL);
    let mut names: Vec<_> = fs::read_dir(&first).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert!(names.len() >= 10);
    for name in names {
        let path = first.join(&name);
        if path.is_file() {
            assert_eq!(fs::read(&path).unwrap(), fs::read(second.join(&name)).unwrap(), "{name:?}");
        }
    }
}

#[test]
fn each_command_prints_a_table_of_at_most_80_columns_and_a_csv() {
    for (command, header) in [
        ("check", "door,check,item"),
        ("quote", "group,item,quantity"),
        ("buy", "what,item,at_least_width"),
        ("rip", "board,stock,order"),
        ("canvas", "bolt,piece,door"),
    ] {
        let screen = slatwright(&[command, REAL]);
        assert_eq!(screen.status.code(), Some(0), "{command}: {}", err(&screen));
        for line in out(&screen).lines() {
            assert!(line.chars().count() <= 80, "{command}: {line}");
        }
        let csv = slatwright(&[command, REAL, "--csv"]);
        assert_eq!(csv.status.code(), Some(0), "{command}");
        assert!(out(&csv).starts_with(header), "{command}: {}", out(&csv));
        assert!(err(&csv).is_empty(), "{command}");
    }
}

#[test]
fn plan_prints_within_80_columns_with_the_cautions() {
    let home = tempfile::tempdir().unwrap();
    let output = slatwright(&["plan", SMALL, "--out", home.path().join("o").to_str().unwrap()]);
    let text = out(&output);
    assert!(text.contains("riving knife") && text.contains("machine manuals"), "{text}");
    assert!(out(&slatwright(&["rip", SMALL])).contains("machine manuals"));
    let long = text.lines().filter(|line| !line.starts_with("Written to")).find(|line| line.chars().count() > 80);
    assert_eq!(long, None);
}

#[test]
fn the_starter_job_plans_without_edits() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("mine");
    let output = slatwright(&["new", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let (job, plan) = (folder.join("job.toml"), folder.join("out"));
    let output = slatwright(&["plan", job.to_str().unwrap(), "--out", plan.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(rows(&plan, "rips.csv").len() > 1);

    let again = slatwright(&["new", folder.to_str().unwrap()]);
    assert_eq!(again.status.code(), Some(2));
    assert!(err(&again).contains("is there already"), "{}", err(&again));
}

#[test]
fn err_arguments_and_paths_end_with_status_2_and_write_nothing() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("file");
    fs::write(&file, "x").unwrap();
    let folder = home.path().to_str().unwrap();
    for (arguments, said) in [
        (vec!["plan", REAL], "--out"),
        (vec!["plan", REAL, "--csv", "--out", folder], "--csv"),
        (vec!["plan", REAL, "--out", file.to_str().unwrap()], "is a file"),
        (vec!["plan", folder, "--out", "never"], "folder"),
        (vec!["check", "jobs/nowhere.toml"], "nowhere.toml"),
        (vec!["quote", SMALL, "--seconds", "0"], "seconds"),
        (vec!["rippp", SMALL], "rip"),
    ] {
        let output = slatwright(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", err(&output));
        assert!(err(&output).contains(said), "{arguments:?}: {}", err(&output));
        assert!(out(&output).is_empty(), "{arguments:?}");
    }
    assert!(!Path::new(env!("CARGO_MANIFEST_DIR")).join("never").exists());
    assert_eq!(fs::read_to_string(&file).unwrap(), "x");
}

/// A copy of the small job with one change, and its files beside it.
fn changed(change: impl Fn(&str) -> String, boards: impl Fn(&str) -> String) -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    let read = |name: &str| fs::read_to_string(jobs.join(name)).unwrap();
    fs::write(home.path().join("job.toml"), change(&read("small_press.toml"))).unwrap();
    fs::write(home.path().join("small_boards.csv"), boards(&read("small_boards.csv"))).unwrap();
    for name in ["shop.toml", "cloth.csv"] {
        fs::write(home.path().join(name), read(name)).unwrap();
    }
    home
}

#[test]
fn err_a_door_that_cannot_turn_ends_with_status_1_and_the_number_that_would_do() {
    let home = changed(|job| job.replace("corner_radius = \"3\"", "corner_radius = \"1/2\""), str::to_owned);
    let job = home.path().join("job.toml");
    let plan = slatwright(&["plan", job.to_str().unwrap(), "--out", home.path().join("out").to_str().unwrap()]);
    assert_eq!(plan.status.code(), Some(1), "{}", err(&plan));
    assert!(err(&plan).contains("press left") && err(&plan).contains("radius"), "{}", err(&plan));
    assert!(!home.path().join("out").exists());
    let check = slatwright(&["check", job.to_str().unwrap(), "--csv"]);
    assert_eq!(check.status.code(), Some(1));
    assert!(out(&check).contains(",no,"), "{}", out(&check));
}

#[test]
fn err_boards_too_short_end_with_status_1_and_say_what_is_missing() {
    let home = changed(str::to_owned, |boards| boards.replace(",96,", ",20,").replace(",120,", ",20,"));
    let job = home.path().join("job.toml");
    let output = slatwright(&["rip", job.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    assert!(err(&output).contains("no board yields"), "{}", err(&output));
    assert!(out(&output).is_empty());
}

#[test]
fn a_foreign_file_in_the_plan_folder_is_never_overwritten() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("costs.csv"), "mine").unwrap();
    let output = slatwright(&["plan", SMALL, "--out", home.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("costs.csv"), "{}", err(&output));
    assert_eq!(fs::read_to_string(home.path().join("costs.csv")).unwrap(), "mine");
    assert_eq!(fs::read_dir(home.path()).unwrap().count(), 1, "nothing else appeared");
}

#[test]
fn a_plan_cut_short_is_still_a_plan() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("out");
    let output = slatwright(&["plan", REAL, "--seconds", "0.001", "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(rows(&folder, "rips.csv").len() > 1);
}

#[test]
fn every_command_has_an_example_in_its_help() {
    for command in ["new", "check", "quote", "buy", "rip", "canvas", "plan"] {
        let help = out(&slatwright(&[command, "--help"]));
        assert!(help.contains("Example:") && help.contains(&format!("slatwright {command}")), "{help}");
    }
}
