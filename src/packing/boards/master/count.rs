//! Columns of the master and the numbers in it that are whole in every plan.

use std::collections::BTreeMap;

use crate::packing::boards::model::{Mode, Model};
use crate::packing::boards::pricing::Rips;

/// A column of the master.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) enum Column {
    /// What a row lacks, at a price that no plan can pay, or what is cut beyond a need: nothing of a plan.
    Missing,
    /// One filled span.
    Rips(Rips),
    /// One board cut into spans, each with how many are equal.
    Cut(Mode, Vec<(usize, u32)>),
}

/// A number that is whole in every plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) enum Count {
    /// All boards.
    Boards,
    /// Boards of one kind.
    Kind(usize),
    /// Boards of one kind cut in one order.
    Mode(Mode),
    /// Spans at least as long as one, over all classes or in one.
    Spans { layout: usize, class: Option<usize>, from: usize },
    /// Filled spans of a group at least as long as one.
    Filled { layout: usize, group: usize, from: usize },
    /// Rips of a part in spans of a fill (a group in so many leaves) at least as long as one.
    Rips { layout: usize, fill: usize, part: usize, from: usize },
}

impl Count {
    /// How often a column counts.
    pub(super) fn of(self, model: &Model, column: &Column) -> u32 {
        match column {
            Column::Missing => 0,
            Column::Rips(rips) => self.of_rips(model, rips),
            Column::Cut(mode, spans) => self.of_cut(*mode, spans),
        }
    }

    pub(super) fn of_cut(self, mode: Mode, spans: &[(usize, u32)]) -> u32 {
        match self {
            Self::Boards => 1,
            Self::Kind(kind) => u32::from(mode.kind == kind),
            Self::Mode(only) => u32::from(mode == only),
            Self::Spans { layout, class, from }
                if mode.layout == layout && class.is_none_or(|class| class == mode.class) =>
            {
                spans.iter().filter(|&&(span, _)| span >= from).map(|&(_, count)| count).sum()
            }
            _ => 0,
        }
    }

    pub(super) fn of_rips(self, model: &Model, rips: &Rips) -> u32 {
        match self {
            Self::Rips { layout, fill, part, from }
                if rips.layout == layout
                    && rips.span >= from
                    && model.layouts[layout].fill(rips.class, rips.group) == Some(fill) =>
            {
                let of_part = rips.rips.iter().filter(|(hold, _)| model.variants[hold.variant].part == part);
                of_part.map(|&(_, count)| count).sum()
            }
            Self::Filled { layout, group, from } => {
                u32::from(rips.layout == layout && rips.group == group && rips.span >= from)
            }
            _ => 0,
        }
    }
}

/// What a node is parted on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) enum Branch {
    Count(Count),
    /// A column, by its place: where columns are listed.
    Column(usize),
}

/// Bounds on counts: what a node of the search adds to the problem.
pub(in super::super) type Bounds = BTreeMap<Count, (u32, u32)>;
