//! The force curve of a roll-up: what the hand does from closed to open.

use super::figure::{Figure, Hang, figure};
use super::shell::Words;
use crate::doors::{Balance, BalancePoint};
use crate::measure::{force, force_unit};

/// Its name, its pen, and the force it shows.
type Curve = (&'static str, &'static str, fn(&BalancePoint) -> f64);

/// Plot area on the sheet: left, top, width, height.
const AREA: (f64, f64, f64, f64) = (70.0, 14.0, 536.0, 170.0);
/// Newtons or pounds between two grid lines are the first of these that leaves at most six.
const STEPS: [f64; 9] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];

/// Lifting and lowering, each between waxed and bare wood, and holding between them.
pub(super) fn balance_figure(words: Words, balance: &Balance) -> Figure {
    let mut sheet = Figure::new("Force at the lead edge from closed to open".to_owned(), 700.0, 232.0);
    let said = |newtons: f64| force(newtons, words.units());
    let values = || balance.points.iter().flat_map(|p| [p.lift.0, p.lift.1, p.lower.0, p.lower.1, 0.0]).map(said);
    let (low, high) = (values().fold(0.0, f64::min), values().fold(0.0, f64::max));
    let step = STEPS.into_iter().find(|step| (high - low) / step <= 6.0).unwrap_or(1_000.0);
    let (low, high) = ((low / step).floor() * step, ((high / step).ceil() * step).max(step));
    let travel = balance.points.last().map_or(1.0, |point| point.lead_edge.mm_f64()).max(1.0);
    let (left, top, width, height) = AREA;
    let across = |point: &BalancePoint| left + width * point.lead_edge.mm_f64() / travel;
    let down = |force: f64| top + height * (high - said(force)) / (high - low);
    let lines = ((high - low) / step).round() as u32;
    for line in 0..=lines {
        let amount = low + step * f64::from(line);
        let y = top + height * (high - amount) / (high - low);
        sheet.line("grain", (left, y), (left + width, y));
        let unit = force_unit(words.units());
        sheet.text("small", Hang::End, (left - 5.0, y + 3.0), format!("{amount} {unit}"));
    }
    let curve = |pick: fn(&BalancePoint) -> f64| {
        let mut d = String::new();
        for (index, point) in balance.points.iter().enumerate() {
            let pen = if index == 0 { "M" } else { "L" };
            d.push_str(&format!("{pen}{} {}", figure(across(point)), figure(down(pick(point)))));
        }
        d
    };
    sheet.line("board", (left, down(0.0)), (left + width, down(0.0)));
    let curves: [Curve; 5] = [
        ("lift, bare", "board", |point| point.lift.1),
        ("lift, waxed", "board", |point| point.lift.0),
        ("hold", "centre", |point| point.hold),
        ("lower, waxed", "dim", |point| point.lower.0),
        ("lower, bare", "dim", |point| point.lower.1),
    ];
    let mut labels: Vec<(f64, &str)> = Vec::new();
    for (name, pen, pick) in curves {
        sheet.path(pen, curve(pick));
        labels.extend(balance.points.last().map(|point| (down(pick(point)) + 3.0, name)));
    }
    // Names beside the curves' ends, pushed apart where they would lie on one another.
    let mut lowest = f64::NEG_INFINITY;
    for (at, name) in labels {
        let at = at.max(lowest + 13.0);
        sheet.text("small", Hang::Start, (left + width + 4.0, at), name);
        lowest = at;
    }
    let foot = top + height + 16.0;
    sheet.text("word", Hang::Start, (left, foot), "closed");
    let open = balance.points.last().map_or_else(String::new, |point| format!("open, {}", words.len(point.lead_edge)));
    sheet.text("word", Hang::End, (left + width, foot), open);
    sheet
}
