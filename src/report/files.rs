//! The files of a plan folder.

use super::pages::each_page;
use super::sheets::{
    Sheet, boards, bundles, buy, case, cloth_bolts, cloth_pieces, costs, doors, fit, rips, sheet_cuts, sheets, slats,
    stops, summary,
};
use super::template_files::each_template;
use super::{csv_text, quote};
use crate::bill::{OfferHead, headed_quote};
use crate::job::Job;
use crate::plan::Plan;
use crate::shopfloor::{plan_mark, stock_mark};

/// Every file of a plan folder as name (with `/` in folders) and content.
#[must_use]
pub fn plan_files(job: &Job, plan: &Plan) -> Vec<(String, Vec<u8>)> {
    each_file(job, plan, None).collect()
}

/// The same one after the other, each made when it is asked for: the files of a large job are together many times as
/// large as its plan. With number and dates on the quote, where it has them.
pub fn each_file<'a>(
    job: &'a Job,
    plan: &'a Plan,
    head: Option<OfferHead>,
) -> impl Iterator<Item = (String, Vec<u8>)> + 'a {
    let csv = move |table: &Table| {
        let sheet = table(job, plan, head);
        (format!("{}.csv", sheet.name), csv_text(&sheet, job.units).into_bytes())
    };
    let (rips, mark) = rips_and_mark(job, plan);
    let (before, after) = TABLES.split_at(BEFORE_RIPS);
    let csv = before.iter().map(csv).chain([("rips.csv".to_owned(), rips.into_bytes())]).chain(after.iter().map(csv));
    let templates = each_template(job, &plan.doors);
    let templates = templates.map(|file| (format!("templates/{}", file.name), file.text.into_bytes()));
    csv.chain(each_page(job, plan, head, &mark)).chain(templates)
}

/// The longest table as it is written, and the mark of the plan, which is made of it.
pub(super) fn rips_and_mark(job: &Job, plan: &Plan) -> (String, String) {
    let text = csv_text(&rips(job, plan), job.units);
    let mark = plan_mark(&text, &stock_mark(job));
    (text, mark)
}

/// A table of the folder; the rips have their place among them.
type Table = fn(&Job, &Plan, Option<OfferHead>) -> Sheet;

/// How many of them stand before the rips.
const BEFORE_RIPS: usize = 5;

const TABLES: [Table; 17] = [
    |job, plan, _| doors(job, &plan.doors),
    |job, plan, _| fit(job, &plan.doors),
    |_, plan, _| stops(&plan.doors),
    |_, plan, _| slats(plan),
    |job, plan, _| boards(job, plan),
    |_, plan, _| bundles(plan),
    |job, plan, _| case(job, plan),
    |job, plan, _| sheets(job, plan),
    |job, plan, _| sheet_cuts(job, plan),
    |job, plan, _| cloth_pieces(job, plan),
    |job, plan, _| cloth_bolts(job, plan),
    |_, plan, _| buy(plan),
    |_, plan, _| costs(plan),
    |job, plan, _| quote::hours(job, plan),
    |job, plan, _| quote::shares(job, plan),
    |job, plan, head| quote::client(&headed_quote(job, &plan.doors, &plan.bill, head), &plan.options),
    |job, plan, _| summary(job, plan),
];
