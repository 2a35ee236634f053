//! Printed sheets: one page for the whole job, and each sheet by itself.
//!
//! Every page stands alone: style and drawings lie inside it, there is no script and nothing is fetched. Sheets are
//! laid out for letter and A4 paper and fold down to the width of a phone.

mod balance_figure;
mod board_figure;
mod buy_page;
mod case_figure;
mod case_page;
mod cloth_page;
mod figure;
mod glue_page;
mod panel_figure;
mod quote_page;
mod rip_page;
mod rip_settings;
mod shell;

use maud::Markup;

use self::shell::Words;
use crate::bill::OfferHead;
use crate::job::Job;
use crate::plan::Plan;

pub use board_figure::{BoardScale, board_figure};
pub use figure::{Figure, Hang, Mark};
pub use shell::STYLE;
pub(crate) use shell::ranges;

/// One sheet: its file name without ending, its title and what stands on it.
struct Page {
    file: String,
    title: String,
    body: Markup,
}

impl Page {
    fn new(file: impl Into<String>, title: impl Into<String>, body: Markup) -> Self {
        Self { file: file.into(), title: title.into(), body }
    }
}

/// `job.html` and every sheet as a file of its own under `pages/`, as name and text.
#[must_use]
pub fn page_files(job: &Job, plan: &Plan) -> Vec<(String, Vec<u8>)> {
    headed_pages(job, plan, None)
}

/// The same with number and dates on the quote, where it has them.
#[must_use]
pub fn headed_pages(job: &Job, plan: &Plan, head: Option<OfferHead>) -> Vec<(String, Vec<u8>)> {
    let words = Words::new(job);
    let mut pages = vec![
        Page::new("buy", "Buy sheet", buy_page::buy(words, job, plan)),
        Page::new("rip", "Rip sheet", rip_page::rip(words, job, plan)),
        Page::new("cloth", "Cloth sheet", cloth_page::cloth(words, job, plan)),
    ];
    pages.extend(glue_page::panels(words, job, plan));
    pages.extend(case_page::cases(words, job, plan));
    pages.push(Page::new("quote-client", "Quote", quote_page::client(job, plan, head)));
    pages.push(Page::new("quote-maker", "Quote, maker's copy", quote_page::maker(words, job, plan)));

    let mut files = vec![("job.html".to_owned(), shell::whole_job(words, job, &pages).into_string().into_bytes())];
    files.extend(
        pages.iter().map(|page| {
            (format!("pages/{}.html", page.file), shell::single(words, job, page).into_string().into_bytes())
        }),
    );
    files
}
