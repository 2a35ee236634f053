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

/// Proven: so many levels, with more pieces or without, never hold these.
pub(super) fn never_fit(model: &Model, room: Room, levels: i64, laid: &Stack) -> bool {
    if model.stacked {
        // A level of more pieces may be opened by one of those.
        piling(model, room, levels, (laid, usize::MAX / 2)).is_some_and(|mut search| {
            let found = search.place(0);
            !found && search.steps <= MOST_STEPS
        })
    } else {
        let queue = queue(model, laid);
        let mut search = Spread::new(model, room, levels, queue);
        !search.place() && search.steps <= MOST_STEPS
    }
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
    let mut search = piling(model, room, levels, (pieces, 0))?;
    if !search.place(0) {
        return None;
    }
    let contents = search.levels.into_iter().map(|part| (together(part.stacks), 1));
    Some(contents.filter(|(content, _)| !content.is_empty()).collect())
}

/// Levels with nothing in them yet, and `more` pieces beside those given that may open one.
fn piling<'a>(model: &'a Model, room: Room, levels: i64, (pieces, more): (&Stack, usize)) -> Option<Piling<'a>> {
    let queue = queue(model, pieces);
    if queue.len() > MOST_STACKED {
        return None;
    }
    let levels = usize::try_from(levels).unwrap_or(0).min(queue.len());
    let tall = |p: usize| model.placements[p].along == room.height;
    let openers = more + queue.iter().filter(|&&p| tall(p)).count();
    let levels = vec![Part { room: room.width, ..Part::default() }; levels];
    Some(Piling { model, queue, levels, height: room.height, openers, steps: 0 })
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
    let total: i128 = queue.iter().map(|&p| i128::from(model.placements[p].across)).sum();
    if queue.is_empty() {
        return Some(Vec::new());
    }
    if total > i128::from(room.width) * i128::from(levels) {
        return None;
    }
    let mut search = Spread::new(model, room, levels, queue);
    if !search.place() {
        return None;
    }
    let mut levels = vec![Vec::new(); search.room.len()];
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

impl<'a> Spread<'a> {
    fn new(model: &'a Model, room: Room, levels: i64, queue: Vec<usize>) -> Self {
        let levels = usize::try_from(levels).unwrap_or(0).min(queue.len());
        Self { model, queue, at: Vec::new(), room: vec![room.width; levels], steps: 0 }
    }

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

#[cfg(test)]
pub(super) mod tests {
    use super::super::{BoltKind, ClothProblem, PieceDemand};
    use super::*;
    use crate::measure::{Length, Price, Ratio};

    /// Pieces (along, across, count) on a bolt so wide, inches.
    pub(in super::super) fn problem(sizes: &[(i64, i64, u32)], width: i64) -> ClothProblem {
        let piece = |&(along, across, count): &(i64, i64, u32)| PieceDemand {
            along: Length::from_inches(along),
            across: Length::from_inches(across),
            turn: false,
            count,
        };
        let bolt = BoltKind {
            usable_width: Length::from_inches(width),
            usable_length: None,
            price: Price::parse("12").unwrap(),
            unit: Length::from_inches(36),
            increment: Length::ZERO,
            shrink_along: Ratio::ZERO,
            on_hand: None,
        };
        ClothProblem { pieces: sizes.iter().map(piece).collect(), bolts: vec![bolt] }
    }

    /// All pieces of these sizes in so many levels as high as the tallest: (they fit, they never do).
    fn in_levels(sizes: &[(i64, i64, u32)], levels: i64, stacked: bool) -> (bool, bool) {
        let problem = problem(sizes, 60);
        let flat = Model::new(&problem).unwrap();
        let model = if stacked { flat.with_stacks().unwrap() } else { flat };
        let laid: Stack =
            model.placements.iter().enumerate().map(|(p, placement)| (p, model.kinds[placement.kind].need)).collect();
        let room = Room { width: model.bolts[0].width, height: *model.heights.last().unwrap() };
        (fit(&model, room, levels, &laid, &[]).is_some(), never_fit(&model, room, levels, &laid))
    }

    #[test]
    fn what_does_not_fit_side_by_side_never_does() {
        // Three of 25 across take two levels of 60, whatever their area.
        assert_eq!(in_levels(&[(20, 25, 3)], 2, false), (true, false));
        assert_eq!(in_levels(&[(20, 25, 3)], 1, false), (false, true));
        // By area 5 x 24 is two levels; two of 24 lie side by side.
        assert_eq!(in_levels(&[(20, 24, 5)], 2, false), (false, true));
    }

    #[test]
    fn what_lacks_an_opener_only_may_fit_with_more_pieces() {
        // Beside the tall one there is room for one stack of two low ones.
        assert_eq!(in_levels(&[(20, 40, 1), (10, 20, 2)], 1, true), (true, false));
        assert_eq!(in_levels(&[(20, 40, 1), (10, 20, 4)], 1, true), (false, true));
        // A second level would do, had it a piece as tall as it is.
        assert_eq!(in_levels(&[(20, 40, 1), (10, 20, 8)], 2, true), (false, false));
        assert_eq!(in_levels(&[(20, 40, 1), (10, 20, 9)], 2, true), (false, true));
    }
}
