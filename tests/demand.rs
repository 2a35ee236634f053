//! Pooling of strips and cloth over doors, cabinets and loose pieces.

use crate::common;

use common::plans::{Planned, board_plan, no_cloth};
use common::{cabinet, decimal, door_spec, doors, empty_job, inch, ratio, strip};
use proptest::prelude::*;
use slatwright::demand::{Bundle, Demand, DemandError, MOST_SIZES, Part, pool};
use slatwright::job::{Job, LooseCloth, Millings, RateOf, SpareRate, Species};
use slatwright::measure::Ratio;
use slatwright::verify::verify;

fn pooled(job: &Job) -> Demand {
    pool(job, &doors(job)).expect("a small demand")
}

fn part<'a>(demand: &'a Demand, length: &str, width: &str) -> &'a Part {
    let find = |p: &&Part| p.length == inch(length) && p.width == inch(width);
    demand.parts.iter().find(find).expect("a part of that size")
}

/// Two presses with two equal doors each and a desk with one shorter door.
fn job() -> Job {
    let mut job = empty_job();
    job.cabinets = vec![
        cabinet("press", 2, vec![door_spec("press left", "28", "17-1/2"), door_spec("press right", "28", "17-1/2")]),
        cabinet("desk", 1, vec![door_spec("desk", "20", "10")]),
    ];
    job
}

#[test]
fn slats_of_all_doors_of_one_size_are_one_part() {
    let demand = pooled(&job());
    // (17-1/2 + 1-1/4 - 1-1/8) / (5/8) = 28.2: 29 slats a door, four doors.
    let slat = part(&demand, "28-9/16", "5/8");
    assert_eq!((slat.needed, slat.spares), (116, 0));
    assert_eq!(
        slat.uses.iter().map(|u| (u.name.as_str(), u.strips)).collect::<Vec<_>>(),
        [("press left", 58), ("press right", 58)]
    );
    // The lead slat is ripped 1/8 over, to be trimmed at hanging.
    assert_eq!(part(&demand, "28-9/16", "1-1/4").needed, 4);
    assert_eq!(part(&demand, "20-9/16", "5/8").needed, 17);
    let names: Vec<&str> = demand.parts.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["S01", "S02", "S03", "S04"]);
}

#[test]
fn the_lead_slat_has_millings_of_its_own() {
    let mut job = job();
    for cabinet in &mut job.cabinets {
        for door in &mut cabinet.doors {
            (door.slats.milling, door.slats.lead_milling) = (Millings::Any, Millings::Flat);
        }
    }
    let demand = pooled(&job);
    assert_eq!(part(&demand, "28-9/16", "5/8").millings, Millings::Any);
    assert_eq!(part(&demand, "28-9/16", "1-1/4").millings, Millings::Flat);
}

#[test]
fn loose_strips_join_their_size_and_keep_their_own_rule() {
    let mut job = job();
    job.spares.rate = SpareRate::Percent(ratio("0.25"));
    job.strips = vec![strip("edging", "28-9/16", "5/8", "3/8", 7), strip("bead", "31", "3/4", "3/8", 14)];
    job.strips[0].spares = Some(SpareRate::None);
    job.strips[1].spares = Some(SpareRate::Percent(ratio("0.1")));
    let demand = pooled(&job);
    let slat = part(&demand, "28-9/16", "5/8");
    // A quarter of the doors' 116, none of the edging's 7; a tenth of 14 is 1.4, rounded up.
    assert_eq!((slat.needed, slat.spares), (123, 29));
    assert_eq!(part(&demand, "31", "3/4").spares, 2);
    assert_eq!(demand.parts.last().unwrap().uses[0].role, "strip", "loose sizes come after the doors'");
    job.strips[0].milling = Millings::Any;
    assert_eq!(pooled(&job).parts.len(), demand.parts.len() + 1, "other millings are another part");
}

#[test]
fn repair_strips_are_ordinary_slats_and_setup_goes_to_the_shortest_of_a_section() {
    let mut job = job();
    job.spares.setup_strips = 2;
    job.spares.repair_strips = 1;
    let demand = pooled(&job);
    assert_eq!(part(&demand, "28-9/16", "5/8").spares, 4, "one for each of four doors");
    assert_eq!(part(&demand, "20-9/16", "5/8").spares, 1 + 2, "one door, and the section's set-up");
    assert_eq!(part(&demand, "28-9/16", "1-1/4").spares, 0);
    assert_eq!(part(&demand, "20-9/16", "1-1/4").spares, 2);
}

/// Of two parts as short as each other, which differ in their millings alone, the first is set up on: in the counting
/// and in the second opinion.
#[test]
fn setup_falls_once_where_two_parts_are_equally_short() {
    let mut job = empty_job();
    job.spares.setup_strips = 2;
    job.strips = vec![strip("edging", "12", "3/4", "3/8", 4), strip("bead", "12", "3/4", "3/8", 6)];
    job.strips[1].milling = Millings::Any;
    let plan = Planned::new(job, board_plan(Vec::new(), 0), no_cloth(0));
    let spares: Vec<u32> = plan.demand.parts.iter().map(|part| part.spares).collect();
    assert_eq!(spares, [2, 0]);
    let said: Vec<String> = verify(&plan.claim()).iter().map(ToString::to_string).collect();
    assert!(!said.is_empty() && said.iter().all(|said| !said.contains("spares")), "{said:?}");
}

#[test]
fn the_second_opinion_sets_up_on_the_shortest_too() {
    for lengths in [["12", "31", "20"], ["31", "20", "12"]] {
        let mut job = empty_job();
        job.spares.setup_strips = 2;
        job.strips = lengths.map(|length| strip("edging", length, "3/4", "3/8", 4)).to_vec();
        let plan = Planned::new(job, board_plan(Vec::new(), 0), no_cloth(0));
        assert_eq!(part(&plan.demand, "12", "3/4").spares, 2);
        let said: Vec<String> = verify(&plan.claim()).iter().map(ToString::to_string).collect();
        assert!(!said.is_empty() && said.iter().all(|said| !said.contains("spares")), "{said:?}");
    }
}

#[test]
fn a_strip_that_wants_no_spares_comes_out_exactly() {
    let mut job = empty_job();
    job.spares.rate = SpareRate::RejectRate(ratio("0.15"));
    job.spares.setup_strips = 2;
    job.strips = vec![strip("edging", "12", "3/4", "3/8", 14), strip("bead", "31", "3/4", "3/8", 10)];
    job.strips[0].spares = Some(SpareRate::None);
    let demand = pooled(&job);
    assert_eq!(part(&demand, "12", "3/4").total(), 14);
    // In exact rationals P(Bin(m, 0.85) >= 10) is 0.88200 for m = 13, 0.95326 for 14; and the set-up.
    assert_eq!(part(&demand, "31", "3/4").total(), 14 + 2);
}

/// Long strips bow more than short ones, and one wood more than another: the first rate of a list that fits is taken.
#[test]
fn rejects_are_looked_for_by_length_and_wood() {
    let mut job = empty_job();
    let share = |figure| SpareRate::RejectRate(ratio(figure));
    let of = |under: Option<&str>, rate| RateOf { under: under.map(inch), species: None, rate: ratio(rate) };
    job.strips = vec![strip("short", "18", "3/4", "3/8", 40), strip("long", "40", "1", "3/8", 40)];
    job.spares.rate = share("0.2");
    let spares = |job: &Job| -> Vec<u32> {
        let demand = pool(job, &[]).unwrap();
        [("18", "3/4"), ("40", "1")].map(|(length, width)| part(&demand, length, width).spares).to_vec()
    };
    let alike = spares(&job);
    job.spares.rates = vec![of(Some("30"), "0.05"), of(None, "0.2")];
    let by_length = spares(&job);
    assert!(by_length[0] < alike[0] && by_length[1] >= alike[1] - 2, "{alike:?} {by_length:?}");
    // Exactly as when each strip says so itself.
    job.spares.rates.clear();
    job.strips[0].spares = Some(share("0.05"));
    assert_eq!(spares(&job), by_length);
    let walnut = RateOf { species: Some(Species::settled("black walnut")), ..of(None, "0.9") };
    job.strips[0].spares = None;
    job.spares.rates = vec![walnut, of(Some("18"), "0.9"), of(Some("30"), "0.05"), of(None, "0.2")];
    assert_eq!(spares(&job), by_length, "another wood, and under 18 is not 18");
    let plan = Planned::new(job, board_plan(Vec::new(), 0), no_cloth(0));
    let said: Vec<String> = verify(&plan.claim()).iter().map(ToString::to_string).collect();
    assert!(!said.is_empty() && said.iter().all(|said| !said.contains("spares")), "{said:?}");
}

/// Strips left with the client must be good ones: asking for them as loose slats comes to the same.
#[test]
fn repair_strips_share_the_risk_of_the_others() {
    let mut job = empty_job();
    job.cabinets = vec![cabinet("press", 3, vec![door_spec("press", "28", "12-1/4")])];
    job.spares.rate = SpareRate::RejectRate(ratio("0.1"));
    let mut loose = job.clone();
    job.spares.repair_strips = 20;
    loose.strips = vec![strip("repair", "28-9/16", "5/8", "3/8", 60)];
    let (repair, loose) = (pooled(&job), pooled(&loose));
    let (repair, loose) = (part(&repair, "28-9/16", "5/8"), part(&loose, "28-9/16", "5/8"));
    // (12-1/4 + 1-1/4 - 1-1/8) / (5/8) = 19.8: 20 slats a door.
    assert_eq!((repair.needed, loose.needed), (60, 120));
    assert_eq!(repair.total(), loose.total());
}

#[test]
fn equal_cloth_pieces_merge_and_know_their_owners() {
    let mut job = job();
    job.cloth_pieces = vec![LooseCloth {
        name: "panel".to_owned(),
        along: inch("20"),
        across: inch("14"),
        quantity: 2,
        turn: true,
        in_the_price: false,
    }];
    let demand = pooled(&job);
    let names: Vec<&str> = demand.cloth.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["C01", "C02", "C03"]);
    let press = &demand.cloth[0];
    assert_eq!(press.doors, ["press left", "press right"]);
    let owners: Vec<&str> = press.owners.iter().map(|owner| owner.name.as_str()).collect();
    assert_eq!(owners, ["press left", "press left", "press right", "press right"]);
    // Along the travel: 29 slats of 5/8 less 1/4 at the tail, 1/4 on the lead slat, 1/2 trim twice.
    assert_eq!((press.along, press.across), (inch("19-1/8"), inch("28-9/16")));
    assert_eq!((demand.cloth[2].turn, demand.cloth[2].owners.len()), (true, 2));
}

#[test]
fn numbers_that_are_never_cut_are_refused_by_name() {
    let mut job = empty_job();
    job.strips = vec![strip("edging", "31", "3/4", "3/8", u32::MAX)];
    let too_many = Err(DemandError::TooManyStrips { name: "edging".to_owned() });
    assert_eq!(pool(&job, &[]), too_many);
    job.strips = vec![strip("edging", "31", "3/4", "3/8", 100_000)];
    job.spares.rate = SpareRate::RejectRate(ratio("0.99999999"));
    assert_eq!(pool(&job, &[]), too_many);
    job.spares.rate = SpareRate::Percent(Ratio::percent(decimal("1000000")).unwrap());
    assert_eq!(pool(&job, &[]), too_many);
    job.strips.clear();
    job.spares.repair_strips = u32::MAX;
    job.cabinets = vec![cabinet("press", u32::MAX, vec![door_spec("edging", "28", "17-1/2"); 2])];
    assert_eq!(pool(&job, &doors(&job)), too_many);
    job.cabinets.clear();
    (job.spares.rate, job.spares.repair_strips) = (SpareRate::None, 0);
    job.strips = (20..27).map(|length| strip("edging", &length.to_string(), "3/4", "3/8", 100_000)).collect();
    assert_eq!(pool(&job, &[]), Err(DemandError::TooManyInAll { strips: 700_000, name: "edging".to_owned() }));
    job.strips.pop();
    assert_eq!(pool(&job, &[]).unwrap().parts.len(), 6);
    job.strips.clear();
    job.cloth_pieces = vec![LooseCloth {
        name: "panel".to_owned(),
        along: inch("20"),
        across: inch("14"),
        quantity: u32::MAX,
        turn: true,
        in_the_price: false,
    }];
    assert_eq!(pool(&job, &[]), Err(DemandError::TooManyPieces { name: "panel".to_owned() }));
}

#[test]
fn a_copy_is_told_apart_where_there_are_several() {
    let copies = |bundle: &Bundle| (bundle.mark.clone(), bundle.name.clone(), bundle.copy);
    let bundles = pooled(&job()).bundles;
    let expected = [
        ("PR1-L", "press left", Some((1, 2))),
        ("PR2-L", "press left", Some((2, 2))),
        ("PR1-R", "press right", Some((1, 2))),
        ("PR2-R", "press right", Some((2, 2))),
        ("DE1-A", "desk", None),
    ];
    let expected = expected.map(|(mark, name, copy)| (mark.to_owned(), name.to_owned(), copy));
    assert_eq!(bundles.iter().map(copies).collect::<Vec<_>>(), expected);
}

/// Names with like initials, with letters that read as figures, and with none at all.
#[test]
fn no_mark_is_given_twice_and_none_reads_as_a_figure() {
    let mut job = empty_job();
    let doors = |name: &str| {
        let doors = ["left", "low", "lo", "silo"].map(|door| door_spec(&format!("{name} {door}"), "28", "17-1/2"));
        doors.to_vec()
    };
    let names = ["chart press", "card press", "CP", "silo", "407", "Oslo quiz", "ein", "\u{e9}"];
    job.cabinets = names.map(|name| cabinet(name, 2, doors(name))).to_vec();
    job.strips = ["cover plates", "407", "edging"].map(|name| strip(name, "12", "3/4", "3/8", 4)).to_vec();
    let marks: Vec<String> = pooled(&job).bundles.into_iter().map(|bundle| bundle.mark).collect();
    assert_eq!(marks[..3], ["CP1-L", "CP2-L", "CP1-W"]);
    let mut unique = marks.clone();
    unique.sort();
    unique.dedup();
    assert_eq!((unique.len(), marks.len()), (8 * 4 * 2 + 3, 8 * 4 * 2 + 3), "{marks:?}");
    for mark in &marks {
        assert!(mark.len() >= 3 && mark.starts_with(|letter: char| letter.is_ascii_uppercase()), "{mark}");
        assert!(!mark.contains(['I', 'O', 'Q', 'S', 'Z']), "{mark}");
    }
}

fn any_job() -> impl Strategy<Value = Job> {
    let door = (20i64..23, 10i64..20, 1u32..4);
    let rate = (1i64..30, 500i64..990);
    (proptest::collection::vec(door, 1..6), rate, 0u32..3, 0u32..3).prop_map(|(sizes, (p, c), setup, repair)| {
        let mut job = empty_job();
        let cabinets = sizes.into_iter().enumerate().map(|(i, (between, cover, count))| {
            let door = door_spec(&format!("door {i}"), &between.to_string(), &cover.to_string());
            cabinet(&format!("cabinet {i}"), count, vec![door])
        });
        job.cabinets = cabinets.collect();
        job.spares.rate = SpareRate::RejectRate(ratio(&format!("0.{p:02}")));
        job.spares.confidence = ratio(&format!("0.{c}"));
        job.spares.setup_strips = setup;
        job.spares.repair_strips = repair;
        job
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn pooling_never_takes_more_wood_than_doors_made_one_by_one(job in any_job()) {
        let demand = pooled(&job);
        prop_assert!(demand.notes.is_empty());
        prop_assert!(demand.pooling.pooled_wood <= demand.pooling.separate_wood);
        let spares: u32 = demand.parts.iter().map(|p| p.spares).sum();
        prop_assert_eq!(demand.pooling.pooled, u64::from(spares));
    }

    #[test]
    fn every_strip_asked_for_is_in_one_part(job in any_job()) {
        let demand = pooled(&job);
        let needed: u32 = demand.parts.iter().map(|p| p.needed).sum();
        let asked: u32 = doors(&job).iter().map(|d| (d.slats + 1) * d.count).sum();
        prop_assert_eq!(needed, asked);
        for part in &demand.parts {
            prop_assert_eq!(part.needed, part.uses.iter().map(|u| u.strips).sum::<u32>());
        }
    }
}

#[test]
fn more_sizes_of_one_wood_than_can_be_packed_together_are_refused() {
    let mut job = empty_job();
    let sizes = |count: usize| (0..count).map(|at| strip("edging", &format!("{}", 20 + at), "3/4", "3/8", 2)).collect();
    job.strips = sizes(MOST_SIZES);
    assert_eq!(pool(&job, &[]).unwrap().parts.len(), MOST_SIZES);
    job.strips = sizes(MOST_SIZES + 1);
    let species = job.strips[0].species.name().to_owned();
    let name = "edging".to_owned();
    assert_eq!(pool(&job, &[]), Err(DemandError::TooManySizes { species, sizes: MOST_SIZES + 1, name }));
}
