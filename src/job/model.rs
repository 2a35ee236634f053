//! The checked job: what the files say, valid by construction.

use std::collections::BTreeMap;
use std::path::PathBuf;

use rust_decimal::Decimal;

use super::{Pricing, Species};
use crate::measure::{Cents, Length, Price, Ratio, StockThickness, Units};

/// One job: cabinets with their doors, loose pieces, stock and the shop's rules.
#[derive(Debug, Clone)]
pub struct Job {
    /// What the job is called on every sheet.
    pub name: String,
    /// Who it is for, if named.
    pub client: Option<String>,
    /// The unit of CSV files and of the screen.
    pub units: Units,
    /// Cabinets in the order of the file.
    pub cabinets: Vec<Cabinet>,
    /// Strips wanted beside the doors.
    pub strips: Vec<LooseStrip>,
    /// Cloth pieces wanted beside the doors.
    pub cloth_pieces: Vec<LooseCloth>,
    /// Extra lines the price must carry.
    pub lines: Vec<ExtraLine>,
    /// How many strips beyond the needed ones.
    pub spares: SparesRule,
    /// Boards the yard sells and the rack holds, in file order.
    pub boards: Vec<BoardStock>,
    /// Bolts and remnants, in file order.
    pub bolts: Vec<Bolt>,
    /// Rules and rates of the shop.
    pub shop: Shop,
    /// Names of the alternatives to compare with, in file order.
    pub alternatives: Vec<String>,
    /// Every default that entered, with its reason.
    pub defaults: Vec<DefaultUsed>,
}

/// A default that entered a result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DefaultUsed {
    /// Where it would be set: `[clearance] running`.
    pub key: String,
    /// Its value, as shown.
    pub value: String,
    /// Why that value: a published source or "common practice, no source".
    pub reason: String,
}

/// One cabinet design, built `count` times.
#[derive(Debug, Clone)]
pub struct Cabinet {
    /// Its name, unique in the job.
    pub name: String,
    /// How many are built, at least 1.
    pub count: u32,
    /// Inside sizes when the cabinet form was used.
    pub inside: Option<InsideSize>,
    /// Doors in the order of the file (a pair is two: left, then right).
    pub doors: Vec<DoorSpec>,
}

/// Clear inside sizes of a case and where its grooves lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InsideSize {
    /// Between the sides.
    pub width: Length,
    /// Case front edge to the inside face of the back.
    pub depth: Length,
    /// Between bottom and top.
    pub height: Length,
}

/// One door of a cabinet.
#[derive(Debug, Clone)]
pub struct DoorSpec {
    /// Unique in the job: `press left`.
    pub name: String,
    /// Section and milling of its slats.
    pub slats: SlatSpec,
    /// The track it runs in.
    pub track: DoorTrack,
    /// Groove section.
    pub groove: Groove,
    /// Clear distance between the two faces that carry the grooves.
    pub between: Length,
}

/// Width and depth of a groove.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Groove {
    /// Between its walls.
    pub width: Length,
    /// From the face it is routed in to its bottom.
    pub depth: Length,
}

/// Where a door runs.
#[derive(Debug, Clone)]
pub enum DoorTrack {
    /// From the case's inside sizes; the door room lays out the path.
    Case {
        /// The case.
        inside: InsideSize,
        /// Which door of the case.
        hand: Hand,
        /// Case front edge to the groove's centreline.
        setback: Length,
        /// Side's inside face to the groove's centreline (top's or bottom's for a roll-up).
        side_inset: Length,
        /// Back's inside face to the groove's centreline.
        back_inset: Length,
        /// Corner radius to the groove's centreline.
        corner_radius: Length,
    },
    /// A path given in full.
    Path {
        /// Name of the track in the file.
        name: String,
        /// From where the lead edge rests closed to the end of the groove.
        path: Vec<Segment>,
        /// Length of track to be covered when closed, from the lead edge.
        cover: Length,
        /// Travel of the lead edge, closed to open.
        travel: Length,
    },
}

/// Which way a door of a case opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hand {
    /// A single door that stows at the left.
    Left,
    /// A single door that stows at the right.
    Right,
    /// The left one of a pair.
    PairLeft,
    /// The right one of a pair.
    PairRight,
    /// A roll-up: slats lie across the width.
    Up,
}

/// One piece of a track's centreline, tangent to its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// A straight run.
    Straight(Length),
    /// An arc.
    Arc {
        /// To the groove's centreline.
        radius: Length,
        /// Turning angle in degrees, above 0 and at most 180.
        degrees: f64,
        /// True when the canvas lies on the concave side (an ordinary corner); false for a
        /// reverse bend.
        canvas_inside: bool,
    },
}

/// Section of a door's slats.
#[derive(Debug, Clone, PartialEq)]
pub struct SlatSpec {
    /// Wood of slats and lead slat.
    pub species: Species,
    /// Along the travel.
    pub width: Length,
    /// Face to back.
    pub thickness: Length,
    /// Finished width of the lead slat.
    pub lead_width: Length,
    /// Thickness of the lead slat.
    pub lead_thickness: Length,
    /// Length along the travel of the tongue left on the lead slat, at its hinge side; `None` for
    /// the full width.
    pub lead_tongue: Option<Length>,
    /// When the lead slat joins the door.
    pub lead_fitted: LeadFitted,
    /// Depth of the rabbet: tongue thickness is thickness less this.
    pub rabbet_depth: Length,
    /// Length of the rabbet along the slat, each end.
    pub rabbet_length: Length,
    /// The face the rabbet is cut from.
    pub rabbet_face: RabbetFace,
    /// Allowed millings.
    pub milling: Millings,
    /// Bevel of each long edge in degrees, starting at the canvas line.
    pub edge_bevel: f64,
    /// Decorative chamfer at the show face.
    pub edge_chamfer: Length,
}

/// When the lead slat joins the door.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeadFitted {
    /// Before loading: it passes every bend from the entry.
    Before,
    /// After loading: only bends used in service count for it.
    After,
}

/// The face a rabbet is cut from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RabbetFace {
    /// The show face: the tongue lies at the canvas.
    Show,
    /// The back: the tongue lies at the show face.
    Back,
}

/// How a strip may be milled from its blank.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Milling {
    /// Blank planed to the strip's thickness, ripped to its width.
    Flat,
    /// Blank planed to the strip's width, ripped to its thickness.
    Edge,
}

/// The millings a part may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Millings {
    /// Flat only.
    Flat,
    /// Edge only.
    Edge,
    /// Whichever costs least; one for the whole part.
    Any,
}

impl Millings {
    /// The allowed millings, flat first.
    #[must_use]
    pub const fn list(self) -> &'static [Milling] {
        match self {
            Self::Flat => &[Milling::Flat],
            Self::Edge => &[Milling::Edge],
            Self::Any => &[Milling::Flat, Milling::Edge],
        }
    }
}

/// Strips wanted beside the doors.
#[derive(Debug, Clone, PartialEq)]
pub struct LooseStrip {
    /// Its name.
    pub name: String,
    /// Its wood.
    pub species: Species,
    /// Finished length.
    pub length: Length,
    /// Finished width.
    pub width: Length,
    /// Finished thickness.
    pub thickness: Length,
    /// How many, at least 1.
    pub quantity: u32,
    /// Its own spares rule; `None` takes the job's.
    pub spares: Option<SpareRate>,
    /// Allowed millings.
    pub milling: Millings,
}

/// A cloth piece wanted beside the doors.
#[derive(Debug, Clone, PartialEq)]
pub struct LooseCloth {
    /// Its name.
    pub name: String,
    /// Along the bolt, washed.
    pub along: Length,
    /// Across the bolt, washed.
    pub across: Length,
    /// How many, at least 1.
    pub quantity: u32,
    /// May be turned a quarter.
    pub turn: bool,
}

/// Anything else the price must carry.
#[derive(Debug, Clone, PartialEq)]
pub struct ExtraLine {
    /// What it is.
    pub name: String,
    /// The cost group it joins.
    pub group: String,
    /// How many units, up to four places.
    pub quantity: Decimal,
    /// The unit's word.
    pub unit: String,
    /// Price of one unit.
    pub price: Price,
    /// Whether tax applies.
    pub taxed: bool,
}

/// Spares of the whole job.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SparesRule {
    /// The rate for strips that carry none of their own.
    pub rate: SpareRate,
    /// Probability that the whole job needs no second cutting: the product over all sizes.
    pub confidence: Ratio,
    /// Strips per section for setting fence and cutter.
    pub setup_strips: u32,
    /// Strips per door left with the client.
    pub repair_strips: u32,
}

/// How spares are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpareRate {
    /// No reject spares at all.
    None,
    /// A share of the needed strips, rounded up.
    Percent(Ratio),
    /// Each strip fails with this probability, independently.
    RejectRate(Ratio),
}

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
    /// Boards owned; `None` when any number can be bought.
    pub on_hand: Option<u32>,
    /// Price per unit; `None` when on hand and free.
    pub price: Option<(Price, BoardUnit)>,
    /// Price of one whole board, rounded to the cent, halves up.
    pub unit_cost: Cents,
    /// Sold in random widths: width and length are the planning size.
    pub random: bool,
}

/// What a board price is per.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoardUnit {
    /// Board foot, `bf`.
    BoardFoot,
    /// Cubic metre by the charged thickness, `m3`.
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

    /// One of it.
    #[must_use]
    pub const fn length(self) -> Length {
        match self {
            Self::Yard => Length::from_inches(36),
            Self::Metre => Length::from_mm(1000),
        }
    }
}

/// Rules and rates of the shop.
#[derive(Debug, Clone)]
pub struct Shop {
    /// How boards are cut.
    pub cutting: CuttingRules,
    /// Room left in grooves and cases.
    pub clearance: Clearance,
    /// Where the cloth lies on the slats.
    pub canvas: CanvasRules,
    /// Cutters on the shelf.
    pub cutters: Vec<Cutter>,
    /// Currency word printed beside totals, `USD` by default.
    pub currency: String,
    /// Added to the lumber line when widths are random: share of the board feet.
    pub yard_allowance: Ratio,
    /// The shop's history of reject rates and hours; the file may not be there yet.
    pub history: Option<PathBuf>,
    /// Plain labour lines: hours x rate.
    pub labour: Vec<LabourLine>,
    /// Consumables by door area.
    pub consumables: Vec<Consumable>,
    /// Share of the cost added for overhead.
    pub overhead: Ratio,
    /// Tax on taxed lines.
    pub tax: Ratio,
    /// Rates, operations, and what stands between cost and price.
    pub pricing: Pricing,
    /// Relative humidity the shop and the house see, for the seasonal figures.
    pub climate: BTreeMap<String, Decimal>,
}

/// The cutting rules: `[cutting]` of the shop file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CuttingRules {
    /// Width the rip blade removes.
    pub rip_kerf: Length,
    /// Width the crosscut blade removes.
    pub crosscut_kerf: Length,
    /// Width the resaw blade removes.
    pub resaw_kerf: Length,
    /// Off each board end.
    pub end_trim: Length,
    /// Whole board, both edges together, crosscut first.
    pub edge_trim_crosscut: Length,
    /// Whole board, both edges together, rip first.
    pub edge_trim_rip: Length,
    /// Last strip of a blank that is held, not ripped.
    pub hold_width: Length,
    /// Added to a strip's finished length.
    pub length_trim: Length,
    /// Added to the ripped dimension, any milling.
    pub rip_trim: Length,
    /// Added per rip with edge milling.
    pub edge_clean: Length,
    /// Per planed face, stock under 8/4 rough (2 in).
    pub face_trim_thin: Length,
    /// Per planed face, stock of 8/4 (2 in) and up.
    pub face_trim_thick: Length,
    /// Resawing allowed.
    pub resaw: bool,
    /// Extra per leaf when resawn.
    pub leaf_trim: Length,
    /// No blank shorter than this.
    pub min_blank: Length,
    /// No blank longer than this.
    pub max_blank: Option<Length>,
    /// Which cut comes first.
    pub order: OrderRule,
}

impl CuttingRules {
    /// The face trim for a board of this rough or surfaced thickness.
    #[must_use]
    pub fn face_trim(&self, thickness: Length) -> Length {
        if thickness >= Length::from_inches(2) { self.face_trim_thick } else { self.face_trim_thin }
    }

    /// The edge trim under a cutting order.
    #[must_use]
    pub const fn edge_trim(&self, order: Order) -> Length {
        match order {
            Order::CrosscutFirst => self.edge_trim_crosscut,
            Order::RipFirst => self.edge_trim_rip,
        }
    }
}

/// Which cut comes first on one board.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Order {
    /// Blanks are crosscut from the board, then ripped.
    CrosscutFirst,
    /// The whole board is ripped, then the rips are crosscut.
    RipFirst,
}

impl Order {
    /// The word used in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CrosscutFirst => "crosscut-first",
            Self::RipFirst => "rip-first",
        }
    }
}

/// Which orders the shop allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderRule {
    /// One order for every board.
    Only(Order),
    /// Each board its own.
    Any,
}

/// `[clearance]` of the shop file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clearance {
    /// Groove width over the chain's need.
    pub running: Length,
    /// Slat length short of both groove bottoms together.
    pub end_play: Length,
    /// Rabbet length beyond the groove depth.
    pub shoulder: Length,
    /// Tail past the cover, closed: a length or a number of slats.
    pub overlap: Overlap,
    /// Ripped over the lead slat's width, trimmed at hanging.
    pub lead_trim: Length,
}

/// How far the tail reaches past the cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overlap {
    /// So many slat widths.
    Slats(u32),
    /// A length.
    Length(Length),
}

/// `[canvas]` of the shop file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CanvasRules {
    /// Each slat end, bare of cloth.
    pub end_clear: EndClear,
    /// Last slat's outer edge, bare of cloth.
    pub tail_clear: Length,
    /// Cloth on the lead slat.
    pub lead_lap: Length,
    /// Each edge, cut off after gluing.
    pub trim: Length,
    /// Pieces may be turned a quarter (warp otherwise along the travel).
    pub turn: bool,
}

/// How the bare slat ends are set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EndClear {
    /// As given in the shop file.
    Given(Length),
    /// The default: 1/2 in, or rabbet length + 1/8 in where that is more.
    Auto,
}

/// A cutter on the shelf: it leaves a rabbet `width` along the slat and `height` deep.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cutter {
    /// Its name.
    pub name: String,
    /// Along the slat: the tongue's length.
    pub width: Length,
    /// Into the thickness: thickness less this is the tongue.
    pub height: Length,
}

/// A plain labour line.
#[derive(Debug, Clone, PartialEq)]
pub struct LabourLine {
    /// What is done.
    pub name: String,
    /// Hours.
    pub hours: Decimal,
    /// Rate per hour.
    pub rate: Price,
    /// Per what the hours are counted.
    pub per: LabourBasis,
}

/// Per what labour hours or consumables are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LabourBasis {
    /// The whole job.
    Job,
    /// Each cabinet built.
    Cabinet,
    /// Each door built.
    Door,
    /// Each board used.
    Board,
    /// Each strip cut.
    Strip,
}

/// A consumable bought by the area it covers.
#[derive(Debug, Clone, PartialEq)]
pub struct Consumable {
    /// What it is.
    pub name: String,
    /// Price of one unit.
    pub price: Price,
    /// The unit's word.
    pub unit: String,
    /// Square feet of door that one unit covers.
    pub covers_square_feet: Decimal,
    /// Coats, 1 by default.
    pub coats: u32,
    /// True when only whole units can be bought.
    pub whole_units: bool,
    /// Which area it is spread on.
    pub on: ConsumableArea,
}

/// Which area a consumable is spread on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ConsumableArea {
    /// Glued area: slats under cloth.
    Glued,
    /// Show faces of the doors: finish, whose coats are work too.
    Show,
    /// Panels edge to edge, once: tape, which holds the slats for glue-up.
    Panel,
}

impl Bolt {
    /// What lies between the selvages after washing: (width - 2 selvage)(1 - shrinkage across).
    #[must_use]
    pub fn usable_width(&self) -> Length {
        (self.width - self.selvage * 2).shrunk_by(self.shrink_across)
    }
}

impl Default for CuttingRules {
    /// The rules of a shop that gives none of its own, lengths in inches: kerfs 1/8, end trim
    /// 1-1/2, edge trim 1/4 (1/2 rip first), hold width 3/4, length trim 1/2, no rip trim, edge
    /// clean 1/32, face trim 3/32 (1/8 from 8/4 up), no resawing (leaf trim 1/16), blanks of at least
    /// 12, crosscut first. Common practice, no source; the face trims follow the hardwood grading
    /// rules' surfaced thicknesses (NHLA: 4/4 surfaces to 13/16, 8/4 to 1-3/4).
    fn default() -> Self {
        let kerf = Length::from_64ths(8);
        Self {
            rip_kerf: kerf,
            crosscut_kerf: kerf,
            resaw_kerf: kerf,
            end_trim: Length::from_64ths(96),
            edge_trim_crosscut: Length::from_64ths(16),
            edge_trim_rip: Length::from_64ths(32),
            hold_width: Length::from_64ths(48),
            length_trim: Length::from_64ths(32),
            rip_trim: Length::ZERO,
            edge_clean: Length::from_64ths(2),
            face_trim_thin: Length::from_64ths(6),
            face_trim_thick: Length::from_64ths(8),
            resaw: false,
            leaf_trim: Length::from_64ths(4),
            min_blank: Length::from_inches(12),
            max_blank: None,
            order: OrderRule::Only(Order::CrosscutFirst),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Units, parse_length, parse_thickness};

    /// Rough to surfaced two sides by the hardwood grading rules (NHLA, as tabled by
    /// engineeringtoolbox.com, "Hardwood lumber dimensions", and woodbin.com, "Lumber dimensions"): the
    /// default face trims take off exactly that.
    #[test]
    fn the_default_face_trims_give_the_surfaced_thicknesses_of_the_grading_table() {
        let rules = CuttingRules::default();
        for (rough, surfaced) in [
            ("4/4", "13/16"),
            ("5/4", "1-1/16"),
            ("6/4", "1-5/16"),
            ("8/4", "1-3/4"),
            ("12/4", "2-3/4"),
            ("16/4", "3-3/4"),
        ] {
            let rough = parse_thickness(rough, Units::Inch).unwrap().actual();
            let planed = rough - rules.face_trim(rough) * 2;
            assert_eq!(Ok(planed), parse_length(surfaced, Units::Inch), "{surfaced}");
        }
    }
}
