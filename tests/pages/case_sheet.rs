//! The case sheet says what stops.csv and the job say: read by itself it is enough to rout a case and to set its stops.

use slatwright::job::{DoorTrack, Hand, Job};
use slatwright::measure::Length;
use slatwright::plan::Plan;
use slatwright::report::{Cell, Sheet, stops};

use crate::pages::sheets::{ODD, REAL, SMALL, between, pages, planned, words};

/// One stop or filler: door, block, from where, how far, how long, and what else is said of it.
type Block = [String; 6];

/// The left door's figures are from the left side, the right one's from the right.
fn own_side(from: &str) -> String {
    from.replace("the left side", "the door's own side").replace("the right side", "the door's own side")
}

fn in_csv(job: &Job, plan: &Plan, cabinet: usize) -> Vec<Block> {
    let doors: Vec<_> = plan.doors.iter().filter(|door| door.cabinet == cabinet).cloned().collect();
    let Sheet { columns, rows, .. } = stops(&doors);
    let read = |row: &Vec<Cell>, name: &str| match &row[columns.iter().position(|c| *c == name).unwrap()] {
        Cell::Text(text) => text.clone(),
        Cell::Length(length) => length.show_nearest(job.units),
        Cell::Empty => String::new(),
        other => panic!("{other:?}"),
    };
    let block = |row: &Vec<Cell>| {
        let from = own_side(&read(row, "from"));
        [read(row, "door"), read(row, "stop"), from, read(row, "distance"), read(row, "length"), read(row, "note")]
    };
    let mut blocks: Vec<Block> = rows.iter().map(block).collect();
    blocks.sort();
    blocks
}

/// What stands in one cell, or in each cell of a row.
fn cells(row: &str) -> Vec<String> {
    between(row, "<td", "</td>").iter().map(|cell| words(&format!("<{cell}")).trim().to_owned()).collect()
}

/// The table of the sheet, read by its own rules: `BLOCK, LENGTH long`, how far, `FROM; NOTE`, and the doors or `all`.
fn on_the_sheet(page: &str, doors: &[String]) -> Vec<Block> {
    let table =
        page.split("<h3>Stops and filler</h3>").nth(1).map_or("", |rest| between(rest, "<tbody>", "</tbody>")[0]);
    let mut blocks = Vec::new();
    for row in between(table, "<tr>", "</tr>") {
        let cells = cells(row);
        let (name, length) = cells[0].split_once(", ").unwrap_or((&cells[0], ""));
        let length = length.trim_end_matches(" long");
        let (from, note) = cells[2].split_once("; ").unwrap();
        let named = match cells.get(3).map(String::as_str) {
            None | Some("all") => doors.to_vec(),
            Some(named) => named.split(", ").map(str::to_owned).collect(),
        };
        blocks.extend(named.into_iter().map(|door| [&door, name, from, &cells[1], length, note].map(str::to_owned)));
    }
    blocks.sort();
    blocks
}

#[test]
fn the_stops_of_the_case_sheet_are_those_of_the_table() {
    let mut read = 0;
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let pages = pages(&job, &plan);
        for at in 0..job.cabinets.len() {
            let page = &pages[&sheet_name(&job, at)];
            let doors: Vec<String> = plan.doors.iter().filter(|d| d.cabinet == at).map(|d| d.name.clone()).collect();
            let wanted = in_csv(&job, &plan, at);
            assert_eq!(on_the_sheet(page, &doors), wanted, "{path}, {}", job.cabinets[at].name);
            read += wanted.len();
        }
    }
    assert!(read > 30, "{read} stops were read");
}

fn sheet_name(job: &Job, cabinet: usize) -> String {
    let number = if job.cabinets.len() == 1 { String::new() } else { format!("-{}", cabinet + 1) };
    format!("pages/case{number}.html")
}

/// Where each groove lies: `front run | 1-1/4 | case front edge to the groove's centreline`, once for doors that are alike.
#[test]
fn the_grooves_of_the_case_sheet_are_those_of_the_job() {
    let mut read = 0;
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let pages = pages(&job, &plan);
        for (at, cabinet) in job.cabinets.iter().enumerate() {
            let page = &pages[&sheet_name(&job, at)];
            for door in plan.doors.iter().filter(|door| door.cabinet == at) {
                let spec = &cabinet.doors[door.index];
                let blocks = between(page, "<h3>Groove of ", "</table>");
                let of_it = blocks.iter().find(|block| {
                    words(block.split("</h3>").next().unwrap()).split(" and ").any(|name| name == door.name)
                });
                let rows: Vec<Vec<String>> =
                    between(of_it.expect("each door has its groove"), "<tr>", "</tr>").into_iter().map(cells).collect();
                let mut wanted: Vec<(&str, &str, Length)> = vec![
                    ("groove", "wide", spec.groove.width),
                    ("", "deep", spec.groove.depth),
                    ("between", "clear, between the two faces that carry the grooves", spec.between),
                    ("slats", "long, into both grooves", door.slat_length),
                ];
                if let DoorTrack::Case { setback, back_inset, corner_radius, .. } = &spec.track {
                    wanted.push(("front run", "case front edge to the groove's centreline", *setback));
                    wanted.push((
                        "back run",
                        "inside face of the back to the groove's centreline, where it turns behind",
                        *back_inset,
                    ));
                    wanted.push(("corner", "radius to the groove's centreline", *corner_radius));
                }
                for (what, from, length) in wanted {
                    let row = [what.to_owned(), length.show_nearest(job.units), from.to_owned()];
                    assert!(rows.iter().any(|cells| *cells == row), "{path}, {}: {row:?} in {rows:?}", door.name);
                    read += 1;
                }
            }
        }
    }
    assert!(read > 60, "{read} figures were read");
}

/// Every slat of every door is drawn closed and open, in true size beside the case, and every stop of the groove once.
#[test]
fn the_plan_of_a_case_shows_each_slat_closed_and_open_and_each_stop() {
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let pages = pages(&job, &plan);
        for (at, cabinet) in job.cabinets.iter().enumerate() {
            let svg = between(&pages[&sheet_name(&job, at)], "<svg class=\"fig\"", "</svg>")[0].to_owned();
            let doors: Vec<_> = plan.doors.iter().filter(|door| door.cabinet == at).collect();
            for pen in ["slat", "ghost"] {
                let drawn = between(&svg, &format!("<path class=\"{pen}\" d=\""), "\"");
                let slats: Vec<usize> = drawn.iter().map(|path| path.matches('Z').count()).collect();
                let wanted: Vec<usize> = doors.iter().map(|door| door.slats as usize + 1).collect();
                assert_eq!(slats, wanted, "{path}, {}, {pen}", cabinet.name);
            }
            let stops = doors.iter().flat_map(|door| &door.stops);
            let named = stops.filter(|stop| stop.station.is_some() && stop.name != "entry filler").count();
            assert_eq!(svg.matches("class=\"stop\"").count(), named, "{path}, {}", cabinet.name);
            // The case is as wide on the sheet as the left lead slat is beside its own slats.
            let Some(width) = cabinet.inside.map(|inside| inside.width.mm_f64()) else { continue };
            let board = between(&svg, "<path class=\"board\" d=\"M", "\"")[0];
            let (left, right) = (number(board, ""), number(board, "H"));
            for slats in between(&svg, "<path class=\"slat\" d=\"M", "\"") {
                let corners = slats.split(['M', 'L', 'Z']).filter(|corner| !corner.is_empty());
                let within = corners.map(|corner| number(corner, "")).all(|x| x > left - 0.1 && x < right + 0.1);
                assert!(within, "{path}, {}: a slat stands outside the case", cabinet.name);
            }
            let lead = between(&svg, "<path class=\"slat\" d=\"M", "Z")[0];
            let corners: Vec<f64> = lead.split('L').map(|corner| number(corner, "")).collect();
            let wide =
                corners.iter().copied().fold(f64::MIN, f64::max) - corners.iter().copied().fold(f64::MAX, f64::min);
            if matches!(cabinet.doors[0].track, DoorTrack::Case { hand: Hand::Left | Hand::Right | Hand::PairLeft, .. })
            {
                let told = doors[0].lead_width.mm_f64() / width * (right - left);
                assert!((wide - told).abs() < 0.2, "{path}, {}: {wide} {told}", cabinet.name);
            }
        }
    }
}

/// The first figure after a mark.
fn number(text: &str, after: &str) -> f64 {
    let from = &text[text.find(after).unwrap() + after.len()..];
    from.split(|c: char| !c.is_ascii_digit() && c != '.' && c != '-')
        .find(|part| !part.is_empty())
        .unwrap()
        .parse()
        .unwrap()
}
