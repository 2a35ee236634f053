//! Cases whose optimum is known from outside this program.

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

/// Practice case, 58 in, no turning: 230.25 in, proven by full enumeration of the level patterns.
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

/// Practice case, 58 in, turning allowed: 558.875 in, proven by full enumeration of the level patterns.
#[test]
fn thirty_five_panels_with_turning_take_558_875_inches() {
    let plan = packed(pieces(include_str!("instances/cloth4.csv"), true), Length::from_inches(58));
    assert_eq!(plan.length, Length::from_64ths(35_768));
    assert_eq!(plan.length_bound, plan.length);
    assert!(plan.optimal);
    assert_eq!(plan.cost, Cents::new(125 * 150));
}
