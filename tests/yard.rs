//! At the yard: what is covered, what is short, take it or leave it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::floor_support;

use std::time::Instant;

use floor_support::{ShopFolder, rows};

const DEMO: &str = "mine/harbour_archive.toml";
const HEADER: &str = "stock,species,thickness,width,length,on_hand,price,per\n";

/// Two strips of 30 in, each a board's whole width: a board of 65 in gives both, one of 34 in gives one.
fn two_strips() -> ShopFolder {
    let strip = "[[strip]]\nname = \"rail\"\nspecies = \"cherry\"\nlength = \"30\"\nwidth = \"1\"\n\
                 thickness = \"1/2\"\nquantity = 2\nspares = \"none\"\n";
    ShopFolder::small(strip, "sale,cherry,4/4,2-1/8,34,,10.00,each\n")
}

#[test]
fn a_board_is_worth_what_it_saves() {
    let shop = two_strips();
    shop.write("picked.csv", &format!("{HEADER}long,cherry,4/4,2-1/8,66,,15.00,each\nshort,cherry,4/4,2-1/8,34,,10.01,each\nwalnut,walnut,4/4,9,96,,1.00,each\n"));
    let said = shop.ok(&["yard", "mine/job.toml", "--picked", "picked.csv"]);
    let line = |name: &str| said.lines().find(|line| line.contains(&format!(": {name}, price"))).unwrap().to_owned();
    assert!(line("long").starts_with("TAKE IT") && line("long").contains("worth 20.00"), "{said}");
    assert!(line("short").starts_with("LEAVE IT") && line("short").contains("worth 10.00"), "{said}");
    assert!(line("walnut").starts_with("LEAVE IT") && line("walnut").contains("worth 0.00"), "{said}");
    assert_eq!(said.matches("verdict\n").count() + said.matches("verdict proven").count(), 3, "{said}");
}

/// A knot in the board in hand costs it one of its two strips, and so half its worth.
#[test]
fn a_board_in_hand_may_have_defects() {
    let shop = two_strips();
    let header = HEADER.replace("per\n", "per,defects\n");
    let row = |defects: &str| format!("{header}long,cherry,4/4,2-1/8,66,,15.00,each,{defects}\n");
    shop.write("picked.csv", &row("30..34"));
    let said = shop.ok(&["yard", "mine/job.toml", "--picked", "picked.csv"]);
    assert!(said.contains("LEAVE IT: long") && said.contains("worth 10.00"), "{said}");
    shop.write("picked.csv", &row("60..66"));
    let said = shop.ok(&["yard", "mine/job.toml", "--picked", "picked.csv"]);
    assert!(said.contains("worth 10.00"), "{said}");
    // The first strip ends at 32: the crack is the kerf between the two.
    shop.write("picked.csv", &row("32..32-1/8"));
    let said = shop.ok(&["yard", "mine/job.toml", "--picked", "picked.csv"]);
    assert!(said.contains("TAKE IT: long") && said.contains("worth 20.00"), "{said}");
    shop.write("picked.csv", &row("60..67"));
    shop.refused(&["yard", "mine/job.toml", "--picked", "picked.csv"], "outside the board");
}

#[test]
fn picked_boards_cover_their_strips_and_the_rest_is_short() {
    let shop = two_strips();
    shop.write("picked.csv", &format!("{HEADER}one,cherry,4/4,2-1/8,34,1,10.00,each\n"));
    let csv = rows(&shop.ok(&["yard", "mine/job.toml", "--picked", "picked.csv", "--csv"]));
    assert_eq!((csv[0]["wanted"].as_str(), csv[0]["from_picked"].as_str(), csv[0]["short"].as_str()), ("2", "1", "1"));
    shop.write("picked.csv", &format!("{HEADER}one,cherry,4/4,2-1/8,34,3,10.00,each\nleft,cherry,4/4,9,96,0,,\n"));
    let said = shop.ok(&["yard", "mine/job.toml", "--picked", "picked.csv"]);
    assert!(said.contains("Short: 0 strips") && said.contains("may go back: one"), "{said}");
    assert!(said.contains("Picked: 3 boards, USD 30.00"), "{said}");
}

#[test]
fn the_demo_job_is_answered_at_once_and_within_80_columns() {
    let shop = ShopFolder::new();
    shop.write("picked.csv", &format!("{HEADER}p1,cherry,4/4,6-3/8,98,1,9.85,bf\nw1,walnut,4/4,7-1/2,109,2,13.90,bf\nwide,cherry,4/4,9,121,,9.85,bf\n"));
    let started = Instant::now();
    let said = shop.ok(&["yard", DEMO, "--picked", "picked.csv"]);
    // A wide margin for a debug build on a busy machine; the release figure is far below.
    assert!(started.elapsed().as_secs_f64() < 5.0);
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    assert!(said.contains("to buy") && said.contains("wide, price"), "{said}");
    assert_eq!(said, shop.ok(&["yard", DEMO, "--picked", "picked.csv"]), "the same question, the same answer");
}

#[test]
fn err_rows_that_are_no_picked_boards() {
    let shop = two_strips();
    for (row, said) in [
        ("sale,cherry,4/4,5,96,1,,\n", "name of a row of the boards file"),
        ("a,cherry,4/4,5,96,,,\n", "price"),
        ("a,cherry,4/4,-5,96,1,,\n", "width"),
        ("a,cherry,4/4,5,96,1,,\na,cherry,4/4,5,96,1,,\n", "second stock"),
    ] {
        shop.write("picked.csv", &format!("{HEADER}{row}"));
        shop.refused(&["yard", "mine/job.toml", "--picked", "picked.csv"], said);
    }
    shop.write("picked.csv", "board,part,straight,rejected\n1,S01,1,0\n");
    shop.refused(&["yard", "mine/job.toml", "--picked", "picked.csv"], "no header");
    shop.refused(&["yard", "mine/job.toml", "--picked", "none.csv"], "none.csv");
}
