//! Bounds that hold for every way of cutting, before any search: by area, and by dual feasible functions.
//!
//! A line across a bolt passes pieces that lie side by side. A function of widths is dual feasible when its
//! sum over widths that fit side by side is never above its value for the whole: pieces then weigh, along
//! the bolt, no more than the bolt does (Fekete and Schepers, "New classes of fast lower bounds for bin
//! packing problems", Mathematical Programming 91, 2001; Carlier, Clautiaux and Moukrim, "New reduction
//! procedures and lower bounds for the two-dimensional bin packing problem with fixed orientation",
//! Computers and Operations Research 34, 2007). All functions here are superadditive and rise, so the same
//! one serves bolts of several widths.

use super::goal::{Choices, Prices, by_length, price_list};
use super::model::Model;
use super::pricing::ceil_div;
use super::{ClothProblem, charge};
use crate::measure::Cents;

/// Widths that functions are made from, at most.
const MOST_WIDTHS: usize = 24;
/// Parts that a width is rounded down to, at most.
const MOST_PARTS: i128 = 12;

/// A dual feasible function on whole widths up to a capacity.
#[derive(Debug, Clone, Copy)]
enum Weigh {
    /// The width itself.
    Width,
    /// Widths under the figure weigh nothing, those that leave less than it weigh the whole.
    Cut(i128),
    /// Widths rounded down to so many parts, and one.
    Parts(i128),
    /// Widths counted in steps of the figure, large ones by what they leave.
    Steps(i128),
}

impl Weigh {
    fn of(self, width: i128, whole: i128) -> i128 {
        match self {
            Self::Width => width,
            Self::Cut(least) if width > whole - least => whole,
            Self::Cut(least) if width < least => 0,
            Self::Cut(_) => width,
            Self::Parts(parts) if (parts + 1) * width % whole == 0 => width * parts,
            Self::Parts(parts) => (parts + 1) * width / whole * whole,
            Self::Steps(step) if 2 * width > whole => 2 * (whole / step - (whole - width) / step),
            Self::Steps(step) if 2 * width == whole => whole / step,
            Self::Steps(step) => 2 * (width / step),
        }
    }
}

/// What the pieces weigh along the bolts by one function, and what a unit of each bolt does.
#[derive(Debug)]
struct Weighed {
    pieces: i128,
    bolts: Vec<i128>,
}

/// The bounds of one problem.
#[derive(Debug)]
pub(super) struct Area<'a> {
    problem: &'a ClothProblem,
    model: &'a Model,
    weighed: Vec<Weighed>,
    /// Prices that each bolt may come to; none where it is free.
    prices: Vec<Option<Prices>>,
}

impl<'a> Area<'a> {
    /// Weighs the pieces by each function; `most` is what a known plan costs.
    pub(super) fn new(problem: &'a ClothProblem, model: &'a Model, most: Cents) -> Self {
        let whole = model.bolts.iter().map(|bolt| i128::from(bolt.width)).max().unwrap_or(0);
        let laid = laid_ways(model);
        let weighed = |weigh: Weigh| {
            let least = |ways: &Vec<(i128, i128)>| ways.iter().map(|way| way.0 * weigh.of(way.1, whole)).min();
            let pieces = laid.iter().zip(&model.kinds);
            let pieces = pieces.map(|(ways, kind)| least(ways).unwrap_or(0) * i128::from(kind.need)).sum();
            let bolts = model.bolts.iter().map(|bolt| weigh.of(i128::from(bolt.width.max(0)), whole)).collect();
            Weighed { pieces, bolts }
        };
        let priced = |bolt: usize| problem.bolts[bolt].price.decimal().mantissa() > 0;
        let prices = |bolt: usize| priced(bolt).then(|| price_list(problem, model, bolt, most));
        let weighed = functions(&laid, whole).into_iter().map(weighed).collect();
        Self { problem, model, weighed, prices: (0..model.bolts.len()).map(prices).collect() }
    }

    /// No plan uses less, in units.
    pub(super) fn length(&self) -> i128 {
        let shortest = |weighed: &Weighed| {
            let mut widest: Vec<(i128, i128)> = weighed
                .bolts
                .iter()
                .zip(&self.model.bolts)
                .filter(|(weight, _)| **weight > 0)
                .map(|(&weight, bolt)| (weight, i128::from(bolt.cap.unwrap_or(i64::MAX))))
                .collect();
            widest.sort_unstable_by(|a, b| b.cmp(a));
            let (mut left, mut length) = (weighed.pieces, 0);
            for (weight, cap) in widest {
                let here = ceil_div(left.max(0), weight).min(cap);
                (length, left) = (length + here, left - here * weight);
            }
            length
        };
        self.weighed.iter().map(shortest).max().unwrap_or(0)
    }

    /// No plan costs less.
    pub(super) fn cost(&self) -> Cents {
        if let [bolt] = self.problem.bolts.as_slice() {
            return charge::cost(bolt, self.model.length(i64::try_from(self.length()).unwrap_or(i64::MAX)));
        }
        let least = self.weighed.iter().map(|weighed| self.cheapest(weighed)).max().unwrap_or(0);
        Cents::new(i64::try_from(least).unwrap_or(i64::MAX))
    }

    fn cheapest(&self, weighed: &Weighed) -> i128 {
        let (mut left, mut lists, mut beyond) = (weighed.pieces, Vec::new(), i64::MAX);
        for ((&weight, prices), bolt) in weighed.bolts.iter().zip(&self.prices).zip(&self.model.bolts) {
            match (prices, bolt.cap) {
                (Some(prices), _) => {
                    beyond = beyond.min(prices.beyond);
                    lists.push(prices.steps.iter().map(|&(price, units)| (price, units * weight)).collect());
                }
                (None, Some(cap)) => left -= i128::from(cap) * weight,
                (None, None) => return 0,
            }
        }
        if left <= 0 || lists.is_empty() {
            return 0;
        }
        Choices::new(lists, beyond).cheapest(left).max(self.by_the_cheapest(weighed, left))
    }

    /// All at the price of the bolt that costs least for what it takes: lists of prices end somewhere, this does not.
    fn by_the_cheapest(&self, weighed: &Weighed, left: i128) -> i128 {
        let priced = (0..weighed.bolts.len()).filter(|&bolt| self.prices[bolt].is_some() && weighed.bolts[bolt] > 0);
        let bolts = weighed.bolts.len();
        let cost = |bolt: usize| by_length(self.problem, self.model, bolt, left / weighed.bolts[bolt], bolts);
        priced.map(cost).min().unwrap_or(0)
    }
}

/// The ways to lay each kind that fit some bolt: along in units, across.
fn laid_ways(model: &Model) -> Vec<Vec<(i128, i128)>> {
    let mut fits: Vec<usize> = model.bolts.iter().flat_map(|bolt| bolt.fits.iter().copied()).collect();
    fits.sort_unstable();
    fits.dedup();
    let mut ways = vec![Vec::new(); model.kinds.len()];
    for placement in fits.into_iter().map(|p| &model.placements[p]) {
        ways[placement.kind].push((i128::from(placement.along), i128::from(placement.across)));
    }
    ways
}

/// The functions that are tried: their figures are widths of pieces, and what those leave.
fn functions(laid: &[Vec<(i128, i128)>], whole: i128) -> Vec<Weigh> {
    let mut widths: Vec<i128> = laid.iter().flatten().flat_map(|way| [way.1, whole - way.1]).collect();
    widths.retain(|&width| width > 0 && 2 * width <= whole);
    widths.sort_unstable();
    widths.dedup();
    let every = widths.len().div_ceil(MOST_WIDTHS).max(1);
    let some = || widths.iter().copied().step_by(every);
    let parts = (1..=MOST_PARTS).filter(|_| whole > 0).map(Weigh::Parts);
    std::iter::once(Weigh::Width).chain(some().map(Weigh::Cut)).chain(some().map(Weigh::Steps)).chain(parts).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every function on every capacity up to 14 and every set of widths that fits.
    #[test]
    fn no_widths_side_by_side_weigh_more_than_the_whole() {
        fn sums(weigh: Weigh, whole: i128, room: i128, widest: i128, weight: i128) {
            let used = whole - room;
            assert!(weight <= weigh.of(used, whole), "{weigh:?} on {whole}: {weight} in {used}");
            for width in 1..=widest.min(room) {
                sums(weigh, whole, room - width, width, weight + weigh.of(width, whole));
            }
        }
        for whole in 1..=14 {
            let figures = (1..=whole / 2).flat_map(|figure| [Weigh::Cut(figure), Weigh::Steps(figure)]);
            for weigh in figures.chain((1..=6).map(Weigh::Parts)).chain([Weigh::Width]) {
                sums(weigh, whole, whole, whole, 0);
                let mut before = 0;
                for width in 0..=whole {
                    let weight = weigh.of(width, whole);
                    assert!(weight >= before, "{weigh:?} falls at {width} of {whole}");
                    before = weight;
                }
            }
        }
    }
}
