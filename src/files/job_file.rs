//! The job file as written: every key with its place, nothing filled in yet.

use rust_decimal::Decimal;

use super::case_file::{self, CaseFile};
use super::change_file::ChangeFile;
use super::price_file::HoursFile;
use super::toml_table::Table;
use super::{At, Entry, Head, Tables};
use crate::measure::{Length, Price, Ratio, Units};

/// Most of one thing on one line of a job.
const MOST_QUANTITY: u32 = 100_000;
/// Most cabinets of one design, and in all (the job room counts those).
const MOST_CABINETS: u32 = 10_000;
/// A share of spares above the needed strips is taken for a slip.
const MOST_SPARES_PERCENT: u32 = 100;
/// Setting and repair strips above this are taken for a slip.
const MOST_SPARE_STRIPS: u32 = 1_000;

/// Strips of a rate beyond which it is known to the last place.
const MOST_KNOWN_FROM: u32 = 1_000_000;
/// A rate from fewer strips is a guess, and no number of spares answers a guess.
const LEAST_KNOWN_FROM: u32 = 20;
/// Of boards that differ more a shop sorts out the bad ones.
const MOST_BY_BOARD: u32 = 10;

/// The job file.
#[derive(Debug, Default)]
pub(crate) struct JobFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) client: Entry<String>,
    pub(crate) units: Entry<Units>,
    pub(crate) shop: Entry<String>,
    pub(crate) boards: Entry<String>,
    pub(crate) cloth: Entry<String>,
    pub(crate) sheets: Entry<String>,
    pub(crate) case: Entry<CaseFile>,
    pub(crate) slats: SlatsFile,
    pub(crate) spares: Entry<SparesFile>,
    pub(crate) cabinets: Tables<CabinetFile>,
    pub(crate) tracks: Tables<TrackFile>,
    pub(crate) strips: Tables<StripFile>,
    pub(crate) cloth_pieces: Tables<PieceFile>,
    pub(crate) lines: Tables<LineFile>,
    pub(crate) discount: Entry<Ratio>,
    pub(crate) hours: Entry<HoursFile>,
    pub(crate) alternatives: Tables<ChangeFile>,
    pub(crate) options: Tables<ChangeFile>,
}

impl JobFile {
    pub(crate) fn read(t: &mut Table) -> Self {
        // The unit comes first: it decides what every bare figure means.
        let units = match t.word("units", &["in", "mm"]) {
            Entry::Missing => Entry::Missing,
            Entry::Faulty => Entry::Faulty,
            Entry::Given(At { value: "mm", place }) => Entry::Given(At { value: Units::Millimetre, place }),
            Entry::Given(At { place, .. }) => Entry::Given(At { value: Units::Inch, place }),
        };
        t.set_units(units.given().map_or(Units::Inch, |at| at.value));
        Self {
            head: t.head(),
            name: t.text("name"),
            client: t.text("client"),
            units,
            shop: t.text("shop"),
            boards: t.text("boards"),
            cloth: t.text("cloth"),
            sheets: t.text("sheets"),
            case: t.table("case", CaseFile::read),
            slats: SlatsFile::within(t),
            spares: t.table("spares", SparesFile::read),
            cabinets: t.tables("cabinet", CabinetFile::read),
            tracks: t.tables("track", TrackFile::read),
            strips: t.tables("strip", StripFile::read),
            cloth_pieces: t.tables("cloth_piece", PieceFile::read),
            lines: t.tables("line", LineFile::read),
            discount: t.rate("discount"),
            hours: t.table("hours", HoursFile::read),
            alternatives: t.tables("alternative", ChangeFile::read),
            options: t.tables("option", ChangeFile::read),
        }
    }
}

/// `[slats]`, of the job, a cabinet or a door.
#[derive(Debug, Clone, Default)]
pub(crate) struct SlatsFile {
    pub(crate) head: Head,
    /// True when something stands in its place that is no table (noted already).
    pub(crate) faulty: bool,
    pub(crate) species: Entry<String>,
    pub(crate) width: Entry<Length>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) lead_width: Entry<Length>,
    pub(crate) lead_thickness: Entry<Length>,
    pub(crate) lead_tongue: Entry<Length>,
    pub(crate) lead_tongue_at: Entry<&'static str>,
    pub(crate) lead_fitted: Entry<&'static str>,
    pub(crate) lead_entry: Entry<&'static str>,
    pub(crate) rabbet_depth: Entry<Length>,
    pub(crate) back_rabbet_depth: Entry<Length>,
    pub(crate) rabbet_length: Entry<Length>,
    pub(crate) rabbet_face: Entry<&'static str>,
    pub(crate) milling: Entry<&'static str>,
    pub(crate) lead_milling: Entry<&'static str>,
    pub(crate) edge_bevel: Entry<f64>,
    pub(crate) edge_chamfer: Entry<Length>,
    pub(crate) canvas_gap: Entry<Length>,
}

/// How the client reads of a loose piece or a line: by its name, or not at all.
const CLIENT_READS: &[&str] = &["named", "in the price"];

/// How a strip may be milled.
const MILLINGS: &[&str] = &["flat", "edge", "any"];

impl SlatsFile {
    fn within(t: &mut Table) -> Self {
        match t.table("slats", Self::read) {
            Entry::Missing => Self::default(),
            Entry::Faulty => Self { faulty: true, ..Self::default() },
            Entry::Given(at) => at.value,
        }
    }

    pub(super) fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            faulty: false,
            species: t.text("species"),
            width: t.size("width"),
            thickness: t.size("thickness"),
            lead_width: t.size("lead_width"),
            lead_thickness: t.size("lead_thickness"),
            lead_tongue: t.length("lead_tongue"),
            lead_tongue_at: t.word("lead_tongue_at", &["hinge", "middle"]),
            lead_fitted: t.word("lead_fitted", &["before", "after"]),
            lead_entry: t.word("lead_entry", &["ends", "notch", "screwed"]),
            rabbet_depth: t.length("rabbet_depth"),
            back_rabbet_depth: t.size("back_rabbet_depth"),
            rabbet_length: t.size("rabbet_length"),
            rabbet_face: t.word("rabbet_face", &["show", "back", "both"]),
            milling: t.word("milling", MILLINGS),
            lead_milling: t.word("lead_milling", MILLINGS),
            edge_bevel: t.degrees("edge_bevel", (0.0, 60.0)),
            edge_chamfer: t.length("edge_chamfer"),
            canvas_gap: t.length("canvas_gap"),
        }
    }

    /// This table, and `base` where it says nothing.
    pub(crate) fn over(&self, base: &Self) -> Self {
        Self {
            head: base.head.clone(),
            faulty: self.faulty || base.faulty,
            species: self.species.or(&base.species),
            width: self.width.or(&base.width),
            thickness: self.thickness.or(&base.thickness),
            lead_width: self.lead_width.or(&base.lead_width),
            lead_thickness: self.lead_thickness.or(&base.lead_thickness),
            lead_tongue: self.lead_tongue.or(&base.lead_tongue),
            lead_tongue_at: self.lead_tongue_at.or(&base.lead_tongue_at),
            lead_fitted: self.lead_fitted.or(&base.lead_fitted),
            lead_entry: self.lead_entry.or(&base.lead_entry),
            rabbet_depth: self.rabbet_depth.or(&base.rabbet_depth),
            back_rabbet_depth: self.back_rabbet_depth.or(&base.back_rabbet_depth),
            rabbet_length: self.rabbet_length.or(&base.rabbet_length),
            rabbet_face: self.rabbet_face.or(&base.rabbet_face),
            milling: self.milling.or(&base.milling),
            lead_milling: self.lead_milling.or(&base.lead_milling),
            edge_bevel: self.edge_bevel.or(&base.edge_bevel),
            edge_chamfer: self.edge_chamfer.or(&base.edge_chamfer),
            canvas_gap: self.canvas_gap.or(&base.canvas_gap),
        }
    }
}

/// `[spares]`.
#[derive(Debug, Clone, Default)]
pub(crate) struct SparesFile {
    pub(crate) reject_rate: Entry<Ratio>,
    /// The same by length and wood.
    pub(crate) reject_rates: Entry<Vec<RateFile>>,
    pub(crate) percent: Entry<Ratio>,
    pub(crate) none: Entry<bool>,
    pub(crate) known_from: Entry<u32>,
    pub(crate) by_board: Entry<Decimal>,
    pub(crate) confidence: Entry<Ratio>,
    pub(crate) setup_strips: Entry<u32>,
    pub(crate) repair_strips: Entry<u32>,
}

/// One rate of a list: of strips under a length, of a wood, or of all that are left.
#[derive(Debug, Clone)]
pub(crate) struct RateFile {
    pub(crate) head: Head,
    pub(crate) under: Entry<Length>,
    pub(crate) species: Entry<String>,
    pub(crate) rate: Entry<Ratio>,
}

impl SparesFile {
    fn read(t: &mut Table) -> Self {
        let several = t.holds_list("reject_rate");
        let rate = |t: &mut Table| RateFile {
            head: t.head(),
            under: t.size("under"),
            species: t.text("species"),
            rate: t.rate("rate"),
        };
        Self {
            reject_rate: if several { Entry::Missing } else { t.rate("reject_rate") },
            reject_rates: if several { t.list("reject_rate", rate) } else { Entry::Missing },
            percent: t.percent("percent", MOST_SPARES_PERCENT),
            none: t.flag("none"),
            known_from: t.count("known_from", LEAST_KNOWN_FROM, MOST_KNOWN_FROM),
            by_board: t.at_least_one("by_board", MOST_BY_BOARD),
            confidence: t.rate("confidence"),
            setup_strips: t.count("setup_strips", 0, MOST_SPARE_STRIPS),
            repair_strips: t.count("repair_strips", 0, MOST_SPARE_STRIPS),
        }
    }
}

/// `[[cabinet]]`.
#[derive(Debug, Clone, Default)]
pub(crate) struct CabinetFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) count: Entry<u32>,
    pub(crate) inside_width: Entry<Length>,
    pub(crate) inside_depth: Entry<Length>,
    pub(crate) inside_height: Entry<Length>,
    pub(crate) doors: Entry<&'static str>,
    pub(crate) setback: Entry<Length>,
    pub(crate) side_inset: Entry<Length>,
    pub(crate) back_inset: Entry<Length>,
    pub(crate) corner_radius: Entry<Length>,
    pub(crate) groove_width: Entry<Length>,
    pub(crate) groove_depth: Entry<Length>,
    pub(crate) panel_thickness: Entry<Length>,
    pub(crate) middle_block: Entry<Length>,
    pub(crate) turn: Entry<bool>,
    pub(crate) seam: Entry<bool>,
    pub(crate) slats: SlatsFile,
    pub(crate) case: Entry<Option<CaseFile>>,
    pub(crate) door: Tables<DoorFile>,
}

impl CabinetFile {
    pub(super) fn read(t: &mut Table) -> Self {
        Self { door: t.tables("door", DoorFile::read), ..Self::read_all_but_doors(t) }
    }

    /// The keys that have one meaning for every cabinet.
    pub(super) fn read_all_but_doors(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            count: t.count("count", 1, MOST_CABINETS),
            inside_width: t.size("inside_width"),
            inside_depth: t.size("inside_depth"),
            inside_height: t.size("inside_height"),
            doors: t.word("doors", &["left", "right", "pair", "up"]),
            setback: t.size("setback"),
            side_inset: t.size("side_inset"),
            back_inset: t.size("back_inset"),
            corner_radius: t.size("corner_radius"),
            groove_width: t.size("groove_width"),
            groove_depth: t.size("groove_depth"),
            panel_thickness: t.size("panel_thickness"),
            middle_block: t.length("middle_block"),
            turn: t.flag("turn"),
            seam: t.flag("seam"),
            slats: SlatsFile::within(t),
            case: case_file::of_cabinet(t),
            door: Tables::default(),
        }
    }

    /// This table, and `base` where it says nothing.
    pub(crate) fn over(&self, base: &Self) -> Self {
        Self {
            head: base.head.clone(),
            name: self.name.or(&base.name),
            count: self.count.or(&base.count),
            inside_width: self.inside_width.or(&base.inside_width),
            inside_depth: self.inside_depth.or(&base.inside_depth),
            inside_height: self.inside_height.or(&base.inside_height),
            doors: self.doors.or(&base.doors),
            setback: self.setback.or(&base.setback),
            side_inset: self.side_inset.or(&base.side_inset),
            back_inset: self.back_inset.or(&base.back_inset),
            corner_radius: self.corner_radius.or(&base.corner_radius),
            groove_width: self.groove_width.or(&base.groove_width),
            groove_depth: self.groove_depth.or(&base.groove_depth),
            panel_thickness: self.panel_thickness.or(&base.panel_thickness),
            middle_block: self.middle_block.or(&base.middle_block),
            turn: self.turn.or(&base.turn),
            seam: self.seam.or(&base.seam),
            slats: self.slats.over(&base.slats),
            case: self.case.or(&base.case),
            door: if self.door.given { self.door.clone() } else { base.door.clone() },
        }
    }

    /// This table without the keys that lay out a case by its inside sizes.
    pub(crate) fn without_layout(&self) -> Self {
        Self {
            count: self.count,
            turn: self.turn,
            seam: self.seam,
            slats: self.slats.clone(),
            case: self.case.clone(),
            ..Self::default()
        }
    }

    /// The keys that lay out a case, with the places of those that are given.
    pub(crate) fn case_keys(&self) -> [(&'static str, Option<super::Place>); 11] {
        [
            ("inside_width", self.inside_width.place()),
            ("inside_depth", self.inside_depth.place()),
            ("inside_height", self.inside_height.place()),
            ("setback", self.setback.place()),
            ("side_inset", self.side_inset.place()),
            ("back_inset", self.back_inset.place()),
            ("corner_radius", self.corner_radius.place()),
            ("groove_width", self.groove_width.place()),
            ("groove_depth", self.groove_depth.place()),
            ("panel_thickness", self.panel_thickness.place()),
            ("middle_block", self.middle_block.place()),
        ]
    }
}

/// `[[cabinet.door]]`.
#[derive(Debug, Clone, Default)]
pub(crate) struct DoorFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) track: Entry<String>,
    pub(crate) between: Entry<Length>,
    pub(crate) cover: Entry<Length>,
    pub(crate) travel: Entry<Length>,
    pub(crate) slats: SlatsFile,
}

impl DoorFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            track: t.text("track"),
            between: t.size("between"),
            cover: t.size("cover"),
            travel: t.size("travel"),
            slats: SlatsFile::within(t),
        }
    }
}

/// `[[track]]`.
#[derive(Debug, Default)]
pub(crate) struct TrackFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) groove_width: Entry<Length>,
    pub(crate) groove_depth: Entry<Length>,
    pub(crate) panel_thickness: Entry<Length>,
    pub(crate) path: Entry<Vec<SegmentFile>>,
    pub(crate) runs: Entry<&'static str>,
    pub(crate) first_slope: Entry<f64>,
}

impl TrackFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            groove_width: t.size("groove_width"),
            groove_depth: t.size("groove_depth"),
            panel_thickness: t.size("panel_thickness"),
            path: t.list("path", SegmentFile::read),
            runs: t.word("runs", &["level", "up"]),
            first_slope: t.degrees("first_slope", (0.0, 90.0)),
        }
    }
}

/// One entry of a track's path.
#[derive(Debug, Clone, Default)]
pub(crate) struct SegmentFile {
    pub(crate) head: Head,
    pub(crate) straight: Entry<Length>,
    pub(crate) arc: Entry<Length>,
    pub(crate) angle: Entry<f64>,
    pub(crate) canvas: Entry<&'static str>,
}

impl SegmentFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            straight: t.size("straight"),
            arc: t.size("arc"),
            angle: t.degrees("angle", (0.001, 180.0)),
            canvas: t.word("canvas", &["inside", "outside"]),
        }
    }
}

/// `[[strip]]`.
#[derive(Debug, Default)]
pub(crate) struct StripFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) species: Entry<String>,
    pub(crate) length: Entry<Length>,
    pub(crate) width: Entry<Length>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) quantity: Entry<u32>,
    pub(crate) spares: Entry<SparesFile>,
    pub(crate) no_spares: bool,
    pub(crate) milling: Entry<&'static str>,
    pub(crate) client: Entry<&'static str>,
}

impl StripFile {
    fn read(t: &mut Table) -> Self {
        let mut no_spares = false;
        let spares = if t.holds_table("spares") {
            t.table("spares", |t| SparesFile {
                reject_rate: t.rate("reject_rate"),
                percent: t.percent("percent", MOST_SPARES_PERCENT),
                ..SparesFile::default()
            })
        } else {
            no_spares = t.word("spares", &["none"]).given().is_some();
            Entry::Missing
        };
        Self {
            head: t.head(),
            name: t.text("name"),
            species: t.text("species"),
            length: t.size("length"),
            width: t.size("width"),
            thickness: t.size("thickness"),
            quantity: t.count("quantity", 1, MOST_QUANTITY),
            spares,
            no_spares,
            milling: t.word("milling", MILLINGS),
            client: t.word("client", CLIENT_READS),
        }
    }
}

/// `[[cloth_piece]]`.
#[derive(Debug, Default)]
pub(crate) struct PieceFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) along: Entry<Length>,
    pub(crate) across: Entry<Length>,
    pub(crate) quantity: Entry<u32>,
    pub(crate) turn: Entry<bool>,
    pub(crate) client: Entry<&'static str>,
}

impl PieceFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            along: t.size("along"),
            across: t.size("across"),
            quantity: t.count("quantity", 1, MOST_QUANTITY),
            turn: t.flag("turn"),
            client: t.word("client", CLIENT_READS),
        }
    }
}

/// `[[line]]`.
#[derive(Debug, Default)]
pub(crate) struct LineFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    pub(crate) group: Entry<String>,
    pub(crate) quantity: Entry<Decimal>,
    pub(crate) unit: Entry<String>,
    pub(crate) price: Entry<Price>,
    pub(crate) taxed: Entry<bool>,
    pub(crate) client: Entry<&'static str>,
}

impl LineFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            name: t.text("name"),
            group: t.text("group"),
            quantity: t.figure("quantity", MOST_QUANTITY),
            unit: t.text("unit"),
            price: t.price("price"),
            taxed: t.flag("taxed"),
            client: t.word("client", CLIENT_READS),
        }
    }
}
