//! The defaults: every value taken when a file is silent, with its reason, and the list of those that entered.

use std::cell::RefCell;

use crate::files::Entry;
use crate::job::DefaultUsed;
use crate::measure::{Length, Units};

/// A value handed down in shops; no publication stands behind it.
pub(super) const COMMON_PRACTICE: &str = "common practice, no source";
/// Reason of `shoulder`.
const SHOULDER: &str = "published: a 1/32 in gap at the tongue's shoulder \
     (Society of American Period Furniture Makers, forum thread on tambours)";
/// Reason of `end_play`.
const END_PLAY: &str = "published: about 1/16 in (Mortise & Tenon Magazine, \"Stuck in the Revolving Door, II\")";
/// Reason of `overlap`.
pub(super) const OVERLAP: &str = "published: a door 2 to 3 in wider than its opening \
     (Woodcraft Magazine, \"Tambour Technique\")";
/// Reason of `face_trim`: half of what surfacing takes off by the grading table (4/4 to 13/16, 8/4 to 1-3/4).
pub(super) const FACE_TRIM: &str = "published: the grading table of surfaced thicknesses \
     (National Hardwood Lumber Association)";

/// A length taken when a file is silent.
pub(super) struct Standard {
    key: &'static str,
    value: Length,
    why: &'static str,
}

const fn usual(key: &'static str, sixty_fourths: i64) -> Standard {
    Standard { key, value: Length::from_64ths(sixty_fourths), why: COMMON_PRACTICE }
}

pub(super) const RUNNING: Standard = usual("[clearance] running", 2);
pub(super) const END_PLAY_STANDARD: Standard = Standard { why: END_PLAY, ..usual("[clearance] end_play", 4) };
pub(super) const SHOULDER_STANDARD: Standard = Standard { why: SHOULDER, ..usual("[clearance] shoulder", 2) };
pub(super) const LEAD_TRIM: Standard = usual("[clearance] lead_trim", 8);
pub(super) const TAIL_CLEAR: Standard = usual("[canvas] tail_clear", 16);
pub(super) const LEAD_LAP: Standard = usual("[canvas] lead_lap", 16);
pub(super) const CLOTH_TRIM: Standard = usual("[canvas] trim", 32);
pub(super) const RIP_KERF: Standard = usual("[cutting] rip_kerf", 8);
pub(super) const CROSSCUT_KERF: Standard = usual("[cutting] crosscut_kerf", 8);
pub(super) const RESAW_KERF: Standard = usual("[cutting] resaw_kerf", 8);
pub(super) const END_TRIM: Standard = usual("[cutting] end_trim", 96);
pub(super) const EDGE_TRIM_CROSSCUT: Standard = usual("[cutting] edge_trim (crosscut first)", 16);
pub(super) const EDGE_TRIM_RIP: Standard = usual("[cutting] edge_trim (rip first)", 32);
pub(super) const HOLD_WIDTH: Standard = usual("[cutting] hold_width", 48);
pub(super) const LENGTH_TRIM: Standard = usual("[cutting] length_trim", 32);
pub(super) const RIP_TRIM: Standard = usual("[cutting] rip_trim", 0);
pub(super) const EDGE_CLEAN: Standard = usual("[cutting] edge_clean", 2);
pub(super) const FACE_TRIM_THIN: Standard = Standard { why: FACE_TRIM, ..usual("[cutting] face_trim (under 8/4)", 6) };
pub(super) const FACE_TRIM_THICK: Standard =
    Standard { why: FACE_TRIM, ..usual("[cutting] face_trim (8/4 and up)", 8) };
pub(super) const LEAF_TRIM: Standard = usual("[cutting] leaf_trim", 4);
pub(super) const MIN_BLANK: Standard = Standard {
    why: "common practice, no source; the machines' manuals come first",
    ..usual("[cutting] min_blank", 12 * 64)
};
pub(super) const EDGE_CHAMFER: Standard = usual("[slats] edge_chamfer", 0);

/// The defaults that entered, in the order they were met, each once.
pub(super) struct Defaults {
    units: Units,
    list: RefCell<Vec<DefaultUsed>>,
}

impl Defaults {
    pub(super) const fn new(units: Units) -> Self {
        Self { units, list: RefCell::new(Vec::new()) }
    }

    /// Notes a default.
    pub(super) fn note(&self, key: &str, value: String, why: &str) {
        let entry = DefaultUsed { key: key.to_owned(), value, reason: why.to_owned() };
        let mut list = self.list.borrow_mut();
        if !list.contains(&entry) {
            list.push(entry);
        }
    }

    /// The length given, or the standard one; that is noted only where it `matters` to this job.
    pub(super) fn length(&self, matters: bool, entry: &Entry<Length>, standard: &Standard) -> Option<Length> {
        if entry.is_missing() && matters {
            let shown = format!("{} {}", standard.value.show(self.units), self.units);
            self.note(standard.key, shown, standard.why);
        }
        or(entry, standard.value)
    }

    /// The value given, or `standard`, which is common practice and shown as `shown`.
    pub(super) fn other<T: Clone>(&self, entry: &Entry<T>, key: &str, standard: T, shown: &str) -> Option<T> {
        if entry.is_missing() {
            self.note(key, shown.to_owned(), COMMON_PRACTICE);
        }
        or(entry, standard)
    }

    pub(super) fn into_list(self) -> Vec<DefaultUsed> {
        self.list.into_inner()
    }
}

/// The value given, or `standard` where nothing is; `None` for a faulty entry.
pub(super) fn or<T: Clone>(entry: &Entry<T>, standard: T) -> Option<T> {
    match entry {
        Entry::Missing => Some(standard),
        Entry::Faulty => None,
        Entry::Given(at) => Some(at.value.clone()),
    }
}
