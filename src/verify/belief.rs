//! What is believed of rejects, worked out again from the job and its history.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;

use crate::demand::Part;
use crate::job::{Job, LengthHistory, SpareRate};

/// Strips of one board, as `by_board` is understood.
pub(super) const BOARD: f64 = 20.0;
/// Boards that a `by_board` in the job file stands for.
const SAID: f64 = 10.0;
/// Strips that all that was seen counts for, at the most.
const SEEN: f64 = 1_000.0;

/// Strips that those of other lengths count for, at the most.
const OTHERS: f64 = 200.0;

/// How firmly a rate is known, and how alike strips of one board are.
#[derive(Debug, Clone, Copy)]
pub(super) struct Believed {
    pub(super) weight: f64,
    pub(super) alike: f64,
}

/// Strips of one row of the history: all of them, and those of other lengths among them.
#[derive(Debug, Default)]
struct Seen {
    cut: f64,
    bad: f64,
    other_cut: f64,
    other_bad: f64,
    /// Strips of one board.
    lot: f64,
}

/// The rate to be expected of strips for which a job has this rate, and what else is believed of them.
pub(super) fn believed(job: &Job, rate: f64, part: &Part) -> (f64, Believed) {
    let (wood, width, thickness) = (&part.species, part.width, part.thickness);
    let said = (job.spares.by_board.to_f64().unwrap_or(1.0).max(1.0) - 1.0) / (BOARD - 1.0);
    let mut boards = vec![(said, SAID)];
    let mut seen: BTreeMap<usize, Seen> = BTreeMap::new();
    for (at, row) in job.history.sections.iter().enumerate().filter(|(_, row)| row.species == *wood) {
        let (cut, count) = (row.cut as f64, row.boards as f64);
        if let (Some(times), true) = (row.by_board.and_then(|times| times.to_f64()), row.boards > 1) {
            let alike = if cut > count { (times - 1.0) / (cut / count - 1.0) } else { 0.0 };
            boards.push((alike, count - 1.0));
        }
        if (row.width, row.thickness) == (width, thickness) {
            let lot = if row.boards == 0 { BOARD } else { cut / count };
            let mut strips = Seen { cut, bad: row.rejected.min(row.cut) as f64, lot, ..Seen::default() };
            for of in &row.lengths {
                let (long, short) = (of.length.max(part.length), of.length.min(part.length));
                // Beyond a quarter of the longer one.
                if long * 3 > short * 4 {
                    strips.other_cut += of.cut as f64;
                    strips.other_bad += of.rejected.min(of.cut) as f64;
                }
            }
            if !row.lengths.is_empty() {
                // What no row of a length tells of is of any length.
                let told = |of: fn(&LengthHistory) -> u64| row.lengths.iter().map(of).sum::<u64>() as f64;
                strips.other_cut += (cut - told(|of| of.cut)).max(0.0);
                strips.other_bad += (strips.bad - told(|of| of.rejected.min(of.cut))).max(0.0);
            }
            seen.insert(at, strips);
        }
    }
    let all: f64 = boards.iter().map(|board| board.1).sum();
    let alike = (boards.iter().map(|(alike, boards)| alike * boards).sum::<f64>() / all).clamp(0.0, 0.5);
    let Some(known) = job.spares.known_from.map(f64::from) else {
        return (rate, Believed { weight: f64::INFINITY, alike });
    };
    let worth = |lot: f64| 1.0 / (1.0 + (lot - 1.0).max(0.0) * alike);
    let sum = |of: fn(&Seen) -> f64| seen.values().map(|seen| of(seen) * worth(seen.lot)).sum::<f64>();
    let others = sum(|seen| seen.other_cut);
    let share = if others > OTHERS { OTHERS / others } else { 1.0 };
    let strips = known + sum(|seen| seen.cut - seen.other_cut) + others * share;
    let rejects = rate * known + sum(|seen| seen.bad - seen.other_bad) + sum(|seen| seen.other_bad) * share;
    (rejects / strips, Believed { weight: strips.min(known.max(SEEN)), alike })
}

/// The reject rate among ways to count spares.
pub(super) fn rate_of(rate: SpareRate) -> Option<f64> {
    match rate {
        SpareRate::RejectRate(rate) => Some(rate.f64()),
        SpareRate::Percent(_) | SpareRate::None => None,
    }
}
