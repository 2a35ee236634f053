//! What is believed of rejects: a rate, how firmly it is known, and how far rejects come by the board.
//!
//! There is one belief, and plan, estimate, quote and count all start from it: what the job (or the shop) says, and what
//! the shop's history adds.

use std::collections::BTreeSet;

use rust_decimal::prelude::ToPrimitive;

use crate::job::{Job, SectionHistory, SpareRate, Species};
use crate::measure::Length;

/// Strips that a percentage of spares counts for: a rule of thumb, held less firmly than a rate. Common practice, no
/// source.
pub const PERCENT_WEIGHT: f64 = 50.0;
/// Strips that the word that no spares are needed counts for. Common practice, no source.
pub const NONE_WEIGHT: f64 = 10.0;
/// Most strips that the shop's history, with what the job says, counts for: wood and helpers change. Common practice,
/// no source.
pub const HISTORY_WEIGHT: f64 = 1_000.0;
/// Strips of one board, as `by_board` is understood. Common practice, no source.
pub const BOARD_LOT: f64 = 20.0;
/// Boards for which a `by_board` counts that was said, not seen. Common practice, no source.
const SAID_BOARDS: f64 = 10.0;
/// The correlation of two strips of one board is never taken above this.
const MOST_ALIKE: f64 = 0.5;

/// Strips that those of other lengths count for at the most: a short strip tells little of a long one. Common practice,
/// no source.
const OTHER_LENGTHS_WEIGHT: f64 = 200.0;

/// What strips share that are cut with one setting of fence and cutter: wood, width, thickness.
pub type Section<'a> = (&'a Species, Length, Length);

/// What is believed of the rejects of one strip size.
///
/// The rate is a beta distribution of mean `mean` that counts for `weight` strips; strips that were cut add to it (the
/// conjugate rule for binomial counts; Gelman and others, *Bayesian Data Analysis*, ch. 2, from memory). Two strips of
/// one board fail together more often than strips of two boards: their correlation is `alike`, so that the rejects of a
/// board of `n` strips vary `1 + (n - 1) alike` times as much as those of strips that fail each by itself (Williams,
/// *Applied Statistics* 31, 1982, his model II, from memory). Strips of such boards tell less: each counts for one over that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    /// The rate to be expected, below 1.
    pub mean: f64,
    /// Strips it counts for; infinite for a rate that is known beyond doubt.
    pub weight: f64,
    /// Correlation of two strips of one board.
    pub alike: f64,
    /// Jobs of the history in it.
    pub jobs: usize,
    /// Their strips.
    pub strips: u64,
}

/// The variance of a board's rejects over that of as many strips that fail each by itself.
fn spread_of(strips: f64, alike: f64) -> f64 {
    1.0 + (strips - 1.0).max(0.0) * alike
}

/// The correlation behind such a variance.
fn alike_of(strips: f64, spread: f64) -> f64 {
    if strips > 1.0 { (spread - 1.0) / (strips - 1.0) } else { 0.0 }
}

impl Belief {
    /// A rate known beyond doubt, each strip failing by itself.
    #[must_use]
    pub const fn sure(mean: f64) -> Self {
        Self { mean, weight: f64::INFINITY, alike: 0.0, jobs: 0, strips: 0 }
    }

    /// The variance of the rejects of a board of [`BOARD_LOT`] strips over that of as many that fail each by itself.
    #[must_use]
    pub fn by_board(&self) -> f64 {
        spread_of(BOARD_LOT, self.alike)
    }

    /// What is believed before anything is cut of strips of a length: what is said of a rate, and the history of their
    /// section, in which strips of other lengths count for 200 at the most.
    #[must_use]
    pub(super) fn prior(job: &Job, said: SpareRate, past: &Past<'_>, length: Length) -> Self {
        let (mean, weight) = match said {
            SpareRate::RejectRate(rate) => (rate.f64(), job.spares.known_from.map_or(f64::INFINITY, f64::from)),
            SpareRate::Percent(percent) => {
                // Spares by the hundred have room for a job that goes badly: half of them is taken for what is usual.
                let usual = percent.f64() / 2.0;
                (usual / (1.0 + usual), PERCENT_WEIGHT)
            }
            SpareRate::None => (0.0, NONE_WEIGHT),
        };
        let belief = Self { mean, weight, alike: past.alike, jobs: past.jobs, strips: past.strips };
        belief.with_history(past.rows.iter().copied(), length)
    }

    fn with_history<'a>(self, rows: impl Iterator<Item = &'a SectionHistory>, length: Length) -> Self {
        if self.weight.is_infinite() {
            return self;
        }
        let (mut rejects, mut strips) = (self.mean * self.weight, self.weight);
        let mut others = (0.0, 0.0);
        for row in rows {
            let lot = if row.boards > 0 { row.cut as f64 / row.boards as f64 } else { BOARD_LOT };
            let each = 1.0 / spread_of(lot, self.alike);
            let (bad, cut) = of_length(row, length);
            rejects += bad as f64 * each;
            strips += cut as f64 * each;
            others.0 += row.rejected.min(row.cut).saturating_sub(bad) as f64 * each;
            others.1 += row.cut.saturating_sub(cut) as f64 * each;
        }
        if others.1 > 0.0 {
            let share = (OTHER_LENGTHS_WEIGHT / others.1).min(1.0);
            rejects += others.0 * share;
            strips += others.1 * share;
        }
        // What was said weighs ever less beside what was seen.
        Self { mean: rejects / strips, weight: strips.min(self.weight.max(HISTORY_WEIGHT)), ..self }
    }

    /// The same after some boards of the section are cut: `lots` are strips and rejects of each board, `looked_for` the
    /// rate that was looked for in them.
    #[must_use]
    pub fn updated(self, looked_for: f64, lots: &[(u64, u64)]) -> Self {
        let strips: u64 = lots.iter().map(|lot| lot.0).sum();
        let rejects: u64 = lots.iter().map(|lot| lot.1).sum();
        if strips == 0 || self.weight.is_infinite() {
            return self;
        }
        let boards = lots.iter().filter(|lot| lot.0 > 0).count() as f64;
        let lot = strips as f64 / boards;
        let seen = spread(lots).map_or(0.0, |spread| alike_of(lot, spread) * (boards - 1.0));
        let counted = if spread(lots).is_some() { boards - 1.0 } else { 0.0 };
        let alike = ((self.alike * SAID_BOARDS + seen) / (SAID_BOARDS + counted)).clamp(0.0, MOST_ALIKE);
        let each = 1.0 / spread_of(lot, alike);
        let weight = self.weight + strips as f64 * each;
        let rate = (looked_for * self.weight + rejects as f64 * each) / weight;
        let mean = if looked_for > 0.0 && self.mean > 0.0 && rate > 0.0 {
            // Sizes of one section keep their odds beside each other.
            chance_of(odds(self.mean) + odds(rate) - odds(looked_for))
        } else {
            rate
        };
        Self { mean, weight, alike, ..self }
    }
}

/// What the history has of one section.
pub(super) struct Past<'a> {
    rows: Vec<&'a SectionHistory>,
    /// How far rejects come by the board, learnt from all sections of the wood and what the job says.
    alike: f64,
    jobs: usize,
    strips: u64,
}

impl<'a> Past<'a> {
    pub(super) fn of(job: &'a Job, section: Section<'_>) -> Self {
        let said = job.spares.by_board.to_f64().unwrap_or(1.0).max(1.0);
        let all = &job.history.sections;
        let alike = learnt_alike(alike_of(BOARD_LOT, said), all.iter().filter(|row| &row.species == section.0));
        let here = all.iter().filter(|row| (&row.species, row.width, row.thickness) == section);
        let rows: Vec<&SectionHistory> = here.collect();
        let jobs: BTreeSet<(&str, &str)> = rows.iter().map(|row| (row.job.as_str(), row.plan.as_str())).collect();
        let (jobs, strips) = (jobs.len(), rows.iter().map(|row| row.cut).sum());
        Self { rows, alike, jobs, strips }
    }
}

/// Lengths that differ by no more than a quarter of the longer one tell of each other.
fn near(a: Length, b: Length) -> bool {
    (a - b).abs() * 4 <= a.max(b)
}

/// Rejects and strips of a row that are of about this length; all of them where the lengths are not known.
fn of_length(row: &SectionHistory, length: Length) -> (u64, u64) {
    if row.lengths.is_empty() {
        return (row.rejected.min(row.cut), row.cut);
    }
    let here = row.lengths.iter().filter(|of| near(of.length, length));
    here.fold((0, 0), |sum, of| (sum.0 + of.rejected.min(of.cut), sum.1 + of.cut))
}

fn learnt_alike<'a>(said: f64, rows: impl Iterator<Item = &'a SectionHistory>) -> f64 {
    let (mut sum, mut boards) = (said * SAID_BOARDS, SAID_BOARDS);
    for row in rows.filter(|row| row.boards > 1) {
        let Some(spread) = row.by_board.and_then(|spread| spread.to_f64()) else { continue };
        let more = row.boards as f64 - 1.0;
        sum += alike_of(row.cut as f64 / row.boards as f64, spread) * more;
        boards += more;
    }
    (sum / boards).clamp(0.0, MOST_ALIKE)
}

/// How much rejects come by the board: Pearson's chi-square over its degrees of freedom (McCullagh and Nelder,
/// *Generalized Linear Models*, 2nd ed., section 4.5, from memory). Each lot is `(strips, rejects)` of one board; fewer
/// than two boards, or none rejected, show nothing.
#[must_use]
pub fn spread(lots: &[(u64, u64)]) -> Option<f64> {
    let lots: Vec<(f64, f64)> = lots.iter().filter(|lot| lot.0 > 0).map(|lot| (lot.0 as f64, lot.1 as f64)).collect();
    let strips: f64 = lots.iter().map(|lot| lot.0).sum();
    let rejects: f64 = lots.iter().map(|lot| lot.1).sum();
    if lots.len() < 2 || rejects <= 0.0 || rejects >= strips {
        return None;
    }
    let p = rejects / strips;
    let squares: f64 = lots.iter().map(|(n, r)| (r - n * p).powi(2) / (n * p * (1.0 - p))).sum();
    Some(squares / (lots.len() as f64 - 1.0))
}

/// The logarithm of a chance's odds.
pub(super) fn odds(chance: f64) -> f64 {
    (chance / (1.0 - chance)).ln()
}

/// The chance with such odds.
pub(super) fn chance_of(odds: f64) -> f64 {
    1.0 / (1.0 + (-odds).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::LengthHistory;

    fn belief(mean: f64, by_board: f64) -> Belief {
        Belief { mean, weight: 200.0, alike: alike_of(BOARD_LOT, by_board), jobs: 0, strips: 0 }
    }

    #[test]
    fn strips_seen_move_the_rate_and_those_of_one_bad_board_move_it_less() {
        let even: Vec<(u64, u64)> = vec![(20, 8); 5];
        let seen = belief(0.1, 1.0).updated(0.1, &even);
        assert!((seen.mean - 60.0 / 300.0).abs() < 1e-12 && (seen.weight - 300.0).abs() < 1e-12);
        let one = belief(0.1, 1.0).updated(0.1, &[(20, 20), (20, 5), (20, 5), (20, 5), (20, 5)]);
        assert!(one.mean < seen.mean && one.mean > 0.1 && one.by_board() > 1.5, "{one:?}");
    }

    #[test]
    fn long_strips_tell_of_long_ones_and_little_of_short_ones() {
        let inches = Length::from_inches;
        let of = |n, cut, rejected| LengthHistory { length: inches(n), cut, rejected };
        let row = SectionHistory {
            job: "past".to_owned(),
            plan: String::new(),
            species: Species::named("cherry").unwrap(),
            width: inches(1),
            thickness: inches(1),
            boards: 65,
            cut: 1_300,
            rejected: 110,
            by_board: None,
            hours: Default::default(),
            lengths: vec![of(18, 1_000, 20), of(40, 300, 90)],
        };
        let mean = |row: &SectionHistory, n| belief(0.1, 1.0).with_history(std::iter::once(row), inches(n)).mean;
        // 200 strips said, those of the length, and 200 of the others: of 1 000 with 20 rejects, of 300 with 90.
        assert!((mean(&row, 40) - (20.0 + 90.0 + 4.0) / 700.0).abs() < 1e-12);
        assert!((mean(&row, 18) - (20.0 + 20.0 + 60.0) / 1_400.0).abs() < 1e-12);
        // A quarter of the longer one is near, more is not: of 60 neither is.
        assert!((mean(&row, 30) - mean(&row, 40)).abs() < 1e-12);
        assert!((mean(&row, 60) - (20.0 + 110.0 * 200.0 / 1_300.0) / 400.0).abs() < 1e-12);
        let whole = SectionHistory { lengths: Vec::new(), ..row };
        assert!((mean(&whole, 60) - 130.0 / 1_500.0).abs() < 1e-12);
    }

    #[test]
    fn sizes_of_a_section_keep_their_odds_beside_each_other() {
        let lots = [(40, 12)];
        let (long, short) = (belief(0.2, 1.0).updated(0.15, &lots), belief(0.1, 1.0).updated(0.15, &lots));
        let (before, after) = (odds(0.2) - odds(0.1), odds(long.mean) - odds(short.mean));
        assert!((before - after).abs() < 1e-12 && long.mean > 0.2 && short.mean > 0.1);
    }

    #[test]
    fn spread_is_low_for_even_boards_and_large_for_one_bad_board() {
        assert_eq!(spread(&[(20, 2), (20, 2), (20, 2)]), Some(0.0));
        // Chi-square by hand: p = 12/60, each n p q = 3.2; (8^2 + 4^2 + 4^2) / 3.2 / 2 = 15.
        assert!((spread(&[(20, 12), (20, 0), (20, 0)]).unwrap() - 15.0).abs() < 1e-12);
        assert_eq!(spread(&[(20, 12)]), None);
    }

    #[test]
    fn a_rate_known_beyond_doubt_stays_what_it_is() {
        assert_eq!(Belief::sure(0.1).updated(0.1, &[(20, 20)]), Belief::sure(0.1));
    }
}
