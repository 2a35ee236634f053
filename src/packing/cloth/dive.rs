//! Dives: round the linear program a little, solve what remains anew, and so on down to a plan.

use super::effort::Effort;
use super::fill::{Guide, fill};
use super::layout::{Layout, Level};
use super::master::Master;
use super::model::Model;
use super::rows::Column;
use super::stacks::{pieces, settled};
use crate::packing::noise::Noise;

/// A value this close below a whole number is taken for it.
const NEARLY: f64 = 1e-5;

/// What a dive works with.
pub(super) struct Dive<'a, 'e> {
    /// The whole problem.
    pub model: &'a Model,
    /// Weights of the bolts in the objective.
    pub weights: &'a [i64],
    /// Rates that guide the fills.
    pub rates: &'a [i64],
    /// Columns to start from.
    pub columns: Vec<Column>,
    /// Work after which it stops.
    pub most_work: u64,
    /// Where work is counted.
    pub effort: &'a Effort<'e>,
}

impl Dive<'_, '_> {
    /// Dives from the columns in use at a node, or from nothing. Every layout that covers all needs goes to `found`.
    pub(super) fn run(mut self, mut used: Vec<(Column, f64)>, random: &mut Noise, found: &mut dyn FnMut(Layout)) {
        let (effort, end) = (self.effort, self.effort.work() + self.most_work);
        effort.within(2 * self.most_work, || self.dive(&mut used, random, found, end));
    }

    fn dive(&mut self, used: &mut Vec<(Column, f64)>, random: &mut Noise, found: &mut dyn FnMut(Layout), end: u64) {
        let (mut left, mut laid) = (self.model.clone(), Layout::default());
        while self.effort.work() < end && !self.effort.is_over() {
            // Without a start the program of the whole problem is solved first.
            if !used.is_empty() {
                if !fix(&mut left, used, random, &mut laid) {
                    break;
                }
                left.refit();
                if left.kinds.iter().all(|kind| kind.need == 0) {
                    found(laid);
                    return;
                }
            }
            let mut master = Master::new(&left, self.weights.to_vec(), self.effort);
            let whole = master.costs.whole.clone();
            for column in self.columns.drain(..).filter(|column| proper(&left, &whole, column)) {
                master.pool.add(column);
            }
            let relaxed = master.relax(&[], &mut |_| false);
            let guide = Guide { worth: relaxed.worth.clone(), rates: self.rates.to_vec() };
            let Some(rest) = fill(&left, &guide, random, self.effort) else { return };
            if rest.missing.iter().all(|&missing| missing == 0) {
                let mut all = laid.clone();
                all.levels.extend(rest.layout.levels);
                found(all);
            }
            if relaxed.used.is_empty() {
                break;
            }
            *used = relaxed.used.iter().map(|&(number, value)| (master.pool.get(number).clone(), value)).collect();
            self.columns = master.pool.lately().map(|number| master.pool.get(number).clone()).collect();
        }
    }
}

/// True for a column that makes nothing beyond what is left and still fits.
fn proper(left: &Model, whole: &[bool], column: &Column) -> bool {
    column.whole == whole[column.bolt]
        && left.bolts[column.bolt].cap.is_none_or(|cap| column.length(left) <= cap)
        && column.covers(left).iter().all(|&(kind, count)| count <= left.kinds[kind].need)
}

/// Fixes the whole parts of the columns in use, or, when there are none, one copy of a column with
/// a large value. False when nothing could be fixed.
fn fix(left: &mut Model, used: &[(Column, f64)], random: &mut Noise, laid: &mut Layout) -> bool {
    let mut fixed = false;
    for (column, value) in used {
        let times = (value + NEARLY) as i64;
        fixed |= times > 0 && cut(left, column, times, laid);
    }
    if fixed {
        return true;
    }
    // A whole remnant first, then the largest value; shaken a little, so that dives differ.
    let shaken = |(column, value): &(Column, f64)| {
        let luck = random.below(1000) as f64 / 3000.0;
        value + luck + if column.whole { 1.0 } else { 0.0 }
    };
    let mut order: Vec<(f64, usize)> = used.iter().map(shaken).zip(0..).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    order.iter().any(|&(_, at)| cut(left, &used[at].0, 1, laid))
}

/// Cuts a column up to `times` times as far as pieces are wanted; false when none is.
fn cut(left: &mut Model, column: &Column, times: i64, laid: &mut Layout) -> bool {
    let mut cut_any = false;
    for (_, content, repeat) in &column.levels {
        let mut level = Level { bolt: column.bolt, content: content.clone() };
        let mut open = times * repeat;
        while open > 0 {
            let mut free: Vec<i64> = left.kinds.iter().map(|kind| kind.need).collect();
            level.content = settled(left, &level.content, &mut free);
            let height = level.height(left);
            if level.content.is_empty() || left.bolts[column.bolt].cap.is_some_and(|cap| cap < height) {
                break;
            }
            // As often as the level stays full; then once more with what is left of it.
            let mut held = vec![0; left.kinds.len()];
            pieces(&level.content).for_each(|(p, copies)| held[left.placements[p].kind] += copies);
            let by_need = left.kinds.iter().zip(&held).filter(|(_, held)| **held > 0).map(|(kind, n)| kind.need / n);
            let by_cap = left.bolts[column.bolt].cap.map(|cap| cap / height);
            let full = by_need.chain(by_cap).min().unwrap_or(1).clamp(1, open);
            for (kind, held) in left.kinds.iter_mut().zip(&held) {
                kind.need -= held * full;
            }
            if let Some(cap) = &mut left.bolts[column.bolt].cap {
                *cap -= height * full;
            }
            laid.levels.push((level.clone(), full));
            open -= full;
            cut_any = true;
        }
    }
    if column.whole && cut_any {
        left.bolts[column.bolt].cap = Some(0);
    }
    cut_any
}
