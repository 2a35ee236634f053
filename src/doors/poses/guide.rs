//! A guide: the curve a hinge runs on, given by its offset from the centreline: a cubic spline of evenly spaced knots.

use super::line::{Line, across, dot, minus, plus};
use crate::doors::chain::Point;
use crate::doors::groove_need::Tongue;

/// Evenly spaced knots: `count` coefficients, `step` apart, the first at `start`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Knots {
    pub(super) start: f64,
    pub(super) step: f64,
    pub(super) count: usize,
}

/// Coefficients that a station's offset depends on.
pub(super) const NEAR: usize = 4;

impl Knots {
    /// Station of the last knot.
    pub(super) fn end(self) -> f64 {
        self.start + self.step * (self.count - 1) as f64
    }

    /// The first of the four coefficients that count at a station, and how far it lies between the middle two.
    pub(super) fn place(self, station: f64) -> (usize, f64) {
        let at = (station - self.start) / self.step - 1.0;
        let last = (self.count - NEAR + 1) as f64;
        if at <= 0.0 {
            (0, 0.0)
        } else if at >= last {
            (self.count - NEAR, 1.0)
        } else {
            (at as usize, at.fract())
        }
    }

    /// What each of the four coefficients counts.
    pub(super) fn weights(share: f64) -> [f64; NEAR] {
        let (t, u) = (share, 1.0 - share);
        [u * u * u, 4.0 - 6.0 * t * t + 3.0 * t * t * t, 4.0 - 6.0 * u * u + 3.0 * u * u * u, t * t * t]
            .map(|w| w / 6.0)
    }

    fn rates(share: f64) -> [f64; NEAR] {
        let (t, u) = (share, 1.0 - share);
        [-u * u, 3.0 * t * t - 4.0 * t, 4.0 * u - 3.0 * u * u, t * t].map(|w| w / 2.0)
    }
}

/// Offsets towards the canvas side. The first three coefficients are alike, and the last three: past its ends a guide
/// runs level.
#[derive(Debug, Clone)]
pub(super) struct Guide {
    pub(super) knots: Knots,
    pub(super) offsets: Vec<f64>,
}

impl Guide {
    pub(super) fn offset(&self, station: f64) -> f64 {
        let (knot, share) = self.knots.place(station);
        Knots::weights(share).iter().zip(&self.offsets[knot..]).map(|(weight, offset)| weight * offset).sum()
    }

    /// Change of the offset per length.
    pub(super) fn slope(&self, station: f64) -> f64 {
        let (knot, share) = self.knots.place(station);
        let change: f64 =
            Knots::rates(share).iter().zip(&self.offsets[knot..]).map(|(rate, offset)| rate * offset).sum();
        change / self.knots.step
    }

    /// Greatest slope between two stations, from the first differences of the coefficients.
    pub(super) fn steepest(&self, from: f64, to: f64) -> f64 {
        let around = self.around(from, to);
        around.windows(2).map(|two| (two[1] - two[0]).abs()).fold(0.0, f64::max) / self.knots.step
    }

    /// Coefficients that count between two stations.
    fn around(&self, from: f64, to: f64) -> &[f64] {
        &self.offsets[self.knots.place(from).0..self.knots.place(to).0 + NEAR]
    }

    /// Greatest change of the slope per length between two stations: a spline's second derivative lies between the
    /// second differences of its coefficients.
    pub(super) fn bend(&self, from: f64, to: f64) -> f64 {
        let around = self.around(from, to);
        let second = |three: &[f64]| (three[0] - 2.0 * three[1] + three[2]).abs();
        around.windows(3).map(second).fold(0.0, f64::max) / (self.knots.step * self.knots.step)
    }

    pub(super) fn at(&self, line: &Line, station: f64) -> Point {
        let (point, along) = line.at(station);
        plus(point, across(along), self.offset(station))
    }

    /// Point and its derivative by the station.
    pub(super) fn moving(&self, line: &Line, station: f64) -> (Point, Point) {
        let piece = line.piece_at(station);
        let (point, along) = line.at(station);
        let offset = self.offset(station);
        let normal = across(along);
        let speed = 1.0 - offset * line.curvature(piece);
        let velocity = plus(Point { x: along.x * speed, y: along.y * speed }, normal, self.slope(station));
        (plus(point, normal, offset), velocity)
    }
}

/// A slat between two points of its guides.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chord {
    pub(super) from: Point,
    pub(super) to: Point,
    /// Stations of its two hinges.
    pub(super) stations: (f64, f64),
}

impl Chord {
    /// The slat of `length` that begins at a station of one guide and ends on the other; `guess` is where to look for
    /// its end. `None` where the end does not run ahead of it.
    pub(super) fn new(line: &Line, guides: (&Guide, &Guide), station: f64, length: f64, guess: f64) -> Option<Self> {
        let from = guides.0.at(line, station);
        let mut end = guess;
        for _ in 0..40 {
            let (to, velocity) = guides.1.moving(line, end);
            let reach = minus(to, from);
            let far = dot(reach, reach).sqrt();
            if (far - length).abs() <= 1e-12 * length {
                return (end > station).then_some(Self { from, to, stations: (station, end) });
            }
            let rate = dot(reach, velocity) / far;
            if rate < 0.2 {
                return None;
            }
            end -= (far - length) / rate;
        }
        None
    }

    pub(super) fn heading(&self) -> f64 {
        (self.to.y - self.from.y).atan2(self.to.x - self.from.x)
    }

    /// Unit vector from the first hinge to the second.
    pub(super) fn along(&self) -> Point {
        let length = self.from.distance(self.to);
        Point { x: (self.to.x - self.from.x) / length, y: (self.to.y - self.from.y) / length }
    }

    /// What the tongue's outline asks of the groove: calls `found` with half a groove width and the share of the slat's
    /// length at each point where the distance to the centreline can be greatest: the corners, and on the long edges
    /// the feet of the perpendiculars from arc centres. The tongue takes a share `reach` of the length, from the first
    /// hinge on.
    pub(super) fn outline(&self, line: &Line, (tongue, reach): (Tongue, f64), mut found: impl FnMut(f64, f64)) {
        let along = self.along();
        let length = self.from.distance(self.to);
        let canvas = across(along);
        let pieces = (line.piece_at(self.stations.0), line.piece_at(self.stations.1));
        let mut point = |share: f64, piece: usize| {
            let on_line = plus(self.from, along, share * length);
            let back = line.offset(plus(on_line, canvas, -tongue.offset), piece);
            let face = line.offset(plus(on_line, canvas, -tongue.offset - tongue.thickness), piece);
            found(back, share);
            found(-face, share);
        };
        point(0.0, pieces.0);
        point(reach, pieces.1);
        // A tongue stands a little before or behind its hinges: one piece more at either end.
        for piece in pieces.0.saturating_sub(1)..=(pieces.1 + 1).min(line.last()) {
            if line.curvature(piece) != 0.0 {
                let share = dot(minus(line.centre(piece), self.from), along) / length;
                if share > 0.0 && share < reach {
                    point(share, piece);
                }
            }
        }
    }

    /// Least groove width for this pose.
    pub(super) fn need(&self, line: &Line, tongue: (Tongue, f64)) -> f64 {
        let mut most = 0.0f64;
        self.outline(line, tongue, |half, _| most = most.max(half));
        2.0 * most
    }
}
