//! Random shops at the saw: is the confidence kept, does every job end with enough, what does not knowing
//! cost?
//!
//! The first tests are bounded; `figures_of_thousands_of_shops` is run by hand and prints its figures:
//! `cargo test --release --test suite simulation:: -- --ignored --nocapture`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeSet;

use crate::common;

use common::{inch, shop, some_of};
use itertools::Itertools;
use slatwright::demand::{self, Demand, Part};
use slatwright::job::{
    BoardPlace, BoardStock, BoardUnit, History, Job, LooseStrip, Millings, SpareRate, SparesRule, Species,
};
use slatwright::measure::{Cents, Length, Price, Ratio, Units, parse_thickness};
use slatwright::packing::{Budget, Flow};
use slatwright::shopfloor::{
    CountRow, CutPlan, PlannedBoard, PlannedRips, Round, Saw, Standing, finish, gather, take_stock,
};

/// A small generator with a fixed seed (Marsaglia's xorshift, *Journal of Statistical Software* 8, 2003).
struct Luck(u64);

impl Luck {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: u32, high: u32) -> u32 {
        low + u32::try_from(self.next() % u64::from(high - low + 1)).unwrap()
    }
}

/// How the true rate relates to the assumed one.
#[derive(Clone, Copy, PartialEq)]
enum Truth {
    /// It is the assumed one, and rejects come by the board so far: the variance of a board of twenty strips over that
    /// of strips that fail each by itself.
    Assumed(f64),
    /// Drawn anew for every job between half and one and a half of it.
    Drawn,
    /// Right on average, but one board in four takes nearly all of it.
    Clustered,
}

/// A board on its way under the saw.
struct Board {
    rate: f64,
    /// Strips for which the rate counts against those that came of the board so far.
    weight: f64,
    cut: f64,
    failed: f64,
}

impl Board {
    /// Whether the next strip fails: Pólya's urn, in which the rejects of a board are beta-binomial.
    fn fails(&mut self, luck: &mut Luck) -> bool {
        let rate = if self.weight.is_infinite() {
            self.rate
        } else {
            (self.rate * self.weight + self.failed) / (self.weight + self.cut)
        };
        let fails = luck.share() < rate;
        self.cut += 1.0;
        self.failed += f64::from(u8::from(fails));
        fails
    }
}

impl Truth {
    fn board(self, luck: &mut Luck, of_job: f64) -> Board {
        let board = |rate, weight| Board { rate, weight, cut: 0.0, failed: 0.0 };
        match self {
            Self::Assumed(by_board) if by_board > 1.0 => board(of_job, 19.0 / (by_board - 1.0) - 1.0),
            Self::Assumed(_) | Self::Drawn => board(of_job, f64::INFINITY),
            Self::Clustered if luck.share() < 0.25 => board((of_job * 3.4).min(0.95), f64::INFINITY),
            Self::Clustered => board(of_job * 0.2, f64::INFINITY),
        }
    }

    fn of_job(self, luck: &mut Luck, assumed: f64) -> f64 {
        if self == Self::Drawn { assumed * (0.5 + luck.share()) } else { assumed }
    }
}

fn random_job(luck: &mut Luck) -> (Job, f64) {
    let rate = f64::from(luck.between(4, 25)) / 100.0;
    let strip = |luck: &mut Luck, at: u32| LooseStrip {
        name: format!("size {at}"),
        species: Species::settled("black cherry"),
        length: Length::from_inches(i64::from(luck.between(16, 40))),
        width: inch(if luck.between(0, 3) == 0 { "1-1/8" } else { "5/8" }),
        thickness: inch("3/8"),
        quantity: luck.between(4, 90),
        spares: None,
        milling: Millings::Flat,
        in_the_price: false,
    };
    let strips = (0..luck.between(1, 5)).map(|at| strip(luck, at)).collect();
    let price = Price::parse("32.00").unwrap();
    let board = BoardStock {
        stock: "sale".to_owned(),
        species: Species::settled("black cherry"),
        thickness: parse_thickness("4/4", Units::Inch).unwrap(),
        width: inch("6"),
        length: inch("96"),
        defects: Vec::new(),
        place: BoardPlace::Yard,
        on_hand: None,
        price: Some((price, BoardUnit::Each)),
        unit_cost: Cents::new(3200),
        random: false,
        widths: None,
        held: Vec::new(),
    };
    let ratio = |figure: f64| Ratio::below_one(format!("{figure:.4}").parse().unwrap()).unwrap();
    let job = Job {
        name: "random".to_owned(),
        client: None,
        units: Units::Inch,
        cabinets: Vec::new(),
        strips,
        cloth_pieces: Vec::new(),
        lines: Vec::new(),
        spares: SparesRule {
            rate: SpareRate::RejectRate(ratio(rate)),
            rates: Vec::new(),
            known_from: Some(200),
            by_board: 1.into(),
            second_trip: None,
            confidence: ratio([0.8, 0.9, 0.95][luck.between(0, 2) as usize]),
            setup_strips: 1,
            repair_strips: 0,
        },
        boards: vec![board],
        bolts: Vec::new(),
        sheets: Vec::new(),
        shop: shop(),
        history: slatwright::job::History::default(),
        alternatives: Vec::new(),
        options: Vec::new(),
        defaults: Vec::new(),
        written: slatwright::job::Written::default(),
    };
    (job, rate)
}

/// A cut of so many strips of each part, in lots of up to seven off boards of twenty: what the saw brings, with no
/// packing.
fn sawn(luck: &mut Luck, job: &Job, parts: &[Part], strips: &[u32], truth: Truth, rate: f64) -> Round {
    let mut lots: Vec<(usize, u32)> = Vec::new();
    for (part, &strips) in strips.iter().enumerate() {
        lots.extend((0..strips).step_by(7).map(|from| (part, (strips - from).min(7))));
    }
    for at in (1..lots.len()).rev() {
        lots.swap(at, luck.between(0, u32::try_from(at).unwrap()) as usize);
    }
    let (mut boards, mut rows): (Vec<PlannedBoard>, Vec<CountRow>) = (Vec::new(), Vec::new());
    let (mut room, mut board) = (0, truth.board(luck, rate));
    for (part, mut left) in lots {
        while left > 0 {
            if room == 0 {
                (room, board) = (20, truth.board(luck, rate));
                let stock = job.boards[0].clone();
                boards.push(PlannedBoard { stock, order: slatwright::job::Order::CrosscutFirst, rips: Vec::new() });
            }
            let here = left.min(room);
            (left, room) = (left - here, room - here);
            let rejected = (0..here).map(|_| u32::from(board.fails(luck))).sum();
            let number = boards.len() - 1;
            boards[number].rips.push(rips(&parts[part], part, here));
            match rows.iter_mut().find(|row| (row.board, row.part) == (number, part)) {
                Some(row) => (row.straight, row.rejected) = (row.straight + here - rejected, row.rejected + rejected),
                None => rows.push(CountRow {
                    board: number,
                    part,
                    straight: here - rejected,
                    rejected,
                    straight_length: None,
                    crosscut: None,
                    hours: rust_decimal::Decimal::ZERO,
                }),
            }
        }
    }
    Round {
        plan: CutPlan { folder: "out".into(), boards, planned: strips.to_vec(), mark: "0".repeat(16) },
        rows,
        anew: BTreeSet::new(),
    }
}

fn rips(of: &Part, part: usize, strips: u32) -> PlannedRips {
    PlannedRips {
        blank: 1,
        // No offcut of any use: the boards are taken to be full.
        blank_length: inch("92"),
        planed: of.thickness,
        leaves: 1,
        part,
        rip_width: of.width,
        rips: strips,
        strips,
        from: inch("1-1/2"),
    }
}

/// Cuttable strips of a plan: its set-up strips spoil on the fence.
fn cuttable(demand: &Demand) -> Vec<u32> {
    let mut strips: Vec<u32> = demand.parts.iter().map(Part::total).collect();
    let mut sections: Vec<(Length, usize)> = Vec::new();
    for (at, part) in demand.parts.iter().enumerate() {
        match sections.iter_mut().find(|(width, _)| *width == part.width) {
            None => sections.push((part.width, at)),
            Some((_, best)) if part.length < demand.parts[*best].length => *best = at,
            Some(_) => {}
        }
    }
    for (_, at) in sections {
        strips[at] -= 1;
    }
    strips
}

struct Told {
    shops: u32,
    /// Jobs that ended with the first cut.
    first: u32,
    /// The mean confidence asked for.
    asked: f64,
    /// Cuts of all jobs.
    cuts: u32,
    /// Good strips beyond need at the end, and strips needed.
    over: u64,
    needed: u64,
}

/// Every job is cut until the count says that all of it is there, which the test then recounts.
fn simulate(shops: u32, truth: Truth, known_from: Option<u32>, seed: u64) -> Told {
    let mut luck = Luck(seed);
    let mut told = Told { shops, first: 0, asked: 0.0, cuts: 0, over: 0, needed: 0 };
    let budget = Budget { nodes: 1, tries: 2 };
    for _ in 0..shops {
        let (mut job, assumed) = random_job(&mut luck);
        job.spares.known_from = known_from;
        if let Truth::Assumed(by_board) = truth {
            job.spares.by_board = rust_decimal::Decimal::try_from(by_board).unwrap();
        }
        let rate = truth.of_job(&mut luck, assumed);
        let demand = demand::pool(&job, &[]).unwrap();
        let parts = &demand.parts;
        let mut rounds = vec![sawn(&mut luck, &job, parts, &cuttable(&demand), truth, rate)];
        let standing = loop {
            let standing: Standing = take_stock(
                &Saw { job: &job, doors: &[], parts, confidence: demand.confidence, rounds: &rounds },
                &budget,
                &mut |_, _| Flow::Continue,
            )
            .unwrap();
            if standing.enough() {
                break standing;
            }
            assert!(rounds.len() < 60, "a job comes to its end");
            rounds.push(sawn(&mut luck, &job, parts, &standing.extra, truth, rate));
        };
        for family in parts.iter().map(|part| part.section()).unique() {
            let mut to_spare = 0i64;
            let sizes = (0..parts.len()).filter(|at| parts[*at].section() == family);
            for at in sizes.sorted_by_key(|at| std::cmp::Reverse(parts[*at].length)) {
                let rows = rounds.iter().flat_map(|round| &round.rows).filter(|row| row.part == at);
                let good: u64 = rows.map(|row| u64::from(row.straight)).sum();
                // A long strip that is crosscut may give two.
                to_spare += good.cast_signed() + standing.by_crosscut[at] - i64::from(parts[at].needed);
                assert!(to_spare >= 0 && standing.straight[at] == good, "never short at the end");
                told.needed += u64::from(parts[at].needed);
            }
            told.over += to_spare.unsigned_abs();
        }
        told.first += u32::from(rounds.len() == 1);
        told.cuts += u32::try_from(rounds.len()).unwrap();
        told.asked += job.spares.confidence.f64();
    }
    told.asked /= f64::from(shops);
    told
}

impl Told {
    fn share(&self) -> f64 {
        f64::from(self.first) / f64::from(self.shops)
    }

    /// Three standard errors of a share.
    fn error(&self) -> f64 {
        3.0 * (self.asked * (1.0 - self.asked) / f64::from(self.shops)).sqrt()
    }

    fn line(&self, name: &str) -> String {
        let over = self.over as f64 / self.needed as f64 * 100.0;
        format!(
            "{name}: {} shops, no second cut {:.3} (asked {:.3} +- {:.3}), {:.2} cuts a job, {over:.1} % over at the end",
            self.shops,
            self.share(),
            self.asked,
            self.error(),
            f64::from(self.cuts) / f64::from(self.shops)
        )
    }
}

/// The rate is the assumed one and rejects come by the board as far as the job says: the confidence is kept, whether
/// the rate is known beyond doubt or from two hundred strips.
#[test]
fn the_confidence_is_kept_when_rejects_are_what_the_job_says() {
    for (by_board, known_from) in [(1.0, None), (1.0, Some(200)), (2.0, None)] {
        let told = simulate(some_of(300), Truth::Assumed(by_board), known_from, 0x5EED);
        assert!(told.share() >= told.asked - told.error(), "{}", told.line("assumed"));
        assert!(told.share() < 1.0, "{}", told.line("assumed"));
    }
}

/// Rejects that come by the board break more jobs at the first cut when nobody says so; none is short at the end.
#[test]
fn every_job_ends_with_enough_whatever_the_rate() {
    let shops = some_of(150);
    let drawn = simulate(shops, Truth::Drawn, Some(200), 0xD1CE);
    let clustered = simulate(shops, Truth::Clustered, Some(200), 0xB0A2D);
    assert!(drawn.cuts > shops && clustered.cuts > drawn.cuts);
}

#[test]
fn pooled_spares_take_no_more_wood_than_spares_by_the_door() {
    let mut luck = Luck(0xF00D);
    let mut less = 0;
    for _ in 0..200 {
        let (job, _) = random_job(&mut luck);
        let pooling = demand::pool(&job, &[]).unwrap().pooling;
        assert!(pooling.pooled_wood <= pooling.separate_wood && pooling.pooled <= pooling.separate);
        less += u32::from(pooling.pooled < pooling.separate);
    }
    assert!(less > 20, "often strictly fewer: {less}");
}

/// A shop's jobs one after another, each recorded in its history: which of them needed no second cut.
fn learning(luck: &mut Luck, jobs: usize) -> Vec<bool> {
    let rate = 0.06 + 0.16 * luck.share();
    let truth = Truth::Assumed(1.0 + 2.0 * luck.share());
    let mut past = History::default();
    let mut ended = Vec::new();
    for number in 0..jobs {
        let (mut job, _) = random_job(luck);
        job.name = format!("job {number}");
        let share = |figure: &str| Ratio::below_one(figure.parse().unwrap()).unwrap();
        (job.spares.rate, job.spares.confidence) = (SpareRate::RejectRate(share("0.12")), share("0.95"));
        // All of one section, so that each job has something to learn from.
        job.strips.iter_mut().for_each(|strip| strip.width = inch("5/8"));
        job.history = past.clone();
        let demand = demand::pool(&job, &[]).unwrap();
        let rounds = [sawn(luck, &job, &demand.parts, &cuttable(&demand), truth, rate)];
        let quick = Budget { nodes: 1, tries: 2 };
        let saw = Saw { job: &job, doors: &[], parts: &demand.parts, confidence: demand.confidence, rounds: &rounds };
        ended.push(take_stock(&saw, &quick, &mut |_, _| Flow::Continue).unwrap().enough());
        past = gather(&job, &demand.parts, &rounds, &past);
    }
    ended
}

/// How often the n-th job of a shop needed no second cut.
fn learnt(shops: u32, jobs: usize, seed: u64) -> Vec<f64> {
    let mut luck = Luck(seed);
    let mut ended = vec![0.0; jobs];
    for _ in 0..shops {
        let here = learning(&mut luck, jobs);
        ended.iter_mut().zip(here).for_each(|(sum, enough)| *sum += f64::from(u8::from(enough)) / f64::from(shops));
    }
    ended
}

/// Shops that say 12 % and nothing of boards, while it is something else and comes by the board, learn it.
#[test]
fn a_shop_learns_its_rate_from_job_to_job() {
    let ended = learnt(some_of(100), 6, 0x1EA2);
    let (first, last) = (ended[0], f64::midpoint(ended[4], ended[5]));
    assert!(last > first && last > 0.85, "{ended:?}");
}

/// What the jobs cost beside what they would have cost had the rejects been known beforehand.
fn against_hindsight(shops: u32, seed: u64) -> (i64, i64) {
    let mut luck = Luck(seed);
    let budget = Budget { nodes: 200, tries: 50 };
    let (mut paid, mut known) = (0, 0);
    for _ in 0..shops {
        let (job, rate) = random_job(&mut luck);
        let demand = demand::pool(&job, &[]).unwrap();
        let parts = &demand.parts;
        let cost = |strips: &[u32]| {
            let finish = finish(&job, parts, strips, job.boards.clone(), &budget, &mut |_, _| Flow::Continue).unwrap();
            finish.plan.boards.cost.get()
        };
        let totals: Vec<u32> = parts.iter().map(Part::total).collect();
        let set_up: u32 = totals.iter().sum::<u32>() - cuttable(&demand).iter().sum::<u32>();
        let mut rounds = vec![sawn(&mut luck, &job, parts, &cuttable(&demand), Truth::Assumed(1.0), rate)];
        paid += cost(&totals);
        // Hindsight cuts strips one by one until the last good one, and the set-up strips.
        let mut hindsight: Vec<u32> = parts
            .iter()
            .map(|part| {
                let (mut good, mut cut) = (0, 0);
                while good < part.needed {
                    cut += 1;
                    good += u32::from(luck.share() >= rate);
                }
                cut
            })
            .collect();
        hindsight[0] += set_up;
        known += cost(&hindsight);
        loop {
            let quick = Budget { nodes: 1, tries: 2 };
            let standing = take_stock(
                &Saw { job: &job, doors: &[], parts, confidence: demand.confidence, rounds: &rounds },
                &quick,
                &mut |_, _| Flow::Continue,
            )
            .unwrap();
            if standing.enough() {
                break;
            }
            paid += standing.finish.as_ref().unwrap().plan.bill.total.get();
            rounds.push(sawn(&mut luck, &job, parts, &standing.extra, Truth::Assumed(1.0), rate));
        }
    }
    (paid, known)
}

#[test]
fn not_knowing_costs_less_than_half_as_much_again() {
    let (paid, known) = against_hindsight(6, 0xCAFE);
    assert!(paid * 10 >= known * 9 && paid * 2 <= known * 3, "paid {paid}, known beforehand {known}");
}

#[test]
#[ignore = "minutes of figures, to be read"]
fn figures_of_thousands_of_shops() {
    for known_from in [None, Some(200)] {
        for (by_board, seed) in [(1.0, 10_001), (1.5, 10_002), (2.0, 10_003), (3.0, 10_004)] {
            let told = simulate(2_000, Truth::Assumed(by_board), known_from, seed);
            let known = known_from.map_or("beyond doubt".to_owned(), |strips| format!("from {strips} strips"));
            println!("{}", told.line(&format!("by board {by_board}, rate known {known}")));
            assert!(told.share() >= told.asked - told.error());
        }
    }
    println!("{}", simulate(2_000, Truth::Drawn, Some(200), 10_005).line("true rate drawn, half to one and a half"));
    println!("{}", simulate(2_000, Truth::Clustered, Some(200), 10_006).line("one board in four bad, by_board 1 said"));
    let ended: Vec<String> = learnt(500, 8, 10_007).iter().map(|share| format!("{share:.3}")).collect();
    println!("500 shops that learn, asked 0.95, by number of job: {}", ended.join(" "));
    let (paid, known) = against_hindsight(60, 10_008);
    let more = (paid as f64 / known as f64 - 1.0) * 100.0;
    println!("boards of 60 shops: {} paid, {} with hindsight, {more:.1} % more", paid / 100, known / 100);
}
