//! `--csv` and how its decimals are written, and `--json`.

use clap::Args;

use crate::measure::Units;
use crate::report::{CsvStyle, Sheet, csv_text_in, json_text};

/// A table on standard output instead of a screen.
#[derive(Debug, Args)]
pub(super) struct CsvOut {
    /// Print one table as CSV on standard output.
    #[arg(long)]
    csv: bool,
    /// With --csv: `decimal` writes 2,5 for 2.5 and puts
    /// semicolons between cells
    #[arg(long, value_name = "KIND", value_parser = ["decimal"], hide_possible_values = true, requires = "csv", verbatim_doc_comment)]
    csv_comma: Option<String>,
    /// Print the same table as JSON on standard output.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
}

impl CsvOut {
    /// Whether a table is asked for.
    pub(super) const fn asked(&self) -> bool {
        self.csv || self.json
    }

    /// The table, in the style asked for.
    pub(super) fn text(&self, sheet: &Sheet, units: Units) -> String {
        if self.json {
            return json_text(sheet, units);
        }
        let style = if self.csv_comma.is_some() { CsvStyle::Commas } else { CsvStyle::Points };
        csv_text_in(sheet, units, style)
    }
}
