//! The operations recounted from what is cut, laid and built; and the shares, which must give the total.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::{Decimal, RoundingStrategy};

use super::bill::consumable_feet;
use super::wide::nm;
use super::{Claim, Violation};
use crate::bill::WorkLine;
use crate::job::{ConsumableArea, Operation, Order};
use crate::packing::boards::RipGroup;

/// An operation as it must be: settings and units.
type Count = (u64, Decimal);

/// Hours of every operation that occurs, in the job's order: its item, hours and rate.
pub(super) fn expected(claim: &Claim<'_>) -> Vec<(String, Decimal, Decimal)> {
    let counts = Recount::of(claim);
    let mut lines = Vec::new();
    for rule in &claim.job.shop.pricing.operations {
        let (settings, units) = counts.count(claim, rule.operation);
        if units.is_zero() {
            continue;
        }
        let item = format!("{}, {}", rule.operation.word(), rule.person.word());
        lines.push((item, hours(rule.setup, settings, rule.minutes, units), rule.rate.decimal()));
    }
    lines
}

fn hours(setup: Decimal, settings: u64, minutes: Decimal, units: Decimal) -> Decimal {
    let setting = setup.checked_mul(Decimal::from(settings));
    let doing = minutes.checked_mul(units);
    let minutes = setting.zip(doing).and_then(|(a, b)| a.checked_add(b)).unwrap_or(Decimal::MAX);
    minutes
        .checked_div(Decimal::from(60))
        .unwrap_or(Decimal::MAX)
        .round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero)
}

/// Every work line says what it stands for.
pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let counts = Recount::of(claim);
    for line in &claim.bill.work {
        let (settings, units) = counts.count(claim, line.rule.operation);
        let right = hours(line.rule.setup, settings, line.rule.minutes, units);
        if (line.settings, line.quantity, line.hours) != (settings, units, right) {
            let (operation, claimed) = (line.rule.operation.word(), line.hours);
            found.push(Violation::WorkHours { operation, claimed, expected: right });
        }
    }
    let asked = |line: &WorkLine| claim.job.shop.pricing.operations.contains(&line.rule);
    if let Some(line) = claim.bill.work.iter().find(|line| !asked(line)) {
        found.push(Violation::WorkUnasked { operation: line.rule.operation.word() });
    }
}

/// The shares are those of the doors, none negative, and sum to the cost lines.
pub(super) fn check_shares(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let mut sum = 0i128;
    for share in &claim.bill.shares {
        let parts = [share.boards, share.cloth, share.consumables, share.lines, share.labour, share.added];
        sum += parts.iter().map(|part| i128::from(part.get())).sum::<i128>();
        // Only what is added at the end may be negative, where the discount outweighs the rest.
        if parts[..5].iter().any(|part| part.get() < 0) {
            found.push(Violation::ShareNegative { name: share.name.clone() });
        }
    }
    let lines = claim.bill.costs.iter().map(|line| i128::from(line.cost.get())).sum::<i128>();
    if sum != lines {
        let in_money = |cents| Decimal::try_from_i128_with_scale(cents, 2).unwrap_or(Decimal::MAX);
        found.push(Violation::ShareTotal { claimed: in_money(sum), expected: in_money(lines) });
    }
    let cabinets = claim.job.cabinets.iter();
    let doors = cabinets.flat_map(|cabinet| cabinet.doors.iter().map(|door| (door.name.as_str(), cabinet.count)));
    let doors: BTreeMap<&str, u32> = doors.collect();
    let named = claim.bill.shares.iter().filter(|share| share.what == "door");
    let given: BTreeMap<&str, u32> = named.map(|share| (share.name.as_str(), share.count)).collect();
    if doors != given {
        found.push(Violation::ShareDoors);
    }
}

/// What the saw, the planer and the jointer do, counted over the boards once.
#[derive(Default)]
struct Recount {
    cuts: u64,
    edges: u64,
    passes: u64,
    rips: u64,
    thicknesses: BTreeSet<i128>,
    widths: BTreeSet<i128>,
}

impl Recount {
    fn of(claim: &Claim<'_>) -> Self {
        let mut all = Self::default();
        for board in &claim.boards.boards {
            match board.order {
                Order::RipFirst => all.edges += 1,
                Order::CrosscutFirst => all.edges += board.blanks.len() as u64,
            }
            for blank in &board.blanks {
                all.thicknesses.insert(nm(blank.planed));
                all.widths.extend(blank.rips.iter().map(|row| nm(row.rip_width)));
                let leaves = u64::from(blank.leaves);
                if board.order == Order::RipFirst {
                    // Every row of the group stands for the same rips.
                    let rips = blank.rips.first().map_or(0, |row| u64::from(row.rips));
                    all.rips = all.rips.saturating_add(rips);
                    all.passes = all.passes.saturating_add(rips.saturating_mul(leaves));
                    all.recut(&blank.rips, 1);
                } else {
                    all.rips += blank.rips.iter().map(|row| u64::from(row.rips)).sum::<u64>();
                    all.passes = all.passes.saturating_add(leaves);
                    all.cuts = all.cuts.saturating_add(1);
                    all.recut(&blank.rips, 2);
                }
            }
        }
        all
    }

    /// Cuts of rips that hold so many pieces or more; a damaged plan may hold any number.
    fn recut(&mut self, rows: &[RipGroup], least: u32) {
        for row in rows.iter().filter(|row| row.pieces >= least) {
            self.cuts = self.cuts.saturating_add(u64::from(row.rips).saturating_mul(row.pieces.into()));
        }
    }

    fn count(&self, claim: &Claim<'_>, operation: Operation) -> Count {
        let built: u64 = claim.doors.iter().map(|door| u64::from(door.count)).sum();
        let whole = |settings: usize, units: u64| (settings as u64, Decimal::from(units));
        let templates: BTreeSet<_> =
            claim.doors.iter().map(|door| (door.cabinet, nm(door.cover), nm(door.travel))).collect();
        let lengths: BTreeSet<_> = claim.doors.iter().map(|door| nm(door.slat_length)).collect();
        let tongues: BTreeSet<_> = claim.doors.iter().map(|door| nm(door.tongue)).collect();
        match operation {
            Operation::Crosscut => whole(usize::from(self.cuts > 0), self.cuts),
            Operation::Joint => whole(usize::from(self.edges > 0), self.edges),
            Operation::Plane => whole(self.thicknesses.len(), self.passes),
            Operation::Rip => whole(self.widths.len(), self.rips),
            Operation::Wash => washed(claim),
            Operation::Template | Operation::TestCorner => whole(templates.len(), templates.len() as u64),
            Operation::Forms => whole(lengths.len(), lengths.len() as u64),
            Operation::Grooves => whole(templates.len(), 2 * built),
            Operation::GlueUp | Operation::Trim => whole(lengths.len(), built),
            Operation::Rabbet => whole(tongues.len(), 2 * built),
            Operation::Hang => whole(usize::from(built > 0), built),
            Operation::Sand => faces(claim, 1),
            Operation::Finish => {
                let coats = claim.job.shop.consumables.iter().filter(|c| c.on == ConsumableArea::Show);
                faces(claim, coats.map(|c| u64::from(c.coats)).sum())
            }
            Operation::Chamfer => chamfered(claim),
            Operation::Sort => {
                let strips = claim.parts.iter().map(|part| u64::from(part.needed) + u64::from(part.spares)).sum();
                whole(usize::from(strips > 0), strips)
            }
        }
    }
}

/// Yards bought of cloth that has to be washed.
fn washed(claim: &Claim<'_>) -> Count {
    let mut length = 0i128;
    for (bolt, used) in claim.job.bolts.iter().zip(&claim.cloth.bolts) {
        if bolt.shrink_along.decimal() + bolt.shrink_across.decimal() > Decimal::ZERO {
            length += nm(used.bought);
        }
    }
    let yards = Decimal::try_from_i128_with_scale(length, 0).unwrap_or(Decimal::MAX) / Decimal::from(914_400_000);
    let yards = yards.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero);
    (u64::from(length > 0), yards)
}

fn faces(claim: &Claim<'_>, times: u64) -> Count {
    let feet = consumable_feet(claim, ConsumableArea::Show).unwrap_or(Decimal::MAX);
    let units = feet.checked_mul(Decimal::from(times)).unwrap_or(Decimal::MAX);
    (if feet.is_zero() { 0 } else { times }, units)
}

fn chamfered(claim: &Claim<'_>) -> Count {
    let (mut kinds, mut passes) = (BTreeSet::new(), 0u64);
    for door in claim.doors {
        let cabinet = claim.job.cabinets.get(door.cabinet);
        let Some(spec) = cabinet.and_then(|cabinet| cabinet.doors.get(door.index)) else { continue };
        let (chamfer, bevel) = (nm(spec.slats.edge_chamfer), spec.slats.edge_bevel);
        if chamfer > 0 || bevel > 0.0 {
            kinds.insert((chamfer, bevel.to_bits()));
            passes += 2 * u64::from(door.count) * (u64::from(door.slats) + 1);
        }
    }
    (kinds.len() as u64, Decimal::from(passes))
}
