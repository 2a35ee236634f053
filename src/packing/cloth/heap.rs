//! One level filled with stacks beside the piece that opens it, never more than is wanted.

use super::knapsack::{Fills, START};
use super::model::Model;
use super::stacks::{Content, Stack, add, height, together, width};

/// A level that is being filled.
pub(super) struct Heap<'a> {
    model: &'a Model,
    worth: &'a [i128],
    /// Pieces that may lie here, from the narrowest to the widest.
    order: Vec<usize>,
    /// Pieces of each kind still wanted.
    free: Vec<i64>,
    stacks: Vec<Stack>,
    /// Across, nm.
    room: i64,
    height: i64,
    /// States looked at.
    pub work: u64,
}

impl<'a> Heap<'a> {
    /// Only the opener lies in it. `worth` is by kind.
    pub(super) fn new(model: &'a Model, bolt: usize, opener: usize, worth: &'a [i128]) -> Self {
        let first = &model.placements[opener];
        let low = |p: &usize| model.placements[*p].along <= first.along;
        let mut order: Vec<usize> = model.bolts[bolt].fits.iter().copied().take_while(low).collect();
        order.sort_by_key(|&p| (model.placements[p].across, p));
        let mut free: Vec<i64> = model.kinds.iter().map(|kind| kind.need).collect();
        free[first.kind] -= 1;
        let room = model.bolts[bolt].width - first.across;
        Self { model, worth, order, free, stacks: vec![vec![(opener, 1)]], room, height: first.along, work: 0 }
    }

    /// Sets stacks side by side, as the knapsacks choose them, less what is not wanted so often;
    /// puts what fits on top; and so on until nothing more fits.
    pub(super) fn fill(&mut self) {
        loop {
            let chosen = self.best_stacks();
            let before = self.stacks.len();
            for stack in chosen {
                self.take(&stack);
            }
            if self.stacks.len() == before {
                return;
            }
            self.top_up(before);
        }
    }

    /// What lies in it.
    pub(super) fn content(&self) -> Content {
        together(self.stacks.clone())
    }

    fn worth(&self, p: usize) -> i128 {
        self.worth[self.model.placements[p].kind]
    }

    fn fits(&self, p: usize, width: i64, height: i64) -> bool {
        let placement = &self.model.placements[p];
        placement.across <= width && placement.along <= height && self.free[placement.kind] > 0
    }

    /// The best stacks for the room that is left; they may ask for more than is wanted.
    fn best_stacks(&mut self) -> Vec<Stack> {
        let fits: Vec<usize> = self.order.iter().copied().filter(|&p| self.fits(p, self.room, self.height)).collect();
        let lowest = fits.iter().map(|&p| self.model.placements[p].along).min().unwrap_or(self.height);
        let (mut above, mut across) = (Fills::new(self.height - lowest), Fills::new(self.room));
        let mut steps = Vec::new();
        for &p in &fits {
            let placement = &self.model.placements[p];
            let free = self.free[placement.kind];
            above.offer(p, placement.along, self.worth(p), free - 1);
            let (more, step) = above.best_within(self.height - placement.along).unwrap_or((0, START));
            across.offer(steps.len(), placement.across, self.worth(p) + more, free);
            steps.push(step);
            above.offer(p, placement.along, self.worth(p), 1);
        }
        self.work += above.work + across.work;
        let mut chosen = Vec::new();
        // The widest first: what is wanted only once stands in the widest stack that has it.
        for (at, times) in across.trace(across.best().1).into_iter().rev() {
            let mut stack = above.trace(steps[at]);
            add(&mut stack, fits[at]);
            chosen.extend(std::iter::repeat_n(stack, times as usize));
        }
        chosen
    }

    /// Sets up as much of a stack as is wanted.
    fn take(&mut self, stack: &Stack) {
        let mut kept = stack.clone();
        for (p, copies) in &mut kept {
            let free = &mut self.free[self.model.placements[*p].kind];
            *copies = (*copies).min(*free);
            *free -= *copies;
        }
        kept.retain(|&(_, copies)| copies > 0);
        if !kept.is_empty() {
            self.room -= width(self.model, &kept);
            self.stacks.push(kept);
        }
    }

    /// Puts what fits best on top of the stacks from `from` on.
    fn top_up(&mut self, from: usize) {
        for at in from..self.stacks.len() {
            let wide = width(self.model, &self.stacks[at]);
            let left = self.height - height(self.model, &self.stacks[at]);
            let mut fills = Fills::new(left);
            for &p in &self.order {
                if self.fits(p, wide, left) {
                    let placement = &self.model.placements[p];
                    fills.offer(p, placement.along, self.worth(p), self.free[placement.kind]);
                }
            }
            self.work += fills.work;
            for (p, copies) in fills.trace(fills.best().1) {
                let free = &mut self.free[self.model.placements[p].kind];
                // A kind may be offered both ways.
                for _ in 0..copies.min(*free) {
                    add(&mut self.stacks[at], p);
                    *free -= 1;
                }
            }
        }
    }
}
