//! The quote's sheets: hours by operation, who causes what.

use super::cell::Cell;
use super::sheets::Sheet;
use crate::bill::{Share, WorkLine};
use crate::job::Job;
use crate::plan::Plan;

/// `hours.csv`: one operation that occurs a row, in the order of work.
#[must_use]
pub fn hours(plan: &Plan) -> Sheet {
    let row = |line: &WorkLine| {
        let rule = &line.rule;
        vec![
            Cell::text(rule.operation.word()),
            Cell::text(rule.operation.stage().word()),
            Cell::text(rule.person.word()),
            Cell::Count(line.settings.cast_signed()),
            Cell::Decimal(rule.setup),
            Cell::Decimal(line.quantity),
            Cell::text(rule.operation.unit()),
            Cell::Decimal(rule.minutes),
            Cell::Decimal(line.minutes),
            Cell::Decimal(line.hours),
            Cell::Price(rule.rate),
        ]
    };
    const COLUMNS: [&str; 11] = [
        "operation",
        "stage",
        "person",
        "settings",
        "setup_minutes",
        "quantity",
        "unit",
        "unit_minutes",
        "minutes",
        "hours",
        "rate",
    ];
    Sheet::new("hours", &COLUMNS, plan.bill.work.iter().map(row).collect())
}

/// `shares.csv`: what each door (all its copies), loose piece and the job itself costs; the totals sum
/// to the total cost.
#[must_use]
pub fn shares(job: &Job, plan: &Plan) -> Sheet {
    let row = |share: &Share| {
        vec![
            Cell::text(share.what),
            Cell::text(&share.name),
            share.cabinet.map_or(Cell::Empty, |at| Cell::text(&job.cabinets[at].name)),
            Cell::Count(share.count.into()),
            Cell::Money(share.boards),
            Cell::Money(share.cloth),
            Cell::Money(share.consumables),
            Cell::Money(share.lines),
            Cell::Money(share.labour),
            Cell::Money(share.added),
            Cell::Money(share.total()),
        ]
    };
    const COLUMNS: [&str; 11] =
        ["what", "name", "cabinet", "count", "boards", "cloth", "consumables", "lines", "labour", "added", "total"];
    Sheet::new("shares", &COLUMNS, plan.bill.shares.iter().map(row).collect())
}
