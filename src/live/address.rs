//! [`Address`]: which value of the job's files is meant, and what may stand there.

use std::fmt;

/// One step of an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Step {
    /// A key of a table.
    Key(String),
    /// A place in a list.
    At(usize),
}

/// One of the files of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Of {
    /// The job file itself.
    Job,
    /// The shop file, TOML like it.
    Shop,
    /// The boards file, a CSV table.
    Boards,
    /// The cloth file, another.
    Cloth,
}

impl Of {
    /// The files beside the job file.
    pub(crate) const OTHERS: [Self; 3] = [Self::Shop, Self::Boards, Self::Cloth];

    /// The key by which the job file names it.
    pub(crate) const fn key(self) -> &'static str {
        match self {
            Self::Job => "job",
            Self::Shop => "shop",
            Self::Boards => "boards",
            Self::Cloth => "cloth",
        }
    }

    /// Rows of cells, not keys.
    pub(crate) const fn is_table(self) -> bool {
        matches!(self, Self::Boards | Self::Cloth)
    }
}

/// A value of a job's files: `cabinet.0.corner_radius` of the job file, `shop:rates.maker`, `boards:2.price`. Only what
/// the page may change has one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Address {
    of: Of,
    steps: Vec<Step>,
    kind: Kind,
}

/// What may stand at an address.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A length, in any of its forms.
    Length,
    /// A whole number.
    Count,
    /// Degrees, or a share.
    Figure,
    /// A price, a rate, minutes: a figure without steps.
    Amount,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Words of the maker's own.
    Text,
}

use Kind::{Amount, Count, Figure, Length, Text, Word};

/// Keys of a cabinet.
const CABINET: [(&str, Kind); 14] = [
    ("name", Text),
    ("count", Count),
    ("inside_width", Length),
    ("inside_height", Length),
    ("inside_depth", Length),
    ("doors", Word(&["left", "right", "pair", "up"])),
    ("setback", Length),
    ("side_inset", Length),
    ("back_inset", Length),
    ("corner_radius", Length),
    ("groove_width", Length),
    ("groove_depth", Length),
    ("panel_thickness", Length),
    ("middle_block", Length),
];

/// Keys of slats, wherever they stand.
const SLATS: [(&str, Kind); 15] = [
    ("species", Text),
    ("width", Length),
    ("thickness", Length),
    ("lead_width", Length),
    ("lead_thickness", Length),
    ("lead_tongue", Length),
    ("lead_fitted", Word(&["before", "after"])),
    ("rabbet_depth", Length),
    ("rabbet_length", Length),
    ("rabbet_face", Word(&["show", "back", "both"])),
    ("back_rabbet_depth", Length),
    ("milling", Word(&["flat", "edge", "any"])),
    ("edge_bevel", Figure),
    ("edge_chamfer", Length),
    ("canvas_gap", Length),
];

const DOOR: [(&str, Kind); 4] = [("name", Text), ("between", Length), ("cover", Length), ("travel", Length)];
const TRACK: [(&str, Kind); 3] = [("groove_width", Length), ("groove_depth", Length), ("panel_thickness", Length)];
const SEGMENT: [(&str, Kind); 3] = [("straight", Length), ("arc", Length), ("angle", Figure)];
const STRIP: [(&str, Kind); 7] = [
    ("name", Text),
    ("species", Text),
    ("length", Length),
    ("width", Length),
    ("thickness", Length),
    ("quantity", Count),
    ("milling", Word(&["flat", "edge", "any"])),
];
const SPARES: [(&str, Kind); 4] =
    [("reject_rate", Figure), ("confidence", Figure), ("setup_strips", Count), ("repair_strips", Count)];
const JOB: [(&str, Kind); 2] = [("name", Text), ("client", Text)];

/// Keys of the shop file outside its tables.
const SHOP: [(&str, Kind); 14] = [
    ("currency", Text),
    ("overhead", Amount),
    ("overhead_per_hour", Amount),
    ("contingency", Amount),
    ("margin", Amount),
    ("markup", Amount),
    ("round_to", Amount),
    ("least_charge", Amount),
    ("tax", Amount),
    ("tax_on", Word(&["materials", "price"])),
    ("flow", Word(&["boards", "settings"])),
    ("pass_depth", Length),
    ("yard_allowance", Amount),
    ("hours_in_form", Amount),
];
const CUTTING: [(&str, Kind); 13] = [
    ("rip_kerf", Length),
    ("crosscut_kerf", Length),
    ("resaw_kerf", Length),
    ("end_trim", Length),
    ("edge_trim", Length),
    ("hold_width", Length),
    ("length_trim", Length),
    ("rip_trim", Length),
    ("edge_clean", Length),
    ("face_trim", Length),
    ("min_blank", Length),
    ("max_blank", Length),
    ("order", Word(&["crosscut-first", "rip-first", "any"])),
];
const CLEARANCE: [(&str, Kind); 7] = [
    ("running", Length),
    ("end_play", Length),
    ("shoulder", Length),
    ("overlap", Text),
    ("lead_trim", Length),
    ("front_wall", Length),
    ("least_tongue", Length),
];
const CLOTH_RULES: [(&str, Kind); 4] =
    [("end_clear", Length), ("tail_clear", Length), ("lead_lap", Length), ("trim", Length)];
const RATES: [(&str, Kind); 6] = [
    ("maker", Amount),
    ("helper", Amount),
    ("burden", Amount),
    ("rack", Word(&["free", "replacement"])),
    ("offcut_value", Amount),
    ("spread", Amount),
];
const ABOUT: [(&str, Kind); 3] = [("name", Text), ("contact", Text), ("tax_number", Text)];
const OPERATION: [(&str, Kind); 3] = [("minutes", Amount), ("slat_minutes", Amount), ("setup", Amount)];
const LABOUR: [(&str, Kind); 3] = [("name", Text), ("hours", Amount), ("rate", Amount)];
const CONSUMABLE: [(&str, Kind); 3] = [("price", Amount), ("covers_square_feet", Amount), ("coats", Count)];
const TERMS: [(&str, Kind); 4] =
    [("valid_days", Count), ("lead_time", Text), ("exclusions", Text), ("change_rate", Amount)];
const BOARD: [(&str, Kind); 9] = [
    ("stock", Text),
    ("species", Text),
    ("thickness", Text),
    ("width", Length),
    ("length", Length),
    ("on_hand", Amount),
    ("price", Amount),
    ("per", Word(&["bf", "m3", "each", "lf"])),
    ("defects", Text),
];
const BOLT: [(&str, Kind); 9] = [
    ("bolt", Text),
    ("width", Length),
    ("selvage", Length),
    ("on_hand_length", Length),
    ("price", Amount),
    ("per", Word(&["yard", "metre"])),
    ("increment", Length),
    ("shrink_along", Amount),
    ("shrink_across", Amount),
];

/// The longest address there is any use for, in steps.
const LONGEST: usize = 8;

impl Address {
    /// Reads `cabinet.0.slats.species` or `shop:rates.maker`; `None` for what is no value of a job or not the page's to
    /// change.
    pub(crate) fn read(text: &str) -> Option<Self> {
        let (of, text) = match text.split_once(':') {
            Some((of, rest)) => (Of::OTHERS.into_iter().find(|other| other.key() == of)?, rest),
            None => (Of::Job, text),
        };
        let parts: Vec<&str> = text.split('.').take(LONGEST + 1).collect();
        let kind = match of {
            Of::Job => of_job(&parts),
            Of::Shop => of_shop(&parts),
            Of::Boards | Of::Cloth => match parts.as_slice() {
                [row, column] if at(row) => kind(if of == Of::Boards { &BOARD } else { &BOLT }, column),
                _ => None,
            },
        }?;
        let step = |part: &&str| part.parse().map_or_else(|_| Step::Key((*part).to_owned()), Step::At);
        Some(Self { of, steps: parts.iter().map(step).collect(), kind })
    }

    pub(crate) const fn of(&self) -> Of {
        self.of
    }

    /// Row and column of a table's cell.
    pub(crate) fn cell(&self) -> Option<(usize, &str)> {
        match self.steps.as_slice() {
            [Step::At(row), Step::Key(column)] if self.of.is_table() => Some((*row, column)),
            _ => None,
        }
    }

    pub(crate) const fn kind(&self) -> Kind {
        self.kind
    }

    /// The steps to the table, and the key in it.
    pub(crate) fn parted(&self) -> (&[Step], &str) {
        match self.steps.split_last() {
            Some((Step::Key(key), table)) => (table, key),
            // No address ends in a place.
            _ => (&[], ""),
        }
    }

    /// The key in words: `corner radius`.
    pub(crate) fn words(&self) -> String {
        self.parted().1.replace('_', " ")
    }
}

fn at(part: &str) -> bool {
    part.parse::<usize>().is_ok_and(|n| n < 10_000)
}

fn kind(keys: &[(&str, Kind)], key: &str) -> Option<Kind> {
    keys.iter().find(|(name, _)| *name == key).map(|(_, kind)| *kind)
}

fn of_job(parts: &[&str]) -> Option<Kind> {
    match parts {
        [key] => kind(&JOB, key),
        ["slats", key] => kind(&SLATS, key),
        ["spares", key] => kind(&SPARES, key),
        ["cabinet", n, key] if at(n) => kind(&CABINET, key),
        ["cabinet", n, "slats", key] if at(n) => kind(&SLATS, key),
        ["cabinet", n, "door", m, key] if at(n) && at(m) => kind(&DOOR, key),
        ["cabinet", n, "door", m, "slats", key] if at(n) && at(m) => kind(&SLATS, key),
        ["track", n, key] if at(n) => kind(&TRACK, key),
        ["track", n, "path", m, key] if at(n) && at(m) => kind(&SEGMENT, key),
        ["strip", n, key] if at(n) => kind(&STRIP, key),
        _ => None,
    }
}

fn of_shop(parts: &[&str]) -> Option<Kind> {
    match parts {
        [key] => kind(&SHOP, key),
        ["cutting", key] => kind(&CUTTING, key),
        ["clearance", key] => kind(&CLEARANCE, key),
        ["cloth", key] => kind(&CLOTH_RULES, key),
        ["rates", key] => kind(&RATES, key),
        ["shop", key] => kind(&ABOUT, key),
        ["terms", key] => kind(&TERMS, key),
        ["operation", n, key] if at(n) => kind(&OPERATION, key),
        ["labour", n, key] if at(n) => kind(&LABOUR, key),
        ["consumable", n, key] if at(n) => kind(&CONSUMABLE, key),
        _ => None,
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.of != Of::Job {
            write!(f, "{}:", self.of.key())?;
        }
        for (n, step) in self.steps.iter().enumerate() {
            let dot = if n == 0 { "" } else { "." };
            match step {
                Step::Key(key) => write!(f, "{dot}{key}")?,
                Step::At(at) => write!(f, "{dot}{at}")?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_a_value_of_a_job_or_nothing() {
        for text in [
            "name",
            "slats.width",
            "cabinet.3.corner_radius",
            "cabinet.0.door.1.slats.lead_width",
            "shop:rates.maker",
            "shop:operation.3.minutes",
            "boards:2.price",
            "cloth:0.width",
        ] {
            assert_eq!(Address::read(text).unwrap().to_string(), text);
        }
        for text in [
            "",
            "shop",
            "boards",
            "shop:history",
            "shop:x.y",
            "boards:price",
            "boards:1.held_for",
            "job:name",
            ":name",
            "cabinet.corner_radius",
            "cabinet.x.count",
            "cabinet.0",
            "slats.0.width",
        ] {
            assert_eq!(Address::read(text), None, "{text}");
        }
        assert_eq!(Address::read("cabinet.99999999999999999999.count"), None);
        assert_eq!(Address::read(&"a.".repeat(100_000)), None);
    }
}
