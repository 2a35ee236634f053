//! The sheets file as written: sheet goods for sale and on hand.

use super::boards_file::length_cell;
use super::csv_table::{Columns, Row, read_rows};
use super::values::{Fault, name, positive, price_fault, whole_number};
use super::{Desk, Entry, FileId, Place, Tables};
use crate::measure::{Length, Price, Units};

const COLUMNS: Columns =
    Columns { required: &["sheet", "material", "thickness", "width", "length", "on_hand", "price"], optional: &[] };
/// Most sheets of one kind in one shop.
const MOST_ON_HAND: u32 = 100_000;
/// Longest side of a sheet: beyond any that is made.
const LARGEST: Length = Length::from_mm(6_000);

/// One row of the sheets file.
#[derive(Debug)]
pub(crate) struct SheetRow {
    pub(crate) place: Place,
    pub(crate) sheet: Entry<String>,
    pub(crate) material: Entry<String>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) width: Entry<Length>,
    pub(crate) length: Entry<Length>,
    pub(crate) on_hand: Entry<u32>,
    pub(crate) price: Entry<Price>,
    pub(crate) price_place: Place,
}

/// Reads all rows; `None` when the header is unusable.
pub(crate) fn read_sheets(desk: &Desk, file: (FileId, &str), units: Units) -> Option<Tables<SheetRow>> {
    read_rows(desk, file, &COLUMNS, |row| SheetRow {
        place: row.place(),
        sheet: row.cell("sheet", name),
        material: row.cell("material", name),
        thickness: side(row, "thickness", units),
        width: side(row, "width", units),
        length: side(row, "length", units),
        on_hand: row.cell("on_hand", |text| whole_number(text, 0, MOST_ON_HAND)),
        price: row.figure("price", |text| Price::parse(text).map_err(price_fault)),
        price_place: row.cell_place("price"),
    })
}

fn side(row: &Row, column: &str, units: Units) -> Entry<Length> {
    row.figure(column, |text| {
        let length = positive(length_cell(text, units)?)?;
        let bound = || format!("at most {} {units}", LARGEST.decimal_places(units, 2));
        if length <= LARGEST {
            Ok(length)
        } else {
            Err(Fault::new(format!("{text} is more than any sheet measures"), &bound()))
        }
    })
}
