//! Where in a board its blanks lie, or where in a rip its pieces: which goes into which clear run.
//!
//! The search counts what is cut from a board with defects as a whole; here it is told apart, run by
//! run.

use super::model::Model;
use super::onedim::{Fit, Lengths, Rooms, fit};
use super::pricing::Rips;
use super::root::Pattern;

/// Looks at a length before a pattern counts as one that cannot be laid. Patterns come from fillings of
/// each run, so an answer is there, mostly at once.
const STEPS: u64 = 4_000_000;

/// Lays so many lengths of each size into runs: how many of each go into each run, `[run][size]`.
fn lay(runs: &[i64], lengths: &[(i64, u32)]) -> Option<Vec<Vec<u32>>> {
    if let [_] = runs {
        return Some(vec![lengths.iter().map(|&(_, count)| count).collect()]);
    }
    let rooms: Vec<Rooms> = runs.iter().map(|&run| Rooms { sizes: vec![vec![run]], count: 1 }).collect();
    let wanted: Vec<Lengths> = lengths.iter().map(|&(size, count)| Lengths { group: 0, size, count }).collect();
    let Fit::Yes(filled) = fit(&rooms, &wanted, (STEPS, &mut { STEPS }), &|| false) else { return None };
    let mut laid = vec![vec![0; lengths.len()]; runs.len()];
    for (run, taken) in filled {
        taken.into_iter().for_each(|(at, n)| laid[run][at] += n);
    }
    Some(laid)
}

/// How many of each filled span of a pattern lie in each run of its board, longest run first.
pub(super) fn spans(model: &Model, pattern: &Pattern) -> Option<Vec<Vec<u32>>> {
    let layout = &model.layouts[pattern.mode.layout];
    let runs: Vec<i64> = layout.runs(pattern.mode).iter().map(|&run| layout.along.sum(run)).collect();
    let sizes: Vec<(i64, u32)> =
        pattern.spans.iter().map(|(rips, count)| (layout.spans[rips.span].size, *count)).collect();
    lay(&runs, &sizes)
}

/// How many of each choice in a span lie in each of its runs, longest run first.
pub(super) fn rips(model: &Model, rips: &Rips) -> Option<Vec<Vec<u32>>> {
    let layout = &model.layouts[rips.layout];
    let rooms = &layout.classes[rips.class].rooms[rips.group].as_ref()?.rooms;
    let runs: Vec<i64> = rooms.iter().map(|&room| layout.across[rips.group].sum(room)).collect();
    let sizes: Vec<(i64, u32)> = rips.rips.iter().map(|&(hold, count)| (layout.sizes[hold.variant], count)).collect();
    lay(&runs, &sizes)
}

/// True when all that is cut from a board can be laid between its defects.
pub(super) fn can(model: &Model, pattern: &Pattern) -> bool {
    spans(model, pattern).is_some() && pattern.spans.iter().all(|(filled, _)| rips(model, filled).is_some())
}
