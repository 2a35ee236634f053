//! Cloth laid, cut and paid for wrong.

use slatwright::job::Bolt;
use slatwright::measure::{Cents, Length};

use crate::common::plans::{Planned, press};
use crate::common::{inch, ratio};
use crate::verify::hand_made::{stacks, two_levels};
use crate::verify::judged::{named, right, said, with, wrong};

#[test]
fn cloth_laid_where_it_cannot_lie_is_named() {
    let shift = |y: &'static str| move |p: &mut Planned| p.cloth.bolts[0].laid[1].y = inch(y);
    wrong(press(), shift("28-1/2"), &["bolt `no. 10 duck`: pieces C01 and C01 overlap at 0 in along"]);
    wrong(
        press(),
        shift("30-29/64"),
        &["bolt `no. 10 duck`: piece C01 reaches 59-1/64 in across, over the usable width into the selvage"],
    );
    right(&with(press(), shift("30-7/16")));
    let before = |p: &mut Planned| p.cloth.bolts[0].laid[0].y = Length::from_64ths(-1);
    wrong(press(), before, &["bolt `no. 10 duck`: piece C01 begins before the first usable corner"]);
    let small = |p: &mut Planned| p.cloth.bolts[0].laid[1].across = inch("28");
    wrong(press(), small, &["bolt `no. 10 duck`: piece C01 is laid 13-1/2 in by 28 in, not as asked for"]);
    wrong(
        press(),
        |p| p.cloth.bolts[0].laid.reverse(),
        &["bolt `no. 10 duck`: the pieces are not in order along and across"],
    );
    wrong(press(), |p| p.cloth.bolts[0].laid.truncate(1), &["piece C01 is laid 1 times, 2 are asked for"]);
    named(press(), |p| p.cloth.bolts[0].laid[1].piece = 5, "bolt `no. 10 duck`: cloth piece number 5 is not there");
    wrong(
        two_levels(),
        |p| p.demand.cloth[2].turn = false,
        &[
            "cloth piece C03 is asked for by no door and no loose piece",
            "no cloth piece is planned for `turned`",
            "bolt `linen`: piece C03 is turned, which its warp does not allow",
        ],
    );
    wrong(
        press(),
        |p| p.cloth.bolts.clear(),
        &[
            "the cloth plan has 0 bolts, the job 1",
            "piece C01 is laid 0 times, 2 are asked for",
            "the cloth costs 0.00, not 5.44",
            "the cloth takes 0 in, not 13-1/2 in",
            "nothing asks for the line `no. 10 duck` under cloth on the bill",
            "nothing asks for `no. 10 duck` on the shopping list",
        ],
    );
}

#[test]
fn levels_and_stacks_that_no_straight_cut_parts_are_named() {
    let level = "bolt `linen`: the level at 0 in is 33 in high, its tallest piece 30 in";
    named(stacks(), |p| p.cloth.bolts[0].laid[3].x = inch("21"), level);
    // The two lower pieces beside one another on the wide one: no cut along the stack passes it.
    let beside = |p: &mut Planned| {
        let laid = &mut p.cloth.bolts[0].laid;
        (laid[3].x, laid[3].y) = (inch("14"), inch("43"));
    };
    let stack = "bolt `linen`: pieces C03 and C03 at 14 in along lie beside one another in one stack";
    let said = said(&with(stacks(), beside));
    assert!(said.iter().any(|s| s == stack), "{said:#?}");
    assert!(!said.iter().any(|s| s.contains("overlap")), "{said:#?}");
}

#[test]
fn lengths_and_prices_of_cloth_are_worked_out_again() {
    let used = |p: &mut Planned| p.cloth.bolts[0].used = inch("14");
    named(press(), used, "bolt `no. 10 duck`: 13-1/2 in is used, not 14 in");
    named(press(), |p| p.cloth.length = inch("14"), "the cloth takes 13-1/2 in, not 14 in");
    let bought = |p: &mut Planned| p.cloth.bolts[0].bought = inch("54");
    named(two_levels(), bought, "bolt `linen`: 58-1/2 in is to be bought, not 54 in");
    named(press(), |p| p.cloth.bolts[0].cost = Cents::new(543), "bolt `no. 10 duck` costs 5.44, not 5.43");
    wrong(
        press(),
        |p| p.cloth.cost = Cents::new(545),
        &["the cloth costs 5.44, not 5.45", "the cloth is said to be optimal, but costs 5.45 with a bound of 5.44"],
    );
    wrong(
        press(),
        |p| p.cloth.cost_bound = Cents::new(545),
        &[
            "the cloth costs 5.44, less than the bound of 5.45 said to be proven",
            "the cloth is said to be optimal, but costs 5.44 with a bound of 5.45",
        ],
    );
    let bound = |p: &mut Planned| p.cloth.length_bound = inch("14");
    wrong(press(), bound, &["the cloth takes 13-1/2 in, less than the bound of 14 in said to be proven"]);
    let shrink = |p: &mut Planned| p.job.bolts[0].shrink_across = ratio("0.04");
    named(
        press(),
        shrink,
        "bolt `no. 10 duck`: piece C01 reaches 57-1/8 in across, over the usable width into the selvage",
    );
}

#[test]
fn a_remnant_gives_no_more_than_there_is() {
    let remnant = |on_hand: &'static str| {
        let mut plan = press();
        plan.job.bolts[0] = Bolt { on_hand: Some(inch(on_hand)), price: None, ..plan.job.bolts[0].clone() };
        plan.job.bolts[0].increment = inch("9");
        let taken = inch(on_hand).min(inch("18")).max(inch("13-1/2"));
        (plan.cloth.bolts[0].bought, plan.cloth.bolts[0].cost) = (taken, Cents::ZERO);
        (plan.cloth.cost, plan.cloth.cost_bound) = (Cents::ZERO, Cents::ZERO);
        plan.billed()
    };
    right(&remnant("20"));
    right(&remnant("15"));
    named(remnant("13"), |_| {}, "bolt `no. 10 duck`: 13-1/2 in is taken, 13 in is on hand");
}
