//! Names that mean harm: parts of paths, formulas, markup, codes that steer a terminal, marks that turn text around.
//!
//! What a name may hold is decided in one place (`files/values.rs`): 1 to 200 characters, no control character, none
//! that turns the text after it around. All else is a name, and whatever it holds comes out of every command
//! as text: no formula in a CSV cell, no markup on a page, no code on a terminal, no file outside the folder.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::common::all_cases;
use crate::floor_support;
mod safe;
mod said;
mod shop;

use std::fs;
use std::path::Path;

use floor_support::{rows, text};
use safe::{ours, safe_file, safe_table, steers, tame_tags};
use said::{Said, run_everything};
use shop::{PLACES, shop};
use slatwright::cli::diagnostic;
use slatwright::job;

/// Taken as names, and shown as text.
const TAKEN: [&str; 24] = [
    "../../../etc/passwd",
    "..\\..\\x",
    "C:\\shop\\x.csv",
    "/etc/x",
    "\\\\server\\share",
    "NUL",
    "con.csv",
    "=HYPERLINK(\"x\";\"y\")",
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(1;2)",
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "</style></title></svg>&lt;<!-- ]]>",
    "' onload='x",
    "a,b;\"c\" 5\" wide,,",
    "'=1+1",
    "$(rm -rf x) `id`; && | > x %n%s",
    "{{7*7}} ${x} %%u",
    "\u{5d0}\u{5e8}\u{5d5}\u{5df}",
    "\u{5d0}\u{5e8}\u{5d5}\u{5df} \u{200f}(3)\u{200e}",
    "\u{1f469}\u{200d}\u{1f527} \u{1fa9a} Z\u{351}\u{36b}\u{343}\u{36a}",
    "noncharacters \u{ffff}\u{fffe}\u{feff}\u{200b}",
    "wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww\
     wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
];

/// Refused wherever a name may stand.
const REFUSED: [&str; 12] = [
    "\u{1b}[31mred",
    "bell\u{7}",
    "nul\u{0}byte",
    "two\nlines",
    "one\rline",
    "tab\there",
    "next\u{85}line",
    "sequence \u{9b}31mred",
    "line\u{2028}separator",
    "\u{202e}gpj.exe",
    "isolate \u{2066}x",
    " \u{202a}x\u{202c}",
];

#[test]
fn whatever_a_name_holds_comes_out_as_text() {
    let names = |said: &Said| said.files.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    let tame = names(&run_everything("tame"));
    assert!(tame.len() > 60, "{tame:?}");
    let tame_tags = tame_tags();
    for word in TAKEN.into_iter().step_by(if all_cases() { 1 } else { 14 }) {
        let said = run_everything(word);
        assert_eq!(names(&said), tame, "{word:?} is in the name of a file");
        for (command, text) in &said.screens {
            assert!(!text.contains(steers), "{command} with {word:?}: {text}");
        }
        for (command, text) in &said.tables {
            safe_table(command, text);
        }
        for (name, text) in said.files.iter().filter(|(name, _)| ours(name)) {
            safe_file(name, text, &tame_tags);
        }
        // In the rack the maker's own cells stay as they were; what is put there is safe.
        let rack = &said.files.iter().find(|(name, _)| name == Path::new("boards.csv")).unwrap().1;
        let put: Vec<_> = rows(rack).into_iter().filter(|row| !row["from"].is_empty()).collect();
        assert!(!put.is_empty(), "{word:?}: {rack}");
        for row in &put {
            assert!(!row["from"].starts_with(['=', '+', '-', '@']), "{word:?}: {row:?}");
        }
    }
}

#[test]
fn what_would_steer_or_turn_is_refused_wherever_a_name_may_stand() {
    let long = "w".repeat(10_240);
    let words: Vec<&str> = REFUSED.into_iter().chain([long.as_str()]).collect();
    for place in PLACES {
        for word in &words {
            let problems = match job::parse(&shop(word, |at| at == place).sources()) {
                Ok(_) => panic!("{word:?} was taken as the name of a {place}"),
                Err(problems) => problems,
            };
            for said in [problems.to_string(), diagnostic::render(&problems, false)] {
                assert!(!said.contains(steers) && said.len() < 20_000, "{place}, {word:?}: {said}");
            }
            assert!(problems.iter().any(|problem| !problem.help.is_empty() && problem.place.span.is_some()));
        }
        job::parse(&shop("a plain word", |at| at == place).sources()).unwrap_or_else(|problems| panic!("{problems}"));
    }
}

/// The command's own arguments and the names of files are shown safe, too.
#[cfg(unix)]
#[test]
fn arguments_and_file_names_cannot_steer_a_terminal() {
    let folder = shop("plain", |_| false).in_a_folder();
    let evil = "\u{1b}[2J\u{202e}x";
    let job = format!("{evil}.toml");
    fs::copy(folder.path("job.toml"), folder.path(&job)).unwrap();
    fs::write(folder.path("broken.toml"), format!("name = \"x\"\n\"{evil}\" = 1\nshop = \"{evil}\"\n")).unwrap();
    fs::write(folder.path("headed.csv"), format!("stock,{evil},species\n{evil},1,2\n")).unwrap();
    fs::write(folder.path("odd\u{1b}[2J.csv"), "stock,species,thickness,width,length,on_hand,price,per\nx,oak\n")
        .unwrap();
    let mut failed = 0;
    for arguments in [
        vec!["plan", job.as_str(), "--out", evil],
        vec!["plan", "job.toml", "--out", evil],
        vec!["check", evil],
        vec!["check", "broken.toml"],
        vec!["yard", "job.toml", "--picked", "headed.csv"],
        vec!["yard", "job.toml", "--picked", "odd\u{1b}[2J.csv"],
        vec!["yard", "job.toml", "--picked", evil],
        vec!["quote", "job.toml", "--actual", evil],
        vec!["quote", "job.toml", "--actual", "headed.csv"],
        vec!["count", "job.toml", "--plan", evil, "--cut", evil],
        vec!["rack", "job.toml", "--plan", evil, "--rack", evil],
        vec!["rack", "job.toml", "--plan", evil, "--rack", "boards.csv", "--update", "--seen", evil],
        vec!["estimate", "job.toml", "--inside", evil],
        vec!["check", "job.toml", evil],
        vec!["check", "job.toml", "--seconds", evil],
        vec![evil],
        vec!["new", evil],
    ] {
        let output = folder.run(&arguments);
        for said in [text(&output.stdout), text(&output.stderr)] {
            assert!(!said.contains(steers), "{arguments:?}: {said:?}");
        }
        failed += usize::from(!output.status.success());
    }
    assert!(failed > 10, "{failed}");
}
