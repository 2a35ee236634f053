//! A plan kept in its folder, printed again without packing anew, as long as it is the plan of the files as they are.

use std::collections::BTreeMap;
use std::path::Path;

use super::{Ending, cut_short_note, load_with_files, next_step, screens, whole_text, width};
use crate::files::SourceFile;
use crate::job::Job;
use crate::measure::Cents;
use crate::plan::Plan;
use crate::report::{CutShort, csv_text, folder, inputs};

/// In the folder: the files that the plan was made of.
const INPUTS: &str = "inputs.csv";

/// What can be printed of a kept plan.
#[derive(Debug, Clone, Copy)]
pub(super) enum Kept {
    Quote,
    ClientQuote,
    Buy,
    Rip,
    Cloth,
}

impl Kept {
    const ALL: [Self; 5] = [Self::Quote, Self::ClientQuote, Self::Buy, Self::Rip, Self::Cloth];

    /// The file with the screen, and the one with the table.
    const fn files(self) -> (&'static str, &'static str) {
        match self {
            Self::Quote => ("text/quote.txt", "costs.csv"),
            Self::ClientQuote => ("text/quote-client.txt", "quote.csv"),
            Self::Buy => ("text/buy.txt", "buy.csv"),
            Self::Rip => ("text/rip.txt", "rips.csv"),
            Self::Cloth => ("text/cloth.txt", "cloth_pieces.csv"),
        }
    }

    fn screen(self, job: &Job, plan: &Plan) -> String {
        match self {
            Self::Quote => screens::quote(job, plan, None),
            Self::ClientQuote => screens::client(job, plan, None),
            Self::Buy => screens::buy(job, plan),
            Self::Rip => screens::rip(job, plan),
            Self::Cloth => screens::cloth(job, plan),
        }
    }
}

/// What a plan folder holds beside the plan's own files: the screens, and what the plan was made of.
pub(super) fn to_keep(job: &Job, plan: &Plan, read: &[SourceFile]) -> Vec<(String, Vec<u8>)> {
    let screens =
        Kept::ALL.map(|kept| (kept.files().0.to_owned(), width::for_a_file(|| kept.screen(job, plan)).into_bytes()));
    let inputs = (INPUTS.to_owned(), csv_text(&inputs(read), job.units).into_bytes());
    screens.into_iter().chain([inputs]).collect()
}

/// Prints what the plan in `folder` holds, if the files of the job at `path` are those it was made of.
pub(super) fn print(path: &Path, folder: &Path, what: Kept, csv: bool) -> Result<Ending, Ending> {
    let (job, now) = load_with_files(path)?;
    let _quiet = folder::read(folder).map_err(|error| Ending::wrong(&error, next_step::after_folder(&error)))?;
    if !folder.join(INPUTS).is_file() {
        let what = format!("`{}` does not hold a plan of a single job", folder.display());
        return Err(Ending::wrong(what, "name the folder that `slatwright plan JOB --out FOLDER` wrote"));
    }
    let then = whole_text(&folder.join(INPUTS))?;
    let changed = changes(&then, &csv_text(&inputs(&now), job.units));
    if !changed.is_empty() {
        let what = format!("the plan in `{}` is of other files: {}", folder.display(), changed.join("; "));
        let help = "plan the job anew into that folder, or leave `--plan` out";
        return Err(Ending::wrong(what, help));
    }
    let (screen, table) = what.files();
    let output = whole_text(&folder.join(if csv { table } else { screen }))?;
    let summary = whole_text(&folder.join("summary.csv"))?;
    let note = cut_short_note(was_cut_short(&summary).map(|short| short.say(&job.shop.currency)));
    Ok(Ending::Done { output, note })
}

/// The rows of `inputs.csv`, by what they are.
fn rows(text: &str) -> BTreeMap<(String, String), String> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows = reader.deserialize::<(String, String, String)>().filter_map(Result::ok);
    rows.map(|(what, name, digest)| ((what, name), digest)).collect()
}

/// What is no longer as it was when the plan was made.
fn changes(then: &str, now: &str) -> Vec<String> {
    let (then, now) = (rows(then), rows(now));
    let name = |(what, name): &(String, String)| match what.as_str() {
        "job" => "the job file".to_owned(),
        "program" => "slatwright itself".to_owned(),
        _ => format!("`{name}`"),
    };
    let mut said = Vec::new();
    for (file, digest) in &now {
        match then.get(file) {
            Some(was) if was == digest => {}
            Some(_) => said.push(format!("{} changed since", name(file))),
            None => said.push(format!("{} was not read then", name(file))),
        }
    }
    let gone = then.keys().filter(|file| !now.contains_key(file));
    said.extend(gone.map(|file| format!("{} is not read any more", name(file))));
    said
}

/// How far a plan that was cut short may be from the least, by its summary.
fn was_cut_short(summary: &str) -> Option<CutShort> {
    let mut reader = csv::Reader::from_reader(summary.as_bytes());
    let rows = reader.deserialize::<(String, String, String)>().filter_map(Result::ok);
    let figures: BTreeMap<String, String> = rows.map(|(figure, value, _)| (figure, value)).collect();
    let cents = |figure: &str| figures.get(figure).and_then(|value| value.replace('.', "").parse().ok()).unwrap_or(0);
    let open = |cost: &str| Cents::new(cents(cost) - cents(&format!("{cost}_bound")));
    let short = figures.get("cut_short").is_some_and(|value| value == "yes");
    short.then(|| CutShort { boards: open("board_cost"), cloth: open("cloth_cost"), sheets: open("sheet_cost") })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_named_by_its_file() {
        let then = "what,name,digest\njob,,1\nfile,boards.csv,2\nfile,shop.toml,3\nprogram,slatwright,0.1.0\n";
        assert!(changes(then, then).is_empty());
        let now = "what,name,digest\njob,,9\nfile,boards.csv,8\nfile,cloth.csv,3\nprogram,slatwright,0.1.0\n";
        let said = changes(then, now);
        let expected = [
            "`boards.csv` changed since",
            "`cloth.csv` was not read then",
            "the job file changed since",
            "`shop.toml` is not read any more",
        ];
        assert_eq!(said, expected);
    }

    #[test]
    fn a_summary_says_how_far_a_plan_cut_short_is_open() {
        let text = |word: &str| {
            format!(
                "figure,value,unit\nboard_cost,12.50,USD\nboard_cost_bound,12.00,USD\ncloth_cost,3.00,USD\n\
                 cloth_cost_bound,3.00,USD\ncut_short,{word},\n"
            )
        };
        assert_eq!(was_cut_short(&text("no")), None);
        let open = CutShort { boards: Cents::new(50), cloth: Cents::ZERO, sheets: Cents::ZERO };
        assert_eq!(was_cut_short(&text("yes")), Some(open));
    }
}
