//! Where the plan meets the yard and the saw: boards picked one by one, strips that bowed, offcuts
//! worth keeping, and jobs that share a trip.
//!
//! Each part asks the same question of a plan that has begun to come true: what is still to be had,
//! and what is the cheapest way to it? The rest of a job is itself a job, of loose strips that come
//! out exactly; so it goes through the same packing and the same second opinion as any other.

mod anew;
mod count;
mod cut;
mod extra;
mod finish;
mod history;
mod in_hand;
mod joint;
mod marks;
mod offcuts;
mod picked;
mod rack;
mod replace;
mod said;
mod salvage;
mod standing;
mod stock_left;
mod worth;
mod yard;

pub use anew::{Planned, link};
pub use count::{CountRow, Round, read_count, together};
pub use cut::{CutPlan, FloorError, PlannedBoard, PlannedRips, read_plan};
pub use finish::{Finish, finish};
pub use history::{begun_with, build_mark, gather, gather_hours, read_history};
pub use in_hand::{Offer, Verdict};
pub use joint::{Joint, Share, plan_together};
pub use marks::{mark, plan_mark, stock_mark};
pub use offcuts::{Offcut, offcut_mark, offcuts};
pub use picked::{only_left, paid, with_picked};
pub use rack::{Passed, RackChange, hold_for, rack_change};
pub use replace::{ReplaceError, replace};
pub use salvage::{Crosscut, Salvage};
pub use standing::{Saw, Standing, good_wanted, nothing_more, take_stock};
pub use worth::{BoardWorth, WorthTable, worth_table};
pub use yard::{Pile, YARD, Yard, at_the_yard, from_the_pile};
