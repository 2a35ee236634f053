//! Plans a job of tambour-door cabinets.

#![cfg_attr(test, allow(clippy::float_cmp, reason = "tests compare exact results"))]

pub mod measure;
