//! Bends nearer than a slat: the motion that the library certifies, measured again point by point against the plain
//! account of a groove, and its width against a brute force over hinge offsets and against doors worked out before.

use crate::geometry_support::band::{Band, Dice};
use crate::geometry_support::brute::Chain as Brute;
use slatwright::doors::chain::{Piece, Point};
use slatwright::doors::groove_need::{Bend, Tongue, chain_need, s_need};
use slatwright::doors::poses::{Certificate, Chain, Lead, gap_fold, least_groove};

/// A door on a track that begins and ends with an arc.
#[derive(Debug, Clone)]
struct Case {
    track: Vec<Piece>,
    chain: Chain,
}

impl Case {
    fn widest(&self) -> f64 {
        self.chain.lead.map_or(self.chain.width, |lead| lead.guided)
    }

    /// The groove by rule: what the worst concave and the worst reverse bend ask, one beside the other.
    fn rule(&self) -> f64 {
        let tongue = self.chain.tongue;
        let worst = |sense: bool| {
            let needs = self.track.iter().filter_map(|piece| match *piece {
                Piece::Arc { radius, angle, concave } if concave == sense => {
                    Some(chain_need(Bend { radius, angle, concave }, tongue, self.widest()))
                }
                _ => None,
            });
            needs.fold(tongue.thickness, f64::max)
        };
        s_need(tongue, worst(true), worst(false))
    }

    fn certificate(&self) -> Option<Certificate> {
        least_groove(&self.track, &self.chain, self.rule())
    }

    fn length(&self) -> f64 {
        self.track.iter().map(|piece| piece.length()).sum()
    }

    /// The same groove for the plain account, with a straight run in front: its length is the second figure.
    fn band(&self) -> (Band, f64) {
        let run = 2.0 * self.widest() + 5.0 * self.chain.width;
        let mut pieces = vec![(run, 0.0, true)];
        pieces.extend(self.track.iter().map(|piece| match *piece {
            Piece::Straight(length) => (length, 0.0, true),
            Piece::Arc { radius, angle, concave } => (radius, angle.to_degrees(), concave),
        }));
        pieces.push((2.0 * run, 0.0, true));
        (Band::new(&pieces), run)
    }

    /// Width of a slat counted from the lead slat on.
    fn width(&self, slat: usize) -> f64 {
        if slat == 0 { self.widest() } else { self.chain.width }
    }

    /// From hinge to hinge, the strip behind the slat included.
    fn pitch(&self, slat: usize) -> f64 {
        self.width(slat) + self.chain.gap
    }

    fn fold(&self, joint: usize) -> f64 {
        match self.chain.lead {
            Some(lead) if joint == 0 => lead.fold,
            _ => self.chain.fold,
        }
    }
}

/// Measures one pose: slats as long as they are, joints within their fold. Returns what each slat asks of the groove.
fn measure(case: &Case, band: &Band, run: f64, points: &[Point]) -> Vec<f64> {
    let Tongue { thickness, offset } = case.chain.tongue;
    let at = |point: Point| (point.x + run, point.y);
    let heading = |slat: usize| (points[slat + 1].y - points[slat].y).atan2(points[slat + 1].x - points[slat].x);
    let slats = points.len() - 1;
    for slat in 0..slats {
        assert!((points[slat].distance(points[slat + 1]) - case.pitch(slat)).abs() < 1e-9, "{case:?}: slat {slat}");
        if slat > 0 {
            let turn = (heading(slat) - heading(slat - 1) + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU)
                - std::f64::consts::PI;
            assert!(-turn <= case.fold(slat - 1) + 1e-9, "{case:?}: joint {slat} folds {}", -turn);
        }
    }
    let tongue = |slat: usize| {
        let share = case.width(slat) / case.pitch(slat);
        let (from, to) = (at(points[slat]), at(points[slat + 1]));
        (from, (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1)))
    };
    (0..slats).map(|slat| band.need(tongue(slat).0, tongue(slat).1, [offset, offset + thickness])).collect()
}

/// Goes through the motion in steps of `step` slats: every pose fits, and from pose to pose no hinge moves farther than
/// a few steps. Returns the stations of the leading end at which the third slat, and the first, ask most.
fn walk(case: &Case, certificate: &Certificate, step: f64) -> [f64; 2] {
    let (band, run) = case.band();
    let width = case.chain.width;
    let start = -(case.widest() + 3.0 * width);
    let steps = ((case.length() + width - start) / (step * width)).ceil() as usize;
    let mut most = [(0.0, start); 2];
    let mut before: Option<Vec<Point>> = None;
    for i in 0..=steps {
        let station = start + step * width * i as f64;
        let points = certificate.pose(station, 4).unwrap();
        let needs = measure(case, &band, run, &points);
        // Past its reach the lead slat is not asked; its hinge stands about its guided length on.
        let reached = case.chain.lead.is_some_and(|lead| station + 0.9 * lead.guided > lead.reaches);
        for (slat, &need) in needs.iter().enumerate().filter(|&(slat, _)| slat > 0 || !reached) {
            assert!(need <= certificate.groove() + 1e-9, "{case:?}: slat {slat} at {station}: {need}");
        }
        for (kind, slat) in [(0, 2), (1, 0)] {
            if needs[slat] > most[kind].0 {
                most[kind] = (needs[slat], station);
            }
        }
        if let Some(before) = before {
            let moved = before.iter().zip(&points).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
            assert!(moved < 6.0 * step * width, "{case:?}: a hinge jumps {moved} at {station}");
        }
        before = Some(points);
    }
    most.map(|(_, station)| station)
}

/// The least groove that a brute force finds for six slats of the chain with its leading end at a station: no motion,
/// each pose by itself.
fn brute(case: &Case, groove: f64, station: f64, search: (u32, u32), with_lead: bool) -> f64 {
    let (band, run) = case.band();
    let Chain { tongue, width, gap, fold, lead } = case.chain;
    let mut widths = vec![width; 6];
    if with_lead && let Some(lead) = lead {
        widths[0] = lead.guided;
    }
    let strips = gap > 0.0;
    if strips {
        widths = widths.into_iter().take(4).flat_map(|width| [width, gap]).collect();
    }
    let chain = Brute { band: &band, widths, tau: tongue.thickness, e: tongue.offset, fold, strips };
    let neutral = tongue.offset + tongue.thickness / 2.0;
    chain.need(run + station, neutral, 0.55 * (groove - tongue.thickness), search.0, search.1)
}

/// A track of two to four bends of both senses, gaps of none to two slats, in inches or millimetres.
fn random_case(dice: &mut Dice) -> Case {
    let scale = if dice.between(0.0, 1.0) < 0.5 { 1.0 } else { 25.4 };
    let width = scale * dice.between(0.25, 1.2);
    let back = dice.between(0.0, 1.0) < 0.5;
    let offset = if back { scale * dice.between(0.1, 0.25) } else { 0.0 };
    let tongue = Tongue { thickness: scale * dice.between(0.1, 0.3), offset };
    let bends = 2 + dice.between(0.0, 3.0) as usize;
    let first = dice.between(0.0, 1.0) < 0.5;
    let mut track = Vec::new();
    for bend in 0..bends {
        if bend > 0 && dice.between(0.0, 1.0) < 0.6 {
            track.push(Piece::Straight(dice.between(0.0, 2.0) * width));
        }
        let concave = if bend < 2 { first == (bend == 0) } else { dice.between(0.0, 1.0) < 0.5 };
        let radius = (width * dice.between(1.8, 8.0)).max(scale);
        track.push(Piece::Arc { radius, angle: dice.between(12.0, 90.0).to_radians(), concave });
    }
    let wide = dice.between(0.0, 1.0) < 0.4;
    let guided = if wide { width * dice.between(1.0, 3.2) } else { width };
    let fold = least_fold(&track, tongue, guided, width)
        * if dice.between(0.0, 1.0) < 0.5 { 1.0005 } else { dice.between(1.0, 1.5) };
    let lead = wide.then_some(Lead { guided, reaches: f64::INFINITY, fold });
    Case { track, chain: Chain { tongue, width, gap: 0.0, fold, lead } }
}

/// What the tightest reverse bend asks of a joint, the chain pulled to its inner wall.
fn least_fold(track: &[Piece], tongue: Tongue, guided: f64, width: f64) -> f64 {
    let folds = track.iter().filter_map(|piece| match *piece {
        Piece::Arc { radius, concave: false, .. } => {
            let play = width * width / (8.0 * radius);
            let hinge = (radius + tongue.offset + (tongue.thickness - play) / 2.0).hypot(width / 2.0);
            Some((guided / (2.0 * hinge)).asin() + (width / (2.0 * hinge)).asin())
        }
        _ => None,
    });
    folds.fold(0.0, f64::max)
}

/// What many random doors showed.
#[derive(Debug, Default)]
struct Tally {
    tried: usize,
    uncertified: usize,
    too_wide: usize,
    beyond_rule: usize,
    worst: f64,
}

/// Certifies random doors, measures every motion, and holds its width against the brute force.
fn random_doors(doors: usize, first: u64, search: (u32, u32)) -> Tally {
    let mut tally = Tally::default();
    for seed in 0..doors as u64 {
        let mut dice = Dice((first + seed).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        dice.between(0.0, 1.0);
        let case = random_case(&mut dice);
        tally.tried += 1;
        let Some(certificate) = case.certificate() else {
            tally.uncertified += 1;
            continue;
        };
        let groove = certificate.groove();
        let stations = walk(&case, &certificate, 0.06);
        let needs = stations.iter().enumerate().map(|(kind, &station)| {
            let (station, lead) = if kind == 0 { (station, false) } else { (station, case.chain.lead.is_some()) };
            brute(&case, groove, station + if lead { 0.0 } else { case.widest() - case.chain.width }, search, lead)
        });
        let play = needs.fold(0.0, f64::max) - case.chain.tongue.thickness;
        let over = (groove - case.chain.tongue.thickness) / play - 1.0;
        tally.worst = tally.worst.max(over);
        tally.too_wide += usize::from(over > 0.5);
        tally.beyond_rule += usize::from(groove > case.rule());
    }
    tally
}

#[test]
fn random_doors_run_in_the_groove_that_is_certified() {
    let tally = random_doors(24, 100, (5, 4));
    assert!(tally.uncertified <= 1 && tally.too_wide <= 1 && tally.beyond_rule == 0, "{tally:?}");
}

/// `cargo test --release --test suite thousands_of_random_doors -- --ignored --nocapture`
#[test]
#[ignore = "some minutes in a release build"]
fn thousands_of_random_doors_run_in_the_groove_that_is_certified() {
    let tally = random_doors(2_000, 10_000, (7, 6));
    println!("{tally:?}");
    assert!(tally.uncertified * 100 <= tally.tried, "{tally:?}");
    assert!(tally.too_wide * 20 <= tally.tried, "{tally:?}");
}

/// A door whose need was found by brute force, pose by pose, with restarts.
struct Worked {
    case: Case,
    need: f64,
    name: String,
}

fn worked() -> Vec<Worked> {
    let mut worked = Vec::new();
    for line in include_str!("instances/near_bends.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let figure = |cell: usize| cells[cell].parse::<f64>().ok();
        let piece = |words: &str| {
            let words: Vec<&str> = words.split(' ').collect();
            let figure = |word: usize| words[word].parse::<f64>().unwrap();
            match words[0] {
                "straight" => Piece::Straight(figure(1)),
                sense => Piece::Arc { radius: figure(1), angle: figure(2).to_radians(), concave: sense == "concave" },
            }
        };
        let track: Vec<Piece> = cells[8].split(" + ").map(piece).collect();
        let tongue = Tongue { thickness: figure(3).unwrap(), offset: figure(4).unwrap() };
        let fold = 2.0 * figure(5).unwrap().to_radians();
        let mut add = |lead: Option<Lead>, need: Option<f64>, kind: &str| {
            let chain = Chain { tongue, width: figure(1).unwrap(), gap: 0.0, fold, lead };
            let case = Case { track: track.clone(), chain };
            worked.extend(need.map(|need| Worked { case, need, name: format!("{} {kind}", cells[0]) }));
        };
        add(None, figure(6), "slats");
        // A tongue no longer than an ordinary slat is wide lies within theirs.
        if let Some(guided) = figure(2).filter(|guided| Some(*guided) > figure(1)) {
            add(Some(Lead { guided, reaches: f64::INFINITY, fold }), figure(7), "lead slat");
        }
    }
    worked
}

#[test]
fn doors_worked_before_are_neither_bound_nor_loose() {
    let mut overs = Vec::new();
    for Worked { case, need, name } in worked() {
        let certificate = case.certificate().unwrap_or_else(|| panic!("{name}"));
        let play = need - case.chain.tongue.thickness;
        let groove = certificate.groove();
        // The brute force stopped within a hair of its least.
        assert!(groove > need - 2e-4, "{name}: {groove} under {need}");
        overs.push((groove - need) / play);
        println!("{name}: {:.3} of the play over; the rule {:.3}", (groove - need) / play, (case.rule() - need) / play);
        walk(&case, &certificate, 0.05);
    }
    overs.sort_by(f64::total_cmp);
    let (median, most) = (overs[overs.len() / 2], overs[overs.len() - 1]);
    assert!(overs.len() == 38 && median < 0.03 && most < 0.2, "{} {median} {most}", overs.len());
}

#[test]
fn a_lead_slat_that_enters_part_of_an_s_asks_no_more_than_one_that_passes() {
    let mut dice = Dice(77);
    let mut less = 0;
    for _ in 0..8 {
        let mut case = random_case(&mut dice);
        let Some(lead) = case.chain.lead else { continue };
        let Some(whole) = case.certificate() else { continue };
        let reaches = dice.between(0.1, 0.5) * case.length();
        case.chain.lead = Some(Lead { reaches, ..lead });
        let part = case.certificate().unwrap();
        assert!(part.groove() <= whole.groove() * (1.0 + 1e-3), "{case:?}: {} {}", part.groove(), whole.groove());
        less += usize::from(part.groove() < whole.groove() * 0.99);
        walk(&case, &part, 0.1);
    }
    assert!(less > 0);
}

#[test]
fn near_bends_of_one_sense_run_on_a_parallel() {
    let mut dice = Dice(5);
    for _ in 0..12 {
        let concave = dice.between(0.0, 1.0) < 0.6;
        let mut case = random_case(&mut dice);
        for piece in &mut case.track {
            if let Piece::Arc { concave: sense, .. } = piece {
                *sense = concave;
            }
        }
        let width = case.chain.width;
        let fold = if concave { 0.0 } else { 1.01 * least_fold(&case.track, case.chain.tongue, case.widest(), width) };
        case.chain.fold = fold;
        case.chain.lead = case.chain.lead.map(|lead| Lead { fold, ..lead });
        let Some(certificate) = case.certificate() else {
            assert!(!concave, "{case:?}");
            continue;
        };
        walk(&case, &certificate, 0.1);
        // All the angles on the smallest radius ask at least as much.
        let arcs = case.track.iter().filter_map(|piece| match *piece {
            Piece::Arc { radius, angle, .. } => Some((radius, angle)),
            Piece::Straight(_) => None,
        });
        let (radius, angle) = arcs.fold((f64::INFINITY, 0.0), |(r, a), (radius, angle)| (radius.min(r), angle + a));
        let one = Bend { radius, angle: angle.min(std::f64::consts::PI), concave };
        let union = chain_need(one, case.chain.tongue, case.widest());
        assert!(certificate.groove() <= union * (1.0 + 2e-3), "{case:?} {} {union}", certificate.groove());
    }
}

#[test]
fn square_edges_pass_no_s() {
    let mut dice = Dice(9);
    for _ in 0..5 {
        let mut case = random_case(&mut dice);
        case.chain.fold = 0.0;
        case.chain.lead = None;
        assert!(case.certificate().is_none(), "{case:?}");
    }
}

/// Slats that stand apart at the canvas: the motion is measured as that of any door; mostly it asks less than the rule.
#[test]
fn slats_that_stand_apart_run_in_the_groove_that_is_certified() {
    let mut dice = Dice(31);
    let (mut certified, mut less) = (0, 0);
    for _ in 0..14 {
        let mut case = random_case(&mut dice);
        let width = case.chain.width;
        case.chain.gap = width * dice.between(0.02, 0.12);
        let fold = least_fold(&case.track, case.chain.tongue, case.widest() + case.chain.gap, width + case.chain.gap);
        case.chain.fold = 1.02 * fold;
        case.chain.lead = case.chain.lead.map(|lead| Lead { fold: 1.02 * fold, ..lead });
        let Some(certificate) = case.certificate() else { continue };
        certified += 1;
        let stations = walk(&case, &certificate, 0.08);
        let ahead = case.widest() - width;
        // Strips that turn as they like ask less, a groove that is certified never.
        let need = brute(&case, certificate.groove(), stations[0] + ahead, (5, 3), false);
        assert!(certificate.groove() > need - 1e-6, "{case:?}: {} {need}", certificate.groove());
        less += usize::from(certificate.groove() < case.rule());
    }
    assert!(certified >= 12 && less * 2 > certified, "{certified} {less}");
}

/// Corners of a slat seen along the joint: `from` its canvas corner at the gap, `way` 1 where the slat lies ahead of it and
/// -1 where it lies behind, turned by `turn` about that corner.
fn section(from: f64, way: f64, (bevel, thick): (f64, f64), turn: f64) -> [(f64, f64); 4] {
    let lean = thick * bevel.tan();
    let (sine, cosine) = turn.sin_cos();
    let long = 4.0 * thick;
    [(0.0, 0.0), (way * lean, thick), (way * long, thick), (way * long, 0.0)]
        .map(|(x, y)| (from + x * cosine - y * sine, x * sine + y * cosine))
}

/// Whether two convex figures overlap: no side of either has the other wholly beyond it.
fn overlap(a: &[(f64, f64); 4], b: &[(f64, f64); 4]) -> bool {
    let apart = |a: &[(f64, f64); 4], b: &[(f64, f64); 4]| {
        (0..4).any(|i| {
            let (p, q) = (a[i], a[(i + 1) % 4]);
            let side = |r: (f64, f64)| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
            let own = side(a[(i + 2) % 4]).signum();
            b.iter().all(|&corner| side(corner) * own <= 0.0)
        })
    };
    !apart(a, b) && !apart(b, a)
}

#[test]
fn a_joint_with_a_gap_folds_until_its_edges_meet() {
    let mut dice = Dice(32);
    for _ in 0..300 {
        let thick = dice.between(4.0, 15.0);
        let (bevel, gap) = (dice.between(0.0, 12.0f64.to_radians()), thick * dice.between(0.0, 0.6));
        let fold = gap_fold(bevel, gap, thick);
        let meets = |fold: f64| {
            let still = section(0.0, -1.0, (bevel, thick), 0.0);
            overlap(&still, &section(gap, 1.0, (bevel, thick), fold))
        };
        assert!(!meets(fold * (1.0 - 1e-9) - 1e-9), "{bevel} {gap} {thick}");
        // The figure leaves out some of what the joint could do, up to a quarter where gaps are wide.
        assert!(meets(fold * 1.3 + 1e-3), "{bevel} {gap} {thick}: {fold}");
    }
}
