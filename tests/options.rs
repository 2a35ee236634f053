//! Options on the client's quote, and alternatives side by side: each is the job as if it had been written so.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::floor_support::{ShopFolder, rows, text};

const JOB: &str = "mine/job.toml";

const DESK: &str = "\n[[cabinet]]\nname = \"desk\"\ninside_width = \"20\"\ninside_depth = \"15-1/2\"\n\
                    inside_height = \"24\"\ndoors = \"left\"\nsetback = \"3/4\"\ncorner_radius = \"3\"\n\
                    groove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";

/// The small press and a desk, written by `change`, with this behind it.
fn job(shop: &ShopFolder, change: impl Fn(String) -> String, behind: &str) {
    let base = shop.read("mine/small_press.toml") + DESK;
    shop.write(JOB, &(change(base) + behind));
}

fn to_pay(shop: &ShopFolder) -> i64 {
    let quote = shop.ok(&["quote", JOB, "--client", "--csv"]);
    let total = rows(&quote).into_iter().find(|row| row["section"] == "total").unwrap();
    cents(&total["amount"])
}

fn cents(text: &str) -> i64 {
    text.replace('.', "").parse().unwrap()
}

type Rewrite = fn(String) -> String;

#[test]
fn an_option_costs_what_the_job_written_so_costs() {
    let shop = ShopFolder::new();
    let ways: [(&str, String, Rewrite); 5] = [
        ("wide", "width = \"3/4\"\n".to_owned(), |job| job.replace("\nwidth = \"5/8\"", "\nwidth = \"3/4\"")),
        ("press alone", "drop = [\"desk\"]\n".to_owned(), |job| job.replace(DESK, "")),
        ("round", "corner_radius = \"3-1/2\"\n".to_owned(), |job| {
            job.replace("corner_radius = \"3\"", "corner_radius = \"3-1/2\"")
        }),
        ("broad desk", "[[option.cabinet]]\nname = \"desk\"\ninside_width = \"26\"\n".to_owned(), |job| {
            job.replace("inside_width = \"20\"", "inside_width = \"26\"")
        }),
        ("second desk", DESK.replace("[[cabinet]]", "[[option.cabinet]]").replace("\"desk\"", "\"low desk\""), |job| {
            job + &DESK.replace("\"desk\"", "\"low desk\"")
        }),
    ];
    job(&shop, |job| job, "");
    let base = to_pay(&shop);
    let mut with = Vec::new();
    for (name, _, rewrite) in &ways {
        job(&shop, rewrite, "");
        with.push((*name, to_pay(&shop) - base));
    }
    assert!(with.iter().all(|(_, difference)| *difference != 0), "{with:?}");
    let options: String =
        ways.iter().map(|(name, keys, _)| format!("\n[[option]]\nname = \"{name}\"\n{keys}")).collect();
    job(&shop, |job| job, &options);
    let quote = shop.ok(&["quote", JOB, "--client", "--csv"]);
    let offered: Vec<(String, i64)> = rows(&quote)
        .into_iter()
        .filter(|row| row["section"] == "option")
        .map(|row| (row["name"].clone(), cents(&row["amount"])))
        .collect();
    assert_eq!(offered, with.iter().map(|(name, cents)| ((*name).to_owned(), *cents)).collect::<Vec<_>>());
    // The price itself is that of the job without them.
    assert_eq!(to_pay(&shop), base);

    let compared: String = options.replace("option", "alternative");
    job(&shop, |job| job, &compared);
    let table = rows(&shop.ok(&["compare", JOB, "--csv"]));
    let ways: Vec<(&str, i64)> =
        table[1..].iter().map(|row| (row["way"].as_str(), cents(&row["to_pay"]) - base)).collect();
    assert_eq!(ways, with);
    assert_eq!(table[1]["changes"], "width 3/4");
    assert_eq!(table[2]["changes"], "without desk");
    assert_eq!(table[4]["changes"], "desk: inside width 26");
    assert_eq!(table[5]["changes"], "with low desk");
}

#[test]
fn the_client_reads_of_options_that_can_be_built() {
    let shop = ShopFolder::new();
    let options = "\n[[option]]\nname = \"press alone\"\ndrop = [\"desk\"]\n\n[[option]]\nname = \"sharp turn\"\n\
                   corner_radius = \"3/4\"\n";
    job(&shop, |job| job, options);
    let client = shop.ok(&["quote", JOB, "--client"]);
    assert!(client.contains("- press alone (without desk): ") && client.contains(" less"), "{client}");
    assert!(!client.contains("sharp turn"), "{client}");
    // What is the maker's own is not on it.
    assert!(!client.contains("slats of") && !client.contains("lead slat"), "{client}");
    let maker = shop.ok(&["quote", JOB]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(maker.contains("The option `sharp turn` cannot be built, and the client does not read of it"), "{maker}");
    shop.ok(&["plan", JOB, "--out", "out"]);
    let page = shop.read("out/pages/quote-client.html");
    assert!(page.contains("press alone") && !page.contains("sharp turn"), "{page}");
    // What an option asks for is part of what the plan was made of.
    let kept = ["quote", JOB, "--plan", "out", "--client"];
    assert_eq!(shop.ok(&kept), client);
}

#[test]
fn a_change_that_means_nothing_is_refused() {
    let shop = ShopFolder::new();
    for (keys, said) in [
        ("name = \"a\"\ndrop = [\"dsek\"]\n", "did you mean `desk`?"),
        ("drop = [\"desk\"]\n", "`name` is missing in [[option]]"),
        ("name = \"a\"\n[[option.cabinet]]\ninside_width = \"26\"\n", "`name` is missing in [[option.cabinet]]"),
        ("name = \"a\"\nspecies = \"ironwod\"\n", "ironwod"),
        (
            "name = \"a\"\n[[option.cabinet]]\nname = \"attic\"\ninside_width = \"26\"\n",
            "`doors` is missing in [[option.cabinet]]",
        ),
        ("name = \"a\"\n\n[[option]]\nname = \"a\"\n", "a second option is named `a`"),
        ("name = \"a\"\ninside_wdth = \"26\"\n", "did you mean `inside_width`?"),
        ("name = \"a\"\nboards = \"none.csv\"\n", "there is no file `mine/none.csv`"),
    ] {
        job(&shop, |job| job, &format!("\n[[option]]\n{keys}"));
        let output = shop.run(&["check", JOB]);
        assert_eq!(output.status.code(), Some(2), "{keys}");
        assert!(text(&output.stderr).contains(said), "{keys}: {}", text(&output.stderr));
    }
}
