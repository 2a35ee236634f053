//! Cloth for tests: a plain check of layouts that shares no code with the program, and made-up jobs.

#![allow(dead_code, clippy::unwrap_used, reason = "every test binary uses its own part")]

#[path = "../common/dice.rs"]
mod dice;

use rust_decimal::Decimal;
use slatwright::measure::{Cents, Length, Price, Ratio};
use slatwright::packing::cloth::{BoltKind, ClothPlan, ClothProblem, LaidPiece, PieceDemand};

pub(crate) use dice::Dice;

/// Splits pieces wherever a straight cut passes all of them: `low` and `high` are along the cut's
/// direction of travel.
fn cut(
    mut pieces: Vec<LaidPiece>,
    low: fn(&LaidPiece) -> Length,
    high: fn(&LaidPiece) -> Length,
) -> Vec<Vec<LaidPiece>> {
    pieces.sort_by_key(low);
    let (mut parts, mut end): (Vec<Vec<LaidPiece>>, _) = (Vec::new(), Length::ZERO);
    for piece in pieces {
        match parts.last_mut() {
            Some(part) if low(&piece) < end => part.push(piece),
            _ => parts.push(vec![piece]),
        }
        end = end.max(high(&piece));
    }
    parts
}

fn top(piece: &LaidPiece) -> Length {
    piece.x + piece.along
}

fn side(piece: &LaidPiece) -> Length {
    piece.y + piece.across
}

/// What is wrong with a plan: empty when it obeys every rule of cutting in levels with stacks.
pub(crate) fn faults(problem: &ClothProblem, plan: &ClothPlan) -> Vec<String> {
    let mut faults = Vec::new();
    let mut laid = vec![0; problem.pieces.len()];
    for (bolt, used) in problem.bolts.iter().zip(&plan.bolts) {
        for piece in &used.laid {
            laid[piece.piece] += 1;
            let wanted = &problem.pieces[piece.piece];
            let sizes = if piece.turned { (wanted.across, wanted.along) } else { (wanted.along, wanted.across) };
            let inside = piece.x >= Length::ZERO && piece.y >= Length::ZERO && side(piece) <= bolt.usable_width;
            if (piece.along, piece.across) != sizes || piece.turned && !wanted.turn || !inside {
                faults.push(format!("{piece:?} for {wanted:?}"));
            }
        }
        for level in cut(used.laid.clone(), |p| p.x, top) {
            let (from, to) = (level[0].x, level.iter().map(top).max().unwrap());
            if level.iter().map(|piece| piece.along).max().unwrap() != to - from {
                faults.push(format!("the level at {from:?} is higher than its tallest piece"));
            }
            for stack in cut(level, |p| p.y, side) {
                if cut(stack.clone(), |p| p.x, top).iter().any(|piece| piece.len() > 1) {
                    faults.push(format!("{stack:?} is no stack"));
                }
            }
        }
        let end = used.laid.iter().map(top).max().unwrap_or(Length::ZERO);
        if used.used != end
            || bolt.usable_length.is_some_and(|most| end > most)
            || bolt.on_hand.is_some_and(|most| used.bought > most)
        {
            faults.push(format!("{:?} used, {:?} bought, {end:?} reached", used.used, used.bought));
        }
    }
    if problem.pieces.iter().zip(&laid).any(|(piece, &laid)| piece.count != laid) {
        faults.push(format!("laid {laid:?}"));
    }
    if plan.cost != plan.bolts.iter().map(|bolt| bolt.cost).sum::<Cents>()
        || plan.length != plan.bolts.iter().map(|bolt| bolt.used).sum()
        || plan.cost_bound > plan.cost
        || plan.length_bound > plan.length
        || plan.optimal != (plan.cost_bound == plan.cost)
    {
        faults.push("the sums do not agree".to_owned());
    }
    faults
}

/// How large a made-up job is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Size {
    pub(crate) sizes: i64,
    pub(crate) bolts: i64,
    pub(crate) remnants: i64,
}

impl Size {
    /// One to sixty sizes, the small ones more often; one to three bolts, up to three remnants.
    pub(crate) fn any(dice: &mut Dice) -> Self {
        let most = [6, 12, 24, 60][usize::try_from(dice.below(4)).unwrap()];
        Self { sizes: dice.between(1, most), bolts: dice.between(1, 3), remnants: dice.between(0, 3) }
    }
}

fn eighths(n: i64) -> Length {
    Length::from_64ths(n * 8)
}

fn money(cents: i64) -> Price {
    Price::new(Decimal::new(cents, 2)).unwrap()
}

/// A job of door panels: 9 to 40 in along the travel, 10 to 35 in across, on duck of 44 to 72 in
/// between the selvages; every fifth size may be turned.
pub(crate) fn job(dice: &mut Dice, size: Size) -> ClothProblem {
    let panel = |dice: &mut Dice| PieceDemand {
        along: eighths(dice.between(72, 320)),
        across: eighths(dice.between(80, 280)),
        turn: dice.below(5) == 0,
        count: u32::try_from([1, 1, 2, 2, 2, 4, 6][usize::try_from(dice.below(7)).unwrap()]).unwrap(),
    };
    let pieces: Vec<PieceDemand> = (0..size.sizes).map(|_| panel(dice)).collect();
    let mut bolts = Vec::new();
    for _ in 0..size.bolts {
        bolts.push(BoltKind {
            usable_width: eighths([352, 464, 472, 576][usize::try_from(dice.below(4)).unwrap()]),
            usable_length: None,
            price: money(dice.between(700, 2200)),
            unit: Length::from_inches(36),
            increment: eighths([36, 36, 72, 288, 8][usize::try_from(dice.below(5)).unwrap()]),
            shrink_along: Ratio::below_one(Decimal::new(dice.between(0, 12), 2)).unwrap(),
            on_hand: None,
        });
    }
    for _ in 0..size.remnants {
        let length = eighths(dice.between(100, 700));
        let free = dice.below(3) > 0;
        bolts.push(BoltKind {
            usable_width: eighths(dice.between(200, 576)),
            usable_length: Some(length),
            price: if free { Price::ZERO } else { money(dice.between(200, 900)) },
            unit: Length::from_inches(36),
            increment: if free { Length::ZERO } else { eighths(36) },
            shrink_along: Ratio::ZERO,
            on_hand: Some(length),
        });
    }
    ClothProblem { pieces, bolts }
}
