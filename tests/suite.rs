//! All tests of the command and of the library from outside, linked once: each file beside this one is a module.
//! `cargo test --test suite bill::` runs one of them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::duplicate_mod, reason = "helpers that the benches share stand beside those of the tests")]

#[path = "fuzz/checks.rs"]
mod checks;

mod bad_files;
mod bill;
mod boards_frontier;
mod boards_stopped;
mod boards_support;
mod bundles;
mod casework;
mod cli;
mod cloth_bands;
mod cloth_frontier;
mod cloth_instances;
mod cloth_short_runs;
mod cloth_support;
mod common;
mod count;
mod count_lines;
mod demand;
mod earned;
mod ease;
mod errors;
mod floor_support;
mod geometry_chain;
mod geometry_details;
mod geometry_jamming;
mod geometry_layout;
mod geometry_limits;
mod geometry_near_bends;
mod geometry_rectangle;
mod geometry_self_clear;
mod geometry_support;
mod geometry_worked;
mod help;
mod hostile_input;
mod hostile_text;
mod instances;
mod job_files;
mod kept;
mod laws_cloth;
mod layers;
#[cfg(feature = "open")]
mod live;
#[cfg(feature = "open")]
mod live_browser;
mod made_up;
mod metamorphic;
mod metric;
mod offers;
mod options;
mod oracle_boards;
mod oracle_cloth;
mod package;
mod packing_instances;
mod pages;
mod pages_browser;
#[cfg(unix)]
mod progress_line;
mod published;
mod quote;
mod rack;
mod readme;
mod simulation;
#[cfg(unix)]
mod terminal_width;
mod threads;
mod verify;
mod walkthrough;
mod widths;
mod worth;
mod write_faults;
mod yard;
mod yards;
