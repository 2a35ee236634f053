//! Chains of rectangles hinged at the canvas corners, solved by dynamic programming over the hinges' offsets.

use super::band::Band;

/// A chain to be led through a band: widths from the leading slat on, tongue from `e` to `e + tau` behind the canvas.
pub(crate) struct Chain<'a> {
    pub(crate) band: &'a Band,
    pub(crate) widths: Vec<f64>,
    pub(crate) tau: f64,
    pub(crate) e: f64,
    /// How far joints may turn away from the canvas side, radians: not at all for square butted edges.
    pub(crate) fold: f64,
    /// Links without a tongue: every other one is a strip of canvas, which turns as it likes.
    pub(crate) strips: bool,
}

/// A hinge: its station and where it is.
type Hinge = (f64, (f64, f64));

/// The best chain found so far that ends with one slat: what its neediest slat needs, the last slat's heading, its far
/// hinge, and the offset index of the slat before.
#[derive(Clone, Copy)]
struct Arrival {
    need: f64,
    heading: f64,
    hinge: Hinge,
    from: usize,
}

const NOWHERE: Arrival = Arrival { need: f64::INFINITY, heading: 0.0, hinge: (0.0, (0.0, 0.0)), from: 0 };

impl Chain<'_> {
    /// A low groove for the chain with its leading corner at `station`, from a search over the hinges' offsets: each round
    /// tries a few offsets per hinge, then closes in on the best. Every chain tried is a true one (each hinge at its
    /// slat's width from the last), so the value is never below the least; it starts from the chain whose hinges all
    /// have the offset `start`.
    pub(crate) fn need(&self, station: f64, start: f64, reach: f64, grid: u32, rounds: u32) -> f64 {
        let mut centres = vec![start; self.widths.len() + 1];
        let mut best = f64::INFINITY;
        let mut reach = reach;
        for _ in 0..rounds {
            let (need, offsets) = self.round(station, &centres, reach, grid);
            if need < best {
                best = need;
                centres = offsets;
            }
            reach *= 0.45;
        }
        best
    }

    /// One round: for each hinge the centre and a grid within reach of it.
    fn round(&self, station: f64, centres: &[f64], reach: f64, grid: u32) -> (f64, Vec<f64>) {
        let half = f64::from(grid / 2);
        let count = grid as usize;
        let offset = |hinge: usize, i: usize| centres[hinge] + reach * (i as f64 - half) / half;
        let mut steps: Vec<Vec<Arrival>> = Vec::new();
        for (k, &width) in self.widths.iter().enumerate() {
            let mut now = vec![NOWHERE; count * count];
            for i in 0..count {
                let at = offset(k, i);
                for j in 0..count {
                    let to = offset(k + 1, j);
                    now[i * count + j] = match steps.last() {
                        None => self.slat(&NOWHERE, (station, self.band.offset(station, at)), (k, width), to),
                        Some(before) => (0..count)
                            .map(|h| (h, &before[h * count + i]))
                            .filter(|(_, arrival)| arrival.need.is_finite())
                            .map(|(h, arrival)| Arrival {
                                from: h,
                                ..self.slat(arrival, arrival.hinge, (k, width), to)
                            })
                            .fold(NOWHERE, |best, next| if next.need < best.need { next } else { best }),
                    };
                }
            }
            steps.push(now);
        }
        self.trace(&steps, count, offset)
    }

    /// One slat from a hinge to the offset `to`; unreachable when the joint would fold the wrong way.
    fn slat(&self, before: &Arrival, from: Hinge, (link, width): (usize, f64), to: f64) -> Arrival {
        let first = link == 0;
        let hinge = self.follow(from, width, to);
        let heading = (hinge.1.1 - from.1.1).atan2(hinge.1.0 - from.1.0);
        let turn =
            (heading - before.heading + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
        if !first && !self.strips && turn < -self.fold - 1e-9 {
            return NOWHERE;
        }
        if self.strips && link % 2 == 1 {
            return Arrival { heading, hinge, from: 0, ..*before };
        }
        let alone = self.band.need(from.1, hinge.1, [self.e, self.e + self.tau]);
        let need = if first { alone } else { alone.max(before.need) };
        Arrival { need, heading, hinge, from: 0 }
    }

    /// The best end and the offsets that lead to it.
    fn trace(&self, steps: &[Vec<Arrival>], count: usize, offset: impl Fn(usize, usize) -> f64) -> (f64, Vec<f64>) {
        let last = steps.len() - 1;
        let (mut at, best) = (0..count * count)
            .map(|state| (state, steps[last][state].need))
            .fold((0, f64::INFINITY), |best, next| if next.1 < best.1 { next } else { best });
        let mut offsets = vec![0.0; steps.len() + 1];
        for k in (0..=last).rev() {
            let (i, j) = (at / count, at % count);
            offsets[k + 1] = offset(k + 1, j);
            offsets[k] = offset(k, i);
            at = steps[k][at].from * count + i;
        }
        (best, offsets)
    }

    /// The hinge at `offset` one slat on: the first point of that parallel at the slat's width, by regula falsi.
    fn follow(&self, from: Hinge, width: f64, offset: f64) -> Hinge {
        let place = |station: f64| {
            let point = self.band.offset(station, offset);
            ((point.0 - from.1.0).hypot(point.1 - from.1.1) - width, point)
        };
        let (mut low, mut high) = (from.0, from.0 + width);
        while place(high).0 < 0.0 {
            low = high;
            high += width / 4.0;
        }
        let (mut under, mut over) = (place(low).0, place(high).0);
        for _ in 0..60 {
            let station = (low * over - high * under) / (over - under);
            let (excess, point) = place(station);
            if excess.abs() < 1e-12 * width {
                return (station, point);
            }
            // The Illinois rule: the end that stays is given half its weight.
            if excess < 0.0 {
                (low, under, over) = (station, excess, over / 2.0);
            } else {
                (high, over, under) = (station, excess, under / 2.0);
            }
        }
        (high, self.band.offset(high, offset))
    }
}
