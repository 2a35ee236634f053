//! Jobs made by hand for the geometry tests.

#![allow(dead_code, reason = "each test file uses its own part")]

use std::collections::BTreeMap;

use slatwright::job::{
    Cabinet, CanvasRules, Clearance, CuttingRules, DoorSpec, DoorTrack, EndClear, Groove, Hand, InsideSize, Job,
    LeadFitted, Millings, Order, OrderRule, Overlap, Pricing, RabbetFace, Segment, Shop, SlatSpec, SpareRate,
    SparesRule, Species,
};
use slatwright::measure::{Length, Ratio, Units, parse_length};

/// A length as a file writes it, in inches.
pub(crate) fn inches(text: &str) -> Length {
    parse_length(text, Units::Inch).expect("tests write lengths that parse")
}

pub(crate) fn shop() -> Shop {
    Shop {
        cutting: cutting(),
        clearance: Clearance {
            running: inches("1/32"),
            end_play: inches("1/16"),
            shoulder: inches("1/32"),
            overlap: Overlap::Slats(2),
            lead_trim: inches("1/8"),
        },
        canvas: CanvasRules {
            end_clear: EndClear::Auto,
            tail_clear: inches("1/4"),
            lead_lap: inches("1/4"),
            trim: inches("1/2"),
            turn: false,
        },
        cutters: Vec::new(),
        currency: "USD".to_owned(),
        yard_allowance: Ratio::ZERO,
        history: None,
        labour: Vec::new(),
        consumables: Vec::new(),
        overhead: Ratio::ZERO,
        tax: Ratio::ZERO,
        pricing: Pricing::default(),
        climate: BTreeMap::new(),
    }
}

fn cutting() -> CuttingRules {
    CuttingRules {
        rip_kerf: inches("1/8"),
        crosscut_kerf: inches("1/8"),
        resaw_kerf: inches("1/8"),
        end_trim: inches("1-1/2"),
        edge_trim_crosscut: inches("1/4"),
        edge_trim_rip: inches("1/2"),
        hold_width: inches("3/4"),
        length_trim: inches("1/2"),
        rip_trim: Length::ZERO,
        edge_clean: inches("1/32"),
        face_trim_thin: inches("3/32"),
        face_trim_thick: inches("1/8"),
        resaw: false,
        leaf_trim: inches("1/16"),
        min_blank: inches("12"),
        max_blank: None,
        order: OrderRule::Only(Order::CrosscutFirst),
    }
}

/// Cherry slats 5/8 x 3/8, lead 1-1/8, tongue 5/32 at the back.
pub(crate) fn slats() -> SlatSpec {
    SlatSpec {
        species: Species::settled("black cherry"),
        width: inches("5/8"),
        thickness: inches("3/8"),
        lead_width: inches("1-1/8"),
        lead_thickness: inches("3/8"),
        lead_tongue: None,
        lead_fitted: LeadFitted::Before,
        rabbet_depth: inches("7/32"),
        rabbet_length: inches("3/8"),
        rabbet_face: RabbetFace::Show,
        milling: Millings::Flat,
        edge_bevel: 0.0,
        edge_chamfer: Length::ZERO,
    }
}

/// A case 36 x 15-1/2 x 28 with grooves 3/4 in from its faces and corners of 3 in.
pub(crate) fn case(hand: Hand) -> DoorTrack {
    DoorTrack::Case {
        inside: InsideSize { width: inches("36"), depth: inches("15-1/2"), height: inches("28") },
        hand,
        setback: inches("3/4"),
        side_inset: inches("3/4"),
        back_inset: inches("3/4"),
        corner_radius: inches("3"),
    }
}

pub(crate) fn path(segments: Vec<Segment>, cover: &str, travel: &str) -> DoorTrack {
    DoorTrack::Path { name: "given".to_owned(), path: segments, cover: inches(cover), travel: inches(travel) }
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
        groove: Groove { width: inches("1/4"), depth: inches("5/16") },
        between: inches("28"),
    }
}

pub(crate) fn job(doors: Vec<DoorSpec>, count: u32) -> Job {
    Job {
        name: "test".to_owned(),
        client: None,
        units: Units::Inch,
        cabinets: vec![Cabinet { name: "press".to_owned(), count, inside: None, doors }],
        strips: Vec::new(),
        cloth_pieces: Vec::new(),
        lines: Vec::new(),
        spares: SparesRule { rate: SpareRate::None, confidence: Ratio::ZERO, setup_strips: 0, repair_strips: 0 },
        boards: Vec::new(),
        bolts: Vec::new(),
        shop: shop(),
        alternatives: Vec::new(),
        defaults: Vec::new(),
    }
}

pub(crate) mod band;
