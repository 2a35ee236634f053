//! An amount of money shared out to the cent.

use super::Cents;

/// Whole cents in proportion to `weights`, summing to `amount`: the largest remainders get the cents
/// left over, in `order` where remainders are equal. The weights are not negative and not all zero.
pub(crate) fn apportion(amount: Cents, weights: &[i128], order: &[usize]) -> Vec<Cents> {
    let whole: i128 = weights.iter().sum();
    let cents = i128::from(amount.get().unsigned_abs());
    let sign = amount.get().signum();
    let part = |weight: i128| cents.checked_mul(weight).map_or((0, 0), |p| (p / whole, p % whole));
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
