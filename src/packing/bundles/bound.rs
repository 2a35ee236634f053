//! Fewest pairs of doors and boards that any tying can have.

use std::collections::BTreeMap;

use super::flow::Flows;
use super::search::{Outcome, Search};

/// Steps of the search for the fewest boards of one bundle.
const WORK: u64 = 2_000;

/// Boards that all these searches together may look at.
const MOST_LOOKED_AT: u64 = 3_000_000;

/// No bundle does with fewer boards than it is said to, others left out of account, as far as short searches
/// show; equal bundles are counted once. Nothing must be given yet.
pub(super) fn fewest(flows: &mut Flows, bundles: &[usize]) -> Vec<usize> {
    let mut known: BTreeMap<Vec<(usize, u64)>, usize> = BTreeMap::new();
    let mut fewest = Vec::with_capacity(bundles.len());
    let mut looked_at = 0;
    for &bundle in bundles {
        if let Some(&boards) = known.get(flows.takes(bundle)) {
            fewest.push(boards);
            continue;
        }
        let (mut boards, looked) = fewest_boards(flows, bundle, looked_at < MOST_LOOKED_AT);
        looked_at += looked;
        let sources = flows.takes(bundle).iter().map(|take| flows.sources(take.0).len() as u64).sum::<u64>();
        while looked_at < MOST_LOOKED_AT {
            let mut search = Search::new(flows, vec![(bundle, boards)], WORK);
            let outcome = search.run(boards);
            looked_at += sources + search.spent();
            if outcome != Outcome::None {
                break;
            }
            boards += 1;
        }
        flows.release(bundle);
        known.insert(flows.takes(bundle).to_vec(), boards);
        fewest.push(boards);
    }
    flows.settle();
    fewest
}

/// No fewer boards yield all a bundle takes: the most that any one of its parts asks for, and two where one
/// would do for each part but none does for all. And how many boards that looked at.
fn fewest_boards(flows: &Flows, bundle: usize, look: bool) -> (usize, u64) {
    let takes = flows.takes(bundle);
    let most = takes.iter().map(|&(part, want)| flows.fewest_for(part, want)).max().unwrap_or(0);
    let rarest = takes.iter().map(|take| flows.sources(take.0)).min_by_key(|boards| boards.len());
    let Some(rarest) = rarest.filter(|_| most == 1 && look) else { return (most, 0) };
    let whole = |&board: &usize| takes.iter().all(|&(part, want)| flows.supply(board, part) >= want);
    match rarest.iter().position(whole) {
        Some(at) => (1, at as u64 + 1),
        None => (2, rarest.len() as u64),
    }
}

/// The larger of two bounds, for each part that is the main one of some doors: the sum over its doors
/// of what each needs alone; and the linear relaxation, in which a strip off a board costs one over
/// the most that board can give one door, so that large boards are filled first.
pub(super) fn pairs(flows: &Flows, doors: &[usize], fewest: &[usize]) -> u64 {
    let mut by_main: BTreeMap<usize, (u64, u64, u64)> = BTreeMap::new();
    for (&door, &fewest) in doors.iter().zip(fewest) {
        let Some(&(part, want)) = flows.takes(door).iter().max_by_key(|take| (take.1, std::cmp::Reverse(take.0)))
        else {
            continue;
        };
        let (alone, wanted, most) = by_main.entry(part).or_default();
        *alone += fewest as u64;
        *wanted += want;
        *most = (*most).max(want);
    }
    let relaxed = |part: usize, wanted: u64, most: u64| {
        let mut yields: Vec<u64> = flows.sources(part).iter().map(|&board| flows.supply(board, part)).collect();
        yields.sort_unstable_by(|a, b| b.cmp(a));
        relaxed_pairs(&yields, wanted, most)
    };
    by_main.into_iter().map(|(part, (alone, wanted, most))| alone.max(relaxed(part, wanted, most))).sum()
}

/// Sum over boards, largest first, of strips drawn over the most that one door takes from it; up.
fn relaxed_pairs(yields: &[u64], mut wanted: u64, most: u64) -> u64 {
    // In millionths, each rounded down.
    let mut millionths: u64 = 0;
    for &strips in yields.iter().filter(|&&strips| strips > 0) {
        let drawn = strips.min(wanted);
        millionths += drawn * 1_000_000 / strips.min(most);
        wanted -= drawn;
    }
    millionths.div_ceil(1_000_000)
}

#[cfg(test)]
mod tests {
    use super::relaxed_pairs;

    #[test]
    fn large_boards_are_filled_first() {
        // 30 strips for doors of 10: 20 off a board of 20 are two pairs, 10 off boards of 5 two more.
        assert_eq!(relaxed_pairs(&[20, 5, 5, 5], 30, 10), 4);
        assert_eq!(relaxed_pairs(&[20, 20], 30, 10), 3);
    }
}
