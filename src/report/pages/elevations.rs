//! Cabinets from the front, their doors closed, all to one scale.

use maud::{Markup, html};

use super::figure::{Figure, figure};
use super::shell::Words;
use crate::doors::Door;
use crate::job::Job;
use crate::report::bench::{Bench, BenchDoor, Stand, bench};
use crate::report::printable;

/// Cabinets that are drawn: of a job with more, the first.
const MOST: usize = 12;
/// The widest and the highest of them, in CSS pixels.
const ROOM: (f64, f64) = (150.0, 92.0);
/// White round a drawing, for its outline, in CSS pixels.
const ROUND: f64 = 2.0;

/// One drawing a cabinet that has doors which can be drawn.
pub(super) fn elevations(words: Words, job: &Job, doors: &[Door]) -> Markup {
    let drawn = (0..job.cabinets.len()).filter_map(|at| Some((at, bench(job, at, doors)?)));
    let drawn: Vec<(usize, Bench)> = drawn.take(MOST).collect();
    let most = |size: fn(&Bench) -> f64| drawn.iter().map(|(_, bench)| size(bench)).fold(1.0, f64::max);
    let scale = (ROOM.0 / most(wide)).min(ROOM.1 / most(high));
    html! {
        @if !drawn.is_empty() {
            div class="elevations" {
                @for (at, bench) in &drawn {
                    @let cabinet = &job.cabinets[*at];
                    @let size = cabinet.inside.map(|inside| words.size(inside.width, inside.height));
                    div {
                        (front(bench, &cabinet.name, scale).markup())
                        p { (cabinet.count) " x " (printable(&cabinet.name)) @if let Some(size) = size { br; (size) " inside" } }
                    }
                }
            }
        }
    }
}

fn wide(bench: &Bench) -> f64 {
    bench.opening.1.x - bench.opening.0.x
}

fn high(bench: &Bench) -> f64 {
    bench.opening.1.y - bench.opening.0.y
}

/// A slat of which less is seen, in millimetres, stands edgewise, and what comes after it is behind.
const EDGEWISE: f64 = 1.0;

/// The opening with the slats that are seen in it.
fn front(bench: &Bench, name: &str, scale: f64) -> Figure {
    let (wide, high) = (wide(bench) * scale, high(bench) * scale);
    let doors = if bench.doors.len() == 1 { "door" } else { "doors" };
    let label = format!("{} from the front, its {doors} closed", printable(name));
    let mut sheet = Figure::new(label, wide + 2.0 * ROUND, high + 2.0 * ROUND);
    for door in &bench.doors {
        // The joints are lines, since side by side the outlines of small slats would be all black.
        let mut joints = String::new();
        for (slat, (x, y)) in closed(door).into_iter().enumerate() {
            // Within the opening: the tail of a closed door may stand past it.
            let [left, right] = x.map(|x| ROUND + ((x - bench.opening.0.x) * scale).clamp(0.0, wide));
            let [low, top] = y.map(|y| ROUND + high - ((y - bench.opening.0.y) * scale).clamp(0.0, high));
            if left >= right || top >= low {
                continue;
            }
            if slat == 0 {
                sheet.rect("blank", (left, top), (right - left, low - top));
            } else if door.face.lies {
                joints += &format!("M{} {}H{}", figure(left), figure(top), figure(right));
            } else {
                let far = if door.face.back { left } else { right };
                joints += &format!("M{} {}V{}", figure(far), figure(low), figure(top));
            }
        }
        sheet.path("slat", joints);
    }
    sheet.rect("board", (ROUND, ROUND), (wide, high));
    sheet
}

/// From where to where the slats of a closed door reach, across and up, in the front's own millimetres: those that are
/// seen, the lead slat first, round the corner as far as they still face the front.
fn closed(door: &BenchDoor) -> Vec<([f64; 2], [f64; 2])> {
    let face = door.face;
    let forward = if face.back { -1.0 } else { 1.0 };
    let reach = |(slat, stand): (usize, Stand)| {
        let width = if slat == 0 { face.lead } else { face.width };
        let seen = width * stand.turned.to_radians().cos();
        let (near, far) = (stand.at.x, stand.at.x + seen);
        let along = [near.min(far), near.max(far)];
        let across = [0.0, face.long];
        (seen * forward > EDGEWISE).then_some(if face.lies { (across, along) } else { (along, across) })
    };
    door.stands(0).into_iter().enumerate().map_while(reach).collect()
}

#[cfg(test)]
mod tests {
    use super::super::figure::Mark;
    use super::*;
    use crate::files::Sources;
    use crate::{doors, job};

    const JOB: &str = "name = \"a\"\nunits = \"in\"\nboards = \"b.csv\"\ncloth = \"c.csv\"\n[slats]\nspecies = \"cherry\"\n\
                       width = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\nrabbet_depth = \"7/32\"\n\
                       rabbet_length = \"3/8\"\n[[cabinet]]\nname = \"press\"\ninside_width = 36\ninside_depth = 16\n\
                       inside_height = 28\ndoors = \"HAND\"\nsetback = \"3/4\"\ncorner_radius = 3\n\
                       groove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";

    fn drawn(hand: &str) -> Bench {
        let sources = Sources::in_memory("job.toml", JOB.replace("HAND", hand))
            .with("b.csv", "stock,species,thickness,width,length,on_hand,price,per\nc,cherry,4/4,6,96,,9.85,bf\n")
            .with(
                "c.csv",
                "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\nd,60,0.5,,11.50,yard,9,0,0\n",
            );
        let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
        bench(&job, 0, &doors::lay_out(&job)).unwrap()
    }

    /// Slats side by side from the lead edge on: they cover the opening from end to end, and the lead edges of a pair
    /// meet in the middle.
    #[test]
    fn closed_doors_cover_the_opening() {
        for (hand, from, to) in [("pair", 18.0, 36.0), ("right", 0.0, 36.0), ("left", 0.0, 36.0), ("up", 0.0, 28.0)] {
            let bench = drawn(hand);
            let mut reaches: Vec<[f64; 2]> = closed(&bench.doors[bench.doors.len() - 1])
                .iter()
                .map(|(x, y)| if hand == "up" { *y } else { *x })
                .collect();
            reaches.sort_by(|a, b| a[0].total_cmp(&b[0]));
            assert!(reaches.windows(2).all(|pair| (pair[0][1] - pair[1][0]).abs() < 0.5), "{hand}: {reaches:?}");
            let (first, last) = (reaches[0][0] / 25.4, reaches[reaches.len() - 1][1] / 25.4);
            // Round the corner to the groove, whose centreline is 3/4 from the side.
            assert!(first < from + 0.9 && last > to - 0.9, "{hand}: {first} to {last}");
            assert!((first - from).abs() < 0.01 || (last - to).abs() < 0.01, "{hand}: the lead edge is at an end");
        }
    }

    #[test]
    fn every_slat_that_is_seen_is_drawn_within_the_opening() {
        for hand in ["pair", "left", "up"] {
            let bench = drawn(hand);
            let sheet = front(&bench, "press", 0.1);
            let seen: usize = bench.doors.iter().map(|door| closed(door).len()).sum();
            let (mut leads, mut joints) = (0, 0);
            for mark in &sheet.marks {
                let places: Vec<f64> = match mark {
                    Mark::Rect { x, y, w, h, .. } => vec![*x, *y, x + w, y + h],
                    Mark::Path { d, .. } => {
                        joints += d.matches('M').count();
                        d.split(['M', 'H', 'V', ' '])
                            .filter(|figure| !figure.is_empty())
                            .map(|f| f.parse().unwrap())
                            .collect()
                    }
                    Mark::Text { .. } => panic!("{mark:?}"),
                };
                leads += usize::from(matches!(mark, Mark::Rect { pen: "blank", .. }));
                let most = sheet.width.max(sheet.height) - ROUND + 0.01;
                assert!(places.iter().all(|place| (ROUND - 0.01..=most).contains(place)), "{hand}: {mark:?}");
            }
            assert!(
                leads == bench.doors.len() && leads + joints == seen && seen > 40,
                "{hand}: {leads} {joints} {seen}"
            );
        }
    }
}
