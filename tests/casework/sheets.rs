//! Panels packed into sheets: against brute force, published instances, laws, and with their grain kept.

use crate::pages::sheets::undressed;
use slatwright::case::{Casework, SheetPart};
use slatwright::job::{PanelRules, SheetStock};
use slatwright::measure::{Cents, Length, Ratio};
use slatwright::packing::boards::{BoardPlan, BoardProblem, BoardShortage, pack};
use slatwright::packing::{Budget, Flow};
use slatwright::plan::{CannotPlan, plan_job, sheet_problem};
use slatwright::report::plan_files;

use super::{HEAD, cabinet, inch, job_of};
use crate::boards_support::brute::least_cost;
use crate::common::dice::Dice;
use crate::common::empty_job;

fn part(length: i64, width: i64, count: u32) -> SheetPart {
    SheetPart {
        name: String::new(),
        material: "ply".to_owned(),
        thickness: Length::from_inches(1),
        length: Length::from_inches(length),
        width: Length::from_inches(width),
        count,
        panels: Vec::new(),
    }
}

fn sheet(width: i64, length: i64, on_hand: Option<u32>, cents: i64) -> SheetStock {
    SheetStock {
        sheet: format!("{width} x {length} {cents}"),
        material: "Ply".to_owned(),
        thickness: Length::from_inches(1),
        width: Length::from_inches(width),
        length: Length::from_inches(length),
        on_hand,
        price: None,
        unit_cost: Cents::new(cents),
    }
}

fn problem(parts: Vec<SheetPart>, sheets: Vec<SheetStock>, (kerf, trim): (i64, i64)) -> BoardProblem {
    let mut job = empty_job();
    job.sheets = sheets;
    job.shop.panels =
        PanelRules { kerf: Length::from_inches(kerf), trim: Length::from_inches(trim), solid_waste: Ratio::ZERO };
    sheet_problem(&job, &Casework { parts, ..Casework::default() })
}

fn packed(problem: &BoardProblem) -> Result<BoardPlan, BoardShortage> {
    pack(problem, &Budget::default(), &mut |_| Flow::Continue)
}

/// Tiny jobs of up to three sizes of panels on up to three kinds of sheets, kerf and trims 0 or 1, counted in whole inches:
/// every plan by brute force.
#[test]
fn tiny_jobs_cost_the_least_of_all_plans() {
    let (mut solved, mut impossible) = (0, 0);
    for seed in 0..150 {
        let mut dice = Dice::new(seed);
        let parts = (0..dice.between(1, 3))
            .map(|_| part(dice.between(2, 7), dice.between(2, 6), dice.between(1, 4) as u32))
            .collect();
        let sheets = (0..dice.between(1, 3)).map(|_| {
            let some = dice.chance(3).then(|| dice.between(0, 2) as u32);
            sheet(dice.between(4, 10), dice.between(6, 12), some, dice.between(1, 40))
        });
        let problem = problem(parts, sheets.collect(), (dice.between(0, 1), dice.between(0, 1)));
        match (least_cost(&problem), packed(&problem)) {
            (Some(least), Ok(plan)) => {
                assert_eq!((plan.cost.get(), plan.bound.get()), (least, least), "seed {seed}");
                solved += 1;
            }
            (None, Err(_)) => impossible += 1,
            (known, found) => panic!("seed {seed}: {known:?} {found:?}"),
        }
    }
    assert!(solved > 60 && impossible > 5, "{solved} {impossible}");
}

/// Panels as long as their sheet are rolls cut from wider ones, kerf 0: the paper mill of the encyclopaedia article
/// "Cutting stock problem" (5600 wide, optimum 73), Chvatal, *Linear Programming*, 1983 (100 wide, optimum 453) and the
/// cutting example of Fourer, Gay and Kernighan, *AMPL* (110 wide, optimum 47).
#[test]
fn published_rolls_need_as_many_sheets_as_is_published() {
    const MILL: [(i64, u32); 13] = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    type Rolls<'a> = &'a [(i64, u32)];
    let instances: [(i64, Rolls<'_>, usize); 3] = [
        (5600, &MILL, 73),
        (100, &[(45, 97), (36, 610), (31, 395), (14, 211)], 453),
        (110, &[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)], 47),
    ];
    for (wide, rolls, optimum) in instances {
        let parts = rolls.iter().map(|(width, count)| part(10, *width, *count)).collect();
        let plan = packed(&problem(parts, vec![sheet(wide, 10, None, 1)], (0, 0))).unwrap();
        assert_eq!((plan.boards.len(), plan.optimal), (optimum, true), "{wide}");
    }
}

/// A panel keeps its grain along the sheet: turned it would fit, as it is it does not.
#[test]
fn no_panel_is_turned() {
    let across = problem(vec![part(20, 40, 1)], vec![sheet(30, 50, None, 5)], (0, 0));
    assert!(matches!(packed(&across), Err(BoardShortage::NoBoard(_))));
    let along = problem(vec![part(40, 20, 1)], vec![sheet(30, 50, None, 5)], (0, 0));
    assert_eq!(packed(&along).unwrap().boards.len(), 1);
}

/// A wider kerf, a wider trim or one panel more never costs less; a second copy of everything never more than twice.
#[test]
fn laws_of_packing_hold() {
    let cost = |count: u32, kerf: i64, trim: i64| {
        let parts = vec![part(30, 16, 4 * count), part(20, 18, 3 * count), part(28, 12, 5 * count)];
        let sheets = vec![sheet(48, 96, None, 8400), sheet(60, 60, Some(1), 1000)];
        let plan = packed(&problem(parts, sheets, (kerf, trim))).unwrap();
        assert!(plan.bound <= plan.cost);
        plan.cost.get()
    };
    assert!(cost(1, 0, 0) <= cost(1, 1, 0) && cost(1, 1, 0) <= cost(1, 2, 0));
    assert!(cost(1, 0, 0) <= cost(1, 0, 1) && cost(1, 0, 1) <= cost(1, 0, 3));
    assert!(cost(1, 1, 1) <= cost(2, 1, 1));
    // The sheet on hand serves once.
    assert!(cost(2, 1, 1) <= 2 * cost(1, 1, 1) + 7400);
}

const CASE: &str = "[case]\nmaterial = \"Birch Plywood\"\nthickness = \"3/4\"\nback = { thickness = \"1/4\" }\n";

/// Two presses: 4 of 36 x 15-3/4, 4 of 29-1/2 x 15-3/4 in 3/4 in, 2 backs of 28-3/4 x 36-3/4 in 1/4 in. A sheet gives
/// 47-1/2 x 95-1/2 within its trims: three rips of 15-3/4 are 47-1/4 and two kerfs of 1/8, just 47-1/2; along them
/// 36 + 29-1/2 + 29-1/2 and two kerfs are 95-1/4. So the eight panels are three rips of two lengths and more: 4 x 36 and
/// 4 x 29-1/2 are 262 in of rips and a sheet has 286-1/2: one sheet; and one for the two backs, 57-1/2 + 1/8 long.
#[test]
fn two_presses_come_out_of_two_sheets() {
    let job = job_of(&format!("{HEAD}{CASE}{}", cabinet("pair")));
    let plan = plan_job(&job).unwrap();
    let used: Vec<(&str, u32)> =
        plan.cased.sheets_used(&job).into_iter().map(|(sheet, used)| (sheet.sheet.as_str(), used)).collect();
    assert_eq!(used, [("ply 1/4", 1), ("ply 3/4", 1)]);
    assert!(plan.cased.sheets.optimal);
    let line = |group: &str| plan.bill.costs.iter().find(|line| line.group == group).map(|line| line.cost.get());
    assert_eq!(plan.bill.costs.iter().filter(|line| line.group == "sheets").count(), 2);
    assert_eq!(line("sheets"), Some(3800));
    let shares: i64 = plan.bill.shares.iter().map(|share| share.total().get()).sum();
    assert_eq!(shares, plan.bill.total.get());
}

/// Sheets on hand cost what their row says and are not shopped for.
#[test]
fn sheets_on_hand_are_not_bought() {
    let sheets = super::SHEETS.replace("0.75,48,96,,84.00", "0.75,48,96,2,");
    let text = format!("{HEAD}{CASE}{}", cabinet("pair"));
    let job = slatwright::job::parse(&super::sources(&text).with("sheets.csv", &*sheets)).unwrap();
    let plan = plan_job(&job).unwrap();
    let bought: Vec<&str> =
        plan.bill.buy.iter().filter(|line| line.what == "sheet").map(|line| line.item.as_str()).collect();
    assert_eq!(bought, ["ply 1/4"]);
    assert_eq!(plan.cased.sheets.cost, Cents::new(3800));
}

/// Six presses take three sheets of 3/4 in: 12 x 36 + 12 x 29-1/2 = 786 in of rips, 286-1/2 in a sheet. One is on hand and none
/// for sale.
#[test]
fn no_more_sheets_are_cut_than_there_are() {
    let sheets = super::SHEETS.replace("0.75,48,96,,84.00", "0.75,48,96,1,");
    let text = format!("{HEAD}{CASE}{}", cabinet("pair").replace("count = 2", "count = 6"));
    let job = slatwright::job::parse(&super::sources(&text).with("sheets.csv", &*sheets)).unwrap();
    let planned = plan_job(&job);
    assert!(matches!(planned, Err(CannotPlan::Sheets(BoardShortage::RunsShort(_), _))), "{:?}", planned.map(|_| ()));
}

/// A desk in solid cherry, panels 3/4: top and bottom 24 x 18, sides 23-1/2 x 18, faces 2 x 432 + 2 x 423 = 1710 in2, in 4/4
/// charged as 1 in 11.875 board feet; 30 % more is 15.4375, up to the hundredth 15.44. 5/4 costs 7.00 a foot against 9.00,
/// by the face 8.75 against 9.00: 1710 x 1.25 / 144 = 14.84375, with waste 19.296875, 19.30 feet at 7.00 are 135.10.
#[test]
fn solid_panels_are_bought_by_the_board_foot_with_waste() {
    let text = "[case]\nmaterial = \"cherry\"\nsolid = true\nthickness = \"3/4\"\n";
    let desk = "[[cabinet]]\nname = \"desk\"\ninside_width = \"24\"\ninside_depth = \"18\"\ninside_height = \"22\"\n\
                doors = \"up\"\nsetback = \"3/4\"\ncorner_radius = \"3\"\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";
    let job = job_of(&format!("{HEAD}{text}{desk}"));
    let plan = plan_job(&job).unwrap();
    let line = plan.bill.costs.iter().find(|line| line.group == "panels").unwrap();
    assert_eq!((line.quantity.to_string().as_str(), line.cost.get()), ("19.3", 13510), "{line:?}");
    let bought = plan.bill.buy.iter().find(|line| line.what == "panel lumber").unwrap();
    assert!(bought.say.starts_with("5/4 cherry for 4 glued-up panels 3/4 in thick: 19.3 bf"), "{}", bought.say);
    assert!(plan.cased.sheets.boards.is_empty());
}

/// What no row is for is listed and not packed, and says so.
#[test]
fn goods_in_no_row_are_listed_alone() {
    let text = CASE.replace("Birch Plywood", "oak plywood");
    let job = job_of(&format!("{HEAD}{text}{}", cabinet("pair")));
    let plan = plan_job(&job).unwrap();
    assert!(plan.cased.sheets.boards.is_empty() && plan.cased.case.parts.is_empty());
    assert_eq!(
        plan.cased.case.unlisted,
        [("oak plywood".to_owned(), inch("3/4")), ("oak plywood".to_owned(), inch("1/4"))]
    );
    let files: std::collections::BTreeMap<String, Vec<u8>> = plan_files(&job, &plan).into_iter().collect();
    let csv = String::from_utf8_lossy(&files["case.csv"]).into_owned();
    assert_eq!(csv.lines().filter(|line| line.contains("oak plywood,listed")).count(), 5, "{csv}");
    let page = undressed(&String::from_utf8_lossy(&files["pages/panels.html"]));
    assert!(page.contains("oak plywood 3/4 in is in no row of the sheets file"));
    // Without a sheets file it is the same.
    let bare = format!("{HEAD}{text}{}", cabinet("pair")).replace("sheets = \"sheets.csv\"\n", "");
    assert_eq!(plan_job(&job_of(&bare)).unwrap().cased.case.unlisted.len(), 2);
}

/// Hours by hand at 4 minutes a panel, 2 a setting; 10 a setting and 2 a foot of edging; 60 a case.
#[test]
fn hours_are_counted_by_panels_feet_and_cases() {
    let shop = "[rates]\nmaker = 48.00\nhelper = 31.00\n";
    let text = format!("shop = \"shop.toml\"\n{HEAD}{CASE}edging = {{ thickness = \"1/8\" }}\n{}", cabinet("pair"));
    let job = slatwright::job::parse(&super::sources(&text).with("shop.toml", shop)).unwrap();
    let plan = plan_job(&job).unwrap();
    let of = |word: &str| plan.bill.work.iter().find(|line| line.rule.operation.word() == word).unwrap();
    // Two presses of five panels in three sizes.
    let cutting = of("panel cutting");
    assert_eq!((cutting.settings, cutting.quantity, cutting.minutes), (3, 10.into(), (3 * 2 + 10 * 4).into()));
    // Fronts: 2 x (2 x 36 + 2 x 29-1/2) = 262 in are 21.8333 ft.
    let edging = of("panel edging");
    assert_eq!(edging.quantity.to_string(), "21.8333");
    assert_eq!(of("case glue-up").minutes, 120.into());
    assert!(plan.bill.work.iter().all(|line| line.rule.operation.word() != "panel glue-up"));
}
