//! Lays out each door: its track, slats, tongue and cloth, then its checks.

use super::balance::cautions;
use super::case_path::{Run, case_runs};
use super::checks::{run_checks, sound};
use super::checks_case::sag_check;
use super::feel::{feel, pull_check};
use super::fixes::fixes;
use super::groove_need::Tongue;
use super::joint::Lie;
use super::limits::stow_clear;
use super::movement::{movement, seasonal_checks};
use super::near_bends::{Known, Poses};
use super::room::{lead_swing, loading, room, stops};
use super::setup::{rabbet_steps, setups, v_groove};
use super::track::{ChainSection, Track};
use super::{Details, Door};
use crate::job::{DoorSpec, EndClear, Job, LeadEntry, LeadFitted, LeadTongueAt, Overlap, Shop};
use crate::measure::{Length, Units};
use crate::side_by_side::side_by_side;

/// More ordinary slats than any door has; beyond it a width or a cover is a slip of the pen.
pub(super) const MOST_SLATS: u32 = 2_000;

/// Lays out every door of a job, in job order. A door that cannot be built has failing checks; it is never left out.
#[must_use]
pub fn lay_out(job: &Job) -> Vec<Door> {
    let cabinets = job.cabinets.iter().enumerate();
    let specs: Vec<_> = cabinets
        .flat_map(|(at, cabinet)| cabinet.doors.iter().enumerate().map(move |spec| (at, cabinet.count, spec)))
        .collect();
    side_by_side(&specs, |(cabinet, count, (index, spec))| Door {
        cabinet: *cabinet,
        index: *index,
        count: *count,
        ..lay_out_door(spec, &job.shop, job.units)
    })
}

/// Lays out one door alone: cabinet and index are 0, the count 1.
#[must_use]
pub fn lay_out_door(spec: &DoorSpec, shop: &Shop, units: Units) -> Door {
    let known = Known::default();
    let layout = Layout::new(spec, shop, units, Poses::Sought(&known));
    let mut door = checked(&layout);
    door.fixes = fixes(spec, &door, &Again { shop, units, known: &known });
    if !sound(&layout) {
        return door;
    }
    let movement = movement(&layout);
    door.stops = stops(&layout, movement.shrinks);
    door.checks.extend(seasonal_checks(&layout, &movement));
    let feel = feel(&layout);
    door.checks.extend(feel.as_ref().map(|feel| pull_check(feel, units)));
    door.checks.extend(feel.as_ref().and_then(|feel| feel.sag).map(|sag| sag_check(&layout, sag)));
    door.notes
        .extend(feel.iter().filter_map(|feel| feel.balance.as_ref()).flat_map(|balance| cautions(balance, units)));
    door.details = Details {
        movement: Some(movement),
        feel,
        room: Some(room(&layout)),
        lead_swing: Some(lead_swing(&layout)),
        loading: loading(&layout),
        setups: setups(&layout),
        rabbet_steps: rabbet_steps(&layout),
        lead_rabbet: layout.lead_rabbet(),
        v_groove: v_groove(&layout),
    };
    door
}

/// What stays as it is when a changed door is laid out again.
#[derive(Debug, Clone, Copy)]
pub(super) struct Again<'a> {
    pub(super) shop: &'a Shop,
    pub(super) units: Units,
    /// What poses have shown so far.
    pub(super) known: &'a Known,
}

impl Again<'_> {
    /// Sizes and checks alone.
    pub(super) fn door(&self, spec: &DoorSpec) -> Door {
        checked(&Layout::new(spec, self.shop, self.units, Poses::Sought(self.known)))
    }

    /// Sizes and checks, no new poses sought: near bends may then seem to ask less than they do.
    pub(super) fn quickly(&self, spec: &DoorSpec) -> Door {
        checked(&Layout::new(spec, self.shop, self.units, Poses::AsKnown(self.known)))
    }
}

fn checked(layout: &Layout<'_>) -> Door {
    let (spec, canvas) = (layout.spec, &layout.shop.canvas);
    let slats = spec.slats.pitch() * i64::from(layout.slats);
    let (checks, notes) = run_checks(layout);
    Door {
        name: spec.name.clone(),
        cabinet: 0,
        index: 0,
        count: 1,
        slats: layout.slats,
        slat_width: spec.slats.width,
        lead_width: spec.slats.lead_width,
        slat_length: layout.slat_length(),
        tongue: layout.tongue(),
        door_length: spec.slats.lead_width + slats,
        path: layout.run.path.clone(),
        cover: layout.run.cover,
        travel: layout.run.travel,
        cloth_along_slat: layout.slat_length() - layout.end_clear() * 2 + canvas.trim * 2,
        cloth_along_travel: slats - canvas.tail_clear + canvas.lead_lap + canvas.trim * 2,
        checks,
        notes,
        stops: Vec::new(),
        fixes: Vec::new(),
        details: Details::default(),
    }
}

/// One door on its way: what was asked for, and the track chosen for it.
pub(super) struct Layout<'a> {
    pub(super) spec: &'a DoorSpec,
    pub(super) shop: &'a Shop,
    pub(super) units: Units,
    pub(super) run: Run,
    pub(super) track: Track,
    pub(super) slats: u32,
    /// How the needs of near bends are come by.
    pub(super) poses: Poses<'a>,
}

impl<'a> Layout<'a> {
    pub(super) fn new(spec: &'a DoorSpec, shop: &'a Shop, units: Units, poses: Poses<'a>) -> Self {
        let (side_alone, round) = case_runs(&spec.track, spec.slats.lead_width, units);
        // Cover and travel are the same for both, so is the number of slats.
        let slats = slat_count(spec, shop, side_alone.cover);
        let lay = |run: Run| {
            let track = Track::new(&run.path, spec.groove.width.mm_f64());
            Self { spec, shop, units, run, track, slats, poses }
        };
        let first = lay(side_alone);
        match round {
            Some(round) if first.stow_margin() < first.stow_wanted().mm_f64() => lay(round),
            _ => first,
        }
    }

    /// For laying out again with another specification.
    pub(super) fn again(&self) -> Again<'a> {
        let (Poses::Sought(known) | Poses::AsKnown(known)) = self.poses;
        Again { shop: self.shop, units: self.units, known }
    }

    /// Tongue thickness; not positive when the rabbet is as deep as the slat.
    pub(super) fn tongue(&self) -> Length {
        self.spec.slats.tongue()
    }

    /// From the canvas line to the tongue.
    pub(super) fn back_rabbet(&self) -> Length {
        self.spec.slats.back_rabbet()
    }

    /// Depth of the lead slat's show-face rabbet where it differs from the others'.
    pub(super) fn lead_rabbet(&self) -> Option<Length> {
        let slats = &self.spec.slats;
        let depth = slats.lead_thickness - self.tongue() - self.back_rabbet();
        (slats.lead_thickness != slats.thickness).then_some(depth)
    }

    /// Slat length: the clear distance and both grooves, less the end play.
    pub(super) fn slat_length(&self) -> Length {
        self.spec.between + self.spec.groove.depth * 2 - self.shop.clearance.end_play
    }

    /// Slat end without cloth.
    pub(super) fn end_clear(&self) -> Length {
        match self.shop.canvas.end_clear {
            EndClear::Given(length) => length,
            EndClear::AtLeast(least) => least.max(self.least_end_clear()),
        }
    }

    /// Cloth must stay off the rabbet's shoulder.
    pub(super) fn least_end_clear(&self) -> Length {
        self.spec.slats.rabbet_length + self.shop.canvas.past_rabbet
    }

    /// The tongue's section in millimetres.
    pub(super) fn section(&self) -> ChainSection {
        let slats = &self.spec.slats;
        let offset = slats.back_rabbet().mm_f64();
        ChainSection {
            tongue: Tongue { thickness: self.tongue().mm_f64(), offset },
            width: slats.width.mm_f64(),
            lead_width: slats.lead_width.mm_f64(),
            slats: self.slats,
            gap: slats.canvas_gap.mm_f64(),
        }
    }

    /// Length along the travel of the tongue left on the lead slat; zero where it has none.
    pub(super) fn lead_tongue(&self) -> Length {
        let lead = self.spec.slats.lead_width;
        self.spec.slats.lead_tongue.map_or(lead, |tongue| tongue.min(lead))
    }

    /// Bare length of the lead slat between its hinge and its tongue.
    pub(super) fn lead_bare(&self) -> Length {
        let slats = &self.spec.slats;
        match slats.lead_tongue_at {
            LeadTongueAt::Middle if self.lead_tongue().is_positive() => {
                Length::from_nm((slats.lead_width - self.lead_tongue()).nm() / 2)
            }
            _ => Length::ZERO,
        }
    }

    /// Length of the lead slat from its hinge that the groove guides: to the leading end of its tongue.
    pub(super) fn guided(&self) -> Length {
        self.lead_bare() + self.lead_tongue()
    }

    /// How a lead slat that is fitted after loading gets in: as the job says, else screwed on where it has no tongue,
    /// else one end first.
    pub(super) fn lead_entry(&self) -> LeadEntry {
        let usual = if self.lead_tongue().is_positive() { LeadEntry::Ends } else { LeadEntry::Screwed };
        self.spec.slats.lead_entry.unwrap_or(usual)
    }

    /// A notch that lets the lead tongue in: its length, with room to run.
    pub(super) fn notch_length(&self) -> Length {
        self.lead_tongue() + self.shop.clearance.running
    }

    /// True when the lead slat passes every bend on its way in.
    pub(super) fn lead_is_loaded(&self) -> bool {
        self.spec.slats.lead_fitted == LeadFitted::Before
    }

    /// Room past the tail with the door open, pulled: the chain reaches farthest then.
    pub(super) fn stow_margin(&self) -> f64 {
        self.canvas_length(Lie::Pulled) - self.open_tail(Lie::Pulled)
    }

    /// Room past the tail that serves the whole year.
    pub(super) fn stow_wanted(&self) -> Length {
        stow_clear(self.units) + movement(self).swells
    }

    /// Length of the hinges' path.
    pub(super) fn canvas_length(&self, lie: Lie) -> f64 {
        let section = self.section();
        self.track.canvas_path(section.tongue, section.width, lie).length()
    }

    /// Tail station on the hinges' path, door open.
    pub(super) fn open_tail(&self, lie: Lie) -> f64 {
        let section = self.section();
        let path = self.track.canvas_path(section.tongue, section.width, lie);
        section.tail(&path, self.run.travel.mm_f64())
    }
}

/// Ordinary slats: rounded up so that lead and slats reach past the cover by the overlap. At least one.
fn slat_count(spec: &DoorSpec, shop: &Shop, cover: Length) -> u32 {
    let width = spec.slats.width;
    if !width.is_positive() {
        return 1;
    }
    let overlap = match shop.clearance.overlap {
        Overlap::Slats(n) => width * i64::from(n.min(MOST_SLATS)),
        Overlap::Length(length) => length,
    };
    let count = (cover + overlap - spec.slats.lead_width).div_ceil(spec.slats.pitch());
    u32::try_from(count.max(1)).unwrap_or(u32::MAX).min(MOST_SLATS)
}
