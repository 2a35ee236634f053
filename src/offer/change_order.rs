//! The change order: what is different since a frozen revision, by cabinet and line, in price, days and hours. Both
//! sides are read from the CSV files of a plan, so that anybody can work it out again.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, RoundingStrategy};

use super::{Frozen, OfferError};
use crate::files::unguarded;
use crate::job::Job;
use crate::measure::Cents;
use crate::plan::Plan;
use crate::report::{Cell, Sheet, plan_files};

/// Hours of a working day, by which hours become days.
const HOURS_A_DAY: u32 = 8;

/// One line of a change order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// `added`, `dropped`, `changed` (what it is), `price` (the same thing at another price).
    pub change: &'static str,
    /// `cabinet`, `strip`, `cloth piece`, `line`, or `price` for a discount or a tax.
    pub what: String,
    /// Its name.
    pub name: String,
    /// How it was described; empty where it is new.
    pub was: String,
    /// How it is described; empty where it is gone.
    pub is: String,
    /// What it came to.
    pub before: Cents,
    /// What it comes to.
    pub after: Cents,
}

/// Everything that changed.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeOrder {
    /// What changed; what stayed as it was is left out. The differences sum to that of the totals.
    pub lines: Vec<Changed>,
    /// Total before and after.
    pub total: (Cents, Cents),
    /// Hours before and after: the maker's, then the helper's.
    pub hours: [(Decimal, Decimal); 2],
}

impl ChangeOrder {
    /// Working days, before and after, of whoever has more to do.
    #[must_use]
    pub fn days(&self) -> (Decimal, Decimal) {
        let days = |hours: Decimal| {
            (hours / Decimal::from(HOURS_A_DAY)).round_dp_with_strategy(0, RoundingStrategy::ToPositiveInfinity)
        };
        let [maker, helper] = self.hours;
        (days(maker.0.max(helper.0)), days(maker.1.max(helper.1)))
    }

    /// Nothing changed that the client or the maker would notice.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty() && self.hours.iter().all(|(before, after)| before == after)
    }

    /// One line a row, then the totals.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let money = |amount: Cents| Cell::Money(amount);
        let mut rows: Vec<Vec<Cell>> = self
            .lines
            .iter()
            .map(|line| {
                vec![
                    Cell::text(line.change),
                    Cell::text(&line.what),
                    Cell::text(&line.name),
                    Cell::text(&line.was),
                    Cell::text(&line.is),
                    money(line.before),
                    money(line.after),
                    money(line.after - line.before),
                ]
            })
            .collect();
        let mut total = |what: &str, before: Cell, after: Cell, difference: Cell| {
            let texts = [what, "", "", "", ""].map(Cell::text);
            rows.push(texts.into_iter().chain([before, after, difference]).collect());
        };
        let (before, after) = self.total;
        total("total", money(before), money(after), money(after - before));
        let figures = [("maker hours", self.hours[0]), ("helper hours", self.hours[1]), ("days", self.days())];
        for (what, (before, after)) in figures {
            let cell = |figure: Decimal| Cell::Decimal(figure.normalize());
            total(what, cell(before), cell(after), cell(after - before));
        }
        const COLUMNS: [&str; 8] = ["change", "what", "name", "was", "is", "before", "after", "difference"];
        Sheet::new("change_order", &COLUMNS, rows)
    }
}

/// The change order from a frozen revision to the job as it is planned now.
///
/// # Errors
/// [`OfferError`] when a file of the revision cannot be read.
pub fn change_order(frozen: &Frozen, job: &Job, plan: &Plan) -> Result<ChangeOrder, OfferError> {
    let now: BTreeMap<String, Vec<u8>> = plan_files(job, plan).into_iter().collect();
    let side = |quote: &[u8], costs: &[u8], hours: &[u8]| Side::read(&rows(quote), &rows(costs), &rows(hours));
    let then = side(&frozen.file("plan/quote.csv")?, &frozen.file("plan/costs.csv")?, &frozen.file("plan/hours.csv")?);
    let file = |name: &str| now.get(name).map_or(&[][..], Vec::as_slice);
    let now = side(file("quote.csv"), file("costs.csv"), file("hours.csv"));
    Ok(ChangeOrder {
        lines: lines(&then, &now),
        total: (then.total, now.total),
        hours: [0, 1].map(|person| (then.hours[person], now.hours[person])),
    })
}

/// One side of the comparison, in the order of its files.
struct Side {
    /// What the client reads a price of: its kind, name, words and amount.
    items: Vec<(String, String, String, Cents)>,
    total: Cents,
    hours: [Decimal; 2],
}

type Row = BTreeMap<String, String>;

impl Side {
    fn read(quote: &[Row], costs: &[Row], hours: &[Row]) -> Self {
        let cell = |row: &Row, column: &str| unguarded(row.get(column).map_or("", String::as_str)).to_owned();
        let money = |row: &Row| figure(row, "amount").and_then(Cents::nearest).unwrap_or(Cents::ZERO);
        let mut items = Vec::new();
        let mut total = Cents::ZERO;
        let mut work = (String::new(), Cents::ZERO);
        for row in quote {
            match cell(row, "section").as_str() {
                "total" => total = money(row),
                // The first line of the price is the sum of the items, where there are any.
                "price" if work.0.is_empty() => work = (cell(row, "text"), money(row)),
                "price" => {
                    let text = cell(row, "text");
                    let name = text.split(" of ").next().unwrap_or_default().to_owned();
                    items.push(("price".to_owned(), name, text, money(row)));
                }
                what @ ("cabinet" | "strip" | "cloth piece" | "line") => {
                    items.push((what.to_owned(), cell(row, "name"), cell(row, "text"), money(row)));
                }
                _ => {}
            }
        }
        if items.iter().all(|item| item.0 == "price") {
            items.insert(0, ("price".to_owned(), "the work".to_owned(), work.0, work.1));
        }
        let by = |person: &str| -> Decimal {
            hours.iter().filter(|row| cell(row, "person") == person).filter_map(|row| figure(row, "hours")).sum()
        };
        // Plain labour lines are the maker's and have no row among the operations.
        let labour = costs.iter().filter(|row| cell(row, "group") == "labour" && cell(row, "unit") == "hour");
        let all: Decimal = labour.filter_map(|row| figure(row, "quantity")).sum();
        let helper = by("helper");
        Self { items, total, hours: [all - helper, helper] }
    }
}

fn lines(then: &Side, now: &Side) -> Vec<Changed> {
    let same = |a: &(String, String, String, Cents), b: &(String, String, String, Cents)| a.0 == b.0 && a.1 == b.1;
    let line = |change, item: &(String, String, String, Cents), was: &str, is: &str, before, after| Changed {
        change,
        what: item.0.clone(),
        name: item.1.clone(),
        was: was.to_owned(),
        is: is.to_owned(),
        before,
        after,
    };
    let mut found = Vec::new();
    for old in &then.items {
        match now.items.iter().find(|new| same(old, new)) {
            None => found.push(line("dropped", old, &old.2, "", old.3, Cents::ZERO)),
            Some(new) if new.2 != old.2 => found.push(line("changed", old, &old.2, &new.2, old.3, new.3)),
            Some(new) if new.3 != old.3 => found.push(line("price", old, &old.2, &new.2, old.3, new.3)),
            Some(_) => {}
        }
    }
    let added = now.items.iter().filter(|new| !then.items.iter().any(|old| same(old, new)));
    found.extend(added.map(|new| line("added", new, "", &new.2, Cents::ZERO, new.3)));
    found
}

fn figure(row: &Row, column: &str) -> Option<Decimal> {
    row.get(column)?.parse().ok()
}

/// Rows of a CSV text by column; the program's own files are regular.
fn rows(text: &[u8]) -> Vec<Row> {
    csv::Reader::from_reader(text).deserialize().filter_map(Result::ok).collect()
}
