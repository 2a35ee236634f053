//! The rack: offcuts come out as boards, the file changes at once or not at all.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::floor_support;
use crate::pages::sheets::undressed;

use std::fs;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::Instant;

use floor_support::{ShopFolder, rows};

const UPDATE: [&str; 7] = ["rack", "mine/job.toml", "--plan", "out", "--rack", "mine/boards.csv", "--update"];

/// Four rails from a rack board twice as long as they need.
fn rails() -> ShopFolder {
    let strip = "[[strip]]\nname = \"rail\"\nspecies = \"cherry\"\nlength = 30\nwidth = \"5/8\"\n\
                 thickness = \"3/8\"\nquantity = 4\nspares = \"none\"\n";
    ShopFolder::small(strip, "\"my board, best\",cherry,4/4,6,96,2,,\nsale,cherry,4/4,6,96,,30.00,each\n")
}

#[test]
fn offcuts_come_out_as_boards_that_the_next_job_cuts() {
    let shop = rails();
    let before = shop.read("mine/boards.csv");
    let said = shop.ok(&UPDATE[..6]);
    assert!(said.contains("Nothing has been written yet") && said.contains("--seen"), "{said}");
    assert_eq!(shop.read("mine/boards.csv"), before);

    shop.ok(&UPDATE);
    let rack = rows(&shop.read("mine/boards.csv"));
    let row = |name: &str| rack.iter().find(|row| row["stock"].contains(name)).unwrap();
    assert_eq!(row("my board")["on_hand"], "1");
    let offcut = row("offcut");
    // What it is known by stands on the helper's sheet, on the rack and on the piece itself.
    let mark = offcut["stock"].split([' ', ',']).nth(1).unwrap();
    assert!(mark.ends_with("-1") && shop.read("out/pages/rip.html").contains(mark), "{mark}");
    assert!(said.contains(&format!("Pencil these marks on the offcuts: {mark}.")), "{said}");
    // 96 less one end trim, one blank of 30-1/2 and its kerf.
    assert_eq!((offcut["width"].as_str(), offcut["length"].as_str()), ("6", "63.875"));
    assert!(offcut["from"].contains("bench, board 1: my board, best"), "{offcut:?}");
    assert_eq!(shop.read("mine/boards.csv.bak"), before);

    let again = shop.ok(&UPDATE);
    assert!(again.contains("Nothing to change"), "{again}");
    assert_eq!(rows(&shop.read("mine/boards.csv")).len(), 3);

    // The offcut is then the only board on hand.
    shop.write("mine/boards.csv", &shop.read("mine/boards.csv").replace(",96,1,", ",96,0,"));
    let next = shop.read("mine/job.toml").replace("\"bench\"", "\"next\"");
    shop.write("mine/job.toml", &next.replace("length = 30", "length = 58"));
    let plan = shop.ok(&["plan", "mine/job.toml", "--out", "next"]);
    assert!(shop.read("next/boards.csv").contains("offcut "), "{plan}");
}

/// Two builds of one job are cut by the same lists, and each takes its own boards; one build is taken off once.
#[test]
fn a_second_build_takes_its_own_boards_off_the_rack() {
    let shop = rails();
    // Nothing worth keeping is left of 96 in.
    shop.write("mine/job.toml", &shop.read("mine/job.toml").replace("length = 30", "length = 60"));
    for left in ["1", "0"] {
        shop.ok(&["plan", "mine/job.toml", "--out", "out"]);
        shop.ok(&UPDATE);
        let again = shop.ok(&UPDATE);
        assert!(again.contains("Nothing to change.\nBoard 1: on the rack's record already."), "{again}");
        assert_eq!(rows(&shop.read("mine/boards.csv"))[0]["on_hand"], left);
    }
    let csv = shop.ok(&[&UPDATE[..6], &["--csv"]].concat());
    assert_eq!(rows(&csv)[0]["change"], "pass over");
}

#[test]
fn boards_that_are_passed_over_are_named_with_the_reason() {
    let shop = rails();
    let part = rows(&shop.read("out/slats.csv"))[0]["part"].clone();
    shop.write("cut.csv", &format!("board,part,straight,rejected\n1,{part},,\n"));
    let said = shop.ok(&[&UPDATE[..6], &["--cut", "cut.csv"]].concat());
    assert!(said.contains("Board 1: not counted whole yet."), "{said}");
}

/// The piece past the blank is rough, the one beside its rips planed: both are offcuts, and the helper's sheet, the
/// rack and the summary say the same of them.
#[test]
fn sheet_rack_and_summary_agree_about_what_is_worth_keeping() {
    let strip = |name: &str, length: u32| {
        format!(
            "[[strip]]\nname = \"{name}\"\nspecies = \"cherry\"\nlength = {length}\nwidth = 2\n\
             thickness = \"3/8\"\nquantity = 1\nspares = \"none\"\n"
        )
    };
    let shop = ShopFolder::small(&(strip("rail", 60) + &strip("stile", 20)), "mine,cherry,4/4,12,96,1,,\n");
    shop.ok(&UPDATE);
    let kept: Vec<_> =
        rows(&shop.read("mine/boards.csv")).into_iter().filter(|row| row["stock"].contains("offcut")).collect();
    let sheet = shop.read("out/pages/rip.html");
    let listed = undressed(sheet.split("Offcuts to keep").nth(1).unwrap());
    assert_eq!(listed.matches("<tr>").count() - 1, kept.len(), "{listed}");
    for offcut in &kept {
        let mark = offcut["stock"].split([' ', ',']).nth(1).unwrap();
        assert!(listed.contains(&format!("<td>{mark}</td>")), "{mark} in {listed}");
    }
    let thick: Vec<&str> = kept.iter().map(|row| row["thickness"].as_str()).collect();
    assert!(thick.contains(&"0.375") && thick.contains(&"4/4 rough"), "{kept:?}");
    let figure = |row: &std::collections::BTreeMap<String, String>, name: &str| row[name].parse::<f64>().unwrap();
    let face = |row: &std::collections::BTreeMap<String, String>| figure(row, "width") * figure(row, "length");
    let largest = kept.iter().map(face).fold(0.0, f64::max);
    let summary = rows(&shop.read("out/summary.csv"));
    let said = |name: &str| figure(summary.iter().find(|row| row["figure"] == name).unwrap(), "value");
    assert!((said("largest_offcut_width") * said("largest_offcut_length") - largest).abs() < 1.0, "{largest}");
}

/// The same with a knot and a split that the boards have: both lie in what is left.
#[test]
fn a_leftover_keeps_the_defects_that_lie_in_it() {
    let shop = rails();
    let header = "stock,species,thickness,width,length,on_hand,price,per,defects\n";
    let boards = "\"my board, best\",cherry,4/4,6,96,2,,,90..90.25;70..73\nsale,cherry,4/4,6,96,,30.00,each,\n";
    shop.write("mine/boards.csv", &format!("{header}{boards}"));
    shop.ok(&["plan", "mine/job.toml", "--out", "out"]);
    assert_eq!(rows(&shop.read("out/boards.csv"))[0]["defects"], "70..73;90..90.25");
    assert_eq!(rows(&shop.read("out/rips.csv"))[0]["from"], "1.5");

    let before = shop.read("mine/boards.csv");
    for after in [before.replace("70..73", "70..74"), before.replace(";70..73", "")] {
        shop.write("mine/rack.csv", &after);
        shop.refused(&[&UPDATE[..5], &["mine/rack.csv", "--update"]].concat(), "with those defects");
    }
    shop.ok(&UPDATE);
    let rack = rows(&shop.read("mine/boards.csv"));
    let row = |name: &str| rack.iter().find(|row| row["stock"].contains(name)).unwrap();
    assert_eq!(row("my board")["defects"], "90..90.25;70..73", "as it was written");
    // The blank ends at 32, its kerf at 32-1/8: the knot lies 37-7/8 from there.
    let offcut = row("offcut");
    assert_eq!((offcut["length"].as_str(), offcut["defects"].as_str()), ("63.875", "37.875..40.875;57.875..58.125"));
}

/// Of a board that is cut on both sides of a knot the longest piece left is kept.
#[test]
fn what_is_left_between_two_blanks_is_kept_too() {
    let strip = "[[strip]]\nname = \"rail\"\nspecies = \"cherry\"\nlength = 30\nwidth = 1\n\
                 thickness = \"3/8\"\nquantity = 8\nspares = \"none\"\n";
    let shop = ShopFolder::small(strip, "sale,cherry,4/4,6,96,,30.00,each\n");
    let header = "stock,species,thickness,width,length,on_hand,price,per,defects\n";
    // 76-1/2 in clear before the knot, 31-1/2 behind it: one blank of 30-1/2 in each.
    shop.write(
        "mine/boards.csv",
        &format!("{header}mine,cherry,4/4,6,114,1,,,78..81\nsale,cherry,4/4,6,96,,30.00,each,\n"),
    );
    shop.ok(&["plan", "mine/job.toml", "--out", "out"]);
    let rips = rows(&shop.read("out/rips.csv"));
    let from: Vec<&str> = rips.iter().map(|row| row["from"].as_str()).collect();
    assert_eq!(from, ["1.5", "81"]);
    shop.ok(&UPDATE);
    let rack = rows(&shop.read("mine/boards.csv"));
    let offcut = rack.iter().find(|row| row["stock"].contains("offcut")).unwrap();
    // From 32-1/8 to the kerf before 81: the knot is the last 3 in less that kerf.
    assert_eq!((offcut["length"].as_str(), offcut["defects"].as_str()), ("48.75", "45.875..48.75"));
}

#[test]
fn err_a_rack_that_changed_or_makes_no_sense_stays() {
    let shop = rails();
    let before = shop.read("mine/boards.csv");
    shop.refused(&[&UPDATE[..], &["--seen", "0000000000000000"]].concat(), "changed since");
    for (after, said) in [
        (before.replace("96,2,", "96,0,"), "rack changed"),
        (before.replace(",6,96,2", ",5,96,2"), "rack changed"),
        (before.replace("4/4", "nonsense"), "thickness"),
        (before.replace("stock,", "shtock,"), "shtock"),
        (String::new(), "empty"),
    ] {
        shop.write("mine/rack.csv", &after);
        shop.refused(&[&UPDATE[..5], &["mine/rack.csv", "--update"]].concat(), said);
    }
    shop.refused(&[&UPDATE[..5], &["mine/shop.toml", "--update"]].concat(), "column");
    shop.refused(&[&UPDATE[..5], &["mine/none.csv", "--update"]].concat(), "none.csv");
}

#[test]
fn of_many_writers_at_once_one_wins_and_the_others_are_told_or_find_it_done() {
    let shop = rails();
    let children: Vec<_> = (0..8)
        .map(|_| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_slatwright"));
            command.current_dir(shop.home.path()).args(UPDATE).stdout(Stdio::piped()).stderr(Stdio::piped());
            command.spawn().unwrap()
        })
        .collect();
    let mut won = 0;
    for child in children {
        let output = child.wait_with_output().unwrap();
        let (said, error) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        let told = error.contains("changed since it was read") || error.contains("another run is writing");
        won += usize::from(said.contains("Written to"));
        assert!(said.contains("Written to") || said.contains("Nothing to change") || told, "{said}{error}");
        assert_eq!(output.status.code(), Some(if told { 2 } else { 0 }));
    }
    assert_eq!(won, 1);
    assert_eq!(rows(&shop.read("mine/boards.csv")).len(), 3);
}

/// Killed at moments spread over the whole run and beyond, the rack is the old one or the new one, and the
/// next run finishes the work.
#[test]
fn killed_at_any_moment_nothing_is_lost() {
    let shop = rails();
    let before = shop.read("mine/boards.csv");
    let started = Instant::now();
    shop.ok(&UPDATE);
    let mut whole = started.elapsed();
    let after = shop.read("mine/boards.csv");
    let (mut old, mut new) = (0, 0);
    for round in 0..300u32 {
        for name in ["boards.csv.bak", ".boards.csv.part", ".boards.csv.bak-part"] {
            let _ = fs::remove_file(shop.path("mine").join(name));
        }
        shop.write("mine/boards.csv", &before);
        let mut command = Command::new(env!("CARGO_BIN_EXE_slatwright"));
        command.current_dir(shop.home.path()).args(UPDATE).stdout(Stdio::null()).stderr(Stdio::null());
        let mut child = command.spawn().unwrap();
        // 97 is prime to 300: the moments are spread evenly and in no order.
        let share = f64::from(round * 97 % 300) / 300.0 * 1.2;
        sleep(whole.mul_f64(share));
        let _ = child.kill();
        child.wait().unwrap();
        let now = shop.read("mine/boards.csv");
        assert!(now == before || now == after, "round {round}: neither old nor new:\n{now}");
        // How long a run takes changes with what else the machine does.
        if now == before {
            old += 1;
            whole = if share > 0.9 { whole.mul_f64(1.15) } else { whole };
        } else {
            new += 1;
            whole = if share < 0.6 { whole.mul_f64(0.9) } else { whole };
        }
        if let Ok(backup) = fs::read_to_string(shop.path("mine/boards.csv.bak")) {
            assert_eq!(backup, before, "round {round}");
        }
        if round % 10 == 0 {
            shop.ok(&UPDATE);
            assert_eq!(shop.read("mine/boards.csv"), after, "round {round}");
        }
    }
    assert!(old > 20 && new > 20, "kills fell before and after the change: {old} and {new}");
}
