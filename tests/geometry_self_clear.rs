//! A track that comes near itself, against a plain search over pairs of its points; and the check at its edge.

use crate::geometry_support::band::{Band, Dice};
use crate::geometry_support::{arc, door, inches, job, path, slats, straight};
use slatwright::doors::chain::Piece;
use slatwright::doors::self_clear::nearest;
use slatwright::doors::{Check, FitCheck, lay_out};
use slatwright::job::Segment;
use slatwright::measure::Length;

/// Bends of at least 1 in; two points nearer than this and three times it apart along the track are on two passes.
const WITHIN: f64 = 0.4;

#[test]
fn tracks_that_meet_themselves_are_found_and_no_others() {
    let mut dice = Dice(41);
    let (mut met, mut clear) = (0, 0);
    for _ in 0..120 {
        let mut pieces = vec![Piece::Straight(dice.between(1.0, 8.0))];
        let mut plain = vec![(pieces[0].length(), 0.0, true)];
        for _ in 0..5 {
            let (radius, degrees) = (dice.between(1.0, 3.0), dice.between(40.0, 170.0));
            let concave = dice.between(0.0, 1.0) < 0.8;
            let run = dice.between(0.1, 6.0);
            pieces.push(Piece::Arc { radius, angle: degrees.to_radians(), concave });
            pieces.push(Piece::Straight(run));
            plain.extend([(radius, degrees, concave), (run, 0.0, true)]);
        }
        let band = Band::new(&plain);
        let points: Vec<(f64, f64)> =
            (0..=(band.length() / 0.05) as usize).map(|i| band.at(i as f64 * 0.05).0).collect();
        let apart = (3.0 * WITHIN / 0.05) as usize;
        let far = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
        let least = (0..points.len())
            .flat_map(|i| (i + apart..points.len()).map(move |j| (i, j)))
            .map(|(i, j)| far(points[i], points[j]))
            .fold(f64::INFINITY, f64::min);
        match nearest(&pieces, WITHIN) {
            Some(near) => {
                met += 1;
                // The grid of points is at most half a step off at either end.
                assert!(near.distance <= least + 1e-9 && near.distance > least - 0.06, "{pieces:?} {near:?} {least}");
                let there = far(band.at(near.stations.0).0, band.at(near.stations.1).0);
                assert!((there - near.distance).abs() < 1e-6, "{near:?} {there}");
            }
            None => {
                clear += 1;
                assert!(least > WITHIN, "{pieces:?} {least}");
            }
        }
    }
    assert!(met > 20 && clear > 20, "{met} {clear}");
}

fn clear_of(segments: Vec<Segment>) -> Option<FitCheck> {
    let door = lay_out(&job(vec![door(path(segments, "18", "12"), slats())], 1)).remove(0);
    door.checks.into_iter().find(|check| check.check == Check::TrackClear)
}

/// A groove of 1/4 and a wall of 3/16: two passes 7/16 apart are as near as may be.
#[test]
fn a_hair_less_than_a_wall_fails_and_a_hair_more_passes() {
    let hairpin = |radius: Length| {
        vec![straight("20"), Segment::Arc { radius, degrees: 180.0, canvas_inside: true }, straight("30")]
    };
    let hair = Length::from_nm(1_000);
    let edge = inches("7/32");
    assert!(clear_of(hairpin(edge + hair)).unwrap().holds());
    let failing = clear_of(hairpin(edge - hair)).unwrap();
    assert!(!failing.holds());
    let advice = failing.advice.unwrap();
    assert!(advice.contains("comes too near itself") && advice.contains("7/16 in"), "{advice}");
    // An ordinary hairpin is not worth a line.
    assert_eq!(clear_of(hairpin(inches("3"))), None);
}

#[test]
fn a_track_that_crosses_itself_says_where() {
    let corner = arc("3", 90.0, true);
    let segments = vec![straight("20"), corner, straight("6"), corner, straight("6"), corner, straight("40")];
    let check = clear_of(segments).unwrap();
    assert!(!check.holds());
    let advice = check.advice.unwrap();
    // Out 20, round a loop 12 wide, back across 11 from the start: 20 - 6 - 3.
    assert!(advice.starts_with("the track crosses itself: 11 in and "), "{advice}");
}
