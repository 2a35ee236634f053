//! Boards packed with little work, or stopped: what is said of the cost holds all the same, of every wood.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::cell::Cell;
use std::time::{Duration, Instant};

use crate::boards_support;
use crate::common::{all_cases, some_of};

use boards_support::jobs::{Dice, Size, job};
use boards_support::{board, faults, strip};
use slatwright::job::Millings;
use slatwright::packing::boards::{Asked, BoardPlan, BoardProblem, pack, worths};
use slatwright::packing::{Budget, Flow};

fn made_up(seed: u64) -> BoardProblem {
    let mut dice = Dice::new(seed);
    let size = Size::any(&mut dice);
    job(&mut dice, size)
}

/// The plan when the listener has heard so much.
fn stopped_after(problem: &BoardProblem, most: u32) -> BoardPlan {
    let mut heard = 0;
    let plan = pack(problem, &Budget::default(), &mut |_| {
        heard += 1;
        if heard > most { Flow::Stop } else { Flow::Continue }
    });
    plan.unwrap()
}

/// Two jobs as one, each of a wood of its own.
fn of_two_woods(mut first: BoardProblem, second: &BoardProblem) -> BoardProblem {
    first.parts.extend(second.parts.iter().map(|part| slatwright::packing::boards::StripDemand { label: 1, ..*part }));
    let stock = second.stock.iter().cloned();
    first.stock.extend(stock.map(|kind| slatwright::packing::boards::BoardKind { label: 1, ..kind }));
    first
}

#[test]
fn no_bound_of_a_short_run_is_above_what_a_long_one_costs() {
    for seed in 40..40 + some_of(12) {
        let problem = made_up(seed);
        let long = pack(&problem, &Budget { nodes: 200, tries: 60 }, &mut |_| Flow::Continue).unwrap();
        for most in [0, 1, 3, 10, 40, 150] {
            let short = stopped_after(&problem, most);
            assert_eq!(faults(&problem, &short), Vec::<String>::new(), "seed {seed}");
            assert!(short.bound <= long.cost && long.bound <= short.cost, "seed {seed}, stopped after {most}");
        }
        for nodes in [0, 1, 10, 100] {
            let short = pack(&problem, &Budget { nodes, tries: 3 }, &mut |_| Flow::Continue).unwrap();
            assert!(short.bound <= long.cost && long.bound <= short.cost, "seed {seed}, {nodes} nodes");
        }
    }
}

/// Stopped at the first word the packing has a bound for both woods, from their linear programs: they come out within
/// some percent of what a long run proves.
#[test]
fn every_wood_has_its_bound_whenever_the_packing_is_stopped() {
    for seed in 70..if all_cases() { 75 } else { 72 } {
        let problem = of_two_woods(made_up(seed), &made_up(seed + 100));
        let long = pack(&problem, &Budget { nodes: 100, tries: 30 }, &mut |_| Flow::Continue).unwrap();
        let short = stopped_after(&problem, 0);
        assert_eq!(faults(&problem, &short), Vec::<String>::new(), "seed {seed}");
        let (bound, proven) = (short.bound.get() as f64, long.bound.get() as f64);
        assert!(short.bound <= long.cost && bound >= 0.8 * proven - 2_000.0, "seed {seed}: {bound} of {proven}");
    }
}

/// Neither of two woods is left without a search while the other has one.
#[test]
fn two_woods_share_the_work() {
    let hard = made_up(20_004);
    let problem = of_two_woods(hard.clone(), &hard);
    let nodes = if all_cases() { 100 } else { 40 };
    let both = pack(&problem, &Budget { nodes: 2 * nodes, tries: 60 }, &mut |_| Flow::Continue).unwrap();
    let half = |label: usize| -> i64 {
        let boards = both.boards.iter().map(|board| &problem.stock[board.stock]);
        boards.filter(|kind| kind.label == label).map(|kind| kind.cost.get()).sum()
    };
    let alone = pack(&hard, &Budget { nodes, tries: 60 }, &mut |_| Flow::Continue).unwrap();
    for label in [0, 1] {
        let within = (half(label) - alone.cost.get()).abs() * 100 <= alone.cost.get();
        assert!(within, "{} of wood {label}, {} alone", half(label), alone.cost);
    }
}

/// So many sizes that one round of the linear program takes long: a stop is heard soon, and there is a bound.
#[test]
fn a_job_of_many_sizes_stops_when_it_is_told_to() {
    let parts = (0..102).map(|at| strip(14 * 64 + at * 13, 40 + (at % 5) * 4, 24, 30 + at as u32 % 7)).collect();
    let stock = (0..6).map(|at| board(96 * 64 + at * 24 * 64, (5 + at) * 64, None, 3_000 + at * 1_100)).collect();
    let rules = boards_support::shop_rules(slatwright::job::OrderRule::Only(slatwright::job::Order::CrosscutFirst));
    let problem = BoardProblem { parts, stock, rules };
    let (started, heard) = (Instant::now(), Cell::new(None));
    let limit = Duration::from_millis(100);
    let plan = pack(&problem, &Budget::default(), &mut |_| {
        heard.set(heard.get().or(Some(started.elapsed())));
        if started.elapsed() > limit { Flow::Stop } else { Flow::Continue }
    });
    let plan = plan.unwrap();
    println!("first heard after {:?}, done after {:?}", heard.get(), started.elapsed());
    assert_eq!(faults(&problem, &plan), Vec::<String>::new());
    assert!(plan.cut_short && plan.bound.get() * 2 > plan.cost.get(), "{} {}", plan.bound, plan.cost);
}

#[test]
fn what_a_board_is_worth_is_told_as_far_as_it_came() {
    let problem = BoardProblem { parts: made_up(5).parts, ..made_up(5) };
    let asked: Vec<Asked> = problem.stock.iter().map(|kind| Asked::More(kind.clone())).collect();
    let all = worths(&problem, &asked, &mut |_| Flow::Continue).unwrap();
    assert!(!all.cut_short && all.boards.iter().all(|worth| worth.exact.is_some()));
    let none = worths(&problem, &asked, &mut |_| Flow::Stop).unwrap();
    assert!(none.cut_short && none.boards.iter().all(|worth| worth.exact.is_none()));
    assert!(none.cost.get() > 0 && problem.parts.iter().all(|part| part.millings == Millings::Flat || part.count > 0));
}

/// However many sizes there are, a packing that is told to stop at its first word gives a plan that can be cut, and one that
/// is not far off: what the linear program has whole, and the rest size by size.
#[test]
fn many_sizes_have_a_plan_at_the_first_word() {
    let mut dice = Dice::new(12);
    let mut size = |low: i64, high: i64| low + dice.below((high - low) as u64) as i64;
    let parts = (0..60).map(|_| strip(size(8, 48), size(1, 4), 1, size(2, 32) as u32)).collect();
    let stock = vec![board(96, 6, None, 3_900), board(120, 8, None, 6_600), board(60, 5, Some(3), 0)];
    let rules = boards_support::bare_rules(slatwright::job::OrderRule::Any);
    let problem = BoardProblem { parts, stock, rules };
    let plan = stopped_after(&problem, 0);
    assert_eq!(faults(&problem, &plan), Vec::<String>::new());
    let (cost, bound) = (plan.cost.get() as f64, plan.bound.get() as f64);
    assert!(plan.cut_short && bound > 0.0 && cost < 1.6 * bound, "{cost} {bound}");
}
