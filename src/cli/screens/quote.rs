//! `quote`: the client's clean page, and the maker's full one.

use std::fmt::Write;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::{proof, title, wrapped};
use crate::bill::{CostLine, OfferHead, Quote, QuoteItem, Verdict, headed_quote, quantity_words, quote};
use crate::cli::width::table;
use crate::estimate::Estimate;
use crate::job::Job;
use crate::measure::{Cents, Units};
use crate::offer::{self, ChangeOrder, Frozen, State};
use crate::plan::{Plan, PlannedOption};
use crate::report::earned::{self, Earned};
use crate::report::quote::Way;
use crate::report::{self, Cell, Sheet, printable};

/// For the client: scope, doors, materials, price, payments, terms; no cost and no margin.
pub(in crate::cli) fn client(job: &Job, plan: &Plan, head: Option<OfferHead>) -> String {
    let quote = headed_quote(job, &plan.doors, &plan.bill, head);
    let whom = quote.client.as_ref().map_or_else(String::new, |client| format!(" for {client}"));
    let mut out: String = quote.shop.iter().map(|line| wrapped(line, 0)).collect();
    if !out.is_empty() {
        out.push('\n');
    }
    out += &title(job, &format!("quote{whom}"));
    if let Some(head) = quote.head {
        let _ = writeln!(out, "{}\n", capital(&head.say()));
    }
    out += &list("What is made", &quote.scope);
    out += &list("Doors, slat length by height along the slats' travel", &quote.doors);
    out += &list("Materials", &quote.materials);
    out += &prices(&quote);
    out += &on_offer(plan, &quote.currency);
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

/// The first letter large.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// `2 x press`, cut where a long name would push its price out of line.
fn item_name(item: &QuoteItem) -> String {
    let whole = if item.what == "line" { item.name.clone() } else { format!("{} x {}", item.count, item.name) };
    if whole.chars().count() > 58 { whole.chars().take(55).chain("...".chars()).collect() } else { whole }
}

/// `quote --freeze`: what was written.
pub(in crate::cli) fn frozen(frozen: &Frozen) -> String {
    let mut out = format!(
        "{}: {} {}\n",
        capital(&frozen.head.say()),
        printable(&frozen.currency),
        frozen.total.marked(&frozen.currency)
    );
    let folder = printable(&frozen.folder.display().to_string());
    let _ = writeln!(out, "Written to {folder}: {} files.", frozen.files.len() + 1);
    for (stock, boards) in &frozen.held {
        let many = if *boards == 1 { "board" } else { "boards" };
        out += &wrapped(&format!("Held on the rack: {boards} {many} of {stock}."), 2);
    }
    out
}

/// `quote --list`: what waits for its answer, then what was decided.
pub(in crate::cli) fn quotes(all: &[Frozen], today: Date) -> String {
    let mut out = String::new();
    let stands = |frozen: &Frozen| offer::state(frozen, all, today);
    let open: Vec<Frozen> = all.iter().filter(|frozen| offer::is_open(stands(frozen))).cloned().collect();
    if open.is_empty() {
        out += "No quotes are waiting for an answer.\n";
    } else {
        let columns = [
            ("folder", "quote"),
            ("job", "job"),
            ("client", "for"),
            ("date", "date"),
            ("valid_until", "until"),
            ("age_days", "days"),
            ("state", "state"),
            ("total", "total"),
        ];
        // A later revision of an open offer is what replaces it: states are told among all.
        let sheet = offer::quotes_sheet(&open, today);
        out += &table(&sheet, crate::measure::Units::Inch, &columns);
        let currencies: std::collections::BTreeSet<&str> = open.iter().map(|frozen| frozen.currency.as_str()).collect();
        for currency in currencies {
            let value: Cents =
                open.iter().filter(|frozen| frozen.currency == currency).map(|frozen| frozen.total).sum();
            let _ = writeln!(out, "Open: {} {}", printable(currency), value.marked(currency));
        }
    }
    for frozen in all.iter().filter(|frozen| matches!(stands(frozen), State::Accepted | State::Declined)) {
        let state = stands(frozen);
        let day = frozen.events.iter().find(|event| event.what.word() == state.word()).map(|event| event.date);
        let day = day.map_or_else(String::new, |day| format!(" on {day}"));
        let said = |amount: Cents| format!("{} {}", frozen.currency, amount.marked(&frozen.currency));
        let money = match state {
            State::Accepted => {
                format!(": {}, {} received", said(frozen.total), frozen.received().marked(&frozen.currency))
            }
            _ => format!(": {}", said(frozen.total)),
        };
        let (number, revision) = (frozen.head.number, frozen.head.revision);
        out += &wrapped(&format!("{number}-r{revision} {}, {}{day}{money}", frozen.job, state.word()), 2);
    }
    out
}

/// `, 3 more`, `, 3 less`, or nothing where nothing changed.
fn by(more: Decimal, say: impl Fn(Decimal) -> String) -> String {
    match more.cmp(&Decimal::ZERO) {
        std::cmp::Ordering::Less => format!(", {} less", say(-more)),
        std::cmp::Ordering::Equal => String::new(),
        std::cmp::Ordering::Greater => format!(", {} more", say(more)),
    }
}

fn in_money(currency: &str, before: Cents, after: Cents) -> String {
    let more = (after - before).decimal();
    let say = |amount: Decimal| Cents::nearest(amount).map_or(String::new(), |amount| amount.marked(currency));
    format!("{} before, {} now{}", before.marked(currency), after.marked(currency), by(more, say))
}

/// `quote --since N`: what changed since a frozen revision.
pub(in crate::cli) fn change_order(job: &Job, frozen: &Frozen, order: &ChangeOrder) -> String {
    let mut out = title(job, &format!("changes since {}", frozen.head.say()));
    if order.is_empty() {
        return out + "Nothing changed.\n";
    }
    for line in &order.lines {
        let (was, is) = (&line.was, &line.is);
        let said = match line.change {
            "added" => format!("added: {is}"),
            "dropped" => format!("dropped: {was}"),
            "changed" => format!("changed: {was}; now {is}"),
            _ => format!("at another price: {is}"),
        };
        out += &wrapped(&format!("- {said}"), 2);
        let _ = writeln!(out, "  {}", in_money(&job.shop.currency, line.before, line.after));
    }
    let (before, after) = order.total;
    let money = &job.shop.currency;
    let _ = writeln!(out, "\nTotal, {}: {}", printable(money), in_money(money, before, after));
    for (who, (before, after)) in ["maker", "helper"].iter().zip(order.hours) {
        if !before.is_zero() || !after.is_zero() {
            let round = |hours: Decimal| hours.round_dp(1).normalize();
            let (before, after) = (round(before), round(after));
            let _ = writeln!(
                out,
                "Hours, {who}: {before} before, {after} now{}",
                by(after - before, |hours| hours.to_string())
            );
        }
    }
    let (before, after) = order.days();
    let more = after - before;
    let _ = writeln!(out, "Working days of 8 hours: {before} before, {after} now{}", by(more, |days| days.to_string()));
    out
}

fn prices(quote: &Quote) -> String {
    let money = printable(&quote.currency);
    let mut out = format!("Price in {money}\n");
    let mut line = |name: &str, amount: crate::measure::Cents| {
        let _ = writeln!(out, "{:<60} {:>12}", printable(name), amount.marked(&quote.currency));
    };
    for item in &quote.items {
        line(&item_name(item), item.amount);
    }
    for (name, amount) in &quote.price {
        line(name, *amount);
    }
    line("to pay", quote.total);
    out += "\nPayments\n";
    let mut line = |name: &str, amount: crate::measure::Cents| {
        let _ = writeln!(out, "{:<60} {:>12}", printable(name), amount.marked(&quote.currency));
    };
    for payment in &quote.payments {
        line(&format!("{}, {}", payment.name, payment.due), payment.amount);
    }
    out.push('\n');
    out
}

/// For the maker: every cost line and the total, hours by stage and person, shares, payments, the packing's proof.
pub(in crate::cli) fn quote_screen(job: &Job, plan: &Plan, head: Option<OfferHead>) -> String {
    let quote = headed_quote(job, &plan.doors, &plan.bill, head);
    let mut out = verdict(job, &quote.maker.verdict);
    out += &title(job, &format!("costs in {}", printable(&job.shop.currency)));
    if let Some(head) = head {
        let _ = writeln!(out, "{}\n", capital(&head.say()));
    }
    out += &held_elsewhere(job);
    out += &costs(job, plan);
    let total = plan.bill.total.marked(&job.shop.currency);
    let _ = writeln!(out, "\nTotal {} {total}", printable(&job.shop.currency));
    out += &proof(job, plan);
    if let Some((markup, margin)) = quote.maker.gain {
        let share = |share: rust_decimal::Decimal| (share * rust_decimal::Decimal::ONE_HUNDRED).round_dp(2).normalize();
        let text =
            format!("A markup of {} % on the cost is a margin of {} % on the price.", share(markup), share(margin));
        out += &wrapped(&text, 2);
    }
    out += &hours(job, plan, &quote);
    out += &learned(job, plan);
    out += "\nCost by door and piece\n";
    let columns = [("name", "for"), ("count", "count"), ("boards", "boards"), ("labour", "labour"), ("total", "total")];
    out += &table(&report::quote::shares(job, plan), job, &columns);
    out + "\n" + &prices(&quote) + &on_offer(plan, &quote.currency) + &not_to_be_had(plan)
}

/// Which of the plan's operations past jobs have told of.
fn learned(job: &Job, plan: &Plan) -> String {
    let told = plan.bill.work.iter().map(|line| &line.rule).filter(|rule| rule.learned.jobs > 0);
    let said = told.map(|rule| {
        let (word, learned) = (rule.operation.word(), rule.learned);
        let jobs = if learned.jobs == 1 { "job" } else { "jobs" };
        format!("{word} {} times the shop file's minutes ({} {jobs})", learned.factor, learned.jobs)
    });
    let said = said.collect::<Vec<_>>().join("; ");
    let path = job.shop.history.as_deref().map_or_else(String::new, |path| path.display().to_string());
    if said.is_empty() { said } else { wrapped(&format!("Learned from {path}: {said}."), 2) }
}

/// What the client may have otherwise, and what that adds to the price or saves.
fn on_offer(plan: &Plan, currency: &str) -> String {
    let lines: String = report::quote::on_offer(&plan.options)
        .map(|(option, difference)| {
            let stopped = if option.cut_short { ", perhaps better: its packing was stopped early" } else { "" };
            let words = report::quote::difference_words(difference, currency);
            wrapped(&format!("- {} ({}): {words}{stopped}", option.way.name, option.way.changes), 2)
        })
        .collect();
    if lines.is_empty() { lines } else { format!("Options, not in the price above\n{lines}\n") }
}

/// For the maker alone: options that cannot be built.
fn not_to_be_had(plan: &Plan) -> String {
    let cannot = |option: &PlannedOption| {
        let why = option.difference.as_ref().err()?;
        Some(wrapped(
            &format!("The option `{}` cannot be built, and the client does not read of it: {why}.", option.way.name),
            2,
        ))
    };
    plan.options.iter().filter_map(cannot).collect()
}

/// The quote in one line; what it lacks in another that nobody can miss.
fn verdict(job: &Job, verdict: &Verdict) -> String {
    let money = |amount: Cents| format!("{} {}", job.shop.currency, amount.marked(&job.shop.currency));
    let hours = quantity_words(verdict.hours, "hour");
    let mut out =
        wrapped(&format!("Price {}; {hours} of work; margin {}.", money(verdict.total), money(verdict.gain)), 2);
    if !verdict.missing.is_empty() {
        out += &wrapped(&format!("!!! MISSING: {}.", verdict.missing.join("; ")), 4);
    }
    out + "\n"
}

/// Boards of the rack that this job may not have, and who has them.
pub(in crate::cli) fn held_elsewhere(job: &Job) -> String {
    let mut out = String::new();
    for board in &job.boards {
        for hold in board.held_from(&job.name) {
            let boards = if hold.boards == 1 { "board" } else { "boards" };
            let text = format!("Held for `{}`, not planned here: {} {boards} {}.", hold.by, hold.boards, board.stock);
            out += &wrapped(&text, 2);
        }
    }
    out
}

fn costs(job: &Job, plan: &Plan) -> String {
    let row = |line: &CostLine| {
        let mut each = line.unit_price.normalize();
        each.rescale(each.scale().max(2));
        vec![
            Cell::text(&line.group),
            Cell::text(&line.item),
            Cell::text(quantity_words(line.quantity, &line.unit)),
            Cell::Decimal(each),
            Cell::Money(line.cost),
        ]
    };
    let columns = ["group", "item", "quantity", "each", "cost"];
    let sheet = Sheet::new("costs", &columns, plan.bill.costs.iter().map(row).collect());
    table(&sheet, job, &columns.map(|column| (column, column)))
}

fn hours(job: &Job, plan: &Plan, quote: &Quote) -> String {
    if quote.maker.stages.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nHours by stage and person\n");
    let columns = [("stage", "stage"), ("maker", "maker"), ("helper", "helper")];
    out += &table(&report::quote::stages(quote), job, &columns);
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
        ("to_pay", "to pay"),
        ("board_cost", "boards"),
        ("hours", "hours"),
        ("board_feet", super::wood_unit(job.units)),
        ("bought_yards", if job.units == Units::Inch { "yards" } else { "metres" }),
        ("strips", "strips"),
        ("fit", "fit"),
    ];
    let mut out = title(job, &format!("compared, in {}", printable(&job.shop.currency)));
    out += &table(&report::quote::compare(ways), job, &columns);
    let base = ways.first().and_then(|way| way.to_pay);
    for way in ways.iter().filter(|way| !way.changes.is_empty()) {
        let price = way.to_pay.zip(base).map_or_else(String::new, |(with, without)| {
            format!(": {}", report::quote::difference_words(with - without, &job.shop.currency))
        });
        out += &wrapped(&format!("{} ({}){price}", way.name, way.changes), 2);
    }
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
    title(job, "what happened") + &table(sheet, job, &columns)
}

/// `quote --actual` in money: what was quoted, spent and earned, by group.
pub(in crate::cli) fn earned(job: &Job, groups: &[Earned]) -> String {
    let money = &job.shop.currency;
    let columns = [("group", "group"), ("quoted", "quoted"), ("spent", "spent"), ("earned", "earned")];
    let mut out = title(job, &format!("quoted, spent and earned, in {}", printable(money)));
    out += &table(&earned::sheet(groups), job, &columns);
    let (quoted, spent) = earned::sums(groups);
    let said = |amount: Cents| format!("{money} {}", amount.marked(money));
    let quoted_gain = earned::not_spent(groups);
    let mut words = format!(
        "Earned: {} on a price of {}; the quote had {}.",
        said(quoted - spent),
        said(quoted),
        said(quoted_gain)
    );
    let losses = earned::losses(groups, money);
    if !losses.is_empty() {
        words += &format!(" Spent over the quote: {}.", losses.join("; "));
    }
    out + &wrapped(&words, 2)
}

/// `estimate`: low, expected and high, and what they stand on.
pub(in crate::cli) fn estimate(job: &Job, found: &Estimate) -> String {
    let money = printable(&job.shop.currency);
    let mut out = title(job, &format!("estimate in {money}"));
    for cabinet in &job.cabinets {
        let _ = writeln!(out, "{} x {}", cabinet.count, printable(&cabinet.name));
    }
    for (word, amount, why) in [
        ("low", found.low, "one job in ten comes to less"),
        ("expected", found.expected, "the job's own spares, quick packing"),
        ("high", found.high, "one job in ten comes to more"),
    ] {
        let _ = writeln!(out, "{word:<9} {:>12}  {why}", amount.marked(&job.shop.currency));
    }
    let quote = quote(job, &found.plan.doors, &found.plan.bill);
    for person in &quote.maker.people {
        let _ = writeln!(out, "{}", person.say());
    }
    out += &learned(job, &found.plan);
    out + "An estimate, not a quote: plan the job before you quote.\n"
}
