//! The plan folder: written whole or not at all.
//!
//! Files are staged in a hidden folder inside, synced, then a journal names what will be put in
//! place; from that moment on the next run finishes the work if this one is killed. Before it, the
//! next run throws the staged files away. A list of what was written lies beside the files, so that
//! nothing foreign is ever overwritten or removed; a link that leads out of the folder is foreign.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

use thiserror::Error;

use crate::files::{Lock, NoLock};

/// Where the next plan is staged.
const STAGE: &str = ".slatwright-stage";
/// In the stage: what will be put in place; its presence means that every staged file is whole.
const JOURNAL: &str = "journal";
/// In the folder: the files of the plan that lies there.
const LIST: &str = ".slatwright-files";
/// In the folder: locked while a run writes or reads.
const LOCK: &str = ".slatwright-lock";

/// Why a plan folder was not written. The folder is as it was.
#[derive(Debug, Error)]
pub enum FolderError {
    /// A file lies where the folder should be.
    #[error("`{0}` is a file, not a folder")]
    NotAFolder(PathBuf),
    /// A link to nowhere lies where the folder should be.
    #[error("`{0}` is a link to a folder that is not there")]
    Nowhere(PathBuf),
    /// Files of another origin lie where the plan's would go.
    #[error("`{}` holds files that slatwright did not write ({})", folder.display(), names.join(", "))]
    Foreign {
        /// The folder.
        folder: PathBuf,
        /// The files, folders or links in the way.
        names: Vec<String>,
    },
    /// Another run is writing there.
    #[error("another run is using `{0}`")]
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
/// [`FolderError`]; the folder is then as it was before, or absent if it was absent. Should the system refuse
/// to put in place what was staged whole (a disk that fails in that moment), the next run finishes it.
pub fn write(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
    if !folder.exists() && fs::symlink_metadata(folder).is_ok() {
        return Err(FolderError::Nowhere(folder.to_owned()));
    }
    if folder.exists() && !folder.is_dir() {
        return Err(FolderError::NotAFolder(folder.to_owned()));
    }
    let made = missing_ancestors(folder);
    let written = told(fs::create_dir_all(folder), "make the folder", folder).and_then(|()| {
        let lock = lock(folder)?;
        let written = replace(folder, files);
        if written.is_err() && !folder.join(LIST).exists() && !folder.join(STAGE).exists() {
            lock.remove();
        }
        written
    });
    if written.is_err() {
        remove_made(&made);
    }
    written
}

fn replace(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
    recover(folder)?;
    refuse_foreign(folder, files.iter().map(|(name, _)| name.as_str()))?;
    stage(folder, files).inspect_err(|_| drop(fs::remove_dir_all(folder.join(STAGE))))?;
    put_in_place(folder)
}

/// Kept while a plan folder is read: no run changes it meanwhile.
#[derive(Debug)]
pub struct Reading {
    _lock: Option<Lock>,
}

/// Makes a plan folder ready to be read: what a killed run left is finished or forgotten, as the next run that
/// writes would do, and other runs keep from writing until the answer is dropped. A folder without our lock, such
/// as a copy, is read as it is.
///
/// # Errors
/// [`FolderError`] when another run is writing there, or what was left cannot be finished.
pub fn read(folder: &Path) -> Result<Reading, FolderError> {
    let path = folder.join(LOCK);
    if folder.join(STAGE).exists() {
        let _lock = lock(folder)?;
        recover(folder)?;
    }
    match Lock::to_read(&path) {
        // A run that began in between and was killed is rarer than a run that is still at work.
        Ok(_) | Err(NoLock::Busy) if folder.join(STAGE).join(JOURNAL).exists() => {
            Err(FolderError::Busy(folder.to_owned()))
        }
        Ok(lock) => Ok(Reading { _lock: Some(lock) }),
        Err(NoLock::Busy) => Err(FolderError::Busy(folder.to_owned())),
        // No lock file, no right to open it, or a system without locks: reading changes nothing.
        Err(NoLock::System(_)) => Ok(Reading { _lock: None }),
    }
}

/// The folders that do not exist yet, innermost first.
fn missing_ancestors(folder: &Path) -> Vec<PathBuf> {
    folder.ancestors().take_while(|path| !path.as_os_str().is_empty() && !path.exists()).map(Path::to_owned).collect()
}

/// Takes back folders that this run made, as far as they are empty.
fn remove_made(made: &[PathBuf]) {
    for path in made {
        if fs::remove_dir(path).is_err() && path.exists() {
            return;
        }
    }
}

fn lock(folder: &Path) -> Result<Lock, FolderError> {
    let path = folder.join(LOCK);
    Lock::to_write(&path).map_err(|no| match no {
        NoLock::Busy => FolderError::Busy(folder.to_owned()),
        NoLock::System(source) => FolderError::System { doing: "write to", path: folder.to_owned(), source },
    })
}

/// Finishes or forgets what a killed run left.
fn recover(folder: &Path) -> Result<(), FolderError> {
    let stage = folder.join(STAGE);
    let Ok(about) = fs::symlink_metadata(&stage) else { return Ok(()) };
    if !about.is_dir() {
        return Err(FolderError::Foreign { folder: folder.to_owned(), names: vec![STAGE.to_owned()] });
    }
    if !stage.join(JOURNAL).exists() {
        return told(fs::remove_dir_all(&stage), "clear", &stage);
    }
    // What is still staged must not fall on what somebody put there since.
    let names = listed(&stage.join(JOURNAL))?;
    let left = names.iter().map(String::as_str).filter(|name| stage.join(name).exists());
    refuse_foreign(folder, left)?;
    put_in_place(folder)
}

/// Everything in the way of these files: what is not on our list, and what is no ordinary file or folder where one
/// of ours has to be.
fn refuse_foreign<'a>(folder: &Path, files: impl Iterator<Item = &'a str>) -> Result<(), FolderError> {
    let ours = listed(&folder.join(LIST))?;
    let ours: BTreeSet<&str> = ours.iter().map(String::as_str).collect();
    let mut names = BTreeSet::new();
    for name in files {
        if let Some(parent) = no_folder(folder, name) {
            names.insert(parent);
        } else if let Ok(about) = fs::symlink_metadata(folder.join(name))
            && (about.is_dir() || !ours.contains(name))
        {
            names.insert(name.to_owned());
        }
    }
    let names: Vec<String> = names.into_iter().collect();
    if names.is_empty() { Ok(()) } else { Err(FolderError::Foreign { folder: folder.to_owned(), names }) }
}

/// The first folder on the way to `name` that is something else: a file, or a link that may lead out.
fn no_folder(folder: &Path, name: &str) -> Option<String> {
    let ends = name.match_indices('/').map(|(at, _)| &name[..at]);
    let other = |part: &&str| fs::symlink_metadata(folder.join(part)).is_ok_and(|about| !about.is_dir());
    ends.into_iter().find(other).map(str::to_owned)
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
    sync_folders(&stage, files.iter().map(|(name, _)| name.as_str()))?;
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

/// Moves the staged files in, removes files of the plan before that this one has not; the journal, moved
/// last, becomes the list. May be run again after a kill at any point, and needs no room on the disk.
fn put_in_place(folder: &Path) -> Result<(), FolderError> {
    let stage = folder.join(STAGE);
    let journal = stage.join(JOURNAL);
    let names = listed(&journal)?;
    let list = folder.join(LIST);
    for stale in listed(&list)?.iter().filter(|name| !names.contains(name)) {
        let path = folder.join(stale);
        // What lies behind a link is not ours, whatever the list says.
        if no_folder(folder, stale).is_none() && fs::symlink_metadata(&path).is_ok_and(|about| !about.is_dir()) {
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
    sync_folders(folder, names.iter().map(String::as_str))?;
    told(fs::rename(&journal, &list), "write", &list)?;
    sync_folder(folder)?;
    told(fs::remove_dir_all(&stage), "clear", &stage)
}

/// Syncs a folder and every folder in it that holds one of `names`.
fn sync_folders<'a>(folder: &Path, names: impl Iterator<Item = &'a str>) -> Result<(), FolderError> {
    let folders: BTreeSet<PathBuf> = names.filter_map(|name| folder.join(name).parent().map(Path::to_owned)).collect();
    folders.iter().try_for_each(|folder| sync_folder(folder))?;
    sync_folder(folder)
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

    fn read_text(folder: &Path, name: &str) -> String {
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
            (read_text(&out, "a.csv"), read_text(&out, "b.csv"), read_text(&out, "notes.txt")),
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
        assert_eq!(read_text(home.path(), "doors.csv"), "mine");
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
        assert_eq!(read_text(home.path(), "a"), "old");

        stage(home.path(), &files(&[("a", "new"), ("b", "new")])).unwrap();
        fs::rename(home.path().join(STAGE).join("a"), home.path().join("a")).unwrap();
        recover(home.path()).unwrap();
        assert_eq!((read_text(home.path(), "a"), read_text(home.path(), "b")), ("new".into(), "new".into()));
    }

    /// What lies where a folder of ours has to be is found before anything is touched.
    #[test]
    fn err_a_file_or_a_link_where_a_folder_has_to_be() {
        let home = tempfile::tempdir().unwrap();
        let (out, elsewhere) = (home.path().join("out"), home.path().join("elsewhere"));
        write(&out, &files(&[("a", "1")])).unwrap();
        fs::create_dir(&elsewhere).unwrap();
        fs::write(elsewhere.join("x"), "keep").unwrap();
        fs::write(out.join("templates"), "mine").unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(&elsewhere, out.join("pages")).unwrap();
        let new = files(&[("a", "2"), ("templates/t", "2"), ("pages/p", "2")]);
        let expected: &[&str] = if cfg!(unix) { &["pages", "templates"] } else { &["templates"] };
        let error = write(&out, &new).unwrap_err();
        assert!(matches!(&error, FolderError::Foreign { names, .. } if names == expected), "{error}");
        assert_eq!((read_text(&out, "a"), read_text(&out, "templates")), ("1".into(), "mine".into()));
        assert!(!out.join(STAGE).exists() && !elsewhere.join("p").exists());
        fs::write(out.join(LIST), "a\npages/x\n").unwrap();
        write(&out, &files(&[("a", "3")])).unwrap();
        assert_eq!((read_text(&elsewhere, "x"), read_text(&out, "a")), ("keep".into(), "3".into()));
    }

    #[test]
    fn err_a_folder_where_a_file_of_ours_was() {
        let home = tempfile::tempdir().unwrap();
        write(home.path(), &files(&[("a", "1"), ("b", "1")])).unwrap();
        fs::remove_file(home.path().join("b")).unwrap();
        fs::create_dir(home.path().join("b")).unwrap();
        assert!(matches!(write(home.path(), &files(&[("a", "2"), ("b", "2")])), Err(FolderError::Foreign { .. })));
        assert_eq!(read_text(home.path(), "a"), "1");
    }

    /// A kill after the journal, and a file of somebody else's put where one of ours was still to go.
    #[test]
    fn a_plan_is_not_finished_over_what_was_put_there_since() {
        let home = tempfile::tempdir().unwrap();
        write(home.path(), &files(&[("a", "1")])).unwrap();
        stage(home.path(), &files(&[("a", "2"), ("b", "2")])).unwrap();
        fs::write(home.path().join("b"), "mine").unwrap();
        for _ in 0..2 {
            assert!(matches!(read(home.path()), Err(FolderError::Foreign { .. })));
        }
        assert_eq!((read_text(home.path(), "a"), read_text(home.path(), "b")), ("1".into(), "mine".into()));
        fs::remove_file(home.path().join("b")).unwrap();
        read(home.path()).unwrap();
        assert_eq!((read_text(home.path(), "a"), read_text(home.path(), "b")), ("2".into(), "2".into()));
    }

    #[test]
    fn who_reads_keeps_writers_out_and_finds_a_whole_plan() {
        let home = tempfile::tempdir().unwrap();
        write(home.path(), &files(&[("a", "1")])).unwrap();
        let reading = read(home.path()).unwrap();
        assert!(matches!(write(home.path(), &files(&[("a", "2")])), Err(FolderError::Busy(_))));
        let beside = read(home.path()).unwrap();
        drop((reading, beside));
        stage(home.path(), &files(&[("a", "2")])).unwrap();
        read(home.path()).unwrap();
        assert_eq!(read_text(home.path(), "a"), "2");
        let copy = tempfile::tempdir().unwrap();
        read(copy.path()).unwrap();
        assert_eq!(fs::read_dir(copy.path()).unwrap().count(), 0, "reading leaves nothing behind");
    }

    #[cfg(unix)]
    #[test]
    fn links_of_the_folders_own_names_are_not_followed() {
        use std::os::unix::fs::symlink;
        let home = tempfile::tempdir().unwrap();
        let (out, elsewhere) = (home.path().join("out"), home.path().join("elsewhere"));
        fs::create_dir_all(&out).unwrap();
        fs::create_dir(&elsewhere).unwrap();
        fs::write(elsewhere.join(JOURNAL), "a\n").unwrap();
        fs::write(elsewhere.join("a"), "keep").unwrap();
        symlink(&elsewhere, out.join(STAGE)).unwrap();
        assert!(matches!(write(&out, &files(&[("a", "1")])), Err(FolderError::Foreign { .. })));
        fs::remove_file(out.join(STAGE)).unwrap();
        fs::remove_file(out.join(LOCK)).unwrap();
        symlink(elsewhere.join("lock"), out.join(LOCK)).unwrap();
        assert!(matches!(write(&out, &files(&[("a", "1")])), Err(FolderError::System { .. })));
        assert_eq!(fs::read_dir(&elsewhere).unwrap().count(), 2);
        symlink(home.path().join("nowhere"), home.path().join("dangling")).unwrap();
        assert!(matches!(write(&home.path().join("dangling"), &files(&[("a", "1")])), Err(FolderError::Nowhere(_))));
    }

    #[test]
    fn a_list_edited_by_hand_cannot_lead_out_of_the_folder() {
        let home = tempfile::tempdir().unwrap();
        let out = home.path().join("out");
        write(&out, &files(&[("a", "1")])).unwrap();
        fs::write(home.path().join("precious"), "keep").unwrap();
        fs::write(out.join(LIST), "a\n../precious\n/etc/hostname\n").unwrap();
        write(&out, &files(&[("b", "2")])).unwrap();
        assert_eq!(read_text(home.path(), "precious"), "keep");
    }
}
