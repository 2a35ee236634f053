//! The case around the door: the room that the doors leave in it, and its panels.
//!
//! What the door makes of a case is worked out here: how large a shelf is never touched, how small the case can be for a
//! wanted room, and which panels it takes. It designs no furniture: a case is six panels, a lining and shelves.

mod clear;
mod outside;
mod panels;
mod problem;
mod sheets;

pub use clear::{Clear, ClearBox, LiningPlace, RUNNING_ROOM, USUAL_LINING};
pub use outside::{OutsideSize, Smallest, outside, smallest};
pub use panels::{Edged, Panel};
pub use problem::CaseProblem;
pub use sheets::{SheetPart, SolidWood, sheet_rules, yields};

use crate::doors::Door;
use crate::job::Job;
use crate::measure::Length;

/// The cases of a job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Casework {
    /// Every panel, cabinets in the order of the job.
    pub panels: Vec<Panel>,
    /// Panels cut out of sheets, pooled by size.
    pub parts: Vec<SheetPart>,
    /// Panels glued up from boards, by wood and thickness.
    pub solid: Vec<SolidWood>,
    /// Sheet goods in no row of the sheets file: listed, not packed, not priced.
    pub unlisted: Vec<(String, Length)>,
    /// Where the lining of each cabinet stands, by the index of the cabinet.
    pub linings: Vec<(usize, LiningPlace)>,
}

impl Casework {
    /// True when the job asks for no panels.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.panels.is_empty()
    }
}

/// The panels of all cases of a job, doors as laid out.
///
/// # Errors
/// Every [`CaseProblem`] of every cabinet.
pub fn make(job: &Job, doors: &[Door]) -> Result<Casework, Vec<CaseProblem>> {
    let (mut made, mut problems) = (Casework::default(), Vec::new());
    for (index, cabinet) in job.cabinets.iter().enumerate() {
        let Some(spec) = &cabinet.case else { continue };
        let Some(clear) = clear_of(job, doors, index) else { continue };
        match panels::of_cabinet(index, cabinet, spec, &clear) {
            Ok(panels) => made.panels.extend(panels),
            Err(found) => problems.extend(found),
        }
        made.linings.extend(panels::lining_of(index, cabinet, spec, &clear).map(|place| (index, place)));
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    made.parts = sheets::parts(job, &made.panels);
    made.solid = sheets::solid(&made.panels);
    made.unlisted = sheets::unlisted(job, &made.panels);
    Ok(made)
}

/// The room that the doors of one cabinet leave in its case.
#[must_use]
pub fn clear_of(job: &Job, doors: &[Door], cabinet: usize) -> Option<Clear> {
    // Doors lie in the order of their cabinets.
    let first = doors.partition_point(|door| door.cabinet < cabinet);
    let door = doors.get(first).filter(|door| door.cabinet == cabinet)?;
    Clear::of(job.cabinets.get(cabinet)?, door, job.units)
}

/// The room that the shelves of one cabinet's case are made for: behind its lining, where it has one. `None` where it has
/// no case, or no room.
#[must_use]
pub fn shelf_room(job: &Job, doors: &[Door], cabinet: usize) -> Option<ClearBox> {
    let spec = job.cabinets.get(cabinet)?.case.as_ref()?;
    panels::room_of(cabinet, &job.cabinets[cabinet], spec, &clear_of(job, doors, cabinet)?)
}
