//! What cannot be made of a case as asked.

use crate::measure::{Length, Units};

/// Why the panels of a cabinet cannot be made as asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaseProblem {
    /// The lining stands in the way of the door.
    LiningTouched {
        /// The cabinet.
        cabinet: String,
        /// Where its face stands.
        inset: Length,
        /// How far in the slats come.
        reach: Length,
    },
    /// A shelf is wider than the clear room.
    ShelfTooWide {
        /// The cabinet.
        cabinet: String,
        /// As asked.
        width: Length,
        /// The widest there is room for, its gaps taken off.
        there: Length,
        /// Behind a lining.
        lined: bool,
    },
    /// A shelf is deeper than the clear room at its width.
    ShelfTooDeep {
        /// The cabinet.
        cabinet: String,
        /// As asked.
        depth: Length,
        /// The deepest there is room for, its gap taken off.
        there: Length,
        /// Behind a lining.
        lined: bool,
    },
    /// The door and the lining leave no room at all.
    NoRoom {
        /// The cabinet.
        cabinet: String,
        /// Behind a lining.
        lined: bool,
    },
    /// Edging takes all of a panel.
    Nothing {
        /// The cabinet.
        cabinet: String,
        /// The panel.
        panel: &'static str,
    },
}

impl CaseProblem {
    /// The cabinet it is about.
    #[must_use]
    pub fn cabinet(&self) -> &str {
        match self {
            Self::LiningTouched { cabinet, .. }
            | Self::ShelfTooWide { cabinet, .. }
            | Self::ShelfTooDeep { cabinet, .. }
            | Self::NoRoom { cabinet, .. }
            | Self::Nothing { cabinet, .. } => cabinet,
        }
    }

    /// What is wrong, by how much, and what would be right, lengths in `units`.
    #[must_use]
    pub fn said(&self, units: Units) -> String {
        let show = |length: Length| format!("{} {units}", length.show_nearest(units));
        let beside = |lined: bool| if lined { "beside the doors and their lining" } else { "beside the doors" };
        let cabinet = self.cabinet();
        match self {
            Self::LiningTouched { inset, reach, .. } => format!(
                "the lining of `{cabinet}` would be touched by the door: its face stands {} from the side, the slats come \
                 {} in; set it {} farther in, or leave `inset` out",
                show(*inset),
                show(*reach),
                show(*reach - *inset)
            ),
            Self::ShelfTooWide { width, there, lined, .. } => format!(
                "the shelf of `{cabinet}` is {} wide, and there is room for {} {}: {} too much",
                show(*width),
                show(*there),
                beside(*lined),
                show(*width - *there)
            ),
            Self::ShelfTooDeep { depth, there, lined, .. } => format!(
                "the shelf of `{cabinet}` is {} deep, and there is room for {} {}: {} too much",
                show(*depth),
                show(*there),
                beside(*lined),
                show(*depth - *there)
            ),
            Self::NoRoom { lined, .. } => {
                let what = if *lined { "doors and lining leave" } else { "doors leave" };
                format!("the {what} no room for shelves in `{cabinet}`: a larger case, or neither lining nor shelves")
            }
            Self::Nothing { panel, .. } => {
                format!("nothing is left of the {panel} of `{cabinet}`: thinner edging, or smaller gaps")
            }
        }
    }
}
