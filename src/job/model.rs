//! The checked job: what the files say, valid by construction.

use rust_decimal::Decimal;

use super::{BoardStock, Bolt, CaseSpec, DefaultUsed, History, SheetStock, Shop, Species, Written};
use crate::measure::{Length, Price, Ratio, Units};

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
    /// Sheet goods, in file order.
    pub sheets: Vec<SheetStock>,
    /// Rules and rates of the shop.
    pub shop: Shop,
    /// What the shop has learned from its jobs.
    pub history: History,
    /// The alternatives to compare with, in file order.
    pub alternatives: Vec<OtherWay>,
    /// What the client may have otherwise, in file order.
    pub options: Vec<JobOption>,
    /// Every default that entered, with its reason.
    pub defaults: Vec<DefaultUsed>,
    /// Where things stand in the files, and what in them is odd; empty for a job made in code.
    pub written: Written,
}

/// Another way of doing the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OtherWay {
    /// Its name.
    pub name: String,
    /// What it changes, in words: `slat width 3/4; without desk`.
    pub changes: String,
}

/// What the client may have otherwise, and the whole job with it.
#[derive(Debug, Clone)]
pub struct JobOption {
    /// Name and changes.
    pub way: OtherWay,
    /// The changed job; it has no options of its own.
    pub job: Box<Job>,
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
    /// The cloth of its doors may be turned a quarter; the shop's rule where it says nothing.
    pub turn: Option<bool>,
    /// The cloth of its doors is in two bands along the travel that meet under a slat.
    pub seam: bool,
    /// What its case is made of; `None` where no panels are asked for.
    pub case: Option<CaseSpec>,
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
    /// Thickness of the panel it is routed in.
    pub panel: Panel,
}

/// Thickness of a panel that carries a groove.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Panel {
    /// As the job says.
    Given(Length),
    /// As is usual: the job says nothing, so nothing is refused on its account.
    Usual(Length),
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
        /// Block that stays between the lead edges of a pair; zero where they meet.
        middle_block: Length,
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
        /// Whether its slats stand upright or lie.
        runs: Runs,
    },
}

impl DoorTrack {
    /// Slope in degrees at which the door begins to open, of one that runs up: 90 is straight up.
    #[must_use]
    pub const fn first_slope(&self) -> Option<f64> {
        match self {
            Self::Case { hand: Hand::Up, .. } => Some(90.0),
            Self::Path { runs: Runs::Up { first_slope }, .. } => Some(*first_slope),
            Self::Case { .. } | Self::Path { .. } => None,
        }
    }
}

/// How a track given in full stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Runs {
    /// Level: slats stand upright, the weight rests on the groove's bottom.
    Level,
    /// Up and over: slats lie, opening lifts the door.
    Up {
        /// Slope in degrees where the lead edge rests closed, rising in the opening sense: 90 is straight up.
        first_slope: f64,
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
    /// Length along the travel of the tongue left on the lead slat; `None` for the full width. Zero: the lead slat is
    /// screwed to the first slat and has no tongue of its own.
    pub lead_tongue: Option<Length>,
    /// Where on the lead slat that tongue is left.
    pub lead_tongue_at: LeadTongueAt,
    /// When the lead slat joins the door.
    pub lead_fitted: LeadFitted,
    /// How a lead slat that is fitted after loading gets into its grooves; `None` where the job says nothing.
    pub lead_entry: Option<LeadEntry>,
    /// Depth of the rabbet (of the one in the show face where both faces have one).
    pub rabbet_depth: Length,
    /// Depth of the rabbet in the back where both faces have one; zero otherwise.
    pub back_rabbet_depth: Length,
    /// Length of the rabbet along the slat, each end.
    pub rabbet_length: Length,
    /// The face the rabbet is cut from.
    pub rabbet_face: RabbetFace,
    /// Allowed millings of ordinary slats.
    pub milling: Millings,
    /// Allowed millings of the lead slat.
    pub lead_milling: Millings,
    /// Bevel of each long edge in degrees, starting at the canvas line.
    pub edge_bevel: f64,
    /// Decorative chamfer at the show face.
    pub edge_chamfer: Length,
    /// Left open between slats at the canvas, so that it bends as a strip there; zero for slats that butt.
    pub canvas_gap: Length,
}

impl SlatSpec {
    /// From one slat to the next along the travel.
    #[must_use]
    pub fn pitch(&self) -> Length {
        self.width + self.canvas_gap
    }

    /// Thickness of the tongue: what the rabbets leave; not positive when they leave nothing.
    #[must_use]
    pub fn tongue(&self) -> Length {
        self.thickness - self.rabbet_depth - self.back_rabbet_depth
    }

    /// From the back to the tongue: the depth of the rabbet in the back.
    #[must_use]
    pub const fn back_rabbet(&self) -> Length {
        match self.rabbet_face {
            RabbetFace::Show => Length::ZERO,
            RabbetFace::Back => self.rabbet_depth,
            RabbetFace::Both => self.back_rabbet_depth,
        }
    }
}

/// Where on the lead slat a tongue is left that is shorter than the slat is wide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeadTongueAt {
    /// At its hinge.
    Hinge,
    /// In its middle.
    Middle,
}

/// How a lead slat that is fitted after loading gets into its grooves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeadEntry {
    /// One end first, to the bottom of its groove, then the other end.
    Ends,
    /// Through a notch in a wall of each groove.
    Notch,
    /// Screwed to the first slat, without a tongue.
    Screwed,
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
    /// Both: the tongue lies between.
    Both,
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
    /// True where the client reads nothing of it: its cost is in the price of the rest.
    pub in_the_price: bool,
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
    /// True where the client reads nothing of it: its cost is in the price of the rest.
    pub in_the_price: bool,
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
    /// True where the client reads nothing of it: its cost is in the price of the rest.
    pub in_the_price: bool,
}

/// Spares of the whole job.
#[derive(Debug, Clone, PartialEq)]
pub struct SparesRule {
    /// The rate for strips that carry none of their own.
    pub rate: SpareRate,
    /// Rates by length and wood: the first that fits a strip is taken in the place of `rate`.
    pub rates: Vec<RateOf>,
    /// Strips that the rate is known from: so much a history weighs beside it. `None` for a rate known beyond doubt.
    pub known_from: Option<u32>,
    /// How far rejects come by the board: the variance of the rejects of a board of twenty strips over that of strips
    /// that fail each by itself; 1 or more.
    pub by_board: Decimal,
    /// What a second trip costs, where the confidence is chosen by it: then that is where spares and the risk of a trip
    /// come to least, and `confidence` is not asked.
    pub second_trip: Option<Price>,
    /// Probability that the whole job needs no second cutting.
    pub confidence: Ratio,
    /// Strips per section for setting fence and cutter.
    pub setup_strips: u32,
    /// Strips per door left with the client.
    pub repair_strips: u32,
}

/// The reject rate of some strips.
#[derive(Debug, Clone, PartialEq)]
pub struct RateOf {
    /// Of strips shorter than this; of any length where it says nothing.
    pub under: Option<Length>,
    /// Of this wood; of any where it says nothing.
    pub species: Option<Species>,
    /// The rate.
    pub rate: Ratio,
}

impl SparesRule {
    /// How the spares of a strip are counted that has no rule of its own.
    #[must_use]
    pub fn rate_of(&self, species: &Species, length: Length) -> SpareRate {
        let fits = |of: &&RateOf| {
            of.under.is_none_or(|under| length < under) && of.species.as_ref().is_none_or(|wood| wood == species)
        };
        self.rates.iter().find(fits).map_or(self.rate, |of| SpareRate::RejectRate(of.rate))
    }
}

/// The highest reject rate a job may have: a shop that spoils more than nine strips in ten cannot be planned for.
pub const WORST_REJECT_RATE: Decimal = Decimal::from_parts(9, 0, 0, false, 1);

/// How spares are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpareRate {
    /// No reject spares at all.
    None,
    /// A share of the needed strips, rounded up.
    Percent(Ratio),
    /// Each strip fails with this probability.
    RejectRate(Ratio),
}
