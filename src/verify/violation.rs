//! Every way in which a plan can be wrong, in words that name the place.

use rust_decimal::Decimal;
use thiserror::Error;

use crate::measure::{Cents, Length};

/// Where on a plan: a board and a blank of it (a group of full-length rips where the board is ripped
/// first), both counted from 1 as they are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Error)]
#[error("board {board}, blank {blank}")]
pub struct Place {
    /// The board.
    pub board: usize,
    /// The blank on that board.
    pub blank: usize,
}

/// One thing that is wrong in a plan.
#[derive(Debug, Clone, PartialEq, Error)]
#[expect(missing_docs, reason = "the wording of each variant says what it means and names its fields")]
#[non_exhaustive]
pub enum Violation {
    // Doors.
    #[error("door `{door}` is none of the job's doors")]
    DoorUnknown { door: String },
    #[error("door `{door}` of the job is not laid out")]
    DoorMissing { door: String },
    #[error("door `{door}` is laid out twice")]
    DoorTwice { door: String },
    #[error("door `{door}` goes by the name `{claimed}`")]
    DoorName { door: String, claimed: String },
    #[error("door `{door}` is built {claimed} times, its cabinet {expected} times")]
    DoorCount { door: String, claimed: u32, expected: u32 },
    #[error("door `{door}` covers {}, the job asks for {}", claimed.exact(), expected.exact())]
    DoorCover { door: String, claimed: Length, expected: Length },
    #[error("the slats of door `{door}` are {} long, not {}", expected.exact(), claimed.exact())]
    SlatLength { door: String, claimed: Length, expected: Length },
    #[error("a slat of door `{door}` has no width")]
    SlatWidth { door: String },
    #[error("door `{door}` is {} from lead edge to tail, but must reach {}", length.exact(), needed.exact())]
    CoverShort { door: String, length: Length, needed: Length },
    #[error("door `{door}` has {slats} slats, one fewer reaches {} too", needed.exact())]
    SlatTooMany { door: String, slats: u32, needed: Length },
    #[error("door `{door}` is {} edge to edge, not {}", expected.exact(), claimed.exact())]
    DoorLength { door: String, claimed: Length, expected: Length },
    #[error("the tongue of door `{door}` is {}, not {}", expected.exact(), claimed.exact())]
    Tongue { door: String, claimed: Length, expected: Length },
    #[error("the cloth of door `{door}` is {} along the slats, not {}", expected.exact(), claimed.exact())]
    ClothAlongSlat { door: String, claimed: Length, expected: Length },
    #[error("the cloth of door `{door}` is {} along the travel, not {}", expected.exact(), claimed.exact())]
    ClothAlongTravel { door: String, claimed: Length, expected: Length },

    // Demand.
    #[error("two parts, or two cloth pieces, are named `{name}`")]
    NameTwice { name: String },
    #[error("no part holds the {strips} strips that `{asker}` asks for")]
    PartMissing { asker: String, strips: u64 },
    #[error("part {part} is asked for by no door and no loose strip")]
    PartUnasked { part: String },
    #[error("parts {first} and {second} are the same size")]
    PartTwice { first: String, second: String },
    #[error("part {part} needs {expected} strips, not {claimed}")]
    PartNeeded { part: String, claimed: u32, expected: u64 },
    #[error("part {part} holds {claimed} strips for `{asker}`, not {expected}")]
    PartUse { part: String, asker: String, claimed: u64, expected: u64 },
    #[error("part {part} has {claimed} spares, its set-up, repair and fixed spares alone are {expected}")]
    SparesShort { part: String, claimed: u32, expected: u64 },
    #[error("part {part} has {claimed} spares where {expected} would do")]
    SparesOver { part: String, claimed: u32, expected: u64 },
    #[error("the spares are counted for a confidence of {claimed:.6}, the job asks for {asked:.6}")]
    Confidence { claimed: f64, asked: f64 },
    #[error("the spares reach a confidence of {reached:.6}, not {asked:.6}; part {weakest} is the weakest")]
    ConfidenceShort { reached: f64, asked: f64, weakest: String },
    #[error("no cloth piece is planned for `{asker}`")]
    ClothMissing { asker: String },
    #[error("cloth piece {piece} is asked for by no door and no loose piece")]
    ClothUnasked { piece: String },
    #[error("cloth pieces {first} and {second} are the same")]
    ClothTwice { first: String, second: String },
    #[error("cloth piece {piece} has {claimed} copies for `{owner}`, not {expected}")]
    ClothOwner { piece: String, owner: String, claimed: usize, expected: usize },

    // Boards.
    #[error("board {board} is cut from row {stock} of the boards, which is not there")]
    StockUnknown { board: usize, stock: usize },
    #[error("{used} boards of `{stock}` are cut, {on_hand} are on hand")]
    StockOverdrawn { stock: String, used: usize, on_hand: u32 },
    #[error("board {board} is cut {order}, which the shop rules out")]
    OrderForbidden { board: usize, order: &'static str },
    #[error("boards of `{stock}` are sized for {ranges} ranges of widths")]
    RangeCount { stock: String, ranges: usize },
    #[error("a range of widths is sized for row {stock} of the boards, which is not there")]
    RangeUnknown { stock: usize },
    #[error("boards of `{stock}` are sized for {claimed} strips of part {part}, the plan takes {expected} from them")]
    RangeStrips { stock: String, part: String, claimed: u64, expected: u64 },
    #[error("the levels of the range of widths of `{stock}` leave gaps")]
    RangeGaps { stock: String },
    #[error("boards of `{stock}` {} wide are sized by boards of another row", width.exact())]
    RangeStock { stock: String, width: Length },
    #[error("boards of `{stock}` {} wide: {what}", width.exact())]
    RangeLevel { stock: String, width: Length, what: String },
    #[error("`{item}`: {allowance} bf beyond the plan are too few at one width of the range, which takes {needed} bf")]
    RangeAllowance { item: String, allowance: Decimal, needed: Decimal },
    #[error("all boards cut {order} cost {cost}, less than the {bound} that every plan is said to cost")]
    OrderBelowBound { order: &'static str, cost: Cents, bound: Cents },
    #[error("board {board} has nothing cut from it")]
    BoardEmpty { board: usize },
    #[error("the blanks of board {board} take {} with their kerfs, {} can be used", needed.exact(), usable.exact())]
    BlanksTooLong { board: usize, needed: Length, usable: Length },
    #[error("the rows of {place} begin at different places along the board")]
    RowsApart { place: Place },
    #[error(
        "{place} lies from {} to {} along the board, which is trimmed from {} to {}",
        span.0.exact(), span.1.exact(), usable.0.exact(), usable.1.exact()
    )]
    OffTheEnds { place: Place, span: (Length, Length), usable: (Length, Length) },
    #[error(
        "{place} lies from {} to {} along the board, over the defect that is cut out from {} to {}",
        span.0.exact(), span.1.exact(), defect.0.exact(), defect.1.exact()
    )]
    OverDefect { place: Place, span: (Length, Length), defect: (Length, Length) },
    #[error("{place} begins at {} along the board, before {} where the cut before it is done", from.exact(), free.exact())]
    TooClose { place: Place, from: Length, free: Length },
    #[error("the rips of board {board} take {} with their kerfs, {} can be used", needed.exact(), usable.exact())]
    BoardTooNarrow { board: usize, needed: Length, usable: Length },
    #[error("{place} is {} long, under the least of {}", length.exact(), least.exact())]
    BlankTooShort { place: Place, length: Length, least: Length },
    #[error("{place} is {} long, over the most of {}", length.exact(), most.exact())]
    BlankTooLong { place: Place, length: Length, most: Length },
    #[error("{place} has nothing ripped from it")]
    BlankEmpty { place: Place },
    #[error("the rips of {place} take {} with their kerfs, {} can be used", needed.exact(), usable.exact())]
    RipsTooWide { place: Place, needed: Length, usable: Length },
    #[error("{place} rips part number {part}, which is not there")]
    PartUnknown { place: Place, part: usize },
    #[error("{place} rips part {part} of {wanted} from {found}")]
    WrongSpecies { place: Place, part: String, wanted: String, found: String },
    #[error("{place} mills part {part} {milling}, which the part does not allow")]
    MillingForbidden { place: Place, part: String, milling: &'static str },
    #[error("part {part} is milled flat on one board and on edge on another")]
    TwoMillings { part: String },
    #[error("{place} rips part {part} to {}, not {}", claimed.exact(), expected.exact())]
    RipWidth { place: Place, part: String, claimed: Length, expected: Length },
    #[error("{place} rips to {} and would cut part {part} from that, which takes {}", rip.exact(), needed.exact())]
    RipTooNarrow { place: Place, part: String, rip: Length, needed: Length },
    #[error("the rows of {place} are one group of equal rips, but differ in width or number")]
    RipsDiffer { place: Place },
    #[error("{place} is a full-length rip of {}, the board gives {}", claimed.exact(), expected.exact())]
    RipLength { place: Place, claimed: Length, expected: Length },
    #[error("{place} is planed to {}, part {part} takes {}", claimed.exact(), expected.exact())]
    Planed { place: Place, part: String, claimed: Length, expected: Length },
    #[error("{place} takes {} of thickness for {leaves} leaves, the board has {}", needed.exact(), thickness.exact())]
    TooThick { place: Place, leaves: u32, needed: Length, thickness: Length },
    #[error("{place} is resawn into {leaves} leaves, the shop does not resaw")]
    ResawForbidden { place: Place, leaves: u32 },
    #[error("{place} has no leaves")]
    NoLeaves { place: Place },
    #[error("{place} has a row for part {part} without rips or without pieces")]
    RowEmpty { place: Place, part: String },
    #[error("the pieces of one rip of {place} take {} with their kerfs, {} is there", needed.exact(), length.exact())]
    PiecesTooLong { place: Place, needed: Length, length: Length },
    #[error("the rows of {place} are not in the order of their parts")]
    RowsUnsorted { place: Place },
    #[error("part {part} asks for {wanted} strips, {cut} are cut")]
    StripsShort { part: String, cut: u128, wanted: u64 },
    #[error("a board of `{stock}` costs {expected}, not {claimed}")]
    UnitCost { stock: String, claimed: Cents, expected: Cents },
    #[error("the boards cost {expected}, not {claimed}")]
    BoardCost { claimed: Cents, expected: Cents },
    #[error("the boards cost {cost}, less than the bound of {bound} said to be proven")]
    BoardBound { bound: Cents, cost: Cents },
    #[error("the boards are said to be optimal: {claimed}; they cost {cost} with a bound of {bound}")]
    BoardOptimal { claimed: bool, bound: Cents, cost: Cents },

    // Bundles.
    #[error("the strips in the bundles are not listed once each by board, part and bundle")]
    BundlesUnsorted,
    #[error("bundle number {bundle} takes part number {part} off board {board}, one of which is not there")]
    BundleUnknown { board: usize, part: usize, bundle: usize },
    #[error("{tied} strips of part {part} off board {board} are in bundles, {cut} are cut")]
    BundleOverdrawn { board: usize, part: String, tied: u128, cut: u128 },
    #[error("`{name}` has {claimed} bundles, it is built {expected} times")]
    BundleCount { name: String, claimed: usize, expected: u32 },
    #[error("bundle {mark} for `{name}` has {claimed} strips of part {part}, it needs {expected}")]
    BundleStrips { name: String, mark: String, part: String, claimed: u128, expected: u128 },
    #[error("the doors take strips off {expected} boards, summed over the doors, not {claimed} (bound {bound})")]
    BundlePairs { claimed: u64, bound: u64, expected: usize },

    // How easy the boards are to cut.
    #[error("the plan has {expected} {what}, not {claimed}")]
    Ease { what: &'static str, claimed: usize, expected: usize },
    #[error("the largest offcut of use is {} by {}, not {} by {}", expected.0.exact(), expected.1.exact(), claimed.0.exact(), claimed.1.exact())]
    EaseOffcut { claimed: (Length, Length), expected: (Length, Length) },

    // Cloth.
    #[error("the cloth plan has {claimed} bolts, the job {expected}")]
    BoltCount { claimed: usize, expected: usize },
    #[error("bolt `{bolt}`: cloth piece number {piece} is not there")]
    PieceUnknown { bolt: String, piece: usize },
    #[error("bolt `{bolt}`: piece {piece} is laid {} by {}, not as asked for", along.exact(), across.exact())]
    PieceSize { bolt: String, piece: String, along: Length, across: Length },
    #[error("bolt `{bolt}`: piece {piece} is turned, which its warp does not allow")]
    PieceTurned { bolt: String, piece: String },
    #[error("bolt `{bolt}`: piece {piece} begins before the first usable corner")]
    PieceOutside { bolt: String, piece: String },
    #[error("bolt `{bolt}`: piece {piece} reaches {} across, over the usable width into the selvage", reach.exact())]
    PastSelvage { bolt: String, piece: String, reach: Length },
    #[error("bolt `{bolt}`: pieces {first} and {second} overlap at {} along", at.exact())]
    Overlap { bolt: String, first: String, second: String, at: Length },
    #[error(
        "bolt `{bolt}`: the level at {} is {} high, its tallest piece {}", at.exact(), height.exact(), tallest.exact()
    )]
    LevelHigher { bolt: String, at: Length, height: Length, tallest: Length },
    #[error("bolt `{bolt}`: pieces {first} and {second} at {} along lie beside one another in one stack", at.exact())]
    NotStacks { bolt: String, first: String, second: String, at: Length },
    #[error("bolt `{bolt}`: the pieces are not in order along and across")]
    LaidUnsorted { bolt: String },
    #[error("piece {piece} is laid {laid} times, {wanted} are asked for")]
    PieceCount { piece: String, laid: usize, wanted: usize },
    #[error("bolt `{bolt}`: {} is used, not {}", expected.exact(), claimed.exact())]
    UsedLength { bolt: String, claimed: Length, expected: Length },
    #[error("bolt `{bolt}`: {} is to be bought, not {}", expected.exact(), claimed.exact())]
    BoughtLength { bolt: String, claimed: Length, expected: Length },
    #[error("bolt `{bolt}`: {} is taken, {} is on hand", taken.exact(), on_hand.exact())]
    RemnantOverdrawn { bolt: String, taken: Length, on_hand: Length },
    #[error("bolt `{bolt}` costs {expected}, not {claimed}")]
    BoltCost { bolt: String, claimed: Cents, expected: Cents },
    #[error("the cloth costs {expected}, not {claimed}")]
    ClothCost { claimed: Cents, expected: Cents },
    #[error("the cloth takes {}, not {}", expected.exact(), claimed.exact())]
    ClothLength { claimed: Length, expected: Length },
    #[error("the cloth costs {cost}, less than the bound of {bound} said to be proven")]
    ClothBound { bound: Cents, cost: Cents },
    #[error("the cloth takes {}, less than the bound of {} said to be proven", length.exact(), bound.exact())]
    ClothLengthBound { bound: Length, length: Length },
    #[error("the cloth is said to be optimal, but costs {cost} with a bound of {bound}")]
    ClothOptimal { bound: Cents, cost: Cents },

    // Bill.
    #[error("the bill has no board line for `{stock}`")]
    BoardLineMissing { stock: String },
    #[error("the bill has a board line for row {stock} of the boards, which is not cut or listed twice")]
    BoardLineUnused { stock: usize },
    #[error("the bill counts {claimed} boards of `{stock}`, the plan {expected}")]
    BoardLineCount { stock: String, claimed: u32, expected: usize },
    #[error("the boards of `{stock}` hold {expected} board feet, the bill says {claimed}")]
    BoardLineVolume { stock: String, claimed: Decimal, expected: Decimal },
    #[error("the boards of `{stock}` cost {expected}, the bill says {claimed}")]
    BoardLineCost { stock: String, claimed: Cents, expected: Cents },
    #[error("the board lines of the bill are not in the order of their names")]
    BoardLinesUnsorted,
    #[error("the bill has no line `{item}` under {group}")]
    CostMissing { group: String, item: String },
    #[error("nothing asks for the line `{item}` under {group} on the bill")]
    CostUnasked { group: String, item: String },
    #[error("`{item}` under {group}: the quantity is {expected}, not {claimed}")]
    CostQuantity { group: String, item: String, claimed: Decimal, expected: Decimal },
    #[error("`{item}` under {group}: the unit price is {expected}, not {claimed}")]
    CostPrice { group: String, item: String, claimed: Decimal, expected: Decimal },
    #[error("`{item}` under {group}: {quantity} at {unit_price} do not cost {cost}")]
    CostProduct { group: String, item: String, quantity: Decimal, unit_price: Decimal, cost: Cents },
    #[error("{operation} takes {expected} hours, not {claimed}")]
    WorkHours { operation: &'static str, claimed: Decimal, expected: Decimal },
    #[error("the {panel} of `{cabinet}` is missing among the panels")]
    PanelMissing { cabinet: String, panel: &'static str },
    #[error("nothing asks for the panel `{panel}` of `{cabinet}`")]
    PanelUnasked { cabinet: String, panel: &'static str },
    #[error("the {panel} of `{cabinet}` is {}, not {}", sizes(expected), sizes(claimed))]
    PanelSize { cabinet: String, panel: &'static str, claimed: [Length; 3], expected: [Length; 3] },
    #[error("the {panel} of `{cabinet}` is made {expected} times, not {claimed}")]
    PanelCount { cabinet: String, panel: &'static str, claimed: u32, expected: u64 },
    #[error("material, edging or grooves of the {panel} of `{cabinet}` are not the job's")]
    PanelMade { cabinet: String, panel: &'static str },
    #[error("the door of `{cabinet}` touches the lining")]
    LiningTouched { cabinet: String },
    #[error("a shelf of `{cabinet}` does not fit beside the doors")]
    ShelfTouched { cabinet: String },
    #[error("the sizes cut out of sheets are not those of the panels")]
    SheetParts,
    #[error("sheets: {0}")]
    Sheets(Box<Self>),
    #[error("the shop has no such minutes and rate for {operation}")]
    WorkUnasked { operation: &'static str },
    #[error("the share of `{name}` has a negative cost")]
    ShareNegative { name: String },
    #[error("the shares sum to {claimed}, the cost lines to {expected}")]
    ShareTotal { claimed: Decimal, expected: Decimal },
    #[error("the shares are not those of the doors")]
    ShareDoors,
    #[error("the lines of the bill sum to {expected}, not {claimed}")]
    Total { claimed: Cents, expected: Cents },
    #[error("the shopping list lacks {item}")]
    BuyMissing { item: String },
    #[error("nothing asks for `{item}` on the shopping list")]
    BuyUnasked { item: String },
    #[error("shopping list, `{item}`: {quantity} at {price} do not cost {cost}")]
    BuyProduct { item: String, quantity: Decimal, price: Decimal, cost: Cents },
}

/// `24 x 12 x 3/4` of a panel.
fn sizes(sizes: &[Length; 3]) -> String {
    sizes.iter().map(|size| size.exact()).collect::<Vec<_>>().join(" x ")
}
