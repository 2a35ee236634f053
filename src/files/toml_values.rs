//! Typed values of a TOML table: lengths, counts, rates, prices, names, words.

use std::str::FromStr;

use jiff::civil::Date;
use rust_decimal::Decimal;
use toml::de::DeValue;

use super::problem::{Kind, Problem};
use super::toml_table::Table;
use super::values::{
    Fault, entry, length_fault, name, one_of, percentage, plain_decimal, positive, price_fault, quoted, shorten,
    whole_number,
};
use super::{At, Entry};
use crate::measure::{Length, Price, Ratio, parse_length};

const LENGTH_FORM: &str = "a length, such as \"5/8\", \"1-1/2\", 23.5 or \"16 mm\"";

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
        let read = read(text.strip_prefix('+').unwrap_or(text));
        entry(self.desk, key, self.place(value.span()), read)
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
                let what = format!("{} is out of range", shorten(text));
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
                let what = format!("{} is out of range", shorten(text));
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
                let percent = (Decimal::ONE..Decimal::ONE_HUNDRED).contains(&figure);
                let help = if percent { format!("write {meant}") } else { "write a rate such as 0.08".to_owned() };
                Fault { what: error.to_string(), help }
            })
        })
    }

    /// A figure from 1 to `most`, with at most four places.
    pub(crate) fn at_least_one(&mut self, key: &'static str, most: u32) -> Entry<Decimal> {
        self.written(key, "a number of 1 or more, such as 1.5", |text| {
            let figure = plain_decimal(text)?;
            if figure < Decimal::ONE || figure > Decimal::from(most) {
                let what = format!("{} is out of range", shorten(text));
                return Err(Fault::new(what, &format!("it is from 1 to {most}; 1 where each strip fails by itself")));
            }
            if figure.normalize().scale() > 4 {
                return Err(Fault::new("more than four decimal places", "round it to four places"));
            }
            Ok(figure)
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
                    format!("{} degrees is out of range", shorten(text)),
                    &format!("an angle in degrees from {least} to {most}"),
                ))
            }
        })
    }

    /// A price at or above zero.
    pub(crate) fn price(&mut self, key: &'static str) -> Entry<Price> {
        self.written(key, "a price, such as 9.85", |text| Price::parse(text).map_err(price_fault))
    }

    /// A text of 1 to 200 characters, none of them a control character or one that turns text around.
    pub(crate) fn text(&mut self, key: &'static str) -> Entry<String> {
        let Some(value) = self.value(key) else { return Entry::Missing };
        let Some(text) = value.get_ref().as_str() else {
            self.wrong_form(key, value, "a text in double quotes");
            return Entry::Faulty;
        };
        entry(self.desk, key, self.place(value.span()), name(text))
    }

    /// A list of texts, each as [`text`](Self::text) takes it; at most `most` of them.
    pub(crate) fn texts(&mut self, key: &'static str, most: usize) -> Entry<Vec<String>> {
        let Some(value) = self.value(key) else { return Entry::Missing };
        let form = format!("a list of at most {most} texts in square brackets");
        let Some(list) = value.get_ref().as_array().filter(|list| list.len() <= most) else {
            self.wrong_form(key, value, &form);
            return Entry::Faulty;
        };
        let mut texts = Vec::new();
        for value in list {
            let Some(text) = value.get_ref().as_str() else {
                self.wrong_form(key, value, "a text in double quotes");
                return Entry::Faulty;
            };
            match entry(self.desk, key, self.place(value.span()), name(text)) {
                Entry::Given(at) => texts.push(at.value),
                _ => return Entry::Faulty,
            }
        }
        Entry::Given(At { value: texts, place: self.place(value.span()) })
    }

    /// A day of the calendar, such as `"2026-03-02"`.
    pub(crate) fn date(&mut self, key: &'static str) -> Entry<Date> {
        self.written(key, "a date, such as \"2026-03-02\"", |text| {
            text.parse().map_err(|_| Fault::new(format!("`{}` is no date", shorten(text)), "write it as 2026-03-02"))
        })
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
    pub(super) fn length_or<T>(
        &mut self,
        key: &'static str,
        words: impl FnOnce(&str) -> Option<Result<T, Fault>>,
        wrap: impl FnOnce(Length) -> T,
    ) -> Entry<T> {
        let units = self.units;
        self.written(key, LENGTH_FORM, |text| match words(text) {
            Some(found) => found,
            None => parse_length(text, units).map(wrap).map_err(length_fault),
        })
    }

    /// True when `key` holds a table.
    pub(crate) fn holds_list(&mut self, key: &'static str) -> bool {
        self.value(key).is_some_and(|value| value.get_ref().is_array())
    }

    /// True where the value of a key is a table.
    pub(crate) fn holds_table(&mut self, key: &'static str) -> bool {
        self.value(key).is_some_and(|value| value.get_ref().is_table())
    }
}
