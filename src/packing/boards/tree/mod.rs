//! The search: branch on counts that are whole in every plan, and on single columns where all are listed, least bound
//! first.
//!
//! Counts (`master::Count`: boards, spans from some length on, rips of a part in such spans, ...) have linear duals, so
//! the knapsacks of the pricing keep their form. At every node the bound is raised to the next cost that boards within
//! the node's bounds can add up to.

mod branch;
mod gains;
mod manner;
mod milling;
mod rounding;
mod sets;
mod tries;

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::rc::Rc;

use gains::Gains;
pub(super) use manner::Manner;
use milling::Millings;
use sets::{Home, Listed, Set, Shelf};

use super::dive;
use super::exchange::Sets;
use super::lattice::Lattice;
use super::master::{Bounds, Count, Master, ROUNDS, Rounded};
use super::point::{Point, keep_one, open_millings};
use super::pricing::Values;
use super::root::Root;
use super::search::State;
use super::whole;

/// A node yet to be solved.
#[derive(Debug, Clone)]
struct Node {
    bounds: Bounds,
    banned: Vec<bool>,
    /// True below a node whose numbers of boards were whole.
    settled: bool,
    set: Set,
    /// What plans from the set can hold.
    listed: Listed,
    /// Rounding cuts that hold below the node.
    rounded: Vec<Rc<Rounded>>,
    /// Branches on columns above it.
    columns: Vec<Rc<Rounded>>,
    /// What is known of its whole set of boards.
    home: Option<Rc<Home>>,
}

/// What became of a node.
enum Expanded {
    /// Nothing better than the best plan lies there.
    Done,
    /// Its bound and its parts, the nearest one first; no parts when it could not be parted.
    Open(i64, Vec<(i64, Node)>),
}

fn banned_nodes(node: &Node, bound: i64, bans: Vec<Vec<bool>>) -> Vec<(i64, Node)> {
    let part = |banned| (bound, Node { banned, ..node.clone() });
    bans.into_iter().map(part).collect()
}

/// Least bound first, deepest first among equals, then the older.
type Key = (i64, Reverse<u32>, u64);

/// The search over one species.
pub(super) struct Tree<'a, 'b, 'c> {
    master: Master<'a, 'b, 'c>,
    sets: Sets,
    need: Vec<u32>,
    open: BTreeMap<Key, Node>,
    next: u64,
    dives: u64,
    /// The child to go on with while plunging, and how many nodes were picked so and in all.
    plunge: Option<Key>,
    in_plunge: bool,
    plunged: u64,
    picked: u64,
    /// Work done in dives.
    dived: u64,
    /// Least bound of nodes that could be neither branched on nor turned into a plan.
    unresolved: i64,
    manner: Manner,
    gains: Gains,
    shelf: Shelf,
    millings: Millings,
    /// The costs of the last node, and for which limit and boards.
    costs: Option<(CostsOf, Rc<Lattice>)>,
}

/// A limit, and the cost, least and greatest count of each kind of board.
type CostsOf = (i64, Vec<(i64, u32, u32)>);

/// Work that stands for one node of a budget: so much takes about 2.5 ms.
pub(super) const WORK_PER_NODE: u64 = 2_250_000;

/// One node in so many is visited while plunging.
const PLUNGE_SHARE: u64 = 3;

/// Missing units cost this many times the best plan.
const PENALTY: f64 = 20.0;
/// A dive is tried at every node so near the root, where boards come out whole, and whenever dives
/// have had less than their share of the work.
const DIVE_DEPTH: u32 = 3;
/// Where whole counts can be neither packed nor parted, it is tried for so many times as long.
const LAST_LOOK: u64 = 16;
/// Nodes that a point may be parted into where its counts do not pack.
const MOST_CHILDREN: usize = 64;
/// Every node counts as so much work at least.
const LEAST_WORK: u64 = WORK_PER_NODE / 25;

impl<'a, 'b, 'c> Tree<'a, 'b, 'c> {
    /// The tree of all plans, with the columns that the linear program of the whole job found.
    pub(super) fn new(state: &State<'a, 'b, 'c>, (root, values): (&Root, &Values), manner: Manner) -> Self {
        let mut master = Master::new(state, state.limit().max(1) as f64 * PENALTY);
        for (pattern, _) in &root.patterns {
            master.add_pattern(pattern.mode, &pattern.spans);
        }
        master.reward(&values.part);
        let mut banned = state.wanted.banned.clone();
        banned.resize(state.pricer.model.variants.len(), false);
        let first = Node {
            bounds: Bounds::new(),
            banned,
            settled: false,
            set: Set::Free,
            listed: Listed::NotYet,
            rounded: Vec::new(),
            columns: Vec::new(),
            home: None,
        };
        Self {
            master,
            sets: Sets::new(state.pricer, values, &state.wanted.need),
            need: state.wanted.need.clone(),
            manner,
            gains: Gains::default(),
            shelf: Shelf::default(),
            millings: Millings::new(state.pricer.model.parts.len()),
            costs: None,
            open: BTreeMap::from([((state.bound, Reverse(0), 0), first)]),
            next: 0,
            dives: 0,
            plunge: None,
            in_plunge: false,
            plunged: 0,
            picked: 0,
            dived: 0,
            unresolved: i64::MAX,
        }
    }

    /// From here on the work goes into the proof rather than into plans.
    pub(super) fn dive_less(&mut self) {
        self.manner = self.manner.diving_less();
    }

    /// Searches on until the best plan is proven, `work` is used up or the listener stops it; returns
    /// the work done.
    pub(super) fn search(&mut self, state: &mut State<'_, '_, '_>, work: u64) -> u64 {
        self.search_on(state, (work, work))
    }

    /// The same for a slice of the work: a node that it ends in may take as much as is left of all.
    pub(super) fn search_on(&mut self, state: &mut State<'_, '_, '_>, (work, left): (u64, u64)) -> u64 {
        let before = self.master.work();
        self.master.stop_at(before.saturating_add(left));
        self.settle_millings(state);
        for (pattern, _) in state.best.iter().flat_map(|best| &best.1) {
            self.master.add_pattern(pattern.mode, &pattern.spans);
        }
        while self.master.work() - before < work {
            let Some((mut key, node)) = self.pick() else { break };
            // Another search may have proven more.
            key.0 = key.0.max(state.bound);
            if Self::all_of(&state.pricer.model.kinds, &node).is_some_and(|most| most < key.0) {
                continue;
            }
            let least = self.open.first_key_value().map_or(key.0, |(first, _)| first.0.min(key.0));
            state.prove(least.min(self.unresolved));
            if state.is_proven() || state.stop() {
                self.open.insert(key, node);
                break;
            }
            state.watch.borrow_mut().nodes += 1;
            self.master.add_work(LEAST_WORK);
            self.visit(state, (key, node));
        }
        let least = self.open.first_key_value().map_or(i64::MAX, |(key, _)| key.0).min(self.unresolved);
        state.prove(least);
        self.master.work() - before
    }

    /// The next node: while plunging the last one's first child, else the one of least bound.
    fn pick(&mut self) -> Option<(Key, Node)> {
        self.picked += 1;
        if let Some(node) = self.plunge.take().and_then(|key| self.open.remove_entry(&key)) {
            self.plunged += 1;
            return Some(node);
        }
        self.open.pop_first()
    }

    fn visit(&mut self, state: &mut State<'_, '_, '_>, (key, mut node): (Key, Node)) {
        let (parent, Reverse(depth), _) = key;
        match self.expand(state, &mut node, (parent, Some(depth))) {
            Expanded::Done => {}
            Expanded::Open(bound, children) if children.is_empty() => self.unresolved = self.unresolved.min(bound),
            Expanded::Open(_, children) => {
                let going_on = self.plunged * PLUNGE_SHARE < self.picked || self.in_plunge;
                self.in_plunge = going_on;
                for (at, (bound, child)) in children.into_iter().enumerate() {
                    self.next += 1;
                    let key = (bound, Reverse(depth + 1), self.next);
                    if at == 0 && going_on {
                        self.plunge = Some(key);
                    }
                    self.open.insert(key, child);
                }
                return;
            }
        }
        self.in_plunge = false;
    }

    /// Brings the linear program to a node.
    fn enter(&mut self, node: &Node) {
        self.master.keep_to(node.listed.lists());
        // Where boards cost nothing the reward is all that is said of what they hold, listed or not.
        let is_free = Self::all_of(&self.master.pricer.model.kinds, node) == Some(0);
        self.master.pay_surplus(node.listed.lists().is_some() || is_free);
        let rows = node.rounded.iter().chain(&node.columns).filter(|_| node.listed.lists().is_some());
        self.master.obey(&rows.cloned().collect::<Vec<_>>());
        self.master.tidy(&node.bounds);
        self.master.enter(&node.bounds, &node.banned);
    }

    /// Solves a node and parts it; with a depth it may also dive from there.
    fn expand(
        &mut self,
        state: &mut State<'_, '_, '_>,
        node: &mut Node,
        (parent, depth): (i64, Option<u32>),
    ) -> Expanded {
        self.master.limit_boards(state.limit());
        self.enter(node);
        let limit = state.limit();
        let lattice = self.lattice(limit);
        let reach = |bound: i64| lattice.at_least(bound.max(parent));
        let Some(mut solved) = self.master.solve(&self.need, ROUNDS, |bound| reach(bound) >= limit) else {
            return self.failed(state, node, parent);
        };
        let mut bound = reach(solved.bound);
        if bound < limit && self.may_rise(node, bound) {
            bound = self.least(&solved.cover, &self.boards(), (bound, limit));
        }
        if bound >= limit || !self.list(node, &solved) {
            return Expanded::Done;
        }
        if depth.is_some() {
            match self.tighten(node, &mut solved, (&mut bound, limit), &reach) {
                Some(true) => {}
                Some(false) => return Expanded::Done,
                None => return self.failed(state, node, parent),
            }
        }
        let point = Point::read(&self.master);
        let mixed = point.mixed(&self.master);
        if mixed.is_empty()
            && let Some(boards) = dive::plan(&self.master, &state.wanted)
        {
            state.offer(boards);
        }
        if let Some(depth) = depth {
            self.look_for_plans(state, node, (&point, depth, bound));
        }
        if bound >= state.limit() {
            return Expanded::Done;
        }
        let given = (&solved.cover, bound, state.limit());
        let children = match self.by_milling(node, &mixed, (bound, state.limit())) {
            Some(children) => Some(children),
            None if node.set == Set::Free && point.paid_are_whole(&self.master) => {
                Some(self.by_set(&point, node, given))
            }
            None => self.children(&point, node, given),
        };
        let children = match children {
            Some(children) if children.is_empty() => return Expanded::Done,
            Some(children) => children,
            None if !mixed.is_empty() => banned_nodes(node, bound, keep_one(&self.master, mixed[0], &node.banned)),
            None if node.set == Set::Given && !point.kinds_are_whole() => vec![(bound, Self::pinned(node))],
            None => self.settle(state, node, (&point, bound)),
        };
        if bound >= state.limit() { Expanded::Done } else { Expanded::Open(bound, children) }
    }

    /// Where the figures went bad: two halves of the node are other programs.
    fn failed(&mut self, state: &State<'_, '_, '_>, node: &Node, parent: i64) -> Expanded {
        let children = if state.stop() { Vec::new() } else { self.halves(node, parent) };
        self.master.add_work(WORK_PER_NODE / 10);
        Expanded::Open(parent, children)
    }

    /// Dives from a node near the root, where boards come out whole, or when dives are due.
    fn look_for_plans(
        &mut self,
        state: &mut State<'_, '_, '_>,
        node: &mut Node,
        (point, depth, bound): (&Point, u32, i64),
    ) {
        let settled = point.kinds_are_whole() && !node.settled;
        node.settled |= settled;
        let due = self.dived < self.master.work() / self.manner.dive_share;
        if (depth < DIVE_DEPTH || settled || due) && bound < state.limit() {
            self.dive(state, node, point, false);
        }
        if due && bound < state.limit() {
            self.try_set(state, node);
        }
    }

    /// Where every count is whole: the plan with these counts, or the nodes in which they differ.
    fn settle(
        &mut self,
        state: &mut State<'_, '_, '_>,
        node: &Node,
        (point, bound): (&Point, i64),
    ) -> Vec<(i64, Node)> {
        let mut plan = whole::plan(&mut self.master, point, &state.wanted, 1);
        // Another milling of the same worth may pack where this one does not.
        let millings = banned_nodes(node, bound, open_millings(&self.master, &node.banned));
        if matches!(&plan, Err(counts) if counts.is_empty()) {
            self.dive(state, node, point, false);
            if millings.is_empty() && bound < state.limit() {
                // Nothing else is left to be done here.
                plan = whole::plan(&mut self.master, point, &state.wanted, LAST_LOOK);
            }
        }
        match plan {
            Ok(boards) => {
                state.offer(boards);
                Vec::new()
            }
            Err(_) if !millings.is_empty() => millings,
            Err(counts) => self.other_counts((point, bound), node, (&counts, MOST_CHILDREN)),
        }
    }

    /// Nodes that part all plans in which some of `counts` differ from the point, where they do not
    /// pack: the first differs, or the first is the same and the second differs, and so on. From `most`
    /// nodes on what is left waits in one of its own.
    fn other_counts(
        &self,
        (point, bound): (&Point, i64),
        node: &Node,
        (counts, most): (&[Count], usize),
    ) -> Vec<(i64, Node)> {
        let mut children = Vec::new();
        let mut same = node.clone();
        for &count in counts {
            if children.len() >= most {
                children.push((bound, same));
                return children;
            }
            let (low, high) = same.bounds.get(&count).copied().unwrap_or_else(|| self.master.bounds_of(count));
            let value = point.value(count).round() as u32;
            let ranges = [(low, value.saturating_sub(1)), (value + 1, high)];
            for range in ranges.into_iter().filter(|&(a, b)| a <= b && !(a..=b).contains(&value)) {
                let mut child = same.clone();
                child.bounds.insert(count, range);
                children.push((bound, child));
            }
            same.bounds.insert(count, (value, value));
        }
        children
    }

    /// The costs below `limit` that boards within the node's bounds can add up to: seldom others than at the node
    /// before, and then they are worked out anew.
    fn lattice(&mut self, limit: i64) -> Rc<Lattice> {
        let boards = self.boards();
        if let Some((_, lattice)) = self.costs.as_ref().filter(|(known, _)| *known == (limit, boards.clone())) {
            return Rc::clone(lattice);
        }
        let lattice = Rc::new(Lattice::new(&boards, limit));
        self.master.add_work(lattice.work);
        self.costs = Some(((limit, boards), Rc::clone(&lattice)));
        lattice
    }

    /// Price of a board of each kind, fewest and most boards of it within the node's bounds.
    fn boards(&self) -> Vec<(i64, u32, u32)> {
        let kinds = self.master.pricer.model.kinds.iter().zip(self.master.kind_bounds());
        kinds.map(|(kind, (low, high))| (kind.cost, low, high.max(low))).collect()
    }

    /// Looks for a plan from the node's point, each part kept to the milling it has there.
    fn dive(&mut self, state: &mut State<'_, '_, '_>, node: &Node, point: &Point, given: bool) {
        let before = self.master.work();
        self.dives += 1;
        self.master.keep_to(None);
        self.master.obey(&[]);
        self.master.enter(&node.bounds, &point.most_used(&self.master, &node.banned));
        let how = dive::How { bounds: &node.bounds, limit: state.limit(), noise: self.dives, given };
        if let Some(boards) = dive::dive(&mut self.master, &state.wanted, &how) {
            state.offer(boards);
        }
        self.enter(node);
        self.dived += self.master.work() - before;
    }
}
