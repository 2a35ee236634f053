//! Which count to branch on, and the nodes on either side.

use super::{Node, Tree};
use crate::packing::boards::cover::Cover;
use crate::packing::boards::master::Count;
use crate::packing::boards::point::Point;

/// How a count to branch on is chosen, once the boards are whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in super::super) enum Branching {
    /// The most fractional one of the first rank: quick, and good where the boards decide.
    Ranked,
    /// Of several, the one whose branches both raise the cost most (strong branching, Applegate,
    /// Bixby, Chvátal and Cook 1995): slow, and far better where spans decide.
    Probed,
}

impl Branching {
    /// Counts of each rank to choose from.
    fn pool(self) -> Option<usize> {
        match self {
            Self::Ranked => None,
            Self::Probed => Some(3),
        }
    }
}

/// Kinds of boards are compared by the bounds of their branches in jobs that cost less than so many
/// cents: the time for that grows with the cost.
const QUICK_LIMIT: i64 = 25_000;
/// Steps of the dual simplex to see what a branch comes to.
const PROBE_PIVOTS: usize = 8;

impl Tree<'_, '_, '_> {
    /// The candidate whose two branches raise the cost of the linear program most.
    fn probed(&mut self, candidates: &[(Count, f64)], limit: i64) -> (Count, f64) {
        let now = self.master.simplex.cost();
        let room = (limit as f64 - now).max(1.0);
        let mut best = (candidates[0], 0.0);
        for &(count, value) in candidates {
            let (low, high) = self.master.bounds_of(count);
            let floor = value.floor() as u32;
            let gain = |cost: f64| ((cost - now) / room).clamp(0.0, 1.0) + 1e-4;
            let down = gain(self.master.probe(count, (low, floor), PROBE_PIVOTS));
            let up = gain(self.master.probe(count, (floor + 1, high), PROBE_PIVOTS));
            let score = down * up;
            if score > best.1 * 1.0001 {
                best = ((count, value), score);
            }
        }
        if best.1 > 1.1e-8 { best.0 } else { candidates[0] }
    }

    /// Two nodes that part the node at the kind of board with most choice; none when there is no choice.
    pub(super) fn halves(&self, node: &Node, bound: i64) -> Vec<(i64, Node)> {
        let kinds = self.master.kind_bounds();
        let widest = (0..kinds.len()).filter(|&kind| kinds[kind].0 < kinds[kind].1);
        let Some(kind) = widest.max_by_key(|&kind| kinds[kind].1 - kinds[kind].0) else { return Vec::new() };
        let (low, high) = kinds[kind];
        let middle = low + (high - low) / 2;
        let part = |range: (u32, u32)| {
            let mut child = node.clone();
            child.bounds.insert(Count::Kind(kind), range);
            (bound, child)
        };
        vec![part((low, middle)), part((middle + 1, high))]
    }

    /// Two nodes that part the present point, each with its bound, less those that hold nothing better
    /// than the best plan; `None` when every count is whole.
    pub(super) fn children(
        &mut self,
        point: &Point,
        node: &Node,
        (cover, bound, limit): (&Cover, i64, i64),
    ) -> Option<Vec<(i64, Node)>> {
        // Where units are missing a count may lie outside its bounds: branching there leads nowhere.
        let within = |count: Count, value: f64| {
            let (low, high) = self.master.bounds_of(count);
            (low..high).contains(&(value.floor() as u32))
        };
        let candidates = point.candidates(within, self.branching.pool());
        let (count, value) = match candidates[..] {
            [] => return None,
            [only] => only,
            [first @ (Count::Kind(_), _), ..] if limit > QUICK_LIMIT => first,
            [(Count::Kind(_), _), ..] => self.dearest(&candidates, (cover, bound, limit)),
            _ => self.probed(&candidates, limit),
        };
        let (low, high) = self.master.bounds_of(count);
        let floor = value.floor() as u32;
        let mut ranges = [(low, floor), (floor + 1, high)];
        if value - value.floor() > 0.5 {
            ranges.reverse();
        }
        let mut children = Vec::new();
        for range in ranges {
            let mut child = node.clone();
            child.bounds.insert(count, range);
            let bound = match count {
                Count::Kind(kind) => self.least_within(kind, range, (cover, bound, limit)),
                _ => bound,
            };
            if bound < limit {
                children.push((bound, child));
            }
        }
        Some(children)
    }

    /// The kind of board whose two branches raise the bound most.
    fn dearest(&mut self, kinds: &[(Count, f64)], (cover, bound, limit): (&Cover, i64, i64)) -> (Count, f64) {
        let mut best = (kinds[0], 0);
        for &(count, value) in kinds {
            let Count::Kind(kind) = count else { continue };
            let (low, high) = self.master.bounds_of(count);
            let floor = value.floor() as u32;
            let gain = |least: i64| i128::from(least - bound) + 1;
            let down = gain(self.least_within(kind, (low, floor), (cover, bound, limit)));
            let up = gain(self.least_within(kind, (floor + 1, high), (cover, bound, limit)));
            if down * up > best.1 {
                best = ((count, value), down * up);
            }
        }
        best.0
    }

    /// The least cost of boards that are worth enough, so many of one kind among them.
    fn least_within(&mut self, kind: usize, (low, high): (u32, u32), (cover, from, limit): (&Cover, i64, i64)) -> i64 {
        let mut boards = self.boards();
        (boards[kind].1, boards[kind].2) = (low, high.min(boards[kind].2));
        self.least(cover, &boards, (from, limit))
    }

    /// The least cost of boards that are worth enough.
    pub(super) fn least(&mut self, cover: &Cover, boards: &[(i64, u32, u32)], (from, limit): (i64, i64)) -> i64 {
        let (least, work) = cover.least(boards, from, limit);
        self.master.add_work(work);
        least
    }
}
