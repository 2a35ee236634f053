//! The rows of what a board is worth and what one more strip costs.

use super::cell::Cell;
use super::sheets::Sheet;
use crate::demand::Demand;
use crate::job::Job;
use crate::shopfloor::{BoardWorth, WorthTable};

/// One board size a row (`board` is for sale, `rack` on hand, `size` neither: a width for sale at a
/// length for sale), then one part a row (`strip`). `worth` is what one such board for nothing saves, or
/// what one more strip costs; empty for a board that the job cannot do without. `estimate` is the same
/// read off the duals, `replanned` the same by a quick new plan, in which boards come whole.
#[must_use]
pub fn worth(job: &Job, demand: &Demand, table: &WorthTable) -> Sheet {
    let money = |amount| Cell::Money(amount);
    let boards = table.boards.iter().map(|board| {
        let stock = board.stock.map(|at| &job.boards[at]);
        vec![
            Cell::text(what(job, board)),
            stock.map_or(Cell::Empty, |stock| Cell::text(&stock.stock)),
            Cell::text(board.species.word()),
            Cell::Thickness(board.thickness),
            Cell::Length(board.width),
            Cell::Length(board.length),
            stock.map_or(Cell::Empty, |stock| money(stock.unit_cost)),
            board.worth.exact.map_or(Cell::Empty, money),
            money(board.worth.estimate),
            board.replanned.map_or(Cell::Empty, money),
        ]
    });
    let strips = demand.parts.iter().zip(&table.strips).zip(&table.replanned).map(|((part, worth), replanned)| {
        vec![
            Cell::text("strip"),
            Cell::text(&part.name),
            Cell::text(part.species.word()),
            Cell::text(part.thickness.show_nearest(job.units)),
            Cell::Length(part.width),
            Cell::Length(part.length),
            Cell::Empty,
            worth.exact.map_or(Cell::Empty, money),
            money(worth.estimate),
            replanned.map_or(Cell::Empty, money),
        ]
    });
    const COLUMNS: [&str; 10] =
        ["what", "item", "species", "thickness", "width", "length", "price", "worth", "estimate", "replanned"];
    Sheet::new("worth", &COLUMNS, boards.chain(strips).collect())
}

fn what(job: &Job, board: &BoardWorth) -> &'static str {
    match board.stock.map(|at| job.boards[at].on_hand) {
        None => "size",
        Some(None) => "board",
        Some(Some(_)) => "rack",
    }
}
