//! What happens at the joints between slats round a bend: hinge radius, joint angle, the gap at the show face, the
//! bevel a reverse bend needs.
//!
//! Figures are `f64` in one length unit, angles in radians.
//!
//! A slat on an arc is a chord of the hinge circle. If its canvas line passes the arc's centre at the distance `r_m`,
//! its hinges stand at `r_h = sqrt(r_m^2 + w^2/4)` and neighbours meet at the angle `theta = 2 asin(w / (2 r_h))`.
//! A door that is pulled lies on the inner wall, one that is pushed on the outer wall; the play between the two is why
//! a door has backlash at a corner.

use super::groove_need::Tongue;

/// Which wall of the groove the chain lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lie {
    /// Pulled: on the inner wall.
    Pulled,
    /// Pushed: on the outer wall.
    Pushed,
}

/// The arc of a groove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrooveArc {
    /// Radius of the inner wall.
    pub inner: f64,
    /// Groove width.
    pub groove: f64,
    /// True when the canvas lies on the concave side.
    pub concave: bool,
}

impl GrooveArc {
    /// The arc of a groove `groove` wide round a centreline of `radius`.
    #[must_use]
    pub fn about(radius: f64, groove: f64, concave: bool) -> Self {
        Self { inner: radius - groove / 2.0, groove, concave }
    }

    /// From the arc's centre to the canvas line of a slat at its middle; 0 when the canvas would cross the centre.
    #[must_use]
    pub fn canvas_radius(self, tongue: Tongue, width: f64, lie: Lie) -> f64 {
        let (tau, e) = (tongue.thickness, tongue.offset);
        let outer = self.inner + self.groove;
        // A pushed tongue touches the outer wall with its two far corners.
        let pushed = (outer * outer - width * width / 4.0).max(0.0).sqrt();
        let radius = match (self.concave, lie) {
            (true, Lie::Pulled) => self.inner - e,
            (true, Lie::Pushed) => pushed - tau - e,
            (false, Lie::Pulled) => self.inner + tau + e,
            (false, Lie::Pushed) => pushed + e,
        };
        radius.max(0.0)
    }

    /// From the arc's centre to the hinges of slats of `width`.
    #[must_use]
    pub fn hinge_radius(self, tongue: Tongue, width: f64, lie: Lie) -> f64 {
        self.canvas_radius(tongue, width, lie).hypot(width / 2.0)
    }

    /// The largest angle between a slat and the tangent at its hinge that the play allows.
    #[must_use]
    pub fn largest_lean(self, tongue: Tongue, width: f64) -> f64 {
        let outer = self.inner + self.groove;
        let near = self.inner + tongue.thickness;
        let half_chord = (outer * outer - near * near).max(0.0).sqrt().min(width);
        let canvas = self.canvas_radius(tongue, width, Lie::Pulled);
        half_chord.atan2(canvas)
    }
}

/// Angle between a chord of `width` and the tangent at its ends on a circle of radius `hinge`.
#[must_use]
pub fn half_angle(width: f64, hinge: f64) -> f64 {
    (width / (2.0 * hinge)).clamp(0.0, 1.0).asin()
}

/// Joint angle between equal slats whose hinges run at radius `hinge`.
#[must_use]
pub fn joint_angle(width: f64, hinge: f64) -> f64 {
    2.0 * half_angle(width, hinge)
}

/// Joint angle between two unequal slats; `hinges` are the radii of the far hinge of the first, the common one, and
/// the far one of the second.
#[must_use]
pub fn unequal_joint_angle(first: f64, second: f64, hinges: [f64; 3]) -> f64 {
    let [far_first, common, far_second] = hinges;
    let lean = |width: f64, far: f64| {
        ((common * common + width * width - far * far) / (2.0 * common * width)).clamp(-1.0, 1.0).asin()
    };
    lean(first, far_first) + lean(second, far_second)
}

/// Gap between neighbouring face corners that opens round a concave bend: `2 t sin(theta/2)` for square edges; edges
/// bevelled by `bevel` stand back by `t tan(bevel)` each before the joint opens.
#[must_use]
pub fn face_gap(thickness: f64, width: f64, hinge: f64, bevel: f64) -> f64 {
    let half = half_angle(width, hinge);
    2.0 * thickness * (half.sin() + bevel.tan() * half.cos())
}

/// Distance between the face corners of slats `first` and `second` thick at a joint open by `angle`.
#[must_use]
pub fn face_corner_distance(first: f64, second: f64, angle: f64) -> f64 {
    (first * first + second * second - 2.0 * first * second * angle.cos()).max(0.0).sqrt()
}

/// Least bevel of each edge on a reverse bend, from the square edge and starting at the canvas line. Square butted
/// slats cannot bend that way at all: a run of them is one stiff bar.
#[must_use]
pub fn least_bevel(width: f64, hinge: f64) -> f64 {
    half_angle(width, hinge)
}

/// Least bevel of each edge on a reverse bend where the canvas bends in a gap between the slats: the least `b` with
/// `lean + asin(g / (2 r_h)) <= b + asin(g cos b / (2 t))`, `lean` the angle of a slat to the tangent at its hinge. Without
/// a gap it is `lean`. A gap large enough does without a bevel.
///
/// By hand: slats 5/8 wide on hinges at 4 lean by asin(0.3125/4) = 4.481 degrees; a gap of 1/32 between slats 3/8 thick
/// takes asin(0.03125 / 0.75) = 2.388 less its own 0.224 off that.
/// ```
/// use slatwright::doors::joint::{bevel_with_gap, half_angle};
/// let lean = half_angle(0.625, 4.0);
/// assert_eq!(bevel_with_gap(lean, 0.0, 0.375, 4.0), lean);
/// let least = bevel_with_gap(lean, 0.03125, 0.375, 4.0);
/// let by_hand = lean + (0.03125f64 / 8.0).asin() - (0.03125 * least.cos() / 0.75).asin();
/// assert!((least - by_hand).abs() < 1e-9 && least.to_degrees() < 2.4);
/// assert!(bevel_with_gap(lean, 0.07, 0.375, 4.0) <= 0.0);
/// ```
#[must_use]
pub fn bevel_with_gap(lean: f64, gap: f64, thickness: f64, hinge: f64) -> f64 {
    if gap <= 0.0 {
        return lean;
    }
    let wanted = lean + half_angle(gap, hinge);
    let gives = |bevel: f64| bevel + (gap * bevel.cos() / (2.0 * thickness)).clamp(0.0, 1.0).asin();
    if gives(0.0) >= wanted {
        return 0.0;
    }
    // What a bevel gives never falls as long as a gap is no wider than a slat is thick twice over.
    let (mut low, mut high) = (0.0, lean.max(0.0));
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if gives(middle) >= wanted { high = middle } else { low = middle }
    }
    high
}

/// How far a bevel stands back at the show face.
#[must_use]
pub fn bevel_setback(thickness: f64, bevel: f64) -> f64 {
    thickness * bevel.tan()
}

/// Least hinge radius of a reverse bend for edges bevelled by `bevel`, butted without a gap.
#[must_use]
pub fn least_reverse_hinge(width: f64, bevel: f64) -> f64 {
    if bevel <= 0.0 { f64::INFINITY } else { width / (2.0 * bevel.sin()) }
}
