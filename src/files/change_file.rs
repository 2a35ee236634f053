//! `[[alternative]]` and `[[option]]` of the job file: what another way of doing the job changes.

use super::job_file::{CabinetFile, SlatsFile};
use super::toml_table::Table;
use super::{Entry, Head, Place, Tables};
use crate::measure::{Length, Ratio};

/// Most things that one change leaves out.
const MOST_DROPPED: usize = 1_000;

/// One way of doing the job otherwise: any key of `[slats]`, any key of a cabinet (for all of them), and some of its own.
#[derive(Debug, Clone, Default)]
pub(crate) struct ChangeFile {
    pub(crate) head: Head,
    pub(crate) name: Entry<String>,
    /// Keys of `[slats]`.
    pub(crate) slats: SlatsFile,
    /// Keys of every cabinet; without a name.
    pub(crate) all: CabinetFile,
    /// The slats' `width` by another name.
    pub(crate) slat_width: Entry<Length>,
    pub(crate) reject_rate: Entry<Ratio>,
    pub(crate) boards: Entry<String>,
    /// Names of cabinets, loose pieces and lines that are left out.
    pub(crate) drop: Entry<Vec<String>>,
    /// Cabinets changed, by name, or added.
    pub(crate) cabinets: Tables<ChangedCabinet>,
    /// Its keys as written.
    pub(crate) said: Vec<(String, Place)>,
}

/// `[[alternative.cabinet]]`: the keys that are otherwise, or a whole cabinet more.
#[derive(Debug, Clone, Default)]
pub(crate) struct ChangedCabinet {
    pub(crate) cabinet: CabinetFile,
    pub(crate) said: Vec<(String, Place)>,
}

impl ChangeFile {
    pub(crate) fn read(t: &mut Table) -> Self {
        let mut all = CabinetFile::read_all_but_doors(t);
        let name = std::mem::take(&mut all.name);
        let mut changed =
            |t: &mut Table| ChangedCabinet { cabinet: CabinetFile::read(t), said: t.said(&["name", "door"]) };
        Self {
            head: t.head(),
            name,
            slats: SlatsFile::read(t),
            all,
            slat_width: t.size("slat_width"),
            reject_rate: t.rate("reject_rate"),
            boards: t.text("boards"),
            drop: t.texts("drop", MOST_DROPPED),
            cabinets: t.tables("cabinet", &mut changed),
            said: t.said(&["name", "drop", "cabinet"]),
        }
    }
}
