//! The commands of the price: `quote`, `compare`, `estimate`.

use std::collections::BTreeMap;
use std::path::PathBuf;

use clap::Args;
use rust_decimal::Decimal;

use super::floor;
use super::kept::{self, Kept};
use super::progress::Watch;
use super::{Ending, Limit, Table, cut_short_note, load, next_step, offer, planned, refused, screens, whole_text};
use crate::bill;
use crate::estimate::estimate;
use crate::job::{self, InsideSize, Job, Operation, OtherWay, Rough};
use crate::measure::{Length, Units, parse_length};
use crate::plan::Plan;
use crate::report::actuals::ActualsError;
use crate::report::quote::Way;
use crate::report::{self, actuals, csv_text, earned};
use crate::shopfloor::{gather_hours, mark};

#[derive(Debug, Args)]
pub(super) struct QuoteArguments {
    #[command(flatten)]
    table: Table,
    /// Print the quote that is handed over: scope,
    /// materials, price, payments; no cost, no margin
    #[arg(long, conflicts_with = "actual", verbatim_doc_comment)]
    client: bool,
    /// Set what happened against it: a CSV file
    /// `what,item,actual`, where what is hours (item: the
    /// operation), boards (the stock), yards (the bolt) or
    /// cost (money: a group of the costs, or a new one)
    #[arg(long, conflicts_with_all = ["stands", "revision"], verbatim_doc_comment)]
    actual: Option<PathBuf>,
    /// With --actual and --csv: quoted, spent and earned
    /// money by group instead of hours and amounts
    #[arg(long, requires = "actual", verbatim_doc_comment)]
    earned: bool,
    /// With --actual: write the hours of its operations into
    /// the history that the shop file points to; the next
    /// quote of another job starts from them
    #[arg(long, requires = "actual", verbatim_doc_comment)]
    record: bool,
    /// Print what this plan folder holds instead of packing
    /// again, as long as the job's files are unchanged
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["seconds", "actual", "stands", "revision", "csv_comma", "json"], verbatim_doc_comment)]
    plan: Option<PathBuf>,
    #[command(flatten)]
    stands: offer::Stands,
    #[command(flatten)]
    limit: Limit,
}

#[derive(Debug, Args)]
pub(super) struct EstimateArguments {
    /// The job file whose shop, stock and slats are taken.
    job: PathBuf,
    /// Rough inside sizes of a case, width x depth x height,
    /// instead of the job's own cabinets
    #[arg(long, verbatim_doc_comment)]
    inside: Option<String>,
    /// Its doors: left, right, pair or up
    #[arg(long, hide_possible_values = true, default_value = "pair", value_parser = ["left", "right", "pair", "up"], requires = "inside")]
    doors: String,
    /// How many such cases.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=10_000), requires = "inside")]
    count: u32,
    #[command(flatten)]
    limit: Limit,
}

pub(super) fn quote(asked: &QuoteArguments) -> Result<Ending, Ending> {
    if asked.stands.asked() {
        return offer::answer(&asked.table, asked.client, &asked.stands, &asked.limit);
    }
    if let Some(folder) = &asked.plan {
        let what = if asked.client { Kept::ClientQuote } else { Kept::Quote };
        return kept::print(&asked.table.job, folder, what, asked.table.csv.asked());
    }
    // A file that cannot be read is said before the packing, not after.
    let happened = asked.actual.as_deref().map(|path| whole_text(path).map(|text| (path, text))).transpose()?;
    let (job, plan) = planned(&asked.table.job, &asked.limit)?;
    if let Some((path, text)) = happened {
        let wrong = |error: ActualsError| {
            Ending::wrong(format!("`{}`: {error}", path.display()), next_step::after_actuals(&error))
        };
        let sheet = actuals::actuals(&job, &plan, &text).map_err(wrong)?;
        let groups = earned::earned(&job, &plan, &text).map_err(wrong)?;
        let happened = actuals::hours_by_operation(&text).map_err(wrong)?;
        let csv = &asked.table.csv;
        let text = match (csv.asked(), asked.earned) {
            (true, true) => csv.text(&earned::sheet(&groups), job.units),
            (true, false) => csv.text(&sheet, job.units),
            (false, true) => screens::earned(&job, &groups),
            (false, false) => screens::actuals(&job, &sheet) + "\n" + &screens::earned(&job, &groups),
        };
        let text = if asked.record { text + &recorded(&job, &plan, &happened)? } else { text };
        return Ok(Ending::of_plan(text, &job, &plan));
    }
    let csv = &asked.table.csv;
    let text = match (asked.client, csv.asked()) {
        (true, true) => {
            let quote = bill::quote(&job, &plan.doors, &plan.bill);
            csv.text(&report::quote::client(&quote, &plan.options), job.units)
        }
        (true, false) => screens::client(&job, &plan, None),
        (false, true) => csv.text(&report::costs(&plan), job.units),
        (false, false) => screens::quote(&job, &plan, None),
    };
    Ok(Ending::of_plan(text, &job, &plan))
}

/// Writes the hours that operations took into the shop's history; says how many it learned from.
fn recorded(job: &Job, plan: &Plan, took: &BTreeMap<Operation, Decimal>) -> Result<String, Ending> {
    let (past, seen) = floor::past(job)?;
    let mark: String = mark(csv_text(&report::rips(job, plan), job.units).as_bytes()).chars().take(8).collect();
    let history = gather_hours(job, plan, &mark, took, &past);
    let path = floor::write_history(job, &history, seen.as_deref())?;
    let learned = plan.bill.work.iter().filter(|line| took.contains_key(&line.rule.operation)).count();
    let word = if learned == 1 { "operation" } else { "operations" };
    Ok(format!("\nHours of {learned} {word} are written to {path}.\n"))
}

/// The job as it stands, then each of its alternatives.
pub(super) fn compare(table: &Table, limit: &Limit) -> Result<Ending, Ending> {
    let base = load(&table.job)?;
    if base.alternatives.is_empty() {
        let help = "add `[[alternative]]` with a name and what it changes: any key of `[slats]` or of a cabinet, \
                    reject_rate, boards, `drop = [\"press\"]`, or `[[alternative.cabinet]]` for one by name";
        return Err(Ending::wrong("the job has no alternatives to compare", help));
    }
    let mut ways = vec![way(("as it stands", ""), &base, limit)];
    for (index, OtherWay { name, changes }) in base.alternatives.iter().enumerate() {
        let changed = job::load_alternative(&table.job, index).map_err(|problems| {
            Ending::problems(&format!("error: the alternative `{name}` makes the job wrong\n"), &problems)
        })?;
        ways.push(way((name, changes), &changed, limit));
    }
    let csv = || table.csv.text(&report::quote::compare(&ways), base.units);
    let output = if table.csv.asked() { csv() } else { screens::compare(&base, &ways) };
    Ok(Ending::Done { output, note: cut_short_note(report::quote::cut_short(&ways)) })
}

fn way((name, changes): (&str, &str), job: &Job, limit: &Limit) -> Way {
    // A row of the table has room for one reason.
    let first = |cannot| screens::reasons(job, &cannot).into_iter().next().unwrap_or_default();
    let plan = super::pack(job, limit).map_err(first);
    let to_pay = plan.as_ref().ok().map(|plan| bill::quote(job, &plan.doors, &plan.bill).total);
    Way { name: name.to_owned(), changes: changes.to_owned(), to_pay, plan }
}

pub(super) fn quick(asked: &EstimateArguments) -> Result<Ending, Ending> {
    let mut job = load(&asked.job)?;
    if let Some(text) = &asked.inside {
        let rough = rough(asked, text, job.units)?;
        if job.cabinets.iter().all(|cabinet| cabinet.inside.is_none()) {
            let what = "the job has no case given by its inside sizes, from which to take grooves and corners";
            return Err(Ending::wrong(what, "take a job with such a case, as `slatwright new` writes one"));
        }
        job = job::load_rough(&asked.job, &rough)
            .map_err(|problems| Ending::problems("error: no such case can be laid out\n", &problems))?;
    }
    let mut watch = Watch::start(asked.limit.seconds, job.units);
    let found = estimate(&job, &mut |stage, progress| watch.hear(stage, progress));
    let stopped = watch.finish();
    match found {
        Ok(found) => {
            let said = "low, expected and high lie further apart than they need";
            Ok(Ending::of_answer(screens::estimate(&job, &found), stopped, said))
        }
        Err(cannot) => Err(refused(&job, &cannot)),
    }
}

/// `36 x 15-1/2 x 28`, in the job's unit where none is written.
fn rough(asked: &EstimateArguments, text: &str, units: Units) -> Result<Rough, Ending> {
    let [width, depth, height] = three_sizes("--inside", text, units)?;
    let inside = InsideSize { width, depth, height };
    let doors = ["left", "right", "pair", "up"].into_iter().find(|word| *word == asked.doors).unwrap_or("pair");
    Ok(Rough { inside, doors, count: asked.count })
}

/// Width, depth and height as they are said in one argument.
pub(super) fn three_sizes(option: &str, text: &str, units: Units) -> Result<[Length; 3], Ending> {
    let wrong = |why: &str, next: &str| Ending::wrong(format!("`{option} {text}`: {why}"), next);
    let sizes: Vec<&str> = text.split(['x', 'X']).map(str::trim).collect();
    let [width, depth, height] = sizes[..] else {
        return Err(wrong("three sizes are needed", "write width x depth x height, as \"36 x 15-1/2 x 28\""));
    };
    let size = |text: &str| match parse_length(text, units) {
        Ok(length) if length.is_positive() => Ok(length),
        Ok(_) => Err(wrong("a size cannot be 0", "give every size above zero")),
        Err(error) => Err(wrong(&error.to_string(), error.help())),
    };
    Ok([size(width)?, size(depth)?, size(height)?])
}
