//! What is believed of rejects, worked out again from the job and its history.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;

use crate::job::{Job, SpareRate, Species};
use crate::measure::Length;

/// Strips of one board, as `by_board` is understood.
pub(super) const BOARD: f64 = 20.0;
/// Boards that a `by_board` in the job file stands for.
const SAID: f64 = 10.0;
/// Strips that all that was seen counts for, at the most.
const SEEN: f64 = 1_000.0;

/// How firmly a rate is known, and how alike strips of one board are.
#[derive(Debug, Clone, Copy)]
pub(super) struct Believed {
    pub(super) weight: f64,
    pub(super) alike: f64,
}

/// The rate to be expected of strips for which a job has this rate, and what else is believed of them.
pub(super) fn believed(job: &Job, rate: f64, (wood, width, thickness): (&Species, Length, Length)) -> (f64, Believed) {
    let said = (job.spares.by_board.to_f64().unwrap_or(1.0).max(1.0) - 1.0) / (BOARD - 1.0);
    let mut boards = vec![(said, SAID)];
    let mut seen: BTreeMap<usize, (f64, f64, f64)> = BTreeMap::new();
    for (at, row) in job.history.sections.iter().enumerate().filter(|(_, row)| row.species == *wood) {
        let (cut, count) = (row.cut as f64, row.boards as f64);
        if let (Some(times), true) = (row.by_board.and_then(|times| times.to_f64()), row.boards > 1) {
            let alike = if cut > count { (times - 1.0) / (cut / count - 1.0) } else { 0.0 };
            boards.push((alike, count - 1.0));
        }
        if (row.width, row.thickness) == (width, thickness) {
            let lot = if row.boards == 0 { BOARD } else { cut / count };
            seen.insert(at, (cut, row.rejected.min(row.cut) as f64, lot));
        }
    }
    let all: f64 = boards.iter().map(|board| board.1).sum();
    let alike = (boards.iter().map(|(alike, boards)| alike * boards).sum::<f64>() / all).clamp(0.0, 0.5);
    let Some(known) = job.spares.known_from.map(f64::from) else {
        return (rate, Believed { weight: f64::INFINITY, alike });
    };
    let worth = |lot: f64| 1.0 / (1.0 + (lot - 1.0).max(0.0) * alike);
    let strips = known + seen.values().map(|(cut, _, lot)| cut * worth(*lot)).sum::<f64>();
    let rejects = rate * known + seen.values().map(|(_, bad, lot)| bad * worth(*lot)).sum::<f64>();
    (rejects / strips, Believed { weight: strips.min(known.max(SEEN)), alike })
}

/// The reject rate among ways to count spares.
pub(super) fn rate_of(rate: SpareRate) -> Option<f64> {
    match rate {
        SpareRate::RejectRate(rate) => Some(rate.f64()),
        SpareRate::Percent(_) | SpareRate::None => None,
    }
}
