//! From cost to price: overhead, contingency, markup or margin, discount, tax.

use rust_decimal::Decimal;

use super::{BillError, CostLine, cents, priced, sum};
use crate::job::{Gain, Job, TaxOn};
use crate::measure::Cents;

/// What the lines after the costs are taken from.
pub(super) struct Direct<'a> {
    /// Every cost line.
    pub(super) costs: &'a [CostLine],
    /// What is taxed at cost.
    pub(super) materials: Cents,
    /// The extra lines that no tax falls on.
    pub(super) untaxed: Vec<&'a CostLine>,
    /// The shop's labour: lines of hours times a wage.
    pub(super) labour: &'a [CostLine],
}

/// The lines after the costs, in their order.
pub(super) fn share_lines(job: &Job, direct: &Direct<'_>) -> Result<Vec<CostLine>, BillError> {
    let pricing = &job.shop.pricing;
    let worked = sum(direct.costs)?;
    let mut lines = Vec::new();
    lines.extend(share_line("burden", "burden on wages", pricing.burden.decimal(), sum(direct.labour)?)?);
    let direct_cost = add(worked, &lines)?;
    lines.extend(overhead_hours(job, direct.labour)?);
    lines.extend(share_line("overhead", "overhead", job.shop.overhead.decimal(), direct_cost)?);
    let burdened = add(worked, &lines)?;
    lines.extend(share_line("contingency", "contingency", pricing.contingency.decimal(), burdened)?);
    let cost = add(worked, &lines)?;
    let gains = gain_lines(job, direct.costs, cost)?;
    lines.extend(gains.iter().cloned());
    let price = add(worked, &lines)?;
    lines.extend(share_line("discount", "discount", pricing.discount.decimal(), Cents::ZERO - price)?);
    let taxes = job.shop.taxes();
    for tax in taxes.iter().filter(|tax| tax.on == TaxOn::Materials) {
        lines.extend(share_line("tax", &tax.name, tax.rate.decimal(), direct.materials)?);
    }
    let so_far = add(worked, &lines)?;
    if so_far < pricing.least_charge {
        lines.push(step_line("least charge", pricing.least_charge - so_far)?);
    }
    let so_far = add(worked, &lines)?;
    let step = pricing.round_to.get();
    if step > 0 && so_far.get().rem_euclid(step) != 0 {
        lines.push(step_line("rounding", Cents::new(step - so_far.get().rem_euclid(step)))?);
    }
    let stated = add(worked, &lines)?;
    let amounts = Amounts { direct: direct_cost, cost, price };
    let exempt = untaxed_price(job, direct, &gains, &amounts, stated)?;
    for tax in taxes.iter().filter(|tax| tax.on == TaxOn::Price) {
        lines.extend(share_line("tax", &tax.name, tax.rate.decimal(), (stated - exempt).max(Cents::ZERO))?);
    }
    Ok(lines)
}

/// The sums on the way from cost to price.
struct Amounts {
    /// Costs with the burden on wages.
    direct: Cents,
    /// With overhead and contingency.
    cost: Cents,
    /// With the gain.
    price: Cents,
}

/// What the untaxed lines come to in a price: their cost, their share of overhead and contingency by cost, and the gain
/// on both; discount and rounding fall on all alike.
fn untaxed_price(
    job: &Job,
    direct: &Direct<'_>,
    gains: &[CostLine],
    amounts: &Amounts,
    stated: Cents,
) -> Result<Cents, BillError> {
    if direct.untaxed.is_empty() || amounts.direct == Cents::ZERO || amounts.price == Cents::ZERO {
        return Ok(Cents::ZERO);
    }
    let cost_of =
        |lines: &mut dyn Iterator<Item = &CostLine>| -> Decimal { lines.map(|line| line.cost.decimal()).sum() };
    let untaxed = cost_of(&mut direct.untaxed.iter().copied());
    let spread = (amounts.cost - amounts.direct).decimal() / amounts.direct.decimal() * untaxed;
    let mut inside = untaxed + spread;
    let (mut own, mut own_untaxed) = (Decimal::ZERO, Decimal::ZERO);
    for (group, _) in &job.shop.pricing.group_gains {
        let all = cost_of(&mut direct.costs.iter().filter(|line| line.group == *group));
        let part = cost_of(&mut direct.untaxed.iter().copied().filter(|line| line.group == *group));
        let gain = cost_of(&mut gains.iter().filter(|line| line.item == gain_on(group)));
        own += all;
        own_untaxed += part;
        inside += gain * part.checked_div(all).unwrap_or_default();
    }
    let general = cost_of(&mut gains.iter().filter(|line| line.item == line.group));
    let rest = amounts.cost.decimal() - own;
    inside += general * (untaxed - own_untaxed + spread).checked_div(rest).unwrap_or_default();
    let share = inside.checked_div(amounts.price.decimal()).and_then(|share| share.checked_mul(stated.decimal()));
    cents("tax", share)
}

/// Overhead by the hour of labour.
fn overhead_hours(job: &Job, labour: &[CostLine]) -> Result<Option<CostLine>, BillError> {
    let rate = job.shop.pricing.overhead_hour.decimal();
    let hours: Decimal = labour.iter().map(|line| line.quantity).sum();
    if rate.is_zero() || hours.is_zero() {
        return Ok(None);
    }
    priced("overhead", "overhead by the hour", hours.normalize(), "hour", rate).map(Some)
}

/// An amount that no share gives.
fn step_line(group: &str, amount: Cents) -> Result<CostLine, BillError> {
    priced(group, group, Decimal::ONE, "job", amount.decimal())
}

fn add(base: Cents, lines: &[CostLine]) -> Result<Cents, BillError> {
    let more = sum(lines)?;
    let total = base.get().checked_add(more.get()).map(Cents::new);
    total.ok_or_else(|| BillError::TooLarge { line: lines.last().map_or_else(String::new, |line| line.item.clone()) })
}

/// A share of an amount as a line that multiplies out: so many per cent, each worth a hundredth of
/// the amount. `None` for no share at all.
fn share_line(group: &str, item: &str, share: Decimal, of: Cents) -> Result<Option<CostLine>, BillError> {
    if share.is_zero() {
        return Ok(None);
    }
    let percent = (share * Decimal::ONE_HUNDRED).normalize();
    let one_percent = Decimal::new(of.get(), 4).normalize();
    priced(group, item, percent, "%", one_percent).map(Some)
}

/// The item of a group's own gain.
fn gain_on(group: &str) -> String {
    format!("on {group}")
}

/// The gain on every group that has its own, and on the rest of the cost.
fn gain_lines(job: &Job, costs: &[CostLine], cost: Cents) -> Result<Vec<CostLine>, BillError> {
    let pricing = &job.shop.pricing;
    let mut rest = cost;
    let mut own = Vec::new();
    for (group, gain) in &pricing.group_gains {
        let of = sum(costs.iter().filter(|line| line.group == *group))?;
        rest = rest - of;
        // No line for a group that this job has nothing of.
        if of == Cents::ZERO {
            continue;
        }
        own.extend(gain_line(*gain, Some(&gain_on(group)), of)?);
    }
    Ok(gain_line(pricing.gain, None, rest)?.into_iter().chain(own).collect())
}

fn gain_line(gain: Gain, item: Option<&str>, cost: Cents) -> Result<Option<CostLine>, BillError> {
    match gain {
        Gain::None => Ok(None),
        Gain::Markup(share) => share_line("markup", item.unwrap_or("markup"), share, cost),
        Gain::Margin(share) => {
            let price = cents("margin", price_at_margin(cost.decimal(), share.decimal()))?;
            share_line("margin", item.unwrap_or("margin"), share.decimal(), price)
        }
    }
}

/// The price of which a margin is left over a cost: cost / (1 - margin). `None` for a margin of one or more.
#[must_use]
pub fn price_at_margin(cost: Decimal, margin: Decimal) -> Option<Decimal> {
    let rest = Decimal::ONE - margin;
    if rest.is_sign_positive() && !rest.is_zero() { cost.checked_div(rest) } else { None }
}

/// The margin that a markup leaves: markup / (1 + markup).
///
/// ```
/// use rust_decimal::Decimal;
/// use slatwright::bill::{margin_of_markup, markup_of_margin};
/// assert_eq!(margin_of_markup(Decimal::new(25, 2)), Decimal::new(2, 1));
/// assert_eq!(markup_of_margin(Decimal::new(2, 1)), Some(Decimal::new(25, 2)));
/// ```
#[must_use]
pub fn margin_of_markup(markup: Decimal) -> Decimal {
    (markup / (Decimal::ONE + markup)).normalize()
}

/// The markup that leaves a margin: margin / (1 - margin). `None` for a margin of one or more.
#[must_use]
pub fn markup_of_margin(margin: Decimal) -> Option<Decimal> {
    price_at_margin(margin, margin).map(|markup| markup.normalize())
}
