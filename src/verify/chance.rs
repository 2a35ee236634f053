//! The chance that enough strips come out good, summed over the number of good ones.

/// `P(at least good of cut)` when each strip fails with probability `reject` on its own.
///
/// Weights of the number of good strips are taken relative to the likeliest and divided by their sum;
/// what is under 1e-30 of it is left out.
pub(super) fn enough_good(cut: u64, good: u64, reject: f64) -> f64 {
    if good == 0 || reject <= 0.0 {
        return if cut >= good { 1.0 } else { 0.0 };
    }
    if cut < good {
        return 0.0;
    }
    let n = cut as f64;
    let odds = (1.0 - reject) / reject;
    let likeliest = ((n + 1.0) * (1.0 - reject)).floor().min(n);
    let mut all = 0.0;
    let mut enough = 0.0;
    let mut add = |j: f64, weight: f64| {
        all += weight;
        if j >= good as f64 {
            enough += weight;
        }
    };
    let (mut j, mut weight) = (likeliest, 1.0);
    while j >= 0.0 && weight > 1e-30 {
        add(j, weight);
        weight *= j / ((n - j + 1.0) * odds);
        j -= 1.0;
    }
    let (mut j, mut weight) = (likeliest, 1.0);
    while j < n && weight > 1e-30 {
        weight *= (n - j) * odds / (j + 1.0);
        j += 1.0;
        add(j, weight);
    }
    enough / all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sensitive values from scipy 1.17.1 (`scipy.stats.binom`) and exact rationals.
    #[test]
    fn the_chance_is_the_published_one() {
        for (good, reject, cut, tail) in [
            (10, 0.05, 11, 0.89811),
            (60, 0.2, 82, 0.94976),
            (137, 0.2, 187, 0.98987),
            (400, 0.1, 453, 0.89839),
            (400, 0.2, 514, 0.90033),
        ] {
            assert!((enough_good(cut, good, reject) - tail).abs() < 5.1e-6, "{good} of {cut} at {reject}");
        }
        assert_eq!(enough_good(9, 10, 0.1), 0.0);
        assert_eq!(enough_good(10, 10, 0.0), 1.0);
        assert!((enough_good(2, 1, 0.5) - 0.75).abs() < 1e-15);
    }
}
