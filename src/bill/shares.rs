//! Cost by door and piece: every cost line shared out to doors, loose pieces and the job, to the cent.
//!
//! Boards, what random widths take beyond them and the rack's worth go by the finished wood of each species that a door
//! needs, so that spares, surplus and offcuts follow the wood they come with; cloth by its area, trim included; what is
//! spread by area; milling by strips; panels by what they and their slats take; the rest of the work by doors. Extra lines, and what is counted by the job, stay with
//! the job. The burden follows the labour, overhead and everything after it follow what each has cost so far.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::lumber::RANDOM_WIDTHS;
use super::materials::area;
use super::operations::{Contents, is_chamfered, slats_of};
use super::{Bill, BillError, CostLine, Share};
use crate::case::{Panel, SolidWood, yields};
use crate::doors::Door;
use crate::job::{ConsumableArea, LabourBasis, Operation, OperationRule, Species};
use crate::measure::{Area, apportion};

/// Weights of the receivers, one each, never negative.
type Weights = Vec<i128>;

/// Doors of one cabinet share it: any of these counts divides evenly.
const CABINET: i128 = 720_720;

struct Receivers<'a> {
    contents: &'a Contents<'a>,
    /// All doors, loose strips, loose cloth pieces, and last the job.
    shares: Vec<Share>,
    /// Where each stands, by kind and name; the first of a name.
    places: BTreeMap<(&'static str, &'a str), usize>,
    /// Doors of each cabinet.
    of_cabinet: BTreeMap<usize, usize>,
}

/// What each door, loose piece and the job itself costs; the totals sum to the bill's.
pub(super) fn share_out(contents: &Contents<'_>, bill: &Bill) -> Result<Vec<Share>, BillError> {
    let mut receivers = Receivers::of(contents);
    let weights = receivers.line_weights(bill)?;
    let (direct, added) = bill.costs.split_at(weights.len().min(bill.costs.len()));
    for (line, (column, weights)) in direct.iter().zip(weights) {
        receivers.give(line, column, weights);
    }
    let so_far: Weights = receivers.shares.iter().map(|share| share.total().get().max(0).into()).collect();
    let labour: Weights = receivers.shares.iter().map(|share| share.labour.get().max(0).into()).collect();
    for line in added {
        match line.group.as_str() {
            "burden" => receivers.give(line, Column::Labour, labour.clone()),
            _ => receivers.give(line, Column::Added, so_far.clone()),
        }
    }
    Ok(receivers.shares)
}

/// The column of a share that a line goes to.
#[derive(Debug, Clone, Copy)]
enum Column {
    Boards,
    Cloth,
    Consumables,
    Lines,
    Labour,
    Added,
}

impl<'a> Receivers<'a> {
    fn of(contents: &'a Contents<'a>) -> Self {
        let job = contents.job;
        let doors = contents.doors.iter().map(|door| Share::none("door", &door.name, Some(door.cabinet), door.count));
        let strips = job.strips.iter().map(|strip| Share::none("strip", &strip.name, None, strip.quantity));
        let pieces = job.cloth_pieces.iter().map(|piece| Share::none("cloth piece", &piece.name, None, piece.quantity));
        let mut shares: Vec<Share> = doors.chain(strips).chain(pieces).collect();
        shares.push(Share::none("job", &job.name, None, 1));
        let doors = contents.doors.iter().map(|door| ("door", door.name.as_str()));
        let strips = job.strips.iter().map(|strip| ("strip", strip.name.as_str()));
        let (mut places, mut of_cabinet) = (BTreeMap::new(), BTreeMap::new());
        for (at, named) in doors.chain(strips).enumerate() {
            places.entry(named).or_insert(at);
        }
        contents.doors.iter().for_each(|door| *of_cabinet.entry(door.cabinet).or_default() += 1);
        Self { contents, shares, places, of_cabinet }
    }

    /// Column and weights of every line that is a cost of its own, in the order of the bill.
    fn line_weights(&self, bill: &Bill) -> Result<Vec<(Column, Weights)>, BillError> {
        let job = self.contents.job;
        let mut all = Vec::new();
        let lumber = self.contents.cased.panel_lumber(job);
        let mut lumber = lumber.iter();
        for line in bill.costs.get(..bill.extra.start).unwrap_or_default() {
            match line.group.as_str() {
                "cloth" => all.push((Column::Cloth, self.cloth())),
                "boards" | "rack" => all.push((Column::Boards, self.wood(Some(self.species(&line.item)?)))),
                "sheets" => all.push((Column::Boards, self.sheet(&line.item))),
                "panels" => all.push((Column::Boards, self.glued_up(lumber.next().map(|lumber| lumber.wood)))),
                _ => {}
            }
        }
        all.extend(job.shop.consumables.iter().map(|c| (Column::Consumables, self.spread(c.on))));
        all.extend(job.shop.pricing.counted.iter().map(|c| (Column::Consumables, self.by(c.per))));
        all.extend(job.lines.iter().map(|_| (Column::Lines, self.by(LabourBasis::Job))));
        all.extend(job.shop.labour.iter().map(|line| (Column::Labour, self.by(line.per))));
        all.extend(bill.work.iter().map(|line| (Column::Labour, self.operation(&line.rule))));
        Ok(all)
    }

    /// The wood of a line of boards: its item is a row's name, alone or behind what is said of it.
    fn species(&self, item: &str) -> Result<&Species, BillError> {
        let boards = &self.contents.job.boards;
        let named = |name: &str| boards.iter().find(|stock| stock.stock == name);
        let stock = named(item).or_else(|| named(item.strip_prefix(RANDOM_WIDTHS)?));
        stock.map(|stock| &stock.species).ok_or(BillError::UnknownStock { index: boards.len() })
    }

    fn operation(&self, rule: &OperationRule) -> Weights {
        match rule.operation {
            Operation::Wash => self.cloth(),
            Operation::Crosscut | Operation::Joint | Operation::Plane | Operation::Rip | Operation::Sort => {
                self.by(LabourBasis::Strip)
            }
            Operation::PanelGlueUp => self.over_panels(|panel| i128::from(panel.material.solid.is_some())),
            Operation::PanelCut => self.over_panels(|_| 1),
            Operation::PanelEdge => self.over_panels(|panel| i128::from(panel.edging().nm() / 1_000)),
            Operation::CaseGlueUp => self.over_panels(|panel| i128::from(panel.name == "top")),
            Operation::Chamfer => self.over_doors(|door| self.chamfered(door)),
            Operation::Sand => self.over_doors(|door| {
                i128::from(slats_of(door)) * i128::from(door.count) * i128::from(door.slat_length.nm() / 1_000)
            }),
            Operation::Finish => self.spread(ConsumableArea::Show),
            Operation::GlueUp | Operation::Trim => self.over_doors(|door| by_slats(rule, door, 1)),
            Operation::Rabbet => self.over_doors(|door| by_slats(rule, door, 2)),
            Operation::Template | Operation::TestCorner | Operation::Forms | Operation::Grooves | Operation::Hang => {
                self.by(LabourBasis::Door)
            }
        }
    }

    /// A weight for each door, none for the rest.
    fn over_doors(&self, weight: impl Fn(&Door) -> i128) -> Weights {
        let mut weights: Weights = self.contents.doors.iter().map(weight).collect();
        weights.resize(self.shares.len(), 0);
        weights
    }

    /// A weight for each panel, those of a case shared by its doors.
    fn over_panels(&self, each: impl Fn(&Panel) -> i128) -> Weights {
        let mut of_cabinet: BTreeMap<usize, i128> = BTreeMap::new();
        for panel in &self.contents.cased.case.panels {
            *of_cabinet.entry(panel.cabinet).or_default() += each(panel) * i128::from(panel.count);
        }
        self.over_doors(|door| {
            let doors = self.of_cabinet.get(&door.cabinet).copied().unwrap_or(1);
            CABINET / doors.max(1) as i128 * of_cabinet.get(&door.cabinet).copied().unwrap_or_default()
        })
    }

    /// By the area of the panels that come out of sheets like those of a row.
    fn sheet(&self, name: &str) -> Weights {
        let row = self.contents.job.sheets.iter().find(|sheet| sheet.sheet == name);
        self.over_panels(|panel| {
            let from = row.is_some_and(|row| yields(row, &panel.material, panel.thickness));
            if from { panel_area(panel) } else { 0 }
        })
    }

    /// By the area of the panels glued up from one wood in one thickness.
    fn glued_up(&self, wood: Option<&SolidWood>) -> Weights {
        self.over_panels(|panel| {
            let of = wood.is_some_and(|wood| {
                panel.material.solid.as_ref() == Some(&wood.species) && panel.thickness == wood.thickness
            });
            if of { panel_area(panel) } else { 0 }
        })
    }

    fn spread(&self, on: ConsumableArea) -> Weights {
        self.over_doors(|door| weight(area(self.contents.job, std::slice::from_ref(door), on)))
    }

    fn chamfered(&self, door: &Door) -> i128 {
        let cabinet = self.contents.job.cabinets.get(door.cabinet);
        let spec = cabinet.and_then(|cabinet| cabinet.doors.get(door.index));
        if spec.is_some_and(|spec| is_chamfered(&spec.slats)) {
            (i128::from(door.slats) + 1) * i128::from(door.count)
        } else {
            0
        }
    }

    fn cloth(&self) -> Weights {
        let job = self.contents.job;
        let doors = self.contents.doors;
        let doors = doors.iter().map(|d| d.cloth_along_slat * d.cloth_along_travel * i64::from(d.count));
        let mut weights: Weights = doors.map(weight).collect();
        weights.extend(job.strips.iter().map(|_| 0));
        weights.extend(job.cloth_pieces.iter().map(|p| weight(p.along * p.across * i64::from(p.quantity))));
        weights.push(0);
        weights
    }

    /// Finished wood needed of one species, or of all, in cubic nanometres.
    fn wood(&self, species: Option<&Species>) -> Weights {
        self.over_parts(|part| {
            let volume = (part.length * part.width * part.thickness).nm3();
            if species.is_none_or(|species| *species == part.species) { volume } else { 0 }
        })
    }

    /// So much for each strip that a door or a loose strip needs.
    fn over_parts(&self, each: impl Fn(&crate::demand::Part) -> i128) -> Weights {
        let mut weights = vec![0; self.shares.len()];
        for part in &self.contents.demand.parts {
            let each = each(part);
            for user in &part.uses {
                let what = if user.role == "strip" { "strip" } else { "door" };
                if let Some(&at) = self.places.get(&(what, user.name.as_str())) {
                    weights[at] += each * i128::from(user.strips);
                }
            }
        }
        weights
    }

    fn by(&self, basis: LabourBasis) -> Weights {
        match basis {
            LabourBasis::Job => {
                let mut weights = vec![0; self.shares.len()];
                weights.last_mut().into_iter().for_each(|last| *last = 1);
                weights
            }
            LabourBasis::Cabinet => self.over_doors(|door| {
                let doors = self.of_cabinet.get(&door.cabinet).copied().unwrap_or(1);
                CABINET * i128::from(door.count) / doors.max(1) as i128
            }),
            LabourBasis::Door => self.over_doors(|door| door.count.into()),
            LabourBasis::Board => self.wood(None),
            LabourBasis::Strip => self.over_parts(|_| 1),
        }
    }

    /// Gives a line out in whole cents; what nobody weighs for stays with the job.
    fn give(&mut self, line: &CostLine, column: Column, mut weights: Weights) {
        if weights.iter().all(|weight| *weight == 0) {
            weights = self.by(LabourBasis::Job);
        }
        for (at, cents) in apportion(line.cost, &weights, &self.order()).into_iter().enumerate() {
            let share = &mut self.shares[at];
            *match column {
                Column::Boards => &mut share.boards,
                Column::Cloth => &mut share.cloth,
                Column::Consumables => &mut share.consumables,
                Column::Lines => &mut share.lines,
                Column::Labour => &mut share.labour,
                Column::Added => &mut share.added,
            } += cents;
        }
    }

    /// By kind and name, whatever the order in the job: who comes first where remainders are equal.
    fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.shares.len()).collect();
        order.sort_by_key(|at| (self.shares[*at].what, &self.shares[*at].name));
        order
    }
}

/// Time that the panels of a door take, in ten-thousandths of a minute; by their number where it takes none.
fn by_slats(rule: &OperationRule, door: &Door, units: u32) -> i128 {
    let slats = rule.slat_minutes * Decimal::from(slats_of(door));
    let minutes = (rule.minutes * Decimal::from(units) + slats) * Decimal::from(10_000);
    minutes.to_i128().unwrap_or(0).max(1) * i128::from(door.count)
}

/// Face of a panel as cut, in square micrometres: fine enough, and no sum of them runs over.
fn panel_area(panel: &Panel) -> i128 {
    (panel.cut_length() * panel.cut_width()).nm2() / 1_000_000
}

/// Exact, so that no rounding of an area moves a cent.
fn weight(area: Area) -> i128 {
    area.nm2().max(0)
}
