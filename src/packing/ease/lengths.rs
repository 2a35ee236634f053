//! Fewer blank lengths: blanks grow to a longer blank's length where their board has room.

use std::collections::BTreeSet;

use super::room;
use crate::job::Order;
use crate::measure::Length;
use crate::packing::boards::{Blank, BoardProblem, CutBoard};

/// Lengths decided on by search; of more only the longest, the rest stay.
const MOST_LENGTHS: usize = 64;

/// Board sums that the search may work out.
const WORK: u64 = 60_000;

/// Boards with as few different blank lengths as are found, never more than there were; of equally few
/// lengths those that take least wood.
pub(super) fn share(problem: &BoardProblem, boards: &[CutBoard]) -> Vec<CutBoard> {
    let mut shared = boards.to_vec();
    shrink(problem, &mut shared);
    grow(problem, &mut shared);
    shared.iter_mut().for_each(|board| room::lay_out(problem, board));
    if distinct(&shared).len() <= distinct(boards).len() { shared } else { boards.to_vec() }
}

fn distinct(boards: &[CutBoard]) -> BTreeSet<Length> {
    let crosscut = boards.iter().filter(|board| board.order == Order::CrosscutFirst);
    crosscut.flat_map(|board| &board.blanks).map(|blank| blank.length).collect()
}

/// Cuts blanks no longer than what lies in them asks for.
fn shrink(problem: &BoardProblem, boards: &mut [CutBoard]) {
    for board in boards.iter_mut().filter(|board| room::is_free(problem, board)) {
        for blank in &mut board.blanks {
            blank.length = blank.length.min(least(problem, blank));
        }
        board.blanks.sort_by_key(|blank| std::cmp::Reverse(blank.length));
    }
}

/// The least length of a blank for its rips.
fn least(problem: &BoardProblem, blank: &Blank) -> Length {
    let rules = &problem.rules;
    let rip = |part: usize, pieces: u32| {
        (problem.parts[part].length + rules.length_trim + rules.crosscut_kerf) * i64::from(pieces) - rules.crosscut_kerf
    };
    blank.rips.iter().map(|rips| rip(rips.part, rips.pieces)).fold(rules.min_blank, Length::max)
}

/// A board with room left along it.
#[derive(Clone)]
struct Row {
    /// Blanks of each length, by the place of the length.
    blanks: Vec<(usize, u32)>,
    slack: i64,
}

/// Gives up as many lengths as can be: each is either kept, or all its blanks take the next longer one
/// that is kept. Of equally few lengths those that add least wood are taken.
fn grow(problem: &BoardProblem, boards: &mut [CutBoard]) {
    let crosscut = |board: &&CutBoard| board.order == Order::CrosscutFirst;
    // Longest first: a blank that grows takes a length before its own in this list.
    let lengths: Vec<Length> = distinct(boards).into_iter().rev().take(MOST_LENGTHS).collect();
    let mut rows: Vec<Row> = boards.iter().filter(crosscut).map(|board| row(problem, board, &lengths)).collect();
    // Equal boards are decided on together.
    rows.sort_by(|a, b| (&a.blanks, a.slack).cmp(&(&b.blanks, b.slack)));
    rows.dedup_by(|a, b| (&a.blanks, a.slack) == (&b.blanks, b.slack));
    let mut search = Search { lengths: &lengths, best: None, work: WORK };
    search.from(0, &mut Vec::new(), (0, 0), &rows);
    let Some((_, kept)) = search.best else { return };
    for board in boards.iter_mut().filter(|board| room::is_free(problem, board)) {
        for blank in &mut board.blanks {
            if let Some(at) = lengths.iter().position(|&length| length == blank.length) {
                blank.length = lengths[kept[at]];
            }
        }
    }
}

fn row(problem: &BoardProblem, board: &CutBoard, lengths: &[Length]) -> Row {
    let mut blanks: Vec<(usize, u32)> = Vec::new();
    for blank in &board.blanks {
        let Some(at) = lengths.iter().position(|&length| length == blank.length) else { continue };
        match blanks.binary_search_by_key(&at, |known| known.0) {
            Ok(known) => blanks[known].1 += 1,
            Err(place) => blanks.insert(place, (at, 1)),
        }
    }
    // Where there are defects no blank grows.
    Row { blanks, slack: if room::is_free(problem, board) { room::left_along(problem, board).nm() } else { 0 } }
}

/// Depth first from the longest length: given up if the boards have room, else kept.
struct Search<'a> {
    lengths: &'a [Length],
    /// Lengths kept and wood added, and for each length the place of the one its blanks take.
    best: Option<((usize, i128), Vec<usize>)>,
    work: u64,
}

impl Search<'_> {
    fn from(&mut self, at: usize, takes: &mut Vec<usize>, so_far: (usize, i128), rows: &[Row]) {
        if self.best.as_ref().is_some_and(|best| so_far >= best.0) || (self.best.is_some() && self.work == 0) {
            return;
        }
        if at == self.lengths.len() {
            self.best = Some((so_far, takes.clone()));
            return;
        }
        if let Some(&longer) = takes.last() {
            self.work = self.work.saturating_sub(rows.len() as u64);
            if let Some((grown, wood)) = grown(rows, at, (self.lengths[longer] - self.lengths[at]).nm()) {
                takes.push(longer);
                self.from(at + 1, takes, (so_far.0, so_far.1 + wood), &grown);
                takes.pop();
            }
        }
        takes.push(at);
        self.from(at + 1, takes, (so_far.0 + 1, so_far.1), rows);
        takes.pop();
    }
}

/// The boards with blanks of one length grown, and the wood that takes; `None` when one has no room.
fn grown(rows: &[Row], at: usize, by: i64) -> Option<(Vec<Row>, i128)> {
    let mut wood = 0;
    let grow = |row: &Row| {
        let mut row = row.clone();
        if let Ok(place) = row.blanks.binary_search_by_key(&at, |known| known.0) {
            let more = by * i64::from(row.blanks[place].1);
            row.slack -= more;
            wood += i128::from(more);
        }
        (row.slack >= 0).then_some(row)
    };
    let rows: Option<Vec<Row>> = rows.iter().map(grow).collect();
    rows.map(|rows| (rows, wood))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(slack: i64, blanks: &[(usize, u32)]) -> Row {
        Row { blanks: blanks.to_vec(), slack }
    }

    /// Fewest lengths and least wood by trying every set that is kept.
    fn brute(lengths: &[i64], rows: &[Row]) -> (usize, i128) {
        let sets = (0u32..1 << lengths.len()).filter(|set| set & 1 == 1);
        let of_set = |set: u32| {
            let takes = |at: usize| (0..=at).rev().find(|&kept| set >> kept & 1 == 1).expect("the longest is kept");
            let grown = |row: &Row| -> i64 {
                row.blanks.iter().map(|&(at, count)| (lengths[takes(at)] - lengths[at]) * i64::from(count)).sum()
            };
            let fits = rows.iter().all(|row| grown(row) <= row.slack);
            fits.then(|| (set.count_ones() as usize, rows.iter().map(|row| i128::from(grown(row))).sum()))
        };
        sets.filter_map(of_set).min().expect("keeping all lengths always does")
    }

    #[test]
    fn as_few_lengths_as_any_choice_has() {
        let mut seed = 7u64;
        let mut below = |limit: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % limit
        };
        for _ in 0..300 {
            let mut lengths: Vec<i64> = (0..1 + below(7)).map(|_| 10 + below(30) as i64).collect();
            lengths.sort_unstable_by(|a, b| b.cmp(a));
            lengths.dedup();
            let rows: Vec<Row> = (0..1 + below(4))
                .map(|_| {
                    let mut at: Vec<usize> = (0..1 + below(3)).map(|_| below(lengths.len() as u64) as usize).collect();
                    at.sort_unstable();
                    at.dedup();
                    let blanks: Vec<(usize, u32)> = at.into_iter().map(|at| (at, 1 + below(2) as u32)).collect();
                    row(below(25) as i64, &blanks)
                })
                .collect();
            let sizes: Vec<Length> = lengths.iter().map(|&nm| Length::from_nm(nm)).collect();
            let mut search = Search { lengths: &sizes, best: None, work: WORK };
            search.from(0, &mut Vec::new(), (0, 0), &rows);
            assert_eq!(search.best.map(|best| best.0), Some(brute(&lengths, &rows)), "{lengths:?}");
        }
    }
}
