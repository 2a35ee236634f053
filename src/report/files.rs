//! The files of a plan folder.

use super::pages::page_files;
use super::sheets::{boards, bundles, buy, cloth_bolts, cloth_pieces, costs, doors, fit, rips, slats, stops, summary};
use super::{csv_text, quote, template_files};
use crate::bill;
use crate::job::Job;
use crate::plan::Plan;

/// Every file of a plan folder as name (with `/` in folders) and content.
#[must_use]
pub fn plan_files(job: &Job, plan: &Plan) -> Vec<(String, Vec<u8>)> {
    let sheets = [
        doors(job, &plan.doors),
        fit(job, &plan.doors),
        stops(&plan.doors),
        slats(plan),
        boards(job, plan),
        rips(job, plan),
        bundles(plan),
        cloth_pieces(job, plan),
        cloth_bolts(job, plan),
        buy(plan),
        costs(plan),
        quote::hours(plan),
        quote::shares(job, plan),
        quote::client(&bill::quote(job, &plan.doors, &plan.bill)),
        summary(job, plan),
    ];
    let csv = sheets.iter().map(|sheet| (format!("{}.csv", sheet.name), csv_text(sheet, job.units).into_bytes()));
    let templates = template_files(job, &plan.doors).into_iter();
    let templates = templates.map(|file| (format!("templates/{}", file.name), file.text.into_bytes()));
    csv.chain(page_files(job, plan)).chain(templates).collect()
}
