//! The usual cautions, printed wherever somebody is sent to a machine.

/// One caution a line, in the order of the work.
pub const CAUTIONS: [&str; 10] = [
    "Eyes, ears and lungs: glasses, ear protection, dust collection and a mask.",
    "Table saw: guard and riving knife (or splitter) on; outfeed support; no freehand cuts.",
    "Push blocks and push sticks before a hand comes near the blade.",
    "Thin strips come off on the side away from the fence, never trapped between fence and blade: a rip setting is the strip's width, set as a stop ahead of the blade on that side, and the fence moves up for each cut.",
    "The last strip of a blank is held, not ripped: so wide as the hold width says, measured after the last cut.",
    "Rabbets: cutters are stacked only on saws whose maker allows them; hold the panel down; sacrificial fence.",
    "Planer and jointer: no piece shorter than the machine's manual allows; short blanks nose to tail.",
    "Oily rags are laid flat to dry or put in water: heaped, they can set themselves on fire.",
    "Tall or wall-hung cabinets are anchored to the wall before they are loaded.",
    "Work rested, and never by yourself in the shop; nobody speaks to the one at the machine.",
];

/// What stands below the cautions on screen, on paper and in the README.
pub const DEFERENCE: &str =
    "These are the usual cautions, not instruction: machine manuals, local codes and licensed practice come first.";
