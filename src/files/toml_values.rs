//! Typed values of a TOML table: lengths, counts, rates, prices, names, words.

use std::str::FromStr;

use rust_decimal::Decimal;
use toml::de::DeValue;

use super::problem::{Kind, Problem};
use super::toml_table::{Table, shorten};
use super::{At, Entry, nearest};
use crate::measure::{Length, LengthError, Price, PriceError, Ratio, parse_length};

/// Longest name, path or word of a unit, in characters: it has to fit a label.
const LONGEST_NAME: usize = 200;

/// What is wrong with a value and what would be right.
pub(super) struct Fault {
    pub(super) what: String,
    pub(super) help: Option<String>,
}

impl Fault {
    pub(super) fn new(what: impl ToString, help: &str) -> Self {
        Self { what: what.to_string(), help: Some(help.to_owned()) }
    }
}

impl Table<'_> {
    /// Reads the value of `key` as written (numbers as their digits) by `read`.
    fn written<T>(&mut self, key: &'static str, form: &str, read: impl FnOnce(&str) -> Result<T, Fault>) -> Entry<T> {
        let Some(value) = self.value(key) else { return Entry::Missing };
        let text: &str = match value.get_ref() {
            DeValue::String(text) => text,
            DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
            DeValue::Float(number) if !number.as_str().contains(['n', 'i']) => number.as_str(),
            DeValue::Integer(_) | DeValue::Float(_) => {
                let what = format!("`{key}` is no plain figure");
                let problem = Problem::new(Kind::BadValue, self.place(value.span()), what);
                self.desk.add(problem.help(format!("it takes {form}")));
                return Entry::Faulty;
            }
            _ => {
                self.wrong_form(key, value, form);
                return Entry::Faulty;
            }
        };
        let place = self.place(value.span());
        match read(text.strip_prefix('+').unwrap_or(text)) {
            Ok(value) => Entry::Given(At { value, place }),
            Err(Fault { what, help }) => {
                let problem = Problem::new(Kind::BadValue, place, format!("`{key}`: {what}"));
                self.desk.add(match help {
                    Some(help) => problem.help(help),
                    None => problem,
                });
                Entry::Faulty
            }
        }
    }

    /// A length, zero allowed.
    pub(crate) fn length(&mut self, key: &'static str) -> Entry<Length> {
        let units = self.units;
        self.written(key, LENGTH_FORM, |text| parse_length(text, units).map_err(length_fault))
    }

    /// A length above zero.
    pub(crate) fn size(&mut self, key: &'static str) -> Entry<Length> {
        let units = self.units;
        self.written(key, LENGTH_FORM, |text| {
            let length = parse_length(text, units).map_err(length_fault)?;
            positive(length)
        })
    }

    /// A whole number from `least` to `most`.
    pub(crate) fn count(&mut self, key: &'static str, least: u32, most: u32) -> Entry<u32> {
        self.written(key, "a whole number, such as 2", |text| whole_number(text, least, most))
    }

    /// A decimal figure above zero and at most `most`, with at most four places.
    pub(crate) fn figure(&mut self, key: &'static str, most: u32) -> Entry<Decimal> {
        self.written(key, "a number, such as 2.5", |text| {
            let figure = plain_decimal(text)?;
            if figure <= Decimal::ZERO || figure > Decimal::from(most) {
                let what = format!("{} is out of bounds", shorten(text));
                return Err(Fault::new(what, &format!("it is above 0 and at most {most}")));
            }
            if figure.normalize().scale() > 4 {
                return Err(Fault::new("more than four decimal places", "round it to four places"));
            }
            Ok(figure)
        })
    }

    /// A decimal figure at or above zero and at most `most`, with at most four places.
    pub(crate) fn amount(&mut self, key: &'static str, most: u32) -> Entry<Decimal> {
        self.written(key, "a number, such as 2.5", |text| {
            let figure = plain_decimal(text)?;
            if figure < Decimal::ZERO || figure > Decimal::from(most) || figure.normalize().scale() > 4 {
                let what = format!("{} is out of bounds", shorten(text));
                return Err(Fault::new(what, &format!("a number from 0 to {most} with at most four places")));
            }
            Ok(figure)
        })
    }

    /// A rate at or above zero and below one.
    pub(crate) fn rate(&mut self, key: &'static str) -> Entry<Ratio> {
        self.written(key, "a rate below 1: 0.08 means 8 %", |text| {
            let figure = plain_decimal(text)?;
            Ratio::below_one(figure).map_err(|error| {
                // 8 was meant as 8 %: show how that is written.
                let meant = (figure / Decimal::ONE_HUNDRED).normalize();
                let help = (Decimal::ONE..Decimal::ONE_HUNDRED).contains(&figure).then(|| format!("write {meant}"));
                Fault { what: error.to_string(), help }
            })
        })
    }

    /// A percentage from 0 to `most`.
    pub(crate) fn percent(&mut self, key: &'static str, most: u32) -> Entry<Ratio> {
        self.written(key, "a percentage, such as 25", |text| percentage(text, most))
    }

    /// An angle in degrees, from `least` to `most`.
    pub(crate) fn degrees(&mut self, key: &'static str, (least, most): (f64, f64)) -> Entry<f64> {
        self.written(key, "an angle in degrees, such as 90", |text| {
            let angle = f64::from_str(&plain_decimal(text)?.to_string()).unwrap_or(f64::NAN);
            if (least..=most).contains(&angle) {
                Ok(angle)
            } else {
                Err(Fault::new(
                    format!("{} degrees is out of bounds", shorten(text)),
                    &format!("an angle in degrees from {least} to {most}"),
                ))
            }
        })
    }

    /// A price at or above zero.
    pub(crate) fn price(&mut self, key: &'static str) -> Entry<Price> {
        self.written(key, "a price, such as 9.85", |text| Price::parse(text).map_err(price_fault))
    }

    /// A text of 1 to 200 characters without control characters.
    pub(crate) fn text(&mut self, key: &'static str) -> Entry<String> {
        let Some(value) = self.value(key) else { return Entry::Missing };
        if !value.get_ref().is_str() {
            self.wrong_form(key, value, "a text in double quotes");
            return Entry::Faulty;
        }
        self.asked_again(key, name)
    }

    /// One of a few words.
    pub(crate) fn word(&mut self, key: &'static str, words: &'static [&'static str]) -> Entry<&'static str> {
        let form = format!("one of {}", quoted(words));
        self.written(key, &form, |text| one_of(text, words))
    }

    /// `true` or `false`.
    pub(crate) fn flag(&mut self, key: &'static str) -> Entry<bool> {
        let Some(value) = self.value(key) else { return Entry::Missing };
        let Some(flag) = value.get_ref().as_bool() else {
            self.wrong_form(key, value, "true or false, without quotes");
            return Entry::Faulty;
        };
        Entry::Given(At { value: flag, place: self.place(value.span()) })
    }

    /// Either a length or a text that `words` understands.
    pub(crate) fn length_or<T>(
        &mut self,
        key: &'static str,
        words: impl FnOnce(&str) -> Option<Result<T, String>>,
        wrap: impl FnOnce(Length) -> T,
    ) -> Entry<T> {
        let units = self.units;
        self.written(key, LENGTH_FORM, |text| match words(text) {
            Some(found) => found.map_err(|what| Fault { what, help: None }),
            None => parse_length(text, units).map(wrap).map_err(length_fault),
        })
    }

    /// True when `key` holds a table.
    pub(crate) fn holds_table(&mut self, key: &'static str) -> bool {
        self.value(key).is_some_and(|value| value.get_ref().is_table())
    }

    fn asked_again<T>(&mut self, key: &'static str, read: impl FnOnce(&str) -> Result<T, Fault>) -> Entry<T> {
        self.written(key, "a text in double quotes", read)
    }
}

const LENGTH_FORM: &str = "a length, such as \"5/8\", \"1-1/2\", 23.5 or \"16 mm\"";

pub(super) fn length_fault(error: LengthError) -> Fault {
    let help = match error {
        LengthError::Negative => Some("a length is zero or more"),
        LengthError::ZeroDenominator => Some("write it as 5/8 or 1-1/2"),
        LengthError::TooLong => Some("check the unit: a bare figure is in the job's `units`"),
        LengthError::Empty | LengthError::UnknownUnit { .. } | LengthError::NotANumber { .. } => None,
    };
    Fault { what: error.to_string(), help: help.map(str::to_owned) }
}

pub(super) fn positive(length: Length) -> Result<Length, Fault> {
    if length.is_positive() { Ok(length) } else { Err(Fault::new("a size cannot be 0", "give a size above zero")) }
}

pub(super) fn price_fault(error: PriceError) -> Fault {
    Fault { what: error.to_string(), help: None }
}

pub(super) fn whole_number(text: &str, least: u32, most: u32) -> Result<u32, Fault> {
    let help = format!("a whole number from {least} to {most}");
    let digits = text.strip_prefix('-').unwrap_or(text);
    if digits.is_empty() || !digits.chars().all(|c| c.is_ascii_digit()) {
        return Err(Fault::new(format!("`{}` is not a whole number", shorten(text)), &help));
    }
    match text.parse::<u32>() {
        Ok(count) if (least..=most).contains(&count) => Ok(count),
        _ => Err(Fault::new(format!("{} is out of bounds", shorten(text)), &help)),
    }
}

pub(super) fn percentage(text: &str, most: u32) -> Result<Ratio, Fault> {
    let figure = plain_decimal(text)?;
    if figure > Decimal::from(most) {
        let what = format!("{} % is out of bounds", shorten(text));
        return Err(Fault::new(what, &format!("a percentage from 0 to {most}, such as 25")));
    }
    Ratio::percent(figure).map_err(|error| Fault::new(error, "a percentage, such as 25"))
}

/// A name: trimmed, 1 to 200 characters, none of them a control character.
pub(super) fn name(text: &str) -> Result<String, Fault> {
    let text = text.trim();
    if text.is_empty() {
        Err(Fault::new("the text is empty", "write at least one letter"))
    } else if text.chars().count() > LONGEST_NAME {
        Err(Fault::new(format!("longer than {LONGEST_NAME} characters"), "a shorter name fits a label"))
    } else if let Some(control) = text.chars().find(|c| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}')) {
        let what = format!("holds the control character U+{:04X}", u32::from(control));
        Err(Fault::new(what, "names are printed on one line: plain characters only"))
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
    Err(Fault::new(format!("`{}` means nothing here", shorten(text)), &help))
}

fn quoted(words: &[&str]) -> String {
    words.iter().map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(", ")
}

/// Digits with at most one point and a sign; no exponent, no NaN, no infinity.
pub(super) fn plain_decimal(text: &str) -> Result<Decimal, Fault> {
    let text = text.trim();
    let body = text.strip_prefix('-').unwrap_or(text);
    let plain = body.len() < 24
        && body.chars().all(|c| c.is_ascii_digit() || c == '.')
        && body.chars().any(|c| c.is_ascii_digit());
    let figure = if plain { Decimal::from_str(text).ok() } else { None };
    figure
        .ok_or_else(|| Fault::new(format!("`{}` is not a number", shorten(text)), "write digits and one point, as 2.5"))
}
