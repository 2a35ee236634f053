//! Laws between jobs: what one job's plan says about another's. Nobody knows the best plan of a random job, but how
//! the plans of related jobs must relate is known. Every plan here has passed the verifier: `plan` refuses others.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::ops::Range;

use crate::checks::random_job;

use random_job::{Bytes, Written};
use slatwright::doors::{self, Door};
use slatwright::files::Sources;
use slatwright::job::{self, Job, SpareRate};
use slatwright::measure::{Cents, Length, Ratio};
use slatwright::packing::{Budget, Flow};
use slatwright::plan::{CannotPlan, Plan, plan};

const BUDGET: Budget = Budget { nodes: 100, tries: 10 };

fn planned(job: &Job) -> Option<Plan> {
    match plan(job, &BUDGET, &mut |_, _| Flow::Continue) {
        Ok(plan) => Some(plan),
        Err(CannotPlan::Rejected(violations)) => panic!("the plan failed its own check: {violations:?}"),
        Err(_) => None,
    }
}

/// Bytes of a seed (SplitMix64; Steele, Lea and Flood 2014, constants from memory).
fn bytes(seed: u64, count: usize) -> Vec<u8> {
    let mut state = seed;
    let mut next = || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) as u8
    };
    (0..count).map(|_| next()).collect()
}

/// A random job without the doors that do not fit; `None` when nothing is left or the files are refused.
fn random(seed: u64) -> Option<(Written, Job)> {
    let bytes = bytes(seed, 500);
    let written = random_job::write(&mut Bytes::new(&bytes));
    let mut job = job::parse(&written.sources()).ok()?;
    let doors = doors::lay_out(&job);
    let mut at = 0..job.cabinets.len();
    job.cabinets.retain(|_| {
        let cabinet = at.next();
        doors.iter().filter(|door| Some(door.cabinet) == cabinet).all(Door::fits)
    });
    Some((written, job))
}

/// What is to be cut, whoever it is for and in whatever order it was asked for.
fn demand(plan: &Plan) -> (Vec<String>, Vec<String>) {
    let parts = plan.demand.parts.iter().map(|part| {
        let size = (part.species.name(), part.width, part.thickness, part.length, part.millings);
        format!("{size:?} {} {}", part.needed, part.spares)
    });
    let cloth = plan.demand.cloth.iter();
    let mut cloth: Vec<String> =
        cloth.map(|need| format!("{:?} {}", (need.along, need.across, need.turn), need.owners.len())).collect();
    cloth.sort();
    (parts.collect(), cloth)
}

fn costs(plan: &Plan) -> [Cents; 5] {
    [plan.boards.cost, plan.boards.bound, plan.cloth.cost, plan.cloth.cost_bound, plan.bill.total]
}

#[test]
fn the_order_of_a_job_does_not_matter() {
    let compared = in_any_order(0..20);
    assert!(compared > 6, "{compared} jobs of more than one piece were compared");
}

/// How many jobs came out the same in two orders.
fn in_any_order(seeds: Range<u64>) -> usize {
    let mut compared = 0;
    for seed in seeds {
        let Some((written, job)) = random(seed) else { continue };
        let Some(first) = planned(&job) else { continue };
        let mut other = job.clone();
        other.cabinets.reverse();
        other.strips.reverse();
        other.cloth_pieces.reverse();
        let second = planned(&other).expect("the same job in another order");
        let several = |list: usize| list > 1;
        compared +=
            usize::from(several(job.cabinets.len()) || several(job.strips.len()) || several(job.cloth_pieces.len()));
        assert_eq!(demand(&first), demand(&second), "seed {seed}\n{}", written.show());
        assert_eq!(costs(&first), costs(&second), "seed {seed}\n{}", written.show());
    }
    compared
}

/// One figure in the unit of the job, as a maker of that unit writes it: 1/64 in is 0.396875 mm, exactly.
fn in_unit(sixty_fourths: i64, metric: bool) -> String {
    let micro = sixty_fourths * 396_875;
    if metric { format!("{}.{:06}", micro / 1_000_000, micro % 1_000_000) } else { format!("{sixty_fourths}/64") }
}

/// A table of the shop file and its keys, in sixty-fourths of an inch.
type Table = (&'static str, &'static [(&'static str, i64)]);

const SAID: [Table; 3] = [
    (
        "",
        &[
            ("rip_kerf", 8),
            ("crosscut_kerf", 8),
            ("resaw_kerf", 8),
            ("edge_trim", 16),
            ("length_trim", 32),
            ("edge_clean", 2),
            ("face_trim", 6),
            ("leaf_trim", 4),
            ("min_blank", 768),
        ],
    ),
    (
        "[clearance]\n",
        &[("running", 2), ("end_play", 4), ("shoulder", 2), ("lead_trim", 8), ("front_wall", 12), ("least_tongue", 8)],
    ),
    ("[cloth]\n", &[("end_clear", 40), ("tail_clear", 16), ("lead_lap", 16), ("trim", 32)]),
];

/// What is not said comes from round figures in each unit, so all of it is said.
fn said(metric: bool) -> String {
    let key = |(key, size): &(&str, i64)| format!("{key} = \"{}\"\n", in_unit(*size, metric));
    SAID.iter().map(|(table, keys)| format!("{table}{}", keys.iter().map(key).collect::<String>())).collect()
}

/// A job of a few cabinets and loose pieces in inches or in millimetres, every bare figure in its own unit.
fn in_both(bytes: &[u8], metric: bool) -> Sources {
    let mut b = Bytes::new(bytes);
    let mut size = |low: u32, high: u32| in_unit(i64::from(low + b.below(high - low + 1)), metric);
    let units = if metric { "mm" } else { "in" };
    let mut job = format!(
        "name = \"both\"\nunits = \"{units}\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\nshop = \"shop.toml\"\n\
         [slats]\nspecies = \"cherry\"\nwidth = \"{}\"\nthickness = \"{}\"\nlead_width = \"{}\"\nrabbet_depth = \"{}\"\n\
         rabbet_length = \"{}\"\n",
        size(32, 48),
        size(22, 26),
        size(60, 80),
        size(11, 12),
        size(24, 28),
    );
    for (at, doors) in ["pair", "left"].into_iter().enumerate() {
        job += &format!(
            "[[cabinet]]\nname = \"case {at}\"\ncount = {}\ndoors = \"{doors}\"\ninside_width = \"{}\"\n\
             inside_depth = \"{}\"\ninside_height = \"{}\"\nsetback = \"{}\"\ncorner_radius = \"{}\"\n\
             groove_width = \"{}\"\ngroove_depth = \"{}\"\n",
            at + 1,
            size(64 * 26, 64 * 40),
            size(64 * 15, 64 * 20),
            size(64 * 20, 64 * 40),
            size(48, 56),
            size(64 * 3, 64 * 4),
            size(17, 20),
            size(18, 20),
        );
    }
    job += &format!(
        "[[strip]]\nname = \"edging\"\nspecies = \"cherry\"\nlength = \"{}\"\nwidth = \"{}\"\nthickness = \"{}\"\n\
         quantity = 9\n[[cloth_piece]]\nname = \"panel\"\nalong = \"{}\"\nacross = \"{}\"\nquantity = 3\nturn = true\n",
        size(64 * 10, 64 * 40),
        size(40, 90),
        size(16, 40),
        size(64 * 8, 64 * 20),
        size(64 * 8, 64 * 20),
    );
    let mut shop = format!("[cutting]\nhold_width = \"{}\"\nend_trim = \"{}\"\n", size(20, 60), size(40, 120));
    shop += &said(metric);
    let mut boards = "stock,species,thickness,width,length,on_hand,price,per\n".to_owned();
    for (at, per) in ["bf", "each", "lf", "m3"].into_iter().enumerate() {
        let on_hand = if at == 1 { "3" } else { "" };
        boards += &format!(
            "c{at},cherry,4/4,{},{},{on_hand},{},{per}\n",
            size(64 * 5, 64 * 9),
            size(64 * 70, 64 * 120),
            [9.85, 20.0, 3.3, 4000.0][at],
        );
    }
    let cloth = format!(
        "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\nduck,{},{},,11.9,yard,{},5,3\n\
         rest,{},{},{},,,,,\n",
        size(64 * 56, 64 * 66),
        size(16, 48),
        size(64, 64 * 9),
        size(64 * 40, 64 * 50),
        size(16, 48),
        size(64 * 20, 64 * 40),
    );
    Sources::in_memory("job.toml", job).with("shop.toml", shop).with("boards.csv", boards).with("cloth.csv", cloth)
}

#[test]
fn a_job_in_inches_and_the_same_in_millimetres_are_one_job() {
    let compared = in_both_units(0..8);
    assert!(compared > 5, "{compared}");
}

/// How many jobs came out the same in both units.
fn in_both_units(seeds: Range<u64>) -> usize {
    let mut compared = 0;
    for seed in seeds {
        let bytes = bytes(1_000 + seed, 200);
        let read = |metric| job::parse(&in_both(&bytes, metric)).unwrap_or_else(|problems| panic!("{problems}"));
        let (inches, metric) = (read(false), read(true));
        let plans = (planned(&inches), planned(&metric));
        let (Some(first), Some(second)) = &plans else {
            assert!(plans.0.is_none() && plans.1.is_none(), "seed {seed}: one can be planned, the other cannot");
            continue;
        };
        compared += 1;
        assert_eq!(demand(first), demand(second), "seed {seed}");
        assert_eq!(costs(first), costs(second), "seed {seed}");
        assert_eq!(
            (first.cloth.length, first.cloth.length_bound),
            (second.cloth.length, second.cloth.length_bound),
            "seed {seed}"
        );
    }
    compared
}

/// Two half jobs, one after the other, are a way to do the whole: the whole's bound cannot lie above their sum. That
/// holds where stock is for sale only (what is owned would be used twice) and where spares are a share (a
/// confidence for two half jobs is less than one for the whole).
#[test]
fn two_halves_never_need_less_than_the_bound_of_the_whole() {
    let compared = in_halves(0..24);
    assert!(compared > 6, "{compared} jobs were halved");
}

/// Further jobs of the same three kinds.
#[test]
#[ignore = "half a minute; `.ci/run` runs it"]
fn more_of_their_kind() {
    let compared = (in_any_order(20..100), in_both_units(8..40), in_halves(24..200));
    assert!(compared.0 > 18 && compared.1 > 15 && compared.2 > 18, "{compared:?}");
}

/// How many jobs were halved.
fn in_halves(seeds: Range<u64>) -> usize {
    let mut compared = 0;
    for seed in seeds {
        let Some((written, mut job)) = random(5_000 + seed) else { continue };
        job.boards.retain(|board| board.on_hand.is_none());
        job.bolts.retain(|bolt| bolt.on_hand.is_none());
        job.spares.rate = SpareRate::Percent(Ratio::percent(10.into()).unwrap());
        for strip in &mut job.strips {
            strip.spares = strip.spares.filter(|rate| !matches!(rate, SpareRate::RejectRate(_)));
        }
        let whole = job.clone();
        let half = |keep: usize| {
            let mut half = job.clone();
            let mut kept = (0..).map(move |at: usize| at % 2 == keep);
            half.cabinets.retain(|_| kept.next().unwrap());
            half.strips.retain(|_| kept.next().unwrap());
            half.cloth_pieces.retain(|_| kept.next().unwrap());
            half
        };
        let halves = [half(0), half(1)];
        let nothing = |job: &Job| job.cabinets.is_empty() && job.strips.is_empty() && job.cloth_pieces.is_empty();
        if halves.iter().any(nothing) {
            continue;
        }
        let Some(whole) = planned(&whole) else { continue };
        let halves = halves.map(|half| planned(&half).expect("a part of a job that can be planned"));
        let sum = |of: &dyn Fn(&Plan) -> Cents| halves.iter().map(of).sum::<Cents>();
        let boards = sum(&|plan| plan.boards.cost);
        assert!(whole.boards.bound <= boards, "seed {seed}: {} > {boards}\n{}", whole.boards.bound, written.show());
        // Each length bought is rounded to the cent: two of a bolt may come out a cent under one.
        let cents = Cents::new(i64::try_from(job.bolts.len()).unwrap());
        let cloth = sum(&|plan| plan.cloth.cost) + cents;
        assert!(
            whole.cloth.cost_bound <= cloth,
            "seed {seed}: {} > {cloth}\n{}",
            whole.cloth.cost_bound,
            written.show()
        );
        let length: Length = halves.iter().map(|plan| plan.cloth.length).sum();
        assert!(whole.cloth.length_bound <= length, "seed {seed}\n{}", written.show());
        compared += 1;
    }
    compared
}
