//! Refusals of doors whose figures cannot be meant: each right alone, wrong together.

use super::Check;
use super::cabinets::Rooms;
use crate::files::{At, Entry, Kind, Problem, SlatsFile};
use crate::job::{EndClear, Groove, SlatSpec};
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
            check.said(radius.value, radius.place),
            show(check, groove_width)
        );
        let problem = Problem::new(Kind::Conflict, radius.place, what);
        check.note(problem.help("the inner wall of the groove needs a radius of its own"));
    }
}

pub(super) fn refuse_huge(check: &Check, at: &At<Length>) {
    if at.value > LARGEST {
        let what = format!("{} is larger than any cabinet", check.said(at.value, at.place));
        let problem = Problem::new(Kind::BadValue, at.place, what);
        check.note(problem.help("at most 20 m; check the unit: a bare figure is in the job's `units`"));
    }
}

/// A tongue that is as thick as its groove is wide cannot run at all, whatever the bends.
pub(super) fn refuse_groove(check: &Check, file: &SlatsFile, spec: &SlatSpec, width: &Entry<Length>, groove: Groove) {
    let tongue = spec.tongue();
    // A rabbet through the whole slat has its own note.
    if groove.width > tongue || tongue <= Length::ZERO {
        return;
    }
    let place = width.place().unwrap_or(file.head.place);
    let groove = check.said(groove.width, place);
    let what = format!("the tongue is {} thick and the groove {groove} wide", show(check, tongue));
    let problem = Problem::new(Kind::Conflict, place, what);
    let problem = match file.rabbet_depth.place() {
        Some(place) => problem.also(place, "tongue thickness = thickness - rabbet_depth"),
        None => problem,
    };
    check.note(problem.help("the groove has to be wider than the tongue"));
}

/// The cloth keeps clear of the tongues and reaches the last slat.
pub(super) fn refuse_cloth(rooms: &Rooms, file: &SlatsFile, spec: &SlatSpec) {
    let (check, Some(shop)) = (rooms.check, rooms.shop) else { return };
    let least = spec.rabbet_length + shop.canvas.past_rabbet;
    if let EndClear::Given(bare) = shop.canvas.end_clear
        && bare < least
    {
        let what = format!("with {} of each end bare the cloth comes too near the tongues", show(check, bare));
        let rabbet = file.rabbet_length.place().unwrap_or(file.head.place);
        let problem = Problem::new(Kind::Conflict, rooms.canvas.end_clear.place().unwrap_or(rabbet), what);
        let problem = problem.also(rabbet, "the length of the rabbet");
        check.note(problem.help(format!(
            "at least rabbet_length + {}, here {}",
            show(check, shop.canvas.past_rabbet),
            show(check, least)
        )));
    }
    if shop.canvas.tail_clear >= spec.width {
        let what = format!(
            "the cloth stops {} short of the tail and the last slat is {} wide: nothing holds it",
            show(check, shop.canvas.tail_clear),
            show(check, spec.width)
        );
        let place = rooms.canvas.tail_clear.place().or(file.width.place()).unwrap_or(file.head.place);
        let problem = Problem::new(Kind::Conflict, place, what);
        check.note(problem.help("set `tail_clear` under `[cloth]` in the shop file, below the width of a slat"));
    }
}

/// Thousands of slats in a door are a slip of the unit.
pub(super) fn refuse_count(check: &Check, file: &SlatsFile, spec: &SlatSpec, track: &At<Length>) {
    if spec.width.is_positive() && track.value <= LARGEST && track.value.div_ceil(spec.width) > MOST_SLATS {
        let place = file.width.place().unwrap_or(track.place);
        let what = format!("slats {} wide make thousands of them in one door", check.said(spec.width, place));
        let problem = Problem::new(Kind::BadValue, place, what);
        check.note(problem.help(format!("at most about {MOST_SLATS} slats a door; check the unit")));
    }
}
