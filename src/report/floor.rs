//! The rows of the yard, the count, the rack and the history.

use rust_decimal::Decimal;

use super::cell::Cell;
use super::sheets::{Sheet, board_price};
use crate::demand::Part;
use crate::job::{BoardStock, History, Job, LengthHistory, OperationHistory, SectionHistory};
use crate::shopfloor::{CutPlan, Joint, RackChange, Standing, Yard};

fn count(n: impl TryInto<i64>) -> Cell {
    Cell::Count(n.try_into().unwrap_or(i64::MAX))
}

/// One part a row: strips wanted, from picked boards, from the rack, still short.
#[must_use]
pub fn yard(parts: &[Part], yard: &Yard) -> Sheet {
    let rows = parts.iter().enumerate().map(|(at, part)| {
        vec![
            Cell::text(&part.name),
            Cell::text(part.species.word()),
            Cell::Length(part.width),
            Cell::Length(part.thickness),
            Cell::Length(part.length),
            count(part.total()),
            count(yard.from_picked[at]),
            count(yard.from_rack[at]),
            count(yard.short[at]),
        ]
    });
    const COLUMNS: [&str; 9] =
        ["part", "species", "width", "thickness", "length", "wanted", "from_picked", "from_rack", "short"];
    Sheet::new("yard", &COLUMNS, rows.collect())
}

/// One board in hand a row: price, worth and verdict.
#[must_use]
pub fn offers(yard: &Yard) -> Sheet {
    let rows = yard.offers.iter().map(|offer| {
        vec![
            Cell::text(&offer.stock),
            Cell::text(offer.verdict().word()),
            Cell::Money(offer.price),
            Cell::Money(offer.worth),
            Cell::Money(offer.at_least),
            Cell::Money(offer.at_most),
        ]
    });
    Sheet::new("offers", &["board", "verdict", "price", "worth", "at_least", "at_most"], rows.collect())
}

/// Boards in the form of a boards file, each with how many of it were taken.
#[must_use]
pub fn picked(job: &Job, rows: &[(BoardStock, u32)]) -> Sheet {
    let rows = rows.iter().map(|(board, taken)| {
        let (price, per) = board_price(board, job.units);
        vec![
            Cell::text(&board.stock),
            Cell::text(board.species.word()),
            Cell::Thickness(board.thickness),
            Cell::Length(board.width),
            Cell::Length(board.length),
            count(*taken),
            price,
            per,
            Cell::text(board.defects_text(job.units)),
        ]
    });
    const COLUMNS: [&str; 9] =
        ["stock", "species", "thickness", "width", "length", "on_hand", "price", "per", "defects"];
    Sheet::new("picked", &COLUMNS, rows.collect())
}

/// One part a row: wanted, counted, to come, the rate as it is known now, extra strips.
#[must_use]
pub fn at_saw(parts: &[Part], standing: &Standing) -> Sheet {
    let rows = parts.iter().enumerate().map(|(at, part)| {
        vec![
            Cell::text(&part.name),
            Cell::text(part.species.word()),
            Cell::Length(part.width),
            Cell::Length(part.length),
            count(standing.wanted[at]),
            count(standing.straight[at]),
            count(standing.rejected[at]),
            count(standing.remaining[at]),
            Cell::figure(standing.rates[at].mean),
            Cell::figure(standing.rates[at].by_board()),
            count(standing.extra[at]),
        ]
    });
    const COLUMNS: [&str; 11] = [
        "part",
        "species",
        "width",
        "length",
        "wanted",
        "straight",
        "rejected",
        "to_come",
        "reject_rate",
        "by_board",
        "extra",
    ];
    Sheet::new("count", &COLUMNS, rows.collect())
}

/// A count to fill in: one board and part a row, what the board yields, and empty counts.
#[must_use]
pub fn blank_count(parts: &[Part], plan: &CutPlan) -> Sheet {
    let mut rows = Vec::new();
    for (number, board) in (1i64..).zip(&plan.boards) {
        for (at, part) in parts.iter().enumerate().filter(|(at, _)| board.yields(*at) > 0) {
            let mut row = vec![Cell::Count(number), Cell::text(&part.name), count(board.yields(at))];
            row.extend([
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::text(&board.stock.stock),
                Cell::Empty,
            ]);
            rows.push(row);
        }
    }
    const COLUMNS: [&str; 9] =
        ["board", "part", "yields", "straight", "rejected", "straight_length", "hours", "stock", "crosscut_to"];
    Sheet::new("count", &COLUMNS, rows)
}

/// One change to the rack a row.
#[must_use]
pub fn rack(change: &RackChange) -> Sheet {
    let used = change.used.iter().map(|(name, boards)| {
        let mut row = vec![Cell::text("take off"), Cell::text(name)];
        row.extend([Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty, count(*boards), Cell::Empty, Cell::Empty]);
        row
    });
    let kept = change.kept.iter().map(|kept| {
        vec![
            Cell::text("put on"),
            Cell::text(&kept.stock.stock),
            Cell::text(kept.stock.species.word()),
            Cell::Thickness(kept.stock.thickness),
            Cell::Length(kept.stock.width),
            Cell::Length(kept.stock.length),
            count(kept.stock.on_hand.unwrap_or(1)),
            Cell::text(&kept.from),
            Cell::text(&kept.mark),
        ]
    });
    let passed = change.passed.iter().map(|(board, why)| {
        let mut row = vec![Cell::text("pass over"), Cell::text(format!("board {board}"))];
        row.extend([Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty, count(1), Cell::text(why.word()), Cell::Empty]);
        row
    });
    const COLUMNS: [&str; 9] = ["change", "stock", "species", "thickness", "width", "length", "boards", "from", "mark"];
    Sheet::new("rack", &COLUMNS, used.chain(kept).chain(passed).collect())
}

/// `jobs.csv`: what each job pays of each group of costs, apart and together.
#[must_use]
pub fn jobs(joint: &Joint) -> Sheet {
    let rows = joint.shares.iter().map(|share| {
        vec![
            Cell::text(&share.job),
            Cell::text(&share.group),
            Cell::Money(share.apart),
            Cell::Money(share.together),
            Cell::Money(share.apart - share.together),
        ]
    });
    Sheet::new("jobs", &["job", "group", "apart", "together", "saved"], rows.collect())
}

/// The history: one section of one job a row and its lengths after it, then one operation a row.
#[must_use]
pub fn history(history: &History) -> Sheet {
    let strips = history.sections.iter().flat_map(|row| {
        let lengths = row.lengths.iter().map(|of| length_row(row, *of));
        std::iter::once(section_row(row)).chain(lengths)
    });
    let work = history.operations.iter().map(operation_row);
    const COLUMNS: [&str; 17] = [
        "job",
        "species",
        "width",
        "thickness",
        "boards",
        "cut",
        "rejected",
        "reject_rate",
        "hours",
        "hours_per_100",
        "plan",
        "by_board",
        "kind",
        "operation",
        "quoted",
        "minutes",
        "length",
    ];
    Sheet::new("history", &COLUMNS, strips.chain(work).collect())
}

fn section_row(row: &SectionHistory) -> Vec<Cell> {
    let cut = Decimal::from(row.cut);
    let mut cells = vec![
        Cell::text(&row.job),
        Cell::text(row.species.name()),
        Cell::Length(row.width),
        Cell::Length(row.thickness),
        count(row.boards),
        count(row.cut),
        count(row.rejected),
        per(Decimal::from(row.rejected), cut),
        Cell::Decimal(row.hours.normalize()),
        per(row.hours * Decimal::ONE_HUNDRED, cut),
        Cell::text(&row.plan),
        row.by_board.map_or(Cell::Empty, Cell::Decimal),
        Cell::text("strips"),
    ];
    cells.extend([Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty]);
    cells
}

/// A row of one length has what it shares with its section, and no boards or hours of its own.
fn length_row(row: &SectionHistory, of: LengthHistory) -> Vec<Cell> {
    let mut cells = vec![
        Cell::text(&row.job),
        Cell::text(row.species.name()),
        Cell::Length(row.width),
        Cell::Length(row.thickness),
        Cell::Empty,
        count(of.cut),
        count(of.rejected),
        per(Decimal::from(of.rejected), Decimal::from(of.cut)),
        Cell::Empty,
        Cell::Empty,
        Cell::text(&row.plan),
        Cell::Empty,
        Cell::text("length"),
    ];
    cells.extend([Cell::Empty, Cell::Empty, Cell::Empty, Cell::Length(of.length)]);
    cells
}

fn operation_row(row: &OperationHistory) -> Vec<Cell> {
    let mut cells = vec![Cell::text(&row.job)];
    cells.extend(std::iter::repeat_n(Cell::Empty, 7));
    cells.extend([
        Cell::Decimal(row.hours.normalize()),
        Cell::Empty,
        Cell::text(&row.plan),
        Cell::Empty,
        Cell::text("operation"),
        Cell::text(row.operation.word()),
        Cell::Decimal(row.quoted.normalize()),
        Cell::Decimal(row.minutes.normalize()),
        Cell::Empty,
    ]);
    cells
}

fn per(figure: Decimal, of: Decimal) -> Cell {
    figure.checked_div(of).map_or(Cell::Empty, |figure| Cell::Decimal(figure.round_dp(4).normalize()))
}
