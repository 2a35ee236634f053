//! Printed sheets: one page for the whole job, and each sheet by itself.
//!
//! Every page stands alone: style and drawings lie inside it, there is no script and nothing is fetched. Sheets are
//! laid out for letter and A4 paper and fold down to the width of a phone.

mod balance_figure;
mod bars_figure;
mod bends_page;
mod board_figure;
mod buy_page;
mod case_door;
mod case_figure;
mod case_page;
mod cloth_figure;
mod cloth_page;
mod elevations;
mod figure;
mod glue_page;
mod panel_figure;
mod panels_figure;
mod panels_page;
mod quote_page;
mod rip_page;
mod rip_settings;
mod shell;
mod stick_page;
mod tags_page;
mod worth_page;

use maud::Markup;

use self::shell::Words;
use crate::bill::OfferHead;
use crate::job::Job;
use crate::plan::Plan;
use crate::report::{cut_short, files};

#[cfg(feature = "open")]
pub(crate) use board_figure::figure_of;
pub use board_figure::{BoardScale, board_figure};
pub use figure::{Figure, Hang, Mark};
pub use shell::STYLE;
pub(crate) use shell::ranges;
pub use worth_page::worth_card;

/// One sheet: its file name without ending, its title and what stands on it.
struct Page<'a> {
    file: String,
    title: String,
    body: Box<dyn Fn() -> Markup + 'a>,
    /// Handed over to the client: nothing of how the plan came about.
    for_client: bool,
    place: Place,
}

/// Whether a sheet is printed with the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    /// Among the sheets of the whole job.
    Job,
    /// For the bench, printed once and by itself.
    Bench,
    /// For whoever may see prices.
    Office,
}

impl<'a> Page<'a> {
    /// A page whose body is there.
    fn new(file: impl Into<String>, title: impl Into<String>, body: Markup) -> Self {
        Self::made_anew(file, title, move || body.clone())
    }

    /// A page whose body is made whenever it is asked for: there may be thousands of its kind.
    fn made_anew(file: impl Into<String>, title: impl Into<String>, body: impl Fn() -> Markup + 'a) -> Self {
        Self { file: file.into(), title: title.into(), body: Box::new(body), for_client: false, place: Place::Job }
    }
}

/// More sheets than these no browser shows well in one page, and nobody prints at once.
const MOST_IN_ONE: usize = 400;

/// `job.html` and every sheet as a file of its own under `pages/`, as name and text.
#[must_use]
pub fn page_files(job: &Job, plan: &Plan) -> Vec<(String, Vec<u8>)> {
    each_page(job, plan, None, &files::rips_and_mark(job, plan).1).collect()
}

/// The same one after the other, with number and dates on the quote, where it has them, and the mark of the plan.
pub(super) fn each_page<'a>(
    job: &'a Job,
    plan: &'a Plan,
    head: Option<OfferHead>,
    mark: &str,
) -> impl Iterator<Item = (String, Vec<u8>)> + use<'a> {
    let words = Words::new(job);
    let banner = cut_short(job, plan);
    let fronts = elevations::elevations(words, job, &plan.doors);
    let sheets = pages(job, plan, quote_page::client(job, plan, head, &fronts), mark);
    let (in_job, apart): (Vec<Page>, Vec<Page>) = sheets.into_iter().partition(|page| page.place == Place::Job);
    let whole = shell::whole_job(words, job, (&in_job, &apart), banner.as_deref(), &fronts);
    let single = move |page: Page| {
        let text = shell::single(words, job, &page, banner.as_deref()).into_string();
        (format!("pages/{}.html", page.file), text.into_bytes())
    };
    let whole = ("job.html".to_owned(), whole.into_string().into_bytes());
    std::iter::once(whole).chain(in_job.into_iter().chain(apart).map(single))
}

/// All sheets, in the order of work, then the papers of the office.
fn pages<'a>(job: &'a Job, plan: &'a Plan, for_client: Markup, mark: &str) -> Vec<Page<'a>> {
    let words = Words::new(job);
    let mut pages = vec![
        Page::new("buy", "Buy sheet", buy_page::buy(words, job, plan)),
        Page::new("rip", "Rip sheet", rip_page::rip(words, job, plan, mark)),
        Page::new("cloth", "Cloth sheet", cloth_page::cloth(words, job, plan)),
    ];
    pages.extend(glue_page::glue_up(words, job, plan).map(|body| Page::new("glue-up", "Glue-up sheet", body)));
    pages.extend(case_page::cases(words, job, plan));
    pages.extend(panels_page::panels(words, job, plan).map(|body| Page::new("panels", "Panel sheet", body)));
    pages.extend(bends_page::bends(job, plan).map(|body| Page::new("bends", "Test corners, full size", body)));
    pages.push(Page::new("tags", "Tags", tags_page::tags(words, job, plan)));
    let stick =
        stick_page::stick(words, job, plan).map(|body| Page::new("story-stick", "Story stick, full size", body));
    pages.extend(stick.map(|page| Page { place: Place::Bench, ..page }));
    let office = [
        Page { for_client: true, ..Page::new("quote-client", "Quote", for_client) },
        Page::new("quote-maker", "Quote, maker's copy", quote_page::maker(words, job, plan)),
        Page::new("defaults", "Defaults used", quote_page::defaults(job)),
    ];
    pages.extend(office.map(|page| Page { place: Place::Office, ..page }));
    pages
}
