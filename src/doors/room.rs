//! What stays free with the door open, and where its stops and its entry go.

use super::case_path::Frame;
use super::details::{LeadSwing, Room, Stop, Sweep};
use super::fit::{about, length};
use super::joint::Lie;
use super::layout::Layout;
use super::yaw::LeadInGroove;
use crate::job::{Hand, LeadEntry, Segment};
use crate::measure::Length;

/// What stays free.
pub(super) fn room(layout: &Layout<'_>) -> Room {
    let left = length(layout.stow_margin()).max(Length::ZERO);
    let frame = Frame::of(&layout.spec.track, layout.units);
    let pair_behind = frame.as_ref().is_some_and(Frame::is_pair) && layout.run.back_corner;
    Room {
        clear_opening: layout.run.travel,
        stow_left: left,
        between_tails: pair_behind.then(|| left * 2),
        meets: meets(layout, frame.as_ref()),
        sweep: frame.as_ref().map(|frame| sweep(layout, frame)),
    }
}

/// How far in the canvas side comes.
///
/// A tongue stays outside the inner wall of its groove, which is convex towards the inside of the case; the canvas side
/// stands the back rabbet `e` inside the tongue. So nothing of a slat with a whole tongue comes farther in than the wall
/// moved in by `e`: `G/2 + e` inside the centreline on the straights, the radius `r_i - e` in the corners. A pulled slat
/// lies on that line. The bare end of a lead slat reaches farther in where it turns: `G/2 + o sin psi + e cos psi`.
fn sweep(layout: &Layout<'_>, frame: &Frame) -> Sweep {
    let offset = layout.section().tongue.offset.max(0.0);
    let half = layout.spec.groove.width.mm_f64() / 2.0;
    let lead = lead_in_groove(layout);
    let turned = lead.yaw_in().max(0.0);
    let bare = half + lead.overhang() * turned.sin() + offset * turned.cos();
    let [setback, side_inset, back_inset, radius] =
        [frame.setback, frame.side_inset, frame.back_inset, frame.radius].map(Length::mm_f64);
    Sweep {
        front: setback + bare.max(half + offset),
        side: side_inset + half + offset,
        back: goes_behind(layout).then_some(back_inset + half + offset),
        radius: (radius - half - offset).max(0.0),
        front_centre: (side_inset + radius, setback + radius),
        back_centre: (side_inset + radius, back_inset + radius),
    }
}

/// True when the tail of the open door stands in the back corner or past it, in the humid season at the latest.
fn goes_behind(layout: &Layout<'_>) -> bool {
    if !layout.run.back_corner {
        return false;
    }
    let section = layout.section();
    let tail = layout.track.tail_on_centreline(&section, layout.run.travel.mm_f64(), Lie::Pulled);
    let to_corner: f64 = layout.track.centreline().iter().take(3).map(|piece| piece.length()).sum();
    tail + layout.stow_wanted().mm_f64() > to_corner
}

/// Where the lead edge rests closed.
fn meets(layout: &Layout<'_>, frame: Option<&Frame>) -> String {
    let units = layout.units;
    match frame.map(|frame| (frame.hand, frame)) {
        Some((Hand::PairLeft | Hand::PairRight, frame)) => {
            let block = if frame.middle_block.is_positive() { "the middle block" } else { "the middle" };
            format!("at {block}, {} from the inside face of each side", about(frame.front_reach(), units))
        }
        Some((Hand::Left, _)) => "on the inside face of the right side".to_owned(),
        Some((Hand::Right, _)) => "on the inside face of the left side".to_owned(),
        Some((Hand::Up, _)) => "on the inside face of the bottom".to_owned(),
        None => "at the closed end of the groove".to_owned(),
    }
}

/// Closing stop, opening stop, tail stop, entry filler.
pub(super) fn stops(layout: &Layout<'_>, shrinks: Length) -> Vec<Stop> {
    let frame = Frame::of(&layout.spec.track, layout.units);
    let mut stops = Vec::new();
    stops.extend(closing(frame.as_ref()));
    stops.push(opening(layout, frame.as_ref()));
    stops.extend(tail(layout, frame.as_ref(), shrinks));
    stops.push(filler(layout, frame.as_ref()));
    stops
}

/// A single door closes against the case; a pair and a bare track need a block.
fn closing(frame: Option<&Frame>) -> Option<Stop> {
    let (from, distance, block, note) = match frame {
        Some(frame) if frame.is_pair() => (
            "inside face of either side".to_owned(),
            frame.front_reach(),
            frame.middle_block,
            "between the lead edges, so that neither door can be pushed past the middle; leave it out until both doors \
             are in if one entry serves both",
        ),
        Some(_) => return None,
        None => ("closed end of the groove".to_owned(), Length::ZERO, Length::ZERO, "the lead edge rests here"),
    };
    let length = block.is_positive().then_some(block);
    Some(Stop { name: "closing stop", from, distance, station: Some(Length::ZERO), length, note: note.to_owned() })
}

/// The opening stop acts on the lead slat, so that it holds the same place in every season.
fn opening(layout: &Layout<'_>, frame: Option<&Frame>) -> Stop {
    let travel = layout.run.travel;
    let (from, distance) = match frame {
        Some(frame) => (frame.front_edge(), frame.front_reach() - travel),
        None => ("closed end of the groove".to_owned(), travel),
    };
    Stop {
        name: "opening stop",
        from,
        distance,
        station: Some(travel),
        length: None,
        note: "to the lead edge of the open door; catch the lead slat, not the tail: the tail moves with the seasons"
            .to_owned(),
    }
}

/// A block in the groove at the tail of the open door, set for the dry season; none where the tail stands in a bend. The
/// door is opened by pushing its lead slat, so the chain lies on the outer wall and its tail reaches least far.
fn tail(layout: &Layout<'_>, frame: Option<&Frame>, shrinks: Length) -> Option<Stop> {
    let section = layout.section();
    let open = layout.track.tail_on_centreline(&section, layout.run.travel.mm_f64(), Lie::Pushed);
    let station = length(open) - shrinks;
    let (index, along, rest) = straight_at(&layout.run.path, station)?;
    let (from, distance) = match frame {
        Some(frame) => frame.edge(index, along)?,
        None => ("far end of the groove".to_owned(), rest?),
    };
    Some(Stop {
        name: "tail stop",
        from,
        distance,
        station: Some(station),
        length: None,
        note: "instead of the opening stop: set for the dry season, it takes the season's swelling off the opening"
            .to_owned(),
    })
}

/// The straight run a centreline station lies on: its index, how far along it, and how far before the groove's end
/// where only that run is left.
fn straight_at(path: &[Segment], station: Length) -> Option<(usize, Length, Option<Length>)> {
    let mut start = Length::ZERO;
    for (index, segment) in path.iter().enumerate() {
        let span = match *segment {
            Segment::Straight(span) => span,
            Segment::Arc { radius, degrees, .. } => length(radius.mm_f64() * degrees.to_radians()),
        };
        if station >= start && station <= start + span {
            let straight = matches!(segment, Segment::Straight(_));
            let rest = (index + 1 == path.len()).then(|| start + span - station);
            return straight.then_some((index, station - start, rest));
        }
        start += span;
    }
    None
}

/// The entry is the side run let straight out through the back edge: a curved branch that joined from outside would be
/// a reverse bend and lock square slats. Its filler closes the groove again.
fn filler(layout: &Layout<'_>, frame: Option<&Frame>) -> Stop {
    let Some(frame) = frame else {
        return Stop {
            name: "entry filler",
            from: "far end of the groove".to_owned(),
            distance: Length::ZERO,
            station: None,
            length: None,
            note: "the door is loaded at the far end; a block closes the groove there".to_owned(),
        };
    };
    let side = match layout.run.path.get(2) {
        Some(Segment::Straight(side)) => *side,
        _ => Length::ZERO,
    };
    let near = frame.setback + frame.radius + side;
    let groove = layout.spec.groove.width.mm_f64();
    let note = if layout.run.back_corner {
        let open = length((2.0 * frame.radius.mm_f64() * groove).sqrt());
        format!(
            "in the entry, its near end shaped to the corner's outer wall, which is missing over {}; it goes in when \
             the door is loaded, before the tail first passes",
            about(open, layout.units)
        )
    } else {
        "in the entry, from the end of the groove to the back edge; it stops the tail too".to_owned()
    };
    Stop {
        name: "entry filler",
        from: "case front edge".to_owned(),
        distance: near,
        station: None,
        length: Some((frame.inside.depth - near).max(Length::ZERO)),
        note,
    }
}

/// Steps that bring the door into its track.
pub(super) fn loading(layout: &Layout<'_>) -> Vec<String> {
    let frame = Frame::of(&layout.spec.track, layout.units);
    let mut steps = Vec::new();
    match &frame {
        Some(_) if layout.run.back_corner => steps.push(
            "rout the side run straight out through the back edge: the back corner leaves it tangentially".to_owned(),
        ),
        Some(_) => steps.push("rout the side run straight out through the back edge".to_owned()),
        None => steps.push("load at the far end of the groove, open and with room behind it".to_owned()),
    }
    if layout.lead_is_loaded() {
        steps.push("wax the grooves; feed the door in lead slat first; fit the handle afterwards".to_owned());
    } else {
        let fit = match layout.lead_entry() {
            LeadEntry::Ends => "put the lead slat in, one end to the bottom of its groove, then the other".to_owned(),
            LeadEntry::Notch => format!(
                "put the lead slat in through its notch ({} long) and close the notch",
                about(layout.notch_length(), layout.units)
            ),
            LeadEntry::Screwed => "screw the lead slat to the first slat".to_owned(),
        };
        steps.push(format!("wax the grooves; feed the door in first slat first, then {fit}; the handle comes last"));
    }
    steps.push("fit the entry filler, then the stops".to_owned());
    if frame.as_ref().is_some_and(Frame::is_pair) {
        steps.push(
            "an entry for each door: either goes first. One entry for both: the far door goes in tail first, round the \
             near corner and across the front; then the near door, lead slat first; the closing stop goes in last"
                .to_owned(),
        );
    }
    steps
}

/// The lead slat in the straight front groove, door closed. Without a tongue of its own it is one piece with the first
/// slat, and that slat's tongue guides it.
pub(super) fn lead_in_groove(layout: &Layout<'_>) -> LeadInGroove {
    let section = layout.section();
    let own = layout.lead_tongue().mm_f64();
    let (width, tongue_length) =
        if own > 0.0 { (section.lead_width, own) } else { (section.lead_width + section.width, section.width) };
    // Bevelled edges leave each joint free to fold both ways: no slat behind the lead slat holds it straight.
    let stiff = layout.spec.slats.edge_bevel <= 0.0;
    let behind = if stiff { ((layout.track.front_run() - width) / section.pitch()).floor() } else { 0.0 };
    LeadInGroove {
        groove: layout.track.groove,
        tongue: section.tongue,
        width,
        thickness: layout.spec.slats.lead_thickness.mm_f64(),
        tongue_length,
        bare: layout.lead_bare().mm_f64(),
        slats_behind: behind.clamp(0.0, f64::from(section.slats)) * section.pitch(),
    }
}

/// How the lead slat can turn in the straight front groove, door closed.
pub(super) fn lead_swing(layout: &Layout<'_>) -> LeadSwing {
    let lead = lead_in_groove(layout);
    LeadSwing {
        yaw_in: lead.yaw_in().to_degrees(),
        yaw_out: lead.yaw_out().to_degrees(),
        meeting_step: length(lead.meeting_step()),
        corner_forward: length(lead.corner_forward()),
        face_corner_reach: length(lead.face_corner_reach()),
    }
}
