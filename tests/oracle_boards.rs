//! Board packing against a brute force that shares no code with it.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use crate::boards_support;
use crate::common::some_of;

use boards_support::brute::least_cost;
use boards_support::{bare_rules, faults};
use slatwright::job::{CuttingRules, Defect, Millings, Order, OrderRule};
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
        hold_width: if dice.chance(4) { inches(1) } else { Length::ZERO },
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
            defects: Vec::new(),
            available: dice.chance(3).then(|| dice.between(0, 2) as u32),
            cost: Cents::new(dice.between(0, 40)),
        })
        .collect();
    BoardProblem { parts, stock, rules }
}

fn packed(problem: &BoardProblem) -> Result<BoardPlan, BoardShortage> {
    pack(problem, &Budget::default(), &mut |_| Flow::Continue)
}

/// The same with boards on hand that have defects, beside clear ones.
fn knotty(dice: &mut Dice) -> BoardProblem {
    let mut problem = tiny(dice);
    if dice.chance(3) {
        problem.rules.max_blank = None;
    }
    for kind in &mut problem.stock {
        if dice.chance(4) {
            continue;
        }
        kind.available = Some(dice.between(1, 3) as u32);
        kind.length = inches(dice.between(8, 18));
        let long = kind.length.nm() / inches(1).nm();
        let mut at = dice.between(0, 5);
        for _ in 0..dice.between(1, 3) {
            let to = at + dice.between(1, 2);
            if to > long {
                break;
            }
            kind.defects.push(Defect { from: inches(at), to: inches(to) });
            at = to + dice.between(0, 6);
        }
    }
    problem
}

/// Runs tiny jobs; gives how many had a plan.
fn check(seeds: std::ops::Range<u64>, make: fn(&mut Dice) -> BoardProblem) -> u32 {
    let mut solved = 0;
    for seed in seeds {
        let problem = make(&mut Dice(seed));
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
    let solved = check(0..some_of(1_500), tiny);
    assert!(solved > some_of(600), "the generator makes too few jobs that can be done: {solved}");
}

/// Parts that may all be milled either way, several to a thickness, so that flat and edge compete for the same blanks.
fn either_way(dice: &mut Dice) -> BoardProblem {
    let mut problem = tiny(dice);
    let thickness = inches(dice.between(1, 2));
    for part in &mut problem.parts {
        (part.millings, part.thickness) = (Millings::Any, thickness);
    }
    for kind in &mut problem.stock {
        kind.thickness = StockThickness::Rough(Quarters::new(4 * dice.between(2, 4) as u8).unwrap());
    }
    problem
}

#[test]
fn tiny_jobs_of_any_milling_cost_what_brute_force_finds() {
    let solved = check(40_000..40_000 + some_of(3_000), either_way);
    assert!(solved > some_of(1_200), "the generator makes too few jobs that can be done: {solved}");
}

#[test]
fn tiny_jobs_with_defects_cost_what_brute_force_finds() {
    let solved = check(10_000..10_000 + some_of(3_000), knotty);
    assert!(solved > some_of(1_000), "the generator makes too few jobs that can be done: {solved}");
}

/// The same boards without their defects never cost more, and now and then less.
#[test]
fn defects_only_ever_cost() {
    let mut dearer = 0;
    for seed in 20_000..20_400 {
        let problem = knotty(&mut Dice(seed));
        let Ok(plan) = packed(&problem) else { continue };
        let mut clear = problem.clone();
        clear.stock.iter_mut().for_each(|kind| kind.defects.clear());
        let clear = packed(&clear).unwrap();
        assert!(plan.optimal && clear.optimal && clear.cost <= plan.cost, "seed {seed}");
        dearer += u32::from(clear.cost < plan.cost);
    }
    assert!(dearer > 20, "defects hardly ever matter here: {dearer}");
}

/// The arc-flow model of Valerio de Carvalho (1999) on one rip's width: boards as rolls. Another
/// model, another solver (branch and bound of `microlp`), the same optimum.
fn rolls_by_arc_flow(rolls: &[(i64, i64)], pieces: &[(i64, u32)]) -> i64 {
    use good_lp::{Expression, ProblemVariables, SolverModel, constraint, microlp, variable};
    let mut variables = ProblemVariables::new();
    let mut cost = Expression::default();
    let mut constraints = Vec::new();
    let mut made = vec![Expression::default(); pieces.len()];
    for &(length, price) in rolls {
        let mut flow = vec![Expression::default(); length as usize + 1];
        for at in 0..length {
            for (piece, &(size, count)) in pieces.iter().enumerate() {
                if at + size <= length {
                    let arc = variables.add(variable().integer().clamp(0, count));
                    flow[at as usize] += arc;
                    flow[(at + size) as usize] -= arc;
                    made[piece] += arc;
                }
            }
            let waste = variables.add(variable().integer().clamp(0, 1_000));
            flow[at as usize] += waste;
            flow[at as usize + 1] -= waste;
        }
        let used = variables.add(variable().integer().clamp(0, 1_000));
        flow[0] -= used;
        flow[length as usize] += used;
        cost += price as f64 * used;
        constraints.extend(flow.into_iter().map(|node| constraint!(node == 0)));
    }
    let demands = made.into_iter().zip(pieces).map(|(made, &(_, count))| constraint!(made >= f64::from(count)));
    let mut model = variables.minimise(cost.clone()).using(microlp);
    for row in constraints.into_iter().chain(demands) {
        model.add_constraint(row);
    }
    cost.eval_with(&model.solve().unwrap()).round() as i64
}

#[test]
fn one_dimensional_jobs_cost_what_an_arc_flow_model_finds() {
    let mut dice = Dice(77);
    for _ in 0..25 {
        let pieces: Vec<(i64, u32)> =
            (0..dice.between(2, 3)).map(|_| (dice.between(3, 9), dice.between(1, 6) as u32)).collect();
        let rolls: Vec<(i64, i64)> =
            (0..dice.between(1, 2)).map(|_| (dice.between(10, 16), dice.between(10, 40))).collect();
        let parts = pieces
            .iter()
            .map(|&(size, count)| StripDemand {
                label: 0,
                length: inches(size),
                width: inches(1),
                thickness: inches(1),
                millings: Millings::Flat,
                count,
            })
            .collect();
        let stock = rolls
            .iter()
            .map(|&(length, price)| BoardKind {
                label: 0,
                thickness: StockThickness::Rough(Quarters::new(4).unwrap()),
                width: inches(1),
                length: inches(length),
                defects: Vec::new(),
                available: None,
                cost: Cents::new(price),
            })
            .collect();
        let problem = BoardProblem { parts, stock, rules: bare_rules(OrderRule::Only(Order::RipFirst)) };
        let plan = packed(&problem).unwrap();
        assert!(plan.optimal, "{problem:?}");
        assert_eq!(plan.cost.get(), rolls_by_arc_flow(&rolls, &pieces), "{pieces:?} {rolls:?}");
    }
}

/// What a change of the job must and must not do to the cost of proven plans.
#[test]
fn costs_follow_the_job() {
    for seed in 0..400 {
        let problem = tiny(&mut Dice(seed + 900_000));
        let Ok(plan) = packed(&problem) else { continue };
        assert!(plan.optimal, "seed {seed}");
        let cost = |change: &dyn Fn(&mut BoardProblem)| {
            let mut changed = problem.clone();
            change(&mut changed);
            packed(&changed).map(|plan| {
                assert!(plan.optimal && plan.bound <= plan.cost, "seed {seed}");
                plan.cost
            })
        };
        let more_stock = cost(&|p| p.stock.iter_mut().for_each(|b| b.available = b.available.map(|n| n + 2)));
        assert!(more_stock.unwrap() <= plan.cost, "more stock costs more: seed {seed}");
        let dearer = cost(&|p| p.stock.iter_mut().for_each(|b| b.cost += Cents::new(3)));
        assert!(dearer.unwrap() >= plan.cost, "dearer boards cost less: seed {seed}");
        let doubled = cost(&|p| {
            p.parts.iter_mut().for_each(|part| part.count *= 2);
            p.stock.iter_mut().for_each(|b| b.available = b.available.map(|n| n * 2));
        });
        let doubled = doubled.unwrap();
        assert!(doubled <= plan.cost * 2 && doubled >= plan.cost, "doubled: seed {seed}");
        let fewer = cost(&|p| p.parts[0].count -= 1);
        assert!(fewer.unwrap() <= plan.cost, "one strip less costs more: seed {seed}");
        assert_eq!(packed(&problem).unwrap(), plan, "not the same plan again: seed {seed}");
    }
}

/// Boards that may each be cut in an order of their own never cost more than all in one, and now and then less.
#[test]
fn an_order_for_each_board_never_costs_more() {
    let mut saved = 0;
    for seed in 30_000..30_400 {
        let mut problem = if seed % 2 == 0 { tiny(&mut Dice(seed)) } else { knotty(&mut Dice(seed)) };
        let mut cost = |order| {
            problem.rules.order = order;
            let plan = packed(&problem).ok()?;
            assert!(plan.optimal, "seed {seed}");
            Some(plan.cost)
        };
        let any = cost(OrderRule::Any);
        let alone = [Order::CrosscutFirst, Order::RipFirst].map(|order| cost(OrderRule::Only(order)));
        let Some(best) = alone.into_iter().flatten().min() else { continue };
        let any = any.expect("what one order does, any order does");
        assert!(any <= best, "seed {seed}: {any} over {best}");
        saved += u32::from(any < best);
    }
    assert!(saved > 0, "no job in which the orders mix");
}

#[test]
fn a_listener_that_stops_gets_a_whole_plan() {
    let mut dice = boards_support::jobs::Dice::new(5);
    let size = boards_support::jobs::Size { cabinets: 4, sizes: 9, buyable: 8, unique: 0 };
    let problem = boards_support::jobs::job(&mut dice, size);
    let mut heard = 0;
    let plan = pack(&problem, &Budget::default(), &mut |_| {
        heard += 1;
        if heard > 60 { Flow::Stop } else { Flow::Continue }
    })
    .unwrap();
    assert_eq!(faults(&problem, &plan), Vec::<String>::new());
    assert!(plan.cut_short && !plan.optimal);
}

/// Sizes so fine that the packing rounds them: a cheap board that one narrow strip fits to the hair is lost in
/// rounding, but no bound may forget it.
#[test]
fn a_bound_counts_on_boards_that_fit_to_the_hair() {
    let narrow = Length::from_nm(12_700_001);
    let strip = |nm: i64, width: Length, count: u32| StripDemand {
        label: 0,
        length: Length::from_nm(nm),
        width,
        thickness: inches(1),
        millings: Millings::Flat,
        count,
    };
    let board = |nm: i64, width: Length, cents: i64| BoardKind {
        label: 0,
        thickness: StockThickness::Rough(Quarters::new(4).unwrap()),
        width,
        length: Length::from_nm(nm),
        defects: Vec::new(),
        available: None,
        cost: Cents::new(cents),
    };
    let long = 1_500_000_001;
    let mut parts: Vec<StripDemand> =
        (0..8).map(|at: i64| strip(52_800_001 + at * at * 143_203 + at.pow(3) * 457, inches(1), 9)).collect();
    let short: i64 = parts.iter().map(|part| part.length.nm() * i64::from(part.count)).sum();
    assert!((3_980_000_000..3_990_000_000).contains(&short), "{short}");
    parts.push(strip(long, narrow, 1));
    for order in [Order::CrosscutFirst, Order::RipFirst] {
        let stock = vec![board(4_000_000_000, Length::from_nm(26_000_000), 100), board(long, narrow, 7)];
        let problem = BoardProblem { parts: parts.clone(), stock, rules: bare_rules(OrderRule::Only(order)) };
        let plan = pack(&problem, &Budget::default(), &mut |_| Flow::Continue).unwrap();
        assert_eq!(faults(&problem, &plan), Vec::<String>::new());
        // One long board holds all short strips, the cheap one the narrow strip.
        assert!(plan.bound <= Cents::new(107), "{order:?}: {:?} for a plan of 107", plan.bound);
        assert!(plan.cost > Cents::new(107) && !plan.optimal, "{order:?}: {:?}: was it rounded?", plan.cost);
    }
}
