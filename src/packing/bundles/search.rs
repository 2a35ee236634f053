//! Exact tying: every set of boards for every door, as far as the work goes.

use super::flow::Flows;

/// How a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// The doors are tied with no more pairs than aimed at.
    Found,
    /// There is no such tying; nothing is changed.
    None,
    /// The work ran out before that was known; nothing is changed.
    OutOfWork,
}

/// Depth first: door after door, each with its sets of boards, small sets first.
pub(super) struct Search<'a> {
    flows: &'a mut Flows,
    /// Doors with the fewest boards each can do with.
    doors: Vec<(usize, usize)>,
    /// Boards of each door, ascending, and for each the last one before it that yields just the same.
    boards: Vec<Vec<usize>>,
    twins: Vec<Vec<Option<usize>>>,
    /// Per door and entry of its takes the most that a board from a place on yields.
    most: Vec<Vec<Vec<u64>>>,
    chosen: Vec<Vec<usize>>,
    limit: u64,
    start: u64,
    cut_off: bool,
}

impl<'a> Search<'a> {
    pub(super) fn new(flows: &'a mut Flows, doors: Vec<(usize, usize)>, work: u64) -> Self {
        let boards: Vec<Vec<usize>> = doors.iter().map(|&(door, _)| flows.sources_of(door)).collect();
        let twins = vec![Vec::new(); doors.len()];
        let start = flows.work;
        let chosen = vec![Vec::new(); doors.len()];
        let most = vec![Vec::new(); doors.len()];
        let mut search = Self { flows, boards, twins, most, chosen, limit: work, start, cut_off: false, doors };
        search.look_ahead();
        search.find_twins();
        search
    }

    /// Notes what the boards from each place on can add.
    fn look_ahead(&mut self) {
        for (at, boards) in self.boards.iter().enumerate() {
            let of_part = |&(part, _): &(usize, u64)| {
                let mut most = vec![0; boards.len() + 1];
                for place in (0..boards.len()).rev() {
                    most[place] = most[place + 1].max(self.flows.supply(boards[place], part));
                }
                most
            };
            self.most[at] = self.flows.takes(self.doors[at].0).iter().map(of_part).collect();
        }
    }

    /// Finds the last board before each that yields just the same.
    fn find_twins(&mut self) {
        self.twins = self.boards.iter().map(|boards| self.flows.twins(boards)).collect();
    }

    pub(super) fn spent(&self) -> u64 {
        self.flows.work - self.start
    }

    /// Ties the doors with at most `aim` pairs, if it can be done.
    pub(super) fn run(&mut self, aim: usize) -> Outcome {
        let mark = self.flows.mark();
        for at in 0..self.doors.len() {
            self.flows.release(self.doors[at].0);
        }
        if self.from(0, aim) {
            return Outcome::Found;
        }
        self.flows.undo(mark);
        if self.cut_off { Outcome::OutOfWork } else { Outcome::None }
    }

    /// Ties the doors from the `at`th on with at most `left` pairs.
    fn from(&mut self, at: usize, left: usize) -> bool {
        let Some(&(_, fewest)) = self.doors.get(at) else { return true };
        let later: usize = self.doors[at + 1..].iter().map(|door| door.1).sum();
        let Some(most) = left.checked_sub(later) else { return false };
        // Equal doors may be told apart by the order of their sets alone.
        let least = if self.equal_before(at) { self.chosen[at - 1].len().max(fewest) } else { fewest };
        (least..=most.min(self.boards[at].len())).any(|size| self.sets(at, size, 0, &mut Vec::new(), left))
    }

    fn equal_before(&self, at: usize) -> bool {
        let takes = |at: usize| self.flows.takes(self.doors[at].0);
        at > 0 && takes(at) == takes(at - 1)
    }

    /// Completes a set of boards (places in the list) for the `at`th door, then ties the doors after it.
    fn sets(&mut self, at: usize, size: usize, from: usize, set: &mut Vec<usize>, left: usize) -> bool {
        self.flows.work += 1;
        if self.spent() > self.limit {
            self.cut_off = true;
            return false;
        }
        if set.len() == size {
            return self.is_in_order(at, set) && self.try_set(at, set, left);
        }
        if !self.can_reach(at, size, from, set) {
            return false;
        }
        for next in from..=(self.boards[at].len() - (size - set.len())) {
            if self.beaten_by_twin(at, next, set) {
                continue;
            }
            set.push(next);
            let done = self.sets(at, size, next + 1, set, left);
            set.pop();
            if done || self.cut_off {
                return done;
            }
        }
        false
    }

    fn try_set(&mut self, at: usize, set: &[usize], left: usize) -> bool {
        let door = self.doors[at].0;
        let boards: Vec<usize> = set.iter().map(|&place| self.boards[at][place]).collect();
        let mark = self.flows.mark();
        if !self.flows.give(door, &boards) {
            return false;
        }
        self.chosen[at] = set.to_vec();
        if self.from(at + 1, left - set.len()) {
            return true;
        }
        self.flows.undo(mark);
        false
    }

    /// Equal doors take their sets in order of size, then of boards.
    fn is_in_order(&self, at: usize, set: &[usize]) -> bool {
        !self.equal_before(at) || {
            let before = &self.chosen[at - 1];
            (before.len(), before.as_slice()) <= (set.len(), set)
        }
    }

    /// A board that nobody uses is as good as a later one that yields the same.
    fn beaten_by_twin(&self, at: usize, next: usize, set: &[usize]) -> bool {
        self.twins[at][next]
            .is_some_and(|twin| self.flows.is_unused(twin) && !set.iter().any(|&place| self.boards[at][place] == twin))
    }

    /// True when the boards of the set and the best of the rest hold what the door takes.
    fn can_reach(&self, at: usize, size: usize, from: usize, set: &[usize]) -> bool {
        let boards = &self.boards[at];
        self.flows.takes(self.doors[at].0).iter().zip(&self.most[at]).all(|(&(part, want), most)| {
            let have: u64 = set.iter().map(|&place| self.flows.supply(boards[place], part)).sum();
            have + most[from] * (size - set.len()) as u64 >= want
        })
    }
}
