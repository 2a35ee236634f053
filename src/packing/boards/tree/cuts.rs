//! Rounding cuts where the boards are given.

use std::rc::Rc;

use super::{Node, Set, Tree};
use crate::packing::boards::master::{ROUNDS, Solved};

/// Cuts taken at once.
fn knob(name: &str, usual: usize) -> usize {
    std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(usual)
}

impl Tree<'_, '_, '_> {
    /// Cuts off the present point as long as it helps; false when nothing is left.
    pub(super) fn cut(
        &mut self,
        node: &mut Node,
        depth: Option<u32>,
        solved: &mut Solved,
        (bound, limit): (&mut i64, i64),
        reach: &dyn Fn(i64) -> i64,
    ) -> bool {
        if node.set == Set::Free || node.listed.lists().is_none() || depth.is_none() {
            return true;
        }
        let first = node.cuts.is_empty();
        let rounds = if first { knob("ROUNDS", 10) } else { knob("LATER", 1) };
        let dbg = std::env::var("DBGC").is_ok();
        let room = (self.most_cost() + 1) as f64;
        for round in 0..rounds {
            let before = self.master.simplex.cost();
            let missed = self.master.missed(knob("CUTS", 6));
            if missed.is_empty() {
                break;
            }
            node.cuts = self.master.cut_duals().into_iter().map(|(cut, _)| cut).collect();
            node.cuts.extend(missed.into_iter().map(Rc::new));
            self.enter(node);
            let Some(again) = self.master.solve(&self.need, ROUNDS, |bound| reach(bound) >= limit) else { break };
            let after = self.master.simplex.cost();
            if dbg {
                eprintln!("  round {round} cost {before:.2} -> {after:.2} of {room} bound {} proven {} cuts {} listed {:?} rows {}", *bound, again.bound, node.cuts.len(), node.listed.lists().map(|l| l.len()), self.master.simplex.rows());
            }
            *bound = (*bound).max(reach(again.bound));
            if *bound < limit {
                *bound = self.least(&again.cover, &self.boards(), (*bound, limit));
            }
            if *bound >= limit || !self.list(node, &again) {
                return false;
            }
            *solved = again;
            if after - before < knob("GAIN", 20) as f64 / 1000.0 * (room - before) && before < room - 1.5 {
                break;
            }
        }
        true
    }
}
