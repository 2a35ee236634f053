//! Boards: two-stage guillotine cutting of priced, possibly limited stock, with kerfs.

use crate::job::{CuttingRules, Milling, Millings, Order};
use crate::measure::{Cents, Length, StockThickness};

/// What is to be cut from what. Parts and stock of different species never meet: `label` says which.
#[derive(Debug, Clone)]
pub struct BoardProblem {
    /// Strips wanted.
    pub parts: Vec<StripDemand>,
    /// Boards to be had.
    pub stock: Vec<BoardKind>,
    /// The cutting rules.
    pub rules: CuttingRules,
}

/// So many strips of one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StripDemand {
    /// Species label: an index of the caller's.
    pub label: usize,
    /// Finished length, without `length_trim`.
    pub length: Length,
    /// Width, without `rip_trim`.
    pub width: Length,
    /// Thickness.
    pub thickness: Length,
    /// Allowed millings; the plan uses one for the whole part.
    pub millings: Millings,
    /// Strips wanted.
    pub count: u32,
}

/// One kind of board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BoardKind {
    /// Species label.
    pub label: usize,
    /// Its thickness.
    pub thickness: StockThickness,
    /// Full width.
    pub width: Length,
    /// Full length.
    pub length: Length,
    /// Boards to be had; `None` for any number.
    pub available: Option<u32>,
    /// Price of one.
    pub cost: Cents,
}

/// A packing of boards with what is proven about it.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardPlan {
    /// The boards in the order they are cut.
    pub boards: Vec<CutBoard>,
    /// Price of the boards used.
    pub cost: Cents,
    /// No plan under these rules costs less.
    pub bound: Cents,
    /// True when `cost` equals `bound`.
    pub optimal: bool,
    /// True when a listener stopped it before its budget was used up.
    pub cut_short: bool,
}

/// One board and how it is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutBoard {
    /// Index into [`BoardProblem::stock`].
    pub stock: usize,
    /// Which cut comes first.
    pub order: Order,
    /// Crosscut first: the blanks. Rip first: one entry per group of equal full-length rips.
    pub blanks: Vec<Blank>,
}

/// One blank (crosscut first) or one group of equal full-length rips (rip first).
#[derive(Debug, Clone, PartialEq)]
pub struct Blank {
    /// Rough length; rip first it is the board's usable length.
    pub length: Length,
    /// Milling of everything in it.
    pub milling: Milling,
    /// Planed to this: the strips' thickness (flat) or width (edge).
    pub planed: Length,
    /// Leaves resawn from the board's thickness, 1 without resawing.
    pub leaves: u32,
    /// The rips. Rip first: all rows share `rips` and `rip_width`.
    pub rips: Vec<RipGroup>,
}

/// Equal rips of one blank, all cut into one part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RipGroup {
    /// Index into [`BoardProblem::parts`].
    pub part: usize,
    /// Ripped dimension, `rip_trim` and `edge_clean` included.
    pub rip_width: Length,
    /// How many equal rips.
    pub rips: u32,
    /// Pieces of the part in each rip.
    pub pieces: u32,
}

/// Why nothing can be packed: the parts that no board yields, or stock that runs short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BoardShortage {
    /// No board yields a single strip of these parts, each with the nearest miss in words.
    NoBoard(Vec<(usize, String)>),
    /// The boards on hand run out and nothing can be bought: parts and strips still missing.
    RunsShort(Vec<(usize, u32)>),
}
