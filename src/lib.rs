//! Plans a job of cabinets with tambour doors.
//!
//! A tambour is a door of narrow wooden slats glued edge to edge on canvas that runs in grooves
//! round a corner. From a job file this library lays out every door and checks that it turns and
//! stows, pools the slats of all doors with spares for bowed strips, packs rips into boards and cloth
//! onto bolts with a proven bound, and draws up the bill. The rooms below stand in the order in
//! which data flows; each imports only from rooms above it.
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
#![cfg_attr(test, allow(clippy::float_cmp, reason = "tests compare exact results"))]

pub mod measure;

pub mod files;

pub mod job;

pub mod cutting;

pub mod doors;

pub mod case;

pub mod demand;

pub mod packing;

pub mod bill;

pub mod verify;

pub mod plan;

pub mod estimate;

pub mod shopfloor;

pub mod report;

pub mod offer;

#[cfg(feature = "open")]
pub mod live;

pub mod cli;
