//! Doors laid out: path, cover, travel, slat count, slat length, tongue, cloth, and whether each
//! turns its corners and stows.

pub mod balance;
mod bend_need;
mod case_path;
pub mod chain;
mod checks;
mod checks_bend;
mod checks_case;
mod checks_run;
mod cloth;
mod details;
pub mod feel;
mod fit;
mod fixes;
pub mod groove_need;
pub mod jamming;
pub mod joint;
mod knobs;
mod layout;
pub mod limits;
mod movement;
mod near_bends;
mod plan_view;
pub mod poses;
mod room;
pub mod self_clear;
mod setup;
mod track;
pub mod wood;
pub mod yaw;

pub use cloth::{Band, Seam, bands, cloth_cure, may_turn, seam};
pub use details::{
    Balance, BalancePoint, Details, Feel, Fix, LeadSwing, Movement, RabbetStep, Room, Setup, Stop, Sweep,
};
pub use fit::{Check, CheckItem, Figure, FitCheck, Verdict};
pub use layout::{lay_out, lay_out_door};
pub use plan_view::{CasePlan, PlanView, SlatPose};

use crate::job::Segment;
use crate::measure::Length;

/// One door as it will be built.
#[derive(Debug, Clone)]
pub struct Door {
    /// Name, unique in the job.
    pub name: String,
    /// Index of its cabinet in the job.
    pub cabinet: usize,
    /// Index of its specification in the cabinet.
    pub index: usize,
    /// How many are built (the cabinet's count).
    pub count: u32,
    /// Ordinary slats, the lead slat not counted.
    pub slats: u32,
    /// Finished width of an ordinary slat.
    pub slat_width: Length,
    /// Finished width of the lead slat.
    pub lead_width: Length,
    /// Finished length of every slat.
    pub slat_length: Length,
    /// Tongue thickness.
    pub tongue: Length,
    /// Lead slat and slats, edge to edge, flat.
    pub door_length: Length,
    /// The centreline from the closed lead edge to the end of the groove.
    pub path: Vec<Segment>,
    /// Track to be covered when closed, from the lead edge.
    pub cover: Length,
    /// Travel of the lead edge, closed to open.
    pub travel: Length,
    /// Cloth piece along the slats, trim included.
    pub cloth_along_slat: Length,
    /// Cloth piece along the travel, trim included.
    pub cloth_along_travel: Length,
    /// Every check, in a fixed order; those of the season and of the pull last.
    pub checks: Vec<FitCheck>,
    /// What the maker should know: widths that were changed, cautions of the geometry.
    pub notes: Vec<String>,
    /// Stop blocks and fillers, the front first.
    pub stops: Vec<Stop>,
    /// The nearest changes, three at most, that make a failing or tight door right.
    pub fixes: Vec<Fix>,
    /// Movement, feel, room, loading and set-ups.
    pub details: Details,
}

impl Door {
    /// True when no check failed.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.checks.iter().all(FitCheck::holds)
    }
}
