//! What the client can use: the largest room that no slat ever reaches, bare and behind a lining.
//!
//! In the plan of the groove the door takes a band along the front, round the front corner, along the side and, where it
//! goes there, round the back corner and along the back. A shelf is a rectangle, so its corners have to clear the rounded
//! corners of the band: a shelf as wide as there is room beside the side run is much less deep, and the other way round.
//! Of all rectangles the one of the largest area is taken.
//!
//! Sizes are given in whole steps that a rule shows (1/32 in, 1 mm), rounded down: with either size one step larger the
//! shelf would be touched.

use crate::doors::{Door, Sweep};
use crate::job::{Cabinet, DoorTrack, Hand, InsideSize};
use crate::measure::{Length, Units};

/// Thickness that a lining is usually made of (common practice, no source): 1/4 in.
pub const USUAL_LINING: Length = Length::from_64ths(16);
/// Room for the door to run between its canvas side and a lining (common practice, no source): 1/8 in.
pub const RUNNING_ROOM: Length = Length::from_64ths(8);
/// Places at which the two sizes of a shelf are weighed against each other.
const PLACES: u32 = 400;
/// Halvings of a span of metres that end below a nanometre.
const HALVINGS: u32 = 60;
/// A figure so near below a step is that step: a tenth of a nanometre.
const HAIR: f64 = 1e-7;

/// A room that is free, as a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClearBox {
    /// Across the case.
    pub width: Length,
    /// Front to back.
    pub depth: Length,
    /// Bottom to top.
    pub height: Length,
}

/// Where the lining stands beside such a room, in the plan of the groove.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LiningPlace {
    /// Inside face of the side (of the top, for a roll-up) to the lining's face towards the door.
    pub inset: Length,
    /// Case front edge to its front edge.
    pub front: Length,
    /// Inside face of the back to the face of the back lining towards the door; `None` where the door stays off the back
    /// and the lining reaches to it.
    pub back: Option<Length>,
}

/// A case as its doors leave it.
#[derive(Debug, Clone)]
pub struct Clear {
    pub(super) inside: InsideSize,
    /// The door runs up and over: the plan of its groove is the case's side view.
    pub(super) up: bool,
    /// Sides beside which a door stows: two for a pair.
    pub(super) sides: i64,
    sweep: Sweep,
    pub(super) step: Length,
}

impl Clear {
    /// The case of a cabinet with one of its doors as laid out, for the doors of a case are alike; `None` where they run on
    /// tracks given in full, or are not sound enough to be worked out.
    #[must_use]
    pub fn of(cabinet: &Cabinet, door: &Door, units: Units) -> Option<Self> {
        let inside = cabinet.inside?;
        let sweep = door.details.room.as_ref()?.sweep?;
        let hand = cabinet.doors.first().and_then(|spec| match spec.track {
            DoorTrack::Case { hand, .. } => Some(hand),
            DoorTrack::Path { .. } => None,
        })?;
        let pair = matches!(hand, Hand::PairLeft | Hand::PairRight);
        let step = match units {
            Units::Inch => Length::from_64ths(2),
            Units::Millimetre => Length::from_mm(1),
        };
        Some(Self { inside, up: hand == Hand::Up, sides: if pair { 2 } else { 1 }, sweep, step })
    }

    /// True when the door goes round a back corner.
    #[must_use]
    pub const fn behind(&self) -> bool {
        self.sweep.back.is_some()
    }

    /// The same case with other inside sizes.
    #[must_use]
    pub(super) fn with_inside(&self, inside: InsideSize) -> Self {
        Self { inside, ..self.clone() }
    }

    /// The room of the largest shelf: bare (`None`), or behind a lining so thick with room for the door to run.
    /// Nothing is left of it where a size is not above zero.
    #[must_use]
    pub fn largest(&self, lining: Option<Length>) -> ClearBox {
        let beside = Beside::of(self, lining);
        let (least, most) = (beside.least_side(), beside.beyond_corners());
        let area = |x: f64| beside.wide(x).max(0.0) * beside.deep(x).max(0.0);
        let at = |place: u32| (most - least).mul_add(f64::from(place) / f64::from(PLACES), least);
        let best = (0..=PLACES).map(at).fold(least, |best, x| if area(x) > area(best) { x } else { best });
        let depth = self.down(beside.deep(best));
        self.boxed(self.down(beside.wide(beside.narrowest_side(depth.mm_f64()))), depth)
    }

    /// The deepest room so wide (so high, for a roll-up).
    #[must_use]
    pub fn deepest(&self, lining: Option<Length>, wide: Length) -> ClearBox {
        let beside = Beside::of(self, lining);
        let x = beside.side_of(wide.mm_f64());
        let depth = if x + HAIR < self.sweep.side { Length::ZERO } else { self.down(beside.deep(x)) };
        self.boxed(wide, depth)
    }

    /// The widest room there is at any depth: a shelf behind the front corners.
    #[must_use]
    pub fn widest(&self, lining: Option<Length>) -> ClearBox {
        let beside = Beside::of(self, lining);
        self.deepest(lining, self.down(beside.wide(beside.least_side())))
    }

    /// The deepest room there is at any width: a shelf between the corners.
    #[must_use]
    pub fn between_corners(&self, lining: Option<Length>) -> ClearBox {
        let beside = Beside::of(self, lining);
        self.deepest(lining, self.down(beside.wide(beside.beyond_corners())))
    }

    /// The widest room so deep.
    #[must_use]
    pub fn so_deep(&self, lining: Option<Length>, depth: Length) -> ClearBox {
        let beside = Beside::of(self, lining);
        if beside.deep(beside.beyond_corners()) + HAIR < depth.mm_f64() {
            return self.boxed(Length::ZERO, depth);
        }
        self.boxed(self.down(beside.wide(beside.narrowest_side(depth.mm_f64()))), depth)
    }

    /// Where the lining stands beside a room of these sizes in plan.
    #[must_use]
    pub(super) fn lining(&self, thickness: Length, room: ClearBox) -> LiningPlace {
        let beside = Beside::of(self, Some(thickness));
        let inset = Length::from_nm((self.along() - self.wide_of(room)).nm() / self.sides) - thickness;
        let front = Length::from_mm_f64(beside.front(inset.mm_f64()));
        let back = self.behind().then(|| self.inside.depth - front - room.depth - thickness);
        LiningPlace { inset, front, back }
    }

    /// How far the door comes in along its side run: a face nearer to the side is rubbed.
    #[must_use]
    pub fn side_reach(&self) -> Length {
        Length::from_mm_f64(self.sweep.side)
    }

    /// The size of a case in plan beside its depth: its width, or the height of one whose door runs up.
    pub(super) const fn along(&self) -> Length {
        if self.up { self.inside.height } else { self.inside.width }
    }

    /// That size of a room.
    pub(super) const fn wide_of(&self, room: ClearBox) -> Length {
        if self.up { room.height } else { room.width }
    }

    fn boxed(&self, wide: Length, depth: Length) -> ClearBox {
        let (wide, depth) = (wide.max(Length::ZERO), depth.max(Length::ZERO));
        if self.up {
            ClearBox { width: self.inside.width, depth, height: wide }
        } else {
            ClearBox { width: wide, depth, height: self.inside.height }
        }
    }

    /// Down to a step of the rule.
    fn down(&self, mm: f64) -> Length {
        let steps = ((mm + HAIR) / self.step.mm_f64()).floor();
        self.step * (steps.max(0.0) as i64)
    }

    /// Up to a step of the rule.
    pub(super) fn up_to_step(&self, mm: f64) -> Length {
        self.step * (((mm - HAIR) / self.step.mm_f64()).ceil().max(0.0) as i64)
    }
}

/// Room beside the doors at every distance `x` of a face from the side, in millimetres.
pub(super) struct Beside<'a> {
    clear: &'a Clear,
    /// Room to run.
    room: f64,
    /// Thickness of the lining.
    lining: f64,
}

impl<'a> Beside<'a> {
    pub(super) fn of(clear: &'a Clear, lining: Option<Length>) -> Self {
        let room = if lining.is_some() { RUNNING_ROOM.mm_f64() } else { 0.0 };
        Self { clear, room, lining: lining.map_or(0.0, Length::mm_f64) }
    }

    /// Nearest to the side that a face may stand.
    pub(super) fn least_side(&self) -> f64 {
        self.clear.sweep.side + self.room
    }

    /// From here on no corner is in the way.
    pub(super) fn beyond_corners(&self) -> f64 {
        let sweep = &self.clear.sweep;
        let back = if sweep.back.is_some() { sweep.back_centre.0 } else { 0.0 };
        sweep.front_centre.0.max(back).max(self.least_side())
    }

    /// The room's width with the face at `x`.
    fn wide(&self, x: f64) -> f64 {
        self.clear.along().mm_f64() - self.taken_along(x)
    }

    /// What the door takes of the case's width.
    pub(super) fn taken_along(&self, x: f64) -> f64 {
        self.clear.sides as f64 * (x + self.lining)
    }

    /// Where the face stands for a room so wide.
    fn side_of(&self, wide: f64) -> f64 {
        self.side_for(self.clear.along(), wide)
    }

    /// The same in a case of another size across.
    pub(super) fn side_for(&self, along: Length, wide: f64) -> f64 {
        (along.mm_f64() - wide) / self.clear.sides as f64 - self.lining
    }

    /// The room's depth with the face at `x`.
    fn deep(&self, x: f64) -> f64 {
        self.clear.inside.depth.mm_f64() - self.taken_in_depth(x)
    }

    /// What the door takes of the case's depth.
    pub(super) fn taken_in_depth(&self, x: f64) -> f64 {
        self.front(x) + self.back(x)
    }

    /// From the case front edge to where a face at `x` may begin.
    fn front(&self, x: f64) -> f64 {
        let sweep = &self.clear.sweep;
        self.round(x, sweep.front, sweep.front_centre)
    }

    /// From the back's inside face to where the room ends.
    fn back(&self, x: f64) -> f64 {
        let sweep = &self.clear.sweep;
        sweep.back.map_or(0.0, |back| self.round(x, back, sweep.back_centre) + self.lining)
    }

    /// The band's inner edge before a corner about `centre`: straight past it, round it before it.
    fn round(&self, x: f64, straight: f64, (along, across): (f64, f64)) -> f64 {
        let straight = straight + self.room;
        if x >= along {
            return straight;
        }
        let radius = (self.clear.sweep.radius - self.room).max(0.0);
        let off = along - x;
        let chord = if off < radius { (radius * radius - off * off).sqrt() } else { 0.0 };
        (across - chord).max(straight)
    }

    /// The face as near to the side as a room so deep allows: the depth grows with `x`.
    fn narrowest_side(&self, depth: f64) -> f64 {
        let (mut near, mut far) = (self.least_side(), self.beyond_corners());
        if self.deep(near) >= depth {
            return near;
        }
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(near, far);
            if self.deep(middle) >= depth { far = middle } else { near = middle }
        }
        far
    }
}
