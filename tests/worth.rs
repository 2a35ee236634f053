//! What a board is worth and what one more strip costs: against a linear program over every pattern, and
//! laws that hold for any job.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use crate::boards_support;
use crate::common::all_cases;

use boards_support::bare_rules;
use boards_support::jobs::{Dice, Size, job};
use boards_support::patterns::linear_optimum;
use slatwright::job::{CuttingRules, Millings, Order, OrderRule};
use slatwright::measure::{Cents, Length, Quarters, StockThickness};
use slatwright::packing::Flow;
use slatwright::packing::boards::{Asked, BoardKind, BoardProblem, BoardShortage, StripDemand, Worths, worths};

fn inches(n: i64) -> Length {
    Length::from_inches(n)
}

/// Small boards; each part is wanted `least` times or up to ten more.
fn tiny(dice: &mut Dice, least: i64) -> BoardProblem {
    let order = match dice.below(5) {
        0..=2 => OrderRule::Only(Order::CrosscutFirst),
        3 => OrderRule::Only(Order::RipFirst),
        _ => OrderRule::Any,
    };
    let rules = CuttingRules {
        rip_kerf: inches(dice.between(0, 1)),
        crosscut_kerf: inches(dice.between(0, 1)),
        end_trim: inches(dice.between(0, 1)),
        edge_trim_crosscut: inches(dice.between(0, 1)),
        hold_width: inches(dice.between(0, 1)),
        length_trim: inches(dice.between(0, 1)),
        ..bare_rules(order)
    };
    let part = |dice: &mut Dice| StripDemand {
        label: 0,
        length: inches(dice.between(2, 7)),
        width: inches(dice.between(1, 3)),
        thickness: inches(1),
        millings: [Millings::Flat, Millings::Flat, Millings::Any][dice.below(3) as usize],
        count: dice.between(least, least + 10) as u32,
    };
    let parts: Vec<StripDemand> = (0..dice.between(1, 3)).map(|_| part(dice)).collect();
    let kind = |dice: &mut Dice| BoardKind {
        label: 0,
        thickness: StockThickness::Rough(Quarters::new(4 * dice.between(1, 3) as u8).unwrap()),
        width: inches(dice.between(3, 7)),
        length: inches(dice.between(7, 14)),
        available: dice.chance(3).then(|| dice.between(1, least) as u32),
        defects: Vec::new(),
        cost: Cents::new(dice.between(0, 40) * 50),
    };
    BoardProblem { stock: (0..dice.between(1, 3)).map(|_| kind(dice)).collect(), parts, rules }
}

fn near(found: Cents, known: f64) -> bool {
    (found.get() as f64 - known).abs() <= 0.51
}

#[test]
fn tiny_jobs_agree_with_a_linear_program_over_every_pattern() {
    let jobs: u32 = if all_cases() { 160 } else { 60 };
    let (mut agreed, mut positive) = (0, 0);
    for seed in 0..u64::from(jobs) {
        let mut dice = Dice::new(seed);
        // More than any blank holds, so that the columns are all patterns there are.
        let problem = tiny(&mut dice, 50);
        let more = BoardKind {
            width: inches(dice.between(3, 7)),
            length: inches(dice.between(7, 14)),
            available: Some(1),
            cost: Cents::ZERO,
            ..problem.stock[0].clone()
        };
        let held = problem.stock.iter().position(|kind| kind.available.is_some());
        let asked: Vec<Asked> = [Asked::More(more.clone())].into_iter().chain(held.map(Asked::Held)).collect();
        let known = linear_optimum(&problem, false);
        let found = match worths(&problem, &asked, &mut |_| Flow::Continue) {
            Ok(found) => found,
            Err(BoardShortage::RunsShort(_)) => {
                assert_eq!(known, None, "seed {seed}: {problem:?}");
                continue;
            }
            Err(BoardShortage::NoBoard(_)) => continue,
        };
        let known = known.unwrap();
        assert!(near(found.cost, known), "seed {seed}: {} for {known}, {problem:?}", found.cost);
        let mut with = problem.clone();
        with.stock.push(more);
        let worth = known - linear_optimum(&with, false).unwrap();
        assert!(near(found.boards[0].exact.unwrap(), worth), "seed {seed}: {:?} for {worth}", found.boards[0]);
        assert!(found.boards[0].estimate.get() as f64 >= worth - 0.51, "seed {seed}: duals never say less");
        if let Some(held) = held {
            let mut without = problem.clone();
            without.stock[held].available = without.stock[held].available.map(|n| n - 1);
            let mut with = without.clone();
            with.stock.push(BoardKind { available: Some(1), cost: Cents::ZERO, ..problem.stock[held].clone() });
            match (found.boards[1].exact, linear_optimum(&without, false)) {
                (Some(found), Some(known)) => {
                    let worth = known - linear_optimum(&with, false).unwrap();
                    assert!(near(found, worth), "seed {seed}: {found} for {worth}");
                }
                (None, None) => {}
                other => panic!("seed {seed}: {other:?}"),
            }
        }
        for part in 0..problem.parts.len() {
            let mut more = problem.clone();
            more.parts[part].count += 1;
            match (found.strips[part].exact, linear_optimum(&more, false)) {
                (Some(found), Some(more)) => assert!(near(found, more - known), "seed {seed}, part {part}: {found}"),
                (None, None) => {}
                other => panic!("seed {seed}, part {part}: {other:?}"),
            }
        }
        agreed += 1;
        positive += u32::from(worth > 1.0);
    }
    assert!(agreed > jobs / 2 && positive > jobs / 3, "{agreed} agreed, {positive} positive");
}

/// Where few strips are wanted, a blank with more of them than that is no column: the optimum lies between
/// those with and without such blanks.
#[test]
fn small_counts_lie_between_two_linear_programs() {
    let mut seen = 0;
    for seed in 0..80 {
        let problem = tiny(&mut Dice::new(seed), 1);
        let Ok(found) = worths(&problem, &[], &mut |_| Flow::Continue) else { continue };
        let (low, high) = (linear_optimum(&problem, false).unwrap(), linear_optimum(&problem, true).unwrap());
        let cost = found.cost.get() as f64;
        assert!(low - 0.51 <= cost && cost <= high + 0.51, "seed {seed}: {low} {cost} {high} {problem:?}");
        seen += 1;
    }
    assert!(seen > 30, "{seen}");
}

#[test]
fn a_board_without_which_the_job_cannot_be_done_has_no_figure() {
    let part = StripDemand {
        label: 0,
        length: inches(10),
        width: inches(1),
        thickness: inches(1),
        millings: Millings::Flat,
        count: 5,
    };
    let held = BoardKind {
        label: 0,
        thickness: StockThickness::Rough(Quarters::new(4).unwrap()),
        width: inches(5),
        length: inches(10),
        available: Some(1),
        defects: Vec::new(),
        cost: Cents::new(700),
    };
    let rules = bare_rules(OrderRule::Only(Order::CrosscutFirst));
    let problem = BoardProblem { parts: vec![part], stock: vec![held.clone()], rules };
    let found = worths(&problem, &[Asked::Held(0), Asked::More(held)], &mut |_| Flow::Continue).unwrap();
    assert_eq!((found.boards[0].exact, found.boards[1].exact), (None, Some(Cents::new(700))));
    assert_eq!((found.cost, found.strips[0].exact), (Cents::new(700), None));
}

fn asked(problem: &BoardProblem, boards: &[BoardKind]) -> Worths {
    let asked: Vec<Asked> = boards.iter().map(|kind| Asked::More(kind.clone())).collect();
    worths(problem, &asked, &mut |_| Flow::Continue).unwrap()
}

#[test]
fn laws_of_worth_hold_for_made_up_shops() {
    for seed in 0..12 {
        let mut dice = Dice::new(seed);
        let problem = job(&mut dice, Size { cabinets: 3, sizes: 4, buyable: 3, unique: 3 });
        let free = |length: i64, width: i64| BoardKind {
            length: Length::from_64ths(length),
            width: Length::from_64ths(width),
            available: Some(1),
            cost: Cents::ZERO,
            ..problem.stock[0].clone()
        };
        let (length, width) = (dice.between(40, 90) * 64, dice.between(4, 8) * 64);
        let sizes = [free(length, width), free(length, width + 64), free(length + 12 * 64, width)];
        let found = asked(&problem, &sizes);
        assert!(found.settled, "seed {seed}");
        let worth: Vec<i64> = found.boards.iter().map(|board| board.exact.unwrap().get()).collect();
        assert!(worth.iter().all(|&worth| (0..=found.cost.get() + 1).contains(&worth)), "seed {seed}: {worth:?}");
        assert!(worth[1] >= worth[0] - 1 && worth[2] >= worth[0] - 1, "seed {seed}: wider or longer is worth less");
        assert!(found.strips.iter().all(|strip| strip.exact.is_some_and(|more| more.get() >= 0)), "seed {seed}");
        // The second board is worth no more than the first, and both sum to what the two save.
        let mut one = problem.clone();
        one.stock.push(sizes[0].clone());
        let mut two = one.clone();
        two.stock.push(sizes[0].clone());
        let second = asked(&one, &sizes[..1]).boards[0].exact.unwrap().get();
        let cost_of_two = asked(&two, &[]).cost;
        assert!(second <= worth[0] + 1, "seed {seed}: {second} after {}", worth[0]);
        let saved = found.cost.get() - cost_of_two.get();
        assert!((worth[0] + second - saved).abs() <= 2, "seed {seed}: {} + {second} for {saved}", worth[0]);
    }
}

#[test]
fn a_board_of_another_wood_or_too_small_is_worth_nothing() {
    let problem = job(&mut Dice::new(5), Size { cabinets: 2, sizes: 2, buyable: 3, unique: 0 });
    let free = BoardKind { available: Some(1), cost: Cents::ZERO, ..problem.stock[0].clone() };
    let other = BoardKind { label: 7, ..free.clone() };
    let short = BoardKind { length: inches(8), ..free };
    let found = asked(&problem, &[other, short]);
    assert!(found.boards.iter().all(|board| board.exact == Some(Cents::ZERO)), "{found:?}");
}
