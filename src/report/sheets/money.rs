//! The shopping list and the cost lines.

use rust_decimal::Decimal;

use super::Sheet;
use crate::measure::Length;
use crate::plan::Plan;
use crate::report::cell::Cell;

/// `buy.csv`: one line of the shopping list a row.
#[must_use]
pub fn buy(plan: &Plan) -> Sheet {
    let size = |length: Option<Length>| length.map_or(Cell::Empty, Cell::Length);
    let rows = plan.bill.buy.iter().map(|line| {
        vec![
            Cell::text(line.what),
            Cell::text(&line.item),
            size(line.at_least_width),
            size(line.at_least_length),
            Cell::Decimal(line.quantity),
            Cell::text(&line.unit),
            Cell::Price(line.price),
            Cell::Money(line.cost),
            Cell::text(&line.say),
            if line.what == "lumber" { Cell::Decimal(line.allowance) } else { Cell::Empty },
        ]
    });
    const COLUMNS: [&str; 10] =
        ["what", "item", "at_least_width", "at_least_length", "quantity", "unit", "price", "cost", "say", "allowance"];
    Sheet::new("buy", &COLUMNS, rows.collect())
}

/// Money has two places at least.
fn two_places(price: Decimal) -> Decimal {
    let mut price = price.normalize();
    price.rescale(price.scale().max(2));
    price
}

/// `costs.csv`: one cost line a row; they sum to the total.
#[must_use]
pub fn costs(plan: &Plan) -> Sheet {
    let rows = plan.bill.costs.iter().map(|line| {
        vec![
            Cell::text(&line.group),
            Cell::text(&line.item),
            Cell::Decimal(line.quantity),
            Cell::text(&line.unit),
            Cell::Decimal(two_places(line.unit_price)),
            Cell::Money(line.cost),
        ]
    });
    Sheet::new("costs", &["group", "item", "quantity", "unit", "unit_price", "cost"], rows.collect())
}
