//! Files of the shop floor as written: the count of what was cut and the history of past jobs.

use rust_decimal::Decimal;

use super::boards_file::length_cell;
use super::csv_table::{Columns, read_rows};
use super::values::{Fault, name, plain_decimal, positive, whole_number};
use super::{Desk, Entry, FileId, Place, Tables};
use crate::measure::{Length, Units};

const COUNT: Columns = Columns {
    required: &["board", "part", "straight", "rejected"],
    optional: &["straight_length", "hours", "stock", "yields"],
};
const HISTORY: Columns = Columns {
    required: &["job", "species", "width", "thickness", "boards", "cut", "rejected", "hours"],
    optional: &["reject_rate", "hours_per_100", "plan"],
};
/// Most strips counted in one row, and the highest board number.
const MOST: u32 = 2_000_000;
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
        hours: row.figure("hours", hours),
    })
}

/// One row of the history: one section of one job.
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
    pub(crate) hours: Entry<Decimal>,
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
        hours: row.figure("hours", hours),
    })
}

fn hours(text: &str) -> Result<Decimal, Fault> {
    let hours = plain_decimal(text)?;
    if hours.is_sign_negative() || hours > Decimal::from(MOST_HOURS) {
        let help = format!("hours from 0 to {MOST_HOURS}, such as 1.5");
        return Err(Fault::new(format!("{hours} hours are out of bounds"), &help));
    }
    Ok(hours)
}
