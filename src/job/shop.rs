//! Rules and rates of the shop.

use std::collections::BTreeMap;
use std::path::PathBuf;

use rust_decimal::Decimal;

use super::{PanelRules, Pricing, Tax};
use crate::measure::{Length, Price, Ratio, Units};

/// Who makes the offer: `[shop]` of the shop file, all of it optional and printed where it is there.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ShopCard {
    /// The shop's name.
    pub name: Option<String>,
    /// Its address, line by line.
    pub address: Vec<String>,
    /// How it is reached: a telephone number, a mail address.
    pub contact: Option<String>,
    /// Its number with the tax office.
    pub tax_number: Option<String>,
    /// The number of the next quote that is frozen for a job that has none yet.
    pub next_quote: Option<u32>,
}

impl ShopCard {
    /// The lines at the head of a page.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let tax = self.tax_number.iter().map(|number| format!("tax number {number}"));
        self.name.iter().chain(&self.address).chain(&self.contact).cloned().chain(tax).collect()
    }
}

/// Rules and rates of the shop.
#[derive(Debug, Clone)]
pub struct Shop {
    /// Who makes the offer.
    pub about: ShopCard,
    /// How boards are cut.
    pub cutting: CuttingRules,
    /// How the panels of cases are cut.
    pub panels: PanelRules,
    /// Room left in grooves and cases.
    pub clearance: Clearance,
    /// The unit of DXF files: what the router's program takes a bare figure for.
    pub dxf_units: Units,
    /// Where the cloth lies on the slats.
    pub canvas: CanvasRules,
    /// Cutters on the shelf.
    pub cutters: Vec<Cutter>,
    /// Currency word printed beside totals, `USD` by default.
    pub currency: String,
    /// Added to the lumber line when widths are random: share of the board feet.
    pub yard_allowance: Ratio,
    /// What a second trip to the yard costs the shop, where it says so.
    pub second_trip: Option<Price>,
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

impl Shop {
    /// The taxes in the order of the bill, none that is zero.
    #[must_use]
    pub fn taxes(&self) -> Vec<Tax> {
        let name = self.pricing.tax_name.clone().unwrap_or_else(|| "tax".to_owned());
        let first = Tax { name, rate: self.tax, on: self.pricing.tax_on };
        let taxes = std::iter::once(first).chain(self.pricing.second_tax.clone());
        taxes.filter(|tax| !tax.rate.decimal().is_zero()).collect()
    }
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
    /// What is left of a blank after its last cut, at least: it is held, not ripped. Zero lets the last strip
    /// be what is left.
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
    /// Wood left between a groove and the front edge of the case.
    pub front_wall: Length,
    /// Least tongue thickness; `None` for the usual rule.
    pub least_tongue: Option<Length>,
}

/// How far the tail reaches past the cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overlap {
    /// So many slat widths.
    Slats(u32),
    /// A length.
    Length(Length),
}

/// `[cloth]` of the shop file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CanvasRules {
    /// Each slat end, bare of cloth.
    pub end_clear: EndClear,
    /// How far the cloth stays off the rabbet's shoulder at the least: 1/8 in or 3 mm (common practice, no source).
    pub past_rabbet: Length,
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
    /// The default: this much, or the rabbet's length and `past_rabbet` where that is more.
    AtLeast(Length),
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
    /// Square feet of door that one unit covers. For finish and tape the label says it. For glue no published
    /// spread is at hand; from memory, a film of 6 mil wet: a pint (28.875 cubic inches) does 33 square feet.
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
