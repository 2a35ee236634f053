//! Jobs made by hand for the geometry tests.

#![allow(dead_code, unused_imports, reason = "each test file uses its own part")]

use slatwright::job::{
    Cabinet, DoorSpec, DoorTrack, Groove, Hand, InsideSize, Job, Panel, Runs, Segment, SlatSpec, SpareRate, SparesRule,
};
use slatwright::measure::{Length, Ratio, Units};

pub(crate) mod band;
pub(crate) mod brute;
#[path = "../common/shop_rules.rs"]
mod shop_rules;

pub(crate) use shop_rules::{inch as inches, shop, slats};

/// A case 36 x 15-1/2 x 28 with grooves 3/4 in from its faces and corners of 3 in.
pub(crate) fn case(hand: Hand) -> DoorTrack {
    DoorTrack::Case {
        inside: InsideSize { width: inches("36"), depth: inches("15-1/2"), height: inches("28") },
        hand,
        setback: inches("3/4"),
        side_inset: inches("3/4"),
        back_inset: inches("3/4"),
        corner_radius: inches("3"),
        middle_block: Length::ZERO,
    }
}

pub(crate) fn path(segments: Vec<Segment>, cover: &str, travel: &str) -> DoorTrack {
    DoorTrack::Path {
        name: "given".to_owned(),
        path: segments,
        cover: inches(cover),
        travel: inches(travel),
        runs: Runs::Level,
    }
}

pub(crate) fn straight(length: &str) -> Segment {
    Segment::Straight(inches(length))
}

pub(crate) fn arc(radius: &str, degrees: f64, canvas_inside: bool) -> Segment {
    Segment::Arc { radius: inches(radius), degrees, canvas_inside }
}

pub(crate) fn door(track: DoorTrack, slats: SlatSpec) -> DoorSpec {
    DoorSpec {
        name: "door".to_owned(),
        slats,
        track,
        groove: Groove { width: inches("1/4"), depth: inches("5/16"), panel: Panel::Usual(inches("3/4")) },
        between: inches("28"),
    }
}

pub(crate) fn job(doors: Vec<DoorSpec>, count: u32) -> Job {
    Job {
        name: "test".to_owned(),
        client: None,
        units: Units::Inch,
        cabinets: vec![Cabinet {
            name: "press".to_owned(),
            count,
            inside: None,
            doors,
            turn: None,
            seam: false,
            case: None,
        }],
        strips: Vec::new(),
        cloth_pieces: Vec::new(),
        lines: Vec::new(),
        spares: SparesRule {
            rate: SpareRate::None,
            rates: Vec::new(),
            known_from: None,
            by_board: 1.into(),
            second_trip: None,
            confidence: Ratio::ZERO,
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
        written: slatwright::job::Written::default(),
    }
}
