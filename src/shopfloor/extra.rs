//! The extra strips of least wood that make enough straight ones likely.

use std::collections::BTreeMap;

use super::standing::exact;
use super::{FloorError, Standing};
use crate::demand::{Family, Part, Size, least_wood};
use crate::job::Job;

/// Most strips of one part that an extra cutting may ask for.
const MOST_EXTRA: u64 = 20_000;

/// Parts that serve each other, with their places: those whose spares answer the confidence, by section and millings, the
/// longest first; any other stands alone.
fn families(parts: &[Part], standing: &Standing, salvaged: &[u64]) -> Vec<(Family, Vec<usize>)> {
    let mut together: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (at, part) in parts.iter().enumerate() {
        let alone = (!part.at_risk).then_some(at);
        together.entry((part.section(), part.millings, alone)).or_default().push(at);
    }
    let mut families = Vec::new();
    for mut places in together.into_values() {
        places.sort_by_key(|at| std::cmp::Reverse(parts[*at].length));
        let size = |&at: &usize| Size {
            lacking: standing.wanted[at].cast_signed()
                - (standing.straight[at] + salvaged[at]).cast_signed()
                - standing.by_crosscut[at],
            coming: standing.remaining[at],
            mean: standing.rates[at].mean,
            wood: wood(&parts[at]),
        };
        let first = places[0];
        let family = Family {
            belief: standing.rates[first],
            sizes: places.iter().map(size).collect(),
            granted: standing.granted[first],
        };
        let mut places = places.into_iter();
        for family in family.parted() {
            let here = places.by_ref().take(family.sizes.len()).collect();
            families.push((family, here));
        }
    }
    families
}

/// Wood in a strip.
fn wood(part: &Part) -> i128 {
    (part.length * part.width * part.thickness).nm3()
}

/// The chance that so many strips of a part are enough before any is cut.
pub(super) fn chance_of(part: &Part, wanted: u64, cut: u64) -> f64 {
    let size = Size { lacking: wanted.cast_signed(), coming: cut, mean: part.belief.mean, wood: wood(part) };
    Family { belief: part.belief, sizes: vec![size], granted: 1.0 }.chance(&[0])
}

/// The chance that every part has enough, held against what was granted.
pub(super) fn chance(parts: &[Part], standing: &Standing, salvaged: &[u64]) -> f64 {
    let families = families(parts, standing, salvaged);
    families.iter().map(|(family, places)| (family.chance(&vec![0; places.len()]) / family.granted).min(1.0)).product()
}

/// The extra strips of least wood that reach the confidence, by the same choice that the spares of a plan are made
/// with. Sections that are set up anew get their set-up strips.
pub(super) fn extra(job: &Job, parts: &[Part], standing: &Standing, salvaged: &[u64]) -> Result<Vec<u32>, FloorError> {
    let (families, places): (Vec<Family>, Vec<Vec<usize>>) = families(parts, standing, salvaged).into_iter().unzip();
    let chosen = least_wood(&families, standing.confidence);
    let chosen = chosen.map_err(|(family, size)| hopeless(parts, standing, places[family][size]))?;
    let mut extra = vec![0u64; parts.len()];
    for (places, more) in places.iter().zip(chosen.more) {
        for (&at, more) in places.iter().zip(more) {
            if more > MOST_EXTRA {
                return Err(hopeless(parts, standing, at));
            }
            extra[at] = more;
        }
    }
    for at in set_ups(parts, |at| extra[at] > 0 && !exact(job, &parts[at])) {
        let running = |other: usize| parts[other].section() == parts[at].section() && standing.remaining[other] > 0;
        if !(0..parts.len()).any(running) {
            extra[at] += u64::from(job.spares.setup_strips);
        }
    }
    Ok(extra.into_iter().map(|strips| u32::try_from(strips).unwrap_or(u32::MAX)).collect())
}

/// The shortest part of each section among those that count.
pub(super) fn set_ups(parts: &[Part], counts: impl Fn(usize) -> bool) -> Vec<usize> {
    let mut shortest: BTreeMap<_, usize> = BTreeMap::new();
    for at in (0..parts.len()).filter(|at| counts(*at)) {
        let best = shortest.entry(parts[at].section()).or_insert(at);
        if parts[at].length < parts[*best].length {
            *best = at;
        }
    }
    shortest.into_values().collect()
}

fn hopeless(parts: &[Part], standing: &Standing, at: usize) -> FloorError {
    let (bad, good) = (standing.rejected[at], standing.straight[at]);
    let name = &parts[at].name;
    FloorError::Mismatch {
        what: format!(
            "{name}: {bad} of {} strips were rejected, so no number of extra strips reaches the confidence asked for",
            good + bad
        ),
        help: "look at the boards, or ask for less `confidence` in the job file",
    }
}
