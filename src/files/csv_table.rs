//! A CSV file as a table: known columns, regular rows, every cell with its place.

use super::problem::{Kind, Problem};
use super::shown::unguarded;
use super::values::{Fault, entry, shorten};
use super::{Desk, Entry, FileId, Place, Tables, nearest};

/// Most rows of one file: far beyond any yard's list, and enough for the packing to bear.
const MOST_ROWS: usize = 10_000;
/// Most cells of one row: a wider one is no table of ours, and not worth the memory.
const MOST_CELLS: usize = 200;

/// The columns a file may have.
pub(super) struct Columns {
    pub(super) required: &'static [&'static str],
    pub(super) optional: &'static [&'static str],
}

impl Columns {
    fn all(&self) -> impl Iterator<Item = &'static str> {
        self.required.iter().chain(self.optional).copied()
    }
}

/// One row: a cell for each column, in the order of the header.
pub(super) struct Row<'a> {
    desk: &'a Desk<'a>,
    header: &'a [String],
    cells: Vec<(String, Place)>,
    /// The cells are parted by semicolons: a comma in a figure is a decimal comma.
    decimal_comma: bool,
}

impl Row<'_> {
    /// The row as a whole.
    pub(super) fn place(&self) -> Place {
        let place = |(_, place): &(String, Place)| *place;
        match (self.cells.first().map(place), self.cells.last().map(place)) {
            (Some(first), Some(last)) => Place {
                file: first.file,
                span: first.span.zip(last.span).map(|(a, b)| super::Span { start: a.start, end: b.end }),
            },
            _ => Place::default(),
        }
    }

    /// The cell of a column read by `read`; missing when the column is absent or the cell empty. The apostrophe that
    /// keeps a spreadsheet from running a text is no part of it.
    pub(super) fn cell<T>(&self, column: &str, read: impl FnOnce(&str) -> Result<T, Fault>) -> Entry<T> {
        let Some(at) = self.header.iter().position(|name| name == column) else { return Entry::Missing };
        let (text, place) = &self.cells[at];
        if text.trim().is_empty() {
            return Entry::Missing;
        }
        entry(self.desk, column, *place, read(unguarded(text.trim())))
    }

    /// The same for a cell that holds figures, which may have a decimal comma where semicolons part the cells.
    pub(super) fn figure<T>(&self, column: &str, read: impl FnOnce(&str) -> Result<T, Fault>) -> Entry<T> {
        self.cell(column, |text| if self.decimal_comma { read(&text.replace(',', ".")) } else { read(text) })
    }

    /// The place of a column's cell, empty or not; the whole row where there is no such column.
    pub(super) fn cell_place(&self, column: &str) -> Place {
        self.header.iter().position(|name| name == column).map_or_else(|| self.place(), |at| self.cells[at].1)
    }
}

/// Reads a table row by row; `None` when its header is unusable (noted).
pub(super) fn read_rows<T>(
    desk: &Desk,
    (file, text): (FileId, &str),
    columns: &Columns,
    mut read: impl FnMut(&Row) -> T,
) -> Option<Tables<T>> {
    let mark = parted_by(text);
    let mut reader = csv_reader(text, mark);
    let mut record = csv::StringRecord::new();
    let mut header: Option<Vec<String>> = None;
    let mut rows = Tables { given: true, ..Tables::default() };
    let mut seen = 0;
    loop {
        // The text is UTF-8 already and memory does not fail, so the reader has nothing left to refuse.
        if !reader.read_record(&mut record).unwrap_or(false) {
            break;
        }
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        let start = record.position().map_or(0, |at| usize::try_from(at.byte()).unwrap_or(0));
        let here = Place::new(file, start, start);
        if record.len() > MOST_CELLS {
            let problem = Problem::new(Kind::Syntax, here, format!("this row has {} cells", record.len()));
            desk.add(problem.help(format!("a row is `{}`", columns.required.join(","))));
            return None;
        }
        let places = cell_places((file, text), start, mark);
        let mut cells: Vec<_> = record.iter().map(str::to_owned).zip(places).collect();
        // A spreadsheet that once had a cell out there keeps writing its commas.
        let wide = header.as_ref().map_or(0, Vec::len);
        while cells.len() > wide && cells.last().is_some_and(|(cell, _)| cell.trim().is_empty()) {
            cells.pop();
        }
        let Some(names) = &header else {
            header = Some(read_header(desk, text, &cells, columns)?);
            continue;
        };
        if seen == MOST_ROWS {
            let problem = Problem::new(Kind::BadValue, here, format!("more than {MOST_ROWS} rows"));
            desk.add(problem.help("keep to the stock this job may use"));
            break;
        }
        seen += 1;
        if !regular(desk, names, &cells) {
            rows.faulty = true;
        } else {
            rows.list.push(read(&Row { desk, header: names, cells, decimal_comma: mark == b';' }));
        }
    }
    if header.is_none() {
        desk.add(
            Problem::new(Kind::Syntax, Place::whole(file), "the file is empty")
                .help(format!("begin it with the line `{}`", columns.required.join(","))),
        );
    }
    header.map(|_| rows)
}

/// A row has as many cells as the header, none of them over several lines.
fn regular(desk: &Desk, header: &[String], cells: &[(String, Place)]) -> bool {
    if let Some((_, place)) = cells.iter().find(|(text, _)| text.contains(['\n', '\r'])) {
        desk.add(
            Problem::new(Kind::Syntax, *place, "this cell runs over more than one line")
                .help("close its double quote on the line it was opened, or take the quote out"),
        );
        return false;
    }
    if cells.len() == header.len() {
        return true;
    }
    let place = cells.get(header.len()).or(cells.last()).map_or_else(Place::default, |(_, place)| *place);
    let what = format!("this row has {} cells, the header has {}", cells.len(), header.len());
    desk.add(Problem::new(Kind::Syntax, place, what).help("an empty cell still needs its comma"));
    false
}

/// Column names in order. All faults of the header are noted before it is given up.
fn read_header(desk: &Desk, text: &str, cells: &[(String, Place)], columns: &Columns) -> Option<Vec<String>> {
    let names: Vec<String> = cells.iter().map(|(text, _)| text.trim().to_lowercase()).collect();
    let wanted = columns.required.join(",");
    let first = cells.first().map_or_else(Place::default, |(_, place)| *place);
    let first_line = text.trim_start().lines().next().unwrap_or_default();
    if names.len() == 1 && first_line.contains('\t') {
        let what = "the columns are parted by tabs, not by commas";
        let help = "save it again as CSV, with commas, or with semicolons and decimal commas";
        desk.add(Problem::new(Kind::Syntax, first, what).help(help));
        return None;
    }
    let known = |name: &String| columns.all().any(|column| column == name.as_str());
    if !names.iter().any(known) {
        let what = "this is no header: none of its words is a column of this file";
        desk.add(Problem::new(Kind::Syntax, first, what).help(format!("the first line is `{wanted}`")));
        return None;
    }
    let mut good = true;
    let mut meant = Vec::new();
    for (at, name) in names.iter().enumerate() {
        let place = cells[at].1;
        if !known(name) {
            let problem = Problem::new(Kind::UnknownKey, place, format!("unknown column `{}`", shorten(name)));
            desk.add(match nearest(name, columns.all()) {
                Some(near) => {
                    meant.push(near);
                    problem.help(format!("did you mean `{near}`?"))
                }
                None => problem.help(format!("columns: {}", columns.all().collect::<Vec<_>>().join(","))),
            });
            good = false;
        } else if let Some(earlier) = names[..at].iter().position(|other| other == name) {
            desk.add(
                Problem::new(Kind::Duplicate, place, format!("the column `{name}` is there twice"))
                    .also(cells[earlier].1, "first here")
                    .help("keep one of them"),
            );
            good = false;
        }
    }
    let absent = |column: &&&'static str| !names.iter().any(|name| name == **column) && !meant.contains(*column);
    for missing in columns.required.iter().filter(absent) {
        let problem = Problem::new(Kind::Missing, first, format!("the column `{missing}` is missing"));
        desk.add(problem.help(format!("the first line is `{wanted}`")));
        good = false;
    }
    if good { Some(names) } else { None }
}

/// What parts the cells of a table: commas, or semicolons where the first line that is not blank has more of them.
pub(crate) fn parted_by(text: &str) -> u8 {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |mark: u8| first.bytes().filter(|byte| *byte == mark).count();
    if count(b';') > count(b',') { b';' } else { b',' }
}

fn csv_reader(text: &str, mark: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(mark).from_reader(text.as_bytes())
}

/// Where the cells of the record that begins at or after `start` stand in the text, quotes included; `mark` parts them.
///
/// The reader gives values only; to point at a cell its text is walked again, by the same rules: marks and
/// line ends inside double quotes do not count.
fn cell_places((file, text): (FileId, &str), start: usize, mark: u8) -> Vec<Place> {
    let bytes = text.as_bytes();
    let mut at = start;
    // A record's position may lie on the line ends skipped before it.
    while at < bytes.len() && matches!(bytes[at], b'\n' | b'\r') {
        at += 1;
    }
    let mut places = Vec::new();
    let (mut begin, mut quoted) = (at, false);
    loop {
        let byte = bytes.get(at).copied();
        match byte {
            // A doubled quote stands for one quote and closes nothing.
            Some(b'"') if quoted && bytes.get(at + 1) == Some(&b'"') => at += 1,
            Some(b'"') if quoted || at == begin => quoted = !quoted,
            Some(byte) if byte == mark && !quoted => {
                places.push(Place::new(file, begin, at));
                begin = at + 1;
            }
            Some(b'\n' | b'\r') if !quoted => break,
            None => break,
            Some(_) => {}
        }
        at += 1;
    }
    places.push(Place::new(file, begin, at));
    places
}

/// Every row of a table that is not blank, the header first: each cell with where it stands in the text, quotes included.
#[cfg(feature = "open")]
pub(crate) fn cells_of(text: &str) -> Vec<Vec<(String, super::Span)>> {
    let mark = parted_by(text);
    let mut reader = csv_reader(text, mark);
    let mut record = csv::StringRecord::new();
    let mut rows = Vec::new();
    while reader.read_record(&mut record).unwrap_or(false) {
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        let start = record.position().map_or(0, |at| usize::try_from(at.byte()).unwrap_or(0));
        let spans = cell_places((FileId::JOB, text), start, mark).into_iter().filter_map(|place| place.span);
        rows.push(record.iter().map(str::to_owned).zip(spans).collect());
    }
    rows
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// The reader's cells and the places walked again must agree, or a message would point beside the fault.
        #[test]
        fn cells_stand_where_they_are_said_to_stand(text in "[a\",;\r\n é]{0,60}") {
            let mark = parted_by(&text);
            let mut reader = csv_reader(&text, mark);
            let mut record = csv::StringRecord::new();
            while reader.read_record(&mut record).unwrap() {
                let start = usize::try_from(record.position().unwrap().byte()).unwrap();
                let places = cell_places((FileId::JOB, &text), start, mark);
                prop_assert_eq!(places.len(), record.len(), "{:?}", record);
                for (place, cell) in places.iter().zip(&record) {
                    let span = place.span.unwrap();
                    let written = &text[span.start..span.end];
                    let plain = !written.contains('"');
                    prop_assert!(!plain || written == cell, "{written:?} is not {cell:?}");
                }
            }
        }
    }
}
