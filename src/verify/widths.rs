//! Boards of random widths: the strips, and at every level of the range a plan that yields them.

use super::Violation;
use super::boards::{Cut, check as check_boards};
use crate::demand::Part;
use crate::job::{BoardStock, Job};
use crate::measure::{Cents, Length};
use crate::packing::boards::{BoardPlan, WidthLevel, WidthRange};

pub(super) fn check(claim: Cut<'_>, found: &mut Vec<Violation>) {
    for (at, stock) in claim.job.boards.iter().enumerate() {
        let used = claim.boards.boards.iter().any(|board| board.stock == at);
        let ranges: Vec<&WidthRange> = claim.boards.ranges.iter().filter(|range| range.stock == at).collect();
        match (stock.widths.filter(|_| used), ranges.as_slice()) {
            (None, []) => {}
            (Some(widths), [range]) => check_range(claim, stock, (range, widths), found),
            _ => found.push(Violation::RangeCount { stock: stock.stock.clone(), ranges: ranges.len() }),
        }
    }
    let strange = claim.boards.ranges.iter().filter(|range| range.stock >= claim.job.boards.len());
    found.extend(strange.map(|range| Violation::RangeUnknown { stock: range.stock }));
}

fn check_range(
    claim: Cut<'_>,
    stock: &BoardStock,
    (range, (narrowest, widest)): (&WidthRange, (Length, Length)),
    found: &mut Vec<Violation>,
) {
    let name = || stock.stock.clone();
    let strips = strips(claim, range.stock);
    for (part, &expected) in claim.parts.iter().zip(&strips) {
        let at = claim.parts.iter().position(|known| std::ptr::eq(known, part));
        let claimed: u64 =
            range.strips.iter().filter(|(known, _)| Some(*known) == at).map(|(_, n)| u64::from(*n)).sum();
        if claimed != expected {
            found.push(Violation::RangeStrips { stock: name(), part: part.name.clone(), claimed, expected });
        }
    }
    let (first, last) = (range.levels.first().map(|level| level.from), range.levels.last().map(|level| level.to));
    let joined = range.levels.windows(2).all(|pair| pair[0].to == pair[1].from);
    // From the planning width on the plan itself yields the strips.
    let begins = first.is_some_and(|first| first >= narrowest && first <= stock.width);
    // One level may hold for the widest boards alone, where those are the ones planned.
    let alone = range.levels.len() == 1 && first == Some(widest);
    let empty = !alone && range.levels.iter().any(|level| level.to <= level.from);
    if !joined || !begins || last != Some(widest) || empty {
        found.push(Violation::RangeGaps { stock: name() });
    }
    for level in &range.levels {
        check_level(claim, range.stock, (level, &strips), found);
    }
}

/// The plan of a level, as a job that wants these strips of boards so narrow, for nothing.
fn check_level(claim: Cut<'_>, at: usize, (level, strips): (&WidthLevel, &[u64]), found: &mut Vec<Violation>) {
    let mut job: Job = claim.job.clone();
    let Some(stock) = job.boards.get_mut(at) else { return };
    let name = stock.stock.clone();
    (stock.width, stock.price, stock.unit_cost, stock.widths) = (level.from, None, Cents::ZERO, None);
    job.boards.iter_mut().for_each(|stock| stock.widths = None);
    let wanted = |(part, &strips): (&Part, &u64)| {
        let needed = u32::try_from(strips).unwrap_or(u32::MAX);
        Part { needed, spares: 0, ..part.clone() }
    };
    let parts: Vec<Part> = claim.parts.iter().zip(strips).map(wanted).collect();
    let boards = BoardPlan {
        boards: level.boards.clone(),
        cost: Cents::ZERO,
        bound: Cents::ZERO,
        optimal: true,
        cut_short: false,
        ranges: Vec::new(),
    };
    let mut wrong = Vec::new();
    check_boards(Cut { job: &job, parts: &parts, boards: &boards }, &mut wrong);
    if level.boards.iter().any(|board| board.stock != at) {
        found.push(Violation::RangeStock { stock: name.clone(), width: level.from });
    }
    found.extend(wrong.into_iter().map(|what| Violation::RangeLevel {
        stock: name.clone(),
        width: level.from,
        what: what.to_string(),
    }));
}

/// Strips of each part that a plan takes from one row of the boards, never more than are wanted.
fn strips(claim: Cut<'_>, at: usize) -> Vec<u64> {
    let mut strips: Vec<u128> = vec![0; claim.parts.len()];
    for board in claim.boards.boards.iter().filter(|board| board.stock == at) {
        for blank in &board.blanks {
            for row in &blank.rips {
                if let Some(strips) = strips.get_mut(row.part) {
                    *strips += u128::from(row.rips) * u128::from(row.pieces) * u128::from(blank.leaves);
                }
            }
        }
    }
    let wanted = claim.parts.iter().map(|part| u64::from(part.needed) + u64::from(part.spares));
    strips
        .into_iter()
        .zip(wanted)
        .map(|(strips, wanted)| u64::try_from(strips).unwrap_or(u64::MAX).min(wanted))
        .collect()
}
