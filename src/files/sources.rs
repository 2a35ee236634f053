//! [`Sources`]: where the texts come from, the disk or memory, and [`SourceFile`], one text.

use std::collections::BTreeMap;
use std::fs::{File, Metadata};
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, OnceLock};

use super::shown::calmed;

/// Largest job or shop file, in bytes: thousands of cabinets fit many times over.
pub const LARGEST_TOML: u64 = 4 * 1024 * 1024;
/// Largest CSV file, in bytes: its most rows fit with their longest names.
pub const LARGEST_CSV: u64 = 8 * 1024 * 1024;

/// The byte order mark of UTF-8.
const MARK: &[u8] = b"\xef\xbb\xbf";

/// Where the files of a job come from.
#[derive(Debug, Clone)]
pub struct Sources {
    job: PathBuf,
    memory: Option<BTreeMap<PathBuf, Vec<u8>>>,
    /// Texts that stand in for what the disk holds at their paths.
    instead: BTreeMap<PathBuf, Vec<u8>>,
}

impl Sources {
    /// Files on disk; paths in the job file are relative to its folder. `-` is standard input, read once; paths in a job
    /// from there are relative to the folder the program runs in.
    #[must_use]
    pub fn on_disk(job: &Path) -> Self {
        Self { job: job.to_owned(), memory: None, instead: BTreeMap::new() }
    }

    /// The same files with another text in place of the one at `path`, which stays as it is.
    #[must_use]
    pub fn instead(mut self, path: &Path, text: impl Into<Vec<u8>>) -> Self {
        self.instead.insert(plain(path), text.into());
        self
    }

    /// Files in memory, for tests and for callers that hold the texts themselves.
    ///
    /// ```
    /// use slatwright::files::Sources;
    /// let sources = Sources::in_memory("job.toml", "name = 'hall'").with("boards.csv", "stock\n");
    /// ```
    #[must_use]
    pub fn in_memory(job: impl Into<PathBuf>, text: impl Into<Vec<u8>>) -> Self {
        let job = job.into();
        Self { memory: Some(BTreeMap::from([(plain(&job), text.into())])), job, instead: BTreeMap::new() }
    }

    /// One more file in memory.
    #[must_use]
    pub fn with(mut self, path: impl AsRef<Path>, text: impl Into<Vec<u8>>) -> Self {
        self.memory.get_or_insert_default().insert(plain(path.as_ref()), text.into());
        self
    }

    /// The path of the job file.
    #[must_use]
    pub fn job(&self) -> &Path {
        &self.job
    }

    /// True where there is something at `path`.
    pub(crate) fn holds(&self, path: &Path) -> bool {
        let named = plain(path);
        let on_disk = || self.memory.is_none() && std::fs::symlink_metadata(path).is_ok();
        self.instead.contains_key(&named) || self.memory.as_ref().is_some_and(|m| m.contains_key(&named)) || on_disk()
    }

    /// The text at `path` and, where it cannot be used, why.
    pub(crate) fn read(&self, path: &Path, limit: u64) -> (SourceFile, Option<ReadFault>) {
        let bytes = match &self.memory {
            _ if self.instead.contains_key(&plain(path)) => Ok(self.instead[&plain(path)].clone()),
            None => read_disk(path, limit),
            Some(files) => files.get(&plain(path)).cloned().ok_or_else(|| absent(path)),
        };
        match bytes {
            Ok(bytes) if bytes.len() as u64 > limit => (SourceFile::new(path, ""), Some(too_large(path, limit))),
            Ok(bytes) => decode(path, &bytes),
            Err(fault) => (SourceFile::new(path, ""), Some(fault)),
        }
    }
}

/// `./a/b` and `a/b` are the same file in memory.
fn plain(path: &Path) -> PathBuf {
    path.components().filter(|part| !matches!(part, Component::CurDir)).collect()
}

/// Why a file cannot be used.
#[derive(Debug)]
pub(crate) struct ReadFault {
    pub(crate) what: String,
    pub(crate) help: String,
    /// Byte range in the text, where the text is there but wrong.
    pub(crate) at: Option<(usize, usize)>,
}

impl ReadFault {
    fn new(what: String, help: &str) -> Self {
        Self { what, help: help.to_owned(), at: None }
    }
}

fn absent(path: &Path) -> ReadFault {
    ReadFault::new(
        format!("there is no file `{}`", path.display()),
        "check the spelling; paths inside a job file are relative to the job file",
    )
}

fn too_large(path: &Path, limit: u64) -> ReadFault {
    ReadFault::new(
        format!("`{}` is larger than {} MB, which no such file needs", path.display(), limit / (1024 * 1024)),
        "check that the path names the right file",
    )
}

/// What stands for standard input in place of a path.
const STDIN: &str = "-";
/// The most that is read of it, once, whoever asks for it again.
static PIPED: OnceLock<Result<Vec<u8>, String>> = OnceLock::new();

/// Standard input to its end, or to one byte over the largest file.
fn piped() -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let most = LARGEST_CSV.max(LARGEST_TOML) + 1;
    io::stdin().lock().take(most).read_to_end(&mut bytes).map_err(|error| error.to_string())?;
    Ok(bytes)
}

/// The bytes of an ordinary file of at most `limit` bytes; of standard input where the path is `-`.
pub(crate) fn read_disk(path: &Path, limit: u64) -> Result<Vec<u8>, ReadFault> {
    if path == Path::new(STDIN) {
        let read = PIPED.get_or_init(piped).clone();
        return read.map_err(|error| {
            ReadFault::new(format!("cannot read standard input: {error}"), "name a file in place of `-`")
        });
    }
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => absent(path),
        _ => ReadFault::new(
            format!("cannot read `{}`: {error}", path.display()),
            "check that you may read it, and that the disk it is on is there",
        ),
    };
    let folder = || ReadFault::new(format!("`{}` is a folder, not a file", path.display()), "name a file inside it");
    let about = std::fs::metadata(path).map_err(failed)?;
    if about.is_dir() {
        return Err(folder());
    }
    // A pipe or a device may never end, or never begin; so may a file that the kernel makes up as it is read.
    if !about.is_file() || of_the_kernel(&about) {
        return Err(ReadFault::new(format!("`{}` is not an ordinary file", path.display()), "name an ordinary file"));
    }
    if about.len() > limit {
        return Err(too_large(path, limit));
    }
    let mut bytes = Vec::new();
    // One byte over the limit is enough to know, should the file be growing.
    File::open(path).and_then(|file| file.take(limit + 1).read_to_end(&mut bytes)).map_err(failed)?;
    Ok(bytes)
}

/// True for a file of the systems in which the kernel shows itself: they look like ordinary ones, and some never end.
#[cfg(unix)]
fn of_the_kernel(about: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    let there = ["/proc", "/sys", "/sys/kernel/debug", "/sys/kernel/tracing", "/sys/fs/cgroup"];
    let device = |path: &str| std::fs::metadata(path).map(|about| about.dev()).ok();
    // Where nothing is mounted there, these are plain folders of the disk.
    let disk = device("/");
    there.iter().filter_map(|path| device(path)).any(|kernel| Some(kernel) != disk && kernel == about.dev())
}

#[cfg(not(unix))]
const fn of_the_kernel(_: &Metadata) -> bool {
    false
}

/// UTF-8 with or without a byte order mark; anything else is refused at its first bad byte.
fn decode(path: &Path, bytes: &[u8]) -> (SourceFile, Option<ReadFault>) {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let what = format!("`{}` is UTF-16 text, not UTF-8", path.display());
        return (SourceFile::new(path, ""), Some(ReadFault::new(what, "save it again as UTF-8")));
    }
    let marked = bytes.starts_with(MARK);
    let bytes = bytes.strip_prefix(MARK).unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => (SourceFile { marked, ..SourceFile::new(path, text) }, None),
        Err(error) => {
            let at = error.valid_up_to();
            let what = format!("byte {} (0x{:02x}) is not UTF-8 text", at + 1, bytes[at]);
            // Up to the bad byte the lossy text is the text, so the place holds.
            let text = String::from_utf8_lossy(bytes);
            let end = at + '\u{fffd}'.len_utf8();
            let mut fault = ReadFault::new(what, "save the file again as UTF-8");
            fault.at = Some((at, end.min(text.len())));
            (SourceFile::new(path, &text), Some(fault))
        }
    }
}

/// One text with its path.
#[derive(Debug, Clone)]
pub struct SourceFile {
    path: PathBuf,
    text: Arc<str>,
    /// Where its lines begin.
    lines: Arc<[usize]>,
    /// A byte order mark stood before the text.
    marked: bool,
}

impl SourceFile {
    fn new(path: &Path, text: &str) -> Self {
        let after = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        let lines = std::iter::once(0).chain(after).collect();
        Self { path: path.to_owned(), text: text.into(), lines, marked: false }
    }

    /// The bytes as they were read.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mark: &[u8] = if self.marked { MARK } else { b"" };
        [mark, self.text.as_bytes()].concat()
    }

    /// The path as it was asked for.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The path for a message, free of characters that could steer a terminal.
    #[must_use]
    pub fn shown_path(&self) -> String {
        calmed(&self.path.to_string_lossy())
    }

    /// The text, without a byte order mark; empty when it could not be read.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    pub(crate) fn shared_text(&self) -> Arc<str> {
        Arc::clone(&self.text)
    }

    /// Line and column of a byte, both from 1, the column in characters.
    #[must_use]
    pub fn line_column(&self, byte: usize) -> (usize, usize) {
        let before = self.text.get(..byte).unwrap_or(&self.text);
        // A place for every name of a long file: its lines are not counted anew for each.
        let line = self.lines.partition_point(|start| *start <= before.len());
        (line, before[self.lines[line - 1]..].chars().count() + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_count_from_one_in_characters() {
        let file = SourceFile::new(Path::new("a"), "ab\nçd\n");
        assert_eq!(file.line_column(0), (1, 1));
        assert_eq!(file.line_column(3), (2, 1));
        assert_eq!(file.line_column(5), (2, 2));
        assert_eq!(file.line_column(99), (3, 1));
    }

    #[test]
    fn a_byte_order_mark_is_dropped_and_bad_bytes_are_placed() {
        let sources =
            Sources::in_memory("job.toml", b"\xef\xbb\xbfname".to_vec()).with("b.csv", b"stock\nm\xfcll".to_vec());
        let (job, fault) = sources.read(Path::new("./job.toml"), 100);
        assert_eq!((job.text(), fault.is_none()), ("name", true));
        let (boards, fault) = sources.read(Path::new("b.csv"), 100);
        assert_eq!(fault.unwrap().at, Some((7, 10)));
        assert_eq!(boards.line_column(7), (2, 2));
        assert!(sources.read(Path::new("b.csv"), 5).1.unwrap().what.contains("larger"));
        assert!(sources.read(Path::new("c.csv"), 5).1.unwrap().what.contains("no file"));
    }
}
