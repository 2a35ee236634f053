//! The rooms of `src/` stand in the order in which data flows, and each imports only from rooms
//! before it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};

/// The rooms in the order of `lib.rs`.
fn rooms() -> Vec<String> {
    let lib = fs::read_to_string(source().join("lib.rs")).unwrap();
    let room = |line: &str| line.trim_start_matches("pub ").strip_prefix("mod ")?.strip_suffix(';').map(str::to_owned);
    let mut rooms: Vec<String> = lib.lines().filter_map(room).collect();
    // A room that is public for tests alone is named twice.
    rooms.dedup();
    assert!(rooms.len() >= 9, "lib.rs lists the rooms, found {rooms:?}");
    rooms
}

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// Every room named after `crate::` in a file, doc comments and strings included: a mention is
/// taken for a use, which errs on the strict side.
fn imports(text: &str) -> Vec<String> {
    named_after("crate::", text)
}

fn named_after(path: &str, text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let code = text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    for after in code.split(path).skip(1) {
        let names = match after.strip_prefix('{') {
            Some(group) => group.split('}').next().unwrap_or_default().split(',').map(str::trim).collect(),
            None => vec![after],
        };
        for name in names {
            found.push(name.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect());
        }
    }
    found
}

#[test]
fn a_room_imports_only_rooms_before_it() {
    let rooms = rooms();
    let place = |room: &str| rooms.iter().position(|r| r == room);
    let mut upward = Vec::new();
    let mut checked = 0;
    for (at, room) in rooms.iter().enumerate() {
        let mut files = vec![source().join(format!("{room}.rs"))];
        if source().join(room).is_dir() {
            rust_files(&source().join(room), &mut files);
        }
        for file in files.iter().filter(|file| file.exists()) {
            for import in imports(&fs::read_to_string(file).unwrap()) {
                checked += 1;
                if place(&import).is_some_and(|of| of > at) {
                    upward.push(format!("{} imports {import}, which comes later", file.display()));
                }
            }
        }
    }
    assert!(checked > 50, "the scan sees imports, saw {checked}");
    assert!(upward.is_empty(), "{}", upward.join("\n"));
}

/// Inside packing: what boards and cloth share knows neither of them, and neither knows the other.
#[test]
fn packing_is_built_up_in_layers() {
    let layers: [&[&str]; 5] = [&["noise", "lp"], &["simplex"], &["boards", "cloth", "bundles"], &["ease"], &["whole"]];
    let layer = |name: &str| layers.iter().position(|layer| layer.contains(&name));
    let (packing, mut checked) = (source().join("packing"), 0);
    for name in layers.concat() {
        let (alone, room) = (packing.join(format!("{name}.rs")), packing.join(name));
        let mut files = vec![alone.clone()];
        if room.is_dir() {
            rust_files(&room, &mut files);
        }
        for file in files.iter().filter(|file| file.exists()) {
            let text = fs::read_to_string(file).unwrap();
            let mut named = named_after("packing::", &text);
            // Here `super` is packing.
            if *file == alone || *file == room.join("mod.rs") {
                named.extend(named_after("super::", &text));
            }
            for other in named.iter().filter(|other| *other != name) {
                checked += usize::from(layer(other).is_some());
                assert!(layer(other) < layer(name) || layer(other).is_none(), "{} names {other}", file.display());
            }
        }
    }
    assert!(checked > 15, "the scan sees names, saw {checked}");
}

/// The second opinion on kerfs and trims is none if it asks the first.
#[test]
fn the_verifier_works_out_its_own_cutting() {
    let mut files = Vec::new();
    rust_files(&source().join("verify"), &mut files);
    let asks = |file: &&PathBuf| imports(&fs::read_to_string(file).unwrap()).iter().any(|room| room == "cutting");
    assert_eq!(files.iter().filter(asks).collect::<Vec<_>>(), Vec::<&PathBuf>::new());
    assert!(rooms().contains(&"cutting".to_owned()) && files.len() > 5);
}

#[test]
fn only_one_file_names_the_solver_library() {
    let mut files = Vec::new();
    rust_files(&source(), &mut files);
    let naming = |file: &&PathBuf| imports_solver(&fs::read_to_string(file).unwrap());
    let named: Vec<_> = files.iter().filter(naming).collect();
    assert_eq!(named.len(), 1, "{named:?}");
}

fn imports_solver(text: &str) -> bool {
    text.lines().any(|line| !line.trim_start().starts_with("//") && line.contains("good_lp::"))
}

#[test]
fn the_scan_sees_plain_grouped_and_inline_imports() {
    let text =
        "use crate::job::Job;\nuse crate::{plan, report::Sheet};\nlet x = crate::bill::draw_up();\n// crate::cli\n";
    assert_eq!(imports(text), ["job", "plan", "report", "bill"]);
}

/// A file of tests that `suite.rs` does not name would never run.
#[test]
fn every_file_of_tests_is_a_module_of_the_one_binary() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let suite = fs::read_to_string(folder.join("suite.rs")).unwrap();
    let named: Vec<&str> = suite.lines().filter_map(|line| line.strip_prefix("mod ")?.strip_suffix(';')).collect();
    // Drawings are read back beside the benches; the arc-flow comparison needs a feature.
    let elsewhere = ["suite", "geometry_drawings", "arc_flow"];
    let mut missing = Vec::new();
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let module = path.extension().is_some_and(|ending| ending == "rs") || path.join("mod.rs").is_file();
        if module && !named.contains(&name.as_str()) && !elsewhere.contains(&name.as_str()) {
            missing.push(name);
        }
    }
    assert!(missing.is_empty(), "not in tests/suite.rs: {missing:?}");
}
