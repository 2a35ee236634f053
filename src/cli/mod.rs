//! The command: arguments in, text out, an exit status. Nothing here computes.

mod arguments;
mod completions;
mod csv_out;
mod cuts;
#[cfg(not(feature = "internals"))]
mod diagnostic;
#[cfg(feature = "internals")]
pub mod diagnostic;
mod ending;
mod examples;
mod floor;
mod kept;
mod next_step;
mod offer;
#[cfg(feature = "open")]
mod open;
mod progress;
mod quote;
mod screens;
mod width;

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{CommandFactory, Parser};

use self::arguments::{Arguments, Command, FromPicked, Limit, Picks, Planned, Table, ToCheck};
use self::ending::{Ending, cut_short_note, end, print, renamed, wrong_arguments};
use self::kept::Kept;
use self::progress::Watch;
use crate::case::{self, Casework, ClearBox};
use crate::files::{LARGEST_CSV, SourceFile, StarterFile, read_disk, starter};
use crate::job::{self, Job};
use crate::measure::Units;
use crate::packing::Budget;
use crate::plan::{CannotPlan, Plan, Stage, plan, price_orders, stock_shortages};
use crate::report::pages::worth_card;
use crate::report::{self, Sheet, folder};
use crate::shopfloor::worth_table;
use crate::{demand, doors};

/// Runs the command with `arguments` (the program's name first). Status 0: done; 1: the job cannot
/// be done as asked; 2: a file or an argument is wrong.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    width::take_the_terminals();
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => match renamed(&error) {
            Some(ending) => return end(ending),
            None => return wrong_arguments(&error),
        },
    };
    end(execute(&arguments.command).unwrap_or_else(|failed| failed))
}

fn execute(command: &Command) -> Result<Ending, Ending> {
    match command {
        Command::New { folder, units } => new(folder, if units == "mm" { Units::Millimetre } else { Units::Inch }),
        Command::Check(ToCheck { table, room: Some(room), .. }) => smallest(table, room),
        Command::Check(asked) => check(&asked.table, asked.all),
        Command::Quote(asked) => quote::quote(asked),
        Command::Compare(asked) => quote::compare(&asked.table, &asked.limit),
        Command::Estimate(asked) => quote::quick(asked),
        Command::Buy(asked) if asked.worth => worth(&asked.from.planned, asked.card),
        Command::Buy(asked) => show(&asked.from, Kept::Buy, |_, plan| report::buy(plan), screens::buy),
        Command::Rip(asked) => show(asked, Kept::Rip, report::rips, screens::rip),
        Command::Cloth(asked) => show(asked, Kept::Cloth, report::cloth_pieces, screens::cloth),
        Command::Plan { jobs, out, picks, limit } => match jobs.as_slice() {
            [job] => write_plan(job, out, picks, limit),
            _ if picks.picked.is_some() => Err(Ending::wrong(
                "`--picked` goes with one job",
                "plan each job by itself with the boards bought for it",
            )),
            jobs => floor::plan_jobs(jobs, out, limit),
        },
        #[cfg(feature = "open")]
        Command::Open(asked) => open::open(asked),
        Command::Yard(asked) => floor::yard(asked),
        Command::Count(asked) => floor::count(asked),
        Command::Rack(asked) => floor::rack(asked),
        Command::Completions { reader } => Ok(Ending::done(completions::made_for(*reader, Arguments::command()))),
    }
}

/// The text of a file that a person writes in CSV, as a whole.
fn whole_text(path: &Path) -> Result<String, Ending> {
    let bytes = read_disk(path, LARGEST_CSV).map_err(|fault| Ending::wrong(fault.what, next_step::READABLE))?;
    String::from_utf8(bytes)
        .map_err(|_| Ending::wrong(format!("`{}` is not UTF-8 text", path.display()), "save the file again as UTF-8"))
}

fn load(path: &Path) -> Result<Job, Ending> {
    let job = job::load(path).map_err(|problems| Ending::problems("", &problems))?;
    question(&job);
    Ok(job)
}

/// The job with every file that was read for it.
fn load_with_files(path: &Path) -> Result<(Job, Vec<SourceFile>), Ending> {
    let (job, files) = job::load_with_files(path).map_err(|problems| Ending::problems("", &problems))?;
    question(&job);
    Ok((job, files))
}

/// Asks about odd values before anything is packed with them, so that a slip is seen while it costs nothing.
fn question(job: &Job) {
    let _ = io::stderr().lock().write_all(screens::questions(job).as_bytes());
}

fn planned(path: &Path, limit: &Limit) -> Result<(Job, Plan), Ending> {
    packed(load(path)?, limit)
}

/// The job with the boards picked for it, its plan, and what to say of them.
fn planned_from(path: &Path, picks: &Picks, limit: &Limit) -> Result<(Job, Plan, String), Ending> {
    let (job, said) = floor::from_picked(load(path)?, picks.picked.as_deref())?;
    let (job, plan) = packed(job, limit)?;
    Ok((job, plan, said))
}

fn packed(job: Job, limit: &Limit) -> Result<(Job, Plan), Ending> {
    match pack(&job, limit) {
        Ok(plan) => Ok((job, plan)),
        Err(cannot) => Err(refused(&job, &cannot)),
    }
}

/// The plan, with the price of each cutting order beside it where every board may have its own.
fn pack(job: &Job, limit: &Limit) -> Result<Plan, CannotPlan> {
    let budget = Budget::default();
    let mut watch = Watch::start(limit.seconds, job.units);
    let mut hear = |stage, progress| watch.hear(stage, progress);
    let plan = plan(job, &budget, &mut hear).and_then(|plan| price_orders(job, plan, &budget, &mut hear));
    watch.finish();
    plan
}

fn refused(job: &Job, cannot: &CannotPlan) -> Ending {
    Ending::Failed { status: 1, message: refusal(job, cannot), output: String::new() }
}

/// Why the job cannot be done as asked, and what to do next.
fn refusal(job: &Job, cannot: &CannotPlan) -> String {
    screens::cannot(job, cannot) + &screens::held_elsewhere(job) + &screens::help(next_step::after_cannot(cannot))
}

fn show(
    asked: &FromPicked,
    what: Kept,
    sheet: impl Fn(&Job, &Plan) -> Sheet,
    screen: impl Fn(&Job, &Plan) -> String,
) -> Result<Ending, Ending> {
    let Planned { table, limit } = &asked.planned;
    if let Some(folder) = &asked.plan {
        return kept::print(&table.job, folder, what, table.csv.asked());
    }
    let (job, plan, said) = planned_from(&table.job, &asked.picks, limit)?;
    let csv = || table.csv.text(&sheet(&job, &plan), job.units);
    let text = if table.csv.asked() { csv() } else { screen(&job, &plan) + &said };
    Ok(Ending::of_plan(text, &job, &plan))
}

fn worth(asked: &Planned, card: bool) -> Result<Ending, Ending> {
    let table = &asked.table;
    let job = load(&table.job)?;
    let doors = doors::lay_out(&job);
    if doors.iter().any(|door| !door.fits()) {
        return Err(refused(&job, &CannotPlan::Doors(doors)));
    }
    let demand = demand::pool(&job, &doors).map_err(|error| refused(&job, &error.into()))?;
    let mut watch = Watch::start(asked.limit.seconds, job.units);
    let found = worth_table(&job, &demand, &mut |progress| watch.hear(Stage::Boards, progress));
    let stopped = watch.finish();
    let found = found.map_err(|short| refused(&job, &CannotPlan::Boards(short, Box::new(demand.clone()))))?;
    let csv = || table.csv.text(&report::worth(&job, &demand, &found), job.units);
    let text = match (table.csv.asked(), card) {
        (true, _) => csv(),
        (false, true) => worth_card(&job, &found),
        (false, false) => screens::worth(&job, &demand, &found),
    };
    Ok(Ending::of_answer(text, stopped && found.cut_short, "sizes that were not come to have no exact worth"))
}

/// `--room`: how small a case may be.
fn smallest(table: &Table, sizes: &str) -> Result<Ending, Ending> {
    let job = load(&table.job)?;
    let [width, depth, height] = quote::three_sizes("--room", sizes, job.units)?;
    let wanted = ClearBox { width, depth, height };
    let found = report::smallest_cases(&job, wanted);
    if found.rows.is_empty() {
        let what = "the job has no case given by its inside sizes";
        return Err(Ending::wrong(what, "take a job with such a case, as `slatwright new` writes one"));
    }
    Ok(Ending::done(screens::smallest(&job, wanted, &found)))
}

fn check(table: &Table, all: bool) -> Result<Ending, Ending> {
    let job = load(&table.job)?;
    let doors = doors::lay_out(&job);
    let fits = doors.iter().all(doors::Door::fits);
    let demand = fits.then(|| demand::pool(&job, &doors)).transpose();
    let demand = demand.map_err(|error| refused(&job, &error.into()))?;
    let output = if table.csv.asked() {
        table.csv.text(&report::fit(&job, &doors), job.units)
    } else {
        screens::check(&job, &doors, demand.as_ref(), all)
    };
    let short = demand.map(|demand| match case::make(&job, &doors) {
        Ok(case) => stock_shortages(&job, &demand, &case),
        Err(problems) => {
            let short = stock_shortages(&job, &demand, &Casework::default());
            std::iter::once(CannotPlan::Case(problems)).chain(short).collect()
        }
    });
    let cannot = short.unwrap_or_else(|| vec![CannotPlan::Doors(doors)]);
    if cannot.is_empty() {
        return Ok(Ending::done(output));
    }
    // The screen holds the cures, a table holds none.
    let say = |cannot: &CannotPlan| {
        let said = if table.csv.asked() { screens::cannot(&job, cannot) } else { screens::errors(&job, cannot) };
        said + &screens::help(next_step::after_cannot(cannot))
    };
    let message = cannot.iter().map(say).collect();
    Ok(Ending::Failed { status: 1, message, output })
}

fn write_plan(path: &Path, out: &Path, picks: &Picks, limit: &Limit) -> Result<Ending, Ending> {
    let (job, read) = load_with_files(path)?;
    let (job, said) = floor::from_picked(job, picks.picked.as_deref())?;
    // Whoever comes second is told now, not when the packing is done.
    let claim = claim(out)?;
    let plan = pack(&job, limit).map_err(|cannot| refused(&job, &cannot))?;
    let files = report::each_file(&job, &plan, None).chain(kept::to_keep(&job, &plan, &read));
    let (files, edited) = write_claimed(claim, files)?;
    Ok(Ending::of_plan(screens::plan(&job, &plan, out, files) + &edited + &said, &job, &plan))
}

fn claim(out: &Path) -> Result<folder::Claim, Ending> {
    folder::claim(out).map_err(|error| Ending::wrong(&error, next_step::after_folder(&error)))
}

/// Writes the folder: how many files, and what is said of those that were edited in it since.
fn write_claimed(
    claim: folder::Claim,
    files: impl Iterator<Item = (String, Vec<u8>)>,
) -> Result<(usize, String), Ending> {
    let written = claim.write(files).map_err(|error| Ending::wrong(&error, next_step::after_folder(&error)))?;
    Ok((written.files, screens::kept(&written.kept)))
}

/// The name of a folder, `.` and `..` included.
fn name_of(folder: &Path) -> Option<String> {
    let name = |path: &Path| path.file_name().map(|name| name.to_string_lossy().into_owned());
    name(folder).filter(|_| !folder.ends_with("..")).or_else(|| name(&fs::canonicalize(folder).ok()?))
}

fn new(into: &Path, units: Units) -> Result<Ending, Ending> {
    let io = |error: io::Error, path: &Path| {
        Ending::wrong(format!("cannot write `{}`: {error}", path.display()), next_step::WRITABLE)
    };
    if into.exists() && !into.is_dir() {
        let what = format!("`{}` is a file, not a folder", into.display());
        return Err(Ending::wrong(what, next_step::ANOTHER_FOLDER));
    }
    let files = starter(units, name_of(into).as_deref());
    if let Some(taken) = files.iter().map(|file| into.join(file.name)).find(|path| path.exists()) {
        let what = format!("`{}` is there already", taken.display());
        return Err(Ending::wrong(what, next_step::ANOTHER_FOLDER));
    }
    let there = into.exists();
    fs::create_dir_all(into).map_err(|error| io(error, into))?;
    let mut begun: Vec<PathBuf> = Vec::new();
    for StarterFile { name, text } in files {
        let path = into.join(name);
        let written = File::create_new(&path).and_then(|mut file| {
            begun.push(path.clone());
            file.write_all(text.as_bytes())?;
            file.sync_all()
        });
        if let Err(error) = written {
            // Half a starter job is none: what was begun goes again.
            begun.iter().for_each(|path| drop(fs::remove_file(path)));
            if !there {
                let _ = fs::remove_dir(into);
            }
            return Err(io(error, &path));
        }
    }
    Ok(Ending::done(screens::started(into)))
}
