//! Cutters on the shelf tried on a door's slats, and what deepening the rabbet by small steps does.

use super::details::{RabbetStep, Setup};
use super::fit::{Check, CheckItem, LEAD, SLAT, length, step};
use super::joint::bevel_setback;
use super::layout::Layout;
use super::{Door, FitCheck};
use crate::job::DoorSpec;
use crate::measure::Length;

/// Steps of a deeper rabbet that are shown.
const STEPS: i64 = 4;

/// Checks that a cutter decides; what else is wrong with a door is no fault of its cutter.
const SET_BY_CUTTER: [Check; 8] = [
    Check::RabbetDepth,
    Check::TongueFit,
    Check::TongueLength,
    Check::SlatLength,
    Check::LeadTongue,
    Check::GrooveWidth,
    Check::ArcRadius,
    Check::EndClear,
];

/// Each cutter on the shelf, in the shop file's order.
pub(super) fn setups(layout: &Layout<'_>) -> Vec<Setup> {
    let one = |cutter: &crate::job::Cutter| {
        let spec = rabbeted(layout.spec, cutter.height, cutter.width);
        let door = layout.again().door(&spec);
        Setup {
            cutter: cutter.name.clone(),
            tongue: door.tongue,
            tongue_length: cutter.width,
            margin: groove_margin(&door, SLAT).min(groove_margin(&door, LEAD)),
            fits: door.checks.iter().all(|check| check.holds() || !SET_BY_CUTTER.contains(&check.check)),
        }
    };
    layout.shop.cutters.iter().map(one).collect()
}

/// The rabbet as it is and some steps deeper: should the running test bind, this is what each step gives.
pub(super) fn rabbet_steps(layout: &Layout<'_>) -> Vec<RabbetStep> {
    let slats = &layout.spec.slats;
    let deeper = |n: i64| {
        let depth = slats.rabbet_depth + step(layout.units) * n;
        let spec = rabbeted(layout.spec, depth, slats.rabbet_length);
        let door = layout.again().door(&spec);
        RabbetStep {
            rabbet_depth: depth,
            tongue: door.tongue,
            slat_margin: groove_margin(&door, SLAT),
            lead_margin: groove_margin(&door, LEAD),
        }
    };
    let thinner = slats.tongue();
    (0..=STEPS).filter(|&n| step(layout.units) * n < thinner).map(deeper).collect()
}

/// Width of the V at the show face: each bevelled edge stands `t tan b` back there, so two leave `2 t tan b`. Slats 3/8
/// thick bevelled by 6 degrees leave 0.079 in.
pub(super) fn v_groove(layout: &Layout<'_>) -> Option<Length> {
    let slats = &layout.spec.slats;
    let bevel = slats.edge_bevel.to_radians();
    (bevel > 0.0).then(|| length(2.0 * bevel_setback(slats.thickness.mm_f64(), bevel)))
}

fn rabbeted(spec: &DoorSpec, depth: Length, along: Length) -> DoorSpec {
    let mut spec = spec.clone();
    spec.slats.rabbet_depth = depth;
    spec.slats.rabbet_length = along;
    spec
}

/// Groove width over the chain's need, as the door's check has it.
fn groove_margin(door: &Door, part: CheckItem) -> Length {
    let check = door.checks.iter().find(|check| check.check == Check::GrooveWidth && check.item == part);
    check.and_then(FitCheck::length_margin).unwrap_or(Length::ZERO)
}
