//! Boards on the bill: what the plan uses, what it costs, how it is asked for at the yard.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, RoundingStrategy};

use super::{BillError, BoardLine, BuyLine, CostLine, PLACES, cents, priced};
use crate::job::{BoardPlace, BoardStock, BoardUnit, Job, RackWorth};
use crate::measure::{Length, Price, StockThickness, Units, Volume};
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
        let volume = stock.volume() * i64::from(boards);
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

/// Before the row's name in the line of what its random widths take.
pub(super) const RANDOM_WIDTHS: &str = "random widths, ";

/// What random widths take beyond the planning size, on the average of a mixed delivery, as lines by the volume.
pub(super) fn allowance_costs(job: &Job, plan: &BoardPlan, lines: &[BoardLine]) -> Result<Vec<CostLine>, BillError> {
    let one = |line: &BoardLine| {
        let stock = &job.boards[line.stock];
        let by = WoodUnit::of(job.units);
        let amount = expected_allowance(job, plan, line);
        let name = format!("{RANDOM_WIDTHS}{}", stock.stock);
        (!amount.is_zero()).then(|| priced("boards", &name, amount, by.word(), by.price(stock)))
    };
    lines.iter().filter_map(one).collect()
}

/// What a bill measures wood by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WoodUnit {
    /// In a job in inches.
    BoardFoot,
    /// In a job in millimetres.
    CubicMetre,
}

impl WoodUnit {
    pub(super) const fn of(units: Units) -> Self {
        match units {
            Units::Inch => Self::BoardFoot,
            Units::Millimetre => Self::CubicMetre,
        }
    }

    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::BoardFoot => "bf",
            Self::CubicMetre => "m3",
        }
    }

    /// An amount to so many places.
    pub(super) fn amount(self, volume: Volume, places: u32) -> Decimal {
        match self {
            Self::BoardFoot => volume.board_feet(places),
            Self::CubicMetre => volume.cubic_metres(places),
        }
    }

    /// Places on a cost line: a hundredth of a board foot, a tenth of a litre.
    pub(super) const fn places(self) -> u32 {
        match self {
            Self::BoardFoot => 2,
            Self::CubicMetre => PLACES,
        }
    }

    /// So many boards of a row. Under 1 in counts as 1 in for board feet alone.
    fn boards(self, stock: &BoardStock, boards: u32) -> Volume {
        self.wide(stock, stock.width * i64::from(boards))
    }

    /// Boards of a row that are so wide together.
    fn wide(self, stock: &BoardStock, width: Length) -> Volume {
        stock.length * width * self.thickness(stock)
    }

    /// The thickness that a row is sold by.
    pub(super) fn thickness(self, stock: &BoardStock) -> Length {
        match self {
            Self::BoardFoot => stock.thickness.charged(),
            Self::CubicMetre => stock.thickness.nominal(),
        }
    }

    /// What one unit of a row costs, to four places.
    pub(super) fn price(self, stock: &BoardStock) -> Decimal {
        match (self, stock.price) {
            (Self::BoardFoot, Some((price, BoardUnit::BoardFoot)))
            | (Self::CubicMetre, Some((price, BoardUnit::CubicMetre))) => price.decimal(),
            _ => {
                let amount = self.amount(self.boards(stock, 1), 6);
                let price = stock.unit_cost.decimal().checked_div(amount).unwrap_or_default();
                price.round_dp_with_strategy(PLACES, RoundingStrategy::MidpointAwayFromZero).normalize()
            }
        }
    }
}

/// What is to be expected of boards in random widths beyond the planning size, in the job's unit, rounded up to the places
/// of a cost line.
///
/// Where the yard's range is known, every width of it is taken for equally likely: a level of widths that needs n
/// boards takes n boards of its mean width. Else it is the shop's own allowance.
pub(super) fn expected_allowance(job: &Job, plan: &BoardPlan, line: &BoardLine) -> Decimal {
    let stock = &job.boards[line.stock];
    if stock.on_hand.is_some() || !stock.random {
        return Decimal::ZERO;
    }
    let known = stock.widths.and_then(|_| plan.ranges.iter().find(|range| range.stock == line.stock));
    let by = WoodUnit::of(job.units);
    let planned = by.amount(by.boards(stock, line.boards), 6);
    let more = match known {
        Some(range) => by.amount(by.wide(stock, mean_width(range)), 6) - planned,
        None => planned * job.shop.yard_allowance.decimal(),
    };
    more.max(Decimal::ZERO).round_dp_with_strategy(by.places(), RoundingStrategy::AwayFromZero).normalize()
}

/// Width of all boards together, on the average of the widths that do.
fn mean_width(range: &WidthRange) -> Length {
    let span = |level: &WidthLevel| i128::from((level.to - level.from).nm());
    let twice =
        |level: &WidthLevel| level.boards.len() as i128 * span(level) * i128::from((level.to + level.from).nm());
    let all: i128 = range.levels.iter().map(span).sum();
    let sum: i128 = range.levels.iter().map(twice).sum();
    Length::from_nm(i64::try_from(sum.checked_div(2 * all).unwrap_or(0)).unwrap_or(i64::MAX))
}

/// Free boards of the rack at what it takes to replace them, where the shop prices its rack: by the volume, as the
/// cheapest board for sale of that wood and thickness costs. What nobody sells has no price.
pub(super) fn rack_costs(job: &Job, lines: &[BoardLine]) -> Result<Vec<CostLine>, BillError> {
    if job.shop.pricing.rack == RackWorth::Free {
        return Ok(Vec::new());
    }
    let one = |line: &BoardLine| {
        let stock = &job.boards[line.stock];
        let free = stock.place == BoardPlace::Rack && stock.price.is_none();
        let price = if free { replacement(job, stock) } else { None };
        let by = WoodUnit::of(job.units);
        let amount = by.amount(by.boards(stock, line.boards), by.places()).normalize();
        price.map(|price| priced("rack", &stock.stock, amount, by.word(), price))
    };
    lines.iter().filter_map(one).collect()
}

/// The cheapest price by the volume for sale of a row's wood and thickness.
pub(super) fn replacement(job: &Job, stock: &BoardStock) -> Option<Decimal> {
    let alike = |other: &&BoardStock| {
        other.on_hand.is_none() && other.species == stock.species && other.thickness == stock.thickness
    };
    let by = WoodUnit::of(job.units);
    job.boards.iter().filter(alike).map(|stock| by.price(stock)).min()
}

/// Boards to buy; what lies on the rack already is not on the list.
pub(super) fn lumber_to_buy(job: &Job, plan: &BoardPlan, lines: &[BoardLine]) -> Result<Vec<BuyLine>, BillError> {
    let bought = lines.iter().filter(|line| job.boards[line.stock].place == BoardPlace::Yard);
    bought.map(|line| lumber_line(job, plan, line)).collect()
}

fn lumber_line(job: &Job, plan: &BoardPlan, line: &BoardLine) -> Result<BuyLine, BillError> {
    let stock = &job.boards[line.stock];
    let range = plan.ranges.iter().find(|range| range.stock == line.stock);
    let expected = expected_allowance(job, plan, line);
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
            Some(asked) => asked.sentence(job, line, allowance, expected),
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

    fn sentence(&self, job: &Job, line: &BoardLine, allowance: Decimal, expected: Decimal) -> String {
        let stock = &job.boards[line.stock];
        let show = |length: Length| length.show(job.units);
        let planned = line.volume.board_feet(2);
        // The smallest boards come to no board foot at all in two places.
        let share = allowance.checked_div(planned).map_or_else(String::new, |share| {
            format!("{} %, ", (share * Decimal::ONE_HUNDRED).round_dp(1).normalize())
        });
        let by = WoodUnit::of(job.units).word();
        let priced = if expected.is_zero() { "none".to_owned() } else { format!("{expected} {by}") };
        let mut say = format!(
            "{}: ask for {} in boards {} to {} {} wide, at least {} long; planned as {} {}, {} {} wide, {}; \
             the allowance of {} ({share}{priced} of it in the price) is for what comes: {} would take most",
            wood(stock, job.units),
            by_volume(self.feet, job.units),
            show(self.narrowest),
            show(self.widest),
            job.units,
            long(stock.length, job.units),
            line.boards,
            if line.boards == 1 { "board" } else { "boards" },
            show(stock.width),
            job.units,
            line.volume_said(job.units),
            by_volume(allowance, job.units),
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
        Some((_, BoardUnit::CubicMetre)) => {
            format!("{} m3", WoodUnit::CubicMetre.boards(stock, line.boards).cubic_metres(4).normalize())
        }
        _ => line.volume_said(job.units),
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
        let more = by_volume(allowance, job.units);
        say.push_str(&format!(", so ask for {more} more (in the price)"));
    }
    say
}

impl BoardLine {
    fn volume_said(&self, units: Units) -> String {
        match units {
            Units::Inch => format!("{} bf", self.volume.board_feet(2).normalize()),
            Units::Millimetre => self.volume.show(units, 2),
        }
    }
}

/// Board feet to ask for as a yard says them: in a metric job in cubic metres, to the litre, rounded up.
fn by_volume(feet: Decimal, units: Units) -> String {
    // 1 bf = 0.002359737216 m3, exact.
    let metres = || feet * Decimal::from_i128_with_scale(2_359_737_216, 12);
    let up = |figure: Decimal| figure.round_dp_with_strategy(3, RoundingStrategy::AwayFromZero).normalize();
    match units {
        Units::Inch => format!("{feet} bf"),
        Units::Millimetre => format!("{} m3", up(metres())),
    }
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
