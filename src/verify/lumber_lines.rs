//! Lumber beyond whole boards at their price: what random widths take, and the rack at its worth.

use rust_decimal::{Decimal, RoundingStrategy};

use super::Claim;
use super::bill::boards_used;
use super::board_prices::unit_cost;
use super::wide::nm;
use crate::job::{BoardPlace, BoardStock, BoardUnit, RackWorth};
use crate::measure::StockThickness;
use crate::packing::boards::WidthRange;

const INCH: i128 = 25_400_000;

/// Name, board feet and price of a foot of each line that random widths ask for.
pub(super) fn allowances(claim: &Claim<'_>) -> Vec<(String, Decimal, Decimal)> {
    let mut lines = Vec::new();
    for (at, boards) in boards_used(claim) {
        let row = &claim.job.boards[at];
        if row.on_hand.is_some() || !row.random {
            continue;
        }
        let planned = millionths(charged(row), nm(row.width) * boards as i128, nm(row.length));
        let range = claim.boards.ranges.iter().find(|range| range.stock == at).filter(|_| row.widths.is_some());
        let extra = match range {
            Some(range) => millionths(charged(row), mean_width(range), nm(row.length)) - planned,
            None => planned * claim.job.shop.yard_allowance.decimal(),
        };
        let extra = extra.max(Decimal::ZERO).round_dp_with_strategy(2, RoundingStrategy::AwayFromZero);
        if !extra.is_zero() {
            lines.push((format!("random widths, {}", row.stock), extra, foot(row)));
        }
    }
    lines
}

/// Name, board feet and price of a foot of the free rack boards that the plan cuts, where the shop prices them.
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
        if let Some(price) = sold.map(foot).min() {
            let feet = feet(charged(row), nm(row.width) * boards as i128, nm(row.length), 2);
            lines.push((row.stock.clone(), feet, price));
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

pub(super) fn charged(row: &BoardStock) -> i128 {
    match row.thickness {
        StockThickness::Rough(quarters) | StockThickness::Surfaced { charged: quarters, .. } => {
            nm(quarters.length()).max(INCH)
        }
        StockThickness::Sawn(length) | StockThickness::Plain(length) => nm(length).max(INCH),
    }
}

/// Board feet to so many places, halves up.
fn feet(thickness: i128, width: i128, length: i128, places: u32) -> Decimal {
    let foot = 144 * INCH * INCH * INCH;
    let volume = thickness.saturating_mul(width).saturating_mul(length);
    let (whole, rest, scale) = (volume / foot, volume % foot, 10i128.pow(places));
    let part = (rest * scale * 2 + foot) / (foot * 2);
    Decimal::try_from_i128_with_scale(whole.saturating_mul(scale).saturating_add(part), places).unwrap_or(Decimal::MAX)
}

fn millionths(thickness: i128, width: i128, length: i128) -> Decimal {
    feet(thickness, width, length, 6)
}

/// What a board foot of a row costs.
pub(super) fn foot(row: &BoardStock) -> Decimal {
    if let Some((price, BoardUnit::BoardFoot)) = row.price {
        return price.decimal();
    }
    let cents = unit_cost(row).and_then(|cents| Decimal::try_from_i128_with_scale(cents, 2).ok());
    let feet = millionths(charged(row), nm(row.width), nm(row.length));
    let price = cents.and_then(|cents| cents.checked_div(feet)).unwrap_or_default();
    price.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero)
}
