//! The panels of a case: how large each is, what it is made of, which edges are edged, which carry grooves.
//!
//! Inside sizes are the job's; a panel's length runs along its grain. With panels `t` thick and a case `W x D x H` inside:
//!
//! | joint | top, bottom | sides |
//! | --- | --- | --- |
//! | top over sides | W + 2t long | H long |
//! | sides over top | W long | H + 2t long |
//! | dado, d deep | W + 2d long | H + 2t long |
//!
//! All are D wide, and as much wider as a back that is let in is thick. A back let into a rabbet r deep is H + 2r by W + 2r,
//! one that is laid on H + 2t by W + 2t; its grain stands upright.

use super::clear::{Clear, ClearBox, LiningPlace};
use super::problem::CaseProblem;
use crate::job::{Cabinet, CaseJoint, CaseSpec, EdgingSpec, LiningSpec, Material, ShelfSpec};
use crate::measure::Length;

/// One panel, as many times as it is in the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Index of its cabinet in the job.
    pub cabinet: usize,
    /// `top`, `left side`, `shelf`, ...
    pub name: &'static str,
    /// How many in all cases built.
    pub count: u32,
    /// Finished, along the grain.
    pub length: Length,
    /// Finished, across the grain.
    pub width: Length,
    /// Its thickness.
    pub thickness: Length,
    /// What it is made of.
    pub material: Material,
    /// Edges that are edged.
    pub edged: Edged,
    /// The grooves of the doors are routed in its inside face.
    pub grooved: bool,
    /// Cut along its back edge, inside: width along the panel's width, and depth.
    pub rabbet: Option<(Length, Length)>,
    /// Housings across both its ends, inside, each as wide as a panel: their depth.
    pub dado: Option<Length>,
}

/// Edges of a panel that are edged, with how thick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Edged {
    /// Thickness of the edging.
    pub thickness: Length,
    /// The front edge, along the grain.
    pub front: bool,
    /// Both ends.
    pub ends: bool,
}

impl Edged {
    /// `front`, `front; ends`.
    #[must_use]
    pub fn words(&self) -> String {
        [(self.front, "front"), (self.ends, "ends")]
            .iter()
            .filter(|edge| edge.0)
            .map(|edge| edge.1)
            .collect::<Vec<_>>()
            .join("; ")
    }
}

impl Panel {
    /// Length as it is cut, before it is edged.
    #[must_use]
    pub fn cut_length(&self) -> Length {
        if self.edged.ends { self.length - self.edged.thickness * 2 } else { self.length }
    }

    /// Width as it is cut, before it is edged.
    #[must_use]
    pub fn cut_width(&self) -> Length {
        if self.edged.front { self.width - self.edged.thickness } else { self.width }
    }

    /// Edging of one panel.
    #[must_use]
    pub fn edging(&self) -> Length {
        let front = if self.edged.front { self.length } else { Length::ZERO };
        let ends = if self.edged.ends { self.width * 2 } else { Length::ZERO };
        front + ends
    }
}

/// All panels of one cabinet, or what is wrong with its lining and shelves.
pub(super) fn of_cabinet(
    index: usize,
    cabinet: &Cabinet,
    spec: &CaseSpec,
    clear: &Clear,
) -> Result<Vec<Panel>, Vec<CaseProblem>> {
    let maker = Maker { index, cabinet, spec, clear };
    let mut panels = maker.box_panels();
    panels.extend(maker.back());
    let room = maker.room()?;
    if let Some(lining) = &spec.lining {
        panels.extend(maker.linings(lining, room));
    }
    panels.extend(spec.shelves.iter().map(|shelves| maker.shelf(shelves, room)));
    let small = panels.iter().find(|panel| !panel.cut_length().is_positive() || !panel.cut_width().is_positive());
    match small {
        None => Ok(panels),
        Some(panel) => Err(vec![CaseProblem::Nothing { cabinet: cabinet.name.clone(), panel: panel.name }]),
    }
}

/// Where the lining of a case stands, where it has one.
pub(super) fn lining_of(index: usize, cabinet: &Cabinet, spec: &CaseSpec, clear: &Clear) -> Option<LiningPlace> {
    let lining = spec.lining.as_ref()?;
    let room = Maker { index, cabinet, spec, clear }.room().ok()?;
    Some(clear.lining(lining.thickness, room))
}

/// The room that the case's shelves are made for.
pub(super) fn room_of(index: usize, cabinet: &Cabinet, spec: &CaseSpec, clear: &Clear) -> Option<ClearBox> {
    Maker { index, cabinet, spec, clear }.room().ok()
}

struct Maker<'a> {
    index: usize,
    cabinet: &'a Cabinet,
    spec: &'a CaseSpec,
    clear: &'a Clear,
}

impl Maker<'_> {
    fn panel(
        &self,
        name: &'static str,
        each: u32,
        (length, width): (Length, Length),
        of: (&Material, Length),
    ) -> Panel {
        Panel {
            cabinet: self.index,
            name,
            count: self.cabinet.count.saturating_mul(each),
            length,
            width,
            thickness: of.1,
            material: of.0.clone(),
            edged: Edged::default(),
            grooved: false,
            rabbet: None,
            dado: None,
        }
    }

    /// Top, bottom and sides.
    fn box_panels(&self) -> Vec<Panel> {
        let (spec, inside) = (self.spec, self.clear.inside);
        let thick = spec.thickness;
        let (over, side) = match spec.joint {
            CaseJoint::TopOverSides => (thick, inside.height),
            CaseJoint::SidesOverTop => (Length::ZERO, inside.height + thick * 2),
            CaseJoint::Dado(depth) => (depth, inside.height + thick * 2),
        };
        let rabbet = spec.back.as_ref().and_then(|back| Some((back.thickness, back.rabbet?)));
        let deep = inside.depth + rabbet.map_or(Length::ZERO, |rabbet| rabbet.0);
        let dado = if let CaseJoint::Dado(depth) = spec.joint { Some(depth) } else { None };
        let edging = spec.edging;
        let edged = |ends: bool| edging.map_or(Edged::default(), |edging| case_edges(&edging, ends));
        let lying = |name| Panel {
            edged: edged(true),
            grooved: !self.clear.up,
            rabbet,
            ..self.panel(name, 1, (inside.width + over * 2, deep), (&spec.material, thick))
        };
        let standing = |name| Panel {
            edged: edged(false),
            grooved: self.clear.up,
            rabbet,
            dado,
            ..self.panel(name, 1, (side, deep), (&spec.material, thick))
        };
        vec![lying("top"), lying("bottom"), standing("left side"), standing("right side")]
    }

    fn back(&self) -> Option<Panel> {
        let back = self.spec.back.as_ref()?;
        let over = back.rabbet.unwrap_or(self.spec.thickness) * 2;
        let inside = self.clear.inside;
        Some(self.panel("back", 1, (inside.height + over, inside.width + over), (&back.material, back.thickness)))
    }

    /// The room beside doors and lining, as large as the shelves ask for.
    fn room(&self) -> Result<ClearBox, Vec<CaseProblem>> {
        let name = || self.cabinet.name.clone();
        let lining = self.spec.lining.as_ref();
        let thick = lining.map(|lining| lining.thickness);
        let shelves = self.spec.shelves.as_ref();
        let inset = lining.and_then(|lining| lining.inset);
        let mut room = match (inset, shelves) {
            (Some(inset), _) => {
                let reach = self.clear.side_reach();
                if inset < reach {
                    return Err(vec![CaseProblem::LiningTouched { cabinet: name(), inset, reach }]);
                }
                let beside = (inset + thick.unwrap_or(Length::ZERO)) * self.clear.sides;
                self.clear.deepest(thick, self.clear.along() - beside)
            }
            (None, Some(ShelfSpec { width: Some(width), gap, .. })) if !self.clear.up => {
                let widest = self.clear.widest(thick).width - *gap * 2;
                if *width > widest {
                    let there = widest.max(Length::ZERO);
                    return Err(vec![CaseProblem::ShelfTooWide {
                        cabinet: name(),
                        width: *width,
                        there,
                        lined: thick.is_some(),
                    }]);
                }
                self.clear.deepest(thick, *width + *gap * 2)
            }
            (None, Some(ShelfSpec { depth: Some(depth), gap, .. })) => self.clear.so_deep(thick, *depth + *gap),
            _ => self.clear.largest(thick),
        };
        let mut problems = Vec::new();
        if let Some(ShelfSpec { width, depth, gap, .. }) = shelves {
            let lined = thick.is_some();
            let (wide, deep) = (room.width - *gap * 2, room.depth - *gap);
            if let Some(width) = width.filter(|width| *width > wide) {
                let there = wide.max(Length::ZERO);
                problems.push(CaseProblem::ShelfTooWide { cabinet: name(), width, there, lined });
            }
            if let Some(depth) = depth.filter(|depth| *depth > deep || !self.clear.wide_of(room).is_positive()) {
                let there = if self.clear.wide_of(room).is_positive() {
                    deep
                } else {
                    self.clear.between_corners(thick).depth - *gap
                };
                problems.push(CaseProblem::ShelfTooDeep {
                    cabinet: name(),
                    depth,
                    there: there.max(Length::ZERO),
                    lined,
                });
            }
        }
        if problems.is_empty() && !(room.width.is_positive() && room.depth.is_positive() && room.height.is_positive()) {
            if lining.is_none() && shelves.is_none() {
                room = self.clear.largest(None);
            } else {
                problems.push(CaseProblem::NoRoom { cabinet: name(), lined: thick.is_some() });
            }
        }
        if problems.is_empty() { Ok(room) } else { Err(problems) }
    }

    /// Boards beside the side runs, and one before a back run.
    fn linings(&self, lining: &LiningSpec, room: ClearBox) -> Vec<Panel> {
        let (clear, inside) = (self.clear, self.clear.inside);
        let place = clear.lining(lining.thickness, room);
        let of = (&lining.material, lining.thickness);
        let deep = if place.back.is_some() { room.depth + lining.thickness } else { inside.depth - place.front };
        let long = if clear.up { inside.width } else { inside.height };
        let mut panels: Vec<Panel> =
            self.lining_names().iter().map(|name| self.panel(name, 1, (long, deep), of)).collect();
        if place.back.is_some() {
            panels.push(self.panel("back lining", 1, (room.height, room.width), of));
        }
        panels
    }

    fn lining_names(&self) -> &'static [&'static str] {
        use crate::job::{DoorTrack, Hand};
        let hands = self.cabinet.doors.iter().filter_map(|spec| match spec.track {
            DoorTrack::Case { hand, .. } => Some(hand),
            DoorTrack::Path { .. } => None,
        });
        match hands.min() {
            Some(Hand::Up) => &["top lining"],
            Some(Hand::Left) => &["left lining"],
            Some(Hand::Right) => &["right lining"],
            _ => &["left lining", "right lining"],
        }
    }

    fn shelf(&self, shelves: &ShelfSpec, room: ClearBox) -> Panel {
        let length = shelves.width.unwrap_or(room.width - shelves.gap * 2);
        let width = shelves.depth.unwrap_or(room.depth - shelves.gap);
        let edged = self.spec.edging.filter(|edging| edging.shelf_front);
        let edged =
            edged.map_or(Edged::default(), |edging| Edged { thickness: edging.thickness, front: true, ends: false });
        Panel { edged, ..self.panel("shelf", shelves.count, (length, width), (&shelves.material, shelves.thickness)) }
    }
}

fn case_edges(edging: &EdgingSpec, lying: bool) -> Edged {
    Edged { thickness: edging.thickness, front: edging.case_front, ends: lying && edging.top_ends }
}
