//! Plans made by hand that are right, with the sums beside them.

use slatwright::job::{
    Bolt, Consumable, ConsumableArea, ExtraLine, LabourBasis, LabourLine, LooseCloth, Milling, Millings, Order,
    OrderRule,
};
use slatwright::packing::boards::Blank;

use crate::common::plans::{Planned, blank, board_plan, cut, laid, no_cloth, one_bolt, press, rips, strips_job};
use crate::common::{board, bolt, decimal, empty_job, inch, percent, price, ratio, strip};

/// Rip first from one board 5 in by 60: 57 in usable, 3-3/4 in usable width, three rips of 5/8 with
/// three pieces of 12 (37-3/4 with trims and kerfs), one rip of 1-1/8 with three of 12 and one of 15
/// (53-3/8), which are 1-1/8 and 5/8 wide: 3 and three kerfs are 3-3/8.
pub(crate) fn rip_first() -> Planned {
    let mut job = strips_job(vec![
        strip("narrow", "12", "5/8", "3/8", 9),
        strip("short narrow", "15", "5/8", "3/8", 1),
        strip("wide", "12", "1-1/8", "3/8", 3),
    ]);
    job.shop.cutting.order = OrderRule::Any;
    // 60 in x 5 in x 1 in is 2-1/12 bf; at 6.00 that is 12.50.
    job.boards = vec![board("cherry 5", "4/4", "5", "60", "6", 1250)];
    let full = |rows| blank("57", "3/8", rows);
    let blanks = vec![full(vec![rips(0, "5/8", 3, 3)]), full(vec![rips(1, "1-1/8", 1, 1), rips(2, "1-1/8", 1, 3)])];
    Planned::new(job, board_plan(vec![cut(0, Order::RipFirst, blanks)], 1250), no_cloth(0))
}

/// On edge from 8/4: planed to 1-1/2 wide (faces 1/8 each: 1-3/4), ripped to 1/4 + 1/32, 14 rips of
/// 9/32 and 13 kerfs are 5-9/16 of 6 usable.
pub(crate) fn on_edge() -> Planned {
    let mut job = strips_job(vec![strip("lipping", "20", "1-1/2", "1/4", 14)]);
    job.strips[0].milling = Millings::Any;
    // 7 in x 48 in x 2 in is 4-2/3 bf; at 7.50 that is 35.00.
    job.boards = vec![board("cherry 8/4", "8/4", "7", "48", "7.50", 3500)];
    let blank = Blank { milling: Milling::Edge, ..blank("20-1/2", "1-1/2", vec![rips(0, "9/32", 14, 1)]) };
    Planned::new(job, board_plan(vec![cut(0, Order::CrosscutFirst, vec![blank])], 3500), no_cloth(0))
}

/// Two leaves of 1/4 from 5/4: 2 (1/4 + 3/16) + 1/8 + 2 (1/16) = 1-1/8 of 1-1/4.
pub(crate) fn resawn() -> Planned {
    let mut job = strips_job(vec![strip("slip", "24", "1", "1/4", 10)]);
    job.shop.cutting.resaw = true;
    // 7 in x 30 in x 1-1/4 in is 1.8229 bf; at 8.00 that is 14.5833.
    job.boards = vec![board("cherry 5/4", "5/4", "7", "30", "8", 1458)];
    let blank = Blank { leaves: 2, ..blank("24-1/2", "1/4", vec![rips(0, "1", 5, 1)]) };
    Planned::new(job, board_plan(vec![cut(0, Order::CrosscutFirst, vec![blank])], 1458), no_cloth(0))
}

/// Two levels on unwashed cloth that shrinks a tenth along and a twentieth across: 57 of 60 usable. A
/// panel of 30 with one of 20 behind a cut at 30, where 20 and a turned 15 lie side by side: 50 in
/// washed, 55.56 unwashed, 58-1/2 at eighths of a yard, 1.625 yd at 8.00 are 13.00.
pub(crate) fn two_levels() -> Planned {
    let mut job = empty_job();
    let piece = |name: &str, along, across, turn| LooseCloth {
        name: name.to_owned(),
        along: inch(along),
        across: inch(across),
        quantity: 1,
        turn,
        in_the_price: false,
    };
    job.cloth_pieces =
        vec![piece("long", "30", "40", false), piece("short", "20", "22", false), piece("turned", "35", "15", true)];
    let sold = bolt("linen", "61", "8");
    job.bolts = vec![Bolt { shrink_along: ratio("0.1"), shrink_across: ratio("0.05"), taken_as_washed: false, ..sold }];
    let mut pieces =
        vec![laid(0, "0", "0", "30", "40"), laid(1, "30", "0", "20", "22"), laid(2, "30", "22", "15", "35")];
    pieces[2].turned = true;
    Planned::new(job, board_plan(vec![], 0), one_bolt(pieces, "50", "58-1/2", 1300))
}

/// One level 30 high: beside the long piece one of 6 with two of 12 on it, 55 of 60 across.
pub(crate) fn stacks() -> Planned {
    let mut job = empty_job();
    let piece = |name: &str, along, across, quantity| LooseCloth {
        name: name.to_owned(),
        along: inch(along),
        across: inch(across),
        quantity,
        turn: false,
        in_the_price: false,
    };
    job.cloth_pieces = vec![piece("long", "30", "25", 1), piece("wide", "6", "30", 1), piece("low", "12", "14", 2)];
    job.bolts = vec![bolt("linen", "61", "8")];
    let pieces = vec![
        laid(0, "0", "0", "30", "25"),
        laid(1, "0", "25", "6", "30"),
        laid(2, "6", "25", "12", "14"),
        laid(2, "18", "25", "12", "14"),
    ];
    // 30 in is 31-1/2 at eighths of a yard, 0.875 yd at 8.00.
    Planned::new(job, board_plan(vec![], 0), one_bolt(pieces, "30", "31-1/2", 700))
}

pub(crate) fn first_blank(plan: &mut Planned) -> &mut Blank {
    &mut plan.boards.boards[0].blanks[0]
}

/// The press with a line of every kind on its bill.
pub(crate) fn full_bill() -> Planned {
    let mut plan = press();
    plan.job.shop.consumables = vec![Consumable {
        name: "glue".to_owned(),
        price: price("18.75"),
        unit: "quart".to_owned(),
        covers_square_feet: decimal("12.5"),
        coats: 1,
        whole_units: false,
        on: ConsumableArea::Glued,
    }];
    plan.job.lines = vec![ExtraLine {
        name: "sheet goods".to_owned(),
        group: "materials".to_owned(),
        quantity: decimal("3"),
        unit: "sheet".to_owned(),
        price: price("84"),
        taxed: true,
        in_the_price: false,
    }];
    let labour =
        |name: &str, hours, per| LabourLine { name: name.to_owned(), hours: decimal(hours), rate: price("55"), per };
    plan.job.shop.labour =
        vec![labour("moulding", "0.02", LabourBasis::Strip), labour("hanging", "1", LabourBasis::Door)];
    plan.job.shop.overhead = percent("12.5");
    plan.job.shop.tax = percent("7.25");
    plan.billed()
}
