//! Do these pieces fit, side by side or in stacks, into so many levels of one width and height?

use super::model::Model;
use super::stacks::{Content, Stack, pieces, together};

/// Steps of the search before it gives up.
const MOST_STEPS: u32 = 20_000;
/// Pieces up to which stacks are searched: each takes a call of its own.
const MOST_STACKED: usize = 300;

/// A level to lay pieces in: across, nm, and along, in units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Room {
    pub width: i64,
    pub height: i64,
}

/// Spreads `laid` (placement, copies) over at most `levels` levels; `sure` are contents that are
/// used first, as often as the pieces allow (the whole parts of a linear program).
/// Contents with how often they are used, or `None` when no way was found.
pub(super) fn fit(
    model: &Model,
    room: Room,
    levels: i64,
    laid: &Stack,
    sure: &[(Content, i64)],
) -> Option<Vec<(Content, i64)>> {
    let mut left = laid.clone();
    let (mut open, mut done) = (levels, Vec::new());
    for (content, times) in sure {
        let mut asks = vec![0; model.placements.len()];
        pieces(content).for_each(|(p, copies)| asks[p] += copies);
        let held = |p: usize| left.iter().find(|(held, _)| *held == p).map_or(0, |&(_, copies)| copies);
        let asked = asks.iter().enumerate().filter(|(_, copies)| **copies > 0);
        let times = asked.map(|(p, copies)| held(p) / copies).min().unwrap_or(0).min(*times).min(open);
        if times > 0 {
            for (p, copies) in &mut left {
                *copies -= asks[*p] * times;
            }
            open -= times;
            done.push((content.clone(), times));
        }
    }
    let spread = if model.stacked { stacked } else { flat };
    if let Some(rest) = spread(model, room, open, &left) {
        done.extend(rest);
        return Some(done);
    }
    if done.is_empty() { None } else { spread(model, room, levels, laid) }
}

/// Pieces one by one, from the widest to the narrowest.
fn queue(model: &Model, pieces: &Stack) -> Vec<usize> {
    let copies = |&(p, copies): &(usize, i64)| std::iter::repeat_n(p, copies.max(0) as usize);
    let mut queue: Vec<usize> = pieces.iter().flat_map(copies).collect();
    queue.sort_by_key(|&p| (std::cmp::Reverse(model.placements[p].across), std::cmp::Reverse(p)));
    queue
}

/// Stacks that may still grow, level by level: depth first, the widest piece left onto each stack
/// and beside the stacks of each level.
fn stacked(model: &Model, room: Room, levels: i64, pieces: &Stack) -> Option<Vec<(Content, i64)>> {
    let queue = queue(model, pieces);
    if queue.len() > MOST_STACKED {
        return None;
    }
    let levels = usize::try_from(levels).unwrap_or(0).min(queue.len());
    let tall = |p: usize| model.placements[p].along == room.height;
    let openers = queue.iter().filter(|&&p| tall(p)).count();
    let mut search = Piling {
        model,
        queue,
        levels: vec![Part { room: room.width, ..Part::default() }; levels],
        height: room.height,
        openers,
        steps: 0,
    };
    if !search.place(0) {
        return None;
    }
    let contents = search.levels.into_iter().map(|part| (together(part.stacks), 1));
    Some(contents.filter(|(content, _)| !content.is_empty()).collect())
}

/// A level that is being filled.
#[derive(Debug, Clone, Default)]
struct Part {
    /// Across, nm.
    room: i64,
    stacks: Vec<Stack>,
    /// Room along above each stack, in units.
    above: Vec<i64>,
    /// Pieces that are as tall as the level.
    tall: usize,
}

struct Piling<'a> {
    model: &'a Model,
    queue: Vec<usize>,
    levels: Vec<Part>,
    height: i64,
    /// Pieces as tall as the level that are still to be placed.
    openers: usize,
    steps: u32,
}

impl Piling<'_> {
    /// Places the pieces from `next` on; no deeper than [`MOST_STACKED`].
    fn place(&mut self, next: usize) -> bool {
        let bare = self.levels.iter().filter(|level| level.tall == 0 && !level.stacks.is_empty()).count();
        if bare > self.openers {
            return false;
        }
        let Some(&p) = self.queue.get(next) else { return true };
        let (along, across) = (self.model.placements[p].along, self.model.placements[p].across);
        let tall = usize::from(along == self.height);
        self.openers -= tall;
        for at in 0..self.levels.len() {
            if self.steps > MOST_STEPS {
                break;
            }
            // Of levels that look the same the first.
            let same = |a: &Part, b: &Part| a.room == b.room && a.above == b.above && a.tall == b.tall;
            if self.levels[..at].iter().any(|level| same(level, &self.levels[at])) {
                continue;
            }
            for stack in 0..self.levels[at].above.len() {
                let room = self.levels[at].above[stack];
                if room < along || self.levels[at].above[..stack].contains(&room) {
                    continue;
                }
                self.steps += 1;
                self.levels[at].above[stack] -= along;
                self.levels[at].stacks[stack].push((p, 1));
                if self.place(next + 1) {
                    return true;
                }
                self.levels[at].stacks[stack].pop();
                self.levels[at].above[stack] += along;
            }
            if self.levels[at].room < across || self.height < along {
                continue;
            }
            self.steps += 1;
            let level = &mut self.levels[at];
            (level.room, level.tall) = (level.room - across, level.tall + tall);
            level.stacks.push(vec![(p, 1)]);
            level.above.push(self.height - along);
            if self.place(next + 1) {
                return true;
            }
            let level = &mut self.levels[at];
            (level.room, level.tall) = (level.room + across, level.tall - tall);
            level.stacks.pop();
            level.above.pop();
        }
        self.openers += tall;
        false
    }
}

/// Without stacks: depth first, the widest piece left into each level where it fits.
fn flat(model: &Model, room: Room, levels: i64, pieces: &Stack) -> Option<Vec<(Content, i64)>> {
    let queue = queue(model, pieces);
    let levels = usize::try_from(levels).unwrap_or(0).min(queue.len());
    let total: i128 = queue.iter().map(|&p| i128::from(model.placements[p].across)).sum();
    if queue.is_empty() {
        return Some(Vec::new());
    }
    if total > i128::from(room.width) * levels as i128 {
        return None;
    }
    let mut search = Spread { model, queue, at: Vec::new(), room: vec![room.width; levels], steps: 0 };
    if !search.place() {
        return None;
    }
    let mut levels = vec![Vec::new(); levels];
    search.queue.iter().zip(&search.at).for_each(|(&p, &level)| levels[level].push(vec![(p, 1)]));
    levels.retain(|stacks| !stacks.is_empty());
    Some(levels.into_iter().map(|stacks| (together(stacks), 1)).collect())
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
