//! Strips, boards and who gets what.

use itertools::Itertools;

use super::Sheet;
use crate::job::{BoardPlace, BoardStock, BoardUnit, Job, Milling};
use crate::measure::{Price, Units};
use crate::plan::Plan;
use crate::report::cell::Cell;
use crate::report::strips::{cut_per_part, yielded};

/// `slats.csv`: one pooled strip size a row.
#[must_use]
pub fn slats(plan: &Plan) -> Sheet {
    let cut = cut_per_part(&plan.boards, plan.demand.parts.len());
    let rows = plan.demand.parts.iter().zip(cut).map(|(part, cut)| {
        vec![
            Cell::text(&part.name),
            Cell::text(part.species.word()),
            Cell::Length(part.length),
            Cell::Length(part.width),
            Cell::Length(part.thickness),
            Cell::Count(part.needed.into()),
            Cell::Count(part.spares.into()),
            Cell::Count(part.total().into()),
            Cell::text(part.uses.iter().map(|user| user.name.as_str()).join("; ")),
            Cell::Count(cut.cast_signed() - i64::from(part.total())),
        ]
    });
    const COLUMNS: [&str; 10] =
        ["part", "species", "length", "width", "thickness", "needed", "spares", "total", "doors", "surplus"];
    Sheet::new("slats", &COLUMNS, rows.collect())
}

/// `boards.csv`: one kind of board used a row, by name.
#[must_use]
pub fn boards(job: &Job, plan: &Plan) -> Sheet {
    let by_name = plan.bill.boards.iter().sorted_by(|a, b| job.boards[a.stock].stock.cmp(&job.boards[b.stock].stock));
    let rows = by_name.map(|line| {
        let board = &job.boards[line.stock];
        let (price, per) = board_price(board, job.units);
        vec![
            Cell::text(&board.stock),
            Cell::text(board.species.word()),
            Cell::Thickness(board.thickness),
            Cell::Length(board.width),
            Cell::Length(board.length),
            Cell::text(if board.place == BoardPlace::Yard { "buy" } else { "on_hand" }),
            Cell::Count(line.boards.into()),
            Cell::Wood(line.volume),
            price,
            per,
            Cell::Money(line.cost),
            Cell::text(board.defects_text(job.units)),
            Cell::YesNo(board.place == BoardPlace::Picked),
        ]
    });
    const COLUMNS: [&str; 13] = [
        "stock",
        "species",
        "thickness",
        "width",
        "length",
        "source",
        "boards",
        "board_feet",
        "price",
        "per",
        "cost",
        "defects",
        "picked",
    ];
    Sheet::new("boards", &COLUMNS, rows.collect())
}

/// Price and what it is per, as a boards file has them.
pub(in crate::report) fn board_price(board: &BoardStock, units: Units) -> (Cell, Cell) {
    let free = match units {
        Units::Inch => BoardUnit::BoardFoot,
        Units::Millimetre => BoardUnit::CubicMetre,
    };
    let (price, per) = board.price.unwrap_or((Price::ZERO, free));
    (Cell::Price(price), Cell::text(per.word()))
}

/// `rips.csv`: one group of equal rips in one blank (or full-length rip) a row; boards numbered
/// from 1 in the order they are cut.
#[must_use]
pub fn rips(job: &Job, plan: &Plan) -> Sheet {
    let mut rows = Vec::new();
    for (board, cut) in (1i64..).zip(&plan.boards.boards) {
        for (number, blank) in (1i64..).zip(&cut.blanks) {
            for group in blank.rips.iter().sorted_by_key(|group| group.part) {
                let part = &plan.demand.parts[group.part];
                rows.push(vec![
                    Cell::Count(board),
                    Cell::text(&job.boards[cut.stock].stock),
                    Cell::text(cut.order.word()),
                    Cell::Count(number),
                    Cell::Length(blank.length),
                    Cell::text(milling_word(blank.milling)),
                    Cell::Length(blank.planed),
                    Cell::Count(blank.leaves.into()),
                    Cell::text(&part.name),
                    Cell::Length(group.rip_width),
                    Cell::Count(group.rips.into()),
                    Cell::Count(group.pieces.into()),
                    Cell::Count(yielded(blank, group).cast_signed()),
                    Cell::Length(part.length),
                    Cell::Length(group.from),
                ]);
            }
        }
    }
    const COLUMNS: [&str; 15] = [
        "board",
        "stock",
        "order",
        "blank",
        "blank_length",
        "milling",
        "planed_thickness",
        "leaves",
        "part",
        "rip_width",
        "rips",
        "pieces_per_rip",
        "strips",
        "strip_length",
        "from",
    ];
    Sheet::new("rips", &COLUMNS, rows)
}

/// `bundles.csv`: strips of one part off one board for one bundle a row. Strips that go into no bundle
/// are `spares`, or `surplus` beyond the spares that were asked for, and have no mark.
#[must_use]
pub fn bundles(plan: &Plan) -> Sheet {
    let mut spares: Vec<u64> = plan.demand.parts.iter().map(|part| part.spares.into()).collect();
    let mut rows = Vec::new();
    for (board, cut) in plan.boards.boards.iter().enumerate() {
        for (part, strips) in cut.strips() {
            let mut row = |name: &str, strips: u64, copy: Cell, mark: &str| {
                rows.push(vec![
                    Cell::Count(board as i64 + 1),
                    Cell::text(&plan.demand.parts[part].name),
                    Cell::text(name),
                    Cell::Count(strips.cast_signed()),
                    copy,
                    Cell::text(mark),
                ]);
            };
            let mut left = strips;
            for given in plan.tied.off(board, part) {
                let bundle = &plan.demand.bundles[given.bundle];
                let copy = bundle.copy.map_or(Cell::Empty, |copy| Cell::Count(copy.0.into()));
                row(&bundle.name, given.strips, copy, &bundle.mark);
                left -= given.strips;
            }
            let spare = left.min(spares[part]);
            spares[part] -= spare;
            for (name, strips) in [("spares", spare), ("surplus", left - spare)] {
                if strips > 0 {
                    row(name, strips, Cell::Empty, "");
                }
            }
        }
    }
    Sheet::new("bundles", &["board", "part", "door", "strips", "copy", "bundle"], rows)
}

const fn milling_word(milling: Milling) -> &'static str {
    match milling {
        Milling::Flat => "flat",
        Milling::Edge => "edge",
    }
}
