//! Which blank lengths and rip widths are worth cutting.
//!
//! A blank can be shortened to the longest row of pieces in it, so every useful length is a whole
//! number of pieces of one part with their kerfs, or `min_blank`. A length is dropped when two
//! shorter ones side by side hold as many pieces of every part.

use std::collections::BTreeSet;

use super::model::{Hold, Span, Variant};
use crate::job::CuttingRules;
use crate::measure::Length;

/// Useful blank lengths up to `longest`, ascending, with what each holds.
pub(super) fn blanks(
    rules: &CuttingRules,
    variants: &[Variant],
    demand: &[u32],
    longest: Length,
) -> Vec<(Length, Vec<Hold>)> {
    let longest = rules.max_blank.map_or(longest, |most| most.min(longest));
    let kerf = rules.crosscut_kerf;
    let mut lengths = BTreeSet::new();
    for variant in variants {
        let step = variant.length + kerf;
        for pieces in 1..=i64::from(demand[variant.part]) {
            let length = (step * pieces - kerf).max(rules.min_blank);
            if length > longest || !step.is_positive() {
                break;
            }
            lengths.insert(length);
        }
    }
    let holds = |length: Length| -> Vec<Hold> {
        let pieces = |v: &Variant| (length + kerf).nm() / (v.length + kerf).nm().max(1);
        variants
            .iter()
            .enumerate()
            .map(|(variant, v)| (variant, pieces(v).clamp(0, i64::from(demand[v.part]))))
            .filter(|&(_, pieces)| pieces > 0)
            .map(|(variant, pieces)| Hold { variant, pieces: pieces as u32 })
            .collect()
    };
    let all: Vec<(Length, Vec<Hold>)> = lengths.into_iter().map(|length| (length, holds(length))).collect();
    let pieces: Vec<Vec<u32>> = all.iter().map(|(_, holds)| dense(holds, variants.len())).collect();
    let keep: Vec<bool> = (0..all.len()).map(|at| !splits(&all, &pieces, at, kerf)).collect();
    all.into_iter().zip(keep).filter(|(_, keep)| *keep).map(|(span, _)| span).collect()
}

/// True when two shorter blanks and a kerf take no more length and hold at least as much.
fn splits(all: &[(Length, Vec<Hold>)], pieces: &[Vec<u32>], at: usize, kerf: Length) -> bool {
    let (length, holds) = &all[at];
    (0..at).any(|first| {
        let rest = *length - all[first].0 - kerf;
        let second = all[..at].partition_point(|span| span.0 <= rest);
        second > 0 && {
            let (a, b) = (&pieces[first], &pieces[second - 1]);
            holds.iter().all(|hold| a[hold.variant] + b[hold.variant] >= hold.pieces)
        }
    })
}

/// Per span and group the variants of which one must lie there. Of all ways to do without the span
/// (one shorter, or two shorter side by side) the one that serves most variants is taken; a filling
/// of those alone is never needed, since the shorter spans hold it as well.
pub(super) fn keys(spans: &[Span], variants: &[Variant], groups: usize) -> Vec<Vec<Option<Vec<usize>>>> {
    let pieces: Vec<Vec<u32>> = spans.iter().map(|span| dense(&span.holds, variants.len())).collect();
    let of_span = |at: usize| (0..groups).map(|group| group_keys((spans, &pieces), at, variants, group)).collect();
    (0..spans.len()).map(of_span).collect()
}

fn group_keys(
    (spans, pieces): (&[Span], &[Vec<u32>]),
    at: usize,
    variants: &[Variant],
    group: usize,
) -> Option<Vec<usize>> {
    let span = &spans[at];
    let holds: Vec<Hold> = span.holds.iter().copied().filter(|hold| variants[hold.variant].group == group).collect();
    // The variants that lose pieces when the span is one, or two, of these.
    let lost = |first: usize, second: Option<usize>| -> Vec<usize> {
        let there = |variant: usize| pieces[first][variant] + second.map_or(0, |second| pieces[second][variant]);
        holds.iter().filter(|hold| there(hold.variant) < hold.pieces).map(|hold| hold.variant).collect()
    };
    let shorter = at.checked_sub(1).map(|last| lost(last, None));
    let parted = (0..at).filter_map(|first| {
        let second = spans[..at].partition_point(|second| second.size + spans[first].size <= span.size);
        (second > 0).then(|| lost(first, Some(second - 1)))
    });
    shorter.into_iter().chain(parted).min_by_key(Vec::len).filter(|lost| lost.len() < holds.len())
}

/// Pieces of every variant in one rip, nought for those that do not fit.
fn dense(holds: &[Hold], variants: usize) -> Vec<u32> {
    let mut pieces = vec![0; variants];
    holds.iter().for_each(|hold| pieces[hold.variant] = hold.pieces);
    pieces
}

/// Useful full-length rip widths up to `widest`, ascending: a rip yields pieces no wider than itself.
pub(super) fn rips(variants: &[Variant], widest: Length) -> Vec<(Length, Vec<Hold>)> {
    let widths: BTreeSet<Length> = variants.iter().map(|v| v.rip).filter(|&rip| rip <= widest).collect();
    let holds = |width: Length| -> Vec<Hold> {
        let fits = |(_, v): &(usize, &Variant)| v.rip <= width;
        variants.iter().enumerate().filter(fits).map(|(variant, _)| Hold { variant, pieces: 1 }).collect()
    };
    widths.into_iter().map(|width| (width, holds(width))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn variant(part: usize, inches: i64) -> Variant {
        Variant { part, group: 0, length: Length::from_inches(inches), rip: Length::from_inches(1) }
    }

    fn rules(min_blank: i64) -> CuttingRules {
        CuttingRules {
            min_blank: Length::from_inches(min_blank),
            crosscut_kerf: Length::ZERO,
            ..super::super::samples::bare_rules()
        }
    }

    fn lengths(parts: &[i64], min_blank: i64) -> Vec<i64> {
        let variants: Vec<Variant> = parts.iter().enumerate().map(|(i, &n)| variant(i, n)).collect();
        let found = blanks(&rules(min_blank), &variants, &vec![9; parts.len()], Length::from_inches(60));
        found.into_iter().map(|(length, _)| length.nm() / 25_400_000).collect()
    }

    #[test]
    fn equal_lengths_need_one_blank() {
        assert_eq!(lengths(&[20], 0), [20]);
    }

    #[test]
    fn a_blank_that_two_shorter_ones_replace_is_dropped() {
        // 40 holds (2, 1) but 20 + 20 only (2, 0); 60 holds (3, 2), which no two shorter blanks do.
        assert_eq!(lengths(&[20, 30], 0), [20, 30, 40, 60]);
    }

    #[test]
    fn short_strips_share_the_shortest_blank() {
        assert_eq!(lengths(&[5], 12), [12, 15, 20, 25]);
    }
}
