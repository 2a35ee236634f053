//! Checks at the bends: groove width, radius, bevel, the gap at the show face.

use super::bend_need::{Demand, lead_demand, lead_reaches, slat_demand};
use super::fit::{Check, CheckItem, FitCheck, LEAD, SLAT, about, at_least, at_most, length};
use super::groove_need::{Bend, least_radius, widest_slat};
use super::joint::{GrooveArc, Lie, bevel_setback, bevel_with_gap, face_gap, half_angle};
use super::layout::Layout;
use super::limits;
use super::track::BendGroup;
use crate::measure::Length;

pub(super) fn bend_checks(layout: &Layout<'_>, notes: &mut Vec<String>) -> Vec<FitCheck> {
    let slat = slat_demand(layout);
    let lead = lead_demand(layout);
    let mut checks = vec![groove_width(layout, &slat), groove_width(layout, &lead)];
    checks.extend([&slat, &lead].into_iter().filter_map(|demand| arc_radius(layout, demand)));
    checks.extend(edge_bevel(layout));
    checks.push(show_gap(layout));
    notes.extend(rattle(layout, slat.need.max(lead.need)));
    for group in layout.track.groups(layout.section().width) {
        if group.arcs > 1 {
            notes.push(format!(
                "{} bends lie closer together than a slat is wide: the groove is judged for them together",
                group.arcs
            ));
        }
    }
    checks
}

/// Much more groove than the chain needs lets slats rattle and wander; past the tongue's diagonal they can turn over.
/// A quarter of the tongue beyond the running clearance is the bound (an estimate, no source).
fn rattle(layout: &Layout<'_>, need: f64) -> Option<String> {
    let section = layout.section();
    let groove = layout.track.groove;
    let tau = section.tongue.thickness;
    let units = layout.units;
    if groove >= section.width.hypot(tau) {
        let diagonal = at_most(length(section.width.hypot(tau)), units);
        return Some(format!(
            "the groove is wider than a tongue's diagonal: a slat can turn over; keep under {diagonal}"
        ));
    }
    let most = need + layout.shop.clearance.running.mm_f64() + tau / 4.0;
    (groove > most)
        .then(|| format!("the groove is loose: slats will rattle in more than {}", at_most(length(most), units)))
}

fn groove_width(layout: &Layout<'_>, demand: &Demand) -> FitCheck {
    let groove = layout.spec.groove.width;
    let running = layout.shop.clearance.running;
    // Where no groove serves, the one that would eat the whole bend stands for it; the radius check says more.
    let possible = demand.need.is_finite();
    let most = demand.group.map_or(demand.need, |group| 2.0 * group.bend.radius);
    let needed = length(if possible { demand.need } else { most });
    let check = FitCheck::lengths(Check::GrooveWidth, demand.item, needed, groove).and(possible);
    let failing = !check.holds();
    let tight = groove - needed < running;
    check.advise_when(failing, || failing_groove(layout, demand, possible.then_some(needed))).advise_when(tight, || {
        format!(
            "passes, but with less than {} to run in: rout the groove {} wide",
            about(running, layout.units),
            at_least(needed + running, layout.units)
        )
    })
}

/// What would let a slat pass: the groove, the radius, the slat or its tongue.
fn failing_groove(layout: &Layout<'_>, demand: &Demand, needed: Option<Length>) -> String {
    let units = layout.units;
    let mut ways = Vec::new();
    if let Some(needed) = needed {
        ways.push(format!("a groove {} wide", at_least(needed, units)));
    }
    if demand.together {
        let apart = length(demand.width);
        ways.push(format!("at least {} of straight run between the bends", at_least(apart, units)));
    } else if let Some(group) = demand.group {
        let (tongue, groove) = (layout.section().tongue, layout.track.groove);
        if let Some(radius) = least_radius(group.bend, tongue, demand.width, groove) {
            ways.push(format!("a radius of {}", at_least(length(radius), units)));
        }
        let most = length(widest_slat(group.bend, tongue, groove));
        if most.is_positive() && demand.item == LEAD {
            ways.push(format!("a lead tongue cut back to {} or a lead slat as narrow", at_most(most, units)));
        } else if most.is_positive() {
            ways.push(format!("slats at most {} wide", at_most(most, units)));
        }
    }
    let place = if demand.together { "binds between bends nearer than a slat" } else { "binds in the bend" };
    let mut text = format!("{place}; it would pass with {}", ways.join(", or "));
    if demand.item == LEAD && layout.lead_is_loaded() {
        text.push_str(", or with the lead slat fitted after loading if it stays on the front run");
    }
    text
}

/// The radius at which the groove as it is would do, for the tightest bend.
fn arc_radius(layout: &Layout<'_>, demand: &Demand) -> Option<FitCheck> {
    let section = layout.section();
    let groove = layout.track.groove;
    let in_service_only = demand.item == LEAD && !layout.lead_is_loaded();
    // A bend entered only part of the way asks less than the whole bend: then the groove check alone speaks.
    if in_service_only && demand.need <= groove {
        return None;
    }
    let shortfall = |group: &BendGroup| {
        let least = least_radius(group.bend, section.tongue, demand.width, groove).unwrap_or(f64::INFINITY);
        (least, group.bend.radius)
    };
    let groups = match demand.group {
        Some(group) if in_service_only => vec![group],
        _ => layout.track.groups(demand.width),
    };
    let (needed, there) = groups.iter().map(shortfall).max_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)))?;
    // A bend alone is no measure of bends that poses have shown to pass together.
    let needed = if demand.need <= groove { needed.min(there) } else { needed };
    let check = FitCheck::lengths(Check::ArcRadius, demand.item, length(needed), length(there));
    let possible = needed.is_finite();
    Some(check.and(possible).advise(|| {
        if possible {
            format!("rout this bend at a radius of {} to the centreline", at_least(length(needed), layout.units))
        } else {
            "no radius serves: the tongue is no thinner than the groove".to_owned()
        }
    }))
}

/// Bevels on reverse bends; a decorative chamfer at the face leaves a square land at the canvas and counts nothing.
fn edge_bevel(layout: &Layout<'_>) -> Vec<FitCheck> {
    let section = layout.section();
    let reverse: Vec<Bend> =
        layout.track.bends().into_iter().map(|(_, bend)| bend).filter(|bend| !bend.concave).collect();
    let bevel = layout.spec.slats.edge_bevel;
    let hinge = |bend: &Bend| {
        let arc = GrooveArc::about(bend.radius, layout.track.groove, false);
        arc.hinge_radius(section.tongue, section.width, Lie::Pulled)
    };
    let steepest = |angle: &dyn Fn(&Bend) -> f64| reverse.iter().map(angle).fold(0.0, f64::max).to_degrees();
    let (gap, thickness) = (section.gap, layout.spec.slats.thickness.mm_f64());
    let least = |lean: f64, bend: &Bend| bevel_with_gap(lean, gap, thickness, hinge(bend));
    let needed = steepest(&|bend| least(half_angle(section.width, hinge(bend)), bend));
    let safe = steepest(&|bend| {
        let arc = GrooveArc::about(bend.radius, layout.track.groove, false);
        least(arc.largest_lean(section.tongue, section.width), bend)
    });
    let slat = bevel_check(layout, SLAT, needed, bevel);
    let uneven = slat.holds() && bevel < safe;
    let mut checks = vec![slat.advise_when(uneven, || {
        format!("passes when it runs evenly; {safe:.1} degrees is free in every position the play allows")
    })];
    // Fitted after loading the lead slat meets what its travel reaches.
    let reaches = if layout.lead_is_loaded() { f64::INFINITY } else { lead_reaches(layout) };
    let met = layout.track.bends().into_iter().filter(|(start, bend)| !bend.concave && *start + 1e-6 < reaches);
    let guided = layout.guided().mm_f64();
    // Both edges of the joint carry the bevel, so each needs half the joint angle.
    let asks = met.map(|(_, bend)| {
        let lean = f64::midpoint(half_angle(guided, hinge(&bend)), half_angle(section.width, hinge(&bend)));
        least(lean, &bend).to_degrees()
    });
    if let Some(needed) = asks.reduce(f64::max) {
        checks.push(bevel_check(layout, LEAD, needed, bevel));
    }
    checks
}

fn bevel_check(layout: &Layout<'_>, item: CheckItem, needed: f64, bevel: f64) -> FitCheck {
    let (thickness, width) = (layout.spec.slats.thickness.mm_f64(), layout.spec.slats.width.mm_f64());
    let face_left = width - 2.0 * bevel_setback(thickness, bevel.to_radians());
    let check = FitCheck::degrees(Check::EdgeBevel, item, needed, bevel);
    let steep = face_left <= 0.0;
    check.and(!steep).advise_when(steep, || "bevels this steep meet: no show face is left".to_owned()).advise(|| {
        // Upwards: a bevel a hair too small still locks.
        let least = (needed * 10.0).ceil() / 10.0;
        format!(
            "square edges lock on the reverse bend: bevel each edge {least:.1} degrees, starting at the canvas ({} back \
             at the face)",
            about(length(bevel_setback(thickness, least.to_radians())), layout.units)
        )
    })
}

/// The widest gap between face corners where the door goes round a concave bend.
fn show_gap(layout: &Layout<'_>) -> FitCheck {
    let section = layout.section();
    let slats = &layout.spec.slats;
    let gaps = layout.track.bends().into_iter().filter(|(_, bend)| bend.concave).map(|(_, bend)| {
        let arc = GrooveArc::about(bend.radius, layout.track.groove, true);
        let hinge = arc.hinge_radius(section.tongue, section.width, Lie::Pulled);
        face_gap(slats.thickness.mm_f64(), section.width, hinge, slats.edge_bevel.to_radians())
    });
    let gap = length(gaps.fold(0.0, f64::max) + section.gap);
    let least = limits::show_gap(layout.units);
    let check = FitCheck::lengths(Check::ShowGap, SLAT, gap, least);
    check.note_only().advise_when(gap > least, || {
        format!("joints open {} at the face round the bend: the cloth shows", about(gap, layout.units))
    })
}
