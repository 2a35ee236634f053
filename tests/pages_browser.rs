//! The printed sheets in a real browser: `.ci/run` installs Chromium and the markup checker and runs this.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::common::program;

fn home() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn planned(job: &str, into: &Path) {
    let output = program().current_dir(home()).args(["plan", job, "--out", into.to_str().unwrap()]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

/// A copy of the demo's files with words replaced in them.
fn demo_with(folder: &Path, changes: &[(&str, &str, &str)]) -> String {
    fs::create_dir_all(folder).unwrap();
    for entry in fs::read_dir(home().join("jobs")).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, folder.join(path.file_name().unwrap())).unwrap();
    }
    for (file, from, to) in changes {
        let path = folder.join(file);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{file}: {from:?}");
        fs::write(&path, text.replace(from, to)).unwrap();
    }
    folder.join("harbour_archive.toml").to_str().unwrap().to_owned()
}

/// A job that `new` writes.
fn starter(folder: &Path, units: &str) -> String {
    let name = folder.to_str().unwrap();
    assert!(program().args(["new", name, "--units", units]).output().unwrap().status.success());
    format!("{name}/job.toml")
}

#[test]
#[ignore = "needs Chromium, node and npm packages: .ci/run installs them and runs this"]
fn every_page_opens_prints_and_validates_in_a_real_browser() {
    let out = tempfile::tempdir().unwrap();
    let at = |name: &str| out.path().join(name);
    let rip_first = [
        ("shop.toml", "order = \"crosscut-first\"", "order = \"rip-first\""),
        ("harbour_boards.csv", "per,random\n", "per,defects\n"),
        ("harbour_boards.csv", "bf,yes\n", "bf,\n"),
        ("harbour_boards.csv", "C,cherry,4/4,4-5/8,90,2,,,\n", "C,cherry,4/4,4-5/8,90,2,,,31..33-1/2\n"),
        ("harbour_boards.csv", "A,walnut,4/4,5-3/4,80,1,,,\n", "A,walnut,4/4,5-3/4,80,1,,,0..4;50..52\n"),
    ];
    // Over three hundred boards.
    let many = [
        ("harbour_archive.toml", "\ncount = 2\n", "\ncount = 54\n"),
        ("harbour_archive.toml", "name = \"log case\"\n", "name = \"log case\"\ncount = 20\n"),
        ("harbour_archive.toml", "name = \"instrument case\"\n", "name = \"instrument case\"\ncount = 20\n"),
    ];
    // How many pages of letter or A4 paper each may take, its tags not counted.
    let jobs = [
        ("jobs/harbour_archive.toml".to_owned(), 19),
        ("jobs/small_press.toml".to_owned(), 8),
        ("tests/pages/odd/job.toml".to_owned(), 10),
        (starter(&at("inches"), "in"), 9),
        (starter(&at("metric"), "mm"), 9),
        (demo_with(&at("rip-first"), &rip_first), 22),
        (demo_with(&at("many"), &many), 39),
    ];
    let folders: Vec<PathBuf> = jobs.iter().enumerate().map(|(n, (_, most))| at(&format!("most-{most}-{n}"))).collect();
    for ((job, _), folder) in jobs.iter().zip(&folders) {
        planned(job, folder);
    }
    let card = program().args(["buy", &jobs[3].0, "--worth", "--card"]).output().unwrap();
    fs::write(folders[3].join("pages/worth.html"), card.stdout).unwrap();
    let check = Command::new("node").arg("check.mjs").args(&folders).current_dir(home().join("tests/pages")).output();
    let check = check.expect("node starts: `npm install` in tests/pages first");
    let said = String::from_utf8_lossy(&check.stdout).into_owned() + &String::from_utf8_lossy(&check.stderr);
    assert!(check.status.success(), "{said}");
}
