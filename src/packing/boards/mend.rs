//! Nearly covered needs, covered by emptying and filling boards again.
//!
//! When a dive has fixed its boards, little is missing. A few boards at a time are emptied and filled
//! anew with shaken values for what is missing; a change is kept when no more is missing than
//! before, and parts that stay missing grow in value.

use super::fill::{self, Boards};
use super::model::Mode;
use super::pricing::{Pricer, Values};
use super::root::Pattern;
use crate::packing::noise::Noise;

/// Most boards emptied at once.
const EMPTIED: u64 = 3;
/// Values are shaken by up to so many per mille.
const SHAKE: u64 = 250;
/// A change for the worse by up to so many per mille of what is missing is kept now and then.
const WORSE: i128 = 100;

/// Changes `boards` until every need is covered, in `rounds` fillings; `values` are duals.
pub(super) fn mend(
    pricer: &Pricer<'_>,
    boards: Vec<Pattern>,
    values: &Values,
    need: &[u32],
    (mut noise, rounds): (Noise, u32),
) -> Option<Boards> {
    let mut values = values.clone();
    values.part.iter_mut().for_each(|value| *value = (*value).max(1));
    let mut bench = Bench { pricer, need, boards };
    let mut missing = bench.missing(&values);
    for round in 0..rounds {
        if missing == 0 {
            return Some(bench.plan());
        }
        let before = bench.boards.clone();
        bench.refill(&values, &mut noise);
        let now = bench.missing(&values);
        let worse = if round % 8 == 0 { missing * WORSE / 1_000 } else { 0 };
        if now <= missing + worse {
            missing = now;
        } else {
            bench.boards = before;
        }
        if round % 16 == 15 {
            let left = bench.left();
            for (value, left) in values.part.iter_mut().zip(left) {
                if left > 0 {
                    *value = value.saturating_add(*value / 8).min(1 << 52);
                }
            }
            missing = bench.missing(&values);
        }
    }
    (missing == 0).then(|| bench.plan())
}

struct Bench<'a> {
    pricer: &'a Pricer<'a>,
    need: &'a [u32],
    boards: Vec<Pattern>,
}

impl Bench<'_> {
    /// Units not covered by the boards as they are filled.
    fn left(&self) -> Vec<u32> {
        let mut left = self.need.to_vec();
        for &(part, units) in self.boards.iter().flat_map(|pattern| &pattern.units) {
            left[part] = left[part].saturating_sub(units);
        }
        left
    }

    fn missing(&self, values: &Values) -> i128 {
        self.left().iter().zip(&values.part).map(|(&units, &value)| i128::from(units) * i128::from(value)).sum()
    }

    fn filled(&self, mode: Mode, values: &Values, noise: &mut Noise) -> Pattern {
        let mut shaken = values.clone();
        shaken.part.iter_mut().for_each(|value| *value = noise.shake(*value, SHAKE).max(1));
        fill::board(self.pricer, mode, &shaken, &self.left())
    }

    /// Empties a few boards and fills them again for what is missing.
    fn refill(&mut self, values: &Values, noise: &mut Noise) {
        let count = 1 + noise.below(EMPTIED.min(self.boards.len() as u64));
        let mut emptied = Vec::new();
        for _ in 0..count {
            let at = noise.below(self.boards.len() as u64) as usize;
            let mode = self.boards[at].mode;
            let modes: Vec<Mode> =
                self.pricer.model.modes.iter().copied().filter(|known| known.kind == mode.kind).collect();
            let mode = modes[noise.below(modes.len() as u64) as usize];
            self.boards[at] = Pattern::new(self.pricer.model, mode, Vec::new());
            emptied.push((at, mode));
        }
        for (at, mode) in emptied {
            self.boards[at] = self.filled(mode, values, noise);
        }
    }

    fn plan(&self) -> Boards {
        let mut boards: Boards = Vec::new();
        for pattern in self.boards.iter().filter(|pattern| !pattern.spans.is_empty()) {
            match boards.iter_mut().find(|(known, _)| known == pattern) {
                Some((_, count)) => *count += 1,
                None => boards.push((pattern.clone(), 1)),
            }
        }
        boards
    }
}
