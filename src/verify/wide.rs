//! Lengths in 128 bits: a damaged plan may hold any figure, and its sums must not overflow.

use crate::measure::Length;

/// Whole nanometres.
pub(super) fn nm(length: Length) -> i128 {
    i128::from(length.nm())
}

/// Back to a length for a message; what is out of range shows as the nearest that is not.
pub(super) fn length(nm: i128) -> Length {
    let clamped = nm.clamp(i128::from(i64::MIN), i128::from(i64::MAX));
    Length::from_nm(i64::try_from(clamped).unwrap_or(i64::MAX))
}
