//! At the saw: enough or not, the least extra cutting, rejects that still serve.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::floor_support;

use floor_support::{ShopFolder, rows};

const JOB: &str = "mine/job.toml";

/// Long and short rails of one section.
fn rails() -> ShopFolder {
    let strip = |name: &str, length: u32, quantity: u32| {
        format!(
            "[[strip]]\nname = \"{name}\"\nspecies = \"cherry\"\nlength = {length}\nwidth = \"5/8\"\n\
             thickness = \"3/8\"\nquantity = {quantity}\n"
        )
    };
    ShopFolder::small(
        &(strip("long rail", 40, 20) + &strip("short rail", 18, 20)),
        "sale,cherry,4/4,6,96,,30.00,each\nspare,cherry,4/4,5,48,1,,\n",
    )
}

fn column(csv: &str, name: &str) -> Vec<u64> {
    rows(csv).iter().map(|row| row[name].parse().unwrap()).collect()
}

/// A second cut that is not needed any more leaves no list that somebody might cut by.
#[test]
fn a_second_cut_that_is_not_needed_any_more_is_emptied() {
    let shop = rails();
    let count = ["count", JOB, "--plan", "out", "--cut", "cut.csv", "--out", "second"];
    shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, yields| yields * 2 / 5));
    shop.ok(&count);
    assert!(!rows(&shop.read("second/rips.csv")).is_empty());
    shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, _| 0));
    let said = shop.ok(&count);
    assert!(said.contains("the lists in second are empty now"), "{said}");
    assert!(rows(&shop.read("second/rips.csv")).is_empty() && rows(&shop.read("second/buy.csv")).is_empty());
}

#[test]
fn err_one_plan_named_twice_or_written_over() {
    let shop = rails();
    shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, _| 0));
    shop.refused(&["count", JOB, "--plan", "out", "--plan", "mine/../out"], "are one folder");
    for name in ["rips.csv", "slats.csv", "boards.csv", "summary.csv"] {
        std::fs::create_dir_all(shop.path("copy")).unwrap();
        shop.write(&format!("copy/{name}"), &shop.read(&format!("out/{name}")));
    }
    shop.refused(&["count", JOB, "--plan", "out", "--plan", "copy"], "hold one plan");
    shop.refused(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--out", "./out"], "destroy its record");
    let part = rows(&shop.read("out/rips.csv"))[0]["part"].clone();
    shop.write("cut.csv", &format!("board,part,yields,straight,rejected\n1,{part},1,1,0\n"));
    shop.refused(&["count", JOB, "--plan", "out", "--cut", "cut.csv"], "`yields` is 1, but board 1 of the plan yields");
}

/// What a job says of spares without a rate is a weak belief: what is seen soon weighs more.
#[test]
fn a_percentage_of_spares_or_none_at_all_is_a_weak_belief() {
    let shop = rails();
    let rate = |arguments: &[&str]| {
        let csv = shop.ok(&[&["count", JOB, "--plan", "out", "--csv"], arguments].concat());
        rows(&csv)[0]["reject_rate"].parse::<f64>().unwrap()
    };
    let job = shop.read(JOB);
    for (spares, before, least) in [("{ percent = 25 }", 0.1111, 0.2), ("\"none\"", 0.0, 0.2)] {
        shop.write(JOB, &job.replace("spares = { reject_rate = 0.1 }", &format!("spares = {spares}")));
        shop.ok(&["plan", JOB, "--out", "out"]);
        assert!((rate(&[]) - before).abs() < 1e-3, "{spares}: {}", rate(&[]));
        shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, yields| yields / 2));
        let seen = rate(&["--cut", "cut.csv"]);
        assert!(seen > least, "{spares}: {seen}");
    }
}

#[test]
fn all_straight_is_enough_and_asks_for_nothing() {
    let shop = rails();
    shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, _| 0));
    let said = shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--out", "second"]);
    assert!(said.contains("Enough: the chance that nothing more needs cutting is 100.0 %"), "{said}");
    assert!(!shop.path("second").exists());
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
}

#[test]
fn a_bad_cut_is_followed_by_a_second_one_that_brings_enough() {
    let shop = rails();
    shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, yields| yields * 2 / 5));
    let csv = shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--out", "second", "--csv"]);
    let (wanted, straight, extra) = (column(&csv, "wanted"), column(&csv, "straight"), column(&csv, "extra"));
    let part = (0..2).find(|at| straight[*at] < wanted[*at]).expect("two fifths are too many");
    assert!(extra[part] > wanted[part] - straight[part], "strips beyond the gap, for rejects: {csv}");
    let rate: f64 = rows(&csv)[0]["reject_rate"].parse().unwrap();
    assert!(rate > 0.1 && rate < 0.4, "between the assumed rate and what was seen: {csv}");

    let both = ["count", JOB, "--plan", "out", "--plan", "second"];
    shop.write("cut2.csv", &shop.filled(&both[1..], |_, _, _| 0));
    let arguments = [&both[..], &["--cut", "cut.csv", "--cut", "cut2.csv", "--csv"]].concat();
    let csv = shop.ok(&arguments);
    assert_eq!(column(&csv, "extra").iter().sum::<u64>(), 0, "{csv}");
    assert!(column(&csv, "straight").iter().zip(column(&csv, "wanted")).all(|(straight, wanted)| *straight >= wanted));
}

#[test]
fn rejects_in_one_board_ask_for_more_than_rejects_all_over() {
    let shop = rails();
    let even = shop.filled(&[JOB, "--plan", "out"], |_, _, yields| yields / 3);
    let bad: u32 = rows(&even).iter().map(|row| row["rejected"].parse::<u32>().unwrap()).sum();
    let left = std::cell::Cell::new(bad);
    let one_board = shop.filled(&[JOB, "--plan", "out"], |_, _, yields| {
        let here = left.get().min(yields);
        left.set(left.get() - here);
        here
    });
    let clustering = |count: &str| {
        shop.write("cut.csv", count);
        rows(&shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--csv"]))[0]["clustering"]
            .parse::<f64>()
            .unwrap()
    };
    assert!(clustering(&one_board) > 2.0 * clustering(&even));
}

#[test]
fn long_rejects_serve_short_rails_where_that_saves() {
    let shop = rails();
    let name = |length: &str| {
        rows(&shop.read("out/slats.csv")).iter().find(|row| row["length"] == length).unwrap()["part"].clone()
    };
    let (long, short) = (name("40"), name("18"));
    // A few short rails are missing, and the long rejects are straight over 20 in.
    let count =
        shop.filled(&[JOB, "--plan", "out"], |_, part, yields| if part == short { yields / 2 } else { yields / 8 });
    let with: String = count
        .lines()
        .map(|line| match line {
            "board,part,straight,rejected" => format!("{line},straight_length\n"),
            row if row.contains(&long) => format!("{row},20\n"),
            row => format!("{row},\n"),
        })
        .collect();
    let extra = |text: &str| {
        shop.write("cut.csv", text);
        let said = shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv"]);
        let csv = shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--csv"]);
        (said, column(&csv, "extra").iter().sum::<u64>())
    };
    let (plain, without) = extra(&count);
    let (said, saved) = extra(&with);
    assert!(!plain.contains("Crosscut"), "{plain}");
    assert!(said.contains(&format!("rejects of {long} into")) && saved < without, "{said}");
}

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

/// Three boards hold seven rails each and are planned for fifteen. When the first comes out badly the others, planned
/// anew, make it up, and nobody goes to the yard.
#[test]
fn boards_not_yet_cut_are_planned_anew_before_anything_is_bought() {
    let strip = "[[strip]]\nname = \"rail\"\nspecies = \"cherry\"\nlength = 60\nwidth = \"5/8\"\n\
                 thickness = \"3/8\"\nquantity = 11\nspares = { reject_rate = 0.1 }\nmilling = \"flat\"\n";
    let shop = ShopFolder::small(strip, "mine,cherry,4/4,6-1/4,64,3,,\nsale,cherry,4/4,6-1/4,64,,30.00,each\n");
    let blank = rows(&shop.ok(&["count", JOB, "--plan", "out", "--blank"]));
    assert_eq!(blank.len(), 3, "{blank:?}");
    let full = blank.iter().find(|row| row["yields"].parse::<u32>().unwrap() >= 5).unwrap()["board"].clone();
    shop.write("cut", &format!("board {full}: 3 bowed\n"));
    let count = ["count", JOB, "--plan", "out", "--cut", "cut", "--out", "again"];
    let said = shop.ok(&count).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("of cut 1 and the extra strips are planned anew together"), "{said}");
    assert!(said.contains("Extra cutting: to buy USD 0.00"), "{said}");
    let again = rows(&shop.read("again/boards.csv"));
    assert!(again.iter().all(|row| row["stock"].starts_with("mine (") && row["cost"] == "0.00"), "{again:?}");
    // Cut by the new lists, all of it is there; the old plan's boards do not count twice.
    let both = ["count", JOB, "--plan", "out", "--plan", "again"];
    shop.write("cut2.csv", &shop.filled(&both[1..], |_, _, _| 0));
    let csv = shop.ok(&[&both[..], &["--cut", "cut", "--cut", "cut2.csv", "--csv"]].concat());
    assert_eq!((column(&csv, "to_come"), column(&csv, "extra")), (vec![0], vec![0]), "{csv}");
    // The rack gives each board once, whichever plan it was cut by.
    let rack = ["rack", JOB, "--plan", "out", "--cut", "cut", "--rack", "mine/boards.csv", "--update"];
    shop.ok(&rack);
    shop.ok(&["rack", JOB, "--plan", "out", "--plan", "again", "--rack", "mine/boards.csv", "--update"]);
    assert_eq!(rows(&shop.read("mine/boards.csv"))[0]["on_hand"], "0");
    // What is planned anew is not counted by the old plan.
    shop.write("cut", "boards 1 to 3: all straight\n");
    shop.refused(&[&both[..], &["--cut", "cut"]].concat(), "plans it anew");
}

#[test]
fn the_extra_cutting_takes_owned_boards_before_it_buys() {
    let shop = rails();
    shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, yields| yields / 2));
    let buying = |shop: &ShopFolder| {
        shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--out", "second"]);
        shop.read("second/boards.csv")
    };
    assert!(buying(&shop).contains(",buy,"));
    // A board that came to the rack since the plan was made.
    shop.write("mine/boards.csv", &(shop.read("mine/boards.csv") + "kept,cherry,4/4,12,120,2,,\n"));
    let boards = buying(&shop);
    assert!(boards.contains("kept,") && !boards.contains(",buy,"), "{boards}");
}

#[test]
fn rates_and_hours_gather_in_the_shops_history_and_come_back_as_a_prior() {
    let shop = rails();
    let rules = shop.read("mine/shop.toml");
    shop.write("cut.csv", &shop.filled(&[JOB, "--plan", "out"], |_, _, yields| yields / 2));
    shop.refused(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--record"], "history");
    shop.write("mine/shop.toml", &format!("history = \"past.csv\"\n{rules}"));
    for _ in 0..2 {
        shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--record"]);
    }
    let past = rows(&shop.read("mine/past.csv"));
    assert_eq!(past.len(), 1, "recorded again, not twice");
    assert_eq!(past[0]["species"], "black cherry");
    let (cut, rejected): (u64, u64) = (past[0]["cut"].parse().unwrap(), past[0]["rejected"].parse().unwrap());
    assert!(rejected * 3 > cut, "{past:?}");

    let job = shop.read("mine/job.toml").replace("\"bench\"", "\"bench again\"");
    shop.write("mine/again.toml", &job);
    let csv = shop.ok(&["count", "mine/again.toml", "--plan", "out", "--csv"]);
    let rate: f64 = rows(&csv)[0]["reject_rate"].parse().unwrap();
    assert!((rate - rejected as f64 / cut as f64).abs() < 1e-3, "the history is the prior: {csv}");

    shop.write("mine/past.csv", &shop.read("mine/past.csv").replace(&format!(",{rejected},"), ",999999,"));
    shop.refused(&["count", "mine/again.toml", "--plan", "out"], "cannot have been rejected");
}

#[test]
fn err_counts_that_do_not_fit_the_plan() {
    let shop = rails();
    let part = rows(&shop.read("out/rips.csv"))[0]["part"].clone();
    let header = "board,part,straight,rejected\n";
    for (rows, said) in [
        (format!("{header}1,{part},500,500\n"), "yields"),
        (format!("{header}99,{part},1,0\n"), "no board 99"),
        (format!("{header}0,{part},1,0\n"), "board"),
        (format!("{header}1,S77,1,0\n"), "no strips of `S77`"),
        (format!("{header}1,{part},1,0\n1,{part},1,0\n"), "counted twice"),
        (format!("{header}1,{part},1,\n"), "`rejected` is empty"),
        (format!("{header}1,{part},-1,0\n"), "straight"),
        ("stock,species\na,b\n".to_owned(), "column"),
    ] {
        shop.write("cut.csv", &rows);
        shop.refused(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--out", "second"], said);
    }
    shop.write("cut.csv", header);
    // Files swapped: another job's plan, a folder that is none, the job in the count's place.
    shop.refused(
        &["count", "mine/harbour_archive.toml", "--plan", "out", "--cut", "cut.csv"],
        "is no part of this job",
    );
    shop.refused(&["count", JOB, "--plan", "mine", "--cut", "cut.csv"], "slats.csv");
    shop.refused(&["count", JOB, "--plan", "out", "--cut", JOB], "column");
    let rips = shop.read("out/rips.csv");
    shop.write("out/rips.csv", &rips.replace(&part, "S88"));
    shop.refused(&["count", JOB, "--plan", "out", "--cut", "cut.csv"], "S88");
}

/// What was recorded is read with the job; rows of a kind that is not known are refused, not lost.
#[test]
fn the_history_is_read_with_the_job_and_says_how_far_rejects_come_by_the_board() {
    let shop = rails();
    shop.write("mine/shop.toml", &format!("history = \"past.csv\"\n{}", shop.read("mine/shop.toml")));
    shop.ok(&["check", JOB]);
    shop.write("cut", "board 1: 6 bowed\nboard 2: all straight\nboard 3: all straight\n");
    shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut", "--record"]);
    let past = rows(&shop.read("mine/past.csv"));
    assert_eq!((past[0]["boards"].as_str(), past[0]["kind"].as_str()), ("3", "strips"));
    let by_board: f64 = past[0]["by_board"].parse().unwrap();
    assert!(by_board > 2.0, "one bad board of three: {past:?}");
    shop.write("mine/past.csv", &shop.read("mine/past.csv").replace(",strips", ",weather"));
    shop.refused(&["check", JOB], "no row of a history tells of `weather`");
}
