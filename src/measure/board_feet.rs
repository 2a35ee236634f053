//! Areas and volumes, and the board foot, the volume lumber is sold by.

use std::iter::Sum;
use std::ops::{Add, Mul};

use rust_decimal::Decimal;

use super::{Length, Units};

/// An area in whole square nanometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Area(i128);

/// A volume in whole cubic nanometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Volume(i128);

/// Cubic nanometres in a board foot, 1 ft x 1 ft x 1 in = 144 cubic inches, exact.
/// Source: NHLA measurement as given by the American Hardwood Export Council, "Measurement".
pub(crate) const NM3_PER_BOARD_FOOT: i128 = 144 * 25_400_000i128.pow(3);

/// Cubic nanometres in a cubic metre.
pub(crate) const NM3_PER_M3: i128 = 1_000_000_000i128.pow(3);

impl Area {
    /// Square metres, as a float, for consumption figures that are estimates anyway.
    #[must_use]
    pub fn square_metres(self) -> f64 {
        self.0 as f64 / 1e18
    }

    /// Square metres to `places` decimals, halves up.
    #[must_use]
    pub fn exact_square_metres(self, places: u32) -> Decimal {
        rounded(self.0, 1_000_000_000_000_000_000, places)
    }

    /// Whole square nanometres.
    #[must_use]
    pub const fn nm2(self) -> i128 {
        self.0
    }

    /// Square feet to four places, exact before rounding.
    #[must_use]
    pub fn square_feet(self) -> Decimal {
        // 1 ft = 304 800 000 nm; whole square micrometres keep the figure inside a Decimal.
        (Decimal::from_i128_with_scale(self.0 / 1_000_000, 0) / Decimal::from(92_903_040_000i64)).round_dp(4)
    }
}

impl Volume {
    /// Board feet as an exact-to-the-place decimal, `places` up to 6, halves up.
    #[must_use]
    pub fn board_feet(self, places: u32) -> Decimal {
        rounded(self.0, NM3_PER_BOARD_FOOT, places)
    }

    /// Cubic metres to `places` decimals, halves up.
    #[must_use]
    pub fn cubic_metres(self, places: u32) -> Decimal {
        rounded(self.0, NM3_PER_M3, places)
    }

    /// For people: `46.67 bf` to `places` in a job in inches, `0.1101 m3` in one in millimetres.
    #[must_use]
    pub fn show(self, units: Units, places: u32) -> String {
        match units {
            Units::Inch => format!("{} bf", self.board_feet(places)),
            Units::Millimetre => format!("{} m3", self.cubic_metres(4).normalize()),
        }
    }

    /// Whole cubic nanometres.
    #[must_use]
    pub const fn nm3(self) -> i128 {
        self.0
    }
}

/// `amount / unit` rounded to `places`, halves up; all in integers.
fn rounded(amount: i128, unit: i128, places: u32) -> Decimal {
    let scale = 10i128.pow(places);
    let (whole, rest) = (amount.div_euclid(unit), amount.rem_euclid(unit));
    // `rest * scale` stays in range: rest is under 1e27 and scale at most 1e6.
    let parts = (rest * scale * 2 + unit) / (unit * 2);
    Decimal::from_i128_with_scale(whole * scale + parts, places)
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(i128::from(self.nm()) * i128::from(other.nm()))
    }
}

impl Mul<Length> for Area {
    type Output = Volume;
    fn mul(self, depth: Length) -> Volume {
        Volume(self.0 * i128::from(depth.nm()))
    }
}

impl Mul<i64> for Area {
    type Output = Self;
    fn mul(self, n: i64) -> Self {
        Self(self.0 * i128::from(n))
    }
}

impl Mul<i64> for Volume {
    type Output = Self;
    fn mul(self, n: i64) -> Self {
        Self(self.0 * i128::from(n))
    }
}

impl Add for Area {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Add for Volume {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sum for Area {
    fn sum<I: Iterator<Item = Self>>(areas: I) -> Self {
        areas.fold(Self(0), Add::add)
    }
}

impl Sum for Volume {
    fn sum<I: Iterator<Item = Self>>(volumes: I) -> Self {
        volumes.fold(Self(0), Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feet(thickness: &str, width: &str, length: &str) -> String {
        let read = |t| super::super::parse_length(t, super::super::Units::Inch).unwrap();
        (read(thickness) * read(width) * read(length)).board_feet(2).to_string()
    }

    /// Unrounded examples: powershardwoods.com (1 x 6 x 96 = 4), woodworkingtips.com etip04
    /// (1 x 9 x 96 = 6, 1.5 x 9 x 96 = 9), inman.com 2008-12-05 (2 x 10 x 14 ft = 23.33).
    #[test]
    fn published_board_foot_examples() {
        assert_eq!(feet("1", "6", "96"), "4.00");
        assert_eq!(feet("1", "9", "96"), "6.00");
        assert_eq!(feet("1.5", "9", "96"), "9.00");
        assert_eq!(feet("2", "10", "14 ft"), "23.33");
        assert_eq!(feet("2", "6", "8 ft"), "8.00");
    }

    /// American Hardwood Export Council, "Measurement": 2 in x 6-1/4 in x 8 ft has a surface measure
    /// of 4-1/6, before that is rounded for a tally.
    #[test]
    fn surface_measure_example_before_tally_rounding() {
        assert_eq!(feet("1", "6-1/4", "8 ft"), "4.17");
    }

    #[test]
    fn halves_of_a_hundredth_round_up() {
        let hundredth = Volume(NM3_PER_BOARD_FOOT / 200);
        assert_eq!(hundredth.board_feet(2).to_string(), "0.01");
        assert_eq!(Volume(NM3_PER_BOARD_FOOT / 200 - 1).board_feet(2).to_string(), "0.00");
        assert_eq!(Volume(NM3_PER_M3).cubic_metres(3).to_string(), "1.000");
    }

    #[test]
    fn square_feet_of_a_square_yard() {
        let yard = Length::from_inches(36);
        assert_eq!((yard * yard).square_feet().normalize().to_string(), "9");
        // 0.9144 m each way.
        assert!(((yard * yard).square_metres() - 0.836_127_36).abs() < 1e-12);
    }

    #[test]
    fn areas_and_volumes_add_and_multiply() {
        let foot = Length::from_inches(12);
        let square = foot * foot;
        assert_eq!((square * 3).square_feet().normalize().to_string(), "3");
        assert_eq!((square + square * 2).square_feet().normalize().to_string(), "3");
        let board = square * Length::from_inches(1);
        assert_eq!((board + board * 2).board_feet(2).to_string(), "3.00");
        assert_eq!([board, board].into_iter().sum::<Volume>().board_feet(2).to_string(), "2.00");
    }
}
