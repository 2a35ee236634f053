//! Changes to the text of a CSV table: a cell, a row. All else stays as it was written.

use std::ops::Range;

use crate::files::{Span, cells_of, guarded, parted_by, unguarded};

/// Where a cell stands; rows are counted from 0 behind the header, blank lines passed over.
pub(super) fn span_of(text: &str, row: usize, column: &str) -> Option<Range<usize>> {
    let rows = cells_of(text);
    let at = place_of(rows.first()?, column)?;
    rows.get(row + 1)?.get(at).map(|(_, span)| span.start..span.end)
}

/// What a cell holds.
pub(super) fn cell(text: &str, row: usize, column: &str) -> Option<String> {
    let rows = cells_of(text);
    let at = place_of(rows.first()?, column)?;
    rows.get(row + 1)?.get(at).map(|(cell, _)| unguarded(cell.trim()).to_owned())
}

/// How many rows there are behind the header.
pub(super) fn count(text: &str) -> usize {
    cells_of(text).len().saturating_sub(1)
}

fn place_of(header: &[(String, Span)], column: &str) -> Option<usize> {
    header.iter().position(|(name, _)| name.trim().eq_ignore_ascii_case(column))
}

/// The text with another value in a cell; a column that is not there is added where there is something to write. `None`
/// where there is no such row.
pub(super) fn set(text: &str, row: usize, column: &str, to: &str) -> Option<String> {
    if let Some(span) = span_of(text, row, column) {
        let mut out = text.to_owned();
        out.replace_range(span, &written(to, parted_by(text)));
        return Some(out);
    }
    let rows = cells_of(text);
    if rows.get(row + 1)?.len() < rows.first()?.len() || place_of(rows.first()?, column).is_some() {
        return None;
    }
    if to.is_empty() { Some(text.to_owned()) } else { set(&with_column(text, column), row, column, to) }
}

/// The text with one more column, empty in every row.
fn with_column(text: &str, column: &str) -> String {
    let mark = char::from(parted_by(text));
    let mut out = text.to_owned();
    for (number, row) in cells_of(text).iter().enumerate().rev() {
        let end = row.last().map_or(0, |(_, span)| span.end);
        out.insert_str(end, &if number == 0 { format!("{mark}{column}") } else { mark.to_string() });
    }
    out
}

/// The text with one more row at its end, these cells filled.
pub(super) fn add(text: &str, cells: &[(&str, &str)]) -> String {
    let mut text = text.to_owned();
    for (column, _) in cells.iter().filter(|(_, to)| !to.is_empty()) {
        if cells_of(&text).first().is_none_or(|header| place_of(header, column).is_none()) {
            text = with_column(&text, column);
        }
    }
    let mark = parted_by(&text);
    let header = cells_of(&text).into_iter().next().unwrap_or_default();
    let of = |name: &str| cells.iter().find(|(column, _)| name.trim().eq_ignore_ascii_case(column));
    let row: Vec<String> =
        header.iter().map(|(name, _)| of(name).map_or(String::new(), |(_, to)| written(to, mark))).collect();
    let end = line_end(&text);
    if !text.is_empty() && !text.ends_with('\n') {
        text += end;
    }
    text + &row.join(&char::from(mark).to_string()) + end
}

/// The text with a copy of a row behind it, under another name in that column.
pub(super) fn copy(text: &str, row: usize, column: &str, name: &str) -> Option<String> {
    let line = line_of(text, row)?;
    let mut copy = text.get(line.clone())?.to_owned();
    let named = span_of(text, row, column)?;
    copy.replace_range(named.start - line.start..named.end - line.start, &written(name, parted_by(text)));
    let mut out = text.to_owned();
    if !copy.ends_with('\n') {
        out.insert_str(line.end, line_end(text));
        return Some(out + &copy);
    }
    out.insert_str(line.end, &copy);
    Some(out)
}

/// The text without a row.
pub(super) fn remove(text: &str, row: usize) -> Option<String> {
    let mut out = text.to_owned();
    out.replace_range(line_of(text, row)?, "");
    Some(out)
}

/// The line of a row with its end.
fn line_of(text: &str, row: usize) -> Option<Range<usize>> {
    let rows = cells_of(text);
    let cells = rows.get(row + 1)?;
    let (start, end) = (cells.first()?.1.start, cells.last()?.1.end);
    let rest = &text[end..];
    let behind = if rest.starts_with("\r\n") { 2 } else { usize::from(rest.starts_with(['\n', '\r'])) };
    Some(start..end + behind)
}

fn line_end(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

/// A value as a cell holds it.
fn written(value: &str, mark: u8) -> String {
    let value = guarded(value.trim());
    if value.contains([char::from(mark), '"']) { format!("\"{}\"", value.replace('"', "\"\"")) } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: &str = "Stock,price , width\n\n\"a, b\",1.50,  6\r\nc,,7-1/4";

    #[test]
    fn a_cell_is_changed_and_nothing_else() {
        assert_eq!(set(TABLE, 0, "price", "2").unwrap(), TABLE.replace("1.50", "2"));
        assert_eq!(set(TABLE, 1, "price", "3").unwrap(), TABLE.replace("c,,", "c,3,"));
        assert_eq!(set(TABLE, 0, "stock", "x\"y").unwrap(), TABLE.replace("\"a, b\"", "\"x\"\"y\""));
        assert_eq!(set(TABLE, 1, "stock", "=1").unwrap(), TABLE.replace("c,,", "'=1,,"));
        assert_eq!((cell(TABLE, 0, "stock").unwrap().as_str(), count(TABLE)), ("a, b", 2));
        assert_eq!(set(TABLE, 2, "price", "3"), None);
    }

    #[test]
    fn a_column_that_is_not_there_is_added_for_all() {
        let wider = "Stock,price , width,defects\n\n\"a, b\",1.50,  6,\r\nc,,7-1/4,1..2";
        assert_eq!(set(TABLE, 1, "defects", "1..2").unwrap(), wider);
        assert_eq!(set(TABLE, 1, "defects", "").unwrap(), TABLE);
    }

    #[test]
    fn rows_come_and_go_whole() {
        let more = add(TABLE, &[("stock", "d"), ("width", "5")]);
        assert_eq!(more, format!("{TABLE}\r\nd,,5\r\n"));
        assert_eq!(remove(&more, 2).unwrap(), format!("{TABLE}\r\n"));
        assert_eq!(remove(TABLE, 0).unwrap(), TABLE.replace("\"a, b\",1.50,  6\r\n", ""));
        assert_eq!(copy(TABLE, 0, "stock", "e").unwrap(), TABLE.replace("6\r\n", "6\r\ne,1.50,  6\r\n"));
        assert_eq!(copy(TABLE, 1, "stock", "f").unwrap(), format!("{TABLE}\r\nf,,7-1/4"));
        assert_eq!(add("a;b\n", &[("b", "1,5")]), "a;b\n;1,5\n");
    }
}
