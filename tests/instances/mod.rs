//! Published instances that more than one test takes.

#![allow(dead_code, reason = "each test file uses its own part of it")]

/// The paper mill of the encyclopaedia article "Cutting stock problem": (width in mm, count) out of rolls of 5 600 mm.
/// The least is 73 rolls, recomputed over all 308 maximal patterns.
pub(crate) const PAPER_MILL: [(i64, u32); 13] = [
    (1380, 22),
    (1520, 25),
    (1560, 12),
    (1710, 14),
    (1820, 18),
    (1880, 18),
    (1930, 20),
    (2000, 10),
    (2050, 12),
    (2100, 14),
    (2140, 16),
    (2150, 18),
    (2200, 20),
];

/// E. Hopper and B. Turton (2000), strip packing, class C1, problem 1: 16 rectangles (width, height) that fill
/// 20 x 20 exactly when they are placed freely.
pub(crate) const HOPPER_TURTON_C1P1: [(i64, i64); 16] = [
    (2, 12),
    (7, 12),
    (8, 6),
    (3, 6),
    (3, 5),
    (5, 5),
    (3, 12),
    (3, 7),
    (5, 7),
    (2, 6),
    (3, 2),
    (4, 2),
    (3, 4),
    (4, 4),
    (9, 2),
    (11, 2),
];
