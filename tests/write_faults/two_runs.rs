//! Two runs at once.

use std::fs;

use crate::write_faults::shops::{JOBS, TwoPlans};

#[test]
fn two_runs_at_once_leave_one_plan() {
    let two = TwoPlans::new();
    two.started("out");
    let out = two.shop.path("out");
    let outside = two.outside("out");
    for _ in 0..12 {
        let children = JOBS.map(|job| two.spawn(&["plan", job, "--out", "out"]));
        let done = children.map(|mut child| child.wait().unwrap().code());
        assert!(done.iter().all(|code| matches!(code, Some(0 | 2))) && done.contains(&Some(0)), "{done:?}");
        let at = two.which(&out);
        assert_eq!(done[at], Some(0), "the plan of a run that says it failed");
        assert!(!out.join(".slatwright-stage").exists());
    }
    assert!(two.outside("out") == outside);
    assert_eq!(fs::read_to_string(out.join("notes.txt")).unwrap(), "mine");
}

/// The same for a folder that is not there yet, where the losers clean up after themselves.
#[test]
fn runs_at_once_into_a_new_folder_leave_one_plan() {
    let two = TwoPlans::new();
    for round in 0..6 {
        let name = format!("new{round}/out");
        let children = [0, 1, 0, 1].map(|at| (at, two.spawn(&["plan", JOBS[at], "--out", &name])));
        let done = children.map(|(at, mut child)| (at, child.wait().unwrap().code()));
        let at = two.which(&two.shop.path(&name));
        assert!(done.contains(&(at, Some(0))), "{done:?}");
    }
}
