//! Where every hinge stands for any position of the lead edge.
//!
//! The canvas line is taken as a path of straight runs and tangent arcs, as long on the straights as the groove's
//! centreline, with the hinge radius on the arcs. Slats are chords of that path: the station of the next hinge is the
//! first one past this hinge at the slat's width, measured straight across. On one straight that is `s + w`; on one
//! arc `s + 2 r asin(w / (2 r))`; where a slat spans a tangent point the circle of radius `w` about its first hinge is
//! cut with the pieces that follow, in order. Adding `angle x width / joint angle` per arc instead would be off by up
//! to 0.019 w^3 / r^2 at each arc (found by comparing with dense walking), so the exact walk is used throughout.
//!
//! Stations are measured along the path from the closed lead edge; the path goes on straight past both its ends, so a
//! door too long for its track still has a tail position to report. Figures are `f64` in one length unit.

use std::f64::consts::TAU;

/// A point or a direction in the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Along the first straight run's direction.
    pub x: f64,
    /// Square to it, towards the canvas side.
    pub y: f64,
}

impl Point {
    /// The distance to `other`.
    #[must_use]
    #[inline]
    pub fn distance(self, other: Self) -> f64 {
        // Not `hypot`: that is many times as slow, for lengths that no door has, and rounds as each system's library does.
        let (x, y) = (self.x - other.x, self.y - other.y);
        (x * x + y * y).sqrt()
    }

    /// This point moved by `length` in the direction `heading` (radians).
    #[must_use]
    pub fn moved(self, heading: f64, length: f64) -> Self {
        Self { x: self.x + length * heading.cos(), y: self.y + length * heading.sin() }
    }
}

/// One piece of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece {
    /// A straight run.
    Straight(f64),
    /// An arc: path radius, turning angle in radians, and whether it turns towards the canvas side.
    Arc {
        /// Radius of this path (not of the groove).
        radius: f64,
        /// Turning angle, radians.
        angle: f64,
        /// Towards the canvas side.
        concave: bool,
    },
}

impl Piece {
    /// Length along the path.
    #[must_use]
    pub fn length(self) -> f64 {
        match self {
            Self::Straight(length) => length,
            Self::Arc { radius, angle, .. } => radius * angle,
        }
    }
}

/// A piece put in its place.
#[derive(Debug, Clone, Copy)]
struct Placed {
    piece: Piece,
    /// Station where it begins.
    start: f64,
    origin: Point,
    heading: f64,
}

impl Placed {
    fn end(&self) -> f64 {
        self.start + self.piece.length()
    }

    /// +1 when an arc turns to the canvas side, -1 otherwise.
    fn sense(&self) -> f64 {
        if matches!(self.piece, Piece::Arc { concave: false, .. }) { -1.0 } else { 1.0 }
    }

    /// Centre of an arc; the origin of a straight.
    fn centre(&self) -> Point {
        match self.piece {
            Piece::Straight(_) => self.origin,
            Piece::Arc { radius, .. } => {
                self.origin.moved(self.heading + self.sense() * std::f64::consts::FRAC_PI_2, radius)
            }
        }
    }

    /// Point and heading `along` the piece from its start; past its ends it goes on as it is.
    fn at(&self, along: f64) -> (Point, f64) {
        match self.piece {
            Piece::Straight(_) => (self.origin.moved(self.heading, along), self.heading),
            Piece::Arc { radius, .. } => {
                let turned = if radius > 0.0 { self.sense() * along / radius } else { 0.0 };
                let heading = self.heading + turned;
                let outward = heading - self.sense() * std::f64::consts::FRAC_PI_2;
                (self.centre().moved(outward, radius), heading)
            }
        }
    }

    /// How far along the piece its first point at distance `reach` from `from` lies, within `limit`.
    fn first_at_distance(&self, from: Point, reach: f64, limit: f64) -> Option<f64> {
        match self.piece {
            Piece::Straight(_) => {
                let (dx, dy) = (self.origin.x - from.x, self.origin.y - from.y);
                let (sine, cosine) = self.heading.sin_cos();
                let (along, across) = (dx * cosine + dy * sine, dy * cosine - dx * sine);
                let under = reach * reach - across * across;
                if under < 0.0 {
                    return None;
                }
                [-along - under.sqrt(), -along + under.sqrt()].into_iter().find_map(|x| within(x, limit, reach))
            }
            Piece::Arc { radius, .. } => self.first_on_arc(from, reach, radius, limit),
        }
    }

    fn first_on_arc(&self, from: Point, reach: f64, radius: f64, limit: f64) -> Option<f64> {
        let centre = self.centre();
        let apart = centre.distance(from);
        if radius <= 0.0 || apart <= 0.0 {
            return None;
        }
        // Half-angle form: no digits are lost for short slats.
        let square = (reach * reach - (radius - apart).powi(2)) / (4.0 * radius * apart);
        if !(0.0..=1.0).contains(&square) {
            return None;
        }
        let spread = 2.0 * square.sqrt().asin();
        let base = (from.y - centre.y).atan2(from.x - centre.x);
        let first = (self.origin.y - centre.y).atan2(self.origin.x - centre.x);
        let turned = |angle: f64| {
            let x = (self.sense() * (angle - first)).rem_euclid(TAU);
            // A hair before the start is the start, not a whole turn on.
            if TAU - x < 1e-12 { 0.0 } else { x * radius }
        };
        let (a, b) = (turned(base - spread), turned(base + spread));
        [a.min(b), a.max(b)].into_iter().find_map(|x| within(x, limit, reach))
    }
}

/// `x` when it lies on a piece `limit` long; rounding at the ends is forgiven.
fn within(x: f64, limit: f64, scale: f64) -> Option<f64> {
    let slack = 1e-12 * scale;
    (x >= -slack && x <= limit + slack).then(|| x.clamp(0.0, limit))
}

/// A canvas path: straight runs and tangent arcs in order.
#[derive(Debug, Clone)]
pub struct CanvasPath {
    placed: Vec<Placed>,
}

impl CanvasPath {
    /// A path from its pieces; it begins at the origin, heading along +x, the canvas side towards +y.
    #[must_use]
    pub fn new(pieces: &[Piece]) -> Self {
        Self::from_pose(pieces, Point { x: 0.0, y: 0.0 }, 0.0)
    }

    /// A path that begins at `origin` with `heading`.
    #[must_use]
    pub fn from_pose(pieces: &[Piece], origin: Point, heading: f64) -> Self {
        let mut placed: Vec<Placed> = Vec::with_capacity(pieces.len() + 1);
        let mut next = Placed { piece: Piece::Straight(0.0), start: 0.0, origin, heading };
        for &piece in pieces {
            let here = Placed { piece, ..next };
            placed.push(here);
            let (end, heading) = here.at(piece.length());
            next = Placed { piece: Piece::Straight(0.0), start: here.end(), origin: end, heading };
        }
        placed.push(next);
        Self { placed }
    }

    /// Station of the path's end.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.placed.last().map_or(0.0, |last| last.start)
    }

    /// Point and heading at a station; straight on past both ends.
    #[must_use]
    pub fn at(&self, station: f64) -> (Point, f64) {
        let index = self.piece_at(station);
        let placed = &self.placed[index];
        if station < 0.0 {
            return (placed.origin.moved(placed.heading, station), placed.heading);
        }
        placed.at(station - placed.start)
    }

    /// Index of the piece a station lies on, the later one at a joint.
    fn piece_at(&self, station: f64) -> usize {
        self.placed.partition_point(|placed| placed.start <= station).saturating_sub(1)
    }

    /// Station of the first point past `station` that lies `width` away, straight across.
    #[must_use]
    pub fn next_hinge(&self, station: f64, width: f64) -> f64 {
        if station < 0.0 && station + width <= 0.0 {
            return station + width;
        }
        let first = self.piece_at(station);
        if station >= 0.0
            && let Some(next) = same_piece(&self.placed[first], station, width)
        {
            return next;
        }
        let (from, _) = self.at(station);
        let from_piece = if station < 0.0 { 0 } else { first + 1 };
        for placed in self.placed.iter().skip(from_piece) {
            let last = std::ptr::eq(placed, &self.placed[self.placed.len() - 1]);
            let limit = if last { f64::INFINITY } else { placed.piece.length() };
            if let Some(along) = placed.first_at_distance(from, width, limit) {
                return placed.start + along;
            }
        }
        // Only a width that is no number comes here: the last piece runs on for ever.
        station + width
    }

    /// Stations of every hinge, the lead edge first: `widths` from the lead slat on.
    #[must_use]
    pub fn hinges(&self, lead_edge: f64, widths: impl IntoIterator<Item = f64>) -> Vec<f64> {
        let mut stations = vec![lead_edge];
        let mut here = lead_edge;
        for width in widths {
            here = self.next_hinge(here, width);
            stations.push(here);
        }
        stations
    }

    /// Station of the tail of a door of one lead slat and `slats` ordinary ones.
    #[must_use]
    pub fn tail(&self, lead_edge: f64, lead: f64, slats: u32, width: f64) -> f64 {
        (0..slats).fold(self.next_hinge(lead_edge, lead), |here, _| self.next_hinge(here, width))
    }
}

/// The next hinge when it lies on the same piece.
fn same_piece(placed: &Placed, station: f64, width: f64) -> Option<f64> {
    let next = match placed.piece {
        Piece::Straight(_) => station + width,
        Piece::Arc { radius, .. } if width <= 2.0 * radius => station + 2.0 * radius * (width / (2.0 * radius)).asin(),
        Piece::Arc { .. } => return None,
    };
    (next <= placed.end()).then_some(next)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From a straight run into an arc: the chord that reaches to the tangent point ends where the arc begins, whichever
    /// way the arc is turned. An angle that rounding left a hair short of that is not a whole turn on.
    #[test]
    fn the_beginning_of_an_arc_is_on_it() {
        for degrees in 0..360 {
            for concave in [true, false] {
                let heading = f64::from(degrees).to_radians();
                let piece = Piece::Arc { radius: 76.2, angle: 1.0, concave };
                let arc = Placed { piece, start: 0.0, origin: Point { x: 3.0, y: -2.0 }, heading };
                let from = arc.origin.moved(heading, -15.875);
                let found = arc.first_at_distance(from, 15.875, piece.length());
                assert!(found.is_some_and(|x| x < 1e-9), "{degrees} {concave} {found:?}");
            }
        }
    }
}
