//! The figures of a whole plan.

use super::Sheet;
use crate::job::{Job, Order};
use crate::measure::{Cents, Length, Volume};
use crate::plan::Plan;
use crate::report::cell::Cell;
use crate::report::strips::cut_per_part;
use crate::shopfloor::stock_mark;

/// The cutting that the bounds on cloth hold for.
pub const CLOTH_CUTS: &str = "stacked levels";

/// `summary.csv`: one figure a row.
#[must_use]
pub fn summary(job: &Job, plan: &Plan) -> Sheet {
    let (boards, cloth) = (&plan.boards, &plan.cloth);
    let money = job.shop.currency.as_str();
    let length = job.units.word();
    let volume: Volume = plan.bill.boards.iter().map(|line| line.volume).sum();
    let bought: Length = cloth.bolts.iter().map(|bolt| bolt.bought).sum();
    let needed: i64 = plan.demand.parts.iter().map(|part| i64::from(part.needed)).sum();
    let spare: i64 = plan.demand.parts.iter().map(|part| i64::from(part.spares)).sum();
    let cut: u64 = cut_per_part(boards, plan.demand.parts.len()).iter().sum();
    let row = |name: &'static str, value: Cell, unit: &str| vec![Cell::text(name), value, Cell::text(unit)];
    let word = |file, metric| Cell::Word { file, metric };
    let count = |n: u64| Cell::Count(n.cast_signed());
    let ease = plan.ease.1;
    let amount = |name, cents: Cents| row(name, Cell::Money(cents), money);
    let mut rows = vec![
        vec![word("board_feet", "wood"), Cell::Wood(volume), word("bf", "m3")],
        amount("board_cost", boards.cost),
        amount("board_cost_bound", boards.bound),
        row("cloth_length", Cell::Length(cloth.length), length),
        row("cloth_length_bound", Cell::Length(cloth.length_bound), length),
        amount("cloth_cost", cloth.cost),
        amount("cloth_cost_bound", cloth.cost_bound),
        vec![word("fabric_yards", "cloth_used"), Cell::Cloth(cloth.length), word("yard", "metre")],
        vec![word("bought_yards", "cloth_bought"), Cell::Cloth(bought), word("yard", "metre")],
        row("strips_needed", Cell::Count(needed), "strip"),
        row("strips_spare", Cell::Count(spare), "strip"),
        row("strips_surplus", Cell::Count(cut.cast_signed() - needed - spare), "strip"),
        amount("total_cost", plan.bill.total),
        row("boards_proven_least", Cell::YesNo(boards.optimal), ""),
        row("cloth_proven_least", Cell::YesNo(cloth.optimal), ""),
        row("cut_short", Cell::YesNo(boards.cut_short || cloth.cut_short || plan.cased.sheets.cut_short), ""),
        row("boards", Cell::Count(boards.boards.len().try_into().unwrap_or(i64::MAX)), "board"),
        row("cloth_cuts", Cell::text(CLOTH_CUTS), ""),
        row("door_boards", count(ease.door_boards), "board"),
        row("door_boards_bound", count(ease.door_boards_bound), "board"),
        row("blank_lengths", count(ease.blank_lengths as u64), "length"),
        row("rip_widths", count(ease.rip_widths as u64), "width"),
        row("fence_settings", count(ease.fence_settings as u64), "setting"),
        row("largest_offcut_width", Cell::Length(ease.offcut.map_or(Length::ZERO, |offcut| offcut.width)), length),
        row("largest_offcut_length", Cell::Length(ease.offcut.map_or(Length::ZERO, |offcut| offcut.length)), length),
        row("stock_mark", Cell::text(stock_mark(job)), ""),
    ];
    for one in &plan.one_order {
        let (cost, bound) = match one.order {
            Order::CrosscutFirst => ("board_cost_crosscut_first", "board_cost_crosscut_first_bound"),
            Order::RipFirst => ("board_cost_rip_first", "board_cost_rip_first_bound"),
        };
        let cents = |cents: Option<Cents>| cents.map_or(Cell::Empty, Cell::Money);
        rows.push(row(cost, cents(one.boards.as_ref().map(|boards| boards.cost)), money));
        rows.push(row(bound, cents(one.boards.as_ref().map(|boards| boards.bound)), money));
    }
    if !plan.cased.case.is_empty() {
        let (case, sheets) = (&plan.cased.case, &plan.cased.sheets);
        let panels = case.panels.iter().map(|panel| i64::from(panel.count)).sum();
        rows.push(row("panels", Cell::Count(panels), "panel"));
        rows.push(row("sheets", count(sheets.boards.len() as u64), "sheet"));
        rows.push(amount("sheet_cost", sheets.cost));
        rows.push(amount("sheet_cost_bound", sheets.bound));
        rows.push(row("sheets_proven_least", Cell::YesNo(sheets.optimal), ""));
    }
    Sheet::new("summary", &["figure", "value", "unit"], rows)
}
