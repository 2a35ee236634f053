//! Kills at any moment.

use std::fs;
use std::process::{Command, Stdio};
use std::time::Instant;

use crate::common::dice::Dice;
use crate::common::some_of;
use crate::floor_support::{ShopFolder, text};
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
    for round in 0..some_of(150) {
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
    for _ in 0..some_of(20) {
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

/// Runs that replace one file are killed again and again: it is the old one or the new one, and its backup the old one.
fn killed_while_replacing(shop: &ShopFolder, arguments: &[&str], file: &str, rounds: u32) {
    let (path, bak) = (shop.path(file), shop.path(&format!("{file}.bak")));
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    let part = path.with_file_name(format!(".{name}.part"));
    let old = fs::read(&path).unwrap();
    let begun = Instant::now();
    shop.ok(arguments);
    let whole_run = begun.elapsed();
    let new = fs::read(&path).unwrap();
    assert!(old != new && fs::read(&bak).unwrap() == old);
    let mut dice = Dice::new(7);
    let (mut kept, mut changed) = (0, 0);
    for round in 0..rounds {
        fs::write(&path, &old).unwrap();
        let _ = fs::remove_file(&bak);
        let mut child = Command::new(env!("CARGO_BIN_EXE_slatwright"))
            .current_dir(shop.home.path())
            .args(arguments)
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        if round % 2 == 0 {
            std::thread::sleep(moment(&mut dice, whole_run));
        } else {
            let watched = if round % 4 == 1 { &bak } else { &part };
            wait_for(&mut child, || watched.exists());
        }
        kill(child);
        let now = fs::read(&path).unwrap();
        assert!(now == old || now == new, "round {round}: {}", text(&now));
        assert!(!bak.exists() || fs::read(&bak).unwrap() == old, "round {round}");
        assert!(now == old || bak.exists(), "round {round}: the new file without the old one's copy");
        if now == old { kept += 1 } else { changed += 1 }
    }
    assert!(kept > 0, "{kept} kept, {changed} changed");
    fs::write(&path, &old).unwrap();
    shop.ok(arguments);
    assert_eq!(fs::read(&path).unwrap(), new, "what killed runs left hinders nobody");
}

#[test]
fn a_rack_killed_at_any_moment_is_the_old_one_or_the_new_one() {
    let update = ["rack", "mine/job.toml", "--plan", "out", "--rack", "mine/boards.csv", "--update"];
    killed_while_replacing(&on_the_rack(), &update, "mine/boards.csv", 60);
}

#[test]
fn a_history_killed_at_any_moment_is_the_old_one_or_the_new_one() {
    let shop = on_the_rack();
    let record = ["count", "mine/job.toml", "--plan", "out", "--cut", "count.csv", "--record"];
    shop.ok(&record);
    // Another count of the same build stands in its rows' place.
    shop.write("count.csv", &shop.filled(&["mine/job.toml", "--plan", "out"], |_, _, yields| yields / 3));
    killed_while_replacing(&shop, &record, "mine/history.csv", 32);
}

#[test]
fn a_trip_to_the_yard_killed_at_its_end_leaves_the_old_list_or_the_new_one() {
    let shop = on_the_rack();
    let header = "stock,species,thickness,width,length,on_hand,price,per\n";
    shop.write("seen.csv", &format!("{header}wide one,cherry,4/4,7,96,1,30.00,each\n"));
    shop.write("bought.csv", &format!("{header}some other,cherry,4/4,6,96,1,20.00,each\n"));
    let finish = ["yard", "mine/job.toml", "--picked", "seen.csv", "--finish", "bought.csv"];
    killed_while_replacing(&shop, &finish, "bought.csv", 32);
    // Of two at once one writes; the other says so and has changed nothing, or comes after it.
    let runs: Vec<_> = (0..4)
        .map(|_| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_slatwright"));
            command.current_dir(shop.home.path()).args(finish).stdout(Stdio::null()).stderr(Stdio::piped());
            command.spawn().unwrap()
        })
        .collect();
    let mut wrote = 0;
    for run in runs {
        let output = run.wait_with_output().unwrap();
        let error = text(&output.stderr);
        let told = error.contains("changed since it was read") || error.contains("another run is writing");
        assert!(output.status.success() || told, "{error}");
        wrote += u32::from(output.status.success());
    }
    assert!(wrote > 0 && shop.read("bought.csv").contains("wide one"));
}
