//! Boards on the bill: what the plan uses, what it costs, how it is asked for at the yard.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, RoundingStrategy};

use super::{BillError, BoardLine, BuyLine, CostLine, cents, priced};
use crate::job::{BoardStock, BoardUnit, Job};
use crate::measure::{Length, Price, StockThickness, Units};
use crate::packing::boards::BoardPlan;

/// Boards used, one line a stock row, by stock name.
pub(super) fn board_lines(job: &Job, plan: &BoardPlan) -> Result<Vec<BoardLine>, BillError> {
    let mut used: BTreeMap<usize, u32> = BTreeMap::new();
    for board in &plan.boards {
        *used.entry(board.stock).or_default() += 1;
    }
    let mut lines = Vec::new();
    for (index, boards) in used {
        let stock = job.boards.get(index).ok_or(BillError::UnknownStock { index })?;
        let volume = stock.length * stock.width * stock.thickness.charged() * i64::from(boards);
        let cost = cents(&stock.stock, stock.unit_cost.decimal().checked_mul(Decimal::from(boards)))?;
        lines.push(BoardLine { stock: index, boards, volume, cost });
    }
    lines.sort_by(|a, b| job.boards[a.stock].stock.cmp(&job.boards[b.stock].stock));
    Ok(lines)
}

/// What the boards cost: whole boards at the price of one, so that the line multiplies out.
pub(super) fn board_costs(job: &Job, lines: &[BoardLine]) -> Result<Vec<CostLine>, BillError> {
    let line = |line: &BoardLine| {
        let stock = &job.boards[line.stock];
        priced("boards", &stock.stock, Decimal::from(line.boards), "board", stock.unit_cost.decimal())
    };
    lines.iter().map(line).collect()
}

/// Boards to buy; what lies on the rack already is not on the list.
pub(super) fn lumber_to_buy(job: &Job, lines: &[BoardLine]) -> Result<Vec<BuyLine>, BillError> {
    let bought = lines.iter().filter(|line| job.boards[line.stock].on_hand.is_none());
    bought.map(|line| lumber_line(job, line)).collect()
}

fn lumber_line(job: &Job, line: &BoardLine) -> Result<BuyLine, BillError> {
    let stock = &job.boards[line.stock];
    let share = if stock.random { job.shop.yard_allowance.decimal() } else { Decimal::ZERO };
    // Lumber is asked for by the board foot: an allowance is a figure for the yard, not for the sum.
    let allowance =
        (line.volume.board_feet(6) * share).round_dp_with_strategy(2, RoundingStrategy::AwayFromZero).normalize();
    let price = Price::new(stock.unit_cost.decimal()).map_err(|_| BillError::TooLarge { line: stock.stock.clone() })?;
    Ok(BuyLine {
        what: "lumber",
        item: wood(stock, job.units),
        at_least_width: Some(stock.width),
        at_least_length: Some(stock.length),
        quantity: Decimal::from(line.boards),
        unit: "board".to_owned(),
        price,
        cost: line.cost,
        allowance,
        say: sentence(job, line, allowance),
    })
}

/// `4/4 black cherry`, `19 mm black cherry`.
fn wood(stock: &BoardStock, units: Units) -> String {
    match stock.thickness {
        StockThickness::Plain(length) => format!("{} {units} {}", length.show(units), stock.species),
        quarters => format!("{} {}", quarters.show(units), stock.species),
    }
}

fn sentence(job: &Job, line: &BoardLine, allowance: Decimal) -> String {
    let stock = &job.boards[line.stock];
    let (width, length) = (stock.width.show(job.units), long(stock.length, job.units));
    let boards = if line.boards == 1 { "board" } else { "boards" };
    let measure = match stock.price {
        Some((_, BoardUnit::CubicMetre)) => format!("{} m3", line.volume.cubic_metres(4).normalize()),
        _ => format!("{} bf", line.volume.board_feet(2).normalize()),
    };
    let mut say = format!(
        "{}, {measure}: at least {} {boards} {width} {} wide, {length} long; \
         any board at least as wide and long may replace a listed one",
        wood(stock, job.units),
        line.boards,
        job.units
    );
    if stock.random {
        say.push_str("; sold in random widths");
    }
    if !allowance.is_zero() {
        say.push_str(&format!(", so ask for {allowance} bf more (not in the price)"));
    }
    say
}

/// Whole feet as the yard says them, else the job's unit.
fn long(length: Length, units: Units) -> String {
    let foot = Length::from_inches(12);
    if units == Units::Inch && length.nm() % foot.nm() == 0 {
        format!("{} ft", length.nm() / foot.nm())
    } else {
        format!("{} {units}", length.show(units))
    }
}
