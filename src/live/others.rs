//! What lies in the job's folder beside it: other jobs, whose cabinets can be brought, and frozen quotes. Nothing outside
//! that folder is read.

use std::fs;
use std::path::Path;

use super::edit::open;
use crate::files::{LARGEST_TOML, read_disk};
use crate::offer::{frozen_quotes, quotes_of};

/// Other jobs that are offered, and cabinets of each.
const MOST_JOBS: usize = 30;
const MOST_CABINETS: usize = 20;

/// Job files beside this one, by name, each with its cabinets.
pub(super) fn others(job: &Path) -> Vec<(String, Vec<String>)> {
    let folder = folder_of(job);
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let names = entries.filter_map(Result::ok).map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names
        .filter(|name| name.ends_with(".toml") && !name.starts_with('.') && Some(name.as_str()) != name_of(job))
        .collect();
    names.sort();
    let with = |name: String| {
        let text = text_of(job, &name)?;
        let document = open(&text).ok()?;
        let cabinets = super::fields::cabinets(&document).min(MOST_CABINETS);
        let called = |n| super::fields::name_of(&document, n);
        (cabinets > 0).then(|| (name, (0..cabinets).map(called).collect()))
    };
    names.into_iter().filter_map(with).take(MOST_JOBS).collect()
}

/// The text of a file of the job's folder, by its bare name.
pub(super) fn text_of(job: &Path, name: &str) -> Option<String> {
    let bare = Path::new(name).file_name()?.to_str()? == name;
    let plain = bare && name.ends_with(".toml") && !name.contains(['/', '\\', '\0']);
    let path = folder_of(job).join(name);
    // A link leads elsewhere.
    if !plain || !fs::symlink_metadata(&path).ok()?.is_file() {
        return None;
    }
    String::from_utf8(read_disk(&path, LARGEST_TOML).ok()?).ok()
}

fn name_of(path: &Path) -> Option<&str> {
    path.file_name()?.to_str()
}

fn folder_of(job: &Path) -> &Path {
    job.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Frozen revisions of this job, the latest first: in words, and where they are read.
pub(super) fn frozen_of(job: &Path) -> Vec<(String, String)> {
    let all = frozen_quotes(&quotes_of(job)).unwrap_or_default();
    let mut ours: Vec<_> = all.iter().filter(|frozen| Some(frozen.job_file.as_str()) == name_of(job)).collect();
    ours.sort_by_key(|frozen| std::cmp::Reverse(frozen.head.revision));
    let said = |frozen: &&crate::offer::Frozen| {
        let head = frozen.head;
        let words = format!(
            "quote {}, revision {}, {}: {} {}",
            head.number,
            head.revision,
            head.date,
            frozen.currency,
            frozen.total.marked(&frozen.currency)
        );
        (words, format!("frozen/{}", head.revision))
    };
    ours.iter().map(said).collect()
}
