//! What happened against what was quoted: a plain CSV in, a table of differences out.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::Deserialize;
use thiserror::Error;

use super::cell::{Cell, yards};
use super::sheets::Sheet;
use crate::files::unguarded;
use crate::job::{Job, Operation};
use crate::plan::Plan;

/// Why a file of actuals cannot be used.
#[derive(Debug, Error)]
pub enum ActualsError {
    /// No header, or not these columns.
    #[error("the first line is not `what,item,actual`")]
    Header,
    /// A row that says nothing.
    #[error("line {line}: {why}")]
    Row {
        /// Counted from 1, the header included.
        line: u64,
        /// What is wrong.
        why: String,
    },
    /// More money than is ever counted.
    #[error("the amounts come to more money than can be counted")]
    TooLarge,
}

/// Amounts by what they are of and whose: `("hours", "ripping")`.
pub(super) type Figures = BTreeMap<(&'static str, String), Decimal>;

/// What was quoted: `hours` by operation (plain labour by its name), `boards` by stock, `yards` by bolt.
pub(super) fn quoted(job: &Job, plan: &Plan) -> Figures {
    let mut quoted = BTreeMap::new();
    for line in &plan.bill.work {
        quoted.insert(("hours", line.rule.operation.word().to_owned()), line.hours);
    }
    for line in plan.bill.costs.iter().filter(|line| line.group == "labour" && line.unit == "hour") {
        if job.shop.labour.iter().any(|labour| labour.name == line.item) {
            *quoted.entry(("hours", line.item.clone())).or_default() += line.quantity;
        }
    }
    for line in &plan.bill.boards {
        quoted.insert(("boards", job.boards[line.stock].stock.clone()), line.boards.into());
    }
    for (bolt, used) in job.bolts.iter().zip(&plan.cloth.bolts).filter(|(_, used)| used.bought.is_positive()) {
        quoted.insert(("yards", bolt.bolt.clone()), yards(used.bought));
    }
    quoted
}

/// Quoted, actual and their difference, a row a figure: hours, boards, yards, each by name. What was quoted and
/// is not in the file has an empty actual; what happened and was not quoted is quoted at 0.
///
/// # Errors
/// [`ActualsError`] with the line that is wrong.
pub fn actuals(job: &Job, plan: &Plan, text: &str) -> Result<Sheet, ActualsError> {
    let happened = read(text.trim_start_matches('\u{feff}'))?;
    let quoted = quoted(job, plan);
    let amounts = happened.keys().filter(|key| key.0 != "cost");
    let keys: std::collections::BTreeSet<_> = quoted.keys().chain(amounts).cloned().collect();
    let row = |key: &(&'static str, String)| {
        let was = quoted.get(key).copied().unwrap_or_default();
        let is = happened.get(key).copied();
        let share = is.filter(|_| !was.is_zero()).and_then(|is| (is - was).checked_mul(Decimal::ONE_HUNDRED));
        let share = share.map(|share| (share / was).round_dp(1).normalize());
        let cell = |figure: Option<Decimal>| figure.map_or(Cell::Empty, Cell::Decimal);
        vec![
            Cell::text(key.0),
            Cell::text(&key.1),
            Cell::Decimal(was.normalize()),
            cell(is.map(|is| is.normalize())),
            cell(is.map(|is| (is - was).normalize())),
            cell(share),
        ]
    };
    let rows = keys.iter().map(row).collect();
    Ok(Sheet::new("actuals", &["what", "item", "quoted", "actual", "difference", "percent"], rows))
}

/// The hours of the file that are an operation's.
///
/// # Errors
/// [`ActualsError`] with the line that is wrong.
pub fn hours_by_operation(text: &str) -> Result<BTreeMap<Operation, Decimal>, ActualsError> {
    let happened = read(text.trim_start_matches('\u{feff}'))?;
    let hours = happened.into_iter().filter(|((what, _), _)| *what == "hours");
    let of = |item: &str| Operation::all().find(|operation| operation.word() == item);
    Ok(hours.filter_map(|((_, item), hours)| Some((of(&item)?, hours))).collect())
}

/// A row of the file as it stands there.
#[derive(Deserialize)]
struct Row<'a> {
    what: &'a str,
    item: &'a str,
    actual: &'a str,
}

pub(super) fn read(text: &str) -> Result<Figures, ActualsError> {
    let mut reader = ::csv::ReaderBuilder::new().trim(::csv::Trim::All).from_reader(text.as_bytes());
    if reader.headers().map_err(|_| ActualsError::Header)? != vec!["what", "item", "actual"] {
        return Err(ActualsError::Header);
    }
    let mut happened = BTreeMap::new();
    for (row, record) in (2u64..).zip(reader.records()) {
        let wrong = |line, why: &str| ActualsError::Row { line, why: why.to_owned() };
        let record = record.map_err(|_| wrong(row, "not three cells"))?;
        let line = record.position().map_or(row, ::csv::Position::line);
        let row: Row<'_> = record.deserialize(None).map_err(|_| wrong(line, "not three cells"))?;
        let what = match row.what {
            "hours" => "hours",
            "boards" => "boards",
            "yards" => "yards",
            "cost" => "cost",
            other => return Err(wrong(line, &format!("`{other}` is not hours, boards, yards or cost"))),
        };
        let figure: Option<Decimal> = row.actual.parse().ok();
        let bounds = Decimal::ZERO..=Decimal::from(1_000_000);
        let figure = figure.filter(|figure| bounds.contains(figure));
        let figure = figure.ok_or_else(|| wrong(line, &format!("`{}` is no amount from 0 to 1000000", row.actual)))?;
        *happened.entry((what, unguarded(row.item).to_owned())).or_default() += figure;
    }
    Ok(happened)
}
