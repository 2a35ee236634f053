//! What a door's maker needs beside its sizes: how the wood moves, how the door feels, what stays free, where stops
//! go, how it is loaded, how the cutter is set and what would fix a failing check.

use super::fit::Figure;
use crate::measure::Length;

/// Figures beside the sizes of a door. Every one is advice: none enters demand or price.
#[derive(Debug, Clone, Default)]
pub struct Details {
    /// How the door's width changes over the year; `None` when the door is not sound enough to be worked out.
    pub movement: Option<Movement>,
    /// Sag, weight and pull; `None` for a wood without handbook figures.
    pub feel: Option<Feel>,
    /// What stays free when the door is open; `None` like `movement`.
    pub room: Option<Room>,
    /// How the lead slat moves in its groove; `None` like `movement`.
    pub lead_swing: Option<LeadSwing>,
    /// Steps that bring the door into its track, in order.
    pub loading: Vec<String>,
    /// Cutters on the shelf, tried on this door's slats.
    pub setups: Vec<Setup>,
    /// The rabbet as it is and some steps deeper, for the case that the running test binds.
    pub rabbet_steps: Vec<RabbetStep>,
    /// Depth of the lead slat's own rabbet, where it is not as thick as the others.
    pub lead_rabbet: Option<Length>,
    /// Width at the show face of the V that two bevelled edges leave between slats of the flat door.
    pub v_groove: Option<Length>,
}

/// Seasonal change of the door's width, from handbook coefficients.
#[derive(Debug, Clone, PartialEq)]
pub struct Movement {
    /// Moisture contents in percent: as built, in the dry season, in the humid season.
    pub moisture: [f64; 3],
    /// Change per percent of moisture content across the travel.
    pub coefficient: f64,
    /// Longer in the humid season by this much.
    pub swells: Length,
    /// Shorter in the dry season by this much.
    pub shrinks: Length,
    /// The tongue thicker in the humid season by this much.
    pub tongue_swells: Length,
    /// Where the figures come from, with the grain they are for.
    pub source: String,
}

/// How the door feels: estimates, rounded to what they are worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Feel {
    /// Weight of the door without cloth and handle, kilograms.
    pub weight_kg: f64,
    /// Sag of a slat that lies flat, doubled for creep; `None` where slats stand upright.
    pub sag: Option<Length>,
    /// Least and greatest pull in newtons, waxed to bare wood; of a roll-up the greatest lift.
    pub pull_newtons: (f64, f64),
    /// How a roll-up hangs; `None` for a door that runs level.
    pub balance: Option<Balance>,
    /// What the estimate assumes.
    pub assumptions: String,
}

/// Forces of a roll-up wherever its lead edge stands, and where it does not stay. Pairs are waxed and bare wood.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// From closed to open, evenly spaced.
    pub points: Vec<BalancePoint>,
    /// Positions of the lead edge, first and last, between which the door may fall shut when let go.
    pub falls_shut: Option<(Length, Length)>,
    /// Positions between which it may run open.
    pub runs_open: Option<(Length, Length)>,
    /// Weight on the front run with the door open, newtons.
    pub front_weight_open: f64,
}

/// Forces at the lead edge in newtons, positive in the opening sense.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalancePoint {
    /// How far the door is open.
    pub lead_edge: Length,
    /// To lift it steadily.
    pub lift: (f64, f64),
    /// To hold it, were there no friction.
    pub hold: f64,
    /// To let it down steadily; less than nothing where it must be pulled down.
    pub lower: (f64, f64),
}

/// What stays free with the door open.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Clear opening this door gives; a pair gives it twice.
    pub clear_opening: Length,
    /// Groove left past the tail.
    pub stow_left: Length,
    /// Room between the tails of a pair that stows behind the back.
    pub between_tails: Option<Length>,
    /// Where the lead edge rests closed, from an edge a rule can be put on.
    pub meets: String,
    /// How far in the door comes, wherever it stands; only for a case.
    pub sweep: Option<Sweep>,
}

/// How far into its case a door comes, in the plan that its groove is drawn in: what lies farther in is touched by no
/// slat, wherever the door stands and however it leans in its groove. Millimetres, from edges and faces of the case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sweep {
    /// Case front edge to the canvas side on the front run.
    pub front: f64,
    /// Inside face of the side (of the top, for a roll-up) to the canvas side on the side run.
    pub side: f64,
    /// Inside face of the back to the canvas side on the back run; `None` where the door never goes round a back corner.
    pub back: Option<f64>,
    /// Radius of the corners to the canvas side; 0 where it would cross the corner's centre.
    pub radius: f64,
    /// The front corner's centre: from the side's face and from the case front edge.
    pub front_centre: (f64, f64),
    /// The back corner's centre: from the side's face and from the back's.
    pub back_centre: (f64, f64),
}

/// How far the lead slat can turn in the straight groove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadSwing {
    /// Leading edge towards the canvas, degrees.
    pub yaw_in: f64,
    /// Leading edge outwards, degrees.
    pub yaw_out: f64,
    /// Greatest step between the faces of two like doors that meet.
    pub meeting_step: Length,
    /// How far the yawed face corner gets ahead of its square position.
    pub corner_forward: Length,
    /// Outermost reach of the face corner from the groove's centreline.
    pub face_corner_reach: Length,
}

/// A stop block or a filler, with its place measured from an edge a person can put a rule on.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// `closing stop`, `opening stop`, `tail stop`, `entry filler`.
    pub name: &'static str,
    /// The edge the rule starts from.
    pub from: String,
    /// From that edge to the face of the stop that is touched (to the near end of a filler).
    pub distance: Length,
    /// Where it stands on the groove's centreline, from the closed lead edge; `None` off the track.
    pub station: Option<Length>,
    /// Length of the block along the groove where it matters.
    pub length: Option<Length>,
    /// What it does and when it goes in.
    pub note: String,
}

/// A cutter tried on this door's slats.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// The cutter's name.
    pub cutter: String,
    /// Tongue thickness it leaves: slat thickness less its height.
    pub tongue: Length,
    /// Tongue length it leaves: its width.
    pub tongue_length: Length,
    /// Groove width left over the chain's need.
    pub margin: Length,
    /// True when groove, shoulder and bends all hold.
    pub fits: bool,
}

/// What one depth of rabbet gives.
#[derive(Debug, Clone, PartialEq)]
pub struct RabbetStep {
    /// Depth of the rabbet.
    pub rabbet_depth: Length,
    /// Tongue left.
    pub tongue: Length,
    /// Groove width over the need of the ordinary slats.
    pub slat_margin: Length,
    /// Groove width over the need of the lead slat.
    pub lead_margin: Length,
}

/// One change that makes a failing or tight door right, found by laying the door out again.
#[derive(Debug, Clone, PartialEq)]
pub struct Fix {
    /// The key a job file would change: `groove_width`, `corner_radius`, ...; two where one alone does not do.
    pub key: &'static str,
    /// The value now.
    pub from: Figure,
    /// The nearest value at which nothing fails and nothing is tight: the one recommended.
    pub to: Figure,
    /// The nearest value at which nothing fails, though something is tight; `None` where that is `to` or the door
    /// passes as it is.
    pub passes: Option<Figure>,
    /// In words.
    pub text: String,
}
