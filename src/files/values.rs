//! Values as people write them, in TOML and CSV alike: what is taken, what is refused and why.

use std::str::FromStr;

use rust_decimal::Decimal;

use super::problem::{Kind, Problem};
use super::shown::turns_around;
use super::{At, Desk, Entry, Place, nearest};
use crate::measure::{Length, LengthError, PriceError, Ratio, decimal_point};

/// Longest name, path or word of a unit, in characters: it has to fit a label.
const LONGEST_NAME: usize = 200;

/// What is wrong with a value and what would be right.
pub(super) struct Fault {
    pub(super) what: String,
    pub(super) help: String,
}

impl Fault {
    pub(super) fn new(what: impl ToString, help: &str) -> Self {
        Self { what: what.to_string(), help: help.to_owned() }
    }
}

/// The value read for a key or a column, or a note of what is wrong with it.
pub(super) fn entry<T>(desk: &Desk, key: &str, place: Place, read: Result<T, Fault>) -> Entry<T> {
    match read {
        Ok(value) => Entry::Given(At { value, place }),
        Err(Fault { what, help }) => {
            desk.add(Problem::new(Kind::BadValue, place, format!("`{key}`: {what}")).help(help));
            Entry::Faulty
        }
    }
}

pub(super) fn length_fault(error: LengthError) -> Fault {
    Fault::new(&error, error.help())
}

pub(super) fn positive(length: Length) -> Result<Length, Fault> {
    if length.is_positive() { Ok(length) } else { Err(Fault::new("a size cannot be 0", "give a size above zero")) }
}

pub(super) fn price_fault(error: PriceError) -> Fault {
    Fault::new(&error, error.help())
}

pub(super) fn whole_number(text: &str, least: u32, most: u32) -> Result<u32, Fault> {
    let help = format!("a whole number from {least} to {most}");
    let digits = text.strip_prefix('-').unwrap_or(text);
    if digits.is_empty() || !digits.chars().all(|c| c.is_ascii_digit()) {
        return Err(Fault::new(format!("`{}` is not a whole number", shorten(text)), &help));
    }
    match text.parse::<u32>() {
        Ok(count) if (least..=most).contains(&count) => Ok(count),
        _ => Err(Fault::new(format!("{} is out of range", shorten(text)), &help)),
    }
}

pub(super) fn percentage(text: &str, most: u32) -> Result<Ratio, Fault> {
    let figure = plain_decimal(text)?;
    if figure > Decimal::from(most) {
        let what = format!("{} % is out of range", shorten(text));
        return Err(Fault::new(what, &format!("a percentage from 0 to {most}, such as 25")));
    }
    Ratio::percent(figure).map_err(|error| Fault::new(error, "a percentage, such as 25"))
}

/// A name: trimmed, 1 to 200 characters, none of them a control character or one that turns text around.
pub(super) fn name(text: &str) -> Result<String, Fault> {
    let text = text.trim();
    if text.is_empty() {
        Err(Fault::new("the text is empty", "write at least one letter"))
    } else if text.chars().count() > LONGEST_NAME {
        Err(Fault::new(format!("longer than {LONGEST_NAME} characters"), "a shorter name fits a label"))
    } else if let Some(control) = text.chars().find(|c| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}')) {
        let what = format!("holds the control character U+{:04X}", u32::from(control));
        Err(Fault::new(what, "names are printed on one line: plain characters only"))
    } else if let Some(turn) = text.chars().find(|c| turns_around(*c)) {
        let what = format!("holds U+{:04X}, which turns the text after it around", u32::from(turn));
        Err(Fault::new(what, "take it out: a name reads the same without it"))
    } else {
        Ok(text.to_owned())
    }
}

pub(super) fn one_of(text: &str, words: &'static [&'static str]) -> Result<&'static str, Fault> {
    let text = text.trim();
    if let Some(word) = words.iter().find(|word| **word == text) {
        return Ok(word);
    }
    let help = match nearest(text, words.iter().copied()) {
        Some(near) => format!("did you mean \"{near}\"? It takes {}", quoted(words)),
        None => format!("it takes {}", quoted(words)),
    };
    Err(Fault::new(format!("`{}` is not a choice here", shorten(text)), &help))
}

/// Words for a message.
pub(super) fn quoted(words: &[&str]) -> String {
    words.iter().map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(", ")
}

/// Digits with at most one point and a sign; no exponent, no NaN, no infinity.
pub(super) fn plain_decimal(text: &str) -> Result<Decimal, Fault> {
    let written = text.trim();
    let point = decimal_point(written);
    let text = point.as_deref().unwrap_or(written);
    let body = text.strip_prefix('-').unwrap_or(text);
    let plain = body.len() < 24
        && body.chars().all(|c| c.is_ascii_digit() || c == '.')
        && body.chars().any(|c| c.is_ascii_digit());
    let figure = if plain { Decimal::from_str(text).ok() } else { None };
    figure
        .ok_or_else(|| Fault::new(format!("`{}` is not a number", shorten(text)), "write digits and one point, as 2.5"))
}

/// At most 40 characters of a word from a file.
pub(super) fn shorten(text: &str) -> String {
    shortened(text, 40)
}

/// At most so many characters of a text, with dots where some are left out.
pub(crate) fn shortened(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_owned(),
    }
}
