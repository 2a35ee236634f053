//! What good files mean: defaults, inheritance, the two forms of doors, spares, stock and prices.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod defaults;
mod doors;
mod starter;
mod stock_and_spares;
mod texts;
mod units;
