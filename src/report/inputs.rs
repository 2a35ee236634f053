//! What a plan was made of: whether it is still the plan of its files can be told from these.

use std::path::Path;

use super::cell::Cell;
use super::sheets::Sheet;
use crate::files::{SourceFile, digest};

/// `inputs.csv`: one file that was read a row with the digest of its text, the job file first and the others by their
/// paths from its folder; last the program's version.
#[must_use]
pub fn inputs(read: &[SourceFile]) -> Sheet {
    let home = read.first().and_then(|job| job.path().parent()).unwrap_or(Path::new(""));
    let row = |(at, file): (usize, &SourceFile)| {
        let name = file.path().strip_prefix(home).unwrap_or(file.path()).to_string_lossy().into_owned();
        let (what, name) = if at == 0 { ("job", String::new()) } else { ("file", name) };
        vec![Cell::text(what), Cell::text(name), Cell::text(digest(file.text().as_bytes()))]
    };
    let program = [Cell::text("program"), Cell::text("slatwright"), Cell::text(env!("CARGO_PKG_VERSION"))];
    let rows = read.iter().enumerate().map(row).chain([program.to_vec()]);
    Sheet::new("inputs", &["what", "name", "digest"], rows.collect())
}
