//! What the search counts in a plan, and the rows that bound such counts.
//!
//! Every count is a sum over the levels of a plan, each level giving a figure that depends on its
//! bolt and height, or on the pieces in it. So a dual of such a row changes the price of a level
//! or the worth of a piece, and the best level is still found by the same knapsack.

use std::collections::BTreeMap;

use super::model::Model;
use super::stacks::{Content, pieces};

/// Something to count in a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Count {
    /// Fills of a whole remnant.
    Whole {
        /// The remnant.
        bolt: usize,
    },
    /// Length used of a bolt, in units.
    Length {
        /// The bolt.
        bolt: usize,
    },
    /// Levels at least so high, on one bolt or on all.
    Levels {
        /// The bolt, or all.
        bolt: Option<usize>,
        /// Index of the least height.
        from: usize,
    },
    /// Pieces of a kind in levels at least so high.
    Kind {
        /// The kind.
        kind: usize,
        /// The bolt, or all.
        bolt: Option<usize>,
        /// Index of the least height.
        from: usize,
    },
    /// Pieces laid one way in levels at least so high.
    Laid {
        /// The placement.
        placement: usize,
        /// The bolt, or all.
        bolt: Option<usize>,
        /// Index of the least height.
        from: usize,
    },
    /// Levels of one height on one bolt.
    LevelsAt {
        /// The bolt.
        bolt: usize,
        /// Index of the height.
        height: usize,
    },
    /// Pieces laid one way in these.
    LaidAt {
        /// The placement.
        placement: usize,
        /// The bolt.
        bolt: usize,
        /// Index of the height.
        height: usize,
    },
}

/// A bound on a count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Row {
    /// What is counted.
    pub count: Count,
    /// At least, or at most.
    pub at_least: bool,
    /// How many.
    pub rhs: i64,
}

/// The least and the most of counts.
pub(super) type Bounds = BTreeMap<Count, (i64, i64)>;
/// Of a count that is not bounded.
pub(super) const UNBOUNDED: (i64, i64) = (0, i64::MAX);

impl Count {
    /// What one level of this height on this bolt adds, apart from its pieces.
    pub(super) fn of_level(self, model: &Model, bolt: usize, height: usize) -> i64 {
        match self {
            Self::Length { bolt: b } if b == bolt => model.heights[height],
            Self::Levels { bolt: b, from } if b.is_none_or(|b| b == bolt) && height >= from => 1,
            Self::LevelsAt { bolt: b, height: at } if (b, at) == (bolt, height) => 1,
            _ => 0,
        }
    }

    /// What one piece laid so in such a level adds.
    pub(super) fn of_piece(self, model: &Model, bolt: usize, height: usize, placement: usize) -> i64 {
        let (matches, on, from) = match self {
            Self::Kind { kind, bolt, from } => (model.placements[placement].kind == kind, bolt, from),
            Self::Laid { placement: p, bolt, from } => (p == placement, bolt, from),
            Self::LaidAt { placement: p, bolt: b, height: at } => {
                return i64::from((p, b, at) == (placement, bolt, height));
            }
            _ => return 0,
        };
        i64::from(matches && on.is_none_or(|b| b == bolt) && height >= from)
    }

    /// The heights, lowest first, from which on pieces count on this bolt, and then no longer do.
    pub(super) fn pieces_from(self, bolt: usize) -> impl Iterator<Item = usize> {
        let heights = match self {
            Self::Kind { bolt: b, from, .. } | Self::Laid { bolt: b, from, .. } if b.is_none_or(|b| b == bolt) => {
                [Some(from), None]
            }
            Self::LaidAt { bolt: b, height, .. } if b == bolt => [Some(height), Some(height + 1)],
            _ => [None, None],
        };
        heights.into_iter().flatten()
    }
}

/// A column of the master program: one level of a bolt, or the fill of a whole remnant.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Column {
    /// The bolt.
    pub bolt: usize,
    /// A fill of the whole remnant.
    pub whole: bool,
    /// (index of the nominal height, what lies in the level, times).
    pub levels: Vec<(usize, Content, i64)>,
}

impl Column {
    /// Length used, in units.
    pub(super) fn length(&self, model: &Model) -> i64 {
        self.levels.iter().map(|(height, _, times)| model.heights[*height] * times).sum()
    }

    /// Pieces of each kind, (kind, count) with repeats.
    pub(super) fn covers(&self, model: &Model) -> Vec<(usize, i64)> {
        let mut covers: Vec<(usize, i64)> = Vec::new();
        for (_, content, times) in &self.levels {
            for (p, copies) in pieces(content) {
                let kind = model.placements[p].kind;
                match covers.iter_mut().find(|(held, _)| *held == kind) {
                    Some((_, count)) => *count += copies * times,
                    None => covers.push((kind, copies * times)),
                }
            }
        }
        covers
    }

    /// Its figure in a row.
    pub(super) fn figure(&self, model: &Model, count: Count) -> i64 {
        if let Count::Whole { bolt } = count {
            return i64::from(self.whole && bolt == self.bolt);
        }
        let of = |(height, content, times): &(usize, Content, i64)| {
            let of_pieces: i64 =
                pieces(content).map(|(p, copies)| copies * count.of_piece(model, self.bolt, *height, p)).sum();
            times * (of_pieces + count.of_level(model, self.bolt, *height))
        };
        self.levels.iter().map(of).sum()
    }
}

/// Bounds that the rows set.
pub(super) fn bounds<'r>(rows: impl Iterator<Item = &'r Row>) -> Bounds {
    let mut bounds = Bounds::new();
    for row in rows {
        let (low, high) = bounds.entry(row.count).or_insert(UNBOUNDED);
        if row.at_least {
            *low = row.rhs.max(*low);
        } else {
            *high = row.rhs.min(*high);
        }
    }
    bounds
}

/// The rows of bounds, each count once to either side: two rows of one count would count its dual twice.
pub(super) fn rows(bounds: &Bounds) -> Vec<Row> {
    let sides = |(&count, &(low, high)): (&Count, &(i64, i64))| {
        let least = (low > 0).then_some(Row { count, at_least: true, rhs: low });
        let most = (high < i64::MAX).then_some(Row { count, at_least: false, rhs: high });
        [least, most].into_iter().flatten()
    };
    bounds.iter().flat_map(sides).collect()
}
