//! The bill of a plan made by hand: every line multiplies out and the lines sum to the total.

mod common;

use common::plans::{Planned, press};
use common::{cabinet, decimal, door_spec, inch, percent, price, ratio};
use rust_decimal::Decimal;
use slatwright::bill::{Bill, BillError, CostLine, draw_up};
use slatwright::job::*;
use slatwright::measure::Cents;
use slatwright::verify::verify;

fn rows(bill: &Bill) -> Vec<String> {
    let row =
        |l: &CostLine| format!("{} {}: {} {} x {} = {}", l.group, l.item, l.quantity, l.unit, l.unit_price, l.cost);
    bill.costs.iter().map(row).collect()
}

fn check_sums(bill: &Bill) {
    assert_eq!(bill.total, bill.costs.iter().map(|line| line.cost).sum::<Cents>());
    for line in &bill.costs {
        let product = line.quantity * line.unit_price;
        assert!((product - line.cost.decimal()).abs() <= decimal("0.0051"), "{line:?}");
    }
    for line in &bill.buy {
        assert!((line.quantity * line.price.decimal() - line.cost.decimal()).abs() <= decimal("0.0051"), "{line:?}");
    }
}

fn extra(name: &str, group: &str, quantity: &str, at: &str, taxed: bool) -> ExtraLine {
    let (name, group) = (name.to_owned(), group.to_owned());
    ExtraLine { name, group, quantity: decimal(quantity), unit: "sheet".to_owned(), price: price(at), taxed }
}

fn labour(name: &str, hours: &str, rate: &str, per: LabourBasis) -> LabourLine {
    LabourLine { name: name.to_owned(), hours: decimal(hours), rate: price(rate), per }
}

fn consumable(name: &str, covers: &str, coats: u32, whole_units: bool, on: ConsumableArea) -> Consumable {
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

/// The press with one of everything.
fn full() -> Planned {
    let mut plan = press();
    plan.job.shop.consumables = vec![
        consumable("glue", "12.5", 1, false, ConsumableArea::Glued),
        consumable("varnish", "25", 3, true, ConsumableArea::Show),
    ];
    plan.job.lines = vec![
        extra("case sheet goods", "materials", "3", "84.00", true),
        extra("upholsterer", "labour", "1", "60", false),
    ];
    plan.job.shop.labour = vec![
        labour("design", "2.5", "55", LabourBasis::Job),
        labour("hanging", "0.75", "55", LabourBasis::Door),
        labour("moulding", "0.02", "48", LabourBasis::Strip),
        labour("planing", "0.1", "48", LabourBasis::Board),
        labour("fitting", "1", "55", LabourBasis::Cabinet),
    ];
    plan.job.shop.overhead = percent("12.5");
    plan.job.shop.tax = percent("7.25");
    plan.billed()
}

#[test]
fn every_line_of_a_full_bill_is_what_the_sum_by_hand_gives() {
    let plan = full();
    // Glued: 27-9/16 x 12-1/2 in, twice, 4.7852 sq ft / 12.5 = 0.382816, up to four places 0.3829.
    // Show: 28-9/16 x 13-5/8 in, twice, 5.4050 sq ft, three coats 16.215 / 25: one quart.
    // Before overhead: 118.20 + 5.44 + 7.18 + 18.75 + 252 + 60 + 137.50 + 82.50 + 40.32 + 14.40 + 110 = 846.29.
    // Taxed: 118.20 + 5.44 + 7.18 + 18.75 + 252 = 401.57.
    assert_eq!(
        rows(&plan.bill),
        [
            "boards cherry 6: 3 board x 39.40 = 118.20",
            "cloth no. 10 duck: 0.375 yard x 14.5 = 5.44",
            "consumables glue: 0.3829 quart x 18.75 = 7.18",
            "consumables varnish: 1 quart x 18.75 = 18.75",
            "materials case sheet goods: 3 sheet x 84 = 252.00",
            "labour upholsterer: 1 sheet x 60 = 60.00",
            "labour design: 2.5 hour x 55 = 137.50",
            "labour hanging: 1.5 hour x 55 = 82.50",
            "labour moulding: 0.84 hour x 48 = 40.32",
            "labour planing: 0.3 hour x 48 = 14.40",
            "labour fitting: 2 hour x 55 = 110.00",
            "overhead overhead: 12.5 % x 8.4629 = 105.79",
            "tax tax: 7.25 % x 4.0157 = 29.11",
        ]
    );
    assert_eq!(plan.bill.total, Cents::new(98_119));
    check_sums(&plan.bill);
}

/// Spares are moulded like the others: 42 strips and 8 spares take an hour.
#[test]
fn work_by_the_strip_counts_the_spares() {
    let mut plan = full();
    plan.demand.parts[0].spares = 8;
    assert!(rows(&plan.billed().bill).contains(&"labour moulding: 1 hour x 48 = 48.00".to_owned()));
}

#[test]
fn the_shopping_list_speaks_as_at_the_yard() {
    let plan = full();
    let said: Vec<&str> = plan.bill.buy.iter().map(|line| line.say.as_str()).collect();
    assert_eq!(
        said,
        [
            "4/4 black cherry, 12 bf: at least 3 boards 6 in wide, 8 ft long; \
         any board at least as wide and long may replace a listed one",
            "no. 10 duck: 0.375 yard, 60 in wide; taken as washed already; no. 10 duck weighs 14.73 oz per square yard",
            "glue: 0.3829 quart",
            "varnish: 1 quart",
            "case sheet goods: 3 sheets",
        ]
    );
    let lumber = &plan.bill.buy[0];
    assert_eq!((lumber.what, lumber.quantity, lumber.cost), ("lumber", Decimal::from(3), Cents::new(11_820)));
    assert_eq!((lumber.at_least_width, lumber.at_least_length), (Some(inch("6")), Some(inch("96"))));
}

#[test]
fn random_widths_ask_for_more_board_feet_at_the_same_price() {
    let mut plan = press();
    plan.job.boards[0].random = true;
    plan.job.shop.yard_allowance = ratio("0.1111");
    let fixed = plan.bill.clone();
    let plan = plan.billed();
    let lumber = &plan.bill.buy[0];
    // 12 bf x 0.1111 = 1.3332, up to the next hundredth.
    assert_eq!(lumber.allowance, decimal("1.34"));
    assert!(
        lumber.say.ends_with("; sold in random widths, so ask for 1.34 bf more (not in the price)"),
        "{}",
        lumber.say
    );
    assert_eq!((plan.bill.total, &plan.bill.costs), (fixed.total, &fixed.costs));
}

#[test]
fn what_is_on_hand_is_on_the_bill_but_not_on_the_shopping_list() {
    let mut plan = press();
    plan.job.boards[0] =
        BoardStock { on_hand: Some(3), price: None, unit_cost: Cents::ZERO, ..plan.job.boards[0].clone() };
    plan.job.bolts[0] = Bolt { on_hand: Some(inch("20")), price: None, ..plan.job.bolts[0].clone() };
    plan.boards.cost = Cents::ZERO;
    plan.cloth.bolts[0].cost = Cents::ZERO;
    let bill = plan.billed().bill;
    assert!(bill.buy.is_empty());
    assert_eq!(rows(&bill), ["boards cherry 6: 3 board x 0.00 = 0.00", "cloth no. 10 duck: 0.375 yard x 0 = 0.00"]);
    assert_eq!((bill.boards[0].boards, bill.boards[0].volume.board_feet(2)), (3, decimal("12.00")));
}

#[test]
fn sums_out_of_range_are_refused_by_name() {
    let mut plan = press();
    plan.job.lines = vec![extra("gold leaf", "materials", "79000000000000000000000000", "1000000", false)];
    let draw = |p: &Planned| draw_up(&p.job, &p.doors, &p.demand, &p.boards, &p.cloth);
    assert_eq!(draw(&plan), Err(BillError::TooLarge { line: "gold leaf".to_owned() }));
    plan.job.lines = vec![extra("gold leaf", "materials", "90000000000", "1000000", false); 2];
    assert_eq!(draw(&plan), Err(BillError::TooLarge { line: "gold leaf".to_owned() }));
    plan.job.lines.clear();
    plan.job.shop.consumables = vec![consumable("glue", "0", 1, false, ConsumableArea::Glued)];
    assert_eq!(draw(&plan), Err(BillError::Coverage { name: "glue".to_owned() }));
    plan.boards.boards[0].stock = 7;
    assert_eq!(draw(&plan), Err(BillError::UnknownStock { index: 7 }));
}

fn usual(operation: Operation) -> OperationRule {
    let person = operation.usual_person();
    let rate = price(if person == Person::Maker { "55" } else { "30" });
    OperationRule { operation, person, minutes: operation.usual_minutes(), setup: operation.usual_setup(), rate }
}

fn counted(name: &str, quantity: &str, per: LabourBasis) -> CountedConsumable {
    let (name, unit) = (name.to_owned(), "each".to_owned());
    CountedConsumable { name, price: price("2.40"), unit, quantity: decimal(quantity), per, whole_units: true }
}

/// The press with every operation and everything that stands between cost and price.
fn quoted() -> Planned {
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
    pricing.counted = vec![counted("rollers", "0.5", LabourBasis::Door)];
    pricing.contingency = percent("5");
    pricing.gain = Gain::Margin(percent("20"));
    pricing.discount = percent("3");
    plan.job.shop.overhead = percent("12");
    plan.job.shop.tax = percent("7.25");
    plan.billed()
}

/// Two doors on one track, one slat length, one tongue; washed cloth, no chamfer. The three boards are
/// seven blanks of six rips, 5/8 and 1-1/4 wide, planed once. Two panels of 5.4050 sq ft together.
#[test]
fn a_quote_worked_by_hand_line_by_line() {
    let plan = quoted();
    assert_eq!(
        rows(&plan.bill)[5..],
        [
            // As in the bill above: boards 118.20, cloth 5.44, glue 7.18, varnish 18.75; half a roller a door.
            "materials case sheet goods: 3 sheet x 84 = 252.00",
            "services delivery: 1 sheet x 60 = 60.00",
            "labour template, maker: 1 hour x 55 = 55.00", // 1 x 60 min
            "labour test corner, maker: 0.75 hour x 55 = 41.25", // 1 x 45
            "labour glue-up form, maker: 0.75 hour x 55 = 41.25", // 1 x 45
            "labour grooves, maker: 0.9167 hour x 55 = 50.42", // 15 + 4 x 10 = 55
            "labour crosscutting, helper: 0.2 hour x 30 = 6.00", // 5 + 7 x 1 = 12
            "labour jointing, helper: 0.2 hour x 30 = 6.00", // 5 + 7 x 1 = 12
            "labour planing, helper: 0.2583 hour x 30 = 7.75", // 5 + 7 x 1.5 = 15.5
            "labour ripping, helper: 0.8583 hour x 30 = 25.75", // 2 x 10 + 42 x 0.75 = 51.5
            "labour sorting, helper: 0.14 hour x 30 = 4.20", // 42 x 0.2 = 8.4
            "labour glue-up, maker: 1.5 hour x 55 = 82.50", // 10 + 2 x 40 = 90
            "labour trimming, maker: 0.4167 hour x 55 = 22.92", // 5 + 2 x 10 = 25
            "labour rabbets, maker: 0.7333 hour x 55 = 40.33", // 20 + 4 x 6 = 44
            "labour sanding, helper: 0.3603 hour x 30 = 10.81", // 5.405 x 4 = 21.62
            "labour finishing, maker: 1.0405 hour x 55 = 57.23", // 3 x 10 + 3 x 5.405 x 2 = 62.43
            "labour hanging, maker: 1 hour x 55 = 55.00",  // 2 x 30
            // 151.97 + 312 + 506.41 of labour = 970.38; 1 % is 9.7038.
            "overhead overhead: 12 % x 9.7038 = 116.45",
            // 970.38 + 116.45 = 1086.83.
            "contingency contingency: 5 % x 10.8683 = 54.34",
            // 1141.17 / 0.8 = 1426.4625: a price of 1426.46.
            "margin margin: 20 % x 14.2646 = 285.29",
            // 1141.17 + 285.29 = 1426.46, 3 % off.
            "discount discount: 3 % x -14.2646 = -42.79",
            // 118.20 + 5.44 + 7.18 + 18.75 + 2.40 + 252.00 = 403.97; delivery and labour are not taxed.
            "tax tax: 7.25 % x 4.0397 = 29.29",
        ]
    );
    assert_eq!(rows(&plan.bill)[4], "consumables rollers: 1 each x 2.4 = 2.40");
    // 1426.46 - 42.79 + 29.29.
    assert_eq!(plan.bill.total, Cents::new(141_296));
    check_sums(&plan.bill);
    assert_eq!(verify(&plan.claim()), []);
}

/// A fifth of the price is a quarter of the cost: 1141.17 x 0.25 = 285.2925.
#[test]
fn the_same_gain_as_a_markup_gives_the_same_price() {
    let mut plan = quoted();
    plan.job.shop.pricing.gain = Gain::Markup(decimal("0.25"));
    let plan = plan.billed();
    assert!(rows(&plan.bill).contains(&"markup markup: 25 % x 11.4117 = 285.29".to_owned()));
    assert_eq!(plan.bill.total, Cents::new(141_296));
    assert_eq!(verify(&plan.claim()), []);
}

/// 1426.46 - 42.79 = 1383.67, without the delivery 1323.67.
#[test]
fn tax_on_the_price_leaves_out_the_lines_that_are_not_taxed() {
    let mut plan = quoted();
    plan.job.shop.pricing.tax_on = TaxOn::Price;
    let plan = plan.billed();
    assert_eq!(rows(&plan.bill).last().unwrap(), "tax tax: 7.25 % x 13.2367 = 95.97");
    assert_eq!(verify(&plan.claim()), []);
}

#[test]
fn the_verifier_sees_hours_shares_and_lines_that_were_changed() {
    let said = |change: &dyn Fn(&mut Planned)| {
        let mut plan = quoted();
        change(&mut plan);
        verify(&plan.claim()).iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    assert!(said(&|p| p.bill.work[3].hours += decimal("0.5")).contains("grooves takes 0.9167 hours, not 1.4167"));
    assert!(said(&|p| p.bill.shares[0].labour += Cents::new(1)).contains("the shares sum to"));
    assert!(said(&|p| p.bill.shares[0].boards = Cents::new(-1)).contains("negative"));
    assert!(said(&|p| drop(p.bill.shares.remove(0))).contains("the shares are not those of the doors"));
    assert!(said(&|p| p.job.shop.pricing.contingency = percent("6")).contains("contingency"));
    assert!(!said(&|p| p.job.shop.pricing.operations[9].minutes = decimal("9")).contains("ripping"));
    assert!(said(&|p| p.job.shop.pricing.operations[8].minutes = decimal("9")).contains("ripping"));
}

#[test]
fn shares_sum_to_the_total_and_follow_what_is_consumed() {
    let plan = quoted();
    let shares = &plan.bill.shares;
    assert_eq!(shares.iter().map(slatwright::bill::Share::total).sum::<Cents>(), plan.bill.total);
    // The one door takes all wood, cloth and work; the extra lines are the job's.
    let (door, job) = (&shares[0], &shares[1]);
    assert_eq!((door.boards, door.cloth), (Cents::new(11_820), Cents::new(544)));
    assert_eq!((door.lines, job.lines), (Cents::ZERO, Cents::new(31_200)));
    // 658.38 of 970.38 is the door's; of 116.45 + 54.34 + 285.29 - 42.79 + 29.29 = 442.58, line by line:
    // 79.01 + 36.87 + 193.56 - 29.03 + 19.87 = 300.28.
    assert_eq!((door.added, job.added), (Cents::new(30_028), Cents::new(14_230)));
}

/// Three doors that differ, and what each costs.
fn by_door(order: &[usize]) -> (Cents, Vec<(String, Cents)>) {
    let mut plan = quoted();
    let doors = [("a", "28", "12-1/4"), ("b", "28", "12-1/4"), ("c", "20", "18")];
    let cabinet = |at: &usize| cabinet(doors[*at].0, 1, vec![door_spec(doors[*at].0, doors[*at].1, doors[*at].2)]);
    plan.job.cabinets = order.iter().map(cabinet).collect();
    plan.job.shop.labour = vec![labour("fitting", "1", "55", LabourBasis::Cabinet)];
    plan.doors = common::doors(&plan.job);
    plan.demand = slatwright::demand::pool(&plan.job, &plan.doors).expect("the job can be counted");
    let bill = plan.billed().bill;
    let mut shares: Vec<_> = bill.shares.iter().map(|share| (share.name.clone(), share.total())).collect();
    shares.sort();
    (bill.total, shares)
}

#[test]
fn the_order_of_the_doors_changes_nothing() {
    let first = by_door(&[0, 1, 2]);
    for order in [[0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]] {
        assert_eq!(by_door(&order), first, "{order:?}");
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]

    /// A markup and the margin it leaves are the same money, and each gives the other back.
    #[test]
    fn markup_and_margin_invert_each_other(hundredths in 1u32..9_999) {
        let margin = Decimal::new(hundredths.into(), 4);
        let markup = slatwright::bill::markup_of_margin(margin).unwrap();
        let back = slatwright::bill::margin_of_markup(markup);
        proptest::prop_assert!((back - margin).abs() < decimal("0.00000001"), "{back} {margin}");
    }

    /// Whatever the figures: the parts sum to the total, only the discount is negative, and the second
    /// opinion agrees.
    #[test]
    fn any_pricing_adds_up(
        overhead in 0u32..60, contingency in 0u32..30, gain in 0u32..95, which in 0u8..3,
        discount in 0u32..50, tax in 0u32..30, on_price: bool,
    ) {
        let mut plan = quoted();
        let share = |hundredths: u32| percent(&hundredths.to_string());
        plan.job.shop.overhead = share(overhead);
        plan.job.shop.tax = share(tax);
        let pricing = &mut plan.job.shop.pricing;
        pricing.contingency = share(contingency);
        pricing.discount = share(discount);
        pricing.tax_on = if on_price { TaxOn::Price } else { TaxOn::Materials };
        pricing.gain = match which {
            0 => Gain::None,
            1 => Gain::Markup(Decimal::new(gain.into(), 2)),
            _ => Gain::Margin(share(gain)),
        };
        let plan = plan.billed();
        let shares: Cents = plan.bill.shares.iter().map(slatwright::bill::Share::total).sum();
        proptest::prop_assert_eq!(shares, plan.bill.total);
        check_sums(&plan.bill);
        for line in &plan.bill.costs {
            proptest::prop_assert!(line.cost >= Cents::ZERO || line.group == "discount", "{line:?}");
        }
        proptest::prop_assert_eq!(verify(&plan.claim()), vec![]);
    }
}
