//! What all pages share: document, style, heading, and figures in the user's unit.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{MOST_IN_ONE, Page, Place};
use crate::files::shortened;
use crate::job::Job;
use crate::measure::{Length, Units, force_unit, show_force};
use crate::report::{cautions, printable};

/// The stylesheet inside every page.
pub const STYLE: &str = include_str!("style.css");

/// Says lengths and names as the user's sheets do.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words {
    units: Units,
}

impl Words {
    pub(super) const fn new(job: &Job) -> Self {
        Self { units: job.units }
    }

    /// As a tape shows it, `~` where that is rounded: plain ASCII, so that it can be searched and copied.
    pub(super) fn len(self, length: Length) -> String {
        length.show_nearest(self.units)
    }

    /// A force with its unit.
    pub(super) fn force(self, newtons: f64) -> String {
        format!("{} {}", show_force(newtons, self.units), force_unit(self.units))
    }

    /// With the unit, for a figure that stands alone.
    pub(super) fn len_unit(self, length: Length) -> String {
        format!("{} {}", self.len(length), self.units.word())
    }

    pub(super) fn size(self, a: Length, b: Length) -> String {
        format!("{} x {}", self.len(a), self.len(b))
    }

    pub(super) const fn units(self) -> Units {
        self.units
    }

    /// What the figures of a sheet are in.
    fn legend(self) -> &'static str {
        match self.units {
            Units::Inch => "Lengths in inches; ~ marks a figure rounded to the nearest 1/64.",
            Units::Millimetre => "Lengths in millimetres; ~ marks a figure rounded to the nearest 0.1.",
        }
    }
}

/// `1 strip`, `3 strips`.
pub(super) fn count(n: u64, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// `1`, `2 and 3`, `2, 3 and 5 to 8`.
pub(crate) fn ranges(numbers: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let said: Vec<String> = runs
        .iter()
        .flat_map(|&(first, last)| match last - first {
            0 => vec![first.to_string()],
            1 => vec![first.to_string(), last.to_string()],
            _ => vec![format!("{first} to {last}")],
        })
        .collect();
    match said.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => said.concat(),
    }
}

/// A box to tick.
pub(super) fn tick() -> Markup {
    html! { input class="tick" type="checkbox" aria-label="done"; }
}

/// A line to write on, with what belongs there.
pub(super) fn blank_line(what: &str) -> Markup {
    html! { span class="write" { (what) } }
}

/// The usual cautions with the sentence that defers to manuals and licensed practice: on the index, once.
fn cautions() -> Markup {
    html! {
        div class="cautions" {
            h3 { "Cautions" }
            ul { @for caution in cautions::CAUTIONS { li { (caution) } } }
            p { (cautions::DEFERENCE) }
        }
    }
}

/// Those of the cautions that bind at a sheet's task, in a few lines; the whole list is on the index.
pub(super) fn some_cautions(which: &[usize]) -> Markup {
    let said: Vec<&str> = which.iter().filter_map(|at| cautions::CAUTIONS.get(*at).copied()).collect();
    html! { p class="cautions" { b { "Caution. " } (said.join(" ")) } }
}

/// Figures of a text with a fraction, such as `35-1/16`, and marks such as `CP1-L` are kept on one line, since half a
/// figure at the end of a line is a wrong cut, and their fractions are built up, so that whole and part are told apart at a
/// glance. The letters underneath stay as they are: what is searched, copied or pasted into a job file is `35-1/16`. Only
/// what stands between tags is looked at, and no drawing, whose lines never break.
fn unbroken(markup: &str) -> String {
    let mut out = String::with_capacity(markup.len() * 9 / 8);
    let mut drawing = 0usize;
    for piece in markup.split_inclusive('>') {
        let (text, tag) = piece.split_at(piece.find('<').unwrap_or(piece.len()));
        if drawing == 0 {
            figures_held(text, &mut out)
        } else {
            out.push_str(text)
        }
        out.push_str(tag);
        if tag.starts_with("<svg") {
            drawing += 1;
        } else if tag.starts_with("</svg") {
            drawing = drawing.saturating_sub(1);
        }
    }
    out
}

fn figures_held(text: &str, out: &mut String) {
    let figure = |c: char| c.is_ascii_digit() || matches!(c, '-' | '/' | '~');
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| figure(c) || c.is_ascii_alphabetic()) {
        let (before, from) = rest.split_at(start);
        out.push_str(before);
        let word = &from[..from.find(|c: char| !figure(c) && !c.is_ascii_alphanumeric()).unwrap_or(from.len())];
        let after = if is_mark(word) {
            *out += &format!("<span class=\"f\">{word}</span>");
            word.len()
        } else if from.starts_with(figure) {
            let token = &from[..from.find(|c| !figure(c)).unwrap_or(from.len())];
            figure_held(token, out);
            token.len()
        } else {
            let letters = from.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(from.len());
            out.push_str(&from[..letters]);
            letters
        };
        rest = &from[after..];
    }
    out.push_str(rest);
}

/// `CP1-L`, `S01-2`: capitals, a figure and a hyphen.
fn is_mark(word: &str) -> bool {
    let of_a_mark = |c: u8| c.is_ascii_uppercase() || c.is_ascii_digit() || c == b'-';
    let holds = |of: fn(&u8) -> bool| word.as_bytes().iter().any(of);
    word.bytes().all(of_a_mark)
        && holds(u8::is_ascii_digit)
        && holds(|c| *c == b'-')
        && word.starts_with(|c: char| c.is_ascii_uppercase())
}

/// A figure, or what looks like one; the names of thicknesses, `4/4`, are no fractions.
fn figure_held(token: &str, out: &mut String) {
    if let Some((whole, over, under)) = fraction(token) {
        *out += &format!("<span class=\"f\">{whole}<sup>{over}</sup>/<sub>{under}</sub></span>");
        return;
    }
    // Only a hyphen between figures breaks a figure: not a minus in front.
    let mixed = |at: &[u8]| at[0].is_ascii_digit() && at[1] == b'-' && at[2].is_ascii_digit();
    if token.as_bytes().windows(3).any(mixed) {
        *out += &format!("<span class=\"f\">{token}</span>");
    } else {
        out.push_str(token);
    }
}

/// What stands before the fraction of an inch at the end of a figure, and the two parts of that, as a tape has them: in
/// lowest terms and no finer than 1/64.
fn fraction(token: &str) -> Option<(&str, &str, &str)> {
    let (before, under) = token.split_once('/')?;
    let (whole, over) = before.split_at(before.rfind(|c: char| !c.is_ascii_digit()).map_or(0, |at| at + 1));
    let (upper, lower): (u32, u32) = (over.parse().ok()?, under.parse().ok()?);
    let on_a_tape = lower.is_power_of_two() && (2..=64).contains(&lower) && upper < lower && upper % 2 == 1;
    let figure = whole.trim_start_matches('~').trim_end_matches('-');
    let plain = figure.bytes().all(|c| c.is_ascii_digit()) && (figure.is_empty() || whole.ends_with('-'));
    (on_a_tape && plain).then_some((whole, over, under))
}

/// The foot of every page of a sheet: the job, the sheet, and which page of how many, so that a dropped stack can be put
/// in order again. Words of the user's go into a style in figures alone.
fn feet(job: &Job, pages: &[&Page]) -> String {
    let quoted = |text: &str| text.chars().map(|c| format!("\\{:x} ", u32::from(c))).collect::<String>();
    let foot = |page: &Page| {
        format!(
            "section.{0} {{ page: {0}; }} @page {0} {{ @bottom-left {{ content: \"{1}\"; }} @bottom-center {{ content: \
             \"{2}\"; }} }}\n",
            page.file,
            quoted(&shortened(&printable(&job.name), LONGEST_IN_A_FOOT)),
            quoted(&shortened(&page.title, LONGEST_IN_A_FOOT)),
        )
    };
    pages.iter().map(|page| foot(page)).collect()
}

/// Letters of a name in the foot of a page.
const LONGEST_IN_A_FOOT: usize = 40;

fn document(title: &str, feet: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(feet)) }
            }
            body { (PreEscaped(unbroken(&body.0))) }
        }
    }
}

/// On every sheet of a plan whose packing was stopped early.
fn cut_short_banner(said: Option<&str>) -> Markup {
    html! { @if let Some(said) = said { p class="banner" { "Note: " (said) "." } } }
}

fn heading(words: Words, job: &Job, page: &Page, banner: Option<&str>) -> Markup {
    html! {
        header {
            h2 id=(page.file) { (page.title) }
            p class="job" {
                (printable(&job.name))
                @if let Some(client) = &job.client { ", for " (printable(client)) }
                @if !page.for_client { ". " span class="legend" { (words.legend()) } }
            }
            @if !page.for_client { (cut_short_banner(banner)) }
        }
    }
}

/// One sheet as a page of its own.
pub(super) fn single(words: Words, job: &Job, page: &Page, banner: Option<&str>) -> Markup {
    let title = format!("{}: {}", page.title, printable(&job.name));
    document(
        &title,
        &feet(job, &[page]),
        &html! { main { section class=(page.file) { (heading(words, job, page, banner)) ((page.body)()) } } },
    )
}

/// Every sheet of the shop, one after the other, with the cabinets and a list of the sheets in front; these alone where the
/// sheets are too many. The story stick and the papers of the office are named there and are files of their own: one is
/// printed once, the others show prices.
pub(super) fn whole_job(
    words: Words,
    job: &Job,
    (pages, alone): (&[Page], &[Page]),
    banner: Option<&str>,
    elevations: &Markup,
) -> Markup {
    let apart = pages.len() > MOST_IN_ONE;
    let held: &[Page] = if apart { &[] } else { pages };
    let body = html! {
        main {
            section class="front" {
                h1 { (printable(&job.name)) }
                @if let Some(client) = &job.client { p class="job" { "for " (printable(client)) } }
                (cut_short_banner(banner))
                (elevations)
                p {
                    @if apart { "The job has more sheets than one page can show: each is a file in the folder " code { "pages" } "." }
                    @else { "All sheets of the job, for the shop. Each is a file of its own in the folder " code { "pages" } " too." }
                }
                nav { ol class="sheets" {
                    @for page in pages {
                        li {
                            @if apart { (file_link(page)) } @else { a href={ "#" (page.file) } { (page.title) } }
                        }
                    }
                } }
                p {
                    "Not among these sheets, each a file of its own"
                    (file_links(": for the bench ", alone, Place::Bench)) (file_links("; for the office ", alone, Place::Office)) "."
                }
                (cautions())
            }
            @for page in held { section class=(page.file) { (heading(words, job, page, banner)) ((page.body)()) } }
        }
    };
    document(&printable(&job.name), &feet(job, &held.iter().collect::<Vec<_>>()), &body)
}

fn file_link(page: &Page) -> Markup {
    html! { a href={ "pages/" (page.file) ".html" } { (page.title) } }
}

/// Links to the sheets of a kind, where there are any.
fn file_links(before: &str, pages: &[Page], place: Place) -> Markup {
    let of_it: Vec<&Page> = pages.iter().filter(|page| page.place == place).collect();
    html! {
        @if !of_it.is_empty() { (before) }
        @for (at, page) in of_it.into_iter().enumerate() { @if at > 0 { ", " } (file_link(page)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fraction_is_built_up_and_held_and_stays_plain_text() {
        let text =
            "<p title=\"1-1/2\">cut 35-1/16 x ~4-3/8, 5/8 to S01-2, CP1-L of 4/4, 2/4 on 04/05/2026, -1/8 in 7/100</p>";
        let held = unbroken(&format!("{text}<svg><text>1-1/8</text></svg>"));
        assert_eq!(
            held,
            "<p title=\"1-1/2\">cut <span class=\"f\">35-<sup>1</sup>/<sub>16</sub></span> x <span \
             class=\"f\">~4-<sup>3</sup>/<sub>8</sub></span>, <span class=\"f\"><sup>5</sup>/<sub>8</sub></span> to \
             <span class=\"f\">S01-2</span>, <span class=\"f\">CP1-L</span> of 4/4, 2/4 on 04/05/2026, <span \
             class=\"f\">-<sup>1</sup>/<sub>8</sub></span> in 7/100</p><svg><text>1-1/8</text></svg>"
        );
        let plain = ["<span class=\"f\">", "</span>", "<sup>", "</sup>", "<sub>", "</sub>"];
        let read = plain.iter().fold(held, |text, tag| text.replace(tag, ""));
        assert_eq!(read, format!("{text}<svg><text>1-1/8</text></svg>"));
    }

    #[test]
    fn numbers_are_said_as_a_person_says_them() {
        assert_eq!(ranges(&[1]), "1");
        assert_eq!(ranges(&[2, 3]), "2 and 3");
        assert_eq!(ranges(&[2, 3, 5, 6, 7, 9]), "2, 3, 5 to 7 and 9");
        assert_eq!(ranges(&[4, 5, 6]), "4 to 6");
        assert_eq!((count(1, "rip"), count(0, "rip")), ("1 rip".to_owned(), "0 rips".to_owned()));
    }

    #[test]
    fn more_sheets_than_a_browser_shows_are_linked_to() {
        let text = "name = \"a\"\nunits = \"in\"\nboards = \"b.csv\"\nstrip = [{ name = \"s\", species = \"cherry\", length = 30,\n\
                    width = \"5/8\", thickness = \"3/8\", quantity = 1, spares = \"none\" }]\n";
        let boards = "stock,species,thickness,width,length,on_hand,price,per\nc,cherry,4/4,6,96,,9.85,bf\n";
        let sources = crate::files::Sources::in_memory("job.toml", text).with("b.csv", boards);
        let job = crate::job::parse(&sources).unwrap();
        let page = |number: usize| Page::new(format!("case-{number}"), "Case", html! { p { "the body" } });
        let whole = |most: usize| {
            let pages: Vec<Page> = (1..=most).map(page).collect();
            whole_job(Words::new(&job), &job, (&pages, &[]), None, &html! {}).into_string()
        };
        let (all, listed) = (whole(MOST_IN_ONE), whole(MOST_IN_ONE + 1));
        assert_eq!(all.matches("the body").count(), MOST_IN_ONE);
        assert!(all.contains("href=\"#case-400\""));
        assert!(!listed.contains("the body"));
        assert!(listed.contains("href=\"pages/case-401.html\""));
    }
}
