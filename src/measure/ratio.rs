//! [`Ratio`]: percentages and rates, exact decimals.

use std::fmt;

use rust_decimal::Decimal;
use thiserror::Error;

/// A share of one, held as the exact decimal that was written: 15 % is 0.15.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Ratio(Decimal);

/// Why a figure is no usable share.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RatioError {
    /// Below zero.
    #[error("a rate cannot be negative")]
    Negative,
    /// A reject rate or a confidence of one or more.
    #[error("{0} is not a rate below 1: 0.08 means 8 %")]
    OneOrMore(Decimal),
    /// More digits than any rate needs.
    #[error("a rate has at most eight decimal places")]
    TooFine,
}

impl Ratio {
    /// None of it.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// A share at or above zero and below one.
    ///
    /// # Errors
    /// [`RatioError`] outside that range or with more than eight places.
    pub fn below_one(figure: Decimal) -> Result<Self, RatioError> {
        let figure = figure.normalize();
        if figure.is_sign_negative() && !figure.is_zero() {
            Err(RatioError::Negative)
        } else if figure >= Decimal::ONE {
            Err(RatioError::OneOrMore(figure))
        } else if figure.scale() > 8 {
            Err(RatioError::TooFine)
        } else {
            Ok(Self(figure))
        }
    }

    /// A percentage at or above zero, any size (a markup may be over 100 %).
    ///
    /// # Errors
    /// [`RatioError`] when negative or with more than eight places.
    pub fn percent(figure: Decimal) -> Result<Self, RatioError> {
        if figure.is_sign_negative() && !figure.is_zero() {
            return Err(RatioError::Negative);
        }
        let share = (figure / Decimal::ONE_HUNDRED).normalize();
        if share.scale() > 8 { Err(RatioError::TooFine) } else { Ok(Self(share)) }
    }

    /// The share of one as a decimal.
    #[must_use]
    pub const fn decimal(self) -> Decimal {
        self.0
    }

    /// The share of one as a float, for probabilities.
    #[must_use]
    pub fn f64(self) -> f64 {
        // The scale is at most eight and the mantissa small: both conversions are exact.
        self.0.mantissa() as f64 / 10f64.powi(self.0.scale().cast_signed())
    }
}

impl fmt::Display for Ratio {
    /// As a percentage: `15 %`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", (self.0 * Decimal::ONE_HUNDRED).normalize())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rate_of_eight_is_taken_for_eight_percent_and_refused() {
        let error = Ratio::below_one(Decimal::from(8)).unwrap_err();
        assert_eq!(error.to_string(), "8 is not a rate below 1: 0.08 means 8 %");
        assert_eq!(Ratio::below_one(Decimal::new(-1, 2)), Err(RatioError::Negative));
        assert_eq!(Ratio::percent(Decimal::from(150)).unwrap().to_string(), "150 %");
        assert!((Ratio::below_one(Decimal::new(15, 2)).unwrap().f64() - 0.15).abs() < 1e-15);
    }
}
