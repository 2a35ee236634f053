//! Counts as they are said: a board a line, a file a day, each file behind its plan.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::count::{JOB, column, rails};
use crate::floor_support::rows;

/// Said at the saw: a board a line, what is not said is straight, boards that are not named are not cut yet.
#[test]
fn a_count_is_said_a_board_a_line_and_day_by_day() {
    let shop = rails();
    let blank = rows(&shop.ok(&["count", JOB, "--plan", "out", "--blank"]));
    let boards: usize = blank.iter().map(|row| row["board"].parse::<usize>().unwrap()).max().unwrap();
    let yields = |board: usize| -> u64 {
        let here = blank.iter().filter(|row| row["board"] == board.to_string());
        here.map(|row| row["yields"].parse::<u64>().unwrap()).sum()
    };
    let of_first = blank.iter().find(|row| row["board"] == "1").unwrap()["part"].clone();
    let ask = |files: &[&str]| {
        let mut arguments = vec!["count", JOB, "--plan", "out", "--csv"];
        files.iter().for_each(|file| arguments.extend(["--cut", file]));
        let csv = shop.ok(&arguments);
        ["straight", "rejected", "to_come"].map(|name| column(&csv, name).iter().sum::<u64>())
    };
    let all: u64 = (1..=boards).map(yields).sum();
    assert!(boards >= 3, "{boards}");
    shop.write("monday", &format!("board 1: 2 bowed, 1 rejected {of_first}   # a wild one\n"));
    let set_up = all - yields(1) - ask(&["monday"])[2];
    assert!(set_up <= 1, "{set_up}");
    assert_eq!(ask(&["monday"])[..2], [yields(1) - 3, 3]);
    shop.write("tuesday", &format!("boards 2 to {boards}: all straight\n"));
    assert_eq!(ask(&["monday", "tuesday"]), [all - 3, 3, 0]);

    let count = |file| ["count", JOB, "--plan", "out", "--cut", file];
    shop.refused(&[&count("monday")[..], &["--cut", "monday"]].concat(), "are one file");
    for (text, said) in [
        ("board 1: 2 bowed\nboard 1: 1 bowed\n", "counted twice"),
        ("board 1: 900 bowed\n", "more strips are rejected than board 1 yields"),
        ("board 1: 900 bowed S01\n", "board 1"),
        ("board 88: 1 bowed\n", "no board 88"),
        ("board 1: 1 bowed S77\n", "no strips of `S77`"),
        ("board 1: some bowed\n", "this line counts no board"),
        ("boards 1 to 2: 1 bowed\n", "counted board by board"),
    ] {
        shop.write("cut", text);
        shop.refused(&count("cut"), said);
    }
    shop.write("wednesday", "board 1: all straight\n");
    shop.refused(&[&count("monday")[..], &["--cut", "wednesday"]].concat(), "in `monday` and again in `wednesday`");
}

/// What still serves is said in the same line, and comes to what the columns of a count come to.
#[test]
fn what_is_crosscut_is_said_in_the_line_of_its_board() {
    let shop = rails();
    let blank = rows(&shop.ok(&["count", JOB, "--plan", "out", "--blank"]));
    let parts = rows(&shop.read("out/slats.csv"));
    let name = |length: &str| parts.iter().find(|part| part["length"] == length).unwrap()["part"].clone();
    let (long, short) = (name("40"), name("18"));
    let yields = |board: &str, part: &str| -> u64 {
        let row = blank.iter().find(|row| row["board"] == board && row["part"] == part);
        row.map_or(0, |row| row["yields"].parse().unwrap())
    };
    let of_long = blank.iter().find(|row| row["part"] == long && row["yields"].parse::<u64>().unwrap() >= 4).unwrap();
    let board = of_long["board"].clone();
    let ask = ["count", JOB, "--plan", "out", "--cut", "cut", "--csv"];
    let straight_length = "straight 39";
    for (line, crosscut, spoilt) in [
        (format!("crosscut {long} to 2 {short}"), (1, 2), 0),
        (format!("2 bowed {long}, crosscut {long} to 2 {short}"), (1, 2), 2),
        (format!("2 bowed {long} {straight_length}, crosscut {long} to 3 {short}"), (0, 3), 2),
    ] {
        shop.write("cut", &format!("board {board}: {line}\n"));
        let csv = shop.ok(&ask);
        let (given, gained) = crosscut;
        let part = |name: &str| rows(&csv).into_iter().find(|row| row["part"] == name).unwrap();
        let counted = |name: &str| part(name)["straight"].parse::<u64>().unwrap();
        assert_eq!(counted(&long), yields(&board, &long) - spoilt - given, "{line}: {csv}");
        assert_eq!(counted(&short), yields(&board, &short) + gained, "{line}: {csv}");
        // The same in columns.
        let rejects_are_straight = if line.contains(straight_length) { "39" } else { "" };
        let cell = format!("{gained} {short}");
        let own = yields(&board, &long) - spoilt;
        let mut columns =
            format!("board,part,straight,rejected,straight_length,crosscut_to\n{board},{long},{own},{spoilt},");
        columns += &format!("{rejects_are_straight},{cell}\n");
        if yields(&board, &short) > 0 {
            columns += &format!("{board},{short},{},0,,\n", yields(&board, &short));
        }
        shop.write("cut", &columns);
        assert_eq!(shop.ok(&ask), csv, "{line}");
    }
    for (line, said) in [
        (format!("crosscut {long} to 900 {short}"), "cannot have been crosscut from"),
        (format!("crosscut {short} to 1 {long}"), ""),
        (format!("crosscut {long} to 1 S77"), "makes one of `S77`"),
        (format!("crosscut {long} to 1 {short}, crosscut {long} to 1 {short}"), "crosscut twice"),
        (format!("2 bowed {long} straight 41"), "more than the strip's own"),
        (format!("1 bowed {long} straight 20, 1 bowed {long}"), "with and without a straight length"),
        (format!("1 bowed {long} straight 20, 1 bowed"), "name the size of every reject"),
        (format!("2 bowed {long} straight wood"), "this line counts no board"),
        (format!("crosscut {long} into {short}"), "this line counts no board"),
    ] {
        shop.write("cut", &format!("board {board}: {line}\n"));
        shop.refused(&ask, said);
    }
}

/// Two cuts, the first counted on two days: each count belongs to the plan that it stands behind.
#[test]
fn days_stand_behind_the_plan_that_they_count() {
    let shop = rails();
    let both = ["--plan", "out", "--plan", "second"];
    shop.write("bad.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, yields| yields * 2 / 5));
    shop.ok(&["count", JOB, "--plan", "out", "--cut", "bad.csv", "--out", "second"]);
    let count = shop.read("bad.csv");
    let (head, boards) = count.split_once('\n').unwrap();
    let (first, later): (Vec<&str>, Vec<&str>) = boards.lines().partition(|row| row.starts_with("1,"));
    assert!(!first.is_empty() && !later.is_empty());
    shop.write("monday.csv", &format!("{head}\n{}\n", first.join("\n")));
    shop.write("tuesday.csv", &format!("{head}\n{}\n", later.join("\n")));
    shop.write("friday.csv", &shop.filled(&[&[JOB], &both[..]].concat(), |_, _, _| 0));
    let whole = ["--cut", "bad.csv", "--cut", "friday.csv"];
    let whole = shop.ok(&[&["count", JOB, "--csv"], &both[..], &whole[..]].concat());
    let days =
        ["--plan", "out", "--cut", "monday.csv", "--cut", "tuesday.csv", "--plan", "second", "--cut", "friday.csv"];
    assert_eq!(shop.ok(&[&["count", JOB, "--csv"], &days[..]].concat()), whole);
    // Which cut is it that was counted?
    let second = ["--plan", "out", "--plan", "second", "--cut", "friday.csv"];
    let first_to_last = ["--plan", "out", "--cut", "monday.csv", "--plan", "second"];
    shop.refused(&[&["count", JOB], &second[..]].concat(), "2 plans have 1 count");
    let csv = shop.ok(&[&["count", JOB, "--csv"], &first_to_last[..]].concat());
    assert!(column(&csv, "to_come").iter().sum::<u64>() > 0, "{csv}");
    // All counts behind all plans, and more of them: whose is the third?
    let heap = ["--cut", "monday.csv", "--cut", "tuesday.csv", "--cut", "friday.csv"];
    shop.refused(&[&["count", JOB], &both[..], &heap[..]].concat(), "write each `--cut` behind its `--plan`");
    let before = ["--cut", "monday.csv", "--plan", "out", "--cut", "tuesday.csv", "--plan", "second"];
    shop.refused(&[&["count", JOB], &before[..]].concat(), "`monday.csv` stands before every plan");
    // One count behind two plans belongs to the first; named twice it is refused.
    let twice = ["--plan", "out", "--cut", "monday.csv", "--plan", "second", "--cut", "monday.csv"];
    shop.refused(&[&["count", JOB], &twice[..]].concat(), "are one file");
}
