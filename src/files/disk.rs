//! Writing so that a kill or a power cut leaves the old bytes or the new ones: what the plan folder and a file replaced
//! at once have in common.

use std::fs::{File, Permissions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use thiserror::Error;

/// The system refused to do something with a path.
#[derive(Debug, Error)]
#[error("cannot {doing} `{}`: {source}", path.display())]
pub struct Refused {
    /// What was tried.
    pub doing: &'static str,
    /// On which path.
    pub path: PathBuf,
    /// What the system said.
    pub source: io::Error,
}

/// Attaches what was tried to what the system said.
pub(crate) fn told<T>(result: io::Result<T>, doing: &'static str, path: &Path) -> Result<T, Refused> {
    result.map_err(|source| Refused { doing, path: path.to_owned(), source })
}

/// Writes a file that is not there yet, whole and synced, with these rights if any are given. Nothing is written
/// through a link in its place.
pub(crate) fn write_new(path: &Path, content: &[u8], rights: Option<Permissions>) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(content)?;
    if let Some(rights) = rights {
        file.set_permissions(rights)?;
    }
    file.sync_all()
}

/// Makes renames in a folder last through a power cut where the system lets a folder be synced.
pub(crate) fn sync_folder(folder: &Path) -> Result<(), Refused> {
    if cfg!(unix) {
        let handle = told(File::open(folder), "open", folder)?;
        told(handle.sync_all(), "sync", folder)?;
    }
    Ok(())
}
