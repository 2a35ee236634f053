//! Cloth asked for: one piece a door, and loose pieces.

use std::collections::{BTreeMap, BTreeSet};

use super::{ClothNeed, DemandError, numbered};
use crate::doors::Door;
use crate::job::Job;
use crate::measure::Length;

/// Most cloth pieces that are counted; more is refused.
pub(super) const MOST_PIECES: usize = 100_000;

/// Equal pieces merged, in the order in which the job first asks for them. The warp lies along the
/// travel, so a door's piece is as long along the bolt as its cloth is along the travel.
pub(super) fn cloth_needs(job: &Job, doors: &[Door]) -> Result<Vec<ClothNeed>, DemandError> {
    let of_doors = doors.iter().map(|door| {
        (door.cloth_along_travel, door.cloth_along_slat, job.shop.canvas.turn, door.name.as_str(), door.count)
    });
    let loose = job.cloth_pieces.iter().map(|p| (p.along, p.across, p.turn, p.name.as_str(), p.quantity));
    let mut needs: Vec<ClothNeed> = Vec::new();
    let mut places: BTreeMap<(Length, Length, bool), usize> = BTreeMap::new();
    let mut named: BTreeSet<(usize, &str)> = BTreeSet::new();
    let mut pieces = 0usize;
    for (along, across, turn, name, count) in of_doors.chain(loose).filter(|ask| ask.4 > 0) {
        pieces = pieces.saturating_add(count as usize);
        if pieces > MOST_PIECES {
            return Err(DemandError::TooManyPieces { name: name.to_owned() });
        }
        let at = *places.entry((along, across, turn)).or_insert_with(|| {
            needs.push(ClothNeed { name: String::new(), doors: Vec::new(), along, across, turn, owners: Vec::new() });
            needs.len() - 1
        });
        let need = &mut needs[at];
        if named.insert((at, name)) {
            need.doors.push(name.to_owned());
        }
        need.owners.extend((0..count).map(|_| name.to_owned()));
    }
    let all = needs.len();
    for (i, need) in needs.iter_mut().enumerate() {
        need.name = numbered('C', i, all);
    }
    Ok(needs)
}
