//! The best level of a height that asks for no more pieces than are wanted, by a search that the
//! knapsacks bound: depth first, stacks from the widest to the narrowest, in each its widest piece
//! first.

use super::knapsack::Fills;
use super::model::Model;
use super::stacks::{Content, Stack, together};

/// Steps of a search before it gives up.
const MOST_STEPS: u32 = 2_000;
/// Ways to lay pieces in a level beyond which it is not begun.
const MOST_PLACEMENTS: usize = 160;

/// The most that things offered so far are worth in a room: (room, worth), rising.
type Stairs = Vec<(i64, i128)>;

fn most(stairs: &Stairs, room: i64) -> i128 {
    stairs.partition_point(|stair| stair.0 <= room).checked_sub(1).map_or(0, |at| stairs[at].1)
}

/// A search for one bolt and height.
pub(super) struct Proper<'a> {
    model: &'a Model,
    worth: &'a [i128],
    height: i64,
    /// Placements from the narrowest to the widest.
    order: Vec<usize>,
    /// By position in the order: bounds on what pieces up to it are worth on top of one another, and
    /// stacks that pieces up to it lead side by side.
    above: Vec<Stairs>,
    across: Vec<Stairs>,
    free: Vec<i64>,
    stacks: Vec<Stack>,
    best: Option<(i128, Content)>,
    floor: i128,
    steps: u32,
    /// States and steps.
    pub work: u64,
}

impl<'a> Proper<'a> {
    /// A search for levels worth more than `floor`; none where too many pieces might lie in them. `height` is an
    /// index; `worth` is by placement.
    pub(super) fn new(model: &'a Model, bolt: usize, height: usize, worth: &'a [i128], floor: i128) -> Option<Self> {
        let reach = &model.bolts[bolt];
        let useful = |p: &usize| worth[*p] > 0 && model.placements[*p].height <= height;
        let mut order: Vec<usize> = reach.fits.iter().copied().filter(useful).collect();
        if order.len() > MOST_PLACEMENTS {
            return None;
        }
        order.sort_by_key(|&p| (model.placements[p].across, p));
        let top = model.heights[height];
        let (mut above, mut across) = (Fills::new(top), Fills::new(reach.width));
        let (mut stairs_above, mut stairs_across) = (Vec::new(), Vec::new());
        for (at, &p) in order.iter().enumerate() {
            let placement = &model.placements[p];
            let need = model.kinds[placement.kind].need;
            above.offer(at, placement.along, worth[p], need - 1);
            let more = above.best_within(top - placement.along).map_or(0, |best| best.0);
            across.offer(at, placement.across, worth[p] + more, model.side_by_side(bolt, p));
            above.offer(at, placement.along, worth[p], 1);
            stairs_above.push(above.stairs());
            stairs_across.push(across.stairs());
        }
        Some(Self {
            model,
            worth,
            height: top,
            order,
            above: stairs_above,
            across: stairs_across,
            free: model.kinds.iter().map(|kind| kind.need).collect(),
            stacks: Vec::new(),
            best: None,
            floor,
            steps: 0,
            work: above.work + across.work,
        })
    }

    /// The best level opened by one of these, `None` when none is worth more than the floor; an error
    /// when the search gave up.
    pub(super) fn solve(mut self, openers: &[usize], width: i64) -> (Result<Option<(i128, Content)>, ()>, u64) {
        for &p in openers {
            let placement = &self.model.placements[p];
            self.free[placement.kind] -= 1;
            self.stacks.push(vec![(p, 1)]);
            let end = self.order.len();
            self.beside(end, width - placement.across, self.worth[p]);
            self.stacks.pop();
            self.free[placement.kind] += 1;
        }
        let work = self.work + 4 * u64::from(self.steps);
        if self.steps >= MOST_STEPS { (Err(()), work) } else { (Ok(self.best), work) }
    }

    fn keep(&mut self, value: i128) {
        if value > self.floor {
            self.floor = value;
            self.best = Some((value, together(self.stacks.clone())));
        }
    }

    /// Sets one more stack beside the others, led by a piece of a position below `end`.
    fn beside(&mut self, end: usize, room: i64, value: i128) {
        self.keep(value);
        for at in (0..end).rev() {
            if value + most(&self.across[at], room) <= self.floor || self.steps >= MOST_STEPS {
                return;
            }
            let placement = &self.model.placements[self.order[at]];
            if placement.across > room || self.free[placement.kind] == 0 {
                continue;
            }
            self.steps += 1;
            self.free[placement.kind] -= 1;
            self.stacks.push(vec![(self.order[at], 1)]);
            let left = (room - placement.across, self.height - placement.along);
            self.on_top((at, at + 1), left, value + self.worth[self.order[at]]);
            self.stacks.pop();
            self.free[placement.kind] += 1;
        }
    }

    /// Goes on beside the last stack, or sets one more piece of a position below the second one on
    /// top of it. The first position is the leader's, `room` is across and along.
    fn on_top(&mut self, (leader, end): (usize, usize), room: (i64, i64), value: i128) {
        let beside = most(&self.across[leader], room.0);
        for at in (0..end).rev() {
            if value + most(&self.above[at], room.1) + beside <= self.floor || self.steps >= MOST_STEPS {
                return;
            }
            let placement = &self.model.placements[self.order[at]];
            if placement.along > room.1 || self.free[placement.kind] == 0 {
                continue;
            }
            self.steps += 1;
            self.free[placement.kind] -= 1;
            let (p, depth) = (self.order[at], self.stacks.len() - 1);
            self.stacks[depth].push((p, 1));
            self.on_top((leader, at + 1), (room.0, room.1 - placement.along), value + self.worth[p]);
            self.stacks[depth].pop();
            self.free[placement.kind] += 1;
        }
        self.beside(leader + 1, room.0, value);
    }
}
