//! Every way in which a command can fail says what is wrong and, in a last line of its own, what to do next.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::floor_support;

use std::fs::{self, OpenOptions};

use floor_support::{ShopFolder, text};

const STRIP: &str = "[[strip]]\nname = \"edging\"\nspecies = \"cherry\"\nlength = \"20\"\nwidth = \"3/4\"\n\
                     thickness = \"3/8\"\nquantity = 20\n";
const BOARD: &str = "six,cherry,4/4,6,96,,9.85,bf\n";

/// Runs the command and asks for its status, for `said` in what is wrong and `next` in the help after it.
#[track_caller]
fn fails(shop: &ShopFolder, arguments: &[&str], status: i32, said: &str, next: &str) {
    let output = shop.run(arguments);
    let error = text(&output.stderr);
    assert_eq!(output.status.code(), Some(status), "{arguments:?}: {error}");
    let flat = error.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut parts = flat.split("help: ");
    assert!(flat.contains(said), "{arguments:?}: `{said}` in\n{error}");
    assert!(
        parts.next().is_some() && parts.any(|help| help.contains(next)),
        "{arguments:?}: help `{next}` in\n{error}"
    );
}

fn edited(shop: &ShopFolder, file: &str, from: &str, to: &str) {
    let before = shop.read(file);
    assert!(before.contains(from), "{from} in {file}");
    shop.write(file, &before.replace(from, to));
}

#[test]
fn a_file_that_cannot_be_read() {
    let shop = ShopFolder::new();
    fails(&shop, &["check", "mine/none.toml"], 2, "there is no file", "check the spelling");
    fails(&shop, &["check", "mine"], 2, "is a folder", "name a file inside it");
    fails(&shop, &["quote", "mine/small_press.toml", "--actual", "none.csv"], 2, "there is no file", "check the path");
    fails(&shop, &["estimate", "mine/none.toml"], 2, "there is no file", "check the spelling");
    fs::write(shop.path("latin.csv"), b"what,item,actual\nhours,r\xe9p,2\n").unwrap();
    fails(
        &shop,
        &["quote", "mine/small_press.toml", "--actual", "latin.csv"],
        2,
        "is not UTF-8",
        "save the file again",
    );
}

#[test]
fn a_wrong_key_a_wrong_value_a_wrong_argument() {
    let shop = ShopFolder::new();
    edited(&shop, "mine/small_press.toml", "corner_radius", "corner_radios");
    fails(
        &shop,
        &["check", "mine/small_press.toml"],
        2,
        "unknown key `corner_radios`",
        "did you mean `corner_radius`?",
    );
    edited(&shop, "mine/small_press.toml", "corner_radios = \"3\"", "corner_radius = \"3 thumbs\"");
    fails(&shop, &["check", "mine/small_press.toml"], 2, "unknown unit `thumbs`", "use in,");
    for arguments in [&["plan", "mine/small_press.toml"][..], &["chek"], &["quote", "x.toml", "--seconds", "0"]] {
        let output = shop.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(text(&output.stderr).contains("try '--help'"), "{}", text(&output.stderr));
    }
}

#[test]
fn a_door_that_does_not_fit() {
    let shop = ShopFolder::new();
    edited(&shop, "mine/small_press.toml", "corner_radius = \"3\"", "corner_radius = \"1/2\"");
    for command in ["plan", "check", "rip"] {
        let arguments = [command, "mine/small_press.toml", "--out", "out"];
        let arguments = if command == "plan" { &arguments[..] } else { &arguments[..2] };
        fails(&shop, arguments, 1, "doors `press left`, `press right`", "change a figure in the job file");
    }
    assert!(!shop.path("out").exists());
}

#[test]
fn stock_that_runs_short() {
    let plan = ["plan", "mine/small_press.toml", "--out", "out"];
    let shop = ShopFolder::new();
    let boards = shop.read("mine/small_boards.csv");
    shop.write("mine/small_boards.csv", &boards.replace(",96,", ",20,").replace(",120,", ",20,"));
    fails(&shop, &plan, 1, "no board yields", "add a board large enough");
    shop.write("mine/small_boards.csv", &boards.replace(",96,,", ",96,0,").replace(",120,,", ",120,1,"));
    fails(&shop, &plan, 1, "run short by", "add a row for sale to the boards file");

    let shop = ShopFolder::new();
    let header = "bolt,width,selvage,on_hand_length,price,per,increment\n";
    shop.write("mine/cloth.csv", &format!("{header}narrow,10,1/2,,11.50,yard,4-1/2\n"));
    fails(&shop, &plan, 1, "wider than every bolt", "add a wider bolt");
    shop.write("mine/cloth.csv", &format!("{header}remnant,40,1/2,20,,,\n"));
    fails(&shop, &plan, 1, "the remnants run short by", "add a bolt for sale");
}

#[test]
fn more_than_can_be_counted() {
    let shop = ShopFolder::small(STRIP, BOARD);
    let job = shop.read("mine/job.toml");
    let piece = |name: &str| {
        format!("[[cloth_piece]]\nname = \"{name}\"\nalong = \"20\"\nacross = \"14\"\nquantity = 100000\n")
    };
    let pieces = job.replace("boards = ", "cloth = \"cloth.csv\"\nboards = ") + &piece("one") + &piece("two");
    shop.write("mine/many.toml", &pieces);
    fails(&shop, &["check", "mine/many.toml"], 1, "over 100000 cloth pieces", "split the job");
    // The line of the second piece, which goes over.
    let line = 1 + pieces.lines().position(|line| line == "name = \"two\"").unwrap();
    fails(
        &shop,
        &["check", "mine/many.toml"],
        1,
        &format!("error: mine/many.toml:{line}: with `two`"),
        "split the job",
    );
    let strips = job.replace("quantity = 20", "quantity = 100000").replace("reject_rate = 0.1", "reject_rate = 0.9");
    let more: String = (1..=20)
        .map(|n| STRIP.replace("edging", &format!("edging {n}")).replace("quantity = 20", "quantity = 100000"))
        .collect();
    shop.write("mine/strips.toml", &(strips.clone() + &more));
    fails(&shop, &["check", "mine/strips.toml"], 1, "strips of one size", "lower the count");
    let line = 1 + strips.lines().position(|line| line == "name = \"edging\"").unwrap();
    fails(&shop, &["check", "mine/strips.toml"], 1, &format!("error: mine/strips.toml:{line}: `edging`"), "lower");
    let press = shop.read("mine/small_press.toml");
    let (head, cabinet) = press.split_once("[[cabinet]]").unwrap();
    let kinds =
        (1..=1_001).map(|n| format!("[[cabinet]]{}\n", cabinet.replace("\"press\"", &format!("\"press {n}\""))));
    shop.write("mine/kinds.toml", &(head.to_owned() + &kinds.collect::<String>()));
    fails(
        &shop,
        &["check", "mine/kinds.toml"],
        2,
        "the job lists 1001 cabinets",
        "at most 1000; list cabinets that are alike once",
    );
    let sizes: String = (1..=151)
        .map(|n| STRIP.replace("edging", &format!("edging {n}")).replace("\"20\"", &format!("\"{n}\"")))
        .collect();
    let head = job.split("[[strip]]").next().unwrap();
    shop.write("mine/sizes.toml", &format!("{head}{sizes}"));
    let line = 2 + head.lines().count();
    let said = format!("error: mine/sizes.toml:{line}: black cherry is cut to 151 different sizes");
    fails(&shop, &["check", "mine/sizes.toml"], 1, &said, "split the job into files");
}

#[test]
fn ten_thousand_doors_are_not_too_many() {
    let shop = ShopFolder::new();
    edited(&shop, "mine/small_press.toml", "name = \"press\"", "name = \"press\"\ncount = 5000");
    let said = shop.ok(&["check", "mine/small_press.toml"]);
    assert_eq!(said.matches(" 5000 ").count(), 2, "{said}");
}

/// Odd values are asked about on standard error, before anything else, whatever the command; the answer stays the same.
#[test]
fn odd_values_are_asked_about_by_every_command() {
    let shop = ShopFolder::small(STRIP, BOARD);
    let job = "mine/job.toml";
    edited(&shop, "mine/shop.toml", "rip_kerf = \"1/8\"", "rip_kerf = \"5/8\"");
    let line = 1 + shop.read("mine/shop.toml").lines().position(|line| line.starts_with("rip_kerf")).unwrap();
    let said = format!("note: mine/shop.toml:{line}: `rip_kerf` is 5/8 in, and most blades take 1/16 to 1/4\n  in\n");
    shop.ok(&["plan", job, "--out", "out"]);
    shop.write("picked.csv", "stock,species,thickness,width,length,on_hand,price,per\nin hand,cherry,4/4,7,96,,9,bf\n");
    shop.write("cut.csv", &shop.filled(&[job, "--plan", "out"], |_, _, _| 0));
    for arguments in [
        &["check", job][..],
        &["check", job, "--csv"],
        &["quote", job],
        &["quote", job, "--plan", "out"],
        &["estimate", job],
        &["buy", job],
        &["buy", job, "--worth"],
        &["rip", job, "--csv"],
        &["plan", job, "--out", "again"],
        &["yard", job, "--picked", "picked.csv"],
        &["count", job, "--plan", "out", "--cut", "cut.csv"],
        &["rack", job, "--plan", "out", "--rack", "mine/boards.csv"],
        &["quote", job, "--freeze", "--date", "2026-03-01"],
    ] {
        let output = shop.run(arguments);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
        assert!(text(&output.stderr).starts_with(&said), "{arguments:?}: {}", text(&output.stderr));
        assert!(!text(&output.stdout).contains("most blades"), "{arguments:?}");
    }
    edited(&shop, "mine/shop.toml", "rip_kerf = \"5/8\"", "rip_kerf = \"1/8\"");
    assert_eq!(text(&shop.run(&["check", job]).stderr), "");
    // Twenty are asked, the rest counted.
    let many: String = (1..=30).map(|n| format!("thin {n},cherry,4/4,1/64,96,,9.85,bf\n")).collect();
    shop.write("mine/boards.csv", &(shop.read("mine/boards.csv") + &many));
    let said = text(&shop.run(&["check", job]).stderr);
    assert_eq!((said.lines().count(), said.lines().last()), (21, Some("note: 10 more values like these")), "{said}");
}

#[test]
fn a_place_that_cannot_be_written() {
    let shop = ShopFolder::new();
    shop.write("file", "mine");
    let plan = |out: &'static str| ["plan", "mine/small_press.toml", "--out", out];
    fails(&shop, &plan("file"), 2, "is a file", "name a folder for the plan");
    fails(&shop, &plan("file/out"), 2, "cannot make the folder", "check that you may write there");
    fs::create_dir(shop.path("taken")).unwrap();
    shop.write("taken/costs.csv", "mine");
    fails(&shop, &plan("taken"), 2, "did not write (costs.csv)", "move these files");
    shop.ok(&plan("busy"));
    let lock = OpenOptions::new().write(true).open(shop.path("busy/.slatwright-lock")).unwrap();
    lock.lock().unwrap();
    fails(&shop, &plan("busy"), 2, "another run is using", "wait for it");

    fails(&shop, &["new", "file"], 2, "is a file", "name another folder");
    fails(&shop, &["new", "file/new"], 2, "cannot write", "check that you may write there");
    shop.ok(&["new", "begun"]);
    fails(&shop, &["new", "begun"], 2, "is there already", "name another folder");
}

#[test]
fn prices_and_alternatives() {
    let shop = ShopFolder::new();
    let job = "mine/small_press.toml";
    fails(&shop, &["compare", job], 2, "no alternatives", "`[[alternative]]`");
    shop.write("a.csv", "what,item\n");
    fails(&shop, &["quote", job, "--actual", "a.csv"], 2, "the first line", "`what,item,actual`");
    shop.write("a.csv", "what,item,actual\nhours,ripping,two\n");
    fails(&shop, &["quote", job, "--actual", "a.csv"], 2, "line 2", "`hours,ripping,2.5`");
    fails(&shop, &["estimate", job, "--inside", "30 x 16"], 2, "three sizes are needed", "width x depth x height");
    fails(&shop, &["estimate", job, "--inside", "30 x 0 x 34"], 2, "cannot be 0", "above zero");
    fails(&shop, &["estimate", job, "--inside", "30 x 5//8 x 34"], 2, "not a length", "write it as 5/8");
    fails(&shop, &["estimate", job, "--inside", "30 x 4 x 34"], 1, "door", "`slatwright check`");
    fails(&shop, &["estimate", job, "--inside", "30 x 16 x 3000"], 2, "larger than any cabinet", "at most 20 m");
    let strips = ShopFolder::small(STRIP, BOARD);
    let rough = ["estimate", "mine/job.toml", "--inside", "30 x 16 x 34"];
    fails(&strips, &rough, 2, "no case given by its inside sizes", "slatwright new");
    let text = shop.read(job) + "\n[[alternative]]\nname = \"thin\"\nslat_width = \"1 m\"\n";
    shop.write("mine/thin.toml", &text);
    shop.ok(&["compare", "mine/thin.toml"]);
    let text = text.replace("slat_width = \"1 m\"", "species = \"walnut\"");
    shop.write("mine/thin.toml", &text);
    fails(&shop, &["compare", "mine/thin.toml"], 2, "the alternative `thin` makes the job wrong", "it has");
}

#[test]
fn a_command_by_its_old_name() {
    let shop = ShopFolder::empty();
    let tally = ["tally", "mine/job.toml", "--plan", "out", "--blank"];
    fails(&shop, &tally, 2, "the command `tally` is now `count`", "say `slatwright count`");
    assert!(text(&shop.run(&tally).stdout).is_empty());
}

#[test]
fn at_the_yard_and_at_the_saw() {
    let shop = ShopFolder::small(STRIP, BOARD);
    let job = "mine/job.toml";
    shop.write("picked.csv", &format!("stock,species,thickness,width,length,on_hand,price,per\n{BOARD}"));
    fails(&shop, &["yard", job, "--picked", "picked.csv"], 2, "the name of a row", "a name of its own");
    fails(&shop, &["yard", job, "--picked", "none.csv"], 2, "there is no file", "check the spelling");

    let count = |plan: &'static str, cut: &'static str| ["count", job, "--plan", plan, "--cut", cut];
    fails(&shop, &count("none", "t.csv"), 2, "there is no file", "name the folder that `slatwright plan` wrote");
    fails(&shop, &count("out", "t.csv"), 2, "there is no file", "check the spelling");
    let twice = ["count", job, "--plan", "out", "--cut", "t.csv", "--cut", "t.csv"];
    fails(&shop, &twice, 2, "`t.csv` and `t.csv` are one file", "name each count once");
    shop.write("t.csv", "board,part,straight,rejected\n9,S01,1,0\n");
    fails(&shop, &count("out", "t.csv"), 2, "no board 9", "its boards are 1 to");
    fails(&shop, &["count", job, "--plan", "out", "--record"], 2, "names no history file", "add a line such as");

    let blank = text(&shop.run(&["count", job, "--plan", "out", "--blank"]).stdout);
    let mut rows: Vec<String> = blank.lines().map(str::to_owned).collect();
    for row in &mut rows[1..] {
        let mut cells: Vec<String> = row.split(',').map(str::to_owned).collect();
        (cells[3], cells[4]) = ("0".to_owned(), cells[2].clone());
        *row = cells.join(",");
    }
    shop.write("t.csv", &rows.join("\n"));
    let output = shop.run(&count("out", "t.csv"));
    assert!(output.status.success(), "all rejected is still an answer: {}", text(&output.stderr));

    edited(&shop, job, "quantity = 20", "quantity = 30");
    fails(&shop, &count("out", "t.csv"), 2, "is needed 30 times", "the plan of this very job");
    edited(&shop, job, "length = \"20\"", "length = \"21\"");
    fails(&shop, &count("out", "t.csv"), 2, "is no part of this job", "the plan of this very job");
    shop.write("out/slats.csv", "part,species\nS01\n");
    fails(&shop, &count("out", "t.csv"), 2, "not as slatwright wrote it", "the plan of this very job");
}

#[test]
fn the_rack() {
    let shop = ShopFolder::small(STRIP, "held,cherry,4/4,6,96,5,,\n");
    let rack = |file: &'static str| ["rack", "mine/job.toml", "--plan", "out", "--rack", file];
    fails(&shop, &rack("none.csv"), 2, "there is no file", "check the path");
    fs::write(shop.path("latin.csv"), b"stock\xe9\n").unwrap();
    fails(&shop, &rack("latin.csv"), 2, "not UTF-8", "save the file again as UTF-8");
    fails(&shop, &rack("mine/harbour_boards.csv"), 2, "no longer holds it", "bring its row up to date by hand");
    let seen = ["rack", "mine/job.toml", "--plan", "out", "--rack", "mine/boards.csv", "--update", "--seen", "x"];
    fails(&shop, &seen, 2, "changed since it had that mark", "ask again");
    let lock = OpenOptions::new().create(true).truncate(false).write(true).open(shop.path("mine/.boards.csv.lock"));
    let lock = lock.unwrap();
    lock.lock().unwrap();
    let mut update = rack("mine/boards.csv").to_vec();
    update.push("--update");
    fails(&shop, &update, 2, "another run is writing", "wait for it");
}

#[test]
fn jobs_that_do_not_go_together() {
    let shop = ShopFolder::small(STRIP, BOARD);
    let both = ["plan", "mine/job.toml", "mine/other.toml", "--out", "both"];
    let job = shop.read("mine/job.toml");
    shop.write("mine/other.toml", &job);
    fails(&shop, &both, 2, "two jobs are named `bench`", "its own `name`");
    let other = job.replace("name = \"bench\"", "name = \"other\"");
    shop.write("mine/other.toml", &other.replace("confidence = 0.9", "confidence = 0.8"));
    fails(&shop, &both, 2, "have different spares", "plan the jobs apart");
    shop.write("mine/other.toml", &other.replace("boards.csv", "other.csv"));
    shop.write("mine/other.csv", &shop.read("mine/boards.csv").replace(",96,", ",120,"));
    fails(&shop, &both, 2, "two different rows named `six`", "make the two rows alike");
    shop.write("mine/other.toml", "name = 3\n");
    fails(&shop, &both, 2, "`name` is a number", "it takes a text");
}
