//! The commands of the shop floor: `yard`, `count`, `rack`, and `plan` of several jobs.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use clap::Args;

use super::csv_out::CsvOut;
use super::cuts::Cuts;
use super::progress::Watch;
use super::{Ending, Limit, claim, load, next_step, refused, screens, whole_text, write_claimed};
use crate::demand::{self, Part};
use crate::doors::{self, Door};
use crate::job::{BoardStock, History, Job, load_boards};
use crate::packing::Budget;
use crate::plan::CannotPlan;
use crate::report::{self, csv_text, each_file, folder};
use crate::shopfloor::{
    FloorError, Round, Saw, Standing, Verdict, YARD, at_the_yard, begun_with, from_the_pile, gather, link, mark,
    nothing_more, only_left, paid, plan_together, rack_change, read_count, read_history, read_plan, replace,
    take_stock, together, with_picked,
};

#[derive(Debug, Args)]
pub(super) struct AtYard {
    /// The job file.
    job: PathBuf,
    /// Boards seen so far, in the form of a boards file:
    /// `on_hand` is how many are picked (0: left), empty
    /// for a board in hand, to be judged
    #[arg(long, verbatim_doc_comment, required_unless_present = "pile")]
    picked: Option<PathBuf>,
    /// Choose from all boards in the pile: a file
    /// of the same form, each board with its price
    #[arg(long, verbatim_doc_comment)]
    pile: Option<PathBuf>,
    /// How many of a listed board the yard has left:
    /// "5 of cherry 8ft", "none of cherry 8ft"
    #[arg(long, verbatim_doc_comment)]
    left: Vec<String>,
    /// The trip is over: write the boards taken into
    /// this file, for `plan --picked`
    #[arg(long, verbatim_doc_comment)]
    finish: Option<PathBuf>,
    // The verdicts, or the boards to take; where nothing is asked, what is covered and short.
    #[command(flatten)]
    csv: CsvOut,
    #[command(flatten)]
    limit: Limit,
}

#[derive(Debug, Args)]
pub(super) struct AtSaw {
    /// The job file.
    job: PathBuf,
    #[command(flatten)]
    cuts: Cuts,
    /// Print a blank count of the last plan, to be filled in.
    #[arg(long, conflicts_with_all = ["cut", "out", "record", "json"])]
    blank: bool,
    /// Folder for the plan of the extra cutting.
    #[arg(long)]
    out: Option<PathBuf>,
    /// Write reject rates and hours into the history that
    /// the shop file points to
    #[arg(long, verbatim_doc_comment)]
    record: bool,
    #[command(flatten)]
    csv: CsvOut,
    #[command(flatten)]
    limit: Limit,
}

#[derive(Debug, Args)]
pub(super) struct AtRack {
    /// The job file.
    job: PathBuf,
    #[command(flatten)]
    cuts: Cuts,
    /// The boards file to bring up to date.
    #[arg(long)]
    rack: PathBuf,
    /// Write it, whole or not at all; the old one is kept as
    /// `.bak`. Without this nothing is written
    #[arg(long, verbatim_doc_comment)]
    update: bool,
    /// Write only if the rack still has this mark, as it
    /// was shown before
    #[arg(long, requires = "update", verbatim_doc_comment)]
    seen: Option<String>,
    #[command(flatten)]
    csv: CsvOut,
}

fn failed(job: &Job, error: FloorError) -> Ending {
    match error {
        FloorError::Files(problems) => Ending::problems("", &problems),
        FloorError::Cannot(cannot) => refused(job, &cannot),
        other => Ending::wrong(&other, next_step::after_floor(&other)),
    }
}

/// A job with its doors and parts.
struct Laid {
    job: Job,
    doors: Vec<Door>,
    parts: Vec<Part>,
    confidence: f64,
}

fn laid(path: &Path) -> Result<Laid, Ending> {
    let job = load(path)?;
    let doors = doors::lay_out(&job);
    if doors.iter().any(|door| !door.fits()) {
        return Err(refused(&job, &CannotPlan::Doors(doors)));
    }
    let demand = demand::pool(&job, &doors).map_err(|error| refused(&job, &error.into()))?;
    Ok(Laid { parts: demand.parts, confidence: demand.confidence, job, doors })
}

pub(super) fn yard(asked: &AtYard) -> Result<Ending, Ending> {
    let Laid { mut job, parts, .. } = laid(&asked.job)?;
    for text in &asked.left {
        only_left(&mut job, text).map_err(|error| failed(&job, error))?;
    }
    let read = |path: &Option<PathBuf>| match path {
        Some(path) => load_boards(path, job.units).map_err(|problems| failed(&job, problems.into())),
        None => Ok(Vec::new()),
    };
    let (mut picked, mut pile) = (read(&asked.picked)?, read(&asked.pile)?);
    if asked.pile.is_some() {
        // A board in hand lies there like the others.
        pile.extend(picked.extract_if(.., |row| row.on_hand.is_none()));
    }
    let mut watch = Watch::start(asked.limit.seconds, job.units);
    let mut hear = |stage, progress| watch.hear(stage, progress);
    let (mut text, taken, stopped) = if asked.pile.is_some() {
        let chosen = from_the_pile(&job, &parts, (&picked, &pile), &Budget::default(), &mut hear);
        let stopped = watch.finish();
        let chosen = chosen.map_err(|error| failed(&job, error))?;
        let csv = || asked.csv.text(&report::picked(&job, &chosen.take), job.units);
        let text = if asked.csv.asked() { csv() } else { screens::pile(&job, &pile, &chosen) };
        (text, bought(&picked, &chosen.take), stopped)
    } else {
        let yard = at_the_yard(&job, &parts, &picked, &YARD, &mut hear);
        let stopped = watch.finish();
        let yard = yard.map_err(|error| failed(&job, error))?;
        let sheet = if yard.offers.is_empty() { report::yard(&parts, &yard) } else { report::offers(&yard) };
        let text =
            if asked.csv.asked() { asked.csv.text(&sheet, job.units) } else { screens::yard(&job, &parts, &yard) };
        let take = |row: &&BoardStock| {
            yard.offers.iter().any(|offer| offer.stock == row.stock && offer.verdict() == Verdict::Take)
        };
        let taken: Vec<(BoardStock, u32)> = picked.iter().filter(take).map(|row| (row.clone(), 1)).collect();
        (text, bought(&picked, &taken), stopped)
    };
    if let Some(path) = &asked.finish {
        let told = finish_trip(&job, &taken, path)?;
        if !asked.csv.asked() {
            text += &told;
        }
    }
    Ok(Ending::of_answer(text, stopped, "with more time the packing may come out cheaper, and a toss-up be settled"))
}

/// All boards that go home: those picked before, and those taken now.
fn bought(picked: &[BoardStock], taken: &[(BoardStock, u32)]) -> Vec<(BoardStock, u32)> {
    let before = picked.iter().filter_map(|row| Some((row.clone(), row.on_hand.filter(|count| *count > 0)?)));
    before.chain(taken.iter().cloned()).collect()
}

/// Writes the boards that were taken, whole or not at all.
fn finish_trip(job: &Job, taken: &[(BoardStock, u32)], path: &Path) -> Result<String, Ending> {
    let text = csv_text(&report::picked(job, taken), job.units);
    let seen = if path.exists() { Some(whole_text(path)?) } else { None };
    replace(path, seen.as_deref().map(str::as_bytes), text.as_bytes()).map_err(|error| failed(job, error.into()))?;
    let boards: u32 = taken.iter().map(|(_, count)| count).sum();
    let those = if boards == 1 { "board taken is" } else { "boards taken are" };
    let shown = report::printable(&path.display().to_string());
    let next = format!("slatwright plan JOB --picked {shown} --out out");
    Ok(format!("\nThe {boards} {those} written to {shown}; next:\n  {next}\n"))
}

/// The job with the boards of a picked file, where one is named.
pub(super) fn from_picked(job: Job, picked: Option<&Path>) -> Result<(Job, String), Ending> {
    let Some(path) = picked else { return Ok((job, String::new())) };
    let rows = load_boards(path, job.units).map_err(|problems| failed(&job, problems.into()))?;
    let with = with_picked(&job, &rows).map_err(|error| failed(&job, error))?;
    let (boards, cost) = paid(&rows);
    Ok((with, screens::paid_for(&job, boards, cost)))
}

/// For a plan that is named twice.
const EACH_CUT_ONCE: &str = "name each cut once: the first plan, then that of the second cut";

/// The same place on the disk, however it is spelt.
fn same_place(a: &Path, b: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().ok();
    a == b || real(a).is_some_and(|a| Some(a) == real(b))
}

/// The plans that were cut, each with its counts where there are any.
fn rounds(laid: &Laid, cuts: &Cuts) -> Result<Vec<Round>, Ending> {
    let (plans, counts) = (cuts.plans(), cuts.counts());
    for (number, cut) in counts.iter().enumerate() {
        if let Some(same) = counts[..number].iter().find(|other| same_place(other, cut)) {
            let what = format!("`{}` and `{}` are one file", same.display(), cut.display());
            return Err(Ending::wrong(what, "name each count once"));
        }
    }
    let wrong = |error| failed(&laid.job, error);
    let mut rounds: Vec<Round> = Vec::new();
    for (number, (plan, days)) in plans.iter().zip(cuts.by_plan()?).enumerate() {
        if let Some(same) = plans[..number].iter().find(|other| same_place(other, plan)) {
            let what = format!("`{}` and `{}` are one folder", same.display(), plan.display());
            return Err(Ending::wrong(what, EACH_CUT_ONCE));
        }
        let quiet = folder::read(plan).map_err(|error| Ending::wrong(&error, next_step::after_folder(&error)))?;
        let plan = read_plan(&laid.job, &laid.parts, plan, number == 0).map_err(wrong)?;
        drop(quiet);
        let twin = rounds.iter().position(|round| round.plan.mark == plan.mark && !plan.boards.is_empty());
        if let Some(at) = twin {
            let what = format!("`{}` and `{}` hold one plan", plans[at].display(), plan.folder.display());
            return Err(Ending::wrong(what, EACH_CUT_ONCE));
        }
        let read = |cut: &PathBuf| read_count(&laid.job, &laid.parts, &plan, cut);
        let rows = days.iter().map(|cut| Ok((cut.as_path(), read(cut)?))).collect::<Result<Vec<_>, _>>();
        let rows = rows.and_then(|days| together(&laid.parts, days)).map_err(wrong)?;
        rounds.push(Round { plan, rows, anew: BTreeSet::new() });
    }
    link(&mut rounds).map_err(wrong)?;
    Ok(rounds)
}

/// The history the shop points to, with its text; a file that is not there yet is an empty one.
pub(super) fn past(job: &Job) -> Result<(History, Option<Vec<u8>>), Ending> {
    let Some(path) = &job.shop.history else { return Ok((History::default(), None)) };
    if !path.exists() {
        return Ok((History::default(), None));
    }
    let text = whole_text(path)?;
    let rows = read_history(job, path, &text).map_err(|error| failed(job, error))?;
    Ok((rows, Some(text.into_bytes())))
}

pub(super) fn count(asked: &AtSaw) -> Result<Ending, Ending> {
    let mut laid = laid(&asked.job)?;
    if let Some(own) = asked.out.iter().find(|out| asked.cuts.plans().iter().any(|plan| same_place(plan, out))) {
        let what = format!("`{}` holds a plan that was cut: writing there would destroy its record", own.display());
        return Err(Ending::wrong(what, "name another folder with `--out`, such as `--out again`"));
    }
    let rounds = rounds(&laid, &asked.cuts)?;
    let begun = begun_with(&laid.job, &laid.doors, &rounds).map_err(|error| refused(&laid.job, &error.into()))?;
    (laid.parts, laid.confidence) = (begun.parts, begun.confidence);
    let Laid { job, doors, parts, confidence } = &laid;
    if let (true, Some(last)) = (asked.blank, rounds.last()) {
        return Ok(Ending::done(asked.csv.text(&report::blank_count(parts, &last.plan), job.units)));
    }
    let mut watch = Watch::start(asked.limit.seconds, job.units);
    let saw = Saw { job, doors, parts, confidence: *confidence, rounds: &rounds };
    let standing = take_stock(&saw, &Budget::default(), &mut |stage, progress| watch.hear(stage, progress));
    watch.finish();
    let standing = standing.map_err(|error| failed(job, error))?;
    let mut text = if asked.csv.asked() {
        asked.csv.text(&report::at_saw(parts, &standing), job.units)
    } else {
        screens::count(job, parts, &standing)
    };
    let mut told = String::new();
    if let Some(out) = &asked.out {
        told += &write_extra(&laid, &rounds, &standing, out)?;
    }
    if asked.record {
        told += &record(job, parts, &rounds)?;
    }
    if !asked.csv.asked() {
        text += &told;
    }
    Ok(match &standing.finish {
        Some(finish) => Ending::of_plan(text, &finish.job, &finish.plan),
        None => Ending::done(text),
    })
}

/// Puts the plan of the extra cutting into its folder. Where none is called for, what an earlier count wrote there is
/// emptied: nobody shall cut by it.
fn write_extra(laid: &Laid, rounds: &[Round], standing: &Standing, out: &Path) -> Result<String, Ending> {
    let shown = report::printable(&out.display().to_string());
    if let Some(finish) = &standing.finish {
        let (_, kept) = write_claimed(claim(out)?, each_file(&finish.job, &finish.plan, None))?;
        return Ok(format!("\nThe extra cutting is written to {shown}.\n{kept}"));
    }
    if !out.join("rips.csv").exists() {
        return Ok(format!("\nThere is no extra cutting: nothing is written to {shown}.\n"));
    }
    let nothing = nothing_more(&laid.job, &laid.parts, rounds).map_err(|error| failed(&laid.job, error))?;
    let (_, kept) = write_claimed(claim(out)?, each_file(&nothing.job, &nothing.plan, None))?;
    Ok(format!("\nThere is no extra cutting any more: the lists in {shown} are empty now.\n{kept}"))
}

fn record(job: &Job, parts: &[Part], rounds: &[Round]) -> Result<String, Ending> {
    // Read anew: what is written back is what was there at this moment and this build, or nothing is.
    let (past, seen) = past(job)?;
    let path = write_history(job, &gather(job, parts, rounds, &past), seen.as_deref())?;
    Ok(format!("\nRates and hours of this job are written to {path}.\n"))
}

/// Puts a history in the place of the one that was read; says where.
pub(super) fn write_history(job: &Job, history: &History, seen: Option<&[u8]>) -> Result<String, Ending> {
    let Some(path) = &job.shop.history else {
        let help = "add a line such as `history = \"history.csv\"` to the shop file";
        return Err(Ending::wrong("the shop file names no history file", help));
    };
    let text = csv_text(&report::history(history), job.units);
    replace(path, seen, text.as_bytes()).map_err(|error| failed(job, error.into()))?;
    Ok(report::printable(&path.display().to_string()))
}

pub(super) fn rack(asked: &AtRack) -> Result<Ending, Ending> {
    let laid = laid(&asked.job)?;
    let rounds = rounds(&laid, &asked.cuts)?;
    let Laid { job, parts, .. } = &laid;
    let path = &asked.rack;
    if asked.update && path == Path::new("-") {
        return Err(Ending::wrong("standard input cannot be brought up to date", "name the rack's file with `--rack`"));
    }
    let text = whole_text(path)?;
    let shown = mark(text.as_bytes());
    if asked.seen.as_ref().is_some_and(|seen| *seen != shown) {
        let what = format!("`{}` changed since it had that mark: nothing was written", path.display());
        return Err(Ending::wrong(what, "look at it and ask again, without `--seen` for its new mark"));
    }
    let Some(round) = rounds.last() else { return Err(Ending::wrong("no plan is given", "name one with `--plan`")) };
    let done: Vec<usize> = if asked.cuts.by_plan()?.last().is_some_and(|days| !days.is_empty()) {
        round.done().collect()
    } else {
        (0..round.plan.boards.len()).collect()
    };
    let change = rack_change(job, parts, round, &done, (path, &text)).map_err(|error| failed(job, error))?;
    let changes = !(change.used.is_empty() && change.kept.is_empty());
    let write = asked.update && changes;
    if write {
        replace(path, Some(text.as_bytes()), change.text.as_bytes()).map_err(|error| failed(job, error.into()))?;
    }
    let csv = || asked.csv.text(&report::rack(&change), job.units);
    Ok(Ending::done(if asked.csv.asked() { csv() } else { screens::rack(job, &change, path, &shown, write) }))
}

pub(super) fn plan_jobs(paths: &[PathBuf], out: &Path, limit: &Limit) -> Result<Ending, Ending> {
    let jobs = paths.iter().map(|path| load(path)).collect::<Result<Vec<_>, _>>()?;
    let Some(first) = jobs.first() else { return Err(Ending::wrong("no job is given", "name at least one job file")) };
    let claimed = claim(out)?;
    let mut watch = Watch::start(limit.seconds, jobs[0].units);
    let joint = plan_together(&jobs, &Budget::default(), &mut |stage, progress| watch.hear(stage, progress));
    watch.finish();
    let joint = joint.map_err(|error| failed(first, error))?;
    let split = ("jobs.csv".to_owned(), csv_text(&report::jobs(&joint), joint.job.units).into_bytes());
    let (files, edited) = write_claimed(claimed, each_file(&joint.job, &joint.plan, None).chain([split]))?;
    Ok(Ending::of_plan(screens::together(&joint, out, files) + &edited, &joint.job, &joint.plan))
}
