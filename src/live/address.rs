//! [`Address`]: which value of the job file is meant, and what may stand there.

use std::fmt;

/// One step of an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Step {
    /// A key of a table.
    Key(String),
    /// A place in a list.
    At(usize),
}

/// A value of the job file: `cabinet.0.corner_radius`. Only what the page may change has one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Address {
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
    /// One of these words.
    Word(&'static [&'static str]),
    /// Words of the maker's own.
    Text,
}

use Kind::{Count, Figure, Length, Text, Word};

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

/// The longest address there is any use for, in steps.
const LONGEST: usize = 8;

impl Address {
    /// Reads `cabinet.0.slats.species`; `None` for what is no value of a job or not the page's to change.
    pub(crate) fn read(text: &str) -> Option<Self> {
        let parts: Vec<&str> = text.split('.').take(LONGEST + 1).collect();
        let at = |part: &&str| part.parse::<usize>().is_ok_and(|n| n < 10_000);
        let of = |keys: &[(&str, Kind)], key: &str| keys.iter().find(|(name, _)| *name == key).map(|(_, kind)| *kind);
        let kind = match parts.as_slice() {
            [key] => of(&JOB, key),
            ["slats", key] => of(&SLATS, key),
            ["spares", key] => of(&SPARES, key),
            ["cabinet", n, key] if at(n) => of(&CABINET, key),
            ["cabinet", n, "slats", key] if at(n) => of(&SLATS, key),
            ["cabinet", n, "door", m, key] if at(n) && at(m) => of(&DOOR, key),
            ["cabinet", n, "door", m, "slats", key] if at(n) && at(m) => of(&SLATS, key),
            ["track", n, key] if at(n) => of(&TRACK, key),
            ["track", n, "path", m, key] if at(n) && at(m) => of(&SEGMENT, key),
            ["strip", n, key] if at(n) => of(&STRIP, key),
            _ => None,
        }?;
        let step = |part: &&str| part.parse().map_or_else(|_| Step::Key((*part).to_owned()), Step::At);
        Some(Self { steps: parts.iter().map(step).collect(), kind })
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

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
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
        for text in ["name", "slats.width", "cabinet.3.corner_radius", "cabinet.0.door.1.slats.lead_width"] {
            assert_eq!(Address::read(text).unwrap().to_string(), text);
        }
        for text in ["", "shop", "boards", "cabinet.corner_radius", "cabinet.x.count", "cabinet.0", "slats.0.width"] {
            assert_eq!(Address::read(text), None, "{text}");
        }
        assert_eq!(Address::read("cabinet.99999999999999999999.count"), None);
        assert_eq!(Address::read(&"a.".repeat(100_000)), None);
    }
}
