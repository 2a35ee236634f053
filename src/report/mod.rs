//! Sheets for the shop: layout decides what is drawn, the writers only translate it.

mod door_sheet;
mod drawing;
mod dxf;
mod svg;
mod template;
mod template_files;

pub use door_sheet::door_sheet;
pub use drawing::{Anchor, Drawing, Item, Layer, Paper, Place};
pub use dxf::dxf_text;
pub use svg::svg_text;
pub use template::{GrooveTemplate, corner_template, groove_template};
pub use template_files::{TemplateFile, template_files};
