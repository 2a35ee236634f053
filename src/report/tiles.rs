//! A sheet over pages of a printer: full size, no blank page, no label cut in two.

use super::drawing::{Anchor, Drawing, Item, Layer, Paper, Place};

/// No office printer prints closer to the edge than this.
const MARGIN: f64 = 12.0;
/// Neighbouring pages share this strip, marked on both.
const OVERLAP: f64 = 10.0;
/// Points of an arc are this close together where it is asked whether it shows on a page.
const CLOSE: f64 = 1.0;

/// Lower left and upper right corner of what a page shows.
type Window = (Place, Place);

impl Drawing {
    /// True when the whole sheet lies on one page, upright or on its side.
    #[must_use]
    pub fn fits(&self, paper: Paper) -> bool {
        let (width, height) = paper.size();
        let on = |w: f64, h: f64| self.width <= w - 2.0 * MARGIN && self.height <= h - 2.0 * MARGIN;
        on(width, height) || on(height, width)
    }

    /// The sheet over as many pages as it needs, row by row from the upper left, each with crosses at the corners of
    /// what it shows, its place, and a map of all pages with this one crossed. Neighbours overlap by 10 mm: lay cross on
    /// cross. A page on which nothing would show is left out; a label that would be cut off is moved onto the page on
    /// which it begins.
    #[must_use]
    pub fn pages(&self, paper: Paper) -> Vec<Self> {
        let grid = Grid::of(self, paper);
        let inked: Vec<(u32, u32)> = grid.places().filter(|place| self.shows(grid.window(*place))).collect();
        inked.iter().enumerate().map(|(at, place)| self.page(&grid, &inked, at, *place)).collect()
    }

    fn shows(&self, window: Window) -> bool {
        self.items.iter().chain(&self.marks).any(|item| touches(item, window))
    }

    fn page(&self, grid: &Grid, inked: &[(u32, u32)], at: usize, place: (u32, u32)) -> Self {
        let window = grid.window(place);
        let (dx, dy) = (MARGIN - window.0.x, MARGIN - window.0.y);
        let here = self.items.iter().chain(&self.marks).filter_map(|item| on_page(item, window));
        let items: Vec<Item> = here.map(|item| item.moved(dx, dy)).collect();
        let corners = (Place::new(MARGIN, MARGIN), Place::new(grid.width - MARGIN, grid.height - MARGIN));
        let (row, column) = (place.0 + 1, place.1 + 1);
        let where_it_lies = format!(
            "page {} of {}: row {row} of {}, column {column} of {}",
            at + 1,
            inked.len(),
            grid.rows,
            grid.columns
        );
        let mut marks = crosses(corners);
        marks.extend(foot(corners, &self.title, &where_it_lies));
        marks.extend(map(corners, grid, inked, place));
        Self {
            title: format!("{}, {where_it_lies}", self.title),
            width: grid.width,
            height: grid.height,
            items,
            window: Some(corners),
            marks,
        }
    }
}

/// Pages over a sheet.
struct Grid {
    /// Of the paper.
    width: f64,
    height: f64,
    rows: u32,
    columns: u32,
    /// Of the sheet.
    top: f64,
}

impl Grid {
    fn of(drawing: &Drawing, paper: Paper) -> Self {
        let (width, height) = paper.size();
        let count = |size: f64, shown: f64| ((size - shown) / (shown - OVERLAP)).ceil().max(0.0) as u32 + 1;
        let columns = count(drawing.width, width - 2.0 * MARGIN);
        let rows = count(drawing.height, height - 2.0 * MARGIN);
        Self { width, height, rows, columns, top: drawing.height }
    }

    fn places(&self) -> impl Iterator<Item = (u32, u32)> + use<> {
        let columns = self.columns;
        (0..self.rows).flat_map(move |row| (0..columns).map(move |column| (row, column)))
    }

    /// What a page shows of the sheet.
    fn window(&self, (row, column): (u32, u32)) -> Window {
        let (wide, high) = (self.width - 2.0 * MARGIN, self.height - 2.0 * MARGIN);
        let left = f64::from(column) * (wide - OVERLAP);
        let top = self.top - f64::from(row) * (high - OVERLAP);
        (Place::new(left, top - high), Place::new(left + wide, top))
    }
}

/// The item as a page shows it: a label whole or not at all.
fn on_page(item: &Item, window: Window) -> Option<Item> {
    let Item::Text { at, .. } = item else { return touches(item, window).then(|| item.clone()) };
    let (low, high) = item.bounds();
    let (start, end) = window;
    if low.x >= start.x && high.x <= end.x && low.y >= start.y && high.y <= end.y {
        return Some(item.clone());
    }
    if !inside(*at, window) {
        return None;
    }
    // No more than it takes; what is wider than a page keeps its beginning.
    let shift = |low: f64, high: f64, start: f64, end: f64| (end - high).min(0.0).max(start - low);
    Some(item.moved(shift(low.x, high.x, start.x, end.x), shift(low.y, high.y, start.y, end.y)))
}

fn inside(place: Place, (low, high): Window) -> bool {
    place.x >= low.x && place.x <= high.x && place.y >= low.y && place.y <= high.y
}

/// True when something of an item shows in the window.
fn touches(item: &Item, window: Window) -> bool {
    let (low, high) = item.bounds();
    if high.x < window.0.x || low.x > window.1.x || high.y < window.0.y || low.y > window.1.y {
        return false;
    }
    match item {
        Item::Line { from, to, .. } => crosses_window(*from, *to, window),
        Item::Arc { centre, radius, start, sweep, .. } => {
            let steps = (radius * sweep.to_radians() / CLOSE).ceil().clamp(1.0, 10_000.0) as u32;
            (0..=steps).any(|step| {
                let (sine, cosine) = (start + sweep * f64::from(step) / f64::from(steps)).to_radians().sin_cos();
                inside(centre.moved(radius * cosine, radius * sine), window)
            })
        }
        Item::Outline { corners, .. } => {
            (0..corners.len()).any(|i| crosses_window(corners[i], corners[(i + 1) % corners.len()], window))
        }
        Item::Text { at, .. } => inside(*at, window) || on_page(item, window).is_some(),
    }
}

/// True when a stretch of the line lies in the window: what is left of it after each side has cut (Liang and Barsky's
/// way, from memory).
fn crosses_window(from: Place, to: Place, (low, high): Window) -> bool {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let sides = [(-dx, from.x - low.x), (dx, high.x - from.x), (-dy, from.y - low.y), (dy, high.y - from.y)];
    let (mut first, mut last) = (0.0f64, 1.0f64);
    for (step, room) in sides {
        if step.abs() < 1e-12 {
            if room < 0.0 {
                return false;
            }
        } else if step < 0.0 {
            first = first.max(room / step);
        } else {
            last = last.min(room / step);
        }
    }
    first <= last
}

/// Crosses at the corners of the window and of the overlaps.
fn crosses((low, high): Window) -> Vec<Item> {
    let mut marks = Vec::new();
    for x in [low.x, low.x + OVERLAP, high.x - OVERLAP, high.x] {
        for y in [low.y, low.y + OVERLAP, high.y - OVERLAP, high.y] {
            let arm = 2.5;
            let line = |from, to| Item::Line { from, to, layer: Layer::Mark };
            marks.push(line(Place::new(x - arm, y), Place::new(x + arm, y)));
            marks.push(line(Place::new(x, y - arm), Place::new(x, y + arm)));
        }
    }
    marks
}

/// What the page belongs to above, its place below.
fn foot((low, high): Window, title: &str, place: &str) -> [Item; 2] {
    let text = |y: f64, text: &str| Item::Text {
        at: Place::new(f64::midpoint(low.x, high.x), y),
        height: 3.2,
        anchor: Anchor::Middle,
        text: text.to_owned(),
    };
    [text(high.y + 3.5, title), text(low.y - 6.5, place)]
}

/// All pages as they lie together, this one crossed.
fn map((low, high): Window, grid: &Grid, inked: &[(u32, u32)], here: (u32, u32)) -> Vec<Item> {
    let (wide, tall) = (2.4, (5.0 / f64::from(grid.rows)).min(1.8));
    let left = high.x - wide * f64::from(grid.columns);
    let mut items = Vec::new();
    for &(row, column) in inked {
        let (x, y) = (left + wide * f64::from(column), low.y - 2.8 - tall * f64::from(row));
        let corners =
            vec![Place::new(x, y), Place::new(x + wide, y), Place::new(x + wide, y - tall), Place::new(x, y - tall)];
        if (row, column) == here {
            let line = |from, to| Item::Line { from, to, layer: Layer::Mark };
            items.push(line(corners[0], corners[2]));
            items.push(line(corners[1], corners[3]));
        }
        items.push(Item::Outline { corners, layer: Layer::Mark });
    }
    items
}
