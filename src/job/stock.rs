//! What the yard, the rack and the cloth counter hold: one row of a file each.

use super::Species;
use crate::measure::{Cents, Length, Price, Ratio, StockThickness, Units, Volume};

/// One row of the boards file.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardStock {
    /// Unique name.
    pub stock: String,
    /// Its wood.
    pub species: Species,
    /// Rough, surfaced or plain thickness.
    pub thickness: StockThickness,
    /// Full width.
    pub width: Length,
    /// Full length.
    pub length: Length,
    /// Lengths to be cut out of every board of the row, in the order they lie in it.
    pub defects: Vec<Defect>,
    /// Where they are.
    pub place: BoardPlace,
    /// How many there are; `None` when any number can be bought.
    pub on_hand: Option<u32>,
    /// Price per unit; `None` when on hand and free.
    pub price: Option<(Price, BoardUnit)>,
    /// Price of one whole board, rounded to the cent, halves up.
    pub unit_cost: Cents,
    /// Sold in random widths: width and length are the planning size.
    pub random: bool,
    /// The narrowest and the widest that come, where the yard's range is known: the planning width lies
    /// between them.
    pub widths: Option<(Length, Length)>,
    /// Boards of the row that a frozen quote takes. In a job's boards `on_hand` is what they leave for it.
    pub held: Vec<Hold>,
}

/// Boards on the rack that are spoken for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hold {
    /// How many.
    pub boards: u32,
    /// The job they are held for, by its name.
    pub by: String,
}

impl Hold {
    /// The cell of a boards file: `2 x seed library; 1 x herbarium`.
    #[must_use]
    pub fn text(holds: &[Self]) -> String {
        let one = |hold: &Self| format!("{} x {}", hold.boards, hold.by);
        holds.iter().map(one).collect::<Vec<_>>().join("; ")
    }
}

/// Where the boards of a row are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoardPlace {
    /// At the yard: they are paid for when they are taken.
    Yard,
    /// On the shop's rack.
    Rack,
    /// Picked at the yard and paid for; not on the rack's file.
    Picked,
}

/// A length of a board that must be cut out: a knot, a split, a patch of sapwood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Defect {
    /// Where it begins, from the end that the board is measured from.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
}

impl BoardStock {
    /// Wood of one board, at the thickness that is charged.
    #[must_use]
    pub fn volume(&self) -> Volume {
        self.length * self.width * self.thickness.charged()
    }

    /// Boards held for other jobs than this one.
    pub fn held_from<'a>(&'a self, job: &'a str) -> impl Iterator<Item = &'a Hold> {
        self.held.iter().filter(move |hold| hold.by != job)
    }

    /// The defects as a boards file has them: `12..15;60..64`, in decimals of the job's unit.
    #[must_use]
    pub fn defects_text(&self, units: Units) -> String {
        let span = |defect: &Defect| format!("{}..{}", defect.from.decimal(units), defect.to.decimal(units));
        self.defects.iter().map(span).collect::<Vec<_>>().join(";")
    }
}

/// What a board price is per.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoardUnit {
    /// Board foot, `bf`.
    BoardFoot,
    /// Cubic metre by the quarter size or the plain thickness, `m3`; the one-inch rule is for board feet.
    CubicMetre,
    /// Whole board, `each`.
    Each,
    /// Foot of length, `lf`.
    LinealFoot,
}

impl BoardUnit {
    /// The word used in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::BoardFoot => "bf",
            Self::CubicMetre => "m3",
            Self::Each => "each",
            Self::LinealFoot => "lf",
        }
    }
}

/// One row of the cloth file.
#[derive(Debug, Clone, PartialEq)]
pub struct Bolt {
    /// Unique name.
    pub bolt: String,
    /// Full width, unwashed.
    pub width: Length,
    /// Unusable edge, each side.
    pub selvage: Length,
    /// Length owned, unwashed (a remnant); `None` for a bolt sold off the roll.
    pub on_hand: Option<Length>,
    /// Price per unit; `None` for a free remnant.
    pub price: Option<(Price, ClothUnit)>,
    /// What the counter cuts to; zero when the remnant row gives none.
    pub increment: Length,
    /// Shrinkage along in washing; zero when washed already.
    pub shrink_along: Ratio,
    /// Shrinkage across in washing; zero when washed already.
    pub shrink_across: Ratio,
    /// True when both shrinkage cells were empty: taken as washed, and the plan says so.
    pub taken_as_washed: bool,
}

/// What a cloth price is per.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClothUnit {
    /// 36 in.
    Yard,
    /// 1000 mm.
    Metre,
}

impl ClothUnit {
    /// The word used in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yard => "yard",
            Self::Metre => "metre",
        }
    }

    /// What cloth is sold by where jobs are in `units`.
    #[must_use]
    pub const fn usual(units: Units) -> Self {
        match units {
            Units::Inch => Self::Yard,
            Units::Millimetre => Self::Metre,
        }
    }

    /// One of it.
    #[must_use]
    pub const fn length(self) -> Length {
        match self {
            Self::Yard => Length::from_inches(36),
            Self::Metre => Length::from_mm(1000),
        }
    }
}

impl Bolt {
    /// What lies between the selvages after washing: (width - 2 selvage)(1 - shrinkage across).
    #[must_use]
    pub fn usable_width(&self) -> Length {
        (self.width - self.selvage * 2).shrunk_by(self.shrink_across)
    }
}
