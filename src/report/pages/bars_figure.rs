//! Where the price goes and whose hours it takes, a bar a row.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::figure::{Figure, Hang, figure};
use crate::bill::{CostLine, quantity_words};
use crate::job::{Job, Person};
use crate::measure::Cents;
use crate::plan::Plan;

/// Left edge of the bars, length of the longest, height of a row.
const LEFT: f64 = 130.0;
const LONGEST: f64 = 330.0;
const ROW: f64 = 20.0;
/// Strokes in a bar stand so far apart.
const APART: f64 = 6.0;

/// What it is, how long its bar is beside the others, and its figure in words.
type Bar = (&'static str, f64, String);

/// The bars under each other, the longest as long as there is room. What is below zero has its figure and no bar.
fn bars(what: &str, bars: &[Bar]) -> Figure {
    let said: Vec<String> = bars.iter().map(|(name, _, said)| format!("{name} {said}")).collect();
    let mut sheet = Figure::new(format!("{what}: {}", said.join("; ")), 680.0, ROW * bars.len() as f64 + 4.0);
    let longest = bars.iter().map(|bar| bar.1).fold(0.0, f64::max);
    for (row, (name, length, said)) in bars.iter().enumerate() {
        let (top, high) = (ROW * row as f64 + 3.0, ROW - 6.0);
        let long = if longest > 0.0 { length.max(0.0) / longest * LONGEST } else { 0.0 };
        sheet.text("key", Hang::End, (LEFT - 8.0, top + 11.0), *name);
        if long > 0.0 {
            sheet.rect("blank", (LEFT, top), (long, high));
        }
        let strokes = 1..(long / APART).ceil() as u32;
        let stroke = |at: u32| format!("M{} {}v{}", figure(LEFT + APART * f64::from(at)), figure(top), figure(high));
        let strokes: String = strokes.map(stroke).collect();
        if !strokes.is_empty() {
            sheet.path("hatch", strokes);
        }
        sheet.text("key", Hang::Start, (LEFT + long + 8.0, top + 11.0), said);
    }
    sheet
}

/// Parts of a price in the order of the bill.
const PARTS: [&str; 7] = ["boards", "cloth", "other materials", "labour", "overhead", "margin", "tax"];

/// The part of the price that a cost line is told under; groups of the job's own are other materials.
fn told_under(line: &CostLine) -> &'static str {
    match line.group.as_str() {
        "boards" | "rack" | "sheets" | "panels" => "boards",
        "cloth" => "cloth",
        "labour" => "labour",
        "burden" | "overhead" | "contingency" => "overhead",
        "markup" | "margin" | "discount" | "least charge" | "rounding" => "margin",
        "tax" => "tax",
        _ => "other materials",
    }
}

/// The price in its parts; `None` for a job that costs nothing.
pub(super) fn price(job: &Job, plan: &Plan) -> Option<Figure> {
    let total = plan.bill.total.get();
    let parts = PARTS.map(|part| {
        let cost: Cents = plan.bill.costs.iter().filter(|line| told_under(line) == part).map(|line| line.cost).sum();
        let percent = cost.get() as f64 / total as f64 * 100.0;
        (part, cost.get() as f64, format!("{}, {percent:.1} %", cost.marked(&job.shop.currency)))
    });
    let parts: Vec<Bar> = parts.into_iter().filter(|bar| bar.1 != 0.0).collect();
    (total > 0).then(|| bars("The price in its parts", &parts))
}

/// The hours of the operations, the maker's and the helper's; `None` where the shop has no times of operations.
pub(super) fn hours(plan: &Plan) -> Option<Figure> {
    let people = [Person::Maker, Person::Helper].map(|person| {
        let lines = plan.bill.work.iter().filter(|line| line.rule.person == person);
        let hours: Decimal = lines.map(|line| line.hours).sum();
        (person.word(), hours.to_f64().unwrap_or(0.0), quantity_words(hours, "hour"))
    });
    (!plan.bill.work.is_empty()).then(|| bars("Hours", &people))
}
