//! Board packing against a brute force that shares no code with it.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod boards_support;

use boards_support::brute::least_cost;
use boards_support::{bare_rules, faults};
use slatwright::job::{CuttingRules, Millings, Order, OrderRule};
use slatwright::measure::{Cents, Length, Quarters, StockThickness};
use slatwright::packing::boards::{BoardKind, BoardPlan, BoardProblem, BoardShortage, StripDemand, pack};
use slatwright::packing::{Budget, Flow};

/// Numbers that look random, the same on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }

    fn between(&mut self, low: i64, high: i64) -> i64 {
        low + self.below((high - low + 1) as u64) as i64
    }

    fn chance(&mut self, one_in: u64) -> bool {
        self.below(one_in) == 0
    }
}

fn inches(n: i64) -> Length {
    Length::from_inches(n)
}

fn tiny(dice: &mut Dice) -> BoardProblem {
    let order = match dice.below(5) {
        0 | 1 => OrderRule::Only(Order::CrosscutFirst),
        2 | 3 => OrderRule::Only(Order::RipFirst),
        _ => OrderRule::Any,
    };
    let mut rules = CuttingRules {
        rip_kerf: inches(dice.between(0, 1)),
        crosscut_kerf: inches(dice.between(0, 1)),
        end_trim: inches(dice.between(0, 1)),
        edge_trim_crosscut: inches(dice.between(0, 1)),
        edge_trim_rip: inches(dice.between(0, 1)),
        hold_width: inches(dice.between(0, 1)),
        length_trim: inches(dice.between(0, 1)),
        resaw: dice.chance(3),
        ..bare_rules(order)
    };
    if dice.chance(3) {
        rules.min_blank = inches(dice.between(1, 6));
    }
    if dice.chance(4) {
        rules.max_blank = Some(inches(dice.between(5, 12)));
    }
    if dice.chance(3) {
        rules.face_trim_thin = inches(dice.between(0, 1));
        rules.face_trim_thick = rules.face_trim_thin;
        rules.rip_trim = inches(dice.between(0, 1));
        rules.edge_clean = inches(dice.between(0, 1));
        rules.leaf_trim = inches(dice.between(0, 1));
        rules.resaw_kerf = inches(dice.between(0, 1));
    }
    let parts = (0..dice.between(1, 3))
        .map(|_| StripDemand {
            label: 0,
            length: inches(dice.between(2, 7)),
            width: inches(dice.between(1, 3)),
            thickness: inches(dice.between(1, 2)),
            millings: [Millings::Flat, Millings::Flat, Millings::Edge, Millings::Any][dice.below(4) as usize],
            count: dice.between(1, 5) as u32,
        })
        .collect();
    let stock = (0..dice.between(1, 3))
        .map(|_| BoardKind {
            label: 0,
            thickness: match dice.below(3) {
                0 => StockThickness::Plain(inches(dice.between(1, 4))),
                _ => StockThickness::Rough(Quarters::new(4 * dice.between(1, 4) as u8).unwrap()),
            },
            width: inches(dice.between(3, 7)),
            length: inches(dice.between(5, 14)),
            available: dice.chance(3).then(|| dice.between(0, 2) as u32),
            cost: Cents::new(dice.between(0, 40)),
        })
        .collect();
    BoardProblem { parts, stock, rules }
}

fn packed(problem: &BoardProblem) -> Result<BoardPlan, BoardShortage> {
    pack(problem, &Budget::default(), &mut |_| Flow::Continue)
}

/// Runs tiny jobs; gives how many had a plan.
fn check(seeds: std::ops::Range<u64>) -> u32 {
    let mut solved = 0;
    for seed in seeds {
        let problem = tiny(&mut Dice(seed));
        let known = least_cost(&problem);
        match packed(&problem) {
            Ok(plan) => {
                assert_eq!(faults(&problem, &plan), Vec::<String>::new(), "seed {seed}: {problem:?}");
                assert_eq!(Some(plan.cost.get()), known, "seed {seed}: bound {} {problem:?}", plan.bound);
                assert!(plan.optimal, "seed {seed}: {} bound {} {problem:?}", plan.cost, plan.bound);
                solved += 1;
            }
            Err(why) => assert_eq!(known, None, "seed {seed}: {why:?} {problem:?}"),
        }
    }
    solved
}

#[test]
fn tiny_jobs_cost_what_brute_force_finds() {
    let solved = check(0..1_500);
    assert!(solved > 600, "the generator makes too few jobs that can be done: {solved}");
}
