//! Weight, sag and pull: estimates from stated inputs, advice only.
//!
//! **Pull.** A door running upright slides on the groove's bottom, so a straight run of length `l` adds `mu q l` with
//! `q` the weight per length. Round a bend the pull presses the tongues on the wall and grows as a rope's round a
//! post: `F -> F exp(mu phi) + q r (exp(mu phi) - 1)` (Euler-Eytelwein with the weight's own friction; slat by slat
//! the growth is `(1 + mu tan(theta/2)) / (1 - mu tan(theta/2))`, within 0.3 % of it). From the free tail to the lead
//! slat the terms add up. A roll-up also lifts its front run: [`super::balance`].
//!
//! Bevelled slats fold both ways at each joint: pushed along a straight run they zig-zag as far as the play lets them turn
//! (`psi`), each slat leans on the walls and the push grows by `1 + 2 mu sin(psi)` from slat to slat. Square slats cannot.
//!
//! **Sag.** A slat lying flat is a simply supported beam under its own weight: `5 q L^4 / (384 E I)`, which for a
//! rectangle is `5 rho g L^4 / (32 E t^2)` (Wood Handbook FPL-GTR-190, Table 9-1, constant 5/384). Doubled for creep.

use super::Figure;
use super::balance::balance;
use super::details::Feel;
use super::fit::{Check, DOOR, FitCheck, Verdict, length};
use super::joint::{GrooveArc, Lie};
use super::layout::Layout;
use super::track::TrackPiece;
use super::wood::wood_named;
use super::yaw::loose_yaw;
use crate::measure::{Units, force_unit, show_force};

/// Standard gravity, m/s^2.
const GRAVITY: f64 = 9.806_65;
/// Sliding friction of waxed and of bare hardwood (estimates; dry smooth wood on wood is about 0.3 to 0.5, from
/// memory of the Wood Handbook).
pub(super) const FRICTION: (f64, f64) = (0.15, 0.40);
/// 5 lbf: 2010 ADA Standards, 404.2.9 for sliding and folding doors (309.4 says the same of operable parts, from
/// memory). They bind passage doors; for casework they are a yardstick.
const HAND_FORCE: f64 = 22.2;

/// One stretch of covered track, from the tail towards the lead slat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stretch {
    /// A straight run of this length.
    Straight(f64),
    /// An arc of this radius and turning angle (radians).
    Arc(f64, f64),
}

/// Slats that fold both ways at their joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zigzag {
    /// Width of a slat.
    pub width: f64,
    /// How far the play lets it turn, radians.
    pub yaw: f64,
}

/// Pull at the lead slat of a door running upright, `weight` per length, from the tail's stretch to the lead's; square
/// slats have no `zigzag`.
///
/// ```
/// use slatwright::doors::feel::{Stretch, Zigzag, pull};
/// // 900 mm of door, 4.5 kg, 400 mm of tail past one quarter turn of 75 mm.
/// let quarter = std::f64::consts::FRAC_PI_2;
/// let track = [Stretch::Straight(400.0), Stretch::Arc(75.0, quarter), Stretch::Straight(500.0 - 75.0 * quarter)];
/// assert!((pull(&track, 4.5 * 9.81 / 900.0, 0.3, None) - 17.3).abs() < 0.05);
/// // Twenty bevelled slats of 20 mm that can turn by 3.6 degrees, friction .3: each leaves 1 + .6 x .0628 of the push, and
/// // (1.0377^20 - 1) / .0377 = 29.06 in place of 20: 1.45 times the plain friction.
/// let run = [Stretch::Straight(400.0)];
/// let zigzag = Zigzag { width: 20.0, yaw: 3.6f64.to_radians() };
/// let ratio = pull(&run, 0.05, 0.3, Some(zigzag)) / pull(&run, 0.05, 0.3, None);
/// assert!((ratio - 1.453).abs() < 0.002, "{ratio}");
/// ```
#[must_use]
pub fn pull(track: &[Stretch], weight: f64, friction: f64, zigzag: Option<Zigzag>) -> f64 {
    track.iter().fold(0.0, |force, stretch| match (*stretch, zigzag) {
        (Stretch::Straight(length), Some(Zigzag { width, yaw })) if yaw > 0.0 => {
            let more = 2.0 * friction * yaw.sin();
            let growth = (1.0 + more).powf(length / width);
            force * growth + friction * weight * width * (growth - 1.0) / more
        }
        (Stretch::Straight(length), _) => force + friction * weight * length,
        (Stretch::Arc(radius, angle), _) => {
            let growth = (friction * angle).exp();
            force * growth + weight * radius * (growth - 1.0)
        }
    })
}

/// Sag of a slat lying flat, in metres: density in kg/m^3, span and thickness in metres, elasticity in pascals. In an
/// upright run the width takes the thickness's place.
#[must_use]
pub fn sag(density: f64, span: f64, thickness: f64, elasticity: f64) -> f64 {
    5.0 * density * GRAVITY * span.powi(4) / (32.0 * elasticity * thickness * thickness)
}

/// Weight, sag and pull of a door; `None` for a wood without handbook density.
pub(super) fn feel(layout: &Layout<'_>) -> Option<Feel> {
    let wood = wood_named(layout.spec.slats.species.name())?;
    let density = wood.density()?;
    let slats = &layout.spec.slats;
    let metres = |length: crate::measure::Length| length.mm_f64() / 1_000.0;
    let along = metres(layout.slat_length()).max(0.0);
    let area = metres(slats.width) * f64::from(layout.slats) * metres(slats.thickness)
        + metres(slats.lead_width) * metres(slats.lead_thickness);
    let weight = density * along * area;
    let section = layout.section();
    let door = section.lead_width + section.pitch() * f64::from(section.slats);
    let per_mm = weight * GRAVITY / door;
    let slope = layout.spec.track.first_slope();
    let balance = slope.map(|slope| balance(layout, slope.to_radians(), per_mm, FRICTION));
    let pull_newtons = match &balance {
        Some(balance) => balance
            .points
            .iter()
            .fold((0.0, 0.0), |most: (f64, f64), point| (most.0.max(point.lift.0), most.1.max(point.lift.1))),
        None => (strongest(layout, per_mm, FRICTION.0), strongest(layout, per_mm, FRICTION.1)),
    };
    let span = metres(layout.spec.between).max(0.0);
    Some(Feel {
        weight_kg: round_to(weight, 0.1),
        sag: slope.map(|_| length(2_000.0 * sag(density, span, metres(slats.thickness), wood.elasticity * 1e6))),
        pull_newtons: (round_to(pull_newtons.0, 1.0), round_to(pull_newtons.1, 1.0)),
        balance,
        assumptions: format!(
            "{} at 12 % moisture, {:.0} kg/m3, friction {} (waxed) to {} (bare), door moving steadily, no \
             warp, cloth and handle left out",
            wood.name, density, FRICTION.0, FRICTION.1
        ),
    })
}

fn round_to(value: f64, step: f64) -> f64 {
    (value / step).round() * step
}

/// The greatest pull over the travel.
fn strongest(layout: &Layout<'_>, per_mm: f64, friction: f64) -> f64 {
    let travel = layout.run.travel.mm_f64();
    let section = layout.section();
    let bevelled = layout.spec.slats.edge_bevel > 0.0;
    let zigzag = bevelled.then(|| {
        let yaw = loose_yaw(layout.track.groove, section.width, section.tongue.thickness);
        Zigzag { width: section.pitch(), yaw: yaw.unwrap_or(std::f64::consts::FRAC_PI_2) }
    });
    let at = |lead: f64| pull(&covered(layout, lead), per_mm, friction, zigzag);
    [0.0, travel / 2.0, travel].into_iter().map(at).fold(0.0, f64::max)
}

/// The track the door covers with its lead edge at `lead`, from the tail on.
fn covered(layout: &Layout<'_>, lead: f64) -> Vec<Stretch> {
    let section = layout.section();
    let path = layout.track.canvas_path(section.tongue, section.width, Lie::Pulled);
    let tail = section.tail(&path, lead);
    let mut start = 0.0;
    let mut stretches = Vec::new();
    for piece in layout.track.pieces() {
        let radius = match piece {
            TrackPiece::Straight(_) => None,
            TrackPiece::Bend(bend) => {
                Some(GrooveArc::about(bend.radius, layout.track.groove, bend.concave).hinge_radius(
                    section.tongue,
                    section.width,
                    Lie::Pulled,
                ))
            }
        };
        let whole = match (piece, radius) {
            (TrackPiece::Bend(bend), Some(radius)) => radius * bend.angle,
            _ => piece.length(),
        };
        let under = (tail.min(start + whole) - lead.max(start)).max(0.0);
        start += whole;
        if under > 0.0 {
            stretches.push(radius.map_or(Stretch::Straight(under), |radius| Stretch::Arc(radius, under / radius)));
        }
    }
    if tail > start {
        stretches.push(Stretch::Straight(tail - start));
    }
    stretches.reverse();
    stretches
}

/// The greatest pull beside the published limit for operable parts: a yardstick, so never a failure.
pub(super) fn pull_check(feel: &Feel, units: Units) -> FitCheck {
    let (least, most) = feel.pull_newtons;
    let hard = most > HAND_FORCE;
    let check = FitCheck {
        check: Check::Pull,
        item: DOOR,
        needed: Figure::Force(most),
        available: Figure::Force(HAND_FORCE),
        margin: Figure::Force(HAND_FORCE - most),
        verdict: Verdict::Yes,
        advice: None,
    };
    check.advise_when(hard, || {
        let help =
            if least > HAND_FORCE { "a lighter door or a counterweight helps" } else { "wax groove and tongues" };
        let (unit, force) = (force_unit(units), |newtons| show_force(newtons, units));
        format!(
            "may take {} {unit} waxed to {} {unit} bare, above {} {unit}: {help}",
            force(least),
            force(most),
            force(HAND_FORCE)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn a_slats_sag_as_worked_out() {
        // 36 in x 1/2 in, 1.82e6 psi, .0245 lb/in^3: .0141 in. 1200 mm x 12 mm, 12.5 GPa, 680 kg/m^3: 1.20 mm.
        let density = 0.0245 * 0.453_592_37 / 0.0254f64.powi(3);
        let inch = sag(density, 36.0 * 0.0254, 0.0127, 1.82e6 * 6_894.757) / 0.0254;
        assert!((inch - 0.0141).abs() < 0.000_05, "{inch}");
        let metric = sag(680.0, 1.2, 0.012, 12.5e9) * 1_000.0;
        assert!((metric - 1.20).abs() < 0.005, "{metric}");
    }

    #[test]
    fn pull_round_one_corner() {
        let track =
            [Stretch::Straight(400.0), Stretch::Arc(75.0, FRAC_PI_2), Stretch::Straight(500.0 - 75.0 * FRAC_PI_2)];
        for (friction, expected) in [(0.2, 10.5), (0.3, 17.3), (0.4, 25.4)] {
            let force = pull(&track, 4.5 * 9.81 / 900.0, friction, None);
            assert!((force - expected).abs() < 0.05, "{force}");
        }
    }

    #[test]
    fn slat_by_slat_the_pull_is_nearly_the_same() {
        // 24 slats of a quarter radius round a half turn, each with its own weight's friction.
        let (radius, weight, friction): (f64, f64, f64) = (100.0, 0.05, 0.25);
        let theta = 2.0 * 0.125f64.asin();
        let slats = 12;
        let growth = (1.0 + friction * (theta / 2.0).tan()) / (1.0 - friction * (theta / 2.0).tan());
        let polygon =
            (0..slats).fold(5.0, |force, _| force * growth + friction * weight * 2.0 * radius * (theta / 2.0).sin());
        let lead_in = 5.0 / (friction * weight);
        let rope =
            pull(&[Stretch::Straight(lead_in), Stretch::Arc(radius, f64::from(slats) * theta)], weight, friction, None);
        assert!((polygon / rope - 1.0).abs() < 0.01, "{polygon} {rope}");
    }

    /// Slat by slat, for a run with a push at its end already; without yaw it is plain friction, at any figures.
    #[test]
    fn a_zigzag_grows_from_slat_to_slat() {
        let (width, weight, friction): (f64, f64, f64) = (18.0, 0.04, 0.25);
        for yaw in [1e-9, 0.01, 0.06] {
            let each = (0..15).fold(friction * weight * 90.0, |force, _| {
                force * (1.0 + 2.0 * friction * f64::sin(yaw)) + friction * weight * width
            });
            let plain = pull(&[Stretch::Straight(90.0)], weight, friction, None);
            let push = plain / (friction * weight);
            let all = pull(&[Stretch::Straight(15.0 * width)], weight, friction, Some(Zigzag { width, yaw }));
            let growth = (1.0 + 2.0 * friction * f64::sin(yaw)).powi(15);
            assert!((all + friction * weight * push * growth - each).abs() < 1e-6 * each, "{yaw}: {all} {each}");
        }
    }
}
