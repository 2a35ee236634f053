//! The clear room by brute force: the chain is moved through its groove in fine steps, and a box is laid beside it.

use slatwright::case::{Clear, ClearBox, clear_of, outside, smallest};
use slatwright::doors::chain::{CanvasPath, Piece, Point};
use slatwright::job::{DoorSpec, Hand, InsideSize, Job, Segment};
use slatwright::measure::Length;

use crate::common::all_cases;

use super::{HEAD, METRIC, cabinet, job_of, made, metric_cabinet};

/// A slat seen from above (a roll-up's from its side): the ends of its canvas edge and of its face.
type Slat = [Point; 4];

/// Every slat of every door at every position, in the plan of the groove, millimetres: the face beside which the first door
/// stows lies at x = 0, the rest of the case at negative x, and y is measured from the case front edge.
fn slats_of(job: &Job, fine: f64) -> Vec<Slat> {
    let (doors, _) = made(job);
    let cabinet = &job.cabinets[0];
    let mut slats = Vec::new();
    for (door, spec) in doors.iter().zip(&cabinet.doors) {
        let along = place(spec).1;
        for tight in [true, false] {
            let path = hinges(spec, &door.path, tight);
            let steps = (door.travel.mm_f64() / fine).ceil() as usize;
            for step in 0..=steps {
                let lead = (step as f64 * fine).min(door.travel.mm_f64());
                let widths = std::iter::once(door.lead_width).chain((0..door.slats).map(|_| door.slat_width));
                let stations = path.hinges(lead, widths.map(|width| width.mm_f64()));
                for pair in stations.windows(2) {
                    let (near, far) = (path.at(pair[0]), path.at(pair[1]));
                    // Where the path is not where a chain can lie, only slats on one straight are looked at.
                    if !tight && (near.1 - far.1).abs() > 1e-9 {
                        continue;
                    }
                    slats.push(turned(spec, slat(near.0, far.0, spec.slats.thickness.mm_f64()), along));
                }
            }
        }
    }
    slats
}

/// The right door of a pair is the left one's image over the middle of the case.
fn turned(spec: &DoorSpec, slat: Slat, along: f64) -> Slat {
    let mirrored = place(spec).0 == Hand::PairRight;
    slat.map(|p| if mirrored { Point { x: -along - p.x, y: p.y } } else { p })
}

fn slat(near: Point, far: Point, thickness: f64) -> Slat {
    let long = near.distance(far);
    // Away from the canvas, which lies to the left of the way from the lead edge to the tail.
    let (dx, dy) = ((far.y - near.y) / long * thickness, -(far.x - near.x) / long * thickness);
    [near, far, Point { x: far.x + dx, y: far.y + dy }, Point { x: near.x + dx, y: near.y + dy }]
}

/// Which door, and the size of the case along the front run.
fn place(spec: &DoorSpec) -> (Hand, f64) {
    match &spec.track {
        slatwright::job::DoorTrack::Case { hand, inside, .. } => {
            (*hand, if *hand == Hand::Up { inside.height } else { inside.width }.mm_f64())
        }
        slatwright::job::DoorTrack::Path { .. } => panic!("a case"),
    }
}

/// The hinges of a chain that is pulled, from the closed lead edge towards the face it stows beside, that face at x = 0.
/// `tight`: on the arcs the slats' canvas edges lie on the inner wall (moved in by the back rabbet); the hinges keep one
/// distance from the centreline throughout. Else: on the straights they lie on it.
fn hinges(spec: &DoorSpec, path: &[Segment], tight: bool) -> CanvasPath {
    let slatwright::job::DoorTrack::Case { hand, inside, setback, middle_block, .. } = &spec.track else {
        panic!("a case")
    };
    let (half, e) = (spec.groove.width.mm_f64() / 2.0, spec.slats.back_rabbet().mm_f64());
    let radius = path.iter().find_map(|segment| match segment {
        Segment::Arc { radius, .. } => Some(radius.mm_f64()),
        Segment::Straight(_) => None,
    });
    let radius = radius.unwrap();
    let hinge = (radius - half - e).hypot(spec.slats.width.mm_f64() / 2.0);
    let offset = if tight { radius - hinge } else { half + e };
    let pieces: Vec<Piece> = path
        .iter()
        .map(|segment| match segment {
            Segment::Straight(length) => Piece::Straight(length.mm_f64()),
            Segment::Arc { radius, degrees, .. } => {
                Piece::Arc { radius: radius.mm_f64() - offset, angle: degrees.to_radians(), concave: true }
            }
        })
        .collect();
    let closed = match hand {
        Hand::PairLeft | Hand::PairRight => (inside.width - *middle_block).mm_f64() / 2.0,
        Hand::Left | Hand::Right => inside.width.mm_f64(),
        Hand::Up => inside.height.mm_f64(),
    };
    // From the lead edge towards x = 0, the canvas side towards growing y, as the path turns.
    CanvasPath::from_pose(&pieces, Point { x: -closed, y: setback.mm_f64() + offset }, 0.0)
}

fn touches(slats: &[Slat], (x0, x1): (f64, f64), (y0, y1): (f64, f64)) -> bool {
    let hair = 1e-6;
    let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|(x, y)| Point { x, y });
    slats.iter().any(|slat| !apart(slat, &corners, hair) && !apart(&corners, slat, hair))
}

/// True when some edge of `a` has all of `b` beyond it.
fn apart(a: &Slat, b: &Slat, hair: f64) -> bool {
    let area: f64 = (0..4).map(|i| a[i].x * a[(i + 1) % 4].y - a[(i + 1) % 4].x * a[i].y).sum();
    (0..4).any(|i| {
        let (p, q) = (a[i], a[(i + 1) % 4]);
        let long = p.distance(q);
        let outward = |r: &Point| ((q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)) / long * -area.signum();
        b.iter().all(|r| outward(r) >= -hair)
    })
}

/// True when a box so wide (so high for a roll-up) and so deep lies somewhere untouched: across in the middle of a pair,
/// against the far face else; front to back wherever there is room.
fn lies(job: &Job, slats: &[Slat], wide: f64, deep: f64, step: f64) -> bool {
    let spec = &job.cabinets[0].doors[0];
    let (hand, along) = place(spec);
    let depth = job.cabinets[0].inside.unwrap().depth.mm_f64();
    let x = match hand {
        Hand::PairLeft | Hand::PairRight => (-(along + wide) / 2.0, -(along - wide) / 2.0),
        _ => (-along, -along + wide),
    };
    if x.1 > 0.0 || deep > depth {
        return false;
    }
    let places = ((depth - deep) / step).ceil() as usize;
    (0..=places).any(|at| {
        let y = (at as f64 * step).min(depth - deep);
        !touches(slats, x, (y, y + deep))
    })
}

fn sizes(clear: &Clear, up: bool, lining: Option<Length>) -> (f64, f64, ClearBox) {
    let room = clear.largest(lining);
    (if up { room.height } else { room.width }.mm_f64(), room.depth.mm_f64(), room)
}

/// As large as said it is untouched; one step of the rule (1/32 in, 1 mm) wider or deeper it is touched.
fn as_large_as_can_be(job: &Job, step: f64) {
    let (doors, _) = made(job);
    let up = place(&job.cabinets[0].doors[0]).0 == Hand::Up;
    let clear = clear_of(job, &doors, 0).unwrap();
    let slats = slats_of(job, step / 2.0);
    let (wide, deep, room) = sizes(&clear, up, None);
    let tried = step / if all_cases() { 64.0 } else { 16.0 };
    assert!(lies(job, &slats, wide, deep, step / 64.0), "{room:?} is touched");
    assert!(!lies(job, &slats, wide + step, deep, tried), "{room:?} could be wider");
    assert!(!lies(job, &slats, wide, deep + step, tried), "{room:?} could be deeper");
    for other in [clear.widest(None), clear.between_corners(None)] {
        let wide = if up { other.height } else { other.width }.mm_f64();
        assert!(lies(job, &slats, wide, other.depth.mm_f64(), step / 64.0), "{other:?} is touched");
    }
}

const THIRTY_SECOND: f64 = 25.4 / 32.0;

#[test]
fn no_larger_box_is_free_beside_a_pair() {
    as_large_as_can_be(&job_of(&format!("{HEAD}{}", cabinet("pair"))), THIRTY_SECOND);
}

#[test]
fn no_larger_box_is_free_beside_a_single_door() {
    as_large_as_can_be(&job_of(&format!("{HEAD}{}", cabinet("left"))), THIRTY_SECOND);
}

#[test]
fn no_larger_box_is_free_under_a_roll_up() {
    let text = cabinet("up").replace("\"28\"", "\"24\"").replace("\"15-1/2\"", "\"18\"");
    as_large_as_can_be(&job_of(&format!("{HEAD}{text}")), THIRTY_SECOND);
}

#[test]
fn no_larger_box_is_free_in_millimetres() {
    as_large_as_can_be(&job_of(&format!("{METRIC}{}", metric_cabinet("pair"))), 1.0);
}

/// A rabbet in the back as well: the canvas side comes farther in.
#[test]
fn no_larger_box_is_free_beside_slats_with_a_back_rabbet() {
    let slats = "rabbet_face = \"both\"\nback_rabbet_depth = \"3/32\"\n";
    let head = HEAD.replace("rabbet_depth = \"7/32\"", "rabbet_depth = \"1/8\"");
    as_large_as_can_be(&job_of(&format!("{head}{slats}{}", cabinet("pair"))), THIRTY_SECOND);
}

/// Behind its lining the box keeps 1/8 in off every slat and is the lining smaller.
#[test]
fn a_lining_takes_its_thickness_and_the_room_to_run() {
    let job = job_of(&format!("{HEAD}{}", cabinet("pair")));
    let (doors, _) = made(&job);
    let clear = clear_of(&job, &doors, 0).unwrap();
    let (bare, lined) = (clear.largest(None), clear.largest(Some(Length::from_64ths(16))));
    assert!(lined.width < bare.width && lined.depth < bare.depth && lined.height == bare.height);
    // The lining itself is not reached either: a box as large as room and lining together, grown by the room to run.
    let slats = slats_of(&job, THIRTY_SECOND / 2.0);
    let wide = lined.width.mm_f64() + 2.0 * 6.35;
    let deep = lined.depth.mm_f64() + 6.35;
    assert!(lies(&job, &slats, wide, deep, THIRTY_SECOND / 64.0), "{lined:?}");
}

/// The smallest case for the room of a case is no larger than that case, and has that room.
#[test]
fn the_smallest_case_has_the_room_that_was_wanted() {
    for doors in ["pair", "left", "up"] {
        let mut job = job_of(&format!("{HEAD}{}", cabinet(doors)));
        let (laid, _) = made(&job);
        let clear = clear_of(&job, &laid, 0).unwrap();
        for lining in [None, Some(Length::from_64ths(16))] {
            let wanted = clear.largest(lining);
            let found = smallest(&job, 0, wanted, lining).unwrap();
            let inside = job.cabinets[0].inside.unwrap();
            let floor = |inside: InsideSize| {
                let size = outside(&job.cabinets[0], inside);
                if doors == "up" { (size.height * size.depth).nm2() } else { (size.width * size.depth).nm2() }
            };
            assert!(floor(found.inside) <= floor(inside), "{doors}: {:?}", found.inside);
            // In it the room is there: as wide a room is as deep.
            let before = job.clone();
            resize(&mut job, found.inside);
            let (laid, _) = made(&job);
            let again = clear_of(&job, &laid, 0).unwrap();
            let wide = if doors == "up" { wanted.height } else { wanted.width };
            assert!(again.deepest(lining, wide).depth >= wanted.depth, "{doors}: {:?}", found.inside);
            job = before;
        }
    }
}

fn resize(job: &mut Job, sizes: InsideSize) {
    let cabinet = &mut job.cabinets[0];
    cabinet.inside = Some(sizes);
    for door in &mut cabinet.doors {
        if let slatwright::job::DoorTrack::Case { inside, hand, .. } = &mut door.track {
            *inside = sizes;
            door.between = if *hand == Hand::Up { sizes.width } else { sizes.height };
        }
    }
}
