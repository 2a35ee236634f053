//! Money: prices as they are quoted, amounts in whole cents.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};
use std::str::FromStr;

use rust_decimal::{Decimal, RoundingStrategy};
use thiserror::Error;

/// An amount in whole cents of the job's currency; negative for a discount.
///
/// ```
/// use slatwright::measure::Cents;
/// assert_eq!(Cents::new(1234).to_string(), "12.34");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Cents(i64);

impl Cents {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// An amount of `cents` hundredths.
    #[must_use]
    pub const fn new(cents: i64) -> Self {
        Self(cents)
    }

    /// Whole cents.
    #[must_use]
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The amount rounded to the cent, halves away from zero. The one place where money is rounded
    /// to the nearest. `None` when the amount does not fit.
    #[must_use]
    pub fn nearest(amount: Decimal) -> Option<Self> {
        let cents = amount.checked_mul(Decimal::ONE_HUNDRED)?;
        let cents = cents.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
        i64::try_from(cents).ok().map(Self)
    }

    /// The amount as readers of a currency write it: thousands marked, two places. From memory; a currency that is not
    /// here is written as in `1,234.50`.
    ///
    /// ```
    /// use slatwright::measure::Cents;
    /// assert_eq!(Cents::new(123_450).marked("USD"), "1,234.50");
    /// assert_eq!(Cents::new(123_450).marked("EUR"), "1.234,50");
    /// ```
    #[must_use]
    pub fn marked(self, currency: &str) -> String {
        let (thousands, point) = match currency {
            "EUR" | "DKK" | "BRL" | "TRY" | "IDR" | "ARS" | "COP" => (".", ","),
            "SEK" | "NOK" | "PLN" | "CZK" | "HUF" | "UAH" | "ZAR" => ("\u{a0}", ","),
            "CHF" => ("'", "."),
            _ => (",", "."),
        };
        let figure = self.0.unsigned_abs();
        let whole = (figure / 100).to_string();
        let mut marked = String::new();
        for (at, digit) in whole.chars().enumerate() {
            let left = whole.len() - at;
            // Lakh and crore: two digits each above the first three.
            let lakh = currency == "INR" && left > 3;
            let mark = if lakh { !left.is_multiple_of(2) } else { left.is_multiple_of(3) };
            if at > 0 && mark {
                marked.push_str(thousands);
            }
            marked.push(digit);
        }
        let sign = if self.0 < 0 { "-" } else { "" };
        format!("{sign}{marked}{point}{:02}", figure % 100)
    }

    /// The amount with two places.
    #[must_use]
    pub fn decimal(self) -> Decimal {
        Decimal::new(self.0, 2)
    }
}

impl fmt::Display for Cents {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.decimal().fmt(f)
    }
}

impl Add for Cents {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Cents {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl AddAssign for Cents {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Mul<i64> for Cents {
    type Output = Self;
    fn mul(self, n: i64) -> Self {
        Self(self.0 * n)
    }
}

impl Sum for Cents {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Add::add)
    }
}

/// A price for one of something, up to four places, never negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Price(Decimal);

/// Why a text is not a price.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PriceError {
    /// Not a plain decimal number.
    #[error("`{0}` is not a price")]
    NotANumber(String),
    /// Below zero.
    #[error("a price cannot be negative")]
    Negative,
    /// More than four places.
    #[error("a price has at most four decimal places")]
    TooFine,
    /// Over a million.
    #[error("over 1000000 for one unit, which is taken for a slip")]
    TooHigh,
}

impl PriceError {
    /// What would be right.
    #[must_use]
    pub const fn help(&self) -> &'static str {
        match self {
            Self::NotANumber(_) => "write it as 9.85, digits and one point only",
            Self::Negative => "a price is zero or more",
            Self::TooFine => "round it to four places, such as 0.1255",
            Self::TooHigh => "check the decimal point; at most 1000000",
        }
    }
}

impl Price {
    /// Nothing to pay.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// A price from its decimal figure.
    ///
    /// # Errors
    /// [`PriceError`] when it is negative, has more than four places or is over a million.
    pub fn new(figure: Decimal) -> Result<Self, PriceError> {
        let figure = figure.normalize();
        if figure.is_sign_negative() && !figure.is_zero() {
            Err(PriceError::Negative)
        } else if figure.scale() > 4 {
            Err(PriceError::TooFine)
        } else if figure > Decimal::from(1_000_000) {
            Err(PriceError::TooHigh)
        } else {
            Ok(Self(figure))
        }
    }

    /// Reads `9.85`.
    ///
    /// # Errors
    /// [`PriceError`], as for [`Price::new`], or when the text is no plain decimal.
    pub fn parse(text: &str) -> Result<Self, PriceError> {
        let written = text.trim();
        let point = super::decimal_point(written);
        let text = point.as_deref().unwrap_or(written);
        let body = text.strip_prefix('-').unwrap_or(text);
        let plain = !body.is_empty() && body.len() < 24 && body.chars().all(|c| c.is_ascii_digit() || c == '.');
        let figure = if plain { Decimal::from_str(text).ok() } else { None };
        Self::new(figure.ok_or_else(|| PriceError::NotANumber(text.chars().take(24).collect()))?)
    }

    /// The figure for one unit.
    #[must_use]
    pub const fn decimal(self) -> Decimal {
        self.0
    }

    /// `quantity` of these, rounded to the cent, halves away from zero; `None` on overflow.
    #[must_use]
    pub fn times(self, quantity: Decimal) -> Option<Cents> {
        Cents::nearest(self.0.checked_mul(quantity)?)
    }
}

impl fmt::Display for Price {
    /// At least two places, up to four.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut shown = self.0.normalize();
        if shown.scale() < 2 {
            shown.rescale(2);
        }
        shown.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_marked_as_the_currency_is_read() {
        let amount = Cents::new(123_456_789);
        assert_eq!(amount.marked("USD"), "1,234,567.89");
        assert_eq!(amount.marked("EUR"), "1.234.567,89");
        assert_eq!(amount.marked("CHF"), "1'234'567.89");
        assert_eq!(amount.marked("SEK"), "1\u{a0}234\u{a0}567,89");
        assert_eq!(amount.marked("INR"), "12,34,567.89");
        assert_eq!(Cents::new(-5).marked("USD"), "-0.05");
        assert_eq!(Cents::new(99_999).marked("USD"), "999.99");
        assert_eq!(Cents::new(-100_000).marked("USD"), "-1,000.00");
    }

    #[test]
    fn cents_are_added_up() {
        let mut sum = Cents::new(250);
        sum += Cents::new(75);
        assert_eq!(sum, Cents::new(325));
    }

    #[test]
    fn prices_keep_four_places_and_show_at_least_two() {
        assert_eq!(Price::parse("9.8").unwrap().to_string(), "9.80");
        assert_eq!(Price::parse("0.1255").unwrap().to_string(), "0.1255");
        assert_eq!(Price::parse("0.12555"), Err(PriceError::TooFine));
        assert_eq!(Price::parse("-1"), Err(PriceError::Negative));
        assert_eq!(Price::parse("9,85"), Price::parse("9.85"));
        for text in ["", "1,234", "1,234.50", "1e3", "nan", "$4", "1.2.3", "."] {
            assert!(matches!(Price::parse(text), Err(PriceError::NotANumber(_))), "{text}");
        }
    }

    #[test]
    fn a_half_cent_rounds_away_from_zero() {
        let price = Price::parse("0.125").unwrap();
        assert_eq!(price.times(Decimal::ONE), Some(Cents::new(13)));
        assert_eq!(Cents::nearest(Decimal::new(-125, 3)), Some(Cents::new(-13)));
        assert_eq!(Cents::new(-5).to_string(), "-0.05");
    }

    #[test]
    fn cents_multiply_and_sum() {
        assert_eq!(Cents::new(125) * 3, Cents::new(375));
        assert_eq!([Cents::new(1), Cents::new(2)].into_iter().sum::<Cents>(), Cents::new(3));
    }

    #[test]
    fn every_fault_of_a_price_says_what_would_be_right() {
        for (text, help) in [("x", "9.85"), ("-1", "zero or more"), ("1.23456", "four places"), ("1000001", "1000000")]
        {
            let error = Price::parse(text).unwrap_err();
            assert!(error.help().contains(help), "{text}: {}", error.help());
        }
    }
}
