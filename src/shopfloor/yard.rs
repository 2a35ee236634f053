//! At the yard: what the picked boards cover, what is short, and what the board in hand is worth.

use std::collections::BTreeSet;

use super::finish::{Ask, finish_each};
use super::in_hand::Judging;
use super::picked::{offered, own_names, owned};
use super::{Finish, FloorError, Offer, finish, with_picked};
use crate::demand::Part;
use crate::job::{BoardPlace, BoardStock, Job};
use crate::measure::{Cents, Volume};
use crate::packing::{Budget, Flow, Progress};
use crate::plan::{CannotPlan, Stage};

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

/// Judges the boards picked so far. In `rows` a count on hand says that so many are picked (0: looked
/// at and left), no count that the board is in hand and asked about.
///
/// Nothing is paid yet: where a better board comes to hand, picked ones may go back, and it is said which.
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
    let (in_hand, seen): (Vec<_>, Vec<_>) = rows.iter().partition(|row| row.on_hand.is_none());
    let picked: Vec<&BoardStock> = seen.into_iter().filter(|row| row.on_hand.is_some_and(|count| count > 0)).collect();
    let count = |row: &BoardStock| row.on_hand.unwrap_or(0);
    let at_their_prices: Vec<BoardStock> = picked.iter().map(|row| offered(row, count(row))).collect();
    let wants: Vec<u32> = parts.iter().map(Part::total).collect();
    let whole = |boards: Vec<BoardStock>| Ask { wants: wants.clone(), boards };
    let mut asked = vec![whole(picked.iter().map(|row| owned(row, count(row))).collect())];
    if !picked.is_empty() {
        asked.push(whole(at_their_prices.clone()));
    }
    let judging = Judging::new(parts, &in_hand, at_their_prices);
    let own = asked.len();
    asked.extend(judging.first());
    let mut solve = |asked: Vec<Ask>| -> Result<Vec<Finish>, CannotPlan> {
        let with_the_yard = |ask: Ask| Ask { boards: [ask.boards, job.boards.clone()].concat(), ..ask };
        let asked: Vec<Ask> = asked.into_iter().map(with_the_yard).collect();
        finish_each(job, parts, &asked, budget, listener).into_iter().collect()
    };
    let solved = solve(asked)?;
    let (rest, bought) = (&solved[0], &solved[own - 1]);
    let offers = judging.offers(job, &solved[own..], &mut solve)?;
    Ok(standing(job, parts, &picked, (rest.clone(), bought), offers))
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
    assert!(rest.job.boards.len() >= job.boards.len(), "the yard and the rack are among the boards");
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
