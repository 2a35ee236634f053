//! [`Names`]: names that may be given once only.

use std::collections::BTreeMap;

use super::Check;
use crate::files::{Kind, Place, Problem};

/// The names given so far, each with its place.
pub(super) struct Names {
    what: &'static str,
    seen: BTreeMap<String, Place>,
}

impl Names {
    /// Names of one kind of thing: `what` is its word.
    pub(super) const fn of(what: &'static str) -> Self {
        Self { what, seen: BTreeMap::new() }
    }

    /// Takes a name, or notes where it was given before.
    pub(super) fn take(&mut self, check: &Check, name: &str, place: Place) {
        if let Some(first) = self.seen.get(name) {
            check.note(
                Problem::new(Kind::Duplicate, place, format!("a second {} is named `{name}`", self.what))
                    .also(*first, "the first one is here")
                    .help("give each its own name"),
            );
        } else {
            self.seen.insert(name.to_owned(), place);
        }
    }

    /// The names, sorted.
    pub(super) fn known(&self) -> impl Iterator<Item = &str> {
        self.seen.keys().map(String::as_str)
    }
}
