//! The job as the rest of the program sees it: checked, complete, in exact units.

mod check;
mod model;
mod species;

pub use check::{load, load_boards, parse, parse_boards};
pub use model::*;
pub use species::{AmbiguousSpecies, Species};
