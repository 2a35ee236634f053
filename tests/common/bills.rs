//! Bills in tests: their rows, their sums, what they are made of, and the press with everything that stands between
//! cost and price.

use slatwright::bill::{Bill, CostLine};
use slatwright::job::*;
use slatwright::measure::{Cents, Units};

use super::plans::{Planned, press};
use super::{decimal, percent, price};

pub(crate) fn rows(bill: &Bill) -> Vec<String> {
    let row =
        |l: &CostLine| format!("{} {}: {} {} x {} = {}", l.group, l.item, l.quantity, l.unit, l.unit_price, l.cost);
    bill.costs.iter().map(row).collect()
}

pub(crate) fn check_sums(bill: &Bill) {
    assert_eq!(bill.total, bill.costs.iter().map(|line| line.cost).sum::<Cents>());
    for line in &bill.costs {
        let product = line.quantity * line.unit_price;
        assert!((product - line.cost.decimal()).abs() <= decimal("0.0051"), "{line:?}");
    }
    for line in &bill.buy {
        assert!((line.quantity * line.price.decimal() - line.cost.decimal()).abs() <= decimal("0.0051"), "{line:?}");
    }
}

pub(crate) fn extra(name: &str, group: &str, quantity: &str, at: &str, taxed: bool) -> ExtraLine {
    let (name, group) = (name.to_owned(), group.to_owned());
    ExtraLine {
        name,
        group,
        quantity: decimal(quantity),
        unit: "sheet".to_owned(),
        price: price(at),
        taxed,
        in_the_price: false,
    }
}

pub(crate) fn labour(name: &str, hours: &str, rate: &str, per: LabourBasis) -> LabourLine {
    LabourLine { name: name.to_owned(), hours: decimal(hours), rate: price(rate), per }
}

pub(crate) fn consumable(name: &str, covers: &str, coats: u32, whole_units: bool, on: ConsumableArea) -> Consumable {
    Consumable {
        name: name.to_owned(),
        price: price("18.75"),
        unit: "quart".to_owned(),
        covers_square_feet: decimal(covers),
        coats,
        whole_units,
        on,
    }
}

fn usual(operation: Operation) -> OperationRule {
    let person = operation.usual_person();
    let rate = price(if person == Person::Maker { "55" } else { "30" });
    let (minutes, slat_minutes, setup) =
        (operation.usual_minutes(Units::Inch), operation.usual_slat_minutes(), operation.usual_setup());
    OperationRule { operation, person, minutes, slat_minutes, setup, rate, learned: Learned::nothing(decimal("0")) }
}

fn counted(name: &str, quantity: &str, per: LabourBasis) -> CountedConsumable {
    let (name, unit) = (name.to_owned(), "each".to_owned());
    CountedConsumable { name, price: price("2.40"), unit, quantity: decimal(quantity), per, whole_units: true }
}

/// The press with every operation and everything that stands between cost and price.
pub(crate) fn quoted() -> Planned {
    let mut plan = press();
    plan.job.shop.consumables = vec![
        consumable("glue", "12.5", 1, false, ConsumableArea::Glued),
        consumable("varnish", "25", 3, true, ConsumableArea::Show),
    ];
    plan.job.lines = vec![
        extra("case sheet goods", "materials", "3", "84.00", true),
        extra("delivery", "services", "1", "60", false),
    ];
    let pricing = &mut plan.job.shop.pricing;
    pricing.operations = Operation::all().map(usual).collect();
    pricing.pass_depth = Some(super::inch("1/16"));
    pricing.counted = vec![counted("rollers", "0.5", LabourBasis::Door)];
    pricing.contingency = percent("5");
    pricing.gain = Gain::Margin(percent("20"));
    pricing.discount = percent("3");
    plan.job.shop.overhead = percent("12");
    plan.job.shop.tax = percent("7.25");
    plan.billed()
}
