//! Branch and bound on counts, best bound first, for one goal.
//!
//! Where all counts are whole the pieces of a height may still not fit into its levels. When that is proven, every plan
//! has more such levels or fewer of some such piece, and the node is parted into those.

mod node;
mod plans;

use std::collections::{BTreeSet, BinaryHeap};

use node::Node;
use plans::Reworked;

use super::branch::{Counts, with};
use super::effort::{Effort, News};
use super::goal::{Goal, Lift, Sums};
use super::layout::Layout;
use super::master::{Master, Relaxed};
use super::model::Model;
use super::rows::{Count, Row};
use super::{ClothProblem, charge};
use crate::measure::Cents;
use crate::packing::noise::Noise;

/// How much one search may do.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits {
    /// Nodes of the tree.
    pub nodes: u32,
    /// Randomised fills.
    pub tries: u32,
    /// Work of all kinds, in steps of about a nanosecond; the effort ends there too.
    pub work: u64,
}

/// What is known before a search.
#[derive(Debug, Clone)]
pub(super) struct Known<'a> {
    /// How much a length of each bolt counts, which guides the fills.
    pub rates: Vec<i64>,
    /// A plan.
    pub layout: Option<&'a Layout>,
    /// A bound, in the goal's unit.
    pub bound: i128,
}

/// The best plan of a search and what it proved.
#[derive(Debug)]
pub(super) struct Found {
    /// The best plan: its value, its length in units, its levels.
    pub best: Option<(i128, i128, Layout)>,
    /// No plan is worth less than this, in the goal's unit.
    pub bound: i128,
    /// Nodes done.
    pub nodes: u32,
    /// The listener said stop.
    pub stopped: bool,
}

/// While counts are fractional a bolt is settled first that loses more by its increment than this part
/// of what lies between the bound and the best plan.
const WEIGHS: f64 = 8.0;

/// Work of lifting a bound, in steps of about a nanosecond.
const LIFT_WORK: u64 = 2_000;

/// Counts that are tried before one is branched on: with one, 145 of 200 jobs (seeds 200 to 399) were proven lowest, with
/// six 150.
const MOST_TRIED: usize = 6;
/// What a side gains at least where gains are compared, in parts of the dearest level.
const LEAST_GAIN: f64 = 1e-6;

/// Part of the work that the program of the root may take before plans are looked for.
const ROOT_SHARE: u64 = 2;

/// One search for one goal.
pub(super) struct Search<'a, 'e> {
    problem: &'a ClothProblem,
    model: &'a Model,
    goal: &'a Goal,
    master: Master<'a, 'e>,
    effort: &'a Effort<'e>,
    rates: Vec<i64>,
    limits: Limits,
    found: Found,
    /// Least bound of nodes given up unsolved.
    unsolved: i128,
    random: Noise,
    /// Lengths that levels can make.
    sums: Sums,
    /// Caps for which plans were looked for.
    aimed: BTreeSet<Vec<Option<i64>>>,
    reworked: Reworked,
    /// Of the last node made.
    number: u32,
}

impl<'a, 'e> Search<'a, 'e> {
    /// A search that starts from a known plan.
    pub(super) fn new(
        problem: &'a ClothProblem,
        model: &'a Model,
        goal: &'a Goal,
        limits: Limits,
        known: Known<'_>,
        effort: &'a Effort<'e>,
    ) -> Self {
        let master = Master::new(model, goal.weights(problem), effort);
        let longest = known.layout.map_or(0, |layout| layout.lengths(model).iter().copied().max().unwrap_or(0));
        let sums = if matches!(goal, Goal::Cost { .. }) { Sums::of(model, longest) } else { Sums::default() };
        let found = Found { best: None, bound: known.bound, nodes: 0, stopped: false };
        let mut search = Self {
            problem,
            model,
            goal,
            master,
            effort,
            rates: known.rates,
            limits,
            found,
            unsolved: i128::MAX,
            random: Noise::new(1),
            sums,
            aimed: BTreeSet::new(),
            reworked: Reworked::default(),
            number: 0,
        };
        if let Some(layout) = known.layout {
            search.offer(layout.clone());
        }
        search
    }

    /// Value to beat.
    fn value(&self) -> i128 {
        self.found.best.as_ref().map_or(i128::MAX, |best| best.0)
    }

    /// Tells the listener; true when it says stop.
    fn tell(&mut self) -> bool {
        self.note();
        self.found.stopped |= self.effort.ask();
        self.found.stopped
    }

    /// What the listener hears when it is asked.
    fn note(&self) {
        let value = self.found.best.as_ref().map(|best| best.0);
        self.effort.tell(News { value, bound: self.found.bound, nodes: self.found.nodes });
    }

    /// Runs the search.
    pub(super) fn run(mut self) -> Found {
        self.search();
        self.found.stopped |= self.effort.stopped();
        self.found
    }

    fn search(&mut self) {
        let mut heap = BinaryHeap::from([Node { bound: self.found.bound, number: 0, rows: Vec::new() }]);
        while let Some(node) = heap.pop() {
            let value = self.value();
            self.found.bound = self.found.bound.max(node.bound.min(self.unsolved).min(value));
            if node.bound.min(self.unsolved) >= value {
                return;
            }
            if self.found.nodes >= self.limits.nodes || self.effort.is_over() || self.tell() {
                return;
            }
            self.found.nodes += 1;
            heap.extend(self.expand(&node));
            self.rework();
        }
        self.found.bound = self.found.bound.max(self.value().min(self.unsolved));
    }

    /// Solves a node; what remains to be done below it.
    fn expand(&mut self, node: &Node) -> Vec<Node> {
        let root = node.number == 0;
        let (effort, most) = (self.effort, if root { self.limits.work / ROOT_SHARE } else { u64::MAX });
        let lift = self.goal.lift(self.problem, self.model, &node.rows);
        effort.spend(self.goal.lift_work());
        let relaxed = effort.within(most, || self.relax(node, &lift));
        if relaxed.impossible {
            return Vec::new();
        }
        let proven =
            if root && !relaxed.unfinished { relaxed.bound.max(self.master.outside_bound()) } else { relaxed.bound };
        let bound = node.bound.max(lift.value(proven));
        if root {
            self.found.bound = bound.min(self.value());
            self.root_plans(&relaxed);
        }
        if relaxed.unfinished {
            // The node stays open, with what is proven of it.
            return vec![Node { bound, number: node.number, rows: node.rows.clone() }];
        }
        if !root && (self.found.nodes.is_power_of_two() || self.found.nodes.is_multiple_of(64)) {
            self.dive(&relaxed);
        }
        let counts = Counts::of(&self.master, &relaxed);
        self.aim(&relaxed, &counts);
        if bound >= self.value() {
            return Vec::new();
        }
        let fractional = counts.fractional(&self.master);
        // While counts are fractional only what weighs is settled first.
        let least = if fractional.is_empty() { f64::NEG_INFINITY } else { (self.value() - bound) as f64 / WEIGHS };
        let uneven = if relaxed.lacks { None } else { self.uneven(&counts, bound, &node.rows, least) };
        if let Some((count, whole)) = uneven.or_else(|| self.strongest(fractional)) {
            return self.children(node, bound, count, whole);
        }
        self.whole_counts(node, bound, (&counts, &relaxed))
    }

    /// A node whose counts are all whole: a plan, or what every plan has in place of them.
    fn whole_counts(&mut self, node: &Node, bound: i128, (counts, relaxed): (&Counts, &Relaxed)) -> Vec<Node> {
        if !relaxed.lacks {
            match counts.plan(&self.master) {
                Ok(layout) => {
                    let lengths = layout.lengths(self.model);
                    let value = self.goal.value(self.problem, self.model, &lengths);
                    self.offer(layout);
                    if value <= bound {
                        return Vec::new();
                    }
                }
                Err(at) => {
                    if let Some(ways) = counts.ways_out(self.model, at) {
                        return self.below(node, bound, ways);
                    }
                }
            }
        }
        self.unsolved = self.unsolved.min(bound);
        Vec::new()
    }

    /// The fractional count that raises the bound most to both sides, as far as a few pivots tell (strong branching),
    /// and what it is at most to the one side.
    fn strongest(&mut self, fractional: Vec<(Count, f64)>) -> Option<(Count, i64)> {
        let mut best: Option<(f64, Count, i64)> = None;
        for (count, value) in fractional.into_iter().take(MOST_TRIED) {
            let below = value.floor() as i64;
            let mut probe = |at_least, rhs| self.master.probe(Row { count, at_least, rhs }).max(LEAST_GAIN);
            let gain = probe(false, below) * probe(true, below + 1);
            if best.is_none_or(|(held, ..)| gain > held * 1.01) {
                best = Some((gain, count, below));
            }
        }
        best.map(|(_, count, below)| (count, below))
    }

    fn relax(&mut self, node: &Node, lift: &Lift<'_>) -> Relaxed {
        let (value, effort) = (self.value(), self.effort);
        self.note();
        let mut enough = |bound: i128| {
            effort.spend(LIFT_WORK);
            lift.value(bound) >= value
        };
        self.master.relax(&node.rows, &mut enough)
    }

    /// A length to branch on, with several priced bolts: the bound counts their prices as if the
    /// counter cut to the hair; the increments are what it misses. The bolt that loses most by its
    /// increment, if that is more than `least`.
    fn uneven(&self, counts: &Counts, bound: i128, rows: &[Row], least: f64) -> Option<(Count, i64)> {
        let Goal::Cost { bolts, .. } = self.goal else { return None };
        if bolts.len() < 2 {
            return None;
        }
        let exact: Vec<f64> =
            (0..self.model.bolts.len()).map(|bolt| counts.length(&self.master, bolt) - 1e-6).collect();
        let lengths: Vec<i64> = exact.iter().map(|length| length.ceil() as i64).collect();
        if self.goal.value(self.problem, self.model, &lengths) <= bound {
            return None;
        }
        let step = |&bolt: &usize| {
            let kind = &self.problem.bolts[bolt];
            let cost = charge::cost(kind, self.model.length(lengths[bolt]));
            let below = charge::longest(kind, Cents::new(cost.get() - 1)).nm() / self.model.unit;
            let (low, high) = rows.iter().filter(|row| row.count == Count::Length { bolt }).fold(
                (0, i64::MAX),
                |(low, high), row| {
                    if row.at_least { (row.rhs, high) } else { (low, row.rhs) }
                },
            );
            let lost = cost.get() as f64 - exact[bolt].max(0.0) * self.model.unit as f64 * charge::rate(kind) * 100.0;
            (cost.get() > 0 && below >= low && below < high).then_some((lost, bolt, below))
        };
        let most = bolts.iter().filter_map(step).max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
        (most.0 > least).then_some((Count::Length { bolt: most.1 }, most.2))
    }

    fn children(&mut self, node: &Node, bound: i128, count: Count, whole: i64) -> Vec<Node> {
        // A length is a sum of heights.
        let (low, high) = match count {
            Count::Length { .. } => (self.sums.last_to(whole), self.sums.next_from(whole + 1)),
            _ => (whole, whole + 1),
        };
        let sides = [(false, low), (true, high)].map(|(at_least, rhs)| vec![Row { count, at_least, rhs }]);
        self.below(node, bound, sides.to_vec())
    }

    /// The nodes below one, each with some rows more.
    fn below(&mut self, node: &Node, bound: i128, ways: Vec<Vec<Row>>) -> Vec<Node> {
        let grown = |more: Vec<Row>| {
            let rows = more.into_iter().fold(node.rows.clone(), |rows, row| with(&rows, row));
            self.number += 1;
            Node { bound, number: self.number, rows }
        };
        ways.into_iter().map(grown).collect()
    }
}
