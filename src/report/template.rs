//! Full-size groove templates: what the router follows, with the case's edges to lay it by and rulers that show whether
//! the print is true.

use super::drawing::{Anchor, Drawing, Item, Layer, Place, extent};
use super::free_place::free_place;
use crate::doors::chain::{CanvasPath, Piece, Point};
use crate::doors::{CasePlan, Door, PlanView, Stop};
use crate::files::shortened;
use crate::job::{DoorSpec, DoorTrack, Groove, Hand, Job};
use crate::measure::{Length, Units};

/// White around a template.
const MARGIN: f64 = 15.0;
/// Letters of a name shown on a template: with the words before it no wider than a page.
const LONGEST_NAME: usize = 54;
/// Letters on a template.
const LETTERS: f64 = 4.0;
/// Letters beside a mark: 9 points and a little.
const LABEL: f64 = 3.3;

/// The template of one track and the doors that run in it.
#[derive(Debug, Clone)]
pub struct GrooveTemplate {
    /// The doors, by name, in job order.
    pub doors: Vec<String>,
    /// Full size.
    pub drawing: Drawing,
}

/// A door with all that a drawing of it takes.
pub(super) struct Drawn<'a> {
    pub(super) spec: &'a DoorSpec,
    pub(super) door: &'a Door,
    pub(super) view: PlanView,
}

/// Every door of a job that can be drawn, in job order.
pub(super) fn drawn<'a>(job: &'a Job, doors: &'a [Door]) -> Vec<Drawn<'a>> {
    let one = |door: &'a Door| {
        let spec = job.cabinets.get(door.cabinet)?.doors.get(door.index)?;
        Some(Drawn { spec, door, view: PlanView::new(spec, &job.shop, job.units)? })
    };
    doors.iter().filter_map(one).collect()
}

impl GrooveTemplate {
    /// One template for each different groove of a job, in job order. Doors share one when all that is drawn is the
    /// same: groove, case, entry and stops. Mirror images share one: the other groove of every door is a mirror image
    /// too.
    #[must_use]
    pub fn of_job(job: &Job, doors: &[Door]) -> Vec<Self> {
        let drawn = drawn(job, doors);
        let mut found: Vec<(Groove, Vec<Item>, Vec<&Drawn<'_>>)> = Vec::new();
        for one in &drawn {
            let items = OnSheet { mirrored: false }.track(&one.view, one.door, job.units);
            match found.iter_mut().find(|known| (known.0, &known.1) == (one.spec.groove, &items)) {
                Some(known) => known.2.push(one),
                None => found.push((one.spec.groove, items, vec![one])),
            }
        }
        let template = |(.., sharing): (Groove, Vec<Item>, Vec<&Drawn<'_>>)| Self {
            doors: sharing.iter().map(|one| one.door.name.clone()).collect(),
            drawing: titled(&sharing, job),
        };
        found.into_iter().map(template).collect()
    }
}

/// True when a door's groove, seen from above with the front below, is the mirror image of the plan's coordinates.
pub(super) fn mirrored(spec: &DoorSpec) -> bool {
    matches!(spec.track, DoorTrack::Case { hand: Hand::Left | Hand::PairLeft, .. })
}

/// The whole groove: walls, centreline, tangent points, entry, the edges of its case, where lead edge and tail stand,
/// rulers. `None` for a door without a tongue.
#[must_use]
pub fn groove_template(spec: &DoorSpec, door: &Door, job: &Job) -> Option<Drawing> {
    let view = PlanView::new(spec, &job.shop, job.units)?;
    Some(titled(&[&Drawn { spec, door, view }], job))
}

/// The template of doors that share it, as the first is seen.
fn titled(sharing: &[&Drawn<'_>], job: &Job) -> Drawing {
    let Some(first) = sharing.first() else { return finish("groove", Vec::new(), &[], (MARGIN, job.units)) };
    let items = OnSheet { mirrored: mirrored(first.spec) }.track(&first.view, first.door, job.units);
    let names: Vec<&str> = sharing.iter().map(|one| one.door.name.as_str()).collect();
    let title = format!("groove for {}", named(&names));
    let groove = first.spec.groove;
    let words = [
        title.clone(),
        format!("groove {} wide, {} deep", shown(groove.width, job.units), shown(groove.depth, job.units)),
        "full size: print at 100 % and check the rulers".to_owned(),
        "seen from the grooved face; turn over for the other one".to_owned(),
    ];
    finish(&title, items, &words, (MARGIN, job.units))
}

/// Names of doors in one line: all of them where there is room, else the first and how many more.
pub(super) fn named(names: &[&str]) -> String {
    let listed = match names {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => names.concat(),
    };
    if names.len() < 2 || listed.chars().count() <= LONGEST_NAME {
        return short(&listed);
    }
    let more = format!(" and {} more", names.len() - 1);
    format!("{}{more}", shortened(names[0], LONGEST_NAME - more.len()))
}

/// A name that does not make the sheet wider than what is drawn on it.
pub(super) fn short(name: &str) -> String {
    shortened(name, LONGEST_NAME)
}

fn shown(length: Length, units: Units) -> String {
    format!("{} {units}", length.show(units))
}

/// Rulers and words below, then the sheet with so much white around.
pub(super) fn finish(title: &str, mut items: Vec<Item>, words: &[String], (margin, units): (f64, Units)) -> Drawing {
    let (low, _) = extent(&items);
    items.extend(legend(words, units).iter().map(|item| item.moved(low.x, low.y - 14.0)));
    Drawing::around(title, &items, margin)
}

/// The same with rulers and words in what a bend leaves free, where that is room enough.
pub(super) fn finish_inside(title: &str, mut items: Vec<Item>, words: &[String], sheet: (f64, Units)) -> Drawing {
    let legend = legend(words, sheet.1);
    let (low, high) = extent(&legend);
    let Some(place) = free_place(&items, (high.x - low.x, high.y - low.y)) else {
        return finish(title, items, words, sheet);
    };
    items.extend(legend.iter().map(|item| item.moved(place.x - low.x, place.y - low.y)));
    Drawing::around(title, &items, sheet.0)
}

/// Rulers, and words under each other below them; the first ruler begins at the origin.
fn legend(words: &[String], units: Units) -> Vec<Item> {
    let mut y = 0.0;
    let mut items = ruler(Place::new(0.0, y), 10, 10.0, "100 mm");
    if units == Units::Inch {
        y -= 16.0;
        items.extend(ruler(Place::new(0.0, y), 4, 25.4, "4 in"));
    }
    for line in words {
        y -= 2.0 * LETTERS;
        let at = Place::new(0.0, y);
        items.push(Item::Text { at, height: LETTERS, anchor: Anchor::Start, text: line.clone() });
    }
    items
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

    /// All that a template shows of a track: the groove, its entry, the edges of its case, and its stops.
    fn track(&self, view: &PlanView, door: &Door, units: Units) -> Vec<Item> {
        let mut items = self.groove(&view.centreline, view.groove);
        items.extend(self.entry(view));
        if let Some(case) = &view.case {
            items.extend(self.case(case, view.groove, units));
        }
        items.extend(self.stops(view, &door.stops));
        items
    }

    fn line(&self, from: Point, to: Point, layer: Layer) -> Item {
        Item::Line { from: self.place(from), to: self.place(to), layer }
    }

    fn label(&self, at: Point, anchor: Anchor, text: &str) -> Item {
        // What begins at a point of a mirrored sheet ends there.
        let anchor = match (anchor, self.mirrored) {
            (Anchor::Start, true) => Anchor::End,
            (Anchor::End, true) => Anchor::Start,
            (anchor, _) => anchor,
        };
        Item::Text { at: self.place(at), height: LABEL, anchor, text: text.to_owned() }
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
            let reach = if station > 0.0 { groove / 2.0 + 2.0 } else { groove / 2.0 };
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

    /// The edges of the case, which a template is laid by, and how far the groove lies from them.
    fn case(&self, case: &CasePlan, groove: f64, units: Units) -> Vec<Item> {
        let point = |x: f64, y: f64| Point { x, y };
        let (front, back, side) = (-case.setback, case.back, case.reach);
        let edge = |from, to| self.line(from, to, Layer::Case);
        let mut items = vec![
            edge(point(0.0, front), point(side, front)),
            edge(point(side, front), point(side, back)),
            edge(point(side, back), point(0.0, back)),
        ];
        if case.closes_at_face {
            items.push(edge(point(0.0, front), point(0.0, back)));
        }
        let gap = |from, to| self.line(from, to, Layer::Mark);
        let size = |mm: f64| shown(Length::from_mm_f64(mm), units);
        let (x, y) = (side / 2.0, f64::midpoint(front, back));
        items.push(self.label(point(x + 2.0, front + 1.2), Anchor::Start, "case front edge"));
        items.push(gap(point(x, front), point(x, 0.0)));
        let setback = format!("setback {}", size(case.setback));
        items.push(self.label(point(x + 2.0, groove / 2.0 + 2.0), Anchor::Start, &setback));
        items.push(gap(point(side - case.side_inset, y), point(side, y)));
        let beside = format!("{}, {} off the centreline", case.side_name, size(case.side_inset));
        items.push(self.label(point(side - case.side_inset - groove / 2.0 - 2.0, y + 1.0), Anchor::End, &beside));
        let behind = match case.back_inset {
            Some(inset) => {
                items.push(gap(point(x, back - inset), point(x, back)));
                format!("inside face of the back, {} off the centreline", size(inset))
            }
            None => "inside face of the back".to_owned(),
        };
        let above = case.back_inset.map_or(1.2, |inset| inset + groove / 2.0 + 2.0);
        items.push(self.label(point(x + 2.0, back - above - LABEL), Anchor::Start, &behind));
        items
    }

    /// Where the stops act on the track, as the table of stops says.
    fn stops(&self, view: &PlanView, stops: &[Stop]) -> Vec<Item> {
        let path = CanvasPath::new(&view.centreline);
        let mut items = Vec::new();
        for stop in stops {
            let Some(station) = stop.station else { continue };
            let (at, heading) = path.at(station.mm_f64());
            items.push(self.across(at, heading, view.groove * 1.5, Layer::Stop));
            let words = match stop.name {
                "closing stop" => "lead edge, closed",
                "opening stop" => "lead edge, open",
                other => other,
            };
            let square = heading + std::f64::consts::FRAC_PI_2;
            let beside = at.moved(square, view.groove * 1.5 + 1.0 + LABEL);
            items.push(self.label(beside.moved(heading, 1.0), Anchor::Start, words));
        }
        items
    }
}
