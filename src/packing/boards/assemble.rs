//! From patterns back to boards of the stock and strips of the job.

use super::fill::Boards;
use super::model::{Hold, Model};
use super::place;
use super::pricing::Rips;
use super::root::Pattern;
use super::{Blank, BoardProblem, CutBoard, RipGroup};
use crate::cutting::{clear_runs, usable_length};
use crate::job::Order;
use crate::measure::Length;

/// The boards of one species in the order they are cut: by stock, equal boards together.
pub(super) fn boards(problem: &BoardProblem, model: &Model, plan: &Boards) -> Vec<CutBoard> {
    let mut by_kind: Vec<Vec<usize>> = vec![Vec::new(); model.kinds.len()];
    let mut sorted: Vec<usize> = (0..plan.len()).collect();
    sorted.sort_by(|&a, &b| plan[a].0.cmp(&plan[b].0));
    for at in sorted {
        let (pattern, count) = &plan[at];
        by_kind[pattern.mode.kind].extend(std::iter::repeat_n(at, *count as usize));
    }
    let mut cut = Vec::new();
    for (kind, patterns) in model.kinds.iter().zip(by_kind) {
        let mut patterns = patterns.into_iter();
        for &stock in &kind.members {
            let most = problem.stock[stock].available.map_or(usize::MAX, |n| n as usize);
            cut.extend(patterns.by_ref().take(most).map(|at| board(problem, model, stock, &plan[at])));
        }
    }
    cut.sort_by_key(|board| board.stock);
    cut
}

/// One board; each row begins, for now, where its clear run does ([`super::tidy::trim`] lays them out).
fn board(problem: &BoardProblem, model: &Model, stock: usize, (pattern, _): &(Pattern, u32)) -> CutBoard {
    let order = model.layouts[pattern.mode.layout].order;
    let kind = &problem.stock[stock];
    let mut runs = clear_runs(&problem.rules, kind.length, &kind.defects);
    // As the model has them: the longest first; the shortest may be of no use to it.
    runs.sort_by_key(|(from, to)| std::cmp::Reverse(*to - *from));
    let starts: Vec<Length> = runs.into_iter().map(|(from, _)| from).collect();
    let mut blanks = Vec::new();
    let laid = place::spans(model, pattern).expect("a plan that cannot be laid out is never taken");
    // Long blanks are cut first, while the board is long enough to choose where.
    for (at, (rips, count)) in pattern.spans.iter().enumerate().rev() {
        let blank = |length, rows| Blank {
            length,
            milling: model.groups[rips.group].milling,
            planed: model.groups[rips.group].planed,
            leaves: leaves(model, rips),
            rips: rows,
        };
        let span = model.layouts[rips.layout].spans[rips.span].length;
        match order {
            Order::CrosscutFirst => {
                for (run, counts) in laid.iter().enumerate() {
                    let cut = blank(span, rows_of_blank(model, rips, starts[run]));
                    blanks.extend(std::iter::repeat_n(cut, counts[at] as usize));
                }
            }
            Order::RipFirst => {
                let along = usable_length(&problem.rules, kind.length);
                blanks.push(blank(along, rows_of_rip(model, rips, (*count, span), &starts)));
            }
        }
    }
    if order == Order::CrosscutFirst {
        blanks.sort_by_key(Blank::from);
    }
    CutBoard { stock, order, blanks }
}

fn leaves(model: &Model, rips: &Rips) -> u32 {
    model.layouts[rips.layout].classes[rips.class].rooms[rips.group].as_ref().map_or(1, |room| room.leaves)
}

/// The rips of a blank that is cut from the run beginning at `from`.
fn rows_of_blank(model: &Model, rips: &Rips, from: Length) -> Vec<RipGroup> {
    let row = |&(hold, count): &(Hold, u32)| {
        let variant = &model.variants[hold.variant];
        let part = model.parts[variant.part].index;
        RipGroup { part, rip_width: variant.rip, rips: count, pieces: hold.pieces, from }
    };
    let mut rows: Vec<RipGroup> = rips.rips.iter().map(row).collect();
    rows.sort_by_key(|row| (row.part, std::cmp::Reverse(row.pieces)));
    rows
}

/// The pieces of so many equal full-length rips of one width, run by run.
fn rows_of_rip(model: &Model, rips: &Rips, (times, rip_width): (u32, Length), starts: &[Length]) -> Vec<RipGroup> {
    let laid = place::rips(model, rips).expect("a plan that cannot be laid out is never taken");
    let mut rows = Vec::new();
    for (&from, counts) in starts.iter().zip(laid) {
        for (&(hold, _), pieces) in rips.rips.iter().zip(counts).filter(|(_, pieces)| *pieces > 0) {
            let part = model.parts[model.variants[hold.variant].part].index;
            rows.push(RipGroup { part, rip_width, rips: times, pieces, from });
        }
    }
    rows.sort_by_key(|row| (row.part, row.from));
    rows
}
