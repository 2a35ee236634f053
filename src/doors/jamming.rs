//! Where a pull locks a door in its grooves instead of moving it. The rule is that of any guided slide: a pull `F` that
//! is `z` off the line on which friction holds the slide back is borne by two stops, each with `F z / l` where they are
//! `l` apart, and rubs on both: `2 mu F z / l`. Where that is more than `F` no pull moves it: `l` has to be more than
//! `2 mu z`. Friction is an estimate ([`BARE`]), so what these rules find is a note and never refuses a door.
//!
//! **The lead slat**, closing the door: the chain holds it back at the canvas, the hand pulls at its face. It turns inwards
//! until its tongue bears on both walls, at the two ends of the guided length ([`least_guided`]).
//!
//! **The whole door**, running level: its weight rubs on the bottom groove, the hand pulls half its height above. It tips
//! until something bears: the slat ends on the bottoms of both grooves, or, where it goes round a bend, the tongues beyond
//! the bend on the walls of both grooves ([`Tipping`]). On an ordinary corner the walls come first, the height of the door
//! apart, and with friction under one half such a door never locks, however short the run in front of the corner is. What
//! does lock is a door taller than it is long on a track without a bend to speak of.
//!
//! ```
//! use slatwright::doors::jamming::{BARE, Tipping, least_guided};
//! // A lead slat 3/4 thick, pulled at its face, friction .4: .8 x .75 = .6 of it has to be guided.
//! assert!((least_guided(0.75, BARE) - 0.6).abs() < 1e-12);
//! // A door 28 high pulled at 14 wants a lever of .8 x 14 = 11.2.
//! let corner = Tipping { reach: 4.0, turn: std::f64::consts::FRAC_PI_2, height: 28.0, end_play: 1.0 / 16.0, play: 3.0 / 32.0 };
//! assert!((corner.needed(BARE) - 11.2).abs() < 1e-12);
//! // Nearly open it reaches 4 along its front: the ends would bear after tipping 1/64, the walls after 3/32 in 28, sooner.
//! assert_eq!(corner.lever(), 28.0);
//! // Straight and 10 long it bears at its ends alone, 10 apart, and locks.
//! let straight = Tipping { reach: 10.0, turn: 0.0, ..corner };
//! assert_eq!(straight.lever(), 10.0);
//! // Waxed, friction .15, it asks for 4.2.
//! assert!((straight.needed(0.15) - 4.2).abs() < 1e-12);
//! ```

use std::f64::consts::FRAC_PI_2;

use super::feel::FRICTION;
use super::fit::{Check, DOOR, FitCheck, LEAD, at_least, at_most, length};
use super::joint::Lie;
use super::layout::Layout;
use super::room::lead_in_groove;
use super::track::TrackPiece;

/// Sliding friction of bare hardwood on hardwood (estimate; the Wood Handbook, from memory, has .3 to .5 for dry, smooth
/// wood).
pub const BARE: f64 = FRICTION.1;

/// Positions of the lead edge that are looked at, closed and open included.
const POSITIONS: u32 = 9;

/// Least guided length of a lead slat that is pulled so far in front of its canvas line.
#[must_use]
pub fn least_guided(offset: f64, friction: f64) -> f64 {
    2.0 * friction * offset
}

/// A door that is tipped by a pull at half its height; lengths in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tipping {
    /// How far the door reaches along the pull.
    pub reach: f64,
    /// The most that it turns away from the pull, radians.
    pub turn: f64,
    /// Clear height between the grooves.
    pub height: f64,
    /// Slats short of both groove bottoms together.
    pub end_play: f64,
    /// Groove width less tongue thickness.
    pub play: f64,
}

impl Tipping {
    /// The lever that it takes not to lock.
    #[must_use]
    pub fn needed(self, friction: f64) -> f64 {
        2.0 * friction * self.height / 2.0
    }

    /// Between the two stops that bear first: the slat ends, `reach` apart, after tipping by the end play; the walls beyond
    /// a bend, the height apart, after tipping by the play.
    #[must_use]
    pub fn lever(self) -> f64 {
        let beyond = self.height * self.turn.clamp(0.0, FRAC_PI_2).sin();
        // Play over lever, multiplied out: either lever may be nothing.
        if self.play * self.reach < self.end_play * beyond { beyond } else { self.reach }
    }
}

/// Both rules of one door; a roll-up is lifted in its middle and does not tip.
pub(super) fn jamming_checks(layout: &Layout<'_>) -> Vec<FitCheck> {
    let mut checks = vec![lead_lock(layout)];
    if layout.spec.track.first_slope().is_none() {
        checks.push(racking(layout));
    }
    checks
}

fn lead_lock(layout: &Layout<'_>) -> FitCheck {
    let lead = lead_in_groove(layout);
    let needed = length(least_guided(lead.thickness, BARE));
    let guided = length(lead.guided());
    FitCheck::lengths(Check::LeadLock, LEAD, needed, guided).note_only().advise_when(guided < needed, || {
        format!(
            "pulled at its face the lead slat turns and locks on bare wood: guide {} of it, and wax groove and tongue",
            at_least(needed, layout.units)
        )
    })
}

fn racking(layout: &Layout<'_>) -> FitCheck {
    let least = (0..POSITIONS).map(|at| tipping(layout, f64::from(at) / f64::from(POSITIONS - 1)));
    let least = least.min_by(|a, b| a.lever().total_cmp(&b.lever()));
    let least = least.unwrap_or_else(|| tipping(layout, 0.0));
    let (needed, lever) = (length(least.needed(BARE)), length(least.lever()));
    FitCheck::lengths(Check::Racking, DOOR, needed, lever).note_only().advise_when(lever < needed, || {
        let highest = length(least.lever() / (2.0 * BARE));
        let waxed = if least.lever() > least.needed(FRICTION.0) { ", or wax the grooves" } else { "" };
        format!(
            "taller than long on a track so straight: pulled at half its height it tips and locks on bare wood; put the \
             pull at most {} above the bottom groove{waxed}",
            at_most(highest, layout.units)
        )
    })
}

/// How the door stands with so much of its travel done.
fn tipping(layout: &Layout<'_>, share: f64) -> Tipping {
    let section = layout.section();
    let lead = layout.run.travel.mm_f64().max(0.0) * share;
    let tail = section.tail(&layout.track.canvas_path(section.tongue, section.width, Lie::Pulled), lead);
    let (reach, turn) = covered(layout.track.pieces(), (lead, tail));
    Tipping {
        reach,
        turn,
        height: layout.spec.between.mm_f64().max(0.0),
        end_play: layout.shop.clearance.end_play.mm_f64(),
        play: (layout.track.groove - section.tongue.thickness).max(0.0),
    }
}

/// How far a stretch of track reaches in the direction in which it begins, and the most that it turns away from it.
fn covered(pieces: &[TrackPiece], (from, to): (f64, f64)) -> (f64, f64) {
    let (mut start, mut heading, mut first) = (0.0, 0.0, None);
    let (mut at, mut reach, mut turn) = (0.0f64, 0.0f64, 0.0f64);
    for (index, piece) in pieces.iter().enumerate() {
        // The last piece goes on, should the door be longer than its track.
        let end = if index + 1 == pieces.len() { f64::INFINITY } else { start + piece.length() };
        let (begins, ends) = (from.max(start), to.min(end));
        let bends = match piece {
            TrackPiece::Straight(_) => 0.0,
            TrackPiece::Bend(bend) if bend.concave => 1.0 / bend.radius,
            TrackPiece::Bend(bend) => -1.0 / bend.radius,
        };
        if ends > begins {
            let here = heading + bends * (begins - start);
            let away = here - *first.get_or_insert(here);
            let there = away + bends * (ends - begins);
            // Along an arc the reach is greatest at its end or where it turns square to the pull.
            let along = |angle: f64| if bends == 0.0 { 0.0 } else { (angle.sin() - away.sin()) / bends };
            let square = FRAC_PI_2.copysign(there);
            let passes = away.abs() < FRAC_PI_2 && there.abs() > FRAC_PI_2 && bends != 0.0;
            reach = if passes { reach.max(at + along(square)) } else { reach };
            at += if bends == 0.0 { (ends - begins) * away.cos() } else { along(there) };
            reach = reach.max(at);
            turn = turn.max(away.abs()).max(there.abs());
        }
        heading += bends * piece.length();
        start += piece.length();
    }
    (reach, turn)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doors::groove_need::Bend;

    /// Straight, a quarter turn, straight: the door reaches as far as the corner's far tangent, and turns square.
    #[test]
    fn a_corner_ends_the_reach() {
        let quarter = TrackPiece::Bend(Bend { radius: 50.0, angle: FRAC_PI_2, concave: true });
        let track = [TrackPiece::Straight(300.0), quarter, TrackPiece::Straight(400.0)];
        let (reach, turn) = covered(&track, (260.0, 700.0));
        assert!((reach - 90.0).abs() < 1e-9 && (turn - FRAC_PI_2).abs() < 1e-12, "{reach} {turn}");
        assert_eq!(covered(&track, (0.0, 200.0)), (200.0, 0.0));
        // Into the bend by a third of it, 30 degrees: 300 + 50 sin 30.
        let (reach, turn) = covered(&track, (0.0, 300.0 + 50.0 * FRAC_PI_2 / 3.0));
        assert!((reach - 325.0).abs() < 1e-9 && (turn - FRAC_PI_2 / 3.0).abs() < 1e-12, "{reach} {turn}");
        // A half turn comes back: no farther than its middle.
        let half = TrackPiece::Bend(Bend { radius: 50.0, angle: 2.0 * FRAC_PI_2, concave: false });
        let (reach, turn) = covered(&[TrackPiece::Straight(100.0), half, TrackPiece::Straight(80.0)], (0.0, 400.0));
        assert!((reach - 150.0).abs() < 1e-9 && (turn - 2.0 * FRAC_PI_2).abs() < 1e-12, "{reach} {turn}");
    }
}
