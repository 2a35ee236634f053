//! Which way each part is milled.
//!
//! The linear program may mill some strips of a part flat and others on edge, which no plan does. Often one
//! milling of a part costs so much more that no better plan has it: that is seen at once, and settled for good.
//! What is left is branched on where it raises the bound, and otherwise not before the boards are settled: a set
//! of boards that holds no plan with mixed millings holds none at all, whichever they are.

use super::{Node, Set, Tree, banned_nodes};
use crate::packing::boards::master::{Bounds, ROUNDS};
use crate::packing::boards::point::keep_one;
use crate::packing::boards::search::State;

/// Parts that are tried at one node.
const TRIED: usize = 4;
/// A part whose millings raised the bound too little so often is left until the boards are settled.
const PATIENCE: u32 = 2;
/// What is enough: this share of what lies between bound and best plan.
const ENOUGH: f64 = 0.1;

/// What is known of the millings.
#[derive(Debug)]
pub(super) struct Millings {
    /// Per part how often branching on it brought too little.
    idle: Vec<u32>,
    /// The best plan's cost when they were last looked at.
    limit: i64,
}

impl Millings {
    pub(super) fn new(parts: usize) -> Self {
        Self { idle: vec![0; parts], limit: i64::MAX }
    }
}

impl Tree<'_, '_, '_> {
    /// Bans for good every milling of a part with which nothing better than the best plan can be had, at first and
    /// whenever there is a better plan.
    pub(super) fn settle_millings(&mut self, state: &mut State<'_, '_, '_>) {
        let limit = state.limit();
        if limit >= self.millings.limit {
            return;
        }
        self.millings.limit = limit;
        // What a node before left behind does not hold everywhere.
        self.master.keep_to(None);
        self.master.obey(&[]);
        let variants = &self.master.pricer.model.variants;
        let mut banned = state.wanted.banned.clone();
        banned.resize(variants.len(), false);
        for part in 0..self.need.len() {
            for bans in keep_one(&self.master, part, &banned).into_iter().rev() {
                let open = (0..variants.len()).filter(|&v| variants[v].part == part && !banned[v]).count();
                if open < 2 || state.stop() {
                    continue;
                }
                let tried: Vec<bool> = bans.iter().zip(&banned).map(|(&ban, &known)| ban || known).collect();
                let only = (0..variants.len()).find(|&v| variants[v].part == part && !tried[v]);
                if let Some(only) = only
                    && self.least_with((&Bounds::new(), &tried), (state.bound, limit)) >= limit
                {
                    banned[only] = true;
                }
            }
        }
        if banned != state.wanted.banned {
            for node in self.open.values_mut() {
                node.banned.iter_mut().zip(&banned).for_each(|(ban, &settled)| *ban |= settled);
            }
            state.wanted.banned = banned;
        }
    }

    /// What no plan costs less than within these bounds and without these millings.
    fn least_with(&mut self, (bounds, banned): (&Bounds, &[bool]), (from, limit): (i64, i64)) -> i64 {
        self.master.enter(bounds, banned);
        let Some(solved) = self.master.solve(&self.need, ROUNDS, |bound| bound >= limit) else { return from };
        let bound = solved.bound.max(from);
        if bound >= limit { bound } else { self.least(&solved.cover, &self.boards(), (bound, limit)) }
    }

    /// Nodes that part the node at the milling of one of these parts, each with its bound, where that raises the
    /// bound; `None` where it does not.
    pub(super) fn by_milling(
        &mut self,
        node: &Node,
        mixed: &[usize],
        (bound, limit): (i64, i64),
    ) -> Option<Vec<(i64, Node)>> {
        let free = node.set == Set::Free;
        let patient = |tree: &Self, part: usize| !free || tree.millings.idle[part] < PATIENCE;
        let tried: Vec<usize> = mixed.iter().copied().filter(|&part| patient(self, part)).take(TRIED).collect();
        if tried.is_empty() {
            return None;
        }
        let basis = self.master.snapshot();
        let mut best: Option<(i64, Vec<(i64, Node)>)> = None;
        for part in tried {
            let bans = keep_one(&self.master, part, &node.banned);
            let mut children = banned_nodes(node, bound, bans);
            for (least, child) in &mut children {
                *least = self.least_with((&child.bounds, &child.banned), (bound, limit));
            }
            children.retain(|(least, _)| *least < limit);
            children.sort_by_key(|(least, _)| *least);
            let gain = children.first().map_or(i64::MAX, |(least, _)| least - bound);
            let settles = children.len() < 2;
            let enough = settles || gain as f64 >= ENOUGH * (limit - bound) as f64;
            self.millings.idle[part] += u32::from(!enough);
            if (enough || !free) && best.as_ref().is_none_or(|(known, _)| gain > *known) {
                best = Some((gain, children));
            }
            if settles {
                break;
            }
        }
        // No more than that: rows that are tidied away would leave the basis without its own.
        self.master.enter(&node.bounds, &node.banned);
        self.master.simplex.restore(&basis);
        self.master.simplex.solve();
        best.map(|(_, children)| children)
    }
}
