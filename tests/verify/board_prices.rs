//! Stock, prices and bounds of boards.

use slatwright::job::{BoardUnit, Order};
use slatwright::measure::Cents;
use slatwright::packing::boards::BoardPlan;

use crate::common::plans::{Planned, press};
use crate::common::price;
use crate::verify::judged::{named, right, with, wrong};

#[test]
fn an_order_that_beats_the_bound_of_all_is_named() {
    use slatwright::verify::{boards_alone, no_cheaper};
    let plan = press();
    assert!(no_cheaper(&plan.boards, Order::RipFirst, &plan.boards).is_empty());
    let cheaper = BoardPlan { cost: Cents::new(11819), ..plan.boards.clone() };
    let said: Vec<String> =
        no_cheaper(&plan.boards, Order::RipFirst, &cheaper).iter().map(ToString::to_string).collect();
    assert_eq!(said, ["all boards cut rip-first cost 118.19, less than the 118.20 that every plan is said to cost"]);
    assert!(boards_alone(&plan.job, &plan.demand.parts, &plan.boards).is_empty());
    assert_eq!(boards_alone(&plan.job, &plan.demand.parts, &cheaper).len(), 3, "cost, bound and proof");
}

#[test]
fn stock_that_runs_out_or_is_not_there_is_named() {
    named(press(), |p| p.job.boards[0].on_hand = Some(2), "3 boards of `cherry 6` are cut, 2 are on hand");
    named(press(), |p| p.boards.boards[1].stock = 4, "board 2 is cut from row 4 of the boards, which is not there");
    named(press(), |p| p.boards.boards[1].blanks.clear(), "board 2 has nothing cut from it");
}

#[test]
fn prices_of_boards_are_worked_out_again() {
    let dearer = |p: &mut Planned| p.job.boards[0].unit_cost = Cents::new(3939);
    named(press(), dearer, "a board of `cherry 6` costs 39.40, not 39.39");
    wrong(
        press(),
        |p| p.boards.cost = Cents::new(11_821),
        &[
            "the boards cost 118.20, not 118.21",
            "the boards are said to be optimal: true; they cost 118.21 with a bound of 118.20",
        ],
    );
    let bound = |bound: i64, optimal| {
        move |p: &mut Planned| {
            p.boards = BoardPlan { bound: Cents::new(bound), optimal, ..p.boards.clone() };
        }
    };
    wrong(press(), bound(11_821, false), &["the boards cost 118.20, less than the bound of 118.21 said to be proven"]);
    wrong(
        press(),
        bound(11_000, true),
        &["the boards are said to be optimal: true; they cost 118.20 with a bound of 110.00"],
    );
    wrong(
        press(),
        bound(11_820, false),
        &["the boards are said to be optimal: false; they cost 118.20 with a bound of 118.20"],
    );
    right(&with(press(), bound(11_000, false)));
}

/// By hand: 4/4 x 6 in x 96 in is 4 bf, 8 lineal feet and 0.009 438 949 m3 (144 in3 to the board foot,
/// 25.4 mm to the inch).
#[test]
fn every_unit_of_price_gives_the_price_of_a_board() {
    for (per, at, cents) in [
        (BoardUnit::BoardFoot, "9.85", 3940),
        (BoardUnit::BoardFoot, "0.0013", 1),
        (BoardUnit::LinealFoot, "1.2345", 988),
        (BoardUnit::CubicMetre, "4000", 3776),
        (BoardUnit::Each, "41.005", 4101),
    ] {
        let per_board = |p: &mut Planned| {
            p.job.boards[0].price = Some((price(at), per));
            p.job.boards[0].unit_cost = Cents::new(cents);
            p.boards.cost = Cents::new(3 * cents);
            p.boards.bound = p.boards.cost;
        };
        right(&with(press(), per_board).billed());
    }
}
