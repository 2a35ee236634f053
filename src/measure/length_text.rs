//! Reading lengths as people write them: `5/8`, `1-1/2`, `23 5/8"`, `2' 6-1/2"`, `16 mm`.

use std::borrow::Cow;
use std::str::FromStr;

use rust_decimal::{Decimal, RoundingStrategy};
use thiserror::Error;

use super::{Length, Units, date_numbers};

/// The units a length may carry, with their size in nanometres.
const UNITS: [(&str, i64); 15] = [
    ("in", 25_400_000),
    ("in.", 25_400_000),
    ("\"", 25_400_000),
    ("\u{201d}", 25_400_000),
    ("\u{2033}", 25_400_000),
    ("inch", 25_400_000),
    ("inches", 25_400_000),
    ("ft", 304_800_000),
    ("'", 304_800_000),
    ("\u{2019}", 304_800_000),
    ("\u{2032}", 304_800_000),
    ("yd", 914_400_000),
    ("mm", 1_000_000),
    ("cm", 10_000_000),
    ("m", 1_000_000_000),
];

/// Longest text read as a length; the longest sensible one has under 20 characters.
const LONGEST_TEXT: usize = 64;

/// Why a text is not a length. The wording says what would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LengthError {
    /// Nothing but blanks.
    #[error("a length is missing")]
    Empty,
    /// A minus sign in front.
    #[error("a length cannot be negative")]
    Negative,
    /// A fraction over zero.
    #[error("a fraction cannot have 0 as its denominator")]
    ZeroDenominator,
    /// Letters that are no unit.
    #[error("unknown unit `{unit}`")]
    UnknownUnit {
        /// The letters found.
        unit: String,
    },
    /// Not a number in any accepted form.
    #[error("`{text}` is not a length")]
    NotANumber {
        /// The text found, shortened.
        text: String,
    },
    /// A comma that may part thousands or decimals.
    #[error("`{text}`: the comma may stand for a decimal point or part thousands")]
    Comma {
        /// The text found, shortened.
        text: String,
    },
    /// A date that a spreadsheet made of a fraction.
    #[error("`{text}` is a date, which a spreadsheet makes of a fraction such as 5/8")]
    Date {
        /// The text found, shortened.
        text: String,
    },
    /// Over 100 m.
    #[error("longer than 100 m, which no board, bolt or cabinet is")]
    TooLong,
}

impl LengthError {
    /// What would be right.
    #[must_use]
    pub const fn help(&self) -> &'static str {
        match self {
            Self::Empty | Self::NotANumber { .. } => "write it as 5/8, 1-1/2, 23.5, 2' 6-1/2\" or 16 mm",
            Self::Negative => "a length is zero or more",
            Self::ZeroDenominator => "write it as 5/8 or 1-1/2",
            Self::UnknownUnit { .. } => "use in, \", ft, ', yd, mm, cm or m",
            Self::Comma { .. } => "write 1234 or 1.234, whichever is meant",
            Self::Date { .. } => "write the fraction as a decimal, 0.625, which no spreadsheet turns",
            Self::TooLong => "check the unit: a bare figure is in the job's `units`",
        }
    }
}

/// Reads a length; a bare figure is in `units`. What is not a whole number of nanometres is rounded
/// to the nearest, halves away from zero.
///
/// One half may be a character of its own (`1½`), the fraction's line U+2044, the decimal point a comma (`23,5`) where
/// it cannot part thousands.
///
/// # Errors
/// [`LengthError`] for an empty text, a minus sign, an unknown unit, a zero denominator, more than
/// 100 m, a date, a comma before three digits, or anything that is not a number.
///
/// ```
/// use slatwright::measure::{Length, Units, parse_length};
/// assert_eq!(parse_length("2' 6-1/2\"", Units::Inch), Ok(Length::from_64ths(1952)));
/// assert_eq!(parse_length("16", Units::Millimetre), Ok(Length::from_mm(16)));
/// ```
pub fn parse_length(text: &str, units: Units) -> Result<Length, LengthError> {
    if text.len() > LONGEST_TEXT {
        return Err(not_a_number(text.trim()));
    }
    let text = spelled_out(text);
    let text = text.trim();
    if text.is_empty() {
        return Err(LengthError::Empty);
    }
    if text.starts_with(['-', '\u{2212}']) {
        return Err(LengthError::Negative);
    }
    if date_numbers(text).is_some_and(|numbers| numbers.is_some()) {
        return Err(LengthError::Date { text: shorten(text) });
    }
    let text = decimal_point(text).ok_or_else(|| LengthError::Comma { text: shorten(text) })?;
    let text = &*text;
    if let Some((feet, inches)) = split_feet(text) {
        let feet = figure(feet, text)?;
        let (inches, unit) = split_unit(inches);
        let nm_per = unit_size(unit, Units::Inch)?;
        if nm_per != 25_400_000 {
            return Err(not_a_number(text));
        }
        return sum(&[(feet, 304_800_000), (figure(inches, text)?, nm_per)]);
    }
    let (number, unit) = split_unit(text);
    let nm_per = unit_size(unit, units)?;
    sum(&[(figure(number, text)?, nm_per)])
}

/// Fractions that are one character: above and below the line.
const VULGAR: [(char, &str); 15] = [
    ('\u{bc}', "1/4"),
    ('\u{bd}', "1/2"),
    ('\u{be}', "3/4"),
    ('\u{2153}', "1/3"),
    ('\u{2154}', "2/3"),
    ('\u{2155}', "1/5"),
    ('\u{2156}', "2/5"),
    ('\u{2157}', "3/5"),
    ('\u{2158}', "4/5"),
    ('\u{2159}', "1/6"),
    ('\u{215a}', "5/6"),
    ('\u{215b}', "1/8"),
    ('\u{215c}', "3/8"),
    ('\u{215d}', "5/8"),
    ('\u{215e}', "7/8"),
];

/// The text in plain characters: a half that is one character as ` 1/2`, the fraction's line as `/`, blanks of every
/// width as a blank.
pub(super) fn spelled_out(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\u{2044}' | '\u{2215}' => plain.push('/'),
            '\u{2010}'..='\u{2013}' => plain.push('-'),
            c if c.is_whitespace() && !c.is_control() => plain.push(' '),
            c => match VULGAR.iter().find(|(vulgar, _)| *vulgar == c) {
                // `1½` and `1-½` alike.
                Some((_, fraction)) if plain.ends_with(|c: char| c.is_ascii_digit()) => {
                    plain.push(' ');
                    plain.push_str(fraction);
                }
                Some((_, fraction)) => plain.push_str(fraction),
                None => plain.push(c),
            },
        }
    }
    plain
}

/// The text with a decimal point for a decimal comma; `None` where a comma may part thousands as well. A text with
/// several commas, or with a point beside one, stays as it is and is no number.
pub(crate) fn decimal_point(text: &str) -> Option<Cow<'_, str>> {
    let Some((whole, rest)) = text.split_once(',') else { return Some(Cow::Borrowed(text)) };
    let places = rest.bytes().take_while(u8::is_ascii_digit).count();
    let plain = !rest.contains(',') && !text.contains('.') && whole.ends_with(|c: char| c.is_ascii_digit());
    match (plain, places) {
        (true, 3) => None,
        (true, 1..) => Some(Cow::Owned(format!("{whole}.{rest}"))),
        _ => Some(Cow::Borrowed(text)),
    }
}

/// A number as numerator and denominator: kept apart so that 1/3 rounds once, at the end.
type Figure = (Decimal, Decimal);

/// `2' 6-1/2"` as `2` and `6-1/2"`; `None` where nothing follows the feet.
fn split_feet(text: &str) -> Option<(&str, &str)> {
    let (at, mark) = ["'", "\u{2019}", "\u{2032}", "ft"].iter().find_map(|m| text.find(m).map(|at| (at, m)))?;
    let rest = text[at + mark.len()..].trim_start();
    let rest = rest.strip_prefix('-').unwrap_or(rest).trim_start();
    if rest.is_empty() { None } else { Some((text[..at].trim(), rest)) }
}

/// The number and the unit behind it (empty when there is none).
fn split_unit(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c.is_ascii_whitespace() || matches!(c, '.' | '/' | '-')))
        .unwrap_or(text.len());
    (text[..end].trim(), text[end..].trim())
}

fn unit_size(unit: &str, bare: Units) -> Result<i64, LengthError> {
    if unit.is_empty() {
        return Ok(bare.one().nm());
    }
    UNITS
        .iter()
        .find(|(word, _)| word.eq_ignore_ascii_case(unit))
        .map(|(_, nm)| *nm)
        .ok_or_else(|| LengthError::UnknownUnit { unit: shorten(unit) })
}

/// `23.5`, `5/8`, `1-1/2` or `1 1/2`.
fn figure(number: &str, whole_text: &str) -> Result<Figure, LengthError> {
    let bad = || not_a_number(whole_text);
    let Some((front, below)) = number.split_once('/') else {
        return Ok((decimal(number).ok_or_else(bad)?, Decimal::ONE));
    };
    let below = natural(below.trim()).ok_or_else(bad)?;
    if below.is_zero() {
        return Err(LengthError::ZeroDenominator);
    }
    let front = front.trim();
    let (whole, above) = match front.rfind(|c: char| c == '-' || c.is_ascii_whitespace()) {
        Some(at) => {
            let whole = front[..at].trim_end().trim_end_matches('-').trim_end();
            (natural(whole).ok_or_else(bad)?, &front[at + 1..])
        }
        None => (Decimal::ZERO, front),
    };
    let above = natural(above).ok_or_else(bad)?;
    let over = whole.checked_mul(below).and_then(|w| w.checked_add(above)).ok_or(LengthError::TooLong)?;
    Ok((over, below))
}

/// Digits with at most one point, no sign, no exponent.
fn decimal(text: &str) -> Option<Decimal> {
    let plain = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    if plain && text.chars().any(|c| c.is_ascii_digit()) { Decimal::from_str(text).ok() } else { None }
}

fn natural(text: &str) -> Option<Decimal> {
    let plain = !text.is_empty() && text.len() <= 12 && text.chars().all(|c| c.is_ascii_digit());
    if plain { Decimal::from_str(text).ok() } else { None }
}

fn sum(parts: &[(Figure, i64)]) -> Result<Length, LengthError> {
    let mut total = Decimal::ZERO;
    for ((above, below), nm_per) in parts {
        let nm = above
            .checked_mul(Decimal::from(*nm_per))
            .and_then(|nm| nm.checked_div(*below))
            .ok_or(LengthError::TooLong)?;
        total = total.checked_add(nm).ok_or(LengthError::TooLong)?;
    }
    let nm = total.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    let nm = i64::try_from(nm).map_err(|_| LengthError::TooLong)?;
    let length = Length::from_nm(nm);
    if length > Length::LIMIT { Err(LengthError::TooLong) } else { Ok(length) }
}

fn not_a_number(text: &str) -> LengthError {
    LengthError::NotANumber { text: shorten(text) }
}

/// Keeps a message on one line whatever the file holds.
pub(super) fn shorten(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(24).collect();
    if clean.chars().count() < text.chars().count() { format!("{clean}...") } else { clean }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn inches(text: &str) -> Result<Length, LengthError> {
        parse_length(text, Units::Inch)
    }

    #[test]
    fn every_accepted_spelling_gives_the_same_length() {
        for text in ["1-1/2", "1 1/2", "1.5", "1.50 in", "1-1/2\"", " 3/2 ", "38.1 mm", "3.81cm", "0.0381 m", "1 - 1/2"]
        {
            assert_eq!(inches(text), Ok(Length::from_64ths(96)), "{text}");
        }
        for text in ["2' 6-1/2\"", "2'6.5", "2 ft 6 1/2 in", "2'-6-1/2\"", "30-1/2", "2\u{2032} 6-1/2\u{2033}"] {
            assert_eq!(inches(text), Ok(Length::from_64ths(64 * 30 + 32)), "{text}");
        }
        assert_eq!(inches("2-1/2 yd"), Ok(Length::from_inches(90)));
        assert_eq!(inches("60 in"), parse_length("1524", Units::Millimetre));
        assert_eq!(inches("3'"), Ok(Length::from_inches(36)));
    }

    #[test]
    fn fractions_of_one_character_fraction_lines_and_decimal_commas_are_read() {
        for text in
            ["1½", "1 ½", "1-½", "1 1⁄2", "1\u{a0}1/2", "1,5", "1,50 IN", "1.5 in.", "1½\u{201d}", "1–1/2", "38,1 mm"]
        {
            assert_eq!(inches(text), Ok(Length::from_64ths(96)), "{text}");
        }
        assert_eq!(inches("⅝"), Ok(Length::from_64ths(40)));
        assert_eq!(inches("2\u{2019} 6½"), Ok(Length::from_64ths(64 * 30 + 32)));
        assert_eq!(parse_length("1200,5", Units::Millimetre), Ok(Length::from_nm(1_200_500_000)));
    }

    #[test]
    fn err_a_comma_of_two_meanings_and_a_date_are_explained() {
        assert_eq!(inches("1,234"), Err(LengthError::Comma { text: "1,234".into() }));
        for text in ["1,5,2", "1,234.5", ",5", "1,"] {
            assert!(
                matches!(inches(text), Err(LengthError::NotANumber { .. } | LengthError::UnknownUnit { .. })),
                "{text}"
            );
        }
        for text in ["8-May", "08/05/2026", "5. Aug"] {
            let error = inches(text).unwrap_err();
            assert_eq!(error, LengthError::Date { text: text.into() });
            assert!(error.help().contains("0.625"));
        }
    }

    #[test]
    fn what_is_not_whole_nanometres_is_rounded_halves_away_from_zero() {
        assert_eq!(inches("1/3"), Ok(Length::from_nm(8_466_667)));
        assert_eq!(inches("1/128"), Ok(Length::from_nm(198_438)));
    }

    #[test]
    fn err_each_fault_has_its_own_reason() {
        assert_eq!(inches("  "), Err(LengthError::Empty));
        assert_eq!(inches("-1"), Err(LengthError::Negative));
        assert_eq!(inches("1/0"), Err(LengthError::ZeroDenominator));
        assert_eq!(inches("3 furlongs"), Err(LengthError::UnknownUnit { unit: "furlongs".into() }));
        let long = "3 furlongs, a chain and a link";
        assert_eq!(inches(long), Err(LengthError::UnknownUnit { unit: "furlongs, a chain and a ...".into() }));
        assert_eq!(inches("101 m"), Err(LengthError::TooLong));
        assert_eq!(inches("100 m"), Ok(Length::LIMIT));
        for text in
            ["5/", "/8", "5//8", "1.2.3", ".", "1-2-3/4", "5/-8", "1 2", "2' 3 mm", "1e3", "9".repeat(70).as_str()]
        {
            assert!(inches(text).is_err(), "{text}");
        }
        for text in ["NaN", "inf", "five"] {
            assert!(
                matches!(inches(text), Err(LengthError::UnknownUnit { .. } | LengthError::NotANumber { .. })),
                "{text}"
            );
        }
    }

    proptest! {
        #[test]
        fn what_is_printed_parses_back_unchanged(nm in 0..=Length::LIMIT.nm()) {
            let length = Length::from_nm(nm);
            prop_assert_eq!(parse_length(&length.exact(), Units::Inch), Ok(length));
            let mm = length.decimal(Units::Millimetre);
            prop_assert_eq!(parse_length(&mm, Units::Millimetre), Ok(length));
        }

        /// Up to the last 1/64 in under 100 m.
        #[test]
        fn fractions_on_screen_parse_back_unchanged(n in 0..=251_968i64) {
            let length = Length::from_64ths(n);
            prop_assert_eq!(parse_length(&length.show(Units::Inch), Units::Inch), Ok(length));
        }

        #[test]
        fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,40}") {
            let _ = parse_length(&text, Units::Inch);
        }

        #[test]
        fn any_text_of_the_alphabet_is_read_or_refused(text in "[0-9/'\" .a-z-]{0,16}") {
            let _ = parse_length(&text, Units::Inch);
        }
    }

    #[test]
    fn a_text_of_no_end_is_no_length() {
        let long = format!("{}5", "0".repeat(300));
        assert!(matches!(parse_length(&long, Units::Inch), Err(LengthError::NotANumber { .. })));
    }

    #[test]
    fn every_fault_of_a_length_says_what_would_be_right() {
        let faults = [("", "5/8"), ("5//8", "5/8"), ("-1", "zero or more"), ("1/0", "5/8"), ("3 ells", "mm")];
        for (text, help) in faults.into_iter().chain([("101 m", "check the unit")]) {
            let error = parse_length(text, Units::Inch).unwrap_err();
            assert!(error.help().contains(help), "{text}: {}", error.help());
        }
    }
}
