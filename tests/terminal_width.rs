//! Tables are as wide as the terminal they are printed on; what goes into a file is not.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::Path;
use std::process::{Command, Stdio};

use crate::common::pty::{shown_on, terminal};

/// What a command prints on a terminal of so many columns.
fn on_a_terminal(columns: u16, arguments: &[&str]) -> String {
    let (terminal, screen) = terminal(columns);
    let mut child = Command::new(env!("CARGO_BIN_EXE_slatwright"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("TERM", "xterm")
        .stdout(screen)
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let reader = std::thread::spawn(move || shown_on(terminal));
    assert!(child.wait().unwrap().success());
    reader.join().unwrap()
}

fn widest(text: &str) -> usize {
    text.lines().map(|line| line.trim_end().chars().count()).max().unwrap()
}

#[test]
fn a_table_takes_the_width_there_is() {
    let job = "jobs/harbour_archive.toml";
    let shown = [60, 80, 132].map(|columns| on_a_terminal(columns, &["check", job, "--all"]));
    let [narrow, usual, wide] = &shown;
    assert!(widest(usual) <= 80 && widest(wide) > 80 && widest(wide) <= 132, "{} {}", widest(usual), widest(wide));
    assert!(widest(narrow) < widest(usual), "{narrow}");
    assert!(wide.lines().count() < usual.lines().count(), "what is wrapped at 80 columns has room at 132");
    // Into a pipe it is 80 columns, as on a terminal that has as many.
    let piped = Command::new(env!("CARGO_BIN_EXE_slatwright"))
        .args(["check", job, "--all"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert_eq!(usual.replace('\r', ""), String::from_utf8(piped.stdout).unwrap());
}

#[test]
fn what_a_plan_keeps_is_the_same_on_every_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let kept = [80, 132].map(|columns| {
        let out = folder.path().join(columns.to_string());
        on_a_terminal(columns, &["plan", "jobs/harbour_archive.toml", "--out", out.to_str().unwrap()]);
        let read = |name: &str| std::fs::read(Path::new(&out).join("text").join(name)).unwrap();
        ["quote.txt", "quote-client.txt", "buy.txt", "rip.txt", "cloth.txt"].map(read)
    });
    assert_eq!(kept[0], kept[1]);
}
