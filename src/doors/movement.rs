//! Seasonal movement of a door: how much longer it is in the humid season, how much shorter in the dry one.
//!
//! The whole door length counts: the canvas is far too compliant to hold the wood back. A pair meets at its stop, so
//! the lead edges stay where they are and the tail moves: swelling goes into the stow, shrinkage into the cover.
//! Along the grain wood hardly moves, so slat lengths are left alone.

use super::bend_need::slat_demand;
use super::details::Movement;
use super::fit::{Check, DOOR, FitCheck, SLAT, about, at_least, length};
use super::joint::Lie;
use super::layout::Layout;
use super::limits::stow_clear;
use super::wood::{Grain, WOODS, Wood, equilibrium_moisture, wood_named};
use crate::job::{Millings, Shop};

/// Relative humidities where the shop file gives none (common practice, no source): a heated room in a temperate
/// climate over the year, and a shop kept between.
const HUMIDITY: [(&str, f64); 3] = [("shop", 45.0), ("dry_season", 30.0), ("humid_season", 65.0)];
/// Room temperature of the equilibrium moisture, degrees Fahrenheit; a few degrees hardly matter.
const ROOM: f64 = 70.0;

/// Moisture contents as built, in the dry season and in the humid season.
pub(super) fn moistures(shop: &Shop) -> [f64; 3] {
    HUMIDITY.map(|(key, default)| {
        let humidity = shop.climate.get(key).map_or(default, |figure| {
            // At most a few digits: the conversion is as good as the figure.
            figure.mantissa() as f64 / 10f64.powi(figure.scale().cast_signed())
        });
        equilibrium_moisture(ROOM, humidity.clamp(0.0, 99.0))
    })
}

/// The grain across the travel and through the thickness. Flat milling rips the board's width into slat widths, edge
/// milling turns the strip so that the board's thickness is the slat's width; where either is allowed, the worse.
fn grains(milling: Millings) -> (Grain, Grain, &'static str) {
    match milling {
        Millings::Flat => (Grain::Tangential, Grain::Radial, "flat milling of flat-sawn boards"),
        Millings::Edge => (Grain::Radial, Grain::Tangential, "edge milling of flat-sawn boards"),
        Millings::Any => (Grain::Tangential, Grain::Tangential, "flat or edge, whichever moves more"),
    }
}

pub(super) fn movement(layout: &Layout<'_>) -> Movement {
    let slats = &layout.spec.slats;
    let [built, dry, humid] = moistures(layout.shop);
    let (across, through, how) = grains(slats.milling);
    let (wood, named) = handbook_wood(slats.species.name());
    let section = layout.section();
    let door = section.lead_width + section.width * f64::from(section.slats);
    let swells = |grain: Grain, size: f64| length(wood.change(grain, size, built, humid).max(0.0));
    Movement {
        moisture: [built, dry, humid],
        coefficient: wood.coefficient(across),
        swells: swells(across, door),
        shrinks: length((-wood.change(across, door, built, dry)).max(0.0)),
        tongue_swells: swells(through, section.tongue.thickness),
        source: if named {
            let memory = if wood.from_memory { ", entered from memory" } else { "" };
            format!("Wood Handbook FPL-GTR-190 Table 13-5{memory}; {how}")
        } else {
            format!("no handbook figures for {}: those of {}, the most in the table; {how}", slats.species, wood.name)
        },
    }
}

/// A wood's figures; for an unknown one those of the wood that moves most, so that nothing is promised too much.
fn handbook_wood(name: &str) -> (&'static Wood, bool) {
    match wood_named(name) {
        Some(wood) => (wood, true),
        None => {
            let most = WOODS.iter().max_by(|a, b| a.change_tangential.total_cmp(&b.change_tangential));
            (most.unwrap_or(&WOODS[0]), false)
        }
    }
}

/// Movement beside the room left for it: warnings only, as a door short of them works for part of the year.
pub(super) fn seasonal_checks(layout: &Layout<'_>, movement: &Movement) -> Vec<FitCheck> {
    vec![seasonal_stow(layout, movement), seasonal_cover(layout, movement), seasonal_groove(layout, movement)]
}

fn seasonal_stow(layout: &Layout<'_>, movement: &Movement) -> FitCheck {
    let left = length(layout.stow_margin());
    let needed = movement.swells + stow_clear(layout.units);
    let check = FitCheck::lengths(Check::SeasonalStow, DOOR, needed, left);
    let short = needed > left;
    check.note_only().advise_when(short, || {
        format!(
            "the door swells {} in the humid season: a groove {} longer leaves room for it",
            about(movement.swells, layout.units),
            at_least(needed - left, layout.units)
        )
    })
}

fn seasonal_cover(layout: &Layout<'_>, movement: &Movement) -> FitCheck {
    let section = layout.section();
    let reach = length(layout.track.tail_on_centreline(&section, 0.0, Lie::Pushed));
    let needed = movement.shrinks + layout.spec.slats.width;
    let left = reach - layout.run.cover;
    let check = FitCheck::lengths(Check::SeasonalCover, DOOR, needed, left);
    let short = needed > left;
    check.note_only().advise_when(short, || {
        format!(
            "the door shrinks {} in the dry season: one more slat keeps its tail out of sight",
            about(movement.shrinks, layout.units)
        )
    })
}

fn seasonal_groove(layout: &Layout<'_>, movement: &Movement) -> FitCheck {
    let needed = length(slat_demand(layout).need) + movement.tongue_swells;
    let groove = layout.spec.groove.width;
    let check = FitCheck::lengths(Check::SeasonalGroove, SLAT, needed, groove);
    let short = needed > groove;
    check.note_only().advise_when(short, || {
        format!("the tongue swells in the humid season: rout the groove {} wide", at_least(needed, layout.units))
    })
}
