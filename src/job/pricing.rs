//! How a job is priced: rates of people, minutes of operations, shares on top, payment stages.

use rust_decimal::Decimal;

use super::{History, InsideSize, LabourBasis, Learned, OperationHistory};
use crate::measure::{Cents, Length, Price, Ratio, Units};

/// Everything that turns what a plan contains into a price. The default is a shop that gives none of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pricing {
    /// The operations with their minutes, in the order of work; empty when the shop gives no rates.
    pub operations: Vec<OperationRule>,
    /// Consumables bought by count.
    pub counted: Vec<CountedConsumable>,
    /// How the work goes through the shop: what a setting is counted by.
    pub flow: Flow,
    /// What the planer takes off in one pass; `None` counts a pass a leaf.
    pub pass_depth: Option<Length>,
    /// What boards of the rack are worth to the price.
    pub rack: RackWorth,
    /// What wood that is left is worth at the yard, by the board foot, in a metric job by the cubic metre.
    pub offcut_value: Price,
    /// What an hour costs beside its wage: insurance, taxes on wages, days off. A share of the wages.
    pub burden: Ratio,
    /// How far hours lie from those quoted, of an operation that says nothing else and of labour lines of the shop's own: a
    /// standard deviation, as a share of them.
    pub spread: Decimal,
    /// Overhead for each hour of labour, beside the share of the direct cost.
    pub overhead_hour: Price,
    /// For the unforeseen: a share of all costs, overhead included.
    pub contingency: Ratio,
    /// What the shop earns.
    pub gain: Gain,
    /// Groups of cost lines with a gain of their own; [`Gain::None`] passes a group through.
    pub group_gains: Vec<(String, Gain)>,
    /// Taken off the price before tax.
    pub discount: Ratio,
    /// No job is done for less, tax on the price not counted; zero for none.
    pub least_charge: Cents,
    /// The price is rounded up to a multiple of it; zero leaves it as it comes.
    pub round_to: Cents,
    /// Which lines tax falls on.
    pub tax_on: TaxOn,
    /// What the tax is called; `tax` unless said.
    pub tax_name: Option<String>,
    /// A second tax beside it.
    pub second_tax: Option<Tax>,
    /// Payment stages; their shares sum to one. Empty: all of it on delivery.
    pub stages: Vec<PayStage>,
    /// What the client reads beside the price.
    pub terms: Terms,
    /// Hours there are for this job.
    pub hours: HoursThereAre,
}

/// How the work goes through the shop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Flow {
    /// Board after board: a stop, the planer or the fence is set whenever the next cut wants it otherwise.
    #[default]
    Boards,
    /// Setting after setting: everything that wants one is cut before it is moved.
    Settings,
}

/// What boards of the rack are worth to the price. It never changes which boards a plan takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RackWorth {
    /// Nothing: they are paid for.
    #[default]
    Free,
    /// What the cheapest board for sale of that wood and thickness costs, by the board foot.
    Replacement,
}

/// A tax.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tax {
    /// What it is called.
    pub name: String,
    /// Its rate.
    pub rate: Ratio,
    /// What it falls on.
    pub on: TaxOn,
}

/// Who does a piece of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Person {
    /// The one who answers for the fit.
    Maker,
    /// Anyone who works safely at the machines.
    Helper,
}

impl Person {
    /// The word used in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Maker => "maker",
            Self::Helper => "helper",
        }
    }
}

/// How far an operation's hours lie from those quoted where the shop says nothing: a standard deviation, as a share of
/// them. An assumption, no source.
pub const USUAL_SPREAD: Decimal = Decimal::from_parts(25, 0, 0, false, 2);

/// What an operation costs in time and money.
#[derive(Debug, Clone, PartialEq)]
pub struct OperationRule {
    /// Which operation.
    pub operation: Operation,
    /// Who does it.
    pub person: Person,
    /// Minutes of each unit.
    pub minutes: Decimal,
    /// Minutes of each slat in the panels; zero for an operation that slats do not drive.
    pub slat_minutes: Decimal,
    /// Minutes of each setting.
    pub setup: Decimal,
    /// Rate of an hour.
    pub rate: Price,
    /// What past jobs tell of it. The minutes are the shop's own times the factor learned.
    pub learned: Learned,
}

impl OperationRule {
    /// Takes in what past jobs tell: rows of `history` but those of the job itself, which was quoted without them.
    pub(super) fn learn(&mut self, history: &History, job: &str) {
        let ours = |row: &&OperationHistory| row.operation == self.operation && row.job != job;
        let rows: Vec<&OperationHistory> = history.operations.iter().filter(ours).collect();
        self.learned = Learned::from(&rows, self.minutes, self.learned.spread);
        for minutes in [&mut self.minutes, &mut self.slat_minutes, &mut self.setup] {
            let learned = minutes.checked_mul(self.learned.factor).unwrap_or(*minutes);
            *minutes = learned.round_dp(4).normalize();
        }
    }

    /// Minutes a unit by the shop file.
    #[must_use]
    pub fn own_minutes(&self) -> Decimal {
        self.minutes.checked_div(self.learned.factor).unwrap_or(self.minutes).round_dp(4).normalize()
    }
}

/// The operations a plan is made of, in the order of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "`word` and `unit` name each")]
pub enum Operation {
    Wash,
    Template,
    TestCorner,
    Forms,
    PanelGlueUp,
    PanelCut,
    PanelEdge,
    Grooves,
    CaseGlueUp,
    Crosscut,
    Joint,
    Plane,
    Rip,
    Chamfer,
    Sort,
    GlueUp,
    Trim,
    Rabbet,
    Sand,
    Finish,
    Hang,
}

/// Every operation: its word, unit, stage, usual person, minutes a unit, minutes a slat and minutes a setting.
type Usual = (Operation, &'static str, &'static str, WorkStage, Person, u16, u16, u16);

const USUAL: [Usual; 21] = {
    use Operation::*;
    use Person::{Helper, Maker};
    use WorkStage::*;
    // Hundredths of a minute a unit and a slat, tenths a setting.
    [
        (Wash, "washing cloth", "yard", Preparing, Helper, 600, 0, 200),
        (Template, "template", "template", Preparing, Maker, 6000, 0, 0),
        (TestCorner, "test corner", "corner", Preparing, Maker, 4500, 0, 0),
        (Forms, "glue-up form", "form", Preparing, Maker, 4500, 0, 0),
        (PanelGlueUp, "panel glue-up", "panel", Case, Maker, 2500, 0, 100),
        (PanelCut, "panel cutting", "panel", Case, Helper, 400, 0, 20),
        (PanelEdge, "panel edging", "ft", Case, Maker, 200, 0, 100),
        (Grooves, "grooves", "groove", Case, Maker, 1000, 0, 150),
        (CaseGlueUp, "case glue-up", "case", Case, Maker, 6000, 0, 0),
        (Crosscut, "crosscutting", "cut", Milling, Helper, 50, 0, 15),
        (Joint, "jointing", "pass", Milling, Helper, 75, 0, 50),
        (Plane, "planing", "pass", Milling, Helper, 40, 0, 20),
        (Rip, "ripping", "rip", Milling, Helper, 75, 0, 25),
        (Chamfer, "chamfering", "pass", Milling, Helper, 25, 0, 150),
        (Sort, "sorting", "strip", Milling, Helper, 20, 0, 0),
        (GlueUp, "glue-up", "panel", Panels, Maker, 2000, 70, 100),
        (Trim, "trimming", "panel", Panels, Maker, 500, 20, 50),
        (Rabbet, "rabbets", "end", Panels, Maker, 200, 30, 200),
        (Sand, "sanding", "slat ft", Finishing, Helper, 15, 0, 0),
        (Finish, "finishing", "sq ft coat", Finishing, Maker, 200, 0, 100),
        (Hang, "hanging", "door", Hanging, Maker, 3000, 0, 0),
    ]
};

/// Operations that a metric shop counts by another unit: its word, and hundredths of a minute a unit.
const METRIC: [(Operation, &str, u16); 4] = [
    (Operation::Wash, "metre", 650),
    (Operation::PanelEdge, "metre", 650),
    (Operation::Sand, "slat m", 50),
    (Operation::Finish, "sq m coat", 2200),
];

impl Operation {
    fn metric(self, units: Units) -> Option<&'static (Self, &'static str, u16)> {
        METRIC.iter().find(|row| units == Units::Millimetre && row.0 == self)
    }

    /// All of them, in the order of work.
    pub fn all() -> impl Iterator<Item = Self> {
        USUAL.iter().map(|usual| usual.0)
    }

    const fn usual(self) -> &'static Usual {
        &USUAL[self as usize]
    }

    /// The word used in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        self.usual().1
    }

    /// What its minutes are counted by in a job of these units.
    ///
    /// ```
    /// use slatwright::{job::Operation, measure::Units};
    /// assert_eq!([Units::Inch, Units::Millimetre].map(|units| Operation::Wash.unit(units)), ["yard", "metre"]);
    /// assert_eq!([Units::Inch, Units::Millimetre].map(|units| Operation::Rip.unit(units)), ["rip", "rip"]);
    /// ```
    #[must_use]
    pub fn unit(self, units: Units) -> &'static str {
        self.metric(units).map_or(self.usual().2, |row| row.1)
    }

    /// The stage of the work it belongs to.
    #[must_use]
    pub const fn stage(self) -> WorkStage {
        self.usual().3
    }

    /// Who does it in a shop that says nothing.
    #[must_use]
    pub const fn usual_person(self) -> Person {
        self.usual().4
    }

    /// Minutes a unit in a shop that says nothing: an assumption from memory.
    #[must_use]
    pub fn usual_minutes(self, units: Units) -> Decimal {
        Decimal::new(self.metric(units).map_or(self.usual().5, |row| row.2).into(), 2).normalize()
    }

    /// Minutes a setting in a shop that says nothing: an assumption from memory.
    #[must_use]
    pub fn usual_setup(self) -> Decimal {
        Decimal::new(self.usual().7.into(), 1).normalize()
    }

    /// Minutes a slat in a shop that says nothing: an assumption from memory.
    #[must_use]
    pub fn usual_slat_minutes(self) -> Decimal {
        Decimal::new(self.usual().6.into(), 2).normalize()
    }
}

/// Stages of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "`word` names each")]
pub enum WorkStage {
    Preparing,
    Case,
    Milling,
    Panels,
    Finishing,
    Hanging,
    Other,
}

impl WorkStage {
    /// The word on a sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Preparing => "preparing",
            Self::Case => "case",
            Self::Milling => "milling",
            Self::Panels => "panels",
            Self::Finishing => "finishing",
            Self::Hanging => "hanging",
            Self::Other => "other",
        }
    }
}

/// A consumable bought by count: so many for each door, board, strip, cabinet, or for the job.
#[derive(Debug, Clone, PartialEq)]
pub struct CountedConsumable {
    /// What it is.
    pub name: String,
    /// Price of one unit.
    pub price: Price,
    /// The unit's word.
    pub unit: String,
    /// Units for each.
    pub quantity: Decimal,
    /// For each what.
    pub per: LabourBasis,
    /// True when only whole units can be bought.
    pub whole_units: bool,
}

/// What the shop earns: one or the other, never both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Gain {
    /// Nothing on top.
    #[default]
    None,
    /// A share of the cost, added to it.
    Markup(Decimal),
    /// A share of the price: the price is the cost over (1 - margin).
    Margin(Ratio),
}

/// Which lines tax falls on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TaxOn {
    /// Boards, cloth, consumables and the extra lines marked `taxed`, at cost.
    #[default]
    Materials,
    /// The price after discount, without what the extra lines not marked `taxed` come to in it.
    Price,
}

/// One payment.
#[derive(Debug, Clone, PartialEq)]
pub struct PayStage {
    /// What it is called.
    pub name: String,
    /// When it falls due.
    pub due: String,
    /// Share of the price.
    pub share: Ratio,
}

/// What the client reads beside the price.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Terms {
    /// Days that the offer stands; `None` leaves it out.
    pub valid_days: Option<u32>,
    /// Lead time in words.
    pub lead_time: Option<String>,
    /// What is not in the price.
    pub exclusions: Vec<String>,
    /// What an hour of changed work costs the client.
    pub change_rate: Option<Price>,
}

/// Hours there are for the job, and how glue-up is paced.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HoursThereAre {
    /// The maker's.
    pub maker: Option<Decimal>,
    /// The helper's.
    pub helper: Option<Decimal>,
    /// Hours a panel stays in its form.
    pub in_form: Decimal,
}

/// Hours a panel stays in its form when the shop says nothing: from memory; makers of white and yellow glue
/// name a clamp time of half an hour to an hour and a half for a free joint.
const IN_FORM: u32 = 2;

impl Default for HoursThereAre {
    fn default() -> Self {
        Self { maker: None, helper: None, in_form: Decimal::from(IN_FORM) }
    }
}

/// A case of which only the inside sizes are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rough {
    /// Its clear inside sizes.
    pub inside: InsideSize,
    /// `left`, `right`, `pair` or `up`.
    pub doors: &'static str,
    /// How many are built.
    pub count: u32,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_operation_finds_its_own_row() {
        for operation in Operation::all() {
            assert_eq!(operation.usual().0, operation);
        }
        let words: std::collections::BTreeSet<_> = Operation::all().map(Operation::word).collect();
        assert_eq!(words.len(), USUAL.len());
    }
}
