//! Panels pooled by size: what is cut out of sheets, what is glued up from boards, and what is only listed.

use super::Panel;
use crate::job::{CuttingRules, Job, Material, OrderRule, PanelRules, SheetStock, Species};
use crate::measure::{Area, Length};

/// Panels of one size cut out of one kind of sheet goods.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPart {
    /// `P01`, `P02`, ...: largest first within a material.
    pub name: String,
    /// What it is cut from, as the sheets file has it.
    pub material: String,
    /// Its thickness.
    pub thickness: Length,
    /// As cut, along the grain.
    pub length: Length,
    /// As cut, across the grain.
    pub width: Length,
    /// How many.
    pub count: u32,
    /// Indices into the panels that it stands for.
    pub panels: Vec<usize>,
}

/// Panels of one wood and thickness, glued up from boards.
#[derive(Debug, Clone, PartialEq)]
pub struct SolidWood {
    /// The wood.
    pub species: Species,
    /// Finished thickness.
    pub thickness: Length,
    /// Of all panels, as cut.
    pub area: Area,
    /// How many.
    pub count: u32,
}

/// True when a row of the sheets file is what a panel is cut from.
#[must_use]
pub fn yields(sheet: &SheetStock, material: &Material, thickness: Length) -> bool {
    material.is_sheet(&sheet.material) && sheet.thickness == thickness
}

/// Panels out of sheets that the job's file has, pooled by material and size.
pub(super) fn parts(job: &Job, panels: &[Panel]) -> Vec<SheetPart> {
    let mut parts: Vec<SheetPart> = Vec::new();
    for (index, panel) in panels.iter().enumerate() {
        let Some(sheet) = job.sheets.iter().find(|sheet| yields(sheet, &panel.material, panel.thickness)) else {
            continue;
        };
        let (length, width) = (panel.cut_length(), panel.cut_width());
        let same = |part: &&mut SheetPart| {
            (&part.material, part.thickness, part.length, part.width)
                == (&sheet.material, sheet.thickness, length, width)
        };
        if let Some(part) = parts.iter_mut().find(same) {
            part.count = part.count.saturating_add(panel.count);
            part.panels.push(index);
        } else {
            let (material, thickness) = (sheet.material.clone(), sheet.thickness);
            let part = SheetPart {
                name: String::new(),
                material,
                thickness,
                length,
                width,
                count: panel.count,
                panels: vec![index],
            };
            parts.push(part);
        }
    }
    parts.sort_by(|a, b| {
        (&a.material, a.thickness).cmp(&(&b.material, b.thickness)).then((b.length, b.width).cmp(&(a.length, a.width)))
    });
    for (number, part) in (1..).zip(&mut parts) {
        part.name = format!("P{number:02}");
    }
    parts
}

/// Solid panels by wood and thickness.
pub(super) fn solid(panels: &[Panel]) -> Vec<SolidWood> {
    let mut woods: Vec<SolidWood> = Vec::new();
    for panel in panels {
        let Some(species) = &panel.material.solid else { continue };
        let area = panel.cut_length() * panel.cut_width() * i64::from(panel.count);
        match woods.iter_mut().find(|wood| wood.species == *species && wood.thickness == panel.thickness) {
            Some(wood) => {
                wood.area = wood.area + area;
                wood.count = wood.count.saturating_add(panel.count);
            }
            None => {
                woods.push(SolidWood {
                    species: species.clone(),
                    thickness: panel.thickness,
                    area,
                    count: panel.count,
                });
            }
        }
    }
    woods.sort_by(|a, b| (&a.species, a.thickness).cmp(&(&b.species, b.thickness)));
    woods
}

/// Sheet goods that no row of the sheets file has, once each: their panels are listed and not packed.
pub(super) fn unlisted(job: &Job, panels: &[Panel]) -> Vec<(String, Length)> {
    let mut found: Vec<(String, Length)> = Vec::new();
    for panel in panels.iter().filter(|panel| panel.material.solid.is_none()) {
        let known = job.sheets.iter().any(|sheet| yields(sheet, &panel.material, panel.thickness));
        let material = (panel.material.name.clone(), panel.thickness);
        if !known && !found.contains(&material) {
            found.push(material);
        }
    }
    found
}

/// The saw's rules for sheets, in the terms of the boards': trimmed on all four sides, nothing planed, nothing held, no piece
/// too short, crosscut first or ripped first as each sheet comes out best. Pieces keep their grain along the sheet's length.
#[must_use]
pub const fn sheet_rules(rules: &PanelRules) -> CuttingRules {
    let none = Length::ZERO;
    let edges = Length::from_nm(rules.trim.nm() * 2);
    CuttingRules {
        rip_kerf: rules.kerf,
        crosscut_kerf: rules.kerf,
        resaw_kerf: none,
        end_trim: rules.trim,
        edge_trim_crosscut: edges,
        edge_trim_rip: edges,
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
    }
}
