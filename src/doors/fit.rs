//! [`FitCheck`]: one check of one door, and what [`Check`]s there are.

use super::details::Fix;
use crate::measure::{Length, Units};

/// One check of one door: what is needed, what is there.
#[derive(Debug, Clone, PartialEq)]
pub struct FitCheck {
    /// What is checked.
    pub check: Check,
    /// Of which part.
    pub item: CheckItem,
    /// What is needed.
    pub needed: Figure,
    /// What is there.
    pub available: Figure,
    /// What is left over; negative when short.
    pub margin: Figure,
    /// Whether it holds.
    pub verdict: Verdict,
    /// A sentence for a failing or tight check: the number that would make it work.
    pub advice: Option<String>,
}

/// What a check says of a door.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It holds.
    Yes,
    /// The door can be built so, but its maker should know: a clearance is short, or a figure is out of the usual.
    Note,
    /// The door cannot be built so.
    No,
}

impl Verdict {
    /// Its word in tables.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::Note => "note",
            Self::No => "no",
        }
    }
}

/// Names a check and the word that stands for it in tables.
macro_rules! checks {
    ($($(#[$about:meta])* $name:ident = $word:literal,)+) => {
        /// What is checked of a door.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Check { $($(#[$about])* $name,)+ }

        impl Check {
            /// Every check.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// Its word in tables.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $word,)+ }
            }
        }
    };
}

checks! {
    /// The rabbet leaves a tongue.
    RabbetDepth = "rabbet_depth",
    /// The tongue is thinner than the groove.
    TongueFit = "tongue_fit",
    /// The rabbet is long enough that its shoulder keeps off the case.
    TongueLength = "tongue_length",
    /// The slat is longer than its two tongues.
    SlatLength = "slat_length",
    /// The door has no more slats than a door can have.
    Slats = "slats",
    /// A lead tongue that is cut back still guides the lead slat.
    LeadTongue = "lead_tongue",
    /// The chain passes every bend in this groove.
    GrooveWidth = "groove_width",
    /// The chain passes every bend at this radius.
    ArcRadius = "arc_radius",
    /// The edges are bevelled enough for reverse bends.
    EdgeBevel = "edge_bevel",
    /// How far joints open at the show face round a bend.
    ShowGap = "show_gap",
    /// The lead slat stays on the straight front run.
    LeadTravel = "lead_travel",
    /// The open door's tail has room.
    Stow = "stow",
    /// The closed door covers its opening.
    Cover = "cover",
    /// The track keeps off itself: a wall stands between two passes of the groove.
    TrackClear = "track_clear",
    /// The show face keeps off the case beside and behind the groove.
    CaseRoom = "case_room",
    /// The cloth keeps off the rabbets.
    EndClear = "end_clear",
    /// There is cloth at all.
    ClothWidth = "cloth_width",
    /// The lead slat is wider than the cloth laid on it.
    LeadLap = "lead_lap",
    /// The tail has room in the humid season.
    SeasonalStow = "seasonal_stow",
    /// The door covers its opening in the dry season.
    SeasonalCover = "seasonal_cover",
    /// The tongue runs in the humid season.
    SeasonalGroove = "seasonal_groove",
    /// The pull beside what a hand gives readily.
    Pull = "pull",
    /// The tongue is strong enough.
    TongueThickness = "tongue_thickness",
    /// Resting in one groove, the door still holds in the other.
    Engagement = "engagement",
    /// Half of the panel stays behind the groove.
    PanelThickness = "panel_thickness",
    /// A wall stays between the groove and the case's front edge.
    FrontEdge = "front_edge",
    /// The show face stands behind the case's front edge.
    ShowFace = "show_face",
    /// A lead slat of its own thickness has a rabbet of its own.
    LeadRabbet = "lead_rabbet",
    /// A lead slat that is fitted after loading gets in.
    LeadEntry = "lead_entry",
    /// A slat lying flat sags little.
    Sag = "sag",
    /// A pull at its face does not lock the lead slat in its groove.
    LeadLock = "lead_lock",
    /// A pull at half its height does not tip the door and lock it.
    Racking = "racking",
}

impl Check {
    /// What is wrong where it fails, without a cure, for those checks that the fixes of a door can mend.
    #[must_use]
    pub const fn fault(self) -> Option<&'static str> {
        match self {
            Self::GrooveWidth => Some("binds in the bend"),
            Self::ArcRadius => Some("this bend is too tight for the groove"),
            Self::EdgeBevel => Some("the edges lock on the reverse bend"),
            Self::TongueFit => Some("the tongue is no thinner than the groove"),
            Self::TongueLength => Some("the shoulder would drag on the case"),
            Self::LeadTongue => Some("so short a tongue can turn round in the groove"),
            Self::Stow => Some("the tail runs out of groove"),
            Self::CaseRoom => Some("the show face rubs on the case"),
            Self::RabbetDepth
            | Self::SlatLength
            | Self::Slats
            | Self::ShowGap
            | Self::LeadTravel
            | Self::Cover
            | Self::EndClear
            | Self::ClothWidth
            | Self::LeadLap
            | Self::SeasonalStow
            | Self::SeasonalCover
            | Self::SeasonalGroove
            | Self::Pull
            | Self::TongueThickness
            | Self::Engagement
            | Self::PanelThickness
            | Self::FrontEdge
            | Self::ShowFace
            | Self::LeadRabbet
            | Self::LeadEntry
            | Self::Sag
            | Self::LeadLock
            | Self::Racking
            | Self::TrackClear => None,
        }
    }
}

impl std::fmt::Display for Check {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.word())
    }
}

/// Which part of a door a check is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CheckItem {
    /// An ordinary slat.
    Slat,
    /// The lead slat.
    Lead,
    /// The door as a whole.
    Door,
}

impl CheckItem {
    /// Its word in tables.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Slat => "slat",
            Self::Lead => "lead slat",
            Self::Door => "door",
        }
    }
}

impl std::fmt::Display for CheckItem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.word())
    }
}

/// A checked quantity with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Figure {
    /// A length, shown in the job's unit.
    Length(Length),
    /// Degrees.
    Degrees(f64),
    /// Newtons.
    Force(f64),
}

pub(super) use CheckItem::{Door as DOOR, Lead as LEAD, Slat as SLAT};

impl FitCheck {
    /// A check of lengths: good when nothing is short.
    pub(super) fn lengths(check: Check, item: CheckItem, needed: Length, available: Length) -> Self {
        Self {
            check,
            item,
            needed: Figure::Length(needed),
            available: Figure::Length(available),
            margin: Figure::Length(available - needed),
            verdict: if available >= needed { Verdict::Yes } else { Verdict::No },
            advice: None,
        }
    }

    /// A check of angles in degrees.
    pub(super) fn degrees(check: Check, item: CheckItem, needed: f64, available: f64) -> Self {
        Self {
            check,
            item,
            needed: Figure::Degrees(needed),
            available: Figure::Degrees(available),
            margin: Figure::Degrees(available - needed),
            verdict: if available >= needed { Verdict::Yes } else { Verdict::No },
            advice: None,
        }
    }

    /// False when the door cannot be built so. A clearance shortfall alone is a note.
    #[must_use]
    pub const fn holds(&self) -> bool {
        !matches!(self.verdict, Verdict::No)
    }

    /// The same check, failing also unless `holds`.
    pub(super) fn and(mut self, holds: bool) -> Self {
        if !holds {
            self.verdict = Verdict::No;
        }
        self
    }

    /// The same check as a note at most: it never fails.
    pub(super) fn note_only(mut self) -> Self {
        if self.verdict == Verdict::No {
            self.verdict = Verdict::Note;
        }
        self
    }

    /// The same check with advice where it fails.
    pub(super) fn advise(self, advice: impl FnOnce() -> String) -> Self {
        let failing = !self.holds();
        self.advise_when(failing, advice)
    }

    /// The same check with advice where `tight` holds and none was given: a check that held becomes a note.
    pub(super) fn advise_when(mut self, tight: bool, advice: impl FnOnce() -> String) -> Self {
        if tight && self.advice.is_none() {
            self.advice = Some(advice());
            if self.holds() {
                self.verdict = Verdict::Note;
            }
        }
        self
    }

    /// What is said of the check beside the fixes of its door, so that no two cures stand side by side: what is wrong
    /// where the fixes mend it, or else the advice. `None` for a check that passes with room.
    #[must_use]
    pub fn said(&self, fixes: &[Fix]) -> Option<&str> {
        let advice = self.advice.as_deref()?;
        match self.check.fault() {
            Some(_) if !fixes.is_empty() && self.holds() => Some("passes, tight"),
            Some(fault) if !fixes.is_empty() => Some(fault),
            _ => Some(advice),
        }
    }

    /// What is left over, when the check is of lengths.
    #[must_use]
    pub fn length_margin(&self) -> Option<Length> {
        match self.margin {
            Figure::Length(length) => Some(length),
            Figure::Degrees(_) | Figure::Force(_) => None,
        }
    }
}

/// The step of shown figures: what a rule or a caliper of the shop reads.
pub(super) const fn step(units: Units) -> Length {
    match units {
        Units::Inch => Length::SIXTY_FOURTH,
        Units::Millimetre => Length::from_nm(100_000),
    }
}

/// A figure that must be reached: the next mark of the rule at or above it, with its unit.
pub(super) fn at_least(length: Length, units: Units) -> String {
    // A hair of rounding must not cost a whole step.
    let length = Length::from_nm(length.nm() - 1).round_up_to(step(units));
    format!("{} {units}", length.show(units))
}

/// A figure that must not be passed: the mark at or below it, with its unit.
pub(super) fn at_most(length: Length, units: Units) -> String {
    let step = step(units);
    let up = (length + Length::from_nm(1)).round_up_to(step);
    let down = if up > length + Length::from_nm(1) { up - step } else { up };
    format!("{} {units}", down.show(units))
}

/// The figure as a rule shows it, with its unit; what a rule does not show is in decimals.
pub(super) fn about(length: Length, units: Units) -> String {
    let on_a_rule = units == Units::Inch && length.abs() >= Length::SIXTY_FOURTH;
    format!("{} {units}", if on_a_rule { length.show_nearest(units) } else { length.show(units) })
}

/// Millimetres of the geometry as a length; what no case holds (or no number) becomes the limit.
pub(super) fn length(mm: f64) -> Length {
    let limit = Length::LIMIT.mm_f64() * 100.0;
    Length::from_mm_f64(if mm.is_nan() { limit } else { mm.clamp(-limit, limit) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_is_said_as_a_rule_shows_it_where_a_rule_does() {
        let said = |nm: i64, units| about(Length::from_nm(nm), units);
        assert_eq!(said(31_115_000, Units::Inch), "~1-7/32 in");
        assert_eq!(said(-6_400_000, Units::Inch), "~-1/4 in");
        assert_eq!(said(6_350_000, Units::Inch), "1/4 in");
        assert_eq!(said(300_000, Units::Inch), "~0.012 in");
        assert_eq!(said(31_115_000, Units::Millimetre), "~31.12 mm");
    }

    #[test]
    fn shown_limits_are_rounded_to_the_safe_side() {
        let third = Length::from_nm(8_466_667);
        assert_eq!(at_least(third, Units::Inch), "11/32 in");
        assert_eq!(at_most(third, Units::Inch), "21/64 in");
        assert_eq!(at_least(Length::from_64ths(40), Units::Inch), "5/8 in");
        assert_eq!(at_most(Length::from_64ths(40), Units::Inch), "5/8 in");
        assert_eq!(at_most(Length::from_nm(Length::from_64ths(40).nm() - 1), Units::Inch), "5/8 in");
        assert_eq!(at_least(Length::from_nm(16_030_000), Units::Millimetre), "16.1 mm");
    }
}
