//! Offcuts: what is left of a board as a board again.

use super::{CutPlan, PlannedBoard};
use crate::demand::Part;
use crate::job::{BoardStock, Job, Order};
use crate::measure::{Cents, Length};
use crate::packing::boards::{BoardKind, BoardProblem, StripDemand, pack};
use crate::packing::{Budget, Flow};

/// One piece left of a board, whole in width and rough in thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct Offcut {
    /// Board number in the plan.
    pub board: usize,
    /// What it is now.
    pub stock: BoardStock,
    /// Where it came from, for whoever finds it.
    pub from: String,
}

/// What is left of board `at` of a plan once it is cut, where it is worth keeping: at least one strip
/// of some part of the job comes out of it under the shop's rules. `round` numbers the cut of the job.
///
/// Crosscut first the piece beyond the last kerf is left, with the board's untrimmed end; rip first
/// the width beyond the last kerf, at the board's length. What is planed, or narrower than what must be
/// held, is not counted.
#[must_use]
pub fn offcuts(job: &Job, parts: &[Part], plan: &CutPlan, round: usize, at: usize) -> Option<Offcut> {
    let board = plan.boards.get(at)?;
    let (width, length) = left(job, board);
    if !width.is_positive() || !length.is_positive() {
        return None;
    }
    let number = at + 1;
    let name = if round == 0 { String::new() } else { format!("cut {} ", round + 1) };
    let stock = BoardStock {
        stock: format!("offcut {name}board {number}, {}", short(&job.name)),
        width,
        length,
        on_hand: Some(1),
        price: None,
        unit_cost: Cents::ZERO,
        ..board.stock.clone()
    };
    let worth_keeping = parts.iter().any(|part| part.species == stock.species && yields(job, part, &stock));
    worth_keeping.then(|| Offcut {
        board: number,
        from: format!("{}, {name}board {number}: {}", job.name, board.stock.stock),
        stock,
    })
}

/// A name that leaves room on a label.
fn short(name: &str) -> String {
    name.chars().take(120).collect()
}

fn left(job: &Job, board: &PlannedBoard) -> (Length, Length) {
    let rules = &job.shop.cutting;
    let mut blanks: Vec<(u32, Length, i64, Length)> = Vec::new();
    for row in &board.rips {
        if blanks.last().is_none_or(|last| last.0 != row.blank) {
            blanks.push((row.blank, row.blank_length, i64::from(row.rips), row.rip_width));
        }
    }
    match board.order {
        Order::CrosscutFirst => {
            let sawn: Length = blanks.iter().map(|blank| blank.1 + rules.crosscut_kerf).sum();
            (board.stock.width, board.stock.length - rules.end_trim - sawn)
        }
        Order::RipFirst => {
            let sawn: Length = blanks.iter().map(|blank| (blank.3 + rules.rip_kerf) * blank.2).sum();
            (board.stock.width - rules.edge_trim_rip - sawn, board.stock.length)
        }
    }
}

/// One strip of the part comes out of the board.
fn yields(job: &Job, part: &Part, board: &BoardStock) -> bool {
    let strip = StripDemand {
        label: 0,
        length: part.length,
        width: part.width,
        thickness: part.thickness,
        millings: part.millings,
        count: 1,
    };
    let kind = BoardKind {
        label: 0,
        thickness: board.thickness,
        width: board.width,
        length: board.length,
        available: Some(1),
        cost: Cents::ZERO,
    };
    let problem = BoardProblem { parts: vec![strip], stock: vec![kind], rules: job.shop.cutting };
    pack(&problem, &Budget { nodes: 1, tries: 1 }, &mut |_| Flow::Continue).is_ok()
}
