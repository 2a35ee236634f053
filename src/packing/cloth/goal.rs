//! What is to be least, and how a bound on weighted length is lifted to the next value that a plan
//! can have: whole cents at the counter's increments, or a sum of level heights.

use super::model::Model;
use super::rows::{Count, Row};
use super::{ClothProblem, charge};
use crate::measure::{Cents, Length};
use crate::packing::Standing;

/// Weight of the dearest bolt when prices differ.
const HEAVIEST: i64 = 1 << 20;
/// Longest list of prices kept for one bolt.
const MOST_PRICES: usize = 2_000;
/// Steps of a list that is combined with another.
const MOST_STEPS: usize = 128;
/// Longest bound on a plan, in units, for which all sums of heights are worked out.
const MOST_UNITS: i64 = 1 << 18;

/// A price and the most length that it buys, in units or weighted.
pub(super) type Step = (i64, i128);

/// The prices that one bolt may come to.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    /// Rising, with lengths in units.
    pub steps: Vec<Step>,
    /// A choice that is not listed costs at least this.
    pub beyond: i64,
}

/// What the search makes least.
#[derive(Debug, Clone)]
pub(super) enum Goal {
    /// Washed length of all bolts; the sums that levels can make.
    Length(Sums),
    /// Price of the bought lengths.
    Cost {
        /// The priced bolts.
        bolts: Vec<usize>,
        /// Prices of each.
        prices: Vec<Prices>,
    },
}

impl Goal {
    /// Least length; `most` is the length of a known plan, in units.
    pub(super) fn length(model: &Model, most: i64) -> Self {
        Self::Length(Sums::of(model, most))
    }

    /// Least cost, below that of a known plan.
    pub(super) fn cost(problem: &ClothProblem, model: &Model, most: Cents) -> Self {
        let bolts = priced(problem);
        let prices = bolts.iter().map(|&bolt| price_list(problem, model, bolt, most)).collect();
        Self::Cost { bolts, prices }
    }

    /// Weight of each bolt in the objective.
    pub(super) fn weights(&self, problem: &ClothProblem) -> Vec<i64> {
        match self {
            Self::Length(_) => vec![1; problem.bolts.len()],
            Self::Cost { .. } => weights(problem),
        }
    }

    /// Where a search for this goal stands; best value and bound are in its unit.
    pub(super) fn standing(&self, model: &Model, best: Option<i128>, bound: i128) -> Standing {
        let whole = |figure: i128| i64::try_from(figure).unwrap_or(i64::MAX);
        match self {
            Self::Length(_) => {
                let length = |units| model.length(whole(units));
                Standing::Length { best: best.map(length), bound: length(bound) }
            }
            Self::Cost { .. } => {
                let cents = |value| Cents::new(whole(value));
                Standing::Cost { best: best.map(cents), bound: cents(bound) }
            }
        }
    }

    /// Work of making a lift, in steps of about a nanosecond.
    pub(super) fn lift_work(&self) -> u64 {
        match self {
            Self::Cost { prices, .. } if prices.len() > 2 => {
                let longest = prices.iter().map(|list| list.steps.len().min(MOST_STEPS)).max().unwrap_or(0) as u64;
                20 * longest * longest * prices.len() as u64
            }
            _ => 1_000,
        }
    }

    /// How bounds are lifted to values of plans that obey the rows on lengths.
    pub(super) fn lift<'a>(&'a self, problem: &'a ClothProblem, model: &'a Model, rows: &[Row]) -> Lift<'a> {
        let Self::Cost { bolts, prices } = self else { return Lift { goal: self, problem, model, choices: None } };
        let choices = (bolts.len() > 1).then(|| within(problem, bolts, prices, rows));
        Lift { goal: self, problem, model, choices }
    }

    /// What a plan with these lengths (in units) is worth.
    pub(super) fn value(&self, problem: &ClothProblem, model: &Model, lengths: &[i64]) -> i128 {
        match self {
            Self::Length(_) => lengths.iter().map(|&length| i128::from(length)).sum(),
            Self::Cost { .. } => i128::from(total_cost(problem, model, lengths).get()),
        }
    }
}

/// Lifts bounds on weighted length to the next value that a plan can have.
#[derive(Debug)]
pub(super) struct Lift<'a> {
    goal: &'a Goal,
    problem: &'a ClothProblem,
    model: &'a Model,
    /// What lengths cost where several bolts do.
    choices: Option<Choices>,
}

impl Lift<'_> {
    /// The least value that a plan can have whose weighted length is at least `bound`.
    pub(super) fn value(&self, bound: i128) -> i128 {
        match (self.goal, &self.choices) {
            (Goal::Length(sums), _) => sums.next(bound),
            (Goal::Cost { bolts, .. }, Some(choices)) => {
                linear(self.problem, self.model, bolts, bound).max(choices.cheapest(bound))
            }
            (Goal::Cost { bolts, .. }, None) => {
                let units = i64::try_from(bound.max(0)).unwrap_or(i64::MAX);
                let cost = |bolt: usize| charge::cost(&self.problem.bolts[bolt], self.model.length(units)).get();
                bolts.first().map_or(0, |&bolt| i128::from(cost(bolt)))
            }
        }
    }
}

/// Price of a plan with these lengths, in units.
pub(super) fn total_cost(problem: &ClothProblem, model: &Model, lengths: &[i64]) -> Cents {
    problem.bolts.iter().zip(lengths).map(|(bolt, &units)| charge::cost(bolt, model.length(units))).sum()
}

/// Bolts that cost anything.
pub(super) fn priced(problem: &ClothProblem) -> Vec<usize> {
    (0..problem.bolts.len()).filter(|&bolt| problem.bolts[bolt].price.decimal().mantissa() > 0).collect()
}

/// Weights in proportion to the price of washed length; all one where the priced bolts agree.
fn weights(problem: &ClothProblem) -> Vec<i64> {
    let bolts = &problem.bolts;
    let priced = priced(problem);
    let same = |&bolt: &usize| {
        let (a, b) = (&bolts[priced[0]], &bolts[bolt]);
        (a.price, a.unit, a.shrink_along) == (b.price, b.unit, b.shrink_along)
    };
    let mut weights = vec![0; bolts.len()];
    if priced.iter().all(same) {
        priced.iter().for_each(|&bolt| weights[bolt] = 1);
        return weights;
    }
    let highest = priced.iter().map(|&bolt| charge::rate(&bolts[bolt])).fold(0.0, f64::max);
    for &bolt in &priced {
        let share = charge::rate(&bolts[bolt]) / highest;
        // One less than the share rounded down: never above the true share, whatever the float lost.
        weights[bolt] = if share >= 1.0 { HEAVIEST } else { ((share * HEAVIEST as f64) as i64 - 1).max(0) };
    }
    weights
}

/// The prices of a bolt below `most` with the length that each buys, as far as they are listed.
pub(super) fn price_list(problem: &ClothProblem, model: &Model, bolt: usize, most: Cents) -> Prices {
    let kind = &problem.bolts[bolt];
    let mut steps = Vec::new();
    let mut from = Length::ZERO;
    loop {
        let price = charge::cost(kind, from);
        if price >= most && !steps.is_empty() || steps.len() >= MOST_PRICES {
            return Prices { steps, beyond: price.get() };
        }
        let longest = charge::longest(kind, price);
        steps.push((price.get(), i128::from(longest.nm() / model.unit)));
        if kind.usable_length.is_some_and(|cap| longest >= cap) {
            return Prices { steps, beyond: i64::MAX };
        }
        from = Length::from_nm(longest.nm() + 1);
    }
}

/// The choices of one price for each bolt that obey the rows on lengths.
fn within(problem: &ClothProblem, bolts: &[usize], prices: &[Prices], rows: &[Row]) -> Choices {
    let weights = weights(problem);
    let beyond = prices.iter().map(|list| list.beyond).min().unwrap_or(0);
    let allowed = |(&bolt, list): (&usize, &Prices)| -> Vec<Step> {
        let (mut low, mut high) = (0, i128::MAX >> 32);
        for row in rows.iter().filter(|row| row.count == Count::Length { bolt }) {
            let rhs = i128::from(row.rhs);
            if row.at_least { low = low.max(rhs) } else { high = high.min(rhs) }
        }
        let weight = i128::from(weights[bolt]);
        let steps = list.steps.iter().filter(|step| step.1 >= low);
        steps.map(|&(price, units)| (price, units.min(high) * weight)).collect()
    };
    Choices::new(bolts.iter().zip(prices).map(allowed).collect(), beyond)
}

/// Choices of one step from each list, where long lists may have been thinned.
#[derive(Debug)]
pub(super) struct Choices {
    /// Of the last list.
    last: Vec<Step>,
    /// Of all others together, those that no other beats.
    front: Vec<Step>,
    /// What is on no list costs at least this.
    beyond: i64,
}

impl Choices {
    /// All that come to less than `beyond`; the lists rise in price and in length.
    pub(super) fn new(mut lists: Vec<Vec<Step>>, beyond: i64) -> Self {
        let last = lists.pop().unwrap_or_else(|| vec![(0, i128::MAX >> 1)]);
        let mut front: Vec<Step> = vec![(0, 0)];
        for list in lists {
            let list = thinned(list);
            let pairs = front.iter().flat_map(|a| list.iter().map(move |b| (a.0 + b.0, a.1 + b.1)));
            let mut all: Vec<Step> = pairs.filter(|step| step.0 < beyond).collect();
            all.sort_unstable_by_key(|&(price, length)| (price, std::cmp::Reverse(length)));
            front.clear();
            for step in all {
                if front.last().is_none_or(|last| step.1 > last.1) {
                    front.push(step);
                }
            }
            front = thinned(front);
        }
        Self { last, front, beyond }
    }

    /// The cheapest that buys so much length, or a little less where lists were thinned.
    pub(super) fn cheapest(&self, bound: i128) -> i128 {
        // Both lists rise in price and in length: the rest that the last bolt must add is looked up.
        let with_last = |step: &Step| {
            let from = self.last.partition_point(|other| step.1 + other.1 < bound);
            self.last.get(from).map(|other| step.0 + other.0)
        };
        let listed = self.front.iter().filter_map(with_last).min().unwrap_or(i64::MAX);
        i128::from(listed.min(self.beyond))
    }
}

/// A shorter list that promises no less: neighbours become one step with the price of the first and
/// the length of the last. The cheapest stay apart, so that a plan whose prices the rows force
/// from below is bounded by just its cost.
fn thinned(mut list: Vec<Step>) -> Vec<Step> {
    if list.len() <= MOST_STEPS {
        return list;
    }
    let tail = list.split_off(MOST_STEPS / 2);
    let group = tail.len().div_ceil(MOST_STEPS / 2);
    list.extend(tail.chunks(group).filter_map(|steps| Some((steps.first()?.0, steps.last()?.1))));
    list
}

/// A bound on cost from the weighted length alone, at the dearest rate; each bolt's price may have
/// been rounded down by half a cent. Zero when the figures are too large.
fn linear(problem: &ClothProblem, model: &Model, bolts: &[usize], bound: i128) -> i128 {
    let dearest =
        bolts.iter().max_by(|&&a, &&b| charge::rate(&problem.bolts[a]).total_cmp(&charge::rate(&problem.bolts[b])));
    let weights = weights(problem);
    let Some(&bolt) = dearest else { return 0 };
    let units = bound.max(0) / i128::from(weights[bolt].max(1));
    by_length(problem, model, bolt, units, bolts.len())
}

/// What so many units of a bolt cost without its increment, less a cent for every rounding on the way.
pub(super) fn by_length(problem: &ClothProblem, model: &Model, bolt: usize, units: i128, bolts: usize) -> i128 {
    let length = i64::try_from(units).ok().and_then(|units| units.checked_mul(model.unit)).unwrap_or(0);
    let plain = super::BoltKind { increment: Length::ZERO, usable_length: None, on_hand: None, ..problem.bolts[bolt] };
    let cost = charge::cost(&plain, Length::from_nm(length)).get();
    i128::from(cost - 2 - bolts as i64).max(0)
}

/// Sums that the levels of a plan can make, as bits; none when they would be too many.
#[derive(Debug, Clone, Default)]
pub(super) struct Sums(Vec<u64>);

impl Sums {
    /// Sums up to `most`. A height occurs no more often than there are pieces that can open such a
    /// level.
    pub(super) fn of(model: &Model, most: i64) -> Self {
        if most > MOST_UNITS {
            return Self::default();
        }
        let words = most as usize / 64 + 1;
        let mut bits = vec![0_u64; words];
        bits[0] = 1;
        for (index, &height) in model.heights.iter().enumerate() {
            let openers = model.placements.iter().filter(|p| p.height == index);
            let mut left: i64 = openers.map(|p| model.kinds[p.kind].need).sum::<i64>().min(most / height);
            let mut chunk = 1;
            while left > 0 {
                let copies = left.min(chunk);
                shift_or(&mut bits, (height * copies) as usize);
                left -= copies;
                chunk *= 2;
            }
        }
        Self(bits)
    }

    fn has(&self, at: usize) -> bool {
        self.0[at / 64] >> (at % 64) & 1 == 1
    }

    /// The least sum not below `bound`; `bound` itself where sums are not known.
    fn next(&self, bound: i128) -> i128 {
        let (Ok(from), end) = (usize::try_from(bound.max(0)), self.0.len() * 64) else { return bound };
        (from..end).find(|&at| self.has(at)).map_or(bound.max(end as i128), |at| at as i128)
    }

    /// The least sum not below `length`.
    pub(super) fn next_from(&self, length: i64) -> i64 {
        i64::try_from(self.next(length.into())).unwrap_or(length)
    }

    /// The greatest sum not above `length`; `length` itself where sums are not known.
    pub(super) fn last_to(&self, length: i64) -> i64 {
        match usize::try_from(length) {
            Ok(from) if from < self.0.len() * 64 => (0..=from).rev().find(|&at| self.has(at)).map_or(0, |at| at as i64),
            _ => length,
        }
    }
}

/// `bits |= bits << by`, within its length.
fn shift_or(bits: &mut [u64], by: usize) {
    let (words, rest) = (by / 64, by % 64);
    for at in (words..bits.len()).rev() {
        let low = bits[at - words] << rest;
        let carry = if rest > 0 && at > words { bits[at - words - 1] >> (64 - rest) } else { 0 };
        bits[at] |= low | carry;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shifting_bits_is_adding_to_sums() {
        let mut bits = vec![0_u64; 4];
        bits[0] = 0b1001;
        shift_or(&mut bits, 70);
        let set: Vec<usize> = (0..256).filter(|at| bits[at / 64] >> (at % 64) & 1 == 1).collect();
        assert_eq!(set, [0, 3, 70, 73]);
        let sums = Sums(bits);
        assert_eq!([4, 70, 74, 300].map(|bound| sums.next(bound)), [70, 70, 256, 300]);
        assert_eq!([0, 69, 70, 72, 300].map(|length| sums.last_to(length)), [0, 3, 70, 70, 300]);
        assert_eq!((Sums::default().next(7), Sums::default().last_to(7)), (7, 7));
    }
}
