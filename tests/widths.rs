//! Boards of random widths: what is asked for does, whatever comes.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::boards_support;

use boards_support::jobs::Dice;
use boards_support::{board, faults, shop_rules, sixty_fourths, strip};
use slatwright::job::{Order, OrderRule};
use slatwright::measure::{Cents, Length};
use slatwright::packing::boards::{BoardKind, BoardPlan, BoardProblem, WidthRange, at_widths, pack};
use slatwright::packing::{Budget, Flow};

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
