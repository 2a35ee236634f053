//! The second opinion: recounts a finished plan from the job alone, with none of the optimiser's
//! code.

use crate::bill::Bill;
use crate::demand::{ClothNeed, Part};
use crate::doors::Door;
use crate::job::Job;
use crate::packing::boards::BoardPlan;
use crate::packing::cloth::ClothPlan;

/// A finished plan as it stands before anything is written.
#[derive(Debug, Clone, Copy)]
pub struct Claim<'a> {
    /// What was asked.
    pub job: &'a Job,
    /// The doors as laid out.
    pub doors: &'a [Door],
    /// The pooled strips.
    pub parts: &'a [Part],
    /// The cloth pieces.
    pub cloth_needs: &'a [ClothNeed],
    /// The boards: stock indices are the job's, part indices those of `parts`.
    pub boards: &'a BoardPlan,
    /// The cloth: bolt indices are the job's, piece indices those of `cloth_needs`.
    pub cloth: &'a ClothPlan,
    /// The bill.
    pub bill: &'a Bill,
}
