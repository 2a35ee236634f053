//! The same job done another way: one of its alternatives, or a rough cabinet in place of all it asks for.

use crate::files::{AlternativeFile, At, Entry, JobFile, Place, SparesFile, Tables};
use crate::job::Rough;

/// What is changed before the job is checked.
#[derive(Debug, Clone, Copy)]
pub(super) enum Change<'a> {
    /// Nothing.
    None,
    /// The alternative at this place in the file.
    Alternative(usize),
    /// A rough cabinet instead of everything the job asks for.
    Rough(&'a Rough),
}

/// Changes the job as written; what is then checked is the changed job.
pub(super) fn change(written: &mut JobFile, change: Change) {
    match change {
        Change::None => {}
        Change::Alternative(at) => {
            if let Some(other) = written.alternatives.list.get(at).cloned() {
                alternative(written, &other);
            }
        }
        Change::Rough(rough) => roughly(written, rough),
    }
}

/// Slat width, species and milling change for the whole job, the corner radius of every case, the spares' reject rate,
/// the boards file. A cabinet or a door that carries its own slats keeps them.
fn alternative(written: &mut JobFile, other: &AlternativeFile) {
    let slats = &mut written.slats;
    slats.width = other.slat_width.or(&slats.width);
    slats.species = other.species.or(&slats.species);
    slats.milling = other.milling.or(&slats.milling);
    written.boards = other.boards.or(&written.boards);
    for cabinet in written.cabinets.list.iter_mut().filter(|cabinet| !cabinet.corner_radius.is_missing()) {
        cabinet.corner_radius = other.corner_radius.or(&cabinet.corner_radius);
    }
    if let Some(rate) = other.reject_rate.given() {
        let base = written.spares.given().map_or_else(SparesFile::default, |at| at.value.clone());
        let (percent, none) = (Entry::Missing, Entry::Missing);
        let value = SparesFile { reject_rate: other.reject_rate, percent, none, ..base };
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
