//! What a job earned, recomputed from the costs by hand.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;

use crate::floor_support::{ShopFolder, rows, text};

const JOB: &str = "mine/harbour_archive.toml";

fn cents(text: &str) -> i64 {
    text.replace('.', "").parse().unwrap()
}

/// Quoted, spent and earned by group.
fn earned(shop: &ShopFolder, happened: &str) -> BTreeMap<String, [i64; 3]> {
    shop.write("actuals.csv", happened);
    let table = shop.ok(&["quote", JOB, "--actual", "actuals.csv", "--earned", "--csv"]);
    let figures = |row: &BTreeMap<String, String>| ["quoted", "spent", "earned"].map(|column| cents(&row[column]));
    rows(&table).iter().map(|row| (row["group"].clone(), figures(row))).collect()
}

#[test]
fn spent_money_follows_what_happened() {
    let shop = ShopFolder::new();
    let costs = rows(&shop.ok(&["quote", JOB, "--csv"]));
    let of = |group: &str| costs.iter().filter(|row| row["group"] == group).map(|row| cents(&row["cost"])).sum::<i64>();
    let line = |start: &str| costs.iter().find(|row| row["item"].starts_with(start)).unwrap();
    let (hanging, board) = (line("hanging"), costs.iter().find(|row| row["group"] == "boards").unwrap());
    let rate: f64 = hanging["unit_price"].parse().unwrap();
    let (hours, boards): (f64, f64) = (hanging["quantity"].parse().unwrap(), board["quantity"].parse().unwrap());
    let happened = format!(
        "what,item,actual\nhours,hanging,{}\nboards,{},{}\ncost,consumables,60.00\ncost,a second delivery,85.00\n",
        hours + 2.0,
        board["item"],
        boards + 1.0
    );
    let found = earned(&shop, &happened);
    // Two hours more at the operation's rate; one board more at its price.
    let more = (2.0 * rate * 100.0).round() as i64;
    assert_eq!(found["labour"], [of("labour"), of("labour") + more, -more]);
    let one = (cents(&board["cost"]) as f64 / boards).round() as i64;
    assert_eq!(found["boards"], [of("boards"), of("boards") + one, -one]);
    assert_eq!(found["consumables"], [of("consumables"), 6_000, of("consumables") - 6_000]);
    assert_eq!(found["a second delivery"], [0, 8_500, -8_500]);
    // Nobody is paid the margin; the burden on wages grows with the hours.
    assert_eq!(found["margin"], [of("margin"), 0, of("margin")]);
    let burden = (of("burden") as f64 * more as f64 / of("labour") as f64).round() as i64;
    assert_eq!(found.get("burden").map(|burden| -burden[2]), (of("burden") > 0).then_some(burden));
    let quoted: i64 = found.values().map(|row| row[0]).sum();
    assert_eq!(quoted, costs.iter().map(|row| cents(&row["cost"])).sum::<i64>());
    assert!(found.values().all(|row| row[0] - row[1] == row[2]), "{found:?}");
}

#[test]
fn where_nothing_is_said_all_was_spent_as_quoted() {
    let shop = ShopFolder::new();
    let found = earned(&shop, "what,item,actual\n");
    let gain: Vec<&str> = found.iter().filter(|(_, row)| row[2] != 0).map(|(group, _)| group.as_str()).collect();
    assert_eq!(gain, ["contingency", "margin"]);
    let screen = shop.ok(&["quote", JOB, "--actual", "actuals.csv"]);
    assert!(screen.contains("Earned: USD "), "{screen}");
    // An hour that was not quoted is the maker's.
    let more = earned(&shop, "what,item,actual\nhours,mending a cracked panel,1\n");
    assert_eq!(more["labour"][1] - found["labour"][1], 4_800);
    shop.write("actuals.csv", "what,item,actual\ncost,delivery,1e9\n");
    let output = shop.run(&["quote", JOB, "--actual", "actuals.csv"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("line 2"), "{}", text(&output.stderr));
}

/// A shop with rates and a history file, one small job and another of the same kind.
fn with_history() -> ShopFolder {
    let strip = "[[strip]]\nname = \"rail\"\nspecies = \"cherry\"\nlength = 30\nwidth = \"5/8\"\n\
                 thickness = \"3/8\"\nquantity = 24\nspares = \"none\"\n";
    let shop = ShopFolder::small(strip, "sale,cherry,4/4,6,96,,30.00,each\n");
    let file = shop.read("mine/shop.toml");
    shop.write("mine/shop.toml", &format!("history = \"history.csv\"\n{file}"));
    let job = shop.read(SMALL);
    let name = job.lines().find(|line| line.starts_with("name = ")).unwrap().to_owned();
    shop.write("mine/next.toml", &job.replacen(&name, "name = \"next bench\"", 1));
    shop
}

const SMALL: &str = "mine/job.toml";

fn hours(shop: &ShopFolder, job: &str, operation: &str) -> f64 {
    let costs = rows(&shop.ok(&["quote", job, "--csv"]));
    let line = costs.iter().find(|row| row["item"].starts_with(operation)).unwrap();
    line["quantity"].parse().unwrap()
}

/// One job in which ripping took twice as long: the next is quoted (4 + 2) / 5 = 1.2 times as long, the job itself as
/// before, however often it is recorded.
#[test]
fn the_next_quote_learns_from_what_a_job_took() {
    let shop = with_history();
    let (before, sawn) = (hours(&shop, "mine/next.toml", "ripping"), hours(&shop, SMALL, "ripping"));
    shop.write("actuals.csv", &format!("what,item,actual\nhours,ripping,{}\nhours,sweeping,3\n", sawn * 2.0));
    for _ in 0..2 {
        let said = shop.ok(&["quote", SMALL, "--actual", "actuals.csv", "--record"]);
        assert!(said.contains("Hours of 1 operation are written to"), "{said}");
    }
    let learned = rows(&shop.read("mine/history.csv"));
    assert_eq!(learned.len(), 1, "{learned:?}");
    assert_eq!((learned[0]["kind"].as_str(), learned[0]["operation"].as_str()), ("operation", "ripping"));
    assert!((hours(&shop, "mine/next.toml", "ripping") / before - 1.2).abs() < 1e-3);
    assert!((hours(&shop, SMALL, "ripping") - sawn).abs() < 1e-9, "it was quoted without them");
    let told = shop.ok(&["quote", "mine/next.toml"]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("ripping 1.2 times the shop file's minutes (1 job)"), "{told}");
    // The minutes of the shop file are set by hand to what was learned: the history then agrees with them.
    let file = shop.read("mine/shop.toml");
    let own = "minutes = 0.75\n";
    assert!(file.contains(own));
    shop.write("mine/shop.toml", &file.replace(own, "minutes = 1.5\n"));
    let told = shop.ok(&["quote", "mine/next.toml"]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("ripping 1 times the shop file's minutes (1 job)"), "{told}");
}

#[test]
fn hours_are_recorded_where_there_is_a_history_and_faulty_rows_are_named() {
    let shop = with_history();
    shop.write("actuals.csv", "what,item,actual\nhours,ripping,2\n");
    let file = shop.read("mine/shop.toml");
    shop.write("mine/shop.toml", &file.replace("history = \"history.csv\"\n", ""));
    let none = shop.run(&["quote", SMALL, "--actual", "actuals.csv", "--record"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&none.stderr).contains("names no history file"));
    shop.write("mine/shop.toml", &file);
    let header = "job,species,width,thickness,boards,cut,rejected,hours,kind,operation,quoted\n";
    let wrong = format!("{header}old,,,,,,,2,operation,riping,1\nold,,,,,,,2,operation,ripping,\n");
    shop.write("mine/history.csv", &wrong);
    let said = shop.run(&["quote", SMALL]);
    let said = (said.status.code(), String::from_utf8_lossy(&said.stderr).into_owned());
    assert!(said.0 == Some(2) && said.1.contains("did you mean `ripping`?"), "{}", said.1);
    assert!(said.1.contains("job, operation, quoted and hours have to be filled"), "{}", said.1);
    assert!(said.1.contains("history.csv:2") && said.1.contains("history.csv:3"), "{}", said.1);
}
