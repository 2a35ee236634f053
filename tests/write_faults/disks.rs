//! Disks that are full or only to be read, folders without the right to write.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::common::all_cases;
use crate::floor_support::{text, tree};
use crate::write_faults::shops::{JOBS, TwoPlans, on_the_rack};

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
    for step in (0..=24).step_by(if all_cases() { 1 } else { 2 }).map(|step| step * size / 20) {
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
    let record = ["count", "mine/job.toml", "--plan", "out", "--cut", "count.csv", "--record"];
    let rack = ["rack", "mine/job.toml", "--plan", "out", "--rack", "disk/rack.csv", "--update"];
    shop.ok(&record);
    let before =
        tree(&shop.path("disk"), &|name| name.starts_with("filler") || name.to_string_lossy().ends_with(".lock"));
    // A count that says something else, so that there is something to write.
    shop.write("count.csv", &shop.filled(&["mine/job.toml", "--plan", "out"], |_, _, yields| yields / 4));
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
    let blank = two.shop.ok(&["count", JOBS[0], "--plan", "disk/out", "--blank"]);
    disk.again("ro");
    two.shop.refused(&["plan", JOBS[1], "--out", "disk/out"], "Read-only file system");
    two.shop.refused(&["plan", JOBS[1], "--out", "disk/new/out"], "Read-only file system");
    assert_eq!(two.which(&two.shop.path("disk/out")), 0);
    assert_eq!(two.shop.ok(&["count", JOBS[0], "--plan", "disk/out", "--blank"]), blank, "a plan on a locked stick");
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
