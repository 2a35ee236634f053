//! The panels of cases, recounted from the job and the table of panels alone; the room of shelves and lining beside the
//! doors, in whole half nanometres.

use super::wide::{length, nm};
use super::{Claim, Violation};
use crate::case::{LiningPlace, Panel};
use crate::doors::Door;
use crate::job::{Cabinet, CaseJoint, CaseSpec, DoorSpec, DoorTrack, EdgingSpec, Hand, Material};
use crate::measure::Length;

/// Room to run before a lining, eighth of an inch.
const ROOM: i128 = 3_175_000;
/// Half nanometres that roundings of the plan may take.
const SLACK: i128 = 8;

pub(super) fn check(claim: &Claim<'_>, found: &mut Vec<Violation>) {
    let panels = &claim.case.panels;
    for (index, cabinet) in claim.job.cabinets.iter().enumerate() {
        let own: Vec<&Panel> = panels.iter().filter(|panel| panel.cabinet == index).collect();
        match (&cabinet.case, Walls::of(claim, index, cabinet)) {
            (Some(spec), Some(walls)) => check_cabinet(claim, (index, cabinet, spec), (&walls, &own), found),
            _ => found.extend(own.iter().map(|panel| unasked(cabinet, panel))),
        }
    }
    let strange = panels.iter().filter(|panel| panel.cabinet >= claim.job.cabinets.len());
    found
        .extend(strange.map(|panel| Violation::PanelUnasked { cabinet: panel.cabinet.to_string(), panel: panel.name }));
}

fn unasked(cabinet: &Cabinet, panel: &Panel) -> Violation {
    Violation::PanelUnasked { cabinet: cabinet.name.clone(), panel: panel.name }
}

/// A panel as it must be.
struct Wanted<'a> {
    name: &'static str,
    each: u32,
    length: i128,
    width: i128,
    thickness: Length,
    material: &'a Material,
    /// Edging of the front edge and of the ends.
    edging: (Length, bool, bool),
    grooved: bool,
}

fn check_cabinet(
    claim: &Claim<'_>,
    (index, cabinet, spec): (usize, &Cabinet, &CaseSpec),
    (walls, own): (&Walls, &[&Panel]),
    found: &mut Vec<Violation>,
) {
    let mut left: Vec<&Panel> = own.to_vec();
    let mut wanted = box_panels(spec, walls);
    let place = claim.case.linings.iter().find(|(of, _)| *of == index).map(|(_, place)| *place);
    match (&spec.lining, place) {
        (Some(lining), Some(place)) => {
            walls.check_lining(cabinet, (place, nm(lining.thickness)), lining.inset.is_some(), found);
            wanted.extend(linings(spec, walls, place, own));
        }
        (Some(_), None) => found.push(Violation::PanelMissing { cabinet: cabinet.name.clone(), panel: "lining" }),
        (None, _) => {}
    }
    for want in wanted {
        let Some(at) = left.iter().position(|panel| panel.name == want.name) else {
            found.push(Violation::PanelMissing { cabinet: cabinet.name.clone(), panel: want.name });
            continue;
        };
        check_panel(cabinet, left.remove(at), &want, found);
    }
    if let Some(shelves) = &spec.shelves {
        match left.iter().position(|panel| panel.name == "shelf") {
            Some(at) => {
                let shelf = left.remove(at);
                let edged = spec.edging.filter(|edging| edging.shelf_front);
                let want = Wanted {
                    name: "shelf",
                    each: shelves.count,
                    length: shelves.width.map_or(nm(shelf.length), nm),
                    width: shelves.depth.map_or(nm(shelf.width), nm),
                    thickness: shelves.thickness,
                    material: &shelves.material,
                    edging: (edged.map_or(Length::ZERO, |edging| edging.thickness), edged.is_some(), false),
                    grooved: false,
                };
                check_panel(cabinet, shelf, &want, found);
                let lining = spec.lining.as_ref().map(|lining| nm(lining.thickness));
                walls.check_shelf(cabinet, (shelf, nm(shelves.gap)), (lining, place), found);
            }
            None => found.push(Violation::PanelMissing { cabinet: cabinet.name.clone(), panel: "shelf" }),
        }
    }
    found.extend(left.into_iter().map(|panel| unasked(cabinet, panel)));
}

fn box_panels<'a>(spec: &'a CaseSpec, walls: &Walls) -> Vec<Wanted<'a>> {
    let thick = nm(spec.thickness);
    // Outside less what the one takes of the other, end by end.
    let (outer_width, outer_height) = (walls.width + 2 * thick, walls.height + 2 * thick);
    let (lying, standing) = match spec.joint {
        CaseJoint::TopOverSides => (outer_width, outer_height - 2 * thick),
        CaseJoint::SidesOverTop => (outer_width - 2 * thick, outer_height),
        CaseJoint::Dado(depth) => (outer_width - 2 * (thick - nm(depth)), outer_height),
    };
    let back = spec.back.as_ref();
    let let_in = back.filter(|back| back.rabbet.is_some()).map_or(0, |back| nm(back.thickness));
    let deep = walls.depth + let_in;
    let edges = |edging: Option<EdgingSpec>, ends: bool| {
        edging.map_or((Length::ZERO, false, false), |edging| {
            (edging.thickness, edging.case_front, ends && edging.top_ends)
        })
    };
    let panel = |name, length, lies: bool| Wanted {
        name,
        each: 1,
        length,
        width: deep,
        thickness: spec.thickness,
        material: &spec.material,
        edging: edges(spec.edging, lies),
        grooved: lies != walls.up,
    };
    let mut wanted = vec![
        panel("top", lying, true),
        panel("bottom", lying, true),
        panel("left side", standing, false),
        panel("right side", standing, false),
    ];
    wanted.extend(back.map(|back| {
        let beyond = 2 * back.rabbet.map_or(thick, nm);
        plain("back", (walls.height + beyond, walls.width + beyond), (&back.material, back.thickness))
    }));
    wanted
}

fn plain<'a>(
    name: &'static str,
    (length, width): (i128, i128),
    (material, thickness): (&'a Material, Length),
) -> Wanted<'a> {
    Wanted { name, each: 1, length, width, thickness, material, edging: (Length::ZERO, false, false), grooved: false }
}

/// Linings that stand where the plan says.
fn linings<'a>(spec: &'a CaseSpec, walls: &Walls, place: LiningPlace, own: &[&Panel]) -> Vec<Wanted<'a>> {
    let Some(lining) = &spec.lining else { return Vec::new() };
    let of = (&lining.material, lining.thickness);
    let names: &[&str] = match walls.hand {
        Hand::Up => &["top lining"],
        Hand::Left => &["left lining"],
        Hand::Right => &["right lining"],
        Hand::PairLeft | Hand::PairRight => &["left lining", "right lining"],
    };
    let deep = walls.depth - nm(place.front) - place.back.map_or(0, nm);
    let long = if walls.up { walls.width } else { walls.height };
    let mut wanted: Vec<Wanted<'a>> = names.iter().map(|name| plain(name, (long, deep), of)).collect();
    if place.back.is_some() {
        let between = walls.along() - walls.sides() * (nm(place.inset) + nm(lining.thickness));
        // Half of an odd rest at each side of a pair is a nanometre that no panel shows.
        let claimed = own.iter().find(|panel| panel.name == "back lining");
        let claimed = claimed.map(|panel| nm(if walls.up { panel.length } else { panel.width }));
        let between = claimed.filter(|claimed| (between - claimed).abs() < walls.sides()).unwrap_or(between);
        let size = if walls.up { (between, walls.width) } else { (walls.height, between) };
        wanted.push(plain("back lining", size, of));
    }
    wanted
}

fn check_panel(cabinet: &Cabinet, panel: &Panel, want: &Wanted<'_>, found: &mut Vec<Violation>) {
    let name = || cabinet.name.clone();
    let sizes = (nm(panel.length), nm(panel.width), panel.thickness);
    if sizes != (want.length, want.width, want.thickness) {
        found.push(Violation::PanelSize {
            cabinet: name(),
            panel: panel.name,
            claimed: [panel.length, panel.width, panel.thickness],
            expected: [length(want.length), length(want.width), want.thickness],
        });
    }
    let count = u64::from(cabinet.count) * u64::from(want.each);
    if u64::from(panel.count) != count {
        found.push(Violation::PanelCount { cabinet: name(), panel: panel.name, claimed: panel.count, expected: count });
    }
    let edged = panel.edged;
    let edging = (edged.thickness, edged.front, edged.ends);
    if panel.material != *want.material || panel.grooved != want.grooved || edging != want.edging {
        found.push(Violation::PanelMade { cabinet: name(), panel: panel.name });
    }
}

/// The inside of a case and the line that no slat comes past, in half nanometres where it says so.
struct Walls {
    hand: Hand,
    up: bool,
    width: i128,
    depth: i128,
    height: i128,
    /// Doubled: from the side's face, the front edge and the back's face to the canvas line on the straight runs.
    side: i128,
    front: i128,
    behind: i128,
    /// Doubled: from side and front to the corner's centre, from the back to the back corner's; the radius of the line.
    centre: (i128, i128, i128),
    radius: i128,
    /// The door certainly stands in the back corner.
    surely_behind: bool,
}

impl Walls {
    fn of(claim: &Claim<'_>, index: usize, cabinet: &Cabinet) -> Option<Self> {
        let spec: &DoorSpec = cabinet.doors.first()?;
        let DoorTrack::Case { inside, hand, setback, side_inset, back_inset, corner_radius, .. } = &spec.track else {
            return None;
        };
        let line = nm(spec.groove.width) + 2 * nm(spec.slats.back_rabbet());
        let to_centre = |inset: &Length| 2 * (nm(*inset) + nm(*corner_radius));
        let door = claim.doors.iter().find(|door| door.cabinet == index);
        Some(Self {
            hand: *hand,
            up: *hand == Hand::Up,
            width: nm(inside.width),
            depth: nm(inside.depth),
            height: nm(inside.height),
            side: 2 * nm(*side_inset) + line,
            front: 2 * nm(*setback) + line,
            behind: 2 * nm(*back_inset) + line,
            centre: (to_centre(side_inset), to_centre(setback), to_centre(back_inset)),
            radius: (2 * nm(*corner_radius) - line).max(0),
            surely_behind: door.is_some_and(stands_behind),
        })
    }

    const fn along(&self) -> i128 {
        if self.up { self.height } else { self.width }
    }

    const fn sides(&self) -> i128 {
        if matches!(self.hand, Hand::PairLeft | Hand::PairRight) { 2 } else { 1 }
    }

    /// Doubled: how far from the front (or the back) a face `x2` off the side must begin.
    fn round(&self, x2: i128, (straight, across): (i128, i128), room: i128) -> i128 {
        let straight = straight + 2 * room;
        let off = self.centre.0 - x2;
        if off <= 0 {
            return straight;
        }
        let radius = (self.radius - 2 * room).max(0);
        let chord = if off < radius { (radius * radius - off * off).isqrt() } else { 0 };
        (across - chord).max(straight)
    }

    fn check_lining(&self, cabinet: &Cabinet, (place, _): (LiningPlace, i128), set: bool, found: &mut Vec<Violation>) {
        let x2 = 2 * nm(place.inset);
        let least = self.side + if set { 0 } else { 2 * ROOM };
        let front = self.round(x2, (self.front, self.centre.1), ROOM);
        let back = place.back.map(|back| 2 * nm(back) + SLACK >= self.round(x2, (self.behind, self.centre.2), ROOM));
        let clear = x2 + SLACK >= least && 2 * nm(place.front) + SLACK >= front && back.unwrap_or(!self.surely_behind);
        if !clear {
            found.push(Violation::LiningTouched { cabinet: cabinet.name.clone() });
        }
    }

    fn check_shelf(
        &self,
        cabinet: &Cabinet,
        (shelf, gap): (&Panel, i128),
        (lining, place): (Option<i128>, Option<LiningPlace>),
        found: &mut Vec<Violation>,
    ) {
        let room = if lining.is_some() { ROOM } else { 0 };
        let thick = lining.unwrap_or(0);
        let wide = nm(shelf.length) + 2 * gap;
        // A shelf across a roll-up is as wide as the case; how high it may lie is not said.
        let x2 = if self.up { self.centre.0 } else { 2 * (self.width - wide) / self.sides() - 2 * thick };
        let set = place.is_some()
            && cabinet
                .case
                .as_ref()
                .is_some_and(|case| case.lining.as_ref().is_some_and(|lining| lining.inset.is_some()));
        let least = self.side + if set { 0 } else { 2 * room };
        let behind = place.map_or(self.surely_behind, |place| place.back.is_some());
        let back = if behind { self.round(x2, (self.behind, self.centre.2), room) + 2 * thick } else { 0 };
        let front = self.round(x2, (self.front, self.centre.1), room);
        let needed = front + back + 2 * (nm(shelf.width) + gap);
        if needed > 2 * self.depth + SLACK || wide > self.width || (!self.up && x2 + SLACK < least) {
            found.push(Violation::ShelfTouched { cabinet: cabinet.name.clone() });
        }
    }
}

/// True when lead edge and door together are longer than the groove up to the back corner.
fn stands_behind(door: &Door) -> bool {
    use crate::job::Segment;
    let to_corner = door.path.iter().take(3).map(|segment| match segment {
        Segment::Straight(length) => length.mm_f64(),
        Segment::Arc { radius, degrees, .. } => radius.mm_f64() * degrees.to_radians(),
    });
    door.path.len() > 3 && (door.travel + door.door_length).mm_f64() > to_corner.sum()
}
