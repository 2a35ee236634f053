//! The quote's sheets: hours by operation, cost by door and piece, the client's lines, alternatives.

use rust_decimal::Decimal;

use super::cell::{Cell, printable};
use super::sheets::Sheet;
use crate::bill::{Quote, QuoteItem, Share, WorkLine};
use crate::demand::Part;
use crate::job::{Job, Operation};
use crate::measure::{Cents, Length, Volume};
use crate::plan::{Plan, PlannedOption};

/// `hours.csv`: one operation that occurs a row, in the order of work.
#[must_use]
pub fn hours(job: &Job, plan: &Plan) -> Sheet {
    let depth = job.shop.pricing.pass_depth;
    let row = |line: &WorkLine| {
        let rule = &line.rule;
        vec![
            Cell::text(rule.operation.word()),
            Cell::text(rule.operation.stage().word()),
            Cell::text(rule.person.word()),
            Cell::Count(line.settings.cast_signed()),
            Cell::Decimal(rule.setup),
            Cell::Decimal(line.quantity),
            Cell::text(rule.operation.unit(job.units)),
            Cell::Decimal(rule.minutes),
            Cell::Decimal(line.minutes),
            Cell::Decimal(line.hours),
            Cell::Price(rule.rate),
            Cell::Count(line.slats.cast_signed()),
            Cell::Decimal(rule.slat_minutes),
            depth.filter(|_| rule.operation == Operation::Plane).map_or(Cell::Empty, Cell::Length),
        ]
    };
    const COLUMNS: [&str; 14] = [
        "operation",
        "stage",
        "person",
        "settings",
        "setup_minutes",
        "quantity",
        "unit",
        "unit_minutes",
        "minutes",
        "hours",
        "rate",
        "slats",
        "slat_minutes",
        "pass_depth",
    ];
    Sheet::new("hours", &COLUMNS, plan.bill.work.iter().map(row).collect())
}

/// `shares.csv`: what each door (all its copies), loose piece and the job itself costs; the totals sum
/// to the total cost.
#[must_use]
pub fn shares(job: &Job, plan: &Plan) -> Sheet {
    let row = |share: &Share| {
        vec![
            Cell::text(share.what),
            Cell::text(&share.name),
            share.cabinet.map_or(Cell::Empty, |at| Cell::text(&job.cabinets[at].name)),
            Cell::Count(share.count.into()),
            Cell::Money(share.boards),
            Cell::Money(share.cloth),
            Cell::Money(share.consumables),
            Cell::Money(share.lines),
            Cell::Money(share.labour),
            Cell::Money(share.added),
            Cell::Money(share.total()),
        ]
    };
    const COLUMNS: [&str; 11] =
        ["what", "name", "cabinet", "count", "boards", "cloth", "consumables", "lines", "labour", "added", "total"];
    Sheet::new("shares", &COLUMNS, plan.bill.shares.iter().map(row).collect())
}

/// `quote.csv`: the client's quote, a line a row; amounts are in the job's currency. Behind it what each thing built
/// comes to, by name: these sum to the first line of the price; last what each option adds to the price or saves.
#[must_use]
pub fn client(quote: &Quote, options: &[PlannedOption]) -> Sheet {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut row = |section: &str, text: &str, amount: Cell| {
        rows.push(vec![Cell::text(section), Cell::text(text), amount]);
    };
    for line in &quote.shop {
        row("shop", line, Cell::Empty);
    }
    if let Some(head) = &quote.head {
        row("offer", &head.say(), Cell::Empty);
    }
    for line in &quote.scope {
        row("scope", line, Cell::Empty);
    }
    for line in &quote.doors {
        row("door", line, Cell::Empty);
    }
    for line in &quote.materials {
        row("material", line, Cell::Empty);
    }
    for (line, amount) in &quote.price {
        row("price", line, Cell::Money(*amount));
    }
    row("total", &format!("to pay, {}", quote.currency), Cell::Money(quote.total));
    for payment in &quote.payments {
        row("payment", &format!("{}, {}", payment.name, payment.due), Cell::Money(payment.amount));
    }
    for (heading, text) in &quote.terms {
        row(heading, text, Cell::Empty);
    }
    let named = |item: &QuoteItem| {
        let (name, count) = (Cell::text(&item.name), Cell::Decimal(item.count.normalize()));
        vec![Cell::text(item.what), Cell::text(&item.words), Cell::Money(item.amount), name, count]
    };
    rows.iter_mut().for_each(|row| row.extend([Cell::Empty, Cell::Empty]));
    rows.extend(quote.items.iter().map(named));
    rows.extend(on_offer(options).map(|(option, difference)| {
        let (text, name) = (Cell::text(&option.way.changes), Cell::text(&option.way.name));
        vec![Cell::text("option"), text, Cell::Money(difference), name, Cell::Empty]
    }));
    Sheet::new("quote", &["section", "text", "amount", "name", "count"], rows)
}

/// The options that can be built, each with what it adds to the price or saves.
pub fn on_offer(options: &[PlannedOption]) -> impl Iterator<Item = (&PlannedOption, Cents)> {
    options.iter().filter_map(|option| option.difference.as_ref().ok().map(|difference| (option, *difference)))
}

/// `312.00 more`, `845.00 less` or `at the same price`.
#[must_use]
pub fn difference_words(difference: Cents, currency: &str) -> String {
    match difference.get() {
        0 => "at the same price".to_owned(),
        1.. => format!("{} more", difference.marked(currency)),
        _ => format!("{} less", (Cents::ZERO - difference).marked(currency)),
    }
}

/// Hours by stage and person.
#[must_use]
pub fn stages(quote: &Quote) -> Sheet {
    let rows = quote.maker.stages.iter().map(|(stage, maker, helper)| {
        vec![Cell::text(stage.word()), Cell::Decimal(maker.round_dp(2)), Cell::Decimal(helper.round_dp(2))]
    });
    Sheet::new("stages", &["stage", "maker", "helper"], rows.collect())
}

/// One way of doing the job, planned or not.
#[derive(Debug, Clone)]
pub struct Way {
    /// Its name.
    pub name: String,
    /// What it changes, in words.
    pub changes: String,
    /// What the client would pay.
    pub to_pay: Option<Cents>,
    /// The plan, or why there is none.
    pub plan: Result<Plan, String>,
}

/// The ways whose plans were cut short, in one sentence without a full stop; `None` when none was.
#[must_use]
pub fn cut_short(ways: &[Way]) -> Option<String> {
    let short = |way: &&Way| way.plan.as_ref().is_ok_and(Plan::is_cut_short);
    let names: Vec<String> = ways.iter().filter(short).map(|way| format!("`{}`", printable(&way.name))).collect();
    let said = format!("cut short, the packing was stopped early: {}", names.join(", "));
    if names.is_empty() { None } else { Some(said) }
}

/// Alternatives side by side: money, hours, wood, cloth, and whether it can be done.
#[must_use]
pub fn compare(ways: &[Way]) -> Sheet {
    const COLUMNS: [&str; 11] = [
        "way",
        "total_cost",
        "board_cost",
        "hours",
        "board_feet",
        "bought_yards",
        "strips",
        "fit",
        "why",
        "to_pay",
        "changes",
    ];
    let row = |way: &Way| {
        let mut row = match &way.plan {
            Ok(plan) => compared(&way.name, plan),
            Err(why) => {
                let mut row = vec![Cell::Empty; COLUMNS.len() - 2];
                row[0] = Cell::text(&way.name);
                row[7] = Cell::YesNo(false);
                row[8] = Cell::text(why);
                row
            }
        };
        row.push(way.to_pay.map_or(Cell::Empty, Cell::Money));
        row.push(Cell::text(&way.changes));
        row
    };
    Sheet::new("compare", &COLUMNS, ways.iter().map(row).collect())
}

fn compared(name: &str, plan: &Plan) -> Vec<Cell> {
    let feet: Volume = plan.bill.boards.iter().map(|line| line.volume).sum();
    let hours = plan.bill.costs.iter().filter(|line| line.group == "labour" && line.unit == "hour");
    let hours: Decimal = hours.map(|line| line.quantity).sum();
    let bought: Length = plan.cloth.bolts.iter().map(|bolt| bolt.bought).sum();
    let strips: u32 = plan.demand.parts.iter().map(Part::total).sum();
    vec![
        Cell::text(name),
        Cell::Money(plan.bill.total),
        Cell::Money(plan.boards.cost),
        Cell::Decimal(hours.round_dp(2).normalize()),
        Cell::Wood(feet),
        Cell::Cloth(bought),
        Cell::Count(strips.into()),
        Cell::YesNo(true),
        Cell::Empty,
    ]
}
