//! One file replaced at once, with a backup, and only if it is still what was read.

use std::ffi::OsString;
use std::fs::{self, Permissions};
use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::files::{Lock, NoLock, Refused, sync_folder, told, write_new};

/// Why a file was not replaced. It is as it was.
#[derive(Debug, Error)]
pub enum ReplaceError {
    /// Somebody else wrote it meanwhile.
    #[error("`{}` changed since it was read: nothing was written", .0.display())]
    Changed(PathBuf),
    /// Somebody else is writing it now.
    #[error("another run is writing `{}`: nothing was written", .0.display())]
    Busy(PathBuf),
    /// The system refused.
    #[error("{0}; nothing was written")]
    System(#[from] Refused),
}

/// `path` with something put before and after its file name.
fn beside(path: &Path, before: &str, after: &str) -> PathBuf {
    let mut name = OsString::from(before);
    name.push(path.file_name().unwrap_or_default());
    name.push(after);
    path.with_file_name(name)
}

/// Replaces the text of `path`, which was `seen` (`None`: not there) when it was read. Where `path` is a link, the
/// file it leads to is replaced and the link stays.
///
/// Under a lock the file is read again and must still be what was seen. What it held is copied to
/// `<name>.bak`, the new text written beside it, both synced; then one rename puts it in place. A kill at
/// any moment leaves the old text or the new, whole.
///
/// # Errors
/// [`ReplaceError`]; the file is then as it was.
pub fn replace(path: &Path, seen: Option<&[u8]>, text: &[u8]) -> Result<(), ReplaceError> {
    let real = match fs::symlink_metadata(path) {
        Ok(about) if about.is_symlink() => told(fs::canonicalize(path), "read", path)?,
        _ => path.to_owned(),
    };
    let _lock = Lock::to_write(&beside(&real, ".", ".lock")).map_err(|no| match no {
        NoLock::Busy => ReplaceError::Busy(path.to_owned()),
        NoLock::System(source) => Refused { doing: "lock", path: path.to_owned(), source }.into(),
    })?;
    let now = match fs::read(&real) {
        Ok(bytes) => Some(bytes),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(source) => return Err(Refused { doing: "read", path: path.to_owned(), source }.into()),
    };
    if now.as_deref() != seen {
        return Err(ReplaceError::Changed(path.to_owned()));
    }
    // Who may read and write it does not change with what it holds.
    let rights = fs::metadata(&real).ok().map(|about| about.permissions());
    if let Some(old) = seen {
        put(&beside(&real, ".", ".bak-part"), &beside(&real, "", ".bak"), old, rights.clone())?;
    }
    Ok(put(&beside(&real, ".", ".part"), &real, text, rights)?)
}

/// Writes `part` whole, then renames it to `path`.
fn put(part: &Path, path: &Path, text: &[u8], rights: Option<Permissions>) -> Result<(), Refused> {
    // What a killed run left goes first; a link in its place would lead elsewhere.
    let _ = fs::remove_file(part);
    told(write_new(part, text, rights), "write", part).inspect_err(|_| drop(fs::remove_file(part)))?;
    told(fs::rename(part, path), "write", path).inspect_err(|_| drop(fs::remove_file(part)))?;
    // It is in place; whether that lasts through a power cut is all that is left to ask for.
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let _ = sync_folder(folder);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_new_text_is_in_place_and_the_old_one_beside_it() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("rack.csv");
        replace(&path, None, b"one").unwrap();
        replace(&path, Some(b"one"), b"two").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(fs::read(home.path().join("rack.csv.bak")).unwrap(), b"one");
    }

    #[test]
    fn err_a_file_that_changed_or_is_being_written_stays() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("rack.csv");
        fs::write(&path, "theirs").unwrap();
        assert!(matches!(replace(&path, Some(b"mine"), b"new"), Err(ReplaceError::Changed(_))));
        assert!(matches!(replace(&path, None, b"new"), Err(ReplaceError::Changed(_))));
        let held = fs::File::create(beside(&path, ".", ".lock")).unwrap();
        held.lock().unwrap();
        assert!(matches!(replace(&path, Some(b"theirs"), b"new"), Err(ReplaceError::Busy(_))));
        assert_eq!(fs::read(&path).unwrap(), b"theirs");
        assert!(!home.path().join("rack.csv.bak").exists());
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_rights_stay_what_they_were() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let home = tempfile::tempdir().unwrap();
        let (path, link, foreign) =
            (home.path().join("shared.csv"), home.path().join("rack.csv"), home.path().join("foreign"));
        fs::write(&path, "one").unwrap();
        fs::write(&foreign, "keep").unwrap();
        fs::set_permissions(&path, Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        symlink(&foreign, home.path().join(".shared.csv.part")).unwrap();
        replace(&link, Some(b"one"), b"two").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!((fs::read(&path).unwrap(), fs::read(&foreign).unwrap()), (b"two".to_vec(), b"keep".to_vec()));
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
        assert_eq!(fs::read(home.path().join("shared.csv.bak")).unwrap(), b"one");
    }
}
