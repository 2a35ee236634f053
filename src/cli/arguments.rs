//! What can be typed: the commands and their arguments, each with its help.
//!
//! Help is not wrapped: a line of it is as long as it is written here, and `tests/help.rs` holds all of them to 80
//! columns. What takes more than a line is broken by hand (`verbatim_doc_comment`).

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use super::csv_out::CsvOut;
#[cfg(feature = "open")]
use super::open;
use super::{completions, examples, floor, quote};

/// Plans jobs of tambour-door cabinets: doors, boards, cloth, cutting and price.
#[derive(Debug, Parser)]
#[command(name = "slatwright", version, arg_required_else_help = true, after_help = examples::FIRST)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Write a commented starter job that plans without edits.
    #[command(after_help = examples::NEW)]
    New {
        /// Folder for the job, shop, boards and cloth files; made
        /// when missing. The job gets its name
        #[arg(verbatim_doc_comment)]
        folder: PathBuf,
        /// Unit of the job: in or mm.
        #[arg(long, hide_possible_values = true, default_value = "in", value_parser = ["in", "mm"])]
        units: String,
    },
    /// Lay out the doors: what fits, and where it is tightest.
    #[command(after_help = examples::CHECK)]
    Check(ToCheck),
    /// Show every cost line, hours and the total, or the client's quote.
    #[command(after_help = examples::QUOTE)]
    Quote(quote::QuoteArguments),
    /// Plan the job and its alternatives and show them side by side.
    #[command(after_help = examples::COMPARE)]
    Compare(Planned),
    /// Estimate a job, or a rough case: low, expected, high.
    #[command(after_help = examples::ESTIMATE)]
    Estimate(quote::EstimateArguments),
    /// Show the shopping list, or what a board of each size is worth.
    #[command(after_help = examples::BUY)]
    Buy(ToBuy),
    /// Show the rip list, board by board, with running totals.
    #[command(after_help = examples::RIP)]
    Rip(FromPicked),
    /// Show where each cloth piece lies on its bolt.
    #[command(after_help = examples::CLOTH)]
    Cloth(FromPicked),
    /// Do all of it and write every list into a folder.
    #[command(after_help = examples::PLAN)]
    Plan {
        /// The job file. Several are planned together: one rack, one
        /// shopping list, the cost split
        #[arg(required = true, verbatim_doc_comment)]
        jobs: Vec<PathBuf>,
        /// Folder for the plan; made when missing. Only
        /// files that slatwright wrote are replaced
        #[arg(long, verbatim_doc_comment)]
        out: PathBuf,
        #[command(flatten)]
        picks: Picks,
        #[command(flatten)]
        limit: Limit,
    },
    /// Open a job in the browser: move its doors, change it, price it.
    #[cfg(feature = "open")]
    #[command(after_help = examples::OPEN)]
    Open(open::OpenArguments),
    /// At the yard: what is covered, what is short, take it or leave it.
    #[command(after_help = examples::YARD)]
    Yard(floor::AtYard),
    /// At the saw: enough or not, and the least extra cutting.
    #[command(after_help = examples::COUNT)]
    Count(floor::AtSaw),
    /// After the cut: boards used, offcuts worth keeping, the rack file.
    #[command(after_help = examples::RACK)]
    Rack(floor::AtRack),
    /// Print a tab-completion script for your shell.
    #[command(after_help = examples::COMPLETIONS)]
    Completions {
        /// Which shell, or `man`.
        #[arg(value_name = "SHELL")]
        reader: completions::Reader,
    },
}

#[derive(Debug, Args)]
pub(super) struct Table {
    /// The job file.
    pub(super) job: PathBuf,
    #[command(flatten)]
    pub(super) csv: CsvOut,
}

#[derive(Debug, Args)]
pub(super) struct ToCheck {
    #[command(flatten)]
    pub(super) table: Table,
    /// Every check of every door, with stops, room, seasons
    /// and loading, and every default used
    #[arg(long, conflicts_with_all = ["csv", "json"], verbatim_doc_comment)]
    pub(super) all: bool,
    /// The smallest cases in which such a room is free for
    /// shelves: width x depth x height, "30 x 12 x 26"
    #[arg(long, value_name = "SIZES", conflicts_with_all = ["csv", "json", "all"], verbatim_doc_comment)]
    pub(super) room: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Planned {
    #[command(flatten)]
    pub(super) table: Table,
    #[command(flatten)]
    pub(super) limit: Limit,
}

#[derive(Debug, Args)]
pub(super) struct Picks {
    /// Plan for the boards bought, as `yard --finish` writes
    /// them, and the rack; others only where these run short
    #[arg(long, verbatim_doc_comment)]
    pub(super) picked: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(super) struct FromPicked {
    #[command(flatten)]
    pub(super) planned: Planned,
    #[command(flatten)]
    pub(super) picks: Picks,
    /// Print what this plan folder holds instead of packing
    /// again, as long as the job's files are unchanged
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["seconds", "picked", "csv_comma", "json"], verbatim_doc_comment)]
    pub(super) plan: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(super) struct ToBuy {
    #[command(flatten)]
    pub(super) from: FromPicked,
    /// Instead of the list: what one more board of each
    /// size would save, and one more strip cost
    #[arg(long, conflicts_with_all = ["picked", "plan"], verbatim_doc_comment)]
    pub(super) worth: bool,
    /// With --worth: print it as a page in HTML, for the
    /// phone and the pocket, without strips and rack
    #[arg(long, requires = "worth", conflicts_with_all = ["csv", "json"], verbatim_doc_comment)]
    pub(super) card: bool,
}

#[derive(Debug, Args)]
pub(super) struct Limit {
    /// Stop packing after so many seconds and use the best
    /// plan so far; it says that it was cut short
    #[arg(long, value_parser = seconds, verbatim_doc_comment)]
    pub(super) seconds: Option<f64>,
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(seconds) if seconds > 0.0 && seconds <= 1e6 => Ok(seconds),
        _ => Err("a number of seconds above 0, at most 1000000".to_owned()),
    }
}
