//! The starter job: four commented files that plan as they stand, for a maker to change.

/// One file of the starter job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StarterFile {
    /// Its name, in the folder of the job file.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
}

/// The files of the starter job, the job file first. Woods, sizes and prices are invented.
#[must_use]
pub const fn starter() -> [StarterFile; 4] {
    [
        StarterFile { name: "job.toml", text: include_str!("starter/job.toml") },
        StarterFile { name: "shop.toml", text: include_str!("starter/shop.toml") },
        StarterFile { name: "boards.csv", text: include_str!("starter/boards.csv") },
        StarterFile { name: "cloth.csv", text: include_str!("starter/cloth.csv") },
    ]
}
