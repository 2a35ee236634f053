//! Published and saved instances of board packing with known optima.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use crate::boards_support;
use crate::instances;

use boards_support::{bare_rules, board, faults, saved_case, strip};
use instances::PAPER_MILL;
use slatwright::job::{Order, OrderRule};
use slatwright::measure::Cents;
use slatwright::packing::boards::{BoardKind, BoardPlan, BoardProblem, BoardShortage, pack};
use slatwright::packing::{Budget, Flow};

const ORDERS: [Order; 2] = [Order::CrosscutFirst, Order::RipFirst];

fn packed(problem: &BoardProblem) -> BoardPlan {
    let plan = pack(problem, &Budget::default(), &mut |_| Flow::Continue).unwrap();
    assert_eq!(faults(problem, &plan), Vec::<String>::new());
    plan
}

/// The optima are by an arc-flow integer program, proven; crosscut first it cut one piece from each
/// rip, which `max_blank` says here.
#[test]
fn saved_cases_reach_their_proven_optima() {
    for (text, optimum) in
        [(include_str!("instances/small1.csv"), 4578), (include_str!("instances/onhand1.csv"), 15441)]
    {
        for order in ORDERS {
            let mut problem = saved_case(text, order);
            problem.rules.max_blank = problem.parts.iter().map(|part| part.length).max();
            let plan = packed(&problem);
            assert_eq!((plan.cost, plan.bound), (Cents::new(optimum), Cents::new(optimum)), "{order:?}");
        }
    }
}

/// Blanks of two or three pieces' length save a tenth of the second case: short strips lie two in a
/// rip beside long ones. (The figure is this program's own; no outside optimum is known.)
#[test]
fn several_pieces_in_a_rip_save_boards() {
    let problem = saved_case(include_str!("instances/onhand1.csv"), Order::CrosscutFirst);
    let plan = packed(&problem);
    assert_eq!((plan.cost, plan.bound), (Cents::new(14433), Cents::new(14433)));
}

/// A one-dimensional instance: rolls as boards one rip wide.
fn rolls(length: i64, pieces: &[(i64, u32)], order: Order) -> BoardProblem {
    BoardProblem {
        parts: pieces.iter().map(|&(size, count)| strip(size, 64, 64, count)).collect(),
        stock: vec![board(length, 64, None, 1)],
        rules: bare_rules(OrderRule::Only(order)),
    }
}

/// Paper mill, 5 600 mm: optimum 73 rolls (encyclopaedia article "Cutting stock problem"; the
/// optimum also recomputed over all 308 maximal patterns).
#[test]
fn the_paper_mill_needs_73_rolls() {
    for order in ORDERS {
        let plan = packed(&rolls(5600, &PAPER_MILL, order));
        assert_eq!((plan.cost, plan.bound), (Cents::new(73), Cents::new(73)), "{order:?}");
    }
}

/// Rolls of 100 in: optimum 453 (V. Chvatal, Linear Programming, 1983, chapter 13; from memory,
/// recomputed over all 37 patterns).
#[test]
fn the_textbook_rolls_need_453() {
    for order in ORDERS {
        let plan = packed(&rolls(100, &[(45, 97), (36, 610), (31, 395), (14, 211)], order));
        assert_eq!((plan.cost, plan.bound), (Cents::new(453), Cents::new(453)), "{order:?}");
    }
}

/// A problem without kerfs and trims, crosscut first: strips 1 in thick and boards in inches.
fn of_inches(strips: &[(i64, i64, u32)], stock: Vec<BoardKind>) -> BoardProblem {
    let parts = strips.iter().map(|&(length, width, count)| strip(length * 64, width * 64, 64, count)).collect();
    BoardProblem { parts, stock, rules: bare_rules(OrderRule::Only(Order::CrosscutFirst)) }
}

#[test]
fn nothing_wanted_costs_nothing() {
    let plan = packed(&of_inches(&[(10, 1, 0)], vec![]));
    assert!(plan.optimal && plan.boards.is_empty() && plan.cost == Cents::ZERO);
}

#[test]
fn a_board_that_is_cut_up_without_waste_is_proven() {
    let plan = packed(&of_inches(&[(10, 2, 6), (20, 1, 6)], vec![board(40 * 64, 6 * 64, None, 100)]));
    assert_eq!((plan.cost, plan.bound, plan.boards.len()), (Cents::new(100), Cents::new(100), 1));
}

#[test]
fn boards_that_run_out_are_named_with_what_is_missing() {
    let problem = of_inches(&[(40, 2, 5)], vec![board(40 * 64, 6 * 64, Some(1), 0)]);
    let short = pack(&problem, &Budget::default(), &mut |_| Flow::Continue);
    assert_eq!(short, Err(BoardShortage::RunsShort(vec![(0, 2)])));
}
