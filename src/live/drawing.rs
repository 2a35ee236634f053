//! The drawing of a cabinet as it is shown, and the positions of its slats as they are sent.

use std::fmt::Write as _;

use maud::{Markup, PreEscaped, html};

use crate::report::bench::{Bench, BenchDoor, Face, POSITIONS, Stand};
use crate::report::{Item, Place, svg_items};

/// White between the front and the plan.
const BETWEEN: f64 = 70.0;
/// White round it all.
const ROUND: f64 = 14.0;
/// Width of a letter as a share of its height, generously.
const LETTER: f64 = 0.62;

/// Where front and plan lie in the drawing, and how large it is.
struct Layout {
    left: f64,
    width: f64,
    height: f64,
    /// Down from the top of the drawing to the plan's y = 0, and to the front's.
    plan: f64,
    front: f64,
}

/// Front above, plan below it, to one scale; `position` is how far the doors are open.
pub(super) fn drawing(bench: &Bench, title: &str, position: usize) -> Markup {
    let layout = layout(bench);
    let view = format!("{} 0 {} {}", short(layout.left), short(layout.width), short(layout.height));
    let label = format!("{title}: the front, and below it the plan with the slats in their groove");
    html! {
        svg.bench viewBox=(view) role="img" aria-label=(label) data-positions=(POSITIONS) {
            clipPath id="opening" {
                rect x=(short(bench.opening.0.x)) y=(short(-bench.opening.1.y))
                    width=(short(bench.opening.1.x - bench.opening.0.x))
                    height=(short(bench.opening.1.y - bench.opening.0.y)) {}
            }
            g transform=(format!("translate(0 {})", short(layout.front))) {
                g clip-path="url(#opening)" {
                    @for (number, door) in bench.doors.iter().enumerate() { (front(door, number, position)) }
                }
                (PreEscaped(svg_items(&bench.front)))
            }
            g.plan transform=(format!("translate(0 {})", short(layout.plan))) {
                (PreEscaped(svg_items(&bench.plan)))
                @for (number, door) in bench.doors.iter().enumerate() { (plan(door, number, position)) }
                @for door in &bench.doors { (faults(door, &layout)) }
            }
        }
    }
}

fn layout(bench: &Bench) -> Layout {
    let mut plan = Room::default();
    plan.items(&bench.plan);
    for door in &bench.doors {
        for position in [0, POSITIONS / 2, POSITIONS - 1] {
            door.stands(position).iter().for_each(|stand| plan.holds(stand.at));
        }
        door.faults.iter().for_each(|fault| plan.holds(fault.at));
    }
    let mut front = Room::default();
    front.items(&bench.front);
    front.holds(bench.opening.0);
    front.holds(bench.opening.1);
    let (left, right) = (plan.low.x.min(front.low.x) - ROUND, plan.high.x.max(front.high.x) + ROUND);
    let front_at = front.high.y + ROUND;
    let plan_at = front_at - front.low.y + BETWEEN + plan.high.y;
    let height = plan_at - plan.low.y + ROUND;
    Layout { left, width: right - left, height, plan: plan_at, front: front_at }
}

/// A box round what was met.
struct Room {
    low: Place,
    high: Place,
}

impl Default for Room {
    fn default() -> Self {
        Self { low: Place::new(f64::MAX, f64::MAX), high: Place::new(f64::MIN, f64::MIN) }
    }
}

impl Room {
    fn holds(&mut self, place: Place) {
        self.low = Place::new(self.low.x.min(place.x), self.low.y.min(place.y));
        self.high = Place::new(self.high.x.max(place.x), self.high.y.max(place.y));
    }

    fn items(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Line { from, to, .. } => [*from, *to].iter().for_each(|place| self.holds(*place)),
                Item::Arc { centre, radius, start, sweep, .. } => {
                    for part in 0..=8 {
                        let (sine, cosine) = (start + sweep * f64::from(part) / 8.0).to_radians().sin_cos();
                        self.holds(centre.moved(radius * cosine, radius * sine));
                    }
                }
                Item::Outline { corners, .. } => corners.iter().for_each(|place| self.holds(*place)),
                Item::Text { at, height, anchor, text } => {
                    let wide = text.chars().count() as f64 * height * LETTER;
                    let left = match anchor {
                        crate::report::Anchor::Start => 0.0,
                        crate::report::Anchor::Middle => wide / 2.0,
                        crate::report::Anchor::End => wide,
                    };
                    self.holds(at.moved(-left, -height / 4.0));
                    self.holds(at.moved(wide - left, *height));
                }
            }
        }
    }
}

/// The slats of a door in the plan.
fn plan(door: &BenchDoor, number: usize, position: usize) -> Markup {
    let stands = door.stands(position);
    let binding: Vec<usize> = door.faults.iter().map(|fault| fault.slat(&stands)).collect();
    html! {
        g.door data-plan=(number) data-way=(if door.face.back { "-1" } else { "1" }) data-travel=(short(door.travel())) {
            @for (at, stand) in stands.iter().enumerate() {
                @let [body, tongue] = if at == 0 { &door.lead } else { &door.slat };
                g.slat .lead[at == 0] .binds[binding.contains(&at)] transform=(placed(stand)) {
                    polygon.body points=(points(body)) {}
                    polygon.tongue points=(points(tongue)) {}
                }
            }
        }
    }
}

/// The slats of a door in the front, those round the corner left out.
fn front(door: &BenchDoor, number: usize, position: usize) -> Markup {
    let stands = door.stands(position);
    let seen = door.seen(&stands);
    html! {
        g.door data-front=(number) data-way=(if door.face.back { "-1" } else { "1" }) data-travel=(short(door.travel()))
            data-lies=[door.face.lies.then_some("yes")] {
            @for (at, stand) in stands.iter().enumerate() {
                @let face = door.face;
                @let (x, y, wide, high) = rectangle(face, at == 0);
                rect.slat .lead[at == 0] x=(short(x)) y=(short(y)) width=(short(wide)) height=(short(high))
                    transform=(faced(face, stand)) display=[(at >= seen).then_some("none")] {}
            }
        }
    }
}

/// A slat in the front before it is moved: its hinge at the origin.
fn rectangle(face: Face, lead: bool) -> (f64, f64, f64, f64) {
    let width = if lead { face.lead } else { face.width };
    match (face.lies, face.back) {
        (true, _) => (0.0, -width, face.long, width),
        (false, true) => (-width, -face.long, width, face.long),
        (false, false) => (0.0, -face.long, width, face.long),
    }
}

fn placed(stand: &Stand) -> String {
    format!("translate({} {}) rotate({})", short(stand.at.x), short(-stand.at.y), short(-stand.turned))
}

fn faced(face: Face, stand: &Stand) -> String {
    if face.lies {
        format!("translate(0 {})", short(-stand.along))
    } else {
        format!("translate({} 0)", short(stand.at.x))
    }
}

/// What fails, said where it does.
fn faults(door: &BenchDoor, layout: &Layout) -> Markup {
    let letters = layout.width / 42.0;
    html! {
        @for (number, fault) in door.faults.iter().enumerate() {
            @let wide = fault.words.chars().count() as f64 * letters * LETTER;
            @let middle = (layout.left + wide / 2.0 + letters).max(fault.at.x.min(layout.left + layout.width - wide / 2.0 - letters));
            circle.binds cx=(short(fault.at.x)) cy=(short(-fault.at.y)) r=(short(letters * 1.4)) {}
            text.binds x=(short(middle)) y=(short(letters * (2.6 + 1.3 * number as f64) - fault.at.y))
                font-size=(short(letters)) text-anchor="middle" { (fault.words) }
        }
    }
}

fn points(corners: &[Place]) -> String {
    let each: Vec<String> = corners.iter().map(|corner| format!("{},{}", short(corner.x), short(-corner.y))).collect();
    each.join(" ")
}

/// Every position of every door: `{"doors":[{"at":[[x,y,turned,front,...],...],"seen":[...],"binds":[[...],...]}]}`;
/// millimetres as drawn, degrees clockwise. What a script has to do is to put them in place.
pub(super) fn positions(bench: &Bench) -> String {
    let mut out = String::from("{\"doors\":[");
    for (number, door) in bench.doors.iter().enumerate() {
        let all: Vec<Vec<Stand>> = (0..POSITIONS).map(|position| door.stands(position)).collect();
        out += if number == 0 { "{\"at\":[" } else { ",{\"at\":[" };
        list(&mut out, &all, |out, stands| {
            out.push('[');
            list(out, stands, |out, stand| {
                let front = if door.face.lies { -stand.along } else { stand.at.x };
                // Writing to a string cannot fail.
                let _ = write!(
                    out,
                    "[{},{},{},{}]",
                    short(stand.at.x),
                    short(-stand.at.y),
                    short(-stand.turned),
                    short(front)
                );
            });
            out.push(']');
        });
        out += "],\"seen\":[";
        list(&mut out, &all, |out, stands| out.push_str(&door.seen(stands).to_string()));
        out += "],\"binds\":[";
        list(&mut out, &all, |out, stands| {
            out.push('[');
            list(out, &door.faults, |out, fault| out.push_str(&fault.slat(stands).to_string()));
            out.push(']');
        });
        let _ = write!(out, "],\"lies\":{}}}", door.face.lies);
    }
    out + "]}"
}

fn list<T>(out: &mut String, items: &[T], each: impl Fn(&mut String, &T)) {
    for (at, item) in items.iter().enumerate() {
        if at > 0 {
            out.push(',');
        }
        each(out, item);
    }
}

/// A hundredth of a millimetre or of a degree: less than anyone sees.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
