//! The usual cautions, printed wherever somebody is sent to a machine.

/// One caution a line, in the order of the work.
pub const CAUTIONS: [&str; 10] = [
    "Eyes, ears and lungs: glasses, ear protection, dust collection and a mask.",
    "Table saw: guard and riving knife (or splitter) on; outfeed support; no freehand cuts.",
    "Push blocks and push sticks before a hand comes near the blade.",
    "Thin strips come off on the side away from the fence, never trapped between fence and blade: a rip setting is the strip's width, set as a stop ahead of the blade on that side, and the fence moves up for each cut.",
    "The last strip of a blank is held, not ripped: at least the hold width, measured after the last cut.",
    "Rabbets: stack cutters only on saws whose maker allows it; hold the panel down; sacrificial fence.",
    "Planer and jointer: no piece shorter than the machine's manual allows; short blanks nose to tail.",
    "Lay oily rags flat to dry or soak them in water: in a pile they can catch fire on their own.",
    "Anchor tall or wall-hung cabinets to the wall before loading them.",
    "Work rested and never alone in the shop; do not talk to anyone running a machine.",
];

/// What stands below the cautions on screen, on paper and in the README.
pub const DEFERENCE: &str =
    "These are the usual cautions, not instructions: machine manuals, local codes and licensed practice come first.";
