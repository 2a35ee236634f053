//! What else stops a door than its bends: the case's front edge, the hold in the grooves, the strength of tongue and
//! panel, a lead slat of its own thickness, how a late lead slat gets in, sag. The limits are in [`super::limits`].

use super::case_path::Frame;
use super::fit::{Check, DOOR, FitCheck, LEAD, SLAT, at_least, at_most, length};
use super::layout::Layout;
use super::limits::{
    engagement, face_ahead, least_engagement, least_groove_depth, least_panel, least_setback, least_tongue, liner,
    longest_end_first, most_sag,
};
use super::room::lead_in_groove;
use crate::job::{LeadEntry, Panel};
use crate::measure::Length;

/// Checks of the slat's section and of the case around it, the bends left out.
pub(super) fn case_checks(layout: &Layout<'_>) -> Vec<FitCheck> {
    let mut checks = vec![tongue_thickness(layout), held(layout), panel(layout)];
    checks.extend(lead_rabbet(layout));
    checks.extend(lead_entry(layout));
    if let Some(frame) = Frame::of(&layout.spec.track, layout.units) {
        checks.push(front_edge(layout, &frame));
        checks.extend(show_face(layout, &frame));
        checks.extend(lead_room(layout, &frame));
    }
    checks
}

/// A thin tongue breaks.
fn tongue_thickness(layout: &Layout<'_>) -> FitCheck {
    let slats = &layout.spec.slats;
    let usual = least_tongue(slats.thickness, layout.units);
    let least = layout.shop.clearance.least_tongue.unwrap_or(usual);
    FitCheck::lengths(Check::TongueThickness, SLAT, least, layout.tongue()).advise(|| {
        let deep = slats.rabbet_depth - (least - layout.tongue());
        let cure = if deep.is_positive() {
            format!("cut the rabbet at most {} deep", at_most(deep, layout.units))
        } else {
            "make the slats thicker".to_owned()
        };
        format!("so thin a tongue breaks: {cure}")
    })
}

/// Resting in one groove, the door holds in the other by what the end play leaves.
fn held(layout: &Layout<'_>) -> FitCheck {
    let (units, clearance) = (layout.units, &layout.shop.clearance);
    let depth = layout.spec.groove.depth;
    let needed = least_engagement(depth, units);
    let there = engagement(depth, clearance.end_play);
    FitCheck::lengths(Check::Engagement, SLAT, needed, there).advise(|| {
        let deeper = least_groove_depth(clearance.end_play, units);
        let rabbet = deeper + clearance.shoulder;
        let longer = if rabbet > layout.spec.slats.rabbet_length {
            format!(" and a rabbet {} long", at_least(rabbet, units))
        } else {
            String::new()
        };
        let falls = if there.is_positive() { "the far tongue may slip out" } else { "the door falls out" };
        let play = depth - needed;
        let less = if play >= Length::ZERO {
            format!(", or an end play of at most {}", at_most(play, units))
        } else {
            String::new()
        };
        format!("resting in one groove {falls} of the other: grooves {} deep{longer}{less}", at_least(deeper, units))
    })
}

/// Half of a panel stays behind its groove.
fn panel(layout: &Layout<'_>) -> FitCheck {
    let needed = least_panel(layout.spec.groove.depth);
    let (there, known) = match layout.spec.groove.panel {
        Panel::Given(there) => (there, true),
        Panel::Usual(there) => (there, false),
    };
    let check = FitCheck::lengths(Check::PanelThickness, DOOR, needed, there);
    let thin = !check.holds();
    let check = if known { check } else { check.note_only() };
    check.advise_when(thin, || {
        let (deep, units) = (Length::from_nm(there.nm() / 2), layout.units);
        let guess = if known { "" } else { " (taken as usual: say `panel_thickness`)" };
        format!(
            "less than half of the panel stays behind the groove: a panel {} thick{guess}, or a groove at most {} deep",
            at_least(needed, units),
            at_most(deep, units)
        )
    })
}

/// A groove near the edge breaks out of it.
fn front_edge(layout: &Layout<'_>, frame: &Frame) -> FitCheck {
    let (units, wall) = (layout.units, layout.shop.clearance.front_wall);
    let needed = least_setback(layout.spec.groove.width, wall);
    FitCheck::lengths(Check::FrontEdge, DOOR, needed, frame.setback).advise(|| {
        let widest = (frame.setback - wall) * 2;
        let narrower = if widest > layout.tongue() {
            format!(", or a groove {} wide,", at_most(widest, units))
        } else {
            String::new()
        };
        format!(
            "the groove would break out of the case's front edge: a setback of {}{narrower} leaves a wall of {}",
            at_least(needed, units),
            at_least(wall, units)
        )
    })
}

/// Where the show faces stand, behind the case's front edge or proud of it.
fn show_face(layout: &Layout<'_>, frame: &Frame) -> Vec<FitCheck> {
    let slats = &layout.spec.slats;
    let mut parts = vec![(SLAT, slats.thickness)];
    if slats.lead_thickness != slats.thickness {
        parts.push((LEAD, slats.lead_thickness));
    }
    let row = |(item, thickness)| {
        let ahead = face_ahead(thickness, layout.tongue(), layout.back_rabbet());
        let check = FitCheck::lengths(Check::ShowFace, item, ahead, frame.setback).note_only();
        let proud = ahead > frame.setback;
        check.advise_when(proud, || {
            format!(
                "the show face stands {} proud of the case's front edge",
                at_least(ahead - frame.setback, layout.units)
            )
        })
    };
    parts.into_iter().map(row).collect()
}

/// A lead slat of another thickness has a rabbet of its own.
fn lead_rabbet(layout: &Layout<'_>) -> Option<FitCheck> {
    let slats = &layout.spec.slats;
    let depth = layout.lead_rabbet()?;
    let check = FitCheck::lengths(Check::LeadRabbet, LEAD, depth, slats.lead_thickness);
    Some(check.advise_when(true, || {
        format!(
            "the lead slat is {} thick: its show-face rabbet is {} deep, a set-up of its own",
            slats.lead_thickness.show(layout.units),
            depth.show(layout.units)
        )
    }))
}

/// A lead slat that is loaded with the door passes the side of the case on its way in: its face must not rub there.
///
/// Its face corner stands out from the groove's centreline by `G/2 + k` on the straight when its tongue is whole (`k`
/// its face rabbet), by more where a bare end turns: [`LeadInGroove::reach_loading`](super::yaw::LeadInGroove).
fn lead_room(layout: &Layout<'_>, frame: &Frame) -> Option<FitCheck> {
    let slats = &layout.spec.slats;
    let alike = slats.lead_thickness <= slats.thickness && layout.guided() >= slats.lead_width;
    if alike || !layout.lead_is_loaded() {
        return None;
    }
    let lead = lead_in_groove(layout);
    let first = layout.track.bends().first().map(|(_, bend)| *bend);
    let needed = length(lead.reach_loading(first));
    Some(FitCheck::lengths(Check::CaseRoom, LEAD, needed, frame.side_inset).advise(|| {
        let over = needed - frame.side_inset;
        let thinner = slats.lead_thickness - over;
        let thin = if thinner >= slats.thickness {
            format!("a lead slat {} thick, ", at_most(thinner, layout.units))
        } else {
            String::new()
        };
        format!(
            "the lead slat's face rubs on the case while it is loaded: a side inset of {}, {thin}or the lead slat \
             fitted after loading",
            at_least(needed, layout.units)
        )
    }))
}

/// How a lead slat that is fitted after loading gets into its grooves.
fn lead_entry(layout: &Layout<'_>) -> Option<FitCheck> {
    if layout.lead_is_loaded() {
        return None;
    }
    Some(match layout.lead_entry() {
        LeadEntry::Ends => end_first(layout),
        LeadEntry::Notch => notch(layout),
        LeadEntry::Screwed => screwed(layout),
    })
}

fn end_first(layout: &Layout<'_>) -> FitCheck {
    let (units, spec) = (layout.units, layout.spec);
    let longest = longest_end_first(spec.between, spec.groove.depth);
    FitCheck::lengths(Check::LeadEntry, LEAD, layout.slat_length(), longest).advise(|| {
        format!(
            "fitted after loading it does not get in, one end first: it is {} too long for the space between the faces \
             and one groove; cut a notch into the groove's wall on the front run (lead_entry = \"notch\"), or screw it \
             on without a tongue (lead_tongue = 0)",
            at_least(layout.slat_length() - longest, units)
        )
    })
}

/// A notch in the groove's wall, as long as the tongue with room to run, on the straight front run.
fn notch(layout: &Layout<'_>) -> FitCheck {
    let units = layout.units;
    let long = layout.notch_length();
    let front = length(layout.track.front_run());
    let check = FitCheck::lengths(Check::LeadEntry, LEAD, long, front);
    let short = !check.holds();
    check
        .advise_when(short, || {
            format!(
                "the front run is too short for a notch {} long: cut the lead tongue back to {}, or screw the lead slat \
                 on without a tongue (lead_tongue = 0)",
                at_least(long, units),
                at_most((front - layout.shop.clearance.running).max(Length::ZERO), units)
            )
        })
        .advise_when(true, || {
            format!(
                "goes in through a notch {} long in one wall of each groove on the front run, closed with a block afterwards",
                at_least(long, units)
            )
        })
}

/// Without a tongue it stands between the faces, screwed to the first slat.
fn screwed(layout: &Layout<'_>) -> FitCheck {
    let body = layout.slat_length() - layout.spec.slats.rabbet_length * 2;
    FitCheck::lengths(Check::LeadEntry, LEAD, body, layout.spec.between).advise(|| {
        format!(
            "between its rabbets the lead slat is too long for the space between the faces: rabbets longer by {}",
            at_least(Length::from_nm((body - layout.spec.between).nm() / 2 + 1), layout.units)
        )
    })
}

/// A slat lying flat that sags: said from a figure on, refused where it takes the room of the liner below it.
pub(super) fn sag_check(layout: &Layout<'_>, sag: Length) -> FitCheck {
    let units = layout.units;
    let most = most_sag(layout.spec.between, units);
    let check = FitCheck::lengths(Check::Sag, SLAT, sag, most);
    let (much, rubs) = (sag > most, sag > liner(layout.units));
    check.note_only().and(!rubs).advise_when(much, || {
        // Sag goes with one over the thickness squared.
        let thick = layout.spec.slats.thickness.mm_f64() * (sag.mm_f64() / most.mm_f64().max(1e-9)).sqrt();
        let takes = if rubs { " and takes the room of the liner" } else { "" };
        format!("a slat lying flat sags {}{takes}: slats {} thick sag little enough", sag.show_nearest(units), {
            at_least(length(thick), units)
        })
    })
}
