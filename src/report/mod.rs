//! Reports: the same rows as CSV for machines and as tables for people, and the plan folder.

pub mod actuals;
pub mod cautions;
mod cell;
mod csv;
pub mod folder;
pub mod quote;
mod sheets;
mod strips;
pub mod table;

pub use cell::{Cell, printable};
pub use csv::csv_text;
pub use sheets::{Sheet, boards, buy, canvas, cloth, costs, doors, fit, plan_files, rips, slats, stops, summary};
