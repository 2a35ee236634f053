//! Inches and millimetres.

use proptest::prelude::*;
use slatwright::files::Sources;
use slatwright::job::{self, DoorTrack, EndClear, Job};
use slatwright::measure::{Length, Units};

use crate::job_files::texts::{default_of, sixty_fourths};

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
    assert_eq!(default_of(&job, "[cutting] rip_kerf").unwrap().0, "3.2 mm");
}

/// The figures are round ones of the metric shop (common practice, no source), none of them a converted inch.
#[test]
fn a_metric_job_works_by_round_metric_defaults() {
    let text = "name = \"hall\"\nunits = \"mm\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n\
        [slats]\nspecies = \"cherry\"\nwidth = 16\nthickness = 10\nlead_width = 28\nrabbet_depth = 5.5\n\
        rabbet_length = 10\nmilling = \"edge\"\n[[cabinet]]\nname = \"press\"\ndoors = \"pair\"\ninside_width = 900\n\
        inside_depth = 390\ninside_height = 710\nsetback = 20\ncorner_radius = 80\ngroove_width = 6.5\ngroove_depth = 8\n";
    let boards = "stock,species,thickness,width,length,on_hand,price,per\na,cherry,27 rough,150,2400,,1450,m3\n";
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment\nduck,1500,12,,11.90,metre,100\n";
    let sources = Sources::in_memory("hall.toml", text).with("boards.csv", boards).with("cloth.csv", cloth);
    let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
    let tenths = |n: i64| Length::from_nm(n * 100_000);
    let cutting = job.shop.cutting;
    assert_eq!([cutting.rip_kerf, cutting.crosscut_kerf, cutting.resaw_kerf], [tenths(32); 3]);
    assert_eq!(
        (cutting.end_trim, cutting.edge_trim_crosscut, cutting.edge_trim_rip),
        (tenths(400), tenths(60), tenths(120))
    );
    assert_eq!((cutting.hold_width, cutting.length_trim, cutting.edge_clean), (tenths(200), tenths(120), tenths(10)));
    assert_eq!((cutting.face_trim_thin, cutting.face_trim_thick), (tenths(25), tenths(30)));
    assert_eq!((cutting.leaf_trim, cutting.min_blank, cutting.rip_trim), (tenths(15), tenths(3000), Length::ZERO));
    let clearance = job.shop.clearance;
    assert_eq!((clearance.running, clearance.end_play), (tenths(8), tenths(15)));
    assert_eq!((clearance.shoulder, clearance.lead_trim), (tenths(8), tenths(30)));
    let cloth = job.shop.canvas;
    assert_eq!((cloth.end_clear, cloth.past_rabbet), (EndClear::AtLeast(tenths(120)), tenths(30)));
    assert_eq!((cloth.tail_clear, cloth.lead_lap, cloth.trim), (tenths(60), tenths(60), tenths(120)));
    let imperial =
        |text: &str| text.contains('~') || text.contains('/') || text.split_whitespace().any(|word| word == "in");
    for used in job.defaults.iter().filter(|used| used.value.contains("mm") || used.key.contains("overlap")) {
        let reason = used.reason.replace(" in wider", "").replace("wider than its", "");
        assert!(!imperial(&used.value) && !reason.contains("1/"), "{used:?}");
    }
    // 0.027 x 0.15 x 2.4 m = 0.00972 m3 at 1450; rough, so both faces come off: 27 - 2 x 2.5 = 22 is what it planes to.
    assert_eq!((job.boards[0].unit_cost.get(), job.boards[0].thickness.is_surfaced()), (1409, false));
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
