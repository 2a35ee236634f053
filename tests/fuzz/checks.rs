//! What must hold of any bytes at all: nothing panics, messages are whole and safe to show, a plan passes its judge.
//!
//! Shared by the fuzz targets and by `tests/hostile_input.rs`, which runs the same on a few thousand seeded inputs.

#![allow(dead_code, reason = "each target uses its own part of it")]
#![allow(clippy::unwrap_used, reason = "a fuzzer finds by panicking")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

use slatwright::cli::diagnostic;
use slatwright::demand::{self, Part};
use slatwright::doors::{self, Door};
use slatwright::files::{Problems, Sources};
use slatwright::job::{self, Job};
use slatwright::measure::{Length, Price, Units, parse_length, parse_thickness};
use slatwright::packing::{Budget, Flow};
use slatwright::plan::{CannotPlan, Plan, plan};
use slatwright::report;
use slatwright::shopfloor::{
    CutPlan, Round, Saw, at_the_yard, offcuts, rack_change, read_count, read_history, read_plan, take_stock,
};

#[path = "random_job.rs"]
pub(crate) mod random_job;

const GOOD_JOB: &[u8] = include_bytes!("../bad_jobs/good/job.toml");
const GOOD_SHOP: &[u8] = include_bytes!("../bad_jobs/good/shop.toml");
const GOOD_BOARDS: &[u8] = include_bytes!("../bad_jobs/good/boards.csv");
const GOOD_CLOTH: &[u8] = include_bytes!("../bad_jobs/good/cloth.csv");

/// Little work: what is looked for are faults, not cheap plans.
const LITTLE: Budget = Budget { nodes: 3, tries: 2 };

fn good() -> Sources {
    Sources::in_memory("job.toml", GOOD_JOB)
        .with("shop.toml", GOOD_SHOP)
        .with("boards.csv", GOOD_BOARDS)
        .with("cloth.csv", GOOD_CLOTH)
}

/// Messages hold no character that could steer a terminal, and come to an end.
fn whole(problems: &Problems) {
    for said in [problems.to_string(), diagnostic::render(problems, false)] {
        let steers =
            |c: char| c.is_control() && c != '\n' || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        assert!(!said.contains(steers), "{said:?}");
        assert!(said.len() < 2_000_000, "{} bytes of messages", said.len());
    }
    assert!(problems.count() > 0 && problems.iter().all(|problem| !problem.what.is_empty()));
    assert!(diagnostic::render(problems, true).len() >= problems.iter().count());
}

fn judged(job: Result<Job, Problems>) {
    match job {
        Ok(job) => {
            let doors = doors::lay_out(&job);
            if doors.iter().all(Door::fits) {
                let _ = demand::pool(&job, &doors);
            }
        }
        Err(problems) => whole(&problems),
    }
}

/// A length, a thickness and a price as text. What is taken can be shown and read back to the nearest place.
pub(crate) fn lengths(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    for units in [Units::Inch, Units::Millimetre] {
        if let Ok(length) = parse_length(&text, units) {
            let back = parse_length(&length.decimal(units), units).unwrap();
            assert!(
                (back - length).abs() <= Length::from_nm(13),
                "{text:?}: {} is not {}",
                back.exact(),
                length.exact()
            );
            let _ = (length.show(units), length.show_nearest(units));
        }
        if let Ok(thickness) = parse_thickness(&text, units) {
            assert_eq!(parse_thickness(&thickness.show(units), units).ok(), Some(thickness), "{text:?}");
            assert!(thickness.charged() >= thickness.actual() || !thickness.is_surfaced());
        }
    }
    if let Ok(price) = Price::parse(&text) {
        assert_eq!(Price::parse(&price.to_string()).ok(), Some(price), "{text:?}");
    }
}

/// A job file.
pub(crate) fn job(bytes: &[u8]) {
    judged(job::parse(&good().with("job.toml", bytes)));
}

/// A shop file.
pub(crate) fn shop(bytes: &[u8]) {
    judged(job::parse(&good().with("shop.toml", bytes)));
}

/// A boards file, by itself and in a job.
pub(crate) fn boards(bytes: &[u8]) {
    for units in [Units::Inch, Units::Millimetre] {
        if let Err(problems) = job::parse_boards(&Sources::in_memory("boards.csv", bytes), units) {
            whole(&problems);
        }
    }
    judged(job::parse(&good().with("boards.csv", bytes)));
}

/// A cloth file.
pub(crate) fn cloth(bytes: &[u8]) {
    judged(job::parse(&good().with("cloth.csv", bytes)));
}

/// A plan of the good job in a folder, made once.
struct Bench {
    home: tempfile::TempDir,
    job: Job,
    plan: Plan,
    cut: CutPlan,
}

fn bench() -> &'static Bench {
    static BENCH: OnceLock<Bench> = OnceLock::new();
    BENCH.get_or_init(|| {
        let job = job::parse(&good()).unwrap();
        let plan = plan(&job, &LITTLE, &mut |_, _| Flow::Continue).unwrap();
        let home = tempfile::tempdir().unwrap();
        put(home.path(), &job, &plan);
        let cut = read_plan(&job, &plan.demand.parts, home.path(), true).unwrap();
        Bench { home, job, plan, cut }
    })
}

fn put(folder: &Path, job: &Job, plan: &Plan) {
    let sheets = [report::slats(plan), report::boards(job, plan), report::rips(job, plan), report::summary(job, plan)];
    for sheet in sheets {
        fs::write(folder.join(format!("{}.csv", sheet.name)), report::csv_text(&sheet, job.units)).unwrap();
    }
}

/// A file of the shop floor: the first byte says which one.
pub(crate) fn floor(bytes: &[u8]) {
    let Some((which, bytes)) = bytes.split_first() else { return };
    let Bench { home, job, plan, cut } = bench();
    let parts: &[Part] = &plan.demand.parts;
    let text = String::from_utf8_lossy(bytes);
    match which % 8 {
        0 => {
            let path = home.path().join("count.csv");
            fs::write(&path, bytes).unwrap();
            if let Ok(rows) = read_count(job, parts, cut, &path) {
                let rounds = [Round { plan: cut.clone(), rows, anew: BTreeSet::new() }];
                let saw = Saw { job, doors: &plan.doors, parts, confidence: plan.demand.confidence, rounds: &rounds };
                let _ = take_stock(&saw, &LITTLE, &mut |_, _| Flow::Continue);
            }
        }
        1 => drop(read_history(job, Path::new("history.csv"), &text)),
        2 => {
            let round = Round { plan: cut.clone(), rows: Vec::new(), anew: BTreeSet::new() };
            let done: Vec<usize> = (0..cut.boards.len()).collect();
            if let Ok(change) = rack_change(job, parts, &round, &done, (Path::new("rack.csv"), &text)) {
                assert!(change.text.len() >= text.trim_end().len() / 2);
            }
        }
        3 => {
            if let Ok(rows) = job::parse_boards(&Sources::in_memory("picked.csv", bytes), job.units)
                && rows.len() <= 6
            {
                let _ = at_the_yard(job, parts, &rows, &LITTLE, &mut |_, _| Flow::Continue);
            }
        }
        7 => drop(report::actuals::actuals(job, plan, &text)),
        file => {
            let folder = tempfile::tempdir_in(home.path()).unwrap();
            put(folder.path(), job, plan);
            fs::write(folder.path().join(["slats.csv", "boards.csv", "rips.csv"][usize::from(file) - 4]), bytes)
                .unwrap();
            if let Ok(cut) = read_plan(job, parts, folder.path(), true) {
                for at in 0..cut.boards.len() {
                    let _ = offcuts(job, parts, &cut, at);
                }
            }
        }
    }
}

/// How a random job ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum End {
    /// The files were refused.
    Refused,
    /// No plan can be had.
    Cannot,
    /// A plan that its judge accepted.
    Planned,
}

/// A random job, planned whole. Doors that do not fit are left out; the rest is planned again.
pub(crate) fn planner(bytes: &[u8]) -> End {
    let mut bytes = random_job::Bytes::new(bytes);
    let pages = bytes.below(8) == 0;
    let written = random_job::write(&mut bytes);
    let mut job = match job::parse(&written.sources()) {
        Ok(job) => job,
        Err(problems) => {
            whole(&problems);
            return End::Refused;
        }
    };
    let doors = doors::lay_out(&job);
    let mut at = 0..job.cabinets.len();
    job.cabinets.retain(|_| {
        let cabinet = at.next();
        doors.iter().filter(|door| Some(door.cabinet) == cabinet).all(Door::fits)
    });
    match plan(&job, &LITTLE, &mut |_, _| Flow::Continue) {
        Ok(plan) => {
            assert!(plan.boards.bound <= plan.boards.cost, "{}", written.show());
            assert!(plan.cloth.cost_bound <= plan.cloth.cost, "{}", written.show());
            if pages {
                let files = report::plan_files(&job, &plan);
                assert!(files.len() > 15);
            }
            End::Planned
        }
        Err(CannotPlan::Rejected(violations)) => {
            let said: Vec<String> = violations.iter().map(ToString::to_string).collect();
            panic!("the plan failed its own check: {}\n{}", said.join("; "), written.show());
        }
        Err(_) => End::Cannot,
    }
}
