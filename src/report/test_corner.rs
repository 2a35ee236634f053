//! Test corners: each different bend of a job once, to be routed in scrap before a case is spoilt.

use super::drawing::{Drawing, Item};
use super::template::{Drawn, OnSheet, drawn, finish_inside, mirrored, named};
use crate::doors::chain::Piece;
use crate::doors::{Door, PlanView};
use crate::job::{DoorSpec, Job};
use crate::measure::{Length, Units};

/// White around a test corner: little, so that an ordinary one prints on one page.
const MARGIN: f64 = 1.0;

/// The template of one bend and the doors that pass it.
#[derive(Debug, Clone)]
pub struct CornerTemplate {
    /// The doors, by name, in job order.
    pub doors: Vec<String>,
    /// Full size.
    pub drawing: Drawing,
}

impl CornerTemplate {
    /// One for each different bend of a job, in job order; mirror images count as one.
    #[must_use]
    pub fn of_job(job: &Job, doors: &[Door]) -> Vec<Self> {
        let drawn = drawn(job, doors);
        let mut found: Vec<(Length, Vec<Piece>, Vec<&Drawn<'_>>)> = Vec::new();
        for one in &drawn {
            for bend in bends(one.spec, &one.view) {
                let track = with_runs(one.spec, &bend);
                match found.iter_mut().find(|known| (known.0, &known.1) == (one.spec.groove.width, &track)) {
                    Some(known) if known.2.iter().any(|other| std::ptr::eq(*other, one)) => {}
                    Some(known) => known.2.push(one),
                    None => found.push((one.spec.groove.width, track, vec![one])),
                }
            }
        }
        let template = |(_, track, sharing): (Length, Vec<Piece>, Vec<&Drawn<'_>>)| {
            let names: Vec<&str> = sharing.iter().map(|one| one.door.name.as_str()).collect();
            let first = sharing.first()?;
            let drawing = corner(first.spec, &first.view, &track, (&names, job.units));
            Some(Self { doors: names.into_iter().map(str::to_owned).collect(), drawing })
        };
        found.into_iter().filter_map(template).collect()
    }
}

/// The test corner of one door: its bends of both senses that a slat spans, whole, where it has such; else its tightest
/// bend. Room for five slats and the lead slat on both sides. `None` for a track without a bend.
#[must_use]
pub fn corner_template(spec: &DoorSpec, door: &Door, job: &Job) -> Option<Drawing> {
    let view = PlanView::new(spec, &job.shop, job.units)?;
    let radius = |bend: &Vec<Piece>| arcs(bend).map(|(radius, _)| radius).fold(f64::INFINITY, f64::min);
    let turns_both_ways =
        |bend: &Vec<Piece>| arcs(bend).any(|(_, concave)| concave) && arcs(bend).any(|(_, concave)| !concave);
    let bend = bends(spec, &view)
        .into_iter()
        .min_by(|a, b| turns_both_ways(b).cmp(&turns_both_ways(a)).then(radius(a).total_cmp(&radius(b))))?;
    Some(corner(spec, &view, &with_runs(spec, &bend), (&[&door.name], job.units)))
}

/// Radius and sense of every arc.
fn arcs(bend: &[Piece]) -> impl Iterator<Item = (f64, bool)> + '_ {
    bend.iter().filter_map(|piece| match piece {
        Piece::Straight(_) => None,
        Piece::Arc { radius, concave, .. } => Some((*radius, *concave)),
    })
}

/// The bends of a track, those of either sense together that the widest slat spans, with the runs between them.
fn bends(spec: &DoorSpec, view: &PlanView) -> Vec<Vec<Piece>> {
    let spans = spec.slats.width.max(spec.slats.lead_width).mm_f64();
    let mut bends: Vec<Vec<Piece>> = Vec::new();
    // Straight runs since the last arc.
    let mut between: Vec<Piece> = Vec::new();
    for piece in &view.centreline {
        match piece {
            Piece::Straight(_) => between.push(*piece),
            Piece::Arc { .. } => {
                let near = between.iter().map(|run| run.length()).sum::<f64>() < spans;
                match bends.last_mut() {
                    Some(last) if near => {
                        last.append(&mut between);
                        last.push(*piece);
                    }
                    _ => bends.push(vec![*piece]),
                }
                between.clear();
            }
        }
    }
    bends
}

fn with_runs(spec: &DoorSpec, bend: &[Piece]) -> Vec<Piece> {
    let run = Piece::Straight((spec.slats.lead_width + spec.slats.width * 5).mm_f64());
    std::iter::once(run).chain(bend.iter().copied()).chain(std::iter::once(run)).collect()
}

fn corner(spec: &DoorSpec, view: &PlanView, track: &[Piece], (names, units): (&[&str], Units)) -> Drawing {
    let items: Vec<Item> = OnSheet { mirrored: mirrored(spec) }.groove(track, view.groove);
    let title = format!("test corner for {}", named(names));
    let words = [
        title.clone(),
        "rout this in scrap first; five slats and the lead slat must run through".to_owned(),
        "if they bind, deepen the rabbet a little; never force them".to_owned(),
    ];
    finish_inside(&title, items, &words, (MARGIN, units))
}
