//! Cabinets with their doors: the cabinet form, laid out from inside sizes, and doors given one by one on tracks.

use super::fit::{refuse_cloth, refuse_count, refuse_groove, refuse_huge, refuse_tight};
use super::names::Names;
use super::tracks::{self, Tracks, groove};
use super::{COMMON_PRACTICE, Check, all, casework, slats};
use crate::files::{At, CabinetFile, CanvasFile, CaseFile, DoorFile, Entry, JobFile, Kind, Place, Problem, SlatsFile};
use crate::job::{Cabinet, DoorSpec, DoorTrack, Hand, InsideSize, Shop};
use crate::measure::Length;

/// Most cabinets and doors built in one job, counts included.
const MOST_CABINETS: u64 = 10_000;
const MOST_DOORS: u64 = 10_000;
/// Most cabinets listed: each is laid out and drawn by itself.
const MOST_LISTED: usize = 1_000;

/// All cabinets in order; `None` when one is missing or faulty (noted).
pub(super) fn settle(
    check: &Check,
    written: &JobFile,
    shop: Option<&Shop>,
    canvas: &CanvasFile,
) -> Option<Vec<Cabinet>> {
    let mut names = CabinetNames { cabinets: Names::of("cabinet"), doors: Names::of("door"), taken_twice: false };
    let tracks = tracks::settle(check, &written.tracks.list);
    let rooms = Rooms { check, tracks: &tracks, job_slats: &written.slats, job_case: &written.case, shop, canvas };
    let cabinets: Vec<_> = written.cabinets.list.iter().map(|file| cabinet(&rooms, &mut names, file)).collect();
    let cabinets = all(cabinets)?;
    let built: u64 = cabinets.iter().map(|cabinet| u64::from(cabinet.count)).sum();
    let doors: u64 = cabinets.iter().map(|cabinet| u64::from(cabinet.count) * cabinet.doors.len() as u64).sum();
    if built > MOST_CABINETS || doors > MOST_DOORS {
        let what = format!("the job builds {built} cabinets with {doors} doors");
        let problem = Problem::new(Kind::BadValue, written.head.place, what);
        check.note(problem.help(format!("at most {MOST_CABINETS} cabinets and {MOST_DOORS} doors; split the job")));
    }
    if cabinets.len() > MOST_LISTED {
        let what = format!("the job lists {} cabinets", cabinets.len());
        let help =
            format!("at most {MOST_LISTED}; list cabinets that are alike once, with a `count`, or split the job");
        check.note(Problem::new(Kind::BadValue, written.head.place, what).help(help));
    }
    Some(cabinets)
}

/// What every cabinet is checked against.
pub(super) struct Rooms<'a> {
    pub(super) check: &'a Check<'a>,
    tracks: &'a Tracks,
    job_slats: &'a SlatsFile,
    job_case: &'a Entry<CaseFile>,
    pub(super) shop: Option<&'a Shop>,
    /// As written in the shop file, for the places.
    pub(super) canvas: &'a CanvasFile,
}

struct CabinetNames {
    cabinets: Names,
    doors: Names,
    /// The cabinet under reading has the name of one before it.
    taken_twice: bool,
}

impl CabinetNames {
    fn take_door(&mut self, check: &Check, name: &str, place: Place) {
        if !self.taken_twice {
            self.doors.take(check, name, place);
        }
    }
}

fn cabinet(rooms: &Rooms, names: &mut CabinetNames, file: &CabinetFile) -> Option<Cabinet> {
    let check = rooms.check;
    let name = file.name.need(check.desk, &file.head, "name", "\"press\"");
    let count = check.defaults.other(&file.count, "[[cabinet]] count", 1, "1");
    // The doors of a second cabinet of one name have the first one's names as well: the same slip.
    names.taken_twice = name.as_ref().is_some_and(|name| !names.cabinets.take(check, &name.value, name.place));
    let base = file.slats.over(rooms.job_slats);
    let written = casework::written(rooms.job_case, file);
    let (inside, doors, panels) = if file.door.given {
        refuse_case_keys(check, file);
        casework::refuse_on_tracks(check, file);
        (None, listed_doors(rooms, names, file, &base), Some(None))
    } else {
        let asked = written.as_ref().and_then(Option::as_ref);
        let case = case(rooms, names, file, (&base, asked));
        let panels = written.as_ref().map(|asked| asked.as_ref().map(|asked| casework::settle(check, asked)));
        let (inside, doors) = case.map_or((None, None), |(inside, doors)| (Some(inside), Some(doors)));
        (inside, doors, panels.and_then(|panels| panels.map_or(Some(None), |panels| panels.map(Some))))
    };
    let (turn, seam) = (flag(&file.turn)?, flag(&file.seam)?.unwrap_or(false));
    Some(Cabinet { name: name?.value, count: count?, inside, doors: doors?, turn, seam, case: panels? })
}

/// Yes or no, or nothing said; `None` for a faulty one, which is noted.
fn flag(entry: &Entry<bool>) -> Option<Option<bool>> {
    match entry {
        Entry::Given(at) => Some(Some(at.value)),
        Entry::Missing => Some(None),
        Entry::Faulty => None,
    }
}

/// Keys of the cabinet form beside doors given one by one would be silently unused.
fn refuse_case_keys(check: &Check, file: &CabinetFile) {
    let doors = file.doors.place().map(|place| ("doors", place));
    let used = file.case_keys().into_iter().filter_map(|(key, place)| place.map(|place| (key, place)));
    for (key, place) in doors.into_iter().chain(used) {
        let what = format!("`{key}` is not used: the doors of this cabinet are given one by one");
        let problem = Problem::new(Kind::Conflict, place, what);
        check.note(problem.help("take the key out, or take out the `[[cabinet.door]]` tables and write `doors = ...`"));
    }
}

/// The cabinet form: one or two doors laid out from the inside sizes.
fn case(
    rooms: &Rooms,
    names: &mut CabinetNames,
    file: &CabinetFile,
    (base, panels): (&SlatsFile, Option<&CaseFile>),
) -> Option<(InsideSize, Vec<DoorSpec>)> {
    let check = rooms.check;
    if file.doors.is_missing() && file.case_keys().iter().all(|(_, place)| place.is_none()) {
        let what = "this cabinet has no doors";
        let help =
            "write `doors = \"pair\"` (left, right, pair, up) with inside sizes, or add `[[cabinet.door]]` tables";
        check.note(Problem::new(Kind::Missing, file.head.place, what).help(help));
        return None;
    }
    let need = |entry: &Entry<Length>, key, example| entry.need(check.desk, &file.head, key, example);
    let doors = file.doors.need(check.desk, &file.head, "doors", "\"pair\"");
    let width = need(&file.inside_width, "inside_width", "\"36\"");
    let depth = need(&file.inside_depth, "inside_depth", "\"15-1/2\"");
    let height = need(&file.inside_height, "inside_height", "\"28\"");
    let setback = need(&file.setback, "setback", "\"3/4\"");
    let radius = need(&file.corner_radius, "corner_radius", "\"3\"");
    let panel = casework::panel(check, panels, &file.panel_thickness);
    let groove = groove(check, &file.head, &file.groove_width, &file.groove_depth, &panel);
    let side_inset = inset(check, &file.side_inset, "side_inset", setback.as_ref());
    let back_inset = inset(check, &file.back_inset, "back_inset", setback.as_ref());
    let block = middle_block(check, file, doors.as_ref(), width.as_ref());
    let spec = slats::settle(check, base);
    for at in [&width, &depth, &height].into_iter().flatten() {
        refuse_huge(check, at);
    }
    if let (Some(radius), Some(groove)) = (&radius, &groove) {
        refuse_tight(check, radius, groove.width);
    }
    let groove = groove?;
    if let Some(spec) = &spec {
        refuse_groove(check, base, spec, &file.groove_width, groove);
    }
    let (spec, width, height, doors) = (spec?, width?, height?, doors?.value);
    let inside = InsideSize { width: width.value, depth: depth?.value, height: height.value };
    let (setback, side_inset, back_inset, corner_radius) = (setback?.value, side_inset?, back_inset?, radius?.value);
    let middle_block = block?;
    let between = if doors == "up" { width } else { height };
    refuse_cloth(rooms, base, &spec);
    refuse_count(check, base, &spec, &At { value: inside.width + inside.depth + inside.height, ..between });
    let doors = hands(doors).iter().map(|(hand, suffix)| {
        let name = format!("{} {suffix}", file.name.given()?.value);
        names.take_door(check, &name, file.name.place()?);
        let track =
            DoorTrack::Case { inside, hand: *hand, setback, side_inset, back_inset, corner_radius, middle_block };
        Some(DoorSpec { name, slats: spec.clone(), track, groove, between: between.value })
    });
    Some((inside, all(doors.collect())?))
}

/// The doors a word of the cabinet form stands for, with the last part of their names.
pub(super) fn hands(word: &str) -> &'static [(Hand, &'static str)] {
    match word {
        "left" => &[(Hand::Left, "door")],
        "right" => &[(Hand::Right, "door")],
        "up" => &[(Hand::Up, "door")],
        _ => &[(Hand::PairLeft, "left"), (Hand::PairRight, "right")],
    }
}

/// The block between the lead edges of a pair: none unless it is said, and none for other doors.
fn middle_block(
    check: &Check,
    file: &CabinetFile,
    doors: Option<&At<&'static str>>,
    width: Option<&At<Length>>,
) -> Option<Length> {
    match &file.middle_block {
        // Lead edges that meet are the absence of a block, not a value taken.
        Entry::Missing => Some(Length::ZERO),
        Entry::Faulty => None,
        Entry::Given(at) => {
            if let Some(doors) = doors
                && doors.value != "pair"
            {
                let problem = Problem::new(Kind::Conflict, at.place, "`middle_block` is only used with a pair");
                check.note(problem.also(doors.place, "the doors of this cabinet").help("take it out"));
            }
            if let Some(width) = width
                && at.value >= width.value
            {
                let problem = Problem::new(Kind::Conflict, at.place, "the block leaves no room for the doors");
                check.note(
                    problem.also(width.place, "the inside width").help("the thickness of a stop, often 1/4 to 3/4 in"),
                );
            }
            Some(at.value)
        }
    }
}

/// Distance of a groove's centreline from the side or the back: as far as from the front unless said otherwise.
fn inset(check: &Check, entry: &Entry<Length>, key: &str, setback: Option<&At<Length>>) -> Option<Length> {
    match entry {
        Entry::Missing => {
            check.defaults.note(&format!("[[cabinet]] {key}"), "as `setback`".to_owned(), COMMON_PRACTICE);
            setback.map(|at| at.value)
        }
        Entry::Faulty => None,
        Entry::Given(at) => Some(at.value),
    }
}

/// Doors given one by one, each on a track.
fn listed_doors(
    rooms: &Rooms,
    names: &mut CabinetNames,
    file: &CabinetFile,
    base: &SlatsFile,
) -> Option<Vec<DoorSpec>> {
    if file.door.list.is_empty() && !file.door.faulty {
        let problem = Problem::new(Kind::Missing, file.head.place, "this cabinet has no doors");
        rooms.check.note(problem.help("add a `[[cabinet.door]]` table"));
    }
    let doors = all(file.door.list.iter().map(|door| listed_door(rooms, names, file, door, base)).collect())?;
    if doors.is_empty() { None } else { Some(doors) }
}

fn listed_door(
    rooms: &Rooms,
    names: &mut CabinetNames,
    cabinet: &CabinetFile,
    file: &DoorFile,
    base: &SlatsFile,
) -> Option<DoorSpec> {
    let check = rooms.check;
    let own = file.slats.over(base);
    let need = |entry: &Entry<Length>, key, example| entry.need(check.desk, &file.head, key, example);
    let name = file.name.need(check.desk, &file.head, "name", "\"left\"");
    let track = file.track.need(check.desk, &file.head, "track", "\"north corner\"");
    let between = need(&file.between, "between", "\"28\"");
    let cover = need(&file.cover, "cover", "\"17-1/2\"");
    let travel = need(&file.travel, "travel", "\"12\"");
    let spec = slats::settle(check, &own);
    for at in [&between, &cover, &travel].into_iter().flatten() {
        refuse_huge(check, at);
    }
    let name = name.and_then(|at| {
        let full = format!("{} {}", cabinet.name.given()?.value, at.value);
        names.take_door(check, &full, at.place);
        Some(full)
    });
    let track = rooms.tracks.find(check, &track?)?;
    let (spec, between, cover) = (spec?, between?, cover?);
    refuse_groove(check, &own, &spec, &track.groove_width, track.groove);
    refuse_cloth(rooms, &own, &spec);
    refuse_count(check, &own, &spec, &cover);
    let path = track.path.clone()?;
    let (name_of_track, travel, runs) = (track.name.clone(), travel?.value, track.runs?);
    let path = DoorTrack::Path { name: name_of_track, path, cover: cover.value, travel, runs };
    Some(DoorSpec { name: name?, slats: spec, track: path, groove: track.groove, between: between.value })
}
