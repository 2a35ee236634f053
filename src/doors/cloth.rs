//! The cloth of a door: in one piece, or in two bands along the travel that meet under a slat.

use super::Door;
use crate::job::Job;
use crate::measure::Length;

/// One piece of a door's cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Band {
    /// All of it.
    Whole,
    /// From the lead slat to the seam.
    Lead,
    /// From the seam to the last slat.
    Tail,
}

impl Band {
    /// As `cloth_pieces.csv` has it; empty for cloth in one piece.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Whole => "",
            Self::Lead => "lead",
            Self::Tail => "tail",
        }
    }
}

/// Where the two bands of a door's cloth meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seam {
    /// Under the middle of this slat, counted from the lead slat, from 1.
    pub slat: u32,
    /// The band at the lead slat, along the travel: its trim at the lead edge included, none at the seam.
    pub lead: Length,
    /// The other one, likewise.
    pub tail: Length,
}

/// The seam that a door's cabinet asks for: under the slat that leaves the wider band as narrow as can be, the
/// first of two equal ones. `None` where the cloth is in one piece.
#[must_use]
pub fn seam(job: &Job, door: &Door) -> Option<Seam> {
    if job.cabinets.get(door.cabinet)?.seam { seam_of(job, door) } else { None }
}

fn seam_of(job: &Job, door: &Door) -> Option<Seam> {
    let canvas = &job.shop.canvas;
    let at = |slat: u32| {
        // To the middle of a slat; an odd nanometre goes to the tail.
        let halves = door.slat_width.nm() * (2 * i64::from(slat) - 1);
        let lead = canvas.trim + canvas.lead_lap + Length::from_nm(halves / 2);
        Seam { slat, lead, tail: door.cloth_along_travel - lead }
    };
    let even = (1..=door.slats).map(at).find(|seam| seam.lead >= seam.tail).unwrap_or_else(|| at(door.slats.max(1)));
    let before = at(even.slat.saturating_sub(1).max(1));
    let wider = |seam: &Seam| seam.lead.max(seam.tail);
    let best = if wider(&before) <= wider(&even) { before } else { even };
    (door.slats > 0 && best.tail.is_positive()).then_some(best)
}

/// True when the cloth of a door may be turned a quarter.
#[must_use]
pub fn may_turn(job: &Job, door: &Door) -> bool {
    job.cabinets.get(door.cabinet).and_then(|cabinet| cabinet.turn).unwrap_or(job.shop.canvas.turn)
}

/// The pieces of a door's cloth: which, and its size along the travel.
#[must_use]
pub fn bands(job: &Job, door: &Door) -> Vec<(Band, Length)> {
    match seam(job, door) {
        None => vec![(Band::Whole, door.cloth_along_travel)],
        Some(seam) => vec![(Band::Lead, seam.lead), (Band::Tail, seam.tail)],
    }
}

/// What its cabinet would have to say for a door's cloth to come out of a bolt so wide.
#[must_use]
pub fn cloth_cure(job: &Job, door: &Door, widest: Length) -> Option<&'static str> {
    let seam = seam_of(job, door).map(|seam| seam.lead.max(seam.tail));
    if door.cloth_along_travel <= widest {
        Some("`turn = true`")
    } else if seam.is_some_and(|band| band <= widest) {
        Some("`turn = true` and `seam = true`")
    } else {
        None
    }
}
