//! [`FitCheck`]: one check of one door.

use crate::measure::{Length, Units};

/// One check of one door: what is needed, what is there.
#[derive(Debug, Clone, PartialEq)]
pub struct FitCheck {
    /// `groove_width`, `arc_radius`, `stow`, `tongue_length`, `show_gap`, `edge_bevel`, ...
    pub check: &'static str,
    /// `slat`, `lead slat` or `door`.
    pub item: &'static str,
    /// What is needed.
    pub needed: Figure,
    /// What is there.
    pub available: Figure,
    /// What is left over; negative when short.
    pub margin: Figure,
    /// False when the door cannot be built so. A clearance shortfall alone is a warning.
    pub ok: bool,
    /// A sentence for a failing or tight check: the number that would make it work.
    pub advice: Option<String>,
}

/// A checked quantity with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Figure {
    /// A length, shown in the job's unit.
    Length(Length),
    /// Degrees.
    Degrees(f64),
    /// Newtons.
    Force(f64),
}

/// The word for ordinary slats in a check.
pub(super) const SLAT: &str = "slat";
/// The word for the lead slat.
pub(super) const LEAD: &str = "lead slat";
/// The word for the door as a whole.
pub(super) const DOOR: &str = "door";

impl FitCheck {
    /// A check of lengths: good when nothing is short.
    pub(super) fn lengths(check: &'static str, item: &'static str, needed: Length, available: Length) -> Self {
        Self {
            check,
            item,
            needed: Figure::Length(needed),
            available: Figure::Length(available),
            margin: Figure::Length(available - needed),
            ok: available >= needed,
            advice: None,
        }
    }

    /// A check of angles in degrees.
    pub(super) fn degrees(check: &'static str, item: &'static str, needed: f64, available: f64) -> Self {
        Self {
            check,
            item,
            needed: Figure::Degrees(needed),
            available: Figure::Degrees(available),
            margin: Figure::Degrees(available - needed),
            ok: available >= needed,
            advice: None,
        }
    }

    /// The same check, failing also unless `holds`.
    pub(super) fn and(mut self, holds: bool) -> Self {
        self.ok &= holds;
        self
    }

    /// The same check as a warning at most: it never fails.
    pub(super) fn warning_only(mut self) -> Self {
        self.ok = true;
        self
    }

    /// The same check with advice where it fails.
    pub(super) fn advise(self, advice: impl FnOnce() -> String) -> Self {
        let failing = !self.ok;
        self.advise_when(failing, advice)
    }

    /// The same check with advice where `tight` holds and none was given.
    pub(super) fn advise_when(mut self, tight: bool, advice: impl FnOnce() -> String) -> Self {
        if tight && self.advice.is_none() {
            self.advice = Some(advice());
        }
        self
    }

    /// What is left over, when the check is of lengths.
    #[must_use]
    pub fn length_margin(&self) -> Option<Length> {
        match self.margin {
            Figure::Length(length) => Some(length),
            Figure::Degrees(_) | Figure::Force(_) => None,
        }
    }
}

/// The step of shown figures: what a rule or a caliper of the shop reads.
pub(super) const fn step(units: Units) -> Length {
    match units {
        Units::Inch => Length::SIXTY_FOURTH,
        Units::Millimetre => Length::from_nm(100_000),
    }
}

/// A figure that must be reached: the next mark of the rule at or above it, with its unit.
pub(super) fn at_least(length: Length, units: Units) -> String {
    // A hair of rounding must not cost a whole step.
    let length = Length::from_nm(length.nm() - 1).round_up_to(step(units));
    format!("{} {units}", length.show(units))
}

/// A figure that must not be passed: the mark at or below it, with its unit.
pub(super) fn at_most(length: Length, units: Units) -> String {
    let step = step(units);
    let up = (length + Length::from_nm(1)).round_up_to(step);
    let down = if up > length + Length::from_nm(1) { up - step } else { up };
    format!("{} {units}", down.show(units))
}

/// The figure itself, rounded for reading, with its unit.
pub(super) fn about(length: Length, units: Units) -> String {
    format!("{} {units}", length.show(units))
}

/// Millimetres of the geometry as a length; what no case holds (or no number) becomes the limit.
pub(super) fn length(mm: f64) -> Length {
    let limit = Length::LIMIT.mm_f64() * 100.0;
    Length::from_mm_f64(if mm.is_nan() { limit } else { mm.clamp(-limit, limit) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shown_limits_are_rounded_to_the_safe_side() {
        let third = Length::from_nm(8_466_667);
        assert_eq!(at_least(third, Units::Inch), "11/32 in");
        assert_eq!(at_most(third, Units::Inch), "21/64 in");
        assert_eq!(at_least(Length::from_64ths(40), Units::Inch), "5/8 in");
        assert_eq!(at_most(Length::from_64ths(40), Units::Inch), "5/8 in");
        assert_eq!(at_most(Length::from_nm(Length::from_64ths(40).nm() - 1), Units::Inch), "5/8 in");
        assert_eq!(at_least(Length::from_nm(16_030_000), Units::Millimetre), "16.1 mm");
    }
}
