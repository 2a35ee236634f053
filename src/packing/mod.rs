//! Packing: rips into boards and cloth onto bolts, with a proven lower bound.

pub mod boards;
pub mod bundles;
pub mod cloth;
pub mod ease;
mod lp;
mod noise;
mod simplex;
#[cfg(feature = "highs")]
pub mod whole;

use crate::measure::{Cents, Length};

/// How much work a packing may do. Work is counted, never timed, so that the same input gives the
/// same plan on every machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// Nodes of the search tree.
    pub nodes: u32,
    /// Tries of the randomised fills.
    pub tries: u32,
}

impl Default for Budget {
    fn default() -> Self {
        Self { nodes: 2_000, tries: 200 }
    }
}

/// How many threads pack. The plan is the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Threads {
    /// One thing after another.
    One,
    /// What can be done at the same time is.
    Several,
}

/// What a running packing has found and proven of the figure it makes least now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// What is bought.
    Cost {
        /// Of the best plan so far.
        best: Option<Cents>,
        /// No plan costs less.
        bound: Cents,
    },
    /// Washed cloth.
    Length {
        /// Of the best plan so far.
        best: Option<Length>,
        /// No plan uses less.
        bound: Length,
    },
}

impl Standing {
    /// True once there is a plan to give.
    #[must_use]
    pub const fn has_plan(&self) -> bool {
        match self {
            Self::Cost { best, .. } => best.is_some(),
            Self::Length { best, .. } => best.is_some(),
        }
    }
}

/// Where a running packing stands, told after each step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// What is found and proven.
    pub standing: Standing,
    /// Nodes done.
    pub nodes: u32,
}

/// What the listener answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flow {
    /// Go on.
    Continue,
    /// Stop and return the best plan so far.
    Stop,
}

/// Hears where a packing stands and may stop it: the only way a clock or a key press reaches it.
pub type Listener<'a> = dyn FnMut(Progress) -> Flow + 'a;
