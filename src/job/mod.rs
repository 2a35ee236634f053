//! The job as the rest of the program sees it: checked, complete, in exact units.

mod model;
mod species;

pub use model::*;
pub use species::Species;
