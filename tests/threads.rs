//! Boards and cloth packed at the same time, boards by two searches: the same bytes as one after the other, and all can be
//! stopped.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "helpers of tests")]

use crate::boards_support;
use crate::common::all_cases;

use std::fmt::Write;
use std::path::Path;
use std::time::Instant;

use boards_support::faults;
use boards_support::jobs::{self, Dice, Size};
use slatwright::files::Sources;
use slatwright::job::{self, Job};
use slatwright::packing::boards::{BoardPlan, BoardProblem, pack_on};
use slatwright::packing::{Budget, Flow, Threads};
use slatwright::plan::{Plan, Stage, plan_on};
use slatwright::report::plan_files;

fn planned(job: &Job, threads: Threads, budget: &Budget) -> Plan {
    plan_on(job, budget, threads, &mut |_, _| Flow::Continue).unwrap()
}

/// A job that keeps both packings busy: doors of 12 heights out of boards for sale and on hand, and `sizes` loose
/// pieces of cloth on two bolts.
fn busy(sizes: u32) -> Job {
    let mut text = String::from(
        "name = \"busy\"\nunits = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n[slats]\nspecies = \"cherry\"\n\
         width = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\nrabbet_depth = \"7/32\"\nrabbet_length = \"3/8\"\n",
    );
    for height in 0..12 {
        write!(
            text,
            "[[cabinet]]\nname = \"case {height}\"\ncount = 3\ninside_width = 24\ninside_depth = 22\n\
             inside_height = {}\ndoors = \"left\"\nsetback = \"3/4\"\ncorner_radius = 3\ngroove_width = \"1/4\"\n\
             groove_depth = \"5/16\"\n",
            14 + height * 2
        )
        .unwrap();
    }
    for at in 0..sizes {
        write!(
            text,
            "[[cloth_piece]]\nname = \"piece {at}\"\nalong = {}\nacross = {}\nquantity = {}\nturn = {}\n",
            f64::from(9 * 8 + at * 37 % 200) / 8.0,
            f64::from(11 * 8 + at * 53 % 180) / 8.0,
            1 + at % 3,
            at % 4 == 0
        )
        .unwrap();
    }
    let mut boards = String::from("stock,species,thickness,width,length,on_hand,price,per\n");
    for (at, (width, length)) in [5, 6, 7, 8].iter().flat_map(|w| [96, 120, 144].map(|l| (w, l))).enumerate() {
        writeln!(boards, "sale {at},cherry,4/4,{width},{length},,{:.2},bf", 9.6 + at as f64 * 0.07).unwrap();
    }
    for at in 0..16 {
        let (width, length) = (4.0 + f64::from(at * 7 % 33) / 8.0, 40 + at * 13 % 97);
        writeln!(boards, "rack {at},cherry,4/4,{width},{length},1,,").unwrap();
    }
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\n\
                 duck,60,0.5,,11.50,yard,4.5,6,4\nwide duck,72,0.5,,15.25,yard,9,6,4\n";
    let sources = Sources::in_memory("job.toml", text).with("boards.csv", boards).with("cloth.csv", cloth);
    job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn one_thread_and_several_write_the_same_bytes() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    let demo = ["harbour_archive.toml", "small_press.toml"].map(|name| job::load(&folder.join(name)).unwrap());
    let quick = Budget { nodes: 40, tries: 10 };
    let all = [(&demo[0], Budget::default()), (&demo[1], Budget::default()), (&busy(12), quick)];
    for (job, budget) in if all_cases() { &all[..] } else { &all[1..] } {
        let (one, several) = (planned(job, Threads::One, budget), planned(job, Threads::Several, budget));
        assert_eq!(format!("{one:?}"), format!("{several:?}"));
        assert_eq!(plan_files(job, &one), plan_files(job, &several));
    }
}

/// A made-up job whose boards take longer than the first search has by itself.
fn hard(seed: u64) -> BoardProblem {
    let mut dice = Dice::new(seed);
    let size = Size::any(&mut dice);
    jobs::job(&mut dice, size)
}

/// The plan for so much work, stopped after so many nodes, and how many were told of.
fn searched(problem: &BoardProblem, threads: Threads, (work, most): (u32, u32)) -> (BoardPlan, u32) {
    let mut nodes = 0;
    let plan = pack_on(problem, &Budget { nodes: work, ..Budget::default() }, threads, &mut |progress| {
        nodes = progress.nodes;
        if nodes > most { Flow::Stop } else { Flow::Continue }
    });
    let plan = plan.unwrap();
    assert_eq!(faults(problem, &plan), Vec::<String>::new());
    (plan, nodes)
}

#[test]
fn two_searches_find_the_same_plan_in_turn_and_side_by_side() {
    let (seeds, work) = if all_cases() { (&[96, 329][..], 200) } else { (&[96][..], 80) };
    for &seed in seeds {
        let problem = hard(seed);
        let [one, several] =
            [Threads::One, Threads::Several].map(|threads| searched(&problem, threads, (work, u32::MAX)));
        // Both searches ran to the end of their work.
        assert!(!one.0.optimal && !one.0.cut_short);
        assert_eq!(one, several);
    }
}

#[test]
fn two_searches_stop_when_told() {
    // Proven with the second search alone: were a stop not heard, the plan would be proven.
    const MOST: u32 = 400;
    let (problem, work) = (hard(286), Budget::default().nodes);
    if all_cases() {
        let (whole, nodes) = searched(&problem, Threads::Several, (work, u32::MAX));
        assert!(whole.optimal && nodes > 3 * MOST, "{nodes} nodes");
    }
    for &threads in if all_cases() { &[Threads::Several, Threads::One][..] } else { &[Threads::Several] } {
        let (plan, nodes) = searched(&problem, threads, (work, MOST));
        assert!(plan.cut_short && !plan.optimal, "{threads:?}");
        assert!((MOST..MOST + 100).contains(&nodes), "{threads:?}: {nodes} nodes");
    }
}

#[test]
fn both_packings_are_heard_and_stop_when_told() {
    let job = busy(30);
    let mut heard = [0, 0];
    let plan = plan_on(&job, &Budget::default(), Threads::Several, &mut |stage, _| {
        heard[usize::from(stage == Stage::Cloth)] += 1;
        Flow::Stop
    });
    let plan = plan.unwrap();
    assert!(heard[0] > 0 && heard[1] > 0, "{heard:?}");
    assert!(plan.boards.cut_short && plan.cloth.cut_short);
}

/// `cargo test --release --test suite threads:: -- --ignored --nocapture`
#[test]
#[ignore = "takes a minute"]
fn the_gain_of_several_threads() {
    let job = busy(40);
    let timed = |threads| {
        let start = Instant::now();
        let plan = planned(&job, threads, &Budget::default());
        (start.elapsed().as_secs_f64(), format!("{plan:?}"))
    };
    let (one, several) = (timed(Threads::One), timed(Threads::Several));
    assert_eq!(one.1, several.1);
    println!("one thread {:.1} s, several {:.1} s", one.0, several.0);
}
