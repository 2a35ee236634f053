//! Dates where a size should stand: a spreadsheet turns `4/4` and `5/8` into them.

/// Months by the first three letters that their names have in the languages whose spreadsheets show names (English,
/// German, French, Spanish, Italian; from memory).
const MONTHS: [&[&str]; 12] = [
    &["jan", "ene", "gen"],
    &["feb", "fév", "fev"],
    &["mar", "mär", "mrz"],
    &["apr", "avr", "abr"],
    &["may", "mai", "mag"],
    &["jun", "jui", "giu"],
    &["jul", "lug"],
    &["aug", "aoû", "ago"],
    &["sep", "set"],
    &["oct", "okt", "ott"],
    &["nov"],
    &["dec", "dez", "déc", "dic"],
];
/// Days since 1900 as spreadsheets count them, for the years 2000 to 2099.
const SERIAL: std::ops::RangeInclusive<u32> = 36_526..=73_050;

/// `Some` when the text is a date: with day and month as numbers where they can be told, in no sure order.
///
/// ```
/// use slatwright::measure::date_numbers;
/// assert_eq!(date_numbers("04/04/2026"), Some(Some((4, 4))));
/// assert_eq!(date_numbers("8-May"), Some(Some((8, 5))));
/// assert_eq!(date_numbers("46116"), Some(None));
/// assert_eq!(date_numbers("4/4"), None);
/// ```
#[must_use]
pub fn date_numbers(text: &str) -> Option<Option<(u8, u8)>> {
    // Spreadsheets put the hour behind a date.
    let text = text.trim().to_lowercase();
    let text = text.trim_end_matches("00:00:00").trim_end_matches(['t', ' ']);
    if text.len() > 24 || text.is_empty() {
        return None;
    }
    if text.parse().is_ok_and(|days| SERIAL.contains(&days)) {
        return Some(None);
    }
    let parts: Vec<&str> = text.split(['/', '.', '-', ' ']).filter(|part| !part.is_empty()).collect();
    let day = |text: &str| text.parse::<u8>().ok().filter(|n| (1..=31).contains(n) && text.len() <= 2);
    let year = |text: &str| text.len() == 4 && text.parse::<u16>().is_ok_and(|n| (1900..2100).contains(&n));
    let short_year = |text: &str| text.len() == 2 && text.parse::<u8>().is_ok();
    // `2014-1/2` is a length: figures of a date are parted by one mark throughout.
    let alike = ['/', '.', '-'].iter().any(|mark| text.matches(*mark).count() == 2);
    let named = parts.iter().any(|part| month(part).is_some());
    if parts.len() == 3 && !alike && !named {
        return None;
    }
    match *parts.as_slice() {
        [a, b, c] if year(c) => Some(Some((day(a)?, month(b).or_else(|| day(b))?))),
        [a, b, c] if year(a) => Some(Some((day(c)?, day(b)?))),
        [a, b, c] if short_year(c) && !text.contains('-') => Some(Some((day(a)?, day(b)?))),
        [a, b, c] if month(b).is_some() && short_year(c) => Some(Some((day(a)?, month(b)?))),
        [a, b] if month(b).is_some() => Some(Some((day(a)?, month(b)?))),
        [a, b] if month(a).is_some() && year(b) => Some(None),
        [a, b] if month(a).is_some() => Some(Some((day(b)?, month(a)?))),
        _ => None,
    }
}

/// The number of a month's name, whole or short.
fn month(text: &str) -> Option<u8> {
    let letters = text.chars().count() >= 3 && text.chars().all(char::is_alphabetic);
    let at = letters.then(|| MONTHS.iter().position(|names| names.iter().any(|name| text.starts_with(name))))??;
    u8::try_from(at + 1).ok()
}

#[cfg(test)]
mod tests {
    use super::date_numbers;

    #[test]
    fn sizes_are_no_dates() {
        for text in [
            "4/4",
            "5/8",
            "1-1/2",
            "2-1/2",
            "23.5",
            "3/4 in",
            "1.2 m",
            "12 mar long",
            "150",
            "",
            "2' 6-1/2",
            "1-1/16",
            "2014-1/2",
            "1-1-16",
            "1 1/16",
            "8 in",
        ] {
            assert_eq!(date_numbers(text), None, "{text}");
        }
    }

    #[test]
    fn dates_of_several_countries_are() {
        for text in [
            "08/05/2026",
            "8. Mai",
            "8. mai 2026",
            "08-May-26",
            "8/5/26",
            "8.5.26",
            "5 août",
            "2026-05-08",
            "May 8",
            "mai-26",
        ] {
            assert!(date_numbers(text).is_some(), "{text}");
        }
    }
}
