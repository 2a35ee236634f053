//! What a job that is under way can still be cut from.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{Round, offcuts};
use crate::demand::Part;
use crate::job::{BoardStock, BoardUnit, Job};
use crate::measure::{Cents, Price};

/// What extra strips can be cut from: offcuts of boards that are done, boards left, and the yard.
pub(super) fn stock_left(job: &Job, parts: &[Part], rounds: &[Round]) -> Vec<BoardStock> {
    let mut used: BTreeMap<&str, u32> = BTreeMap::new();
    for board in rounds.iter().flat_map(|round| &round.plan.boards) {
        *used.entry(board.stock.stock.as_str()).or_default() += 1;
    }
    let known = |name: &str| job.boards.iter().any(|board| board.stock == name);
    let mut stock = Vec::new();
    for round in rounds {
        let kept = round.done().flat_map(|at| offcuts(job, parts, &round.plan, at));
        let free =
            kept.map(|kept| kept.stock).filter(|kept| !used.contains_key(kept.stock.as_str()) && !known(&kept.stock));
        stock.extend(free.map(|kept| handled(kept, 1)));
    }
    for board in &job.boards {
        let taken = used.get(board.stock.as_str()).copied().unwrap_or(0);
        match board.on_hand {
            None => stock.push(board.clone()),
            Some(count) => {
                let left = BoardStock { on_hand: Some(count.saturating_sub(taken)), ..board.clone() };
                stock.push(if left.unit_cost == Cents::ZERO { handled(left, 2) } else { left });
            }
        }
    }
    stock
}

/// Owned wood at so many cents a board foot, rounded up: the smallest pieces go first.
fn handled(board: BoardStock, cents: i64) -> BoardStock {
    let feet = board.volume().board_feet(2).ceil().max(Decimal::ONE);
    let price = Price::new(feet * Decimal::new(cents, 2)).unwrap_or(Price::ZERO);
    BoardStock {
        price: Some((price, BoardUnit::Each)),
        unit_cost: Cents::nearest(price.decimal()).unwrap_or(Cents::ZERO),
        ..board
    }
}
