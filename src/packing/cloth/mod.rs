//! Cloth: pieces in levels across bolts and remnants, least cost, then least length.

use crate::measure::{Cents, Length, Price, Ratio};

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
    /// No plan of least cost uses less, washed.
    pub length_bound: Length,
    /// True when cost is proven least (and bought length at the counter's increment).
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

/// Why cloth cannot be packed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClothShortage {
    /// These pieces are wider than every bolt, each with the widest usable width.
    TooWide(Vec<(usize, Length)>),
    /// Remnants run out and nothing is for sale: pieces still missing.
    RunsShort(Vec<(usize, u32)>),
}
