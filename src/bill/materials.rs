//! Cloth, consumables and extra lines on the bill.

use rust_decimal::{Decimal, RoundingStrategy};

use super::work::Counts;
use super::{BillError, BuyLine, CostLine, PLACES, priced};
use crate::doors::Door;
use crate::job::{Bolt, ClothUnit, Consumable, ConsumableArea, CountedConsumable, ExtraLine, Job};
use crate::measure::{Area, Length, Price, Units};
use crate::packing::cloth::{BoltUse, ClothPlan};

/// Bolts and remnants that are cut, with what is cut from them, by name.
fn bolts_used<'a>(job: &'a Job, plan: &'a ClothPlan) -> Vec<(&'a Bolt, &'a BoltUse)> {
    let mut used: Vec<_> = job.bolts.iter().zip(&plan.bolts).filter(|(_, used)| used.bought.is_positive()).collect();
    used.sort_by(|a, b| a.0.bolt.cmp(&b.0.bolt));
    used
}

/// Price and unit of a bolt; a free remnant is measured as cloth is where the job is made.
fn bolt_price(bolt: &Bolt, units: Units) -> (Price, ClothUnit) {
    bolt.price.unwrap_or((Price::ZERO, ClothUnit::usual(units)))
}

pub(super) fn units_of(length: Length, unit: ClothUnit) -> Decimal {
    let units = Decimal::from(length.nm()) / Decimal::from(unit.length().nm());
    units.round_dp_with_strategy(PLACES, RoundingStrategy::MidpointAwayFromZero).normalize()
}

/// Places of a quantity beyond which it is not made out further.
const MOST_PLACES: u32 = 12;

/// The length bought in units of its price: to four places, or to as many more as it takes until the figures
/// multiply out as they are printed. The cost is rounded from the exact length.
fn bought_units(used: &BoltUse, price: Price, unit: ClothUnit) -> Decimal {
    let exact = Decimal::from(used.bought.nm()) / Decimal::from(unit.length().nm());
    let nearest_or_above = |places| {
        [RoundingStrategy::MidpointAwayFromZero, RoundingStrategy::ToPositiveInfinity]
            .map(|way| exact.round_dp_with_strategy(places, way))
    };
    let multiplies_out = |units: &Decimal| price.times(*units) == Some(used.cost);
    let units = (PLACES..=MOST_PLACES).flat_map(nearest_or_above).find(multiplies_out);
    units.map_or_else(|| units_of(used.bought, unit), |units| units.normalize())
}

/// Cloth at the length bought. The cost is the plan's, which rounds once, from the exact length.
pub(super) fn cloth_costs(job: &Job, plan: &ClothPlan) -> Vec<CostLine> {
    let line = |(bolt, used): (&Bolt, &BoltUse)| {
        let (price, unit) = bolt_price(bolt, job.units);
        CostLine {
            group: "cloth".to_owned(),
            item: bolt.bolt.clone(),
            quantity: bought_units(used, price, unit),
            unit: unit.word().to_owned(),
            unit_price: price.decimal(),
            cost: used.cost,
        }
    };
    bolts_used(job, plan).into_iter().map(line).collect()
}

/// Cloth to buy off the roll; remnants lie on the shelf already.
pub(super) fn cloth_to_buy(job: &Job, plan: &ClothPlan) -> Vec<BuyLine> {
    let off_the_roll = bolts_used(job, plan).into_iter().filter(|(bolt, _)| bolt.on_hand.is_none());
    let line = |(bolt, used): (&Bolt, &BoltUse)| {
        let (price, unit) = bolt_price(bolt, job.units);
        let quantity = bought_units(used, price, unit);
        BuyLine {
            what: "cloth",
            item: bolt.bolt.clone(),
            at_least_width: Some(bolt.width),
            at_least_length: Some(used.bought),
            quantity,
            unit: unit.word().to_owned(),
            price,
            cost: used.cost,
            allowance: Decimal::ZERO,
            say: cloth_sentence(job, bolt, &units_text(quantity, unit.word())),
        }
    };
    off_the_roll.map(line).collect()
}

fn cloth_sentence(job: &Job, bolt: &Bolt, length: &str) -> String {
    let mut say = format!("{}: {length}, {} {} wide", bolt.bolt, bolt.width.show(job.units), job.units);
    if bolt.taken_as_washed {
        say.push_str("; taken as washed already");
    } else if !bolt.shrink_along.decimal().is_zero() || !bolt.shrink_across.decimal().is_zero() {
        say.push_str("; unwashed: wash and dry it before cutting");
    }
    say
}

/// Units as a counter sells by them, in the singular; a word that is not here (`kg`, `each`, a word of another
/// language) stays as the shop wrote it.
const UNIT_WORDS: [&str; 31] = [
    "bag",
    "bar",
    "block",
    "board",
    "bolt",
    "bottle",
    "can",
    "cartridge",
    "disc",
    "gallon",
    "jar",
    "kit",
    "litre",
    "metre",
    "pack",
    "pad",
    "pair",
    "piece",
    "pint",
    "pound",
    "quart",
    "roll",
    "set",
    "sheet",
    "spool",
    "stick",
    "tin",
    "tub",
    "tube",
    "visit",
    "yard",
];

/// A quantity for a person: `34 min`, `2 h 5 min`, `3 yards`, `12 %`.
///
/// ```
/// use rust_decimal::Decimal;
/// assert_eq!(slatwright::bill::quantity_words(Decimal::new(5708, 4), "hour"), "34 min");
/// assert_eq!(slatwright::bill::quantity_words(Decimal::new(3, 0), "board"), "3 boards");
/// ```
#[must_use]
pub fn quantity_words(quantity: Decimal, unit: &str) -> String {
    if unit != "hour" {
        return units_text(quantity, unit);
    }
    let minutes = (quantity * Decimal::from(60)).round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    let (hours, minutes) = ((minutes / Decimal::from(60)).floor(), minutes % Decimal::from(60));
    match (hours.is_zero(), minutes.is_zero()) {
        (true, _) => format!("{} min", minutes.normalize()),
        (_, true) => format!("{} h", hours.normalize()),
        _ => format!("{} h {} min", hours.normalize(), minutes.normalize()),
    }
}

/// `3 yards`, `1 sheet`, `0.25 quart`, `2 boxes`.
pub(super) fn units_text(quantity: Decimal, unit: &str) -> String {
    let many = quantity > Decimal::ONE;
    let unit = match unit {
        "foot" if many => "feet".to_owned(),
        "box" | "inch" | "brush" if many => format!("{unit}es"),
        known if many && UNIT_WORDS.contains(&known) => format!("{known}s"),
        other => other.to_owned(),
    };
    format!("{} {unit}", quantity.normalize())
}

/// The same as one asks for it: never less than is used, to the hundredth; `each` is no word after a number.
fn at_the_counter(quantity: Decimal, unit: &str) -> String {
    let quantity = quantity.round_dp_with_strategy(2, RoundingStrategy::AwayFromZero);
    if unit == "each" { quantity.normalize().to_string() } else { units_text(quantity, unit) }
}

/// Area of all doors built that a consumable is spread on: show faces edge to edge, or the cloth
/// as it stays on the slats, its trim cut off.
pub(super) fn area(job: &Job, doors: &[Door], on: ConsumableArea) -> Area {
    let trim = job.shop.canvas.trim * 2;
    let of_door = |door: &Door| match on {
        ConsumableArea::Show | ConsumableArea::Panel => door.slat_length * door.door_length,
        ConsumableArea::Glued => (door.cloth_along_slat - trim) * (door.cloth_along_travel - trim),
    };
    doors.iter().map(|door| of_door(door) * i64::from(door.count)).sum()
}

/// Units of a consumable: its area, all coats, by what one unit covers, rounded up.
fn units_needed(job: &Job, doors: &[Door], consumable: &Consumable) -> Result<Decimal, BillError> {
    let error = || BillError::Coverage { name: consumable.name.clone() };
    let area = area(job, doors, consumable.on).square_feet();
    let coats = area.checked_mul(Decimal::from(consumable.coats)).ok_or_else(error)?;
    let units = coats.checked_div(consumable.covers_square_feet).ok_or_else(error)?;
    let places = if consumable.whole_units { 0 } else { PLACES };
    Ok(units.round_dp_with_strategy(places, RoundingStrategy::ToPositiveInfinity).normalize())
}

/// What the consumables cost, in the shop's order.
pub(super) fn consumable_costs(job: &Job, doors: &[Door]) -> Result<Vec<CostLine>, BillError> {
    let line =
        |c: &Consumable| priced("consumables", &c.name, units_needed(job, doors, c)?, &c.unit, c.price.decimal());
    job.shop.consumables.iter().map(line).collect()
}

/// What the counted consumables cost, in the shop's order.
pub(super) fn counted_costs(job: &Job, counts: &Counts<'_>) -> Result<Vec<CostLine>, BillError> {
    let line = |c: &CountedConsumable| {
        let units = c.quantity.checked_mul(Decimal::from(counts.of(c.per)));
        let units = units.ok_or_else(|| BillError::TooLarge { line: c.name.clone() })?;
        let units = if c.whole_units { units.ceil() } else { units };
        priced("consumables", &c.name, units.normalize(), &c.unit, c.price.decimal())
    };
    job.shop.pricing.counted.iter().map(line).collect()
}

/// The extra lines, in the job's order, each in its own group.
pub(super) fn extra_costs(job: &Job) -> Result<Vec<CostLine>, BillError> {
    let line = |line: &ExtraLine| priced(&line.group, &line.name, line.quantity, &line.unit, line.price.decimal());
    job.lines.iter().map(line).collect()
}

/// Groups of extra lines that name a service: it is paid for, not fetched.
const SERVICES: [&str; 4] = ["delivery", "labour", "services", "travel"];

/// Shopping lines for consumables and extra lines, from their cost lines. What none is needed of, and work or services
/// entered as an extra line, are not shopped for.
pub(super) fn sundries_to_buy(job: &Job, consumables: &[CostLine], extra: &[CostLine]) -> Vec<BuyLine> {
    let line = |what, cost: &CostLine, price| BuyLine {
        what,
        item: cost.item.clone(),
        at_least_width: None,
        at_least_length: None,
        quantity: cost.quantity,
        unit: cost.unit.clone(),
        price,
        cost: cost.cost,
        allowance: Decimal::ZERO,
        say: format!("{}: {}", cost.item, at_the_counter(cost.quantity, &cost.unit)),
    };
    let of_shop = job.shop.consumables.iter().zip(consumables).map(|(c, cost)| line("consumable", cost, c.price));
    let of_job = job.lines.iter().zip(extra).filter(|(l, _)| !SERVICES.contains(&l.group.as_str()));
    let counted = &consumables[job.shop.consumables.len()..];
    let counted = job.shop.pricing.counted.iter().zip(counted).map(|(c, cost)| line("consumable", cost, c.price));
    let lines = of_shop.chain(counted).chain(of_job.map(|(l, cost)| line("line", cost, l.price)));
    lines.filter(|line| !line.quantity.is_zero()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_than_one_unit_is_said_as_such() {
        let said = |quantity: &str, unit| units_text(quantity.parse().unwrap(), unit);
        assert_eq!(said("2", "bottle"), "2 bottles");
        assert_eq!(said("4.00", "quart"), "4 quarts");
        assert_eq!(said("1", "bottle"), "1 bottle");
        assert_eq!(said("0.25", "quart"), "0.25 quart");
        assert_eq!(said("3", "box"), "3 boxes");
        assert_eq!(said("12", "foot"), "12 feet");
        assert_eq!(said("2", "kg"), "2 kg");
        assert_eq!(said("2", "Dose"), "2 Dose");
        let counter = |quantity: &str, unit| at_the_counter(quantity.parse().unwrap(), unit);
        assert_eq!(counter("1.0360", "bottle"), "1.04 bottles");
        assert_eq!(counter("0.9901", "roll"), "1 roll");
        assert_eq!(counter("5", "each"), "5");
    }
}
