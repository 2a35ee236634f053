//! Full-size groove templates: what the router follows, with rulers that show whether the print is true.

use super::drawing::{Anchor, Drawing, Item, Layer, Place, extent};
use crate::doors::chain::{CanvasPath, Piece, Point};
use crate::doors::{Door, PlanView};
use crate::files::shortened;
use crate::job::{DoorSpec, DoorTrack, Groove, Hand, Job};
use crate::measure::{Length, Units};

/// White around a template.
const MARGIN: f64 = 15.0;
/// Letters of a name shown on a template.
const LONGEST_NAME: usize = 60;
/// Letters on a template.
const LETTERS: f64 = 4.0;

/// The template of one track and the doors that run in it.
#[derive(Debug, Clone)]
pub struct GrooveTemplate {
    /// The doors, by name, in job order.
    pub doors: Vec<String>,
    /// Full size.
    pub drawing: Drawing,
}

impl GrooveTemplate {
    /// One template for each different groove of a job, in job order. Doors share one when all that is drawn is the
    /// same: groove, entry, and the places of the open door. Mirror images share one: the other groove of every door is
    /// a mirror image too.
    #[must_use]
    pub fn of_job(job: &Job, doors: &[Door]) -> Vec<Self> {
        let mut found: Vec<(Groove, Vec<Item>, Self)> = Vec::new();
        for door in doors {
            let spec = job.cabinets.get(door.cabinet).and_then(|cabinet| cabinet.doors.get(door.index));
            let Some((spec, view)) = spec.and_then(|spec| Some((spec, PlanView::new(spec, &job.shop, job.units)?)))
            else {
                continue;
            };
            let lines = OnSheet { mirrored: false }.track(&view);
            if let Some((.., known)) = found.iter_mut().find(|known| (known.0, &known.1) == (spec.groove, &lines)) {
                known.doors.push(door.name.clone());
            } else {
                let drawing = titled(spec, &view, door, job);
                found.push((spec.groove, lines, Self { doors: vec![door.name.clone()], drawing }));
            }
        }
        found.into_iter().map(|(.., template)| template).collect()
    }
}

/// True when a door's groove, seen from above with the front below, is the mirror image of the plan's coordinates.
pub(super) fn mirrored(spec: &DoorSpec) -> bool {
    matches!(spec.track, DoorTrack::Case { hand: Hand::Left | Hand::PairLeft, .. })
}

/// The whole groove: walls, centreline, tangent points, entry, where lead edge and tail stand, rulers. `None` for a door
/// without a tongue.
#[must_use]
pub fn groove_template(spec: &DoorSpec, door: &Door, job: &Job) -> Option<Drawing> {
    Some(titled(spec, &PlanView::new(spec, &job.shop, job.units)?, door, job))
}

/// The template of a door that is seen so.
fn titled(spec: &DoorSpec, view: &PlanView, door: &Door, job: &Job) -> Drawing {
    let items = OnSheet { mirrored: mirrored(spec) }.track(view);
    let title = format!("groove for {}", short(&door.name));
    let words = [
        title.clone(),
        format!(
            "groove {} wide, {} deep; full size, print at 100 % and check the rulers",
            shown(spec.groove.width, job.units),
            shown(spec.groove.depth, job.units)
        ),
        "seen from the grooved face; turn over for the other one".to_owned(),
    ];
    finish(&title, items, &words)
}

/// The test corner: the tightest bend with room for five slats and the lead slat on both sides. Rout it in scrap first
/// and run five slats and the lead through. `None` for a track without a bend.
#[must_use]
pub fn corner_template(spec: &DoorSpec, door: &Door, job: &Job) -> Option<Drawing> {
    let view = PlanView::new(spec, &job.shop, job.units)?;
    let radius = |piece: &Piece| match piece {
        Piece::Straight(_) => f64::INFINITY,
        Piece::Arc { radius, .. } => *radius,
    };
    let bend = view.centreline.iter().copied().min_by(|a, b| radius(a).total_cmp(&radius(b)))?;
    if matches!(bend, Piece::Straight(_)) {
        return None;
    }
    let run = (spec.slats.lead_width + spec.slats.width * 5).mm_f64();
    let track = [Piece::Straight(run), bend, Piece::Straight(run)];
    let sheet = OnSheet { mirrored: mirrored(spec) };
    let title = format!("test corner for {}", short(&door.name));
    let words = [
        title.clone(),
        "rout this in scrap first; five slats and the lead slat must run through".to_owned(),
        "if they bind, deepen the rabbet a little; never force them".to_owned(),
    ];
    Some(finish(&title, sheet.groove(&track, view.groove), &words))
}

/// A name that does not make the sheet wider than what is drawn on it.
pub(super) fn short(name: &str) -> String {
    shortened(name, LONGEST_NAME)
}

fn shown(length: Length, units: Units) -> String {
    format!("{} {units}", length.show(units))
}

/// Rulers and words below, then the sheet.
fn finish(title: &str, mut items: Vec<Item>, words: &[String]) -> Drawing {
    let (low, _) = extent(&items);
    let mut y = low.y - 14.0;
    items.extend(ruler(Place::new(low.x, y), 10, 10.0, "100 mm"));
    y -= 16.0;
    items.extend(ruler(Place::new(low.x, y), 4, 25.4, "4 in"));
    for line in words {
        y -= 2.0 * LETTERS;
        let at = Place::new(low.x, y);
        items.push(Item::Text { at, height: LETTERS, anchor: Anchor::Start, text: line.clone() });
    }
    let mut drawing = Drawing::around(title, &items, MARGIN);
    // Words reach farther right than their anchors: six tenths of their height a letter.
    let longest = words.iter().map(|line| line.chars().count()).max().unwrap_or(0);
    drawing.width = drawing.width.max(2.0 * MARGIN + longest as f64 * LETTERS * 0.6);
    drawing
}

/// A ruler of `count` divisions, `step` millimetres each, with its length in words.
fn ruler(from: Place, count: u32, step: f64, words: &str) -> Vec<Item> {
    let line = |from, to| Item::Line { from, to, layer: Layer::Mark };
    let end = from.moved(f64::from(count) * step, 0.0);
    let mut items = vec![line(from, end)];
    for i in 0..=count {
        let foot = from.moved(f64::from(i) * step, 0.0);
        let tall = if i == 0 || i == count { 6.0 } else { 3.0 };
        items.push(line(foot, foot.moved(0.0, tall)));
    }
    let at = end.moved(3.0, 0.0);
    items.push(Item::Text { at, height: LETTERS, anchor: Anchor::Start, text: words.to_owned() });
    items
}

/// Puts plan coordinates on the sheet.
pub(super) struct OnSheet {
    pub(super) mirrored: bool,
}

impl OnSheet {
    pub(super) fn place(&self, point: Point) -> Place {
        Place::new(if self.mirrored { -point.x } else { point.x }, point.y)
    }

    /// All that a template shows of a track: the groove, its entry, and where the open door stands.
    fn track(&self, view: &PlanView) -> Vec<Item> {
        let mut items = self.groove(&view.centreline, view.groove);
        items.extend(self.entry(view));
        items.extend(self.stops(view));
        items
    }

    fn line(&self, from: Point, to: Point, layer: Layer) -> Item {
        Item::Line { from: self.place(from), to: self.place(to), layer }
    }

    /// Both walls, the centreline, closed ends and a tick at each tangent point.
    pub(super) fn groove(&self, track: &[Piece], groove: f64) -> Vec<Item> {
        let mut items = Vec::new();
        let path = CanvasPath::new(track);
        let mut station = 0.0;
        for piece in track {
            let (from, heading) = path.at(station);
            for (offset, layer) in [(groove / 2.0, Layer::Wall), (-groove / 2.0, Layer::Wall), (0.0, Layer::Centreline)]
            {
                items.push(self.parallel(*piece, from, heading, offset, layer));
            }
            let reach = if station > 0.0 { groove * 1.5 } else { groove / 2.0 };
            let layer = if station > 0.0 { Layer::Mark } else { Layer::Wall };
            items.push(self.across(from, heading, reach, layer));
            station += piece.length();
        }
        let (end, heading) = path.at(station);
        items.push(self.across(end, heading, groove / 2.0, Layer::Wall));
        items
    }

    /// A line square across the groove.
    fn across(&self, at: Point, heading: f64, reach: f64, layer: Layer) -> Item {
        let square = heading + std::f64::consts::FRAC_PI_2;
        self.line(at.moved(square, -reach), at.moved(square, reach), layer)
    }

    /// One piece, moved sideways by `offset` towards the canvas side.
    fn parallel(&self, piece: Piece, from: Point, heading: f64, offset: f64, layer: Layer) -> Item {
        let square = heading + std::f64::consts::FRAC_PI_2;
        match piece {
            Piece::Straight(length) => {
                let start = from.moved(square, offset);
                self.line(start, start.moved(heading, length), layer)
            }
            Piece::Arc { radius, angle, concave } => {
                let sense = if concave { 1.0 } else { -1.0 };
                let centre = from.moved(square, sense * radius);
                let start = heading - sense * std::f64::consts::FRAC_PI_2;
                // Anticlockwise from the lower angle; a mirror image turns the other way round.
                let low = if concave { start } else { start - angle };
                let begin = if self.mirrored { std::f64::consts::PI - low - angle } else { low };
                Item::Arc {
                    centre: self.place(centre),
                    radius: (radius - sense * offset).abs(),
                    start: begin.to_degrees().rem_euclid(360.0),
                    sweep: angle.to_degrees(),
                    layer,
                }
            }
        }
    }

    /// The entry: straight on from where it leaves, out through the back edge.
    pub(super) fn entry(&self, view: &PlanView) -> Vec<Item> {
        if view.entry_length <= 0.0 {
            return Vec::new();
        }
        let pieces = view.entry_after.map_or(view.centreline.len(), |last| last + 1);
        let station: f64 = view.centreline.iter().take(pieces).map(|piece| piece.length()).sum();
        let (from, heading) = CanvasPath::new(&view.centreline).at(station);
        // At a joint the later piece's heading is the same: the track is tangent throughout.
        [view.groove / 2.0, -view.groove / 2.0, 0.0]
            .map(|offset| self.parallel(Piece::Straight(view.entry_length), from, heading, offset, Layer::Entry))
            .to_vec()
    }

    /// Where the open lead edge and the open tail stand.
    fn stops(&self, view: &PlanView) -> Vec<Item> {
        let path = CanvasPath::new(&view.centreline);
        let (lead, heading) = path.at(view.travel);
        let mut items = vec![self.across(lead, heading, view.groove * 1.5, Layer::Stop)];
        let label = |at: Point, text: &str| Item::Text {
            at: self.place(at).moved(1.0, view.groove * 1.6),
            height: LETTERS * 0.75,
            anchor: Anchor::Start,
            text: text.to_owned(),
        };
        items.push(label(lead, "lead edge, open"));
        if let Some(tail) = view.slats(view.travel).last() {
            let far = tail.body[1];
            let heading = (far.y - tail.body[0].y).atan2(far.x - tail.body[0].x);
            items.push(self.across(far, heading, view.groove * 1.5, Layer::Stop));
            items.push(label(far, "tail, open"));
        }
        items
    }
}
