//! What a job earned: quoted and spent in money, by group of cost.
//!
//! Spent is what the file of actuals says, at the quote's own rates: hours at the rate of their operation (the maker's,
//! where none was quoted), boards and cloth at the price of one more or one less. A row `cost` says money itself, for a
//! group of the quote or for something nobody thought of. What the file is silent about was spent as quoted; contingency,
//! gain, discount, a least charge and rounding are never spent, so the last column adds up to what was earned.

use itertools::Itertools;
use rust_decimal::Decimal;

use super::actuals::{ActualsError, Figures, quoted, read};
use super::cell::Cell;
use super::sheets::Sheet;
use crate::job::{Job, Person};
use crate::measure::Cents;
use crate::plan::{Plan, board_problem};

/// Groups of the quote that nobody is paid.
const NOT_SPENT: [&str; 6] = ["contingency", "markup", "margin", "discount", "least charge", "rounding"];

/// A group's line: what was quoted and spent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Earned {
    /// The group of `costs.csv`, or what was not quoted.
    pub group: String,
    /// What the price holds for it.
    pub quoted: Cents,
    /// What it came to.
    pub spent: Cents,
}

impl Earned {
    /// What is left of it.
    #[must_use]
    pub fn left(&self) -> Cents {
        self.quoted - self.spent
    }
}

/// Quoted and spent by group, in the order of the costs; what was not quoted comes last. The quoted amounts sum to the
/// price.
///
/// # Errors
/// [`ActualsError`] with the line of the file that is wrong.
pub fn earned(job: &Job, plan: &Plan, text: &str) -> Result<Vec<Earned>, ActualsError> {
    let happened = read(text.trim_start_matches('\u{feff}'))?;
    let mut groups: Vec<Earned> = Vec::new();
    for line in &plan.bill.costs {
        match groups.iter_mut().find(|known| known.group == line.group) {
            Some(known) => known.quoted += line.cost,
            None => groups.push(Earned { group: line.group.clone(), quoted: line.cost, spent: Cents::ZERO }),
        }
    }
    let labour = groups.iter().find(|group| group.group == "labour").map_or(Cents::ZERO, |group| group.quoted);
    let more = |what| more_of(job, plan, (&happened, what));
    let more_labour = more("hours")?;
    for group in &mut groups {
        let more = match group.group.as_str() {
            "labour" => more_labour,
            "boards" => more("boards")?,
            "cloth" => more("yards")?,
            // It follows the wages.
            "burden" => in_proportion(group.quoted, more_labour, labour)?,
            _ => Cents::ZERO,
        };
        group.spent = if NOT_SPENT.contains(&group.group.as_str()) { Cents::ZERO } else { group.quoted + more };
    }
    for ((_, item), amount) in happened.iter().filter(|((what, _), _)| *what == "cost") {
        let spent = money(*amount)?;
        match groups.iter_mut().find(|group| group.group == *item) {
            Some(group) => group.spent = spent,
            None => groups.push(Earned { group: item.clone(), quoted: Cents::ZERO, spent }),
        }
    }
    Ok(groups)
}

/// `earned.csv`.
#[must_use]
pub fn sheet(groups: &[Earned]) -> Sheet {
    let row = |group: &Earned| {
        vec![Cell::text(&group.group), Cell::Money(group.quoted), Cell::Money(group.spent), Cell::Money(group.left())]
    };
    Sheet::new("earned", &["group", "quoted", "spent", "earned"], groups.iter().map(row).collect())
}

/// What the hours, boards or yards that are in the file came to beyond those quoted.
fn more_of(job: &Job, plan: &Plan, (happened, what): (&Figures, &str)) -> Result<Cents, ActualsError> {
    let quoted = quoted(job, plan);
    let mut more = Decimal::ZERO;
    for (key, is) in happened.iter().filter(|(key, _)| key.0 == what) {
        let was = quoted.get(key).copied().unwrap_or_default();
        let one = price_of_one(job, plan, (what, &key.1));
        more += (*is - was).checked_mul(one).ok_or(ActualsError::TooLarge)?;
    }
    money(more)
}

/// What an hour, a board or a yard costs.
fn price_of_one(job: &Job, plan: &Plan, (what, item): (&str, &str)) -> Decimal {
    let operations = &job.shop.pricing.operations;
    match what {
        "hours" => {
            let labour = plan.bill.costs.iter().find(|line| line.group == "labour" && line.item == item);
            let rule = operations.iter().find(|rule| rule.operation.word() == item);
            let makers = || operations.iter().filter(|rule| rule.person == Person::Maker).map(|rule| rule.rate).max();
            let rate = labour.map(|line| line.unit_price).or_else(|| rule.map(|rule| rule.rate.decimal()));
            rate.or_else(|| makers().map(crate::measure::Price::decimal)).unwrap_or_default()
        }
        "boards" => {
            let stock = &board_problem(job, &plan.demand).stock;
            let priced = job.boards.iter().zip(stock).find(|(row, _)| row.stock == item);
            priced.map_or(Decimal::ZERO, |(_, kind)| kind.cost.decimal())
        }
        _ => {
            let bolt = plan.bill.costs.iter().find(|line| line.group == "cloth" && line.item == item);
            // The price is for a yard or a metre; the file speaks of yards.
            let per_yard =
                |price: Decimal, unit: &str| if unit == "metre" { price * Decimal::new(9144, 4) } else { price };
            bolt.map_or(Decimal::ZERO, |line| per_yard(line.unit_price, &line.unit))
        }
    }
}

fn in_proportion(whole: Cents, part: Cents, of: Cents) -> Result<Cents, ActualsError> {
    if of == Cents::ZERO {
        return Ok(Cents::ZERO);
    }
    money(whole.decimal() * part.decimal() / of.decimal())
}

fn money(amount: Decimal) -> Result<Cents, ActualsError> {
    Cents::nearest(amount).ok_or(ActualsError::TooLarge)
}

/// All that was quoted and all that was spent.
#[must_use]
pub fn sums(groups: &[Earned]) -> (Cents, Cents) {
    groups
        .iter()
        .map(|group| (group.quoted, group.spent))
        .fold((Cents::ZERO, Cents::ZERO), |(a, b), (c, d)| (a + c, b + d))
}

/// What the price holds that nobody is paid: the gain as quoted.
#[must_use]
pub fn not_spent(groups: &[Earned]) -> Cents {
    groups.iter().filter(|group| NOT_SPENT.contains(&group.group.as_str())).map(|group| group.quoted).sum()
}

/// The largest losses first, in words: `labour 120.00 over`.
#[must_use]
pub fn losses(groups: &[Earned], currency: &str) -> Vec<String> {
    let over = groups.iter().filter(|group| group.left() < Cents::ZERO).sorted_by_key(|group| group.left());
    over.map(|group| format!("{} {} over", group.group, (group.spent - group.quoted).marked(currency))).collect()
}
