//! The way from cost to price, worked by hand, and the quote as its two readers see it.

use crate::common;

use common::bills::{check_sums, extra, labour, quoted, rows};
use common::plans::Planned;
use common::{cabinet, decimal, door_spec, doors, inch, percent, price, strip};
use rust_decimal::Decimal;
use slatwright::bill::{Payment, quote};
use slatwright::job::*;
use slatwright::measure::Cents;
use slatwright::verify::verify;

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

/// Three panels have six ends to groove and six tongues to cut.
#[test]
fn both_ends_of_every_panel_are_worked() {
    let mut plan = quoted();
    plan.job.cabinets[0].count = 3;
    plan.doors = doors(&plan.job);
    let plan = plan.billed();
    let quantity = |operation| {
        let line = plan.bill.work.iter().find(|line| line.rule.operation == operation).expect("is costed");
        (line.settings, line.quantity)
    };
    assert_eq!(quantity(Operation::Grooves), (1, decimal("6")));
    assert_eq!(quantity(Operation::Rabbet), (1, decimal("6")));
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
    let slower = |operation| {
        said(&|p| {
            let rules = &mut p.job.shop.pricing.operations;
            rules.iter_mut().filter(|rule| rule.operation == operation).for_each(|rule| rule.minutes = decimal("9"));
        })
    };
    assert!(!slower(Operation::Chamfer).contains("ripping"));
    assert!(slower(Operation::Rip).contains("ripping"));
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

fn lines(plan: &Planned) -> Vec<(String, i64)> {
    let quote = quote(&plan.job, &plan.doors, &plan.bill);
    assert_eq!(quote.price.iter().map(|line| line.1).sum::<Cents>(), quote.total);
    quote.price.into_iter().map(|(text, cents)| (text, cents.get())).collect()
}

/// Of the lines worked out above: 1426.46 before the discount, 42.79 off, tax 29.29 at cost or 95.97 on the price.
#[test]
fn the_client_reads_a_price_and_no_cost() {
    let mut plan = quoted();
    let (work, off) = ("the work as described".to_owned(), ("discount of 3 %".to_owned(), -4_279));
    assert_eq!(lines(&plan), [(format!("{work}, tax included"), 145_575), off.clone()]);
    plan.job.shop.pricing.tax_on = TaxOn::Price;
    let mut plan = plan.billed();
    assert_eq!(lines(&plan), [(work.clone(), 142_646), off, ("tax of 7.25 %".to_owned(), 9_597)]);
    plan.job.shop.tax = percent("0");
    plan.job.shop.pricing.discount = percent("0");
    assert_eq!(lines(&plan.billed()), [(work, 142_646)]);
}

#[test]
fn the_client_reads_what_is_built_of_what_and_on_which_terms() {
    let mut plan = quoted();
    plan.job.client = Some("the reading room".to_owned());
    plan.job.cabinets[0].inside = Some(InsideSize { width: inch("28"), depth: inch("16"), height: inch("30-1/2") });
    let edging = Species::settled("white oak");
    plan.job.strips = vec![LooseStrip { species: edging, ..strip("edging", "20", "3/4", "1/4", 4) }];
    plan.job.cloth_pieces = vec![LooseCloth {
        name: "lining".to_owned(),
        along: inch("12"),
        across: inch("9"),
        quantity: 3,
        turn: false,
        in_the_price: false,
    }];
    plan.job.shop.consumables.push(common::bills::consumable("wax", "200", 1, true, ConsumableArea::Show));
    plan.job.shop.pricing.terms = Terms {
        valid_days: Some(30),
        lead_time: Some("eight weeks".to_owned()),
        exclusions: vec!["painting".to_owned(), "stairs".to_owned()],
        change_rate: Some(price("65")),
    };
    let quote = quote(&plan.job, &plan.doors, &plan.bill);
    assert_eq!(
        (quote.job.as_str(), quote.client.as_deref(), quote.currency.as_str()),
        ("herbarium", Some("the reading room"), "USD")
    );
    assert_eq!(
        quote.scope,
        [
            "2 x press: 1 tambour door each, inside 28 x 16 x 30-1/2 in (w x d x h)",
            "4 x edging: white oak, 20 x 3/4 x 1/4 in",
            "3 x lining: cloth, 12 x 9 in",
            "case sheet goods (3 sheets)",
            "delivery (1 sheet)",
        ]
    );
    assert_eq!(quote.doors, ["2 x press: 20 slats of black cherry and a lead slat, 28-9/16 x 13-5/8 in"]);
    assert_eq!(
        quote.materials,
        [
            "black cherry slats, 5/8 x 3/8 in",
            "white oak strips",
            "cotton cloth, glued to the back of the slats",
            "varnish, 3 coats on the show faces",
            "wax, one coat on the show faces",
        ]
    );
    let terms: Vec<_> = quote.terms.iter().map(|(heading, text)| format!("{heading}: {text}")).collect();
    assert_eq!(
        terms,
        [
            "lead time: eight weeks",
            "validity: this offer stands for 30 days from its date",
            "not included: painting; stairs",
            "changes: priced in writing and agreed before they are made: USD 65.00 for an hour of work, materials as quoted",
        ]
    );
}

#[test]
fn a_job_without_doors_or_terms_promises_neither() {
    let mut plan = quoted();
    plan.job.cabinets.clear();
    plan.job.lines.clear();
    plan.job.shop.consumables.clear();
    let quote = quote(&plan.job, &[], &plan.bill);
    assert!(quote.scope.is_empty() && quote.doors.is_empty() && quote.materials.is_empty());
    assert_eq!(quote.terms, [("changes".to_owned(), "priced in writing and agreed before they are made".to_owned())]);
    assert_eq!(quote.maker.forms, "");
}

/// Stages share the price; where a cent is left over and the parts are equal, the balance carries it.
#[test]
fn payments_sum_to_the_price_and_the_last_carries_the_odd_cent() {
    let mut plan = quoted();
    let amounts = |plan: &Planned| -> Vec<i64> {
        let payments = quote(&plan.job, &plan.doors, &plan.bill).payments;
        payments.iter().map(|payment| payment.amount.get()).collect()
    };
    let whole = quote(&plan.job, &plan.doors, &plan.bill).payments;
    let due = "on delivery".to_owned();
    assert_eq!(whole, [Payment { name: "payment".to_owned(), due, amount: Cents::new(141_296) }]);
    let stage =
        |name: &str, share: &str| PayStage { name: name.to_owned(), due: format!("at {name}"), share: percent(share) };
    plan.job.shop.pricing.stages = vec![stage("order", "50"), stage("delivery", "50")];
    assert_eq!(amounts(&plan), [70_648, 70_648]);
    plan.bill.total = Cents::new(10_001);
    assert_eq!(amounts(&plan), [5_000, 5_001]);
    plan.job.shop.pricing.stages = vec![stage("order", "30"), stage("start", "30"), stage("delivery", "40")];
    assert_eq!(amounts(&plan), [3_000, 3_000, 4_001]);
    assert_eq!(quote(&plan.job, &plan.doors, &plan.bill).payments[1].due, "at start");
}

/// Hours of the lines worked out above, by stage: 1 + 0.75 + 0.75; 0.9167; 0.2 + 0.2 + 0.2583 + 0.8583 + 0.14;
/// 1.5 + 0.4167 + 0.7333; 1.0405 and 0.3603; 1. A labour line of 2.5 h is nobody's stage and the maker's time.
#[test]
fn the_maker_reads_hours_by_stage_and_by_person() {
    let mut plan = quoted();
    plan.job.shop.labour = vec![labour("design", "2.5", "55", LabourBasis::Job)];
    plan.job.lines.push(extra("design", "services", "7", "1", false));
    let mut plan = plan.billed();
    let stages: Vec<_> = quote(&plan.job, &plan.doors, &plan.bill)
        .maker
        .stages
        .iter()
        .map(|(stage, maker, helper)| format!("{} {maker} {helper}", stage.word()))
        .collect();
    assert_eq!(
        stages,
        [
            "preparing 2.50 0",
            "case 0.9167 0",
            "milling 0 1.6566",
            "panels 2.6500 0",
            "finishing 1.0405 0.3603",
            "hanging 1 0",
            "other 2.5 0",
        ]
    );
    // The maker: 8.1072 and 2.5; the helper: 2.0169. Tenths are rounded up.
    let mut said = |maker: Option<&str>, helper: Option<&str>| -> Vec<String> {
        plan.job.shop.pricing.hours.maker = maker.map(decimal);
        plan.job.shop.pricing.hours.helper = helper.map(decimal);
        let people = quote(&plan.job, &plan.doors, &plan.bill).maker.people;
        people.iter().map(slatwright::bill::PersonHours::say).collect()
    };
    assert_eq!(said(None, None), ["maker: 10.7 h needed", "helper: 2.1 h needed"]);
    assert_eq!(
        said(Some("10"), Some("4.00")),
        ["maker: 10.7 h needed, 10 h there: 0.7 h short", "helper: 2.1 h needed, 4 h there"]
    );
    assert_eq!(
        said(Some("10.6072"), Some("0")),
        ["maker: 10.7 h needed, 10.6072 h there", "helper: 2.1 h needed, 0 h there: 2.1 h short"]
    );
    plan.job.shop.pricing.operations.retain(|rule| rule.person == Person::Maker);
    let mut plan = plan.billed();
    let people = |plan: &Planned| quote(&plan.job, &plan.doors, &plan.bill).maker.people;
    plan.job.shop.pricing.hours.helper = None;
    assert_eq!(people(&plan).len(), 1, "a helper who has nothing to do is left out");
    plan.job.shop.pricing.hours.helper = Some(Decimal::ONE);
    assert_eq!(people(&plan)[1].say(), "helper: 0 h needed, 1 h there");
}

#[test]
fn the_busiest_form_sets_the_pace() {
    let mut plan = quoted();
    let said = |plan: &Planned| quote(&plan.job, &plan.doors, &plan.bill).maker.forms;
    assert_eq!(said(&plan), "1 form; the busiest takes 2 panels one after another, 2 h each: 4 h in all");
    let doors = [("a", "28"), ("b", "28"), ("c", "20")];
    let door = |(name, between): (&str, &str)| cabinet(name, 1, vec![door_spec(name, between, "12-1/4")]);
    plan.job.cabinets = doors.map(door).to_vec();
    plan.doors = common::doors(&plan.job);
    plan.job.shop.pricing.hours.in_form = decimal("1.50");
    assert_eq!(
        said(&plan),
        "2 forms, one a slat length; the busiest takes 2 panels one after another, 1.50 h each: 3 h in all"
    );
}

#[test]
fn the_maker_reads_markup_and_margin_whichever_was_given() {
    let mut plan = quoted();
    let mut gain = |gain| {
        plan.job.shop.pricing.gain = gain;
        quote(&plan.job, &plan.doors, &plan.bill).maker.gain
    };
    assert_eq!(gain(Gain::None), None);
    assert_eq!(gain(Gain::Markup(decimal("0.25"))), Some((decimal("0.25"), decimal("0.2"))));
    assert_eq!(gain(Gain::Margin(percent("20"))), Some((decimal("0.25"), decimal("0.2"))));
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
