//! How easy a plan is to cut, in figures.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::room;
use crate::cutting::{Left, StripSize, worth_keeping};
use crate::job::Order;
use crate::measure::Length;
use crate::packing::boards::{Blank, BoardProblem, CutBoard, StripDemand};
use crate::packing::bundles::Tied;

/// Figures of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Ease {
    /// Pairs of a door and a board that it takes strips from.
    pub door_boards: u64,
    /// No tying of the same strips has fewer pairs.
    pub door_boards_bound: u64,
    /// Different lengths of blanks: settings of the crosscut stop.
    pub blank_lengths: usize,
    /// Different rip widths: settings of the fence when everything of one width is ripped at once.
    pub rip_widths: usize,
    /// Settings of the fence when the boards are ripped one after another, widest rips of each blank first.
    pub fence_settings: usize,
    /// The largest piece left of a board that is worth keeping.
    pub offcut: Option<Offcut>,
}

/// What is left of a board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Offcut {
    /// Its number among the boards, from 0.
    pub board: usize,
    /// Across the grain.
    pub width: Length,
    /// Along it.
    pub length: Length,
}

impl Offcut {
    /// Face in square nanometres, then length: what makes one larger than another.
    pub(super) fn size(self) -> (i128, Length) {
        (i128::from(self.width.nm()) * i128::from(self.length.nm()), self.length)
    }
}

impl Ease {
    /// Counts the figures of boards whose strips are tied in bundles.
    #[must_use]
    pub fn of(problem: &BoardProblem, boards: &[CutBoard], tied: &Tied) -> Self {
        let crosscut = boards.iter().filter(|board| board.order == Order::CrosscutFirst);
        let lengths: BTreeSet<Length> = crosscut.flat_map(|board| &board.blanks).map(|blank| blank.length).collect();
        let widths = || boards.iter().flat_map(|board| &board.blanks).flat_map(saw_widths);
        Self {
            door_boards: tied.pairs,
            door_boards_bound: tied.bound,
            blank_lengths: lengths.len(),
            rip_widths: widths().collect::<BTreeSet<Length>>().len(),
            fence_settings: settings(None, widths()),
            offcut: largest_offcut(problem, boards),
        }
    }
}

/// Pairs, blank lengths, fence settings, then the offcut, of which more is better.
pub(super) type Rank = (u64, usize, usize, Reverse<Option<(i128, Length)>>);

impl Ease {
    /// What comes first when plans are compared: less is better.
    pub(super) fn rank(&self) -> Rank {
        let offcut = self.offcut.map(Offcut::size);
        (self.door_boards, self.blank_lengths, self.fence_settings, Reverse(offcut))
    }
}

/// The fence's settings for the rips of a blank: widest first, each once.
pub(super) fn saw_widths(blank: &Blank) -> impl DoubleEndedIterator<Item = Length> + use<> {
    let widths: BTreeSet<Length> = blank.rips.iter().map(|rips| rips.rip_width).collect();
    widths.into_iter().rev()
}

/// How often the fence is set anew for rips in this order.
pub(super) fn settings(at: Option<Length>, widths: impl Iterator<Item = Length>) -> usize {
    let mut at = at;
    widths.filter(|&width| at.replace(width) != Some(width)).count()
}

/// The largest usable offcut, on the first board that leaves it.
pub(super) fn largest_offcut(problem: &BoardProblem, boards: &[CutBoard]) -> Option<Offcut> {
    // Boards that are cut alike stand side by side and leave alike: one of each row is looked at.
    let different = (0..boards.len()).filter(|&at| at == 0 || boards[at] != boards[at - 1]);
    let offcuts = different.filter_map(|at| usable_offcut(problem, boards, at));
    offcuts.max_by_key(|offcut| (offcut.size(), Reverse(offcut.board)))
}

/// The largest piece that a board leaves of which at least one strip of the job comes out.
pub(super) fn usable_offcut(problem: &BoardProblem, boards: &[CutBoard], at: usize) -> Option<Offcut> {
    // Where its blanks lie is settled last.
    let (mut board, rules) = (boards[at].clone(), &problem.rules);
    room::lay_out(problem, &mut board);
    let kind = &problem.stock[board.stock];
    let parts = problem.parts.iter().filter(|part| part.label == kind.label && part.count > 0);
    let strips: Vec<StripSize> = parts.map(StripDemand::size).collect();
    let left = board.left(rules, &kind.size()).into_iter().find(|left| worth_keeping(rules, &strips, &left.board()));
    left.map(|Left { width, length, .. }| Offcut { board: at, width, length })
}
