//! The sizes and words of a job as fields of the page, each with its address in the file.

use std::ops::Range;
use std::path::Path;

use toml_edit::{DocumentMut, Item};

use super::address::{Address, Kind, Of};
use super::edit::{open, written};
use super::session::Laid;
use crate::files::{FileId, Place, Problems, Span};
use crate::job::{Cabinet, DoorTrack, Panel};
use crate::measure::Length;

/// One thing that can be written.
#[derive(Debug, Clone)]
pub(crate) struct Field {
    pub(crate) at: Address,
    pub(crate) label: String,
    /// As it stands in the file; empty where it does not.
    pub(crate) value: String,
    /// What is taken where nothing stands.
    pub(crate) usual: String,
    /// What is wrong with it.
    pub(crate) wrong: Option<String>,
}

/// Fields that belong together.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    pub(crate) title: String,
    pub(crate) fields: Vec<Field>,
    /// Seldom changed: folded away until asked for.
    pub(crate) folded: bool,
}

/// Everything that can be written of a job while one of its cabinets lies on the bench.
#[derive(Debug)]
pub(crate) struct Fields {
    pub(crate) head: Vec<Field>,
    pub(crate) groups: Vec<Group>,
    /// What is wrong and belongs to no field.
    pub(crate) elsewhere: Vec<String>,
    /// Names of the cabinets, as far as they have one.
    pub(crate) cabinets: Vec<String>,
}

/// Label and key.
type Named = (&'static str, &'static str);

const CASE: [Named; 5] = [
    ("inside width", "inside_width"),
    ("inside height", "inside_height"),
    ("inside depth", "inside_depth"),
    ("doors", "doors"),
    ("how many", "count"),
];
const GROOVE: [Named; 4] = [
    ("corner radius", "corner_radius"),
    ("setback from the front edge", "setback"),
    ("groove width", "groove_width"),
    ("groove depth", "groove_depth"),
];
const GROOVE_MORE: [Named; 4] = [
    ("side to the groove", "side_inset"),
    ("back to the groove", "back_inset"),
    ("panel thickness", "panel_thickness"),
    ("block between the doors", "middle_block"),
];
const SLATS: [Named; 6] = [
    ("wood", "species"),
    ("slat width", "width"),
    ("slat thickness", "thickness"),
    ("lead slat width", "lead_width"),
    ("rabbet depth", "rabbet_depth"),
    ("rabbet length", "rabbet_length"),
];
const SLATS_MORE: [Named; 7] = [
    ("lead slat thickness", "lead_thickness"),
    ("tongue of the lead slat", "lead_tongue"),
    ("lead slat joins, loading", "lead_fitted"),
    ("rabbet cut from the face", "rabbet_face"),
    ("bevel of each edge, degrees", "edge_bevel"),
    ("chamfer at the show face", "edge_chamfer"),
    ("planed", "milling"),
];
const TRACK: [Named; 3] =
    [("groove width", "groove_width"), ("groove depth", "groove_depth"), ("panel thickness", "panel_thickness")];
const DOOR: [Named; 3] = [("between the grooved faces", "between"), ("track covered", "cover"), ("travel", "travel")];

/// Reads the fields out of a text. `typed` stands in for what is written at one address.
pub(crate) fn fields(
    text: &str,
    cabinet: usize,
    laid: Option<&Laid>,
    problems: Option<&Problems>,
    typed: Option<(&Address, &str)>,
) -> Fields {
    let document = open(text).unwrap_or_default();
    let places = Places::of(Of::Job, text, problems, Path::new(""));
    let case = laid.and_then(|laid| laid.job.cabinets.get(cabinet));
    let mut found = Found { document: &document, places, case, laid, typed, met: Vec::new() };
    let at = format!("cabinet.{cabinet}");
    let mut groups = Vec::new();
    let head = found.list("", &[("job", "name"), ("for", "client")]);
    let names: Vec<String> = (0..cabinets(&document)).map(|n| name_of(&document, n)).collect();
    if cabinet < names.len() {
        let named = found.list(&at, &[("name", "name")]);
        let group = |title: &str, fields, folded| Group { title: title.to_owned(), fields, folded };
        if found.text(&format!("{at}.doors")).is_some() || count_in(&document, cabinet) == 0 {
            groups.push(group("Case", [named, found.list(&at, &CASE)].concat(), false));
            groups.push(group("Groove", found.list(&at, &GROOVE), false));
            groups.push(group("More of the groove", found.list(&at, &GROOVE_MORE), true));
        } else {
            groups.push(group("Cabinet", [named, found.list(&at, &[("how many", "count")])].concat(), false));
            for door in 0..count_in(&document, cabinet) {
                groups.extend(given_door(&mut found, &format!("{at}.door.{door}")));
            }
        }
        groups.push(group("Slats", slats(&mut found, &at, &SLATS), false));
        groups.push(group("More of the slats", slats(&mut found, &at, &SLATS_MORE), true));
    }
    let spares =
        [("share of strips that fail", "reject_rate"), ("strips left with the client, a door", "repair_strips")];
    let spares = found.list("spares", &spares);
    groups.push(Group { title: "Spares".to_owned(), fields: spares, folded: true });
    for strip in 0..count(&document, "strip") {
        let keys = [("quantity", "quantity"), ("length", "length"), ("width", "width"), ("thickness", "thickness")];
        let name = found.text(&format!("strip.{strip}.name")).unwrap_or_else(|| "loose strip".to_owned());
        groups.push(Group { title: name, fields: found.list(&format!("strip.{strip}"), &keys), folded: true });
    }
    let elsewhere = elsewhere(problems, &found.met);
    Fields { head, groups, elsewhere, cabinets: names }
}

/// A door given by its track: its own figures, and those of the track.
fn given_door(found: &mut Found<'_>, at: &str) -> Vec<Group> {
    let name = found.text(&format!("{at}.name")).unwrap_or_else(|| "door".to_owned());
    let track = found.document.as_table();
    let asked = found.track_of(at);
    let mut groups = vec![Group { title: format!("Door: {name}"), fields: found.list(at, &DOOR), folded: false }];
    let Some(number) = asked else { return groups };
    let at = format!("track.{number}");
    let mut fields = found.list(&at, &TRACK);
    let segments = segments(track.get("track"), number);
    for (n, arc) in segments.iter().enumerate() {
        let at = format!("{at}.path.{n}");
        let place = n + 1;
        if *arc {
            fields.extend(found.one(&at, &format!("run {place}: radius"), "arc"));
            fields.extend(found.one(&at, &format!("run {place}: turns, degrees"), "angle"));
        } else {
            fields.extend(found.one(&at, &format!("run {place}: straight"), "straight"));
        }
    }
    let title = found.text(&format!("{at}.name")).unwrap_or_else(|| "track".to_owned());
    groups.push(Group { title: format!("Track: {title}"), fields, folded: false });
    groups
}

/// Slats are written where they are now: with the cabinet, or for the whole job.
fn slats(found: &mut Found<'_>, cabinet: &str, keys: &[Named]) -> Vec<Field> {
    let own = |key: &str| format!("{cabinet}.slats.{key}");
    let mut fields = Vec::new();
    for (label, key) in keys {
        let alone = found.text(&own(key)).is_some();
        let (at, label) = match alone {
            true => (format!("{cabinet}.slats"), format!("{label}, here alone")),
            false => ("slats".to_owned(), (*label).to_owned()),
        };
        fields.extend(found.one(&at, &label, key));
    }
    fields
}

/// How many cabinets a job has.
pub(super) fn cabinets(document: &DocumentMut) -> usize {
    count(document, "cabinet")
}

/// What one of them is called.
pub(super) fn name_of(document: &DocumentMut, cabinet: usize) -> String {
    let name = Address::read(&format!("cabinet.{cabinet}.name")).and_then(|at| written(document, &at));
    name.unwrap_or_else(|| format!("cabinet {}", cabinet + 1))
}

/// How many tables stand under a key.
fn count(document: &DocumentMut, key: &str) -> usize {
    length(document.get(key))
}

fn length(item: Option<&Item>) -> usize {
    match item {
        Some(Item::ArrayOfTables(list)) => list.len(),
        Some(Item::Value(value)) => value.as_array().map_or(0, toml_edit::Array::len),
        _ => 0,
    }
}

/// How many doors a cabinet is given one by one.
fn count_in(document: &DocumentMut, cabinet: usize) -> usize {
    match document.get("cabinet") {
        Some(Item::ArrayOfTables(list)) => length(list.get(cabinet).and_then(|table| table.get("door"))),
        _ => 0,
    }
}

/// Which pieces of a track are arcs.
fn segments(tracks: Option<&Item>, number: usize) -> Vec<bool> {
    let Some(Item::ArrayOfTables(list)) = tracks else { return Vec::new() };
    let path = list.get(number).and_then(|track| track.get("path")).and_then(Item::as_array);
    let tables = path.into_iter().flat_map(toml_edit::Array::iter).filter_map(toml_edit::Value::as_inline_table);
    tables.map(|segment| segment.contains_key("arc")).collect()
}

/// What is looked up while the fields are put together.
struct Found<'a> {
    document: &'a DocumentMut,
    places: Places<'a>,
    case: Option<&'a Cabinet>,
    laid: Option<&'a Laid>,
    typed: Option<(&'a Address, &'a str)>,
    /// Problems that have a field.
    met: Vec<usize>,
}

impl Found<'_> {
    fn text(&self, at: &str) -> Option<String> {
        written(self.document, &Address::read(at)?)
    }

    /// Which track a door runs in.
    fn track_of(&self, door: &str) -> Option<usize> {
        let mut steps = door.split('.').skip(1);
        let cabinet: usize = steps.next()?.parse().ok()?;
        let number: usize = steps.nth(1)?.parse().ok()?;
        let Item::ArrayOfTables(cabinets) = self.document.get("cabinet")? else { return None };
        let Item::ArrayOfTables(doors) = cabinets.get(cabinet)?.get("door")? else { return None };
        let name = doors.get(number)?.get("track")?.as_str()?;
        let Item::ArrayOfTables(tracks) = self.document.get("track")? else { return None };
        tracks.iter().position(|track| track.get("name").and_then(Item::as_str) == Some(name))
    }

    fn list(&mut self, table: &str, keys: &[Named]) -> Vec<Field> {
        keys.iter().filter_map(|(label, key)| self.one(table, label, key)).collect()
    }

    fn one(&mut self, table: &str, label: &str, key: &str) -> Option<Field> {
        let dot = if table.is_empty() { "" } else { "." };
        let at = Address::read(&format!("{table}{dot}{key}"))?;
        let here = self.typed.filter(|(address, _)| **address == at).map(|(_, text)| text.to_owned());
        let value = here.or_else(|| written(self.document, &at)).unwrap_or_default();
        let usual = if value.is_empty() { self.usual(key) } else { String::new() };
        let met = self.places.at(&at);
        let wrong = met.first().map(|(_, words)| words.clone());
        self.met.extend(met.iter().map(|(number, _)| *number));
        Some(Field { at, label: label.to_owned(), value, usual, wrong })
    }

    /// What is taken where the file says nothing.
    fn usual(&self, key: &str) -> String {
        let Some((laid, case)) = self.laid.zip(self.case) else { return String::new() };
        let show = |length: Length| length.show_nearest(laid.job.units);
        let Some(spec) = case.doors.first() else { return String::new() };
        let (slats, groove) = (&spec.slats, spec.groove);
        let length = match (key, &spec.track) {
            ("count", _) => return case.count.to_string(),
            ("side_inset", DoorTrack::Case { side_inset, .. }) => *side_inset,
            ("back_inset", DoorTrack::Case { back_inset, .. }) => *back_inset,
            ("middle_block", DoorTrack::Case { middle_block, .. }) => *middle_block,
            ("panel_thickness", _) => match groove.panel {
                Panel::Given(thickness) | Panel::Usual(thickness) => thickness,
            },
            ("lead_thickness", _) => slats.lead_thickness,
            ("lead_tongue", _) => slats.lead_tongue.unwrap_or(slats.lead_width),
            ("edge_chamfer", _) => slats.edge_chamfer,
            ("edge_bevel", _) => return slats.edge_bevel.to_string(),
            ("lead_fitted", _) => return "before".to_owned(),
            ("milling", _) => return "flat".to_owned(),
            ("rabbet_face", _) => return "show".to_owned(),
            _ => return String::new(),
        };
        show(length)
    }
}

/// Problems of one file by where they stand.
pub(super) struct Places<'a> {
    spans: Spans,
    file: FileId,
    problems: Option<&'a Problems>,
}

/// Where the values of a file stand.
enum Spans {
    Unknown,
    Keys(toml_edit::Document<String>),
    Cells(String),
}

impl<'a> Places<'a> {
    pub(super) fn of(of: Of, text: &str, problems: Option<&'a Problems>, path: &Path) -> Self {
        let spans = match problems {
            None => Spans::Unknown,
            Some(_) if of.is_table() => Spans::Cells(text.to_owned()),
            Some(_) => toml_edit::Document::parse(text.to_owned()).map_or(Spans::Unknown, Spans::Keys),
        };
        // The job file is always the first; the others are known by their paths.
        let known = |problems: &Problems| problems.files().iter().position(|file| file.path() == path);
        let file = match of {
            Of::Job => FileId::JOB,
            _ => FileId(problems.and_then(known).unwrap_or(usize::MAX)),
        };
        Self { spans, file, problems }
    }

    fn span(&self, at: &Address) -> Option<Range<usize>> {
        match &self.spans {
            Spans::Unknown => None,
            Spans::Keys(document) => super::spans::span_of(document, at),
            Spans::Cells(text) => at.cell().and_then(|(row, column)| super::rows::span_of(text, row, column)),
        }
    }

    /// Problems that stand at a value, each with its number.
    pub(super) fn at(&self, at: &Address) -> Vec<(usize, String)> {
        let (Some(span), Some(problems)) = (self.span(at), self.problems) else { return Vec::new() };
        let within = |place: Place| {
            // An empty cell is a place between two commas.
            let touches = |other: Span| {
                (other.start < span.end && span.start < other.end)
                    || (other.start == span.start && other.end == span.end)
            };
            place.file == self.file && place.span.is_some_and(touches)
        };
        let at_it = |place: Place| {
            // A problem of a whole table or list is no problem of this value.
            within(place) && place.span.is_some_and(|other| other.end - other.start <= span.len() + 2)
        };
        let listed = problems.iter().enumerate().filter(|(_, problem)| at_it(problem.place));
        listed.map(|(number, problem)| (number, format!("{}; {}", problem.what, problem.help))).collect()
    }
}

/// Problems that no field has.
pub(super) fn elsewhere(problems: Option<&Problems>, met: &[usize]) -> Vec<String> {
    let Some(problems) = problems else { return Vec::new() };
    let others = problems.iter().enumerate().filter(|(number, _)| !met.contains(number));
    let said = others.map(|(_, problem)| {
        let file = problems.file(problem.place);
        let line = problem.place.span.map(|span| format!(", line {}", file.line_column(span.start).0));
        let name = file.path().file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        format!("{name}{}: {}; {}", line.unwrap_or_default(), problem.what, problem.help)
    });
    said.collect()
}

/// A value a step up or down: 1/16 in or 1 mm, one, or half a degree. `None` where there is no such step.
pub(crate) fn stepped(at: &Address, value: &str, up: bool, units: crate::measure::Units) -> Option<String> {
    use crate::measure::{Units, parse_length};
    match at.kind() {
        Kind::Length => {
            let step = match units {
                Units::Inch => Length::from_64ths(4),
                Units::Millimetre => Length::from_mm(1),
            };
            let now = parse_length(value, units).ok()?;
            let above = now.round_up_to(step);
            let next = match (up, above == now) {
                (true, true) => now + step,
                (true, false) => above,
                (false, _) => above - step,
            };
            (next.is_positive() || next == Length::ZERO).then(|| next.show(units))
        }
        Kind::Count => {
            let now: i64 = value.trim().parse().ok()?;
            let next = if up { now.checked_add(1)? } else { now.checked_sub(1)? };
            (next >= 1).then(|| next.to_string())
        }
        Kind::Figure if at.parted().1 == "reject_rate" || at.parted().1 == "confidence" => None,
        Kind::Figure => {
            let now: f64 = value.trim().parse().ok()?;
            let next = if up { now + 0.5 } else { now - 0.5 };
            (next >= 0.0).then(|| next.to_string())
        }
        Kind::Word(words) => {
            let now = words.iter().position(|word| *word == value)?;
            let next = if up { now.checked_add(1)? } else { now.checked_sub(1)? };
            words.get(next).map(|word| (*word).to_owned())
        }
        Kind::Text | Kind::Amount => None,
    }
}
