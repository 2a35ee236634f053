//! Changes to the text of a job's files. What is not changed stays as it was written: comments, order, spacing.

use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value, value};

use super::address::{Address, Kind, Of, Step};
use super::rows;
use crate::files::{StarterFile, starter};
use crate::measure::{Units, parse_length, parse_thickness};

/// A change to the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Change {
    /// These values of one file, each at its address; an empty one goes, and what is usual stands in its place.
    Set(Vec<(Address, String)>),
    /// One more row of a table like this one.
    CopyRow(Of, usize),
    /// This row of a table goes.
    RemoveRow(Of, usize),
    /// One more cabinet, as a starter job has it.
    Add,
    /// One more cabinet like this one.
    Copy(usize),
    /// This cabinet goes.
    Remove(usize),
    /// A cabinet of another job's text, with the track and the slats it has there.
    Bring {
        /// That text.
        text: String,
        /// Which of its cabinets.
        cabinet: usize,
    },
}

impl Change {
    /// The file that it changes.
    pub(crate) fn of(&self) -> Of {
        match self {
            Self::Set(values) => values.first().map_or(Of::Job, |(at, _)| at.of()),
            Self::CopyRow(of, _) | Self::RemoveRow(of, _) => *of,
            Self::Add | Self::Copy(_) | Self::Remove(_) | Self::Bring { .. } => Of::Job,
        }
    }
}

/// Why a text was not changed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NotChanged {
    #[error("the file is no TOML as it stands; mend it in a text editor first")]
    NoToml,
    #[error("there is no such value in the file any more")]
    NotThere,
    #[error("the other job has no such cabinet")]
    NoCabinet,
}

/// The text with the change.
pub(crate) fn changed(text: &str, units: Units, change: &Change) -> Result<String, NotChanged> {
    if change.of().is_table() {
        return table_changed(text, units, change).ok_or(NotChanged::NotThere);
    }
    // Line ends come back as they were; within, there is one kind of them.
    let dos = text.contains("\r\n");
    let mut document = open(&if dos { text.replace("\r\n", "\n") } else { text.to_owned() })?;
    match change {
        Change::Set(values) => values.iter().try_for_each(|(at, to)| set(&mut document, at, to))?,
        Change::Add => {
            let starter = starter_cabinet(units).ok_or(NotChanged::NoCabinet)?;
            push(&mut document, starter)?;
        }
        Change::Copy(at) => {
            let copy = cabinet(&document, *at).ok_or(NotChanged::NotThere)?;
            push(&mut document, copy)?;
        }
        Change::Remove(at) => remove(&mut document, *at)?,
        Change::Bring { text, cabinet } => bring(&mut document, units, text, *cabinet)?,
        Change::CopyRow(..) | Change::RemoveRow(..) => return Err(NotChanged::NotThere),
    }
    let out = document.to_string();
    Ok(if dos { out.replace('\n', "\r\n") } else { out })
}

/// A table's text with the change; `None` where it is of a row that is not there.
fn table_changed(text: &str, units: Units, change: &Change) -> Option<String> {
    match change {
        Change::Set(values) => values.iter().try_fold(text.to_owned(), |text, (at, to)| {
            let (row, column) = at.cell()?;
            rows::set(&text, row, column, &as_cell(at, to.trim(), units))
        }),
        Change::CopyRow(of, row) => {
            let column = if *of == Of::Boards { "stock" } else { "bolt" };
            let name = rows::cell(text, *row, column)?;
            let taken: Vec<String> = (0..rows::count(text)).filter_map(|row| rows::cell(text, row, column)).collect();
            rows::copy(text, *row, column, &free_name(&name, &taken))
        }
        Change::RemoveRow(_, row) => rows::remove(text, *row),
        Change::Add | Change::Copy(_) | Change::Remove(_) | Change::Bring { .. } => None,
    }
}

/// What was typed as a cell holds it: sizes in decimals, which no spreadsheet takes for a date.
fn as_cell(at: &Address, to: &str, units: Units) -> String {
    let cell = match at.kind() {
        Kind::Length => parse_length(to, units).ok().map(|length| {
            let decimal = length.decimal(units);
            if parse_length(&decimal, units) == Ok(length) { decimal } else { length.exact() }
        }),
        _ if at.cell().is_some_and(|(_, column)| column == "thickness") => {
            parse_thickness(to, units).ok().map(|thickness| thickness.csv(units))
        }
        _ => None,
    };
    cell.unwrap_or_else(|| to.to_owned())
}

/// What a cell holds, as a maker says it.
pub(crate) fn written_cell(text: &str, at: &Address, units: Units) -> Option<String> {
    let (row, column) = at.cell()?;
    let cell = rows::cell(text, row, column)?;
    let shown = match at.kind() {
        Kind::Length => parse_length(&cell, units).ok().map(|length| length.show(units)),
        _ if column == "thickness" => parse_thickness(&cell, units).ok().map(|thickness| thickness.show(units)),
        _ => None,
    };
    Some(shown.filter(|shown| !shown.starts_with('~')).unwrap_or(cell))
}

pub(crate) fn open(text: &str) -> Result<DocumentMut, NotChanged> {
    text.parse().map_err(|_| NotChanged::NoToml)
}

/// What is written at an address, as a maker would type it: without its quotes.
pub(crate) fn written(document: &DocumentMut, at: &Address) -> Option<String> {
    let (table, key) = at.parted();
    let mut here: &dyn TableLike = document.as_table();
    let mut steps = table.iter().peekable();
    while let Some(step) = steps.next() {
        let Step::Key(name) = step else { return None };
        let item = here.get(name)?;
        here = match steps.peek() {
            Some(Step::At(at)) => {
                steps.next();
                match item {
                    Item::ArrayOfTables(list) => list.get(*at)?,
                    Item::Value(Value::Array(list)) => list.get(*at)?.as_inline_table()?,
                    _ => return None,
                }
            }
            _ => item.as_table_like()?,
        };
    }
    here.get(key)?.as_value().map(plain)
}

fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.value().clone(),
        other => other.clone().decorated("", "").to_string(),
    }
}

/// The table at some steps; one that is left out is made, in a line of its own.
fn table_at<'a>(document: &'a mut DocumentMut, steps: &[Step]) -> Result<&'a mut dyn TableLike, NotChanged> {
    let mut here: &mut dyn TableLike = document.as_table_mut();
    let mut steps = steps.iter().peekable();
    while let Some(step) = steps.next() {
        let Step::Key(name) = step else { return Err(NotChanged::NotThere) };
        let listed = matches!(steps.peek(), Some(Step::At(_)));
        if !listed && here.get(name).is_none() {
            here.insert(name, Item::Value(Value::InlineTable(InlineTable::new())));
        }
        let item = here.get_mut(name).ok_or(NotChanged::NotThere)?;
        let next: Option<&mut dyn TableLike> = if let (true, Some(Step::At(at))) = (listed, steps.next_if(|_| listed)) {
            match item {
                Item::ArrayOfTables(list) => list.get_mut(*at).map(|table| table as &mut dyn TableLike),
                Item::Value(Value::Array(list)) => {
                    list.get_mut(*at).and_then(Value::as_inline_table_mut).map(|table| table as &mut dyn TableLike)
                }
                _ => None,
            }
        } else {
            item.as_table_like_mut()
        };
        here = next.ok_or(NotChanged::NotThere)?;
    }
    Ok(here)
}

fn set(document: &mut DocumentMut, at: &Address, to: &str) -> Result<(), NotChanged> {
    let (steps, key) = at.parted();
    let table = table_at(document, steps)?;
    let to = to.trim();
    if to.is_empty() {
        table.remove(key);
        return Ok(());
    }
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            let mut new = value_of(at.kind(), to, Some(old));
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        Some(_) => return Err(NotChanged::NotThere),
        None => {
            table.insert(key, value(value_of(at.kind(), to, None)));
        }
    }
    Ok(())
}

/// A figure stays a figure where one stood; a length with a fraction or a unit is a text.
fn value_of(kind: Kind, to: &str, old: Option<&Value>) -> Value {
    let figure = || {
        let whole = to.parse::<i64>().ok().map(Value::from);
        whole.or_else(|| to.parse::<f64>().ok().filter(|n| n.is_finite()).map(Value::from))
    };
    let was_figure = matches!(old, Some(Value::Integer(_) | Value::Float(_)));
    match kind {
        Kind::Count | Kind::Figure => figure(),
        // As it was typed: 52.50 stays 52.50.
        Kind::Amount => to.parse::<Value>().ok().filter(|value| value.is_integer() || value.is_float()),
        Kind::Length if was_figure => figure(),
        Kind::Length | Kind::Word(_) | Kind::Text => None,
    }
    .unwrap_or_else(|| Value::from(to))
}

/// Cabinet `at`, as a table by itself.
fn cabinet(document: &DocumentMut, at: usize) -> Option<Table> {
    match document.get("cabinet")? {
        Item::ArrayOfTables(list) => list.get(at).cloned(),
        Item::Value(Value::Array(list)) => Some(list.get(at)?.as_inline_table()?.clone().into_table()),
        _ => None,
    }
}

/// Adds a cabinet behind the others, under a name that none of them has.
fn push(document: &mut DocumentMut, mut table: Table) -> Result<(), NotChanged> {
    let name = table.get("name").and_then(Item::as_str).unwrap_or("cabinet").to_owned();
    let taken: Vec<String> = (0..)
        .map_while(|at| cabinet(document, at))
        .filter_map(|other| other.get("name").and_then(Item::as_str).map(str::to_owned))
        .collect();
    let name = free_name(&name, &taken);
    match table.get_mut("name") {
        Some(Item::Value(old)) => {
            let decor = old.decor().clone();
            *old = Value::from(name);
            *old.decor_mut() = decor;
        }
        _ => {
            table.insert("name", value(name));
        }
    }
    match document.get_mut("cabinet") {
        Some(Item::ArrayOfTables(list)) => {
            settle(&mut table, true);
            list.push(table);
        }
        Some(Item::Value(Value::Array(list))) => list.push(table.into_inline_table()),
        Some(_) => return Err(NotChanged::NotThere),
        None => {
            settle(&mut table, true);
            let mut list = ArrayOfTables::new();
            list.push(table);
            document.insert("cabinet", Item::ArrayOfTables(list));
        }
    }
    Ok(())
}

/// Written where it is pushed, not where it was copied from; without the comment over the old one's heading.
fn settle(table: &mut Table, first: bool) {
    table.set_position(None);
    if first {
        table.decor_mut().set_prefix("\n");
    }
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => settle(inner, false),
            Item::ArrayOfTables(list) => list.iter_mut().for_each(|inner| settle(inner, false)),
            _ => {}
        }
    }
}

/// `press`, `press 2`, `press 3` ...
fn free_name(name: &str, taken: &[String]) -> String {
    // Two names that differ in letter case alone are one to whoever reads them on a board.
    let is_taken = |name: &str| taken.iter().any(|other| other.to_lowercase() == name.to_lowercase());
    if !is_taken(name) {
        return name.to_owned();
    }
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end();
    let stem = if stem.is_empty() { name } else { stem };
    (2..).map(|n| format!("{stem} {n}")).find(|name| !is_taken(name)).unwrap_or_default()
}

fn remove(document: &mut DocumentMut, at: usize) -> Result<(), NotChanged> {
    let left = match document.get_mut("cabinet") {
        Some(Item::ArrayOfTables(list)) if at < list.len() => {
            list.remove(at);
            list.len()
        }
        Some(Item::Value(Value::Array(list))) if at < list.len() => {
            list.remove(at);
            list.len()
        }
        _ => return Err(NotChanged::NotThere),
    };
    if left == 0 {
        document.remove("cabinet");
    }
    Ok(())
}

fn starter_cabinet(units: Units) -> Option<Table> {
    let files = starter(units, None);
    let StarterFile { text, .. } = files.into_iter().find(|file| file.name == "job.toml")?;
    cabinet(&open(&text).ok()?, 0)
}

/// A cabinet of another job, so that it is the same one here: with its track, with the slats that are not this job's, and
/// with bare figures in their own unit.
fn bring(document: &mut DocumentMut, units: Units, text: &str, at: usize) -> Result<(), NotChanged> {
    let other = open(&text.replace("\r\n", "\n")).map_err(|_| NotChanged::NoCabinet)?;
    let mut table = cabinet(&other, at).ok_or(NotChanged::NoCabinet)?;
    let theirs = match other.get("units").and_then(Item::as_str) {
        Some("mm") => Units::Millimetre,
        _ => Units::Inch,
    };
    let mut slats = InlineTable::new();
    for source in [table.get("slats"), other.get("slats")] {
        for (key, item) in source.and_then(Item::as_table_like).into_iter().flat_map(TableLike::iter) {
            if let (Some(value), false) = (item.as_value(), slats.contains_key(key)) {
                slats.insert(key, value.clone().decorated(" ", ""));
            }
        }
    }
    let ours = document.get("slats").and_then(Item::as_table_like);
    let same = |key: &str, value: &Value| {
        units == theirs && ours.and_then(|ours| ours.get(key)).and_then(Item::as_value).map(plain) == Some(plain(value))
    };
    slats.retain(|key, value| !same(key, value));
    table.remove("slats");
    if !slats.is_empty() {
        table.insert("slats", Item::Value(Value::InlineTable(slats)));
    }
    let mut tracks = tracks_of(&table, &other);
    if units != theirs {
        in_own_unit(&mut table, theirs);
        tracks.iter_mut().for_each(|track| in_own_unit(track, theirs));
    }
    for mut track in tracks {
        let name = track.get("name").and_then(Item::as_str).unwrap_or_default().to_owned();
        let there =
            listed(document, "track").iter().any(|track| track.get("name").and_then(Item::as_str) == Some(&name));
        if !there {
            settle(&mut track, true);
            let list = document.entry("track").or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
            match list {
                Item::ArrayOfTables(list) => list.push(track),
                Item::Value(Value::Array(list)) => list.push(track.into_inline_table()),
                _ => return Err(NotChanged::NotThere),
            }
        }
    }
    push(document, table)
}

/// Every table of a list, as a table by itself.
pub(crate) fn listed(document: &DocumentMut, key: &str) -> Vec<Table> {
    match document.get(key) {
        Some(Item::ArrayOfTables(list)) => list.iter().cloned().collect(),
        Some(Item::Value(Value::Array(list))) => {
            list.iter().filter_map(Value::as_inline_table).map(|table| table.clone().into_table()).collect()
        }
        _ => Vec::new(),
    }
}

/// The tracks that a cabinet's doors run in.
fn tracks_of(table: &Table, other: &DocumentMut) -> Vec<Table> {
    let named = |door: &dyn TableLike| door.get("track").and_then(Item::as_str).map(str::to_owned);
    let names: Vec<String> = match table.get("door") {
        Some(Item::ArrayOfTables(doors)) => doors.iter().filter_map(|door| named(door)).collect(),
        Some(Item::Value(Value::Array(doors))) => {
            doors.iter().filter_map(Value::as_inline_table).filter_map(|door| named(door)).collect()
        }
        _ => Vec::new(),
    };
    let tracks = listed(other, "track").into_iter();
    tracks.filter(|track| names.iter().any(|name| track.get("name").and_then(Item::as_str) == Some(name))).collect()
}

/// Keys that hold no length.
const NO_LENGTH: [&str; 14] = [
    "name",
    "count",
    "doors",
    "species",
    "lead_tongue_at",
    "lead_fitted",
    "lead_entry",
    "rabbet_face",
    "milling",
    "edge_bevel",
    "angle",
    "canvas",
    "track",
    "first_slope",
];

/// Bare lengths of a table with their unit behind them.
fn in_own_unit(table: &mut dyn TableLike, units: Units) {
    for (key, item) in table.iter_mut() {
        if NO_LENGTH.contains(&key.get()) {
            continue;
        }
        match item {
            Item::Table(inner) => in_own_unit(inner, units),
            Item::ArrayOfTables(list) => list.iter_mut().for_each(|inner| in_own_unit(inner, units)),
            Item::Value(Value::InlineTable(inner)) => in_own_unit(inner, units),
            Item::Value(Value::Array(list)) => each_table(list, units),
            Item::Value(value) => {
                let text = plain(value);
                let (one, other) = (parse_length(&text, Units::Inch), parse_length(&text, Units::Millimetre));
                // What reads the same in both has its unit already; words read in neither.
                if let (Ok(inch), Ok(mm)) = (one, other)
                    && inch != mm
                {
                    let decor = value.decor().clone();
                    *value = Value::from(format!("{text} {units}"));
                    *value.decor_mut() = decor;
                }
            }
            Item::None => {}
        }
    }
}

fn each_table(list: &mut Array, units: Units) {
    list.iter_mut().filter_map(Value::as_inline_table_mut).for_each(|inner| in_own_unit(inner, units));
}

#[cfg(test)]
mod tests {
    use super::*;

    const JOB: &str = "# by hand\nunits='in'\nslats = { width = \"5/8\" ,species='cherry' }\n\n[[cabinet]]   # the one\n\
                       name   = \"press\"\ncorner_radius = 3   # to the centreline\ninside_width=\"36\"\n\n# next\n\
                       [[cabinet]]\nname = 'other'\n[[cabinet.door]]\ntravel = '12'\n\n[spares]\nreject_rate = 0.1\n";

    fn set_to(text: &str, at: &str, to: &str) -> String {
        let change = Change::Set(vec![(Address::read(at).unwrap(), to.to_owned())]);
        changed(text, Units::Inch, &change).unwrap()
    }

    #[test]
    fn a_value_is_changed_and_nothing_else() {
        for (at, to, old, new) in [
            ("cabinet.0.corner_radius", "3-1/4", "corner_radius = 3   #", "corner_radius = \"3-1/4\"   #"),
            ("cabinet.0.corner_radius", "4", "corner_radius = 3   #", "corner_radius = 4   #"),
            ("cabinet.0.inside_width", "37", "inside_width=\"36\"", "inside_width=\"37\""),
            ("slats.width", "3/4", "width = \"5/8\" ,", "width = \"3/4\" ,"),
            ("cabinet.1.door.0.travel", "11", "travel = '12'", "travel = \"11\""),
            ("spares.reject_rate", "0.2", "= 0.1", "= 0.2"),
        ] {
            assert_eq!(set_to(JOB, at, to), JOB.replace(old, new), "{at}");
        }
    }

    #[test]
    fn line_ends_stay_what_they_were() {
        let dos = JOB.replace('\n', "\r\n");
        let out = set_to(&dos, "cabinet.0.inside_width", "37");
        assert_eq!(out, dos.replace("\"36\"", "\"37\""));
    }

    #[test]
    fn a_key_left_out_is_added_and_an_empty_one_goes() {
        let out = set_to(JOB, "cabinet.0.setback", "3/4");
        assert_eq!(out, JOB.replace("=\"36\"\n", "=\"36\"\nsetback = \"3/4\"\n"));
        assert_eq!(set_to(&out, "cabinet.0.setback", " "), JOB);
        let walnut = set_to(JOB, "cabinet.0.slats.species", "walnut");
        assert!(walnut.contains("slats = { species = \"walnut\" }\n"), "{walnut}");
    }

    #[test]
    fn a_cabinet_is_copied_whole_and_removed_whole() {
        let out = changed(JOB, Units::Inch, &Change::Copy(1)).unwrap();
        let document = open(&out).unwrap();
        assert_eq!(written(&document, &Address::read("cabinet.2.name").unwrap()).unwrap(), "other 2");
        assert_eq!(written(&document, &Address::read("cabinet.2.door.0.travel").unwrap()).unwrap(), "12");
        assert_eq!(written(&document, &Address::read("cabinet.1.door.0.travel").unwrap()).unwrap(), "12");
        assert!(out.starts_with("# by hand\nunits='in'") && out.contains("[[cabinet]]   # the one"), "{out}");
        assert_eq!(changed(&out, Units::Inch, &Change::Remove(2)).unwrap(), JOB);
        assert_eq!(changed(JOB, Units::Inch, &Change::Remove(7)), Err(NotChanged::NotThere));
    }

    #[test]
    fn a_cabinet_of_another_job_keeps_its_slats_its_track_and_its_unit() {
        let other = "units = \"mm\"\n[slats]\nspecies = \"cherry\"\nwidth = 16\n[[track]]\nname = \"t\"\n\
                     path = [{ straight = 300 }]\n[[cabinet]]\nname = \"press\"\n[[cabinet.door]]\ntrack = \"t\"\n\
                     between = \"700\"\ncover = \"1 m\"\n";
        let bring = Change::Bring { text: other.to_owned(), cabinet: 0 };
        let out = changed(JOB, Units::Inch, &bring).unwrap();
        let document = open(&out).unwrap();
        let at = |at: &str| written(&document, &Address::read(at).unwrap());
        assert_eq!(at("cabinet.2.name").unwrap(), "press 2");
        assert_eq!(at("cabinet.2.slats.width").unwrap(), "16 mm");
        assert_eq!(at("cabinet.2.door.0.between").unwrap(), "700 mm");
        assert_eq!(at("cabinet.2.door.0.cover").unwrap(), "1 m");
        assert_eq!(at("track.0.path.0.straight").unwrap(), "300 mm");
    }

    #[test]
    fn err_a_text_that_is_no_toml() {
        assert_eq!(changed("a = = 1", Units::Inch, &Change::Add), Err(NotChanged::NoToml));
    }
}
