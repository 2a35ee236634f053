//! What all pages share: document, style, heading, and figures in the user's unit.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::Page;
use crate::job::Job;
use crate::measure::{Length, Units};
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

    /// As a tape shows it, `~` where that is rounded. The hyphen of `35-1/16` is one at which no line breaks (U+2011):
    /// half a figure at the end of a line is a wrong cut.
    pub(super) fn len(self, length: Length) -> String {
        length.show_nearest(self.units).replace('-', "\u{2011}")
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
    html! { span class="tick" {} }
}

/// A line to write on, with what belongs there.
pub(super) fn blank_line(what: &str) -> Markup {
    html! { span class="write" { (what) } }
}

/// The usual cautions with the sentence that defers to manuals and licensed practice.
pub(super) fn cautions() -> Markup {
    html! {
        div class="cautions" {
            h3 { "Cautions" }
            ul { @for caution in cautions::CAUTIONS { li { (caution) } } }
            p { (cautions::DEFERENCE) }
        }
    }
}

/// Some of the cautions, in their order, for a sheet that sends nobody to all machines.
pub(super) fn some_cautions(which: &[usize]) -> Markup {
    html! {
        div class="cautions" {
            ul { @for at in which { @if let Some(caution) = cautions::CAUTIONS.get(*at) { li { (caution) } } } }
            p { (cautions::DEFERENCE) }
        }
    }
}

fn document(title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { (body) }
        }
    }
}

fn heading(words: Words, job: &Job, page: &Page) -> Markup {
    html! {
        header {
            p class="job" {
                (printable(&job.name))
                @if let Some(client) = &job.client { ", for " (printable(client)) }
            }
            h2 id=(page.file) { (page.title) }
            p class="legend" { (words.legend()) }
        }
    }
}

/// One sheet as a page of its own.
pub(super) fn single(words: Words, job: &Job, page: &Page) -> Markup {
    let title = format!("{}: {}", page.title, printable(&job.name));
    document(&title, &html! { main { section class=(page.file) { (heading(words, job, page)) (page.body) } } })
}

/// Every sheet of the job, one after the other, with a list of them in front.
pub(super) fn whole_job(words: Words, job: &Job, pages: &[Page]) -> Markup {
    let body = html! {
        main {
            section class="front" {
                h1 { (printable(&job.name)) }
                @if let Some(client) = &job.client { p class="job" { "for " (printable(client)) } }
                p {
                    "All sheets of the job, for the shop. Each is a file of its own in the folder "
                    code { "pages" } ", to print or to send: the client's copy of the quote is "
                    code { "pages/quote-client.html" } "."
                }
                nav { ol class="sheets" {
                    @for page in pages { li { a href={ "#" (page.file) } { (page.title) } } }
                } }
            }
            @for page in pages { section class=(page.file) { (heading(words, job, page)) (page.body) } }
        }
    };
    document(&printable(&job.name), &body)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_said_as_a_person_says_them() {
        assert_eq!(ranges(&[1]), "1");
        assert_eq!(ranges(&[2, 3]), "2 and 3");
        assert_eq!(ranges(&[2, 3, 5, 6, 7, 9]), "2, 3, 5 to 7 and 9");
        assert_eq!(ranges(&[4, 5, 6]), "4 to 6");
        assert_eq!((count(1, "rip"), count(0, "rip")), ("1 rip".to_owned(), "0 rips".to_owned()));
    }
}
