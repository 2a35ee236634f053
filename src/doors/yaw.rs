//! How far a lead slat can turn in its groove, and what that does where two doors meet.
//!
//! Figures are `f64` in one length unit, angles in radians. Symbols: `G` groove width, `tau` tongue thickness, `e`
//! canvas line to tongue, `p = G - tau` the play, `l` the guided length (hinge to the leading end of the tongue),
//! `o = w_L - l` the bare overhang, `k` the face rabbet's depth on the lead slat.
//!
//! Square butted slats behind the lead slat fold one way only and stiffen it against turning outwards. Bevelled slats fold
//! both ways: then none counts (`slats_behind` is 0) and yaw and step are what the lead slat's own tongue allows.
//!
//! ```
//! use slatwright::doors::groove_need::Tongue;
//! use slatwright::doors::yaw::LeadInGroove;
//! // Groove 9/32, tongue 1/4: play 1/32. A 2-1/2 in lead slat with 1-3/4 of tongue left, 6 in of slats behind it.
//! let square = LeadInGroove {
//!     groove: 0.28125,
//!     tongue: Tongue { thickness: 0.25, offset: 0.0 },
//!     width: 2.5,
//!     thickness: 0.75,
//!     tongue_length: 1.75,
//!     bare: 0.0,
//!     slats_behind: 6.0,
//! };
//! let bevelled = LeadInGroove { slats_behind: 0.0, ..square };
//! // Outwards p/2 + p o/(l + X): .015625 + .03125 x .75/7.75 = .01865; without the slats behind .015625 + .03125 x .75/1.75
//! // = .02902. Inwards the slats behind change nothing.
//! assert!((square.edge_out() - 0.01865).abs() < 1e-4, "{}", square.edge_out());
//! assert!((bevelled.edge_out() - 0.02902).abs() < 2e-4, "{}", bevelled.edge_out());
//! assert_eq!(bevelled.edge_in(), square.edge_in());
//! ```

use super::groove_need::{Bend, Tongue};

/// A lead slat in a straight groove, ordinary slats behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadInGroove {
    /// Groove width.
    pub groove: f64,
    /// Tongue section.
    pub tongue: Tongue,
    /// Width of the lead slat.
    pub width: f64,
    /// Thickness of the lead slat.
    pub thickness: f64,
    /// Length of its tongue along the travel.
    pub tongue_length: f64,
    /// Bare length between the hinge and the tongue: 0 when the tongue is left at the hinge side.
    pub bare: f64,
    /// Length of the ordinary slats behind it that lie on the straight run.
    pub slats_behind: f64,
}

impl LeadInGroove {
    /// Hinge to the leading end of the tongue.
    #[must_use]
    pub fn guided(self) -> f64 {
        self.bare + self.tongue_length
    }

    /// The lead slat's width past its tongue.
    #[must_use]
    pub fn overhang(self) -> f64 {
        (self.width - self.guided()).max(0.0)
    }

    /// Depth of the rabbet at the show face.
    fn face_rabbet(self) -> f64 {
        (self.thickness - self.tongue.offset - self.tongue.thickness).max(0.0)
    }

    /// Groove width less tongue thickness.
    fn play(self) -> f64 {
        self.groove - self.tongue.thickness
    }

    /// Largest yaw with the leading edge towards the canvas side, a straight chain of square slats behind:
    /// `l sin psi + e (1 - cos psi) = G - tau`; zero without play.
    #[must_use]
    pub fn yaw_in(self) -> f64 {
        let (guided, e) = (self.guided(), self.tongue.offset);
        let reach = guided.hypot(e);
        if self.play() <= 0.0 || reach <= 0.0 {
            return 0.0;
        }
        e.atan2(guided) + ((self.play() - e) / reach).clamp(-1.0, 1.0).asin()
    }

    /// Largest yaw with the leading edge outwards: square slats act as one bar with the lead slat.
    #[must_use]
    pub fn yaw_out(self) -> f64 {
        loose_yaw(self.groove, self.guided() + self.slats_behind, self.tongue.thickness).unwrap_or(0.0)
    }

    /// How far the leading face corner can move towards the canvas side from its centred position.
    #[must_use]
    pub fn edge_in(self) -> f64 {
        let yaw = self.yaw_in();
        self.width * yaw.sin() - self.play() / 2.0 + self.thickness * (1.0 - yaw.cos())
    }

    /// How far it can move outwards.
    #[must_use]
    pub fn edge_out(self) -> f64 {
        let yaw = self.yaw_out();
        self.play() / 2.0 + self.overhang() * yaw.sin() - self.face_rabbet() * (1.0 - yaw.cos())
    }

    /// How far the yawed face corner gets ahead of its square position, the hinge held.
    #[must_use]
    pub fn corner_forward(self) -> f64 {
        let yaw = self.yaw_in().min(self.thickness.atan2(self.width));
        self.thickness * yaw.sin() - self.width * (1.0 - yaw.cos())
    }

    /// Greatest step between the faces of two like doors that meet.
    #[must_use]
    pub fn meeting_step(self) -> f64 {
        self.edge_in() + self.edge_out()
    }

    /// Outermost reach of the face corner from the groove's centreline in any pose, anywhere on the track.
    #[must_use]
    pub fn face_corner_reach(self) -> f64 {
        self.groove / 2.0 + self.face_rabbet().hypot(self.overhang())
    }
}

impl LeadInGroove {
    /// Outermost reach of the face corner from the groove's centreline while the lead slat is loaded round `bend`: on a
    /// straight `G/2 + o sin psi + k cos psi`, `psi` the largest yaw of its tongue; round a concave arc
    /// `sqrt((r_i - e + t_L)^2 + (c + o)^2) - R` with `c = sqrt(r_o^2 - (r_i + tau)^2)`, which holds for `c` no longer than
    /// the tongue and `o/k >= c/(r_i + tau)`. Anything else takes [`Self::face_corner_reach`].
    ///
    /// With a whole tongue (`o = 0`) all of them come to `G/2 + k`: a groove of 1/4 and a face rabbet of 11/32 reach
    /// 1/8 + 11/32 = 15/32.
    /// ```
    /// use slatwright::doors::{groove_need::Tongue, yaw::LeadInGroove};
    /// let lead = LeadInGroove {
    ///     groove: 0.25,
    ///     tongue: Tongue { thickness: 0.15625, offset: 0.0 },
    ///     width: 1.125,
    ///     thickness: 0.5,
    ///     tongue_length: 1.125,
    ///     bare: 0.0,
    ///     slats_behind: 5.0,
    /// };
    /// assert!((lead.reach_loading(None) - 0.46875).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn reach_loading(self, bend: Option<Bend>) -> f64 {
        let (over, rabbet, tau) = (self.overhang(), self.face_rabbet(), self.tongue.thickness);
        let any_pose = self.face_corner_reach();
        let Some(yaw) = loose_yaw(self.groove, self.tongue_length, tau) else { return any_pose };
        // On the straight the corner is outermost at the full yaw, or where it stands square out if that comes first.
        let turned =
            if yaw.tan() * rabbet <= over { over * yaw.sin() + rabbet * yaw.cos() } else { rabbet.hypot(over) };
        let straight = self.groove / 2.0 + turned;
        let Some(bend) = bend else { return straight };
        let (inner, outer) = (bend.radius - self.groove / 2.0, bend.radius + self.groove / 2.0);
        let half_chord = (outer * outer - (inner + tau) * (inner + tau)).max(0.0).sqrt();
        let usual = half_chord <= self.tongue_length && over * (inner + tau) >= half_chord * rabbet;
        if !bend.concave || !usual || self.bare > 0.0 {
            return any_pose;
        }
        let round = (inner - self.tongue.offset + self.thickness).hypot(half_chord + over) - bend.radius;
        round.max(straight).min(any_pose)
    }
}

/// Largest yaw of a loose `length` x `thickness` tongue in a straight groove: `asin(G/D) - atan(tau/length)` with `D`
/// its diagonal; `None` when the groove is as wide as the diagonal and the tongue can spin.
#[must_use]
pub fn loose_yaw(groove: f64, length: f64, thickness: f64) -> Option<f64> {
    let diagonal = length.hypot(thickness);
    (groove < diagonal).then(|| ((groove / diagonal).asin() - thickness.atan2(length)).max(0.0))
}
