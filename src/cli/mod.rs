//! The command line.

pub mod diagnostic;
