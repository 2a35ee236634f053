//! The starter job: four commented files that plan as they stand, for a maker to change.

use super::values::name;
use crate::measure::Units;

/// One file of the starter job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StarterFile {
    /// Its name, in the folder of the job file.
    pub name: &'static str,
    /// Its text.
    pub text: String,
}

/// The name that the starter's job file carries before it is given another.
const NAME: &str = "\"seed library, reading room\"";

/// The files of the starter job, the job file first, in `units`; the job is `called` so where that is a name a job may
/// have. Woods, sizes and prices are invented.
#[must_use]
pub fn starter(units: Units, called: Option<&str>) -> [StarterFile; 4] {
    let [job, shop, boards, cloth] = match units {
        Units::Inch => [
            include_str!("starter/job.toml"),
            include_str!("starter/shop.toml"),
            include_str!("starter/boards.csv"),
            include_str!("starter/cloth.csv"),
        ],
        Units::Millimetre => [
            include_str!("starter/mm/job.toml"),
            include_str!("starter/mm/shop.toml"),
            include_str!("starter/mm/boards.csv"),
            include_str!("starter/mm/cloth.csv"),
        ],
    };
    let quoted = |name: &str| format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""));
    let job = match called.and_then(|called| name(called).ok()) {
        Some(called) => job.replacen(NAME, &quoted(&called), 1),
        None => job.to_owned(),
    };
    [
        StarterFile { name: "job.toml", text: job },
        StarterFile { name: "shop.toml", text: shop.to_owned() },
        StarterFile { name: "boards.csv", text: boards.to_owned() },
        StarterFile { name: "cloth.csv", text: cloth.to_owned() },
    ]
}
