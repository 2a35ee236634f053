//! Packs a plain list of strips into boards: the optimiser alone, without a job file.
//!
//! Run it with `cargo run --release --example pack_strips`.

use std::io::{self, Write};

use slatwright::job::{CuttingRules, Millings};
use slatwright::measure::{Cents, Units, parse_length, parse_thickness};
use slatwright::packing::boards::{BoardKind, BoardProblem, StripDemand, pack};
use slatwright::packing::{Budget, Flow};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let inches = |text: &str| parse_length(text, Units::Inch);
    let strip = |width: &str, length: &str, count| -> Result<StripDemand, slatwright::measure::LengthError> {
        Ok(StripDemand {
            label: 0,
            length: inches(length)?,
            width: inches(width)?,
            thickness: inches("3/8")?,
            millings: Millings::Flat,
            count,
        })
    };
    let board = |width: &str, cents: i64, available| -> Result<BoardKind, Box<dyn std::error::Error>> {
        Ok(BoardKind {
            label: 0,
            thickness: parse_thickness("4/4", Units::Inch)?,
            width: inches(width)?,
            length: inches("8'")?,
            defects: Vec::new(),
            available,
            cost: Cents::new(cents),
        })
    };
    let problem = BoardProblem {
        parts: vec![strip("5/8", "28-1/2", 70)?, strip("1-1/4", "28-1/2", 4)?, strip("3/4", "21", 24)?],
        stock: vec![board("6", 3940, None)?, board("7-1/2", 4925, None)?, board("5", 0, Some(1))?],
        rules: CuttingRules::default(),
    };
    let plan = pack(&problem, &Budget::default(), &mut |_| Flow::Continue).map_err(|short| format!("{short:?}"))?;

    let mut out = io::stdout().lock();
    for (number, cut) in (1..).zip(&plan.boards) {
        writeln!(out, "board {number}: {} wide", problem.stock[cut.stock].width.show(Units::Inch))?;
        for blank in &cut.blanks {
            writeln!(out, "  blank {}", blank.length.show_nearest(Units::Inch))?;
            for rips in &blank.rips {
                let strip = problem.parts[rips.part];
                let width = rips.rip_width.show_nearest(Units::Inch);
                writeln!(out, "    rip {} at {width}, {} long", rips.rips, strip.length.show_nearest(Units::Inch))?;
            }
        }
    }
    let proven = if plan.optimal { "proven lowest" } else { "the bound is lower" };
    writeln!(out, "cost {}, bound {} ({proven}); gap {}", plan.cost, plan.bound, plan.cost - plan.bound)?;
    Ok(())
}
