//! Boards of random widths: what is asked for does, whatever comes.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::boards_support;
use crate::common;

use boards_support::jobs::Dice;
use boards_support::{board, faults, shop_rules, sixty_fourths, strip};
use slatwright::job::{BoardUnit, Order, OrderRule};
use slatwright::measure::{Cents, Length};
use slatwright::packing::boards::{BoardKind, BoardPlan, BoardProblem, WidthRange, at_widths, pack};
use slatwright::packing::{Budget, Flow};
use slatwright::plan::{CannotPlan, plan};

const LENGTH: i64 = 96 * 64;

/// Slats and lead slats from 8 ft boards planned 7 in wide.
fn job(seed: u64) -> BoardProblem {
    let mut dice = Dice::new(seed);
    let mut parts = Vec::new();
    for _ in 0..dice.between(1, 3) {
        let length = dice.between(16 * 64, 36 * 64);
        parts.push(strip(length, 40, 24, dice.between(30, 120) as u32));
        parts.push(strip(length, 72, 24, dice.between(2, 8) as u32));
    }
    let order = [OrderRule::Only(Order::CrosscutFirst), OrderRule::Any][dice.between(0, 1) as usize];
    BoardProblem { parts, stock: vec![board(LENGTH, 7 * 64, None, 4_000)], rules: shop_rules(order) }
}

fn planned(problem: &BoardProblem, budget: Budget) -> Option<BoardPlan> {
    pack(problem, &budget, &mut |_| Flow::Continue).ok()
}

fn range(problem: &BoardProblem) -> (BoardPlan, WidthRange) {
    let plan = planned(problem, Budget { nodes: 100, tries: 16 }).unwrap();
    let (narrowest, widest, step) = (sixty_fourths(5 * 64), sixty_fourths(9 * 64), sixty_fourths(16));
    let range = at_widths(problem, &plan, 0, (narrowest, widest, step), &mut |_| Flow::Continue);
    (plan, range)
}

/// The job with boards of one width, or of several, one of each.
fn with_widths(problem: &BoardProblem, widths: &[Length], available: Option<u32>) -> BoardProblem {
    let kind = |&width: &Length| BoardKind { width, available, cost: Cents::ZERO, ..problem.stock[0].clone() };
    BoardProblem { stock: widths.iter().map(kind).collect(), ..problem.clone() }
}

#[test]
fn at_every_width_of_the_range_the_boards_asked_for_do() {
    let mut several = 0;
    for seed in 0..12 {
        let problem = job(seed);
        let (plan, range) = range(&problem);
        let ask = range.worst().unwrap().width_taken();
        assert!(ask >= sixty_fourths(7 * 64) * plan.boards.len() as i64, "seed {seed}");
        assert_eq!(range.levels.last().unwrap().to, sixty_fourths(9 * 64));
        for level in &range.levels {
            let narrow = with_widths(&problem, &[level.from], None);
            let zero = Cents::ZERO;
            let boards =
                BoardPlan { boards: level.boards.clone(), cost: zero, bound: zero, optimal: true, ..plan.clone() };
            assert_eq!(faults(&narrow, &boards), Vec::<String>::new(), "seed {seed}: {} wide", level.from.exact());
            // As many boards as the ask buys of any width of the level are at least the boards it takes.
            for width in [level.from, level.to - Length::from_nm(1)] {
                let bought = (ask.nm() + width.nm() - 1) / width.nm();
                assert!(bought >= level.boards.len() as i64, "seed {seed}");
            }
        }
        assert!(range.levels.windows(2).all(|pair| pair[0].boards.len() > pair[1].boards.len()), "seed {seed}");
        several += u32::from(range.levels.len() > 1);
    }
    assert!(several >= 10, "most ranges have several levels: {several}");
}

/// Deliveries drawn evenly from the range, board by board until they come to what was asked for.
#[test]
fn mixed_deliveries_do_nearly_always() {
    let (mut enough, mut drawn) = (0, 0);
    for seed in 0..12 {
        let problem = job(seed);
        let ask = range(&problem).1.worst().unwrap().width_taken();
        let mut dice = Dice::new(seed + 500);
        for _ in 0..10 {
            let mut widths: Vec<Length> = Vec::new();
            while widths.iter().copied().sum::<Length>() < ask {
                widths.push(sixty_fourths(dice.between(5 * 8, 9 * 8) * 8));
            }
            let delivered = with_widths(&problem, &widths, Some(1));
            drawn += 1;
            enough += u32::from(planned(&delivered, Budget { nodes: 40, tries: 16 }).is_some());
        }
    }
    println!("{enough} of {drawn} deliveries did");
    assert!(enough * 100 >= drawn * 97, "{enough} of {drawn}");
}

/// Plans `quantity` strips from boards planned so wide that come from one width to another, all in sixteenths.
fn ranged(quantity: u32, width: i64, (narrowest, planned, widest): (i64, i64, i64)) -> Result<(), CannotPlan> {
    let sixteenths = |n: i64| sixty_fourths(n * 4);
    let mut job = common::plans::strips_job(vec![common::strip("slip", "28", "5/8", "3/8", quantity)]);
    job.strips[0].width = sixteenths(width);
    job.boards = vec![common::board("cherry", "4/4", "7", "96", "45.97", 4_597)];
    job.boards[0].price = Some((common::price("45.97"), BoardUnit::Each));
    job.boards[0].width = sixteenths(planned);
    (job.boards[0].random, job.boards[0].widths) = (true, Some((sixteenths(narrowest), sixteenths(widest))));
    plan(&job, &Budget { nodes: 60, tries: 8 }, &mut |_, _| Flow::Continue).map(drop)
}

/// Planned at the widest, at the narrowest, between two widths that are tried, and where only the planned width does.
#[test]
fn every_range_is_planned_or_yields_nothing() {
    let inch = |range: (i64, i64, i64)| (range.0 * 16, range.1 * 16, range.2 * 16);
    for range in [(4, 7, 7), (5, 7, 7), (6, 7, 7), (5, 5, 9), (7, 7, 7), (2, 7, 7)] {
        for quantity in [1, 22, 67, 70] {
            ranged(quantity, 10, inch(range)).unwrap();
        }
    }
    for quantity in [1, 22, 67, 70, 109, 112, 115, 118] {
        ranged(quantity, 10, inch((5, 7, 10))).unwrap();
    }
    // 4 in strips take 5-1/8 in of width: nothing narrower than the planned 5-1/8 or 5-3/16 yields one.
    for range in [(32, 82, 82), (32, 82, 160), (32, 83, 83), (32, 83, 160), (32, 83, 84)] {
        ranged(9, 64, range).unwrap();
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(120))]

    #[test]
    fn no_range_of_widths_is_refused_by_the_verifier(
        (narrowest, more, wider) in (16i64..160, 0i64..96, 0i64..96), quantity in 1u32..130, width in 6i64..48,
    ) {
        let planned = narrowest + more;
        match ranged(quantity, width, (narrowest, planned, planned + wider)) {
            // A strip that the planned width does not yield is no fault of the range.
            Ok(()) | Err(CannotPlan::Boards(..)) => {}
            Err(error) => proptest::prop_assert!(false, "{error}"),
        }
    }
}
