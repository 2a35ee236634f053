//! Which count to branch on, and the nodes on either side.

use super::{Node, Set, Tree};
use crate::packing::boards::cover::Cover;
use crate::packing::boards::master::Count;
use crate::packing::boards::point::Point;

/// Kinds of boards are compared by the bounds of their branches in jobs that cost less than so many
/// cents: the time for that grows with the cost.
const QUICK_LIMIT: i64 = 25_000;

impl Tree<'_, '_, '_> {
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
        let candidates = point.candidates(within, node.set == Set::Given);
        let (count, value) = match candidates[..] {
            [] => return None,
            [only] => only,
            [first @ (Count::Kind(_), _), ..] if limit > QUICK_LIMIT => first,
            [(Count::Kind(_), _), ..] => self.dearest(&candidates, (cover, bound, limit)),
            _ => self.probed(&candidates, self.most_cost() + 1),
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
