//! Boards cut crosscut first: blanks, their rips, kerfs, thickness and millings.

use slatwright::job::{Millings, Order, Species};

use crate::common::plans::{Planned, blank, board_plan, cut, lay, no_cloth, press, rips, strips_job};
use crate::common::{board, inch, strip};
use crate::verify::hand_made::{first_blank, on_edge, resawn};
use crate::verify::judged::{named, right, with, wrong};

#[test]
fn surfaced_stock_gives_up_no_more_than_it_has() {
    let surfaced = |thickness: &str| {
        let mut plan = press();
        plan.job.boards[0].thickness = slatwright::measure::parse_thickness(thickness, plan.job.units).unwrap();
        plan.billed()
    };
    for thickness in ["3/8", "7/16", "4/4 s2s 13/16", "1/2"] {
        right(&surfaced(thickness));
    }
    named(surfaced("5/16"), |_| {}, "board 3, blank 1 takes 3/8 in of thickness for 1 leaves, the board has 5/16 in");
}

#[test]
fn blanks_that_break_a_rule_are_named() {
    // 3 x 29-1/16 and two kerfs are 87-7/16 of 93: 35 takes the first board to 93-3/8.
    wrong(
        press(),
        |p| first_blank(p).length = inch("35"),
        &["the blanks of board 1 take 93-3/8 in with their kerfs, 93 in can be used"],
    );
    // 34-5/8 leaves no room for the kerfs: 92-3/4 without them, exactly 93 with them.
    let longer = |p: &mut Planned| {
        first_blank(p).length = inch("34-5/8");
        lay(&p.job, &p.demand, &mut p.boards.boards[0]);
    };
    right(&with(press(), longer));
    wrong(
        press(),
        |p| first_blank(p).length = inch("34-41/64"),
        &["the blanks of board 1 take 93-1/64 in with their kerfs, 93 in can be used"],
    );
    wrong(
        press(),
        |p| first_blank(p).length = inch("29"),
        &[
            "the pieces of one rip of board 1, blank 1 take 29-1/16 in with their kerfs, 29 in is there",
            "the pieces of one rip of board 1, blank 1 take 29-1/16 in with their kerfs, 29 in is there",
        ],
    );
    named(
        press(),
        |p| p.job.shop.cutting.min_blank = inch("30"),
        "board 3, blank 1 is 29-1/16 in long, under the least of 30 in",
    );
    named(
        press(),
        |p| p.job.shop.cutting.max_blank = Some(inch("29")),
        "board 1, blank 2 is 29-1/16 in long, over the most of 29 in",
    );
    named(press(), |p| first_blank(p).rips.clear(), "board 1, blank 1 has nothing ripped from it");
    wrong(
        press(),
        |p| p.boards.boards[2].order = Order::RipFirst,
        &[
            "board 3 is cut rip-first, which the shop rules out",
            "board 3, blank 1 is a full-length rip of 29-1/16 in, the board gives 93 in",
        ],
    );
}

#[test]
fn a_missing_kerf_or_held_strip_is_named() {
    // Five slats and a lead slat take 5 in with five kerfs, and 5 in is all there is: a sixth kerf parts the last of
    // them from the 5/8 that is held.
    for (rule, least) in [("rip_kerf", "9/64"), ("hold_width", "41/64"), ("edge_trim", "17/64")] {
        let (needed, usable) = match rule {
            "rip_kerf" => ("5-5/64", "4-63/64"),
            _ => ("5", "4-63/64"),
        };
        let damage = |p: &mut Planned| {
            let rules = &mut p.job.shop.cutting;
            match rule {
                "rip_kerf" => rules.rip_kerf = inch(least),
                "hold_width" => rules.hold_width = inch(least),
                _ => rules.edge_trim_crosscut = inch(least),
            }
        };
        let text = |blank| {
            format!("the rips of board 1, blank {blank} take {needed} in with their kerfs, {usable} in can be used")
        };
        wrong(press(), damage, &[&text(1), &text(2)]);
    }
    // Where nothing is held the last strip needs no cut of its own.
    let nothing_held = |p: &mut Planned, edge: &str| {
        let rules = &mut p.job.shop.cutting;
        (rules.hold_width, rules.edge_trim_crosscut) = (inch("0"), inch(edge));
    };
    right(&with(press(), |p| nothing_held(p, "1")));
    let text = |blank| format!("the rips of board 1, blank {blank} take 5 in with their kerfs, 4-63/64 in can be used");
    wrong(press(), |p| nothing_held(p, "1-1/64"), &[&text(1), &text(2)]);
    let ends = |p: &mut Planned| p.job.shop.cutting.end_trim = inch("4-19/64");
    named(press(), ends, "the blanks of board 1 take 87-7/16 in with their kerfs, 87-13/32 in can be used");
    let trim = |p: &mut Planned| p.job.shop.cutting.length_trim = inch("33/64");
    named(
        press(),
        trim,
        "the pieces of one rip of board 3, blank 1 take 29-5/64 in with their kerfs, 29-1/16 in is there",
    );
}

#[test]
fn pieces_of_one_rip_are_kept_apart_by_the_crosscut_kerf() {
    let two = |length: &str| {
        let mut job = strips_job(vec![strip("slip", "12", "1", "3/8", 8)]);
        job.boards = vec![board("cherry 6", "4/4", "6", "30", "8", 1000)];
        let blank = blank(length, "3/8", vec![rips(0, "1", 4, 2)]);
        Planned::new(job, board_plan(vec![cut(0, Order::CrosscutFirst, vec![blank])], 1000), no_cloth(0))
    };
    right(&two("25-1/8"));
    wrong(
        two("25"),
        |_| {},
        &["the pieces of one rip of board 1, blank 1 take 25-1/8 in with their kerfs, 25 in is there"],
    );
}

#[test]
fn rips_that_are_not_the_parts_are_named() {
    wrong(
        press(),
        |p| first_blank(p).rips[0].rip_width = inch("9/16"),
        &["board 1, blank 1 rips part S01 to 9/16 in, not 5/8 in"],
    );
    let trimmed = |p: &mut Planned| p.job.shop.cutting.rip_trim = inch("1/64");
    named(press(), trimmed, "board 3, blank 1 rips part S01 to 5/8 in, not 41/64 in");
    wrong(
        press(),
        |p| first_blank(p).planed = inch("5/16"),
        &[
            "board 1, blank 1 is planed to 5/16 in, part S01 takes 3/8 in",
            "board 1, blank 1 is planed to 5/16 in, part S02 takes 3/8 in",
        ],
    );
    wrong(
        press(),
        |p| first_blank(p).rips.reverse(),
        &["the rows of board 1, blank 1 are not in the order of their parts"],
    );
    wrong(press(), |p| first_blank(p).rips[0].rips = 4, &["part S01 asks for 40 strips, 39 are cut"]);
    named(
        press(),
        |p| first_blank(p).rips[1].pieces = 0,
        "board 1, blank 1 has a row for part S02 without rips or without pieces",
    );
    named(press(), |p| first_blank(p).rips[1].part = 7, "board 1, blank 1 rips part number 7, which is not there");
    let walnut = |p: &mut Planned| p.job.boards[0].species = Species::settled("black walnut");
    named(press(), walnut, "board 3, blank 1 rips part S01 of black cherry from black walnut");
}

#[test]
fn thickness_and_leaves_are_checked() {
    // Planing 15/16 takes 1-1/8 of rough thickness.
    let thick = |p: &mut Planned| first_blank(p).planed = inch("15/16");
    named(press(), thick, "board 1, blank 1 takes 1-1/8 in of thickness for 1 leaves, the board has 1 in");
    wrong(
        press(),
        |p| first_blank(p).leaves = 0,
        &[
            "board 1, blank 1 has no leaves",
            "part S01 asks for 40 strips, 35 are cut",
            "part S02 asks for 2 strips, 1 are cut",
        ],
    );
    // Three leaves take 3 (7/16) + 2 (1/8) + 3 (1/16) = 1-3/4.
    wrong(
        resawn(),
        |p| first_blank(p).leaves = 3,
        &["board 1, blank 1 takes 1-3/4 in of thickness for 3 leaves, the board has 1-1/4 in"],
    );
    wrong(
        resawn(),
        |p| p.job.shop.cutting.resaw = false,
        &["board 1, blank 1 is resawn into 2 leaves, the shop does not resaw"],
    );
    let cupped = |p: &mut Planned| p.job.shop.cutting.leaf_trim = inch("1/8");
    right(&with(resawn(), cupped));
    let cupped = |p: &mut Planned| p.job.shop.cutting.leaf_trim = inch("9/64");
    wrong(resawn(), cupped, &["board 1, blank 1 takes 1-9/32 in of thickness for 2 leaves, the board has 1-1/4 in"]);
    wrong(resawn(), |p| first_blank(p).leaves = 1, &["part S01 asks for 10 strips, 5 are cut"]);
    // From 8/4 up the faces take 1/8 each: 1-3/4 is the most that can be planed.
    let thick = |p: &mut Planned| p.job.shop.cutting.face_trim_thick = inch("17/64");
    wrong(on_edge(), thick, &["board 1, blank 1 takes 2-1/32 in of thickness for 1 leaves, the board has 2 in"]);
    right(&with(on_edge(), |p| p.job.shop.cutting.face_trim_thin = inch("1")));
}

#[test]
fn millings_are_checked() {
    wrong(
        on_edge(),
        |p| p.demand.parts[0].millings = Millings::Flat,
        &[
            "no part holds the 14 strips that `lipping` asks for",
            "part S01 is asked for by no door and no loose strip",
            "board 1, blank 1 mills part S01 on edge, which the part does not allow",
        ],
    );
    wrong(
        on_edge(),
        |p| first_blank(p).rips[0].rip_width = inch("1/4"),
        &["board 1, blank 1 rips part S01 to 1/4 in, not 9/32 in"],
    );
    // A second blank of the same part, milled flat, each of them right by itself.
    let flat = |p: &mut Planned| {
        let flat = blank("20-1/2", "1/4", vec![rips(0, "1-1/2", 3, 1)]);
        p.boards.boards[0].blanks.push(flat);
        lay(&p.job, &p.demand, &mut p.boards.boards[0]);
    };
    wrong(on_edge(), flat, &["part S01 is milled flat on one board and on edge on another"]);
}
