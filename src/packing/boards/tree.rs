//! The search: branch on counts that are whole in every plan, least bound first.
//!
//! Counts (boards in all, boards of a kind, spans from some length on, rips of a part in such
//! spans) have linear duals, so the knapsacks of the pricing keep their form. At every node the
//! bound is raised to the next cost that boards within the node's bounds can add up to.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::dive::{self, WHOLE};
use super::exchange::Sets;
use super::lattice::Lattice;
use super::master::{Bounds, Column, Count, Master, ROUNDS};
use super::model::Mode;
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
}

/// What became of a node.
enum Expanded {
    /// Nothing better than the best plan lies there.
    Done,
    /// Its bound and its parts, the nearest one first; no parts when it could not be parted.
    Open(i64, Vec<Node>),
}

fn banned_nodes(node: &Node, bans: Vec<Vec<bool>>) -> Vec<Node> {
    bans.into_iter().map(|banned| Node { bounds: node.bounds.clone(), banned, settled: node.settled }).collect()
}

/// Least bound first, deepest first among equals, then the older.
type Key = (i64, Reverse<u32>, u64);

/// The search over one species.
struct Tree<'a, 'b, 'c, 'd> {
    master: Master<'b, 'c, 'd>,
    sets: Sets,
    need: &'a [u32],
    open: BTreeMap<Key, Node>,
    next: u64,
    visits: u64,
    /// The child to go on with while plunging, and how many nodes were picked so and in all.
    plunge: Option<Key>,
    in_plunge: bool,
    plunged: u64,
    picked: u64,
    /// Work done in dives.
    dived: u64,
    /// Least bound of nodes that could be neither branched on nor turned into a plan.
    unresolved: i64,
}

/// Work that stands for one node of a budget: so much takes about 2.5 ms.
pub(super) const WORK_PER_NODE: u64 = 1_000_000;

/// One node in so many is visited while plunging.
const PLUNGE_SHARE: u64 = 3;
/// Nodes of one descent from a set of boards.
const DESCENT: u32 = 80;

/// Missing units cost this many times the best plan.
const PENALTY: f64 = 20.0;
/// A dive is tried at every node so near the root, where boards come out whole, and whenever dives
/// have had less than their share of the work: one part in so many.
const DIVE_DEPTH: u32 = 3;
const DIVE_SHARE: u64 = 2;

/// Searches until the best plan is proven, the budget is used up or the listener stops it.
pub(super) fn search(state: &mut State<'_, '_, '_>, need: &[u32], (root, values): (&Root, &Values), work: u64) {
    let pricer = state.pricer;
    let mut master = Master::new(pricer, state.watch, need, state.limit().max(1) as f64 * PENALTY);
    for (pattern, _) in &root.patterns {
        master.add_pattern(pattern.mode, &pattern.spans);
    }
    if let Some((_, boards)) = &state.best {
        for (pattern, _) in boards {
            master.add_pattern(pattern.mode, &pattern.spans);
        }
    }
    let sets = Sets::new(pricer, values, need);
    let mut tree = Tree {
        sets,
        master,
        need,
        open: BTreeMap::new(),
        next: 0,
        visits: 0,
        plunge: None,
        in_plunge: false,
        plunged: 0,
        picked: 0,
        dived: 0,
        unresolved: i64::MAX,
    };
    let first = Node { bounds: Bounds::new(), banned: vec![false; pricer.model.variants.len()], settled: false };
    tree.open.insert((state.bound, Reverse(0), 0), first);
    while tree.master.work() < work {
        let Some((key, node)) = tree.pick() else { break };
        let least = tree.open.first_key_value().map_or(key.0, |(first, _)| first.0.min(key.0));
        state.rise(least.min(tree.unresolved));
        if state.is_proven() || state.stop() {
            tree.open.insert(key, node);
            break;
        }
        state.watch.borrow_mut().nodes += 1;
        tree.visit(state, (key, node));
    }
    let least = tree.open.first_key_value().map_or(i64::MAX, |(key, _)| key.0).min(tree.unresolved);
    state.rise(least);
}

impl Tree<'_, '_, '_, '_> {
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
            Expanded::Open(bound, children) => {
                let going_on = self.plunged * PLUNGE_SHARE < self.picked || self.in_plunge;
                self.in_plunge = going_on;
                for (at, child) in children.into_iter().enumerate() {
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

    /// Solves a node and parts it; with a depth it may also dive from there.
    fn expand(
        &mut self,
        state: &mut State<'_, '_, '_>,
        node: &mut Node,
        (parent, depth): (i64, Option<u32>),
    ) -> Expanded {
        self.master.limit_boards(state.limit());
        self.master.enter(&node.bounds, &node.banned);
        let lattice = self.lattice(state);
        let limit = state.limit();
        let reach = |bound: i64| lattice.at_least(bound.max(parent));
        let Some(solved) = self.master.solve(self.need, ROUNDS, |bound| reach(bound) >= limit) else {
            return Expanded::Open(parent, Vec::new());
        };
        let bound = reach(solved.bound);
        if bound >= limit {
            return Expanded::Done;
        }
        let point = Point::read(&self.master);
        let split = point.milling(&self.master, &node.banned);
        if split.is_none() {
            if let Some(boards) = dive::plan(&self.master, self.need) {
                state.offer(boards);
            }
            if let Some(depth) = depth {
                self.look_for_plans(state, node, (&point, depth, bound));
            }
        }
        if bound >= state.limit() {
            return Expanded::Done;
        }
        let mut children = match split {
            Some(bans) => banned_nodes(node, bans),
            None => self.children(&point, node),
        };
        if children.is_empty() {
            children = self.settle(state, node, &point);
        }
        if bound >= state.limit() { Expanded::Done } else { Expanded::Open(bound, children) }
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
        let due = self.dived < self.master.work() / DIVE_SHARE;
        if (depth < DIVE_DEPTH || settled || due) && bound < state.limit() {
            self.dive(state, node, point, false);
        }
        if due && bound < state.limit() {
            self.try_set(state, node);
        }
    }

    /// Where every count is whole: the plan with these counts, or the nodes in which they differ.
    fn settle(&mut self, state: &mut State<'_, '_, '_>, node: &Node, point: &Point) -> Vec<Node> {
        match whole::plan(&self.master, point, self.need) {
            Ok(boards) => {
                state.offer(boards);
                Vec::new()
            }
            Err(counts) => {
                if counts.is_empty() {
                    self.dive(state, node, point, false);
                }
                // Another milling of the same worth may pack where this one does not.
                let millings = banned_nodes(node, open_millings(&self.master, &node.banned));
                if millings.is_empty() { self.other_counts(point, node, &counts) } else { millings }
            }
        }
    }

    /// Nodes that part all plans in which some of `counts` differ from the point, where they do not
    /// pack: the first differs, or the first is the same and the second differs, and so on.
    fn other_counts(&self, point: &Point, node: &Node, counts: &[Count]) -> Vec<Node> {
        let mut children = Vec::new();
        let mut same = node.clone();
        for &count in counts {
            let (low, high) = same.bounds.get(&count).copied().unwrap_or_else(|| self.master.bounds_of(count));
            let value = point.value(count).round() as u32;
            let ranges = [(low, value.saturating_sub(1)), (value + 1, high)];
            for range in ranges.into_iter().filter(|&(a, b)| a <= b && !(a..=b).contains(&value)) {
                let mut child = same.clone();
                child.bounds.insert(count, range);
                children.push(child);
            }
            same.bounds.insert(count, (value, value));
        }
        children
    }

    fn lattice(&self, state: &State<'_, '_, '_>) -> Lattice {
        let kinds = &self.master.pricer.model.kinds;
        let boards: Vec<(i64, u32, u32)> = kinds
            .iter()
            .zip(self.master.kind_bounds())
            .map(|(kind, (low, high))| (kind.cost, low, high.max(low)))
            .collect();
        Lattice::new(&boards, state.limit())
    }

    /// Looks for a plan from the node's point, each part kept to the milling it has there.
    fn dive(&mut self, state: &mut State<'_, '_, '_>, node: &Node, point: &Point, given: bool) {
        let before = self.master.work();
        self.visits += 1;
        self.master.enter(&node.bounds, &point.used_only(&self.master, &node.banned));
        let how = dive::How { bounds: &node.bounds, limit: state.limit(), noise: self.visits, given };
        if let Some(boards) = dive::dive(&mut self.master, self.need, &how) {
            state.offer(boards);
        }
        self.master.enter(&node.bounds, &node.banned);
        self.dived += self.master.work() - before;
    }

    /// Dives with a set of boards fixed that costs less than the best plan.
    fn try_set(&mut self, state: &mut State<'_, '_, '_>, node: &Node) {
        let Some(set) = self.sets.next(state) else { return };
        let bounds = set.iter().enumerate().map(|(kind, &n)| (Count::Kind(kind), (n, n))).collect();
        let fixed = Node { bounds, banned: vec![false; node.banned.len()], settled: true };
        self.master.enter(&fixed.bounds, &fixed.banned);
        let limit = state.limit();
        let solved = self.master.solve(self.need, ROUNDS, |bound| bound >= limit);
        if solved.is_some_and(|solved| solved.bound < limit) {
            let point = Point::read(&self.master);
            self.dive(state, &fixed, &point, true);
            self.descend(state, fixed);
        }
        self.master.enter(&node.bounds, &node.banned);
    }

    /// Follows the nearer branch from a set of boards down to a plan or a dead end.
    fn descend(&mut self, state: &mut State<'_, '_, '_>, mut node: Node) {
        let before = self.master.work();
        let limit = state.limit();
        for _ in 0..DESCENT {
            match self.expand(state, &mut node, (0, None)) {
                Expanded::Open(_, children) if state.limit() == limit => match children.into_iter().next() {
                    Some(child) => node = child,
                    None => break,
                },
                _ => break,
            }
        }
        self.dived += self.master.work() - before;
    }

    /// Two nodes that part the present point; none when every count is whole.
    fn children(&self, point: &Point, node: &Node) -> Vec<Node> {
        // Where units are missing a count may lie outside its bounds: branching there leads nowhere.
        let within = |count: Count, value: f64| {
            let (low, high) = self.master.bounds_of(count);
            (low..high).contains(&(value.floor() as u32))
        };
        let Some((count, value)) = point.branch(within) else { return Vec::new() };
        let (low, high) = self.master.bounds_of(count);
        let floor = value.floor() as u32;
        let mut ranges = [(low, floor), (floor + 1, high)];
        if value - value.floor() > 0.5 {
            ranges.reverse();
        }
        ranges
            .into_iter()
            .map(|range| {
                let mut child = node.clone();
                child.bounds.insert(count, range);
                child
            })
            .collect()
    }
}

/// Counts at the present point.
pub(super) struct Point {
    boards: f64,
    kinds: Vec<f64>,
    /// Boards per mode.
    pub(super) modes: BTreeMap<Mode, f64>,
    /// `[layout][class][span]`.
    pub(super) spans: Vec<Vec<Vec<f64>>>,
    /// `[layout][group][span]`.
    filled: Vec<Vec<Vec<f64>>>,
    /// `[layout][fill * parts + part][span]`.
    pub(super) rips: Vec<Vec<Vec<f64>>>,
    pub(super) parts: usize,
    /// Rips per variant.
    pub(super) variants: Vec<f64>,
}

impl Point {
    fn read(master: &Master<'_, '_, '_>) -> Self {
        let model = master.pricer.model;
        let mut point = Self {
            boards: 0.0,
            kinds: vec![0.0; model.kinds.len()],
            modes: model.modes.iter().map(|&mode| (mode, 0.0)).collect(),
            spans: model.layouts.iter().map(|l| vec![vec![0.0; l.spans.len()]; l.classes.len()]).collect(),
            filled: model.layouts.iter().map(|l| vec![vec![0.0; l.spans.len()]; model.groups.len()]).collect(),
            rips: model
                .layouts
                .iter()
                .map(|l| vec![vec![0.0; l.spans.len()]; l.fills.len() * model.parts.len()])
                .collect(),
            parts: model.parts.len(),
            variants: vec![0.0; model.variants.len()],
        };
        for (col, column) in master.columns.iter().enumerate() {
            let value = master.simplex.value(col);
            if value <= 1e-9 {
                continue;
            }
            match column {
                Column::Missing => {}
                Column::Cut(mode, spans) => {
                    point.boards += value;
                    point.kinds[mode.kind] += value;
                    *point.modes.entry(*mode).or_default() += value;
                    for &(span, count) in spans {
                        point.spans[mode.layout][mode.class][span] += value * f64::from(count);
                    }
                }
                Column::Rips(rips) => {
                    point.filled[rips.layout][rips.group][rips.span] += value;
                    let fill = model.layouts[rips.layout].fill(rips.class, rips.group).unwrap_or(0);
                    for &(hold, count) in &rips.rips {
                        let row = fill * model.parts.len() + model.variants[hold.variant].part;
                        point.rips[rips.layout][row][rips.span] += value * f64::from(count);
                        point.variants[hold.variant] += value * f64::from(count);
                    }
                }
            }
        }
        point
    }

    /// Value of a count.
    fn value(&self, count: Count) -> f64 {
        let from_on = |spans: &Vec<f64>, from: usize| spans.iter().skip(from).sum::<f64>();
        match count {
            Count::Boards => self.boards,
            Count::Kind(kind) => self.kinds[kind],
            Count::Mode(mode) => self.modes[&mode],
            Count::Spans { layout, class: Some(class), from } => from_on(&self.spans[layout][class], from),
            Count::Spans { layout, class: None, from } => {
                self.spans[layout].iter().map(|spans| from_on(spans, from)).sum()
            }
            Count::Filled { layout, group, from } => from_on(&self.filled[layout][group], from),
            Count::Rips { layout, fill, part, from } => from_on(&self.rips[layout][fill * self.parts + part], from),
        }
    }

    fn kinds_are_whole(&self) -> bool {
        self.kinds.iter().all(|&n| fraction(n) <= WHOLE)
    }

    /// When a part is milled two ways: one ban for each way to go on.
    fn milling(&self, master: &Master<'_, '_, '_>, banned: &[bool]) -> Option<Vec<Vec<bool>>> {
        let variants = &master.pricer.model.variants;
        let ways =
            |part: usize| (0..variants.len()).filter(|&v| variants[v].part == part && self.variants[v] > 1e-7).count();
        let part = (0..master.pricer.model.parts.len()).find(|&part| ways(part) > 1)?;
        Some(keep_one(master, part, banned))
    }

    /// Bans every milling that the point does not use, for parts with a choice.
    fn used_only(&self, master: &Master<'_, '_, '_>, banned: &[bool]) -> Vec<bool> {
        let variants = &master.pricer.model.variants;
        let used = |v: usize| self.variants[v] > 1e-7;
        let other = |v: usize| (0..variants.len()).any(|w| w != v && variants[w].part == variants[v].part && used(w));
        (0..variants.len()).map(|v| banned[v] || !used(v) && other(v)).collect()
    }

    /// The count to branch on with its value, `within` its bounds at the node.
    fn branch(&self, within: impl Fn(Count, f64) -> bool) -> Option<(Count, f64)> {
        let layouts = || 0..self.spans.len();
        let boards = vec![(Count::Boards, self.boards)];
        let kinds = self.kinds.iter().enumerate().map(|(kind, &n)| (Count::Kind(kind), n)).collect();
        let modes = self.modes.iter().map(|(&mode, &n)| (Count::Mode(mode), n)).collect();
        let spans = layouts().flat_map(|layout| {
            let classes = &self.spans[layout];
            let spans = classes.first().map_or(0, Vec::len);
            let all = (0..spans).map(|span| classes.iter().map(|class| class[span]).sum()).collect();
            from_each(all, move |from| Count::Spans { layout, class: None, from })
        });
        let by_class = layouts().flat_map(|layout| {
            each(&self.spans[layout], move |class, from| Count::Spans { layout, class: Some(class), from })
        });
        let filled = layouts()
            .flat_map(|layout| each(&self.filled[layout], move |group, from| Count::Filled { layout, group, from }));
        let rips = layouts().flat_map(|layout| {
            each(&self.rips[layout], move |row, from| {
                let (fill, part) = (row / self.parts, row % self.parts);
                Count::Rips { layout, fill, part, from }
            })
        });
        let ranks: [Vec<(Count, f64)>; 7] =
            [boards, kinds, modes, spans.collect(), by_class.collect(), filled.collect(), rips.collect()];
        ranks.into_iter().find_map(|counts| most_fractional(counts.into_iter().filter(|&(c, n)| within(c, n))))
    }
}

/// Sums from each span to the longest, one row after another.
fn each(rows: &[Vec<f64>], count: impl Fn(usize, usize) -> Count + Copy) -> Vec<(Count, f64)> {
    rows.iter().enumerate().flat_map(|(row, spans)| from_each(spans.clone(), move |from| count(row, from))).collect()
}

/// Bans for each milling that a part has left, all others of that part banned.
fn keep_one(master: &Master<'_, '_, '_>, part: usize, banned: &[bool]) -> Vec<Vec<bool>> {
    let variants = &master.pricer.model.variants;
    let of_part = |v: &usize| variants[*v].part == part;
    let keep = |only: usize| {
        let mut bans = banned.to_vec();
        (0..variants.len()).filter(of_part).filter(|&v| v != only).for_each(|v| bans[v] = true);
        bans
    };
    (0..variants.len()).filter(of_part).filter(|&v| !banned[v]).map(keep).collect()
}

/// The same for the first part that has a choice left; nothing when none has.
fn open_millings(master: &Master<'_, '_, '_>, banned: &[bool]) -> Vec<Vec<bool>> {
    let parts = 0..master.pricer.model.parts.len();
    parts.map(|part| keep_one(master, part, banned)).find(|bans| bans.len() > 1).unwrap_or_default()
}

/// Sums from each span to the longest.
fn from_each(mut values: Vec<f64>, count: impl Fn(usize) -> Count) -> Vec<(Count, f64)> {
    for at in (1..values.len()).rev() {
        values[at - 1] += values[at];
    }
    values.into_iter().enumerate().map(|(from, value)| (count(from), value)).collect()
}

fn fraction(value: f64) -> f64 {
    (value - value.round()).abs()
}

fn most_fractional(counts: impl Iterator<Item = (Count, f64)>) -> Option<(Count, f64)> {
    let mut best: Option<(Count, f64)> = None;
    for (count, value) in counts {
        if fraction(value) > best.map_or(WHOLE, |best| fraction(best.1) + 1e-9) {
            best = Some((count, value));
        }
    }
    best
}
