//! Reports: the same rows as CSV for machines and as tables for people, drawings and templates, and
//! the plan folder. Layout decides what is drawn; the writers only translate it.

pub mod actuals;
pub mod bench;
pub mod cautions;
mod cell;
mod csv;
mod cut_short;
mod door_sheet;
mod drawing;
mod dxf;
pub mod earned;
mod files;
mod floor;
pub mod folder;
mod inputs;
mod json;
pub mod pages;
pub mod quote;
mod sheets;
mod strips;
mod svg;
pub mod table;
mod template;
mod template_files;
mod test_corner;
mod tiles;
mod worth;

pub use cell::{Cell, Show, printable};
pub use csv::{CsvStyle, csv_text, csv_text_in};
pub use cut_short::{CutShort, cut_short};
pub use door_sheet::door_sheet;
pub use drawing::{Anchor, Drawing, Item, Layer, Paper, Place};
pub use dxf::dxf_text;
pub use files::{each_file, plan_files};
pub use floor::{at_saw, blank_count, history, jobs, offers, picked, rack, yard};
pub use inputs::inputs;
pub use json::json_text;
pub use sheets::{
    CLOTH_CUTS, Sheet, boards, bundles, buy, case, clear_rooms, cloth_bolts, cloth_pieces, costs, doors, fit, rips,
    sheet_cuts, sheets, slats, smallest_cases, stops, summary,
};
pub use svg::{svg_items, svg_text};
pub use template::{GrooveTemplate, groove_template};
pub use template_files::{TemplateFile, template_files};
pub use test_corner::{CornerTemplate, corner_template};
pub use worth::worth;
