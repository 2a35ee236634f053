//! Cabinets, tracks and slats.

use slatwright::job::{self, DoorTrack, Hand, LeadFitted, Millings, Panel, RabbetFace, Runs, Segment};
use slatwright::measure::{Length, Units};

use crate::job_files::texts::{CASE, SLATS, STRIP, default_of, read, sixty_fourths, sources};

#[test]
fn doors_of_a_case_are_named_and_carried_by_the_right_faces() {
    for (word, names, hands, between) in [
        ("left", &["press door"][..], &[Hand::Left][..], 28),
        ("right", &["press door"], &[Hand::Right], 28),
        ("pair", &["press left", "press right"], &[Hand::PairLeft, Hand::PairRight], 28),
        ("up", &["press door"], &[Hand::Up], 36),
    ] {
        let job = read(&[SLATS, CASE, &format!("doors = \"{word}\"\nside_inset = 1\n")]);
        let doors = &job.cabinets[0].doors;
        assert_eq!(doors.iter().map(|door| door.name.as_str()).collect::<Vec<_>>(), names, "{word}");
        for (door, hand) in doors.iter().zip(hands) {
            assert_eq!(door.between, Length::from_inches(between), "{word}");
            let DoorTrack::Case { hand: found, setback, side_inset, back_inset, .. } = &door.track else { panic!() };
            assert_eq!(found, hand);
            assert_eq!(
                (*setback, *side_inset, *back_inset),
                (sixty_fourths(48), Length::from_inches(1), sixty_fourths(48))
            );
        }
    }
}

#[test]
fn a_track_is_read_in_order_and_bends_both_ways() {
    let job = read(&[
        SLATS,
        "[[track]]\nname = \"s\"\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\npath = [ { straight = 14.25 }, ",
        "{ arc = \"3\", angle = 90 }, { arc = 4, angle = 22.5, canvas = \"outside\" } ]\n",
        "[[cabinet]]\nname = \"corner\"\ncount = 3\n[[cabinet.door]]\nname = \"left\"\ntrack = \"s\"\nbetween = 28\n",
        "cover = \"17-1/2\"\ntravel = 12\n",
    ]);
    assert_eq!((job.cabinets[0].count, job.cabinets[0].inside), (3, None));
    let door = &job.cabinets[0].doors[0];
    assert_eq!(door.name, "corner left");
    let DoorTrack::Path { path, cover, travel, .. } = &door.track else { panic!() };
    let arc =
        |inches, degrees, canvas_inside| Segment::Arc { radius: Length::from_inches(inches), degrees, canvas_inside };
    assert_eq!(path, &[Segment::Straight(sixty_fourths(912)), arc(3, 90.0, true), arc(4, 22.5, false)]);
    assert_eq!((*cover, *travel), (sixty_fourths(1120), Length::from_inches(12)));
}

#[test]
fn a_track_that_runs_up_says_how_steeply() {
    let track = |more: &str| {
        let door =
            "[[cabinet]]\nname = \"c\"\ncount = 1\n[[cabinet.door]]\nname = \"d\"\ntrack = \"t\"\nbetween = 28\n";
        let track = "[[track]]\nname = \"t\"\ngroove_width = 0.25\ngroove_depth = 0.3\npath = [{ straight = 40 }]\n";
        format!("{SLATS}{track}{more}\n{door}cover = 17\ntravel = 12\n")
    };
    let runs = |more: &str| {
        let job = read(&[&track(more)]);
        let DoorTrack::Path { runs, .. } = job.cabinets[0].doors[0].track.clone() else { panic!() };
        runs
    };
    assert_eq!(runs(""), Runs::Level);
    assert_eq!(runs("runs = \"up\""), Runs::Up { first_slope: 90.0 });
    assert_eq!(runs("runs = \"up\"\nfirst_slope = 30"), Runs::Up { first_slope: 30.0 });
    for level in ["first_slope = 30", "runs = \"level\"\nfirst_slope = 30"] {
        let text = format!("units = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n{}", track(level));
        let problems = format!("{:?}", job::parse(&sources(&text)).unwrap_err());
        assert!(problems.contains("a first slope of 30 degrees, but the track does not run up"), "{problems}");
    }
}

/// The bounds themselves are good: half the groove for a radius, the full lead slat for its tongue, half a turn.
#[test]
fn figures_on_their_bounds_are_taken() {
    let job = read(&[
        SLATS,
        "lead_tongue = \"1-1/8\"\nlead_thickness = \"5/32\"\nedge_bevel = 0\nedge_chamfer = \"1/4\"\n",
        "[[track]]\nname = \"t\"\ngroove_width = \"3/16\"\ngroove_depth = \"5/16\"\n",
        "path = [{ straight = 20 }, { arc = \"3/32\", angle = 180 }, { arc = 1, angle = 0.5 }]\n",
        "[[cabinet]]\nname = \"c\"\ncount = 3000\n",
        "[[cabinet.door]]\nname = \"d\"\ntrack = \"t\"\nbetween = 28\ncover = 17\ntravel = 12\n",
        STRIP.replace("14", "100000").as_str(),
        "[spares]\nreject_rate = 0.9\nconfidence = 0\n",
    ]);
    let shop = "[cutting]\nmin_blank = 12\nmax_blank = 12\n[cloth]\nend_clear = \"1/2\"\n";
    let text = format!("units = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\nshop = \"s\"\n{SLATS}{CASE}");
    let shop = job::parse(&sources(&format!("{text}doors = \"up\"\n")).with("jobs/s", shop)).unwrap().shop;
    assert_eq!(shop.cutting.max_blank, Some(shop.cutting.min_blank));
    assert_eq!((job.cabinets[0].count, job.strips[0].quantity), (3_000, 100_000));
}

#[test]
fn a_cabinet_and_a_door_carry_slats_of_their_own() {
    let job = read(&[
        SLATS,
        "milling = \"any\"\n",
        "[[track]]\nname = \"t\"\ngroove_width = 0.25\ngroove_depth = 0.3\npath = [{ straight = 40 }]\n",
        "[[cabinet]]\nname = \"own\"\nslats = { species = \"walnut\", lead_fitted = \"after\" }\n",
        "[[cabinet.door]]\nname = \"a\"\ntrack = \"t\"\nbetween = 28\ncover = 17\ntravel = 12\n",
        "slats = { width = \"3/4\", lead_tongue = 1 }\n",
        "[[cabinet.door]]\nname = \"b\"\ntrack = \"t\"\nbetween = 28\ncover = 17\ntravel = 12\n",
        CASE,
        "doors = \"left\"\n[cabinet.slats]\nmilling = \"edge\"\n",
    ]);
    let slats: Vec<_> = job.cabinets.iter().flat_map(|cabinet| &cabinet.doors).map(|door| &door.slats).collect();
    let woods: Vec<_> = slats.iter().map(|slats| slats.species.name()).collect();
    assert_eq!(woods, ["black walnut", "black walnut", "black cherry"]);
    let widths: Vec<_> = slats.iter().map(|slats| slats.width).collect();
    assert_eq!(widths, [sixty_fourths(48), sixty_fourths(40), sixty_fourths(40)]);
    let millings: Vec<_> = slats.iter().map(|slats| slats.milling).collect();
    assert_eq!(millings, [Millings::Any, Millings::Any, Millings::Edge]);
    assert_eq!(slats[0].lead_tongue, Some(Length::from_inches(1)));
    assert_eq!((slats[1].lead_tongue, slats[1].lead_thickness), (None, sixty_fourths(24)));
    assert_eq!([slats[0].lead_fitted, slats[2].lead_fitted], [LeadFitted::After, LeadFitted::Before]);
}

/// The nearest table wins, key by key: the door's, then the cabinet's, then the job's.
#[test]
fn every_key_of_the_slats_can_be_the_doors_own() {
    let keys = [
        ("species", "\"cherry\"", "\"walnut\""),
        ("width", "1", "2"),
        ("thickness", "0.5", "0.52"),
        ("lead_width", "3", "4"),
        ("lead_thickness", "0.6", "0.8"),
        ("lead_tongue", "1.5", "2.5"),
        ("lead_tongue_at", "\"hinge\"", "\"middle\""),
        ("lead_fitted", "\"before\"", "\"after\""),
        ("rabbet_depth", "0.3", "0.32"),
        ("rabbet_length", "1", "2"),
        ("rabbet_face", "\"show\"", "\"back\""),
        ("milling", "\"flat\"", "\"any\""),
        ("edge_bevel", "1", "2"),
        ("edge_chamfer", "0.03", "0.05"),
        ("canvas_gap", "0", "0.05"),
    ];
    let table = |own: &dyn Fn(usize) -> bool| {
        keys.iter().enumerate().fold(String::new(), |text, (at, (key, job, door))| {
            format!("{text}{key} = {}\n", if own(at) { door } else { job })
        })
    };
    let spec = |job: &str, cabinet: &str| {
        let text = [job, CASE, "doors = \"left\"\n[cabinet.slats]\n", cabinet];
        read(&text).cabinets[0].doors[0].slats.clone()
    };
    let plain = spec(&format!("[slats]\n{}", table(&|_| false)), "");
    let all = spec(&format!("[slats]\n{}", table(&|_| true)), "");
    assert_eq!(spec(&format!("[slats]\n{}", table(&|_| false)), &table(&|_| true)), all);
    assert_eq!(spec(&format!("[slats]\n{}", table(&|_| true)), &table(&|_| false)), plain);
    for (at, (key, _, door)) in keys.iter().enumerate() {
        let one = spec(&format!("[slats]\n{}", table(&|other| other == at)), "");
        assert_ne!(one, plain, "{key} changes nothing");
        let own = format!("{key} = {door}\n");
        assert_eq!(spec(&format!("[slats]\n{}", table(&|_| false)), &own), one, "{key}");
    }
}

#[test]
fn rabbets_in_both_faces_a_late_lead_slat_and_a_middle_block() {
    let slats = SLATS.replace("rabbet_face", "# rabbet_face");
    let own = "rabbet_face = \"both\"\nback_rabbet_depth = \"1/32\"\nlead_fitted = \"after\"\nlead_tongue = 0\n";
    let job = read(&[&slats, own, CASE, "panel_thickness = 1\nmiddle_block = \"1/4\"\ndoors = \"pair\"\n"]);
    let door = &job.cabinets[0].doors[0];
    assert_eq!((door.slats.rabbet_face, door.slats.back_rabbet_depth), (RabbetFace::Both, sixty_fourths(2)));
    assert_eq!((door.slats.lead_tongue, door.slats.lead_entry), (Some(Length::ZERO), None));
    assert_eq!(door.groove.panel, Panel::Given(Length::from_inches(1)));
    assert!(matches!(door.track, DoorTrack::Case { middle_block, .. } if middle_block == sixty_fourths(16)));
    let silent = read(&[SLATS, CASE, "doors = \"pair\"\n"]);
    assert_eq!(silent.cabinets[0].doors[0].groove.panel, Panel::Usual(sixty_fourths(48)));
    assert!(default_of(&silent, "panel_thickness").is_some());
    assert_eq!(silent.shop.clearance.front_wall, sixty_fourths(12));
    assert_eq!(silent.shop.clearance.least_tongue, None);
    assert_eq!(silent.shop.dxf_units, Units::Millimetre);
}
