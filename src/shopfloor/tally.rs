//! The tally: what came off the saw, whether it is enough, and the least extra cutting if not.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rust_decimal::Decimal;

use super::{
    ASSUMED_WEIGHT, CutPlan, Finish, FloorError, HISTORY_WEIGHT, Rate, SectionHistory, clustering, finish, offcuts,
};
use crate::demand::Part;
use crate::doors::Door;
use crate::files::{At, Desk, Kind, LARGEST_CSV, Problem, Sources, TallyFile, nearest, read_tally_rows};
use crate::job::{BoardStock, BoardUnit, Job, SpareRate, Species};
use crate::measure::{Cents, Length, Price};
use crate::packing::{Budget, Flow, Progress};
use crate::plan::Stage;

/// Most strips of one part that an extra cutting may ask for.
const MOST_EXTRA: u64 = 20_000;

/// One row of a tally: strips of one part that came from one board.
#[derive(Debug, Clone, PartialEq)]
pub struct TallyRow {
    /// Index of the board in the plan (its number less 1).
    pub board: usize,
    /// Index into the job's parts.
    pub part: usize,
    /// Straight strips.
    pub straight: u32,
    /// Rejected strips.
    pub rejected: u32,
    /// Each reject of the row is straight over at least this.
    pub straight_length: Option<Length>,
    /// Hours it took.
    pub hours: Decimal,
}

/// One cut of a job: its plan and what has come of it so far.
#[derive(Debug, Clone)]
pub struct Round {
    /// What the saw was sent to do.
    pub plan: CutPlan,
    /// What was counted.
    pub rows: Vec<TallyRow>,
}

impl Round {
    fn tallied(&self, board: usize, part: usize) -> bool {
        self.rows.iter().any(|row| row.board == board && row.part == part)
    }

    /// Boards of which every part is counted.
    pub fn done(&self) -> impl Iterator<Item = usize> {
        let whole = |at: &usize| self.plan.boards[*at].rips.iter().all(|row| self.tallied(*at, row.part));
        (0..self.plan.boards.len()).filter(whole)
    }

    /// Strips of a part still on boards that are not counted.
    fn remaining(&self, part: usize) -> u64 {
        let uncounted = self.plan.boards.iter().enumerate().filter(|(at, _)| !self.tallied(*at, part));
        uncounted.map(|(_, board)| u64::from(board.yields(part))).sum()
    }
}

/// Reads a tally and holds it against the plan it counts for. A row without counts is of a board not cut yet.
///
/// # Errors
/// [`FloorError::Files`] with every row that names no board or part of the plan, counts more strips than
/// the board yields, or is there twice.
pub fn read_tally(job: &Job, parts: &[Part], plan: &CutPlan, path: &Path) -> Result<Vec<TallyRow>, FloorError> {
    let sources = Sources::on_disk(path);
    let desk = Desk::new(&sources);
    let file = desk.open(path, LARGEST_CSV, None);
    let written = file.and_then(|(id, text)| read_tally_rows(&desk, (id, &text), job.units));
    let mut seen = BTreeMap::new();
    let mut rows = Vec::new();
    let filled = |row: &&TallyFile| !(row.straight.is_missing() && row.rejected.is_missing());
    for row in written.iter().flat_map(|table| &table.list).filter(filled) {
        if let Some(read) = tally_row(&desk, job, parts, plan, row) {
            if seen.insert((read.board, read.part), row.place).is_some() {
                let what = format!("board {} is counted twice for {}", read.board + 1, parts[read.part].name);
                desk.add(Problem::new(Kind::Duplicate, row.place, what).help("one row a board and part"));
            }
            rows.push(read);
        }
    }
    desk.problems().map_or(Ok(rows), |problems| Err(problems.into()))
}

fn tally_row(desk: &Desk, job: &Job, parts: &[Part], plan: &CutPlan, row: &TallyFile) -> Option<TallyRow> {
    let missing = |column: &str| {
        let problem = Problem::new(Kind::Missing, row.place, format!("`{column}` is empty in this row"));
        desk.add(problem.help("leave both counts empty until the board is cut"));
    };
    for (column, empty) in [
        ("board", row.board.is_missing()),
        ("part", row.part.is_missing()),
        ("straight", row.straight.is_missing()),
        ("rejected", row.rejected.is_missing()),
    ] {
        if empty {
            missing(column);
        }
    }
    let board = known_board(desk, plan, row.board.given()?)?;
    let part = known_part(desk, parts, plan, board, row.part.given()?)?;
    let (straight, rejected) = (row.straight.given()?, row.rejected.given()?);
    let yields = plan.boards[board].yields(part);
    let counted = u64::from(straight.value) + u64::from(rejected.value);
    if counted > u64::from(yields) {
        let what = format!("{counted} strips are counted, but board {} yields {yields}", board + 1);
        let name = &parts[part].name;
        desk.add(
            Problem::new(Kind::Conflict, row.place, what)
                .help(format!("straight and rejected strips of {name} together are at most {yields}")),
        );
    }
    let longest = parts[part].length + job.shop.cutting.length_trim;
    if let Some(at) = row.straight_length.given().filter(|at| at.value > longest) {
        let what = format!("`straight_length` is more than the strip's own {}", longest.show(job.units));
        desk.add(Problem::new(Kind::Conflict, at.place, what).help("the straight length left in each reject"));
    }
    Some(TallyRow {
        board,
        part,
        straight: straight.value,
        rejected: rejected.value,
        straight_length: row.straight_length.given().map(|at| at.value),
        hours: row.hours.given().map_or(Decimal::ZERO, |at| at.value),
    })
}

fn known_board(desk: &Desk, plan: &CutPlan, at: &At<u32>) -> Option<usize> {
    let boards = plan.boards.len();
    let board = (at.value as usize).checked_sub(1).filter(|board| *board < boards);
    if board.is_none() {
        let problem = Problem::new(Kind::UnknownName, at.place, format!("the plan has no board {}", at.value));
        desk.add(problem.help(format!("its boards are 1 to {boards}; is this tally for another plan?")));
    }
    board
}

fn known_part(desk: &Desk, parts: &[Part], plan: &CutPlan, board: usize, at: &At<String>) -> Option<usize> {
    let here: BTreeSet<usize> = plan.boards[board].rips.iter().map(|row| row.part).collect();
    let part = here.iter().copied().find(|part| parts[*part].name == at.value);
    if part.is_none() {
        let what = format!("board {} yields no strips of `{}`", board + 1, at.value);
        let names: Vec<&str> = here.iter().map(|part| parts[*part].name.as_str()).collect();
        let help = match nearest(&at.value, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`? It yields {}", names.join(", ")),
            None => format!("it yields {}", names.join(", ")),
        };
        desk.add(Problem::new(Kind::UnknownName, at.place, what).help(help));
    }
    part
}

/// Rejects crosscut into strips of a shorter part of the same section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Salvage {
    /// Part the rejects were cut for.
    pub from: usize,
    /// Part they now serve.
    pub to: usize,
    /// Rejects used.
    pub rejects: u32,
    /// Straight strips they yield.
    pub strips: u32,
}

/// A job at the saw.
#[derive(Debug, Clone, Copy)]
pub struct Saw<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its doors.
    pub doors: &'a [Door],
    /// Its pooled strips.
    pub parts: &'a [Part],
    /// Every cut so far, the first one first.
    pub rounds: &'a [Round],
    /// What the shop saw in other jobs.
    pub history: &'a [SectionHistory],
}

/// Where a job stands at the saw.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Good strips wanted of each part, those left with the client included.
    pub wanted: Vec<u64>,
    /// Straight strips counted.
    pub straight: Vec<u64>,
    /// Rejects counted.
    pub rejected: Vec<u64>,
    /// Strips still to come from boards that are not counted.
    pub remaining: Vec<u64>,
    /// What is believed of the reject rate.
    pub rates: Vec<Rate>,
    /// Boards counted whole, and boards planned, over all cuts.
    pub boards: (usize, usize),
    /// The chance that nothing more needs cutting: the product over all parts. Parts of a section share
    /// one rate, so the true chance is no lower.
    pub chance: f64,
    /// The chance asked for.
    pub confidence: f64,
    /// Extra strips to cut of each part, set-up strips included; all zero when it is enough.
    pub extra: Vec<u32>,
    /// How to cut them, when there are any.
    pub finish: Option<Finish>,
    /// Rejects to be used first: only where that saves cutting.
    pub salvage: Vec<Salvage>,
    /// Extra strips without them.
    pub extra_without: u64,
}

impl Standing {
    /// True when no extra cutting is called for: every part reaches the confidence together.
    #[must_use]
    pub fn enough(&self) -> bool {
        self.extra.iter().all(|strips| *strips == 0) && self.salvage.is_empty()
    }
}

/// Good strips wanted of each part: what doors and loose strips need and the strips left with the
/// client; neither reject nor set-up spares.
#[must_use]
pub fn good_wanted(job: &Job, doors: &[Door], parts: &[Part]) -> Vec<u64> {
    let repair = |part: &Part| {
        let slats = part.uses.iter().filter(|user| user.role == "slat");
        let copies = slats.filter_map(|user| doors.iter().find(|door| door.name == user.name)).map(|door| door.count);
        copies.map(|count| u64::from(count) * u64::from(job.spares.repair_strips)).sum::<u64>()
    };
    parts.iter().map(|part| u64::from(part.needed) + repair(part)).collect()
}

fn section(part: &Part) -> (&Species, Length, Length) {
    (&part.species, part.width, part.thickness)
}

/// The reject rate that the job assumes for a part.
fn assumed(job: &Job, part: &Part) -> f64 {
    let own = part.uses.iter().find_map(|user| job.strips.iter().find(|strip| strip.name == user.name));
    match own.and_then(|strip| strip.spares).unwrap_or(job.spares.rate) {
        SpareRate::RejectRate(rate) => rate.f64(),
        SpareRate::None | SpareRate::Percent(_) => 0.0,
    }
}

/// A part that only loose strips without any spares ask for: it comes out exactly, set-up strips included.
fn exact(job: &Job, part: &Part) -> bool {
    part.uses.iter().all(|user| {
        let strip = job.strips.iter().find(|strip| strip.name == user.name);
        strip.is_some_and(|strip| strip.spares == Some(SpareRate::None))
    })
}

/// Prior plus seen, section by section: strips of one section share their luck.
fn rates(job: &Job, parts: &[Part], rounds: &[Round], history: &[SectionHistory]) -> Vec<Rate> {
    let rate = |part: &Part| {
        let mut lots: BTreeMap<(usize, usize), (u64, u64)> = BTreeMap::new();
        for (number, round) in rounds.iter().enumerate() {
            for row in round.rows.iter().filter(|row| section(&parts[row.part]) == section(part)) {
                let lot = lots.entry((number, row.board)).or_default();
                lot.0 += u64::from(row.straight) + u64::from(row.rejected);
                lot.1 += u64::from(row.rejected);
            }
        }
        let lots: Vec<(u64, u64)> = lots.into_values().collect();
        let cut: u64 = lots.iter().map(|lot| lot.0).sum();
        let rejected: u64 = lots.iter().map(|lot| lot.1).sum();
        let past = history.iter().filter(|past| (&past.species, past.width, past.thickness) == section(part));
        let past = past.fold((0u64, 0u64), |sum, past| (sum.0 + past.cut, sum.1 + past.rejected));
        let (prior, weight) = match past {
            (0, _) => (assumed(job, part), ASSUMED_WEIGHT),
            (cut, rejected) => (rejected as f64 / cut as f64, (cut as f64).min(HISTORY_WEIGHT)),
        };
        Rate::updated(prior, weight, cut - rejected, rejected, clustering(&lots))
    };
    parts.iter().map(rate).collect()
}

/// Takes stock of a job at the saw. Strips that are to come count with the chance of coming out
/// straight under the rate updated by what was seen; if the chance that all parts have enough is under
/// the confidence asked for, the extra strips of least wood that reach it are planned, from kept
/// offcuts first (a cent a board foot), then from boards left (two cents, or their price), then from
/// what is for sale. Where rejects that are straight over a shorter length save cutting, they are used.
///
/// # Errors
/// [`FloorError`] when the extra strips cannot be had, or so much was rejected that no number would do.
pub fn take_stock(
    saw: &Saw<'_>,
    budget: &Budget,
    listener: &mut dyn FnMut(Stage, Progress) -> Flow,
) -> Result<Standing, FloorError> {
    let Saw { job, doors, parts, rounds, history } = *saw;
    let sum = |of: &dyn Fn(&TallyRow) -> u32, at: usize| -> u64 {
        let rows = rounds.iter().flat_map(|round| &round.rows).filter(|row| row.part == at);
        rows.map(|row| u64::from(of(row))).sum()
    };
    let each = |of: &dyn Fn(&TallyRow) -> u32| -> Vec<u64> { (0..parts.len()).map(|at| sum(of, at)).collect() };
    let rates = rates(job, parts, rounds, history);
    let mut standing = Standing {
        wanted: good_wanted(job, doors, parts),
        straight: each(&|row| row.straight),
        rejected: each(&|row| row.rejected),
        remaining: remaining(job, parts, rounds),
        boards: (
            rounds.iter().map(|round| round.done().count()).sum(),
            rounds.iter().map(|round| round.plan.boards.len()).sum(),
        ),
        rates,
        chance: 1.0,
        confidence: job.spares.confidence.f64(),
        extra: vec![0; parts.len()],
        finish: None,
        salvage: Vec::new(),
        extra_without: 0,
    };
    let none = vec![0; parts.len()];
    standing.chance = chance(&standing, &none, &none);
    let plain = extra(job, parts, &standing, &none)?;
    standing.extra_without = plain.iter().map(|strips| u64::from(*strips)).sum();
    if standing.extra_without == 0 {
        return Ok(standing);
    }
    let (salvage, saved) = salvage(job, parts, rounds, &standing)?;
    let boards = stock_left(job, parts, rounds);
    let without = finish(job, parts, &plain, boards.clone(), budget, listener);
    if salvage.is_empty() {
        (standing.extra, standing.finish) = (plain, Some(without?));
        return Ok(standing);
    }
    let with = finish(job, parts, &saved, boards, budget, listener)?;
    let dearer = |plain: &Finish| with.plan.boards.cost > plain.plan.boards.cost;
    let strips: u64 = saved.iter().map(|strips| u64::from(*strips)).sum();
    match without {
        Ok(plain_finish) if dearer(&plain_finish) || strips >= standing.extra_without => {
            (standing.extra, standing.finish) = (plain, Some(plain_finish));
        }
        _ => {
            standing.finish = (strips > 0).then_some(with);
            (standing.extra, standing.salvage) = (saved, salvage);
        }
    }
    Ok(standing)
}

/// Strips to come of each part. The first setting of fence and cutter spoils the set-up strips of its
/// section; once anything of it is counted they are behind.
fn remaining(job: &Job, parts: &[Part], rounds: &[Round]) -> Vec<u64> {
    let mut left = vec![0; parts.len()];
    for round in rounds {
        let mut here: Vec<u64> = (0..parts.len()).map(|at| round.remaining(at)).collect();
        for set_up in set_ups(parts, |at| round.plan.planned[at] > 0 && !exact(job, &parts[at])) {
            let begun = round.rows.iter().any(|row| section(&parts[row.part]) == section(&parts[set_up]));
            if !begun {
                here[set_up] = here[set_up].saturating_sub(u64::from(job.spares.setup_strips));
            }
        }
        left.iter_mut().zip(here).for_each(|(left, here)| *left += here);
    }
    left
}

/// The shortest part of each section among those that count.
fn set_ups(parts: &[Part], counts: impl Fn(usize) -> bool) -> Vec<usize> {
    let mut shortest: BTreeMap<_, usize> = BTreeMap::new();
    for at in (0..parts.len()).filter(|at| counts(*at)) {
        let best = shortest.entry(section(&parts[at])).or_insert(at);
        if parts[at].length < parts[*best].length {
            *best = at;
        }
    }
    shortest.into_values().collect()
}

fn part_chance(standing: &Standing, at: usize, salvaged: u64, extra: u64) -> f64 {
    let lacking = standing.wanted[at].saturating_sub(standing.straight[at] + salvaged);
    standing.rates[at].chance(standing.remaining[at] + extra, lacking)
}

fn chance(standing: &Standing, salvaged: &[u64], extra: &[u64]) -> f64 {
    (0..salvaged.len()).map(|at| part_chance(standing, at, salvaged[at], extra[at])).product()
}

/// The extra strips of least wood that reach the confidence: the fewest that each part needs by itself,
/// then the strip that gains most for its wood, again and again; at last those that turn out not to be
/// needed are taken back, the dearest first. Sections that are set up anew get their set-up strips.
fn extra(job: &Job, parts: &[Part], standing: &Standing, salvaged: &[u64]) -> Result<Vec<u32>, FloorError> {
    // Sums of floating point: a strip is worth far more than this.
    let asked = standing.confidence - 1e-12;
    let mut extra = vec![0u64; parts.len()];
    for at in 0..parts.len() {
        let alone = |strips: u64| part_chance(standing, at, salvaged[at], strips) >= asked;
        let (mut low, mut high) = (0, 1);
        while !alone(high) {
            (low, high) = (high, high * 2);
            if high > MOST_EXTRA {
                return Err(hopeless(parts, standing, at));
            }
        }
        if alone(0) {
            continue;
        }
        while low + 1 < high {
            let middle = low.midpoint(high);
            if alone(middle) { high = middle } else { low = middle }
        }
        extra[at] = high;
    }
    let wood = |at: usize| (parts[at].length * parts[at].width * parts[at].thickness).nm3() as f64;
    while chance(standing, salvaged, &extra) < asked {
        let gain = |at: usize| {
            let ln = |strips| part_chance(standing, at, salvaged[at], strips).ln();
            (ln(extra[at] + 1) - ln(extra[at])) / wood(at)
        };
        let best = (0..parts.len()).map(|at| (gain(at), at)).max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        // A lot of two is likelier to fail whole than a lot of one that is clustered: where one strip more
        // gains nothing, the weakest size gets it, for many more do.
        let weakest = |a: &usize, b: &usize| {
            let of = |at: usize| part_chance(standing, at, salvaged[at], extra[at]);
            of(*a).total_cmp(&of(*b))
        };
        let at = match best {
            Some((gain, at)) if gain > 0.0 => Some(at),
            _ => (0..parts.len()).min_by(weakest),
        };
        let Some(at) = at else { break };
        if extra[at] > MOST_EXTRA {
            return Err(hopeless(parts, standing, at));
        }
        extra[at] += 1;
    }
    let mut dearest: Vec<usize> = (0..parts.len()).collect();
    dearest.sort_by(|a, b| wood(*b).total_cmp(&wood(*a)));
    for at in dearest {
        while extra[at] > 0 {
            extra[at] -= 1;
            if chance(standing, salvaged, &extra) < asked {
                extra[at] += 1;
                break;
            }
        }
    }
    for at in set_ups(parts, |at| extra[at] > 0 && !exact(job, &parts[at])) {
        let running = |other: usize| section(&parts[other]) == section(&parts[at]) && standing.remaining[other] > 0;
        if !(0..parts.len()).any(running) {
            extra[at] += u64::from(job.spares.setup_strips);
        }
    }
    Ok(extra.into_iter().map(|strips| u32::try_from(strips).unwrap_or(u32::MAX)).collect())
}

fn hopeless(parts: &[Part], standing: &Standing, at: usize) -> FloorError {
    let (bad, good) = (standing.rejected[at], standing.straight[at]);
    let name = &parts[at].name;
    FloorError::Mismatch {
        what: format!(
            "{name}: {bad} of {} strips were rejected, so no number of extra strips reaches the confidence asked for",
            good + bad
        ),
        help: "look at the boards, or ask for less `confidence` in the job file",
    }
}

/// Rejects that can serve a shorter part of their section that is short, and the extra strips that are
/// then still wanted. A checked length is straight: it counts as good.
fn salvage(
    job: &Job,
    parts: &[Part],
    rounds: &[Round],
    standing: &Standing,
) -> Result<(Vec<Salvage>, Vec<u32>), FloorError> {
    let rules = &job.shop.cutting;
    let rough = |at: usize| parts[at].length + rules.length_trim;
    let rows = rounds.iter().flat_map(|round| &round.rows);
    let mut pool: Vec<(usize, Length, u32)> =
        rows.filter_map(|row| Some((row.part, row.straight_length?, row.rejected))).collect();
    pool.sort_by_key(|(part, length, _)| (*length, *part));
    let mut salvaged = vec![0u64; parts.len()];
    let mut used: BTreeMap<(usize, usize), (u32, u32)> = BTreeMap::new();
    loop {
        let wanted = extra(job, parts, standing, &salvaged)?;
        let fits = |from: usize, length: Length, to: usize| {
            section(&parts[from]) == section(&parts[to]) && parts[to].length < parts[from].length && rough(to) <= length
        };
        let found = (0..parts.len()).filter(|at| wanted[*at] > 0).filter_map(|to| {
            let reject = pool.iter().position(|(from, length, left)| *left > 0 && fits(*from, *length, to));
            reject.map(|reject| (parts[to].length, to, reject))
        });
        let Some((_, to, reject)) = found.max() else {
            let list = used.into_iter().map(|((from, to), (rejects, strips))| Salvage { from, to, rejects, strips });
            return Ok((list.collect(), wanted));
        };
        let (from, length, left) = &mut pool[reject];
        *left -= 1;
        let pieces = (*length + rules.crosscut_kerf).nm() / (rough(to) + rules.crosscut_kerf).nm();
        let pieces = u32::try_from(pieces.max(1)).unwrap_or(1);
        salvaged[to] += u64::from(pieces);
        let entry = used.entry((*from, to)).or_default();
        *entry = (entry.0 + 1, entry.1 + pieces);
    }
}

/// What extra strips can be cut from: offcuts of boards that are done, boards left, and the yard.
fn stock_left(job: &Job, parts: &[Part], rounds: &[Round]) -> Vec<BoardStock> {
    let mut used: BTreeMap<&str, u32> = BTreeMap::new();
    for board in rounds.iter().flat_map(|round| &round.plan.boards) {
        *used.entry(board.stock.stock.as_str()).or_default() += 1;
    }
    let known = |name: &str| job.boards.iter().any(|board| board.stock == name);
    let mut stock = Vec::new();
    for (number, round) in rounds.iter().enumerate() {
        let kept = round.done().filter_map(|at| offcuts(job, parts, &round.plan, number, at));
        let free =
            kept.map(|kept| kept.stock).filter(|kept| !used.contains_key(kept.stock.as_str()) && !known(&kept.stock));
        stock.extend(free.map(|kept| handled(kept, 1)));
    }
    for board in &job.boards {
        let taken = used.get(board.stock.as_str()).copied().unwrap_or(0);
        match board.on_hand {
            None => stock.push(board.clone()),
            Some(count) => {
                let left = BoardStock { on_hand: Some(count.saturating_sub(taken)), ..board.clone() };
                stock.push(if left.unit_cost == Cents::ZERO { handled(left, 2) } else { left });
            }
        }
    }
    stock
}

/// Owned wood at so many cents a board foot, rounded up: the smallest pieces go first.
fn handled(board: BoardStock, cents: i64) -> BoardStock {
    let volume = board.length * board.width * board.thickness.charged();
    let feet = volume.board_feet(2).ceil().max(Decimal::ONE);
    let price = Price::new(feet * Decimal::new(cents, 2)).unwrap_or(Price::ZERO);
    BoardStock {
        price: Some((price, BoardUnit::Each)),
        unit_cost: Cents::nearest(price.decimal()).unwrap_or(Cents::ZERO),
        ..board
    }
}
