//! The bill of a plan made by hand: every line multiplies out and the lines sum to the total; the work is what the plan holds.

use crate::common;

use common::bills::{check_sums, consumable, extra, labour, quoted, rows};
use common::plans::{Planned, press};
use common::{bolt, cabinet, decimal, door_spec, inch, percent, ratio};
use rust_decimal::Decimal;
use slatwright::bill::{BillError, draw_up};
use slatwright::job::*;
use slatwright::measure::Cents;
use slatwright::verify::verify;

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
            "no. 10 duck: 0.375 yard, 60 in wide; taken as washed already",
            "glue: 0.39 quart",
            "varnish: 1 quart",
            "case sheet goods: 3 sheets",
        ]
    );
    let lumber = &plan.bill.buy[0];
    assert_eq!((lumber.what, lumber.quantity, lumber.cost), ("lumber", Decimal::from(3), Cents::new(11_820)));
    assert_eq!((lumber.at_least_width, lumber.at_least_length), (Some(inch("6")), Some(inch("96"))));
}

#[test]
fn random_widths_are_priced_in_a_line_of_their_own() {
    let mut plan = press();
    plan.job.boards[0].random = true;
    plan.job.shop.yard_allowance = ratio("0.1111");
    let fixed = plan.bill.clone();
    let plan = plan.billed();
    let lumber = &plan.bill.buy[0];
    // 12 bf x 0.1111 = 1.3332, up to the next hundredth.
    assert_eq!(lumber.allowance, decimal("1.34"));
    assert!(lumber.say.ends_with("; sold in random widths, so ask for 1.34 bf more (in the price)"), "{}", lumber.say);
    // 1.34 x 9.85 = 13.199, in a line of its own.
    let stock = &plan.job.boards[0].stock;
    let said = rows(&plan.bill);
    assert_eq!(said[1], format!("boards random widths, {stock}: 1.34 bf x 9.85 = 13.20"));
    assert_eq!(plan.bill.total, fixed.total + Cents::new(1_320));
    assert_eq!(plan.bill.costs.len(), fixed.costs.len() + 1);
    assert_eq!(verify(&plan.claim()), []);
}

#[test]
fn what_is_on_hand_is_on_the_bill_but_not_on_the_shopping_list() {
    let mut plan = press();
    plan.job.boards[0] =
        BoardStock { place: BoardPlace::Rack, price: None, unit_cost: Cents::ZERO, ..plan.job.boards[0].clone() };
    plan.job.boards[0].on_hand = Some(3);
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
    let draw = |p: &Planned| draw_up(&p.job, &p.doors, &p.demand, &p.boards, &p.cloth, &p.cased);
    assert_eq!(draw(&plan), Err(BillError::TooLarge { line: "gold leaf".to_owned() }));
    plan.job.lines = vec![extra("gold leaf", "materials", "90000000000", "1000000", false); 2];
    assert_eq!(draw(&plan), Err(BillError::TooLarge { line: "gold leaf".to_owned() }));
    plan.job.lines.clear();
    plan.job.shop.consumables = vec![consumable("glue", "0", 1, false, ConsumableArea::Glued)];
    assert_eq!(draw(&plan), Err(BillError::Coverage { name: "glue".to_owned() }));
    plan.boards.boards[0].stock = 7;
    assert_eq!(draw(&plan), Err(BillError::UnknownStock { index: 7 }));
}

/// The work of boards that are ripped first, of rips cut again and of resawn leaves: three boards of three, three and
/// one blank, the second of them ripped full length.
#[test]
fn work_follows_how_a_board_is_cut() {
    let mut plan = quoted();
    let boards = &mut plan.boards.boards;
    boards[1].order = Order::RipFirst;
    boards[1].blanks[0].leaves = 2;
    // Another row of the same six rips.
    let again = boards[1].blanks[0].rips[0];
    boards[1].blanks[0].rips.push(again);
    boards[2].blanks[0].rips[0].pieces = 2;
    let bill = plan.billed().bill;
    let counted = |operation| {
        let line = bill.work.iter().find(|line| line.rule.operation == operation).unwrap();
        (line.settings, line.quantity.to_string())
    };
    // 3 blanks; 6 + 6 + 6 + 6 pieces off the rips; 1 blank and 12 pieces.
    // A stop for blanks, one for pieces.
    assert_eq!(counted(Operation::Crosscut), (2, "40".to_owned()));
    // An edge and a face of 3 blanks, 1 board, 1 blank.
    assert_eq!(counted(Operation::Joint), (1, "10".to_owned()));
    // 5/8 off at 1/16 a pass, ten each of 3 blanks, of 6 and 6 rips and of 1 blank; a quarter off two leaves, an
    // eighth each: two of 6 x 2 leaves. 30 + 120 + 10 + 24.
    assert_eq!(counted(Operation::Plane), (1, "184".to_owned()));
    // 18; 6, 6, 6; 6. The fence goes to and fro between two widths.
    assert_eq!(counted(Operation::Rip), (4, "42".to_owned()));
}

/// 21 strips a panel, two panels, two edges: 84 passes, set once; a bevel on a second design is set again.
#[test]
fn edges_are_chamfered_where_a_door_asks_for_it() {
    let mut plan = quoted();
    plan.job.cabinets[0].doors[0].slats.edge_chamfer = inch("1/16");
    let plan = plan.billed();
    // 15 + 84 x 0.25 = 36 minutes.
    assert!(rows(&plan.bill).contains(&"labour chamfering, helper: 0.6 hour x 30 = 18.00".to_owned()));
    assert_eq!(verify(&plan.claim()), []);
    let chamfered = |bevel: f64| {
        let mut plan = plan.clone();
        let mut bevelled = cabinet("plain", 1, vec![door_spec("plain", "28", "12-1/4")]);
        bevelled.doors[0].slats.edge_bevel = bevel;
        plan.job.cabinets.push(bevelled);
        plan.doors = common::doors(&plan.job);
        let work = plan.billed().bill.work;
        let line = work.iter().find(|line| line.rule.operation == Operation::Chamfer).unwrap();
        (line.settings, line.quantity.to_string())
    };
    assert_eq!(chamfered(2.0), (2, "126".to_owned()));
    assert_eq!(chamfered(0.0), (1, "84".to_owned()));
}

/// Fitting is by the cabinet: two of one door, one of two doors that share it.
#[test]
fn a_cabinet_s_work_is_shared_by_its_doors() {
    let mut plan = quoted();
    plan.job.cabinets = vec![
        cabinet("twin", 2, vec![door_spec("a", "28", "12-1/4")]),
        cabinet("single", 1, vec![door_spec("b", "28", "12-1/4"), door_spec("c", "28", "12-1/4")]),
    ];
    plan.job.shop.labour = vec![labour("fitting", "1", "55", LabourBasis::Cabinet)];
    plan.job.shop.pricing.operations.clear();
    plan.doors = common::doors(&plan.job);
    plan.demand = slatwright::demand::pool(&plan.job, &plan.doors).expect("the job can be counted");
    let bill = plan.billed().bill;
    let labour: Vec<_> = bill.shares.iter().map(|share| (share.name.as_str(), share.labour.get())).collect();
    assert_eq!(labour, [("a", 11_000), ("b", 2_750), ("c", 2_750), ("herbarium", 0)]);
}

#[test]
fn cloth_that_shrinks_is_washed_first_and_the_list_says_so() {
    let say = |along: &str, across: &str| {
        let mut plan = quoted();
        let (shrink_along, shrink_across) = (percent(along), percent(across));
        plan.job.bolts[0] =
            Bolt { taken_as_washed: false, shrink_along, shrink_across, ..bolt("plain", "60", "14.50") };
        let bill = plan.billed().bill;
        let washed = rows(&bill).iter().any(|row| row.starts_with("labour washing cloth, helper: 0.3708 hour"));
        (bill.buy.iter().find(|line| line.what == "cloth").unwrap().say.clone(), washed)
    };
    assert_eq!(say("0", "0"), ("plain: 0.375 yard, 60 in wide".to_owned(), false));
    // 20 + 0.375 x 6 = 22.25 minutes.
    let unwashed = "plain: 0.375 yard, 60 in wide; unwashed: wash and dry it before cutting";
    for (along, across) in [("5", "0"), ("0", "3"), ("5", "3")] {
        assert_eq!(say(along, across), (unwashed.to_owned(), true), "{along} {across}");
    }
}

/// One board 2 x 6 mm comes to no board foot in two places: its allowance is no share of that.
#[test]
fn boards_of_no_board_feet_are_asked_for_all_the_same() {
    let job = "name = \"tiny\"\nunits = \"mm\"\nshop = \"s\"\nboards = \"b\"\n[[strip]]\nname = \"slip\"\nspecies = \"cherry\"\n\
               length = 5\nwidth = 1\nthickness = 10\nquantity = 1\nspares = \"none\"\n";
    let shop = "[cutting]\nrip_kerf = 0\ncrosscut_kerf = 0\nend_trim = 0\nedge_trim = 0\nhold_width = 0\n\
                length_trim = 0\nmin_blank = 0\nface_trim = 0\n";
    let boards = "stock,species,thickness,width,length,on_hand,price,per,random,min_width,max_width\n\
                  a,cherry,4/4,2,6,,9.85,bf,yes,1,3\n";
    let sources = slatwright::files::Sources::in_memory("j", job).with("s", shop).with("b", boards);
    let job = slatwright::job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
    let listen = &mut |_, _| slatwright::packing::Flow::Continue;
    let plan = slatwright::plan::plan(&job, &slatwright::packing::Budget::default(), listen).expect("one board does");
    let said = &plan.bill.buy[0].say;
    assert!(
        said.contains("the allowance of 0.003 m3 (none of it in the price)") && said.contains("1 board just under"),
        "{said}"
    );
}
