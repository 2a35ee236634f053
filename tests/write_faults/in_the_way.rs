//! Files and links where the plan would go.

use std::fs;

use crate::floor_support::{text, tree};
use crate::write_faults::shops::{JOBS, TwoPlans};

#[test]
fn what_lies_in_the_way_stays_and_nothing_is_written() {
    let two = TwoPlans::new();
    fs::write(two.shop.path("taken"), "mine").unwrap();
    two.shop.refused(&["plan", JOBS[0], "--out", "taken"], "is a file, not a folder");
    two.shop.refused(&["plan", JOBS[0], "--out", "taken/deeper"], "cannot make the folder");
    // A file where the plan needs a folder, a folder where it needs a file.
    two.started("out");
    for (name, is_folder) in [("pages", false), ("templates", false), ("rips.csv", true)] {
        let path = two.shop.path("out").join(name);
        if path.is_dir() {
            fs::remove_dir_all(&path).unwrap()
        } else {
            fs::remove_file(&path).unwrap()
        }
        if is_folder {
            fs::create_dir(&path).unwrap()
        } else {
            fs::write(&path, "mine").unwrap()
        }
        two.shop.refused(&["plan", JOBS[1], "--out", "out"], &format!("did not write ({name})"));
        if is_folder {
            fs::remove_dir(&path).unwrap()
        } else {
            fs::remove_file(&path).unwrap()
        }
        two.shop.ok(&["plan", JOBS[0], "--out", "out"]);
        assert_eq!(two.which(&two.shop.path("out")), 0);
    }
}

#[cfg(unix)]
mod links {
    use std::os::unix::fs::symlink;

    use super::*;

    #[test]
    fn an_out_folder_that_is_a_link_is_written_through() {
        let two = TwoPlans::new();
        fs::create_dir(two.shop.path("real")).unwrap();
        symlink(two.shop.path("real"), two.shop.path("out")).unwrap();
        two.started("out");
        two.shop.ok(&["plan", JOBS[1], "--out", "out"]);
        assert_eq!(two.which(&two.shop.path("real")), 1);
        assert!(fs::symlink_metadata(two.shop.path("out")).unwrap().is_symlink());
        symlink(two.shop.path("nowhere"), two.shop.path("dangling")).unwrap();
        let output = two.shop.run(&["plan", JOBS[1], "--out", "dangling"]);
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains("link to a folder that is not there"), "{}", text(&output.stderr));
        assert!(!two.shop.path("nowhere").exists());
    }

    /// A link inside the folder that leads elsewhere: nothing is written or removed behind it.
    #[test]
    fn a_link_within_the_folder_leads_nobody_out() {
        let two = TwoPlans::new();
        two.started("out");
        let (elsewhere, pages) = (two.shop.path("elsewhere"), two.shop.path("out/pages"));
        fs::rename(&pages, &elsewhere).unwrap();
        symlink(&elsewhere, &pages).unwrap();
        let before = tree(&elsewhere, &|_| false);
        let output = two.shop.run(&["plan", JOBS[1], "--out", "out"]);
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains("did not write (pages)"), "{}", text(&output.stderr));
        assert!(tree(&elsewhere, &|_| false) == before);
        // A file that became a link is ours by name: the link goes, what it led to stays.
        fs::remove_file(&pages).unwrap();
        fs::rename(&elsewhere, &pages).unwrap();
        fs::write(two.shop.path("precious.csv"), "keep").unwrap();
        fs::remove_file(two.shop.path("out/doors.csv")).unwrap();
        symlink(two.shop.path("precious.csv"), two.shop.path("out/doors.csv")).unwrap();
        two.shop.ok(&["plan", JOBS[1], "--out", "out"]);
        assert_eq!(two.which(&two.shop.path("out")), 1);
        assert_eq!(two.shop.read("precious.csv"), "keep");
    }
}
