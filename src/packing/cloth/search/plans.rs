//! Plans found on the way: dives, guided fills, reworked levels.

use super::Search;
use crate::packing::cloth::branch::Counts;
use crate::packing::cloth::charge;
use crate::packing::cloth::dive::Dive;
use crate::packing::cloth::fill::{Guide, fill};
use crate::packing::cloth::goal::Goal;
use crate::packing::cloth::layout::Layout;
use crate::packing::cloth::master::Relaxed;
use crate::packing::cloth::rework::rework;

/// Fills for every aim.
const AIMED: u32 = 16;
/// Work that reworking may do before all else has done any; its share of the whole is the limit still.
const FIRST_REWORK: u64 = 200_000;
/// Beyond that it may do so many times the work of all else.
const REWORK_SHARE: u64 = 2;

/// Where the reworking of plans has got to.
#[derive(Debug, Default)]
pub(super) struct Reworked {
    /// Value and length of the plan to go on from, and the plan.
    plan: Option<((i128, i128), Layout)>,
    rounds: u32,
    work: u64,
}

impl Search<'_, '_> {
    /// Keeps a plan if it is valid and better.
    pub(super) fn offer(&mut self, mut layout: Layout) {
        if !layout.trim(self.model) {
            return;
        }
        let lengths = layout.lengths(self.model);
        if self.model.bolts.iter().zip(&lengths).any(|(bolt, length)| bolt.cap.is_some_and(|cap| *length > cap)) {
            return;
        }
        let (value, length) = self.worth(&lengths);
        if self.found.best.as_ref().is_none_or(|(v, l, _)| (value, length) < (*v, *l)) {
            self.found.best = Some((value, length, layout));
        }
    }

    /// What lengths of the bolts come to: value, then length in all.
    fn worth(&self, lengths: &[i64]) -> (i128, i128) {
        let value = self.goal.value(self.problem, self.model, lengths);
        (value, lengths.iter().map(|&length| i128::from(length)).sum())
    }

    /// Plans from the root: dives, then fills guided by its duals.
    pub(super) fn root_plans(&mut self, relaxed: &Relaxed) {
        for _ in 0..3 {
            if self.found.bound >= self.value() || self.tell() {
                return;
            }
            self.dive(relaxed);
        }
        self.rework();
        let guide = Guide { worth: relaxed.worth.clone(), rates: self.rates.clone() };
        let most = self.effort.work() + self.limits.work / 8;
        for number in 0..self.limits.tries {
            if self.found.bound >= self.value() || self.effort.work() > most || number % 8 == 0 && self.tell() {
                return;
            }
            let Some(filled) = fill(self.model, &guide, &mut self.random, self.effort) else { return };
            self.offer(filled.layout);
        }
    }

    /// Takes levels out of the best plan and lays their pieces anew, again and again: in step with all
    /// else, so that an easy tree need not wait for it, and up to a share of the whole.
    pub(super) fn rework(&mut self) {
        let share = if self.model.stacked { 3 } else { 6 };
        let others = self.effort.work() - self.reworked.work;
        let most = (self.limits.work / share).min((REWORK_SHARE * others).max(FIRST_REWORK));
        while self.reworked.rounds < self.limits.tries.saturating_mul(4) && self.reworked.work < most {
            let stop = self.reworked.rounds.is_multiple_of(8) && self.tell();
            if stop || self.effort.is_over() || self.found.bound >= self.value() || !self.rework_once() {
                return;
            }
        }
    }

    /// One round, on the plan that the last one left or on a better one found since; false without a plan.
    fn rework_once(&mut self) -> bool {
        let Some((value, length, best)) = &self.found.best else { return false };
        let (mut held, mut layout) = match self.reworked.plan.take() {
            Some((held, layout)) if held <= (*value, *length) => (held, layout),
            _ => ((*value, *length), best.clone()),
        };
        let (weights, before) = (&self.master.costs.weights, self.effort.work());
        let layouts = rework(self.model, weights, &self.rates, &layout, &mut self.random, self.effort);
        self.reworked.work += self.effort.work() - before;
        self.reworked.rounds += 1;
        for mut other in layouts {
            if !other.trim(self.model) {
                continue;
            }
            let worth = self.worth(&other.lengths(self.model));
            self.offer(other.clone());
            // As good is good enough: the next round then starts from another plan.
            if worth <= held {
                (held, layout) = (worth, other);
            }
        }
        self.reworked.plan = Some((held, layout));
        true
    }

    pub(super) fn dive(&mut self, relaxed: &Relaxed) {
        let pool = &self.master.pool;
        let dive = Dive {
            model: self.model,
            weights: &self.master.costs.weights,
            rates: &self.rates,
            columns: pool.lately().map(|number| pool.get(number).clone()).collect(),
            most_work: self.limits.work / 16,
            effort: self.effort,
        };
        let used = relaxed.used.iter().map(|&(number, value)| (pool.get(number).clone(), value)).collect();
        let mut layouts = Vec::new();
        dive.run(used, &mut self.random, &mut |layout| layouts.push(layout));
        layouts.into_iter().for_each(|layout| self.offer(layout));
    }

    /// Plans within what the lengths of a fractional solution come to at the counter: where cloth is
    /// bought by the yard there is room to spare. Every such aim is taken once.
    pub(super) fn aim(&mut self, relaxed: &Relaxed, counts: &Counts) {
        if relaxed.lacks || !matches!(self.goal, Goal::Cost { .. }) {
            return;
        }
        let mut model = self.model.clone();
        let mut cost = 0;
        for (number, (bolt, kind)) in model.bolts.iter_mut().zip(&self.problem.bolts).enumerate() {
            let used = (counts.length(&self.master, number) - 1e-6).ceil() as i64;
            let price = charge::cost(kind, self.model.length(used));
            let most = charge::longest(kind, price).nm() / self.model.unit;
            cost += i128::from(price.get());
            bolt.cap = Some(bolt.cap.map_or(most, |cap| cap.min(most)));
        }
        let caps = model.bolts.iter().map(|bolt| bolt.cap).collect();
        if cost >= self.value() || !self.aimed.insert(caps) {
            return;
        }
        model.refit();
        let guide = Guide { worth: relaxed.worth.clone(), rates: self.rates.clone() };
        let most = self.effort.work() + self.limits.work / 32;
        for _ in 0..AIMED {
            let Some(filled) = fill(&model, &guide, &mut self.random, self.effort) else { return };
            self.offer(filled.layout);
            if self.value() <= cost || self.effort.work() > most {
                return;
            }
        }
        let dive = Dive {
            model: &model,
            weights: &self.master.costs.weights,
            rates: &self.rates,
            columns: Vec::new(),
            most_work: self.limits.work / 32,
            effort: self.effort,
        };
        let mut layouts = Vec::new();
        dive.run(Vec::new(), &mut self.random, &mut |layout| layouts.push(layout));
        layouts.into_iter().for_each(|layout| self.offer(layout));
    }
}
