//! Where a track comes near itself.
//!
//! Between two passes of one groove a wall must stand. The distance between two points of the centreline is least, away
//! from the trivial case of one point, where the line between them is square to the track at both (or at an end of the
//! track), or where the track crosses itself. Such pairs are found on a grid of stations and then closed in on: one
//! station is moved to its nearest place beside the other, in turns. A loop round a corner that merely turns sharply is
//! no such pair.
//!
//! ```
//! use slatwright::doors::chain::Piece;
//! use slatwright::doors::self_clear::nearest;
//! // Out, a half turn of 2 in, and back: 4 in between the two runs.
//! let half = Piece::Arc { radius: 2.0, angle: std::f64::consts::PI, concave: true };
//! let run = Piece::Straight(10.0);
//! assert!((nearest(&[run, half, run], 5.0).unwrap().distance - 4.0).abs() < 1e-9);
//! assert_eq!(nearest(&[run, half, run], 3.0), None);
//! // Right angles of 1 in, all to one side: out to 10, up 4, back 2, and down across the first run 7 in after its start.
//! let corner = Piece::Arc { radius: 1.0, angle: std::f64::consts::FRAC_PI_2, concave: true };
//! let track = [10.0, 4.0, 2.0, 12.0].map(Piece::Straight);
//! let near = nearest(&[track[0], corner, track[1], corner, track[2], corner, track[3]], 1.0).unwrap();
//! assert!(near.distance < 1e-9 && (near.stations.0 - 7.0).abs() < 1e-6, "{near:?}");
//! ```

use super::chain::{CanvasPath, Piece, Point};
use std::f64::consts::TAU;

/// Stations looked at in each piece of the track; an arc is cut finer than this angle as well.
const SAMPLES: usize = 24;
/// Rounds of closing in on a pair, and halvings in each: more than a double holds.
const ROUNDS: usize = 60;
const HALVINGS: usize = 60;

/// Two places of a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// Their stations, from the track's beginning.
    pub stations: (f64, f64),
    /// Straight across from one to the other, centreline to centreline.
    pub distance: f64,
}

/// The two places where a track comes nearest to itself, 0 apart where it crosses; `None` when that is farther than
/// `within`, or it only leads away.
#[must_use]
pub fn nearest(track: &[Piece], within: f64) -> Option<Near> {
    let path = CanvasPath::new(track);
    let stations = stations(track);
    let points: Vec<_> = stations.iter().map(|&station| path.at(station).0).collect();
    let distance = |i: usize, j: usize| points[i].distance(points[j]);
    let last = stations.len() - 1;
    let lowest = |i: usize, j: usize| {
        let here = distance(i, j);
        let around = |index: usize| index.saturating_sub(1)..=(index + 1).min(last);
        // Of equal ones, along runs side by side or closer together than figures tell, the first.
        let beats = |k: usize, m: usize| here < distance(k, m) || here <= distance(k, m) && (i, j) <= (k, m);
        around(i).all(|k| around(j).all(|m| beats(k, m)))
    };
    let pairs = near_pairs(&stations, &points, within).into_iter().filter(|&(i, j)| lowest(i, j));
    let found = pairs.filter_map(|(i, j)| close_in(&path, &stations, i, j));
    found.filter(|near| near.distance <= within).min_by(|a, b| a.distance.total_cmp(&b.distance))
}

/// Pairs of stations that are not side by side and may have places within `within` of each other beside them.
fn near_pairs(stations: &[f64], points: &[Point], within: f64) -> Vec<(usize, usize)> {
    let last = stations.len() - 1;
    // A pair is no nearer than its stations on the grid less a step of each.
    let step = |i: usize| stations[(i + 1).min(last)] - stations[i.saturating_sub(1)];
    let widest = (0..=last).map(step).fold(0.0, f64::max);
    let mut pairs = Vec::new();
    for i in 0..=last {
        let mut back = 0.0;
        for j in i + 2..=last {
            // So soon the track does not lead back.
            if stations[j] < back {
                continue;
            }
            let apart = points[i].distance(points[j]);
            if apart <= within + step(i) + step(j) {
                pairs.push((i, j));
            }
            back = stations[j] + (apart - within - step(i) - widest);
        }
    }
    pairs
}

fn stations(track: &[Piece]) -> Vec<f64> {
    let mut stations = vec![0.0];
    let mut start = 0.0;
    for piece in track {
        let samples = match piece {
            Piece::Straight(_) => SAMPLES,
            Piece::Arc { angle, .. } => SAMPLES.max((angle / TAU * 4.0 * SAMPLES as f64).ceil() as usize),
        };
        let length = piece.length();
        if length > 0.0 {
            stations.extend((1..=samples).map(|i| start + length * i as f64 / samples as f64));
            start += length;
        }
    }
    stations
}

/// The nearest pair within a step of two stations.
fn close_in(path: &CanvasPath, stations: &[f64], i: usize, j: usize) -> Option<Near> {
    let range = |index: usize| (stations[index.saturating_sub(1)], stations[(index + 1).min(stations.len() - 1)]);
    let (first, second) = (range(i), range(j));
    let between = |a: f64, b: f64| path.at(a).0.distance(path.at(b).0);
    let (mut a, mut b) = (stations[i], stations[j]);
    for _ in 0..ROUNDS {
        let before = (a, b);
        a = lowest(first, |a| between(a, b));
        b = lowest(second, |b| between(a, b));
        if before == (a, b) {
            break;
        }
    }
    // The two ranges of a pair that only slides together are one.
    (first.1 < b && a < second.0).then(|| Near { stations: (a, b), distance: between(a, b) })
}

/// Where a function that falls and rises once is lowest.
fn lowest((mut low, mut high): (f64, f64), value: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..HALVINGS {
        let third = (high - low) / 3.0;
        if value(low + third) <= value(high - third) {
            high -= third;
        } else {
            low += third;
        }
    }
    f64::midpoint(low, high)
}
