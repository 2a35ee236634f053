//! The plan folder: written whole or not at all.
//!
//! Files are staged in a hidden folder inside, synced, then a journal names what will be put in
//! place; from that moment on the next run finishes the work if this one is killed. Before it, the
//! next run throws the staged files away. A list of what was written lies beside the files, so that
//! nothing foreign is ever overwritten or removed.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

use thiserror::Error;

/// Where the next plan is staged.
const STAGE: &str = ".slatwright-stage";
/// In the stage: what will be put in place; its presence means that every staged file is whole.
const JOURNAL: &str = "journal";
/// In the folder: the files of the plan that lies there.
const LIST: &str = ".slatwright-files";
/// In the folder: locked while a run writes.
const LOCK: &str = ".slatwright-lock";

/// Why a plan folder was not written. The folder is as it was.
#[derive(Debug, Error)]
pub enum FolderError {
    /// A file lies where the folder should be.
    #[error("`{0}` is a file, not a folder")]
    NotAFolder(PathBuf),
    /// Files of another origin lie where the plan's would go.
    #[error("`{}` holds files that slatwright did not write ({})", folder.display(), names.join(", "))]
    Foreign {
        /// The folder.
        folder: PathBuf,
        /// The files in the way.
        names: Vec<String>,
    },
    /// Another run is writing there.
    #[error("another run is writing to `{0}`")]
    Busy(PathBuf),
    /// The system refused.
    #[error("cannot {doing} `{}`: {source}", path.display())]
    System {
        /// What was tried.
        doing: &'static str,
        /// On which path.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

/// Attaches what was tried to what the system said.
fn told<T>(result: io::Result<T>, doing: &'static str, path: &Path) -> Result<T, FolderError> {
    result.map_err(|source| FolderError::System { doing, path: path.to_owned(), source })
}

/// Writes `files` (relative name with `/`, content) as the whole of a plan folder.
///
/// # Errors
/// [`FolderError`]; the folder is then as it was before, or absent if it was absent.
pub fn write(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
    if folder.exists() && !folder.is_dir() {
        return Err(FolderError::NotAFolder(folder.to_owned()));
    }
    let made = missing_ancestors(folder);
    let written = told(fs::create_dir_all(folder), "make the folder", folder).and_then(|()| {
        let _lock = lock(folder)?;
        recover(folder)?;
        refuse_foreign(folder, files)?;
        stage(folder, files).inspect_err(|_| drop(fs::remove_dir_all(folder.join(STAGE))))?;
        put_in_place(folder)
    });
    let held_by_other = matches!(written, Err(FolderError::Busy(_)));
    if written.is_err() && !held_by_other && !folder.join(LIST).exists() {
        let _ = fs::remove_file(folder.join(LOCK));
        remove_made(&made);
    }
    written
}

/// The folders that do not exist yet, innermost first.
fn missing_ancestors(folder: &Path) -> Vec<PathBuf> {
    folder.ancestors().take_while(|path| !path.as_os_str().is_empty() && !path.exists()).map(Path::to_owned).collect()
}

/// Takes back folders that this run made, as far as they are empty.
fn remove_made(made: &[PathBuf]) {
    for path in made {
        if fs::remove_dir(path).is_err() {
            return;
        }
    }
}

fn lock(folder: &Path) -> Result<File, FolderError> {
    let path = folder.join(LOCK);
    let file = told(OpenOptions::new().create(true).truncate(false).write(true).open(&path), "write to", folder)?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(FolderError::Busy(folder.to_owned())),
        Err(TryLockError::Error(source)) => Err(FolderError::System { doing: "lock", path, source }),
    }
}

/// Finishes or forgets what a killed run left.
fn recover(folder: &Path) -> Result<(), FolderError> {
    let stage = folder.join(STAGE);
    if stage.join(JOURNAL).exists() {
        put_in_place(folder)
    } else if stage.exists() {
        told(fs::remove_dir_all(&stage), "clear", &stage)
    } else {
        Ok(())
    }
}

fn refuse_foreign(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
    let ours = listed(&folder.join(LIST))?;
    let foreign = |name: &String| !ours.contains(name) && fs::symlink_metadata(folder.join(name)).is_ok();
    let names: Vec<String> = files.iter().map(|(name, _)| name.clone()).filter(foreign).collect();
    if names.is_empty() { Ok(()) } else { Err(FolderError::Foreign { folder: folder.to_owned(), names }) }
}

/// The names in a list file, one a line; none when there is no list. A name that would lead out of
/// the folder is passed over: the list may have been edited by hand.
fn listed(list: &Path) -> Result<Vec<String>, FolderError> {
    match fs::read_to_string(list) {
        Ok(text) => Ok(text.lines().filter(|name| stays_inside(name)).map(str::to_owned).collect()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(source) => Err(FolderError::System { doing: "read", path: list.to_owned(), source }),
    }
}

fn stays_inside(name: &str) -> bool {
    !name.is_empty() && Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

/// Writes every file and, last, the journal.
fn stage(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
    let stage = folder.join(STAGE);
    told(fs::create_dir(&stage), "make", &stage)?;
    for (name, content) in files {
        debug_assert!(stays_inside(name), "file names are the program's own");
        write_synced(&stage.join(name), content)?;
    }
    let names: String = files.iter().map(|(name, _)| format!("{name}\n")).collect();
    write_synced(&stage.join("journal.part"), names.as_bytes())?;
    sync_folder(&stage)?;
    let journal = stage.join(JOURNAL);
    told(fs::rename(stage.join("journal.part"), &journal), "write", &journal)?;
    sync_folder(&stage)
}

fn write_synced(path: &Path, content: &[u8]) -> Result<(), FolderError> {
    if let Some(parent) = path.parent() {
        told(fs::create_dir_all(parent), "make", parent)?;
    }
    let mut file = told(File::create_new(path), "write", path)?;
    told(file.write_all(content), "write", path)?;
    told(file.sync_all(), "write", path)
}

/// Moves the staged files in, removes files of the plan before that this one has not, and writes
/// the list. May be run again after a kill at any point.
fn put_in_place(folder: &Path) -> Result<(), FolderError> {
    let stage = folder.join(STAGE);
    let names = listed(&stage.join(JOURNAL))?;
    let list = folder.join(LIST);
    for stale in listed(&list)?.iter().filter(|name| !names.contains(name)) {
        let path = folder.join(stale);
        if path.is_file() {
            told(fs::remove_file(&path), "remove", &path)?;
            let _ = path.parent().map(fs::remove_dir);
        }
    }
    for name in &names {
        let (from, to) = (stage.join(name), folder.join(name));
        if from.exists() {
            if let Some(parent) = to.parent() {
                told(fs::create_dir_all(parent), "make", parent)?;
            }
            told(fs::rename(&from, &to), "write", &to)?;
        }
    }
    let text: String = names.iter().map(|name| format!("{name}\n")).collect();
    let next = stage.join("list.part");
    let _ = fs::remove_file(&next);
    write_synced(&next, text.as_bytes())?;
    told(fs::rename(&next, &list), "write", &list)?;
    sync_folder(folder)?;
    told(fs::remove_dir_all(&stage), "clear", &stage)
}

/// Makes renames last through a power cut where the system lets a folder be synced.
fn sync_folder(folder: &Path) -> Result<(), FolderError> {
    if cfg!(unix) {
        let handle = told(File::open(folder), "open", folder)?;
        told(handle.sync_all(), "sync", folder)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files(list: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
        list.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect()
    }

    fn read(folder: &Path, name: &str) -> String {
        fs::read_to_string(folder.join(name)).unwrap()
    }

    #[test]
    fn a_second_plan_replaces_the_first_and_leaves_foreign_files_alone() {
        let home = tempfile::tempdir().unwrap();
        let out = home.path().join("deep/out");
        write(&out, &files(&[("a.csv", "1"), ("templates/t.svg", "x")])).unwrap();
        fs::write(out.join("notes.txt"), "mine").unwrap();
        write(&out, &files(&[("a.csv", "2"), ("b.csv", "3")])).unwrap();
        assert_eq!(
            (read(&out, "a.csv"), read(&out, "b.csv"), read(&out, "notes.txt")),
            ("2".into(), "3".into(), "mine".into())
        );
        assert!(!out.join("templates").exists(), "what the new plan has not is gone");
        assert!(!out.join(STAGE).exists());
    }

    #[test]
    fn err_foreign_file_in_the_way() {
        let home = tempfile::tempdir().unwrap();
        fs::write(home.path().join("doors.csv"), "mine").unwrap();
        let error = write(home.path(), &files(&[("doors.csv", "x")])).unwrap_err();
        assert!(matches!(&error, FolderError::Foreign { names, .. } if names == &["doors.csv"]), "{error}");
        assert_eq!(read(home.path(), "doors.csv"), "mine");
    }

    #[test]
    fn err_a_file_where_the_folder_should_be() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("out");
        fs::write(&path, "").unwrap();
        assert!(matches!(write(&path, &files(&[("a", "")])), Err(FolderError::NotAFolder(_))));
    }

    #[test]
    fn err_two_runs_at_once() {
        let home = tempfile::tempdir().unwrap();
        let _held = lock(home.path()).unwrap();
        assert!(matches!(write(home.path(), &files(&[("a", "")])), Err(FolderError::Busy(_))));
    }

    #[test]
    fn a_failed_write_leaves_no_trace_of_a_new_folder() {
        let home = tempfile::tempdir().unwrap();
        let out = home.path().join("x/out");
        // A name that cannot be a file: its parent is one.
        let clash = files(&[("a", "1"), ("a/b", "2")]);
        assert!(write(&out, &clash).is_err());
        assert!(!home.path().join("x").exists());
    }

    #[test]
    fn a_kill_before_the_journal_rolls_back_and_after_it_rolls_forward() {
        let home = tempfile::tempdir().unwrap();
        write(home.path(), &files(&[("a", "old")])).unwrap();
        fs::create_dir(home.path().join(STAGE)).unwrap();
        fs::write(home.path().join(STAGE).join("a"), "half").unwrap();
        recover(home.path()).unwrap();
        assert_eq!(read(home.path(), "a"), "old");

        stage(home.path(), &files(&[("a", "new"), ("b", "new")])).unwrap();
        fs::rename(home.path().join(STAGE).join("a"), home.path().join("a")).unwrap();
        recover(home.path()).unwrap();
        assert_eq!((read(home.path(), "a"), read(home.path(), "b")), ("new".into(), "new".into()));
    }

    #[test]
    fn a_list_edited_by_hand_cannot_lead_out_of_the_folder() {
        let home = tempfile::tempdir().unwrap();
        let out = home.path().join("out");
        write(&out, &files(&[("a", "1")])).unwrap();
        fs::write(home.path().join("precious"), "keep").unwrap();
        fs::write(out.join(LIST), "a\n../precious\n/etc/hostname\n").unwrap();
        write(&out, &files(&[("b", "2")])).unwrap();
        assert_eq!(read(home.path(), "precious"), "keep");
    }
}
