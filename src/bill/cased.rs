//! Sheets and solid panels of the cases on the bill.

use rust_decimal::{Decimal, RoundingStrategy};

use super::lumber::WoodUnit;
use super::{BillError, BuyLine, CostLine, cents, priced};
use crate::case::{Casework, SolidWood};
use crate::cutting::leaves;
use crate::job::{BoardStock, Job, SheetStock};
use crate::measure::{Cents, Price, StockThickness, Units};
use crate::packing::boards::BoardPlan;

/// The cases of a job, with how their sheets are cut: stock indices are those of the job's sheets, part indices those of
/// the casework's.
#[derive(Debug, Clone, PartialEq)]
pub struct Cased {
    /// Their panels.
    pub case: Casework,
    /// How the sheets are cut.
    pub sheets: BoardPlan,
}

impl Default for Cased {
    /// No cases, no sheets.
    fn default() -> Self {
        let (cost, bound) = (Cents::ZERO, Cents::ZERO);
        let sheets = BoardPlan { boards: Vec::new(), cost, bound, optimal: true, cut_short: false, ranges: Vec::new() };
        Self { case: Casework::default(), sheets }
    }
}

impl Cased {
    /// Sheets used of each row of the job's file, by name.
    #[must_use]
    pub fn sheets_used<'a>(&self, job: &'a Job) -> Vec<(&'a SheetStock, u32)> {
        let used = |stock: usize| self.sheets.boards.iter().filter(|sheet| sheet.stock == stock).count();
        let rows =
            job.sheets.iter().enumerate().map(|(at, sheet)| (sheet, u32::try_from(used(at)).unwrap_or(u32::MAX)));
        let mut rows: Vec<_> = rows.filter(|(_, used)| *used > 0).collect();
        rows.sort_by(|a, b| a.0.sheet.cmp(&b.0.sheet));
        rows
    }

    /// The lumber of solid panels, where some row for sale yields them.
    #[must_use]
    pub fn panel_lumber<'a>(&'a self, job: &'a Job) -> Vec<PanelLumber<'a>> {
        self.case.solid.iter().filter_map(|wood| PanelLumber::of(job, wood)).collect()
    }

    /// Solid panels that no row for sale yields: listed and not priced.
    #[must_use]
    pub fn unpriced<'a>(&'a self, job: &Job) -> Vec<&'a SolidWood> {
        self.case.solid.iter().filter(|wood| PanelLumber::of(job, wood).is_none()).collect()
    }
}

/// Wood to buy for solid panels of one wood and thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct PanelLumber<'a> {
    /// The panels.
    pub wood: &'a SolidWood,
    /// The row for sale whose thickness yields them at the least price.
    pub stock: &'a BoardStock,
    /// With the shop's waste: board feet up to the hundredth, in a metric job cubic metres up to four places.
    pub amount: Decimal,
    /// `bf` or `m3`.
    pub unit: &'static str,
    /// Price of one, to four places.
    pub price: Decimal,
}

impl<'a> PanelLumber<'a> {
    /// Of the rows for sale that are thick enough once planed the cheapest by the face, earlier rows first.
    fn of(job: &'a Job, wood: &'a SolidWood) -> Option<Self> {
        let yields = |row: &&BoardStock| {
            let thick = leaves(&job.shop.cutting, row.thickness, wood.thickness) > 0;
            row.on_hand.is_none() && row.species == wood.species && thick
        };
        let by = WoodUnit::of(job.units);
        let by_face = |row: &BoardStock| by.price(row) * Decimal::from(by.thickness(row).nm());
        let stock = job.boards.iter().filter(yields).min_by_key(|row| by_face(row))?;
        let cut = by.amount(wood.area * by.thickness(stock), 6);
        let waste = Decimal::ONE + job.shop.panels.solid_waste.decimal();
        let amount = (cut * waste).round_dp_with_strategy(by.places(), RoundingStrategy::AwayFromZero).normalize();
        Some(Self { wood, stock, amount, unit: by.word(), price: by.price(stock) })
    }

    /// As a yard is asked for it: board feet, in a metric job cubic metres.
    #[must_use]
    pub fn asked(&self) -> String {
        format!("{} {}", self.amount, self.unit)
    }

    /// `4/4 black cherry`.
    #[must_use]
    pub fn named(&self, units: Units) -> String {
        match self.stock.thickness {
            StockThickness::Plain(length) => format!("{} {units} {}", length.show(units), self.stock.species),
            quarters => format!("{} {}", quarters.show(units), self.stock.species),
        }
    }
}

/// What the sheets cost: whole sheets.
pub(super) fn sheet_costs(job: &Job, cased: &Cased) -> Result<Vec<CostLine>, BillError> {
    let line = |(sheet, used): (&SheetStock, u32)| {
        priced("sheets", &sheet.sheet, Decimal::from(used), "sheet", sheet.unit_cost.decimal())
    };
    cased.sheets_used(job).into_iter().map(line).collect()
}

/// What the lumber of solid panels costs, by the volume.
pub(super) fn panel_costs(job: &Job, cased: &Cased) -> Result<Vec<CostLine>, BillError> {
    let line = |lumber: &PanelLumber<'_>| {
        let item = panels_of(lumber, job.units);
        priced("panels", &item, lumber.amount, lumber.unit, lumber.price)
    };
    cased.panel_lumber(job).iter().map(line).collect()
}

/// `3/4 in panels, 4/4 black cherry`.
fn panels_of(lumber: &PanelLumber<'_>, units: Units) -> String {
    format!("{} {units} panels, {}", lumber.wood.thickness.show(units), lumber.named(units))
}

/// Sheets and panel lumber to buy; sheets on hand are not on the list.
pub(super) fn panels_to_buy(job: &Job, cased: &Cased) -> Result<Vec<BuyLine>, BillError> {
    let sheets = cased.sheets_used(job).into_iter().filter(|(sheet, _)| sheet.on_hand.is_none());
    let lumber = cased.panel_lumber(job);
    let lines = sheets.map(|(sheet, used)| sheet_line(job, sheet, used));
    lines.chain(lumber.iter().map(|lumber| lumber_line(job, lumber))).collect()
}

fn sheet_line(job: &Job, sheet: &SheetStock, used: u32) -> Result<BuyLine, BillError> {
    let show = |length: crate::measure::Length| length.show(job.units);
    let cost = cents(&sheet.sheet, sheet.unit_cost.decimal().checked_mul(Decimal::from(used)))?;
    Ok(BuyLine {
        what: "sheet",
        item: sheet.sheet.clone(),
        at_least_width: Some(sheet.width),
        at_least_length: Some(sheet.length),
        quantity: Decimal::from(used),
        unit: "sheet".to_owned(),
        price: exact_price(&sheet.sheet, sheet.unit_cost.decimal())?,
        cost,
        allowance: Decimal::ZERO,
        say: format!(
            "{}, {} {} thick: {used} {} {} x {} {}, the grain along the second figure",
            sheet.material,
            show(sheet.thickness),
            job.units,
            if used == 1 { "sheet" } else { "sheets" },
            show(sheet.width),
            show(sheet.length),
            job.units
        ),
    })
}

fn lumber_line(job: &Job, lumber: &PanelLumber<'_>) -> Result<BuyLine, BillError> {
    let item = panels_of(lumber, job.units);
    let waste = (job.shop.panels.solid_waste.decimal() * Decimal::ONE_HUNDRED).normalize();
    let cost = cents(&item, lumber.amount.checked_mul(lumber.price))?;
    Ok(BuyLine {
        what: "panel lumber",
        item,
        at_least_width: None,
        at_least_length: None,
        quantity: lumber.amount,
        unit: lumber.unit.to_owned(),
        price: exact_price(&lumber.stock.stock, lumber.price)?,
        cost,
        allowance: Decimal::ZERO,
        say: format!(
            "{} for {} glued-up panels {} {} thick: {} in any widths, {waste} % for waste in it",
            lumber.named(job.units),
            lumber.wood.count,
            lumber.wood.thickness.show(job.units),
            job.units,
            lumber.asked()
        ),
    })
}

fn exact_price(line: &str, price: Decimal) -> Result<Price, BillError> {
    Price::new(price).map_err(|_| BillError::TooLarge { line: line.to_owned() })
}
