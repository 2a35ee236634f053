//! Problems of the files as a person reads them: the line at fault, what is wrong, what would be right.

use std::ops::Range;

use annotate_snippets::{Annotation, AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};

use crate::files::{Place, Problem, Problems, Span, steers};

/// Bytes of a line shown on each side of the text at fault; a longer line is cut there.
const SIDE: usize = 120;

/// All problems, one after the other, and how many they are.
#[must_use]
pub fn render(problems: &Problems, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut out = String::new();
    for problem in problems.printed() {
        out.push_str(&renderer.render(&[group(problems, problem)]));
        out.push_str("\n\n");
    }
    let count = problems.count();
    out.push_str(&format!("{count} problem{}", if count == 1 { "" } else { "s" }));
    if problems.unprinted() > 0 {
        out.push_str(&format!(", {} of them not shown", problems.unprinted()));
    }
    out.push('\n');
    out
}

fn group<'a>(problems: &'a Problems, problem: &'a Problem) -> Group<'a> {
    let title = Level::ERROR.primary_title(problem.what.as_str());
    let mut group = match window(problems, problem.place) {
        Some(window) => {
            let primary = AnnotationKind::Primary.span(window.span.clone());
            title.elements(window.elements(problems, problem.place, primary))
        }
        None => title.element(Origin::path(problems.file(problem.place).shown_path())),
    };
    for (place, remark) in &problem.also {
        if let Some(window) = window(problems, *place) {
            let also = AnnotationKind::Context.span(window.span.clone()).label(remark.as_str());
            group = group.elements(window.elements(problems, *place, also));
        }
    }
    group.element(Level::HELP.message(problem.help.as_str()))
}

/// The line at fault, cut where it is long.
struct Window {
    text: String,
    /// The fault in `text`.
    span: Range<usize>,
    line: usize,
    /// The fault's column in the whole line, where `text` does not begin with it.
    column: Option<usize>,
}

impl Window {
    fn elements<'a>(self, problems: &Problems, place: Place, at: Annotation<'a>) -> Vec<Element<'a>> {
        let path = problems.file(place).shown_path();
        let snippet = Snippet::source(self.text).line_start(self.line).annotation(at);
        match self.column {
            None => vec![snippet.path(path).into()],
            Some(column) => vec![Origin::path(path).line(self.line).char_column(column).into(), snippet.into()],
        }
    }
}

fn window(problems: &Problems, place: Place) -> Option<Window> {
    let Span { start, end } = place.span?;
    let file = problems.file(place);
    let text = file.text();
    let start = floor(text, start);
    let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
    let from = floor(text, start.saturating_sub(SIDE).max(line_start));
    let to = floor(text, line_end.min(end.max(start).min(start + SIDE) + SIDE));
    let to = start.max(from + text[from..to].trim_end_matches('\r').len());
    let end = floor(text, end.clamp(start, to));
    let (before, fault, after) = (shown(&text[from..start]), shown(&text[start..end]), shown(&text[end..to]));
    let (line, column) = file.line_column(start);
    Some(Window {
        span: before.len()..before.len() + fault.len(),
        text: before + &fault + &after,
        line,
        column: (from > line_start).then_some(column),
    })
}

/// A line of a file without what could steer a terminal; the renderer itself sees to tabs.
fn shown(text: &str) -> String {
    text.chars().map(|c| if steers(c) && c != '\t' { '\u{fffd}' } else { c }).collect()
}

/// The nearest character boundary at or before `at`.
fn floor(text: &str, at: usize) -> usize {
    text.floor_char_boundary(at.min(text.len()))
}

#[cfg(test)]
mod tests {
    use super::render;
    use crate::files::Sources;

    #[test]
    fn a_problem_shows_its_line_and_what_would_be_right() {
        let sources = Sources::in_memory("shop/job.toml", "name = \"hall\"\nunits = \"inn\"\n");
        let problems = crate::job::parse(&sources).unwrap_err();
        let shown = render(&problems, false);
        for part in ["shop/job.toml:2:9", "units = \"inn\"", "^^^^^", "did you mean \"in\"?", "2 problems"] {
            assert!(shown.contains(part), "{part} is not in\n{shown}");
        }
    }

    #[test]
    fn long_lines_and_terminal_codes_do_no_harm() {
        let text = format!("name = \"{}\u{7f}{}\"\n", "é".repeat(5_000), "x".repeat(5_000));
        let problems = crate::job::parse(&Sources::in_memory("job.toml", text)).unwrap_err();
        assert!(render(&problems, false).len() < 3_000);
        // Codes of the second range are one character each, and a terminal may obey them.
        let text = "name = \"a\u{9b}31m\u{202e}b\" x\u{8b}\n";
        let problems = crate::job::parse(&Sources::in_memory("job.toml", text)).unwrap_err();
        assert!(!render(&problems, false).contains(|c: char| c != '\n' && crate::files::steers(c)));
        let text = "\"\\u001b[31mnick\" = 1\n";
        let problems = crate::job::parse(&Sources::in_memory("job.toml", text)).unwrap_err();
        assert!(!render(&problems, false).contains('\u{1b}'));
        assert!(render(&problems, true).contains('\u{1b}'));
    }
}
