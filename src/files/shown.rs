//! Words of strangers made safe to show: on a terminal, on paper, in a spreadsheet.

/// True for a character that turns the text after it around: embeddings, overrides and isolates of the Unicode
/// Bidirectional Algorithm (Unicode Standard Annex 9). A name needs none; a reader is misled by any.
pub(crate) const fn turns_around(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// True for a character that could steer a terminal, break a line or change its direction.
pub(crate) fn steers(c: char) -> bool {
    c.is_control() || turns_around(c) || matches!(c, '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}')
}

/// The text with a mark in the place of every such character.
pub(crate) fn calmed(text: &str) -> String {
    text.chars().map(|c| if steers(c) { char::REPLACEMENT_CHARACTER } else { c }).collect()
}

/// What a spreadsheet could run as a formula (OWASP, "CSV injection").
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A formula, whatever apostrophes stand before it: so that what has one of its own reads back as it was.
fn is_formula(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(FORMULA)
}

/// A text for a CSV cell: one apostrophe in front of what a spreadsheet could run as a formula.
pub(crate) fn guarded(text: &str) -> String {
    if is_formula(text) { format!("'{text}") } else { text.to_owned() }
}

/// The text of a CSV cell without that apostrophe.
pub(crate) fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|text| is_formula(text)).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_guarded_reads_back_and_all_else_is_left_alone() {
        for text in ["=1+1", "+1", "-1", "@sum", "\t=1", "plain", "'quoted", "'=1", "''=1", "''", "", "'"] {
            assert_eq!(unguarded(&guarded(text)), text);
        }
        assert_eq!((guarded("=1").as_str(), guarded("a=1").as_str()), ("'=1", "a=1"));
        assert_eq!(unguarded("'98 cherry"), "'98 cherry");
    }
}
