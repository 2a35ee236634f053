//! Chains of rectangles hinged at the canvas corners, solved by dynamic programming over the hinges' offsets, against
//! the program's groove width; and the hinge stations against plain distances.

use crate::common::all_cases;
use crate::geometry_support::band::{Band, Dice};
use crate::geometry_support::brute::Chain;
use slatwright::doors::chain::{CanvasPath, Piece};
use slatwright::doors::groove_need::{
    Bend, Tongue, chain_need, lead_entering, least_radius, loose_full_arc, widest_slat,
};
use slatwright::doors::joint::{GrooveArc, Lie};

struct Case {
    bend: Bend,
    tongue: Tongue,
    lead: f64,
    width: f64,
}

/// The simulated need over several positions of the chain; the offsets start on the parallel that the library's
/// derivation uses and move within the play.
fn simulate(case: &Case, groove: f64, search: (u32, u32), stations: &[f64]) -> f64 {
    let Case { bend, tongue, lead, width } = *case;
    let run = lead + 4.0 * width;
    let band = Band::new(&[
        (run, 0.0, true),
        (bend.radius, bend.angle.to_degrees(), bend.concave),
        (run + 2.0 * lead, 0.0, true),
    ]);
    // Two slats past the bend's end; what follows lies straight.
    let slats = |station: f64| ((bend.radius * bend.angle - station - lead) / width).ceil().max(0.0) as usize + 2;
    let (tau, e) = (tongue.thickness, tongue.offset);
    let start = if bend.concave {
        e + tau - groove / 2.0
    } else {
        // The tongue's corners on the outer wall; the hinges stand a little nearer than `e` beyond it.
        let canvas = ((bend.radius + groove / 2.0).powi(2) - width * width / 4.0).sqrt() + e;
        canvas.hypot(width / 2.0) - bend.radius
    };
    let play = groove - tau;
    let need = |&station: &f64| {
        let widths = std::iter::once(lead).chain(std::iter::repeat_n(width, slats(station))).collect();
        let chain =
            Chain { band: &band, widths, tau, e, strips: false, fold: if bend.concave { 0.0 } else { f64::INFINITY } };
        chain.need(run + station, start, play / 2.0, search.0, search.1)
    };
    stations.iter().map(need).fold(0.0, f64::max)
}

#[test]
fn the_simulator_finds_the_needs_of_the_worked_cases() {
    // Least grooves from an independent rigid-body simulation of the same chains.
    let worked = [
        (2.5, 90.0, 0.25, 0.0, 1.75, 0.75, 0.403_19),
        (70.0, 60.0, 6.0, 6.0, 35.0, 20.0, 8.289_43),
        (50.0, 90.0, 6.0, 3.0, 20.0, 20.0, 7.034_26),
    ];
    for (radius, degrees, tau, e, lead, width, expected) in worked {
        let case = Case {
            bend: Bend { radius, angle: f64::to_radians(degrees), concave: true },
            tongue: Tongue { thickness: tau, offset: e },
            lead,
            width,
        };
        let formula = chain_need(case.bend, case.tongue, lead.max(width));
        let arc = radius * case.bend.angle;
        // The lead hinge near the far tangent point is the worst place.
        let stations: Vec<f64> = (0..8).map(|i| arc - lead - width * (f64::from(i) - 1.0) / 6.0).collect();
        let need = simulate(&case, formula, (7, 6), &stations);
        let span = formula - loose_full_arc(radius, lead, tau);
        assert!((need - expected).abs() < 0.06 * span, "{need} not {expected}, span {span}, formula {formula}");
    }
}

#[test]
fn random_chains_pass_the_groove_that_is_called_enough() {
    let mut dice = Dice(3);
    let mut over_loose = 0;
    let mut tried = 0;
    let cases = if all_cases() { 250 } else { 80 };
    for _ in 0..cases {
        let radius = dice.between(1.5, 4.0);
        let width = dice.between(0.25, 0.5) * radius;
        let case = Case {
            bend: Bend { radius, angle: dice.between(25.0, 170.0).to_radians(), concave: true },
            tongue: Tongue { thickness: dice.between(0.06, 0.12) * radius, offset: dice.between(0.0, 0.12) * radius },
            lead: width * dice.between(1.0, 2.0),
            width,
        };
        let formula = chain_need(case.bend, case.tongue, case.lead);
        if formula > radius {
            continue;
        }
        tried += 1;
        let arc = radius * case.bend.angle;
        let stations =
            [arc - case.lead, arc - case.lead - dice.between(-0.3, 0.6) * width, dice.between(-case.lead, arc)];
        let need = simulate(&case, formula, (5, 3), &stations);
        assert!(need <= formula * (1.0 + 1e-7), "{:?} {:?} {need} {formula}", case.bend, case.tongue);
        over_loose += u32::from(need > loose_full_arc(radius, case.lead, case.tongue.thickness));
    }
    // The loose slat's width would have been too little for many of them.
    assert!(tried > cases * 4 / 5 && over_loose > tried / 3, "{over_loose} of {tried}");
}

#[test]
fn bevelled_chains_pass_reverse_bends_at_the_loose_width() {
    let mut dice = Dice(5);
    for _ in 0..if all_cases() { 40 } else { 15 } {
        let radius = dice.between(1.5, 4.0);
        let width = dice.between(0.2, 0.5) * radius;
        let case = Case {
            bend: Bend { radius, angle: dice.between(40.0, 150.0).to_radians(), concave: false },
            tongue: Tongue { thickness: dice.between(0.06, 0.12) * radius, offset: dice.between(0.0, 0.12) * radius },
            lead: width,
            width,
        };
        let formula = chain_need(case.bend, case.tongue, width);
        let stations = [dice.between(0.0, radius), dice.between(-width, 0.0)];
        let need = simulate(&case, formula, (7, 4), &stations);
        let play = formula - case.tongue.thickness;
        assert!(need <= formula + 0.001 * play, "{:?} {:?} {need} {formula}", case.bend, case.tongue);
    }
}

#[test]
fn hinges_are_a_slat_apart_wherever_the_lead_edge_is() {
    let mut dice = Dice(19);
    for _ in 0..400 {
        let mut pieces = vec![Piece::Straight(dice.between(2.0, 20.0))];
        for _ in 0..4 {
            pieces.push(Piece::Arc {
                radius: dice.between(0.5, 5.0),
                angle: dice.between(10.0, 180.0).to_radians(),
                concave: dice.between(0.0, 1.0) < 0.7,
            });
            if dice.between(0.0, 1.0) < 0.7 {
                pieces.push(Piece::Straight(dice.between(0.05, 8.0)));
            }
        }
        let path = CanvasPath::new(&pieces);
        let (lead, width) = (dice.between(0.3, 0.95), dice.between(0.2, 0.9));
        let widths: Vec<f64> = std::iter::once(lead).chain(std::iter::repeat_n(width, 40)).collect();
        let stations = path.hinges(dice.between(-1.0, path.length()), widths.iter().copied());
        for (pair, width) in stations.windows(2).zip(&widths) {
            let (from, to) = (path.at(pair[0]).0, path.at(pair[1]).0);
            assert!((from.distance(to) - width).abs() < 1e-9, "{pieces:?} {pair:?} {}", from.distance(to));
            assert!(pair[1] > pair[0]);
            // The first such point: nothing between is that far away.
            for k in 1..20 {
                let between = path.at(pair[0] + (pair[1] - pair[0]) * f64::from(k) / 20.0).0;
                assert!(from.distance(between) <= width + 1e-9);
            }
        }
    }
}

#[test]
fn a_wider_groove_never_hurts_and_a_wider_slat_never_helps() {
    let mut dice = Dice(23);
    for _ in 0..2_000 {
        let bend = Bend {
            radius: dice.between(1.0, 6.0),
            angle: dice.between(5.0, 180.0).to_radians(),
            concave: dice.between(0.0, 1.0) < 0.8,
        };
        let tongue = Tongue { thickness: dice.between(0.05, 0.3), offset: dice.between(0.0, 0.3) };
        let width = dice.between(0.1, 0.6) * bend.radius;
        let wider = width * dice.between(1.0, 1.5);
        assert!(chain_need(bend, tongue, width) <= chain_need(bend, tongue, wider) + 1e-12);
        let groove = tongue.thickness + dice.between(0.001, 0.3);
        let loose = groove + dice.between(0.0, 0.2);
        assert!(widest_slat(bend, tongue, groove) <= widest_slat(bend, tongue, loose) * (1.0 + 1e-9));
        let past = dice.between(0.0, bend.angle);
        let farther = dice.between(past, bend.angle);
        let entering = |past| lead_entering(bend, tongue, width, wider, past);
        assert!(entering(past) <= entering(farther) * (1.0 + 1e-6), "{bend:?} {tongue:?} {width} {wider} {past}");
    }
}

#[test]
fn a_lead_slat_part_way_in_needs_what_its_pose_needs() {
    let mut dice = Dice(31);
    let mut between = 0;
    for _ in 0..500 {
        let radius = dice.between(2.0, 5.0);
        let bend = Bend { radius, angle: 90f64.to_radians(), concave: true };
        let (tau, e) = (dice.between(0.1, 0.25), dice.between(0.0, 0.25));
        let tongue = Tongue { thickness: tau, offset: e };
        let (width, guided) = (dice.between(0.3, 0.6), dice.between(1.0, 2.0));
        let past = dice.between(0.05, 0.6);
        let groove = lead_entering(bend, tongue, width, guided, past);
        if groove <= chain_need(bend, tongue, width) * 1.000_1 || groove >= chain_need(bend, tongue, guided) * 0.999_9 {
            continue;
        }
        between += 1;
        // Both ends of the guided part on the parallel of the outer wall, the hinge `past` into the bend.
        let band = Band::new(&[(10.0, 0.0, true), (radius, 90.0, true), (10.0, 0.0, true)]);
        let offset = e + tau - groove / 2.0;
        let hinge = band.offset(10.0 + past * radius, offset);
        let rise = hinge.1 - offset;
        let end = (hinge.0 - (guided * guided - rise * rise).sqrt(), offset);
        let need = band.need(end, hinge, [e, e + tau]);
        assert!((need - groove).abs() < 1e-9, "{bend:?} {tongue:?} {guided} {past}: {need} {groove}");
    }
    assert!(between > 100, "{between}");
}

#[test]
fn the_least_radius_leaves_the_inner_wall_and_the_canvas_room() {
    let bend = Bend { radius: 3.0, angle: 90f64.to_radians(), concave: true };
    let tongue = Tongue { thickness: 0.1, offset: 0.2 };
    // So loose a groove would pass any radius that leaves a groove at all.
    assert_eq!(least_radius(bend, tongue, 0.1, 1.0), Some(0.7));
    let least = least_radius(bend, tongue, 1.0, 0.2).unwrap();
    assert!((least - (1.0 / 0.8 + 0.05 + 0.2)).abs() < 1e-9, "{least}");
    assert_eq!(least_radius(bend, tongue, 1.0, 0.1), None);
    // A hair of play asks for an arc hundreds of slats wide.
    let flat = least_radius(bend, tongue, 1.0, 0.1004).unwrap();
    assert!(flat > 300.0 && chain_need(Bend { radius: flat, ..bend }, tongue, 1.0) <= 0.1004, "{flat}");
}

#[test]
fn canvas_radii_touch_the_walls_they_are_named_for() {
    let mut dice = Dice(37);
    for _ in 0..200 {
        let (inner, groove) = (dice.between(1.0, 5.0), dice.between(0.2, 0.4));
        let tongue = Tongue { thickness: groove * dice.between(0.3, 0.8), offset: dice.between(0.0, 0.3) };
        let width = dice.between(0.2, 0.8);
        let outer = inner + groove;
        for concave in [true, false] {
            let arc = GrooveArc { inner, groove, concave };
            // From the canvas line to the tongue's two faces, outwards positive.
            let away = if concave { 1.0 } else { -1.0 };
            let faces = |lie| {
                let canvas = arc.canvas_radius(tongue, width, lie);
                [tongue.offset, tongue.offset + tongue.thickness].map(|depth| canvas + away * depth)
            };
            let [a, b] = faces(Lie::Pulled);
            assert!((a.min(b) - inner).abs() < 1e-12, "pulled, its middle lies on the inner wall");
            let [a, b] = faces(Lie::Pushed);
            assert!((a.max(b).hypot(width / 2.0) - outer).abs() < 1e-12, "pushed, its corners lie on the outer wall");
        }
    }
}

#[test]
fn a_hinge_that_falls_on_a_tangent_point_is_found() {
    // Three tenths summed one by one pass 0.3 by a rounding: the next hinge is the arc's own start.
    for concave in [true, false] {
        let bend = Piece::Arc { radius: 2.0, angle: 1.0, concave };
        let path = CanvasPath::new(&[Piece::Straight(0.3), bend, Piece::Straight(0.3), bend, Piece::Straight(5.0)]);
        let stations = path.hinges(0.0, std::iter::repeat_n(0.1, 40));
        for pair in stations.windows(2) {
            assert!((path.at(pair[0]).0.distance(path.at(pair[1]).0) - 0.1).abs() < 1e-9, "{pair:?}");
            assert!(pair[1] - pair[0] < 0.11, "{pair:?}");
        }
    }
}
