//! A shop in a folder of its own, and the command run in it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code, reason = "each test file uses its own part of it")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::common::program;

pub(crate) struct ShopFolder {
    pub(crate) home: tempfile::TempDir,
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Files by their names below a folder.
pub(crate) type Tree = BTreeMap<PathBuf, Vec<u8>>;

/// All files below a folder but those, and those in folders, for which `skip` holds.
pub(crate) fn tree(folder: &Path, skip: &dyn Fn(&Path) -> bool) -> Tree {
    let mut found = Tree::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(here) = folders.pop() {
        for entry in fs::read_dir(here).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(folder).unwrap().to_owned();
            if skip(&name) {
                continue;
            }
            if fs::symlink_metadata(&path).unwrap().is_dir() {
                folders.push(path);
            } else {
                // A link to nowhere is there and holds nothing.
                found.insert(name, fs::read(&path).unwrap_or_default());
            }
        }
    }
    found
}

impl ShopFolder {
    /// The demo jobs copied to `mine/`.
    pub(crate) fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        fs::create_dir(home.path().join("mine")).unwrap();
        for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs")).unwrap() {
            let path = entry.unwrap().path();
            fs::copy(&path, home.path().join("mine").join(path.file_name().unwrap())).unwrap();
        }
        Self { home }
    }

    /// Nothing at all.
    pub(crate) fn empty() -> Self {
        Self { home: tempfile::tempdir().unwrap() }
    }

    /// A small job of loose strips with its boards, planned into `out`.
    pub(crate) fn small(strips: &str, boards: &str) -> Self {
        let shop = Self::new();
        let own = |strip: &str| if strip.contains("spares = ") { "" } else { "spares = { reject_rate = 0.1 }\n" };
        let each = strips.split("[[strip]]\n").skip(1);
        let strips: String = each.map(|strip| format!("[[strip]]\n{}{strip}", own(strip))).collect();
        let job = format!(
            "name = \"bench\"\nunits = \"in\"\nshop = \"shop.toml\"\nboards = \"boards.csv\"\n\
             [spares]\nreject_rate = 0.1\nconfidence = 0.9\nsetup_strips = 1\n{strips}"
        );
        shop.write("mine/job.toml", &job);
        shop.write("mine/boards.csv", &format!("stock,species,thickness,width,length,on_hand,price,per\n{boards}"));
        shop.ok(&["plan", "mine/job.toml", "--out", "out"]);
        shop
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, content: &str) {
        fs::write(self.path(name), content).unwrap();
    }

    pub(crate) fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        program().current_dir(self.home.path()).args(arguments).output().unwrap()
    }

    pub(crate) fn ok(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
        text(&output.stdout)
    }

    /// Runs what must fail with status 2 and this message, and leave every file as it was.
    pub(crate) fn refused(&self, arguments: &[&str], said: &str) {
        let before = tree(self.home.path(), &|_| false);
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", text(&output.stderr));
        assert!(text(&output.stderr).contains(said), "{arguments:?} says: {}", text(&output.stderr));
        assert!(output.stdout.is_empty(), "{arguments:?}");
        assert!(before == tree(self.home.path(), &|_| false), "{arguments:?} changed something");
    }

    /// The blank count of a plan filled in: of every row, `rejects` of the strips it yields.
    pub(crate) fn filled(&self, plan: &[&str], rejects: impl Fn(usize, &str, u32) -> u32) -> String {
        let mut arguments = vec!["count"];
        arguments.extend(plan);
        arguments.push("--blank");
        let blank = self.ok(&arguments);
        let mut out = "board,part,straight,rejected\n".to_owned();
        let mut reader = csv::Reader::from_reader(blank.as_bytes());
        for row in reader.records().map(Result::unwrap) {
            let yields: u32 = row[2].parse().unwrap();
            let rejected = rejects(row[0].parse().unwrap(), &row[1], yields);
            out += &format!("{},{},{},{rejected}\n", &row[0], &row[1], yields - rejected);
        }
        out
    }
}

/// Rows of a CSV text by column name.
pub(crate) fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(Result::unwrap).collect()
}
