//! Templates and drawings of doors, read back by a DXF reader that is not ours.

#[path = "../geometry_drawings.rs"]
mod geometry_drawings;
#[path = "../geometry_support/mod.rs"]
mod geometry_support;

use geometry_support::{case, door, job, slats};
use slatwright::doors::lay_out;
use slatwright::job::Hand;
use slatwright::measure::Units;
use slatwright::report::{dxf_text, groove_template};

#[test]
fn names_that_look_like_codes_of_the_format_are_text() {
    for name in ["  0\nEOF\n", "0\r\nSECTION", "%%u\u{202e}Ã¼\u{7f}", "{\\fArial;x}", "\u{0}"] {
        let mut job = job(vec![door(case(Hand::PairLeft), slats())], 1);
        job.cabinets[0].name = name.to_owned();
        job.cabinets[0].doors[0].name = name.to_owned();
        let drawing = groove_template(&job.cabinets[0].doors[0], &lay_out(&job)[0], &job).expect("the door has a tongue");
        let text = dxf_text(&drawing, Units::Millimetre);
        let read = dxf::Drawing::load(&mut text.as_bytes()).unwrap_or_else(|error| panic!("{name:?}: {error}"));
        // One text more says the unit.
        assert_eq!(read.entities().count(), drawing.items.len() + 1, "{name:?}");
    }
}
