//! One set of boards after another: a plan from a given set, or none.
//!
//! Where the numbers of boards come out whole, the node is parted into their set and all others; boards that cost
//! nothing, as those bought before, are in every set. Within a set the linear program may leave boards out: it then
//! says how much of them is left over, and every branch that uses something up is seen to do so. With the numbers fixed
//! its cost would be the same at every node, down to the one where nothing fits any more.

use std::cell::RefCell;
use std::rc::{Rc, Weak};

use super::{Node, Tree};
use crate::packing::boards::cover::Cover;
use crate::packing::boards::listed::Lists;
use crate::packing::boards::master::{Bounds, Count, Rounded, Solved};
use crate::packing::boards::model::Kind;
use crate::packing::boards::point::Point;

/// What a node knows of its boards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Set {
    /// Their numbers are still to be found.
    Free,
    /// At most so many of each kind.
    Given,
    /// Just so many.
    Pinned,
}

/// What plans from a node's set can hold.
#[derive(Debug, Clone)]
pub(super) enum Listed {
    NotYet,
    /// Too much to be written down, with so much to spare.
    TooMuch(i128),
    Known(Rc<Lists>),
}

impl Listed {
    pub(super) fn lists(&self) -> Option<&Rc<Lists>> {
        match self {
            Self::Known(lists) => Some(lists),
            Self::NotYet | Self::TooMuch(_) => None,
        }
    }
}

/// What is known of a set of boards, whatever is branched on within it.
#[derive(Debug)]
pub(super) struct Home {
    /// Bounds of the counts before any branch.
    bounds: Bounds,
    /// Rounding cuts that hold for the whole set, the latest ones.
    pool: RefCell<Vec<Rc<Rounded>>>,
}

/// Cuts that are kept for a set.
const MOST_POOLED: usize = 200;

impl Home {
    fn new(bounds: Bounds) -> Self {
        Self { bounds, pool: RefCell::default() }
    }

    /// True for a count that a branch to these bounds has narrowed.
    pub(super) fn is_narrowed(&self, bounds: &Bounds, count: Count) -> bool {
        bounds.get(&count) != self.bounds.get(&count)
    }

    pub(super) fn pool(&self) -> Vec<Rc<Rounded>> {
        self.pool.borrow().clone()
    }

    /// Keeps the cuts among these that hold for the whole set.
    pub(super) fn keep(&self, cuts: &[Rc<Rounded>], narrowed: &dyn Fn(Count) -> bool) {
        let mut pool = self.pool.borrow_mut();
        for cut in cuts {
            if !cut.rests_on_branch(narrowed) && !pool.iter().any(|known| Rc::ptr_eq(known, cut)) {
                pool.push(Rc::clone(cut));
            }
        }
        let extra = pool.len().saturating_sub(MOST_POOLED);
        pool.drain(..extra);
    }
}

/// Columns in all lists that open nodes hold: with more the search would need too much memory.
const SHELF: usize = 150_000;

/// The lists that open nodes hold.
#[derive(Debug, Default)]
pub(super) struct Shelf(Vec<Weak<Lists>>);

impl Shelf {
    fn has_room(&mut self) -> bool {
        self.0.retain(|lists| lists.strong_count() > 0);
        self.0.iter().filter_map(Weak::upgrade).map(|lists| lists.len()).sum::<usize>() < SHELF
    }

    fn keep(&mut self, lists: Lists) -> Listed {
        let lists = Rc::new(lists);
        self.0.push(Rc::downgrade(&lists));
        Listed::Known(lists)
    }
}

impl Tree<'_, '_, '_> {
    /// Cost of all boards that the node may use.
    pub(super) fn most_cost(&self) -> i64 {
        self.boards().iter().map(|&(cost, _, high)| cost.saturating_mul(i64::from(high))).fold(0, i64::saturating_add)
    }

    /// Cost of all boards of a node's set; `None` where they are still to be found.
    pub(super) fn all_of(kinds: &[Kind], node: &Node) -> Option<i64> {
        let cost = |(&count, &(_, high)): (&Count, &(u32, u32))| match count {
            Count::Kind(kind) => kinds[kind].cost.saturating_mul(i64::from(high)),
            _ => 0,
        };
        (node.set != Set::Free).then(|| node.bounds.iter().map(cost).fold(0, i64::saturating_add))
    }

    /// False where the bound is the cost of all boards that are given: it rises no more, it only breaks.
    pub(super) fn may_rise(&self, node: &Node, bound: i64) -> bool {
        node.set == Set::Free || bound < self.most_cost()
    }

    /// A node for the set of boards at the point, whose numbers are whole, and nodes for all others.
    pub(super) fn by_set(
        &mut self,
        point: &Point,
        node: &Node,
        (cover, bound, limit): (&Cover, i64, i64),
    ) -> Vec<(i64, Node)> {
        // Boards that cost nothing are all given.
        let (free, paid): (Vec<usize>, Vec<usize>) =
            (0..self.boards().len()).partition(|&kind| self.master.pricer.model.kinds[kind].cost == 0);
        let counts: Vec<Count> = paid.into_iter().map(Count::Kind).collect();
        let all = |kind: usize| (Count::Kind(kind), (0, self.master.bounds_of(Count::Kind(kind)).1));
        let free: Vec<_> = free.into_iter().map(all).collect();
        let mut given = Node { set: Set::Given, ..node.clone() };
        given.bounds.remove(&Count::Boards);
        for (count, range) in &mut given.bounds {
            if matches!(count, Count::Mode(_)) {
                range.0 = 0;
            }
        }
        given.bounds.extend(counts.iter().map(|&count| (count, (0, point.value(count).round() as u32))));
        given.bounds.extend(free);
        given.home = self.manner.pools.then(|| Rc::new(Home::new(given.bounds.clone())));
        let mut children = vec![(bound, given)];
        for (_, other) in self.other_counts((point, bound), node, (&counts, usize::MAX)) {
            let mut boards = self.boards();
            for (kind, board) in boards.iter_mut().enumerate() {
                if let Some(&(low, high)) = other.bounds.get(&Count::Kind(kind)) {
                    (board.1, board.2) = (low, high.min(board.2));
                }
            }
            if boards.iter().all(|board| board.1 <= board.2) {
                let least = self.least(cover, &boards, (bound, limit));
                children.extend((least < limit).then_some((least, other)));
            }
        }
        children
    }

    /// The same node with all its boards used.
    pub(super) fn pinned(node: &Node) -> Node {
        let mut pinned = Node { set: Set::Pinned, ..node.clone() };
        for (count, range) in &mut pinned.bounds {
            if matches!(count, Count::Kind(_)) {
                range.0 = range.1;
            }
        }
        pinned
    }

    /// Lists what plans from a node's boards can hold, or shortens the list; false when there can be no
    /// plan.
    pub(super) fn list(&mut self, node: &mut Node, solved: &Solved) -> bool {
        if node.set == Set::Free {
            return true;
        }
        let boards: Vec<u32> = self.boards().iter().map(|board| board.2).collect();
        let most: i128 = solved.cover.worth.iter().zip(&boards).map(|(&worth, &n)| worth.max(0) * i128::from(n)).sum();
        let loss = most - solved.cover.needed;
        if loss < 0 {
            return false;
        }
        let pricer = self.master.pricer;
        match &node.listed {
            Listed::Known(lists) => {
                let offers = lists.price(pricer.model, &solved.values);
                self.master.add_work(lists.work());
                if self.shelf.has_room()
                    && let Some(shorter) = lists.shortened(&offers, loss)
                {
                    node.listed = self.shelf.keep(shorter);
                }
            }
            // With less to spare a list may be short enough.
            Listed::TooMuch(before) if loss.saturating_mul(10) > before.saturating_mul(7) => {}
            Listed::NotYet | Listed::TooMuch(_) if node.set == Set::Given && self.shelf.has_room() => {
                let priced = pricer.price(&solved.values, &self.need);
                let (lists, work) = Lists::new(pricer, (&solved.values, &priced, &self.need), &boards, loss);
                self.master.add_work(pricer.work() + work);
                node.listed = lists.map_or(Listed::TooMuch(loss), |lists| self.shelf.keep(lists));
            }
            Listed::NotYet | Listed::TooMuch(_) => {}
        }
        true
    }
}
