//! A door in its groove, seen from above: the groove's pieces and every slat's corners at any position.
//!
//! Coordinates are millimetres. The origin is the closed lead edge on the groove's centreline, +x the way the door opens
//! along the front run, +y the canvas side (the inside of the case). For a door that opens to the left the view is the
//! mirror image; the reports flip it.
//!
//! Hinges run on the parallel to the groove's outer wall by which the groove width was judged (a track with reverse
//! bends: on the parallel through the middle of the play), so what is drawn is what was checked.

use super::case_path::Frame;
use super::chain::{CanvasPath, Piece, Point};
use super::joint::bevel_setback;
use super::layout::Layout;
use super::near_bends::{Known, Poses};
use super::track::{ChainSection, TrackPiece};
use crate::job::{DoorSpec, Hand, Shop};
use crate::measure::Units;

/// A door in its groove.
#[derive(Debug, Clone)]
pub struct PlanView {
    /// The groove's centreline, piece by piece.
    pub centreline: Vec<Piece>,
    /// Groove width.
    pub groove: f64,
    /// Travel of the lead edge.
    pub travel: f64,
    /// Index of the piece after which the entry leaves straight on, if the door goes round a back corner.
    pub entry_after: Option<usize>,
    /// How far past that piece the entry reaches.
    pub entry_length: f64,
    /// The case it runs in; `None` for a track given in full.
    pub case: Option<CasePlan>,
    /// Slats and, between them, gaps of the canvas.
    links: Vec<Link>,
    section: Section,
    hinge_path: CanvasPath,
}

/// The edges of a case in the plan of one of its doors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CasePlan {
    /// Case front edge to the groove's centreline: the edge lies at y = -setback.
    pub setback: f64,
    /// From the closed lead edge to the face beside which the door stows: that face lies at this x.
    pub reach: f64,
    /// That face to the groove's centreline.
    pub side_inset: f64,
    /// The inside face of the back lies at this y.
    pub back: f64,
    /// That face to the groove's centreline; `None` where the door stays on the side.
    pub back_inset: Option<f64>,
    /// What the face beside which the door stows is called.
    pub side_name: &'static str,
    /// True when the closed lead edge rests on the opposite face.
    pub closes_at_face: bool,
}

impl CasePlan {
    fn of(layout: &Layout<'_>) -> Option<Self> {
        let frame = Frame::of(&layout.spec.track, layout.units)?;
        Some(Self {
            setback: frame.setback.mm_f64(),
            reach: frame.front_reach().mm_f64(),
            side_inset: frame.side_inset.mm_f64(),
            back: (frame.inside.depth - frame.setback).mm_f64(),
            back_inset: layout.run.back_corner.then(|| frame.back_inset.mm_f64()),
            side_name: if frame.hand == Hand::Up { "inside face of the top" } else { "inside face of the side" },
            closes_at_face: !frame.is_pair(),
        })
    }
}

#[derive(Debug, Clone, Copy)]
struct Section {
    thickness: f64,
    lead_thickness: f64,
    tongue_from: f64,
    tongue_to: f64,
    /// Hinge to the leading end of the lead slat's tongue, and bare length before it.
    lead_guided: f64,
    lead_bare: f64,
    /// How far a bevelled edge stands back at the show face.
    bevel: f64,
}

/// One slat in the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlatPose {
    /// True for the lead slat.
    pub lead: bool,
    /// Corners: canvas near, canvas far, face far, face near; near is towards the lead edge.
    pub body: [Point; 4],
    /// The tongue's corners in the same order.
    pub tongue: [Point; 4],
}

impl PlanView {
    /// The view of a door; `None` when it has no tongue or its hinges would cross an arc's centre.
    #[must_use]
    pub fn new(spec: &DoorSpec, shop: &Shop, units: Units) -> Option<Self> {
        let known = Known::default();
        let layout = Layout::new(spec, shop, units, Poses::AsKnown(&known));
        if !super::checks::sound(&layout) {
            return None;
        }
        let section = layout.section();
        let tongue = section.tongue;
        let groove = layout.track.groove;
        let all_concave = layout.track.bends().iter().all(|(_, bend)| bend.concave);
        let offset = tongue.offset + if all_concave { tongue.thickness - groove / 2.0 } else { tongue.thickness / 2.0 };
        let hinges = hinge_pieces(layout.track.pieces(), offset)?;
        let (entry_after, entry_length) = entry(&layout);
        Some(Self {
            centreline: layout.track.pieces().iter().map(|piece| centre_piece(*piece)).collect(),
            groove,
            travel: layout.run.travel.mm_f64(),
            entry_after,
            entry_length,
            case: CasePlan::of(&layout),
            links: links(&section),
            section: Section {
                thickness: spec.slats.thickness.mm_f64(),
                lead_thickness: spec.slats.lead_thickness.mm_f64(),
                tongue_from: tongue.offset,
                tongue_to: tongue.offset + tongue.thickness,
                lead_guided: layout.guided().mm_f64(),
                lead_bare: layout.lead_bare().mm_f64(),
                bevel: bevel_setback(spec.slats.thickness.mm_f64(), spec.slats.edge_bevel.to_radians()),
            },
            hinge_path: CanvasPath::from_pose(&hinges, Point { x: 0.0, y: offset }, 0.0),
        })
    }

    /// Every slat with the lead edge at `lead_edge` past its closed place, the lead slat first.
    #[must_use]
    pub fn slats(&self, lead_edge: f64) -> Vec<SlatPose> {
        let stations = self.hinge_path.hinges(lead_edge, self.links.iter().map(|link| link.width()));
        let points: Vec<Point> = stations.iter().map(|station| self.hinge_path.at(*station).0).collect();
        let pairs = points.windows(2).zip(&self.links);
        let slats = pairs.enumerate().filter(|(_, (_, link))| matches!(link, Link::Slat(_)));
        slats.map(|(i, (pair, _))| self.pose(i == 0, pair[0], pair[1])).collect()
    }

    fn pose(&self, lead: bool, near: Point, far: Point) -> SlatPose {
        let heading = (far.y - near.y).atan2(far.x - near.x);
        // Away from the canvas is to the right of the way from the lead edge to the tail.
        let face = heading - std::f64::consts::FRAC_PI_2;
        let section = self.section;
        let thickness = if lead { section.lead_thickness } else { section.thickness };
        // The lead slat's hinge is at its far end: what its tongue is short of the width is bare at the near one.
        let (cut, bare) =
            if lead { ((near.distance(far) - section.lead_guided).max(0.0), section.lead_bare) } else { (0.0, 0.0) };
        let (start, end) = (near.moved(heading, cut), far.moved(heading, -bare));
        // Bevels begin at the canvas line; the edge that leads has no joint and stays square.
        let back = section.bevel * thickness / section.thickness;
        let (near_face, far_face) = (near.moved(heading, if lead { 0.0 } else { back }), far.moved(heading, -back));
        SlatPose {
            lead,
            body: [near, far, far_face.moved(face, thickness), near_face.moved(face, thickness)],
            tongue: [
                start.moved(face, section.tongue_from),
                end.moved(face, section.tongue_from),
                end.moved(face, section.tongue_to),
                start.moved(face, section.tongue_to),
            ],
        }
    }
}

/// What lies between two hinges.
#[derive(Debug, Clone, Copy)]
enum Link {
    Slat(f64),
    Gap(f64),
}

impl Link {
    const fn width(self) -> f64 {
        match self {
            Self::Slat(width) | Self::Gap(width) => width,
        }
    }
}

fn links(section: &ChainSection) -> Vec<Link> {
    let mut links = vec![Link::Slat(section.lead_width)];
    for _ in 0..section.slats {
        if section.gap > 0.0 {
            links.push(Link::Gap(section.gap));
        }
        links.push(Link::Slat(section.width));
    }
    links
}

/// The hinges' parallel: arcs narrowed by the offset on concave bends, widened on reverse ones.
fn hinge_pieces(track: &[TrackPiece], offset: f64) -> Option<Vec<Piece>> {
    let piece = |piece: &TrackPiece| match *piece {
        TrackPiece::Straight(length) => Some(Piece::Straight(length)),
        TrackPiece::Bend(bend) => {
            let radius = if bend.concave { bend.radius - offset } else { bend.radius + offset };
            (radius > 0.0).then_some(Piece::Arc { radius, angle: bend.angle, concave: bend.concave })
        }
    };
    track.iter().map(piece).collect()
}

fn centre_piece(piece: TrackPiece) -> Piece {
    match piece {
        TrackPiece::Straight(length) => Piece::Straight(length),
        TrackPiece::Bend(bend) => Piece::Arc { radius: bend.radius, angle: bend.angle, concave: bend.concave },
    }
}

/// Where the entry leaves the track, and how far it runs to the back edge.
fn entry(layout: &Layout<'_>) -> (Option<usize>, f64) {
    let Some(frame) = Frame::of(&layout.spec.track, layout.units) else {
        return (None, 0.0);
    };
    let side = match layout.run.path.get(2) {
        Some(crate::job::Segment::Straight(side)) => side.mm_f64(),
        _ => 0.0,
    };
    let length = frame.inside.depth.mm_f64() - frame.setback.mm_f64() - frame.radius.mm_f64() - side;
    (layout.run.back_corner.then_some(2), length.max(0.0))
}
