//! The story stick: every mark stands where its length ends, and no length that is set more than once is missing.

use std::collections::BTreeSet;

use slatwright::job::{DoorTrack, Job, Order};
use slatwright::measure::{Length, Units};
use slatwright::plan::Plan;

use crate::pages::sheets::{ODD, REAL, SMALL, attribute, between, pages, planned};

/// A column is 48 mm wide, its line 7 mm in, with 4 mm of white below; four stand on a sheet.
fn marked(page: &str, units: Units) -> BTreeSet<i64> {
    let column = if units == Units::Inch { 9.0 * 25.4 } else { 230.0 };
    let mut found = BTreeSet::new();
    for (sheet, svg) in between(page, "<svg ", "</svg>").into_iter().enumerate() {
        for stop in between(svg, "<g class=\"stop\"", "</g>").iter().flat_map(|stops| between(stops, "<line", "/>")) {
            let at = (attribute(stop, "x1") - 4.0) / 48.0;
            assert!((at - at.round()).abs() < 1e-6, "a mark begins 4 mm in: {stop}");
            let up = column + 4.0 - attribute(stop, "y1");
            found.insert(hundredths((sheet as f64 * 4.0 + at.round()) * column + up));
        }
    }
    found
}

fn hundredths(mm: f64) -> i64 {
    (mm * 100.0).round() as i64
}

/// Worked out from the plan, cut by cut.
fn wanted(job: &Job, plan: &Plan) -> BTreeSet<i64> {
    let mut lengths: Vec<Length> = Vec::new();
    for board in &plan.boards.boards {
        for blank in &board.blanks {
            lengths.extend((board.order == Order::CrosscutFirst).then_some(blank.length));
            lengths.push(blank.planed);
            lengths.extend(blank.rips.iter().map(|rips| rips.rip_width));
        }
    }
    lengths.extend(plan.demand.parts.iter().map(|part| part.length));
    for door in &plan.doors {
        lengths.extend(door.stops.iter().map(|stop| stop.distance));
        if let DoorTrack::Case { setback, side_inset, back_inset, .. } =
            &job.cabinets[door.cabinet].doors[door.index].track
        {
            lengths.extend([*setback, *side_inset, *back_inset]);
        }
    }
    lengths.into_iter().filter(|length| length.is_positive()).map(|length| hundredths(length.mm_f64())).collect()
}

#[test]
fn every_length_is_marked_where_it_ends() {
    for path in [REAL, SMALL, ODD] {
        let (job, plan) = planned(path);
        let (marked, wanted) = (marked(&pages(&job, &plan)["pages/story-stick.html"], job.units), wanted(&job, &plan));
        // The drawing is written to a thousandth of a millimetre, which may round a hundredth the other way.
        let near = |of: &BTreeSet<i64>, at: &i64| (-1..=1).any(|off| of.contains(&(at + off)));
        let missing: Vec<_> = wanted.iter().filter(|at| !near(&marked, at)).collect();
        let odd: Vec<_> = marked.iter().filter(|at| !near(&wanted, at)).collect();
        assert!(missing.is_empty() && odd.is_empty() && marked.len() >= 8, "{path}: {missing:?} {odd:?}");
    }
}
