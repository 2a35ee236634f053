//! The cloth file as written: bolts for sale and remnants on the shelf.

use super::boards_file::length_cell;
use super::csv_table::{Columns, read_rows};
use super::values::{name, one_of, percentage, positive, price_fault};
use super::{Desk, Entry, FileId, Place, Tables};
use crate::measure::{Length, Price, Ratio, Units};

const COLUMNS: Columns = Columns {
    required: &["bolt", "width", "selvage", "on_hand_length", "price", "per", "increment"],
    optional: &["shrink_along", "shrink_across"],
};
/// Cotton that loses more than half its length in washing is a slip of the pen.
const MOST_SHRINKAGE: u32 = 50;

/// One row of the cloth file.
#[derive(Debug)]
pub(crate) struct ClothRow {
    pub(crate) place: Place,
    pub(crate) bolt: Entry<String>,
    pub(crate) width: Entry<Length>,
    pub(crate) selvage: Entry<Length>,
    pub(crate) on_hand_length: Entry<Length>,
    pub(crate) price: Entry<Price>,
    pub(crate) price_place: Place,
    pub(crate) per: Entry<&'static str>,
    pub(crate) per_place: Place,
    pub(crate) increment: Entry<Length>,
    pub(crate) shrink_along: Entry<Ratio>,
    pub(crate) shrink_across: Entry<Ratio>,
}

/// Reads all rows; `None` when the header is unusable.
pub(crate) fn read_cloth(desk: &Desk, file: (FileId, &str), units: Units) -> Option<Tables<ClothRow>> {
    read_rows(desk, file, &COLUMNS, |row| ClothRow {
        place: row.place(),
        bolt: row.cell("bolt", name),
        width: row.figure("width", |text| positive(length_cell(text, units)?)),
        selvage: row.figure("selvage", |text| length_cell(text, units)),
        on_hand_length: row.figure("on_hand_length", |text| positive(length_cell(text, units)?)),
        price: row.figure("price", |text| Price::parse(text).map_err(price_fault)),
        price_place: row.cell_place("price"),
        per: row.cell("per", |text| one_of(text, &["yard", "metre"])),
        per_place: row.cell_place("per"),
        increment: row.figure("increment", |text| length_cell(text, units)),
        shrink_along: row.figure("shrink_along", |text| percentage(text, MOST_SHRINKAGE)),
        shrink_across: row.figure("shrink_across", |text| percentage(text, MOST_SHRINKAGE)),
    })
}
