//! Cabinets with their doors: the cabinet form, laid out from inside sizes, and doors given one by one on tracks.

use std::collections::BTreeMap;

use super::names::Names;
use super::{COMMON_PRACTICE, Check, all, slats};
use crate::files::{
    At, CabinetFile, DoorFile, Entry, Head, JobFile, Kind, Problem, SegmentFile, SlatsFile, TrackFile, nearest,
};
use crate::job::{
    Cabinet, Clearance, DoorSpec, DoorTrack, EndClear, Groove, Hand, InsideSize, Segment, Shop, SlatSpec,
};
use crate::measure::Length;

/// Most cabinets and doors built in one job, counts included.
const MOST_CABINETS: u64 = 10_000;
const MOST_DOORS: u64 = 20_000;
/// Longest track and largest case: 20 m.
const LARGEST: Length = Length::from_mm(20_000);
/// Most slats in one door, roughly: more is a slip of the unit.
const MOST_SLATS: i64 = 2_000;

/// All cabinets in order; `None` when one is missing or faulty (noted).
pub(super) fn settle(
    check: &Check,
    written: &JobFile,
    shop: Option<&Shop>,
    end_clear: &Entry<Length>,
) -> Option<Vec<Cabinet>> {
    let mut names = CabinetNames { cabinets: Names::of("cabinet"), doors: Names::of("door") };
    let tracks = tracks(check, &written.tracks.list);
    let rooms = Rooms { check, tracks: &tracks, job_slats: &written.slats, shop, end_clear };
    let cabinets: Vec<_> = written.cabinets.list.iter().map(|file| cabinet(&rooms, &mut names, file)).collect();
    let cabinets = all(cabinets)?;
    let built: u64 = cabinets.iter().map(|cabinet| u64::from(cabinet.count)).sum();
    let doors: u64 = cabinets.iter().map(|cabinet| u64::from(cabinet.count) * cabinet.doors.len() as u64).sum();
    if built > MOST_CABINETS || doors > MOST_DOORS {
        let what = format!("the job builds {built} cabinets with {doors} doors");
        let problem = Problem::new(Kind::BadValue, written.head.place, what);
        check.note(problem.help(format!("at most {MOST_CABINETS} cabinets and {MOST_DOORS} doors; split the job")));
    }
    Some(cabinets)
}

/// What every cabinet is checked against.
struct Rooms<'a> {
    check: &'a Check<'a>,
    tracks: &'a Tracks,
    job_slats: &'a SlatsFile,
    shop: Option<&'a Shop>,
    /// As written in the shop file, for its place.
    end_clear: &'a Entry<Length>,
}

struct CabinetNames {
    cabinets: Names,
    doors: Names,
}

fn cabinet(rooms: &Rooms, names: &mut CabinetNames, file: &CabinetFile) -> Option<Cabinet> {
    let check = rooms.check;
    let name = file.name.need(check.desk, &file.head, "name", "\"press\"");
    let count = check.defaults.other(&file.count, "[[cabinet]] count", 1, "1");
    if let Some(name) = &name {
        names.cabinets.take(check, &name.value, name.place);
    }
    let base = file.slats.over(rooms.job_slats);
    let (inside, doors) = if file.door.given {
        refuse_case_keys(check, file);
        (None, listed_doors(rooms, names, file, &base))
    } else {
        case(rooms, names, file, &base).map_or((None, None), |(inside, doors)| (Some(inside), Some(doors)))
    };
    Some(Cabinet { name: name?.value, count: count?, inside, doors: doors? })
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
    base: &SlatsFile,
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
    let groove = groove(check, &file.head, &file.groove_width, &file.groove_depth);
    let side_inset = inset(check, &file.side_inset, "side_inset", setback.as_ref());
    let back_inset = inset(check, &file.back_inset, "back_inset", setback.as_ref());
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
    let between = if doors == "up" { width } else { height };
    refuse_section(rooms, base, &spec, groove, &between);
    refuse_count(check, base, &spec, &At { value: inside.width + inside.depth + inside.height, ..between.clone() });
    let doors = hands(doors).iter().map(|(hand, suffix)| {
        let name = format!("{} {suffix}", file.name.given()?.value);
        names.doors.take(check, &name, file.name.place()?);
        let track = DoorTrack::Case { inside, hand: *hand, setback, side_inset, back_inset, corner_radius };
        Some(DoorSpec { name, slats: spec.clone(), track, groove, between: between.value })
    });
    Some((inside, all(doors.collect())?))
}

/// The doors a word of the cabinet form stands for, with the last part of their names.
fn hands(word: &str) -> &'static [(Hand, &'static str)] {
    match word {
        "left" => &[(Hand::Left, "door")],
        "right" => &[(Hand::Right, "door")],
        "up" => &[(Hand::Up, "door")],
        _ => &[(Hand::PairLeft, "left"), (Hand::PairRight, "right")],
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

fn groove(check: &Check, head: &Head, width: &Entry<Length>, depth: &Entry<Length>) -> Option<Groove> {
    let width = width.need(check.desk, head, "groove_width", "\"1/4\"");
    let depth = depth.need(check.desk, head, "groove_depth", "\"5/16\"");
    Some(Groove { width: width?.value, depth: depth?.value })
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
        names.doors.take(check, &full, at.place);
        Some(full)
    });
    let track = rooms.tracks.find(check, &track?)?;
    let (spec, between, cover) = (spec?, between?, cover?);
    refuse_groove(check, &own, &spec, &track.groove_width, track.groove);
    refuse_section(rooms, &own, &spec, track.groove, &between);
    refuse_count(check, &own, &spec, &cover);
    let path = track.path.clone()?;
    let path = DoorTrack::Path { name: track.name.clone(), path, cover: cover.value, travel: travel?.value };
    Some(DoorSpec { name: name?, slats: spec, track: path, groove: track.groove, between: between.value })
}

/// The tracks by name.
struct Tracks {
    names: Names,
    /// `None` where a track's groove is faulty: a door on it stays silent.
    list: BTreeMap<String, Option<Track>>,
}

struct Track {
    name: String,
    groove: Groove,
    groove_width: Entry<Length>,
    path: Option<Vec<Segment>>,
}

impl Tracks {
    fn find(&self, check: &Check, asked: &At<String>) -> Option<&Track> {
        if let Some(track) = self.list.get(&asked.value) {
            return track.as_ref();
        }
        let what = format!("there is no track `{}`", asked.value);
        let problem = Problem::new(Kind::UnknownName, asked.place, what);
        let names: Vec<&str> = self.names.known().collect();
        check.note(match nearest(&asked.value, names.iter().copied()) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None if names.is_empty() => problem.help("add a `[[track]]` table of that name"),
            None => problem.help(format!("tracks: {}", names.join(", "))),
        });
        None
    }
}

fn tracks(check: &Check, files: &[TrackFile]) -> Tracks {
    let mut tracks = Tracks { names: Names::of("track"), list: BTreeMap::new() };
    for file in files {
        let name = file.name.need(check.desk, &file.head, "name", "\"north corner\"");
        let groove = groove(check, &file.head, &file.groove_width, &file.groove_depth);
        let segments = file.path.need(check.desk, &file.head, "path", "[{ straight = \"14-1/4\" }]");
        let path = segments.and_then(|at| path(check, &at, groove));
        let Some(At { value: name, place }) = name else { continue };
        tracks.names.take(check, &name, place);
        let groove_width = file.groove_width.clone();
        let track = groove.map(|groove| Track { name: name.clone(), groove, groove_width, path });
        tracks.list.entry(name).or_insert(track);
    }
    tracks
}

fn path(check: &Check, at: &At<Vec<SegmentFile>>, groove: Option<Groove>) -> Option<Vec<Segment>> {
    if at.value.is_empty() {
        let problem = Problem::new(Kind::Missing, at.place, "the path is empty");
        check.note(problem.help("begin it with a straight run, such as `{ straight = \"14-1/4\" }`"));
        return None;
    }
    let path = all(at.value.iter().map(|file| segment(check, file, groove)).collect())?;
    let length: f64 = path
        .iter()
        .map(|segment| match segment {
            Segment::Straight(length) => length.mm_f64(),
            Segment::Arc { radius, degrees, .. } => radius.mm_f64() * degrees.to_radians(),
        })
        .sum();
    if length > LARGEST.mm_f64() {
        let problem = Problem::new(Kind::BadValue, at.place, "the track is longer than 20 m");
        check.note(problem.help("check the unit: a bare figure is in the job's `units`"));
    }
    Some(path)
}

fn segment(check: &Check, file: &SegmentFile, groove: Option<Groove>) -> Option<Segment> {
    let arc = !file.arc.is_missing();
    if arc == !file.straight.is_missing() {
        let what = "an entry of a path is either a straight run or an arc";
        let help = "write `{ straight = \"14-1/4\" }` or `{ arc = \"3\", angle = 90, canvas = \"inside\" }`";
        check.note(Problem::new(Kind::Conflict, file.head.place, what).help(help));
        return None;
    }
    if !arc {
        for (key, place) in [("angle", file.angle.place()), ("canvas", file.canvas.place())] {
            if let Some(place) = place {
                let problem =
                    Problem::new(Kind::Conflict, place, format!("`{key}` is not used: a straight run has none"));
                check.note(problem.help("take it out, or write `arc` in place of `straight`"));
            }
        }
        return file.straight.given().map(|at| Segment::Straight(at.value));
    }
    let angle = file.angle.need(check.desk, &file.head, "angle", "90");
    let canvas = check.defaults.other(&file.canvas, "[[track]] canvas", "inside", "inside");
    let radius = file.arc.given()?;
    if let Some(groove) = groove {
        refuse_tight(check, radius, groove.width);
    }
    Some(Segment::Arc { radius: radius.value, degrees: angle?.value, canvas_inside: canvas? == "inside" })
}

fn show(check: &Check, length: Length) -> String {
    format!("{} {}", length.show(check.units), check.units)
}

/// An arc cannot turn inside its own groove.
fn refuse_tight(check: &Check, radius: &At<Length>, groove_width: Length) {
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

fn refuse_huge(check: &Check, at: &At<Length>) {
    if at.value > LARGEST {
        let what = format!("{} is larger than any cabinet", show(check, at.value));
        let problem = Problem::new(Kind::BadValue, at.place, what);
        check.note(problem.help("at most 20 m; check the unit: a bare figure is in the job's `units`"));
    }
}

/// A tongue that is as thick as its groove is wide cannot run at all, whatever the bends.
fn refuse_groove(check: &Check, file: &SlatsFile, spec: &SlatSpec, width: &Entry<Length>, groove: Groove) {
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
fn refuse_section(rooms: &Rooms, file: &SlatsFile, spec: &SlatSpec, groove: Groove, between: &At<Length>) {
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
    let least = spec.rabbet_length + Length::from_64ths(8);
    let bare = match canvas.end_clear {
        EndClear::Given(given) => given,
        EndClear::Auto => least.max(Length::from_64ths(32)),
    };
    if bare < least {
        let what = format!("with {} of each end bare the cloth comes too near the tongues", show(check, bare));
        let rabbet = file.rabbet_length.place().unwrap_or(file.head.place);
        let problem = Problem::new(Kind::Conflict, rooms.end_clear.place().unwrap_or(rabbet), what);
        let problem = problem.also(rabbet, "the length of the rabbet");
        check.note(problem.help(format!("at least rabbet_length + 1/8 in, here {}", show(check, least))));
    } else if length <= bare * 2 {
        let what = format!(
            "the slats come out {} long, with {} of each end bare no cloth is left",
            show(check, length),
            show(check, bare)
        );
        check.note(Problem::new(Kind::Conflict, between.place, what).help("see `end_clear` in the shop file"));
    }
}

fn refuse_count(check: &Check, file: &SlatsFile, spec: &SlatSpec, track: &At<Length>) {
    if spec.width.is_positive() && track.value <= LARGEST && track.value.div_ceil(spec.width) > MOST_SLATS {
        let what = format!("slats {} wide make thousands of them in one door", show(check, spec.width));
        let problem = Problem::new(Kind::BadValue, file.width.place().unwrap_or(track.place), what);
        check.note(problem.help(format!("at most about {MOST_SLATS} slats a door; check the unit")));
    }
}
