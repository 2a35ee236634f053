//! Lumber thicknesses: quarters of an inch, rough or surfaced, or a plain figure.

use std::fmt;

use thiserror::Error;

use super::{Length, LengthError, Units, parse_length};

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
    /// The figure is no length.
    #[error(transparent)]
    Length(#[from] LengthError),
}

/// The thickest board a file may hold, equal to 40/4.
const THICKEST: Length = Length::from_inches(10);

/// Reads `4/4`, `4/4 s2s 13/16`, `3/4` or `19 mm`. Quarter sizes are `n/4` with `n >= 4`, always
/// inches; anything else is a plain length in `units`.
///
/// # Errors
/// [`ThicknessError`] when it is none of these.
pub fn parse_thickness(text: &str, units: Units) -> Result<StockThickness, ThicknessError> {
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
    if let Some(rough) = quarters(text) {
        return rough.map(StockThickness::Rough);
    }
    let plain = parse_length(text, units)?;
    if plain.is_positive() && plain <= THICKEST {
        Ok(StockThickness::Plain(plain))
    } else {
        Err(ThicknessError::OutOfRange)
    }
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
            Self::Plain(length) => length,
        }
    }

    /// The thickness it is sold by: the quarter size, or the plain figure as it stands.
    #[must_use]
    pub const fn nominal(self) -> Length {
        match self {
            Self::Rough(q) | Self::Surfaced { charged: q, .. } => q.length(),
            Self::Plain(length) => length,
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
        !matches!(self, Self::Rough(_))
    }

    /// `4/4`, `4/4 s2s 13/16`, or the plain figure in `units`: reads back as the same thickness.
    #[must_use]
    pub fn show(self, units: Units) -> String {
        let figure = |length: Length| match units {
            Units::Inch => length.exact().trim_end_matches(" in").to_owned(),
            Units::Millimetre => length.decimal(units),
        };
        match self {
            Self::Rough(q) => q.to_string(),
            Self::Surfaced { charged, actual } => format!("{charged} s2s {}", figure(actual)),
            Self::Plain(length) if units == Units::Inch && length >= Length::from_inches(1) => length.exact(),
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
        for text in ["4/4", "8/4", "4/4 s2s 13/16", "3/4", "19 mm", "1-1/2"] {
            for units in [Units::Inch, Units::Millimetre] {
                let thickness = parse_thickness(text, Units::Inch).unwrap();
                let shown = thickness.show(units);
                assert_eq!(parse_thickness(&shown, units), Ok(thickness), "{text} shown as {shown}");
            }
        }
    }

    #[test]
    fn a_plain_thickness_of_an_inch_or_more_is_shown_with_its_unit() {
        let plain = |n: i64| StockThickness::Plain(Length::from_64ths(n));
        assert_eq!((plain(96).show(Units::Inch), plain(64).show(Units::Inch)), ("1-1/2 in".into(), "1 in".into()));
        assert_eq!((plain(48).show(Units::Inch), plain(96).show(Units::Millimetre)), ("3/4".into(), "38.1".into()));
    }
}
