//! At the saw: enough or not, the least extra cutting, rejects that still serve.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::cell::Cell;
use std::collections::BTreeMap;

use crate::common::all_cases;
use crate::floor_support;

use floor_support::{ShopFolder, rows};

pub(crate) const JOB: &str = "mine/job.toml";

/// Long and short rails of one section.
pub(crate) fn rails() -> ShopFolder {
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

pub(crate) fn column(csv: &str, name: &str) -> Vec<u64> {
    rows(csv).iter().map(|row| row[name].parse().unwrap()).collect()
}

/// Before anything is cut the count believes what the plan was made with: what was asked for is what there is.
#[test]
fn a_plan_is_answered_with_the_chance_it_was_made_for() {
    let shop = rails();
    let said = shop.ok(&["count", JOB, "--plan", "out"]);
    let chance = |said: &str| -> f64 {
        let (_, rest) = said.split_once("needs cutting is ").unwrap_or_else(|| panic!("{said}"));
        rest.split_once(" %").unwrap().0.parse().unwrap()
    };
    assert!((90.0..93.0).contains(&chance(&said)), "asked for 90 %: {said}");
    // With spares of every kind, of the demo's boards.
    let strips: String = ["{ percent = 20 }", "\"none\"", "{ reject_rate = 0.2 }"]
        .iter()
        .zip(0..)
        .map(|(spares, at)| {
            format!(
                "[[strip]]\nname = \"rail {at}\"\nspecies = \"cherry\"\nlength = {}\nwidth = \"5/8\"\n\
                 thickness = \"3/8\"\nquantity = 9\nspares = {spares}\n",
                40 - 7 * at
            )
        })
        .collect();
    let by_board = "[spares]\nreject_rate = 0.15\nby_board = 2\nconfidence = 0.95";
    let changes = [("[spares]\nreject_rate = 0.12", by_board), ("", ""), ("reject_rate = 0.12", "reject_rate = 0.3")];
    for &(old, new) in if all_cases() { &changes[..] } else { &changes[..1] } {
        let demo = shop.read("mine/harbour_archive.toml");
        let cut = demo.find("[[alternative]]").unwrap();
        let demo =
            demo[..cut].replace("confidence = 0.95\n", if old.starts_with('[') { "" } else { "confidence = 0.95\n" });
        shop.write("mine/own.toml", &(demo.replace(old, new) + &strips));
        shop.ok(&["plan", "mine/own.toml", "--out", "own", "--seconds", "3"]);
        let said = shop.ok(&["count", "mine/own.toml", "--plan", "own"]);
        assert!(chance(&said) >= 95.0, "{said}");
    }
}

/// The dearer a second trip, the surer a job has to be that there is none; what the job itself asks for comes first.
#[test]
fn a_second_trip_with_its_price_says_how_sure_the_spares_have_to_be() {
    let shop = rails();
    let (job, rules) = (shop.read(JOB), shop.read("mine/shop.toml"));
    let spares = |out: &str| -> u64 { column(&shop.read(&format!("{out}/slats.csv")), "spares").iter().sum() };
    let mut before = (0.0, 0);
    for trip in ["1.00", "25.00", "60.00", "2000.00"] {
        shop.write("mine/shop.toml", &format!("second_trip = {trip}\n{rules}"));
        shop.write(JOB, &job.replace("confidence = 0.9\n", ""));
        let said = shop.ok(&["check", JOB]).split_whitespace().collect::<Vec<_>>().join(" ");
        let (_, rest) = said.split_once(&format!("A second trip at USD {trip}: spares for ")).expect(&said);
        let percent: f64 = rest.split_once(" %").unwrap().0.parse().unwrap();
        shop.ok(&["plan", JOB, "--out", "chosen"]);
        assert!(percent >= before.0 && spares("chosen") >= before.1, "{trip}: {percent} after {before:?}");
        before = (percent, spares("chosen"));
        let asked = shop.ok(&["count", JOB, "--plan", "chosen"]).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(asked.contains(&format!("the job asks for {percent:.1} %")), "{asked}");
        // The same confidence asked for by the job itself comes to the same.
        shop.write(JOB, &job.replace("confidence = 0.9\n", &format!("confidence = {:.4}\n", percent / 100.0)));
        shop.ok(&["plan", JOB, "--out", "asked"]);
        assert_eq!(spares("asked"), spares("chosen"), "{trip}");
        assert!(!shop.ok(&["check", JOB]).contains("second trip"));
    }
    assert!(before.0 > 98.0, "{before:?}");
    shop.write("mine/shop.toml", &format!("second_trip = -1\n{rules}"));
    shop.refused(&["check", JOB], "second_trip");
}

/// Rates by length and wood, from the job file; the last one has to be for all that are left.
#[test]
fn rates_by_length_and_wood_are_read_and_said() {
    let shop = rails();
    let job = shop.read(JOB).replace("spares = { reject_rate = 0.1 }\n", "");
    let with = |rates: &str| shop.write(JOB, &job.replace("reject_rate = 0.1\n", &format!("reject_rate = {rates}\n")));
    let door = "[[cabinet]]\nname = \"press\"\ninside_width = 36\ninside_depth = 15.5\ninside_height = 28\n\
                doors = \"left\"\nsetback = 0.75\ncorner_radius = 3\ngroove_width = 0.25\ngroove_depth = 0.3125\n\
                slats = { species = \"cherry\", width = 0.625, thickness = 0.375, lead_width = 1.125, \
                rabbet_depth = 0.21875, rabbet_length = 0.375 }\n";
    shop.write(
        "mine/cloth.csv",
        "bolt,width,selvage,on_hand_length,price,per,increment\nduck,60,0.5,,12.00,yard,4.5\n",
    );
    let job = job.replace("boards = ", "cloth = \"cloth.csv\"\nboards = ") + door;
    let with_door =
        |rates: &str| shop.write(JOB, &job.replace("reject_rate = 0.1\n", &format!("reject_rate = {rates}\n")));
    with_door("[{ under = 30, rate = 0.08 }, { rate = 0.2 }]");
    assert!(shop.ok(&["check", JOB]).contains("8.0 % looked for"));
    with_door("[{ species = \"walnut\", rate = 0.08 }, { rate = 0.2 }]");
    assert!(shop.ok(&["check", JOB]).contains("20.0 % looked for"));
    for (rates, wrong) in [
        ("[{ under = 30, rate = 0.08 }]", "these rates leave out some strips"),
        ("[]", "these rates leave out some strips"),
        ("[{ under = 30 }, { rate = 0.1 }]", "rate"),
        ("[{ rate = 0.95 }]", "leaves no strip to count on"),
        ("[{ species = \"oak\", rate = 0.1 }, { rate = 0.1 }]", "oak"),
        ("[{ rate = 0.1 }]\npercent = 10", "spares are given in two ways"),
    ] {
        with(rates);
        shop.refused(&["check", JOB], wrong);
    }
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
    let left = Cell::new(bad);
    let one_board = shop.filled(&[JOB, "--plan", "out"], |_, _, yields| {
        let here = left.get().min(yields);
        left.set(left.get() - here);
        here
    });
    let clustering = |count: &str| {
        shop.write("cut.csv", count);
        rows(&shop.ok(&["count", JOB, "--plan", "out", "--cut", "cut.csv", "--csv"]))[0]["by_board"]
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
    let blank = rows(&shop.ok(&["count", JOB, "--plan", "out", "--blank"]));
    let longs = blank.iter().filter(|row| row["part"] == long).map(|row| row["yields"].parse::<u32>().unwrap());
    // No long one more than wanted is straight.
    let spoilt = Cell::new(longs.sum::<u32>() - 20);
    let count = shop.filled(&[JOB, "--plan", "out"], |_, part, yields| {
        let here = if part == short { yields / 2 } else { yields.min(spoilt.get()) };
        if part == long {
            spoilt.set(spoilt.get() - here);
        }
        here
    });
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

/// Two long rails more than wanted end a job that lacks two short ones: nobody goes to the yard. What was crosscut is
/// written into the count, and no more than there is.
#[test]
fn straight_strips_that_nobody_wants_make_shorter_ones_before_anything_is_cut() {
    let shop = rails();
    let names = rows(&shop.read("out/slats.csv"));
    let part = |length: &str| names.iter().find(|row| row["length"] == length).unwrap().clone();
    let (long, short) = (part("40"), part("18"));
    // All that is too much of either is rejected, but that two short ones are lacking and one long one is over.
    let blank = rows(&shop.ok(&["count", JOB, "--plan", "out", "--blank"]));
    let over = |of: &BTreeMap<String, String>| {
        let here = blank.iter().filter(|row| row["part"] == of["part"]);
        here.map(|row| row["yields"].parse::<u32>().unwrap()).sum::<u32>() - 21
    };
    let (spoil_long, spoil_short) = (Cell::new(over(&long)), Cell::new(over(&short) + 3));
    let count = shop.filled(&[JOB, "--plan", "out"], |_, part, yields| {
        let left = if part == long["part"] { &spoil_long } else { &spoil_short };
        let here = yields.min(left.get());
        left.set(left.get() - here);
        here
    });
    shop.write("cut.csv", &count);
    let ask = ["count", JOB, "--plan", "out", "--cut", "cut.csv"];
    let (long, short) = (&long["part"], &short["part"]);
    let said = shop.ok(&ask).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains(&format!("Crosscut 1 straight strip of {long} into 2 straight strips for {short} first")),
        "{said}"
    );
    assert!(said.contains("Enough: ") && !said.contains("Extra cutting"), "{said}");
    // It is done and written down: all there is, and nothing to crosscut any more.
    let row = count
        .lines()
        .find(|row| row.contains(long.as_str()) && row.split(',').nth(2).is_none_or(|n| n != "0"))
        .unwrap();
    let with = |cell: &str, straight_length: &str| {
        let lines = count.lines().map(|line| match line {
            "board,part,straight,rejected" => format!("{line},straight_length,crosscut_to\n"),
            line if line == row => format!("{line},{straight_length},{cell}\n"),
            line => format!("{line},,\n"),
        });
        lines.collect::<String>()
    };
    shop.write("cut.csv", &with(&format!("2 {short}"), ""));
    let csv = shop.ok(&[&ask[..], &["--csv"]].concat());
    assert_eq!((column(&csv, "straight"), column(&csv, "extra")), (vec![20, 20], vec![0, 0]), "{csv}");
    assert!(!shop.ok(&ask).contains("Crosscut"));
    for (cell, length, wrong) in [
        (format!("900 {short}"), "", "cannot have been crosscut from"),
        (format!("1 {long}"), "", "makes one of"),
        ("1 S77".to_owned(), "", "makes one of"),
        (short.clone(), "", "does not say how many strips"),
        (format!("99 {short}"), "19", "rejects"),
    ] {
        shop.write("cut.csv", &with(&cell, length));
        shop.refused(&ask, wrong);
    }
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
    let old = ["count", JOB, "--plan", "out", "--cut", "cut", "--plan", "again"];
    shop.refused(&old, "plans it anew");
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
    let kinds: Vec<&str> = past.iter().map(|row| row["kind"].as_str()).collect();
    assert_eq!(kinds, ["strips", "length", "length"], "recorded again, not twice");
    let sum = |name: &str| past[1..].iter().map(|row| row[name].parse::<u64>().unwrap()).sum::<u64>().to_string();
    assert_eq!((&past[0]["cut"], &past[0]["rejected"]), (&sum("cut"), &sum("rejected")));
    assert_eq!(past[0]["species"], "black cherry");
    let (cut, rejected): (u64, u64) = (past[0]["cut"].parse().unwrap(), past[0]["rejected"].parse().unwrap());
    assert!(rejected * 3 > cut, "{past:?}");

    // Another job of these rails begins with it: what was seen beside the 200 strips that the job's own 10 % stand for.
    let job = shop.read("mine/job.toml").replace("\"bench\"", "\"bench again\"");
    shop.write("mine/again.toml", &job);
    let csv = shop.ok(&["count", "mine/again.toml", "--plan", "out", "--csv"]);
    let rate: f64 = rows(&csv)[0]["reject_rate"].parse().unwrap();
    let by_board: f64 = rows(&csv)[0]["by_board"].parse().unwrap();
    let lot = cut as f64 / past[0]["boards"].parse::<f64>().unwrap();
    let each = 1.0 / (1.0 + (lot - 1.0) * (by_board - 1.0) / 19.0);
    let expected = (20.0 + rejected as f64 * each) / (200.0 + cut as f64 * each);
    assert!((rate - expected).abs() < 2e-3, "{rate} {expected}: {csv}");
    let said = shop.ok(&["check", "mine/again.toml"]);
    assert!(said.contains(&format!("from 1 job ({cut} strips) and what the job says")), "{said}");
    let spares = |job: &str, out: &str| -> u64 {
        shop.ok(&["plan", job, "--out", out]);
        rows(&shop.read(&format!("{out}/slats.csv"))).iter().map(|row| row["spares"].parse::<u64>().unwrap()).sum()
    };
    shop.write("mine/shop.toml", &rules);
    let before = spares("mine/again.toml", "without");
    shop.write("mine/shop.toml", &format!("history = \"past.csv\"\n{rules}"));
    let with = spares("mine/again.toml", "with");
    assert!(with > before + 5, "a bad experience asks for more spares: {before} {with}");

    shop.write("mine/past.csv", &shop.read("mine/past.csv").replace(&format!(",{rejected},"), ",999999,"));
    shop.refused(&["count", "mine/again.toml", "--plan", "out"], "cannot have been rejected");
}

/// Five thousand short strips of which one in a hundred bowed say little of long ones, of which three in ten did. The plan
/// passes the second opinion, which works the rates out by itself.
#[test]
fn long_strips_have_the_spares_of_long_strips() {
    let shop = rails();
    shop.write("mine/shop.toml", &format!("history = \"past.csv\"\n{}", shop.read("mine/shop.toml")));
    let strips = "job,species,width,thickness,boards,cut,rejected,hours,kind,length\n\
                  past,cherry,0.625,0.375,265,5300,140,1,strips,\n";
    let row =
        |cut: u32, rejected: u32, length: u32| format!("past,cherry,0.625,0.375,,{cut},{rejected},,length,{length}\n");
    let spares = |history: &str| -> Vec<u64> {
        shop.write("mine/past.csv", history);
        shop.ok(&["plan", JOB, "--out", "planned"]);
        let mut parts = rows(&shop.read("planned/slats.csv"));
        parts.sort_by_key(|part| part["length"].parse::<f64>().unwrap() as u64);
        parts.iter().map(|part| part["spares"].parse().unwrap()).collect()
    };
    let pooled = spares(strips);
    let by_length = spares(&(strips.to_owned() + &row(5_000, 50, 18) + &row(300, 90, 40)));
    assert!(by_length[1] >= pooled[1] + 3, "long: {by_length:?} {pooled:?}");
    assert!(by_length[0] <= pooled[0], "short: {by_length:?} {pooled:?}");
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
    assert!(by_board > 1.5, "one bad board of three: {past:?}");
    let text = shop.read("mine/past.csv");
    shop.write("mine/past.csv", &text.replace(",strips", ",weather"));
    shop.refused(&["check", JOB], "no row of a history tells of `weather`");
    // Rows of one length: of no length, of strips that are not there, of more than there were.
    let first = text.lines().position(|line| line.contains(",length,")).expect("a row of one length");
    let with = |change: fn(&str) -> String| -> String {
        text.lines()
            .enumerate()
            .map(|(at, line)| if at == first { change(line) } else { line.to_owned() } + "\n")
            .collect()
    };
    shop.write("mine/past.csv", &with(|line| line[..line.rfind(',').unwrap() + 1].to_owned()));
    shop.refused(&["check", JOB], "does not say which");
    shop.write("mine/past.csv", &with(|line| line.replace("black cherry", "red oak")));
    shop.refused(&["check", JOB], "belongs to no row of strips");
    let more = |line: &str| {
        let mut cells: Vec<&str> = line.split(',').collect();
        cells[5] = "9999";
        cells.join(",")
    };
    shop.write("mine/past.csv", &with(more));
    shop.refused(&["check", JOB], "come to more than the row of strips says");
}
