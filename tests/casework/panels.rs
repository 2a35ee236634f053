//! Panels worked by hand: every joint, every door, with and without lining and shelves, in inches and in millimetres.

use crate::pages::sheets::undressed;
use slatwright::job::Job;
use slatwright::measure::Length;
use slatwright::report::plan_files;

use super::{HEAD, METRIC, cabinet, inch, job_of, made, metric_cabinet};

/// Name, how many in all, length, width, in the job's unit.
type Row<'a> = (&'a str, u32, &'a str, &'a str);

fn rows(job: &Job) -> Vec<(&'static str, u32, Length, Length)> {
    let (_, case) = made(job);
    case.panels.iter().map(|panel| (panel.name, panel.count, panel.length, panel.width)).collect()
}

fn expect(text: &str, wanted: &[Row<'_>]) {
    let job = job_of(text);
    let size = |text: &str| slatwright::measure::parse_length(text, job.units).unwrap();
    let wanted: Vec<_> = wanted.iter().map(|row| (row.0, row.1, size(row.2), size(row.3))).collect();
    assert_eq!(rows(&job), wanted, "{text}");
}

fn case(joint: &str, rest: &str) -> String {
    format!("[case]\nmaterial = \"birch plywood\"\nthickness = \"3/4\"\njoint = \"{joint}\"\n{rest}\n")
}

/// Inside 36 x 15-1/2 x 28, panels 3/4: 37-1/2 = 36 + 2 x 3/4, 29-1/2 = 28 + 2 x 3/4, 36-1/2 = 36 + 2 x 1/4.
#[test]
fn the_joint_settles_who_runs_over_whom() {
    for doors in ["pair", "left", "right"] {
        let of = |joint: &str, rest: &str| format!("{HEAD}{}{}", case(joint, rest), cabinet(doors));
        expect(
            &of("top over sides", ""),
            &[
                ("top", 2, "37-1/2", "15-1/2"),
                ("bottom", 2, "37-1/2", "15-1/2"),
                ("left side", 2, "28", "15-1/2"),
                ("right side", 2, "28", "15-1/2"),
            ],
        );
        expect(
            &of("sides over top", ""),
            &[
                ("top", 2, "36", "15-1/2"),
                ("bottom", 2, "36", "15-1/2"),
                ("left side", 2, "29-1/2", "15-1/2"),
                ("right side", 2, "29-1/2", "15-1/2"),
            ],
        );
        expect(
            &of("dado", "dado_depth = \"1/4\""),
            &[
                ("top", 2, "36-1/2", "15-1/2"),
                ("bottom", 2, "36-1/2", "15-1/2"),
                ("left side", 2, "29-1/2", "15-1/2"),
                ("right side", 2, "29-1/2", "15-1/2"),
            ],
        );
    }
}

/// Let into a rabbet of half of 3/4: panels 15-1/2 + 1/4 deep, the back 28 + 3/4 by 36 + 3/4. Laid on: panels as deep as
/// the inside, the back over everything, 28 + 1-1/2 by 36 + 1-1/2. In a rabbet of 1/4: 28-1/2 by 36-1/2.
#[test]
fn a_back_is_let_in_or_laid_on() {
    let of = |back: &str| format!("{HEAD}{}{}", case("sides over top", back), cabinet("pair"));
    let deep = |width: &'static str, back: (&'static str, &'static str)| {
        [
            ("top", 2, "36", width),
            ("bottom", 2, "36", width),
            ("left side", 2, "29-1/2", width),
            ("right side", 2, "29-1/2", width),
            ("back", 2, back.0, back.1),
        ]
    };
    expect(&of("back = { thickness = \"1/4\" }"), &deep("15-3/4", ("28-3/4", "36-3/4")));
    expect(&of("back = { thickness = \"1/4\", rabbet = \"1/4\" }"), &deep("15-3/4", ("28-1/2", "36-1/2")));
    expect(&of("back = { thickness = \"1/4\", fitted = \"laid on\" }"), &deep("15-1/2", ("29-1/2", "37-1/2")));
}

/// The pair of the press goes round both back corners. Groove 1/4, no back rabbet: the canvas side stands 3/4 + 1/8 = 7/8 in
/// from every face on the straights, 3 - 1/8 = 2-7/8 from the corners' centres, which lie 3-3/4 in from every face. With 1/8
/// to run: 1 in and 2-3/4. Behind a lining 1/4 thick the shelf's room is 30-1/8 wide (the brute force of `clear_room` finds
/// the same): the linings' outer faces stand (36 - 30-1/8) / 2 - 1/4 = 2-11/16 in from the sides, 1-1/16 short of the
/// centres; their edges begin at 3-3/4 - sqrt((2-3/4)^2 - (1-1/16)^2) = 3.75 - 2.536453 = 1.213547 from front and back. So the
/// room is 15-1/2 - 2 x 1.213547 - 1/4 = 12.822906 deep, 12-13/16 in steps of 1/32, and the lining 12-13/16 + 1/4 wide.
#[test]
fn a_pair_with_lining_and_shelves() {
    let rest = "lining = { thickness = \"1/4\" }\nshelves = { count = 3, gap = \"1/16\" }\n\
                edging = { thickness = \"1/8\" }";
    let text = format!("{HEAD}{}{}", case("sides over top", rest), cabinet("pair"));
    expect(
        &text,
        &[
            ("top", 2, "36", "15-1/2"),
            ("bottom", 2, "36", "15-1/2"),
            ("left side", 2, "29-1/2", "15-1/2"),
            ("right side", 2, "29-1/2", "15-1/2"),
            ("left lining", 2, "28", "13-1/16"),
            ("right lining", 2, "28", "13-1/16"),
            ("back lining", 2, "28", "30-1/8"),
            ("shelf", 6, "30", "12-3/4"),
        ],
    );
    let (_, case) = made(&job_of(&text));
    let shelf = case.panels.last().unwrap();
    // Edged at the front, cut 1/8 narrower; the sides likewise.
    assert_eq!((shelf.cut_length(), shelf.cut_width()), (inch("30"), inch("12-5/8")));
    let top = &case.panels[0];
    assert_eq!((top.cut_length(), top.cut_width(), top.edging()), (inch("36"), inch("15-3/8"), inch("36")));
    let place = case.linings[0].1;
    assert_eq!(place.inset, inch("2-11/16"));
    assert!((place.front.mm_f64() / 25.4 - 1.213_547).abs() < 1e-5, "{:?}", place.front);
}

/// A single door stows on one side alone: the room reaches to the other. At 19-1/32 wide the lining stands
/// 22 - 19-1/32 - 1/4 = 2-23/32 in from the side, 1-1/32 short of the centres; front and back begin at
/// 3.75 - sqrt(2.75^2 - 1.03125^2) = 1.200652; 18 - 2 x 1.200652 - 1/4 = 15.348696 deep, 15-11/32 in steps.
#[test]
fn a_single_door_is_lined_on_its_own_side() {
    let own = "[[cabinet]]\nname = \"case\"\ninside_width = \"22\"\ninside_depth = \"18\"\ninside_height = \"20\"\n\
               setback = \"3/4\"\ncorner_radius = \"3\"\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";
    for (doors, lining) in [("left", "left lining"), ("right", "right lining")] {
        let rest = "lining = { thickness = \"1/4\" }\nshelves = { count = 1, gap = 0 }";
        let text = format!("{HEAD}{}{own}doors = \"{doors}\"\n", case("top over sides", rest));
        expect(
            &text,
            &[
                ("top", 1, "23-1/2", "18"),
                ("bottom", 1, "23-1/2", "18"),
                ("left side", 1, "20", "18"),
                ("right side", 1, "20", "18"),
                (lining, 1, "20", "15-19/32"),
                ("back lining", 1, "20", "19-1/32"),
                ("shelf", 1, "19-1/32", "15-11/32"),
            ],
        );
    }
}

/// The grooves of a roll-up are in its sides; its lining lies under the top.
#[test]
fn a_roll_up_is_lined_under_its_top() {
    let own = "[[cabinet]]\nname = \"desk\"\ninside_width = \"24\"\ninside_depth = \"18\"\ninside_height = \"22\"\n\
               doors = \"up\"\nsetback = \"3/4\"\ncorner_radius = \"3\"\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";
    let rest = "dado_depth = \"3/8\"\nlining = { thickness = \"1/4\" }";
    let text = format!("{HEAD}{}{own}", case("dado", rest));
    expect(
        &text,
        &[
            ("top", 1, "24-3/4", "18"),
            ("bottom", 1, "24-3/4", "18"),
            ("left side", 1, "23-1/2", "18"),
            ("right side", 1, "23-1/2", "18"),
            ("top lining", 1, "24", "15-19/32"),
            ("back lining", 1, "19-1/32", "24"),
        ],
    );
    let (_, case) = made(&job_of(&text));
    let grooved: Vec<&str> = case.panels.iter().filter(|panel| panel.grooved).map(|panel| panel.name).collect();
    assert_eq!(grooved, ["left side", "right side"]);
    let housed: Vec<&str> = case.panels.iter().filter(|panel| panel.dado.is_some()).map(|panel| panel.name).collect();
    assert_eq!(housed, ["left side", "right side"]);
}

/// 900 x 400 x 700 inside, panels 18, a back of 6 let in 9 deep: 936 = 900 + 36, 718 = 700 + 18, 918 = 900 + 18.
#[test]
fn the_same_in_millimetres() {
    let case = "[case]\nmaterial = \"birch plywood\"\nthickness = 18\njoint = \"top over sides\"\n\
                back = { thickness = 6 }\nedging = { thickness = 3, edges = [\"top ends\", \"case front\"] }\n";
    let text = format!("{METRIC}{case}{}", metric_cabinet("pair"));
    expect(
        &text,
        &[
            ("top", 1, "936", "406"),
            ("bottom", 1, "936", "406"),
            ("left side", 1, "700", "406"),
            ("right side", 1, "700", "406"),
            ("back", 1, "718", "918"),
        ],
    );
    let (_, case) = made(&job_of(&text));
    let mm = Length::from_mm;
    assert_eq!((case.panels[0].cut_length(), case.panels[0].cut_width()), (mm(930), mm(403)));
    assert_eq!((case.panels[2].cut_length(), case.panels[2].cut_width()), (mm(700), mm(403)));
    // Ends count the edging of the front, and twice the width.
    assert_eq!(case.panels[0].edging(), mm(936 + 2 * 406));
}

/// A shelf may be asked for by its width or its depth; the room follows.
#[test]
fn a_shelf_may_say_one_of_its_sizes() {
    let of = |shelves: &str| {
        let rest = format!("shelves = {{ count = 1, gap = 0, {shelves} }}");
        let job = job_of(&format!("{HEAD}{}{}", case("sides over top", &rest), cabinet("pair")));
        let (_, case) = made(&job);
        let shelf = case.panels.last().unwrap().clone();
        (shelf.length, shelf.width)
    };
    // Bare, 32 in wide: 2 in from the sides, 1-3/4 short of the centres: 3.75 - sqrt(2.875^2 - 1.75^2) = 1.468964 at front
    // and back, 12.562072 between them.
    assert_eq!(of("width = \"32\""), (inch("32"), inch("12-17/32")));
    // Bare, 13 in deep: 1-1/4 in from front and back, 2-1/2 short of the centres: 3.75 - sqrt(2.875^2 - 2.5^2) = 2.330273
    // from the sides, 31.339454 between them.
    assert_eq!(of("depth = \"13\""), (inch("31-5/16"), inch("13")));
    assert_eq!(of("width = \"30\", depth = \"12\""), (inch("30"), inch("12")));
}

#[test]
fn a_cabinet_may_say_otherwise_or_nothing() {
    let text = format!(
        "{HEAD}{}{}[cabinet.case]\njoint = \"top over sides\"\nback = \"none\"\n{}case = \"none\"\n",
        case("dado", "dado_depth = \"1/4\"\nback = { thickness = \"1/4\" }"),
        cabinet("pair"),
        cabinet("left").replace("press", "plain")
    );
    let (_, case) = made(&job_of(&text));
    assert!(case.panels.iter().all(|panel| panel.cabinet == 0 && panel.name != "back" && panel.dado.is_none()));
    assert_eq!(case.panels[0].length, inch("37-1/2"));
}

/// Without `[case]` nothing but three empty tables is there, and no figure of the summary changes.
#[test]
fn without_a_case_nothing_is_listed() {
    let job = job_of(&format!("{HEAD}{}", cabinet("pair")));
    let plan = slatwright::plan::plan_job(&job).unwrap();
    let files: std::collections::BTreeMap<String, Vec<u8>> = plan_files(&job, &plan).into_iter().collect();
    for name in ["case.csv", "sheets.csv", "sheet_cuts.csv"] {
        assert_eq!(String::from_utf8_lossy(&files[name]).lines().count(), 1, "{name}");
    }
    let summary = String::from_utf8_lossy(&files["summary.csv"]).into_owned();
    assert!(!summary.contains("panel") && !summary.contains("sheet"), "{summary}");
    assert!(!files.contains_key("pages/panels.html"));
    let costs = String::from_utf8_lossy(&files["costs.csv"]).into_owned();
    assert!(!costs.contains("\nsheets,") && !costs.contains("\npanels,"), "{costs}");
}

/// The panel sheet and `case.csv` say the same sizes.
#[test]
fn the_panel_sheet_says_what_the_table_says() {
    let rest = "back = { thickness = \"1/4\" }\nlining = { thickness = \"1/4\" }\nshelves = { count = 1 }\n\
                edging = { thickness = \"1/8\" }";
    let job = job_of(&format!("{HEAD}{}{}", case("dado", &format!("dado_depth = \"1/4\"\n{rest}")), cabinet("pair")));
    let plan = slatwright::plan::plan_job(&job).unwrap();
    let files: std::collections::BTreeMap<String, Vec<u8>> = plan_files(&job, &plan).into_iter().collect();
    let page = undressed(&String::from_utf8_lossy(&files["pages/panels.html"]));
    for panel in &plan.cased.case.panels {
        let size = format!("{} x {}", panel.length.show_nearest(job.units), panel.width.show_nearest(job.units));
        assert!(page.contains(&size), "{} {size}", panel.name);
    }
    // From the edges of the finished panel: side run 3/4 + 1/4 in the housing, back run 3/4 + 1/4 behind the back.
    assert!(page.contains("<td>side run</td><td class=\"n\">1</td>"), "{page}");
    assert!(page.contains("<td>back run</td><td class=\"n\">1</td>"));
    assert!(page.contains("<td>front run</td><td class=\"n\">3/4</td>"));
    assert!(page.contains("groove-1"));
    let csv = String::from_utf8_lossy(&files["case.csv"]).into_owned();
    assert!(
        csv.contains("press,top,2,36.5,15.75,0.75,birch plywood,sheet,length,front,36.5,15.625,inside,groove-1,"),
        "{csv}"
    );
}
