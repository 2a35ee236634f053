//! Checks along the track: travel, stow, cover.

use super::case_path::Frame;
use super::fit::{Check, DOOR, FitCheck, LEAD, about, at_least, at_most, length, step};
use super::joint::{GrooveArc, Lie};
use super::layout::Layout;
use super::limits::{least_wall, stow_clear};
use super::room::lead_swing;
use super::self_clear::nearest;
use crate::job::Hand;
use crate::measure::{Length, Units};

pub(super) fn track_checks(layout: &Layout<'_>, notes: &mut Vec<String>) -> Vec<FitCheck> {
    let mut checks = vec![lead_travel(layout, notes), stow(layout), cover(layout)];
    checks.extend(case_room(layout));
    checks.extend(track_clear(layout));
    checks
}

/// The lead slat on the straight front run, door open.
fn lead_travel(layout: &Layout<'_>, notes: &mut Vec<String>) -> FitCheck {
    let units = layout.units;
    let (travel, lead) = (layout.run.travel, layout.spec.slats.lead_width);
    let front = length(layout.track.front_run());
    let check = FitCheck::lengths(Check::LeadTravel, LEAD, travel + lead, front);
    if !travel.is_positive() {
        return check.and(false).advise(|| {
            format!("the front run is no longer than the lead slat: the door cannot open; {}", front_run(layout))
        });
    }
    if !check.holds() {
        let reach = lead_swing(layout).face_corner_reach;
        notes.push(format!(
            "the lead slat enters the bend: it stays straight up to a travel of {}; past it its face corner may stand \
             {} out from the groove's centreline",
            at_most((front - lead).max(Length::ZERO), units),
            at_least(reach, units)
        ));
    }
    // Past the front run the bend decides: the groove check of the lead slat has the last word.
    let short = front < travel + lead;
    check.note_only().advise_when(short, || {
        format!("to keep the lead slat straight let it travel {}", at_most((front - lead).max(Length::ZERO), units))
    })
}

/// Room for the door's body between the groove and the case: on the straight its show face stands out by the face
/// rabbet and half the groove; round a corner the face corners of a pushed chain swing out to
/// `sqrt((r_m + t)^2 + w^2/4)` from the arc's centre.
fn case_room(layout: &Layout<'_>) -> Option<FitCheck> {
    let frame = Frame::of(&layout.spec.track, layout.units)?;
    let (section, groove) = (layout.section(), layout.track.groove);
    let slats = &layout.spec.slats;
    let straight =
        groove / 2.0 + (slats.thickness.mm_f64() - section.tongue.offset - section.tongue.thickness).max(0.0);
    let swing = layout.track.bends().into_iter().filter(|(_, bend)| bend.concave).map(|(_, bend)| {
        let canvas =
            GrooveArc::about(bend.radius, groove, true).canvas_radius(section.tongue, section.width, Lie::Pushed);
        (canvas + slats.thickness.mm_f64()).hypot(section.width / 2.0) - bend.radius
    });
    let needed = length(swing.fold(straight, f64::max));
    let inset = if layout.run.back_corner { frame.side_inset.min(frame.back_inset) } else { frame.side_inset };
    Some(FitCheck::lengths(Check::CaseRoom, DOOR, needed, inset).advise(|| {
        format!(
            "the show face rubs on the case: keep the groove's centreline {} off it",
            at_least(needed, layout.units)
        )
    }))
}

/// Room for a wall between two passes of the groove, where the track comes near itself.
fn track_clear(layout: &Layout<'_>) -> Option<FitCheck> {
    let units = layout.units;
    let wall = least_wall(units);
    let needed = layout.spec.groove.width + wall;
    let near = nearest(&layout.track.centreline(), 2.0 * needed.mm_f64())?;
    let (there, places) = (length(near.distance), [near.stations.0, near.stations.1].map(length));
    let crosses = there < step(units);
    Some(FitCheck::lengths(Check::TrackClear, DOOR, needed, there).advise(|| {
        let [first, second] = places.map(|place| about(place, units));
        let meets = if crosses { "crosses itself" } else { "comes too near itself" };
        format!(
            "the track {meets}: {first} and {second} from its closed end lie {} apart, centre to centre, and a wall of \
             {} between the two passes asks for {}",
            about(there, units),
            about(wall, units),
            at_least(needed, units)
        )
    }))
}

/// What would lengthen a front run that is no longer than the lead slat.
fn front_run(layout: &Layout<'_>) -> String {
    let (units, lead) = (layout.units, layout.spec.slats.lead_width);
    let opening = match units {
        Units::Inch => Length::from_inches(1),
        Units::Millimetre => Length::from_mm(25),
    };
    let opens = at_least(opening, units);
    let Some(frame) = Frame::of(&layout.spec.track, layout.units) else {
        let missing = lead - length(layout.track.front_run()) + opening;
        return format!("a first straight run longer by {} opens it {opens}", at_least(missing, units));
    };
    // Of a case too small for its corner the run is less than nothing.
    let missing = lead - frame.front_run() + opening;
    let (way, larger) = match frame.hand {
        Hand::PairLeft | Hand::PairRight => ("wider", missing * 2),
        Hand::Left | Hand::Right => ("wider", missing),
        Hand::Up => ("higher", missing),
    };
    let case = format!("a case {way} by {}", at_least(larger, units));
    if missing < frame.radius {
        format!("a corner radius smaller by {}, or {case}, opens it {opens}", at_least(missing, units))
    } else {
        format!("{case} opens it {opens}")
    }
}

/// Room for the tail with the door open, on the inner wall where the chain reaches farthest.
fn stow(layout: &Layout<'_>) -> FitCheck {
    let units = layout.units;
    let needed = length(layout.open_tail(Lie::Pulled));
    let end = length(layout.canvas_length(Lie::Pulled));
    let check = FitCheck::lengths(Check::Stow, DOOR, needed, end);
    let short = needed - end;
    let clear = stow_clear(units);
    let tight = short > -clear;
    check
        .advise(|| {
            let travel = layout.run.travel - short - clear;
            let longer = format!("a groove {} longer stows it", at_least(short + clear, units));
            if travel.is_positive() {
                format!("the tail runs out of groove: {longer}, or a travel of {}", at_most(travel, units))
            } else {
                format!("the tail runs out of groove: {longer}")
            }
        })
        .advise_when(tight, || {
            format!("less than {} is left past the tail: it will touch when the wood swells", about(clear, units))
        })
}

/// What the closed door covers, pushed to the outer wall where the chain reaches least.
fn cover(layout: &Layout<'_>) -> FitCheck {
    let section = layout.section();
    let reach = length(layout.track.tail_on_centreline(&section, 0.0, Lie::Pushed));
    let cover = layout.run.cover;
    let beyond = cover > length(layout.track.length());
    FitCheck::lengths(Check::Cover, DOOR, cover, reach)
        .and(!beyond)
        .advise_when(beyond, || {
            format!("the track ends before the cover does: {}", {
                let track = length(layout.track.length());
                format!("it is {} long", about(track, layout.units))
            })
        })
        .advise(|| format!("the closed door ends {} short", at_least(cover - reach, layout.units)))
}
