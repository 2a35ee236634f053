//! Cases whose optimum is known from outside this program.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::instances;

use instances::HOPPER_TURTON_C1P1;
use slatwright::measure::{Cents, Length, Price, Ratio};
use slatwright::packing::cloth::{BoltKind, ClothPlan, ClothProblem, PieceDemand, pack};
use slatwright::packing::{Budget, Flow};

fn roll(width: Length, increment: Length) -> BoltKind {
    BoltKind {
        usable_width: width,
        usable_length: None,
        price: Price::parse("12.00").unwrap(),
        unit: Length::from_inches(36),
        increment,
        shrink_along: Ratio::ZERO,
        on_hand: None,
    }
}

/// Reads `along,across,count` in sixty-fourths of an inch.
fn pieces(text: &str, turn: bool) -> Vec<PieceDemand> {
    let rows = text.lines().skip(1).map(|line| {
        let figures: Vec<i64> = line.split(',').map(|figure| figure.trim().parse().unwrap()).collect();
        PieceDemand {
            along: Length::from_64ths(figures[0]),
            across: Length::from_64ths(figures[1]),
            turn,
            count: u32::try_from(figures[2]).unwrap(),
        }
    });
    rows.collect()
}

fn packed(pieces: Vec<PieceDemand>, width: Length) -> ClothPlan {
    let problem = ClothProblem { pieces, bolts: vec![roll(width, Length::from_64ths(288))] };
    pack(&problem, &Budget::default(), &mut |_| Flow::Continue).unwrap()
}

/// Practice case, 58 in, no turning: 230.25 in, proven by full enumeration of the level patterns; no
/// stack saves anything.
#[test]
fn fifteen_panels_without_turning_take_230_25_inches() {
    let plan = packed(pieces(include_str!("instances/cloth1.csv"), false), Length::from_inches(58));
    assert_eq!(plan.length, Length::from_64ths(14_736));
    assert_eq!(plan.length_bound, plan.length);
    assert_eq!(plan.cost_bound, plan.cost);
    assert!(plan.optimal);
    // 52 eighths of a yard at 1.50.
    assert_eq!(plan.cost, Cents::new(52 * 150));
}

/// Practice case, 58 in, turning allowed: 558.875 in without stacks (proven by full enumeration of the
/// level patterns; a unit test holds that), 554.5 in with them (the figure is this program's own).
#[test]
fn thirty_five_panels_with_turning_take_554_5_inches() {
    let plan = packed(pieces(include_str!("instances/cloth4.csv"), true), Length::from_inches(58));
    assert_eq!(plan.length, Length::from_64ths(35_488));
    assert!(plan.optimal);
    assert_eq!(plan.cost, Cents::new(124 * 150));
}

/// Hopper and Turton (2000), strip packing class C1, problem 1: the published optimum
/// is 20. Stacks reach it, without
/// turning; plain levels take 25 (a unit test holds that).
#[test]
fn hopper_and_turton_c1p1_takes_its_published_20() {
    let piece = |(width, height)| PieceDemand {
        along: Length::from_inches(height),
        across: Length::from_inches(width),
        turn: false,
        count: 1,
    };
    let plan = packed(HOPPER_TURTON_C1P1.into_iter().map(piece).collect(), Length::from_inches(20));
    assert_eq!(plan.length, Length::from_inches(20));
    assert_eq!(plan.length_bound, plan.length);
}

/// Two thousand doors with panels of three sizes: proven, and fast enough to wait for.
#[test]
fn two_thousand_doors_are_proven() {
    let panel = |along: i64, across: i64| PieceDemand {
        along: Length::from_64ths(along * 8),
        across: Length::from_64ths(across * 8),
        turn: false,
        count: 2_000,
    };
    let plan = packed(vec![panel(230, 220), panel(180, 110), panel(301, 155)], Length::from_inches(58));
    assert_eq!(plan.cost, plan.cost_bound);
    assert_eq!(plan.bolts[0].laid.len(), 6_000);
}
