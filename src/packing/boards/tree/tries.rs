//! Sets of boards that cost less than the best plan, tried out of turn.

use super::{Expanded, Listed, Node, Set, Tree};
use crate::packing::boards::master::{Count, ROUNDS};
use crate::packing::boards::point::Point;
use crate::packing::boards::search::State;

/// Nodes of one descent from a set of boards.
const DESCENT: u32 = 80;

impl Tree<'_, '_, '_> {
    /// Dives with a set of boards fixed that costs less than the best plan.
    pub(super) fn try_set(&mut self, state: &mut State<'_, '_, '_>, node: &Node) {
        let Some(set) = self.sets.next(state) else { return };
        self.master.keep_to(None);
        self.master.obey(&[]);
        let bounds = set.iter().enumerate().map(|(kind, &n)| (Count::Kind(kind), (n, n))).collect();
        let mut banned = state.wanted.banned.clone();
        banned.resize(node.banned.len(), false);
        let (rounded, columns, home) = (Vec::new(), Vec::new(), None);
        let (set, listed) = (Set::Pinned, Listed::NotYet);
        let fixed = Node { bounds, banned, settled: true, set, listed, rounded, columns, home };
        self.master.enter(&fixed.bounds, &fixed.banned);
        let limit = state.limit();
        let solved = self.master.solve(&self.need, ROUNDS, |bound| bound >= limit);
        if solved.is_some_and(|solved| solved.bound < limit) {
            let point = Point::read(&self.master);
            self.dive(state, &fixed, &point, true);
            self.descend(state, fixed);
        }
        self.enter(node);
    }

    /// Follows the nearer branch from a set of boards down to a plan or a dead end.
    fn descend(&mut self, state: &mut State<'_, '_, '_>, mut node: Node) {
        let before = self.master.work();
        let limit = state.limit();
        for _ in 0..DESCENT {
            match self.expand(state, &mut node, (0, None)) {
                Expanded::Open(_, children) if state.limit() == limit => match children.into_iter().next() {
                    Some((_, child)) => node = child,
                    None => break,
                },
                _ => break,
            }
        }
        self.dived += self.master.work() - before;
    }
}
