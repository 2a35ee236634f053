//! Pulls that lock a door instead of moving it: each rule at its edge, and no word of it for ordinary doors.

use crate::geometry_support;

use crate::common::dice::Dice;
use geometry_support::{arc, case, door, inches, job, path, slats, straight};
use slatwright::doors::{Check, CheckItem, Door, Figure, FitCheck, Verdict, lay_out};
use slatwright::job::{DoorSpec, DoorTrack, Hand, LeadTongueAt};
use slatwright::measure::{Length, Units};

fn laid(spec: DoorSpec) -> Door {
    let mut job = job(vec![spec], 1);
    job.units = Units::Inch;
    lay_out(&job).remove(0)
}

fn found(door: &Door, check: Check) -> Option<&FitCheck> {
    door.checks.iter().find(|row| row.check == check)
}

#[track_caller]
fn of(door: &Door, check: Check) -> &FitCheck {
    found(door, check).unwrap_or_else(|| panic!("no {check} in {:#?}", door.checks))
}

#[test]
fn a_lead_slat_locks_where_less_of_it_is_guided_than_twice_friction_times_its_thickness() {
    let mut dice = Dice::new(21);
    for n in 0..60 {
        let thick = dice.between(9_600_000, 25_000_000);
        // Twice .4 of the thickness, in whole nanometres.
        let least = (thick * 4 + 4) / 5;
        let at = |tongue: i64| {
            let mut spec = door(path(vec![straight("90")], "20", "12"), slats());
            (spec.slats.thickness, spec.slats.lead_thickness) = (Length::from_nm(thick), Length::from_nm(thick));
            spec.slats.rabbet_depth = Length::from_nm(thick - 4_000_000);
            spec.slats.lead_width = inches("1-1/4");
            spec.slats.lead_tongue = Some(Length::from_nm(tongue));
            of(&laid(spec), Check::LeadLock).clone()
        };
        assert_eq!(at(least + 2).verdict, Verdict::Yes, "{thick}");
        let short = at(least - 2);
        assert_eq!((short.verdict, short.item), (Verdict::Note, CheckItem::Lead), "{n}: {thick}");
        assert!(short.advice.unwrap().contains("turns and locks on bare wood"));
    }
    // By hand: 3/4 thick asks for .6; left in the middle of 2 in, 3/8 guides to (2 + 3/8)/2 = 1-3/16.
    let mut spec = door(case(Hand::PairLeft), slats());
    (spec.slats.lead_thickness, spec.slats.lead_width) = (inches("3/4"), inches("2"));
    spec.slats.lead_tongue = Some(inches("3/8"));
    let hinge = laid(spec.clone());
    let row = of(&hinge, Check::LeadLock);
    assert_eq!((row.needed, row.verdict), (Figure::Length(Length::from_nm(15_240_000)), Verdict::Note));
    spec.slats.lead_tongue_at = LeadTongueAt::Middle;
    let middle = laid(spec);
    assert_eq!(of(&middle, Check::LeadLock).available, Figure::Length(inches("1-3/16")));
    assert_eq!(of(&middle, Check::LeadLock).verdict, Verdict::Yes);
}

/// A straight track: the door locks where it is shorter than friction times its height, to a hair.
#[test]
fn a_door_on_a_straight_track_locks_where_it_is_shorter_than_friction_times_its_height() {
    let mut dice = Dice::new(22);
    for _ in 0..40 {
        let mut spec = door(path(vec![straight("90")], "8", "6"), slats());
        spec.slats.width = Length::from_nm(dice.between(12_000_000, 25_000_000));
        let plain = laid(spec.clone());
        let long = plain.door_length;
        // Friction .4 of the height is the length of the door.
        let tall = Length::from_nm(long.nm() * 5 / 2);
        let verdict = |between: Length| {
            let mut spec = spec.clone();
            spec.between = between;
            of(&laid(spec), Check::Racking).verdict
        };
        assert_eq!(verdict(tall - Length::from_nm(50)), Verdict::Yes, "{long:?}");
        assert_eq!(verdict(tall + Length::from_nm(50)), Verdict::Note, "{long:?}");
    }
    // By hand: 10 long and 28 high wants 11.2; pulled at 10/.8 = 12-1/2 or lower it moves.
    let mut spec = door(path(vec![straight("40")], "8", "6"), slats());
    (spec.between, spec.slats.width, spec.slats.lead_width) = (inches("28"), inches("1"), inches("2"));
    let short = laid(spec);
    assert_eq!(short.door_length, inches("10"));
    let row = of(&short, Check::Racking);
    assert_eq!((row.needed, row.available), (Figure::Length(inches("11.2")), Figure::Length(inches("10"))));
    let said = row.advice.clone().unwrap();
    assert!(said.contains("at most 12-1/2 in above the bottom groove, or wax the grooves"), "{said}");
}

/// A bend takes over where its walls bear first, and a slight one does not hold.
#[test]
fn a_bend_holds_by_its_sine() {
    let row = |degrees: f64| {
        let track = vec![straight("6"), arc("6", degrees, true), straight("40")];
        let mut spec = door(path(track, "8", "1"), slats());
        spec.between = inches("60");
        of(&laid(spec), Check::Racking).clone()
    };
    // 60 high: 24 are needed. Beyond a bend of 23 degrees 60 sin 23 = 23.44 bear, of 24 degrees 24.40.
    let (slight, enough) = (row(23.0), row(24.0));
    assert_eq!((slight.verdict, enough.verdict), (Verdict::Note, Verdict::Yes), "{slight:?} {enough:?}");
    let Figure::Length(lever) = slight.available else { panic!("a length") };
    assert!((lever.mm_f64() - 60.0 * 25.4 * 23.0f64.to_radians().sin()).abs() < 1e-6, "{lever:?}");
}

#[test]
fn ordinary_doors_are_not_noted() {
    let mut dice = Dice::new(23);
    for n in 0..200 {
        let hand = [Hand::PairLeft, Hand::Left, Hand::Right, Hand::Up][n % 4];
        let mut track = case(hand);
        let DoorTrack::Case { inside, .. } = &mut track else { panic!("a case") };
        inside.width = Length::from_inches(dice.between(24, 60));
        inside.height = Length::from_inches(dice.between(16, 60));
        let mut spec = door(track, slats());
        spec.between = Length::from_inches(dice.between(12, 72));
        let door = laid(spec);
        assert_eq!(of(&door, Check::LeadLock).verdict, Verdict::Yes);
        match found(&door, Check::Racking) {
            Some(row) => assert_eq!(row.verdict, Verdict::Yes, "{hand:?} {row:?}"),
            None => assert_eq!(hand, Hand::Up),
        }
    }
}
