//! The plan folder: written whole or not at all.
//!
//! Files are staged in a hidden folder inside, synced, then a journal names what will be put in
//! place; from that moment on the next run finishes the work if this one is killed. Before it, the
//! next run throws the staged files away. A list of what was written lies beside the files, so that
//! nothing foreign is ever overwritten or removed; a link that leads out of the folder is foreign. The list carries a
//! mark of each file: one that was edited since it was written is kept under another name when a new plan takes its
//! place. While files are put in place a note that says so lies among them.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};

use thiserror::Error;

use crate::files::{Lock, NoLock, Refused, sync_folder, told, write_new};
use crate::shopfloor::mark;

/// Where the next plan is staged.
const STAGE: &str = ".slatwright-stage";
/// In the stage: what will be put in place; its presence means that every staged file is whole.
const JOURNAL: &str = "journal";
/// In the folder: the files of the plan that lies there, a tab, and the mark of each as it was written.
const LIST: &str = ".slatwright-files";
/// In the folder: locked while a run writes or reads.
const LOCK: &str = ".slatwright-lock";

/// In the folder while files are put in place: whoever opens it at that moment reads that they may be of two plans.
const NOTE: &str = "UNFINISHED.txt";
const NOTE_TEXT: &str = "A new plan is being put in place in this folder, and its files may be of two plans.\n\
    If this note stays, the run was stopped: run slatwright on this folder again, and it finishes the plan.\n";

/// Why a plan folder was not written.
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
    #[error(transparent)]
    System(#[from] Refused),
}

/// Writes `files` (relative name with `/`, content) as the whole of a plan folder. Answers the files that were edited
/// since a plan wrote them, each by the name under which it is kept.
///
/// # Errors
/// [`FolderError`]; the folder is then as it was before, or absent if it was absent. Should the system refuse
/// to put in place what was staged whole (a disk that fails in that moment), the next run finishes it.
pub fn write(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<Vec<String>, FolderError> {
    Ok(claim(folder)?.write(files.iter().cloned())?.kept)
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// How many files.
    pub files: usize,
    /// Files that were edited since a plan wrote them, each by the name under which it is kept.
    pub kept: Vec<String>,
}

/// A plan folder that no other run can write to until this is dropped. One that was not there is made, and taken away
/// again when nothing is written to it.
#[derive(Debug)]
pub struct Claim {
    folder: PathBuf,
    /// Folders that were made for it, innermost first.
    made: Vec<PathBuf>,
    lock: Option<Lock>,
}

impl Claim {
    /// Writes the plan, as [`write()`], holding one file at a time.
    ///
    /// # Errors
    /// [`FolderError`], as for [`write()`].
    pub fn write(mut self, files: impl Iterator<Item = (String, Vec<u8>)>) -> Result<Written, FolderError> {
        let written = replace(&self.folder, files)?;
        self.made.clear();
        Ok(written)
    }
}

impl Drop for Claim {
    fn drop(&mut self) {
        let Some(lock) = self.lock.take() else { return };
        if !self.folder.join(LIST).exists() && !self.folder.join(STAGE).exists() {
            lock.remove();
        }
        remove_made(&self.made);
    }
}

/// Keeps other runs from writing to a folder: so that the second of two is told before it has worked for its plan.
///
/// # Errors
/// [`FolderError`] when another run uses the folder, or it is none, or the system refuses to make it.
pub fn claim(folder: &Path) -> Result<Claim, FolderError> {
    if !folder.exists() && fs::symlink_metadata(folder).is_ok() {
        return Err(FolderError::Nowhere(folder.to_owned()));
    }
    if folder.exists() && !folder.is_dir() {
        return Err(FolderError::NotAFolder(folder.to_owned()));
    }
    let made = missing_ancestors(folder);
    let made_it = told(fs::create_dir_all(folder), "make the folder", folder).map_err(Into::into);
    match made_it.and_then(|()| lock(folder)) {
        Ok(lock) => Ok(Claim { folder: folder.to_owned(), made, lock: Some(lock) }),
        Err(error) => {
            remove_made(&made);
            Err(error)
        }
    }
}

fn replace(folder: &Path, files: impl Iterator<Item = (String, Vec<u8>)>) -> Result<Written, FolderError> {
    recover(folder)?;
    let files = stage(folder, files).inspect_err(|_| drop(fs::remove_dir_all(folder.join(STAGE))))?;
    Ok(Written { files, kept: put_in_place(folder)? })
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
        NoLock::System(source) => Refused { doing: "write to", path: folder.to_owned(), source }.into(),
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
        return Ok(told(fs::remove_dir_all(&stage), "clear", &stage)?);
    }
    // What the killed run kept it did not live to say; the files themselves are there.
    // What is still staged must not fall on what somebody put there since.
    let names = listed(&stage.join(JOURNAL))?;
    let left = names.iter().map(|listed| listed.name.as_str()).filter(|name| stage.join(name).exists());
    refuse_foreign(folder, left)?;
    put_in_place(folder).map(drop)
}

/// Everything in the way of these files: what is not on our list, and what is no ordinary file or folder where one
/// of ours has to be.
fn refuse_foreign<'a>(folder: &Path, files: impl Iterator<Item = &'a str>) -> Result<(), FolderError> {
    let ours = listed(&folder.join(LIST))?;
    let ours: BTreeSet<&str> = ours.iter().map(|listed| listed.name.as_str()).collect();
    let mut names = BTreeSet::new();
    // A note of ours is there only while a run is unfinished.
    if !folder.join(STAGE).join(JOURNAL).exists() && fs::symlink_metadata(folder.join(NOTE)).is_ok() {
        names.insert(NOTE.to_owned());
    }
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

/// A file of the list.
#[derive(Debug, PartialEq, Eq)]
struct Listed {
    name: String,
    /// The mark it was written with; `None` in a list without marks.
    mark: Option<String>,
}

/// The files in a list, one a line; none when there is no list. A name that would lead out of
/// the folder is passed over: the list may have been edited by hand.
fn listed(list: &Path) -> Result<Vec<Listed>, FolderError> {
    let line = |line: &str| {
        let (name, mark) = line.split_once('\t').map_or((line, None), |(name, mark)| (name, Some(mark.to_owned())));
        stays_inside(name).then(|| Listed { name: name.to_owned(), mark })
    };
    // A pipe in its place would never end.
    if fs::symlink_metadata(list).is_ok_and(|about| !about.is_file()) {
        let source = io::Error::other("it is not an ordinary file");
        return Err(Refused { doing: "read", path: list.to_owned(), source }.into());
    }
    match fs::read_to_string(list) {
        Ok(text) => Ok(text.lines().filter_map(line).collect()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(source) => Err(Refused { doing: "read", path: list.to_owned(), source }.into()),
    }
}

fn stays_inside(name: &str) -> bool {
    !name.is_empty() && Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

/// Writes every file and, last, the journal, unless something foreign is in the way of one. Answers how many there are.
fn stage(folder: &Path, files: impl Iterator<Item = (String, Vec<u8>)>) -> Result<usize, FolderError> {
    let stage = folder.join(STAGE);
    told(fs::create_dir(&stage), "make", &stage)?;
    let mut names = Vec::new();
    let mut list = String::new();
    for (name, content) in files {
        assert!(stays_inside(&name), "file names are the program's own");
        write_synced(&stage.join(&name), &content)?;
        list += &format!("{name}\t{}\n", mark(&content));
        names.push(name);
    }
    refuse_foreign(folder, names.iter().map(String::as_str))?;
    write_synced(&stage.join(NOTE), NOTE_TEXT.as_bytes())?;
    write_synced(&stage.join("journal.part"), list.as_bytes())?;
    sync_folders(&stage, names.iter().map(String::as_str))?;
    let journal = stage.join(JOURNAL);
    told(fs::rename(stage.join("journal.part"), &journal), "write", &journal)?;
    sync_folder(&stage)?;
    Ok(names.len())
}

fn write_synced(path: &Path, content: &[u8]) -> Result<(), Refused> {
    if let Some(parent) = path.parent() {
        told(fs::create_dir_all(parent), "make", parent)?;
    }
    told(write_new(path, content, None), "write", path)
}

/// Moves the staged files in, removes files of the plan before that this one has not; the journal, moved
/// last, becomes the list. May be run again after a kill at any point, and needs no room on the disk. Answers the
/// names under which edited files are kept.
fn put_in_place(folder: &Path) -> Result<Vec<String>, FolderError> {
    let stage = folder.join(STAGE);
    let journal = stage.join(JOURNAL);
    let names = listed(&journal)?;
    let list = folder.join(LIST);
    let before = listed(&list)?;
    let mut kept = Vec::new();
    let note = folder.join(NOTE);
    if stage.join(NOTE).exists() {
        told(fs::rename(stage.join(NOTE), &note), "write", &note)?;
    }
    let by_name = |list: &[Listed]| -> BTreeMap<String, usize> {
        list.iter().enumerate().map(|(at, listed)| (listed.name.clone(), at)).collect()
    };
    let (new_names, old_names) = (by_name(&names), by_name(&before));
    for stale in before.iter().filter(|stale| !new_names.contains_key(&stale.name)) {
        let path = folder.join(&stale.name);
        // What lies behind a link is not ours, whatever the list says.
        if no_folder(folder, &stale.name).is_none() && fs::symlink_metadata(&path).is_ok_and(|about| !about.is_dir()) {
            match keep_edited(folder, stale, None)? {
                Some(name) => kept.push(name),
                None => told(fs::remove_file(&path), "remove", &path)?,
            }
            let _ = path.parent().map(fs::remove_dir);
        }
    }
    for new in &names {
        let (from, to) = (stage.join(&new.name), folder.join(&new.name));
        if from.exists() {
            if let Some(&old) = old_names.get(&new.name) {
                kept.extend(keep_edited(folder, &before[old], new.mark.as_deref())?);
            }
            if let Some(parent) = to.parent() {
                told(fs::create_dir_all(parent), "make", parent)?;
            }
            told(fs::rename(&from, &to), "write", &to)?;
        }
    }
    sync_folders(folder, names.iter().map(|listed| listed.name.as_str()))?;
    // All files are there. The note goes before the journal does: a run killed in between still finds what to finish.
    if note.exists() {
        told(fs::remove_file(&note), "remove", &note)?;
    }
    told(fs::rename(&journal, &list), "write", &list)?;
    sync_folder(folder)?;
    told(fs::remove_dir_all(&stage), "clear", &stage)?;
    Ok(kept)
}

/// Moves a file of the list that somebody wrote into since out of the way of the plan's, and answers its new name;
/// `None` where it is as it was written, or already what the new plan has.
fn keep_edited(folder: &Path, old: &Listed, new: Option<&str>) -> Result<Option<String>, FolderError> {
    let path = folder.join(&old.name);
    let Some(written) = &old.mark else { return Ok(None) };
    // A link is no file of ours with a note in it.
    if !fs::symlink_metadata(&path).is_ok_and(|about| about.is_file()) {
        return Ok(None);
    }
    let now = mark(&told(fs::read(&path), "read", &path)?);
    if now == *written || new == Some(&now) {
        return Ok(None);
    }
    let names = std::iter::once(format!("{}.bak", old.name)).chain((2..).map(|n| format!("{}.bak{n}", old.name)));
    let free = names.into_iter().find(|name| fs::symlink_metadata(folder.join(name)).is_err());
    let name = free.unwrap_or_else(|| format!("{}.bak", old.name));
    told(fs::rename(&path, folder.join(&name)), "keep", &path)?;
    Ok(Some(name))
}

/// Syncs a folder and every folder in it that holds one of `names`.
fn sync_folders<'a>(folder: &Path, names: impl Iterator<Item = &'a str>) -> Result<(), Refused> {
    let folders: BTreeSet<PathBuf> = names.filter_map(|name| folder.join(name).parent().map(Path::to_owned)).collect();
    folders.iter().try_for_each(|folder| sync_folder(folder))?;
    sync_folder(folder)
}

#[cfg(test)]
mod tests;
