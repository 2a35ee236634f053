//! What the saw takes and what it leaves: the one home of kerfs and trims.
//!
//! Sizes of a board that can be used, the dimension a strip is ripped to, leaves out of a thickness, clear
//! runs between defects (`sizes`), and what is left of a board once it is cut, where it is worth keeping
//! (`left`). All rooms but `verify` ask here; that one works the rules out for itself.

mod left;
mod sizes;

pub use left::{CutBlank, Cuts, Left, held, left_over, worth_keeping};
pub use sizes::{
    BoardSize, StripSize, clear_runs, leaves, orders, planed_to, rip_dimension, usable_length, usable_width, yields,
};
