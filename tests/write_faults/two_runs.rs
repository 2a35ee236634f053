//! Two runs at once.

use std::collections::BTreeSet;
use std::fs;
use std::process::{Command, Stdio};

use slatwright::report::folder;

use crate::common::all_cases;
use crate::floor_support::{ShopFolder, rows, text};
use crate::write_faults::shops::{JOBS, TwoPlans, on_the_rack};

#[test]
fn two_runs_at_once_leave_one_plan() {
    let two = TwoPlans::new();
    two.started("out");
    let out = two.shop.path("out");
    let outside = two.outside("out");
    for _ in 0..if all_cases() { 12 } else { 4 } {
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

/// Counts of four jobs into one history at once: what a run says it wrote is there, and stays.
#[test]
fn of_counts_recorded_at_once_none_is_lost() {
    let shop = on_the_rack();
    let job = shop.read("mine/job.toml");
    let names = ["mine/a.toml", "mine/b.toml", "mine/c.toml", "mine/d.toml"];
    for name in names {
        shop.write(name, &job.replace("\"bench\"", &format!("\"{name}\"")));
    }
    let mut recorded: BTreeSet<&str> = BTreeSet::new();
    // A run that loses the race is told and reads again, so of those still to record one at least gets through each
    // time; behind them come rounds of all four, which write anew what is there.
    for round in 0..2 * names.len() {
        let racing: Vec<&str> =
            names.into_iter().filter(|name| round >= names.len() || !recorded.contains(name)).collect();
        recorded.extend(record_at_once(&shop, &racing));
        let past = rows(&shop.read("mine/history.csv"));
        let there: Vec<&String> = past.iter().filter(|row| row["kind"] == "strips").map(|row| &row["job"]).collect();
        assert!(recorded.iter().all(|name| there.iter().filter(|job| **job == name).count() == 1), "{there:?}");
    }
    assert_eq!(recorded.len(), names.len());
}

/// The jobs of those whose runs say that they have recorded; the others say that somebody else was writing.
fn record_at_once<'a>(shop: &ShopFolder, names: &[&'a str]) -> Vec<&'a str> {
    let runs = names.iter().map(|&name| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_slatwright"));
        command.current_dir(shop.home.path()).args(["count", name, "--plan", "out"]);
        command.args(["--cut", "count.csv", "--record"]);
        (name, command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap())
    });
    let runs: Vec<_> = runs.collect();
    let ended = runs.into_iter().map(|(name, run)| {
        let output = run.wait_with_output().unwrap();
        let error = text(&output.stderr);
        let told = error.contains("changed since it was read") || error.contains("another run is writing");
        assert!(output.status.success() || told, "{error}");
        output.status.success().then_some(name)
    });
    ended.flatten().collect()
}

/// Before it packs, so before it can say that nothing yields a strip this long.
#[test]
fn a_second_run_is_told_before_it_packs() {
    let strips = "[[strip]]\nname = \"edging\"\nspecies = \"cherry\"\nlength = 31\nwidth = 0.75\nthickness = 0.375\n\
                  quantity = 14\n";
    let shop = ShopFolder::small(strips, "yard 6,cherry,4/4,6,96,,9.85,bf\n");
    let job = shop.read("mine/job.toml").replace("length = 31", "length = 310");
    shop.write("mine/long.toml", &job);
    let plan = ["plan", "mine/long.toml", "--out", "out"];
    let output = shop.run(&plan);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    assert!(text(&output.stderr).contains("mine/long.toml:11: no board yields"), "{}", text(&output.stderr));
    let held = folder::claim(&shop.path("out")).unwrap();
    shop.refused(&plan, "another run is using `out`");
    drop(held);
    assert_eq!(shop.run(&plan).status.code(), Some(1));
}

/// What a helper wrote into a list of the plan is still there behind the next plan, and the screen says where.
#[test]
fn a_list_that_was_edited_is_kept_and_named() {
    let two = TwoPlans::new();
    two.shop.ok(&["plan", JOBS[0], "--out", "out"]);
    let rips = two.shop.read("out/rips.csv") + "one short\n";
    two.shop.write("out/rips.csv", &rips);
    let said = two.shop.ok(&["plan", JOBS[1], "--out", "out"]);
    assert!(said.contains("This file was edited since slatwright wrote it, and is kept as rips.csv.bak."), "{said}");
    assert_eq!(two.shop.read("out/rips.csv.bak"), rips);
    assert!(!two.shop.ok(&["plan", JOBS[1], "--out", "out"]).contains("edited"));
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
