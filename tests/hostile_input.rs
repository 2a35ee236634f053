//! Any bytes at all, and files as large as may be: nothing panics, every message is whole and safe, nothing runs
//! away. The checks are those of the fuzz targets in `tests/fuzz`, here on a few thousand seeded inputs.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::checks;
use crate::common::all_cases;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use checks::End;
use slatwright::cli::diagnostic;
use slatwright::files::{LARGEST_CSV, LARGEST_TOML, Sources};
use slatwright::job;
use slatwright::measure::Units;

/// A generator of seeded choices (SplitMix64; Steele, Lea and Flood 2014, constants from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % n as u64).unwrap()
    }

    /// One to six slips of a text: bytes changed, taken out, doubled, moved, words of the trade put in.
    fn spoilt(&mut self, text: &[u8]) -> Vec<u8> {
        const WORDS: [&[u8]; 16] = [
            b"0",
            b"-1",
            b"99999999999999999999",
            b"1/0",
            b"\"",
            b"\n",
            b",",
            b"[[cabinet]]\n",
            b"= ",
            b"\x00",
            b"\xff",
            b"\xe2\x80\xae",
            b"\xc2\x9b",
            b"{",
            b"1e999",
            b"0.5 mm",
        ];
        let mut text = text.to_vec();
        for _ in 0..1 + self.below(6) {
            let at = self.below(text.len() + 1);
            let end = (at + 1 + self.below(40)).min(text.len());
            match self.below(5) {
                0 if at < text.len() => text[at] = self.next() as u8,
                1 => drop(text.drain(at.min(end)..end)),
                2 => {
                    let piece = text[at.min(end)..end].to_vec();
                    let to = self.below(text.len() + 1);
                    text.splice(to..to, piece);
                }
                3 => text.truncate(at),
                _ => drop(text.splice(at..at, WORDS[self.below(WORDS.len())].iter().copied())),
            }
        }
        text
    }
}

fn seeds(folder: &str, ending: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|of| of == ending));
    paths.sort();
    paths.iter().map(|path| fs::read(path).unwrap()).collect()
}

/// Every seed as it is, then so many spoilt ones.
fn spoil(seeds: &[Vec<u8>], count: usize, check: fn(&[u8])) {
    assert!(seeds.len() > 3);
    seeds.iter().for_each(|seed| check(seed));
    let mut dice = Dice(seeds.len() as u64);
    for _ in 0..count {
        let seed = &seeds[dice.below(seeds.len())];
        check(&dice.spoilt(seed));
    }
}

#[test]
fn spoilt_lengths_and_prices() {
    let words = ["5/8", "1-1/2", "23 5/8\"", "2' 6-1/2\"", "16 mm", "2-1/2 yd", "4/4 s2s 13/16", "9.8500", "100000000"];
    spoil(&words.map(|word| word.as_bytes().to_vec()), 20_000, checks::lengths);
}

#[test]
fn spoilt_job_files() {
    spoil(&[seeds("tests/bad_jobs/job", "toml"), seeds("tests/bad_jobs/good", "toml")].concat(), 2_000, checks::job);
}

#[test]
fn spoilt_shop_files() {
    spoil(&[seeds("tests/bad_jobs/shop", "toml"), seeds("jobs", "toml")].concat(), 2_000, checks::shop);
}

#[test]
fn spoilt_boards_files() {
    spoil(&[seeds("tests/bad_jobs/boards", "csv"), seeds("jobs", "csv")].concat(), 3_000, checks::boards);
}

#[test]
fn spoilt_cloth_files() {
    spoil(&[seeds("tests/bad_jobs/cloth", "csv"), seeds("jobs", "csv")].concat(), 3_000, checks::cloth);
}

#[test]
fn spoilt_files_of_the_shop_floor() {
    let written = [
        "board,part,straight,rejected,straight_length,hours\n1,S01,5,1,,0.2\n1,S02,2,0,,\n2,S01,4,2,12,\n",
        "job,species,width,thickness,boards,cut,rejected,hours\nhall,black cherry,0.625,0.375,4,120,11,1.5\n",
        "stock,species,thickness,width,length,on_hand,price,per,from\nrack,cherry,4/4,7.25,96,3,,,\n",
        "part,species,length,width,thickness,needed,spares,total\nS01,black cherry,28.5625,0.625,0.375,40,3,43\n",
        "stock,species,thickness,width,length,source,boards\nc6,black cherry,4/4,6,96,on_hand,1\n",
        "board,stock,order,blank,blank_length,leaves,part,rip_width,rips,strips\n1,c6,rip-first,1,29,1,S01,0.625,6,6\n",
        "what,item,actual\nhours,ripping,3\nboards,c6,2\nyards,duck,1.5\n",
    ];
    // Each as each: the first byte says for which file the rest is taken.
    let seeds: Vec<Vec<u8>> =
        (0..8u8).flat_map(|which| written.map(|text| [&[which], text.as_bytes()].concat())).collect();
    spoil(&seeds, 1_500, checks::floor);
}

#[test]
fn random_jobs_come_to_plans_that_pass_their_judge() {
    random_jobs(2_026, if all_cases() { 100 } else { 40 });
}

#[test]
#[ignore = "`.ci/run` runs it"]
fn more_of_their_kind() {
    random_jobs(2_027, 100);
    random_jobs(2_028, 100);
}

fn random_jobs(seed: u64, jobs: u32) {
    let mut dice = Dice(seed);
    let mut planned: u32 = 0;
    for _ in 0..jobs {
        let bytes: Vec<u8> = (0..400).map(|_| dice.next() as u8).collect();
        planned += u32::from(checks::planner(&bytes) == End::Planned);
    }
    assert!(planned > jobs / 2, "{planned} of {jobs} came to a plan");
}

/// Answered in moments, with messages that a person can read.
#[track_caller]
fn answered(what: &str, text: String) {
    let begun = Instant::now();
    let problems = match what {
        "boards.csv" => job::parse_boards(&Sources::in_memory(what, text), Units::Inch).err(),
        _ => job::parse(&Sources::in_memory(what, text)).err(),
    };
    // Blank lines under a header are an empty rack; everything else here is wrong.
    if let Some(problems) = problems {
        let said = problems.to_string() + &diagnostic::render(&problems, false);
        assert!(said.len() < 400_000, "{} bytes of messages", said.len());
    }
    // What grows with the square of the size would take hours; a busy machine takes its time.
    assert!(begun.elapsed() < Duration::from_secs(180), "took {:?}", begun.elapsed());
}

/// The largest files that are read, of the worst kinds that come to mind.
#[test]
fn files_of_the_largest_size_are_answered_in_moments() {
    let part = if all_cases() { 1 } else { 4 };
    let toml = usize::try_from(LARGEST_TOML).unwrap() / part;
    let filled = |unit: &str, size: usize| unit.repeat(size / unit.len());
    let units = [
        "[",
        "{",
        "a.",
        "\"",
        "'",
        "\\",
        "[[cabinet]]\n",
        "[[strip]]\n",
        "x = 1\n",
        "= ",
        "a = [",
        "a={",
        "é\n",
        "1",
        "\t",
        "[[cabinet.door]]\n",
        "[a.b.c.d.e.f]\n",
        "\u{202e}",
        "# \n",
    ];
    let every = if all_cases() { 1 } else { 6 };
    for unit in units.iter().step_by(every) {
        answered("job.toml", filled(unit, toml));
    }
    // Different keys, each unknown; different names, each once.
    let keys: String = (0..toml / 16).map(|n| format!("key{n:07} = 1\n")).collect();
    answered("job.toml", keys);
    let cabinets: String = (0..toml / 40).map(|n| format!("[[cabinet]]\nname = \"n{n:07}\"\n")).collect();
    answered("job.toml", cabinets);
    let segments = format!("[[track]]\nname = \"t\"\npath = [{}]\n", filled("{ straight = 1 },", toml - 100));
    answered("job.toml", segments);
    let csv = usize::try_from(LARGEST_CSV).unwrap() / part;
    let header = "stock,species,thickness,width,length,on_hand,price,per\n";
    for unit in ["\"", ",", "\n", "a,", "a\n", "a,b,c,d,e,f,g,h\n", "\"a\",", "\"\n", "\r", "é"].iter().step_by(every)
    {
        answered("boards.csv", filled(unit, csv));
        answered("boards.csv", header.to_owned() + &filled(unit, csv - header.len()));
    }
}

/// What the fuzzer found as the files of a job: `FOUND=path cargo test --test suite hostile_input::shown -- --ignored --nocapture`.
#[test]
#[ignore = "for whoever looks at a finding of the planner's fuzz target"]
fn shown() {
    let found = fs::read(std::env::var("FOUND").unwrap()).unwrap();
    let mut bytes = checks::random_job::Bytes::new(&found);
    bytes.below(8);
    println!("{}", checks::random_job::write(&mut bytes).show());
    let begun = Instant::now();
    let end = checks::planner(&found);
    println!("{end:?} after {:?}", begun.elapsed());
}
