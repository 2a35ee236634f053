//! The case and hanging sheet of each cabinet: grooves before glue, then loading, stops, wax and the running test.

use maud::{Markup, html};

use super::Page;
use super::balance_figure::balance_figure;
use super::case_figure::case_figure;
use super::shell::{Words, some_cautions, tick};
use crate::case::{Clear, ClearBox, RUNNING_ROOM, USUAL_LINING, clear_of, outside};
use crate::doors::Door;
use crate::job::{DoorSpec, DoorTrack, Hand, Job, Segment};
use crate::plan::Plan;
use crate::report::printable;

/// A sheet for every cabinet of the job, in its order.
pub(super) fn cases<'a>(words: Words, job: &'a Job, plan: &'a Plan) -> impl Iterator<Item = Page<'a>> {
    let single = job.cabinets.len() == 1;
    job.cabinets.iter().enumerate().map(move |(index, cabinet)| {
        let title = format!("Case and hanging sheet: {}", printable(&cabinet.name));
        let file = if single { "case".to_owned() } else { format!("case-{}", index + 1) };
        Page::made_anew(file, title, move || case(words, job, plan, index))
    })
}

fn case(words: Words, job: &Job, plan: &Plan, index: usize) -> Markup {
    let cabinet = &job.cabinets[index];
    let of_it = plan.doors.iter().filter(|door| door.cabinet == index);
    let doors: Vec<(&Door, &DoorSpec)> =
        of_it.filter_map(|door| Some((door, cabinet.doors.get(door.index)?))).collect();
    let room = clear_of(job, &plan.doors, index).map(|clear| room(words, job, index, &clear));
    sheet(words, job, cabinet.count, &doors, room)
}

fn sheet(words: Words, job: &Job, built: u32, doors: &[(&Door, &DoorSpec)], room: Option<Markup>) -> Markup {
    html! {
        p class="ticks" { "Cases: " @for number in 1..=built { span { (tick()) (number) } } }
        (some_cautions(&[0, 8, 9]))
        div class="cols" {
            figure {
                (case_figure(words, job, doors).markup())
                figcaption {
                    "From above (a roll-up from its side, lying on its back): slats closed, dashed open; the groove's centreline and the entry. Stops: C closing, P opening, T tail."
                }
            }
            @for (names, body) in alike(doors, |door, spec| grooves(words, door, spec)) {
                h3 { "Groove of " (names) } (body)
            }
            (order(built))
            @for (names, body) in alike(doors, |door, _| loading(door)) {
                h3 { "Loading " (names) } (body)
            }
            @for (names, body) in alike(doors, |door, _| hung(words, door)) {
                p { b { (names) ". " } (body) }
            }
            @if let Some(room) = room { (room) }
            (running())
            (seasons(words, doors))
        }
        (stops(words, doors))
        (hangs(words, doors))
    }
}

/// What is said of the doors, once for those of which the same is said.
fn alike(doors: &[(&Door, &DoorSpec)], say: impl Fn(&Door, &DoorSpec) -> Markup) -> Vec<(String, Markup)> {
    let mut said: Vec<(String, Markup)> = Vec::new();
    for (door, spec) in doors {
        let (name, body) = (printable(&door.name), say(door, spec));
        match said.iter_mut().find(|(_, other)| other.0 == body.0) {
            Some((names, _)) => *names = format!("{names} and {name}"),
            None => said.push((name, body)),
        }
    }
    said
}

/// What the client can use, and the outside.
fn room(words: Words, job: &Job, cabinet: usize, clear: &Clear) -> Markup {
    let spec = &job.cabinets[cabinet];
    let lining =
        spec.case.as_ref().and_then(|case| case.lining.as_ref()).map_or(USUAL_LINING, |lining| lining.thickness);
    let sizes = |room: ClearBox| [room.width, room.depth, room.height].map(|size| words.len(size)).join(" x ");
    let rows = [
        ("lined".to_owned(), clear.largest(Some(lining))),
        ("lined, widest".to_owned(), clear.widest(Some(lining))),
        ("lined, deepest".to_owned(), clear.between_corners(Some(lining))),
        ("bare".to_owned(), clear.largest(None)),
    ];
    let around = spec.inside.map(|inside| outside(spec, inside));
    html! {
        h3 { "Room for shelves" }
        table class="tight" {
            thead { tr { th scope="col" { "shelf" } th scope="col" class="n" { "width x depth x height" } } }
            tbody { @for (name, room) in rows { tr { td { (name) } td class="n" { (sizes(room)) } } } }
        }
        p class="note" {
            "No slat reaches into it, wherever the door is. Lined: behind a lining " (words.len(lining)) " thick with "
            (words.len(RUNNING_ROOM)) " before it for the door to run."
            @if let Some(around) = around {
                " Outside of the case: " (words.len(around.width)) " x " (words.len(around.depth)) " x " (words.len(around.height)) "."
            }
        }
    }
}

fn order(built: u32) -> Markup {
    html! {
        h3 { "Before the case is glued up" }
        ol {
            li { (tick()) "Test corner first, in scrap: five slats on a strip of cloth and the lead slat must run through by hand." }
            li { (tick()) "Rout all grooves while the parts lie flat: once the case is together no router reaches the corners." }
            li { (tick()) "Both parts that carry a door's grooves: one template, turned over, from the same edges; the entry too." }
            li { (tick()) "Sand and wax the walls; dry-fit, and run the door through before glue." @if built > 1 { " So with each of the " (built) " cases." } }
        }
    }
}

fn grooves(words: Words, door: &Door, spec: &DoorSpec) -> Markup {
    let run = |segment: &Segment| match segment {
        Segment::Straight(length) => format!("straight {}", words.len(*length)),
        Segment::Arc { radius, degrees, canvas_inside } => {
            let way = if *canvas_inside { "" } else { ", the other way: the faces close" };
            format!("corner of radius {}, {degrees} degrees{way}", words.len(*radius))
        }
    };
    let runs: Vec<String> = door.path.iter().map(run).collect();
    html! {
        table { tbody {
            tr { td { "groove" } td class="n" { (words.len(spec.groove.width)) } td { "wide" } }
            tr { td {} td class="n" { (words.len(spec.groove.depth)) } td { "deep" } }
            @match &spec.track {
                DoorTrack::Case { hand, setback, side_inset, back_inset, corner_radius, .. } => {
                    tr { td class="k" { "front run" } td class="n" { (words.len(*setback)) } td { "case front edge to the groove's centreline" } }
                    tr {
                        td class="k" { "side run" } td class="n" { (words.len(*side_inset)) }
                        td {
                            @if *hand == Hand::Up { "inside face of the top to the groove's centreline" }
                            @else { "inside face of the side to the groove's centreline" }
                        }
                    }
                    tr { td class="k" { "back run" } td class="n" { (words.len(*back_inset)) } td { "inside face of the back to the groove's centreline, where it turns behind" } }
                    tr { td { "corner" } td class="n" { (words.len(*corner_radius)) } td { "radius to the groove's centreline" } }
                }
                DoorTrack::Path { name, .. } => { tr { td { "track" } td {} td { (printable(name)) ", drawn by hand" } } }
            }
            tr { td { "between" } td class="n" { (words.len(spec.between)) } td { "clear, between the two faces that carry the grooves" } }
            tr { td { "slats" } td class="n" { (words.len(door.slat_length)) } td { "long, into both grooves" } }
        } }
        p { "From the closed lead edge on, along the centreline: " (runs.join("; ")) "." }
    }
}

fn loading(door: &Door) -> Markup {
    html! { ol { @for step in &door.details.loading { li { (tick()) (step) } } } }
}

/// One table for all doors of the case; what is said of several stands once.
fn stops(words: Words, doors: &[(&Door, &DoorSpec)]) -> Markup {
    let mut rows: Vec<(Vec<String>, Markup)> = Vec::new();
    for (door, _) in doors {
        for stop in &door.stops {
            let body = html! {
                td { (tick()) (stop.name) @if let Some(length) = stop.length { ", " (words.len(length)) " long" } }
                td class="n" { (words.len(stop.distance)) } td { (own_side(&stop.from)) "; " (stop.note) }
            };
            match rows.iter_mut().find(|(_, other)| other.0 == body.0) {
                Some((names, _)) => names.push(printable(&door.name)),
                None => rows.push((vec![printable(&door.name)], body)),
            }
        }
    }
    let several = doors.len() > 1;
    html! {
        @if !rows.is_empty() {
            h3 { "Stops and filler" }
            table {
                thead { tr {
                    th scope="col" { "block" } th scope="col" class="n" { "at" } th scope="col" { "from" }
                    @if several { th scope="col" { "door" } }
                } }
                tbody { @for (names, body) in rows { tr {
                    (body)
                    @if several { td { @if names.len() == doors.len() { "all" } @else { (names.join(", ")) } } }
                } } }
            }
        }
    }
}

/// The left door's figures are from the left side, the right one's from the right: said alike, they are one row.
fn own_side(from: &str) -> String {
    from.replace("the left side", "the door's own side").replace("the right side", "the door's own side")
}

fn hung(words: Words, door: &Door) -> Markup {
    html! {
        @if let Some(room) = &door.details.room {
            "Closed, the lead edge rests " (room.meets) ". Open, it leaves " (words.len(room.clear_opening)) " clear. "
        }
        "Trim the lead slat to " (words.len(door.lead_width)) " when it hangs true."
        @for note in &door.notes { " Note: " (printable(note)) "." }
    }
}

/// The force curve of each roll-up.
fn hangs(words: Words, doors: &[(&Door, &DoorSpec)]) -> Markup {
    let curves = doors.iter().filter_map(|(door, _)| Some((door, door.details.feel.as_ref()?.balance.as_ref()?)));
    html! {
        @for (door, balance) in curves {
            h3 { "How " (printable(&door.name)) " hangs" }
            figure {
                (balance_figure(words, balance).markup())
                figcaption {
                    "Force at the lead edge, upwards positive, from closed to open: to lift the door, to hold it without "
                    "friction, and to let it down, each for waxed and bare wood (estimate; cloth, handle and any "
                    "counterweight left out). Where the waxed door needs a positive force to let it down it falls shut when "
                    "let go; where lifting takes less than zero it runs open."
                }
            }
            p { "Open, " (words.force(balance.front_weight_open)) " of its weight hangs on the front run." }
        }
    }
}

fn running() -> Markup {
    html! {
        h3 { "Wax and running test" }
        ol {
            li { (tick()) "Paste wax in the grooves and on the tongues, rubbed dry; no oil, no finish in the groove." }
            li { (tick()) "Ten runs from closed to open, one hand at the middle of the lead slat." }
            li { (tick()) "Where it binds: glue in the joint, a tongue left thick, a step in the groove wall? Then deepen the rabbet one step (glue-up sheet)." }
            li { (tick()) "Stops in, handle on, ten more runs." }
        }
    }
}

fn seasons(words: Words, doors: &[(&Door, &DoorSpec)]) -> Markup {
    let moving: Vec<_> = doors.iter().filter(|(door, _)| door.details.movement.is_some()).copied().collect();
    let said = alike(&moving, |door, _| {
        html! { @if let Some(movement) = &door.details.movement {
            (words.len(movement.swells)) " longer in the humid season, " (words.len(movement.shrinks)) " shorter in the dry one ("
            (movement.source) "). Stops catch the lead slat, never the tail."
        } }
    });
    html! {
        @if !said.is_empty() {
            h3 { "Through the year" }
            @for (names, body) in said { p { b { (names) ". " } (body) } }
        }
    }
}
