//! How a roll-up hangs: what it takes to lift it, to hold it and to lower it wherever it stands, and where it does not
//! stay where it is let go. Estimates from stated inputs, advice only.
//!
//! Per length of door at slope `g` (a right angle where the track goes straight up in the opening sense) the weight `q`
//! pulls `q sin g` along the track and presses `q cos g` on a wall. Where the track bends by `k` per length, positive to
//! the canvas side, a push `F` at the lead slat presses on the outer wall against that: the wall bears `|q cos g - F k|`.
//! From the free tail to the lead slat the force at the hand grows by
//!
//! - lifting: `q sin g + mu |q cos g - F k|`; lowering: `q sin g - mu |q cos g - F k|`; holding, were there no friction:
//!   `q sin g`.
//!
//! On straight runs that is exact at once, round bends it is summed in small steps. Let go, the door stays where lowering
//! it takes a push downwards and lifting it one upwards; where lowering takes a push *upwards* it falls shut, where
//! lifting takes one downwards, the tail hanging down behind, it runs open.
//!
//! ```
//! use slatwright::doors::balance::{Run, Way, hand_force};
//! // 600 mm straight up, a quarter turn of 100 mm, 400 mm level; a door of 0.03 N/mm and 800 mm whose lead edge stands
//! // 300 mm up: 300 mm of it hang, the bend holds 157.1 mm, 342.9 mm lie level.
//! let quarter = std::f64::consts::FRAC_PI_2;
//! let track = [
//!     Run { length: 600.0, curvature: 0.0 },
//!     Run { length: 100.0 * quarter, curvature: 0.01 },
//!     Run { length: 400.0, curvature: 0.0 },
//! ];
//! let at = |way, friction| hand_force(&track, quarter, (300.0, 1_100.0), 0.03, friction, way);
//! // What hangs, and one radius of rise in the bend: .03 (300 + 100).
//! assert!((at(Way::Hold, 0.3) - 12.0).abs() < 1e-3);
//! // Lifting: .3 x .03 x 342.9 = 3.086 at the bend's upper end, more than 3 cos 0: all round the bend the push presses
//! // more than the weight, F' = 3 sin g - .9 cos g + .3 F, so F = -1.651 sin g - 2.505 cos g + 5.591 exp(.3 g): 7.305 at
//! // its lower end. The 300 mm that hang add .03 x 300.
//! assert!((at(Way::Lift, 0.3) - (7.305 + 9.0)).abs() < 0.002, "{}", at(Way::Lift, 0.3));
//! assert!(at(Way::Lower, 0.3) > 0.0, "it falls shut");
//! ```

use super::details::{Balance, BalancePoint};
use super::fit::{about, length};
use super::joint::{GrooveArc, Lie};
use super::layout::Layout;
use super::track::TrackPiece;
use crate::measure::{Length, Units, force_unit, show_force};
#[cfg(test)]
use std::f64::consts::FRAC_PI_2;

/// Steps of the sum round one bend.
const STEPS: u32 = 64;
/// Positions of the lead edge that are worked out, closed and open included.
const POSITIONS: u32 = 25;

/// One piece of a track, from the closed lead edge on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Length along the hinges' path.
    pub length: f64,
    /// Turning per length, positive to the canvas side, 0 on straight runs.
    pub curvature: f64,
}

/// What the hand does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Opens the door steadily.
    Lift,
    /// Holds it, were there no friction.
    Hold,
    /// Lets it close steadily.
    Lower,
}

/// Force at the lead edge, positive in the opening sense, of a door that covers the track between two stations: `weight`
/// per length, `first_slope` radians at the track's beginning (a right angle: straight up).
#[must_use]
pub fn hand_force(track: &[Run], first_slope: f64, door: (f64, f64), weight: f64, friction: f64, way: Way) -> f64 {
    let friction = match way {
        Way::Lift => friction,
        Way::Hold => 0.0,
        Way::Lower => -friction,
    };
    let mut pieces = Vec::new();
    let (mut start, mut slope) = (0.0, first_slope);
    for (index, run) in track.iter().enumerate() {
        // The last run goes on, should the door be longer than its track.
        let end = if index + 1 == track.len() { f64::INFINITY } else { start + run.length };
        let (from, to) = (door.0.max(start), door.1.min(end));
        if to > from {
            pieces.push((to - from, run.curvature, slope - run.curvature * (to - start)));
        }
        slope -= run.curvature * run.length;
        start += run.length;
    }
    // From the tail on, each piece with the slope at its far end.
    pieces.iter().rev().fold(0.0, |force, &(length, curvature, slope)| {
        let steps = if curvature == 0.0 { 1 } else { STEPS };
        let step = length / f64::from(steps);
        let rate =
            |slope: f64, force: f64| weight * slope.sin() + friction * (weight * slope.cos() - force * curvature).abs();
        (0..steps).fold(force, |force, i| {
            let here = slope + curvature * step * f64::from(i);
            // The midpoint rule: the force half a step on first.
            let half = force + step / 2.0 * rate(here, force);
            force + step * rate(here + curvature * step / 2.0, half)
        })
    })
}

/// The whole curve of a door that runs up; `per_mm` is its weight per length in newtons, friction waxed and bare.
pub(super) fn balance(layout: &Layout<'_>, first_slope: f64, per_mm: f64, friction: (f64, f64)) -> Balance {
    let section = layout.section();
    let path = layout.track.canvas_path(section.tongue, section.width, Lie::Pulled);
    let track = runs(layout);
    let travel = layout.run.travel.mm_f64().max(0.0);
    let point = |i: u32| {
        let lead = travel * f64::from(i) / f64::from(POSITIONS - 1);
        let door = (lead, path.tail(lead, section.lead_width, section.slats, section.width));
        let force = |way, friction| hand_force(&track, first_slope, door, per_mm, friction, way);
        BalancePoint {
            lead_edge: length(lead),
            lift: (force(Way::Lift, friction.0), force(Way::Lift, friction.1)),
            hold: force(Way::Hold, 0.0),
            lower: (force(Way::Lower, friction.0), force(Way::Lower, friction.1)),
        }
    };
    let points: Vec<BalancePoint> = (0..POSITIONS).map(point).collect();
    let span = |runs_away: fn(&BalancePoint) -> bool| {
        let first = points.iter().find(|point| runs_away(point))?;
        let last = points.iter().rev().find(|point| runs_away(point))?;
        Some((first.lead_edge, last.lead_edge))
    };
    let front = (layout.track.front_run() - travel).max(0.0);
    Balance {
        falls_shut: span(|point| point.lower.0 > SLIGHT),
        runs_open: span(|point| point.lift.0 < -SLIGHT),
        front_weight_open: per_mm * front * first_slope.sin(),
        points,
    }
}

/// What must be said of a roll-up that does not stay where it is let go.
pub(super) fn cautions(balance: &Balance, units: Units) -> Vec<String> {
    let force = |pick: fn(&BalancePoint) -> f64| {
        let most = balance.points.iter().map(pick).fold(0.0, f64::max);
        format!("{} {}", show_force(most, units), force_unit(units))
    };
    let between = |(from, to): (Length, Length)| {
        if from == to {
            format!("at {} open", about(from, units))
        } else {
            format!("between {} and {} open", about(from, units), about(to, units))
        }
    };
    let falls = balance.falls_shut.map(|span| {
        format!(
            "let go {}, the waxed door may fall shut with up to {} at its edge: a pinch. A counterweight, a spring or a \
             catch holds it; keep fingers out of the groove and from under the lead slat (estimate)",
            between(span),
            force(|point| point.lower.0)
        )
    });
    let opens = balance.runs_open.map(|span| {
        format!(
            "let go {}, the waxed door may run open by the weight of its tail with up to {}: it must meet a stop with \
             a buffer (estimate)",
            between(span),
            force(|point| -point.lift.0)
        )
    });
    falls.into_iter().chain(opens).collect()
}

/// Less than this many newtons moves no door.
const SLIGHT: f64 = 0.5;

/// The track as the hinges run it, pulled.
fn runs(layout: &Layout<'_>) -> Vec<Run> {
    let section = layout.section();
    let run = |piece: &TrackPiece| match *piece {
        TrackPiece::Straight(length) => Run { length, curvature: 0.0 },
        TrackPiece::Bend(bend) => {
            let arc = GrooveArc::about(bend.radius, layout.track.groove, bend.concave);
            let radius = arc.hinge_radius(section.tongue, section.width, Lie::Pulled);
            Run { length: radius * bend.angle, curvature: if bend.concave { 1.0 } else { -1.0 } / radius }
        }
    };
    layout.track.pieces().iter().map(run).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where no bend is covered the forces are those of an inclined plane, and the door stays by itself exactly up to
    /// the angle of friction: a hair less stays, a hair more falls.
    #[test]
    fn a_straight_track_is_an_inclined_plane() {
        let track = [Run { length: 1_000.0, curvature: 0.0 }];
        let edge = 0.3f64.atan();
        let lower = |slope: f64| hand_force(&track, slope, (0.0, 500.0), 0.02, 0.3, Way::Lower);
        assert!(lower(edge - 1e-6) < 0.0 && lower(edge + 1e-6) > 0.0);
        let lift = hand_force(&track, edge, (0.0, 500.0), 0.02, 0.3, Way::Lift);
        assert!((lift - 2.0 * 0.02 * 500.0 * edge.sin()).abs() < 1e-12, "{lift}");
    }

    /// Round a bend the sum agrees with the solution of the linear equation in closed form, here for a door that hangs
    /// down behind: the push never presses, so `F' = q r (sin g + mu cos g) - mu F` all the way.
    #[test]
    fn a_bend_taken_whole_is_its_closed_form() {
        let (radius, weight, friction) = (100.0, 0.03, 0.25);
        let track =
            [Run { length: radius * FRAC_PI_2, curvature: 1.0 / radius }, Run { length: 900.0, curvature: 0.0 }];
        let tail = radius * FRAC_PI_2 + 300.0;
        let got = hand_force(&track, 0.0, (0.0, tail), weight, friction, Way::Lift);
        // From slope -pi/2 (straight down, F = -q 300) to 0. With u = g, F = A sin u + B cos u + C exp(-mu u):
        // A - mu B... put in: A = q r 2 mu / (1 + mu^2), B = q r (mu^2 - 1) / (1 + mu^2).
        let scale = weight * radius / (1.0 + friction * friction);
        let (a, b) = (2.0 * friction * scale, (friction * friction - 1.0) * scale);
        let c = (-weight * 300.0 + a) * (-friction * FRAC_PI_2).exp();
        assert!((got - (b + c)).abs() < 1e-3 * scale, "{got} {}", b + c);
        // The tail draws the door open.
        assert!(got < 0.0);
    }

    #[test]
    fn lifting_holding_and_lowering_stand_in_order() {
        let bend = |radius: f64, angle: f64, sense: f64| Run { length: radius * angle, curvature: sense / radius };
        let track = [
            Run { length: 500.0, curvature: 0.0 },
            bend(80.0, 1.2, 1.0),
            bend(60.0, 0.4, -1.0),
            Run { length: 700.0, curvature: 0.0 },
        ];
        for lead in 0..40 {
            let lead = f64::from(lead) * 10.0;
            let at = |way, friction| hand_force(&track, FRAC_PI_2, (lead, lead + 600.0), 0.03, friction, way);
            let [lower, hold, lift] = [Way::Lower, Way::Hold, Way::Lift].map(|way| at(way, 0.3));
            assert!(lower <= hold && hold <= lift, "{lead}: {lower} {hold} {lift}");
            assert!(at(Way::Lift, 0.0) == hold && at(Way::Lift, 0.4) >= lift);
        }
    }
}
