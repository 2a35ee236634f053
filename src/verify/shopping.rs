//! The shopping list: what must be bought is on it once, nothing else, and every line multiplies out.

use rust_decimal::Decimal;

use super::bill::{boards_used, cloth_bought, consumed, numbered};
use super::wide::nm;
use super::{Claim, Violation};
use crate::bill::BuyLine;
use crate::job::BoardPlace;
use crate::measure::{Length, StockThickness};
use crate::packing::boards::WidthLevel;

/// A purchase as it must be on the list.
struct Purchase<'a> {
    what: &'static str,
    /// The line's own name; lumber is asked for by wood and size instead.
    item: Option<&'a str>,
    name: &'a str,
    width: Option<Length>,
    length: Option<Length>,
    quantity: Decimal,
    /// Board feet that some one width of the range takes beyond the plan.
    beyond_plan: Option<Decimal>,
}

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let mut lines: Vec<&BuyLine> = claim.bill.buy.iter().collect();
    for line in &lines {
        if !multiplies_out(line) {
            let (quantity, price, cost) = (line.quantity, line.price.decimal(), line.cost);
            found.push(Violation::BuyProduct { item: line.item.clone(), quantity, price, cost });
        }
    }
    let lumber = super::panel_lines::lumber(claim);
    let panels = lumber.iter().map(|(item, feet, _)| Purchase {
        what: "panel lumber",
        item: Some(item),
        name: item,
        width: None,
        length: None,
        quantity: *feet,
        beyond_plan: None,
    });
    for purchase in purchases(claim).into_iter().chain(panels) {
        match lines.iter().position(|line| purchase.is(line)) {
            Some(at) => {
                let line = lines.remove(at);
                if let Some(needed) = purchase.beyond_plan.filter(|needed| line.allowance < *needed) {
                    let (item, allowance) = (line.item.clone(), line.allowance);
                    found.push(Violation::RangeAllowance { item, allowance, needed });
                }
            }
            None => found.push(Violation::BuyMissing { item: purchase.name.to_owned() }),
        }
    }
    found.extend(lines.into_iter().map(|line| Violation::BuyUnasked { item: line.item.clone() }));
}

impl Purchase<'_> {
    fn is(&self, line: &BuyLine) -> bool {
        self.what == line.what
            && self.item.is_none_or(|item| item == line.item)
            && (self.width, self.length) == (line.at_least_width, line.at_least_length)
            && self.quantity == line.quantity
    }
}

/// Within a half cent, and what the fourth place of the quantity is worth.
fn multiplies_out(line: &BuyLine) -> bool {
    let price = line.price.decimal();
    let worth = line.quantity.checked_mul(price).and_then(|worth| worth.checked_sub(line.cost.decimal()));
    let slack = Decimal::new(5, 3) + price * Decimal::new(5, 5);
    worth.is_some_and(|off| off.abs() <= slack)
}

/// The board feet, down to the hundredth, of the worst width of a range less those of the plan.
fn beyond_plan(claim: &Claim<'_>, stock: usize, boards: usize) -> Option<Decimal> {
    let row = &claim.job.boards[stock];
    let range = claim.boards.ranges.iter().find(|range| range.stock == stock)?;
    let width = |level: &WidthLevel| nm(level.to) * level.boards.len() as i128;
    let most = range.levels.iter().map(width).max()? - nm(row.width) * boards as i128;
    let thickness = match row.thickness {
        StockThickness::Rough(quarters) | StockThickness::Surfaced { charged: quarters, .. } => nm(quarters.length()),
        StockThickness::Sawn(length) | StockThickness::Plain(length) => nm(length).max(nm(Length::from_inches(1))),
    };
    let inch = 25_400_000i128;
    let hundredths =
        most.max(0).checked_mul(nm(row.length))?.checked_mul(thickness)? * 100 / (144 * inch * inch * inch);
    Some(Decimal::from_i128_with_scale(hundredths, 2))
}

fn purchases<'a>(claim: &Claim<'a>) -> Vec<Purchase<'a>> {
    let job = claim.job;
    let mut list = Vec::new();
    for (stock, boards) in boards_used(claim) {
        let row = &job.boards[stock];
        if row.place == BoardPlace::Yard {
            let range = claim.boards.ranges.iter().find(|range| range.stock == stock);
            let narrowest = range.and_then(|range| range.levels.first()).map(|level| level.from);
            let (width, length) = (narrowest.or(Some(row.width)), Some(row.length));
            let quantity = Decimal::from(boards);
            let beyond_plan = beyond_plan(claim, stock, boards);
            list.push(Purchase { what: "lumber", item: None, name: &row.stock, width, length, quantity, beyond_plan });
        }
    }
    for (row, used) in super::panel_lines::sheets(claim).into_iter().filter(|(row, _)| row.on_hand.is_none()) {
        let (width, length) = (Some(row.width), Some(row.length));
        let (item, name, quantity) = (Some(row.sheet.as_str()), &row.sheet, Decimal::from(used));
        list.push(Purchase { what: "sheet", item, name, width, length, quantity, beyond_plan: None });
    }
    for (bolt, used) in job.bolts.iter().zip(&claim.cloth.bolts) {
        let Some((price, unit)) = bolt.price.filter(|_| bolt.on_hand.is_none() && used.bought.is_positive()) else {
            continue;
        };
        let (width, length) = (Some(bolt.width), Some(used.bought));
        let quantity = cloth_bought(used.bought, unit, price.decimal(), used.cost.decimal());
        let (item, name) = (Some(bolt.bolt.as_str()), &bolt.bolt);
        list.push(Purchase { what: "cloth", item, name, width, length, quantity, beyond_plan: None });
    }
    let mut sundry = |what, name: &'a str, quantity: Decimal| {
        if quantity.is_zero() {
            return;
        }
        list.push(Purchase { what, item: Some(name), name, width: None, length: None, quantity, beyond_plan: None });
    };
    for consumable in &job.shop.consumables {
        sundry("consumable", &consumable.name, consumed(claim, consumable).unwrap_or(Decimal::MAX));
    }
    for counted in &job.shop.pricing.counted {
        sundry("consumable", &counted.name, numbered(claim, counted));
    }
    for line in &job.lines {
        // Work and services are paid for without being fetched.
        match line.group.as_str() {
            "labour" | "services" | "delivery" | "travel" => {}
            _ => sundry("line", &line.name, line.quantity),
        }
    }
    list
}
