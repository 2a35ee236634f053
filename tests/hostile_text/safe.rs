//! What is safe to show, to open and to run.

use std::collections::BTreeSet;
use std::path::Path;

use crate::hostile_text::said::run_everything;

/// Could steer a terminal or turn a line around.
pub(crate) fn steers(c: char) -> bool {
    c.is_control() && c != '\n'
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}')
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Rows are regular, no cell is a formula, none holds a control character.
pub(crate) fn safe_table(what: &str, text: &str) {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    for row in reader.records() {
        let row = row.unwrap_or_else(|error| panic!("{what}: {error}"));
        for cell in &row {
            let figure = cell.parse::<f64>().is_ok();
            assert!(figure || !cell.starts_with(['=', '+', '-', '@']), "{what}: the cell {cell:?} runs");
            let breaks = |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
            assert!(!cell.contains(breaks), "{what}: {cell:?}");
        }
    }
}

/// Written by the command alone.
pub(crate) fn ours(name: &Path) -> bool {
    name.starts_with("out") || name.starts_with("again") || name == Path::new("history.csv")
}

/// The tags of a page, each with the names of its attributes.
pub(crate) fn tags(html: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let mut quote = false;
        let end = rest.find(|c| {
            quote ^= c == '"';
            c == '>' && !quote
        });
        let tag = &rest[..end.unwrap()];
        // Every second piece lies within quotes: a value.
        found.insert(tag.split('"').step_by(2).collect::<Vec<_>>().join("\"\""));
        // What a style sheet holds is no markup.
        if tag == "style" {
            rest = &rest[rest.find("</style>").unwrap()..];
        }
    }
    found
}

pub(crate) fn safe_file(name: &Path, text: &str, tame_tags: &BTreeSet<String>) {
    let what = name.display().to_string();
    match name.extension().and_then(|ending| ending.to_str()) {
        Some("csv") => safe_table(&what, text),
        Some("html") => {
            assert!(!text.contains(steers), "{what} holds a code");
            let strange: Vec<_> = tags(text).difference(tame_tags).cloned().collect();
            assert!(strange.is_empty(), "{what}: {strange:?}");
        }
        Some("svg") => {
            assert!(!text.contains(steers), "{what} holds a code");
            // The one style is the paper's size, in figures alone.
            let styles: Vec<&str> = text.split("<style>").skip(1).map(|rest| rest.split('<').next().unwrap()).collect();
            let paper = |c: char| c.is_ascii_digit() || "@page {size:m.;argin}".contains(c);
            assert!(styles.len() == 1 && styles[0].chars().all(paper), "{what}: {styles:?}");
            for event in xml::EventReader::new(text.as_bytes()) {
                let event = event.unwrap_or_else(|error| panic!("{what}: {error}"));
                if let xml::reader::XmlEvent::StartElement { name, attributes, .. } = event {
                    assert!(
                        ["svg", "title", "style", "g", "line", "path", "polygon", "text"]
                            .contains(&name.local_name.as_str())
                    );
                    assert!(attributes.iter().all(|attribute| !attribute.name.local_name.starts_with("on")), "{what}");
                }
            }
        }
        Some("dxf") => {
            assert!(text.is_ascii() && text.lines().count().is_multiple_of(2), "{what}: pairs of lines");
            let codes = text.lines().step_by(2);
            assert!(codes.clone().all(|code| code.trim().parse::<u16>().is_ok()), "{what}: codes before values");
            assert_eq!(text.lines().skip(1).step_by(2).filter(|value| *value == "EOF").count(), 1, "{what} ends once");
        }
        _ => {}
    }
}

/// Sheets may draw fewer words where a name is long, so tags are compared as a set; figures carry no other tags.
pub(crate) fn tame_tags() -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for word in ["tame", "a rather longer word that has to be cut short in some figures, and wrapped on some sheets"] {
        for (name, text) in run_everything(word).files {
            if name.extension().is_some_and(|ending| ending == "html") {
                all.extend(tags(&text));
            }
        }
    }
    assert!(all.len() > 30, "{all:?}");
    all
}
