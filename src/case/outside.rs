//! The smallest case in which the client has a wanted room.

use super::clear::{Beside, Clear, ClearBox};
use crate::doors::{Door, lay_out_door};
use crate::job::{Cabinet, DoorTrack, InsideSize, Job};
use crate::measure::Length;

/// Outside sizes of a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OutsideSize {
    /// Over both sides.
    pub width: Length,
    /// Front edge to the back of the back.
    pub depth: Length,
    /// Over bottom and top.
    pub height: Length,
}

/// The outside of a case with these inside sizes: panels as thick as the job says or as is usual, and the back where
/// there is one.
#[must_use]
pub fn outside(cabinet: &Cabinet, inside: InsideSize) -> OutsideSize {
    let usual = cabinet.doors.first().map_or(Length::ZERO, |spec| match spec.groove.panel {
        crate::job::Panel::Given(thickness) | crate::job::Panel::Usual(thickness) => thickness,
    });
    let panel = cabinet.case.as_ref().map_or(usual, |case| case.thickness);
    let back = cabinet.case.as_ref().and_then(|case| case.back.as_ref()).map_or(Length::ZERO, |back| back.thickness);
    OutsideSize { width: inside.width + panel * 2, depth: inside.depth + back, height: inside.height + panel * 2 }
}

/// The smallest case for a wanted room.
#[derive(Debug, Clone)]
pub struct Smallest {
    /// Its inside.
    pub inside: InsideSize,
    /// Its outside.
    pub outside: OutsideSize,
    /// The cabinet's doors in it, which may not fit.
    pub doors: Vec<Door>,
}

/// Sizes across that are tried: corners of metres ask for no more.
const MOST_STEPS: i64 = 5_000;
/// A smaller case may send the door behind the back, and that takes more of it.
const ROUNDS: usize = 4;

/// The case of the least floor (of the least side, for a roll-up) in which a room as large as `wanted` is free, bare or
/// behind a lining so thick. `None` where the cabinet's doors have no case.
#[must_use]
pub fn smallest(job: &Job, cabinet: usize, wanted: ClearBox, lining: Option<Length>) -> Option<Smallest> {
    let spec = job.cabinets.get(cabinet)?;
    let mut inside = spec.inside?;
    let mut found = None;
    for _ in 0..ROUNDS {
        let doors = doors_in(job, cabinet, inside);
        let clear = Clear::of(spec, doors.first()?, job.units)?.with_inside(inside);
        let next = least(spec, &clear, wanted, lining);
        let doors = doors_in(job, cabinet, next);
        let behind = doors.first().and_then(|door| Clear::of(spec, door, job.units)).map(|clear| clear.behind());
        found = Some(Smallest { inside: next, outside: outside(spec, next), doors });
        if behind == Some(clear.behind()) || next == inside {
            break;
        }
        inside = next;
    }
    found
}

/// Every size across that a rule shows, from the least beside the side runs to where no corner is in the way, each with the
/// depth that it asks for.
fn least(cabinet: &Cabinet, clear: &Clear, wanted: ClearBox, lining: Option<Length>) -> InsideSize {
    let beside = Beside::of(clear, lining);
    let (wide, deep) = (clear.wide_of(wanted).mm_f64(), wanted.depth.mm_f64());
    let at = |along: Length| {
        let depth = clear.up_to_step(deep + beside.taken_in_depth(beside.side_for(along, wide)));
        let (width, height) = if clear.up { (wanted.width, along) } else { (along, wanted.height) };
        InsideSize { width, depth, height }
    };
    let floor = |inside: &InsideSize| {
        let outside = outside(cabinet, *inside);
        let along = if clear.up { outside.height } else { outside.width };
        (along * outside.depth).nm2()
    };
    let least = clear.up_to_step(wide + beside.taken_along(beside.least_side()));
    let most = clear.up_to_step(wide + beside.taken_along(beside.beyond_corners()));
    let steps = (most - least).div_ceil(clear.step).clamp(0, MOST_STEPS);
    (0..=steps).map(|step| at(least + clear.step * step)).min_by_key(floor).unwrap_or(clear.inside)
}

/// The cabinet's doors in a case of other inside sizes.
fn doors_in(job: &Job, cabinet: usize, sizes: InsideSize) -> Vec<Door> {
    let spec = &job.cabinets[cabinet];
    let door = |(index, spec): (usize, &crate::job::DoorSpec)| {
        let mut spec = spec.clone();
        if let DoorTrack::Case { inside, hand, .. } = &mut spec.track {
            *inside = sizes;
            spec.between = if *hand == crate::job::Hand::Up { sizes.width } else { sizes.height };
        }
        let mut door = lay_out_door(&spec, &job.shop, job.units);
        (door.cabinet, door.index) = (cabinet, index);
        door
    };
    spec.doors.iter().enumerate().map(door).collect()
}
