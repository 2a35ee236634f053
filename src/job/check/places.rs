//! Where doors, loose pieces and what is priced stand in the files, for what is said of them after they were read.

use super::cabinets::hands;
use crate::files::{At, BoardRow, ClothRow, Desk, Entry, JobFile, ShopFile};
use crate::job::{Thing, Written};

/// The places of everything that uses a size, by the names that the rest of the program knows it by.
pub(super) fn of(desk: &Desk, job: &JobFile) -> Written {
    let mut written = Written::default();
    for cabinet in &job.cabinets.list {
        let Some(name) = cabinet.name.given() else { continue };
        for door in &cabinet.door.list {
            if let Some(own) = door.name.given() {
                written.keep(Thing::User, &format!("{} {}", name.value, own.value), desk.line(own.place));
            }
        }
        for (_, suffix) in cabinet.doors.given().map(|at| hands(at.value)).unwrap_or_default() {
            written.keep(Thing::User, &format!("{} {suffix}", name.value), desk.line(name.place));
        }
    }
    for name in job.strips.list.iter().filter_map(|strip| strip.name.given()) {
        written.keep(Thing::User, &name.value, desk.line(name.place));
    }
    for name in job.cloth_pieces.list.iter().filter_map(|piece| piece.name.given()) {
        written.keep(Thing::ClothPiece, &name.value, desk.line(name.place));
    }
    written
}

/// The places of what the bill has lines of, by the names of these lines.
pub(super) fn of_priced(desk: &Desk, written: &mut Written, job: &JobFile, shop: &ShopFile) {
    let extra = job.lines.list.iter().map(|line| &line.name);
    let consumables = shop.consumables.list.iter().map(|consumable| &consumable.name);
    let labour = shop.labour.list.iter().map(|labour| &labour.name);
    let operations = shop.price.operations.list.iter().map(|operation| &operation.name);
    keep_named(desk, written, extra.chain(consumables).chain(labour).chain(operations));
    shares(desk, written, job, shop);
}

/// The places of rows of the boards file.
pub(super) fn of_boards(desk: &Desk, written: &mut Written, rows: &[BoardRow]) {
    keep_named(desk, written, rows.iter().map(|row| &row.stock));
}

/// The places of rows of the cloth file.
pub(super) fn of_cloth(desk: &Desk, written: &mut Written, rows: &[ClothRow]) {
    keep_named(desk, written, rows.iter().map(|row| &row.bolt));
}

fn keep_named<'a>(desk: &Desk, written: &mut Written, names: impl Iterator<Item = &'a Entry<String>>) {
    for At { value, place } in names.filter_map(Entry::given) {
        written.keep(Thing::Priced, value, desk.line(*place));
    }
}

/// Lines that are a share of others, by the key that asks for them.
fn shares(desk: &Desk, written: &mut Written, job: &JobFile, shop: &ShopFile) {
    let price = &shop.price;
    let rates = price.rates.given().map(|at| &at.value);
    let mut keep = |item: &str, place: Option<crate::files::Place>| {
        if let Some(place) = place {
            written.keep(Thing::Priced, item, desk.line(place));
        }
    };
    keep("burden on wages", rates.and_then(|rates| rates.burden.place()));
    keep("overhead by the hour", price.overhead_hour.place());
    keep("overhead", shop.overhead.place());
    keep("contingency", price.contingency.place());
    keep("markup", price.markup.place());
    keep("margin", price.margin.place());
    keep("discount", job.discount.place());
    keep("least charge", price.least_charge.place());
    keep("rounding", price.round_to.place());
    keep(price.tax_name.given().map_or("tax", |at| &at.value), shop.tax.place());
    for gain in &price.gains.list {
        if let Some(group) = gain.group.given() {
            keep(&format!("on {}", group.value), Some(group.place));
        }
    }
}
