//! Exact knapsacks over the indices of a [`Grid`](super::grid::Grid).

/// One thing to put in: its value and, from index `first` of the grid on, the room left after it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choice<'a> {
    pub(super) value: i64,
    pub(super) first: usize,
    pub(super) steps: &'a [u32],
}

impl Choice<'_> {
    fn after(&self, room: usize) -> Option<usize> {
        room.checked_sub(self.first).map(|at| self.steps[at] as usize)
    }
}

/// How often a choice may be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Times {
    /// At most once.
    Once,
    /// As often as it fits.
    Any,
}

/// Best value for every room of `best` (which must hold zeros, or an earlier result to extend).
pub(super) fn fill(best: &mut [i64], choice: Choice<'_>, times: Times) {
    let last = best.len();
    if choice.value <= 0 || choice.first >= last {
        return;
    }
    match times {
        Times::Any => {
            for room in choice.first..last {
                let value = best[choice.steps[room - choice.first] as usize] + choice.value;
                best[room] = best[room].max(value);
            }
        }
        Times::Once => {
            for room in (choice.first..last).rev() {
                let value = best[choice.steps[room - choice.first] as usize] + choice.value;
                best[room] = best[room].max(value);
            }
        }
    }
}

/// How often each choice is taken in a best filling of `room`. Later choices win ties only when
/// they gain, so the answer depends on the order of the choices alone.
pub(super) fn taken(choices: &[(Choice<'_>, Times)], room: usize) -> Vec<u32> {
    let mut best = vec![0i64; room + 1];
    let mut used = vec![false; (room + 1) * choices.len()];
    for (&(choice, times), used) in choices.iter().zip(used.chunks_mut(room + 1)) {
        if choice.value <= 0 {
            continue;
        }
        let mut step = |at: usize| {
            let value = best[choice.steps[at - choice.first] as usize] + choice.value;
            if value > best[at] {
                best[at] = value;
                used[at] = true;
            }
        };
        match times {
            Times::Any => (choice.first..=room).for_each(&mut step),
            Times::Once => (choice.first..=room).rev().for_each(&mut step),
        }
    }
    let mut counts = vec![0; choices.len()];
    let mut left = room;
    for (i, (choice, times)) in choices.iter().enumerate().rev() {
        while used[i * (room + 1) + left] {
            counts[i] += 1;
            left = choice.after(left).expect("a choice is marked only where it fits");
            if *times == Times::Once {
                break;
            }
        }
    }
    counts
}

/// Nothing more goes into this room.
const EMPTY: u32 = u32::MAX;
/// The next smaller room is filled as well.
const SMALLER: u32 = u32::MAX - 1;

/// Best fillings of every room up to a largest one, each choice any number of times.
#[derive(Debug, Clone, Default)]
pub(super) struct Fillings {
    best: Vec<i64>,
    next: Vec<u32>,
}

impl Fillings {
    /// Solves for rooms `0..=last`.
    pub(super) fn solve(&mut self, choices: &[Choice<'_>], last: usize) {
        self.best.clear();
        self.next.clear();
        self.best.reserve(last + 1);
        self.next.reserve(last + 1);
        for room in 0..=last {
            let (mut value, mut next) = match room.checked_sub(1) {
                Some(smaller) => (self.best[smaller], SMALLER),
                None => (0, EMPTY),
            };
            for (i, choice) in choices.iter().enumerate() {
                if let Some(left) = choice.after(room) {
                    let with = self.best[left] + choice.value;
                    if with > value {
                        (value, next) = (with, i as u32);
                    }
                }
            }
            self.best.push(value);
            self.next.push(next);
        }
    }

    /// Value of the best filling of `room`.
    pub(super) fn value(&self, room: usize) -> i64 {
        self.best[room]
    }

    /// The choices in a best filling of `room`, one entry each time.
    pub(super) fn taken(&self, choices: &[Choice<'_>], room: usize) -> Vec<usize> {
        let mut taken = Vec::new();
        let mut left = room;
        loop {
            match self.next[left] {
                EMPTY => return taken,
                SMALLER => left -= 1,
                choice => {
                    taken.push(choice as usize);
                    left = choices[choice as usize].after(left).expect("a choice is noted only where it fits");
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::grid::Grid;
    use super::*;
    use proptest::prelude::*;

    /// Every filling, one by one.
    fn brute(items: &[(i64, i64, u32)], room: i64) -> i64 {
        match items.split_first() {
            None => 0,
            Some((&(size, value, most), rest)) => (0..=i64::from(most))
                .take_while(|n| n * size <= room)
                .map(|n| n * value + brute(rest, room - n * size))
                .max()
                .unwrap_or(0),
        }
    }

    proptest! {
        #[test]
        fn fillings_equal_brute_force(items in prop::collection::vec((2i64..9, 1i64..50), 1..4), room in 0i64..30) {
            let sizes: Vec<i64> = items.iter().map(|item| item.0).collect();
            let grid = Grid::new(&sizes, room).unwrap();
            let last = grid.floor(room);
            let steps: Vec<_> = sizes.iter().map(|&size| grid.steps(size, last)).collect();
            let choices: Vec<Choice> = items.iter().zip(&steps)
                .map(|(item, (first, steps))| Choice { value: item.1, first: *first, steps }).collect();
            let any: Vec<_> = items.iter().map(|&(size, value)| (size, value, 99)).collect();
            let mut fillings = Fillings::default();
            fillings.solve(&choices, last);
            prop_assert_eq!(fillings.value(last), brute(&any, room));
            let chosen: i64 = fillings.taken(&choices, last).into_iter().map(|i| items[i].1).sum();
            prop_assert_eq!(chosen, fillings.value(last));

            let once: Vec<_> = choices.iter().map(|&choice| (choice, Times::Once)).collect();
            let mut best = vec![0; last + 1];
            for &(choice, times) in &once {
                fill(&mut best, choice, times);
            }
            let single: Vec<_> = items.iter().map(|&(size, value)| (size, value, 1)).collect();
            prop_assert_eq!(best[last], brute(&single, room));
            let counts = taken(&once, last);
            prop_assert_eq!(counts.iter().zip(&items).map(|(&n, item)| i64::from(n) * item.1).sum::<i64>(), best[last]);
            prop_assert!(counts.iter().zip(&items).map(|(&n, item)| i64::from(n) * item.0).sum::<i64>() <= room);
        }
    }
}
