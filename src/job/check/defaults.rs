//! The defaults: every value taken when a file is silent, with its reason, and the list of those that entered.

use std::cell::RefCell;

use crate::files::Entry;
use crate::job::DefaultUsed;
use crate::measure::{Length, Units};

/// A value handed down in shops; no publication stands behind it.
pub(super) const COMMON_PRACTICE: &str = "common practice, no source";
/// Reason of `shoulder`.
const SHOULDER: Why = Why {
    inch: "published: a 1/32 in gap at the tongue's shoulder \
           (Society of American Period Furniture Makers, forum thread on tambours)",
    mm: "published: a gap of about 0.8 mm at the tongue's shoulder \
         (Society of American Period Furniture Makers, forum thread on tambours)",
};
/// Reason of `end_play`.
const END_PLAY: Why = Why {
    inch: "published: about 1/16 in (Mortise & Tenon Magazine, \"Stuck in the Revolving Door, II\")",
    mm: "published: about 1.5 mm (Mortise & Tenon Magazine, \"Stuck in the Revolving Door, II\")",
};
/// Reason of `overlap`.
pub(super) const OVERLAP: Why = Why {
    inch: "published: a door 2 to 3 in wider than its opening (Woodcraft Magazine, \"Tambour Technique\")",
    mm: "published: a door 50 to 75 mm wider than its opening (Woodcraft Magazine, \"Tambour Technique\")",
};
/// Reason of `face_trim`: half of what surfacing takes off by the grading table (4/4 to 13/16, 8/4 to 1-3/4).
const FACE_TRIM: Why =
    Why::of("published: the grading table of surfaced thicknesses (National Hardwood Lumber Association)");
const MACHINES: Why = Why::of("common practice, no source; the machines' manuals come first");

/// A reason, in the words of a job in inches and of one in millimetres.
pub(super) struct Why {
    inch: &'static str,
    mm: &'static str,
}

impl Why {
    const fn of(both: &'static str) -> Self {
        Self { inch: both, mm: both }
    }

    const fn words(&self, units: Units) -> &'static str {
        match units {
            Units::Inch => self.inch,
            Units::Millimetre => self.mm,
        }
    }
}

/// A length taken when a file is silent: a round figure in the job's own unit.
pub(super) struct Standard {
    key: &'static str,
    /// The same where a job in millimetres says it in another way.
    metric_key: Option<&'static str>,
    sixty_fourths: i64,
    micrometres: i64,
    why: Why,
}

impl Standard {
    const fn value(&self, units: Units) -> Length {
        match units {
            Units::Inch => Length::from_64ths(self.sixty_fourths),
            Units::Millimetre => Length::from_nm(self.micrometres * 1_000),
        }
    }
}

/// Common practice in inches and in millimetres: no source for either.
pub(super) const fn usual(key: &'static str, sixty_fourths: i64, micrometres: i64) -> Standard {
    Standard { key, metric_key: None, sixty_fourths, micrometres, why: Why::of(COMMON_PRACTICE) }
}

pub(super) const RUNNING: Standard = usual("[clearance] running", 2, 800);
pub(super) const END_PLAY_STANDARD: Standard = Standard { why: END_PLAY, ..usual("[clearance] end_play", 4, 1_500) };
pub(super) const SHOULDER_STANDARD: Standard = Standard { why: SHOULDER, ..usual("[clearance] shoulder", 2, 800) };
pub(super) const LEAD_TRIM: Standard = usual("[clearance] lead_trim", 8, 3_000);
pub(super) const FRONT_WALL: Standard = usual("[clearance] front_wall", 12, 5_000);
pub(super) const PANEL: Standard = usual("panel_thickness", 48, 18_000);
pub(super) const END_CLEAR: Standard = usual("[cloth] end_clear", 32, 12_000);
/// How far the cloth stays off the rabbet's shoulder, at the least.
pub(super) const PAST_RABBET: Standard = usual("[cloth] end_clear", 8, 3_000);
pub(super) const TAIL_CLEAR: Standard = usual("[cloth] tail_clear", 16, 6_000);
pub(super) const LEAD_LAP: Standard = usual("[cloth] lead_lap", 16, 6_000);
pub(super) const CLOTH_TRIM: Standard = usual("[cloth] trim", 32, 12_000);
pub(super) const RIP_KERF: Standard = usual("[cutting] rip_kerf", 8, 3_200);
pub(super) const CROSSCUT_KERF: Standard = usual("[cutting] crosscut_kerf", 8, 3_200);
pub(super) const RESAW_KERF: Standard = usual("[cutting] resaw_kerf", 8, 3_200);
pub(super) const END_TRIM: Standard = usual("[cutting] end_trim", 96, 40_000);
pub(super) const EDGE_TRIM_CROSSCUT: Standard = usual("[cutting] edge_trim (crosscut first)", 16, 6_000);
pub(super) const EDGE_TRIM_RIP: Standard = usual("[cutting] edge_trim (rip first)", 32, 12_000);
pub(super) const HOLD_WIDTH: Standard = usual("[cutting] hold_width", 48, 20_000);
pub(super) const LENGTH_TRIM: Standard = usual("[cutting] length_trim", 32, 12_000);
pub(super) const RIP_TRIM: Standard = usual("[cutting] rip_trim", 0, 0);
pub(super) const EDGE_CLEAN: Standard = usual("[cutting] edge_clean", 2, 1_000);
pub(super) const FACE_TRIM_THIN: Standard = Standard {
    why: FACE_TRIM,
    metric_key: Some("[cutting] face_trim (under 50.8)"),
    ..usual("[cutting] face_trim (under 8/4)", 6, 2_500)
};
pub(super) const FACE_TRIM_THICK: Standard = Standard {
    why: FACE_TRIM,
    metric_key: Some("[cutting] face_trim (50.8 and up)"),
    ..usual("[cutting] face_trim (8/4 and up)", 8, 3_000)
};
pub(super) const LEAF_TRIM: Standard = usual("[cutting] leaf_trim", 4, 1_500);
pub(super) const MIN_BLANK: Standard = Standard { why: MACHINES, ..usual("[cutting] min_blank", 12 * 64, 300_000) };
pub(super) const EDGE_CHAMFER: Standard = usual("[slats] edge_chamfer", 0, 0);

/// The defaults that entered, in the order they were met, each once.
pub(super) struct Defaults {
    units: Units,
    list: RefCell<Vec<DefaultUsed>>,
}

impl Defaults {
    pub(super) const fn new(units: Units) -> Self {
        Self { units, list: RefCell::new(Vec::new()) }
    }

    /// The job's unit.
    pub(super) const fn units(&self) -> Units {
        self.units
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
            let metric = standard.metric_key.filter(|_| self.units == Units::Millimetre);
            self.note(metric.unwrap_or(standard.key), self.shown(standard), standard.why.words(self.units));
        }
        or(entry, self.usual(standard))
    }

    /// A standard length in the job's unit.
    pub(super) const fn usual(&self, standard: &Standard) -> Length {
        standard.value(self.units)
    }

    /// The same for a person.
    pub(super) fn shown(&self, standard: &Standard) -> String {
        format!("{} {}", standard.value(self.units).show(self.units), self.units)
    }

    /// Notes a value that is no plain length, with its reason.
    pub(super) fn note_for(&self, key: &str, value: String, why: &Why) {
        self.note(key, value, why.words(self.units));
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
