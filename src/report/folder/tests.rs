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

/// A helper's note in a list, and one in a list that the next plan has not: both are kept, whatever lies there already.
#[test]
fn a_file_edited_since_it_was_written_is_kept_and_named() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path();
    assert_eq!(write(out, &files(&[("a.csv", "1"), ("b.csv", "1"), ("pages/c", "1")])).unwrap(), [""; 0]);
    fs::write(out.join("a.csv"), "1, short by two").unwrap();
    fs::write(out.join("pages/c"), "knot").unwrap();
    fs::write(out.join("a.csv.bak"), "mine").unwrap();
    let kept = write(out, &files(&[("a.csv", "2"), ("b.csv", "2")])).unwrap();
    assert_eq!(kept, ["pages/c.bak", "a.csv.bak2"]);
    let texts = ["a.csv", "a.csv.bak", "a.csv.bak2", "b.csv", "pages/c.bak"].map(|name| read_text(out, name));
    assert_eq!(texts, ["2", "mine", "1, short by two", "2", "knot"]);
    assert!(!out.join("pages/c").exists());
    // Edited to what the new plan has: nothing to keep.
    fs::write(out.join("b.csv"), "3").unwrap();
    assert_eq!(write(out, &files(&[("a.csv", "2"), ("b.csv", "3")])).unwrap(), [""; 0]);
}

#[test]
fn a_kill_while_files_are_put_in_place_neither_loses_nor_doubles_what_was_edited() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path();
    write(out, &files(&[("a", "1"), ("b", "1")])).unwrap();
    fs::write(out.join("a"), "edited").unwrap();
    stage(out, files(&[("a", "2"), ("b", "2")]).into_iter()).unwrap();
    // Killed behind the first file's rename.
    fs::rename(out.join("a"), out.join("a.bak")).unwrap();
    fs::rename(out.join(STAGE).join("a"), out.join("a")).unwrap();
    recover(out).unwrap();
    assert_eq!(["a", "a.bak", "b"].map(|name| read_text(out, name)), ["2", "edited", "2"]);
    assert_eq!(fs::read_dir(out).unwrap().count(), 5, "three files, the list and the lock");
}

/// From the first file put in place to the last a note lies there that says so.
#[test]
fn a_folder_that_is_half_a_plan_says_so() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path();
    write(out, &files(&[("a", "1"), ("b", "1")])).unwrap();
    assert!(!out.join(NOTE).exists());
    fs::remove_file(out.join("b")).unwrap();
    stage(out, files(&[("a", "2"), ("b/c", "2")]).into_iter()).unwrap();
    // `b/c` cannot become a file while somebody made a folder of it.
    fs::create_dir(out.join("b")).unwrap();
    fs::create_dir(out.join("b/c")).unwrap();
    fs::write(out.join("b/c/mine"), "").unwrap();
    assert!(put_in_place(out).is_err());
    assert!(read_text(out, NOTE).contains("may be of two plans"));
    assert!(read(out).is_err(), "nobody takes it for a plan");
    fs::remove_dir_all(out.join("b")).unwrap();
    read(out).unwrap();
    assert!(!out.join(NOTE).exists());
    assert_eq!((read_text(out, "a"), read_text(out, "b/c")), ("2".into(), "2".into()));
    fs::write(out.join(NOTE), "mine").unwrap();
    assert!(matches!(write(out, &files(&[("a", "3")])), Err(FolderError::Foreign { .. })));
}

#[test]
fn a_claim_keeps_a_second_run_out_before_it_works_and_leaves_no_trace() {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("x/out");
    let first = claim(&out).unwrap();
    assert!(matches!(claim(&out), Err(FolderError::Busy(_))));
    drop(first);
    assert!(!home.path().join("x").exists());
    claim(&out).unwrap().write(files(&[("a", "1")]).into_iter()).unwrap();
    drop(claim(&out).unwrap());
    assert_eq!(read_text(&out, "a"), "1");
}

#[cfg(unix)]
#[test]
fn err_a_pipe_in_the_place_of_the_list() {
    let home = tempfile::tempdir().unwrap();
    let made = std::process::Command::new("mkfifo").arg(home.path().join(LIST)).status();
    if made.is_ok_and(|status| status.success()) {
        assert!(matches!(write(home.path(), &files(&[("a", "1")])), Err(FolderError::System(_))));
    }
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

    stage(home.path(), files(&[("a", "new"), ("b", "new")]).into_iter()).unwrap();
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
    stage(home.path(), files(&[("a", "2"), ("b", "2")]).into_iter()).unwrap();
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
    stage(home.path(), files(&[("a", "2")]).into_iter()).unwrap();
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
