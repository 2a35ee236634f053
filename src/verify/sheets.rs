//! Sheets: every panel of sheet goods is cut, with its grain along the sheet, under the saw's rules for sheets.

use std::collections::BTreeMap;

use super::boards::{self, Cut};
use super::{Claim, Violation};
use crate::demand::{Belief, Part};
use crate::job::{BoardPlace, BoardStock, BoardUnit, CuttingRules, Job, Millings, OrderRule, Species};
use crate::measure::{Length, StockThickness};

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    check_parts(claim, found);
    if claim.case.parts.is_empty() && claim.sheets.boards.is_empty() {
        return;
    }
    let job = as_boards(claim.job);
    let parts: Vec<Part> = claim
        .case
        .parts
        .iter()
        .map(|part| Part {
            name: part.name.clone(),
            species: goods(&part.material, part.thickness),
            length: part.length,
            width: part.width,
            thickness: part.thickness,
            millings: Millings::Flat,
            needed: part.count,
            spares: 0,
            belief: Belief::sure(0.0),
            at_risk: false,
            uses: Vec::new(),
        })
        .collect();
    let mut wrong = Vec::new();
    boards::check(Cut { job: &job, parts: &parts, boards: claim.sheets }, &mut wrong);
    found.extend(wrong.into_iter().map(|violation| Violation::Sheets(Box::new(violation))));
}

/// The pooled sizes are those of the panels that some sheet is for.
fn check_parts(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    type Size = (String, Length, Length, Length);
    let mut wanted: BTreeMap<Size, u64> = BTreeMap::new();
    for panel in claim.case.panels.iter().filter(|panel| panel.material.solid.is_none()) {
        let name = panel.material.name.to_lowercase();
        let row =
            claim.job.sheets.iter().find(|row| row.material.to_lowercase() == name && row.thickness == panel.thickness);
        if row.is_none() {
            continue;
        }
        let edge = panel.edged.thickness;
        let length = if panel.edged.ends { panel.length - edge - edge } else { panel.length };
        let width = if panel.edged.front { panel.width - edge } else { panel.width };
        *wanted.entry((name, panel.thickness, length, width)).or_default() += u64::from(panel.count);
    }
    let mut claimed: BTreeMap<Size, u64> = BTreeMap::new();
    for part in &claim.case.parts {
        let size = (part.material.to_lowercase(), part.thickness, part.length, part.width);
        *claimed.entry(size).or_default() += u64::from(part.count);
    }
    if wanted != claimed {
        found.push(Violation::SheetParts);
    }
}

/// One kind of sheet goods stands for one wood.
fn goods(material: &str, thickness: Length) -> Species {
    Species::settled(&format!("{} {}", material.to_lowercase(), thickness.nm()))
}

/// The job with its sheets for boards and the sheets' rules for the boards'.
fn as_boards(job: &Job) -> Job {
    let mut shadow = job.clone();
    let panels = job.shop.panels;
    let none = Length::ZERO;
    shadow.shop.cutting = CuttingRules {
        rip_kerf: panels.kerf,
        crosscut_kerf: panels.kerf,
        resaw_kerf: none,
        end_trim: panels.trim,
        edge_trim_crosscut: panels.trim + panels.trim,
        edge_trim_rip: panels.trim + panels.trim,
        hold_width: none,
        length_trim: none,
        rip_trim: none,
        edge_clean: none,
        face_trim_thin: none,
        face_trim_thick: none,
        resaw: false,
        leaf_trim: none,
        min_blank: none,
        max_blank: None,
        order: OrderRule::Any,
    };
    let rows = job.sheets.iter().map(|row| BoardStock {
        stock: row.sheet.clone(),
        species: goods(&row.material, row.thickness),
        thickness: StockThickness::Plain(row.thickness),
        width: row.width,
        length: row.length,
        defects: Vec::new(),
        place: if row.on_hand.is_none() { BoardPlace::Yard } else { BoardPlace::Rack },
        on_hand: row.on_hand,
        price: row.price.map(|price| (price, BoardUnit::Each)),
        unit_cost: row.unit_cost,
        random: false,
        widths: None,
        held: Vec::new(),
    });
    shadow.boards = rows.collect();
    shadow
}
