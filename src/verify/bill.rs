//! The bill: every line from the job and the plan anew, then the sum.

use rust_decimal::{Decimal, RoundingStrategy};

use super::board_prices::unit_cost;
use super::wide::nm;
use super::{Claim, Violation};
use crate::bill::CostLine;
use crate::job::{ClothUnit, Consumable, ConsumableArea, CountedConsumable, LabourBasis};
use crate::measure::{Cents, Length, Units, Volume};

/// A cost line as it must be.
pub(super) struct Expected {
    pub(super) group: String,
    item: String,
    pub(super) quantity: Decimal,
    unit_price: Decimal,
    pub(super) cost: Decimal,
    /// Taxed at cost.
    pub(super) taxed: bool,
    /// An extra line of the job.
    pub(super) extra: bool,
}

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let before = found.len();
    check_board_lines(claim, found);
    check_costs(claim, expected_costs(claim), found);
    check_total(claim, found);
    super::work::check(claim, found);
    // What is shared out of a wrong bill is wrong anyway.
    if found.len() == before {
        super::work::check_shares(claim, found);
    }
    super::shopping::check(claim, found);
}

/// Rows of the boards file that are cut, with their count.
pub(super) fn boards_used(claim: &Claim<'_>) -> Vec<(usize, usize)> {
    let used = |stock| claim.boards.boards.iter().filter(|board| board.stock == stock).count();
    (0..claim.job.boards.len()).map(|stock| (stock, used(stock))).filter(|(_, used)| *used > 0).collect()
}

fn check_board_lines(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let lines = &claim.bill.boards;
    let used = boards_used(claim);
    for (stock, boards) in &used {
        let row = &claim.job.boards[*stock];
        let name = || row.stock.clone();
        let Some(line) = lines.iter().find(|line| line.stock == *stock) else {
            found.push(Violation::BoardLineMissing { stock: name() });
            continue;
        };
        if line.boards as usize != *boards {
            found.push(Violation::BoardLineCount { stock: name(), claimed: line.boards, expected: *boards });
        }
        let one = row.length * row.width * row.thickness.charged();
        let volume: Volume = (0..*boards).map(|_| one).sum();
        if line.volume != volume {
            let (claimed, expected) = (feet(line.volume), feet(volume));
            found.push(Violation::BoardLineVolume { stock: name(), claimed, expected });
        }
        let cost = unit_cost(row).and_then(|cost| cost.checked_mul(*boards as i128)).unwrap_or(i128::MAX);
        if i128::from(line.cost.get()) != cost {
            let expected = Cents::new(i64::try_from(cost).unwrap_or(i64::MAX));
            found.push(Violation::BoardLineCost { stock: name(), claimed: line.cost, expected });
        }
    }
    for (i, line) in lines.iter().enumerate() {
        let again = lines[..i].iter().any(|earlier| earlier.stock == line.stock);
        if again || !used.iter().any(|(stock, _)| *stock == line.stock) {
            found.push(Violation::BoardLineUnused { stock: line.stock });
        }
    }
    let names: Vec<_> =
        lines.iter().filter_map(|line| claim.job.boards.get(line.stock)).map(|row| &row.stock).collect();
    if !names.is_sorted() {
        found.push(Violation::BoardLinesUnsorted);
    }
}

/// Board feet for a message; a damaged figure may be too large for one.
fn feet(volume: Volume) -> Decimal {
    let whole = volume.nm3() / (144 * 25_400_000i128.pow(3));
    if (-1_000_000_000..1_000_000_000).contains(&whole) { volume.board_feet(2) } else { Decimal::MAX }
}

fn expected_costs(claim: &Claim<'_>) -> Vec<Expected> {
    let job = claim.job;
    let mut lines: Vec<Expected> = Vec::new();
    for (stock, boards) in boards_used(claim) {
        let row = &job.boards[stock];
        let price =
            unit_cost(row).and_then(|cents| i64::try_from(cents).ok()).map_or(Decimal::MAX, |c| Decimal::new(c, 2));
        lines.push(line("boards", &row.stock, Decimal::from(boards), price, true));
    }
    let random = super::lumber_lines::allowances(claim).into_iter();
    lines.extend(random.map(|(item, feet, price)| line("boards", &item, feet, price, true)));
    let rack = super::lumber_lines::rack(claim).into_iter();
    lines.extend(rack.map(|(item, feet, price)| line("rack", &item, feet, price, false)));
    for (row, used) in super::panel_lines::sheets(claim) {
        lines.push(line("sheets", &row.sheet, Decimal::from(used), super::panel_lines::sheet_price(row), true));
    }
    let lumber = super::panel_lines::lumber(claim).into_iter();
    lines.extend(lumber.map(|(item, feet, price)| line("panels", &item, feet, price, true)));
    for (bolt, used) in job.bolts.iter().zip(&claim.cloth.bolts).filter(|(_, used)| used.bought.is_positive()) {
        let unpriced = if job.units == Units::Millimetre { ClothUnit::Metre } else { ClothUnit::Yard };
        let (price, unit) = bolt.price.map_or((Decimal::ZERO, unpriced), |(p, unit)| (p.decimal(), unit));
        let cost = used.cost.decimal();
        let (group, item) = ("cloth".to_owned(), bolt.bolt.clone());
        let quantity = cloth_bought(used.bought, unit, price, cost);
        lines.push(Expected { group, item, quantity, unit_price: price, cost, taxed: true, extra: false });
    }
    for consumable in &job.shop.consumables {
        let quantity = consumed(claim, consumable).unwrap_or(Decimal::MAX);
        lines.push(line("consumables", &consumable.name, quantity, consumable.price.decimal(), true));
    }
    for counted in &job.shop.pricing.counted {
        let quantity = numbered(claim, counted);
        lines.push(line("consumables", &counted.name, quantity, counted.price.decimal(), true));
    }
    for extra in &job.lines {
        let line = line(&extra.group, &extra.name, extra.quantity, extra.price.decimal(), extra.taxed);
        lines.push(Expected { extra: true, ..line });
    }
    let labour = lines.len();
    for labour in &job.shop.labour {
        let hours = labour.hours.checked_mul(Decimal::from(times(claim, labour.per))).unwrap_or(Decimal::MAX);
        lines.push(line("labour", &labour.name, hours, labour.rate.decimal(), false));
    }
    for (item, hours, rate) in super::work::expected(claim) {
        lines.push(line("labour", &item, hours, rate, false));
    }
    let labour = labour..lines.len();
    let upper = super::upper::lines(claim, &lines, labour);
    lines.extend(upper);
    lines
}

pub(super) fn line(group: &str, item: &str, quantity: Decimal, unit_price: Decimal, taxed: bool) -> Expected {
    let cost = quantity.checked_mul(unit_price).map_or(Decimal::MAX, to_cents);
    Expected { group: group.to_owned(), item: item.to_owned(), quantity, unit_price, cost, taxed, extra: false }
}

/// To the cent, halves away from zero.
pub(super) fn to_cents(amount: Decimal) -> Decimal {
    amount.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero)
}

pub(super) fn total<'a>(lines: impl Iterator<Item = &'a Expected>) -> Decimal {
    lines.fold(Decimal::ZERO, |sum, line| sum.checked_add(line.cost).unwrap_or(Decimal::MAX))
}

/// So many per cent, each worth a hundredth of the amount.
pub(super) fn share(group: &str, item: &str, share: Decimal, of: Decimal) -> Option<Expected> {
    let percent = share.checked_mul(Decimal::ONE_HUNDRED)?;
    let one = of.checked_div(Decimal::ONE_HUNDRED)?;
    (!percent.is_zero()).then(|| line(group, item, percent, one, false))
}

/// Bought length in the price's unit, to four places.
fn units(length: Length, unit: ClothUnit) -> Decimal {
    let units = Decimal::from(length.nm()) / Decimal::from(unit.length().nm());
    units.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero)
}

/// Units of cloth as a line prints them: with the fewest places, four at least, at which they multiply out.
pub(super) fn cloth_bought(length: Length, unit: ClothUnit, price: Decimal, cost: Decimal) -> Decimal {
    let (whole, part) = (unit.length().nm(), length.nm());
    let mut step = Decimal::new(1, 4);
    while step.scale() <= 12 {
        // Whole steps in the length, and what is left of it.
        let steps = i128::from(part) * 10_i128.pow(step.scale()) / i128::from(whole);
        let rest = i128::from(part) * 10_i128.pow(step.scale()) % i128::from(whole);
        let down = Decimal::from_i128_with_scale(steps, step.scale());
        let up = if rest == 0 { down } else { down + step };
        let (first, second) = if 2 * rest >= i128::from(whole) { (up, up) } else { (down, up) };
        for units in [first, second] {
            if units.checked_mul(price).map(to_cents) == Some(cost) {
                return units;
            }
        }
        step = Decimal::new(1, step.scale() + 1);
    }
    units(length, unit)
}

/// What doors, cabinets, boards or strips there are to count work by.
fn times(claim: &Claim<'_>, per: LabourBasis) -> u64 {
    match per {
        LabourBasis::Job => 1,
        LabourBasis::Cabinet => claim.job.cabinets.iter().map(|cabinet| u64::from(cabinet.count)).sum(),
        LabourBasis::Door => claim.doors.iter().map(|door| u64::from(door.count)).sum(),
        LabourBasis::Board => claim.boards.boards.len() as u64,
        LabourBasis::Strip => claim.parts.iter().map(|p| u64::from(p.needed) + u64::from(p.spares)).sum(),
    }
}

/// Units of a consumable: square feet to four places, times coats, over what a unit covers, rounded up
/// to four places or to whole units.
pub(super) fn consumed(claim: &Claim<'_>, consumable: &Consumable) -> Option<Decimal> {
    let feet = consumable_feet(claim, consumable.on)?;
    let coats = feet.checked_mul(Decimal::from(consumable.coats))?;
    let places = if consumable.whole_units { 0 } else { 4 };
    let units = coats.checked_div(consumable.covers_square_feet)?;
    Some(units.round_dp_with_strategy(places, RoundingStrategy::ToPositiveInfinity))
}

/// Square feet that a consumable is spread on, to four places.
pub(super) fn consumable_feet(claim: &Claim<'_>, on: ConsumableArea) -> Option<Decimal> {
    let trims = 2 * nm(claim.job.shop.canvas.trim);
    let mut area = 0i128;
    for door in claim.doors {
        let (a, b) = match on {
            ConsumableArea::Show | ConsumableArea::Panel => (nm(door.slat_length), nm(door.door_length)),
            ConsumableArea::Glued => (nm(door.cloth_along_slat) - trims, nm(door.cloth_along_travel) - trims),
        };
        area = area.checked_add(a.checked_mul(b)?.checked_mul(i128::from(door.count))?)?;
    }
    // 1 ft is 304 800 000 nm; whole square micrometres keep the figure within a decimal.
    let micro = Decimal::try_from_i128_with_scale(area / 1_000_000, 0).ok()?;
    Some(micro.checked_div(Decimal::from(304_800i64 * 304_800))?.round_dp(4))
}

/// Units of a counted consumable.
pub(super) fn numbered(claim: &Claim<'_>, counted: &CountedConsumable) -> Decimal {
    let units = counted.quantity.checked_mul(Decimal::from(times(claim, counted.per))).unwrap_or(Decimal::MAX);
    if counted.whole_units { units.ceil() } else { units }
}

fn check_costs(claim: &Claim<'_>, expected: Vec<Expected>, found: &mut Vec<Violation>) {
    let mut claimed: Vec<&CostLine> = claim.bill.costs.iter().collect();
    for want in expected {
        let place = || (want.group.clone(), want.item.clone());
        // Two lines may share their name: the one with the same cost is meant, else the first.
        let named = |line: &&&CostLine| line.group == want.group && line.item == want.item;
        let same = claimed.iter().position(|line| named(&line) && line.cost.decimal() == want.cost);
        let Some(at) = same.or_else(|| claimed.iter().position(|line| named(&line))) else {
            let (group, item) = place();
            found.push(Violation::CostMissing { group, item });
            continue;
        };
        let line = claimed.remove(at);
        if line.quantity != want.quantity {
            let (group, item) = place();
            let (claimed, expected) = (line.quantity, want.quantity.normalize());
            found.push(Violation::CostQuantity { group, item, claimed, expected });
        }
        if line.unit_price != want.unit_price {
            let (group, item) = place();
            let (claimed, expected) = (line.unit_price, want.unit_price.normalize());
            found.push(Violation::CostPrice { group, item, claimed, expected });
        }
        if line.cost.decimal() != want.cost {
            let (group, item) = place();
            let (quantity, unit_price, cost) = (line.quantity, line.unit_price, line.cost);
            found.push(Violation::CostProduct { group, item, quantity, unit_price, cost });
        }
    }
    for line in claimed {
        found.push(Violation::CostUnasked { group: line.group.clone(), item: line.item.clone() });
    }
}

fn check_total(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let sum: i128 = claim.bill.costs.iter().map(|line| i128::from(line.cost.get())).sum();
    if sum != i128::from(claim.bill.total.get()) {
        let expected = Cents::new(i64::try_from(sum).unwrap_or(i64::MAX));
        found.push(Violation::Total { claimed: claim.bill.total, expected });
    }
}
