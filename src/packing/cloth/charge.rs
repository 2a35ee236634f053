//! What a washed length costs at the counter: shrinkage, increment, price, all in exact integers.

use super::BoltKind;
use crate::measure::{Cents, Length};

/// Far above any length that can be asked for (100 m times the pieces of a job), low enough that
/// products with a price stay within `i128`.
const LONGEST: i64 = 1 << 60;

/// `a / b` rounded up, for `a >= 0` and `b > 0`.
fn over(a: i128, b: i128) -> i128 {
    (a + b - 1).div_euclid(b)
}

/// What is left of one of unwashed length after washing, as a fraction.
fn kept(bolt: &BoltKind) -> (i128, i128) {
    let shrink = bolt.shrink_along.decimal();
    let whole = 10_i128.pow(shrink.scale());
    ((whole - shrink.mantissa()).max(1), whole)
}

/// The least length that gives `used` after washing, rounded up to the counter's increment; of a
/// remnant never more than there is.
pub(super) fn bought(bolt: &BoltKind, used: Length) -> Length {
    let (left, whole) = kept(bolt);
    let step = i128::from(bolt.increment.nm().max(1));
    let steps = over(i128::from(used.nm().max(0)) * whole, left * step);
    let length = i64::try_from(steps * step).unwrap_or(i64::MAX);
    Length::from_nm(bolt.on_hand.map_or(length, |most| length.min(most.nm())))
}

/// The price of a bought length, rounded to the cent, halves up; saturates far above any bill.
pub(super) fn price(bolt: &BoltKind, bought: Length) -> Cents {
    let figure = bolt.price.decimal();
    let scale = 10_i128.pow(figure.scale()) * i128::from(bolt.unit.nm().max(1));
    let cents = figure.mantissa().saturating_mul(100).saturating_mul(i128::from(bought.nm()));
    let rounded = cents.saturating_mul(2).saturating_add(scale) / (scale * 2);
    Cents::new(i64::try_from(rounded).unwrap_or(i64::MAX / 4))
}

/// What `used` washed length of this bolt costs.
pub(super) fn cost(bolt: &BoltKind, used: Length) -> Cents {
    price(bolt, bought(bolt, used))
}

/// The longest washed length that costs no more than `cents`, for `cents >= 0`.
pub(super) fn longest(bolt: &BoltKind, cents: Cents) -> Length {
    let (mut low, mut high) = (0, bolt.usable_length.map_or(LONGEST, Length::nm).max(0));
    while low < high {
        let middle = low + (high - low + 1) / 2;
        if cost(bolt, Length::from_nm(middle)) <= cents {
            low = middle;
        } else {
            high = middle - 1;
        }
    }
    Length::from_nm(low)
}

/// Price of a washed nanometre as a float, for weighing bolts against each other.
pub(super) fn rate(bolt: &BoltKind) -> f64 {
    let (left, whole) = kept(bolt);
    let figure = bolt.price.decimal();
    let price = figure.mantissa() as f64 / 10_f64.powi(figure.scale().cast_signed());
    price * whole as f64 / left as f64 / bolt.unit.nm().max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Price, Ratio};
    use rust_decimal::Decimal;

    fn bolt(price: &str, shrink_percent: i64, increment: Length) -> BoltKind {
        BoltKind {
            usable_width: Length::from_inches(58),
            usable_length: None,
            price: Price::parse(price).unwrap(),
            unit: Length::from_inches(36),
            increment,
            shrink_along: Ratio::below_one(Decimal::new(shrink_percent, 2)).unwrap(),
            on_hand: None,
        }
    }

    #[test]
    fn shrinkage_and_increment_round_up_exactly() {
        let eighth_yard = Length::from_64ths(288);
        let duck = bolt("12.00", 10, eighth_yard);
        // 40.5 in washed is exactly 45 in of a cloth that loses a tenth: ten eighths of a yard.
        assert_eq!(bought(&duck, Length::from_64ths(81 * 32)), Length::from_inches(45));
        assert_eq!(bought(&duck, Length::from_nm(Length::from_64ths(81 * 32).nm() + 1)), eighth_yard * 11);
        assert_eq!(cost(&duck, Length::from_64ths(81 * 32)), Cents::new(1500));
        assert_eq!(bought(&bolt("1", 10, Length::ZERO), Length::from_nm(10)), Length::from_nm(12));
    }

    #[test]
    fn a_half_cent_goes_up() {
        let cloth = bolt("0.01", 0, Length::ZERO);
        assert_eq!(price(&cloth, Length::from_inches(18)), Cents::new(1));
        assert_eq!(price(&cloth, Length::from_nm(Length::from_inches(18).nm() - 1)), Cents::new(0));
    }

    #[test]
    fn the_longest_length_for_a_sum_is_the_last_that_costs_it() {
        for increment in [Length::ZERO, Length::from_64ths(288), Length::from_mm(100)] {
            let cloth = bolt("14.95", 3, increment);
            for cents in [0, 1, 187, 5000, 123_456] {
                let most = longest(&cloth, Cents::new(cents));
                assert!(cost(&cloth, most) <= Cents::new(cents));
                assert!(cost(&cloth, Length::from_nm(most.nm() + 1)) > Cents::new(cents));
            }
        }
    }

    #[test]
    fn a_remnant_is_never_bought_beyond_what_is_on_hand() {
        let mut cloth = bolt("5", 7, Length::from_64ths(288));
        cloth.on_hand = Some(Length::from_inches(40));
        cloth.usable_length = Some(Length::from_64ths(2380)); // 37.1875 in of 37.2 in
        assert_eq!(bought(&cloth, Length::from_64ths(2380)), Length::from_inches(40));
    }
}
