//! The job as the rest of the program sees it: checked, complete, in exact units.

mod casework;
mod check;
mod history;
mod model;
mod pricing;
mod shop;
mod species;
mod stock;
mod written;

pub use casework::*;
pub use check::{
    load, load_alternative, load_boards, load_rough, load_with_files, parse, parse_boards, parse_history, parse_picked,
    parse_with_files,
};
pub use history::*;
pub use model::*;
pub use pricing::*;
pub use shop::*;
pub use species::{AmbiguousSpecies, Species};
pub use stock::*;
pub use written::*;
