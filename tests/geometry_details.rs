//! Stops, movement, set-ups and fixes of whole doors, worked out by hand or by laying the door out again.

use crate::geometry_support;

use geometry_support::{arc, case, door, inches, job, path, slats, straight};
use rust_decimal::Decimal;
use slatwright::doors::{Door, Figure, Fix, lay_out};
use slatwright::job::{Cutter, DoorSpec, DoorTrack, Hand, Millings, Panel, Runs, Segment, Species};
use slatwright::measure::Length;

fn one(spec: DoorSpec) -> Door {
    lay_out(&job(vec![spec], 1)).remove(0)
}

#[track_caller]
fn near(length: Length, inches: f64, tolerance: f64) {
    let value = length.mm_f64() / 25.4;
    assert!((value - inches).abs() <= tolerance, "{value} is not {inches}");
}

#[test]
fn stops_of_the_press_are_measured_from_real_edges() {
    let door = one(door(case(Hand::PairLeft), slats()));
    let stop = |name: &str| door.stops.iter().find(|stop| stop.name == name).unwrap();
    assert_eq!(stop("closing stop").distance, inches("18"));
    // Open, the lead edge stands one lead slat before the corner: 18 - 13-1/8.
    assert_eq!(stop("opening stop").distance, inches("4-7/8"));
    assert_eq!(stop("opening stop").from, "inside face of the left side");
    // The entry leaves the side run where the back corner begins: 3/4 + 3 + 8 from the front, 3-3/4 to the back.
    assert_eq!(stop("entry filler").distance, inches("11-3/4"));
    assert_eq!(stop("entry filler").length, Some(inches("3-3/4")));
    // 13-1/8 + 20-1/2 = 33-5/8 on the hinges' path. Pushed, both corners turn on hinges at r instead of 3: the tongue's
    // far corners on the outer wall of 3-1/8, r = hypot(hypot(3.125, 5/16 legs) - 5/32, 5/16); 2 x 7.5 chords on arcs
    // stretch it by w^3/24r^2; the dry season pulls it in by 20-1/2 x .00248 x 2.291.
    let r = ((3.125f64.powi(2) - 0.3125f64.powi(2)).sqrt() - 0.15625).hypot(0.3125);
    let along = 33.625 + std::f64::consts::PI * (3.0 - r) + 15.0 * 0.244_14 / (24.0 * r * r);
    let beyond = along - 20.5 * 0.002_48 * 2.291 - (14.25 + 4.712_39 + 8.0 + 4.712_39);
    let tail = stop("tail stop");
    assert_eq!(tail.from, "inside face of the left side");
    near(tail.distance, 3.75 + beyond, 0.01);
}

#[test]
fn movement_follows_species_grain_and_humidity() {
    let mut oak = slats();
    oak.species = Species::settled("northern red oak");
    let humid = |milling: Millings, species: &str| {
        let mut slats = oak.clone();
        slats.milling = milling;
        slats.species = Species::settled(species);
        let mut job = job(vec![door(case(Hand::PairLeft), slats)], 1);
        job.shop.climate.insert("shop".to_owned(), Decimal::from(50));
        job.shop.climate.insert("humid_season".to_owned(), Decimal::from(65));
        job.shop.climate.insert("dry_season".to_owned(), Decimal::from(30));
        lay_out(&job).remove(0).details.movement.unwrap()
    };
    // 70 degrees Fahrenheit: 50 % gives 9.246 %, 65 % gives 11.964 %, 30 % gives 6.172 %; the door is 20-1/2 in.
    let flat = humid(Millings::Flat, "northern red oak");
    near(flat.swells, 20.5 * 0.003_69 * 2.717_5, 1e-4);
    near(flat.shrinks, 20.5 * 0.003_69 * 3.074_6, 1e-4);
    near(flat.tongue_swells, 0.156_25 * 0.001_58 * 2.717_5, 1e-6);
    let edge = humid(Millings::Edge, "northern red oak");
    near(edge.swells, 20.5 * 0.001_58 * 2.717_5, 1e-4);
    near(edge.tongue_swells, 0.156_25 * 0.003_69 * 2.717_5, 1e-6);
    assert_eq!(humid(Millings::Any, "northern red oak").swells, flat.swells);
    let unknown = humid(Millings::Flat, "heartwood of nowhere");
    assert!(unknown.source.contains("no handbook figures"), "{}", unknown.source);
    assert!(unknown.swells > flat.swells);
}

/// Built drier than the house ever gets, a door only grows: there is no shrinkage to fear.
#[test]
fn a_door_built_dry_never_shrinks() {
    let built_at = |humidity: i64| {
        let mut job = job(vec![door(case(Hand::PairLeft), slats())], 1);
        for (key, value) in [("shop", humidity), ("dry_season", 30), ("humid_season", 60)] {
            job.shop.climate.insert(key.to_owned(), Decimal::from(value));
        }
        lay_out(&job).remove(0)
    };
    let movement = |humidity: i64| built_at(humidity).details.movement.unwrap();
    assert_eq!((movement(20).shrinks, movement(30).shrinks), (Length::ZERO, Length::ZERO));
    assert!(movement(45).shrinks.is_positive() && movement(20).swells > movement(45).swells);
    assert_eq!(movement(70).swells, Length::ZERO);
    // The tail stop is set for the dry season: no nearer than where the tail lies as built.
    let tail = |humidity: i64| built_at(humidity).stops.iter().find(|stop| stop.name == "tail stop").unwrap().station;
    assert_eq!(tail(20), tail(30));
    assert!(tail(45) < tail(20));
}

#[test]
fn a_cutter_sets_tongue_and_rabbet() {
    let mut job = job(vec![door(case(Hand::PairLeft), slats())], 1);
    let cutter = |name: &str, width: &str, height: &str| Cutter {
        name: name.to_owned(),
        width: inches(width),
        height: inches(height),
    };
    // A quarter by an eighth (common practice, no source) leaves a tongue as thick as this groove and too short.
    job.shop.cutters = vec![cutter("quarter", "1/4", "1/8"), cutter("deep", "3/8", "1/4")];
    let door = lay_out(&job).remove(0);
    let [quarter, deep] = &door.details.setups[..] else { panic!("{:?}", door.details.setups) };
    assert_eq!((quarter.tongue, quarter.tongue_length, quarter.fits), (inches("1/4"), inches("1/4"), false));
    assert_eq!((deep.tongue, deep.tongue_length, deep.fits), (inches("1/8"), inches("3/8"), true));
    let steps = &door.details.rabbet_steps;
    assert_eq!(steps[0].rabbet_depth, inches("7/32"));
    assert_eq!(steps[1].rabbet_depth, inches("15/64"));
    assert!(steps.windows(2).all(|pair| pair[0].slat_margin < pair[1].slat_margin));
}

#[test]
fn the_rabbet_is_deepened_as_long_as_a_tongue_is_left() {
    let mut thin = slats();
    thin.rabbet_depth = thin.thickness - inches("3/64");
    let tongues: Vec<Length> =
        one(door(case(Hand::PairLeft), thin)).details.rabbet_steps.iter().map(|step| step.tongue).collect();
    assert_eq!(tongues, [inches("3/64"), inches("1/32"), inches("1/64")]);
}

/// The specification with a fix's figure set to `value`.
fn changed(spec: &DoorSpec, fix: &Fix, value: Figure) -> DoorSpec {
    let mut spec = spec.clone();
    match (fix.key, value, &mut spec.track) {
        ("groove_width", Figure::Length(to), _) => spec.groove.width = to,
        ("groove_depth", Figure::Length(to), _) => spec.groove.depth = to,
        ("panel_thickness", Figure::Length(to), _) => spec.groove.panel = Panel::Given(to),
        ("setback", Figure::Length(to), DoorTrack::Case { setback, .. }) => *setback = to,
        ("rabbet_depth", Figure::Length(to), _) => spec.slats.rabbet_depth = to,
        ("rabbet_length", Figure::Length(to), _) => spec.slats.rabbet_length = to,
        ("lead_width", Figure::Length(to), _) => spec.slats.lead_width = to,
        ("lead_tongue", Figure::Length(to), _) => spec.slats.lead_tongue = Some(to),
        ("width", Figure::Length(to), _) => spec.slats.width = to,
        ("edge_bevel", Figure::Degrees(to), _) => spec.slats.edge_bevel = to,
        ("corner_radius", Figure::Length(to), DoorTrack::Case { corner_radius, .. }) => *corner_radius = to,
        ("corner_radius", Figure::Length(to), DoorTrack::Path { path, .. }) => {
            // The tracks of these tests have arcs of one radius.
            for segment in path {
                if let Segment::Arc { radius, .. } = segment {
                    *radius = to;
                }
            }
        }
        ("side_inset", Figure::Length(to), DoorTrack::Case { side_inset, .. }) => *side_inset = to,
        ("back_inset", Figure::Length(to), DoorTrack::Case { back_inset, .. }) => *back_inset = to,
        ("side_inset, back_inset", Figure::Length(to), DoorTrack::Case { side_inset, back_inset, .. }) => {
            (*side_inset, *back_inset) = ((*side_inset).max(to), (*back_inset).max(to));
        }
        ("travel", Figure::Length(to), DoorTrack::Path { travel, .. }) => *travel = to,
        ("path", Figure::Length(to), DoorTrack::Path { path, .. }) => {
            *path.last_mut().expect("a path has pieces") = Segment::Straight(to);
        }
        other => panic!("no such change here: {other:?}"),
    }
    spec
}

#[test]
fn each_fix_works_and_nothing_nearer_does() {
    let mut wide = slats();
    wide.lead_width = inches("2-1/2");
    let mut shallow = slats();
    shallow.rabbet_length = inches("1/4");
    let short = vec![straight("14-1/4"), arc("3", 90.0, true), straight("12")];
    let reverse = vec![straight("16"), arc("4", 60.0, true), arc("4", 60.0, false), straight("20")];
    let failing = [
        door(case(Hand::PairLeft), wide),
        door(case(Hand::PairLeft), shallow),
        door(path(short, "17-1/2", "12"), slats()),
        door(path(reverse, "17-1/2", "14"), slats()),
        near_the_front("1/4"),
        tongue_of("1/16"),
        panel_of("1/2"),
        near_the_case("5/16", "3/4"),
        near_the_case("3/4", "5/16"),
        near_the_case("5/16", "1/4"),
    ];
    for spec in failing {
        let door = one(spec.clone());
        assert!(!door.fits() && !door.fixes.is_empty() && door.fixes.len() <= 3, "{:#?}", door.checks);
        for fix in &door.fixes {
            assert!(one(changed(&spec, fix, fix.to)).fixes.is_empty(), "{fix:?} leaves something to fix");
            if let Some(passes) = fix.passes {
                let tight = one(changed(&spec, fix, passes));
                assert!(tight.fits(), "{fix:?} passes");
                assert!(fix.text.contains("recommended") && fix.text.contains("passes, tight"), "{fix:?}");
            }
            let nearer = match (fix.from, fix.to) {
                (Figure::Length(from), Figure::Length(to)) if from < to => {
                    Figure::Length((to - Length::SIXTY_FOURTH).max(from))
                }
                (Figure::Length(from), Figure::Length(to)) => Figure::Length((to + Length::SIXTY_FOURTH).min(from)),
                (Figure::Degrees(_), Figure::Degrees(to)) => Figure::Degrees(to - 0.5),
                other => panic!("{other:?}"),
            };
            // Coarse figures move by 1/8 in: a sixty-fourth nearer may still do.
            if !["corner_radius", "travel", "path"].contains(&fix.key) {
                assert!(!one(changed(&spec, fix, nearer)).fixes.is_empty(), "{fix:?} could be nearer");
            }
        }
    }
}

#[test]
fn a_fix_says_what_the_tightest_arc_of_a_path_is_now() {
    let track = vec![straight("14-1/4"), arc("5", 45.0, true), arc("3", 45.0, true), straight("10")];
    let fixes = one(door(path(track, "17-1/2", "12"), slats())).fixes;
    let radius = fixes.iter().find(|fix| fix.key == "corner_radius").unwrap_or_else(|| panic!("{fixes:?}"));
    assert_eq!(radius.from, Figure::Length(inches("3")));
}

/// What reaches past the end of the track is pulled along all the same.
#[test]
fn a_tail_without_groove_weighs_as_much() {
    let pull = |last: &str| {
        let track = vec![straight("16"), arc("3", 90.0, true), straight(last)];
        let door = one(door(path(track, "18", "14"), slats()));
        door.details.feel.expect("cherry has a density").pull_newtons
    };
    assert_eq!(pull("4"), pull("40"));
}

/// A groove too near the case's front edge.
fn near_the_front(from_edge: &str) -> DoorSpec {
    let mut track = case(Hand::PairLeft);
    if let DoorTrack::Case { setback, .. } = &mut track {
        *setback = inches(from_edge);
    }
    door(track, slats())
}

/// A tongue that would break.
fn tongue_of(thickness: &str) -> DoorSpec {
    let mut thin = slats();
    thin.rabbet_depth = thin.thickness - inches(thickness);
    door(case(Hand::PairLeft), thin)
}

/// A panel too thin for its groove.
fn panel_of(thickness: &str) -> DoorSpec {
    let mut spec = door(case(Hand::PairLeft), slats());
    spec.groove.panel = Panel::Given(inches(thickness));
    spec
}

/// A door that stows round the back corner, its groove so far from side and back.
fn near_the_case(side: &str, back: &str) -> DoorSpec {
    let mut track = case(Hand::Left);
    if let DoorTrack::Case { inside, side_inset, back_inset, .. } = &mut track {
        inside.width = inches("20");
        (*side_inset, *back_inset) = (inches(side), inches(back));
    }
    door(track, slats())
}

#[test]
fn the_inset_that_is_too_small_is_named() {
    let named = |side, back| {
        let door = one(near_the_case(side, back));
        assert_eq!(door.path.len(), 5, "stows round the back corner");
        door.fixes.iter().map(|fix| fix.text.clone()).collect::<Vec<_>>()
    };
    assert_eq!(named("5/16", "3/4"), ["side inset: 11/32 in; now 5/16 in"]);
    assert_eq!(named("3/4", "5/16"), ["back inset: 11/32 in; now 5/16 in"]);
    assert_eq!(named("5/16", "5/16"), ["side and back insets, each at least: 11/32 in; now 5/16 in"]);
}

#[test]
fn a_front_run_too_short_says_what_would_open_the_door() {
    let narrow = |hand: Hand, radius: &str| {
        let mut track = case(hand);
        if let DoorTrack::Case { inside, corner_radius, .. } = &mut track {
            (inside.width, inside.height, *corner_radius) = (inches("20"), inches("20"), inches(radius));
        }
        let mut slats = slats();
        slats.lead_width = inches("2");
        door(track, slats)
    };
    let advice = |spec: &DoorSpec| {
        let checks = one(spec.clone()).checks;
        checks.into_iter().find(|check| check.check.word() == "lead_travel").and_then(|check| check.advice).unwrap()
    };
    // Half of 20, less 3/4 and 12, is 2-3/4 less than nothing: a lead slat of 2 and an inch of travel ask for 5-3/4.
    let pair = narrow(Hand::PairLeft, "12");
    let said = advice(&pair);
    assert!(said.ends_with("smaller by 5-3/4 in, or a case wider by 11-1/2 in, opens it 1 in"), "{said}");
    for (radius, wider) in [("6-1/4", "0"), ("12", "11-1/2")] {
        let mut mended = narrow(Hand::PairLeft, radius);
        if let DoorTrack::Case { inside, .. } = &mut mended.track {
            inside.width += inches(wider);
        }
        assert_eq!(one(mended).travel, inches("1"));
    }
    // One door has the whole width, a roll-up the height; a radius cannot shrink by more than itself.
    let said = advice(&narrow(Hand::Left, "18"));
    assert!(said.ends_with("smaller by 1-3/4 in, or a case wider by 1-3/4 in, opens it 1 in"), "{said}");
    let mut low = narrow(Hand::Up, "3");
    if let DoorTrack::Case { inside, .. } = &mut low.track {
        inside.height = inches("3");
    }
    let said = advice(&low);
    assert!(said.ends_with("the door cannot open; a case higher by 3-3/4 in opens it 1 in"), "{said}");
}

#[test]
fn a_sound_door_needs_no_fix() {
    assert!(one(door(case(Hand::PairLeft), slats())).fixes.is_empty());
}

#[test]
fn room_of_the_press() {
    let door = one(door(case(Hand::PairLeft), slats()));
    let room = door.details.room.unwrap();
    assert_eq!(room.clear_opening, inches("13-1/8"));
    // 3/4 to the centreline and half the groove on every straight; the corner's radius less half the groove.
    let sweep = room.sweep.unwrap();
    let in_inches =
        [sweep.front, sweep.side, sweep.back.unwrap(), sweep.radius, sweep.front_centre.0].map(|mm| mm / 25.4);
    assert!(
        in_inches.iter().zip([0.875, 0.875, 0.875, 2.875, 3.75]).all(|(there, by_hand)| (there - by_hand).abs() < 1e-9)
    );
    assert_eq!(room.between_tails, Some(room.stow_left * 2));
    assert!(room.meets.contains("18 in"), "{}", room.meets);
}

#[test]
fn the_season_asks_for_its_swelling_and_a_quarter_inch() {
    let door = one(door(case(Hand::PairLeft), slats()));
    let check = door.checks.iter().find(|check| check.check.word() == "seasonal_stow").unwrap();
    assert_eq!(check.needed, Figure::Length(door.details.movement.unwrap().swells + inches("1/4")));
    assert_eq!(check.available, Figure::Length(door.details.room.unwrap().stow_left));
}

#[test]
fn no_fix_leaves_a_tongue_that_breaks() {
    let mut track = case(Hand::Up);
    if let DoorTrack::Case { corner_radius, .. } = &mut track {
        *corner_radius = inches("1-1/2");
    }
    let mut spec = door(track, slats());
    spec.groove.width = inches("3/16");
    let door = one(spec.clone());
    assert!(!door.fits() && door.fixes.iter().any(|fix| fix.key == "groove_width"), "{:?}", door.fixes);
    assert!(door.fixes.iter().all(|fix| fix.key != "rabbet_depth"), "{:?}", door.fixes);
}

#[test]
fn a_cutter_is_not_blamed_for_a_bevel() {
    let reverse = vec![straight("16"), arc("4", 60.0, true), arc("4", 60.0, false), straight("20")];
    let mut job = job(vec![door(path(reverse, "17-1/2", "14"), slats())], 1);
    job.shop.cutters = vec![Cutter { name: "deep".to_owned(), width: inches("3/8"), height: inches("1/4") }];
    let door = lay_out(&job).remove(0);
    assert!(!door.fits() && door.details.setups[0].fits);
    // 4.4327 degrees would lock at 4.4.
    let bevel = door.checks.iter().find(|check| check.check.word() == "edge_bevel").unwrap();
    assert!(bevel.advice.clone().unwrap().contains("4.5 degrees"), "{bevel:?}");
}

/// A roll-up of the press: all of it hangs when closed, so it falls shut from wherever it is let go until enough lies
/// under the top; the case's front run is upright.
#[test]
fn a_roll_up_says_where_it_does_not_stay() {
    let up = one(door(case(Hand::Up), slats()));
    let balance = up.details.feel.clone().unwrap().balance.unwrap();
    let (first, last) = (balance.points[0], balance.points[balance.points.len() - 1]);
    assert_eq!((first.lead_edge, last.lead_edge), (Length::ZERO, up.travel));
    for point in &balance.points {
        assert!(point.lower.1 <= point.lower.0 && point.lower.0 <= point.hold, "{point:?}");
        assert!(point.hold <= point.lift.0 && point.lift.0 <= point.lift.1, "{point:?}");
    }
    // Less hangs the farther it is open.
    assert!(balance.points.windows(2).all(|pair| pair[1].hold < pair[0].hold));
    let (from, to) = balance.falls_shut.unwrap();
    assert!(from == Length::ZERO && to > from);
    assert!(up.notes.iter().any(|note| note.starts_with("let go between 0 in and ")), "{:?}", up.notes);
    // A door that runs level has no such curve.
    assert_eq!(one(door(case(Hand::Left), slats())).details.feel.unwrap().balance, None);
}

/// On a straight track the door stays up to the angle of friction of waxed wood, atan .15 = 8.53 degrees, and the half
/// newton that moves no door: a little less stays, a little more falls.
#[test]
fn a_roll_up_stays_up_to_the_angle_of_friction() {
    let falls = |first_slope: f64| {
        let mut track = path(vec![straight("60")], "30", "20");
        if let DoorTrack::Path { runs, .. } = &mut track {
            *runs = Runs::Up { first_slope };
        }
        one(door(track, slats())).details.feel.unwrap().balance.unwrap().falls_shut
    };
    assert_eq!(falls(8.5), None);
    let weight = one(door(path(vec![straight("60")], "30", "20"), slats())).details.feel.unwrap().weight_kg * 9.81;
    let enough = (0.15f64).atan().to_degrees() + (0.6 / weight).to_degrees() * 1.2;
    assert!(falls(enough).is_some(), "{enough}");
}

/// Bevelled joints fold both ways: the lead slat turns outwards as far as its own tongue allows, and the push grows.
#[test]
fn bevels_let_the_lead_slat_turn_and_the_slats_zig_zag() {
    let with = |bevel: f64| {
        let mut spec = door(case(Hand::PairLeft), slats());
        spec.slats.edge_bevel = bevel;
        spec.slats.lead_tongue = Some(inches("3/4"));
        one(spec).details
    };
    let (square, hair, bevelled) = (with(0.0), with(0.01), with(8.0));
    let swing = |details: &slatwright::doors::Details| details.lead_swing.unwrap();
    assert!(swing(&hair).yaw_out > 3.0 * swing(&square).yaw_out);
    assert_eq!(swing(&hair), swing(&bevelled));
    // Play 3/32, guided 3/4, bare 3/8: inwards p (w/l - 1/2), outwards p/2 + p o/l, together p (1 + 2 o/l) = 3/16.
    let step = swing(&bevelled).meeting_step.mm_f64() / 25.4;
    assert!((step - 0.1875).abs() < 0.006, "{step}");
    let pull = |details: &slatwright::doors::Details| details.feel.clone().unwrap().pull_newtons.1;
    assert!(pull(&hair) > 1.1 * pull(&square), "{} {}", pull(&hair), pull(&square));
}
