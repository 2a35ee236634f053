//! Cloth asked for: one piece a door, and loose pieces.

use std::collections::{BTreeMap, BTreeSet};

use super::{ClothNeed, DemandError, Owner, numbered};
use crate::doors::{Band, Door, bands, may_turn};
use crate::job::Job;
use crate::measure::Length;

/// Most cloth pieces that are counted; more is refused.
pub(super) const MOST_PIECES: usize = 100_000;

fn need((along, across, turn): (Length, Length, bool)) -> ClothNeed {
    ClothNeed { name: String::new(), doors: Vec::new(), along, across, turn, owners: Vec::new() }
}

/// Equal pieces merged, in the order in which the job first asks for them. The warp lies along the
/// travel, so a door's piece is as long along the bolt as its cloth is along the travel; a seam makes
/// two of it.
pub(super) fn cloth_needs(job: &Job, doors: &[Door]) -> Result<Vec<ClothNeed>, DemandError> {
    let mut asks = Vec::new();
    for door in doors {
        let turn = may_turn(job, door);
        let size = |along| (along, door.cloth_along_slat, turn);
        asks.extend(bands(job, door).into_iter().map(|(band, along)| (size(along), &door.name, door.count, band)));
    }
    let loose = job.cloth_pieces.iter();
    asks.extend(loose.map(|p| ((p.along, p.across, p.turn), &p.name, p.quantity, Band::Whole)));
    let mut needs: Vec<ClothNeed> = Vec::new();
    let mut places: BTreeMap<(Length, Length, bool), usize> = BTreeMap::new();
    let mut named: BTreeSet<(usize, &str)> = BTreeSet::new();
    let mut pieces = 0usize;
    for (size, name, count, band) in asks.into_iter().filter(|ask| ask.2 > 0) {
        pieces = pieces.saturating_add(count as usize);
        if pieces > MOST_PIECES {
            return Err(DemandError::TooManyPieces { name: name.to_owned() });
        }
        let at = *places.entry(size).or_insert_with(|| {
            needs.push(need(size));
            needs.len() - 1
        });
        let need = &mut needs[at];
        if named.insert((at, name)) {
            need.doors.push(name.to_owned());
        }
        need.owners.extend((0..count).map(|_| Owner { name: name.to_owned(), band }));
    }
    let all = needs.len();
    for (i, need) in needs.iter_mut().enumerate() {
        need.name = numbered('C', i, all);
    }
    Ok(needs)
}
