//! The boards file as written: what the yard sells and what is on the rack.

use super::csv_table::{Columns, Row, read_rows};
use super::values::{Fault, length_fault, name, one_of, positive, price_fault, shorten, whole_number};
use super::{Desk, Entry, FileId, Place, Tables};
use crate::measure::{Length, Price, StockThickness, Units, parse_length, parse_thickness};

const COLUMNS: Columns = Columns {
    required: &["stock", "species", "thickness", "width", "length", "on_hand", "price", "per"],
    optional: &["random", "min_width", "max_width", "from", "defects", "held_for"],
};
/// Most defects of one board: more is firewood.
const MOST_DEFECTS: usize = 50;
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
    pub(crate) min_width: Entry<Length>,
    pub(crate) max_width: Entry<Length>,
    /// Where each begins and ends, in the order they lie in the board, none over another.
    pub(crate) defects: Entry<Vec<(Length, Length)>>,
    /// How many boards are held for which job; no figure means all of the row.
    pub(crate) held: Entry<Vec<(Option<u32>, String)>>,
}

/// Reads all rows; `None` when the header is unusable.
pub(crate) fn read_boards(desk: &Desk, file: (FileId, &str), units: Units) -> Option<Tables<BoardRow>> {
    read_rows(desk, file, &COLUMNS, |row| BoardRow {
        place: row.place(),
        stock: row.cell("stock", name),
        species: row.cell("species", name),
        thickness: row.figure("thickness", |text| {
            parse_thickness(text, units).map_err(|error| {
                let help = error.help();
                Fault::new(error, &help)
            })
        }),
        width: size_up_to(row, "width", units, WIDEST),
        length: size_up_to(row, "length", units, LONGEST),
        on_hand: row.cell("on_hand", |text| whole_number(text, 0, MOST_ON_HAND)),
        price: row.figure("price", |text| Price::parse(text).map_err(price_fault)),
        price_place: row.cell_place("price"),
        per: row.cell("per", |text| one_of(text, &["bf", "m3", "each", "lf"])),
        per_place: row.cell_place("per"),
        random: row.cell("random", |text| one_of(text, &["yes", "no"]).map(|word| word == "yes")),
        min_width: size_up_to(row, "min_width", units, WIDEST),
        max_width: size_up_to(row, "max_width", units, WIDEST),
        defects: row.figure("defects", |text| defects(text, units)),
        held: row.cell("held_for", held),
    })
}

/// A length in any accepted spelling; a bare figure is in the job's unit.
pub(super) fn length_cell(text: &str, units: Units) -> Result<Length, Fault> {
    parse_length(text, units).map_err(length_fault)
}

/// `2 x seed library; 1 x herbarium`, or a job's name alone for all of the row. A semicolon that no count follows is
/// part of a name.
fn held(text: &str) -> Result<Vec<(Option<u32>, String)>, Fault> {
    let counted = |part: &str| {
        let (count, by) = part.split_once(" x ")?;
        Some((count.trim().parse::<u32>().ok()?, by.trim().to_owned()))
    };
    let mut holds: Vec<(Option<u32>, String)> = Vec::new();
    for part in text.split(';') {
        match (counted(part.trim()), holds.last_mut()) {
            (Some((count, by)), _) => holds.push((Some(count), by)),
            (None, Some((_, by))) => by.push_str(&format!(";{part}")),
            (None, None) => holds.push((None, part.trim().to_owned())),
        }
    }
    let holds: Vec<_> = holds.into_iter().map(|(count, by)| (count, by.trim().to_owned())).collect();
    for (count, by) in &holds {
        name(by)?;
        if *count == Some(0) {
            return Err(Fault::new("no board is held", "take the entry out, or write how many"));
        }
    }
    Ok(holds)
}

/// Spans as a boards file has them; `None` when they are not.
pub(crate) fn parse_defects(text: &str, units: Units) -> Option<Vec<(Length, Length)>> {
    defects(text, units).ok()
}

/// Spans such as `12..15;60..64`, in any order; an empty part between two semicolons is none.
fn defects(text: &str, units: Units) -> Result<Vec<(Length, Length)>, Fault> {
    let spans = text.split(';').map(str::trim).filter(|span| !span.is_empty());
    let mut read = spans.map(|span| Ok((defect(span, units)?, span))).collect::<Result<Vec<_>, Fault>>()?;
    if read.len() > MOST_DEFECTS {
        let what = format!("{} spans are more than a board can have", read.len());
        return Err(Fault::new(what, &format!("at most {MOST_DEFECTS}; join those that lie close together")));
    }
    read.sort();
    if let Some(pair) = read.windows(2).find(|pair| pair[1].0.0 < pair[0].0.1) {
        let what = format!("`{}` and `{}` overlap", shorten(pair[0].1), shorten(pair[1].1));
        return Err(Fault::new(what, "write one span covering both"));
    }
    Ok(read.into_iter().map(|(span, _)| span).collect())
}

fn defect(span: &str, units: Units) -> Result<(Length, Length), Fault> {
    let Some((from, to)) = span.split_once("..") else {
        let help = "write each defect as 12..15: where it begins and where it ends, from one end of the board; \
                    several with `;` between";
        return Err(Fault::new(format!("`{}` is not a span", shorten(span)), help));
    };
    let (begins, ends) = (length_cell(from, units)?, length_cell(to, units)?);
    if ends < begins {
        let help = format!("write it {}..{}", to.trim(), from.trim());
        return Err(Fault::new(format!("`{}` ends before it begins", shorten(span)), &help));
    }
    if ends == begins {
        let help = "give a crack the width that must go, such as 12..12-1/8";
        return Err(Fault::new(format!("`{}` has no length", shorten(span)), help));
    }
    Ok((begins, ends))
}

fn size_up_to(row: &Row, column: &str, units: Units, most: Length) -> Entry<Length> {
    row.figure(column, |text| {
        let length = positive(length_cell(text, units)?)?;
        if length <= most {
            return Ok(length);
        }
        let bound = format!("at most {} {units}", most.decimal_places(units, 2));
        let unit = if text.ends_with(|c: char| c.is_ascii_digit()) { format!(" {units}") } else { String::new() };
        Err(Fault::new(format!("{text}{unit} is more than any board measures"), &bound))
    })
}
