//! Cloth that no bolt is wide enough for: turned, or in two bands that meet under a slat; and `check`, which says so
//! before anything is packed.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::common::program;

type Row = BTreeMap<String, String>;

fn slatwright(folder: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = program().current_dir(folder).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// The small press, taller, with one bolt of such a width, no trim of its own and the cabinet's `more` keys.
fn press(folder: &Path, height: &str, bolt: &str, more: &str) {
    let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    for name in ["shop.toml", "small_boards.csv"] {
        fs::copy(jobs.join(name), folder.join(name)).unwrap();
    }
    let job = fs::read_to_string(jobs.join("small_press.toml")).unwrap();
    let job = job.replace("inside_height = \"24\"", &format!("inside_height = \"{height}\"\n{more}"));
    fs::write(folder.join("job.toml"), job.replace("cloth = \"cloth.csv\"", "cloth = \"bolts.csv\"")).unwrap();
    let head = "bolt,width,selvage,on_hand_length,price,per,increment\n";
    fs::write(folder.join("bolts.csv"), format!("{head}{bolt}\n")).unwrap();
}

fn rows(folder: &Path, name: &str) -> Vec<Row> {
    csv::Reader::from_path(folder.join(name)).unwrap().deserialize().map(Result::unwrap).collect()
}

fn figure(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap()
}

#[test]
fn check_says_which_cloth_comes_out_of_no_bolt_who_needs_it_and_what_would_help() {
    let home = tempfile::tempdir().unwrap();
    press(home.path(), "80", "duck,60,1/2,,11.50,yard,4-1/2", "");
    let (status, shown, said) = slatwright(home.path(), &["check", "job.toml"]);
    assert_eq!(status, Some(1), "{said}");
    assert!(shown.contains("Strips to cut"), "{shown}");
    assert!(said.contains("is wider than every bolt: the widest is 59 between selvages"), "{said}");
    assert!(said.contains("press left") && said.contains("press right"), "{said}");
    assert!(said.contains("with `turn = true` in its `[[cabinet]]` it comes out of that one"), "{said}");
    press(home.path(), "80", "duck,60,1/2,,11.50,yard,4-1/2", "turn = true");
    assert_eq!(slatwright(home.path(), &["check", "job.toml"]).0, Some(0));
    // The shop's word holds for cabinets that say nothing; a cabinet's own word is stronger.
    let shop = fs::read_to_string(home.path().join("shop.toml")).unwrap();
    fs::write(home.path().join("shop.toml"), shop + "\n[cloth]\nturn = true\n").unwrap();
    let told = |more: &str| {
        let shop = fs::read_to_string(home.path().join("shop.toml")).unwrap();
        press(home.path(), "80", "duck,60,1/2,,11.50,yard,4-1/2", more);
        fs::write(home.path().join("shop.toml"), shop).unwrap();
        slatwright(home.path(), &["check", "job.toml"]).0
    };
    assert_eq!((told(""), told("turn = false")), (Some(0), Some(1)));
}

#[test]
fn check_says_which_strip_comes_out_of_no_board() {
    let home = tempfile::tempdir().unwrap();
    press(home.path(), "120", "duck,60,1/2,,11.50,yard,4-1/2", "turn = true");
    let (status, _, said) = slatwright(home.path(), &["check", "job.toml"]);
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("no board yields a strip of S01") && said.contains("press left"), "{said}");
    let (csv_status, csv, _) = slatwright(home.path(), &["check", "job.toml", "--csv"]);
    assert!(csv_status == Some(1) && csv.starts_with("door,check"), "{csv}");
}

#[test]
fn a_piece_longer_than_the_remnants_is_known_before_packing() {
    let home = tempfile::tempdir().unwrap();
    press(home.path(), "24", "remnant,60,1/2,12,,,", "");
    let (status, _, said) = slatwright(home.path(), &["check", "job.toml"]);
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("is longer than what is on hand of any bolt so wide: the longest is 12"), "{said}");
}

#[test]
fn two_bands_meet_under_the_middle_of_a_slat_and_make_up_the_cloth() {
    let home = tempfile::tempdir().unwrap();
    press(home.path(), "80", "tape,13,1/2,,11.50,yard,4-1/2", "turn = true\nseam = true\ncount = 2");
    let (status, _, said) = slatwright(home.path(), &["plan", "job.toml", "--out", "out"]);
    assert_eq!(status, Some(0), "{said}");
    let out = home.path().join("out");
    let (doors, pieces) = (rows(&out, "doors.csv"), rows(&out, "cloth_pieces.csv"));
    let shop = fs::read_to_string(home.path().join("shop.toml")).unwrap();
    assert!(!shop.contains("lead_lap"), "the default is taken below");
    assert_eq!(pieces.len(), 8);
    for door in &doors {
        let of_band = |band: &str| {
            let ours = pieces.iter().filter(|row| row["door"] == door["door"] && row["band"] == band);
            // All turned: the travel lies across the bolt.
            ours.map(|row| if row["turned"] == "yes" { figure(row, "across") } else { figure(row, "along") })
                .collect::<Vec<_>>()
        };
        let (lead, tail) = (of_band("lead"), of_band("tail"));
        assert_eq!((lead.len(), tail.len()), (2, 2), "{pieces:?}");
        assert!((lead[0] + tail[0] - figure(door, "cloth_along_travel")).abs() < 1e-9);
        // Defaults: 1/2 trim at the lead edge, 1/4 on the lead slat.
        let slats = (lead[0] - 0.75) / figure(door, "slat_width");
        assert!((slats.fract() - 0.5).abs() < 1e-6, "the seam lies {slats} slats from the lead slat");
        // Another slat would make the wider band wider.
        assert!((lead[0] - tail[0]).abs() <= figure(door, "slat_width"));
    }
    let page = |name: &str| fs::read_to_string(out.join("pages").join(name)).unwrap();
    assert!(
        page("glue-up.html").contains("They meet edge to edge under the middle of slat"),
        "{:?}",
        fs::read_dir(&out)
    );
    assert!(page("cloth.html").contains("lead band") && page("cloth.html").contains("tail band"));
}

#[test]
fn a_seam_alone_is_offered_together_with_turning() {
    let home = tempfile::tempdir().unwrap();
    press(home.path(), "80", "tape,13,1/2,,11.50,yard,4-1/2", "turn = true");
    let (status, _, said) = slatwright(home.path(), &["check", "job.toml"]);
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("with `turn = true` and `seam = true` in its `[[cabinet]]`"), "{said}");
}
