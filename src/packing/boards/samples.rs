//! What the tests of this room are made of.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use super::{BoardKind, StripDemand};
use crate::job::{CuttingRules, Millings, Order, OrderRule};
use crate::measure::{Cents, Length, Quarters, StockThickness};

/// No kerf, no trim, nothing.
pub(super) fn bare_rules() -> CuttingRules {
    CuttingRules {
        rip_kerf: Length::ZERO,
        crosscut_kerf: Length::ZERO,
        resaw_kerf: Length::ZERO,
        end_trim: Length::ZERO,
        edge_trim_crosscut: Length::ZERO,
        edge_trim_rip: Length::ZERO,
        hold_width: Length::ZERO,
        length_trim: Length::ZERO,
        rip_trim: Length::ZERO,
        edge_clean: Length::ZERO,
        face_trim_thin: Length::ZERO,
        face_trim_thick: Length::ZERO,
        resaw: false,
        leaf_trim: Length::ZERO,
        min_blank: Length::ZERO,
        max_blank: None,
        order: OrderRule::Only(Order::CrosscutFirst),
    }
}

/// A strip 1 in thick, `length` and `width` in inches.
pub(super) fn strip(length: i64, width: i64, count: u32) -> StripDemand {
    StripDemand {
        label: 0,
        length: Length::from_inches(length),
        width: Length::from_inches(width),
        thickness: Length::from_inches(1),
        millings: Millings::Flat,
        count,
    }
}

/// A 4/4 board for sale, inches and cents.
pub(super) fn board(width: i64, length: i64, cents: i64) -> BoardKind {
    BoardKind {
        label: 0,
        thickness: StockThickness::Rough(Quarters::new(4).unwrap()),
        width: Length::from_inches(width),
        length: Length::from_inches(length),
        defects: Vec::new(),
        available: None,
        cost: Cents::new(cents),
    }
}
