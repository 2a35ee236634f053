//! The command as a user meets it: exit statuses, what is printed where, what is written.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};

use crate::common::{all_cases, program};

const REAL: &str = "jobs/harbour_archive.toml";
const SMALL: &str = "jobs/small_press.toml";

fn slatwright(arguments: &[&str]) -> std::process::Output {
    program().current_dir(env!("CARGO_MANIFEST_DIR")).args(arguments).output().unwrap()
}

fn out(output: &std::process::Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &std::process::Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn planned(job: &str) -> (tempfile::TempDir, PathBuf) {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("out");
    let output = slatwright(&["plan", job, "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    (home, folder)
}

fn rows(folder: &Path, name: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(folder.join(name)).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

/// Every file is there and begins with these columns, in this order.
#[test]
fn every_file_of_a_plan_is_there_with_its_columns() {
    let columns = [
        (
            "doors.csv",
            "door,cabinet,count,slats,slat_width,lead_width,slat_length,tongue,door_length,cloth_along_slat,cloth_along_travel",
        ),
        ("fit.csv", "door,check,item,needed,available,margin,unit,ok"),
        ("slats.csv", "part,species,length,width,thickness,needed,spares,total,doors"),
        ("boards.csv", "stock,species,thickness,width,length,source,boards,board_feet,price,per,cost"),
        (
            "rips.csv",
            "board,stock,order,blank,blank_length,milling,planed_thickness,leaves,part,rip_width,rips,pieces_per_rip,strips,strip_length",
        ),
        ("bundles.csv", "board,part,door,strips"),
        ("cloth_pieces.csv", "bolt,piece,door,x,y,along,across,turned"),
        ("cloth_bolts.csv", "bolt,width,used_length,bought_length,unit,price,cost"),
        ("buy.csv", "what,item,at_least_width,at_least_length,quantity,unit,price,cost"),
        ("costs.csv", "group,item,quantity,unit,unit_price,cost"),
        ("summary.csv", "figure,value,unit"),
    ];
    let (_home, folder) = planned(REAL);
    for (name, expected) in columns {
        let text = fs::read_to_string(folder.join(name)).unwrap();
        let header = text.lines().next().unwrap();
        assert!(header == expected || header.starts_with(&format!("{expected},")), "{name}: {header}");
        assert!(text.lines().count() > 1, "{name} has rows");
    }
}

#[test]
fn the_summary_has_every_figure_and_the_costs_sum_to_its_total() {
    let (_home, folder) = planned(REAL);
    let summary = rows(&folder, "summary.csv");
    let value = |figure: &str| {
        summary.iter().find(|row| row["figure"] == figure).unwrap_or_else(|| panic!("{figure} is there"))["value"]
            .clone()
    };
    for figure in ["board_feet", "cloth_length", "fabric_yards", "bought_yards", "strips_needed", "strips_surplus"] {
        assert!(value(figure).parse::<f64>().unwrap() >= 0.0, "{figure}");
    }
    let cents = |text: &str| (text.parse::<f64>().unwrap() * 100.0).round() as i64;
    let total: i64 = rows(&folder, "costs.csv").iter().map(|row| cents(&row["cost"])).sum();
    assert_eq!(total, cents(&value("total_cost")));
    assert!(cents(&value("board_cost_bound")) <= cents(&value("board_cost")));
    let proven = |figure: &str, cost: &str| (value(figure) == "yes", value(&format!("{cost}_bound")) == value(cost));
    assert_eq!(proven("boards_proven_least", "board_cost"), (true, true));
    assert_eq!(proven("cloth_proven_least", "cloth_cost"), (true, true));
    let names: Vec<&str> = summary.iter().map(|row| row["figure"].as_str()).collect();
    assert!(!names.iter().any(|name| name.contains("optimal")), "{names:?}");
    assert_eq!(value("cut_short"), "no");
}

#[test]
fn bundles_take_every_strip_of_the_rip_list_once() {
    let (_home, folder) = planned(REAL);
    let sums = |name: &str| {
        let mut sums: std::collections::BTreeMap<(String, String), u64> = std::collections::BTreeMap::new();
        for row in rows(&folder, name) {
            *sums.entry((row["board"].clone(), row["part"].clone())).or_default() +=
                row["strips"].parse::<u64>().unwrap();
        }
        sums
    };
    assert_eq!(sums("bundles.csv"), sums("rips.csv"));
    let doors = rows(&folder, "doors.csv");
    let pairs: std::collections::BTreeSet<(String, String)> = rows(&folder, "bundles.csv")
        .into_iter()
        .filter(|row| doors.iter().any(|door| door["door"] == row["door"]))
        .map(|row| (row["bundle"].clone(), row["board"].clone()))
        .collect();
    let summary = rows(&folder, "summary.csv");
    let figure =
        |name: &str| summary.iter().find(|row| row["figure"] == name).unwrap()["value"].parse::<usize>().unwrap();
    assert_eq!(pairs.len(), figure("door_boards"));
    assert!(figure("door_boards_bound") <= figure("door_boards") && figure("door_boards_bound") >= 10);
}

#[test]
fn a_job_without_boards_has_bundles_with_the_header_alone() {
    let home = tempfile::tempdir().unwrap();
    let job = "name = \"cloth\"\nunits = \"in\"\ncloth = \"cloth.csv\"\n[[cloth_piece]]\nname = \"panel\"\nalong = 20\nacross = 14\nquantity = 2\n";
    fs::write(home.path().join("job.toml"), job).unwrap();
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment\nduck,60,0.5,,11.50,yard,4.5\n";
    fs::write(home.path().join("cloth.csv"), cloth).unwrap();
    let (job, out) = (home.path().join("job.toml"), home.path().join("out"));
    let output = slatwright(&["plan", job.to_str().unwrap(), "--out", out.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert_eq!(fs::read_to_string(out.join("bundles.csv")).unwrap(), "board,part,door,strips,copy,bundle\n");
    let worth = slatwright(&["buy", job.to_str().unwrap(), "--worth"]);
    assert_eq!(worth.status.code(), Some(0), "{}", err(&worth));
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let (_one, first) = planned(REAL);
    let (_two, second) = planned(REAL);
    let mut names: Vec<_> = fs::read_dir(&first).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert!(names.len() >= 10);
    for name in names {
        let path = first.join(&name);
        if path.is_file() {
            assert_eq!(fs::read(&path).unwrap(), fs::read(second.join(&name)).unwrap(), "{name:?}");
        }
    }
}

#[test]
fn each_command_prints_a_table_of_at_most_80_columns_and_a_csv() {
    for (command, header) in [
        ("check", "door,check,item"),
        ("quote", "group,item,quantity"),
        ("buy", "what,item,at_least_width"),
        ("buy --worth", "what,item,species"),
        ("rip", "board,stock,order"),
        ("cloth", "bolt,piece,door"),
    ] {
        // The demo takes a while, and what each of its boards is worth a long while: the rows of a small job do.
        let rows_of = if all_cases() && command != "buy --worth" { REAL } else { SMALL };
        let shown = if all_cases() || command != "buy --worth" { REAL } else { SMALL };
        let words = |job, more: &[&'static str]| [command.split(' ').collect(), vec![job], more.to_vec()].concat();
        let screen = slatwright(&words(shown, &[]));
        assert_eq!(screen.status.code(), Some(0), "{command}: {}", err(&screen));
        for line in out(&screen).lines() {
            assert!(line.chars().count() <= 80, "{command}: {line}");
        }
        let csv = slatwright(&words(rows_of, &["--csv"]));
        assert_eq!(csv.status.code(), Some(0), "{command}");
        assert!(out(&csv).starts_with(header), "{command}: {}", out(&csv));
        assert!(err(&csv).is_empty(), "{command}");
        let json = slatwright(&words(rows_of, &["--json"]));
        assert_eq!(json.status.code(), Some(0), "{command}");
        same_rows(&out(&csv), &out(&json));
    }
}

/// The JSON of a table has the columns of its CSV in their order, and says in each row the same.
fn same_rows(csv: &str, json: &str) {
    let rows: serde_json::Value = serde_json::from_str(json).unwrap();
    let rows = rows.as_array().unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let columns = reader.headers().unwrap().clone();
    let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), records.len());
    let mut figures = 0;
    for (row, record) in rows.iter().zip(&records) {
        let object = row.as_object().unwrap();
        assert_eq!(object.len(), columns.len());
        for (column, cell) in columns.iter().zip(record) {
            match &object[column] {
                serde_json::Value::Null => assert_eq!(cell, ""),
                serde_json::Value::Bool(yes) => assert_eq!(cell, if *yes { "yes" } else { "no" }),
                serde_json::Value::Number(figure) => {
                    figures += 1;
                    assert_eq!(figure.as_f64(), cell.parse().ok(), "{column}: {cell}");
                }
                value => assert_eq!(value.as_str(), Some(cell.strip_prefix('\'').unwrap_or(cell))),
            }
        }
    }
    assert!(figures > rows.len(), "figures are numbers");
    // Serde's map sorts its keys: the order is read off the text.
    let order: Vec<&str> =
        json.lines().skip(2).take(columns.len()).filter_map(|line| line.trim().split('"').nth(1)).collect();
    assert_eq!(order, columns.iter().collect::<Vec<_>>());
}

#[test]
fn the_manual_page_tells_of_every_command() {
    let page = out(&slatwright(&["completions", "man"]));
    assert!(page.starts_with(".ie \\n(.g .ds Aq") || page.contains(".TH slatwright 1"), "{page}");
    for command in ["NEW", "CHECK", "QUOTE", "ESTIMATE", "BUY", "RIP", "CLOTH", "PLAN", "YARD", "COUNT", "RACK"] {
        assert!(page.contains(&format!("\n.SH {command}\n")), "{command}");
    }
    assert!(page.contains("\\-\\-csv\\-comma"), "its options");
}

#[test]
fn plan_prints_within_80_columns_with_the_cautions() {
    let home = tempfile::tempdir().unwrap();
    let output = slatwright(&["plan", SMALL, "--out", home.path().join("o").to_str().unwrap()]);
    let text = out(&output);
    assert!(text.contains("riving knife") && text.contains("machine manuals"), "{text}");
    assert!(out(&slatwright(&["rip", SMALL])).contains("machine manuals"));
    let long = text.lines().filter(|line| !line.starts_with("Written to")).find(|line| line.chars().count() > 80);
    assert_eq!(long, None);
}

#[test]
fn the_starter_job_plans_without_edits() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("mine");
    let output = slatwright(&["new", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let (job, plan) = (folder.join("job.toml"), folder.join("out"));
    let output = slatwright(&["plan", job.to_str().unwrap(), "--out", plan.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(rows(&plan, "rips.csv").len() > 1);

    let again = slatwright(&["new", folder.to_str().unwrap()]);
    assert_eq!(again.status.code(), Some(2));
    assert!(err(&again).contains("is there already"), "{}", err(&again));
}

#[test]
fn err_arguments_and_paths_end_with_status_2_and_write_nothing() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("file");
    fs::write(&file, "x").unwrap();
    let folder = home.path().to_str().unwrap();
    for (arguments, said) in [
        (vec!["plan", REAL], "--out"),
        (vec!["plan", REAL, "--csv", "--out", folder], "--csv"),
        (vec!["plan", REAL, "--out", file.to_str().unwrap()], "is a file"),
        (vec!["plan", folder, "--out", "never"], "folder"),
        (vec!["check", "jobs/nowhere.toml"], "nowhere.toml"),
        (vec!["quote", SMALL, "--seconds", "0"], "seconds"),
        (vec!["rippp", SMALL], "rip"),
        (vec!["canvas", SMALL], "the command `canvas` is now `cloth`"),
    ] {
        let output = slatwright(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", err(&output));
        assert!(err(&output).contains(said), "{arguments:?}: {}", err(&output));
        assert!(out(&output).is_empty(), "{arguments:?}");
    }
    assert!(!Path::new(env!("CARGO_MANIFEST_DIR")).join("never").exists());
    assert_eq!(fs::read_to_string(&file).unwrap(), "x");
}

/// A copy of the small job with one change, and its files beside it.
fn changed(change: impl Fn(&str) -> String, boards: impl Fn(&str) -> String) -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    let read = |name: &str| fs::read_to_string(jobs.join(name)).unwrap();
    fs::write(home.path().join("job.toml"), change(&read("small_press.toml"))).unwrap();
    fs::write(home.path().join("small_boards.csv"), boards(&read("small_boards.csv"))).unwrap();
    for name in ["shop.toml", "cloth.csv"] {
        fs::write(home.path().join(name), read(name)).unwrap();
    }
    home
}

#[test]
fn err_a_door_that_cannot_turn_ends_with_status_1_and_the_number_that_would_do() {
    let home = changed(|job| job.replace("corner_radius = \"3\"", "corner_radius = \"1/2\""), str::to_owned);
    let job = home.path().join("job.toml");
    let plan = slatwright(&["plan", job.to_str().unwrap(), "--out", home.path().join("out").to_str().unwrap()]);
    assert_eq!(plan.status.code(), Some(1), "{}", err(&plan));
    assert!(err(&plan).contains("press left") && err(&plan).contains("radius"), "{}", err(&plan));
    assert!(!home.path().join("out").exists());
    let check = slatwright(&["check", job.to_str().unwrap(), "--csv"]);
    assert_eq!(check.status.code(), Some(1));
    assert!(out(&check).contains(",no,"), "{}", out(&check));
}

#[test]
fn err_boards_too_short_end_with_status_1_and_say_what_is_missing() {
    let home = changed(str::to_owned, |boards| boards.replace(",96,", ",20,").replace(",120,", ",20,"));
    let job = home.path().join("job.toml");
    let output = slatwright(&["rip", job.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    assert!(err(&output).contains("no board yields"), "{}", err(&output));
    assert!(out(&output).is_empty());
}

#[test]
fn a_foreign_file_in_the_plan_folder_is_never_overwritten() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("costs.csv"), "mine").unwrap();
    let output = slatwright(&["plan", SMALL, "--out", home.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("costs.csv"), "{}", err(&output));
    assert_eq!(fs::read_to_string(home.path().join("costs.csv")).unwrap(), "mine");
    assert_eq!(fs::read_dir(home.path()).unwrap().count(), 1, "nothing else appeared");
}

#[test]
fn a_plan_cut_short_is_still_a_plan() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("out");
    let output = slatwright(&["plan", REAL, "--seconds", "0.001", "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(rows(&folder, "rips.csv").len() > 1);
}

/// Cents of a figure with two places, a sign in front or not.
fn signed(text: &str) -> i64 {
    text.replace('.', "").parse().unwrap()
}

#[test]
fn the_clients_quote_shows_no_cost_and_no_margin_and_its_payments_sum() {
    let full = out(&slatwright(&["quote", REAL]));
    assert!(full.contains("margin") && full.contains("overhead"), "{full}");
    let page = out(&slatwright(&["quote", REAL, "--client"]));
    for word in ["margin", "overhead", "contingency", "boards", "48.00", "ripping"] {
        assert!(!page.contains(word), "{word}: {page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    let table = out(&slatwright(&["quote", REAL, "--client", "--csv"]));
    let rows: Vec<csv::StringRecord> =
        csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap).collect();
    let of = |section: &str| rows.iter().filter(|row| &row[0] == section).map(|row| signed(&row[2])).sum::<i64>();
    assert_eq!(rows.iter().filter(|row| &row[0] == "payment").count(), 3);
    assert_eq!((of("price"), of("payment")), (of("total"), of("total")));
}

#[test]
fn what_happened_is_set_against_what_was_quoted() {
    let table = out(&slatwright(&["quote", REAL, "--actual", "jobs/harbour_actuals.csv", "--csv"]));
    let row = |start: &str| table.lines().find(|line| line.starts_with(start)).unwrap_or_else(|| panic!("{table}"));
    // Ten doors of 30 min: 5 h were quoted, 9 h it took, four fifths more.
    assert_eq!(row("hours,hanging"), "hours,hanging,5,9,4,80");
    assert_eq!(row("hours,mending"), "hours,mending a cracked panel,0,1.5,1.5,");
    assert!(row("hours,sorting").ends_with(",,,"), "{table}");
    // 1.5 yd against 1.125 bought by the plan, a third more again.
    assert_eq!(row("yards,duck 10 oz 60in"), "yards,duck 10 oz 60in,1.125,1.5,0.375,33.3");
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("actuals.csv");
    for (text, said) in [
        ("what,item\n", "what,item,actual"),
        ("what,item,actual\nhours,ripping,two\n", "line 2"),
        ("what,item,actual\nhours,ripping,2\nmiles,ripping,2\n", "line 3"),
    ] {
        fs::write(&path, text).unwrap();
        let output = slatwright(&["quote", SMALL, "--actual", path.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(2), "{text}");
        assert!(err(&output).contains(said), "{}", err(&output));
    }
}

#[test]
fn alternatives_stand_side_by_side_and_say_when_a_door_does_not_fit() {
    let home = tempfile::tempdir().unwrap();
    for name in ["shop.toml", "small_boards.csv", "cloth.csv"] {
        fs::copy(format!("jobs/{name}"), home.path().join(name)).unwrap();
    }
    let job = home.path().join("job.toml");
    let ways = "[spares]\nreject_rate = 0.12\nconfidence = 0.95\n\n[[alternative]]\nname = \"fewer rejects\"\nreject_rate = 0.04\n\n\
                [[alternative]]\nname = \"tight corners\"\ncorner_radius = \"1-1/4\"\n";
    fs::write(&job, fs::read_to_string(SMALL).unwrap() + ways).unwrap();
    let table = out(&slatwright(&["compare", job.to_str().unwrap(), "--csv"]));
    let rows: Vec<csv::StringRecord> =
        csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap).collect();
    let row = |name: &str| rows.iter().find(|row| &row[0] == name).unwrap_or_else(|| panic!("{table}"));
    let (base, rejects, tight) = (row("as it stands"), row("fewer rejects"), row("tight corners"));
    assert!(signed(&rejects[1]) < signed(&base[1]) && rejects[6].parse::<i64>().unwrap() < base[6].parse().unwrap());
    assert!(tight[1].is_empty() && tight[8].contains("door"), "{table}");
    let alone = slatwright(&["compare", SMALL]);
    assert_eq!(alone.status.code(), Some(2));
    assert!(err(&alone).contains("[[alternative]]"), "{}", err(&alone));
}

#[test]
fn an_estimate_brackets_the_quote_in_a_moment() {
    let started = std::time::Instant::now();
    let text = out(&slatwright(&["estimate", REAL]));
    assert!(started.elapsed().as_secs() < 5, "an estimate is quick even in a debug build");
    let amount = |word: &str| {
        let line = text.lines().find(|line| line.starts_with(word)).unwrap_or_else(|| panic!("{text}"));
        signed(&line.split_whitespace().nth(1).unwrap().replace(',', ""))
    };
    assert!(amount("low") < amount("expected") && amount("expected") < amount("high"), "{text}");
    let rough = out(&slatwright(&["estimate", REAL, "--inside", "30 x 16 x 34", "--count", "2"]));
    assert!(rough.contains("2 x rough"), "{rough}");
    for (sizes, said) in [("30 x 16", "width x depth x height"), ("30 x 0 x 34", "cannot be 0"), ("a x 1 x 1", "a")] {
        let output = slatwright(&["estimate", REAL, "--inside", sizes]);
        assert_eq!(output.status.code(), Some(2), "{sizes}");
        assert!(err(&output).contains(said), "{}", err(&output));
    }
}

/// The same sum by another program in another language, from the CSV files alone and the names of
/// the lines that are not taxed.
#[test]
fn a_script_of_another_kind_comes_to_the_same_cent() {
    let python = |arguments: &[&str]| std::process::Command::new("python3").args(arguments).output();
    if python(&["--version"]).is_err() {
        eprintln!("python3 is not there: the quote was not recomputed");
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("out");
    let plan = folder.to_str().unwrap();
    assert_eq!(slatwright(&["plan", REAL, "--out", plan]).status.code(), Some(0));
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/recompute_quote.py");
    let recomputed = || python(&[script, plan, "delivery and setting in place"]).unwrap();
    let output = recomputed();
    assert!(output.status.success(), "{}{}", out(&output), err(&output));
    let total = rows(&folder, "summary.csv").into_iter().find(|row| row["figure"] == "total_cost").unwrap();
    assert_eq!(out(&output).trim(), format!("total {}", total["value"]));
    // The script must see one rip too few.
    let hours = fs::read_to_string(folder.join("hours.csv")).unwrap();
    let line = hours.lines().find(|line| line.starts_with("ripping,")).unwrap();
    let quantity = line.split(',').nth(5).unwrap();
    let fewer = line.replace(&format!(",{quantity},"), ",1,");
    fs::write(folder.join("hours.csv"), hours.replace(line, &fewer)).unwrap();
    assert_eq!(recomputed().status.code(), Some(1));
}

/// Decimals with commas for spreadsheets that write them so: the same table otherwise, and a boards file so written reads
/// back the same.
#[test]
fn a_table_with_decimal_commas_is_the_same_table() {
    let shop = crate::floor_support::ShopFolder::new();
    let job = "mine/small_press.toml";
    for command in ["check", "quote", "buy", "rip", "cloth"] {
        let plain = shop.ok(&[command, job, "--csv"]);
        let commas = shop.ok(&[command, job, "--csv", "--csv-comma", "decimal"]);
        let read = |text: &str, delimiter: u8| -> Vec<csv::StringRecord> {
            let mut reader =
                csv::ReaderBuilder::new().has_headers(false).delimiter(delimiter).from_reader(text.as_bytes());
            reader.records().map(Result::unwrap).collect()
        };
        let (plain, commas) = (read(&plain, b','), read(&commas, b';'));
        assert_eq!(plain.len(), commas.len(), "{command}");
        let mut decimals = 0;
        for (a, b) in plain.iter().flatten().zip(commas.iter().flatten()) {
            if a != b {
                assert_eq!(a.replace('.', ","), b, "{command}");
                assert!(a.parse::<f64>().is_ok() || a.contains('/'), "{command}: {a}");
                decimals += 1;
            }
        }
        assert!(decimals > 3, "{command}");
    }
    shop.write(
        "picked.csv",
        "stock,species,thickness,width,length,on_hand,price,per\nin hand,cherry,4/4,7.25,96,1,9.5,bf\n",
    );
    let taken = shop.ok(&["yard", job, "--pile", "picked.csv", "--csv", "--csv-comma", "decimal"]);
    assert!(taken.contains(";7,25;96;"), "{taken}");
    shop.write("taken.csv", &taken);
    shop.write("plain.csv", &shop.ok(&["yard", job, "--pile", "picked.csv", "--csv"]));
    let buy = |file: &str| shop.ok(&["buy", job, "--picked", file]);
    assert_eq!(buy("taken.csv"), buy("plain.csv"));
    for wrong in [&["check", job, "--csv-comma", "decimal"][..], &["check", job, "--csv", "--csv-comma", "point"]] {
        assert_eq!(shop.run(wrong).status.code(), Some(2), "{wrong:?}");
    }
}
