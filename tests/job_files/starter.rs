//! The job that `new` writes.

use slatwright::files::{Sources, starter};
use slatwright::job::{self, Job};
use slatwright::measure::Units;

/// The starter's files, each text changed by `edit`.
fn started(units: Units, edit: impl Fn(&str) -> String) -> Job {
    let sources = starter(units, None)
        .iter()
        .fold(Sources::in_memory("job.toml", ""), |sources, file| sources.with(file.name, edit(&file.text)));
    job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn the_starter_job_is_good_as_it_stands() {
    for units in [Units::Inch, Units::Millimetre] {
        let job = started(units, str::to_owned);
        assert_eq!(job.units, units);
        assert_eq!((job.cabinets.len(), job.strips.len(), job.cloth_pieces.len(), job.lines.len()), (1, 1, 1, 1));
        assert_eq!((job.boards.len(), job.bolts.len()), (4, 2));
        assert_eq!(job.boards[0].on_hand, Some(3));
        assert_eq!(job.name, "seed library, reading room");
        assert_eq!(job.written.questions, [""; 0]);
    }
}

#[test]
fn the_starter_job_has_the_name_it_is_given_where_that_is_a_name() {
    for (called, name) in
        [("hall press", "hall press"), ("a \"b\" \\ c", "a \"b\" \\ c"), ("a\nb", "seed library, reading room")]
    {
        let files = starter(Units::Inch, Some(called));
        let sources =
            files.iter().fold(Sources::in_memory("job.toml", ""), |all, file| all.with(file.name, &*file.text));
        assert_eq!(job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}")).name, name);
    }
}

/// Whatever the starter shows in a comment works when the maker takes the mark away.
#[test]
fn the_starter_job_is_good_with_every_commented_line_in_use() {
    let key =
        |text: &str| text.split_once(" = ").is_some_and(|(key, _)| key.chars().all(|c| c == '_' || c.is_lowercase()));
    for units in [Units::Inch, Units::Millimetre] {
        let job = started(units, |text| {
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
}

/// Whatever one starter shows the other shows too, in its own figures.
#[test]
fn the_two_starters_show_the_same_keys() {
    let keys = |units: Units, file: usize| -> Vec<String> {
        let files = starter(units, None);
        let lines = files[file].text.lines().filter_map(|line| {
            let line = line.trim_start_matches("# ");
            // An operation is one line of several keys.
            let key = if line.trim_start().starts_with('{') || line.starts_with('[') {
                let keys = line.split_once('}').map_or(line, |(keys, _)| keys);
                return Some(keys.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect());
            } else {
                line.split_once(" = ")?.0.trim()
            };
            let plain = !key.is_empty() && key.chars().all(|c| c == '_' || c.is_ascii_lowercase());
            plain.then(|| key.replace("square_metres", "square_feet"))
        });
        lines.filter(|line: &String| !line.contains("straight") && !line.contains("arc")).collect()
    };
    for file in ["job.toml", "shop.toml"] {
        let at = starter(Units::Inch, None).iter().position(|starter| starter.name == file).unwrap();
        assert_eq!(keys(Units::Inch, at), keys(Units::Millimetre, at), "{file}");
    }
}
