//! `quote`: the client's clean page, and the maker's full one.

use std::fmt::Write;

use super::{proof, title, wrapped};
use crate::bill::{Quote, quote};
use crate::estimate::Estimate;
use crate::job::Job;
use crate::plan::Plan;
use crate::report::quote::Way;
use crate::report::table::table;
use crate::report::{self, Sheet, printable};

/// For the client: scope, doors, materials, price, payments, terms; no cost and no margin.
pub(in crate::cli) fn client(job: &Job, plan: &Plan) -> String {
    let quote = quote(job, &plan.doors, &plan.bill);
    let whom = quote.client.as_ref().map_or_else(String::new, |client| format!(" for {client}"));
    let mut out = title(job, &format!("quote{whom}"));
    out += &list("What is made", &quote.scope);
    out += &list("Doors, slat length by height along the slats' travel", &quote.doors);
    out += &list("Materials", &quote.materials);
    out += &prices(&quote);
    for (heading, text) in &quote.terms {
        out += &wrapped(&format!("{heading}: {text}."), 2);
    }
    out
}

fn list(heading: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let lines: String = lines.iter().map(|line| wrapped(&format!("- {line}"), 2)).collect();
    format!("{heading}\n{lines}\n")
}

fn prices(quote: &Quote) -> String {
    let money = printable(&quote.currency);
    let mut out = format!("Price in {money}\n");
    let mut line = |name: &str, amount: crate::measure::Cents| {
        let _ = writeln!(out, "{:<60} {:>12}", printable(name), amount.to_string());
    };
    for (name, amount) in &quote.price {
        line(name, *amount);
    }
    line("to pay", quote.total);
    out += "\nPayments\n";
    let mut line = |name: &str, amount: crate::measure::Cents| {
        let _ = writeln!(out, "{:<60} {:>12}", printable(name), amount.to_string());
    };
    for payment in &quote.payments {
        line(&format!("{}, {}", payment.name, payment.due), payment.amount);
    }
    out.push('\n');
    out
}

/// For the maker: every cost line and the total, hours by stage and person, shares, payments, the packing's proof.
pub(in crate::cli) fn quote_screen(job: &Job, plan: &Plan) -> String {
    let quote = quote(job, &plan.doors, &plan.bill);
    let mut out = title(job, &format!("costs in {}", printable(&job.shop.currency)));
    out += &costs(job, plan);
    let _ = writeln!(out, "\nTotal {} {}", printable(&job.shop.currency), plan.bill.total);
    out += &proof(job, plan);
    if let Some((markup, margin)) = quote.maker.gain {
        let share = |share: rust_decimal::Decimal| (share * rust_decimal::Decimal::ONE_HUNDRED).round_dp(2).normalize();
        let text = format!("Gain: {} % markup on the cost is {} % margin of the price.", share(markup), share(margin));
        out += &wrapped(&text, 2);
    }
    out += &hours(job, plan, &quote);
    out += "\nWho causes what\n";
    let columns = [("name", "for"), ("count", "count"), ("boards", "boards"), ("labour", "labour"), ("total", "total")];
    out += &table(&report::quote::shares(job, plan), job.units, &columns);
    out + "\n" + &prices(&quote)
}

fn costs(job: &Job, plan: &Plan) -> String {
    let columns = [
        ("group", "group"),
        ("item", "item"),
        ("quantity", "quantity"),
        ("unit", "unit"),
        ("unit_price", "each"),
        ("cost", "cost"),
    ];
    table(&report::costs(plan), job.units, &columns)
}

fn hours(job: &Job, plan: &Plan, quote: &Quote) -> String {
    if quote.maker.stages.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nHours by stage and person\n");
    let columns = [("stage", "stage"), ("maker", "maker"), ("helper", "helper")];
    out += &table(&report::quote::stages(quote), job.units, &columns);
    for person in &quote.maker.people {
        let _ = writeln!(out, "{}", person.say());
    }
    if !quote.maker.forms.is_empty() && !plan.bill.work.is_empty() {
        out += &wrapped(&format!("{}.", quote.maker.forms), 2);
    }
    out
}

/// `compare`: the ways of doing the job side by side, and why one cannot be done.
pub(in crate::cli) fn compare(job: &Job, ways: &[Way]) -> String {
    let columns = [
        ("way", "way"),
        ("total_cost", "total"),
        ("board_cost", "boards"),
        ("hours", "hours"),
        ("board_feet", "bf"),
        ("bought_yards", "yards"),
        ("strips", "strips"),
        ("fit", "fit"),
    ];
    let mut out = title(job, &format!("compared, in {}", printable(&job.shop.currency)));
    out += &table(&report::quote::compare(ways), job.units, &columns);
    for way in ways {
        if let Err(why) = &way.plan {
            out += &wrapped(&format!("{}: {why}", way.name), 2);
        }
    }
    out
}

/// `quote --actual`: what happened beside what was quoted.
pub(in crate::cli) fn actuals(job: &Job, sheet: &Sheet) -> String {
    let columns = [
        ("what", "what"),
        ("item", "item"),
        ("quoted", "quoted"),
        ("actual", "actual"),
        ("difference", "difference"),
        ("percent", "%"),
    ];
    title(job, "what happened") + &table(sheet, job.units, &columns)
}

/// `estimate`: low, expected and high, and what they stand on.
pub(in crate::cli) fn estimate(job: &Job, found: &Estimate) -> String {
    let money = printable(&job.shop.currency);
    let mut out = title(job, &format!("estimate in {money}"));
    for cabinet in &job.cabinets {
        let _ = writeln!(out, "{} x {}", cabinet.count, printable(&cabinet.name));
    }
    for (word, amount, why) in [
        ("low", found.low, "no strip fails, the packing reaches its bound"),
        ("expected", found.expected, "the job's own spares, packed in a moment"),
        ("high", found.high, "twice the rejects, the yard allowance paid for"),
    ] {
        let _ = writeln!(out, "{word:<9} {:>12}  {why}", amount.to_string());
    }
    let quote = quote(job, &found.plan.doors, &found.plan.bill);
    for person in &quote.maker.people {
        let _ = writeln!(out, "{}", person.say());
    }
    out + "An estimate, not a quote: plan the job before you name a price.\n"
}
