//! The cloth sheet: where every piece lies on its bolt, and the cuts in their order.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::figure::{Figure, Hang, fits};
use super::shell::{Words, count, tick};
use crate::job::{Bolt, Job};
use crate::measure::Length;
use crate::packing::cloth::BoltUse;
use crate::plan::Plan;
use crate::report::{Cell, canvas, printable};

/// One piece on a bolt, as `canvas.csv` has it.
struct Laid {
    name: String,
    owner: String,
    x: Length,
    y: Length,
    along: Length,
    across: Length,
    turned: bool,
}

/// Pieces by bolt, both in the order of `canvas.csv`.
fn by_bolt(job: &Job, plan: &Plan) -> Vec<(String, Vec<Laid>)> {
    let mut bolts: Vec<(String, Vec<Laid>)> = Vec::new();
    for row in canvas(job, plan).rows {
        let [
            Cell::Text(bolt),
            Cell::Text(name),
            Cell::Text(owner),
            Cell::Length(x),
            Cell::Length(y),
            Cell::Length(along),
            Cell::Length(across),
            Cell::YesNo(turned),
        ] = <[Cell; 8]>::try_from(row).expect("canvas.csv has eight columns")
        else {
            unreachable!("canvas.csv has a bolt, a piece, its owner, four lengths and yes or no in every row")
        };
        let laid = Laid { name, owner, x, y, along, across, turned };
        match bolts.last_mut() {
            Some((last, pieces)) if *last == bolt => pieces.push(laid),
            _ => bolts.push((bolt, vec![laid])),
        }
    }
    bolts
}

/// The whole sheet.
pub(super) fn cloth(words: Words, job: &Job, plan: &Plan) -> Markup {
    let bolts = by_bolt(job, plan);
    let spread = bolts.iter().filter_map(|(name, pieces)| {
        let at = job.bolts.iter().position(|bolt| bolt.bolt == *name)?;
        Some((&job.bolts[at], plan.cloth.bolts.get(at)?, pieces))
    });
    html! {
        @if bolts.is_empty() { p { "No cloth is cut for this job." } }
        @else {
            p {
                "Wash and dry first what is not washed: all figures are for washed cloth. Lay the bolt out with its length "
                "to the right, the selvage towards you trimmed off; cut it across at the level lines, then each level into "
                "its pieces. The warp runs along the travel of the door unless a piece is marked turned."
            }
        }
        @for (bolt, used, pieces) in spread { (one_bolt(words, bolt, used, pieces)) }
    }
}

fn one_bolt(words: Words, bolt: &Bolt, used: &BoltUse, pieces: &[Laid]) -> Markup {
    let levels: BTreeSet<Length> = pieces.iter().map(|piece| piece.x).filter(|x| x.is_positive()).collect();
    html! {
        div class="cut tall" {
            h4 { (printable(&bolt.bolt)) }
            p {
                (words.len(bolt.width)) " wide, " (words.len(bolt.usable_width())) " between the selvages, washed. "
                @if bolt.on_hand.is_some() { "From the shelf: " } @else { "Bought off the roll: " }
                (words.len(used.bought)) ", of which " (words.len(used.used)) " is used, washed."
                @if bolt.taken_as_washed { " No shrinkage was given, so it is taken as washed already." }
            }
            figure { (bolt_figure(words, bolt, used, pieces).markup()) }
            p {
                (tick()) "Cut across at: "
                @for level in &levels { (words.len(*level)) ", " }
                "and at the end, " (words.len(used.used)) "; measured from the first cut. "
                (count(pieces.len() as u64, "piece")) " in all."
            }
            table {
                thead { tr {
                    th { "piece" } th { "for" } th class="n" { "along" } th class="n" { "across" }
                    th class="n" { "from the end" } th class="n" { "from the edge" }
                } }
                tbody { @for piece in pieces { tr {
                    td class="k" { (tick()) (piece.name) @if piece.turned { " turned" } } td class="t" { (printable(&piece.owner)) }
                    td class="n" { (words.len(piece.along)) } td class="n" { (words.len(piece.across)) }
                    td class="n" { (words.len(piece.x)) } td class="n" { (words.len(piece.y)) }
                } } }
            }
        }
    }
}

const WIDTH: f64 = 700.0;
const HEIGHT: f64 = 400.0;

fn bolt_figure(words: Words, bolt: &Bolt, used: &BoltUse, pieces: &[Laid]) -> Figure {
    let (long, wide) = (used.used.mm_f64().max(1.0), bolt.usable_width().mm_f64().max(1.0));
    let scale = ((WIDTH - 6.0) / long).min(HEIGHT / wide);
    let at = |length: Length| length.mm_f64() * scale;
    let label = format!("{} laid on {}", count(pieces.len() as u64, "piece"), printable(&bolt.bolt));
    let mut figure = Figure::new(label, WIDTH, wide * scale + 24.0);
    figure.rect("board", (3.0, 3.0), (long * scale, wide * scale));
    for piece in pieces {
        let (x, y, w, h) = (3.0 + at(piece.x), 3.0 + at(piece.y), at(piece.along), at(piece.across));
        figure.rect("piece", (x, y), (w, h));
        let middle = (x + w / 2.0, y + h / 2.0);
        figure.text("mark", Hang::Middle, middle, &piece.name);
        let size = words.size(piece.along, piece.across);
        if fits(&size, w) && h > 34.0 {
            figure.text("small", Hang::Middle, (middle.0, middle.1 + 12.0), size);
        }
        let owner = printable(&piece.owner);
        if fits(&owner, w) && h > 48.0 {
            figure.text("small", Hang::Middle, (middle.0, middle.1 + 23.0), owner);
        }
    }
    let levels: BTreeSet<Length> = pieces.iter().map(|piece| piece.x).filter(|x| x.is_positive()).collect();
    for level in levels.into_iter().chain([used.used]) {
        let x = 3.0 + at(level);
        figure.line("cutline", (x, 0.0), (x, wide * scale + 9.0));
        figure.text("small", Hang::End, (x, wide * scale + 19.0), words.len(level));
    }
    figure
}
