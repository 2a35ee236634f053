//! Boards that are crosscut first and have no defects: blanks may lie anywhere along them.

use crate::cutting::{usable_length, usable_width};
use crate::job::Order;
use crate::measure::Length;
use crate::packing::boards::{Blank, BoardProblem, CutBoard};

/// True for a board whose blanks may be moved. Where there are defects each blank has its place in a
/// clear run, and stays there.
pub(super) fn is_free(problem: &BoardProblem, board: &CutBoard) -> bool {
    board.order == Order::CrosscutFirst && problem.stock[board.stock].defects.is_empty()
}

/// Says where each blank of a free board begins: one after the other, a kerf apart.
pub(super) fn lay_out(problem: &BoardProblem, board: &mut CutBoard) {
    if is_free(problem, board) {
        let mut from = problem.rules.end_trim;
        for blank in &mut board.blanks {
            blank.rips.iter_mut().for_each(|rips| rips.from = from);
            from += blank.length + problem.rules.crosscut_kerf;
        }
    }
}

/// Room left along a free board for one more blank with its kerf.
pub(super) fn left_along(problem: &BoardProblem, board: &CutBoard) -> Length {
    let kerf = problem.rules.crosscut_kerf;
    let cut: Length = board.blanks.iter().map(|blank| blank.length + kerf).sum();
    usable_length(&problem.rules, problem.stock[board.stock].length) + kerf - cut
}

/// Room across each blank of a board.
pub(super) fn across(problem: &BoardProblem, board: &CutBoard) -> Length {
    usable_width(&problem.rules, board.order, problem.stock[board.stock].width)
}

/// What the rips of a blank take across with the kerfs between them.
pub(super) fn sawn(problem: &BoardProblem, blank: &Blank) -> Length {
    let kerf = problem.rules.rip_kerf;
    blank.rips.iter().map(|rips| (rips.rip_width + kerf) * i64::from(rips.rips)).sum::<Length>() - kerf
}
