//! A second opinion on cloth that shares no code with the packer: every way to group a few pieces
//! into levels, every bolt for every level, every turn.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use rust_decimal::Decimal;
use slatwright::measure::{Cents, Length, Price, Ratio};
use slatwright::packing::cloth::{BoltKind, ClothPlan, ClothProblem, ClothShortage, PieceDemand, pack};
use slatwright::packing::{Budget, Flow};

/// Numbers that look random, the same on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: i64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        i64::try_from(self.0 % n.unsigned_abs()).unwrap()
    }
}

/// A bolt in plain figures: inches, cents, percent.
#[derive(Clone, Copy)]
struct PlainBolt {
    width: i64,
    on_hand: Option<i64>,
    cents_a_yard: i64,
    increment: i64,
    shrink: i64,
}

impl PlainBolt {
    fn kind(&self) -> BoltKind {
        let washed = |inches: i64| Length::from_nm(Length::from_inches(inches).nm() / 100 * (100 - self.shrink));
        BoltKind {
            usable_width: Length::from_inches(self.width),
            usable_length: self.on_hand.map(washed),
            price: Price::new(Decimal::new(self.cents_a_yard, 2)).unwrap(),
            unit: Length::from_inches(36),
            increment: Length::from_inches(self.increment),
            shrink_along: Ratio::below_one(Decimal::new(self.shrink, 2)).unwrap(),
            on_hand: self.on_hand.map(Length::from_inches),
        }
    }

    /// Cents for a washed length in inches; `None` when there is not so much.
    fn cents(&self, used: i64) -> Option<i64> {
        // Unwashed hundredths of (100 - shrink) parts of an inch: used * 100 / (100 - shrink).
        let left = 100 - self.shrink;
        if self.on_hand.is_some_and(|inches| used * 100 > inches * left) {
            return None;
        }
        // Bought length as a fraction of an inch over `left`.
        let plain = used * 100;
        let bought = match self.increment {
            0 => {
                // The packer buys whole nanometres: rounded up, which no price here can feel.
                plain
            }
            step => (plain + step * left - 1) / (step * left) * step * left,
        };
        let bought = self.on_hand.map_or(bought, |inches| bought.min(inches * left));
        Some((bought * self.cents_a_yard * 2 + 36 * left) / (2 * 36 * left))
    }
}

/// Least height of a level that holds these pieces side by side, over all ways to turn them.
fn level_height(pieces: &[(i64, i64, bool)], width: i64) -> Option<i64> {
    let Some((&(along, across, turn), rest)) = pieces.split_first() else { return Some(0) };
    let straight = if across <= width { level_height(rest, width - across).map(|h| h.max(along)) } else { None };
    let turned = if turn && along <= width { level_height(rest, width - along).map(|h| h.max(across)) } else { None };
    straight.into_iter().chain(turned).min()
}

/// Least (cents, length) and least length of all plans.
struct Best {
    cost: Option<(i64, i64)>,
    length: Option<i64>,
}

fn every_plan(left: &[(i64, i64, bool)], bolts: &[PlainBolt], used: &mut Vec<i64>, best: &mut Best) {
    let Some((&first, rest)) = left.split_first() else {
        let cents: Option<i64> = bolts.iter().zip(used.iter()).map(|(bolt, &used)| bolt.cents(used)).sum();
        if let Some(cents) = cents {
            let length = used.iter().sum();
            best.cost = best.cost.into_iter().chain([(cents, length)]).min();
            best.length = best.length.into_iter().chain([length]).min();
        }
        return;
    };
    for with in 0..1_u32 << rest.len() {
        let (mut level, mut others) = (vec![first], Vec::new());
        for (at, &piece) in rest.iter().enumerate() {
            if with >> at & 1 == 1 { level.push(piece) } else { others.push(piece) }
        }
        for bolt in 0..bolts.len() {
            if let Some(height) = level_height(&level, bolts[bolt].width) {
                used[bolt] += height;
                every_plan(&others, bolts, used, best);
                used[bolt] -= height;
            }
        }
    }
}

/// Along, across, may be turned, count.
type PlainDemand = (i64, i64, bool, u32);

fn case(dice: &mut Dice) -> (Vec<PlainDemand>, Vec<PlainBolt>) {
    let most = 20 + dice.below(40);
    let kinds = 1 + dice.below(4);
    let mut left = 6;
    let mut pieces = Vec::new();
    for _ in 0..kinds {
        let count = (1 + dice.below(3)).min(left);
        left -= count;
        if count > 0 {
            let turn = dice.below(2) == 0;
            pieces.push((1 + dice.below(most), 1 + dice.below(30), turn, u32::try_from(count).unwrap()));
        }
    }
    let bolts = (0..1 + dice.below(3)).map(|_| {
        let limited = dice.below(3) == 0;
        PlainBolt {
            width: 10 + dice.below(50),
            on_hand: limited.then(|| 10 + dice.below(150)),
            cents_a_yard: if limited && dice.below(2) == 0 { 0 } else { 100 + dice.below(2000) },
            increment: [1, 3, 4, 9, 18, 36][dice.below(6) as usize],
            shrink: [0, 0, 5, 10, 20][dice.below(5) as usize],
        }
    });
    (pieces, bolts.collect())
}

/// The layout obeys the rules: everything laid, inside, apart, in levels, charged right.
fn check_layout(problem: &ClothProblem, plan: &ClothPlan) {
    let mut laid = vec![0; problem.pieces.len()];
    for (bolt, used) in problem.bolts.iter().zip(&plan.bolts) {
        let mut end = Length::ZERO;
        for (at, piece) in used.laid.iter().enumerate() {
            laid[piece.piece] += 1;
            let wanted = &problem.pieces[piece.piece];
            let sizes = if piece.turned { (wanted.across, wanted.along) } else { (wanted.along, wanted.across) };
            assert_eq!((piece.along, piece.across), sizes);
            assert!(wanted.turn || !piece.turned);
            assert!(piece.x >= Length::ZERO && piece.y >= Length::ZERO);
            assert!(piece.y + piece.across <= bolt.usable_width);
            end = end.max(piece.x + piece.along);
            for other in &used.laid[..at] {
                // In levels: pieces that start at one x lie side by side, all others fully before.
                let beside = other.x == piece.x && other.y + other.across <= piece.y;
                let before = other.x + other.along <= piece.x;
                assert!(beside || before, "{other:?} {piece:?}");
            }
        }
        assert_eq!(used.used, end);
        assert!(bolt.usable_length.is_none_or(|most| end <= most));
        assert!(bolt.on_hand.is_none_or(|most| used.bought <= most));
    }
    assert!(problem.pieces.iter().zip(&laid).all(|(piece, &laid)| piece.count == laid));
    assert_eq!(plan.cost, plan.bolts.iter().map(|bolt| bolt.cost).sum());
    assert_eq!(plan.length, plan.bolts.iter().map(|bolt| bolt.used).sum());
}

#[test]
fn equals_every_plan_of_a_few_pieces() {
    let mut dice = Dice(0x5eed);
    let (mut short, mut several, mut longer) = (0, 0, 0);
    for number in 0..1_500 {
        let (pieces, bolts) = case(&mut dice);
        let single: Vec<_> = pieces.iter().flat_map(|p| std::iter::repeat_n((p.0, p.1, p.2), p.3 as usize)).collect();
        let mut best = Best { cost: None, length: None };
        every_plan(&single, &bolts, &mut vec![0; bolts.len()], &mut best);
        let demand = |&(along, across, turn, count): &PlainDemand| PieceDemand {
            along: Length::from_inches(along),
            across: Length::from_inches(across),
            turn,
            count,
        };
        let problem = ClothProblem {
            pieces: pieces.iter().map(demand).collect(),
            bolts: bolts.iter().map(PlainBolt::kind).collect(),
        };
        let plan = match pack(&problem, &Budget::default(), &mut |_| Flow::Continue) {
            Ok(plan) => plan,
            Err(ClothShortage::TooWide(rows)) => {
                assert!(best.cost.is_none() && !rows.is_empty(), "case {number}");
                continue;
            }
            Err(ClothShortage::RunsShort(rows)) => {
                assert!(best.cost.is_none() && !rows.is_empty(), "case {number}");
                short += 1;
                continue;
            }
        };
        check_layout(&problem, &plan);
        let (cents, length) = best.cost.unwrap();
        assert_eq!(plan.cost, Cents::new(cents), "case {number}: {pieces:?}");
        assert_eq!(plan.cost_bound, plan.cost, "case {number}");
        assert!(plan.optimal && !plan.cut_short);
        assert!(plan.length_bound <= Length::from_inches(best.length.unwrap()), "case {number}");
        assert!(plan.length >= Length::from_inches(length), "case {number}");
        if bolts.len() == 1 {
            assert_eq!(plan.length, Length::from_inches(length), "case {number}");
            assert_eq!(plan.length_bound, plan.length, "case {number}");
        } else {
            several += 1;
            assert_eq!(plan.length_bound, Length::from_inches(best.length.unwrap()), "case {number}");
            longer += i32::from(plan.length > Length::from_inches(length));
        }
    }
    // The generator yields the hard cases too.
    assert!(short > 20 && several > 400, "{short} {several}");
    assert!(longer * 100 < several, "{longer} of {several} plans are longer than need be at their cost");
}
