//! A count as it is said at the saw, a board a line: `board 3: 2 bowed`.

use super::boards_file::length_cell;
use super::values::{positive, whole_number};
use super::{Desk, FileId, Kind, Place, Problem};
use crate::measure::{Length, Units};

/// Highest board number, and most strips of one line.
const MOST: u32 = 2_000_000;
/// What is said of rejects.
const REJECTS: [&str; 4] = ["bowed", "rejected", "bad", "rejects"];
/// What a line looks like.
const FORM: &str = "write `board 3: 2 bowed`, `board 3: 2 bowed S01, 1 bowed S02` or `boards 4 to 6: all straight`; with \
                    what still served: `board 3: 2 bowed S01 straight 20, crosscut S01 to 2 S03`";

/// One line: boards that are cut, and how many strips of each were rejected.
#[derive(Debug)]
pub(crate) struct CountLine {
    pub(crate) place: Place,
    /// The first board and the last.
    pub(crate) boards: (u32, u32),
    /// Rejects, and what was crosscut.
    pub(crate) said: Vec<Said>,
}

/// What is said of a board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Said {
    /// So many strips were rejected: of which part, and over which length they are straight, where that is said.
    Rejected(u32, Option<String>, Option<Length>),
    /// Strips of the first part were crosscut into so many of the second.
    Crosscut(String, u32, String),
}

/// True for a text that says boards in lines rather than in the columns of a CSV file.
pub(crate) fn is_in_lines(text: &str) -> bool {
    let first = text.lines().map(plain).find(|line| !line.is_empty()).unwrap_or_default();
    first.split_once(':').is_some_and(|(boards, _)| board_numbers(boards).is_some())
}

/// Reads the lines; what is wrong with one is noted, and the others are read all the same.
pub(crate) fn read_count_lines(desk: &Desk, (file, text): (FileId, &str), units: Units) -> Vec<CountLine> {
    let mut lines = Vec::new();
    let mut start = 0;
    for whole in text.split_inclusive('\n') {
        let line = plain(whole);
        let place = Place::new(file, start, start + whole.trim_end().len());
        start += whole.len();
        if line.is_empty() {
            continue;
        }
        match count_line(line, units) {
            Some((boards, said)) => lines.push(CountLine { place, boards, said }),
            None => desk.add(Problem::new(Kind::BadValue, place, "this line counts no board").help(FORM)),
        }
    }
    lines
}

/// A line without its comment.
fn plain(line: &str) -> &str {
    line.trim_start_matches('\u{feff}').split('#').next().unwrap_or_default().trim()
}

fn count_line(line: &str, units: Units) -> Option<((u32, u32), Vec<Said>)> {
    let (boards, said) = line.split_once(':')?;
    let boards = board_numbers(boards)?;
    let said = said.trim();
    if ["all straight", "straight", "none bowed", "none"].contains(&said.to_lowercase().as_str()) {
        return Some((boards, Vec::new()));
    }
    let items = said.split(',').map(str::trim);
    let said: Option<Vec<_>> = items.map(|item| crosscut(item).or_else(|| rejects(item, units))).collect();
    Some((boards, said?))
}

/// `board 3`, `boards 4 to 6`.
fn board_numbers(text: &str) -> Option<(u32, u32)> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let number = |word: &str| whole_number(word, 1, MOST).ok();
    match words[..] {
        ["board" | "Board", one] => number(one).map(|one| (one, one)),
        ["boards" | "Boards", first, "to", last] => {
            Some((number(first)?, number(last)?)).filter(|(first, last)| first <= last)
        }
        _ => None,
    }
}

/// `2 bowed`, `2 bowed S01`, `2 bowed S01 straight 20`.
fn rejects(text: &str, units: Units) -> Option<Said> {
    let (said, straight) = match text.split_once(" straight ") {
        Some((said, length)) => (said, Some(positive(length_cell(length.trim(), units).ok()?).ok()?)),
        None => (text, None),
    };
    let words: Vec<&str> = said.split_whitespace().collect();
    let (count, rest) = words.split_first()?;
    let (word, part) = rest.split_first()?;
    if !REJECTS.contains(word) || part.len() > 1 {
        return None;
    }
    let count = whole_number(count, 0, MOST).ok()?;
    Some(Said::Rejected(count, part.first().map(|part| (*part).to_owned()), straight))
}

/// `crosscut S01 to 2 S03`.
fn crosscut(text: &str) -> Option<Said> {
    let words: Vec<&str> = text.split_whitespace().collect();
    match words[..] {
        ["crosscut", from, "to", count, to] => {
            Some(Said::Crosscut(from.to_owned(), whole_number(count, 1, MOST).ok()?, to.to_owned()))
        }
        _ => None,
    }
}
