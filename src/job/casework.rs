//! What the case of a cabinet is made of and how its panels meet; the sheets there are; how panels are cut.

use super::Species;
use crate::measure::{Cents, Length, Price, Ratio};

/// The case of a cabinet, as the job says it.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseSpec {
    /// Of top, bottom and sides.
    pub material: Material,
    /// Of top, bottom and sides.
    pub thickness: Length,
    /// How they meet.
    pub joint: CaseJoint,
    /// The back; `None` for an open case, or one that stands against something.
    pub back: Option<BackSpec>,
    /// Thin panels that keep things off the stowed slats.
    pub lining: Option<LiningSpec>,
    /// Loose shelves.
    pub shelves: Option<ShelfSpec>,
    /// Strips glued to edges that show.
    pub edging: Option<EdgingSpec>,
}

/// What a panel is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Material {
    /// As the job says it.
    pub name: String,
    /// The wood it is glued up from; `None` for sheet goods.
    pub solid: Option<Species>,
}

impl Material {
    /// True for sheet goods of this name, whatever its capitals.
    #[must_use]
    pub fn is_sheet(&self, name: &str) -> bool {
        self.solid.is_none() && self.name.to_lowercase() == name.to_lowercase()
    }
}

/// How top and bottom meet the sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CaseJoint {
    /// Top and bottom run over the ends of the sides.
    TopOverSides,
    /// The sides run full height, top and bottom stand between them.
    SidesOverTop,
    /// The sides run full height, top and bottom are housed in them so deep.
    Dado(Length),
}

impl CaseJoint {
    /// The words used in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::TopOverSides => "top over sides",
            Self::SidesOverTop => "sides over top",
            Self::Dado(_) => "dado",
        }
    }
}

/// The back of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct BackSpec {
    /// What it is made of.
    pub material: Material,
    /// Its thickness.
    pub thickness: Length,
    /// Depth of the rabbet it is let into, all round; `None` where it is laid on.
    pub rabbet: Option<Length>,
}

/// The lining.
#[derive(Debug, Clone, PartialEq)]
pub struct LiningSpec {
    /// What it is made of.
    pub material: Material,
    /// Its thickness.
    pub thickness: Length,
    /// From the inside face of the side to the lining's face towards the door; `None` where it is to leave most room.
    pub inset: Option<Length>,
}

/// Shelves.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfSpec {
    /// What they are made of.
    pub material: Material,
    /// Their thickness.
    pub thickness: Length,
    /// Shelves of one case.
    pub count: u32,
    /// Left open at each end and at the back.
    pub gap: Length,
    /// Along the case's width; `None` for what leaves the largest shelf.
    pub width: Option<Length>,
    /// Along the case's depth; `None` for all there is at that width.
    pub depth: Option<Length>,
}

/// Edging.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EdgingSpec {
    /// Its thickness: panels are cut so much smaller.
    pub thickness: Length,
    /// Front edges of top, bottom and sides.
    pub case_front: bool,
    /// Front edges of shelves.
    pub shelf_front: bool,
    /// Ends of top and bottom, where they run over the sides.
    pub top_ends: bool,
}

/// One row of the sheets file.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetStock {
    /// Unique name.
    pub sheet: String,
    /// What it is, as panels ask for it.
    pub material: String,
    /// Its thickness.
    pub thickness: Length,
    /// Full width, across the grain.
    pub width: Length,
    /// Full length, along the grain.
    pub length: Length,
    /// How many there are; `None` when any number can be bought.
    pub on_hand: Option<u32>,
    /// Price of one; `None` when on hand and free.
    pub price: Option<Price>,
    /// The same to the cent, halves up.
    pub unit_cost: Cents,
}

/// How panels are cut: `[panels]` of the shop file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PanelRules {
    /// What the saw takes.
    pub kerf: Length,
    /// Cut off every edge of a sheet before anything else.
    pub trim: Length,
    /// Share added to the board feet of solid panels for what falls off in gluing up and squaring.
    pub solid_waste: Ratio,
}
