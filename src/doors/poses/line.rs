//! The centreline of a groove as one tangent line of straight runs and arcs, straight on past both ends.

use crate::doors::chain::{Piece, Point};

/// A piece in its place.
#[derive(Debug, Clone, Copy)]
struct Placed {
    /// Station where it begins; the first one reaches back without end.
    start: f64,
    origin: Point,
    heading: f64,
    /// Unit vector of the heading.
    along: Point,
    /// Positive where the line turns to the canvas side, 0 on straight runs.
    curvature: f64,
}

/// A centreline.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pieces: Vec<Placed>,
}

pub(super) fn plus(a: Point, b: Point, times: f64) -> Point {
    Point { x: a.x + times * b.x, y: a.y + times * b.y }
}

pub(super) fn minus(a: Point, b: Point) -> Point {
    plus(a, b, -1.0)
}

pub(super) fn dot(a: Point, b: Point) -> f64 {
    a.x * b.x + a.y * b.y
}

pub(super) fn cross(a: Point, b: Point) -> f64 {
    a.x * b.y - a.y * b.x
}

/// A quarter turn to the canvas side.
pub(super) fn across(a: Point) -> Point {
    Point { x: -a.y, y: a.x }
}

impl Placed {
    fn new(start: f64, origin: Point, heading: f64, curvature: f64) -> Self {
        let along = Point { x: heading.cos(), y: heading.sin() };
        Self { start, origin, heading, along, curvature }
    }

    fn centre(&self) -> Point {
        plus(self.origin, across(self.along), 1.0 / self.curvature)
    }

    /// Point and unit tangent.
    fn at(&self, station: f64) -> (Point, Point) {
        let length = station - self.start;
        if self.curvature == 0.0 {
            return (plus(self.origin, self.along, length), self.along);
        }
        let (sine, cosine) = (self.heading + self.curvature * length).sin_cos();
        let along = Point { x: cosine, y: sine };
        (plus(self.centre(), across(along), -1.0 / self.curvature), along)
    }

    /// Signed distance of a point from this piece, positive on the canvas side.
    fn offset(&self, point: Point) -> f64 {
        if self.curvature == 0.0 {
            return dot(minus(point, self.origin), across(self.along));
        }
        // Positive curvature has its centre on the canvas side.
        let away = 1.0 / self.curvature.abs() - point.distance(self.centre());
        if self.curvature > 0.0 { away } else { -away }
    }
}

impl Line {
    pub(super) fn new(track: &[Piece]) -> Self {
        let mut pieces = vec![Placed::new(0.0, Point { x: 0.0, y: 0.0 }, 0.0, 0.0)];
        let mut next = pieces[0];
        for piece in track {
            let curvature = match *piece {
                Piece::Straight(_) => 0.0,
                Piece::Arc { radius, concave, .. } => {
                    if concave {
                        1.0 / radius
                    } else {
                        -1.0 / radius
                    }
                }
            };
            let placed = Placed::new(next.start, next.origin, next.heading, curvature);
            let end = next.start + piece.length();
            let heading = next.heading + curvature * piece.length();
            next = Placed::new(end, placed.at(end).0, heading, 0.0);
            // Two straight runs in a row are one.
            if curvature != 0.0 || pieces[pieces.len() - 1].curvature != 0.0 {
                pieces.push(placed);
            }
        }
        if pieces[pieces.len() - 1].curvature != 0.0 {
            pieces.push(next);
        }
        Self { pieces }
    }

    /// Index of the piece at a station, the later one at a joint.
    pub(super) fn piece_at(&self, station: f64) -> usize {
        self.pieces.partition_point(|piece| piece.start <= station).saturating_sub(1)
    }

    /// Point and unit tangent at a station.
    pub(super) fn at(&self, station: f64) -> (Point, Point) {
        self.pieces[self.piece_at(station)].at(station)
    }

    /// Index of the last piece.
    pub(super) fn last(&self) -> usize {
        self.pieces.len() - 1
    }

    pub(super) fn curvature(&self, piece: usize) -> f64 {
        self.pieces[piece].curvature
    }

    /// Stations where pieces meet, each with the index of the later piece.
    pub(super) fn joints(&self) -> impl Iterator<Item = (f64, usize)> + '_ {
        self.pieces.iter().enumerate().skip(1).map(|(index, piece)| (piece.start, index))
    }

    /// Centre of an arc.
    pub(super) fn centre(&self, piece: usize) -> Point {
        self.pieces[piece].centre()
    }

    /// Signed distance of a point from the centreline near `piece`: its foot is looked for from there on. The foot is a
    /// point of the line, so the distance is never below the distance to the line.
    pub(super) fn offset(&self, point: Point, piece: usize) -> f64 {
        let mut here = piece;
        // Along a tangent line the walk settles at once; the count only guards against rounding.
        for _ in 0..2 * self.pieces.len() {
            let placed = &self.pieces[here];
            if here > 0 && dot(minus(point, placed.origin), placed.along) < 0.0 {
                here -= 1;
                continue;
            }
            match self.pieces.get(here + 1) {
                Some(next) if dot(minus(point, next.origin), next.along) > 0.0 => here += 1,
                _ => break,
            }
        }
        self.pieces[here].offset(point)
    }
}
