//! What else stops a door than its bends: each limit at its edge, a hair inside and a hair outside.

use crate::geometry_support;

use crate::common::{all_cases, dice::Dice, some_of};
use geometry_support::{arc, case, door, inches, job, path, slats, straight};
use slatwright::doors::{Check, CheckItem, Door, Figure, FitCheck, Verdict, lay_out, limits};
use slatwright::job::{DoorSpec, DoorTrack, Hand, LeadEntry, LeadFitted, LeadTongueAt, Panel, RabbetFace, Shop};
use slatwright::measure::{Length, Units};

const HAIR: Length = Length::from_nm(1);

fn laid(spec: DoorSpec, shop: &Shop, units: Units) -> Door {
    let mut job = job(vec![spec], 1);
    job.shop = shop.clone();
    job.units = units;
    lay_out(&job).remove(0)
}

fn found(door: &Door, check: Check, item: CheckItem) -> Option<&FitCheck> {
    door.checks.iter().find(|row| row.check == check && row.item == item)
}

#[track_caller]
fn of(door: &Door, check: Check, item: CheckItem) -> &FitCheck {
    found(door, check, item).unwrap_or_else(|| panic!("no {check} of the {item} in {:#?}", door.checks))
}

/// A plain case whose figures the test changes.
fn plain(change: impl FnOnce(&mut DoorSpec)) -> DoorSpec {
    let mut spec = door(case(Hand::PairLeft), slats());
    change(&mut spec);
    spec
}

fn set_setback(spec: &mut DoorSpec, to: Length) {
    let DoorTrack::Case { setback, .. } = &mut spec.track else { panic!("a case") };
    *setback = to;
}

fn both_units(number: u64) -> Units {
    if number.is_multiple_of(2) { Units::Inch } else { Units::Millimetre }
}

#[test]
fn a_groove_keeps_its_wall_to_the_front_edge() {
    let mut dice = Dice::new(11);
    for n in 0..some_of(120) {
        let mut shop = geometry_support::shop();
        shop.clearance.front_wall = Length::from_nm(dice.between(0, 9_000_000));
        let groove = Length::from_nm(dice.between(4_100_000, 12_000_000));
        // Half the groove may be half a nanometre: the wall must be whole.
        let doubled = groove.nm() + 2 * shop.clearance.front_wall.nm();
        let least = Length::from_nm(doubled.div_euclid(2) + doubled.rem_euclid(2));
        let at = |setback: Length| {
            let spec = plain(|spec| {
                spec.groove.width = groove;
                set_setback(spec, setback);
            });
            of(&laid(spec, &shop, both_units(n)), Check::FrontEdge, CheckItem::Door).clone()
        };
        assert_eq!((at(least).verdict, at(least + HAIR).verdict), (Verdict::Yes, Verdict::Yes));
        let short = at(least - HAIR);
        assert_eq!(short.verdict, Verdict::No);
        assert_eq!(short.length_margin(), Some(-HAIR));
        assert!(short.advice.unwrap().contains("front edge: a setback of"));
    }
    // By hand: a groove 1/4 wide behind 3/16 wants 5/16; at 1/4 there is 1/16 too little.
    let door = laid(plain(|spec| set_setback(spec, inches("1/4"))), &geometry_support::shop(), Units::Inch);
    let row = of(&door, Check::FrontEdge, CheckItem::Door);
    assert_eq!((row.needed, row.margin), (Figure::Length(inches("5/16")), Figure::Length(-inches("1/16"))));
    assert!(door.fixes.iter().any(|fix| fix.text == "setback: 5/16 in; now 1/4 in"), "{:?}", door.fixes);
}

#[test]
fn it_is_said_where_the_show_face_stands() {
    // 3/8 less half of 5/32 is 19/64 in front of the centreline: behind the edge at 3/4, proud of it at 9/32.
    let row = |setback: &str| {
        let door = laid(plain(|spec| set_setback(spec, inches(setback))), &geometry_support::shop(), Units::Inch);
        of(&door, Check::ShowFace, CheckItem::Slat).clone()
    };
    assert_eq!((row("3/4").verdict, row("3/4").length_margin()), (Verdict::Yes, Some(inches("29/64"))));
    assert_eq!(row("19/64").verdict, Verdict::Yes);
    let proud = row("9/32");
    assert_eq!(proud.verdict, Verdict::Note);
    assert_eq!(proud.advice.as_deref(), Some("the show face stands 1/64 in proud of the case's front edge"));
}

#[test]
fn a_door_resting_in_one_groove_holds_in_the_other() {
    let mut dice = Dice::new(12);
    for n in 0..some_of(120) {
        let units = both_units(n);
        let mut shop = geometry_support::shop();
        let depth = Length::from_nm(dice.between(3_300_000, 14_000_000));
        let hold: i64 = if units == Units::Inch { 3_175_000 } else { 3_000_000 };
        // What the play may be: at most half the depth, and the depth less an eighth.
        let most = (depth.nm() / 2).min(depth.nm() - hold);
        let at = |play: i64, shop: &mut Shop| {
            shop.clearance.end_play = Length::from_nm(play);
            let spec = plain(|spec| {
                spec.groove.depth = depth;
                spec.slats.rabbet_length = depth + inches("1/4");
            });
            of(&laid(spec, shop, units), Check::Engagement, CheckItem::Slat).verdict
        };
        assert_eq!(at(most, &mut shop), Verdict::Yes, "{depth:?}");
        assert_eq!(at(most + 1, &mut shop), Verdict::No, "{depth:?}");
        // Falling out whole is said so.
        assert_eq!(at(depth.nm(), &mut shop), Verdict::No);
    }
}

#[test]
fn a_groove_too_shallow_for_its_play_is_told_how_deep() {
    let mut shop = geometry_support::shop();
    shop.clearance.end_play = inches("3/16");
    let door = laid(plain(|_| ()), &shop, Units::Inch);
    let row = of(&door, Check::Engagement, CheckItem::Slat);
    assert_eq!(row.length_margin(), Some(inches("1/8") - inches("5/32")));
    let said = row.advice.clone().unwrap();
    assert!(
        said.contains("grooves 3/8 in deep and a rabbet 13/32 in long, or an end play of at most 5/32 in"),
        "{said}"
    );
}

#[test]
fn a_tongue_is_two_fifths_of_its_slat_and_an_eighth() {
    let mut dice = Dice::new(13);
    for n in 0..some_of(120) {
        let units = both_units(n);
        let hold: i64 = if units == Units::Inch { 3_175_000 } else { 3_000_000 };
        let thick = dice.between(5_000_000, 20_000_000);
        // 5 tau >= 2 t, in whole nanometres.
        let least = ((2 * thick + 4) / 5).max(hold);
        let at = |tongue: i64, shop: &Shop| {
            let spec = plain(|spec| {
                spec.slats.thickness = Length::from_nm(thick);
                spec.slats.lead_thickness = Length::from_nm(thick);
                spec.slats.rabbet_depth = Length::from_nm(thick - tongue);
                spec.groove.width = Length::from_nm(tongue + 2_000_000);
            });
            of(&laid(spec, shop, units), Check::TongueThickness, CheckItem::Slat).verdict
        };
        let mut shop = geometry_support::shop();
        assert_eq!((at(least, &shop), at(least - 1, &shop)), (Verdict::Yes, Verdict::No));
        shop.clearance.least_tongue = Some(Length::from_nm(2_000_000));
        assert_eq!((at(2_000_000, &shop), at(1_999_999, &shop)), (Verdict::Yes, Verdict::No));
    }
    // A sixty-fourth of an inch is no tongue.
    let door = laid(plain(|spec| spec.slats.rabbet_depth = inches("23/64")), &geometry_support::shop(), Units::Inch);
    assert!(!door.fits());
    let said = of(&door, Check::TongueThickness, CheckItem::Slat).advice.clone().unwrap();
    assert!(said.contains("at most 7/32 in deep"), "{said}");
    assert!(door.fixes.iter().any(|fix| fix.text == "rabbet depth: 7/32 in; now 23/64 in"), "{:?}", door.fixes);
}

#[test]
fn a_panel_keeps_half_of_itself_behind_a_groove() {
    let mut dice = Dice::new(14);
    for n in 0..40 {
        let depth = Length::from_nm(dice.between(5_000_000, 14_000_000));
        let at = |panel: Panel| {
            let spec = plain(|spec| {
                spec.groove.depth = depth;
                spec.groove.panel = panel;
                spec.slats.rabbet_length = depth + inches("1/4");
            });
            of(&laid(spec, &geometry_support::shop(), both_units(n)), Check::PanelThickness, CheckItem::Door).verdict
        };
        assert_eq!(at(Panel::Given(depth * 2)), Verdict::Yes);
        assert_eq!(at(Panel::Given(depth * 2 - HAIR)), Verdict::No);
        // What the job does not say is no ground for refusal.
        assert_eq!(at(Panel::Usual(depth * 2)), Verdict::Yes);
        assert_eq!(at(Panel::Usual(depth * 2 - HAIR)), Verdict::Note);
    }
}

#[test]
fn a_thicker_lead_slat_has_its_own_rabbet_and_its_own_room() {
    let spec = |thick: Length, inset: Length, fitted: LeadFitted| {
        plain(|spec| {
            spec.slats.lead_thickness = thick;
            spec.slats.lead_fitted = fitted;
            let DoorTrack::Case { side_inset, .. } = &mut spec.track else { panic!("a case") };
            *side_inset = inset;
        })
    };
    let shop = geometry_support::shop();
    // By hand: 9/16 thick, a tongue of 5/32: 13/32 of rabbet. 1/8 + 13/32 = 17/32 of room beside the groove.
    let door = laid(spec(inches("9/16"), inches("3/4"), LeadFitted::Before), &shop, Units::Inch);
    let rabbet = of(&door, Check::LeadRabbet, CheckItem::Lead);
    assert_eq!((rabbet.needed, rabbet.verdict), (Figure::Length(inches("13/32")), Verdict::Note));
    assert_eq!(door.details.lead_rabbet, Some(inches("13/32")));
    let mut dice = Dice::new(15);
    for _ in 0..60 {
        let thick = Length::from_nm(dice.between(9_600_000, 20_000_000));
        let least = inches("1/8") + thick - inches("5/32");
        let verdict = |inset: Length, fitted| {
            found(&laid(spec(thick, inset, fitted), &shop, Units::Inch), Check::CaseRoom, CheckItem::Lead)
                .map(|row| row.verdict)
        };
        assert_eq!(verdict(least, LeadFitted::Before), Some(Verdict::Yes), "{thick:?}");
        assert_eq!(verdict(least - HAIR * 10, LeadFitted::Before), Some(Verdict::No), "{thick:?}");
        // Fitted after loading it never passes the side.
        assert_eq!(verdict(least - HAIR * 10, LeadFitted::After), None);
    }
}

/// A bare end turns outwards: the reach is no less than that of any pose of the lead slat in a straight groove.
#[test]
fn a_bare_lead_end_reaches_as_far_as_it_can_turn() {
    let mut dice = Dice::new(16);
    for _ in 0..200 {
        let (tau, play) = (dice.between(30, 60) as f64 / 10.0, dice.between(2, 20) as f64 / 10.0);
        let (width, left) = (dice.between(30, 60) as f64, dice.between(12, 28) as f64);
        let thick = tau + dice.between(10, 80) as f64 / 10.0;
        let lead = slatwright::doors::yaw::LeadInGroove {
            groove: tau + play,
            tongue: slatwright::doors::groove_need::Tongue { thickness: tau, offset: 0.0 },
            width,
            thickness: thick,
            tongue_length: left,
            bare: 0.0,
            slats_behind: 0.0,
        };
        let reach = lead.reach_loading(None);
        assert!(reach <= lead.face_corner_reach() + 1e-12);
        let mut most = 0.0f64;
        for step in 0..=4_000 {
            let yaw = f64::from(step) / 4_000.0;
            let (sine, cosine) = yaw.sin_cos();
            // Its tongue's four corners, the outer face against the outer wall, must stay within the groove.
            if left * sine + tau * cosine <= lead.groove {
                // Outer wall at G/2; the tongue's outer leading corner lies on it, the face corner k out and o ahead.
                most = most.max(lead.groove / 2.0 + (width - left) * sine + (thick - tau) * cosine);
            }
        }
        assert!(reach >= most - 1e-9, "{reach} {most}");
        assert!(reach <= most + 0.01, "{reach} {most}");
    }
}

#[test]
fn a_late_lead_slat_gets_in_or_it_is_said_by_how_much_it_does_not() {
    let mut dice = Dice::new(17);
    let late = |change: &dyn Fn(&mut DoorSpec)| {
        plain(|spec| {
            spec.slats.lead_fitted = LeadFitted::After;
            change(spec);
        })
    };
    for n in 0..40 {
        // The slat is as long as the space between and both grooves, less the play: one end first it goes in when the
        // play is no less than a groove.
        let depth = Length::from_nm(dice.between(5_000_000, 9_000_000));
        let at = |play: Length| {
            let mut shop = geometry_support::shop();
            shop.clearance.end_play = play;
            let spec = late(&|spec| spec.groove.depth = depth);
            of(&laid(spec, &shop, both_units(n)), Check::LeadEntry, CheckItem::Lead).verdict
        };
        assert_eq!((at(depth), at(depth - HAIR)), (Verdict::Yes, Verdict::No));
    }
    let shop = geometry_support::shop();
    // By hand: 28-9/16 long, 28-5/16 go in: 1/4 too long.
    let door = laid(late(&|_| ()), &shop, Units::Inch);
    let row = of(&door, Check::LeadEntry, CheckItem::Lead);
    assert_eq!(row.needed, Figure::Length(inches("28-9/16")));
    assert_eq!(row.available, Figure::Length(limits::longest_end_first(inches("28"), inches("5/16"))));
    assert!(row.advice.clone().unwrap().contains("it is 1/4 in too long"), "{row:?}");
    assert!(!door.fits());
    // A notch lets it in where the front run holds one; a lead slat without a tongue is screwed on.
    let notched = laid(late(&|spec| spec.slats.lead_entry = Some(LeadEntry::Notch)), &shop, Units::Inch);
    let row = of(&notched, Check::LeadEntry, CheckItem::Lead);
    assert_eq!((row.verdict, row.needed), (Verdict::Note, Figure::Length(inches("1-5/32"))));
    assert!(notched.fits(), "{:#?}", notched.checks);
    assert!(notched.details.loading.iter().any(|step| step.contains("notch (1-5/32 in long)")));
    let bare = laid(late(&|spec| spec.slats.lead_tongue = Some(Length::ZERO)), &shop, Units::Inch);
    assert_eq!(of(&bare, Check::LeadEntry, CheckItem::Lead).verdict, Verdict::Yes);
    assert!(bare.fits() && bare.details.loading.iter().any(|step| step.contains("screw")), "{:#?}", bare.checks);
    assert!(found(&bare, Check::LeadTongue, CheckItem::Lead).is_none());
    // Loaded with the door there is nothing to ask.
    assert!(found(&laid(plain(|_| ()), &shop, Units::Inch), Check::LeadEntry, CheckItem::Lead).is_none());
}

#[test]
fn sag_is_judged_by_the_span() {
    let mut seen = [0; 3];
    for width in (16..=90).step_by(if all_cases() { 2 } else { 6 }) {
        let mut track = case(Hand::Up);
        let DoorTrack::Case { inside, .. } = &mut track else { panic!("a case") };
        inside.width = Length::from_inches(width);
        let mut spec = door(track, slats());
        spec.between = Length::from_inches(width);
        for thick in ["3/8", "1/2"] {
            spec.slats.thickness = inches(thick);
            spec.slats.lead_thickness = inches(thick);
            spec.slats.rabbet_depth = inches(thick) - inches("13/64");
            let door = laid(spec.clone(), &geometry_support::shop(), Units::Inch);
            let sag = door.details.feel.as_ref().unwrap().sag.unwrap();
            let row = of(&door, Check::Sag, CheckItem::Slat);
            // An eighth, or a three-hundredth of the span; the liner's room is 3/8.
            let allowed = inches("1/8").mm_f64().min(f64::from(u32::try_from(width).unwrap()) * 25.4 / 300.0);
            let expected = match sag.mm_f64() {
                sag if sag > 0.375 * 25.4 => Verdict::No,
                sag if sag > allowed => Verdict::Note,
                _ => Verdict::Yes,
            };
            assert_eq!(row.verdict, expected, "{width} {sag:?}");
            seen[expected as usize] += 1;
        }
    }
    assert!(seen.iter().all(|n| *n > 0), "{seen:?}");
}

#[test]
fn rabbets_in_both_faces_leave_the_tongue_between() {
    let both = |show: &str, back: &str| {
        plain(|spec| {
            spec.slats.rabbet_face = RabbetFace::Both;
            (spec.slats.rabbet_depth, spec.slats.back_rabbet_depth) = (inches(show), inches(back));
        })
    };
    let shop = geometry_support::shop();
    let door = laid(both("9/64", "5/64"), &shop, Units::Inch);
    assert_eq!(door.tongue, inches("5/32"));
    // By hand, the widest slat 5/8, R 3, e 5/64: 5/32 + (5/8)^2 / (4 (6 - 5/32 - 5/32)).
    let need = 0.15625 + 0.390_625 / (4.0 * (6.0 - 0.3125));
    let Figure::Length(needed) = of(&door, Check::GrooveWidth, CheckItem::Slat).needed else { panic!("a length") };
    assert!((needed.mm_f64() / 25.4 - need).abs() < 1e-6, "{needed:?} {need}");
    // The face stands by the back rabbet less in front.
    let row = of(&door, Check::ShowFace, CheckItem::Slat);
    assert_eq!(row.needed, Figure::Length(inches("19/64") - inches("5/64")));
    // Either face alone is a case of both.
    let ends = [("7/32", "0", RabbetFace::Show), ("0", "7/32", RabbetFace::Back)];
    for (show, back, face) in ends {
        let one = laid(plain(|spec| spec.slats.rabbet_face = face), &shop, Units::Inch);
        assert_eq!(laid(both(show, back), &shop, Units::Inch).checks, one.checks, "{face:?}");
    }
}

#[test]
fn a_lead_tongue_in_the_middle_guides_to_its_leading_end() {
    let mut spec = plain(|spec| {
        spec.slats.lead_width = inches("2-1/2");
        spec.slats.lead_tongue = Some(inches("1-1/2"));
    });
    let shop = geometry_support::shop();
    let hinge = laid(spec.clone(), &shop, Units::Inch);
    spec.slats.lead_tongue_at = LeadTongueAt::Middle;
    let middle = laid(spec, &shop, Units::Inch);
    // F with W = 1-1/2 at the hinge, (2-1/2 + 1-1/2)/2 = 2 in the middle: 5/32 + W^2 / (4 (6 - 5/32)).
    for (door, guided) in [(&hinge, 1.5), (&middle, 2.0)] {
        let Figure::Length(needed) = of(door, Check::GrooveWidth, CheckItem::Lead).needed else { panic!("a length") };
        let need = 0.15625 + guided * guided / (4.0 * (6.0 - 0.15625));
        assert!((needed.mm_f64() / 25.4 - need).abs() < 1e-6, "{needed:?} {need}");
    }
}

#[test]
fn bevels_leave_grooves_between_the_slats() {
    let figure = |bevel: f64| {
        let mut bevelled = slats();
        bevelled.edge_bevel = bevel;
        let track = path(vec![straight("60")], "17-1/2", "14");
        laid(door(track, bevelled), &geometry_support::shop(), Units::Inch).details.v_groove
    };
    // 2 x 3/8 x tan 6 = 0.0788.
    let width = figure(6.0).unwrap().mm_f64() / 25.4;
    assert!((width - 0.75 * 6.0f64.to_radians().tan()).abs() < 1e-6, "{width}");
    assert_eq!(figure(0.0), None);
}

#[test]
fn a_block_between_the_leads_takes_half_its_thickness_from_each_travel() {
    let spec = |block: &str| {
        plain(|spec| {
            let DoorTrack::Case { middle_block, .. } = &mut spec.track else { panic!("a case") };
            *middle_block = inches(block);
        })
    };
    let shop = geometry_support::shop();
    let (none, half_inch) = (laid(spec("0"), &shop, Units::Inch), laid(spec("1/2"), &shop, Units::Inch));
    assert_eq!(none.travel - half_inch.travel, inches("1/4"));
    assert_eq!(none.cover - half_inch.cover, inches("1/4"));
    let stop = |door: &Door, name: &str| door.stops.iter().find(|stop| stop.name == name).unwrap().clone();
    assert_eq!(stop(&half_inch, "closing stop").distance, inches("17-3/4"));
    assert_eq!(stop(&half_inch, "closing stop").length, Some(inches("1/2")));
    // Open, the lead edge stands where it did: one lead slat before the corner.
    assert_eq!(stop(&half_inch, "opening stop").distance, stop(&none, "opening stop").distance);
    // The tails still have half the back each.
    assert_eq!(none.path[4..], half_inch.path[4..]);
}

#[test]
fn a_gap_at_the_canvas_takes_its_place_in_count_length_and_tail() {
    let spec = |gap: &str, width: &str| {
        plain(|spec| {
            spec.slats.canvas_gap = inches(gap);
            spec.slats.width = inches(width);
        })
    };
    let shop = geometry_support::shop();
    let door = laid(spec("1/16", "5/8"), &shop, Units::Inch);
    // Cover 14-1/4 + 4.712, overlap 1-1/4, less the lead slat of 1-1/8: 19.087 takes 28 pitches of 11/16, 31 slats without.
    assert_eq!((door.slats, laid(spec("0", "5/8"), &shop, Units::Inch).slats), (28, 31));
    assert_eq!(door.door_length, inches("1-1/8") + inches("11/16") * 28);
    assert_eq!(door.cloth_along_travel, inches("11/16") * 28 + inches("1"));
    // On a straight track slats and gaps lie as wider slats would.
    let straight_door = |gap: &str, width: &str| {
        let mut slats = slats();
        (slats.canvas_gap, slats.width) = (inches(gap), inches(width));
        laid(geometry_support::door(path(vec![straight("60")], "20", "12"), slats), &shop, Units::Inch)
    };
    let stow = |door: &Door| of(door, Check::Stow, CheckItem::Door).needed;
    assert_eq!(stow(&straight_door("1/16", "5/8")), stow(&straight_door("0", "11/16")));
}

#[test]
fn a_gap_at_the_canvas_eases_a_reverse_bend() {
    let needed = |gap: &str| {
        let reverse = vec![straight("16"), arc("4", 60.0, true), straight("3"), arc("4", 60.0, false), straight("20")];
        let mut spaced = slats();
        spaced.canvas_gap = inches(gap);
        let door = laid(door(path(reverse, "17-1/2", "14"), spaced), &geometry_support::shop(), Units::Inch);
        let Figure::Degrees(needed) = of(&door, Check::EdgeBevel, CheckItem::Slat).needed else { panic!("an angle") };
        needed
    };
    assert!((needed("0") - 4.43).abs() < 0.01, "{}", needed("0"));
    assert!(needed("1/32") < needed("0") && needed("1/32") > 0.0, "{}", needed("1/32"));
    assert!(needed("1/8") <= 0.0);
}

/// Fitted after loading a lead slat needs no bevel for a bend it never meets, and needs it for one it does.
#[test]
fn a_late_lead_slat_is_bevelled_for_the_bends_it_meets() {
    let row = |travel: &str, fitted: LeadFitted| {
        let track = vec![straight("16"), arc("4", 60.0, false), straight("30")];
        let mut late = slats();
        (late.edge_bevel, late.lead_fitted) = (5.0, fitted);
        late.lead_entry = (fitted == LeadFitted::After).then_some(LeadEntry::Notch);
        let door = laid(door(path(track, "17-1/2", travel), late), &geometry_support::shop(), Units::Inch);
        found(&door, Check::EdgeBevel, CheckItem::Lead).map(|row| row.verdict)
    };
    assert_eq!(row("14-3/4", LeadFitted::After), None);
    assert_eq!(row("15", LeadFitted::After), Some(Verdict::No));
    assert_eq!(row("14-3/4", LeadFitted::Before), Some(Verdict::No));
}
