//! The quote: what the client reads, and the maker's copy with every cost line.

use itertools::Itertools;
use maud::{Markup, html};

use super::bars_figure;
use super::shell::{Words, blank_line};
use crate::bill::{OfferHead, headed_quote, quantity_words};
use crate::job::Job;
use crate::plan::Plan;
use crate::report::printable;
use crate::report::quote::{difference_words, on_offer};

/// The cabinets from the front, scope, doors and materials in words, the price, payments and terms: no cost line is on it.
pub(super) fn client(job: &Job, plan: &Plan, head: Option<OfferHead>, fronts: &Markup) -> Markup {
    let quote = headed_quote(job, &plan.doors, &plan.bill, head);
    let currency = printable(&quote.currency);
    let list = |heading: &str, lines: &[String]| {
        html! {
            @if !lines.is_empty() { h3 { (heading) } ul { @for line in lines { li { (printable(line)) } } } }
        }
    };
    html! {
        @if !quote.shop.is_empty() {
            p class="letterhead" { @for line in &quote.shop { (printable(line)) br; } }
        }
        @if let Some(head) = &quote.head { p { b { (head.say()) } } }
        (fronts)
        @if quote.items.is_empty() { (list("What is made", &quote.scope)) }
        div class=[(!quote.doors.is_empty()).then_some("under")] {
            div { (list("Doors", &quote.doors)) }
            div { (list("Materials", &quote.materials)) }
        }
        h3 { "Price" }
        @if !quote.items.is_empty() {
            table { tbody { @for item in &quote.items { tr {
                td class="t" { (printable(&item.words)) } td class="n" { (item.amount.marked(&quote.currency)) }
            } } } }
        }
        table { tbody {
            @for (line, amount) in &quote.price { tr { td class="t" { (printable(line)) } td class="n" { (amount.marked(&quote.currency)) } } }
            tr class="total" { td { "To pay" } td class="n" { (currency) " " (quote.total.marked(&quote.currency)) } }
        } }
        @let options: Vec<_> = on_offer(&plan.options).collect();
        @if !options.is_empty() {
            h3 { "Options, not in the price above" }
            table { tbody { @for (option, difference) in options { tr {
                td class="t" { (printable(&option.way.name)) } td class="t" { (printable(&option.way.changes)) }
                td class="n" { (difference_words(difference, &quote.currency)) }
            } } } }
        }
        @if !quote.payments.is_empty() {
            h3 { "Payments" }
            table { tbody { @for payment in &quote.payments { tr {
                td class="t" { (printable(&payment.name)) } td class="t" { (printable(&payment.due)) }
                td class="n" { (payment.amount.marked(&quote.currency)) }
            } } } }
        }
        div class="cols" { @for (heading, text) in &quote.terms { h4 { (printable(heading)) } p { (printable(text)) } } }
        p { (blank_line("date")) " " (blank_line("maker")) " " (blank_line("client")) }
    }
}

/// Every cost line and the total, with the hours beside them.
pub(super) fn maker(words: Words, job: &Job, plan: &Plan) -> Markup {
    let currency = printable(&job.shop.currency);
    html! {
        p { b { "Not for the client." } }
        @if let Some(bars) = bars_figure::price(job, plan) { figure { (bars.markup()) } }
        @if let Some(bars) = bars_figure::hours(plan) { figure { (bars.markup()) } }
        div class="under" {
            div { (costs(&currency, plan)) }
            div { (hours(plan)) (proof(&currency, plan)) }
        }
        @if !job.defaults.is_empty() {
            p class="note" { "Lengths in " (words.units().plural()) "; the defaults used are listed in " code { "pages/defaults.html" } "." }
        }
    }
}

fn costs(currency: &str, plan: &Plan) -> Markup {
    html! {
        h3 { "Costs" }
        table class="money" {
            thead { tr {
                th { "line" } th class="n" { "quantity" } th class="n" { "each" } th class="n" { "cost" }
            } }
            tbody {
                @for (group, lines) in &plan.bill.costs.iter().chunk_by(|line| &line.group) {
                    tr { th colspan="4" scope="rowgroup" { (printable(group)) } }
                    @for line in lines { tr {
                        td class="t" { (printable(&line.item)) }
                        td class="n" { (printable(&quantity_words(line.quantity, &line.unit))) }
                        td class="n" { (line.unit_price) } td class="n" { (line.cost) }
                    } }
                }
                tr class="total" { td colspan="3" { "Total, " (currency) } td class="n" { (plan.bill.total) } }
            }
        }
    }
}

/// Every default that entered, by the table of the file that would set it.
pub(super) fn defaults(job: &Job) -> Markup {
    let table =
        |key: &str| key.split_once("] ").map_or("of the job", |(table, _)| table).trim_matches(['[', ']']).to_owned();
    let groups = job.defaults.iter().into_group_map_by(|used| table(&used.key));
    let groups = groups.into_iter().sorted_by(|a, b| a.0.cmp(&b.0));
    html! {
        @if job.defaults.is_empty() { p { "None: the files say everything." } }
        @for (name, used) in groups {
            h3 { (printable(&name)) }
            table class="tight" {
                thead { tr { th scope="col" { "key" } th scope="col" { "value" } th scope="col" { "why" } } }
                tbody { @for used in used { tr {
                    td class="t" { (printable(&used.key)) } td class="t" { (printable(&used.value)) } td class="t" { (printable(&used.reason)) }
                } } }
            }
        }
    }
}

/// Hours of every operation.
fn hours(plan: &Plan) -> Markup {
    html! {
        @if !plan.bill.work.is_empty() {
            h3 { "Hours" }
            table class="money" {
                thead { tr { th { "operation" } th { "stage" } th { "who" } th class="n" { "hours" } } }
                tbody { @for line in &plan.bill.work { tr {
                    td class="t" { (line.rule.operation.word()) } td { (line.rule.operation.stage().word()) }
                    td { (line.rule.person.word()) } td class="n" { (quantity_words(line.hours, "hour")) }
                } } }
            }
        }
    }
}

fn proof(currency: &str, plan: &Plan) -> Markup {
    let (boards, cloth, sheets) = (&plan.boards, &plan.cloth, &plan.cased.sheets);
    let said = |what: &str, cost: crate::measure::Cents, bound: crate::measure::Cents, optimal: bool| {
        if optimal {
            format!("{what}: {currency} {cost}, proven lowest under the cutting rules.")
        } else {
            format!("{what}: {currency} {cost}; no plan can cost less than {bound}.")
        }
    };
    html! {
        h3 { "What is proven" }
        p { (said("Boards", boards.cost, boards.bound, boards.optimal)) }
        p { (said("Cloth", cloth.cost, cloth.cost_bound, cloth.optimal)) }
        @if !sheets.boards.is_empty() { p { (said("Sheets", sheets.cost, sheets.bound, sheets.optimal)) } }
        @if boards.cut_short || cloth.cut_short || sheets.cut_short { p { "The packing was stopped before its budget of work was used up." } }
    }
}
