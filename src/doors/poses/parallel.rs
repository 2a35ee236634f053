//! The best parallel of a centreline for hinges to run on.

use super::guide::{Chord, Guide, Knots, NEAR};
use super::line::Line;
use super::{Span, Task};

/// Poses sampled per slat, and how often the interval of offsets is narrowed.
const SAMPLES: f64 = 16.0;
const ROUNDS: usize = 32;
/// What golden section keeps of an interval.
const GOLDEN: f64 = 0.618_033_988_749_895;

/// The offset that asks least of the groove: the need of every pose falls with it and then rises, so golden section
/// finds it. `None` where slats cannot follow.
pub(super) fn best_offset(task: &Task, line: &Line, knots: Knots, play: f64) -> Option<f64> {
    let need = |offset: f64| most_needed(task, line, knots, offset);
    let (mut low, mut high) = (task.neutral() - play, task.neutral() + play);
    for _ in 0..ROUNDS {
        let (a, b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if need(a)? < need(b)? {
            high = b;
        } else {
            low = a;
        }
    }
    Some(f64::midpoint(low, high))
}

fn most_needed(task: &Task, line: &Line, knots: Knots, offset: f64) -> Option<f64> {
    let guide = Guide { knots: Knots { count: NEAR, ..knots }, offsets: vec![offset; NEAR] };
    let one = |span: &Span| -> Option<f64> {
        let step = span.length / SAMPLES;
        let (mut most, mut ahead, mut station) = (0.0f64, span.length, knots.start);
        while station < knots.end() {
            let chord = Chord::new(line, (&guide, &guide), station, span.length, station + ahead)?;
            if chord.stations.1 > span.reaches {
                break;
            }
            ahead = chord.stations.1 - station;
            most = most.max(chord.need(line, (task.tongue, span.share)));
            station += step;
        }
        Some(most)
    };
    task.spans.iter().map(one).try_fold(0.0, |most, need| Some(f64::max(most, need?)))
}
