//! When two names are one name.

use unicode_normalization::UnicodeNormalization;

/// What two names have in common that look alike: composed (Unicode Standard Annex 15, NFC), without characters that
/// nobody sees, blanks of any kind and number as one blank.
pub(crate) fn same_name(name: &str) -> String {
    let seen: String = name.nfc().filter(|c| !is_unseen(*c)).collect();
    seen.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Characters without a shape: soft hyphen, joiners and non-joiners, word joiner, byte order mark, variation selectors.
const fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{34f}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2060}'..='\u{2064}')
        || matches!(c, '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::same_name;

    #[test]
    fn names_that_look_alike_are_one_name() {
        for (one, other) in [
            ("Ch\u{e8}ne", "Che\u{300}ne"),
            ("press", "pre\u{200b}ss"),
            ("north corner", "north\u{a0} corner"),
            ("press", "\u{feff}press"),
            ("edging", "edg\u{ad}ing"),
        ] {
            assert_eq!(same_name(one), same_name(other), "{one:?} {other:?}");
        }
        assert_ne!(same_name("press"), same_name("Press"));
        assert_ne!(same_name("10 oz"), same_name("10oz"));
    }
}
