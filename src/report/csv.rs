//! CSV text of a sheet.

use super::Sheet;
use crate::measure::Units;

/// The sheet as CSV: a header line, then its rows; lines end in `\n`.
#[must_use]
pub fn csv_text(sheet: &Sheet, units: Units) -> String {
    let mut writer = ::csv::WriterBuilder::new().from_writer(Vec::new());
    let never = "writing to memory cannot fail";
    writer.write_record(&sheet.columns).expect(never);
    for row in &sheet.rows {
        writer.write_record(row.iter().map(|cell| cell.csv(units))).expect(never);
    }
    String::from_utf8(writer.into_inner().expect(never)).expect("every cell is UTF-8")
}

#[cfg(test)]
mod tests {
    use super::super::Cell;
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
