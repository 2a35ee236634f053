//! Plans a job of cabinets with tambour doors.
//!
//! A tambour is a door of narrow wooden slats glued edge to edge on canvas that runs in grooves
//! round a corner. From a job file this library lays out every door and checks that it turns and
//! stows, pools the slats of all doors with spares for bowed strips, packs rips into boards and cloth
//! onto bolts with a proven bound, and draws up the bill. The rooms below stand in the order in
//! which data flows; each imports only from rooms above it.
//!
//! # How it works
//!
//! 1. Doors: the groove a chain of hinged slats needs in a bend is `tau + W^2 / (4 (2R - tau - 2e))` (derived in [`doors`]
//!    and checked there against rigid bodies moved by brute force); hinges are followed along the cloth line for cover and stow.
//! 2. Wood movement: *Wood Handbook*, FPL-GTR-190, Table 13-5 coefficients and the Hailwood-Horrobin equation for moisture.
//! 3. Demand: equal strips of all doors are one part. Spares are the least wood for which the product of the exact binomial tails
//!    over all sizes reaches the confidence for the whole job.
//! 4. Boards: two-stage guillotine cutting with kerfs (Gilmore and Gomory 1961, 1963, 1965). The columns are rip patterns of a
//!    blank and crosscut patterns of a board, linked by blank counts; a restricted master goes through `good_lp`, pricing is by
//!    nested integer knapsacks, exact.
//! 5. Bound: duals are rounded to integers and every reduced cost recomputed from them, so the bound does not rest on the
//!    solver's tolerance; it is lifted to the least sum of prices of whole boards that are worth enough at those duals.
//! 6. Plan: dives that settle boards first, randomised fills with fixed seeds, a few boards at a time packed anew, and a search
//!    that branches on counts of boards, blanks and rips, each node with its own bound. Where a set of boards is settled, every
//!    cut and filling that it has room for is written down; from there on single columns are branched on, and rounding cuts
//!    (Gomory 1960, Nemhauser and Wolsey 1990) tighten the linear program over them. A job that is not proven after a fifth of the
//!    work gets a second search beside the first, which cuts and branches otherwise, on a thread of its own; at fixed amounts of
//!    work the two tell each other plans and bounds, so one thread gives the same bytes.
//! 7. At the same cost: blanks change places between boards and grow to shared lengths (a search over the lengths kept), waste is
//!    gathered on one board, and strips are tied to doors from the fewest boards: a transportation problem with a charge for every
//!    route used, by repeated tying anew and, for up to 24 doors, a search that may prove it.
//! 8. Sheets: the boards' engine, for sheets trimmed on four sides of which nothing is planed or held.
//! 9. Cloth: levels across the bolt, each as high as its tallest piece and cut into stacks side by side, each stack into pieces on
//!    one another; levels by column generation (knapsacks along the stacks and across the level, and a search where they ask for
//!    a piece too often), closed by branch and bound at the counter's increment. The bounds hold for
//!    cutting in stacked levels (`cloth_cuts` in `summary.csv`); a packing that is stopped before it comes to stacks has the bound
//!    by area and dual feasible functions, which holds for any cutting.
//! 10. A verifier that shares no code with the packing recounts every cutting rule, count and sum; a plan it rejects is not written.
//! 11. The default stop is a budget of work, not of time: the same input gives the same bytes on every machine.
//!
//! # What versions promise
//!
//! [`measure`], [`files`], [`job`], [`packing`], [`plan`], [`report`] and [`cli::run`]. The other rooms are public with the
//! feature `internals` alone, for the project's own tests and for those who read how it works: they may change in any version.
//!
//! # From code
//!
//! ```
//! use slatwright::{files::Sources, job, plan::plan_job};
//!
//! let job = job::parse(
//!     &Sources::in_memory("job.toml", r#"
//!         name = "edging"
//!         units = "in"
//!         boards = "boards.csv"
//!         strip = [{ name = "edging", species = "cherry", length = "31", width = "3/4",
//!                    thickness = "3/8", quantity = 14, spares = "none" }]
//!     "#)
//!     .with("boards.csv", "stock,species,thickness,width,length,on_hand,price,per\nc6,cherry,4/4,6,96,,9.85,bf\n"),
//! )
//! .expect("the job is sound");
//! let plan = plan_job(&job).expect("one board is enough");
//! assert_eq!(plan.boards.boards.len(), 1);
//! assert!(plan.boards.bound <= plan.boards.cost);
//! ```

#![forbid(unsafe_code)]
#![cfg_attr(
    not(feature = "internals"),
    allow(dead_code, unreachable_pub, unused_imports, reason = "the rooms are public for tests")
)]
#![cfg_attr(test, allow(clippy::float_cmp, reason = "tests compare exact results"))]

mod side_by_side;

pub mod measure;

pub mod files;

pub mod job;

#[cfg(feature = "internals")]
pub mod cutting;
#[cfg(not(feature = "internals"))]
mod cutting;

#[cfg(feature = "internals")]
pub mod doors;
#[cfg(not(feature = "internals"))]
mod doors;

#[cfg(feature = "internals")]
pub mod case;
#[cfg(not(feature = "internals"))]
mod case;

#[cfg(feature = "internals")]
pub mod demand;
#[cfg(not(feature = "internals"))]
mod demand;

pub mod packing;

#[cfg(feature = "internals")]
pub mod bill;
#[cfg(not(feature = "internals"))]
mod bill;

#[cfg(feature = "internals")]
pub mod verify;
#[cfg(not(feature = "internals"))]
mod verify;

pub mod plan;

#[cfg(feature = "internals")]
pub mod estimate;
#[cfg(not(feature = "internals"))]
mod estimate;

#[cfg(feature = "internals")]
pub mod shopfloor;
#[cfg(not(feature = "internals"))]
mod shopfloor;

pub mod report;

#[cfg(feature = "internals")]
pub mod offer;
#[cfg(not(feature = "internals"))]
mod offer;

#[cfg(all(feature = "open", feature = "internals"))]
pub mod live;
#[cfg(all(feature = "open", not(feature = "internals")))]
mod live;

pub mod cli;
