//! The best levels for given duals, exactly, and the lower bound that they prove.
//!
//! Lagrange's bound of Gilmore and Gomory (1961, 1965): the duals pay for the needs, less what the
//! best levels of each bolt would gain at these duals. All in integers, so it holds whatever the
//! accuracy of the duals.

use std::ops::Range;

use super::knapsack::Fills;
use super::model::Model;
use super::piles::{BestLevel, Piles};
use super::rows::{Column, Count, Row};
use super::stacks::{Content, side_by_side};

/// Duals in whole parts of a cost unit; those of lengths in parts of 2^-[`LENGTH_SHIFT`] of that.
#[derive(Debug, Clone)]
pub(super) struct Duals {
    /// Of the needs, by kind, at least zero.
    pub kinds: Vec<i128>,
    /// Of the rows, with the sign that the row allows.
    pub rows: Vec<i128>,
}

/// Extra bits in the duals of lengths, which are multiplied by long lengths.
pub(super) const LENGTH_SHIFT: u32 = 24;

/// What a level of a unit's height costs on each bolt.
#[derive(Debug, Clone)]
pub(super) struct Costs {
    /// Weight of each bolt: the objective is the sum of weight times length in units.
    pub weights: Vec<i64>,
    /// Parts of a cost unit in the duals.
    pub scale: i128,
    /// Bolts that are filled as a whole.
    pub whole: Vec<bool>,
}

/// The outcome of pricing.
#[derive(Debug)]
pub(super) struct Priced {
    /// A proven lower bound on the weighted length, in cost units, rounded up.
    pub bound: i128,
    /// Columns that would pay, most gain first within a bolt.
    pub columns: Vec<Column>,
    /// Work done.
    pub work: u64,
}

/// The best level of one height.
struct Offer {
    height: usize,
    gain: i128,
    from: From,
}

/// Where what lies in an offered level can be read.
#[derive(Clone, Copy)]
enum From {
    /// Pieces side by side: a knapsack and its last step.
    Flat(usize, u32),
    /// Stacks.
    Piles(usize, BestLevel),
}

/// The best levels of a bolt by height.
#[derive(Default)]
struct Offers {
    list: Vec<Offer>,
    flat: Vec<Fills>,
    piles: Vec<Piles>,
}

impl Offers {
    fn work(&self) -> u64 {
        self.flat.iter().map(|fills| fills.work).sum::<u64>() + self.piles.iter().map(Piles::work).sum::<u64>()
    }

    fn content(&self, offer: &Offer) -> Content {
        match offer.from {
            From::Flat(at, step) => side_by_side(self.flat[at].trace(step)),
            From::Piles(at, best) => self.piles[at].content(&best),
        }
    }
}

/// New columns taken for a bolt in one round.
const COLUMNS_A_ROUND: usize = 8;

/// `a / b` rounded up, for `b > 0`.
pub(super) fn ceil_div(a: i128, b: i128) -> i128 {
    -(-a).div_euclid(b)
}

/// Prices all bolts. `least` is the gain from which a column is worth adding.
pub(super) fn price(model: &Model, costs: &Costs, rows: &[Row], duals: &Duals, least: i128) -> Priced {
    let pay: i128 = model.kinds.iter().zip(&duals.kinds).map(|(kind, dual)| dual * i128::from(kind.need)).sum();
    let mut bound = pay;
    for (row, dual) in rows.iter().zip(&duals.rows) {
        bound += match row.count {
            // The gain of a whole fill is counted exactly below.
            Count::Whole { .. } => 0,
            Count::Length { .. } => (dual * i128::from(row.rhs)) >> LENGTH_SHIFT,
            _ => dual * i128::from(row.rhs),
        };
    }
    let (mut columns, mut work) = (Vec::new(), 0);
    for bolt in 0..model.bolts.len() {
        let offers = offers(model, costs, bolt, rows, duals);
        work += offers.work();
        if costs.whole[bolt] {
            let (gain, column, more) = whole(model, bolt, &offers);
            work += more;
            bound -= gain;
            let paid: i128 = rows
                .iter()
                .zip(&duals.rows)
                .filter(|(row, _)| row.count == Count::Whole { bolt })
                .map(|(_, dual)| -dual)
                .sum();
            if gain > paid + least {
                columns.push(column);
            }
        } else {
            bound -= most_gain(model, bolt, &offers.list);
            let mut paying: Vec<&Offer> = offers.list.iter().filter(|offer| offer.gain > least).collect();
            paying.sort_by_key(|offer| (std::cmp::Reverse(offer.gain), offer.height));
            columns.extend(paying.iter().take(COLUMNS_A_ROUND).map(|offer| Column {
                bolt,
                whole: false,
                levels: vec![(offer.height, offers.content(offer), 1)],
            }));
        }
    }
    Priced { bound: ceil_div(bound, costs.scale), columns, work }
}

/// The best level of each height on a bolt. A piece may be worth more in higher levels (a row says
/// so): then the knapsack starts anew at that height, else it goes on from the height below.
fn offers(model: &Model, costs: &Costs, bolt: usize, rows: &[Row], duals: &Duals) -> Offers {
    let mut starts: Vec<usize> = rows.iter().filter_map(|row| row.count.pieces_from(bolt)).chain([0]).collect();
    starts.sort_unstable();
    starts.dedup();
    let mut offers = Offers::default();
    let gain = |height| level_gain(model, costs, bolt, height, rows, duals);
    for (at, &start) in starts.iter().enumerate() {
        let end = starts.get(at + 1).copied().unwrap_or(model.heights.len()).min(model.heights.len());
        let worth = |p: usize, height: usize| -> i128 {
            let of_row = |(row, dual): (&Row, &i128)| dual * i128::from(row.count.of_piece(model, bolt, height, p));
            duals.kinds[model.placements[p].kind] + rows.iter().zip(&duals.rows).map(of_row).sum::<i128>()
        };
        if model.stacked {
            let worths: Vec<i128> = (0..model.placements.len()).map(|p| worth(p, start)).collect();
            let piles = Piles::new(model, bolt, start..end, &worths, &|height| -gain(height));
            let number = offers.piles.len();
            let offer = |best: &BestLevel| {
                let from = From::Piles(number, *best);
                Offer { height: best.height, gain: best.value + gain(best.height), from }
            };
            offers.list.extend(piles.best.iter().map(offer));
            offers.piles.push(piles);
        } else {
            flat(model, bolt, start..end, &worth, &gain, &mut offers);
        }
    }
    offers
}

/// The best levels without stacks for heights in `range`.
fn flat(
    model: &Model,
    bolt: usize,
    range: Range<usize>,
    worth: &dyn Fn(usize, usize) -> i128,
    gain: &dyn Fn(usize) -> i128,
    offers: &mut Offers,
) {
    let mut fills = Fills::new(model.bolts[bolt].width);
    let mut fits = model.bolts[bolt].fits.iter().copied().peekable();
    while let Some(p) = fits.next() {
        let placement = &model.placements[p];
        if placement.height >= range.end {
            break;
        }
        let worth = worth(p, placement.height.max(range.start));
        fills.offer(p, placement.across, worth, model.side_by_side(bolt, p));
        let last = fits.peek().is_none_or(|&next| model.placements[next].height != placement.height);
        if last && placement.height >= range.start {
            let (value, step) = fills.best();
            let from = From::Flat(offers.flat.len(), step);
            offers.list.push(Offer { height: placement.height, gain: value + gain(placement.height), from });
        }
    }
    offers.flat.push(fills);
}

/// What an empty level of this height gains: its rows' duals less its cost.
fn level_gain(model: &Model, costs: &Costs, bolt: usize, height: usize, rows: &[Row], duals: &Duals) -> i128 {
    let mut gain = -costs.scale * i128::from(costs.weights[bolt]) * i128::from(model.heights[height]);
    for (row, dual) in rows.iter().zip(&duals.rows) {
        let product = dual * i128::from(row.count.of_level(model, bolt, height));
        gain += if matches!(row.count, Count::Length { .. }) { -((-product) >> LENGTH_SHIFT) } else { product };
    }
    gain
}

/// The most that all levels of a bolt together can gain: no plan needs more levels than pieces,
/// nor more length than there is.
fn most_gain(model: &Model, bolt: usize, offers: &[Offer]) -> i128 {
    let best = offers.iter().map(|offer| offer.gain).max().unwrap_or(0).max(0);
    let by_count = best.saturating_mul(i128::from(model.pieces()));
    let Some(cap) = model.bolts[bolt].cap else { return by_count };
    let by_length = |offer: &Offer| {
        ceil_div(offer.gain.max(0).saturating_mul(i128::from(cap)), i128::from(model.heights[offer.height]))
    };
    by_count.min(offers.iter().map(by_length).max().unwrap_or(0))
}

/// The fill of a whole remnant that gains most: a knapsack of levels along it.
fn whole(model: &Model, bolt: usize, offers: &Offers) -> (i128, Column, u64) {
    let cap = model.bolts[bolt].cap.unwrap_or(0);
    let mut fills = Fills::new(cap);
    for (index, offer) in offers.list.iter().enumerate() {
        fills.offer(index, model.heights[offer.height], offer.gain, model.pieces());
    }
    let (gain, step) = fills.best();
    let levels = fills.trace(step).into_iter().map(|(index, times)| {
        let offer = &offers.list[index];
        (offer.height, offers.content(offer), times)
    });
    let levels = levels.collect();
    (gain, Column { bolt, whole: true, levels }, fills.work)
}
