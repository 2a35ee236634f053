//! `[case]` of a job or of one cabinet, as written.

use super::toml_table::Table;
use super::{At, Entry, Head};
use crate::measure::Length;

/// Most shelves of one case: more is a slip.
const MOST_SHELVES: u32 = 100;

/// How the top, the bottom and the sides of a case meet.
const JOINTS: &[&str] = &["top over sides", "sides over top", "dado"];
/// How a back is fitted.
const FITTINGS: &[&str] = &["let in", "laid on"];

/// `[case]`.
#[derive(Debug, Clone, Default)]
pub(crate) struct CaseFile {
    pub(crate) head: Head,
    pub(crate) material: Entry<String>,
    pub(crate) solid: Entry<bool>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) joint: Entry<&'static str>,
    pub(crate) dado_depth: Entry<Length>,
    pub(crate) back: Entry<Option<BackFile>>,
    pub(crate) lining: Entry<Option<LiningFile>>,
    pub(crate) shelves: Entry<Option<ShelvesFile>>,
    pub(crate) edging: Entry<Option<EdgingFile>>,
}

impl CaseFile {
    pub(super) fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            material: t.text("material"),
            solid: t.flag("solid"),
            thickness: t.size("thickness"),
            joint: t.word("joint", JOINTS),
            dado_depth: t.size("dado_depth"),
            back: table_or_none(t, "back", BackFile::read),
            lining: table_or_none(t, "lining", LiningFile::read),
            shelves: table_or_none(t, "shelves", ShelvesFile::read),
            edging: table_or_none(t, "edging", EdgingFile::read),
        }
    }

    /// This table, and `base` where it says nothing. A material of its own is no longer the base's wood.
    pub(crate) fn over(&self, base: &Self) -> Self {
        Self {
            head: self.head.clone(),
            material: self.material.or(&base.material),
            solid: if self.material.is_missing() { self.solid.or(&base.solid) } else { self.solid },
            thickness: self.thickness.or(&base.thickness),
            joint: self.joint.or(&base.joint),
            // Another joint has no use for the base's depth.
            dado_depth: if self.joint.is_missing() { self.dado_depth.or(&base.dado_depth) } else { self.dado_depth },
            back: self.back.or(&base.back),
            lining: self.lining.or(&base.lining),
            shelves: self.shelves.or(&base.shelves),
            edging: self.edging.or(&base.edging),
        }
    }
}

/// A table at `key`, or the word `none`: nothing of it, whatever the job says.
fn table_or_none<T>(t: &mut Table, key: &'static str, read: impl FnOnce(&mut Table) -> T) -> Entry<Option<T>> {
    if !t.holds_table(key) {
        return match t.word(key, &["none"]) {
            Entry::Missing => Entry::Missing,
            Entry::Faulty => Entry::Faulty,
            Entry::Given(At { place, .. }) => Entry::Given(At { value: None, place }),
        };
    }
    match t.table(key, read) {
        Entry::Missing => Entry::Missing,
        Entry::Faulty => Entry::Faulty,
        Entry::Given(At { value, place }) => Entry::Given(At { value: Some(value), place }),
    }
}

/// What the case of one cabinet says: a table over the job's, or `none`.
pub(super) fn of_cabinet(t: &mut Table) -> Entry<Option<CaseFile>> {
    table_or_none(t, "case", CaseFile::read)
}

/// `back`.
#[derive(Debug, Clone, Default)]
pub(crate) struct BackFile {
    pub(crate) head: Head,
    pub(crate) material: Entry<String>,
    pub(crate) solid: Entry<bool>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) fitted: Entry<&'static str>,
    pub(crate) rabbet: Entry<Length>,
}

impl BackFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            material: t.text("material"),
            solid: t.flag("solid"),
            thickness: t.size("thickness"),
            fitted: t.word("fitted", FITTINGS),
            rabbet: t.size("rabbet"),
        }
    }
}

/// `lining`.
#[derive(Debug, Clone, Default)]
pub(crate) struct LiningFile {
    pub(crate) head: Head,
    pub(crate) material: Entry<String>,
    pub(crate) solid: Entry<bool>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) inset: Entry<Length>,
}

impl LiningFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            material: t.text("material"),
            solid: t.flag("solid"),
            thickness: t.size("thickness"),
            inset: t.size("inset"),
        }
    }
}

/// `shelves`.
#[derive(Debug, Clone, Default)]
pub(crate) struct ShelvesFile {
    pub(crate) head: Head,
    pub(crate) material: Entry<String>,
    pub(crate) solid: Entry<bool>,
    pub(crate) thickness: Entry<Length>,
    pub(crate) count: Entry<u32>,
    pub(crate) gap: Entry<Length>,
    pub(crate) width: Entry<Length>,
    pub(crate) depth: Entry<Length>,
}

impl ShelvesFile {
    fn read(t: &mut Table) -> Self {
        Self {
            head: t.head(),
            material: t.text("material"),
            solid: t.flag("solid"),
            thickness: t.size("thickness"),
            count: t.count("count", 1, MOST_SHELVES),
            gap: t.length("gap"),
            width: t.size("width"),
            depth: t.size("depth"),
        }
    }
}

/// `edging`.
#[derive(Debug, Clone, Default)]
pub(crate) struct EdgingFile {
    pub(crate) head: Head,
    pub(crate) thickness: Entry<Length>,
    pub(crate) edges: Entry<Vec<String>>,
}

impl EdgingFile {
    fn read(t: &mut Table) -> Self {
        Self { head: t.head(), thickness: t.size("thickness"), edges: t.texts("edges", 3) }
    }
}
