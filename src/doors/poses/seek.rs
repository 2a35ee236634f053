//! The guides that ask least of the groove: a smoothed least-maximum, by Newton steps on a banded matrix.
//!
//! Each sampled pose gives the groove half widths that its outline asks (see [`super::guide::Chord::outline`]), each
//! nearly linear in the offsets of the four knots beside its hinges. The sum of `exp((half - most) / T)` over all of
//! them is convex in the offsets; as `T` falls its minimum goes to the least maximum. A joint that folds too far counts
//! like a half width above the most. A little stiffness keeps guides smooth where nothing else decides.

use super::guide::{Chord, Guide, Knots, NEAR};
use super::line::Line;
use super::{Span, Task};

/// Stages of falling temperature, Newton steps in each.
const STAGES: usize = 7;
const STEPS: usize = 2;
/// Temperature of the first stage as a share of the play, and what each stage leaves of it.
const WARM: f64 = 0.25;
const COOL: f64 = 0.5;

/// One figure to be kept low, with its derivatives by the offsets it depends on.
struct Item {
    value: f64,
    terms: [(usize, f64); 3 * NEAR],
    count: usize,
}

impl Item {
    fn new(value: f64) -> Self {
        Self { value, terms: [(0, 0.0); 3 * NEAR], count: 0 }
    }

    fn add(&mut self, variable: usize, slope: f64) {
        self.terms[self.count] = (variable, slope);
        self.count += 1;
    }

    fn terms(&self) -> &[(usize, f64)] {
        &self.terms[..self.count]
    }
}

/// Guides as one list of unknowns, knot by knot.
pub(super) struct Seek<'a> {
    task: &'a Task,
    line: &'a Line,
    knots: Knots,
    guides: Vec<Guide>,
    /// Expected play: the scale of everything.
    play: f64,
    /// Angle by which joints are kept from their limit.
    shy: f64,
}

impl<'a> Seek<'a> {
    pub(super) fn new(task: &'a Task, line: &'a Line, knots: Knots, play: f64, shy: f64) -> Self {
        let neutral = task.neutral();
        let guide = Guide { knots, offsets: vec![neutral; knots.count] };
        Self { task, line, knots, guides: vec![guide; task.guides()], play, shy }
    }

    /// The best guides found; `None` where slats cannot follow the line.
    pub(super) fn run(mut self) -> Option<Vec<Guide>> {
        let mut heat = WARM * self.play;
        let mut items = self.items(&self.guides)?;
        for _ in 0..STAGES {
            for _ in 0..STEPS {
                items = self.step(items, heat)?;
            }
            heat *= COOL;
        }
        Some(self.guides)
    }

    fn variable(&self, guide: usize, knot: usize) -> usize {
        knot * self.guides.len() + guide
    }

    /// Every figure of the present guides. Joint figures carry their excess fold times a length; they come last.
    fn items(&self, guides: &[Guide]) -> Option<(Vec<Item>, Vec<Item>)> {
        let mut walls = Vec::new();
        let mut joints = Vec::new();
        for span in &self.task.spans {
            let mut ahead = (span.length, self.following(span).map_or(0.0, |next| next.length));
            for knot in 0..self.knots.count - 1 {
                let station = self.knots.start + self.knots.step * (knot as f64 + 0.5);
                let chord = self.chord(guides, span, station, station + ahead.0)?;
                // The certificate's last pose lies a sample past the reach.
                if chord.stations.1 > span.reaches + 2.0 * span.length / super::certify::SAMPLES {
                    break;
                }
                ahead.0 = chord.stations.1 - station;
                self.wall_items(span, &chord, &mut walls);
                if let (Some(next), Some((_, limit))) = (self.following(span), span.joint) {
                    let second = self.chord(guides, next, chord.stations.1, chord.stations.1 + ahead.1)?;
                    ahead.1 = second.stations.1 - chord.stations.1;
                    joints.push(self.joint_item((span, &chord), (next, &second), limit));
                }
            }
        }
        Some((walls, joints))
    }

    fn following(&self, span: &Span) -> Option<&Span> {
        span.joint.map(|(next, _)| &self.task.spans[next])
    }

    fn chord(&self, guides: &[Guide], span: &Span, station: f64, guess: f64) -> Option<Chord> {
        Chord::new(self.line, (&guides[span.from], &guides[span.to]), station, span.length, guess)
    }

    fn wall_items(&self, span: &Span, chord: &Chord, items: &mut Vec<Item>) {
        let mut canvas = true;
        chord.outline(self.line, (self.task.tongue, span.share), |half, share| {
            let mut item = Item::new(half);
            let sign = if canvas { 1.0 } else { -1.0 };
            self.hinge(&mut item, span.from, chord.stations.0, sign * (1.0 - share));
            self.hinge(&mut item, span.to, chord.stations.1, sign * share);
            items.push(item);
            canvas = !canvas;
        });
    }

    fn hinge(&self, item: &mut Item, guide: usize, station: f64, slope: f64) {
        let (knot, share) = self.knots.place(station);
        for (k, weight) in Knots::weights(share).into_iter().enumerate() {
            item.add(self.variable(guide, knot + k), slope * weight);
        }
    }

    /// Excess of a joint's fold over its limit, as a length.
    fn joint_item(&self, first: (&Span, &Chord), second: (&Span, &Chord), limit: f64) -> Item {
        let fold = super::turn(first.1.heading(), second.1.heading());
        let arm = 4.0 * first.0.length;
        let mut item = Item::new(arm * (-fold - limit + self.shy));
        let (a, b) = (arm / first.0.length, arm / second.0.length);
        self.hinge(&mut item, first.0.from, first.1.stations.0, -a);
        self.hinge(&mut item, first.0.to, first.1.stations.1, a + b);
        self.hinge(&mut item, second.0.to, second.1.stations.1, -b);
        item
    }

    /// One Newton step with a search along it.
    fn step(&mut self, items: (Vec<Item>, Vec<Item>), heat: f64) -> Option<(Vec<Item>, Vec<Item>)> {
        let most = items.0.iter().fold(0.0, |most, item| f64::max(most, item.value));
        let size = self.knots.count * self.guides.len();
        let mut system = Banded::new(size, self.band());
        let mut gradient = vec![0.0; size];
        for (item, level) in items.0.iter().map(|item| (item, most)).chain(items.1.iter().map(|item| (item, 0.0))) {
            let weight = ((item.value - level) / heat).min(40.0).exp();
            if weight > 1e-12 {
                system.add_square(item.terms(), weight / (heat * heat));
                for &(variable, slope) in item.terms() {
                    gradient[variable] += slope * weight / heat;
                }
            }
        }
        for (terms, value) in self.stiffness(&self.guides) {
            system.add_square(&terms, 1.0);
            for &(variable, slope) in &terms {
                gradient[variable] += slope * value;
            }
        }
        system.solve(&mut gradient)?;
        let before = self.sum(&items, &self.guides, most, heat);
        let mut share = 1.0;
        for _ in 0..8 {
            let mut tried = self.guides.clone();
            for (g, guide) in tried.iter_mut().enumerate() {
                for (knot, offset) in guide.offsets.iter_mut().enumerate() {
                    let end = knot < 3 || knot + 3 >= self.knots.count;
                    if !end {
                        *offset -= share * gradient[self.variable(g, knot)];
                    }
                }
            }
            if let Some(next) = self.items(&tried)
                && self.sum(&next, &tried, most, heat) < before
            {
                self.guides = tried;
                return Some(next);
            }
            share *= 0.5;
        }
        Some(items)
    }

    fn band(&self) -> usize {
        let longest = self.task.longest();
        let second = self.task.spans.last().map_or(0.0, |span| span.length);
        // A joint ties the hinges of two slats; stations on an arc's inside are longer than the slat by the curvature.
        let reach = 1.5 * (longest + second) / self.knots.step;
        (reach.ceil() as usize + 2).min(self.knots.count) * self.guides.len() + self.guides.len()
    }

    fn sum(&self, items: &(Vec<Item>, Vec<Item>), guides: &[Guide], most: f64, heat: f64) -> f64 {
        let part = |items: &[Item], level: f64| -> f64 {
            items.iter().map(|item| ((item.value - level) / heat).min(40.0).exp()).sum()
        };
        let stiff: f64 = self.stiffness(guides).map(|(_, value)| value * value / 2.0).sum();
        part(&items.0, most) + part(&items.1, 0.0) + stiff
    }

    /// Second differences, and what holds both ends in the middle of the groove.
    fn stiffness<'b>(&'b self, guides: &'b [Guide]) -> impl Iterator<Item = (Vec<(usize, f64)>, f64)> + 'b {
        let neutral = self.task.neutral();
        let count = self.knots.count;
        guides.iter().enumerate().flat_map(move |(g, guide)| {
            (0..count).flat_map(move |knot| {
                let end = knot < 3 || knot + 3 >= count;
                let pull = if end { 1e3 } else { 0.02 } / self.play;
                let held = (vec![(self.variable(g, knot), pull)], pull * (guide.offsets[knot] - neutral));
                let bend = (knot > 0 && knot + 1 < count).then(|| {
                    let stiff = 2.0 / self.play;
                    let around = [(knot - 1, stiff), (knot, -2.0 * stiff), (knot + 1, stiff)];
                    let value = around.iter().map(|&(k, slope)| slope * guide.offsets[k]).sum();
                    (around.iter().map(|&(k, slope)| (self.variable(g, k), slope)).collect(), value)
                });
                std::iter::once(held).chain(bend)
            })
        })
    }
}

/// A symmetric matrix with nothing far from its diagonal.
struct Banded {
    band: usize,
    /// Row by row, the diagonal last.
    rows: Vec<f64>,
    size: usize,
}

impl Banded {
    fn new(size: usize, band: usize) -> Self {
        let band = band.min(size - 1);
        Self { band, rows: vec![0.0; size * (band + 1)], size }
    }

    fn at(&self, row: usize, column: usize) -> usize {
        row * (self.band + 1) + self.band + column - row
    }

    /// Adds `weight` times the square of a sum of terms.
    fn add_square(&mut self, terms: &[(usize, f64)], weight: f64) {
        for &(i, a) in terms {
            for &(j, b) in terms {
                if j <= i && i - j <= self.band {
                    let at = self.at(i, j);
                    self.rows[at] += weight * a * b;
                }
            }
        }
    }

    /// Solves for a right side in place, by Cholesky's factors.
    fn solve(&mut self, right: &mut [f64]) -> Option<()> {
        for i in 0..self.size {
            let first = i.saturating_sub(self.band);
            for j in first..=i {
                let from = first.max(j.saturating_sub(self.band));
                let (row_i, row_j) = (self.at(i, from), self.at(j, from));
                let known: f64 = (0..j - from).map(|k| self.rows[row_i + k] * self.rows[row_j + k]).sum();
                let at = self.at(i, j);
                let rest = self.rows[at] - known;
                if i == j {
                    if !(rest > 0.0 && rest.is_finite()) {
                        return None;
                    }
                    self.rows[at] = rest.sqrt();
                } else {
                    self.rows[at] = rest / self.rows[self.at(j, j)];
                }
            }
        }
        for i in 0..self.size {
            let first = i.saturating_sub(self.band);
            let known: f64 = (first..i).map(|j| self.rows[self.at(i, j)] * right[j]).sum();
            right[i] = (right[i] - known) / self.rows[self.at(i, i)];
        }
        for i in (0..self.size).rev() {
            right[i] /= self.rows[self.at(i, i)];
            let first = i.saturating_sub(self.band);
            for j in first..i {
                right[j] -= self.rows[self.at(i, j)] * right[i];
            }
        }
        Some(())
    }
}
