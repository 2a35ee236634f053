//! What may go wrong while a plan, a count or a rack is written: a kill, a full disk, no right to write, two runs at
//! once, links and files in the way. The old files or the new ones stand there afterwards, never half of each, and
//! nothing else has changed.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "what cannot be tested here is said")]

mod disks;
mod freezes;
mod in_the_way;
mod kills;
mod shops;
mod two_runs;
