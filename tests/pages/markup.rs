//! Pages that are safe, readable and whole by themselves.

use std::fs;
use std::path::Path;

use slatwright::report::pages::STYLE;

use crate::pages::sheets::{ODD, REAL, SMALL, between, pages, planned, words};

#[test]
fn a_name_that_is_markup_prints_as_it_is() {
    let (job, plan) = planned(ODD);
    let pages = pages(&job, &plan);
    for (name, text) in &pages {
        for evil in ["<b>&\"", "<script", "<img", "onerror=\"", "</style><script"] {
            assert!(!text.contains(evil), "{name} holds {evil}");
        }
    }
    assert!(words(&pages["pages/quote-client.html"]).contains(r#"<b>&""#), "the client reads the name as it is");
    assert!(words(&pages["pages/rip.html"]).contains("</style><script>alert(1)</script>"));
}

#[test]
fn a_page_asks_for_nothing_outside_itself() {
    for path in [REAL, ODD] {
        let (job, plan) = planned(path);
        let pages = pages(&job, &plan);
        for (name, text) in &pages {
            let markup: String = text.split("<style>").map(|part| part.split("</style>").last().unwrap()).collect();
            for outside in ["src=", "http:", "https:", "<link", "<script", "<iframe", "xlink", "style=\""] {
                assert!(!markup.contains(outside), "{name}: {outside}");
            }
            for target in between(&markup, "href=\"", "\"") {
                // The list of sheets names files beside it.
                let beside = name == "job.html" && pages.contains_key(target);
                let within = target.starts_with('#') && text.contains(&format!("id=\"{}\"", &target[1..]));
                assert!(beside || within, "{name}: {target}");
            }
        }
    }
    for outside in ["url(", "@import", "http", "expression("] {
        assert!(!STYLE.contains(outside), "{outside}");
    }
}

/// Relative luminance and contrast as in Web Content Accessibility Guidelines 2.2 (W3C 2023), with their least ratio
/// for text, 4.5 to 1.
#[test]
fn every_ink_stands_out_from_the_paper() {
    fn luminance(hex: &str) -> f64 {
        let digits: Vec<u32> = hex.chars().map(|c| c.to_digit(16).expect("a hex figure")).collect();
        let channel =
            |n: usize| if digits.len() == 3 { digits[n] * 17 } else { digits[2 * n] * 16 + digits[2 * n + 1] };
        let linear = |n: usize| {
            let c = f64::from(channel(n)) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(0) + 0.7152 * linear(1) + 0.0722 * linear(2)
    }
    let contrast = |a: &str, b: &str| {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    };
    assert!((contrast("000", "ffffff") - 21.0).abs() < 1e-9 && (contrast("777777", "fff") - 4.48).abs() < 0.01);
    let rules = STYLE.replace(['\n', '\r'], " ");
    let mut inks = 0;
    for declaration in rules.split([';', '{', '}']).map(str::trim) {
        let Some((property, value)) = declaration.split_once(':') else { continue };
        let papers = ["background", "background-color"].contains(&property.trim());
        for colour in between(value, "#", " ").into_iter().map(|c| c.trim_end_matches([',', ')'])) {
            let paper = papers || colour == "fff";
            assert!(if paper { colour == "fff" } else { contrast(colour, "fff") >= 4.5 }, "{declaration}");
            inks += usize::from(!paper);
        }
        let named = ["red", "gray", "grey", "silver", "rgb", "hsl", "opacity"];
        assert!(!named.iter().any(|name| value.contains(name) || property.contains(name)), "{declaration}");
    }
    assert!(inks > 10, "the stylesheet was read");
}

#[test]
fn millimetres_are_said_and_rounding_is_marked() {
    let (job, plan) = planned(ODD);
    let pages = pages(&job, &plan);
    assert!(pages["pages/rip.html"].contains("Lengths in millimetres; ~ marks a figure rounded to the nearest 0.1."));
    let text = words(&pages["pages/case.html"]);
    assert!(text.contains('~'), "a season's swelling is no whole tenth of a millimetre");
}

/// The stylesheet is the one that pages carry.
#[test]
fn style_lies_inside() {
    let style = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/report/pages/style.css")).unwrap();
    let (job, plan) = planned(SMALL);
    assert!(pages(&job, &plan).values().all(|text| text.contains(&style)));
}
