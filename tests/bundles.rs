//! Tying doors from the fewest boards, against every choice of boards there is.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use crate::boards_support;
use crate::common::some_of;

use std::collections::BTreeMap;

use boards_support::jobs::Dice;
use slatwright::packing::bundles::{BundleProblem, Tied, Want, tie};

fn tiny(dice: &mut Dice) -> BundleProblem {
    let parts = dice.between(1, 3) as usize;
    let mut wants: Vec<Want> = Vec::new();
    for at in 0..dice.between(1, 4) {
        // Copies of one door, as often as not.
        if at > 0 && dice.chance(3) {
            wants.push(wants[0].clone());
            continue;
        }
        let slats = dice.below(parts as u64) as usize;
        let mut takes = BTreeMap::from([(slats, dice.between(1, 12) as u64)]);
        if dice.chance(2) {
            *takes.entry(dice.below(parts as u64) as usize).or_insert(0) += 1;
        }
        wants.push(Want { takes: takes.into_iter().collect(), door: true });
    }
    let mut boards: Vec<BTreeMap<usize, u64>> = vec![BTreeMap::new(); dice.between(1, 5) as usize];
    for part in 0..parts {
        let wanted: u64 = wants.iter().flat_map(|w| &w.takes).filter(|take| take.0 == part).map(|take| take.1).sum();
        let mut left = wanted + dice.below(1 + wanted / 3);
        while left > 0 {
            let board = dice.below(boards.len() as u64) as usize;
            let strips = left.min(dice.between(1, 9) as u64);
            *boards[board].entry(part).or_insert(0) += strips;
            left -= strips;
        }
    }
    BundleProblem { boards: boards.into_iter().map(|board| board.into_iter().collect()).collect(), wants }
}

/// For chosen boards the strips suffice when no set of doors wants more of a part than the boards chosen
/// for any of them yield (Gale, "A theorem on flows in networks", Pacific Journal of Mathematics 7, 1957).
fn suffice(problem: &BundleProblem, chosen: &[u32]) -> bool {
    let parts = 1 + problem.wants.iter().flat_map(|want| &want.takes).map(|take| take.0).max().unwrap_or(0);
    (0..parts).all(|part| {
        (1u32..1 << problem.wants.len()).all(|doors| {
            let of_set = |at: &usize| doors >> at & 1 == 1;
            let takes = |at: usize| problem.wants[at].takes.iter().find(|take| take.0 == part).map_or(0, |take| take.1);
            let set: Vec<usize> = (0..problem.wants.len()).filter(of_set).filter(|&at| takes(at) > 0).collect();
            let reach = set.iter().fold(0, |boards, &at| boards | chosen[at]);
            let yields = |board: usize| problem.boards[board].iter().find(|y| y.0 == part).map_or(0, |y| y.1);
            let there: u64 = (0..problem.boards.len()).filter(|board| reach >> board & 1 == 1).map(yields).sum();
            set.into_iter().map(takes).sum::<u64>() <= there
        })
    })
}

fn fewest_pairs(problem: &BundleProblem, chosen: &mut Vec<u32>, best: &mut u32) {
    let pairs: u32 = chosen.iter().map(|boards| boards.count_ones()).sum();
    if pairs >= *best {
        return;
    }
    if chosen.len() == problem.wants.len() {
        if suffice(problem, chosen) {
            *best = pairs;
        }
        return;
    }
    for boards in 0u32..1 << problem.boards.len() {
        chosen.push(boards);
        fewest_pairs(problem, chosen, best);
        chosen.pop();
    }
}

/// Every bundle has what it takes, no board gives what it has not, the pairs are counted right.
fn check(problem: &BundleProblem, tied: &Tied) {
    let mut has: BTreeMap<(usize, usize), u64> = BTreeMap::new();
    let mut off: BTreeMap<(usize, usize), u64> = BTreeMap::new();
    for given in &tied.given {
        assert!(given.strips > 0);
        *has.entry((given.bundle, given.part)).or_default() += given.strips;
        *off.entry((given.board, given.part)).or_default() += given.strips;
    }
    for (bundle, want) in problem.wants.iter().enumerate() {
        for &(part, strips) in want.takes.iter().filter(|take| take.1 > 0) {
            assert_eq!(has.remove(&(bundle, part)), Some(strips));
        }
    }
    assert_eq!(has, BTreeMap::new());
    for ((board, part), strips) in off {
        assert!(problem.boards[board].iter().any(|&(of, there)| of == part && strips <= there));
    }
    let mut pairs: Vec<(usize, usize)> =
        tied.given.iter().filter(|given| problem.wants[given.bundle].door).map(|g| (g.bundle, g.board)).collect();
    pairs.sort_unstable();
    pairs.dedup();
    assert_eq!(pairs.len() as u64, tied.pairs);
    assert!(tied.bound <= tied.pairs);
}

#[test]
fn small_jobs_have_the_fewest_pairs_there_are() {
    let mut several = 0;
    for seed in 0..some_of(600) {
        let problem = tiny(&mut Dice::new(seed));
        let tied = tie(&problem).unwrap();
        check(&problem, &tied);
        let mut best = u32::MAX;
        fewest_pairs(&problem, &mut Vec::new(), &mut best);
        assert_eq!(tied.pairs, u64::from(best), "seed {seed}: {problem:?}");
        assert_eq!(tied.bound, tied.pairs, "seed {seed} is proven");
        several += u32::from(u64::from(best) > problem.wants.len() as u64);
    }
    assert!(several > some_of(200), "the generator makes too few jobs whose doors take several boards: {several}");
}

#[test]
fn what_is_not_there_cannot_be_tied() {
    let wants = vec![Want { takes: vec![(0, 5)], door: true }];
    assert_eq!(tie(&BundleProblem { boards: vec![vec![(0, 4)]], wants }), None);
}

/// Doors of a shop: boards of 24 slats or 18 slats with three lead slats, doors of 31 and one.
fn shop(doors: usize) -> BundleProblem {
    let wants = vec![Want { takes: vec![(0, 31), (1, 1)], door: true }; doors];
    let boards = (0..doors * 3 / 2).map(|at| if at % 4 == 0 { vec![(0, 18), (1, 3)] } else { vec![(0, 24)] });
    BundleProblem { boards: boards.collect(), wants }
}

#[test]
fn a_large_job_is_tied_the_same_way_every_time_near_its_bound() {
    let problem = shop(200);
    let tied = tie(&problem).unwrap();
    check(&problem, &tied);
    assert_eq!(tied, tie(&problem).unwrap());
    assert!(tied.pairs * 10 <= tied.bound * 13, "{} pairs, bound {}", tied.pairs, tied.bound);
}

#[test]
fn loose_strips_take_what_the_doors_leave() {
    let wants = vec![
        Want { takes: vec![(0, 6)], door: false },
        Want { takes: vec![(0, 8)], door: true },
        Want { takes: vec![(0, 4)], door: true },
    ];
    let problem = BundleProblem { boards: vec![vec![(0, 5)], vec![(0, 8)], vec![(0, 5)]], wants };
    let tied = tie(&problem).unwrap();
    check(&problem, &tied);
    assert_eq!((tied.pairs, tied.bound), (2, 2));
}

/// A hundred strips off a hundred boards: more than a search for room visits.
#[test]
fn a_bundle_may_take_from_more_boards_than_are_searched() {
    for door in [false, true] {
        let wants = vec![Want { takes: vec![(0, 100)], door }, Want { takes: vec![(0, 100), (1, 1)], door: true }];
        let boards: Vec<Vec<(usize, u64)>> = (0..200).map(|at| vec![(0, 1), (1, u64::from(at == 7))]).collect();
        let boards = boards.into_iter().map(|board| board.into_iter().filter(|part| part.1 > 0).collect()).collect();
        let problem = BundleProblem { boards, wants };
        check(&problem, &tie(&problem).unwrap());
    }
}
