//! What cannot be meant or made: each says what, where, and by how much.

use slatwright::case::make;
use slatwright::doors::lay_out;
use slatwright::measure::Units;
use slatwright::plan::{CannotPlan, plan_job};

use super::{HEAD, cabinet, job_of, problems_of, sources};

const CASE: &str = "[case]\nmaterial = \"birch plywood\"\nthickness = \"3/4\"\n";

/// What is said of a job that reads well and cannot be made.
fn said(case: &str) -> Vec<String> {
    let job = job_of(&format!("{HEAD}{CASE}{case}\n{}", cabinet("pair")));
    let problems = make(&job, &lay_out(&job)).unwrap_err();
    let Err(CannotPlan::Case(planned)) = plan_job(&job) else { panic!("planned all the same") };
    assert_eq!(problems, planned);
    problems.iter().map(|problem| problem.said(Units::Inch)).collect()
}

/// Panels 1/2 thick under grooves 5/16 deep: the check of the door fails, by 1/8.
#[test]
fn a_groove_deeper_than_half_the_panel() {
    let text = format!("{HEAD}{}{}", CASE.replace("3/4", "1/2"), cabinet("pair"));
    let job = job_of(&text);
    let Err(CannotPlan::Doors(doors)) = plan_job(&job) else { panic!("planned all the same") };
    let check = doors[0].checks.iter().find(|check| !check.holds()).unwrap();
    assert_eq!(check.check.word(), "panel_thickness");
    assert!(check.advice.as_ref().unwrap().contains("a panel 5/8 in thick"), "{:?}", check.advice);
}

/// The slats come 7/8 in: 3/4 to the centreline and half of a groove 1/4 wide.
#[test]
fn a_lining_that_the_door_would_touch() {
    assert_eq!(
        said("lining = { thickness = \"1/4\", inset = \"13/16\" }"),
        [
            "the lining of `press` would be touched by the door: its face stands 13/16 in from the side, the slats come 7/8 in \
          in; set it 1/16 in farther in, or leave `inset` out"
        ]
    );
    let fits = job_of(&format!("{HEAD}{CASE}lining = {{ thickness = \"1/4\", inset = \"7/8\" }}\n{}", cabinet("pair")));
    assert!(make(&fits, &lay_out(&fits)).is_ok());
}

/// At the widest 36 - 2 x 7/8 = 34-1/4, less two gaps of 1/16; at 32 in wide 12-17/32 deep, less one.
#[test]
fn a_shelf_wider_or_deeper_than_the_room() {
    assert_eq!(
        said("shelves = { count = 1, width = \"35\" }"),
        ["the shelf of `press` is 35 in wide, and there is room for 34-1/8 in beside the doors: 7/8 in too much"]
    );
    assert_eq!(
        said("shelves = { count = 1, gap = 0, width = \"32\", depth = \"13\" }"),
        ["the shelf of `press` is 13 in deep, and there is room for 12-17/32 in beside the doors: 15/32 in too much"]
    );
    assert!(said("shelves = { count = 1, depth = \"14\" }")[0].contains("is 14 in deep"));
    assert!(
        said("lining = { thickness = \"1/4\" }\nshelves = { count = 1, width = \"34\" }")[0]
            .ends_with("33-3/8 in beside the doors and their lining: 5/8 in too much")
    );
}

/// 37-1/2 x 15-1/2 is too long for sheets of 36 x 36, which give 35-1/2 within trims of 1/4: 2 too long.
#[test]
fn a_panel_larger_than_every_sheet() {
    let sheets = "sheet,material,thickness,width,length,on_hand,price\nsmall,birch plywood,0.75,36,36,,20\n";
    let text = format!("{HEAD}{CASE}joint = \"top over sides\"\n{}", cabinet("pair"));
    let job = slatwright::job::parse(&sources(&text).with("sheets.csv", sheets)).unwrap();
    let Err(CannotPlan::Sheets(short, case)) = plan_job(&job) else { panic!("planned all the same") };
    assert_eq!(case.parts[0].name, "P01");
    assert!(short.to_string().contains("part 1"), "{short}");
}

fn refused(case: &str, wanted: &str) {
    let text = format!("{HEAD}{case}\n{}", cabinet("pair"));
    let said = problems_of(&text).to_string();
    assert!(said.contains(wanted), "{case}\n{said}");
    assert!(said.contains("job.toml:"), "{said}");
}

#[test]
fn values_that_no_case_has() {
    refused(&format!("{CASE}joint = \"mitre\""), "top over sides");
    refused(&format!("{CASE}joint = \"dado\""), "`dado_depth` is missing");
    refused(
        &format!("{CASE}joint = \"dado\"\ndado_depth = \"1/2\""),
        "a dado 1/2 in deep leaves less than half of the side, which is 3/4 in thick",
    );
    refused(&format!("{CASE}joint = \"dado\"\ndado_depth = \"1/2\""), "at most 3/8 in deep: 1/8 in less");
    refused(&format!("{CASE}dado_depth = \"1/4\""), "`dado_depth` is only used with a dado");
    refused(
        &format!("{CASE}back = {{ thickness = \"1/4\", fitted = \"laid on\", rabbet = \"1/4\" }}"),
        "needs no rabbet",
    );
    refused(&format!("{CASE}edging = {{ thickness = \"1/8\", edges = [\"top\"] }}"), "there is no edge `top`");
    refused(&format!("{CASE}edging = {{ thickness = \"1/8\", edges = [\"top ends\"] }}"), "do not show");
    refused(&format!("{CASE}shelves = {{ gap = 0 }}"), "`count` is missing");
    refused("[case]\nthickness = \"3/4\"", "`material` is missing");
    refused("[case]\nmaterial = \"oak\"\nsolid = true\nthickness = \"3/4\"", "may be northern red oak or white oak");
    refused(&format!("{CASE}lining = {{ thickness = \"1/4\", solid = true }}"), "`solid` without a `material`");
    refused(&format!("{CASE}jiont = \"dado\""), "did you mean `joint`?");
}

/// The case's thickness is that of the panels with the grooves.
#[test]
fn two_thicknesses_of_one_panel() {
    let text = format!("{HEAD}{CASE}{}panel_thickness = \"5/8\"\n", cabinet("pair"));
    assert!(
        problems_of(&text).to_string().contains("`panel_thickness` is 5/8 in, but the case's panels are 3/4 in thick")
    );
}

#[test]
fn a_case_without_inside_sizes() {
    let track = "[[track]]\nname = \"run\"\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\npath = [{ straight = \"60\" }]\n\
                 [[cabinet]]\nname = \"press\"\n[cabinet.case]\nmaterial = \"mdf\"\nthickness = \"3/4\"\n\
                 [[cabinet.door]]\nname = \"a\"\ntrack = \"run\"\nbetween = \"20\"\ncover = \"17\"\ntravel = \"12\"\n";
    assert!(problems_of(&format!("{HEAD}{track}")).to_string().contains("a case without inside sizes"));
}

#[test]
fn rows_of_the_sheets_file() {
    let said = |sheets: &str| {
        let text = format!("{HEAD}{CASE}{}", cabinet("pair"));
        slatwright::job::parse(&sources(&text).with("sheets.csv", sheets)).expect_err("taken").to_string()
    };
    let header = "sheet,material,thickness,width,length,on_hand,price\n";
    assert!(said(&format!("{header}a,ply,0.75,48,96,,\n")).contains("the price is missing: this row is for sale"));
    assert!(said(&format!("{header}a,ply,0.75,48,0,,84\n")).contains("a size cannot be 0"));
    assert!(said(&format!("{header}a,ply,0.75,48,960,,84\n")).contains("more than any sheet measures"));
    assert!(
        said(&format!("{header}a,ply,0.75,48,96,,84\na,ply,0.5,48,96,,84\n")).contains("a second sheet is named `a`")
    );
    assert!(said("sheet,material,width,length,on_hand,price\na,ply,48,96,,84\n").contains("`thickness` is missing"));
    assert!(said(&format!("{header}a,,0.75,48,96,,84\n")).contains("`material` is empty"));
}

/// Runs the command on a job with its files in a folder; gives status and what is said on standard error, blanks as one.
fn command(name: &str, text: &str, sheets: &str) -> (i32, String) {
    let home = tempfile::tempdir().unwrap();
    let files =
        [("job.toml", text), ("boards.csv", super::BOARDS), ("cloth.csv", super::CLOTH), ("sheets.csv", sheets)];
    for (file, text) in files {
        std::fs::write(home.path().join(file), text).unwrap();
    }
    let mut run = std::process::Command::new(env!("CARGO_BIN_EXE_slatwright"));
    run.arg(name).arg(home.path().join("job.toml"));
    if name == "plan" {
        run.arg("--out").arg(home.path().join("out"));
    }
    let output = run.output().unwrap();
    assert!(!home.path().join("out").exists(), "nothing is written");
    let said = String::from_utf8(output.stderr).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    (output.status.code().unwrap(), said)
}

/// A file that says what no case has ends with 2; a case that cannot be made with 1, from `check` as from `plan`, and each
/// says by how much and what to do.
#[test]
fn statuses_are_those_of_files_and_of_jobs() {
    let small = "sheet,material,thickness,width,length,on_hand,price\nsmall,birch plywood,0.75,36,36,,20\n";
    let of = |case: &str| format!("{HEAD}{CASE}{case}\n{}", cabinet("pair"));
    let thin = format!("{HEAD}{}{}", CASE.replace("3/4", "1/2"), cabinet("pair"));
    let cases = [
        (of("lining = { thickness = \"1/4\", inset = \"13/16\" }"), super::SHEETS, 1, "set it 1/16 in farther in"),
        (of("shelves = { count = 1, width = \"35\" }"), super::SHEETS, 1, "7/8 in too much"),
        (of("joint = \"top over sides\""), small, 1, "37-1/2 in x 15-1/2 in in 3/4 in birch plywood (top of `press`"),
        (of("joint = \"top over sides\""), small, 1, "2 in too long; `small` gives 35-1/2 in x 35-1/2 in"),
        (thin, super::SHEETS, 1, "a panel 5/8 in thick"),
        (of("joint = \"mitre\""), super::SHEETS, 2, "top over sides"),
    ];
    for (text, sheets, status, words) in cases {
        for name in ["check", "plan"] {
            let (ended, said) = command(name, &text, sheets);
            assert_eq!(ended, status, "{name} {words}: {said}");
            // `check` shows what is wrong with a door on its screen.
            assert!(said.contains(words) || (name == "check" && words.contains("panel 5/8")), "{name} {words}: {said}");
            assert!(said.contains("help: ") || status == 2, "{said}");
        }
    }
}
