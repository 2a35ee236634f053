//! [`Species`]: the wood of a strip or a board, and the table of trade names.

use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};

use thiserror::Error;

/// A wood by one settled name: the handbook's, in lower case, where the alias table knows it
/// (`cherry` becomes `black cherry`), else the name as written, in lower case. Two species are equal
/// when their settled names are; the word as written stays for lists and messages.
///
/// ```
/// use slatwright::job::Species;
/// assert_eq!(Species::named("Hard Maple").unwrap().name(), "sugar maple");
/// assert_eq!(Species::named("jatoba").unwrap().name(), "jatoba");
/// assert!(Species::named("oak").is_err());
/// ```
#[derive(Debug, Clone)]
pub struct Species {
    settled: String,
    written: String,
}

/// A word that stands for several woods, which differ in movement, weight and price.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{word}` may be {}", .choices.join(" or "))]
pub struct AmbiguousSpecies {
    /// The word as written.
    pub word: String,
    /// The settled names it may stand for.
    pub choices: Vec<&'static str>,
}

/// Handbook name first, then the trade names that mean it and nothing else on a lumber yard's list.
/// The handbook names are those of the Wood Handbook (USDA Forest Products Laboratory, FPL-GTR-190,
/// chapter 1, which lists common and trade names together); the trade's short forms are common
/// practice, no source.
const WOODS: [(&str, &[&str]); 17] = [
    ("red alder", &["alder", "western alder", "oregon alder", "western red alder"]),
    ("white ash", &["ash", "american ash", "american white ash"]),
    ("american beech", &["beech"]),
    ("yellow birch", &["birch", "american birch", "american yellow birch"]),
    ("black cherry", &["cherry", "american cherry", "american black cherry", "wild cherry", "wild black cherry"]),
    ("sugar maple", &["hard maple", "rock maple", "american hard maple"]),
    ("red maple", &[]),
    ("silver maple", &[]),
    ("northern red oak", &["red oak", "american red oak"]),
    ("white oak", &["american white oak", "eastern white oak"]),
    ("black walnut", &["walnut", "american walnut", "american black walnut", "eastern black walnut"]),
    (
        "yellow-poplar",
        &["poplar", "tulip poplar", "tulip-poplar", "tulipwood", "tuliptree", "american tulipwood", "yellow poplar"],
    ),
    ("douglas-fir", &["douglas fir", "doug fir", "oregon pine"]),
    ("eastern white pine", &["white pine", "northern white pine", "weymouth pine"]),
    ("western redcedar", &["western red cedar", "western cedar"]),
    ("mahogany", &["genuine mahogany", "american mahogany", "honduras mahogany", "honduran mahogany"]),
    ("teak", &["burmese teak", "burma teak", "plantation teak"]),
];

/// Words that leave open which wood is meant.
const AMBIGUOUS: [(&str, &[&str]); 7] = [
    ("oak", &["northern red oak", "white oak"]),
    ("maple", &["sugar maple", "red maple", "silver maple"]),
    ("soft maple", &["red maple", "silver maple"]),
    ("pine", &["eastern white pine", "ponderosa pine", "southern yellow pine"]),
    ("cedar", &["western redcedar", "eastern redcedar"]),
    ("red cedar", &["western redcedar", "eastern redcedar"]),
    ("fir", &["douglas-fir", "white fir"]),
];

impl Species {
    /// A species by its settled name. Files go through [`Species::named`].
    #[must_use]
    pub fn settled(name: &str) -> Self {
        Self { settled: name.to_owned(), written: name.to_owned() }
    }

    /// The species a maker means by `text`. A wood the table does not know keeps its own name, in
    /// lower case, with no handbook figures behind it.
    ///
    /// # Errors
    /// [`AmbiguousSpecies`] for a word that several woods share.
    pub fn named(text: &str) -> Result<Self, AmbiguousSpecies> {
        let word = text.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ");
        let loose = |name: &str| name.replace('-', " ");
        let plain = loose(&word);
        if let Some((_, choices)) = AMBIGUOUS.iter().find(|(name, _)| *name == plain) {
            return Err(AmbiguousSpecies { word, choices: choices.to_vec() });
        }
        let known = |(name, aliases): &&(&str, &[&str])| {
            loose(name) == plain || aliases.iter().any(|alias| loose(alias) == plain)
        };
        let settled = WOODS.iter().find(known).map_or(word, |(name, _)| (*name).to_owned());
        Ok(Self { settled, written: text.trim().to_owned() })
    }

    /// Every word that settles to this species, the settled name first.
    pub(crate) fn words(&self) -> impl Iterator<Item = &str> {
        let aliases =
            WOODS.iter().find(|(name, _)| *name == self.settled).map_or(&[] as &[&str], |(_, aliases)| aliases);
        std::iter::once(self.name()).chain(aliases.iter().copied())
    }

    /// The settled name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.settled
    }

    /// The word that was written, as the maker and the yard know the wood.
    #[must_use]
    pub fn word(&self) -> &str {
        &self.written
    }
}

impl PartialEq for Species {
    fn eq(&self, other: &Self) -> bool {
        self.settled == other.settled
    }
}

impl Eq for Species {}

impl PartialOrd for Species {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Species {
    fn cmp(&self, other: &Self) -> Ordering {
        self.settled.cmp(&other.settled)
    }
}

impl Hash for Species {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.settled.hash(state);
    }
}

impl fmt::Display for Species {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn trade_and_handbook_names_meet() {
        for (written, settled) in [
            ("cherry", "black cherry"),
            (" Black  Cherry ", "black cherry"),
            ("Walnut", "black walnut"),
            ("yellow poplar", "yellow-poplar"),
            ("Yellow-Poplar", "yellow-poplar"),
            ("tulip poplar", "yellow-poplar"),
            ("Douglas fir", "douglas-fir"),
            ("red oak", "northern red oak"),
            ("white oak", "white oak"),
            ("hard-maple", "sugar maple"),
            ("Bog oak", "bog oak"),
        ] {
            assert_eq!(Species::named(written).unwrap().name(), settled, "{written}");
        }
    }

    #[test]
    fn a_word_that_several_woods_share_names_them() {
        let error = Species::named("Oak").unwrap_err();
        assert_eq!(error.to_string(), "`oak` may be northern red oak or white oak");
        for word in ["maple", "soft maple", "pine", "cedar", "fir"] {
            assert!(Species::named(word).is_err(), "{word}");
        }
    }

    /// A settled name must settle to itself, and no word may stand for two woods.
    #[test]
    fn the_table_is_sound() {
        let mut seen = BTreeSet::new();
        for (name, aliases) in WOODS {
            for word in aliases.iter().chain([&name]) {
                assert_eq!(Species::named(word).unwrap().name(), name, "{word}");
                assert!(seen.insert(*word), "{word} is listed twice");
            }
        }
        for (word, choices) in AMBIGUOUS {
            assert!(seen.insert(word), "{word} is both settled and ambiguous");
            for choice in choices {
                assert_eq!(Species::named(choice).unwrap().name(), *choice, "{word}");
            }
        }
    }
}
