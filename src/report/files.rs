//! The files of a plan folder.

use super::pages::headed_pages;
use super::sheets::{
    boards, bundles, buy, case, cloth_bolts, cloth_pieces, costs, doors, fit, rips, sheet_cuts, sheets, slats, stops,
    summary,
};
use super::{csv_text, quote, template_files};
use crate::bill::{OfferHead, headed_quote};
use crate::job::Job;
use crate::plan::Plan;

/// Every file of a plan folder as name (with `/` in folders) and content.
#[must_use]
pub fn plan_files(job: &Job, plan: &Plan) -> Vec<(String, Vec<u8>)> {
    headed_files(job, plan, None)
}

/// The same with number and dates on the quote, where it has them.
#[must_use]
pub fn headed_files(job: &Job, plan: &Plan, head: Option<OfferHead>) -> Vec<(String, Vec<u8>)> {
    let tables = [
        doors(job, &plan.doors),
        fit(job, &plan.doors),
        stops(&plan.doors),
        slats(plan),
        boards(job, plan),
        rips(job, plan),
        bundles(plan),
        case(job, plan),
        sheets(job, plan),
        sheet_cuts(job, plan),
        cloth_pieces(job, plan),
        cloth_bolts(job, plan),
        buy(plan),
        costs(plan),
        quote::hours(job, plan),
        quote::shares(job, plan),
        quote::client(&headed_quote(job, &plan.doors, &plan.bill, head), &plan.options),
        summary(job, plan),
    ];
    let csv = tables.iter().map(|sheet| (format!("{}.csv", sheet.name), csv_text(sheet, job.units).into_bytes()));
    let templates = template_files(job, &plan.doors).into_iter();
    let templates = templates.map(|file| (format!("templates/{}", file.name), file.text.into_bytes()));
    csv.chain(headed_pages(job, plan, head)).chain(templates).collect()
}
