//! Reports: the same rows as CSV for machines and as tables for people, drawings and templates, and
//! the plan folder. Layout decides what is drawn; the writers only translate it.

#[cfg(not(feature = "internals"))]
pub(crate) mod actuals;
#[cfg(feature = "internals")]
pub mod actuals;
#[cfg(not(feature = "internals"))]
pub(crate) mod bench;
#[cfg(feature = "internals")]
pub mod bench;
#[cfg(not(feature = "internals"))]
pub(crate) mod cautions;
#[cfg(feature = "internals")]
pub mod cautions;
mod cell;
mod csv;
mod cut_short;
mod door_sheet;
mod drawing;
mod dxf;
#[cfg(not(feature = "internals"))]
pub(crate) mod earned;
#[cfg(feature = "internals")]
pub mod earned;
mod files;
mod floor;
#[cfg(not(feature = "internals"))]
pub(crate) mod folder;
#[cfg(feature = "internals")]
pub mod folder;
mod free_place;
mod inputs;
mod json;
#[cfg(not(feature = "internals"))]
pub(crate) mod pages;
#[cfg(feature = "internals")]
pub mod pages;
#[cfg(not(feature = "internals"))]
pub(crate) mod quote;
#[cfg(feature = "internals")]
pub mod quote;
mod sheets;
mod story_stick;
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
pub use story_stick::{Notch, column_of_a_stick, story_stick};
pub use svg::{svg_items, svg_text};
pub use template::{GrooveTemplate, groove_template};
pub use template_files::{TemplateFile, template_files};
pub use test_corner::{CornerTemplate, corner_template};
pub use worth::worth;
