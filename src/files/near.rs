//! The nearest known word to one that was mistyped.

/// The candidate most like `word`, when it is like enough to be worth naming: one letter in three off, or one.
pub(crate) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = |text: &str| text.to_lowercase().replace(['-', ' '], "_");
    let word = plain(word);
    // A long key is a slip of another kind; comparing it would only cost time.
    if word.len() > 60 {
        return None;
    }
    candidates
        .into_iter()
        .map(|candidate| {
            let like = plain(candidate);
            let contained = word.len() > 3 && (like.contains(&word) || word.contains(&like)) && like.len() > 3;
            let distance = strsim::damerau_levenshtein(&word, &like);
            (if contained { distance.min(2) } else { distance }, candidate)
        })
        .filter(|(distance, candidate)| *distance <= (candidate.len() / 3).max(1) && *distance < candidate.len())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_slip_finds_its_key_and_a_stranger_finds_none() {
        let keys = ["width", "thickness", "lead_width", "reject_rate"];
        assert_eq!(nearest("widht", keys), Some("width"));
        assert_eq!(nearest("lead-width", keys), Some("lead_width"));
        assert_eq!(nearest("reject", keys), Some("reject_rate"));
        assert_eq!(nearest("colour", keys), None);
    }
}
