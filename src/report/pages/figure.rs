//! [`Figure`]: a drawing on a sheet, in CSS pixels, y down. Layouts decide what is drawn; here it is only written.

use maud::{Markup, html};

/// Which letter of a text lies at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hang {
    /// The first.
    Start,
    /// The middle.
    Middle,
    /// The last.
    End,
}

/// One thing drawn. `pen` is a class of the stylesheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A rectangle.
    Rect {
        /// Left.
        x: f64,
        /// Top.
        y: f64,
        /// Width.
        w: f64,
        /// Height.
        h: f64,
        /// Class.
        pen: &'static str,
    },
    /// A path of straight lines and arcs.
    Path {
        /// The path, as SVG writes it.
        d: String,
        /// Class.
        pen: &'static str,
    },
    /// Words.
    Text {
        /// Across.
        x: f64,
        /// Down, to the foot of the letters.
        y: f64,
        /// Where it hangs.
        hang: Hang,
        /// Class: `word`, `small` or `mark`.
        pen: &'static str,
        /// The words, not escaped.
        text: String,
    },
}

/// A drawing with its size.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What it shows, for those who cannot see it.
    pub label: String,
    /// Width in CSS pixels.
    pub width: f64,
    /// Height in CSS pixels.
    pub height: f64,
    /// What is drawn, in order.
    pub marks: Vec<Mark>,
}

impl Figure {
    pub(super) fn new(label: String, width: f64, height: f64) -> Self {
        Self { label, width, height, marks: Vec::new() }
    }

    pub(super) fn rect(&mut self, pen: &'static str, (x, y): (f64, f64), (w, h): (f64, f64)) {
        self.marks.push(Mark::Rect { x, y, w, h, pen });
    }

    pub(super) fn line(&mut self, pen: &'static str, from: (f64, f64), to: (f64, f64)) {
        let d = format!("M{} {}L{} {}", figure(from.0), figure(from.1), figure(to.0), figure(to.1));
        self.marks.push(Mark::Path { d, pen });
    }

    pub(super) fn path(&mut self, pen: &'static str, d: String) {
        self.marks.push(Mark::Path { d, pen });
    }

    pub(super) fn text(&mut self, pen: &'static str, hang: Hang, (x, y): (f64, f64), text: impl Into<String>) {
        self.marks.push(Mark::Text { x, y, hang, pen, text: text.into() });
    }

    /// Long thin strokes along the grain, in a field of wood that is not cut up.
    pub(super) fn grain(&mut self, (x, y): (f64, f64), (w, h): (f64, f64)) {
        let strokes = (h / 7.0).floor().clamp(1.0, 12.0);
        if w < 24.0 || h < 5.0 {
            return;
        }
        let mut d = String::new();
        for stroke in 0..strokes as u32 {
            let along = f64::from(stroke * 37 % 23) / 23.0;
            let (from, to) = (x + w * (0.08 + 0.3 * along), x + w * (0.62 + 0.3 * along));
            let at = y + h * (f64::from(stroke) + 0.5) / strokes;
            d.push_str(&format!("M{} {}L{} {}", figure(from), figure(at), figure(to), figure(at)));
        }
        self.path("grain", d);
    }

    /// A dimension below or above: a line between two ticks with its figure in the middle.
    pub(super) fn dimension(&mut self, (from, to): (f64, f64), y: f64, text: &str) {
        let mut d = format!("M{} {}L{} {}", figure(from), figure(y), figure(to), figure(y));
        for x in [from, to] {
            d.push_str(&format!("M{} {}L{} {}", figure(x - 2.0), figure(y + 2.0), figure(x + 2.0), figure(y - 2.0)));
        }
        self.path("dim", d);
        if fits(text, to - from) {
            self.text("small", Hang::Middle, (f64::midpoint(from, to), y + 12.0), text);
        }
    }

    /// The inline drawing.
    pub fn markup(&self) -> Markup {
        let view = format!("0 0 {} {}", figure(self.width), figure(self.height));
        html! {
            svg class="fig" viewBox=(view) width=(figure(self.width)) height=(figure(self.height)) role="img"
                aria-label=(self.label) {
                @for mark in &self.marks { (write(mark)) }
            }
        }
    }
}

fn write(mark: &Mark) -> Markup {
    match mark {
        Mark::Rect { x, y, w, h, pen } => html! {
            rect class=(pen) x=(figure(*x)) y=(figure(*y)) width=(figure(*w)) height=(figure(*h)) {}
        },
        Mark::Path { d, pen } => html! { path class=(pen) d=(d) {} },
        Mark::Text { x, y, hang, pen, text } => {
            let hang = match hang {
                Hang::Start => "start",
                Hang::Middle => "middle",
                Hang::End => "end",
            };
            html! { text class=(pen) x=(figure(*x)) y=(figure(*y)) text-anchor=(hang) { (text) } }
        }
    }
}

/// Room a small text takes, judged generously: the letters of a page are the reader's own.
pub(super) fn fits(text: &str, room: f64) -> bool {
    text.chars().count() as f64 * 7.0 + 4.0 <= room
}

/// Two places are a fiftieth of what a pen is wide.
pub(super) fn figure(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
