//! Boards: every cutting rule and every strip.

use std::collections::{BTreeMap, BTreeSet};

use super::wide::{length, nm};
use super::{Place, Violation, board_prices};
use crate::demand::Part;
use crate::job::{BoardStock, CuttingRules, Job, Milling, Order, OrderRule};
use crate::measure::{Length, StockThickness};
use crate::packing::boards::{Blank, BoardPlan, CutBoard, RipGroup};

/// Boards cut for the parts of a job.
#[derive(Clone, Copy)]
pub(super) struct Cut<'a> {
    pub(super) job: &'a Job,
    pub(super) parts: &'a [Part],
    pub(super) boards: &'a BoardPlan,
}

pub(super) fn check(claim: Cut<'_>, found: &mut Vec<Violation>) {
    for (i, board) in claim.boards.boards.iter().enumerate() {
        match claim.job.boards.get(board.stock) {
            Some(stock) => Sawn { claim, stock, board, number: i + 1 }.check(found),
            None => found.push(Violation::StockUnknown { board: i + 1, stock: board.stock }),
        }
    }
    check_millings(claim, found);
    check_coverage(claim, found);
    board_prices::check(claim, found);
    super::widths::check(claim, found);
}

/// A blank, or pieces one behind the other, and where along its board it lies.
struct Lies {
    place: Place,
    from: i128,
    to: i128,
}

/// One board of the plan with the stock it is cut from.
struct Sawn<'a> {
    claim: Cut<'a>,
    stock: &'a BoardStock,
    board: &'a CutBoard,
    number: usize,
}

impl Sawn<'_> {
    fn rules(&self) -> &CuttingRules {
        &self.claim.job.shop.cutting
    }

    /// The board without its trimmed ends.
    fn usable_length(&self) -> i128 {
        nm(self.stock.length) - 2 * nm(self.rules().end_trim)
    }

    /// The board without its jointed edges and the strip that is held, which the last cut must leave whole.
    fn usable_width(&self) -> i128 {
        let edges = match self.board.order {
            Order::CrosscutFirst => self.rules().edge_trim_crosscut,
            Order::RipFirst => self.rules().edge_trim_rip,
        };
        let last_cut = if nm(self.rules().hold_width) == 0 { 0 } else { nm(self.rules().rip_kerf) };
        nm(self.stock.width) - nm(edges) - last_cut - nm(self.rules().hold_width)
    }

    fn check(&self, found: &mut Vec<Violation>) {
        let (number, order) = (self.number, self.board.order);
        if let OrderRule::Only(only) = self.rules().order
            && only != order
        {
            found.push(Violation::OrderForbidden { board: number, order: order.word() });
        }
        if self.board.blanks.is_empty() {
            found.push(Violation::BoardEmpty { board: number });
        }
        match order {
            Order::CrosscutFirst => self.check_crosscut_first(found),
            Order::RipFirst => self.check_rip_first(found),
        }
        for (place, blank) in self.blanks() {
            self.check_thickness(place, blank, found);
            self.check_rows(place, blank, found);
        }
    }

    fn blanks(&self) -> impl Iterator<Item = (Place, &Blank)> {
        let place = |blank| Place { board: self.number, blank };
        self.board.blanks.iter().enumerate().map(move |(i, blank)| (place(i + 1), blank))
    }

    /// Blanks with their kerfs along the board, then rips with theirs across each blank.
    fn check_crosscut_first(&self, found: &mut Vec<Violation>) {
        let blanks = &self.board.blanks;
        let rough: i128 = blanks.iter().map(|blank| nm(blank.length)).sum();
        let needed = rough + kerfs(blanks.len() as i128, self.rules().crosscut_kerf);
        let usable = self.usable_length();
        if needed > usable {
            let (needed, usable) = (length(needed), length(usable));
            found.push(Violation::BlanksTooLong { board: self.number, needed, usable });
        } else {
            let lie = self.blanks().map(|(place, blank)| self.blank_lies(place, blank, found)).collect();
            self.check_places(lie, found);
        }
        for (place, blank) in self.blanks() {
            let least = self.rules().min_blank;
            if blank.length < least || !blank.length.is_positive() {
                found.push(Violation::BlankTooShort { place, length: blank.length, least });
            }
            if let Some(most) = self.rules().max_blank.filter(|most| blank.length > *most) {
                found.push(Violation::BlankTooLong { place, length: blank.length, most });
            }
            let rips: i128 = blank.rips.iter().map(|row| i128::from(row.rips)).sum();
            let sawn: i128 = blank.rips.iter().map(|row| nm(row.rip_width) * i128::from(row.rips)).sum();
            let needed = sawn + kerfs(rips, self.rules().rip_kerf);
            let usable = self.usable_width();
            if needed > usable {
                found.push(Violation::RipsTooWide { place, needed: length(needed), usable: length(usable) });
            }
            for row in &blank.rips {
                self.check_pieces(place, std::slice::from_ref(row), blank.length, found);
            }
        }
    }

    /// Rips with their kerfs across the board, then pieces with theirs along each rip.
    fn check_rip_first(&self, found: &mut Vec<Violation>) {
        let mut rips = 0;
        let mut sawn = 0;
        let usable = self.usable_length();
        for (place, blank) in self.blanks() {
            if nm(blank.length) != usable {
                let (claimed, expected) = (blank.length, length(usable));
                found.push(Violation::RipLength { place, claimed, expected });
            }
            let Some(first) = blank.rips.first() else { continue };
            if blank.rips.iter().any(|row| (row.rips, row.rip_width) != (first.rips, first.rip_width)) {
                found.push(Violation::RipsDiffer { place });
            }
            rips += i128::from(first.rips);
            sawn += nm(first.rip_width) * i128::from(first.rips);
            if self.check_pieces(place, &blank.rips, length(usable), found) {
                self.check_places(self.runs_of_pieces(place, blank), found);
            }
        }
        let needed = sawn + kerfs(rips, self.rules().rip_kerf);
        let usable = self.usable_width();
        if needed > usable {
            let (needed, usable) = (length(needed), length(usable));
            found.push(Violation::BoardTooNarrow { board: self.number, needed, usable });
        }
    }

    /// Where a blank lies; all its rips begin there.
    fn blank_lies(&self, place: Place, blank: &Blank, found: &mut Vec<Violation>) -> Lies {
        let from = blank.rips.first().map_or(0, |row| nm(row.from));
        if blank.rips.iter().any(|row| nm(row.from) != from) {
            found.push(Violation::RowsApart { place });
        }
        Lies { place, from, to: from + nm(blank.length) }
    }

    /// Where the pieces of each row of a full-length rip lie, one behind the other.
    fn runs_of_pieces(&self, place: Place, blank: &Blank) -> Vec<Lies> {
        let rows = blank.rips.iter().filter_map(|row| Some((row, self.claim.parts.get(row.part)?)));
        rows.map(|(row, part)| {
            let pieces = i128::from(row.pieces);
            let sawn = (nm(part.length) + nm(self.rules().length_trim)) * pieces;
            let from = nm(row.from);
            Lies { place, from, to: from + sawn + kerfs(pieces, self.rules().crosscut_kerf) }
        })
        .collect()
    }

    /// Between the trimmed ends, beside every defect, and a kerf apart from one another. Beside a defect the
    /// kerf comes out of the defect, which takes it whole where it is shorter than the kerf.
    fn check_places(&self, mut lies: Vec<Lies>, found: &mut Vec<Violation>) {
        let kerf = nm(self.rules().crosscut_kerf);
        let (begin, end) = (nm(self.rules().end_trim), nm(self.stock.length) - nm(self.rules().end_trim));
        lies.sort_by_key(|lies| lies.from);
        for Lies { place, from, to } in &lies {
            let (place, span) = (*place, (length(*from), length(*to)));
            if *from < begin || *to > end {
                found.push(Violation::OffTheEnds { place, span, usable: (length(begin), length(end)) });
            }
            for defect in &self.stock.defects {
                let (starts, stops) = (nm(defect.from), nm(defect.to).max(nm(defect.from) + kerf));
                if *from < stops && *to > starts {
                    found.push(Violation::OverDefect { place, span, defect: (defect.from, length(stops)) });
                }
            }
        }
        for pair in lies.windows(2).filter(|pair| pair[1].from < pair[0].to + kerf) {
            let (from, free) = (length(pair[1].from), length(pair[0].to + kerf));
            found.push(Violation::TooClose { place: pair[1].place, from, free });
        }
    }

    /// The pieces of one rip, trimmed later, with the kerfs between them; true when they fit.
    fn check_pieces(&self, place: Place, rows: &[RipGroup], available: Length, found: &mut Vec<Violation>) -> bool {
        let mut pieces = 0;
        let mut sawn = 0;
        for row in rows {
            let Some(part) = self.claim.parts.get(row.part) else { continue };
            pieces += i128::from(row.pieces);
            sawn += (nm(part.length) + nm(self.rules().length_trim)) * i128::from(row.pieces);
        }
        let needed = sawn + kerfs(pieces, self.rules().crosscut_kerf);
        if needed > nm(available) {
            found.push(Violation::PiecesTooLong { place, needed: length(needed), length: available });
        }
        needed <= nm(available)
    }

    /// Leaves, planed faces and resaw kerfs against the board's thickness.
    fn check_thickness(&self, place: Place, blank: &Blank, found: &mut Vec<Violation>) {
        let rules = self.rules();
        let leaves = blank.leaves;
        if leaves == 0 {
            found.push(Violation::NoLeaves { place });
            return;
        }
        if leaves > 1 && !rules.resaw {
            found.push(Violation::ResawForbidden { place, leaves });
        }
        let thickness = match self.stock.thickness {
            StockThickness::Rough(quarters) => quarters.length(),
            StockThickness::Surfaced { actual, .. } | StockThickness::Sawn(actual) | StockThickness::Plain(actual) => {
                actual
            }
        };
        let face =
            if nm(thickness) >= nm(Length::from_inches(2)) { rules.face_trim_thick } else { rules.face_trim_thin };
        let planed = nm(blank.planed);
        let faces = match self.stock.thickness {
            StockThickness::Rough(_) | StockThickness::Sawn(_) => 2 * nm(face),
            // Faces planed already give up no more than there is.
            StockThickness::Surfaced { .. } | StockThickness::Plain(_) => {
                (2 * nm(face)).min(nm(thickness) - planed).max(0)
            }
        };
        let m = i128::from(leaves);
        let cups = if leaves > 1 { m * nm(rules.leaf_trim) } else { 0 };
        let needed = m * (planed + faces) + kerfs(m, rules.resaw_kerf) + cups;
        if needed > nm(thickness) {
            found.push(Violation::TooThick { place, leaves, needed: length(needed), thickness });
        }
    }

    fn check_rows(&self, place: Place, blank: &Blank, found: &mut Vec<Violation>) {
        if blank.rips.is_empty() {
            found.push(Violation::BlankEmpty { place });
        }
        if blank.rips.windows(2).any(|rows| rows[0].part > rows[1].part) {
            found.push(Violation::RowsUnsorted { place });
        }
        for row in &blank.rips {
            match self.claim.parts.get(row.part) {
                Some(part) => self.check_row(place, blank, row, part, found),
                None => found.push(Violation::PartUnknown { place, part: row.part }),
            }
        }
    }

    fn check_row(&self, place: Place, blank: &Blank, row: &RipGroup, part: &Part, found: &mut Vec<Violation>) {
        let name = || part.name.clone();
        if row.rips == 0 || row.pieces == 0 {
            found.push(Violation::RowEmpty { place, part: name() });
        }
        if part.species != self.stock.species {
            let (wanted, species) = (part.species.to_string(), self.stock.species.to_string());
            found.push(Violation::WrongSpecies { place, part: name(), wanted, found: species });
        }
        if !part.millings.list().contains(&blank.milling) {
            found.push(Violation::MillingForbidden { place, part: name(), milling: milling_word(blank.milling) });
        }
        let rules = self.rules();
        let (planed, ripped) = match blank.milling {
            Milling::Flat => (part.thickness, nm(part.width) + nm(rules.rip_trim)),
            Milling::Edge => (part.width, nm(part.thickness) + nm(rules.rip_trim) + nm(rules.edge_clean)),
        };
        if blank.planed != planed {
            found.push(Violation::Planed { place, part: name(), claimed: blank.planed, expected: planed });
        }
        let claimed = row.rip_width;
        match self.board.order {
            Order::CrosscutFirst if nm(claimed) != ripped => {
                found.push(Violation::RipWidth { place, part: name(), claimed, expected: length(ripped) });
            }
            Order::RipFirst if nm(claimed) < ripped => {
                found.push(Violation::RipTooNarrow { place, part: name(), rip: claimed, needed: length(ripped) });
            }
            _ => {}
        }
    }
}

/// Kerfs between `pieces` pieces.
fn kerfs(pieces: i128, kerf: Length) -> i128 {
    nm(kerf) * (pieces - 1).max(0)
}

const fn milling_word(milling: Milling) -> &'static str {
    match milling {
        Milling::Flat => "flat",
        Milling::Edge => "on edge",
    }
}

/// Every row of the plan that names a part of the job.
fn rows<'a>(claim: Cut<'a>) -> impl Iterator<Item = (&'a Blank, &'a RipGroup, &'a Part)> {
    let parts = claim.parts;
    let blanks = claim.boards.boards.iter().flat_map(|board| &board.blanks);
    let rows = blanks.flat_map(|blank| blank.rips.iter().map(move |row| (blank, row)));
    rows.filter_map(move |(blank, row)| Some((blank, row, parts.get(row.part)?)))
}

fn check_millings(claim: Cut<'_>, found: &mut Vec<Violation>) {
    let mut millings: BTreeMap<usize, BTreeSet<Milling>> = BTreeMap::new();
    for (blank, row, _) in rows(claim) {
        millings.entry(row.part).or_default().insert(blank.milling);
    }
    let two = millings.into_iter().filter(|(_, millings)| millings.len() > 1);
    found.extend(two.map(|(part, _)| Violation::TwoMillings { part: claim.parts[part].name.clone() }));
}

fn check_coverage(claim: Cut<'_>, found: &mut Vec<Violation>) {
    let mut cut = vec![0u128; claim.parts.len()];
    for (blank, row, _) in rows(claim) {
        cut[row.part] += u128::from(row.rips) * u128::from(row.pieces) * u128::from(blank.leaves);
    }
    for (part, cut) in claim.parts.iter().zip(cut) {
        let wanted = u64::from(part.needed) + u64::from(part.spares);
        if cut < u128::from(wanted) {
            found.push(Violation::StripsShort { part: part.name.clone(), cut, wanted });
        }
    }
}
