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
