//! Offcuts: what is left of a board as a board again.

use std::collections::BTreeMap;

use super::{CutPlan, PlannedBoard};
use crate::demand::Part;
use crate::job::{BoardStock, Defect, Job, Order};
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
/// Crosscut first the piece beyond the last kerf is left, with the board's untrimmed end; of a board
/// with defects it may be a piece between two blanks, and the longest that is worth keeping is taken.
/// Rip first the width beyond the last kerf is left, at the board's length. The defects that lie in it
/// stay its own, measured from its own end. What is planed, or narrower than what must be held, is not
/// counted.
#[must_use]
pub fn offcuts(job: &Job, parts: &[Part], plan: &CutPlan, round: usize, at: usize) -> Option<Offcut> {
    let board = plan.boards.get(at)?;
    let number = at + 1;
    let name = if round == 0 { String::new() } else { format!("cut {} ", round + 1) };
    let worth_keeping =
        |stock: &BoardStock| parts.iter().any(|part| part.species == stock.species && yields(job, part, stock));
    let stock = left(job, board).into_iter().map(|piece| BoardStock {
        stock: format!("offcut {name}board {number}, {}", short(&job.name)),
        width: piece.width,
        length: piece.to - piece.from,
        defects: defects_between(&board.stock.defects, piece.from, piece.to),
        on_hand: Some(1),
        price: None,
        unit_cost: Cents::ZERO,
        ..board.stock.clone()
    });
    stock.into_iter().find(worth_keeping).map(|stock| Offcut {
        board: number,
        from: format!("{}, {name}board {number}: {}", job.name, board.stock.stock),
        stock,
    })
}

/// A name that leaves room on a label.
fn short(name: &str) -> String {
    name.chars().take(120).collect()
}

/// A piece left of a board: so wide, between two places along it.
struct Left {
    width: Length,
    from: Length,
    to: Length,
}

/// The pieces left of a board that have a size, longest first.
fn left(job: &Job, board: &PlannedBoard) -> Vec<Left> {
    let rules = &job.shop.cutting;
    let whole = board.stock.length;
    let mut pieces = Vec::new();
    match board.order {
        Order::CrosscutFirst => {
            let mut blanks: Vec<(Length, Length)> =
                board.rips.iter().map(|row| (row.from, row.from + row.blank_length)).collect();
            blanks.sort_unstable();
            blanks.dedup();
            let mut from = Length::ZERO;
            for (begin, end) in blanks {
                pieces.push(Left { width: board.stock.width, from, to: begin - rules.crosscut_kerf });
                from = end + rules.crosscut_kerf;
            }
            pieces.push(Left { width: board.stock.width, from, to: whole });
        }
        Order::RipFirst => {
            let mut rips: BTreeMap<u32, Length> = BTreeMap::new();
            for row in &board.rips {
                rips.insert(row.blank, (row.rip_width + rules.rip_kerf) * i64::from(row.rips));
            }
            let sawn: Length = rips.into_values().sum();
            pieces.push(Left { width: board.stock.width - rules.edge_trim_rip - sawn, from: Length::ZERO, to: whole });
        }
    }
    pieces.retain(|piece| piece.width.is_positive() && piece.to > piece.from);
    pieces.sort_by_key(|piece| std::cmp::Reverse(piece.to - piece.from));
    pieces
}

/// The defects of a board that lie between two places along it, measured from the first.
fn defects_between(defects: &[Defect], from: Length, to: Length) -> Vec<Defect> {
    let clipped = defects.iter().map(|defect| Defect { from: defect.from.max(from), to: defect.to.min(to) });
    let inside = clipped.filter(|defect| defect.to > defect.from);
    inside.map(|defect| Defect { from: defect.from - from, to: defect.to - from }).collect()
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
        defects: board.defects.clone(),
        available: Some(1),
        cost: Cents::ZERO,
    };
    let problem = BoardProblem { parts: vec![strip], stock: vec![kind], rules: job.shop.cutting };
    pack(&problem, &Budget { nodes: 1, tries: 1 }, &mut |_| Flow::Continue).is_ok()
}
