//! Plans a job of tambour-door cabinets.

#![cfg_attr(test, allow(clippy::float_cmp, reason = "tests compare exact results"))]

pub mod measure;

pub mod files;

pub mod job;

pub mod doors;

pub mod demand;

pub mod packing;

pub mod bill;

pub mod verify;

pub mod report;

pub mod cli;
