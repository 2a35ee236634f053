//! Tracks: paths of straight runs and arcs given in full, found by name.

use std::collections::BTreeMap;

use super::defaults::PANEL;
use super::fit::{LARGEST, refuse_tight};
use super::names::Names;
use super::{Check, all};
use crate::files::{At, Entry, Head, Kind, Problem, SegmentFile, TrackFile, nearest, same_name};
use crate::job::{Groove, Panel, Runs, Segment};
use crate::measure::Length;

/// The tracks by name.
pub(super) struct Tracks {
    names: Names,
    /// `None` where a track's groove is faulty: a door on it stays silent.
    list: BTreeMap<String, Option<Track>>,
}

pub(super) struct Track {
    pub(super) name: String,
    pub(super) groove: Groove,
    pub(super) groove_width: Entry<Length>,
    /// `None` where the path is faulty.
    pub(super) path: Option<Vec<Segment>>,
    /// `None` where that is not said without contradiction.
    pub(super) runs: Option<Runs>,
}

impl Tracks {
    pub(super) fn find(&self, check: &Check, asked: &At<String>) -> Option<&Track> {
        if let Some(track) = self.list.get(&same_name(&asked.value)) {
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

/// All tracks of a job, used or not.
pub(super) fn settle(check: &Check, files: &[TrackFile]) -> Tracks {
    let mut tracks = Tracks { names: Names::of("track"), list: BTreeMap::new() };
    for file in files {
        let name = file.name.need(check.desk, &file.head, "name", "\"north corner\"");
        let groove = groove(check, &file.head, &file.groove_width, &file.groove_depth, &file.panel_thickness);
        let segments = file.path.need(check.desk, &file.head, "path", "[{ straight = \"14-1/4\" }]");
        let path = segments.and_then(|at| path(check, &at, groove));
        let runs = runs(check, file);
        let Some(At { value: name, place }) = name else { continue };
        tracks.names.take(check, &name, place);
        let groove_width = file.groove_width;
        let track = groove.map(|groove| Track { name: name.clone(), groove, groove_width, path, runs });
        tracks.list.entry(same_name(&name)).or_insert(track);
    }
    tracks
}

/// Level or up, and how steeply the door begins to rise.
fn runs(check: &Check, file: &TrackFile) -> Option<Runs> {
    let runs = check.defaults.other(&file.runs, "[[track]] runs", "level", "level")?;
    if runs == "up" {
        let first_slope = check.defaults.other(&file.first_slope, "[[track]] first_slope", 90.0, "90")?;
        return Some(Runs::Up { first_slope });
    }
    let Some(slope) = file.first_slope.given() else { return Some(Runs::Level) };
    let what = format!("a first slope of {} degrees, but the track does not run up", slope.value);
    let problem = Problem::new(Kind::Conflict, slope.place, what);
    check.note(problem.help("add `runs = \"up\"` to the track, or take `first_slope` out"));
    None
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
    if arc != file.straight.is_missing() {
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

/// The groove's section, or a note of what is missing.
pub(super) fn groove(
    check: &Check,
    head: &Head,
    width: &Entry<Length>,
    depth: &Entry<Length>,
    panel: &Entry<Length>,
) -> Option<Groove> {
    let width = width.need(check.desk, head, "groove_width", "\"1/4\"");
    let depth = depth.need(check.desk, head, "groove_depth", "\"5/16\"");
    let panel = match panel {
        Entry::Missing => Panel::Usual(check.defaults.length(true, panel, &PANEL)?),
        Entry::Faulty => return None,
        Entry::Given(at) => Panel::Given(at.value),
    };
    Some(Groove { width: width?.value, depth: depth?.value, panel })
}
