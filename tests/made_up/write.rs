//! Jobs made up by seed, each as a shop might ask for it and none like the demo: other units, sections, cases, tracks, woods,
//! cutting orders, boards in random widths, boards owned, remnants, spares by rate, by percent and none.

use std::fmt::Write;

use slatwright::case::Casework;
use slatwright::doors::{Door, lay_out};
use slatwright::files::Sources;
use slatwright::job::{self, Job};
use slatwright::plan::stock_shortages;
use slatwright::{demand, measure::Units};

use crate::common::dice::Dice;

/// A job in four files.
#[derive(Debug, Clone)]
pub(crate) struct MadeUp {
    /// Each with its name, the job first.
    pub(crate) files: [(&'static str, String); 4],
}

impl MadeUp {
    pub(crate) fn job(&self) -> Job {
        job::parse(&self.sources()).unwrap_or_else(|problems| panic!("{problems}\n{self:?}"))
    }

    fn sources(&self) -> Sources {
        let [job, rest @ ..] = &self.files;
        rest.iter().fold(Sources::in_memory(job.0, job.1.as_str()), |all, file| all.with(file.0, file.1.as_str()))
    }
}

/// The job of a seed: the first of its draws that holds together, doors that fit and stock that yields every size.
pub(crate) fn made_up(seed: u64) -> MadeUp {
    let mut dice = Dice::new(seed);
    for _ in 0..400 {
        let drawn = Draw::new(&mut dice, seed).job();
        let Ok(job) = job::parse(&drawn.sources()) else { continue };
        let doors = lay_out(&job);
        if !doors.iter().all(Door::fits) {
            continue;
        }
        let demand = demand::pool(&job, &doors);
        if demand.is_ok_and(|demand| stock_shortages(&job, &demand, &Casework::default()).is_empty()) {
            return drawn;
        }
    }
    panic!("no draw of seed {seed} holds together")
}

const WOODS: [(&str, i64); 6] =
    [("cherry", 985), ("walnut", 1340), ("hard maple", 790), ("white oak", 880), ("white ash", 640), ("sapele", 1120)];

/// What one job has drawn so far.
struct Draw<'d> {
    dice: &'d mut Dice,
    seed: u64,
    units: Units,
    woods: Vec<(&'static str, i64)>,
    job: String,
}

impl<'d> Draw<'d> {
    fn new(dice: &'d mut Dice, seed: u64) -> Self {
        let units = if dice.chance(2) { Units::Millimetre } else { Units::Inch };
        let first = dice.below(WOODS.len() as u64) as usize;
        let count = if dice.chance(3) { 2 } else { 1 };
        let woods = (0..count).map(|n| WOODS[(first + n * 2) % WOODS.len()]).collect();
        Self { dice, seed, units, woods, job: String::new() }
    }

    fn pick<'t>(&mut self, list: &[&'t str]) -> &'t str {
        list[self.dice.below(list.len() as u64) as usize]
    }

    /// So many 64ths of an inch, or the nearest half millimetre where the job is metric.
    fn length(&mut self, low: i64, high: i64, step: i64) -> String {
        let sixty_fourths = low + step * self.dice.between(0, (high - low) / step);
        self.shown(sixty_fourths)
    }

    fn shown(&self, sixty_fourths: i64) -> String {
        match self.units {
            Units::Inch => format!("\"{sixty_fourths}/64\""),
            Units::Millimetre => {
                let halves = (sixty_fourths * 508 + 320) / 640;
                format!("{}.{}", halves / 2, if halves % 2 == 0 { 0 } else { 5 })
            }
        }
    }

    fn wood(&mut self) -> &'static str {
        let at = self.dice.below(self.woods.len() as u64) as usize;
        self.woods[at].0
    }

    fn job(mut self) -> MadeUp {
        let _ = write!(
            self.job,
            "name = \"made up {}\"\nunits = \"{}\"\nshop = \"shop.toml\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n",
            self.seed, self.units
        );
        self.slats();
        self.spares();
        let doors = !self.dice.chance(6);
        if doors {
            for number in 0..self.dice.between(1, 3) {
                self.cabinet(number);
            }
        }
        for number in 0..self.dice.between(i64::from(!doors), 3) {
            self.strip(number);
        }
        if self.dice.chance(3) {
            let (along, across) = (self.length(16 * 64, 40 * 64, 64), self.length(10 * 64, 30 * 64, 64));
            let (quantity, turn) = (self.dice.between(1, 4), self.dice.chance(2));
            let _ = write!(
                self.job,
                "[[cloth_piece]]\nname = \"panel\"\nalong = {along}\nacross = {across}\nquantity = {quantity}\nturn = {turn}\n"
            );
        }
        let (shop, boards, cloth) = (self.shop(), self.boards(), self.cloth());
        MadeUp { files: [("job.toml", self.job), ("shop.toml", shop), ("boards.csv", boards), ("cloth.csv", cloth)] }
    }

    /// A section with a sound tongue: two fifths of the thickness and a little, the rabbet a little longer than any groove
    /// is deep.
    fn slats(&mut self) {
        let thickness = self.dice.between(5, 9) * 4;
        let tongue = ((thickness * 2 + 4) / 5 + 1).max(9);
        let (species, width) = (self.woods[0].0, self.length(32, 64, 4));
        let milling = self.pick(&["flat", "flat", "edge", "any"]);
        let (thick, depth) = (self.shown(thickness), self.shown(thickness - tongue));
        let (lead, long) = (self.length(56, 96, 8), self.shown(26));
        let _ = write!(
            self.job,
            "[slats]\nspecies = \"{species}\"\nwidth = {width}\nthickness = {thick}\nlead_width = {lead}\n\
             rabbet_depth = {depth}\nrabbet_length = {long}\nmilling = \"{milling}\"\n"
        );
    }

    fn spares(&mut self) {
        let (rate, confidence) = (self.dice.between(2, 20), self.dice.between(80, 99));
        let rule = match self.dice.below(5) {
            0 => "none = true\n".to_owned(),
            1 => format!("percent = {}\n", self.dice.between(5, 30)),
            _ => format!("reject_rate = 0.{rate:02}\nconfidence = 0.{confidence}\n"),
        };
        let _ = write!(self.job, "[spares]\n{rule}");
        if self.dice.chance(2) {
            let (setup, repair) = (self.dice.below(4), self.dice.below(3));
            let _ = writeln!(self.job, "setup_strips = {setup}\nrepair_strips = {repair}");
        }
    }

    fn cabinet(&mut self, number: i64) {
        if self.dice.chance(3) {
            return self.tracked(number);
        }
        let (count, hand) = (self.dice.between(1, 3), self.pick(&["pair", "left", "right", "up"]));
        let width = self.length(24 * 64, 54 * 64, 16);
        let (depth, height) = (self.length(15 * 64, 26 * 64, 16), self.length(16 * 64, 44 * 64, 16));
        let (setback, radius) = (self.length(48, 64, 4), self.length(3 * 64, 5 * 64, 16));
        let groove = self.length(18, 28, 1);
        let deep = self.length(16, 22, 1);
        let _ = write!(
            self.job,
            "[[cabinet]]\nname = \"case {number}\"\ncount = {count}\ninside_width = {width}\ninside_depth = {depth}\n\
             inside_height = {height}\ndoors = \"{hand}\"\nsetback = {setback}\ncorner_radius = {radius}\n\
             groove_width = {groove}\ngroove_depth = {deep}\n"
        );
        if self.dice.chance(4) {
            self.job.push_str("turn = true\n");
        }
    }

    /// A track given in full: one bend, two of one sense, or an S whose slats are bevelled.
    fn tracked(&mut self, number: i64) {
        let straight = self.length(18 * 64, 26 * 64, 32);
        let mut path = format!("{{ straight = {straight} }}");
        let bends = self.dice.between(1, 2);
        let reverse = self.dice.chance(3);
        for bend in 0..bends {
            let (radius, angle) = (self.length(4 * 64, 9 * 64, 32), self.dice.between(30, 90));
            let side = if reverse && bend == 1 { "outside" } else { "inside" };
            let next = self.length(12 * 64, 34 * 64, 32);
            let _ =
                write!(path, ", {{ arc = {radius}, angle = {angle}, canvas = \"{side}\" }}, {{ straight = {next} }}");
        }
        let up = if self.dice.chance(3) { "runs = \"up\"\n" } else { "" };
        let (groove, deep) = (self.length(18, 28, 1), self.length(16, 22, 1));
        let (between, travel) = (self.length(16 * 64, 40 * 64, 8), self.length(8 * 64, 16 * 64, 16));
        let (count, bevel) = (self.dice.between(1, 2), if reverse && bends == 2 { 8 } else { 0 });
        let _ = write!(
            self.job,
            "[[track]]\nname = \"track {number}\"\ngroove_width = {groove}\ngroove_depth = {deep}\n{up}path = [{path}]\n\
             [[cabinet]]\nname = \"tracked {number}\"\ncount = {count}\nslats = {{ edge_bevel = {bevel} }}\n\
             [[cabinet.door]]\nname = \"door\"\ntrack = \"track {number}\"\nbetween = {between}\ncover = {straight}\n\
             travel = {travel}\n"
        );
    }

    fn strip(&mut self, number: i64) {
        let (species, length) = (self.wood(), self.length(8 * 64, 46 * 64, 8));
        let (width, thickness) = (self.length(24, 110, 2), self.length(16, 40, 2));
        let (quantity, milling) = (self.dice.between(2, 40), self.pick(&["flat", "edge", "any"]));
        let spares =
            self.pick(&["", "spares = \"none\"\n", "spares = { reject_rate = 0.1 }\n", "spares = { percent = 15 }\n"]);
        let _ = write!(
            self.job,
            "[[strip]]\nname = \"strip {number}\"\nspecies = \"{species}\"\nlength = {length}\nwidth = {width}\n\
             thickness = {thickness}\nquantity = {quantity}\nmilling = \"{milling}\"\n{spares}"
        );
    }

    fn shop(&mut self) -> String {
        let mut out = String::new();
        if self.dice.chance(2) {
            let gain = self.pick(&["", "margin = 0.2\n", "markup = 0.35\n"]);
            let _ = write!(out, "overhead = 0.1\ntax = 0.06\ncontingency = 0.03\n{gain}");
        }
        if self.dice.chance(2) {
            out.push_str("[rates]\nmaker = 52.00\nhelper = 28.00\nrack = \"replacement\"\n");
        }
        let (order, resaw) =
            (self.pick(&["crosscut-first", "crosscut-first", "rip-first", "any"]), self.dice.chance(4));
        let _ = write!(out, "[cutting]\norder = \"{order}\"\nresaw = {resaw}\n");
        for (key, low, high) in
            [("rip_kerf", 5, 10), ("end_trim", 32, 128), ("hold_width", 0, 64), ("length_trim", 16, 64)]
        {
            if self.dice.chance(3) {
                let value = self.length(low, high, 1);
                let _ = writeln!(out, "{key} = {value}");
            }
        }
        if self.dice.chance(2) {
            out.push_str("[[consumable]]\nname = \"glue\"\nprice = 11.40\nunit = \"bottle\"\ncovers_square_feet = 28\non = \"glued\"\n");
        }
        out
    }

    fn boards(&mut self) -> String {
        let mut out =
            "stock,species,thickness,width,length,on_hand,price,per,random,min_width,max_width,defects\n".to_owned();
        let bare = |shown: String| shown.trim_matches('"').to_owned();
        for (wood, price) in self.woods.clone() {
            for number in 0..self.dice.between(2, 4) {
                let thick = self.pick(&["4/4", "4/4", "5/4", "8/4", "4/4 s2s 13/16"]);
                let (wide, long) = (self.dice.between(8, 20) * 32, self.dice.between(6, 12) * 12 * 64);
                let random = match self.dice.below(4) {
                    0 => {
                        let (least, most) = (bare(self.shown(wide - 48)), bare(self.shown(wide + 96)));
                        format!("yes,{least},{most}")
                    }
                    1 => "yes,,".to_owned(),
                    _ => ",,".to_owned(),
                };
                let (cents, per) = match self.dice.below(4) {
                    0 => (price * wide / 64 * long / 64 / 144, "each"),
                    1 => (price * wide / 64 / 12, "lf"),
                    2 if self.units == Units::Millimetre => (price * 424, "m3"),
                    _ => (price, "bf"),
                };
                let cents = cents * self.dice.between(90, 115) / 100;
                let (width, length) = (bare(self.shown(wide)), bare(self.shown(long)));
                let _ = writeln!(
                    out,
                    "{wood} {number},{wood},{thick},{width},{length},,{}.{:02},{per},{random},",
                    cents / 100,
                    cents % 100
                );
            }
            if self.dice.chance(2) {
                let (width, length) = (bare(self.length(3 * 64, 8 * 64, 8)), bare(self.length(30 * 64, 90 * 64, 16)));
                let defect = if self.dice.chance(2) {
                    format!("{}..{}", bare(self.shown(640)), bare(self.shown(800)))
                } else {
                    String::new()
                };
                let (count, thick) = (self.dice.between(1, 3), self.pick(&["4/4", "5/4"]));
                let _ = writeln!(out, "rack {wood},{wood},{thick},{width},{length},{count},,,,,,{defect}");
            }
            // Thick, wide and long: what every size comes out of.
            let (width, length) = (bare(self.shown(8 * 64)), bare(self.shown(120 * 64)));
            let _ = writeln!(
                out,
                "{wood} thick,{wood},8/4,{width},{length},,{}.{:02},bf,,,,",
                price * 12 / 1000,
                price % 100
            );
        }
        out
    }

    fn cloth(&mut self) -> String {
        let mut out = "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\n".to_owned();
        let bare = |shown: String| shown.trim_matches('"').to_owned();
        for number in 0..self.dice.between(1, 2) {
            let (width, selvage) = (bare(self.length(50 * 64, 72 * 64, 64)), bare(self.length(16, 40, 8)));
            let per = if self.units == Units::Inch { "yard" } else { "metre" };
            let (price, increment) = (self.dice.between(700, 1900), bare(self.length(2 * 64, 9 * 64, 32)));
            let shrinks = self.pick(&[",", "6,4", "10,5"]);
            let _ = writeln!(
                out,
                "bolt {number},{width},{selvage},,{}.{:02},{per},{increment},{shrinks}",
                price / 100,
                price % 100
            );
        }
        if self.dice.chance(2) {
            let (width, length) = (bare(self.length(30 * 64, 60 * 64, 64)), bare(self.length(20 * 64, 60 * 64, 64)));
            let _ = writeln!(out, "remnant,{width},0,{length},,,,,");
        }
        out
    }
}
