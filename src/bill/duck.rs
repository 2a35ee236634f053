//! Numbered cotton duck: what a number weighs.

use rust_decimal::{Decimal, RoundingStrategy};

/// Numbers that are woven; 7, 9 and 11 are not.
const WOVEN: [u8; 9] = [1, 2, 3, 4, 5, 6, 8, 10, 12];

/// Ounces of a linear yard 22 in wide: the number is 19 less that weight. `None` for a number that
/// is not woven. Source: US Department of Commerce, numbered cotton duck
/// (National Bureau of Standards, 1920s).
///
/// ```
/// assert_eq!(slatwright::bill::duck_ounces_per_linear_yard(10), Some(9));
/// ```
#[must_use]
pub fn duck_ounces_per_linear_yard(number: u8) -> Option<u8> {
    WOVEN.contains(&number).then(|| 19 - number)
}

/// Ounces of a square yard, to two places: a linear yard is 36 in by 22 in.
#[must_use]
pub fn duck_ounces_per_square_yard(number: u8) -> Option<Decimal> {
    let ounces = Decimal::from(duck_ounces_per_linear_yard(number)?);
    let square = ounces * Decimal::from(36) / Decimal::from(22);
    Some(square.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero))
}

/// The duck number in a bolt's name: `no. 10 duck`, `duck #8`, `10 duck 60`. `None` where the name
/// does not say duck or leaves the number open.
pub(super) fn number_in(bolt: &str) -> Option<u8> {
    let name = bolt.to_lowercase();
    let words: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let at = words.iter().position(|word| *word == "duck")?;
    let read = |i: Option<usize>| words.get(i?)?.parse().ok().filter(|n| WOVEN.contains(n));
    let before = read(at.checked_sub(1));
    let after = read(Some(at + 1));
    // "duck no 10" has a word between.
    let behind_no = words.get(at + 1).filter(|w| matches!(**w, "no" | "number")).and_then(|_| read(Some(at + 2)));
    before.or(after).or(behind_no)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Weights of 36 x 22 in as the Department of Commerce rule gives them.
    #[test]
    fn the_number_and_the_weight_add_up_to_nineteen() {
        let published = [(1, 18), (2, 17), (3, 16), (4, 15), (5, 14), (6, 13), (8, 11), (10, 9), (12, 7)];
        for (number, ounces) in published {
            assert_eq!(duck_ounces_per_linear_yard(number), Some(ounces));
        }
        for number in [0, 7, 9, 11, 13, 19, 255] {
            assert_eq!(duck_ounces_per_linear_yard(number), None);
        }
    }

    /// The trade rounds the same weights to 18, 14.75 and 11.5 oz (from memory; 11.5 for no. 12 also in
    /// Prerna Magazine's article on duck).
    #[test]
    fn square_yards_weigh_what_the_trade_says() {
        let weight = |n| duck_ounces_per_square_yard(n).unwrap().to_string();
        assert_eq!([weight(8), weight(10), weight(12)], ["18", "14.73", "11.45"]);
    }

    #[test]
    fn a_number_is_read_from_the_name_only_where_it_says_duck() {
        for name in ["no. 10 duck", "duck #10", "Duck-10", "duck no. 10, 60 in", "10 duck 60"] {
            assert_eq!(number_in(name), Some(10), "{name}");
        }
        for name in ["canvas 10", "duck", "duck 60", "duck no 7", "ducks 10", ""] {
            assert_eq!(number_in(name), None, "{name}");
        }
    }
}
