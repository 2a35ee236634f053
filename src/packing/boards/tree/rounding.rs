//! Rounding cuts where the boards are given and all that they can hold is listed.
//!
//! A cut changes what a column is worth in a way that no knapsack knows; listed columns are simply priced
//! one by one. It holds for all nodes below the one it was found at.

use std::rc::Rc;

use super::{Node, Set, Tree};
use crate::packing::boards::master::{Count, Look, ROUNDS, Rounded, Solved};

/// Rounds of cuts at the first node of a set, and below it.
const FIRST_ROUNDS: u32 = 10;
const LATER_ROUNDS: u32 = 2;
/// Cuts taken in a round.
const CUTS: usize = 12;
/// The next round must be worth it: this share of what the set has to spare.
const LEAST_GAIN: f64 = 0.02;
/// The linear program uses all boards of a set when it comes this near their cost: then the rounds go on
/// without a gain, until nothing is left or the cuts run out.
const USED_UP: f64 = 0.5;

impl Tree<'_, '_, '_> {
    /// Cuts off the present point, again and again, and raises the bound; false when nothing below `limit` is
    /// left, `None` when the figures went bad. `reach` says which cost a bound stands for.
    pub(super) fn tighten(
        &mut self,
        node: &mut Node,
        solved: &mut Solved,
        (bound, limit): (&mut i64, i64),
        reach: &dyn Fn(i64) -> i64,
    ) -> Option<bool> {
        if node.set == Set::Free || node.listed.lists().is_none() {
            return Some(true);
        }
        let rounds = if node.rounded.is_empty() { FIRST_ROUNDS } else { LATER_ROUNDS };
        for _ in 0..rounds {
            let before = self.master.simplex.cost();
            let missed = self.missed(node);
            if missed.is_empty() {
                break;
            }
            let kept = self.master.rounded_duals().into_iter().map(|(cut, _)| cut);
            node.rounded = kept.filter(|cut| cut.branch().is_none()).collect();
            node.rounded.extend(missed);
            self.enter(node);
            let again = self.master.solve(&self.need, ROUNDS, |bound| reach(bound) >= limit)?;
            *bound = (*bound).max(reach(again.bound));
            if *bound < limit && self.may_rise(node, *bound) {
                *bound = self.least(&again.cover, &self.boards(), (*bound, limit));
            }
            if *bound >= limit || !self.list(node, &again) {
                return Some(false);
            }
            *solved = again;
            let spare = self.most_cost() as f64 - before;
            if spare > USED_UP && self.master.simplex.cost() - before < LEAST_GAIN * (spare + 1.0) {
                break;
            }
        }
        Some(true)
    }

    /// Cuts that the point of a node misses.
    fn missed(&mut self, node: &Node) -> Vec<Rc<Rounded>> {
        let look = Look { most: CUTS, alike: self.manner.alike, pool: &[], narrowed: None };
        let Some(home) = &node.home else { return self.master.missed(&look) };
        let narrowed = |count: Count| home.is_narrowed(&node.bounds, count);
        let missed = self.master.missed(&Look { pool: &home.pool(), narrowed: Some(&narrowed), ..look });
        home.keep(&missed, &narrowed);
        missed
    }
}
