//! The same job done another way: one of its alternatives, or a rough cabinet in place of all it asks for.

use super::names::Names;
use super::{Check, all};
use crate::files::{At, CabinetFile, ChangeFile, Entry, JobFile, Kind, Place, Problem, SparesFile, Tables, nearest};
use crate::job::{OtherWay, Rough};

/// What is changed before the job is checked.
#[derive(Debug, Clone, Copy)]
pub(super) enum Change<'a> {
    /// Nothing.
    None,
    /// The alternative at this place in the file.
    Alternative(usize),
    /// The option at this place in the file.
    Option(usize),
    /// A rough cabinet instead of everything the job asks for.
    Rough(&'a Rough),
}

/// Changes the job as written; what is then checked is the changed job.
pub(super) fn change(written: &mut JobFile, change: Change) {
    match change {
        Change::None => {}
        Change::Alternative(at) => {
            if let Some(other) = written.alternatives.list.get(at).cloned() {
                otherwise(written, &other);
            }
        }
        Change::Option(at) => {
            if let Some(other) = written.options.list.get(at).cloned() {
                otherwise(written, &other);
            }
        }
        Change::Rough(rough) => roughly(written, rough),
    }
}

/// Keys of the slats change those of the job (a cabinet or a door that carries its own keeps them), keys of a cabinet
/// those of all cabinets they can be said of; then named cabinets are left out, changed or added.
fn otherwise(written: &mut JobFile, other: &ChangeFile) {
    written.slats = other.slats.over(&written.slats);
    written.slats.width = other.slat_width.or(&written.slats.width);
    written.boards = other.boards.or(&written.boards);
    if let Some(dropped) = other.drop.given() {
        let stays = |name: &Entry<String>| name.given().is_none_or(|at| !dropped.value.contains(&at.value));
        written.cabinets.list.retain(|cabinet| stays(&cabinet.name));
        written.strips.list.retain(|strip| stays(&strip.name));
        written.cloth_pieces.list.retain(|piece| stays(&piece.name));
        written.lines.list.retain(|line| stays(&line.name));
    }
    for cabinet in &mut written.cabinets.list {
        // A case whose doors are given one by one is laid out by its tracks.
        let inside = !cabinet.doors.is_missing();
        *cabinet = if inside { other.all.over(cabinet) } else { other.all.without_layout().over(cabinet) };
    }
    for changed in &other.cabinets.list {
        match written.cabinets.list.iter_mut().find(|known| is_named(known, &changed.cabinet)) {
            Some(known) => *known = changed.cabinet.over(known),
            None => written.cabinets.list.push(changed.cabinet.clone()),
        }
    }
    if let Some(rate) = other.reject_rate.given() {
        let base = written.spares.given().map_or_else(SparesFile::default, |at| at.value.clone());
        let (percent, none) = (Entry::Missing, Entry::Missing);
        let value = SparesFile { reject_rate: other.reject_rate, reject_rates: Entry::Missing, percent, none, ..base };
        written.spares = Entry::Given(At { value, place: rate.place });
    }
}

/// Grooves, corners and slats stay those of the job's first case.
fn roughly(written: &mut JobFile, rough: &Rough) {
    let place = Place::default();
    let given = |value| Entry::Given(At { value, place });
    let cabinets = &mut written.cabinets.list;
    let Some(at) = cabinets.iter().position(|cabinet| !cabinet.doors.is_missing()) else { return };
    let mut cabinet = cabinets.swap_remove(at);
    cabinet.name = Entry::Given(At { value: "rough".to_owned(), place });
    cabinet.count = Entry::Given(At { value: rough.count, place });
    cabinet.doors = Entry::Given(At { value: rough.doors, place });
    [cabinet.inside_width, cabinet.inside_depth, cabinet.inside_height] =
        [given(rough.inside.width), given(rough.inside.depth), given(rough.inside.height)];
    written.cabinets.list = vec![cabinet];
    written.tracks = Tables::default();
    written.strips = Tables::default();
    written.cloth_pieces = Tables::default();
    written.lines = Tables::default();
}

fn is_named(known: &CabinetFile, like: &CabinetFile) -> bool {
    known.name.given().is_some_and(|at| like.name.given().is_some_and(|like| like.value == at.value))
}

/// The ways written under one heading, each with a name of its own and what it changes in words; what they leave out
/// must be there, which a job that is changed already no longer shows.
pub(super) fn ways(
    check: &Check,
    written: &JobFile,
    (what, list): (&'static str, &[ChangeFile]),
) -> Option<Vec<OtherWay>> {
    let mut names = Names::of(what);
    let way = |file: &ChangeFile| {
        let name = file.name.need(check.desk, &file.head, "name", "\"wider slats\"")?;
        names.take(check, &name.value, name.place);
        for changed in &file.cabinets.list {
            changed.cabinet.name.need(check.desk, &changed.cabinet.head, "name", "\"press\"")?;
        }
        Some(OtherWay { name: name.value, changes: in_words(check, written, file) })
    };
    all(list.iter().map(way).collect())
}

/// Notes what a change leaves out that is not there.
pub(super) fn refuse_dropping_nothing(check: &Check, written: &JobFile) {
    let there: Vec<&str> = [
        written.cabinets.list.iter().map(|file| &file.name).collect::<Vec<_>>(),
        written.strips.list.iter().map(|file| &file.name).collect(),
        written.cloth_pieces.list.iter().map(|file| &file.name).collect(),
        written.lines.list.iter().map(|file| &file.name).collect(),
    ]
    .concat()
    .into_iter()
    .filter_map(|name| name.given().map(|at| at.value.as_str()))
    .collect();
    for file in written.alternatives.list.iter().chain(&written.options.list) {
        let Some(dropped) = file.drop.given() else { continue };
        for name in dropped.value.iter().filter(|name| !there.contains(&name.as_str())) {
            let what = format!("`drop` names `{name}`, which the job does not have");
            let problem = Problem::new(Kind::UnknownName, dropped.place, what);
            check.note(match nearest(name, there.iter().copied()) {
                Some(near) => problem.help(format!("did you mean `{near}`?")),
                None => problem.help("name a cabinet, a loose piece or a line of this job"),
            });
        }
    }
}

/// `slat width 3/4; without desk; press: count 3; with shelf`.
fn in_words(check: &Check, written: &JobFile, file: &ChangeFile) -> String {
    let say = |(key, place): &(String, Place)| {
        let text = check.desk.text(*place);
        format!("{} {}", key.replace('_', " "), text.trim_matches('"'))
    };
    let mut said: Vec<String> = file.said.iter().map(say).collect();
    if let Some(dropped) = file.drop.given() {
        said.push(format!("without {}", dropped.value.join(", ")));
    }
    for changed in &file.cabinets.list {
        let Some(name) = changed.cabinet.name.given() else { continue };
        let known = written.cabinets.list.iter().any(|cabinet| is_named(cabinet, &changed.cabinet));
        let keys: Vec<String> = changed.said.iter().map(say).collect();
        said.push(if known { format!("{}: {}", name.value, keys.join(", ")) } else { format!("with {}", name.value) });
    }
    said.join("; ")
}
