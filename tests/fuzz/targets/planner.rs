#![no_main]

//! Whole plans of random jobs. How many came to a plan is said now and then, for that is the figure that counts.

use std::sync::atomic::{AtomicU64, Ordering};

#[path = "../checks.rs"]
mod checks;

static TRIED: AtomicU64 = AtomicU64::new(0);
static PLANNED: AtomicU64 = AtomicU64::new(0);

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let tried = TRIED.fetch_add(1, Ordering::Relaxed) + 1;
    let end = checks::planner(bytes);
    let planned = PLANNED.fetch_add(u64::from(end == checks::End::Planned), Ordering::Relaxed);
    if tried.is_multiple_of(500) {
        eprintln!("{tried} jobs, {planned} plans");
    }
});
