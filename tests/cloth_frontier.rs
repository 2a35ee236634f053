//! How far the cloth packing gets on made-up jobs. Long: run by hand with
//! `cargo test --release --test suite cloth_frontier:: -- --ignored --nocapture`.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests")]

use crate::cloth_support;
use crate::common::all_cases;

use std::time::Instant;

use cloth_support::{Dice, Size, faults, job};
use slatwright::packing::cloth::{ClothProblem, pack};
use slatwright::packing::{Budget, Flow};

struct Run {
    size: Size,
    seconds: f64,
    proven: bool,
    gap: f64,
    nodes: u32,
    cost: i64,
    length: f64,
    silence: f64,
}

fn run(problem: &ClothProblem, size: Size, budget: &Budget) -> Run {
    let start = Instant::now();
    let (mut nodes, mut last, mut silence) = (0, Instant::now(), 0f64);
    let plan = pack(problem, budget, &mut |progress| {
        nodes = progress.nodes;
        silence = silence.max(last.elapsed().as_secs_f64());
        last = Instant::now();
        Flow::Continue
    })
    .unwrap();
    let seconds = start.elapsed().as_secs_f64();
    assert_eq!(faults(problem, &plan), Vec::<String>::new());
    let (cost, bound) = (plan.cost.get() as f64, plan.cost_bound.get() as f64);
    let gap = if cost > 0.0 { 100.0 * (cost - bound) / cost } else { 0.0 };
    let length = plan.length.mm_f64() / 25.4;
    Run { size, seconds, proven: plan.optimal, gap, nodes, cost: plan.cost.get(), length, silence }
}

fn summary(name: &str, runs: &[&Run]) {
    if runs.is_empty() {
        return;
    }
    let mut seconds: Vec<f64> = runs.iter().map(|run| run.seconds).collect();
    seconds.sort_by(f64::total_cmp);
    let proven = runs.iter().filter(|run| run.proven).count();
    println!(
        "{name:<28} {:>4} jobs, proven {:>5.1} %, gap mean {:.2} % worst {:.2} %, seconds median {:.2} p90 {:.2} worst {:.2}, cost {} length {:.1}",
        runs.len(),
        100.0 * proven as f64 / runs.len() as f64,
        runs.iter().map(|run| run.gap).sum::<f64>() / runs.len() as f64,
        runs.iter().map(|run| run.gap).fold(0.0, f64::max),
        seconds[seconds.len() / 2],
        seconds[seconds.len() * 9 / 10],
        seconds[seconds.len() - 1],
        runs.iter().map(|run| run.cost).sum::<i64>(),
        runs.iter().map(|run| run.length).sum::<f64>(),
    );
}

fn figure(name: &str, usual: u32) -> u32 {
    std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(usual)
}

/// Jobs that stay open where whole counts that no plan makes are left as they are.
#[test]
fn counts_that_no_plan_makes_are_parted() {
    let jobs = [(258, 6_048), (332, 25_117), (252, 13_416)];
    for &(seed, cost) in if all_cases() { &jobs[..] } else { &jobs[..1] } {
        let mut dice = Dice::new(seed);
        let size = Size::any(&mut dice);
        let run = run(&job(&mut dice, size), size, &Budget::default());
        assert_eq!((run.cost, run.proven), (cost, true), "{seed}");
    }
}

/// `JOBS`, `FIRST`, `TIMES` (so many default budgets) and `VERBOSE` are read from the environment.
#[test]
#[ignore = "takes minutes"]
fn frontier() {
    let (jobs, first) = (figure("JOBS", 200), figure("FIRST", 0));
    let usual = Budget::default();
    let budget = Budget { nodes: usual.nodes * figure("TIMES", 1), tries: usual.tries };
    let mut runs = Vec::new();
    for seed in first..first + jobs {
        let mut dice = Dice::new(seed.into());
        let size = Size::any(&mut dice);
        let problem = job(&mut dice, size);
        let run = run(&problem, size, &budget);
        if std::env::var("VERBOSE").is_ok() {
            println!(
                "{seed} {:?} proven {} gap {:.3} nodes {} {:.2} s silence {:.2} cost {} length {:.3}",
                run.size, run.proven, run.gap, run.nodes, run.seconds, run.silence, run.cost, run.length
            );
        }
        runs.push(run);
    }
    let of = |keep: &dyn Fn(&Size) -> bool| runs.iter().filter(|run| keep(&run.size)).collect::<Vec<_>>();
    summary("all", &of(&|_| true));
    for bolts in 1..=3 {
        summary(&format!("{bolts} for sale"), &of(&|size| size.bolts == bolts));
    }
    for (low, high) in [(1, 6), (7, 12), (13, 24), (25, 60)] {
        summary(&format!("{low} to {high} sizes"), &of(&|size| (low..=high).contains(&size.sizes)));
    }
    let silence = runs.iter().map(|run| run.silence).fold(0.0, f64::max);
    println!("longest silence {silence:.3} s");
}
