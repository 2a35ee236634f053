//! The extra strips of least wood that make enough straight ones likely.

use std::collections::BTreeMap;

use super::standing::{exact, section};
use super::{FloorError, Standing};
use crate::demand::Part;
use crate::job::Job;

/// Most strips of one part that an extra cutting may ask for.
const MOST_EXTRA: u64 = 20_000;

/// The chance that a part has enough, with so many strips salvaged and so many cut besides.
fn part_chance(standing: &Standing, at: usize, salvaged: u64, extra: u64) -> f64 {
    let lacking = standing.wanted[at].saturating_sub(standing.straight[at] + salvaged);
    standing.rates[at].chance(standing.remaining[at] + extra, lacking)
}

/// The chance that every part has enough.
pub(super) fn chance(standing: &Standing, salvaged: &[u64], extra: &[u64]) -> f64 {
    (0..salvaged.len()).map(|at| part_chance(standing, at, salvaged[at], extra[at])).product()
}

/// The extra strips of least wood that reach the confidence: the fewest that each part needs by itself,
/// then the strip that gains most for its wood, again and again; at last those that turn out not to be
/// needed are taken back, the dearest first. Sections that are set up anew get their set-up strips.
pub(super) fn extra(job: &Job, parts: &[Part], standing: &Standing, salvaged: &[u64]) -> Result<Vec<u32>, FloorError> {
    // Sums of floating point: a strip is worth far more than this.
    let least = Least { parts, standing, salvaged, asked: standing.confidence - 1e-12 };
    let mut extra = least.alone()?;
    least.raise(&mut extra)?;
    least.take_back(&mut extra);
    for at in set_ups(parts, |at| extra[at] > 0 && !exact(job, &parts[at])) {
        let running = |other: usize| section(&parts[other]) == section(&parts[at]) && standing.remaining[other] > 0;
        if !(0..parts.len()).any(running) {
            extra[at] += u64::from(job.spares.setup_strips);
        }
    }
    Ok(extra.into_iter().map(|strips| u32::try_from(strips).unwrap_or(u32::MAX)).collect())
}

/// What the extra strips are looked for with.
struct Least<'a> {
    parts: &'a [Part],
    standing: &'a Standing,
    salvaged: &'a [u64],
    /// The confidence to be reached.
    asked: f64,
}

impl Least<'_> {
    fn chance_of(&self, at: usize, strips: u64) -> f64 {
        part_chance(self.standing, at, self.salvaged[at], strips)
    }

    fn reached(&self, extra: &[u64]) -> bool {
        chance(self.standing, self.salvaged, extra) >= self.asked
    }

    /// Wood in a strip.
    fn wood(&self, at: usize) -> f64 {
        let part = &self.parts[at];
        (part.length * part.width * part.thickness).nm3() as f64
    }

    /// The fewest strips with which each part by itself reaches the confidence.
    fn alone(&self) -> Result<Vec<u64>, FloorError> {
        let fewest = |at: usize| {
            let alone = |strips: u64| self.chance_of(at, strips) >= self.asked;
            let (mut low, mut high) = (0, 1);
            while !alone(high) {
                (low, high) = (high, high * 2);
                if high > MOST_EXTRA {
                    return Err(hopeless(self.parts, self.standing, at));
                }
            }
            if alone(0) {
                return Ok(0);
            }
            while low + 1 < high {
                let middle = low.midpoint(high);
                if alone(middle) { high = middle } else { low = middle }
            }
            Ok(high)
        };
        (0..self.parts.len()).map(fewest).collect()
    }

    /// Adds the strip that gains most for its wood until all parts together reach the confidence.
    fn raise(&self, extra: &mut [u64]) -> Result<(), FloorError> {
        let all = 0..self.parts.len();
        while !self.reached(extra) {
            let gain = |at: usize| {
                let ln = |strips| self.chance_of(at, strips).ln();
                (ln(extra[at] + 1) - ln(extra[at])) / self.wood(at)
            };
            let best = all.clone().map(|at| (gain(at), at)).max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
            // A lot of two is likelier to fail whole than a lot of one that is clustered: where one strip more
            // gains nothing, the weakest size gets it, for many more do.
            let weakest = |a: &usize, b: &usize| {
                let of = |at: usize| self.chance_of(at, extra[at]);
                of(*a).total_cmp(&of(*b))
            };
            let at = match best {
                Some((gain, at)) if gain > 0.0 => Some(at),
                _ => all.clone().min_by(weakest),
            };
            let Some(at) = at else { break };
            if extra[at] > MOST_EXTRA {
                return Err(hopeless(self.parts, self.standing, at));
            }
            extra[at] += 1;
        }
        Ok(())
    }

    /// Takes back what turns out not to be needed, strips with the most wood first.
    fn take_back(&self, extra: &mut [u64]) {
        let mut dearest: Vec<usize> = (0..self.parts.len()).collect();
        dearest.sort_by(|a, b| self.wood(*b).total_cmp(&self.wood(*a)));
        for at in dearest {
            while extra[at] > 0 {
                extra[at] -= 1;
                if !self.reached(extra) {
                    extra[at] += 1;
                    break;
                }
            }
        }
    }
}

/// The shortest part of each section among those that count.
pub(super) fn set_ups(parts: &[Part], counts: impl Fn(usize) -> bool) -> Vec<usize> {
    let mut shortest: BTreeMap<_, usize> = BTreeMap::new();
    for at in (0..parts.len()).filter(|at| counts(*at)) {
        let best = shortest.entry(section(&parts[at])).or_insert(at);
        if parts[at].length < parts[*best].length {
            *best = at;
        }
    }
    shortest.into_values().collect()
}

fn hopeless(parts: &[Part], standing: &Standing, at: usize) -> FloorError {
    let (bad, good) = (standing.rejected[at], standing.straight[at]);
    let name = &parts[at].name;
    FloorError::Mismatch {
        what: format!(
            "{name}: {bad} of {} strips were rejected, so no number of extra strips reaches the confidence asked for",
            good + bad
        ),
        help: "look at the boards, or ask for less `confidence` in the job file",
    }
}
