//! Sheets and solid panels on the bill: what is cut, and the lumber that panels are glued up from.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, RoundingStrategy};

use super::Claim;
use super::lumber_lines::{measure, price, thickness as sold_by, volume};
use super::wide::nm;
use crate::job::{BoardStock, SheetStock};
use crate::measure::{Length, StockThickness};

const INCH: i128 = 25_400_000;

/// Rows of the sheets file that are cut, with their count.
pub(super) fn sheets<'a>(claim: &Claim<'a>) -> Vec<(&'a SheetStock, u64)> {
    let mut rows = Vec::new();
    for (at, row) in claim.job.sheets.iter().enumerate() {
        let used = claim.sheets.boards.iter().filter(|sheet| sheet.stock == at).count() as u64;
        if used > 0 {
            rows.push((row, used));
        }
    }
    rows
}

/// Price of one sheet, to the cent, halves away from zero.
pub(super) fn sheet_price(row: &SheetStock) -> Decimal {
    row.price.map_or(Decimal::ZERO, |price| {
        price.decimal().round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero)
    })
}

/// Item, amount and price of a unit of the lumber of each wood and thickness of panels that some row yields.
pub(super) fn lumber(claim: &Claim<'_>) -> Vec<(String, Decimal, Decimal)> {
    let units = claim.job.units;
    let mut areas: BTreeMap<(&str, Length), i128> = BTreeMap::new();
    for panel in &claim.case.panels {
        let Some(wood) = &panel.material.solid else { continue };
        let edge = nm(panel.edged.thickness);
        let length = nm(panel.length) - if panel.edged.ends { 2 * edge } else { 0 };
        let width = nm(panel.width) - if panel.edged.front { edge } else { 0 };
        *areas.entry((wood.name(), panel.thickness)).or_default() += length * width * i128::from(panel.count);
    }
    let mut lines = Vec::new();
    for ((wood, thickness), area) in areas {
        let rows = claim.job.boards.iter().filter(|row| {
            row.on_hand.is_none() && row.species.name() == wood && thick_enough(claim, row, nm(thickness))
        });
        let Some(row) =
            rows.min_by_key(|row| price(claim, row) * Decimal::from_i128_with_scale(sold_by(claim, row), 0))
        else {
            continue;
        };
        let (unit, places) = measure(claim);
        let cut = volume(sold_by(claim, row), area, 1, (unit, 6));
        let waste = claim.job.shop.panels.solid_waste.decimal();
        let amount = (cut + cut * waste).round_dp_with_strategy(places, RoundingStrategy::AwayFromZero);
        let stock = match row.thickness {
            StockThickness::Plain(actual) => format!("{} {units}", actual.show(units)),
            quarters => quarters.show(units),
        };
        let item = format!("{} {units} panels, {stock} {}", thickness.show(units), row.species);
        lines.push((item, amount, price(claim, row)));
    }
    lines
}

/// The panel and what is planed off its two faces come out of the row's thickness.
fn thick_enough(claim: &Claim<'_>, row: &BoardStock, panel: i128) -> bool {
    let (rough, planed_already) = match row.thickness {
        StockThickness::Rough(quarters) => (nm(quarters.length()), false),
        StockThickness::Sawn(actual) => (nm(actual), false),
        StockThickness::Surfaced { actual, .. } | StockThickness::Plain(actual) => (nm(actual), true),
    };
    let rules = &claim.job.shop.cutting;
    let face = if rough >= 2 * INCH { rules.face_trim_thick } else { rules.face_trim_thin };
    let faces = if planed_already { 0 } else { 2 * nm(face) };
    panel + faces <= rough
}
