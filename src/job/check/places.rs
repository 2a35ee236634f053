//! Where doors and loose pieces stand in the job file, for what is said of them after it was read.

use super::cabinets::hands;
use crate::files::{Desk, JobFile};
use crate::job::{Thing, Written};

/// The places of everything that uses a size, by the names that the rest of the program knows it by.
pub(super) fn of(desk: &Desk, job: &JobFile) -> Written {
    let mut written = Written::default();
    for cabinet in &job.cabinets.list {
        let Some(name) = cabinet.name.given() else { continue };
        for door in &cabinet.door.list {
            if let Some(own) = door.name.given() {
                written.keep(Thing::User, &format!("{} {}", name.value, own.value), desk.line(own.place));
            }
        }
        for (_, suffix) in cabinet.doors.given().map(|at| hands(at.value)).unwrap_or_default() {
            written.keep(Thing::User, &format!("{} {suffix}", name.value), desk.line(name.place));
        }
    }
    for name in job.strips.list.iter().filter_map(|strip| strip.name.given()) {
        written.keep(Thing::User, &name.value, desk.line(name.place));
    }
    for name in job.cloth_pieces.list.iter().filter_map(|piece| piece.name.given()) {
        written.keep(Thing::ClothPiece, &name.value, desk.line(name.place));
    }
    written
}
