//! [`Cell`]: one value of a report, with one form for CSV and one for the screen.

use rust_decimal::Decimal;

use crate::files::{guarded, steers};
use crate::job::Job;
use crate::measure::{Cents, Length, Price, StockThickness, Units, Volume};

/// One value of a report.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Words.
    Text(String),
    /// A whole number.
    Count(i64),
    /// A length in the job's unit.
    Length(Length),
    /// The thickness of a board: a figure of two shapes, one of which no spreadsheet takes for a date.
    Thickness(StockThickness),
    /// A decimal figure.
    Decimal(Decimal),
    /// Wood by its charged volume: board feet in files, in a metric job cubic metres on screen.
    Wood(Volume),
    /// Cloth by its length: yards in files, in a metric job metres on screen.
    Cloth(Length),
    /// A word of the files that a metric screen says in another way.
    Word {
        /// In files, and on the screen of a job in inches.
        file: &'static str,
        /// On the screen of a job in millimetres.
        metric: &'static str,
    },
    /// An amount with two places.
    Money(Cents),
    /// A price with two to four places.
    Price(Price),
    /// `yes` or `no`.
    YesNo(bool),
    /// Nothing to say.
    Empty,
}

impl Cell {
    /// A text cell.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// A figure of four places: more than any angle or share in a shop is worth.
    pub(super) fn figure(figure: f64) -> Self {
        Self::Decimal(Decimal::from_f64_retain(figure).unwrap_or_default().round_dp(4).normalize())
    }

    /// The CSV form: lengths as decimals in `units`, text guarded against running as a formula.
    #[must_use]
    pub fn csv(&self, units: Units) -> String {
        match self {
            Self::Text(text) => guarded(text),
            Self::Length(length) => length.decimal(units),
            Self::Thickness(thickness) => thickness.csv(units),
            other => other.plain(),
        }
    }

    /// The form for a person: lengths as fractions or millimetres, thousands of money marked as its readers are used to,
    /// text without control characters.
    #[must_use]
    pub fn screen<'a>(&self, show: impl Into<Show<'a>>) -> String {
        let Show { units, currency } = show.into();
        match self {
            Self::Money(amount) => amount.marked(currency),
            Self::Text(text) => printable(text),
            Self::Length(length) => length.show_nearest(units),
            Self::Thickness(thickness) => thickness.show(units),
            Self::Wood(volume) if units == Units::Millimetre => volume.cubic_metres(4).normalize().to_string(),
            Self::Cloth(length) if units == Units::Millimetre => {
                (Decimal::from(length.nm()) / Decimal::from(1_000_000_000)).round_dp(3).normalize().to_string()
            }
            Self::Word { metric, .. } if units == Units::Millimetre => (*metric).to_owned(),
            other => other.plain(),
        }
    }

    /// True for cells that line up at the right.
    #[must_use]
    pub const fn is_figure(&self) -> bool {
        !matches!(self, Self::Text(_) | Self::Word { .. } | Self::Thickness(_) | Self::YesNo(_))
    }

    fn plain(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Count(n) => n.to_string(),
            Self::Length(length) => length.exact(),
            Self::Thickness(thickness) => thickness.show(Units::Inch),
            Self::Wood(volume) => volume.board_feet(2).to_string(),
            Self::Cloth(length) => yards(*length).to_string(),
            Self::Word { file, .. } => (*file).to_owned(),
            Self::Decimal(figure) => figure.to_string(),
            Self::Money(amount) => amount.to_string(),
            Self::Price(price) => price.to_string(),
            Self::YesNo(yes) => if *yes { "yes" } else { "no" }.to_owned(),
            Self::Empty => String::new(),
        }
    }
}

/// How figures are shown to a person.
#[derive(Debug, Clone, Copy)]
pub struct Show<'a> {
    /// What lengths are in.
    pub units: Units,
    /// What money is in: its readers' marks between thousands.
    pub currency: &'a str,
}

impl<'a> From<&'a Job> for Show<'a> {
    fn from(job: &'a Job) -> Self {
        Self { units: job.units, currency: &job.shop.currency }
    }
}

impl From<Units> for Show<'_> {
    fn from(units: Units) -> Self {
        Self { units, currency: "" }
    }
}

/// Yards to four places.
pub(super) fn yards(length: Length) -> Decimal {
    (Decimal::from(length.nm()) / Decimal::from(Length::from_inches(36).nm())).round_dp(4).normalize()
}

/// Text safe for a terminal: control characters and marks of direction become `?`.
#[must_use]
pub fn printable(text: &str) -> String {
    text.chars().map(|c| if steers(c) { '?' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_in_a_name_is_disarmed_and_numbers_are_left_alone() {
        for evil in ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1"] {
            assert_eq!(Cell::text(evil).csv(Units::Inch), format!("'{evil}"));
        }
        assert_eq!(Cell::Length(Length::from_64ths(-32)).csv(Units::Inch), "-0.5");
        assert_eq!(Cell::Money(Cents::new(-250)).csv(Units::Inch), "-2.50");
    }

    #[test]
    fn the_terminal_never_sees_an_escape_or_a_direction_override() {
        assert_eq!(Cell::text("a\u{1b}[31mb\u{202e}c").screen(Units::Inch), "a?[31mb?c");
    }

    #[test]
    fn lengths_are_fractions_on_screen_and_decimals_in_csv() {
        let cell = Cell::Length(Length::from_64ths(40));
        assert_eq!((cell.screen(Units::Inch), cell.csv(Units::Inch)), ("5/8".into(), "0.625".into()));
    }
}
