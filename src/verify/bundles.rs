//! Bundles: every strip is tied once at most, and every door gets what it needs of each part.

use std::collections::{BTreeMap, BTreeSet};

use super::demand::{Size, Wanted, size_of, wanted};
use super::{Claim, Violation};

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    check_given(claim, found);
    check_doors(claim, found);
    check_pairs(claim, found);
}

/// No board gives more strips of a part than are cut from it, nor anything that is not there.
fn check_given(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let given = &claim.tied.given;
    if given
        .windows(2)
        .any(|rows| (rows[0].board, rows[0].part, rows[0].bundle) >= (rows[1].board, rows[1].part, rows[1].bundle))
    {
        found.push(Violation::BundlesUnsorted);
    }
    let mut drawn: BTreeMap<(usize, usize), u128> = BTreeMap::new();
    for row in given {
        let there = row.board < claim.boards.boards.len()
            && row.part < claim.parts.len()
            && row.bundle < claim.bundles.len()
            && row.strips > 0;
        if there {
            *drawn.entry((row.board, row.part)).or_default() += u128::from(row.strips);
        } else {
            found.push(Violation::BundleUnknown {
                board: row.board.saturating_add(1),
                part: row.part,
                bundle: row.bundle,
            });
        }
    }
    for ((board, part), tied) in drawn {
        let blanks = &claim.boards.boards[board].blanks;
        let rows = blanks.iter().flat_map(|blank| blank.rips.iter().map(move |row| (blank, row)));
        let of_part = rows.filter(|(_, row)| row.part == part);
        let cut = of_part.map(|(blank, row)| u128::from(row.rips) * u128::from(row.pieces) * u128::from(blank.leaves));
        let cut: u128 = cut.fold(0, u128::saturating_add);
        if tied > cut {
            found.push(Violation::BundleOverdrawn {
                board: board + 1,
                part: claim.parts[part].name.clone(),
                tied,
                cut,
            });
        }
    }
}

/// Each copy of a door, and the loose strips of each name, have one bundle, with just what it asks for.
fn check_doors(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let mut ours: BTreeMap<(&str, bool), Vec<usize>> = BTreeMap::new();
    for (at, bundle) in claim.bundles.iter().enumerate() {
        ours.entry((&bundle.name, bundle.door)).or_default().push(at);
    }
    let mut has: BTreeMap<usize, BTreeMap<usize, u128>> = BTreeMap::new();
    for row in &claim.tied.given {
        *has.entry(row.bundle).or_default().entry(row.part).or_default() += u128::from(row.strips);
    }
    let wanted = wanted(claim);
    let asked = asked(claim, &wanted);
    let doors = claim.doors.iter().map(|door| ((door.name.as_str(), true), door.count));
    let names: BTreeSet<&str> = claim.job.strips.iter().map(|strip| strip.name.as_str()).collect();
    let loose = names.into_iter().map(|name| ((name, false), 1));
    for (key, copies) in doors.chain(loose) {
        let ours = ours.get(&key).map_or(&[][..], Vec::as_slice);
        if ours.len() != copies as usize {
            found.push(Violation::BundleCount { name: key.0.to_owned(), claimed: ours.len(), expected: copies });
            continue;
        }
        let asks = asked.get(&key).cloned().unwrap_or_default();
        for bundle in ours {
            let has = has.get(bundle).cloned().unwrap_or_default();
            let parts: BTreeSet<usize> = asks.keys().chain(has.keys()).copied().collect();
            for part in parts {
                let claimed = has.get(&part).copied().unwrap_or(0);
                let expected = asks.get(&part).copied().unwrap_or(0) / u128::from(copies.max(1));
                if claimed != expected && part < claim.parts.len() {
                    let (part, mark) = (claim.parts[part].name.clone(), claim.bundles[*bundle].mark.clone());
                    found.push(Violation::BundleStrips { name: key.0.to_owned(), mark, part, claimed, expected });
                }
            }
        }
    }
}

/// Strips that an asker wants of each part, all copies together. What no part holds is named elsewhere.
fn asked<'a>(claim: &Claim<'_>, wanted: &'a [Wanted]) -> BTreeMap<(&'a str, bool), BTreeMap<usize, u128>> {
    let parts: BTreeMap<Size, usize> = claim.parts.iter().enumerate().map(|(at, part)| (size_of(part), at)).collect();
    let mut asked: BTreeMap<(&str, bool), BTreeMap<usize, u128>> = BTreeMap::new();
    for want in wanted {
        if let Some(part) = parts.get(&want.size) {
            let strips = asked.entry((&want.asker, want.door)).or_default().entry(*part).or_default();
            *strips += u128::from(want.strips);
        }
    }
    asked
}

/// The pairs of doors and boards, counted again.
fn check_pairs(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let is_door = |bundle: usize| claim.bundles.get(bundle).is_some_and(|bundle| bundle.door);
    let pairs: BTreeSet<(usize, usize)> =
        claim.tied.given.iter().filter(|row| is_door(row.bundle)).map(|row| (row.bundle, row.board)).collect();
    let (claimed, bound) = (claim.tied.pairs, claim.tied.bound);
    if claimed != pairs.len() as u64 || bound > claimed {
        found.push(Violation::BundlePairs { claimed, bound, expected: pairs.len() });
    }
}
