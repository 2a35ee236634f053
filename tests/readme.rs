//! The README opens with the job, is short, and its picture is the program's own. What it shows is run in `walkthrough.rs`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::Path;

use slatwright::report::cautions::{CAUTIONS, DEFERENCE};

fn readme() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap()
}

#[test]
fn the_cautions_stand_in_the_readme() {
    let text = readme().split_whitespace().collect::<Vec<_>>().join(" ");
    for caution in CAUTIONS.iter().chain([&DEFERENCE]) {
        assert!(text.contains(caution), "{caution}");
    }
}

#[test]
fn the_first_paragraph_states_the_job_and_the_two_commands_follow() {
    let readme = readme();
    let mut paragraphs = readme.split("\n\n");
    assert_eq!(paragraphs.next(), Some("# slatwright"));
    let first = paragraphs.next().unwrap();
    for word in ["cabinetmaker", "tambour", "turns its corner", "stows", "quoting", "rip list", "hanging", "bound"] {
        assert!(first.contains(word), "{word}");
    }
    assert!(readme.contains("cargo run --release -- plan jobs/harbour_archive.toml --out out\ncargo test\n"));
}

/// Who opens the page wants the job, two commands and a first cabinet; everything else lies behind a link.
#[test]
fn the_readme_is_read_in_one_go_and_its_links_lead_somewhere() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    assert!(readme().lines().count() < 200);
    let pages = fs::read_dir(root.join("examples")).unwrap().map(|entry| entry.unwrap().path().join("README.md"));
    let pages = pages
        .filter(|page| page.exists())
        .chain(["README.md", "DEVELOPERS.md", "examples/README.md"].map(|page| root.join(page)));
    let mut followed = 0;
    for page in pages {
        let text = fs::read_to_string(&page).unwrap();
        for target in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            if !target.starts_with("http") {
                assert!(page.parent().unwrap().join(target).exists(), "{}: {target}", page.display());
                followed += 1;
            }
        }
    }
    assert!(followed > 20, "{followed}");
}
