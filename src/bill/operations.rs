//! Labour by operation: what the plan really contains, in minutes.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use itertools::Itertools;
use rust_decimal::{Decimal, RoundingStrategy};

use super::materials::{area, units_of};
use super::{BillError, Cased, CostLine, PLACES, WorkLine, priced};
use crate::case::Panel;
use crate::demand::Demand;
use crate::doors::Door;
use crate::job::{ClothUnit, ConsumableArea, Flow, Job, Operation, OperationRule, Order, SlatSpec};
use crate::measure::{Length, Ratio, Units};
use crate::packing::boards::{Blank, BoardPlan, CutBoard, RipGroup};
use crate::packing::cloth::ClothPlan;

/// How often an operation is set, and how many units it has.
struct Tally {
    settings: u64,
    quantity: Decimal,
    slats: u64,
}

impl Tally {
    fn new(settings: usize, quantity: u64) -> Self {
        Self { settings: settings as u64, quantity: Decimal::from(quantity), slats: 0 }
    }

    /// One setting, when there is anything to do.
    fn once(quantity: u64) -> Self {
        Self::new(usize::from(quantity > 0), quantity)
    }

    /// The same, with slats that are worked on one by one beside what is counted.
    const fn and_slats(mut self, slats: u64) -> Self {
        self.slats = slats;
        self
    }
}

/// What the tallies are taken from.
pub(super) struct Contents<'a> {
    pub(super) job: &'a Job,
    pub(super) doors: &'a [Door],
    pub(super) demand: &'a Demand,
    pub(super) boards: &'a BoardPlan,
    pub(super) cloth: &'a ClothPlan,
    pub(super) cased: &'a Cased,
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
    let by_slat = rule.slat_minutes.checked_mul(Decimal::from(tally.slats)).ok_or_else(too_large)?;
    let minutes = setting.checked_add(doing).and_then(|sum| sum.checked_add(by_slat)).ok_or_else(too_large)?;
    let hours = (minutes / Decimal::from(60)).round_dp_with_strategy(PLACES, RoundingStrategy::MidpointAwayFromZero);
    let (settings, quantity, slats) = (tally.settings, tally.quantity.normalize(), tally.slats);
    let (minutes, hours) = (minutes.normalize(), hours.normalize());
    Ok(WorkLine { rule: rule.clone(), settings, quantity, slats, minutes, hours })
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
            Operation::PanelGlueUp => Tally::once(self.panels(|panel| panel.material.solid.is_some())),
            Operation::PanelCut => Tally::new(self.panel_sizes(), self.panels(|_| true)),
            Operation::PanelEdge => self.edged(),
            Operation::CaseGlueUp => Tally::once(self.cases()),
            Operation::Crosscut => Tally::new(self.stops(), self.over_boards(cuts)),
            Operation::Joint => Tally::once(self.over_boards(edges) * 2),
            Operation::Plane => self.planed(),
            Operation::Rip => Tally::new(self.fence_settings(), self.over_boards(rips)),
            Operation::Chamfer => self.chamfered(),
            Operation::Sort => Tally::once(self.demand.parts.iter().map(|part| u64::from(part.total())).sum()),
            Operation::GlueUp | Operation::Trim => Tally::new(self.forms(), panels).and_slats(self.slats()),
            Operation::Rabbet => Tally::new(self.tongues(), panels * 2).and_slats(self.slats()),
            Operation::Sand => self.sanded(),
            Operation::Finish => self.spread(coats(self.job)),
            Operation::Hang => Tally::once(panels),
        }
    }

    fn panels(&self, which: fn(&Panel) -> bool) -> u64 {
        self.cased.case.panels.iter().filter(|panel| which(panel)).map(|panel| u64::from(panel.count)).sum()
    }

    /// Fence and stop are set once a size of panel.
    fn panel_sizes(&self) -> usize {
        self.cased
            .case
            .panels
            .iter()
            .map(|panel| (panel.cut_length(), panel.cut_width()))
            .collect::<BTreeSet<_>>()
            .len()
    }

    /// Feet (in a metric job metres) of edging.
    fn edged(&self) -> Tally {
        let length: Length = self.cased.case.panels.iter().map(|panel| panel.edging() * i64::from(panel.count)).sum();
        self.run(length)
    }

    /// Cases built of panels.
    fn cases(&self) -> u64 {
        let cased: BTreeSet<usize> = self.cased.case.panels.iter().map(|panel| panel.cabinet).collect();
        cased.iter().filter_map(|index| self.job.cabinets.get(*index)).map(|cabinet| u64::from(cabinet.count)).sum()
    }

    /// Yards (in a metric job metres) bought of the bolts that shrink.
    fn washed(&self) -> Tally {
        let bolts = self.job.bolts.iter().zip(&self.cloth.bolts);
        let shrinks = |share: Ratio| !share.decimal().is_zero();
        let washed = bolts.filter(|(bolt, _)| shrinks(bolt.shrink_along) || shrinks(bolt.shrink_across));
        let length: Length = washed.map(|(_, used)| used.bought).sum();
        Tally {
            settings: u64::from(length.is_positive()),
            quantity: units_of(length, ClothUnit::usual(self.job.units)),
            slats: 0,
        }
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

    /// Slats in all panels, lead slats included.
    fn slats(&self) -> u64 {
        self.doors.iter().map(|door| slats_of(door) * u64::from(door.count)).sum()
    }

    fn blanks(&self) -> impl Iterator<Item = (&CutBoard, &Blank)> {
        self.boards.boards.iter().flat_map(|board| board.blanks.iter().map(move |blank| (board, blank)))
    }

    /// Rows of every blank in the order they are sawn: widest first.
    fn rows(&self) -> impl Iterator<Item = (&CutBoard, &RipGroup)> {
        self.blanks().flat_map(|(board, blank)| {
            blank.rips.iter().sorted_by_key(|row| (Reverse(row.rip_width), row.part)).map(move |row| (board, row))
        })
    }

    /// How often something is set that one cut after another wants at these figures.
    fn set(&self, figures: impl Iterator<Item = Length>) -> usize {
        match self.job.shop.pricing.flow {
            Flow::Boards => figures.dedup().count(),
            Flow::Settings => figures.collect::<BTreeSet<_>>().len(),
        }
    }

    /// Leaves through the planer, as often as the depth to come off takes; a setting a thickness.
    fn planed(&self) -> Tally {
        let planed = self.blanks().filter(|(board, blank)| self.passes(board, blank) > 0);
        let settings = self.set(planed.map(|(_, blank)| blank.planed));
        Tally::new(settings, self.blanks().map(|(board, blank)| self.passes(board, blank)).sum())
    }

    /// Passes of one blank, or of one group of full-length rips: its leaves, each as often as it takes from its share
    /// of the rough thickness, the resaw kerf counted with it.
    fn passes(&self, board: &CutBoard, blank: &Blank) -> u64 {
        let rip_first = board.order == Order::RipFirst;
        let rips = if rip_first { blank.rips.first().map_or(0, |row| row.rips) } else { 1 };
        let leaves = i64::from(blank.leaves);
        let thickness = self.job.boards.get(board.stock).map_or(Length::ZERO, |stock| stock.thickness.actual());
        let each = self.job.shop.pricing.pass_depth.map_or(1, |depth| {
            let off = (thickness.nm() - leaves * blank.planed.nm()).max(0);
            off.unsigned_abs().div_ceil((leaves * depth.nm()).max(1).unsigned_abs())
        });
        u64::from(rips) * u64::from(blank.leaves) * each
    }

    fn fence_settings(&self) -> usize {
        self.set(self.rows().map(|(_, row)| row.rip_width))
    }

    /// The stop for blanks, and the one for pieces where rips are cut to them.
    fn stops(&self) -> usize {
        let crosscut = self.blanks().filter(|(board, _)| board.order == Order::CrosscutFirst);
        let pieces = self.rows().filter(|(board, row)| board.order == Order::RipFirst || row.pieces > 1);
        let length = |part: usize| self.demand.parts.get(part).map_or(Length::ZERO, |part| part.length);
        self.set(crosscut.map(|(_, blank)| blank.length)) + self.set(pieces.map(|(_, row)| length(row.part)))
    }

    /// Feet (in a metric job metres) of slats.
    fn sanded(&self) -> Tally {
        let length: Length =
            self.doors.iter().map(|door| door.slat_length * slats_of(door).cast_signed() * i64::from(door.count)).sum();
        self.run(length)
    }

    /// A length by the foot, in a metric job by the metre.
    fn run(&self, length: Length) -> Tally {
        let one = match self.job.units {
            Units::Inch => Length::from_inches(12),
            Units::Millimetre => Length::from_mm(1000),
        };
        let quantity = Decimal::from(length.nm()) / Decimal::from(one.nm());
        let quantity = quantity.round_dp_with_strategy(PLACES, RoundingStrategy::MidpointAwayFromZero);
        Tally { settings: u64::from(length.is_positive()), quantity, slats: 0 }
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

    /// Square feet (in a metric job square metres) of show face, so many times; a coat is a setting.
    fn spread(&self, times: u32) -> Tally {
        let area = area(self.job, self.doors, ConsumableArea::Show);
        let once = match self.job.units {
            Units::Inch => area.square_feet(),
            Units::Millimetre => area.exact_square_metres(PLACES),
        };
        let settings = if once.is_zero() { 0 } else { u64::from(times) };
        Tally { settings, quantity: once * Decimal::from(times), slats: 0 }
    }
}

pub(super) fn is_chamfered(slats: &SlatSpec) -> bool {
    slats.edge_chamfer.is_positive() || slats.edge_bevel > 0.0
}

/// Slats of one panel, the lead slat included.
pub(super) fn slats_of(door: &Door) -> u64 {
    u64::from(door.slats) + 1
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

/// One edge and one face a blank; the same a board that is ripped first.
fn edges(board: &CutBoard) -> u64 {
    if board.order == Order::RipFirst { 1 } else { board.blanks.len() as u64 }
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
