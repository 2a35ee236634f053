//! Broken files, one fault each, and what is said about them.
//!
//! `tests/bad_jobs/good` is a job that plans; every other folder there holds files that take the place of one
//! of its four, each with one fault. What is said is compared word for word.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use slatwright::files::{Kind, LARGEST_CSV, LARGEST_TOML, Problems, Sources};
use slatwright::job;

const FILES: [(&str, &str); 4] =
    [("job", "job.toml"), ("shop", "shop.toml"), ("boards", "boards.csv"), ("cloth", "cloth.csv")];

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_jobs").join(name)
}

/// The good job with `text` in the place of one file.
fn with(name: &str, text: impl Into<Vec<u8>>) -> Sources {
    let good = FILES.map(|(_, name)| (name, fs::read(folder("good").join(name)).unwrap()));
    let sources = good.into_iter().fold(Sources::in_memory("job.toml", ""), |all, (name, text)| all.with(name, text));
    sources.with(name, text)
}

fn problems(name: &str, text: impl Into<Vec<u8>>) -> Problems {
    job::parse(&with(name, text)).expect_err("a broken file was taken")
}

/// What is said about every file of a folder, in the order of their names.
fn said_about(kind: &str, name: &str) -> (usize, String) {
    let mut paths: Vec<_> = fs::read_dir(folder(kind)).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let mut out = String::new();
    for path in &paths {
        let stem = path.file_stem().unwrap().to_string_lossy().replace('_', " ");
        match job::parse(&with(name, fs::read(path).unwrap())) {
            Ok(_) => writeln!(out, "{stem}\n  TAKEN AS GOOD").unwrap(),
            Err(problems) => {
                writeln!(out, "{stem}\n  {}", problems.to_string().trim_end().replace('\n', "\n  ")).unwrap()
            }
        }
    }
    (paths.len(), out)
}

#[test]
fn the_good_job_is_good() {
    let text = fs::read(folder("good").join("job.toml")).unwrap();
    if let Err(problems) = job::parse(&with("job.toml", text)) {
        panic!("{problems}");
    }
    let job = job::load(&folder("good").join("job.toml")).unwrap();
    assert_eq!(job.cabinets.len(), 2);
}

#[test]
fn every_broken_file_is_refused_with_its_place_and_what_would_be_right() {
    let mut count = 0;
    for (kind, name) in FILES {
        let (files, said) = said_about(kind, name);
        count += files;
        assert!(!said.contains("TAKEN AS GOOD"), "{said}");
        insta::assert_snapshot!(kind, said);
    }
    assert!(count >= 40, "{count}");
}

#[test]
fn all_problems_of_all_files_come_at_once() {
    let read = |name: &str| fs::read_to_string(folder("good").join(name)).unwrap();
    let job = read("job.toml").replace("width = \"5/8\"", "width = \"5//8\"").replace("count = 2", "count = 0");
    let shop = read("shop.toml").replace("rip_kerf", "rip_kurf");
    let boards = read("boards.csv").replace("9.85", "").replace("7.25", "0");
    let cloth = read("cloth.csv").replace("yard", "yards");
    let sources = with("job.toml", job).with("shop.toml", shop).with("boards.csv", boards).with("cloth.csv", cloth);
    let problems = job::parse(&sources).unwrap_err();
    let places: Vec<_> = problems
        .iter()
        .map(|problem| {
            let file = problems.file(problem.place);
            let (line, _) = file.line_column(problem.place.span.unwrap().start);
            format!("{}:{line} {}", file.path().display(), problems.text(problem.place))
        })
        .collect();
    assert_eq!(
        places,
        [
            "job.toml:9 \"5//8\"",
            "job.toml:18 0",
            "shop.toml:6 rip_kurf",
            "boards.csv:2 0",
            "boards.csv:3 ",
            "cloth.csv:2 yards",
        ]
    );
}

#[test]
fn several_syntax_errors_of_one_file_come_at_once() {
    let problems = problems("job.toml", "name = herbarium\nunits = \"in\"\ncount = = 2\n");
    assert!(problems.count() >= 2, "{problems}");
    assert!(problems.iter().all(|problem| problem.kind == Kind::Syntax), "{problems}");
}

#[test]
fn junk_of_ten_megabytes_is_refused_for_its_size_and_unread() {
    let junk = vec![b'['; 10 * 1024 * 1024];
    let problems = problems("job.toml", junk.clone());
    assert!(problems.to_string().contains("larger than 4 MB"), "{problems}");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    fs::write(&path, junk).unwrap();
    let problems = job::load(&path).unwrap_err();
    assert!(problems.to_string().contains("larger than 4 MB"), "{problems}");
}

#[test]
fn junk_within_the_limits_is_refused_soon() {
    for byte in [b'[', b'{', b'"', b'\'', b'.', b'=', b'\n', b'a', b',', b'#', 0, b'-'] {
        for (name, limit) in [("job.toml", LARGEST_TOML / 4), ("boards.csv", LARGEST_CSV / 16)] {
            let junk = vec![byte; usize::try_from(limit).unwrap()];
            let problems = problems(name, junk);
            assert!(problems.count() > 0, "{byte}");
        }
    }
}

#[test]
fn a_table_of_a_thousand_faults_is_cut_short_and_counted() {
    let mut boards = "stock,species,thickness,width,length,on_hand,price,per\n".to_owned();
    for row in 0..1_000 {
        writeln!(boards, "board {row},cherry,4/4,wide,96,,9.85,bf").unwrap();
    }
    let problems = problems("boards.csv", boards);
    assert_eq!((problems.count(), problems.left_out()), (1_000, 800));
    let said = problems.to_string();
    assert_eq!((said.lines().count(), said.lines().last()), (21, Some("and 980 more")));
    let debug = format!("{problems:?}");
    assert!(debug.len() < 4_000 && !debug.contains("board 900,cherry"), "{debug}");
    let too_many = "a,cherry,4/4,6,96,3,,\n".repeat(10_001);
    let text = format!("stock,species,thickness,width,length,on_hand,price,per\n{too_many}");
    assert!(self::problems("boards.csv", text).iter().any(|problem| problem.what == "more than 10000 rows"));
}

#[test]
fn a_folder_or_nothing_in_the_place_of_a_job_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let problems = job::load(folder.path()).unwrap_err();
    assert!(problems.to_string().contains("is a folder, not a file"), "{problems}");
    let problems = job::load(&folder.path().join("job.toml")).unwrap_err();
    assert!(problems.to_string().contains("there is no file"), "{problems}");
    assert_eq!(problems.iter().next().unwrap().kind, Kind::Unreadable);
    let problems = job::load(Path::new("")).unwrap_err();
    assert_eq!(problems.count(), 1);
}

#[test]
fn a_folder_in_the_place_of_a_boards_file_is_a_fault_of_the_line_that_names_it() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("job.toml"), "boards = \".\"\n[[strip]]\n").unwrap();
    let problems = job::load(&folder.path().join("job.toml")).unwrap_err();
    let problem = problems.iter().find(|problem| problem.kind == Kind::Unreadable).unwrap();
    assert_eq!(problems.text(problem.place), "\".\"");
}

mod random {
    use proptest::prelude::*;

    use super::{FILES, folder, job, with};
    use slatwright::cli::diagnostic::render;

    /// Reads and renders; all that is asked is that nothing panics.
    fn survives(name: &str, text: Vec<u8>) {
        if let Err(problems) = job::parse(&with(name, text)) {
            assert!(problems.count() > 0);
            let shown = render(&problems, false);
            assert!(!shown.contains('\u{1b}'), "{shown}");
        }
    }

    fn good(name: &str) -> Vec<u8> {
        std::fs::read(folder("good").join(name)).unwrap()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn random_bytes_are_read_or_refused(which in 0..4usize, bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            survives(FILES[which].1, bytes);
        }

        #[test]
        fn random_text_of_the_alphabet_is_read_or_refused(which in 0..4usize, text in "[a-z_0-9=\"'\\[\\]{},./ \n-]{0,300}") {
            survives(FILES[which].1, text.into_bytes());
        }

        #[test]
        fn a_good_file_with_bytes_changed_is_read_or_refused(
            which in 0..4usize,
            changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        ) {
            let name = FILES[which].1;
            let mut bytes = good(name);
            for (at, byte) in changes {
                let at = at.index(bytes.len());
                bytes[at] = byte;
            }
            survives(name, bytes);
        }

        #[test]
        fn a_good_file_with_lines_moved_or_lost_is_read_or_refused(
            which in 0..4usize,
            order in proptest::collection::vec(any::<prop::sample::Index>(), 0..60),
        ) {
            let name = FILES[which].1;
            let text = String::from_utf8(good(name)).unwrap();
            let lines: Vec<&str> = text.lines().collect();
            let mixed: Vec<&str> = order.iter().map(|at| lines[at.index(lines.len())]).collect();
            survives(name, mixed.join("\n").into_bytes());
        }

        /// Values in the places of others: the cross checks meet figures of every size.
        #[test]
        fn a_good_job_with_figures_swapped_is_read_or_refused(
            which in 0..2usize,
            swaps in proptest::collection::vec((any::<prop::sample::Index>(), "(\"[0-9]{1,3}(/[0-9]{1,2})?( mm| m)?\"|[0-9]{1,6}(\\.[0-9]{1,3})?|true|\"any\"|\"edge\"|\"up\"|\"back\")"), 1..8),
        ) {
            let name = FILES[which].1;
            let text = String::from_utf8(good(name)).unwrap();
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            for (at, value) in swaps {
                let at = at.index(lines.len());
                if let Some((key, _)) = lines[at].split_once(" = ") {
                    lines[at] = format!("{key} = {value}");
                }
            }
            survives(name, lines.join("\n").into_bytes());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        /// Cells of every kind in the places of others: prices and sizes meet at their extremes.
        #[test]
        fn a_good_table_with_cells_swapped_is_read_or_refused(
            which in 2..4usize,
            swaps in proptest::collection::vec(
                (any::<prop::sample::Index>(), "(|0|1|0\\.0001|2000|1000000|100000|bf|m3|lf|each|yard|metre|cherry|oak|[0-9]{1,2}/4|4/4 s2s 0\\.[0-9]|[0-9]{1,4}(\\.[0-9]{1,4})?|-1|\"a\"\"b\")"),
                1..12,
            ),
        ) {
            let name = FILES[which].1;
            let text = String::from_utf8(good(name)).unwrap();
            let mut cells: Vec<Vec<String>> =
                text.lines().map(|line| line.split(',').map(str::to_owned).collect()).collect();
            for (at, value) in swaps {
                let (row, column) = (1 + at.index(cells.len() - 1), at.index(cells[0].len()));
                cells[row][column] = value;
            }
            let rows: Vec<String> = cells.iter().map(|row| row.join(",")).collect();
            survives(name, rows.join("\r\n").into_bytes());
        }
    }
}

/// What never ends, or never begins, is not read at all: a pipe, and files that the kernel makes up.
#[cfg(target_os = "linux")]
#[test]
fn a_pipe_or_a_file_of_the_kernel_in_the_place_of_a_file_is_refused_unread() {
    let home = tempfile::tempdir().unwrap();
    let pipe = home.path().join("pipe");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    let pipe = made.is_ok_and(|status| status.success()).then_some(pipe);
    let kernel = ["/proc/kmsg", "/proc/self/mem", "/sys/kernel/notes"].map(PathBuf::from);
    for path in pipe.into_iter().chain(kernel).filter(|path| path.exists()) {
        let problems = job::load(&path).unwrap_err().to_string();
        assert!(problems.contains("is not an ordinary file"), "{problems}");
        let text = format!("boards = \"{}\"\n[[strip]]\nname = \"a\"\n", path.display());
        fs::write(home.path().join("job.toml"), text).unwrap();
        let problems = job::load(&home.path().join("job.toml")).unwrap_err().to_string();
        assert!(problems.contains("job.toml:1:10") && problems.contains("is not an ordinary file"), "{problems}");
    }
}
