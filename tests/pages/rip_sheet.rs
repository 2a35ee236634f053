//! The rip sheet says what the plan says.

use std::collections::BTreeMap;

use slatwright::job::Job;
use slatwright::plan::Plan;
use slatwright::report::{Cell, rips};

use crate::pages::sheets::{ODD, REAL, SMALL, between, pages, planned, undressed, words};

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

/// One line of the rip sheet read as a helper reads it: what stands on the sheet, and nothing else.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Sawn {
    board: i64,
    blank: i64,
    blank_length: Option<String>,
    planed: String,
    leaves: i64,
    rip_width: String,
    rips: i64,
    pieces: i64,
    part: String,
}

/// The text before and after a mark.
fn cut<'a>(text: &'a str, mark: &str) -> (&'a str, &'a str) {
    text.split_once(mark).unwrap_or_else(|| panic!("no {mark:?} in {text:?}"))
}

/// `Board 3`, `Boards 4, 6 to 8 and 10, 5 alike`: the numbers.
fn numbers(head: &str) -> Vec<i64> {
    let listed = head.trim_start_matches("Boards ").trim_start_matches("Board ");
    let listed = listed.strip_suffix(" alike").map_or(listed, |listed| listed.rsplit_once(", ").unwrap().0);
    let spans = listed.replace(" and ", ", ");
    let span = |span: &str| match span.split_once(" to ") {
        Some((first, last)) => first.parse::<i64>().unwrap()..=last.parse().unwrap(),
        None => span.parse().unwrap()..=span.parse().unwrap(),
    };
    spans.split(", ").flat_map(span).collect()
}

/// The sheet read back by its own rules: a line is `NUMBER: LENGTH long`, `plane to FIGURE`, then rips as `N x WIDTH NAME`.
fn read_back(page: &str) -> Vec<Sawn> {
    let mut rows = Vec::new();
    for block in between(page, "<div class=\"cut\">", "</div>") {
        let head = words(&format!("<{}", between(block, "<h4", "</h4>")[0]));
        let boards = numbers(cut(&head, ": ").0);
        for line in between(block, "<tr>", "</tr>") {
            let head = words(&format!("<{}", between(line, "<th", "</th>")[0]));
            let (blank, length) = cut(&head, ": ");
            let length = length.split_once(" long").map(|(length, _)| length.to_owned());
            let plane = words(&format!("<{}", between(line, "<td", "</td>")[0]));
            let plane = plane.strip_prefix("plane to ").unwrap();
            let (plane, leaves) = plane.split_once(", resaw into ").unwrap_or((plane, "1 leaves"));
            let leaves = leaves.split(' ').next().unwrap().parse().unwrap();
            let planed = plane.split(',').next().unwrap().to_owned();
            let mut sawn: Option<(i64, String)> = None;
            let saws = words(&format!("<{}", between(line, "<td", "</td>")[1]));
            for text in saws.split("; ") {
                let what = text.split(", ").next().unwrap();
                let part = what.rsplit(' ').next().unwrap().to_owned();
                if let Some((rips, width)) = what.split_once(" x ") {
                    sawn = Some((rips.parse().unwrap(), width.split(' ').next().unwrap().to_owned()));
                }
                let (rips, rip_width) = sawn.clone().expect("the first rip of a line says what is sawn");
                let pieces = text.split(", ").find_map(|piece| piece.strip_suffix(" in each"));
                let pieces = pieces.map_or(1, |pieces| pieces.split(' ').next().unwrap().parse().unwrap());
                rows.extend(boards.iter().map(|board| Sawn {
                    board: *board,
                    blank: blank.parse().unwrap(),
                    blank_length: length.clone(),
                    planed: planed.clone(),
                    leaves,
                    rip_width: rip_width.clone(),
                    rips,
                    pieces,
                    part: part.clone(),
                }));
            }
        }
    }
    rows.sort();
    rows
}

#[test]
fn the_rip_sheet_read_as_it_stands_is_the_rip_list() {
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let sheet = rips(&job, &plan);
        let at = |row: &Vec<Cell>, name: &str| row[sheet.columns.iter().position(|c| *c == name).unwrap()].clone();
        let count = |row: &Vec<Cell>, name: &str| match at(row, name) {
            Cell::Count(count) => count,
            other => panic!("{other:?}"),
        };
        let text = |row: &Vec<Cell>, name: &str| match at(row, name) {
            Cell::Text(text) => text,
            Cell::Length(length) => length.show_nearest(job.units),
            other => panic!("{other:?}"),
        };
        let mut wanted: Vec<Sawn> = sheet
            .rows
            .iter()
            .map(|row| Sawn {
                board: count(row, "board"),
                blank: count(row, "blank"),
                blank_length: (text(row, "order") == "crosscut-first").then(|| text(row, "blank_length")),
                planed: text(row, "planed_thickness"),
                leaves: count(row, "leaves"),
                rip_width: text(row, "rip_width"),
                rips: count(row, "rips"),
                pieces: count(row, "pieces_per_rip"),
                part: text(row, "part"),
            })
            .collect();
        wanted.sort();
        assert!(!wanted.is_empty());
        assert_eq!(read_back(&pages(&job, &plan)["pages/rip.html"]), wanted, "{path}");
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
        let page = undressed(&pages(&job, &plan)["pages/rip.html"]);
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

#[test]
fn cautions_stand_once_on_the_index_and_those_of_the_saw_head_the_rip_sheet() {
    let (job, plan) = planned(SMALL);
    let pages = pages(&job, &plan);
    let (whole, rip) = (words(&pages["job.html"]), words(&pages["pages/rip.html"]));
    assert_eq!(whole.matches(slatwright::report::cautions::DEFERENCE).count(), 1);
    for (at, caution) in slatwright::report::cautions::CAUTIONS.into_iter().enumerate() {
        assert!(whole.contains(caution), "{caution}");
        if (1..=4).contains(&at) {
            assert!(rip.find(caution).unwrap() < rip.find("Order of work").unwrap(), "{caution}");
        }
    }
}
