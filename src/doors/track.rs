//! A track in plain figures: its bends, where they lie, and the canvas paths that run in it.

use super::chain::{CanvasPath, Piece};
use super::groove_need::{Bend, Tongue};
use super::joint::{GrooveArc, Lie};
use crate::job::Segment;

/// Straight runs and bends of one groove, in millimetres and radians.
#[derive(Debug, Clone)]
pub(super) struct Track {
    pieces: Vec<TrackPiece>,
    /// Groove width.
    pub(super) groove: f64,
}

/// One piece of a centreline.
#[derive(Debug, Clone, Copy)]
pub(super) enum TrackPiece {
    Straight(f64),
    Bend(Bend),
}

impl TrackPiece {
    pub(super) fn length(self) -> f64 {
        match self {
            Self::Straight(length) => length,
            Self::Bend(bend) => bend.radius * bend.angle,
        }
    }
}

/// One bend, or several of one sense so close together that a slat spans them.
#[derive(Debug, Clone, Copy)]
pub(super) struct BendGroup {
    /// Its own figures, or the smallest radius with the sum of the angles (half a turn at most): a safe stand-in,
    /// since the true walls never turn more sharply nor farther than that arc.
    pub(super) bend: Bend,
    /// Station on the centreline where the first arc begins.
    pub(super) start: f64,
    /// Station where the last arc ends.
    pub(super) end: f64,
    /// Arcs taken together.
    pub(super) arcs: usize,
}

impl Track {
    pub(super) fn new(path: &[Segment], groove: f64) -> Self {
        let piece = |segment: &Segment| match *segment {
            Segment::Straight(length) => TrackPiece::Straight(length.mm_f64()),
            Segment::Arc { radius, degrees, canvas_inside } => {
                TrackPiece::Bend(Bend { radius: radius.mm_f64(), angle: degrees.to_radians(), concave: canvas_inside })
            }
        };
        Self { pieces: path.iter().map(piece).collect(), groove }
    }

    /// Straight runs and bends in order.
    pub(super) fn pieces(&self) -> &[TrackPiece] {
        &self.pieces
    }

    /// The centreline as a path.
    pub(super) fn centreline(&self) -> Vec<Piece> {
        let piece = |piece: &TrackPiece| match *piece {
            TrackPiece::Straight(length) => Piece::Straight(length),
            TrackPiece::Bend(Bend { radius, angle, concave }) => Piece::Arc { radius, angle, concave },
        };
        self.pieces.iter().map(piece).collect()
    }

    /// Length of the centreline.
    pub(super) fn length(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.length()).sum()
    }

    /// Straight length from the closed lead edge to the first bend; the whole track without one.
    pub(super) fn front_run(&self) -> f64 {
        self.pieces
            .iter()
            .take_while(|piece| matches!(piece, TrackPiece::Straight(_)))
            .map(|piece| piece.length())
            .sum()
    }

    /// Every bend with its station, in order.
    pub(super) fn bends(&self) -> Vec<(f64, Bend)> {
        let mut station = 0.0;
        let mut bends = Vec::new();
        for piece in &self.pieces {
            if let TrackPiece::Bend(bend) = piece {
                bends.push((station, *bend));
            }
            station += piece.length();
        }
        bends
    }

    /// The bends as a slat of `width` meets them.
    pub(super) fn groups(&self, width: f64) -> Vec<BendGroup> {
        groups(&self.bends(), width)
    }

    /// The hinges' path for slats of `width`: straight runs as the groove's, arcs at the hinge radius. Pulled, the arcs
    /// are shortest and the tail reaches farthest: the side to judge the stow by. Pushed, they are longest: the side
    /// to judge the cover by.
    pub(super) fn canvas_path(&self, tongue: Tongue, width: f64, lie: Lie) -> CanvasPath {
        CanvasPath::new(&self.canvas_pieces(tongue, width, lie))
    }

    fn canvas_pieces(&self, tongue: Tongue, width: f64, lie: Lie) -> Vec<Piece> {
        let piece = |piece: &TrackPiece| match *piece {
            TrackPiece::Straight(length) => Piece::Straight(length),
            TrackPiece::Bend(bend) => Piece::Arc {
                radius: GrooveArc::about(bend.radius, self.groove, bend.concave).hinge_radius(tongue, width, lie),
                angle: bend.angle,
                concave: bend.concave,
            },
        };
        self.pieces.iter().map(piece).collect()
    }

    /// The centreline station that faces `station` of a canvas path: arcs are stretched to the centreline's radius.
    fn centreline_station(&self, canvas: &[Piece], station: f64) -> f64 {
        let (mut here, mut there) = (0.0, 0.0);
        for (ours, theirs) in self.pieces.iter().zip(canvas) {
            let length = theirs.length();
            if station <= there + length && length > 0.0 {
                return here + (station - there) * ours.length() / length;
            }
            here += ours.length();
            there += length;
        }
        here + station - there
    }

    /// Centreline station of a pulled hinge at `station` of its canvas path.
    pub(super) fn lead_hinge_on_centreline(&self, section: &ChainSection, station: f64) -> f64 {
        self.centreline_station(&self.canvas_pieces(section.tongue, section.width, Lie::Pulled), station)
    }

    /// Centreline station of the tail with the lead edge at `lead_edge` on the first run.
    pub(super) fn tail_on_centreline(&self, section: &ChainSection, lead_edge: f64, lie: Lie) -> f64 {
        let pieces = self.canvas_pieces(section.tongue, section.width, lie);
        let tail = section.tail(&CanvasPath::new(&pieces), lead_edge);
        self.centreline_station(&pieces, tail)
    }
}

/// Bends as a slat of `width` meets them: arcs of one sense with less than its width between them count as one.
pub(super) fn groups(bends: &[(f64, Bend)], width: f64) -> Vec<BendGroup> {
    let mut groups: Vec<BendGroup> = Vec::new();
    for &(start, bend) in bends {
        let end = start + bend.radius * bend.angle;
        match groups.last_mut() {
            Some(last) if last.bend.concave == bend.concave && start - last.end < width => {
                last.bend.radius = last.bend.radius.min(bend.radius);
                last.bend.angle = (last.bend.angle + bend.angle).min(std::f64::consts::PI);
                last.end = end;
                last.arcs += 1;
            }
            _ => groups.push(BendGroup { bend, start, end, arcs: 1 }),
        }
    }
    groups
}

/// What of a door the kinematics need, in millimetres.
#[derive(Debug, Clone, Copy)]
pub(super) struct ChainSection {
    pub(super) tongue: Tongue,
    pub(super) width: f64,
    pub(super) lead_width: f64,
    pub(super) slats: u32,
    /// Left open before each slat at the canvas: a chord of the path as a slat is.
    pub(super) gap: f64,
}

impl ChainSection {
    /// Station of the tail on a path of the hinges.
    pub(super) fn tail(&self, path: &CanvasPath, lead_edge: f64) -> f64 {
        if self.gap <= 0.0 {
            return path.tail(lead_edge, self.lead_width, self.slats, self.width);
        }
        let next = |here: f64| path.next_hinge(path.next_hinge(here, self.gap), self.width);
        (0..self.slats).fold(path.next_hinge(lead_edge, self.lead_width), |here, _| next(here))
    }

    /// From one slat to the next.
    pub(super) fn pitch(&self) -> f64 {
        self.width + self.gap
    }
}
