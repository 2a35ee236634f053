//! The search: branch on counts that are whole in every plan, least bound first.
//!
//! Counts (boards in all, boards of a kind, spans from some length on, rips of a part in such
//! spans) have linear duals, so the knapsacks of the pricing keep their form. At every node the
//! bound is raised to the next cost that boards within the node's bounds can add up to.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::dive::{self, WHOLE};
use super::fill::Noise;
use super::lattice::Lattice;
use super::master::{Bounds, Column, Count, Master, ROUNDS};
use super::mend;
use super::model::Mode;
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

/// Least bound first, deepest first among equals, then the older.
type Key = (i64, Reverse<u32>, u64);

/// The search over one species.
struct Tree<'a, 'b, 'c, 'd> {
    master: Master<'b, 'c, 'd>,
    need: &'a [u32],
    open: BTreeMap<Key, Node>,
    next: u64,
    visits: u64,
    /// Work done in dives.
    dived: u64,
    /// Least bound of nodes that could be neither branched on nor turned into a plan.
    unresolved: i64,
}

/// Work that stands for one node of a budget: so much takes about 2.5 ms.
pub(super) const WORK_PER_NODE: u64 = 1_000_000;

/// Work of one mending, and the most boards it is tried on.
const MEND_WORK: u64 = 4_000_000;
const MENDED: usize = 60;

/// Missing units cost this many times the best plan.
const PENALTY: f64 = 20.0;
/// A dive is tried at every node so near the root, where boards come out whole, and whenever dives
/// have had less than their share of the work: one part in so many.
const DIVE_DEPTH: u32 = 3;
const DIVE_SHARE: u64 = 2;

/// Searches until the best plan is proven, the budget is used up or the listener stops it.
pub(super) fn search(state: &mut State<'_, '_, '_>, need: &[u32], root: &Root, work: u64) {
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
    let mut tree = Tree { master, need, open: BTreeMap::new(), next: 0, visits: 0, dived: 0, unresolved: i64::MAX };
    let first = Node { bounds: Bounds::new(), banned: vec![false; pricer.model.variants.len()], settled: false };
    tree.open.insert((state.bound, Reverse(0), 0), first);
    while tree.master.work() < work {
        let Some((key, node)) = tree.open.pop_first() else { break };
        state.rise(key.0.min(tree.unresolved));
        if state.is_proven() || state.stop() {
            tree.open.insert(key, node);
            break;
        }
        state.watch.borrow_mut().nodes += 1;
        tree.visit(state, (key, node));
    }
    eprintln!(
        "DBG nodes {} cols {} spans {:?} classes {:?} open {} depth {:?} unresolved {} bound {} best {} work {}M",
        state.watch.borrow().nodes,
        tree.master.columns.len(),
        pricer.model.layouts.iter().map(|l| l.spans.len()).collect::<Vec<_>>(),
        pricer.model.layouts.iter().map(|l| l.classes.len()).collect::<Vec<_>>(),
        tree.open.len(),
        tree.open.first_key_value().map(|k| k.0.1.0),
        tree.unresolved,
        state.bound,
        state.limit(),
        tree.master.work() / 1000000
    ); // DBG
    let least = tree.open.first_key_value().map_or(i64::MAX, |(key, _)| key.0).min(tree.unresolved);
    state.rise(least);
}

impl Tree<'_, '_, '_, '_> {
    fn visit(&mut self, state: &mut State<'_, '_, '_>, (key, mut node): (Key, Node)) {
        let (parent, Reverse(depth), _) = key;
        self.master.limit_boards(state.limit());
        self.master.enter(&node.bounds, &node.banned);
        let lattice = self.lattice(state);
        let limit = state.limit();
        let reach = |bound: i64| lattice.at_least(bound.max(parent));
        let Some(solved) = self.master.solve(self.need, ROUNDS, |bound| reach(bound) >= limit) else {
            eprintln!("DBG FAILED {:?}", node.bounds); // DBG
            self.unresolved = self.unresolved.min(parent);
            return;
        };
        let bound = reach(solved.bound);
        if bound >= limit {
            return;
        }
        let point = Point::read(&self.master);
        let split = point.milling(&self.master, &node.banned);
        if split.is_none() {
            if let Some(boards) = dive::plan(&self.master, self.need) {
                state.offer(boards);
            }
            let settled = point.kinds_are_whole() && !node.settled;
            node.settled |= settled;
            let idle = self.dived < self.master.work() / DIVE_SHARE;
            if (depth < DIVE_DEPTH || settled || idle) && bound < state.limit() {
                self.dive(state, &node, &point);
            }
        }
        if bound >= state.limit() {
            return;
        }
        let banned = |bans: Vec<Vec<bool>>| -> Vec<Node> {
            bans.into_iter().map(|banned| Node { bounds: node.bounds.clone(), banned, settled: node.settled }).collect()
        };
        let mut children = match split {
            Some(bans) => banned(bans),
            None => self.children(&point, &node),
        };
        if children.is_empty() {
            match whole::plan(&self.master, &point, self.need) {
                Ok(boards) => state.offer(boards),
                Err(counts) => {
                    if counts.is_empty() {
                        self.dive(state, &node, &point);
                    }
                    // Another milling of the same worth may pack where this one does not.
                    children = banned(open_millings(&self.master, &node.banned));
                    if children.is_empty() {
                        children = self.other_counts(&point, &node, &counts);
                    }
                }
            }
        }
        if children.is_empty() && bound < state.limit() {
            eprintln!(
                "DBG UNRES {:?} lp {} solved {} bound {bound}",
                node.bounds,
                self.master.simplex.cost(),
                solved.bound
            ); // DBG
            for (c, col) in self.master.columns.iter().enumerate() {
                let v = self.master.simplex.value(c);
                if v > 1e-9 {
                    eprintln!("   {v} {col:?}");
                }
            } // DBG
            self.unresolved = self.unresolved.min(bound);
        }
        for child in children {
            self.next += 1;
            self.open.insert((bound, Reverse(depth + 1), self.next), child);
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
    fn dive(&mut self, state: &mut State<'_, '_, '_>, node: &Node, point: &Point) {
        let before = self.master.work();
        self.visits += 1;
        self.master.enter(&node.bounds, &point.used_only(&self.master, &node.banned));
        let how = dive::How { bounds: &node.bounds, limit: state.limit(), noise: self.visits };
        if let Some(boards) = dive::dive(&mut self.master, self.need, &how) {
            state.offer(boards);
        }
        if point.kinds_are_whole() {
            self.mend(state, point);
        }
        self.master.enter(&node.bounds, &node.banned);
        self.dived += self.master.work() - before;
    }

    /// Cuts the boards that the point names, where their numbers are whole.
    fn mend(&mut self, state: &mut State<'_, '_, '_>, point: &Point) {
        let model = self.master.pricer.model;
        let mut modes: Vec<Mode> = Vec::new();
        for (kind, &count) in point.kinds.iter().enumerate() {
            let used = model.modes.iter().filter(|mode| mode.kind == kind);
            let mode = used.max_by(|a, b| point.modes[a].total_cmp(&point.modes[b]));
            modes.extend(mode.into_iter().flat_map(|&mode| std::iter::repeat_n(mode, count.round() as usize)));
        }
        let cost: i64 = modes.iter().map(|mode| model.kinds[mode.kind].cost).sum();
        if cost >= state.limit() || modes.is_empty() || modes.len() > MENDED {
            return;
        }
        let board = modes.iter().map(|&mode| self.master.pricer.board_work(mode)).max().unwrap_or(1);
        let rounds = (MEND_WORK / board.max(1)).clamp(8, 400) as u32;
        let values = self.master.part_values();
        let noise = Noise::new(self.visits);
        if let Some(boards) = mend::mend(self.master.pricer, &modes, &values, self.need, (noise, rounds)) {
            state.offer(boards);
        }
        self.master.add_work(u64::from(rounds) * board);
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
        [(low, floor), (floor + 1, high)]
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
