//! [`Names`]: names that may be given once only.

use std::collections::BTreeMap;

use super::Check;
use crate::files::{Kind, Place, Problem, same_name};

/// The names given so far, each with its place.
pub(super) struct Names {
    what: &'static str,
    /// By what names that look alike have in common.
    seen: BTreeMap<String, (String, Place)>,
}

impl Names {
    /// Names of one kind of thing: `what` is its word.
    pub(super) const fn of(what: &'static str) -> Self {
        Self { what, seen: BTreeMap::new() }
    }

    /// Takes a name, or notes where it was given before; false then.
    pub(super) fn take(&mut self, check: &Check, name: &str, place: Place) -> bool {
        let key = same_name(name);
        if let Some((given, first)) = self.seen.get(&key) {
            let unlike = if given == name { "" } else { ", but for characters that do not show" };
            check.note(
                Problem::new(Kind::Duplicate, place, format!("a second {} is named `{name}`{unlike}", self.what))
                    .also(*first, "the first one is here")
                    .help("give each its own name"),
            );
            return false;
        }
        self.seen.insert(key, (name.to_owned(), place));
        true
    }

    /// The names, sorted.
    pub(super) fn known(&self) -> impl Iterator<Item = &str> {
        self.seen.values().map(|(name, _)| name.as_str())
    }
}
