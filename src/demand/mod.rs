//! Demand: strips pooled over all doors, cabinets and loose strips, with their spares, and the
//! cloth pieces.

use crate::job::{Millings, Species};
use crate::measure::Length;

/// One pooled strip size.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Unique short name, written on the bundle: `S01`.
    pub name: String,
    /// Its wood.
    pub species: Species,
    /// Finished length, without `length_trim`.
    pub length: Length,
    /// Width to rip for flat milling, `lead_trim` included, without `rip_trim`.
    pub width: Length,
    /// Finished thickness.
    pub thickness: Length,
    /// Allowed millings.
    pub millings: Millings,
    /// Strips the doors and loose pieces need.
    pub needed: u32,
    /// Strips beyond that: rejects, set-up, repair.
    pub spares: u32,
    /// Who asked, in job order.
    pub uses: Vec<PartUse>,
}

impl Part {
    /// Strips to cut.
    #[must_use]
    pub const fn total(&self) -> u32 {
        self.needed + self.spares
    }
}

/// One asker of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartUse {
    /// Door or loose strip name.
    pub name: String,
    /// `slat`, `lead slat` or `strip`.
    pub role: &'static str,
    /// Strips needed, all copies together.
    pub strips: u32,
}

/// One kind of cloth piece.
#[derive(Debug, Clone, PartialEq)]
pub struct ClothNeed {
    /// Unique short name: `C01`.
    pub name: String,
    /// The doors (or loose pieces) it is for, each named once, in job order.
    pub doors: Vec<String>,
    /// Along the bolt.
    pub along: Length,
    /// Across the bolt.
    pub across: Length,
    /// May be turned a quarter.
    pub turn: bool,
    /// Pieces to cut; copy `i` belongs to `owners[i]`.
    pub owners: Vec<String>,
}
