//! Files of the shop floor as written: the count of what was cut and the history of past jobs.

use rust_decimal::Decimal;

use super::boards_file::length_cell;
use super::csv_table::{Columns, read_rows};
use super::values::{Fault, name, plain_decimal, positive, shorten, whole_number};
use super::{Desk, Entry, FileId, Place, Tables};
use crate::measure::{Length, Units};

const COUNT: Columns = Columns {
    required: &["board", "part", "straight", "rejected"],
    optional: &["straight_length", "hours", "stock", "yields", "crosscut_to"],
};
const HISTORY: Columns = Columns {
    required: &["job", "species", "width", "thickness", "boards", "cut", "rejected", "hours"],
    optional: &["reject_rate", "hours_per_100", "plan", "by_board", "kind", "operation", "quoted", "minutes", "length"],
};
/// Most strips counted in one row, and the highest board number.
const MOST: u32 = 2_000_000;
/// What a row of the history may tell of; one that does not say tells of strips.
const KINDS: [&str; 3] = ["strips", LENGTH, OPERATION];
const LENGTH: &str = "length";
const OPERATION: &str = "operation";
/// Most that rejects come by the board: more strips than any board gives.
const MOST_BY_BOARD: u32 = 1_000;
/// Most hours of one row.
const MOST_HOURS: u32 = 10_000;

/// One row of a count: strips of one part from one board.
#[derive(Debug)]
pub(crate) struct CountFile {
    pub(crate) place: Place,
    pub(crate) board: Entry<u32>,
    pub(crate) part: Entry<String>,
    pub(crate) straight: Entry<u32>,
    pub(crate) rejected: Entry<u32>,
    pub(crate) yields: Entry<u32>,
    pub(crate) straight_length: Entry<Length>,
    /// Strips of a shorter part that were crosscut from those of this row.
    pub(crate) crosscut_to: Entry<(u32, String)>,
    pub(crate) hours: Entry<Decimal>,
}

/// Reads a count; `None` when the header is unusable.
pub(crate) fn read_count_rows(desk: &Desk, file: (FileId, &str), units: Units) -> Option<Tables<CountFile>> {
    read_rows(desk, file, &COUNT, |row| CountFile {
        place: row.place(),
        board: row.cell("board", |text| whole_number(text, 1, MOST)),
        part: row.cell("part", name),
        straight: row.cell("straight", |text| whole_number(text, 0, MOST)),
        rejected: row.cell("rejected", |text| whole_number(text, 0, MOST)),
        yields: row.cell("yields", |text| whole_number(text, 0, MOST)),
        straight_length: row.figure("straight_length", |text| positive(length_cell(text, units)?)),
        crosscut_to: row.cell("crosscut_to", crosscut_to),
        hours: row.figure("hours", hours),
    })
}

/// `2 S03`: so many strips of a part.
fn crosscut_to(text: &str) -> Result<(u32, String), Fault> {
    let words: Vec<&str> = text.split_whitespace().collect();
    match words[..] {
        [count, part] => Ok((whole_number(count, 1, MOST)?, name(part)?)),
        _ => {
            let what = format!("`{}` does not say how many strips of what were crosscut", shorten(text));
            Err(Fault::new(what, "write `2 S03`: two strips of S03"))
        }
    }
}

/// One row of the history: one section of one job, one length of it, or one operation.
#[derive(Debug)]
pub(crate) struct HistoryFile {
    pub(crate) place: Place,
    pub(crate) job: Entry<String>,
    pub(crate) plan: Entry<String>,
    pub(crate) species: Entry<String>,
    pub(crate) width: Entry<Length>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) boards: Entry<u32>,
    pub(crate) cut: Entry<u32>,
    pub(crate) rejected: Entry<u32>,
    pub(crate) by_board: Entry<Decimal>,
    pub(crate) hours: Entry<Decimal>,
    pub(crate) kind: Entry<&'static str>,
    pub(crate) operation: Entry<String>,
    pub(crate) quoted: Entry<Decimal>,
    pub(crate) minutes: Entry<Decimal>,
    pub(crate) length: Entry<Length>,
}

impl HistoryFile {
    /// The row tells of an operation, not of strips.
    pub(crate) fn of_an_operation(&self) -> bool {
        self.kind.given().is_some_and(|at| at.value == OPERATION)
    }

    /// The row tells of one length among the strips of another row.
    pub(crate) fn of_a_length(&self) -> bool {
        self.kind.given().is_some_and(|at| at.value == LENGTH)
    }
}

/// Reads a history; `None` when the header is unusable.
pub(crate) fn read_history_rows(desk: &Desk, file: (FileId, &str), units: Units) -> Option<Tables<HistoryFile>> {
    let length = |text: &str| positive(length_cell(text, units)?);
    read_rows(desk, file, &HISTORY, |row| HistoryFile {
        place: row.place(),
        job: row.cell("job", name),
        plan: row.cell("plan", name),
        species: row.cell("species", name),
        width: row.figure("width", length),
        thickness: row.figure("thickness", length),
        boards: row.cell("boards", |text| whole_number(text, 0, MOST)),
        cut: row.cell("cut", |text| whole_number(text, 0, MOST)),
        rejected: row.cell("rejected", |text| whole_number(text, 0, MOST)),
        by_board: row.figure("by_board", by_board),
        hours: row.figure("hours", hours),
        kind: row.cell("kind", kind),
        operation: row.cell("operation", name),
        quoted: row.figure("quoted", hours),
        minutes: row.figure("minutes", hours),
        length: row.figure("length", length),
    })
}

fn kind(text: &str) -> Result<&'static str, Fault> {
    let known = KINDS.into_iter().find(|kind| *kind == text);
    let help = format!("leave it empty, or write one of: {}", KINDS.join(", "));
    known.ok_or_else(|| Fault::new(format!("no row of a history tells of `{}`", shorten(text)), &help))
}

fn by_board(text: &str) -> Result<Decimal, Fault> {
    let figure = plain_decimal(text)?;
    if figure.is_sign_negative() || figure > Decimal::from(MOST_BY_BOARD) {
        let help = format!("a figure from 0 to {MOST_BY_BOARD}; 1 where each strip fails by itself");
        return Err(Fault::new(format!("{figure} is out of range"), &help));
    }
    Ok(figure)
}

fn hours(text: &str) -> Result<Decimal, Fault> {
    let hours = plain_decimal(text)?;
    if hours.is_sign_negative() || hours > Decimal::from(MOST_HOURS) {
        let help = format!("hours from 0 to {MOST_HOURS}, such as 1.5");
        return Err(Fault::new(format!("{hours} hours are out of range"), &help));
    }
    Ok(hours)
}
