//! The reject rate as it is known so far, and the chance that enough strips come out straight.

/// Strips that a rate from the job file counts for: a maker's figure is experience, but not for ever.
/// Common practice, no source.
pub const ASSUMED_WEIGHT: f64 = 200.0;
/// Strips that a percentage of spares counts for: a rule of thumb, held less firmly than a rate. Common practice, no
/// source.
pub const PERCENT_WEIGHT: f64 = 50.0;
/// Strips that the word that no spares are needed counts for. Common practice, no source.
pub const NONE_WEIGHT: f64 = 10.0;
/// Most strips that the shop's own history counts for. Common practice, no source.
pub const HISTORY_WEIGHT: f64 = 1_000.0;
/// The correlation of strips within one lot is never taken above this.
const MOST_ALIKE: f64 = 0.95;

/// What is believed of a reject rate: a beta distribution with `rejects` and `straight` as its two
/// figures, and how much rejects cluster by the board.
///
/// Prior plus seen: a rate `r` that counts for `n` strips is beta(`r n`, `(1 - r) n`); strips cut add
/// to the two figures (the conjugate rule for binomial counts; Gelman and others, *Bayesian Data
/// Analysis*, ch. 2, from memory). Clustered strips tell less: each counts for `1 / clustering`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// Rejects, prior and seen together.
    pub rejects: f64,
    /// Straight strips, prior and seen together.
    pub straight: f64,
    /// Variance of the rejects over what independent strips would show; at least 1.
    pub clustering: f64,
}

impl Rate {
    /// A rate that counts for `weight` strips, updated by what was seen.
    #[must_use]
    pub fn updated(rate: f64, weight: f64, straight: u64, rejected: u64, clustering: f64) -> Self {
        let clustering = clustering.max(1.0);
        Self {
            rejects: rate * weight + rejected as f64 / clustering,
            straight: (1.0 - rate) * weight + straight as f64 / clustering,
            clustering,
        }
    }

    /// The rate to be expected.
    #[must_use]
    pub fn mean(&self) -> f64 {
        if self.rejects > 0.0 { self.rejects / (self.rejects + self.straight) } else { 0.0 }
    }

    /// The chance that at least `good` of `cut` strips are straight.
    ///
    /// Rejects among the strips to come are beta-binomial: `n` strips vary by
    /// `n p q (1 + (n - 1) rho)` with `rho = 1 / (1 + rejects + straight)`. Clustering multiplies the
    /// first part, so `rho` grows by `(clustering - 1) / (n - 1)`: the mean stays, the spread is that of
    /// the strips that came out of the boards so far (Williams, *Applied Statistics* 31, 1982, his
    /// model II, from memory).
    #[must_use]
    pub fn chance(&self, cut: u64, good: u64) -> f64 {
        if good == 0 {
            return 1.0;
        }
        if good > cut {
            return 0.0;
        }
        if self.rejects <= 0.0 {
            return 1.0;
        }
        let (n, p) = (cut as f64, self.mean());
        let own = 1.0 / (1.0 + self.rejects + self.straight);
        let alike = if cut > 1 { (own + (self.clustering - 1.0) / (n - 1.0)).min(MOST_ALIKE) } else { own };
        let weight = 1.0 / alike - 1.0;
        at_most(cut, cut - good, p * weight, (1.0 - p) * weight)
    }
}

/// `P(R <= most)` of the beta-binomial with `n` strips. Terms follow from each other by their ratio
/// `(n - k)(a + k) / ((k + 1)(b + n - k - 1))`; logarithms keep the first from vanishing.
fn at_most(n: u64, most: u64, a: f64, b: f64) -> f64 {
    let count = n as f64;
    let mut ln: f64 = (0..n).map(|i| ((b + i as f64) / (a + b + i as f64)).ln()).sum();
    let mut sum = 0.0;
    for k in 0..=most {
        sum += ln.exp();
        let k = k as f64;
        if k + 1.0 <= count {
            ln += ((count - k) * (a + k) / ((k + 1.0) * (b + count - k - 1.0))).ln();
        }
    }
    sum.min(1.0)
}

/// How much rejects cluster by the board: Pearson's chi-square over its degrees of freedom, at least 1
/// (McCullagh and Nelder, *Generalized Linear Models*, 2nd ed., section 4.5, from memory). Each lot is
/// `(strips, rejects)` of one board; fewer than two boards, or none rejected, show nothing.
#[must_use]
pub fn clustering(lots: &[(u64, u64)]) -> f64 {
    spread(lots).map_or(1.0, |spread| spread.max(1.0))
}

/// The same without the floor; `None` where the lots show nothing.
pub(super) fn spread(lots: &[(u64, u64)]) -> Option<f64> {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// With one figure of 1 and the other of 1 every count of rejects is as likely as any other.
    #[test]
    fn a_flat_belief_makes_every_count_alike() {
        let flat = Rate { rejects: 1.0, straight: 1.0, clustering: 1.0 };
        for good in 1..=10 {
            let exact = (11 - good) as f64 / 11.0;
            assert!((flat.chance(10, good) - exact).abs() < 1e-12, "{good}");
        }
    }

    /// A rate known beyond doubt gives the plain binomial tail: P(Bin(11, 0.95) >= 10) = 0.89811.
    #[test]
    fn a_sure_rate_gives_the_binomial_tail() {
        let sure = Rate::updated(0.05, 1e9, 0, 0, 1.0);
        assert!((sure.chance(11, 10) - 0.898_11).abs() < 1e-5);
        assert!((sure.chance(187, 137) - Rate::updated(0.05, 1e9, 0, 0, 1.0).chance(187, 137)).abs() < 1e-12);
    }

    #[test]
    fn strips_seen_move_the_rate_and_clustered_ones_move_it_less() {
        let seen = Rate::updated(0.1, 200.0, 60, 40, 1.0);
        assert!((seen.mean() - 60.0 / 300.0).abs() < 1e-12);
        let clustered = Rate::updated(0.1, 200.0, 60, 40, 4.0);
        assert!(clustered.mean() < seen.mean() && clustered.mean() > 0.1);
        assert!(clustered.chance(40, 30) < Rate { clustering: 1.0, ..clustered }.chance(40, 30));
    }

    #[test]
    fn clustering_is_one_for_even_boards_and_large_for_one_bad_board() {
        assert_eq!(clustering(&[(20, 2), (20, 2), (20, 2)]), 1.0);
        // Chi-square by hand: p = 12/60, each n p q = 3.2; (8^2 + 4^2 + 4^2) / 3.2 / 2 = 15.
        assert!((clustering(&[(20, 12), (20, 0), (20, 0)]) - 15.0).abs() < 1e-12);
        assert_eq!(clustering(&[(20, 12)]), 1.0);
    }
}
