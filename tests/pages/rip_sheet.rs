//! The rip sheet says what the plan says.

use std::collections::BTreeMap;

use slatwright::job::Job;
use slatwright::plan::Plan;
use slatwright::report::{Cell, rips};

use crate::pages::sheets::{ODD, REAL, SMALL, between, pages, planned, words};

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
