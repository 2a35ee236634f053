//! Which of several counts or columns to branch on where the boards are given.

use std::collections::BTreeMap;

use super::Tree;
use crate::packing::boards::master::Branch;

/// What was probed so often is known.
const KNOWN: u32 = 4;
/// Parts of a whole smaller than this say nothing.
const LEAST_PART: f64 = 1e-3;
/// Share of the room that every branch counts for, so that one idle side does not make all products
/// nought.
const IDLE: f64 = 1e-4;

/// What branches brought so far, by the fraction they cut off: downwards and upwards.
#[derive(Debug, Default)]
pub(super) struct Gains(BTreeMap<Branch, [Gain; 2]>);

#[derive(Debug, Clone, Copy, Default)]
struct Gain {
    sum: f64,
    times: u32,
}

impl Gains {
    /// What branches at these fractions may bring; `None` while too little is known.
    fn expected(&self, on: Branch, parts: [f64; 2]) -> Option<[f64; 2]> {
        let known = self.0.get(&on).filter(|sides| sides.iter().all(|side| side.times >= KNOWN))?;
        Some([0, 1].map(|side| known[side].sum / f64::from(known[side].times) * parts[side]))
    }

    fn learn(&mut self, on: Branch, parts: [f64; 2], gains: [f64; 2]) {
        let known = self.0.entry(on).or_default();
        for ((known, part), gain) in known.iter_mut().zip(parts).zip(gains) {
            known.sum += gain / part.max(LEAST_PART);
            known.times += 1;
        }
    }
}

impl Tree<'_, '_, '_> {
    /// The place of the candidate whose two branches raise the cost of the linear program most: probed by a few
    /// pivots, until so much is known of one that its gains can be told from earlier ones
    /// (reliability branching, Achterberg, Koch and Martin 2005). Costs from `limit` on are all alike.
    pub(super) fn probed(&mut self, candidates: &[(Branch, f64)], limit: i64) -> usize {
        let now = self.master.simplex.cost();
        let room = (limit as f64 - now).max(1.0);
        let mut best = (0, 0.0);
        for (at, &(on, value)) in candidates.iter().enumerate() {
            let floor = value.floor();
            let parts = [value - floor, floor + 1.0 - value];
            let gains = self.gains.expected(on, parts).unwrap_or_else(|| {
                let (low, high) = match on {
                    Branch::Count(count) => self.master.bounds_of(count),
                    Branch::Column(_) => (0, u32::MAX),
                };
                let ranges = [(low, floor as u32), (floor as u32 + 1, high)];
                let gains =
                    ranges.map(|range| (self.master.probe(on, range, self.manner.pivots) - now).clamp(0.0, room));
                self.gains.learn(on, parts, gains);
                gains
            });
            let score: f64 = gains.iter().map(|gain| (gain / room).min(1.0) + IDLE).product();
            if score > best.1 * 1.0001 {
                best = (at, score);
            }
        }
        if best.1 > 1.1 * IDLE * IDLE { best.0 } else { 0 }
    }
}
