//! Whole jobs, files to verified plan: the real demo job, and shops far larger than any.
//!
//! `cargo bench --manifest-path tests/benches/Cargo.toml --bench jobs` prints seconds; `reading` is the reference in the same run: the same
//! files read, doors laid out and strips pooled, without packing. Where the system tells (Linux), the most
//! memory that planning each job held is printed after its seconds.

#![allow(clippy::print_stdout, reason = "figures for those who run it")]

use std::fmt::Write;
use std::hint::black_box;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use slatwright::files::Sources;
use slatwright::job::{self, Job};
use slatwright::packing::{Budget, Flow};
use slatwright::plan::{Plan, plan};
use slatwright::{demand, doors};

fn planned(job: &Job) -> Plan {
    let plan = plan(job, &Budget::default(), &mut |_, _| Flow::Continue).expect("the job can be done");
    let gap = (plan.boards.cost.get() - plan.boards.bound.get()) as f64 / plan.boards.cost.get().max(1) as f64;
    assert!(plan.boards.boards.len() <= 50 || gap <= 0.01, "gap {gap} on {} boards", plan.boards.boards.len());
    plan
}

/// A job of `doors` doors in 15 heights, two widths of strip each, with 12 boards for sale and
/// `unique` different boards on hand.
fn large(doors: usize, unique: usize) -> Job {
    let mut text = String::from(
        "name = \"large\"\nunits = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n[slats]\nspecies = \"cherry\"\n\
         width = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\nrabbet_depth = \"7/32\"\nrabbet_length = \"3/8\"\n",
    );
    for height in 0..15 {
        let count = doors / 15 + usize::from(height < doors % 15);
        if count > 0 {
            write!(
                text,
                "[[cabinet]]\nname = \"case {height}\"\ncount = {count}\ninside_width = 24\ninside_depth = 22\n\
                 inside_height = {}\ndoors = \"left\"\nsetback = \"3/4\"\ncorner_radius = 3\ngroove_width = \"1/4\"\n\
                 groove_depth = \"5/16\"\n",
                14 + height * 2
            )
            .expect("text grows");
        }
    }
    let mut boards = String::from("stock,species,thickness,width,length,on_hand,price,per\n");
    for (at, (width, length)) in [5, 6, 7, 8].iter().flat_map(|w| [96, 120, 144].map(|l| (w, l))).enumerate() {
        let price = 9.6 + f64::from(*width) * 0.1 + at as f64 * 0.01;
        writeln!(boards, "sale {at},cherry,4/4,{width},{length},,{price:.2},bf").expect("text grows");
    }
    for at in 0..unique {
        let (width, length) = (4.0 + (at * 7 % 33) as f64 / 8.0, 40 + at * 13 % 97);
        writeln!(boards, "rack {at},cherry,4/4,{width},{length},1,,").expect("text grows");
    }
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\n\
                 duck,60,0.5,,11.50,yard,4.5,6,4\n";
    let sources = Sources::in_memory("job.toml", text).with("boards.csv", boards).with("cloth.csv", cloth);
    job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"))
}

/// One door on a track with three bends nearer to each other than a slat is wide, of both senses; the groove passes, or is
/// too narrow and a cure is looked for.
fn near_bends(groove: &str) -> Job {
    let text = format!(
        "name = \"near\"\nunits = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n[slats]\nspecies = \"cherry\"\n\
         width = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\nrabbet_depth = \"7/32\"\nrabbet_length = \"3/8\"\n\
         edge_bevel = 6\n[[track]]\nname = \"near track\"\ngroove_width = \"{groove}\"\ngroove_depth = \"5/16\"\n\
         path = [{{ straight = 16 }}, {{ arc = 4, angle = 40, canvas = \"inside\" }}, {{ straight = \"3/8\" }},\n\
         {{ arc = 6, angle = 30, canvas = \"outside\" }}, {{ straight = \"1/2\" }},\n\
         {{ arc = 4, angle = 60, canvas = \"inside\" }}, {{ straight = 24 }}]\n\
         [[cabinet]]\nname = \"case\"\n[[cabinet.door]]\nname = \"front\"\ntrack = \"near track\"\nbetween = 34\n\
         cover = 15\ntravel = 13\n"
    );
    let boards = "stock,species,thickness,width,length,on_hand,price,per\ncherry,cherry,4/4,6,96,,9.85,bf\n";
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\n\
                 duck,60,0.5,,11.50,yard,4.5,6,4\n";
    let sources = Sources::in_memory("job.toml", text).with("boards.csv", boards).with("cloth.csv", cloth);
    job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Forgets the most memory held so far.
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// Prints the most memory held since it was last forgotten.
fn print_peak(name: &str) {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak =
        status.lines().find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB")?.parse::<u64>().ok());
    if let Some(peak) = peak {
        println!("{name}: at most {} MB held", peak.div_ceil(1_000));
    }
}

fn jobs(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("jobs");
    group.sample_size(10);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../jobs/harbour_archive.toml");
    let read = || job::load(&path).unwrap_or_else(|problems| panic!("{problems}"));
    group.bench_function("demo, reading", |bench| {
        bench.iter(|| {
            let job = read();
            let doors = doors::lay_out(&job);
            black_box(demand::pool(&job, &doors).expect("the job can be counted"))
        });
    });
    for (groove, fits) in [("5/16", true), ("3/16", false)] {
        let job = near_bends(groove);
        assert_eq!(doors::lay_out(&job).iter().all(|door| door.fits()), fits);
        let name = format!("three near bends, groove {groove}");
        group.bench_function(name, |bench| bench.iter(|| black_box(doors::lay_out(&job))));
    }
    forget_peak();
    group.bench_function("demo", |bench| bench.iter(|| black_box(planned(&read()))));
    print_peak("demo");
    for (doors, unique) in [(1, 0), (100, 20), (1_000, 80), (2_000, 0), (10_000, 0)] {
        let job = large(doors, unique);
        let name = format!("{doors} doors, {unique} boards on hand");
        forget_peak();
        group.bench_function(&name, |bench| bench.iter(|| black_box(planned(&job))));
        print_peak(&name);
    }
    group.finish();
}

criterion_group!(benches, jobs);
criterion_main!(benches);
