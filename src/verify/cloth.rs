//! Cloth: pieces inside their bolts, cut apart in levels and stacks, lengths and prices.

use rust_decimal::Decimal;

use super::wide::{length, nm};
use super::{Claim, Violation};
use crate::job::Bolt;
use crate::measure::{Cents, Length, Ratio};
use crate::packing::cloth::{BoltUse, LaidPiece};

/// One in the steps in which shrinkage is held.
const ONE: i128 = 100_000_000;

/// What is left of one after shrinking, in hundred-millionths.
fn kept(shrink: Ratio) -> i128 {
    let mut share = shrink.decimal();
    share.rescale(8);
    // Cloth that shrinks to nothing is no cloth, but must not divide by zero here.
    (ONE - share.mantissa()).max(1)
}

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let (plan, bolts) = (claim.cloth, &claim.job.bolts);
    if plan.bolts.len() != bolts.len() {
        found.push(Violation::BoltCount { claimed: plan.bolts.len(), expected: bolts.len() });
    }
    for (bolt, used) in bolts.iter().zip(&plan.bolts) {
        check_pieces(claim, bolt, used, found);
        check_levels(claim, bolt, used, found);
        check_lengths(bolt, used, found);
    }
    check_counts(claim, found);
    check_totals(claim, found);
}

fn piece_name(claim: &Claim<'_>, piece: usize) -> String {
    claim.cloth_needs.get(piece).map_or_else(|| format!("number {piece}"), |need| need.name.clone())
}

fn check_pieces(claim: &Claim<'_>, bolt: &Bolt, used: &BoltUse, found: &mut Vec<Violation>) {
    let name = || bolt.bolt.clone();
    let usable = (nm(bolt.width) - 2 * nm(bolt.selvage)) * kept(bolt.shrink_across);
    for laid in &used.laid {
        let Some(need) = claim.cloth_needs.get(laid.piece) else {
            found.push(Violation::PieceUnknown { bolt: name(), piece: laid.piece });
            continue;
        };
        let piece = || need.name.clone();
        let asked = if laid.turned { (need.across, need.along) } else { (need.along, need.across) };
        if asked != (laid.along, laid.across) {
            let (along, across) = (laid.along, laid.across);
            found.push(Violation::PieceSize { bolt: name(), piece: piece(), along, across });
        }
        if laid.turned && !need.turn {
            found.push(Violation::PieceTurned { bolt: name(), piece: piece() });
        }
        if laid.x < Length::ZERO || laid.y < Length::ZERO {
            found.push(Violation::PieceOutside { bolt: name(), piece: piece() });
        }
        let reach = nm(laid.y) + nm(laid.across);
        if reach * ONE > usable {
            found.push(Violation::PastSelvage { bolt: name(), piece: piece(), reach: length(reach) });
        }
    }
    if used.laid.windows(2).any(|pair| (pair[0].x, pair[0].y) > (pair[1].x, pair[1].y)) {
        found.push(Violation::LaidUnsorted { bolt: name() });
    }
}

/// The bolt must fall apart into levels by cuts across its whole width, each level into stacks by
/// cuts along it, each stack into pieces by cuts across it. A cut passes where no piece lies on both
/// sides of it.
fn check_levels(claim: &Claim<'_>, bolt: &Bolt, used: &BoltUse, found: &mut Vec<Violation>) {
    let mut along: Vec<&LaidPiece> = used.laid.iter().collect();
    along.sort_by_key(|laid| laid.x);
    let mut level: Vec<&LaidPiece> = Vec::new();
    let mut end = i128::MIN;
    for laid in along {
        if nm(laid.x) >= end {
            check_level(claim, bolt, &mut level, found);
            level.clear();
        }
        end = end.max(nm(laid.x) + nm(laid.along));
        level.push(laid);
    }
    check_level(claim, bolt, &mut level, found);
}

fn check_level(claim: &Claim<'_>, bolt: &Bolt, level: &mut [&LaidPiece], found: &mut Vec<Violation>) {
    let Some(start) = level.iter().map(|laid| laid.x).min() else { return };
    let end = level.iter().map(|laid| nm(laid.x) + nm(laid.along)).max().unwrap_or_default();
    let tallest = level.iter().map(|laid| laid.along).max().unwrap_or(Length::ZERO);
    if end - nm(start) > nm(tallest) {
        let height = length(end - nm(start));
        found.push(Violation::LevelHigher { bolt: bolt.bolt.clone(), at: start, height, tallest });
    }
    level.sort_by_key(|laid| laid.y);
    let (mut from, mut edge) = (0, i128::MIN);
    for at in 0..level.len() {
        if nm(level[at].y) >= edge {
            check_stack(claim, bolt, &level[from..at], found);
            from = at;
        }
        edge = edge.max(nm(level[at].y) + nm(level[at].across));
    }
    check_stack(claim, bolt, &level[from..], found);
}

fn check_stack(claim: &Claim<'_>, bolt: &Bolt, stack: &[&LaidPiece], found: &mut Vec<Violation>) {
    let mut stack = stack.to_vec();
    stack.sort_by_key(|laid| laid.x);
    for (i, first) in stack.iter().enumerate() {
        let reach = nm(first.x) + nm(first.along);
        for second in stack[i + 1..].iter().take_while(|second| nm(second.x) < reach) {
            let meet = nm(first.y) < nm(second.y) + nm(second.across) && nm(second.y) < nm(first.y) + nm(first.across);
            let (bolt, at) = (bolt.bolt.clone(), second.x);
            let (first, second) = (piece_name(claim, first.piece), piece_name(claim, second.piece));
            found.push(if meet {
                Violation::Overlap { bolt, first, second, at }
            } else {
                Violation::NotStacks { bolt, first, second, at }
            });
        }
    }
}

fn check_lengths(bolt: &Bolt, used: &BoltUse, found: &mut Vec<Violation>) {
    let name = || bolt.bolt.clone();
    let reach = used.laid.iter().map(|laid| nm(laid.x) + nm(laid.along)).max().unwrap_or(0);
    if nm(used.used) != reach {
        found.push(Violation::UsedLength { bolt: name(), claimed: used.used, expected: length(reach) });
    }
    // Unwashed cloth for what is used, rounded up to the nanometre, then to the counter's increment.
    let washed = nm(used.used) * ONE;
    let raw = washed.div_euclid(kept(bolt.shrink_along)) + i128::from(washed % kept(bolt.shrink_along) != 0);
    let step = nm(bolt.increment).max(1);
    let mut bought = raw.div_euclid(step) * step + if raw % step == 0 { 0 } else { step };
    if let Some(on_hand) = bolt.on_hand {
        let taken = raw.max(nm(used.bought));
        if taken > nm(on_hand) {
            found.push(Violation::RemnantOverdrawn { bolt: name(), taken: length(taken), on_hand });
        }
        // The last piece of a remnant is taken whole where no full increment is left.
        bought = bought.min(nm(on_hand)).max(raw);
    }
    if nm(used.bought) != bought {
        found.push(Violation::BoughtLength { bolt: name(), claimed: used.bought, expected: length(bought) });
    }
    let expected = bolt.price.map_or(Some(Cents::ZERO), |(price, unit)| {
        let paid = price.decimal().checked_mul(Decimal::from(used.bought.nm()))?;
        Cents::nearest(paid.checked_div(Decimal::from(unit.length().nm()))?)
    });
    if expected != Some(used.cost) {
        let expected = expected.unwrap_or(Cents::new(i64::MAX));
        found.push(Violation::BoltCost { bolt: name(), claimed: used.cost, expected });
    }
}

fn check_counts(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let laid = || claim.cloth.bolts.iter().flat_map(|used| &used.laid);
    let mut counts = vec![0usize; claim.cloth_needs.len()];
    for piece in laid() {
        if let Some(count) = counts.get_mut(piece.piece) {
            *count += 1;
        }
    }
    for (need, laid) in claim.cloth_needs.iter().zip(counts) {
        let wanted = need.owners.len();
        if laid != wanted {
            found.push(Violation::PieceCount { piece: need.name.clone(), laid, wanted });
        }
    }
}

fn check_totals(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let plan = claim.cloth;
    let cost: i128 = plan.bolts.iter().map(|used| i128::from(used.cost.get())).sum();
    if cost != i128::from(plan.cost.get()) {
        found.push(Violation::ClothCost { claimed: plan.cost, expected: Cents::new(length(cost).nm()) });
    }
    let used: i128 = plan.bolts.iter().map(|used| nm(used.used)).sum();
    if used != nm(plan.length) {
        found.push(Violation::ClothLength { claimed: plan.length, expected: length(used) });
    }
    if plan.cost_bound > plan.cost {
        found.push(Violation::ClothBound { bound: plan.cost_bound, cost: plan.cost });
    }
    if plan.length_bound > plan.length {
        found.push(Violation::ClothLengthBound { bound: plan.length_bound, length: plan.length });
    }
    if plan.optimal && plan.cost_bound != plan.cost {
        found.push(Violation::ClothOptimal { bound: plan.cost_bound, cost: plan.cost });
    }
}
