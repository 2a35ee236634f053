//! A finished plan made easier to cut and its offcuts more useful, at the same cost.
//!
//! Three wishes in this order: a door's strips come from the fewest boards; few blank lengths and few
//! settings of the fence; the largest single offcut. Boards, their cost and the strips cut stay as they
//! are: blanks are lengthened, moved between boards and put in another order, no more.

mod arrange;
mod figures;
mod gather;
mod lengths;
mod order;
mod room;

use std::collections::BTreeMap;

pub use self::figures::{Ease, Offcut};
use super::boards::{BoardPlan, BoardProblem, CutBoard};
use super::bundles::{self, BundleProblem, Given, Tied, Want};

/// A plan with its bundles, and what easing it did.
#[derive(Debug, Clone, PartialEq)]
pub struct Eased {
    /// The plan: cost, bound and strips as before.
    pub plan: BoardPlan,
    /// Its bundles.
    pub tied: Tied,
    /// Figures of the plan as it came.
    pub before: Ease,
    /// Figures of the plan as it is.
    pub after: Ease,
}

/// Eases a plan whose strips go to `wants`; `None` when it does not yield what they take.
#[must_use]
pub fn ease(problem: &BoardProblem, plan: BoardPlan, wants: &[Want]) -> Option<Eased> {
    let shared = lengths::share(problem, &plan.boards);
    let mut boards = arranged(problem, &plan.boards, wants).unwrap_or_else(|| shared.clone());
    gather::gather(problem, &mut boards, wants);
    let same_boards = boards == shared;
    order::sort(problem, &mut boards);
    let moved_tied = tie(&boards, wants)?;
    let tied = if same_boards { in_order_of(&moved_tied, &boards, &plan.boards) } else { tie(&plan.boards, wants)? };
    let before = Ease::of(problem, &plan.boards, &tied);
    let moved = (Ease::of(problem, &boards, &moved_tied), moved_tied, boards);
    // Each step is a search of limited work and may spoil what comes before it: then all blanks stay on
    // their boards, or all is as it was.
    let mut boards = shared;
    order::sort_blanks(problem, &mut boards);
    let stayed = (Ease::of(problem, &boards, &tied), tied.clone(), boards);
    let unchanged = (before, tied, plan.boards.clone());
    let best = [moved, stayed, unchanged].into_iter().min_by_key(|(ease, ..)| ease.rank());
    let (after, tied, boards) = best?;
    Some(Eased { plan: BoardPlan { boards, ..plan }, tied, before, after })
}

/// The bundles of boards that stand in another order than those that were tied.
fn in_order_of(tied: &Tied, from: &[CutBoard], to: &[CutBoard]) -> Tied {
    let mut places: BTreeMap<Vec<(usize, u64)>, Vec<usize>> = BTreeMap::new();
    to.iter().enumerate().rev().for_each(|(at, board)| places.entry(board.strips()).or_default().push(at));
    let mut place = |board: &CutBoard| places.get_mut(&board.strips()).and_then(Vec::pop);
    let places: Vec<usize> =
        from.iter().map(&mut place).map(|at| at.expect("the boards yield the same strips")).collect();
    let mut given: Vec<Given> = tied.given.iter().map(|given| Given { board: places[given.board], ..*given }).collect();
    given.sort_unstable();
    Tied { given, pairs: tied.pairs, bound: tied.bound }
}

/// The boards with blanks exchanged and lengths shared, where that ties the doors from fewer boards.
fn arranged(problem: &BoardProblem, boards: &[CutBoard], wants: &[Want]) -> Option<Vec<CutBoard>> {
    let quick = |boards: &[CutBoard]| bundles::quick_pairs(&bundle_problem(boards, wants));
    let arranged = arrange::arrange(problem, boards, wants);
    let better = arranged != boards && quick(&arranged) < quick(boards);
    better.then(|| lengths::share(problem, &arranged))
}

fn tie(boards: &[CutBoard], wants: &[Want]) -> Option<Tied> {
    bundles::tie(&bundle_problem(boards, wants))
}

fn bundle_problem(boards: &[CutBoard], wants: &[Want]) -> BundleProblem {
    BundleProblem { boards: boards.iter().map(CutBoard::strips).collect(), wants: wants.to_vec() }
}
