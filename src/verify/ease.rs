//! The figures of how easy a plan is to cut, counted again.

use std::collections::BTreeSet;

use super::wide::{length, nm};
use super::{Claim, Violation};
use crate::demand::Part;
use crate::job::{BoardStock, Milling, Order, OrderRule};
use crate::measure::{Length, StockThickness};
use crate::packing::boards::CutBoard;

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let mut lengths: BTreeSet<Length> = BTreeSet::new();
    let mut widths: BTreeSet<Length> = BTreeSet::new();
    let mut fence = None;
    let mut settings = 0;
    for board in &claim.boards.boards {
        for blank in &board.blanks {
            if board.order == Order::CrosscutFirst {
                lengths.insert(blank.length);
            }
            let mut rips: Vec<Length> = blank.rips.iter().map(|row| row.rip_width).collect();
            rips.sort_by(|a, b| b.cmp(a));
            for width in rips {
                widths.insert(width);
                settings += usize::from(fence != Some(width));
                fence = Some(width);
            }
        }
    }
    let ease = claim.ease;
    let counts = [
        ("blank lengths", ease.blank_lengths, lengths.len()),
        ("rip widths", ease.rip_widths, widths.len()),
        ("fence settings", ease.fence_settings, settings),
    ];
    for (what, claimed, expected) in counts {
        if claimed != expected {
            found.push(Violation::Ease { what, claimed, expected });
        }
    }
    if (ease.door_boards, ease.door_boards_bound) != (claim.tied.pairs, claim.tied.bound) {
        let claimed = usize::try_from(ease.door_boards).unwrap_or(usize::MAX);
        let expected = usize::try_from(claim.tied.pairs).unwrap_or(usize::MAX);
        found.push(Violation::Ease { what: "pairs of doors and boards", claimed, expected });
    }
    check_offcut(claim, found);
}

/// No board leaves a larger piece of use than the one that is named, and that one is left.
fn check_offcut(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let mut largest = (0, 0);
    for board in &claim.boards.boards {
        // Boards with defects leave pieces between the cuts, which are not counted.
        let whole = claim.job.boards.get(board.stock).filter(|stock| stock.defects.is_empty());
        let Some(stock) = whole else { continue };
        let (width, length) = left(claim, stock, board);
        if width > 0 && length > 0 && is_of_use(claim, stock, (width, length)) {
            largest = largest.max((width * length, length));
        }
    }
    let claimed = claim.ease.offcut.map_or((0, 0), |offcut| (nm(offcut.width) * nm(offcut.length), nm(offcut.length)));
    if claimed != largest {
        let across = |(face, along): (i128, i128)| length(face.checked_div(along).unwrap_or(0));
        let shown = |size: (i128, i128)| (across(size), length(size.1));
        found.push(Violation::EaseOffcut { claimed: shown(claimed), expected: shown(largest) });
    }
}

/// The piece beyond the last blank's kerf, its far end as bought; rip first what is beside the last rip.
fn left(claim: &Claim<'_>, stock: &BoardStock, board: &CutBoard) -> (i128, i128) {
    let rules = &claim.job.shop.cutting;
    let (mut width, mut length) = (nm(stock.width), nm(stock.length));
    match board.order {
        Order::CrosscutFirst => {
            length -= nm(rules.end_trim);
            length -= board.blanks.iter().map(|blank| nm(blank.length) + nm(rules.crosscut_kerf)).sum::<i128>();
        }
        Order::RipFirst => {
            width -= nm(rules.edge_trim_rip);
            for row in board.blanks.iter().filter_map(|blank| blank.rips.first()) {
                width -= (nm(row.rip_width) + nm(rules.rip_kerf)) * i128::from(row.rips);
            }
        }
    }
    (width, length)
}

/// One strip of some part comes out of a board of this size.
fn is_of_use(claim: &Claim<'_>, stock: &BoardStock, (width, length): (i128, i128)) -> bool {
    let rules = &claim.job.shop.cutting;
    let orders = match rules.order {
        OrderRule::Only(only) => vec![only],
        OrderRule::Any => vec![Order::CrosscutFirst, Order::RipFirst],
    };
    let yields = |part: &Part, order: Order, milling: Milling| {
        let (planed, ripped) = match milling {
            Milling::Flat => (nm(part.thickness), nm(part.width) + nm(rules.rip_trim)),
            Milling::Edge => (nm(part.width), nm(part.thickness) + nm(rules.rip_trim) + nm(rules.edge_clean)),
        };
        let edges = if order == Order::CrosscutFirst { rules.edge_trim_crosscut } else { rules.edge_trim_rip };
        let rough = nm(part.length) + nm(rules.length_trim);
        let blank = if order == Order::CrosscutFirst { rough.max(nm(rules.min_blank)) } else { rough };
        let too_long = order == Order::CrosscutFirst && rules.max_blank.is_some_and(|most| blank > nm(most));
        blank <= length - 2 * nm(rules.end_trim)
            && !too_long
            && ripped <= width - nm(edges) - nm(rules.hold_width)
            && planes_to(claim, stock, planed)
    };
    let parts = claim.parts.iter().filter(|part| part.species == stock.species && part.total() > 0);
    parts.into_iter().any(|part| {
        let millings = part.millings.list();
        orders.iter().any(|&order| millings.iter().any(|&milling| yields(part, order, milling)))
    })
}

fn planes_to(claim: &Claim<'_>, stock: &BoardStock, planed: i128) -> bool {
    let rules = &claim.job.shop.cutting;
    let (thickness, surfaced) = match stock.thickness {
        StockThickness::Rough(quarters) => (nm(quarters.length()), false),
        StockThickness::Surfaced { actual, .. } | StockThickness::Plain(actual) => (nm(actual), true),
    };
    let face = if thickness >= nm(Length::from_inches(2)) { rules.face_trim_thick } else { rules.face_trim_thin };
    planed <= thickness && (surfaced || planed + 2 * nm(face) <= thickness)
}
