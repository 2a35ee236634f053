//! The second opinion: recounts a finished plan from the job alone, with none of the optimiser's
//! code.
//!
//! Geometry of the track, the least choice of spares and the truth of a bound are beyond it; everything
//! else that a plan says is worked out again and compared. Sums run in 128 bits, so that a
//! damaged plan is reported and never overflows.

mod belief;
mod bill;
mod board_prices;
mod boards;
mod bundles;
mod case;
mod chance;
mod cloth;
mod demand;
mod doors;
mod ease;
mod lumber_lines;
mod panel_lines;
mod sheets;
mod shopping;
mod upper;
mod violation;
mod wide;
mod widths;
mod work;

pub use violation::{Place, Violation};

use crate::bill::Bill;
use crate::case::Casework;
use crate::demand::{Bundle, ClothNeed, Part};
use crate::doors::Door;
use crate::job::{Job, Order};
use crate::packing::boards::BoardPlan;
use crate::packing::bundles::Tied;
use crate::packing::cloth::ClothPlan;
use crate::packing::ease::Ease;

/// A finished plan as it stands before anything is written.
#[derive(Debug, Clone, Copy)]
pub struct Claim<'a> {
    /// What was asked.
    pub job: &'a Job,
    /// The doors as laid out.
    pub doors: &'a [Door],
    /// The pooled strips.
    pub parts: &'a [Part],
    /// The chance that they are to be enough: the job's, where the job asks for one.
    pub confidence: f64,
    /// The cloth pieces.
    pub cloth_needs: &'a [ClothNeed],
    /// The boards: stock indices are the job's, part indices those of `parts`.
    pub boards: &'a BoardPlan,
    /// Who gets a bundle of strips.
    pub bundles: &'a [Bundle],
    /// What goes into each: board indices are those of `boards`, part indices those of `parts`, bundle indices
    /// those of `bundles`.
    pub tied: &'a Tied,
    /// How easy the boards are to cut.
    pub ease: &'a Ease,
    /// The cloth: bolt indices are the job's, piece indices those of `cloth_needs`.
    pub cloth: &'a ClothPlan,
    /// The panels of the cases.
    pub case: &'a Casework,
    /// How the sheets are cut: stock indices are those of the job's sheets, part indices those of the casework's parts.
    pub sheets: &'a BoardPlan,
    /// The bill.
    pub bill: &'a Bill,
}

/// Everything that is wrong with a plan, doors first, then demand, boards, bundles, cases, cloth and bill; empty when
/// it is right.
#[must_use]
pub fn verify(claim: &Claim<'_>) -> Vec<Violation> {
    let mut found = Vec::new();
    doors::check(claim.job, claim.doors, &mut found);
    demand::check(claim, &mut found);
    boards::check(boards::Cut { job: claim.job, parts: claim.parts, boards: claim.boards }, &mut found);
    // Bundles are told by parts and boards: where those are wrong, theirs would say the same again.
    if found.is_empty() {
        bundles::check(claim, &mut found);
        ease::check(claim, &mut found);
    }
    case::check(claim, &mut found);
    sheets::check(claim, &mut found);
    cloth::check(claim, &mut found);
    bill::check(claim, &mut found);
    found
}

/// Everything that is wrong with a board plan by itself.
#[must_use]
pub fn boards_alone(job: &Job, parts: &[Part], boards: &BoardPlan) -> Vec<Violation> {
    let mut found = Vec::new();
    boards::check(boards::Cut { job, parts, boards }, &mut found);
    found
}

/// A plan in one order is a plan in any order: none may cost less than what the plan `any` says all cost.
#[must_use]
pub fn no_cheaper(any: &BoardPlan, order: Order, one: &BoardPlan) -> Vec<Violation> {
    let (bound, cost) = (any.bound, one.cost);
    if cost < bound { vec![Violation::OrderBelowBound { order: order.word(), cost, bound }] } else { Vec::new() }
}
