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
        let Some(stock) = claim.job.boards.get(board.stock) else { continue };
        for piece in left(claim, stock, board) {
            let size = (piece.width * piece.length(), piece.length());
            if piece.width > 0 && piece.length() > 0 && size > largest && is_of_use(claim, stock, &piece) {
                largest = size;
            }
        }
    }
    let claimed = claim.ease.offcut.map_or((0, 0), |offcut| (nm(offcut.width) * nm(offcut.length), nm(offcut.length)));
    if claimed != largest {
        let across = |(face, along): (i128, i128)| length(face.checked_div(along).unwrap_or(0));
        let shown = |size: (i128, i128)| (across(size), length(size.1));
        found.push(Violation::EaseOffcut { claimed: shown(claimed), expected: shown(largest) });
    }
}

/// A piece of a board: its width, where it lies along it, and what it is planed to, if it is.
struct Piece {
    width: i128,
    from: i128,
    to: i128,
    planed: Option<Length>,
}

impl Piece {
    fn length(&self) -> i128 {
        self.to - self.from
    }
}

/// What lies between the blanks and past the last of them, and beside the rips of each; rip first what is beside the
/// last rip.
fn left(claim: &Claim<'_>, stock: &BoardStock, board: &CutBoard) -> Vec<Piece> {
    let rules = &claim.job.shop.cutting;
    let (kerf, saw) = (nm(rules.crosscut_kerf), nm(rules.rip_kerf));
    let (width, whole) = (nm(stock.width), nm(stock.length));
    if board.order == Order::RipFirst {
        let mut left = width - nm(rules.edge_trim_rip);
        for row in board.blanks.iter().filter_map(|blank| blank.rips.first()) {
            left -= (nm(row.rip_width) + saw) * i128::from(row.rips);
        }
        return vec![Piece { width: left, from: 0, to: whole, planed: None }];
    }
    let mut pieces = Vec::new();
    let mut cuts: Vec<(i128, i128)> = Vec::new();
    for blank in &board.blanks {
        let begin = nm(blank.from());
        cuts.push((begin, begin + nm(blank.length)));
        let mut left = width - nm(rules.edge_trim_crosscut);
        for row in &blank.rips {
            left -= (nm(row.rip_width) + saw) * i128::from(row.rips);
        }
        pieces.push(Piece { width: left, from: 0, to: nm(blank.length), planed: Some(blank.planed) });
    }
    cuts.sort_unstable();
    let begins = std::iter::once(0).chain(cuts.iter().map(|cut| cut.1 + kerf));
    let ends = cuts.iter().map(|cut| cut.0 - kerf).chain([whole]);
    pieces.extend(begins.zip(ends).map(|(from, to)| Piece { width, from, to, planed: None }));
    pieces
}

/// The longest run of a piece between its trimmed ends that is clear of the board's defects.
fn clear(claim: &Claim<'_>, stock: &BoardStock, piece: &Piece) -> i128 {
    let rules = &claim.job.shop.cutting;
    let (mut at, end) = (piece.from + nm(rules.end_trim), piece.to - nm(rules.end_trim));
    let mut longest = 0;
    let mut defects: Vec<(i128, i128)> = stock.defects.iter().map(|knot| (nm(knot.from), nm(knot.to))).collect();
    defects.sort_unstable();
    // Beside the rips of a blank there is none: blanks are clear.
    defects.retain(|knot| piece.planed.is_none() && knot.1 > piece.from && knot.0 < piece.to);
    for (from, to) in defects {
        let from = from.max(piece.from);
        longest = longest.max(from.min(end) - at);
        at = at.max(to.min(piece.to)).max(from + nm(rules.crosscut_kerf));
    }
    longest.max(end - at)
}

/// One strip of some part comes out of a piece of the board.
fn is_of_use(claim: &Claim<'_>, stock: &BoardStock, piece: &Piece) -> bool {
    let rules = &claim.job.shop.cutting;
    let (width, run) = (piece.width, clear(claim, stock, piece));
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
        let held = if rules.hold_width > Length::ZERO { nm(rules.rip_kerf) + nm(rules.hold_width) } else { 0 };
        let rough = nm(part.length) + nm(rules.length_trim);
        let blank = if order == Order::CrosscutFirst { rough.max(nm(rules.min_blank)) } else { rough };
        let too_long = order == Order::CrosscutFirst && rules.max_blank.is_some_and(|most| blank > nm(most));
        blank <= run
            && !too_long
            && nm(edges) + ripped + held <= width
            && piece.planed.map_or_else(|| planes_to(claim, stock, planed), |thick| planed <= nm(thick))
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
        StockThickness::Sawn(length) => (nm(length), false),
        StockThickness::Surfaced { actual, .. } | StockThickness::Plain(actual) => (nm(actual), true),
    };
    let face = if thickness >= nm(Length::from_inches(2)) { rules.face_trim_thick } else { rules.face_trim_thin };
    planed <= thickness && (surfaced || planed + 2 * nm(face) <= thickness)
}
