//! Boards on the bill: what the plan uses, what it costs, how it is asked for at the yard.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, RoundingStrategy};

use super::{BillError, BoardLine, BuyLine, CostLine, cents, priced};
use crate::job::{BoardStock, BoardUnit, Job};
use crate::measure::{Length, Price, StockThickness, Units};
use crate::packing::boards::{BoardPlan, WidthLevel, WidthRange};

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
pub(super) fn lumber_to_buy(job: &Job, plan: &BoardPlan, lines: &[BoardLine]) -> Result<Vec<BuyLine>, BillError> {
    let bought = lines.iter().filter(|line| job.boards[line.stock].on_hand.is_none());
    let range = |line: &BoardLine| plan.ranges.iter().find(|range| range.stock == line.stock);
    bought.map(|line| lumber_line(job, line, range(line))).collect()
}

fn lumber_line(job: &Job, line: &BoardLine, range: Option<&WidthRange>) -> Result<BuyLine, BillError> {
    let stock = &job.boards[line.stock];
    let asked = range.and_then(|range| Asked::new(stock, line, range));
    // Lumber is asked for by the board foot: an allowance is a figure for the yard, not for the sum.
    let allowance = match &asked {
        Some(asked) => asked.feet - line.volume.board_feet(2),
        None if stock.random => line.volume.board_feet(6) * job.shop.yard_allowance.decimal(),
        None => Decimal::ZERO,
    };
    let allowance = allowance.round_dp_with_strategy(2, RoundingStrategy::AwayFromZero).normalize();
    let price = Price::new(stock.unit_cost.decimal()).map_err(|_| BillError::TooLarge { line: stock.stock.clone() })?;
    Ok(BuyLine {
        what: "lumber",
        item: wood(stock, job.units),
        // Where the range is known, the narrowest that yields every strip.
        at_least_width: Some(asked.as_ref().map_or(stock.width, |asked| asked.narrowest)),
        at_least_length: Some(stock.length),
        quantity: Decimal::from(line.boards),
        unit: "board".to_owned(),
        price,
        cost: line.cost,
        allowance,
        say: match asked {
            Some(asked) => asked.sentence(job, line, allowance),
            None => sentence(job, line, allowance),
        },
    })
}

/// `4/4 black cherry`, `19 mm black cherry`.
fn wood(stock: &BoardStock, units: Units) -> String {
    match stock.thickness {
        StockThickness::Plain(length) => format!("{} {units} {}", length.show(units), stock.species),
        quarters => format!("{} {}", quarters.show(units), stock.species),
    }
}

/// What to ask for where boards come in a known range of widths.
struct Asked<'a> {
    /// Whole board feet that are enough at any one width of the range.
    feet: Decimal,
    /// The widths that take most.
    worst: &'a WidthLevel,
    /// The narrowest board that yields every strip.
    narrowest: Length,
    widest: Length,
    /// Narrower ones come, but do not yield every strip.
    some_too_narrow: bool,
}

impl<'a> Asked<'a> {
    fn new(stock: &BoardStock, line: &BoardLine, range: &'a WidthRange) -> Option<Self> {
        let (least, widest) = stock.widths?;
        let worst = range.worst()?;
        let narrowest = range.levels.first()?.from;
        let taken = stock.length * worst.width_taken() * stock.thickness.charged();
        let feet = taken.board_feet(6).max(line.volume.board_feet(6)).ceil();
        Some(Self { feet, worst, narrowest, widest, some_too_narrow: narrowest > least })
    }

    /// The boards that take most.
    fn most(&self, job: &Job) -> String {
        let width = format!("just under {} {} wide", self.worst.to.show(job.units), job.units);
        match self.worst.boards.len() {
            1 => format!("1 board {width}"),
            boards => format!("{boards} boards, all of them {width},"),
        }
    }

    fn sentence(&self, job: &Job, line: &BoardLine, allowance: Decimal) -> String {
        let stock = &job.boards[line.stock];
        let show = |length: Length| length.show(job.units);
        let planned = line.volume.board_feet(2);
        // The smallest boards come to no board foot at all in two places.
        let share = allowance.checked_div(planned).map_or_else(String::new, |share| {
            format!("{} %, ", (share * Decimal::ONE_HUNDRED).round_dp(1).normalize())
        });
        let mut say = format!(
            "{}: ask for {} bf in boards {} to {} {} wide, at least {} long; planned as {} {}, {} {} wide, {} bf; \
             the allowance of {allowance} bf ({share}not in the price) is for what comes: {} would \
             take most",
            wood(stock, job.units),
            self.feet,
            show(self.narrowest),
            show(self.widest),
            job.units,
            long(stock.length, job.units),
            line.boards,
            if line.boards == 1 { "board" } else { "boards" },
            show(stock.width),
            job.units,
            planned.normalize(),
            self.most(job),
        );
        if self.some_too_narrow {
            say.push_str(&format!(
                "; leave boards under {} {}, they do not yield every strip",
                show(self.narrowest),
                job.units
            ));
        }
        say
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
