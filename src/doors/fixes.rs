//! The nearest changes that make a failing or tight door right, each found by laying the door out again.
//!
//! One figure is changed at a time, in the steps a maker would set, until nothing fails and nothing is tight in groove
//! or stow. The three figures that move least, by share of themselves, are named.

use super::details::Fix;
use super::fit::{Check, Figure, step};
use super::layout::Again;
use super::{Door, FitCheck};
use crate::job::{DoorSpec, DoorTrack, Panel, Segment};
use crate::measure::{Length, Units};

/// How many fixes are named.
const NAMED: usize = 3;
/// How far a fine figure is moved in search of a fix: beyond this it would be another door.
const REACH_FINE: Length = Length::from_64ths(160);
/// How far a coarse figure is moved.
const REACH_COARSE: Length = Length::from_inches(20);
/// Steeper bevels than this are no door's.
const STEEPEST: f64 = 30.0;

/// The one fix that changes two figures: named where neither does alone.
const BOTH_INSETS: &str = "side_inset, back_inset";

/// A figure of a door's specification that may be changed.
struct Knob {
    key: &'static str,
    words: &'static str,
    /// The checks this figure can mend.
    mends: &'static [Check],
    /// Finer figures move by 1/64 in or 0.1 mm, coarse ones by 1/8 in or 1 mm.
    fine: bool,
    /// Signs to try.
    ways: &'static [i64],
    get: fn(&DoorSpec) -> Option<Length>,
    set: fn(&mut DoorSpec, Length),
}

const KNOBS: [Knob; 20] = [
    Knob {
        key: "groove_width",
        words: "a groove width of",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::TongueFit],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.groove.width),
        set: |spec, to| spec.groove.width = to,
    },
    Knob {
        key: "rabbet_depth",
        words: "a rabbet depth of",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::TongueFit],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.slats.rabbet_depth),
        set: |spec, to| spec.slats.rabbet_depth = to,
    },
    Knob {
        key: "rabbet_length",
        words: "a rabbet length of",
        mends: &[Check::TongueLength],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.slats.rabbet_length),
        set: |spec, to| spec.slats.rabbet_length = to,
    },
    Knob {
        key: "groove_depth",
        words: "a groove depth of",
        mends: &[Check::TongueLength, Check::PanelThickness],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.groove.depth),
        set: |spec, to| spec.groove.depth = to,
    },
    Knob {
        key: "lead_width",
        words: "a lead width of",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::LeadTravel, Check::Stow],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.slats.lead_width),
        set: |spec, to| spec.slats.lead_width = to,
    },
    Knob {
        key: "lead_tongue",
        words: "a lead tongue cut back to",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::LeadTongue],
        fine: true,
        ways: &[-1, 1],
        get: |spec| Some(spec.slats.lead_tongue.unwrap_or(spec.slats.lead_width)),
        set: |spec, to| spec.slats.lead_tongue = Some(to),
    },
    Knob {
        key: "width",
        words: "a slat width (of the whole job) of",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::Stow],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.slats.width),
        set: |spec, to| spec.slats.width = to,
    },
    Knob {
        key: "corner_radius",
        words: "a corner radius of",
        mends: &[Check::GrooveWidth, Check::ArcRadius, Check::EdgeBevel, Check::LeadTravel, Check::Stow, Check::Cover],
        fine: false,
        ways: &[1, -1],
        get: radius,
        set: set_radius,
    },
    Knob {
        key: "travel",
        words: "a travel of",
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
        words: "a last straight run of",
        mends: &[Check::Stow, Check::Cover],
        fine: false,
        ways: &[1],
        get: last_run,
        set: set_last_run,
    },
    Knob {
        key: "side_inset",
        words: "a side inset of",
        mends: &[Check::CaseRoom],
        fine: true,
        ways: &[1],
        get: |spec| insets(spec).map(|(side, _)| side),
        set: |spec, to| set_insets(spec, to, Length::ZERO),
    },
    Knob {
        key: "back_inset",
        words: "a back inset of",
        mends: &[Check::CaseRoom],
        fine: true,
        ways: &[1],
        get: |spec| insets(spec).map(|(_, back)| back),
        set: |spec, to| set_insets(spec, Length::ZERO, to),
    },
    Knob {
        key: BOTH_INSETS,
        words: "side and back insets no less than",
        mends: &[Check::CaseRoom],
        fine: true,
        ways: &[1],
        get: |spec| insets(spec).map(|(side, back)| side.min(back)),
        set: |spec, to| set_insets(spec, to, to),
    },
    Knob {
        key: "inside_depth",
        words: "an inside depth of",
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
        words: "a groove width of",
        mends: &[Check::FrontEdge],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.groove.width),
        set: |spec, to| spec.groove.width = to,
    },
    Knob {
        key: "setback",
        words: "a setback of",
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
        words: "a rabbet depth of",
        mends: &[Check::TongueThickness],
        fine: true,
        ways: &[-1],
        get: |spec| Some(spec.slats.rabbet_depth),
        set: |spec, to| spec.slats.rabbet_depth = to,
    },
    Knob {
        key: "groove_depth",
        words: "a groove depth of",
        mends: &[Check::Engagement],
        fine: true,
        ways: &[1],
        get: |spec| Some(spec.groove.depth),
        set: |spec, to| spec.groove.depth = to,
    },
    Knob {
        key: "panel_thickness",
        words: "a panel thickness of",
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
        words: "a lead thickness of",
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

/// The nearest fixes of a door that fails or is tight; none for one that is right.
pub(super) fn fixes(spec: &DoorSpec, door: &Door, again: &Again<'_>) -> Vec<Fix> {
    let wrong: Vec<Check> = door.checks.iter().filter(|check| !right_check(check)).map(|check| check.check).collect();
    if wrong.is_empty() {
        return Vec::new();
    }
    let mends_all = |mends: &[Check]| wrong.iter().all(|check| mends.contains(check));
    let knobs = KNOBS.iter().filter(|knob| mends_all(knob.mends));
    let mut found: Vec<(f64, Fix)> = knobs.filter_map(|knob| try_knob(knob, spec, again)).collect();
    if mends_all(&[Check::EdgeBevel]) {
        found.extend(try_bevel(spec, again));
    }
    if found.iter().any(|(_, fix)| ["side_inset", "back_inset"].contains(&fix.key)) {
        found.retain(|(_, fix)| fix.key != BOTH_INSETS);
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.key.cmp(b.1.key)));
    found.into_iter().take(NAMED).map(|(_, fix)| fix).collect()
}

/// Nothing fails, and groove and stow have their clearance.
fn right(door: &Door) -> bool {
    door.checks.iter().all(right_check)
}

fn right_check(check: &FitCheck) -> bool {
    let tight = check.advice.is_some() && [Check::GrooveWidth, Check::Stow].contains(&check.check);
    check.holds() && !tight
}

/// A lead slat narrower than the others carries no pull, and one thinner stands back from them (common practice, no
/// source): no such change is named.
fn sensible(spec: &DoorSpec) -> bool {
    let slats = &spec.slats;
    slats.lead_width >= slats.width && slats.lead_thickness >= slats.thickness
}

/// The nearest value of one figure that makes the door right, with the share it moves.
fn try_knob(knob: &Knob, spec: &DoorSpec, again: &Again<'_>) -> Option<(f64, Fix)> {
    let units = again.units;
    let from = (knob.get)(spec)?;
    let unit = match (knob.fine, units) {
        (true, _) => step(units),
        (false, Units::Inch) => Length::from_64ths(8),
        (false, Units::Millimetre) => Length::from_mm(1),
    };
    // The marks of the rule either side of the value now.
    let base = from.round_to_nearest(unit);
    let reach = if knob.fine { REACH_FINE } else { REACH_COARSE };
    let value = |n: i64, way: i64| {
        let to = base + unit * (n * way);
        (to.is_positive() && (to - from).nm().signum() == way.signum()).then_some(to)
    };
    let changed = |n: i64, way: i64| {
        let mut changed = spec.clone();
        (knob.set)(&mut changed, value(n, way)?);
        sensible(&changed).then_some(changed)
    };
    let steps = (0..=reach.div_ceil(unit)).flat_map(|n| knob.ways.iter().map(move |&way| (n, way)));
    let (n, way) = nearest(steps, |&(n, way)| (n > 0).then(|| (n - 1, way)), |&(n, way)| changed(n, way), again)?;
    let to = value(n, way)?;
    let text = format!("{} {} {units} (now {})", knob.words, to.show(units), from.show(units));
    let fix = Fix { key: knob.key, from: Figure::Length(from), to: Figure::Length(to), text };
    Some(((to - from).mm_f64().abs() / from.mm_f64(), fix))
}

/// The first step whose door is right. Steps are tried by what is known of the door, which is cheap; from the first that
/// does, `nearer` ones are tried with poses of their own, which may ask a little less.
fn nearest<S: Copy>(
    steps: impl Iterator<Item = S>,
    nearer: impl Fn(&S) -> Option<S>,
    changed: impl Fn(&S) -> Option<DoorSpec>,
    again: &Again<'_>,
) -> Option<S> {
    let exact = |step: &S| changed(step).is_some_and(|spec| right(&again.door(&spec)));
    let quick = |step: &S| changed(step).is_some_and(|spec| right(&again.quickly(&spec)));
    let mut steps = steps;
    let mut found = steps.find(|step| quick(step) && exact(step))?;
    while let Some(step) = nearer(&found).filter(|step| exact(step)) {
        found = step;
    }
    Some(found)
}

/// The least bevel, in half degrees, that makes the door right.
fn try_bevel(spec: &DoorSpec, again: &Again<'_>) -> Option<(f64, Fix)> {
    let from = spec.slats.edge_bevel;
    let base = (from * 2.0).floor() as i32;
    let changed = |halves: &i32| {
        let mut changed = spec.clone();
        changed.slats.edge_bevel = f64::from(*halves) / 2.0;
        Some(changed)
    };
    let steps = base + 1..=(STEEPEST * 2.0) as i32;
    let to = nearest(steps, |halves| (*halves > base + 1).then(|| halves - 1), changed, again)?;
    let to = f64::from(to) / 2.0;
    let text = format!("edges bevelled {to:.1} degrees (now {from:.1})");
    let fix = Fix { key: "edge_bevel", from: Figure::Degrees(from), to: Figure::Degrees(to), text };
    // A bevel costs a set-up of the saw: a right angle stands for the whole.
    Some(((to - from) / 90.0, fix))
}
