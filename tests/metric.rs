//! A job in millimetres is one in millimetres on every screen and every printed sheet; only the names of CSV columns are
//! the same in every job.

use std::fs;
use std::io::Write;
use std::process::Stdio;

use crate::common::program;
use crate::floor_support::{ShopFolder, rows, text, tree};

/// Words of the inch trade, a figure and its unit, or a fraction, with what stands around it; none in a metric text.
fn imperial(said: &str) -> Vec<String> {
    let lower = said.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| c.is_whitespace() || "(),;:|".contains(c)).collect();
    let figure = |word: &str| {
        word.ends_with(|c: char| c.is_ascii_digit()) && word.chars().all(|c| c.is_ascii_digit() || "./-".contains(c))
    };
    let fraction = |word: &str| {
        let (above, below) = word.trim_end_matches('.').rsplit_once('/')?;
        let digits = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
        let whole = above.split('-').all(digits);
        Some(digits(below) && whole)
    };
    let mut found = Vec::new();
    for (at, word) in words.iter().enumerate() {
        let plain = word.trim_matches(['.', '"', '\'', '>', '<']);
        let trade =
            ["bf", "foot", "feet", "inch", "inches", "yard", "yards", "ounce", "ounces", "oz", "lbf", "ft", "quart"];
        let unit = ["in", "\"", "yd"].contains(word) && at > 0 && figure(words[at - 1]);
        let near =
            [at.checked_sub(1), Some(at + 1)].map(|at| at.and_then(|at| words.get(at)).copied().unwrap_or_default());
        // A place and a way of speaking, no measures.
        if ["lumber", "the"].contains(&near[0]) || near[1] == "allowance" || near[1] == "all" {
            continue;
        }
        if trade.contains(&plain) || unit || fraction(plain) == Some(true) {
            found.push(words[at.saturating_sub(4)..(at + 4).min(words.len())].join(" "));
        }
    }
    found
}

/// The words of a page, without its marks and the drawings' figures.
fn words_of(page: &str) -> String {
    let mut out = String::new();
    let (mut mark, mut skip) = (false, false);
    for part in page.split_inclusive(['<', '>']) {
        if mark {
            let name = part.trim_end_matches('>').to_lowercase();
            match name.split_whitespace().next().unwrap_or_default() {
                "style" | "script" => skip = true,
                "/style" | "/script" => skip = false,
                _ => {}
            }
        } else if !skip {
            out.push_str(part.trim_end_matches('<'));
        }
        mark = part.ends_with('<') || mark && !part.ends_with('>');
        out.push(' ');
    }
    out
}

#[test]
fn no_screen_and_no_sheet_of_a_metric_job_speaks_of_inches() {
    let shop = ShopFolder::empty();
    shop.ok(&["new", "press", "--units", "mm"]);
    let job = shop.read("press/job.toml");
    assert!(job.contains("units = \"mm\"") && job.contains("name = \"press\""), "{job}");
    let job = "press/job.toml";
    let mut said: Vec<(String, String)> = Vec::new();
    for command in ["check", "quote", "buy", "rip", "cloth", "estimate", "compare"] {
        said.push((command.to_owned(), shop.ok(&[command, job])));
    }
    said.push(("quote --client".to_owned(), shop.ok(&["quote", job, "--client"])));
    said.push(("buy --worth".to_owned(), shop.ok(&["buy", job, "--worth"])));
    said.push(("plan".to_owned(), shop.ok(&["plan", job, "--out", "out"])));
    for entry in fs::read_dir(shop.path("out/pages")).unwrap() {
        let path = entry.unwrap().path();
        let page = fs::read_to_string(&path).unwrap();
        said.push((path.display().to_string(), words_of(&page)));
    }
    let table = |name: &str| name.ends_with(".csv") && !name.ends_with("summary.csv");
    for (path, bytes) in tree(&shop.path("out"), &|_| false) {
        let name = path.display().to_string();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        if table(&name) {
            // The names of columns are the same in every job.
            said.push((name, text.lines().skip(1).collect::<Vec<_>>().join("\n")));
        } else if !name.ends_with(".csv") {
            said.push((name, words_of(&text)));
        }
    }
    assert!(said.len() > 40, "{}", said.len());
    none_imperial(&said);
    // The same search finds them where they belong.
    shop.ok(&["new", "inches"]);
    assert!(imperial(&shop.ok(&["check", "inches/job.toml"])).len() > 5);
    assert!(imperial(&shop.ok(&["plan", "inches/job.toml", "--out", "out2"])).len() > 1);
}

#[track_caller]
fn none_imperial(said: &[(String, String)]) {
    let found: Vec<String> = said
        .iter()
        .flat_map(|(name, text)| imperial(text).into_iter().map(move |words| format!("{name}: {words}")))
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

const METRIC_BOARDS: &str = "rack cherry 2400,cherry,27 rough,185,2400,3,,,,,\n\
    cherry 27,cherry,27 rough,160,2400,,3900,m3,yes,,\n\
    cherry 27 wide,cherry,27 rough,200,3000,,4150,m3,yes,180,260\n\
    cherry 52,cherry,52 rough,150,2400,,92,each,,,\n";

/// Boards in random widths, a rack at its price, cloth to wash: bought at the yard, counted at the saw, brought back to the
/// rack, quoted and frozen.
#[test]
fn from_the_yard_to_the_rack_a_metric_job_stays_metric() {
    let shop = ShopFolder::empty();
    shop.ok(&["new", "press", "--units", "mm"]);
    let job = "press/job.toml";
    let shop_file = shop.read("press/shop.toml").replace("# yard_allowance = 0.1 ", "yard_allowance = 0.1 ");
    shop.write("press/shop.toml", &shop_file);
    let header = "stock,species,thickness,width,length,on_hand,price,per";
    shop.write("press/boards.csv", &format!("{header},random,min_width,max_width\n{METRIC_BOARDS}"));
    shop.write("picked.csv", &format!("{header}\nin hand,cherry,27 rough,190,2400,,55,each\n"));
    shop.write("pile.csv", &format!("{header}\npile a,cherry,27 rough,190,2400,2,55,each\n"));
    shop.ok(&["plan", job, "--out", "out"]);
    shop.write("cut.csv", &shop.filled(&[job, "--plan", "out"], |_, _, yields| yields.min(4)));
    let mut said: Vec<(String, String)> = Vec::new();
    let asked: [&[&str]; 18] = [
        &["check", job, "--all"],
        &["quote", job],
        &["quote", job, "--client"],
        &["buy", job],
        &["buy", job, "--worth"],
        &["rip", job],
        &["cloth", job],
        &["estimate", job],
        &["estimate", job, "--inside", "900 x 400 x 700"],
        &["compare", job],
        &["yard", job, "--picked", "picked.csv"],
        &["yard", job, "--pile", "pile.csv", "--finish", "taken.csv"],
        &["plan", job, "--picked", "taken.csv", "--out", "picked"],
        &["count", job, "--plan", "out"],
        &["count", job, "--plan", "out", "--cut", "cut.csv", "--out", "second"],
        &["rack", job, "--plan", "out", "--rack", "press/boards.csv"],
        &["quote", job, "--freeze", "--date", "2026-03-01"],
        &["quote", job, "--since", "1"],
    ];
    for arguments in asked {
        said.push((arguments.join(" "), shop.ok(arguments)));
    }
    let tables: [&[&str]; 5] = [
        &["quote", job, "--csv"],
        &["yard", job, "--picked", "picked.csv", "--csv"],
        &["count", job, "--plan", "out", "--cut", "cut.csv", "--csv"],
        &["rack", job, "--plan", "out", "--rack", "press/boards.csv", "--csv"],
        &["buy", job, "--worth", "--csv"],
    ];
    for arguments in tables {
        said.push((arguments.join(" "), shop.ok(arguments).lines().skip(1).collect::<Vec<_>>().join("\n")));
    }
    none_imperial(&said);
    let costs = rows(&shop.read("out/costs.csv"));
    let rack = costs.iter().find(|row| row["group"] == "rack").unwrap();
    assert_eq!((rack["item"].as_str(), rack["unit"].as_str()), ("rack cherry 2400", "m3"));
    let random = costs.iter().find(|row| row["item"].starts_with("random widths, ")).unwrap();
    assert_eq!(random["unit"], "m3");
    let hours = rows(&shop.read("out/hours.csv"));
    for (operation, unit) in [("washing cloth", "metre"), ("sanding", "slat m"), ("finishing", "sq m coat")] {
        assert_eq!(hours.iter().find(|row| row["operation"] == operation).unwrap()["unit"], unit);
    }
}

#[test]
fn a_starter_is_named_after_its_folder_and_what_comes_next_can_be_typed() {
    let shop = ShopFolder::empty();
    let said = shop.ok(&["new", "hall press"]);
    assert!(said.contains("slatwright plan 'hall press/job.toml' --out 'hall press/out'"), "{said}");
    assert!(shop.read("hall press/job.toml").contains("name = \"hall press\""));
    fs::create_dir(shop.path("bare")).unwrap();
    let said = program().current_dir(shop.path("bare")).args(["new", "."]).output().unwrap();
    assert!(text(&said.stdout).contains("\n  slatwright check job.toml\n"), "{}", text(&said.stdout));
    assert!(shop.read("bare/job.toml").contains("name = \"bare\""));
    shop.refused(&["new", "bare"], "is there already");
}

/// A job, a table and a file of boards may come down a pipe; a terminal that cannot colour gets none.
#[test]
fn a_dash_is_standard_input_and_colours_are_for_those_who_see_them() {
    let shop = ShopFolder::empty();
    shop.ok(&["new", "."]);
    let run = |arguments: &[&str], piped: &str, environment: &[(&str, &str)]| {
        let mut command = program();
        command.current_dir(shop.home.path()).args(arguments).envs(environment.iter().copied());
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        // One that needs no more of it may have ended.
        let _ = child.stdin.take().unwrap().write_all(piped.as_bytes());
        child.wait_with_output().unwrap()
    };
    let job = shop.read("job.toml");
    let there = shop.ok(&["check", "job.toml", "--csv"]);
    assert_eq!(text(&run(&["check", "-", "--csv"], &job, &[]).stdout), there);
    let wrong = run(&["check", "-"], &job.replace("count = 2", "count = 0"), &[]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(
        text(&wrong.stderr).contains("count") && !text(&wrong.stderr).contains('\u{1b}'),
        "{}",
        text(&wrong.stderr)
    );
    let coloured = run(&["check", "-"], "units = 3", &[("CLICOLOR_FORCE", "1")]);
    assert!(text(&coloured.stderr).contains('\u{1b}'));
    for environment in [[("NO_COLOR", "1"), ("CLICOLOR", "1")], [("TERM", "dumb"), ("CLICOLOR", "1")]] {
        assert!(!text(&run(&["check", "-"], "units = 3", &environment).stderr).contains('\u{1b}'));
    }
    let picked = "stock,species,thickness,width,length,on_hand,price,per\nin hand,cherry,4/4,9,121,,9.85,bf\n";
    assert_eq!(run(&["yard", "job.toml", "--picked", "-"], picked, &[]).status.code(), Some(0));
    shop.refused(&["rack", "job.toml", "--plan", "out", "--rack", "-", "--update"], "");
}
