//! Lumber beyond whole boards at their price: what random widths take, and the rack at its worth.

use rust_decimal::{Decimal, RoundingStrategy};

use super::Claim;
use super::bill::boards_used;
use super::board_prices::unit_cost;
use super::wide::nm;
use crate::job::{BoardPlace, BoardStock, BoardUnit, RackWorth};
use crate::measure::{StockThickness, Units};
use crate::packing::boards::WidthRange;

const INCH: i128 = 25_400_000;

/// Name, amount and price of each line that random widths ask for: by the board foot, in a metric job by the cubic metre.
pub(super) fn allowances(claim: &Claim<'_>) -> Vec<(String, Decimal, Decimal)> {
    let mut lines = Vec::new();
    for (at, boards) in boards_used(claim) {
        let row = &claim.job.boards[at];
        if row.on_hand.is_some() || !row.random {
            continue;
        }
        let (unit, places) = measure(claim);
        let amount = |width: i128| volume(thickness(claim, row), width, nm(row.length), (unit, 6));
        let planned = amount(nm(row.width) * boards as i128);
        let range = claim.boards.ranges.iter().find(|range| range.stock == at).filter(|_| row.widths.is_some());
        let extra = match range {
            Some(range) => amount(mean_width(range)) - planned,
            None => planned * claim.job.shop.yard_allowance.decimal(),
        };
        let extra = extra.max(Decimal::ZERO).round_dp_with_strategy(places, RoundingStrategy::AwayFromZero);
        if !extra.is_zero() {
            lines.push((format!("random widths, {}", row.stock), extra, price(claim, row)));
        }
    }
    lines
}

/// Name, amount and price of the free rack boards that the plan cuts, where the shop prices them.
pub(super) fn rack(claim: &Claim<'_>) -> Vec<(String, Decimal, Decimal)> {
    let mut lines = Vec::new();
    if claim.job.shop.pricing.rack != RackWorth::Replacement {
        return lines;
    }
    for (at, boards) in boards_used(claim) {
        let row = &claim.job.boards[at];
        if row.place != BoardPlace::Rack || row.price.is_some() {
            continue;
        }
        let sold = claim.job.boards.iter().filter(|other| {
            other.on_hand.is_none() && other.species == row.species && other.thickness == row.thickness
        });
        if let Some(price) = sold.map(|row| price(claim, row)).min() {
            let (width, length) = (nm(row.width) * boards as i128, nm(row.length));
            lines.push((row.stock.clone(), volume(thickness(claim, row), width, length, measure(claim)), price));
        }
    }
    lines
}

/// Width of all boards together, on the average over the widths of the range.
fn mean_width(range: &WidthRange) -> i128 {
    let (mut span, mut area) = (0, 0);
    for level in &range.levels {
        let (from, to) = (nm(level.from), nm(level.to));
        span += to - from;
        area += level.boards.len() as i128 * (to * to - from * from);
    }
    if span == 0 { 0 } else { area / (2 * span) }
}

/// The thickness that a row is paid by: under 1 in as 1 in where board feet count.
pub(super) fn thickness(claim: &Claim<'_>, row: &BoardStock) -> i128 {
    let sold = match row.thickness {
        StockThickness::Rough(quarters) | StockThickness::Surfaced { charged: quarters, .. } => nm(quarters.length()),
        StockThickness::Sawn(length) | StockThickness::Plain(length) => nm(length),
    };
    if metric(claim) { sold } else { sold.max(INCH) }
}

/// A board foot and a cubic metre, in cubic nanometres.
const FOOT: i128 = 144 * INCH * INCH * INCH;
const CUBIC_METRE: i128 = 1_000_000_000_000_000_000_000_000_000;

fn metric(claim: &Claim<'_>) -> bool {
    claim.job.units == Units::Millimetre
}

/// The unit of a line and its places.
pub(super) fn measure(claim: &Claim<'_>) -> (i128, u32) {
    if metric(claim) { (CUBIC_METRE, 4) } else { (FOOT, 2) }
}

/// A volume in a unit to so many places, halves up.
pub(super) fn volume(thickness: i128, width: i128, length: i128, (unit, places): (i128, u32)) -> Decimal {
    let volume = thickness.saturating_mul(width).saturating_mul(length);
    let (whole, rest, scale) = (volume / unit, volume % unit, 10i128.pow(places));
    let part = (rest * scale * 2 + unit) / (unit * 2);
    Decimal::try_from_i128_with_scale(whole.saturating_mul(scale).saturating_add(part), places).unwrap_or(Decimal::MAX)
}

/// What a unit of a row costs.
pub(super) fn price(claim: &Claim<'_>, row: &BoardStock) -> Decimal {
    match (metric(claim), row.price) {
        (false, Some((price, BoardUnit::BoardFoot))) | (true, Some((price, BoardUnit::CubicMetre))) => {
            return price.decimal();
        }
        _ => {}
    }
    let unit = measure(claim).0;
    let cents = unit_cost(row).and_then(|cents| Decimal::try_from_i128_with_scale(cents, 2).ok());
    let amount = volume(thickness(claim, row), nm(row.width), nm(row.length), (unit, 6));
    let price = cents.and_then(|cents| cents.checked_div(amount)).unwrap_or_default();
    price.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero)
}
