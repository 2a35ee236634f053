//! From patterns back to boards of the stock and strips of the job.

use super::fill::Boards;
use super::model::{Model, usable};
use super::pricing::Rips;
use super::{Blank, BoardProblem, CutBoard, RipGroup};
use crate::job::Order;

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

fn board(problem: &BoardProblem, model: &Model, stock: usize, (pattern, _): &(super::root::Pattern, u32)) -> CutBoard {
    let order = model.layouts[pattern.mode.layout].order;
    let kind = &problem.stock[stock];
    let along = usable(&problem.rules, order, kind.width, kind.length).0;
    let mut blanks = Vec::new();
    // Long blanks are cut first, while the board is long enough to choose where.
    for (rips, count) in pattern.spans.iter().rev() {
        let blank = |length, times, groups| Blank {
            length,
            milling: model.groups[rips.group].milling,
            planed: model.groups[rips.group].planed,
            leaves: leaves(model, rips),
            rips: groups_of(model, rips, times, groups),
        };
        let span = model.layouts[rips.layout].spans[rips.span].length;
        match order {
            Order::CrosscutFirst => {
                blanks.extend(std::iter::repeat_n(blank(span, 1, None), *count as usize));
            }
            Order::RipFirst => blanks.push(blank(along, *count, Some(span))),
        }
    }
    CutBoard { stock, order, blanks }
}

fn leaves(model: &Model, rips: &Rips) -> u32 {
    model.layouts[rips.layout].classes[rips.class].rooms[rips.group].map_or(1, |room| room.leaves)
}

/// The rips of a blank; `width` is the full-length rip's when the board is ripped first.
fn groups_of(model: &Model, rips: &Rips, times: u32, width: Option<crate::measure::Length>) -> Vec<RipGroup> {
    let mut groups: Vec<RipGroup> = rips
        .rips
        .iter()
        .map(|&(hold, count)| {
            let variant = &model.variants[hold.variant];
            let part = model.parts[variant.part].index;
            match width {
                None => RipGroup { part, rip_width: variant.rip, rips: count, pieces: hold.pieces },
                Some(rip_width) => RipGroup { part, rip_width, rips: times, pieces: count },
            }
        })
        .collect();
    groups.sort_by_key(|group| (group.part, std::cmp::Reverse(group.pieces)));
    groups
}
