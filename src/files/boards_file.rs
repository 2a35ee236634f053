//! The boards file as written: what the yard sells and what is on the rack.

use super::csv_table::{Columns, Row, read_rows};
use super::values::{Fault, length_fault, name, one_of, positive, price_fault, whole_number};
use super::{Desk, Entry, FileId, Place, Tables};
use crate::measure::{Length, Price, StockThickness, Units, parse_length, parse_thickness};

const COLUMNS: Columns = Columns {
    required: &["stock", "species", "thickness", "width", "length", "on_hand", "price", "per"],
    optional: &["random", "from"],
};
/// Most boards of one kind on one rack.
const MOST_ON_HAND: u32 = 100_000;
/// Widest and longest board: beyond any sawn timber a small shop can move.
const WIDEST: Length = Length::from_mm(2_000);
const LONGEST: Length = Length::from_mm(30_000);

/// One row of the boards file.
#[derive(Debug)]
pub(crate) struct BoardRow {
    pub(crate) place: Place,
    pub(crate) stock: Entry<String>,
    pub(crate) species: Entry<String>,
    pub(crate) thickness: Entry<StockThickness>,
    pub(crate) width: Entry<Length>,
    pub(crate) length: Entry<Length>,
    pub(crate) on_hand: Entry<u32>,
    pub(crate) price: Entry<Price>,
    pub(crate) price_place: Place,
    pub(crate) per: Entry<&'static str>,
    pub(crate) per_place: Place,
    pub(crate) random: Entry<bool>,
}

/// Reads all rows; `None` when the header is unusable.
pub(crate) fn read_boards(desk: &Desk, file: (FileId, &str), units: Units) -> Option<Tables<BoardRow>> {
    read_rows(desk, file, &COLUMNS, |row| BoardRow {
        place: row.place(),
        stock: row.cell("stock", name),
        species: row.cell("species", name),
        thickness: row.cell("thickness", |text| {
            parse_thickness(&text.to_lowercase(), units)
                .map_err(|error| Fault::new(error, "write 4/4, 4/4 s2s 13/16, or a plain length such as 0.75"))
        }),
        width: size_up_to(row, "width", units, WIDEST),
        length: size_up_to(row, "length", units, LONGEST),
        on_hand: row.cell("on_hand", |text| whole_number(text, 0, MOST_ON_HAND)),
        price: row.cell("price", |text| Price::parse(text).map_err(price_fault)),
        price_place: row.cell_place("price"),
        per: row.cell("per", |text| one_of(text, &["bf", "m3", "each", "lf"])),
        per_place: row.cell_place("per"),
        random: row.cell("random", |text| one_of(text, &["yes", "no"]).map(|word| word == "yes")),
    })
}

/// A length in any accepted spelling; a bare figure is in the job's unit.
pub(super) fn length_cell(text: &str, units: Units) -> Result<Length, Fault> {
    parse_length(text, units).map_err(length_fault)
}

fn size_up_to(row: &Row, column: &str, units: Units, most: Length) -> Entry<Length> {
    row.cell(column, |text| {
        let length = positive(length_cell(text, units)?)?;
        if length <= most {
            return Ok(length);
        }
        let bound = format!("at most {} {units}", most.decimal_places(units, 2));
        Err(Fault::new(format!("{text} {units} is more than any board measures"), &bound))
    })
}
