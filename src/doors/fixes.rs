//! The nearest changes that make a failing or tight door right, each found by laying the door out again.
//!
//! One figure is changed at a time, in the steps a maker would set, until nothing fails and nothing is tight in groove
//! or stow. The three figures that move least, by share of themselves, are named.

use super::details::Fix;
use super::fit::{Check, Figure, step};
use super::knobs::{BOTH_INSETS, KNOBS, Knob};
use super::layout::Again;
use super::{Door, FitCheck};
use crate::job::DoorSpec;
use crate::measure::{Length, Units};

/// How many fixes are named.
const NAMED: usize = 3;
/// How far a fine figure is moved in search of a fix: beyond this it would be another door.
const REACH_FINE: Length = Length::from_64ths(160);
/// How far a coarse figure is moved.
const REACH_COARSE: Length = Length::from_inches(20);
/// Steeper bevels than this are no door's.
const STEEPEST: f64 = 30.0;

/// The nearest fixes of a door that fails or is tight; none for one that is right.
pub(super) fn fixes(spec: &DoorSpec, door: &Door, again: &Again<'_>) -> Vec<Fix> {
    let wrong: Vec<Check> = door.checks.iter().filter(|check| !right_check(check)).map(|check| check.check).collect();
    if wrong.is_empty() {
        return Vec::new();
    }
    let mends_all = |mends: &[Check]| wrong.iter().all(|check| mends.contains(check));
    let knobs = KNOBS.iter().filter(|knob| mends_all(knob.mends));
    let mut found: Vec<(f64, Fix)> = knobs.filter_map(|knob| try_knob(knob, spec, !door.fits(), again)).collect();
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
fn try_knob(knob: &Knob, spec: &DoorSpec, failing: bool, again: &Again<'_>) -> Option<(f64, Fix)> {
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
    let found = |good: fn(&Door) -> bool| {
        let steps = (0..=reach.div_ceil(unit)).flat_map(|n| knob.ways.iter().map(move |&way| (n, way)));
        let (n, way) = nearest(steps, |&(n, way)| changed(n, way), good, again)?;
        value(n, way)
    };
    let to = found(right)?;
    let passes = if failing { found(Door::fits).filter(|passes| *passes != to) } else { None };
    let show = |length: Length| format!("{} {units}", length.show(units));
    let text = in_words(knob.words, &show(to), passes.map(show), &show(from));
    let (now, passes) = (Figure::Length(from), passes.map(Figure::Length));
    let fix = Fix { key: knob.key, from: now, to: Figure::Length(to), passes, text };
    Some(((to - from).mm_f64().abs() / from.mm_f64(), fix))
}

/// `groove width: 21/64 in recommended; 19/64 in passes, tight; now 1/4 in`.
fn in_words(what: &str, to: &str, passes: Option<String>, now: &str) -> String {
    match passes {
        Some(passes) => format!("{what}: {to} recommended; {passes} passes, tight; now {now}"),
        None => format!("{what}: {to}; now {now}"),
    }
}

/// The first step whose door is good. What is known of a door is looked at first, which is cheap and lets pass whatever
/// might do; then it is laid out with poses of its own.
fn nearest<S: Copy>(
    mut steps: impl Iterator<Item = S>,
    changed: impl Fn(&S) -> Option<DoorSpec>,
    good: fn(&Door) -> bool,
    again: &Again<'_>,
) -> Option<S> {
    steps.find(|step| changed(step).is_some_and(|spec| good(&again.quickly(&spec)) && good(&again.door(&spec))))
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
    let to = nearest(steps, changed, right, again)?;
    let to = f64::from(to) / 2.0;
    let show = |degrees: f64| format!("{degrees:.1} degrees");
    let text = in_words("bevel of each edge", &show(to), None, &show(from));
    let fix = Fix { key: "edge_bevel", from: Figure::Degrees(from), to: Figure::Degrees(to), passes: None, text };
    // A bevel costs a set-up of the saw: a right angle stands for the whole.
    Some(((to - from) / 90.0, fix))
}
