//! [`Table`]: one TOML table under reading. It knows which keys were asked for, so what is left over is unknown.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::problem::{Kind, Problem};
use super::values::shorten;
use super::{At, Desk, Entry, FileId, Head, Place, Tables, nearest};
use crate::measure::Units;

/// Syntax errors shown of one file: past the first few, most follow from those before.
const SYNTAX_ERRORS: usize = 5;
/// Most tables of one kind, and most entries of one list.
const MOST_TABLES: usize = 6_000;

/// Parses a TOML file and hands its root table to `read`; `None` when the text is no TOML (noted).
pub(crate) fn open_table<T>(
    desk: &Desk,
    (file, text): (FileId, &str),
    units: Units,
    title: &str,
    read: impl FnOnce(&mut Table) -> T,
) -> Option<T> {
    let (root, errors) = DeTable::parse_recoverable(text);
    for error in errors.iter().take(SYNTAX_ERRORS) {
        let span = error.span().unwrap_or(0..0);
        let what = format!("this is not TOML: {}", error.message().lines().next().unwrap_or("unreadable"));
        let problem = Problem::new(Kind::Syntax, Place::new(file, span.start, span.end), what);
        desk.add(problem.help("a line reads `key = value`; texts and fractions stand in double quotes"));
    }
    if !errors.is_empty() {
        return None;
    }
    let head = Head { title: title.to_owned(), place: Place::whole(file) };
    let mut table = Table { desk, file, units, head, entries: root.get_ref(), asked: Vec::new() };
    let value = read(&mut table);
    table.finish();
    Some(value)
}

/// A table under reading.
pub(crate) struct Table<'a> {
    pub(super) desk: &'a Desk<'a>,
    file: FileId,
    /// The unit of bare figures.
    pub(super) units: Units,
    head: Head,
    entries: &'a DeTable<'a>,
    asked: Vec<&'static str>,
}

impl<'a> Table<'a> {
    /// Title and place, for notes on what is missing.
    pub(crate) fn head(&self) -> Head {
        self.head.clone()
    }

    /// The unit of bare figures from here on, tables within included.
    pub(crate) const fn set_units(&mut self, units: Units) {
        self.units = units;
    }

    pub(super) fn place(&self, span: std::ops::Range<usize>) -> Place {
        Place::new(self.file, span.start, span.end)
    }

    /// The value of a key, which counts as known from now on.
    pub(super) fn value(&mut self, key: &'static str) -> Option<&'a Spanned<DeValue<'a>>> {
        if !self.asked.contains(&key) {
            self.asked.push(key);
        }
        self.entries.get(key)
    }

    /// The table at `key`.
    pub(crate) fn table<T>(&mut self, key: &'static str, read: impl FnOnce(&mut Table) -> T) -> Entry<T> {
        let Some(value) = self.value(key) else { return Entry::Missing };
        let title = if self.is_root() { format!("[{key}]") } else { format!("`{key}`") };
        self.read_table(value, title, read).unwrap_or_else(|| {
            self.wrong_form(key, value, &format!("a table, begun by a line `[{key}]`"));
            Entry::Faulty
        })
    }

    /// The array of tables at `key`.
    pub(crate) fn tables<T>(&mut self, key: &'static str, mut read: impl FnMut(&mut Table) -> T) -> Tables<T> {
        let Some(value) = self.value(key) else { return Tables::default() };
        let mut tables = Tables { list: Vec::new(), faulty: false, given: true };
        let within = self.head.title.trim_matches(['[', ']']);
        let title = if self.is_root() { key.to_owned() } else { format!("{within}.{key}") };
        let Some(list) = value.get_ref().as_array() else {
            self.wrong_form(key, value, &format!("a list of tables, each begun by a line `[[{title}]]`"));
            tables.faulty = true;
            return tables;
        };
        if list.len() > MOST_TABLES {
            self.too_many(key, value, list.len());
            tables.faulty = true;
            return tables;
        }
        for value in list {
            match self.read_table(value, format!("[[{title}]]"), &mut read) {
                Some(Entry::Given(at)) => tables.list.push(at.value),
                _ => {
                    self.wrong_form(key, value, &format!("a table, begun by a line `[[{title}]]`"));
                    tables.faulty = true;
                }
            }
        }
        tables
    }

    /// A list of small tables written in place.
    pub(crate) fn list<T>(&mut self, key: &'static str, read: impl FnMut(&mut Table) -> T) -> Entry<Vec<T>> {
        let Some(value) = self.value(key) else { return Entry::Missing };
        let place = self.place(value.span());
        let mut read = read;
        let Some(list) = value.get_ref().as_array() else {
            self.wrong_form(key, value, "a list in square brackets");
            return Entry::Faulty;
        };
        if list.len() > MOST_TABLES {
            self.too_many(key, value, list.len());
            return Entry::Faulty;
        }
        let mut values = Vec::new();
        for value in list {
            match self.read_table(value, format!("an entry of `{key}`"), &mut read) {
                Some(Entry::Given(at)) => values.push(at.value),
                _ => self.wrong_form(key, value, "an entry in braces, such as `{ straight = \"14-1/4\" }`"),
            }
        }
        if values.len() == list.len() { Entry::Given(At { value: values, place }) } else { Entry::Faulty }
    }

    /// Reads a table value; `None` when it is none.
    pub(super) fn read_table<T>(
        &self,
        value: &'a Spanned<DeValue<'a>>,
        title: String,
        read: impl FnOnce(&mut Table) -> T,
    ) -> Option<Entry<T>> {
        let entries = value.get_ref().as_table()?;
        let place = self.place(value.span());
        let head = Head { title, place };
        let mut table = Table { desk: self.desk, file: self.file, units: self.units, head, entries, asked: Vec::new() };
        let value = read(&mut table);
        table.finish();
        Some(Entry::Given(At { value, place }))
    }

    /// Its keys less `unsaid` with the places of their values, in the order of the file.
    pub(crate) fn said(&self, unsaid: &[&str]) -> Vec<(String, Place)> {
        let keys = self.entries.iter().filter(|(key, _)| !unsaid.contains(&key.get_ref().as_ref()));
        let mut said: Vec<(usize, String, Place)> =
            keys.map(|(key, value)| (key.span().start, key.get_ref().to_string(), self.place(value.span()))).collect();
        said.sort_by_key(|(start, ..)| *start);
        said.into_iter().map(|(_, key, place)| (key, place)).collect()
    }

    /// Refuses an old name of a key or a table with its new one.
    pub(crate) fn renamed(&mut self, old: &'static str, new: &'static str) {
        let Some((key, _)) = self.entries.get_key_value(old) else { return };
        self.asked.push(old);
        self.desk.mean(self.head.place, new);
        let problem = Problem::new(Kind::UnknownKey, self.place(key.span()), format!("`{old}` is called `{new}`"));
        self.desk.add(problem.help(format!("write `{new}` in its place; the keys in it stay as they are")));
    }

    fn mean(&self, near: &str) {
        if let Some(key) = self.asked.iter().find(|key| **key == near) {
            self.desk.mean(self.head.place, key);
        }
    }

    fn is_root(&self) -> bool {
        self.head.place.span.is_none()
    }

    /// Notes that a value has another form than the key takes.
    pub(super) fn wrong_form(&self, key: &str, value: &Spanned<DeValue>, wanted: &str) {
        let found = match value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let problem = Problem::new(Kind::BadValue, self.place(value.span()), format!("`{key}` is {found} here"));
        self.desk.add(problem.help(format!("it takes {wanted}")));
    }

    fn too_many(&self, key: &str, value: &Spanned<DeValue>, found: usize) {
        let what = format!("{found} entries of `{key}`, more than the {MOST_TABLES} a job may hold");
        self.desk.add(Problem::new(Kind::BadValue, self.place(value.span()), what).help("split the job"));
    }

    /// Notes every key that was never asked for, with the nearest one that was.
    fn finish(&self) {
        for key in self.entries.keys() {
            let name: &str = key.get_ref();
            if self.asked.contains(&name) {
                continue;
            }
            let what = format!("unknown key `{}` in {}", shorten(name), self.head.title);
            let problem = Problem::new(Kind::UnknownKey, self.place(key.span()), what);
            self.desk.add(match nearest(name, self.asked.iter().copied()) {
                Some(near) => {
                    self.mean(near);
                    problem.help(format!("did you mean `{near}`?"))
                }
                None => problem.help(format!("known here: {}", self.asked.join(", "))),
            });
        }
    }
}
