//! [`Lock`]: an empty file by which runs of the program keep out of each other's way.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

/// Tries to lock a file that others keep putting in place anew.
const TRIES: u32 = 20;

/// A lock, held until dropped.
#[derive(Debug)]
pub(crate) struct Lock {
    file: File,
    path: PathBuf,
}

/// Why a lock was not taken.
#[derive(Debug)]
pub(crate) enum NoLock {
    /// Another run holds it.
    Busy,
    /// The system refused, or something else lies in the lock's place.
    System(io::Error),
}

impl Lock {
    /// Takes the lock at `path` to write, making the file where it is missing.
    pub(crate) fn to_write(path: &Path) -> Result<Self, NoLock> {
        Self::take(path, OpenOptions::new().create(true).truncate(false).write(true), File::try_lock)
    }

    /// Takes the lock at `path` to read beside other readers; the file has to be there.
    pub(crate) fn to_read(path: &Path) -> Result<Self, NoLock> {
        Self::take(path, OpenOptions::new().read(true), File::try_lock_shared)
    }

    fn take(path: &Path, how: &OpenOptions, hold: fn(&File) -> Result<(), TryLockError>) -> Result<Self, NoLock> {
        for _ in 0..TRIES {
            // A link would make or lock a file elsewhere, a pipe would never open.
            if fs::symlink_metadata(path).is_ok_and(|about| !about.is_file()) {
                let what = format!("`{}` is not an ordinary file", path.display());
                return Err(NoLock::System(io::Error::other(what)));
            }
            let file = how.open(path).map_err(NoLock::System)?;
            match hold(&file) {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Err(NoLock::Busy),
                Err(TryLockError::Error(error)) => return Err(NoLock::System(error)),
            }
            // Whoever held it before may have removed it: a lock on a file without a name keeps nobody out.
            if same_file(&file, path) {
                return Ok(Self { file, path: path.to_owned() });
            }
        }
        Err(NoLock::Busy)
    }

    /// Lets go and takes the file away.
    pub(crate) fn remove(self) {
        // While it is still held, so that nobody locks a file that is about to go.
        let _ = fs::remove_file(&self.path);
    }
}

impl Drop for Lock {
    /// Closing the file would not do: a program that is just being started may still have it open too.
    fn drop(&mut self) {
        let _ = self.file.unlock();
    }
}

#[cfg(unix)]
fn same_file(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), fs::symlink_metadata(path)) {
        (Ok(held), Ok(named)) => (held.dev(), held.ino()) == (named.dev(), named.ino()),
        _ => false,
    }
}

/// Elsewhere an open file keeps its name.
#[cfg(not(unix))]
fn same_file(_: &File, _: &Path) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_writer_or_many_readers() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("lock");
        assert!(matches!(Lock::to_read(&path), Err(NoLock::System(_))));
        let writer = Lock::to_write(&path).unwrap();
        assert!(matches!(Lock::to_write(&path), Err(NoLock::Busy)));
        assert!(matches!(Lock::to_read(&path), Err(NoLock::Busy)));
        drop(writer);
        let readers = (Lock::to_read(&path).unwrap(), Lock::to_read(&path).unwrap());
        assert!(matches!(Lock::to_write(&path), Err(NoLock::Busy)));
        drop(readers);
        Lock::to_write(&path).unwrap().remove();
        assert!(!path.exists());
    }

    /// As when a program is being started that has not closed yet what it was handed.
    #[test]
    fn a_lock_is_let_go_of_while_somebody_still_has_the_file_open() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("lock");
        let writer = Lock::to_write(&path).unwrap();
        let copy = writer.file.try_clone().unwrap();
        drop(writer);
        assert!(Lock::to_write(&path).is_ok());
        drop(copy);
    }

    #[cfg(unix)]
    #[test]
    fn err_a_link_or_a_folder_in_the_place_of_the_lock() {
        let home = tempfile::tempdir().unwrap();
        let (path, elsewhere) = (home.path().join("lock"), home.path().join("elsewhere"));
        std::os::unix::fs::symlink(&elsewhere, &path).unwrap();
        assert!(matches!(Lock::to_write(&path), Err(NoLock::System(_))));
        assert!(!elsewhere.exists());
        assert!(matches!(Lock::to_write(home.path()), Err(NoLock::System(_))));
    }
}
