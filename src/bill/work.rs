//! Plain labour lines, and what they and counted consumables are counted by.

use rust_decimal::Decimal;

use super::{BillError, CostLine, priced};
use crate::demand::Demand;
use crate::doors::Door;
use crate::job::{Job, LabourBasis, LabourLine};
use crate::packing::boards::BoardPlan;

/// What there is to count by.
pub(super) struct Counts<'a> {
    pub(super) job: &'a Job,
    pub(super) doors: &'a [Door],
    pub(super) demand: &'a Demand,
    pub(super) boards: &'a BoardPlan,
}

impl Counts<'_> {
    /// Strips count as the demand has them, spares included: surplus strips come off the saw but no
    /// work goes into them.
    pub(super) fn of(&self, basis: LabourBasis) -> u64 {
        match basis {
            LabourBasis::Job => 1,
            LabourBasis::Cabinet => self.job.cabinets.iter().map(|cabinet| u64::from(cabinet.count)).sum(),
            LabourBasis::Door => self.doors.iter().map(|door| u64::from(door.count)).sum(),
            LabourBasis::Board => self.boards.boards.len() as u64,
            LabourBasis::Strip => self.demand.parts.iter().map(|part| u64::from(part.total())).sum(),
        }
    }
}

/// Hours times rate, in the shop's order.
pub(super) fn labour_costs(counts: &Counts<'_>) -> Result<Vec<CostLine>, BillError> {
    let line = |labour: &LabourLine| {
        let hours = labour.hours.checked_mul(Decimal::from(counts.of(labour.per)));
        let hours = hours.ok_or_else(|| BillError::TooLarge { line: labour.name.clone() })?;
        priced("labour", &labour.name, hours.normalize(), "hour", labour.rate.decimal())
    };
    counts.job.shop.labour.iter().map(line).collect()
}
