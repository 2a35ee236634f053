//! A small job built in code: one cabinet design, two doors in tracks given in full.

#![allow(dead_code, reason = "each test file uses its own part of it")]

pub(crate) mod bills;
pub(crate) mod dice;
pub(crate) mod plans;
#[cfg(unix)]
pub(crate) mod pty;
mod shop_rules;

use std::ops::Div;

use rust_decimal::Decimal;
use slatwright::doors::Door;
use slatwright::job::*;
use slatwright::measure::{Cents, Price, Ratio, Units, parse_thickness};

pub(crate) use shop_rules::{cherry, inch, shop, slats};

/// The program under test.
pub(crate) fn program() -> std::process::Command {
    std::process::Command::new(env!("CARGO_BIN_EXE_slatwright"))
}

/// How many of so many cases of a kind are tried: a tenth, or all of them with `CASES=all`, as `.ci/run` says for the
/// files of tests that use it.
pub(crate) fn some_of<N: From<u8> + Div<Output = N>>(cases: N) -> N {
    if all_cases() { cases } else { cases / N::from(10) }
}

/// Whether every case of every kind is tried.
pub(crate) fn all_cases() -> bool {
    std::env::var("CASES").is_ok_and(|cases| cases == "all")
}

pub(crate) fn decimal(text: &str) -> Decimal {
    text.parse().expect("a figure")
}

pub(crate) fn price(text: &str) -> Price {
    Price::parse(text).expect("a price")
}

pub(crate) fn ratio(text: &str) -> Ratio {
    Ratio::below_one(decimal(text)).expect("a share")
}

pub(crate) fn percent(text: &str) -> Ratio {
    Ratio::percent(decimal(text)).expect("a share")
}

/// A door whose opening along the travel is `cover`.
pub(crate) fn door_spec(name: &str, between: &str, cover: &str) -> DoorSpec {
    DoorSpec {
        name: name.to_owned(),
        slats: slats(),
        track: DoorTrack::Path {
            name: "straight run".to_owned(),
            path: vec![Segment::Straight(inch("60"))],
            cover: inch(cover),
            travel: inch("12"),
            runs: Runs::Level,
        },
        groove: Groove { width: inch("1/4"), depth: inch("5/16"), panel: Panel::Usual(inch("3/4")) },
        between: inch(between),
    }
}

pub(crate) fn cabinet(name: &str, count: u32, doors: Vec<DoorSpec>) -> Cabinet {
    Cabinet { name: name.to_owned(), count, inside: None, doors, turn: None, seam: false, case: None }
}

/// No spares, nothing to cut, nothing to cut from.
pub(crate) fn empty_job() -> Job {
    Job {
        name: "herbarium".to_owned(),
        client: None,
        units: Units::Inch,
        cabinets: Vec::new(),
        strips: Vec::new(),
        cloth_pieces: Vec::new(),
        lines: Vec::new(),
        spares: SparesRule {
            rate: SpareRate::None,
            rates: Vec::new(),
            known_from: None,
            by_board: 1.into(),
            second_trip: None,
            confidence: ratio("0.95"),
            setup_strips: 0,
            repair_strips: 0,
        },
        boards: Vec::new(),
        bolts: Vec::new(),
        sheets: Vec::new(),
        shop: shop(),
        history: slatwright::job::History::default(),
        alternatives: Vec::new(),
        options: Vec::new(),
        defaults: Vec::new(),
        written: Written::default(),
    }
}

pub(crate) fn strip(name: &str, length: &str, width: &str, thickness: &str, quantity: u32) -> LooseStrip {
    LooseStrip {
        name: name.to_owned(),
        species: cherry(),
        length: inch(length),
        width: inch(width),
        thickness: inch(thickness),
        quantity,
        spares: None,
        milling: Millings::Flat,
        in_the_price: false,
    }
}

/// A cherry board for sale by the board foot: `unit_cost` is the price of one, worked out by hand.
pub(crate) fn board(stock: &str, thickness: &str, width: &str, length: &str, per_foot: &str, cents: i64) -> BoardStock {
    BoardStock {
        stock: stock.to_owned(),
        species: cherry(),
        thickness: parse_thickness(thickness, Units::Inch).expect("a thickness"),
        width: inch(width),
        length: inch(length),
        defects: Vec::new(),
        place: BoardPlace::Yard,
        on_hand: None,
        price: Some((price(per_foot), BoardUnit::BoardFoot)),
        unit_cost: Cents::new(cents),
        random: false,
        widths: None,
        held: Vec::new(),
    }
}

/// A washed bolt for sale by the yard, cut to eighths of a yard.
pub(crate) fn bolt(name: &str, width: &str, per_yard: &str) -> Bolt {
    Bolt {
        bolt: name.to_owned(),
        width: inch(width),
        selvage: inch("1/2"),
        on_hand: None,
        price: Some((price(per_yard), ClothUnit::Yard)),
        increment: inch("4-1/2"),
        shrink_along: Ratio::ZERO,
        shrink_across: Ratio::ZERO,
        taken_as_washed: true,
    }
}

/// The doors of a job by the rules of thumb alone: slats rounded up to cover and overlap.
pub(crate) fn doors(job: &Job) -> Vec<Door> {
    let each = job.cabinets.iter().enumerate();
    each.flat_map(|(c, cabinet)| (0..cabinet.doors.len()).map(move |d| (c, d))).map(|(c, d)| door(job, c, d)).collect()
}

fn door(job: &Job, cabinet: usize, index: usize) -> Door {
    let spec = &job.cabinets[cabinet].doors[index];
    let DoorTrack::Path { path, cover, travel, .. } = &spec.track else { panic!("tracks given in full only") };
    let clearance = job.shop.clearance;
    let overlap = match clearance.overlap {
        Overlap::Slats(n) => spec.slats.width * i64::from(n),
        Overlap::Length(length) => length,
    };
    let slats = (*cover + overlap - spec.slats.lead_width).div_ceil(spec.slats.width);
    let slat_length = spec.between + spec.groove.depth * 2 - clearance.end_play;
    let canvas = job.shop.canvas;
    let end_clear = match canvas.end_clear {
        EndClear::Given(length) => length,
        EndClear::AtLeast(least) => least.max(spec.slats.rabbet_length + inch("1/8")),
    };
    let of_slats = spec.slats.width * slats;
    Door {
        name: spec.name.clone(),
        cabinet,
        index,
        count: job.cabinets[cabinet].count,
        slats: u32::try_from(slats).expect("a few slats"),
        slat_width: spec.slats.width,
        lead_width: spec.slats.lead_width,
        slat_length,
        tongue: spec.slats.thickness - spec.slats.rabbet_depth,
        door_length: spec.slats.lead_width + of_slats,
        path: path.clone(),
        cover: *cover,
        travel: *travel,
        cloth_along_slat: slat_length - end_clear * 2 + canvas.trim * 2,
        cloth_along_travel: of_slats - canvas.tail_clear + canvas.lead_lap + canvas.trim * 2,
        checks: Vec::new(),
        notes: Vec::new(),
        stops: Vec::new(),
        fixes: Vec::new(),
        details: slatwright::doors::Details::default(),
    }
}
