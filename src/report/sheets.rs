//! The rows of every CSV file, in the order a person reads them.

use itertools::Itertools;
use rust_decimal::Decimal;

use super::cell::Cell;
use super::strips::{cut_per_part, yielded};
use crate::doors::{Details, Door, Figure};
use crate::job::{BoardStock, BoardUnit, Job, Milling, Order};
use crate::measure::{Cents, Length, Price, Volume};
use crate::plan::Plan;

/// A named table: columns and rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// File name without its ending.
    pub name: &'static str,
    /// Column names.
    pub columns: Vec<&'static str>,
    /// Rows, each as long as `columns`.
    pub rows: Vec<Vec<Cell>>,
}

impl Sheet {
    pub(super) fn new(name: &'static str, columns: &[&'static str], rows: Vec<Vec<Cell>>) -> Self {
        debug_assert!(rows.iter().all(|row| row.len() == columns.len()), "{name}: a row is as long as its header");
        Self { name, columns: columns.to_vec(), rows }
    }
}

/// `doors.csv`: one door a row, with what its geometry comes to beside its sizes.
#[must_use]
pub fn doors(job: &Job, doors: &[Door]) -> Sheet {
    const SIZES: [&str; 13] = [
        "door",
        "cabinet",
        "count",
        "slats",
        "slat_width",
        "lead_width",
        "slat_length",
        "tongue",
        "door_length",
        "cloth_along_slat",
        "cloth_along_travel",
        "cover",
        "travel",
    ];
    let rows = doors.iter().map(|door| {
        let mut row = vec![
            Cell::text(&door.name),
            Cell::text(&job.cabinets[door.cabinet].name),
            Cell::Count(door.count.into()),
            Cell::Count(door.slats.into()),
        ];
        let sizes = [
            door.slat_width,
            door.lead_width,
            door.slat_length,
            door.tongue,
            door.door_length,
            door.cloth_along_slat,
            door.cloth_along_travel,
            door.cover,
            door.travel,
        ];
        row.extend(sizes.map(Cell::Length));
        row.extend(door_details(&door.details));
        row
    });
    let columns: Vec<&str> = SIZES.into_iter().chain(DETAILS).collect();
    Sheet::new("doors", &columns, rows.collect())
}

/// Room, movement, swing of the lead slat and feel; empty where a figure does not apply.
const DETAILS: [&str; 18] = [
    "clear_opening",
    "stow_left",
    "between_tails",
    "clear_inside_width",
    "clear_inside_depth",
    "clear_inside_height",
    "swells",
    "shrinks",
    "tongue_swells",
    "lead_yaw_in_deg",
    "lead_yaw_out_deg",
    "meeting_step",
    "face_corner_forward",
    "face_corner_reach",
    "weight_kg",
    "sag",
    "pull_least_n",
    "pull_most_n",
];

fn door_details(details: &Details) -> [Cell; 18] {
    let length = |length: Option<Length>| length.map_or(Cell::Empty, Cell::Length);
    let figure = |amount: Option<f64>| amount.map_or(Cell::Empty, |amount| Cell::Decimal(decimal(amount)));
    let room = details.room.as_ref();
    let movement = details.movement.as_ref();
    let swing = details.lead_swing.as_ref();
    let feel = details.feel.as_ref();
    [
        length(room.map(|room| room.clear_opening)),
        length(room.map(|room| room.stow_left)),
        length(room.and_then(|room| room.between_tails)),
        length(room.and_then(|room| room.inside_width)),
        length(room.and_then(|room| room.inside_depth)),
        length(room.and_then(|room| room.inside_height)),
        length(movement.map(|movement| movement.swells)),
        length(movement.map(|movement| movement.shrinks)),
        length(movement.map(|movement| movement.tongue_swells)),
        figure(swing.map(|swing| swing.yaw_in)),
        figure(swing.map(|swing| swing.yaw_out)),
        length(swing.map(|swing| swing.meeting_step)),
        length(swing.map(|swing| swing.corner_forward)),
        length(swing.map(|swing| swing.face_corner_reach)),
        figure(feel.map(|feel| feel.weight_kg)),
        length(feel.and_then(|feel| feel.sag)),
        figure(feel.map(|feel| feel.pull_newtons.0)),
        figure(feel.map(|feel| feel.pull_newtons.1)),
    ]
}

/// `fit.csv`: one check of one door a row.
#[must_use]
pub fn fit(job: &Job, doors: &[Door]) -> Sheet {
    let rows = doors.iter().flat_map(|door| {
        door.checks.iter().map(|check| {
            vec![
                Cell::text(&door.name),
                Cell::text(check.check),
                Cell::text(check.item),
                figure(check.needed),
                figure(check.available),
                figure(check.margin),
                Cell::text(unit(job, check.needed)),
                Cell::YesNo(check.ok),
                Cell::text(check.advice.as_deref().unwrap_or_default()),
            ]
        })
    });
    const COLUMNS: [&str; 9] = ["door", "check", "item", "needed", "available", "margin", "unit", "ok", "advice"];
    Sheet::new("fit", &COLUMNS, rows.collect())
}

fn figure(value: Figure) -> Cell {
    match value {
        Figure::Length(length) => Cell::Length(length),
        Figure::Degrees(amount) | Figure::Force(amount) => Cell::Decimal(decimal(amount)),
    }
}

const fn unit(job: &Job, value: Figure) -> &'static str {
    match value {
        Figure::Length(_) => job.units.word(),
        Figure::Degrees(_) => "deg",
        Figure::Force(_) => "N",
    }
}

/// `stops.csv`: one stop block or filler of one door a row.
#[must_use]
pub fn stops(doors: &[Door]) -> Sheet {
    let rows = doors.iter().flat_map(|door| {
        door.stops.iter().map(|stop| {
            vec![
                Cell::text(&door.name),
                Cell::text(stop.name),
                Cell::text(&stop.from),
                Cell::Length(stop.distance),
                stop.length.map_or(Cell::Empty, Cell::Length),
                Cell::text(&stop.note),
            ]
        })
    });
    Sheet::new("stops", &["door", "stop", "from", "distance", "length", "note"], rows.collect())
}

/// Four places are more than any angle in a shop is worth.
fn decimal(figure: f64) -> Decimal {
    Decimal::from_f64_retain(figure).unwrap_or_default().round_dp(4).normalize()
}

/// `slats.csv`: one pooled strip size a row.
#[must_use]
pub fn slats(plan: &Plan) -> Sheet {
    let cut = cut_per_part(&plan.boards, plan.demand.parts.len());
    let rows = plan.demand.parts.iter().zip(cut).map(|(part, cut)| {
        vec![
            Cell::text(&part.name),
            Cell::text(part.species.word()),
            Cell::Length(part.length),
            Cell::Length(part.width),
            Cell::Length(part.thickness),
            Cell::Count(part.needed.into()),
            Cell::Count(part.spares.into()),
            Cell::Count(part.total().into()),
            Cell::text(part.uses.iter().map(|user| user.name.as_str()).join("; ")),
            Cell::Count(cut.cast_signed() - i64::from(part.total())),
        ]
    });
    const COLUMNS: [&str; 10] =
        ["part", "species", "length", "width", "thickness", "needed", "spares", "total", "doors", "surplus"];
    Sheet::new("slats", &COLUMNS, rows.collect())
}

/// `boards.csv`: one kind of board used a row, by name.
#[must_use]
pub fn boards(job: &Job, plan: &Plan) -> Sheet {
    let by_name = plan.bill.boards.iter().sorted_by(|a, b| job.boards[a.stock].stock.cmp(&job.boards[b.stock].stock));
    let rows = by_name.map(|line| {
        let board = &job.boards[line.stock];
        let (price, per) = board_price(board);
        vec![
            Cell::text(&board.stock),
            Cell::text(board.species.word()),
            Cell::text(board.thickness.show(job.units)),
            Cell::Length(board.width),
            Cell::Length(board.length),
            Cell::text(if board.on_hand.is_some() { "on_hand" } else { "buy" }),
            Cell::Count(line.boards.into()),
            Cell::Decimal(line.volume.board_feet(2)),
            price,
            per,
            Cell::Money(line.cost),
            Cell::text(board.defects_text(job.units)),
        ]
    });
    const COLUMNS: [&str; 12] = [
        "stock",
        "species",
        "thickness",
        "width",
        "length",
        "source",
        "boards",
        "board_feet",
        "price",
        "per",
        "cost",
        "defects",
    ];
    Sheet::new("boards", &COLUMNS, rows.collect())
}

fn board_price(board: &BoardStock) -> (Cell, Cell) {
    board.price.map_or((Cell::Price(Price::ZERO), Cell::text(BoardUnit::BoardFoot.word())), |(price, per)| {
        (Cell::Price(price), Cell::text(per.word()))
    })
}

/// `rips.csv`: one group of equal rips in one blank (or full-length rip) a row; boards numbered
/// from 1 in the order they are cut.
#[must_use]
pub fn rips(job: &Job, plan: &Plan) -> Sheet {
    let mut rows = Vec::new();
    for (board, cut) in (1i64..).zip(&plan.boards.boards) {
        for (number, blank) in (1i64..).zip(&cut.blanks) {
            for group in blank.rips.iter().sorted_by_key(|group| group.part) {
                let part = &plan.demand.parts[group.part];
                rows.push(vec![
                    Cell::Count(board),
                    Cell::text(&job.boards[cut.stock].stock),
                    Cell::text(cut.order.word()),
                    Cell::Count(number),
                    Cell::Length(blank.length),
                    Cell::text(milling_word(blank.milling)),
                    Cell::Length(blank.planed),
                    Cell::Count(blank.leaves.into()),
                    Cell::text(&part.name),
                    Cell::Length(group.rip_width),
                    Cell::Count(group.rips.into()),
                    Cell::Count(group.pieces.into()),
                    Cell::Count(yielded(blank, group).cast_signed()),
                    Cell::Length(part.length),
                    Cell::Length(group.from),
                ]);
            }
        }
    }
    const COLUMNS: [&str; 15] = [
        "board",
        "stock",
        "order",
        "blank",
        "blank_length",
        "milling",
        "planed_thickness",
        "leaves",
        "part",
        "rip_width",
        "rips",
        "pieces_per_rip",
        "strips",
        "strip_length",
        "from",
    ];
    Sheet::new("rips", &COLUMNS, rows)
}

/// `bundles.csv`: strips of one part off one board for one bundle a row. Strips that go into no bundle
/// are `spares`, or `surplus` beyond the spares that were asked for, and have no mark.
#[must_use]
pub fn bundles(plan: &Plan) -> Sheet {
    let mut spares: Vec<u64> = plan.demand.parts.iter().map(|part| part.spares.into()).collect();
    let mut rows = Vec::new();
    for (board, cut) in plan.boards.boards.iter().enumerate() {
        for (part, strips) in cut.strips() {
            let mut row = |name: &str, strips: u64, copy: Cell, mark: &str| {
                rows.push(vec![
                    Cell::Count(board as i64 + 1),
                    Cell::text(&plan.demand.parts[part].name),
                    Cell::text(name),
                    Cell::Count(strips.cast_signed()),
                    copy,
                    Cell::text(mark),
                ]);
            };
            let mut left = strips;
            for given in plan.tied.off(board, part) {
                let bundle = &plan.demand.bundles[given.bundle];
                let copy = bundle.copy.map_or(Cell::Empty, |copy| Cell::Count(copy.0.into()));
                row(&bundle.name, given.strips, copy, &bundle.mark);
                left -= given.strips;
            }
            let spare = left.min(spares[part]);
            spares[part] -= spare;
            for (name, strips) in [("spares", spare), ("surplus", left - spare)] {
                if strips > 0 {
                    row(name, strips, Cell::Empty, "");
                }
            }
        }
    }
    Sheet::new("bundles", &["board", "part", "door", "strips", "copy", "bundle"], rows)
}

pub(super) const fn milling_word(milling: Milling) -> &'static str {
    match milling {
        Milling::Flat => "flat",
        Milling::Edge => "edge",
    }
}

/// `canvas.csv`: one cloth piece a row, by bolt, x, y. Equal pieces go to their owners in job order.
#[must_use]
pub fn canvas(job: &Job, plan: &Plan) -> Sheet {
    let mut given = vec![0usize; plan.demand.cloth.len()];
    let mut rows = Vec::new();
    for (bolt, used) in bolts_by_name(job, plan) {
        for laid in used.laid.iter().sorted_by_key(|laid| (laid.x, laid.y)) {
            let need = &plan.demand.cloth[laid.piece];
            let owner = need.owners.get(given[laid.piece]).map_or("", String::as_str);
            given[laid.piece] += 1;
            rows.push(vec![
                Cell::text(bolt),
                Cell::text(&need.name),
                Cell::text(owner),
                Cell::Length(laid.x),
                Cell::Length(laid.y),
                Cell::Length(laid.along),
                Cell::Length(laid.across),
                Cell::YesNo(laid.turned),
            ]);
        }
    }
    Sheet::new("canvas", &["bolt", "piece", "door", "x", "y", "along", "across", "turned"], rows)
}

fn bolts_by_name<'a>(
    job: &'a Job,
    plan: &'a Plan,
) -> impl Iterator<Item = (&'a str, &'a crate::packing::cloth::BoltUse)> {
    let bolts = job.bolts.iter().map(|bolt| bolt.bolt.as_str());
    bolts.zip(&plan.cloth.bolts).filter(|(_, used)| !used.laid.is_empty()).sorted_by_key(|(name, _)| *name)
}

/// `cloth.csv`: one bolt used a row, by name.
#[must_use]
pub fn cloth(job: &Job, plan: &Plan) -> Sheet {
    let rows = bolts_by_name(job, plan).map(|(name, used)| {
        let bolt = job.bolts.iter().find(|bolt| bolt.bolt == name).expect("the name came from this list");
        let (price, unit) = bolt.price.map_or((Price::ZERO, "yard"), |(price, per)| (price, per.word()));
        vec![
            Cell::text(name),
            Cell::Length(bolt.width),
            Cell::Length(used.used),
            Cell::Length(used.bought),
            Cell::text(unit),
            Cell::Price(price),
            Cell::Money(used.cost),
            Cell::YesNo(!bolt.shrink_along.decimal().is_zero() || !bolt.shrink_across.decimal().is_zero()),
        ]
    });
    const COLUMNS: [&str; 8] = ["bolt", "width", "used_length", "bought_length", "unit", "price", "cost", "wash"];
    Sheet::new("cloth", &COLUMNS, rows.collect())
}

/// `buy.csv`: one line of the shopping list a row.
#[must_use]
pub fn buy(plan: &Plan) -> Sheet {
    let size = |length: Option<Length>| length.map_or(Cell::Empty, Cell::Length);
    let rows = plan.bill.buy.iter().map(|line| {
        vec![
            Cell::text(line.what),
            Cell::text(&line.item),
            size(line.at_least_width),
            size(line.at_least_length),
            Cell::Decimal(line.quantity),
            Cell::text(&line.unit),
            Cell::Price(line.price),
            Cell::Money(line.cost),
            Cell::text(&line.say),
            if line.what == "lumber" { Cell::Decimal(line.allowance) } else { Cell::Empty },
        ]
    });
    const COLUMNS: [&str; 10] =
        ["what", "item", "at_least_width", "at_least_length", "quantity", "unit", "price", "cost", "say", "allowance"];
    Sheet::new("buy", &COLUMNS, rows.collect())
}

/// `costs.csv`: one cost line a row; they sum to the total.
#[must_use]
pub fn costs(plan: &Plan) -> Sheet {
    let rows = plan.bill.costs.iter().map(|line| {
        vec![
            Cell::text(&line.group),
            Cell::text(&line.item),
            Cell::Decimal(line.quantity),
            Cell::text(&line.unit),
            Cell::Decimal(line.unit_price),
            Cell::Money(line.cost),
        ]
    });
    Sheet::new("costs", &["group", "item", "quantity", "unit", "unit_price", "cost"], rows.collect())
}

/// `summary.csv`: one figure a row.
#[must_use]
pub fn summary(job: &Job, plan: &Plan) -> Sheet {
    let (boards, cloth) = (&plan.boards, &plan.cloth);
    let money = job.shop.currency.as_str();
    let length = job.units.word();
    let volume: Volume = plan.bill.boards.iter().map(|line| line.volume).sum();
    let bought: Length = cloth.bolts.iter().map(|bolt| bolt.bought).sum();
    let needed: i64 = plan.demand.parts.iter().map(|part| i64::from(part.needed)).sum();
    let spare: i64 = plan.demand.parts.iter().map(|part| i64::from(part.spares)).sum();
    let cut: u64 = cut_per_part(boards, plan.demand.parts.len()).iter().sum();
    let row = |name: &'static str, value: Cell, unit: &str| vec![Cell::text(name), value, Cell::text(unit)];
    let count = |n: u64| Cell::Count(n.cast_signed());
    let ease = plan.ease.1;
    let amount = |name, cents: Cents| row(name, Cell::Money(cents), money);
    let mut rows = vec![
        row("board_feet", Cell::Decimal(volume.board_feet(2)), "bf"),
        amount("board_cost", boards.cost),
        amount("board_cost_bound", boards.bound),
        row("cloth_length", Cell::Length(cloth.length), length),
        row("cloth_length_bound", Cell::Length(cloth.length_bound), length),
        amount("cloth_cost", cloth.cost),
        amount("cloth_cost_bound", cloth.cost_bound),
        row("fabric_yards", yards(cloth.length), "yard"),
        row("bought_yards", yards(bought), "yard"),
        row("strips_needed", Cell::Count(needed), "strip"),
        row("strips_spare", Cell::Count(spare), "strip"),
        row("strips_surplus", Cell::Count(cut.cast_signed() - needed - spare), "strip"),
        amount("total_cost", plan.bill.total),
        row("optimal", Cell::YesNo(boards.optimal), ""),
        row("cloth_optimal", Cell::YesNo(cloth.optimal), ""),
        row("cut_short", Cell::YesNo(boards.cut_short || cloth.cut_short), ""),
        row("boards", Cell::Count(boards.boards.len().try_into().unwrap_or(i64::MAX)), "board"),
        row("cloth_cuts", Cell::text(cloth.cuts.word()), ""),
        row("door_boards", count(ease.door_boards), "board"),
        row("door_boards_bound", count(ease.door_boards_bound), "board"),
        row("blank_lengths", count(ease.blank_lengths as u64), "length"),
        row("rip_widths", count(ease.rip_widths as u64), "width"),
        row("fence_settings", count(ease.fence_settings as u64), "setting"),
        row("largest_offcut_width", Cell::Length(ease.offcut.map_or(Length::ZERO, |offcut| offcut.width)), length),
        row("largest_offcut_length", Cell::Length(ease.offcut.map_or(Length::ZERO, |offcut| offcut.length)), length),
    ];
    for one in &plan.one_order {
        let (cost, bound) = match one.order {
            Order::CrosscutFirst => ("board_cost_crosscut_first", "board_cost_crosscut_first_bound"),
            Order::RipFirst => ("board_cost_rip_first", "board_cost_rip_first_bound"),
        };
        let cents = |cents: Option<Cents>| cents.map_or(Cell::Empty, Cell::Money);
        rows.push(row(cost, cents(one.boards.as_ref().map(|boards| boards.cost)), money));
        rows.push(row(bound, cents(one.boards.as_ref().map(|boards| boards.bound)), money));
    }
    Sheet::new("summary", &["figure", "value", "unit"], rows)
}

/// Yards to four places, in every job.
fn yards(length: Length) -> Cell {
    let yards = Decimal::from(length.nm()) / Decimal::from(Length::from_inches(36).nm());
    Cell::Decimal(yards.round_dp(4).normalize())
}
