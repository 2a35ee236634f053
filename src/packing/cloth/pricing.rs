//! The best levels for given duals, exactly, and the lower bound that they prove.
//!
//! Lagrange's bound of Gilmore and Gomory (1961, 1965): the duals pay for the needs, less what the
//! best levels of each bolt would gain at these duals. All in integers, so it holds whatever the
//! accuracy of the duals.

use std::ops::Range;

use super::effort::Effort;
use super::knapsack::Fills;
use super::master::STATE_WORK;
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
}

/// The best level of one height.
struct Offer {
    height: usize,
    gain: i128,
    from: From,
}

/// Where what lies in an offered level can be read.
enum From {
    /// Pieces side by side: a knapsack and its last step.
    Flat(usize, u32),
    /// Stacks.
    Piles(Content),
}

/// The best levels of a bolt by height.
#[derive(Default)]
struct Offers {
    list: Vec<Offer>,
    flat: Vec<Fills>,
    /// Not all levels were looked at: the best may not be among them.
    partial: bool,
}

impl Offers {
    fn content(&self, offer: &Offer) -> Content {
        match &offer.from {
            From::Flat(at, step) => side_by_side(self.flat[*at].trace(*step)),
            From::Piles(content) => content.clone(),
        }
    }
}

/// New columns taken for a bolt in one round.
const COLUMNS_A_ROUND: usize = 8;

/// `a / b` rounded up, for `b > 0`.
pub(super) fn ceil_div(a: i128, b: i128) -> i128 {
    -(-a).div_euclid(b)
}

/// Prices all bolts. `least` is the gain from which a column is worth adding. `None` when the effort did not last:
/// levels not looked at would make the bound none.
pub(super) fn price(
    model: &Model,
    costs: &Costs,
    rows: &[Row],
    duals: &Duals,
    least: i128,
    effort: &Effort<'_>,
) -> Option<Priced> {
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
    let mut columns = Vec::new();
    for bolt in 0..model.bolts.len() {
        let offers = offers(model, costs, bolt, rows, duals, effort);
        if offers.partial {
            return None;
        }
        if costs.whole[bolt] {
            let (gain, column) = whole(model, bolt, &offers, effort)?;
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
    Some(Priced { bound: ceil_div(bound, costs.scale), columns })
}

/// The best level of each height on a bolt. A piece may be worth more in higher levels (a row says
/// so): then the knapsack starts anew at that height, else it goes on from the height below.
fn offers(model: &Model, costs: &Costs, bolt: usize, rows: &[Row], duals: &Duals, effort: &Effort<'_>) -> Offers {
    let mut starts: Vec<usize> = rows.iter().flat_map(|row| row.count.pieces_from(bolt)).chain([0]).collect();
    starts.sort_unstable();
    starts.dedup();
    starts.retain(|&start| start == 0 || start < model.heights.len());
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
            let piles = Piles::new(model, bolt, start..end, &worths, &|height| -gain(height), effort);
            offers.partial |= piles.partial;
            let offer = |best: BestLevel| {
                let gain = best.value + gain(best.height);
                Offer { height: best.height, gain, from: From::Piles(best.content) }
            };
            offers.list.extend(piles.best.into_iter().map(offer));
        } else {
            flat(model, bolt, start..end, &worth, &gain, &mut offers);
            effort.spend(offers.flat.last().map_or(0, |fills| fills.work) * STATE_WORK);
        }
        offers.partial |= effort.is_over();
        if offers.partial {
            break;
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
    offers.partial |= fills.partial;
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
fn whole(model: &Model, bolt: usize, offers: &Offers, effort: &Effort<'_>) -> Option<(i128, Column)> {
    let cap = model.bolts[bolt].cap.unwrap_or(0);
    let mut fills = Fills::new(cap);
    for (index, offer) in offers.list.iter().enumerate() {
        fills.offer(index, model.heights[offer.height], offer.gain, model.pieces());
    }
    effort.spend(fills.work * STATE_WORK);
    if fills.partial {
        return None;
    }
    let (gain, step) = fills.best();
    let levels = fills.trace(step).into_iter().map(|(index, times)| {
        let offer = &offers.list[index];
        (offer.height, offers.content(offer), times)
    });
    let levels = levels.collect();
    Some((gain, Column { bolt, whole: true, levels }))
}
