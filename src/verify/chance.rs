//! The chance that enough strips come out straight: counted by straight strips, by logarithms of whole products.
//!
//! The model is that of DEVELOPERS.md, "Rejects": a rate that is known as well as so many strips tell it, boards whose
//! strips fail together, and longer straight strips that serve for shorter ones of their family.

use super::belief::{BOARD, Believed};

/// One size of a family.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stand {
    /// Good strips wanted.
    pub(super) good: u64,
    /// Strips cut.
    pub(super) cut: u64,
    /// Rejects to be expected of one strip.
    pub(super) mean: f64,
}

/// Strips to be expected of a family, and the same times its sizes, beyond which it is taken apart.
const TOGETHER: f64 = 2_000.0;
const WITH_SIZES: f64 = 8_000.0;
/// Points to either side at which the shared rate is looked at, at the most.
const POINTS: i32 = 4_000;

/// The chance that a family, or a part of one, has enough of every size; sizes come longest first.
pub(super) fn enough_good(believed: &Believed, sizes: &[Stand]) -> f64 {
    let strips = |size: &Stand| size.good as f64 / (1.0 - size.mean);
    let all: f64 = sizes.iter().map(strips).sum();
    let known = 1.0 / (1.0 + believed.weight);
    if let [size] = sizes {
        let own = of_board(size.cut as f64, believed.alike);
        let wanted = usize::try_from(size.good).unwrap_or(usize::MAX);
        return straight(size.cut, size.mean, known + own * (1.0 - known)).iter().skip(wanted).sum::<f64>().min(1.0);
    }
    // The variance of all strips together is that of boards of the usual lot; what the sizes apart fall short of that
    // is shared by all of them.
    let extra = |n: f64| n * (n.min(BOARD) - 1.0).max(0.0) * believed.alike;
    let apart: f64 = sizes.iter().map(|size| extra(strips(size))).sum();
    let shared = if all > 1.0 { known + (extra(all) - apart).max(0.0) / (all * (all - 1.0)) } else { known };
    let mean = sizes.iter().map(|size| strips(size) * size.mean).sum::<f64>() / all.max(1e-9);
    over_rates(mean, shared.min(0.9), all, &|shift| at_one_rate(believed.alike, sizes, shift))
}

/// How many of the sizes are taken together, from the longest down: their chance and that of the rest multiply.
pub(super) fn first_part(sizes: impl Iterator<Item = Stand>) -> Option<usize> {
    let mut all = 0.0;
    let too_many = |(at, size): (usize, Stand)| {
        all += size.good as f64 / (1.0 - size.mean);
        at > 0 && (all > TOGETHER || all * (at + 1) as f64 > WITH_SIZES)
    };
    sizes.enumerate().position(too_many)
}

/// The correlation of strips of one size: that of their boards, spread over all of them.
fn of_board(strips: f64, alike: f64) -> f64 {
    if strips <= 1.0 { 0.0 } else { alike * (strips.min(BOARD) - 1.0) / (strips - 1.0) }
}

/// Simpson's rule over the logarithm of the odds of a beta distribution.
fn over_rates(mean: f64, shared: f64, strips: f64, chance: &dyn Fn(f64) -> f64) -> f64 {
    if shared < 1e-12 || mean <= 0.0 {
        return chance(0.0);
    }
    let weight = (1.0 - shared) / shared;
    let (fails, holds) = (mean * weight, (1.0 - mean) * weight);
    let middle = (mean / (1.0 - mean)).ln();
    let density = |shift: f64| {
        let p = 1.0 / (1.0 + (-(middle + shift)).exp());
        (fails * (p / mean).ln() + holds * ((1.0 - p) / (1.0 - mean)).ln()).exp()
    };
    let step = 0.4 * (1.0 / fails + 1.0 / holds).sqrt().min(1.0 / (strips * mean * (1.0 - mean)).sqrt());
    let (mut all, mut enough) = (0.0, 0.0);
    for side in [-1.0, 1.0] {
        for point in 0..POINTS {
            let shift = side * step * f64::from(point);
            let here = density(shift)
                * if point == 0 {
                    1.0
                } else if point % 2 == 1 {
                    4.0
                } else {
                    2.0
                };
            if here < 1e-11 {
                break;
            }
            all += here;
            enough += here * chance(shift);
        }
    }
    enough / all
}

/// The chance at one rate: straight strips to spare, from the longest size down.
fn at_one_rate(alike: f64, sizes: &[Stand], shift: f64) -> f64 {
    let mut spare = vec![1.0];
    let mut still: usize = sizes.iter().map(|size| usize::try_from(size.good).unwrap_or(usize::MAX)).sum();
    for size in sizes {
        let rate =
            if size.mean > 0.0 { 1.0 / (1.0 + (-((size.mean / (1.0 - size.mean)).ln() + shift)).exp()) } else { 0.0 };
        let good = usize::try_from(size.good).unwrap_or(usize::MAX);
        still -= good;
        let straight = straight(size.cut, rate, of_board(size.cut as f64, alike));
        // More to spare than is still wanted helps no further.
        let mut next = vec![0.0; still + 1];
        for (over, before) in spare.iter().enumerate().filter(|(_, chance)| **chance > 1e-15) {
            for (count, chance) in straight.iter().enumerate().filter(|(_, chance)| **chance > 1e-15) {
                if let Some(left) = (over + count).checked_sub(good) {
                    next[left.min(still)] += before * chance;
                }
            }
        }
        spare = next;
    }
    spare.iter().sum()
}

/// The chances of 0, 1, ... straight strips of `cut`: binomial, or beta-binomial where strips are alike.
fn straight(cut: u64, rate: f64, alike: f64) -> Vec<f64> {
    let n = usize::try_from(cut).unwrap_or(usize::MAX);
    if rate <= 0.0 {
        return (0..=n).map(|k| if k == n { 1.0 } else { 0.0 }).collect();
    }
    // Logarithms of a (a + 1) ... (a + k - 1).
    let rising = |from: f64| -> Vec<f64> {
        let mut sum = 0.0;
        let next = |i: usize| {
            sum += (from + i as f64).ln();
            sum
        };
        std::iter::once(0.0).chain((0..n).map(next)).collect()
    };
    let ways = rising(1.0);
    let binomial = |k: usize| ways[n] - ways[k] - ways[n - k];
    let logs: Vec<f64> = if alike < 1e-12 {
        let (good, bad) = ((1.0 - rate).ln(), rate.ln());
        (0..=n).map(|k| binomial(k) + k as f64 * good + (n - k) as f64 * bad).collect()
    } else {
        let weight = (1.0 - alike) / alike;
        let (good, bad, all) = (rising((1.0 - rate) * weight), rising(rate * weight), rising(weight));
        (0..=n).map(|k| binomial(k) + good[k] + bad[n - k] - all[n]).collect()
    };
    logs.into_iter().map(f64::exp).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(cut: u64, good: u64, mean: f64) -> f64 {
        enough_good(&Believed { weight: f64::INFINITY, alike: 0.0 }, &[Stand { good, cut, mean }])
    }

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
            assert!((one(cut, good, reject) - tail).abs() < 5.1e-6, "{good} of {cut} at {reject}");
        }
        assert_eq!(one(9, 10, 0.1), 0.0);
        assert_eq!(one(10, 10, 0.0), 1.0);
        assert!((one(2, 1, 0.5) - 0.75).abs() < 1e-15);
    }

    /// Two sizes, each outcome by hand: of two long and one short strip at a half, one long and one short are wanted.
    #[test]
    fn a_longer_strip_serves_for_a_shorter_one() {
        let sure = Believed { weight: f64::INFINITY, alike: 0.0 };
        let sizes = [Stand { good: 1, cut: 2, mean: 0.5 }, Stand { good: 1, cut: 1, mean: 0.5 }];
        // Both long ones straight: 1/4; one of them and the short one: 1/2 x 1/2.
        assert!((enough_good(&sure, &sizes) - 0.5).abs() < 1e-12);
    }
}
