//! The door geometry against fourteen worked cases. Their values were found by rigid-body simulation (pose search, a
//! chain of rectangles solved for the least groove, dense walking along the path), not from the formulas under test.
//! Each case runs in its own unit and scaled to the other one (1 in = 25.4 mm).

use slatwright::doors::chain::{CanvasPath, Piece};
use slatwright::doors::groove_need::{
    Bend, Tongue, chain_need, lead_entering, loose_ring, loose_ring_inner, loose_slat,
};
use slatwright::doors::joint::{
    GrooveArc, Lie, bevel_setback, face_corner_distance, face_gap, joint_angle, least_bevel, least_reverse_hinge,
    unequal_joint_angle,
};
use slatwright::doors::yaw::LeadInGroove;

/// The case's own unit, and the other.
const SCALES: [f64; 3] = [1.0, 25.4, 1.0 / 25.4];

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} within {tolerance}");
}

#[track_caller]
fn between(value: f64, least: f64, most: f64) {
    assert!((least..=most).contains(&value), "{value} is not between {least} and {most}");
}

#[test]
fn a_loose_tongue_in_a_full_ring() {
    for k in SCALES {
        near(loose_ring(2.5 * k, 0.75 * k, 0.1875 * k), 0.213_536_7 * k, 1e-4 * k);
        near(loose_ring_inner(7.5 * k, 20.0 * k, 6.0 * k).unwrap(), 26.583_333 * k, 1e-3 * k);
    }
    assert_eq!(loose_ring_inner(6.0, 20.0, 6.0), None);
}

#[test]
fn a_loose_slat_on_straight_arc_straight() {
    for k in SCALES {
        let tight = Bend { radius: 1.0 * k, angle: 90f64.to_radians(), concave: true };
        near(loose_slat(tight, 2.5 * k, 0.25 * k), 0.899_494_9 * k, 1e-4 * k);
        let wide = Bend { radius: 70.0 * k, angle: 90f64.to_radians(), concave: true };
        near(loose_slat(wide, 20.0 * k, 6.0 * k), 6.684_931_5 * k, 2e-3 * k);
    }
}

#[test]
fn a_steady_chain_in_a_ring() {
    for k in SCALES {
        let arc = GrooveArc { inner: 3.0 * k, groove: 0.3125 * k, concave: true };
        let tongue = Tongue { thickness: 0.25 * k, offset: 0.0 };
        let hinge = arc.hinge_radius(tongue, 1.0 * k, Lie::Pulled);
        near(hinge, 3.041_381_3 * k, 1e-4 * k);
        near(joint_angle(1.0 * k, hinge).to_degrees(), 18.924_644, 1e-3);
        near(face_gap(0.5 * k, 1.0 * k, hinge, 0.0), 0.164_399 * k, 1e-4 * k);
    }
}

#[test]
fn two_unequal_slats_at_a_joint() {
    for k in SCALES {
        let angle = unequal_joint_angle(2.0 * k, 0.75 * k, [2.5 * k; 3]);
        near(angle.to_degrees(), 32.205_105, 1e-3);
        near(face_corner_distance(0.5 * k, 0.5 * k, angle), 0.277_357_5 * k, 1e-4 * k);
    }
}

#[test]
fn bevels_of_a_reverse_bend() {
    for k in SCALES {
        let bevel = least_bevel(0.75 * k, 1.5 * k);
        near(bevel.to_degrees(), 14.477_51, 1e-4);
        near(bevel_setback(0.5 * k, bevel), 0.129_099 * k, 1e-4 * k);
        near(least_reverse_hinge(1.0 * k, 10f64.to_radians()), 2.879_39 * k, 1e-3 * k);
    }
}

#[test]
fn stations_of_every_hinge() {
    let expected = [
        6.0, 8.0, 9.0, 10.0, 11.004_688, 12.009_377, 13.014_065, 14.018_754, 15.021_726, 16.021_726, 17.021_726,
        18.021_726, 19.021_726, 20.021_726,
    ];
    for k in SCALES {
        let path = CanvasPath::new(&[
            Piece::Straight(10.0 * k),
            Piece::Arc { radius: 3.0 * k, angle: 90f64.to_radians(), concave: true },
            Piece::Straight(20.0 * k),
        ]);
        let widths = std::iter::once(2.0 * k).chain(std::iter::repeat_n(1.0 * k, 12));
        let hinges = path.hinges(6.0 * k, widths);
        assert_eq!(hinges.len(), expected.len());
        for (station, expected) in hinges.iter().zip(expected) {
            near(*station, expected * k, 1e-4 * k);
        }
        near(path.tail(6.0 * k, 2.0 * k, 12, 1.0 * k), 20.021_726 * k, 1e-4 * k);
    }
}

#[test]
fn stow_of_a_door_round_two_corners() {
    for k in SCALES {
        let corner = Piece::Arc { radius: 70.0 * k, angle: 90f64.to_radians(), concave: true };
        let path = CanvasPath::new(&[
            Piece::Straight(400.0 * k),
            corner,
            Piece::Straight(300.0 * k),
            corner,
            Piece::Straight(200.0 * k),
        ]);
        near(path.length(), 1_119.911_486 * k, 0.01 * k);
        near(path.tail(0.0, 50.0 * k, 20, 20.0 * k), 450.158_692 * k, 0.01 * k);
        let open = path.tail(330.0 * k, 50.0 * k, 20, 20.0 * k);
        near(open, 780.362_621 * k, 0.01 * k);
        near(path.length() - open - 10.0 * k, 329.548_864 * k, 0.01 * k);
    }
}

/// A lead slat in a straight groove: yaw in degrees, edge in, edge out, corner forward, each with its window.
struct Swing {
    lead: LeadInGroove,
    windows: [(f64, f64); 4],
}

fn swing(lead: [f64; 9], windows: [(f64, f64); 4]) -> Swing {
    let [groove, thickness, offset, width, lead_thickness, tongue_length, bare, slats, slat] = lead;
    Swing {
        lead: LeadInGroove {
            groove,
            tongue: Tongue { thickness, offset },
            width,
            thickness: lead_thickness,
            tongue_length,
            bare,
            slats_behind: slats * slat,
        },
        windows,
    }
}

#[test]
fn a_lead_tongue_cut_back_lets_the_lead_pass() {
    let passes = |radius: f64, degrees: f64, tau: f64, e: f64, guided: f64| {
        chain_need(
            Bend { radius, angle: degrees.to_radians(), concave: true },
            Tongue { thickness: tau, offset: e },
            guided,
        )
    };
    for k in SCALES {
        between(passes(2.5 * k, 90.0, 0.25 * k, 0.0, 1.75 * k) / k, 0.402_69, 0.411_39);
        between(passes(70.0 * k, 60.0, 6.0 * k, 6.0 * k, 35.0 * k) / k, 8.276_73, 8.5145);
        // A tongue left in the middle is guided from the hinge to its far end.
        between(passes(2.0 * k, 90.0, 0.25 * k, 0.0, (0.5 + 1.5) * k) / k, 0.499_64, 0.516_92);
    }
}

#[test]
fn a_lead_slat_that_stops_short_asks_nothing_more() {
    for k in SCALES {
        let bend = Bend { radius: 50.0 * k, angle: 90f64.to_radians(), concave: true };
        let tongue = Tongue { thickness: 6.0 * k, offset: 3.0 * k };
        between(lead_entering(bend, tongue, 20.0 * k, 70.0 * k, 0.0) / k, 7.021_56, 7.139_93);
        // A little way in asks a little more, the whole bend the most.
        let needs: Vec<f64> =
            [0.0, 0.1, 0.3, 0.6, 1.0, 1.6].map(|past| lead_entering(bend, tongue, 20.0 * k, 70.0 * k, past)).to_vec();
        assert!(needs.windows(2).all(|pair| pair[0] <= pair[1]), "{needs:?}");
        near(needs[5], chain_need(bend, tongue, 70.0 * k), 1e-9 * k);
    }
}

#[test]
fn yaw_of_a_cut_back_lead_slat() {
    let cases = [
        swing(
            [0.28125, 0.25, 0.0, 2.5, 0.75, 1.75, 0.0, 8.0, 0.75],
            [(1.020_193, 1.027_502), (0.028_817, 0.029_397), (0.018_445, 0.018_849), (0.012_794, 0.013_593)],
        ),
        swing(
            [7.0, 6.0, 6.0, 55.0, 18.0, 35.0, 0.0, 8.0, 20.0],
            [(1.630_253, 1.644_276), (1.067_681, 1.082_527), (0.597_413, 0.607_644), (0.485_608, 0.519_366)],
        ),
        swing(
            [0.29, 0.25, 0.0, 2.5, 0.625, 1.5, 0.5, 8.0, 0.625],
            [(1.142_992, 1.164_067), (0.029_865, 0.030_918), (0.022_651, 0.023_057), (0.0118, 0.0127)],
        ),
    ];
    for Swing { lead, windows } in cases {
        let values = [lead.yaw_in().to_degrees(), lead.edge_in(), lead.edge_out(), lead.corner_forward()];
        for (value, (least, most)) in values.into_iter().zip(windows) {
            between(value, least, most);
        }
    }
}
