//! [`Drawing`]: lines, arcs and text on a sheet, in millimetres. Every writer draws from it and decides nothing.

/// A point on the sheet: millimetres from its lower left corner, y up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

impl Place {
    /// A point of the sheet.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point moved.
    #[must_use]
    pub fn moved(self, dx: f64, dy: f64) -> Self {
        Self { x: self.x + dx, y: self.y + dy }
    }
}

/// What a line stands for; writers give each layer its own pen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Walls of the groove.
    Wall,
    /// Centreline of the groove.
    Centreline,
    /// Tangent points, registration marks, rulers.
    Mark,
    /// Edges of the case.
    Case,
    /// Entry branch.
    Entry,
    /// Stops.
    Stop,
    /// Ordinary slats.
    Slat,
    /// The lead slat.
    Lead,
    /// Tongues.
    Tongue,
    /// Words.
    Text,
}

impl Layer {
    /// Every layer, in drawing order.
    pub const ALL: [Self; 10] = [
        Self::Wall,
        Self::Centreline,
        Self::Mark,
        Self::Case,
        Self::Entry,
        Self::Stop,
        Self::Slat,
        Self::Lead,
        Self::Tongue,
        Self::Text,
    ];

    /// Its name in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Wall => "wall",
            Self::Centreline => "centreline",
            Self::Mark => "mark",
            Self::Case => "case",
            Self::Entry => "entry",
            Self::Stop => "stop",
            Self::Slat => "slat",
            Self::Lead => "lead",
            Self::Tongue => "tongue",
            Self::Text => "text",
        }
    }
}

/// Where a text hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// At its first letter.
    Start,
    /// At its middle.
    Middle,
    /// At its last letter.
    End,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A straight line.
    Line {
        /// One end.
        from: Place,
        /// The other end.
        to: Place,
        /// Its layer.
        layer: Layer,
    },
    /// A circular arc, anticlockwise.
    Arc {
        /// Its centre.
        centre: Place,
        /// Its radius.
        radius: f64,
        /// Where it begins: degrees from +x, anticlockwise.
        start: f64,
        /// How far it turns, degrees, above 0.
        sweep: f64,
        /// Its layer.
        layer: Layer,
    },
    /// A closed outline.
    Outline {
        /// Its corners.
        corners: Vec<Place>,
        /// Its layer.
        layer: Layer,
    },
    /// Words.
    Text {
        /// Where they hang.
        at: Place,
        /// Height of the letters.
        height: f64,
        /// Which letter hangs there.
        anchor: Anchor,
        /// The words.
        text: String,
    },
}

/// A sheet with what is drawn on it. Items outside `window` are cut off.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What the sheet is called.
    pub title: String,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// What is drawn.
    pub items: Vec<Item>,
    /// Lower left and upper right corner of what of `items` shows; `None` for all of it.
    pub window: Option<(Place, Place)>,
    /// Marks that are never cut off.
    pub marks: Vec<Item>,
}

/// Paper of a printer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 8-1/2 x 11 in.
    Letter,
    /// 210 x 297 mm.
    A4,
}

impl Paper {
    /// Width and height, upright, in millimetres.
    #[must_use]
    pub const fn size(self) -> (f64, f64) {
        match self {
            Self::Letter => (215.9, 279.4),
            Self::A4 => (210.0, 297.0),
        }
    }
}

/// Width of a letter, as a share of its height: words are set in faces of many widths, this is a wide one's.
const LETTER: f64 = 0.6;

impl Item {
    pub(super) fn moved(&self, dx: f64, dy: f64) -> Self {
        let mut item = self.clone();
        match &mut item {
            Self::Line { from, to, .. } => (*from, *to) = (from.moved(dx, dy), to.moved(dx, dy)),
            Self::Arc { centre, .. } => *centre = centre.moved(dx, dy),
            Self::Outline { corners, .. } => corners.iter_mut().for_each(|corner| *corner = corner.moved(dx, dy)),
            Self::Text { at, .. } => *at = at.moved(dx, dy),
        }
        item
    }

    /// The item made larger by `factor` about the sheet's corner.
    pub(super) fn scaled(&self, factor: f64) -> Self {
        let place = |place: Place| Place::new(place.x * factor, place.y * factor);
        let mut item = self.clone();
        match &mut item {
            Self::Line { from, to, .. } => (*from, *to) = (place(*from), place(*to)),
            Self::Arc { centre, radius, .. } => (*centre, *radius) = (place(*centre), *radius * factor),
            Self::Outline { corners, .. } => corners.iter_mut().for_each(|corner| *corner = place(*corner)),
            Self::Text { at, height, .. } => (*at, *height) = (place(*at), *height * factor),
        }
        item
    }

    /// Lower left and upper right corner of a box that holds it.
    pub(super) fn bounds(&self) -> (Place, Place) {
        let around = |points: &[Place]| {
            let low = |f: fn(&Place) -> f64| points.iter().map(f).fold(f64::INFINITY, f64::min);
            let high = |f: fn(&Place) -> f64| points.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
            (Place::new(low(|p| p.x), low(|p| p.y)), Place::new(high(|p| p.x), high(|p| p.y)))
        };
        match self {
            Self::Line { from, to, .. } => around(&[*from, *to]),
            Self::Arc { centre, radius, start, sweep, .. } => {
                let on = |degrees: f64| {
                    let (sine, cosine) = degrees.to_radians().sin_cos();
                    centre.moved(radius * cosine, radius * sine)
                };
                let mut points = vec![on(*start), on(start + sweep)];
                // The compass points it passes.
                let first = (start / 90.0).ceil() as i32;
                let quarters = (first..first + 5).map(|quarter| f64::from(quarter) * 90.0);
                points.extend(quarters.filter(|degrees| *degrees < start + sweep).map(on));
                around(&points)
            }
            Self::Outline { corners, .. } => around(corners),
            Self::Text { at, height, anchor, text } => {
                let wide = text.chars().count() as f64 * height * LETTER;
                let left = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => wide / 2.0,
                    Anchor::End => wide,
                };
                (at.moved(-left, -height / 4.0), at.moved(wide - left, *height))
            }
        }
    }
}

impl Drawing {
    /// A sheet just large enough for `items` with `margin` around them; the items are moved onto it.
    #[must_use]
    pub fn around(title: &str, items: &[Item], margin: f64) -> Self {
        let (low, high) = extent(items);
        let (dx, dy) = (margin - low.x, margin - low.y);
        Self {
            title: title.to_owned(),
            width: high.x - low.x + 2.0 * margin,
            height: high.y - low.y + 2.0 * margin,
            items: items.iter().map(|item| item.moved(dx, dy)).collect(),
            window: None,
            marks: Vec::new(),
        }
    }
}

/// Lower left and upper right corner of a box that holds everything; one point at the origin for nothing.
pub(super) fn extent(items: &[Item]) -> (Place, Place) {
    let corners = |item: &Item| item.bounds();
    let join = |a: (Place, Place), b: (Place, Place)| {
        let low = Place::new(a.0.x.min(b.0.x), a.0.y.min(b.0.y));
        (low, Place::new(a.1.x.max(b.1.x), a.1.y.max(b.1.y)))
    };
    let origin = Place::new(0.0, 0.0);
    items.iter().map(corners).reduce(join).unwrap_or((origin, origin))
}
