//! The printed sheets, as far as no browser is needed. What needs one (overflow at letter, A4 and phone width, the
//! PDF, valid markup) is `tests/pages_browser.rs`, which `.ci/run` runs.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::Mutex;

use slatwright::job::{self, Job};
use slatwright::measure::Length;
use slatwright::packing::{Budget, Flow};
use slatwright::plan::{Plan, plan};
use slatwright::report::pages::{BoardScale, STYLE, board_figure, page_files};
use slatwright::report::{Cell, canvas, rips};

const REAL: &str = "jobs/harbour_archive.toml";
const SMALL: &str = "jobs/small_press.toml";
/// Names that are markup, millimetres, a rip-first shop, a roll-up.
const ODD: &str = "tests/pages/odd/job.toml";

/// Each job is planned once for all tests.
fn planned(path: &str) -> (Job, Plan) {
    static PLANNED: Mutex<BTreeMap<String, (Job, Plan)>> = Mutex::new(BTreeMap::new());
    let mut planned = PLANNED.lock().expect("no test fails in here");
    planned.entry(path.to_owned()).or_insert_with(|| plan_job(path)).clone()
}

fn plan_job(path: &str) -> (Job, Plan) {
    let job = job::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).expect("a job that loads");
    let planned = plan(&job, &Budget::default(), &mut |_, _| Flow::Continue).expect("a job that can be planned");
    (job, planned)
}

fn pages(job: &Job, plan: &Plan) -> BTreeMap<String, String> {
    page_files(job, plan).into_iter().map(|(name, text)| (name, String::from_utf8(text).expect("UTF-8"))).collect()
}

/// What stands between `open` and the next `close`, for each `open`.
fn between<'a>(text: &'a str, open: &str, close: &str) -> Vec<&'a str> {
    text.split(open).skip(1).map(|rest| rest.split(close).next().expect("split yields a first piece")).collect()
}

fn words(markup: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in markup.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&").replace('\u{2011}', "-")
}

fn attribute(tag: &str, name: &str) -> f64 {
    between(tag, &format!(" {name}=\""), "\"")[0].parse().expect("a figure")
}

/// (width, height) of every rectangle of one pen.
fn rects(svg: &str, pen: &str) -> Vec<(f64, f64)> {
    between(svg, &format!("<rect class=\"{pen}\""), ">")
        .iter()
        .map(|t| (attribute(t, "width"), attribute(t, "height")))
        .collect()
}

#[test]
fn every_sheet_of_a_job_is_there_and_in_the_whole() {
    let (job, plan) = planned(REAL);
    let pages = pages(&job, &plan);
    let singles: Vec<&str> = pages.keys().map(String::as_str).filter(|name| *name != "job.html").collect();
    for sheet in ["buy", "rip", "cloth", "glue-up-1", "case-4", "quote-client", "quote-maker"] {
        assert!(singles.contains(&format!("pages/{sheet}.html").as_str()), "{sheet} in {singles:?}");
    }
    let whole = &pages["job.html"];
    for name in singles {
        let body = pages[name].split("<main>").nth(1).and_then(|rest| rest.split("</main>").next()).unwrap();
        assert!(whole.contains(body), "{name} stands in the whole as it is by itself");
    }
}

/// `board`, `part` and `strips` of every row of rips.csv.
fn rip_rows(job: &Job, plan: &Plan) -> Vec<(i64, String, i64)> {
    let sheet = rips(job, plan);
    let column = |name: &str| sheet.columns.iter().position(|c| *c == name).expect("the sheet has this column");
    let (board, part, strips) = (column("board"), column("part"), column("strips"));
    let read = |row: &Vec<Cell>| match (&row[board], &row[part], &row[strips]) {
        (Cell::Count(board), Cell::Text(part), Cell::Count(strips)) => (*board, part.clone(), *strips),
        other => panic!("{other:?}"),
    };
    sheet.rows.iter().map(read).collect()
}

#[test]
fn every_part_of_the_rip_list_is_on_the_rip_sheet_the_right_number_of_times() {
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let page = &pages(&job, &plan)["pages/rip.html"];
        let mut shown: Vec<(i64, String, i64)> = Vec::new();
        for cut in between(page, "<div class=\"cut\">", "</div>") {
            let done = between(cut, "Done: ", "</p>")[0];
            let boards: Vec<i64> =
                between(done, "<span class=\"tick\"></span>", "</span>").iter().map(|n| n.parse().unwrap()).collect();
            for row in between(cut, "<tr><td", "</tr>") {
                let part = words(&between(row, "class=\"k part\"", "/td>")[0][1..]).trim_end_matches('<').to_owned();
                let strips: i64 = between(row, "<td class=\"n\">", "<")[0].parse().unwrap();
                shown.extend(boards.iter().map(|board| (*board, part.clone(), strips)));
            }
        }
        let mut wanted = rip_rows(&job, &plan);
        wanted.sort();
        shown.sort();
        assert!(!wanted.is_empty());
        assert_eq!(shown, wanted, "{path}");
    }
}

#[test]
fn running_counts_end_at_the_totals_and_bundles_take_what_doors_need() {
    let (job, plan) = planned(REAL);
    let page = words(&pages(&job, &plan)["pages/rip.html"]);
    let mut last: BTreeMap<String, String> = BTreeMap::new();
    for pile in between(&page, "On the pile now: ", ".") {
        for count in pile.split("; ") {
            let (part, count) = count.split_once(' ').unwrap();
            last.insert(part.to_owned(), count.to_owned());
        }
    }
    for part in &plan.demand.parts {
        let (cut, of) = last[&part.name].split_once(" of ").unwrap();
        assert!(
            cut.parse::<u32>().unwrap() >= part.total() && of == part.total().to_string(),
            "{}: {cut} of {of}",
            part.name
        );
    }
    // 31 slats and a lead slat go into each of the four panels of the chart presses.
    let part = |role: &str| {
        let uses =
            |p: &&slatwright::demand::Part| p.uses.iter().any(|u| u.name == "chart press left" && u.role == role);
        plan.demand.parts.iter().find(uses).expect("the presses take it").name.as_str()
    };
    let bundle = format!("31 of {} (slat), 1 of {} (lead slat)", part("slat"), part("lead slat"));
    assert_eq!(page.matches(&bundle).count(), 4, "each door is a bundle: {bundle}");
}

#[test]
fn ties_of_a_board_sum_to_its_strips_and_fill_every_bundle() {
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let page = pages(&job, &plan)["pages/rip.html"].clone();
        let mut filled: BTreeMap<(String, String), u64> = BTreeMap::new();
        let mut off_the_boards: BTreeMap<String, u64> = BTreeMap::new();
        for tie in between(&page, "class=\"tie\">Tie", ".</p>") {
            let runs = tie.split_once(": ").unwrap().1;
            for part in runs.split("; ") {
                let (name, runs) = part.split_once(' ').unwrap();
                for run in runs.split(", then ") {
                    let (strips, to) = run.split_once(" to ").unwrap();
                    *off_the_boards.entry(name.to_owned()).or_default() += strips.parse::<u64>().unwrap();
                    *filled.entry((to.to_owned(), name.to_owned())).or_default() += strips.parse::<u64>().unwrap();
                }
            }
        }
        let mut cut: BTreeMap<String, u64> = BTreeMap::new();
        for (_, part, strips) in rip_rows(&job, &plan) {
            *cut.entry(part).or_default() += strips.cast_unsigned();
        }
        assert_eq!(off_the_boards, cut, "{path}: every strip is tied or a spare");
        for bundle in &plan.demand.bundles {
            assert!(!bundle.takes.is_empty(), "{} takes something", bundle.name);
            for takes in &bundle.takes {
                let part = plan.demand.parts[takes.part].name.clone();
                let tied = filled[&(bundle.mark.clone(), part.clone())];
                assert_eq!(tied, takes.strips, "{} of {part}", bundle.name);
            }
        }
    }
}

/// Within a pixel means within a pixel where a hundredth of one is written.
#[test]
fn boards_are_drawn_as_the_plan_cuts_them() {
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let scale = BoardScale::of(&job, &plan);
        for board in &plan.boards.boards {
            let svg = board_figure(&job, &plan, board, scale).markup().into_string();
            let stock = &job.boards[board.stock];
            let whole = rects(&svg, "board")[0];
            let (along, across) = (whole.0 / stock.length.mm_f64(), whole.1 / stock.width.mm_f64());
            assert!((across / along - 2.0).abs() < 1e-3, "twice as large across: {across} to {along}");

            let blanks = rects(&svg, "blank");
            let mut sawn = rects(&svg, "rip");
            let crosscut = board.order == job::Order::CrosscutFirst;
            assert_eq!(blanks.len(), if crosscut { board.blanks.len() } else { 0 });
            let mut expected: Vec<(f64, f64)> = Vec::new();
            for (at, blank) in board.blanks.iter().enumerate() {
                let length = blank.length.mm_f64() * along;
                assert!(!crosscut || (blanks[at].0 - length).abs() < 1.0, "blank {at}: {} for {length}", blanks[at].0);
                let groups = if crosscut { blank.rips.len() } else { 1 };
                for rips in &blank.rips[..groups] {
                    let one = (length, rips.rip_width.mm_f64() * across);
                    expected.extend(std::iter::repeat_n(one, rips.rips as usize));
                }
            }
            let by_size = |a: &(f64, f64), b: &(f64, f64)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1));
            sawn.iter_mut().for_each(|rect| *rect = (rect.0.round(), rect.1));
            expected.iter_mut().for_each(|rect| *rect = (rect.0.round(), rect.1));
            sawn.sort_by(by_size);
            expected.sort_by(by_size);
            assert_eq!(sawn.len(), expected.len(), "every rip is drawn");
            for (drawn, planned) in sawn.iter().zip(&expected) {
                assert!(
                    (drawn.0 - planned.0).abs() <= 1.0 && (drawn.1 - planned.1).abs() < 1.0,
                    "{drawn:?} for {planned:?}"
                );
            }
        }
    }
}

#[test]
fn cloth_is_drawn_as_it_lies() {
    let (job, plan) = planned(REAL);
    let page = &pages(&job, &plan)["pages/cloth.html"];
    let drawings = between(page, "<svg", "</svg>");
    let mut rows = canvas(&job, &plan).rows;
    rows.sort_by_key(|row| format!("{:?}", row[0]));
    let mut rows = rows.into_iter();
    assert!(!drawings.is_empty());
    for svg in drawings {
        let pieces = rects(svg, "piece");
        let mut scale = None;
        for drawn in pieces {
            let row = rows.next().expect("as many pieces as rows");
            let (Cell::Length(along), Cell::Length(across)) = (&row[5], &row[6]) else { panic!("{row:?}") };
            let scale = *scale.get_or_insert(drawn.0 / along.mm_f64());
            assert!((drawn.0 - along.mm_f64() * scale).abs() < 1.0 && (drawn.1 - across.mm_f64() * scale).abs() < 1.0);
        }
    }
    assert_eq!(rows.next(), None);
}

#[test]
fn a_name_that_is_markup_prints_as_it_is() {
    let (job, plan) = planned(ODD);
    let pages = pages(&job, &plan);
    for (name, text) in &pages {
        for evil in ["<b>&\"", "<script", "<img", "onerror=\"", "</style><script"] {
            assert!(!text.contains(evil), "{name} holds {evil}");
        }
    }
    assert!(words(&pages["pages/quote-client.html"]).contains(r#"<b>&""#), "the client reads the name as it is");
    assert!(words(&pages["pages/rip.html"]).contains("</style><script>alert(1)</script>"));
}

#[test]
fn a_page_asks_for_nothing_outside_itself() {
    for path in [REAL, ODD] {
        let (job, plan) = planned(path);
        for (name, text) in pages(&job, &plan) {
            let markup: String = text.split("<style>").map(|part| part.split("</style>").last().unwrap()).collect();
            for outside in ["src=", "http:", "https:", "<link", "<script", "<iframe", "xlink", "style=\""] {
                assert!(!markup.contains(outside), "{name}: {outside}");
            }
            for target in between(&markup, "href=\"", "\"") {
                assert!(
                    target.starts_with('#') && text.contains(&format!("id=\"{}\"", &target[1..])),
                    "{name}: {target}"
                );
            }
        }
    }
    for outside in ["url(", "@import", "http", "expression("] {
        assert!(!STYLE.contains(outside), "{outside}");
    }
}

/// Relative luminance and contrast as in Web Content Accessibility Guidelines 2.2 (W3C 2023), with their least ratio
/// for text, 4.5 to 1.
#[test]
fn every_ink_stands_out_from_the_paper() {
    fn luminance(hex: &str) -> f64 {
        let digits: Vec<u32> = hex.chars().map(|c| c.to_digit(16).expect("a hex figure")).collect();
        let channel =
            |n: usize| if digits.len() == 3 { digits[n] * 17 } else { digits[2 * n] * 16 + digits[2 * n + 1] };
        let linear = |n: usize| {
            let c = f64::from(channel(n)) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(0) + 0.7152 * linear(1) + 0.0722 * linear(2)
    }
    let contrast = |a: &str, b: &str| {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    };
    assert!((contrast("000", "ffffff") - 21.0).abs() < 1e-9 && (contrast("777777", "fff") - 4.48).abs() < 0.01);
    let rules = STYLE.replace(['\n', '\r'], " ");
    let mut inks = 0;
    for declaration in rules.split([';', '{', '}']).map(str::trim) {
        let Some((property, value)) = declaration.split_once(':') else { continue };
        let papers = ["background", "background-color"].contains(&property.trim());
        for colour in between(value, "#", " ").into_iter().map(|c| c.trim_end_matches([',', ')'])) {
            let paper = papers || colour == "fff";
            assert!(if paper { colour == "fff" } else { contrast(colour, "fff") >= 4.5 }, "{declaration}");
            inks += usize::from(!paper);
        }
        let named = ["red", "gray", "grey", "silver", "rgb", "hsl", "opacity"];
        assert!(!named.iter().any(|name| value.contains(name) || property.contains(name)), "{declaration}");
    }
    assert!(inks > 10, "the stylesheet was read");
}

#[test]
fn the_client_sees_the_price_and_no_cost() {
    let (job, plan) = planned(REAL);
    let client = words(&pages(&job, &plan)["pages/quote-client.html"]);
    let quote = slatwright::bill::quote(&job, &plan.doors, &plan.bill);
    assert!(client.contains(&format!("USD {}", quote.total)));
    for line in plan.bill.costs.iter().filter(|line| line.cost.get() >= 1000) {
        assert!(!client.contains(&line.cost.to_string()), "{} {}", line.item, line.cost);
        assert!(line.group != "labour" || !client.contains(&line.item), "{}", line.item);
    }
    let maker = words(&pages(&job, &plan)["pages/quote-maker.html"]);
    assert!(plan.bill.costs.iter().all(|line| maker.contains(&line.cost.to_string())));
}

#[test]
fn the_cautions_head_the_rip_sheet() {
    let (job, plan) = planned(SMALL);
    let rip = words(&pages(&job, &plan)["pages/rip.html"]);
    let place = |text: &str| rip.find(text).unwrap_or_else(|| panic!("no {text}"));
    assert!(place(slatwright::report::cautions::DEFERENCE) < place("Order of work"));
    for caution in slatwright::report::cautions::CAUTIONS {
        assert!(place(caution) < place("Order of work"));
    }
}

#[test]
fn millimetres_are_said_and_rounding_is_marked() {
    let (job, plan) = planned(ODD);
    let pages = pages(&job, &plan);
    assert!(pages["pages/rip.html"].contains("Lengths in millimetres; ~ marks a figure rounded to the nearest 0.1."));
    let text = words(&pages["pages/case.html"]);
    assert!(text.contains('~'), "a season's swelling is no whole tenth of a millimetre");
}

#[test]
fn pages_come_out_the_same_twice() {
    let (job, plan) = planned(REAL);
    assert_eq!(page_files(&job, &plan), page_files(&job, &plan));
}

#[test]
fn a_board_is_drawn_blank_by_blank() {
    let (job, plan) = planned(SMALL);
    let scale = BoardScale::of(&job, &plan);
    insta::assert_snapshot!(lines(&board_figure(&job, &plan, &plan.boards.boards[0], scale).markup().into_string()));
}

#[test]
fn a_board_is_drawn_rip_by_rip() {
    let (job, plan) = planned(ODD);
    let scale = BoardScale::of(&job, &plan);
    insta::assert_snapshot!(lines(&board_figure(&job, &plan, &plan.boards.boards[0], scale).markup().into_string()));
}

/// One tag a line, so that a change shows where it is.
fn lines(svg: &str) -> String {
    svg.replace("><", ">\n<")
}

/// Three hundred boards, no two alike: every one is drawn. The time it takes is the bench's.
#[test]
fn a_job_of_three_hundred_boards_stays_under_five_megabytes() {
    let (job, mut plan) = planned(REAL);
    let real = plan.boards.boards.clone();
    plan.boards.boards = (0..300i64)
        .zip(real.iter().cycle())
        .map(|(n, board)| {
            let mut board = board.clone();
            board.blanks[0].length += Length::from_nm(n);
            board
        })
        .collect();
    let files = page_files(&job, &plan);
    let whole = &files.iter().find(|(name, _)| name == "job.html").unwrap().1;
    let drawings = String::from_utf8_lossy(whole).matches("<svg").count();
    assert!(drawings > 300 && whole.len() < 5_000_000, "{drawings} drawings, {} bytes", whole.len());
}

/// The stylesheet is the one that pages carry.
#[test]
fn style_lies_inside() {
    let style = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/report/pages/style.css")).unwrap();
    let (job, plan) = planned(SMALL);
    assert!(pages(&job, &plan).values().all(|text| text.contains(&style)));
}

/// Hopper and Turton's 16 rectangles (2000, class C1, problem 1), in inches on 20 usable: they lie in 20 only when
/// some stand on others, and the sheet says where those are cut.
#[test]
fn the_cuts_of_stacks_are_said() {
    let sizes = "2 12,7 12,8 6,3 6,3 5,5 5,3 12,3 7,5 7,2 6,3 2,4 2,3 4,4 4,9 2,11 2";
    let mut text = String::from("name = \"stacks\"\nunits = \"in\"\ncloth = \"cloth.csv\"\n");
    for (at, size) in sizes.split(',').enumerate() {
        let (across, along) = size.split_once(' ').expect("two figures");
        text += &format!("[[cloth_piece]]\nname = \"p{at}\"\nalong = {along}\nacross = {across}\nquantity = 1\n");
    }
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment\nduck,21,0.5,,12.00,yard,4.5\n";
    let sources = slatwright::files::Sources::in_memory("job.toml", text).with("cloth.csv", cloth);
    let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
    let plan = plan(&job, &Budget::default(), &mut |_, _| Flow::Continue).expect("a job that can be planned");
    assert_eq!(plan.cloth.length, Length::from_inches(20));
    let stacked = plan.cloth.bolts[0]
        .laid
        .iter()
        .filter(|a| plan.cloth.bolts[0].laid.iter().any(|b| b.x < a.x && a.x + a.along <= b.x + b.along));
    let page = words(&pages(&job, &plan)["pages/cloth.html"]);
    assert!(page.matches("In the level from ").count() >= 1 && stacked.count() >= 1, "{page}");
}
