//! The line that a long packing shows on a terminal, read off a pseudo-terminal.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use slatwright::measure::{Length, Units, parse_length};

use crate::common::pty::{shown_on, terminal};

/// Forty sizes of panels: far more than is proven in three seconds.
fn job(folder: &Path, units: &str, bolts: &[&str]) {
    let mut job = format!("name = \"panels\"\nunits = \"{units}\"\ncloth = \"cloth.csv\"\n");
    let scale = if units == "mm" { 25 } else { 1 };
    for n in 0..40_i64 {
        let (along, across) = (scale * (9 + n * 37 % 31), scale * (10 + n * 23 % 26));
        job += &format!(
            "[[cloth_piece]]\nname = \"panel {n}\"\nalong = {along}\nacross = {across}\nquantity = {}\n",
            1 + n % 4
        );
    }
    fs::write(folder.join("job.toml"), job).unwrap();
    let head = "bolt,width,selvage,on_hand_length,price,per,increment\n";
    fs::write(folder.join("cloth.csv"), head.to_owned() + &bolts.join("\n") + "\n").unwrap();
}

/// What the command prints on a terminal of 80 columns and on standard output.
fn on_a_terminal(folder: &Path) -> (String, String) {
    let (terminal, screen) = terminal(80);
    let child = Command::new(env!("CARGO_BIN_EXE_slatwright"))
        .args(["cloth", "job.toml", "--csv", "--seconds", "3"])
        .current_dir(folder)
        .env("TERM", "xterm")
        .stderr(screen)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let reader = std::thread::spawn(move || shown_on(terminal));
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    (reader.join().unwrap(), String::from_utf8(output.stdout).unwrap())
}

/// The figures between two words, in every state of the line.
fn figures<'a>(shown: &'a str, before: &str, after: &str) -> Vec<&'a str> {
    shown.split(before).skip(1).filter_map(|rest| rest.split(after).next()).collect()
}

/// The end of the last piece on its only bolt.
fn length_used(pieces: &str) -> Length {
    let mut reader = csv::Reader::from_reader(pieces.as_bytes());
    let figures = |row: BTreeMap<String, String>| ["x", "along"].map(|column| row[column].parse::<f64>().unwrap());
    let ends = reader.deserialize().map(|row| figures(row.unwrap()).iter().sum::<f64>());
    ends.map(|end| Length::from_mm_f64(end * 25.4)).max().unwrap()
}

#[test]
fn a_single_bolt_shows_lengths_in_the_units_of_the_job() {
    let folder = tempfile::tempdir().unwrap();
    job(folder.path(), "in", &["duck,60,1/2,,12.00,yard,9"]);
    let (shown, pieces) = on_a_terminal(folder.path());
    let parse = |text: &&str| parse_length(text.trim_start_matches('~'), Units::Inch).unwrap();
    let best: Vec<Length> = figures(&shown, "cloth: length ", ", at least").iter().map(parse).collect();
    let bound: Vec<Length> = figures(&shown, ", at least ", " (Ctrl-C").iter().map(parse).collect();
    assert!(!best.is_empty() && best.len() == bound.len(), "{shown:?}");
    let used = length_used(&pieces);
    let near = used.mm_f64() * 0.5..used.mm_f64() * 1.5;
    for (best, bound) in best.iter().zip(&bound) {
        assert!(bound <= best && near.contains(&best.mm_f64()), "{best:?} {bound:?} {used:?}");
    }
    let mut states = shown.split(['\r', '\n']).filter(|line| line.contains("Ctrl-C"));
    assert!(states.all(|line| line.chars().count() < 100), "{shown:?}");
}

#[test]
fn bolts_at_different_prices_show_money() {
    let folder = tempfile::tempdir().unwrap();
    job(folder.path(), "mm", &["duck,1500,15,,12.00,metre,100", "twill,1200,15,,7.35,metre,100"]);
    let (shown, _) = on_a_terminal(folder.path());
    // Before and after, each bolt by itself is a matter of length.
    let states = figures(&shown, "cloth: cost ", " (Ctrl-C");
    let (best, bound): (Vec<_>, Vec<_>) = states.iter().filter_map(|state| state.split_once(", at least ")).unzip();
    assert!(!best.is_empty(), "{shown:?}");
    let cost = |text: &&str| text.parse::<f64>().unwrap_or(f64::NAN);
    // Some 14 square metres of panels at 6 to 8 a square metre: between 100 and 300 in money.
    assert!(best.iter().map(cost).all(|cost| cost > 100.0 && cost < 300.0), "{best:?}");
    let first = bound.first().map(cost);
    assert!(first.is_some_and(|bound| bound > 50.0 && bound <= cost(&best[0])), "{bound:?}");
}
