//! What the plan's boards yield, counted for the reports.

use crate::packing::boards::{Blank, BoardPlan, RipGroup};

/// Strips one row of rips yields.
pub(crate) const fn yielded(blank: &Blank, rips: &RipGroup) -> u64 {
    rips.rips as u64 * rips.pieces as u64 * blank.leaves as u64
}

/// Strips cut of every part, by part index.
pub(crate) fn cut_per_part(plan: &BoardPlan, parts: usize) -> Vec<u64> {
    let mut cut = vec![0; parts];
    for blank in plan.boards.iter().flat_map(|board| &board.blanks) {
        for rips in &blank.rips {
            cut[rips.part] += yielded(blank, rips);
        }
    }
    cut
}
