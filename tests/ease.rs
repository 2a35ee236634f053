//! Plans made easier to cut: the rules still hold, nothing costs more, and every wish is met at least as
//! well as before.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use crate::boards_support;
use crate::common::some_of;

use boards_support::jobs::{Dice, Size, job};
use boards_support::{board, faults, shop_rules, strip};
use slatwright::job::{Milling, Order, OrderRule};
use slatwright::measure::{Cents, Length};
use slatwright::packing::boards::{Blank, BoardPlan, BoardProblem, CutBoard, RipGroup, pack};
use slatwright::packing::bundles::Want;
use slatwright::packing::ease::{Eased, ease};
use slatwright::packing::{Budget, Flow};

/// Doors that share out the even parts as slats and the odd ones as lead slats.
fn wants(problem: &BoardProblem) -> Vec<Want> {
    let mut wants = Vec::new();
    for slats in (0..problem.parts.len()).step_by(2) {
        let doors = (problem.parts[slats].count / 30).max(1);
        let each = problem.parts[slats].count / doors * 9 / 10;
        let lead = problem.parts.get(slats + 1).filter(|lead| lead.count >= doors).map(|_| (slats + 1, 1));
        let takes: Vec<(usize, u64)> = [(slats, u64::from(each))].into_iter().chain(lead).collect();
        wants.extend((0..doors).map(|_| Want { takes: takes.clone(), door: true }));
    }
    wants
}

fn stock_of(plan: &BoardPlan) -> Vec<usize> {
    let mut stock: Vec<usize> = plan.boards.iter().map(|board| board.stock).collect();
    stock.sort_unstable();
    stock
}

fn strips_of(problem: &BoardProblem, plan: &BoardPlan) -> Vec<u64> {
    let mut strips = vec![0; problem.parts.len()];
    for (part, count) in plan.boards.iter().flat_map(CutBoard::strips) {
        strips[part] += count;
    }
    strips
}

fn eased(problem: &BoardProblem, plan: &BoardPlan) -> Eased {
    let eased = ease(problem, plan.clone(), &wants(problem)).unwrap();
    assert_eq!(faults(problem, &eased.plan), Vec::<String>::new());
    assert_eq!((eased.plan.cost, eased.plan.bound), (plan.cost, plan.bound));
    assert_eq!(stock_of(&eased.plan), stock_of(plan), "the same boards");
    assert_eq!(strips_of(problem, &eased.plan), strips_of(problem, plan), "the same strips");
    let (before, after) = (eased.before, eased.after);
    assert!(after.door_boards <= before.door_boards, "{before:?} {after:?}");
    assert!(after.blank_lengths <= before.blank_lengths, "{before:?} {after:?}");
    assert_eq!(after.rip_widths, before.rip_widths);
    let key = |ease: slatwright::packing::ease::Ease| (ease.door_boards, ease.blank_lengths, ease.fence_settings);
    assert!(key(after) <= key(before), "{before:?} {after:?}");
    eased
}

#[test]
fn made_up_shops_stay_right_and_get_no_worse() {
    let (mut matched, mut fewer, mut calmer) = (0, 0, 0);
    for seed in 0..some_of(80) {
        let mut dice = Dice::new(seed);
        let size = Size::any(&mut dice);
        let problem = job(&mut dice, size);
        let budget = Budget { nodes: 20, tries: 20 };
        let Ok(plan) = pack(&problem, &budget, &mut |_| Flow::Continue) else { continue };
        let eased = eased(&problem, &plan);
        let (before, after) = (eased.before, eased.after);
        let again = ease(&problem, plan, &wants(&problem)).unwrap();
        assert_eq!(again, eased, "the same every time");
        matched += u32::from(after.door_boards < before.door_boards);
        fewer += u32::from(after.blank_lengths < before.blank_lengths);
        calmer += u32::from(after.fence_settings < before.fence_settings);
    }
    assert!(matched >= some_of(5) && fewer >= some_of(6) && calmer >= some_of(7), "{matched} {fewer} {calmer}");
}

fn blank(length: i64, part: usize, width: i64, rips: u32) -> Blank {
    Blank {
        length: Length::from_64ths(length),
        milling: Milling::Flat,
        planed: Length::from_64ths(24),
        leaves: 1,
        rips: vec![RipGroup { part, rip_width: Length::from_64ths(width), rips, pieces: 1, from: Length::ZERO }],
    }
}

fn plan(boards: Vec<Vec<Blank>>, cents: i64) -> BoardPlan {
    let cut = |blanks| CutBoard { stock: 0, order: Order::CrosscutFirst, blanks };
    let cost = Cents::new(cents);
    BoardPlan {
        boards: boards.into_iter().map(cut).collect(),
        cost,
        bound: cost,
        optimal: true,
        cut_short: false,
        ranges: Vec::new(),
    }
}

/// Two boards of 60 in, 57 usable: 24-1/2 and 20-1/2 on one, 30-1/2 on the other. The short blank grows to
/// 24-1/2, so that two lengths are left; then 30-1/2 and 24-1/2 share a board, 55-1/8 with their kerf, and the
/// other keeps 60 less an end of 1-1/2, 24-1/2 and a kerf: 33-7/8. Alone 30-1/2 left 27-7/8.
#[test]
fn lengths_are_shared_and_waste_is_gathered_on_one_board() {
    let rules = shop_rules(OrderRule::Only(Order::CrosscutFirst));
    let parts = vec![strip(30 * 64, 40, 24, 4), strip(24 * 64, 40, 24, 4), strip(20 * 64, 40, 24, 4)];
    let problem = BoardProblem { parts, stock: vec![board(60 * 64, 5 * 64, None, 1000)], rules };
    let long = blank(30 * 64 + 32, 0, 40, 4);
    let (middle, short) = (blank(24 * 64 + 32, 1, 40, 4), blank(20 * 64 + 32, 2, 40, 4));
    let found = eased(&problem, &plan(vec![vec![middle, short], vec![long]], 2000));
    assert_eq!((found.before.blank_lengths, found.after.blank_lengths), (3, 2));
    let length = |ease: slatwright::packing::ease::Ease| ease.offcut.unwrap().length;
    assert_eq!(length(found.before), Length::from_64ths(27 * 64 + 56));
    assert_eq!(length(found.after), Length::from_64ths(33 * 64 + 56));
}
