//! The figures of a door that may be changed to make it right, and what each can mend.

use super::fit::Check;
use crate::job::{DoorSpec, DoorTrack, Panel, Segment};
use crate::measure::Length;

/// The one fix that changes two figures: named where neither does alone.
pub(super) const BOTH_INSETS: &str = "side_inset, back_inset";

/// A figure of a door's specification that may be changed.
pub(super) struct Knob {
    pub(super) key: &'static str,
    pub(super) words: &'static str,
    /// The checks this figure can mend.
    pub(super) mends: &'static [Check],
    /// Finer figures move by 1/64 in or 0.1 mm, coarse ones by 1/8 in or 1 mm.
    pub(super) fine: bool,
    /// Signs to try.
    pub(super) ways: &'static [i64],
    pub(super) get: fn(&DoorSpec) -> Option<Length>,
    pub(super) set: fn(&mut DoorSpec, Length),
}

pub(super) const KNOBS: [Knob; 20] = [
    Knob {
        key: "groove_width",
        words: "groove width",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::TongueFit],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.groove.width),
        set: |spec, to| spec.groove.width = to,
    },
    Knob {
        key: "rabbet_depth",
        words: "rabbet depth",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::TongueFit],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.slats.rabbet_depth),
        set: |spec, to| spec.slats.rabbet_depth = to,
    },
    Knob {
        key: "rabbet_length",
        words: "rabbet length",
        mends: &[Check::TongueLength],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.slats.rabbet_length),
        set: |spec, to| spec.slats.rabbet_length = to,
    },
    Knob {
        key: "groove_depth",
        words: "groove depth",
        mends: &[Check::TongueLength, Check::PanelThickness],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.groove.depth),
        set: |spec, to| spec.groove.depth = to,
    },
    Knob {
        key: "lead_width",
        words: "width of the lead slat",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::LeadTravel, Check::Stow],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.slats.lead_width),
        set: |spec, to| spec.slats.lead_width = to,
    },
    Knob {
        key: "lead_tongue",
        words: "tongue of the lead slat, along the travel",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::LeadTongue],
        fine: true,
        ways: &[-1, 1],
        get: |spec| Some(spec.slats.lead_tongue.unwrap_or(spec.slats.lead_width)),
        set: |spec, to| spec.slats.lead_tongue = Some(to),
    },
    Knob {
        key: "width",
        words: "slat width, of the whole job",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::Stow],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.slats.width),
        set: |spec, to| spec.slats.width = to,
    },
    Knob {
        key: "corner_radius",
        words: "corner radius",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::LeadTravel, Check::Stow, Check::Cover],
        fine: false,
        ways: &[1, -1],
        get: radius,
        set: set_radius,
    },
    Knob {
        key: "travel",
        words: "travel",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::Stow],
        fine: false,
        ways: &[-1],
        get: |spec| match &spec.track {
            DoorTrack::Path { travel, .. } => Some(*travel),
            DoorTrack::Case { .. } => None,
        },
        set: |spec, to| {
            if let DoorTrack::Path { travel, .. } = &mut spec.track {
                *travel = to;
            }
        },
    },
    Knob {
        key: "path",
        words: "last straight run of the track",
        mends: &[Check::Stow, Check::Cover],
        fine: false,
        ways: &[1],
        get: last_run,
        set: set_last_run,
    },
    Knob {
        key: "side_inset",
        words: "side inset",
        mends: &[Check::CaseRoom],
        fine: true,
        ways: &[1],
        get: |spec| insets(spec).map(|(side, _)| side),
        set: |spec, to| set_insets(spec, to, Length::ZERO),
    },
    Knob {
        key: "back_inset",
        words: "back inset",
        mends: &[Check::CaseRoom],
        fine: true,
        ways: &[1],
        get: |spec| insets(spec).map(|(_, back)| back),
        set: |spec, to| set_insets(spec, Length::ZERO, to),
    },
    Knob {
        key: BOTH_INSETS,
        words: "side and back insets, each at least",
        mends: &[Check::CaseRoom],
        fine: true,
        ways: &[1],
        get: |spec| insets(spec).map(|(side, back)| side.min(back)),
        set: |spec, to| set_insets(spec, to, to),
    },
    Knob {
        key: "inside_depth",
        words: "inside depth",
        mends: &[Check::Stow],
        fine: false,
        ways: &[1],
        get: |spec| match &spec.track {
            DoorTrack::Case { inside, .. } => Some(inside.depth),
            DoorTrack::Path { .. } => None,
        },
        set: |spec, to| {
            if let DoorTrack::Case { inside, .. } = &mut spec.track {
                inside.depth = to;
            }
        },
    },
    Knob {
        key: "groove_width",
        words: "groove width",
        mends: &[Check::FrontEdge],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.groove.width),
        set: |spec, to| spec.groove.width = to,
    },
    Knob {
        key: "setback",
        words: "setback",
        mends: &[Check::FrontEdge],
        fine: true,
        ways: &[1],
        get: |spec| match &spec.track {
            DoorTrack::Case { setback, .. } => Some(*setback),
            DoorTrack::Path { .. } => None,
        },
        set: |spec, to| {
            if let DoorTrack::Case { setback, .. } = &mut spec.track {
                *setback = to;
            }
        },
    },
    Knob {
        key: "rabbet_depth",
        words: "rabbet depth",
        mends: &[Check::TongueThickness],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.slats.rabbet_depth),
        set: |spec, to| spec.slats.rabbet_depth = to,
    },
    Knob {
        key: "groove_depth",
        words: "groove depth",
        mends: &[Check::Engagement],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.groove.depth),
        set: |spec, to| spec.groove.depth = to,
    },
    Knob {
        key: "panel_thickness",
        words: "panel thickness",
        mends: &[Check::PanelThickness],
        fine: true,
        ways: &[1],
        get: |spec| match spec.groove.panel {
            Panel::Given(thickness) => Some(thickness),
            Panel::Usual(_) => None,
        },
        set: |spec, to| spec.groove.panel = Panel::Given(to),
    },
    Knob {
        key: "lead_thickness",
        words: "lead thickness",
        mends: &[Check::CaseRoom],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.slats.lead_thickness),
        set: |spec, to| spec.slats.lead_thickness = to,
    },
];

/// Side and back inset of a case.
fn insets(spec: &DoorSpec) -> Option<(Length, Length)> {
    match spec.track {
        DoorTrack::Case { side_inset, back_inset, .. } => Some((side_inset, back_inset)),
        DoorTrack::Path { .. } => None,
    }
}

/// Makes each inset no less than what is given.
fn set_insets(spec: &mut DoorSpec, side: Length, back: Length) {
    if let DoorTrack::Case { side_inset, back_inset, .. } = &mut spec.track {
        *side_inset = (*side_inset).max(side);
        *back_inset = (*back_inset).max(back);
    }
}

/// The corner radius; of a given path the tightest arc's.
fn radius(spec: &DoorSpec) -> Option<Length> {
    match &spec.track {
        DoorTrack::Case { corner_radius, .. } => Some(*corner_radius),
        DoorTrack::Path { path, .. } => path.iter().filter_map(arc_radius).min(),
    }
}

fn arc_radius(segment: &Segment) -> Option<Length> {
    match segment {
        Segment::Straight(_) => None,
        Segment::Arc { radius, .. } => Some(*radius),
    }
}

/// Sets the corner radius; in a given path no arc stays tighter than it.
fn set_radius(spec: &mut DoorSpec, to: Length) {
    match &mut spec.track {
        DoorTrack::Case { corner_radius, .. } => *corner_radius = to,
        DoorTrack::Path { path, .. } => {
            let tightest = path.iter().filter_map(arc_radius).min();
            for segment in path {
                if let Segment::Arc { radius, .. } = segment
                    && (*radius < to || Some(*radius) == tightest)
                {
                    *radius = to;
                }
            }
        }
    }
}

fn last_run(spec: &DoorSpec) -> Option<Length> {
    match &spec.track {
        DoorTrack::Path { path, .. } => match path.last() {
            Some(Segment::Straight(length)) => Some(*length),
            _ => None,
        },
        DoorTrack::Case { .. } => None,
    }
}

fn set_last_run(spec: &mut DoorSpec, to: Length) {
    if let DoorTrack::Path { path, .. } = &mut spec.track
        && let Some(Segment::Straight(length)) = path.last_mut()
    {
        *length = to;
    }
}
