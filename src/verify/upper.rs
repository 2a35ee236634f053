//! From cost to price, worked out again: burden, overhead, contingency, gains, discount, least charge, rounding, taxes.

use rust_decimal::Decimal;

use super::Claim;
use super::bill::{Expected, line, share, to_cents, total};
use crate::job::{Gain, TaxOn};

/// The lines after the costs. `labour` are the shop's own hours among `lines`.
pub(super) fn lines(claim: &Claim<'_>, lines: &[Expected], labour: std::ops::Range<usize>) -> Vec<Expected> {
    let (shop, pricing) = (&claim.job.shop, &claim.job.shop.pricing);
    let mut upper: Vec<Expected> = Vec::new();
    let worked = total(lines.iter());
    let hours = &lines[labour];
    upper.extend(share("burden", "burden on wages", pricing.burden.decimal(), total(hours.iter())));
    let direct = plus(worked, &upper);
    let all_hours = hours.iter().fold(Decimal::ZERO, |sum, line| sum.saturating_add(line.quantity));
    if pricing.overhead_hour.decimal() > Decimal::ZERO && all_hours > Decimal::ZERO {
        upper.push(line("overhead", "overhead by the hour", all_hours, pricing.overhead_hour.decimal(), false));
    }
    upper.extend(share("overhead", "overhead", shop.overhead.decimal(), direct));
    upper.extend(share("contingency", "contingency", pricing.contingency.decimal(), plus(worked, &upper)));
    let cost = plus(worked, &upper);
    let in_group = |group: &str| total(lines.iter().filter(|line| line.group == group));
    let grouped = pricing.group_gains.iter().fold(Decimal::ZERO, |sum, (group, _)| sum.saturating_add(in_group(group)));
    let rest = cost.saturating_sub(grouped);
    let general = gain(pricing.gain, None, rest);
    let own: Vec<Option<Expected>> = pricing
        .group_gains
        .iter()
        .map(|(group, own)| match in_group(group) {
            none if none.is_zero() => None,
            cost => gain(*own, Some(group), cost),
        })
        .collect();
    let amount = |line: &Option<Expected>| line.as_ref().map_or(Decimal::ZERO, |line| line.cost);
    // What the untaxed lines come to, as a share of the price before the discount.
    let untaxed = |line: &&Expected| line.extra && !line.taxed;
    let exempt = total(lines.iter().filter(untaxed));
    let spread = cost.saturating_sub(direct).checked_div(direct).unwrap_or_default().saturating_mul(exempt);
    let mut inside = exempt.saturating_add(spread);
    let mut exempt_rest = inside;
    for ((group, _), own) in pricing.group_gains.iter().zip(&own) {
        let part = total(lines.iter().filter(untaxed).filter(|line| line.group == *group));
        exempt_rest = exempt_rest.saturating_sub(part);
        let of_group = part.checked_div(in_group(group)).unwrap_or_default();
        inside = inside.saturating_add(of_group.saturating_mul(amount(own)));
    }
    let of_rest = exempt_rest.checked_div(rest).unwrap_or_default();
    inside = inside.saturating_add(of_rest.saturating_mul(amount(&general)));
    upper.extend(general);
    upper.extend(own.into_iter().flatten());
    let price = plus(worked, &upper);
    let inside = inside.checked_div(price).unwrap_or_default();
    upper.extend(share("discount", "discount", pricing.discount.decimal(), -price));
    taxes_and_steps(claim, lines, worked, inside, &mut upper);
    upper
}

/// Taxes at cost, then what lifts the price, then taxes on it; `inside` is the share of the price that these leave out.
fn taxes_and_steps(claim: &Claim<'_>, lines: &[Expected], worked: Decimal, inside: Decimal, upper: &mut Vec<Expected>) {
    let (shop, pricing) = (&claim.job.shop, &claim.job.shop.pricing);
    let first = pricing.tax_name.as_deref().unwrap_or("tax");
    let second = pricing.second_tax.iter().map(|tax| (tax.name.as_str(), tax.rate, tax.on));
    let taxes: Vec<_> = std::iter::once((first, shop.tax, pricing.tax_on)).chain(second).collect();
    let materials = total(lines.iter().filter(|line| line.taxed));
    for (name, rate, _) in taxes.iter().filter(|tax| tax.2 == TaxOn::Materials) {
        upper.extend(share("tax", name, rate.decimal(), materials));
    }
    let short = pricing.least_charge.decimal().saturating_sub(plus(worked, upper));
    if short > Decimal::ZERO {
        upper.push(line("least charge", "least charge", Decimal::ONE, short, false));
    }
    let step = pricing.round_to.decimal();
    if step > Decimal::ZERO {
        let so_far = plus(worked, upper);
        let up = so_far.checked_div(step).unwrap_or_default().ceil().saturating_mul(step).saturating_sub(so_far);
        if up > Decimal::ZERO {
            upper.push(line("rounding", "rounding", Decimal::ONE, up, false));
        }
    }
    let stated = plus(worked, upper);
    let basis = stated.saturating_sub(to_cents(inside.saturating_mul(stated))).max(Decimal::ZERO);
    for (name, rate, _) in taxes.iter().filter(|tax| tax.2 == TaxOn::Price) {
        upper.extend(share("tax", name, rate.decimal(), basis));
    }
}

fn plus(worked: Decimal, upper: &[Expected]) -> Decimal {
    worked.saturating_add(total(upper.iter()))
}

/// A gain on so much cost: the cost is what a margin leaves of the price.
fn gain(gain: Gain, group: Option<&str>, cost: Decimal) -> Option<Expected> {
    let item = group.map(|group| format!("on {group}"));
    match gain {
        Gain::None => None,
        Gain::Markup(markup) => share("markup", item.as_deref().unwrap_or("markup"), markup, cost),
        Gain::Margin(margin) => {
            let price = cost.checked_div(Decimal::ONE - margin.decimal()).map_or(Decimal::MAX, to_cents);
            share("margin", item.as_deref().unwrap_or("margin"), margin.decimal(), price)
        }
    }
}
