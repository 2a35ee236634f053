//! What the page writes, and what it leaves alone.

use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use super::{attribute, serve, starter, text_of};
use crate::common::dice::Dice;
use crate::common::{all_cases, some_of};

/// A job as somebody writes it who has a style of his own.
const BY_HAND: &str = "#  my press,   third try\n\nunits='in'   # inches!\nname   =\"hall\"\nboards = 'boards.csv'\ncloth= \
                       \"cloth.csv\"\n\n\n[[cabinet]]      # the one by the door\ncorner_radius = \"3\"\t# not less\n  \
                       inside_depth=\"15-1/2\"\nname = 'press'\ninside_width = \"36\" #wide\nsetback=\"3/4\"\n\
                       # height last\ninside_height = 28\ndoors = \"pair\"\ngroove_depth = '5/16'\ngroove_width = \
                       '1/4'\n\n[slats]\n\twidth = \"5/8\"\nspecies = \"cherry\"; thickness\n";

fn by_hand() -> String {
    BY_HAND.replace(
        "species = \"cherry\"; thickness\n",
        "species = \"cherry\"\nthickness = \"3/8\"\nlead_width=\"1-1/8\"  # with the pull\nrabbet_depth=\"7/32\"\n\
         rabbet_length=\"3/8\"\n# end of it\n",
    )
}

#[test]
fn a_job_written_by_hand_keeps_its_ways_after_many_edits() {
    let (_home, path) = starter();
    fs::write(&path, by_hand()).unwrap();
    let served = serve(&path);
    let mut dice = Dice::new(10_024);
    let sizes = [
        ("cabinet.0.inside_width", "inside_width = ", 36),
        ("cabinet.0.inside_height", "inside_height = ", 28),
        ("cabinet.0.setback", "setback=", 1),
        ("slats.lead_width", "lead_width=", 1),
    ];
    let mut expected = by_hand();
    for _ in 0..some_of(50) {
        let (at, key, base) = sizes[dice.below(4) as usize];
        let to = format!("{}-{}/16", base, 1 + dice.below(15));
        let page = served.set(at, &to);
        assert_eq!(text_of(&page, "notice"), "");
        let old = expected.lines().find(|line| line.contains(key)).unwrap().to_owned();
        let value = old.split_once(key).unwrap().1;
        let written = value.split(' ').next().unwrap();
        let new = old.replacen(&format!("{key}{written}"), &format!("{key}\"{to}\""), 1);
        expected = expected.replace(&old, &new);
        assert_eq!(fs::read_to_string(&path).unwrap(), expected);
    }
    // All the way back, byte by byte.
    for _ in 0..some_of(50) {
        served.post("edit", &[("what", "undo")]);
    }
    assert_eq!(fs::read_to_string(&path).unwrap(), by_hand());
    served.post("edit", &[("what", "redo")]);
    assert_ne!(fs::read_to_string(&path).unwrap(), by_hand());
}

#[test]
fn what_is_tried_is_drawn_and_not_written() {
    let (_home, path) = starter();
    let before = fs::read(&path).unwrap();
    let served = serve(&path);
    let (status, page) = served.post("try", &[("at", "cabinet.0.inside_width"), ("to", "40-1/2")]);
    assert_eq!(status, 200);
    assert!(page.contains("40-1/2 in</text>"), "the drawing has the new size");
    let (_, page) = served.post("try", &[("at", "cabinet.0.inside_width"), ("to", "40-")]);
    assert!(text_of(&page, "says-cabinet-0-inside_width").contains("40-"), "{page}");
    assert!(page.contains("36 in</text>"), "the last sound drawing stays");
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn a_value_that_makes_the_job_wrong_stays_in_its_field_and_out_of_the_file() {
    let (_home, path) = starter();
    let before = fs::read(&path).unwrap();
    let served = serve(&path);
    for (at, to) in [("cabinet.0.inside_width", "wide"), ("slats.species", "oak"), ("cabinet.0.count", "0")] {
        let page = served.set(at, to);
        assert!(text_of(&page, "notice").starts_with("Not written: "), "{at}: {}", text_of(&page, "notice"));
        let id = at.replace('.', "-");
        assert!(!text_of(&page, &format!("says-{id}")).is_empty(), "{at}");
        let field = page.split_once(&format!(" id=\"{id}\"")).unwrap().1;
        assert_eq!(attribute(field, "value"), to);
        assert_eq!(fs::read(&path).unwrap(), before);
    }
}

#[test]
fn a_change_made_elsewhere_is_shown_and_neither_is_lost() {
    let (_home, path) = starter();
    let served = serve(&path);
    let old = served.mark();
    let text = fs::read_to_string(&path).unwrap();
    let theirs = text.replace("inside_width = \"36\"", "inside_width = \"38\"");
    fs::write(&path, &theirs).unwrap();
    // The page that was drawn before does not write over it.
    let fields = [("what", "set"), ("seen", old.as_str()), ("at", "cabinet.0.inside_depth"), ("to", "17")];
    let (_, page) = served.post("edit", &fields);
    assert!(text_of(&page, "notice").contains("What you typed is still in its field"), "{}", text_of(&page, "notice"));
    assert_eq!(attribute(page.split_once(" id=\"cabinet-0-inside_depth\"").unwrap().1, "value"), "17");
    assert!(page.contains("38 in</text>"));
    assert_eq!(fs::read_to_string(&path).unwrap(), theirs);
    // Asked for again, it is written beside the other.
    served.set("cabinet.0.inside_depth", "17");
    let both = fs::read_to_string(&path).unwrap();
    assert!(both.contains("\"38\"") && both.contains("inside_depth = \"17\""));
    served.post("edit", &[("what", "undo")]);
    served.post("edit", &[("what", "undo")]);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

/// A page that waits for news hears of a change though another one was the first to see it.
#[test]
fn a_change_made_elsewhere_is_told_whoever_sees_it_first() {
    let (_home, path) = starter();
    let served = serve(&path);
    let mut told = 0;
    for round in 0..6 {
        let mut news = TcpStream::connect(&served.host).unwrap();
        news.set_read_timeout(Some(Duration::from_secs(4))).unwrap();
        let head = format!("GET /{}/news HTTP/1.1\r\nHost: {}\r\n\r\n", served.token, served.host);
        news.write_all(head.as_bytes()).unwrap();
        let text = fs::read_to_string(&path).unwrap();
        fs::write(&path, format!("{text}# round {round}\n")).unwrap();
        served.get("yard");
        let (mut heard, mut some) = (String::new(), [0; 512]);
        while let Ok(read @ 1..) = news.read(&mut some) {
            heard += &String::from_utf8_lossy(&some[..read]);
            if heard.contains("event: changed") {
                told += 1;
                break;
            }
        }
    }
    assert_eq!(told, 6);
}

#[test]
fn a_job_with_problems_shows_all_of_them_at_their_fields_and_the_last_drawing() {
    let (_home, path) = starter();
    let served = serve(&path);
    let text = fs::read_to_string(&path).unwrap();
    let wrong = text.replace("inside_width = \"36\"", "inside_width = \"3O\"").replace("count = 2\n", "count = 0\n");
    fs::write(&path, wrong.replace("corner_radius = \"3\"", "corner_radios = \"3\"")).unwrap();
    let wide = |page: &str| text_of(page, "says-cabinet-0-inside_width").contains("unknown unit `O`");
    let page = served.once("parts", wide);
    assert!(!text_of(&page, "says-cabinet-0-count").is_empty());
    assert!(page.contains("corner_radios"), "what has no field is said above");
    assert!(page.contains("36 in</text>") && page.contains("Drawn as the job was before"));
    // A page may still mend it.
    let page = served.set("cabinet.0.count", "2");
    assert!(text_of(&page, "says-cabinet-0-count").is_empty());
}

#[test]
fn cabinets_come_are_copied_and_go() {
    let (home, path) = starter();
    let text = fs::read_to_string(&path).unwrap();
    fs::write(home.path().join("other.toml"), text.replace("\"press\"", "\"tall one\"")).unwrap();
    let served = serve(&path);
    let names = |page: &str| -> Vec<String> {
        let list = page.split_once("class=\"list\"").unwrap().1.split_once("</p>").unwrap().0;
        list.split("<a ").skip(1).map(|a| super::plain(a.split_once('>').unwrap().1).trim().to_owned()).collect()
    };
    let mut seen = Vec::new();
    for (what, more) in [("copy", ("cabinet", "0")), ("add", ("x", "")), ("bring", ("file", "other.toml"))] {
        let mark = served.mark();
        let fields = [("what", what), ("seen", mark.as_str()), more, ("from", "0")];
        seen = names(&served.post("edit", &fields).1);
    }
    assert_eq!(seen, ["2 x press", "2 x press 2", "2 x press 3", "2 x tall one"]);
    let mark = served.mark();
    let (_, page) = served.post("edit", &[("what", "remove"), ("seen", &mark), ("cabinet", "1")]);
    assert_eq!(names(&page), ["2 x press", "2 x press 3", "2 x tall one"]);
    for file in ["../other.toml", "/etc/passwd", "nothere.toml", "boards.csv", "..", ""] {
        let mark = served.mark();
        let (_, page) = served.post("edit", &[("what", "bring"), ("seen", &mark), ("file", file), ("from", "0")]);
        assert_eq!(text_of(&page, "notice"), "That cannot be done here.", "{file}");
    }
}

#[test]
fn a_step_goes_to_the_next_mark_of_the_rule() {
    let (_home, path) = starter();
    let served = serve(&path);
    for (at, from, by, to) in [
        ("cabinet.0.inside_width", "36", "up", "36-1/16"),
        ("cabinet.0.inside_width", "36-1/32", "up", "36-1/16"),
        ("cabinet.0.inside_width", "36-1/32", "down", "36"),
        ("cabinet.0.count", "2", "down", "1"),
    ] {
        let mark = served.mark();
        let fields = [("what", "step"), ("seen", mark.as_str()), ("at", at), ("to", from), ("by", by)];
        let (_, page) = served.post("edit", &fields);
        let field = page.split_once(&format!(" id=\"{}\"", at.replace('.', "-"))).unwrap().1;
        assert_eq!(attribute(field, "value"), to, "{from} {by}");
    }
}

#[test]
fn every_cure_of_a_door_that_fails_makes_it_fit() {
    let wrong = [("cabinet.0.corner_radius", "1-1/4"), ("cabinet.0.inside_depth", "7")];
    for (at, to) in &wrong[usize::from(!all_cases())..] {
        let (_home, path) = starter();
        let served = serve(&path);
        let page = served.set(at, to);
        assert!(page.contains("does not fit") || page.contains("do not fit"), "{at}");
        assert!(page.contains("class=\"slat binds\"") || page.contains("class=\"slat lead binds\""));
        let wrong = fs::read_to_string(&path).unwrap();
        let cures = page.matches("data-what=\"cure\"").count();
        assert!(cures > 0, "{at}: no cure is offered");
        for number in 0..if all_cases() { cures } else { 1 } {
            let (mark, fix) = (served.mark(), number.to_string());
            let fields = [("what", "cure"), ("seen", mark.as_str()), ("door", "0"), ("fix", fix.as_str())];
            let (_, page) = served.post("edit", &fields);
            assert!(!page.contains("do not fit"), "{at} {number}: {}", fs::read_to_string(&path).unwrap());
            served.post("edit", &[("what", "undo")]);
            assert_eq!(fs::read_to_string(&path).unwrap(), wrong);
        }
    }
}
