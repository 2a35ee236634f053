//! The grooves of a case in plan: centrelines as they are routed, and the doors in them.

use super::case_door::door_in_case;
use super::figure::{Figure, Hang, figure};
use super::shell::Words;
use crate::doors::{Door, PlanView};
use crate::job::{DoorSpec, DoorTrack, Hand, InsideSize, Job, Segment};
use crate::measure::Length;

/// A point of the plan in millimetres, y towards the back.
type Point = (f64, f64);

/// A centreline so far: where it has come to, which way it goes, and which way its ordinary corners turn.
struct Walk {
    at: Point,
    /// Radians; 0 is along x.
    heading: f64,
    /// 1 turns anticlockwise (towards larger angles) at an ordinary corner, -1 clockwise.
    turn: f64,
    /// What must fit on the sheet.
    points: Vec<Point>,
    /// Straight runs and arcs, in order.
    runs: Vec<Run>,
}

enum Run {
    To(Point),
    Arc { radius: f64, to: Point, anticlockwise: bool, large: bool },
}

impl Walk {
    fn new(at: Point, heading: f64, turn: f64) -> Self {
        Self { at, heading, turn, points: vec![at], runs: Vec::new() }
    }

    fn along(&mut self, path: &[Segment]) {
        for segment in path {
            match *segment {
                Segment::Straight(length) => {
                    let (sine, cosine) = self.heading.sin_cos();
                    self.at = (self.at.0 + length.mm_f64() * cosine, self.at.1 + length.mm_f64() * sine);
                    self.runs.push(Run::To(self.at));
                }
                Segment::Arc { radius, degrees, canvas_inside } => {
                    let turn = if canvas_inside { self.turn } else { -self.turn };
                    self.arc(radius.mm_f64(), degrees, turn);
                }
            }
            self.points.push(self.at);
        }
    }

    fn arc(&mut self, radius: f64, degrees: f64, turn: f64) {
        let (sine, cosine) = self.heading.sin_cos();
        let centre = (self.at.0 - turn * radius * sine, self.at.1 + turn * radius * cosine);
        let end = self.heading + turn * degrees.to_radians();
        // The outermost points of the bend belong to what must fit on the sheet.
        for part in 1..4 {
            let heading = self.heading + turn * degrees.to_radians() * f64::from(part) / 4.0;
            self.points.push((centre.0 + turn * radius * heading.sin(), centre.1 - turn * radius * heading.cos()));
        }
        self.heading = end;
        self.at = (centre.0 + turn * radius * end.sin(), centre.1 - turn * radius * end.cos());
        self.runs.push(Run::Arc { radius, to: self.at, anticlockwise: turn > 0.0, large: degrees > 180.0 });
    }

    /// The path on the sheet, whose y runs down while the plan's runs up (towards the back).
    fn drawn(&self, place: impl Fn(Point) -> Point, scale: f64) -> String {
        let said = |point: Point| {
            let (x, y) = place(point);
            format!("{} {}", figure(x), figure(y))
        };
        let mut d = format!("M{}", said(self.points[0]));
        for run in &self.runs {
            match run {
                Run::To(to) => d.push_str(&format!("L{}", said(*to))),
                Run::Arc { radius, to, anticlockwise, large } => {
                    let r = figure(radius * scale);
                    let (large, sweep) = (u8::from(*large), u8::from(!anticlockwise));
                    d.push_str(&format!("A{r} {r} 0 {large} {sweep} {}", said(*to)));
                }
            }
        }
        d
    }
}

fn walk(door: &Door, spec: &DoorSpec) -> (Walk, Option<InsideSize>) {
    let DoorTrack::Case { inside, hand, setback, middle_block, .. } = &spec.track else {
        let mut walk = Walk::new((0.0, 0.0), std::f64::consts::PI, -1.0);
        walk.along(&door.path);
        return (walk, None);
    };
    // A roll-up is drawn lying: its height runs to the right, closed at the left end, the bottom.
    let wide = if *hand == Hand::Up { inside.height } else { inside.width }.mm_f64();
    let (x, leftwards) = match hand {
        Hand::PairLeft => ((wide - middle_block.mm_f64()) / 2.0, true),
        Hand::PairRight => ((wide + middle_block.mm_f64()) / 2.0, false),
        Hand::Left => (wide, true),
        Hand::Right | Hand::Up => (0.0, false),
    };
    let start = (x, setback.mm_f64());
    let mut walk = if leftwards { Walk::new(start, std::f64::consts::PI, -1.0) } else { Walk::new(start, 0.0, 1.0) };
    walk.along(&door.path);
    (walk, Some(*inside))
}

/// The grooves of one cabinet's doors in plan, front edge below.
pub(super) fn case_figure(words: Words, job: &Job, doors: &[(&Door, &DoorSpec)]) -> Figure {
    let walks: Vec<(Walk, Option<InsideSize>)> = doors.iter().map(|(door, spec)| walk(door, spec)).collect();
    let up = doors.iter().any(|(_, spec)| matches!(spec.track, DoorTrack::Case { hand: Hand::Up, .. }));
    let inside = walks.iter().find_map(|(_, inside)| *inside);
    let case = inside.map(|inside| (if up { inside.height } else { inside.width }, inside.depth));
    let corner = case.map(|(wide, deep)| vec![(0.0, 0.0), (wide.mm_f64(), deep.mm_f64())]).unwrap_or_default();
    let points = || walks.iter().flat_map(|(walk, _)| &walk.points).chain(&corner);
    let low = points().fold((f64::INFINITY, f64::INFINITY), |low, p| (low.0.min(p.0), low.1.min(p.1)));
    let high = points().fold((f64::NEG_INFINITY, f64::NEG_INFINITY), |high, p| (high.0.max(p.0), high.1.max(p.1)));
    let (wide, deep) = ((high.0 - low.0).max(1.0), (high.1 - low.1).max(1.0));
    let scale = (244.0 / wide).min(190.0 / deep);
    let (left, top) = (84.0, 20.0);
    let place = |p: Point| (left + (p.0 - low.0) * scale, top + (high.1 - p.1) * scale);
    let foot = top + deep * scale;

    let mut sheet = Figure::new(
        "The doors in their grooves in plan, closed and open, front edge below".to_owned(),
        350.0,
        foot + 46.0,
    );
    if let Some((width, depth)) = case {
        outline(&mut sheet, words, (width, depth), up, &place);
    }
    for ((walk, _), (door, spec)) in walks.iter().zip(doors) {
        sheet.path("centre", walk.drawn(place, scale));
        if let Some(view) = PlanView::new(spec, &job.shop, job.units) {
            // The door's own plan begins at its closed lead edge and runs the way the door opens.
            let (from, way) = (walk.points[0], if walk.turn > 0.0 { 1.0 } else { -1.0 });
            door_in_case(&mut sheet, &view, door, &|point| place((from.0 + way * point.x, from.1 + point.y)));
        }
        starts(&mut sheet, walk, door, &place, words);
    }
    sheet
}

/// Inside of the case with its sizes; the front is open.
fn outline(
    sheet: &mut Figure,
    words: Words,
    (width, depth): (Length, Length),
    up: bool,
    place: &impl Fn(Point) -> Point,
) {
    let (wide, deep) = (width.mm_f64(), depth.mm_f64());
    let ((x0, y0), (x1, y1)) = (place((0.0, 0.0)), place((wide, deep)));
    let d = format!("M{} {}V{}H{}V{}", figure(x0), figure(y0), figure(y1), figure(x1), figure(y0));
    sheet.path("board", d);
    sheet.line("dim", (x0, y0), (x1, y0));
    let (low, high) = if up { ("bottom", "top") } else { ("left", "right") };
    sheet.text("word", Hang::Start, (x0, y0 + 14.0), format!("front edge, {low}"));
    sheet.text("word", Hang::End, (x1, y0 + 14.0), high);
    sheet.text("word", Hang::Middle, (f64::midpoint(x0, x1), y1 - 5.0), "back");
    sheet.dimension((x0, x1), y0 + 22.0, &words.len(width));
    sheet.text("word", Hang::End, (x0 - 6.0, f64::midpoint(y0, y1)), format!("{} deep", words.len(depth)));
}

/// A bar across the groove where the lead edge rests closed and where it rests open.
fn starts(sheet: &mut Figure, walk: &Walk, door: &Door, place: &impl Fn(Point) -> Point, words: Words) {
    let start = place(walk.points[0]);
    sheet.line("board", (start.0, start.1 - 7.0), (start.0, start.1 + 7.0));
    let first = walk.points.get(1).copied().unwrap_or(walk.points[0]);
    let length = (first.0 - walk.points[0].0).hypot(first.1 - walk.points[0].1);
    let share = if length > 0.0 { door.travel.mm_f64() / length } else { 0.0 };
    if share > 0.0 && share <= 1.0 {
        let mid = |a: f64, b: f64| (b - a).mul_add(share, a);
        let open = place((mid(walk.points[0].0, first.0), mid(walk.points[0].1, first.1)));
        sheet.line("board", (open.0, open.1 - 7.0), (open.0, open.1 + 7.0));
        let said = format!("travel {}", words.len(door.travel));
        sheet.text("word", Hang::Middle, (f64::midpoint(start.0, open.0), start.1 - 5.0), said);
    }
}
