//! A job in millimetres is one in millimetres on every screen and every printed sheet; only the names of CSV columns are
//! the same in every job.

use std::fs;

use crate::floor_support::{ShopFolder, text};

/// Words of the inch trade, a figure and its unit, or a fraction, with what stands around it; none in a metric text.
fn imperial(said: &str) -> Vec<String> {
    let lower = said.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| c.is_whitespace() || "(),;:|".contains(c)).collect();
    let figure = |word: &str| word.ends_with(|c: char| c.is_ascii_digit());
    let fraction = |word: &str| {
        let (above, below) = word.trim_end_matches('.').rsplit_once('/')?;
        let digits = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
        Some(digits(below) && above.ends_with(|c: char| c.is_ascii_digit()))
    };
    let mut found = Vec::new();
    for (at, word) in words.iter().enumerate() {
        let plain = word.trim_matches(['.', '"', '\'', '>', '<']);
        let trade =
            ["bf", "foot", "feet", "inch", "inches", "yard", "yards", "ounce", "ounces", "oz", "lbf", "ft", "quart"];
        let unit = ["in", "\"", "yd"].contains(&plain) && at > 0 && figure(words[at - 1]);
        let near =
            [at.checked_sub(1), Some(at + 1)].map(|at| at.and_then(|at| words.get(at)).copied().unwrap_or_default());
        // A place and a way of speaking, no measures.
        if near[0] == "lumber" || near[1] == "allowance" || near[1] == "all" {
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
    assert!(said.len() > 12, "{}", said.len());
    let found: Vec<String> = said
        .iter()
        .flat_map(|(name, text)| imperial(text).into_iter().map(move |words| format!("{name}: {words}")))
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
    // The same search finds them where they belong.
    shop.ok(&["new", "inches"]);
    assert!(imperial(&shop.ok(&["check", "inches/job.toml"])).len() > 5);
    assert!(imperial(&shop.ok(&["plan", "inches/job.toml", "--out", "out2"])).len() > 1);
}

#[test]
fn a_starter_is_named_after_its_folder_and_what_comes_next_can_be_typed() {
    let shop = ShopFolder::empty();
    let said = shop.ok(&["new", "hall press"]);
    assert!(said.contains("slatwright plan 'hall press/job.toml' --out 'hall press/out'"), "{said}");
    assert!(shop.read("hall press/job.toml").contains("name = \"hall press\""));
    fs::create_dir(shop.path("bare")).unwrap();
    let said = assert_cmd::Command::cargo_bin("slatwright")
        .unwrap()
        .current_dir(shop.path("bare"))
        .args(["new", "."])
        .output()
        .unwrap();
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
        let mut command = assert_cmd::Command::cargo_bin("slatwright").unwrap();
        command.current_dir(shop.home.path()).args(arguments).envs(environment.iter().copied());
        command.write_stdin(piped).output().unwrap()
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
