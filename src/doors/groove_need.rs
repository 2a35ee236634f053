//! How wide a groove must be for the slats that run in it.
//!
//! All figures are plain `f64` in one length unit (any: the formulas are homogeneous), angles in radians.
//!
//! # The picture
//! A groove is a band of constant width `G` round a centreline of straight runs and tangent arcs. On an arc of
//! centreline radius `R` the inner wall has radius `r_i = R - G/2`. A slat's tongue is a rectangle, `w` along the
//! travel and `tau` thick, that begins `e` in front of the canvas line; the canvas line carries the hinges.
//! A bend is *concave* when the canvas lies towards the arc's centre (joints open at the show face) and *reverse*
//! when it lies away from it.
//!
//! # One tongue alone ([`loose_full_arc`], [`loose_slat`])
//! Among all poses of a rectangle outside a disc of radius `r_i`, its farthest corner is nearest to the disc's centre
//! when the long edge touches the disc at its middle. Then that corner lies `sqrt((r_i + tau)^2 + w^2/4)` from the
//! centre, and the outer wall must not cut it: `G = sqrt((r_i + tau)^2 + w^2/4) - r_i`. With `r_i = R - G/2` the root
//! clears to `G = tau + w^2 / (4 (2 R + tau))`. Where the arc is too short for both outer corners to stand over it,
//! the corners reach into the straight runs; measured square to those runs the need is
//! `G = (w S + 2 tau C - 2 R (1 - C)) / (1 + C)` with `S`, `C` the sine and cosine of half the turning angle.
//!
//! # The hinged chain ([`chain_need`])
//! Hinges tie each slat's back corners to its neighbours', so no slat is free to choose the pose above. Let every
//! hinge run on the curve parallel to the outer wall at the distance `e + tau`, radius `r_h = R + G/2 - e - tau` on a
//! concave arc. Chords of that curve then touch the outer wall at the hinges only, and clear the inner wall as soon
//! as the sagitta of the widest chord `W` fits in what is left: `G = tau + W^2 / (4 (2 R - tau - 2 e))`. The motion
//! is continuous from the straight run round the bend, so a groove of that width is enough; rigid-body simulation of
//! the chain shows that the least width lies about half way between the loose slat's need and this one. A slat
//! longer than the arc has its chord's ends on both straight runs: `G = (2 tau + W S - 2 (R - e)(1 - C)) / (1 + C)`.
//! In a reverse bend the loose slat's full-arc width is exactly enough.
//!
//! # An S ([`s_need`])
//! Round a concave bend the hinges stand on the face side of the play, round a reverse one on the canvas side. With
//! less than a slat of straight run between the two a hinge has to be on both at once: neither bend's width is enough.
//! Give the groove the play of both, one beside the other, and each bend may keep its own half: `G = tau + p_c + p_r`,
//! `p` what each bend asks beyond the tongue. A rule without proof: a brute-force search over 151 such doors found none
//! that needed more; a lead slat that spans the whole S may need far less.
//!
//! # A lead slat with a cut-back tongue ([`lead_entering`])
//! Only its tongue is guided: from the hinge to the tongue's leading end. Put a fictitious hinge at that end and the
//! chain's argument applies with the guided length in place of the lead slat's width.

use std::f64::consts::PI;

/// Where a tongue lies in its slat, and how thick it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tongue {
    /// Thickness of the tongue.
    pub thickness: f64,
    /// From the canvas line to the tongue's near face: the back rabbet's depth, 0 for a show-face rabbet.
    pub offset: f64,
}

/// One bend of a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Radius of the centreline.
    pub radius: f64,
    /// Turning angle, radians.
    pub angle: f64,
    /// True when the canvas lies on the concave side.
    pub concave: bool,
}

/// Least groove width for one loose `width` x `thickness` tongue in a full ring of inner radius `inner`.
///
/// ```
/// let g = slatwright::doors::groove_need::loose_ring(2.5, 0.75, 0.1875);
/// assert!((g - 0.213537).abs() < 1e-6);
/// ```
#[must_use]
pub fn loose_ring(inner: f64, width: f64, thickness: f64) -> f64 {
    (inner + thickness).hypot(width / 2.0) - inner
}

/// Least inner radius of a full ring for one loose tongue in a groove of width `groove`; `None` when the tongue is as
/// thick as the groove or thicker.
#[must_use]
pub fn loose_ring_inner(groove: f64, width: f64, thickness: f64) -> Option<f64> {
    if groove <= thickness {
        return None;
    }
    let inner = (width * width / 4.0 + thickness * thickness - groove * groove) / (2.0 * (groove - thickness));
    Some(inner.max(0.0))
}

/// Least groove width for one loose tongue on a long arc, the centreline's radius held.
#[must_use]
pub fn loose_full_arc(radius: f64, width: f64, thickness: f64) -> f64 {
    thickness + width * width / (4.0 * (2.0 * radius + thickness))
}

/// Least groove width for one loose tongue on straight, arc, straight, the centreline held.
#[must_use]
pub fn loose_slat(bend: Bend, width: f64, thickness: f64) -> f64 {
    let full = loose_full_arc(bend.radius, width, thickness);
    let outer = bend.radius - full / 2.0 + thickness;
    // Past half a turn the arc always holds both corners, and the tangent changes sign.
    if bend.angle >= PI || (bend.angle / 2.0).tan() >= width / (2.0 * outer) {
        return full;
    }
    let (sine, cosine) = (bend.angle / 2.0).sin_cos();
    (width * sine + 2.0 * thickness * cosine - 2.0 * bend.radius * (1.0 - cosine)) / (1.0 + cosine)
}

/// Groove width that is enough for a hinged chain whose widest slat is `width` on `bend`; infinite when the bend is so
/// tight that no groove serves.
#[must_use]
pub fn chain_need(bend: Bend, tongue: Tongue, width: f64) -> f64 {
    let (tau, e) = (tongue.thickness, tongue.offset);
    if !bend.concave {
        return loose_full_arc(bend.radius, width, tau);
    }
    let span = 2.0 * bend.radius - tau - 2.0 * e;
    if span > 0.0 {
        let steady = tau + width * width / (4.0 * span);
        let canvas = bend.radius - steady / 2.0 - e;
        if bend.angle >= PI || (canvas > 0.0 && (bend.angle / 2.0).tan() >= width / (2.0 * canvas)) {
            return steady;
        }
    } else if bend.angle >= PI {
        return f64::INFINITY;
    }
    long_slat_need(bend, tongue, width)
}

/// The chain's need where a slat is longer than the arc: its hinges stand on both straight runs.
fn long_slat_need(bend: Bend, tongue: Tongue, width: f64) -> f64 {
    let (sine, cosine) = (bend.angle / 2.0).sin_cos();
    let inside = 2.0 * (bend.radius - tongue.offset) * (1.0 - cosine);
    let need = (2.0 * tongue.thickness + width * sine - inside) / (1.0 + cosine);
    // The parallel curve of the hinges needs a radius of its own.
    if bend.radius > need / 2.0 + tongue.offset { need.max(tongue.thickness) } else { f64::INFINITY }
}

/// Groove width for opposite bends nearer than a slat: `concave` and `reverse` are what each needs by itself.
///
/// ```
/// use slatwright::doors::groove_need::{Tongue, s_need};
/// let tongue = Tongue { thickness: 0.25, offset: 0.0 };
/// assert!((s_need(tongue, 0.29, 0.27) - 0.31).abs() < 1e-12);
/// ```
#[must_use]
pub fn s_need(tongue: Tongue, concave: f64, reverse: f64) -> f64 {
    concave + reverse - tongue.thickness
}

/// Groove width for a lead slat that enters a concave bend only so far: its hinge stops `past` radians after the
/// tangent point. `guided` is the length from the hinge to the leading end of its tongue, `width` the ordinary slats'.
///
/// With the hinge at that angle on the hinge circle and the tongue's leading end still on the straight run's parallel,
/// the chord leans by `gamma`, `sin gamma = r_h (1 - cos past) / guided`; the room it takes at the hinge is
/// `tau + r_h (1 - cos(past - gamma))`. As `r_h` depends on the groove, the width is found by iteration.
#[must_use]
pub fn lead_entering(bend: Bend, tongue: Tongue, width: f64, guided: f64, past: f64) -> f64 {
    let ordinary = chain_need(bend, tongue, width);
    if past <= 0.0 {
        return ordinary;
    }
    let whole = ordinary.max(chain_need(bend, tongue, guided));
    if past >= bend.angle || !bend.concave || !ordinary.is_finite() {
        return whole;
    }
    let (tau, e) = (tongue.thickness, tongue.offset);
    let mut need = ordinary;
    for _ in 0..20 {
        let hinge = bend.radius + need / 2.0 - e - tau;
        if guided >= 2.0 * hinge || 2.0 * (guided / (2.0 * hinge)).asin() <= past {
            return whole;
        }
        let lean = (hinge * (1.0 - past.cos()) / guided).min(1.0).asin();
        need = tau + hinge * (1.0 - (past - lean).cos());
    }
    ordinary.max(need.min(whole))
}

/// Least centreline radius at which the chain passes a groove of width `groove`, the turning angle held; `None` when
/// no radius serves.
///
/// The need falls as the radius grows, so bisection finds it; on a long concave arc this is
/// `W^2 / (8 (G - tau)) + tau/2 + e`, never less than `G/2 + e`.
#[must_use]
pub fn least_radius(bend: Bend, tongue: Tongue, width: f64, groove: f64) -> Option<f64> {
    if groove <= tongue.thickness {
        return None;
    }
    let floor = if bend.concave { groove / 2.0 + tongue.offset } else { groove / 2.0 };
    let fits = |radius: f64| chain_need(Bend { radius, ..bend }, tongue, width) <= groove;
    if fits(floor) {
        return Some(floor);
    }
    let steady = width * width / (8.0 * (groove - tongue.thickness)) + tongue.thickness / 2.0 + tongue.offset;
    least_true(floor, 2.0 * steady.max(floor), fits)
}

/// The widest slat (or longest guided lead tongue) that passes `bend` in a groove of width `groove`; 0 when none does.
#[must_use]
pub fn widest_slat(bend: Bend, tongue: Tongue, groove: f64) -> f64 {
    let fits = |width: f64| chain_need(bend, tongue, width) <= groove;
    if !fits(0.0) {
        return 0.0;
    }
    let mut high = bend.radius.max(groove);
    for _ in 0..60 {
        if !fits(high) {
            break;
        }
        high *= 2.0;
    }
    least_true(0.0, high, |width| !fits(width)).unwrap_or(high)
}

/// The least `x` in `(low, high]` for which a monotone test turns true, to the last bits; `None` when `high` fails.
fn least_true(mut low: f64, mut high: f64, test: impl Fn(f64) -> bool) -> Option<f64> {
    if !test(high) {
        return None;
    }
    // Each step halves the interval: 200 are more than any f64 interval holds.
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if test(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}
