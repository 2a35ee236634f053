//! Two ways to go about a search.

/// Dives have one part in so many of the work, at first and later on.
const DIVE_SHARE: u64 = 2;
const LATE_DIVE_SHARE: u64 = 16;
/// Cuts of a round whose cosine is below this are unlike each other.
const UNLIKE: f64 = 0.5;

/// How a search goes about it. How many nodes a proof takes depends much on the first few branches, so of two
/// searches that go about it differently one is often done long before the other.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Manner {
    /// One part in so many of the work may go into dives.
    pub(super) dive_share: u64,
    /// The cosine between two rounding cuts of a round is below this.
    pub(super) alike: f64,
    /// True where rounding cuts that hold for a whole set of boards are kept for all of its nodes.
    pub(super) pools: bool,
    /// True where fillings are branched on beside the cuts of boards, false where not before those are whole.
    pub(super) mixes: bool,
    /// Steps of the dual simplex to see what a branch comes to.
    pub(super) pivots: usize,
}

impl Manner {
    /// Looks for plans and proofs alike, with the cuts that cut deepest, and settles boards first.
    pub(in super::super) const FIRST: Self =
        Self { dive_share: DIVE_SHARE, alike: f64::INFINITY, pools: false, mixes: false, pivots: 8 };
    /// Looks for proofs most of all, with cuts that differ and hold for many nodes, and looks farther before it branches.
    pub(in super::super) const SECOND: Self =
        Self { dive_share: LATE_DIVE_SHARE, alike: UNLIKE, pools: true, mixes: true, pivots: 30 };

    /// The same with less of the work for dives.
    pub(super) fn diving_less(self) -> Self {
        Self { dive_share: LATE_DIVE_SHARE, ..self }
    }
}
