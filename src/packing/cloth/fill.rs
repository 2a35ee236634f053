//! Randomised fills: level after level, each the best for the pieces still wanted.

use super::effort::Effort;
use super::heap::Heap;
use super::knapsack::Fills;
use super::layout::{Layout, Level};
use super::master::STATE_WORK;
use super::model::Model;
use super::stacks::{pieces, side_by_side};
use crate::packing::noise::Noise;

/// What guides a fill.
#[derive(Debug, Clone)]
pub(super) struct Guide {
    /// Worth of a piece of each kind: its dual, or its area.
    pub worth: Vec<i128>,
    /// Cost of a unit of length of each bolt, at least one.
    pub rates: Vec<i64>,
}

/// Bits of precision of a worth before noise.
const WORTH_BITS: u32 = 40;

impl Guide {
    /// Worth by area, for the time before any linear program is solved.
    pub(super) fn by_area(model: &Model, weights: &[i64]) -> Self {
        let mut worth = vec![0; model.kinds.len()];
        for placement in &model.placements {
            worth[placement.kind] = i128::from(placement.along) * i128::from(placement.across);
        }
        Self { worth, rates: weights.to_vec() }
    }

    /// A copy shaken by chance: worths up or down by up to a few eighths, free bolts at some price.
    fn shaken(&self, random: &mut Noise) -> Self {
        let highest = self.worth.iter().copied().max().unwrap_or(1).max(1);
        let spread = [0, 1, 16, 64, 128][random.below(5) as usize];
        let worth = self.worth.iter().map(|&worth| {
            let base = ((worth << WORTH_BITS) / highest).max(1);
            base * (256 + i128::from(random.below(2 * spread + 1)) - i128::from(spread)) / 256 + 1
        });
        let worth = worth.collect();
        let dearest = self.rates.iter().copied().max().unwrap_or(1).max(1);
        let free = (dearest >> random.below(4)).max(1);
        Self { worth, rates: self.rates.iter().map(|&rate| rate.max(free)).collect() }
    }
}

/// A finished fill.
#[derive(Debug)]
pub(super) struct Filled {
    /// The levels.
    pub layout: Layout,
    /// Pieces of each kind that found no place.
    pub missing: Vec<i64>,
}

/// A level that might be next.
struct Choice {
    level: Level,
    height: i64,
    worth: i128,
    cost: i128,
}

impl Choice {
    /// More worth for its cost.
    fn beats(&self, other: &Self) -> bool {
        self.worth.saturating_mul(other.cost) > other.worth.saturating_mul(self.cost)
    }
}

/// Fills the bolts of the model with all pieces it asks for; `None` when the effort did not last.
pub(super) fn fill(model: &Model, guide: &Guide, random: &mut Noise, effort: &Effort<'_>) -> Option<Filled> {
    let guide = guide.shaken(random);
    let opened = random.below(3) > 0 || model.stacked;
    let mut left = model.clone();
    let mut filled = Filled { layout: Layout::default(), missing: vec![0; model.kinds.len()] };
    loop {
        effort.spend(model.placements.len() as u64);
        if effort.is_over() {
            return None;
        }
        give_up(&mut left, &mut filled.missing);
        let mut work = 0;
        let choice = if opened { tallest_first(&left, &guide, &mut work) } else { best_rate(&left, &guide, &mut work) };
        effort.spend(work * STATE_WORK);
        let Some(choice) = choice else { return Some(filled) };
        let times = take(&mut left, &choice);
        filled.layout.levels.push((choice.level, times));
    }
}

/// Notes the kinds that fit nowhere any more as missing and wants them no longer.
fn give_up(left: &mut Model, missing: &mut [i64]) {
    let mut fits = vec![false; left.kinds.len()];
    for &p in left.bolts.iter().flat_map(|bolt| &bolt.fits) {
        fits[left.placements[p].kind] = true;
    }
    for ((kind, missing), fits) in left.kinds.iter_mut().zip(missing).zip(fits) {
        if !fits {
            *missing += std::mem::take(&mut kind.need);
        }
    }
}

/// Takes a level as often as it stays full and fits; at least once.
fn take(left: &mut Model, choice: &Choice) -> i64 {
    let mut held = vec![0; left.kinds.len()];
    for (p, copies) in pieces(&choice.level.content) {
        held[left.placements[p].kind] += copies;
    }
    let by_need = held.iter().zip(&left.kinds).filter(|(held, _)| **held > 0).map(|(held, kind)| kind.need / held);
    let cap = left.bolts[choice.level.bolt].cap;
    let times = by_need.chain(cap.map(|cap| cap / choice.height)).min().unwrap_or(1).max(1);
    for (kind, held) in left.kinds.iter_mut().zip(&held) {
        kind.need -= held * times;
    }
    if let Some(cap) = &mut left.bolts[choice.level.bolt].cap {
        *cap -= times * choice.height;
    }
    left.refit();
    times
}

/// The tallest piece left opens the level (it must lie in one at least so high); a knapsack fills
/// what is beside it. `None` when nothing is left.
fn tallest_first(left: &Model, guide: &Guide, work: &mut u64) -> Option<Choice> {
    let mut lowest: Vec<Option<i64>> = vec![None; left.kinds.len()];
    for bolt in &left.bolts {
        for &p in &bolt.fits {
            let placement = &left.placements[p];
            let least = &mut lowest[placement.kind];
            *least = Some(least.map_or(placement.along, |held| held.min(placement.along)));
        }
    }
    let wanted = (0..left.kinds.len()).filter(|&kind| left.kinds[kind].need > 0);
    let (kind, _) = wanted
        .map(|kind| (kind, lowest[kind]))
        .max_by_key(|&(kind, along)| (along.unwrap_or(i64::MAX), std::cmp::Reverse(kind)))?;
    let mut best: Option<Choice> = None;
    for bolt in 0..left.bolts.len() {
        for &p in left.bolts[bolt].fits.iter().filter(|&&p| left.placements[p].kind == kind) {
            let open = if left.stacked { stacked } else { opened_by };
            let choice = open(left, guide, bolt, p, work);
            if best.as_ref().is_none_or(|best| choice.beats(best)) {
                best = Some(choice);
            }
        }
    }
    best
}

/// The same with stacks beside the opener.
fn stacked(left: &Model, guide: &Guide, bolt: usize, opener: usize, work: &mut u64) -> Choice {
    let mut heap = Heap::new(left, bolt, opener, &guide.worth);
    heap.fill();
    *work += heap.work;
    let (content, height) = (heap.content(), left.placements[opener].along);
    let worth = pieces(&content).map(|(p, n)| guide.worth[left.placements[p].kind] * i128::from(n)).sum();
    let cost = i128::from(guide.rates[bolt]) * i128::from(height);
    Choice { level: Level { bolt, content }, height, worth, cost }
}

fn opened_by(left: &Model, guide: &Guide, bolt: usize, opener: usize, work: &mut u64) -> Choice {
    let placement = left.placements[opener];
    let mut fills = Fills::new(left.bolts[bolt].width - placement.across);
    for &p in left.bolts[bolt].fits.iter().take_while(|&&p| left.placements[p].along <= placement.along) {
        let other = &left.placements[p];
        let most = left.kinds[other.kind].need - i64::from(other.kind == placement.kind);
        fills.offer(p, other.across, guide.worth[other.kind], most);
    }
    *work += fills.work;
    let (worth, step) = fills.best();
    let mut set = fills.trace(step);
    match set.iter_mut().find(|(p, _)| *p == opener) {
        Some((_, copies)) => *copies += 1,
        None => set.push((opener, 1)),
    }
    set.sort_unstable();
    let cost = i128::from(guide.rates[bolt]) * i128::from(placement.along);
    choice(left, bolt, set, worth + guide.worth[placement.kind], cost)
}

/// The level of most worth for its cost, over all bolts and heights. `None` when nothing is left.
fn best_rate(left: &Model, guide: &Guide, work: &mut u64) -> Option<Choice> {
    let mut best: Option<Choice> = None;
    for bolt in 0..left.bolts.len() {
        let mut fills = Fills::new(left.bolts[bolt].width);
        let mut top: Option<(i128, i128, u32)> = None;
        for &p in &left.bolts[bolt].fits {
            let placement = &left.placements[p];
            fills.offer(p, placement.across, guide.worth[placement.kind], left.side_by_side(bolt, p));
            let cost = i128::from(guide.rates[bolt]) * i128::from(placement.along);
            let (worth, step) = fills.best();
            if top.is_none_or(|(w, c, _)| worth.saturating_mul(c) > w.saturating_mul(cost)) {
                top = Some((worth, cost, step));
            }
        }
        *work += fills.work;
        if let Some((worth, cost, step)) = top {
            let choice = choice(left, bolt, fills.trace(step), worth, cost);
            if best.as_ref().is_none_or(|best| choice.beats(best)) {
                best = Some(choice);
            }
        }
    }
    best
}

/// A level with the copies beyond the need taken out: a knapsack counts both ways of laying a
/// kind against its need separately.
fn choice(left: &Model, bolt: usize, mut set: Vec<(usize, i64)>, worth: i128, cost: i128) -> Choice {
    let mut free: Vec<i64> = left.kinds.iter().map(|kind| kind.need).collect();
    for (p, copies) in &mut set {
        let need = &mut free[left.placements[*p].kind];
        *copies = (*copies).min(*need);
        *need -= *copies;
    }
    set.retain(|&(_, copies)| copies > 0);
    let level = Level { bolt, content: side_by_side(set) };
    let height = level.height(left);
    Choice { level, height, worth, cost }
}
