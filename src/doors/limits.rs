//! Limits that hold for every door, whatever its bends. All common practice without a source, unless said otherwise.

use crate::measure::{Length, Units};

/// An eighth of an inch, or 3 mm: the least that a tongue may be, or may hold by.
const fn least_hold(units: Units) -> Length {
    match units {
        Units::Inch => Length::from_64ths(8),
        Units::Millimetre => Length::from_mm(3),
    }
}

/// Room wanted past the stowed tail, beyond what the wood swells: 1/4 in, or 6 mm.
pub(super) const fn stow_clear(units: Units) -> Length {
    match units {
        Units::Inch => Length::from_64ths(16),
        Units::Millimetre => Length::from_mm(6),
    }
}

/// A groove that ends blind stops this far short of the back, with room for chips and for the tail's stop: 1/4 in, or
/// 6 mm.
pub(super) const fn end_gap(units: Units) -> Length {
    stow_clear(units)
}

/// Wood left between two passes of a groove: 3/16 in, or 5 mm.
pub(super) const fn least_wall(units: Units) -> Length {
    match units {
        Units::Inch => Length::from_64ths(12),
        Units::Millimetre => Length::from_mm(5),
    }
}

/// The widest gap between face corners that nobody minds: 1/8 in, or 3 mm.
pub(super) const fn show_gap(units: Units) -> Length {
    least_hold(units)
}

/// A thin panel that keeps things off the stowed door, with room for the door to run: 1/4 in and 1/8 in, or 6 mm and
/// 4 mm.
pub(super) const fn liner(units: Units) -> Length {
    match units {
        Units::Inch => Length::from_64ths(24),
        Units::Millimetre => Length::from_mm(10),
    }
}

/// Half of a length, upwards.
const fn half(length: Length) -> Length {
    Length::from_nm(length.nm().div_euclid(2) + length.nm().rem_euclid(2))
}

/// Least setback of a groove's centreline from the case's front edge: half the groove, and the wall that stays in
/// front of it. With less the groove breaks out of the edge.
///
/// By hand: a groove 1/4 wide behind a wall of 3/16 wants 1/8 + 3/16 = 5/16.
/// ```
/// use slatwright::{doors::limits::least_setback, measure::Length};
/// let (groove, wall) = (Length::from_64ths(16), Length::from_64ths(12));
/// assert_eq!(least_setback(groove, wall), Length::from_64ths(20));
/// ```
#[must_use]
pub fn least_setback(groove_width: Length, front_wall: Length) -> Length {
    half(groove_width) + front_wall
}

/// How far the show face of a slat stands in front of the groove's centreline when its tongue runs in the middle of the
/// groove: all of the slat but the back rabbet and half the tongue.
///
/// By hand: 3/8 thick, a tongue of 5/32 at the back: 3/8 - 5/64 = 19/64. With 1/16 of back rabbet 15/64 are left.
/// ```
/// use slatwright::{doors::limits::face_ahead, measure::Length};
/// let (thick, tongue) = (Length::from_64ths(24), Length::from_64ths(10));
/// assert_eq!(face_ahead(thick, tongue, Length::ZERO), Length::from_64ths(19));
/// assert_eq!(face_ahead(thick, tongue, Length::from_64ths(4)), Length::from_64ths(15));
/// ```
#[must_use]
pub fn face_ahead(thickness: Length, tongue: Length, back_rabbet: Length) -> Length {
    thickness - half(tongue) - back_rabbet
}

/// By how much the far tongue holds while the door rests in one groove: the end play is all on its side then.
///
/// By hand: grooves 5/16 deep with 1/16 of play hold by 1/4.
/// ```
/// use slatwright::{doors::limits::engagement, measure::Length};
/// assert_eq!(engagement(Length::from_64ths(20), Length::from_64ths(4)), Length::from_64ths(16));
/// ```
#[must_use]
pub fn engagement(groove_depth: Length, end_play: Length) -> Length {
    groove_depth - end_play
}

/// Least engagement: an eighth of an inch (3 mm), and half the groove's depth.
///
/// By hand: 5/16 deep wants 5/32; 3/16 deep wants 1/8, as half of it is less.
/// ```
/// use slatwright::{doors::limits::least_engagement, measure::{Length, Units}};
/// assert_eq!(least_engagement(Length::from_64ths(20), Units::Inch), Length::from_64ths(10));
/// assert_eq!(least_engagement(Length::from_64ths(12), Units::Inch), Length::from_64ths(8));
/// ```
#[must_use]
pub fn least_engagement(groove_depth: Length, units: Units) -> Length {
    least_hold(units).max(half(groove_depth))
}

/// Least groove depth with that engagement: `d - p >= h` and `d - p >= d/2` for a hold `h` and a play `p`.
///
/// By hand: with 1/16 of play 1/8 + 1/16 = 3/16 is enough; with 3/16 of play it takes 3/8.
/// ```
/// use slatwright::{doors::limits::least_groove_depth, measure::{Length, Units}};
/// assert_eq!(least_groove_depth(Length::from_64ths(4), Units::Inch), Length::from_64ths(12));
/// assert_eq!(least_groove_depth(Length::from_64ths(12), Units::Inch), Length::from_64ths(24));
/// ```
#[must_use]
pub fn least_groove_depth(end_play: Length, units: Units) -> Length {
    (least_hold(units) + end_play).max(end_play * 2)
}

/// Least tongue of a slat: an eighth of an inch (3 mm), and two fifths of its thickness.
///
/// By hand: 3/8 thick wants 0.15 in, 1/4 thick an eighth.
/// ```
/// use slatwright::{doors::limits::least_tongue, measure::{Length, Units}};
/// assert_eq!(least_tongue(Length::from_64ths(24), Units::Inch), Length::from_nm(3_810_000));
/// assert_eq!(least_tongue(Length::from_64ths(16), Units::Inch), Length::from_64ths(8));
/// ```
#[must_use]
pub fn least_tongue(thickness: Length, units: Units) -> Length {
    let two_fifths = Length::from_nm((thickness.nm() * 2 + 4).div_euclid(5));
    least_hold(units).max(two_fifths)
}

/// Least thickness of a panel that carries a groove: twice the groove's depth, so that half of it stays.
///
/// By hand: a groove 5/16 deep wants a panel of 5/8.
/// ```
/// use slatwright::{doors::limits::least_panel, measure::Length};
/// assert_eq!(least_panel(Length::from_64ths(20)), Length::from_64ths(40));
/// ```
#[must_use]
pub fn least_panel(groove_depth: Length) -> Length {
    groove_depth * 2
}

/// The longest slat that goes in end first when the door is already in its track: one end to the bottom of its groove,
/// then the other end past the opposite face.
///
/// By hand: 28 between the faces and grooves of 5/16 take 28-5/16; a slat of 28-9/16 is 1/4 too long.
/// ```
/// use slatwright::{doors::limits::longest_end_first, measure::Length};
/// let longest = longest_end_first(Length::from_inches(28), Length::from_64ths(20));
/// assert_eq!(longest, Length::from_64ths(28 * 64 + 20));
/// assert_eq!(Length::from_64ths(28 * 64 + 36) - longest, Length::from_64ths(16));
/// ```
#[must_use]
pub fn longest_end_first(between: Length, groove_depth: Length) -> Length {
    between + groove_depth
}

/// The sag from which on it is said: an eighth of an inch (3 mm), or a three-hundredth of the span where that is less.
///
/// By hand: a span of 30 in may sag 1/10 in, one of 60 in an eighth.
/// ```
/// use slatwright::{doors::limits::most_sag, measure::{Length, Units}};
/// assert_eq!(most_sag(Length::from_inches(30), Units::Inch), Length::from_nm(2_540_000));
/// assert_eq!(most_sag(Length::from_inches(60), Units::Inch), Length::from_64ths(8));
/// ```
#[must_use]
pub fn most_sag(span: Length, units: Units) -> Length {
    least_hold(units).min(Length::from_nm(span.nm() / 300))
}
