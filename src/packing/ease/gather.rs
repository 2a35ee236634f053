//! The waste of boards gathered on one of them, so that a single large offcut is left.

use std::collections::BTreeMap;

use super::figures::{Offcut, largest_offcut, usable_offcut};
use super::{bundle_problem, bundles, room};
use crate::packing::boards::{Blank, BoardProblem, CutBoard};
use crate::packing::bundles::Want;

/// Boards tried as the one that keeps the offcut, most promising first.
const TARGETS: usize = 6;

/// Boards that are filled for each of them, those with most room first.
const OTHERS: usize = 20;

/// Sums of lengths followed when a board is filled.
const SUMS: usize = 400;

/// Blanks that a choice is made among.
const BITS: usize = 64;

/// Tyings that may be counted, for a single door; fewer the more doors there are.
const TYINGS: usize = 600;

/// Boards that take as long to count as a door.
const BOARDS_A_DOOR: usize = 16;

/// Moves blanks between boards so that the largest offcut grows, as long as no door takes strips from
/// more boards for it.
pub(super) fn gather(problem: &BoardProblem, boards: &mut Vec<CutBoard>, wants: &[Want]) {
    let size = |boards: &[CutBoard], at: usize| usable_offcut(problem, boards, at).map(|offcut| offcut.size());
    let mut best = largest_offcut(problem, boards).map(Offcut::size);
    let doors = wants.iter().filter(|want| want.door).count();
    let mut left = TYINGS / doors.max(boards.len() / BOARDS_A_DOOR).max(1);
    let mut pairs = None;
    for target in targets(problem, boards) {
        let mut tried = boards.clone();
        let mut now = pairs;
        if left == 0 {
            break;
        }
        for other in others(problem, boards, target) {
            let before = (tried[target].clone(), tried[other].clone());
            if left == 0 || !fill(problem, &mut tried, target, other) {
                continue;
            }
            left -= 1;
            let most = *now.get_or_insert_with(|| bundles::quick_pairs(&bundle_problem(boards, wants)));
            let after = bundles::quick_pairs(&bundle_problem(&tried, wants));
            if after <= most {
                now = Some(after);
            } else {
                (tried[target], tried[other]) = before;
            }
        }
        let found = size(&tried, target);
        if found > best {
            (*boards, best, pairs) = (tried, found, now);
        }
    }
}

/// Boards that may keep the offcut: those with most room left first.
fn targets(problem: &BoardProblem, boards: &[CutBoard]) -> Vec<usize> {
    let mut targets: Vec<usize> = (0..boards.len()).filter(|&at| room::is_free(problem, &boards[at])).collect();
    let face = |at: usize| {
        i128::from(problem.stock[boards[at].stock].width.nm()) * i128::from(room::left_along(problem, &boards[at]).nm())
    };
    targets.sort_by_cached_key(|&at| (std::cmp::Reverse(face(at)), at));
    targets.truncate(TARGETS);
    targets
}

/// Boards of the same wood and thickness with room left.
fn others(problem: &BoardProblem, boards: &[CutBoard], target: usize) -> Vec<usize> {
    let wood = |at: usize| (problem.stock[boards[at].stock].label, problem.stock[boards[at].stock].thickness);
    let alike = |&at: &usize| {
        at != target
            && room::is_free(problem, &boards[at])
            && wood(at) == wood(target)
            && room::left_along(problem, &boards[at]).is_positive()
    };
    let mut others: Vec<usize> = (0..boards.len()).filter(alike).collect();
    others.sort_by_cached_key(|&at| (std::cmp::Reverse(room::left_along(problem, &boards[at])), at));
    others.truncate(OTHERS);
    others
}

/// True when the rips of a blank fit across a board.
fn fits(problem: &BoardProblem, blank: &Blank, board: &CutBoard) -> bool {
    room::sawn(problem, blank) <= room::across(problem, board)
}

/// Shares the blanks of two boards out so that `other` is as full as can be; true when it is fuller.
fn fill(problem: &BoardProblem, boards: &mut [CutBoard], target: usize, other: usize) -> bool {
    let kerf = problem.rules.crosscut_kerf.nm();
    // What must stay where it is, and what may lie on either board.
    let (movable, stay_there): (Vec<Blank>, Vec<Blank>) =
        boards[other].blanks.iter().cloned().partition(|blank| fits(problem, blank, &boards[target]));
    let (to_move, stay_here): (Vec<Blank>, Vec<Blank>) =
        boards[target].blanks.iter().cloned().partition(|blank| fits(problem, blank, &boards[other]));
    let held: i64 = stay_there.iter().map(|blank| blank.length.nm() + kerf).sum();
    let cut: i64 = boards[other].blanks.iter().map(|blank| blank.length.nm() + kerf).sum();
    let room = room::left_along(problem, &boards[other]).nm() + cut - held;
    let now: i64 = movable.iter().map(|blank| blank.length.nm() + kerf).sum();
    // Its own blanks first: of equal sums the one that moves least is found first.
    let pool: Vec<Blank> = movable.into_iter().chain(to_move).collect();
    let sizes: Vec<i64> = pool.iter().map(|blank| blank.length.nm() + kerf).collect();
    let Some((sum, chosen)) = fullest(&sizes, room).filter(|(sum, _)| *sum > now) else { return false };
    assert!(sum <= room, "what is chosen fits");
    let (there, here): (Vec<_>, Vec<_>) =
        pool.into_iter().enumerate().partition(|(at, _)| *at < BITS && chosen >> at & 1 == 1);
    let joined = |stay: Vec<Blank>, more: Vec<(usize, Blank)>| {
        let mut blanks: Vec<Blank> = stay.into_iter().chain(more.into_iter().map(|(_, blank)| blank)).collect();
        blanks.sort_by_key(|blank| std::cmp::Reverse(blank.length));
        blanks
    };
    let here = joined(stay_here, here);
    // A board with nothing on it is no board of the plan any more, and that would change its cost.
    if here.is_empty() {
        return false;
    }
    boards[other].blanks = joined(stay_there, there);
    boards[target].blanks = here;
    [target, other].into_iter().for_each(|at| room::lay_out(problem, &mut boards[at]));
    true
}

/// The choice of sizes with the largest sum that fits, as a set of bits.
fn fullest(sizes: &[i64], room: i64) -> Option<(i64, u64)> {
    let mut sums: BTreeMap<i64, u64> = BTreeMap::from([(0, 0)]);
    for (at, &size) in sizes.iter().enumerate().take(BITS) {
        let more: Vec<(i64, u64)> =
            sums.range(..=room - size).map(|(sum, chosen)| (sum + size, chosen | 1 << at)).collect();
        for (sum, chosen) in more {
            sums.entry(sum).or_insert(chosen);
        }
        if sums.len() > SUMS {
            break;
        }
    }
    sums.pop_last()
}

#[cfg(test)]
mod tests {
    use super::fullest;

    #[test]
    fn a_board_is_filled_as_far_as_it_goes() {
        assert_eq!(fullest(&[50, 30, 20, 45], 96), Some((95, 0b1001)));
        assert_eq!(fullest(&[50], 40), Some((0, 0)));
    }
}
