//! Which counts are of which plan: `--plan a --cut monday --cut tuesday --plan b --cut wednesday`.

use std::path::PathBuf;

use clap::{ArgMatches, Args, Command, Error, FromArgMatches};

use super::Ending;

/// Plans that were cut, with their counts, as they stand on the command line.
#[derive(Debug, Args)]
struct Named {
    /// The plan folder that was cut; one for each cut.
    #[arg(long, required = true)]
    plan: Vec<PathBuf>,
    /// What was counted: rows as `--blank` prints, or
    /// lines such as `board 3: 2 bowed`. One for each
    /// plan, or for each day behind its `--plan`
    #[arg(long, verbatim_doc_comment)]
    cut: Vec<PathBuf>,
}

/// The same with their places on the command line.
#[derive(Debug)]
pub(super) struct Cuts {
    named: Named,
    plans_at: Vec<usize>,
    cuts_at: Vec<usize>,
}

impl Args for Cuts {
    fn augment_args(command: Command) -> Command {
        Named::augment_args(command)
    }

    fn augment_args_for_update(command: Command) -> Command {
        Named::augment_args_for_update(command)
    }
}

impl FromArgMatches for Cuts {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, Error> {
        let at = |name: &str| matches.indices_of(name).into_iter().flatten().collect();
        Ok(Self { named: Named::from_arg_matches(matches)?, plans_at: at("plan"), cuts_at: at("cut") })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Cuts {
    /// The plan folders, the first cut first.
    pub(super) fn plans(&self) -> &[PathBuf] {
        &self.named.plan
    }

    /// All counts.
    pub(super) fn counts(&self) -> &[PathBuf] {
        &self.named.cut
    }

    /// The counts of each plan. All are of a single plan. Where all counts stand on one side of the plans there has to
    /// be one for each, in their order; otherwise each is of the plan before it.
    pub(super) fn by_plan(&self) -> Result<Vec<Vec<PathBuf>>, Ending> {
        let (plans, cuts) = (&self.named.plan, &self.named.cut);
        if let [_] = plans[..] {
            return Ok(vec![cuts.clone()]);
        }
        let (first, last) = (self.plans_at.first(), self.plans_at.last());
        let between = |at: &usize| Some(at) > first && Some(at) < last;
        let mut days = vec![Vec::new(); plans.len()];
        if !self.cuts_at.iter().any(between) {
            if !cuts.is_empty() && cuts.len() != plans.len() {
                let what = match (cuts.len(), plans.len()) {
                    (cuts, plans) if cuts > plans => "there are more counts than plans".to_owned(),
                    (cuts, plans) => format!("{plans} plans have {cuts} count{}", if cuts == 1 { "" } else { "s" }),
                };
                let help = "write each `--cut` behind its `--plan`: `--plan out --cut monday.txt --cut tuesday.txt \
                            --plan again --cut friday.txt`";
                return Err(Ending::wrong(what, help));
            }
            days.iter_mut().zip(cuts).for_each(|(days, cut)| days.push(cut.clone()));
            return Ok(days);
        }
        for (at, cut) in self.cuts_at.iter().zip(cuts) {
            let before = self.plans_at.iter().filter(|plan| *plan < at).count();
            let Some(plan) = before.checked_sub(1) else {
                let what = format!("the count `{}` stands before every plan", cut.display());
                return Err(Ending::wrong(what, "write each `--cut` behind its `--plan`"));
            };
            days[plan].push(cut.clone());
        }
        Ok(days)
    }
}
