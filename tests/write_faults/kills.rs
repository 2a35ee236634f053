//! Kills at any moment.

use std::fs;
use std::process::{Command, Stdio};
use std::time::Instant;

use crate::common::dice::Dice;
use crate::floor_support::text;
use crate::write_faults::shops::{JOBS, TwoPlans, kill, moment, on_the_rack, settled, wait_for};

/// Kills at random moments of the whole run, of the staging, and right behind the journal.
#[test]
fn a_plan_killed_at_any_moment_leaves_the_old_plan_or_the_new_one() {
    let two = TwoPlans::new();
    two.started("out");
    let out = two.shop.path("out");
    let outside = two.outside("out");
    let begun = Instant::now();
    two.shop.ok(&["plan", JOBS[0], "--out", "out"]);
    let whole_run = begun.elapsed();
    let mut dice = Dice::new(2026);
    let (mut kept, mut changed, mut caught) = (0, 0, 0);
    let stage = out.join(".slatwright-stage");
    for round in 0..90 {
        let old = two.which(&out);
        let mut child = two.spawn(&["plan", JOBS[1 - old], "--out", "out"]);
        match round % 3 {
            0 => std::thread::sleep(moment(&mut dice, whole_run)),
            1 => {
                wait_for(&mut child, || stage.exists());
                std::thread::sleep(moment(&mut dice, whole_run / 2));
            }
            _ => wait_for(&mut child, || stage.join("journal").exists()),
        }
        kill(child);
        caught += usize::from(stage.join("journal").exists());
        two.each_file_is_whole(&out);
        // What the next run, or whoever reads the folder through the library, finds.
        settled(&out);
        if two.which(&out) == old {
            kept += 1
        } else {
            changed += 1
        }
        assert_eq!(fs::read_to_string(out.join("notes.txt")).unwrap(), "mine");
        assert!(two.outside("out") == outside, "round {round} changed something outside the folder");
    }
    println!("{kept} times the old plan, {changed} times the new one, {caught} times killed behind the journal");
    assert!(kept > 0 && changed > 0, "{kept} kept, {changed} changed: the kills miss the writing");
}

/// The shop floor reads the plan that the killed run had settled on, not a mixture.
#[test]
fn a_count_after_a_kill_reads_one_plan() {
    let two = TwoPlans::new();
    two.started("out");
    let out = two.shop.path("out");
    let blank = JOBS.map(|job| {
        two.shop.ok(&["plan", job, "--out", "out"]);
        two.shop.ok(&["count", job, "--plan", "out", "--blank"])
    });
    for _ in 0..12 {
        two.shop.ok(&["plan", JOBS[0], "--out", "out"]);
        let mut child = two.spawn(&["plan", JOBS[1], "--out", "out"]);
        wait_for(&mut child, || out.join(".slatwright-stage/journal").exists());
        kill(child);
        let found = [0, 1].map(|at| two.shop.run(&["count", JOBS[at], "--plan", "out", "--blank"]));
        let right = [0, 1].map(|at| found[at].status.success() && text(&found[at].stdout) == blank[at]);
        let refused = |at: usize| found[at].status.code() == Some(2) && found[at].stdout.is_empty();
        let at = two.which(&out);
        assert!(right[at] && refused(1 - at), "the folder holds plan {at}, the counts say {right:?}");
    }
}

/// A rack brought up to date is killed again and again: the old file or the new one, and a backup that is the old one.
#[test]
fn a_rack_killed_at_any_moment_is_the_old_one_or_the_new_one() {
    let shop = on_the_rack();
    let update = ["rack", "mine/job.toml", "--plan", "out", "--rack", "mine/boards.csv", "--update"];
    let (rack, bak) = (shop.path("mine/boards.csv"), shop.path("mine/boards.csv.bak"));
    let old = fs::read(&rack).unwrap();
    let begun = Instant::now();
    shop.ok(&update);
    let whole_run = begun.elapsed();
    let new = fs::read(&rack).unwrap();
    assert!(old != new && fs::read(&bak).unwrap() == old);
    let mut dice = Dice::new(7);
    let (mut kept, mut changed) = (0, 0);
    for round in 0..60 {
        fs::write(&rack, &old).unwrap();
        let _ = fs::remove_file(&bak);
        let mut child = Command::new(env!("CARGO_BIN_EXE_slatwright"))
            .current_dir(shop.home.path())
            .args(update)
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        if round % 2 == 0 {
            std::thread::sleep(moment(&mut dice, whole_run));
        } else {
            let watched = if round % 4 == 1 { bak.clone() } else { shop.path("mine/.boards.csv.part") };
            wait_for(&mut child, || watched.exists());
        }
        kill(child);
        let now = fs::read(&rack).unwrap();
        assert!(now == old || now == new, "round {round}: {}", text(&now));
        assert!(!bak.exists() || fs::read(&bak).unwrap() == old, "round {round}");
        assert!(now == old || bak.exists(), "round {round}: the new rack without the old one's copy");
        if now == old { kept += 1 } else { changed += 1 }
    }
    assert!(kept > 0, "{kept} kept, {changed} changed");
    fs::write(&rack, &old).unwrap();
    shop.ok(&update);
    assert_eq!(fs::read(&rack).unwrap(), new, "what killed runs left hinders nobody");
}
