//! From guides to a groove: every pose of the motion, not only the sampled ones.

use super::guide::{Chord, Guide};
use super::line::{Line, cross, dot};
use super::{Span, Task, turn};

/// Samples per slat length.
pub(super) const SAMPLES: f64 = 24.0;
/// How often an interval between samples is halved.
const SPLITS: u32 = 5;
/// Hinges must run within this angle of their slat: beyond it the bounds say nothing.
const STEEPEST: f64 = 1.4;

/// What is known of an end of a slat over one interval of the motion. Time is the length that the first hinge of the
/// first slat runs.
#[derive(Clone, Copy)]
struct Ends {
    /// Greatest speed.
    speed: f64,
    /// Variation of its velocity.
    varies: f64,
    /// Time of the interval.
    time: f64,
}

/// What is known of a slat over one interval.
struct Moves {
    /// Its far hinge.
    far: Ends,
    /// Variation of its turning speed over the interval.
    turning: f64,
    /// How far the needed groove can rise above its samples.
    rise: f64,
}

/// What certifying found.
pub(super) struct Found {
    /// Groove width in which every pose fits.
    pub(super) groove: f64,
    /// Most by which a joint can fold past its limit; nothing or less when none does.
    pub(super) over: f64,
    /// Greatest need of the samples.
    seen: f64,
}

/// One pose of a slat, and of the one behind it.
struct Sample {
    chord: Chord,
    need: f64,
    second: Option<Chord>,
    /// How far the joint between them folds against its opening sense.
    fold: f64,
}

impl Sample {
    /// Stations from hinge to hinge: where to look for those of the next pose.
    fn ahead(&self) -> (f64, f64) {
        let length = |chord: &Chord| chord.stations.1 - chord.stations.0;
        (length(&self.chord), self.second.as_ref().map_or(0.0, length))
    }
}

/// The figures of guides that bound what happens between samples.
struct Bounds<'a> {
    task: &'a Task,
    line: &'a Line,
    guides: &'a [Guide],
    /// Largest offset and slope of all guides.
    offset: f64,
    slope: f64,
}

/// The groove that the guides' motion asks; `None` where it is no smooth motion.
pub(super) fn certify(task: &Task, line: &Line, guides: &[Guide]) -> Option<Found> {
    let most = |figure: fn(&Guide) -> f64| guides.iter().map(figure).fold(0.0, f64::max);
    let bounds = Bounds {
        task,
        line,
        guides,
        offset: most(|guide| guide.offsets.iter().fold(0.0, |most, c| most.max(c.abs()))),
        slope: most(|guide| {
            guide.offsets.windows(2).fold(0.0, |most, pair| most.max((pair[1] - pair[0]).abs() / guide.knots.step))
        }),
    };
    let mut found = Found { groove: task.tongue.thickness, over: f64::NEG_INFINITY, seen: task.tongue.thickness };
    for span in &task.spans {
        bounds.span(span, &mut found)?;
    }
    Some(found)
}

impl Bounds<'_> {
    /// Every pose of one kind of slat.
    fn span(&self, span: &Span, found: &mut Found) -> Option<()> {
        let knots = self.guides[0].knots;
        let (start, end) = (knots.start - span.length, knots.end());
        let count = ((end - start) * SAMPLES / span.length).ceil().max(1.0) as usize;
        let step = (end - start) / count as f64;
        let next = span.joint.map_or(0.0, |(next, _)| self.task.spans[next].length);
        let mut samples = vec![self.sample(span, start, (span.length, next))?];
        for i in 1..=count {
            let before = &samples[i - 1];
            if before.chord.stations.1 > span.reaches {
                break;
            }
            samples.push(self.sample(span, start + step * i as f64, before.ahead())?);
        }
        found.seen = samples.iter().fold(found.seen, |most, sample| most.max(sample.need));
        for pair in samples.windows(2) {
            self.between(span, &pair[0], &pair[1], SPLITS, found)?;
        }
        Some(())
    }

    fn sample(&self, span: &Span, station: f64, ahead: (f64, f64)) -> Option<Sample> {
        let chord = self.chord(span, station, station + ahead.0)?;
        let second = match span.joint {
            None => None,
            Some((next, _)) => {
                let from = chord.stations.1;
                Some(self.chord(&self.task.spans[next], from, from + ahead.1)?)
            }
        };
        let fold = second.as_ref().map_or(0.0, |second| -turn(chord.heading(), second.heading()));
        Some(Sample { need: chord.need(self.line, (self.task.tongue, span.share)), chord, second, fold })
    }

    /// Bounds the poses between two samples, halving the interval while the bound exceeds what samples show.
    fn between(&self, span: &Span, a: &Sample, b: &Sample, splits: u32, found: &mut Found) -> Option<()> {
        let step = b.chord.stations.0 - a.chord.stations.0;
        let bound = self.bound(span, a, b);
        if splits > 0 && bound.is_none_or(|(need, over)| need > found.seen || over > 0.0) {
            let middle = self.sample(span, a.chord.stations.0 + step / 2.0, a.ahead())?;
            found.seen = found.seen.max(middle.need);
            self.between(span, a, &middle, splits - 1, found)?;
            return self.between(span, &middle, b, splits - 1, found);
        }
        let (need, over) = bound?;
        found.groove = found.groove.max(need);
        found.over = found.over.max(over);
        Some(())
    }

    /// Bounds of the groove and of the excess fold over the poses between two samples.
    fn bound(&self, span: &Span, a: &Sample, b: &Sample) -> Option<(f64, f64)> {
        let first = self.leading(span, a.chord.stations.0, b.chord.stations.0)?;
        let moves = self.moves(span, &a.chord, &b.chord, first)?;
        let need = a.need.max(b.need) + moves.rise;
        let (Some((next, limit)), Some(second), Some(later)) = (span.joint, &a.second, &b.second) else {
            return Some((need, f64::NEG_INFINITY));
        };
        let behind = self.moves(&self.task.spans[next], second, later, moves.far)?;
        let rise = first.time / 4.0 * (moves.turning + behind.turning);
        Some((need, a.fold.max(b.fold) - limit + rise))
    }

    fn chord(&self, span: &Span, station: f64, guess: f64) -> Option<Chord> {
        Chord::new(self.line, (&self.guides[span.from], &self.guides[span.to]), station, span.length, guess)
    }

    /// Greatest curvature of the line between two stations.
    fn curvature(&self, from: f64, to: f64) -> f64 {
        let (first, last) = (self.line.piece_at(from), self.line.piece_at(to));
        (first..=last).map(|piece| self.line.curvature(piece).abs()).fold(0.0, f64::max)
    }

    /// Most by which the tangent of a guide turns between two stations.
    fn guide_turns(&self, guide: usize, from: f64, to: f64) -> Option<f64> {
        let guide = &self.guides[guide];
        let curvature = self.curvature(from, to);
        let tightest = 1.0 - self.offset * curvature;
        if tightest < 0.2 {
            return None;
        }
        // Its heading is the line's and `atan(c' / (1 - c k))`, which jumps where the line's curvature does.
        let lean = guide.steepest(from, to) / tightest;
        let smooth = curvature * (1.0 + lean * lean) + guide.bend(from, to) / tightest;
        let jumps =
            self.line.joints().filter(|&(station, _)| station > from && station <= to).map(|(station, piece)| {
                let (offset, slope) = (guide.offset(station), guide.slope(station));
                let leans =
                    [piece - 1, piece].map(|piece| (slope / (1.0 - offset * self.line.curvature(piece))).atan());
                (leans[1] - leans[0]).abs()
            });
        Some(smooth * (to - from) + jumps.sum::<f64>())
    }

    /// The first hinge of the first slat.
    fn leading(&self, span: &Span, from: f64, to: f64) -> Option<Ends> {
        let curvature = self.curvature(from, to);
        let along = 1.0 + self.offset * curvature;
        let stretch = (along * along + self.slope * self.slope).sqrt();
        Some(Ends { speed: 1.0, varies: self.guide_turns(span.from, from, to)?, time: stretch * (to - from) })
    }

    /// Bounds of a slat's motion from those of its first hinge; `None` where the interval is too long for them.
    fn moves(&self, span: &Span, earlier: &Chord, later: &Chord, first: Ends) -> Option<Moves> {
        let tongue = self.task.tongue;
        let depth = tongue.offset + tongue.thickness;
        let asked = |chord: &Chord| chord.need(self.line, (tongue, span.share));
        let aside = (self.offset + depth).max(asked(earlier)).max(asked(later));
        let curvature = self.curvature(earlier.stations.0 - aside, later.stations.1 + aside);
        let tightest = 1.0 - aside * curvature;
        let far_turns = self.guide_turns(span.to, earlier.stations.1, later.stations.1)?;
        let near_turns = self.guide_turns(span.from, earlier.stations.0, later.stations.0)?;
        // Between the samples tangents turn so far, and the slat no farther than is checked below.
        let Ends { speed, varies, time } = first;
        let turned_at_most = 2.0 * speed * time / span.length;
        let swing = far_turns.max(near_turns) + turned_at_most;
        let angle = self.angle(span, earlier).max(self.angle(span, later)) + swing;
        if angle > STEEPEST || tightest < 0.1 {
            return None;
        }
        let (sine, cosine) = angle.sin_cos();
        let far_speed = speed / cosine;
        // How fast the slat turns, and how far it does in the interval.
        let turning = (far_speed + speed) * sine / span.length;
        let turned = turning * time;
        if turned > turned_at_most {
            return None;
        }
        let paces = (varies + speed * sine * turned + far_speed * sine * (far_turns + turned)) / cosine;
        let far_varies = paces + far_speed * far_turns;
        let turning_varies = (far_varies + varies + (far_speed + speed) * turned) / span.length;
        let fastest = far_speed.max(speed) + depth * turning;
        let point_varies = far_varies.max(varies) + depth * (turning_varies + turning * turned);
        let normal_varies = fastest * fastest * curvature / tightest * time;
        Some(Moves {
            far: Ends { speed: far_speed, varies: far_varies, time },
            turning: turning_varies,
            rise: 2.0 * time / 4.0 * (point_varies + normal_varies),
        })
    }

    /// Greatest angle between a slat and the way its hinges run.
    fn angle(&self, span: &Span, chord: &Chord) -> f64 {
        let along = chord.along();
        let at = |guide: usize, station: f64| {
            let (_, velocity) = self.guides[guide].moving(self.line, station);
            cross(along, velocity).atan2(dot(along, velocity)).abs()
        };
        at(span.from, chord.stations.0).max(at(span.to, chord.stations.1))
    }
}
