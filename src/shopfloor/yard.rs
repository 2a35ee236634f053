//! At the yard: what the picked boards cover, what is short, and what the board in hand is worth.

use std::collections::BTreeSet;

use super::picked::{offered, own_names, owned};
use super::{Finish, FloorError, finish, with_picked};
use crate::cutting::{StripSize, worth_keeping};
use crate::demand::Part;
use crate::job::{BoardPlace, BoardStock, Job};
use crate::measure::{Cents, Units, Volume};
use crate::packing::{Budget, Flow, Progress};
use crate::plan::Stage;

/// Work of one solve at the yard: the answer is wanted while the board is in hand.
pub const YARD: Budget = Budget { nodes: 20, tries: 20 };

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
    /// Picked boards without which the purchase is cheaper, each picked board at its price: they go back before anything
    /// is paid.
    pub to_go_back: Vec<String>,
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
    /// How much cheaper the rest becomes with it, both finishes solved anew, and how much more wood is left.
    pub worth: Cents,
    /// No less than this: what is saved is proven, what is left is that of the two finishes.
    pub at_least: Cents,
    /// No more than this, likewise.
    pub at_most: Cents,
}

/// What to do with a board in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It is worth more than its price.
    Take,
    /// It is worth less than its price.
    Leave,
    /// Its worth is within 1 % of its price, or what is proven does not tell on which side of it.
    TossUp,
}

impl Verdict {
    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Take => "take it",
            Self::Leave => "leave it",
            Self::TossUp => "toss-up",
        }
    }
}

impl Offer {
    /// The verdict, as far as it is known.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        if self.at_most.get() <= 0 {
            return Verdict::Leave;
        }
        let (worth, price) = (i128::from(self.worth.get()), i128::from(self.price.get()));
        if (worth - price).abs() * 100 < price || worth == price {
            return Verdict::TossUp;
        }
        match (worth > price, self.at_least >= self.price, self.at_most <= self.price) {
            (true, true, _) => Verdict::Take,
            (false, _, true) => Verdict::Leave,
            _ => Verdict::TossUp,
        }
    }
}

/// Judges the boards picked so far. In `rows` a count on hand says that so many are picked (0: looked
/// at and left), no count that the board is in hand and asked about.
///
/// The worth of a board is what the boards of the job cost without it less what they cost with it, for
/// nothing: the saving that it is bought for. Picked boards count at their prices, for they may still go back. Its proven limits follow from the two bounds: at least
/// the bound without less the cost with, at most the cost without less the bound with. Of several boards
/// What the shop says wood that is left is worth (`offcut_value`) is counted on both sides: offcuts worth keeping, and boards
/// at hand that are not cut. Of several boards
/// in hand those that are cut together at least cost are found first, each at its price; each board is then
/// judged beside the others of these, so that of three alike of which one is needed, one is taken.
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
    own_names(job, rows)?;
    let wants: Vec<u32> = parts.iter().map(Part::total).collect();
    let picked: Vec<&BoardStock> = rows.iter().filter(|row| row.on_hand.is_some_and(|count| count > 0)).collect();
    let in_hand: Vec<&BoardStock> = rows.iter().filter(|row| row.on_hand.is_none()).collect();
    let mut solve = |more: Vec<BoardStock>, picked: Vec<BoardStock>| {
        let boards = more.into_iter().chain(picked).chain(job.boards.iter().cloned()).collect();
        finish(job, parts, &wants, boards, budget, listener)
    };
    let count = |row: &BoardStock| row.on_hand.unwrap_or(0);
    let rest = solve(Vec::new(), picked.iter().map(|row| owned(row, count(row))).collect())?;
    // Nothing is paid yet: what is picked may go back where something better comes to hand.
    let at_their_prices = || picked.iter().map(|row| offered(row, count(row))).collect();
    let mut solve = |more: Vec<BoardStock>| solve(more, at_their_prices());
    let bought = if picked.is_empty() { rest.clone() } else { solve(Vec::new())? };
    let mut together: Vec<&BoardStock> = Vec::new();
    if in_hand.len() > 1 {
        let all = solve(in_hand.iter().map(|row| offered(row, 1)).collect())?;
        let cut = |row: &&&BoardStock| all.uses(&row.stock) > 0;
        together = in_hand.iter().filter(cut).copied().collect();
    }
    let given = |rows: &[&BoardStock]| -> Vec<BoardStock> { rows.iter().map(|row| owned(row, 1)).collect() };
    let with_these = if together.is_empty() { bought.clone() } else { solve(given(&together))? };
    let mut offers = Vec::new();
    for row in in_hand {
        let others: Vec<&BoardStock> = together.iter().copied().filter(|other| other.stock != row.stock).collect();
        offers.push(if others.len() < together.len() {
            offer(job, row, &solve(given(&others))?, &with_these)
        } else {
            offer(job, row, &with_these, &solve(given(&[&others[..], &[row]].concat()))?)
        });
    }
    Ok(standing(job, parts, &picked, (rest, &bought), offers))
}

fn offer(job: &Job, row: &BoardStock, without: &Finish, with: &Finish) -> Offer {
    // A plan that does without the board is a plan with it: a dearer answer is the search's, not the board's.
    let unused = with.plan.boards.cost > without.plan.boards.cost;
    let left_without = left_of(without);
    let left_with = if unused { left_without + row.volume() } else { left_of(with) };
    let left = left_worth(job, left_with) - left_worth(job, left_without);
    let (without, with) = (&without.plan.boards, &with.plan.boards);
    let cost_with = with.cost.min(without.cost);
    Offer {
        stock: row.stock.clone(),
        price: row.unit_cost,
        worth: without.cost - cost_with + left,
        at_least: (without.bound - cost_with).max(Cents::ZERO) + left,
        at_most: without.cost - with.bound + left,
    }
}

/// Wood of the shop's own that is left when a finish is cut: offcuts worth keeping for its strips, and boards that are
/// not cut, but for those that are still the yard's.
fn left_of(finish: &Finish) -> Volume {
    let (rules, boards) = (&finish.job.shop.cutting, &finish.job.boards);
    let own = |board: &BoardStock| board.on_hand.filter(|_| board.place != BoardPlace::Yard).unwrap_or(0);
    let mut uncut: Vec<u32> = boards.iter().map(own).collect();
    let mut left = Volume::default();
    for cut in &finish.plan.boards.boards {
        let stock = &boards[cut.stock];
        uncut[cut.stock] = uncut[cut.stock].saturating_sub(1);
        let parts = finish.plan.demand.parts.iter().filter(|part| part.species == stock.species);
        let strips: Vec<StripSize> = parts.map(Part::size).collect();
        let kept = cut.left(rules, &stock.into());
        let kept = kept.iter().filter(|left| worth_keeping(rules, &strips, &left.board()));
        left = kept.fold(left, |sum, of| sum + of.length * of.width * of.thickness.charged() * i64::from(of.pieces));
    }
    boards.iter().zip(uncut).fold(left, |sum, (board, uncut)| sum + board.volume() * i64::from(uncut))
}

/// What wood that is left is worth to the shop.
fn left_worth(job: &Job, wood: Volume) -> Cents {
    let amount = match job.units {
        Units::Inch => wood.board_feet(4),
        Units::Millimetre => wood.cubic_metres(6),
    };
    let worth = job.shop.pricing.offcut_value.decimal().checked_mul(amount);
    worth.and_then(Cents::nearest).unwrap_or(Cents::ZERO)
}

/// The best to take of all boards in the pile.
#[derive(Debug, Clone)]
pub struct Pile {
    /// Boards of the pile, in the order of their file, with how many of each to take.
    pub take: Vec<(BoardStock, u32)>,
    /// The cheapest finish with them: picked boards free, those of the pile and of the list at their prices.
    pub finish: Finish,
    /// The cheapest finish from the list alone; `None` when the list does not do for the job.
    pub list_alone: Option<Finish>,
}

/// Chooses from a pile: of all boards in the pile, each with its size and price, those that are cut at least
/// cost together with what is picked, on the rack and on the yard's list. In `pile` a count says how many of a row
/// there are; none that there is one.
///
/// # Errors
/// [`FloorError`] for a name that the boards file or the picked boards have already, a board without a price, or
/// when the rest cannot be had even so.
pub fn from_the_pile(
    job: &Job,
    parts: &[Part],
    (picked, pile): (&[BoardStock], &[BoardStock]),
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Pile, FloorError> {
    let job = with_picked(job, picked)?;
    own_names(&job, pile)?;
    if let Some(row) = pile.iter().find(|row| row.price.is_none()) {
        let what = format!("the pile's file gives no price for `{}`", row.stock);
        return Err(FloorError::Mismatch { what, help: "fill in its `price` and `per`" });
    }
    let wants: Vec<u32> = parts.iter().map(Part::total).collect();
    let mut solve = |more: Vec<BoardStock>| {
        let boards = more.into_iter().chain(job.boards.iter().cloned()).collect();
        finish(&job, parts, &wants, boards, budget, listener)
    };
    let lying = |row: &BoardStock| row.on_hand.unwrap_or(1);
    let finish = solve(pile.iter().map(|row| offered(row, lying(row))).collect())?;
    let list_alone = solve(Vec::new()).ok();
    let take = pile.iter().map(|row| (row.clone(), finish.uses(&row.stock))).filter(|(_, count)| *count > 0);
    Ok(Pile { take: take.collect(), finish, list_alone })
}

fn standing(
    job: &Job,
    parts: &[Part],
    picked: &[&BoardStock],
    (rest, bought): (Finish, &Finish),
    offers: Vec<Offer>,
) -> Yard {
    let names: BTreeSet<&str> = picked.iter().map(|row| row.stock.as_str()).collect();
    let is_picked = |board: &BoardStock| names.contains(board.stock.as_str());
    let from_picked = rest.strips_from(parts, is_picked);
    let from_rack = rest.strips_from(parts, |board| board.place == BoardPlace::Rack);
    let capped = |strips: u64, most: u32| u32::try_from(strips).unwrap_or(u32::MAX).min(most);
    let from_picked: Vec<u32> = parts.iter().zip(from_picked).map(|(part, n)| capped(n, part.total())).collect();
    let left = |at: usize| parts[at].total() - from_picked[at];
    let from_rack: Vec<u32> = from_rack.into_iter().enumerate().map(|(at, n)| capped(n, left(at))).collect();
    let short: Vec<u32> = (0..parts.len()).map(|at| left(at) - from_rack[at]).collect();
    let wood = |(part, n): (&Part, &u32)| part.length * part.width * part.thickness * i64::from(*n);
    let short_wood = parts.iter().zip(&short).map(wood).sum();
    let spent: Cents = picked.iter().map(|row| row.unit_cost * i64::from(row.on_hand.unwrap_or(0))).sum();
    // A purchase that comes out no cheaper is no ground to give anything back but what is not cut at all.
    let kept = if bought.plan.boards.cost < rest.plan.boards.cost + spent { bought } else { &rest };
    let uncut = picked.iter().filter_map(|row| {
        let uncut = row.on_hand.unwrap_or(0).saturating_sub(kept.uses(&row.stock));
        (uncut > 0).then(|| if uncut == 1 { row.stock.clone() } else { format!("{uncut} x {}", row.stock) })
    });
    debug_assert!(rest.job.boards.len() >= job.boards.len(), "the yard and the rack are among the boards");
    Yard {
        picked: picked.iter().map(|row| u64::from(row.on_hand.unwrap_or(0))).sum(),
        spent,
        to_go_back: uncut.collect(),
        from_picked,
        from_rack,
        short,
        short_wood,
        offers,
        finish: rest,
    }
}
