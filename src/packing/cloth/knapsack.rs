//! Bounded knapsacks by lists of undominated fills (Nemhauser and Ullmann 1969).
//!
//! A fill is kept only when no fill that takes no more room is worth as much. Unlike a table over
//! the room it does not care how fine the sizes are: inches and millimetres mix freely.

/// One undominated fill: its size, its worth and how it came about.
#[derive(Debug, Clone, Copy)]
struct State {
    size: i64,
    value: i128,
    step: u32,
}

/// The last addition of a fill.
#[derive(Debug, Clone, Copy)]
struct Step {
    parent: u32,
    what: u32,
    copies: u32,
}

/// The step of the empty fill.
pub(super) const START: u32 = u32::MAX;

/// Additions remembered before no more are made: some 50 MB.
const MOST_STEPS: usize = 4_000_000;

/// All undominated fills of what has been offered so far.
#[derive(Debug)]
pub(super) struct Fills {
    capacity: i64,
    front: Vec<State>,
    spare: Vec<State>,
    steps: Vec<Step>,
    /// Some were passed over, since there were too many: the best may not be among them.
    pub partial: bool,
    /// States looked at: the work done.
    pub work: u64,
}

impl Fills {
    /// Nothing offered yet.
    pub(super) fn new(capacity: i64) -> Self {
        let front = vec![State { size: 0, value: 0, step: START }];
        Self { capacity, front, spare: Vec::new(), steps: Vec::new(), partial: false, work: 0 }
    }

    /// Nothing offered yet, in the same room of memory.
    pub(super) fn renew(&mut self, capacity: i64) {
        self.capacity = capacity;
        self.front.clear();
        self.front.push(State { size: 0, value: 0, step: START });
        self.steps.clear();
        (self.partial, self.work) = (false, 0);
    }

    /// Offers up to `most` copies of something of this size and worth.
    pub(super) fn offer(&mut self, what: usize, size: i64, value: i128, most: i64) {
        if size <= 0 || value <= 0 || size > self.capacity {
            return;
        }
        if self.steps.len() > MOST_STEPS {
            self.partial = true;
            return;
        }
        let mut left = most.min(self.capacity / size);
        let mut chunk = 1;
        while left > 0 {
            let copies = left.min(chunk);
            self.merge(what, copies, size * copies, value * i128::from(copies));
            left -= copies;
            chunk *= 2;
        }
    }

    /// Merges the fills with the same fills each enlarged by one addition.
    fn merge(&mut self, what: usize, copies: i64, size: i64, value: i128) {
        let mut merged = std::mem::take(&mut self.spare);
        merged.clear();
        let limit = self.front.partition_point(|state| state.size <= self.capacity - size);
        let (mut plain, mut enlarged) = (0, 0);
        let mut best = -1;
        self.work += (self.front.len() + limit) as u64;
        while plain < self.front.len() || enlarged < limit {
            let take_plain = enlarged >= limit
                || plain < self.front.len() && self.front[plain].size <= self.front[enlarged].size + size;
            if take_plain {
                let state = self.front[plain];
                plain += 1;
                if state.value > best {
                    best = state.value;
                    merged.push(state);
                }
            } else {
                let state = self.front[enlarged];
                enlarged += 1;
                if state.value + value > best {
                    best = state.value + value;
                    let step = self.steps.len() as u32;
                    self.steps.push(Step { parent: state.step, what: what as u32, copies: copies as u32 });
                    // An equal size with less worth may just have been kept: it is dominated now.
                    if merged.last().is_some_and(|last: &State| last.size == state.size + size) {
                        merged.pop();
                    }
                    merged.push(State { size: state.size + size, value: best, step });
                }
            }
        }
        self.spare = std::mem::replace(&mut self.front, merged);
    }

    /// Worth and last step of the most valuable fill.
    pub(super) fn best(&self) -> (i128, u32) {
        self.front.last().map_or((0, START), |state| (state.value, state.step))
    }

    /// The same among fills that take no more than `room`; nothing when there is no room at all.
    pub(super) fn best_within(&self, room: i64) -> Option<(i128, u32)> {
        let end = self.front.partition_point(|state| state.size <= room);
        end.checked_sub(1).map(|at| (self.front[at].value, self.front[at].step))
    }

    /// Sizes with the most that is worth in so much room, both rising.
    pub(super) fn stairs(&self) -> Vec<(i64, i128)> {
        self.front.iter().map(|state| (state.size, state.value)).collect()
    }

    /// What a fill holds, with copies, in the order of `what`.
    pub(super) fn trace(&self, mut step: u32) -> Vec<(usize, i64)> {
        let mut holds: Vec<(usize, i64)> = Vec::new();
        while step != START {
            let Step { parent, what, copies } = self.steps[step as usize];
            match holds.iter_mut().find(|(held, _)| *held == what as usize) {
                Some((_, count)) => *count += i64::from(copies),
                None => holds.push((what as usize, i64::from(copies))),
            }
            step = parent;
        }
        holds.sort_unstable();
        holds
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Best worth by trying every count of everything.
    fn plain(capacity: i64, things: &[(i64, i64, i64)]) -> i128 {
        let Some(&(size, value, most)) = things.first() else { return 0 };
        (0..=most.min(capacity / size))
            .map(|n| plain(capacity - n * size, &things[1..]) + i128::from(n * value))
            .max()
            .unwrap_or(0)
    }

    proptest! {
        #[test]
        fn equals_trying_everything(
            capacity in 0i64..60,
            things in prop::collection::vec((1i64..20, 1i64..30, 0i64..6), 0..6),
        ) {
            let mut fills = Fills::new(capacity);
            for (what, &(size, value, most)) in things.iter().enumerate() {
                fills.offer(what, size, i128::from(value), most);
            }
            let (best, step) = fills.best();
            prop_assert_eq!(best, plain(capacity, &things));
            let held = fills.trace(step);
            prop_assert!(held.iter().map(|&(what, n)| n * things[what].0).sum::<i64>() <= capacity);
            prop_assert!(held.iter().all(|&(what, n)| n <= things[what].2));
            prop_assert_eq!(held.iter().map(|&(what, n)| i128::from(n * things[what].1)).sum::<i128>(), best);
            for room in 0..=capacity {
                prop_assert_eq!(fills.best_within(room).unwrap().0, plain(room, &things));
            }
            prop_assert_eq!(fills.best_within(-1), None);
        }
    }
}
