//! CSV text of a sheet.

use super::{Cell, Sheet};
use crate::measure::Units;

/// What stands between cells, and in decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CsvStyle {
    /// Commas between cells, points in decimals.
    #[default]
    Points,
    /// Semicolons between cells, commas in decimals: what a spreadsheet takes where decimals are written so.
    Commas,
}

/// The sheet as CSV: a header line, then its rows; lines end in `\n`.
#[must_use]
pub fn csv_text(sheet: &Sheet, units: Units) -> String {
    csv_text_in(sheet, units, CsvStyle::Points)
}

/// The same in a style. Names and words stay as they are; figures alone have the comma.
///
/// ```
/// use slatwright::measure::{Length, Units};
/// use slatwright::report::{Cell, CsvStyle, Sheet, csv_text_in};
/// let row = vec![Cell::text("no. 2.5"), Cell::Length(Length::from_64ths(40))];
/// let sheet = Sheet::new("x", &["name", "width"], vec![row]);
/// assert_eq!(csv_text_in(&sheet, Units::Inch, CsvStyle::Commas), "name;width\nno. 2.5;0,625\n");
/// ```
#[must_use]
pub fn csv_text_in(sheet: &Sheet, units: Units, style: CsvStyle) -> String {
    let delimiter = match style {
        CsvStyle::Points => b',',
        CsvStyle::Commas => b';',
    };
    let cell = |cell: &Cell| match style {
        CsvStyle::Commas if cell.is_figure() || matches!(cell, Cell::Thickness(_)) => cell.csv(units).replace('.', ","),
        _ => cell.csv(units),
    };
    let mut writer = ::csv::WriterBuilder::new().delimiter(delimiter).from_writer(Vec::new());
    let never = "writing to memory cannot fail";
    writer.write_record(&sheet.columns).expect(never);
    for row in &sheet.rows {
        writer.write_record(row.iter().map(cell)).expect(never);
    }
    String::from_utf8(writer.into_inner().expect(never)).expect("every cell is UTF-8")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_with_commas_quotes_and_line_ends_survive_a_csv_reader() {
        let hostile = "a,\"b\"\nc";
        let sheet = Sheet { name: "x", columns: vec!["name"], rows: vec![vec![Cell::text(hostile)]] };
        let text = csv_text(&sheet, Units::Inch);
        let mut reader = ::csv::Reader::from_reader(text.as_bytes());
        let row = reader.records().next().unwrap().unwrap();
        assert_eq!(&row[0], hostile);
    }
}
