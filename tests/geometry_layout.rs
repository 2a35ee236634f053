//! Whole doors laid out: counts, sizes and checks worked out by hand.

use crate::common::all_cases;
use crate::geometry_support;

use geometry_support::{arc, case, door, inches, job, path, slats, straight};
use slatwright::doors::{Door, Figure, FitCheck, lay_out};
use slatwright::job::{DoorTrack, Hand, LeadEntry, LeadFitted, RabbetFace, Runs, Segment};
use slatwright::measure::Length;

fn one(spec: slatwright::job::DoorSpec) -> Door {
    lay_out(&job(vec![spec], 1)).remove(0)
}

#[track_caller]
fn check<'a>(door: &'a Door, name: &str, item: &str) -> &'a FitCheck {
    door.checks
        .iter()
        .find(|check| check.check.word() == name && check.item.word() == item)
        .unwrap_or_else(|| panic!("no check {name} of {item} in {:#?}", door.checks))
}

#[track_caller]
fn needed(check: &FitCheck) -> Length {
    match check.needed {
        Figure::Length(length) => length,
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_press_goes_round_its_back_corner() {
    let doors = lay_out(&job(vec![door(case(Hand::PairLeft), slats()), door(case(Hand::PairRight), slats())], 2));
    assert_eq!(doors.len(), 2);
    let door = &doors[1];
    assert_eq!((door.cabinet, door.index, door.count), (0, 1, 2));
    assert!(door.fits(), "{:#?}", door.checks);
    let corner = arc("3", 90.0, true);
    // 36/2 - 3/4 - 3 = 14-1/4 in front, 15-1/2 - 3/4 - 3/4 - 2 x 3 = 8 at the side, half the back behind.
    assert_eq!(door.path, vec![straight("14-1/4"), corner, straight("8"), corner, straight("14-1/4")]);
    assert_eq!(door.travel, inches("13-1/8"));
    // 14-1/4 + 3 pi/2 to the end of the corner; 1-1/8 + 31 x 5/8 = 20-1/2 reaches 1-1/4 past it, 30 slats do not.
    assert!((door.cover.mm_f64() / 25.4 - 18.962_389).abs() < 1e-6);
    assert_eq!(door.slats, 31);
    assert_eq!(door.door_length, inches("20-1/2"));
    assert_eq!(door.slat_length, inches("28-9/16"));
    assert_eq!(door.tongue, inches("5/32"));
    // 28-9/16 - 2 x 1/2 + 2 x 1/2; 31 x 5/8 - 1/4 + 1/4 + 1.
    assert_eq!(door.cloth_along_slat, inches("28-9/16"));
    assert_eq!(door.cloth_along_travel, inches("20-3/8"));
}

#[test]
fn groove_needs_of_the_press() {
    let door = one(door(case(Hand::PairLeft), slats()));
    // tau + W^2 / (4 (2 R - tau)): .15625 + .390625 / 23.375, and with 1-1/8: .15625 + 1.265625 / 23.375.
    let slat = needed(check(&door, "groove_width", "slat"));
    assert!((slat.mm_f64() / 25.4 - 0.172_961_2).abs() < 1e-6, "{slat:?}");
    let lead = needed(check(&door, "groove_width", "lead slat"));
    assert!((lead.mm_f64() / 25.4 - 0.210_394_4).abs() < 1e-6, "{lead:?}");
    // W^2 / (8 (G - tau)) + tau/2 for the lead slat: 1.265625 / .75 + .078125.
    let radius = needed(check(&door, "arc_radius", "lead slat"));
    assert!((radius.mm_f64() / 25.4 - 1.765_625).abs() < 1e-6, "{radius:?}");
}

#[test]
fn a_groove_with_too_little_to_run_in_passes_and_says_so() {
    // The lead slat needs .2104: 7/32 leaves .0083, 1/4 leaves .0396.
    let advised = |width: &str| {
        let mut spec = door(case(Hand::PairLeft), slats());
        spec.groove.width = inches(width);
        let door = one(spec);
        let lead = check(&door, "groove_width", "lead slat");
        assert!(lead.holds(), "{width}");
        lead.advice.clone()
    };
    let advice = advised("7/32").unwrap();
    assert!(advice.starts_with("passes, but with less than"), "{advice}");
    assert_eq!(advised("1/4"), None);
}

#[test]
fn without_a_tongue_nothing_is_said_of_the_bends() {
    let mut bare = slats();
    bare.rabbet_depth = bare.thickness;
    let door = one(door(case(Hand::PairLeft), bare));
    assert!(!door.fits() && door.checks.iter().any(|check| check.check.word() == "rabbet_depth"), "{:?}", door.checks);
    assert!(door.checks.iter().all(|check| check.check.word() != "groove_width"), "{:?}", door.checks);
}

#[test]
fn a_wide_lead_slat_that_cannot_turn_is_told_what_would_help() {
    let mut wide = slats();
    wide.lead_width = inches("2-1/2");
    let refused = one(door(case(Hand::PairLeft), wide.clone()));
    let lead = check(&refused, "groove_width", "lead slat");
    assert!(!lead.holds() && !refused.fits());
    let advice = lead.advice.clone().unwrap();
    assert!(advice.contains("a groove 7/16 in wide"), "{advice}");
    // Cut back so that .15625 + l^2 / 23.375 = 1/4: l = 1.4802, 1-15/32 on the rule.
    assert!(advice.contains("1-15/32 in"), "{advice}");
    wide.lead_tongue = Some(inches("1-15/32"));
    assert!(one(door(case(Hand::PairLeft), wide.clone())).fits());
    wide.lead_tongue = Some(inches("1-1/2"));
    assert!(!one(door(case(Hand::PairLeft), wide.clone())).fits());
    // Fitted after loading it never meets a bend: the travel ends at the front run.
    wide.lead_tongue = None;
    wide.lead_fitted = LeadFitted::After;
    wide.lead_entry = Some(LeadEntry::Notch);
    let after = one(door(case(Hand::PairLeft), wide));
    assert!(after.fits(), "{:#?}", after.checks);
    assert_eq!(
        needed(check(&after, "groove_width", "lead slat")),
        needed(check(&after, "groove_width", "slat")),
        "what the ordinary slats need, no more"
    );
}

#[test]
fn a_deep_case_needs_no_back_corner() {
    let mut track = case(Hand::Left);
    if let DoorTrack::Case { inside, .. } = &mut track {
        inside.width = inches("20");
        inside.depth = inches("30");
    }
    let door = one(door(track, slats()));
    assert!(door.fits(), "{:#?}", door.checks);
    // 20 - 3/4 - 3 in front; 30 - 3/4 - 3 less a quarter inch at the back.
    assert_eq!(door.path, vec![straight("16-1/4"), arc("3", 90.0, true), straight("26")]);
}

#[test]
fn a_roll_up_runs_up_across_and_down() {
    let door = one(door(case(Hand::Up), slats()));
    let corner = arc("3", 90.0, true);
    assert_eq!(door.path, vec![straight("24-1/4"), corner, straight("8"), corner, straight("24")]);
    assert_eq!(door.travel, inches("23-1/8"));
}

#[test]
fn a_door_too_long_for_its_track_says_by_how_much() {
    let track = vec![straight("14-1/4"), arc("3", 90.0, true), straight("12")];
    let door = one(door(path(track, "17-1/2", "12"), slats()));
    let stow = check(&door, "stow", "door");
    assert!(!stow.holds());
    // 12 + 1-1/8 + 29 x 5/8 = 31-1/4 against 14-1/4 + 12 + r pi/2 with hinges at hypot(2.875, 5/16) = 2.8919.
    let short = stow.length_margin().unwrap().mm_f64() / 25.4;
    // The chords on the arc use up a little more of the path, about w^3 / 24 r^2 each.
    assert!((-0.4574 - 0.012..-0.4574).contains(&short), "{short}");
    assert!(stow.advice.clone().unwrap().contains("longer stows it"));
}

#[test]
fn a_reverse_bend_locks_square_slats() {
    let track = vec![straight("16"), arc("4", 60.0, true), arc("4", 60.0, false), straight("20")];
    let mut bevelled = slats();
    let square = one(door(path(track.clone(), "17-1/2", "14"), bevelled.clone()));
    assert!(!check(&square, "edge_bevel", "slat").holds());
    // asin(w / 2 r_h) with the canvas outside: r_m = 4 - 1/8 + 5/32 = 4.03125.
    match check(&square, "edge_bevel", "slat").needed {
        Figure::Degrees(angle) => assert!((angle - (0.3125f64 / 4.03125).atan().to_degrees()).abs() < 1e-9),
        other => panic!("{other:?}"),
    }
    bevelled.edge_chamfer = inches("1/16");
    assert!(!one(door(path(track.clone(), "17-1/2", "14"), bevelled.clone())).fits(), "a chamfer is no bevel");
    bevelled.edge_bevel = 8.0;
    let door = one(door(path(track, "17-1/2", "14"), bevelled));
    assert!(door.fits(), "{:#?}", door.checks);
}

#[test]
fn a_back_rabbet_needs_more_groove() {
    let mut back = slats();
    back.rabbet_face = RabbetFace::Back;
    let door = one(door(case(Hand::PairLeft), back));
    // .15625 + .390625 / (4 (6 - .15625 - .4375)).
    let slat = needed(check(&door, "groove_width", "slat"));
    assert!((slat.mm_f64() / 25.4 - 0.174_315).abs() < 1e-5, "{slat:?}");
}

#[test]
fn faults_of_the_section_say_by_how_much() {
    let mut deep = slats();
    deep.rabbet_depth = inches("3/8");
    let none = one(door(case(Hand::PairLeft), deep));
    assert!(!check(&none, "rabbet_depth", "slat").holds());

    let mut shallow = slats();
    shallow.rabbet_depth = inches("1/8");
    let thick = one(door(case(Hand::PairLeft), shallow));
    assert!(!check(&thick, "tongue_fit", "slat").holds());
    assert_eq!(check(&thick, "tongue_fit", "slat").length_margin(), Some(Length::ZERO));

    let mut short = slats();
    short.rabbet_length = inches("21/64");
    let drags = one(door(case(Hand::PairLeft), short));
    assert_eq!(check(&drags, "tongue_length", "slat").length_margin(), Some(-inches("1/64")));
    assert!(!drags.fits());
}

#[test]
fn a_narrow_radius_is_refused() {
    let track = vec![straight("14"), arc("1/8", 90.0, true), straight("30")];
    let door = one(door(path(track, "15", "12"), slats()));
    assert!(!check(&door, "arc_radius", "slat").holds());
}

#[test]
fn odd_input_never_panics() {
    let tiny = Length::from_nm(1);
    let huge = Length::LIMIT;
    let all = [tiny, huge, inches("3"), inches("1/64")];
    let sizes = &all[..if all_cases() { 4 } else { 2 }];
    for &width in sizes {
        for &radius in sizes {
            for &groove in sizes {
                for run in [Length::ZERO, tiny, huge] {
                    let mut odd = slats();
                    odd.width = width;
                    odd.lead_width = radius;
                    odd.rabbet_face = if groove > tiny { RabbetFace::Back } else { RabbetFace::Show };
                    odd.lead_fitted = if run > tiny { LeadFitted::After } else { LeadFitted::Before };
                    odd.lead_tongue = Some(groove);
                    let bend = |degrees| Segment::Arc { radius, degrees, canvas_inside: groove > tiny };
                    let segments = vec![Segment::Straight(run), bend(180.0), bend(1e-9), Segment::Straight(run)];
                    let track = DoorTrack::Path {
                        name: "odd".to_owned(),
                        path: segments,
                        cover: run,
                        travel: radius,
                        runs: Runs::Level,
                    };
                    let mut spec = door(track, odd);
                    spec.groove.width = groove;
                    let _ = one(spec);
                }
            }
        }
    }
    for hand in [Hand::Left, Hand::PairRight, Hand::Up] {
        let mut track = case(hand);
        if let DoorTrack::Case { inside, corner_radius, .. } = &mut track {
            inside.width = tiny;
            inside.depth = tiny;
            *corner_radius = huge;
        }
        assert!(!one(door(track, slats())).fits());
    }
}

#[test]
fn a_groove_too_near_the_case_side_is_refused() {
    let mut track = case(Hand::PairLeft);
    if let DoorTrack::Case { side_inset, back_inset, .. } = &mut track {
        *side_inset = inches("5/16");
        *back_inset = inches("5/16");
    }
    let door = one(door(track, slats()));
    let room = check(&door, "case_room", "door");
    // Half the groove and the face rabbet, 1/8 + 7/32; round the corner a pushed chain stands out a little less.
    assert!(!room.holds());
    assert_eq!(needed(room), inches("11/32"));
}

#[test]
fn the_back_corner_is_taken_when_the_season_needs_it() {
    let deep = |depth: &str, humid: i64| {
        let mut track = case(Hand::Left);
        if let DoorTrack::Case { inside, .. } = &mut track {
            inside.width = inches("20");
            inside.depth = inches(depth);
        }
        let mut job = job(vec![door(track, slats())], 1);
        job.shop.climate.insert("humid_season".to_owned(), humid.into());
        lay_out(&job).remove(0)
    };
    // The same case stows along the side alone in a dry house, and goes round the back in a damp one.
    let by_side = |depth: &str, humid| deep(depth, humid).path.len() == 3;
    let depths = ["20", "20-1/2", "20-3/4", "21", "21-1/4", "21-1/2", "21-3/4", "22", "23"];
    let dry: Vec<bool> = depths.iter().map(|depth| by_side(depth, 45)).collect();
    let damp: Vec<bool> = depths.iter().map(|depth| by_side(depth, 85)).collect();
    let count = |sides: &[bool]| sides.iter().filter(|side| **side).count();
    assert!(0 < count(&damp) && count(&damp) < count(&dry) && count(&dry) < depths.len(), "{dry:?} {damp:?}");
}

/// The worked case of a lead slat that stops short: R 50 mm, slats 20 x 6 with 3 mm behind the tongue, a lead slat of
/// 70 mm that comes to rest with its hinge on the tangent point. Window from rigid-body simulation and formula.
#[test]
fn a_lead_slat_fitted_after_loading_asks_only_for_service() {
    let mm = |figure: i64| Length::from_mm(figure);
    let mut metric = slats();
    metric.width = mm(20);
    metric.lead_width = mm(70);
    metric.thickness = mm(9);
    metric.rabbet_depth = mm(3);
    metric.rabbet_face = RabbetFace::Back;
    metric.rabbet_length = mm(10);
    metric.lead_fitted = LeadFitted::After;
    let segments = |travel: i64| DoorTrack::Path {
        name: "metric".to_owned(),
        path: vec![
            Segment::Straight(mm(400)),
            Segment::Arc { radius: mm(50), degrees: 90.0, canvas_inside: true },
            Segment::Straight(mm(600)),
        ],
        cover: mm(400),
        travel: mm(travel),
        runs: Runs::Level,
    };
    let need = |travel: i64| {
        let mut spec = door(segments(travel), metric.clone());
        spec.groove.width = mm(8);
        needed(check(&one(spec), "groove_width", "lead slat")).mm_f64()
    };
    assert!((7.021_56..=7.139_93).contains(&need(330)), "{}", need(330));
    assert!(need(330) <= need(340) && need(340) < need(370), "a lead slat that enters the bend asks more");
}

#[test]
fn a_single_door_runs_on_to_the_opposite_back_corner() {
    let door = one(door(case(Hand::Right), slats()));
    let corner = arc("3", 90.0, true);
    // 36 - 3/4 - 3 in front, 36 - 2 x 3/4 - 2 x 3 behind.
    assert_eq!(door.path, vec![straight("32-1/4"), corner, straight("8"), corner, straight("28-1/2")]);
}

#[test]
fn near_bends_of_one_sense_count_as_one() {
    let need = |gap: &str, width: &str| {
        let mut wide = slats();
        wide.width = inches(width);
        let track = vec![straight("16"), arc("1", 45.0, true), straight(gap), arc("1", 45.0, true), straight("30")];
        needed(check(&one(door(path(track, "17", "14"), wide)), "groove_width", "slat"))
    };
    let alone = |width: &str| {
        let mut wide = slats();
        wide.width = inches(width);
        let track = vec![straight("16"), arc("1", 45.0, true), straight("30")];
        needed(check(&one(door(path(track, "17", "14"), wide)), "groove_width", "slat"))
    };
    assert_eq!(need("2-1/2", "2"), alone("2"));
    assert!(need("1-63/64", "2") > alone("2"));
}

#[test]
fn a_wide_lead_slat_asks_for_more_bevel() {
    let mut bevelled = slats();
    bevelled.edge_bevel = 10.0;
    let track = vec![straight("16"), arc("4", 60.0, false), straight("30")];
    let door = one(door(path(track, "17", "14"), bevelled));
    let degrees = |item: &str| match check(&door, "edge_bevel", item).needed {
        Figure::Degrees(angle) => angle,
        other => panic!("{other:?}"),
    };
    // Hinges at hypot(4 - 1/8 + 5/32, 5/16); the joint between them is shared by two equal bevels.
    let hinge = 4.031_25f64.hypot(0.3125);
    let lean = |width: f64| (width / 2.0 / hinge).asin().to_degrees();
    assert!((degrees("slat") - lean(0.625)).abs() < 1e-9);
    assert!((degrees("lead slat") - (lean(0.625) + lean(1.125)) / 2.0).abs() < 1e-9);
}

#[test]
fn a_cover_longer_than_the_track_is_refused() {
    let track = vec![straight("16"), arc("3", 90.0, true), straight("2")];
    let long = one(door(path(track.clone(), "23", "1"), slats()));
    assert!(!check(&long, "cover", "door").holds());
    assert!(check(&one(door(path(track, "18", "1"), slats())), "cover", "door").holds());
    // As long as the cover is long enough.
    assert!(check(&one(door(path(vec![straight("18")], "18", "1"), slats())), "cover", "door").holds());
    let long = one(door(path(vec![straight("18")], "18-1/64", "1"), slats()));
    let advice = check(&long, "cover", "door").advice.as_deref();
    assert!(advice.is_some_and(|advice| advice.contains("the track ends before the cover does")));
}

#[test]
fn slat_ends_are_bare_for_half_an_inch_at_least() {
    let mut short = slats();
    short.rabbet_length = inches("1/4");
    let mut spec = door(case(Hand::PairLeft), short);
    spec.groove.depth = inches("1/8");
    let narrow = one(spec);
    assert_eq!(narrow.cloth_along_slat, narrow.slat_length);
    let mut long = slats();
    long.rabbet_length = inches("1");
    let wide = one(door(case(Hand::PairLeft), long));
    // 1 + 1/8 bare at each end, 1/2 to trim at each edge.
    assert_eq!(wide.cloth_along_slat, wide.slat_length - inches("1-1/4"));
}

/// Opposite bends of 4 in, so near that a slat of 5/8 spans both: the groove gives each its own play. With a slat's
/// width of straight run between them each bend is judged by itself.
#[test]
fn an_s_asks_for_the_play_of_both_its_bends() {
    let slat = |gap: &str| {
        let mut segments = vec![straight("20"), arc("4", 60.0, true)];
        if gap != "0" {
            segments.push(straight(gap));
        }
        segments.extend([arc("4", 60.0, false), straight("30")]);
        let mut spec = door(path(segments, "18", "12"), slats());
        spec.slats.edge_bevel = 12.0;
        needed(check(&one(spec), "groove_width", "slat")).mm_f64() / 25.4
    };
    // tau + .390625 / (4 (2 R -+ tau)), tau = .15625: .0124502 of the concave bend, .0119732 of the reverse one.
    let (concave, reverse) = (0.156_25 + 0.012_450_2, 0.011_973_2);
    let apart = slat("5/8");
    assert!((apart - concave).abs() < 1e-6, "{apart}");
    // The rule gives each bend its own play; poses of the chain need less of it the farther the bends are apart.
    for (gap, over) in [("0", 0.004_8), ("1/4", 0.002_8), ("1/2", 0.0), ("39/64", 0.0)] {
        let s = slat(gap);
        assert!((s - concave - over).abs() < 3e-4 && s < concave + reverse, "{gap}: {s}");
    }
}
