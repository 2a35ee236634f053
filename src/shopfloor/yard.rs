//! At the yard: what the picked boards cover, what is short, and what the board in hand is worth.

use std::collections::BTreeSet;

use super::{Finish, FloorError, finish};
use crate::demand::Part;
use crate::job::{BoardStock, Job};
use crate::measure::{Cents, Volume};
use crate::packing::{Budget, Flow, Progress};
use crate::plan::Stage;

/// Where a shopping trip stands.
#[derive(Debug, Clone)]
pub struct Yard {
    /// Boards picked.
    pub picked: u64,
    /// What they cost by their own prices.
    pub spent: Cents,
    /// Strips that the picked boards yield in the cheapest finish, part by part, never over the want.
    pub from_picked: Vec<u32>,
    /// The same from boards the shop has already.
    pub from_rack: Vec<u32>,
    /// Strips still to be bought.
    pub short: Vec<u32>,
    /// Net wood of those.
    pub short_wood: Volume,
    /// The cheapest finish found: picked boards free, the rest from the rack and the yard.
    pub finish: Finish,
    /// Picked boards that this finish leaves uncut.
    pub not_needed: Vec<String>,
    /// A verdict on every board in hand.
    pub offers: Vec<Offer>,
}

/// What one more board would be worth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Its name in the file.
    pub stock: String,
    /// Its price.
    pub price: Cents,
    /// How much cheaper the rest becomes with it: both finishes solved anew.
    pub worth: Cents,
    /// No less than this, proven.
    pub at_least: Cents,
    /// No more than this, proven.
    pub at_most: Cents,
}

impl Offer {
    /// Worth its price.
    #[must_use]
    pub fn take(&self) -> bool {
        self.worth.get() > 0 && self.worth >= self.price
    }

    /// True when the proven limits alone settle the verdict.
    #[must_use]
    pub fn certain(&self) -> bool {
        if self.take() { self.at_least >= self.price } else { self.at_most < self.price || self.at_most.get() <= 0 }
    }
}

/// Judges the boards picked so far. In `rows` a count on hand says that so many are picked (0: looked
/// at and left), no count that the board is in hand and asked about.
///
/// The worth of a board is what the rest of the job costs without it less what it costs with it, for
/// nothing: the saving that it is bought for. Its proven limits follow from the two bounds: at least
/// the bound without less the cost with, at most the cost without less the bound with.
///
/// # Errors
/// [`FloorError`] for a name that the boards file has already, or when the rest cannot be had.
pub fn at_the_yard(
    job: &Job,
    parts: &[Part],
    rows: &[BoardStock],
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Yard, FloorError> {
    let taken: BTreeSet<&str> = job.boards.iter().map(|board| board.stock.as_str()).collect();
    if let Some(row) = rows.iter().find(|row| taken.contains(row.stock.as_str())) {
        return Err(FloorError::NameTaken(row.stock.clone()));
    }
    let wants: Vec<u32> = parts.iter().map(Part::total).collect();
    let picked: Vec<&BoardStock> = rows.iter().filter(|row| row.on_hand.is_some_and(|count| count > 0)).collect();
    let mut boards: Vec<BoardStock> = picked.iter().map(|row| owned(row, row.on_hand)).collect();
    boards.extend(job.boards.iter().cloned());
    let mut solve = |boards: Vec<BoardStock>| finish(job, parts, &wants, boards, budget, listener);
    let rest = solve(boards.clone())?;
    let mut offers = Vec::new();
    for row in rows.iter().filter(|row| row.on_hand.is_none()) {
        let mut with = vec![owned(row, Some(1))];
        with.extend(boards.iter().cloned());
        offers.push(offer(row, &rest, &solve(with)?));
    }
    Ok(standing(job, parts, &picked, rest, offers))
}

/// A board that is paid for, or may be had for nothing to learn what it is worth.
fn owned(row: &BoardStock, count: Option<u32>) -> BoardStock {
    BoardStock {
        on_hand: count,
        price: None,
        unit_cost: Cents::ZERO,
        random: false,
        widths: None,
        held: Vec::new(),
        ..row.clone()
    }
}

fn offer(row: &BoardStock, without: &Finish, with: &Finish) -> Offer {
    let (without, with) = (&without.plan.boards, &with.plan.boards);
    // A plan that does without the board is a plan with it: a dearer answer is the search's, not the board's.
    let cost_with = with.cost.min(without.cost);
    Offer {
        stock: row.stock.clone(),
        price: row.unit_cost,
        worth: without.cost - cost_with,
        at_least: (without.bound - cost_with).max(Cents::ZERO),
        at_most: without.cost - with.bound,
    }
}

fn standing(job: &Job, parts: &[Part], picked: &[&BoardStock], rest: Finish, offers: Vec<Offer>) -> Yard {
    let names: BTreeSet<&str> = picked.iter().map(|row| row.stock.as_str()).collect();
    let is_picked = |board: &BoardStock| names.contains(board.stock.as_str());
    let from_picked = rest.strips_from(parts, is_picked);
    let from_rack = rest.strips_from(parts, |board| board.on_hand.is_some() && !is_picked(board));
    let capped = |strips: u64, most: u32| u32::try_from(strips).unwrap_or(u32::MAX).min(most);
    let from_picked: Vec<u32> = parts.iter().zip(from_picked).map(|(part, n)| capped(n, part.total())).collect();
    let left = |at: usize| parts[at].total() - from_picked[at];
    let from_rack: Vec<u32> = from_rack.into_iter().enumerate().map(|(at, n)| capped(n, left(at))).collect();
    let short: Vec<u32> = (0..parts.len()).map(|at| left(at) - from_rack[at]).collect();
    let wood = |(part, n): (&Part, &u32)| part.length * part.width * part.thickness * i64::from(*n);
    let short_wood = parts.iter().zip(&short).map(wood).sum();
    let used = |row: &&BoardStock| {
        let count = rest.plan.boards.boards.iter().filter(|board| rest.job.boards[board.stock].stock == row.stock);
        u32::try_from(count.count()).unwrap_or(u32::MAX)
    };
    let uncut = picked.iter().filter_map(|row| {
        let uncut = row.on_hand.unwrap_or(0).saturating_sub(used(row));
        (uncut > 0).then(|| if uncut == 1 { row.stock.clone() } else { format!("{uncut} x {}", row.stock) })
    });
    debug_assert!(rest.job.boards.len() >= job.boards.len(), "the yard and the rack are among the boards");
    Yard {
        picked: picked.iter().map(|row| u64::from(row.on_hand.unwrap_or(0))).sum(),
        spent: picked.iter().map(|row| row.unit_cost * i64::from(row.on_hand.unwrap_or(0))).sum(),
        not_needed: uncut.collect(),
        from_picked,
        from_rack,
        short,
        short_wood,
        offers,
        finish: rest,
    }
}
