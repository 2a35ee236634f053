//! Everything the commands put out for it.

use std::path::PathBuf;

use crate::floor_support::{text, tree};
use crate::hostile_text::shop::{csv, shop};

/// Everything the commands put out for one word at every place.
pub(crate) struct Said {
    /// Printed for a person.
    pub(crate) screens: Vec<(String, String)>,
    /// Printed for a machine.
    pub(crate) tables: Vec<(String, String)>,
    /// Files of all plan folders by name, and the rack and the history.
    pub(crate) files: Vec<(PathBuf, String)>,
}

pub(crate) fn run_everything(word: &str) -> Said {
    let folder = shop(word, |_| true).in_a_folder();
    let mut said = Said { screens: Vec::new(), tables: Vec::new(), files: Vec::new() };
    let picked: String = word.chars().take(190).chain(" p".chars()).collect();
    let header = "stock,species,thickness,width,length,on_hand,price,per".split(',').collect();
    folder.write("picked.csv", &csv(&[header, vec![&picked, "cherry", "4/4", "7", "100", "", "9", "bf"]]));
    folder.write(
        "actual.csv",
        &csv(&[vec!["what", "item", "actual"], vec!["hours", word, "3"], vec!["boards", word, "2"]]),
    );
    let mut run = |arguments: &[&str]| {
        let output = folder.run(arguments);
        assert_eq!(output.status.code(), Some(0), "{word:?}: {arguments:?}: {}", text(&output.stderr));
        let to = if arguments.iter().any(|word| matches!(*word, "--csv" | "--blank")) {
            &mut said.tables
        } else {
            &mut said.screens
        };
        to.push((arguments.join(" "), text(&output.stdout)));
        said.screens.push((format!("{} (errors)", arguments.join(" ")), text(&output.stderr)));
    };
    for command in ["check", "quote", "compare", "buy", "rip", "cloth"] {
        run(&[command, "job.toml"]);
        run(&[command, "job.toml", "--csv"]);
    }
    run(&["quote", "job.toml", "--client"]);
    run(&["quote", "job.toml", "--client", "--csv"]);
    run(&["quote", "job.toml", "--actual", "actual.csv"]);
    run(&["quote", "job.toml", "--actual", "actual.csv", "--csv"]);
    run(&["estimate", "job.toml"]);
    run(&["estimate", "job.toml", "--inside", "36 x 16 x 28"]);
    run(&["plan", "job.toml", "--out", "out"]);
    run(&["yard", "job.toml", "--picked", "picked.csv"]);
    run(&["yard", "job.toml", "--picked", "picked.csv", "--csv"]);
    run(&["count", "job.toml", "--plan", "out", "--blank"]);
    folder.write("count.csv", &folder.filled(&["job.toml", "--plan", "out"], |_, _, yields| yields / 2));
    let cut = ["count", "job.toml", "--plan", "out", "--cut", "count.csv"];
    run(&[&cut[..], &["--csv"]].concat());
    run(&[&cut[..], &["--record", "--out", "again"]].concat());
    let once = folder.read("history.csv");
    run(&[&cut[..], &["--record"]].concat());
    assert_eq!(folder.read("history.csv"), once, "{word:?}: a job recorded twice stands there once");
    let rack = ["rack", "job.toml", "--plan", "out", "--rack", "boards.csv"];
    run(&[&rack[..], &["--csv"]].concat());
    run(&[&rack[..], &["--update"]].concat());
    run(&rack);
    let (_, again) = said.screens.iter().rev().nth(1).unwrap();
    assert!(again.contains("Nothing to change"), "{word:?}: a board taken off twice: {again}");
    let files = tree(folder.home.path(), &|_| false);
    said.files = files.into_iter().map(|(name, bytes)| (name, text(&bytes))).collect();
    said
}
