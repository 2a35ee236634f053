//! The job that `new` writes.

use slatwright::files::{Sources, starter};
use slatwright::job::{self, Job};

/// The starter's files, each text changed by `edit`.
fn started(edit: impl Fn(&str) -> String) -> Job {
    let sources = starter()
        .iter()
        .fold(Sources::in_memory("job.toml", ""), |sources, file| sources.with(file.name, edit(file.text)));
    job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn the_starter_job_is_good_as_it_stands() {
    let job = started(str::to_owned);
    assert_eq!((job.cabinets.len(), job.strips.len(), job.cloth_pieces.len(), job.lines.len()), (1, 1, 1, 1));
    assert_eq!((job.boards.len(), job.bolts.len()), (4, 2));
    assert_eq!(job.boards[0].on_hand, Some(3));
}

/// Whatever the starter shows in a comment works when the maker takes the mark away.
#[test]
fn the_starter_job_is_good_with_every_commented_line_in_use() {
    let key =
        |text: &str| text.split_once(" = ").is_some_and(|(key, _)| key.chars().all(|c| c == '_' || c.is_lowercase()));
    let job = started(|text| {
        let lines = text.lines().map(|line| match line.strip_prefix("# ") {
            Some(rest) if key(rest) || rest.trim_start().starts_with(['[', '{', ']']) => rest,
            _ => line,
        });
        lines.collect::<Vec<_>>().join("\n")
    });
    assert_eq!(job.cabinets.len(), 2);
    assert_eq!(job.client.as_deref(), Some("..."));
    assert_eq!(job.shop.climate.len(), 3);
    assert_eq!(job.defaults.iter().map(|used| used.key.as_str()).collect::<Vec<_>>(), [""; 0]);
}
