//! One sheet per door: the plan with the slats closed, half way and open, from the kinematics that was checked.

use super::drawing::{Anchor, Drawing, Item, Layer, Place};
use super::template::{OnSheet, mirrored, short};
use crate::doors::{Door, PlanView};
use crate::job::{DoorSpec, Job};

/// The widest a drawing gets on its sheet.
const WIDEST: f64 = 260.0;
/// Letters.
const LETTERS: f64 = 3.5;

/// The plan of a door in three positions, one below the other, to a round scale. `None` for a door without a tongue.
#[must_use]
pub fn door_sheet(spec: &DoorSpec, door: &Door, job: &Job) -> Option<Drawing> {
    let view = PlanView::new(spec, &job.shop, job.units)?;
    let sheet = OnSheet { mirrored: mirrored(spec) };
    let groove = sheet.groove(&view.centreline, view.groove);
    let size = Drawing::around("", &groove, 0.0);
    let scale = scale(size.width.max(size.height));
    let mut items = Vec::new();
    let positions = [("closed", 0.0), ("half way", view.travel / 2.0), ("open", view.travel)];
    for (i, (word, lead_edge)) in positions.into_iter().enumerate() {
        let down = -(i as f64) * (size.height / scale + 28.0);
        let mut view_items = groove.clone();
        view_items.extend(sheet.entry(&view));
        for slat in view.slats(lead_edge) {
            let outline = |corners: [_; 4], layer| Item::Outline {
                corners: corners.into_iter().map(|corner| sheet.place(corner)).collect(),
                layer,
            };
            view_items.push(outline(slat.body, if slat.lead { Layer::Lead } else { Layer::Slat }));
            view_items.push(outline(slat.tongue, Layer::Tongue));
        }
        items.extend(view_items.iter().map(|item| item.scaled(1.0 / scale).moved(0.0, down)));
        let at = Place::new(0.0, down - 12.0);
        items.push(words(at, &format!("{word}, scale 1:{scale}")));
    }
    let title = format!("plan of {}", short(&door.name));
    items.push(words(Place::new(0.0, size.height / scale + 8.0), &title));
    Some(Drawing::around(&title, &items, 15.0))
}

/// A round scale at which `size` is no more than the sheet's drawing width.
fn scale(size: f64) -> f64 {
    [1.0, 2.0, 5.0, 10.0, 20.0, 50.0].into_iter().find(|scale| size / scale <= WIDEST).unwrap_or(100.0)
}

fn words(at: Place, text: &str) -> Item {
    Item::Text { at, height: LETTERS, anchor: Anchor::Middle, text: text.to_owned() }
}
