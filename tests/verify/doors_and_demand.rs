//! Doors, pooled strips with their spares and cloth needs that are not what the job asks for.

use slatwright::job::{Order, SpareRate};
use slatwright::measure::Length;

use crate::common::plans::{Planned, blank, board_plan, cut, no_cloth, press, rips, strips_job};
use crate::common::{board, inch, ratio, strip};
use crate::verify::judged::{named, right, said, with, wrong};

#[test]
fn doors_that_are_not_the_jobs_are_named() {
    wrong(
        press(),
        |p| p.doors[0].name = "chest".to_owned(),
        &[
            "door `press` goes by the name `chest`",
            "part S01 holds 0 strips for `chest`, not 40",
            "part S01 holds 40 strips for `press`, not 0",
            "part S02 holds 0 strips for `chest`, not 2",
            "part S02 holds 2 strips for `press`, not 0",
            "cloth piece C01 has 0 copies for `chest`, not 2",
            "cloth piece C01 has 2 copies for `press`, not 0",
        ],
    );
    named(press(), |p| p.doors.clear(), "door `press` of the job is not laid out");
    named(press(), |p| p.doors.push(p.doors[0].clone()), "door `press` is laid out twice");
    named(press(), |p| p.doors[0].cabinet = 9, "door `press` is none of the job's doors");
    named(press(), |p| p.doors[0].count = 3, "door `press` is built 3 times, its cabinet 2 times");
    wrong(press(), |p| p.doors[0].tongue = inch("1/8"), &["the tongue of door `press` is 5/32 in, not 1/8 in"]);
    wrong(press(), |p| p.doors[0].door_length = inch("13"), &["door `press` is 13-5/8 in edge to edge, not 13 in"]);
    named(press(), |p| p.doors[0].cover = inch("12"), "door `press` covers 12 in, the job asks for 12-1/4 in");
}

#[test]
fn slats_that_do_not_reach_or_are_too_many_are_named() {
    let short = "door `press` is 13 in from lead edge to tail, but must reach 13-1/2 in";
    named(press(), |p| p.doors[0].slats = 19, short);
    named(press(), |p| p.doors[0].slats = 21, "door `press` has 21 slats, one fewer reaches 13-1/2 in too");
    named(press(), |p| p.doors[0].slat_width = Length::ZERO, "a slat of door `press` has no width");
    let long = "the slats of door `press` are 28-9/16 in long, not 28-5/8 in";
    named(press(), |p| p.doors[0].slat_length = inch("28-5/8"), long);
    let cloth = "the cloth of door `press` is 28-9/16 in along the slats, not 29 in";
    named(press(), |p| p.doors[0].cloth_along_slat = inch("29"), cloth);
    let cloth = "the cloth of door `press` is 13-1/2 in along the travel, not 13 in";
    named(press(), |p| p.doors[0].cloth_along_travel = inch("13"), cloth);
}

#[test]
fn parts_that_are_missing_doubled_or_miscounted_are_named() {
    named(press(), |p| p.demand.parts[1].length = inch("20"), "no part holds the 2 strips that `press` asks for");
    named(press(), |p| p.demand.parts[1].length = inch("20"), "part S02 is asked for by no door and no loose strip");
    wrong(press(), |p| p.demand.parts[0].needed = 39, &["part S01 needs 40 strips, not 39"]);
    let double = |p: &mut Planned| p.demand.parts.push(p.demand.parts[0].clone());
    named(press(), double, "parts S01 and S01 are the same size");
    named(press(), double, "two parts, or two cloth pieces, are named `S01`");
    wrong(
        press(),
        |p| p.demand.parts[0].spares = 1,
        &["part S01 has 1 spares where 0 would do", "part S01 asks for 41 strips, 40 are cut"],
    );
    let two_a_door = |p: &mut Planned| p.job.spares.repair_strips = 1;
    wrong(press(), two_a_door, &["part S01 has 0 spares, its set-up, repair and fixed spares alone are 2"]);
    let set_up = |p: &mut Planned| p.job.spares.setup_strips = 2;
    named(press(), set_up, "part S02 has 0 spares, its set-up, repair and fixed spares alone are 2");
    let share = |p: &mut Planned| p.job.spares.rate = SpareRate::Percent(ratio("0.01"));
    named(press(), share, "part S01 has 0 spares, its set-up, repair and fixed spares alone are 1");
}

/// 137 good strips at 5 % rejects take 149 for 95 % (scipy 1.17.1 `binom`): one less is short.
#[test]
fn spares_that_miss_the_confidence_are_named() {
    let mut job = strips_job(vec![strip("slip", "24", "1", "3/8", 137)]);
    job.spares.rate = SpareRate::RejectRate(ratio("0.05"));
    job.boards = vec![board("cherry 6", "4/4", "6", "30", "8", 1000)];
    let four = || cut(0, Order::CrosscutFirst, vec![blank("24-1/2", "3/8", vec![rips(0, "1", 4, 1)])]);
    let plan = Planned::new(job, board_plan((0..38).map(|_| four()).collect(), 38_000), no_cloth(0));
    assert_eq!(plan.demand.parts[0].total(), 149);
    right(&plan);
    let short = said(&with(plan.clone(), |p| p.demand.parts[0].spares -= 1));
    assert_eq!(short.len(), 1);
    assert!(short[0].ends_with(", not 0.950000; part S01 is the weakest"), "{short:?}");
    wrong(plan, |p| p.demand.parts[0].spares += 1, &["part S01 has 13 spares where 12 would do"]);
}

/// Strips of one part under two reject rates are two sizes of the product, wherever its spares go.
#[test]
fn two_reject_rates_in_one_part_share_its_spares() {
    let mut job = strips_job(vec![strip("slip", "24", "1", "3/8", 60), strip("risky slip", "24", "1", "3/8", 24)]);
    job.spares.rate = SpareRate::RejectRate(ratio("0.02"));
    job.strips[1].spares = Some(SpareRate::RejectRate(ratio("0.2")));
    job.boards = vec![board("cherry 6", "4/4", "6", "30", "8", 1000)];
    let four = || cut(0, Order::CrosscutFirst, vec![blank("24-1/2", "3/8", vec![rips(0, "1", 4, 1)])]);
    let plan = Planned::new(job, board_plan((0..26).map(|_| four()).collect(), 26_000), no_cloth(0));
    right(&plan);
    let short = said(&with(plan, |p| p.demand.parts[0].spares -= 1));
    assert_eq!(short.len(), 1);
    assert!(short[0].contains("part S01 is the weakest"), "{short:?}");
}

#[test]
fn cloth_that_no_one_or_someone_asked_for_is_named() {
    named(press(), |p| p.demand.cloth.clear(), "no cloth piece is planned for `press`");
    let other = |p: &mut Planned| p.demand.cloth[0].along = inch("14");
    named(press(), other, "cloth piece C01 is asked for by no door and no loose piece");
    let twice = |p: &mut Planned| p.demand.cloth.push(p.demand.cloth[0].clone());
    named(press(), twice, "cloth pieces C01 and C01 are the same");
    let lost = |p: &mut Planned| p.demand.cloth[0].owners.truncate(1);
    named(press(), lost, "cloth piece C01 has 1 copies for `press`, not 2");
}
