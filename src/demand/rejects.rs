//! How many strips fail before enough good ones are cut: the waiting-time distribution of the
//! spares.

/// Most strips that are counted, of one size and of all together; a job that needs more is refused.
pub(super) const MOST_STRIPS: u64 = 600_000;

/// Terms below this share of the largest one no longer change a sum held in 53 bits, even with as
/// many of them as are counted.
const NEGLIGIBLE: f64 = 1e-25;

/// A tail below this is as good as certainty: the tolerance on a whole job is a thousand times wider.
const CERTAIN: f64 = 1e-15;

/// `ln P(R <= k)` for `k = first, first + 1, ...`, where `R` counts the strips that fail before the
/// `good`-th good one. Cutting `m` strips leaves at least `good` good ones exactly when
/// `R <= m - good`, so these are also the binomial tails `P(Bin(m, 1 - reject) >= good)`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rejects {
    /// Fewest rejects allowed for that reach the floor asked for.
    pub(super) first: u64,
    /// Logarithms from there up to practical certainty; concave, since `R` is a sum of geometric
    /// waiting times and its distribution is log-concave.
    pub(super) ln: Vec<f64>,
}

impl Rejects {
    /// The distribution for `good` strips failing with probability `reject` each, from the first
    /// `k` with `P(R <= k) >= floor`. `None` when it runs past [`MOST_STRIPS`].
    ///
    /// The terms are built outwards from the largest by their ratio
    /// `t(k+1)/t(k) = reject (good + k)/(k + 1)` and divided by their own sum, which needs neither
    /// factorials nor logarithms: nothing underflows, and the relative error is a few times the
    /// number of terms in units of rounding (under 1e-12 for 100 000 strips).
    pub(super) fn new(good: u64, reject: f64, floor: f64) -> Option<Self> {
        if good == 0 || reject <= 0.0 {
            return Some(Self { first: 0, ln: vec![0.0] });
        }
        let (lowest, terms) = terms(good, reject)?;
        let mut above = vec![0.0; terms.len()];
        for k in (1..terms.len()).rev() {
            above[k - 1] = above[k] + terms[k];
        }
        let all = above[0] + terms[0];
        let tails = above.iter().map(|tail| tail / all);
        let reached: Vec<(u64, f64)> = (lowest..).zip(tails).filter(|(_, tail)| 1.0 - tail >= floor).collect();
        let first = reached.first()?.0;
        let sure = reached.iter().position(|(_, tail)| *tail < CERTAIN).unwrap_or(reached.len() - 1);
        let ln = reached[..=sure].iter().map(|(_, tail)| (-tail).ln_1p()).collect();
        Some(Self { first, ln })
    }
}

/// The probabilities of `R = lowest, lowest + 1, ...` up to a common factor.
fn terms(good: u64, reject: f64) -> Option<(u64, Vec<f64>)> {
    let n = good as f64;
    let mode = (reject * (n - 1.0) / (1.0 - reject)).floor();
    if mode + n > MOST_STRIPS as f64 {
        return None;
    }
    let mut down = Vec::new();
    let (mut k, mut term) = (mode, 1.0);
    while k > 0.0 && term > NEGLIGIBLE {
        term *= k / (reject * (n + k - 1.0));
        k -= 1.0;
        down.push(term);
    }
    let lowest = k as u64;
    let mut terms: Vec<f64> = down.into_iter().rev().collect();
    let (mut k, mut term) = (mode, 1.0);
    while term > NEGLIGIBLE {
        terms.push(term);
        term *= reject * (n + k) / (k + 1.0);
        k += 1.0;
        if k + n > MOST_STRIPS as f64 {
            return None;
        }
    }
    Some((lowest, terms))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The binomial tail summed term by term, plainly: fine for small counts.
    fn plain(m: i32, good: i32, reject: f64) -> f64 {
        let choose = |k: i32| (0..k).fold(1.0, |c, i| c * f64::from(m - i) / f64::from(i + 1));
        (good..=m).map(|j| choose(j) * (1.0 - reject).powi(j) * reject.powi(m - j)).sum()
    }

    #[test]
    fn the_tail_equals_the_plain_binomial_sum() {
        for (good, reject) in [(1, 0.5), (7, 0.02), (24, 0.15), (40, 0.3)] {
            let rejects = Rejects::new(good, reject, 0.0).unwrap();
            assert_eq!(rejects.first, 0);
            for (k, ln) in rejects.ln.iter().take(12).enumerate() {
                let good = i32::try_from(good).unwrap();
                let exact = plain(good + i32::try_from(k).unwrap(), good, reject);
                assert!((ln.exp() - exact).abs() < 1e-13, "{good} {reject} {k}: {} {exact}", ln.exp());
            }
        }
    }

    /// Sensitive values, given by scipy 1.17.1 (`scipy.stats.binom`) and by exact rationals, to the
    /// five places shown.
    #[test]
    fn near_ties_come_out_on_the_right_side() {
        for (good, reject, m, tail) in [
            (10, 0.05, 11, 0.89811),
            (60, 0.2, 82, 0.94976),
            (10, 0.2, 17, 0.98907),
            (137, 0.2, 187, 0.98987),
            (400, 0.02, 415, 0.98945),
            (400, 0.1, 453, 0.89839),
            (400, 0.2, 514, 0.90033),
        ] {
            let rejects = Rejects::new(good, reject, 0.0).unwrap();
            let k = usize::try_from(m - good - rejects.first).unwrap();
            assert!((rejects.ln[k].exp() - tail).abs() < 5.1e-6, "{good} {reject}: {}", rejects.ln[k].exp());
        }
    }

    /// P(R <= k) obeys F(n, k) = (1 - p) F(n - 1, k) + p F(n, k - 1): whether the next strip is good
    /// or not. It ties large counts to their neighbours without any reference value.
    #[test]
    fn a_hundred_thousand_strips_obey_the_step_by_step_rule() {
        for (n, p) in [(100_000u64, 0.15), (120_000, 0.02), (4_000, 0.9)] {
            let at = |good: u64, k: u64| {
                let rejects = Rejects::new(good, p, 0.5).unwrap();
                rejects.ln[usize::try_from(k - rejects.first).unwrap()].exp()
            };
            let k = Rejects::new(n, p, 0.95).unwrap().first;
            assert!((at(n, k) - ((1.0 - p) * at(n - 1, k) + p * at(n, k - 1))).abs() < 1e-12);
        }
    }

    #[test]
    fn hopeless_rates_are_refused_and_certain_ones_need_nothing() {
        assert_eq!(Rejects::new(100_000, 0.999_999, 0.95), None);
        assert_eq!(Rejects::new(1, 0.999_999_99, 0.95), None);
        assert_eq!(Rejects::new(50, 0.0, 0.95), Some(Rejects { first: 0, ln: vec![0.0] }));
    }
}
