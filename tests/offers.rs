//! Quotes that stand: frozen whole, never changed, numbered once, with their boards held for them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::fs;
use std::process::{Child, Command, Stdio};

use rust_decimal::Decimal;

use crate::floor_support::{ShopFolder, Tree, rows, text, tree};

const RAIL: &str = "[[strip]]\nname = \"rail\"\nspecies = \"cherry\"\nlength = 30\nwidth = \"5/8\"\n\
                    thickness = \"3/8\"\nquantity = 4\nspares = \"none\"\n";
const FREEZE: [&str; 5] = ["quote", "mine/job.toml", "--freeze", "--date", "2026-03-02"];

/// Four rails out of a rack board, in a shop that numbers its quotes from 41.
fn shop() -> ShopFolder {
    let shop = ShopFolder::small(RAIL, "mine,cherry,4/4,6,96,2,,\nsale,cherry,4/4,6,96,,30.00,each\n");
    let card = "\n[shop]\nname = \"Bench and Groove\"\naddress = [\"12 Mill Lane\", \"Anytown\"]\n\
                contact = \"555 0100\"\ntax_number = \"12-345\"\nnext_quote = 41   # counted up by slatwright\n";
    shop.write("mine/shop.toml", &(shop.read("mine/shop.toml") + card));
    shop
}

fn quotes(shop: &ShopFolder) -> Tree {
    tree(&shop.path("mine/quotes"), &|name| name.to_string_lossy().ends_with("lock"))
}

#[test]
fn a_frozen_quote_is_printed_byte_for_byte_whatever_changes_later() {
    let shop = shop();
    let said = shop.ok(&FREEZE);
    assert!(said.contains("Quote 41, revision 1, 2026-03-02, valid until 2026-04-01"), "{said}");
    assert!(said.contains("Held on the rack: 1 board of mine."), "{said}");
    let frozen = quotes(&shop);
    let prints = [vec![], vec!["--client"], vec!["--csv"], vec!["--csv", "--client"]];
    let print = |shop: &ShopFolder| -> Vec<String> {
        let ask = |more: &Vec<&str>| shop.ok(&[&["quote", "mine/job.toml", "--revision", "1"][..], more].concat());
        prints.iter().map(ask).collect()
    };
    let before = print(&shop);
    for line in ["Bench and Groove", "12 Mill Lane", "tax number 12-345", "Quote 41, revision 1", "4 x rail"] {
        assert!(before[1].contains(line), "{line}: {}", before[1]);
    }
    assert!(before[0].contains("Quote 41") && before[2].starts_with("group,item"), "{}", before[2]);
    // Other prices, an empty rack, another shop, and then a job that no longer reads.
    shop.write(
        "mine/boards.csv",
        "stock,species,thickness,width,length,on_hand,price,per\ns,cherry,4/4,6,96,,99.00,each\n",
    );
    shop.write("mine/shop.toml", "overhead = 0.5\n");
    assert_eq!(print(&shop), before);
    shop.write("mine/job.toml", "nonsense");
    assert_eq!(print(&shop), before);
    assert!(quotes(&shop) == frozen, "the folder changed");
}

#[test]
fn numbers_come_from_the_shop_and_revisions_from_the_job() {
    let shop = shop();
    let shop_file = shop.read("mine/shop.toml");
    let another = shop.read("mine/job.toml").replace("\"bench\"", "\"table\"");
    shop.write("mine/table.toml", &another);
    shop.ok(&FREEZE);
    shop.ok(&["quote", "mine/table.toml", "--freeze", "--date", "2026-03-02"]);
    let said = shop.ok(&["quote", "mine/job.toml", "--freeze", "--date", "2026-03-02"]);
    assert!(said.contains("Quote 41, revision 2"), "{said}");
    let folders: Vec<String> = fs::read_dir(shop.path("mine/quotes"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| !name.starts_with('.'))
        .collect();
    let mut folders = folders;
    folders.sort();
    assert_eq!(folders, ["41-r1", "41-r2", "42-r1"]);
    assert_eq!(shop.read("mine/shop.toml"), shop_file.replace("next_quote = 41", "next_quote = 43"));
    // The files as they were lie in it, and make the same plan again.
    assert_eq!(shop.read("mine/quotes/41-r1/files/shop.toml"), shop_file);
    shop.ok(&["plan", "mine/quotes/41-r1/files/job.toml", "--out", "again"]);
    for name in ["costs.csv", "rips.csv", "summary.csv"] {
        assert_eq!(shop.read(&format!("again/{name}")), shop.read(&format!("mine/quotes/41-r1/plan/{name}")), "{name}");
    }
    // A shop that counts none: from 1.
    let plain = ShopFolder::small(RAIL, "sale,cherry,4/4,6,96,,30.00,each\n");
    assert!(plain.ok(&FREEZE).contains("Quote 1, revision 1"));
}

#[test]
fn what_cannot_be_frozen_or_found_is_said_and_nothing_is_written() {
    let shop = shop();
    let before = tree(shop.home.path(), &|_| false);
    let good = shop.read("mine/job.toml");
    shop.write("mine/job.toml", &good.replace("length = 30", "length = 130"));
    let output = shop.run(&FREEZE);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    shop.write("mine/job.toml", &good);
    assert!(before == tree(shop.home.path(), &|_| false), "a job that cannot be built left something");
    shop.refused(&["quote", "mine/job.toml", "--revision", "1"], "no frozen quote");
    shop.refused(&["quote", "mine/job.toml", "--accepted"], "no frozen quote");
    shop.ok(&FREEZE);
    shop.refused(&["quote", "mine/job.toml", "--revision", "7"], "there is no revision 7");
    shop.refused(&["quote", "mine/job.toml", "--since", "2"], "there is no revision 2");
    shop.refused(&["quote", "mine/job.toml", "--freeze", "--date", "2026-03-01"], "2026-03-01 is before 2026-03-02");
    shop.refused(&["quote", "mine/job.toml", "--accepted", "--date", "2026-02-28"], "is before 2026-03-02");
    shop.refused(&["quote", "mine/job.toml", "--freeze", "--date", "2026-02-30"], "2026-02-30");
    shop.refused(&["quote", "mine/job.toml", "--deposit", "0", "--date", "2026-03-03"], "above 0");
    shop.refused(&["quote", "mine/job.toml", "--deposit", "900000", "--date", "2026-03-03"], "more than the total");
}

#[test]
fn an_edited_revision_is_said_and_nothing_is_written() {
    let dear = |text: String| text.replacen("total = ", "total = 1", 1);
    let longer = |text: String| text + " ";
    type Edit<'a> = (&'a str, &'a dyn Fn(String) -> String);
    let edits: [Edit; 4] =
        [("quote.toml", &dear), ("client.txt", &longer), ("plan/costs.csv", &longer), ("files/boards.csv", &longer)];
    for (name, edit) in edits {
        let shop = shop();
        shop.ok(&FREEZE);
        let path = format!("mine/quotes/41-r1/{name}");
        shop.write(&path, &edit(shop.read(&path)));
        for ask in [
            &["--revision", "1"][..],
            &["--since", "1"],
            &["--freeze", "--date", "2026-03-09"],
            &["--accepted", "--date", "2026-03-09"],
        ] {
            shop.refused(&[&["quote", "mine/job.toml"][..], ask].concat(), name);
        }
        let listed = shop.run(&["quote", "mine/job.toml", "--list", "--date", "2026-03-09"]);
        assert_eq!(listed.status.code(), Some(2));
        assert!(text(&listed.stderr).contains(name) && text(&listed.stdout).contains("41-r1"));
    }
    let shop = shop();
    shop.ok(&FREEZE);
    fs::remove_file(shop.path("mine/quotes/41-r1/quote.txt")).unwrap();
    shop.refused(&["quote", "mine/job.toml", "--revision", "1"], "quote.txt");
}

/// Six rails instead of four and a shelf more: by item, to the cent, and the same from the CSV files alone.
#[test]
fn a_change_order_tells_what_was_added_dropped_and_changed() {
    let shop = ShopFolder::new();
    let job = shop.read("mine/small_press.toml");
    let lines = "\n[[line]]\nname = \"delivery\"\ngroup = \"services\"\nprice = 60.00\nquantity = 1\n\
                 \n[[line]]\nname = \"test blank\"\nprice = 11.00\nquantity = 1\nclient = \"in the price\"\n";
    shop.write("mine/small_press.toml", &(job.clone() + lines));
    let ask = |more: &[&'static str]| [&["quote", "mine/small_press.toml"][..], more].concat();
    shop.ok(&ask(&["--freeze", "--date", "2026-03-02"]));
    assert!(shop.ok(&ask(&["--since", "1"])).contains("Nothing changed"));
    let pulls = "\n[[line]]\nname = \"pulls\"\ngroup = \"hardware\"\nprice = 12.50\nquantity = 2\nunit = \"pair\"\n";
    shop.write("mine/small_press.toml", &(job.replace("inside_height = \"24\"", "inside_height = \"26\"") + pulls));
    let order = rows(&shop.ok(&ask(&["--since", "1", "--csv"])));
    let row = |change: &str, name: &str| {
        order.iter().find(|row| row["change"] == change && row["name"] == name).unwrap_or_else(|| panic!("{order:?}"))
    };
    assert!(row("changed", "press")["was"].contains("x 24 in") && row("changed", "press")["is"].contains("x 26 in"));
    assert_eq!(row("dropped", "delivery")["after"], "0.00");
    assert_eq!(row("added", "pulls")["is"], "pulls (2 pairs)");
    assert!(order.iter().all(|row| row["name"] != "test blank"), "the client is told of what is in the price");
    let figure = |row: &BTreeMap<String, String>, column: &str| -> Decimal { row[column].parse().unwrap() };
    let total = row("total", "");
    let lines = order.iter().filter(|row| ["added", "dropped", "changed", "price"].contains(&row["change"].as_str()));
    assert_eq!(lines.map(|row| figure(row, "difference")).sum::<Decimal>(), figure(total, "difference"));
    // Totals and hours are those of the two plans' own files.
    shop.ok(&["plan", "mine/small_press.toml", "--out", "now"]);
    let sum = |file: &str, column: &str, group: Option<&str>| -> Decimal {
        let all = rows(&shop.read(file));
        let wanted = all.iter().filter(|row| group.is_none_or(|group| row["group"] == group));
        wanted.map(|row| figure(row, column)).sum()
    };
    let (then, now) = ("mine/quotes/1-r1/plan", "now");
    assert_eq!(figure(total, "before"), sum(&format!("{then}/costs.csv"), "cost", None));
    assert_eq!(figure(total, "after"), sum(&format!("{now}/costs.csv"), "cost", None));
    for (at, column) in [(then, "before"), (now, "after")] {
        let quote = rows(&shop.read(&format!("{at}/quote.csv")));
        let named = order.iter().filter(|row| ["cabinet", "line"].contains(&row["what"].as_str()));
        for row in named.clone() {
            let same = |of: &&BTreeMap<String, String>| of["section"] == row["what"] && of["name"] == row["name"];
            let amount = quote.iter().find(same).map_or(Decimal::ZERO, |of| figure(of, "amount"));
            assert_eq!(figure(row, column), amount, "{at}: {row:?}");
        }
        assert_eq!(named.count(), 3);
        let hours = figure(row("maker hours", ""), column) + figure(row("helper hours", ""), column);
        assert_eq!(hours, sum(&format!("{at}/costs.csv"), "quantity", Some("labour")), "{column}");
    }
    assert!(figure(row("maker hours", ""), "difference") > Decimal::ZERO);
}

/// What the client reads by name sums to the price; what is in the price is shared out, not lost.
#[test]
fn prices_by_item_add_up_and_name_nothing_of_the_makers_own() {
    let shop = ShopFolder::new();
    let job = shop.read("mine/small_press.toml");
    let more = "\n[[cabinet]]\nname = \"chest\"\ncount = 3\ninside_width = \"26\"\ninside_depth = \"16\"\n\
                inside_height = \"20\"\ndoors = \"left\"\nsetback = \"3/4\"\ncorner_radius = \"3\"\n\
                groove_width = \"1/4\"\ngroove_depth = \"5/16\"\n\
                \n[[cloth_piece]]\nname = \"trial panel\"\nalong = 20\nacross = 14\nquantity = 1\nclient = \"in the price\"\n";
    shop.write("mine/small_press.toml", &(job + more));
    let quote = rows(&shop.ok(&["quote", "mine/small_press.toml", "--client", "--csv"]));
    let amount = |row: &BTreeMap<String, String>| -> Decimal { row["amount"].parse().unwrap() };
    let items: Vec<_> = quote.iter().filter(|row| row["section"] == "cabinet").collect();
    assert_eq!(items.len(), 2);
    let first = quote.iter().find(|row| row["section"] == "price").unwrap();
    assert_eq!(items.iter().map(|row| amount(row)).sum::<Decimal>(), amount(first));
    assert!(quote.iter().all(|row| !row["text"].contains("trial panel")));
    let screen = shop.ok(&["quote", "mine/small_press.toml", "--client"]);
    assert!(screen.contains("3 x chest") && !screen.contains("trial panel"), "{screen}");
}

#[test]
fn boards_of_a_frozen_quote_are_held_for_its_job() {
    let shop = shop();
    let other = shop.read("mine/job.toml").replace("\"bench\"", "\"table\"").replace("quantity = 4", "quantity = 30");
    shop.write("mine/table.toml", &other);
    let uses = |shop: &ShopFolder| {
        shop.ok(&["plan", "mine/table.toml", "--out", "table"]);
        let rows = rows(&shop.read("table/boards.csv"));
        rows.iter().find(|row| row["stock"] == "mine").map_or(0, |row| row["boards"].parse::<u32>().unwrap())
    };
    assert_eq!(uses(&shop), 2);
    shop.ok(&FREEZE);
    let rack = shop.read("mine/boards.csv");
    assert!(rack.starts_with("stock,species,thickness,width,length,on_hand,price,per,held_for\n"), "{rack}");
    assert!(rack.contains("mine,cherry,4/4,6,96,2,,,1 x bench\n"), "{rack}");
    assert_eq!(uses(&shop), 1);
    let said = shop.ok(&["buy", "mine/table.toml"]);
    assert!(said.contains("Held for `bench`, not planned here: 1 board mine."), "{said}");
    // Its own job still has them, and a new revision holds what it takes, not more.
    shop.ok(&["quote", "mine/job.toml", "--freeze", "--date", "2026-03-04"]);
    assert_eq!(shop.read("mine/boards.csv"), rack);
    shop.ok(&["quote", "mine/job.toml", "--declined", "--date", "2026-03-05"]);
    assert!(shop.read("mine/boards.csv").contains("mine,cherry,4/4,6,96,2,,,\n"), "{}", shop.read("mine/boards.csv"));
    assert_eq!(uses(&shop), 2);
}

/// Sawn boards are off the rack, and the hold with them.
#[test]
fn a_cut_uses_its_own_hold_up() {
    let shop = shop();
    shop.ok(&FREEZE);
    shop.ok(&["plan", "mine/job.toml", "--out", "out"]);
    shop.ok(&["rack", "mine/job.toml", "--plan", "out", "--rack", "mine/boards.csv", "--update"]);
    let rack = rows(&shop.read("mine/boards.csv"));
    let row = rack.iter().find(|row| row["stock"] == "mine").unwrap();
    assert_eq!((row["on_hand"].as_str(), row["held_for"].as_str()), ("1", ""));
}

#[test]
fn what_becomes_of_an_offer_is_recorded_and_listed() {
    let shop = shop();
    shop.ok(&FREEZE);
    let frozen = quotes(&shop);
    let ask = |more: &[&'static str]| [&["quote", "mine/job.toml"][..], more].concat();
    let listed = |shop: &ShopFolder, day: &'static str| rows(&shop.ok(&ask(&["--list", "--csv", "--date", day])));
    let one = |shop: &ShopFolder, day| {
        let row = listed(shop, day).remove(0);
        (row["state"].clone(), row["age_days"].clone(), row["received"].clone())
    };
    assert_eq!(one(&shop, "2026-04-01"), ("open".into(), "30".into(), "0.00".into()));
    assert_eq!(one(&shop, "2026-04-02").0, "expired");
    let screen = shop.ok(&ask(&["--list", "--date", "2026-03-20"]));
    assert!(screen.contains("41-r1") && screen.contains("Open: USD") && screen.contains(" 18 "), "{screen}");
    let said = shop.ok(&ask(&["--deposit", "10.00", "--date", "2026-03-08"]));
    assert!(said.contains("deposit of USD 10.00 on 2026-03-08"), "{said}");
    shop.ok(&ask(&["--accepted", "--date", "2026-03-09"]));
    shop.ok(&ask(&["--payment", "2.50", "--date", "2026-03-30"]));
    assert_eq!(one(&shop, "2026-05-01"), ("accepted".into(), "60".into(), "12.50".into()));
    shop.refused(&ask(&["--accepted", "--date", "2026-03-10"]), "accepted on 2026-03-09 already");
    let screen = shop.ok(&ask(&["--list", "--date", "2026-03-20"]));
    assert!(screen.contains("accepted on 2026-03-09") && screen.contains("12.50 received"), "{screen}");
    // Nothing else in the folder changed, and nothing above the seal's end.
    let mut now = quotes(&shop);
    let (old, new) = ("41-r1/quote.toml".into(), now.remove(&std::path::PathBuf::from("41-r1/quote.toml")).unwrap());
    let record: &Vec<u8> = frozen.get::<std::path::PathBuf>(&old).unwrap();
    assert!(new.starts_with(record) && new.len() > record.len());
    let mut before = frozen.clone();
    before.remove(&old);
    assert!(before == now);
    // A new revision replaces an open one; a declined one is decided.
    shop.ok(&ask(&["--freeze", "--date", "2026-04-02"]));
    shop.ok(&ask(&["--declined", "--date", "2026-04-03"]));
    shop.refused(&ask(&["--payment", "1", "--date", "2026-04-04"]), "was declined on 2026-04-03");
    let states: Vec<String> = listed(&shop, "2026-04-04").into_iter().map(|row| row["state"].clone()).collect();
    assert_eq!(states, ["accepted", "declined"]);
}

fn spawn(shop: &ShopFolder, job: &str) -> Child {
    Command::new(env!("CARGO_BIN_EXE_slatwright"))
        .current_dir(shop.home.path())
        .args(["quote", job, "--freeze", "--date", "2026-03-02"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Different jobs that want the same boards of the rack, at once: a number each, and no board twice.
#[test]
fn quotes_frozen_at_once_have_a_number_each_and_no_board_twice() {
    let shop = shop();
    let job = shop.read("mine/job.toml");
    let names = ["mine/job.toml", "mine/b.toml", "mine/c.toml", "mine/d.toml"];
    for (at, name) in names.iter().enumerate().skip(1) {
        shop.write(name, &job.replace("\"bench\"", &format!("\"job {at}\"")));
    }
    for round in 0..4 {
        let children: Vec<Child> = names.iter().map(|name| spawn(&shop, name)).collect();
        for mut child in children {
            assert_eq!(child.wait().unwrap().code(), Some(0), "round {round}");
        }
        let listed = rows(&shop.ok(&["quote", names[0], "--list", "--csv", "--date", "2026-03-02"]));
        assert_eq!(listed.len(), 4 * (round + 1));
        let mut numbers: Vec<_> = listed.iter().map(|row| (&row["job"], &row["number"])).collect();
        numbers.sort();
        numbers.dedup();
        assert_eq!(numbers.len(), 4, "one number a job: {numbers:?}");
        let mut folders: Vec<_> = listed.iter().map(|row| &row["folder"]).collect();
        folders.dedup();
        assert_eq!(folders.len(), 4 * (round + 1));
    }
    let rack = rows(&shop.read("mine/boards.csv"));
    let held = &rack.iter().find(|row| row["stock"] == "mine").unwrap()["held_for"];
    let boards: u32 = held.split("; ").map(|hold| hold.split(" x ").next().unwrap().parse::<u32>().unwrap()).sum();
    assert_eq!(boards, 2, "{held}");
}
