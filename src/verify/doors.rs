//! Doors: counts, slat lengths, cover and cloth sizes, from the job's figures.

use super::Violation;
use super::wide::{length, nm};
use crate::doors::Door;
use crate::job::{DoorSpec, DoorTrack, EndClear, Job, Overlap};
use crate::measure::Length;

pub(super) fn check(job: &Job, doors: &[Door], found: &mut Vec<Violation>) {
    for (c, cabinet) in job.cabinets.iter().enumerate() {
        for (d, spec) in cabinet.doors.iter().enumerate() {
            let laid_out = doors.iter().filter(|door| (door.cabinet, door.index) == (c, d)).count();
            let door = || spec.name.clone();
            match laid_out {
                0 => found.push(Violation::DoorMissing { door: door() }),
                1 => {}
                _ => found.push(Violation::DoorTwice { door: door() }),
            }
        }
    }
    for door in doors {
        let cabinet = job.cabinets.get(door.cabinet);
        let Some((cabinet, spec)) = cabinet.and_then(|c| Some((c, c.doors.get(door.index)?))) else {
            found.push(Violation::DoorUnknown { door: door.name.clone() });
            continue;
        };
        if door.name != spec.name {
            found.push(Violation::DoorName { door: spec.name.clone(), claimed: door.name.clone() });
        }
        if door.count != cabinet.count {
            let (claimed, expected) = (door.count, cabinet.count);
            found.push(Violation::DoorCount { door: door.name.clone(), claimed, expected });
        }
        check_reach(job, door, spec, found);
        check_sizes(job, door, spec, found);
    }
}

/// The lead slat and the slats reach over the cover by the overlap, and no slat is one too many.
fn check_reach(job: &Job, door: &Door, spec: &DoorSpec, found: &mut Vec<Violation>) {
    let name = || door.name.clone();
    if let DoorTrack::Path { cover, .. } = spec.track
        && cover != door.cover
    {
        found.push(Violation::DoorCover { door: name(), claimed: door.cover, expected: cover });
    }
    if !door.slat_width.is_positive() || !door.lead_width.is_positive() {
        found.push(Violation::SlatWidth { door: name() });
        return;
    }
    let overlap = match job.shop.clearance.overlap {
        Overlap::Slats(slats) => nm(door.slat_width) * i128::from(slats),
        Overlap::Length(length) => nm(length),
    };
    let needed = nm(door.cover) + overlap;
    let pitch = nm(door.slat_width) + nm(spec.slats.canvas_gap);
    let reach = nm(door.lead_width) + pitch * i128::from(door.slats);
    if reach < needed {
        found.push(Violation::CoverShort { door: name(), length: length(reach), needed: length(needed) });
    } else if door.slats > 0 && reach - pitch >= needed {
        found.push(Violation::SlatTooMany { door: name(), slats: door.slats, needed: length(needed) });
    }
}

fn check_sizes(job: &Job, door: &Door, spec: &DoorSpec, found: &mut Vec<Violation>) {
    let clearance = &job.shop.clearance;
    let canvas = &job.shop.canvas;
    let slats = (nm(door.slat_width) + nm(spec.slats.canvas_gap)) * i128::from(door.slats);
    let slat_length = nm(spec.between) + 2 * nm(spec.groove.depth) - nm(clearance.end_play);
    let bare_end = match canvas.end_clear {
        EndClear::Given(length) => nm(length),
        EndClear::AtLeast(least) => nm(least).max(nm(spec.slats.rabbet_length) + nm(canvas.past_rabbet)),
    };
    let along_slat = slat_length - 2 * bare_end + 2 * nm(canvas.trim);
    let along_travel = slats - nm(canvas.tail_clear) + nm(canvas.lead_lap) + 2 * nm(canvas.trim);

    let mut compare = |claimed: Length, expected: i128, violation: fn(String, Length, Length) -> Violation| {
        if nm(claimed) != expected {
            found.push(violation(door.name.clone(), claimed, length(expected)));
        }
    };
    compare(door.slat_length, slat_length, |door, claimed, expected| Violation::SlatLength { door, claimed, expected });
    compare(door.door_length, nm(door.lead_width) + slats, |door, claimed, expected| Violation::DoorLength {
        door,
        claimed,
        expected,
    });
    let rabbets = nm(spec.slats.rabbet_depth) + nm(spec.slats.back_rabbet_depth);
    let tongue = nm(spec.slats.thickness) - rabbets;
    compare(door.tongue, tongue, |door, claimed, expected| Violation::Tongue { door, claimed, expected });
    compare(door.cloth_along_slat, along_slat, |door, claimed, expected| Violation::ClothAlongSlat {
        door,
        claimed,
        expected,
    });
    compare(door.cloth_along_travel, along_travel, |door, claimed, expected| Violation::ClothAlongTravel {
        door,
        claimed,
        expected,
    });
}
