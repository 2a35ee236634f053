//! A second opinion on cloth that shares no code with the packer: every way to group a few pieces
//! into levels and stacks, every bolt for every level, every turn.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::cloth_support;
use crate::common::some_of;

use std::sync::atomic::{AtomicUsize, Ordering};

use cloth_support::{Dice, faults};
use rust_decimal::Decimal;
use slatwright::measure::{Cents, Length, Price, Ratio};
use slatwright::packing::cloth::{BoltKind, ClothProblem, ClothShortage, LaidPiece, PieceDemand, pack};
use slatwright::packing::{Budget, Flow};

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

/// A stack that is being built: as high and as wide.
type Stack = (i64, i64);

/// Tries every stack for every piece, each piece both ways: the least height of a level, that of its
/// tallest piece, within which all stacks stay.
fn stack_up(pieces: &[(i64, i64, bool)], stacks: &mut Vec<Stack>, tallest: i64, width: i64, least: &mut Option<i64>) {
    let Some((&(along, across, turn), rest)) = pieces.split_first() else {
        let fits =
            stacks.iter().all(|stack| stack.0 <= tallest) && stacks.iter().map(|stack| stack.1).sum::<i64>() <= width;
        if fits {
            *least = Some(least.map_or(tallest, |held| held.min(tallest)));
        }
        return;
    };
    for (along, across) in [(along, across), (across, along)].into_iter().take(1 + usize::from(turn)) {
        for at in 0..=stacks.len() {
            let held = stacks.get(at).copied();
            let (high, wide) = held.unwrap_or((0, 0));
            let grown = (high + along, wide.max(across));
            if held.is_some() {
                stacks[at] = grown
            } else {
                stacks.push(grown)
            }
            stack_up(rest, stacks, tallest.max(along), width, least);
            match held {
                Some(held) => stacks[at] = held,
                None => drop(stacks.pop()),
            }
        }
    }
}

/// Least heights of a level on each bolt for every choice of the pieces, by its bits.
struct Heights<'a> {
    pieces: &'a [(i64, i64, bool)],
    bolts: &'a [PlainBolt],
    known: Vec<Vec<Option<Option<i64>>>>,
}

impl Heights<'_> {
    fn of(&mut self, bolt: usize, bits: usize) -> Option<i64> {
        if let Some(known) = self.known[bolt][bits] {
            return known;
        }
        let chosen: Vec<_> =
            (0..self.pieces.len()).filter(|at| bits >> at & 1 == 1).map(|at| self.pieces[at]).collect();
        let mut least = None;
        stack_up(&chosen, &mut Vec::new(), 0, self.bolts[bolt].width, &mut least);
        self.known[bolt][bits] = Some(least);
        least
    }
}

/// Least (cents, length) and least length of all plans.
struct Best {
    cost: Option<(i64, i64)>,
    length: Option<i64>,
}

fn every_plan(left: usize, heights: &mut Heights<'_>, used: &mut Vec<i64>, best: &mut Best) {
    if left == 0 {
        let cents: Option<i64> = heights.bolts.iter().zip(used.iter()).map(|(bolt, &used)| bolt.cents(used)).sum();
        if let Some(cents) = cents {
            let length = used.iter().sum();
            best.cost = best.cost.into_iter().chain([(cents, length)]).min();
            best.length = best.length.into_iter().chain([length]).min();
        }
        return;
    }
    let first = left & left.wrapping_neg();
    let rest = left & !first;
    let mut with = rest;
    loop {
        for bolt in 0..heights.bolts.len() {
            if let Some(height) = heights.of(bolt, first | with) {
                used[bolt] += height;
                every_plan(rest & !with, heights, used, best);
                used[bolt] -= height;
            }
        }
        if with == 0 {
            return;
        }
        with = (with - 1) & rest;
    }
}

/// Along, across, may be turned, count.
type PlainDemand = (i64, i64, bool, u32);

fn case(dice: &mut Dice) -> (Vec<PlainDemand>, Vec<PlainBolt>) {
    let most = dice.between(20, 59);
    let kinds = 1 + dice.below(4);
    let mut left = 6;
    let mut pieces = Vec::new();
    for _ in 0..kinds {
        let count = (1 + dice.below(3)).min(left);
        left -= count;
        if count > 0 {
            let turn = dice.below(2) == 0;
            pieces.push((dice.between(1, most), dice.between(1, 30), turn, u32::try_from(count).unwrap()));
        }
    }
    let bolts = (0..1 + dice.below(3)).map(|_| {
        let limited = dice.below(3) == 0;
        PlainBolt {
            width: dice.between(10, 59),
            on_hand: limited.then(|| dice.between(10, 159)),
            cents_a_yard: if limited && dice.below(2) == 0 { 0 } else { dice.between(100, 2099) },
            increment: [1, 3, 4, 9, 18, 36][dice.below(6) as usize],
            shrink: [0, 0, 5, 10, 20][dice.below(5) as usize],
        }
    });
    (pieces, bolts.collect())
}

/// True when some piece lies behind another within a level.
fn stands_on_another(laid: &[LaidPiece]) -> bool {
    laid.iter().any(|a| laid.iter().any(|b| a.x < b.x && b.x + b.along <= a.x + a.along))
}

/// What the cases held, counted so that the generator cannot go soft unseen.
#[derive(Default)]
struct Seen {
    short: u32,
    several: u32,
    longer: u32,
    stacks: u32,
    open: u32,
    loose: u32,
}

impl std::ops::AddAssign for Seen {
    fn add_assign(&mut self, other: Self) {
        self.short += other.short;
        self.several += other.several;
        self.longer += other.longer;
        self.stacks += other.stacks;
        self.open += other.open;
        self.loose += other.loose;
    }
}

/// The best of every plan, by trying them all.
fn tried(pieces: &[PlainDemand], bolts: &[PlainBolt]) -> Best {
    let single: Vec<_> = pieces.iter().flat_map(|p| std::iter::repeat_n((p.0, p.1, p.2), p.3 as usize)).collect();
    let mut best = Best { cost: None, length: None };
    let known = vec![vec![None; 1 << single.len()]; bolts.len()];
    let mut heights = Heights { pieces: &single, bolts, known };
    every_plan((1 << single.len()) - 1, &mut heights, &mut vec![0; bolts.len()], &mut best);
    best
}

/// Packs one case and holds the plan against every plan there is.
fn compare(number: usize, pieces: &[PlainDemand], bolts: &[PlainBolt], seen: &mut Seen) {
    let best = tried(pieces, bolts);
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
        Err(ClothShortage::TooWide(rows) | ClothShortage::TooLong(rows)) => {
            assert!(best.cost.is_none() && !rows.is_empty(), "case {number}");
            return;
        }
        Err(ClothShortage::RunsShort(rows)) => {
            assert!(best.cost.is_none() && !rows.is_empty(), "case {number}");
            seen.short += 1;
            return;
        }
    };
    assert_eq!(faults(&problem, &plan), Vec::<String>::new(), "case {number}");
    seen.stacks += u32::from(plan.bolts.iter().any(|bolt| stands_on_another(&bolt.laid)));
    let (cents, length) = best.cost.unwrap();
    assert_eq!(plan.cost, Cents::new(cents), "case {number}: {pieces:?}");
    assert!(plan.cost_bound <= plan.cost && !plan.cut_short, "case {number}");
    seen.open += u32::from(!plan.optimal);
    assert!(plan.length_bound <= Length::from_inches(best.length.unwrap()), "case {number}");
    assert!(plan.length >= Length::from_inches(length), "case {number}");
    if bolts.len() == 1 {
        assert_eq!(plan.length, Length::from_inches(length), "case {number}");
        assert_eq!(plan.length_bound, plan.length, "case {number}");
    } else {
        seen.several += 1;
        seen.loose += u32::from(plan.length_bound != Length::from_inches(best.length.unwrap()));
        seen.longer += u32::from(plan.length > Length::from_inches(length));
    }
}

/// The cases are drawn in one order and shared out among the cores.
#[test]
fn equals_every_plan_of_a_few_pieces() {
    let mut dice = Dice::new(0x5eed);
    let cases: Vec<_> = (0..some_of(2_000)).map(|_| case(&mut dice)).collect();
    let next = AtomicUsize::new(0);
    let work = || {
        let mut seen = Seen::default();
        while let number = next.fetch_add(1, Ordering::Relaxed)
            && let Some((pieces, bolts)) = cases.get(number)
        {
            compare(number, pieces, bolts, &mut seen);
        }
        seen
    };
    let mut seen = Seen::default();
    std::thread::scope(|scope| {
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(work)).collect();
        for worker in workers {
            seen += worker.join().unwrap();
        }
    });
    let Seen { short, several, longer, stacks, open, loose } = seen;
    // Where no fractional count is left but no plan either, a bound stays: hardly ever.
    assert!(open <= 2 && loose <= 4, "{open} unproven, {loose} lengths below the least");
    // The generator yields the hard cases too.
    assert!(short > some_of(20) && several > some_of(400) && stacks > some_of(200), "{short} {several} {stacks}");
    assert!(longer * 100 < several, "{longer} of {several} plans are longer than need be at their cost");
}
