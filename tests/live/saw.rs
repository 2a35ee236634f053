//! At the saw: what is pressed is what `count` reads.

use std::fs;
use std::path::Path;

use super::{Served, serve, starter};
use crate::common::program;

fn counted(job: &Path) -> String {
    let folder = job.parent().unwrap();
    let (plan, count) = (folder.join("cut/plan"), folder.join("cut/count.csv"));
    let run = program()
        .args(["count", job.to_str().unwrap(), "--plan", plan.to_str().unwrap(), "--cut", count.to_str().unwrap()])
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    String::from_utf8(run.stdout).unwrap()
}

/// Rows of the count that are filled in: board, part, straight, rejected.
fn rows(job: &Path) -> Vec<[String; 4]> {
    let Ok(text) = fs::read_to_string(job.with_file_name("cut").join("count.csv")) else { return Vec::new() };
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let filled = reader.records().map(Result::unwrap).filter(|row| !row[3].is_empty());
    filled.map(|row| [&row[0], &row[1], &row[3], &row[4]].map(str::to_owned)).collect()
}

fn press(served: &Served, board: usize, what: &str, part: usize) {
    let (board, part) = (board.to_string(), part.to_string());
    let (status, body) = served.post("saw-count", &[("board", &board), ("what", what), ("part", &part)]);
    assert_eq!(status, 303, "{body}");
}

/// The part that the first buttons of a board's page count.
fn first_part(served: &Served, board: usize) -> usize {
    let (_, page) = served.get(&format!("saw?board={board}"));
    let (_, rest) = page.split_once("name=\"part\" value=\"").unwrap();
    rest.split('"').next().unwrap().parse().unwrap()
}

#[test]
fn strips_are_counted_as_they_come_and_the_command_reads_them() {
    let (_home, path) = starter();
    let served = serve(&path);
    assert!(served.get("saw").1.contains("Nothing is being cut yet"));
    assert_eq!(served.post("saw-begin", &[]).0, 303);
    let (_, page) = served.get("saw");
    assert!(page.contains("Board 1 of ") && page.contains("<svg class=\"fig\"") && page.contains(">fence</dt>"));
    let part = first_part(&served, 0);
    press(&served, 0, "straight", part);
    press(&served, 0, "bowed", part);
    assert!(served.get("saw?board=0").1.contains("1 straight, 1 bowed, "));
    // A row that is there says that no more are to come: none is written while some are.
    assert_eq!(rows(&path), Vec::<[String; 4]>::new());
    press(&served, 0, "rest", 0);
    let written = rows(&path);
    assert!(!written.is_empty() && written.iter().all(|row| row[0] == "1"));
    assert_eq!(written.iter().map(|row| row[3].parse::<u32>().unwrap()).sum::<u32>(), 1);
    assert!(counted(&path).contains("Boards done: 1 of "));
    // More than a board yields is not counted.
    for _ in 0..5 {
        press(&served, 0, "bowed", part);
    }
    assert_eq!(rows(&path), written);
    let boards = served.get("saw").1.matches("<a href=\"saw?cut=0").count();
    for board in 1..boards {
        press(&served, board, "rest", 0);
    }
    assert!(counted(&path).contains("Enough"));
    assert!(served.get("saw").1.contains("the boards planned are enough"));
}

/// Of the first two boards everything is bowed, of the others nothing.
fn two_boards_bowed(path: &Path) {
    let plan = path.with_file_name("cut").join("plan");
    let blank = program()
        .args(["count", path.to_str().unwrap(), "--plan", plan.to_str().unwrap(), "--blank"])
        .output()
        .unwrap();
    let blank = String::from_utf8(blank.stdout).unwrap();
    let filled = blank.lines().map(|line| {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        if cells[0] != "board" {
            let bowed = ["1", "2"].contains(&cells[0].as_str());
            let all = cells[2].clone();
            (cells[3], cells[4]) = if bowed { ("0".to_owned(), all) } else { (all, "0".to_owned()) };
        }
        cells.join(",") + "\n"
    });
    fs::write(path.with_file_name("cut").join("count.csv"), filled.collect::<String>()).unwrap();
}

#[test]
fn what_was_counted_elsewhere_shows_and_the_page_says_what_to_cut_next() {
    let (_home, path) = starter();
    let served = serve(&path);
    served.post("saw-begin", &[]);
    two_boards_bowed(&path);
    let said = counted(&path);
    let (_, page) = served.get("saw");
    assert_eq!(said.contains("Not enough"), page.contains("Not enough: cut next"), "{said}");
    assert!(page.contains("Not enough: cut next"), "{said}");
}

/// A second cut begun on the page is the one that `count --out` writes, and is counted beside the first.
#[test]
fn what_is_not_enough_becomes_a_second_cut() {
    let (home, path) = starter();
    let served = serve(&path);
    served.post("saw-begin", &[]);
    let cut = home.path().join("cut");
    let text = |name: &str| fs::read_to_string(cut.join(name)).unwrap_or_default();
    let part = first_part(&served, 0);
    press(&served, 0, "bowed", part);
    // A board that lies half cut is not planned anew.
    assert!(served.post("saw-next", &[]).1.contains("Count board 1 to its end first"));
    press(&served, 0, "rest", 0);
    two_boards_bowed(&path);
    let said = |more: &[&str]| {
        let run = program().current_dir(home.path()).args(["count", "job.toml"]).args(more).output().unwrap();
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
        String::from_utf8(run.stdout).unwrap()
    };
    let by_command = said(&["--plan", "cut/plan", "--cut", "cut/count.csv", "--out", "again"]);
    assert!(by_command.contains("Not enough"), "{by_command}");
    assert!(served.get("saw").1.contains("Cut these next"));
    assert_eq!(served.post("saw-next", &[]).0, 303);
    for file in ["rips.csv", "boards.csv", "buy.csv", "slats.csv", "summary.csv"] {
        assert_eq!(text(&format!("plan-2/{file}")), fs::read_to_string(home.path().join("again").join(file)).unwrap());
    }
    let (_, page) = served.get("saw");
    assert!(page.contains("Cut 2, board 1 of ") && page.contains("<svg class=\"fig\""), "{page}");
    // Pressed again, there is nothing more to plan as long as that is to come.
    served.post("saw-next", &[]);
    assert_eq!(text("plan-3/rips.csv"), "");
    let second = page.matches("<a href=\"saw?cut=1").count();
    for board in 0..second {
        let board = board.to_string();
        served.post("saw-count", &[("cut", "1"), ("board", &board), ("what", "rest")]);
    }
    assert!(text("count-2.csv").lines().count() > 1);
    let all = ["--plan", "cut/plan", "--plan", "cut/plan-2", "--cut", "cut/count.csv", "--cut", "cut/count-2.csv"];
    assert!(said(&all).contains("Enough"));
    assert!(served.get("saw").1.contains("the boards planned are enough"));
}

#[test]
fn a_job_changed_since_is_not_cut_by_the_old_plan() {
    let (_home, path) = starter();
    let served = serve(&path);
    served.post("saw-begin", &[]);
    served.set("cabinet.0.inside_width", "40");
    let (_, page) = served.get("saw");
    assert!(page.contains("The job changed since its cutting began"));
    let (status, page) = served.post("saw-count", &[("board", "0"), ("what", "rest")]);
    assert!(status == 200 && page.contains("The job changed since"));
    served.post("edit", &[("what", "undo")]);
    assert!(served.get("saw").1.contains("Board 1 of "));
    for (board, what, part) in
        [("99", "straight", "0"), ("0", "straight", "99"), ("0", "burnt", "0"), ("-1", "rest", "")]
    {
        let (status, _) = served.post("saw-count", &[("board", board), ("what", what), ("part", part)]);
        assert!([303, 400].contains(&status), "{board} {what} {part}: {status}");
    }
    assert_eq!(rows(&path), Vec::<[String; 4]>::new());
}
