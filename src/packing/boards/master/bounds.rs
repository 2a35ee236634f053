//! Between what bounds the counts lie, everywhere and at a node.

use super::{Count, Master};
use crate::packing::boards::model::Mode;

impl Master<'_, '_, '_> {
    /// Bounds that hold for a cheapest plan without surplus rips, blanks or boards.
    pub(in super::super) fn natural(&self, count: Count) -> (u32, u32) {
        let model = self.pricer.model;
        let spans = |layout: usize, class: Option<usize>, from: usize| -> u64 {
            let shortest = model.layouts[layout].spans[from].size;
            let cut_so = |mode: &&Mode| mode.layout == layout && class.is_none_or(|class| class == mode.class);
            let per_board = |mode: &Mode| model.layouts[layout].most_spans(*mode, shortest);
            let modes = model.modes.iter().filter(cut_so);
            modes.map(|mode| per_board(mode) as u64 * u64::from(self.most[mode.kind])).sum()
        };
        let upper = match count {
            Count::Boards => self.most.iter().map(|&n| u64::from(n)).sum(),
            Count::Kind(kind) | Count::Mode(Mode { kind, .. }) => u64::from(self.most[kind]),
            Count::Spans { layout, class, from } => spans(layout, class, from),
            Count::Filled { layout, from, .. } => spans(layout, None, from),
            // Each rip yields a unit or more.
            Count::Rips { part, .. } => u64::from(self.need[part]),
        };
        (0, upper.min(1_000_000_000) as u32)
    }

    /// Lowers the number of boards of each kind that a better plan than `limit` can hold.
    pub(in super::super) fn limit_boards(&mut self, limit: i64) {
        for (most, kind) in self.most.iter_mut().zip(&self.pricer.model.kinds) {
            if kind.cost > 0 {
                *most = (*most).min(u32::try_from((limit - 1).max(0) / kind.cost).unwrap_or(u32::MAX));
            }
        }
    }

    /// Number of boards of each kind within the node's bounds.
    pub(in super::super) fn kind_bounds(&self) -> Vec<(u32, u32)> {
        (0..self.most.len()).map(|kind| self.bounds_of(Count::Kind(kind))).collect()
    }

    /// Bounds of a count at this node.
    pub(in super::super) fn bounds_of(&self, count: Count) -> (u32, u32) {
        let natural = self.natural(count);
        self.bounds.get(&count).map_or(natural, |&(low, high)| (low, high.min(natural.1)))
    }
}
