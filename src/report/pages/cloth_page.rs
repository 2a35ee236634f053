//! The cloth sheet: where every piece lies on its bolt, and the cuts in their order.

use maud::{Markup, html};

use super::cloth_figure::bolt_figures;
use super::shell::{Words, count, tick};
use crate::job::{Bolt, Job};
use crate::measure::Length;
use crate::packing::cloth::BoltUse;
use crate::plan::Plan;
use crate::report::{Cell, cloth_pieces, printable};

/// One piece on a bolt, as `cloth_pieces.csv` has it.
pub(super) struct Laid {
    pub(super) name: String,
    pub(super) owner: String,
    pub(super) x: Length,
    pub(super) y: Length,
    pub(super) along: Length,
    pub(super) across: Length,
    pub(super) turned: bool,
}

/// Pieces by bolt, both in the order of `cloth_pieces.csv`.
fn by_bolt(job: &Job, plan: &Plan) -> Vec<(String, Vec<Laid>)> {
    let mut bolts: Vec<(String, Vec<Laid>)> = Vec::new();
    for row in cloth_pieces(job, plan).rows {
        let [
            Cell::Text(bolt),
            Cell::Text(name),
            Cell::Text(owner),
            Cell::Length(x),
            Cell::Length(y),
            Cell::Length(along),
            Cell::Length(across),
            Cell::YesNo(turned),
            Cell::Text(band),
        ] = <[Cell; 9]>::try_from(row).expect("cloth_pieces.csv has nine columns")
        else {
            unreachable!(
                "cloth_pieces.csv has a bolt, a piece, its owner, four lengths, yes or no and a band in every row"
            )
        };
        let owner = if band.is_empty() { owner } else { format!("{owner}, {band} band") };
        let laid = Laid { name, owner, x, y, along, across, turned };
        match bolts.last_mut() {
            Some((last, pieces)) if *last == bolt => pieces.push(laid),
            _ => bolts.push((bolt, vec![laid])),
        }
    }
    bolts
}

/// A level: a band across the bolt, cut into stacks.
pub(super) struct Level<'a> {
    pub(super) from: Length,
    pub(super) to: Length,
    pub(super) stacks: Vec<Stack<'a>>,
}

/// Pieces on one another between two cuts along the bolt.
pub(super) struct Stack<'a> {
    pub(super) from: Length,
    pub(super) to: Length,
    pub(super) pieces: Vec<&'a Laid>,
}

impl Stack<'_> {
    /// Where it is cut across, between its pieces.
    pub(super) fn cuts(&self) -> impl Iterator<Item = Length> + '_ {
        self.pieces.iter().skip(1).map(|piece| piece.x)
    }
}

/// The levels of a bolt, and in each its stacks, both wherever a straight cut passes all pieces.
fn levels(pieces: &[Laid]) -> Vec<Level<'_>> {
    let along = apart(pieces.iter().collect(), |piece| (piece.x, piece.along));
    along.into_iter().map(|(from, to, level)| Level { from, to, stacks: stacks(level) }).collect()
}

fn stacks(level: Vec<&Laid>) -> Vec<Stack<'_>> {
    let across = apart(level, |piece| (piece.y, piece.across)).into_iter();
    let stack = |(from, to, mut pieces): (Length, Length, Vec<_>)| {
        pieces.sort_by_key(|piece: &&Laid| piece.x);
        Stack { from, to, pieces }
    };
    across.map(stack).collect()
}

/// Groups pieces whose spans, given as (from, length), overlap: (from, to, pieces) in order.
fn apart(mut pieces: Vec<&Laid>, span: impl Fn(&Laid) -> (Length, Length)) -> Vec<(Length, Length, Vec<&Laid>)> {
    pieces.sort_by_key(|piece| span(piece).0);
    let mut groups: Vec<(Length, Length, Vec<&Laid>)> = Vec::new();
    for piece in pieces {
        let (from, length) = span(piece);
        match groups.last_mut() {
            Some((_, to, group)) if from < *to => {
                *to = (*to).max(from + length);
                group.push(piece);
            }
            _ => groups.push((from, from + length, vec![piece])),
        }
    }
    groups
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
                "to the right, the selvage towards you trimmed off; cut it across at the level lines, then each level along "
                "between what lies side by side, then across what lies on one another; trim to size. The warp runs along the travel of the door unless a piece is marked turned."
            }
        }
        @for (bolt, used, pieces) in spread { (one_bolt(words, bolt, used, pieces)) }
    }
}

fn one_bolt(words: Words, bolt: &Bolt, used: &BoltUse, pieces: &[Laid]) -> Markup {
    let levels = levels(pieces);
    html! {
        div class="cut tall" {
            h4 { (printable(&bolt.bolt)) }
            p {
                (words.len(bolt.width)) " wide, " (words.len(bolt.usable_width())) " between the selvages, washed. "
                @if bolt.on_hand.is_some() { "From the shelf: " } @else { "Bought off the roll: " }
                (words.len(used.bought)) ", of which " (words.len(used.used)) " is used, washed."
                @if bolt.taken_as_washed { " No shrinkage was given, so it is taken as washed already." }
            }
            @for figure in bolt_figures(words, bolt, used, pieces, &levels) { figure { (figure.markup()) } }
            p {
                (tick()) "Cut across at: "
                @for level in &levels[1..] { (words.len(level.from)) ", " }
                "and at the end, " (words.len(used.used)) "; measured from the first cut. "
                (count(pieces.len() as u64, "piece")) " in all."
            }
            @for level in &levels { @for stack in level.stacks.iter().filter(|stack| stack.pieces.len() > 1) { p {
                (tick()) "In the level from " (words.len(level.from)) " to " (words.len(level.to))
                ", cut what lies from " (words.len(stack.from)) " to " (words.len(stack.to)) " off the edge across at: "
                @for (at, cut) in stack.cuts().enumerate() { @if at > 0 { ", " } (words.len(cut)) }
                "."
            } } }
            table class="tight" {
                thead { tr {
                    th scope="col" { "piece" } th scope="col" { "for" } th scope="col" class="n" { "along" } th scope="col" class="n" { "across" }
                    th scope="col" class="n" { "from the end" } th scope="col" class="n" { "from the edge" }
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
