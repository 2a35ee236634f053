//! Tables for a terminal.

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Alignment, Modify, Padding, Style, Width};

use super::{Cell, Sheet, Show};

/// The width every table fits that goes to no terminal.
pub const COLUMNS_OF_A_TERMINAL: usize = 80;
/// Blanks between two columns.
const BETWEEN: usize = 2;
/// A text column is never squeezed below this.
const NARROWEST: usize = 8;

/// A sheet narrowed to the named columns, under headings of our own, as text of at most 80 columns.
///
/// Figures are never broken: where a row is too long, its widest texts are wrapped at blanks. Columns
/// that the sheet does not have are passed over.
#[must_use]
pub fn table<'a>(sheet: &Sheet, show: impl Into<Show<'a>>, columns: &[(&str, &str)]) -> String {
    table_within(COLUMNS_OF_A_TERMINAL, sheet, show, columns)
}

/// The same within so many columns.
#[must_use]
pub fn table_within<'a>(most: usize, sheet: &Sheet, show: impl Into<Show<'a>>, columns: &[(&str, &str)]) -> String {
    let show = show.into();
    let picked: Vec<(usize, &str)> = columns
        .iter()
        .filter_map(|(name, heading)| sheet.columns.iter().position(|c| c == name).map(|at| (at, *heading)))
        .collect();
    let mut lines: Vec<Vec<String>> = vec![picked.iter().map(|(_, heading)| (*heading).to_owned()).collect()];
    lines.extend(sheet.rows.iter().map(|row| picked.iter().map(|(at, _)| row[*at].screen(show)).collect()));
    let figures: Vec<bool> = picked.iter().map(|(at, _)| is_figures(sheet, *at)).collect();
    let widths = fitted(most, &lines, &figures);

    let mut builder = Builder::default();
    for line in lines {
        builder.push_record(line);
    }
    let mut table = builder.build();
    let rule = HorizontalLine::filled('-').remove_left().remove_right();
    table.with(Style::blank().remove_vertical().horizontals([(1, rule.remove_intersection())]));
    table.with(Padding::new(0, BETWEEN, 0, 0));
    for (column, (width, figures)) in widths.iter().zip(&figures).enumerate() {
        table.with(Modify::new(Columns::one(column)).with(Width::wrap(*width).keep_words(true)));
        if *figures {
            table.with(Modify::new(Columns::one(column)).with(Alignment::right()));
        }
    }
    let text: Vec<String> = table.to_string().lines().map(|line| line.trim_end().to_owned()).collect();
    let rule_at_most = text.iter().filter(|line| !is_rule(line)).map(|line| line.chars().count()).max().unwrap_or(0);
    let cut = |line: String| if is_rule(&line) { line.chars().take(rule_at_most).collect() } else { line };
    text.into_iter().map(cut).map(|line: String| line + "\n").collect()
}

fn is_rule(line: &str) -> bool {
    line.chars().all(|c| c == '-')
}

/// True for a column of figures only, which lines up at the right and is never broken.
fn is_figures(sheet: &Sheet, column: usize) -> bool {
    sheet.rows.iter().all(|row| row[column].is_figure())
        && sheet.rows.iter().any(|row| !matches!(row[column], Cell::Empty))
}

/// Column widths that fit the terminal: figures as wide as they are, texts squeezed, widest first.
fn fitted(most: usize, lines: &[Vec<String>], figures: &[bool]) -> Vec<usize> {
    let widest = |column: usize| lines.iter().map(|line| line[column].chars().count()).max().unwrap_or(0);
    let mut widths: Vec<usize> = (0..figures.len()).map(widest).collect();
    let room = (most + BETWEEN).saturating_sub(BETWEEN * figures.len());
    while widths.iter().sum::<usize>() > room {
        let squeezable = (0..widths.len()).filter(|at| !figures[*at] && widths[*at] > NARROWEST);
        let Some(at) = squeezable.max_by_key(|at| (widths[*at], *at)) else { break };
        widths[at] -= 1;
    }
    widths
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Length;
    use crate::measure::Units;

    #[test]
    fn figures_stay_whole_and_long_names_are_wrapped() {
        let row = |name: &str| {
            let size = Cell::Length(Length::from_64ths(64 * 28 + 36));
            vec![Cell::text(name), size.clone(), size.clone(), size.clone(), size]
        };
        let name = "a very long name of a door that nobody would ever paint on a real cabinet door";
        let sheet = Sheet { name: "x", columns: vec!["door", "a", "b", "c", "d"], rows: vec![row(name), row("b")] };
        let text = table(&sheet, Units::Inch, &[("door", "door"), ("a", "a"), ("b", "b"), ("c", "c"), ("d", "d")]);
        assert!(text.lines().all(|line| line.chars().count() <= COLUMNS_OF_A_TERMINAL), "{text}");
        assert_eq!(text.matches("28-9/16").count(), 8, "{text}");
        let first = text.lines().nth(2).unwrap();
        assert!(first.contains("28-9/16") && first.starts_with("a very long"), "{text}");
    }
}
