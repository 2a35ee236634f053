//! The shop file as written.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::price_file::PriceFile;
use super::toml_table::Table;
use super::values::{Fault, shorten};
use super::{Entry, Head, Tables};
use crate::measure::{Length, Price, Ratio};

/// Hours of one labour line, and square feet one unit of a consumable covers: more is taken for a slip.
const MOST_FIGURE: u32 = 10_000;
/// Most slats a door's tail may reach past its cover.
const MOST_OVERLAP_SLATS: u32 = 100;
/// Lines of an address: more do not fit the head of a page.
const MOST_ADDRESS_LINES: usize = 6;
/// The highest quote number a shop may begin from.
const HIGHEST_QUOTE: u32 = 99_999_999;

/// By what labour and consumables are counted.
const BASES: &[&str] = &["job", "cabinet", "door", "board", "strip"];

/// The shop file.
#[derive(Debug, Default)]
pub(crate) struct ShopFile {
    pub(crate) about: AboutFile,
    pub(crate) currency: Entry<String>,
    pub(crate) yard_allowance: Entry<Ratio>,
    pub(crate) history: Entry<String>,
    pub(crate) second_trip: Entry<Price>,
    pub(crate) overhead: Entry<Ratio>,
    pub(crate) tax: Entry<Ratio>,
    pub(crate) cutting: CuttingFile,
    pub(crate) panels: PanelsFile,
    pub(crate) dxf_units: Entry<&'static str>,
    pub(crate) clearance: ClearanceFile,
    pub(crate) canvas: CanvasFile,
    pub(crate) cutters: Tables<CutterFile>,
    pub(crate) labour: Tables<LabourFile>,
    pub(crate) consumables: Tables<ConsumableFile>,
    pub(crate) climate: ClimateFile,
    pub(crate) price: PriceFile,
}

impl ShopFile {
    pub(crate) fn read(t: &mut Table) -> Self {
        Self {
            about: within(t, "shop", AboutFile::read),
            currency: t.text("currency"),
            dxf_units: t.word("dxf_units", &["in", "mm"]),
            yard_allowance: t.rate("yard_allowance"),
            history: t.text("history"),
            second_trip: t.price("second_trip"),
            overhead: t.rate("overhead"),
            tax: t.rate("tax"),
            cutting: within(t, "cutting", CuttingFile::read),
            panels: within(t, "panels", PanelsFile::read),
            clearance: within(t, "clearance", ClearanceFile::read),
            canvas: {
                t.renamed("canvas", "cloth");
                within(t, "cloth", CanvasFile::read)
            },
            cutters: t.tables("cutter", CutterFile::read),
            labour: t.tables("labour", LabourFile::read),
            consumables: t.tables("consumable", ConsumableFile::read),
            climate: within(t, "climate", ClimateFile::read),
            price: PriceFile::read(t),
        }
    }
}

/// `[shop]`: who makes the offer.
#[derive(Debug, Default)]
pub(crate) struct AboutFile {
    pub(crate) name: Entry<String>,
    pub(crate) address: Entry<Vec<String>>,
    pub(crate) contact: Entry<String>,
    pub(crate) tax_number: Entry<String>,
    pub(crate) next_quote: Entry<u32>,
}

impl AboutFile {
    fn read(t: &mut Table) -> Self {
        Self {
            name: t.text("name"),
            address: t.texts("address", MOST_ADDRESS_LINES),
            contact: t.text("contact"),
            tax_number: t.text("tax_number"),
            next_quote: t.count("next_quote", 1, HIGHEST_QUOTE),
        }
    }
}

/// A table that says nothing when it is missing.
fn within<T: Default>(t: &mut Table, key: &'static str, read: impl FnOnce(&mut Table) -> T) -> T {
    match t.table(key, read) {
        Entry::Given(at) => at.value,
        Entry::Missing | Entry::Faulty => T::default(),
    }
}

/// `[cutting]`.
#[derive(Debug, Default)]
pub(crate) struct CuttingFile {
    pub(crate) rip_kerf: Entry<Length>,
    pub(crate) crosscut_kerf: Entry<Length>,
    pub(crate) resaw_kerf: Entry<Length>,
    pub(crate) end_trim: Entry<Length>,
    pub(crate) edge_trim: Entry<Length>,
    pub(crate) hold_width: Entry<Length>,
    pub(crate) length_trim: Entry<Length>,
    pub(crate) rip_trim: Entry<Length>,
    pub(crate) edge_clean: Entry<Length>,
    pub(crate) face_trim: Entry<Length>,
    pub(crate) resaw: Entry<bool>,
    pub(crate) leaf_trim: Entry<Length>,
    pub(crate) min_blank: Entry<Length>,
    pub(crate) max_blank: Entry<Length>,
    pub(crate) order: Entry<&'static str>,
}

impl CuttingFile {
    fn read(t: &mut Table) -> Self {
        Self {
            rip_kerf: t.length("rip_kerf"),
            crosscut_kerf: t.length("crosscut_kerf"),
            resaw_kerf: t.length("resaw_kerf"),
            end_trim: t.length("end_trim"),
            edge_trim: t.length("edge_trim"),
            hold_width: t.length("hold_width"),
            length_trim: t.length("length_trim"),
            rip_trim: t.length("rip_trim"),
            edge_clean: t.length("edge_clean"),
            face_trim: t.length("face_trim"),
            resaw: t.flag("resaw"),
            leaf_trim: t.length("leaf_trim"),
            min_blank: t.length("min_blank"),
            max_blank: t.length("max_blank"),
            order: t.word("order", &["crosscut-first", "rip-first", "any"]),
        }
    }
}

/// `[panels]`: how the panels of cases are cut.
#[derive(Debug, Default)]
pub(crate) struct PanelsFile {
    pub(crate) kerf: Entry<Length>,
    pub(crate) trim: Entry<Length>,
    pub(crate) solid_waste: Entry<Ratio>,
}

impl PanelsFile {
    fn read(t: &mut Table) -> Self {
        Self { kerf: t.length("kerf"), trim: t.length("trim"), solid_waste: t.rate("solid_waste") }
    }
}

/// `overlap`: so many slats, or a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum OverlapFile {
    Slats(u32),
    Length(Length),
}

/// `[clearance]`.
#[derive(Debug, Default)]
pub(crate) struct ClearanceFile {
    pub(crate) running: Entry<Length>,
    pub(crate) end_play: Entry<Length>,
    pub(crate) shoulder: Entry<Length>,
    pub(crate) overlap: Entry<OverlapFile>,
    pub(crate) lead_trim: Entry<Length>,
    pub(crate) front_wall: Entry<Length>,
    pub(crate) least_tongue: Entry<Length>,
}

impl ClearanceFile {
    fn read(t: &mut Table) -> Self {
        Self {
            running: t.length("running"),
            end_play: t.length("end_play"),
            shoulder: t.length("shoulder"),
            overlap: t.length_or("overlap", overlap_slats, OverlapFile::Length),
            lead_trim: t.length("lead_trim"),
            front_wall: t.length("front_wall"),
            least_tongue: t.size("least_tongue"),
        }
    }
}

/// `2 slats`; `None` when the text does not speak of slats.
fn overlap_slats(text: &str) -> Option<Result<OverlapFile, Fault>> {
    let count = text.trim().strip_suffix("slats").or_else(|| text.trim().strip_suffix("slat"))?.trim();
    let slats = count.parse::<u32>().ok().filter(|n| *n <= MOST_OVERLAP_SLATS);
    Some(slats.map(OverlapFile::Slats).ok_or_else(|| {
        let help = format!("write \"2 slats\", with a whole number from 0 to {MOST_OVERLAP_SLATS}, or a length");
        Fault::new(format!("`{}` is no number of slats", shorten(count)), &help)
    }))
}

/// `[cloth]`.
#[derive(Debug, Default)]
pub(crate) struct CanvasFile {
    pub(crate) end_clear: Entry<Length>,
    pub(crate) tail_clear: Entry<Length>,
    pub(crate) lead_lap: Entry<Length>,
    pub(crate) trim: Entry<Length>,
    pub(crate) turn: Entry<bool>,
}

impl CanvasFile {
    fn read(t: &mut Table) -> Self {
        Self {
            end_clear: t.length("end_clear"),
            tail_clear: t.length("tail_clear"),
            lead_lap: t.length("lead_lap"),
            trim: t.length("trim"),
            turn: t.flag("turn"),
        }
    }
}

/// `[[cutter]]`.
#[derive(Debug, Default)]
pub(crate) struct CutterFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) width: Entry<Length>,
    pub(crate) height: Entry<Length>,
}

impl CutterFile {
    fn read(t: &mut Table) -> Self {
        Self { head: t.head(), name: t.text("name"), width: t.size("width"), height: t.size("height") }
    }
}

/// `[[labour]]`.
#[derive(Debug, Default)]
pub(crate) struct LabourFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) hours: Entry<Decimal>,
    pub(crate) rate: Entry<Price>,
    pub(crate) per: Entry<&'static str>,
}

impl LabourFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            hours: t.figure("hours", MOST_FIGURE),
            rate: t.price("rate"),
            per: t.word("per", BASES),
        }
    }
}

/// `[[consumable]]`.
#[derive(Debug, Default)]
pub(crate) struct ConsumableFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) price: Entry<Price>,
    pub(crate) unit: Entry<String>,
    pub(crate) covers_square_feet: Entry<Decimal>,
    pub(crate) covers_square_metres: Entry<Decimal>,
    pub(crate) coats: Entry<u32>,
    pub(crate) whole_units: Entry<bool>,
    pub(crate) on: Entry<&'static str>,
    pub(crate) quantity: Entry<Decimal>,
    pub(crate) per: Entry<&'static str>,
}

impl ConsumableFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            price: t.price("price"),
            unit: t.text("unit"),
            covers_square_feet: t.figure("covers_square_feet", MOST_FIGURE),
            covers_square_metres: t.figure("covers_square_metres", MOST_FIGURE),
            coats: t.count("coats", 1, 20),
            whole_units: t.flag("whole_units"),
            on: t.word("on", &["glued", "show", "panel"]),
            quantity: t.figure("quantity", MOST_FIGURE),
            per: t.word("per", BASES),
        }
    }
}

/// `[climate]`: relative humidities in percent.
#[derive(Debug, Default)]
pub(crate) struct ClimateFile {
    pub(crate) humidity: BTreeMap<&'static str, Entry<Decimal>>,
}

impl ClimateFile {
    fn read(t: &mut Table) -> Self {
        let humidity =
            ["shop", "dry_season", "humid_season"].into_iter().map(|key| (key, t.figure(key, 100))).collect();
        Self { humidity }
    }
}
