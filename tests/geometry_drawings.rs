//! Templates and door sheets: they measure right, the DXF reads back, slats stay in their groove.

use crate::geometry_support;

use dxf::entities::{Entity, EntityType};
use geometry_support::{arc, case, door, inches, job, path, slats, straight};
use slatwright::doors::chain::{Piece, Point};
use slatwright::doors::{PlanView, lay_out};
use slatwright::job::{DoorSpec, DoorTrack, Hand, Job};
use slatwright::measure::Units;
use slatwright::report::{
    Anchor, CornerTemplate, Drawing, GrooveTemplate, Item, Layer, Paper, Place, corner_template, door_sheet, dxf_text,
    groove_template, svg_text, template_files,
};

fn press() -> Job {
    job(vec![door(case(Hand::PairLeft), slats()), door(case(Hand::PairRight), slats())], 1)
}

fn s_track() -> DoorSpec {
    let mut bevelled = slats();
    bevelled.edge_bevel = 8.0;
    let track = vec![straight("16"), arc("4", 60.0, true), arc("4", 60.0, false), straight("20")];
    door(path(track, "17-1/2", "14"), bevelled)
}

fn template(job: &Job, index: usize) -> Drawing {
    groove_template(&job.cabinets[0].doors[index], &lay_out(job)[index], job).expect("the door has a tongue")
}

/// Length of what is drawn on a layer, straight and round.
fn drawn(drawing: &Drawing, wanted: Layer) -> f64 {
    let of = |item: &Item| match item {
        Item::Line { from, to, layer } if *layer == wanted => (from.x - to.x).hypot(from.y - to.y),
        Item::Arc { radius, sweep, layer, .. } if *layer == wanted => radius * sweep.to_radians(),
        _ => 0.0,
    };
    drawing.items.iter().map(of).sum()
}

fn read_back(text: &str) -> Vec<Entity> {
    let mut bytes = text.as_bytes();
    dxf::Drawing::load(&mut bytes).expect("the file reads back").entities().cloned().collect()
}

fn length(entity: &Entity) -> f64 {
    match &entity.specific {
        EntityType::Line(line) => (line.p1.x - line.p2.x).hypot(line.p1.y - line.p2.y),
        EntityType::Arc(arc) => arc.radius * (arc.end_angle - arc.start_angle).rem_euclid(360.0).to_radians(),
        _ => 0.0,
    }
}

#[test]
fn the_template_is_full_size() {
    let job = press();
    let drawing = template(&job, 0);
    // 14-1/4 + 8 + 14-1/4 straight, two quarters of 3 in.
    let track = (36.5 + 3.0 * std::f64::consts::PI) * 25.4;
    assert!((drawn(&drawing, Layer::Centreline) - track).abs() < 1e-9);
    // The walls: quarters of 3-1/8 and 2-7/8, and the two ends.
    let walls = (73.0 + 6.0 * std::f64::consts::PI + 0.5) * 25.4;
    assert!((drawn(&drawing, Layer::Wall) - walls).abs() < 1e-9);
    let entry = 3.0 * 3.75 * 25.4;
    assert!((drawn(&drawing, Layer::Entry) - entry).abs() < 1e-9);
    for ruler in [100.0, 101.6] {
        let found = drawing.items.iter().any(|item| match item {
            Item::Line { from, to, layer: Layer::Mark } => {
                ((to.x - from.x) - ruler).abs() < 1e-9 && (from.y - to.y).abs() < 1e-9
            }
            _ => false,
        });
        assert!(found, "no ruler of {ruler} mm");
    }
}

#[test]
fn dxf_reads_back_with_the_same_lengths() {
    for (job, index) in [(press(), 0), (press(), 1), (job(vec![s_track()], 1), 0)] {
        let drawing = template(&job, index);
        let entities = read_back(&dxf_text(&drawing, Units::Millimetre));
        for layer in [Layer::Centreline, Layer::Wall, Layer::Mark, Layer::Stop] {
            let here = entities.iter().filter(|entity| entity.common.layer == layer.name());
            let total: f64 = here.map(length).sum();
            assert!((total - drawn(&drawing, layer)).abs() < 1e-4, "{layer:?}: {total}");
        }
        let texts = entities.iter().filter(|entity| matches!(entity.specific, EntityType::Text(_))).count();
        assert!(texts >= 5, "{texts}");
    }
}

/// Every end of wall and centreline meets another, end to end: arcs turn the right way, mirrored or not.
#[test]
fn the_pieces_of_a_track_join() {
    for (job, index) in [(press(), 0), (press(), 1), (job(vec![s_track()], 1), 0)] {
        let drawing = template(&job, index);
        let mut ends: Vec<(f64, f64)> = Vec::new();
        for item in &drawing.items {
            match item {
                Item::Line { from, to, layer: Layer::Centreline } => ends.extend([(from.x, from.y), (to.x, to.y)]),
                Item::Arc { centre, radius, start, sweep, layer: Layer::Centreline } => {
                    for degrees in [*start, start + sweep] {
                        let (sine, cosine) = degrees.to_radians().sin_cos();
                        ends.push((centre.x + radius * cosine, centre.y + radius * sine));
                    }
                }
                _ => {}
            }
        }
        let lonely = ends.iter().enumerate().filter(|(i, end)| {
            !ends.iter().enumerate().any(|(j, other)| *i != j && (end.0 - other.0).hypot(end.1 - other.1) < 1e-6)
        });
        assert_eq!(lonely.count(), 2, "only the two ends of the track stand alone");
    }
}

#[test]
fn a_left_and_a_right_door_share_one_template() {
    let mut job = press();
    for (spec, name) in job.cabinets[0].doors.iter_mut().zip(["press left", "press right"]) {
        spec.name = name.to_owned();
    }
    let doors = lay_out(&job);
    let templates = GrooveTemplate::of_job(&job, &doors);
    assert_eq!(templates.len(), 1);
    assert_eq!(templates[0].doors, ["press left", "press right"]);
    assert_eq!(templates[0].drawing.title, "groove for press left and press right");
}

#[test]
fn doors_whose_grooves_differ_have_templates_of_their_own() {
    // An inch deeper and the back run an inch nearer: the same track, but the slats go in an inch farther on.
    let mut deeper = case(Hand::PairRight);
    if let DoorTrack::Case { inside, back_inset, .. } = &mut deeper {
        inside.depth += inches("1");
        *back_inset += inches("1");
    }
    let job = job(vec![door(case(Hand::PairLeft), slats()), door(deeper, slats())], 1);
    let doors = lay_out(&job);
    assert_eq!((&doors[0].path, doors[0].travel), (&doors[1].path, doors[1].travel));
    let templates = GrooveTemplate::of_job(&job, &doors);
    let entry = |at: usize| drawn(&templates[at].drawing, Layer::Entry);
    assert_eq!(templates.len(), 2);
    assert!((entry(1) - entry(0) - 3.0 * 25.4).abs() < 1e-6, "{} {}", entry(0), entry(1));
}

/// Points along what is drawn, close together.
fn ink(item: &Item) -> Vec<(f64, f64)> {
    let between = |from: &Place, to: &Place| -> Vec<(f64, f64)> {
        (0..=400).map(|i| f64::from(i) / 400.0).map(|t| (from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t)).collect()
    };
    match item {
        Item::Line { from, to, .. } => between(from, to),
        Item::Arc { centre, radius, start, sweep, .. } => (0..=400)
            .map(|i| (start + sweep * f64::from(i) / 400.0).to_radians())
            .map(|turned| (centre.x + radius * turned.cos(), centre.y + radius * turned.sin()))
            .collect(),
        Item::Outline { corners, .. } => {
            (0..corners.len()).flat_map(|i| between(&corners[i], &corners[(i + 1) % corners.len()])).collect()
        }
        Item::Text { .. } => Vec::new(),
    }
}

/// Every point of every line shows on some page, no page is blank, and each page knows its place.
#[test]
fn pages_hold_the_whole_template_and_none_is_blank() {
    let drawing = template(&press(), 0);
    for paper in [Paper::Letter, Paper::A4] {
        let (width, height) = paper.size();
        let (wide, high) = (width - 34.0, height - 34.0);
        let columns = ((drawing.width - 10.0) / wide).ceil() as u32;
        let rows = ((drawing.height - 10.0) / high).ceil() as u32;
        let pages = drawing.pages(paper);
assert!(pages.len() <= (rows * columns) as usize, "{} pages", pages.len());
        let mut shown = 0;
        for page in &pages {
            assert_eq!((page.width, page.height), (width, height));
            let text = svg_text(page);
            assert!(text.starts_with("<?xml") && text.contains(&format!("width=\"{width}mm\"")), "{}", &text[..200]);
            // Without it a browser prints the page at 91 %.
            let paper = format!("@page {{ size: {width}mm {height}mm; margin: 0 }}");
            assert!(text.contains(&paper), "{}", &text[..400]);
            let on_page = |(x, y): &(f64, f64)| (12.0..=width - 12.0).contains(x) && (12.0..=height - 12.0).contains(y);
            let lines = page.items.iter().filter(|item| !matches!(item, Item::Text { .. }));
            let labels = page.items.len() - lines.clone().count();
            assert!(labels > 0 || lines.clone().any(|item| ink(item).iter().any(on_page)), "{} is blank", page.title);
            shown += 1;
            assert!(page.title.contains(&format!("page {shown} of {}: row ", pages.len())), "{}", page.title);
        }
        // Where a page lies on the sheet, from its title; a point of the sheet shows on a page there.
        let place = |page: &Drawing| {
            let figure = |word: &str| -> f64 {
                let after = page.title.split(word).nth(1).unwrap();
                after.split([' ', ',']).next().unwrap().parse().unwrap()
            };
            (figure("row ") - 1.0, figure("column ") - 1.0)
        };
        let covers = |(x, y): (f64, f64)| {
            pages.iter().any(|page| {
                let (row, column) = place(page);
                let (left, top) = (column * wide, drawing.height - row * high);
                (left - 1e-6..=left + width - 24.0 + 1e-6).contains(&x) && (top - (height - 24.0) - 1e-6..=top + 1e-6).contains(&y)
            })
        };
        for item in &drawing.items {
            assert!(ink(item).into_iter().all(covers), "{item:?} is on no page");
        }
    }
}

/// Of a large frame the pages in the middle stay out.
#[test]
fn a_page_without_ink_is_left_out() {
    let corner = |x: f64, y: f64| Place::new(x, y);
    let corners = vec![corner(0.0, 0.0), corner(900.0, 0.0), corner(900.0, 900.0), corner(0.0, 900.0)];
    let frame = Drawing::around("frame", &[Item::Outline { corners, layer: Layer::Case }], 15.0);
    // Six columns of four rows; the right edge, at 915, lies on the fifth (to 919.5) and the sixth (from 909.5): of the
    // middle rows three pages each, the others whole.
    assert_eq!(frame.pages(Paper::Letter).len(), 18);
}

#[test]
fn no_label_is_cut_at_the_edge_of_a_page() {
    for drawing in [template(&press(), 0), template(&job(vec![s_track()], 1), 0)] {
        for paper in [Paper::Letter, Paper::A4] {
            let pages = drawing.pages(paper);
            let (width, height) = paper.size();
            let mut seen = std::collections::BTreeSet::new();
            for item in pages.iter().flat_map(|page| &page.items) {
                let Item::Text { at, height: tall, anchor, text } = item else { continue };
                let long = text.chars().count() as f64 * tall * 0.6;
                let left = match anchor {
                    Anchor::Start => at.x,
                    Anchor::Middle => at.x - long / 2.0,
                    Anchor::End => at.x - long,
                };
                assert!(left >= 12.0 - 1e-6 && left + long <= width - 12.0 + 1e-6, "{text}: {left} + {long}");
                assert!(at.y >= 12.0 - 1e-6 && at.y + tall <= height - 12.0 + 1e-6, "{text}");
                seen.insert(text.clone());
            }
            for item in &drawing.items {
                if let Item::Text { text, .. } = item {
                    assert!(seen.contains(text), "{text} is on no page");
                }
            }
        }
    }
}

/// The edges of the case lie where its figures say, and the stops where the table of stops says.
#[test]
fn a_template_shows_its_case_and_its_stops() {
    let job = press();
    let door = &lay_out(&job)[1];
    let drawing = template(&job, 1);
    let lines = |wanted: Layer| {
        let found = drawing.items.iter().filter_map(move |item| match item {
            Item::Line { from, to, layer } if *layer == wanted => Some((*from, *to)),
            _ => None,
        });
        found.collect::<Vec<_>>()
    };
    // The front edge is half the case, the side its depth, the back half again.
    let lengths: Vec<f64> = lines(Layer::Case).iter().map(|(a, b)| (a.x - b.x).hypot(a.y - b.y) / 25.4).collect();
    assert_eq!(lengths.len(), 3);
    for (found, expected) in lengths.iter().zip([18.0, 15.5, 18.0]) {
        assert!((found - expected).abs() < 1e-9, "{lengths:?}");
    }
    let (front, side) = (lines(Layer::Case)[0], lines(Layer::Case)[1]);
    let centre = lines(Layer::Centreline)[0];
    assert!((centre.0.y - front.0.y - 0.75 * 25.4).abs() < 1e-9, "the setback");
    // Closed, open and tail: the rule from the side's inside face reads what the table says.
    let read: Vec<f64> = lines(Layer::Stop).iter().map(|(a, b)| side.0.x - f64::midpoint(a.x, b.x)).collect();
    let named = |name: &str| door.stops.iter().find(|stop| stop.name == name).unwrap().distance.mm_f64();
    let expected = ["closing stop", "opening stop", "tail stop"].map(named);
    for (found, expected) in read.iter().zip(expected) {
        assert!((found - expected).abs() < 1e-6, "{read:?} {expected}");
    }
    let words = svg_text(&drawing);
    for label in ["case front edge", "setback 3/4 in", "lead edge, closed", "lead edge, open", "tail stop"] {
        assert!(words.contains(label), "{label}");
    }
}

/// The same drawing in inches is 25.4 times smaller and says so.
#[test]
fn a_dxf_in_inches_measures_in_inches() {
    let drawing = template(&press(), 0);
    let total = |units| -> f64 {
        let entities = read_back(&dxf_text(&drawing, units));
        entities.iter().filter(|entity| entity.common.layer == Layer::Centreline.name()).map(length).sum()
    };
    assert!((total(Units::Millimetre) / total(Units::Inch) - 25.4).abs() < 1e-3);
    for (units, words, code) in [(Units::Inch, "drawn in inches: 1 unit is 1 in", "1"), (Units::Millimetre, "drawn in mm: 1 unit is 1 mm", "4")] {
        let text = dxf_text(&drawing, units);
        assert!(text.contains(words), "{words}");
        assert!(text.contains(&format!("$INSUNITS\r\n 70\r\n{code}\r\n")), "{code}");
    }
}

/// Bends of both senses that a slat spans are one test corner, whole.
#[test]
fn the_test_corner_of_an_s_is_the_whole_s() {
    let job = job(vec![s_track()], 1);
    let doors = lay_out(&job);
    let drawing = corner_template(&job.cabinets[0].doors[0], &doors[0], &job).unwrap();
    let arcs = drawing.items.iter().filter(|item| matches!(item, Item::Arc { layer: Layer::Centreline, .. })).count();
    assert_eq!(arcs, 2);
    // Far apart they are two.
    let mut apart = s_track();
    let track = vec![straight("16"), arc("4", 60.0, true), straight("6"), arc("4", 60.0, false), straight("20")];
    apart.track = path(track, "17-1/2", "14");
    let job = geometry_support::job(vec![apart], 1);
    assert_eq!(CornerTemplate::of_job(&job, &lay_out(&job)).len(), 2);
}

/// Bevelled slats are drawn bevelled: the show face is narrower by the bevel at each edge.
#[test]
fn bevelled_slats_are_drawn_bevelled() {
    let spec = s_track();
    let job = job(vec![spec.clone()], 1);
    let view = PlanView::new(&spec, &job.shop, Units::Inch).unwrap();
    let slats = view.slats(0.0);
    let back = 0.375 * 25.4 * 8.0f64.to_radians().tan();
    for (slat, bevels) in [(slats[0], 1.0), (slats[3], 2.0)] {
        let [near, far, far_face, near_face] = slat.body;
        let taken = near.distance(far) - near_face.distance(far_face);
        assert!((taken - bevels * back).abs() < 1e-9, "{taken}");
    }
}

#[test]
fn an_svg_is_the_same_every_time_and_well_formed() {
    let job = press();
    let doors = lay_out(&job);
    let sheet = door_sheet(&job.cabinets[0].doors[0], &doors[0], &job).unwrap();
    let text = svg_text(&sheet);
    assert_eq!(text, svg_text(&sheet));
    // Three positions of 32 slats, body and tongue each.
    assert_eq!(text.matches("<polygon").count(), 3 * 2 * 32);
    assert_eq!(text.matches("<g ").count(), text.matches("</g>").count());
    assert!(text.ends_with("</svg>\n"));
}

#[test]
fn the_test_corner_has_room_for_five_slats_and_the_lead() {
    let job = press();
    let drawing = corner_template(&job.cabinets[0].doors[0], &lay_out(&job)[0], &job).unwrap();
    let run = 1.125 + 5.0 * 0.625;
    let length = (2.0 * run + 1.5 * std::f64::consts::PI) * 25.4;
    assert!((drawn(&drawing, Layer::Centreline) - length).abs() < 1e-9);
    assert!(drawing.fits(Paper::Letter), "{} x {}", drawing.width, drawing.height);
}

#[test]
fn a_job_gives_each_track_its_templates_and_each_door_its_plan() {
    let mut job = press();
    job.cabinets[0].doors.push(s_track());
    let files = template_files(&job, &lay_out(&job));
    let named = |part: &str| files.iter().filter(|file| file.name.contains(part)).count();
    assert_eq!((named("groove-1.svg"), named("groove-2.dxf"), named("groove-3")), (1, 1, 0));
    // The corner of the press (its back corner is the same) and the whole S, each as SVG and DXF.
    assert_eq!((named("door-"), named("test-corner-1."), named("test-corner-2."), named("test-corner-3")), (3, 2, 2, 0));
    assert!(named("groove-1-page-") >= 4);
    let mut names: Vec<_> = files.iter().map(|file| &file.name).collect();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), files.len(), "each name once");
}

/// Distance of a point from a centreline that starts at the origin along +x, the canvas side +y.
fn off_centre(track: &[Piece], point: Point) -> f64 {
    let band: Vec<(f64, f64, bool)> = track
        .iter()
        .map(|piece| match *piece {
            Piece::Straight(length) => (length, 0.0, true),
            Piece::Arc { radius, angle, concave } => (radius, angle.to_degrees(), concave),
        })
        .collect();
    geometry_support::band::Band::new(&band).distance((point.x, point.y))
}

#[test]
fn every_tongue_drawn_lies_in_its_groove() {
    for spec in [door(case(Hand::PairLeft), slats()), door(case(Hand::Up), slats())] {
        let job = job(vec![spec.clone()], 1);
        let view = PlanView::new(&spec, &job.shop, Units::Inch).unwrap();
        let half = inches("1/8").mm_f64();
        for step in 0..=20 {
            let poses = view.slats(view.travel * f64::from(step) / 20.0);
            assert!(poses[0].lead && poses.iter().skip(1).all(|pose| !pose.lead));
            for (i, pose) in poses.iter().enumerate() {
                for corner in pose.tongue {
                    assert!(off_centre(&view.centreline, corner) <= half + 1e-6, "slat {i} at step {step}");
                }
                let [a, b, c, d] = pose.tongue;
                for (from, to) in [(a, b), (c, d)] {
                    for k in 1..8 {
                        let part = f64::from(k) / 8.0;
                        let between = Point { x: from.x + (to.x - from.x) * part, y: from.y + (to.y - from.y) * part };
                        assert!(off_centre(&view.centreline, between) <= half + 1e-6, "slat {i} at step {step}");
                    }
                }
            }
            // Hinged: each slat begins where the last one ends.
            for pair in poses.windows(2) {
                assert!(pair[0].body[1].distance(pair[1].body[0]) < 1e-9);
            }
        }
    }
}
