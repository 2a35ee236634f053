//! Boards and blanks put in an order in which the fence is moved less often.

use super::figures::{saw_widths, settings};
use super::room;
use crate::measure::Length;
use crate::packing::boards::{Blank, BoardProblem, CutBoard};

/// Boards among which the next one is chosen.
const LOOKED_AT: usize = 12;

/// Sorts the boards of each stock, equal ones together, and the blanks of equal length on each: next comes
/// what the fence stands at, else what has to move it least often.
pub(super) fn sort(problem: &BoardProblem, boards: &mut Vec<CutBoard>) {
    let mut at = None;
    let mut sorted: Vec<CutBoard> = Vec::with_capacity(boards.len());
    for of_stock in boards.chunk_by(|a, b| (a.stock, a.order) == (b.stock, b.order)) {
        let mut alike: Vec<(CutBoard, usize)> = Vec::new();
        for board in of_stock {
            match alike.iter_mut().find(|(known, _)| known == board) {
                Some((_, count)) => *count += 1,
                None => alike.push((board.clone(), 1)),
            }
        }
        while !alike.is_empty() {
            let cost = |board: &CutBoard| {
                let board = in_order(problem, board, at);
                settings(at, board.blanks.iter().flat_map(saw_widths)) as f64 / board.blanks.len().max(1) as f64
            };
            let next = (0..alike.len().min(LOOKED_AT)).min_by(|&a, &b| cost(&alike[a].0).total_cmp(&cost(&alike[b].0)));
            let (board, count) = alike.remove(next.expect("there is one left"));
            let board = in_order(problem, &board, at);
            at = board.blanks.iter().flat_map(saw_widths).last().or(at);
            sorted.extend(std::iter::repeat_n(board, count));
        }
    }
    if changes(&sorted) <= changes(boards) {
        *boards = sorted;
    }
}

/// Sorts the blanks of equal length on each board, boards staying in their order.
pub(super) fn sort_blanks(problem: &BoardProblem, boards: &mut Vec<CutBoard>) {
    let mut at = None;
    let mut sorted = Vec::with_capacity(boards.len());
    for board in boards.iter() {
        let board = in_order(problem, board, at);
        at = board.blanks.iter().flat_map(saw_widths).last().or(at);
        sorted.push(board);
    }
    if changes(&sorted) <= changes(boards) {
        *boards = sorted;
    }
}

fn changes(boards: &[CutBoard]) -> usize {
    settings(None, boards.iter().flat_map(|board| &board.blanks).flat_map(saw_widths))
}

/// The board with its blanks of equal length in the order that moves the fence least, when it stands at `at`.
fn in_order(problem: &BoardProblem, board: &CutBoard, mut at: Option<Length>) -> CutBoard {
    if !room::is_free(problem, board) {
        return board.clone();
    }
    let mut blanks = Vec::with_capacity(board.blanks.len());
    for equal in board.blanks.chunk_by(|a, b| a.length == b.length) {
        let mut left: Vec<&Blank> = equal.iter().collect();
        while !left.is_empty() {
            let moves = |blank: &Blank| settings(at, saw_widths(blank));
            let next = (0..left.len()).min_by_key(|&next| moves(left[next])).expect("there is one left");
            let blank = left.remove(next);
            at = saw_widths(blank).last().or(at);
            blanks.push(blank.clone());
        }
    }
    let mut board = CutBoard { blanks, ..board.clone() };
    room::lay_out(problem, &mut board);
    board
}
