//! The chance that strips come out straight in numbers that are enough: of one size, and of sizes that serve each other.
//!
//! A straight strip makes any shorter one of its section, so sizes of one section and one milling are a *family*, longest
//! first. It has enough exactly when, for each size, what is straight of it and of all longer ones is no less than what is
//! wanted of them; that is, when the rejects down to each size are no more than the strips to spare down to it.
//!
//! Rejects vary for three reasons: each strip's own luck; the luck of its board; and the rate itself, which is not known
//! to the last place and is the same for the whole family. The last one is what the family shares: over it the chance is
//! a sum, and for each rate in it the sizes are independent.

use super::belief::{BOARD_LOT, Belief, chance_of, odds};

/// What is left out of a distribution at either end.
const NEGLIGIBLE: f64 = 1e-14;
/// Logarithm of the density, under the highest, at which the rates that are looked at end.
const FAR_OUT: f64 = 24.0;
/// Most rates that are looked at, to either side.
const MOST_RATES: i32 = 600;
/// A correlation below this changes nothing.
const NOT_ALIKE: f64 = 1e-12;

/// One size of a family.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Level {
    /// Straight strips still wanted; below zero where more are straight than wanted.
    pub(crate) lacking: i64,
    /// Strips to be cut.
    pub(crate) cut: u64,
    /// The rate to be expected.
    pub(crate) mean: f64,
}

/// What the sizes of a family share.
#[derive(Debug, Clone)]
pub(crate) struct Luck {
    /// Correlation of two strips of one board.
    alike: f64,
    /// Correlation of any two strips of the family.
    shared: f64,
    /// Rates as shifts of the odds, each with its chance.
    rates: Vec<(f64, f64)>,
}

/// A correlation within so many strips that has the variance of boards of [`BOARD_LOT`].
fn within(strips: f64, alike: f64) -> f64 {
    if strips > 1.0 { (strips.min(BOARD_LOT) - 1.0) * alike / (strips - 1.0) } else { 0.0 }
}

impl Luck {
    /// The luck of a family of which so much is lacking. Where sizes are so few that they share boards, what their own
    /// correlation leaves out of the variance of the whole is shared by all.
    pub(crate) fn new(belief: &Belief, levels: &[Level]) -> Self {
        let strips = |level: &Level| level.lacking.max(0) as f64 / (1.0 - level.mean);
        let all: f64 = levels.iter().map(strips).sum();
        let board = |n: f64| n * (n.min(BOARD_LOT) - 1.0).max(0.0) * belief.alike;
        let between = (board(all) - levels.iter().map(|level| board(strips(level))).sum::<f64>()).max(0.0);
        let between = if all > 1.0 { between / (all * (all - 1.0)) } else { 0.0 };
        let shared = (1.0 / (1.0 + belief.weight) + between).min(0.9);
        let failing: f64 = levels.iter().map(|level| strips(level) * level.mean).sum();
        let mean = if all > 0.0 { failing / all } else { 0.0 };
        let rates = if levels.len() > 1 && mean > 0.0 { rates(mean, shared, all) } else { vec![(0.0, 1.0)] };
        Self { alike: belief.alike, shared, rates }
    }

    /// The chance that there is enough of every size.
    pub(crate) fn enough(&self, levels: &[Level]) -> f64 {
        if let [level] = levels {
            return self.one(*level).0;
        }
        self.rates.iter().map(|(shift, chance)| chance * self.passes(levels, *shift)).sum::<f64>().min(1.0)
    }

    /// The chance that there is enough of a size that stands alone, and that there is not.
    pub(crate) fn one(&self, level: Level) -> (f64, f64) {
        let spare = i64::try_from(level.cut).unwrap_or(i64::MAX) - level.lacking;
        let Ok(spare) = u64::try_from(spare) else { return (0.0, 1.0) };
        let own = within(level.cut as f64, self.alike);
        let rejects = Rejected::of(level.cut, level.mean, self.shared + own * (1.0 - self.shared));
        rejects.split_at(spare)
    }

    /// The chance that there is enough at one rate.
    fn passes(&self, levels: &[Level], shift: f64) -> f64 {
        let mut sum = Rejected::none();
        let mut spare = 0i64;
        for level in levels {
            spare += i64::try_from(level.cut).unwrap_or(i64::MAX) - level.lacking;
            let Ok(spare) = u64::try_from(spare) else { return 0.0 };
            sum = sum.and(&self.rejects(*level, shift), spare);
        }
        sum.chances.iter().sum()
    }

    /// The rejects of one size at one rate.
    pub(super) fn rejects(&self, level: Level, shift: f64) -> Rejected {
        let rate = if shift == 0.0 || level.mean <= 0.0 { level.mean } else { chance_of(odds(level.mean) + shift) };
        Rejected::of(level.cut, rate, within(level.cut as f64, self.alike))
    }

    /// The variance of the rejects of so many strips over that of as many that fail each by itself.
    pub(super) fn spread(&self, strips: f64) -> f64 {
        1.0 + (strips - 1.0).max(0.0) * self.shared + (strips.min(BOARD_LOT) - 1.0).max(0.0) * self.alike
    }

    pub(super) fn rates(&self) -> &[(f64, f64)] {
        &self.rates
    }
}

/// A beta distribution of rates by the trapezoid rule in the logarithm of the odds, where it is smooth and falls off to
/// both sides; its steps are small beside its own width and beside that of the chance at one rate.
fn rates(mean: f64, shared: f64, strips: f64) -> Vec<(f64, f64)> {
    if shared < NOT_ALIKE {
        return vec![(0.0, 1.0)];
    }
    let weight = 1.0 / shared - 1.0;
    let (a, b) = (mean * weight, (1.0 - mean) * weight);
    let width = (1.0 / a + 1.0 / b).sqrt();
    let step = (0.5 * width).min(0.7 / (strips * mean * (1.0 - mean)).sqrt());
    let at = odds(mean);
    // a ln p + b ln (1 - p), without the loss of figures at either end.
    let density = |u: f64| -a * (-u).exp().ln_1p() - b * u.exp().ln_1p();
    let top = density(at);
    let mut rates = Vec::new();
    for side in [-1.0, 1.0] {
        for i in 0..MOST_RATES {
            let shift = side * step * f64::from(i);
            let under = density(at + shift) - top;
            if under < -FAR_OUT {
                break;
            }
            if i > 0 || side < 0.0 {
                rates.push((shift, under.exp()));
            }
        }
    }
    let all: f64 = rates.iter().map(|rate| rate.1).sum();
    rates.iter_mut().for_each(|rate| rate.1 /= all);
    rates
}

/// The chances of so many rejects: `chances[i]` that of `lowest + i`; what is not there is negligible.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rejected {
    pub(super) lowest: u64,
    pub(super) chances: Vec<f64>,
}

impl Rejected {
    pub(super) fn none() -> Self {
        Self { lowest: 0, chances: vec![1.0] }
    }

    /// Of `cut` strips that fail with a chance of `rate`, any two of them correlated by `alike`: binomial where that is
    /// nothing, beta-binomial otherwise. Terms follow from each other by their ratio, outwards from about the
    /// likeliest, and are divided by their sum.
    pub(super) fn of(cut: u64, rate: f64, alike: f64) -> Self {
        if rate <= 0.0 || cut == 0 {
            return Self::none();
        }
        let n = cut as f64;
        let weight = if alike < NOT_ALIKE { f64::INFINITY } else { 1.0 / alike - 1.0 };
        let (a, b) = (rate * weight, (1.0 - rate) * weight);
        // The ratio of the chances of k + 1 rejects and of k.
        let ratio = |k: f64| {
            let odds = if weight.is_finite() { (a + k) / (b + n - k - 1.0) } else { rate / (1.0 - rate) };
            (n - k) / (k + 1.0) * odds
        };
        // With less than one strip's weight on a side the ends are likelier than the middle.
        let one_hump = a >= 1.0 && b >= 1.0;
        let middle = (n * rate).floor();
        let goes_on = |term: f64| if one_hump { term > NEGLIGIBLE * 1e-6 } else { true };
        let mut down = Vec::new();
        let (mut k, mut term) = (middle, 1.0);
        while k > 0.0 && goes_on(term) {
            k -= 1.0;
            term /= ratio(k);
            down.push(term);
        }
        let mut lowest = k;
        let mut terms: Vec<f64> = down.into_iter().rev().collect();
        let (mut k, mut term) = (middle, 1.0);
        terms.push(term);
        while k < n && goes_on(term) {
            term *= ratio(k);
            k += 1.0;
            terms.push(term);
        }
        let all: f64 = terms.iter().sum();
        terms.iter_mut().for_each(|term| *term /= all);
        let first = terms.iter().position(|term| *term > NEGLIGIBLE).unwrap_or(0);
        lowest += first as f64;
        terms.drain(..first);
        while terms.last().is_some_and(|term| *term <= NEGLIGIBLE) {
            terms.pop();
        }
        Self { lowest: lowest as u64, chances: terms }
    }

    /// The chances of up to `most` rejects, and of more.
    fn split_at(&self, most: u64) -> (f64, f64) {
        let Some(kept) = most.checked_sub(self.lowest) else { return (0.0, 1.0) };
        let kept = usize::try_from(kept).unwrap_or(usize::MAX).saturating_add(1).min(self.chances.len());
        let (below, above) = self.chances.split_at(kept);
        let above: f64 = above.iter().rev().sum();
        (below.iter().sum::<f64>().min(1.0), above)
    }

    /// With those of another size, up to `most` in all.
    pub(super) fn and(&self, other: &Self, most: u64) -> Self {
        let lowest = self.lowest + other.lowest;
        let Some(room) = most.checked_sub(lowest) else { return Self { lowest, chances: Vec::new() } };
        let long = (self.chances.len() + other.chances.len()).saturating_sub(1);
        let long = long.min(usize::try_from(room).unwrap_or(usize::MAX).saturating_add(1));
        let mut chances = vec![0.0; long];
        for (i, a) in self.chances.iter().enumerate().take(long) {
            for (sum, b) in chances[i..].iter_mut().zip(&other.chances) {
                *sum += a * b;
            }
        }
        let first = chances.iter().position(|chance| *chance > NEGLIGIBLE * 1e-3).unwrap_or(chances.len());
        chances.drain(..first);
        Self { lowest: lowest + first as u64, chances }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(lacking: i64, cut: u64, mean: f64) -> Level {
        Level { lacking, cut, mean }
    }

    fn belief(mean: f64, weight: f64, alike: f64) -> Belief {
        Belief { mean, weight, alike, jobs: 0, strips: 0 }
    }

    /// With one strip straight and one failing as all that is known, every count of rejects is as likely as any other.
    #[test]
    fn a_flat_belief_makes_every_count_alike() {
        let flat = Luck::new(&belief(0.5, 2.0, 0.0), &[level(5, 10, 0.5)]);
        for good in 1..=10 {
            let exact = (11 - good) as f64 / 11.0;
            assert!((flat.enough(&[level(good, 10, 0.5)]) - exact).abs() < 1e-12, "{good}");
        }
    }

    /// Values given by scipy 1.17.1 (`scipy.stats.binom`) and exact rationals, to the places shown.
    #[test]
    fn a_sure_rate_gives_the_binomial_tail() {
        for (good, rate, cut, tail) in
            [(10, 0.05, 11, 0.89811), (60, 0.2, 82, 0.94976), (137, 0.2, 187, 0.98987), (400, 0.1, 453, 0.89839)]
        {
            let sure = Luck::new(&Belief::sure(rate), &[level(good, cut, rate)]);
            assert!((sure.enough(&[level(good, cut, rate)]) - tail).abs() < 5.1e-6, "{good} of {cut} at {rate}");
        }
    }

    /// Two sizes of which all strips of both are wanted by the shorter one are one size.
    #[test]
    fn longer_strips_that_nobody_wants_are_strips_of_the_shorter_size() {
        for (weight, alike) in [(f64::INFINITY, 0.0), (200.0, 0.0)] {
            let belief = belief(0.15, weight, alike);
            let both = [level(0, 30, 0.15), level(60, 40, 0.15)];
            let together = Luck::new(&belief, &both).enough(&both);
            let one = [level(60, 70, 0.15)];
            let alone = Luck::new(&belief, &one).enough(&one);
            assert!((together - alone).abs() < 1e-9, "{weight}: {together} {alone}");
        }
    }

    /// Every outcome of two small sizes, one by one.
    #[test]
    fn two_sizes_agree_with_every_outcome() {
        let (p, sure) = (0.3f64, Belief::sure(0.3));
        let levels = [level(2, 4, p), level(3, 3, p)];
        let choose = |n: i32, k: i32| (0..k).fold(1.0, |c, i| c * f64::from(n - i) / f64::from(i + 1));
        let straight = |n: i32, k: i32| choose(n, k) * (1.0 - p).powi(k) * p.powi(n - k);
        let mut exact = 0.0;
        for long in 0..=4 {
            for short in 0..=3 {
                if long >= 2 && long + short >= 5 {
                    exact += straight(4, long) * straight(3, short);
                }
            }
        }
        assert!((Luck::new(&sure, &levels).enough(&levels) - exact).abs() < 1e-12);
    }

    /// A rate that is not known to the last place: against Pólya's urn, strip by strip, in which every strip drawn adds
    /// one of its kind.
    #[test]
    fn an_uncertain_rate_agrees_with_an_urn() {
        let belief = belief(0.12, 200.0, 0.0);
        let levels = [level(54, 71, 0.12), level(128, 151, 0.12), level(24, 27, 0.12), level(38, 43, 0.12)];
        let mut failed = vec![1.0];
        let (mut drawn, mut spare) = (0.0, 0i64);
        for level in levels {
            for _ in 0..level.cut {
                let mut next = vec![0.0; failed.len() + 1];
                for (k, chance) in failed.iter().enumerate() {
                    let fails = (0.12 * 200.0 + k as f64) / (200.0 + drawn);
                    next[k] += chance * (1.0 - fails);
                    next[k + 1] += chance * fails;
                }
                (failed, drawn) = (next, drawn + 1.0);
            }
            spare += level.cut as i64 - level.lacking;
            failed.truncate(spare as usize + 1);
        }
        let urn: f64 = failed.iter().sum();
        let told = Luck::new(&belief, &levels).enough(&levels);
        assert!((told - urn).abs() < 1e-8, "{told} {urn}");
    }

    #[test]
    fn boards_that_fail_together_take_more_to_spare() {
        let levels = [level(40, 52, 0.12)];
        let chance = |alike| Luck::new(&belief(0.12, f64::INFINITY, alike), &levels).enough(&levels);
        assert!(chance(0.0) > chance(0.05) && chance(0.05) > chance(0.1));
        // Nothing that lies at the ends of a distribution with two humps is lost.
        let humps = Rejected::of(30, 0.2, 0.9);
        assert!(
            (humps.chances.iter().sum::<f64>() - 1.0).abs() < 1e-12 && humps.lowest == 0 && humps.chances.len() == 31
        );
    }
}
