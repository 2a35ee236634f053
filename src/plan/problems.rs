//! A job as the packings see it: sizes, counts and stock, without doors and names.

use itertools::Itertools;

use super::{Bundle, Casework, Demand};
use crate::case::sheet_rules;
use crate::job::{Bolt, Job, Millings, Species};
use crate::measure::{Length, Price, StockThickness};
use crate::packing::boards::{BoardKind, BoardProblem, StripDemand};
use crate::packing::bundles::Want;
use crate::packing::cloth::{BoltKind, ClothProblem, PieceDemand};

/// The board packing's view of a job: every stock row, in file order, so that indices agree.
#[must_use]
pub fn board_problem(job: &Job, demand: &Demand) -> BoardProblem {
    let species: Vec<&Species> =
        demand.parts.iter().map(|p| &p.species).chain(job.boards.iter().map(|b| &b.species)).sorted().dedup().collect();
    let label = |wood: &Species| species.binary_search(&wood).expect("every species was collected above");
    let parts = demand.parts.iter().map(|part| StripDemand {
        label: label(&part.species),
        length: part.length,
        width: part.width,
        thickness: part.thickness,
        millings: part.millings,
        count: part.total(),
    });
    let stock = job.boards.iter().map(|board| BoardKind {
        label: label(&board.species),
        thickness: board.thickness,
        width: board.width,
        length: board.length,
        defects: board.defects.clone(),
        available: board.on_hand,
        cost: board.unit_cost,
    });
    BoardProblem { parts: parts.collect(), stock: stock.collect(), rules: job.shop.cutting }
}

/// What the demand's bundles take.
#[must_use]
pub fn bundle_wants(demand: &Demand) -> Vec<Want> {
    let want = |bundle: &Bundle| {
        let takes = bundle.takes.iter().map(|takes| (takes.part, takes.strips)).into_grouping_map().sum();
        Want { takes: takes.into_iter().sorted().collect(), door: bundle.door }
    };
    demand.bundles.iter().map(want).collect()
}

/// The cloth packing's view of a job: every bolt, in file order, washed.
#[must_use]
pub fn cloth_problem(job: &Job, demand: &Demand) -> ClothProblem {
    let pieces = demand.cloth.iter().map(|need| PieceDemand {
        along: need.along,
        across: need.across,
        turn: need.turn,
        count: u32::try_from(need.owners.len()).expect("the file limits keep piece counts far below u32"),
    });
    ClothProblem { pieces: pieces.collect(), bolts: job.bolts.iter().map(bolt_kind).collect() }
}

fn bolt_kind(bolt: &Bolt) -> BoltKind {
    let (price, unit) = bolt.price.map_or((Price::ZERO, Length::from_inches(36)), |(price, per)| (price, per.length()));
    BoltKind {
        usable_width: bolt.usable_width(),
        usable_length: bolt.on_hand.map(|length| length.shrunk_by(bolt.shrink_along)),
        price,
        unit,
        increment: bolt.increment,
        shrink_along: bolt.shrink_along,
        on_hand: bolt.on_hand,
    }
}

/// The packing's view of a job's sheets: every row, in file order, so that indices agree.
#[must_use]
pub fn sheet_problem(job: &Job, case: &Casework) -> BoardProblem {
    let goods = |material: &str, thickness: Length| (material.to_lowercase(), thickness);
    let rows = job.sheets.iter().map(|sheet| goods(&sheet.material, sheet.thickness));
    let kinds: Vec<(String, Length)> = rows.sorted().dedup().collect();
    let label = |kind| kinds.binary_search(&kind).expect("a part is of some row's kind");
    let parts = case.parts.iter().map(|part| StripDemand {
        label: label(goods(&part.material, part.thickness)),
        length: part.length,
        width: part.width,
        thickness: part.thickness,
        millings: Millings::Flat,
        count: part.count,
    });
    let stock = job.sheets.iter().map(|sheet| BoardKind {
        label: label(goods(&sheet.material, sheet.thickness)),
        thickness: StockThickness::Plain(sheet.thickness),
        width: sheet.width,
        length: sheet.length,
        defects: Vec::new(),
        available: sheet.on_hand,
        cost: sheet.unit_cost,
    });
    BoardProblem { parts: parts.collect(), stock: stock.collect(), rules: sheet_rules(&job.shop.panels) }
}
