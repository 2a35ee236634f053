//! What a file does not say.

use slatwright::job::{self, EndClear, Millings, Order, OrderRule, Overlap, SpareRate};
use slatwright::measure::{Length, Ratio};

use crate::job_files::texts::{CASE, SLATS, STRIP, default_of, read, sixty_fourths, sources};

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
    assert_eq!((canvas.end_clear, canvas.tail_clear), (EndClear::AtLeast(sixty_fourths(32)), sixty_fourths(16)));
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
fn strips_are_milled_either_way_unless_the_job_says() {
    let millings = |keys: &str| {
        let job = read(&[SLATS, keys, CASE, "doors = \"pair\"\n"]);
        let slats = &job.cabinets[0].doors[0].slats;
        (slats.milling, slats.lead_milling)
    };
    assert_eq!(millings(""), (Millings::Any, Millings::Any));
    assert_eq!(millings("milling = \"flat\"\n"), (Millings::Flat, Millings::Flat));
    assert_eq!(millings("lead_milling = \"flat\"\n"), (Millings::Any, Millings::Flat));
    assert_eq!(millings("milling = \"edge\"\nlead_milling = \"any\"\n"), (Millings::Edge, Millings::Any));
}

#[test]
fn a_default_that_nothing_uses_is_not_listed() {
    let job = read(&[STRIP, "milling = \"flat\"\n"]);
    for key in
        ["[clearance] running", "[cloth] trim", "[slats] rabbet_face", "[cutting] edge_clean", "[cutting] resaw_kerf"]
    {
        assert_eq!(default_of(&job, key), None);
    }
    assert!(default_of(&job, "[cutting] rip_kerf").is_some());
    for way in ["", "milling = \"edge\"\n"] {
        assert!(default_of(&read(&[STRIP, way]), "[cutting] edge_clean").is_some());
    }
    assert_eq!(default_of(&read(&[STRIP]), "[[strip]] milling"), Some(("any", "common practice, no source")));
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
    assert_eq!(listed(&[STRIP]), [""; 0]);
    assert_eq!(default_of(&read(&[STRIP]), "[[strip]] spares").unwrap().0, "none");
    assert_eq!(listed(&[STRIP, "spares = \"none\"\n"]), [""; 0]);
    assert_eq!(listed(&[STRIP, "spares = { percent = 10 }\n"]), ["setup_strips"]);
    assert_eq!(listed(&[STRIP, "spares = { reject_rate = 0.1 }\n"]), ["confidence", "setup_strips"]);
    assert_eq!(listed(&[STRIP, "[spares]\npercent = 25\n"]), [""; 0]);
    assert_eq!(listed(&[STRIP, "[spares]\nnone = true\n"]), [""; 0]);
    let doors = listed(&[SLATS, CASE, "doors = \"pair\"\n"]);
    assert_eq!(doors, ["reject_rate", "confidence", "setup_strips", "repair_strips"]);
}

#[test]
fn a_value_that_is_given_is_no_default() {
    let shop = "[cutting]\nrip_kerf = \"3/32\"\nface_trim = \"1/16\"\nedge_trim = 0\norder = \"any\"\n\
        [clearance]\noverlap = \"1-1/2\"\n[cloth]\nend_clear = \"3/4\"\n";
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
