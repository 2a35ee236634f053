//! What boards cost, the stock on hand and the bound said to be proven.

use super::Violation;
use super::boards::Cut;
use super::wide::{length, nm};
use crate::job::{BoardStock, BoardUnit};
use crate::measure::{Cents, StockThickness};

pub(super) fn check(claim: Cut<'_>, found: &mut Vec<Violation>) {
    check_stock(claim, found);
    check_price(claim, found);
}

fn check_stock(claim: Cut<'_>, found: &mut Vec<Violation>) {
    for (i, stock) in claim.job.boards.iter().enumerate() {
        let used = claim.boards.boards.iter().filter(|board| board.stock == i).count();
        if let Some(on_hand) = stock.on_hand.filter(|on_hand| used > *on_hand as usize) {
            found.push(Violation::StockOverdrawn { stock: stock.stock.clone(), used, on_hand });
        }
    }
}

fn check_price(claim: Cut<'_>, found: &mut Vec<Violation>) {
    for stock in &claim.job.boards {
        let expected = unit_cost(stock);
        if expected != Some(i128::from(stock.unit_cost.get())) {
            let expected = cents(expected.unwrap_or(i128::MAX));
            found.push(Violation::UnitCost { stock: stock.stock.clone(), claimed: stock.unit_cost, expected });
        }
    }
    let plan = claim.boards;
    let used = plan.boards.iter().filter_map(|board| claim.job.boards.get(board.stock));
    let expected: i128 = used.filter_map(unit_cost).fold(0, i128::saturating_add);
    if expected != i128::from(plan.cost.get()) {
        found.push(Violation::BoardCost { claimed: plan.cost, expected: cents(expected) });
    }
    if plan.bound > plan.cost {
        found.push(Violation::BoardBound { bound: plan.bound, cost: plan.cost });
    }
    if plan.optimal != (plan.bound == plan.cost) {
        let (bound, cost) = (plan.bound, plan.cost);
        found.push(Violation::BoardOptimal { claimed: plan.optimal, bound, cost });
    }
}

fn cents(cents: i128) -> Cents {
    Cents::new(length(cents).nm())
}

/// Price of one board in cents, halves up: price times measure as one fraction, divided once.
/// `None` where the figures run out of range.
pub(super) fn unit_cost(stock: &BoardStock) -> Option<i128> {
    let Some((price, per)) = stock.price else { return Some(0) };
    // Prices have at most four places: ten thousandths of a dollar are hundredths of a cent.
    let mut figure = price.decimal();
    figure.rescale(4);
    let price = figure.mantissa();
    let inch = 25_400_000i128;
    let thickness = match stock.thickness {
        StockThickness::Rough(quarters) | StockThickness::Surfaced { charged: quarters, .. } => nm(quarters.length()),
        StockThickness::Sawn(length) | StockThickness::Plain(length) => nm(length),
    };
    let volume = |thickness: i128| thickness.checked_mul(nm(stock.width))?.checked_mul(nm(stock.length));
    let (measure, unit) = match per {
        BoardUnit::Each => (1, 1),
        BoardUnit::LinealFoot => (nm(stock.length), 12 * inch),
        BoardUnit::BoardFoot => (volume(thickness.max(inch))?, 144 * inch * inch * inch),
        // The rule that under 1 in is paid as 1 in belongs to board feet.
        BoardUnit::CubicMetre => (volume(thickness)?, 1_000_000_000i128.pow(3)),
    };
    // Whole units and the rest apart, so that the product stays within 128 bits.
    let whole = price.checked_mul(measure / unit)?;
    let rest = price.checked_mul(measure % unit)?;
    let hundredths = whole.checked_add(rest / unit)?;
    // What is left over is under a hundredth of a cent and cannot make a half by itself.
    Some(hundredths.checked_add(50)? / 100)
}
