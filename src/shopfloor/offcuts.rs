//! Offcuts: what is left of a board as a board again.

use super::CutPlan;
use crate::cutting::{StripSize, left_over, worth_keeping};
use crate::demand::Part;
use crate::job::{BoardPlace, BoardStock, Job};
use crate::measure::Cents;

/// One piece left of a board.
#[derive(Debug, Clone, PartialEq)]
pub struct Offcut {
    /// Board number in the plan.
    pub board: usize,
    /// To be pencilled on it: the plan's mark cut short, the board's number, and a letter for each piece of a board
    /// after the first.
    pub mark: String,
    /// What it is now; planed where it was left beside the rips of a blank.
    pub stock: BoardStock,
    /// Where it came from, for whoever finds it.
    pub from: String,
}

/// What is left of board `at` of a plan once it is cut and is worth keeping for the sizes that the plan cuts
/// ([`worth_keeping`] has the rule), larger pieces first. The defects that lie in a piece stay its own, measured from its own end.
#[must_use]
pub fn offcuts(job: &Job, parts: &[Part], plan: &CutPlan, at: usize) -> Vec<Offcut> {
    let Some(board) = plan.boards.get(at) else { return Vec::new() };
    let planned = parts.iter().zip(&plan.planned).filter(|(_, planned)| **planned > 0).map(|(part, _)| part);
    let strips: Vec<StripSize> = planned.filter(|part| part.species == board.stock.species).map(Part::size).collect();
    let rules = &job.shop.cutting;
    let left = left_over(rules, &(&board.stock).into(), &board.cuts());
    let kept = left.into_iter().filter(|left| worth_keeping(rules, &strips, &left.board()));
    let named = kept.enumerate().map(|(which, left)| {
        let mark = offcut_mark(&plan.mark, at + 1, which);
        let stock = BoardStock {
            stock: format!("offcut {mark}, {}", short(&job.name)),
            thickness: left.thickness,
            width: left.width,
            length: left.length,
            defects: left.defects,
            place: BoardPlace::Rack,
            on_hand: Some(left.pieces),
            price: None,
            unit_cost: Cents::ZERO,
            random: false,
            widths: None,
            held: Vec::new(),
            ..board.stock.clone()
        };
        let from = format!("{}, board {}: {}", job.name, at + 1, board.stock.stock);
        Offcut { board: at + 1, mark, stock, from }
    });
    named.collect()
}

/// What is pencilled on a piece: `3f2a-4`, the next of the same board `3f2a-4b`.
#[must_use]
pub fn offcut_mark(plan: &str, board: usize, which: usize) -> String {
    let plan: String = plan.chars().take(4).collect();
    let letter = match which {
        0 => String::new(),
        1..26 => char::from(b'a' + which as u8).to_string(),
        _ => format!("-{}", which + 1),
    };
    format!("{plan}-{board}{letter}")
}

/// A name that leaves room on a label.
fn short(name: &str) -> String {
    name.chars().take(120).collect()
}
