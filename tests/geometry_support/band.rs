//! A second, plain account of a groove: points against a centreline, by distance alone. It shares no formula with the
//! library.

/// A centreline of straight runs and arcs; the first run lies on the x axis, the canvas side is +y.
pub(crate) struct Band {
    pieces: Vec<Piece>,
}

/// One piece in its place.
struct Piece {
    start: f64,
    length: f64,
    origin: (f64, f64),
    heading: f64,
    /// Signed curvature: positive turns to the canvas side, 0 for a straight run.
    curvature: f64,
}

impl Band {
    /// Straight runs as `(length, 0, _)`, arcs as `(radius, degrees, concave)`.
    pub(crate) fn new(track: &[(f64, f64, bool)]) -> Self {
        let mut pieces: Vec<Piece> = Vec::new();
        let (mut start, mut origin, mut heading) = (0.0, (0.0, 0.0), 0.0f64);
        for &(size, degrees, concave) in track {
            let (length, curvature) = if degrees == 0.0 {
                (size, 0.0)
            } else {
                (size * degrees.to_radians(), if concave { 1.0 / size } else { -1.0 / size })
            };
            let piece = Piece { start, length, origin, heading, curvature };
            (origin, heading) = piece.at(length);
            start += length;
            pieces.push(piece);
        }
        Self { pieces }
    }

    pub(crate) fn length(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.length).sum()
    }

    /// Point of the centreline and heading; the end runs go on straight.
    pub(crate) fn at(&self, station: f64) -> ((f64, f64), f64) {
        let index = self.pieces.iter().rposition(|piece| piece.start <= station).unwrap_or(0);
        self.pieces[index].at(station - self.pieces[index].start)
    }

    /// Point at an offset towards the canvas side.
    pub(crate) fn offset(&self, station: f64, towards_canvas: f64) -> (f64, f64) {
        let (point, heading) = self.at(station);
        (point.0 - towards_canvas * heading.sin(), point.1 + towards_canvas * heading.cos())
    }

    /// Distance of a point to the centreline.
    pub(crate) fn distance(&self, point: (f64, f64)) -> f64 {
        let last = self.pieces.len() - 1;
        let each = |(i, piece): (usize, &Piece)| piece.distance(point, i == 0, i == last);
        self.pieces.iter().enumerate().map(each).fold(f64::INFINITY, f64::min)
    }

    /// Twice the largest distance of a rectangle's outline to the centreline: the groove this pose needs. The long edges
    /// run from `a` to `b` at the given depths towards the face (away from the canvas).
    pub(crate) fn need(&self, a: (f64, f64), b: (f64, f64), depths: [f64; 2]) -> f64 {
        let length = (b.0 - a.0).hypot(b.1 - a.1);
        let along = ((b.0 - a.0) / length, (b.1 - a.1) / length);
        let face = (along.1, -along.0);
        let mut most = 0.0f64;
        for depth in depths {
            let shift = |p: (f64, f64)| (p.0 + depth * face.0, p.1 + depth * face.1);
            let (from, to) = (shift(a), shift(b));
            most = most.max(self.distance(from)).max(self.distance(to));
            // Between the corners the distance peaks only at the foot of a perpendicular from an arc's centre.
            for piece in self.pieces.iter().filter(|piece| piece.curvature != 0.0) {
                let centre = piece.centre();
                let foot = (centre.0 - from.0) * along.0 + (centre.1 - from.1) * along.1;
                if foot > 0.0 && foot < length {
                    most = most.max(self.distance((from.0 + foot * along.0, from.1 + foot * along.1)));
                }
            }
        }
        2.0 * most
    }
}

impl Piece {
    fn at(&self, along: f64) -> ((f64, f64), f64) {
        if self.curvature == 0.0 {
            let point = (self.origin.0 + along * self.heading.cos(), self.origin.1 + along * self.heading.sin());
            return (point, self.heading);
        }
        let heading = self.heading + along * self.curvature;
        let radius = 1.0 / self.curvature;
        let centre = self.centre();
        ((centre.0 + radius * heading.sin(), centre.1 - radius * heading.cos()), heading)
    }

    fn centre(&self) -> (f64, f64) {
        let radius = 1.0 / self.curvature;
        (self.origin.0 - radius * self.heading.sin(), self.origin.1 + radius * self.heading.cos())
    }

    /// Distance to this piece; the first and last run on for ever.
    fn distance(&self, point: (f64, f64), first: bool, last: bool) -> f64 {
        if self.curvature == 0.0 {
            let (dx, dy) = (point.0 - self.origin.0, point.1 - self.origin.1);
            let (sine, cosine) = self.heading.sin_cos();
            let low = if first { f64::NEG_INFINITY } else { 0.0 };
            let high = if last { f64::INFINITY } else { self.length };
            let along = (dx * cosine + dy * sine).clamp(low, high);
            return (dx - along * cosine).hypot(dy - along * sine);
        }
        let centre = self.centre();
        let (dx, dy) = (point.0 - centre.0, point.1 - centre.1);
        let radius = (1.0 / self.curvature).abs();
        // Angle turned from the start, in the sense of the arc, over its own sector.
        let start = (self.origin.1 - centre.1).atan2(self.origin.0 - centre.0);
        let sense = self.curvature.signum();
        let turned = (sense * (dy.atan2(dx) - start)).rem_euclid(std::f64::consts::TAU);
        if turned <= self.length / radius {
            return (dx.hypot(dy) - radius).abs();
        }
        let end = self.at(self.length).0;
        let to = |p: (f64, f64)| (point.0 - p.0).hypot(point.1 - p.1);
        to(self.origin).min(to(end))
    }
}

/// A small reproducible source of figures.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// A figure between two bounds.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        // Knuth's multiplier; the high bits are good enough for test cases.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1u64 << 53) as f64)
    }
}
