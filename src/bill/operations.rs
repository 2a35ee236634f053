//! Labour by operation: what the plan really contains, in minutes.

use std::collections::BTreeSet;

use rust_decimal::{Decimal, RoundingStrategy};

use super::materials::{area, units_of};
use super::{BillError, CostLine, PLACES, WorkLine, priced};
use crate::demand::Demand;
use crate::doors::Door;
use crate::job::{ClothUnit, ConsumableArea, Job, Operation, OperationRule, Order, SlatSpec};
use crate::measure::{Length, Ratio};
use crate::packing::boards::{Blank, BoardPlan, CutBoard};
use crate::packing::cloth::ClothPlan;

/// How often an operation is set, and how many units it has.
struct Tally {
    settings: u64,
    quantity: Decimal,
}

impl Tally {
    fn new(settings: usize, quantity: u64) -> Self {
        Self { settings: settings as u64, quantity: Decimal::from(quantity) }
    }

    /// One setting, when there is anything to do.
    fn once(quantity: u64) -> Self {
        Self::new(usize::from(quantity > 0), quantity)
    }
}

/// What the tallies are taken from.
pub(super) struct Contents<'a> {
    pub(super) job: &'a Job,
    pub(super) doors: &'a [Door],
    pub(super) demand: &'a Demand,
    pub(super) boards: &'a BoardPlan,
    pub(super) cloth: &'a ClothPlan,
}

/// One line an operation that occurs, in the order of work.
pub(super) fn work_lines(contents: &Contents<'_>) -> Result<Vec<WorkLine>, BillError> {
    let rules = contents.job.shop.pricing.operations.iter();
    let lines = rules.map(|rule| (rule, contents.tally(rule.operation))).filter(|(_, tally)| !tally.quantity.is_zero());
    lines.map(|(rule, tally)| work_line(rule, &tally)).collect()
}

fn work_line(rule: &OperationRule, tally: &Tally) -> Result<WorkLine, BillError> {
    let too_large = || BillError::TooLarge { line: rule.operation.word().to_owned() };
    let setting = rule.setup.checked_mul(Decimal::from(tally.settings)).ok_or_else(too_large)?;
    let doing = rule.minutes.checked_mul(tally.quantity).ok_or_else(too_large)?;
    let minutes = setting.checked_add(doing).ok_or_else(too_large)?;
    let hours = (minutes / Decimal::from(60)).round_dp_with_strategy(PLACES, RoundingStrategy::MidpointAwayFromZero);
    let (settings, quantity) = (tally.settings, tally.quantity.normalize());
    Ok(WorkLine { rule: rule.clone(), settings, quantity, minutes: minutes.normalize(), hours: hours.normalize() })
}

/// Hours times rate, one cost line an operation: `ripping, helper`.
pub(super) fn work_costs(lines: &[WorkLine]) -> Result<Vec<CostLine>, BillError> {
    let line = |line: &WorkLine| {
        let item = format!("{}, {}", line.rule.operation.word(), line.rule.person.word());
        priced("labour", &item, line.hours, "hour", line.rule.rate.decimal())
    };
    lines.iter().map(line).collect()
}

impl Contents<'_> {
    fn tally(&self, operation: Operation) -> Tally {
        let panels: u64 = self.doors.iter().map(|door| u64::from(door.count)).sum();
        match operation {
            Operation::Wash => self.washed(),
            Operation::Template | Operation::TestCorner => Tally::new(self.templates(), self.templates() as u64),
            Operation::Forms => Tally::new(self.forms(), self.forms() as u64),
            Operation::Grooves => Tally::new(self.templates(), panels * 2),
            Operation::Crosscut => Tally::once(self.over_boards(cuts)),
            Operation::Joint => Tally::once(self.over_boards(edges)),
            Operation::Plane => Tally::new(self.planed(), self.over_boards(passes)),
            Operation::Rip => Tally::new(self.rip_widths(), self.over_boards(rips)),
            Operation::Chamfer => self.chamfered(),
            Operation::Sort => Tally::once(self.demand.parts.iter().map(|part| u64::from(part.total())).sum()),
            Operation::GlueUp | Operation::Trim => Tally::new(self.forms(), panels),
            Operation::Rabbet => Tally::new(self.tongues(), panels * 2),
            Operation::Sand => self.spread(1),
            Operation::Finish => self.spread(coats(self.job)),
            Operation::Hang => Tally::once(panels),
        }
    }

    /// Yards bought of the bolts that shrink.
    fn washed(&self) -> Tally {
        let bolts = self.job.bolts.iter().zip(&self.cloth.bolts);
        let shrinks = |share: Ratio| !share.decimal().is_zero();
        let washed = bolts.filter(|(bolt, _)| shrinks(bolt.shrink_along) || shrinks(bolt.shrink_across));
        let length: Length = washed.map(|(_, used)| used.bought).sum();
        Tally { settings: u64::from(length.is_positive()), quantity: units_of(length, ClothUnit::Yard) }
    }

    /// One template a cabinet design, another where its doors differ in cover or travel: a pair turns it over.
    fn templates(&self) -> usize {
        self.doors.iter().map(|door| (door.cabinet, door.cover, door.travel)).collect::<BTreeSet<_>>().len()
    }

    /// One form a slat length.
    fn forms(&self) -> usize {
        self.doors.iter().map(|door| door.slat_length).collect::<BTreeSet<_>>().len()
    }

    /// The rabbet cutter is set once a tongue.
    fn tongues(&self) -> usize {
        self.doors.iter().map(|door| door.tongue).collect::<BTreeSet<_>>().len()
    }

    fn over_boards(&self, count: fn(&CutBoard) -> u64) -> u64 {
        self.boards.boards.iter().map(count).sum()
    }

    fn planed(&self) -> usize {
        let blanks = self.boards.boards.iter().flat_map(|board| &board.blanks);
        blanks.map(|blank| blank.planed).collect::<BTreeSet<_>>().len()
    }

    fn rip_widths(&self) -> usize {
        let blanks = self.boards.boards.iter().flat_map(|board| &board.blanks);
        blanks.flat_map(|blank| &blank.rips).map(|row| row.rip_width).collect::<BTreeSet<_>>().len()
    }

    /// Two edges of every strip of the doors that ask for it.
    fn chamfered(&self) -> Tally {
        let asked = self.doors.iter().filter_map(|door| {
            let slats = &self.job.cabinets.get(door.cabinet)?.doors.get(door.index)?.slats;
            is_chamfered(slats).then_some((door, slats))
        });
        let mut settings = BTreeSet::new();
        let mut passes = 0;
        for (door, slats) in asked {
            settings.insert((slats.edge_chamfer, slats.edge_bevel.to_bits()));
            passes += (u64::from(door.slats) + 1) * u64::from(door.count) * 2;
        }
        Tally::new(settings.len(), passes)
    }

    /// Square feet of show face, so many times; a coat is a setting.
    fn spread(&self, times: u32) -> Tally {
        let feet = area(self.job, self.doors, ConsumableArea::Show).square_feet();
        let settings = if feet.is_zero() { 0 } else { u64::from(times) };
        Tally { settings, quantity: feet * Decimal::from(times) }
    }
}

pub(super) fn is_chamfered(slats: &SlatSpec) -> bool {
    slats.edge_chamfer.is_positive() || slats.edge_bevel > 0.0
}

/// Coats of everything that is spread on show faces.
fn coats(job: &Job) -> u32 {
    job.shop.consumables.iter().filter(|c| c.on == ConsumableArea::Show).map(|c| c.coats).sum()
}

/// A blank is one cut; a rip is cut again into its pieces where it holds several, or where it is full length.
fn cuts(board: &CutBoard) -> u64 {
    let rip_first = board.order == Order::RipFirst;
    let blank = |blank: &Blank| {
        let pieces = blank.rips.iter().filter(|row| rip_first || row.pieces > 1);
        pieces.map(|row| u64::from(row.rips) * u64::from(row.pieces)).sum::<u64>() + u64::from(!rip_first)
    };
    board.blanks.iter().map(blank).sum()
}

/// One edge a blank; one a board that is ripped first.
fn edges(board: &CutBoard) -> u64 {
    if board.order == Order::RipFirst { 1 } else { board.blanks.len() as u64 }
}

/// Leaves through the planer: of each blank, or of each full-length rip.
fn passes(board: &CutBoard) -> u64 {
    let rip_first = board.order == Order::RipFirst;
    let through = |blank: &Blank| {
        let rips = if rip_first { blank.rips.first().map_or(0, |row| row.rips) } else { 1 };
        u64::from(rips) * u64::from(blank.leaves)
    };
    board.blanks.iter().map(through).sum()
}

/// Rips off the saw: the rows of a full-length group are the same rips.
fn rips(board: &CutBoard) -> u64 {
    let rip_first = board.order == Order::RipFirst;
    let of = |blank: &Blank| -> u64 {
        let rows = if rip_first { blank.rips.len().min(1) } else { blank.rips.len() };
        blank.rips.iter().take(rows).map(|row| u64::from(row.rips)).sum()
    };
    board.blanks.iter().map(of).sum()
}
