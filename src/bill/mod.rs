//! The bill: boards, cloth, consumables, extra lines and labour, to a total.

use rust_decimal::Decimal;

use crate::measure::{Cents, Length, Price, Volume};

/// Everything the job costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// Boards used, by stock name.
    pub boards: Vec<BoardLine>,
    /// The shopping list.
    pub buy: Vec<BuyLine>,
    /// Every cost line; they sum to `total`.
    pub costs: Vec<CostLine>,
    /// The sum of all cost lines.
    pub total: Cents,
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
    /// `lumber`, `cloth`, `consumable` or `line`.
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
    /// The sentence for a person, with minimum sizes and substitutes.
    pub say: String,
}

/// One cost line.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// `boards`, `cloth`, `consumables`, `labour`, an extra line's own group, `overhead`, `tax`.
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
