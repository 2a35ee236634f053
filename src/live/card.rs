//! The card with the price.

use maud::{Markup, html};
use rust_decimal::Decimal;

use super::page::table;
use super::plans::{Figures, Planned, Price, Stand};
use crate::job::Job;
use crate::measure::{Cents, Length, Units};
use crate::report::{Cell, costs};

/// The card: price, hours, boards, cloth, what is proven, and what to do with it.
pub(super) fn card(price: &Price, frozen: &[(String, String)]) -> Markup {
    html! {
        aside #card aria-label="price" aria-live="polite" data-stand=(price.stand.word()) {
            @match &price.stand {
                Stand::Begun => p { "The price is being worked out ..." },
                Stand::Cannot(why) => { h2 { "No price yet" } p.wrong.lines { (why) } }
                Stand::Quick(planned, standing) => {
                    (figures(planned, price.before.as_ref()))
                    p.note {
                        "A first estimate; looking for a better plan."
                        // The better of what either search has.
                        @if let Some((best, bound)) = standing.map(|(best, bound)| (best.min(planned.plan.boards.cost), bound)) {
                            @let money = |cents: &Cents| cents.marked(&planned.laid.job.shop.currency);
                            " Boards at " (money(&best)) " so far; no plan costs less than " (money(&bound)) "."
                        }
                    }
                }
                Stand::Whole(planned) => {
                    (figures(planned, price.before.as_ref()))
                    p.note { (proven(planned)) }
                }
            }
            @if let Stand::Quick(..) | Stand::Whole(_) = price.stand {
                p.do {
                    button type="button" data-what="freeze" { "Freeze as a revision" }
                    a.button href="sheets/job.html" target="_blank" data-print="yes" { "Print the sheets" }
                }
            }
            @if let Stand::Whole(planned) = &price.stand {
                details #lines {
                    summary { "Every line of the price" }
                    (table(&costs(&planned.plan), planned.laid.job.units, "every line of the price"))
                }
            }
            @if !frozen.is_empty() {
                h3 { "Frozen" }
                ul { @for (words, at) in frozen { li { a href=(at) target="_blank" { (words) } } } }
            }
        }
    }
}

fn figures(planned: &Planned, before: Option<&Figures>) -> Markup {
    let (job, now) = (&planned.laid.job, Figures::of(&planned.plan));
    let currency = &job.shop.currency;
    let money = |cents: Cents| format!("{currency} {}", cents.marked(currency));
    let worked = |hours: Decimal| hours.round_dp(1).normalize().to_string();
    html! {
        h2 { (money(now.total)) }
        p.change { (change(before.map(|before| now.total - before.total), currency)) }
        dl {
            (row("hours", worked(now.hours), before.map(|b| worked(now.hours - b.hours))))
            (row("boards", format!("{}, {}", now.boards, money(now.lumber)), before.map(|b| signed(now.lumber - b.lumber, currency))))
            (row("cloth", cloth(now.cloth, job.units), before.map(|b| cloth(now.cloth - b.cloth, job.units))))
        }
    }
}

/// A figure, and by how much it differs from the one before.
fn row(name: &str, value: String, change: Option<String>) -> Markup {
    // A difference of nothing is not said.
    let change = change.filter(|change| change.contains(|c: char| ('1'..='9').contains(&c)));
    html! {
        dt { (name) }
        dd { (value) @if let Some(change) = change { small { " (" @if !change.starts_with(['+', '-']) { "+" } (change) ")" } } }
    }
}

fn signed(cents: Cents, currency: &str) -> String {
    let sign = if cents > Cents::ZERO { "+" } else { "" };
    format!("{sign}{}", cents.marked(currency))
}

fn change(by: Option<Cents>, currency: &str) -> String {
    match by {
        None => String::new(),
        Some(Cents::ZERO) => "as before the last change".to_owned(),
        Some(by) if by > Cents::ZERO => format!("{} more than before the last change", by.marked(currency)),
        Some(by) => format!("{} less than before the last change", (Cents::ZERO - by).marked(currency)),
    }
}

fn cloth(length: Length, units: Units) -> String {
    let unit = if units == Units::Millimetre { "m" } else { "yd" };
    format!("{} {unit}", Cell::Cloth(length).screen(units))
}

fn proven(planned: &Planned) -> String {
    let (boards, cloth) = (&planned.plan.boards, &planned.plan.cloth);
    let money = |cents: Cents| cents.marked(&planned.laid.job.shop.currency);
    let open = money(boards.cost - boards.bound);
    match (boards.cost == boards.bound, cloth.cost == cloth.cost_bound) {
        (true, true) => "Proven: no plan of these boards and this cloth costs less.".to_owned(),
        (true, false) => {
            format!("Boards are proven; the cloth might cost {} less.", money(cloth.cost - cloth.cost_bound))
        }
        (false, _) => format!("The boards might cost {open} less; no plan costs less than {}.", money(boards.bound)),
    }
}

/// Alternatives, each with its difference.
pub(super) fn ways(price: &Price, job: Option<&Job>) -> Markup {
    let total = match &price.stand {
        Stand::Whole(planned) => Some(planned.plan.bill.total),
        _ => None,
    };
    let (names, currency) = job.map_or((&[][..], ""), |job| (&job.alternatives[..], job.shop.currency.as_str()));
    html! {
        section #ways aria-label="what else might be done" {
            @if !names.is_empty() { h2.aside { "Alternatives" } }
            @for (index, way) in names.iter().enumerate() {
                p {
                    button type="button" data-what="alternative" data-index=(index) { (way.name) }
                    " "
                    @match (price.ways.get(index), total) {
                        (Some((_, Ok(figures))), Some(total)) => (by(figures.total - total, currency)),
                        (Some((_, Err(why))), _) => (why),
                        _ => "...",
                    }
                }
            }
        }
    }
}

fn by(difference: Cents, currency: &str) -> String {
    match difference {
        Cents::ZERO => "costs the same".to_owned(),
        more if more > Cents::ZERO => format!("costs {} more", more.marked(currency)),
        less => format!("costs {} less", (Cents::ZERO - less).marked(currency)),
    }
}
