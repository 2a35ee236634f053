//! Labour, overhead and tax on the bill.

use rust_decimal::Decimal;

use super::{BillError, CostLine, priced};
use crate::demand::Demand;
use crate::doors::Door;
use crate::job::{Job, LabourBasis, LabourLine};
use crate::measure::{Cents, Ratio};
use crate::packing::boards::BoardPlan;

/// Hours times rate, in the shop's order. Strips count as the demand has them, spares included:
/// surplus strips come off the saw but no work goes into them.
pub(super) fn labour_costs(
    job: &Job,
    doors: &[Door],
    demand: &Demand,
    boards: &BoardPlan,
) -> Result<Vec<CostLine>, BillError> {
    let count = |basis| match basis {
        LabourBasis::Job => 1,
        LabourBasis::Cabinet => job.cabinets.iter().map(|cabinet| u64::from(cabinet.count)).sum(),
        LabourBasis::Door => doors.iter().map(|door| u64::from(door.count)).sum(),
        LabourBasis::Board => boards.boards.len() as u64,
        LabourBasis::Strip => demand.parts.iter().map(|part| u64::from(part.total())).sum(),
    };
    let line = |labour: &LabourLine| {
        let hours = labour.hours.checked_mul(Decimal::from(count(labour.per)));
        let hours = hours.ok_or_else(|| BillError::TooLarge { line: labour.name.clone() })?;
        priced("labour", &labour.name, hours.normalize(), "hour", labour.rate.decimal())
    };
    job.shop.labour.iter().map(line).collect()
}

/// A share of an amount as a line that multiplies out: so many per cent, each worth a hundredth of
/// the amount. `None` for no share at all.
pub(super) fn share_line(group: &str, share: Ratio, of: Cents) -> Result<Option<CostLine>, BillError> {
    if share.decimal().is_zero() {
        return Ok(None);
    }
    let percent = (share.decimal() * Decimal::ONE_HUNDRED).normalize();
    let one_percent = Decimal::new(of.get(), 4).normalize();
    priced(group, group, percent, "%", one_percent).map(Some)
}
