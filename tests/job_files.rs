//! What good files mean: defaults, inheritance, the two forms of doors, spares, stock and prices.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use slatwright::files::{Sources, starter};
use slatwright::job::{
    self, DoorTrack, EndClear, Hand, Job, LeadFitted, Millings, Order, OrderRule, Overlap, Segment, SpareRate,
};
use slatwright::measure::{Length, Ratio, Units};

const BOARDS: &str = "stock,species,thickness,width,length,on_hand,price,per\n\
    a,cherry,4/4,6,96,,9.85,bf\nb,walnut,4/4,6,96,2,,\n";
const CLOTH: &str = "bolt,width,selvage,on_hand_length,price,per,increment\nduck,60,0.5,,11.90,yard,9\n";
const SLATS: &str = "[slats]\nspecies = \"cherry\"\nwidth = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\n\
    rabbet_depth = \"7/32\"\nrabbet_length = \"3/8\"\n";
const CASE: &str = "[[cabinet]]\nname = \"press\"\ninside_width = 36\ninside_depth = 15.5\ninside_height = 28\n\
    setback = \"3/4\"\ncorner_radius = 3\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";
const STRIP: &str =
    "[[strip]]\nname = \"edging\"\nspecies = \"cherry\"\nlength = 31\nwidth = 0.75\nthickness = 0.375\nquantity = 14\n";

fn sources(job: &str) -> Sources {
    Sources::in_memory("jobs/hall.toml", job).with("jobs/boards.csv", BOARDS).with("jobs/cloth.csv", CLOTH)
}

/// A job of these parts, in inches, with boards and cloth.
fn read(parts: &[&str]) -> Job {
    let head = "name = \"hall\"\nunits = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n";
    let text = format!("{head}{}", parts.join(""));
    job::parse(&sources(&text)).unwrap_or_else(|problems| panic!("{problems}"))
}

fn default_of<'a>(job: &'a Job, key: &str) -> Option<(&'a str, &'a str)> {
    job.defaults.iter().find(|used| used.key == key).map(|used| (used.value.as_str(), used.reason.as_str()))
}

fn sixty_fourths(n: i64) -> Length {
    Length::from_64ths(n)
}

#[test]
fn a_shop_that_says_nothing_works_by_the_listed_defaults() {
    let job = read(&[SLATS, CASE, "doors = \"pair\"\n"]);
    let cutting = job.shop.cutting;
    assert_eq!([cutting.rip_kerf, cutting.crosscut_kerf, cutting.resaw_kerf], [sixty_fourths(8); 3]);
    assert_eq!(cutting.end_trim, sixty_fourths(96));
    assert_eq!((cutting.edge_trim_crosscut, cutting.edge_trim_rip), (sixty_fourths(16), sixty_fourths(32)));
    assert_eq!((cutting.hold_width, cutting.length_trim), (sixty_fourths(48), sixty_fourths(32)));
    assert_eq!((cutting.rip_trim, cutting.edge_clean), (Length::ZERO, sixty_fourths(2)));
    assert_eq!((cutting.face_trim_thin, cutting.face_trim_thick), (sixty_fourths(6), sixty_fourths(8)));
    assert_eq!((cutting.resaw, cutting.leaf_trim), (false, sixty_fourths(4)));
    assert_eq!((cutting.min_blank, cutting.max_blank), (Length::from_inches(12), None));
    assert_eq!(cutting.order, OrderRule::Only(Order::CrosscutFirst));
    let clearance = job.shop.clearance;
    assert_eq!((clearance.running, clearance.end_play), (sixty_fourths(2), sixty_fourths(4)));
    assert_eq!((clearance.shoulder, clearance.lead_trim), (sixty_fourths(2), sixty_fourths(8)));
    assert_eq!(clearance.overlap, Overlap::Slats(2));
    let canvas = job.shop.canvas;
    assert_eq!((canvas.end_clear, canvas.tail_clear), (EndClear::Auto, sixty_fourths(16)));
    assert_eq!((canvas.lead_lap, canvas.trim, canvas.turn), (sixty_fourths(16), sixty_fourths(32), false));
    assert_eq!(job.spares.rate, SpareRate::RejectRate(Ratio::percent(15.into()).unwrap()));
    assert_eq!(job.spares.confidence, Ratio::percent(95.into()).unwrap());
    assert_eq!((job.spares.setup_strips, job.spares.repair_strips), (2, 1));
    let practice = "common practice, no source";
    assert_eq!(default_of(&job, "[cutting] rip_kerf"), Some(("1/8 in", practice)));
    assert_eq!(default_of(&job, "[spares] reject_rate"), Some(("0.15", practice)));
    assert!(default_of(&job, "[clearance] end_play").unwrap().1.starts_with("published: "));
    assert!(
        job.defaults
            .iter()
            .all(|used| used.reason.contains(practice) || used.reason.starts_with("published") || used.key == "name")
    );
}

#[test]
fn a_default_that_nothing_uses_is_not_listed() {
    let job = read(&[STRIP]);
    for key in
        ["[clearance] running", "[canvas] trim", "[slats] rabbet_face", "[cutting] edge_clean", "[cutting] resaw_kerf"]
    {
        assert_eq!(default_of(&job, key), None);
    }
    assert!(default_of(&job, "[cutting] rip_kerf").is_some());
    let edge = read(&[STRIP, "milling = \"edge\"\n"]);
    assert!(default_of(&edge, "[cutting] edge_clean").is_some());
    let cloth = read(&["[[cloth_piece]]\nname = \"panel\"\nalong = 20\nacross = 14\nquantity = 2\nturn = true\n"]);
    assert_eq!(cloth.defaults.iter().map(|used| used.key.as_str()).collect::<Vec<_>>(), ["currency"]);
}

#[test]
fn defaults_of_spares_are_listed_where_a_strip_takes_them() {
    let listed = |parts: &[&str]| {
        let job = read(parts);
        ["reject_rate", "confidence", "setup_strips", "repair_strips"]
            .into_iter()
            .filter(|key| default_of(&job, &format!("[spares] {key}")).is_some())
            .collect::<Vec<_>>()
    };
    assert_eq!(listed(&[STRIP]), ["reject_rate", "confidence", "setup_strips"]);
    assert_eq!(listed(&[STRIP, "spares = \"none\"\n"]), [""; 0]);
    assert_eq!(listed(&[STRIP, "spares = { percent = 10 }\n"]), ["setup_strips"]);
    assert_eq!(listed(&[STRIP, "spares = { reject_rate = 0.1 }\n"]), ["confidence", "setup_strips"]);
    assert_eq!(listed(&[STRIP, "[spares]\npercent = 25\n"]), ["setup_strips"]);
    assert_eq!(listed(&[STRIP, "[spares]\nnone = true\n"]), [""; 0]);
    let doors = listed(&[SLATS, CASE, "doors = \"pair\"\n"]);
    assert_eq!(doors, ["reject_rate", "confidence", "setup_strips", "repair_strips"]);
}

#[test]
fn a_value_that_is_given_is_no_default() {
    let shop = "[cutting]\nrip_kerf = \"3/32\"\nface_trim = \"1/16\"\nedge_trim = 0\norder = \"any\"\n\
        [clearance]\noverlap = \"1-1/2\"\n[canvas]\nend_clear = \"3/4\"\n";
    let head =
        "name = \"hall\"\nunits = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\nshop = \"../shop.toml\"\n";
    let sources = sources(&format!("{head}{SLATS}{CASE}doors = \"up\"\n")).with("jobs/../shop.toml", shop);
    let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
    let cutting = job.shop.cutting;
    assert_eq!(cutting.rip_kerf, sixty_fourths(6));
    assert_eq!([cutting.face_trim_thin, cutting.face_trim_thick], [sixty_fourths(4); 2]);
    assert_eq!([cutting.edge_trim_crosscut, cutting.edge_trim_rip], [Length::ZERO; 2]);
    assert_eq!(cutting.order, OrderRule::Any);
    assert_eq!(job.shop.clearance.overlap, Overlap::Length(sixty_fourths(96)));
    assert_eq!(job.shop.canvas.end_clear, EndClear::Given(sixty_fourths(48)));
    for key in ["rip_kerf", "order", "face_trim (under 8/4)", "edge_trim (rip first)", "edge_trim (crosscut first)"] {
        assert_eq!(default_of(&job, &format!("[cutting] {key}")), None);
    }
    assert_eq!(default_of(&job, "[clearance] overlap"), None);
}

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

/// The bounds themselves are good: half the groove for a radius, the full lead slat for its tongue, half a turn.
#[test]
fn figures_on_their_bounds_are_taken() {
    let job = read(&[
        SLATS,
        "lead_tongue = \"1-1/8\"\nlead_thickness = \"5/32\"\nedge_bevel = 0\nedge_chamfer = \"1/4\"\n",
        "[[track]]\nname = \"t\"\ngroove_width = \"3/16\"\ngroove_depth = \"5/16\"\n",
        "path = [{ straight = 20 }, { arc = \"3/32\", angle = 180 }, { arc = 1, angle = 0.5 }]\n",
        "[[cabinet]]\nname = \"c\"\ncount = 10000\n",
        "[[cabinet.door]]\nname = \"d\"\ntrack = \"t\"\nbetween = 28\ncover = 17\ntravel = 12\n",
        STRIP.replace("14", "100000").as_str(),
        "[spares]\nreject_rate = 0.9\nconfidence = 0\n",
    ]);
    let shop = "[cutting]\nmin_blank = 12\nmax_blank = 12\n[canvas]\nend_clear = \"1/2\"\n";
    let text = format!("units = \"in\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\nshop = \"s\"\n{SLATS}{CASE}");
    let shop = job::parse(&sources(&format!("{text}doors = \"up\"\n")).with("jobs/s", shop)).unwrap().shop;
    assert_eq!(shop.cutting.max_blank, Some(shop.cutting.min_blank));
    assert_eq!((job.cabinets[0].count, job.strips[0].quantity), (10_000, 100_000));
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
        ("lead_fitted", "\"before\"", "\"after\""),
        ("rabbet_depth", "0.3", "0.32"),
        ("rabbet_length", "1", "2"),
        ("rabbet_face", "\"show\"", "\"back\""),
        ("milling", "\"flat\"", "\"any\""),
        ("edge_bevel", "1", "2"),
        ("edge_chamfer", "0.03", "0.05"),
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
fn doors_alone_need_bolts_to_cut_from() {
    let text = format!("units = \"in\"\nboards = \"boards.csv\"\ncloth = \"c\"\n{SLATS}{CASE}doors = \"pair\"\n");
    let empty = "bolt,width,selvage,on_hand_length,price,per,increment\n";
    let problems = job::parse(&sources(&text).with("jobs/c", empty)).unwrap_err();
    assert_eq!(problems.count(), 1);
    assert!(problems.to_string().contains("the cloth file has no rows"), "{problems}");
    let strips = format!("units = \"in\"\nboards = \"boards.csv\"\ncloth = \"c\"\n{STRIP}");
    assert!(job::parse(&sources(&strips).with("jobs/c", empty)).is_ok());
}

#[test]
fn spares_are_given_in_one_of_three_ways() {
    let rule = |text: &str| read(&[STRIP, text]).spares;
    let percent = |n: i64| Ratio::percent(n.into()).unwrap();
    assert_eq!(rule("[spares]\npercent = 25\n").rate, SpareRate::Percent(percent(25)));
    assert_eq!(rule("[spares]\nreject_rate = 0.08\n").rate, SpareRate::RejectRate(percent(8)));
    let none = rule("[spares]\nnone = true\n");
    assert_eq!((none.rate, none.setup_strips, none.repair_strips), (SpareRate::None, 0, 0));
    let setup = rule("[spares]\nnone = true\nsetup_strips = 3\n");
    assert_eq!((setup.rate, setup.setup_strips, setup.repair_strips), (SpareRate::None, 3, 0));
    assert_eq!(rule("[spares]\nrepair_strips = 2\n").repair_strips, 2);
    let own = |text: &str| read(&[STRIP, text]).strips[0].spares;
    assert_eq!(own(""), None);
    assert_eq!(own("spares = \"none\"\n"), Some(SpareRate::None));
    assert_eq!(own("spares = { reject_rate = 0.1 }\n"), Some(SpareRate::RejectRate(percent(10))));
    assert_eq!(own("spares = { percent = 10 }\n"), Some(SpareRate::Percent(percent(10))));
}

#[test]
fn a_metric_job_reads_bare_figures_as_millimetres() {
    let boards = "\u{feff}Stock,species,length,thickness,width,on_hand,per,price\n\n\
        a,cherry,2400,\"27\",150,,m3,1450\nb,cherry,2400,4/4 S2S 21 mm,150,,m3,1450\n,,,,,,,\n";
    let job = "units = \"mm\"\nboards = \"boards.csv\"\n[[strip]]\nname = \"x\"\nspecies = \"black cherry\"\n\
        length = 800\nwidth = \"5/8 in\"\nthickness = 10\nquantity = 1\n";
    let sources = Sources::in_memory("hall.toml", job).with("boards.csv", boards);
    let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!((job.units, job.name.as_str()), (Units::Millimetre, "hall"));
    assert_eq!(job.strips[0].length, Length::from_mm(800));
    assert_eq!(job.strips[0].width, sixty_fourths(40));
    assert_eq!(job.boards.iter().map(|board| board.length).collect::<Vec<_>>(), [Length::from_mm(2400); 2]);
    // 0.027 x 0.15 x 2.4 = 0.00972 m3; the surfaced board pays as 4/4: 0.0254 x 0.15 x 2.4 = 0.009144 m3.
    assert_eq!(job.boards.iter().map(|board| board.unit_cost.get()).collect::<Vec<_>>(), [1409, 1326]);
    assert_eq!(default_of(&job, "[cutting] rip_kerf").unwrap().0, "~3.18 mm");
}

#[test]
fn bolts_for_sale_and_remnants_are_told_apart() {
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\n\
        sold,60,0.5,,11.90,yard,4.5,10,\nfree,36,0,52,,,,,\npaid,36,0.5,52,4,metre,1,,\n";
    let piece =
        "name = \"x\"\ncloth = \"c.csv\"\n[[cloth_piece]]\nname = \"p\"\nalong = 20\nacross = 14\nquantity = 1\n";
    let job = job::parse(&Sources::in_memory("hall.toml", piece).with("c.csv", cloth)).unwrap();
    let [sold, free, paid] = job.bolts.as_slice() else { panic!() };
    assert_eq!((sold.on_hand, sold.increment), (None, sixty_fourths(288)));
    assert_eq!((sold.shrink_along, sold.shrink_across), (Ratio::percent(10.into()).unwrap(), Ratio::ZERO));
    assert_eq!([sold.taken_as_washed, free.taken_as_washed], [false, true]);
    assert_eq!((free.on_hand, free.price, free.increment), (Some(Length::from_inches(52)), None, Length::ZERO));
    assert_eq!(paid.price.unwrap().1.word(), "metre");
}

/// The starter's files, each text changed by `edit`.
fn started(edit: impl Fn(&str) -> String) -> Job {
    let sources = starter()
        .iter()
        .fold(Sources::in_memory("job.toml", ""), |sources, file| sources.with(file.name, edit(file.text)));
    job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn the_starter_job_is_good_as_it_stands() {
    let job = started(str::to_owned);
    assert_eq!((job.cabinets.len(), job.strips.len(), job.cloth_pieces.len(), job.lines.len()), (1, 1, 1, 1));
    assert_eq!((job.boards.len(), job.bolts.len()), (4, 2));
    assert_eq!(job.boards[0].on_hand, Some(3));
}

/// Whatever the starter shows in a comment works when the maker takes the mark away.
#[test]
fn the_starter_job_is_good_with_every_commented_line_in_use() {
    let key =
        |text: &str| text.split_once(" = ").is_some_and(|(key, _)| key.chars().all(|c| c == '_' || c.is_lowercase()));
    let job = started(|text| {
        let lines = text.lines().map(|line| match line.strip_prefix("# ") {
            Some(rest) if key(rest) || rest.trim_start().starts_with(['[', '{', ']']) => rest,
            _ => line,
        });
        lines.collect::<Vec<_>>().join("\n")
    });
    assert_eq!(job.cabinets.len(), 2);
    assert_eq!(job.client.as_deref(), Some("..."));
    assert_eq!(job.shop.climate.len(), 3);
    assert_eq!(job.defaults.iter().map(|used| used.key.as_str()).collect::<Vec<_>>(), [""; 0]);
}

/// Every size of a job, by name, in the order of the text below.
fn sizes(job: &Job) -> Vec<Length> {
    let slats = &job.cabinets[0].doors[0].slats;
    let groove = job.cabinets[0].doors[0].groove;
    let strip = &job.strips[0];
    let DoorTrack::Case { inside, setback, corner_radius, .. } = &job.cabinets[0].doors[0].track else { panic!() };
    let stock = (&job.boards[0], &job.bolts[0]);
    vec![
        slats.width,
        slats.thickness,
        slats.lead_width,
        slats.rabbet_depth,
        slats.rabbet_length,
        inside.width,
        inside.depth,
        inside.height,
        *setback,
        *corner_radius,
        groove.width,
        groove.depth,
        strip.length,
        strip.width,
        strip.thickness,
        stock.0.width,
        stock.0.length,
        stock.1.width,
        stock.1.selvage,
        stock.1.increment,
    ]
}

proptest! {
    /// One job written in inches and in millimetres, in every spelling a length has, is one job.
    #[test]
    fn inches_and_millimetres_are_the_same_job(
        shifts in proptest::collection::vec(0..32i64, 20),
        spelling in proptest::collection::vec(0..4usize, 20),
    ) {
        // Sixty-fourths near those of a sound door, so that each choice is one.
        let usual = [40, 24, 72, 14, 40, 2304, 992, 1792, 48, 192, 64, 20, 1984, 48, 24, 384, 6144, 3840, 32, 288];
        let small = [3, 4, 10, 11];
        let wanted: Vec<Length> =
            usual.iter().zip(&shifts).enumerate().map(|(at, (usual, shift))| {
                sixty_fourths(usual + if small.contains(&at) { shift % 4 } else { *shift })
            }).collect();
        let job_in = |units: Units| {
            let written = |at: usize| match (spelling[at], units) {
                (0, _) => format!("\"{}\"", wanted[at].exact()),
                (1, Units::Inch) => format!("\"{}\"", wanted[at].show(units)),
                (2, _) => format!("\"{} mm\"", wanted[at].decimal(Units::Millimetre)),
                _ => wanted[at].decimal(units),
            };
            let cell = |at: usize| wanted[at].decimal(units);
            let keys = [
                "[slats]\nspecies = \"cherry\"\nwidth", "thickness", "lead_width", "rabbet_depth", "rabbet_length",
                "[[cabinet]]\nname = \"a\"\ndoors = \"pair\"\ninside_width", "inside_depth", "inside_height",
                "setback", "corner_radius", "groove_width", "groove_depth",
                "[[strip]]\nname = \"b\"\nspecies = \"cherry\"\nquantity = 1\nlength", "width", "thickness",
            ];
            let body: String = keys.iter().enumerate().map(|(at, key)| format!("{key} = {}\n", written(at))).collect();
            let job = format!("units = \"{units}\"\nboards = \"b\"\ncloth = \"c\"\n{body}");
            let boards = format!(
                "stock,species,thickness,width,length,on_hand,price,per\na,cherry,4/4,{},{},,9.85,bf\n",
                cell(15), cell(16)
            );
            let cloth = format!(
                "bolt,width,selvage,on_hand_length,price,per,increment\nd,{},{},,9,yard,{}\n",
                cell(17), cell(18), cell(19)
            );
            job::parse(&Sources::in_memory("j.toml", job).with("b", boards).with("c", cloth))
        };
        for units in [Units::Inch, Units::Millimetre] {
            let job = job_in(units).map_err(|problems| TestCaseError::fail(problems.to_string()))?;
            prop_assert_eq!(sizes(&job), wanted.clone(), "{}", units);
        }
    }
}
