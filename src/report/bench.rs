//! A cabinet as it lies on the bench: front and plan to one scale, from the kinematics that was checked, with every slat
//! at every position of its door.
//!
//! Coordinates are millimetres of the case, x to the right and y up (towards the back in plan, towards the top in the
//! front). What moves is given once as outlines in a slat's own coordinates and, position by position, where each slat
//! stands: whoever shows it has only to put them there.

use super::drawing::{Anchor, Item, Layer, Place, extent};
use super::template::OnSheet;
use crate::doors::chain::{CanvasPath, Piece, Point};
use crate::doors::{Check, CheckItem, Door, FitCheck, PlanView, SlatPose};
use crate::job::{Cabinet, DoorSpec, DoorTrack, Hand, Job, Runs};
use crate::measure::{Length, Units};

/// Positions of a door from closed to open, both included.
pub const POSITIONS: usize = 201;

/// White between tracks that stand beside one another.
const BESIDE: f64 = 60.0;
/// A slat turned by less than this, in radians, is still on the front run.
const TURNED: f64 = 0.02;

/// A cabinet on the bench.
#[derive(Debug, Clone)]
pub struct Bench {
    /// The plan without its slats.
    pub plan: Vec<Item>,
    /// The front without its slats.
    pub front: Vec<Item>,
    /// Opening of the front: lower left and upper right corner; slats are seen within it.
    pub opening: (Place, Place),
    /// Doors, in the order of the cabinet.
    pub doors: Vec<BenchDoor>,
}

/// A door on the bench.
#[derive(Debug, Clone)]
pub struct BenchDoor {
    /// Its name.
    pub name: String,
    /// Outlines of an ordinary slat: body, tongue.
    pub slat: [Vec<Place>; 2],
    /// Outlines of the lead slat.
    pub lead: [Vec<Place>; 2],
    /// How the front shows it.
    pub face: Face,
    /// What fails.
    pub faults: Vec<Fault>,
    view: PlanView,
    stood: Stood,
    /// Length of the first straight run.
    front: f64,
}

impl BenchDoor {
    /// Where each slat stands at a position (0: closed, [`POSITIONS`] - 1: open), the lead slat first.
    #[must_use]
    pub fn stands(&self, position: usize) -> Vec<Stand> {
        let share = position.min(POSITIONS - 1) as f64 / (POSITIONS - 1) as f64;
        self.view.slats(share * self.view.travel).iter().map(|pose| stand(pose, self.stood)).collect()
    }

    /// How far the lead edge travels.
    #[must_use]
    pub const fn travel(&self) -> f64 {
        self.view.travel
    }

    /// Slats seen from the front: the first so many.
    #[must_use]
    pub fn seen(&self, stands: &[Stand]) -> usize {
        stands.iter().take_while(|stand| stand.along < self.front && stand.level).count()
    }
}

/// A slat in the front: an upright or a lying rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    /// Slats lie, and the door goes up.
    pub lies: bool,
    /// Goes towards lower x, or lower y.
    pub back: bool,
    /// Where the closed lead edge stands.
    pub from: f64,
    /// Length of a slat that is seen.
    pub long: f64,
    /// Width of a slat.
    pub width: f64,
    /// Width of the lead slat.
    pub lead: f64,
}

/// Where a slat stands: its hinge nearest to the lead edge, and how it is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// That hinge in the plan.
    pub at: Place,
    /// Degrees, anticlockwise from +x.
    pub turned: f64,
    /// How far the hinge is from the closed lead edge, along the front run.
    pub along: f64,
    /// It lies along the front run, not turned round a corner.
    level: bool,
}

/// A check that fails.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// What is wrong and by how much.
    pub words: String,
    /// Where in the plan that is.
    pub at: Place,
    /// It is the lead slat that fails.
    lead: bool,
}

impl Fault {
    /// Which of the slats that stand so it is seen at: the lead slat, or the one nearest to the place.
    #[must_use]
    pub fn slat(&self, stands: &[Stand]) -> usize {
        let away = |stand: &Stand| (stand.at.x - self.at.x).hypot(stand.at.y - self.at.y);
        let nearest = stands.iter().enumerate().min_by(|a, b| away(a.1).total_cmp(&away(b.1)));
        nearest.filter(|_| !self.lead).map_or(0, |(slat, _)| slat)
    }
}

/// The cabinet with its doors as laid out; `None` where none of them can be drawn.
#[must_use]
pub fn bench(job: &Job, cabinet: usize, doors: &[Door]) -> Option<Bench> {
    let case = job.cabinets.get(cabinet)?;
    let own = doors.iter().filter(|door| door.cabinet == cabinet);
    let views = own.filter_map(|door| {
        let spec = case.doors.get(door.index)?;
        Some((spec, door, PlanView::new(spec, &job.shop, job.units)?))
    });
    let mut bench = Bench { plan: Vec::new(), front: Vec::new(), opening: nowhere(), doors: Vec::new() };
    // Tracks given in full stand beside one another.
    let mut right = 0.0;
    for (spec, door, view) in views {
        let mut stood = Stood { mirrored: leftwards(spec), from: closed_at(spec) };
        if case.inside.is_none() && !bench.doors.is_empty() {
            let (low, _) = extent(&groove(&view, stood));
            stood.from = stood.from.moved(right - low.x, 0.0);
        }
        let plan = groove(&view, stood);
        right = extent(&plan).1.x + BESIDE;
        bench.plan.extend(plan);
        bench.doors.push(on_bench(job.units, (spec, door), view, stood));
    }
    if bench.doors.is_empty() {
        return None;
    }
    outlines(&mut bench, case, job.units);
    Some(bench)
}

const fn nowhere() -> (Place, Place) {
    (Place::new(0.0, 0.0), Place::new(0.0, 0.0))
}

/// How the plan of a door is laid on that of its case.
#[derive(Debug, Clone, Copy)]
struct Stood {
    mirrored: bool,
    from: Place,
}

impl Stood {
    fn place(self, point: Point) -> Place {
        self.from.moved(if self.mirrored { -point.x } else { point.x }, point.y)
    }

    /// A heading of the door's own plan, in degrees of the case's.
    fn turned(self, heading: f64) -> f64 {
        let degrees = heading.to_degrees();
        if self.mirrored { 180.0 - degrees } else { degrees }
    }

    /// A point of a slat's own coordinates: along it, and square to it towards the canvas side.
    const fn own(self, along: f64, square: f64) -> Place {
        Place::new(along, if self.mirrored { -square } else { square })
    }
}

const fn leftwards(spec: &DoorSpec) -> bool {
    matches!(spec.track, DoorTrack::Case { hand: Hand::Left | Hand::PairLeft, .. })
}

/// Where the closed lead edge stands on the centreline.
fn closed_at(spec: &DoorSpec) -> Place {
    let DoorTrack::Case { inside, hand, setback, middle_block, .. } = &spec.track else { return Place::new(0.0, 0.0) };
    let (wide, block) = (inside.width.mm_f64(), middle_block.mm_f64());
    let x = match hand {
        Hand::PairLeft => (wide - block) / 2.0,
        Hand::PairRight => (wide + block) / 2.0,
        Hand::Left => wide,
        Hand::Right | Hand::Up => 0.0,
    };
    Place::new(x, setback.mm_f64())
}

fn groove(view: &PlanView, stood: Stood) -> Vec<Item> {
    let sheet = OnSheet { mirrored: stood.mirrored };
    let mut items = sheet.groove(&view.centreline, view.groove);
    items.extend(sheet.entry(view));
    items.iter().map(|item| item.moved(stood.from.x, stood.from.y)).collect()
}

fn on_bench(units: Units, (spec, door): (&DoorSpec, &Door), view: PlanView, stood: Stood) -> BenchDoor {
    let closed = view.slats(0.0);
    let own = |lead: bool| closed.iter().find(|pose| pose.lead == lead).map(|pose| outline(pose, stood));
    let faults = door.checks.iter().filter(|check| !check.holds());
    let faults = faults.map(|check| fault(check, units, &view, stood)).collect();
    let (slat, lead) = (own(false).unwrap_or_default(), own(true).unwrap_or_default());
    let front = front_run(&view);
    BenchDoor { name: door.name.clone(), slat, lead, face: face(spec, door), faults, view, stood, front }
}

/// Length of the first straight run.
fn front_run(view: &PlanView) -> f64 {
    match view.centreline.first() {
        Some(Piece::Straight(length)) => *length,
        _ => 0.0,
    }
}

fn heading(pose: &SlatPose) -> f64 {
    let [near, far, ..] = pose.body;
    (far.y - near.y).atan2(far.x - near.x)
}

fn stand(pose: &SlatPose, stood: Stood) -> Stand {
    let near = pose.body[0];
    let heading = heading(pose);
    Stand { at: stood.place(near), turned: stood.turned(heading), along: near.x, level: heading.abs() < TURNED }
}

/// Body and tongue in the slat's own coordinates.
fn outline(pose: &SlatPose, stood: Stood) -> [Vec<Place>; 2] {
    let (origin, (sine, cosine)) = (pose.body[0], heading(pose).sin_cos());
    let own = |corner: &Point| {
        let (dx, dy) = (corner.x - origin.x, corner.y - origin.y);
        stood.own(dx * cosine + dy * sine, dy * cosine - dx * sine)
    };
    [pose.body.iter().map(own).collect(), pose.tongue.iter().map(own).collect()]
}

fn face(spec: &DoorSpec, door: &Door) -> Face {
    let lies = match &spec.track {
        DoorTrack::Case { hand, .. } => *hand == Hand::Up,
        DoorTrack::Path { runs, .. } => matches!(runs, Runs::Up { .. }),
    };
    let from = if lies { 0.0 } else { closed_at(spec).x };
    let (long, width, lead) = (spec.between.mm_f64(), door.slat_width.mm_f64(), door.lead_width.mm_f64());
    Face { lies, back: leftwards(spec), from, long, width, lead }
}

/// Where a failing check is seen: in the bend, at the end of the groove, or at the lead slat.
fn fault(check: &FitCheck, units: Units, view: &PlanView, stood: Stood) -> Fault {
    let path = CanvasPath::new(&view.centreline);
    let bend = || {
        let mut start = 0.0;
        for piece in &view.centreline {
            if matches!(piece, Piece::Arc { .. }) {
                return start + piece.length() / 2.0;
            }
            start += piece.length();
        }
        start
    };
    let station = match check.check {
        Check::Stow | Check::SeasonalStow => path.length(),
        Check::Cover | Check::SeasonalCover | Check::LeadTravel | Check::LeadLap => 0.0,
        _ => bend(),
    };
    let at = stood.place(path.at(station).0);
    Fault { words: short_by(check, units), at, lead: check.item == CheckItem::Lead }
}

/// `binds in the bend, 1/64 in short`.
fn short_by(check: &FitCheck, units: Units) -> String {
    let what = check.check.fault().map_or_else(|| check.check.word().replace('_', " "), str::to_owned);
    match check.length_margin().filter(|margin| *margin < Length::ZERO) {
        Some(margin) => format!("{what}, {} {units} short", margin.abs().show_nearest(units)),
        None => what,
    }
}

/// The case round it all: in plan and in the front, with its sizes.
fn outlines(bench: &mut Bench, case: &Cabinet, units: Units) {
    let size = |length: Length| format!("{} {units}", length.show_nearest(units));
    let Some(inside) = case.inside else {
        let face = bench.doors.first().map(|door| door.face);
        let spec = case.doors.first();
        let (Some(face), Some(DoorTrack::Path { cover, .. })) = (face, spec.map(|spec| &spec.track)) else { return };
        let (wide, high) = if face.lies { (face.long, cover.mm_f64()) } else { (cover.mm_f64(), face.long) };
        bench.opening = (Place::new(0.0, 0.0), Place::new(wide, high));
        rectangle(&mut bench.front, bench.opening);
        return;
    };
    let (wide, deep, high) = (inside.width.mm_f64(), inside.depth.mm_f64(), inside.height.mm_f64());
    let lies = bench.doors.iter().any(|door| door.face.lies);
    // A roll-up is seen from the side: its height runs to the right, closed at the bottom, the left end.
    let across = if lies { (high, inside.height) } else { (wide, inside.width) };
    let edge = |from, to| Item::Line { from, to, layer: Layer::Case };
    let (near, far) = (Place::new(0.0, 0.0), Place::new(across.0, deep));
    bench.plan.push(edge(near, Place::new(near.x, far.y)));
    bench.plan.push(edge(Place::new(near.x, far.y), far));
    bench.plan.push(edge(far, Place::new(far.x, near.y)));
    let letters = (wide.max(high) / 32.0).max(8.0);
    bench.plan.extend(dimension((0.0, across.0), -2.4 * letters, letters, &size(across.1)));
    bench.plan.extend(upright(-1.6 * letters, (0.0, deep), letters, &size(inside.depth)));
    bench.opening = (Place::new(0.0, 0.0), Place::new(wide, high));
    rectangle(&mut bench.front, bench.opening);
    bench.front.extend(dimension((0.0, wide), -2.4 * letters, letters, &size(inside.width)));
    bench.front.extend(upright(-1.6 * letters, (0.0, high), letters, &size(inside.height)));
}

fn rectangle(items: &mut Vec<Item>, (low, high): (Place, Place)) {
    let corners = vec![low, Place::new(high.x, low.y), high, Place::new(low.x, high.y)];
    items.push(Item::Outline { corners, layer: Layer::Case });
}

/// A size below: a line between two ticks, its figure under the middle.
fn dimension((from, to): (f64, f64), y: f64, letters: f64, text: &str) -> Vec<Item> {
    let tick = letters / 3.0;
    let line = |from, to| Item::Line { from, to, layer: Layer::Mark };
    let mut items = vec![line(Place::new(from, y), Place::new(to, y))];
    items.extend([from, to].map(|x| line(Place::new(x - tick, y - tick), Place::new(x + tick, y + tick))));
    let at = Place::new(f64::midpoint(from, to), y - 1.3 * letters);
    items.push(Item::Text { at, height: letters, anchor: Anchor::Middle, text: text.to_owned() });
    items
}

/// A size at the left.
fn upright(x: f64, (from, to): (f64, f64), letters: f64, text: &str) -> Vec<Item> {
    let tick = letters / 3.0;
    let line = |from, to| Item::Line { from, to, layer: Layer::Mark };
    let mut items = vec![line(Place::new(x, from), Place::new(x, to))];
    items.extend([from, to].map(|y| line(Place::new(x - tick, y - tick), Place::new(x + tick, y + tick))));
    let at = Place::new(x - letters / 2.0, f64::midpoint(from, to) - letters / 3.0);
    items.push(Item::Text { at, height: letters, anchor: Anchor::End, text: text.to_owned() });
    items
}
