//! Plans a job written in code: no files on disk, the whole run from text to verified plan.
//!
//! Run it with `cargo run --release --example plan_from_code`.

use std::io::{self, Write};

use slatwright::files::Sources;
use slatwright::job;
use slatwright::plan::plan_job;
use slatwright::report;
use slatwright::report::table::table;

const JOB: &str = r#"
name = "two presses"
units = "in"
boards = "boards.csv"
cloth = "cloth.csv"

[slats]
species = "cherry"
width = "5/8"
thickness = "3/8"
lead_width = "1-1/8"
rabbet_depth = "7/32"
rabbet_length = "3/8"

[[cabinet]]
name = "press"
count = 2
inside_width = "36"
inside_depth = "15-1/2"
inside_height = "28"
doors = "pair"
setback = "3/4"
corner_radius = "3"
groove_width = "1/4"
groove_depth = "5/16"
"#;

const BOARDS: &str = "\
stock,species,thickness,width,length,on_hand,price,per
cherry 6 x 96,cherry,4/4,6,96,,9.85,bf
cherry 7 x 96,cherry,4/4,7,96,,9.85,bf
rack,cherry,4/4,5.25,74,1,,
";

const CLOTH: &str = "\
bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across
duck,60,0.5,,11.50,yard,4.5,6,4
";

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let sources = Sources::in_memory("job.toml", JOB).with("boards.csv", BOARDS).with("cloth.csv", CLOTH);
    let job = job::parse(&sources).map_err(|problems| problems.to_string())?;
    let plan = plan_job(&job)?;

    let mut out = io::stdout().lock();
    let columns = [("door", "door"), ("slats", "slats"), ("slat_length", "length"), ("travel", "travel")];
    writeln!(out, "{}", table(&report::doors(&job, &plan.doors), job.units, &columns))?;
    let columns = [("figure", "figure"), ("value", "value"), ("unit", "unit")];
    writeln!(out, "{}", table(&report::summary(&job, &plan), job.units, &columns))?;
    writeln!(out, "boards {}, and no plan can cost less than {}", plan.boards.cost, plan.boards.bound)?;
    Ok(())
}
