//! The number of the next quote, in the shop file: read, taken and written back with every other byte kept.

use std::fs;
use std::io;
use std::path::Path;
use std::time::Duration;

use toml::de::DeTable;

use super::OfferError;
use crate::shopfloor::{ReplaceError, replace};

/// How often a number is asked for while other runs take theirs, and how long each wait is.
const TRIES: u32 = 2_000;
const WAIT: Duration = Duration::from_millis(5);

/// Takes the next number of the shop, at least `least`, and leaves the one behind it in the shop file. A shop that
/// counts none gives `least`.
///
/// A run that is killed afterwards leaves its number unused: two quotes never share one.
///
/// # Errors
/// [`OfferError`] when the shop file cannot be replaced.
pub(super) fn take_number(shop: Option<&Path>, least: u32) -> Result<u32, OfferError> {
    let Some(path) = shop else { return Ok(least) };
    let mut last = None;
    for _ in 0..TRIES {
        let bytes = match fs::read(path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(least),
            Err(source) => return Err(crate::files::Refused { doing: "read", path: path.to_owned(), source }.into()),
        };
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let Some((number, place)) = next_quote(&text) else { return Ok(least) };
        let number = number.max(least);
        let mut new = text.clone();
        new.replace_range(place, &number.saturating_add(1).to_string());
        match replace(path, Some(&bytes), new.as_bytes()) {
            Ok(()) => return Ok(number),
            // Another run takes its number in this moment.
            Err(error @ (ReplaceError::Busy(_) | ReplaceError::Changed(_))) => last = Some(error),
            Err(error) => return Err(error.into()),
        }
        std::thread::sleep(WAIT);
    }
    Err(last.map_or_else(|| OfferError::Busy(path.to_owned()), OfferError::Replace))
}

/// The number in `[shop] next_quote` and where it stands in the text.
fn next_quote(text: &str) -> Option<(u32, std::ops::Range<usize>)> {
    let (root, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        return None;
    }
    let value = root.get_ref().get("shop")?.get_ref().as_table()?.get("next_quote")?;
    let span = value.span();
    let number = text.get(span.clone())?.trim_matches(['"', '\'']).trim_start_matches('+').parse().ok()?;
    Some((number, span))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_taken_and_every_other_byte_stays() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("shop.toml");
        let text = "# ours\n[shop]\nname = \"a\"\nnext_quote = 41   # go on from here\n";
        fs::write(&path, text).unwrap();
        assert_eq!(take_number(Some(&path), 1).unwrap(), 41);
        assert_eq!(fs::read_to_string(&path).unwrap(), text.replace("41", "42"));
        assert_eq!(take_number(Some(&path), 60).unwrap(), 60);
        assert_eq!(fs::read_to_string(&path).unwrap(), text.replace("41", "61"));
        fs::write(&path, "overhead = 0.1\n").unwrap();
        assert_eq!(take_number(Some(&path), 7).unwrap(), 7);
        assert_eq!(take_number(None, 8).unwrap(), 8);
    }
}
