//! `quote` where it stands: `--freeze`, `--revision`, `--since`, `--list`, and what becomes of an offer.

use clap::Args;
use jiff::ZonedDateTime;
use jiff::civil::Date;

use super::{Ending, Limit, Table, load, load_with_files, next_step, pack, planned, refused, screens};
use crate::measure::{Cents, Price, Units};
use crate::offer::{self, Event, Freezing, Frozen, Happened, OfferError};
use crate::report;

/// How often a job is planned again whose rack changed while it was planned.
const AGAIN: u32 = 5;

#[derive(Debug, Args)]
pub(super) struct Stands {
    /// Make it the next revision of the job's quote: a
    /// folder `quotes/NUMBER-rN/` that never changes again
    #[arg(long, group = "stands", conflicts_with_all = ["csv", "json", "client"], verbatim_doc_comment)]
    freeze: bool,
    /// The date of what is written; today unless given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<Date>,
    /// Print revision N as it was frozen; with --accepted
    /// and the like: the one meant (else the latest)
    #[arg(long, value_name = "N", conflicts_with_all = ["freeze", "since", "list", "csv_comma", "json"], verbatim_doc_comment)]
    revision: Option<u32>,
    /// What changed since revision N: a change order.
    #[arg(long, value_name = "N", group = "stands")]
    since: Option<u32>,
    /// All frozen quotes beside the job, with age and value.
    #[arg(long, group = "stands")]
    list: bool,
    /// Record that the client accepted.
    #[arg(long, group = "stands")]
    accepted: bool,
    /// Record that the client declined; its boards are free.
    #[arg(long, group = "stands")]
    declined: bool,
    /// Record money received before the work.
    #[arg(long, value_name = "AMOUNT", value_parser = money, group = "stands")]
    deposit: Option<Cents>,
    /// Record money received later.
    #[arg(long, value_name = "AMOUNT", value_parser = money, group = "stands")]
    payment: Option<Cents>,
}

/// An amount above zero with at most two places.
fn money(text: &str) -> Result<Cents, String> {
    let price = Price::parse(text).map_err(|error| error.to_string())?;
    let amount = Cents::nearest(price.decimal()).filter(|amount| amount.decimal() == price.decimal());
    amount.filter(|amount| *amount > Cents::ZERO).ok_or_else(|| "an amount above 0, such as 500.00".to_owned())
}

impl Stands {
    /// Whether any of it was asked for.
    pub(super) const fn asked(&self) -> bool {
        self.freeze || self.revision.is_some() || self.since.is_some() || self.list || self.happened().is_some()
    }

    const fn happened(&self) -> Option<Happened> {
        match (self.accepted, self.declined, self.deposit, self.payment) {
            (true, ..) => Some(Happened::Accepted),
            (_, true, ..) => Some(Happened::Declined),
            (_, _, Some(amount), _) => Some(Happened::Deposit(amount)),
            (.., Some(amount)) => Some(Happened::Payment(amount)),
            _ => None,
        }
    }

    /// The day given, or today where the shop is.
    fn day(&self) -> Date {
        self.date.unwrap_or_else(|| ZonedDateTime::now().date())
    }
}

pub(super) fn answer(table: &Table, client: bool, asked: &Stands, limit: &Limit) -> Result<Ending, Ending> {
    let path = table.job.as_path();
    if asked.freeze {
        return frozen(table, asked, limit);
    }
    if let Some(since) = asked.since {
        let (job, plan) = planned(path, limit)?;
        let frozen = Frozen::of(path, Some(since)).map_err(wrong)?;
        let order = offer::change_order(&frozen, &job, &plan).map_err(wrong)?;
        let csv = || table.csv.text(&order.sheet(), job.units);
        let text = if table.csv.asked() { csv() } else { screens::change_order(&job, &frozen, &order) };
        return Ok(Ending::of_plan(text, &job, &plan));
    }
    if let Some(what) = asked.happened() {
        let job = load(path)?;
        let event = Event { what, date: asked.day() };
        let frozen = offer::add_event(path, &job, asked.revision, &event).map_err(wrong)?;
        let (number, revision) = (frozen.head.number, frozen.head.revision);
        let said = |amount: Cents| amount.marked(&frozen.currency);
        let money = what.amount().map_or_else(String::new, |sum| format!(" of {} {}", frozen.currency, said(sum)));
        let rest = said(frozen.total - frozen.received());
        let rest =
            what.amount().map_or_else(String::new, |_| format!(" {rest} of {} is still due.", said(frozen.total)));
        let said = format!("Quote {number}, revision {revision}: {}{money} on {}.{rest}\n", what.word(), event.date);
        return Ok(Ending::done(report::printable(said.trim_end()) + "\n"));
    }
    if asked.list {
        return list(table, asked);
    }
    // A frozen quote is printed whatever became of the job's files since.
    let frozen = Frozen::of(path, asked.revision).map_err(wrong)?;
    let name = match (client, table.csv.asked()) {
        (true, true) => "plan/quote.csv",
        (true, false) => "client.txt",
        (false, true) => "plan/costs.csv",
        (false, false) => "quote.txt",
    };
    let text = frozen.file(name).map_err(wrong)?;
    Ok(Ending::done(String::from_utf8_lossy(&text).into_owned()))
}

fn frozen(table: &Table, asked: &Stands, limit: &Limit) -> Result<Ending, Ending> {
    let path = table.job.as_path();
    let mut round = 0;
    loop {
        let (job, files) = load_with_files(path)?;
        let plan = pack(&job, limit).map_err(|cannot| refused(&job, &cannot))?;
        let content = |head| -> offer::Files<'_> {
            let screens = [
                ("quote.txt".to_owned(), screens::quote(&job, &plan, Some(head)).into_bytes()),
                ("client.txt".to_owned(), screens::client(&job, &plan, Some(head)).into_bytes()),
            ];
            let planned = report::each_file(&job, &plan, Some(head));
            Box::new(screens.into_iter().chain(planned.map(|(name, bytes)| (format!("plan/{name}"), bytes))))
        };
        let freezing = Freezing { path, job: &job, files: &files, plan: &plan, date: asked.day() };
        match offer::freeze(&freezing, &content) {
            Ok(frozen) => return Ok(Ending::of_plan(screens::frozen(&frozen), &job, &plan)),
            // Another quote took boards meanwhile: what is left has to be planned anew.
            Err(OfferError::Changed(_)) if round < AGAIN => round += 1,
            Err(error) => return Err(wrong(error)),
        }
    }
}

fn list(table: &Table, asked: &Stands) -> Result<Ending, Ending> {
    let all = offer::all_beside(&table.job).map_err(wrong)?;
    let today = asked.day();
    let csv = || table.csv.text(&offer::quotes_sheet(&all, today), Units::Inch);
    let output = if table.csv.asked() { csv() } else { screens::quotes(&all, today) };
    // An offer that somebody has edited is said beside the list, which shows what its record says.
    for frozen in &all {
        let names = frozen.edited().map_err(wrong)?;
        if !names.is_empty() {
            let Ending::Failed { status, message, .. } =
                wrong(OfferError::Edited { folder: frozen.folder.clone(), names })
            else {
                continue;
            };
            return Ok(Ending::Failed { status, message, output });
        }
    }
    Ok(Ending::done(output))
}

fn wrong(error: OfferError) -> Ending {
    match &error {
        OfferError::Files(problems) => Ending::problems("error: the quote's record does not read\n", problems),
        error => Ending::wrong(error, &next_step::after_offer(error)),
    }
}
