//! Boards: two-stage guillotine cutting of priced, possibly limited stock, with kerfs.
//!
//! The method, each idea a file or a room:
//!
//! - sizes, millings and rooms in whole numbers (`model`, `layout`, `kinds`, `spans`, `grid`);
//! - the linear program of the whole job by column generation, its columns priced by nested knapsacks and
//!   its bound proven in integers (`root`, `pricing`, `knapsack`), lifted to what whole boards can cost
//!   (`lattice`, `cover`);
//! - plans at once, size by size (`alone`), by shaken fills, by dives, by packing a few boards anew, by exchanging boards (`fill`, `dive`,
//!   `mend`, `renew`, `exchange`);
//! - a search that branches on counts, with fillings and cuts as columns of their own (`tree`, `master`,
//!   `point`) and the simplex that cloth shares, where all is whole by exact packing (`whole`, `onedim`);
//! - one species from first to last (`search`), bettered by two searches side by side (`improve`, `second`),
//!   laid between defects, written out and trimmed (`place`, `assemble`, `tidy`);
//! - for one set of boards after another: all that a plan from it can hold (`listed`) and rounding cuts over
//!   that (`master::rounded`);
//! - what one more board would save (`worth`), what is missing (`shortage`), random widths (`widths`).
//!
//! # The linear program
//!
//! A board is crosscut into blanks, a blank is ripped into strips (rip first: the other way round, with long rips in the place of
//! blanks). Columns are the ways of doing so: a *crosscut pattern* of a board, so many blanks of each length, and a *rip pattern* of a
//! blank, so many strips of each part beside one another. With `x_p` boards cut by crosscut pattern `p`, of the kind `k(p)` that costs
//! `c_k` and of which there are `s_k`, and `y_q` blanks ripped by pattern `q`:
//!
//! ```text
//! least   sum_p c_k(p) x_p
//! strips  sum_q a_iq y_q                          >= d_i      for each part i               dual  pi_i >= 0
//! blanks  sum_p b_lp x_p - sum_(q of l) y_q       >= 0        for each blank length l       dual  mu_l >= 0
//! boards  - sum_(p of k) x_p                      >= - s_k    for each kind on hand k       dual  sigma_k >= 0
//! ```
//!
//! A column may better the program when its reduced cost is below nought: a rip pattern worth more in strips than its blank,
//! `sum_i a_iq pi_i > mu_l`, which is a knapsack over the blank's width with kerfs; a crosscut pattern worth more in blanks than its
//! board, `sum_l b_lp mu_l > c_k + sigma_k`, a knapsack over the board's length (Gilmore and Gomory 1961, 1963, 1965). Both are solved
//! exactly, so that no column is missing when none is found.
//!
//! # The bound
//!
//! Take any integers `pi`, `mu`, `sigma` not below nought for which no rip pattern is worth more than its blank and no crosscut pattern
//! more than its board. For every plan, in whole boards or not,
//!
//! ```text
//! sum_i d_i pi_i  <=  sum_q y_q sum_i a_iq pi_i  <=  sum_l mu_l sum_(q of l) y_q  <=  sum_p x_p sum_l b_lp mu_l
//!                 <=  sum_p x_p (c_k(p) + sigma_k(p))  <=  (cost of the plan) + sum_k s_k sigma_k
//! ```
//!
//! so that `sum d_i pi_i - sum s_k sigma_k` is a bound on all of them. The program's duals come out of floating point; they are
//! rounded to whole numbers, and every inequality above is checked again in whole numbers by the same exact knapsacks: the bound rests
//! on no tolerance. A plan pays for whole boards, so the bound is lifted to the least sum of their prices that reaches it.
//!
//! # By hand
//!
//! Boards 4 wide and 10 long at 7.00, no kerf and no trim; six strips 1 wide and four 1-1/2 wide, all 5 long. A board is two blanks of
//! 5, a blank takes four narrow strips, or two of them and a wide one, or one and two wide ones. Two blanks of the last kind and one of
//! the first do: one board and a half, 10.50. With a blank at 3.50 a narrow strip is worth 3.50 / 4 and a wide one (3.50 - 0.875) / 2:
//! no pattern is worth more than its blank, and 6 x 0.875 + 4 x 1.3125 = 10.50 is a bound. One and a half boards are not sold: two are,
//! at 14.00, and that is proven lowest.
//!
//! ```
//! use slatwright::job::{CuttingRules, Millings};
//! use slatwright::measure::{Cents, Length, Units, parse_length, parse_thickness};
//! use slatwright::packing::boards::{BoardKind, BoardProblem, StripDemand, pack};
//! use slatwright::packing::{Budget, Flow};
//!
//! let inches = |text| parse_length(text, Units::Inch).unwrap();
//! let strip = |width, count| StripDemand {
//!     label: 0, length: inches("5"), width: inches(width), thickness: inches("3/8"), millings: Millings::Flat, count,
//! };
//! let board = BoardKind {
//!     label: 0, thickness: parse_thickness("4/4", Units::Inch).unwrap(), width: inches("4"), length: inches("10"),
//!     defects: Vec::new(), available: None, cost: Cents::new(700),
//! };
//! let (none, rules) = (Length::ZERO, CuttingRules::default());
//! let rules = CuttingRules {
//!     rip_kerf: none, crosscut_kerf: none, end_trim: none, edge_trim_crosscut: none, hold_width: none, length_trim: none,
//!     rip_trim: none, min_blank: none, ..rules
//! };
//! let problem = BoardProblem { parts: vec![strip("1", 6), strip("1-1/2", 4)], stock: vec![board], rules };
//! let plan = pack(&problem, &Budget::default(), &mut |_| Flow::Continue).unwrap();
//! assert_eq!((plan.boards.len(), plan.cost, plan.bound, plan.optimal), (2, Cents::new(1400), Cents::new(1400), true));
//! ```

mod alone;
mod assemble;
mod cover;
mod dive;
mod exchange;
mod fill;
mod grid;
mod improve;
mod kinds;
mod knapsack;
mod lattice;
mod layout;
mod listed;
mod master;
mod mend;
mod model;
mod onedim;
mod place;
mod point;
mod pricing;
#[cfg(all(test, feature = "deep"))]
mod published;
mod renew;
mod root;
#[cfg(test)]
mod samples;
mod search;
mod second;
mod shortage;
mod spans;
mod tidy;
mod tree;
mod whole;
mod widths;
mod worth;

pub use widths::{WidthLevel, WidthRange, at_widths};

use std::cell::RefCell;
use std::collections::BTreeSet;

use itertools::Itertools;
use thiserror::Error;

use self::improve::improve;
use self::pricing::Pricer;
use self::search::{Missing, Sized, Wood};
use self::tree::WORK_PER_NODE;
pub use self::worth::{Asked, Worth, Worths, worths};
use super::{Budget, Flow, Listener, Progress, Standing, Threads};
use crate::cutting::{BoardSize, CutBlank, Cuts, Left, StripSize, left_over};
use crate::job::{CuttingRules, Defect, Milling, Millings, Order};
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

impl StripDemand {
    /// Its size.
    #[must_use]
    pub const fn size(&self) -> StripSize {
        let Self { length, width, thickness, millings, .. } = *self;
        StripSize { length, width, thickness, millings }
    }
}

/// One kind of board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardKind {
    /// Species label.
    pub label: usize,
    /// Its thickness.
    pub thickness: StockThickness,
    /// Full width.
    pub width: Length,
    /// Full length.
    pub length: Length,
    /// Lengths that are cut out of every board of it ([`crate::cutting::clear_runs`] has the rule).
    pub defects: Vec<Defect>,
    /// Boards to be had; `None` for any number.
    pub available: Option<u32>,
    /// Price of one.
    pub cost: Cents,
}

impl BoardKind {
    /// Its size.
    #[must_use]
    pub fn size(&self) -> BoardSize<'_> {
        BoardSize { thickness: self.thickness, width: self.width, length: self.length, defects: &self.defects }
    }
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
    /// For boards that come in a range of widths, what they must come to; [`pack`] leaves it empty and
    /// [`at_widths`] works out one.
    pub ranges: Vec<WidthRange>,
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

impl CutBoard {
    /// Strips that come off it, by part.
    #[must_use]
    pub fn strips(&self) -> Vec<(usize, u64)> {
        let mut strips: Vec<(usize, u64)> = Vec::new();
        for (blank, row) in self.blanks.iter().flat_map(|blank| blank.rips.iter().map(move |row| (blank, row))) {
            let more = u64::from(row.rips) * u64::from(row.pieces) * u64::from(blank.leaves);
            match strips.binary_search_by_key(&row.part, |known| known.0) {
                Ok(at) => strips[at].1 += more,
                Err(at) => strips.insert(at, (row.part, more)),
            }
        }
        strips
    }
}

impl CutBoard {
    /// How it is cut, as far as it matters for what is left.
    #[must_use]
    pub fn cuts(&self) -> Cuts {
        match self.order {
            Order::CrosscutFirst => Cuts::Crosscut((1..).zip(&self.blanks).map(|(at, blank)| blank.cut(at)).collect()),
            Order::RipFirst => {
                let rips = self.blanks.iter().filter_map(|blank| blank.rips.first());
                Cuts::Rip(rips.map(|rips| (rips.rip_width, rips.rips)).collect())
            }
        }
    }

    /// All that is left of a board of this size, larger faces first.
    #[must_use]
    pub fn left(&self, rules: &CuttingRules, size: &BoardSize<'_>) -> Vec<Left> {
        left_over(rules, size, &self.cuts())
    }
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
    /// Where the first of them begins, from the end that the board is measured from; the others follow
    /// a kerf apart. Crosscut first that is where the blank begins.
    pub from: Length,
}

impl Blank {
    /// The blank as the number so-and-so of its board, crosscut first.
    fn cut(&self, number: u32) -> CutBlank {
        let rips = self.rips.iter().map(|rips| (rips.rip_width, rips.rips)).collect();
        CutBlank { number, from: self.from(), length: self.length, planed: self.planed, leaves: self.leaves, rips }
    }

    /// Where the blank (rip first: its first piece) begins, from the end that the board is measured from.
    #[must_use]
    pub fn from(&self) -> Length {
        self.rips.iter().map(|group| group.from).min().unwrap_or(Length::ZERO)
    }
}

/// Why nothing can be packed: the parts that no board yields, or stock that runs short. Parts are numbered from 1 in
/// its words.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BoardShortage {
    /// No board yields a single strip of these parts, each with the nearest miss in words.
    #[error("no board yields {}", .0.iter().map(|(at, why)| format!("part {} ({why})", at + 1)).join(", "))]
    NoBoard(Vec<(usize, String)>),
    /// The boards on hand run out and nothing can be bought: parts and strips still missing.
    #[error("the boards run short of {}", .0.iter().map(|(at, many)| format!("{many} strips of part {}", at + 1)).join(", "))]
    RunsShort(Vec<(usize, u32)>),
}

/// Packs strips into boards at the least price it can find, with a proven lower bound.
///
/// Species never meet, so each is packed by itself and costs and bounds add up. Column generation
/// over two-stage guillotine patterns (Gilmore and Gomory 1965) gives the bound, a search by counts
/// of boards, blanks and rips the plan; work is counted by `budget`, and `listener` may stop it.
///
/// # Errors
/// [`BoardShortage`] when some part fits no board or the boards run out.
pub fn pack(problem: &BoardProblem, budget: &Budget, listener: &mut Listener<'_>) -> Result<BoardPlan, BoardShortage> {
    pack_on(problem, budget, Threads::Several, listener)
}

/// The same on one thread or on as many as help: on [`Threads::Several`] a job that takes long is searched by two.
///
/// # Errors
/// As [`pack`].
pub fn pack_on(
    problem: &BoardProblem,
    budget: &Budget,
    threads: Threads,
    listener: &mut Listener<'_>,
) -> Result<BoardPlan, BoardShortage> {
    nothing_missing(problem)?;
    let labels: BTreeSet<usize> = problem.parts.iter().filter(|p| p.count > 0).map(|p| p.label).collect();
    let sized: Vec<Sized> = labels.iter().map(|&label| Sized::new(problem, label)).collect();
    let pricers: Vec<Pricer<'_>> = sized.iter().map(|sized| Pricer::new(&sized.model)).collect();
    let watch = RefCell::new(Watch::new(listener, labels.len()));
    let all = u64::from(budget.nodes) * WORK_PER_NODE;
    let woods = started(&sized, &pricers, (all, budget.tries), &watch).map_err(BoardShortage::RunsShort)?;
    let woods = improve(woods, all, threads);
    let mut plan = BoardPlan {
        boards: Vec::new(),
        cost: Cents::ZERO,
        bound: Cents::ZERO,
        optimal: true,
        cut_short: false,
        ranges: Vec::new(),
    };
    let mut short = Vec::new();
    for wood in woods {
        match wood.packed(problem) {
            Ok((boards, cost, bound)) => {
                plan.cost += Cents::new(cost);
                plan.bound += Cents::new(bound);
                plan.boards.extend(boards);
            }
            Err(parts) => short.extend(parts),
        }
    }
    if !short.is_empty() {
        return Err(BoardShortage::RunsShort(short));
    }
    plan.optimal = plan.cost == plan.bound;
    plan.cut_short = watch.borrow().stopped && !plan.optimal;
    Ok(plan)
}

/// Work for the linear programs where the budget is small: without them there is no bound.
const LEAST_ROOT_WORK: u64 = 150_000_000;

/// Each species with its bound and first plans: all linear programs are solved before a plan is bettered, so that
/// whenever the packing is stopped no species is without a bound.
fn started<'a, 'b, 'c>(
    sized: &'a [Sized],
    pricers: &'a [Pricer<'a>],
    (all, tries): (u64, u32),
    watch: Watcher<'a, 'b, 'c>,
) -> Result<Vec<Wood<'a, 'b, 'c>>, Missing> {
    let states: Vec<_> = (0..).zip(pricers).map(|(at, pricer)| Wood::by_size(pricer, at, watch)).collect();
    let count = sized.len().max(1) as u64;
    let for_root = (all * 2 / 3).max(LEAST_ROOT_WORK) / count;
    let mut woods = Vec::new();
    let mut short = Missing::new();
    for (sized, (at, state)) in sized.iter().zip((0..).zip(states)) {
        match Wood::new(sized, (at, state), for_root) {
            Ok(wood) => woods.push(wood),
            Err(parts) => short.extend(parts),
        }
    }
    if !short.is_empty() {
        return Err(short);
    }
    let for_plans = (all / 8).max(LEAST_ROOT_WORK) / count;
    woods.iter_mut().for_each(|wood| wood.first_plans(tries.min(16), for_plans));
    Ok(woods)
}

/// Every part comes out of some board.
///
/// # Errors
/// [`BoardShortage::NoBoard`] with each part that no board yields in any allowed order and milling, and why.
pub fn nothing_missing(problem: &BoardProblem) -> Result<(), BoardShortage> {
    let missing: Vec<(usize, String)> = problem
        .parts
        .iter()
        .enumerate()
        .filter(|(_, strip)| strip.count > 0)
        .filter_map(|(index, strip)| shortage::nearest_miss(problem, strip).map(|why| (index, why)))
        .collect();
    if missing.is_empty() { Ok(()) } else { Err(BoardShortage::NoBoard(missing)) }
}

/// The listener, and where every species stands.
struct Watch<'a, 'b> {
    listener: &'a mut Listener<'b>,
    /// Best cost and bound of each species; no cost where there is no plan yet.
    standings: Vec<(Option<i64>, i64)>,
    /// The species that is worked at.
    at: usize,
    /// False where no plans are made, so that there is none to wait for.
    plans: bool,
    nodes: u32,
    stopped: bool,
}

impl<'a, 'b> Watch<'a, 'b> {
    /// Nothing packed yet.
    fn new(listener: &'a mut Listener<'b>, species: usize) -> Self {
        Self { listener, standings: vec![(None, 0); species], at: 0, plans: true, nodes: 0, stopped: false }
    }

    /// The same where only bounds are asked for.
    fn without_plans(listener: &'a mut Listener<'b>) -> Self {
        Self { plans: false, ..Self::new(listener, 1) }
    }

    /// Notes where the species stands that is worked at.
    fn tell(&mut self, standing: (Option<i64>, i64)) {
        self.standings[self.at] = standing;
    }

    /// Tells where the packing stands; true when it must stop, which it does not before it has a first
    /// plan of the species at hand: that comes soon, and without one there would be nothing to give.
    fn stop(&mut self) -> bool {
        let add = |sum: i64, (best, _): &(Option<i64>, i64)| best.map(|best| sum.saturating_add(best));
        let best = self.standings.iter().try_fold(0, add);
        let bound = self.standings.iter().map(|standing| standing.1).fold(0, i64::saturating_add);
        let standing = Standing::Cost { best: best.map(Cents::new), bound: Cents::new(bound) };
        let progress = Progress { standing, nodes: self.nodes };
        self.stopped = self.stopped || (self.listener)(progress) == Flow::Stop;
        self.stopped && (!self.plans || self.standings[self.at].0.is_some())
    }
}

/// How deep inside the packing the listener is heard.
type Watcher<'a, 'b, 'c> = &'a RefCell<Watch<'b, 'c>>;
