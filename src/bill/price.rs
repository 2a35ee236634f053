//! From cost to price: overhead, contingency, markup or margin, discount, tax.

use rust_decimal::Decimal;

use super::{BillError, CostLine, cents, priced, sum};
use crate::job::{Gain, Job, TaxOn};
use crate::measure::Cents;

/// The lines after the costs. `materials` is what is taxed at cost, `untaxed` the extra lines that never are.
pub(super) fn share_lines(
    job: &Job,
    costs: &[CostLine],
    materials: Cents,
    untaxed: Cents,
) -> Result<Vec<CostLine>, BillError> {
    let pricing = &job.shop.pricing;
    let mut lines = Vec::new();
    let worked = sum(costs)?;
    lines.extend(share_line("overhead", job.shop.overhead.decimal(), worked)?);
    let burdened = add(worked, &lines)?;
    lines.extend(share_line("contingency", pricing.contingency.decimal(), burdened)?);
    let cost = add(worked, &lines)?;
    lines.extend(gain_line(pricing.gain, cost)?);
    let price = add(worked, &lines)?;
    lines.extend(share_line("discount", pricing.discount.decimal(), Cents::ZERO - price)?);
    let taxed = match pricing.tax_on {
        TaxOn::Materials => materials,
        TaxOn::Price => (add(worked, &lines)? - untaxed).max(Cents::ZERO),
    };
    lines.extend(share_line("tax", job.shop.tax.decimal(), taxed)?);
    Ok(lines)
}

fn add(base: Cents, lines: &[CostLine]) -> Result<Cents, BillError> {
    let more = sum(lines)?;
    let total = base.get().checked_add(more.get()).map(Cents::new);
    total.ok_or_else(|| BillError::TooLarge { line: lines.last().map_or_else(String::new, |line| line.item.clone()) })
}

/// A share of an amount as a line that multiplies out: so many per cent, each worth a hundredth of
/// the amount. `None` for no share at all.
fn share_line(group: &str, share: Decimal, of: Cents) -> Result<Option<CostLine>, BillError> {
    if share.is_zero() {
        return Ok(None);
    }
    let percent = (share * Decimal::ONE_HUNDRED).normalize();
    let one_percent = Decimal::new(of.get(), 4).normalize();
    priced(group, group, percent, "%", one_percent).map(Some)
}

fn gain_line(gain: Gain, cost: Cents) -> Result<Option<CostLine>, BillError> {
    match gain {
        Gain::None => Ok(None),
        Gain::Markup(share) => share_line("markup", share, cost),
        Gain::Margin(share) => {
            let price = cents("margin", price_at_margin(cost.decimal(), share.decimal()))?;
            share_line("margin", share.decimal(), price)
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
