//! The order of the searches: least cost, the bound on length, then least length at that cost.

use super::area::Area;
use super::charge;
use super::effort::{Effort, News};
use super::fill::{Guide, fill};
use super::goal::{Goal, Sums, priced, total_cost};
use super::layout::Layout;
use super::model::Model;
use super::search::{Found, Known, Limits, Search};
use super::shelves::shelves;
use super::{ClothPlan, ClothProblem, ClothShortage};
use crate::measure::Cents;
use crate::packing::noise::Noise;
use crate::packing::{Budget, Flow, Listener, Progress};

/// Work allowed for each node of the budget, in steps of about a nanosecond.
const WORK_A_NODE: u64 = 2_000_000;
/// Nodes are small in some problems: so many times as many as the budget says may be taken within the work.
const NODES: u32 = 4;
/// With several bolts the length at the least cost comes second: it gets one part in so many of the work.
const LENGTH_SHARE: u32 = 16;
/// Fills before anything else, so that there is a plan to return at once.
const FIRST_FILLS: u32 = 12;
/// Work of these fills at the most.
const FIRST_WORK: u64 = 100_000_000;
/// Sizes beyond which there is no search: its linear program would take more room and time than there is.
const MOST_KINDS: usize = 600;
/// Rates of bolts are multiplied by this, so that a free bolt can be given a lower one.
const RATE_SCALE: i64 = 16;

/// More than any cloth costs.
const MOST_COST: Cents = Cents::new(i64::MAX / 4);

/// A packing under way.
pub(super) struct Phases<'a> {
    problem: &'a ClothProblem,
    /// The kind of levels that is searched now.
    model: &'a Model,
    /// The same with stacks, where any two pieces can ever stand on one another.
    stacked: Option<&'a Model>,
    budget: &'a Budget,
    /// The best plan: cost, length in units, levels.
    best: Option<(Cents, i128, Layout)>,
    /// No plan of any kind costs less.
    cost_bound: Cents,
    /// No plan of any kind uses less, in units.
    length_bound: i128,
    nodes: u32,
    stopped: bool,
}

impl<'a> Phases<'a> {
    /// Nothing done yet.
    pub(super) fn new(
        problem: &'a ClothProblem,
        model: &'a Model,
        stacked: Option<&'a Model>,
        budget: &'a Budget,
    ) -> Self {
        let (cost_bound, length_bound) = (Cents::ZERO, 0);
        Self { problem, model, stacked, budget, best: None, cost_bound, length_bound, nodes: 0, stopped: false }
    }

    /// All searches, first in plain levels, then with stacks; then the plan.
    pub(super) fn run(mut self, listener: &mut Listener<'_>) -> Result<ClothPlan, ClothShortage> {
        let mut missing = self.first_plans(listener);
        let most = self.best.as_ref().map_or(MOST_COST, |best| best.0);
        let area = Area::new(self.problem, self.model, most);
        (self.length_bound, self.cost_bound) = (area.length(), area.cost());
        // Where stacks come after it, plain levels need only be good.
        let share = if self.stacked.is_some() { self.budget.nodes / 4 } else { self.budget.nodes };
        self.search_kind(share, listener);
        if let Some(model) = self.stacked
            && !self.stopped
        {
            self.model = model;
            let least = self.first_plans(listener);
            if least.iter().sum::<i64>() < missing.iter().sum() {
                missing = least;
            }
            self.search_kind(self.budget.nodes, listener);
        }
        let Some((cost, length, layout)) = self.best else { return Err(self.shortage(&missing)) };
        let bolts = layout.bolt_uses(self.model, self.problem);
        let length_bound = self.length_bound.min(length);
        Ok(ClothPlan {
            length: bolts.iter().map(|bolt| bolt.used).sum(),
            bolts,
            cost,
            cost_bound: self.cost_bound.min(cost),
            length_bound: self.model.length(i64::try_from(length_bound).unwrap_or(i64::MAX)),
            optimal: cost <= self.cost_bound,
            cut_short: self.stopped,
        })
    }

    /// The searches for one kind of levels.
    fn search_kind(&mut self, nodes: u32, listener: &mut Listener<'_>) {
        if self.stopped || self.model.kinds.len() > MOST_KINDS {
            return;
        }
        let priced = priced(self.problem);
        if self.model.bolts.len() == 1 || priced.is_empty() {
            self.least_length(nodes, listener);
            self.cost_bound = self.cost_bound.max(self.cost_at_bound());
        } else {
            self.least_cost(nodes, listener);
            // The bound on length is wanted once, for the kind of levels that is searched last.
            if self.is_last_kind() {
                self.least_length(nodes / LENGTH_SHARE, listener);
            }
            self.least_length_at_cost(nodes / LENGTH_SHARE, &priced, listener);
        }
    }

    /// With one bolt the cost follows from the length; several that nothing is paid for cost nothing.
    fn cost_at_bound(&self) -> Cents {
        if self.model.bolts.len() != 1 {
            return Cents::ZERO;
        }
        let units = i64::try_from(self.length_bound).unwrap_or(i64::MAX);
        charge::cost(&self.problem.bolts[0], self.model.length(units))
    }

    /// Shelves, then quick fills by area. Returns the pieces of each kind that found no place in the best.
    fn first_plans(&mut self, listener: &mut Listener<'_>) -> Vec<i64> {
        let goal = Goal::Length(Sums::default());
        let rates = self.rates(&goal);
        let (layout, mut least) = shelves(self.model, &rates);
        self.offer(layout);
        let guide = Guide::by_area(self.model, &rates);
        let mut random = Noise::new(0);
        let (best, model, nodes) = (self.best.as_ref().map(|best| best.1), self.model, self.nodes);
        let bound = self.length_bound;
        let ear = move |_| listener(Progress { standing: goal.standing(model, best, bound), nodes }) == Flow::Stop;
        let effort = Effort::new(FIRST_WORK, ear);
        for _ in 0..FIRST_FILLS {
            let Some(filled) = fill(self.model, &guide, &mut random, &effort) else { break };
            self.offer(filled.layout);
            if filled.missing.iter().sum::<i64>() < least.iter().sum() {
                least = filled.missing;
            }
        }
        self.stopped |= effort.stopped();
        least
    }

    /// Keeps a plan if it is cheaper, or as cheap and shorter.
    fn offer(&mut self, mut layout: Layout) {
        if !layout.trim(self.model) {
            return;
        }
        let lengths = layout.lengths(self.model);
        let cost = total_cost(self.problem, self.model, &lengths);
        let length = lengths.iter().map(|&length| i128::from(length)).sum();
        if self.best.as_ref().is_none_or(|(c, l, _)| (cost, length) < (*c, *l)) {
            self.best = Some((cost, length, layout));
        }
    }

    fn rates(&self, goal: &Goal) -> Vec<i64> {
        goal.weights(self.problem).iter().map(|weight| weight * RATE_SCALE).collect()
    }

    fn limits(&self, nodes: u32) -> Limits {
        Limits { nodes: NODES.saturating_mul(nodes), tries: self.budget.tries, work: u64::from(nodes) * WORK_A_NODE }
    }

    /// One search on a model that may have tighter caps. What it proves holds for all plans only where
    /// `for_all` says so.
    fn search(&mut self, model: &Model, goal: &Goal, nodes: u32, for_all: bool, listener: &mut Listener<'_>) -> Found {
        let (before, known) = (self.nodes, self.known_bound(goal));
        let ear = |news: News| {
            let bound = if for_all { news.bound.max(known) } else { known };
            let standing = goal.standing(model, news.value, bound);
            listener(Progress { standing, nodes: before + news.nodes }) == Flow::Stop
        };
        let limits = self.limits(nodes);
        let effort = Effort::new(limits.work, ear);
        let known = Known { rates: self.rates(goal), layout: self.best.as_ref().map(|best| &best.2), bound: known };
        let found = Search::new(self.problem, model, goal, limits, known, &effort).run();
        self.nodes += found.nodes;
        self.stopped |= found.stopped;
        found
    }

    /// What is proven for all plans so far, in the goal's unit.
    fn known_bound(&self, goal: &Goal) -> i128 {
        match goal {
            Goal::Length(_) => self.length_bound,
            Goal::Cost { .. } => i128::from(self.cost_bound.get()),
        }
    }

    /// True while the levels searched are all that a plan may be made of: a bound for plain levels is
    /// none for stacks.
    fn is_last_kind(&self) -> bool {
        self.model.stacked || self.stacked.is_none()
    }

    fn keep(&mut self, found: Found) {
        if let Some((_, _, layout)) = found.best {
            self.offer(layout);
        }
    }

    fn least_cost(&mut self, nodes: u32, listener: &mut Listener<'_>) {
        let most = self.best.as_ref().map_or(MOST_COST, |best| best.0);
        let goal = Goal::cost(self.problem, self.model, most);
        let for_all = self.is_last_kind();
        let found = self.search(self.model, &goal, nodes, for_all, listener);
        if for_all {
            self.cost_bound = self.cost_bound.max(Cents::new(i64::try_from(found.bound).unwrap_or(i64::MAX)));
        }
        self.keep(found);
    }

    fn least_length(&mut self, nodes: u32, listener: &mut Listener<'_>) {
        if self.stopped {
            return;
        }
        let most = self.best.as_ref().map_or(i64::MAX, |best| i64::try_from(best.1).unwrap_or(i64::MAX));
        let goal = Goal::length(self.model, most);
        let for_all = self.is_last_kind();
        let found = self.search(self.model, &goal, nodes, for_all, listener);
        if for_all {
            self.length_bound = self.length_bound.max(found.bound);
        }
        self.keep(found);
    }

    /// Least length with no bolt dearer than in the best plan.
    fn least_length_at_cost(&mut self, nodes: u32, priced: &[usize], listener: &mut Listener<'_>) {
        let Some((_, length, layout)) = &self.best else { return };
        if self.stopped || *length <= self.length_bound {
            return;
        }
        let (lengths, most) = (layout.lengths(self.model), i64::try_from(*length).unwrap_or(i64::MAX));
        let mut model = self.model.clone();
        for &bolt in priced {
            let kind = &self.problem.bolts[bolt];
            let cost = charge::cost(kind, self.model.length(lengths[bolt]));
            let units = charge::longest(kind, cost).nm() / self.model.unit;
            let cap = &mut model.bolts[bolt].cap;
            *cap = Some(cap.map_or(units, |cap| cap.min(units)));
        }
        model.refit();
        let goal = Goal::length(&model, most);
        let found = self.search(&model, &goal, nodes, false, listener);
        self.keep(found);
    }

    /// Missing pieces by row of the problem; the last rows of a kind go without.
    fn shortage(&self, missing: &[i64]) -> ClothShortage {
        let mut short = Vec::new();
        for (kind, &count) in self.model.kinds.iter().zip(missing) {
            let mut left = count;
            for &row in kind.members.iter().rev() {
                let here = left.min(i64::from(self.problem.pieces[row].count));
                left -= here;
                if here > 0 {
                    short.push((row, here as u32));
                }
            }
        }
        short.sort_unstable();
        ClothShortage::RunsShort(short)
    }
}

#[cfg(all(test, feature = "deep"))]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::{BoltKind, PieceDemand};
    use super::*;
    use crate::measure::{Length, Price, Ratio};

    /// Least length of (along, across, count) in 1/64 in on one roll, without stacks.
    fn in_plain_levels(width: Length, sizes: &[(i64, i64, u32)], turn: bool) -> ClothPlan {
        let piece = |&(along, across, count): &(i64, i64, u32)| PieceDemand {
            along: Length::from_64ths(along),
            across: Length::from_64ths(across),
            turn,
            count,
        };
        let roll = BoltKind {
            usable_width: width,
            usable_length: None,
            price: Price::parse("12.00").unwrap(),
            unit: Length::from_inches(36),
            increment: Length::from_64ths(288),
            shrink_along: Ratio::ZERO,
            on_hand: None,
        };
        let problem = ClothProblem { pieces: sizes.iter().map(piece).collect(), bolts: vec![roll] };
        let model = Model::new(&problem).unwrap();
        let plan = Phases::new(&problem, &model, None, &Budget::default()).run(&mut |_| Flow::Continue).unwrap();
        assert_eq!(plan.length_bound, plan.length);
        plan
    }

    fn rows(text: &str) -> Vec<(i64, i64, u32)> {
        let figures = |line: &str| line.split(',').map(|cell| cell.trim().parse().unwrap()).collect::<Vec<i64>>();
        text.lines().skip(1).map(figures).map(|row| (row[0], row[1], row[2] as u32)).collect()
    }

    /// Practice cases, 58 in: 230.25 in and, with turning, 558.875 in, proven by full enumeration of the
    /// level patterns.
    #[test]
    fn practice_cases_reach_their_optima_over_plain_levels() {
        let width = Length::from_inches(58);
        let first = rows(include_str!("../../../tests/instances/cloth1.csv"));
        assert_eq!(in_plain_levels(width, &first, false).length, Length::from_64ths(14_736));
        let fourth = rows(include_str!("../../../tests/instances/cloth4.csv"));
        assert_eq!(in_plain_levels(width, &fourth, true).length, Length::from_64ths(35_768));
    }

    /// Hopper and Turton (2000), class C1, problem 1: 25 in plain levels, computed with HiGHS over all
    /// level patterns (no published figure seen).
    #[test]
    fn hopper_and_turton_c1p1_takes_25_in_plain_levels() {
        let sizes = [
            (12, 2),
            (12, 7),
            (6, 8),
            (6, 3),
            (5, 3),
            (5, 5),
            (12, 3),
            (7, 3),
            (7, 5),
            (6, 2),
            (2, 3),
            (2, 4),
            (4, 3),
            (4, 4),
            (2, 9),
            (2, 11),
        ];
        let sizes = sizes.map(|(along, across)| (along * 64, across * 64, 1));
        assert_eq!(in_plain_levels(Length::from_inches(20), &sizes, false).length, Length::from_inches(25));
    }
}
