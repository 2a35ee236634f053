//! What a board of each size is worth to a job, and what one more strip of each part costs.

use std::collections::BTreeSet;

use crate::demand::Demand;
use crate::job::{BoardStock, Job, Species};
use crate::measure::{Cents, Length, StockThickness};
use crate::packing::Listener;
use crate::packing::boards::{Asked, BoardKind, BoardShortage, Worth, worths};
use crate::plan::board_problem;

/// A table over the sizes of boards, and one over the parts.
#[derive(Debug, Clone)]
pub struct WorthTable {
    /// What the boards of the job cost by the linear relaxation: no plan costs less.
    pub cost: Cents,
    /// Boards by wood, thickness, width and length: every width for sale by every length, then the rack.
    pub boards: Vec<BoardWorth>,
    /// What one more strip of each part costs, parts in the demand's order.
    pub strips: Vec<Worth>,
    /// False when the figures are not quite those of the linear relaxation.
    pub settled: bool,
    /// True when the listener stopped it: what it did not come to has no exact figure.
    pub cut_short: bool,
}

/// What one board of a size is worth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardWorth {
    /// Its wood.
    pub species: Species,
    /// Its thickness.
    pub thickness: StockThickness,
    /// Its width.
    pub width: Length,
    /// Its length.
    pub length: Length,
    /// Row of the boards file with this size; `None` for a size that no row has.
    pub stock: Option<usize>,
    /// Cost without it less cost with it.
    pub worth: Worth,
}

/// Sizes for sale of one wood and thickness beyond which only the listed ones are asked about.
const MOST_SIZES: usize = 100;

/// Answers for every size of the woods that the job uses.
///
/// # Errors
/// [`BoardShortage`] when the boards do not do for the job.
pub fn worth_table(job: &Job, demand: &Demand, listener: &mut Listener<'_>) -> Result<WorthTable, BoardShortage> {
    let problem = board_problem(job, demand);
    let used = |board: &BoardStock| demand.parts.iter().any(|part| part.species == board.species);
    let mut woods: Vec<(&Species, StockThickness)> = Vec::new();
    for board in job.boards.iter().filter(|board| used(board)) {
        if !woods.contains(&(&board.species, board.thickness)) {
            woods.push((&board.species, board.thickness));
        }
    }
    let mut boards: Vec<BoardWorth> = Vec::new();
    let mut asked: Vec<Asked> = Vec::new();
    for (species, thickness) in woods {
        let of_wood = |at: &usize| (&job.boards[*at].species, job.boards[*at].thickness) == (species, thickness);
        let rows: Vec<usize> = (0..job.boards.len()).filter(of_wood).collect();
        let label = problem.stock[rows[0]].label;
        let nothing = Worth { exact: Some(Cents::ZERO), estimate: Cents::ZERO };
        let mut add = |(width, length), stock, ask| {
            boards.push(BoardWorth { species: species.clone(), thickness, width, length, stock, worth: nothing });
            asked.push(ask);
        };
        for (size, stock) in sizes_for_sale(job, &rows) {
            let (width, length) = size;
            let (available, cost) = (Some(1), Cents::ZERO);
            let kind = BoardKind { label, thickness, width, length, defects: Vec::new(), available, cost };
            add(size, stock, Asked::More(kind));
        }
        let on_the_rack = |at: &&usize| job.boards[**at].on_hand.is_some_and(|count| count > 0);
        for &at in rows.iter().filter(on_the_rack) {
            add((job.boards[at].width, job.boards[at].length), Some(at), Asked::Held(at));
        }
    }
    let found = worths(&problem, &asked, listener)?;
    boards.iter_mut().zip(&found.boards).for_each(|(board, worth)| board.worth = *worth);
    Ok(WorthTable {
        cost: found.cost,
        boards,
        strips: found.strips,
        settled: found.settled,
        cut_short: found.cut_short,
    })
}

/// Every width by every length that is for sale (only the listed pairs when those are too many), each
/// with the first row of that size.
fn sizes_for_sale(job: &Job, rows: &[usize]) -> Vec<((Length, Length), Option<usize>)> {
    let sold: Vec<usize> = rows.iter().copied().filter(|at| job.boards[*at].on_hand.is_none()).collect();
    let size = |at: &usize| (job.boards[*at].width, job.boards[*at].length);
    let widths: BTreeSet<Length> = sold.iter().map(|at| size(at).0).collect();
    let lengths: BTreeSet<Length> = sold.iter().map(|at| size(at).1).collect();
    let sizes: BTreeSet<(Length, Length)> = if widths.len() * lengths.len() <= MOST_SIZES {
        widths.iter().flat_map(|&width| lengths.iter().map(move |&length| (width, length))).collect()
    } else {
        sold.iter().map(size).collect()
    };
    sizes.into_iter().map(|known| (known, sold.iter().copied().find(|at| size(at) == known))).collect()
}
