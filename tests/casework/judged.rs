//! The verifier recounts panels and sheets from the job and the tables alone: one thing wrong, and it is named.

use slatwright::bill::Cased;
use slatwright::job::Job;
use slatwright::measure::Length;
use slatwright::plan::{Plan, plan_job};
use slatwright::verify::{Claim, Violation, verify};

use super::{HEAD, cabinet, inch, job_of};

fn planned() -> (Job, Plan) {
    let case = "[case]\nmaterial = \"birch plywood\"\nthickness = \"3/4\"\njoint = \"dado\"\ndado_depth = \"1/4\"\n\
                back = { thickness = \"1/4\" }\nlining = { thickness = \"1/4\" }\nshelves = { count = 2 }\n\
                edging = { thickness = \"1/8\" }\n";
    let job = job_of(&format!("{HEAD}{case}{}", cabinet("pair")));
    let plan = plan_job(&job).unwrap();
    (job, plan)
}

fn judged(job: &Job, plan: &Plan) -> Vec<Violation> {
    verify(&Claim {
        job,
        doors: &plan.doors,
        parts: &plan.demand.parts,
        confidence: plan.demand.confidence,
        cloth_needs: &plan.demand.cloth,
        boards: &plan.boards,
        bundles: &plan.demand.bundles,
        tied: &plan.tied,
        ease: &plan.ease.1,
        cloth: &plan.cloth,
        case: &plan.cased.case,
        sheets: &plan.cased.sheets,
        bill: &plan.bill,
    })
}

/// What is said of a plan with this one thing wrong.
fn damaged(damage: impl FnOnce(&mut Cased)) -> String {
    let (job, mut plan) = planned();
    assert_eq!(judged(&job, &plan), []);
    damage(&mut plan.cased);
    let found = judged(&job, &plan);
    assert!(!found.is_empty(), "the damage was not seen");
    found.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_panel_of_another_size_count_or_make() {
    let said = damaged(|cased| cased.case.panels[0].length = inch("36"));
    assert!(
        said.contains("the top of `press` is 36.5 in x 15.75 in x 0.75 in")
            || said.contains("the top of `press` is 36"),
        "{said}"
    );
    assert!(
        damaged(|cased| cased.case.panels[2].count = 1).contains("the left side of `press` is made 2 times, not 1")
    );
    assert!(damaged(|cased| cased.case.panels[0].grooved = false).contains("grooves of the top"));
    assert!(damaged(|cased| cased.case.panels[0].edged.front = false).contains("edging"));
    assert!(damaged(|cased| cased.case.panels[0].material.name = "mdf".to_owned()).contains("material"));
    assert!(damaged(|cased| drop(cased.case.panels.remove(4))).contains("the back of `press` is missing"));
    let twice = damaged(|cased| {
        let more = cased.case.panels[1].clone();
        cased.case.panels.push(more);
    });
    assert!(twice.contains("nothing asks for the panel `bottom`"), "{twice}");
}

/// A sixty-fourth more than the room is seen, in either size of a shelf and in the place of the lining.
#[test]
fn a_shelf_or_a_lining_in_the_way_of_the_door() {
    let hair = Length::from_64ths(2);
    let shelf = |cased: &Cased| cased.case.panels.iter().position(|panel| panel.name == "shelf").unwrap();
    let deep = damaged(|cased| {
        let at = shelf(cased);
        cased.case.panels[at].width += hair;
    });
    assert!(deep.contains("a shelf of `press` does not fit beside the doors"), "{deep}");
    let wide = damaged(|cased| {
        let at = shelf(cased);
        cased.case.panels[at].length += hair * 2;
    });
    assert!(wide.contains("a shelf of `press` does not fit beside the doors"), "{wide}");
    assert!(damaged(|cased| cased.case.linings[0].1.front = inch("1")).contains("touches the lining"));
    assert!(damaged(|cased| cased.case.linings[0].1.inset = inch("1/2")).contains("touches the lining"));
    assert!(damaged(|cased| cased.case.linings[0].1.back = None).contains("touches the lining"));
}

#[test]
fn sheets_cut_otherwise_than_the_saw_can() {
    assert!(damaged(|cased| drop(cased.sheets.boards.remove(0))).contains("sheets: "));
    assert!(damaged(|cased| cased.sheets.boards[0].stock = 7).contains("sheets: "));
    assert!(damaged(|cased| cased.sheets.boards[0].blanks[0].rips[0].rip_width = inch("60")).contains("sheets: "));
    assert!(
        damaged(|cased| cased.case.parts[0].count += 1)
            .contains("the sizes cut out of sheets are not those of the panels")
    );
    let turned = damaged(|cased| {
        let part = &mut cased.case.parts[0];
        (part.length, part.width) = (part.width, part.length);
    });
    assert!(turned.contains("the sizes cut out of sheets"), "{turned}");
}

/// The bill's lines of sheets are recounted from what is cut.
#[test]
fn a_sheet_that_is_not_billed() {
    let (job, mut plan) = planned();
    plan.bill.costs.retain(|line| line.group != "sheets");
    let said: Vec<String> = judged(&job, &plan).iter().map(ToString::to_string).collect();
    assert!(said.iter().any(|said| said.contains("under sheets")), "{said:?}");
    let (job, mut plan) = planned();
    plan.bill.buy.retain(|line| line.what != "sheet");
    let said: Vec<String> = judged(&job, &plan).iter().map(ToString::to_string).collect();
    assert!(said.iter().any(|said| said.contains("the shopping list lacks ply")), "{said:?}");
}
