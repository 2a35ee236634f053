//! Names that mean harm: parts of paths, formulas, markup, codes that steer a terminal, marks that turn text around.
//!
//! What a name may hold is decided in one place (`files/values.rs`): 1 to 200 characters, no control character, none
//! that turns the text after it around. All else is a name, and whatever it holds comes out of every command
//! as text: no formula in a CSV cell, no markup on a page, no code on a terminal, no file outside the folder.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod floor_support;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use floor_support::{ShopFolder, rows, text};
use slatwright::cli::diagnostic;
use slatwright::files::Sources;
use slatwright::job;

/// Taken as names, and shown as text.
const TAKEN: [&str; 24] = [
    "../../../etc/passwd",
    "..\\..\\x",
    "C:\\shop\\x.csv",
    "/etc/x",
    "\\\\server\\share",
    "NUL",
    "con.csv",
    "=HYPERLINK(\"x\";\"y\")",
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(1;2)",
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "</style></title></svg>&lt;<!-- ]]>",
    "' onload='x",
    "a,b;\"c\" 5\" wide,,",
    "'=1+1",
    "$(rm -rf x) `id`; && | > x %n%s",
    "{{7*7}} ${x} %%u",
    "\u{5d0}\u{5e8}\u{5d5}\u{5df}",
    "\u{5d0}\u{5e8}\u{5d5}\u{5df} \u{200f}(3)\u{200e}",
    "\u{1f469}\u{200d}\u{1f527} \u{1fa9a} Z\u{351}\u{36b}\u{343}\u{36a}",
    "noncharacters \u{ffff}\u{fffe}\u{feff}\u{200b}",
    "wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww\
     wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
];

/// Refused wherever a name may stand.
const REFUSED: [&str; 12] = [
    "\u{1b}[31mred",
    "bell\u{7}",
    "nul\u{0}byte",
    "two\nlines",
    "one\rline",
    "tab\there",
    "next\u{85}line",
    "sequence \u{9b}31mred",
    "line\u{2028}separator",
    "\u{202e}gpj.exe",
    "isolate \u{2066}x",
    " \u{202a}x\u{202c}",
];

/// Could steer a terminal or turn a line around.
fn steers(c: char) -> bool {
    c.is_control() && c != '\n'
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}')
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A TOML text that stands for exactly this word.
fn quoted(word: &str) -> String {
    let inside: String = word
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_string() } else { format!("\\U{:08X}", u32::from(c)) })
        .collect();
    format!("\"{inside}\"")
}

fn csv(rows: &[Vec<&str>]) -> String {
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).unwrap();
    }
    text(&writer.into_inner().unwrap())
}

/// The places of a job where a word of the user's own may stand.
const PLACES: [&str; 23] = [
    "job",
    "client",
    "cabinet",
    "second cabinet",
    "door",
    "track",
    "strip",
    "species",
    "piece",
    "line",
    "group",
    "unit",
    "alternative",
    "currency",
    "labour",
    "consumable",
    "bottle",
    "cutter",
    "stage",
    "due",
    "lead time",
    "stock",
    "bolt",
];

/// The files of a job that holds `word` at the places for which `at` holds, and the place's own name elsewhere.
struct Shop {
    job: String,
    shop: String,
    boards: String,
    cloth: String,
}

fn shop(word: &str, at: impl Fn(&str) -> bool) -> Shop {
    let own = |place: &'static str| if at(place) { word.to_owned() } else { place.to_owned() };
    let q = |place| quoted(&own(place));
    let job = format!(
        "name = {}\nclient = {}\nunits = \"in\"\nshop = \"shop.toml\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n\
         [spares]\nreject_rate = 0.1\nsetup_strips = 1\nrepair_strips = 0\nconfidence = 0.8\n\
         [slats]\nspecies = \"cherry\"\nwidth = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\n\
         rabbet_depth = \"7/32\"\nrabbet_length = \"3/8\"\n\
         [[track]]\nname = {}\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n\
         path = [{{ straight = 16 }}, {{ arc = 4, angle = 90 }}, {{ straight = 24 }}]\n\
         [[cabinet]]\nname = {}\ninside_width = 30\ninside_depth = 16\ninside_height = 24\ndoors = \"left\"\n\
         setback = \"3/4\"\ncorner_radius = 3\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n\
         [[cabinet]]\nname = {}\n[[cabinet.door]]\nname = {}\ntrack = {}\nbetween = 24\ncover = 14\ntravel = 11\n\
         [[strip]]\nname = {}\nspecies = {}\nlength = 20\nwidth = 1\nthickness = \"1/2\"\nquantity = 4\n\
         [[cloth_piece]]\nname = {}\nalong = 12\nacross = 12\nquantity = 1\n\
         [[line]]\nname = {}\ngroup = {}\nquantity = 2\nunit = {}\nprice = 3\n\
         [[alternative]]\nname = {}\nslat_width = \"3/4\"\n",
        q("job"),
        q("client"),
        q("track"),
        q("cabinet"),
        quoted(&own_second(word, &own("second cabinet"))),
        q("door"),
        q("track"),
        q("strip"),
        q("species"),
        q("piece"),
        q("line"),
        q("group"),
        q("unit"),
        q("alternative"),
    );
    let shop = format!(
        "currency = {}\noverhead = 0.1\ntax = 0.1\nhistory = \"history.csv\"\n[[labour]]\nname = {}\nhours = 1\nrate = 40\n\
         per = \"door\"\n[[consumable]]\nname = {}\nunit = {}\nprice = 9\ncovers_square_feet = 30\non = \"show\"\n\
         [[cutter]]\nname = {}\nwidth = \"3/8\"\nheight = \"7/32\"\n[[stage]]\nname = {}\ndue = {}\nshare = 1\n\
         [terms]\nlead_time = {}\n",
        q("currency"),
        q("labour"),
        q("consumable"),
        q("bottle"),
        q("cutter"),
        q("stage"),
        q("due"),
        q("lead time"),
    );
    // In a CSV file the first apostrophe of a formula is the guard: a name of its own there is written with two.
    let cell = |place| if at(place) && word.starts_with("'=") { format!("'{word}") } else { own(place) };
    let (stock, species, bolt) = (cell("stock"), cell("species"), cell("bolt"));
    let sale: String = stock.chars().take(190).chain(" sale".chars()).collect();
    let boards = csv(&[
        "stock,species,thickness,width,length,on_hand,price,per".split(',').collect(),
        vec![&stock, "cherry", "4/4", "7.25", "96", "2", "", ""],
        vec![&sale, "cherry", "4/4", "8", "120", "", "9.85", "bf"],
        vec!["wood", &species, "4/4", "6", "96", "", "8", "bf"],
    ]);
    let cloth = csv(&[
        "bolt,width,selvage,on_hand_length,price,per,increment".split(',').collect(),
        vec![&bolt, "60", "0.5", "", "12", "yard", "4.5"],
    ]);
    Shop { job, shop, boards, cloth }
}

/// Two cabinets of one job have two names.
fn own_second(word: &str, own: &str) -> String {
    if own == word && own.chars().count() <= 200 {
        own.chars().take(190).chain(" two".chars()).collect()
    } else {
        own.to_owned()
    }
}

impl Shop {
    fn sources(&self) -> Sources {
        Sources::in_memory("job.toml", self.job.as_str())
            .with("shop.toml", self.shop.as_str())
            .with("boards.csv", self.boards.as_str())
            .with("cloth.csv", self.cloth.as_str())
    }

    fn in_a_folder(&self) -> ShopFolder {
        let folder = ShopFolder::empty();
        for (name, text) in [
            ("job.toml", &self.job),
            ("shop.toml", &self.shop),
            ("boards.csv", &self.boards),
            ("cloth.csv", &self.cloth),
        ] {
            folder.write(name, text);
        }
        folder
    }
}

/// Everything the commands put out for one word at every place.
struct Said {
    /// Printed for a person.
    screens: Vec<(String, String)>,
    /// Printed for a machine.
    tables: Vec<(String, String)>,
    /// Files of all plan folders by name, and the rack and the history.
    files: Vec<(PathBuf, String)>,
}

fn run_everything(word: &str) -> Said {
    let folder = shop(word, |_| true).in_a_folder();
    let mut said = Said { screens: Vec::new(), tables: Vec::new(), files: Vec::new() };
    let picked: String = word.chars().take(190).chain(" p".chars()).collect();
    let header = "stock,species,thickness,width,length,on_hand,price,per".split(',').collect();
    folder.write("picked.csv", &csv(&[header, vec![&picked, "cherry", "4/4", "7", "100", "", "9", "bf"]]));
    folder.write(
        "actual.csv",
        &csv(&[vec!["what", "item", "actual"], vec!["hours", word, "3"], vec!["boards", word, "2"]]),
    );
    let mut run = |arguments: &[&str]| {
        let output = folder.run(arguments);
        assert_eq!(output.status.code(), Some(0), "{word:?}: {arguments:?}: {}", text(&output.stderr));
        let to = if arguments.iter().any(|word| matches!(*word, "--csv" | "--blank")) {
            &mut said.tables
        } else {
            &mut said.screens
        };
        to.push((arguments.join(" "), text(&output.stdout)));
        said.screens.push((format!("{} (errors)", arguments.join(" ")), text(&output.stderr)));
    };
    for command in ["check", "quote", "compare", "buy", "rip", "canvas"] {
        run(&[command, "job.toml"]);
        run(&[command, "job.toml", "--csv"]);
    }
    run(&["quote", "job.toml", "--client"]);
    run(&["quote", "job.toml", "--client", "--csv"]);
    run(&["quote", "job.toml", "--actual", "actual.csv"]);
    run(&["quote", "job.toml", "--actual", "actual.csv", "--csv"]);
    run(&["estimate", "job.toml"]);
    run(&["estimate", "job.toml", "--inside", "36 x 16 x 28"]);
    run(&["plan", "job.toml", "--out", "out"]);
    run(&["yard", "job.toml", "--picked", "picked.csv"]);
    run(&["yard", "job.toml", "--picked", "picked.csv", "--csv"]);
    run(&["tally", "job.toml", "--plan", "out", "--blank"]);
    folder.write("tally.csv", &folder.filled(&["job.toml", "--plan", "out"], |_, _, yields| yields / 2));
    let cut = ["tally", "job.toml", "--plan", "out", "--cut", "tally.csv"];
    run(&[&cut[..], &["--csv"]].concat());
    run(&[&cut[..], &["--record", "--out", "again"]].concat());
    let once = folder.read("history.csv");
    run(&[&cut[..], &["--record"]].concat());
    assert_eq!(folder.read("history.csv"), once, "{word:?}: a job recorded twice stands there once");
    let rack = ["rack", "job.toml", "--plan", "out", "--rack", "boards.csv"];
    run(&[&rack[..], &["--csv"]].concat());
    run(&[&rack[..], &["--update"]].concat());
    run(&rack);
    let (_, again) = said.screens.iter().rev().nth(1).unwrap();
    assert!(again.contains("Nothing to change"), "{word:?}: a board taken off twice: {again}");
    said.files = files(folder.home.path());
    said
}

fn files(home: &Path) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut folders = vec![home.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                found.push((path.strip_prefix(home).unwrap().to_owned(), text(&fs::read(&path).unwrap())));
            }
        }
    }
    found.sort();
    found
}

/// Rows are regular, no cell is a formula, none holds a control character.
fn safe_table(what: &str, text: &str) {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    for row in reader.records() {
        let row = row.unwrap_or_else(|error| panic!("{what}: {error}"));
        for cell in &row {
            let figure = cell.parse::<f64>().is_ok();
            assert!(figure || !cell.starts_with(['=', '+', '-', '@']), "{what}: the cell {cell:?} runs");
            let breaks = |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
            assert!(!cell.contains(breaks), "{what}: {cell:?}");
        }
    }
}

/// Written by the command alone.
fn ours(name: &Path) -> bool {
    name.starts_with("out") || name.starts_with("again") || name == Path::new("history.csv")
}

/// The tags of a page, each with the names of its attributes.
fn tags(html: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let mut quote = false;
        let end = rest.find(|c| {
            quote ^= c == '"';
            c == '>' && !quote
        });
        let tag = &rest[..end.unwrap()];
        // Every second piece lies within quotes: a value.
        found.insert(tag.split('"').step_by(2).collect::<Vec<_>>().join("\"\""));
        // What a style sheet holds is no markup.
        if tag == "style" {
            rest = &rest[rest.find("</style>").unwrap()..];
        }
    }
    found
}

fn safe_file(name: &Path, text: &str, tame_tags: &BTreeSet<String>) {
    let what = name.display().to_string();
    match name.extension().and_then(|ending| ending.to_str()) {
        Some("csv") => safe_table(&what, text),
        Some("html") => {
            assert!(!text.contains(steers), "{what} holds a code");
            let strange: Vec<_> = tags(text).difference(tame_tags).cloned().collect();
            assert!(strange.is_empty(), "{what}: {strange:?}");
        }
        Some("svg") => {
            assert!(!text.contains(steers), "{what} holds a code");
            for event in xml::EventReader::new(text.as_bytes()) {
                let event = event.unwrap_or_else(|error| panic!("{what}: {error}"));
                if let xml::reader::XmlEvent::StartElement { name, attributes, .. } = event {
                    assert!(
                        ["svg", "title", "g", "line", "path", "polygon", "text"].contains(&name.local_name.as_str())
                    );
                    assert!(attributes.iter().all(|attribute| !attribute.name.local_name.starts_with("on")), "{what}");
                }
            }
        }
        Some("dxf") => {
            assert!(text.is_ascii() && text.lines().count().is_multiple_of(2), "{what}: pairs of lines");
            dxf::Drawing::load(&mut text.as_bytes()).unwrap_or_else(|error| panic!("{what}: {error}"));
        }
        _ => {}
    }
}

/// Sheets may draw fewer words where a name is long, so tags are compared as a set; figures carry no other tags.
fn tame_tags() -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for word in ["tame", "a rather longer word that has to be cut short in some figures, and wrapped on some sheets"] {
        for (name, text) in run_everything(word).files {
            if name.extension().is_some_and(|ending| ending == "html") {
                all.extend(tags(&text));
            }
        }
    }
    assert!(all.len() > 30, "{all:?}");
    all
}

#[test]
fn whatever_a_name_holds_comes_out_as_text() {
    let names = |said: &Said| said.files.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    let tame = names(&run_everything("tame"));
    assert!(tame.len() > 60, "{tame:?}");
    let tame_tags = tame_tags();
    for word in TAKEN {
        let said = run_everything(word);
        assert_eq!(names(&said), tame, "{word:?} is in the name of a file");
        for (command, text) in &said.screens {
            assert!(!text.contains(steers), "{command} with {word:?}: {text}");
        }
        for (command, text) in &said.tables {
            safe_table(command, text);
        }
        for (name, text) in said.files.iter().filter(|(name, _)| ours(name)) {
            safe_file(name, text, &tame_tags);
        }
        // In the rack the maker's own cells stay as they were; what is put there is safe.
        let rack = &said.files.iter().find(|(name, _)| name == Path::new("boards.csv")).unwrap().1;
        let put: Vec<_> = rows(rack).into_iter().filter(|row| !row["from"].is_empty()).collect();
        assert!(!put.is_empty(), "{word:?}: {rack}");
        for row in &put {
            assert!(!row["from"].starts_with(['=', '+', '-', '@']), "{word:?}: {row:?}");
        }
    }
}

#[test]
fn what_would_steer_or_turn_is_refused_wherever_a_name_may_stand() {
    let long = "w".repeat(10_240);
    let words: Vec<&str> = REFUSED.into_iter().chain([long.as_str()]).collect();
    for place in PLACES {
        for word in &words {
            let problems = match job::parse(&shop(word, |at| at == place).sources()) {
                Ok(_) => panic!("{word:?} was taken as the name of a {place}"),
                Err(problems) => problems,
            };
            for said in [problems.to_string(), diagnostic::render(&problems, false)] {
                assert!(!said.contains(steers) && said.len() < 20_000, "{place}, {word:?}: {said}");
            }
            assert!(problems.iter().any(|problem| !problem.help.is_empty() && problem.place.span.is_some()));
        }
        job::parse(&shop("a plain word", |at| at == place).sources()).unwrap_or_else(|problems| panic!("{problems}"));
    }
}

/// The command's own arguments and the names of files are shown safe, too.
#[cfg(unix)]
#[test]
fn arguments_and_file_names_cannot_steer_a_terminal() {
    let folder = shop("plain", |_| false).in_a_folder();
    let evil = "\u{1b}[2J\u{202e}x";
    let job = format!("{evil}.toml");
    fs::copy(folder.path("job.toml"), folder.path(&job)).unwrap();
    fs::write(folder.path("broken.toml"), format!("name = \"x\"\n\"{evil}\" = 1\nshop = \"{evil}\"\n")).unwrap();
    fs::write(folder.path("headed.csv"), format!("stock,{evil},species\n{evil},1,2\n")).unwrap();
    fs::write(folder.path("odd\u{1b}[2J.csv"), "stock,species,thickness,width,length,on_hand,price,per\nx,oak\n")
        .unwrap();
    let mut failed = 0;
    for arguments in [
        vec!["plan", job.as_str(), "--out", evil],
        vec!["plan", "job.toml", "--out", evil],
        vec!["check", evil],
        vec!["check", "broken.toml"],
        vec!["yard", "job.toml", "--picked", "headed.csv"],
        vec!["yard", "job.toml", "--picked", "odd\u{1b}[2J.csv"],
        vec!["yard", "job.toml", "--picked", evil],
        vec!["quote", "job.toml", "--actual", evil],
        vec!["quote", "job.toml", "--actual", "headed.csv"],
        vec!["tally", "job.toml", "--plan", evil, "--cut", evil],
        vec!["rack", "job.toml", "--plan", evil, "--rack", evil],
        vec!["rack", "job.toml", "--plan", evil, "--rack", "boards.csv", "--update", "--seen", evil],
        vec!["estimate", "job.toml", "--inside", evil],
        vec!["check", "job.toml", evil],
        vec!["check", "job.toml", "--seconds", evil],
        vec![evil],
        vec!["new", evil],
    ] {
        let output = folder.run(&arguments);
        for said in [text(&output.stdout), text(&output.stderr)] {
            assert!(!said.contains(steers), "{arguments:?}: {said:?}");
        }
        failed += usize::from(!output.status.success());
    }
    assert!(failed > 10, "{failed}");
}
