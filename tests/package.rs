//! The crate as it is packed: whole enough to build and to run the tests that go with it.

use std::process::Command;

/// The tests of `tests/` stay behind, for some of them stand in packages of their own; those in `src` come along, with
/// every file that they name.
#[test]
fn the_packed_crate_holds_the_files_that_its_tests_name() {
    let root = env!("CARGO_MANIFEST_DIR");
    let listed = Command::new(env!("CARGO"))
        .args(["package", "--list", "--allow-dirty", "--offline"])
        .current_dir(root)
        .output()
        .unwrap();
    let listed = String::from_utf8(listed.stdout).unwrap();
    let files: Vec<String> = listed.lines().map(|line| line.replace('\\', "/")).collect();
    assert!(files.iter().any(|name| name == "src/lib.rs") && files.iter().any(|name| name == "README.md"));
    assert!(!files.iter().any(|name| name.starts_with("tests/") && name.ends_with(".rs")), "{files:?}");
    for source in files.iter().filter(|name| name.starts_with("src/") && name.ends_with(".rs")) {
        let text = std::fs::read_to_string(format!("{root}/{source}")).unwrap();
        for named in text.split("include_str!(\"").skip(1).filter_map(|rest| rest.split('"').next()) {
            let mut path: Vec<&str> = source.split('/').collect();
            path.pop();
            for part in named.split('/') {
                if part == ".." {
                    path.pop();
                } else {
                    path.push(part);
                }
            }
            let path = path.join("/");
            assert!(files.contains(&path), "{source} names {path}, which is not packed");
        }
    }
}
