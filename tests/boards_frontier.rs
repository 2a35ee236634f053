//! How far the packing gets on made-up jobs. Long: run by hand with
//! `cargo test --release --test suite boards_frontier:: -- --ignored --nocapture`.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests")]

use crate::boards_support;

use std::time::Instant;

use boards_support::faults;
use boards_support::jobs::{Dice, Size, job, shop};
use slatwright::job::Millings;
use slatwright::measure::Cents;
use slatwright::packing::boards::{BoardKind, BoardProblem, pack};
use slatwright::packing::{Budget, Flow};

struct Run {
    size: Size,
    seconds: f64,
    nodes: u32,
    boards: usize,
    gap: f64,
    cost: i64,
    longest_silence: f64,
}

fn run(problem: &BoardProblem, size: Size) -> Run {
    let start = Instant::now();
    let (mut nodes, mut last, mut longest_silence) = (0, Instant::now(), 0f64);
    let plan = pack(problem, &budget(), &mut |progress| {
        nodes = progress.nodes;
        longest_silence = longest_silence.max(last.elapsed().as_secs_f64());
        last = Instant::now();
        Flow::Continue
    })
    .unwrap();
    let seconds = start.elapsed().as_secs_f64();
    assert_eq!(faults(problem, &plan), Vec::<String>::new());
    let (cost, bound) = (plan.cost.get() as f64, plan.bound.get() as f64);
    let gap = if cost > 0.0 { 100.0 * (cost - bound) / cost } else { 0.0 };
    Run { size, seconds, nodes, boards: plan.boards.len(), gap, cost: plan.cost.get(), longest_silence }
}

/// The job as it was made; with `MILLING=any` each strip flat or on edge; with `MILLING=leaves` resawn as well.
fn milled(mut problem: BoardProblem) -> BoardProblem {
    let milling = std::env::var("MILLING").unwrap_or_default();
    if milling == "any" || milling == "leaves" {
        problem.parts.iter_mut().for_each(|part| part.millings = Millings::Any);
    }
    problem.rules.resaw |= milling == "leaves";
    problem
}

/// The default budget, or `TIMES` so much.
fn budget() -> Budget {
    let times: u32 = std::env::var("TIMES").ok().and_then(|n| n.parse().ok()).unwrap_or(1);
    let usual = Budget::default();
    Budget { nodes: usual.nodes * times, tries: usual.tries }
}

fn summary(name: &str, runs: &[&Run]) {
    if runs.is_empty() {
        return;
    }
    let mut seconds: Vec<f64> = runs.iter().map(|run| run.seconds).collect();
    seconds.sort_by(f64::total_cmp);
    let proven = runs.iter().filter(|run| run.gap <= 0.0).count();
    let worst = runs.iter().map(|run| run.gap).fold(0.0, f64::max);
    let mean = runs.iter().map(|run| run.gap).sum::<f64>() / runs.len() as f64;
    println!(
        "{name:<34} {:>4} jobs, proven {:>5.1} %, gap mean {mean:.2} % worst {worst:.2} %, seconds median {:.2} p90 {:.2} worst {:.2}, cost {}",
        runs.len(),
        100.0 * proven as f64 / runs.len() as f64,
        seconds[seconds.len() / 2],
        seconds[seconds.len() * 9 / 10],
        seconds[seconds.len() - 1],
        runs.iter().map(|run| run.cost).sum::<i64>()
    );
}

/// The jobs of these seeds are proven lowest at these costs.
fn proven_at(costs: &[(u64, i64)]) {
    for &(seed, cost) in costs {
        let mut dice = Dice::new(seed);
        let size = Size::any(&mut dice);
        let run = run(&job(&mut dice, size), size);
        assert_eq!((run.cost, run.gap.to_bits()), (cost, 0f64.to_bits()), "{seed}");
    }
}

/// Jobs that a search by counts alone leaves open at the default budget: most of it goes into the cheapest
/// set of boards that might do.
#[test]
fn sets_of_boards_that_hold_no_plan_are_told_so() {
    proven_at(&[(33, 43_473)]);
}

/// Jobs that stay open at the default budget where nothing is rounded up.
#[test]
fn rounding_cuts_close_what_branching_leaves_open() {
    proven_at(&[(235, 39_422)]);
}

/// More jobs of the two kinds above, one that stays open at the default budget where counts alone are branched on (209),
/// some where coefficients of cuts are rounded up, and some where one search is alone.
#[test]
#[ignore = "a minute and more of packing: `.ci/run` takes them"]
fn more_of_their_kind() {
    proven_at(&[
        (209, 50_457),
        (183, 31_894),
        (132, 27_604),
        (195, 33_326),
        (249, 57_817),
        (176, 75_583),
        (368, 7_093),
        (44, 37_214),
    ]);
    proven_at(&[(401, 109_803), (47, 114_914), (286, 73_249)]);
}

#[test]
#[ignore = "takes minutes"]
fn frontier() {
    let jobs: u64 = std::env::var("JOBS").ok().and_then(|n| n.parse().ok()).unwrap_or(500);
    let first: u64 = std::env::var("FIRST").ok().and_then(|n| n.parse().ok()).unwrap_or(0);
    let verbose = std::env::var("VERBOSE").is_ok();
    let mut runs = Vec::new();
    for seed in first..first + jobs {
        let mut dice = Dice::new(seed);
        let size = Size::any(&mut dice);
        let problem = milled(job(&mut dice, size));
        let run = run(&problem, size);
        if verbose {
            println!(
                "{seed} {:?} {:?} parts {} boards {} gap {:.3} nodes {} {:.2} s silence {:.3} cost {}",
                run.size,
                problem.rules.order,
                problem.parts.len(),
                run.boards,
                run.gap,
                run.nodes,
                run.seconds,
                run.longest_silence,
                run.cost
            );
        }
        runs.push(run);
    }
    let of = |keep: &dyn Fn(&Run) -> bool| runs.iter().filter(|run| keep(run)).collect::<Vec<_>>();
    summary("all", &of(&|_| true));
    summary("one cabinet, no unique", &of(&|r| r.size.cabinets == 1 && r.size.unique == 0));
    summary("up to 40 boards, no unique", &of(&|r| r.boards <= 40 && r.size.unique == 0));
    summary("up to 40 boards, unique", &of(&|r| r.boards <= 40 && r.size.unique > 0));
    summary("41 to 50 boards", &of(&|r| r.boards > 40 && r.boards <= 50));
    summary("over 50 boards", &of(&|r| r.boards > 50));
    let silence = runs.iter().map(|run| run.longest_silence).fold(0.0, f64::max);
    println!("longest silence {silence:.3} s");
}

#[test]
#[ignore = "takes minutes"]
fn large_shops() {
    for (doors, sizes, buyable, unique) in [(20, 10, 6, 0), (1_000, 30, 12, 80), (10_000, 30, 12, 80)] {
        let problem = shop(1, doors, sizes, buyable, unique);
        let run = run(&problem, Size { cabinets: doors / 2, sizes, buyable, unique });
        println!(
            "{doors} doors: {:.2} s, {} boards, gap {:.3} %, nodes {}, silence {:.3}, cost {}",
            run.seconds, run.boards, run.gap, run.nodes, run.longest_silence, run.cost
        );
    }
}

/// The same parts from just the boards of a plan, paid for, with what was for sale beside them: as planned anew for what
/// was bought.
fn bought(problem: &BoardProblem) -> BoardProblem {
    let plan = pack(problem, &budget(), &mut |_| Flow::Continue).unwrap();
    let mut again = problem.clone();
    again.stock.retain(|board| board.available.is_none());
    for (at, board) in problem.stock.iter().enumerate() {
        let used = plan.boards.iter().filter(|cut| cut.stock == at).count();
        let used = Some(u32::try_from(used).unwrap());
        again.stock.push(BoardKind { available: used, cost: Cents::ZERO, ..board.clone() });
    }
    again
}

/// There is a plan that buys nothing: the one for which the boards were bought.
#[test]
#[ignore = "takes minutes"]
fn what_was_bought_planned_anew() {
    let (first, jobs) = (10_000, 80);
    let mut enough = 0;
    let mut seconds = Vec::new();
    for seed in first..first + jobs {
        let mut dice = Dice::new(seed);
        let size = Size::any(&mut dice);
        let run = run(&bought(&milled(job(&mut dice, size))), size);
        if run.cost > 0 {
            println!("{seed}: {} more is bought, {} boards, {:.2} s", run.cost, run.boards, run.seconds);
        }
        enough += u32::from(run.cost == 0);
        seconds.push(run.seconds);
    }
    seconds.sort_by(f64::total_cmp);
    let at = |part: usize| seconds[(seconds.len() - 1) * part / 10];
    println!("of {jobs} jobs {enough} buy nothing more; median {:.2} s, p90 {:.2}, worst {:.2}", at(5), at(9), at(10));
}
