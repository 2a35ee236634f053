//! Boards of random widths: how many would do if all of them had one width of the yard's range.
//!
//! The plan is made at one width. What comes is another one, so the strips planned from such boards are
//! packed again at widths all over the range; the worst of them sizes what to ask for.

use std::collections::BTreeSet;

use super::{BoardKind, BoardPlan, BoardProblem, CutBoard, StripDemand, pack};
use crate::measure::{Cents, Length};
use crate::packing::{Budget, Listener};

/// What boards of a range of widths must come to.
#[derive(Debug, Clone, PartialEq)]
pub struct WidthRange {
    /// Index into [`BoardProblem::stock`].
    pub stock: usize,
    /// The strips that the plan takes from these boards: index into the parts, how many.
    pub strips: Vec<(usize, u32)>,
    /// Widths at which the same number of boards do, ascending, without gaps up to the widest.
    /// Boards under the first do not yield all the strips.
    pub levels: Vec<WidthLevel>,
}

/// Boards from one width up to another.
#[derive(Debug, Clone, PartialEq)]
pub struct WidthLevel {
    /// The narrowest of them.
    pub from: Length,
    /// Where the next level begins; the widest board for the last. The same as `from` where nothing narrower
    /// than the widest board yields the strips.
    pub to: Length,
    /// How boards of the narrowest width are cut into the strips; wider ones are cut alike.
    pub boards: Vec<CutBoard>,
}

impl WidthRange {
    /// The level that takes most wood: so many boards, all just short of its upper end.
    #[must_use]
    pub fn worst(&self) -> Option<&WidthLevel> {
        // The first of equals.
        self.levels.iter().rev().max_by_key(|level| level.width_taken())
    }
}

impl WidthLevel {
    /// Widths of all boards together when each just misses the next level.
    #[must_use]
    pub fn width_taken(&self) -> Length {
        self.to * i64::try_from(self.boards.len()).unwrap_or(i64::MAX)
    }
}

/// Work for one width.
const BUDGET: Budget = Budget { nodes: 40, tries: 16 };

/// Packs the strips that `plan` takes from one kind of board anew at the widths from `narrowest` to
/// `widest`, `step` apart; between two of them that take the same number of boards none are tried.
///
/// The counts are of plans that exist, not least ones: what they ask for is enough, now and then a
/// board more than needed.
#[must_use]
pub fn at_widths(
    problem: &BoardProblem,
    plan: &BoardPlan,
    stock: usize,
    (narrowest, widest, step): (Length, Length, Length),
    listener: &mut Listener<'_>,
) -> WidthRange {
    let strips = strips_from(problem, plan, stock);
    let known: Vec<CutBoard> = plan.boards.iter().filter(|board| board.stock == stock).cloned().collect();
    let widths = widths_between((narrowest, widest, step), problem.stock[stock].width);
    let mut search =
        Search { problem, stock, strips: &strips, known: &known, tried: vec![None; widths.len()], widths, listener };
    search.between(0, search.widths.len() - 1);
    let levels = search.levels();
    WidthRange { stock, strips, levels }
}

/// The widths that are tried, ascending. The planned one is among them: from there on the plan itself will do.
fn widths_between((narrowest, widest, step): (Length, Length, Length), planned: Length) -> Vec<Length> {
    let mut widths: BTreeSet<Length> = [widest, planned].into();
    let mut width = narrowest;
    while width < widest {
        widths.insert(width);
        width += step;
    }
    widths.into_iter().collect()
}

/// Strips of each part that the plan takes from one kind of board, never more than are wanted.
fn strips_from(problem: &BoardProblem, plan: &BoardPlan, stock: usize) -> Vec<(usize, u32)> {
    let mut strips = vec![0u64; problem.parts.len()];
    for blank in plan.boards.iter().filter(|board| board.stock == stock).flat_map(|board| &board.blanks) {
        for row in &blank.rips {
            strips[row.part] += u64::from(row.rips) * u64::from(row.pieces) * u64::from(blank.leaves);
        }
    }
    let capped = strips
        .into_iter()
        .enumerate()
        .map(|(part, n)| (part, u32::try_from(n).unwrap_or(u32::MAX).min(problem.parts[part].count)));
    capped.filter(|(_, strips)| *strips > 0).collect()
}

struct Search<'a, 'b> {
    problem: &'a BoardProblem,
    stock: usize,
    strips: &'a [(usize, u32)],
    /// The plan's own boards: they do at every width from theirs on.
    known: &'a [CutBoard],
    widths: Vec<Length>,
    /// Per width what was found: `Some(None)` where nothing yields the strips.
    tried: Vec<Option<Option<Vec<CutBoard>>>>,
    listener: &'a mut Listener<'b>,
}

impl Search<'_, '_> {
    /// Tries both ends, and the middle while the ends differ.
    fn between(&mut self, low: usize, high: usize) {
        let ends = (self.count(low), self.count(high));
        if ends.0 != ends.1 && high > low + 1 {
            let middle = usize::midpoint(low, high);
            self.between(low, middle);
            self.between(middle, high);
        }
    }

    /// Boards that do at a width; `None` when no number does.
    fn count(&mut self, at: usize) -> Option<usize> {
        if self.tried[at].is_none() {
            self.tried[at] = Some(self.packed(self.widths[at]));
        }
        self.tried[at].as_ref().and_then(|found| found.as_ref()).map(Vec::len)
    }

    fn packed(&mut self, width: Length) -> Option<Vec<CutBoard>> {
        let kind = &self.problem.stock[self.stock];
        let mut parts: Vec<StripDemand> = self.problem.parts.clone();
        parts.iter_mut().for_each(|part| part.count = 0);
        self.strips.iter().for_each(|&(part, strips)| parts[part].count = strips);
        // One cent each: the fewest boards are the cheapest.
        let one = BoardKind { width, available: None, cost: Cents::new(1), ..kind.clone() };
        let alone = BoardProblem { parts, stock: vec![one], rules: self.problem.rules };
        let found = pack(&alone, &BUDGET, self.listener).ok().map(|plan| {
            plan.boards.into_iter().map(|board| CutBoard { stock: self.stock, ..board }).collect::<Vec<_>>()
        });
        match found {
            Some(found) if width < kind.width || found.len() <= self.known.len() => Some(found),
            None if width < kind.width => None,
            _ => Some(self.known.to_vec()),
        }
    }

    /// What was found as levels; where a narrower width does with as few boards, it stands for the wider.
    /// A level of the widest boards alone would spare nobody a board: it is left out, unless it is the only one.
    fn levels(&mut self) -> Vec<WidthLevel> {
        let mut levels: Vec<WidthLevel> = Vec::new();
        let widest = self.widths.last().copied().unwrap_or(Length::ZERO);
        for (&from, found) in self.widths.iter().zip(&mut self.tried) {
            let Some(boards) = found.take().flatten() else { continue };
            let fewer = |last: &WidthLevel| boards.len() < last.boards.len() && from < widest;
            if levels.last().is_none_or(fewer) {
                if let Some(last) = levels.last_mut() {
                    last.to = from;
                }
                levels.push(WidthLevel { from, to: widest, boards });
            }
        }
        levels
    }
}
