//! [`Length`]: whole nanometres, in which both 1/64 in and 1 mm are exact.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

use rust_decimal::Decimal;

use super::Ratio;

/// Nanometres in one inch (exact since the international yard of 1959).
const NM_PER_INCH: i64 = 25_400_000;
/// Nanometres in one sixty-fourth of an inch, exact.
const NM_PER_64TH: i64 = NM_PER_INCH / 64;
/// Nanometres in one millimetre.
const NM_PER_MM: i64 = 1_000_000;

/// The unit of bare figures in a job, of every CSV file and of the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Units {
    /// Inches; shown as fractions on screen, as decimals in CSV files.
    Inch,
    /// Millimetres.
    Millimetre,
}

impl Units {
    /// The word used in files and headings: `in` or `mm`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Millimetre => "mm",
        }
    }

    /// The word in a sentence: `inches` or `mm`.
    #[must_use]
    pub const fn plural(self) -> &'static str {
        match self {
            Self::Inch => "inches",
            Self::Millimetre => "mm",
        }
    }

    /// One of this unit as a length.
    #[must_use]
    pub const fn one(self) -> Length {
        match self {
            Self::Inch => Length(NM_PER_INCH),
            Self::Millimetre => Length(NM_PER_MM),
        }
    }
}

impl fmt::Display for Units {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A length in whole nanometres; may be negative as a difference (a margin), never as an input.
///
/// ```
/// use slatwright::measure::{Length, Units};
/// let slat = Length::from_64ths(40); // 5/8 in
/// assert_eq!(slat.show(Units::Inch), "5/8");
/// assert_eq!(slat.decimal(Units::Millimetre), "15.875");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0);
    /// The longest length a file may hold: 100 m, far above any board or bolt.
    pub const LIMIT: Self = Self(100_000 * NM_PER_MM);
    /// 1/64 in.
    pub const SIXTY_FOURTH: Self = Self(NM_PER_64TH);

    /// A length of `nm` nanometres.
    #[must_use]
    pub const fn from_nm(nm: i64) -> Self {
        Self(nm)
    }

    /// A length of `n` sixty-fourths of an inch, exact.
    #[must_use]
    pub const fn from_64ths(n: i64) -> Self {
        Self(n * NM_PER_64TH)
    }

    /// A length of whole inches.
    #[must_use]
    pub const fn from_inches(n: i64) -> Self {
        Self(n * NM_PER_INCH)
    }

    /// A length of whole millimetres.
    #[must_use]
    pub const fn from_mm(n: i64) -> Self {
        Self(n * NM_PER_MM)
    }

    /// The length nearest to `mm` millimetres, halves away from zero: how figures come back from
    /// the door geometry. Not for file input, which is exact. Beyond `i64` it saturates.
    #[must_use]
    pub fn from_mm_f64(mm: f64) -> Self {
        Self((mm * 1e6).round() as i64)
    }

    /// Whole nanometres.
    #[must_use]
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Millimetres as a float: how figures enter the door geometry.
    #[must_use]
    pub fn mm_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// The size without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// True for lengths above zero.
    #[must_use]
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// The least multiple of `step` that is not below this length; the length itself for a zero step.
    #[must_use]
    pub const fn round_up_to(self, step: Self) -> Self {
        if step.0 <= 0 {
            return self;
        }
        let rest = self.0.rem_euclid(step.0);
        if rest == 0 { self } else { Self(self.0 - rest + step.0) }
    }

    /// The multiple of `step` nearest to this length, halves up; the length itself for a zero step.
    #[must_use]
    pub const fn round_to_nearest(self, step: Self) -> Self {
        if step.0 <= 0 {
            return self;
        }
        let rest = self.0.rem_euclid(step.0);
        Self(if rest * 2 >= step.0 { self.0 - rest + step.0 } else { self.0 - rest })
    }

    /// How many times `other` goes into this length, rounded up; `other` must be positive.
    #[must_use]
    pub const fn div_ceil(self, other: Self) -> i64 {
        let whole = self.0.div_euclid(other.0);
        if self.0.rem_euclid(other.0) == 0 { whole } else { whole + 1 }
    }

    /// What is left of this length after it shrinks by `share`: rounded down to the nanometre, so
    /// that nothing is planned on cloth that is not there.
    #[must_use]
    pub fn shrunk_by(self, share: Ratio) -> Self {
        let left = Decimal::from(self.0) * (Decimal::ONE - share.decimal());
        Self(i64::try_from(left.floor()).expect("a share of an i64 is in range"))
    }

    /// Decimal figure in `units` with at most six places, nearest, no trailing zeros: the form of
    /// every CSV cell. Exact in millimetres; within 0.5e-6 in in inches.
    #[must_use]
    pub fn decimal(self, units: Units) -> String {
        self.decimal_places(units, 6)
    }

    /// Decimal figure in `units` rounded to `places`, without trailing zeros.
    #[must_use]
    pub fn decimal_places(self, units: Units, places: u32) -> String {
        let value = Decimal::from(self.0) / Decimal::from(units.one().0);
        let value =
            value.round_dp_with_strategy(places, rust_decimal::RoundingStrategy::MidpointAwayFromZero).normalize();
        // A tiny negative margin must not print as "-0".
        if value.is_zero() { "0".to_owned() } else { value.to_string() }
    }

    /// For people: in inches a fraction where it is a whole number of 64ths, else decimals marked
    /// `~` (rounding is never hidden); in millimetres at most two decimals, `~` when rounded.
    #[must_use]
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Inch if self.0 % NM_PER_64TH == 0 => self.fraction_text(),
            Units::Inch => format!("~{}", self.decimal_places(units, 3)),
            Units::Millimetre if self.0 % (NM_PER_MM / 100) == 0 => self.decimal(units),
            Units::Millimetre => format!("~{}", self.decimal_places(units, 2)),
        }
    }

    /// The figure a tape or a rule shows: the nearest 1/64 in or 0.1 mm, `~` when that rounds.
    #[must_use]
    pub fn show_nearest(self, units: Units) -> String {
        let step = match units {
            Units::Inch => Self::SIXTY_FOURTH,
            Units::Millimetre => Self(NM_PER_MM / 10),
        };
        let near = self.round_to_nearest(step);
        let mark = if near == self { "" } else { "~" };
        format!("{mark}{}", near.show(units))
    }

    /// The exact value with its unit, such that [`super::parse_length`] reads it back unchanged:
    /// `23-5/8 in` for whole 64ths, else millimetres.
    #[must_use]
    pub fn exact(self) -> String {
        if self.0 % NM_PER_64TH == 0 {
            format!("{} in", self.fraction_text())
        } else {
            format!("{} mm", self.decimal(Units::Millimetre))
        }
    }

    /// `23-5/8`, `5/8`, `-1/64`, `2`: only for whole 64ths.
    fn fraction_text(self) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let n = (self.0 / NM_PER_64TH).unsigned_abs();
        let (whole, rest) = (n / 64, n % 64);
        if rest == 0 {
            return format!("{sign}{whole}");
        }
        let shift = rest.trailing_zeros();
        let (num, den) = (rest >> shift, 64u64 >> shift);
        if whole == 0 { format!("{sign}{num}/{den}") } else { format!("{sign}{whole}-{num}/{den}") }
    }
}

impl fmt::Display for Length {
    /// The exact value with its unit, as [`Length::exact`].
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.exact())
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, n: i64) -> Self {
        Self(self.0 * n)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_in_lowest_terms() {
        assert_eq!(format!("{} and {:>8}", Length::from_64ths(40), Length::from_mm(16)), "5/8 in and    16 mm");
        assert_eq!(Length::from_64ths(40).show(Units::Inch), "5/8");
        assert_eq!(Length::from_64ths(64 * 23 + 40).show(Units::Inch), "23-5/8");
        assert_eq!(Length::from_64ths(-1).show(Units::Inch), "-1/64");
        assert_eq!(Length::from_64ths(128).show(Units::Inch), "2");
        assert_eq!(Length::ZERO.show(Units::Inch), "0");
    }

    #[test]
    fn a_rounded_figure_says_so() {
        assert_eq!(Length::from_mm(16).show(Units::Inch), "~0.63");
        assert_eq!(Length::from_nm(1_234_567).show(Units::Millimetre), "~1.23");
        assert_eq!(Length::from_mm(16).show_nearest(Units::Inch), "~5/8");
        assert_eq!(Length::from_64ths(40).show_nearest(Units::Inch), "5/8");
    }

    #[test]
    fn csv_decimals_have_at_most_six_places_and_no_minus_zero() {
        assert_eq!(Length::from_mm(16).decimal(Units::Inch), "0.629921");
        assert_eq!(Length::from_nm(-1).decimal(Units::Inch), "0");
        assert_eq!(Length::from_nm(-1).decimal(Units::Millimetre), "-0.000001");
    }

    #[test]
    fn shrinking_rounds_down() {
        let share = Ratio::percent(Decimal::from(10)).unwrap();
        assert_eq!(Length::from_nm(11).shrunk_by(share), Length::from_nm(9));
        assert_eq!(Length::from_inches(60).shrunk_by(Ratio::ZERO), Length::from_inches(60));
    }

    #[test]
    fn rounding_to_steps_goes_the_named_way() {
        let yard = Length::from_inches(36);
        assert_eq!(Length::from_inches(36).round_up_to(yard), yard);
        assert_eq!(Length::from_nm(yard.nm() + 1).round_up_to(yard), yard * 2);
        assert_eq!(Length::from_inches(54).round_to_nearest(yard), yard * 2);
        assert_eq!(Length::from_inches(53).round_to_nearest(yard), yard);
        assert_eq!(Length::from_inches(19).div_ceil(Length::from_inches(6)), 4);
        assert_eq!(Length::from_inches(18).div_ceil(Length::from_inches(6)), 3);
    }

    #[test]
    fn sums_roundings_and_words() {
        let mut length = Length::from_inches(3);
        length += Length::from_inches(2);
        assert_eq!(length, Length::from_inches(5));
        length -= Length::from_inches(1);
        assert_eq!((length, length * 3), (Length::from_inches(4), Length::from_inches(12)));
        let (half, step) = (Length::from_64ths(32), Length::from_inches(1));
        assert_eq!((length + half).round_to_nearest(step), Length::from_inches(5), "halves up");
        assert_eq!((length + Length::from_64ths(31)).round_to_nearest(step), length);
        assert_eq!((length + Length::from_64ths(1)).round_up_to(step), Length::from_inches(5));
        assert_eq!(length.round_up_to(step), length);
        assert_eq!((length.round_to_nearest(Length::ZERO), length.round_up_to(Length::ZERO)), (length, length));
        assert_eq!(((length + half).div_ceil(step), length.div_ceil(step)), (5, 4));
        assert_eq!(Length::from_mm_f64(1.234_567_5), Length::from_nm(1_234_568));
        assert!((Length::from_inches(1).mm_f64() - 25.4).abs() < 1e-12);
        assert!(Length::from_nm(1).is_positive() && !Length::ZERO.is_positive());
        assert_eq!((Units::Inch.plural(), Units::Millimetre.plural()), ("inches", "mm"));
    }
}
