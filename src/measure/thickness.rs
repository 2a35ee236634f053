//! Lumber thicknesses: quarters of an inch, rough or surfaced, or a plain figure.

use std::fmt;

use thiserror::Error;

use super::length_text::{shorten, spelled_out};
use super::{Length, LengthError, Units, date_numbers, parse_length};

/// A rough thickness counted in quarters of an inch: 4/4 is one inch, 5/4 one and a quarter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Quarters(u8);

impl Quarters {
    /// `n` quarters of an inch.
    ///
    /// # Errors
    /// [`ThicknessError::Quarters`] below 4/4 or above 40/4.
    pub const fn new(n: u8) -> Result<Self, ThicknessError> {
        if n < 4 || n > 40 { Err(ThicknessError::Quarters) } else { Ok(Self(n)) }
    }

    /// The number of quarters.
    #[must_use]
    pub const fn count(self) -> u8 {
        self.0
    }

    /// The rough thickness.
    #[must_use]
    pub const fn length(self) -> Length {
        Length::from_64ths(16 * self.0 as i64)
    }
}

impl fmt::Display for Quarters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/4", self.0)
    }
}

/// How thick a board is and by which thickness it is charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StockThickness {
    /// `4/4`: rough, charged and cut by the quarter size.
    Rough(Quarters),
    /// `4/4 s2s 13/16`: charged by 4/4, yields by 13/16.
    Surfaced {
        /// The quarter size it is sold by.
        charged: Quarters,
        /// What it measures.
        actual: Length,
    },
    /// `27 mm rough`: sawn to a plain figure, charged and cut by it.
    Sawn(Length),
    /// `3/4` or `19 mm`: a plain figure, surfaced.
    Plain(Length),
}

/// Why a text is no board thickness.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ThicknessError {
    /// A quarter size out of range.
    #[error("quarter sizes run from 4/4 to 40/4")]
    Quarters,
    /// A surfaced board as thick as or thicker than the rough one.
    #[error("a surfaced board is thinner than the rough one it was planed from")]
    NotThinner,
    /// A plain thickness out of range.
    #[error("a board thickness is above zero and at most 10 in (254 mm)")]
    OutOfRange,
    /// A date that a spreadsheet made of a quarter size or a fraction.
    #[error("`{text}` is a date, which a spreadsheet makes of a size such as 4/4")]
    Date {
        /// The text found, shortened.
        text: String,
        /// The quarter size it was, where that can be told.
        meant: Option<Quarters>,
    },
    /// The figure is no length.
    #[error(transparent)]
    Length(#[from] LengthError),
}

impl ThicknessError {
    /// What would be right.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::Date { meant, .. } => {
                let rough = meant.map_or_else(|| "4/4 rough".to_owned(), |quarters| format!("{quarters} rough"));
                format!("write `{rough}`, which no spreadsheet turns, or make the column text before typing into it")
            }
            Self::Length(error @ (LengthError::Comma { .. } | LengthError::TooLong)) => error.help().to_owned(),
            _ => "write 4/4 rough, 4/4 s2s 13/16, 27 mm rough, or a plain length such as 0.75".to_owned(),
        }
    }
}

/// The thickest board a file may hold, equal to 40/4.
const THICKEST: Length = Length::from_inches(10);

/// Reads `4/4` (also `4/4 rough`), `4/4 s2s 13/16`, `27 mm rough`, `3/4` or `19 mm`, in any case. Quarter sizes are
/// `n/4` with `n >= 4`, always inches and rough; any other figure is a length in `units`, surfaced unless it says rough.
///
/// # Errors
/// [`ThicknessError`] when it is none of these.
///
/// ```
/// use slatwright::measure::{Length, StockThickness, Units, parse_thickness};
/// let board = parse_thickness("27 rough", Units::Millimetre);
/// assert_eq!(board, Ok(StockThickness::Sawn(Length::from_mm(27))));
/// ```
pub fn parse_thickness(text: &str, units: Units) -> Result<StockThickness, ThicknessError> {
    let written = spelled_out(text);
    if let Some(numbers) = date_numbers(&written) {
        let quarter = numbers.and_then(|pair| match pair {
            (n, 4) | (4, n) => Quarters::new(n).ok(),
            _ => None,
        });
        return Err(ThicknessError::Date { text: shorten(written.trim()), meant: quarter });
    }
    let text = written.to_lowercase();
    let text = text.trim();
    if let Some(at) = text.find("s2s") {
        let charged = quarters(text[..at].trim()).ok_or(ThicknessError::Quarters)??;
        let actual = parse_length(text[at + 3..].trim(), units)?;
        if actual >= charged.length() {
            return Err(ThicknessError::NotThinner);
        }
        return if actual.is_positive() {
            Ok(StockThickness::Surfaced { charged, actual })
        } else {
            Err(ThicknessError::OutOfRange)
        };
    }
    let (figure, rough) = text.strip_suffix("rough").map_or((text, false), |figure| (figure.trim_end(), true));
    if let Some(quarters) = quarters(figure) {
        return quarters.map(StockThickness::Rough);
    }
    let length = parse_length(figure, units)?;
    if !length.is_positive() || length > THICKEST {
        return Err(ThicknessError::OutOfRange);
    }
    Ok(if rough { StockThickness::Sawn(length) } else { StockThickness::Plain(length) })
}

/// `n/4` with `n >= 4`; `None` when the text has another form (`3/4` is a plain length).
fn quarters(text: &str) -> Option<Result<Quarters, ThicknessError>> {
    let n = text.strip_suffix("/4")?.trim();
    let plain = !n.is_empty() && n.chars().all(|c| c.is_ascii_digit());
    let n: u64 = if plain { n.parse().unwrap_or(u64::MAX) } else { return None };
    if n < 4 {
        return None;
    }
    Some(u8::try_from(n).map_or(Err(ThicknessError::Quarters), Quarters::new))
}

impl StockThickness {
    /// What the board measures before the shop planes it.
    #[must_use]
    pub const fn actual(self) -> Length {
        match self {
            Self::Rough(q) => q.length(),
            Self::Surfaced { actual, .. } => actual,
            Self::Sawn(length) | Self::Plain(length) => length,
        }
    }

    /// The thickness it is sold by: the quarter size, or the plain figure as it stands.
    #[must_use]
    pub const fn nominal(self) -> Length {
        match self {
            Self::Rough(q) | Self::Surfaced { charged: q, .. } => q.length(),
            Self::Sawn(length) | Self::Plain(length) => length,
        }
    }

    /// The thickness that board feet are counted by: under 1 in counts as 1 in
    /// (trade rule, goodwoodcorp.com, "Hardwood terminology").
    #[must_use]
    pub fn charged(self) -> Length {
        self.nominal().max(Length::from_inches(1))
    }

    /// True when the faces have been planed already, so that less need come off.
    #[must_use]
    pub const fn is_surfaced(self) -> bool {
        !matches!(self, Self::Rough(_) | Self::Sawn(_))
    }

    /// For people: `4/4`, `4/4 s2s 13/16`, `27 mm rough`, or the plain figure in `units`. Reads back as the same
    /// thickness.
    #[must_use]
    pub fn show(self, units: Units) -> String {
        let figure = |length: Length| match units {
            Units::Inch => length.exact().trim_end_matches(" in").to_owned(),
            Units::Millimetre => length.decimal(units),
        };
        match self {
            Self::Rough(q) => q.to_string(),
            Self::Surfaced { charged, actual } => format!("{charged} s2s {}", figure(actual)),
            Self::Sawn(length) if units == Units::Inch => format!("{} rough", length.exact()),
            Self::Sawn(length) => format!("{} mm rough", figure(length)),
            Self::Plain(length) if units == Units::Inch && length >= Length::from_inches(1) => length.exact(),
            Self::Plain(length) => figure(length),
        }
    }

    /// For a CSV cell: no spreadsheet takes it for a date, so `4/4 rough`, and decimals in `units` where they are
    /// exact. Reads back as the same thickness.
    #[must_use]
    pub fn csv(self, units: Units) -> String {
        let figure = |length: Length| {
            let decimal = length.decimal(units);
            if parse_length(&decimal, units) == Ok(length) { decimal } else { length.exact() }
        };
        match self {
            Self::Rough(q) => format!("{q} rough"),
            Self::Surfaced { charged, actual } => format!("{charged} s2s {}", figure(actual)),
            Self::Sawn(length) => format!("{} rough", figure(length)),
            Self::Plain(length) => figure(length),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<StockThickness, ThicknessError> {
        parse_thickness(text, Units::Inch)
    }

    /// Quarter sizes are the trade's rough thicknesses (NHLA, as listed by engineeringtoolbox.com,
    /// "Hardwood lumber dimensions"): 4/4 = 1 in, 5/4 = 1-1/4 in, 8/4 = 2 in, 16/4 = 4 in.
    #[test]
    fn quarter_sizes_are_rough_inches() {
        for (text, sixty_fourths) in [("4/4", 64), ("5/4", 80), ("6/4", 96), ("8/4", 128), ("16/4", 256)] {
            assert_eq!(read(text).unwrap().actual(), Length::from_64ths(sixty_fourths), "{text}");
            let quarters = Quarters::new(text.trim_end_matches("/4").parse().unwrap()).unwrap();
            assert_eq!(i64::from(quarters.count()) * 16, sixty_fourths);
        }
    }

    #[test]
    fn three_quarters_is_a_plain_length_and_pays_as_one_inch() {
        let board = read("3/4").unwrap();
        assert_eq!(board, StockThickness::Plain(Length::from_64ths(48)));
        assert_eq!(board.charged(), Length::from_inches(1));
        assert_eq!(board.nominal(), Length::from_64ths(48));
        assert!(board.is_surfaced());
    }

    #[test]
    fn surfaced_boards_pay_rough_and_yield_surfaced() {
        let board = read("4/4 s2s 13/16").unwrap();
        assert_eq!(board.actual(), Length::from_64ths(52));
        assert_eq!(board.charged(), Length::from_inches(1));
        assert_eq!(read("4/4 s2s 1"), Err(ThicknessError::NotThinner));
        assert_eq!(read("3/4 s2s 1/2"), Err(ThicknessError::Quarters));
    }

    #[test]
    fn err_out_of_range() {
        assert_eq!(read("41/4"), Err(ThicknessError::Quarters));
        assert_eq!(read("99999999999999999999999/4"), Err(ThicknessError::Quarters));
        assert_eq!(read("0"), Err(ThicknessError::OutOfRange));
        assert_eq!(read("11"), Err(ThicknessError::OutOfRange));
        assert!(matches!(read("thick"), Err(ThicknessError::Length(_))));
    }

    #[test]
    fn what_is_shown_reads_back() {
        for text in ["4/4", "8/4", "4/4 s2s 13/16", "3/4", "19 mm", "1-1/2", "27 mm rough", "7/8 rough", "1/3"] {
            for units in [Units::Inch, Units::Millimetre] {
                let thickness = parse_thickness(text, Units::Inch).unwrap();
                for shown in [thickness.show(units), thickness.csv(units)] {
                    assert_eq!(parse_thickness(&shown, units), Ok(thickness), "{text} shown as {shown}");
                }
            }
        }
    }

    #[test]
    fn a_csv_cell_holds_nothing_that_a_spreadsheet_turns() {
        let csv = |text, units| parse_thickness(text, Units::Inch).unwrap().csv(units);
        assert_eq!(csv("4/4", Units::Inch), "4/4 rough");
        assert_eq!((csv("3/4", Units::Inch), csv("1-1/2", Units::Inch)), ("0.75".into(), "1.5".into()));
        assert_eq!(
            (csv("27 mm rough", Units::Inch), csv("27 mm rough", Units::Millimetre)),
            ("27 mm rough".into(), "27 rough".into())
        );
        assert_eq!(csv("4/4 s2s 13/16", Units::Millimetre), "4/4 s2s 20.6375");
    }

    #[test]
    fn a_plain_figure_that_says_rough_is_charged_and_cut_as_rough() {
        for text in ["27 rough", "27 mm rough", "27mm ROUGH", " 27  Rough "] {
            let board = parse_thickness(text, Units::Millimetre).unwrap();
            assert_eq!(board, StockThickness::Sawn(Length::from_mm(27)), "{text}");
            assert!(!board.is_surfaced());
            assert_eq!((board.actual(), board.nominal()), (Length::from_mm(27), Length::from_mm(27)));
        }
        assert_eq!(read("4/4 rough"), read("4/4"));
        assert_eq!(read("rough"), Err(ThicknessError::Length(LengthError::Empty)));
        assert!(read("0 rough").is_err() && read("rough 27").is_err());
    }

    /// What spreadsheets of several countries make of 4/4, 5/4 and 8/4 (from memory), and their count of days.
    #[test]
    fn err_a_date_is_a_spreadsheets_work_and_the_cure_names_the_size() {
        for (text, cure) in [
            ("04/04/2026", "`4/4 rough`"),
            ("4. Apr", "`4/4 rough`"),
            ("04. Apr.", "`4/4 rough`"),
            ("4-Apr", "`4/4 rough`"),
            ("Apr-04", "`4/4 rough`"),
            ("5-Apr", "`5/4 rough`"),
            ("4-May", "`5/4 rough`"),
            ("08.04.2026", "`8/4 rough`"),
            ("2026-04-04", "`4/4 rough`"),
            ("2026-04-04 00:00:00", "`4/4 rough`"),
            ("46116", "`4/4 rough`"),
        ] {
            let error = read(text).unwrap_err();
            assert!(matches!(error, ThicknessError::Date { .. }), "{text}: {error}");
            assert!(error.help().contains(cure), "{text}: {}", error.help());
        }
        assert!(!matches!(read("4-4/4"), Err(ThicknessError::Date { .. })));
    }

    #[test]
    fn a_plain_thickness_of_an_inch_or_more_is_shown_with_its_unit() {
        let plain = |n: i64| StockThickness::Plain(Length::from_64ths(n));
        assert_eq!((plain(96).show(Units::Inch), plain(64).show(Units::Inch)), ("1-1/2 in".into(), "1 in".into()));
        assert_eq!((plain(48).show(Units::Inch), plain(96).show(Units::Millimetre)), ("3/4".into(), "38.1".into()));
    }
}
