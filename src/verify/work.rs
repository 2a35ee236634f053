//! The operations recounted from what is cut, laid and built; and the shares, which must give the total.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::{Decimal, RoundingStrategy};

use super::bill::consumable_feet;
use super::wide::nm;
use super::{Claim, Violation};
use crate::bill::WorkLine;
use crate::case::Panel;
use crate::doors::Door;
use crate::job::{ConsumableArea, Flow, Operation, OperationRule, Order};
use crate::measure::{StockThickness, Units};
use crate::packing::boards::RipGroup;

/// An operation as it must be: settings, units and slats.
type Count = (u64, Decimal, u64);

/// Hours of every operation that occurs, in the job's order: its item, hours and rate.
pub(super) fn expected(claim: &Claim<'_>) -> Vec<(String, Decimal, Decimal)> {
    let counts = Recount::of(claim);
    let mut lines = Vec::new();
    for rule in &claim.job.shop.pricing.operations {
        let count = counts.count(claim, rule.operation);
        if count.1.is_zero() {
            continue;
        }
        let item = format!("{}, {}", rule.operation.word(), rule.person.word());
        lines.push((item, hours(rule, count), rule.rate.decimal()));
    }
    lines
}

fn hours(rule: &OperationRule, (settings, units, slats): Count) -> Decimal {
    let parts = [(rule.setup, Decimal::from(settings)), (rule.minutes, units), (rule.slat_minutes, slats.into())];
    let times = |sum: Decimal, (minutes, count): (Decimal, Decimal)| sum.checked_add(minutes.checked_mul(count)?);
    let minutes = parts.into_iter().try_fold(Decimal::ZERO, times).unwrap_or(Decimal::MAX);
    minutes
        .checked_div(Decimal::from(60))
        .unwrap_or(Decimal::MAX)
        .round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero)
}

/// Every work line says what it stands for.
pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let counts = Recount::of(claim);
    for line in &claim.bill.work {
        let count = counts.count(claim, line.rule.operation);
        let right = hours(&line.rule, count);
        if (line.settings, line.quantity, line.slats, line.hours) != (count.0, count.1, count.2, right) {
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

/// What the saw, the planer and the jointer do, counted over the boards once, in their order.
#[derive(Default)]
struct Recount {
    cuts: u64,
    edges: u64,
    passes: u64,
    rips: u64,
    planer: Settings,
    fence: Settings,
    blank_stop: Settings,
    piece_stop: Settings,
}

/// How often something is moved: each time the next cut wants it otherwise, and how many places it has.
#[derive(Default)]
struct Settings {
    stands: Option<i128>,
    moved: u64,
    places: BTreeSet<i128>,
}

impl Settings {
    fn want(&mut self, at: i128) {
        self.moved += u64::from(self.stands != Some(at));
        self.stands = Some(at);
        self.places.insert(at);
    }

    fn made(&self, flow: Flow) -> u64 {
        if flow == Flow::Settings { self.places.len() as u64 } else { self.moved }
    }
}

impl Recount {
    fn of(claim: &Claim<'_>) -> Self {
        let mut all = Self::default();
        for board in &claim.boards.boards {
            let crosscut = board.order == Order::CrosscutFirst;
            all.edges += if crosscut { board.blanks.len() as u64 } else { 1 };
            for blank in &board.blanks {
                // Every row of a full-length group stands for the same rips.
                let full = blank.rips.first().map_or(0, |row| u64::from(row.rips));
                let pass = passes(claim, board.stock, nm(blank.planed), blank.leaves);
                let pass = pass.saturating_mul(if crosscut { 1 } else { full });
                if pass > 0 {
                    all.planer.want(nm(blank.planed));
                }
                all.passes = all.passes.saturating_add(pass);
                if crosscut {
                    all.blank_stop.want(nm(blank.length));
                    all.cuts = all.cuts.saturating_add(1);
                    all.rips += blank.rips.iter().map(|row| u64::from(row.rips)).sum::<u64>();
                } else {
                    all.rips = all.rips.saturating_add(full);
                }
                let mut rows: Vec<&RipGroup> = blank.rips.iter().collect();
                rows.sort_by(|a, b| nm(b.rip_width).cmp(&nm(a.rip_width)).then(a.part.cmp(&b.part)));
                for row in rows {
                    all.fence.want(nm(row.rip_width));
                    if !crosscut || row.pieces > 1 {
                        all.piece_stop.want(claim.parts.get(row.part).map_or(0, |part| nm(part.length)));
                    }
                }
                all.recut(&blank.rips, if crosscut { 2 } else { 1 });
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
        let whole = |settings: usize, units: u64| (settings as u64, Decimal::from(units), 0);
        let flow = claim.job.shop.pricing.flow;
        let slats: u64 = claim.doors.iter().map(|door| u64::from(door.count) * (u64::from(door.slats) + 1)).sum();
        let templates: BTreeSet<_> =
            claim.doors.iter().map(|door| (door.cabinet, nm(door.cover), nm(door.travel))).collect();
        let lengths: BTreeSet<_> = claim.doors.iter().map(|door| nm(door.slat_length)).collect();
        let tongues: BTreeSet<_> = claim.doors.iter().map(|door| nm(door.tongue)).collect();
        match operation {
            Operation::Crosscut => (self.blank_stop.made(flow) + self.piece_stop.made(flow), self.cuts.into(), 0),
            // An edge and a face.
            Operation::Joint => whole(usize::from(self.edges > 0), self.edges * 2),
            Operation::Plane => (self.planer.made(flow), self.passes.into(), 0),
            Operation::Rip => (self.fence.made(flow), self.rips.into(), 0),
            Operation::Wash => washed(claim),
            Operation::Template | Operation::TestCorner => whole(templates.len(), templates.len() as u64),
            Operation::Forms => whole(lengths.len(), lengths.len() as u64),
            Operation::Grooves => whole(templates.len(), 2 * built),
            Operation::PanelGlueUp => {
                let glued = panels(claim, |panel| u64::from(panel.material.solid.is_some()));
                whole(usize::from(glued > 0), glued)
            }
            Operation::PanelCut => {
                let sizes: BTreeSet<_> = claim.case.panels.iter().map(cut_size).collect();
                whole(sizes.len(), panels(claim, |_| 1))
            }
            Operation::PanelEdge => edged(claim),
            Operation::CaseGlueUp => {
                let built = claim.job.cabinets.iter().enumerate().filter(|(at, cabinet)| {
                    cabinet.case.is_some() && claim.case.panels.iter().any(|panel| panel.cabinet == *at)
                });
                let built = built.map(|(_, cabinet)| u64::from(cabinet.count)).sum();
                whole(usize::from(built > 0), built)
            }
            Operation::GlueUp | Operation::Trim => (lengths.len() as u64, built.into(), slats),
            Operation::Rabbet => (tongues.len() as u64, (2 * built).into(), slats),
            Operation::Hang => whole(usize::from(built > 0), built),
            Operation::Sand => slat_feet(claim),
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

/// Passes of one blank through the planer: each leaf as often as its share of the rough thickness asks for.
fn passes(claim: &Claim<'_>, stock: usize, planed: i128, leaves: u32) -> u64 {
    let Some(depth) = claim.job.shop.pricing.pass_depth else { return leaves.into() };
    let rough = claim.job.boards.get(stock).map_or(0, |row| match row.thickness {
        StockThickness::Rough(quarters) => nm(quarters.length()),
        StockThickness::Surfaced { actual, .. } | StockThickness::Sawn(actual) | StockThickness::Plain(actual) => {
            nm(actual)
        }
    });
    let leaves = i128::from(leaves).max(1);
    let off = (rough - leaves.saturating_mul(planed)).max(0);
    let step = leaves.saturating_mul(nm(depth)).max(1);
    let each = off / step + i128::from(off % step > 0);
    u64::try_from(each.saturating_mul(leaves)).unwrap_or(u64::MAX)
}

fn metric(claim: &Claim<'_>) -> bool {
    claim.job.units == Units::Millimetre
}

/// Feet (in a metric job metres) of slats, lead slats included, to four places.
fn slat_feet(claim: &Claim<'_>) -> Count {
    let of = |door: &Door| nm(door.slat_length) * (i128::from(door.slats) + 1) * i128::from(door.count);
    let length: i128 = claim.doors.iter().map(of).sum();
    let one = if metric(claim) { 1_000_000_000 } else { 304_800_000 };
    let feet = Decimal::try_from_i128_with_scale(length, 0).unwrap_or(Decimal::MAX) / Decimal::from(one);
    (u64::from(length > 0), feet.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero), 0)
}

fn panels(claim: &Claim<'_>, each: impl Fn(&Panel) -> u64) -> u64 {
    claim.case.panels.iter().map(|panel| each(panel) * u64::from(panel.count)).sum()
}

/// Length and width before edging.
fn cut_size(panel: &Panel) -> (i128, i128) {
    let edge = nm(panel.edged.thickness);
    let (ends, front) = (i128::from(panel.edged.ends), i128::from(panel.edged.front));
    (nm(panel.length) - 2 * ends * edge, nm(panel.width) - front * edge)
}

/// Feet (in a metric job metres) of edging: front edges and both ends, to four places.
fn edged(claim: &Claim<'_>) -> Count {
    let of = |panel: &Panel| {
        let front = if panel.edged.front { nm(panel.length) } else { 0 };
        let ends = if panel.edged.ends { 2 * nm(panel.width) } else { 0 };
        (front + ends) * i128::from(panel.count)
    };
    let length: i128 = claim.case.panels.iter().map(of).sum();
    let one = if metric(claim) { 1_000_000_000 } else { 304_800_000 };
    let feet = Decimal::try_from_i128_with_scale(length, 0).unwrap_or(Decimal::MAX) / Decimal::from(one);
    (u64::from(length > 0), feet.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero), 0)
}

/// Yards (in a metric job metres) bought of cloth that has to be washed.
fn washed(claim: &Claim<'_>) -> Count {
    let mut length = 0i128;
    for (bolt, used) in claim.job.bolts.iter().zip(&claim.cloth.bolts) {
        if bolt.shrink_along.decimal() + bolt.shrink_across.decimal() > Decimal::ZERO {
            length += nm(used.bought);
        }
    }
    let one = if metric(claim) { 1_000_000_000 } else { 914_400_000 };
    let yards = Decimal::try_from_i128_with_scale(length, 0).unwrap_or(Decimal::MAX) / Decimal::from(one);
    let yards = yards.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero);
    (u64::from(length > 0), yards, 0)
}

fn faces(claim: &Claim<'_>, times: u64) -> Count {
    let feet = if metric(claim) {
        shown_metres(claim)
    } else {
        consumable_feet(claim, ConsumableArea::Show).unwrap_or(Decimal::MAX)
    };
    let units = feet.checked_mul(Decimal::from(times)).unwrap_or(Decimal::MAX);
    (if feet.is_zero() { 0 } else { times }, units, 0)
}

/// Square metres of show face to four places, halves up.
fn shown_metres(claim: &Claim<'_>) -> Decimal {
    let of = |door: &Door| nm(door.slat_length) * nm(door.door_length) * i128::from(door.count);
    let square: i128 = claim.doors.iter().map(of).fold(0, i128::saturating_add);
    let ten_thousandths = square.saturating_add(50_000_000_000_000) / 100_000_000_000_000;
    Decimal::try_from_i128_with_scale(ten_thousandths, 4).unwrap_or(Decimal::MAX)
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
    (kinds.len() as u64, Decimal::from(passes), 0)
}
