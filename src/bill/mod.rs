//! The bill: boards, cloth, consumables, extra lines and labour, to a total.
//!
//! Every cost line multiplies out: quantity times unit price, rounded once to the cent, is its cost.
//! The lines sum to the total, which holds nothing else.

mod cased;
mod lumber;
mod materials;
mod operations;
mod price;
mod quote;
mod shares;
mod work;

use std::ops::Range;

use rust_decimal::Decimal;
use thiserror::Error;

pub use cased::{Cased, PanelLumber};
pub use materials::quantity_words;
pub use price::{margin_of_markup, markup_of_margin, price_at_margin};
pub use quote::{MakerPart, OfferHead, Payment, PersonHours, Quote, QuoteItem, Verdict, headed_quote, quote};

use crate::demand::Demand;
use crate::doors::Door;
use crate::job::{Job, OperationRule};
use crate::measure::{Cents, Length, Price, Volume};
use crate::packing::boards::BoardPlan;
use crate::packing::cloth::ClothPlan;

/// Places of a quantity that is no whole number.
const PLACES: u32 = 4;

/// Why no bill can be drawn up.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BillError {
    /// A line, or the sum at that line, runs past what is ever billed.
    #[error("`{line}` costs more than can be added up")]
    TooLarge {
        /// The line.
        line: String,
    },
    /// A consumable that covers nothing.
    #[error("`{name}` must cover some square feet per unit")]
    Coverage {
        /// The consumable.
        name: String,
    },
    /// A plan cut from another job's boards.
    #[error("the plan cuts board row {index}, which the job does not have")]
    UnknownStock {
        /// Index into the job's boards.
        index: usize,
    },
}

/// Draws up the bill of a planned job.
///
/// Lines come in the order boards, what random widths take beyond them, the rack at its worth, sheets of the cases, lumber of
/// their solid panels, cloth, consumables
/// (spread, then counted), extra lines, plain labour, operations, burden, overhead by the hour and by the share,
/// contingency, markup or margin, discount, tax at cost, least charge, rounding, tax on the price. The burden is a share
/// of the shop's wages. Overhead by the share is of all direct costs, burden included; contingency of those and overhead.
/// A markup is a share of the cost, a margin of the price; a group with a gain of its own has it on its lines, the rest
/// of the cost has the general one. Tax falls at cost on boards bought, cloth, consumables and the extra lines marked
/// `taxed`, or on the price without what the other extra lines come to in it. Boards are priced whole, at the planning
/// size; stock on hand costs what its row says and is not shopped for; of an allowance for random widths what a mixed
/// delivery takes is priced, and the most that may come out is stated on the shopping list.
///
/// # Errors
/// [`BillError`] when an amount runs out of range, a consumable covers nothing, or the plan is for
/// other boards than the job's.
pub fn draw_up(
    job: &Job,
    doors: &[Door],
    demand: &Demand,
    boards: &BoardPlan,
    cloth: &ClothPlan,
    cased: &Cased,
) -> Result<Bill, BillError> {
    let lines = lumber::board_lines(job, boards)?;
    let counts = work::Counts { job, doors, demand, boards };
    let contents = operations::Contents { job, doors, demand, boards, cloth, cased };
    let mut consumables = materials::consumable_costs(job, doors)?;
    consumables.extend(materials::counted_costs(job, &counts)?);
    let extra = materials::extra_costs(job)?;

    let mut buy = lumber::lumber_to_buy(job, boards, &lines)?;
    buy.extend(cased::panels_to_buy(job, cased)?);
    buy.extend(materials::cloth_to_buy(job, cloth));
    buy.extend(materials::sundries_to_buy(job, &consumables, &extra));

    let extra_where =
        |taxed| job.lines.iter().zip(&extra).filter(move |(line, _)| line.taxed == taxed).map(|(_, cost)| cost);
    let mut costs = lumber::board_costs(job, &lines)?;
    costs.extend(lumber::allowance_costs(job, boards, &lines)?);
    let rack = lumber::rack_costs(job, &lines)?;
    let bought = costs.len();
    costs.extend(rack.iter().cloned());
    costs.extend(cased::sheet_costs(job, cased)?);
    costs.extend(cased::panel_costs(job, cased)?);
    costs.extend(materials::cloth_costs(job, cloth));
    costs.extend(consumables);
    let not_bought = bought..bought + rack.len();
    let at_cost = costs.iter().enumerate().filter(|(at, _)| !not_bought.contains(at)).map(|(_, line)| line);
    let materials = sum(at_cost.chain(extra_where(true)))?;
    let untaxed: Vec<CostLine> = extra_where(false).cloned().collect();
    let first = costs.len();
    costs.extend(extra);
    let extra = first..costs.len();
    let labour = costs.len();
    costs.extend(work::labour_costs(&counts)?);
    let work = operations::work_lines(&contents)?;
    costs.extend(operations::work_costs(&work)?);
    let direct =
        price::Direct { costs: &costs, materials, untaxed: untaxed.iter().collect(), labour: &costs[labour..] };
    let upper = price::share_lines(job, &direct)?;
    costs.extend(upper);
    let total = sum(&costs)?;
    let mut bill = Bill { boards: lines, buy, costs, extra, work, shares: Vec::new(), total };
    bill.shares = shares::share_out(&contents, &bill)?;
    Ok(bill)
}

/// A cost line: the one place where quantity times unit price becomes cents.
fn priced(group: &str, item: &str, quantity: Decimal, unit: &str, unit_price: Decimal) -> Result<CostLine, BillError> {
    Ok(CostLine {
        group: group.to_owned(),
        item: item.to_owned(),
        quantity,
        unit: unit.to_owned(),
        unit_price,
        cost: cents(item, quantity.checked_mul(unit_price))?,
    })
}

/// An amount to the cent, halves away from zero.
fn cents(line: &str, amount: Option<Decimal>) -> Result<Cents, BillError> {
    amount.and_then(Cents::nearest).ok_or_else(|| BillError::TooLarge { line: line.to_owned() })
}

fn sum<'a>(lines: impl IntoIterator<Item = &'a CostLine>) -> Result<Cents, BillError> {
    lines.into_iter().try_fold(Cents::ZERO, |total, line| {
        let total = total.get().checked_add(line.cost.get()).map(Cents::new);
        total.ok_or_else(|| BillError::TooLarge { line: line.item.clone() })
    })
}

/// Everything the job costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// Boards used, by stock name.
    pub boards: Vec<BoardLine>,
    /// The shopping list.
    pub buy: Vec<BuyLine>,
    /// Every cost line; they sum to `total`.
    pub costs: Vec<CostLine>,
    /// Which of `costs` are the job's extra lines, in the job's order.
    pub extra: Range<usize>,
    /// Labour by operation, in the order of work.
    pub work: Vec<WorkLine>,
    /// What each door, loose piece and the job itself costs; their totals sum to `total`.
    pub shares: Vec<Share>,
    /// The sum of all cost lines.
    pub total: Cents,
}

/// One operation that occurs.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkLine {
    /// The operation, who does it, its minutes and its rate.
    pub rule: OperationRule,
    /// How often it is set.
    pub settings: u64,
    /// How many units there are.
    pub quantity: Decimal,
    /// How many slats the panels have, where they drive it; zero elsewhere.
    pub slats: u64,
    /// Minutes altogether: settings, units and slats.
    pub minutes: Decimal,
    /// The same in hours, to four places.
    pub hours: Decimal,
}

/// What one door (all its copies), one loose piece or the job itself costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Share {
    /// `door`, `strip`, `cloth piece` or `job`.
    pub what: &'static str,
    /// Its name.
    pub name: String,
    /// Index of its cabinet, for a door.
    pub cabinet: Option<usize>,
    /// How many are made.
    pub count: u32,
    /// Of the boards; for a door of its case's sheets and panels too.
    pub boards: Cents,
    /// Of the cloth.
    pub cloth: Cents,
    /// Of the consumables.
    pub consumables: Cents,
    /// Of the extra lines.
    pub lines: Cents,
    /// Of the labour.
    pub labour: Cents,
    /// Of everything from overhead to tax.
    pub added: Cents,
}

impl Share {
    fn none(what: &'static str, name: &str, cabinet: Option<usize>, count: u32) -> Self {
        let zero = Cents::ZERO;
        let (boards, cloth, consumables, lines, labour, added) = (zero, zero, zero, zero, zero, zero);
        Self { what, name: name.to_owned(), cabinet, count, boards, cloth, consumables, lines, labour, added }
    }

    /// All of it.
    #[must_use]
    pub fn total(&self) -> Cents {
        self.boards + self.cloth + self.consumables + self.lines + self.labour + self.added
    }
}

/// Boards of one kind that the plan uses.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardLine {
    /// Index into the job's boards.
    pub stock: usize,
    /// Boards used.
    pub boards: u32,
    /// Charged volume of all of them.
    pub volume: Volume,
    /// Price of all of them.
    pub cost: Cents,
}

/// One line of the shopping list.
#[derive(Debug, Clone, PartialEq)]
pub struct BuyLine {
    /// `lumber`, `sheet`, `panel lumber`, `cloth`, `consumable` or `line`.
    pub what: &'static str,
    /// As it is said at the counter.
    pub item: String,
    /// Least width, where it matters.
    pub at_least_width: Option<Length>,
    /// Least length, where it matters.
    pub at_least_length: Option<Length>,
    /// How many units, up to four places.
    pub quantity: Decimal,
    /// The unit's word.
    pub unit: String,
    /// Price of one unit.
    pub price: Price,
    /// Price of the line.
    pub cost: Cents,
    /// Board feet to ask for beyond the planning size where widths are random, the most that may come out; zero
    /// elsewhere. It is not part of quantity, price or cost.
    pub allowance: Decimal,
    /// The sentence for a person, with minimum sizes and substitutes.
    pub say: String,
}

/// One cost line.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// `boards`, `rack`, `sheets`, `panels`, `cloth`, `consumables`, `labour`, an extra line's own group, `burden`, `overhead`,
    /// `contingency`, `markup`, `margin`, `discount`, `least charge`, `rounding`, `tax`.
    pub group: String,
    /// What it is.
    pub item: String,
    /// How many units, up to four places.
    pub quantity: Decimal,
    /// The unit's word.
    pub unit: String,
    /// Price of one unit, up to four places.
    pub unit_price: Decimal,
    /// Price of the line, rounded to the cent.
    pub cost: Cents,
}
