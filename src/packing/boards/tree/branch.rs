//! Which count or column to branch on, and the nodes on either side.
//!
//! Counts keep the knapsacks of the pricing as they are. Where the boards are given and all columns are listed there
//! are no knapsacks, and a branch on a single column says more.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::{Node, Set, Tree};
use crate::packing::boards::cover::Cover;
use crate::packing::boards::dive::WHOLE;
use crate::packing::boards::master::{Branch, Column, Count, Rounded};
use crate::packing::boards::point::Point;

/// Kinds of boards are compared by the bounds of their branches in jobs that cost less than so many
/// cents: the time for that grows with the cost.
const QUICK_LIMIT: i64 = 25_000;
/// Columns to choose from.
const SOME_COLUMNS: usize = 20;

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
        let columns = self.open_columns(node);
        if !columns.is_empty() {
            return Some(self.by_column(node, &columns, bound));
        }
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
            _ => {
                let counts: Vec<(Branch, f64)> =
                    candidates.iter().map(|&(count, value)| (Branch::Count(count), value)).collect();
                candidates[self.probed(&counts, self.most_cost() + 1)]
            }
        };
        let (low, high) = self.master.bounds_of(count);
        let mut children = Vec::new();
        for range in nearer_first(value, [(low, value.floor() as u32), (value.floor() as u32 + 1, high)]) {
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

    /// Columns that are used a fractional number of times, where all are listed: the most fractional cuts of boards,
    /// or fillings where all cuts are whole or both are looked at alike.
    fn open_columns(&self, node: &Node) -> Vec<(usize, f64)> {
        if node.set != Set::Given || node.listed.lists().is_none() {
            return Vec::new();
        }
        let mut ranges: BTreeMap<&Column, (i64, i64)> = BTreeMap::new();
        for (column, (low, high)) in node.columns.iter().filter_map(|branch| branch.branch()) {
            let range = ranges.entry(column).or_insert((0, i64::MAX));
            *range = (range.0.max(low), range.1.min(high));
        }
        // Where units are missing a column may be used more or less than it may be: branching there leads nowhere.
        let within =
            |column: &Column, floor: i64| ranges.get(column).is_none_or(|&(low, high)| (low..high).contains(&floor));
        let columns =
            self.master.columns.iter().enumerate().map(|(at, column)| (at, self.master.simplex.value(at), column));
        let open = columns.filter(|&(_, value, column)| {
            *column != Column::Missing && (value - value.round()).abs() > WHOLE && within(column, value.floor() as i64)
        });
        let (mut chosen, fillings): (Vec<_>, Vec<_>) = open.partition(|(.., column)| matches!(column, Column::Cut(..)));
        if chosen.is_empty() || self.manner.mixes {
            chosen.extend(fillings);
        }
        // Rounded, so that equal fractions stay in their order.
        chosen.sort_by_key(|(_, value, _)| Reverse(((value - value.round()).abs() * 1e7).round() as i64));
        chosen.into_iter().take(SOME_COLUMNS).map(|(at, value, _)| (at, value)).collect()
    }

    /// Two nodes in which one of these columns is used less often, and more often, than at the present point.
    fn by_column(&mut self, node: &Node, columns: &[(usize, f64)], bound: i64) -> Vec<(i64, Node)> {
        let branches: Vec<(Branch, f64)> = columns.iter().map(|&(at, value)| (Branch::Column(at), value)).collect();
        let (at, value) = columns[self.probed(&branches, self.most_cost() + 1)];
        let (column, floor) = (&self.master.columns[at], value.floor() as i64);
        let parts = self.need.len();
        let sides =
            [Rounded::at_most(column.clone(), floor, parts), Rounded::at_least(column.clone(), floor + 1, parts)];
        let child = |side: Rounded| {
            let mut child = node.clone();
            child.columns.retain(|known| !known.is_followed_by(&side));
            child.columns.push(Rc::new(side));
            (bound, child)
        };
        nearer_first(value, sides).map(child).to_vec()
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

/// The side nearer to a value first: downwards unless it is past the middle.
fn nearer_first<T>(value: f64, mut sides: [T; 2]) -> [T; 2] {
    if value - value.floor() > 0.5 {
        sides.reverse();
    }
    sides
}
