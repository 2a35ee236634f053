//! A board of the count said in a line, as rows.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::count::{crosscut, known_board, known_part, no_longer_than_it_is};
use super::{CountRow, CutPlan};
use crate::demand::Part;
use crate::files::{At, CountLine, Desk, Kind, Problem, Said};
use crate::job::Job;
use crate::measure::Length;

/// What a line says of one board, part by part.
struct Board<'a> {
    desk: &'a Desk<'a>,
    job: &'a Job,
    parts: &'a [Part],
    plan: &'a CutPlan,
    line: &'a CountLine,
    /// Index of the board in the plan.
    board: usize,
    /// Parts that the board yields, and how many strips of each.
    yields: BTreeMap<usize, u32>,
    /// Rejects of them, and over which length they are straight.
    rejected: BTreeMap<usize, (u32, Option<Length>)>,
}

/// The rows that a line says of its boards. Rejects of no named part are shared among the board's parts as it yields
/// them.
pub(super) fn said(desk: &Desk, job: &Job, parts: &[Part], plan: &CutPlan, line: &CountLine) -> Vec<CountRow> {
    let (first, last) = line.boards;
    let nothing = |said: &Said| matches!(said, Said::Rejected(0, ..));
    if first < last && !line.said.iter().all(nothing) {
        let problem = Problem::new(Kind::BadValue, line.place, "rejects are counted board by board");
        desk.add(problem.help("write a line for each board; only `all straight` may be said of several"));
        return Vec::new();
    }
    let mut rows = Vec::new();
    for number in first..=last {
        let Some(board) = known_board(desk, plan, &At { value: number, place: line.place }) else { break };
        let cut = &plan.boards[board];
        let yields = cut.rips.iter().map(|row| (row.part, cut.yields(row.part))).collect();
        let here = Board { desk, job, parts, plan, line, board, yields, rejected: BTreeMap::new() };
        rows.extend(here.rows().unwrap_or_default());
    }
    rows
}

impl Board<'_> {
    /// Its rows; `None` when a problem is noted.
    fn rows(mut self) -> Option<Vec<CountRow>> {
        let mut unnamed = 0u32;
        for said in &self.line.said {
            match said {
                Said::Rejected(count, Some(part), straight) => {
                    let part = self.part(part)?;
                    self.reject(part, *count, *straight)?;
                }
                Said::Rejected(count, None, None) => unnamed = unnamed.saturating_add(*count),
                Said::Rejected(count, None, straight) => {
                    let part = self.only_part()?;
                    self.reject(part, *count, *straight)?;
                }
                Said::Crosscut(..) => {}
            }
        }
        self.share_out(unnamed)?;
        let rows = self.yields.iter().map(|(&part, &yields)| {
            let (rejected, straight_length) = self.rejected.get(&part).copied().unwrap_or_default();
            let (straight, hours) = (yields - rejected, Decimal::ZERO);
            CountRow { board: self.board, part, straight, rejected, straight_length, crosscut: None, hours }
        });
        let mut rows: Vec<CountRow> = rows.collect();
        for said in &self.line.said {
            if let Said::Crosscut(from, strips, to) = said {
                self.crosscut(&mut rows, from, (*strips, to.clone()))?;
            }
        }
        Some(rows)
    }

    fn problem(&self, what: impl Into<String>, help: impl Into<String>) {
        self.desk.add(Problem::new(Kind::Conflict, self.line.place, what.into()).help(help.into()));
    }

    fn part(&self, name: &str) -> Option<usize> {
        let at = At { value: name.to_owned(), place: self.line.place };
        known_part(self.desk, self.parts, self.plan, self.board, &at)
    }

    /// The part that is meant where none is named.
    fn only_part(&self) -> Option<usize> {
        if self.yields.len() == 1 {
            return self.yields.keys().next().copied();
        }
        let names: Vec<&str> = self.yields.keys().map(|part| self.parts[*part].name.as_str()).collect();
        let what = format!("board {} yields several sizes: which is straight over that length?", self.board + 1);
        self.problem(
            what,
            format!("name it, as in `2 bowed {} straight 20`; it yields {}", names[0], names.join(", ")),
        );
        None
    }

    fn reject(&mut self, part: usize, count: u32, straight: Option<Length>) -> Option<()> {
        if let Some(straight) = straight {
            let at = At { value: straight, place: self.line.place };
            no_longer_than_it_is(self.desk, self.job, &self.parts[part], &at);
        }
        let before = self.rejected.get(&part).copied();
        if before.is_some_and(|(_, other)| other != straight) {
            let what = format!("rejects of {} are said with and without a straight length", self.parts[part].name);
            self.problem(what, "say them once, with the length over which all of them are straight");
            return None;
        }
        let sum = before.map_or(0, |(sum, _)| sum).saturating_add(count);
        self.rejected.insert(part, (sum, straight));
        Some(())
    }

    /// Strips of a part that nobody has rejected.
    fn left(&self, part: usize) -> u32 {
        self.yields[&part].saturating_sub(self.rejected.get(&part).map_or(0, |(count, _)| *count))
    }

    /// Shares rejects of no named part out, each to the part of which the largest share is still taken for straight.
    fn share_out(&mut self, unnamed: u32) -> Option<()> {
        let room: u64 = self.yields.keys().map(|part| u64::from(self.left(*part))).sum();
        let over = self.rejected.iter().any(|(part, (count, _))| *count > self.yields[part]);
        if over || u64::from(unnamed) > room {
            let all: u64 = self.yields.values().map(|yields| u64::from(*yields)).sum();
            let each: Vec<String> =
                self.yields.iter().map(|(at, n)| format!("{n} of {}", self.parts[*at].name)).collect();
            let what = format!("more strips are rejected than board {} yields", self.board + 1);
            self.problem(what, format!("it yields {all}: {}", each.join(", ")));
            return None;
        }
        if unnamed > 0 && self.rejected.values().any(|(_, straight)| straight.is_some()) {
            let what = "some rejects are said with a straight length, others of no named size";
            self.problem(what, "name the size of every reject of such a board");
            return None;
        }
        for _ in 0..unnamed {
            let share = |part: usize| f64::from(self.left(part)) / f64::from(self.yields[&part].max(1));
            let next =
                self.yields.keys().copied().max_by(|a, b| {
                    share(*a).total_cmp(&share(*b)).then(self.left(*a).cmp(&self.left(*b))).then(b.cmp(a))
                });
            if let Some(part) = next {
                self.rejected.entry(part).or_default().0 += 1;
            }
        }
        Some(())
    }

    /// Notes in the row of a part what was crosscut of it.
    fn crosscut(&self, rows: &mut [CountRow], from: &str, made: (u32, String)) -> Option<()> {
        let part = self.part(from)?;
        let row = rows.iter_mut().find(|row| row.part == part)?;
        if row.crosscut.is_some() {
            let what = format!("strips of {from} are crosscut twice on one board");
            self.problem(what, "say once into how many strips of which size");
            return None;
        }
        let at = At { value: made, place: self.line.place };
        row.crosscut = Some(crosscut(self.desk, self.job, self.parts, row, &at)?);
        Some(())
    }
}
