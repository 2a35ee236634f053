//! JSON text of a sheet: the rows of its CSV file, for programs.

use serde::ser::{Serialize, SerializeMap, SerializeSeq, Serializer};

use super::{Cell, Sheet};
use crate::measure::Units;

/// The sheet as an array of objects, one a row, with the names of the CSV columns in their order. Figures are numbers in the
/// units of the CSV file, texts are strings without its guard against formulas, empty cells are `null`.
///
/// ```
/// use slatwright::measure::{Length, Units};
/// use slatwright::report::{Cell, Sheet, json_text};
/// let row = vec![Cell::text("=rail"), Cell::Length(Length::from_64ths(40)), Cell::Empty];
/// let sheet = Sheet::new("x", &["name", "width", "note"], vec![row]);
/// assert_eq!(json_text(&sheet, Units::Inch), "[\n  {\n    \"name\": \"=rail\",\n    \"width\": 0.625,\n    \"note\": null\n  }\n]\n");
/// ```
#[must_use]
pub fn json_text(sheet: &Sheet, units: Units) -> String {
    let text = serde_json::to_string_pretty(&Rows { sheet, units });
    text.expect("keys are texts and every figure is finite") + "\n"
}

struct Rows<'a> {
    sheet: &'a Sheet,
    units: Units,
}

impl Serialize for Rows<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut rows = serializer.serialize_seq(Some(self.sheet.rows.len()))?;
        for row in &self.sheet.rows {
            rows.serialize_element(&Row { columns: &self.sheet.columns, row, units: self.units })?;
        }
        rows.end()
    }
}

struct Row<'a> {
    columns: &'a [&'static str],
    row: &'a [Cell],
    units: Units,
}

impl Serialize for Row<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_map(Some(self.columns.len()))?;
        for (column, cell) in self.columns.iter().zip(self.row) {
            match cell {
                Cell::Empty => object.serialize_entry(column, &())?,
                Cell::Text(text) => object.serialize_entry(column, text)?,
                Cell::YesNo(yes) => object.serialize_entry(column, yes)?,
                cell if cell.is_figure() => {
                    // The shortest figure that reads back the same has the digits of the CSV file.
                    let figure: f64 = cell.csv(self.units).parse().unwrap_or(f64::NAN);
                    object.serialize_entry(column, &figure)?;
                }
                word => object.serialize_entry(column, &word.csv(self.units))?,
            }
        }
        object.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Cents;

    #[test]
    fn figures_are_numbers_and_hostile_names_stay_texts() {
        let row = vec![Cell::text("a\"\n\u{1b}"), Cell::Money(Cents::new(-866_790)), Cell::Count(3), Cell::YesNo(true)];
        let sheet = Sheet::new("x", &["name", "cost", "count", "ok"], vec![row.clone(), row]);
        let read: serde_json::Value = serde_json::from_str(&json_text(&sheet, Units::Inch)).unwrap();
        assert_eq!(read.as_array().map(Vec::len), Some(2));
        assert_eq!(read[1]["name"], "a\"\n\u{1b}");
        assert_eq!((read[0]["cost"].as_f64(), read[0]["count"].as_f64()), (Some(-8667.9), Some(3.0)));
        assert_eq!(read[0]["ok"], true);
    }
}
