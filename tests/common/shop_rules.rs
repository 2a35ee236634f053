//! A shop that works by the listed defaults, and its usual slats.

#![allow(dead_code, reason = "each test file uses its own part of it")]

use std::collections::BTreeMap;

use slatwright::job::{
    CanvasRules, Clearance, CuttingRules, EndClear, LeadFitted, LeadTongueAt, Millings, Order, OrderRule, Overlap,
    PanelRules, Pricing, RabbetFace, Shop, ShopCard, SlatSpec, Species,
};
use slatwright::measure::{Length, Ratio, Units, parse_length};

/// A length in inches.
pub(crate) fn inch(text: &str) -> Length {
    parse_length(text, Units::Inch).expect("a length")
}

pub(crate) fn cherry() -> Species {
    Species::settled("black cherry")
}

/// The rules of a shop that says nothing of its own, with boards cut in this order; but 5/8 is held, so that
/// with the kerf of the last cut beside it a round 3/4 of every width stays.
pub(crate) fn cutting(order: OrderRule) -> CuttingRules {
    CuttingRules {
        rip_kerf: inch("1/8"),
        crosscut_kerf: inch("1/8"),
        resaw_kerf: inch("1/8"),
        end_trim: inch("1-1/2"),
        edge_trim_crosscut: inch("1/4"),
        edge_trim_rip: inch("1/2"),
        hold_width: inch("5/8"),
        length_trim: inch("1/2"),
        rip_trim: Length::ZERO,
        edge_clean: inch("1/32"),
        face_trim_thin: inch("3/32"),
        face_trim_thick: inch("1/8"),
        resaw: false,
        leaf_trim: inch("1/16"),
        min_blank: inch("12"),
        max_blank: None,
        order,
    }
}

/// The same shop: no labour, no prices, no season.
pub(crate) fn shop() -> Shop {
    Shop {
        about: ShopCard::default(),
        cutting: cutting(OrderRule::Only(Order::CrosscutFirst)),
        panels: PanelRules { kerf: inch("1/8"), trim: inch("1/4"), solid_waste: Ratio::ZERO },
        clearance: Clearance {
            running: inch("1/32"),
            end_play: inch("1/16"),
            shoulder: inch("1/32"),
            overlap: Overlap::Slats(2),
            lead_trim: inch("1/8"),
            front_wall: inch("3/16"),
            least_tongue: None,
        },
        dxf_units: Units::Millimetre,
        canvas: CanvasRules {
            end_clear: EndClear::AtLeast(inch("1/2")),
            past_rabbet: inch("1/8"),
            tail_clear: inch("1/4"),
            lead_lap: inch("1/4"),
            trim: inch("1/2"),
            turn: false,
        },
        cutters: Vec::new(),
        currency: "USD".to_owned(),
        yard_allowance: Ratio::ZERO,
        second_trip: None,
        history: None,
        labour: Vec::new(),
        consumables: Vec::new(),
        overhead: Ratio::ZERO,
        tax: Ratio::ZERO,
        pricing: Pricing::default(),
        climate: BTreeMap::new(),
    }
}

/// Cherry slats 5/8 x 3/8, lead 1-1/8, tongue 5/32 at the back.
pub(crate) fn slats() -> SlatSpec {
    SlatSpec {
        species: cherry(),
        width: inch("5/8"),
        thickness: inch("3/8"),
        lead_width: inch("1-1/8"),
        lead_thickness: inch("3/8"),
        lead_tongue: None,
        lead_tongue_at: LeadTongueAt::Hinge,
        lead_fitted: LeadFitted::Before,
        lead_entry: None,
        rabbet_depth: inch("7/32"),
        back_rabbet_depth: Length::ZERO,
        rabbet_length: inch("3/8"),
        rabbet_face: RabbetFace::Show,
        milling: Millings::Flat,
        lead_milling: Millings::Flat,
        edge_bevel: 0.0,
        edge_chamfer: Length::ZERO,
        canvas_gap: Length::ZERO,
    }
}
