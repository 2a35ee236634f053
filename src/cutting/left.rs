//! What is left of a board once it is cut, and whether it is worth keeping.

use super::{BoardSize, StripSize, yields};
use crate::job::{CuttingRules, Defect, Order};
use crate::measure::{Length, StockThickness};

/// How one board is cut, as far as it matters for what is left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cuts {
    /// Crosscut first: its blanks.
    Crosscut(Vec<CutBlank>),
    /// Rip first: full-length rips, each a width and how many of it.
    Rip(Vec<(Length, u32)>),
}

/// One blank and what is ripped from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutBlank {
    /// Its number on the board, from 1.
    pub number: u32,
    /// Where it begins, from the end that the board is measured from.
    pub from: Length,
    /// Its rough length.
    pub length: Length,
    /// It is planed to this.
    pub planed: Length,
    /// Leaves it is resawn into, 1 without resawing.
    pub leaves: u32,
    /// Its rips, each a width and how many of it.
    pub rips: Vec<(Length, u32)>,
}

/// A piece that is left of a board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Left {
    /// Across the grain.
    pub width: Length,
    /// Along the grain.
    pub length: Length,
    /// As it is now: the board's own, or what the blank was planed to.
    pub thickness: StockThickness,
    /// The board's defects that lie in it, measured from its own end.
    pub defects: Vec<Defect>,
    /// Pieces of it: the leaves of a blank, otherwise 1.
    pub pieces: u32,
    /// Number of the blank that it is left beside; `None` for a piece of the board itself.
    pub blank: Option<u32>,
}

impl Left {
    /// Face in square nanometres, then length: what makes one larger than another.
    #[must_use]
    pub fn size(&self) -> (i128, Length) {
        (i128::from(self.width.nm()) * i128::from(self.length.nm()), self.length)
    }

    /// The piece as a board.
    #[must_use]
    pub fn board(&self) -> BoardSize<'_> {
        BoardSize { thickness: self.thickness, width: self.width, length: self.length, defects: &self.defects }
    }
}

/// What rips take across the grain, each with its kerf.
fn sawn(rules: &CuttingRules, rips: &[(Length, u32)]) -> Length {
    rips.iter().map(|(width, rips)| (*width + rules.rip_kerf) * i64::from(*rips)).sum()
}

/// The width left beside rips of a board, past the last kerf: it is held while they are sawn.
#[must_use]
pub fn held(rules: &CuttingRules, order: Order, width: Length, rips: &[(Length, u32)]) -> Length {
    width - rules.edge_trim(order) - sawn(rules, rips)
}

/// All that is left of a board and has a size, larger faces first.
///
/// Crosscut first that is the piece past the last blank's kerf, with the board's untrimmed end, and of a
/// board with defects the pieces between its blanks, all of them rough and of the board's full width; and
/// beside the rips of each blank the width that was held, planed like them. Rip first it is the width past the last
/// kerf, rough, at the board's length. Defects stay with the piece that they lie in.
#[must_use]
pub fn left_over(rules: &CuttingRules, board: &BoardSize<'_>, cuts: &Cuts) -> Vec<Left> {
    let rough = |width: Length, from: Length, to: Length| Left {
        width,
        length: to - from,
        thickness: board.thickness,
        defects: defects_between(board.defects, from, to),
        pieces: 1,
        blank: None,
    };
    let mut pieces = Vec::new();
    match cuts {
        Cuts::Crosscut(blanks) => {
            let mut spans: Vec<(Length, Length)> =
                blanks.iter().map(|blank| (blank.from, blank.from + blank.length)).collect();
            spans.sort_unstable();
            let mut from = Length::ZERO;
            for (begin, end) in spans {
                pieces.push(rough(board.width, from, begin - rules.crosscut_kerf));
                from = end + rules.crosscut_kerf;
            }
            pieces.push(rough(board.width, from, board.length));
            pieces.extend(blanks.iter().map(|blank| Left {
                width: held(rules, Order::CrosscutFirst, board.width, &blank.rips),
                length: blank.length,
                thickness: StockThickness::Plain(blank.planed),
                defects: Vec::new(),
                pieces: blank.leaves,
                blank: Some(blank.number),
            }));
        }
        Cuts::Rip(rips) => {
            pieces.push(rough(held(rules, Order::RipFirst, board.width, rips), Length::ZERO, board.length));
        }
    }
    pieces.retain(|piece| piece.width.is_positive() && piece.length.is_positive());
    pieces.sort_by_key(|piece| std::cmp::Reverse(piece.size()));
    pieces
}

/// The one rule for offcuts: a piece is worth keeping when at least one strip of some size of the job comes out of
/// it, taken as a board under the shop's rules.
#[must_use]
pub fn worth_keeping<'a>(
    rules: &CuttingRules,
    strips: impl IntoIterator<Item = &'a StripSize>,
    piece: &BoardSize<'_>,
) -> bool {
    strips.into_iter().any(|strip| yields(rules, strip, piece))
}

/// The defects of a board that lie between two places along it, measured from the first.
fn defects_between(defects: &[Defect], from: Length, to: Length) -> Vec<Defect> {
    let clipped = defects.iter().map(|defect| Defect { from: defect.from.max(from), to: defect.to.min(to) });
    let inside = clipped.filter(|defect| defect.to > defect.from);
    inside.map(|defect| Defect { from: defect.from - from, to: defect.to - from }).collect()
}
