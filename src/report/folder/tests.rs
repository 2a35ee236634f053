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
