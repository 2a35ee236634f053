//! An amount of money shared out to the cent.

use super::Cents;

/// Whole cents in proportion to `weights`, summing to `amount`: the largest remainders get the cents
/// left over, in `order` where remainders are equal. The weights are not negative and not all zero.
pub(crate) fn apportion(amount: Cents, weights: &[i128], order: &[usize]) -> Vec<Cents> {
    let cents = i128::from(amount.get().unsigned_abs());
    let sign = amount.get().signum();
    let weights = within(weights, i128::MAX / cents.max(1));
    let whole: i128 = weights.iter().sum();
    let part = |weight: i128| (cents * weight / whole, cents * weight % whole);
    let mut parts: Vec<(i128, i128)> = weights.iter().map(|weight| part(*weight)).collect();
    let left = cents - parts.iter().map(|part| part.0).sum::<i128>();
    let mut first: Vec<usize> = order.to_vec();
    first.sort_by_key(|at| std::cmp::Reverse(parts[*at].1));
    let takers = first.iter().cycle().take(usize::try_from(left).unwrap_or(0));
    for at in takers {
        parts[*at].0 += 1;
    }
    parts.into_iter().map(|part| Cents::new(sign * i64::try_from(part.0).unwrap_or(i64::MAX))).collect()
}

/// The weights in their lowest terms; only where even these sum to more than `most` are they rounded down together.
fn within(weights: &[i128], most: i128) -> Vec<i128> {
    let common = weights.iter().fold(0, |common, &weight| gcd(common, weight)).max(1);
    let mut weights: Vec<i128> = weights.iter().map(|weight| weight / common).collect();
    let sum = |weights: &[i128]| weights.iter().try_fold(0_i128, |sum, &weight| sum.checked_add(weight));
    while sum(&weights).is_none_or(|sum| sum > most) {
        // What weighed anything still does.
        weights.iter_mut().for_each(|weight| *weight = (*weight + 1) / 2);
    }
    weights
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cents(amount: i64, weights: &[i128]) -> Vec<i64> {
        let order: Vec<usize> = (0..weights.len()).collect();
        apportion(Cents::new(amount), weights, &order).into_iter().map(Cents::get).collect()
    }

    /// 100 in thirds: 33 each, one left; 10 by 1:2:4: 1.43, 2.86, 5.71 to 1, 3, 6.
    #[test]
    fn the_largest_remainders_get_the_cents_left_over() {
        assert_eq!(cents(100, &[1, 1, 1]), [34, 33, 33]);
        assert_eq!(cents(10, &[1, 2, 4]), [1, 3, 6]);
        assert_eq!(cents(-10, &[1, 2, 4]), [-1, -3, -6]);
        assert_eq!(cents(7, &[0, 5, 0]), [0, 7, 0]);
    }

    /// Weights of square nanometres, and sums beyond any number that is held.
    #[test]
    fn large_weights_are_shared_out_as_small_ones() {
        let large = |small: [i128; 3]| small.map(|weight| weight * 10_i128.pow(36) / 7 * 7);
        assert_eq!(cents(10, &large([1, 2, 4])), [1, 3, 6]);
        assert_eq!(cents(1_000_000_000_000, &large([1, 1, 2])), [250_000_000_000, 250_000_000_000, 500_000_000_000]);
        let two = [i128::MAX / 3, i128::MAX / 3, i128::MAX / 3 - 5];
        assert_eq!(cents(1_000, &two).iter().sum::<i64>(), 1_000);
    }

    proptest::proptest! {
        #[test]
        fn shares_sum_to_the_amount(amount in -1_000_000_000i64..1_000_000_000, weights in
            proptest::collection::vec(0i128..1_000_000_000_000, 1..20)) {
            proptest::prop_assume!(weights.iter().sum::<i128>() > 0);
            let parts = cents(amount, &weights);
            proptest::prop_assert_eq!(parts.iter().sum::<i64>(), amount);
            for (part, weight) in parts.iter().zip(&weights) {
                proptest::prop_assert!(*weight > 0 || *part == 0);
            }
        }
    }
}
