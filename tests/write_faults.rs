//! What may go wrong while a plan, a tally or a rack is written: a kill, a full disk, no right to write, two runs at
//! once, links and files in the way. The old files or the new ones stand there afterwards, never half of each, and
//! nothing else has changed.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "what cannot be tested here is said")]

mod floor_support;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use floor_support::{ShopFolder, text};
use slatwright::report::folder;

/// Files below a folder by name, those in `skip` left out.
type Tree = BTreeMap<PathBuf, Vec<u8>>;

fn tree(folder: &Path, skip: &dyn Fn(&Path) -> bool) -> Tree {
    let mut found = Tree::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(here) = folders.pop() {
        for entry in fs::read_dir(here).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(folder).unwrap().to_owned();
            if skip(&name) {
                continue;
            }
            if fs::symlink_metadata(&path).unwrap().is_dir() {
                folders.push(path);
            } else {
                found.insert(name, fs::read(&path).unwrap_or_default());
            }
        }
    }
    found
}

/// What a person sees of a plan folder: all but our own hidden files.
fn plan_in(folder: &Path) -> Tree {
    tree(folder, &|name| name.to_string_lossy().starts_with(".slatwright") || name == Path::new("notes.txt"))
}

/// A shop with two jobs whose plans differ in bytes and in files, and what those plans are.
struct TwoPlans {
    shop: ShopFolder,
    plans: [Tree; 2],
}

const JOBS: [&str; 2] = ["mine/small_press.toml", "mine/other_press.toml"];

impl TwoPlans {
    fn new() -> Self {
        let shop = ShopFolder::new();
        let first = shop.read(JOBS[0]);
        let other = first.replace("inside_width = \"30\"", "inside_width = \"34\"")
            + "\n[[cabinet]]\nname = \"chest\"\n\
            inside_width = \"26\"\ninside_depth = \"16\"\ninside_height = \"20\"\ndoors = \"left\"\nsetback = \"3/4\"\n\
            corner_radius = \"3\"\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";
        shop.write(JOBS[1], &other);
        let plans = JOBS.map(|job| {
            shop.ok(&["plan", job, "--out", "known"]);
            plan_in(&shop.path("known"))
        });
        assert!(plans[0].len() < plans[1].len() && plans[0].values().all(|text| !text.is_empty()));
        fs::remove_dir_all(shop.path("known")).unwrap();
        Self { shop, plans }
    }

    /// Plans the first job into `out` and puts a file of somebody else's beside it.
    fn started(&self, out: &str) {
        self.shop.ok(&["plan", JOBS[0], "--out", out]);
        fs::write(self.shop.path(out).join("notes.txt"), "mine").unwrap();
    }

    fn spawn(&self, arguments: &[&str]) -> Child {
        Command::new(env!("CARGO_BIN_EXE_slatwright"))
            .current_dir(self.shop.home.path())
            .args(arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    }

    /// Which of the two plans lies in the folder, whole.
    #[track_caller]
    fn which(&self, out: &Path) -> usize {
        let found = plan_in(out);
        self.plans.iter().position(|plan| *plan == found).unwrap_or_else(|| {
            let names: Vec<_> = found.keys().filter(|name| found.get(*name) != self.plans[0].get(*name)).collect();
            panic!("{} files, neither plan; not as in the first: {names:?}", found.len())
        })
    }

    /// Every file that is seen is whole, whichever plan it is of.
    #[track_caller]
    fn each_file_is_whole(&self, out: &Path) {
        for (name, bytes) in plan_in(out) {
            assert!(self.plans.iter().any(|plan| plan.get(&name) == Some(&bytes)), "{} is torn", name.display());
        }
    }

    /// Everything in the shop's folder but `out`.
    fn outside(&self, out: &str) -> Tree {
        tree(self.shop.home.path(), &|name| name == Path::new(out))
    }
}

/// A small generator (SplitMix64; Steele, Lea and Flood 2014, constants from memory): the same delays every run.
struct Delays(u64);

impl Delays {
    fn below(&mut self, most: Duration) -> Duration {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        most.mul_f64(((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64)
    }
}

/// Waits until `seen` holds or the child has ended, without sleeping: the moment is short.
fn wait_for(child: &mut Child, seen: impl Fn() -> bool) {
    while !seen() && child.try_wait().unwrap().is_none() {}
}

fn kill(mut child: Child) {
    let _ = child.kill();
    child.wait().unwrap();
}

/// Reads the folder as the shop floor does. A process that another test has just forked may hold our lock for a moment.
fn settled(out: &Path) {
    let begun = Instant::now();
    while let Err(error) = folder::read(out) {
        let busy = matches!(error, folder::FolderError::Busy(_)) && begun.elapsed() < Duration::from_secs(20);
        assert!(busy, "{error}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

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
    let mut delays = Delays(2026);
    let (mut kept, mut changed, mut caught) = (0, 0, 0);
    let stage = out.join(".slatwright-stage");
    for round in 0..90 {
        let old = two.which(&out);
        let mut child = two.spawn(&["plan", JOBS[1 - old], "--out", "out"]);
        match round % 3 {
            0 => std::thread::sleep(delays.below(whole_run)),
            1 => {
                wait_for(&mut child, || stage.exists());
                std::thread::sleep(delays.below(whole_run / 2));
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
fn a_tally_after_a_kill_reads_one_plan() {
    let two = TwoPlans::new();
    two.started("out");
    let out = two.shop.path("out");
    let blank = JOBS.map(|job| {
        two.shop.ok(&["plan", job, "--out", "out"]);
        two.shop.ok(&["tally", job, "--plan", "out", "--blank"])
    });
    for _ in 0..12 {
        two.shop.ok(&["plan", JOBS[0], "--out", "out"]);
        let mut child = two.spawn(&["plan", JOBS[1], "--out", "out"]);
        wait_for(&mut child, || out.join(".slatwright-stage/journal").exists());
        kill(child);
        let found = [0, 1].map(|at| two.shop.run(&["tally", JOBS[at], "--plan", "out", "--blank"]));
        let right = [0, 1].map(|at| found[at].status.success() && text(&found[at].stdout) == blank[at]);
        let refused = |at: usize| found[at].status.code() == Some(2) && found[at].stdout.is_empty();
        let at = two.which(&out);
        assert!(right[at] && refused(1 - at), "the folder holds plan {at}, the tallies say {right:?}");
    }
}

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

#[test]
fn what_lies_in_the_way_stays_and_nothing_is_written() {
    let two = TwoPlans::new();
    fs::write(two.shop.path("taken"), "mine").unwrap();
    two.shop.refused(&["plan", JOBS[0], "--out", "taken"], "is a file, not a folder");
    two.shop.refused(&["plan", JOBS[0], "--out", "taken/deeper"], "cannot make the folder");
    // A file where the plan needs a folder, a folder where it needs a file.
    two.started("out");
    for (name, is_folder) in [("pages", false), ("templates", false), ("rips.csv", true)] {
        let path = two.shop.path("out").join(name);
        if path.is_dir() {
            fs::remove_dir_all(&path).unwrap()
        } else {
            fs::remove_file(&path).unwrap()
        }
        if is_folder {
            fs::create_dir(&path).unwrap()
        } else {
            fs::write(&path, "mine").unwrap()
        }
        two.shop.refused(&["plan", JOBS[1], "--out", "out"], &format!("did not write ({name})"));
        if is_folder {
            fs::remove_dir(&path).unwrap()
        } else {
            fs::remove_file(&path).unwrap()
        }
        two.shop.ok(&["plan", JOBS[0], "--out", "out"]);
        assert_eq!(two.which(&two.shop.path("out")), 0);
    }
}

#[cfg(unix)]
mod links {
    use std::os::unix::fs::symlink;

    use super::*;

    #[test]
    fn an_out_folder_that_is_a_link_is_written_through() {
        let two = TwoPlans::new();
        fs::create_dir(two.shop.path("real")).unwrap();
        symlink(two.shop.path("real"), two.shop.path("out")).unwrap();
        two.started("out");
        two.shop.ok(&["plan", JOBS[1], "--out", "out"]);
        assert_eq!(two.which(&two.shop.path("real")), 1);
        assert!(fs::symlink_metadata(two.shop.path("out")).unwrap().is_symlink());
        symlink(two.shop.path("nowhere"), two.shop.path("dangling")).unwrap();
        let output = two.shop.run(&["plan", JOBS[1], "--out", "dangling"]);
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains("link to a folder that is not there"), "{}", text(&output.stderr));
        assert!(!two.shop.path("nowhere").exists());
    }

    /// A link inside the folder that leads elsewhere: nothing is written or removed behind it.
    #[test]
    fn a_link_within_the_folder_leads_nobody_out() {
        let two = TwoPlans::new();
        two.started("out");
        let (elsewhere, pages) = (two.shop.path("elsewhere"), two.shop.path("out/pages"));
        fs::rename(&pages, &elsewhere).unwrap();
        symlink(&elsewhere, &pages).unwrap();
        let before = tree(&elsewhere, &|_| false);
        let output = two.shop.run(&["plan", JOBS[1], "--out", "out"]);
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains("did not write (pages)"), "{}", text(&output.stderr));
        assert!(tree(&elsewhere, &|_| false) == before);
        // A file that became a link is ours by name: the link goes, what it led to stays.
        fs::remove_file(&pages).unwrap();
        fs::rename(&elsewhere, &pages).unwrap();
        fs::write(two.shop.path("precious.csv"), "keep").unwrap();
        fs::remove_file(two.shop.path("out/doors.csv")).unwrap();
        symlink(two.shop.path("precious.csv"), two.shop.path("out/doors.csv")).unwrap();
        two.shop.ok(&["plan", JOBS[1], "--out", "out"]);
        assert_eq!(two.which(&two.shop.path("out")), 1);
        assert_eq!(two.shop.read("precious.csv"), "keep");
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
    let mut delays = Delays(7);
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
            std::thread::sleep(delays.below(whole_run));
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

/// A small job that takes boards off the rack, planned into `out`.
fn on_the_rack() -> ShopFolder {
    let strips = "[[strip]]\nname = \"edging\"\nspecies = \"cherry\"\nlength = 31\nwidth = 0.75\nthickness = 0.375\n\
                  quantity = 14\n";
    let shop = ShopFolder::small(strips, "on rack,cherry,4/4,7.25,96,3,,\nyard 6,cherry,4/4,6,96,,9.85,bf\n");
    let job = shop.read("mine/shop.toml");
    shop.write("mine/shop.toml", &format!("history = \"history.csv\"\n{job}"));
    shop.write("tally.csv", &shop.filled(&["mine/job.toml", "--plan", "out"], |_, _, yields| yields / 6));
    shop
}

/// A file system of our own, taken away at the end. Mounting needs a privileged user: without one, the reason is
/// printed and the test ends.
#[cfg(target_os = "linux")]
struct Mount(PathBuf);

#[cfg(target_os = "linux")]
impl Mount {
    fn new(at: &Path, options: &str) -> Option<Self> {
        fs::create_dir_all(at).unwrap();
        let mounted = Command::new("mount").args(["-t", "tmpfs", "-o", options, "slatwright-test"]).arg(at).output();
        match mounted {
            Ok(output) if output.status.success() => Some(Self(at.to_owned())),
            Ok(output) => {
                println!("not tested, for nothing can be mounted here: {}", text(&output.stderr).trim());
                None
            }
            Err(error) => {
                println!("not tested, for there is no `mount`: {error}");
                None
            }
        }
    }

    fn again(&self, options: &str) {
        let options = format!("remount,{options}");
        assert!(Command::new("mount").args(["-o", &options]).arg(&self.0).status().unwrap().success());
    }

    /// Takes all room but so many bytes away.
    fn leave(&self, bytes: u64) {
        let filler = self.0.join("filler");
        let _ = fs::remove_file(&filler);
        let _ = fs::write(&filler, vec![1; 8 << 20]);
        let held = fs::metadata(&filler).unwrap().len();
        fs::File::options().write(true).open(&filler).unwrap().set_len(held.saturating_sub(bytes)).unwrap();
    }
}

#[cfg(target_os = "linux")]
impl Drop for Mount {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_the_plan_that_was_there() {
    let two = TwoPlans::new();
    let Some(disk) = Mount::new(&two.shop.path("disk"), "size=6m") else { return };
    disk.leave(0);
    let output = two.shop.run(&["plan", JOBS[0], "--out", "disk/new/out"]);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
    assert!(!two.shop.path("disk/new").exists(), "a folder that came to nothing is taken back");
    two.shop.refused(&["new", "disk/starter"], "No space left");
    disk.leave(4096);
    two.shop.refused(&["new", "disk/starter"], "No space left");
    assert!(!two.shop.path("disk/starter").exists());
    disk.leave(8 << 20);
    two.started("disk/out");
    let out = two.shop.path("disk/out");
    let size: u64 = two.plans[1].values().map(|bytes| (bytes.len() as u64).next_multiple_of(4096)).sum();
    let (mut full, mut room) = (0, 0);
    for step in (0..=24).map(|step| step * size / 20) {
        let old = two.which(&out);
        disk.leave(step);
        let output = two.shop.run(&["plan", JOBS[1 - old], "--out", "disk/out"]);
        assert!(!out.join(".slatwright-stage").exists(), "with {step} bytes left");
        match output.status.code() {
            Some(0) => {
                assert_eq!(two.which(&out), 1 - old, "with {step} bytes left");
                room += 1;
            }
            Some(2) => {
                assert_eq!(two.which(&out), old, "with {step} bytes left");
                assert!(text(&output.stderr).contains("No space left"), "{}", text(&output.stderr));
                full += 1;
            }
            other => panic!("status {other:?}: {}", text(&output.stderr)),
        }
        assert_eq!(fs::read_to_string(out.join("notes.txt")).unwrap(), "mine");
    }
    println!("{full} times no room, {room} times room enough");
    assert!(full > 5 && room > 0, "{full} times no room, {room} times room enough");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_the_rack_and_the_history_that_were_there() {
    let shop = on_the_rack();
    let Some(disk) = Mount::new(&shop.path("disk"), "size=1m") else { return };
    fs::copy(shop.path("mine/boards.csv"), shop.path("disk/rack.csv")).unwrap();
    let lead = "history = \"../disk/history.csv\"\n";
    shop.write("mine/shop.toml", &shop.read("mine/shop.toml").replace("history = \"history.csv\"\n", lead));
    let record = ["tally", "mine/job.toml", "--plan", "out", "--cut", "tally.csv", "--record"];
    let rack = ["rack", "mine/job.toml", "--plan", "out", "--rack", "disk/rack.csv", "--update"];
    shop.ok(&record);
    let before =
        tree(&shop.path("disk"), &|name| name.starts_with("filler") || name.to_string_lossy().ends_with(".lock"));
    // A tally that says something else, so that there is something to write.
    shop.write("tally.csv", &shop.filled(&["mine/job.toml", "--plan", "out"], |_, _, yields| yields / 4));
    disk.leave(0);
    for arguments in [record.as_slice(), &rack] {
        let output = shop.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
        assert!(text(&output.stderr).contains("No space left"), "{}", text(&output.stderr));
        let now =
            tree(&shop.path("disk"), &|name| name.starts_with("filler") || name.to_string_lossy().ends_with(".lock"));
        assert!(now == before, "{:?}", now.keys());
    }
    disk.leave(1 << 20);
    shop.ok(&record);
    shop.ok(&rack);
}

#[cfg(target_os = "linux")]
#[test]
fn a_read_only_disk_is_read_and_not_written() {
    let two = TwoPlans::new();
    let Some(disk) = Mount::new(&two.shop.path("disk"), "size=6m") else { return };
    two.started("disk/out");
    let blank = two.shop.ok(&["tally", JOBS[0], "--plan", "disk/out", "--blank"]);
    disk.again("ro");
    two.shop.refused(&["plan", JOBS[1], "--out", "disk/out"], "Read-only file system");
    two.shop.refused(&["plan", JOBS[1], "--out", "disk/new/out"], "Read-only file system");
    assert_eq!(two.which(&two.shop.path("disk/out")), 0);
    assert_eq!(two.shop.ok(&["tally", JOBS[0], "--plan", "disk/out", "--blank"]), blank, "a plan on a locked stick");
}

/// The same without a mount, for a user whom rights bind.
#[cfg(unix)]
#[test]
fn a_folder_without_the_right_to_write_stays_as_it_is() {
    use std::os::unix::fs::PermissionsExt;
    let two = TwoPlans::new();
    two.started("out");
    let out = two.shop.path("out");
    fs::set_permissions(&out, fs::Permissions::from_mode(0o555)).unwrap();
    let bound = fs::write(out.join("probe"), "").is_err();
    let output = two.shop.run(&["plan", JOBS[1], "--out", "out"]);
    fs::set_permissions(&out, fs::Permissions::from_mode(0o755)).unwrap();
    if !bound {
        println!("not tested: this user may write everywhere");
        return;
    }
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
    assert_eq!(two.which(&out), 0);
}
