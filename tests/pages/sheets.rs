//! The demo jobs planned once, and how their sheets are read.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Mutex;

use slatwright::job::{self, Job};
use slatwright::packing::{Budget, Flow};
use slatwright::plan::{Plan, plan};
use slatwright::report::pages::page_files;

pub(crate) const REAL: &str = "jobs/harbour_archive.toml";
pub(crate) const SMALL: &str = "jobs/small_press.toml";
/// Names that are markup, millimetres, a rip-first shop, a roll-up.
pub(crate) const ODD: &str = "tests/pages/odd/job.toml";

/// Each job is planned once for all tests.
pub(crate) fn planned(path: &str) -> (Job, Plan) {
    static PLANNED: Mutex<BTreeMap<String, (Job, Plan)>> = Mutex::new(BTreeMap::new());
    let mut planned = PLANNED.lock().expect("no test fails in here");
    planned.entry(path.to_owned()).or_insert_with(|| plan_job(path)).clone()
}

pub(crate) fn plan_job(path: &str) -> (Job, Plan) {
    let job = job::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).expect("a job that loads");
    let planned = plan(&job, &Budget::default(), &mut |_, _| Flow::Continue).expect("a job that can be planned");
    (job, planned)
}

pub(crate) fn pages(job: &Job, plan: &Plan) -> BTreeMap<String, String> {
    page_files(job, plan).into_iter().map(|(name, text)| (name, String::from_utf8(text).expect("UTF-8"))).collect()
}

/// What stands between `open` and the next `close`, for each `open`.
pub(crate) fn between<'a>(text: &'a str, open: &str, close: &str) -> Vec<&'a str> {
    text.split(open).skip(1).map(|rest| rest.split(close).next().expect("split yields a first piece")).collect()
}

/// The markup without the dress of its figures and fractions.
pub(crate) fn undressed(markup: &str) -> String {
    let dress = ["<span class=\"f\">", "</span>", "<sup>", "</sup>", "<sub>", "</sub>"];
    dress.iter().fold(markup.to_owned(), |text, tag| text.replace(tag, ""))
}

pub(crate) fn words(markup: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in markup.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

pub(crate) fn attribute(tag: &str, name: &str) -> f64 {
    between(tag, &format!(" {name}=\""), "\"")[0].parse().expect("a figure")
}

/// (width, height) of every rectangle of one pen.
pub(crate) fn rects(svg: &str, pen: &str) -> Vec<(f64, f64)> {
    between(svg, &format!("<rect class=\"{pen}\""), ">")
        .iter()
        .map(|t| (attribute(t, "width"), attribute(t, "height")))
        .collect()
}
