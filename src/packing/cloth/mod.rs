//! Cloth: pieces in levels across bolts and remnants, least cost, then least length.
//!
//! A bolt is cut across into levels, a level into pieces side by side, each trimmed to length: the
//! *level packing* of Lodi, Martello and Vigo (2004), here over several bolts at once. There is no
//! kerf. The method, each idea a file:
//!
//! - pooled sizes in whole units of their greatest common divisor (`model`);
//! - a linear program whose columns are levels, or fills of a whole remnant (`master`, `rows`), its
//!   columns priced by exact knapsacks and its bound proven in integers (`pricing`, `knapsack`);
//! - a plan at once by shelves (`shelves`), better ones by randomised fills, by dives, and by laying a few levels anew (`fill`, `dive`, `rework`);
//! - branch and bound on counts: levels at least so high, pieces in such levels, those first that raise the bound most
//!   after a few pivots (strong branching); whole counts that no plan makes are parted further (`search`, `branch`, `fit`);
//! - bounds for every way of cutting, by area and dual feasible functions, before any search (`area`);
//! - bounds lifted to what a plan can cost or measure (`goal`), money in exact integers (`charge`).
//!
//! # Levels
//!
//! A bolt is cut straight across into *levels*, a level is cut along the bolt into *stacks*, a stack across into pieces. Columns are
//! levels: `a_ij` pieces of size `i` in level `j`, which takes the height `h_j` of its tallest stack off the bolt. With `x_j` levels and
//! `d_i` pieces wanted, the length is the least `sum_j h_j x_j` with `sum_j a_ij x_j >= d_i`, and not more than is left of a remnant. At
//! duals `pi_i` a level of height `h` is worth the most that a knapsack across the bolt finds among stacks not higher than `h`, and a
//! stack the most that a knapsack along it finds. As with boards the duals are rounded to whole numbers and checked again: whatever the
//! plan, its levels are together worth what is wanted, and none is worth more than it is high.
//!
//! What is bought is a whole number of the counter's increments, so a length bound is lifted to the next of those, and a cost
//! bound to the least that such lengths can cost. By hand: six pieces 20 along and 14 across on a bolt 60 wide lie four to a level; one
//! and a half levels are 30, but no level is cut half, and two are 40: with an increment of 9 that is 45 bought.

mod area;
mod branch;
mod charge;
mod dive;
mod effort;
mod fill;
mod fit;
mod goal;
mod heap;
mod knapsack;
mod layout;
mod master;
mod model;
mod phases;
mod piles;
mod pool;
mod pricing;
mod proper;
mod rework;
mod rows;
mod search;
mod shelves;
mod stacks;

use itertools::Itertools;
use thiserror::Error;

use super::{Budget, Listener};
use crate::measure::{Cents, Length, Price, Ratio};

/// Packs all pieces onto the bolts: least cost, then least washed length.
///
/// The work is counted, so the same problem and budget give the same plan on every machine. Sizes
/// must be positive; a row without pieces or without size is passed over. The listener hears cost
/// where bolts differ in price, and length where that alone decides.
///
/// ```
/// use slatwright::measure::{Length, Price, Ratio};
/// use slatwright::packing::{Budget, Flow};
/// use slatwright::packing::cloth::{BoltKind, ClothProblem, PieceDemand, pack};
/// let panel = PieceDemand { along: Length::from_inches(30), across: Length::from_inches(28), turn: false, count: 3 };
/// let duck = BoltKind {
///     usable_width: Length::from_inches(58),
///     usable_length: None,
///     price: Price::parse("12.00").unwrap(),
///     unit: Length::from_inches(36),
///     increment: Length::from_inches(9),
///     shrink_along: Ratio::ZERO,
///     on_hand: None,
/// };
/// let problem = ClothProblem { pieces: vec![panel], bolts: vec![duck] };
/// let plan = pack(&problem, &Budget::default(), &mut |_| Flow::Continue).unwrap();
/// assert_eq!((plan.length, plan.cost.get()), (Length::from_inches(60), 2100)); // 63 in bought
/// assert!(plan.optimal);
/// ```
///
/// # Errors
/// [`ClothShortage`] when a piece fits no bolt, or when remnants run short and nothing is for sale.
pub fn pack(problem: &ClothProblem, budget: &Budget, listener: &mut Listener<'_>) -> Result<ClothPlan, ClothShortage> {
    let model = model::Model::new(problem)?;
    let stacked = model.with_stacks();
    phases::Phases::new(problem, &model, stacked.as_ref(), budget).run(listener)
}

/// Every piece fits some bolt: what can be said before anything is packed.
///
/// # Errors
/// [`ClothShortage`] with the pieces that fit none; with all of them where there are no bolts.
pub fn check_sizes(problem: &ClothProblem) -> Result<(), ClothShortage> {
    let asked = problem.pieces.iter().enumerate().filter(|(_, piece)| piece.count > 0);
    let asked: Vec<(usize, u32)> = asked.map(|(at, piece)| (at, piece.count)).collect();
    if problem.bolts.is_empty() && !asked.is_empty() {
        return Err(ClothShortage::RunsShort(asked));
    }
    model::Model::new(problem).map(drop)
}

/// What is to be cut from which bolts.
#[derive(Debug, Clone)]
pub struct ClothProblem {
    /// Kinds of pieces.
    pub pieces: Vec<PieceDemand>,
    /// Bolts and remnants.
    pub bolts: Vec<BoltKind>,
}

/// So many pieces of one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PieceDemand {
    /// Along the bolt.
    pub along: Length,
    /// Across the bolt.
    pub across: Length,
    /// May be turned a quarter.
    pub turn: bool,
    /// Pieces wanted.
    pub count: u32,
}

/// One bolt or remnant, in washed sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BoltKind {
    /// Usable width: (width - 2 selvage)(1 - shrinkage across).
    pub usable_width: Length,
    /// Usable length, washed; `None` for a bolt sold off the roll.
    pub usable_length: Option<Length>,
    /// Price of one `unit` of bought length; zero for a free remnant.
    pub price: Price,
    /// The length the price is for.
    pub unit: Length,
    /// What the counter cuts to, in bought length; zero for no rounding.
    pub increment: Length,
    /// Shrinkage along in washing.
    pub shrink_along: Ratio,
    /// Unwashed length on hand: what is bought of a remnant never exceeds it.
    pub on_hand: Option<Length>,
}

/// A packing of cloth with what is proven about it.
#[derive(Debug, Clone, PartialEq)]
pub struct ClothPlan {
    /// One entry per bolt of the problem, in its order.
    pub bolts: Vec<BoltUse>,
    /// Price of all bought lengths.
    pub cost: Cents,
    /// No plan of this kind costs less.
    pub cost_bound: Cents,
    /// Washed length used, all bolts together.
    pub length: Length,
    /// No plan of this kind uses less, washed, whatever it costs.
    pub length_bound: Length,
    /// True when cost is proven lowest (and bought length at the counter's increment).
    pub optimal: bool,
    /// True when a listener stopped it.
    pub cut_short: bool,
}

/// What is cut from one bolt.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltUse {
    /// Pieces laid, by x, then y.
    pub laid: Vec<LaidPiece>,
    /// Washed length used.
    pub used: Length,
    /// Length bought, shrinkage and increment included.
    pub bought: Length,
    /// Price of that.
    pub cost: Cents,
}

/// One piece on a bolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LaidPiece {
    /// Index into [`ClothProblem::pieces`].
    pub piece: usize,
    /// Along the bolt, from the first usable corner.
    pub x: Length,
    /// Across the bolt.
    pub y: Length,
    /// As laid, along.
    pub along: Length,
    /// As laid, across.
    pub across: Length,
    /// Laid a quarter turned.
    pub turned: bool,
}

/// Why cloth cannot be packed. Pieces are numbered from 1 in its words.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ClothShortage {
    /// These pieces are wider than every bolt, each with the widest usable width.
    #[error("wider than every bolt: {}", .0.iter().map(|(at, most)| format!("piece {} (at most {most})", at + 1)).join(", "))]
    TooWide(Vec<(usize, Length)>),
    /// These pieces are longer than every bolt that is wide enough, each with the most length there is of one.
    #[error("longer than every bolt so wide: {}", .0.iter().map(|(at, most)| format!("piece {} (at most {most})", at + 1)).join(", "))]
    TooLong(Vec<(usize, Length)>),
    /// Remnants run out and nothing is for sale: pieces still missing.
    #[error("the remnants run short of {}", .0.iter().map(|(at, many)| format!("{many} of piece {}", at + 1)).join(", "))]
    RunsShort(Vec<(usize, u32)>),
}
