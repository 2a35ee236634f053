//! Poses of the whole chain: the least groove in which a door is shown to run where bends lie nearer than a slat.
//!
//! Figures are `f64` in one length unit, angles in radians, stations along the centreline from the first arc's beginning.
//!
//! # Guides
//! A motion of a chain is known when the curve that each hinge runs on is known: with the first hinge at some station
//! the next one stands on its own curve a slat's width away, and so on to the tail. Here a curve is the centreline moved
//! aside by a smooth offset, a *guide*; all ordinary hinges share one, the leading end of the lead slat's tongue has one
//! of its own. The offsets are sought that keep every tongue as near the centreline as can be (a smoothed
//! least-maximum, by Newton steps). However they were found, what follows shows what they are worth.
//!
//! # What the certificate holds
//! Let `need(s)` be twice the greatest distance from the centreline of a tongue's outline, its slat's first hinge at
//! station `s`. A groove `G` wide is what a cutter of that diameter leaves along the centreline, so the tongue is inside
//! it exactly when `need(s) <= G`. If that holds for every `s`, and every joint stays within its fold, then the whole
//! door runs from end to end in the groove: each slat depends on its own `s` only, every hinge moves on without a jump,
//! and slats stay as long as they are. So it is enough to bound one function of one number for each kind of slat.
//!
//! *At one pose* the outline is farthest away at a corner, or on a long edge at the foot of the perpendicular from an
//! arc's centre, for the signed distance to a tangent line of runs and arcs has a continuous slope along an edge and
//! turns only there. Distances are measured to a point of the centreline, so they are never too small.
//!
//! *Between two poses* a time `h` apart, a function that is continuous and whose slope varies by `V` in all lies nowhere
//! more than `h V / 4` above the larger of its end values. (From the end value `f(a) >= f(b)` it rises to its top at `m`
//! and falls to `f(b)`: the mean slopes on either side differ by at least `rise / (m - a) + rise / (b - m) >= 4 rise /
//! h`, and both are taken on.) For a point of a tongue at distance `u` from the centreline the slope is its speed across
//! the line, and that varies by no more than the point's velocity does, plus the turning of the line's normal, `speed^2 k
//! / (1 - u k)` a unit of time at curvature `k`. The point's velocity follows from those of its two hinges:
//!
//! - time is the length run by the first hinge: its velocity has size 1 and varies by the turning of its guide's tangent;
//! - a slat keeps its length, so both hinges run equally fast along it: `v_2 = v_1 cos a_1 / cos a_2`, `a` the angles
//!   between slat and guides; it turns at `(v_1 sin a_1 + v_2 sin a_2) / w` at the most;
//! - a guide's tangent turns with the line (curvature `k`) and by `atan(c' / (1 - c k))`, `c` its offset, a spline whose
//!   derivatives lie between differences of its coefficients; where the line's curvature jumps it turns by what that
//!   expression jumps.
//!
//! Every quantity is taken at its worst over the interval; intervals are halved until the bound adds nothing to the
//! greatest need seen, or five times. The joints are bounded likewise by the speeds at which their slats turn. The least
//! certified groove is the greatest of these bounds: a groove of that width is enough, whatever the sampling.
//!
//! *Square edges* fold one way only. Where all bends are concave the one guide is a parallel of the centreline: a convex
//! curve. A chain inscribed in a convex curve turns one way at every joint, so no joint has to fold against its edges,
//! and nothing is left to check.
//!
//! # How near the need it comes
//! In 31 doors on tracks of both senses whose need was found by brute force, pose by pose, the certified groove lies
//! above it by a median of 2.3 % and at most 7.6 % of the play, the rule ([`super::groove_need::s_need`]) by 28 to 325 %.
//! Of 2 000 random doors 15 were left to the rule, no pose of the others left its groove when it was measured anew, and
//! two grooves were wider than the brute force's by more than half the play. The tests repeat both.
//!
//! *Gaps at the canvas.* Where slats do not butt, the strip of canvas between two of them is led in one line with the slat
//! before it: one of the ways in which such a door can run, so what is shown of it holds. Hinges then stand a slat and a
//! gap apart, a tongue reaches from its hinge over the slat alone, and a joint folds until the edges meet ([`gap_fold`]).
//!
//! What is not held: slats are stiff and straight, edges sharp, the canvas does not stretch, the groove is as routed.

mod certify;
mod guide;
mod line;
mod parallel;
mod seek;

use super::chain::{Piece, Point};
use super::groove_need::Tongue;
use certify::{Found, certify};
use guide::{Chord, Guide, Knots};
use line::Line;
use seek::Seek;

/// Knots of a guide per ordinary slat.
const KNOTS: f64 = 8.0;
/// More knots than any door's near bends ask for: a stretch of two hundred and fifty slats.
const MOST_KNOTS: f64 = 2_000.0;
/// A lead slat guided over more ordinary slats' widths than this is none.
const LONGEST_LEAD: f64 = 12.0;
/// How far joints are kept from their limit at first, radians, and how often a motion that folds too far is sought anew.
const SHY: f64 = 2e-4;
const ROUNDS: usize = 4;

/// The lead slat of a chain, as far as it is guided.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lead {
    /// From its hinge to the leading end of its tongue.
    pub guided: f64,
    /// Farthest station of its hinge; infinite when it passes the whole track.
    pub reaches: f64,
    /// How far its joint folds towards the face: the bevels of both edges together.
    pub fold: f64,
}

/// What runs in a groove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// Section of the tongues.
    pub tongue: Tongue,
    /// Width of the ordinary slats.
    pub width: f64,
    /// Left open at the canvas between slats; 0 where they butt.
    pub gap: f64,
    /// How far their joints fold towards the face: the bevels of both edges together, 0 for square edges.
    pub fold: f64,
    /// The lead slat; `None` where it is guided no longer than an ordinary slat is wide: then its tongue lies within one
    /// that is shown to pass.
    pub lead: Option<Lead>,
}

impl Chain {
    /// From hinge to hinge.
    fn pitch(&self) -> f64 {
        self.width + self.gap
    }
}

/// How far a joint folds towards the face where slats `thickness` thick, each edge with that bevel, stand `gap` apart at the
/// canvas and the strip between them lies in line with one of them: the face corner of the one meets the edge of the other
/// when `sin(fold - 2 b) = g/t cos b cos(fold - b)`. The cosine is taken where it is least, so the figure is never above
/// that. Without a gap both bevels together.
///
/// By hand: square edges 3/8 thick, 1/16 apart: sin = 1/6 cos, at the most asin(1/6) = 9.594 degrees, where the cosine is
/// .98601: asin(.98601 / 6) = 9.459 degrees.
/// ```
/// use slatwright::doors::poses::gap_fold;
/// assert!((gap_fold(0.0, 0.0625, 0.375).to_degrees() - 9.459).abs() < 0.001);
/// assert_eq!(gap_fold(0.1, 0.0, 0.375), 0.2);
/// ```
#[must_use]
pub fn gap_fold(bevel: f64, gap: f64, thickness: f64) -> f64 {
    let opens = |cosine: f64| (gap / thickness * bevel.cos() * cosine).clamp(0.0, 1.0).asin();
    let most = 2.0 * bevel + opens(bevel.cos());
    2.0 * bevel + opens((most - bevel).cos().max(0.0))
}

/// A motion of a whole chain through a groove.
#[derive(Debug, Clone)]
pub struct Certificate {
    groove: f64,
    line: Line,
    guides: Vec<Guide>,
    spans: Vec<Span>,
}

impl Certificate {
    /// Groove width in which every pose of the motion fits.
    #[must_use]
    pub fn groove(&self) -> f64 {
        self.groove
    }

    /// The pose with the leading end of the lead slat's tongue (its leading hinge, without a lead slat) at `station`:
    /// that end, then hinge after hinge, `slats` slats in all; where slats stand apart each hinge is where a slat begins, the
    /// strip before it in line with the slat before that. The first arc begins at the origin, heading along +x, the
    /// canvas side is +y. `None` only for a station that is no number.
    #[must_use]
    pub fn pose(&self, station: f64, slats: usize) -> Option<Vec<Point>> {
        let mut points = vec![self.guides[self.spans.first()?.from].at(&self.line, station)];
        let mut here = station;
        for slat in 0..slats {
            let span = &self.spans[slat.min(self.spans.len() - 1)];
            let guides = (&self.guides[span.from], &self.guides[span.to]);
            let chord = Chord::new(&self.line, guides, here, span.length, here + span.length)?;
            points.push(chord.to);
            here = chord.stations.1;
        }
        Some(points)
    }
}

/// One kind of slat of a motion: which guides its hinges run on.
#[derive(Debug, Clone, Copy)]
struct Span {
    from: usize,
    to: usize,
    /// From hinge to hinge: the slat and the strip behind it.
    length: f64,
    /// How much of that has a tongue, from the first hinge on.
    share: f64,
    /// Farthest station of its second hinge.
    reaches: f64,
    /// Which kind of slat follows, and how far the joint between folds towards the face; `None` where joints need no
    /// check.
    joint: Option<(usize, f64)>,
}

/// What is asked: kinds of slats in a line.
struct Task {
    tongue: Tongue,
    spans: Vec<Span>,
}

impl Task {
    /// The lead slat's leading end on a guide of its own, all hinges on another.
    fn free(chain: &Chain) -> Self {
        let hinges = usize::from(chain.lead.is_some());
        Self::new(chain, (0, hinges), true)
    }

    /// Everything on one guide.
    fn common(chain: &Chain, joints: bool) -> Self {
        Self::new(chain, (0, 0), joints)
    }

    fn new(chain: &Chain, (end, hinges): (usize, usize), joints: bool) -> Self {
        let slat = usize::from(chain.lead.is_some());
        let joint = |limit: f64| joints.then_some((slat, limit));
        let lead = chain.lead.map(|lead| Span {
            from: end,
            to: hinges,
            length: lead.guided + chain.gap,
            share: lead.guided / (lead.guided + chain.gap),
            // The slat behind begins a strip farther on: twice that, however the line bends.
            reaches: lead.reaches + 2.0 * chain.gap,
            joint: joint(lead.fold),
        });
        let ordinary = Span {
            from: hinges,
            to: hinges,
            length: chain.pitch(),
            share: chain.width / chain.pitch(),
            reaches: f64::INFINITY,
            joint: joint(chain.fold),
        };
        Self { tongue: chain.tongue, spans: lead.into_iter().chain([ordinary]).collect() }
    }

    fn guides(&self) -> usize {
        1 + self.spans.iter().map(|span| span.from.max(span.to)).max().unwrap_or(0)
    }

    /// Offset of a canvas line whose tongue lies in the middle of the groove.
    fn neutral(&self) -> f64 {
        self.tongue.offset + self.tongue.thickness / 2.0
    }

    fn longest(&self) -> f64 {
        self.spans.iter().map(|span| span.length).fold(0.0, f64::max)
    }
}

/// Turn from one heading to the next, positive to the canvas side.
fn turn(from: f64, to: f64) -> f64 {
    let turn = to - from;
    turn - std::f64::consts::TAU * (turn / std::f64::consts::TAU).round()
}

/// The least groove width in which poses show that `chain` passes `track`, with the motion; `None` where no motion was
/// found or the bounds do not hold (slats that turn by a right angle against their way, joints that fold too far).
///
/// `track` begins and ends with an arc; straight runs go on past both ends. `rule` is the groove by rule: the scale of
/// the search, not its limit.
#[must_use]
pub fn least_groove(track: &[Piece], chain: &Chain, rule: f64) -> Option<Certificate> {
    let play = rule - chain.tongue.thickness;
    if !(play.is_finite() && play > 0.0 && chain.width > 0.0 && chain.gap >= 0.0) {
        return None;
    }
    let line = Line::new(track);
    let senses =
        |sense: bool| track.iter().any(|piece| matches!(piece, Piece::Arc { concave, .. } if *concave == sense));
    let knots = knots(track, chain)?;
    if senses(true) && senses(false) {
        free(line, chain, knots, play)
    } else {
        level(line, chain, knots, senses(false), play)
    }
}

/// Knots from a slat before the first arc to a slat past the last.
fn knots(track: &[Piece], chain: &Chain) -> Option<Knots> {
    let length: f64 = track.iter().map(|piece| piece.length()).sum();
    let longest = chain.lead.map_or(chain.width, |lead| lead.guided.max(chain.width)) + chain.gap;
    let step = chain.width / KNOTS;
    let start = -(longest + 1.5 * chain.pitch());
    let count = ((length + 1.5 * chain.pitch() - start) / step).ceil() + 1.0;
    (count < MOST_KNOTS && longest <= LONGEST_LEAD * chain.width).then_some(Knots {
        start,
        step,
        count: count as usize,
    })
}

/// Bends of both senses: guides are sought, joints checked.
fn free(line: Line, chain: &Chain, knots: Knots, play: f64) -> Option<Certificate> {
    let task = Task::free(chain);
    let mut shy = SHY;
    for _ in 0..ROUNDS {
        let guides = Seek::new(&task, &line, knots, play, shy).run()?;
        let found = certify(&task, &line, &guides)?;
        if found.over <= 0.0 {
            return Some(Certificate { groove: found.groove, line, guides, spans: task.spans });
        }
        shy += found.over + SHY / 2.0;
    }
    None
}

/// Bends of one sense: one guide for all, a parallel of the centreline.
fn level(line: Line, chain: &Chain, knots: Knots, reverse: bool, play: f64) -> Option<Certificate> {
    let task = Task::common(chain, reverse);
    let offset = parallel::best_offset(&task, &line, knots, play)?;
    let guides = vec![Guide { knots, offsets: vec![offset; knots.count] }];
    let Found { groove, over, .. } = certify(&task, &line, &guides)?;
    (over <= 0.0).then_some(Certificate { groove, line, guides, spans: task.spans })
}
