//! The files beside the job: what the page writes into them, and what follows.

use std::fs;
use std::path::Path;

use super::{Served, attribute, serve, starter, text_of};

fn file(job: &Path, name: &str) -> String {
    fs::read_to_string(job.with_file_name(name)).unwrap()
}

fn edit(served: &Served, fields: &[(&str, &str)]) -> String {
    let mark = served.mark();
    let all = [&[("seen", mark.as_str()), ("view", "shop")], fields].concat();
    let (status, page) = served.post("edit", &all);
    assert_eq!(status, 200, "{page}");
    page
}

fn set(served: &Served, at: &str, to: &str) -> String {
    edit(served, &[("what", "set"), ("at", at), ("to", to)])
}

/// What stands in a field of the page.
fn value(page: &str, at: &str) -> String {
    let id = at.replace(['.', ':'], "-");
    attribute(page.split_once(&format!(" id=\"{id}\"")).unwrap_or_else(|| panic!("{at} has no field")).1, "value")
}

fn total(card: &str) -> String {
    super::plain(card.split_once("<h2>").unwrap().1.split_once("</h2>").unwrap().0)
}

#[test]
fn figures_of_shop_boards_and_cloth_are_written_where_they_stand_and_nothing_else() {
    let (_home, path) = starter();
    let served = serve(&path);
    let page = served.get("shop").1;
    for (at, there) in [
        ("shop:margin", "0.18"),
        ("shop:rates.maker", "48.00"),
        ("shop:cutting.rip_kerf", "1/8"),
        ("boards:1.price", "9.85"),
        ("boards:0.width", "7-1/4"),
        ("cloth:0.increment", "4-1/2"),
    ] {
        assert_eq!(value(&page, at), there, "{at}");
    }
    for (at, name, to, old, new) in [
        ("shop:margin", "shop.toml", "0.2", "margin = 0.18     ", "margin = 0.2     "),
        ("shop:rates.maker", "shop.toml", "52.50", "maker = 48.00     ", "maker = 52.50     "),
        ("shop:cutting.rip_kerf", "shop.toml", "3/32", "rip_kerf = \"1/8\"", "rip_kerf = \"3/32\""),
        (
            "shop:operation.11.minutes",
            "shop.toml",
            "0.5",
            "\"planing\", minutes = 0.4, setup = 2, person = \"helper\" },   ",
            "\"planing\", minutes = 0.5, setup = 2, person = \"helper\" },   ",
        ),
        ("boards:1.price", "boards.csv", "10.15", "6,96,,9.85,bf", "6,96,,10.15,bf"),
        ("boards:0.width", "boards.csv", "6-3/4", ",7.25,", ",6.75,"),
        ("boards:0.on_hand", "boards.csv", "2", ",96,3,", ",96,2,"),
        ("boards:0.thickness", "boards.csv", "5/4", "4/4 rough,6.75", "5/4 rough,6.75"),
        ("cloth:0.price", "cloth.csv", "12.40", "11.90", "12.40"),
    ] {
        let before = file(&path, name);
        assert!(before.contains(old), "{old}");
        let page = set(&served, at, to);
        assert_eq!(text_of(&page, "notice"), "", "{at}");
        assert_eq!(file(&path, name), before.replacen(old, new, 1), "{at}");
        assert_eq!(value(&page, at), to, "{at}");
    }
}

#[test]
fn the_price_follows_and_undo_covers_them() {
    let (_home, path) = starter();
    let served = serve(&path);
    let (shop, boards, first) = (file(&path, "shop.toml"), file(&path, "boards.csv"), total(&served.card()));
    set(&served, "shop:rates.maker", "61");
    let dearer = total(&served.card());
    assert_ne!(dearer, first);
    set(&served, "boards:1.price", "1.10");
    assert_ne!(total(&served.card()), dearer);
    served.set("cabinet.0.count", "3");
    for _ in 0..3 {
        served.post("edit", &[("what", "undo"), ("view", "shop")]);
    }
    assert_eq!((file(&path, "shop.toml"), file(&path, "boards.csv"), total(&served.card())), (shop, boards, first));
    served.post("edit", &[("what", "redo")]);
    assert_eq!(total(&served.card()), dearer);
}

#[test]
fn what_cannot_be_is_said_at_its_field_and_not_written() {
    let (_home, path) = starter();
    let served = serve(&path);
    for (at, name, to) in [
        ("shop:margin", "shop.toml", "18"),
        ("shop:cutting.rip_kerf", "shop.toml", "thin"),
        ("shop:cutting.order", "shop.toml", "both"),
        ("boards:1.price", "boards.csv", ""),
        ("boards:1.price", "boards.csv", "dear"),
        ("boards:1.width", "boards.csv", "0"),
        ("boards:1.species", "boards.csv", "oak"),
        ("cloth:0.selvage", "cloth.csv", "40"),
    ] {
        let before = file(&path, name);
        let page = set(&served, at, to);
        assert!(text_of(&page, "notice").starts_with("Not written: "), "{at}: {}", text_of(&page, "notice"));
        assert!(!text_of(&page, &format!("says-{}", at.replace(['.', ':'], "-"))).is_empty(), "{at} = {to}: {page}");
        assert_eq!(file(&path, name), before, "{at}");
    }
    // What is only tried is not written either.
    let before = file(&path, "boards.csv");
    let (status, page) = served.post("try", &[("view", "shop"), ("at", "boards:1.price"), ("to", "x")]);
    assert!(status == 200 && !text_of(&page, "says-boards-1-price").is_empty());
    assert_eq!(file(&path, "boards.csv"), before);
}

#[test]
fn rows_of_boards_come_and_go() {
    let (_home, path) = starter();
    let served = serve(&path);
    let before = file(&path, "boards.csv");
    let page = edit(&served, &[("what", "copy_row"), ("of", "boards"), ("row", "1")]);
    assert_eq!(value(&page, "boards:2.stock"), "cherry 4/4 6in 8ft 2");
    let line = "cherry 4/4 6in 8ft,black cherry,4/4 rough,6,96,,9.85,bf\n";
    let two = format!("{line}{}", line.replacen("8ft", "8ft 2", 1));
    assert_eq!(file(&path, "boards.csv"), before.replace(line, &two));
    edit(&served, &[("what", "remove_row"), ("of", "boards"), ("row", "2")]);
    assert_eq!(file(&path, "boards.csv"), before);
    for (of, row) in [("boards", "99"), ("shop", "0"), ("job", "0"), ("../x", "0"), ("boards", "-1")] {
        for what in ["copy_row", "remove_row"] {
            let page = edit(&served, &[("what", what), ("of", of), ("row", row)]);
            assert!(!text_of(&page, "notice").is_empty(), "{of} {row}");
        }
    }
    assert_eq!(file(&path, "boards.csv"), before);
}

#[test]
fn what_is_wrong_with_the_files_is_said_at_their_fields() {
    let (_home, path) = starter();
    let served = serve(&path);
    let (shop, boards) = (file(&path, "shop.toml"), file(&path, "boards.csv"));
    fs::write(path.with_file_name("boards.csv"), boards.replace("9.85", "9.8.5")).unwrap();
    fs::write(path.with_file_name("shop.toml"), shop.replace("rip_kerf = \"1/8\"", "rip_kerf = \"1/O\"")).unwrap();
    for field in ["says-shop-cutting-rip_kerf", "says-boards-1-price"] {
        served.once("shop", |page| !text_of(page, field).is_empty());
    }
    // The page of the doors says them too, above.
    let doors = super::plain(&served.get("").1);
    assert!(doors.contains("shop.toml, line") && doors.contains("boards.csv, line 3"), "{doors}");
}
