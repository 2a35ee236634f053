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
    pub const ALL: [Self; 9] = [
        Self::Wall,
        Self::Centreline,
        Self::Mark,
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

/// No office printer prints closer to the edge than this.
const MARGIN: f64 = 12.0;
/// Neighbouring pages share this strip, marked on both.
const OVERLAP: f64 = 10.0;

impl Item {
    fn moved(&self, dx: f64, dy: f64) -> Self {
        let mut item = self.clone();
        match &mut item {
            Self::Line { from, to, .. } => (*from, *to) = (from.moved(dx, dy), to.moved(dx, dy)),
            Self::Arc { centre, .. } => *centre = centre.moved(dx, dy),
            Self::Outline { corners, .. } => corners.iter_mut().for_each(|corner| *corner = corner.moved(dx, dy)),
            Self::Text { at, .. } => *at = at.moved(dx, dy),
        }
        item
    }

    /// Lower left and upper right corner of a box that holds it; words count as their anchor.
    fn bounds(&self) -> (Place, Place) {
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
            Self::Text { at, .. } => (*at, *at),
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

    /// The sheet over as many pages as it needs, row by row from the upper left, each with crosses at the corners of
    /// what it shows and its row and column. Neighbours overlap by 10 mm: lay cross on cross.
    #[must_use]
    pub fn pages(&self, paper: Paper) -> Vec<Self> {
        let (width, height) = paper.size();
        let shown = (width - 2.0 * MARGIN, height - 2.0 * MARGIN);
        let step = (shown.0 - OVERLAP, shown.1 - OVERLAP);
        let count = |size: f64, shown: f64, step: f64| ((size - shown) / step).ceil().max(0.0) as u32 + 1;
        let (columns, rows) = (count(self.width, shown.0, step.0), count(self.height, shown.1, step.1));
        let mut pages = Vec::new();
        for row in 0..rows {
            for column in 0..columns {
                let dx = MARGIN - f64::from(column) * step.0;
                let dy = height - MARGIN - self.height + f64::from(row) * step.1;
                let items: Vec<Item> = self.items.iter().chain(&self.marks).map(|item| item.moved(dx, dy)).collect();
                let corners = (Place::new(MARGIN, MARGIN), Place::new(width - MARGIN, height - MARGIN));
                let place = format!("row {} of {rows}, column {} of {columns}", row + 1, column + 1);
                pages.push(Self {
                    title: format!("{}, {place}", self.title),
                    width,
                    height,
                    items,
                    window: Some(corners),
                    marks: page_marks(corners, &format!("{}, {place}", self.title)),
                });
            }
        }
        pages
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

/// Crosses at the corners of the window and of the overlaps, and the page's place in the foot.
fn page_marks((low, high): (Place, Place), foot: &str) -> Vec<Item> {
    let mut marks = Vec::new();
    for x in [low.x, low.x + OVERLAP, high.x - OVERLAP, high.x] {
        for y in [low.y, low.y + OVERLAP, high.y - OVERLAP, high.y] {
            let arm = 2.5;
            let line = |from, to| Item::Line { from, to, layer: Layer::Mark };
            marks.push(line(Place::new(x - arm, y), Place::new(x + arm, y)));
            marks.push(line(Place::new(x, y - arm), Place::new(x, y + arm)));
        }
    }
    let at = Place::new((low.x + high.x) / 2.0, low.y - 6.0);
    marks.push(Item::Text { at, height: 3.0, anchor: Anchor::Middle, text: foot.to_owned() });
    marks
}
