//! Refusals of doors whose figures cannot be meant: each right alone, wrong together.

use super::Check;
use super::cabinets::Rooms;
use crate::files::{At, Entry, Kind, Problem, SlatsFile};
use crate::job::{CanvasRules, Clearance, EndClear, Groove, Shop, SlatSpec};
use crate::measure::Length;

/// Longest track and largest case: 20 m.
pub(super) const LARGEST: Length = Length::from_mm(20_000);
/// Most slats in one door, roughly: more is a slip of the unit.
const MOST_SLATS: i64 = 2_000;

/// A length for a message.
pub(super) fn show(check: &Check, length: Length) -> String {
    format!("{} {}", length.show(check.units), check.units)
}

/// An arc cannot turn inside its own groove.
pub(super) fn refuse_tight(check: &Check, radius: &At<Length>, groove_width: Length) {
    if radius.value * 2 < groove_width {
        let what = format!(
            "a radius of {} to the centreline is under half the groove's width of {}",
            show(check, radius.value),
            show(check, groove_width)
        );
        let problem = Problem::new(Kind::Conflict, radius.place, what);
        check.note(problem.help("the inner wall of the groove needs a radius of its own"));
    }
}

pub(super) fn refuse_huge(check: &Check, at: &At<Length>) {
    if at.value > LARGEST {
        let what = format!("{} is larger than any cabinet", show(check, at.value));
        let problem = Problem::new(Kind::BadValue, at.place, what);
        check.note(problem.help("at most 20 m; check the unit: a bare figure is in the job's `units`"));
    }
}

/// A tongue that is as thick as its groove is wide cannot run at all, whatever the bends.
pub(super) fn refuse_groove(check: &Check, file: &SlatsFile, spec: &SlatSpec, width: &Entry<Length>, groove: Groove) {
    let tongue = spec.thickness - spec.rabbet_depth;
    // A rabbet through the whole slat has its own note.
    if groove.width > tongue || tongue <= Length::ZERO {
        return;
    }
    let what = format!("the tongue is {} thick and the groove {} wide", show(check, tongue), show(check, groove.width));
    let place = width.place().unwrap_or(file.head.place);
    let problem = Problem::new(Kind::Conflict, place, what).help("the groove has to be wider than the tongue");
    check.note(match file.rabbet_depth.place() {
        Some(place) => problem.also(place, "tongue thickness = thickness - rabbet_depth"),
        None => problem,
    });
}

/// The slat has to be longer than its two rabbets, and the cloth has to keep clear of them.
pub(super) fn refuse_section(rooms: &Rooms, file: &SlatsFile, spec: &SlatSpec, groove: Groove, between: &At<Length>) {
    let Some(Shop { clearance: Clearance { end_play, .. }, canvas, .. }) = rooms.shop else { return };
    let check = rooms.check;
    let length = between.value + groove.depth * 2 - *end_play;
    if length <= spec.rabbet_length * 2 {
        let what = format!(
            "the slats come out {} long, no longer than their two rabbets of {}",
            show(check, length),
            show(check, spec.rabbet_length)
        );
        let problem = Problem::new(Kind::Conflict, between.place, what);
        check.note(problem.help("slat length = between + 2 groove_depth - end_play"));
        return;
    }
    refuse_bare_ends(rooms, file, spec, canvas, &At { value: length, place: between.place });
    refuse_loose_edges(rooms, file, spec, canvas);
}

/// The cloth keeps clear of the tongues, and some of it has to lie on the slat.
fn refuse_bare_ends(rooms: &Rooms, file: &SlatsFile, spec: &SlatSpec, canvas: &CanvasRules, slat: &At<Length>) {
    let check = rooms.check;
    let least = spec.rabbet_length + Length::from_64ths(8);
    let bare = match canvas.end_clear {
        EndClear::Given(given) => given,
        EndClear::Auto => least.max(Length::from_64ths(32)),
    };
    if bare < least {
        let what = format!("with {} of each end bare the cloth comes too near the tongues", show(check, bare));
        let rabbet = file.rabbet_length.place().unwrap_or(file.head.place);
        let problem = Problem::new(Kind::Conflict, rooms.canvas.end_clear.place().unwrap_or(rabbet), what);
        let problem = problem.also(rabbet, "the length of the rabbet");
        check.note(problem.help(format!("at least rabbet_length + 1/8 in, here {}", show(check, least))));
    } else if slat.value <= bare * 2 {
        let what = format!(
            "the slats come out {} long, with {} of each end bare no cloth is left",
            show(check, slat.value),
            show(check, bare)
        );
        check.note(Problem::new(Kind::Conflict, slat.place, what).help("see `end_clear` in the shop file"));
    }
}

/// The cloth has to hold the last slat and stay behind the lead slat.
fn refuse_loose_edges(rooms: &Rooms, file: &SlatsFile, spec: &SlatSpec, canvas: &CanvasRules) {
    let check = rooms.check;
    let whole = file.head.place;
    if canvas.tail_clear >= spec.width {
        let what = format!(
            "the cloth stops {} short of the tail and the last slat is {} wide: nothing holds it",
            show(check, canvas.tail_clear),
            show(check, spec.width)
        );
        let place = rooms.canvas.tail_clear.place().or(file.width.place());
        let problem = Problem::new(Kind::Conflict, place.unwrap_or(whole), what);
        check.note(problem.help("set `tail_clear` under `[canvas]` in the shop file, below the width of a slat"));
    }
    if canvas.lead_lap > spec.lead_width {
        let what = format!(
            "the cloth laps {} over a lead slat only {} wide",
            show(check, canvas.lead_lap),
            show(check, spec.lead_width)
        );
        let place = rooms.canvas.lead_lap.place().or(file.lead_width.place());
        let problem = Problem::new(Kind::Conflict, place.unwrap_or(whole), what);
        check.note(problem.help("set `lead_lap` under `[canvas]` in the shop file, at most the lead slat's width"));
    }
}

/// Thousands of slats in a door are a slip of the unit.
pub(super) fn refuse_count(check: &Check, file: &SlatsFile, spec: &SlatSpec, track: &At<Length>) {
    if spec.width.is_positive() && track.value <= LARGEST && track.value.div_ceil(spec.width) > MOST_SLATS {
        let what = format!("slats {} wide make thousands of them in one door", show(check, spec.width));
        let problem = Problem::new(Kind::BadValue, file.width.place().unwrap_or(track.place), what);
        check.note(problem.help(format!("at most about {MOST_SLATS} slats a door; check the unit")));
    }
}
