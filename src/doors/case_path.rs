//! The groove of a door given by its case alone: front run, corner, side run and, where needed, a back corner with a
//! back run.
//!
//! The lead edge rests at the middle of the opening (a pair; half a block short of it where one stays between them), at the inside face of the far side (a single door), or
//! on the bottom (a roll-up, whose front run is upright, then runs under the top and down the back). The front run
//! ends where the corner begins, one radius short of the line of the side run. The cover reaches to the end of the
//! first corner: from there on the door lies along the case side, out of sight from the front. The lead slat stays on
//! the straight front run, so the travel is the front run less the lead slat.

use super::limits::end_gap;
use crate::job::{DoorTrack, Hand, InsideSize, Segment};
use crate::measure::{Length, Units};

/// Where a door runs, and how far.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    /// The centreline from the closed lead edge to the end of the groove.
    pub(super) path: Vec<Segment>,
    /// Track to be covered when closed.
    pub(super) cover: Length,
    /// Travel of the lead edge.
    pub(super) travel: Length,
    /// True when the door goes round a back corner.
    pub(super) back_corner: bool,
}

/// The two ways to lay a case's groove: along the side alone, and round the back corner too (`None` when side or back
/// is too short for it). A track given in full has one way.
pub(super) fn case_runs(track: &DoorTrack, lead_width: Length, units: Units) -> (Run, Option<Run>) {
    let sizes = match frame_or_run(track, units) {
        Ok(frame) => frame,
        Err(run) => return (run, None),
    };
    let side_alone = sizes.run(lead_width, &[Segment::Straight(positive(sizes.side_alone()))], false);
    let side = sizes.side_between_corners();
    let back = sizes.back_run();
    let round = (side >= Length::ZERO && back > Length::ZERO).then(|| {
        let rest = [Segment::Straight(side), sizes.corner(), Segment::Straight(back)];
        sizes.run(lead_width, &rest, true)
    });
    (side_alone, round)
}

/// The frame of a case, or the run of a track given in full.
fn frame_or_run(track: &DoorTrack, units: Units) -> Result<Frame, Run> {
    match track {
        DoorTrack::Path { path, cover, travel, .. } => {
            Err(Run { path: path.clone(), cover: *cover, travel: *travel, back_corner: false })
        }
        DoorTrack::Case { inside, hand, setback, side_inset, back_inset, corner_radius, middle_block } => Ok(Frame {
            inside: *inside,
            hand: *hand,
            setback: *setback,
            side_inset: *side_inset,
            back_inset: *back_inset,
            radius: *corner_radius,
            middle_block: *middle_block,
            end_gap: end_gap(units),
        }),
    }
}

/// A case's inside sizes and where its groove lies in it.
pub(super) struct Frame {
    pub(super) inside: InsideSize,
    pub(super) hand: Hand,
    pub(super) setback: Length,
    pub(super) side_inset: Length,
    pub(super) back_inset: Length,
    pub(super) radius: Length,
    /// Between the lead edges of a pair.
    pub(super) middle_block: Length,
    /// What a groove that ends blind stays short of the back.
    end_gap: Length,
}

impl Frame {
    /// The frame of a case; `None` for a track given in full.
    pub(super) fn of(track: &DoorTrack, units: Units) -> Option<Self> {
        frame_or_run(track, units).ok()
    }

    pub(super) const fn is_pair(&self) -> bool {
        matches!(self.hand, Hand::PairLeft | Hand::PairRight)
    }

    /// The inside face beside which the door stows: where a rule on the front run starts.
    pub(super) fn front_edge(&self) -> String {
        let face = match self.hand {
            Hand::PairLeft | Hand::Left => "left side",
            Hand::PairRight | Hand::Right => "right side",
            Hand::Up => "top",
        };
        format!("inside face of the {face}")
    }

    /// From that face to the closed lead edge.
    pub(super) fn front_reach(&self) -> Length {
        match self.hand {
            // Half a nanometre of an odd width is no loss.
            Hand::PairLeft | Hand::PairRight => Length::from_nm((self.inside.width - self.middle_block).nm() / 2),
            Hand::Left | Hand::Right => self.inside.width,
            Hand::Up => self.inside.height,
        }
    }

    /// The edge a rule starts from, and the distance, for a place `along` the straight run at `index` of the path.
    pub(super) fn edge(&self, index: usize, along: Length) -> Option<(String, Length)> {
        match index {
            0 => Some((self.front_edge(), self.front_reach() - along)),
            2 => Some(("case front edge".to_owned(), self.setback + self.radius + along)),
            4 => Some((self.front_edge(), self.side_inset + self.radius + along)),
            _ => None,
        }
    }

    fn corner(&self) -> Segment {
        Segment::Arc { radius: self.radius, degrees: 90.0, canvas_inside: true }
    }

    /// From the closed lead edge to the corner; negative when the case is too small for the corner.
    pub(super) fn front_run(&self) -> Length {
        self.front_reach() - self.side_inset - self.radius
    }

    /// Along the side to the groove's end near the back.
    fn side_alone(&self) -> Length {
        self.inside.depth - self.setback - self.radius - self.end_gap
    }

    /// Along the side between its two corners.
    fn side_between_corners(&self) -> Length {
        self.inside.depth - self.setback - self.back_inset - self.radius * 2
    }

    /// Along the back: half of it for each of a pair; for one door as far as the opposite corner; down to the bottom
    /// for a roll-up.
    fn back_run(&self) -> Length {
        match self.hand {
            Hand::PairLeft | Hand::PairRight => {
                Length::from_nm(self.inside.width.nm() / 2) - self.side_inset - self.radius
            }
            Hand::Left | Hand::Right => self.inside.width - self.side_inset * 2 - self.radius * 2,
            Hand::Up => self.front_run() - self.end_gap,
        }
    }

    fn run(&self, lead_width: Length, rest: &[Segment], back_corner: bool) -> Run {
        let front = positive(self.front_run());
        let mut path = vec![Segment::Straight(front), self.corner()];
        path.extend_from_slice(rest);
        let arc = Length::from_mm_f64(self.radius.mm_f64() * std::f64::consts::FRAC_PI_2);
        Run { path, cover: front + arc, travel: positive(front - lead_width), back_corner }
    }
}

fn positive(length: Length) -> Length {
    length.max(Length::ZERO)
}
