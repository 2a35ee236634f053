//! One-dimensional: do these pieces fit side by side into so many levels of one width?

use super::model::Model;
use super::rows::Set;

/// Steps of the search before it gives up.
const MOST_STEPS: u32 = 20_000;

/// Spreads `pieces` (placement, copies) over at most `levels` levels of `width`; `sure` are sets that
/// are used first, as often as the pieces allow (the whole parts of a linear program).
/// Sets with how often they are used, or `None` when no way was found.
pub(super) fn fit(
    model: &Model,
    width: i64,
    levels: i64,
    pieces: &Set,
    sure: &[(Set, i64)],
) -> Option<Vec<(Set, i64)>> {
    let mut left = pieces.clone();
    let (mut open, mut done) = (levels, Vec::new());
    for (set, times) in sure {
        let held = |p: usize| left.iter().find(|(held, _)| *held == p).map_or(0, |&(_, copies)| copies);
        let times = set.iter().map(|&(p, copies)| held(p) / copies).min().unwrap_or(0).min(*times).min(open);
        if times > 0 {
            for (p, copies) in &mut left {
                *copies -= set.iter().find(|(held, _)| held == p).map_or(0, |&(_, n)| n * times);
            }
            open -= times;
            done.push((set.clone(), times));
        }
    }
    if let Some(rest) = spread(model, width, open, &left) {
        done.extend(rest);
        return Some(done);
    }
    if done.is_empty() { None } else { spread(model, width, levels, pieces) }
}

/// The same without sure sets: depth first, the widest piece left into each level where it fits.
fn spread(model: &Model, width: i64, levels: i64, pieces: &Set) -> Option<Vec<(Set, i64)>> {
    let mut queue: Vec<usize> =
        pieces.iter().flat_map(|&(p, copies)| std::iter::repeat_n(p, copies.max(0) as usize)).collect();
    let across = |p: usize| model.placements[p].across;
    queue.sort_by_key(|&p| (std::cmp::Reverse(across(p)), p));
    let levels = usize::try_from(levels).unwrap_or(0).min(queue.len());
    let total: i128 = queue.iter().map(|&p| i128::from(across(p))).sum();
    if queue.is_empty() {
        return Some(Vec::new());
    }
    if total > i128::from(width) * levels as i128 {
        return None;
    }
    let mut search = Spread { model, queue, at: Vec::new(), room: vec![width; levels], steps: 0 };
    if !search.place() {
        return None;
    }
    let mut sets: Vec<Set> = vec![Vec::new(); levels];
    for (&p, &level) in search.queue.iter().zip(&search.at) {
        match sets[level].iter_mut().find(|(held, _)| *held == p) {
            Some((_, copies)) => *copies += 1,
            None => sets[level].push((p, 1)),
        }
    }
    sets.retain(|set| !set.is_empty());
    sets.iter_mut().for_each(|set| set.sort_unstable());
    Some(sets.into_iter().map(|set| (set, 1)).collect())
}

struct Spread<'a> {
    model: &'a Model,
    queue: Vec<usize>,
    at: Vec<usize>,
    room: Vec<i64>,
    steps: u32,
}

impl Spread<'_> {
    /// Places all pieces. Placed in a loop and undone in a loop: long queues need no deep stack.
    fn place(&mut self) -> bool {
        let (mut next, mut from) = (0, 0);
        loop {
            if next == self.queue.len() {
                return true;
            }
            let p = self.queue[next];
            let size = self.model.placements[p].across;
            // A copy goes no lower than the copy before it, and of levels with equal room to the first.
            let low = if next > 0 && self.queue[next - 1] == p { self.at[next - 1] } else { 0 };
            let fits = |&level: &usize| self.room[level] >= size && !self.room[low..level].contains(&self.room[level]);
            self.steps += 1;
            if self.steps > MOST_STEPS {
                return false;
            }
            let found = (from.max(low)..self.room.len()).find(fits);
            if let Some(level) = found {
                self.room[level] -= size;
                self.at.push(level);
                next += 1;
                from = 0;
            } else {
                let Some(level) = self.at.pop() else { return false };
                next -= 1;
                self.room[level] += self.model.placements[self.queue[next]].across;
                from = level + 1;
            }
        }
    }
}
