//! Which boards are alike for cutting, and which another beats.

use std::collections::BTreeMap;

use super::BoardProblem;
use super::grid::Grid;
use super::model::{Kind, Layout, Mode};

/// Boards of one price with the same rooms are one kind; limited ones are used up first.
pub(super) fn alike(
    problem: &BoardProblem,
    boards: &[(Vec<Mode>, usize)],
    layouts: &[Layout],
) -> (Vec<Kind>, Vec<Mode>) {
    let mut alike: BTreeMap<(i64, Vec<Mode>), Vec<usize>> = BTreeMap::new();
    for (modes, index) in boards.iter().filter(|(modes, _)| !modes.is_empty()) {
        alike.entry((problem.stock[*index].cost.get(), modes.clone())).or_default().push(*index);
    }
    let alike: Vec<(i64, Vec<Mode>, Kind)> = alike
        .into_iter()
        .map(|((cost, modes), mut members)| {
            members.sort_by_key(|&i| (problem.stock[i].available.is_none(), i));
            let available =
                members.iter().try_fold(0u32, |sum, &i| problem.stock[i].available.map(|n| sum.saturating_add(n)));
            (cost, modes, Kind { cost, available, members })
        })
        .collect();
    let mut kinds = Vec::new();
    let mut all_modes = Vec::new();
    for (at, (cost, modes, kind)) in alike.iter().enumerate() {
        let beaten = alike.iter().enumerate().any(|(other, (price, better, rival))| {
            other != at && rival.available.is_none() && price <= cost && covers(better, modes, layouts)
        });
        if !beaten {
            all_modes.extend(modes.iter().map(|mode| Mode { kind: kinds.len(), ..*mode }));
            kinds.push(kind.clone());
        }
    }
    (kinds, all_modes)
}

/// True when a board with the modes `better` can do all that one with `modes` can.
fn covers(better: &[Mode], modes: &[Mode], layouts: &[Layout]) -> bool {
    modes.iter().all(|mode| {
        better.iter().any(|rival| {
            let layout = &layouts[mode.layout];
            rival.layout == mode.layout
                && holds_runs(&layout.along, layout.runs(*rival), layout.runs(*mode))
                && layout.across.iter().enumerate().all(|(group, grid)| {
                    match (&layout.classes[rival.class].rooms[group], &layout.classes[mode.class].rooms[group]) {
                        (_, None) => true,
                        (None, Some(_)) => false,
                        (Some(a), Some(b)) => a.leaves >= b.leaves && holds_runs(grid, &a.rooms, &b.rooms),
                    }
                })
        })
    })
}

/// True when the runs `better` hold all that `runs` do: one by one, or all side by side in the longest.
fn holds_runs(grid: &Grid, better: &[usize], runs: &[usize]) -> bool {
    let one_by_one = better.len() >= runs.len() && better.iter().zip(runs).all(|(a, b)| a >= b);
    one_by_one || grid.sum(better[0]) >= runs.iter().map(|&run| grid.sum(run)).sum()
}
