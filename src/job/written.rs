//! What stays of the files behind the job: where things stand in them, what in them is odd, which values they left out.

use std::collections::BTreeMap;

/// What a place is kept for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    /// A door by its full name, or a loose strip: who uses a size.
    User,
    /// A loose cloth piece.
    ClothPiece,
    /// What a line of the bill is called: a row of boards or of cloth, a consumable, work, an extra line, a share.
    Priced,
}

/// Places of the files, for messages after the files were read, and questions about values that are allowed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Written {
    /// Values that are allowed and hardly ever meant: `shop.toml:4: ...`, one sentence each, with what is usual.
    pub questions: Vec<String>,
    places: BTreeMap<(Thing, String), String>,
}

impl Written {
    /// Where a thing stands, as `job.toml:12`; `None` where the job was not read from a file.
    #[must_use]
    pub fn place(&self, thing: Thing, name: &str) -> Option<&str> {
        self.places.get(&(thing, name.to_owned())).map(String::as_str)
    }

    pub(crate) fn keep(&mut self, thing: Thing, name: &str, place: String) {
        self.places.entry((thing, name.to_owned())).or_insert(place);
    }
}

/// A default that entered a result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DefaultUsed {
    /// Where it would be set: `[clearance] running`.
    pub key: String,
    /// Its value, as shown.
    pub value: String,
    /// Why that value: a published source or "common practice, no source".
    pub reason: String,
}
