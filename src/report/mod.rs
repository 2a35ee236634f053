//! Reports: the same rows as CSV for machines and as tables for people, the plan folder, and the drawings of tracks and
//! doors.
//!
//! A layout decides what is drawn on a [`Drawing`]; [`svg_text`] and [`dxf_text`] only translate it.

pub mod cautions;
mod cell;
mod csv;
mod door_sheet;
mod drawing;
mod dxf;
pub mod folder;
mod sheets;
mod strips;
mod svg;
pub mod table;
mod template;
mod template_files;

pub use cell::{Cell, printable};
pub use csv::csv_text;
pub use door_sheet::door_sheet;
pub use drawing::{Anchor, Drawing, Item, Layer, Paper, Place};
pub use dxf::dxf_text;
pub use sheets::{Sheet, boards, buy, canvas, cloth, costs, doors, fit, plan_files, rips, slats, stops, summary};
pub use svg::svg_text;
pub use template::{GrooveTemplate, corner_template, groove_template};
pub use template_files::{TemplateFile, template_files};
