//! The best levels with stacks, by height: three knapsacks in one another.
//!
//! Pieces from the narrowest to the widest: each may lead a stack, as its widest piece, with the
//! best pieces before it on top (a knapsack along the bolt that goes on from piece to piece). The
//! stacks of a height are then set side by side (a knapsack across), at least one of them the
//! piece that makes the level as high as it is. A piece is counted against its need within each
//! stack and as a leader, not over all stacks of a level: where the best asks for more pieces than
//! are wanted, a search looks for the best that does not; where that takes too long, it stays, which
//! only lowers a bound.

use std::ops::Range;

use super::effort::Effort;
use super::knapsack::{Fills, START};
use super::master::STATE_WORK;
use super::model::Model;
use super::proper::Proper;
use super::stacks::{Content, Stack, pieces};

/// A piece with the best ones on top of it.
#[derive(Debug, Clone, Copy)]
struct Top {
    leader: usize,
    above: u32,
    value: i128,
}

/// The best level of a height.
#[derive(Debug, Clone)]
pub(super) struct BestLevel {
    /// Index of the height.
    pub height: usize,
    /// Worth of its pieces.
    pub value: i128,
    /// What lies in it.
    pub content: Content,
}

/// Best levels of one bolt.
#[derive(Debug)]
pub(super) struct Piles {
    above: Fills,
    /// Not all heights were looked at.
    pub partial: bool,
    /// One for each height that can be opened and may be worth more than its floor.
    pub best: Vec<BestLevel>,
}

impl Piles {
    /// Best levels of the heights in `range`. `worth` is by placement; a level that cannot be
    /// worth more than `floor` of its height is left out.
    pub(super) fn new(
        model: &Model,
        bolt: usize,
        range: Range<usize>,
        worth: &[i128],
        floor: &dyn Fn(usize) -> i128,
        effort: &Effort<'_>,
    ) -> Self {
        let heights = opened(model, bolt, range);
        let (above, tops) = stacks(model, bolt, &heights, worth);
        let looked_at = tops.iter().map(Vec::len).sum::<usize>() as u64;
        effort.spend((above.work + looked_at) * STATE_WORK);
        let mut piles = Self { partial: above.partial, above, best: Vec::new() };
        let mut across = Fills::new(0);
        for (&height, tops) in heights.iter().zip(tops) {
            if piles.partial || effort.is_over() {
                piles.partial = true;
                break;
            }
            across.renew(model.bolts[bolt].width);
            let work = piles.set_side_by_side((model, bolt, worth), height, (&tops, &mut across), floor(height));
            effort.spend(work * STATE_WORK);
        }
        piles
    }

    /// The best level of a height; the knapsack across has nothing in it yet. Returns the states looked at.
    fn set_side_by_side(
        &mut self,
        (model, bolt, worth): (&Model, usize, &[i128]),
        height: usize,
        (tops, across): (&[Top], &mut Fills),
        floor: i128,
    ) -> u64 {
        let width = model.bolts[bolt].width;
        let openers: Vec<usize> =
            model.bolts[bolt].fits.iter().copied().filter(|&p| model.placements[p].height == height).collect();
        let bare = openers.iter().filter(|&&p| worth[p] > 0).map(|&p| (p, worth[p]));
        let things = tops.iter().map(|top| (top.leader, top.value)).chain(bare);
        if at_most(model, bolt, things) <= floor {
            return tops.len() as u64;
        }
        for (at, top) in tops.iter().enumerate() {
            let most = model.side_by_side(bolt, top.leader);
            across.offer(at, model.placements[top.leader].across, top.value, most);
        }
        // Of the pieces that open the level the first one taken, and after it no earlier one.
        let mut best: Option<(i128, usize, u32)> = None;
        for &p in openers.iter().rev() {
            let (size, most) = (model.placements[p].across, model.side_by_side(bolt, p));
            across.offer(tops.len() + p, size, worth[p], most - 1);
            if let Some((beside, step)) = across.best_within(width - size) {
                let value = beside + worth[p];
                if best.is_none_or(|best| value > best.0) {
                    best = Some((value, p, step));
                }
            }
            across.offer(tops.len() + p, size, worth[p], 1);
        }
        self.partial |= across.partial;
        let Some((value, opener, step)) = best.filter(|best| best.0 > floor) else { return across.work };
        let content = self.content(tops, across, opener, step);
        if wanted(model, &content) {
            self.best.push(BestLevel { height, value, content });
            return across.work;
        }
        // More is asked for than is wanted: the best that is not so, unless that takes too long.
        let (found, work) = match Proper::new(model, bolt, height, worth, floor) {
            Some(search) => search.solve(&openers, width),
            None => (Err(()), 0),
        };
        match found {
            Ok(None) => {}
            Ok(Some((value, content))) => self.best.push(BestLevel { height, value, content }),
            Err(()) => self.best.push(BestLevel { height, value, content }),
        }
        across.work + work
    }

    /// What lies in a level beside its opener, by the last step of the knapsack across.
    fn content(&self, tops: &[Top], across: &Fills, opener: usize, step: u32) -> Content {
        let mut content: Content = vec![(vec![(opener, 1)], 1)];
        for (at, times) in across.trace(step) {
            let stack: Stack = match tops.get(at) {
                None => vec![(at - tops.len(), 1)],
                Some(top) => {
                    let mut stack = self.above.trace(top.above);
                    super::stacks::add(&mut stack, top.leader);
                    stack.sort_unstable();
                    stack
                }
            };
            match content.iter_mut().find(|(held, _)| *held == stack) {
                Some((_, held)) => *held += times,
                None => content.push((stack, times)),
            }
        }
        content.sort_unstable();
        content
    }
}

/// True when a content asks for no more pieces than are wanted.
fn wanted(model: &Model, content: &Content) -> bool {
    let mut free: Vec<i64> = model.kinds.iter().map(|kind| kind.need).collect();
    pieces(content).for_each(|(p, copies)| free[model.placements[p].kind] -= copies);
    free.iter().all(|&free| free >= 0)
}

/// The heights in a range that some piece on the bolt makes.
fn opened(model: &Model, bolt: usize, range: Range<usize>) -> Vec<usize> {
    let mut heights: Vec<usize> = model.bolts[bolt].fits.iter().map(|&p| model.placements[p].height).collect();
    heights.dedup();
    heights.retain(|height| range.contains(height));
    heights
}

/// For each height the best stack that each lower piece leads.
fn stacks(model: &Model, bolt: usize, heights: &[usize], worth: &[i128]) -> (Fills, Vec<Vec<Top>>) {
    let mut tops = vec![Vec::new(); heights.len()];
    let Some(&tallest) = heights.last() else { return (Fills::new(0), tops) };
    let useful = |p: &usize| worth[*p] > 0 && model.placements[*p].height < tallest;
    let mut order: Vec<usize> = model.bolts[bolt].fits.iter().copied().filter(useful).collect();
    // `fits` rises along the bolt.
    let lowest = order.first().map_or(0, |&p| model.placements[p].along);
    order.sort_by_key(|&p| (model.placements[p].across, p));
    let mut above = Fills::new(model.heights[tallest] - lowest);
    for p in order {
        let placement = &model.placements[p];
        let need = model.kinds[placement.kind].need;
        above.offer(p, placement.along, worth[p], need - 1);
        for (tops, &height) in tops.iter_mut().zip(heights).filter(|(_, height)| **height > placement.height) {
            let room = model.heights[height] - placement.along;
            let (more, step) = above.best_within(room).unwrap_or((0, START));
            tops.push(Top { leader: p, above: step, value: worth[p] + more });
        }
        above.offer(p, placement.along, worth[p], 1);
    }
    (above, tops)
}

/// No choice of things across the bolt is worth more: the last of them is cut as it fits
/// (Dantzig's bound).
fn at_most(model: &Model, bolt: usize, things: impl Iterator<Item = (usize, i128)>) -> i128 {
    let mut things: Vec<(usize, i128)> = things.collect();
    let across = |p: usize| i128::from(model.placements[p].across);
    things.sort_by(|&(p, a), &(q, b)| (b * across(p)).cmp(&(a * across(q))).then(p.cmp(&q)));
    let (mut room, mut most) = (i128::from(model.bolts[bolt].width), 0);
    for (p, value) in things {
        let copies = i128::from(model.side_by_side(bolt, p));
        let size = across(p) * copies;
        if size > room {
            return most + super::pricing::ceil_div(value * room, across(p));
        }
        room -= size;
        most += value * copies;
    }
    most
}
